//! What is known of a rig now, read from the tables of the fold. Plain data: [`super::readiness`]
//! judges it without a store, and tests build it by hand.

use rusqlite::{Connection, OptionalExtension, params};
use std::collections::HashMap;

use super::crew::{ALONE, CrewFacts, Known, SIGNED_WITH, SignedWith};
use super::facts::{
    HoldResult, HoldSetup, HungFact, Loss, RecheckFact, RingLot, Shoot, TrimFact, VerdictFact,
    WaterFact, WaterSeen, WeightFact,
};
use super::fold::{
    FAULTY, FittedMark, IMPORTED, JOINED, LOOK, LOOKED_AGAIN, LOSS_SIGNED, TOOK_AWAY,
    UNREAD_ANSWERED,
};
use super::procedure::{ProcedureKind, StepInstance};
use super::rig::{Enclosure, RigDef};
use super::rules::{reopen_void, wet};
use crate::journal::{BootTime, Stamp};

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

/// What is known of an enclosure.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct EnclosureFacts {
    /// Its id.
    pub id: String,
    /// Last opened; the value is the closure.
    pub opened: Option<Seen>,
    /// Last opened by each closure, by its id; under an empty one where it wasn't known which.
    pub openings: Vec<(String, Seen)>,
    /// Last closed.
    pub closed: Option<Seen>,
    /// Plug last fitted.
    pub plug_on: Option<Seen>,
    /// Plug last taken off.
    pub plug_off: Option<Seen>,
    /// Last looked over after what may have harmed it; the value is what was seen.
    pub inspected: Option<Seen>,
    /// The last dive below its rating since it came onto the rig.
    pub too_deep: Option<DeepDive>,
    /// An edit brought it onto the rig; none where it was there from the beginning.
    pub added: Option<Seen>,
    /// Its holds that may matter: the last by start, and any that overlaps it.
    pub holds: Vec<HoldFacts>,
    /// Last recheck: when, and what.
    pub recheck: Option<(Seen, RecheckFact)>,
    /// Who looked at the plug a second time, the newest of each member, oldest first.
    pub plug_looks: Vec<Seen>,
    /// All rechecks that rest on the last hold, in the order of everything.
    pub rechecks: Vec<RecheckSeen>,
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

impl RecheckSeen {
    /// Whether it found a change.
    pub fn found_change(&self) -> bool {
        self.fact.verdict == VerdictFact::Leaking
    }

    /// Whether it found a change, and nobody said at once that it was mistyped.
    pub fn stands_changed(&self) -> bool {
        self.found_change() && self.slip.is_none()
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
    pub serviced: Option<Seen>,
    /// Since when the ring in it is there; none where not known.
    pub fitted: Option<Fitted>,
    /// A new ring was last put in, recorded when it was done.
    pub renewed: Option<Seen>,
    /// A ring that must not go back was last found in it, and nobody who looked again found
    /// otherwise; the value is the finding.
    pub faulty: Option<Seen>,
    /// Event references of all such findings, the newest first.
    pub findings: Vec<String>,
    /// Last time that a bad ring was seen in it, or looked at again, whatever came of it.
    pub looked_at: Option<Stamp>,
    /// Openings that disturbed it since it was fitted (or ever, where that isn't known).
    pub openings: u32,
    /// Dives in salt water since then, likewise.
    pub dives: u32,
    /// Last time that an opening disturbed it.
    pub disturbed: Option<Seen>,
}

/// Since when a ring is in its seal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fitted {
    /// When, ms since 1970 UTC.
    pub ms: i64,
    /// Where that was recorded in the order of everything.
    pub said: Stamp,
    /// The date was said later, for a ring that was in use already.
    pub dated: bool,
    /// From which pack, or empty.
    pub pack: String,
    /// Its cure date as printed, or empty.
    pub cured: String,
}

impl SealFacts {
    /// When the ring was fitted, ms since 1970; none where not known.
    pub fn fitted_ms(&self) -> Option<i64> {
        self.fitted.as_ref().map(|f| f.ms)
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
    pub works: Option<Seen>,
    /// Last test that it failed.
    pub fails: Option<Seen>,
    /// Last time that an edit gave it another function or place.
    pub changed: Option<Seen>,
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

/// What is known of a step of a prep.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StepFacts {
    /// Last done; the value is what was measured.
    pub done: Option<Seen>,
    /// Last skipped; the value is the reason.
    pub skipped: Option<Seen>,
    /// Last opened again.
    pub reopened: Option<Seen>,
    /// Who signed, by member id.
    pub signed: Vec<Seen>,
    /// Parts confirmed or taken back, by key.
    pub parts: HashMap<String, Seen>,
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
    /// The newest of done, skipped and reopened decides.
    pub fn state(&self) -> StepState {
        let at = |s: &Option<Seen>| s.as_ref().map_or(Stamp::NEVER, |s| s.stamp);
        let (done, skipped, reopened) = (at(&self.done), at(&self.skipped), at(&self.reopened));
        if done > skipped && done > reopened {
            StepState::Done
        } else if skipped > done && skipped > reopened {
            StepState::Skipped
        } else {
            StepState::Open
        }
    }
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
}

impl PrepFacts {
    /// What is known of a step; nothing for one that wasn't touched.
    pub fn step(&self, key: &str) -> StepFacts {
        self.done.get(key).cloned().unwrap_or_default()
    }

    /// Where a step stands.
    pub fn state(&self, key: &str) -> StepState {
        self.done.get(key).map_or(StepState::Open, StepFacts::state)
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
    pub inspected: Option<Seen>,
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
    pub walked: Option<Seen>,
    /// Who walked round a second time, the newest of each member, oldest first.
    pub walk_looks: Vec<Seen>,
    /// Who is who.
    pub crew: CrewFacts,
    /// Other preps that have not ended, newest first.
    pub unfinished: Vec<Unfinished>,
    /// Events about the rig that can't be read here, oldest first.
    pub unread: Vec<UnreadFacts>,
    /// How many events about the crew can't be read here.
    pub unread_of_crew: usize,
    /// What edits took away, oldest first.
    pub losses: Vec<LossFacts>,
    /// Faults on what edits took away, by what they are of.
    pub gone: Vec<GoneFault>,
    /// When the last build was begun.
    pub built: Option<Stamp>,
    /// Last time it was in the water.
    pub dived: Option<Seen>,
    /// Last time that work was begun which follows a dive: a turnaround, care after it, a flood.
    pub surfaced: Option<Seen>,
    /// How long a recheck counts, ms.
    pub recheck_limit_ms: i64,
    /// The shoot planned.
    pub shoot: Option<Shoot>,
    /// What is known of its trim.
    pub trim: TrimFacts,
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
    /// What is known of an enclosure.
    pub fn enclosure(&self, id: &str) -> Option<&EnclosureFacts> {
        self.enclosures.iter().find(|e| e.id == id)
    }

    /// What is known of a seal.
    pub fn seal(&self, id: &str) -> Option<&SealFacts> {
        self.seals.iter().find(|s| s.id == id)
    }

    /// What is known of a control.
    pub fn control(&self, id: &str) -> Option<&ControlFacts> {
        self.controls.iter().find(|c| c.id == id)
    }
}

type Marks = HashMap<(String, String), Seen>;

fn seen_of(r: &rusqlite::Row<'_>, at: usize) -> rusqlite::Result<Seen> {
    Ok(Seen {
        stamp: Stamp::from_bytes(&r.get::<_, Vec<u8>>(at)?),
        wall_ms: r.get(at + 1)?,
        author: r.get(at + 2)?,
        value: r.get(at + 3)?,
    })
}

fn marks(db: &Connection, rig: &str, from: &str, to: &str) -> rusqlite::Result<Marks> {
    db.prepare_cached(
        "SELECT subject, key, stamp, wall_ms, author, value FROM mark \
         WHERE rig = ?1 AND subject >= ?2 AND subject < ?3",
    )?
    .query_map([rig, from, to], |r| {
        Ok(((r.get(0)?, r.get(1)?), seen_of(r, 2)?))
    })?
    .collect()
}

/// Reads all that is known of a rig; `None` if there is no such rig. Its cost depends on the rig,
/// not on how much history it has.
///
/// # Errors
/// What SQLite says.
pub fn load(db: &Connection, rig: &str) -> rusqlite::Result<Option<RigFacts>> {
    let def: Option<String> = db
        .prepare_cached("SELECT def FROM rig WHERE id = ?1")?
        .query_row([rig], |r| r.get(0))
        .optional()?;
    let Some(def) = def else { return Ok(None) };
    let def: RigDef = parsed(&def)?;
    // All marks but those of preps, of which there may be thousands.
    let mut marks_of = marks(db, rig, "", "prep/")?;
    marks_of.extend(marks(db, rig, "prep0", "\u{10ffff}")?);
    let mut found = standing_findings(&marks_of);
    let mut looks = looks(&marks_of);
    let mut take = |subject: String, key: &str| marks_of.remove(&(subject, key.to_owned()));

    let mut enclosures = Vec::new();
    let mut closure_openings: HashMap<(String, String), Seen> = HashMap::new();
    for e in &def.enclosures {
        let at = || format!("enclosure/{}", e.id);
        let recheck = take(at(), "rechecked")
            .and_then(|seen| Some((seen.clone(), serde_json::from_str(&seen.value).ok()?)));
        let opened = take(at(), "opened");
        let added = take(at(), "changed");
        let mut openings: Vec<(String, Seen)> = Vec::new();
        let closures = e.closures.iter().map(|c| c.id.as_str());
        // The last one may have been by a closure that an edit has taken away since.
        let last = opened.as_ref().map(|seen| seen.value.clone());
        for closure in closures.chain([""]).chain(last.as_deref()) {
            if let Some(seen) = take(format!("closure/{}/{closure}", e.id), "opened") {
                closure_openings.insert((e.id.clone(), closure.to_owned()), seen.clone());
                openings.push((closure.to_owned(), seen));
            }
        }
        let holds = last_holds(db, rig, &e.id)?;
        let rechecks = match holds.first() {
            Some(last) => load_rechecks(db, &last.id)?,
            None => Vec::new(),
        };
        enclosures.push(EnclosureFacts {
            id: e.id.clone(),
            opened,
            openings,
            closed: take(at(), "closed"),
            plug_on: take(at(), "plug_on"),
            plug_off: take(at(), "plug_off"),
            inspected: take(at(), "inspected"),
            too_deep: too_deep(db, rig, e, added.as_ref())?,
            added,
            holds,
            recheck,
            rechecks,
            plug_looks: looks.remove(&at()).unwrap_or_default(),
        });
    }
    let mut seals = Vec::new();
    for s in &def.seals {
        let at = || format!("seal/{}", s.id);
        let fitted = take(at(), "fitted").and_then(|seen| {
            let said: FittedMark = serde_json::from_str(&seen.value).ok()?;
            Some(Fitted {
                ms: said.ms,
                said: seen.stamp,
                dated: said.dated,
                pack: said.pack,
                cured: said.cured,
            })
        });
        let renewed = take(at(), "renewed");
        let since = match &fitted {
            // A date said later brings in what was before it, and forgets nothing of what is on record:
            // only a ring that was put in does.
            Some(f) if f.dated => {
                let put_in = renewed.as_ref().map_or(Stamp::NEVER, |r| r.stamp);
                Stamp::of_ms(f.ms).min(put_in)
            }
            Some(f) => f.said,
            None => Stamp::NEVER,
        };
        let (looked_at, findings) = found.remove(&at()).unwrap_or_default();
        let changed = take(at(), "changed");
        let at_closure = |c: &str| closure_openings.get(&(s.enclosure.clone(), c.to_owned()));
        let disturbed = [at_closure(""), s.closure.as_deref().and_then(at_closure)]
            .into_iter()
            .flatten()
            .chain(changed.as_ref())
            .max_by_key(|seen| seen.stamp)
            .cloned();
        seals.push(SealFacts {
            id: s.id.clone(),
            serviced: take(at(), "serviced"),
            renewed,
            faulty: findings.first().map(|(_, seen)| seen.clone()),
            looked_at,
            findings: findings
                .into_iter()
                .map(|(reference, _)| reference)
                .collect(),
            fitted,
            dives: salt_dives_since(db, rig, since)?,
            openings: openings_since(db, rig, s, since)?,
            disturbed,
        });
    }
    let controls: Vec<ControlFacts> = def
        .controls
        .iter()
        .map(|c| ControlFacts {
            id: c.id.clone(),
            works: take(format!("control/{}", c.id), "works"),
            fails: take(format!("control/{}", c.id), "fails"),
            changed: take(format!("control/{}", c.id), "changed"),
        })
        .collect();
    let shoot = take("rig".into(), "shoot").and_then(|seen| serde_json::from_str(&seen.value).ok());
    let mut trim = TrimFacts {
        water: take("rig".into(), "water")
            .and_then(|seen| Some((seen.clone(), serde_json::from_str(&seen.value).ok()?))),
        trimmed: take("rig".into(), "trimmed")
            .and_then(|seen| Some((seen.clone(), serde_json::from_str(&seen.value).ok()?))),
        seen: seen_in_water(db, rig)?,
        ..TrimFacts::default()
    };
    for p in &def.parts {
        if let Some(seen) = take(format!("part/{}", p.id), "changed") {
            trim.changed.insert(p.id.clone(), seen);
        }
    }
    let retired = take("rig".into(), "retired").is_some_and(|s| s.value == "yes");
    let dived = take("rig".into(), "dived");
    let walked = take("rig".into(), "walked");
    trim.hung = hung_now(&marks_of);
    let preps = unfinished(db, rig)?;
    let governing = governing(db, rig)?;
    let prep = match &governing {
        Some(id) => load_prep(db, id)?,
        None => None,
    };
    let recheck_limit_ms = recheck_limit_ms(choice(db, RECHECK_LIMIT)?.as_deref());
    let defects = open_defects(db, rig, &enclosures)?;
    let mut losses = losses_of(&marks_of, false);
    losses.extend(losses_of(&marks(db, "crew", "rig", "rig0")?, true));
    losses.sort_by_key(|l| l.seen.stamp);
    let unread = unread_of(db, rig, &marks_of)?;
    let unread_of_crew: i64 = db
        .prepare_cached("SELECT count(*) FROM unread WHERE root IN ('crew', 'procedure')")?
        .query_row([], |r| r.get(0))?;
    let unread_of_crew = unread_of_crew as usize;
    let gone = gone_faults(db, rig, &def, &marks_of, found, &controls)?;
    let mut facts = RigFacts {
        id: rig.to_owned(),
        retired,
        enclosures,
        seals,
        controls,
        defects,
        surfaced: surfaced(db, rig)?,
        unfinished: preps
            .into_iter()
            .filter(|u| Some(&u.id) != governing.as_ref())
            .collect(),
        earlier: match &prep {
            Some(prep) => earlier(db, rig, prep)?,
            None => Vec::new(),
        },
        prep,
        walked,
        walk_looks: looks.remove("rig").unwrap_or_default(),
        crew: load_crew(db)?,
        dived,
        recheck_limit_ms,
        shoot,
        trim,
        losses,
        gone,
        unread,
        unread_of_crew,
        built: last_build(db, rig)?,
        def,
    };
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

/// Second looks, by what was looked at, oldest first.
fn looks(marks: &Marks) -> HashMap<String, Vec<Seen>> {
    let mut all: HashMap<String, Vec<Seen>> = HashMap::new();
    for ((subject, key), seen) in marks {
        if key.starts_with(LOOK) {
            all.entry(subject.clone()).or_default().push(seen.clone());
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
    let marks = marks(db, "crew", "", "\u{10ffff}")?;
    let retired = |id: &str| {
        marks
            .get(&(format!("{id}/"), "retired".to_owned()))
            .is_some_and(|s| s.value == "yes")
    };
    let members = db
        .prepare_cached("SELECT id, name, role FROM member ORDER BY id")?
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
        .keys()
        .filter_map(|(subject, key)| {
            let other = key.strip_prefix(JOINED)?;
            Some((subject.trim_end_matches('/').to_owned(), other.to_owned()))
        })
        .collect();
    joined.sort();
    Ok((members, joined))
}

/// Who is who, and what the crew asks of a signature.
///
/// # Errors
/// What SQLite says.
pub fn load_crew(db: &Connection) -> rusqlite::Result<CrewFacts> {
    let (members, joined) = load_members(db)?;
    let members: Vec<Known> = members.into_iter().map(|(known, _)| known).collect();
    let phones = marks(db, "crew", "phone/", "phone0")?
        .into_iter()
        .filter_map(|((subject, _), seen)| {
            let device = subject.strip_prefix("phone/")?;
            let key = data_encoding::HEXLOWER.decode(device.as_bytes()).ok()?;
            Some((key.get(..8)?.try_into().ok()?, seen.value))
        })
        .collect();
    let asks = choice(db, SIGNED_WITH)?.unwrap_or_default();
    let alone = choice(db, ALONE)?.is_some_and(|v| v == "yes");
    Ok(CrewFacts::of(
        &members,
        &joined,
        phones,
        alone,
        SignedWith::of(&asks),
    ))
}

/// The last build and the turnarounds since, but for the one that governs, newest first; of several
/// with the same steps the last, which covers the others. Without a build there are none.
fn earlier(db: &Connection, rig: &str, governing: &PrepFacts) -> rusqlite::Result<Vec<PrepFacts>> {
    if governing.kind == ProcedureKind::Build {
        return Ok(Vec::new());
    }
    let mut statement = db.prepare_cached(
        "SELECT id, steps FROM prep WHERE rig = ?1 AND kind IN ('build', 'turnaround') \
         AND started >= (SELECT max(started) FROM prep WHERE rig = ?1 AND kind = 'build') \
         ORDER BY started DESC",
    )?;
    let mut rows = statement.query([rig])?;
    let mut known: Vec<String> = Vec::new();
    let mut ids: Vec<String> = Vec::new();
    while let Some(row) = rows.next()? {
        let steps = row.get_ref(1)?.as_str().unwrap_or_default();
        if !known.iter().any(|k| k == steps) {
            known.push(steps.to_owned());
            ids.push(row.get(0)?);
        }
    }
    let mut preps = Vec::new();
    for id in ids.iter().filter(|id| **id != governing.id) {
        preps.extend(load_prep(db, id)?);
    }
    Ok(preps)
}

fn unread_of(db: &Connection, rig: &str, marks: &Marks) -> rusqlite::Result<Vec<UnreadFacts>> {
    let mut unread: Vec<UnreadFacts> = db
        .prepare_cached(
            "SELECT event, kind, wall_ms, author FROM unread WHERE root = ?1 ORDER BY stamp",
        )?
        .query_map([rig], |r| {
            Ok(UnreadFacts {
                event: r.get(0)?,
                kind: r.get(1)?,
                wall_ms: r.get(2)?,
                author: r.get(3)?,
            })
        })?
        .collect::<rusqlite::Result<_>>()?;
    unread.retain(|u| {
        let answer = ("rig".to_owned(), format!("{UNREAD_ANSWERED}{}", u.event));
        !marks.contains_key(&answer)
    });
    Ok(unread)
}

fn losses_of(marks: &Marks, of_crew: bool) -> Vec<LossFacts> {
    let mut losses: Vec<LossFacts> = marks
        .iter()
        .filter_map(|((subject, key), seen)| {
            let event = key.strip_prefix(TOOK_AWAY).filter(|_| subject == "rig")?;
            let by = format!("{LOSS_SIGNED}{event}:");
            let mut signed: Vec<Seen> = marks
                .iter()
                .filter(|((subject, key), _)| subject == "rig" && key.starts_with(&by))
                .map(|(_, seen)| seen.clone())
                .collect();
            signed.sort_by_key(|s| s.stamp);
            Some(LossFacts {
                event: event.to_owned(),
                of_crew,
                what: serde_json::from_str(&seen.value).ok()?,
                seen: seen.clone(),
                signed,
            })
        })
        .collect();
    losses.sort_by_key(|l| l.seen.stamp);
    losses
}

/// The faults on what is no longer on the rig: rings found bad that no new one answered, controls
/// that failed last, enclosures that leaked last. Of what is on the rig still, a control that is no
/// longer used.
fn gone_faults(
    db: &Connection,
    rig: &str,
    def: &RigDef,
    marks: &Marks,
    found: HashMap<String, Findings>,
    controls: &[ControlFacts],
) -> rusqlite::Result<Vec<GoneFault>> {
    let mark = |at: &str, key: &str| marks.get(&(at.to_owned(), key.to_owned())).cloned();
    let mut faults: Vec<(String, Seen)> = Vec::new();
    for (at, (_, findings)) in found {
        let renewed = mark(&at, "renewed").map_or(Stamp::NEVER, |s| s.stamp);
        if let Some((_, seen)) = findings.into_iter().find(|(_, f)| f.stamp > renewed) {
            faults.push((at, seen));
        }
    }
    let dead = |fails: &Option<Seen>, works: &Option<Seen>| {
        let works = works.as_ref().map_or(Stamp::NEVER, |s| s.stamp);
        fails.clone().filter(|f| f.stamp > works)
    };
    for (at, key) in marks.keys() {
        if key == "fails"
            && at.starts_with("control/")
            && let Some(seen) = dead(&mark(at, "fails"), &mark(at, "works"))
        {
            faults.push((at.clone(), seen));
        }
    }
    for (c, facts) in def.controls.iter().zip(controls) {
        if !c.assigned()
            && let Some(seen) = dead(&facts.fails, &facts.works)
        {
            faults.push((format!("control/{}", c.id), seen));
        }
    }
    let leaked: Vec<String> = db
        .prepare_cached("SELECT DISTINCT enclosure FROM hold WHERE rig = ?1 AND leaking")?
        .query_map([rig], |r| r.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    for enclosure in leaked {
        if def.enclosure(&enclosure).is_some() || enclosure.ends_with(IMPORTED) {
            continue;
        }
        let at = format!("enclosure/{enclosure}");
        let opened = mark(&at, "opened").map_or(Stamp::NEVER, |s| s.stamp);
        if let Some(hold) = last_holds(db, rig, &enclosure)?.into_iter().next()
            && let Some((stamp, wall_ms, result)) = hold.concluded
            && result.verdict == VerdictFact::Leaking
            && stamp > opened
        {
            let seen = Seen {
                stamp,
                wall_ms,
                author: hold.author,
                value: String::new(),
            };
            faults.push((at, seen));
        }
    }
    let mut gone: Vec<GoneFault> = faults
        .into_iter()
        .map(|(at, seen)| GoneFault {
            inspected: mark(&at, "inspected"),
            at,
            seen,
        })
        .collect();
    gone.sort_by(|a, b| a.at.cmp(&b.at));
    Ok(gone)
}

fn last_build(db: &Connection, rig: &str) -> rusqlite::Result<Option<Stamp>> {
    db.prepare_cached(
        "SELECT started FROM prep WHERE rig = ?1 AND kind = 'build' ORDER BY started DESC LIMIT 1",
    )?
    .query_row([rig], |r| Ok(Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?)))
    .optional()
}

/// What hangs, in the order of points and sizes.
fn hung_now(marks: &Marks) -> Vec<HungFact> {
    let mut hung: Vec<HungFact> = marks
        .iter()
        .filter_map(|((subject, key), seen)| {
            let point = subject.strip_prefix("point/")?;
            key.strip_prefix("hung:")?;
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
    db: &Connection,
    rig: &str,
    seal: &super::rig::Seal,
    since: Stamp,
) -> rusqlite::Result<u32> {
    let count: i64 = db
        .prepare_cached(
            "SELECT count(*) FROM (SELECT 1 FROM opening WHERE rig = ?1 AND enclosure = ?2 \
             AND closure IS NULL AND stamp > ?3 UNION ALL SELECT 1 FROM opening WHERE rig = ?1 \
             AND enclosure = ?2 AND closure = ?4 AND stamp > ?3 LIMIT 1000)",
        )?
        .query_row(
            params![rig, seal.enclosure, &since.0[..], seal.closure],
            |r| r.get(0),
        )?;
    Ok(count as u32)
}

/// What was found on the rings of a seal: when one was last looked at, and the findings that nobody
/// who looked again answered, the newest first, with their event references.
type Findings = (Option<Stamp>, Vec<(String, Seen)>);

fn standing_findings(marks: &Marks) -> HashMap<String, Findings> {
    let mut all: HashMap<String, Findings> = HashMap::new();
    for ((subject, key), seen) in marks {
        let finding = key.strip_prefix(FAULTY);
        if finding.is_none() && !key.starts_with(LOOKED_AGAIN) {
            continue;
        }
        let of = all.entry(subject.clone()).or_default();
        of.0 = of.0.max(Some(seen.stamp));
        let Some(reference) = finding else { continue };
        let answer = (subject.clone(), format!("{LOOKED_AGAIN}{reference}"));
        if !marks.contains_key(&answer) {
            of.1.push((reference.to_owned(), seen.clone()));
        }
    }
    for (_, of) in all.values_mut() {
        of.sort_by_key(|(_, seen)| std::cmp::Reverse(seen.stamp));
    }
    all
}

/// The last dive below an enclosure's rating since it came onto the rig. Most were within the least
/// that it was ever rated to, and need no look at what the rating was then.
fn too_deep(
    db: &Connection,
    rig: &str,
    def: &Enclosure,
    added: Option<&Seen>,
) -> rusqlite::Result<Option<DeepDive>> {
    let since = added.map_or(Stamp::NEVER, |a| a.stamp);
    db.prepare_cached(
        "SELECT stamp, wall_ms, depth_m, rated_m FROM (SELECT d.stamp, d.wall_ms, d.depth_m, \
         min(?2, coalesce((SELECT r.rated_m FROM rating r WHERE r.rig = ?1 AND r.enclosure = ?4 \
         AND r.stamp < d.stamp ORDER BY r.stamp DESC LIMIT 1), ?2)) AS rated_m FROM dive d \
         WHERE d.rig = ?1 AND d.stamp > ?3 AND d.depth_m > min(?2, coalesce((SELECT \
         min(rated_m) FROM rating WHERE rig = ?1 AND enclosure = ?4), ?2))) \
         WHERE depth_m > rated_m ORDER BY stamp DESC LIMIT 1",
    )?
    .query_row(
        params![rig, def.depth_rating_m, &since.0[..], def.id],
        |r| {
            Ok(DeepDive {
                seen: Seen {
                    stamp: Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?),
                    wall_ms: r.get(1)?,
                    author: String::new(),
                    value: String::new(),
                },
                depth_m: r.get(2)?,
                rated_m: r.get(3)?,
            })
        },
    )
    .optional()
}

/// When the last prep began that follows a dive.
fn surfaced(db: &Connection, rig: &str) -> rusqlite::Result<Option<Seen>> {
    db.prepare_cached(
        "SELECT started, started_ms, author FROM prep WHERE rig = ?1 \
         AND kind IN ('turnaround', 'after_dive', 'flood') ORDER BY started DESC LIMIT 1",
    )?
    .query_row([rig], |r| {
        Ok(Seen {
            stamp: Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?),
            wall_ms: r.get(1)?,
            author: r.get(2)?,
            value: String::new(),
        })
    })
    .optional()
}

/// Counts the dives in salt water after `since`, up to ten thousand.
fn salt_dives_since(db: &Connection, rig: &str, since: Stamp) -> rusqlite::Result<u32> {
    let count: i64 = db
        .prepare_cached(
            "SELECT count(*) FROM (SELECT 1 FROM dive WHERE rig = ?1 AND salt AND stamp > ?2 \
             LIMIT 10000)",
        )?
        .query_row(params![rig, &since.0[..]], |r| r.get(0))?;
    Ok(count as u32)
}

/// The rings in the crew's box, by size as written, then by cure date and pack.
///
/// # Errors
/// What SQLite says.
pub fn load_box(db: &Connection) -> rusqlite::Result<Vec<BoxLot>> {
    let mut lots: Vec<BoxLot> = db
        .prepare_cached(
            "SELECT substr(subject, 5), value FROM mark WHERE rig = 'crew' \
             AND subject >= 'box/' AND subject < 'box0' AND key = 'lot'",
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
        lot.count = count_of(db, &lot.id)?;
    }
    lots.sort_by(|a, b| {
        let key = |l: &BoxLot| (l.lot.size.clone(), l.lot.cured.clone(), l.lot.pack.clone());
        key(a).cmp(&key(b)).then_with(|| a.id.cmp(&b.id))
    });
    Ok(lots)
}

/// The last count of a lot, and what went in and out after it.
fn count_of(db: &Connection, lot: &str) -> rusqlite::Result<i64> {
    db.prepare_cached(
        "WITH last AS (SELECT stamp, counted FROM stock WHERE lot = ?1 AND counted IS NOT NULL \
         ORDER BY stamp DESC LIMIT 1) \
         SELECT coalesce((SELECT counted FROM last), 0) + coalesce((SELECT sum(delta) FROM stock \
         WHERE lot = ?1 AND stamp > coalesce((SELECT stamp FROM last), x'')), 0)",
    )?
    .query_row([lot], |r| r.get(0))
}

const HOLD: &str = "id, enclosure, started, started_ms, author, setup, concluded, concluded_ms, \
                    result, abandoned, reason, \
                    (SELECT count(*) FROM reading r WHERE r.hold = hold.id) \
                    + (SELECT count(*) FROM reading_aside a WHERE a.hold = hold.id), \
                    EXISTS (SELECT 1 FROM mark m WHERE m.rig = hold.rig \
                    AND m.subject = 'hold/' || hold.id AND m.key = 'unlikely')";

fn hold_of(r: &rusqlite::Row<'_>) -> rusqlite::Result<HoldFacts> {
    let setup: HoldSetup = parsed(&r.get::<_, String>(5)?)?;
    let unlikely = r.get::<_, bool>(12)? || setup.confirmed;
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
        abandoned: if abandoned.is_some() {
            Some(r.get::<_, Option<String>>(10)?.unwrap_or_default())
        } else {
            None
        },
        entries: r.get(11)?,
        unlikely,
    })
}

/// The last holds of an enclosure, newest first, and every older one that found a leak while the
/// newest ran or later: the worse news stands however many came since.
fn last_holds(db: &Connection, rig: &str, enclosure: &str) -> rusqlite::Result<Vec<HoldFacts>> {
    let mut holds: Vec<HoldFacts> = db
        .prepare_cached(&format!(
            "SELECT {HOLD} FROM hold WHERE rig = ?1 AND enclosure = ?2 ORDER BY started DESC LIMIT 2"
        ))?
        .query_map([rig, enclosure], hold_of)?
        .collect::<rusqlite::Result<_>>()?;
    let Some(newest) = holds.first().map(|h| h.started) else {
        return Ok(holds);
    };
    let leaking: Vec<HoldFacts> = db
        .prepare_cached(&format!(
            "SELECT {HOLD} FROM hold WHERE rig = ?1 AND enclosure = ?2 AND leaking \
             AND concluded > ?3 ORDER BY started DESC"
        ))?
        .query_map(params![rig, enclosure, &newest.0[..]], hold_of)?
        .collect::<rusqlite::Result<_>>()?;
    for hold in leaking {
        if !holds.iter().any(|h| h.id == hold.id) {
            holds.push(hold);
        }
    }
    Ok(holds)
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
        if !out.iter().any(RecheckSeen::found_change) {
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
        .query_row([hold], |r| Ok((r.get(13)?, hold_of(r)?)))
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

fn governing(db: &Connection, rig: &str) -> rusqlite::Result<Option<String>> {
    db.prepare_cached(
        "SELECT id FROM prep WHERE rig = ?1 AND kind IN ('build', 'turnaround') \
         ORDER BY started DESC LIMIT 1",
    )?
    .query_row([rig], |r| r.get(0))
    .optional()
}

/// Preps that were begun and not ended, newest first, of the last twenty begun.
fn unfinished(db: &Connection, rig: &str) -> rusqlite::Result<Vec<Unfinished>> {
    db.prepare_cached(
        "SELECT p.id, p.title, p.started FROM (SELECT id, title, started FROM prep WHERE rig = ?1 \
         ORDER BY started DESC LIMIT 20) p WHERE NOT EXISTS (SELECT 1 FROM mark m \
         WHERE m.rig = ?1 AND m.subject = 'prep/' || p.id AND m.key = 'ended') \
         ORDER BY p.started DESC",
    )?
    .query_map([rig], |r| {
        Ok(Unfinished {
            id: r.get(0)?,
            title: r.get(1)?,
            started: Stamp::from_bytes(&r.get::<_, Vec<u8>>(2)?),
        })
    })?
    .collect()
}

/// A prep with all that is known of its steps.
///
/// # Errors
/// What SQLite says.
pub fn load_prep(db: &Connection, prep: &str) -> rusqlite::Result<Option<PrepFacts>> {
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
            })
        })
        .optional()?;
    let Some(mut facts) = found else {
        return Ok(None);
    };
    let own = format!("prep/{prep}");
    for ((subject, key), seen) in marks(db, &facts.rig, &own, &format!("prep/{prep}0"))? {
        let Some(step) = subject.strip_prefix(&own) else {
            continue;
        };
        let Some(step) = step.strip_prefix('/') else {
            match key.as_str() {
                "ended" => facts.ended = Some(seen),
                "holder" => facts.holder = Some(seen),
                _ => {}
            }
            continue;
        };
        let entry = facts.done.entry(step.to_owned()).or_default();
        match key.as_str() {
            "done" => entry.done = Some(seen),
            "skipped" => entry.skipped = Some(seen),
            "reopened" => entry.reopened = Some(seen),
            key if key.starts_with("signed:") => entry.signed.push(seen),
            key => {
                if let Some(part) = key.strip_prefix("part:") {
                    entry.parts.insert(part.to_owned(), seen);
                }
            }
        }
    }
    for step in facts.done.values_mut() {
        step.signed.sort_by_key(|s| s.stamp);
    }
    Ok(Some(facts))
}

/// The defects that stand: those not put right, and water that was called put right although what
/// it was found in was never opened in between.
fn open_defects(
    db: &Connection,
    rig: &str,
    enclosures: &[EnclosureFacts],
) -> rusqlite::Result<Vec<DefectFacts>> {
    let all: Vec<(DefectFacts, Option<Stamp>)> = db
        .prepare_cached(
            "SELECT id, at, blocks, water, text, opened, opened_ms, author, closed FROM defect \
             WHERE rig = ?1 AND closed IS NULL UNION ALL \
             SELECT id, at, blocks, water, text, opened, opened_ms, author, closed FROM defect \
             WHERE rig = ?1 AND water AND closed IS NOT NULL ORDER BY opened",
        )?
        .query_map([rig], |r| {
            let closed: Option<Vec<u8>> = r.get(8)?;
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
            Ok((defect, closed.map(|c| Stamp::from_bytes(&c))))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let mut standing = Vec::new();
    for (defect, closed) in all {
        if let Some(closed) = closed {
            let mut looked = true;
            for enclosure in wet(enclosures, &defect) {
                looked &= opened_between(db, rig, &enclosure.id, defect.opened, closed)?;
            }
            if looked {
                continue;
            }
        }
        standing.push(defect);
    }
    Ok(standing)
}

fn opened_between(
    db: &Connection,
    rig: &str,
    enclosure: &str,
    after: Stamp,
    before: Stamp,
) -> rusqlite::Result<bool> {
    db.prepare_cached(
        "SELECT 1 FROM opening WHERE rig = ?1 AND enclosure = ?2 AND stamp > ?3 AND stamp < ?4",
    )?
    .exists(params![rig, enclosure, &after.0[..], &before.0[..]])
}

/// A choice of the crew.
///
/// # Errors
/// What SQLite says.
pub fn choice(db: &Connection, choice: &str) -> rusqlite::Result<Option<String>> {
    db.prepare_cached("SELECT value FROM choice WHERE choice = ?1")?
        .query_row([choice], |r| r.get(0))
        .optional()
}

fn parsed<T: serde::de::DeserializeOwned>(text: &str) -> rusqlite::Result<T> {
    serde_json::from_str(text).map_err(|e| {
        rusqlite::Error::FromSqlConversionFailure(0, rusqlite::types::Type::Text, e.into())
    })
}
