//! What may have been shut in with the gas, as a list of worlds, each weighed by what the hold's own
//! readings say of it: how warm a camera had made the gas, how much vapour packs take.
//!
//! The late readings of a hold, reduced to one temperature, are a level, a settling that dies away,
//! a slow drift of the thermometer, and what the world says: y(t) = L·(1 + ΔT(t)/T) − drunk(t). All but
//! the world is linear with Gaussian priors and is solved for at once; so each world has its evidence and
//! its level, the pressure of the dry, settled gas. What is bounded (kelvins, vapour) stays bounded.

use super::drift;
use super::inside::{
    CAMERA_LAG_S, PACKS_LAG_S, PACKS_TAKE, UNSAID_CAMERA, UNSAID_PACKS, may_dry, may_warm,
    vapour_shut_in,
};
use super::linear::{Factor, MAX, Matrix, Vector};
use super::{Camera, Desiccant, HoldInput, TemperatureSource};

/// One thing that may be so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct World {
    /// Its share; all add up to 1.
    pub weight: f64,
    /// Where the gas stands above the wall once the camera has run for long, K.
    pub camera_k: f64,
    /// With this time constant, s.
    pub camera_s: f64,
    /// How far it stood there when the valve was closed, K.
    pub warm_k: f64,
    /// The camera runs through the hold.
    pub runs: bool,
    /// Vapour that packs take in all, Pa.
    pub dries_pa: f64,
    /// With this time constant, s.
    pub packs_s: f64,
    /// Level of the dry, settled gas at the reference temperature, Pa, and its standard uncertainty.
    pub level_pa: f64,
    /// See `level_pa`.
    pub level_sd: f64,
    /// What the settling had still to come when the valve was closed.
    pub settling: Settling,
}

/// A settling that dies away.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Settling {
    /// What it takes off the pressure (or puts on) when the valve is closed, Pa, and its variance.
    pub pa: (f64, f64),
    /// How that goes with the level: the covariance, Pa².
    pub with_level: f64,
    /// Its time constant, s; 0 where there is none.
    pub lag_s: f64,
}

impl Settling {
    /// What is left of one at `t`, as a share.
    fn left(&self, t: f64) -> f64 {
        if self.lag_s > 0.0 {
            (-t.max(0.0) / self.lag_s).exp()
        } else {
            0.0
        }
    }

    /// The same, Pa.
    pub(super) fn at(&self, t: f64) -> f64 {
        self.pa.0 * self.left(t)
    }
}

impl World {
    /// Vapour taken up `t` seconds after the closing, Pa.
    pub(super) fn drunk(&self, t: f64) -> f64 {
        self.dries_pa * (1.0 - (-t.max(0.0) / self.packs_s).exp())
    }

    /// Pressure of the dry gas `t` seconds after the closing, as far as it has settled by then, Pa.
    pub(super) fn level_at(&self, t: f64) -> f64 {
        self.level_pa + self.settling.at(t)
    }

    /// The variance of that, Pa².
    pub(super) fn level_var_at(&self, t: f64) -> f64 {
        let left = self.settling.left(t);
        let more = 2.0 * left * self.settling.with_level + left * left * self.settling.pa.1;
        (self.level_sd.powi(2) + more).max(0.0)
    }

    /// How far the gas stands above the wall `t` seconds after the closing, K.
    pub(super) fn above(&self, t: f64) -> f64 {
        let left = (-t.max(0.0) / self.camera_s).exp();
        if self.runs {
            self.warm_k + (self.camera_k - self.warm_k) * (1.0 - left)
        } else {
            self.warm_k * left
        }
    }

    /// What it may stand there at a later moment `t`, K, with shares: `camera` says whether the camera
    /// runs then or ran within the last half hour; the hold's last reading was at `held`.
    pub(super) fn above_at(&self, camera: Option<bool>, t: f64, held: f64) -> Vec<(f64, f64)> {
        /// Off means: not in the last half hour.
        const OFF_FOR_S: f64 = 1800.0;
        // How far on the way it is, switched on minutes ago or long since.
        let on = [(0.1, 0.25), (0.2, 0.5), (0.3, 0.75), (0.4, 1.0)]
            .map(|(share, way)| (share, way * self.camera_k));
        let off = if self.runs {
            // Switched off some time between.
            let ago = (t - held).max(0.0);
            let left = |s: f64| self.above(held) * (-s / self.camera_s).exp();
            vec![(0.5, left(ago.min(OFF_FOR_S))), (0.5, left(ago))]
        } else {
            vec![(1.0, self.above(t))]
        };
        match camera {
            Some(true) => on.to_vec(),
            Some(false) => off,
            None => on
                .iter()
                .chain(&off)
                .map(|&(share, k)| (0.5 * share, k))
                .collect(),
        }
    }
}

/// Middles of `N` strata of equal share between two ends.
fn strata<const N: usize>((low, high): (f64, f64)) -> [f64; N] {
    std::array::from_fn(|i| low + (high - low) * (i as f64 + 0.5) / N as f64)
}

/// The same on a logarithmic scale.
fn strata_log<const N: usize>((low, high): (f64, f64)) -> [f64; N] {
    strata::<N>((low.ln(), high.ln())).map(f64::exp)
}

/// What may be so of a camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cameras {
    /// Least and most that it warms the gas once it has run for long, K.
    pub k: (f64, f64),
    /// Nobody spoke of one at closing, and it is off now: then it is not taken to have run through the
    /// hold. The gas can't tell a camera that comes on from the settling after the pump-down, so no
    /// recheck without a sensor in it would pass anything. Whoever says so at closing is believed.
    pub not_on: bool,
}

fn unsaid<T: PartialEq>(of: &[(T, f64)], state: T) -> f64 {
    of.iter().find(|x| x.0 == state).map_or(0.0, |x| x.1)
}

/// Every world that the crew's word leaves, before the readings are asked.
fn possible(h: &HoldInput, gas: (f64, f64, f64), cameras_may: Cameras) -> Vec<World> {
    let (t_k, inside_pa, ambient_pa) = gas;
    let plain = World {
        weight: 1.0,
        camera_k: 0.0,
        camera_s: CAMERA_LAG_S.0,
        warm_k: 0.0,
        runs: false,
        dries_pa: 0.0,
        packs_s: PACKS_LAG_S.0,
        level_pa: 0.0,
        level_sd: 0.0,
        settling: Settling::default(),
    };
    let kelvins = strata::<6>(cameras_may.k);
    let lags = strata_log::<4>(CAMERA_LAG_S);
    let mut cameras = Vec::new();
    // Also a camera that is cold at closing may run later.
    let share = |state: Camera| match h.shut_in.camera {
        Some(said) => f64::from(u8::from(said == state)),
        None if state == Camera::On && cameras_may.not_on => 0.0,
        None => unsaid(&UNSAID_CAMERA, state),
    };
    for camera_k in kelvins {
        let cold = World {
            weight: share(Camera::Cold) / 6.0,
            camera_k,
            ..plain
        };
        cameras.push(cold);
        if !may_warm(h.shut_in.camera) {
            continue;
        }
        for camera_s in lags {
            // Switched off just now, or up to an hour ago.
            for way in [0.2, 0.6, 1.0] {
                cameras.push(World {
                    weight: share(Camera::Warm) / 72.0,
                    camera_s,
                    warm_k: way * camera_k,
                    ..cold
                });
            }
            // Switched on just now, or on for long.
            for way in [0.0, 0.5, 1.0] {
                cameras.push(World {
                    weight: share(Camera::On) / 72.0,
                    camera_s,
                    warm_k: way * camera_k,
                    runs: true,
                    ..cold
                });
            }
        }
    }
    let mut packs = vec![(
        match h.shut_in.desiccant {
            Some(said) => f64::from(u8::from(said == Desiccant::None)),
            None => unsaid(&UNSAID_PACKS, Desiccant::None),
        },
        0.0,
        PACKS_LAG_S.0,
    )];
    if may_dry(h.shut_in.desiccant) {
        let fresh = 1.0 - packs[0].0;
        let (least, most) = vapour_shut_in(h.humidity, t_k, inside_pa, ambient_pa);
        // They take some of it, up to nine tenths.
        let takes = strata::<6>((0.3 * PACKS_TAKE * least, PACKS_TAKE * most));
        for pa in takes {
            for s in strata_log::<4>(PACKS_LAG_S) {
                packs.push((fresh / 24.0, pa, s));
            }
        }
    }
    cameras
        .iter()
        .filter(|c| c.weight > 0.0)
        .flat_map(|c| {
            packs
                .iter()
                .filter(|p| p.0 > 0.0)
                .map(|&(share, dries_pa, packs_s)| World {
                    weight: c.weight * share,
                    dries_pa,
                    packs_s,
                    ..*c
                })
        })
        .collect()
}

/// A hold's readings made ready for the worlds: those not set aside.
#[derive(Debug, Clone)]
pub(super) struct Held {
    /// Seconds since the valve was closed.
    pub t: Vec<f64>,
    /// Pressure inside at the reference temperature, by the thermometer, less what a known leak let
    /// in, Pa.
    pub y: Vec<f64>,
    /// Reference temperature, K.
    pub t_k: f64,
    /// Ambient at the start, Pa.
    pub ambient_pa: f64,
    /// What the temperature is good for.
    pub source: TemperatureSource,
}

/// Settlings after the pump-down: time constant, s, what is left of it at the start, K, and how likely it is
/// beside the others. The fourth is the slow part behind boards and foam; the last two are of a gas that
/// comes back as slowly as it may lag behind wall and air.
const SETTLINGS: [(f64, f64, f64); 6] = [
    (80.0, 8.0, 1.0),
    (180.0, 8.0, 1.0),
    (370.0, 8.0, 1.0),
    (900.0, 1.0, 1.0),
    (900.0, 8.0, SLOWLY),
    (1500.0, 8.0, SLOWLY),
];
/// See [`SETTLINGS`]. A choice: rare, so that only readings bring it in.
const SLOWLY: f64 = 0.1;
/// Share of a settling that a sensor in the gas does not see.
const SENSOR_MISSES: f64 = 0.04;
/// Readings before this are left out: a settling is an exponential only later, s …
const FROM_S: f64 = 300.0;
/// … but so many of the last are always taken.
const AT_LEAST: usize = 5;
/// Shapes of the thermometer's drift that are solved for.
const SHAPES: usize = 4;
/// How much of the evidence counts: real errors are less regular than the model's. Set by simulation.
const TRUST: f64 = 0.5;
/// A world with less than this share of the best one's evidence is given up.
const NEGLIGIBLE: f64 = 1e-7;

/// How far the gas may drift from what the thermometer says within a hold, K (1 sd). Common practice,
/// as the hold's own judge has it.
fn drift_k(h: &HoldInput, source: TemperatureSource, span: f64) -> f64 {
    super::model::spread(source, true, span, h.temperature_sd_k).temperature
}

/// All worlds with their share after the hold's readings, and their level.
pub(super) fn weighed(h: &HoldInput, held: &Held, felt: f64, cameras_may: Cameras) -> Vec<World> {
    let last = held.y.last().copied().unwrap_or(0.0);
    let gas = (held.t_k, last, held.ambient_pa);
    let mut worlds = possible(h, gas, cameras_may);
    let per_k = last / held.t_k;
    let from = (held.t.partition_point(|t| *t < FROM_S)).min(held.t.len().saturating_sub(AT_LEAST));
    let step = h.gauge_resolution_pa / 12f64.sqrt();
    let n = held.t.len() - from;
    let unseen = match held.source {
        TemperatureSource::Inside => SENSOR_MISSES,
        _ => 1.0,
    };
    if n < AT_LEAST {
        // Too little to tell them apart: each by the last reading.
        let t = held.t.last().copied().unwrap_or(0.0);
        let settling = unseen * 8.0 * per_k * (-t / SETTLINGS[1].0).exp();
        for w in &mut worlds {
            w.level_pa = last - felt * per_k * w.above(t) + w.drunk(t);
            w.level_sd = step.hypot(settling);
        }
        return worlds;
    }
    let (t, y) = (&held.t[from..], &held.y[from..]);
    let (start, end) = (t[0], t[n - 1]);
    let span = (end - start).max(1.0);
    let drift = drift_k(h, held.source, end - held.t[0]) * per_k;
    // A gauge's step is no noise where nothing moves, and a thermometer's own step comes on top.
    let noise = step.hypot(0.05 * per_k);
    let camera_lags = strata_log::<4>(CAMERA_LAG_S);
    let packs_lags = strata_log::<4>(PACKS_LAG_S);
    let mut curves: Vec<Vec<f64>> = vec![y.iter().map(|v| v - last).collect()];
    for lag in camera_lags.iter().chain(&packs_lags) {
        curves.push(t.iter().map(|t| (-t / lag).exp()).collect());
    }
    // A camera that cools, or runs, is as slow as they are: where one was spoken of it is taken for that.
    let spoken_of = matches!(h.shut_in.camera, Some(Camera::Warm | Camera::On));
    let fits: Vec<(Solved, f64, f64)> = SETTLINGS
        .iter()
        .filter(|s| !(spoken_of && s.2 < 1.0))
        .filter_map(|&(lag, kelvins, share)| {
            let rows: Vec<Vector> = t
                .iter()
                .map(|&t| {
                    let mut r = [0.0; MAX];
                    r[0] = 1.0;
                    r[1] = (-t / lag).exp();
                    let shapes = drift::at((t - start) / span);
                    r[2..2 + SHAPES].copy_from_slice(&shapes[..SHAPES]);
                    r
                })
                .collect();
            let mut prior = [0.0; MAX];
            prior[0] = 1e-12;
            prior[1] = (unseen * kelvins * per_k).powi(-2);
            for (p, share) in prior[2..2 + SHAPES].iter_mut().zip(drift::ANY) {
                *p = (share * drift).max(1.0).powi(-2);
            }
            let solved = Solved::new(&rows, &prior, 2 + SHAPES, noise, &curves)?;
            Some((solved, lag, share))
        })
        .collect();
    if fits.is_empty() {
        return worlds;
    }
    let mut out = Vec::new();
    let mut logs = Vec::new();
    for w in &worlds {
        // y − last = L + coefficient·curve …: what the world says, as multiples of the curves.
        let mut share = vec![0.0; curves.len()];
        share[0] = 1.0;
        let mut level = 0.0;
        let warm = felt * per_k;
        if let Some(i) = camera_lags.iter().position(|l| *l == w.camera_s) {
            // above(t) = constant + factor·e^(−t/τ).
            let (constant, factor) = if w.runs {
                (w.camera_k, w.warm_k - w.camera_k)
            } else {
                (0.0, w.warm_k)
            };
            share[1 + i] -= warm * factor;
            level -= warm * constant;
        }
        if let Some(i) = packs_lags.iter().position(|l| *l == w.packs_s) {
            // −drunk(t) = −v + v·e^(−t/τ).
            share[5 + i] -= w.dries_pa;
            level += w.dries_pa;
        }
        for (fit, lag_s, likely) in &fits {
            let (misfit, at, settles) = fit.of(&share);
            logs.push((w.weight * likely).ln() - TRUST * (0.5 * misfit + 0.5 * fit.ln_det));
            out.push(World {
                level_pa: last + at + level,
                level_sd: fit.vars[0].sqrt(),
                settling: Settling {
                    pa: (settles, fit.vars[2]),
                    with_level: fit.vars[1],
                    lag_s: *lag_s,
                },
                ..*w
            });
        }
    }
    let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut sum = 0.0;
    for (w, log) in out.iter_mut().zip(&logs) {
        w.weight = (log - best).exp();
        if w.weight < NEGLIGIBLE {
            w.weight = 0.0;
        }
        sum += w.weight;
    }
    out.retain_mut(|w| {
        w.weight /= sum;
        w.weight > 0.0
    });
    out
}

/// Curves with everything linear taken out: products of what is left, and each one's level and settling.
struct Solved {
    products: Vec<Vec<f64>>,
    levels: Vec<(f64, f64)>,
    /// Variance of the level, its covariance with the settling, variance of the settling.
    vars: [f64; 3],
    /// Logarithm of the determinant of the unknowns' precision over their prior's.
    ln_det: f64,
}

impl Solved {
    fn new(
        rows: &[Vector],
        prior: &Vector,
        unknowns: usize,
        noise: f64,
        curves: &[Vec<f64>],
    ) -> Option<Self> {
        let weight = noise.powi(-2);
        let mut m: Matrix = [[0.0; MAX]; MAX];
        for r in rows {
            for i in 0..unknowns {
                for j in 0..=i {
                    m[i][j] += weight * r[i] * r[j];
                }
            }
        }
        let mut ln_prior = 0.0;
        for i in 0..unknowns {
            m[i][i] += prior[i];
            ln_prior += prior[i].ln();
        }
        let factor = Factor::new(&m, unknowns)?;
        let whitened: Vec<Vector> = curves
            .iter()
            .map(|c| {
                let mut b = [0.0; MAX];
                for (r, v) in rows.iter().zip(c) {
                    for i in 0..unknowns {
                        b[i] += weight * r[i] * v;
                    }
                }
                factor.forward(&b)
            })
            .collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let products = curves
            .iter()
            .zip(&whitened)
            .map(|(a, za)| {
                curves
                    .iter()
                    .zip(&whitened)
                    .map(|(b, zb)| weight * dot(a, b) - dot(za, zb))
                    .collect()
            })
            .collect();
        let levels = whitened
            .iter()
            .map(|z| {
                let x = factor.back(z);
                (x[0], x[1])
            })
            .collect();
        let (level, settling) = (factor.inverse_column(0), factor.inverse_column(1));
        Some(Self {
            products,
            levels,
            vars: [level[0], level[1], settling[1]],
            ln_det: factor.ln_det - ln_prior,
        })
    }

    /// χ² of that sum of curves, its level and its settling.
    fn of(&self, share: &[f64]) -> (f64, f64, f64) {
        let mut misfit = 0.0;
        for (a, row) in share.iter().zip(&self.products) {
            if *a != 0.0 {
                misfit += a * share.iter().zip(row).map(|(b, p)| b * p).sum::<f64>();
            }
        }
        let of = share.iter().zip(&self.levels);
        let (level, settling) = of.fold((0.0, 0.0), |(l, s), (a, x)| (l + a * x.0, s + a * x.1));
        (misfit, level, settling)
    }
}

#[cfg(test)]
mod reckoned;
