//! The forms of the screens, as types: a screen draws a form, is asked for it by a place, and reads what was sent
//! of it, all under one key. A key is text where a shell carries it ('open/main'); it is put together and taken
//! apart here only.
//!
//! Each reads any text: what is no form of its screen is none.

use slackwater_domain::subject::At;
use std::fmt;

/// Text behind a word and a stroke, where there is some: 'open/main'.
fn behind(f: &mut fmt::Formatter<'_>, word: &str, of: &str) -> fmt::Result {
    if of.is_empty() {
        f.write_str(word)
    } else {
        write!(f, "{word}/{of}")
    }
}

/// The forms of a rig's page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RigForm<'a> {
    /// A defect, of the place where it was seen; empty where that is to be said.
    Defect(&'a str),
    Dive,
    Lens,
    Plan,
    Copy,
    /// The controls, to be tried.
    Controls,
    /// An enclosure is opened.
    Open(&'a str),
    /// What can't be read is answered for.
    Unread,
    /// What is missing of this phone's record is answered for.
    Lost,
    /// What is not here of others' is answered for.
    NotHere,
    /// Something is looked over.
    Inspect(At<'a>),
    /// A defect was put right.
    CloseDefect(&'a str),
}

impl<'a> RigForm<'a> {
    /// Reads a key.
    pub(super) fn parse(key: &'a str) -> Option<Self> {
        Some(match key.split_once('/') {
            None => match key {
                "defect" => Self::Defect(""),
                "dive" => Self::Dive,
                "lens" => Self::Lens,
                "plan" => Self::Plan,
                "copy" => Self::Copy,
                "controls" => Self::Controls,
                "unread" => Self::Unread,
                "lost" => Self::Lost,
                "not-here" => Self::NotHere,
                _ => return None,
            },
            Some(("defect", at)) => Self::Defect(at),
            Some(("open", enclosure)) => Self::Open(enclosure),
            Some(("inspect", at)) => Self::Inspect(At::parse(at)),
            Some(("close-defect", defect)) => Self::CloseDefect(defect),
            Some(_) => return None,
        })
    }
}

impl fmt::Display for RigForm<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Defect(at) => return behind(f, "defect", at),
            Self::Open(enclosure) => return write!(f, "open/{enclosure}"),
            Self::Inspect(at) => return write!(f, "inspect/{at}"),
            Self::CloseDefect(defect) => return write!(f, "close-defect/{defect}"),
            Self::Dive => "dive",
            Self::Lens => "lens",
            Self::Plan => "plan",
            Self::Copy => "copy",
            Self::Controls => "controls",
            Self::Unread => "unread",
            Self::Lost => "lost",
            Self::NotHere => "not-here",
        })
    }
}

/// The forms of a prep's pages. Those of a step are asked for without it, of the step that stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PrepForm<'a> {
    /// All steps; nothing is sent of it.
    Steps,
    /// The prep is ended.
    End,
    /// The prep is handed over.
    HandOver,
    /// A step is measured.
    Measure(&'a str),
    /// A step is passed over.
    Skip(&'a str),
    /// What was found at a step.
    Finding(&'a str),
    /// A member is asked to look; with the step where they sign. What is signed for may have strokes of its own; a
    /// member's id has none.
    Sign(&'a str, Option<&'a str>),
}

impl<'a> PrepForm<'a> {
    /// Reads a key.
    pub(super) fn parse(key: &'a str) -> Option<Self> {
        let (word, of) = key.split_once('/').unwrap_or((key, ""));
        Some(match word {
            "steps" if of.is_empty() => Self::Steps,
            "end" if of.is_empty() => Self::End,
            "hand-over" if of.is_empty() => Self::HandOver,
            "measure" => Self::Measure(of),
            "skip" => Self::Skip(of),
            "finding" => Self::Finding(of),
            "sign" => match of.split_once('/') {
                Some((member, step)) => Self::Sign(member, Some(step)),
                None if of.is_empty() => return None,
                None => Self::Sign(of, None),
            },
            _ => return None,
        })
    }
}

impl fmt::Display for PrepForm<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Steps => f.write_str("steps"),
            Self::End => f.write_str("end"),
            Self::HandOver => f.write_str("hand-over"),
            Self::Measure(step) => behind(f, "measure", step),
            Self::Skip(step) => behind(f, "skip", step),
            Self::Finding(step) => behind(f, "finding", step),
            Self::Sign(member, None) => write!(f, "sign/{member}"),
            Self::Sign(member, Some(step)) => write!(f, "sign/{member}/{step}"),
        }
    }
}

/// The forms of the recheck's page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RecheckForm<'a> {
    /// The air on deck.
    Air,
    /// An enclosure's gauge is read.
    Reading(&'a str),
    /// A change found of an enclosure is called a slip of typing.
    Slip(&'a str),
}

impl<'a> RecheckForm<'a> {
    /// Reads a key.
    pub(super) fn parse(key: &'a str) -> Option<Self> {
        Some(match key.split_once('/') {
            None if key == "air" => Self::Air,
            Some(("reading", enclosure)) => Self::Reading(enclosure),
            Some(("slip", enclosure)) => Self::Slip(enclosure),
            _ => return None,
        })
    }
}

impl fmt::Display for RecheckForm<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Air => f.write_str("air"),
            Self::Reading(enclosure) => write!(f, "reading/{enclosure}"),
            Self::Slip(enclosure) => write!(f, "slip/{enclosure}"),
        }
    }
}

/// The fields of the air's form that each enclosure has of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AirField<'a> {
    /// Its own temperature.
    Temperature(&'a str),
    /// Whether its camera runs.
    Camera(&'a str),
}

impl fmt::Display for AirField<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Temperature(enclosure) => write!(f, "temperature/{enclosure}"),
            Self::Camera(enclosure) => write!(f, "camera/{enclosure}"),
        }
    }
}

/// The forms of the crew's page that are its own; those of phones and of procedures that came are theirs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CrewForm<'a> {
    /// A member; a new one where none is named.
    Member(Option<&'a str>),
    /// A gauge; a new one where none is named.
    Gauge(Option<&'a str>),
    Compare,
    Signing,
    Code,
    Phone,
    Limits,
    Units,
    Language,
    Errors,
}

impl<'a> CrewForm<'a> {
    /// Reads a key.
    pub(super) fn parse(key: &'a str) -> Option<Self> {
        Some(match key.split_once('/') {
            Some(("member", id)) => Self::Member(Some(id)),
            Some(("gauge", id)) => Self::Gauge(Some(id)),
            Some(_) => return None,
            None => match key {
                "member" => Self::Member(None),
                "gauge" => Self::Gauge(None),
                "compare" => Self::Compare,
                "signing" => Self::Signing,
                "code" => Self::Code,
                "phone" => Self::Phone,
                "limits" => Self::Limits,
                "units" => Self::Units,
                "language" => Self::Language,
                "errors" => Self::Errors,
                _ => return None,
            },
        })
    }
}

impl fmt::Display for CrewForm<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Member(Some(id)) => return write!(f, "member/{id}"),
            Self::Gauge(Some(id)) => return write!(f, "gauge/{id}"),
            Self::Member(None) => "member",
            Self::Gauge(None) => "gauge",
            Self::Compare => "compare",
            Self::Signing => "signing",
            Self::Code => "code",
            Self::Phone => "phone",
            Self::Limits => "limits",
            Self::Units => "units",
            Self::Language => "language",
            Self::Errors => "errors",
        })
    }
}

/// The forms of a seal's page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum SealsForm<'a> {
    /// Since when the ring is in.
    Age,
    /// A ring is measured.
    Measure,
    /// Another member looks again.
    Again,
    /// The sizes that a ring of this inside diameter and section, in a unit, may be; nothing is sent of it.
    Sizes(f64, f64, &'a str),
}

impl<'a> SealsForm<'a> {
    /// Reads a key.
    pub(super) fn parse(key: &'a str) -> Option<Self> {
        match key {
            "age" => return Some(Self::Age),
            "measure" => return Some(Self::Measure),
            "again" => return Some(Self::Again),
            _ => {}
        }
        let mut parts = key.strip_prefix("sizes/")?.split('/');
        let mut number = || parts.next()?.parse::<f64>().ok();
        let (inside, section) = (number()?, number()?);
        Some(Self::Sizes(inside, section, parts.next()?))
    }
}

impl fmt::Display for SealsForm<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Age => f.write_str("age"),
            Self::Measure => f.write_str("measure"),
            Self::Again => f.write_str("again"),
            Self::Sizes(inside, section, unit) => write!(f, "sizes/{inside}/{section}/{unit}"),
        }
    }
}

/// The forms of the box of rings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RingBoxForm<'a> {
    /// Rings are put in.
    Add,
    /// A lot is counted.
    Count(&'a str),
}

impl<'a> RingBoxForm<'a> {
    /// Reads a key.
    pub(super) fn parse(key: &'a str) -> Option<Self> {
        match key.split_once('/') {
            None if key == "add" => Some(Self::Add),
            Some(("count", lot)) => Some(Self::Count(lot)),
            _ => None,
        }
    }
}

impl fmt::Display for RingBoxForm<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Add => f.write_str("add"),
            Self::Count(lot) => write!(f, "count/{lot}"),
        }
    }
}

/// What names a form in a question that is asked about what was typed in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AskedOf<'a> {
    /// A dive of a rig.
    Dive(&'a str),
    /// What was seen of a rig in the water.
    Seen(&'a str),
    /// The air on deck, of a rig.
    Air(&'a str),
    /// Of a rig, the reading of an enclosure at a recheck.
    Recheck(&'a str, &'a str),
    /// Of a rig, the set-up of an enclosure's hold.
    SetUp(&'a str, &'a str),
}

impl fmt::Display for AskedOf<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Dive(rig) => write!(f, "dive/{rig}"),
            Self::Seen(rig) => write!(f, "seen/{rig}"),
            Self::Air(rig) => write!(f, "recheck-air/{rig}"),
            Self::Recheck(rig, enclosure) => write!(f, "recheck/{rig}/{enclosure}"),
            Self::SetUp(rig, enclosure) => write!(f, "{rig}/{enclosure}"),
        }
    }
}

/// What the screens note on this device: no evidence, never shared. As text it is the key in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Note<'a> {
    /// The language chosen.
    Language,
    /// The air on deck, of a rig.
    Air(&'a str),
    /// Of a rig, an enclosure's own temperature.
    Temperature(&'a str, &'a str),
    /// Of a rig, whether an enclosure's camera runs.
    Camera(&'a str, &'a str),
    /// Whether a rig was brought from elsewhere.
    Brought(&'a str),
    /// When somebody stopped at a prep.
    Stopped(&'a str),
}

impl fmt::Display for Note<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Language => f.write_str("language"),
            Self::Air(rig) => write!(f, "air/{rig}"),
            Self::Temperature(rig, enclosure) => write!(f, "temperature/{rig}/{enclosure}"),
            Self::Camera(rig, enclosure) => write!(f, "camera/{rig}/{enclosure}"),
            Self::Brought(rig) => write!(f, "brought/{rig}"),
            Self::Stopped(prep) => write!(f, "stopped/{prep}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each form is read from the key that it prints, which is the one given.
    macro_rules! both_ways {
        ($form:ident: $($made:expr => $key:literal),+ $(,)?) => {
            $(
                assert_eq!($made.to_string(), $key);
                assert_eq!($form::parse($key), Some($made));
            )+
            for none in ["", "/", "nothing", "nothing/x", "air-lock"] {
                assert_eq!($form::parse(none), None, "{none}");
            }
        };
    }

    #[test]
    fn each_form_is_read_as_it_is_drawn() {
        both_ways!(RigForm:
            RigForm::Defect("") => "defect", RigForm::Defect("enclosure/main") => "defect/enclosure/main",
            RigForm::Dive => "dive", RigForm::Lens => "lens", RigForm::Plan => "plan",
            RigForm::Copy => "copy", RigForm::Controls => "controls", RigForm::Open("main") => "open/main",
            RigForm::Unread => "unread", RigForm::Lost => "lost", RigForm::NotHere => "not-here",
            RigForm::Inspect(At::Seal("port")) => "inspect/seal/port",
            RigForm::Inspect(At::Enclosure("main")) => "inspect/enclosure/main",
            RigForm::CloseDefect("d1") => "close-defect/d1");
        both_ways!(PrepForm:
            PrepForm::Steps => "steps", PrepForm::End => "end", PrepForm::HandOver => "hand-over",
            PrepForm::Measure("a@b/c") => "measure/a@b/c", PrepForm::Skip("") => "skip",
            PrepForm::Skip("a") => "skip/a", PrepForm::Finding("") => "finding",
            PrepForm::Finding("a@b") => "finding/a@b", PrepForm::Sign("anna", None) => "sign/anna",
            PrepForm::Sign("anna", Some("@loss/ab:1")) => "sign/anna/@loss/ab:1");
        both_ways!(RecheckForm:
            RecheckForm::Air => "air", RecheckForm::Reading("main") => "reading/main",
            RecheckForm::Slip("main") => "slip/main");
        both_ways!(CrewForm:
            CrewForm::Member(None) => "member", CrewForm::Member(Some("a")) => "member/a",
            CrewForm::Gauge(None) => "gauge", CrewForm::Gauge(Some("g")) => "gauge/g",
            CrewForm::Compare => "compare", CrewForm::Signing => "signing", CrewForm::Code => "code",
            CrewForm::Phone => "phone", CrewForm::Limits => "limits", CrewForm::Units => "units",
            CrewForm::Language => "language", CrewForm::Errors => "errors");
        both_ways!(SealsForm:
            SealsForm::Age => "age", SealsForm::Measure => "measure", SealsForm::Again => "again",
            SealsForm::Sizes(110.5, 3.53, "mm") => "sizes/110.5/3.53/mm");
        both_ways!(RingBoxForm: RingBoxForm::Add => "add", RingBoxForm::Count("l1") => "count/l1");
    }

    #[test]
    fn each_note_is_kept_under_the_key_that_files_have() {
        for (note, key) in [
            (Note::Language, "language"),
            (Note::Air("r"), "air/r"),
            (Note::Temperature("r", "e"), "temperature/r/e"),
            (Note::Camera("r", "e"), "camera/r/e"),
            (Note::Brought("r"), "brought/r"),
            (Note::Stopped("p"), "stopped/p"),
        ] {
            assert_eq!(note.to_string(), key);
        }
    }

    #[test]
    fn no_two_questions_have_one_name() {
        let all = [
            AskedOf::Dive("r"),
            AskedOf::Seen("r"),
            AskedOf::Air("r"),
            AskedOf::Recheck("r", "e"),
            AskedOf::SetUp("r", "e"),
        ];
        let names: std::collections::HashSet<String> = all.iter().map(AskedOf::to_string).collect();
        assert_eq!(names.len(), all.len());
    }
}
