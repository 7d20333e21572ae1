//! What can be recorded. The journal stores these as JSON; their names and fields are a file
//! format: add, never rename. A snapshot of each is in the tests.
//!
//! What bears on a rig is recorded under the rig: a program that can't read such a fact lets it stand
//! in the way of *ready*, and one about the crew only tells of it.
//!
//! A fact is either *evidence* (it can clear something: closed, plug refitted, a verdict) or *news*
//! (it can only take away: opened, a defect). Evidence can be taken back; what stood before it then
//! stands again. News can't be taken back, it is answered by new evidence. See
//! [`Fact::can_be_retracted`].

use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;

use super::crew::Look;
use super::procedure::{ProcedureKind, StepInstance};
use super::rig::RigDef;
use slackwater_journal::{BootTime, DeviceId};
use slackwater_physics::hold::{RecheckResult, ShutIn};

/// One thing that was done, seen or decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "fact", rename_all = "snake_case")]
pub enum Fact {
    /// A rig was made or edited; the whole definition. Subject: the rig.
    RigDefined {
        /// The definition.
        rig: Box<RigDef>,
        /// What it was made from ('template single-housing', 'copy of RIG'), or empty.
        #[serde(default)]
        from: String,
    },
    /// An edit took away from what is to be proved, or loosened a limit. News: it can't be taken back,
    /// a second member signs for it. Subject: the rig, or 'crew' for a choice of the crew.
    TookAway {
        /// What, of what its writer knew to be in use and proved; none while the rig was being set up.
        what: Vec<Loss>,
        /// What more, if it was in use and proved by a phone that the writer had not heard. It counts
        /// where that comes out.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        unheard: Vec<Loss>,
    },
    /// A second member signed for what an edit took away. Subject: that of the edit.
    LossSigned {
        /// Event reference of the [`Fact::TookAway`].
        event: String,
        /// How they looked.
        #[serde(default, skip_serializing_if = "Look::is_bare")]
        look: Look,
    },
    /// What an event says that this program can't read was looked up elsewhere, and dealt with: the
    /// author answers for it. Subject: the rig.
    UnreadAnswered {
        /// Event reference.
        event: String,
        /// What it says, and what was done about it.
        note: String,
    },
    /// A rig was retired, or taken back into use. Subject: the rig.
    RigRetired {
        /// True where retired.
        retired: bool,
    },
    /// An enclosure was opened. Subject: the enclosure.
    Opened {
        /// By which closure; none where that isn't known, which disturbs all its seals.
        closure: Option<String>,
    },
    /// An enclosure was closed, all its closures shut. Subject: the enclosure.
    Closed {},
    /// The plug was fitted on the valve. Subject: the enclosure.
    PlugOn {},
    /// The plug was taken off. Subject: the enclosure.
    PlugOff {},
    /// A member looked it over after what may have harmed it (a dive below its rating), or said what
    /// became of a fault on something taken off the rig, and answers for it. Subject: the enclosure,
    /// seal or control.
    Inspected {
        /// What was looked at and seen.
        note: String,
    },
    /// A seal was taken out, looked at, cleaned, greased and put back. Subject: the seal.
    SealServiced {
        /// What was found.
        finding: Finding,
        /// Free text.
        #[serde(default)]
        note: String,
    },
    /// A new o-ring was fitted, cleaned and greased. Subject: the seal.
    SealFitted {
        /// From which pack or batch.
        #[serde(default)]
        pack: String,
        /// Its cure date as printed ('2Q25', '2025-05'), or empty.
        #[serde(default)]
        cured: String,
        /// When, where it was before the program was used, ms since 1970; none for now.
        #[serde(default)]
        fitted_ms: Option<i64>,
        /// Lot in the crew's box that it was taken from; none where it came from elsewhere.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lot: Option<String>,
        /// What was found on the ring that came out, where that was looked at.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        found: Option<Finding>,
        /// What it is made of, as its lot says; none where nobody said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ring: Option<RingMade>,
    },
    /// A ring that must not go back was found in a seal, and is in it still: there was no other.
    /// News: only a new ring answers it, or another's look that found it wasn't so. Subject: the
    /// seal.
    SealFaulty {
        /// What was found.
        finding: Finding,
        /// Free text.
        #[serde(default)]
        note: String,
    },
    /// Another member looked at a ring found bad again, and it wasn't so. Answers that one finding
    /// and no other. Subject: the seal.
    SealLookedAgain {
        /// Event reference of the finding.
        event: String,
        /// What was seen.
        note: String,
    },
    /// Rings were put in the crew's box. Subject: 'crew/box/LOT'.
    RingsStocked {
        /// What they are.
        lot: RingLot,
        /// How many.
        count: u32,
    },
    /// Rings left the box without being fitted: lost, given away, thrown out. Subject: the lot.
    RingsTaken {
        /// How many.
        count: u32,
        /// Why, or empty.
        #[serde(default)]
        note: String,
    },
    /// The rings of a lot were counted: so many there are, whatever was put in and taken before.
    /// Subject: the lot.
    RingsCounted {
        /// How many.
        count: u32,
    },
    /// A shoot was planned for a rig. Subject: the rig.
    ShootPlanned {
        /// The plan.
        shoot: Shoot,
    },
    /// A control was tried. Subject: the control.
    ControlTested {
        /// It did what the map says.
        works: bool,
        /// Free text.
        #[serde(default)]
        note: String,
    },
    /// An edit changed what was proved of a seal or control: another place for the ring, another
    /// function for the control. Undoes its service or test. Of an enclosure: an edit brought it onto
    /// the rig, so that what the rig went through before was without it. Subject: the seal, control
    /// or enclosure.
    Changed {},
    /// A hold began: vacuum drawn, valve closed. It takes the plug off. Subject: the hold.
    HoldStarted {
        /// How it is read and judged.
        setup: HoldSetup,
    },
    /// A reading of a hold. Subject: the hold.
    HoldReading {
        /// The reading.
        reading: ReadingFact,
    },
    /// A reading was set aside as mistyped; it stays in the record. Subject: the hold.
    ReadingSetAside {
        /// Event reference of the reading.
        reading: String,
    },
    /// All readings of a hold were whole steps of a coarser gauge than was said; somebody looked at it.
    /// News: the hold goes on with the coarsest steps that anyone saw. Subject: the hold.
    GaugeSteps {
        /// The steps that the gauge does show, Pa; none where it shows those that were said, and just
        /// stood there.
        step_pa: Option<f64>,
    },
    /// A hold ended with a verdict. Subject: the hold.
    HoldConcluded {
        /// The verdict with its figures.
        result: HoldResult,
    },
    /// A hold was given up. Subject: the hold.
    HoldAbandoned {
        /// Why.
        reason: String,
    },
    /// The vacuum was read again. Subject: the enclosure.
    Rechecked {
        /// What was read and what it means.
        recheck: RecheckFact,
    },
    /// A recheck that found a change was a slip of typing, said at once by whoever typed it. What was
    /// typed stays in the record.
    RecheckMistyped {
        /// Event reference of the recheck.
        event: String,
        /// What was wrong with it, in words.
        reason: String,
        /// As [`ReadingFact::boot`].
        #[serde(default, skip_serializing_if = "Option::is_none")]
        boot: Option<BootTime>,
    },
    /// A hold logged elsewhere was brought in, to be looked at. It proves nothing here: nobody
    /// recorded that the enclosure was closed before it. Subject: the hold.
    HoldImported {
        /// How it was read.
        setup: HoldSetup,
        /// Its readings, in time order.
        readings: Vec<ReadingFact>,
        /// Rechecks logged after it, as judged when it was brought in.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        rechecks: Vec<RecheckFact>,
    },
    /// A gauge of the crew's was recorded, or its record changed. Subject: 'crew/gauge/GAUGE'.
    GaugeDefined {
        /// The gauge.
        gauge: Gauge,
    },
    /// Two gauges were read on the same vacuum. Subject: 'crew/gauge/GAUGE' of the first.
    GaugesCompared {
        /// The other gauge's id.
        other: String,
        /// What this one showed, as depression, Pa.
        this_pa: f64,
        /// What the other showed, as depression, Pa.
        other_pa: f64,
    },
    /// A prep was begun. Subject: the prep.
    PrepStarted {
        /// Procedure id.
        procedure: String,
        /// Its title.
        title: String,
        /// Its kind.
        kind: ProcedureKind,
        /// Its steps, laid out for this rig.
        steps: Vec<StepInstance>,
    },
    /// A step was done. Subject: the prep.
    StepDone {
        /// Step instance key.
        key: String,
        /// What was measured, as it is shown ('16.4 V'), or empty.
        #[serde(default)]
        value: String,
    },
    /// A part of a step was confirmed or taken back. Subject: the prep.
    StepPart {
        /// Step instance key.
        key: String,
        /// Part key.
        part: String,
        /// Confirmed.
        on: bool,
    },
    /// A step was passed over. Subject: the prep.
    StepSkipped {
        /// Step instance key.
        key: String,
        /// Why.
        reason: String,
    },
    /// A step was opened again. Subject: the prep.
    StepReopened {
        /// Step instance key.
        key: String,
    },
    /// A second member signed a step. The event's author is who signed. Subject: the prep.
    StepSigned {
        /// Step instance key.
        key: String,
        /// How they looked.
        #[serde(default, skip_serializing_if = "Look::is_bare")]
        look: Look,
    },
    /// The closed rig was walked round, and every seam, lock, latch and plug looked at. Subject: the
    /// rig.
    WalkedRound {},
    /// Somebody looked at what another did, and signs for it: the event's author. Subject: what was
    /// looked at, an enclosure for its plug, the rig for the walk round it.
    SecondLook {
        /// How they looked, and at which event.
        look: Look,
    },
    /// A prep was handed over. Subject: the prep.
    HandedOver {
        /// Member id of who goes on.
        to: String,
    },
    /// A prep ended. Subject: the prep.
    PrepEnded {
        /// True when every step was done or skipped.
        complete: bool,
        /// Why it was ended early, or empty.
        #[serde(default)]
        reason: String,
    },
    /// Something is wrong. Subject: the defect.
    DefectOpened {
        /// What it concerns ('enclosure/main', 'seal/main-port', or empty for the rig).
        at: String,
        /// It blocks readiness.
        blocks: bool,
        /// What.
        text: String,
        /// Water was found.
        #[serde(default)]
        water: bool,
    },
    /// A defect was put right. Subject: the defect.
    DefectClosed {
        /// How.
        how: String,
    },
    /// The rig was in the water. Subject: the rig.
    DiveLogged {
        /// Deepest, m.
        depth_m: f64,
        /// Minutes.
        minutes: f64,
        /// Free text.
        #[serde(default)]
        note: String,
        /// Salinity of the water, g/kg; none where nobody said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        salinity_g_kg: Option<f64>,
        /// Whether it was up as this was written, or went in then; none where nobody said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        up: Option<bool>,
    },
    /// The water that the rig is trimmed for from now on. Subject: the rig.
    WaterChosen {
        /// The water.
        water: WaterFact,
    },
    /// So many weights of a size hang at a mounting point now. Subject: the mounting point.
    WeightsHung {
        /// What hangs.
        weight: WeightFact,
    },
    /// The rig hangs as it was worked out to. Subject: the rig.
    Trimmed {
        /// For what, and with what.
        trim: TrimFact,
    },
    /// How the rig hung in the water. Subject: the rig.
    SeenInWater {
        /// What was seen.
        seen: WaterSeen,
    },
    /// A crew member was added or changed. Subject: 'crew/MEMBER'.
    MemberDefined {
        /// Name.
        name: String,
        /// What they do.
        role: Role,
    },
    /// A member left the crew, or came back. Subject: 'crew/MEMBER'.
    MemberRetired {
        /// True where they left.
        retired: bool,
    },
    /// Two entries are one person, whose two names can't sign for each other. Subject: 'crew/MEMBER'
    /// of the one.
    MembersJoined {
        /// Member id of the other.
        other: String,
    },
    /// This phone is a member's own. The event's device says which. Subject: 'crew/phone/DEVICE'.
    PhoneOf {
        /// Member id.
        member: String,
    },
    /// Another device is of this crew: all that it wrote and will write counts, and so does whom it
    /// admits ([`super::admission`]). Subject: 'crew/phone/DEVICE'.
    DeviceAdmitted {
        /// The device: its key, hex.
        device: String,
        /// How that is known.
        #[serde(default, skip_serializing_if = "Admitted::is_asked")]
        how: Admitted,
    },
    /// A device is not of this crew, or no longer: what it wrote counts up to an event and no further.
    /// News: only being admitted again by whoever had heard of it answers it. Subject: as above.
    DeviceDismissed {
        /// The device: its key, hex.
        device: String,
        /// Its last event that counts; 0 for none.
        up_to: u64,
        /// The hash of that, hex: whoever holds its key can write another history, and not one with this
        /// event in it. Empty where a version wrote it that didn't say.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        head: String,
    },
    /// A code to join the crew by was shown on this phone: the device that proves to have read it is of the
    /// crew ([`super::admission`]), as if this event had admitted it. Subject: 'crew/phone/DEVICE', the
    /// writer's.
    DeviceInvited {
        /// The public half of the key in the code, hex.
        invitation: String,
        /// The name of the crew's key in the code, hex: whoever reads it holds that.
        epoch: String,
    },
    /// This device has read such a code. Where two say so of one code, neither is of the crew by it.
    /// Subject: 'crew/phone/DEVICE', the writer's.
    DeviceJoined {
        /// The public half of the key in the code, hex.
        invitation: String,
        /// The writer's id, signed by the code's key, hex.
        proof: String,
    },
    /// A code that this phone showed is good for nothing any more. News: it stands also where a device had
    /// read the code and this phone had not heard of it. Subject: 'crew/phone/DEVICE', the writer's.
    DeviceUninvited {
        /// The public half of the key in the code, hex.
        invitation: String,
    },
    /// A member's own code was set, for signatures. Subject: 'crew/MEMBER'.
    CodeSet {
        /// Argon2id hash of it with its salt and cost.
        code: CodeHash,
    },
    /// A choice of the crew. Subject: 'crew'.
    CrewChose {
        /// Which.
        choice: String,
        /// What.
        value: String,
    },
    /// A procedure was brought in. Subject: 'procedure/ID'.
    ProcedureAdded {
        /// The file as it was.
        source: String,
    },
    /// A photo was taken. Its file was on the disk before this was written. Subject: what it shows.
    PhotoTaken {
        /// BLAKE3 of the original, hex.
        photo: String,
        /// Free text.
        #[serde(default)]
        note: String,
    },
    /// Something was drawn over a photo, on a layer of its own: the file stays as it is. Subject:
    /// 'RIG/photo/HASH', with a rig that the photo is noted at.
    PhotoMarked {
        /// What was drawn.
        mark: SketchMark,
    },
    /// Evidence was taken back. Subject: that of the event taken back.
    Retracted {
        /// Event reference.
        event: String,
    },
    /// Written by a newer program; kept, not understood.
    #[serde(other)]
    Unknown,
}

impl Fact {
    /// Reads a body whole. One with a key or a word that this version doesn't know, or with a key twice, is
    /// [`Fact::Unknown`]: it may say 'closed, but for the port', and read without that it would be evidence.
    /// A key that says nothing (null, false, empty) is of no account.
    pub fn read(body: &[u8]) -> Fact {
        let Ok(Once(told)) = serde_json::from_slice(body) else {
            return Fact::Unknown;
        };
        let Ok(fact) = Fact::deserialize(&told) else {
            return Fact::Unknown;
        };
        match serde_json::to_value(&fact) {
            Ok(known) if fact != Fact::Unknown && covers(&known, &told) => fact,
            _ => Fact::Unknown,
        }
    }

    /// Whether it may be taken back: only evidence, and what stands in the record without
    /// supporting readiness. News stays until new evidence answers it.
    pub fn can_be_retracted(&self) -> bool {
        match self {
            Fact::Closed {}
            | Fact::PlugOn {}
            | Fact::Inspected { .. }
            | Fact::LossSigned { .. }
            | Fact::UnreadAnswered { .. }
            | Fact::SealServiced { .. }
            | Fact::SealFitted { .. }
            | Fact::SealLookedAgain { .. }
            | Fact::RingsStocked { .. }
            | Fact::RingsTaken { .. }
            | Fact::RingsCounted { .. }
            | Fact::ShootPlanned { .. }
            | Fact::StepDone { .. }
            | Fact::StepPart { on: true, .. }
            | Fact::StepSigned { .. }
            | Fact::WalkedRound {}
            | Fact::SecondLook { .. }
            | Fact::WaterChosen { .. }
            | Fact::WeightsHung { .. }
            | Fact::Trimmed { .. }
            | Fact::SeenInWater { .. }
            | Fact::PhotoTaken { .. }
            | Fact::PhotoMarked { .. }
            | Fact::DefectClosed { .. } => true,
            Fact::ControlTested { works, .. } => *works,
            Fact::HoldConcluded { result } => result.verdict == VerdictFact::Holding,
            Fact::Rechecked { recheck } => recheck.verdict == VerdictFact::Holding,
            _ => false,
        }
    }
}

/// Whether what was understood holds all that was told.
fn covers(known: &Value, told: &Value) -> bool {
    match (known, told) {
        (Value::Object(known), Value::Object(told)) => told.iter().all(|(key, told)| {
            let says = |v: &Value| match v {
                Value::Null | Value::Bool(false) => false,
                Value::String(text) => !text.is_empty(),
                Value::Array(all) => !all.is_empty(),
                Value::Object(all) => !all.is_empty(),
                _ => true,
            };
            known.get(key).map_or(!says(told), |k| covers(k, told))
        }),
        (Value::Array(known), Value::Array(told)) => {
            known.len() == told.len() && known.iter().zip(told).all(|(k, t)| covers(k, t))
        }
        _ => true,
    }
}

/// JSON in which no object has a key twice.
struct Once(Value);

impl<'de> Deserialize<'de> for Once {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Once, D::Error> {
        from.deserialize_any(OnceVisitor)
    }
}

struct OnceVisitor;

impl<'de> Visitor<'de> for OnceVisitor {
    type Value = Once;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("JSON with each key once")
    }

    fn visit_bool<E>(self, v: bool) -> Result<Once, E> {
        Ok(Once(v.into()))
    }

    fn visit_i64<E>(self, v: i64) -> Result<Once, E> {
        Ok(Once(v.into()))
    }

    fn visit_u64<E>(self, v: u64) -> Result<Once, E> {
        Ok(Once(v.into()))
    }

    fn visit_f64<E>(self, v: f64) -> Result<Once, E> {
        Ok(Once(v.into()))
    }

    fn visit_str<E>(self, v: &str) -> Result<Once, E> {
        Ok(Once(v.into()))
    }

    fn visit_unit<E>(self) -> Result<Once, E> {
        Ok(Once(Value::Null))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Once, A::Error> {
        let mut all = Vec::new();
        while let Some(Once(value)) = from.next_element()? {
            all.push(value);
        }
        Ok(Once(all.into()))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Once, A::Error> {
        let mut all = serde_json::Map::new();
        while let Some((key, Once(value))) = from.next_entry::<String, Once>()? {
            if all.insert(key.clone(), value).is_some() {
                return Err(serde::de::Error::custom(format!("'{key}' stands twice")));
            }
        }
        Ok(Once(all.into()))
    }
}

/// One thing that an edit took away.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Loss {
    /// What it was of ('enclosure/main', 'seal/main-port', 'control/record'), or empty.
    pub at: String,
    /// Its name then, or empty.
    #[serde(default)]
    pub name: String,
    /// Which kind.
    pub kind: LossKind,
    /// The limit before, in the unit of the kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<f64>,
    /// The limit after; none where there is none any more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<f64>,
}

/// How an edit took something away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LossKind {
    /// Taken off the rig.
    Removed,
    /// A control that is no longer used.
    Unassigned,
    /// Limit of the leak, mL per planned dive.
    LeakLimit,
    /// Depth rating, m.
    DepthRating,
    /// Days that a ring may be in, by its hard limit.
    SealDays,
    /// Openings that a ring may see.
    SealOpenings,
    /// Dives in salt water that a ring may see.
    SealDives,
    /// How long a recheck counts, minutes.
    RecheckLimit,
    /// Free volume, L: the same fall of the gauge is a smaller leak.
    Volume,
    /// How well the free volume is known, L: the same fall is known better.
    VolumeError,
    /// A gauge that is now said to be read with the plug in, so that no reading takes it out.
    PlugStaysIn,
    /// A seal, or a lens, put elsewhere: opening where it was no longer asks for it.
    Elsewhere,
    /// A ring that lay too long for its material, now said to be of one that may lie longer.
    Stored,
    /// A closure or penetrator put on the list of an enclosure that was closed and held.
    Added,
    /// A ring of another size, material or hardness on the list of such an enclosure.
    OtherRing,
    /// Another lens chosen by who knew of no housing to be opened for it.
    OtherLens,
    /// Days since when a ring is said to be in: fewer than was said before, or no longer said.
    RingAge,
    /// The cure date of a ring that was in, changed or no longer said.
    RingCured,
}

impl LossKind {
    /// Whether the list may merely have been wrong: it was there all along, which a second member
    /// signs for, or it came since, and the enclosure is closed and held again.
    pub fn may_have_been_there(self) -> bool {
        matches!(self, LossKind::Added | LossKind::OtherRing)
    }

    /// Whether it is about the ring that was in, and over once there is another.
    pub fn is_of_a_ring(self) -> bool {
        matches!(self, LossKind::RingAge | LossKind::RingCured)
    }
}

/// What was found on a seal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Finding {
    /// Nothing.
    Clean,
    /// A hair or fibre.
    Hair,
    /// Sand or salt.
    Sand,
    /// A nick or cut.
    Nick,
    /// Flattened.
    Flat,
    /// Swollen.
    Swollen,
    /// Dry or brittle.
    Dry,
}

impl Finding {
    /// All, in the order shown.
    pub const ALL: [Finding; 7] = [
        Finding::Clean,
        Finding::Hair,
        Finding::Sand,
        Finding::Nick,
        Finding::Flat,
        Finding::Swollen,
        Finding::Dry,
    ];

    /// Its slug.
    pub fn key(self) -> &'static str {
        match self {
            Finding::Clean => "clean",
            Finding::Hair => "hair",
            Finding::Sand => "sand",
            Finding::Nick => "nick",
            Finding::Flat => "flat",
            Finding::Swollen => "swollen",
            Finding::Dry => "dry",
        }
    }

    /// Whether the ring must not go back: damage that cleaning doesn't mend (common practice).
    pub fn needs_new_ring(self) -> bool {
        matches!(
            self,
            Finding::Nick | Finding::Flat | Finding::Swollen | Finding::Dry
        )
    }
}

/// Rings of one kind in the crew's box, from one pack.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct RingLot {
    /// Size as the crew writes it ('AS568-258', '151.99 x 3.53 mm').
    pub size: String,
    /// Material code ('NBR'), or empty.
    #[serde(default)]
    pub material: String,
    /// Hardness, Shore A; 0 where not known.
    #[serde(default)]
    pub hardness_shore_a: u32,
    /// Which pack or batch, or empty.
    #[serde(default)]
    pub pack: String,
    /// Its cure date as printed ('2Q25', '2025-05'), or empty.
    #[serde(default)]
    pub cured: String,
}

/// What a ring that was fitted is, as its lot says.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct RingMade {
    /// Size as the crew writes it, or empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub size: String,
    /// Material code, or empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub material: String,
    /// Hardness, Shore A; 0 where not known.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub hardness_shore_a: u32,
}

fn is_zero(n: &u32) -> bool {
    *n == 0
}

/// A planned shoot of a rig.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shoot {
    /// First day ('2026-06-03').
    pub first_day: String,
    /// Days, 1 to 365.
    pub days: u32,
    /// Dives on each day, 0 to 20.
    pub dives_per_day: u32,
    /// Openings of each closure on each day, 0 to 50.
    pub openings_per_day: u32,
    /// In salt water.
    pub salt: bool,
}

/// How a device came into the crew.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Admitted {
    /// A member was asked and said so.
    #[default]
    Asked,
    /// It was in the record before anyone was asked.
    Before,
    /// It is the same phone under another key: its earlier one, or that under which it goes on.
    SamePhone,
    /// It showed the code by which the writer joined.
    Code,
}

impl Admitted {
    /// Nothing but that a member said so.
    pub fn is_asked(&self) -> bool {
        *self == Admitted::Asked
    }
}

/// What a member does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Director of photography.
    Dp,
    /// Camera assistant.
    Assistant,
    /// Anyone else.
    Other,
}

/// A member's code as it is kept: what Argon2id (RFC 9106) makes of it. Guessing a short code is
/// only slowed down by that, so who has the file can find it; it keeps one from being read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CodeHash {
    /// Random, hex.
    pub salt: String,
    /// 32 bytes, hex.
    pub hash: String,
    /// Memory, KiB.
    pub memory_kib: u32,
    /// Passes over it.
    pub passes: u32,
}

/// A gauge of the crew's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Gauge {
    /// Its name.
    pub name: String,
    /// It shows absolute pressure (else depression).
    pub absolute: bool,
    /// Unit it shows.
    pub unit: String,
    /// The step of its display, Pa.
    pub resolution_pa: f64,
    /// How far it may be off by its maker, Pa; none where not known. It cancels in a hold, not
    /// between two gauges.
    #[serde(default)]
    pub accuracy_pa: Option<f64>,
    /// When it was last checked against another, as the crew writes it.
    #[serde(default)]
    pub checked: String,
    /// Out of use.
    #[serde(default)]
    pub retired: bool,
}

/// How a hold is read and judged. SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HoldSetup {
    /// Enclosure id.
    pub enclosure: String,
    /// Id of the crew's gauge, where it is one of theirs.
    #[serde(default)]
    pub gauge: Option<String>,
    /// The gauge shows absolute pressure (else depression).
    pub absolute: bool,
    /// Unit it shows ('mbar').
    pub gauge_unit: String,
    /// Its resolution, Pa.
    pub gauge_resolution_pa: f64,
    /// 'inside', 'surface', 'air' or 'none'.
    pub temperature_source: String,
    /// Free volume, m³.
    pub volume_m3: f64,
    /// Its standard uncertainty, m³.
    pub volume_sd_m3: f64,
    /// Limit, mL per planned dive.
    pub limit_ml: f64,
    /// That is the built-in limit: the crew has set none.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub built_in_limit: bool,
    /// Planned depth, m.
    pub depth_m: f64,
    /// Planned minutes.
    pub minutes: f64,
    /// Salinity, g/kg.
    pub salinity_g_kg: f64,
    /// Water temperature, K.
    pub water_k: f64,
    /// How far the gas may be from what the thermometer says at one moment, K (1 sd), where the crew
    /// has measured it; else what is common of its place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_sd_k: Option<f64>,
    /// How far the barometer's error may change within a hold, Pa (1 sd), where the crew has
    /// measured it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub barometer_sd_pa: Option<f64>,
    /// Relative humidity of the enclosed air at the closing, 0 to 1, where a sensor shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub humidity: Option<f64>,
    /// What is shut in, as far as the crew said.
    #[serde(default, skip_serializing_if = "ShutIn::is_unsaid")]
    pub shut_in: ShutIn,
    /// What the gauge showed with the valve open; none where nobody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valve_open: Option<ValveOpen>,
    /// Something said at the set-up was unlikely, was asked about, and confirmed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub confirmed: bool,
    /// Somebody looked at the gauge, and it does show steps as fine as its resolution.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub shows_its_steps: bool,
    /// What was noticed when it was brought in from a file; nothing of a hold recorded here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub noticed: Vec<Noticed>,
}

/// What is drawn over a photo. Places are thousandths of the upright picture, x of its width from the left and y
/// of its height from the top, 0 to 1000.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SketchMark {
    /// An arrow.
    Arrow {
        /// Its tail.
        from: [u16; 2],
        /// Its point.
        to: [u16; 2],
    },
    /// An ellipse around something, by the corners of its box.
    Ring {
        /// One corner.
        from: [u16; 2],
        /// The one across.
        to: [u16; 2],
    },
    /// A word or two.
    Words {
        /// Where the line begins, at half its height.
        at: [u16; 2],
        /// What stands there.
        text: String,
    },
}

/// What a gauge shows with the valve open: that tells its kind, its unit and by how much it is off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ValveOpen {
    /// Nothing: it shows the vacuum below the air outside.
    Nothing,
    /// About the air pressure: it shows the pressure inside.
    Air,
    /// Another number, Pa: near nothing, or near the air pressure.
    Reads(f64),
}

/// Something to know of a hold that was brought in from a file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "is", rename_all = "snake_case")]
pub enum Noticed {
    /// Its readings leak, and were made since the last closing: that is news of this enclosure.
    Leaks {
        /// At least so much, mL per planned dive.
        at_least_ml: f64,
        /// When its last reading was made, as the log says, ms since 1970 UTC.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        until_ms: Option<i64>,
    },
    /// The file names another enclosure.
    OtherEnclosure {
        /// What it names.
        name: String,
    },
    /// The file's free volume is another's: by more than twice what both are known within.
    OtherVolume {
        /// The file's, L.
        litres: f64,
    },
    /// It was read with another kind of gauge than the enclosure's last hold here.
    OtherGauge {},
    /// The valve was closed before the enclosure was last closed here.
    BeforeClosing {
        /// When, ms since 1970 UTC.
        at_ms: i64,
    },
    /// The file doesn't say when the valve was closed.
    WhenUnknown {},
    /// The file's own limit, by which it is not judged.
    OtherLimit {
        /// The file's, mL per dive.
        limit_ml: f64,
    },
    /// Of so many readings this many were kept.
    Thinned {
        /// Readings in the file.
        of: u32,
        /// Readings kept.
        kept: u32,
    },
    /// The file doesn't say this, and what is assumed.
    Assumed {
        /// Its key.
        key: String,
        /// What is assumed, as it would be written.
        value: String,
    },
    /// The file says more that isn't understood.
    UnknownKey {
        /// Its key.
        key: String,
    },
    /// It names a thermometer and has no temperatures.
    NoTemperatures {},
    /// Rows that were wrong are left out.
    RowsLeftOut {
        /// How many.
        rows: u32,
    },
    /// Written by a newer program.
    #[serde(other)]
    Unknown,
}

/// A reading. SI.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct ReadingFact {
    /// Seconds since the valve was closed.
    pub t_s: f64,
    /// The gauge, Pa.
    pub gauge_pa: f64,
    /// Temperature, K.
    #[serde(default)]
    pub temperature_k: Option<f64>,
    /// Barometer, Pa.
    #[serde(default)]
    pub ambient_pa: Option<f64>,
    /// Which phone's own barometer that was ([`barometer_tag`]); none where it was typed. Two
    /// barometers may stand 2 mbar apart, so that they are never mixed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub barometer: Option<u32>,
    /// It looked unlikely, was asked about, and whoever typed it said that it is so.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub confirmed: bool,
    /// When, by the boot clock of the phone that it was typed on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boot: Option<BootTime>,
    /// Seconds since the valve was closed at least, where the clocks don't tell more: the phone was
    /// restarted since, or another read before. None where `t_s` is sure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_s: Option<f64>,
    /// By so many seconds the time of day was set since the reading that `t_s` is counted from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock_set_s: Option<f64>,
}

/// How a reading names the phone whose barometer was read: the first four bytes of its key.
pub fn barometer_tag(device: DeviceId) -> u32 {
    let [a, b, c, d, ..] = device.0;
    u32::from_be_bytes([a, b, c, d])
}

/// A verdict in the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VerdictFact {
    /// Below the limit.
    Holding,
    /// Above it.
    Leaking,
    /// Not known.
    NotYet,
}

/// What a hold came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HoldResult {
    /// The verdict.
    pub verdict: VerdictFact,
    /// Leak, mL per planned dive.
    pub leak_ml: f64,
    /// 95 % interval, lower end.
    pub low_ml: f64,
    /// Upper end.
    pub high_ml: f64,
    /// A smaller leak would have been missed, mL per planned dive.
    pub would_miss_below_ml: f64,
    /// How many readings it rests on.
    pub readings: u32,
    /// Seconds from the first to the last.
    pub lasted_s: f64,
    /// The limit it was judged against, mL per planned dive.
    pub limit_ml: f64,
    /// The planned depth, m.
    pub depth_m: f64,
    /// The planned minutes.
    pub minutes: f64,
    /// The free volume it was judged with, m³.
    pub volume_m3: f64,
    /// Version of the program that judged.
    pub judged_by: String,
    /// The largest leak that it leaves possible, mL per planned dive; none in old records.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most_ml: Option<f64>,
    /// How many entries of the hold were known when it was judged: readings, and readings set aside.
    /// Both only ever grow, so that the verdict covers all that is known where it is as many. None in
    /// old records.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covers: Option<u32>,
    /// The planned water's salinity, g/kg; where it isn't here, the setup's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salinity_g_kg: Option<f64>,
    /// The planned water's temperature, K; where it isn't here, the setup's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_k: Option<f64>,
    /// Standard uncertainty of the free volume that it was judged with, m³; where it isn't here, the setup's in
    /// proportion to the volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_sd_m3: Option<f64>,
    /// Half of the vacuum went, and more than any settling takes, also where that was too soon for a verdict.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub gone: bool,
}

impl HoldResult {
    /// The largest leak that it leaves possible, mL per planned dive. Of an old record the worse of
    /// its interval's end and of what it would have missed.
    pub fn at_most(&self) -> f64 {
        self.at_most_ml
            .unwrap_or_else(|| self.high_ml.max(self.would_miss_below_ml))
    }

    /// Whether it holds within its limit and a leak was seen all the same.
    pub fn seen_to_leak(&self) -> bool {
        self.verdict == VerdictFact::Holding && leak_is_seen(self.low_ml, self.limit_ml)
    }
}

/// Whether a leak was seen, and not only left possible: the least that the readings allow is a tenth of the limit or
/// more. A smaller one is told by its number alone: of tight holds one in forty has its least above nothing.
pub fn leak_is_seen(low_ml: f64, limit_ml: f64) -> bool {
    low_ml >= 0.1 * limit_ml
}

/// A recheck. SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RecheckFact {
    /// The hold it rests on.
    pub hold: String,
    /// What was read.
    pub reading: ReadingFact,
    /// What the gauge should have shown, Pa.
    pub expected_pa: f64,
    /// Its standard uncertainty, Pa.
    pub expected_sd_pa: f64,
    /// What it means: *holding* where it read as foretold, *leaking* where something changed.
    pub verdict: VerdictFact,
    /// Leak since, mL per planned dive: estimate and 95 % interval.
    pub leak_ml: [f64; 3],
    /// Version of the program that judged.
    pub judged_by: String,
    /// What was found, where the program that judged told changes by their direction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub result: Option<RecheckResult>,
    /// The limits within which it would have read as foretold, Pa, in the gauge's sense.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub between_pa: Option<[f64; 2]>,
    /// The smallest change that would have been found nine times in ten, Pa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub would_miss_below_pa: Option<f64>,
    /// Whether the camera inside ran, or had run in the last half hour; none where nobody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub camera_on: Option<bool>,
    /// Whether it came from elsewhere within the last hour; none where nobody was asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brought: Option<bool>,
    /// What it was to tell; none in old records.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub judged_for: Option<RecheckFor>,
}

/// What a recheck was to tell: whether more than this may come in on this dive by now.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RecheckFor {
    /// Depth, m.
    pub depth_m: f64,
    /// Minutes.
    pub minutes: f64,
    /// Salinity, g/kg.
    pub salinity_g_kg: f64,
    /// Temperature of the water, K.
    pub water_k: f64,
    /// The limit, mL per dive.
    pub limit_ml: f64,
    /// The free volume, m³.
    pub volume_m3: f64,
}

/// A water, with the density that it was taken to have.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WaterFact {
    /// Key of the preset it started from; empty for one typed whole.
    #[serde(default)]
    pub key: String,
    /// Practical salinity.
    pub salinity: f64,
    /// Its standard uncertainty.
    pub salinity_sd: f64,
    /// Temperature, °C.
    pub water_c: f64,
    /// Its standard uncertainty, K.
    pub water_sd_k: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// Density there, kg/m³.
    pub kg_m3: f64,
    /// Its standard uncertainty, kg/m³.
    pub sd_kg_m3: f64,
}

/// Weights of one size at one place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WeightFact {
    /// Mass of one, g.
    pub mass_g: f64,
    /// Displaced volume of one, cm³; none for lead.
    #[serde(default)]
    pub volume_cm3: Option<f64>,
    /// How many.
    pub count: u32,
}

/// Weights at a mounting point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HungFact {
    /// Mounting point id.
    pub point: String,
    /// What hangs there.
    pub weight: WeightFact,
}

/// A trim: what was on the rig, in which water, with what hung where.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrimFact {
    /// Parts on the rig, by id, in order.
    pub parts: Vec<String>,
    /// The water.
    pub water: WaterFact,
    /// What hung, in the order of points and sizes.
    pub hung: Vec<HungFact>,
    /// Net force worked out for it, N; positive floats.
    pub net_n: f64,
    /// Its standard uncertainty, N.
    pub net_sd_n: f64,
}

/// Which way something went in the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// It floated up; the nose came up; it leant to port.
    Up,
    /// It stayed; it hung level.
    Level,
    /// It sank; the nose went down; it leant to starboard.
    Down,
}

/// One thing seen in the water.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SeenFact {
    /// Which way.
    pub way: Way,
    /// By how much, where the crew can say: g, or degrees; not negative.
    #[serde(default)]
    pub amount: Option<f64>,
    /// Standard uncertainty of the amount, or of level, in its unit.
    #[serde(default)]
    pub sd: Option<f64>,
}

/// How a rig hung in the water, with what was on it: enough to learn from without looking
/// anything up that may have changed since.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WaterSeen {
    /// Parts on the rig, by id.
    pub parts: Vec<String>,
    /// The water.
    pub water: WaterFact,
    /// What hung, each with its place, mm.
    pub hung: Vec<(WeightFact, [f64; 3])>,
    /// Whether it floated.
    #[serde(default)]
    pub net: Option<SeenFact>,
    /// How the nose lay.
    #[serde(default)]
    pub pitch: Option<SeenFact>,
    /// How it leant.
    #[serde(default)]
    pub roll: Option<SeenFact>,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seen: each of these left *ready* as it was without a word, some of them as evidence.
    #[test]
    fn what_a_newer_version_says_is_never_read_as_less() {
        for newer in [
            r#"{"fact":"opened","closure":null,"by":"pressure"}"#,
            r#"{"fact":"opened","closure":{"id":"back","half":true}}"#,
            r#"{"fact":"closed","except":"port"}"#,
            r#"{"fact":"seal_serviced","finding":"split"}"#,
            r#"{"fact":"seal_serviced","finding":"clean","of":{"side":"outer"}}"#,
            r#"{"fact":"plug_on","turns":0.5}"#,
            r#"{"fact":"closed","fact":"opened","closure":null}"#,
            r#"{"fact":"control_tested","works":false,"works":true}"#,
            r#"{"fact":"hold_abandoned","reason":"x","leaking":1}"#,
            r#"{"fact":"flooded"}"#,
            r#"{"fact":"closed""#,
            "",
            "[]",
        ] {
            assert_eq!(Fact::read(newer.as_bytes()), Fact::Unknown, "{newer}");
        }
        // What says nothing is of no account, nor is the order of the keys.
        for older in [
            r#"{"fact":"closed","except":null,"parts":[],"half":false}"#,
            r#"{"closure":"back","fact":"opened"}"#,
        ] {
            assert_ne!(Fact::read(older.as_bytes()), Fact::Unknown, "{older}");
        }
    }

    /// The written form of every fact. A change here is a change of the file format: files of crews
    /// hold the old form for ever, so add, never rename.
    #[test]
    fn the_written_form_of_each_fact() {
        let s = String::from;
        let reading = ReadingFact {
            t_s: 60.0,
            gauge_pa: 20_000.0,
            temperature_k: Some(298.0),
            ..ReadingFact::default()
        };
        let water = WaterFact {
            key: s("sea"),
            salinity: 35.0,
            salinity_sd: 0.8,
            water_c: 18.0,
            water_sd_k: 3.0,
            depth_m: 5.0,
            kg_m3: 1025.5,
            sd_kg_m3: 1.0,
        };
        let weight = WeightFact {
            mass_g: 100.0,
            volume_cm3: None,
            count: 2,
        };
        let facts: Vec<(Fact, &str)> = vec![
            (
                Fact::RigRetired { retired: true },
                r#"{"fact":"rig_retired","retired":true}"#,
            ),
            (
                Fact::Opened {
                    closure: Some(s("port")),
                },
                r#"{"fact":"opened","closure":"port"}"#,
            ),
            (Fact::Closed {}, r#"{"fact":"closed"}"#),
            (Fact::PlugOn {}, r#"{"fact":"plug_on"}"#),
            (Fact::PlugOff {}, r#"{"fact":"plug_off"}"#),
            (
                Fact::TookAway {
                    what: vec![
                        Loss {
                            at: s("seal/main-port"),
                            name: s("Port o-ring"),
                            kind: LossKind::Removed,
                            from: None,
                            to: None,
                        },
                        Loss {
                            at: s("enclosure/main"),
                            name: s("Main"),
                            kind: LossKind::LeakLimit,
                            from: Some(60.0),
                            to: Some(80.5),
                        },
                    ],
                    unheard: Vec::new(),
                },
                r#"{"fact":"took_away","what":[{"at":"seal/main-port","name":"Port o-ring","kind":"removed"},{"at":"enclosure/main","name":"Main","kind":"leak_limit","from":60.0,"to":80.5}]}"#,
            ),
            (
                Fact::TookAway {
                    what: Vec::new(),
                    unheard: vec![Loss {
                        at: s("a"),
                        name: s("A"),
                        kind: LossKind::Removed,
                        from: None,
                        to: None,
                    }],
                },
                r#"{"fact":"took_away","what":[],"unheard":[{"at":"a","name":"A","kind":"removed"}]}"#,
            ),
            (
                Fact::TookAway {
                    unheard: Vec::new(),
                    what: [
                        LossKind::Volume,
                        LossKind::VolumeError,
                        LossKind::PlugStaysIn,
                        LossKind::Elsewhere,
                        LossKind::Stored,
                        LossKind::Added,
                        LossKind::OtherRing,
                        LossKind::OtherLens,
                    ]
                    .map(|kind| Loss {
                        at: s("a"),
                        name: s("A"),
                        kind,
                        from: None,
                        to: None,
                    })
                    .into(),
                },
                r#"{"fact":"took_away","what":[{"at":"a","name":"A","kind":"volume"},{"at":"a","name":"A","kind":"volume_error"},{"at":"a","name":"A","kind":"plug_stays_in"},{"at":"a","name":"A","kind":"elsewhere"},{"at":"a","name":"A","kind":"stored"},{"at":"a","name":"A","kind":"added"},{"at":"a","name":"A","kind":"other_ring"},{"at":"a","name":"A","kind":"other_lens"}]}"#,
            ),
            (
                Fact::UnreadAnswered {
                    event: s("d:1"),
                    note: s("n"),
                },
                r#"{"fact":"unread_answered","event":"d:1","note":"n"}"#,
            ),
            (
                Fact::LossSigned {
                    event: s("d:1"),
                    look: Look::default(),
                },
                r#"{"fact":"loss_signed","event":"d:1"}"#,
            ),
            (
                Fact::LossSigned {
                    event: s("d:1"),
                    look: Look {
                        of: s("d:1"),
                        ..Look::default()
                    },
                },
                r#"{"fact":"loss_signed","event":"d:1","look":{"of":"d:1"}}"#,
            ),
            (
                Fact::Inspected { note: s("n") },
                r#"{"fact":"inspected","note":"n"}"#,
            ),
            (Fact::Changed {}, r#"{"fact":"changed"}"#),
            (
                Fact::SealServiced {
                    finding: Finding::Hair,
                    note: s(""),
                },
                r#"{"fact":"seal_serviced","finding":"hair","note":""}"#,
            ),
            (
                Fact::SealFitted {
                    pack: s("A1"),
                    cured: s("2Q25"),
                    fitted_ms: None,
                    lot: None,
                    found: None,
                    ring: None,
                },
                r#"{"fact":"seal_fitted","pack":"A1","cured":"2Q25","fitted_ms":null}"#,
            ),
            (
                Fact::SealFitted {
                    pack: s(""),
                    cured: s(""),
                    fitted_ms: None,
                    lot: Some(s("l")),
                    found: Some(Finding::Nick),
                    ring: None,
                },
                r#"{"fact":"seal_fitted","pack":"","cured":"","fitted_ms":null,"lot":"l","found":"nick"}"#,
            ),
            (
                Fact::SealFaulty {
                    finding: Finding::Flat,
                    note: s("n"),
                },
                r#"{"fact":"seal_faulty","finding":"flat","note":"n"}"#,
            ),
            (
                Fact::SealLookedAgain {
                    event: s("d:1"),
                    note: s("n"),
                },
                r#"{"fact":"seal_looked_again","event":"d:1","note":"n"}"#,
            ),
            (
                Fact::RingsStocked {
                    lot: RingLot {
                        size: s("AS568-258"),
                        material: s("NBR"),
                        hardness_shore_a: 70,
                        pack: s("A1"),
                        cured: s("2Q25"),
                    },
                    count: 5,
                },
                r#"{"fact":"rings_stocked","lot":{"size":"AS568-258","material":"NBR","hardness_shore_a":70,"pack":"A1","cured":"2Q25"},"count":5}"#,
            ),
            (
                Fact::RingsTaken {
                    count: 1,
                    note: s("lost"),
                },
                r#"{"fact":"rings_taken","count":1,"note":"lost"}"#,
            ),
            (
                Fact::RingsCounted { count: 3 },
                r#"{"fact":"rings_counted","count":3}"#,
            ),
            (
                Fact::ShootPlanned {
                    shoot: Shoot {
                        first_day: s("2026-06-03"),
                        days: 10,
                        dives_per_day: 3,
                        openings_per_day: 2,
                        salt: true,
                    },
                },
                r#"{"fact":"shoot_planned","shoot":{"first_day":"2026-06-03","days":10,"dives_per_day":3,"openings_per_day":2,"salt":true}}"#,
            ),
            (
                Fact::ControlTested {
                    works: true,
                    note: s(""),
                },
                r#"{"fact":"control_tested","works":true,"note":""}"#,
            ),
            (
                Fact::HoldReading { reading },
                r#"{"fact":"hold_reading","reading":{"t_s":60.0,"gauge_pa":20000.0,"temperature_k":298.0,"ambient_pa":null}}"#,
            ),
            (
                Fact::HoldReading {
                    reading: ReadingFact {
                        temperature_k: None,
                        confirmed: true,
                        ..reading
                    },
                },
                r#"{"fact":"hold_reading","reading":{"t_s":60.0,"gauge_pa":20000.0,"temperature_k":null,"ambient_pa":null,"confirmed":true}}"#,
            ),
            (
                Fact::HoldStarted {
                    setup: HoldSetup {
                        enclosure: s("main"),
                        gauge: None,
                        absolute: false,
                        gauge_unit: s("mbar"),
                        gauge_resolution_pa: 10.0,
                        temperature_source: s("air"),
                        volume_m3: 0.012,
                        volume_sd_m3: 0.001,
                        limit_ml: 60.0,
                        built_in_limit: true,
                        depth_m: 20.0,
                        minutes: 60.0,
                        salinity_g_kg: 35.0,
                        water_k: 290.0,
                        temperature_sd_k: None,
                        barometer_sd_pa: None,
                        humidity: None,
                        shut_in: ShutIn::NOTHING,
                        valve_open: Some(ValveOpen::Reads(400.0)),
                        confirmed: false,
                        shows_its_steps: false,
                        noticed: vec![
                            Noticed::WhenUnknown {},
                            Noticed::OtherVolume { litres: 9.5 },
                            Noticed::Thinned {
                                of: 43_200,
                                kept: 1_000,
                            },
                        ],
                    },
                },
                r#"{"fact":"hold_started","setup":{"enclosure":"main","gauge":null,"absolute":false,"gauge_unit":"mbar","gauge_resolution_pa":10.0,"temperature_source":"air","volume_m3":0.012,"volume_sd_m3":0.001,"limit_ml":60.0,"built_in_limit":true,"depth_m":20.0,"minutes":60.0,"salinity_g_kg":35.0,"water_k":290.0,"shut_in":{"camera":"cold","desiccant":"none","stood":"here"},"valve_open":{"reads":400.0},"noticed":[{"is":"when_unknown"},{"is":"other_volume","litres":9.5},{"is":"thinned","of":43200,"kept":1000}]}}"#,
            ),
            (
                Fact::HoldReading {
                    reading: ReadingFact {
                        boot: Some(BootTime {
                            id: slackwater_journal::BootId(171),
                            ms: 61_000,
                        }),
                        least_s: Some(30.0),
                        clock_set_s: Some(-7.5),
                        ..reading
                    },
                },
                r#"{"fact":"hold_reading","reading":{"t_s":60.0,"gauge_pa":20000.0,"temperature_k":298.0,"ambient_pa":null,"boot":{"id":"00000000000000ab","ms":61000},"least_s":30.0,"clock_set_s":-7.5}}"#,
            ),
            (
                Fact::ReadingSetAside { reading: s("d:1") },
                r#"{"fact":"reading_set_aside","reading":"d:1"}"#,
            ),
            (
                Fact::GaugeSteps {
                    step_pa: Some(1_000.0),
                },
                r#"{"fact":"gauge_steps","step_pa":1000.0}"#,
            ),
            (
                Fact::GaugeSteps { step_pa: None },
                r#"{"fact":"gauge_steps","step_pa":null}"#,
            ),
            (
                Fact::HoldConcluded {
                    result: HoldResult {
                        verdict: VerdictFact::NotYet,
                        leak_ml: 1.0,
                        low_ml: 0.0,
                        high_ml: 2.0,
                        would_miss_below_ml: 3.0,
                        readings: 4,
                        lasted_s: 600.0,
                        limit_ml: 5.0,
                        depth_m: 20.0,
                        minutes: 60.0,
                        volume_m3: 0.012,
                        judged_by: s("x"),
                        at_most_ml: None,
                        covers: None,
                        salinity_g_kg: None,
                        water_k: None,
                        volume_sd_m3: None,
                        gone: false,
                    },
                },
                r#"{"fact":"hold_concluded","result":{"verdict":"not_yet","leak_ml":1.0,"low_ml":0.0,"high_ml":2.0,"would_miss_below_ml":3.0,"readings":4,"lasted_s":600.0,"limit_ml":5.0,"depth_m":20.0,"minutes":60.0,"volume_m3":0.012,"judged_by":"x"}}"#,
            ),
            (
                Fact::HoldConcluded {
                    result: HoldResult {
                        verdict: VerdictFact::NotYet,
                        leak_ml: 1.0,
                        low_ml: 0.0,
                        high_ml: 2.0,
                        would_miss_below_ml: 3.0,
                        readings: 4,
                        lasted_s: 600.0,
                        limit_ml: 5.0,
                        depth_m: 20.0,
                        minutes: 60.0,
                        volume_m3: 0.012,
                        judged_by: s("x"),
                        at_most_ml: Some(3.5),
                        covers: Some(5),
                        salinity_g_kg: None,
                        water_k: None,
                        volume_sd_m3: None,
                        gone: false,
                    },
                },
                r#"{"fact":"hold_concluded","result":{"verdict":"not_yet","leak_ml":1.0,"low_ml":0.0,"high_ml":2.0,"would_miss_below_ml":3.0,"readings":4,"lasted_s":600.0,"limit_ml":5.0,"depth_m":20.0,"minutes":60.0,"volume_m3":0.012,"judged_by":"x","at_most_ml":3.5,"covers":5}}"#,
            ),
            (
                Fact::HoldConcluded {
                    result: HoldResult {
                        verdict: VerdictFact::NotYet,
                        leak_ml: 1.0,
                        low_ml: 0.0,
                        high_ml: 2.0,
                        would_miss_below_ml: 3.0,
                        readings: 4,
                        lasted_s: 600.0,
                        limit_ml: 5.0,
                        depth_m: 20.0,
                        minutes: 60.0,
                        volume_m3: 0.012,
                        judged_by: s("x"),
                        at_most_ml: Some(3.5),
                        covers: Some(5),
                        salinity_g_kg: None,
                        water_k: None,
                        volume_sd_m3: Some(0.004),
                        gone: false,
                    },
                },
                r#"{"fact":"hold_concluded","result":{"verdict":"not_yet","leak_ml":1.0,"low_ml":0.0,"high_ml":2.0,"would_miss_below_ml":3.0,"readings":4,"lasted_s":600.0,"limit_ml":5.0,"depth_m":20.0,"minutes":60.0,"volume_m3":0.012,"judged_by":"x","at_most_ml":3.5,"covers":5,"volume_sd_m3":0.004}}"#,
            ),
            (
                Fact::Rechecked {
                    recheck: RecheckFact {
                        hold: s("h"),
                        reading,
                        expected_pa: 20_000.0,
                        expected_sd_pa: 50.0,
                        verdict: VerdictFact::Holding,
                        leak_ml: [0.0, -1.0, 1.0],
                        judged_by: s("x"),
                        result: None,
                        between_pa: None,
                        would_miss_below_pa: None,
                        camera_on: None,
                        brought: None,
                        judged_for: None,
                    },
                },
                r#"{"fact":"rechecked","recheck":{"hold":"h","reading":{"t_s":60.0,"gauge_pa":20000.0,"temperature_k":298.0,"ambient_pa":null},"expected_pa":20000.0,"expected_sd_pa":50.0,"verdict":"holding","leak_ml":[0.0,-1.0,1.0],"judged_by":"x"}}"#,
            ),
            (
                Fact::Rechecked {
                    recheck: RecheckFact {
                        hold: s("h"),
                        reading,
                        expected_pa: 19_000.0,
                        expected_sd_pa: 50.0,
                        verdict: VerdictFact::Leaking,
                        leak_ml: [0.0, -1.0, 1.0],
                        judged_by: s("x"),
                        result: Some(RecheckResult::MoreVacuum),
                        between_pa: Some([18_800.0, 19_200.0]),
                        would_miss_below_pa: Some(270.0),
                        camera_on: Some(true),
                        brought: None,
                        judged_for: Some(RecheckFor {
                            depth_m: 20.0,
                            minutes: 60.0,
                            salinity_g_kg: 35.0,
                            water_k: 290.0,
                            limit_ml: 60.0,
                            volume_m3: 0.012,
                        }),
                    },
                },
                r#"{"fact":"rechecked","recheck":{"hold":"h","reading":{"t_s":60.0,"gauge_pa":20000.0,"temperature_k":298.0,"ambient_pa":null},"expected_pa":19000.0,"expected_sd_pa":50.0,"verdict":"leaking","leak_ml":[0.0,-1.0,1.0],"judged_by":"x","result":"more_vacuum","between_pa":[18800.0,19200.0],"would_miss_below_pa":270.0,"camera_on":true,"judged_for":{"depth_m":20.0,"minutes":60.0,"salinity_g_kg":35.0,"water_k":290.0,"limit_ml":60.0,"volume_m3":0.012}}}"#,
            ),
            (
                Fact::RecheckMistyped {
                    event: s("d:1"),
                    reason: s("a digit"),
                    boot: None,
                },
                r#"{"fact":"recheck_mistyped","event":"d:1","reason":"a digit"}"#,
            ),
            (
                Fact::HoldAbandoned { reason: s("rain") },
                r#"{"fact":"hold_abandoned","reason":"rain"}"#,
            ),
            (
                Fact::StepDone {
                    key: s("a@b"),
                    value: s("1 V"),
                },
                r#"{"fact":"step_done","key":"a@b","value":"1 V"}"#,
            ),
            (
                Fact::StepPart {
                    key: s("a"),
                    part: s("p"),
                    on: true,
                },
                r#"{"fact":"step_part","key":"a","part":"p","on":true}"#,
            ),
            (
                Fact::StepSkipped {
                    key: s("a"),
                    reason: s("r"),
                },
                r#"{"fact":"step_skipped","key":"a","reason":"r"}"#,
            ),
            (
                Fact::StepReopened { key: s("a") },
                r#"{"fact":"step_reopened","key":"a"}"#,
            ),
            (
                Fact::StepSigned {
                    key: s("a"),
                    look: Look::default(),
                },
                r#"{"fact":"step_signed","key":"a"}"#,
            ),
            (
                Fact::StepSigned {
                    key: s("a"),
                    look: Look {
                        of: s("d:1"),
                        code: true,
                        photo: s("ff"),
                        after_ms: Some(300_000),
                    },
                },
                r#"{"fact":"step_signed","key":"a","look":{"of":"d:1","code":true,"photo":"ff","after_ms":300000}}"#,
            ),
            (Fact::WalkedRound {}, r#"{"fact":"walked_round"}"#),
            (
                Fact::SecondLook {
                    look: Look {
                        of: s("d:1"),
                        ..Look::default()
                    },
                },
                r#"{"fact":"second_look","look":{"of":"d:1"}}"#,
            ),
            (
                Fact::MemberRetired { retired: true },
                r#"{"fact":"member_retired","retired":true}"#,
            ),
            (
                Fact::MembersJoined { other: s("m") },
                r#"{"fact":"members_joined","other":"m"}"#,
            ),
            (
                Fact::DeviceAdmitted {
                    device: s("ab"),
                    how: Admitted::Asked,
                },
                r#"{"fact":"device_admitted","device":"ab"}"#,
            ),
            (
                Fact::DeviceAdmitted {
                    device: s("ab"),
                    how: Admitted::Before,
                },
                r#"{"fact":"device_admitted","device":"ab","how":"before"}"#,
            ),
            (
                Fact::DeviceAdmitted {
                    device: s("ab"),
                    how: Admitted::SamePhone,
                },
                r#"{"fact":"device_admitted","device":"ab","how":"same_phone"}"#,
            ),
            (
                Fact::DeviceDismissed {
                    device: s("ab"),
                    up_to: 7,
                    head: s(""),
                },
                r#"{"fact":"device_dismissed","device":"ab","up_to":7}"#,
            ),
            (
                Fact::DeviceDismissed {
                    device: s("ab"),
                    up_to: 7,
                    head: s("cd"),
                },
                r#"{"fact":"device_dismissed","device":"ab","up_to":7,"head":"cd"}"#,
            ),
            (
                Fact::DeviceAdmitted {
                    device: s("ab"),
                    how: Admitted::Code,
                },
                r#"{"fact":"device_admitted","device":"ab","how":"code"}"#,
            ),
            (
                Fact::DeviceInvited {
                    invitation: s("ab"),
                    epoch: s("cd"),
                },
                r#"{"fact":"device_invited","invitation":"ab","epoch":"cd"}"#,
            ),
            (
                Fact::DeviceJoined {
                    invitation: s("ab"),
                    proof: s("cd"),
                },
                r#"{"fact":"device_joined","invitation":"ab","proof":"cd"}"#,
            ),
            (
                Fact::DeviceUninvited {
                    invitation: s("ab"),
                },
                r#"{"fact":"device_uninvited","invitation":"ab"}"#,
            ),
            (
                Fact::PhoneOf { member: s("m") },
                r#"{"fact":"phone_of","member":"m"}"#,
            ),
            (
                Fact::CodeSet {
                    code: CodeHash {
                        salt: s("00"),
                        hash: s("ff"),
                        memory_kib: 19_456,
                        passes: 2,
                    },
                },
                r#"{"fact":"code_set","code":{"salt":"00","hash":"ff","memory_kib":19456,"passes":2}}"#,
            ),
            (
                Fact::HandedOver { to: s("m") },
                r#"{"fact":"handed_over","to":"m"}"#,
            ),
            (
                Fact::PrepEnded {
                    complete: true,
                    reason: s(""),
                },
                r#"{"fact":"prep_ended","complete":true,"reason":""}"#,
            ),
            (
                Fact::DefectOpened {
                    at: s(""),
                    blocks: true,
                    text: s("t"),
                    water: false,
                },
                r#"{"fact":"defect_opened","at":"","blocks":true,"text":"t","water":false}"#,
            ),
            (
                Fact::DefectClosed { how: s("h") },
                r#"{"fact":"defect_closed","how":"h"}"#,
            ),
            (
                Fact::DiveLogged {
                    depth_m: 12.0,
                    minutes: 40.0,
                    note: s(""),
                    salinity_g_kg: None,
                    up: None,
                },
                r#"{"fact":"dive_logged","depth_m":12.0,"minutes":40.0,"note":""}"#,
            ),
            (
                Fact::DiveLogged {
                    depth_m: 12.0,
                    minutes: 40.0,
                    note: s(""),
                    salinity_g_kg: Some(35.0),
                    up: Some(true),
                },
                r#"{"fact":"dive_logged","depth_m":12.0,"minutes":40.0,"note":"","salinity_g_kg":35.0,"up":true}"#,
            ),
            (
                Fact::WaterChosen {
                    water: water.clone(),
                },
                r#"{"fact":"water_chosen","water":{"key":"sea","salinity":35.0,"salinity_sd":0.8,"water_c":18.0,"water_sd_k":3.0,"depth_m":5.0,"kg_m3":1025.5,"sd_kg_m3":1.0}}"#,
            ),
            (
                Fact::WeightsHung { weight },
                r#"{"fact":"weights_hung","weight":{"mass_g":100.0,"volume_cm3":null,"count":2}}"#,
            ),
            (
                Fact::Trimmed {
                    trim: TrimFact {
                        parts: vec![s("housing")],
                        water: water.clone(),
                        hung: vec![HungFact {
                            point: s("front"),
                            weight,
                        }],
                        net_n: -0.5,
                        net_sd_n: 0.25,
                    },
                },
                r#"{"fact":"trimmed","trim":{"parts":["housing"],"water":{"key":"sea","salinity":35.0,"salinity_sd":0.8,"water_c":18.0,"water_sd_k":3.0,"depth_m":5.0,"kg_m3":1025.5,"sd_kg_m3":1.0},"hung":[{"point":"front","weight":{"mass_g":100.0,"volume_cm3":null,"count":2}}],"net_n":-0.5,"net_sd_n":0.25}}"#,
            ),
            (
                Fact::SeenInWater {
                    seen: WaterSeen {
                        parts: vec![s("housing")],
                        water,
                        hung: vec![(weight, [1.0, 2.0, 3.0])],
                        net: Some(SeenFact {
                            way: Way::Up,
                            amount: Some(50.0),
                            sd: None,
                        }),
                        pitch: None,
                        roll: None,
                    },
                },
                r#"{"fact":"seen_in_water","seen":{"parts":["housing"],"water":{"key":"sea","salinity":35.0,"salinity_sd":0.8,"water_c":18.0,"water_sd_k":3.0,"depth_m":5.0,"kg_m3":1025.5,"sd_kg_m3":1.0},"hung":[[{"mass_g":100.0,"volume_cm3":null,"count":2},[1.0,2.0,3.0]]],"net":{"way":"up","amount":50.0,"sd":null},"pitch":null,"roll":null}}"#,
            ),
            (
                Fact::MemberDefined {
                    name: s("N"),
                    role: Role::Dp,
                },
                r#"{"fact":"member_defined","name":"N","role":"dp"}"#,
            ),
            (
                Fact::CrewChose {
                    choice: s("c"),
                    value: s("v"),
                },
                r#"{"fact":"crew_chose","choice":"c","value":"v"}"#,
            ),
            (
                Fact::ProcedureAdded { source: s("x") },
                r#"{"fact":"procedure_added","source":"x"}"#,
            ),
            (
                Fact::PhotoTaken {
                    photo: s("ab"),
                    note: s("n"),
                },
                r#"{"fact":"photo_taken","photo":"ab","note":"n"}"#,
            ),
            (
                Fact::PhotoMarked {
                    mark: SketchMark::Arrow {
                        from: [100, 200],
                        to: [500, 1_000],
                    },
                },
                r#"{"fact":"photo_marked","mark":{"arrow":{"from":[100,200],"to":[500,1000]}}}"#,
            ),
            (
                Fact::PhotoMarked {
                    mark: SketchMark::Ring {
                        from: [0, 0],
                        to: [500, 400],
                    },
                },
                r#"{"fact":"photo_marked","mark":{"ring":{"from":[0,0],"to":[500,400]}}}"#,
            ),
            (
                Fact::PhotoMarked {
                    mark: SketchMark::Words {
                        at: [1, 2],
                        text: s("hair"),
                    },
                },
                r#"{"fact":"photo_marked","mark":{"words":{"at":[1,2],"text":"hair"}}}"#,
            ),
            (
                Fact::Retracted { event: s("d:1") },
                r#"{"fact":"retracted","event":"d:1"}"#,
            ),
        ];
        for (fact, written) in facts {
            assert_eq!(serde_json::to_string(&fact).unwrap(), written);
            assert_eq!(Fact::read(written.as_bytes()), fact, "{written}");
            assert_eq!(serde_json::from_str::<Fact>(written).unwrap(), fact);
        }
    }

    #[test]
    fn what_a_newer_program_wrote_is_kept_and_not_understood() {
        let newer = r#"{"fact":"weighed_in_water","grams":-12}"#;
        assert_eq!(serde_json::from_str::<Fact>(newer).unwrap(), Fact::Unknown);
    }
}
