//! Simulates vacuum holds and counts how often the verdict is wrong.
//!
//! `holdsim [--holds N] [--seed S] [--threads T] [--world mixed|plain|still] [--camera cold|warm|on] [--desiccant none|fresh] [--place here|moved] [--said all|none] [--driven-by-air] [--source inside|surface|air|none] [--minutes M] [--list] [--once] [--trace HOLD] [--limits] [--promises]`
//!
//! `--promises` asks of tight holds, read as the app asks for it and judged by limits about the built-in
//! one, how often a verdict has come by the time that was foretold.
//!
//! In the mixed world, which is simulated unless another is asked for, every other enclosure has a
//! camera inside that was or is on, every third fresh desiccant, every fourth came from elsewhere;
//! two in three crews say so, the others say nothing. `--driven-by-air` lets the leak go by what the
//! air alone has for pressure, as if the packs had taken nothing: not what nature does, but what
//! other models of this may do. In the plain one all is cold, dry and stood
//! here, and said to be. In the still one, moreover, air and barometer rest, the gas has all but settled
//! and the gauge has no noise: it stands on one number for as long as nothing leaks by a step of it.
//!
//! The enclosure here shares no code with what judges it: gas, wall and air exchange heat step by
//! step by one of several laws, the leak is integrated beside them, thermometer, barometer and gauge
//! each err by one of several laws, and readings are mistyped now and then. The judge sees only what
//! a crew would have written down, reading by reading, and its first verdict counts.
//!
//! Exit status 1 where a target is missed by more than chance (see `Tally::report`).

use std::collections::BTreeMap;
use std::process::ExitCode;

use slackwater_checks::nature::{air_viscosity, saturation, water_viscosity};
use slackwater_core::physics::hold::{
    Camera, Desiccant, Dive, GaugeKind, HoldInput, Judgement, Reading, ShutIn, Stood,
    TemperatureSource, Verdict, Way, judge, judge_briefly,
};

/// xoshiro256** (Blackman & Vigna 2018), seeded by splitmix64: both public domain algorithms.
struct Dice {
    s: [u64; 4],
    spare: Option<f64>,
}

impl Dice {
    fn new(seed: u64) -> Self {
        let mut z = seed;
        let mut next = || {
            z = z.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut x = z;
            x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            x ^ (x >> 31)
        };
        Self {
            s: [next(), next(), next(), next()],
            spare: None,
        }
    }

    fn bits(&mut self) -> u64 {
        let s = &mut self.s;
        let out = s[1].wrapping_mul(5).rotate_left(7).wrapping_mul(9);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        out
    }

    fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 * (1.0 / (1_u64 << 53) as f64)
    }

    fn between(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.unit()
    }

    fn log_between(&mut self, lo: f64, hi: f64) -> f64 {
        self.between(lo.ln(), hi.ln()).exp()
    }

    fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }

    fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// Standard normal, by the polar method.
    fn normal(&mut self) -> f64 {
        if let Some(x) = self.spare.take() {
            return x;
        }
        loop {
            let (a, b) = (self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            let r = a * a + b * b;
            if r > 0.0 && r < 1.0 {
                let f = (-2.0 * r.ln() / r).sqrt();
                self.spare = Some(b * f);
                return a * f;
            }
        }
    }
}

/// What the crew's thermometer shows in, K.
const THERMOMETER_STEP_K: f64 = 0.1;
/// What the crew's barometer shows in, and its reading noise (1 sd), Pa.
const BAROMETER_STEP_PA: f64 = 10.0;
const BAROMETER_NOISE_PA: f64 = 2.0;

/// How far a sensor in the gas is behind it, s.
const PROBE_LAG_S: (f64, f64) = (3.0, 12.0);

/// What really is in a hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Tight,
    Small,
    Limit,
    Over,
}

/// A slow error of an instrument, by one of three laws of the same spread.
enum Drift {
    /// From nothing to `end` in a straight line.
    Ramp { end: f64 },
    /// Wanders and returns with this time constant, s.
    Wander { now: f64, sd: f64, tau: f64 },
    /// Settles to `end` with this time constant, s.
    Approach { end: f64, tau: f64 },
}

impl Drift {
    fn new(d: &mut Dice, sd: f64, span: f64) -> Self {
        match d.below(3) {
            0 => Self::Ramp {
                end: sd * d.normal(),
            },
            1 => Self::Wander {
                now: sd * d.normal(),
                sd,
                tau: d.log_between(1800.0, 20_000.0),
            },
            _ => Self::Approach {
                end: sd * d.normal(),
                tau: span * d.between(0.1, 1.5),
            },
        }
    }

    /// Covariance of the error at two times, for a spread of `sd` (the law known, its draw not).
    fn covariance(&self, sd: f64, t: f64, u: f64, span: f64) -> f64 {
        sd * sd
            * match self {
                Self::Ramp { .. } => t * u / (span * span),
                Self::Wander { tau, .. } => (-(t - u).abs() / tau).exp(),
                Self::Approach { tau, .. } => (1.0 - (-t / tau).exp()) * (1.0 - (-u / tau).exp()),
            }
    }

    /// The same for whoever does not know which law it is: the mean over all that [`Drift::new`] draws.
    fn covariance_of_any(sd: f64, t: f64, u: f64, span: f64) -> f64 {
        const POINTS: usize = 8;
        let mean = |law: &dyn Fn(f64) -> Drift| {
            (0..POINTS)
                .map(|i| law((i as f64 + 0.5) / POINTS as f64).covariance(sd, t, u, span))
                .sum::<f64>()
                / POINTS as f64
        };
        let ramp = Self::Ramp { end: 0.0 }.covariance(sd, t, u, span);
        let wander = mean(&|x| Self::Wander {
            now: 0.0,
            sd,
            tau: 1800.0 * (20_000.0_f64 / 1800.0).powf(x),
        });
        let approach = mean(&|x| Self::Approach {
            end: 0.0,
            tau: span * (0.1 + 1.4 * x),
        });
        (ramp + wander + approach) / 3.0
    }

    fn at(&mut self, d: &mut Dice, t: f64, dt: f64, span: f64) -> f64 {
        match self {
            Self::Ramp { end } => *end * t / span,
            Self::Wander { now, sd, tau } => {
                let q = (-dt / *tau).exp();
                *now = *now * q + *sd * (1.0 - q * q).sqrt() * d.normal();
                *now
            }
            Self::Approach { end, tau } => *end * (1.0 - (-t / *tau).exp()),
        }
    }
}

/// How the gas comes to the wall's temperature after the pump-down.
enum Settling {
    /// Newton's law.
    Newton { tau: f64 },
    /// Free convection: the rate falls with the fourth root of the difference.
    Convection { tau: f64, start: f64 },
    /// Two parts of the gas, one slower (behind boards and foam).
    TwoParts { tau: f64, slow: f64, share: f64 },
}

/// Cramér–Rao bound of the leak's standard uncertainty, mL: readings of covariance `cov` at `columns`
/// (level, leak in Pa per mL, settling), all free. `None` where it can't be had.
fn cramer_rao(cov: &mut [Vec<f64>], columns: &mut [Vec<f64>]) -> Option<f64> {
    let n = cov.len();
    // Cholesky in place, then L⁻¹ of each column, then the Fisher matrix and its inverse's entry.
    for i in 0..n {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| cov[i][k] * cov[j][k]).sum();
            let v = cov[i][j] - dot;
            cov[i][j] = if i == j { v.sqrt() } else { v / cov[j][j] };
        }
    }
    for c in columns.iter_mut() {
        for i in 0..n {
            let dot: f64 = (0..i).map(|k| cov[i][k] * c[k]).sum();
            c[i] = (c[i] - dot) / cov[i][i];
        }
    }
    // Gram–Schmidt: what of the leak's column the others can't mimic.
    let (leak, others) = columns.split_first_mut()?;
    for k in 0..others.len() {
        let (done, rest) = others.split_at_mut(k);
        let c = rest.first_mut()?;
        for d in done.iter() {
            let f: f64 = c.iter().zip(d).map(|(a, b)| a * b).sum();
            c.iter_mut().zip(d).for_each(|(a, b)| *a -= f * b);
        }
        let norm = c.iter().map(|x| x * x).sum::<f64>().sqrt();
        c.iter_mut().for_each(|x| *x /= norm);
        let f: f64 = leak.iter().zip(c.iter()).map(|(a, b)| a * b).sum();
        leak.iter_mut().zip(c.iter()).for_each(|(a, b)| *a -= f * b);
    }
    let info: f64 = leak.iter().map(|x| x * x).sum();
    Some(info.powf(-0.5)).filter(|s| s.is_finite())
}

/// What moves the pressure of a hold without a leak: the truth.
///
/// The camera's metal and the wall are two bodies; the gas between them follows at once, apart from
/// its settling after the pump-down, to a share of their difference:
///
/// C·dx/dt = P − G·x − C·dw/dt with x the camera above the wall w, and the wall takes the heat G·x.
struct Within {
    so: ShutIn,
    said: ShutIn,
    /// What the camera tends to be above the wall, and is, as the gas sees it, K.
    balance: f64,
    warmth: f64,
    camera_tau: f64,
    /// What the running camera makes the wall warmer than the air in the end, and has when the valve
    /// is closed, K.
    wall_rise: f64,
    wall_now: f64,
    /// Vapour: share of saturation at closing, share of it that the packs take, and how fast, s.
    humidity: f64,
    packs_take: f64,
    packs_tau: f64,
    /// What a hygrometer showed at closing.
    hygrometer: Option<f64>,
    /// Wall from the air at closing, where the enclosure came from elsewhere, K.
    moved: f64,
    /// What a thermometer at one place misses: of the warmth, and of wall against air.
    spot_warmth: f64,
    spot_wall: f64,
}

impl Within {
    fn nothing() -> Self {
        Self {
            so: ShutIn::NOTHING,
            said: ShutIn::NOTHING,
            balance: 0.0,
            warmth: 0.0,
            camera_tau: 1000.0,
            wall_rise: 0.0,
            wall_now: 0.0,
            humidity: 0.0,
            packs_take: 0.0,
            packs_tau: 1000.0,
            hygrometer: None,
            moved: 0.0,
            spot_warmth: 0.0,
            spot_wall: 0.0,
        }
    }

    fn new(d: &mut Dice, wish: Wish, wall_tau: f64) -> Self {
        let mut w = Self::nothing();
        let camera = match d.below(4) {
            0 => Camera::Warm,
            1 => Camera::On,
            _ => Camera::Cold,
        };
        let desiccant = if d.chance(1.0 / 3.0) {
            Desiccant::Fresh
        } else {
            Desiccant::None
        };
        let stood = if d.chance(0.25) {
            Stood::Moved
        } else {
            Stood::Here
        };
        let (camera, desiccant, stood) = (
            wish.camera.unwrap_or(camera),
            wish.desiccant.unwrap_or(desiccant),
            wish.stood.unwrap_or(stood),
        );
        w.so = ShutIn {
            camera: Some(camera),
            desiccant: Some(desiccant),
            stood: Some(stood),
        };
        let mut says = || match wish.said {
            Some(said) => said,
            None => d.chance(2.0 / 3.0),
        };
        w.said = ShutIn {
            camera: Some(camera).filter(|_| says()),
            desiccant: Some(desiccant).filter(|_| says()),
            stood: Some(stood).filter(|_| says()),
        };
        w.camera_tau = d.log_between(480.0, 2400.0);
        let excess = d.between(1.0, 8.0);
        let rise = d.between(0.0, 10.0);
        let ran = d.log_between(300.0, 7200.0);
        let late = d.chance(0.5);
        let ago = d.between(0.0, 1800.0);
        let came = |tau: f64, ran: f64| 1.0 - (-ran / tau).exp();
        match camera {
            Camera::Cold => {}
            Camera::On => {
                let ran = if late { 0.0 } else { ran };
                w.balance = excess;
                w.warmth = excess * came(w.camera_tau, ran);
                w.wall_rise = rise;
                w.wall_now = rise * came(wall_tau, ran);
            }
            Camera::Warm => {
                let ago = if late { 0.0 } else { ago };
                // So that what is left when it goes off is what a camera puts the gas above the wall.
                w.warmth = excess * (-ago / w.camera_tau).exp();
                w.wall_now = rise * came(wall_tau, ran) * (-ago / wall_tau).exp();
                w.wall_rise = rise;
            }
        }
        w.humidity = d.between(0.3, 0.95);
        w.packs_tau = d.log_between(900.0, 5400.0);
        let take = d.between(0.3, 0.9);
        let hygrometer = (w.humidity + 0.03 * d.normal()).clamp(0.0, 1.0);
        let shows = d.chance(0.3);
        if desiccant == Desiccant::Fresh {
            w.packs_take = take;
            w.hygrometer = shows.then_some(hygrometer);
        }
        let off = d.between(2.0, 12.0) * if d.chance(0.5) { 1.0 } else { -1.0 };
        if stood == Stood::Moved {
            w.moved = off;
        }
        w.spot_warmth = 0.03 * d.normal();
        w.spot_wall = d.between(-0.03, 0.03);
        w
    }

    /// Moves the camera on by `h` seconds; what that warms the wall by, K.
    fn camera_on(&mut self, h: f64, wall_tau: f64) -> f64 {
        let q = (-h / self.camera_tau).exp();
        // In balance the camera's heat holds the wall at its rise: as a share of the warmth now.
        let full = if self.balance > 0.0 {
            self.balance
        } else {
            8.0
        };
        let heat = self.wall_rise / wall_tau * (self.warmth / full) * h;
        self.warmth = self.balance + (self.warmth - self.balance) * q;
        heat
    }
}

#[derive(Clone)]
struct Simulated {
    input: HoldInput,
    /// What was so.
    so: ShutIn,
    kind: Kind,
    true_ml: f64,
    /// Leak at the limit over the whole hold against the stated uncertainty of a pressure difference.
    sharpness: f64,
    /// What the gauge lost from first to last and in its ten minutes, mbar (for the old rule).
    lost_mbar: f64,
    lost_ten_mbar: Option<f64>,
    /// Least standard uncertainty that anyone could reach, mL (see [`cramer_rao`]); only where the
    /// settling is Newton's, the hold tight and nothing mistyped: knowing the law of each drift, and not.
    bound_ml: Option<(f64, f64)>,
    /// The reading noise is near half a step: only then are rounding errors independent of each other,
    /// as the bound takes them to be.
    dithered: bool,
}

/// What is not left to the dice.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Wish {
    /// Cold, dry, stood here, and said to be.
    plain: bool,
    /// Nothing moves the gauge but a leak, and it has no noise.
    still: bool,
    camera: Option<Camera>,
    desiccant: Option<Desiccant>,
    stood: Option<Stood>,
    /// All is said, or nothing.
    said: Option<bool>,
    by_air: bool,
    source: Option<TemperatureSource>,
    /// A tight 12 L housing with a 0.1 mbar gauge, judged for an hour at 30 m in the sea at 20 °C by
    /// this limit, mL per dive.
    twelve: Option<f64>,
    /// A tight housing, read as the app asks for it, by a limit about the built-in one.
    promises: bool,
}

#[allow(
    clippy::too_many_lines,
    reason = "one story from pump to page, told in order"
)]
fn simulate(d: &mut Dice, wish: Wish) -> Simulated {
    use TemperatureSource as Source;
    let only = wish.source;
    let mut volume = d.log_between(1e-3, 40e-3);
    let mut span: f64 = [600.0, 900.0, 900.0, 1800.0, 3600.0, 7200.0, 36_000.0][d.below(7)];
    if wish.twelve.is_some() {
        volume = 12e-3;
        span = 3600.0;
    }
    let every: f64 = match span as u32 {
        _ if wish.twelve.is_some() || wish.promises => 30.0,
        0..1000 => 17.0,
        1000..2000 => 25.0,
        2000..8000 => 75.0,
        _ => 400.0,
    };
    let limit = wish
        .twelve
        .unwrap_or([5.0, 10.0, 20.0, 30.0, 50.0][d.below(5)]);
    let mut kind = [
        Kind::Tight,
        Kind::Tight,
        Kind::Limit,
        Kind::Limit,
        Kind::Small,
        Kind::Over,
    ][d.below(6)];
    let mut limit = limit;
    if wish.twelve.is_some() || wish.promises {
        kind = Kind::Tight;
    }
    if wish.promises {
        let share = d.log_between(0.5, 2.0);
        limit = share * slackwater_core::physics::hold::default_limit_ml(volume);
        span = [3600.0, 7200.0, 14_400.0, 57_600.0][d.below(4)];
    }
    let true_ml = match kind {
        Kind::Tight => 0.0,
        Kind::Limit => limit,
        Kind::Small => limit * d.between(0.1, 0.6),
        Kind::Over => limit * d.log_between(1.2, 20.0),
    };
    let source =
        only.unwrap_or([Source::Inside, Source::Surface, Source::Air, Source::None][d.below(4)]);
    let mut unit = [
        (100.0, 100.0),
        (10.0, 100.0),
        (10.0, 100.0),
        (169.32, 3386.39),
        (100.0, 1000.0),
    ][d.below(5)];
    if wish.twelve.is_some() {
        unit = (10.0, 100.0);
    }
    let step: f64 = unit.0;
    let noise = step * [0.03, 0.15, 0.4][d.below(3)];
    // What moves all but the leak, in the still world hardly: a share of it is left.
    let rest = if wish.still { 0.01 } else { 1.0 };
    let noise = if wish.still { 0.0 } else { noise };
    let kind_of_gauge = if d.chance(0.7) {
        GaugeKind::BelowAmbient
    } else {
        GaugeKind::Absolute
    };

    // The place: air temperature, barometer.
    let base_k = d.between(273.15 + 2.0, 273.15 + 35.0);
    let law = d.below(4);
    let reach = d.between(-6.0, 6.0);
    let air_tau = d.log_between(900.0, 20_000.0);
    let (swing, period, phase) = (
        d.between(0.0, 0.5),
        d.log_between(400.0, 6000.0),
        d.between(0.0, std::f64::consts::TAU),
    );
    let air = |t: f64| {
        let slow = match law {
            0 => 0.0,
            1 => reach * t / span.max(7200.0),
            2 => reach * (1.0 - (-t / air_tau).exp()),
            _ => reach * (std::f64::consts::TAU * t / 86_400.0 + phase).sin(),
        };
        base_k + rest * (slow + swing * (std::f64::consts::TAU * t / period + phase).sin())
    };
    let a0 = d.between(98_500.0, 103_500.0);
    let weather = d.between(-500.0, 500.0);
    let weather_law = d.below(3);
    let ambient_at = |t: f64| {
        let u = t / 36_000.0;
        a0 + rest
            * match weather_law {
                0 => weather * u,
                1 => weather * (1.0 - (-3.0 * u).exp()),
                _ => 0.4 * weather * (6.0 * u + phase).sin(),
            }
    };

    // The enclosure: gas behind wall behind air.
    let wall_tau = d.log_between(300.0, 3600.0);
    let gas_tau = d.log_between(25.0, 300.0);
    let mut wall = air(0.0)
        + if d.chance(0.5) {
            rest * d.between(-4.0, 4.0)
        } else {
            0.0
        };
    // Dice of its own, so that the plain world stays as it was.
    let mut within = if wish.plain {
        Within::nothing()
    } else {
        let mut own = Dice::new(d.bits());
        Within::new(&mut own, wish, wall_tau)
    };
    if within.so.stood == Some(Stood::Moved) {
        wall = air(0.0) + within.moved;
    }
    wall += within.wall_now;
    let cold = rest * d.between(0.5, 12.0);
    let settling = match d.below(3) {
        0 => Settling::Newton { tau: gas_tau },
        1 => Settling::Convection {
            tau: gas_tau,
            start: cold,
        },
        _ => Settling::TwoParts {
            tau: gas_tau,
            slow: gas_tau * d.between(1.5, 3.0),
            share: d.between(0.0, 0.3),
        },
    };
    let share = if let Settling::TwoParts { share, .. } = settling {
        share
    } else {
        0.0
    };
    let mut parts = [wall + within.warmth - cold; 2];
    let gas_of = |p: &[f64; 2]| p[0] * (1.0 - share) + p[1] * share;
    let vacuum = d.between(8_000.0, 30_000.0);

    // The leak: viscous, with the viscosity of the moment; what it passes on the dive.
    let mut dive = Dive {
        depth_m: d.between(5.0, 60.0),
        minutes: d.between(30.0, 90.0),
        salinity_g_kg: [0.0, 35.0, 38.0][d.below(3)],
        water_k: 273.15 + d.between(4.0, 29.0),
    };
    if wish.twelve.is_some() {
        dive = Dive {
            depth_m: 30.0,
            minutes: 60.0,
            salinity_g_kg: 35.0,
            water_k: 293.15,
        };
    }
    let p_start = ambient_at(0.0) - vacuum;
    let t_start = wall;
    let water_c = dive.water_k - 273.15;
    let density = 1000.0 - 0.0049 * (water_c - 4.0).powi(2) + 0.77 * dive.salinity_g_kg;
    let push = 101_325.0 + density * 9.806_65 * dive.depth_m - p_start;
    let pore = true_ml * 1e-6 / (dive.minutes * 60.0)
        * water_viscosity(water_c, dive.salinity_g_kg)
        / (2.0 * push);
    // pore = G = Q·η/(Pₐ² − P²), m³.
    let mut moles = p_start * volume / (8.314_462_6 * gas_of(&parts));
    // The air that was shut in was as warm as what it lay against; the pump took its share.
    let vapour = within.humidity * saturation(wall + within.warmth) * p_start / ambient_at(0.0);
    let mut gone = 0.0;
    let mut to_take = within.packs_take * moles * vapour / p_start;

    // Instruments.
    let mut thermo = match source {
        Source::Inside => Drift::new(d, 0.1, span),
        Source::Surface => Drift::new(d, 0.3, span),
        Source::Air => Drift::new(d, 0.5, span),
        Source::None => Drift::new(d, 0.0, span),
    };
    let probe_tau = d.between(PROBE_LAG_S.0, PROBE_LAG_S.1);
    let mut probe = gas_of(&parts);
    let mut phone = Drift::new(d, 15.0, span);
    let phone_offset = 100.0 * d.normal();
    let typo_at = d.chance(0.15).then(|| d.below((span / every) as usize));

    let mut readings = Vec::new();
    let dt = (gas_tau / 12.0).min(every / 4.0).min(25.0);
    let mut t = 0.0;
    let mut due = 0.0;
    let mut gauge_log: Vec<(f64, f64)> = Vec::new();
    // How far the sensor in the gas is behind it for each second of its lag, K/s.
    let mut behind: Vec<f64> = Vec::new();
    let mut last_err_t = 0.0;
    while t <= span {
        let gas = gas_of(&parts);
        let p = moles * 8.314_462_6 * gas / volume;
        let a = ambient_at(t);
        if t >= due {
            let since = t - last_err_t;
            last_err_t = t;
            let err = thermo.at(d, t, since, span);
            let t_read = match source {
                Source::Inside => Some(probe + within.spot_warmth * within.warmth + err),
                Source::Surface => Some(wall + within.spot_wall * (wall - air(t)) + err),
                Source::Air => Some(air(t) + err),
                Source::None => None,
            };
            let mut raw = match kind_of_gauge {
                GaugeKind::BelowAmbient => a - p,
                GaugeKind::Absolute => p,
            } + noise * d.normal();
            if typo_at == Some(readings.len()) {
                raw = mistype(d, raw, unit.1);
            }
            let gauge_pa = (raw / step).round() * step;
            gauge_log.push((t, a - p));
            behind.push((gas - probe) / probe_tau);
            let ambient =
                a + phone_offset + phone.at(d, t, since, span) + BAROMETER_NOISE_PA * d.normal();
            readings.push(Reading {
                t_s: t.round(),
                gauge_pa,
                temperature_k: t_read.map(|k| {
                    273.15 + ((k - 273.15) / THERMOMETER_STEP_K).round() * THERMOMETER_STEP_K
                }),
                ambient_pa: Some((ambient / BAROMETER_STEP_PA).round() * BAROMETER_STEP_PA),
            });
            let gap = if wish.promises && t >= 120.0 {
                (t / 15.0).clamp(60.0, 1200.0)
            } else {
                every
            };
            due = t + gap * d.between(0.85, 1.15);
        }
        let h = dt.min(span - t).min((due - t).max(0.5)).max(1e-3);
        let drives = if wish.by_air {
            p + gone * 8.314_462_6 * gas / volume
        } else {
            p
        };
        moles += pore / air_viscosity(wall) * (a * a - drives * drives) / (8.314_462_6 * wall) * h;
        let taken = to_take * (1.0 - (-h / within.packs_tau).exp());
        to_take -= taken;
        gone += taken;
        moles -= taken;
        let heat = within.camera_on(h, wall_tau);
        let w = wall + within.warmth;
        match settling {
            Settling::Newton { tau } => parts[0] += (w - parts[0]) * (1.0 - (-h / tau).exp()),
            Settling::Convection { tau, start } => {
                let x = w - parts[0];
                let rate = (x.abs() / start).max(1e-3).powf(0.25);
                parts[0] += x * (1.0 - (-h * rate / tau).exp());
            }
            Settling::TwoParts { tau, slow, .. } => {
                parts[0] += (w - parts[0]) * (1.0 - (-h / tau).exp());
                parts[1] += (w - parts[1]) * (1.0 - (-h / slow).exp());
            }
        }
        wall += (air(t) - wall) * (1.0 - (-h / wall_tau).exp()) + heat;
        probe += (gas_of(&parts) - probe) * (1.0 - (-h / probe_tau).exp());
        t += h;
        if span - t < 1e-6 {
            break;
        }
    }
    let stated = volume * (1.0 + 0.05 * d.normal()).max(0.7);
    // The limit's move over the hold, from the truth.
    let g_limit = limit * 1e-6 / (dive.minutes * 60.0)
        * water_viscosity(water_c, dive.salinity_g_kg)
        / (2.0 * push);
    let drive = a0 * a0 - p_start * p_start;
    let moved = g_limit / air_viscosity(t_start) * drive / volume * span;
    let kelvin = p_start / t_start
        * match source {
            Source::Inside => 0.1,
            Source::Surface => 0.3,
            Source::Air => 1.0,
            Source::None => 3.0,
        };
    let phone_sd = if kind_of_gauge == GaugeKind::BelowAmbient {
        15.0
    } else {
        0.0
    };
    let sharpness = moved / (step * step / 6.0 + kelvin * kelvin + phone_sd * phone_sd).sqrt();
    let newton = matches!(settling, Settling::Newton { .. });
    let measured = matches!(source, Source::Inside | Source::Surface);
    let plain = within.so == ShutIn::NOTHING && within.said == ShutIn::NOTHING;
    let bound_ml = (plain && newton && measured && kind == Kind::Tight && typo_at.is_none())
        .then(|| {
            let times: Vec<f64> = readings.iter().map(|r: &Reading| r.t_s).collect();
            let per_k = p_start / t_start;
            let sd_k = if source == Source::Inside { 0.1 } else { 0.3 };
            let covariance = |of: &dyn Fn(f64, f64) -> f64| -> Vec<Vec<f64>> {
                // What each reading is rounded to, and its noise: gauge, thermometer, barometer.
                let rounded = |step: f64| step * step / 12.0;
                let mut own = rounded(step) + noise * noise + rounded(THERMOMETER_STEP_K * per_k);
                if kind_of_gauge == GaugeKind::BelowAmbient {
                    own += rounded(BAROMETER_STEP_PA) + BAROMETER_NOISE_PA.powi(2);
                }
                // How long the sensor's lag is, nobody tells: the variance of all that it may be.
                let lag = if source == Source::Inside {
                    (PROBE_LAG_S.1 - PROBE_LAG_S.0).powi(2) / 12.0 * per_k * per_k
                } else {
                    0.0
                };
                let row = |i: usize| {
                    let pair = |k: usize| {
                        of(times[i], times[k])
                            + lag * behind[i] * behind[k]
                            + if i == k { own } else { 0.0 }
                    };
                    (0..=i).map(pair).collect()
                };
                (0..times.len()).map(row).collect()
            };
            let mut known = covariance(&|t, u| {
                thermo.covariance(sd_k * per_k, t, u, span) + phone.covariance(phone_sd, t, u, span)
            });
            let mut any = covariance(&|t, u| {
                Drift::covariance_of_any(sd_k * per_k, t, u, span)
                    + Drift::covariance_of_any(phone_sd, t, u, span)
            });
            let mut columns: Vec<Vec<f64>> = vec![
                times.iter().map(|t| moved / limit / span * t).collect(),
                vec![1.0; times.len()],
            ];
            if source == Source::Surface {
                // The wall's probe does not see the settling: its size and its lag are free.
                columns.push(times.iter().map(|t| (-t / gas_tau).exp()).collect());
                columns.push(times.iter().map(|t| t * (-t / gas_tau).exp()).collect());
            }
            let mut same = columns.clone();
            Some((
                cramer_rao(&mut known, &mut columns)?,
                cramer_rao(&mut any, &mut same)?,
            ))
        })
        .flatten();
    let first = gauge_log
        .iter()
        .find(|x| x.0 >= 60.0)
        .or(gauge_log.first())
        .copied()
        .unwrap_or((0.0, 0.0));
    let last = gauge_log.last().copied().unwrap_or(first);
    let ten = gauge_log
        .iter()
        .find(|x| x.0 >= first.0 + 600.0)
        .map(|x| (first.1 - x.1) / 100.0);
    Simulated {
        input: HoldInput {
            volume_m3: stated,
            volume_sd_m3: 0.05 * stated,
            gauge: kind_of_gauge,
            gauge_resolution_pa: step,
            temperature_source: source,
            dive,
            limit_ml: limit,
            temperature_sd_k: None,
            barometer_sd_pa: None,
            humidity: within.hygrometer,
            shut_in: within.said,
            zero_pa: 0.0,
            zero_sd_pa: 0.0,
            readings,
        },
        so: within.so,
        kind,
        true_ml,
        sharpness,
        lost_mbar: (first.1 - last.1) / 100.0,
        lost_ten_mbar: ten,
        bound_ml,
        dithered: noise > 0.3 * step,
    }
}

/// A slip on the keypad, in the gauge's unit: two digits swapped, one wrong, one dropped.
fn mistype(d: &mut Dice, pa: f64, unit: f64) -> f64 {
    let shown = pa / unit;
    let wrong = match d.below(4) {
        0 => {
            shown + [-10.0, 10.0, 100.0, -100.0][d.below(4)] * if unit > 500.0 { 0.1 } else { 1.0 }
        }
        1 => shown / 10.0,
        2 => {
            let (tens, ones) = ((shown / 10.0).floor() % 10.0, shown.floor() % 10.0);
            shown + (ones - tens) * 10.0 + (tens - ones)
        }
        _ => shown + [-1.0, 1.0, 2.0, -3.0][d.below(4)],
    };
    wrong * unit
}

/// What a hold's world is called, for the table by world: what was so, and what was said.
fn worlds(s: &Simulated) -> [String; 3] {
    let unsaid = |said: bool| if said { "" } else { ", unsaid" };
    let told = &s.input.shut_in;
    let camera = match s.so.camera {
        Some(Camera::Warm) => "camera warm",
        Some(Camera::On) => "camera on",
        _ => "camera cold",
    };
    let packs = match s.so.desiccant {
        Some(Desiccant::Fresh) if s.input.humidity.is_some() => "packs fresh, humidity read",
        Some(Desiccant::Fresh) => "packs fresh",
        _ => "packs none",
    };
    let place = match s.so.stood {
        Some(Stood::Moved) => "moved",
        _ => "stood here",
    };
    [
        format!("{camera}{}", unsaid(told.camera.is_some())),
        format!("{packs}{}", unsaid(told.desiccant.is_some())),
        format!("{place}{}", unsaid(told.stood.is_some())),
    ]
}

/// One line about a hold, for `--list`.
fn describe(s: &Simulated, id: u64, first: (Verdict, f64), j: &Judgement) -> String {
    format!(
        "{id}: {} {:?} true {:.1} limit {} {:?} by {:?} at {:.0} of {:.0} s; V {:.1} L step {:.0} Pa {:?}; end {:.1} [{:.1}, {:.1}] {:?} sharp {:.1}",
        worlds(s).join(", "),
        s.kind,
        s.true_ml,
        s.input.limit_ml,
        first.0,
        s.input.temperature_source,
        first.1,
        s.input.readings.last().map_or(0.0, |r| r.t_s),
        s.input.volume_m3 * 1e3,
        s.input.gauge_resolution_pa,
        s.input.gauge,
        j.leak_ml,
        j.low_ml,
        j.high_ml,
        j.limited_by,
        s.sharpness
    )
}

/// One hold's stated uncertainty against its bounds (see [`Simulated::bound_ml`]).
#[derive(Clone, Copy)]
struct Against {
    /// Against the bound of whoever knows the drifts' laws, and of whoever does not.
    known: f64,
    any: f64,
    /// Squared error against the square of the first, and of what was stated.
    squared_error: f64,
    squared_pull: f64,
    dithered: bool,
    source: usize,
    /// Length of the hold, s.
    span: f64,
    /// Where the limit is sharp: a tight hold settled, and the chance of it at one look by whoever
    /// reaches the second bound and passes a leak at the limit once in a thousand.
    settled: Option<(bool, f64)>,
}

/// The normal distribution function (Abramowitz and Stegun 26.2.17, within 7.5e-8).
fn normal_below(x: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * x.abs());
    let tail = [
        0.319_381_530,
        -0.356_563_782,
        1.781_477_937,
        -1.821_255_978,
        1.330_274_429,
    ]
    .iter()
    .rev()
    .fold(0.0, |sum, b| (sum + b) * t);
    let tail = tail * (-0.5 * x * x).exp() / std::f64::consts::TAU.sqrt();
    if x > 0.0 { 1.0 - tail } else { tail }
}

/// Verdicts of the holds of one world.
#[derive(Default, Clone, Copy)]
struct World {
    holds: u32,
    covered: u32,
    at_or_over: u32,
    false_holding: u32,
    tight: u32,
    false_leaking: u32,
    /// Tight ones that were told *holding*.
    settled: u32,
}

#[derive(Default, Clone)]
struct Tally {
    /// By world (see [`worlds`]).
    worlds: BTreeMap<String, World>,
    /// By kind: holds, first verdict holding, leaking.
    count: [[u32; 3]; 4],
    /// By source: limit holds, false holding, tight holds, false leaking, covered, holds.
    source: [[u32; 6]; 4],
    /// By source: tight holds whose limit would be sharp, and those of them that were settled.
    sharp: [[u32; 2]; 4],
    /// By source: the same, sharper than 7.
    very_sharp: [[u32; 2]; 4],
    minutes: Vec<f64>,
    /// The old rule: limit-or-over holds passed, of; tight holds failed, of.
    rule: [u32; 4],
    pulls: Vec<f64>,
    bound: Vec<Against>,
    /// A single look after a quarter of an hour instead: leaks at or over the limit it passes, of; the
    /// same of all looks up to then.
    quarter: [u32; 3],
    /// Minutes to the first verdict of the tight holds that such a look settles.
    quarter_minutes: Vec<f64>,
    final_false: [u32; 2],
    /// Lines for `--list`.
    bad: Vec<String>,
    slow: Vec<String>,
}

impl Tally {
    /// `once`: only the judgement of all readings is asked for, at the hold's end.
    fn add(&mut self, s: &Simulated, id: u64, once: bool) {
        let mut sofar = HoldInput {
            readings: Vec::new(),
            ..s.input.clone()
        };
        let mut first = (Verdict::NotYet, 0.0);
        let mut last = None;
        let n = s.input.readings.len();
        let quarter = s.input.readings.iter().position(|r| r.t_s >= 880.0);
        let mut at_quarter = Verdict::NotYet;
        for (i, r) in s.input.readings.iter().enumerate() {
            sofar.readings.push(*r);
            // Once there is a verdict, only the judgement of all readings is still asked for, and
            // that after a quarter of an hour.
            if (once || first.0 != Verdict::NotYet) && i + 1 < n && quarter != Some(i) {
                continue;
            }
            let Ok(j) = judge_briefly(&sofar) else {
                self.bad.push(format!("{id}: judge refuses"));
                continue;
            };
            if first.0 == Verdict::NotYet && j.verdict != Verdict::NotYet {
                first = (j.verdict, r.t_s);
            }
            if quarter == Some(i) {
                at_quarter = j.verdict;
            }
            last = Some(j);
        }
        let Some(j) = last else { return };
        if quarter.is_some() {
            let by_then = first.1 <= 920.0 && first.0 == Verdict::Holding;
            if matches!(s.kind, Kind::Limit | Kind::Over) {
                self.quarter[0] += u32::from(at_quarter == Verdict::Holding);
                self.quarter[1] += u32::from(by_then);
                self.quarter[2] += 1;
            } else if s.kind == Kind::Tight && at_quarter == Verdict::Holding {
                self.quarter_minutes.push(first.1 / 60.0);
            }
        }
        if !(j.leak_ml.is_finite() && j.low_ml.is_finite() && j.high_ml.is_finite()) {
            self.bad.push(format!("{id}: an answer that is no number"));
        }
        let k = s.kind as usize;
        let src = s.input.temperature_source as usize;
        self.count[k][0] += 1;
        match first.0 {
            Verdict::Holding => self.count[k][1] += 1,
            Verdict::Leaking => self.count[k][2] += 1,
            Verdict::NotYet => {}
        }
        if first.0 != Verdict::NotYet {
            self.minutes.push(first.1 / 60.0);
        }
        self.source[src][5] += 1;
        let covered = j.low_ml <= s.true_ml && s.true_ml <= j.high_ml;
        self.source[src][4] += u32::from(covered);
        let at_or_over = matches!(s.kind, Kind::Limit | Kind::Over);
        for name in worlds(s) {
            let w = self.worlds.entry(name).or_default();
            let tight = s.kind == Kind::Tight;
            w.holds += 1;
            w.covered += u32::from(covered);
            w.at_or_over += u32::from(at_or_over);
            w.false_holding += u32::from(at_or_over && first.0 == Verdict::Holding);
            w.tight += u32::from(tight);
            w.false_leaking += u32::from(tight && first.0 == Verdict::Leaking);
            w.settled += u32::from(tight && first.0 == Verdict::Holding);
        }
        if at_or_over {
            self.source[src][0] += 1;
            self.source[src][1] += u32::from(first.0 == Verdict::Holding);
            self.final_false[0] += u32::from(j.verdict == Verdict::Holding);
        }
        if s.kind == Kind::Tight {
            self.source[src][2] += 1;
            self.source[src][3] += u32::from(first.0 == Verdict::Leaking);
            self.final_false[1] += u32::from(j.verdict == Verdict::Leaking);
            if s.sharpness > 3.5 {
                let settled = u32::from(first.0 != Verdict::NotYet);
                let of = if s.sharpness > 7.0 {
                    &mut self.very_sharp
                } else {
                    &mut self.sharp
                };
                of[src][0] += 1;
                of[src][1] += settled;
                if settled == 0 {
                    self.slow.push(describe(s, id, first, &j));
                }
            }
        }
        if let Some((known, any)) = s.bound_ml {
            let sd = j.would_miss_below_ml / 3.29;
            // One in a thousand, on one side.
            const Z_ONE_LOOK: f64 = 3.09;
            let ideal = normal_below(s.input.limit_ml / any - Z_ONE_LOOK);
            self.bound.push(Against {
                known: sd / known,
                any: sd / any,
                squared_error: (j.leak_ml / known).powi(2),
                squared_pull: (j.leak_ml / sd).powi(2),
                dithered: s.dithered,
                source: src,
                span: s.input.readings.last().map_or(0.0, |r| r.t_s),
                settled: (3.5..7.0)
                    .contains(&s.sharpness)
                    .then_some((first.0 == Verdict::Holding, ideal)),
            });
        }
        self.pulls
            .push((j.leak_ml - s.true_ml) / ((j.high_ml - j.low_ml) / 3.92));
        // The rule of thumb: less than 2 mbar in ten minutes (overnight for the long ones).
        let lost = if s.input.readings.last().is_some_and(|r| r.t_s > 10_000.0) {
            Some(s.lost_mbar)
        } else {
            s.lost_ten_mbar
        };
        if let Some(lost) = lost {
            if at_or_over {
                self.rule[1] += 1;
                self.rule[0] += u32::from(lost < 2.0);
            } else if s.kind == Kind::Tight {
                self.rule[3] += 1;
                self.rule[2] += u32::from(lost >= 2.0);
            }
        }
        let wrong = (at_or_over && first.0 == Verdict::Holding)
            || (s.kind == Kind::Tight && first.0 == Verdict::Leaking);
        if wrong {
            self.bad.push(describe(s, id, first, &j));
        }
    }

    fn merge(&mut self, o: Self) {
        for k in 0..4 {
            for i in 0..3 {
                self.count[k][i] += o.count[k][i];
            }
            for i in 0..6 {
                self.source[k][i] += o.source[k][i];
            }
            for i in 0..2 {
                self.sharp[k][i] += o.sharp[k][i];
                self.very_sharp[k][i] += o.very_sharp[k][i];
            }
            self.rule[k] += o.rule[k];
        }
        for i in 0..2 {
            self.final_false[i] += o.final_false[i];
        }
        for (name, b) in o.worlds {
            let a = self.worlds.entry(name).or_default();
            a.holds += b.holds;
            a.covered += b.covered;
            a.at_or_over += b.at_or_over;
            a.false_holding += b.false_holding;
            a.tight += b.tight;
            a.false_leaking += b.false_leaking;
            a.settled += b.settled;
        }
        self.minutes.extend(o.minutes);
        self.pulls.extend(o.pulls);
        self.bound.extend(o.bound);
        for i in 0..3 {
            self.quarter[i] += o.quarter[i];
        }
        self.quarter_minutes.extend(o.quarter_minutes);
        self.bad.extend(o.bad);
        self.slow.extend(o.slow);
    }

    /// Prints what was found; false where a target is missed.
    fn report(mut self, list: bool, plain: bool) -> bool {
        // What may at most be told *holding* of leaks at or over the limit.
        let most = if plain { 0.001 } else { 0.002 };
        let pct = |a: u32, b: u32| 100.0 * f64::from(a) / f64::from(b.max(1));
        let sum = |t: &Self, i: usize| t.source.iter().map(|s| s[i]).sum::<u32>();
        if list {
            self.bad.sort();
            for b in &self.bad {
                println!("wrong {b}");
            }
            for b in &self.slow {
                println!("slow {b}");
            }
        }
        println!("kind    holds  holding  leaking  not yet");
        for (k, name) in ["tight", "small", "limit", "over"].iter().enumerate() {
            let [n, h, l] = self.count[k];
            println!("{name:6} {n:6} {h:8} {l:8} {:8}", n - h - l);
        }
        println!("source   false holding      false leaking      95 % covers");
        for (k, name) in ["inside", "surface", "air", "none"].iter().enumerate() {
            let s = self.source[k];
            println!(
                "{name:8} {:4}/{:6} {:6.3} %  {:4}/{:6} {:6.3} %  {:6.2} %",
                s[1],
                s[0],
                pct(s[1], s[0]),
                s[3],
                s[2],
                pct(s[3], s[2]),
                pct(s[4], s[5])
            );
        }
        println!(
            "world                                 false holding    false leaking    95 % covers   tight ones settled"
        );
        for (name, w) in &self.worlds {
            println!(
                "{name:36} {:4}/{:6} {:6.3} %  {:4}/{:6} {:6.3} %  {:6.2} %  {:6.2} %",
                w.false_holding,
                w.at_or_over,
                pct(w.false_holding, w.at_or_over),
                w.false_leaking,
                w.tight,
                pct(w.false_leaking, w.tight),
                pct(w.covered, w.holds),
                pct(w.settled, w.tight),
            );
        }
        let (fh, at) = (sum(&self, 1), sum(&self, 0));
        let (fl, tight) = (sum(&self, 3), sum(&self, 2));
        let (cov, all) = (sum(&self, 4), sum(&self, 5));
        println!(
            "false holding at or over the limit: {fh}/{at} = {:.3} % (target {} %)",
            pct(fh, at),
            100.0 * most
        );
        println!(
            "false leaking on tight housings:    {fl}/{tight} = {:.3} % (target 0.5 %)",
            pct(fl, tight)
        );
        println!(
            "  of the last verdicts: {} and {}",
            self.final_false[0], self.final_false[1]
        );
        println!("95 % interval covers: {:.2} % (target 94 %)", pct(cov, all));
        let n = self.pulls.len().max(1) as f64;
        let rms = (self.pulls.iter().map(|p| p * p).sum::<f64>() / n).sqrt();
        println!("error against its stated uncertainty, rms: {rms:.2}");
        let middle = |mut v: Vec<f64>| {
            v.sort_by(f64::total_cmp);
            v.get(v.len() / 2).copied().unwrap_or(f64::NAN)
        };
        let dithered = self.bound.iter().filter(|b| b.dithered);
        println!(
            "against the bound of whoever does not know the laws of the drifts: {:.2}; where the gauge's noise spreads over its steps: {:.2}, the laws known {:.2}",
            middle(self.bound.iter().map(|b| b.any).collect()),
            middle(dithered.clone().map(|b| b.any).collect()),
            middle(dithered.map(|b| b.known).collect()),
        );
        println!(
            "source   up to min   holds   against the bound: laws known, not known   error against it   against what is stated"
        );
        for (source, name) in [(0, "inside"), (1, "surface")] {
            for (from, to) in [
                (0.0, 700.0),
                (700.0, 1000.0),
                (1000.0, 4000.0),
                (4000.0, 1e9),
            ] {
                let here = |b: &&Against| b.source == source && (from..to).contains(&b.span);
                let these: Vec<Against> = self.bound.iter().filter(here).copied().collect();
                let rms = |of: &dyn Fn(&Against) -> f64| {
                    (these.iter().map(of).sum::<f64>() / these.len().max(1) as f64).sqrt()
                };
                println!(
                    "{name:8} {:9.0} {:7} {:26.2} {:11.2} {:18.2} {:24.2}",
                    to.min(36_000.0) / 60.0,
                    these.len(),
                    middle(these.iter().map(|b| b.known).collect()),
                    middle(these.iter().map(|b| b.any).collect()),
                    rms(&|b| b.squared_error),
                    rms(&|b| b.squared_pull),
                );
            }
        }
        for (source, name) in [(0, "inside"), (1, "surface")] {
            let here = self.bound.iter().filter(|b| b.source == source);
            let sharp: Vec<(bool, f64)> = here.filter_map(|b| b.settled).collect();
            let n = sharp.len().max(1) as f64;
            println!(
                "{name}: of {} such tight holds between 3.5 and 7 uncertainties {:.1} % settled; at the bound, one look, at most {:.1} %",
                sharp.len(),
                100.0 * sharp.iter().filter(|s| s.0).count() as f64 / n,
                100.0 * sharp.iter().map(|s| s.1).sum::<f64>() / n,
            );
        }
        let [fixed, looks, of] = self.quarter;
        println!(
            "one look after 15 min passes {fixed} of {of} leaks at or over the limit, all looks up to then {looks}; of the {} tight holds that the one look settles, the first verdict came after {:.1} min at the median (target 7.5)",
            self.quarter_minutes.len(),
            middle(self.quarter_minutes.clone())
        );
        let squares = self.bound.iter().map(|b| b.squared_error).sum::<f64>()
            / self.bound.len().max(1) as f64;
        println!(
            "detection limit against the Cramér–Rao bound (law of each drift known), median of {}: {:.2} (target 1.25); actual error, rms: {:.2}",
            self.bound.len(),
            middle(self.bound.iter().map(|b| b.known).collect()),
            squares.sqrt()
        );
        println!(
            "tight holds settled, where the limit moves the pressure by so many uncertainties:"
        );
        println!("source       3.5 to 7            over 7");
        for (k, name) in ["inside", "surface", "air", "none"].iter().enumerate() {
            let (a, b) = (self.sharp[k], self.very_sharp[k]);
            println!(
                "{name:8} {:4}/{:4} {:5.1} %   {:4}/{:4} {:5.1} %",
                a[1],
                a[0],
                pct(a[1], a[0]),
                b[1],
                b[0],
                pct(b[1], b[0])
            );
        }
        self.minutes.sort_by(f64::total_cmp);
        println!(
            "minutes to a verdict, median of the {} decided: {:.1}",
            self.minutes.len(),
            self.minutes
                .get(self.minutes.len() / 2)
                .copied()
                .unwrap_or(f64::NAN)
        );
        println!(
            "rule 'under 2 mbar in ten minutes / overnight': passes {:.1} % of leaks at or over the limit, fails {:.1} % of tight ones",
            pct(self.rule[0], self.rule[1]),
            pct(self.rule[2], self.rule[3])
        );
        // Over the target by more than two standard deviations of the count.
        let over = |n: u32, of: u32, p: f64| {
            let e = f64::from(of) * p;
            f64::from(n) > e + 2.0 * e.sqrt() + 1.0
        };
        !over(fh, at, most) && !over(fl, tight, 0.005) && pct(cov, all) >= 94.0
    }
}

/// One hold, reading by reading.
fn tell(s: &Simulated) {
    println!(
        "{:?} {:.2} mL, sharpness {:.1}; {:?}",
        s.kind,
        s.true_ml,
        s.sharpness,
        HoldInput {
            readings: Vec::new(),
            ..s.input.clone()
        }
    );
    let mut sofar = HoldInput {
        readings: Vec::new(),
        ..s.input.clone()
    };
    for r in &s.input.readings {
        sofar.readings.push(*r);
        let line = match judge(&sofar) {
            Ok(j) => format!(
                "{:8.2} [{:8.2}, {:8.2}] {:?} {:?} {:?} {:?}",
                j.leak_ml,
                j.low_ml,
                j.high_ml,
                j.verdict,
                j.limited_by,
                j.minutes_to_go,
                j.suspects
            ),
            Err(e) => e.to_string(),
        };
        println!(
            "{:6.0} s {:9.2} mbar {:6.2} °C {:7.2} mbar  {line}",
            r.t_s,
            r.gauge_pa / 100.0,
            r.temperature_k.map_or(f64::NAN, |k| k - 273.15),
            r.ambient_pa.map_or(f64::NAN, |p| p / 100.0)
        );
    }
}

/// Median minutes until a tight 12 L housing with a 0.1 mbar gauge is judged, for several limits.
fn tell_limits(holds: u64, seed: u64, source: TemperatureSource) {
    println!("limit, mL per dive   minutes to a verdict, median (an hour at most)   judged");
    for limit in [20.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 120.0] {
        let wish = Wish {
            plain: true,
            source: Some(source),
            twelve: Some(limit),
            ..Wish::default()
        };
        let mut minutes: Vec<f64> = (0..holds)
            .map(|id| {
                let mut d = Dice::new(seed.wrapping_mul(0x1000_0000).wrapping_add(id));
                let s = simulate(&mut d, wish);
                let mut sofar = HoldInput {
                    readings: Vec::new(),
                    ..s.input.clone()
                };
                for r in &s.input.readings {
                    sofar.readings.push(*r);
                    if judge_briefly(&sofar).is_ok_and(|j| j.verdict == Verdict::Holding) {
                        return r.t_s / 60.0;
                    }
                }
                f64::INFINITY
            })
            .collect();
        minutes.sort_by(f64::total_cmp);
        let judged = minutes.iter().filter(|m| m.is_finite()).count();
        let median = minutes.get(minutes.len() / 2).copied().unwrap_or(f64::NAN);
        println!("{limit:10.0} {median:30.1} {judged:40} of {holds}");
    }
}

/// What was foretold of one hold at one look, and what came of it.
struct Promise {
    what: String,
    at_s: f64,
    /// Minutes foretold; none: not within the longest wait worth naming.
    minutes: Option<f64>,
    /// Minutes that it was said to take at most.
    at_most: Option<f64>,
    /// When the verdict came, s; none: not within the hold.
    came_s: Option<f64>,
    /// The readings up to which it is known, s.
    known_s: f64,
}

/// The looks of one hold at which a verdict was foretold.
fn promises(s: &Simulated, again: &dyn Fn(Wish) -> Simulated) -> Vec<Promise> {
    let mut ways: Vec<(f64, Way, f64)> = Vec::new();
    const LOOKS_S: [f64; 8] = [
        150.0, 300.0, 600.0, 1200.0, 2400.0, 4800.0, 9600.0, 19_200.0,
    ];
    let source = format!("{:?}", s.input.temperature_source).to_lowercase();
    let told = s.input.shut_in.camera.is_some() && s.input.shut_in.desiccant.is_some();
    let what = format!("{source}{}", if told { "" } else { ", unsaid" });
    let mut out: Vec<Promise> = Vec::new();
    let mut looks = LOOKS_S.iter().peekable();
    let mut sofar = HoldInput {
        readings: Vec::new(),
        ..s.input.clone()
    };
    let known_s = s.input.readings.last().map_or(0.0, |r| r.t_s);
    let mut came = None;
    for r in &s.input.readings {
        sofar.readings.push(*r);
        let look = looks.next_if(|&&at| r.t_s >= at).is_some();
        let j = if look {
            judge(&sofar)
        } else {
            judge_briefly(&sofar)
        };
        let Ok(j) = j else { continue };
        if j.verdict != Verdict::NotYet {
            came = Some(r.t_s);
            break;
        }
        if look {
            for w in &j.ways {
                ways.push((r.t_s, w.way, w.hold_minutes));
            }
            out.push(Promise {
                what: what.clone(),
                at_s: r.t_s,
                minutes: j.minutes_to_go,
                at_most: j.minutes_at_most,
                came_s: None,
                known_s,
            });
        }
    }
    for p in &mut out {
        p.came_s = came;
    }
    // What a new hold would take, had it been done: the same hold again, so far as the dice go.
    let mut done: Vec<(Wish, Option<f64>, f64)> = Vec::new();
    for (at_s, way, minutes) in ways {
        if let Some(said) = truly_said(s, way) {
            let (came_s, known_s) = first_verdict(&said);
            out.push(Promise {
                what: format!("way {way:?}"),
                at_s,
                minutes: Some(minutes),
                at_most: None,
                came_s,
                known_s,
            });
            continue;
        }
        let Some(w) = taken(way) else { continue };
        let known = done.iter().find(|x| x.0 == w);
        let (came_s, known_s) = match known {
            Some(x) => (x.1, x.2),
            None => {
                let (came_s, known_s) = first_verdict(&again(w));
                done.push((w, came_s, known_s));
                (came_s, known_s)
            }
        };
        out.push(Promise {
            what: format!("way {way:?}"),
            at_s: 0.0,
            minutes: Some(minutes),
            at_most: None,
            came_s,
            known_s,
        });
    }
    out
}

/// The same hold had it been said, where what is to be said is so.
fn truly_said(s: &Simulated, way: Way) -> Option<Simulated> {
    let mut input = s.input.clone();
    match way {
        Way::SayCamera if s.so.camera == Some(Camera::Cold) => {
            input.shut_in.camera = Some(Camera::Cold);
        }
        Way::SayDesiccant if s.so.desiccant == Some(Desiccant::None) => {
            input.shut_in.desiccant = Some(Desiccant::None);
        }
        _ => return None,
    }
    Some(Simulated { input, ..*s })
}

/// How a way is taken.
fn taken(way: Way) -> Option<Wish> {
    let w = Wish::default();
    Some(match way {
        Way::CameraOff => Wish {
            camera: Some(Camera::Cold),
            said: Some(true),
            ..w
        },
        Way::SensorInside => Wish {
            source: Some(TemperatureSource::Inside),
            ..w
        },
        Way::ProbeOnHousing => Wish {
            source: Some(TemperatureSource::Surface),
            ..w
        },
        // What is only said is no new hold ([`truly_said`]); whether a hygrometer is there is the dice's.
        _ => return None,
    })
}

fn first_verdict(s: &Simulated) -> (Option<f64>, f64) {
    let mut sofar = HoldInput {
        readings: Vec::new(),
        ..s.input.clone()
    };
    let known_s = s.input.readings.last().map_or(0.0, |r| r.t_s);
    for r in &s.input.readings {
        sofar.readings.push(*r);
        if judge_briefly(&sofar).is_ok_and(|j| j.verdict != Verdict::NotYet) {
            return (Some(r.t_s), known_s);
        }
    }
    (None, known_s)
}

/// How often a verdict has come by the time that was foretold.
fn tell_promises(all: &[Promise]) {
    println!(
        "foretold                looks  not to be said  of them known  kept   came after, of what was foretold: 10 %, median, 80 %, 90 %; by what was told as the most"
    );
    let mut groups: BTreeMap<String, Vec<&Promise>> = BTreeMap::new();
    for p in all.iter().filter(|p| !p.what.starts_with("way")) {
        let minutes = match p.minutes {
            None => continue,
            Some(m) if m < 10.0 => "up to 10 min",
            Some(m) if m < 30.0 => "10 to 30 min",
            Some(m) if m < 120.0 => "30 min to 2 h",
            Some(_) => "over 2 h",
        };
        groups.entry(minutes.into()).or_default().push(p);
    }
    for p in all {
        if p.what.starts_with("way") {
            groups.entry(p.what.clone()).or_default().push(p);
            continue;
        }
        let at = match p.at_s {
            a if a < 400.0 => "at 2.5 to 6 min",
            a if a < 1500.0 => "at 10 to 25 min",
            _ => "at 40 min and later",
        };
        groups.entry(at.into()).or_default().push(p);
        groups.entry(p.what.clone()).or_default().push(p);
        groups.entry("all".into()).or_default().push(p);
    }
    for (name, group) in &groups {
        let never = group.iter().filter(|p| p.minutes.is_none()).count();
        // Only what can be known: the hold went on for as long as was foretold.
        let known: Vec<(f64, Option<f64>, f64)> = group
            .iter()
            .filter_map(|p| Some((p.at_s, p.came_s, 60.0 * p.minutes?, p.known_s)))
            .filter(|(at, _, more, known)| at + more <= *known)
            .map(|(at, came, more, _)| (at, came, more))
            .collect();
        // A crew reads when it was told to: the next reading is a fifteenth later at the most.
        let by = |at: f64, more: f64| (at + more) * (1.0 + 1.15 / 15.0) + 75.0;
        let kept = known
            .iter()
            .filter(|(at, came, more)| came.is_some_and(|c| c <= by(*at, *more)))
            .count();
        let mut ratio: Vec<f64> = known
            .iter()
            .map(|(at, came, more)| came.map_or(f64::INFINITY, |c| (c - at) / more))
            .collect();
        ratio.sort_by(f64::total_cmp);
        let q = |x: f64| {
            ratio
                .get(((ratio.len() as f64 * x) as usize).min(ratio.len().saturating_sub(1)))
                .copied()
                .unwrap_or(f64::NAN)
        };
        // The same of what was told as the most.
        let longest: Vec<bool> = (group.iter())
            .filter_map(|p| Some((p, 60.0 * p.at_most?)))
            .filter(|(p, most)| p.at_s + most <= p.known_s)
            .map(|(p, most)| p.came_s.is_some_and(|c| c <= by(p.at_s, most)))
            .collect();
        let in_time = longest.iter().filter(|k| **k).count();
        let mut times: Vec<f64> = (group.iter())
            .filter_map(|p| Some(p.at_most? / p.minutes?))
            .collect();
        times.sort_by(f64::total_cmp);
        let usual = times.get(times.len() / 2).copied().unwrap_or(f64::NAN);
        println!(
            "{name:22} {:6} {never:15} {:14} {:5.1} %   {:5.2} {:5.2} {:6.2} {:6.2}   {:5.1} % of {:5}, {usual:4.1} times",
            group.len(),
            known.len(),
            100.0 * kept as f64 / known.len().max(1) as f64,
            q(0.1),
            q(0.5),
            q(0.8),
            q(0.9),
            100.0 * in_time as f64 / longest.len().max(1) as f64,
            longest.len()
        );
    }
    // Of what could not be said: how often it came all the same within the hold.
    let never: Vec<&Promise> = all.iter().filter(|p| p.minutes.is_none()).collect();
    let came = never.iter().filter(|p| p.came_s.is_some()).count();
    println!(
        "not to be said {}, came within the hold all the same {came}",
        never.len()
    );
}

fn main() -> ExitCode {
    let mut holds = 4_000_u64;
    let mut seed = 1_u64;
    let mut threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get) as u64;
    let mut wish = Wish::default();
    let mut limits = false;
    let mut foretold = false;
    let mut list = false;
    let mut once = false;
    let mut within = f64::INFINITY;
    let mut trace = None;
    let mut args = std::env::args().skip(1);
    while let Some(a) = args.next() {
        let mut value = || args.next().unwrap_or_default();
        let ok = match a.as_str() {
            "--holds" => value().parse().map(|v| holds = v).is_ok(),
            "--seed" => value().parse().map(|v| seed = v).is_ok(),
            "--threads" => value().parse().map(|v: u64| threads = v.max(1)).is_ok(),
            "--minutes" => value().parse().map(|v: f64| within = v).is_ok(),
            "--trace" => value().parse().map(|v: u64| trace = Some(v)).is_ok(),
            "--limits" => {
                limits = true;
                true
            }
            "--promises" => {
                foretold = true;
                wish.promises = true;
                true
            }
            "--once" => {
                once = true;
                true
            }
            "--list" => {
                list = true;
                true
            }
            "--world" => {
                let world = value();
                wish.still = world == "still";
                wish.plain = world == "plain" || wish.still;
                wish.plain || world == "mixed"
            }
            "--camera" => {
                wish.camera = match value().as_str() {
                    "cold" => Some(Camera::Cold),
                    "warm" => Some(Camera::Warm),
                    "on" => Some(Camera::On),
                    _ => None,
                };
                wish.camera.is_some()
            }
            "--desiccant" => {
                wish.desiccant = match value().as_str() {
                    "none" => Some(Desiccant::None),
                    "fresh" => Some(Desiccant::Fresh),
                    _ => None,
                };
                wish.desiccant.is_some()
            }
            "--place" => {
                wish.stood = match value().as_str() {
                    "here" => Some(Stood::Here),
                    "moved" => Some(Stood::Moved),
                    _ => None,
                };
                wish.stood.is_some()
            }
            "--said" => {
                wish.said = match value().as_str() {
                    "all" => Some(true),
                    "none" => Some(false),
                    _ => None,
                };
                wish.said.is_some()
            }
            "--driven-by-air" => {
                wish.by_air = true;
                true
            }
            "--source" => {
                wish.source = match value().as_str() {
                    "inside" => Some(TemperatureSource::Inside),
                    "surface" => Some(TemperatureSource::Surface),
                    "air" => Some(TemperatureSource::Air),
                    "none" => Some(TemperatureSource::None),
                    _ => None,
                };
                wish.source.is_some()
            }
            _ => false,
        };
        if !ok {
            eprintln!(
                "usage: holdsim [--holds N] [--seed S] [--threads T] [--world mixed|plain|still] [--camera cold|warm|on] [--desiccant none|fresh] [--place here|moved] [--said all|none] [--driven-by-air] [--source inside|surface|air|none] [--minutes M] [--list] [--once] [--trace HOLD] [--limits] [--promises]"
            );
            return ExitCode::from(2);
        }
    }
    if limits {
        tell_limits(
            holds,
            seed,
            wish.source.unwrap_or(TemperatureSource::Surface),
        );
        return ExitCode::SUCCESS;
    }
    if let Some(id) = trace {
        tell(&simulate(
            &mut Dice::new(seed.wrapping_mul(0x1000_0000).wrapping_add(id)),
            wish,
        ));
        return ExitCode::SUCCESS;
    }
    if foretold {
        let mut all: Vec<Promise> = Vec::new();
        std::thread::scope(|scope| {
            let workers: Vec<_> = (0..threads)
                .map(|w| {
                    scope.spawn(move || {
                        let of = |id| {
                            let with = |w| {
                                let at = seed.wrapping_mul(0x1000_0000).wrapping_add(id);
                                simulate(&mut Dice::new(at), w)
                            };
                            promises(&with(wish), &|w| {
                                with(Wish {
                                    camera: w.camera.or(wish.camera),
                                    desiccant: w.desiccant.or(wish.desiccant),
                                    said: w.said.or(wish.said),
                                    source: w.source.or(wish.source),
                                    ..wish
                                })
                            })
                        };
                        let ids = (w..holds).step_by(threads as usize);
                        ids.flat_map(of).collect::<Vec<_>>()
                    })
                })
                .collect();
            all.extend(workers.into_iter().filter_map(|w| w.join().ok()).flatten());
        });
        tell_promises(&all);
        return ExitCode::SUCCESS;
    }
    let started = std::time::Instant::now();
    let mut total = Tally::default();
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|w| {
                scope.spawn(move || {
                    let mut tally = Tally::default();
                    let mut id = w;
                    while id < holds && started.elapsed().as_secs_f64() < 60.0 * within {
                        // Each hold has dice of its own: the same whatever the number of threads.
                        let mut d = Dice::new(seed.wrapping_mul(0x1000_0000).wrapping_add(id));
                        let s = simulate(&mut d, wish);
                        tally.add(&s, id, once);
                        id += threads;
                    }
                    tally
                })
            })
            .collect();
        for w in workers {
            if let Ok(t) = w.join() {
                total.merge(t);
            }
        }
    });
    println!(
        "{} holds, seed {seed}, {:.0} s",
        total.count.iter().map(|c| c[0]).sum::<u32>(),
        started.elapsed().as_secs_f64()
    );
    if total.report(list, wish.plain) {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
