//! One of each thing that can be wrong, in words: what the language's files must be able to say.

use std::io;
use std::path::PathBuf;

use slackwater_core::domain::backup::{BackupFault, LineFault, NotEverything, PartFault, TooMuch};
use slackwater_core::domain::book::{BookFault, Refusal};
use slackwater_core::domain::hold_log::{Allowed, Excess, LogFault, RowFault, WrongRow};
use slackwater_core::domain::photos::{Doing, PhotoFault, PhotoHash, PhotoKind, Unclean};
use slackwater_core::domain::procedure::{Form, ProcedureFault, Slip};
use slackwater_core::domain::rig::{RigFault, Thing, Wrong};
use slackwater_core::domain::trim::TrimFault;
use slackwater_core::journal::event::Forged;
use slackwater_core::journal::store::IngestFault;
use slackwater_core::journal::{Damage, DeviceId, EventRef, JournalFault, Unwritable};
use slackwater_core::physics::hold::{self, HoldFault, Range, RangeOf, Why};
use slackwater_core::physics::oring::{Length, OringError};
use slackwater_core::physics::trim::solver::SolverError;
use slackwater_core::physics::trim::{Count, LearnError, Of, PartError, PlanError, Quantity};
use slackwater_core::physics::water::WaterError;
use slackwater_core::screens::fault_words::FaultWords;

/// A name that is no word of any language.
fn name() -> String {
    "Xq7".to_owned()
}

fn path() -> PathBuf {
    PathBuf::from("/x/q7")
}

/// What a system might say.
fn said() -> io::Error {
    io::Error::other("EX 7")
}

fn refusals() -> Vec<Refusal> {
    let (enclosure, left, minutes) = (name(), 2, 2);
    let closed = enclosure.clone();
    vec![
        Refusal::EnclosureClosed { enclosure: closed },
        Refusal::EnclosureOpen { enclosure: name() },
        Refusal::NoValve { enclosure: name() },
        Refusal::HoldRunning { enclosure: name() },
        Refusal::NotProved { enclosure: name() },
        Refusal::PlugOff { enclosure },
        Refusal::HoldEnded,
        Refusal::TooFewReadings,
        Refusal::StepsFirst {
            titles: vec![name()],
        },
        Refusal::PartsOpen { left },
        Refusal::ControlsOpen { left },
        Refusal::PhotoWanted,
        Refusal::NumberWanted,
        Refusal::NobodyNamed,
        Refusal::SameMember,
        Refusal::NothingToSign,
        Refusal::TooSoon { minutes },
        Refusal::FreshPhotoWanted,
        Refusal::NoCode { name: name() },
        Refusal::CodeWrong,
        Refusal::CodeWait { minutes },
        Refusal::CodeShort,
        Refusal::OtherPhone { name: name() },
        Refusal::StepNotDone,
        Refusal::PrepEnded,
        Refusal::ReasonWanted,
        Refusal::NoSlip,
        Refusal::SameGauge,
        Refusal::NotRetractable,
        Refusal::InsideShut { part: name() },
        Refusal::MarkTooSmall,
        Refusal::MarkOutside,
        Refusal::SketchFull,
        Refusal::RingMustBeReplaced,
        Refusal::LookInside {
            enclosures: vec![name()],
        },
        Refusal::NotFaulty,
        Refusal::SealNotServiced { seal: name() },
        Refusal::TooLong,
        Refusal::OwnCode,
        Refusal::CodeOver,
        Refusal::BoxLacks {
            size: name(),
            have: 2,
        },
    ]
}

fn rows() -> Vec<RowFault> {
    let column = "gauge";
    vec![
        RowFault::Cells { here: 3, wanted: 2 },
        RowFault::Empty { column },
        RowFault::NotANumber {
            column,
            cell: name(),
        },
        RowFault::Outside {
            column,
            cell: "1201".into(),
            low: 300,
            high: 1200,
        },
        RowFault::Earlier {
            time: "60".into(),
            before: "90".into(),
            line: 20,
        },
    ]
}

fn logs() -> Vec<LogFault> {
    let line = 7;
    let value = |why| LogFault::BadValue {
        line,
        key: "gauge".into(),
        value: name(),
        why,
    };
    let too_much = |what| LogFault::TooMuch {
        line,
        what,
        most: 100,
    };
    let wrong = |n: usize| -> Vec<WrongRow> {
        let row = |reason| WrongRow {
            line,
            reason,
            text: name(),
        };
        rows().into_iter().cycle().take(n).map(row).collect()
    };
    vec![
        LogFault::NotAHoldLog,
        LogFault::Version { version: name() },
        LogFault::MissingKey { key: "volume_L" },
        LogFault::Twice { line, key: name() },
        value(Allowed::Between {
            low: "0",
            high: "150",
            unit: "g/kg",
        }),
        value(Allowed::UpToTheVolume),
        value(Allowed::AboveZero { unit: "" }),
        value(Allowed::AboveZero { unit: "mL" }),
        value(Allowed::Words(&["cold", "warm", "off"])),
        value(Allowed::WordsAtARecheck(&["off"])),
        too_much(Excess::FileBytes),
        too_much(Excess::LineBytes),
        too_much(Excess::Keys),
        too_much(Excess::Columns),
        too_much(Excess::Rows),
        too_much(Excess::Rechecks),
        too_much(Excess::WrongRows),
        LogFault::NoHeader { line },
        LogFault::WrongRows { rows: wrong(1) },
        LogFault::WrongRows { rows: wrong(7) },
    ]
}

fn slips() -> Vec<Slip> {
    let words = || vec!["rig", "seal"];
    let mut all = vec![
        Slip::Toml("EX 7".into()),
        Slip::FileTooLong { kib: 300 },
        Slip::Utf16,
        Slip::NotUtf8(0xe9),
        Slip::Missing,
        Slip::FormatMissing,
        Slip::FormatBelowOne,
        Slip::FormatNewer(7),
        Slip::NoSteps,
        Slip::TooManySteps(900),
        Slip::TooManyPoints(900),
        Slip::NeverApplies {
            kind: "seal",
            only: "valve",
        },
        Slip::PointsWanted,
        Slip::NotForEach {
            kind: "seal",
            each: "rig",
            allowed: words(),
        },
        Slip::UnknownWord {
            word: name(),
            known: words(),
        },
        Slip::UnknownKey { known: words() },
        Slip::Twice(name()),
        Slip::NeverBoth(name(), "valve"),
        Slip::OnlyOfSeals(name()),
        Slip::MeasureWanted,
        Slip::MeasureNotHere,
        Slip::NotAUnit {
            unit: name(),
            quantity: "mass",
            units: vec!["kg", "g"],
        },
        Slip::MinAboveMax {
            min: "18".into(),
            max: "17".into(),
        },
        Slip::NotFinite,
        Slip::SameId { line: 7 },
        Slip::NoStep(name()),
        Slip::WaitsForItself,
        Slip::Circle(vec![(name(), "Yq8".into()), ("Yq8".into(), name())]),
        Slip::LoneBrace,
        Slip::TargetAlone,
        Slip::EnclosureAlone,
        Slip::ScrewsAlone,
        Slip::UnknownBraces(name()),
        Slip::Empty,
        Slip::TooLong { here: 99, most: 80 },
        Slip::ControlCharacter,
        Slip::NotASlug(name()),
    ];
    all.extend(Form::ALL.map(|wanted| Slip::Wrong {
        wanted,
        is: Form::ALL[0],
    }));
    all
}

fn photos() -> Vec<PhotoFault> {
    let hash = PhotoHash([7; 32]);
    let kind = PhotoKind::Heif;
    let doing = [
        Doing::Reading,
        Doing::Writing,
        Doing::Making,
        Doing::MakingFolder,
        Doing::MovingPhoto,
        Doing::Naming,
        Doing::SyncingFolder,
    ];
    let mut all = vec![
        PhotoFault::Empty,
        PhotoFault::TooLarge {
            bytes: 60_500_000,
            limit: 50_000_000,
        },
        PhotoFault::UnknownKind {
            start: "0a0b".into(),
        },
        PhotoFault::NotAHash { text: name() },
        PhotoFault::NotAllowed {
            doing: doing[0],
            path: path(),
            source: said(),
        },
        PhotoFault::Io {
            doing: doing[0],
            path: path(),
            source: said(),
        },
        PhotoFault::NotAFile { path: path() },
        PhotoFault::Missing { hash },
        PhotoFault::Damaged { hash },
        PhotoFault::Unreadable {
            hash,
            why: "EX 7".into(),
        },
        PhotoFault::NoThumbnail { hash, kind },
        PhotoFault::TooManyPixels {
            hash,
            width: 90_000,
            height: 90_000,
            limit: 7,
        },
        PhotoFault::Undecodable {
            hash,
            why: "EX 7".into(),
        },
        PhotoFault::CannotClean { hash, kind },
        PhotoFault::Uncleanable {
            hash,
            at: 7,
            why: Unclean::TellsPlace,
        },
        PhotoFault::Uncleanable {
            hash,
            at: 7,
            why: Unclean::Build("a marker was expected"),
        },
    ];
    all.extend(doing.map(|doing| PhotoFault::DiskFull {
        doing,
        path: path(),
    }));
    all
}

fn damages() -> Vec<Damage> {
    vec![
        Damage::Empty,
        Damage::NoDatabase(7),
        Damage::Cut {
            here: 7,
            wanted: 70,
        },
        Damage::NoKey(7),
    ]
}

fn journals() -> Vec<JournalFault> {
    let damaged = |why| JournalFault::Damaged { path: path(), why };
    let mut all = vec![
        JournalFault::Busy { path: path() },
        JournalFault::Newer {
            path: path(),
            found: 8,
            known: 7,
        },
        JournalFault::NotWritable {
            path: path(),
            why: Unwritable::Replaced,
        },
        JournalFault::NotWritable {
            path: path(),
            why: Unwritable::Said("EX 7".into()),
        },
        JournalFault::Full,
        damaged(Damage::Said("EX 7".into())),
        JournalFault::Sqlite {
            doing: "writing an event",
            source: rusqlite::Error::InvalidColumnIndex(7),
        },
    ];
    all.extend(damages().into_iter().map(damaged));
    all
}

fn ingests() -> Vec<IngestFault> {
    let event = EventRef {
        device: DeviceId([7; 32]),
        seq: 7,
    };
    vec![
        IngestFault::Forged(event, Forged::Content),
        IngestFault::Forged(event, Forged::Signature),
        IngestFault::Forged(event, Forged::Devices),
        IngestFault::Gap { event, wanted: 3 },
        IngestFault::TooLong,
        IngestFault::GivenUp,
        IngestFault::Journal(JournalFault::Full),
    ]
}

fn backups() -> Vec<BackupFault> {
    let part = |why| BackupFault::Damaged { part: name(), why };
    let line = |why| BackupFault::Line { line: 7, why };
    let other = |why| BackupFault::Other { why };
    let too_much = |what| BackupFault::TooMuch { what };
    let mut all = vec![
        other(NotEverything::NoZip("EX 7".into())),
        other(NotEverything::NoAbout),
        other(NotEverything::Called(name())),
        BackupFault::Newer { found: 8, known: 7 },
        part(PartFault::Unread("EX 7".into())),
        part(PartFault::NoHash(name())),
        part(PartFault::OtherPhoto),
        line(LineFault::Unread("EX 7".into())),
        line(LineFault::Hex {
            field: "hash",
            digits: 64,
        }),
        line(LineFault::BodyHex),
        line(LineFault::Body),
        line(LineFault::Number),
        line(LineFault::Heard(name())),
        line(LineFault::TooLong),
        line(LineFault::EndsEarly { here: 6, wanted: 7 }),
        too_much(TooMuch::Parts(7)),
        too_much(TooMuch::Photos { mib: 7 }),
        too_much(TooMuch::Events),
        too_much(TooMuch::Time),
        BackupFault::GivenUp,
        BackupFault::Io {
            doing: Doing::Naming,
            path: path(),
            source: said(),
        },
        BackupFault::Full {
            doing: Doing::Naming,
            path: path(),
        },
        BackupFault::Journal(JournalFault::Full),
        BackupFault::Book(Box::new(BookFault::Refused(Refusal::HoldEnded))),
        BackupFault::Photo(PhotoFault::Empty),
    ];
    all.extend(ingests().into_iter().map(BackupFault::Event));
    all
}

fn rings() -> Vec<OringError> {
    let given = name();
    let mut all = vec![
        OringError::UnknownSize {
            given: given.clone(),
            count: 379,
        },
        OringError::SizeNotUnderstood {
            given: given.clone(),
        },
        OringError::SizeAmbiguous {
            given: given.clone(),
            dash: "258".into(),
        },
        OringError::CureDate {
            given: given.clone(),
        },
        OringError::GrooveNarrowerThanSection {
            width_mm: 3.5,
            section_mm: 3.53,
        },
        OringError::UnknownMaterial {
            given,
            known: "NBR".into(),
        },
        OringError::Date {
            years: 7,
            from: Default::default(),
        },
    ];
    all.extend(Length::ALL.iter().map(|quantity| OringError::Range {
        quantity: *quantity,
        value: 0.25,
        min: 0.5,
        max: 8.4,
    }));
    all
}

fn waters() -> Vec<WaterError> {
    vec![
        WaterError::Salinity {
            kind: "practical",
            value: 99.5,
            max: 42.0,
        },
        WaterError::Temperature {
            value_c: 99.5,
            min_c: -1.9,
            max_c: 40.0,
        },
        WaterError::Range {
            quantity: "depth",
            value: 1e4,
            min: 0.0,
            max: 1e3,
            unit: "m",
        },
        WaterError::UnknownPreset { count: 7 },
    ]
}

fn parts() -> Vec<PartError> {
    let range = |part, quantity| PartError::Range {
        part,
        quantity,
        value: 1_200.5,
        min: 0.0,
        max: f64::INFINITY,
        unit: "kg",
    };
    let mut all = vec![
        PartError::HeavierInWater {
            part: name(),
            in_air_kg: 1.0,
            in_water_kg: 1.5,
        },
        PartError::Correlation {
            part: name(),
            correlation: 1.5,
        },
        PartError::Covariance {
            parts: 7,
            what: "its size",
        },
        PartError::NoParts,
        range(Of::Rig, Quantity::Mass),
        range(Of::Water, Quantity::Density),
        range(Of::Scale, Quantity::ScaleUncertainty),
        range(Of::Request, Quantity::Target),
    ];
    let each = Quantity::ALL.iter();
    all.extend(each.map(|quantity| range(Of::Named(name()), *quantity)));
    all
}

fn plans() -> Vec<PlanError> {
    let off_target = 1_500_000;
    let mut all: Vec<PlanError> = Count::ALL
        .iter()
        .map(|quantity| {
            PlanError::Solver(SolverError::Range {
                quantity: *quantity,
                index: 2,
                value: 9,
                min: 0,
                max: 7,
            })
        })
        .collect();
    all.extend([
        PlanError::Solver(SolverError::EmptyBox { off_target }),
        PlanError::Solver(SolverError::NoPoint { off_target }),
        PlanError::Solver(SolverError::HangingShape {
            rows: 1,
            columns: 2,
            points: 3,
            sizes: 4,
        }),
        PlanError::Solver(SolverError::TooLarge {
            what: "search steps",
            value: 9,
            max: 7,
        }),
        PlanError::Range {
            item: Of::Request,
            quantity: Quantity::AcceptableAngle,
            value: 9.5,
            min: 0.0,
            max: 4.0,
            unit: "rad",
        },
        PlanError::Part(PartError::NoParts),
    ]);
    all
}

fn lessons() -> Vec<LearnError> {
    vec![
        LearnError::Part(PartError::NoParts),
        LearnError::Range {
            quantity: Quantity::SeenUncertainty,
            value: 9.5,
            min: 0.0,
            max: 4.0,
            unit: "rad",
        },
        LearnError::NothingSeen,
        LearnError::NothingUncertain,
        LearnError::NoAttitude,
        LearnError::Impossible {
            part: name(),
            quantity: Quantity::Mass,
            value: -1.5,
            unit: "kg",
        },
    ]
}

fn wrongs() -> Vec<Wrong> {
    let mut all = vec![
        Wrong::Range {
            value: Some("1201.5".into()),
            low: "0.5".into(),
            high: "1200".into(),
            unit: "mm",
        },
        Wrong::NameWanted,
        Wrong::TooLong(7),
        Wrong::NamesNobody,
        Wrong::NameTaken(name()),
        Wrong::ScrewsWanted,
        Wrong::WarnsAfterBlocking,
        Wrong::SizeTwice,
        Wrong::CuredAhead(name()),
        Wrong::CuredAfterUse(name()),
        Wrong::UsedAhead,
        Wrong::UsedTooLong,
        Wrong::Day,
        Wrong::CoarserOnly,
        Wrong::NoClosure {
            enclosure: name(),
            id: name(),
        },
        Wrong::StandsInForStandIn,
        Wrong::NoStandIn(name()),
        Wrong::PointsMost(7),
        Wrong::SizesMost(7),
        Wrong::RoomMost { here: 9, most: 7 },
        Wrong::LensClosure,
        Wrong::NoId,
        Wrong::IdTwice,
        Wrong::NoSqueeze {
            depth_mm: 3.6,
            section_mm: 3.53,
        },
        Wrong::BoxHolds {
            holds: 7,
            elsewhere: 2,
        },
        Wrong::PointTakes {
            point: name(),
            takes: 7,
            others: 2,
        },
        Wrong::NotOnRig(name()),
    ];
    for thing in [Thing::Enclosure, Thing::Lens, Thing::Part] {
        all.push(Wrong::NoSuch { thing, id: name() });
    }
    all.extend(rings().into_iter().map(Wrong::Ring));
    all.extend(plans().into_iter().map(Wrong::Plan));
    all.extend(lessons().into_iter().map(Wrong::Lesson));
    let waters = waters().into_iter().map(TrimFault::Water);
    let parts = parts().into_iter().map(TrimFault::Part);
    let trims = waters.chain(parts).chain([TrimFault::NoParts]);
    all.extend(trims.map(Wrong::Trim));
    all
}

fn holds() -> Vec<HoldFault> {
    let value = f64::NAN;
    let outside = |of| Why::Outside {
        range: Range {
            low: 1.0,
            high: 2.5,
            of,
        },
        said: "1 to 2.5 is allowed",
    };
    let mut all = vec![
        HoldFault::OutOfOrder { index: 7 },
        HoldFault::AbsurdReading {
            index: 7,
            quantity: hold::Quantity::Gauge,
            value,
            why: Why::NoNumber,
        },
    ];
    let whys = [
        Why::AboveZero,
        Why::NotBelowZero,
        Why::NoNumber,
        Why::NoTime,
        Why::ContentsTooLarge,
        Why::ReadingsTooNear,
        Why::AirTookNothingOrAll,
        Why::NotBetween,
        Why::NotLowered,
        Why::NoPair,
        Why::NothingToCompare,
        Why::NotLater,
        Why::OtherKind,
        Why::TooDeepOrAbove,
        outside(RangeOf::Pressure),
        outside(RangeOf::Temperature),
        outside(RangeOf::Depth),
        outside(RangeOf::Water),
        outside(RangeOf::Volume),
        outside(RangeOf::Minutes),
        outside(RangeOf::Salinity),
        outside(RangeOf::Kelvins),
        outside(RangeOf::Share),
    ];
    all.extend(whys.map(|why| HoldFault::absurd(hold::Quantity::Gauge, value, why)));
    all
}

/// What is said of one of each thing that can be wrong. Names in it are 'Xq7' and 'Yq8', and a system says
/// 'EX 7'.
pub fn of_each(words: &FaultWords<'_>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let rig = |why| {
        BookFault::Rig(vec![RigFault {
            at: String::new(),
            why,
        }])
    };
    let procedure = |why| {
        BookFault::Procedure(vec![ProcedureFault {
            line: 7,
            what: String::new(),
            why,
        }])
    };
    let mut books = vec![
        BookFault::NotFound {
            what: "seal",
            id: name(),
        },
        BookFault::NotWritable { kind: name() },
    ];
    books.extend(journals().into_iter().map(BookFault::Journal));
    books.extend(refusals().into_iter().map(BookFault::Refused));
    books.extend(wrongs().into_iter().map(rig));
    books.extend(holds().into_iter().map(BookFault::Hold));
    books.extend(logs().into_iter().map(BookFault::HoldLog));
    books.extend(slips().into_iter().map(procedure));
    books.extend(photos().into_iter().map(BookFault::Photo));
    all.extend(books.iter().map(|f| words.book(f)));
    all.extend(backups().iter().map(|f| words.backup(f)));
    all
}
