//! Procedures: data that says what is done in which order.
//!
//! A procedure is read from a small TOML file ([`parse`], described in
//! `core/procedures/FORMAT.md`), laid out on one rig ([`expand`]: a step that is repeated for
//! each seal becomes one instance for each seal), and asked what may be done now
//! ([`available`], [`next`]). Order is a graph of prerequisites; the order of the file only
//! decides between steps that are both free.
//!
//! Everything here is pure: no clock, no store, no knowledge of who did what. What was done is
//! folded from the journal and handed in as a set of instance keys.

mod expand;
mod graph;
mod parse;
mod slip;

use std::fmt;

use once_cell::sync::Lazy;
use serde::{Deserialize, Serialize};

pub use expand::{OutlineClosure, OutlineEnclosure, RigOutline, StepInstance, Target, expand};
pub use graph::{Place, available, next, place};
pub use parse::{parse, parse_bytes};
pub use slip::{Form, Slip};

/// The newest file format that this program reads.
pub const FORMAT: u32 = 1;

/// Limits on what a file may hold, so that every text fits a phone held at arm's length.
/// Lengths are counted in characters, not bytes.
pub mod limits {
    /// Largest file, bytes.
    pub const FILE_BYTES: usize = 256 * 1024;
    /// Most steps in one procedure.
    pub const STEPS: usize = 200;
    /// Most faults that are told of one file; mending them shows the next.
    pub const FAULTS: usize = 100;
    /// Longest id of a procedure or step.
    pub const ID: usize = 48;
    /// Longest title of a procedure or step, placeholders counted as they are written.
    pub const TITLE: usize = 80;
    /// Longest name of a section.
    pub const SECTION: usize = 32;
    /// Longest explaining text.
    pub const TEXT: usize = 400;
    /// Longest caution.
    pub const CAUTION: usize = 300;
    /// Most points in one step.
    pub const POINTS: usize = 16;
    /// Longest point.
    pub const POINT: usize = 100;
    /// Longest unit.
    pub const UNIT: usize = 12;
}

/// A closed set of words: each value has one spelling in files, in the journal and in the
/// schema.
macro_rules! words {
    ($(#[$outer:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$outer])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum $name {
            $($(#[$doc])* #[serde(rename = $word)] $variant,)+
        }
        impl $name {
            /// Every value, in the order of the format's description.
            pub const ALL: &'static [$name] = &[$($name::$variant,)+];

            /// The word as it stands in a file.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $($name::$variant => $word,)+ }
            }

            /// The value that a word stands for.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some($name::$variant),)+ _ => None }
            }
        }
    };
}

words! {
    /// What a procedure is for.
    ProcedureKind {
        /// From dry parts to a rig that is proved.
        Build = "build",
        /// Between two dives: opened, batteries and media changed, closed, proved again.
        Turnaround = "turnaround",
        /// After the last dive of the day.
        AfterDive = "after_dive",
        /// Water is coming in or was found inside.
        Flood = "flood",
    }
}

words! {
    /// What a step asks for, and with it the evidence that the step leaves.
    StepKind {
        /// Something is done and ticked.
        Do = "do",
        /// Something is looked at and found right or not right.
        Check = "check",
        /// A number with its unit is read off.
        Measure = "measure",
        /// At least one photo with a note is taken.
        Photo = "photo",
        /// The screws of a closure are tightened in a crossing order.
        Fasteners = "fasteners",
        /// A seal is serviced: each of the step's points is confirmed.
        Seal = "seal",
        /// An enclosure or a closure is opened.
        Open = "open",
        /// An enclosure or a closure is closed.
        Close = "close",
        /// A vacuum hold of one enclosure.
        Hold = "hold",
        /// The plug is refitted over the closed vacuum valve.
        Plug = "plug",
        /// The plug is taken out: to read the gauge, to let air in.
        PlugOut = "plug_out",
        /// Each control of the control map is tested, the record trigger with them.
        Controls = "controls",
        /// The proved vacuum is read again, minutes before the dive.
        Recheck = "recheck",
        /// The gauge is read before the enclosure is opened, and compared with what the vacuum foretells.
        Gauge = "gauge",
        /// A member signs for what was done.
        Sign = "sign",
        /// What comes off the camera is listed, so that it goes back on.
        Strip = "strip",
        /// The rig is trimmed for the water of the day.
        Trim = "trim",
    }
}

words! {
    /// What a step is repeated for.
    Each {
        /// Once for the whole rig.
        Rig = "rig",
        /// Once for each enclosure.
        Enclosure = "enclosure",
        /// Once for each closure of each enclosure.
        Closure = "closure",
        /// Once for each seal of each enclosure.
        Seal = "seal",
    }
}

words! {
    /// A condition on the target of a step. Where several stand, all must hold.
    Only {
        /// The rig's first enclosure, the one that the camera goes into (or anything in it).
        Main = "main",
        /// Any enclosure but the first; on a step of the whole rig: there is such an enclosure.
        Other = "other",
        /// The enclosure has a vacuum valve; on a step of the whole rig: at least one has.
        Valve = "valve",
        /// The opposite of `valve`.
        NoValve = "no_valve",
        /// The closure is held by screws; on an enclosure or the rig: at least one closure is.
        Screws = "screws",
        /// The opposite of `screws`.
        NoScrews = "no_screws",
        /// A port is mounted at the closure, and its enclosure opens elsewhere too; on an
        /// enclosure or the rig: there is such a closure.
        Port = "port",
        /// The opposite of `port`.
        NoPort = "no_port",
        /// The seal sits in a closure, so it is disturbed whenever that closure is opened.
        InClosure = "in_closure",
        /// The seal sits elsewhere: a penetrator, a control shaft, the valve.
        NotInClosure = "not_in_closure",
        /// The rig carries a lens.
        Lens = "lens",
        /// The rig carries no lens of its own.
        NoLens = "no_lens",
        /// The rig has a control map.
        Controls = "controls",
    }
}

words! {
    /// What a measure step measures; it decides which units may stand.
    Quantity {
        /// Electric potential.
        Voltage = "voltage",
        /// Mass, or what a scale shows.
        Mass = "mass",
        /// Length.
        Length = "length",
        /// Temperature.
        Temperature = "temperature",
        /// Pressure, or a depression read off a vacuum gauge.
        Pressure = "pressure",
        /// Tightening torque.
        Torque = "torque",
        /// Duration.
        Time = "time",
        /// A whole number of things.
        Count = "count",
        /// Relative humidity.
        Humidity = "humidity",
        /// Anything else; the unit is free.
        Other = "other",
    }
}

impl StepKind {
    /// What a step of this kind can be done to.
    #[must_use]
    pub const fn targets(self) -> &'static [Each] {
        match self {
            StepKind::Do
            | StepKind::Check
            | StepKind::Measure
            | StepKind::Photo
            | StepKind::Sign => Each::ALL,
            StepKind::Fasteners => &[Each::Closure],
            StepKind::Seal => &[Each::Seal],
            StepKind::Open | StepKind::Close => &[Each::Enclosure, Each::Closure],
            StepKind::Hold
            | StepKind::Plug
            | StepKind::PlugOut
            | StepKind::Recheck
            | StepKind::Gauge => &[Each::Enclosure],
            StepKind::Controls | StepKind::Strip | StepKind::Trim => &[Each::Rig],
        }
    }

    /// The condition that the kind itself carries, without being written in the file: screws
    /// are tightened only where there are screws, a vacuum is pulled only where there is a
    /// valve, controls are tested only where there is a control map.
    #[must_use]
    pub const fn implied(self) -> Option<Only> {
        match self {
            StepKind::Fasteners => Some(Only::Screws),
            StepKind::Hold
            | StepKind::Plug
            | StepKind::PlugOut
            | StepKind::Recheck
            | StepKind::Gauge => Some(Only::Valve),
            StepKind::Controls => Some(Only::Controls),
            _ => None,
        }
    }
}

impl Only {
    /// Whether two conditions can never hold for the same target.
    #[must_use]
    pub const fn excludes(self, other: Only) -> bool {
        matches!(
            (self, other),
            (Only::Main, Only::Other)
                | (Only::Other, Only::Main)
                | (Only::Valve, Only::NoValve)
                | (Only::NoValve, Only::Valve)
                | (Only::Screws, Only::NoScrews)
                | (Only::NoScrews, Only::Screws)
                | (Only::Port, Only::NoPort)
                | (Only::NoPort, Only::Port)
                | (Only::InClosure, Only::NotInClosure)
                | (Only::NotInClosure, Only::InClosure)
                | (Only::Lens, Only::NoLens)
                | (Only::NoLens, Only::Lens)
        )
    }
}

impl Quantity {
    /// The units that may stand beside this quantity; empty means that any unit may.
    #[must_use]
    pub const fn units(self) -> &'static [&'static str] {
        match self {
            Quantity::Voltage => &["V", "mV"],
            Quantity::Mass => &["kg", "g", "lb", "oz"],
            Quantity::Length => &["m", "cm", "mm", "ft", "in"],
            Quantity::Temperature => &["°C", "°F", "K"],
            Quantity::Pressure => &["mbar", "hPa", "kPa", "Pa", "bar", "psi", "inHg", "mmHg"],
            Quantity::Torque => &["N·m", "N·cm", "lbf·ft", "lbf·in"],
            Quantity::Time => &["s", "min", "h"],
            Quantity::Count => &["pcs"],
            Quantity::Humidity => &["%"],
            Quantity::Other => &[],
        }
    }
}

/// What a measure step reads off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    /// What is measured.
    pub quantity: Quantity,
    /// The unit of `min` and `max` and of the number asked for.
    pub unit: String,
    /// Smallest value that is right, in `unit`; none means no lower limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub min: Option<f64>,
    /// Largest value that is right, in `unit`; none means no upper limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max: Option<f64>,
}

impl Measure {
    /// Whether a value in [`Measure::unit`] is within the limits, both ends included. A value
    /// that is not a finite number never is.
    #[must_use]
    pub fn accepts(&self, value: f64) -> bool {
        value.is_finite()
            && self.min.is_none_or(|min| value >= min)
            && self.max.is_none_or(|max| value <= max)
    }
}

/// One step of a procedure as the file states it, not yet laid out on a rig.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Slug, unique in the procedure.
    pub id: String,
    /// The part of the work it belongs to ('Camera'), shown as the place in the prep.
    pub section: String,
    /// The instruction: short, imperative. May hold the placeholders of the format.
    pub title: String,
    /// How to know that it is right, in one to three sentences; may be empty.
    #[serde(default)]
    pub text: String,
    /// What it asks for.
    pub kind: StepKind,
    /// What it is repeated for.
    pub each: Each,
    /// Conditions on the target, all of which must hold.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub only: Vec<Only>,
    /// Ids of the steps that come first.
    #[serde(default)]
    pub after: Vec<String>,
    /// Whether a second member signs for it.
    #[serde(default)]
    pub two_person: bool,
    /// Whether it is done with every enclosure shut and its plug in.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub shut: bool,
    /// A danger, said once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// Parts of the step, confirmed one by one; may be empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<String>,
    /// Whether the step asks for something to be written down.
    #[serde(default)]
    pub note: bool,
    /// What is measured; present exactly on a measure step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measure: Option<Measure>,
}

/// An ordered set of steps with prerequisites.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Procedure {
    /// Version of the file format it was written in.
    pub format: u32,
    /// Slug that names the procedure.
    pub id: String,
    /// What the crew calls it.
    pub title: String,
    /// What it is for.
    pub kind: ProcedureKind,
    /// The steps, in the order in which they are offered where the graph leaves a choice.
    pub steps: Vec<Step>,
}

/// One thing that is wrong with a procedure file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProcedureFault {
    /// Line of the file, the first is 1.
    pub line: u32,
    /// Which key of which step: `step "hold": after`.
    pub what: String,
    /// What is wrong with it and what would be right.
    pub why: Slip,
}

impl fmt::Display for ProcedureFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, {}: {}", self.line, self.what, self.why)
    }
}

impl std::error::Error for ProcedureFault {}

/// The files that ship with the program, by file name.
const BUILT_IN_FILES: &[(&str, &str)] = &[
    (
        "general_build.toml",
        include_str!("../../../procedures/general_build.toml"),
    ),
    (
        "turnaround.toml",
        include_str!("../../../procedures/turnaround.toml"),
    ),
    (
        "after_dive.toml",
        include_str!("../../../procedures/after_dive.toml"),
    ),
    ("flood.toml", include_str!("../../../procedures/flood.toml")),
];

/// The procedures that ship with the program: build, turnaround, after the dive, flood.
///
/// Each file is parsed once, on first use. A test proves that every one of them parses; a file
/// that did not would be missing here rather than end the program.
#[must_use]
pub fn built_in() -> &'static [Procedure] {
    static PARSED: Lazy<Vec<Procedure>> = Lazy::new(|| {
        BUILT_IN_FILES
            .iter()
            .filter_map(|(_, source)| parse(source).ok())
            .collect()
    });
    &PARSED
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
mod tests;
