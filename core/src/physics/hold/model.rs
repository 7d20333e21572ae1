//! Settling, leak and nuisances fitted together, exactly: everything that is linear is Gaussian and
//! solved at once; the two lags that are not (the gas behind the wall, the wall behind the air) are
//! summed over a grid, each node weighted by its evidence.

use super::clean::Known;
use super::drift::{self, SHAPES, Shapes};
use super::linear::{Factor, MAX, Matrix, Vector};
use super::series::Series;
use super::{GaugeKind, HoldInput, LimitedBy, TemperatureSource};
use crate::physics::{gas, ingress};

/// What one choice of lags and laws says of the leak: normal about `mean`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Choice {
    /// Its share of the evidence; all of a fit add up to 1.
    pub weight: f64,
    /// mL per dive.
    pub mean: f64,
    /// Its variance without the volume's share, mL².
    pub var: f64,
}

/// What the fit says of the leak.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    /// What each choice of lags and laws says, as far as it counts.
    pub choices: Vec<Choice>,
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
    pub best_x: Vector,
    pub best_inv: Matrix,
}

/// One choice of what else there may be: priors that only the solving sees, so that they cost little.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Variant {
    /// Spread of the settling's slow part, as a share of the settling.
    slow_share: f64,
    /// Spread of what the wall may be from the air at the start, K.
    wall: f64,
    /// Spread of each shape of the thermometer's drift, as a share of the drift's.
    drift: Shapes,
    /// Prior weight.
    weight: f64,
}

/// One choice of the two lags.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    /// Gas behind the wall, s; `None` for no settling.
    pub gas_s: Option<f64>,
    /// The settling slows down as free convection does ([`settled`]).
    pub convection: bool,
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

/// How far a sensor in the gas may be from it at one moment, K (1 sd). Common practice.
pub(super) const INSIDE_SD_K: f64 = 0.1;
/// The same of a shaded probe on the enclosure.
pub(super) const SURFACE_SD_K: f64 = 0.3;

/// Spreads for a source over `span` seconds. `measured` is how far the gas may be from what the
/// thermometer says at one moment, K (1 sd), where the crew has measured it.
pub(super) fn spread(
    source: TemperatureSource,
    barometer: bool,
    span: f64,
    measured: Option<f64>,
) -> Spread {
    let hours = span / 3600.0;
    // Two moments each within the spread differ by up to √2 of it once they are hours apart; over
    // minutes the error hardly moves. In between: common practice, an hour. Of a thermometer in the
    // gas or on the wall, the drift's laws say the same.
    let grown = (1.0 + hours * hours / (hours * hours + 1.0)).sqrt();
    let (temperature, settling, wall) = match source {
        TemperatureSource::Inside => (measured.unwrap_or(INSIDE_SD_K), 8.0, 0.0),
        TemperatureSource::Surface => (measured.unwrap_or(SURFACE_SD_K), 8.0, 0.0),
        // The lag is an unknown of its own; this is what it leaves. However good the thermometer,
        // the gas is no nearer to the air, so what was measured can only widen it.
        TemperatureSource::Air => {
            let common = 1.0_f64.min(0.2 + 0.4 * hours);
            (common.max(measured.unwrap_or(0.0) * grown), 8.0, 4.0)
        }
        // Not measured: the gas goes where the day goes. Common practice: a few kelvin in hours.
        TemperatureSource::None => (3.2_f64.min(0.4 + 1.3 * hours), 8.0, 4.0),
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

/// What the shapes of a drift leave out, as a share of its spread. Set by simulation.
const SHAPES_REST: f64 = 0.05;
/// The barometer needs fewer.
const BAROMETER_SHAPES: usize = 3;
/// Unknowns before the shapes: level, leak, settling, its bend, its slow part, the wall's start or
/// the sensor's lag, vapour.
const FIXED: usize = 7;
/// How far from its exponential the settling may be, as a share of what is still to come.
const MISFIT: f64 = 0.005;
/// Spread of the settling's bend, as a share of the settling.
const BEND: f64 = 0.1;
/// A part of the gas (behind boards and foam) settles this much slower …
const SLOWER: f64 = 2.5;
/// … with this spread, as a share of the settling.
const SLOW_SHARE: f64 = 0.12;
/// The same where there is no such part worth naming.
const SLOW_SHARE_PLAIN: f64 = 0.01;
/// How likely that is beforehand.
const PLAIN: f64 = 0.7;
/// What a wall that has long stood in this air may be from it, K …
const WALL_PLAIN_K: f64 = 0.4;
/// … and how likely it is that it has.
const WALL_LIKE_AIR: f64 = 0.5;
/// What a sensor in the gas may miss of the gas's mean, as a share of the change it sees.
const SENSOR_SHARE: f64 = 0.03;
/// How far such a sensor lags behind the gas, s …
const SENSOR_LAG_S: f64 = 7.0;
/// … and the spread of that. Common practice for a bare sensor in still air.
const SENSOR_LAG_SD_S: f64 = 5.0;
/// A change of temperature is taken over so many readings that it comes to this, K: the steps of a
/// display to 0.1 K are no rate …
const RATE_OVER_K: f64 = 0.35;
/// … or over this, s.
const RATE_OVER_S: f64 = 300.0;

/// A choice with less than this share of the evidence is left out of what the leak may be.
const NEGLIGIBLE: f64 = 1e-7;
/// χ² by which lags must miss the best before they are given up: e^(−20) of its evidence.
const HOPELESS: f64 = 40.0;
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
    pub shapes: Vec<Shapes>,
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
        let inside = good
            .iter()
            .take(3)
            .map(|&i| p[i].min(s.ambient[i]))
            .fold(p_mean, f64::min);
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
        let mut spread = spread(s.source, s.barometer, span_of(&s.t), h.temperature_sd_k);
        if let Some(sd) = h.barometer_sd_pa
            && s.barometer
        {
            spread.barometer = sd;
        }
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
                let (mut a, mut b) = (i, i);
                loop {
                    let (before, after) = (a.saturating_sub(1), (b + 1).min(n - 1));
                    if (before, after) == (a, b) {
                        break;
                    }
                    (a, b) = (before, after);
                    let moved = (s.temp[b] - s.temp[a]).abs();
                    if moved > RATE_OVER_K || s.t[b] - s.t[a] > RATE_OVER_S {
                        break;
                    }
                }
                let dt = s.t[b] - s.t[a];
                if dt > 0.0 {
                    (s.temp[b] - s.temp[a]) / dt
                } else {
                    0.0
                }
            })
            .collect();
        let start = s.t.first().copied().unwrap_or(0.0);
        let span = s.t.last().map_or(0.0, |e| e - start).max(1.0);
        let shapes = s.t.iter().map(|t| drift::at((t - start) / span)).collect();
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
            // Air that is damp already takes up less.
            vapour_room: gas::saturation_pressure(t_mean)
                * (1.0 - h.humidity.unwrap_or(0.0)).max(1e-3),
        }
    }

    /// Number of unknowns: level, leak, settling with its bend and slow part, wall, shapes of the
    /// temperature's and of the barometer's drift.
    fn unknowns(&self) -> usize {
        FIXED
            + SHAPES
            + if self.barometer_matters {
                BAROMETER_SHAPES
            } else {
                0
            }
    }

    /// The part of a row that no lag changes: sensor lag and drifts.
    fn steady_row(&self, i: usize) -> Vector {
        let mut r = [0.0; MAX];
        let per_k = self.p_mean / self.t_mean;
        if self.source == TemperatureSource::Inside {
            r[5] = per_k * self.rate[i];
        }
        let w = &self.shapes[i];
        for k in 0..SHAPES {
            r[FIXED + k] = per_k * w[k];
        }
        if self.barometer_matters {
            let at = FIXED + SHAPES;
            r[at..at + BAROMETER_SHAPES].copy_from_slice(&w[..BAROMETER_SHAPES]);
        }
        r
    }

    /// Fills in the part that the lags change, for gas at `temp` (K), `leak` as in [`Ground::leak`].
    fn fill_row(&self, r: &mut Vector, temp: f64, leak: f64, decay: &Decays) {
        let per_k = self.p_mean / self.t_mean;
        r[0] = temp / self.t_mean;
        r[1] = leak * temp;
        r[2] = per_k * decay.gas.0;
        // How that changes with the lag: between the grid's nodes, and for settling that is not
        // quite exponential.
        r[3] = per_k * decay.gas.1;
        r[4] = per_k * decay.slow;
        if self.source != TemperatureSource::Inside {
            r[5] = per_k * decay.wall;
        }
        r[6] = -decay.wet;
    }

    /// What each unknown is expected to be.
    fn expected(&self, j: usize) -> f64 {
        if j == 5 && self.source == TemperatureSource::Inside {
            SENSOR_LAG_S
        } else {
            0.0
        }
    }

    /// Prior spread of each unknown.
    fn prior(&self, j: usize, v: &Variant) -> f64 {
        match j {
            0 => 1e4,
            1 => self.leak_sd,
            2 => self.spread.settling,
            3 => self.seen_k * BEND,
            4 => self.seen_k * v.slow_share,
            5 if self.source == TemperatureSource::Inside => SENSOR_LAG_SD_S,
            5 => v.wall.max(1e-3),
            6 => 0.5 * self.vapour_room,
            k if k < FIXED + SHAPES => self.spread.temperature * v.drift[k - FIXED],
            k => self.spread.barometer * drift::ANY[k - FIXED - SHAPES],
        }
    }

    /// Most settlings are one exponential, and most walls are as warm as the air; some are not. Which
    /// it is, is for the evidence to say: to allow for all of it at once would leave short holds open.
    fn variants(&self) -> Vec<Variant> {
        let of = |slow_share, wall, drift, weight| Variant {
            slow_share,
            wall,
            drift,
            weight,
        };
        match self.source {
            TemperatureSource::Inside => drift::laws(span_of(&self.t))
                .map(|law| of(SLOW_SHARE, 0.0, law, 1.0))
                .to_vec(),
            TemperatureSource::Surface => drift::laws(span_of(&self.t))
                .into_iter()
                .flat_map(|law| {
                    [
                        of(SLOW_SHARE_PLAIN, 0.0, law, PLAIN),
                        of(SLOW_SHARE, 0.0, law, 1.0 - PLAIN),
                    ]
                })
                .collect(),
            // Both at once, and no law told from another: with 25 pairs of lags, each variant more
            // would cost too much.
            TemperatureSource::Air | TemperatureSource::None => vec![
                of(SLOW_SHARE_PLAIN, WALL_PLAIN_K, drift::ANY, WALL_LIKE_AIR),
                of(
                    SLOW_SHARE,
                    self.spread.wall,
                    drift::ANY,
                    1.0 - WALL_LIKE_AIR,
                ),
            ],
        }
    }

    fn nodes(&self) -> Vec<Node> {
        const GAS: [f64; 6] = [20.0, 36.0, 65.0, 115.0, 205.0, 370.0];
        const GAS_FEW: [f64; 5] = [25.0, 50.0, 100.0, 200.0, 380.0];
        const WALL: [f64; 5] = [200.0, 500.0, 1100.0, 2200.0, 4500.0];
        const WET: [f64; 2] = [600.0, 1800.0];
        let plain = Node {
            gas_s: None,
            convection: false,
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
        // What a sensor in the gas leaves of the settling is too little to tell its law.
        let laws: &[bool] = match self.source {
            TemperatureSource::Surface => &[false, true],
            _ => &[false],
        };
        for &convection in laws {
            out.extend(GAS.iter().map(|&g| Node {
                gas_s: Some(g),
                convection,
                weight: gas / laws.len() as f64,
                ..plain
            }));
        }
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

/// What is left of each settling at some moment.
#[derive(Debug, Clone, Copy, Default)]
struct Decays {
    /// e^(−t/τ) and (t/τ)·e^(−t/τ).
    gas: (f64, f64),
    slow: f64,
    wall: f64,
    wet: f64,
}

/// What is left of a settling after `t`, and how that changes with the logarithm of its lag.
///
/// By conduction and stirring: e^(−t/τ), Newton's law. By `convection`: the gas's own, laminar, whose
/// flow dies away with what drives it. Nu ∝ Ra^¼ makes the flux go with ΔT^(5/4), so that what is left
/// is (1 + t/4τ)⁻⁴, with the same slope at the start and a much longer tail, which looks like a leak to
/// whoever expects an exponential (heat-transfer textbooks, the lumped enclosure).
fn settled(t: f64, tau: f64, convection: bool) -> (f64, f64) {
    if convection {
        let root = 1.0 / (1.0 + 0.25 * t / tau);
        let left = root.powi(4);
        (left, left * root * t / tau)
    } else {
        let left = (-t / tau).exp();
        (left, left * t / tau)
    }
}

impl Decays {
    fn at(t: f64, node: &Node) -> Self {
        let left = |tau: Option<f64>| tau.map_or(0.0, |tau| (-t / tau).exp());
        let settling = |tau: f64| settled(t, tau, node.convection);
        Self {
            gas: node.gas_s.map_or((0.0, 0.0), settling),
            slow: node.gas_s.map_or(0.0, |tau| settling(SLOWER * tau).0),
            wall: left(node.wall_s),
            wet: left(node.wet_s),
        }
    }
}

/// Means over one entry's readings that no lag changes.
struct Entry {
    row: Vector,
    leak: f64,
    /// Inside pressure, Pa.
    p: f64,
    var: f64,
    uniform: bool,
    first: usize,
    last: usize,
}

/// Exponentials of one lag at all entries, and of the steps between readings.
struct Lag {
    tau: f64,
    convection: bool,
    /// Means over each entry of [`settled`].
    decay: Vec<(f64, f64)>,
    /// e^(−Δt/τ) from each reading to the next.
    step: Vec<f64>,
}

/// A hold made ready for all nodes.
struct Bench<'a> {
    g: &'a Ground,
    entries: Vec<Entry>,
    lags: Vec<Lag>,
    /// Products of the columns that no lag changes, weighted.
    steady: Matrix,
}

/// Weighted sums of products of a node's columns: the normal equations without the priors.
struct Sums {
    node: Node,
    a: Matrix,
    b: Vector,
    yy: f64,
}

struct Solution {
    factor: Factor,
    x: Vector,
    leak_var: f64,
    evidence: f64,
    chi2: f64,
}

fn mean(range: std::ops::RangeInclusive<usize>, f: impl Fn(usize) -> f64) -> f64 {
    let m = (range.end() - range.start() + 1) as f64;
    range.map(f).sum::<f64>() / m
}

impl<'a> Bench<'a> {
    fn new(h: &HoldInput, s: &Series, g: &'a Ground, known: &[Known], nodes: &[Node]) -> Self {
        // What the drift's series leaves out hangs together over a stretch of the hold; entries
        // closer than that share it.
        let together = (known.len() as f64 / (2.0 * SHAPES as f64)).max(1.0);
        let rest = (SHAPES_REST * g.spread.temperature * g.p_mean / g.t_mean).powi(2) * together;
        let entries: Vec<Entry> = known
            .iter()
            .map(|k| {
                let all = k.first..=k.last;
                let m = (k.last - k.first + 1) as f64;
                let mut row = [0.0; MAX];
                for i in all.clone() {
                    for (r, x) in row.iter_mut().zip(g.steady_row(i)) {
                        *r += x / m;
                    }
                }
                let ambient = mean(all.clone(), |i| s.ambient[i]);
                let p = Series::inside(h.gauge, k.gauge, ambient);
                // No settling is exactly exponential: a share of what is still to come.
                let misfit = MISFIT * (p - g.p_mean);
                Entry {
                    row,
                    leak: mean(all, |i| g.leak[i]),
                    p,
                    var: k.var + misfit * misfit + rest,
                    uniform: k.uniform,
                    first: k.first,
                    last: k.last,
                }
            })
            .collect();
        let mut lags: Vec<Lag> = Vec::new();
        for node in nodes {
            for (tau, convection) in [
                (node.gas_s, node.convection),
                (node.gas_s.map(|t| SLOWER * t), node.convection),
                (node.wall_s, false),
                (node.wet_s, false),
            ] {
                let Some(tau) = tau else { continue };
                if lags
                    .iter()
                    .any(|l| l.tau == tau && l.convection == convection)
                {
                    continue;
                }
                let left: Vec<(f64, f64)> =
                    g.t.iter().map(|&t| settled(t, tau, convection)).collect();
                let decay = entries
                    .iter()
                    .map(|e| {
                        let all = e.first..=e.last;
                        (mean(all.clone(), |i| left[i].0), mean(all, |i| left[i].1))
                    })
                    .collect();
                let step =
                    g.t.windows(2)
                        .map(|w| (-(w[1] - w[0]) / tau).exp())
                        .collect();
                lags.push(Lag {
                    tau,
                    convection,
                    decay,
                    step,
                });
            }
        }
        let n = g.unknowns();
        let mut steady = [[0.0; MAX]; MAX];
        for e in &entries {
            for i in FIXED..n {
                let wi = e.row[i] / e.var;
                for j in FIXED..=i {
                    steady[i][j] += wi * e.row[j];
                }
            }
        }
        Self {
            g,
            entries,
            lags,
            steady,
        }
    }

    fn lag(&self, tau: Option<f64>, convection: bool) -> Option<&Lag> {
        let tau = tau?;
        self.lags
            .iter()
            .find(|l| l.tau == tau && l.convection == convection)
    }

    /// Temperature behind one lag, reading by reading; exact for an input that goes straight from
    /// reading to reading.
    fn behind(&self, temp: &[f64], lag: &Lag) -> Vec<f64> {
        let mut y = temp.first().copied().unwrap_or(0.0);
        let mut out = Vec::with_capacity(temp.len());
        out.push(y);
        for i in 1..temp.len() {
            let dt = self.g.t[i] - self.g.t[i - 1];
            if dt > 0.0 {
                let slope = (temp[i] - temp[i - 1]) / dt;
                y = temp[i] - slope * lag.tau
                    + (y - temp[i - 1] + slope * lag.tau) * lag.step[i - 1];
            }
            out.push(y);
        }
        out
    }

    /// Temperature of the gas for a node's lags, apart from the settling itself; `wall` is kept from
    /// node to node.
    fn gas_temperature(&self, node: &Node, wall: &mut Option<(f64, Vec<f64>)>) -> Vec<f64> {
        let source = self.g.source;
        if source == TemperatureSource::None || source == TemperatureSource::Inside {
            return self.g.temp.clone();
        }
        let outer = match (self.lag(node.wall_s, false), wall.as_ref()) {
            (Some(l), Some((tau, kept))) if *tau == l.tau => kept.clone(),
            (Some(l), _) => {
                let t = self.behind(&self.g.temp, l);
                *wall = Some((l.tau, t.clone()));
                t
            }
            (None, _) => self.g.temp.clone(),
        };
        match self.lag(node.gas_s, node.convection) {
            Some(l) => self.behind(&outer, l),
            None => outer,
        }
    }

    /// Each entry's row and target for a node.
    fn lines(&self, node: &Node, wall: &mut Option<(f64, Vec<f64>)>) -> Vec<(Vector, f64)> {
        let temp = self.gas_temperature(node, wall);
        let gas = self.lag(node.gas_s, node.convection);
        let slow = self.lag(node.gas_s.map(|t| SLOWER * t), node.convection);
        let (outer, wet) = (self.lag(node.wall_s, false), self.lag(node.wet_s, false));
        let of = |l: Option<&Lag>, k: usize| l.map_or((0.0, 0.0), |l| l.decay[k]);
        self.entries
            .iter()
            .enumerate()
            .map(|(k, e)| {
                let mut row = e.row;
                let decay = Decays {
                    gas: of(gas, k),
                    slow: of(slow, k).0,
                    wall: of(outer, k).0,
                    wet: of(wet, k).0,
                };
                self.g.fill_row(
                    &mut row,
                    mean(e.first..=e.last, |i| temp[i]),
                    e.leak,
                    &decay,
                );
                (row, e.p - self.g.p_mean * row[0])
            })
            .collect()
    }

    fn sums(&self, node: &Node, wall: &mut Option<(f64, Vec<f64>)>) -> Sums {
        let n = self.g.unknowns();
        let mut out = Sums {
            node: *node,
            a: self.steady,
            b: [0.0; MAX],
            yy: 0.0,
        };
        for ((row, y), e) in self.lines(node, wall).iter().zip(&self.entries) {
            let w = 1.0 / e.var;
            out.yy += y * y * w;
            for i in 0..n {
                let wi = row[i] * w;
                out.b[i] += wi * y;
                for j in 0..=i.min(FIXED - 1) {
                    out.a[i][j] += wi * row[j];
                }
            }
        }
        out
    }

    /// Solves a node's sums with the priors, all variances times `noise`.
    fn solve(&self, sums: &Sums, noise: f64, variant: &Variant) -> Option<Solution> {
        let n = self.g.unknowns();
        let mut a = sums.a;
        let mut b = sums.b;
        let mut yy = sums.yy / noise;
        let mut ln_var = self
            .entries
            .iter()
            .map(|e| (e.var * noise).ln())
            .sum::<f64>();
        for i in 0..n {
            let sd = self.g.prior(i, variant);
            for x in a[i].iter_mut().take(i + 1) {
                *x /= noise;
            }
            b[i] /= noise;
            a[i][i] += 1.0 / (sd * sd);
            let expected = self.g.expected(i);
            b[i] += expected / (sd * sd);
            yy += (expected / sd).powi(2);
            ln_var += 2.0 * sd.ln();
        }
        let factor = Factor::new(&a, n)?;
        let z = factor.forward(&b);
        let chi2 = (yy - z.iter().map(|z| z * z).sum::<f64>()).max(0.0);
        Some(Solution {
            x: factor.back(&z),
            leak_var: factor.inverse_column(1)[1],
            evidence: -0.5 * (chi2 + ln_var + factor.ln_det),
            chi2,
            factor,
        })
    }

    /// Factor on the variances that the residuals ask for: their size, and how far they hang together
    /// (lag-1 autocorrelation ρ: n readings are worth n(1 − ρ)/(1 + ρ)).
    fn restless(&self, node: &Node, found: &Solution) -> f64 {
        let free = self.entries.len() as f64 - 2.0;
        if free <= 3.0 {
            return 1.0;
        }
        let n = self.g.unknowns();
        let e: Vec<f64> = self
            .lines(node, &mut None)
            .iter()
            .zip(&self.entries)
            .map(|((row, y), e)| {
                let fit: f64 = (0..n).map(|j| row[j] * found.x[j]).sum();
                (y - fit) / e.var.sqrt()
            })
            .collect();
        let sum: f64 = e.iter().map(|x| x * x).sum();
        let lag: f64 = e.windows(2).map(|w| w[0] * w[1]).sum();
        let rho = if sum > 0.0 {
            (lag / sum).clamp(0.0, 0.9)
        } else {
            0.0
        };
        (found.chi2 / free * (1.0 + rho) / (1.0 - rho)).max(1.0)
    }
}

/// Fits a hold. `None` where there is nothing to fit.
pub(super) fn fit(h: &HoldInput, s: &Series, g: &Ground, known: &[Known]) -> Option<Fit> {
    if known.len() < 2 {
        return None;
    }
    let nodes = g.nodes();
    let bench = Bench::new(h, s, g, known, &nodes);
    let mut wall = None;
    let sums: Vec<Sums> = nodes.iter().map(|n| bench.sums(n, &mut wall)).collect();
    let variants = g.variants();
    // How restless the readings are is asked of the freest variant, which fits closest.
    let freest = variants.last()?;
    let tried: Vec<(&Sums, Solution)> = sums
        .iter()
        .filter_map(|s| Some((s, bench.solve(s, 1.0, freest)?)))
        .collect();
    let closest = tried.iter().min_by(|a, b| a.1.chi2.total_cmp(&b.1.chi2))?;
    let asked = bench.restless(&closest.0.node, &closest.1);
    let noise = if asked > 1.1 { asked } else { 1.0 };
    // Lags that even so fit far worse are not worth solving for every variant.
    let most = closest.1.chi2 + HOPELESS * noise;
    let mut solved: Vec<(Node, Solution, Variant)> = tried
        .iter()
        .filter(|x| x.1.chi2 <= most)
        .flat_map(|x| variants.iter().map(move |v| (x.0, v)))
        .filter_map(|(s, v)| Some((s.node, bench.solve(s, noise, v)?, *v)))
        .collect();
    // Water evaporating counts only where it is seen to: it can't take pressure away, and as a mere
    // possibility it would leave every long hold open.
    solved
        .retain(|x| x.0.wet_s.is_none() || x.1.x[6] > 3.0 * x.1.factor.inverse_column(6)[6].sqrt());
    let score = |x: &(Node, Solution, Variant)| x.1.evidence + (x.0.weight * x.2.weight).ln();
    let top = solved.iter().map(score).fold(f64::NEG_INFINITY, f64::max);
    let (mut total, mut mean, mut sq, mut within, mut wet) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for x in &solved {
        let w = (score(x) - top).exp();
        total += w;
        mean += w * x.1.x[1];
        sq += w * x.1.x[1].powi(2);
        within += w * x.1.leak_var;
        if x.0.wet_s.is_some() {
            wet += w;
        }
    }
    let (node, best, variant) = solved.iter().max_by(|a, b| score(a).total_cmp(&score(b)))?;
    mean /= total;
    within /= total;
    let between = (sq / total - mean * mean).max(0.0);
    // Shares of the variance, of the best node: A⁻¹ applied to each source of error alone.
    let inv = best.factor.inverse();
    let n = g.unknowns();
    let mut parts = [0.0; 4];
    let mut uniform_sq = 0.0;
    for ((row, _), e) in bench.lines(node, &mut None).iter().zip(&bench.entries) {
        let c: f64 = (0..n).map(|j| inv[1][j] * row[j]).sum::<f64>() / (e.var * noise);
        let v = c * c * e.var * noise;
        parts[0] += v;
        if e.uniform {
            uniform_sq += v * v;
        }
    }
    for j in 2..n {
        let group = if j < FIXED {
            3
        } else if j < FIXED + SHAPES {
            1
        } else {
            2
        };
        parts[group] += (inv[1][j] / g.prior(j, variant)).powi(2);
    }
    parts[3] += between;
    let choices = solved
        .iter()
        .map(|x| Choice {
            weight: (score(x) - top).exp() / total,
            mean: x.1.x[1],
            var: x.1.leak_var,
        })
        .filter(|c| c.weight > NEGLIGIBLE)
        .collect();
    Some(Fit {
        choices,
        mean,
        var: within + between,
        parts,
        uniform_sq,
        noise,
        best: *node,
        wet: wet / total,
        best_x: best.x,
        best_inv: inv,
    })
}

/// Variance of the leak that entries like these will give with these lags, mL².
pub(super) fn predict(
    h: &HoldInput,
    s: &Series,
    g: &Ground,
    known: &[Known],
    node: &Node,
) -> Option<f64> {
    let bench = Bench::new(h, s, g, known, std::slice::from_ref(node));
    let sums = bench.sums(node, &mut None);
    let variant = g.variants().into_iter().next()?;
    bench.solve(&sums, 1.0, &variant).map(|x| x.leak_var)
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
        let mut decay = Decays::at(g.t[i], &self.best);
        decay.wall = 0.0;
        decay.wet = 0.0;
        let mut r = [0.0; MAX];
        g.fill_row(&mut r, g.t_mean, g.leak[i], &decay);
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
