//! Settling, leak and nuisances fitted together, exactly: everything that is linear is Gaussian and
//! solved at once; the two lags that are not (the gas behind the wall, the wall behind the air) are
//! summed over a grid, each node weighted by its evidence.

use super::clean::Known;
use super::linear::{MAX, Normal, Solved};
use super::series::Series;
use super::{GaugeKind, HoldInput, LimitedBy, TemperatureSource};
use crate::physics::{gas, ingress};

/// What the fit says of the leak.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    /// mL per dive, at the stated volume.
    pub mean: f64,
    /// Its variance without the volume's share.
    pub var: f64,
    /// Shares of that variance: gauge, temperature, barometer, settling.
    pub parts: [f64; 4],
    /// Sum of squares of the variance shares of bounded (uniform) errors, for the tail.
    pub uniform_sq: f64,
    /// Factor on the readings' variance that the residuals asked for (1 or more).
    pub noise: f64,
    /// The best node, for the curve.
    pub best: Node,
    /// Evidence weight of the choices in which water evaporates inside.
    pub wet: f64,
    /// Unknowns of the best node and their covariance.
    pub best_x: [f64; MAX],
    pub best_inv: [[f64; MAX]; MAX],
}

/// One choice of the two lags.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    /// Gas behind the wall, s; `None` for no settling.
    pub gas_s: Option<f64>,
    /// Wall behind the air, s.
    pub wall_s: Option<f64>,
    /// Water evaporating inside comes to saturation with this, s.
    pub wet_s: Option<f64>,
    /// Prior weight.
    pub weight: f64,
}

/// Spread of each nuisance, 1 sd.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spread {
    /// Error of the gas temperature that comes and goes within the hold, K.
    pub temperature: f64,
    /// What the settling may start at, K.
    pub settling: f64,
    /// What the wall may be from the air at the start, K.
    pub wall: f64,
    /// Barometer's drift, Pa.
    pub barometer: f64,
}

/// Spreads for a source over `span` seconds.
pub(super) fn spread(source: TemperatureSource, barometer: bool, span: f64) -> Spread {
    let hours = span / 3600.0;
    let (temperature, settling, wall) = match source {
        TemperatureSource::Inside => (0.1, 8.0, 0.0),
        TemperatureSource::Surface => (0.3, 8.0, 0.0),
        TemperatureSource::Air => (1.0_f64.min(0.25 + 0.5 * hours), 8.0, 4.0),
        // Not measured: the gas goes where the day goes. Common practice: a few kelvin in hours.
        TemperatureSource::None => (4.0_f64.min(0.5 + 1.5 * hours), 8.0, 4.0),
    };
    // A phone's barometer: change over hours within 0.15 mbar. None: the weather, about 0.5 mbar/h.
    let barometer = if barometer {
        15.0
    } else {
        20.0 + 60.0 * hours.min(8.0)
    };
    Spread {
        temperature,
        settling,
        wall,
        barometer,
    }
}

/// A drift within the hold as a sum of shapes, each with its share of the drift's spread: a ramp
/// from end to end, then sines of 1, 2, 3, … half waves. That is the Karhunen–Loève series of a
/// random walk (ramp and Brownian bridge, √2/πk), whose ends may slope as they like. A drift that is a ramp can't be
/// told from a leak, however fine the gauge.
const SHAPES: [f64; 7] = [1.0, 0.45, 0.225, 0.15, 0.1125, 0.09, 0.075];
/// What the series leaves out, as a share of the drift's spread: √(2/π²·Σ 1/k² beyond).
const SHAPES_REST: f64 = 0.18;
/// The barometer needs fewer.
const BAROMETER_SHAPES: usize = 3;
/// Unknowns before the shapes: level, leak, settling, its bend, its slow part, the wall's start or
/// the sensor's lag, vapour.
const FIXED: usize = 7;
/// How far from its exponential the settling may be, as a share of what is still to come.
const MISFIT: f64 = 0.005;
/// Spread of the settling's bend, as a share of the settling.
const BEND: f64 = 0.3;
/// A part of the gas (behind boards and foam) settles this much slower …
const SLOWER: f64 = 2.5;
/// … with this spread, as a share of the settling.
const SLOW_SHARE: f64 = 0.12;
/// What a sensor in the gas may miss of the gas's mean, as a share of the change it sees.
const SENSOR_SHARE: f64 = 0.05;
/// How far such a sensor lags behind the gas, s (1 sd). Common practice for a bare sensor in still air.
const SENSOR_LAG_S: f64 = 10.0;

/// Prior weight of each choice in which water evaporates inside.
const WET_WEIGHT: f64 = 0.01;

/// Seconds from the first reading to the last, at least 1.
fn span_of(t: &[f64]) -> f64 {
    match (t.first(), t.last()) {
        (Some(a), Some(b)) => (b - a).max(1.0),
        _ => 1.0,
    }
}

/// Everything of one hold that does not depend on the lags.
#[derive(Debug, Clone)]
pub(super) struct Ground {
    pub t: Vec<f64>,
    pub temp: Vec<f64>,
    /// ∫(Pₐ² − P²)/(TV)dt in mL per dive per 1/T, Pa per mL and kelvin.
    pub leak: Vec<f64>,
    /// Mean inside pressure, Pa, and mean temperature, K.
    pub p_mean: f64,
    pub t_mean: f64,
    /// mL per dive of one m³/(Pa·s).
    pub ml_per_c: f64,
    pub shapes: Vec<[f64; SHAPES.len()]>,
    pub barometer_matters: bool,
    pub source: TemperatureSource,
    pub spread: Spread,
    pub leak_sd: f64,
    /// How much settling there may be at all, K: from the change since the first reading.
    pub seen_k: f64,
    /// How fast the temperature changes, K/s, where it is measured in the gas.
    pub rate: Vec<f64>,
    /// Vapour pressure that the pump-down may have made room for, Pa.
    pub vapour_room: f64,
}

impl Ground {
    /// Prepares a series (only readings not marked `wrong` count for the mean).
    pub(super) fn new(h: &HoldInput, s: &Series, wrong: &[bool]) -> Self {
        let n = s.t.len();
        let ok = |i: usize| !wrong.get(i).copied().unwrap_or(false);
        let good: Vec<usize> = (0..n).filter(|&i| ok(i)).collect();
        // Inside pressure with mistyped readings bridged.
        let mut p = vec![0.0; n];
        let mut last: Option<usize> = None;
        for &i in &good {
            p[i] = Series::inside(h.gauge, s.gauge[i], s.ambient[i]);
            let from = last.map_or(0, |l| l + 1);
            for j in from..i {
                p[j] = last.map_or(p[i], |l| {
                    p[l] + (p[i] - p[l]) * (j - l) as f64 / (i - l) as f64
                });
            }
            last = Some(i);
        }
        if let Some(l) = last {
            for j in l + 1..n {
                p[j] = p[l];
            }
        }
        let late = &good[good.len() / 2..];
        let count = late.len().max(1) as f64;
        let p_mean = late.iter().map(|&i| p[i]).sum::<f64>() / count;
        let t_mean = late.iter().map(|&i| s.temp[i]).sum::<f64>() / count;
        // The dive begins with the vacuum of the hold's start: the most that can drive water in.
        let inside = good.first().map_or(p_mean, |&i| p[i]);
        let ml_per_c = ingress::ml_per_conductance(t_mean, &h.dive, inside);
        let mut leak = vec![0.0; n];
        let drive = |i: usize| (s.ambient[i] * s.ambient[i] - p[i] * p[i]) / s.temp[i];
        for i in 1..n {
            let dt = s.t[i] - s.t[i - 1];
            leak[i] = leak[i - 1] + 0.5 * (drive(i) + drive(i - 1)) * dt / h.volume_m3 / ml_per_c;
        }
        // A leak that lets in 300 mbar a minute is past anything that a fit is for.
        let per_ml = s
            .ambient
            .last()
            .map_or(0.0, |a| a * a - p_mean * p_mean)
            .abs()
            .max(1e8)
            / (h.volume_m3 * ml_per_c);
        let leak_sd = 500.0 / per_ml;
        let mut spread = spread(s.source, s.barometer, span_of(&s.t));
        let first = good.first().copied().unwrap_or(0);
        let seen_k = if s.source == TemperatureSource::Inside {
            let change = s.temp.get(first).map_or(0.0, |t| (t - t_mean).abs());
            let missed = SENSOR_SHARE * change.min(15.0) + 0.05;
            spread.settling = missed;
            missed
        } else {
            let change = p.get(first).map_or(0.0, |p| (p - p_mean).abs()) * t_mean / p_mean;
            change.min(15.0) + 0.3
        };
        let rate = (0..n)
            .map(|i| {
                let (a, b) = (i.saturating_sub(1), (i + 1).min(n - 1));
                let (dt, change) = (s.t[b] - s.t[a], s.temp[b] - s.temp[a]);
                // Two steps of a 0.1 K display are no change worth naming.
                if dt > 0.0 && change.abs() > 0.25 {
                    change / dt
                } else {
                    0.0
                }
            })
            .collect();
        let start = s.t.first().copied().unwrap_or(0.0);
        let span = s.t.last().map_or(0.0, |e| e - start).max(1.0);
        let shapes =
            s.t.iter()
                .map(|t| {
                    let u = (t - start) / span;
                    let (sin, cos) = (std::f64::consts::PI * u).sin_cos();
                    // Chebyshev's recurrence for sin(kx).
                    let mut w = [0.0; SHAPES.len()];
                    w[0] = u - 0.5;
                    w[1] = sin;
                    let mut before = 0.0;
                    for k in 2..w.len() {
                        w[k] = 2.0 * cos * w[k - 1] - before;
                        before = w[k - 1];
                    }
                    w
                })
                .collect();
        Self {
            t: s.t.iter().map(|t| t - start).collect(),
            temp: s.temp.clone(),
            leak,
            p_mean,
            t_mean,
            ml_per_c,
            shapes,
            barometer_matters: h.gauge == GaugeKind::BelowAmbient,
            source: s.source,
            spread,
            leak_sd,
            seen_k,
            rate,
            vapour_room: gas::saturation_pressure(t_mean),
        }
    }

    /// Number of unknowns: level, leak, settling with its bend and slow part, wall, shapes of the
    /// temperature's and of the barometer's drift.
    fn unknowns(&self) -> usize {
        FIXED
            + SHAPES.len()
            + if self.barometer_matters {
                BAROMETER_SHAPES
            } else {
                0
            }
    }

    /// Temperature of the gas for these lags, apart from the settling itself.
    fn lagged(&self, node: &Node) -> Vec<f64> {
        let mut temp = self.temp.clone();
        for tau in [
            node.wall_s,
            node.gas_s
                .filter(|_| self.source != TemperatureSource::Inside),
        ] {
            let Some(tau) = tau else { continue };
            if self.source == TemperatureSource::None {
                continue;
            }
            let mut y = temp.first().copied().unwrap_or(0.0);
            let mut x0 = y;
            for i in 1..temp.len() {
                // Exact for an input that goes straight from reading to reading.
                let dt = self.t[i] - self.t[i - 1];
                if dt > 0.0 {
                    let q = (-dt / tau).exp();
                    let slope = (temp[i] - x0) / dt;
                    let x1 = temp[i];
                    y = x1 - slope * tau + (y - x0 + slope * tau) * q;
                    x0 = x1;
                }
                temp[i] = y;
            }
        }
        temp
    }

    /// The row of reading `i`: how each unknown moves the pressure, Pa.
    fn row(&self, i: usize, temp: f64, node: &Node) -> [f64; MAX] {
        let mut r = [0.0; MAX];
        let per_k = self.p_mean / self.t_mean;
        r[0] = temp / self.t_mean;
        r[1] = self.leak[i] * temp;
        r[2] = node
            .gas_s
            .map_or(0.0, |tau| per_k * (-self.t[i] / tau).exp());
        // How that changes with the lag: between the grid's nodes, and for settling that is not
        // quite exponential.
        r[3] = node.gas_s.map_or(0.0, |tau| r[2] * self.t[i] / tau);
        r[4] = node
            .gas_s
            .map_or(0.0, |tau| per_k * (-self.t[i] / (SLOWER * tau)).exp());
        r[5] = if self.source == TemperatureSource::Inside {
            per_k * self.rate[i]
        } else {
            node.wall_s
                .map_or(0.0, |tau| per_k * (-self.t[i] / tau).exp())
        };
        r[6] = node.wet_s.map_or(0.0, |tau| -(-self.t[i] / tau).exp());
        let w = &self.shapes[i];
        for k in 0..SHAPES.len() {
            r[FIXED + k] = per_k * w[k];
        }
        if self.barometer_matters {
            let at = FIXED + SHAPES.len();
            r[at..at + BAROMETER_SHAPES].copy_from_slice(&w[..BAROMETER_SHAPES]);
        }
        r
    }

    /// Prior spread of each unknown.
    fn prior(&self, j: usize) -> f64 {
        match j {
            0 => 1e4,
            1 => self.leak_sd,
            2 => self.spread.settling,
            3 => self.seen_k * BEND,
            4 => self.seen_k * SLOW_SHARE,
            5 if self.source == TemperatureSource::Inside => SENSOR_LAG_S,
            5 => self.spread.wall.max(1e-3),
            6 => 0.5 * self.vapour_room,
            k if k < FIXED + SHAPES.len() => self.spread.temperature * SHAPES[k - FIXED],
            k => self.spread.barometer * SHAPES[k - FIXED - SHAPES.len()],
        }
    }

    fn nodes(&self) -> Vec<Node> {
        const GAS: [f64; 6] = [20.0, 36.0, 65.0, 115.0, 205.0, 370.0];
        const GAS_FEW: [f64; 5] = [25.0, 50.0, 100.0, 200.0, 380.0];
        const WALL: [f64; 5] = [200.0, 500.0, 1100.0, 2200.0, 4500.0];
        const WET: [f64; 2] = [600.0, 1800.0];
        let plain = Node {
            gas_s: None,
            wall_s: None,
            wet_s: None,
            weight: 0.0,
        };
        if matches!(
            self.source,
            TemperatureSource::Air | TemperatureSource::None
        ) {
            let pairs = GAS_FEW
                .iter()
                .flat_map(|&g| WALL.iter().map(move |&w| (g, w)));
            return pairs
                .map(|(g, w)| Node {
                    gas_s: Some(g),
                    wall_s: Some(w),
                    weight: 1.0 / 25.0,
                    ..plain
                })
                .collect();
        }
        // A sensor in the gas sees the settling; a probe on the wall does not.
        let none = if self.source == TemperatureSource::Inside {
            0.4
        } else {
            0.02
        };
        let gas = (1.0 - none - 4.0 * WET_WEIGHT) / GAS.len() as f64;
        let mut out = vec![Node {
            weight: none,
            ..plain
        }];
        out.extend(GAS.iter().map(|&g| Node {
            gas_s: Some(g),
            weight: gas,
            ..plain
        }));
        for g in [65.0, 205.0] {
            for w in WET {
                out.push(Node {
                    gas_s: Some(g),
                    wet_s: Some(w),
                    weight: WET_WEIGHT,
                    ..plain
                });
            }
        }
        out
    }
}

/// One entry's row, target and variance for a node.
struct Line {
    row: [f64; MAX],
    y: f64,
    var: f64,
    uniform: bool,
}

fn lines(h: &HoldInput, s: &Series, g: &Ground, known: &[Known], node: &Node) -> Vec<Line> {
    let temp = g.lagged(node);
    // What the drift's series leaves out hangs together over a stretch of the hold; entries closer
    // than that share it.
    let together = (known.len() as f64 / (2.0 * SHAPES.len() as f64)).max(1.0);
    let rest = (SHAPES_REST * g.spread.temperature * g.p_mean / g.t_mean).powi(2) * together;
    known
        .iter()
        .map(|k| {
            let mut row = [0.0; MAX];
            let mut ambient = 0.0;
            let m = (k.last - k.first + 1) as f64;
            for i in k.first..=k.last {
                let r = g.row(i, temp[i], node);
                for j in 0..MAX {
                    row[j] += r[j] / m;
                }
                ambient += s.ambient[i] / m;
            }
            let p = Series::inside(h.gauge, k.gauge, ambient);
            // No settling is exactly exponential: half a percent of what is still to come.
            let misfit = MISFIT * (p - g.p_mean);
            Line {
                row,
                y: p - g.p_mean * row[0],
                var: k.var + misfit * misfit + rest,
                uniform: k.uniform,
            }
        })
        .collect()
}

struct Solution {
    solved: Solved,
    evidence: f64,
    chi2: f64,
}

fn solve(g: &Ground, lines: &[Line], noise: f64) -> Option<Solution> {
    let n = g.unknowns();
    let mut sys = Normal::new(n);
    let mut yy = 0.0;
    let mut ln_var = 0.0;
    for j in 0..n {
        let sd = g.prior(j);
        sys.a[j][j] = 1.0 / (sd * sd);
        ln_var += 2.0 * sd.ln();
    }
    for l in lines {
        let w = 1.0 / (l.var * noise);
        ln_var -= w.ln();
        yy += l.y * l.y * w;
        for i in 0..n {
            let wi = l.row[i] * w;
            sys.b[i] += wi * l.y;
            for j in 0..=i {
                sys.a[i][j] += wi * l.row[j];
            }
        }
    }
    let solved = sys.solve()?;
    let chi2 = (yy - solved.explained).max(0.0);
    Some(Solution {
        evidence: -0.5 * (chi2 + ln_var + solved.ln_det),
        chi2,
        solved,
    })
}

/// Factor on the variances that the residuals ask for: their size, and how far they hang together
/// (lag-1 autocorrelation ρ: n readings are worth n(1 − ρ)/(1 + ρ)).
fn restless(lines: &[Line], found: &Solution, n: usize, free: f64) -> f64 {
    let residual = |l: &Line| {
        let fit: f64 = (0..n).map(|j| l.row[j] * found.solved.x[j]).sum();
        (l.y - fit) / l.var.sqrt()
    };
    let e: Vec<f64> = lines.iter().map(residual).collect();
    let sum: f64 = e.iter().map(|x| x * x).sum();
    let lag: f64 = e.windows(2).map(|w| w[0] * w[1]).sum();
    let rho = if sum > 0.0 {
        (lag / sum).clamp(0.0, 0.9)
    } else {
        0.0
    };
    found.chi2 / free * (1.0 + rho) / (1.0 - rho)
}

/// Fits a hold. `None` where there is nothing to fit.
pub(super) fn fit(h: &HoldInput, s: &Series, g: &Ground, known: &[Known]) -> Option<Fit> {
    if known.len() < 2 {
        return None;
    }
    let nodes = g.nodes();
    let mut noise = 1.0;
    let mut solved: Vec<(Node, Vec<Line>, Solution)> = Vec::new();
    for pass in 0..2 {
        solved.clear();
        for node in &nodes {
            let l = lines(h, s, g, known, node);
            if let Some(x) = solve(g, &l, noise) {
                solved.push((*node, l, x));
            }
        }
        let Some(best) = solved.iter().min_by(|a, b| a.2.chi2.total_cmp(&b.2.chi2)) else {
            break;
        };
        let free = known.len() as f64 - 2.0;
        if pass == 0 && free > 3.0 {
            noise = restless(&best.1, &best.2, g.unknowns(), free).max(1.0);
        }
        if pass == 0 && noise < 1.1 {
            noise = 1.0;
            break;
        }
    }
    let score = |x: &(Node, Vec<Line>, Solution)| x.2.evidence + x.0.weight.ln();
    let top = solved.iter().map(score).fold(f64::NEG_INFINITY, f64::max);
    let mut total = 0.0;
    let (mut mean, mut sq, mut within, mut wet) = (0.0, 0.0, 0.0, 0.0);
    let mut best: Option<&(Node, Vec<Line>, Solution)> = None;
    for x in &solved {
        let w = (score(x) - top).exp();
        total += w;
        mean += w * x.2.solved.x[1];
        sq += w * x.2.solved.x[1].powi(2);
        within += w * x.2.solved.inv[1][1];
        if x.0.wet_s.is_some() {
            wet += w;
        }
        if best.is_none_or(|b| score(x) > score(b)) {
            best = Some(x);
        }
    }
    let (node, l, sol) = best?;
    mean /= total;
    let between = (sq / total - mean * mean).max(0.0);
    within /= total;
    // Shares of the variance, of the best node: A⁻¹ applied to each source of error alone.
    let inv = &sol.solved.inv;
    let n = g.unknowns();
    let mut parts = [0.0; 4];
    let mut uniform_sq = 0.0;
    for x in l {
        let c: f64 = (0..n).map(|j| inv[1][j] * x.row[j]).sum::<f64>() / (x.var * noise);
        let v = c * c * x.var * noise;
        parts[0] += v;
        if x.uniform {
            uniform_sq += v * v;
        }
    }
    for j in 2..n {
        let sd = g.prior(j);
        let v = (inv[1][j] / sd).powi(2);
        let group = if j < FIXED {
            3
        } else if j < FIXED + SHAPES.len() {
            1
        } else {
            2
        };
        parts[group] += v;
    }
    parts[3] += between;
    Some(Fit {
        mean,
        var: within + between,
        parts,
        uniform_sq,
        noise,
        best: *node,
        wet: wet / total,
        best_x: sol.solved.x,
        best_inv: sol.solved.inv,
    })
}

impl Fit {
    /// The largest share, with the volume's (which scales the leak) among them.
    pub(super) fn limited_by(&self, volume_var: f64) -> LimitedBy {
        let names = [
            (self.parts[0], LimitedBy::Gauge),
            (self.parts[1], LimitedBy::Temperature),
            (self.parts[2], LimitedBy::Barometer),
            (self.parts[3], LimitedBy::Settling),
            (volume_var, LimitedBy::Volume),
        ];
        names
            .iter()
            .fold(
                (-1.0, LimitedBy::Gauge),
                |m, &(v, n)| if v > m.0 { (v, n) } else { m },
            )
            .1
    }

    /// Fitted inside pressure at constant temperature, Pa, of reading `i`: estimate and variance.
    pub(super) fn curve(&self, g: &Ground, i: usize) -> (f64, f64) {
        let mut r = g.row(i, g.t_mean, &self.best);
        for x in r.iter_mut().skip(5) {
            *x = 0.0;
        }
        let n = g.unknowns();
        let mut est = g.p_mean * r[0];
        let mut var = 0.0;
        for a in 0..n {
            est += self.best_x[a] * r[a];
            for b in 0..n {
                var += r[a] * self.best_inv[a][b] * r[b];
            }
        }
        (est, var.max(0.0))
    }
}

/// Variance of the leak that entries like these will give with these lags, mL².
pub(super) fn predict(
    h: &HoldInput,
    s: &Series,
    g: &Ground,
    known: &[Known],
    node: &Node,
) -> Option<f64> {
    let l = lines(h, s, g, known, node);
    solve(g, &l, 1.0).map(|x| x.solved.inv[1][1])
}
