//! What may be wrong with a procedure file.

use std::fmt;

use super::{FORMAT, limits};

/// What stands, or should stand, at a key of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A text in quotes.
    Text,
    /// One of a few words, in quotes.
    Word,
    /// A whole number.
    Whole,
    /// A number.
    Number,
    /// True or false.
    Flag,
    /// A date.
    Date,
    /// A list.
    List,
    /// A list of texts.
    Texts,
    /// The list of the steps.
    Steps,
    /// One step.
    Step,
    /// What a step measures.
    Measure,
    /// A table.
    Table,
}

impl Form {
    /// All of them.
    pub const ALL: [Form; 12] = [
        Form::Text,
        Form::Word,
        Form::Whole,
        Form::Number,
        Form::Flag,
        Form::Date,
        Form::List,
        Form::Texts,
        Form::Steps,
        Form::Step,
        Form::Measure,
        Form::Table,
    ];
}

impl fmt::Display for Form {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Form::Text => "a text in quotes",
            Form::Word => "a word in quotes",
            Form::Whole => "a whole number",
            Form::Number => "a number",
            Form::Flag => "true or false",
            Form::Date => "a date",
            Form::List => "a list in square brackets",
            Form::Texts => "a list of texts in square brackets",
            Form::Steps => "a list of tables, each begun by [[step]]",
            Form::Step => "a table begun by [[step]]",
            Form::Measure => "a table [step.measure]",
            Form::Table => "a table",
        })
    }
}

/// What is wrong at one place of a procedure file, and what would be right. Words of the format stand
/// in it as they are written there; texts of the file are cut short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Slip {
    /// It isn't TOML; what the reader said.
    Toml(String),
    /// The file is longer than one may be.
    FileTooLong {
        /// Its length, KiB, rounded up.
        kib: usize,
    },
    /// UTF-16 text.
    Utf16,
    /// A byte that is no UTF-8 text.
    NotUtf8(u8),
    /// A key that must be there is not.
    Missing,
    /// The format's number is missing.
    FormatMissing,
    /// The format's number is 0 or less.
    FormatBelowOne,
    /// A newer format.
    FormatNewer(u32),
    /// Another kind of thing than should stand there.
    Wrong {
        /// What should.
        wanted: Form,
        /// What does.
        is: Form,
    },
    /// No step.
    NoSteps,
    /// More steps than a procedure has.
    TooManySteps(usize),
    /// More points than a step has.
    TooManyPoints(usize),
    /// A step that never applies.
    NeverApplies {
        /// Its kind.
        kind: &'static str,
        /// Its condition.
        only: &'static str,
    },
    /// A seal step without points.
    PointsWanted,
    /// A step done for each of what its kind can't be done to.
    NotForEach {
        /// Its kind.
        kind: &'static str,
        /// For each of what.
        each: &'static str,
        /// For each of what it can be.
        allowed: Vec<&'static str>,
    },
    /// A word that isn't known.
    UnknownWord {
        /// The word.
        word: String,
        /// Those that are.
        known: Vec<&'static str>,
    },
    /// A key that isn't known.
    UnknownKey {
        /// Those that are.
        known: Vec<&'static str>,
    },
    /// The same word or step twice in a list.
    Twice(String),
    /// Two conditions that exclude each other.
    NeverBoth(String, &'static str),
    /// A condition on seals in a step that is not for each seal.
    OnlyOfSeals(String),
    /// A measure step that doesn't say what is measured.
    MeasureWanted,
    /// Another step that says what is measured.
    MeasureNotHere,
    /// A unit that is none of the quantity.
    NotAUnit {
        /// What was given.
        unit: String,
        /// The quantity.
        quantity: &'static str,
        /// Its units.
        units: Vec<&'static str>,
    },
    /// Bounds the wrong way round.
    MinAboveMax {
        /// The lower.
        min: String,
        /// The upper.
        max: String,
    },
    /// A number that is none, or beyond every bound.
    NotFinite,
    /// Two steps of one id.
    SameId {
        /// Line of the first, from 1.
        line: u32,
    },
    /// No step of that id.
    NoStep(String),
    /// A step that waits for itself.
    WaitsForItself,
    /// Steps that wait for each other, each with the one it waits for.
    Circle(Vec<(String, String)>),
    /// A brace without its other one.
    LoneBrace,
    /// `{target}` in a step for the rig.
    TargetAlone,
    /// `{enclosure}` in a step that is not for each closure or seal.
    EnclosureAlone,
    /// `{screws}` in a step of another kind.
    ScrewsAlone,
    /// Something else in braces.
    UnknownBraces(String),
    /// An empty text.
    Empty,
    /// A longer text than fits.
    TooLong {
        /// Characters it has.
        here: usize,
        /// Characters that fit.
        most: usize,
    },
    /// A control character in a text.
    ControlCharacter,
    /// No slug.
    NotASlug(String),
}

impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const STEPS: &str = "the procedure has no steps; start each with [[step]]";
        match self {
            Slip::Toml(said) => f.write_str(said),
            Slip::FileTooLong { kib } => write!(
                f,
                "it is {kib} KiB long; a procedure has at most {} KiB",
                limits::FILE_BYTES / 1024
            ),
            Slip::Utf16 => f.write_str("it is UTF-16 text; save it as UTF-8"),
            Slip::NotUtf8(byte) => write!(
                f,
                "byte 0x{byte:02x} is not UTF-8 text; save the file as UTF-8"
            ),
            Slip::Missing => f.write_str("it is missing"),
            Slip::FormatMissing => {
                write!(f, "it is missing; this description is format = {FORMAT}")
            }
            Slip::FormatBelowOne => f.write_str("it must be 1 or more"),
            Slip::FormatNewer(number) => write!(
                f,
                "format {number} is newer than this program, which reads up to {FORMAT}; update the program"
            ),
            Slip::Wrong { wanted, is } => write!(f, "it must be {wanted}, but {is} stands there"),
            Slip::NoSteps => f.write_str(STEPS),
            Slip::TooManySteps(n) => {
                write!(f, "{n} steps; a procedure has at most {}", limits::STEPS)
            }
            Slip::TooManyPoints(n) => {
                write!(f, "{n} points; a step has at most {}", limits::POINTS)
            }
            Slip::NeverApplies { kind, only } => write!(
                f,
                "a step of kind \"{kind}\" never applies where \"{only}\" holds"
            ),
            Slip::PointsWanted => f.write_str(
                "a seal step needs points: the parts of the service that are confirmed one by one",
            ),
            Slip::NotForEach {
                kind,
                each,
                allowed,
            } => write!(
                f,
                "a step of kind \"{kind}\" is done for each {}, not for each \"{each}\"",
                spoken(allowed)
            ),
            Slip::UnknownWord { word, known } => {
                write!(f, "\"{word}\" is unknown; it may be {}", spoken(known))
            }
            Slip::UnknownKey { known } => {
                write!(f, "the key is unknown; there are {}", spoken(known))
            }
            Slip::Twice(word) => write!(f, "\"{word}\" stands twice"),
            Slip::NeverBoth(one, other) => write!(
                f,
                "\"{one}\" and \"{other}\" can never both hold, so the step would never be shown"
            ),
            Slip::OnlyOfSeals(word) => write!(
                f,
                "\"{word}\" is a condition on seals; the step needs each = \"seal\""
            ),
            Slip::MeasureWanted => {
                f.write_str("a measure step needs [step.measure] with quantity and unit")
            }
            Slip::MeasureNotHere => f.write_str("only a step of kind \"measure\" may have it"),
            Slip::NotAUnit {
                unit,
                quantity,
                units,
            } => write!(
                f,
                "\"{unit}\" is not a unit for {quantity}; it may be {}",
                spoken(units)
            ),
            Slip::MinAboveMax { min, max } => write!(f, "min {min} is greater than max {max}"),
            Slip::NotFinite => f.write_str("it must be a finite number"),
            Slip::SameId { line } => write!(f, "the step on line {line} has the same id"),
            Slip::NoStep(id) => write!(f, "there is no step \"{id}\""),
            Slip::WaitsForItself => f.write_str("the step waits for itself"),
            Slip::Circle(chain) => {
                let waits = |(step, before): &(String, String)| {
                    format!("\"{step}\" waits for \"{before}\"")
                };
                let chain: Vec<String> = chain.iter().map(waits).collect();
                write!(
                    f,
                    "the steps wait for each other in a circle: {}",
                    chain.join(", ")
                )
            }
            Slip::LoneBrace => f.write_str(
                "a brace stands alone; braces are for {target}, {enclosure} and {screws}",
            ),
            Slip::TargetAlone => {
                f.write_str("{target} needs each to be \"enclosure\", \"closure\" or \"seal\"")
            }
            Slip::EnclosureAlone => {
                f.write_str("{enclosure} needs each to be \"closure\" or \"seal\"")
            }
            Slip::ScrewsAlone => f.write_str("{screws} is for steps of kind \"fasteners\""),
            Slip::UnknownBraces(inside) => write!(
                f,
                "{{{inside}}} is unknown; there are {{target}}, {{enclosure}} and {{screws}}"
            ),
            Slip::Empty => f.write_str("it is empty"),
            Slip::TooLong { here, most } => {
                write!(f, "it is {here} characters long; at most {most} fit")
            }
            Slip::ControlCharacter => f.write_str("it holds a control character"),
            Slip::NotASlug(text) => write!(
                f,
                "\"{text}\" must be small letters a to z, digits and single hyphens, beginning with a letter"
            ),
        }
    }
}

/// 'a, b or c'.
fn spoken(words: &[&str]) -> String {
    match words.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_string(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
    }
}
