//! The vacuum hold: from readings to a verdict in millilitres of water for the planned dive.
//!
//! The gas inside obeys P = nRT/V. A viscous leak lets in Q = C·(Pₐ² − P²) (Pa·m³/s at the gas
//! temperature), so that P/T grows by C·∫(Pₐ² − P²)/(TV)dt: linear in C, whatever the ambient
//! pressure and the vacuum do meanwhile. Beside it stand the nuisances, each a Gaussian with a stated
//! spread: the gas warming up after the pump-down, the thermometer's error and its drift, the
//! barometer's, the gauge's steps; and, as cases among which the evidence chooses, what is shut in: a
//! camera's warmth and what desiccant takes ([`inside`] has their bounds, [`shut_in`] their place in
//! the fit). [`model`] solves that; [`clean`] finds mistyped readings and what
//! a stepped gauge really tells; [`drift`] how an instrument's error may move; [`verdict`] says when it
//! is enough.

mod breaks;
pub mod camera;
mod clean;
mod drift;
pub mod gauge;
pub mod inside;
#[allow(
    clippy::needless_range_loop,
    reason = "matrices are read by index, as in the formulas"
)]
mod linear;
#[allow(
    clippy::needless_range_loop,
    reason = "matrices are read by index, as in the formulas"
)]
mod model;
pub mod plausible;
mod recheck;
mod series;
#[allow(
    clippy::needless_range_loop,
    reason = "matrices are read by index, as in the formulas"
)]
mod shut_in;
mod verdict;
pub mod volume;
mod worlds;

use serde::{Deserialize, Serialize};

pub use model::common_error;
pub use recheck::{WORTH_SEEING, foreseen, recheck, step_wanted};
pub use series::zeroed;
pub use verdict::{judge, judge_briefly};

/// The limit that holds until a crew sets its own, for a free volume of [`DEFAULT_LIMIT_VOLUME_M3`]
/// or more, mL of water per dive. Chosen by simulation (`holdsim --limits`): a tight 12 L housing with a
/// 0.1 mbar gauge and a probe on it is judged by it within 15 minutes at the median, for an hour at
/// 30 m. It is a limit of what a short hold can see, not of what is harmless.
pub const DEFAULT_LIMIT_ML: f64 = 60.0;
/// The free volume that [`DEFAULT_LIMIT_ML`] was chosen for, m³.
pub const DEFAULT_LIMIT_VOLUME_M3: f64 = 12e-3;

/// The built-in limit for a free volume, mL of water per dive. The same leak moves the pressure in a
/// small enclosure more, so that as short a hold sees a smaller one: in proportion below 12 L, to two
/// digits; no more above.
///
/// `volume_m3` must be positive.
#[must_use]
pub fn default_limit_ml(volume_m3: f64) -> f64 {
    let ml = DEFAULT_LIMIT_ML * (volume_m3 / DEFAULT_LIMIT_VOLUME_M3).clamp(1e-3, 1.0);
    let power = 10f64.powf(ml.log10().floor() - 1.0);
    (ml / power).round() * power
}

/// What kind of number the gauge shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GaugeKind {
    /// Depression: ambient minus inside. Positive under vacuum.
    BelowAmbient,
    /// Absolute pressure inside.
    Absolute,
}

/// Where the temperature of the enclosed gas was taken, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TemperatureSource {
    /// A sensor in the gas.
    Inside,
    /// A probe on the enclosure, shaded.
    Surface,
    /// A thermometer in the air beside the enclosure.
    Air,
    /// Not measured.
    None,
}

/// Whether what is shut in makes heat. A cinema camera turns 50 to 80 W into heat; in a closed housing
/// the gas then stands kelvins above the wall (common practice).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Camera {
    /// Nothing inside has been on for so long that it is as warm as the wall.
    Cold,
    /// Something inside was switched off within the last hour before the valve was closed.
    Warm,
    /// Something inside runs.
    On,
}

/// Whether something shut in takes vapour out of the air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Desiccant {
    /// None, or only spent packs.
    None,
    /// Fresh packs.
    Fresh,
}

/// Where the enclosure came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stood {
    /// It stood in this shade.
    Here,
    /// It came within the last hour from a car, the sun or a rinse tank, and its wall is kelvins away
    /// from the air beside it.
    Moved,
}

/// What is shut in and moves the pressure without a leak. `None`: nobody said, so any of them may be so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct ShutIn {
    /// The camera, or whatever else makes heat inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub camera: Option<Camera>,
    /// Desiccant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub desiccant: Option<Desiccant>,
    /// Where the enclosure stood before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stood: Option<Stood>,
}

impl ShutIn {
    /// Nothing that moves the pressure: a cold camera, no desiccant, and it stood here.
    pub const NOTHING: ShutIn = ShutIn {
        camera: Some(Camera::Cold),
        desiccant: Some(Desiccant::None),
        stood: Some(Stood::Here),
    };

    /// Whether nothing was said.
    #[must_use]
    pub fn is_unsaid(&self) -> bool {
        *self == ShutIn::default()
    }
}

/// One reading of a hold. All in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Seconds since the valve was closed.
    pub t_s: f64,
    /// What the gauge showed, Pa, in the sense of [`GaugeKind`].
    pub gauge_pa: f64,
    /// Temperature, K, by the hold's [`TemperatureSource`]; `None` where not read then.
    pub temperature_k: Option<f64>,
    /// Ambient (barometric) pressure, Pa; `None` where not read then.
    pub ambient_pa: Option<f64>,
}

/// The dive that the leak is judged for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dive {
    /// Depth, m of water.
    pub depth_m: f64,
    /// Time at that depth, minutes.
    pub minutes: f64,
    /// Salinity, g/kg (0 for fresh water).
    pub salinity_g_kg: f64,
    /// Water temperature, K.
    pub water_k: f64,
}

/// Everything that a verdict needs.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldInput {
    /// Free gas volume of the enclosure, m³.
    pub volume_m3: f64,
    /// Its standard uncertainty (1 sd), m³.
    pub volume_sd_m3: f64,
    /// The gauge's kind.
    pub gauge: GaugeKind,
    /// The gauge's resolution (step of its display), Pa.
    pub gauge_resolution_pa: f64,
    /// Where temperatures come from.
    pub temperature_source: TemperatureSource,
    /// The planned dive.
    pub dive: Dive,
    /// The crew's limit, mL of water for that dive.
    pub limit_ml: f64,
    /// How far the gas may be from what the thermometer says at one moment, K (1 sd); `None` for
    /// what is common of its place. Over hours it counts at both ends.
    pub temperature_sd_k: Option<f64>,
    /// How far the barometer's error may change within a hold, Pa (1 sd); `None` for what is common
    /// of a phone's.
    pub barometer_sd_pa: Option<f64>,
    /// Relative humidity of the enclosed air when the valve was closed, 0 to 1, if measured.
    pub humidity: Option<f64>,
    /// What is shut in.
    pub shut_in: ShutIn,
    /// What the gauge shows too much, Pa in its own sense: what it showed with the valve open, less what
    /// it should have (nothing, or the air pressure outside). 0 where not known.
    pub zero_pa: f64,
    /// Standard uncertainty (1 sd) of that, Pa. It stays the same throughout a hold, so that it only
    /// scales the leak, by what drives it.
    pub zero_sd_pa: f64,
    /// Readings in time order.
    pub readings: Vec<Reading>,
}

/// The three things a hold can say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// A leak at the limit is out of the question: its chance is below that of 3.0 standard
    /// uncertainties (0.13 %, one side), by the part of the estimate that is above nothing (CLs), with
    /// what many looks and an early one ask on top. Stricter than the 95 % interval.
    Holding,
    /// A leak at the limit or below is out of the question, by 4.0 standard uncertainties and the same on
    /// top.
    Leaking,
    /// Neither: a leak at the limit can't be told from what was seen.
    NotYet,
}

/// What limits the certainty of a verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitedBy {
    /// The gauge's resolution or noise.
    Gauge,
    /// The temperature, its source or its drift.
    Temperature,
    /// The barometer.
    Barometer,
    /// The enclosure's free volume.
    Volume,
    /// The settling after the pump-down.
    Settling,
    /// What the warmth of something shut in does, or that nobody said what there is.
    Camera,
    /// What desiccant takes up, or that nobody said whether there is any.
    Desiccant,
}

/// What would bring a verdict, or bring it sooner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// This hold goes on.
    Longer,
    /// Say that the camera is cold, if it is.
    SayCamera,
    /// Say that there is no fresh desiccant, if there is none.
    SayDesiccant,
    /// Switch the camera off, wait until it is cold, hold anew.
    CameraOff,
    /// Hold anew with the humidity inside measured when the valve is closed.
    MeasureHumidity,
    /// Hold anew with a sensor in the gas.
    SensorInside,
    /// Hold anew with a probe on the housing.
    ProbeOnHousing,
}

/// A way to a verdict and how long it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WayOut {
    /// What to do.
    pub way: Way,
    /// Minutes to wait first.
    pub wait_minutes: f64,
    /// Minutes that the hold then takes; of [`Way::Longer`] and of what is only said, the minutes that
    /// this one still takes (0: it settles at once).
    pub hold_minutes: f64,
}

/// A point of the fitted curve, for the chart. Pressures are depression below the ambient at the
/// start, at constant temperature, Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Seconds since the valve was closed.
    pub t_s: f64,
    /// Fitted depression, Pa.
    pub fit_pa: f64,
    /// Lower edge of the 95 % band, Pa.
    pub low_pa: f64,
    /// Upper edge of the 95 % band, Pa.
    pub high_pa: f64,
    /// Where the depression would be with a leak exactly at the limit, Pa.
    pub limit_pa: f64,
}

/// A verdict with its reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The verdict now.
    pub verdict: Verdict,
    /// Best estimate of the leak, mL of water for the planned dive (may be slightly negative).
    pub leak_ml: f64,
    /// Lower end of the 95 % interval, mL per dive.
    pub low_ml: f64,
    /// Upper end of the 95 % interval, mL per dive.
    pub high_ml: f64,
    /// A leak smaller than this would have been missed, mL per dive.
    pub would_miss_below_ml: f64,
    /// The largest leak that the readings leave possible, mL per dive: what the verdict asks of the
    /// limit. The worse of what it rules out and of what would have been missed.
    pub at_most_ml: f64,
    /// Minutes still needed for a verdict; `None` when decided or when no waiting would settle it.
    pub minutes_to_go: Option<f64>,
    /// The same for a hold of bad luck, never less; `None` as well where even sixteen hours may not do.
    pub minutes_at_most: Option<f64>,
    /// Readings that a verdict still wants, whatever they show: so few tell too little of the settling.
    pub readings_wanted: usize,
    /// Seconds that the hold still has to last for a verdict, whatever it shows.
    pub seconds_wanted: f64,
    /// Of a thermometer that is there and was not read often enough to be followed, so that the hold is
    /// judged as without it: the longest time without it, s.
    pub thermometer_unread_s: Option<f64>,
    /// What limits the certainty.
    pub limited_by: LimitedBy,
    /// Gas throughput of the leak at the test's pressures, Pa·m³/s.
    pub throughput_pa_m3_s: f64,
    /// What a leak of 1 mL per dive lets in at the test's pressures, Pa·m³/s at the gas temperature.
    pub throughput_per_ml: f64,
    /// The gas temperature that throughputs are counted at, K.
    pub gas_k: f64,
    /// Diameter of a single hole that would leak as much, m; `None` for no leak.
    pub hole_m: Option<f64>,
    /// The same for the upper end of the 95 % interval, m; `None` where that is below nothing.
    pub hole_at_most_m: Option<f64>,
    /// True when the pressure runs away within the first minute: stop pumping and look.
    pub fast_leak: bool,
    /// True when a rise of water vapour (wet inside) explains the curve.
    pub wet_inside: bool,
    /// True when most of the vacuum is gone: what drives a leak is lost in the instruments' errors.
    pub vacuum_lost: bool,
    /// True when half of the vacuum or more went, and more than any settling takes, also where that was too soon for a
    /// verdict.
    pub gone: bool,
    /// True when the vacuum grew by more than cooling and desiccant explain: it was pumped again, or
    /// another gauge was read. Such a hold proves nothing.
    pub grew: bool,
    /// From so many seconds on the vacuum fell by more than before, or all at once, than one leak, settling and
    /// the instruments' drift explain: a leak that began then, or a puff of air past a seal. Such a hold proves
    /// nothing.
    pub broke_s: Option<f64>,
    /// Indices of readings that look mistyped; they were left out of the fit.
    pub suspects: Vec<usize>,
    /// Each reading reduced to constant temperature and barometer: depression, Pa (same index).
    pub reduced_pa: Vec<f64>,
    /// The fitted curve.
    pub curve: Vec<CurvePoint>,
    /// What would bring a verdict: what is only to be said, then the quickest first; only where there is none yet. Beside the hold
    /// that goes on, only what saves a fifth or more of it.
    pub ways: Vec<WayOut>,
}

/// What kind of number a range is of, so that it can be said in the reader's units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RangeOf {
    /// Pressure, Pa.
    Pressure,
    /// Temperature, K.
    Temperature,
    /// Depth, m.
    Depth,
    /// Water, mL.
    Water,
    /// Gas volume, m³.
    Volume,
    /// Time, minutes.
    Minutes,
    /// Salinity, g/kg.
    Salinity,
    /// A difference of temperatures, K.
    Kelvins,
    /// A share of 1.
    Share,
}

/// What is wrong with a quantity, and what is allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Why {
    /// It is outside a range.
    Outside {
        /// What is allowed.
        range: Range,
        /// The same in words, for a log.
        said: &'static str,
    },
    /// It must be above 0.
    AboveZero,
    /// It must not be below 0.
    NotBelowZero,
    /// It is no number.
    NoNumber,
    /// It is no time since the valve was closed.
    NoTime,
    /// What is inside is larger than the enclosure.
    ContentsTooLarge,
    /// The readings tell the volume too badly.
    ReadingsTooNear,
    /// The syringe's air took nothing off the vacuum, or all of it.
    AirTookNothingOrAll,
    /// It does not lie between the two pressures before.
    NotBetween,
    /// The pump's strokes did not lower it.
    NotLowered,
    /// No pair of readings to compare two gauges by.
    NoPair,
    /// Nothing to compare with.
    NothingToCompare,
    /// The second moment is not the later one.
    NotLater,
    /// The other kind of gauge shows that with the valve open.
    OtherKind,
    /// Deeper than a pump draws, or above the air outside.
    TooDeepOrAbove,
}

impl std::fmt::Display for Why {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Outside { said, .. } => said,
            Self::AboveZero => "more than 0 is needed",
            Self::NotBelowZero => "0 or more is needed",
            Self::NoNumber => "a number is needed",
            Self::NoTime => "seconds since the valve was closed are needed",
            Self::ContentsTooLarge => "the contents are larger than the enclosure",
            Self::ReadingsTooNear => {
                "the readings lie too near each other: more vacuum, or more air at once"
            }
            Self::AirTookNothingOrAll => {
                "the air must have taken off some of the vacuum, and not all of it"
            }
            Self::NotBetween => "it must lie between the two pressures before, Pa",
            Self::NotLowered => "the strokes must have lowered it, Pa",
            Self::NoPair => "one pair of readings at least is needed",
            Self::NothingToCompare => "there is nothing to compare with",
            Self::NotLater => "the second must be later, s",
            Self::OtherKind => {
                "a vacuum gauge shows nothing then, an absolute one the air pressure"
            }
            Self::TooDeepOrAbove => {
                "no pump draws a housing so deep, and no vacuum is above the air outside; are the \
                 kind of gauge, its unit and the sign right?"
            }
        })
    }
}

/// What is allowed, in SI; both ends are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Least.
    pub low: f64,
    /// Most.
    pub high: f64,
    /// What they are.
    pub of: RangeOf,
}

/// What a hold, a recheck or a measured volume is reckoned from, and what of it can be at fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// The gauge's reading.
    Gauge,
    /// The reading of the first of two gauges.
    FirstGauge,
    /// The reading of the second of two gauges.
    SecondGauge,
    /// What the gauge shows with nothing on it.
    GaugeOpen,
    /// How far the gauge may be off.
    GaugeError,
    /// The steps that the gauge shows.
    Resolution,
    /// When a reading was taken.
    Time,
    /// The temperature of a reading.
    Temperature,
    /// How far the thermometer may be off.
    ThermometerError,
    /// The air pressure of a reading.
    Ambient,
    /// How far the barometer may be off.
    BarometerError,
    /// The humidity of the air shut in.
    Humidity,
    /// The free gas volume.
    FreeVolume,
    /// The error of the volume that a hold is judged with.
    VolumeError,
    /// The error of a volume that was measured.
    FreeVolumeError,
    /// The water allowed on a dive.
    Limit,
    /// The dive's depth.
    Depth,
    /// The dive's time.
    Minutes,
    /// The water's salinity.
    Salinity,
    /// The water's temperature.
    WaterTemperature,
    /// How many readings a hold has.
    HoldReadings,
    /// The time from one moment to the next.
    Between,
    /// How many pairs two gauges are compared by.
    Pairs,
    /// What the closed enclosure displaces.
    Displaced,
    /// What its walls take up.
    Walls,
    /// What a thing inside takes up.
    Contents,
    /// How far that may be off.
    ContentsError,
    /// The air in the syringe.
    SyringeAir,
    /// How far the syringe's air may be off.
    SyringeError,
    /// The vessel of known volume.
    KnownVolume,
    /// How far its volume may be off.
    KnownVolumeError,
    /// The pressure in it.
    KnownVolumePressure,
    /// What a stroke of the pump sweeps.
    Stroke,
    /// How far a stroke may be off.
    StrokeError,
    /// How many strokes were made.
    Strokes,
    /// The air pressure while a volume is measured.
    PressureOutside,
    /// The pressure inside before.
    PressureBefore,
    /// The pressure inside after.
    PressureAfter,
    /// How far a pressure may be off.
    PressureError,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 39] = [
        Self::Gauge,
        Self::FirstGauge,
        Self::SecondGauge,
        Self::GaugeOpen,
        Self::GaugeError,
        Self::Resolution,
        Self::Time,
        Self::Temperature,
        Self::ThermometerError,
        Self::Ambient,
        Self::BarometerError,
        Self::Humidity,
        Self::FreeVolume,
        Self::VolumeError,
        Self::FreeVolumeError,
        Self::Limit,
        Self::Depth,
        Self::Minutes,
        Self::Salinity,
        Self::WaterTemperature,
        Self::HoldReadings,
        Self::Between,
        Self::Pairs,
        Self::Displaced,
        Self::Walls,
        Self::Contents,
        Self::ContentsError,
        Self::SyringeAir,
        Self::SyringeError,
        Self::KnownVolume,
        Self::KnownVolumeError,
        Self::KnownVolumePressure,
        Self::Stroke,
        Self::StrokeError,
        Self::Strokes,
        Self::PressureOutside,
        Self::PressureBefore,
        Self::PressureAfter,
        Self::PressureError,
    ];

    /// Its name for developers; a screen says it in the words of its language.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Gauge => "the gauge",
            Self::FirstGauge => "the first gauge",
            Self::SecondGauge => "the second gauge",
            Self::GaugeOpen => "what the gauge shows with the valve open",
            Self::GaugeError => "the gauge's error",
            Self::Resolution => "the gauge's resolution",
            Self::Time => "the time",
            Self::Temperature => "the temperature",
            Self::ThermometerError => "the thermometer's error",
            Self::Ambient => "the ambient pressure",
            Self::BarometerError => "the barometer's error",
            Self::Humidity => "the humidity inside",
            Self::FreeVolume => "the free volume",
            Self::VolumeError => "the volume's uncertainty",
            Self::FreeVolumeError => "the uncertainty of the free volume",
            Self::Limit => "the limit",
            Self::Depth => "the depth",
            Self::Minutes => "the time under water",
            Self::Salinity => "the salinity",
            Self::WaterTemperature => "the water temperature",
            Self::HoldReadings => "the number of readings of the hold",
            Self::Between => "the time between the two moments",
            Self::Pairs => "the number of pairs",
            Self::Displaced => "the displaced volume",
            Self::Walls => "the volume of the walls",
            Self::Contents => "the volume of something inside",
            Self::ContentsError => "its uncertainty",
            Self::SyringeAir => "the syringe's air",
            Self::SyringeError => "the syringe's uncertainty",
            Self::KnownVolume => "the known volume",
            Self::KnownVolumeError => "the known volume's uncertainty",
            Self::KnownVolumePressure => "the known volume's pressure",
            Self::Stroke => "the pump's stroke",
            Self::StrokeError => "the stroke's uncertainty",
            Self::Strokes => "the number of strokes",
            Self::PressureOutside => "the pressure outside",
            Self::PressureBefore => "the pressure before",
            Self::PressureAfter => "the pressure after",
            Self::PressureError => "a pressure's uncertainty",
        }
    }
}

impl std::fmt::Display for Quantity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

/// Why a hold could not be judged. Each names the reading or quantity and what is wrong with it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum HoldFault {
    /// A quantity is not a finite number or outside what can exist.
    #[error("{quantity} is {value}: {why}")]
    Absurd {
        /// The quantity.
        quantity: Quantity,
        /// Its value, in SI.
        value: f64,
        /// What is wrong with it.
        why: Why,
    },
    /// A reading is wrong.
    #[error("reading {index}: {quantity} is {value}: {why}")]
    AbsurdReading {
        /// Which reading, from 0.
        index: usize,
        /// The quantity.
        quantity: Quantity,
        /// Its value, in SI.
        value: f64,
        /// What is wrong with it.
        why: Why,
    },
    /// A reading is earlier than the one before it.
    #[error("reading {index} is earlier than the reading before it")]
    OutOfOrder {
        /// Which reading, from 0.
        index: usize,
    },
}

impl HoldFault {
    /// A quantity, in SI, that can't be.
    pub const fn absurd(quantity: Quantity, value: f64, why: Why) -> Self {
        Self::Absurd {
            quantity,
            value,
            why,
        }
    }

    /// What is at fault.
    pub const fn quantity(&self) -> Quantity {
        match self {
            Self::OutOfOrder { .. } => Quantity::Time,
            Self::Absurd { quantity, .. } | Self::AbsurdReading { quantity, .. } => *quantity,
        }
    }
}

/// A reading hours after the hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Later {
    /// Gauge, temperature, ambient; time since the valve was closed.
    pub reading: Reading,
    /// Whether the camera inside runs, or ran in the last half hour; `None` where nobody said.
    pub camera_on: Option<bool>,
    /// The ambient pressure comes from another barometer than the hold's.
    pub other_barometer: bool,
    /// That the enclosure had come out of the water since the hold; `None` where it had not.
    pub came_up: Option<CameUp>,
    /// It came from elsewhere within the last hour: a cool cabin, a car in the sun, a rinse tank. Its gas may not
    /// have followed what the thermometer is on.
    pub brought: bool,
}

/// An enclosure that came out of water not long ago: its gas may still be as cold (or warm) as that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameUp {
    /// The water's temperature, K.
    pub water_k: f64,
    /// How long ago, s; too little is on the safe side.
    pub ago_s: f64,
}

/// What a hold showed.
#[derive(Debug, Clone, PartialEq)]
pub struct Proved {
    /// Best estimate of the leak, mL per dive.
    pub leak_ml: f64,
    /// Lower end of its 95 % interval.
    pub low_ml: f64,
    /// Upper end of its 95 % interval.
    pub high_ml: f64,
    /// Readings that look mistyped and count for nothing.
    pub suspects: Vec<usize>,
}

impl From<&Judgement> for Proved {
    fn from(j: &Judgement) -> Self {
        Self {
            leak_ml: j.leak_ml,
            low_ml: j.low_ml,
            high_ml: j.high_ml,
            suspects: j.suspects.clone(),
        }
    }
}

/// A hold and what was read since: does the last reading say that something changed?
#[derive(Debug, Clone, PartialEq)]
pub struct RecheckInput {
    /// The hold with its readings.
    pub hold: HoldInput,
    /// What it showed, for its own plan.
    pub proved: Proved,
    /// Rechecks since that read as foretold, in time order.
    pub before: Vec<Later>,
    /// Now. Its `gauge_pa` may be NaN to ask only for what is foretold.
    pub now: Later,
    /// How far this enclosure's camera warms the gas once it has run for long, K: least and most;
    /// `None` for what is common of any.
    pub camera_k: Option<(f64, f64)>,
}

/// What a recheck can say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RecheckResult {
    /// It reads as foretold, and a change worth seeing would have been seen.
    AsForetold,
    /// There is less vacuum than foretold.
    LessVacuum,
    /// There is more vacuum than foretold: another gauge, another housing, a slip.
    MoreVacuum,
    /// It reads as foretold, but a change of a tenth of the vacuum, or what a leak over the limit would have
    /// let in since the hold's end, could have gone unseen.
    CouldNotTell,
}

/// What makes a foretelling unsure most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecheckLimitedBy {
    /// The gauge's step.
    Gauge,
    /// The temperature, at either moment.
    Temperature,
    /// The barometer.
    Barometer,
    /// The leak that the hold showed, run forward.
    Leak,
    /// A camera that may have warmed the gas, at either moment.
    Camera,
    /// Packs that may have taken vapour since.
    Desiccant,
    /// The water that the enclosure came out of.
    CameUp,
    /// Where it came from within the hour.
    Brought,
}

/// What has to be otherwise at a hold for a recheck of it to tell: all that is true of it, together. Nothing is true where
/// none of it helps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct HoldOtherwise {
    /// It is read for longer: half an hour of quiet under what was said would do.
    pub longer: bool,
    /// The camera is off and has cooled: while it ran the gas stood kelvins above the wall that nobody knows.
    pub camera_off: bool,
    /// The enclosure has stood for an hour beside the thermometer.
    pub stood: bool,
    /// It is said that no fresh packs are shut in.
    pub no_packs: bool,
    /// A deeper vacuum is drawn, [`DEEP_ENOUGH_PA`].
    pub deeper: bool,
    /// A sensor measures the gas.
    pub sensor: bool,
}

/// The vacuum that is named where a deeper one is wanted, Pa below ambient: the most of what is customary (100 to 300
/// mbar).
pub const DEEP_ENOUGH_PA: f64 = 30_000.0;

/// What can be said of the rechecks of a hold before they are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Foreseen {
    /// One after a night can tell.
    Tells,
    /// One within hours can, one after a night can't: whether a deeper vacuum, and whether a sensor, would each help.
    NotAfterANight {
        /// A deeper vacuum would.
        deeper: bool,
        /// A sensor in the gas would.
        sensor: bool,
    },
    /// None can.
    Never(HoldOtherwise),
}

/// What the gauge should read now if nothing changed, and whether it does. Pressures in Pa, in the
/// gauge's own sense where not said otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct RecheckJudgement {
    /// The result; `None` when the gauge of `now` is NaN.
    pub result: Option<RecheckResult>,
    /// What the gauge should read: the middle between the limits.
    pub foretold_pa: f64,
    /// Lower 99.9 % limit of that.
    pub low_pa: f64,
    /// Upper 99.9 % limit.
    pub high_pa: f64,
    /// The smallest change that would be found nine times in ten.
    pub would_miss_below_pa: f64,
    /// The same as a share of the vacuum that should be there, without the weather.
    pub would_miss_share: f64,
    /// Whether a change worth seeing would be seen: a tenth of the vacuum nine times in ten, and what a leak
    /// over the limit would have let in since the hold's end (at the limit half of the time, at twice the
    /// limit always). Where not, nothing passes.
    pub sees: bool,
    /// Seconds to wait until a recheck could see that, all else as it is; `None` where it can now, or where
    /// no waiting of some hours helps.
    pub wait_s: Option<f64>,
    /// What runs inside has to be switched off now for `wait_s` to help.
    pub camera_off: bool,
    /// Nobody said whether anything inside runs, and `wait_s` is as if nothing did.
    pub camera_unsaid: bool,
    /// Where no waiting helps, nor the camera switched off, since the hold itself leaves too much unsure: how to
    /// hold again.
    pub otherwise: Option<HoldOtherwise>,
    /// Change of the pressure inside that the temperature foretells.
    pub by_temperature_pa: f64,
    /// Change of the gauge that the barometer foretells.
    pub by_barometer_pa: f64,
    /// Change of the pressure inside that camera, packs and the leak foretell.
    pub by_rest_pa: f64,
    /// By how much the pressure inside is above what was foretold; 0 where only asked.
    pub unexplained_pa: f64,
    /// That, taken for a leak since the hold, mL per dive: estimate, least, and most, what was missed
    /// included.
    pub leak_ml: (f64, f64, f64),
    /// What makes it unsure most.
    pub limited_by: RecheckLimitedBy,
}

impl RecheckJudgement {
    /// What would be one standard uncertainty of a normal error with these limits, Pa.
    #[must_use]
    pub fn sd_pa(&self) -> f64 {
        (self.high_pa - self.low_pa) / (2.0 * 3.29)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_quantity_has_a_name_of_its_own_and_a_fault_says_it() {
        let mut names: Vec<&str> = Quantity::ALL.iter().map(|q| q.name()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Quantity::ALL.len());
        for quantity in Quantity::ALL {
            let fault = HoldFault::absurd(quantity, 2.5, Why::AboveZero);
            assert_eq!(fault.quantity(), quantity);
            let said = format!("{} is 2.5: more than 0 is needed", quantity.name());
            assert_eq!(fault.to_string(), said);
        }
    }
}
