//! The rules that never break, against a second telling of them (`slackwater_checks::model`) that
//! reads the whole record naively: random days on one phone, and on several that meet in between.
//!
//! `SLACKWATER_CASES` multiplies the number of cases, `SLACKWATER_SEED` (a number) changes them.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};

use slackwater_checks::drive::{MORNING_MS, device_of, env, events_of};
use slackwater_checks::model::{Answer, Missing, Told, all_told, is_evidence, judge, orders};
use slackwater_core::domain::book::{Book, BookFault, Refusal};
use slackwater_core::domain::crew::Look;
use slackwater_core::domain::facts::{
    Fact, Finding, HoldResult, HoldSetup, ReadingFact, RecheckFact, Role, VerdictFact,
};
use slackwater_core::domain::procedure::{
    Each, ProcedureKind, Step, StepInstance, StepKind, Target,
};
use slackwater_core::domain::readiness::{
    Now, Obstacle, Readiness, RecheckMissing, Remark, readiness,
};
use slackwater_core::domain::rig::{
    Closure, ClosureKind, Control, Enclosure, RigDef, Seal, SealLimits, Valve,
};
use slackwater_core::domain::state::RigFacts;
use slackwater_core::journal::store::IngestFault;
use slackwater_core::journal::{Clock, Event, FixedClock};

const RIG: &str = "rig";
const MINUTE: i64 = 60_000;
const HOUR: i64 = 60 * MINUTE;
const DAY: i64 = 24 * HOUR;
/// Three members and nobody in particular.
const MEMBERS: [&str; 4] = ["ana", "ben", "cyd", ""];

// ---- a small rig ----

fn enclosure(id: &str, closures: &[&str]) -> Enclosure {
    Enclosure {
        id: id.into(),
        name: id.into(),
        volume_l: 10.0,
        volume_sd_l: 1.0,
        depth_rating_m: 100.0,
        closures: closures
            .iter()
            .map(|c| Closure {
                id: (*c).into(),
                name: (*c).into(),
                kind: ClosureKind::Latch,
                fasteners: None,
            })
            .collect(),
        penetrators: vec![],
        valve: Some(Valve {
            name: "Valve".into(),
            reads_with_plug_on: false,
        }),
        limit_ml: Some(5.0),
    }
}

fn seal(id: &str, enclosure: &str, closure: Option<&str>, limits: SealLimits) -> Seal {
    Seal {
        id: id.into(),
        name: id.into(),
        enclosure: enclosure.into(),
        closure: closure.map(Into::into),
        size: String::new(),
        material: "NBR".into(),
        hardness_shore_a: 0,
        limits,
        grease: None,
        gland: None,
    }
}

fn control(id: &str, enclosure: &str, function: &str, record_trigger: bool) -> Control {
    Control {
        id: id.into(),
        name: id.into(),
        enclosure: enclosure.into(),
        function: function.into(),
        record_trigger,
    }
}

fn base_def() -> RigDef {
    let none = SealLimits::default();
    RigDef {
        name: "Rig".into(),
        enclosures: vec![
            enclosure("main", &["back", "port"]),
            enclosure("monitor", &["lid"]),
        ],
        seals: vec![
            seal(
                "main-back",
                "main",
                Some("back"),
                SealLimits {
                    hard_openings: Some(7),
                    hard_dives: Some(3),
                    ..none
                },
            ),
            seal(
                "main-port",
                "main",
                Some("port"),
                SealLimits {
                    soft_days: Some(10),
                    hard_days: Some(30),
                    ..none
                },
            ),
            seal("main-gland", "main", None, none),
            seal("monitor-lid", "monitor", Some("lid"), none),
        ],
        controls: vec![
            control("record", "main", "", true),
            control("menu", "monitor", "Menu", false),
            control("spare", "main", " ", false),
        ],
        ..RigDef::default()
    }
}

fn step(key: &str, kind: StepKind, target: Target, two_person: bool) -> StepInstance {
    StepInstance {
        key: key.into(),
        step: Step {
            id: key.split('@').next().unwrap_or_default().into(),
            section: "Work".into(),
            title: key.into(),
            text: String::new(),
            kind,
            each: Each::Rig,
            only: vec![],
            after: vec![],
            two_person,
            shut: false,
            caution: None,
            points: vec![],
            note: false,
            measure: None,
        },
        target,
        target_name: String::new(),
        after: vec![],
    }
}

/// Steps of each kind of target; the last isn't for two.
fn steps() -> Vec<StepInstance> {
    let main = || "main".to_owned();
    vec![
        step("settings", StepKind::Check, Target::Rig, true),
        step(
            "close@main",
            StepKind::Close,
            Target::Enclosure { enclosure: main() },
            true,
        ),
        step(
            "look@port",
            StepKind::Check,
            Target::Closure {
                enclosure: main(),
                closure: "port".into(),
            },
            true,
        ),
        step(
            "seal@monitor-lid",
            StepKind::Seal,
            Target::Seal {
                enclosure: "monitor".into(),
                seal: "monitor-lid".into(),
            },
            true,
        ),
        step("controls", StepKind::Controls, Target::Rig, true),
        step("sign", StepKind::Sign, Target::Rig, true),
        step("tidy", StepKind::Do, Target::Rig, false),
    ]
}

// ---- facts ----

fn fact_enclosure(id: &str, fact: Fact) -> (String, Fact) {
    (format!("{RIG}/enclosure/{id}"), fact)
}

fn hold_started(id: &str, def: &RigDef, enclosure: &str) -> (String, Fact) {
    let fallback = base_def();
    let e = def.enclosure(enclosure).unwrap_or(&fallback.enclosures[0]);
    let setup = HoldSetup {
        enclosure: enclosure.into(),
        ..Book::hold_setup(e, &def.plan)
    };
    (format!("{RIG}/hold/{id}"), Fact::HoldStarted { setup })
}

fn hold_concluded(id: &str, def: &RigDef, enclosure: &str, verdict: VerdictFact) -> (String, Fact) {
    let result = HoldResult {
        verdict,
        leak_ml: 0.5,
        low_ml: 0.0,
        high_ml: 1.0,
        would_miss_below_ml: 1.0,
        readings: 12,
        lasted_s: 700.0,
        limit_ml: def.enclosure(enclosure).map_or(5.0, |e| e.limit()),
        depth_m: def.plan.depth_m,
        minutes: def.plan.minutes,
        volume_m3: def.enclosure(enclosure).map_or(0.01, |e| e.volume_l * 1e-3),
        judged_by: "a test".into(),
        at_most_ml: Some(1.0),
        covers: None,
        salinity_g_kg: Some(def.plan.salinity_g_kg),
        water_k: Some(def.plan.water_c + 273.15),
        volume_sd_m3: None,
        gone: false,
    };
    (format!("{RIG}/hold/{id}"), Fact::HoldConcluded { result })
}

fn rechecked(hold: &str, enclosure: &str, verdict: VerdictFact) -> (String, Fact) {
    let recheck = RecheckFact {
        hold: hold.into(),
        reading: ReadingFact {
            t_s: 3_600.0,
            gauge_pa: 20_000.0,
            ..ReadingFact::default()
        },
        expected_pa: 20_000.0,
        expected_sd_pa: 100.0,
        verdict,
        leak_ml: [0.0, -1.0, 1.0],
        judged_by: "a test".into(),
        result: None,
        between_pa: None,
        would_miss_below_pa: None,
        camera_on: None,
        brought: None,
        judged_for: None,
    };
    fact_enclosure(enclosure, Fact::Rechecked { recheck })
}

fn serviced(seal: &str) -> (String, Fact) {
    let fact = Fact::SealServiced {
        finding: Finding::Clean,
        note: String::new(),
    };
    (format!("{RIG}/seal/{seal}"), fact)
}

fn faulty(seal: &str) -> (String, Fact) {
    let fact = Fact::SealFaulty {
        finding: Finding::Nick,
        note: String::new(),
    };
    (format!("{RIG}/seal/{seal}"), fact)
}

fn tested(control: &str, works: bool) -> (String, Fact) {
    let fact = Fact::ControlTested {
        works,
        note: String::new(),
    };
    (format!("{RIG}/control/{control}"), fact)
}

/// A turnaround asks for less, as a crew's own may: nothing of the settings or the port, and no
/// signature at the end.
fn prep_started(id: &str, kind: ProcedureKind) -> (String, Fact) {
    let mut steps = steps();
    if kind == ProcedureKind::Turnaround {
        steps.retain(|s| !["settings", "look@port", "sign"].contains(&s.key.as_str()));
    }
    let fact = Fact::PrepStarted {
        procedure: "work".into(),
        title: "Work".into(),
        kind,
        steps,
    };
    (format!("{RIG}/prep/{id}"), fact)
}

fn opened(enclosure: &str, closure: Option<&str>) -> (String, Fact) {
    let closure = closure.map(Into::into);
    fact_enclosure(enclosure, Fact::Opened { closure })
}

fn defined(def: &RigDef) -> (String, Fact) {
    let fact = Fact::RigDefined {
        rig: Box::new(def.clone()),
        from: String::new(),
    };
    (RIG.into(), fact)
}

// ---- a phone ----

/// A place for a case's files; in memory where the system has such a place, since each fact
/// recorded is synced.
fn folder() -> tempfile::TempDir {
    tempfile::Builder::new()
        .prefix("slackwater-model")
        .tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap()
}

/// Seeds of the phones' keys.
const CREW: [u64; 5] = [1, 2, 3, 4, 77];

/// A book, its clock, and what it was told.
struct Phone {
    book: Book,
    clock: Arc<FixedClock>,
    name: String,
    made: u32,
    told: Vec<Told>,
}

impl Phone {
    fn open(folder: &Path, seed: u64, at_ms: i64) -> Phone {
        Phone::open_at(folder, seed, FixedClock::at(at_ms))
    }

    fn open_at(folder: &Path, seed: u64, clock: FixedClock) -> Phone {
        let clock = Arc::new(clock);
        let mut book = Book::open(folder, env(&clock, seed)).unwrap();
        if book.journal().count(None).unwrap() == 0 {
            // All that these tests open are of one crew, of two.
            let others = CREW.iter().map(|s| device_of(*s));
            let own = book.journal().device();
            let others: Vec<_> = others.filter(|d| *d != own).collect();
            book.admit(&others).unwrap();
            let member = |id: &str| {
                let (name, role) = (id.to_owned(), Role::Assistant);
                (format!("crew/{id}"), Fact::MemberDefined { name, role })
            };
            book.record(MEMBERS[..3].iter().map(|m| member(m)).collect())
                .unwrap();
        }
        let mut phone = Phone {
            book,
            clock,
            name: format!("p{seed}"),
            made: 0,
            told: vec![],
        };
        phone.hear();
        phone
    }

    /// Reads what is new in the journal.
    fn hear(&mut self) {
        let count = self.book.journal().count(None).unwrap();
        let new = count - self.told.len() as u64;
        if new == 0 {
            return;
        }
        let page = self.book.journal().page(None, None, new as u32).unwrap();
        // Events of this device are the newest there are; those of others may be older.
        let newest: Vec<Told> = page.iter().map(|e| Told::from_event(&e.event)).collect();
        if self
            .told
            .last()
            .is_none_or(|l| newest.iter().all(|t| t.order > l.order))
        {
            self.told.extend(newest.into_iter().rev());
        } else {
            self.told = all_told(&self.book);
        }
        assert_eq!(self.told.len() as u64, count);
    }

    fn record(&mut self, author: &str, mut facts: Vec<(String, Fact)>) {
        for (_, fact) in &mut facts {
            if let Fact::Rechecked { recheck } = fact {
                recheck.reading.boot = self.clock.boot();
            }
        }
        self.book.record_as(author, facts).unwrap();
        self.hear();
    }

    fn id(&mut self) -> String {
        self.made += 1;
        format!("{}-{}", self.name, self.made)
    }

    fn def(&self) -> RigDef {
        self.book.rig(RIG).unwrap().def.clone()
    }

    fn says(&self) -> Readiness {
        self.book.readiness(RIG).unwrap()
    }

    fn model(&self) -> Answer {
        judge(&self.told, RIG, self.book.now()).unwrap()
    }

    fn subjects(&self, of: &dyn Fn(&Fact) -> bool) -> Vec<String> {
        self.told
            .iter()
            .filter(|t| of(&t.fact))
            .map(|t| t.subject.rsplit('/').next().unwrap_or_default().to_owned())
            .collect()
    }

    /// Id and enclosure of a hold, counted back from the newest.
    fn hold_back(&self, back: usize) -> Option<(String, String)> {
        self.told
            .iter()
            .rev()
            .filter_map(|t| match &t.fact {
                Fact::HoldStarted { setup } => Some((
                    t.subject.rsplit('/').next().unwrap_or_default().to_owned(),
                    setup.enclosure.clone(),
                )),
                _ => None,
            })
            .nth(back)
    }

    fn last_hold_of(&self, enclosure: &str) -> String {
        self.told
            .iter()
            .rev()
            .find_map(|t| match &t.fact {
                Fact::HoldStarted { setup } if setup.enclosure == enclosure => {
                    t.subject.rsplit('/').next().map(str::to_owned)
                }
                _ => None,
            })
            .unwrap_or_default()
    }

    /// Whether a recheck of the last hold of an enclosure found a change.
    fn found_changed(&self, enclosure: &str) -> bool {
        let hold = self.last_hold_of(enclosure);
        self.told.iter().any(|t| {
            matches!(&t.fact, Fact::Rechecked { recheck }
                if recheck.hold == hold && recheck.verdict == VerdictFact::Leaking)
        })
    }

    /// The last build or turnaround that has a step.
    fn prep_with(&self, key: &str) -> Option<String> {
        self.told.iter().rev().find_map(|t| match &t.fact {
            Fact::PrepStarted { kind, steps, .. }
                if *kind != ProcedureKind::AfterDive && steps.iter().any(|s| s.key == key) =>
            {
                t.subject.rsplit('/').next().map(str::to_owned)
            }
            _ => None,
        })
    }

    /// The reference of the last fact of a kind about a subject.
    fn last_of(&self, subject: &str, of: fn(&Fact) -> bool) -> Option<String> {
        let found = self.told.iter().rev();
        let mut found = found.filter(|t| t.subject == subject && of(&t.fact));
        found.next().map(|t| t.reference.clone())
    }

    /// Looks a second time, as a member, at what was last done about a subject.
    fn look(&mut self, by: &str, subject: &str, of: fn(&Fact) -> bool, photo: &str) {
        let look = Look {
            of: self.last_of(subject, of).unwrap_or_default(),
            code: !self.told.len().is_multiple_of(5),
            photo: photo.into(),
            after_ms: None,
        };
        self.record(by, vec![(subject.to_owned(), Fact::SecondLook { look })]);
    }

    /// The last prep that governs.
    fn prep(&self) -> Option<String> {
        self.subjects(
            &|f| matches!(f, Fact::PrepStarted { kind, .. } if *kind != ProcedureKind::AfterDive),
        )
        .pop()
    }

    /// Does the work that clears what the core lists: also what one order of the record doesn't tell of
    /// phones that wrote apart.
    fn mend_listed(&mut self, listed: &Obstacle) {
        let n = self.told.len();
        match listed {
            // A change stands until a new hold, which also brings the gauge to be read.
            Obstacle::NoRecheck {
                enclosure,
                why: RecheckMissing::Changed,
            } => self.mend(&Missing::Hold(enclosure.clone())),
            Obstacle::Unsigned { prep, step, .. } => {
                self.sign(&format!("{RIG}/prep/{prep}"), step, n);
            }
            _ => self.mend(&Missing::from_obstacle(listed)),
        }
    }

    /// Two members do a step and sign.
    fn sign(&mut self, prep: &str, key: &str, n: usize) {
        let (key, value) = (key.to_owned(), String::new());
        let done = Fact::StepDone {
            key: key.clone(),
            value,
        };
        let look = Look {
            code: true,
            ..Look::default()
        };
        let signed = Fact::StepSigned { key, look };
        self.record(MEMBERS[n % 3], vec![(prep.to_owned(), done)]);
        self.record(MEMBERS[(n + 1) % 3], vec![(prep.to_owned(), signed)]);
    }

    /// Does the work that clears an obstacle of the model's.
    fn mend(&mut self, what: &Missing) {
        let def = self.def();
        let by = |seed: usize| MEMBERS[seed % 3];
        let facts = match what {
            Missing::Retired => vec![(RIG.into(), Fact::RigRetired { retired: false })],
            Missing::NoEnclosures | Missing::NoSeals(_) | Missing::NoValve(_) => {
                vec![defined(&base_def())]
            }
            Missing::PlannedTooDeep(_) => {
                let mut def = def;
                def.plan.depth_m = def
                    .enclosures
                    .iter()
                    .map(|e| e.depth_rating_m)
                    .fold(def.plan.depth_m, f64::min);
                vec![defined(&def)]
            }
            Missing::Loss(reference) => {
                let edit = self
                    .told
                    .iter()
                    .find(|t| t.reference == *reference)
                    .unwrap();
                let (at, author) = (edit.subject.clone(), edit.author.clone());
                for signer in MEMBERS[..3].iter().filter(|m| **m != author) {
                    let fact = Fact::LossSigned {
                        event: reference.clone(),
                        look: Look::default(),
                    };
                    self.record(signer, vec![(at.clone(), fact)]);
                }
                return;
            }
            Missing::Unread => {
                let unread = self.told.iter().filter(|t| t.fact == Fact::Unknown);
                let answer = |t: &Told| {
                    let note = "a new kind of note".into();
                    let event = t.reference.clone();
                    (RIG.to_owned(), Fact::UnreadAnswered { event, note })
                };
                unread.map(answer).collect()
            }
            Missing::Gone(at) => {
                let note = "the hole is blanked".into();
                vec![(format!("{RIG}/{at}"), Fact::Inspected { note })]
            }
            Missing::Lost => unreachable!("nothing is lost here"),
            Missing::EditedApart => {
                let def = self.book.rig(RIG).unwrap().def.clone();
                vec![defined(&def)]
            }
            Missing::WasTooDeep(e) => {
                let note = "windows and seams".into();
                vec![fact_enclosure(e, Fact::Inspected { note })]
            }
            Missing::Defect(id) => {
                // Water: whatever it may have been in is opened first.
                let wet = |t: &Told| {
                    t.subject.ends_with(id)
                        && matches!(t.fact, Fact::DefectOpened { water: true, .. })
                };
                if self.told.iter().any(wet) {
                    let shut: Vec<_> = def.enclosures.iter().map(|e| opened(&e.id, None)).collect();
                    self.record(by(self.told.len()), shut);
                }
                let how = "put right".into();
                vec![(format!("{RIG}/defect/{id}"), Fact::DefectClosed { how })]
            }
            Missing::SealDue(seal) | Missing::Faulty(seal) => {
                let fact = Fact::SealFitted {
                    pack: String::new(),
                    cured: String::new(),
                    fitted_ms: None,
                    lot: None,
                    found: None,
                    ring: None,
                };
                vec![(format!("{RIG}/seal/{seal}"), fact)]
            }
            Missing::Service(seal) => vec![serviced(seal)],
            Missing::Open(e) => vec![fact_enclosure(e, Fact::Closed {})],
            Missing::Hold(e) => {
                let id = self.id();
                vec![
                    hold_started(&id, &def, e),
                    hold_concluded(&id, &def, e, VerdictFact::Holding),
                ]
            }
            Missing::Plug(e) => vec![fact_enclosure(e, Fact::PlugOn {})],
            Missing::Control(c) => vec![tested(c, true)],
            // A change stands until a new hold, which also brings the gauge to be read.
            Missing::Recheck(e) if self.found_changed(e) => {
                let id = self.id();
                vec![
                    hold_started(&id, &def, e),
                    hold_concluded(&id, &def, e, VerdictFact::Holding),
                ]
            }
            Missing::Recheck(e) => {
                vec![rechecked(&self.last_hold_of(e), e, VerdictFact::Holding)]
            }
            Missing::NoPrep => {
                let id = self.id();
                vec![prep_started(&id, ProcedureKind::Build)]
            }
            Missing::PlugUnseen(e) => {
                let at = format!("{RIG}/enclosure/{e}");
                let n = self.told.len();
                self.look(by(n), &at, |f| matches!(f, Fact::PlugOn {}), "");
                return;
            }
            Missing::Walk => {
                let n = self.told.len();
                self.record(by(n), vec![(RIG.into(), Fact::WalkedRound {})]);
                self.look(by(n + 1), RIG, |f| matches!(f, Fact::WalkedRound {}), "");
                return;
            }
            Missing::Unsigned(key) => {
                let prep = format!("{RIG}/prep/{}", self.prep_with(key).unwrap());
                self.sign(&prep, key, self.told.len());
                return;
            }
        };
        self.record(by(self.told.len()), facts);
    }

    /// Works until nothing is missing, in an order that a crew would keep.
    fn mend_all(&mut self) {
        for _ in 0..160 {
            // Sorted: openings and services come before closings, holds, plugs, rechecks.
            let says = self.says();
            let listed = says.obstacles.iter();
            let Some(next) = listed.min_by_key(|o| work_order(&Missing::from_obstacle(o))) else {
                return;
            };
            self.mend_listed(next);
        }
        panic!("not ready after 160 works: {:?}", self.model());
    }
}

fn work_order(m: &Missing) -> u8 {
    match m {
        Missing::Retired => 0,
        Missing::NoEnclosures | Missing::NoSeals(_) | Missing::NoValve(_) => 1,
        Missing::Defect(_)
        | Missing::PlannedTooDeep(_)
        | Missing::WasTooDeep(_)
        | Missing::Loss(_)
        | Missing::Unread
        | Missing::EditedApart
        | Missing::Lost
        | Missing::Gone(_) => 2,
        Missing::NoPrep => 3,
        Missing::SealDue(_) | Missing::Faulty(_) => 4,
        Missing::Service(_) => 5,
        Missing::Open(_) => 6,
        Missing::Hold(_) => 7,
        Missing::Plug(_) => 9,
        Missing::Control(_) => 10,
        Missing::Unsigned(_) => 11,
        Missing::Walk => 12,
        Missing::PlugUnseen(_) => 13,
        Missing::Recheck(_) => 8,
    }
}

// ---- random days ----

/// What may happen. Numbers pick among what there is, so that any sequence makes sense.
#[derive(Debug, Clone)]
enum Action {
    Open(u8, u8),
    Close(u8),
    Service(u8),
    Fit(u8, Option<u8>),
    Faulty(u8),
    LookAgain(u8),
    Plug(u8, bool),
    HoldBegin(u8),
    HoldEnd(u8, VerdictFact),
    HoldGivenUp(u8),
    Recheck(u8, VerdictFact),
    Control(u8, bool),
    DefectOpen(bool, u8),
    Inspect(u8),
    SignLoss(u8, u8),
    Answer(u8),
    Unreadable(u8),
    DefectClose(u8),
    Prep(ProcedureKind),
    PrepEnd,
    Step(u8, u8),
    Skip(u8),
    Reopen(u8),
    Sign(u8, u8),
    TakeBack(u8),
    TakeBackNews(u8),
    Edit(u8),
    Retire(bool),
    Clock(i64),
    RecheckLimit(u8),
    Dive(bool, u8),
    Walk(u8),
    Look(u8, u8, bool),
    Crew(u8),
    Mend(u8),
}

fn verdict() -> impl Strategy<Value = VerdictFact> {
    prop_oneof![
        4 => Just(VerdictFact::Holding),
        1 => Just(VerdictFact::Leaking),
        1 => Just(VerdictFact::NotYet),
    ]
}

fn action() -> impl Strategy<Value = Action> {
    let works = prop_oneof![
        (any::<u8>(), any::<u8>()).prop_map(|(e, c)| Action::Open(e, c)),
        any::<u8>().prop_map(Action::Close),
        any::<u8>().prop_map(Action::Service),
        (any::<u8>(), prop::option::weighted(0.4, 1u8..45)).prop_map(|(s, d)| Action::Fit(s, d)),
        any::<u8>().prop_map(Action::Faulty),
        any::<u8>().prop_map(Action::LookAgain),
        (any::<u8>(), any::<bool>()).prop_map(|(e, on)| Action::Plug(e, on)),
        any::<u8>().prop_map(Action::HoldBegin),
        (0u8..3, verdict()).prop_map(|(h, v)| Action::HoldEnd(h, v)),
        (0u8..3).prop_map(Action::HoldGivenUp),
        (any::<u8>(), verdict()).prop_map(|(e, v)| Action::Recheck(e, v)),
        (any::<u8>(), prop::bool::weighted(0.7)).prop_map(|(c, w)| Action::Control(c, w)),
    ];
    let around = prop_oneof![
        (any::<bool>(), any::<u8>()).prop_map(|(b, w)| Action::DefectOpen(b, w)),
        any::<u8>().prop_map(Action::Inspect),
        (any::<u8>(), 0u8..4).prop_map(|(l, m)| Action::SignLoss(l, m)),
        any::<u8>().prop_map(Action::Answer),
        any::<u8>().prop_map(Action::Unreadable),
        any::<u8>().prop_map(Action::DefectClose),
        prop_oneof![
            Just(ProcedureKind::Build),
            Just(ProcedureKind::Turnaround),
            Just(ProcedureKind::AfterDive)
        ]
        .prop_map(Action::Prep),
        Just(Action::PrepEnd),
        (any::<u8>(), 0u8..4).prop_map(|(s, m)| Action::Step(s, m)),
        any::<u8>().prop_map(Action::Skip),
        any::<u8>().prop_map(Action::Reopen),
        (any::<u8>(), 0u8..4).prop_map(|(s, m)| Action::Sign(s, m)),
        (0u8..24).prop_map(Action::Edit),
        any::<bool>().prop_map(Action::Retire),
        (0u8..4).prop_map(Action::RecheckLimit),
        (any::<bool>(), any::<u8>()).prop_map(|(s, d)| Action::Dive(s, d)),
        (0u8..4).prop_map(Action::Walk),
        (any::<u8>(), 0u8..4, any::<bool>()).prop_map(|(e, m, p)| Action::Look(e, m, p)),
        any::<u8>().prop_map(Action::Crew),
    ];
    let clock = prop_oneof![
        4 => 1i64..40 * MINUTE,
        1 => HOUR..3 * HOUR,
        1 => 5 * DAY..25 * DAY,
        1 => -90_000i64..0,
        1 => -3 * HOUR..0,
        1 => Just(-DAY),
    ];
    prop_oneof![
        5 => works,
        4 => around,
        2 => (0u8..30).prop_map(Action::TakeBack),
        1 => (0u8..30).prop_map(Action::TakeBackNews),
        2 => clock.prop_map(Action::Clock),
        7 => (1u8..8).prop_map(Action::Mend),
    ]
}

fn pick<T: Clone>(from: &[T], n: u8) -> Option<T> {
    if from.is_empty() {
        None
    } else {
        Some(from[usize::from(n) % from.len()].clone())
    }
}

/// An edit of the rig.
fn edited(mut def: RigDef, how: u8) -> RigDef {
    match how {
        13 => {
            if let Some(s) = def.seals.iter_mut().find(|s| s.id == "main-port") {
                let back = s.closure.as_deref() == Some("back");
                s.closure = if back { None } else { Some("back".into()) };
            }
        }
        14 => {
            if let Some(s) = def.seals.iter_mut().find(|s| s.id == "main-gland") {
                s.closure = Some("port".into());
            }
        }
        15 => {
            if let Some(e) = def.enclosures.first_mut() {
                e.volume_l += 0.5;
            }
        }
        16 => {
            if let Some(c) = def.controls.iter_mut().find(|c| c.id == "menu") {
                c.function.push('s');
            }
        }
        18 => {
            if let Some(e) = def.enclosures.first_mut() {
                e.volume_l = (e.volume_l * 0.6).max(0.1);
            }
        }
        19 => {
            if let Some(v) = def.enclosures.first_mut().and_then(|e| e.valve.as_mut()) {
                v.reads_with_plug_on = !v.reads_with_plug_on;
            }
        }
        20 => {
            if let Some(e) = def.enclosures.first_mut() {
                let more = &enclosure("x", &["hatch"]).closures;
                let known = e.closures.iter().any(|c| c.id == "hatch");
                e.closures.extend(more.iter().filter(|_| !known).cloned());
            }
        }
        21 => {
            if let Some(s) = def.seals.iter_mut().find(|s| s.id == "main-back") {
                let narrow = s.size.ends_with("-258");
                s.size = if narrow { "AS568-259" } else { "AS568-258" }.into();
            }
        }
        22 => {
            for e in &mut def.enclosures {
                e.depth_rating_m = if e.depth_rating_m > 60.0 { 30.0 } else { 90.0 };
            }
        }
        0 => def.plan.depth_m += 5.0,
        17 => def.plan.depth_m += 60.0,
        1 => def.plan.depth_m = (def.plan.depth_m - 5.0).max(5.0),
        2 => def.plan.minutes += 15.0,
        3 if def.seal("extra").is_none() && def.enclosure("main").is_some() => {
            def.seals
                .push(seal("extra", "main", Some("back"), SealLimits::default()));
        }
        4 if def.seal("gland-2").is_none() && def.enclosure("monitor").is_some() => {
            def.seals
                .push(seal("gland-2", "monitor", None, SealLimits::default()));
        }
        5 => def.seals.retain(|s| s.id != "main-back"),
        6 if def.control("extra").is_none() && def.enclosure("main").is_some() => {
            def.controls.push(control("extra", "main", "Iris", false));
        }
        7 => def.controls.retain(|c| c.id != "record"),
        8 if def.enclosure("light").is_none() => {
            def.enclosures.push(enclosure("light", &["cap"]));
            def.seals.push(seal(
                "light-cap",
                "light",
                Some("cap"),
                SealLimits::default(),
            ));
        }
        9 => {
            def.enclosures.retain(|e| e.id != "monitor");
            def.seals.retain(|s| s.enclosure != "monitor");
            def.controls.retain(|c| c.enclosure != "monitor");
        }
        10 => {
            if let Some(e) = def.enclosures.first_mut() {
                e.valve = None;
            }
        }
        11 => {
            if let Some(c) = def.controls.iter_mut().find(|c| c.id == "spare") {
                c.function = if c.assigned() { "" } else { "Zoom" }.into();
            }
        }
        12 => {
            if let Some(e) = def.enclosures.last_mut() {
                e.limit_ml = Some((e.limit() * 0.5).max(0.1));
            }
        }
        _ => def = base_def(),
    }
    def
}

/// Does an action on a phone. Says whether it opened an enclosure of the rig.
fn act(phone: &mut Phone, action: &Action, mends: bool) -> bool {
    let def = phone.def();
    let enclosures: Vec<String> = def.enclosures.iter().map(|e| e.id.clone()).collect();
    let seals: Vec<String> = def.seals.iter().map(|s| s.id.clone()).collect();
    let keys: Vec<String> = steps().iter().map(|s| s.key.clone()).collect();
    let n = phone.told.len();
    let anyone = MEMBERS[n % 4];
    let mut facts = Vec::new();
    let mut author = anyone;
    match action {
        Action::Open(e, c) => {
            let Some(e) = def
                .enclosures
                .get(usize::from(*e) % def.enclosures.len().max(1))
            else {
                return false;
            };
            let mut closures: Vec<Option<String>> =
                e.closures.iter().map(|c| Some(c.id.clone())).collect();
            closures.push(None);
            let closure = pick(&closures, *c).flatten();
            if n.is_multiple_of(2) {
                phone
                    .book
                    .open_closure(RIG, &e.id, closure.as_deref())
                    .unwrap();
                phone.hear();
            } else {
                phone.record(anyone, vec![opened(&e.id, closure.as_deref())]);
            }
            return true;
        }
        Action::Close(e) => {
            if let Some(e) = pick(&enclosures, *e) {
                facts.push(fact_enclosure(&e, Fact::Closed {}));
            }
        }
        Action::Service(s) => facts.extend(pick(&seals, *s).map(|s| serviced(&s))),
        Action::Fit(s, days_ago) => {
            let Some(s) = pick(&seals, *s) else {
                return false;
            };
            let now = phone.book.now().wall_ms;
            // Some from packs that lay long: ten years are the most for these.
            let cured = match n % 5 {
                0 => "2015-05",
                1 => "2016-06",
                2 => "2016-07",
                3 => "2021-01",
                _ => "",
            };
            let fact = Fact::SealFitted {
                pack: String::new(),
                cured: cured.into(),
                fitted_ms: days_ago.map(|d| now - i64::from(d) * DAY),
                lot: None,
                found: None,
                ring: None,
            };
            facts.push((format!("{RIG}/seal/{s}"), fact));
        }
        Action::LookAgain(back) => {
            let found: Vec<Told> = phone
                .told
                .iter()
                .rev()
                .filter(|t| matches!(t.fact, Fact::SealFaulty { .. }))
                .cloned()
                .collect();
            facts.extend(pick(&found, *back).map(|t| {
                let fact = Fact::SealLookedAgain {
                    event: t.reference,
                    note: "a thread of the cloth".into(),
                };
                (t.subject, fact)
            }));
        }
        Action::Faulty(s) => facts.extend(pick(&seals, *s).map(|s| faulty(&s))),
        Action::Plug(e, on) => {
            if let Some(e) = pick(&enclosures, *e) {
                let fact = if *on {
                    Fact::PlugOn {}
                } else {
                    Fact::PlugOff {}
                };
                facts.push(fact_enclosure(&e, fact));
            }
        }
        Action::HoldBegin(e) => {
            if let Some(e) = pick(&enclosures, *e) {
                let id = phone.id();
                facts.push(hold_started(&id, &def, &e));
            }
        }
        Action::HoldEnd(back, verdict) => {
            if let Some((id, e)) = phone.hold_back(usize::from(*back)) {
                facts.push(hold_concluded(&id, &def, &e, *verdict));
            }
        }
        Action::HoldGivenUp(back) => {
            if let Some((id, _)) = phone.hold_back(usize::from(*back)) {
                let reason = "pump failed".into();
                facts.push((format!("{RIG}/hold/{id}"), Fact::HoldAbandoned { reason }));
            }
        }
        Action::Recheck(e, verdict) => {
            if let Some(e) = pick(&enclosures, *e) {
                // Now and then one that was compared with another hold.
                let hold = match phone.hold_back(1) {
                    Some((id, _)) if n.is_multiple_of(7) => id,
                    _ => phone.last_hold_of(&e),
                };
                facts.push(rechecked(&hold, &e, *verdict));
            }
        }
        Action::Control(c, works) => {
            let all: Vec<String> = def.controls.iter().map(|c| c.id.clone()).collect();
            facts.extend(pick(&all, *c).map(|c| tested(&c, *works)));
        }
        Action::DefectOpen(blocks, which) => {
            let at = ["enclosure/main", "", "port", "enclosure/monitor"];
            let at = at[usize::from(*which) % at.len()];
            let water = which.is_multiple_of(5);
            phone
                .book
                .open_defect(RIG, at, *blocks, water, "scratched")
                .unwrap();
            phone.hear();
        }
        Action::SignLoss(which, member) => {
            let edits: Vec<Told> = (phone.told.iter())
                .filter(|t| matches!(t.fact, Fact::TookAway { .. }))
                .cloned()
                .collect();
            if let Some(edit) = pick(&edits, *which) {
                author = MEMBERS[usize::from(*member)];
                // What came out later is signed for by itself.
                let later =
                    matches!(&edit.fact, Fact::TookAway { unheard, .. } if !unheard.is_empty());
                let event = match later && which.is_multiple_of(2) {
                    true => format!("{}~unheard", edit.reference),
                    false => edit.reference,
                };
                let look = Look::default();
                facts.push((edit.subject, Fact::LossSigned { event, look }));
            }
        }
        Action::Unreadable(which) => {
            // As a newer version would write, of which nothing but the kind can be told.
            let at = ["rig", "rig/enclosure/main", "crew", "procedure/x"];
            let at = at[usize::from(*which) % at.len()];
            facts.push((at.to_owned(), Fact::Unknown));
        }
        Action::Answer(which) => {
            let at = [
                "seal/extra",
                "seal/main-back",
                "control/record",
                "enclosure/monitor",
            ];
            let note = "looked".into();
            let at = at[usize::from(*which) % at.len()];
            facts.push((format!("{RIG}/{at}"), Fact::Inspected { note }));
        }
        Action::Inspect(e) => {
            if let Some(e) = pick(&enclosures, *e) {
                let note = "windows and seams".into();
                facts.push(fact_enclosure(&e, Fact::Inspected { note }));
            }
        }
        Action::DefectClose(d) => {
            let all = phone.subjects(&|f| matches!(f, Fact::DefectOpened { .. }));
            if let Some(d) = pick(&all, *d) {
                let how = "put right".into();
                facts.push((format!("{RIG}/defect/{d}"), Fact::DefectClosed { how }));
            }
        }
        Action::Prep(kind) => {
            let id = phone.id();
            facts.push(prep_started(&id, *kind));
        }
        Action::PrepEnd
        | Action::Step(..)
        | Action::Skip(_)
        | Action::Reopen(_)
        | Action::Sign(..) => {
            let at = |key: u8| pick(&keys, key).unwrap();
            let of = match action {
                Action::Step(key, _)
                | Action::Sign(key, _)
                | Action::Skip(key)
                | Action::Reopen(key) => phone.prep_with(&at(*key)),
                _ => phone.prep(),
            };
            let Some(prep) = of else {
                return false;
            };
            let fact = match action {
                Action::Step(key, member) => {
                    author = MEMBERS[usize::from(*member)];
                    Fact::StepDone {
                        key: at(*key),
                        value: String::new(),
                    }
                }
                Action::Sign(key, member) => {
                    author = MEMBERS[usize::from(*member)];
                    let look = Look {
                        code: n.is_multiple_of(2),
                        ..Look::default()
                    };
                    Fact::StepSigned {
                        key: at(*key),
                        look,
                    }
                }
                Action::Skip(key) => Fact::StepSkipped {
                    key: at(*key),
                    reason: "no time".into(),
                },
                Action::Reopen(key) => Fact::StepReopened { key: at(*key) },
                _ => Fact::PrepEnded {
                    complete: false,
                    reason: "dark".into(),
                },
            };
            facts.push((format!("{RIG}/prep/{prep}"), fact));
        }
        Action::TakeBack(back) => {
            let evidence: Vec<String> = phone
                .told
                .iter()
                .rev()
                .filter(|t| is_evidence(&t.fact))
                .map(|t| t.reference.clone())
                .collect();
            if let Some(reference) = pick(&evidence, *back) {
                phone.book.undo(&reference).unwrap();
                phone.hear();
            }
        }
        Action::TakeBackNews(back) => {
            let news: Vec<Told> = phone
                .told
                .iter()
                .rev()
                .filter(|t| !is_evidence(&t.fact))
                .cloned()
                .collect();
            if let Some(t) = pick(&news, *back) {
                let refused = phone.book.undo(&t.reference);
                assert!(
                    matches!(refused, Err(BookFault::Refused(Refusal::NotRetractable))),
                    "{refused:?} for {t:?}"
                );
                // Even a program that doesn't ask first changes nothing by it.
                let event = t.reference;
                facts.push((t.subject, Fact::Retracted { event }));
            }
        }
        Action::Edit(how) => {
            // Seals are moved on one phone only: what two moves at once come to is not told.
            let how = if !mends && matches!(how, 13 | 14) {
                2
            } else {
                *how
            };
            phone.book.edit_rig(RIG, edited(def, how)).unwrap();
            phone.hear();
        }
        Action::Retire(retired) => {
            phone.book.retire_rig(RIG, *retired).unwrap();
            phone.hear();
        }
        Action::Clock(by) => phone.clock.advance(*by),
        Action::RecheckLimit(which) => {
            let minutes = ["120", "30", "400", "0"][usize::from(*which)];
            phone
                .book
                .choose(&[("recheck_limit_min", minutes)])
                .unwrap();
            phone.hear();
        }
        Action::Dive(salt, depth) => {
            let salinity = if *salt { 35.0 } else { 0.2 };
            // Now and then below what the housings are rated to.
            let depth_m = if depth.is_multiple_of(6) { 110.0 } else { 18.0 };
            phone
                .book
                .log_dive_in(RIG, depth_m, 40.0, "", salinity)
                .unwrap();
            phone.hear();
        }
        Action::Walk(member) => {
            author = MEMBERS[usize::from(*member)];
            facts.push((RIG.into(), Fact::WalkedRound {}));
        }
        Action::Look(e, member, photo) => {
            let by = MEMBERS[usize::from(*member)];
            let photo = if *photo { "ff" } else { "" };
            match pick(&enclosures, *e).filter(|_| e.is_multiple_of(3)) {
                Some(e) => phone.look(
                    by,
                    &format!("{RIG}/enclosure/{e}"),
                    |f| matches!(f, Fact::PlugOn {}),
                    photo,
                ),
                None => phone.look(by, RIG, |f| matches!(f, Fact::WalkedRound {}), photo),
            }
        }
        Action::Crew(what) => {
            // Whatever is said, two who are two people are left: ana and cyd, or ben and cyd.
            let named = |id: &str, name: &str| {
                let name = name.to_owned();
                let role = Role::Other;
                (format!("crew/{id}"), Fact::MemberDefined { name, role })
            };
            let left =
                |id: &str, retired: bool| (format!("crew/{id}"), Fact::MemberRetired { retired });
            let chose = |choice: &str, value: &str| {
                let (choice, value) = (choice.to_owned(), value.to_owned());
                ("crew".to_owned(), Fact::CrewChose { choice, value })
            };
            facts.push(match what % 14 {
                0 | 1 => named("ana", "Ana"),
                2 => named("ben", " ana"),
                3 => named("ben", "Ben"),
                4 => named("ben", "Nobody"),
                5 if n.is_multiple_of(4) => {
                    let other = "ana".to_owned();
                    ("crew/ben".into(), Fact::MembersJoined { other })
                }
                6 => left("ben", true),
                7 => left("ana", true),
                8 => left("ben", false),
                9 | 10 => chose("crew_of_one", "yes"),
                11 => chose("crew_of_one", "no"),
                12 => chose("signed_with", "code"),
                _ => chose("signed_with", ""),
            });
        }
        Action::Mend(times) => {
            for _ in 0..if mends { *times } else { 1 } {
                let Some(next) = phone.model().missing.into_iter().min_by_key(work_order) else {
                    break;
                };
                phone.mend(&next);
            }
        }
    }
    if !facts.is_empty() {
        phone.record(author, facts);
    }
    false
}

/// The core's answer and the model's, thing by thing.
fn compare(core: &Readiness, model: &Answer) -> Result<(), TestCaseError> {
    let obstacles: BTreeSet<Missing> = core.obstacles.iter().map(Missing::from_obstacle).collect();
    prop_assert_eq!(&obstacles, &model.missing, "core (left) against model");
    prop_assert_eq!(
        obstacles.len(),
        core.obstacles.len(),
        "an obstacle is named twice"
    );
    prop_assert_eq!(core.is_ready(), model.missing.is_empty());
    prop_assert_eq!(core.until.as_ref().map(|u| u.0), model.until_ms);
    prop_assert_eq!(core.until.is_some(), core.is_ready());
    Ok(())
}

/// What must hold on a phone at any time.
fn check(phone: &Phone) -> Result<bool, TestCaseError> {
    let core = phone.says();
    let model = phone.model();
    compare(&core, &model)?;
    let facts = phone.book.rig(RIG).unwrap();
    let now = phone.book.now();
    if let Some((until, _)) = &core.until {
        // 'Ready until' is kept to the millisecond, as long as the clock isn't behind.
        let just_before = Now {
            wall_ms: until - 1,
            ..now
        };
        let then = Now {
            wall_ms: *until,
            ..now
        };
        prop_assert!(readiness(&facts, just_before).is_ready());
        if now.wall_ms >= now.newest.ms().max(now.latest_seen.0) {
            prop_assert!(!readiness(&facts, then).is_ready());
        }
    }
    // The clock alone clears nothing but what it brought about.
    for by in [-40 * DAY, -3 * HOUR, -50_000, 50_000, 3 * HOUR, 40 * DAY] {
        let wall_ms = now.wall_ms + by;
        let then = Now { wall_ms, ..now };
        let set = readiness(&facts, then);
        compare(&set, &judge(&phone.told, RIG, then).unwrap())?;
        if !model.missing.iter().all(Missing::may_be_the_clock) {
            prop_assert!(!set.is_ready(), "the clock set by {by} ms makes it ready");
        }
    }
    Ok(core.is_ready())
}

fn runner(cases: u32) -> TestRunner {
    let from_env = |name: &str| std::env::var(name).ok().and_then(|v| v.parse::<u32>().ok());
    let mut seed = [0u8; 32];
    seed[..4].copy_from_slice(&from_env("SLACKWATER_SEED").unwrap_or(1).to_le_bytes());
    let config = Config {
        cases: cases * from_env("SLACKWATER_CASES").unwrap_or(1),
        max_shrink_iters: 600,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &seed))
}

#[test]
fn every_prefix_of_a_random_day_is_judged_as_the_rules_say() {
    let (prefixes, ready, reached, openings, cases) = (
        Cell::new(0u32),
        Cell::new(0u32),
        Cell::new(0u32),
        Cell::new(0u32),
        Cell::new(0u32),
    );
    let add = |c: &Cell<u32>| c.set(c.get() + 1);
    let days = (
        prop::bool::weighted(0.75),
        prop::collection::vec(action(), 5..120),
    );
    runner(40)
        .run(&days, |(from_ready, actions)| {
            let dir = folder();
            let mut phone = Phone::open(dir.path(), 1, MORNING_MS);
            phone.record("ana", vec![defined(&base_def())]);
            if from_ready {
                phone.mend_all();
            }
            add(&cases);
            let mut was_ready = check(&phone)?;
            prop_assert_eq!(was_ready, from_ready);
            let mut ever = was_ready;
            for action in &actions {
                let clock_only = phone.says().obstacles.iter().all(|o| {
                    matches!(
                        o,
                        Obstacle::NoRecheck {
                            why: RecheckMissing::ClockSetBack,
                            ..
                        } | Obstacle::SealPastLimit { .. }
                    )
                });
                let opened = act(&mut phone, action, true);
                let is_ready = check(&phone)?;
                if matches!(action, Action::Clock(_)) && !was_ready && !clock_only {
                    prop_assert!(!is_ready, "ready by {:?}", action);
                }
                if opened {
                    prop_assert!(!is_ready, "ready right after {:?}", action);
                    if was_ready {
                        add(&openings);
                    }
                }
                was_ready = is_ready;
                ever |= is_ready;
                add(&prefixes);
                if is_ready {
                    add(&ready);
                }
            }
            if ever {
                add(&reached);
            }
            // However the day went: work brings it to ready, and any opening takes that away.
            phone.mend_all();
            prop_assert!(check(&phone)?);
            let which = phone.told.len() as u8;
            prop_assert!(act(&mut phone, &Action::Open(which, which / 3), true));
            prop_assert!(!check(&phone)?);
            add(&openings);
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
    let share = |a: &Cell<u32>, b: &Cell<u32>| f64::from(a.get()) / f64::from(b.get());
    println!(
        "{} cases, {:.0} % of them ready at some time; {} prefixes, {:.1} % ready; {} openings of a ready rig",
        cases.get(),
        100.0 * share(&reached, &cases),
        prefixes.get(),
        100.0 * share(&ready, &prefixes),
        openings.get()
    );
    // A check that never meets a ready rig checks nothing.
    assert!(share(&reached, &cases) > 0.6);
    assert!(share(&ready, &prefixes) > 0.08);
    assert!(openings.get() >= cases.get());
}

/// A history that ends ready, without corrections, on one phone.
fn ready_history(dir: &Path, seed: u32) -> Phone {
    let mut phone = Phone::open(dir, 1, MORNING_MS);
    phone.record("ana", vec![defined(&base_def())]);
    let mut bytes = [0u8; 32];
    bytes[..4].copy_from_slice(&seed.to_le_bytes());
    let mut runner = TestRunner::new_with_rng(
        Config::default(),
        TestRng::from_seed(RngAlgorithm::ChaCha, &bytes),
    );
    let tree = prop::collection::vec(action(), 25)
        .new_tree(&mut runner)
        .unwrap();
    use proptest::strategy::ValueTree;
    for action in tree.current() {
        if !matches!(action, Action::TakeBack(_) | Action::TakeBackNews(_)) {
            act(&mut phone, &action, true);
        }
    }
    // A blocking defect that was put right belongs to what must not be left out.
    act(&mut phone, &Action::DefectOpen(true, 1), true);
    phone.clock.advance(MINUTE);
    phone.mend_all();
    phone
}

#[test]
fn without_any_one_kind_of_evidence_about_any_one_thing_nothing_is_ready() {
    let mut tried = 0;
    for seed in 0..2 {
        let dir = folder();
        let phone = ready_history(dir.path(), seed);
        assert!(phone.says().is_ready());
        let def = phone.def();
        type Leaves = Box<dyn Fn(&Told) -> bool>;
        let mut left_out: Vec<(String, Leaves)> = Vec::new();
        for e in &def.enclosures {
            let at = format!("{RIG}/enclosure/{}", e.id);
            type Kind = fn(&Fact) -> bool;
            let kinds: [(&str, Kind); 3] = [
                ("closed", |f| matches!(f, Fact::Closed {})),
                ("plug on", |f| matches!(f, Fact::PlugOn {})),
                ("recheck", |f| matches!(f, Fact::Rechecked { .. })),
            ];
            for (name, kind) in kinds {
                let at = at.clone();
                left_out.push((
                    format!("{name} of {}", e.id),
                    Box::new(move |t| t.subject == at && kind(&t.fact)),
                ));
            }
            let holds: Vec<String> = phone
                .told
                .iter()
                .filter(
                    |t| matches!(&t.fact, Fact::HoldStarted { setup } if setup.enclosure == e.id),
                )
                .map(|t| t.subject.clone())
                .collect();
            let ends = holds.clone();
            left_out.push((
                format!("hold of {}", e.id),
                Box::new(move |t| {
                    holds.contains(&t.subject) && matches!(t.fact, Fact::HoldStarted { .. })
                }),
            ));
            left_out.push((
                format!("verdict of {}", e.id),
                Box::new(move |t| {
                    ends.contains(&t.subject) && matches!(t.fact, Fact::HoldConcluded { .. })
                }),
            ));
        }
        for s in def.seals.iter().filter(|s| s.closure.is_some()) {
            let at = format!("{RIG}/seal/{}", s.id);
            left_out.push((
                format!("service of {}", s.id),
                Box::new(move |t| t.subject == at),
            ));
        }
        for c in def.controls.iter().filter(|c| c.assigned()) {
            let at = format!("{RIG}/control/{}", c.id);
            left_out.push((
                format!("test of {}", c.id),
                Box::new(move |t| {
                    t.subject == at && matches!(t.fact, Fact::ControlTested { works: true, .. })
                }),
            ));
        }
        for e in &def.enclosures {
            let at = format!("{RIG}/enclosure/{}", e.id);
            left_out.push((
                format!("looks at the plug of {}", e.id),
                Box::new(move |t| t.subject == at && matches!(t.fact, Fact::SecondLook { .. })),
            ));
        }
        left_out.push((
            "walked round".into(),
            Box::new(|t| matches!(t.fact, Fact::WalkedRound {})),
        ));
        left_out.push((
            "walked round again".into(),
            Box::new(|t| t.subject == RIG && matches!(t.fact, Fact::SecondLook { .. })),
        ));
        for s in steps()
            .into_iter()
            .filter(|s| s.step.two_person && s.key != "sign")
        {
            for signed in [false, true] {
                let Some(prep) = phone.prep_with(&s.key) else {
                    continue;
                };
                let (prep, key) = (format!("{RIG}/prep/{prep}"), s.key.clone());
                left_out.push((
                    format!("{} {}", s.key, if signed { "signed" } else { "done" }),
                    Box::new(move |t| {
                        t.subject == prep
                            && match &t.fact {
                                Fact::StepSigned { key: k, .. } => signed && *k == key,
                                Fact::StepDone { key: k, .. } => !signed && *k == key,
                                _ => false,
                            }
                    }),
                ));
            }
        }
        left_out.push((
            "preps".into(),
            Box::new(|t| matches!(t.fact, Fact::PrepStarted { .. })),
        ));
        left_out.push((
            "defects put right".into(),
            Box::new(|t| matches!(t.fact, Fact::DefectClosed { .. })),
        ));
        left_out.push((
            "closings".into(),
            Box::new(|t| matches!(t.fact, Fact::Closed {})),
        ));
        // The whole history told again is ready, so that what is left out is what makes the
        // difference.
        left_out.push(("nothing".into(), Box::new(|_| false)));
        for (what, leaves) in left_out {
            let dir = folder();
            let mut again = Phone::open(dir.path(), 2, MORNING_MS);
            let mut dropped = 0;
            let mut batch: Vec<(String, Fact)> = Vec::new();
            let mut told_before: Vec<String> = Vec::new();
            let mut events: BTreeMap<String, String> = BTreeMap::new();
            for (i, t) in phone.told.iter().enumerate() {
                if leaves(t) {
                    dropped += 1;
                } else {
                    let mut fact = t.fact.clone();
                    // Told again it is another event that it was given at.
                    if let Fact::SecondLook {
                        look: Look { of: at, .. },
                    }
                    | Fact::SealLookedAgain { event: at, .. }
                    | Fact::LossSigned { event: at, .. }
                    | Fact::UnreadAnswered { event: at, .. } = &mut fact
                        && let Some(now) = events.get(at)
                    {
                        at.clone_from(now);
                    }
                    told_before.push(t.reference.clone());
                    batch.push((t.subject.clone(), fact));
                }
                let more = phone
                    .told
                    .get(i + 1)
                    .is_some_and(|n| n.author == t.author && n.wall_ms == t.wall_ms);
                if !more {
                    again.clock.set(t.wall_ms);
                    let recorded = again
                        .book
                        .record_as(&t.author, std::mem::take(&mut batch))
                        .unwrap();
                    let now = recorded.events.iter().map(ToString::to_string);
                    events.extend(std::mem::take(&mut told_before).into_iter().zip(now));
                }
            }
            again.clock.set(phone.book.now().wall_ms);
            again.hear();
            assert_eq!(
                dropped > 0,
                what != "nothing",
                "{what} is not in the history"
            );
            let answer = again.says();
            compare(&answer, &again.model()).unwrap();
            let left = &answer.obstacles;
            assert_eq!(
                answer.is_ready(),
                what == "nothing",
                "without {what}: {left:?}"
            );
            tried += 1;
        }
    }
    assert!(tried > 60, "{tried}");
}

/// Whether two facts about one subject say the same kind of thing.
fn about_the_same(a: &Fact, b: &Fact) -> bool {
    match (a, b) {
        (Fact::StepDone { key: a, .. }, Fact::StepDone { key: b, .. })
        | (Fact::StepSigned { key: a, .. }, Fact::StepSigned { key: b, .. }) => a == b,
        (Fact::SealServiced { .. } | Fact::SealFitted { .. }, b) => {
            matches!(b, Fact::SealServiced { .. } | Fact::SealFitted { .. })
        }
        _ => std::mem::discriminant(a) == std::mem::discriminant(b),
    }
}

#[test]
fn taking_any_one_piece_of_evidence_back_is_judged_as_the_rules_say() {
    let mut not_ready = 0;
    let mut still = 0;
    for seed in [3, 4] {
        let dir = folder();
        let phone = ready_history(dir.path(), seed);
        // The same phone goes on, never switched off.
        let (told, clock) = (phone.told.clone(), phone.clock.clone());
        let def = phone.def();
        let preps: BTreeMap<String, String> = steps()
            .into_iter()
            .filter(|s| s.step.two_person)
            .filter_map(|s| {
                let prep = phone.prep_with(&s.key)?;
                Some((s.key, format!("{RIG}/prep/{prep}")))
            })
            .collect();
        let last_holds: Vec<String> = def
            .enclosures
            .iter()
            .map(|e| format!("{RIG}/hold/{}", phone.last_hold_of(&e.id)))
            .collect();
        // What readiness asks about.
        let wanted: BTreeSet<String> = def
            .enclosures
            .iter()
            .map(|e| format!("{RIG}/enclosure/{}", e.id))
            .chain([RIG.to_owned()])
            .chain(
                def.seals
                    .iter()
                    .filter(|s| s.closure.is_some())
                    .map(|s| format!("{RIG}/seal/{}", s.id)),
            )
            .chain(
                def.controls
                    .iter()
                    .filter(|c| c.assigned())
                    .map(|c| format!("{RIG}/control/{}", c.id)),
            )
            .collect();
        drop(phone);
        for t in told.iter().filter(|t| is_evidence(&t.fact)) {
            let copy = folder();
            for name in ["slackwater.db", "slackwater.db-wal", "device.key"] {
                let from = dir.path().join(name);
                if from.exists() {
                    std::fs::copy(from, copy.path().join(name)).unwrap();
                }
            }
            let mut phone = Phone::open_at(copy.path(), 5, FixedClock::before(&*clock, 0));
            phone.told = told.clone();
            assert!(phone.says().is_ready());
            phone.book.undo(&t.reference).unwrap();
            phone.hear();
            let answer = phone.says();
            compare(&answer, &phone.model()).unwrap();
            // Ready only if the same was recorded another time, or it is of no more concern.
            if answer.is_ready() {
                let other = told.iter().any(|o| {
                    o.reference != t.reference
                        && about_the_same(&o.fact, &t.fact)
                        && o.subject == t.subject
                });
                let concerns = match &t.fact {
                    // Answers only what it came after: harm may have been done since, or never.
                    Fact::Inspected { .. } | Fact::UnreadAnswered { .. } => false,
                    Fact::HoldConcluded { .. } => last_holds.contains(&t.subject),
                    Fact::StepDone { key, .. } | Fact::StepSigned { key, .. } => {
                        preps.get(key) == Some(&t.subject) && key != "sign"
                    }
                    // A new ring put in since answers the finding as well.
                    Fact::SealLookedAgain { event, .. } => {
                        let found = told.iter().find(|o| o.reference == *event);
                        !told.iter().any(|o| {
                            o.subject == t.subject
                                && matches!(
                                    o.fact,
                                    Fact::SealFitted {
                                        fitted_ms: None,
                                        ..
                                    }
                                )
                                && found.is_some_and(|f| o.order > f.order)
                        })
                    }
                    _ => wanted.contains(&t.subject),
                };
                assert!(other || !concerns, "ready without {t:?}");
                still += 1;
            } else {
                not_ready += 1;
            }
        }
    }
    println!("{not_ready} corrections took readiness away, {still} left older evidence standing");
    assert!(not_ready > 40);
}

// ---- several phones ----

/// What happens among phones.
#[derive(Debug, Clone)]
enum Meeting {
    /// Somebody does something on a phone.
    Does(u8, Action),
    /// One phone hands another some of what it knows.
    Tells(u8, u8, u8),
}

fn meeting() -> impl Strategy<Value = Meeting> {
    prop_oneof![
        6 => (any::<u8>(), action()).prop_map(|(p, a)| Meeting::Does(p, a)),
        1 => (any::<u8>(), any::<u8>(), any::<u8>()).prop_map(|(a, b, n)| Meeting::Tells(a, b, n)),
    ]
}

/// What is ready must be so in whatever order that apart of each other may have come about; and what
/// is not must be so in one of them. Gives whether it was not, and no order was found that explains it.
fn compare_in_every_order(phone: &Phone, dice: u64) -> Result<bool, TestCaseError> {
    let heard = phone.book.journal().heard().unwrap();
    let core = phone.says();
    // What was told with gaps is in no order.
    let gap = (core.obstacles.iter()).any(|o| matches!(o, Obstacle::NotHere { .. }));
    let mut unready = gap;
    for told in orders(&phone.told, &heard, 6, dice | 1) {
        let Some(model) = judge(&told, RIG, phone.book.now()) else {
            continue;
        };
        unready |= !model.missing.is_empty();
        prop_assert!(
            !core.is_ready() || model.missing.is_empty(),
            "ready, and not so if it came about in this order: {:?}\n{:#?}",
            model.missing,
            told.iter()
                .map(|t| (&t.subject, &t.fact))
                .collect::<Vec<_>>()
        );
    }
    Ok(!core.is_ready() && !unready)
}

/// Hands over events in an order that keeps each device's own, mixed by `mix`.
fn deliver(events: &[Event], mix: u64, to: &mut Book) {
    let mut queues: Vec<Vec<&Event>> = Vec::new();
    for e in events {
        match queues.iter_mut().find(|q| q[0].device == e.device) {
            Some(q) => q.push(e),
            None => queues.push(vec![e]),
        }
    }
    for q in &mut queues {
        q.reverse();
    }
    let mut random = mix;
    while !queues.is_empty() {
        // Knuth's constants of a linear congruential generator; its high bits choose the queue.
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let which = (random >> 33) as usize % queues.len();
        if let Some(e) = queues[which].pop() {
            assert!(to.ingest(e).unwrap());
        }
        if queues[which].is_empty() {
            queues.remove(which);
        }
    }
}

/// What differs, in few words: whole, the facts of a rig fill pages.
fn differing(a: &RigFacts, b: &RigFacts) -> String {
    if a == b {
        return String::new();
    }
    let parts = |f: &RigFacts| -> Vec<String> {
        let mut parts = vec![format!(
            "{} {:?} {} {:?} {:?} {}",
            f.id, f.def, f.retired, f.unfinished, f.dived, f.recheck_limit_ms
        )];
        parts.extend(f.enclosures.iter().map(|x| format!("{x:#?}")));
        parts.extend(f.seals.iter().map(|x| format!("{x:?}")));
        parts.extend(f.controls.iter().map(|x| format!("{x:?}")));
        parts.push(format!("{:?}", f.defects));
        if let Some(prep) = &f.prep {
            parts.push(format!("{} {:?} {:?}", prep.id, prep.holder, prep.ended));
            let steps: std::collections::BTreeMap<_, _> = prep.done.iter().collect();
            parts.push(format!("{steps:#?}"));
        }
        let text = parts.join("\n");
        text.lines().map(|l| l.trim().to_owned()).collect()
    };
    let (a, b) = (parts(a), parts(b));
    a.iter()
        .zip(&b)
        .filter(|(a, b)| a != b)
        .take(8)
        .map(|(a, b)| format!("{a}\n    | {b}\n"))
        .collect()
}

#[test]
fn whatever_the_order_of_arrival_all_phones_know_the_same() {
    let ready = Cell::new(0u32);
    let cases = Cell::new(0u32);
    let corrections = Cell::new(0u32);
    let (strict, compared) = (Cell::new(0u32), Cell::new(0u32));
    let given = (
        2usize..4,
        prop::collection::vec(meeting(), 10..70),
        prop::array::uniform3(any::<u64>()),
        prop::bool::weighted(0.7),
    );
    runner(14)
        .run(&given, |(count, meetings, mixes, end_ready)| {
            let dirs: Vec<_> = (0..count).map(|_| folder()).collect();
            // Clocks that don't agree.
            let mut phones: Vec<Phone> = dirs
                .iter()
                .enumerate()
                .map(|(i, d)| Phone::open(d.path(), 1 + i as u64, MORNING_MS + i as i64 * 37_000))
                .collect();
            phones[0].record("ana", vec![defined(&base_def())]);
            phones[0].mend_all();
            let base = events_of(&phones[0].book);
            for phone in &mut phones[1..] {
                deliver(&base, 0, &mut phone.book);
                phone.hear();
            }
            for m in &meetings {
                match m {
                    Meeting::Does(p, action) => {
                        let phone = &mut phones[usize::from(*p) % count];
                        act(phone, action, false);
                        strict.set(
                            strict.get() + u32::from(compare_in_every_order(phone, mixes[0])?),
                        );
                        compared.set(compared.get() + 1);
                    }
                    Meeting::Tells(a, b, share) => {
                        let (a, b) = (usize::from(*a) % count, usize::from(*b) % count);
                        if a == b {
                            continue;
                        }
                        let own = phones[b].book.journal().device();
                        let mut events = events_of(&phones[a].book);
                        events.retain(|e| e.device != own);
                        let some = events.len() * (1 + usize::from(*share)) / 256;
                        for e in &events[..some] {
                            phones[b].book.ingest(e).unwrap();
                        }
                        phones[b].hear();
                        let phone = &phones[b];
                        strict.set(
                            strict.get() + u32::from(compare_in_every_order(phone, mixes[1])?),
                        );
                        compared.set(compared.get() + 1);
                    }
                }
            }
            // All meet; one goes on until ready.
            let mut all: Vec<Event> = Vec::new();
            for p in &phones {
                let own = p.book.journal().device();
                all.extend(events_of(&p.book).into_iter().filter(|e| e.device == own));
            }
            for p in &mut phones {
                for e in &all {
                    p.book.ingest(e).unwrap();
                }
                p.hear();
            }
            if end_ready {
                let late = phones.iter().map(|p| p.book.now().wall_ms).max().unwrap();
                for p in &phones {
                    p.clock.set(late);
                }
                let before = phones[0].told.len();
                phones[0].mend_all();
                let device = phones[0].book.journal().device();
                let new: Vec<Event> = events_of(&phones[0].book)
                    .into_iter()
                    .filter(|e| e.device == device)
                    .filter(|e| !all.iter().any(|a| a.reference() == e.reference()))
                    .collect();
                assert_eq!(new.len(), phones[0].told.len() - before);
                for p in &mut phones[1..] {
                    for e in &new {
                        p.book.ingest(e).unwrap();
                    }
                    p.hear();
                }
                all.extend(new);
            }
            strict.set(strict.get() + u32::from(compare_in_every_order(&phones[0], mixes[2])?));
            compared.set(compared.get() + 1);
            // What each phone's clock showed in its life is its own; at one time, all say the same.
            let facts = phones[0].book.rig(RIG).unwrap();
            let now = phones[0].book.now();
            let now = Now::at(now.wall_ms, now.newest);
            let answer = readiness(&facts, now);
            if end_ready {
                prop_assert!(
                    answer.is_ready(),
                    "what one phone does after hearing all is no dead end: {:?}",
                    answer.obstacles
                );
            }
            let same = |p: &Phone| -> Result<(), TestCaseError> {
                let theirs = p.book.rig(RIG).unwrap();
                prop_assert!(*theirs == *facts, "{}", differing(&theirs, &facts));
                prop_assert_eq!(&readiness(&theirs, now), &answer);
                Ok(())
            };
            for p in &phones[1..] {
                same(p)?;
            }
            for mix in &mixes {
                let dir = folder();
                let mut fresh = Phone::open(dir.path(), 77, now.wall_ms);
                deliver(&all, *mix, &mut fresh.book);
                same(&fresh)?;
                // A second delivery is passed over.
                for e in all.iter().take(5) {
                    assert!(!fresh.book.ingest(e).unwrap());
                }
                same(&fresh)?;
            }
            cases.set(cases.get() + 1);
            if answer.is_ready() {
                ready.set(ready.get() + 1);
            }
            if all
                .iter()
                .any(|e| matches!(Told::from_event(e).fact, Fact::Retracted { .. }))
            {
                corrections.set(corrections.get() + 1);
            }
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
    println!(
        "{} cases, {} end ready, {} with corrections; {} of {} times not ready without an order that says so",
        cases.get(),
        ready.get(),
        corrections.get(),
        strict.get(),
        compared.get()
    );
    assert!(
        strict.get() * 20 <= compared.get(),
        "so strict that crews stop looking"
    );
    assert!(ready.get() * 3 > cases.get());
    assert!(corrections.get() * 2 > cases.get());
}

#[test]
fn forged_gapped_and_forked_events_are_refused_and_change_nothing() {
    let dir = folder();
    let mut phone = Phone::open(dir.path(), 1, MORNING_MS);
    phone.record("ana", vec![defined(&base_def())]);
    phone.mend_all();
    let events = events_of(&phone.book);
    let dir = folder();
    let mut other = Phone::open(dir.path(), 2, phone.book.now().wall_ms);
    let half = events.len() / 2;
    for e in &events[..half] {
        assert!(other.book.ingest(e).unwrap());
    }
    let facts = other.book.rig(RIG).unwrap();
    let next = &events[half];
    // Forged: any field that isn't what was signed, and a hash made to fit.
    let changes: [fn(&mut Event); 9] = [
        |e| e.body = b"{\"fact\":\"closed\"}".to_vec(),
        |e| e.author = "dan".into(),
        |e| e.subject = format!("{RIG}/enclosure/other"),
        |e| e.wall_ms += 1,
        |e| e.hlc.0 += 1,
        |e| e.kind = "closed".into(),
        |e| e.prev[0] ^= 1,
        |e| e.device.0[0] ^= 1,
        |e| e.signature[10] ^= 1,
    ];
    for (i, change) in changes.iter().enumerate() {
        let mut forged = next.clone();
        change(&mut forged);
        assert_ne!(forged, *next, "change {i} changes nothing");
        for fit_hash in [false, true] {
            if fit_hash {
                forged.hash = forged.compute_hash();
            }
            let refused = other.book.ingest(&forged);
            assert!(
                matches!(refused, Err(IngestFault::Forged(..))),
                "change {i}: {refused:?}"
            );
        }
    }
    // Gapped.
    let wanted_seq = next.seq;
    for gapped in &events[half + 1..] {
        let refused = other.book.ingest(gapped);
        assert!(
            matches!(refused, Err(IngestFault::Gap { wanted, .. }) if wanted == wanted_seq),
            "{refused:?}"
        );
    }
    // Forked: two phones under one key write two histories.
    let forked = |seed: u64, order: &[&str]| {
        let dir = folder();
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let mut doors = env(&clock, seed);
        doors.device_seed = Some([9; 32]);
        let mut book = Book::open(dir.path(), doors).unwrap();
        let about = |e: &str| format!("other/enclosure/{e}");
        for e in ["main"].iter().chain(order) {
            book.record(vec![(about(e), Fact::Closed {})]).unwrap();
        }
        events_of(&book)
    };
    let one = forked(1, &["main", "monitor"]);
    other.book.hold_phone("ana").unwrap();
    other.book.admit(&[one[0].device]).unwrap();
    let two = forked(1, &["monitor", "main"]);
    assert_eq!(one[0], two[0]);
    for e in &one[..2] {
        assert!(other.book.ingest(e).unwrap());
    }
    // Another event in the same place, and one that follows another history.
    for fork in &two[1..] {
        // Kept beside, once.
        assert!(other.book.ingest(fork).unwrap());
        assert!(!other.book.ingest(fork).unwrap());
    }
    assert!(other.book.ingest(&one[2]).unwrap());
    // None of it left a trace, and the rest still comes in.
    let of_rig = |e: &&Event| e.subject.split('/').next() == Some(RIG);
    assert_eq!(
        other.book.journal().count(Some(RIG)).unwrap() as usize,
        events[..half].iter().filter(of_rig).count()
    );
    // What is kept beside is about no rig known here, and only told.
    let but_for_the_forks = |book: &Book| {
        let mut facts = (*book.rig(RIG).unwrap()).clone();
        assert_eq!(facts.unread_of_crew, 2);
        facts.unread_of_crew = 0;
        facts
    };
    assert_eq!(but_for_the_forks(&other.book), *facts);
    for e in &events[half..] {
        assert!(other.book.ingest(e).unwrap());
    }
    assert_eq!(
        but_for_the_forks(&other.book),
        *phone.book.rig(RIG).unwrap()
    );
    let count = other.book.journal().verify_all(|_| ()).unwrap();
    let device = other.book.journal().device();
    let own = events_of(&other.book);
    let own = own.iter().filter(|e| e.device == device).count();
    assert_eq!(count as usize, events.len() + one.len() + own);
}

// ---- single cases that the rules decide ----

/// A phone with the small rig, ready.
fn ready_phone() -> (tempfile::TempDir, Phone) {
    let dir = folder();
    let mut phone = Phone::open(dir.path(), 1, MORNING_MS);
    phone.record("ana", vec![defined(&base_def())]);
    phone.mend_all();
    assert!(phone.says().is_ready());
    (dir, phone)
}

fn agrees(phone: &Phone) {
    compare(&phone.says(), &phone.model()).unwrap();
}

#[test]
fn a_leak_found_by_an_overlapping_hold_stands_however_many_holds_came_since() {
    let (_dir, mut phone) = ready_phone();
    let def = phone.def();
    phone.record("ana", vec![hold_started("night", &def, "main")]);
    for id in ["a", "b", "c", "d"] {
        phone.clock.advance(MINUTE);
        phone.record(
            "ben",
            vec![
                hold_started(id, &def, "main"),
                hold_concluded(id, &def, "main", VerdictFact::Holding),
            ],
        );
    }
    let leak = hold_concluded("night", &def, "main", VerdictFact::Leaking);
    phone.record("ana", vec![leak]);
    phone.record(
        "ben",
        vec![
            fact_enclosure("main", Fact::PlugOn {}),
            rechecked("d", "main", VerdictFact::Holding),
        ],
    );
    assert!(!phone.says().is_ready());
    agrees(&phone);
}

#[test]
fn a_leak_found_stands_though_the_closing_was_recorded_again_in_between() {
    let (_dir, mut phone) = ready_phone();
    let def = phone.def();
    phone.record("ana", vec![hold_started("first", &def, "main")]);
    // Another phone's crew records the same closing, later, and holds too.
    phone.record(
        "ben",
        vec![
            fact_enclosure("main", Fact::Closed {}),
            hold_started("second", &def, "main"),
            hold_concluded("second", &def, "main", VerdictFact::Holding),
        ],
    );
    let leak = hold_concluded("first", &def, "main", VerdictFact::Leaking);
    phone.record("ana", vec![leak]);
    phone.record(
        "ben",
        vec![
            fact_enclosure("main", Fact::PlugOn {}),
            tested("record", true),
            rechecked("second", "main", VerdictFact::Holding),
        ],
    );
    assert!(!phone.says().is_ready());
    agrees(&phone);
}

#[test]
fn of_two_verdicts_on_one_hold_the_worse_stands_in_any_order() {
    use VerdictFact::{Holding, Leaking, NotYet};
    for verdicts in [
        [Holding, Leaking],
        [Leaking, Holding],
        [Holding, NotYet],
        [NotYet, Holding],
        [NotYet, Leaking],
        [Leaking, NotYet],
        [Holding, Holding],
    ] {
        let (_dir, mut phone) = ready_phone();
        let def = phone.def();
        phone.record("ana", vec![hold_started("h", &def, "main")]);
        for verdict in verdicts {
            phone.clock.advance(MINUTE);
            phone.record("ben", vec![hold_concluded("h", &def, "main", verdict)]);
        }
        phone.record(
            "ana",
            vec![
                fact_enclosure("main", Fact::PlugOn {}),
                rechecked("h", "main", Holding),
            ],
        );
        let at = format!("{RIG}/enclosure/main");
        phone.look("ben", &at, |f| matches!(f, Fact::PlugOn {}), "");
        agrees(&phone);
        assert_eq!(
            phone.says().is_ready(),
            verdicts == [Holding, Holding],
            "{verdicts:?}"
        );
        // The best verdict alone can be taken back; that brings no other back.
        let holding: Vec<String> = phone
            .told
            .iter()
            .filter(|t| t.subject.ends_with("/h") && is_evidence(&t.fact))
            .map(|t| t.reference.clone())
            .collect();
        for reference in holding {
            phone.book.undo(&reference).unwrap();
            phone.hear();
            agrees(&phone);
        }
        assert!(!phone.says().is_ready(), "{verdicts:?}");
    }
}

#[test]
fn news_that_someone_took_back_stands_also_where_it_came_in_first() {
    let (one, two, three) = (folder(), folder(), folder());
    let mut a = Phone::open(one.path(), 1, MORNING_MS);
    let mut b = Phone::open(two.path(), 2, MORNING_MS + MINUTE);
    a.record("ana", vec![defined(&base_def())]);
    let def = a.def();
    a.record("ana", vec![hold_started("h", &def, "main")]);
    deliver(&events_of(&a.book), 0, &mut b.book);
    b.hear();
    let reason = "pump failed".into();
    let gave_up = Fact::HoldAbandoned { reason };
    b.record("ben", vec![(format!("{RIG}/hold/h"), gave_up)]);
    // A program that doesn't ask whether that can be taken back.
    let event = b.told.last().unwrap().reference.clone();
    b.record(
        "ben",
        vec![(format!("{RIG}/hold/h"), Fact::Retracted { event })],
    );
    let all = events_of(&b.book);
    let own = b.book.journal().device();
    // The third hears of the end before the beginning.
    let c = Phone::open(three.path(), 3, MORNING_MS + MINUTE);
    let mut c = c.book;
    for first in [true, false] {
        for e in all.iter().filter(|e| (e.device == own) == first) {
            c.ingest(e).unwrap();
        }
    }
    for book in [&b.book, &c] {
        let rig = book.rig(RIG).unwrap();
        let hold = &rig.enclosure("main").unwrap().holds[0];
        assert_eq!(hold.abandoned.as_deref(), Some("pump failed"));
    }
}

#[test]
fn a_date_said_later_does_not_forget_openings() {
    let (_dir, mut phone) = ready_phone();
    for _ in 0..8 {
        phone.clock.advance(MINUTE);
        phone.record("ana", vec![opened("main", Some("back"))]);
    }
    let due = Missing::SealDue("main-back".into());
    assert!(phone.model().missing.contains(&due));
    agrees(&phone);
    // 'This ring has been in since last month': no new ring.
    phone
        .book
        .fit_seal(RIG, "main-back", "", "", Some(MORNING_MS - 30 * DAY))
        .unwrap();
    phone.hear();
    assert!(phone.model().missing.contains(&due));
    agrees(&phone);
    // Seen: 'in use since today' cleared four limits by openings, with the old ring in.
    let today = slackwater_core::journal::Clock::now_ms(&*phone.clock);
    phone
        .book
        .fit_seal(RIG, "main-back", "", "", Some(today))
        .unwrap();
    phone.hear();
    assert!(phone.model().missing.contains(&due));
    agrees(&phone);
}

fn read(mbar: f64, t_s: f64) -> Fact {
    let reading = ReadingFact {
        t_s,
        gauge_pa: mbar * 100.0,
        ..ReadingFact::default()
    };
    Fact::HoldReading { reading }
}

/// A verdict that covers so many entries of its hold.
fn covering(id: &str, def: &RigDef, verdict: VerdictFact, covers: u32) -> (String, Fact) {
    let (subject, mut fact) = hold_concluded(id, def, "main", verdict);
    if let Fact::HoldConcluded { result } = &mut fact {
        result.covers = Some(covers);
    }
    (subject, fact)
}

#[test]
fn a_verdict_counts_only_while_it_covers_every_reading_known() {
    use VerdictFact::{Holding, Leaking, NotYet};
    let (_dir, mut phone) = ready_phone();
    let def = phone.def();
    let at = format!("{RIG}/hold/two");
    let missing = Missing::Hold("main".into());
    phone.record("ana", vec![hold_started("two", &def, "main")]);
    for n in 0..3 {
        phone.record("ana", vec![(at.clone(), read(200.0, 60.0 * f64::from(n)))]);
    }
    // Seen: who ended the hold decided, whatever another phone had read of it meanwhile.
    phone.record("ana", vec![covering("two", &def, Holding, 3)]);
    agrees(&phone);
    assert!(!phone.model().missing.contains(&missing));
    let unlikely = Remark::Unlikely {
        enclosure: "main".into(),
    };
    assert!(!phone.says().remarks.contains(&unlikely));
    let mut odd = read(150.0, 240.0);
    if let Fact::HoldReading { reading } = &mut odd {
        reading.confirmed = true;
    }
    phone.record("ben", vec![(at.clone(), odd)]);
    agrees(&phone);
    assert!(phone.model().missing.contains(&missing));
    // Judged again by all four, it is what that says; what covered fewer is behind it.
    phone.record("ben", vec![covering("two", &def, Holding, 4)]);
    agrees(&phone);
    assert!(!phone.model().missing.contains(&missing));
    // What was asked about and confirmed is told to whoever relies on it.
    assert!(phone.says().remarks.contains(&unlikely));
    phone.record("ana", vec![covering("two", &def, NotYet, 3)]);
    agrees(&phone);
    assert!(!phone.model().missing.contains(&missing));
    // Of two that cover as many, the worse.
    phone.record("ana", vec![covering("two", &def, Leaking, 4)]);
    agrees(&phone);
    assert!(phone.model().missing.contains(&missing));
}

#[test]
fn readings_and_verdicts_of_two_phones_come_out_the_same_in_every_order() {
    let folders: Vec<_> = (0..4).map(|_| folder()).collect();
    let mut a = Phone::open(folders[0].path(), 1, MORNING_MS);
    let mut b = Phone::open(folders[1].path(), 2, MORNING_MS + MINUTE);
    a.record("ana", vec![defined(&base_def())]);
    let def = a.def();
    let at = format!("{RIG}/hold/h");
    a.record(
        "ana",
        vec![
            hold_started("h", &def, "main"),
            (at.clone(), read(200.0, 0.0)),
        ],
    );
    deliver(&events_of(&a.book), 0, &mut b.book);
    b.hear();
    // Neither knows of what the other reads and concludes.
    a.record("ana", vec![(at.clone(), read(200.0, 60.0))]);
    a.record("ana", vec![covering("h", &def, VerdictFact::Holding, 2)]);
    b.record(
        "ben",
        vec![
            (at.clone(), read(190.0, 90.0)),
            (at.clone(), read(180.0, 150.0)),
        ],
    );
    b.record("ben", vec![covering("h", &def, VerdictFact::Leaking, 3)]);
    let (ours, theirs) = (events_of(&a.book), events_of(&b.book));
    let own = b.book.journal().device();
    let theirs: Vec<_> = theirs.into_iter().filter(|e| e.device == own).collect();
    let mut seen = Vec::new();
    for (n, first) in [true, false].into_iter().enumerate() {
        let c = Phone::open(folders[2 + n].path(), 3 + n as u64, MORNING_MS + MINUTE);
        let mut c = c.book;
        let (one, two) = if first {
            (&ours, &theirs)
        } else {
            (&theirs, &ours)
        };
        for e in one.iter().chain(two) {
            c.ingest(e).unwrap();
        }
        let rig = c.rig(RIG).unwrap();
        let hold = rig.enclosure("main").unwrap().holds[0].clone();
        assert_eq!(hold.entries, 4);
        seen.push(hold);
    }
    assert_eq!(seen[0], seen[1]);
    // The verdict that covers more stands, and covers not all.
    let covers = seen[0].concluded.as_ref().unwrap().2.covers;
    assert_eq!(covers, Some(3));
}

#[test]
fn moving_a_disturbed_seal_on_paper_is_no_service() {
    let (_dir, mut phone) = ready_phone();
    phone.record("ana", vec![opened("main", Some("port"))]);
    let mut def = phone.def();
    for s in &mut def.seals {
        if s.id == "main-port" {
            s.closure = Some("back".into());
        }
    }
    phone.book.edit_rig(RIG, def).unwrap();
    phone.hear();
    let wanted = Missing::Service("main-port".into());
    assert!(phone.model().missing.contains(&wanted));
    agrees(&phone);
}

#[test]
fn a_recheck_that_rests_on_another_hold_does_not_count() {
    let (_dir, mut phone) = ready_phone();
    let def = phone.def();
    let old = phone.last_hold_of("main");
    phone.record(
        "ana",
        vec![
            hold_started("new", &def, "main"),
            hold_concluded("new", &def, "main", VerdictFact::Holding),
            fact_enclosure("main", Fact::PlugOn {}),
        ],
    );
    // Written on a phone that had not heard of the new hold: compared with the old one's vacuum,
    // which is gone.
    phone.record("ben", vec![rechecked(&old, "main", VerdictFact::Holding)]);
    assert!(!phone.says().is_ready());
}

#[test]
fn a_clock_set_back_without_a_new_fact_makes_no_old_recheck_young() {
    let (_dir, phone) = ready_phone();
    phone.clock.advance(3 * HOUR);
    assert!(!phone.says().is_ready());
    phone.clock.advance(-2 * HOUR - 30 * MINUTE);
    assert!(!phone.says().is_ready());
}

#[test]
fn a_phone_that_gets_its_own_events_back_goes_on_recording() {
    let (dir, mut phone) = ready_phone();
    // A copy made in time, as a backup is; then the phone goes on, and others hear of it.
    let copy = folder();
    for name in ["slackwater.db", "slackwater.db-wal", "device.key"] {
        let from = dir.path().join(name);
        if from.exists() {
            std::fs::copy(from, copy.path().join(name)).unwrap();
        }
    }
    phone.record("ana", vec![opened("main", None)]);
    let all = events_of(&phone.book);
    // The copy stands in for the phone and hears from the others what it wrote itself.
    let mut again = Phone::open(copy.path(), 3, phone.book.now().wall_ms);
    for e in &all {
        again.book.ingest(e).unwrap();
    }
    let facts = vec![fact_enclosure("main", Fact::Closed {})];
    again.book.record_as("ana", facts).unwrap();
    assert_eq!(
        again.book.journal().verify_all(|_| ()).unwrap() as usize,
        all.len() + 1
    );
}

#[test]
fn figures_out_of_range_in_the_record_do_not_stop_the_judgement() {
    let (_dir, mut phone) = ready_phone();
    for minutes in ["9999999999999999", "-9999999999999999", "soon", ""] {
        phone
            .book
            .choose(&[("recheck_limit_min", minutes)])
            .unwrap();
        phone.says();
    }
    for fitted_ms in [i64::MAX, i64::MIN] {
        let fact = Fact::SealFitted {
            pack: String::new(),
            cured: String::new(),
            fitted_ms: Some(fitted_ms),
            lot: None,
            found: None,
            ring: None,
        };
        phone
            .book
            .record(vec![(format!("{RIG}/seal/main-port"), fact)])
            .unwrap();
        phone.says();
    }
}

#[test]
fn a_fact_with_a_figure_that_is_no_number_is_refused_or_kept_but_never_lost() {
    let (_dir, mut phone) = ready_phone();
    let def = phone.def();
    phone.record("ana", vec![hold_started("h", &def, "main")]);
    let (subject, fact) = hold_concluded("h", &def, "main", VerdictFact::Leaking);
    let Fact::HoldConcluded { mut result } = fact else {
        unreachable!()
    };
    result.high_ml = f64::INFINITY;
    let recorded = phone
        .book
        .record(vec![(subject, Fact::HoldConcluded { result })]);
    if recorded.is_ok() {
        phone.hear();
        let kept = phone.told.last().unwrap();
        assert!(matches!(kept.fact, Fact::HoldConcluded { .. }), "{kept:?}");
    }
}
