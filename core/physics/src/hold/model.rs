//! Settling, leak and nuisances fitted together, exactly: everything that is linear is Gaussian and
//! solved at once; the two lags that are not (the gas behind the wall, the wall behind the air) are
//! summed over a grid, each node weighted by its evidence.

use super::breaks::{self, Break, Line};
use super::clean::Known;
use super::drift::{self, SHAPES, Shapes};
use super::inside;
use super::linear::{Factor, MAX, Matrix, Reduced, Vector, reduce};
use super::series::Series;
use super::shut_in::{self, Block, COURSES, Case, Courses, Family, ShutIn};
use super::{Camera, Desiccant, GaugeKind, HoldInput, LimitedBy, TemperatureSource};
use crate::{gas, ingress};

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
    /// Shares of that variance, by [`part`].
    pub parts: [f64; PARTS],
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
    /// What leaves the leak most open, of all that is not ruled out.
    pub widest: Open,
    /// Air that came in over a stretch, beside what leaks all the while, and may have been over the limit.
    pub broke: Option<Break>,
    /// The last readings fall away as if a leak had begun that may be over the limit.
    pub falls: bool,
}

/// What leaves the leak open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Open {
    /// Which of [`Ground::variants`].
    variant: usize,
    camera: Camera,
    desiccant: Desiccant,
}

/// Shares of the variance.
pub(super) mod part {
    pub const GAUGE: usize = 0;
    pub const TEMPERATURE: usize = 1;
    pub const BAROMETER: usize = 2;
    pub const SETTLING: usize = 3;
    pub const CAMERA: usize = 4;
    pub const DESICCANT: usize = 5;
}
const PARTS: usize = 6;

/// One choice of what else there may be: priors that only the solving sees, so that they cost little.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Variant {
    /// Spread of the settling's slow part, as a share of the settling.
    slow_share: f64,
    /// Spread of what the wall may be from the air at the start, K; of a sensor in the gas that of its lag, s,
    /// where it may be a slow one.
    wall: f64,
    /// Spread of each shape of the thermometer's drift, as a share of the drift's.
    drift: Shapes,
    /// The cases that it goes with, by their number.
    cases: Vec<usize>,
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
/// How far a phone's barometer may change over hours, Pa (1 sd). Common practice.
const COMMON_BAROMETER_PA: f64 = 15.0;

/// What is taken for an instrument that nobody has measured, by the name of its error: K of a thermometer
/// ('inside_k', 'surface_k'), Pa of a barometer ('barometer_pa'); for any other nothing, since its place
/// and not its error decides. Common practice.
pub fn common_error(of: &str) -> f64 {
    match of {
        "inside_k" => INSIDE_SD_K,
        "surface_k" => SURFACE_SD_K,
        "barometer_pa" => COMMON_BAROMETER_PA,
        _ => 0.0,
    }
}

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
        COMMON_BAROMETER_PA
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
/// The unknowns, by their place in a row: those that every hold has …
pub(super) mod unknown {
    /// Pressure at the hold's middle, Pa from the readings' mean.
    pub const LEVEL: usize = 0;
    /// The leak, mL per dive.
    pub const LEAK: usize = 1;
    /// What the settling starts at, K.
    pub const SETTLING: usize = 2;
    /// How it differs from its law, K.
    pub const BEND: usize = 3;
    /// Its slow part, K.
    pub const SLOW: usize = 4;
    /// The wall from the air at the start, K …
    pub const WALL: usize = 5;
    /// … or, of a sensor in the gas, its lag, s.
    pub const LAG: usize = 5;
    /// Water that evaporates, Pa.
    pub const VAPOUR: usize = 6;
    /// … then the shapes of the thermometer's drift, of the barometer's (of a gauge that needs one),
    /// the courses of the warmth and of the packs (see [`super::Ground::at_warmth`]).
    pub const DRIFT: usize = 7;
}
use unknown::{BEND, DRIFT, LAG, LEAK, LEVEL, SETTLING, SLOW, VAPOUR, WALL};
/// What gauge and barometer may jump by themselves from one reading to the next, Pa, beside
/// [`UNSEEN_STEPS`] of the gauge's display. Common practice: a millibar.
pub(super) const UNSEEN_STEP_PA: f64 = 100.0;
/// See [`UNSEEN_STEP_PA`].
pub(super) const UNSEEN_STEPS: f64 = 3.0;
/// … and by which no settling, warming or drying keeps to its law, as a share of what it does meanwhile.
const MISLED: f64 = 0.2;
/// A leak that may be over the limit, so many standard uncertainties above what it seems.
const OVER: f64 = 3.0;
/// How far from its exponential the settling may be, as a share of what is still to come.
const MISFIT: f64 = 0.005;
/// Spread of the settling's bend, as a share of the settling.
const BEND_SHARE: f64 = 0.1;
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
/// The spread of it, s, where the enclosure came from elsewhere, so that the gas warms or cools by kelvins: a sensor
/// in a sleeve, or on a lump of metal. Common practice.
const SLOW_SENSOR_S: f64 = 600.0;
/// A change of temperature is taken over so many readings that it comes to this, K: the steps of a
/// display to 0.1 K are no rate …
const RATE_OVER_K: f64 = 0.35;
/// … or over this, s.
const RATE_OVER_S: f64 = 300.0;

/// A choice with less than this share of the evidence is left out of what the leak may be.
const NEGLIGIBLE: f64 = 1e-7;
/// A variant with less than this share is not what a forecast has to reckon with.
const RULED_OUT: f64 = 0.01;
/// χ² by which lags must miss the best before they are given up: e^(−20) of its evidence.
const HOPELESS: f64 = 40.0;
/// A leak at the limit that makes up for this share of the vacuum within the hold: then it matters
/// whether it is driven by all that the gauge shows, or by what the air alone has for pressure.
const MATTERS: f64 = 0.1;
/// So many lags, the best first, are asked which cases are worth solving for all the others.
const ASKED_FIRST: usize = 3;
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
    /// What fresh packs take at the most, Pa.
    pub packs_at_most: f64,
    /// What may be shut in.
    shut_in: ShutIn,
    /// How likely it is that the enclosure came from elsewhere.
    moved: f64,
    /// By how much less a leak at the limit has let in, for each unknown of the packs, if the air alone
    /// drives it, reading by reading, Pa per K; empty where that is too little to matter.
    withheld: Vec<Courses>,
}

impl Ground {
    /// Prepares a series (only readings not marked `wrong` count for the mean).
    pub(super) fn new(h: &HoldInput, s: &Series, wrong: &[bool]) -> Self {
        Self::of(h, s, wrong, false)
    }

    /// For a series that is only supposed.
    pub(super) fn ahead(h: &HoldInput, s: &Series) -> Self {
        Self::of(h, s, &[], true)
    }

    fn of(h: &HoldInput, s: &Series, wrong: &[bool], ahead: bool) -> Self {
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
        // As warm as it ever was: what vapour the air shut in held is for the packs' bound.
        let warmest = s.temp.iter().copied().fold(t_mean, f64::max);
        let packs = inside::packs_at_most(h, s.source, p_mean, warmest, &s.ambient);
        // What a leak at the limit lets in less, for 1 Pa less of what drives it.
        let withheld: Vec<f64> = (0..n)
            .map(|i| h.limit_ml * 2.0 * p[i] / (s.temp[i] * h.volume_m3 * ml_per_c))
            .collect();
        let by_air = withheld.iter().fold(0.0, |m: f64, w| m.max(*w)) * span * t_mean > MATTERS;
        let shut_in = ShutIn::new(h, s.source, span, packs, by_air && !ahead, ahead);
        let withheld = match &shut_in.packs {
            Some(family) if by_air && !ahead => withheld_by(family, &withheld, &s.t, start),
            _ => Vec::new(),
        };
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
            packs_at_most: packs,
            shut_in,
            moved: inside::moved(h.shut_in.stood),
            withheld,
        }
    }

    /// Where the courses of the warmth begin; before them are the unknowns that a hold with nothing
    /// shut in has.
    fn at_warmth(&self) -> usize {
        DRIFT
            + SHAPES
            + if self.barometer_matters {
                BAROMETER_SHAPES
            } else {
                0
            }
    }

    /// Where those of the packs begin.
    fn at_packs(&self) -> usize {
        self.at_warmth()
            + if self.shut_in.warmth.is_some() {
                COURSES
            } else {
                0
            }
    }

    /// Where those of packs beside a leak that the air alone drives begin.
    fn at_packs_by_air(&self) -> usize {
        self.at_packs()
            + if self.shut_in.packs.is_some() {
                COURSES
            } else {
                0
            }
    }

    /// Number of unknowns.
    fn unknowns(&self) -> usize {
        self.at_packs_by_air() + if self.withheld.is_empty() { 0 } else { COURSES }
    }

    /// The mean of [`Ground::withheld`] over some readings.
    fn withheld_over(&self, all: std::ops::RangeInclusive<usize>) -> Option<Courses> {
        let of = self.withheld.get(all)?;
        let mut sum = [0.0; COURSES];
        for w in of {
            for (s, x) in sum.iter_mut().zip(w) {
                *s += x / of.len() as f64;
            }
        }
        Some(sum)
    }

    /// Which share of the variance an unknown that every hold has counts to.
    fn part_of(j: usize) -> usize {
        match j {
            _ if j < DRIFT => part::SETTLING,
            _ if j < DRIFT + SHAPES => part::TEMPERATURE,
            _ => part::BAROMETER,
        }
    }

    /// The blocks that a case has, with where each begins.
    fn blocks<'c>(&self, case: &'c Case) -> impl Iterator<Item = (usize, &'c Block)> + use<'c> {
        let warmth = self.at_warmth();
        let packs = if case.by_air && !self.withheld.is_empty() {
            self.at_packs_by_air()
        } else {
            self.at_packs()
        };
        let warmth = case.warmth.iter().map(move |b| (warmth, b));
        warmth.chain(case.packs.iter().map(move |b| (packs, b)))
    }

    /// Fills in what is shut in, after `t` seconds; `withheld` as in [`Ground::withheld`].
    fn fill_shut_in(&self, r: &mut Vector, t: f64, withheld: Option<Courses>) {
        if let Some(family) = &self.shut_in.warmth {
            let per_k = self.p_mean / self.t_mean;
            let at = self.at_warmth();
            for (x, course) in r[at..].iter_mut().zip(family.at(t)) {
                *x = per_k * course;
            }
        }
        if let Some(family) = &self.shut_in.packs {
            let courses = family.at(t);
            let (plain, by_air) = (self.at_packs(), self.at_packs_by_air());
            r[plain..plain + COURSES].copy_from_slice(&courses);
            for (k, w) in withheld.into_iter().flatten().enumerate() {
                r[by_air + k] = courses[k] - self.t_mean * w;
            }
        }
    }

    /// The part of a row that no lag changes: sensor lag and drifts.
    fn steady_row(&self, i: usize) -> Vector {
        let mut r = [0.0; MAX];
        let per_k = self.p_mean / self.t_mean;
        if self.source == TemperatureSource::Inside {
            r[LAG] = per_k * self.rate[i];
        }
        let w = &self.shapes[i];
        for k in 0..SHAPES {
            r[DRIFT + k] = per_k * w[k];
        }
        if self.barometer_matters {
            let at = DRIFT + SHAPES;
            r[at..at + BAROMETER_SHAPES].copy_from_slice(&w[..BAROMETER_SHAPES]);
        }
        r
    }

    /// Fills in the part that the lags change, for gas at `temp` (K), `leak` as in [`Ground::leak`].
    fn fill_row(&self, r: &mut Vector, temp: f64, leak: f64, decay: &Decays) {
        let per_k = self.p_mean / self.t_mean;
        r[LEVEL] = temp / self.t_mean;
        r[LEAK] = leak * temp;
        r[SETTLING] = per_k * decay.gas.0;
        // How that changes with the lag: between the grid's nodes, and for settling that is not
        // quite exponential.
        r[BEND] = per_k * decay.gas.1;
        r[SLOW] = per_k * decay.slow;
        if self.source != TemperatureSource::Inside {
            r[WALL] = per_k * decay.wall;
        }
        r[VAPOUR] = -decay.wet;
    }

    /// What each unknown that every hold has is expected to be.
    fn expected(&self, j: usize) -> f64 {
        match j {
            LAG if self.source == TemperatureSource::Inside => SENSOR_LAG_S,
            _ => 0.0,
        }
    }

    /// Prior spread of each unknown that every hold has.
    fn prior(&self, j: usize, v: &Variant) -> f64 {
        match j {
            LEVEL => 1e4,
            LEAK => self.leak_sd,
            SETTLING => self.spread.settling,
            BEND => self.seen_k * BEND_SHARE,
            SLOW => self.seen_k * v.slow_share,
            LAG if self.source == TemperatureSource::Inside => v.wall.max(SENSOR_LAG_SD_S),
            WALL => v.wall.max(1e-3),
            VAPOUR => 0.5 * self.vapour_room,
            k if k < DRIFT + SHAPES => self.spread.temperature * v.drift[k - DRIFT],
            k => self.spread.barometer * drift::ANY[k - DRIFT - SHAPES],
        }
    }

    /// Most settlings are one exponential, and most walls are as warm as the air; some are not. Which
    /// it is, is for the evidence to say: to allow for all of it at once would leave short holds open.
    /// The first goes with the likeliest case.
    fn variants(&self) -> Vec<Variant> {
        let numbers = |is: &dyn Fn(&Case) -> bool| -> Vec<usize> {
            let cases = self.shut_in.cases.iter().enumerate();
            cases.filter(|(_, c)| is(c)).map(|(i, _)| i).collect()
        };
        let of = |slow_share, wall, drift, weight, cases: &[usize]| Variant {
            slow_share,
            wall,
            drift,
            cases: cases.to_vec(),
            weight,
        };
        let laws = drift::laws(span_of(&self.t));
        let plain = numbers(&Case::plain);
        // What is shut in blurs a drift's law: it is told from another only where nothing is.
        let others = numbers(&|c| !c.plain());
        let mut out: Vec<Variant> = match self.source {
            TemperatureSource::Inside => {
                let here = 1.0 - self.moved;
                let all = numbers(&|_| true);
                laws.iter()
                    .map(|&law| of(SLOW_SHARE, 0.0, law, here / 3.0, &plain))
                    .chain([
                        of(SLOW_SHARE, 0.0, drift::ANY, here, &others),
                        of(SLOW_SHARE, SLOW_SENSOR_S, drift::ANY, self.moved, &all),
                    ])
                    .collect()
            }
            TemperatureSource::Surface => laws
                .iter()
                .flat_map(|&law| {
                    [
                        of(SLOW_SHARE_PLAIN, 0.0, law, PLAIN / 3.0, &plain),
                        of(SLOW_SHARE, 0.0, law, (1.0 - PLAIN) / 3.0, &plain),
                    ]
                })
                .chain([
                    of(SLOW_SHARE_PLAIN, 0.0, drift::ANY, PLAIN, &others),
                    of(SLOW_SHARE, 0.0, drift::ANY, 1.0 - PLAIN, &others),
                ])
                .collect(),
            // Both at once, and no law told from another: with 25 pairs of lags, each variant more
            // would cost too much.
            TemperatureSource::Air | TemperatureSource::None => {
                let cold = numbers(&|c| c.camera == Camera::Cold);
                let warm = numbers(&|c| c.camera != Camera::Cold);
                let all = numbers(&|_| true);
                let (here, any) = (1.0 - self.moved, drift::ANY);
                let like_air = here * WALL_LIKE_AIR;
                let over = inside::WALL_OVER_AIR_K;
                vec![
                    of(SLOW_SHARE_PLAIN, WALL_PLAIN_K, any, like_air, &cold),
                    of(SLOW_SHARE, self.spread.wall, any, here - like_air, &cold),
                    of(SLOW_SHARE, over, any, here, &warm),
                    of(SLOW_SHARE, inside::WALL_MOVED_K, any, self.moved, &all),
                ]
            }
        };
        out.retain(|v| v.weight > 0.0 && !v.cases.is_empty());
        out
    }

    /// A variant with everything at once that any has: what fits closest.
    fn freest(&self, variants: &[Variant]) -> Option<Variant> {
        let last = variants.last()?;
        let wall = variants.iter().map(|v| v.wall).fold(0.0, f64::max);
        Some(Variant {
            wall,
            ..last.clone()
        })
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

/// What a leak at the limit lets in less up to each reading, at these times, for each unknown of the
/// packs; `rate` is that for 1 Pa less of what drives it.
fn withheld_by(family: &Family, rate: &[f64], times: &[f64], start: f64) -> Vec<Courses> {
    let mut sum = [0.0; COURSES];
    let mut before: Option<(f64, Courses)> = None;
    let mut out = Vec::with_capacity(times.len());
    for (&t, &w) in times.iter().zip(rate) {
        // What has been taken is what no longer is there to die away.
        let mut now = family.at(t - start).map(|c| -w * c);
        now[0] += w;
        if let Some((t0, then)) = before {
            for ((s, a), b) in sum.iter_mut().zip(then).zip(now) {
                *s += 0.5 * (a + b) * (t - t0);
            }
        }
        before = Some((t, now));
        out.push(sum);
    }
    out
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
    /// Sum of the logarithms of the entries' variances.
    ln_var: f64,
}

/// Weighted sums of products of a node's columns: the normal equations without the priors.
struct Sums {
    node: Node,
    a: Matrix,
    b: Vector,
    yy: f64,
}

/// Most unknowns of a case: its courses, the vapour, the leak.
const OF_CASE: usize = 2 * COURSES + 2;

/// What a node, a variant and a case say.
#[derive(Debug, Clone, Copy)]
struct Solution {
    leak: f64,
    leak_var: f64,
    /// Water that evaporates, and its variance, Pa.
    vapour: (f64, f64),
    /// Logarithm of the evidence.
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
                // Over the minutes of one entry these courses are all but straight.
                g.fill_shut_in(
                    &mut row,
                    mean(all.clone(), |i| g.t[i]),
                    g.withheld_over(all.clone()),
                );
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
            for i in DRIFT..n {
                let wi = e.row[i] / e.var;
                for j in DRIFT..=i {
                    steady[i][j] += wi * e.row[j];
                }
            }
        }
        Self {
            g,
            ln_var: entries.iter().map(|e| e.var.ln()).sum(),
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
                (row, e.p - self.g.p_mean * row[LEVEL])
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
                for j in 0..=i.min(DRIFT - 1) {
                    out.a[i][j] += wi * row[j];
                }
            }
        }
        out
    }

    /// A node's sums with the priors of all that every hold has, all variances times `noise`.
    fn with_priors(
        &self,
        sums: &Sums,
        noise: f64,
        variant: &Variant,
    ) -> (Matrix, Vector, f64, f64) {
        let (base, n) = (self.g.at_warmth(), self.g.unknowns());
        let (mut a, mut b, mut yy) = (sums.a, sums.b, sums.yy / noise);
        let mut ln_var = self.ln_var + self.entries.len() as f64 * noise.ln();
        for i in 0..n {
            for x in a[i].iter_mut().take(i + 1) {
                *x /= noise;
            }
            b[i] /= noise;
        }
        for i in 0..base {
            let sd = self.g.prior(i, variant);
            let expected = self.g.expected(i);
            a[i][i] += 1.0 / (sd * sd);
            b[i] += expected / (sd * sd);
            yy += (expected / sd).powi(2);
            ln_var += 2.0 * sd.ln();
        }
        (a, b, yy, ln_var)
    }

    /// The same with all unknowns but those of what is shut in, the vapour and the leak solved for:
    /// what is left serves every case.
    fn reduced(&self, sums: &Sums, noise: f64, variant: &Variant) -> Option<Reduced> {
        let (a, b, yy, ln_var) = self.with_priors(sums, noise, variant);
        let base = self.g.at_warmth();
        let first = (0..base).filter(|j| ![LEAK, VAPOUR].contains(j));
        let last = (base..self.g.unknowns()).chain([VAPOUR, LEAK]);
        let order: Vec<usize> = first.chain(last).collect();
        let mut out = reduce(&a, &b, &order, base - 2)?;
        out.yy += yy;
        out.ln += ln_var;
        Some(out)
    }

    /// Solves what is left for a case.
    fn solve(&self, left: &Reduced, case: &Case) -> Option<Solution> {
        let base = self.g.at_warmth();
        // What the case has not got is left out.
        let mut keep = [0; OF_CASE];
        let mut count = 0;
        for (at, _) in self.g.blocks(case) {
            for k in 0..COURSES {
                keep[count] = at - base + k;
                count += 1;
            }
        }
        for k in [left.n - 2, left.n - 1] {
            keep[count] = k;
            count += 1;
        }
        let (mut a, mut b) = ([[0.0; OF_CASE]; OF_CASE], [0.0; OF_CASE]);
        for i in 0..count {
            b[i] = left.b[keep[i]];
            for j in 0..=i {
                a[i][j] = left.a[keep[i]][keep[j]];
            }
        }
        let (mut yy, mut ln_var) = (left.yy, left.ln);
        for (nth, (_, block)) in self.g.blocks(case).enumerate() {
            add_block(&mut a, &mut b, &mut yy, nth * COURSES, block);
            ln_var += block.ln_det;
        }
        let factor = Factor::new(&a, count)?;
        let z = factor.forward(&b);
        let chi2 = (yy - z.iter().map(|z| z * z).sum::<f64>()).max(0.0);
        let x = factor.back(&z);
        let of_leak = factor.inverse_column(count - 1);
        let mut out = Solution {
            leak: x[count - 1],
            leak_var: of_leak[count - 1],
            vapour: (x[count - 2], factor.inverse_column(count - 2)[count - 2]),
            evidence: -0.5 * (chi2 + ln_var + factor.ln_det),
            chi2,
        };
        for (nth, (_, block)) in self.g.blocks(case).enumerate() {
            if let Some(bounds) = block.bounds {
                let at = nth * COURSES;
                let var = factor.inverse_column(at)[at];
                out.cut_off(bounds, x[at], var, of_leak[at]);
            }
        }
        Some(out)
    }

    /// Everything of one node, variant and case: the unknowns and the factor of their precision.
    fn whole(
        &self,
        sums: &Sums,
        noise: f64,
        variant: &Variant,
        case: &Case,
    ) -> Option<(Vector, Factor)> {
        let (mut a, mut b, mut yy, _) = self.with_priors(sums, noise, variant);
        let n = self.g.unknowns();
        for (at, block) in self.g.blocks(case) {
            add_block(&mut a, &mut b, &mut yy, at, block);
        }
        // What the case has not got is nothing, for sure.
        let has = |i: usize| {
            self.g
                .blocks(case)
                .any(|(at, _)| (at..at + COURSES).contains(&i))
        };
        for i in (self.g.at_warmth()..n).filter(|&i| !has(i)) {
            a[i][i] += 1e12;
        }
        let factor = Factor::new(&a, n)?;
        Some((factor.back(&factor.forward(&b)), factor))
    }

    /// Factor on the variances that the residuals ask for: their size, and how far they hang together
    /// (lag-1 autocorrelation ρ: n readings are worth n(1 − ρ)/(1 + ρ)).
    fn restless(&self, node: &Node, x: &Vector, chi2: f64) -> f64 {
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
                let fit: f64 = (0..n).map(|j| row[j] * x[j]).sum();
                (y - fit) / e.var.sqrt()
            })
            .collect();
        let rho = hangs_together(&e);
        (chi2 / free * (1.0 + rho) / (1.0 - rho)).max(1.0)
    }

    /// Air that came in over a stretch, beyond what gauge and barometer jump by themselves, and by a leak that may
    /// have been over the limit.
    /// Beside it, whether the last readings fall away like that: there the gauge is read several times over, and one
    /// of its steps is all that it jumps.
    fn broke(&self, h: &HoldInput, node: &Node, x: &Vector, inv: &Matrix) -> (Option<Break>, bool) {
        let jump = UNSEEN_STEPS * h.gauge_resolution_pa + UNSEEN_STEP_PA;
        let n = self.g.unknowns();
        let lines: Vec<Line> = self
            .lines(node, &mut None)
            .into_iter()
            .zip(&self.entries)
            .map(|((row, y), e)| Line {
                left: y - (0..n).map(|j| row[j] * x[j]).sum::<f64>(),
                row,
                var: e.var,
                readings: (e.first, e.last),
            })
            .collect();
        let counts = |b: &Break, jump: f64| {
            b.rise_pa > jump + MISLED * b.else_pa.abs() && b.leak.0 + OVER * b.leak.1 >= h.limit_ml
        };
        let broke = breaks::found(&lines, x, inv, n, |b| counts(b, jump));
        let jump = h.gauge_resolution_pa + UNSEEN_STEP_PA;
        let falls = broke.is_some() || breaks::falls(&lines, x, inv, n, |b| counts(b, jump));
        (broke, falls)
    }
}

/// Lag-1 autocorrelation of what a fit leaves: nothing at the least, 0.9 at the most.
pub(super) fn hangs_together(left: &[f64]) -> f64 {
    let sum: f64 = left.iter().map(|x| x * x).sum();
    let lag: f64 = left.windows(2).map(|w| w[0] * w[1]).sum();
    if sum > 0.0 {
        (lag / sum).clamp(0.0, 0.9)
    } else {
        0.0
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
    let (freest, any) = (g.freest(&variants)?, g.shut_in.freest);
    let tried: Vec<(&Sums, f64)> = sums
        .iter()
        .filter_map(|s| {
            let left = bench.reduced(s, 1.0, &freest)?;
            Some((s, bench.solve(&left, &any)?.chi2))
        })
        .collect();
    let closest = tried.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let (x, _) = bench.whole(closest.0, 1.0, &freest, &any)?;
    let asked = bench.restless(&closest.0.node, &x, closest.1);
    let noise = if asked > 1.1 { asked } else { 1.0 };
    // Lags that even so fit far worse are not worth solving for every variant.
    let most = closest.1 + HOPELESS * noise;
    let mut near: Vec<&(&Sums, f64)> = tried.iter().filter(|x| x.1 <= most).collect();
    // Where water evaporates not every case is asked.
    let wet_last = |x: &(&Sums, f64)| x.0.node.wet_s.is_some();
    near.sort_by(|a, b| wet_last(a).cmp(&wet_last(b)).then(a.1.total_cmp(&b.1)));
    // Nor are cases that are out of the question with the lags that fit best.
    let mut alive = vec![true; g.shut_in.cases.len()];
    let mut solved: Vec<Solved> = Vec::new();
    for (nth, (s, _)) in near.into_iter().enumerate() {
        if nth == ASKED_FIRST {
            outlive(&mut alive, &solved);
        }
        for (of, v) in variants.iter().enumerate() {
            let Some(left) = bench.reduced(s, noise, v) else {
                continue;
            };
            for &number in v.cases.iter().filter(|&&c| alive[c]) {
                let case = &g.shut_in.cases[number];
                // What evaporates, fresh packs take up.
                if s.node.wet_s.is_some() && case.desiccant == Desiccant::Fresh {
                    continue;
                }
                if let Some(solution) = bench.solve(&left, case) {
                    let prior = s.node.weight * v.weight * case.weight;
                    solved.push(Solved {
                        sums: s,
                        of,
                        case: number,
                        score: solution.evidence + prior.ln(),
                        solution,
                    });
                }
            }
        }
    }
    // Water evaporating counts only where it is seen to: it can't take pressure away, and as a mere
    // possibility it would leave every long hold open.
    solved.retain(|x| {
        let (vapour, var) = x.solution.vapour;
        x.sums.node.wet_s.is_none() || vapour > 3.0 * var.sqrt()
    });
    let chosen = solved.iter().max_by(|a, b| a.score.total_cmp(&b.score))?;
    let mut all = Sum::default();
    let mut wet = 0.0;
    let mut open: Vec<(Open, Sum)> = Vec::new();
    for x in &solved {
        let w = (x.score - chosen.score).exp();
        if w < NEGLIGIBLE {
            continue;
        }
        all.add(w, &x.solution);
        if x.sums.node.wet_s.is_some() {
            wet += w;
        }
        let case = &g.shut_in.cases[x.case];
        let key = Open {
            variant: x.of,
            camera: case.camera,
            desiccant: case.desiccant,
        };
        match open.iter_mut().find(|o| o.0 == key) {
            Some(o) => o.1.add(w, &x.solution),
            None => {
                let mut sum = Sum::default();
                sum.add(w, &x.solution);
                open.push((key, sum));
            }
        }
    }
    let (node, variant) = (&chosen.sums.node, &variants[chosen.of]);
    let (mean, within, between) = (all.mean(), all.within(), all.between());
    // Shares of the variance, of the best node: A⁻¹ applied to each source of error alone.
    let case = &g.shut_in.cases[chosen.case];
    let (best_x, factor) = bench.whole(chosen.sums, noise, variant, case)?;
    let inv = factor.inverse();
    let n = g.unknowns();
    let mut parts = [0.0; PARTS];
    let mut uniform_sq = 0.0;
    for ((row, _), e) in bench.lines(node, &mut None).iter().zip(&bench.entries) {
        let c: f64 = (0..n).map(|j| inv[LEAK][j] * row[j]).sum::<f64>() / (e.var * noise);
        let v = c * c * e.var * noise;
        parts[part::GAUGE] += v;
        if e.uniform {
            uniform_sq += v * v;
        }
    }
    for j in SETTLING..g.at_warmth() {
        parts[Ground::part_of(j)] += (inv[LEAK][j] / g.prior(j, variant)).powi(2);
    }
    for (at, block) in g.blocks(case) {
        let part = if at < g.at_packs() {
            part::CAMERA
        } else {
            part::DESICCANT
        };
        for (i, row) in block.precision.iter().enumerate() {
            for (j, p) in row.iter().enumerate() {
                parts[part] += inv[LEAK][at + i] * p * inv[LEAK][at + j];
            }
        }
    }
    let [camera, desiccant] = between_cases(&open, &all);
    parts[part::CAMERA] += camera;
    parts[part::DESICCANT] += desiccant;
    parts[part::SETTLING] += (between - camera - desiccant).max(0.0);
    let widest = open
        .iter()
        .filter(|o| o.1.weight > RULED_OUT * all.weight)
        .max_by(|a, b| a.1.within().total_cmp(&b.1.within()))?
        .0;
    // As restless as the instruments are by themselves: a break makes its own restlessness.
    let (broke, falls) = bench
        .whole(chosen.sums, 1.0, variant, case)
        .map_or((None, false), |(x, factor)| {
            bench.broke(h, node, &x, &factor.inverse())
        });
    let choices = solved
        .iter()
        .map(|x| Choice {
            weight: (x.score - chosen.score).exp() / all.weight,
            mean: x.solution.leak,
            var: x.solution.leak_var,
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
        wet: wet / all.weight,
        best_x,
        best_inv: inv,
        widest,
        broke,
        falls,
    })
}

/// Gives up the cases that no solution so far comes near the best with.
fn outlive(alive: &mut [bool], solved: &[Solved]) {
    let best = |of: &mut dyn Iterator<Item = &Solved<'_>>| {
        of.map(|x| x.score).fold(f64::NEG_INFINITY, f64::max)
    };
    let top = best(&mut solved.iter());
    for (case, alive) in alive.iter_mut().enumerate() {
        *alive = best(&mut solved.iter().filter(|x| x.case == case)) > top - 0.5 * HOPELESS;
    }
}

/// Adds what is known of a block beforehand to the normal equations.
fn add_block<const N: usize>(
    a: &mut [[f64; N]; N],
    b: &mut [f64; N],
    yy: &mut f64,
    at: usize,
    block: &Block,
) {
    for i in 0..COURSES {
        let mut pull = 0.0;
        for j in 0..COURSES {
            pull += block.precision[i][j] * block.mean[j];
            if j <= i {
                a[at + i][at + j] += block.precision[i][j];
            }
        }
        b[at + i] += pull;
        *yy += block.mean[i] * pull;
    }
}

impl Solution {
    /// Cuts off what lies beyond the bounds of an amount, normal about `mean` with `var`, which hangs
    /// together with the leak by `with_leak`: its evidence, and the leak's mean and variance, by the
    /// moments of a normal distribution cut off on both sides (textbooks: Johnson & Kotz).
    fn cut_off(&mut self, (low, high, held): (f64, f64, f64), mean: f64, var: f64, with_leak: f64) {
        let sd = var.sqrt();
        let (a, b) = ((low - mean) / sd, (high - mean) / sd);
        let inside = shut_in::within(low, high, mean, sd);
        // So far outside that nothing is left: the evidence goes, and what it says of the leak with it.
        if inside < 1e-12 {
            self.evidence += (1e-12_f64 / held).ln();
            return;
        }
        self.evidence += (inside / held).ln();
        let bell = |z: f64| (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt();
        let shift = (bell(a) - bell(b)) / inside;
        let narrowed = 1.0 + (a * bell(a) - b * bell(b)) / inside - shift * shift;
        let per_sd = with_leak / sd;
        self.leak += per_sd * shift;
        self.leak_var -= per_sd * per_sd * (1.0 - narrowed.clamp(0.0, 1.0));
        self.leak_var = self.leak_var.max(1e-12);
    }
}

/// A node, a variant and a case solved.
struct Solved<'a> {
    sums: &'a Sums,
    /// Which variant, and which case.
    of: usize,
    case: usize,
    solution: Solution,
    /// Logarithm of its evidence and prior weight.
    score: f64,
}

/// Weighted sums of what solutions say of the leak.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    weight: f64,
    leak: f64,
    square: f64,
    var: f64,
}

impl Sum {
    fn add(&mut self, w: f64, s: &Solution) {
        self.weight += w;
        self.leak += w * s.leak;
        self.square += w * s.leak * s.leak;
        self.var += w * s.leak_var;
    }

    fn mean(&self) -> f64 {
        self.leak / self.weight
    }

    /// Mean of the variances.
    fn within(&self) -> f64 {
        self.var / self.weight
    }

    /// Variance of the means.
    fn between(&self) -> f64 {
        (self.square / self.weight - self.mean().powi(2)).max(0.0)
    }
}

/// Variance of the leak that comes of not knowing which camera, and which packs, there are: of the
/// means that each alone would give.
fn between_cases(open: &[(Open, Sum)], all: &Sum) -> [f64; 2] {
    let among = |is: &dyn Fn(&Open) -> bool| {
        let of = open.iter().filter(|o| is(&o.0));
        let (w, sum) = of.fold((0.0, 0.0), |m, o| (m.0 + o.1.weight, m.1 + o.1.leak));
        if w > 0.0 {
            w / all.weight * (sum / w - all.mean()).powi(2)
        } else {
            0.0
        }
    };
    let camera = |c: Camera| among(&move |o| o.camera == c);
    let packs = |d: Desiccant| among(&move |o| o.desiccant == d);
    [
        camera(Camera::Cold) + camera(Camera::Warm) + camera(Camera::On),
        packs(Desiccant::None) + packs(Desiccant::Fresh),
    ]
}

/// Variance of the leak that entries like these will give with these lags, mL²: with what is `open`, or
/// else with whatever leaves it most open.
pub(super) fn predict(
    h: &HoldInput,
    s: &Series,
    g: &Ground,
    known: &[Known],
    node: &Node,
    open: Option<Open>,
) -> Option<f64> {
    let bench = Bench::new(h, s, g, known, std::slice::from_ref(node));
    let sums = bench.sums(node, &mut None);
    let variants = g.variants();
    let nothing = g.shut_in.cases.iter().all(Case::plain);
    // Where nothing is shut in, the likeliest settling; else, and where only the air beside it is
    // measured, the last, which leaves most open.
    let beside = s.source == TemperatureSource::Air;
    let which = match open {
        Some(o) if o.variant < variants.len() => o.variant,
        None if !nothing || beside => variants.len() - 1,
        _ => 0,
    };
    let v = variants.get(which)?;
    let left = bench.reduced(&sums, 1.0, v)?;
    let same = |c: &Case| open.is_none_or(|o| o.camera == c.camera && o.desiccant == c.desiccant);
    let cases = v.cases.iter().map(|&i| &g.shut_in.cases[i]);
    let slow = cases.filter(|c| c.slowest && same(c));
    let vars = slow.filter_map(|c| bench.solve(&left, c));
    vars.map(|x| x.leak_var).reduce(f64::max)
}

impl Fit {
    /// The largest share, with the volume's (which scales the leak) among them.
    pub(super) fn limited_by(&self, volume_var: f64) -> LimitedBy {
        let names = [
            (self.parts[part::GAUGE], LimitedBy::Gauge),
            (self.parts[part::TEMPERATURE], LimitedBy::Temperature),
            (self.parts[part::BAROMETER], LimitedBy::Barometer),
            (self.parts[part::SETTLING], LimitedBy::Settling),
            (self.parts[part::CAMERA], LimitedBy::Camera),
            (self.parts[part::DESICCANT], LimitedBy::Desiccant),
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
        g.fill_shut_in(&mut r, g.t[i], g.withheld.get(i).copied());
        let n = g.unknowns();
        let mut est = g.p_mean * r[LEVEL];
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
