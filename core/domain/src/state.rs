//! What is known of a rig now, read from the tables of the fold. Plain data: [`super::readiness`]
//! judges it without a store, and tests build it by hand.

use rusqlite::{Connection, OptionalExtension, params};
use slackwater_physics::hold;
use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::sync::Arc;

use super::crew::{ALONE, CrewFacts, Known, SIGNED_WITH, SignedWith};
use super::facts::{
    Fact, Gauge, HoldResult, HoldSetup, HungFact, Loss, Noticed, RecheckFact, RingLot, RingMade,
    Shoot, TrimFact, VerdictFact, WaterFact, WaterSeen, WeightFact,
};
use super::fold::{APART, FittedMark, IMPORTED, fact_of};
use super::mark_key::MarkKey;
use super::procedure::{ProcedureKind, StepInstance};
use super::rig::{Enclosure, RigDef};
use super::rules::{reopen_void, together, unknowing, wet};
use super::subject::{At, CREW, Kind};
use slackwater_journal::{BootTime, Heard, Stamp, Writer, store};

/// The newest fact of a kind about a thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// Its place in the order of everything.
    pub stamp: Stamp,
    /// When, as people read it, ms since 1970 UTC.
    pub wall_ms: i64,
    /// Member id of who.
    pub author: String,
    /// What, where the kind has a value.
    pub value: String,
}

/// The newest fact of a kind about a thing, and beside it the newest of every other phone that told of
/// it. It reads as the last of them; what counts is asked of [`Told::all`], since whoever wrote the last
/// may not have heard of the others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    last: Seen,
    others: Vec<Seen>,
}

impl Told {
    /// All of them, the last first.
    pub fn all(&self) -> impl Iterator<Item = &Seen> {
        std::iter::once(&self.last).chain(&self.others)
    }

    /// What was told of several things, as of one: the latest by the clock is the last.
    pub fn of_all(told: impl IntoIterator<Item = Seen>) -> Option<Told> {
        let mut others: Vec<Seen> = told.into_iter().collect();
        let (last, _) = (others.iter().enumerate()).max_by_key(|(_, seen)| seen.stamp)?;
        let last = others.swap_remove(last);
        Some(Told { last, others })
    }

    /// The last, without the others.
    pub fn into_last(self) -> Seen {
        self.last
    }
}

/// Who had heard what. It says how facts stand to each other and is none itself: what is known of a rig
/// is the same though another rig's news has been heard since.
#[derive(Debug, Clone, Default)]
pub struct Causes(Arc<Heard>);

impl PartialEq for Causes {
    fn eq(&self, _: &Causes) -> bool {
        true
    }
}

impl Eq for Causes {}

impl From<Arc<Heard>> for Causes {
    fn from(heard: Arc<Heard>) -> Causes {
        Causes(heard)
    }
}

impl std::ops::Deref for Causes {
    type Target = Heard;
    fn deref(&self) -> &Heard {
        &self.0
    }
}

impl From<Seen> for Told {
    fn from(last: Seen) -> Told {
        Told {
            last,
            others: Vec::new(),
        }
    }
}

impl std::ops::Deref for Told {
    type Target = Seen;
    fn deref(&self) -> &Seen {
        &self.last
    }
}

/// What is known of an enclosure.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct EnclosureFacts {
    /// Its id.
    pub id: String,
    /// Last opened; the value is the closure.
    pub opened: Option<Told>,
    /// Last opened by each closure, by its id; under an empty one where it wasn't known which.
    pub openings: Vec<(String, Told)>,
    /// Last closed.
    pub closed: Option<Told>,
    /// Plug last fitted.
    pub plug_on: Option<Told>,
    /// Plug last taken off.
    pub plug_off: Option<Told>,
    /// Last looked over after what may have harmed it; the value is what was seen.
    pub inspected: Option<Told>,
    /// The last dive below its rating by each phone since it came onto the rig, the newest first.
    pub too_deep: Vec<DeepDive>,
    /// An edit brought it onto the rig; none where it was there from the beginning.
    pub added: Option<Told>,
    /// The first definition by each phone that has it: before all of these it was not on the rig.
    pub listed: Vec<Stamp>,
    /// Its holds that may matter: the last of each phone by start, and any that overlaps it.
    pub holds: Vec<HoldFacts>,
    /// Last recheck: when, and what.
    pub recheck: Option<(Seen, RecheckFact)>,
    /// The last rechecks by other phones.
    pub rechecks_of_others: Vec<(Seen, RecheckFact)>,
    /// Who looked at the plug a second time, the newest of each member, oldest first.
    pub plug_looks: Vec<Seen>,
    /// All rechecks that rest on the last hold, in the order of everything.
    pub rechecks: Vec<RecheckSeen>,
    /// Rechecks of any hold that found a change of which nobody who began a hold since had heard.
    pub changes_apart: Vec<RecheckSeen>,
    /// When a hold of it was found leaking, or a recheck changed and not called a slip; the newest of each. What an
    /// opening since has answered may be left out.
    pub leaked: Vec<Stamp>,
    /// Logs of holds of it that were brought in and leak, made after the closing before.
    pub brought_leaks: Vec<BroughtLeak>,
}

/// The log of a hold that was brought in and leaks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BroughtLeak {
    /// The hold.
    pub hold: String,
    /// Where it was brought in in the order of everything.
    pub stamp: Stamp,
    /// When, as the clock showed, ms since 1970 UTC.
    pub wall_ms: i64,
    /// When its last reading was made, as the log says, ms since 1970 UTC; none where it doesn't.
    pub until_ms: Option<i64>,
}

/// A dive deeper than an enclosure is rated to: by the rating as it was when the dive was made, or as
/// it is now if that is less. A rating raised later answers no dive.
#[derive(Debug, Clone, PartialEq)]
pub struct DeepDive {
    /// When.
    pub seen: Seen,
    /// How deep, m.
    pub depth_m: f64,
    /// That rating, m.
    pub rated_m: f64,
}

/// A recheck in the record.
#[derive(Debug, Clone, PartialEq)]
pub struct RecheckSeen {
    /// Event reference.
    pub event: String,
    /// When, and by whom.
    pub seen: Seen,
    /// What.
    pub fact: RecheckFact,
    /// It was said to be a slip of typing: when, by whom, and why. Only what counts as said at once, by
    /// the same member, of the first change found since the hold: two found are no slips of typing.
    pub slip: Option<Seen>,
}

/// How long after a recheck its writer may say that it was mistyped, ms. Common practice: while the
/// gauge is still in hand.
pub const SLIP_WITHIN_MS: i64 = 5 * 60_000;

/// Two readings are the same one if they differ by no more than this share of what the later was off by.
const SAME_SHARE: f64 = 0.25;

impl RecheckSeen {
    /// Whether it found a change.
    pub fn found_change(&self) -> bool {
        self.fact.verdict == VerdictFact::Leaking
    }

    /// Whether it found a change, and nobody said at once that it was mistyped.
    pub fn stands_changed(&self) -> bool {
        self.found_change() && self.slip.is_none()
    }

    /// Whether one before it read about the same where another number was foretold, and so did not pass: a number
    /// that was read twice is no slip of typing.
    pub fn read_before(&self, before: &[RecheckSeen]) -> bool {
        let read = self.fact.reading.gauge_pa;
        let off = (read - self.fact.expected_pa).abs();
        before.iter().any(|b| {
            let apart = (b.fact.reading.gauge_pa - read).abs();
            b.fact.result != Some(hold::RecheckResult::AsForetold) && apart <= SAME_SHARE * off
        })
    }

    /// Whether what another event says of it is its writer's own word, said at once.
    fn is_answered_by(&self, slip: &Seen, boot: Option<BootTime>) -> bool {
        let wall = slip.wall_ms.saturating_sub(self.seen.wall_ms);
        let read_ms = self.seen.stamp.hlc().ms();
        let events = slip.stamp.hlc().ms().saturating_sub(read_ms);
        // A phone that was switched off between, or another phone, is not at once.
        let by_boot = match (self.fact.reading.boot, boot) {
            (Some(read), Some(said)) => said.since(read),
            (None, None) => Some(0),
            _ => None,
        };
        let at_once = |ms: i64| (0..=SLIP_WITHIN_MS).contains(&ms);
        slip.author == self.seen.author
            && !slip.author.is_empty()
            && slip.stamp > self.seen.stamp
            && at_once(wall)
            && events <= SLIP_WITHIN_MS
            && by_boot.is_some_and(at_once)
    }
}

/// What is known of a hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldFacts {
    /// Its id.
    pub id: String,
    /// Enclosure id.
    pub enclosure: String,
    /// When it began.
    pub started: Stamp,
    /// The same for people, ms.
    pub started_ms: i64,
    /// Who began it.
    pub author: String,
    /// How it is read.
    pub setup: HoldSetup,
    /// When it was concluded, for people, with its stamp and result.
    pub concluded: Option<(Stamp, i64, HoldResult)>,
    /// Every verdict given on as many of its entries as the one that stands, which is among them: when, and
    /// that for people. A verdict given again, for another plan, works no valve.
    pub ended: Vec<(Stamp, i64)>,
    /// Why it was given up.
    pub abandoned: Option<String>,
    /// How many entries of it are known, from any phone: readings, and readings set aside.
    pub entries: u32,
    /// A number of it looked unlikely, was asked about, and confirmed.
    pub unlikely: bool,
}

/// What is known of a seal.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SealFacts {
    /// Its id.
    pub id: String,
    /// Last serviced; the value is the finding.
    pub serviced: Option<Told>,
    /// Since when the ring in it is there; none where not known.
    pub fitted: Option<Fitted>,
    /// Where phones that had not heard of each other fitted one: what the others said. It is as old as the
    /// oldest.
    pub fitted_apart: Vec<Fitted>,
    /// A new ring was last put in, recorded when it was done.
    pub renewed: Option<Told>,
    /// A ring that must not go back was last found in it, no new one was put in by who knew of that, and
    /// nobody who looked again found otherwise; the value is the finding.
    pub faulty: Option<Seen>,
    /// Event references of all such findings, the newest first.
    pub findings: Vec<String>,
    /// When its ring was last worked on, a bad one was seen in it, or it was looked at again, whatever came of it
    /// or is still said of it.
    pub looked_at: Vec<Stamp>,
    /// Openings that disturbed it since it was fitted (or ever, where that isn't known).
    pub openings: u32,
    /// Dives in salt water since then, likewise.
    pub dives: u32,
    /// Last time that an opening disturbed it.
    pub disturbed: Option<Told>,
}

/// Since when a ring is in its seal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fitted {
    /// When, ms since 1970 UTC.
    pub ms: i64,
    /// Where that was recorded in the order of everything.
    pub said: Stamp,
    /// What the clock showed as it was recorded, ms since 1970 UTC.
    pub said_ms: i64,
    /// The date was said later, for a ring that was in use already.
    pub dated: bool,
    /// From which pack, or empty.
    pub pack: String,
    /// Its cure date as printed, or empty.
    pub cured: String,
    /// What it is made of, as its lot says; none where nobody said.
    pub ring: Option<RingMade>,
}

impl SealFacts {
    /// When the ring was fitted, ms since 1970; none where not known.
    pub fn fitted_ms(&self) -> Option<i64> {
        self.rings().map(|f| f.ms).min()
    }

    /// All that is said of the ring in it: one, unless phones fitted one apart.
    pub fn rings(&self) -> impl Iterator<Item = &Fitted> {
        self.fitted.iter().chain(&self.fitted_apart)
    }
}

/// Rings of one kind in the crew's box.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoxLot {
    /// Its id.
    pub id: String,
    /// What they are.
    pub lot: RingLot,
    /// How many there are; below zero where more were taken than were ever put in.
    pub count: i64,
}

/// What is known of a control.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ControlFacts {
    /// Its id.
    pub id: String,
    /// Last test that it passed.
    pub works: Option<Told>,
    /// Last test that it failed.
    pub fails: Option<Told>,
    /// Last time that an edit gave it another function or place.
    pub changed: Option<Told>,
}

/// An open defect.
#[derive(Debug, Clone, PartialEq)]
pub struct DefectFacts {
    /// Its id.
    pub id: String,
    /// What it concerns.
    pub at: String,
    /// It blocks readiness.
    pub blocks: bool,
    /// Water was found.
    pub water: bool,
    /// What.
    pub text: String,
    /// When, in the order of everything.
    pub opened: Stamp,
    /// When, ms.
    pub opened_ms: i64,
    /// Who.
    pub author: String,
}

/// An open defect of a rig that another was copied from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceDefect {
    /// That rig's name.
    pub rig: String,
    /// The defect's id.
    pub defect: String,
    /// What.
    pub text: String,
}

/// What is known of a step of a prep.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StepFacts {
    /// Last done; the value is what was measured.
    pub done: Option<Told>,
    /// Last skipped; the value is the reason.
    pub skipped: Option<Told>,
    /// Last opened again.
    pub reopened: Option<Told>,
    /// Who signed, by member id.
    pub signed: Vec<Seen>,
    /// Parts confirmed or taken back, by key.
    pub parts: HashMap<String, Told>,
}

/// Where a step stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepState {
    /// Not done.
    Open,
    /// Done.
    Done,
    /// Passed over.
    Skipped,
}

impl StepFacts {
    /// Who last did it, knowing of every time that it was opened again or passed over.
    pub fn standing(&self, heard: &Heard) -> Option<&Seen> {
        let done = self.done.iter().flat_map(Told::all);
        let standing = done.filter(|d| {
            knows(heard, &d.stamp, &self.skipped) && knows(heard, &d.stamp, &self.reopened)
        });
        standing.max_by_key(|d| d.stamp)
    }

    /// The newest of done, skipped and reopened decides; where two phones had not heard of each other,
    /// the one that leaves more to do.
    pub fn state(&self, heard: &Heard) -> StepState {
        if self.standing(heard).is_some() {
            return StepState::Done;
        }
        let skipped = self.skipped.iter().flat_map(Told::all).map(|s| s.stamp);
        let mut standing =
            skipped.filter(|s| knows(heard, s, &self.reopened) && knows(heard, s, &self.done));
        if standing.next().is_some() {
            return StepState::Skipped;
        }
        StepState::Open
    }
}

impl StepFacts {
    /// Who confirmed a part since the step was last opened again: none where whoever did had not heard
    /// that it was taken back.
    pub fn part_on(&self, heard: &Heard, part: &str) -> Option<&Seen> {
        let told = self.parts.get(part)?;
        told.all().find(|y| {
            let mut others = told.all().filter(|s| s.value != "yes");
            y.value == "yes"
                && knows(heard, &y.stamp, &self.reopened)
                && others.all(|n| heard.after(&y.stamp, &n.stamp))
        })
    }
}

/// Whether any of what was told was written knowing of what bears a stamp.
pub fn is_known(heard: &Heard, told: &Option<Told>, stamp: &Stamp) -> bool {
    let mut all = told.iter().flat_map(Told::all);
    all.any(|t| heard.after(&t.stamp, stamp))
}

/// Whether what bears a stamp was written knowing all that was told.
pub fn knows(heard: &Heard, stamp: &Stamp, told: &Option<Told>) -> bool {
    let mut all = told.iter().flat_map(Told::all);
    all.all(|t| heard.after(stamp, &t.stamp))
}

/// A prep with its steps.
#[derive(Debug, Clone, PartialEq)]
pub struct PrepFacts {
    /// Its id.
    pub id: String,
    /// Its rig.
    pub rig: String,
    /// Procedure id.
    pub procedure: String,
    /// The procedure's title.
    pub title: String,
    /// Its kind.
    pub kind: ProcedureKind,
    /// Its steps, laid out on the rig as it was.
    pub steps: Vec<StepInstance>,
    /// When it began.
    pub started: Stamp,
    /// The same for people, ms.
    pub started_ms: i64,
    /// Who began it.
    pub author: String,
    /// Who goes on with it, if it was handed over.
    pub holder: Option<Seen>,
    /// When it ended, and why if early.
    pub ended: Option<Seen>,
    /// What is known of each step, by key.
    pub done: HashMap<String, StepFacts>,
    /// Who had heard what.
    pub heard: Causes,
}

impl PrepFacts {
    /// What is known of a step; nothing for one that wasn't touched.
    pub fn step(&self, key: &str) -> StepFacts {
        self.done.get(key).cloned().unwrap_or_default()
    }

    /// Where a step stands.
    pub fn state(&self, key: &str) -> StepState {
        self.done
            .get(key)
            .map_or(StepState::Open, |s| s.state(&self.heard))
    }

    /// How many steps were neither done nor passed over at any time, whatever opened others again.
    pub fn never_done(&self) -> usize {
        let touched = |s: &StepFacts| s.done.is_some() || s.skipped.is_some();
        let never = |key: &str| !self.done.get(key).is_some_and(touched);
        self.steps.iter().filter(|s| never(&s.key)).count()
    }

    /// How many steps are still open.
    pub fn left(&self) -> usize {
        self.steps
            .iter()
            .filter(|s| self.state(&s.key) == StepState::Open)
            .count()
    }
}

/// An event about a rig that this program can't read, and that nobody has answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnreadFacts {
    /// Event reference.
    pub event: String,
    /// Its kind, as its writer called it.
    pub kind: String,
    /// When, ms.
    pub wall_ms: i64,
    /// Who.
    pub author: String,
}

/// Entries that are not here, or count here no longer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotHere {
    /// Event reference of the last of them.
    pub event: String,
    /// How many.
    pub events: u64,
}

/// An edit that took something away.
#[derive(Debug, Clone, PartialEq)]
pub struct LossFacts {
    /// Event reference.
    pub event: String,
    /// It was of the crew's choices, not of this rig.
    pub of_crew: bool,
    /// When, and who.
    pub seen: Seen,
    /// What.
    pub what: Vec<Loss>,
    /// Who signed for it.
    pub signed: Vec<Seen>,
}

/// A fault on something that is no longer on the rig, or no longer used.
#[derive(Debug, Clone, PartialEq)]
pub struct GoneFault {
    /// What it is of ('seal/main-port').
    pub at: String,
    /// When it was found; for a ring the value is the finding.
    pub seen: Seen,
    /// When somebody last said what became of it.
    pub inspected: Option<Told>,
}

/// A prep that was begun and has not ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfinished {
    /// Its id.
    pub id: String,
    /// Its procedure's title.
    pub title: String,
    /// When it began.
    pub started: Stamp,
    /// A flood procedure was begun since: what comes next is no longer what stands in this.
    pub flooded: bool,
}

/// What is known of a rig.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RigFacts {
    /// Its id.
    pub id: String,
    /// Its definition.
    pub def: RigDef,
    /// It is out of use.
    pub retired: bool,
    /// Its enclosures, in the definition's order.
    pub enclosures: Vec<EnclosureFacts>,
    /// Its seals, in the definition's order.
    pub seals: Vec<SealFacts>,
    /// Its controls, in the definition's order.
    pub controls: Vec<ControlFacts>,
    /// Its open defects, oldest first.
    pub defects: Vec<DefectFacts>,
    /// The prep that governs: the last build or turnaround begun.
    pub prep: Option<PrepFacts>,
    /// The last build and the turnarounds since, but for the one that governs, newest first; of
    /// several with the same steps the last.
    pub earlier: Vec<PrepFacts>,
    /// Last walked round, closed.
    pub walked: Option<Told>,
    /// Who walked round a second time, the newest of each member, oldest first.
    pub walk_looks: Vec<Seen>,
    /// Who is who.
    pub crew: CrewFacts,
    /// Other preps that have not ended, newest first.
    pub unfinished: Vec<Unfinished>,
    /// Events about the rig that can't be read here, oldest first.
    pub unread: Vec<UnreadFacts>,
    /// Entries that this phone acknowledged and that are missing, which nobody has answered for: the
    /// references of the last of them.
    pub lost: Vec<String>,
    /// Entries of other phones that somebody whose entries are here had heard of and that are not here or
    /// count no longer, which nobody has answered for: they may be about any rig.
    pub not_here: Vec<NotHere>,
    /// How many events about the crew can't be read here.
    pub unread_of_crew: usize,
    /// What edits took away, oldest first.
    pub losses: Vec<LossFacts>,
    /// Faults on what edits took away, by what they are of.
    pub gone: Vec<GoneFault>,
    /// Edits of it by phones that had not heard of each other, the last first; none where one knew of all
    /// others. Its definition is then both, and of each thing the stricter.
    pub edited_apart: DefsApart,
    /// When its definition was written, or those made apart.
    pub defined: Vec<Stamp>,
    /// When each phone last began a build.
    pub built: Vec<Stamp>,
    /// Last time it was in the water.
    pub dived: Option<Told>,
    /// Last time that work was begun which follows a dive: a turnaround, care after it, a flood.
    pub surfaced: Option<Told>,
    /// Open defects of the rigs that it was copied from: of the same things, for all that is known.
    pub of_sources: Vec<SourceDefect>,
    /// How long a recheck counts, ms.
    pub recheck_limit_ms: i64,
    /// The shoot planned.
    pub shoot: Option<Shoot>,
    /// What is known of its trim.
    pub trim: TrimFacts,
    /// Who had heard what.
    pub heard: Causes,
}

/// What is known of how a rig hangs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TrimFacts {
    /// The water chosen last.
    pub water: Option<(Seen, WaterFact)>,
    /// What hangs now, by point and size; also at points that are no longer on the rig.
    pub hung: Vec<HungFact>,
    /// When the rig last hung as worked out, and for what.
    pub trimmed: Option<(Seen, TrimFact)>,
    /// When a part was last given other figures or another place, by part id.
    pub changed: HashMap<String, Seen>,
    /// How it hung in the water, oldest first; at most the last [`SEEN_KEPT`].
    pub seen: Vec<SeenFacts>,
    /// It was in the water, and how it hung there was taken back.
    pub was_in_water: Option<Told>,
}

/// Something seen in the water.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenFacts {
    /// Event reference.
    pub event: String,
    /// Its place in the order of everything.
    pub stamp: Stamp,
    /// When, ms.
    pub wall_ms: i64,
    /// Who.
    pub author: String,
    /// What.
    pub what: WaterSeen,
}

/// Stands before the rig that a rig's first definition was copied from.
pub const COPY_OF: &str = "copy of ";

/// So many of the last things seen in the water are learnt from: older ones tell of a rig that has
/// changed since.
pub const SEEN_KEPT: u32 = 40;

/// How long a recheck counts unless the crew sets it: 2 h.
pub const RECHECK_LIMIT_MS: i64 = 2 * 60 * 60 * 1_000;

/// The crew's choice of it, minutes.
pub const RECHECK_LIMIT: &str = "recheck_limit_min";

/// How long a recheck counts by what the crew chose, ms.
pub fn recheck_limit_ms(chosen: Option<&str>) -> i64 {
    chosen
        .and_then(|v| v.parse::<i64>().ok())
        .map_or(RECHECK_LIMIT_MS, |min| min.clamp(1, 100_000) * 60_000)
}

impl RigFacts {
    /// Whether what is missing of the record is all that this phone recorded before it began another.
    pub fn record_gone(&self) -> bool {
        self.lost.iter().any(|event| is_whole(event))
    }

    /// What is known of an enclosure.
    pub fn enclosure(&self, id: &str) -> Option<&EnclosureFacts> {
        self.enclosures.iter().find(|e| e.id == id)
    }

    /// What is known of a seal.
    pub fn seal(&self, id: &str) -> Option<&SealFacts> {
        self.seals.iter().find(|s| s.id == id)
    }

    /// How many entries of other phones are not here or count no longer.
    pub fn entries_not_here(&self) -> u64 {
        (self.not_here.iter()).fold(0, |n, m| n.saturating_add(m.events))
    }

    /// What is known of a control.
    pub fn control(&self, id: &str) -> Option<&ControlFacts> {
        self.controls.iter().find(|c| c.id == id)
    }
}

/// Marks, by the path of what they are about and their key, each as it is in the table.
struct Marks(HashMap<(String, String), Told>);

impl Marks {
    fn get(&self, at: At<'_>, key: MarkKey<'_>) -> Option<&Told> {
        self.0.get(&(at.to_string(), key.to_string()))
    }

    fn take(&mut self, at: At<'_>, key: MarkKey<'_>) -> Option<Told> {
        self.0.remove(&(at.to_string(), key.to_string()))
    }

    fn iter(&self) -> impl Iterator<Item = (At<'_>, MarkKey<'_>, &Told)> {
        (self.0.iter()).map(|((at, key), told)| (At::parse(at), MarkKey::parse(key), told))
    }
}

fn seen_of(r: &rusqlite::Row<'_>, at: usize) -> rusqlite::Result<Seen> {
    Ok(Seen {
        stamp: Stamp::from_bytes(&r.get::<_, Vec<u8>>(at)?),
        wall_ms: r.get(at + 1)?,
        author: r.get(at + 2)?,
        value: r.get(at + 3)?,
    })
}

/// The marks of a kind of thing.
fn marks_of(db: &Connection, rig: &str, kind: Kind) -> rusqlite::Result<Marks> {
    let [from, to] = kind.between();
    marks(db, rig, &from, &to)
}

/// The marks whose paths are a range of text.
fn marks(db: &Connection, rig: &str, from: &str, to: &str) -> rusqlite::Result<Marks> {
    let mut marks: HashMap<(String, String), Told> = HashMap::new();
    let mut statement = db.prepare_cached(
        "SELECT subject, key, stamp, wall_ms, author, value, last FROM mark \
         WHERE rig = ?1 AND subject >= ?2 AND subject < ?3",
    )?;
    let mut rows = statement.query([rig, from, to])?;
    while let Some(r) = rows.next()? {
        let mut seen = seen_of(r, 2)?;
        match marks.entry((r.get(0)?, r.get(1)?)) {
            Entry::Vacant(new) => drop(new.insert(seen.into())),
            Entry::Occupied(mut known) => {
                let known = known.get_mut();
                if r.get(6)? {
                    std::mem::swap(&mut known.last, &mut seen);
                }
                known.others.push(seen);
            }
        }
    }
    Ok(Marks(marks))
}

/// What all that is read comes from.
struct Sources<'a> {
    db: &'a Connection,
    heard: &'a Arc<Heard>,
    devices: &'a [Writer],
}

/// Reads all that is known of a rig; `None` if there is no such rig. Its cost depends on the rig,
/// not on how much history it has.
///
/// # Errors
/// What SQLite says.
pub fn load(db: &Connection, heard: &Arc<Heard>, rig: &str) -> rusqlite::Result<Option<RigFacts>> {
    let (def, edited_apart, defined) = match load_defs(db, heard, rig)? {
        None => return Ok(None),
        Some(found) => found,
    };
    // All marks but those of preps, of which there may be thousands.
    let [preps, after_preps] = Kind::Prep.between();
    let mut marks_of = marks(db, rig, "", &preps)?;
    (marks_of.0).extend(marks(db, rig, &after_preps, "\u{10ffff}")?.0);
    let mut found = standing_findings(&marks_of);
    let mut looks = looks(&marks_of);
    let mut take = |at: At<'_>, key: MarkKey<'_>| marks_of.take(at, key);

    let devices: Vec<Writer> = db
        .prepare_cached("SELECT substr(key, 1, 8) FROM device WHERE counts_to > 0 ORDER BY key")?
        .query_map([], |r| Ok(Writer(r.get(0)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let of = Sources {
        db,
        heard,
        devices: &devices,
    };
    let mut enclosures = Vec::new();
    let mut closure_openings: HashMap<(String, String), Told> = HashMap::new();
    for e in &def.enclosures {
        let at = At::Enclosure(&e.id);
        let read = |seen: Seen| Some((seen.clone(), serde_json::from_str(&seen.value).ok()?));
        let (recheck, others) = match take(at, MarkKey::Rechecked) {
            Some(told) => (read(told.last), told.others),
            None => (None, Vec::new()),
        };
        let rechecks_of_others = others.into_iter().filter_map(read).collect();
        let opened = take(at, MarkKey::Opened);
        let added = take(at, MarkKey::Changed);
        let mut openings: Vec<(String, Told)> = Vec::new();
        let closures = e.closures.iter().map(|c| c.id.as_str());
        // The last one may have been by a closure that an edit has taken away since.
        let last: Vec<String> = (opened.iter().flat_map(Told::all))
            .map(|seen| seen.value.clone())
            .collect();
        let last = last.iter().map(String::as_str);
        for closure in closures.chain([""]).chain(last) {
            if let Some(seen) = take(At::Closure(&e.id, closure), MarkKey::Opened) {
                closure_openings.insert((e.id.clone(), closure.to_owned()), seen.clone());
                openings.push((closure.to_owned(), seen));
            }
        }
        let holds = last_holds(&of, rig, &e.id)?;
        let rechecks = match holds.first() {
            Some(last) => load_rechecks(db, &last.id)?,
            None => Vec::new(),
        };
        let changes_apart = changes_apart(&of, rig, &e.id, &holds)?;
        let leaked = leaked(&of, rig, &e.id, &opened)?;
        let brought_leaks = brought_leaks(db, rig, &e.id)?;
        enclosures.push(EnclosureFacts {
            id: e.id.clone(),
            opened,
            openings,
            closed: take(at, MarkKey::Closed),
            plug_on: take(at, MarkKey::PlugOn),
            plug_off: take(at, MarkKey::PlugOff),
            inspected: take(at, MarkKey::Inspected),
            too_deep: too_deep(&of, rig, e)?,
            listed: first_listed(db, rig, &e.id)?,
            added,
            holds,
            recheck,
            rechecks_of_others,
            rechecks,
            changes_apart,
            leaked,
            brought_leaks,
            plug_looks: looks.remove(&at.to_string()).unwrap_or_default(),
        });
    }
    let mut seals = Vec::new();
    for s in &def.seals {
        let at = At::Seal(&s.id);
        let renewed = take(at, MarkKey::Renewed);
        let mut fitted = rings_in(heard, &take(at, MarkKey::Fitted), &renewed);
        let since = |f: &Fitted| match (f.dated, &renewed) {
            (false, _) => f.said,
            // A date said later brings in what was before it, and forgets nothing of what is on record:
            // only a ring that was put in does.
            (true, Some(put_in)) => Stamp::of_ms(f.ms).min(put_in.stamp),
            (true, None) => Stamp::NEVER,
        };
        let mut sinces: Vec<Stamp> = fitted.iter().map(since).collect();
        if sinces.is_empty() {
            sinces.push(Stamp::NEVER);
        }
        let (mut dives, mut openings) = (0, 0);
        for since in sinces {
            dives = dives.max(salt_dives_since(&of, rig, since)?);
            openings = openings.max(openings_since(&of, rig, s, since)?);
        }
        let (looked_at, findings) = found.remove(&at.to_string()).unwrap_or_default();
        let changed = take(at, MarkKey::Changed);
        let at_closure = |c: &str| closure_openings.get(&(s.enclosure.clone(), c.to_owned()));
        let disturbed = [at_closure(""), s.closure.as_deref().and_then(at_closure)]
            .into_iter()
            .flatten()
            .chain(changed.as_ref())
            .flat_map(Told::all)
            .cloned();
        let disturbed = Told::of_all(disturbed);
        seals.push(SealFacts {
            id: s.id.clone(),
            serviced: take(at, MarkKey::Serviced),
            faulty: (findings.iter())
                .find(|(_, found)| !is_known(heard, &renewed, &found.stamp))
                .map(|(_, found)| found.clone()),
            renewed,
            looked_at,
            findings: findings
                .into_iter()
                .map(|(reference, _)| reference)
                .collect(),
            fitted: (!fitted.is_empty()).then(|| fitted.remove(0)),
            fitted_apart: fitted,
            dives,
            openings,
            disturbed,
        });
    }
    let controls: Vec<ControlFacts> = def
        .controls
        .iter()
        .map(|c| ControlFacts {
            id: c.id.clone(),
            works: take(At::Control(&c.id), MarkKey::Works),
            fails: take(At::Control(&c.id), MarkKey::Fails),
            changed: take(At::Control(&c.id), MarkKey::Changed),
        })
        .collect();
    let shoot =
        take(At::Rig, MarkKey::Shoot).and_then(|seen| serde_json::from_str(&seen.value).ok());
    let mut trim = TrimFacts {
        water: take(At::Rig, MarkKey::Water)
            .and_then(|t| Some((t.last.clone(), serde_json::from_str(&t.value).ok()?))),
        trimmed: take(At::Rig, MarkKey::Trimmed)
            .and_then(|t| Some((t.last.clone(), serde_json::from_str(&t.value).ok()?))),
        seen: seen_in_water(db, rig)?,
        was_in_water: take(At::Rig, MarkKey::InWater),
        ..TrimFacts::default()
    };
    for p in &def.parts {
        if let Some(seen) = take(At::Part(&p.id), MarkKey::Changed) {
            trim.changed.insert(p.id.clone(), seen.into_last());
        }
    }
    // Out of use while one says so that nobody who took it back had heard of.
    let retired = take(At::Rig, MarkKey::Retired).is_some_and(|told| {
        let mut out = told.all().filter(|s| s.value == "yes");
        out.any(|yes| {
            let mut back = told.all().filter(|s| s.value != "yes");
            !back.any(|no| heard.after(&no.stamp, &yes.stamp))
        })
    });
    let dived = take(At::Rig, MarkKey::Dived);
    let walked = take(At::Rig, MarkKey::Walked);
    trim.hung = hung_now(&marks_of);
    let preps = unfinished(db, rig)?;
    let governing = governing(&of, rig)?;
    let prep = match &governing {
        Some(id) => load_prep(db, heard, id)?,
        None => None,
    };
    let limits = choices(db, heard, RECHECK_LIMIT)?;
    let built = last_preps(&of, rig, &[ProcedureKind::Build])?;
    let built: Vec<Stamp> = built.into_iter().map(|(_, seen)| seen.stamp).collect();
    let defects = open_defects(db, heard, rig, &enclosures)?;
    let mut losses: Vec<LossFacts> = edits_of(&marks_of, false, false).collect();
    let of_crew = marks(db, CREW, "rig", "rig0")?;
    losses.extend(edits_of(&of_crew, false, true));
    add_unheard(&of, rig, &marks_of, &mut losses)?;
    losses.sort_by_key(|l| l.seen.stamp);
    let unread = unread_of(db, rig, &marks_of)?;
    let unread_of_crew: i64 = db
        .prepare_cached(
            "SELECT count(*) FROM unread WHERE root NOT IN (SELECT id FROM rig) \
             AND NOT (root = 'crew' AND instr(event, ?1))",
        )?
        .query_row([APART], |r| r.get(0))?;
    let unread_of_crew = unread_of_crew as usize;
    let lost = lost_of(db, rig, &marks_of)?;
    let not_here = not_here(db, &marks_of)?;
    let gone = gone_faults(&of, rig, &def, &marks_of, found, &controls)?;
    let mut facts = RigFacts {
        id: rig.to_owned(),
        retired,
        enclosures,
        seals,
        controls,
        defects,
        surfaced: surfaced(&of, rig)?,
        unfinished: preps
            .into_iter()
            .filter(|u| Some(&u.id) != governing.as_ref())
            .collect(),
        earlier: match &prep {
            Some(prep) => earlier(&of, rig, prep, &built)?,
            None => Vec::new(),
        },
        prep,
        walked,
        walk_looks: looks.remove(&At::Rig.to_string()).unwrap_or_default(),
        crew: load_crew(db, heard)?,
        dived,
        of_sources: of_sources(db, rig, &def)?,
        recheck_limit_ms: RECHECK_LIMIT_MS,
        shoot,
        trim,
        losses,
        gone,
        unread,
        unread_of_crew,
        lost,
        not_here,
        edited_apart,
        defined,
        built,
        heard: heard.clone().into(),
        def,
    };
    // A limit chosen by who had not heard that the rig is in use loosens nothing of what was proved.
    let limit = |(at, chosen): &(Stamp, String)| match recheck_limit_ms(Some(chosen)) {
        longer if longer > RECHECK_LIMIT_MS && unknowing(&facts, at) => RECHECK_LIMIT_MS,
        chosen => chosen,
    };
    if let Some(least) = limits.iter().map(limit).min() {
        facts.recheck_limit_ms = least;
    }
    let mut earlier = std::mem::take(&mut facts.earlier);
    for prep in &mut earlier {
        reopen_void(&facts, prep);
    }
    facts.earlier = earlier;
    if let Some(mut prep) = facts.prep.take() {
        reopen_void(&facts, &mut prep);
        facts.prep = Some(prep);
    }
    Ok(Some(facts))
}

/// Definitions of one rig made on phones that had not heard of each other.
pub type DefsApart = Vec<(Seen, RigDef)>;

/// A rig's definition: that of the edit that knew of all others; where there is none, all of those made
/// apart together, and who made them.
fn load_defs(
    db: &Connection,
    heard: &Heard,
    rig: &str,
) -> rusqlite::Result<Option<(RigDef, DefsApart, Vec<Stamp>)>> {
    let all: Vec<(Seen, String)> = db
        .prepare_cached(
            "SELECT r.stamp, r.made_ms, '', '', r.def FROM rig r WHERE id = ?1 \
             ORDER BY last DESC, stamp DESC",
        )?
        .query_map([rig], |r| Ok((seen_of(r, 0)?, r.get(4)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let edits = || all.iter().map(|(seen, _)| &seen.stamp);
    let mut apart = DefsApart::new();
    let last = |(seen, _): &&(Seen, String)| heard.is_last(&seen.stamp, edits());
    for (seen, def) in all.iter().filter(last) {
        let def = parsed(def)?;
        // The same edit on both leaves nothing to look at.
        if !apart.iter().any(|(_, known)| *known == def) {
            apart.push((seen.clone(), def));
        }
    }
    if apart.is_empty() {
        return Ok(None);
    }
    let defs: Vec<RigDef> = apart.iter().map(|(_, def)| def.clone()).collect();
    if apart.len() > 1 {
        let mut who = db.prepare_cached(
            "SELECT e.author FROM event e JOIN device d ON d.no = e.device \
             WHERE substr(d.key, 1, 8) = ?1 AND e.seq = ?2",
        )?;
        for (edit, _) in &mut apart {
            let at = params![&edit.stamp.writer().0[..], edit.stamp.seq() as i64];
            let author = who.query_row(at, |r| r.get(0)).optional()?;
            edit.author = author.unwrap_or_default();
        }
    }
    let defined = apart.iter().map(|(seen, _)| seen.stamp).collect();
    if apart.len() < 2 {
        apart.clear();
    }
    Ok(Some((together(&defs), apart, defined)))
}

/// What is said of the ring in a seal by those who had not heard of each other, the last first.
fn rings_in(heard: &Heard, fitted: &Option<Told>, renewed: &Option<Told>) -> Vec<Fitted> {
    let all = || fitted.iter().flat_map(Told::all);
    let last = all().filter(|seen| heard.is_last(&seen.stamp, all().map(|s| &s.stamp)));
    last.filter_map(|seen| {
        let said: FittedMark = serde_json::from_str(&seen.value).ok()?;
        // Nobody can have known of a later day, whatever another phone wrote down.
        let mut ms = said.ms.min(seen.stamp.hlc().ms());
        // A ring that was put in on record is in since then, whatever day is said of it later.
        if let Some(put_in) = renewed.as_ref().filter(|_| said.dated) {
            ms = ms.min(put_in.wall_ms);
        }
        Some(Fitted {
            ms,
            said: seen.stamp,
            said_ms: seen.wall_ms,
            dated: said.dated,
            pack: said.pack,
            cured: said.cured,
            ring: said.ring,
        })
    })
    .collect()
}

/// Second looks, by what was looked at, oldest first.
fn looks(marks: &Marks) -> HashMap<String, Vec<Seen>> {
    let mut all: HashMap<String, Vec<Seen>> = HashMap::new();
    for (at, key, seen) in marks.iter() {
        if let MarkKey::Look(_) = key {
            let of = all.entry(at.to_string()).or_default();
            of.extend(seen.all().cloned());
        }
    }
    for of in all.values_mut() {
        of.sort_by_key(|s| s.stamp);
    }
    all
}

/// The members as recorded, each with the role as it is kept, and the pairs that were joined.
pub type CrewRows = (Vec<(Known, String)>, Vec<(String, String)>);

/// The members with their roles, by id, and the pairs of them that were joined.
///
/// # Errors
/// What SQLite says.
pub fn load_members(db: &Connection) -> rusqlite::Result<CrewRows> {
    let marks = marks(db, CREW, "", "\u{10ffff}")?;
    let retired = |id: &str| {
        marks
            .get(At::Named(id), MarkKey::Retired)
            .is_some_and(|s| s.value == "yes")
    };
    let members = db
        .prepare_cached("SELECT id, name, role FROM member WHERE last ORDER BY id")?
        .query_map([], |r| {
            let id: String = r.get(0)?;
            let known = Known {
                retired: retired(&id),
                name: r.get(1)?,
                id,
            };
            Ok((known, r.get(2)?))
        })?
        .collect::<rusqlite::Result<Vec<_>>>()?;
    let mut joined: Vec<(String, String)> = marks
        .iter()
        .filter_map(|(at, key, _)| {
            let MarkKey::Joined(other) = key else {
                return None;
            };
            let one = at.to_string().trim_end_matches('/').to_owned();
            Some((one, other.to_owned()))
        })
        .collect();
    joined.sort();
    Ok((members, joined))
}

/// Who is who, and what the crew asks of a signature.
///
/// # Errors
/// What SQLite says.
pub fn load_crew(db: &Connection, heard: &Arc<Heard>) -> rusqlite::Result<CrewFacts> {
    let (members, joined) = load_members(db)?;
    let members: Vec<Known> = members.into_iter().map(|(known, _)| known).collect();
    let phones = marks_of(db, CREW, Kind::Phone)?
        .iter()
        .filter_map(|(at, _, seen)| {
            let At::Phone(device) = at else {
                return None;
            };
            let key = data_encoding::HEXLOWER.decode(device.as_bytes()).ok()?;
            let key: [u8; 8] = key.get(..8)?.try_into().ok()?;
            // Whose phone it is only that phone says.
            let said = seen.all().find(|s| s.stamp.writer().0 == key)?;
            Some((key, said.value.clone()))
        })
        .collect();
    let asks = choices(db, heard, SIGNED_WITH)?;
    let asks = asks
        .iter()
        .map(|(_, asked)| SignedWith::of(asked))
        .collect();
    let alone = choices(db, heard, ALONE)?;
    let alone = !alone.is_empty() && alone.iter().all(|(_, said)| said == "yes");
    let crew = CrewFacts::of(&members, &joined, phones, alone, asks);
    Ok(crew.having_heard(heard.clone().into()))
}

/// The builds and turnarounds that count beside the one that governs, newest first: those of which nobody
/// who began a build had heard, and the last such builds; without any build only those begun apart from
/// the one that governs. Of several with the same steps the last covers those that it was begun knowing
/// of.
fn earlier(
    of: &Sources<'_>,
    rig: &str,
    governing: &PrepFacts,
    built: &[Stamp],
) -> rusqlite::Result<Vec<PrepFacts>> {
    let Sources { db, heard, devices } = *of;
    let replacing = match built.iter().max() {
        Some(_) => built,
        None => std::slice::from_ref(&governing.started),
    };
    let Some(last) = replacing.iter().max() else {
        return Ok(Vec::new());
    };
    let mut begun: Vec<(String, String, Stamp)> = Vec::new();
    let mut statement = db.prepare_cached(
        "SELECT id, steps, started FROM prep WHERE rig = ?1 AND kind = ?2 \
         AND substr(started, 9, 8) = ?3 AND substr(started, 17, 8) >= ?4 AND started > ?5",
    )?;
    for (writer, after, seq) in unheard(heard, devices, *last) {
        // Its own as well.
        let seq = seq.saturating_add(u64::from(writer != last.writer()));
        for kind in GOVERNING {
            let seq = &seq.to_be_bytes()[..];
            let rows = statement.query_map(
                params![rig, kind.word(), &writer.0[..], seq, &after.0[..]],
                |r| {
                    let started = Stamp::from_bytes(&r.get::<_, Vec<u8>>(2)?);
                    Ok((r.get(0)?, r.get(1)?, started))
                },
            )?;
            for row in rows {
                begun.push(row?);
            }
        }
    }
    begun.sort_by_key(|(.., started)| std::cmp::Reverse(*started));
    let mut known: Vec<(String, String, Stamp)> = Vec::new();
    for (id, steps, started) in begun {
        let replaced = replacing.iter().any(|b| heard.after(b, &started));
        let mut later = known.iter().filter(|(_, s, _)| *s == steps);
        if !replaced && !later.any(|(.., l)| heard.after(l, &started)) {
            known.push((id, steps, started));
        }
    }
    let mut preps = Vec::new();
    for (id, ..) in known.iter().filter(|(id, ..)| *id != governing.id) {
        preps.extend(load_prep(db, heard, id)?);
    }
    Ok(preps)
}

/// Whether a member answered for an event that can't be read, or is missing.
fn is_answered(marks: &Marks, event: &str) -> bool {
    (marks.get(At::Rig, MarkKey::UnreadAnswered(event))).is_some()
}

fn unread_of(db: &Connection, rig: &str, marks: &Marks) -> rusqlite::Result<Vec<UnreadFacts>> {
    let mut unread: Vec<UnreadFacts> = db
        .prepare_cached(
            "SELECT event, kind, wall_ms, author FROM unread WHERE root = ?1 \
             OR (root = 'crew' AND instr(event, ?2)) ORDER BY stamp",
        )?
        .query_map([rig, APART], |r| {
            Ok(UnreadFacts {
                event: r.get(0)?,
                kind: r.get(1)?,
                wall_ms: r.get(2)?,
                author: r.get(3)?,
            })
        })?
        .collect::<rusqlite::Result<_>>()?;
    unread.retain(|u| !is_answered(marks, &u.event));
    Ok(unread)
}

/// What was acknowledged here and is missing: it may have been about any rig. What came back from another
/// phone is missing no more. Of a device all of whose record is gone nothing tells how far it had come, so
/// nothing that comes back is all of it; but a rig that was set up here since can't be in it.
fn lost_of(db: &Connection, rig: &str, marks: &Marks) -> rusqlite::Result<Vec<String>> {
    let mut lost: Vec<String> = db
        .prepare_cached(
            "SELECT lower(hex(l.key)) || ':' || l.seq FROM lost l LEFT JOIN device d USING (key) \
             WHERE coalesce(d.seq, 0) < l.seq ORDER BY 1",
        )?
        .query_map([], |r| r.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    lost.retain(|event| !is_answered(marks, event));
    if lost.iter().any(|event| is_whole(event)) && is_set_up_since(db, rig)? {
        lost.retain(|event| !is_whole(event));
    }
    Ok(lost)
}

/// Whether what is missing is all that a device wrote.
fn is_whole(event: &str) -> bool {
    let seq = event.rsplit(':').next().and_then(|n| n.parse().ok());
    seq == Some(store::UNKNOWN_END)
}

/// Whether the first that came in of a rig is of this phone, since its record began anew.
fn is_set_up_since(db: &Connection, rig: &str) -> rusqlite::Result<bool> {
    db.prepare_cached(
        "SELECT 1 FROM event e JOIN device d ON d.no = e.device \
         WHERE e.row = (SELECT min(row) FROM event WHERE root = ?1) AND d.ours = 1 \
         AND NOT EXISTS (SELECT 1 FROM lost l WHERE l.key = d.key)",
    )?
    .exists([rig])
}

/// What somebody whose entries are here had heard of, or this phone had counted, and that counts for nothing
/// here: it isn't here, or whoever wrote it is of the crew no longer. That goes as evidence; as news it
/// stays until somebody looks.
fn not_here(db: &Connection, marks: &Marks) -> rusqlite::Result<Vec<NotHere>> {
    let mut missing: Vec<NotHere> = db
        .prepare_cached(
            "SELECT lower(hex(key)) || ':' || up_to, up_to - here FROM (SELECT o.key, \
             min(o.seq, o.counts_to) AS here, max(o.counted, coalesce(h.up_to, 0)) AS up_to \
             FROM device o LEFT JOIN (SELECT h.other, max(h.other_seq) AS up_to FROM heard h \
             JOIN device d ON d.no = h.device WHERE h.seq <= d.counts_to GROUP BY h.other) h \
             ON h.other = o.no WHERE h.up_to > 0 OR o.counted > 0) WHERE up_to > here ORDER BY 1",
        )?
        .query_map([], |r| {
            Ok(NotHere {
                event: r.get(0)?,
                events: r.get::<_, i64>(1)? as u64,
            })
        })?
        .collect::<rusqlite::Result<_>>()?;
    // Somebody had heard a history of a device that isn't here at all, though as many of its events are.
    missing.extend(
        db.prepare_cached(
            "SELECT DISTINCT lower(hex(o.key)) || ':' || h.claimed || '#' || lower(hex(h.head)) \
             FROM heard h JOIN device d ON d.no = h.device JOIN device o ON o.no = h.other \
             WHERE h.unknown = 1 AND h.seq <= d.counts_to ORDER BY 1",
        )?
        .query_map([], |r| {
            Ok(NotHere {
                event: r.get(0)?,
                events: 1,
            })
        })?
        .collect::<rusqlite::Result<Vec<_>>>()?,
    );
    missing.retain(|m| !is_answered(marks, &m.event));
    Ok(missing)
}

/// What edits took away, or (`unheard`) what they took away if the rig was in use unheard.
fn edits_of(marks: &Marks, unheard: bool, of_crew: bool) -> impl Iterator<Item = LossFacts> + '_ {
    let of_rig = || (marks.iter()).filter(|(at, ..)| *at == At::Rig);
    of_rig().filter_map(move |(_, key, seen)| {
        // What came out later is signed for by itself: who signed for the rest had not seen it.
        let event = match key {
            MarkKey::TookAway(event) if !unheard => event.to_owned(),
            MarkKey::TookUnheard(event) if unheard => format!("{event}{UNHEARD}"),
            _ => return None,
        };
        let mut signed: Vec<Seen> = of_rig()
            .filter(|(_, key, _)| matches!(key, MarkKey::LossSigned(of, _) if *of == event))
            .flat_map(|(.., seen)| seen.all().cloned())
            .collect();
        signed.sort_by_key(|s| s.stamp);
        Some(LossFacts {
            event,
            of_crew,
            what: serde_json::from_str(&seen.value).ok()?,
            seen: seen.last.clone(),
            signed,
        })
    })
}

/// Stands behind the reference of an edit where what it took away came out later.
const UNHEARD: &str = "~unheard";

/// Adds what edits took away from a rig of whose use on another phone their writers had not heard, and
/// which whoever used it had not heard either.
fn add_unheard(
    of: &Sources<'_>,
    rig: &str,
    marks: &Marks,
    losses: &mut Vec<LossFacts>,
) -> rusqlite::Result<()> {
    let mut edits = edits_of(marks, true, false).peekable();
    if edits.peek().is_none() || of.devices.len() < 2 {
        return Ok(());
    }
    let first = uses_after(of, rig, |_| 0)?;
    for edit in edits {
        let at = &edit.seen.stamp;
        // Mostly everything was done with the rig as it then was.
        if first.iter().all(|u| of.heard.after(u, at)) {
            continue;
        }
        let next = uses_after(of, rig, |w| of.heard.up_to(at, w).unwrap_or(0))?;
        let apart = |u: &Stamp| u.writer() != at.writer() && !of.heard.after(u, at);
        if next.iter().any(apart) {
            losses.push(edit);
        }
    }
    Ok(())
}

/// What is done with a rig that an edit could take away: the kinds of event that `rules::in_use` goes by.
const USES: &str = "'opened', 'closed', 'plug_on', 'plug_off', 'seal_serviced', 'seal_fitted', \
    'seal_faulty', 'control_tested', 'hold_started', 'hold_imported', 'rechecked', 'prep_started', \
    'dive_logged', 'walked_round'";

/// Each phone's first use of a rig after one of its events.
fn uses_after(
    of: &Sources<'_>,
    rig: &str,
    after: impl Fn(Writer) -> u64,
) -> rusqlite::Result<Vec<Stamp>> {
    let mut uses = Vec::new();
    // By the device's sequence, which its first use is near the beginning of.
    let mut first = of.db.prepare_cached(&format!(
        "SELECT e.hlc, e.seq FROM device d JOIN event e ON e.device = d.no \
         WHERE substr(d.key, 1, 8) = ?1 AND e.seq > ?2 AND e.seq <= d.counts_to \
         AND +e.root = ?3 AND e.kind IN ({USES}) ORDER BY e.seq LIMIT 1"
    ))?;
    for writer in of.devices {
        let found: Option<(i64, i64)> = first
            .query_row(params![&writer.0[..], after(*writer) as i64, rig], |r| {
                Ok((r.get(0)?, r.get(1)?))
            })
            .optional()?;
        uses.extend(found.map(|(hlc, seq)| {
            let mut stamp = [0; 24];
            stamp[..8].copy_from_slice(&hlc.to_be_bytes());
            stamp[8..16].copy_from_slice(&writer.0);
            stamp[16..].copy_from_slice(&seq.to_be_bytes());
            Stamp::from_bytes(&stamp)
        }));
    }
    Ok(uses)
}

/// The faults on what is no longer on the rig: rings found bad that no new one answered, controls
/// that failed last, enclosures that leaked last. Of what is on the rig still, a control that is no
/// longer used.
fn gone_faults(
    of: &Sources<'_>,
    rig: &str,
    def: &RigDef,
    marks: &Marks,
    found: HashMap<String, Findings>,
    controls: &[ControlFacts],
) -> rusqlite::Result<Vec<GoneFault>> {
    let Sources { db, heard, .. } = *of;
    let mark = |at: At<'_>, key: MarkKey<'_>| marks.get(at, key).cloned();
    let mut faults: Vec<(String, Seen)> = Vec::new();
    for (at, (_, findings)) in found {
        let renewed = mark(At::parse(&at), MarkKey::Renewed);
        let stands = |f: &Seen| !is_known(heard, &renewed, &f.stamp);
        if let Some((_, seen)) = findings.into_iter().find(|(_, f)| stands(f)) {
            faults.push((at, seen));
        }
    }
    let dead = |fails: &Option<Told>, works: &Option<Told>| {
        let mut fails = fails.iter().flat_map(Told::all);
        fails.find(|f| !is_known(heard, works, &f.stamp)).cloned()
    };
    for (at, key, fails) in marks.iter() {
        if let (At::Control(_), MarkKey::Fails) = (at, key)
            && let Some(seen) = dead(&Some(fails.clone()), &mark(at, MarkKey::Works))
        {
            faults.push((at.to_string(), seen));
        }
    }
    for (c, facts) in def.controls.iter().zip(controls) {
        if !c.assigned()
            && let Some(seen) = dead(&facts.fails, &facts.works)
        {
            faults.push((At::Control(&c.id).to_string(), seen));
        }
    }
    let leaked: Vec<String> = db
        .prepare_cached(
            "SELECT enclosure FROM hold WHERE rig = ?1 AND leaking \
             UNION SELECT enclosure FROM changed WHERE rig = ?1",
        )?
        .query_map([rig], |r| r.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    for enclosure in leaked {
        if def.enclosure(&enclosure).is_some() || enclosure.ends_with(IMPORTED) {
            continue;
        }
        let at = At::Enclosure(&enclosure);
        let opened = mark(at, MarkKey::Opened);
        let holds = last_holds(of, rig, &enclosure)?;
        // What nobody who began another hold had heard of, and no opening answered. One that was given up says
        // nothing of it.
        let unanswered = |stamp: &Stamp| {
            let mut holds = holds.iter().filter(|h| h.abandoned.is_none());
            !is_known(heard, &opened, stamp) && !holds.any(|h| heard.after(&h.started, stamp))
        };
        let leak = holds.iter().find_map(|hold| {
            let (stamp, wall_ms, result) = hold.concluded.as_ref()?;
            let stands = result.verdict == VerdictFact::Leaking && unanswered(stamp);
            stands.then(|| Seen {
                stamp: *stamp,
                wall_ms: *wall_ms,
                author: hold.author.clone(),
                value: String::new(),
            })
        });
        let found = match leak {
            Some(seen) => Some(seen),
            None => change_found(of, rig, &enclosure, unanswered)?,
        };
        faults.extend(found.map(|seen| (at.to_string(), seen)));
    }
    let mut gone: Vec<GoneFault> = faults
        .into_iter()
        .map(|(at, seen)| GoneFault {
            inspected: mark(At::parse(&at), MarkKey::Inspected),
            at,
            seen,
        })
        .collect();
    gone.sort_by(|a, b| a.at.cmp(&b.at));
    Ok(gone)
}

/// The last recheck of an enclosure that found a change, was called no slip, and stands by `unanswered`.
fn change_found(
    of: &Sources<'_>,
    rig: &str,
    enclosure: &str,
    unanswered: impl Fn(&Stamp) -> bool,
) -> rusqlite::Result<Option<Seen>> {
    let changes: Vec<(String, Stamp)> = (of.db)
        .prepare_cached(
            "SELECT hold, stamp FROM changed WHERE rig = ?1 AND enclosure = ?2 ORDER BY stamp DESC",
        )?
        .query_map([rig, enclosure], |r| {
            Ok((r.get(0)?, Stamp::from_bytes(&r.get::<_, Vec<u8>>(1)?)))
        })?
        .collect::<rusqlite::Result<_>>()?;
    for (hold, found) in changes.into_iter().filter(|(_, found)| unanswered(found)) {
        let all = load_rechecks(of.db, &hold)?;
        let stands = |r: &RecheckSeen| r.seen.stamp == found && r.stands_changed();
        if let Some(recheck) = all.into_iter().find(stands) {
            return Ok(Some(recheck.seen));
        }
    }
    Ok(None)
}

/// The last prep of each of some kinds that each phone began, with its id.
fn last_preps(
    of: &Sources<'_>,
    rig: &str,
    kinds: &[ProcedureKind],
) -> rusqlite::Result<Vec<(String, Seen)>> {
    let Sources { db, devices, .. } = *of;
    let mut statement = db.prepare_cached(
        "SELECT id, started, started_ms, author, '' FROM prep WHERE rig = ?1 AND kind = ?2 \
         AND substr(started, 9, 8) = ?3 ORDER BY substr(started, 17, 8) DESC LIMIT 1",
    )?;
    let mut last = Vec::new();
    for writer in devices {
        for kind in kinds {
            let found = statement
                .query_row(params![rig, kind.word(), &writer.0[..]], |r| {
                    Ok((r.get(0)?, seen_of(r, 1)?))
                })
                .optional()?;
            last.extend(found);
        }
    }
    Ok(last)
}

/// What hangs, in the order of points and sizes.
fn hung_now(marks: &Marks) -> Vec<HungFact> {
    let mut hung: Vec<HungFact> = marks
        .iter()
        .filter_map(|(at, key, seen)| {
            let (At::Point(point), MarkKey::Hung(_)) = (at, key) else {
                return None;
            };
            let weight: WeightFact = serde_json::from_str(&seen.value).ok()?;
            (weight.count > 0).then(|| HungFact {
                point: point.to_owned(),
                weight,
            })
        })
        .collect();
    hung.sort_by(|a, b| {
        (a.point.cmp(&b.point))
            .then(a.weight.mass_g.total_cmp(&b.weight.mass_g))
            .then(
                a.weight
                    .volume_cm3
                    .partial_cmp(&b.weight.volume_cm3)
                    .unwrap_or(std::cmp::Ordering::Equal),
            )
    });
    hung
}

fn seen_in_water(db: &Connection, rig: &str) -> rusqlite::Result<Vec<SeenFacts>> {
    let mut seen: Vec<SeenFacts> = db
        .prepare_cached(
            "SELECT event, stamp, wall_ms, author, body FROM seen_in_water WHERE rig = ?1 \
             ORDER BY stamp DESC LIMIT ?2",
        )?
        .query_map(params![rig, SEEN_KEPT], |r| {
            Ok(SeenFacts {
                event: r.get(0)?,
                stamp: Stamp::from_bytes(&r.get::<_, Vec<u8>>(1)?),
                wall_ms: r.get(2)?,
                author: r.get(3)?,
                what: parsed(&r.get::<_, String>(4)?)?,
            })
        })?
        .collect::<rusqlite::Result<_>>()?;
    seen.reverse();
    Ok(seen)
}

/// Counts the openings that disturbed a seal after `since`, up to a thousand: no limit is higher.
fn openings_since(
    of: &Sources<'_>,
    rig: &str,
    seal: &super::rig::Seal,
    since: Stamp,
) -> rusqlite::Result<u32> {
    let Sources { db, heard, devices } = *of;
    let mut count = 0;
    for (writer, after, seq) in unheard(heard, devices, since) {
        count += db
            .prepare_cached(
                "SELECT count(*) FROM (SELECT 1 FROM opening WHERE rig = ?1 AND enclosure = ?2 \
                 AND closure IS NULL AND substr(stamp, 9, 8) = ?5 AND substr(stamp, 17, 8) > ?6 \
                 AND stamp > ?3 UNION ALL SELECT 1 FROM opening WHERE rig = ?1 \
                 AND enclosure = ?2 AND closure = ?4 AND substr(stamp, 9, 8) = ?5 \
                 AND substr(stamp, 17, 8) > ?6 AND stamp > ?3 LIMIT 1000)",
            )?
            .query_row(
                params![
                    rig,
                    seal.enclosure,
                    &after.0[..],
                    seal.closure,
                    &writer.0[..],
                    &seq.to_be_bytes()[..]
                ],
                |r| r.get::<_, u32>(0),
            )?;
    }
    Ok(count)
}

/// What of each device comes after a stamp: its events after that stamp by the clock, or, where the
/// writer said what it had heard, those whose number is larger.
fn unheard(
    heard: &Heard,
    devices: &[Writer],
    since: Stamp,
) -> impl Iterator<Item = (Writer, Stamp, u64)> {
    devices.iter().map(move |writer| {
        let (after, seq) = match heard.up_to(&since, *writer) {
            Some(seq) if since != Stamp::NEVER => (Stamp::NEVER, seq),
            _ => (since, 0),
        };
        (*writer, after, seq)
    })
}

/// What was found on the rings of a seal: when one was looked at, and the findings that nobody
/// who looked again answered, the newest first, with their event references.
type Findings = (Vec<Stamp>, Vec<(String, Seen)>);

fn standing_findings(marks: &Marks) -> HashMap<String, Findings> {
    let mut all: HashMap<String, Findings> = HashMap::new();
    for (at, key, seen) in marks.iter() {
        let finding = match key {
            MarkKey::Faulty(finding) => Some(finding),
            MarkKey::LookedAgain(_) | MarkKey::Touched => None,
            _ => continue,
        };
        let of = all.entry(at.to_string()).or_default();
        of.0.extend(seen.all().map(|s| s.stamp));
        let Some(reference) = finding else { continue };
        if (marks.get(at, MarkKey::LookedAgain(reference))).is_none() {
            of.1.push((reference.to_owned(), seen.last.clone()));
        }
    }
    for (looked_at, of) in all.values_mut() {
        looked_at.sort();
        of.sort_by_key(|(_, seen)| std::cmp::Reverse(seen.stamp));
    }
    all
}

/// The last dive below an enclosure's rating by each phone, of those made with it on the rig. Most were
/// within the least that it was ever rated to, and need no look at what the rating was then.
fn too_deep(of: &Sources<'_>, rig: &str, def: &Enclosure) -> rusqlite::Result<Vec<DeepDive>> {
    let Sources { db, heard, .. } = *of;
    let mut dives: Vec<DeepDive> = db
        .prepare_cached(
            "SELECT stamp, wall_ms, depth_m FROM dive WHERE rig = ?1 AND depth_m > \
             min(?2, coalesce((SELECT min(rated_m) FROM rating WHERE rig = ?1 AND enclosure = ?3), \
             ?2)) ORDER BY stamp DESC",
        )?
        .query_map(params![rig, def.depth_rating_m, def.id], |r| {
            Ok(DeepDive {
                seen: Seen {
                    stamp: Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?),
                    wall_ms: r.get(1)?,
                    author: String::new(),
                    value: String::new(),
                },
                depth_m: r.get(2)?,
                rated_m: def.depth_rating_m,
            })
        })?
        .collect::<rusqlite::Result<_>>()?;
    if dives.is_empty() {
        return Ok(dives);
    }
    // Every definition of the rig, with what it rates the enclosure to where it has it.
    let defined: Vec<(Stamp, Option<f64>)> = db
        .prepare_cached(
            "SELECT stamp, max(CASE WHEN enclosure = ?2 THEN rated_m END) FROM rating \
             WHERE rig = ?1 GROUP BY stamp",
        )?
        .query_map([rig, &def.id], |r| {
            Ok((Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?), r.get(1)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let mut by: Vec<Writer> = Vec::new();
    dives.retain_mut(|dive| {
        let writer = dive.seen.stamp.writer();
        if by.contains(&writer) {
            return false;
        }
        let Some(rated_m) = rated_then(heard, &defined, &dive.seen.stamp) else {
            return false;
        };
        dive.rated_m = dive.rated_m.min(rated_m);
        let deep = dive.depth_m > dive.rated_m;
        if deep {
            by.push(writer);
        }
        deep
    });
    Ok(dives)
}

/// The least that an enclosure may have been rated to when something was written, by the definitions of
/// which its writer may have known the last; none where it was on none of them.
fn rated_then(heard: &Heard, defined: &[(Stamp, Option<f64>)], written: &Stamp) -> Option<f64> {
    let before: Vec<&(Stamp, Option<f64>)> = (defined.iter())
        .filter(|(d, _)| !heard.after(d, written))
        .collect();
    let replaced = |d: &Stamp| {
        let mut known = before.iter().filter(|(k, _)| heard.after(written, k));
        known.any(|(k, _)| heard.after(k, d))
    };
    let then = before.iter().filter(|(d, _)| !replaced(d));
    then.filter_map(|(_, rated)| *rated).min_by(f64::total_cmp)
}

/// The first definition by each phone that has an enclosure.
fn first_listed(db: &Connection, rig: &str, enclosure: &str) -> rusqlite::Result<Vec<Stamp>> {
    db.prepare_cached(
        "SELECT min(stamp) FROM rating WHERE rig = ?1 AND enclosure = ?2 \
         GROUP BY substr(stamp, 9, 8)",
    )?
    .query_map([rig, enclosure], |r| {
        Ok(Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?))
    })?
    .collect()
}

/// When each phone last began a prep that follows a dive.
fn surfaced(of: &Sources<'_>, rig: &str) -> rusqlite::Result<Option<Told>> {
    use ProcedureKind::{AfterDive, Flood, Turnaround};
    let begun = last_preps(of, rig, &[Turnaround, AfterDive, Flood])?;
    Ok(Told::of_all(begun.into_iter().map(|(_, seen)| seen)))
}

/// Counts the dives in salt water after `since`, up to ten thousand.
fn salt_dives_since(of: &Sources<'_>, rig: &str, since: Stamp) -> rusqlite::Result<u32> {
    let Sources { db, heard, devices } = *of;
    let mut count = 0;
    for (writer, after, seq) in unheard(heard, devices, since) {
        count += db
            .prepare_cached(
                "SELECT count(*) FROM (SELECT 1 FROM dive WHERE rig = ?1 AND salt AND stamp > ?2 \
                 AND substr(stamp, 9, 8) = ?3 AND substr(stamp, 17, 8) > ?4 LIMIT 10000)",
            )?
            .query_row(
                params![rig, &after.0[..], &writer.0[..], &seq.to_be_bytes()[..]],
                |r| r.get::<_, u32>(0),
            )?;
    }
    Ok(count)
}

/// The rings in the crew's box, by size as written, then by cure date and pack.
///
/// # Errors
/// What SQLite says.
pub fn load_box(db: &Connection, heard: &Heard) -> rusqlite::Result<Vec<BoxLot>> {
    let mut lots: Vec<BoxLot> = db
        .prepare_cached(
            "SELECT substr(subject, 5), value FROM mark WHERE rig = 'crew' \
             AND subject >= 'box/' AND subject < 'box0' AND key = 'lot' AND last",
        )?
        .query_map([], |r| Ok((r.get::<_, String>(0)?, r.get::<_, String>(1)?)))?
        .filter_map(|row| match row {
            Ok((id, text)) => serde_json::from_str(&text)
                .ok()
                .map(|lot| Ok(BoxLot { id, lot, count: 0 })),
            Err(e) => Some(Err(e)),
        })
        .collect::<rusqlite::Result<_>>()?;
    for lot in &mut lots {
        lot.count = count_of(db, heard, &lot.id)?;
    }
    lots.sort_by(|a, b| {
        let key = |l: &BoxLot| (l.lot.size.clone(), l.lot.cured.clone(), l.lot.pack.clone());
        key(a).cmp(&key(b)).then_with(|| a.id.cmp(&b.id))
    });
    Ok(lots)
}

/// The last count of a lot, and what went in and out after it: there is one box, so where neither had heard
/// of the other the clocks say which was first.
fn count_of(db: &Connection, heard: &Heard, lot: &str) -> rusqlite::Result<i64> {
    let all: Vec<(Stamp, i64, Option<i64>)> = db
        .prepare_cached("SELECT stamp, delta, counted FROM stock WHERE lot = ?1 ORDER BY stamp")?
        .query_map([lot], |r| {
            Ok((
                Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?),
                r.get(1)?,
                r.get(2)?,
            ))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let counts = || all.iter().filter(|(.., counted)| counted.is_some());
    let stamps = || counts().map(|(stamp, ..)| stamp);
    let last = (counts().rev()).find(|(stamp, ..)| heard.is_last(stamp, stamps()));
    let Some((counted_at, _, counted)) = last else {
        return Ok(all.iter().map(|(_, delta, _)| delta).sum());
    };
    let since = all.iter().filter(|(stamp, ..)| {
        let apart = !heard.after(counted_at, stamp) && stamp > counted_at;
        heard.after(stamp, counted_at) || apart
    });
    Ok(counted.unwrap_or(0) + since.map(|(_, delta, _)| delta).sum::<i64>())
}

const HOLD: &str = "id, enclosure, started, started_ms, author, setup, concluded, concluded_ms, \
                    result, abandoned, reason, \
                    (SELECT count(*) FROM reading r WHERE r.hold = hold.id) \
                    + (SELECT count(*) FROM reading_aside a WHERE a.hold = hold.id), \
                    EXISTS (SELECT 1 FROM mark m WHERE m.rig = hold.rig \
                    AND m.subject = 'hold/' || hold.id AND m.key = 'unlikely'), \
                    EXISTS (SELECT 1 FROM mark m WHERE m.rig = hold.rig \
                    AND m.subject = 'hold/' || hold.id AND m.key = 'steps stand'), \
                    (SELECT max(CAST(substr(m.key, 7) AS REAL)) FROM mark m \
                    WHERE m.rig = hold.rig AND m.subject = 'hold/' || hold.id \
                    AND m.key > 'steps:' AND m.key < 'steps;'), \
                    (SELECT group_concat(hex(c.stamp) || ' ' || c.wall_ms) FROM conclusion c \
                    WHERE c.hold = hold.id AND json_extract(c.result, '$.covers') \
                    IS json_extract(hold.result, '$.covers'))";

/// A stamp in hexadecimal digits and a time in ms.
fn stamp_and_ms(text: &str) -> Option<(Stamp, i64)> {
    let (digits, ms) = text.split_once(' ')?;
    let pairs = (0..digits.len()).step_by(2).map(|i| digits.get(i..i + 2));
    let bytes: Option<Vec<u8>> = pairs
        .map(|pair| u8::from_str_radix(pair?, 16).ok())
        .collect();
    let stamp = Stamp::from_bytes(&bytes?);
    (stamp != Stamp::NEVER).then_some((stamp, ms.parse().ok()?))
}

fn hold_of(r: &rusqlite::Row<'_>) -> rusqlite::Result<HoldFacts> {
    let mut setup: HoldSetup = parsed(&r.get::<_, String>(5)?)?;
    // What somebody saw of its gauge counts from there on as if it had been said.
    let stand: bool = r.get(13)?;
    setup.shows_its_steps |= stand;
    if let Some(coarser) = r.get::<_, Option<f64>>(14)? {
        setup.gauge_resolution_pa = setup.gauge_resolution_pa.max(coarser);
    }
    let unlikely = r.get::<_, bool>(12)? || setup.confirmed || stand;
    let concluded: Option<Vec<u8>> = r.get(6)?;
    let result: Option<String> = r.get(8)?;
    let concluded = match (concluded, result) {
        (Some(stamp), Some(result)) => {
            Some((Stamp::from_bytes(&stamp), r.get(7)?, parsed(&result)?))
        }
        _ => None,
    };
    let abandoned: Option<Vec<u8>> = r.get(9)?;
    Ok(HoldFacts {
        id: r.get(0)?,
        enclosure: r.get(1)?,
        started: Stamp::from_bytes(&r.get::<_, Vec<u8>>(2)?),
        started_ms: r.get(3)?,
        author: r.get(4)?,
        setup,
        concluded,
        ended: (r.get::<_, Option<String>>(15)?.iter())
            .flat_map(|all| all.split(','))
            .filter_map(stamp_and_ms)
            .collect(),
        abandoned: if abandoned.is_some() {
            Some(r.get::<_, Option<String>>(10)?.unwrap_or_default())
        } else {
            None
        },
        entries: r.get(11)?,
        unlikely,
    })
}

/// The last holds of an enclosure, newest first: two, the last of each phone, and every older one that
/// found a leak of which nobody who began another had heard, since the worse news stands however many
/// came after it.
fn last_holds(of: &Sources<'_>, rig: &str, enclosure: &str) -> rusqlite::Result<Vec<HoldFacts>> {
    let Sources { db, heard, devices } = *of;
    let mut holds: Vec<HoldFacts> = db
        .prepare_cached(&format!(
            "SELECT {HOLD} FROM hold WHERE rig = ?1 AND enclosure = ?2 ORDER BY started DESC LIMIT 2"
        ))?
        .query_map([rig, enclosure], hold_of)?
        .collect::<rusqlite::Result<_>>()?;
    if holds.is_empty() {
        return Ok(holds);
    }
    let mut by_each = db.prepare_cached(&format!(
        "SELECT {HOLD} FROM hold WHERE rig = ?1 AND enclosure = ?2 \
         AND substr(started, 9, 8) = ?3 ORDER BY substr(started, 17, 8) DESC LIMIT 1"
    ))?;
    let mut more: Vec<HoldFacts> = Vec::new();
    for writer in devices {
        let last = by_each
            .query_row(params![rig, enclosure, &writer.0[..]], hold_of)
            .optional()?;
        more.extend(last);
    }
    let begun: Vec<Stamp> = more.iter().map(|h| h.started).collect();
    let mut leaks = db.prepare_cached(
        "SELECT id, concluded FROM hold WHERE rig = ?1 AND enclosure = ?2 AND leaking",
    )?;
    let mut leaks = leaks.query([rig, enclosure])?;
    while let Some(r) = leaks.next()? {
        let found = Stamp::from_bytes(&r.get::<_, Vec<u8>>(1)?);
        if !begun.iter().any(|b| heard.after(b, &found)) {
            let id: String = r.get(0)?;
            more.extend(load_hold(db, &id)?.map(|(_, hold)| hold));
        }
    }
    for hold in more {
        if !holds.iter().any(|h| h.id == hold.id) {
            holds.push(hold);
        }
    }
    holds.sort_by_key(|h| std::cmp::Reverse(h.started));
    // The last is one that nobody who began another had heard of, whatever a clock says.
    let begun: Vec<Stamp> = holds.iter().map(|h| h.started).collect();
    if let Some(last) = begun.iter().position(|b| heard.is_last(b, &begun)) {
        let last = holds.remove(last);
        holds.insert(0, last);
    }
    Ok(holds)
}

/// The rechecks of an enclosure that found a change, were called no slip, and of which nobody who began a
/// hold since had heard: who holds again without knowing of it has not answered it.
fn changes_apart(
    of: &Sources<'_>,
    rig: &str,
    enclosure: &str,
    holds: &[HoldFacts],
) -> rusqlite::Result<Vec<RecheckSeen>> {
    let Sources { db, heard, devices } = *of;
    let Some(last) = holds.first() else {
        return Ok(Vec::new());
    };
    let mut of_holds: Vec<(String, Stamp)> = Vec::new();
    let mut statement = db.prepare_cached(
        "SELECT hold, stamp FROM changed WHERE rig = ?1 AND enclosure = ?2 \
         AND substr(stamp, 9, 8) = ?3 AND substr(stamp, 17, 8) > ?4 AND stamp > ?5",
    )?;
    for (writer, after, seq) in unheard(heard, devices, last.started) {
        let seq = &seq.to_be_bytes()[..];
        let mut rows =
            statement.query(params![rig, enclosure, &writer.0[..], seq, &after.0[..]])?;
        while let Some(r) = rows.next()? {
            let found = Stamp::from_bytes(&r.get::<_, Vec<u8>>(1)?);
            if !holds.iter().any(|h| heard.after(&h.started, &found)) {
                of_holds.push((r.get(0)?, found));
            }
        }
    }
    let mut standing = Vec::new();
    for (hold, found) in of_holds {
        // What rests on the last hold stands against it as it is.
        if hold != last.id {
            let all = load_rechecks(db, &hold)?;
            let stands = |r: &RecheckSeen| r.seen.stamp == found && r.stands_changed();
            standing.extend(all.into_iter().find(stands));
        }
    }
    standing.sort_by_key(|r| r.seen.stamp);
    Ok(standing)
}

/// So many of a kind are looked at: more would tell nothing new of what is wrong now.
const LEAKS_LOOKED_AT: u32 = 8;

/// So many of the last logs brought in that leak are looked at.
const BROUGHT_LOOKED_AT: u32 = 100;

/// When a hold was found leaking, or a recheck changed; of rechecks only what no opening since has answered.
fn leaked(
    of: &Sources<'_>,
    rig: &str,
    enclosure: &str,
    opened: &Option<Told>,
) -> rusqlite::Result<Vec<Stamp>> {
    let Sources { db, heard, .. } = *of;
    let mut found: Vec<Stamp> = db
        .prepare_cached(
            "SELECT concluded FROM hold WHERE rig = ?1 AND enclosure = ?2 AND leaking \
             ORDER BY concluded DESC LIMIT ?3",
        )?
        .query_map(params![rig, enclosure, LEAKS_LOOKED_AT], |r| {
            Ok(Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let changed: Vec<(String, Stamp)> = db
        .prepare_cached(
            "SELECT hold, stamp FROM changed WHERE rig = ?1 AND enclosure = ?2 \
             ORDER BY stamp DESC LIMIT ?3",
        )?
        .query_map(params![rig, enclosure, LEAKS_LOOKED_AT], |r| {
            Ok((r.get(0)?, Stamp::from_bytes(&r.get::<_, Vec<u8>>(1)?)))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let standing = changed
        .into_iter()
        .filter(|(_, stamp)| !is_known(heard, opened, stamp));
    for (hold, stamp) in standing {
        let all = load_rechecks(db, &hold)?;
        let stands = all
            .iter()
            .any(|r| r.seen.stamp == stamp && r.stands_changed());
        found.extend(stands.then_some(stamp));
    }
    Ok(found)
}

fn brought_leaks(
    db: &Connection,
    rig: &str,
    enclosure: &str,
) -> rusqlite::Result<Vec<BroughtLeak>> {
    let at = format!("{enclosure}{IMPORTED}");
    // Others that came in since hide none of them.
    let holds: Vec<HoldFacts> = db
        .prepare_cached(&format!(
            "SELECT {HOLD} FROM hold WHERE rig = ?1 AND enclosure = ?2 AND instr(setup, 'leaks') \
             ORDER BY started DESC LIMIT ?3"
        ))?
        .query_map(params![rig, at, BROUGHT_LOOKED_AT], hold_of)?
        .collect::<rusqlite::Result<_>>()?;
    let leaks = |h: HoldFacts| {
        let mut noticed = h.setup.noticed.iter();
        let until_ms = noticed.find_map(|n| match n {
            Noticed::Leaks { until_ms, .. } => Some(*until_ms),
            _ => None,
        })?;
        Some(BroughtLeak {
            hold: h.id,
            stamp: h.started,
            wall_ms: h.started_ms,
            until_ms,
        })
    };
    Ok(holds.into_iter().filter_map(leaks).collect())
}

/// An enclosure's newest holds, the last first.
///
/// # Errors
/// What SQLite says.
pub fn load_holds(
    db: &Connection,
    rig: &str,
    enclosure: &str,
    most: u32,
) -> rusqlite::Result<Vec<HoldFacts>> {
    db.prepare_cached(&format!(
        "SELECT {HOLD} FROM hold WHERE rig = ?1 AND enclosure = ?2 ORDER BY started DESC LIMIT ?3"
    ))?
    .query_map(params![rig, enclosure, most], hold_of)?
    .collect()
}

/// All rechecks that rest on a hold, in the order of everything.
///
/// # Errors
/// What SQLite says.
pub fn load_rechecks(db: &Connection, hold: &str) -> rusqlite::Result<Vec<RecheckSeen>> {
    let rows: Vec<(Seen, String)> = db
        .prepare_cached(
            "SELECT stamp, wall_ms, author, body, event FROM recheck WHERE hold = ?1 ORDER BY stamp",
        )?
        .query_map([hold], |r| Ok((seen_of(r, 0)?, r.get(4)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let mut slips = db.prepare_cached(
        "SELECT stamp, wall_ms, author, reason, boot FROM recheck_slip WHERE event = ?1 \
         ORDER BY stamp",
    )?;
    let mut out = Vec::with_capacity(rows.len());
    for (seen, event) in rows {
        let Ok(fact) = serde_json::from_str(&seen.value) else {
            continue;
        };
        let mut recheck = RecheckSeen {
            event,
            seen,
            fact,
            slip: None,
        };
        if !out.iter().any(RecheckSeen::found_change) && !recheck.read_before(&out) {
            let said: Vec<(Seen, String)> = slips
                .query_map([&recheck.event], |r| Ok((seen_of(r, 0)?, r.get(4)?)))?
                .collect::<rusqlite::Result<_>>()?;
            recheck.slip = said.into_iter().find_map(|(s, boot)| {
                let boot = serde_json::from_str(&boot).ok().flatten();
                recheck.is_answered_by(&s, boot).then_some(s)
            });
        }
        out.push(recheck);
    }
    Ok(out)
}

/// A hold with the rig it belongs to.
///
/// # Errors
/// What SQLite says.
pub fn load_hold(db: &Connection, hold: &str) -> rusqlite::Result<Option<(String, HoldFacts)>> {
    db.prepare_cached(&format!("SELECT {HOLD}, rig FROM hold WHERE id = ?1"))?
        .query_row([hold], |r| Ok((r.get("rig")?, hold_of(r)?)))
        .optional()
}

/// A reading in the record.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingRow {
    /// Event reference.
    pub event: String,
    /// When, ms.
    pub wall_ms: i64,
    /// Who.
    pub author: String,
    /// The reading.
    pub reading: super::facts::ReadingFact,
    /// Set aside as mistyped.
    pub aside: bool,
}

/// The readings of a hold, in time order.
///
/// # Errors
/// What SQLite says.
pub fn load_readings(db: &Connection, hold: &str) -> rusqlite::Result<Vec<ReadingRow>> {
    let mut rows: Vec<ReadingRow> = db
        .prepare_cached(
            "SELECT r.event, r.wall_ms, r.author, r.body, a.event IS NOT NULL FROM reading r \
             LEFT JOIN reading_aside a ON a.hold = r.hold AND a.event = r.event \
             WHERE r.hold = ?1 ORDER BY r.stamp",
        )?
        .query_map([hold], |r| {
            let body: String = r.get(3)?;
            Ok(ReadingRow {
                event: r.get(0)?,
                wall_ms: r.get(1)?,
                author: r.get(2)?,
                reading: parsed(&body)?,
                aside: r.get(4)?,
            })
        })?
        .collect::<rusqlite::Result<_>>()?;
    rows.sort_by(|a, b| a.reading.t_s.total_cmp(&b.reading.t_s));
    Ok(rows)
}

/// The kinds of prep that govern: what two have to sign for hangs on them.
const GOVERNING: [ProcedureKind; 2] = [ProcedureKind::Build, ProcedureKind::Turnaround];

/// The build or turnaround that governs: the last of those that nobody who began another had heard of.
fn governing(of: &Sources<'_>, rig: &str) -> rusqlite::Result<Option<String>> {
    let heard = of.heard;
    let mut begun = last_preps(of, rig, &GOVERNING)?;
    begun.sort_by_key(|(_, seen)| std::cmp::Reverse(seen.stamp));
    let all = || begun.iter().map(|(_, seen)| &seen.stamp);
    let last = (begun.iter()).find(|(_, seen)| heard.is_last(&seen.stamp, all()));
    Ok(last.map(|(id, _)| id.clone()))
}

/// Preps that were begun and not ended, newest first, of the last twenty begun.
fn unfinished(db: &Connection, rig: &str) -> rusqlite::Result<Vec<Unfinished>> {
    db.prepare_cached(
        "SELECT p.id, p.title, p.started, p.kind <> 'flood' AND EXISTS (SELECT 1 FROM prep f \
         WHERE f.rig = ?1 AND f.kind = 'flood' AND f.started > p.started) FROM \
         (SELECT id, title, started, kind FROM prep WHERE rig = ?1 \
         ORDER BY started DESC LIMIT 20) p WHERE NOT EXISTS (SELECT 1 FROM mark m \
         WHERE m.rig = ?1 AND m.subject = 'prep/' || p.id AND m.key = 'ended') \
         ORDER BY p.started DESC",
    )?
    .query_map([rig], |r| {
        Ok(Unfinished {
            id: r.get(0)?,
            title: r.get(1)?,
            started: Stamp::from_bytes(&r.get::<_, Vec<u8>>(2)?),
            flooded: r.get(3)?,
        })
    })?
    .collect()
}

/// A prep with all that is known of its steps.
///
/// # Errors
/// What SQLite says.
pub fn load_prep(
    db: &Connection,
    heard: &Arc<Heard>,
    prep: &str,
) -> rusqlite::Result<Option<PrepFacts>> {
    let found = db
        .prepare_cached(
            "SELECT rig, procedure, title, kind, steps, started, started_ms, author FROM prep \
             WHERE id = ?1",
        )?
        .query_row([prep], |r| {
            let steps: String = r.get(4)?;
            let kind: String = r.get(3)?;
            Ok(PrepFacts {
                id: prep.to_owned(),
                rig: r.get(0)?,
                procedure: r.get(1)?,
                title: r.get(2)?,
                kind: ProcedureKind::from_word(&kind).unwrap_or(ProcedureKind::Build),
                steps: parsed(&steps)?,
                started: Stamp::from_bytes(&r.get::<_, Vec<u8>>(5)?),
                started_ms: r.get(6)?,
                author: r.get(7)?,
                holder: None,
                ended: None,
                done: HashMap::new(),
                heard: heard.clone().into(),
            })
        })
        .optional()?;
    let Some(mut facts) = found else {
        return Ok(None);
    };
    let own = At::Prep(prep).to_string();
    // Its own and those of its steps: '0' is what follows '/' among the characters.
    for ((subject, key), seen) in marks(db, &facts.rig, &own, &format!("{own}0"))?.0 {
        let step = match At::of_prep(&subject, prep) {
            Some(At::Prep(_)) => {
                match MarkKey::parse(&key) {
                    MarkKey::Ended => facts.ended = Some(seen.into_last()),
                    MarkKey::Holder => facts.holder = Some(seen.into_last()),
                    _ => {}
                }
                continue;
            }
            Some(At::Step(_, step)) => step,
            _ => continue,
        };
        let entry = facts.done.entry(step.to_owned()).or_default();
        match MarkKey::parse(&key) {
            MarkKey::Done => entry.done = Some(seen),
            MarkKey::Skipped => entry.skipped = Some(seen),
            MarkKey::Reopened => entry.reopened = Some(seen),
            MarkKey::Signed(_) => entry.signed.extend(seen.all().cloned()),
            MarkKey::Part(part) => {
                entry.parts.insert(part.to_owned(), seen);
            }
            _ => {}
        }
    }
    for step in facts.done.values_mut() {
        step.signed.sort_by_key(|s| s.stamp);
    }
    Ok(Some(facts))
}

/// So many rigs back a copy of a copy is followed.
const COPIES_FOLLOWED: usize = 8;

/// The open defects of the rigs that a rig was copied from, of what it still has. A copy's first definition says of
/// which.
fn of_sources(db: &Connection, rig: &str, def: &RigDef) -> rusqlite::Result<Vec<SourceDefect>> {
    let mut found = Vec::new();
    let elsewhere = db
        .prepare_cached("SELECT 1 FROM defect WHERE rig <> ?1 AND closed IS NULL")?
        .exists([rig])?;
    if !elsewhere {
        return Ok(found);
    }
    let mut copy = rig.to_owned();
    for _ in 0..COPIES_FOLLOWED {
        let first = store::first_of_subject(db, &copy, "rig_defined")?;
        let Some(Fact::RigDefined { from, .. }) = first.map(|e| fact_of(&e)) else {
            break;
        };
        let Some(source) = from.strip_prefix(COPY_OF) else {
            break;
        };
        let open: Vec<(String, SourceDefect)> = db
            .prepare_cached(
                "SELECT d.at, r.name, d.id, d.text FROM defect d JOIN rig r ON r.id = d.rig AND r.last \
                 WHERE d.rig = ?1 AND d.closed IS NULL ORDER BY d.opened",
            )?
            .query_map([source], |r| {
                let defect = SourceDefect {
                    rig: r.get(1)?,
                    defect: r.get(2)?,
                    text: r.get(3)?,
                };
                Ok((r.get(0)?, defect))
            })?
            .collect::<rusqlite::Result<_>>()?;
        let has = |at: &str| match At::parse(at) {
            At::Enclosure(id) => def.enclosure(id).is_some(),
            _ => true,
        };
        found.extend(open.into_iter().filter(|(at, _)| has(at)).map(|(_, d)| d));
        source.clone_into(&mut copy);
    }
    Ok(found)
}

/// The defects that stand: those not put right, and water that was called put right although what
/// it was found in was never opened in between.
fn open_defects(
    db: &Connection,
    heard: &Heard,
    rig: &str,
    enclosures: &[EnclosureFacts],
) -> rusqlite::Result<Vec<DefectFacts>> {
    let all: Vec<(DefectFacts, bool)> = db
        .prepare_cached(
            "SELECT id, at, blocks, water, text, opened, opened_ms, author, closed IS NOT NULL \
             FROM defect WHERE rig = ?1 AND closed IS NULL UNION ALL \
             SELECT id, at, blocks, water, text, opened, opened_ms, author, closed IS NOT NULL \
             FROM defect WHERE rig = ?1 AND water AND closed IS NOT NULL ORDER BY opened",
        )?
        .query_map([rig], |r| {
            let defect = DefectFacts {
                id: r.get(0)?,
                at: r.get(1)?,
                blocks: r.get(2)?,
                water: r.get(3)?,
                text: r.get(4)?,
                opened: Stamp::from_bytes(&r.get::<_, Vec<u8>>(5)?),
                opened_ms: r.get(6)?,
                author: r.get(7)?,
            };
            Ok((defect, r.get(8)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let mut standing = Vec::new();
    for (defect, closed) in all {
        if !closed || !dried(db, heard, rig, enclosures, &defect)? {
            standing.push(defect);
        }
    }
    Ok(standing)
}

/// Whether one of those who called a defect with water put right knew that all that it may have been in
/// was opened since it was found.
fn dried(
    db: &Connection,
    heard: &Heard,
    rig: &str,
    enclosures: &[EnclosureFacts],
    defect: &DefectFacts,
) -> rusqlite::Result<bool> {
    let closings: Vec<Stamp> = db
        .prepare_cached("SELECT stamp FROM closing WHERE defect = ?1 ORDER BY stamp DESC")?
        .query_map([&defect.id], |r| {
            Ok(Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    for closed in closings {
        let mut looked = true;
        for enclosure in wet(heard, enclosures, defect) {
            looked &= opened_between(db, heard, rig, &enclosure.id, [defect.opened, closed])?;
        }
        if looked {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Whether an enclosure was opened by somebody who knew of the first, and who was heard by whoever wrote
/// the second.
fn opened_between(
    db: &Connection,
    heard: &Heard,
    rig: &str,
    enclosure: &str,
    [first, second]: [Stamp; 2],
) -> rusqlite::Result<bool> {
    let mut statement = db.prepare_cached(
        "SELECT stamp FROM opening WHERE rig = ?1 AND enclosure = ?2 ORDER BY stamp DESC",
    )?;
    let mut rows = statement.query(params![rig, enclosure])?;
    while let Some(r) = rows.next()? {
        let opened = Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?);
        if heard.after(&opened, &first) && heard.after(&second, &opened) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// What the crew chose last: one word, unless phones that had not heard of each other chose apart.
fn choices(db: &Connection, heard: &Heard, choice: &str) -> rusqlite::Result<Vec<(Stamp, String)>> {
    let all: Vec<(Stamp, String)> = db
        .prepare_cached("SELECT stamp, value FROM choice WHERE choice = ?1")?
        .query_map([choice], |r| {
            Ok((Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?), r.get(1)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let stamps = || all.iter().map(|(stamp, _)| stamp);
    let last = all
        .iter()
        .filter(|(stamp, _)| heard.is_last(stamp, stamps()));
    Ok(last.cloned().collect())
}

/// Stands before the crew's choices that are errors of its instruments, 1 sd.
const ERRORS: &str = "sd_";

/// The crew's choices. Of errors of its instruments that were said apart the largest counts; one that
/// somebody took back is as large as is common. Of other choices the last said, which are judged where it matters.
///
/// # Errors
/// What SQLite says.
pub fn crew_choices(db: &Connection, heard: &Heard) -> rusqlite::Result<HashMap<String, String>> {
    let mut chosen: HashMap<String, String> = db
        .prepare_cached("SELECT choice, value FROM choice WHERE last")?
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let apart: Vec<String> = db
        .prepare_cached("SELECT choice FROM choice GROUP BY choice HAVING count(*) > 1")?
        .query_map([], |r| r.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    for choice in apart.into_iter().filter(|c| c.starts_with(ERRORS)) {
        // One that was taken back is as large as is common.
        let common = hold::common_error(choice.strip_prefix(ERRORS).unwrap_or_default());
        let error = |value: &str| value.parse::<f64>().unwrap_or(common);
        let said = choices(db, heard, &choice)?.into_iter();
        let largest = said.max_by(|a, b| error(&a.1).total_cmp(&error(&b.1)));
        if let Some((_, value)) = largest {
            chosen.insert(choice, value);
        }
    }
    Ok(chosen)
}

/// The crew's gauges, by id. Where one was entered apart on two phones it is no finer and no truer than
/// either says.
///
/// # Errors
/// What SQLite says.
pub fn load_gauges(db: &Connection, heard: &Heard) -> rusqlite::Result<Vec<(String, Gauge)>> {
    let mut gauges = Vec::new();
    for (at, key, told) in marks_of(db, CREW, Kind::Gauge)?.iter() {
        let (At::Gauge(id), MarkKey::Defined) = (at, key) else {
            continue;
        };
        let Ok(mut gauge) = serde_json::from_str::<Gauge>(&told.value) else {
            continue;
        };
        let all = || told.all().map(|seen| &seen.stamp);
        for apart in told.all().filter(|seen| heard.is_last(&seen.stamp, all())) {
            let Ok(other) = serde_json::from_str::<Gauge>(&apart.value) else {
                continue;
            };
            gauge.resolution_pa = gauge.resolution_pa.max(other.resolution_pa);
            let accuracies = gauge.accuracy_pa.zip(other.accuracy_pa);
            gauge.accuracy_pa = accuracies.map(|(a, b)| a.max(b));
            gauge.retired |= other.retired;
        }
        gauges.push((id.to_owned(), gauge));
    }
    Ok(gauges)
}

fn parsed<T: serde::de::DeserializeOwned>(text: &str) -> rusqlite::Result<T> {
    serde_json::from_str(text).map_err(|e| {
        rusqlite::Error::FromSqlConversionFailure(0, rusqlite::types::Type::Text, e.into())
    })
}
