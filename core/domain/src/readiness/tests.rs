//! A rig in order, written down fact by fact, and what is said of it once one thing is otherwise:
//! readiness and its rules at their borders, without a store. Times are minutes of one morning.

use std::collections::{BTreeMap, HashMap};

use super::*;
use crate::crew::{CrewFacts, Known, Look};
use crate::facts::{HoldResult, HoldSetup, Loss, LossKind, ReadingFact, RecheckFact, VerdictFact};
use crate::procedure::{Each, ProcedureKind, Step, StepInstance, StepKind, Target};
use crate::rig::{
    Closure, ClosureKind, Control, Enclosure, LensConfig, Penetrator, RigDef, SealLimits, Valve,
};
use crate::rules::age::{age_is_sure, age_is_told};
use crate::rules::{
    self, News, Proof, age_days, age_ms, attests, closed_since, in_use, losses, mistyped, plug_in,
    proved_since, reopen_void, stored_too_long, to_look_into, unanswered, untested, wet,
    within_step,
};
use crate::state::{
    Causes, ControlFacts, DeepDive, DefectFacts, EnclosureFacts, Fitted, GoneFault, HoldFacts,
    LossFacts, RecheckSeen, Seen, StepFacts, Told, UnreadFacts,
};
use slackwater_journal::{BootId, BootTime, DeviceId, Hlc, Stamp};
use slackwater_physics::hold::ShutIn;
use slackwater_physics::oring::GreaseBase;

/// 2026-06-01 06:00 UTC.
const MORNING_MS: i64 = 1_780_293_600_000;

/// Something that is otherwise.
type Change = fn(&mut RigFacts);
/// The same of what the crew says of its rig.
type Edit = fn(&mut RigDef);

fn ms(minute: i64) -> i64 {
    MORNING_MS + minute * 60_000
}

/// All was written on one phone, one thing after the other.
fn stamp(minute: i64) -> Stamp {
    let place = u64::try_from(minute + 1_000).unwrap();
    Stamp::new(Hlc::at(ms(minute)), DeviceId([1; 32]), place)
}

fn by(author: &str, minute: i64) -> Seen {
    Seen {
        stamp: stamp(minute),
        wall_ms: ms(minute),
        author: author.into(),
        value: String::new(),
    }
}

fn noted(minute: i64) -> Option<Seen> {
    Some(by("ana", minute))
}

fn seen(minute: i64) -> Option<Told> {
    noted(minute).map(Told::from)
}

fn hold(id: &str, began: i64, ended: i64, verdict: VerdictFact) -> HoldFacts {
    HoldFacts {
        id: id.into(),
        enclosure: "main".into(),
        started: stamp(began),
        started_ms: ms(began),
        author: "ana".into(),
        setup: HoldSetup {
            enclosure: "main".into(),
            gauge: None,
            absolute: false,
            gauge_unit: "mbar".into(),
            gauge_resolution_pa: 10.0,
            temperature_source: "inside".into(),
            volume_m3: 0.01,
            volume_sd_m3: 0.001,
            limit_ml: 50.0,
            built_in_limit: false,
            depth_m: 20.0,
            minutes: 60.0,
            salinity_g_kg: 35.0,
            water_k: 283.15,
            temperature_sd_k: None,
            barometer_sd_pa: None,
            humidity: None,
            shut_in: ShutIn::NOTHING,
            valve_open: None,
            confirmed: false,
            shows_its_steps: false,
            noticed: vec![],
        },
        ended: vec![(stamp(ended), ms(ended))],
        concluded: Some((
            stamp(ended),
            ms(ended),
            HoldResult {
                verdict,
                leak_ml: 1.0,
                low_ml: 0.0,
                high_ml: 2.0,
                would_miss_below_ml: 2.0,
                readings: 12,
                lasted_s: 1200.0,
                limit_ml: 50.0,
                depth_m: 20.0,
                minutes: 60.0,
                volume_m3: 0.01,
                judged_by: "a test".into(),
                at_most_ml: Some(2.0),
                covers: Some(12),
                salinity_g_kg: Some(35.0),
                water_k: Some(283.15),
                volume_sd_m3: None,
                gone: false,
            },
        )),
        abandoned: None,
        entries: 12,
        unlikely: false,
    }
}

fn result(hold: &mut HoldFacts) -> &mut HoldResult {
    &mut hold.concluded.as_mut().unwrap().2
}

fn rechecked(hold: &str, verdict: VerdictFact) -> RecheckFact {
    RecheckFact {
        hold: hold.into(),
        reading: ReadingFact::default(),
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
    }
}

/// The recheck of the main housing, in both places where one stands.
fn set_recheck(rig: &mut RigFacts, seen: Seen, fact: RecheckFact, slip: Option<Seen>) {
    let e = &mut rig.enclosures[0];
    e.recheck = Some((seen.clone(), fact.clone()));
    e.rechecks = vec![RecheckSeen {
        event: "r".into(),
        seen,
        fact,
        slip,
    }];
}

fn step(key: &str, kind: StepKind, target: Target, two_person: bool) -> StepInstance {
    StepInstance {
        key: key.into(),
        step: Step {
            id: key.into(),
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

fn of_main() -> Target {
    Target::Enclosure {
        enclosure: "main".into(),
    }
}

fn port() -> Target {
    Target::Closure {
        enclosure: "main".into(),
        closure: "port".into(),
    }
}

fn done(minute: i64, signed: i64) -> StepFacts {
    StepFacts {
        done: seen(minute),
        signed: vec![by("ben", signed)],
        ..StepFacts::default()
    }
}

fn prep(id: &str, started: i64, steps: Vec<StepInstance>) -> PrepFacts {
    let facts = |s: &StepInstance| (s.key.clone(), done(25, 26));
    PrepFacts {
        id: id.into(),
        rig: "rig".into(),
        procedure: "build".into(),
        title: "Build".into(),
        kind: ProcedureKind::Build,
        started: stamp(started),
        started_ms: ms(started),
        author: "ana".into(),
        holder: None,
        ended: None,
        done: steps.iter().map(facts).collect(),
        steps,
        heard: Causes::default(),
    }
}

fn crew(alone: bool) -> CrewFacts {
    let member = |id: &str, retired| Known {
        id: id.into(),
        name: id.into(),
        retired,
    };
    CrewFacts::of(
        &[member("ana", false), member("ben", alone)],
        &[],
        BTreeMap::new(),
        alone,
        Vec::new(),
    )
}

fn enclosure(id: &str) -> Enclosure {
    Enclosure {
        id: id.into(),
        name: id.into(),
        volume_l: 10.0,
        volume_sd_l: 1.0,
        depth_rating_m: 60.0,
        closures: vec![],
        penetrators: vec![],
        valve: Some(Valve {
            name: "Valve".into(),
            reads_with_plug_on: false,
        }),
        limit_ml: Some(50.0),
    }
}

fn seal(id: &str, enclosure: &str, closure: Option<&str>) -> Seal {
    Seal {
        id: id.into(),
        name: id.into(),
        enclosure: enclosure.into(),
        closure: closure.map(Into::into),
        size: String::new(),
        material: "NBR".into(),
        hardness_shore_a: 0,
        limits: SealLimits::default(),
        grease: None,
        gland: None,
    }
}

fn control(id: &str, enclosure: &str, function: &str) -> Control {
    Control {
        id: id.into(),
        name: id.into(),
        enclosure: enclosure.into(),
        function: function.into(),
        record_trigger: false,
    }
}

/// Two housings, opened at 10, serviced at 20, looked at by two at 25, closed at 30, held from 40 to 60,
/// plugged at 70, walked round at 80, rechecked at 100 and 101.
fn in_order() -> RigFacts {
    let facts = |id: &str, rechecked_at: i64| {
        let of = format!("h-{id}");
        let (seen_then, fact) = (
            by("ana", rechecked_at),
            rechecked(&of, VerdictFact::Holding),
        );
        EnclosureFacts {
            id: id.into(),
            opened: seen(10),
            openings: vec![(String::new(), by("ana", 10).into())],
            closed: seen(30),
            plug_on: seen(70),
            plug_off: seen(39),
            holds: vec![hold(&of, 40, 60, VerdictFact::Holding)],
            recheck: Some((seen_then.clone(), fact.clone())),
            plug_looks: vec![by("ben", 71)],
            rechecks: vec![RecheckSeen {
                event: "r".into(),
                seen: seen_then,
                fact,
                slip: None,
            }],
            ..EnclosureFacts::default()
        }
    };
    let ring = |id: &str, serviced| SealFacts {
        id: id.into(),
        serviced,
        ..SealFacts::default()
    };
    let tried = |id: &str, works| ControlFacts {
        id: id.into(),
        works,
        ..ControlFacts::default()
    };
    let mut def = RigDef {
        name: "Rig".into(),
        enclosures: vec![enclosure("main"), enclosure("monitor")],
        seals: vec![
            seal("back", "main", Some("back")),
            seal("port", "main", Some("port")),
            seal("gland", "main", None),
            seal("lid", "monitor", Some("lid")),
        ],
        controls: vec![
            control("record", "main", "Record"),
            control("menu", "monitor", "Menu"),
            control("spare", "main", ""),
        ],
        ..RigDef::default()
    };
    (def.plan.depth_m, def.plan.minutes) = (20.0, 60.0);
    (def.plan.salinity_g_kg, def.plan.water_c) = (35.0, 10.0);
    RigFacts {
        id: "rig".into(),
        def,
        enclosures: vec![facts("main", 100), facts("monitor", 101)],
        seals: vec![
            ring("back", seen(20)),
            ring("port", seen(20)),
            ring("gland", None),
            ring("lid", seen(20)),
        ],
        controls: vec![
            tried("record", seen(35)),
            tried("menu", seen(35)),
            tried("spare", None),
        ],
        prep: Some(prep(
            "p",
            5,
            vec![step("look", StepKind::Check, port(), true)],
        )),
        walked: seen(80),
        walk_looks: vec![by("ben", 81)],
        crew: crew(false),
        built: vec![stamp(5)],
        recheck_limit_ms: 120 * 60_000,
        ..RigFacts::default()
    }
}

fn now() -> Now {
    Now::at(ms(110), stamp(101).hlc())
}

fn said(change: impl FnOnce(&mut RigFacts)) -> Readiness {
    let mut rig = in_order();
    change(&mut rig);
    readiness(&rig, now())
}

/// What stands in the way once something is otherwise.
fn obstacles(change: impl FnOnce(&mut RigFacts)) -> Vec<Obstacle> {
    said(change).obstacles
}

fn remarks(change: impl FnOnce(&mut RigFacts)) -> Vec<Remark> {
    said(change).remarks
}

fn main() -> String {
    "main".into()
}

/// That a hold no longer counts, and with it the recheck.
fn no_hold(why: HoldMissing) -> Vec<Obstacle> {
    let recheck = RecheckMissing::None;
    vec![
        Obstacle::NoHold {
            enclosure: main(),
            why,
        },
        Obstacle::NoRecheck {
            enclosure: main(),
            why: recheck,
        },
    ]
}

fn no_recheck(why: RecheckMissing) -> Vec<Obstacle> {
    let enclosure = main();
    vec![Obstacle::NoRecheck { enclosure, why }]
}

#[test]
fn a_rig_in_order_is_ready_until_the_first_recheck_is_too_old() {
    let until = |minute, enclosure: &str| {
        let enclosure = enclosure.into();
        Some((ms(minute), EndsBy::Recheck { enclosure }))
    };
    let told = said(|_| {});
    assert!(told.is_ready());
    let in_order = Readiness {
        until: until(220, "main"),
        obstacles: vec![],
        remarks: vec![],
    };
    assert_eq!(told, in_order);
    let of_monitor =
        |minute| said(|r| r.enclosures[1].recheck.as_mut().unwrap().0 = by("ana", minute)).until;
    assert_eq!(of_monitor(99), until(219, "monitor"));
    assert_eq!(of_monitor(100), until(220, "main"));
    // A ring that comes to its limit before ends it; one after does not.
    let with_ring = |minute: i64| {
        said(|r| {
            r.def.seals[1].limits.hard_days = Some(30);
            r.seals[1].fitted = Some(Fitted {
                ms: ms(minute) - 30 * 86_400_000,
                said: stamp(1),
                said_ms: ms(1),
                dated: true,
                pack: String::new(),
                cured: String::new(),
                ring: None,
            });
        })
    };
    let seal = || "port".into();
    assert_eq!(
        with_ring(200).until,
        Some((ms(200), EndsBy::Seal { seal: seal() }))
    );
    assert_eq!(with_ring(221).until, until(220, "main"));
    assert_eq!(
        remarks(|r| r.def.seals[1].limits.hard_days = Some(30)),
        [Remark::SealAgeUnknown { seal: seal() }]
    );
    // Not ready has no end.
    let told = said(|r| r.retired = true);
    assert!(!told.is_ready());
    assert_eq!(
        (told.until, told.obstacles),
        (None, vec![Obstacle::Retired])
    );
}

#[test]
fn what_stands_in_the_way_comes_in_the_order_to_work_through() {
    let told = obstacles(|r| {
        r.prep = None;
        r.seals[0].disturbed = seen(21);
        r.seals[1].faulty = noted(21);
        r.enclosures[0].plug_looks.clear();
        set_recheck(
            r,
            by("ana", 100),
            rechecked("h-main", VerdictFact::NotYet),
            None,
        );
        r.enclosures[1].recheck =
            Some((by("ana", 99), rechecked("h-monitor", VerdictFact::Leaking)));
        r.controls[0].fails = seen(36);
        r.losses = vec![loss(50, &[])];
        r.gone = vec![GoneFault {
            at: "seal/old".into(),
            seen: by("ana", 50),
            inspected: None,
        }];
        r.unread = vec![UnreadFacts {
            event: "u".into(),
            kind: "new".into(),
            wall_ms: ms(1),
            author: "ana".into(),
        }];
        r.walked = None;
    });
    let words: Vec<String> = told
        .iter()
        .map(|o| {
            let text = format!("{o:?}");
            text.split([' ', '{']).next().unwrap_or_default().to_owned()
        })
        .collect();
    assert_eq!(
        words,
        [
            "Unread",
            "LossUnsigned",
            "FaultOnGone",
            "SealFaulty",
            "NoRecheck",
            "NoPrep",
            "SealToService",
            "Control",
            "WalkRound",
            "NoRecheck",
            "PlugUnseen",
        ]
    );
    // Of the rechecks the one that found a change comes first: only a new hold answers it.
    assert!(
        matches!(&told[4], Obstacle::NoRecheck { enclosure, why: RecheckMissing::Changed } if enclosure == "monitor")
    );
}

#[test]
fn a_clock_behind_the_record_is_told_from_a_minute_on() {
    let told = |ahead: i64| {
        let now = Now::at(ms(110), Hlc::at(ms(110) + ahead));
        readiness(&in_order(), now).remarks
    };
    assert_eq!(told(60_000), []);
    assert_eq!(told(60_001), [Remark::ClockBehind { by_ms: 60_001 }]);
    assert_eq!(
        remarks(|r| r.unread_of_crew = 1),
        [Remark::UnreadOfCrew { events: 1 }]
    );
}

fn loss(minute: i64, signed: &[(&str, i64)]) -> LossFacts {
    LossFacts {
        event: "l".into(),
        of_crew: false,
        seen: by("ana", minute),
        what: vec![Loss {
            at: "seal/old".into(),
            name: "old".into(),
            kind: LossKind::Removed,
            from: None,
            to: None,
        }],
        signed: signed.iter().map(|(who, at)| by(who, *at)).collect(),
    }
}

#[test]
fn what_an_edit_took_is_signed_for_by_two_and_told_until_the_next_build() {
    let event = || "l".to_owned();
    let unsigned = [Obstacle::LossUnsigned { event: event() }];
    let lost = |l: LossFacts| said(|r| r.losses = vec![l]);
    for nobody in [&[][..], &[("ana", 51)], &[("ben", 49)]] {
        assert_eq!(lost(loss(50, nobody)).obstacles, unsigned, "{nobody:?}");
    }
    let signed = lost(loss(50, &[("ben", 51)]));
    assert!(signed.is_ready());
    assert_eq!(signed.remarks, [Remark::TookAway { event: event() }]);
    // The build was begun at 5: what was taken before it is told no more.
    assert_eq!(lost(loss(4, &[("ben", 51)])).remarks, []);
    // Made by nobody in particular: two members' words, both after it.
    let nobodys = |signed: &[(&str, i64)]| {
        let mut l = loss(50, signed);
        l.seen.author.clear();
        lost(l)
    };
    assert!(nobodys(&[("ana", 51), ("ben", 52)]).is_ready());
    for one in [
        &[("ana", 51)][..],
        &[("ana", 49), ("ben", 52)],
        &[("", 51), ("ben", 52)],
        &[("ana", 50), ("ben", 52)],
    ] {
        assert_eq!(nobodys(one).obstacles, unsigned, "{one:?}");
    }
}

/// Somebody's own second look: later, with a photo.
fn again(minute: i64) -> Seen {
    let look = Look {
        photo: "aa".into(),
        ..Look::default()
    };
    Seen {
        value: serde_json::to_string(&look).unwrap(),
        ..by("ana", minute)
    }
}

#[test]
fn one_persons_word_is_told_wherever_it_stands() {
    let alone = |change: fn(&mut RigFacts)| {
        said(|r| {
            r.crew = crew(true);
            change(r);
        })
    };
    let two = alone(|_| {});
    // The second looks are those of a member who has left since.
    assert!(two.is_ready());
    assert_eq!(two.remarks, [Remark::CrewOfOne]);
    let places: [(&str, Change); 4] = [
        ("plug", |r| r.enclosures[0].plug_looks = vec![again(76)]),
        ("walk", |r| r.walk_looks = vec![again(86)]),
        ("step", |r| {
            let look = StepFacts {
                signed: vec![again(31)],
                ..done(25, 26)
            };
            r.prep.as_mut().unwrap().done.insert("look".into(), look);
        }),
        ("loss", |r| {
            let mut l = loss(50, &[]);
            l.signed = vec![again(56)];
            r.losses = vec![l];
        }),
    ];
    for (what, change) in places {
        let told = alone(change);
        assert!(told.is_ready(), "{what} {told:?}");
        assert!(told.remarks.contains(&Remark::OneWord), "{what}");
        assert!(!said(change).is_ready(), "{what}: of a crew of two");
    }
    // What a build has since signed for again is told no more.
    let old = alone(|r| {
        let mut l = loss(4, &[]);
        l.signed = vec![again(56)];
        r.losses = vec![l];
    });
    assert_eq!(old.remarks, [Remark::CrewOfOne]);
    // An edit that nobody is named for is looked at a second time as any other: later, with a photo.
    let nobodys = |look: fn() -> Seen| {
        said(|r| {
            r.crew = crew(true);
            let mut l = loss(50, &[]);
            l.seen.author.clear();
            l.signed = vec![look()];
            r.losses = vec![l];
        })
    };
    let later = nobodys(|| again(56));
    assert!(later.is_ready() && later.remarks.contains(&Remark::OneWord));
    assert!(!nobodys(|| again(54)).is_ready());
}

#[test]
fn a_depth_at_the_rating_is_within_it_and_any_below_is_not() {
    let to = |depth: f64| {
        obstacles(|r| {
            r.def.plan.depth_m = depth;
            for e in &mut r.enclosures {
                result(&mut e.holds[0]).depth_m = 100.0;
            }
        })
    };
    assert_eq!(to(60.0), []);
    let deeper = |e: &str| Obstacle::DeeperThanRated {
        enclosure: e.into(),
    };
    assert_eq!(to(60.1), [deeper("main"), deeper("monitor")]);
    let was = |deep: i64, looked: Option<i64>| {
        obstacles(|r| {
            r.enclosures[0].too_deep = vec![DeepDive {
                seen: by("ana", deep),
                depth_m: 66.0,
                rated_m: 60.0,
            }];
            r.enclosures[0].inspected = looked.and_then(seen);
        })
    };
    let too_deep = [Obstacle::WasTooDeep {
        enclosure: main(),
        depth_m: 66.0,
        rated_m: 60.0,
    }];
    assert_eq!(was(20, None), too_deep);
    assert_eq!(was(20, Some(19)), too_deep);
    assert_eq!(was(20, Some(21)), []);
}

#[test]
fn a_ring_asks_for_service_once_disturbed_and_for_more_where_it_must_not_go_back() {
    let to_service = |seal: &str| {
        vec![Obstacle::SealToService {
            seal: seal.into(),
            enclosure: main(),
        }]
    };
    assert_eq!(
        obstacles(|r| r.seals[0].disturbed = seen(21)),
        to_service("back")
    );
    assert_eq!(obstacles(|r| r.seals[0].disturbed = seen(19)), []);
    assert_eq!(
        obstacles(|r| r.seals[2].disturbed = seen(19)),
        to_service("gland")
    );
    assert_eq!(
        obstacles(|r| r.seals[0].serviced = None),
        to_service("back")
    );
    let faulty = [Obstacle::SealFaulty {
        seal: "back".into(),
        finding: String::new(),
    }];
    assert_eq!(obstacles(|r| r.seals[0].faulty = noted(19)), faulty);
    let both = obstacles(|r| {
        r.seals[0].faulty = noted(19);
        r.seals[0].disturbed = seen(21);
    });
    assert_eq!(both, faulty);
    let renewed = |minute| {
        obstacles(|r| {
            r.seals[0].faulty = noted(19);
            r.seals[0].renewed = seen(minute);
        })
    };
    assert_eq!(renewed(18), faulty);
    assert_eq!(renewed(20), []);
    // A ring that must not be there is to be seen to before the closing, whatever was serviced.
    let of = |change: fn(&mut SealFacts)| {
        let mut rig = in_order();
        change(&mut rig.seals[0]);
        rules::needs_service(&rig, &rig.def.seals[0], &rig.seals[0])
    };
    assert!(of(|s| s.faulty = noted(19)) && !of(|_| {}));
}

#[test]
fn a_number_that_was_unlikely_is_told() {
    let told = [Remark::Unlikely { enclosure: main() }];
    assert_eq!(remarks(|r| r.enclosures[0].holds[0].unlikely = true), told);
    let confirmed = |r: &mut RigFacts| {
        let e = &mut r.enclosures[0];
        e.recheck.as_mut().unwrap().1.reading.confirmed = true;
    };
    assert_eq!(remarks(confirmed), told);
}

#[test]
fn what_is_missing_of_a_rig_is_named() {
    assert_eq!(
        obstacles(|r| {
            r.def.enclosures.clear();
            r.enclosures.clear();
            r.def.seals.clear();
            r.seals.clear();
            r.def.controls.clear();
            r.controls.clear();
        }),
        [Obstacle::NoEnclosures]
    );
    let enclosure = "monitor".to_owned();
    assert_eq!(
        obstacles(|r| {
            r.def.seals.pop();
            r.seals.pop();
            r.def.enclosures[0].valve = None;
        }),
        [
            Obstacle::NoValve { enclosure: main() },
            Obstacle::NoSeals { enclosure },
        ]
    );
    let defect = |blocks| said(|r| r.defects = vec![found("enclosure/main", blocks, false)]);
    let named = || "d".to_owned();
    assert_eq!(
        defect(true).obstacles,
        [Obstacle::Defect { defect: named() }]
    );
    assert_eq!(
        (defect(false).obstacles, defect(false).remarks),
        (vec![], vec![Remark::Defect { defect: named() }])
    );
}

fn found(at: &str, blocks: bool, water: bool) -> DefectFacts {
    DefectFacts {
        id: "d".into(),
        at: at.into(),
        blocks,
        water,
        text: "drops".into(),
        opened: stamp(50),
        opened_ms: ms(50),
        author: "ana".into(),
    }
}

// ---- closings and controls ----

#[test]
fn a_closing_counts_until_an_opening_or_a_look_at_a_ring() {
    let closed = |change: fn(&mut RigFacts)| {
        let told = obstacles(change);
        let not = Obstacle::NotClosed { enclosure: main() };
        !told.contains(&not)
    };
    assert!(closed(|_| {}));
    assert!(!closed(|r| r.enclosures[0].closed = None));
    assert!(closed(|r| r.enclosures[0].opened = seen(29)));
    assert!(!closed(|r| r.enclosures[0].opened = seen(31)));
    assert!(!closed(|r| r.enclosures[0].opened = seen(30)));
    // A service after the closing tells of an opening that nobody recorded; so does a look.
    assert!(closed(|r| r.seals[0].serviced = seen(29)));
    assert!(!closed(|r| r.seals[0].serviced = seen(31)));
    assert!(!closed(|r| r.seals[2].looked_at = vec![stamp(31)]));
    assert!(closed(|r| r.seals[3].serviced = seen(31)));
    // Where it isn't closed nothing else about it counts either.
    let told = obstacles(|r| r.seals[0].serviced = seen(31));
    let open = Obstacle::NotClosed { enclosure: main() };
    assert!(told.contains(&open));
    assert!(no_hold(HoldMissing::None).iter().all(|o| told.contains(o)));
    let failed = false;
    let control = "record".into();
    assert!(told.contains(&Obstacle::Control { control, failed }));
}

#[test]
fn a_control_counts_by_its_last_try_since_the_closing() {
    let tried = |works: Option<i64>, fails: Option<i64>, changed: Option<i64>| {
        let at = |m: Option<i64>| m.and_then(seen);
        let told = obstacles(|r| {
            let c = &mut r.controls[0];
            (c.works, c.fails, c.changed) = (at(works), at(fails), at(changed));
        });
        match &told[..] {
            [] => None,
            [Obstacle::Control { control, failed }] if control == "record" => Some(*failed),
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(tried(Some(35), None, None), None);
    assert_eq!(tried(None, None, None), Some(false));
    assert_eq!(tried(Some(29), None, None), Some(false));
    assert_eq!(tried(Some(35), Some(36), None), Some(true));
    assert_eq!(tried(Some(36), Some(35), None), None);
    // It failed before the closing, and was not tried since.
    assert_eq!(tried(Some(20), Some(21), None), Some(false));
    // An edit gave it another function since.
    assert_eq!(tried(Some(35), None, Some(36)), Some(false));
    assert_eq!(tried(Some(35), None, Some(34)), None);
    // A control is asked for with its own housing's work.
    let told = obstacles(|r| {
        r.controls[0].works = None;
        r.seals[3].disturbed = seen(21);
    });
    assert!(matches!(
        &told[..],
        [Obstacle::Control { .. }, Obstacle::SealToService { .. }]
    ));
    let mut rig = in_order();
    assert_eq!(untested(&rig), [""; 0]);
    rig.controls[1].works = None;
    assert_eq!(untested(&rig), ["menu"]);
}

/// What proves something is later than what takes it away: one event can't be both.
#[test]
fn nothing_is_proved_by_what_stands_at_the_same_place_in_the_order() {
    let ties: [(&str, Change); 7] = [
        ("closed as opened", |r| r.enclosures[0].opened = seen(30)),
        ("tried as closed", |r| r.controls[0].works = seen(30)),
        ("works as fails", |r| r.controls[0].fails = seen(35)),
        ("tried as changed", |r| r.controls[0].changed = seen(35)),
        ("plug in as held", |r| r.enclosures[0].plug_on = seen(60)),
        ("plug in as out", |r| r.enclosures[0].plug_off = seen(70)),
        ("rechecked as held", |r| {
            let fact = rechecked("h-main", VerdictFact::Holding);
            set_recheck(r, by("ana", 60), fact, None);
        }),
    ];
    for (what, change) in ties {
        assert_ne!(obstacles(change), [], "{what}");
    }
}

// ---- holds and plugs ----

#[test]
fn only_the_last_hold_since_the_closing_counts() {
    let held = |change: fn(&mut Vec<HoldFacts>)| obstacles(|r| change(&mut r.enclosures[0].holds));
    let id = || "h-main".to_owned();
    assert_eq!(held(|_| {}), []);
    assert_eq!(held(Vec::clear), no_hold(HoldMissing::None));
    assert_eq!(
        held(|h| h[0].started = stamp(29)),
        no_hold(HoldMissing::None)
    );
    assert_eq!(
        held(|h| h[0].abandoned = Some("late".into())),
        no_hold(HoldMissing::Abandoned { hold: id() })
    );
    assert_eq!(
        held(|h| h[0].concluded = None),
        no_hold(HoldMissing::Running { hold: id() })
    );
    for (verdict, why) in [
        (VerdictFact::Leaking, HoldMissing::Leaking { hold: id() }),
        (VerdictFact::NotYet, HoldMissing::NotYet { hold: id() }),
    ] {
        let told = obstacles(|r| result(&mut r.enclosures[0].holds[0]).verdict = verdict);
        assert_eq!(told, no_hold(why));
    }
    // Readings that its verdict doesn't cover; one that covers as many, or doesn't say, stands.
    let covers =
        |covers: Option<u32>| obstacles(|r| result(&mut r.enclosures[0].holds[0]).covers = covers);
    assert_eq!(
        covers(Some(11)),
        no_hold(HoldMissing::MoreReadings { hold: id() })
    );
    assert_eq!(covers(Some(13)), []);
    assert_eq!(covers(None), []);
    // A good one before the last is gone.
    let next = |began, ended, verdict| {
        obstacles(|r| {
            let holds = &mut r.enclosures[0].holds;
            holds.push(hold("next", began, ended, verdict));
        })
    };
    assert!(
        next(65, 69, VerdictFact::NotYet).contains(&Obstacle::NoHold {
            enclosure: main(),
            why: HoldMissing::NotYet {
                hold: "next".into()
            }
        })
    );
    // Another phone's over the same time that found a leak stands against it; one that ended before
    // it began, that began before the opening, or that found none, doesn't.
    let leaking = HoldMissing::Leaking {
        hold: "next".into(),
    };
    assert_eq!(next(35, 45, VerdictFact::Leaking), no_hold(leaking.clone()));
    assert_eq!(next(11, 45, VerdictFact::Leaking), no_hold(leaking));
    assert_eq!(next(35, 39, VerdictFact::Leaking), []);
    assert_eq!(next(9, 45, VerdictFact::Leaking), []);
    assert_eq!(next(35, 45, VerdictFact::Holding), []);
}

#[test]
fn a_hold_counts_for_the_plan_it_was_judged_for_and_easier_ones() {
    let other = no_hold(HoldMissing::OtherPlan {
        hold: "h-main".into(),
    });
    let with = |change: fn(&mut RigDef)| {
        obstacles(|r| change(&mut r.def))
        .into_iter()
        .filter(|o| matches!(o, Obstacle::NoHold { enclosure, .. } | Obstacle::NoRecheck { enclosure, .. } if enclosure == "main"))
        .collect::<Vec<_>>()
    };
    let harder: [(&str, Edit); 7] = [
        ("deeper", |d| d.plan.depth_m = 20.5),
        ("longer", |d| d.plan.minutes = 60.5),
        ("a stricter limit", |d| {
            d.enclosures[0].limit_ml = Some(49.5)
        }),
        ("a larger volume", |d| d.enclosures[0].volume_l = 10.1),
        ("warmer water", |d| d.plan.water_c = 10.5),
        ("fresher water", |d| d.plan.salinity_g_kg = 30.0),
        ("no number", |d| d.plan.water_c = f64::NAN),
    ];
    for (what, change) in harder {
        assert_eq!(with(change), other, "{what}");
    }
    // Deeper or longer asks for a new judgement, also where the water is so cold that no more comes in.
    let cold: [fn(&mut RigDef); 2] = [
        |d| (d.plan.depth_m, d.plan.water_c) = (20.5, 0.0),
        |d| (d.plan.minutes, d.plan.water_c) = (60.5, 0.0),
    ];
    for change in cold {
        assert_eq!(with(change), other);
    }
    let easier: [(&str, Edit); 6] = [
        ("shallower", |d| d.plan.depth_m = 19.5),
        ("shorter", |d| d.plan.minutes = 59.5),
        ("a looser limit", |d| d.enclosures[0].limit_ml = Some(50.5)),
        ("a smaller volume", |d| d.enclosures[0].volume_l = 9.9),
        ("colder water", |d| d.plan.water_c = 9.5),
        ("saltier water", |d| d.plan.salinity_g_kg = 36.0),
    ];
    for (what, change) in easier {
        assert_eq!(with(change), [], "{what}");
    }
    // An old verdict that doesn't say for which water was judged for the one its hold was set up with.
    let unsaid = |water_k: f64| {
        obstacles(|r| {
            let h = &mut r.enclosures[0].holds[0];
            h.setup.water_k = water_k;
            result(h).water_k = None;
            result(h).salinity_g_kg = None;
        })
    };
    assert_eq!(unsaid(283.15), []);
    assert_eq!(unsaid(280.0), other);
}

#[test]
fn a_plug_counts_from_the_end_of_the_hold_until_it_comes_out() {
    let off = vec![Obstacle::PlugOff { enclosure: main() }];
    let plug = |on: Option<Told>, change: fn(&mut EnclosureFacts)| {
        obstacles(|r| {
            let e = &mut r.enclosures[0];
            e.plug_on = on;
            change(e);
        })
    };
    assert_eq!(plug(seen(70), |_| {}), []);
    assert_eq!(plug(None, |_| {}), off);
    assert_eq!(plug(seen(59), |_| {}), off);
    // Put in by nobody in particular, it can't be looked at by a second one.
    assert_eq!(plug(Some(by("", 70).into()), |_| {}), off);
    assert_eq!(
        plug(seen(70), |e| e.plug_looks.clear()),
        [Obstacle::PlugUnseen { enclosure: main() }]
    );
    // Out and in again: the recheck is to be made again, and the plug seen again.
    let out = plug(seen(70), |e| e.plug_off = seen(72));
    assert!(out.contains(&off[0]));
    let again = plug(seen(73), |e| e.plug_off = seen(72));
    assert_eq!(again, [Obstacle::PlugUnseen { enclosure: main() }]);
    // A hold whose verdict is stamped before it began, by a phone whose clock is another.
    let early = |on, out: Option<Told>| {
        obstacles(|r| {
            let e = &mut r.enclosures[0];
            e.holds[0].concluded.as_mut().unwrap().0 = stamp(38);
            (e.plug_on, e.plug_off) = (seen(on), out);
        })
    };
    assert_eq!(early(39, None), off);
    assert_eq!(early(70, None), []);
    // The prep says that it isn't in after all.
    let undone = obstacles(|r| {
        let p = r.prep.as_mut().unwrap();
        p.steps.push(step("plug", StepKind::Plug, of_main(), true));
        let facts = StepFacts {
            reopened: seen(75),
            ..done(70, 71)
        };
        p.done.insert("plug".into(), facts);
    });
    assert_eq!(undone, off);
}

// ---- rechecks ----

#[test]
fn a_recheck_counts_only_of_the_hold_that_counts_and_until_news() {
    let with = |minute: i64, hold: &str, verdict| {
        obstacles(|r| set_recheck(r, by("ana", minute), rechecked(hold, verdict), None))
    };
    use RecheckMissing as Why;
    let good = VerdictFact::Holding;
    assert_eq!(with(100, "h-main", good), []);
    assert_eq!(with(59, "h-main", good), no_recheck(Why::None));
    assert_eq!(with(100, "h-other", good), no_recheck(Why::None));
    assert_eq!(
        with(100, "h-main", VerdictFact::NotYet),
        no_recheck(Why::Unclear)
    );
    assert_eq!(
        with(100, "h-main", VerdictFact::Leaking),
        no_recheck(Why::Changed)
    );
    assert_eq!(
        obstacles(|r| r.enclosures[0].recheck = None),
        no_recheck(Why::None)
    );
    // News since voids it, news before does not; both housings were in the water.
    let dived = |minute| obstacles(|r| r.dived = seen(minute));
    assert_eq!(dived(99), []);
    let both = dived(102);
    assert_eq!(both.len(), 2);
    assert_eq!(both[..1], no_recheck(Why::Dived));
    assert_eq!(obstacles(|r| r.surfaced = seen(102)), both);
    let out = |off, on| {
        obstacles(|r| {
            let e = &mut r.enclosures[0];
            (e.plug_off, e.plug_on) = (seen(off), seen(on));
            e.plug_looks = vec![by("ben", 109)];
        })
    };
    assert_eq!(out(99, 103), []);
    assert_eq!(out(102, 103), no_recheck(Why::PlugOut));
    // Of several the last is told: the plug came out after the dive.
    let two = obstacles(|r| {
        r.dived = seen(101);
        let e = &mut r.enclosures[0];
        (e.plug_off, e.plug_on) = (seen(102), seen(103));
        e.plug_looks = vec![by("ben", 109)];
    });
    assert_eq!(two[..1], no_recheck(Why::PlugOut));
    // An opening that was closed again on paper, or a hold begun before it and given an earlier end.
    let opened = obstacles(|r| {
        r.enclosures[0].openings[0].1 = by("ana", 104).into();
    });
    assert_eq!(opened, no_recheck(Why::None));
}

#[test]
fn a_change_stands_until_a_new_hold_or_its_writers_word() {
    use RecheckMissing as Why;
    let changed = |slip: Option<Seen>, of: &str, then: bool| {
        obstacles(|r| {
            let fact = rechecked(of, VerdictFact::Leaking);
            set_recheck(r, by("ana", 100), fact, slip);
            if then {
                let fact = rechecked("h-main", VerdictFact::Holding);
                let e = &mut r.enclosures[0];
                e.recheck = Some((by("ana", 105), fact.clone()));
                e.rechecks.push(RecheckSeen {
                    event: "s".into(),
                    seen: by("ana", 105),
                    fact,
                    slip: None,
                });
            }
        })
    };
    // Read again as it should, it is a change all the same.
    assert_eq!(changed(None, "h-main", true), no_recheck(Why::Changed));
    // Called a slip at once, it is read again; until then nothing counts.
    assert_eq!(changed(noted(101), "h-main", true), []);
    assert_eq!(changed(noted(101), "h-main", false), no_recheck(Why::None));
    // One of an earlier hold says nothing of this.
    assert_eq!(changed(None, "h-other", true), []);
    let mut rig = in_order();
    let fact = rechecked("h-main", VerdictFact::Leaking);
    set_recheck(&mut rig, by("ana", 100), fact, noted(101));
    let e = &rig.enclosures[0];
    assert!(mistyped(e, &by("ana", 100)) && !mistyped(e, &by("ana", 99)));
    assert!(!mistyped(&rig.enclosures[1], &by("ana", 101)));
}

#[test]
fn a_recheck_is_as_old_as_the_slowest_clock_says() {
    let boot = |id: u64, ms: i64| BootTime { id: BootId(id), ms };
    let (read, wall) = (by("ana", 100), ms(110));
    let minutes =
        |read_boot: Option<BootTime>, now: Now| age_ms(&read, read_boot, now).map(|a| a / 60_000);
    let at = |wall_ms: i64| Now {
        wall_ms,
        newest: stamp(100).hlc(),
        latest_seen: (wall_ms, stamp(100).hlc()),
        boot: None,
    };
    assert_eq!(minutes(None, at(wall)), Ok(10));
    // Another phone's events are later than this clock.
    let events = Now {
        newest: stamp(130).hlc(),
        ..at(wall)
    };
    assert_eq!(minutes(None, events), Ok(30));
    // This phone's clock showed later once, and was set back.
    let later = |heard: i64, boot| Now {
        latest_seen: (ms(140), stamp(heard).hlc()),
        boot,
        ..at(wall)
    };
    assert_eq!(minutes(None, later(100, None)), Ok(40));
    assert_eq!(minutes(None, later(99, None)), Ok(40));
    // By one stretch of the boot clock its age is known, unless it was there when the clock showed it.
    let (then, since) = (boot(1, 0), Some(boot(1, 12 * 60_000)));
    assert_eq!(minutes(Some(then), later(99, since)), Ok(12));
    assert_eq!(minutes(Some(then), later(100, since)), Ok(40));
    assert_eq!(minutes(Some(boot(2, 0)), later(99, since)), Ok(40));
    // In the future by more than a minute: the clock was set back. Never younger than just now.
    assert_eq!(age_ms(&read, None, at(ms(100) - 60_000)), Ok(0));
    assert!(age_ms(&read, None, at(ms(100) - 60_001)).is_err());
    let told = readiness(&in_order(), Now::at(ms(98), stamp(90).hlc())).obstacles;
    assert_eq!(told[..1], no_recheck(RecheckMissing::ClockSetBack));
    // At the crew's limit it is too old.
    let limit = |ms: i64| obstacles(|r| r.recheck_limit_ms = ms);
    assert_eq!(limit(10 * 60_000 + 1), []);
    let age_ms = 10 * 60_000;
    assert_eq!(
        limit(10 * 60_000)[..1],
        no_recheck(RecheckMissing::TooOld { age_ms })
    );
}

#[test]
fn an_age_is_sure_by_a_clock_that_ran_on_and_told_by_one_that_went_on() {
    let at = |behind_ms: i64, boot| Now {
        wall_ms: ms(110),
        newest: stamp(100).hlc(),
        latest_seen: (ms(110) + behind_ms, stamp(100).hlc()),
        boot,
    };
    let boot = |id: u64, ms: i64| BootTime { id: BootId(id), ms };
    let (then, since) = (Some(boot(1, 0)), Some(boot(1, 60_000)));
    let restarted = Some(boot(2, 60_000));
    let sure = |read, now| age_is_sure(read, at(0, now));
    assert!(sure(then, since) && !sure(then, restarted) && !sure(None, since));
    // Without such a clock there is nothing to be said of it.
    assert!(sure(then, None) && sure(None, None));
    // A clock that shows no less than it did tells, to a minute; else only one that ran on.
    let told = |behind, read, now| age_is_told(read, at(behind, now));
    assert!(told(60_000, then, restarted) && !told(60_001, then, restarted));
    assert!(told(60_001, then, since) && !told(60_001, None, since));
    assert!(!told(60_001, then, None) && told(0, None, None));
}

/// As [`by`], on another phone, of which the clock says what it had heard.
fn elsewhere(author: &str, minute: i64) -> Seen {
    let here = by(author, minute);
    let stamp = Stamp::new(here.stamp.hlc(), DeviceId([2; 32]), 1);
    Seen { stamp, ..here }
}

#[test]
fn a_recheck_made_apart_that_could_not_tell_stands_against_one_that_could() {
    use RecheckMissing as Why;
    let with = |seen: Seen, of: &str, verdict| {
        obstacles(|r| {
            let fact = rechecked(of, verdict);
            r.enclosures[0].rechecks.push(RecheckSeen {
                event: "s".into(),
                seen,
                fact,
                slip: None,
            });
        })
    };
    let (unclear, holds) = (VerdictFact::NotYet, VerdictFact::Holding);
    let other = elsewhere("ben", 105);
    assert_eq!(
        with(other.clone(), "h-main", unclear),
        no_recheck(Why::Unclear)
    );
    // One of another hold, or that read as it should, says nothing against it; nor does one that
    // whoever read again knew of.
    assert_eq!(with(other.clone(), "h-other", unclear), []);
    assert_eq!(with(other, "h-main", holds), []);
    assert_eq!(with(by("ben", 90), "h-main", unclear), []);
}

#[test]
fn the_plug_is_in_by_who_knew_of_all_that_takes_it_out() {
    let put_in = |change: fn(&mut EnclosureFacts)| {
        let mut rig = in_order();
        change(&mut rig.enclosures[0]);
        plug_in(&rig, &rig.enclosures[0]).map(|s| s.wall_ms)
    };
    assert_eq!(put_in(|_| {}), Some(ms(70)));
    assert_eq!(put_in(|e| e.plug_on = None), None);
    assert_eq!(put_in(|e| e.plug_off = seen(71)), None);
    assert_eq!(put_in(|e| e.opened = seen(71)), None);
    assert_eq!(put_in(|e| e.added = seen(71)), None);
    // Of two that put it in, the one who knew.
    let apart = |e: &mut EnclosureFacts| {
        e.plug_on = Told::of_all([by("ana", 70), elsewhere("ben", 75)]);
        e.plug_off = seen(72);
    };
    assert_eq!(put_in(apart), Some(ms(75)));
}

#[test]
fn of_closings_made_apart_the_last_counts() {
    let since = |closings: Vec<Seen>| {
        let mut rig = in_order();
        for s in &mut rig.seals {
            (s.serviced, s.looked_at) = (None, Vec::new());
        }
        let e = &mut rig.enclosures[0];
        (e.opened, e.added) = (None, None);
        e.closed = Told::of_all(closings);
        closed_since(&rig, &rig.enclosures[0]).map(|s| s.wall_ms)
    };
    let both = vec![by("ana", 30), elsewhere("ben", 35)];
    assert_eq!(since(both), Some(ms(35)));
    assert_eq!(
        since(vec![elsewhere("ben", 25), by("ana", 30)]),
        Some(ms(30))
    );
    assert_eq!(since(Vec::new()), None);
}

// ---- preps ----

#[test]
fn a_step_for_two_is_asked_for_until_two_have_signed_or_a_later_prep_does() {
    let look = |change: fn(&mut StepFacts)| {
        said(|r| change(r.prep.as_mut().unwrap().done.get_mut("look").unwrap()))
    };
    let unsigned = |prep: &str, why| {
        let (prep, step) = (prep.into(), "look".into());
        vec![Obstacle::Unsigned { prep, step, why }]
    };
    assert_eq!(
        look(|s| s.signed.clear()).obstacles,
        unsigned("p", Unsigned::SecondMember)
    );
    assert_eq!(
        look(|s| s.done = None).obstacles,
        unsigned("p", Unsigned::NotDone)
    );
    let skipped = look(|s| {
        let why = Seen {
            value: "no time".into(),
            ..by("ana", 27)
        };
        s.skipped = Some(why.into());
    });
    assert_eq!(skipped.obstacles, unsigned("p", Unsigned::Skipped));
    assert_eq!(
        skipped.remarks,
        [Remark::StepSkipped {
            prep: "p".into(),
            step: "look".into(),
            reason: "no time".into()
        }]
    );
    assert_eq!(
        look(|s| s.done = None).remarks,
        [Remark::PrepUnfinished {
            prep: "p".into(),
            left: 1
        }]
    );
    let ended = said(|r| {
        let p = r.prep.as_mut().unwrap();
        p.ended = noted(90);
        p.done.clear();
    });
    let (left, of) = (1, 1);
    assert_eq!(
        ended.remarks,
        [Remark::PrepCutShort {
            prep: "p".into(),
            left,
            of
        }]
    );
    assert_eq!(obstacles(|r| r.prep = None), [Obstacle::NoPrep]);
    // The last build still counts under a turnaround that attests less …
    let under = |steps: Vec<StepInstance>, change: fn(&mut PrepFacts)| {
        said(|r| {
            r.earlier = vec![r.prep.take().unwrap()];
            change(&mut r.earlier[0]);
            r.prep = Some(prep("t", 24, steps));
        })
    };
    let same = || vec![step("look", StepKind::Check, port(), true)];
    let unseen: fn(&mut PrepFacts) = |p| p.done.get_mut("look").unwrap().signed.clear();
    assert_eq!(
        under(vec![], unseen).obstacles,
        unsigned("p", Unsigned::SecondMember)
    );
    // … and no longer where the turnaround attests the same.
    assert_eq!(under(same(), unseen).obstacles, []);
    // What was passed over in the earlier one is not told again.
    let skip: fn(&mut PrepFacts) = |p| p.done.get_mut("look").unwrap().skipped = seen(27);
    assert_eq!(under(same(), skip).remarks, []);
    // A step for one asks for nobody's signature, and a plug's is judged by the plug itself.
    let more = |key: &str, kind, target, two| {
        obstacles(|r| {
            let p = r.prep.as_mut().unwrap();
            p.steps.push(step(key, kind, target, two));
        })
    };
    assert_eq!(more("tidy", StepKind::Do, Target::Rig, false), []);
    assert_eq!(more("plug", StepKind::Plug, of_main(), true), []);
    assert_eq!(more("walk", StepKind::Sign, Target::Rig, true), []);
    assert_ne!(more("close", StepKind::Close, of_main(), true), []);
}

#[test]
fn the_walk_round_is_after_the_last_closing_and_signed_by_two() {
    let walked = |at: Option<i64>, looks: &[i64]| {
        obstacles(|r| {
            r.walked = at.and_then(seen);
            r.walk_looks = looks.iter().map(|m| by("ben", *m)).collect();
        })
    };
    let missing = |why| vec![Obstacle::WalkRound { why, step: None }];
    assert_eq!(walked(Some(80), &[81]), []);
    assert_eq!(walked(Some(29), &[81]), missing(Unsigned::NotDone));
    assert_eq!(walked(None, &[81]), missing(Unsigned::NotDone));
    assert_eq!(walked(Some(80), &[]), missing(Unsigned::SecondMember));
    assert_eq!(walked(Some(80), &[79]), missing(Unsigned::SecondMember));
}

// ---- water ----

#[test]
fn water_may_have_been_in_the_one_named_or_in_all_that_were_there() {
    let mut rig = in_order();
    rig.enclosures[1].listed = vec![stamp(51)];
    let at = |rig: &RigFacts, defect: &DefectFacts| -> Vec<String> {
        wet(&rig.heard, &rig.enclosures, defect)
            .map(|e| e.id.clone())
            .collect()
    };
    assert_eq!(
        at(&rig, &found("enclosure/monitor", true, true)),
        ["monitor"]
    );
    let somewhere = found("rig", true, true);
    assert_eq!(at(&rig, &somewhere), ["main"]);
    rig.enclosures[1].listed = vec![stamp(49)];
    assert_eq!(at(&rig, &somewhere), ["main", "monitor"]);
    // Until each was opened since; where there was no water, nothing is to be looked into.
    assert_eq!(to_look_into(&rig, &somewhere), ["main", "monitor"]);
    rig.enclosures[0].opened = seen(51);
    assert_eq!(to_look_into(&rig, &somewhere), ["monitor"]);
    assert_eq!(to_look_into(&rig, &found("rig", true, false)), [""; 0]);
    let gone = |inspected: Option<i64>| {
        obstacles(|r| {
            r.gone = vec![GoneFault {
                at: "seal/old".into(),
                seen: by("ana", 50),
                inspected: inspected.and_then(seen),
            }];
        })
    };
    let stands = [Obstacle::FaultOnGone {
        at: "seal/old".into(),
    }];
    assert_eq!(gone(None), stands);
    assert_eq!(gone(Some(49)), stands);
    assert_eq!(gone(Some(51)), []);
}

// ---- rings ----

#[test]
fn a_ring_blocks_at_its_limit_and_warns_before() {
    let fitted = |days: i64, said: i64, dated: bool, cured: &str| Fitted {
        ms: ms(110) - days * 86_400_000,
        said: stamp(said),
        said_ms: ms(said),
        dated,
        pack: String::new(),
        cured: cured.into(),
        ring: None,
    };
    let told = |limits: SealLimits, change: &dyn Fn(&mut SealFacts)| {
        said(|r| {
            r.def.seals[0].limits = limits;
            change(&mut r.seals[0]);
        })
    };
    let none = SealLimits::default();
    let limits = SealLimits {
        soft_openings: Some(5),
        hard_openings: Some(7),
        soft_dives: Some(2),
        hard_dives: Some(3),
        ..none
    };
    let seal = || "back".to_owned();
    for (openings, dives, hard, soft) in [
        (4, 1, None, None),
        (5, 1, None, Some(PastLimit::Openings { count: 5, limit: 5 })),
        (4, 2, None, Some(PastLimit::Dives { count: 2, limit: 2 })),
        (7, 0, Some(PastLimit::Openings { count: 7, limit: 7 }), None),
        (0, 3, Some(PastLimit::Dives { count: 3, limit: 3 }), None),
    ] {
        let r = told(limits, &|s| (s.openings, s.dives) = (openings, dives));
        let past = |past| Obstacle::SealPastLimit { seal: seal(), past };
        assert_eq!(r.obstacles, hard.map(past).into_iter().collect::<Vec<_>>());
        let due = |past| Remark::SealSoonDue { seal: seal(), past };
        assert_eq!(r.remarks, soft.map(due).into_iter().collect::<Vec<_>>());
    }
    let days = SealLimits {
        hard_days: Some(30),
        ..none
    };
    let aged = |days_old| told(days, &|s| s.fitted = Some(fitted(days_old, 1, true, ""))).obstacles;
    assert_eq!(aged(29), []);
    let (age, limit) = (30, 30);
    assert_eq!(
        aged(30),
        [Obstacle::SealPastLimit {
            seal: seal(),
            past: PastLimit::Days { age, limit }
        }]
    );
    // Nitrile may be fitted for 7 years and, extended once, for 10 (ISO 2230, in core/data).
    let stored = |days_old: i64, cured: &str, hard| {
        let facts = SealFacts {
            fitted: Some(fitted(days_old, 1, true, cured)),
            ..SealFacts::default()
        };
        stored_too_long(&super::tests::seal("back", "main", None), &facts, hard).is_some()
    };
    // Fitted on 2026-06-01, the last day of one cured ten years before.
    assert!(!stored(0, "2016-06-01", true) && stored(0, "2016-05-31", true));
    assert!(!stored(0, "2019-06-01", false) && stored(0, "2019-05-31", false));
    assert!(!stored(1, "2016-05-31", true) && !stored(0, "", true));
    // Recorded as it was done, by a clock that lagged: the later of its two times.
    let lagging = SealFacts {
        fitted: Some(Fitted {
            said: Stamp::of_ms(ms(0)),
            said_ms: ms(0),
            ..fitted(2, 0, false, "2016-05-31")
        }),
        ..SealFacts::default()
    };
    assert!(stored_too_long(&super::tests::seal("back", "main", None), &lagging, true).is_some());
}

#[test]
fn a_ring_is_as_old_as_the_slowest_clock_says() {
    let day = 86_400_000;
    let facts = |said: i64| SealFacts {
        fitted: Some(Fitted {
            ms: ms(0),
            said: stamp(said),
            said_ms: ms(said),
            dated: true,
            pack: String::new(),
            cured: String::new(),
            ring: None,
        }),
        ..SealFacts::default()
    };
    let days = |said: i64, wall: i64, newest: i64, latest: i64| {
        let now = Now {
            wall_ms: ms(0) + wall,
            newest: Hlc::at(ms(0) + newest),
            latest_seen: (ms(0) + latest, stamp(5).hlc()),
            boot: None,
        };
        age_days(&facts(said), now)
    };
    assert_eq!(days(1, 3 * day - 1, 0, 0), Some(2));
    assert_eq!(days(1, 3 * day, 0, 0), Some(3));
    assert_eq!(days(1, 0, 3 * day, 0), Some(3));
    // What the clock showed once counts for what was recorded by then, and not for what came later.
    assert_eq!(days(5, 0, 0, 3 * day), Some(3));
    assert_eq!(days(6, 0, 0, 3 * day), Some(0));
    assert_eq!(days(1, -day, -day, -day), Some(0));
    assert_eq!(age_days(&SealFacts::default(), now()), None);
}

#[test]
fn what_speaks_against_a_rings_material_is_told() {
    let with = |material: &str, grease: Option<GreaseBase>, water_c: f64| {
        remarks(|r| {
            r.def.seals[0].material = material.into();
            r.def.seals[0].grease = grease;
            r.def.plan.water_c = water_c;
        })
    };
    let doubts = |told: Vec<Remark>| -> Vec<MaterialDoubt> {
        let of = |r: Remark| match r {
            Remark::SealMaterial { seal, doubt } if seal == "back" => Some(doubt),
            _ => None,
        };
        told.into_iter().filter_map(of).collect()
    };
    let mineral = Some(GreaseBase::Mineral);
    // Nitrile resists petroleum oils and EPDM does not (ORD 5700, in core/data).
    assert_eq!(doubts(with("NBR", mineral, 10.0)), []);
    let grease = GreaseBase::Mineral;
    let avoid = true;
    assert_eq!(
        doubts(with("EPDM", mineral, 10.0)),
        [MaterialDoubt::Grease { grease, avoid }]
    );
    assert_eq!(doubts(with("EPDM", None, 10.0)), []);
    // From memory, in core/data: nitrile from −30 to 100 °C.
    assert_eq!(doubts(with("NBR", None, -30.0)), []);
    let water_c = -31.0;
    assert_eq!(
        doubts(with("NBR", None, water_c)),
        [MaterialDoubt::Temperature {
            water_c,
            min_c: -30.0,
            max_c: 100.0
        }]
    );
    assert_eq!(doubts(with("no such stuff", mineral, 500.0)), []);
}

// ---- what a step attests, and what undoes it ----

#[test]
fn what_each_kind_of_step_attests() {
    let rig = in_order();
    let of = |kind, target: Target, two| {
        let s = step("s", kind, target, two);
        let told = attests(&rig.def, &s);
        told.iter().map(|p| format!("{p:?}")).collect::<Vec<_>>()
    };
    let text = |p: &[Proof<'_>]| p.iter().map(|p| format!("{p:?}")).collect::<Vec<_>>();
    let (enclosure, other) = ("main", "monitor");
    let closure = Some("port");
    let shut = |enclosure, closure| Proof::Shut { enclosure, closure };
    let looked = |enclosure, closure| Proof::Seen { enclosure, closure };
    let works = |enclosure| Proof::Functions { enclosure };
    let service = Proof::Service {
        enclosure,
        seal: "port",
    };
    let ring = || Target::Seal {
        enclosure: "main".into(),
        seal: "port".into(),
    };
    use StepKind as K;
    let table: Vec<(StepKind, Target, bool, Vec<Proof<'_>>)> = vec![
        (
            K::Controls,
            Target::Rig,
            true,
            vec![works(enclosure), works(other)],
        ),
        (
            K::Sign,
            Target::Rig,
            true,
            vec![shut(enclosure, None), shut(other, None)],
        ),
        (K::Check, Target::Rig, true, vec![]),
        (K::Hold, of_main(), false, vec![Proof::Hold { enclosure }]),
        (
            K::Recheck,
            of_main(),
            false,
            vec![Proof::Recheck { enclosure }],
        ),
        (K::Controls, of_main(), false, vec![works(enclosure)]),
        (K::Close, of_main(), false, vec![shut(enclosure, None)]),
        (K::Fasteners, of_main(), false, vec![shut(enclosure, None)]),
        (K::Sign, of_main(), false, vec![shut(enclosure, None)]),
        (K::Plug, of_main(), true, vec![shut(enclosure, None)]),
        (K::Check, of_main(), true, vec![looked(enclosure, None)]),
        (K::Check, of_main(), false, vec![]),
        (K::Open, of_main(), true, vec![]),
        (K::PlugOut, of_main(), true, vec![]),
        (K::Close, port(), false, vec![shut(enclosure, closure)]),
        (K::Fasteners, port(), true, vec![shut(enclosure, closure)]),
        (K::Sign, port(), true, vec![shut(enclosure, closure)]),
        (K::Check, port(), true, vec![looked(enclosure, closure)]),
        (K::Check, port(), false, vec![]),
        (K::Seal, ring(), false, vec![service]),
        (K::Sign, ring(), false, vec![service]),
        (K::Check, ring(), true, vec![service]),
        (K::Check, ring(), false, vec![]),
    ];
    for (kind, target, two, want) in table {
        assert_eq!(
            of(kind, target.clone(), two),
            text(&want),
            "{kind:?} {target:?} {two}"
        );
    }
}

#[test]
fn news_opens_again_the_steps_it_undoes_and_no_others() {
    let state = |change: &dyn Fn(&mut RigFacts)| {
        let mut rig = in_order();
        change(&mut rig);
        let mut prep = rig.prep.clone().unwrap();
        reopen_void(&rig, &mut prep);
        prep.state("look")
    };
    let opened = |minute: i64, closure: &'static str| {
        move |r: &mut RigFacts| {
            r.enclosures[0].openings = vec![(closure.to_owned(), by("ana", minute).into())];
        }
    };
    assert_eq!(state(&|_| {}), StepState::Done);
    assert_eq!(state(&opened(24, "port")), StepState::Done);
    assert_eq!(state(&opened(26, "port")), StepState::Open);
    assert_eq!(state(&opened(26, "back")), StepState::Done);
    // By which closure isn't known: by any.
    assert_eq!(state(&opened(26, "")), StepState::Open);
    // What is passed over, or not done, stays so.
    let skipped = |r: &mut RigFacts| {
        opened(40, "port")(r);
        let p = r.prep.as_mut().unwrap();
        p.done.get_mut("look").unwrap().skipped = seen(27);
    };
    assert_eq!(state(&skipped), StepState::Skipped);
    // A ring of that closure looked at after the closing tells of an opening; before it doesn't.
    let touched = |minute: i64| move |r: &mut RigFacts| r.seals[1].serviced = seen(minute);
    assert_eq!(state(&touched(29)), StepState::Done);
    assert_eq!(state(&touched(31)), StepState::Open);
    // Told by name: the newest of what whoever wrote the proof had not heard of.
    let mut rig = in_order();
    rig.dived = seen(50);
    let proofs = [Proof::Recheck { enclosure: "main" }];
    let told = |rig: &RigFacts, written: i64| {
        unanswered(rig, &proofs, &stamp(written))
            .map(|(seen, news)| (seen.stamp, format!("{news:?}")))
    };
    let dived = Some((stamp(50), format!("{:?}", News::Dived)));
    assert_eq!(told(&rig, 45), dived);
    assert_eq!(told(&rig, 51), None);
    rig.dived = None;
    let began = format!("{:?}", News::HoldBegun { enclosure: "main" });
    assert_eq!(told(&rig, 39), Some((stamp(40), began)));
    let nothing: HashMap<String, StepFacts> = HashMap::new();
    let mut untouched = prep("q", 5, vec![step("look", StepKind::Check, port(), true)]);
    untouched.done = nothing.clone();
    reopen_void(&rig, &mut untouched);
    assert_eq!(untouched.done, nothing);
}

#[test]
fn what_each_news_voids_of_what_two_have_seen_and_of_other_housings() {
    let rig = in_order();
    let voids = |news: News<'_>, proof: Proof<'_>| rules::voids(&rig.def, &news, &proof);
    let (enclosure, other) = ("main", "monitor");
    let looked = |enclosure, closure| Proof::Seen { enclosure, closure };
    let shut = |enclosure, closure| Proof::Shut { enclosure, closure };
    let (port, back) = (Some("port"), Some("back"));
    let by = |closure| News::Opened { enclosure, closure };
    // A look at the whole housing is undone by any closure of it, one at a closure by that one.
    assert!(voids(by(back), looked(enclosure, None)) && voids(by(None), looked(enclosure, port)));
    assert!(!voids(by(back), looked(enclosure, port)));
    assert!(!voids(by(port), looked(other, port)) && !voids(by(None), shut(other, None)));
    let service = |enclosure, seal| Proof::Service { enclosure, seal };
    assert!(!voids(by(None), service(other, "lid")));
    let functions = Proof::Functions { enclosure: other };
    assert!(!voids(by(None), functions));
    let touched = |seal, after_closing| News::Touched {
        enclosure,
        seal,
        after_closing,
    };
    assert!(voids(touched("back", true), looked(enclosure, None)));
    assert!(voids(touched("gland", true), looked(enclosure, port)));
    assert!(!voids(touched("port", true), looked(other, port)));
    assert!(!voids(touched("port", true), shut(other, port)));
    assert!(!voids(touched("port", true), shut(other, None)));
    assert!(!voids(touched("port", true), functions));
    assert!(!voids(touched("port", true), service(enclosure, "port")));
    for news in [News::PlugOut { enclosure }, News::HoldBegun { enclosure }] {
        for enclosure in [enclosure, other] {
            assert!(!voids(news, Proof::Functions { enclosure }));
            assert!(!voids(news, shut(enclosure, None)));
        }
        assert!(!voids(news, Proof::Plug { enclosure: other }));
        assert!(!voids(news, Proof::Recheck { enclosure: other }));
        assert!(!voids(news, Proof::Hold { enclosure: other }));
    }
    assert!(!voids(
        News::PlugOut { enclosure },
        Proof::Hold { enclosure }
    ));
    assert!(!voids(News::Dived, Proof::Hold { enclosure }));
}

// ---- what an edit takes away ----

/// The rig in order with what goes through the wall of its main housing, and a lens.
fn with_walls() -> RigFacts {
    let mut rig = in_order();
    let main = &mut rig.def.enclosures[0];
    main.closures = vec![closure("back"), closure("port")];
    main.penetrators = vec![penetrator("knob")];
    let back = &mut rig.def.seals[0];
    (back.size, back.hardness_shore_a) = ("AS568-258".into(), 70);
    back.limits = SealLimits {
        hard_days: Some(30),
        hard_openings: Some(7),
        hard_dives: Some(3),
        ..SealLimits::default()
    };
    rig.def.lenses = vec![LensConfig {
        id: "macro".into(),
        name: "Macro".into(),
        port: String::new(),
        rings: vec![],
        drives: vec![],
        enclosure: "main".into(),
        closure: "port".into(),
    }];
    rig
}

fn closure(id: &str) -> Closure {
    Closure {
        id: id.into(),
        name: id.into(),
        kind: ClosureKind::Latch,
        fasteners: None,
    }
}

fn penetrator(id: &str) -> Penetrator {
    Penetrator {
        id: id.into(),
        name: id.into(),
    }
}

/// Kind, of what, from and to.
type Taken<T> = (LossKind, T, Option<(f64, f64)>);

/// What an edit takes away.
fn taken(before: impl FnOnce(&mut RigFacts), edit: impl FnOnce(&mut RigDef)) -> Vec<Taken<String>> {
    let mut rig = with_walls();
    before(&mut rig);
    // Held as it is defined.
    for (def, known) in rig.def.enclosures.iter().zip(&mut rig.enclosures) {
        for hold in &mut known.holds {
            hold.setup.volume_m3 = 1e-3 * def.volume_l;
            hold.setup.volume_sd_m3 = 1e-3 * def.volume_sd_l;
            hold.setup.limit_ml = def.limit();
        }
    }
    let mut after = rig.def.clone();
    edit(&mut after);
    let told = losses(&rig, &after, &[]).into_iter();
    told.map(|l| (l.kind, l.at, l.from.zip(l.to))).collect()
}

#[test]
fn what_an_edit_takes_away_thing_by_thing() {
    use LossKind as K;
    let table: Vec<(Edit, &[Taken<&str>])> = vec![
        (|d| d.name = "Other".into(), &[]),
        (
            |d| drop(d.enclosures.pop()),
            &[(K::Removed, "enclosure/monitor", None)],
        ),
        (|d| drop(d.seals.pop()), &[(K::Removed, "seal/lid", None)]),
        (
            |d| drop(d.controls.remove(1)),
            &[(K::Removed, "control/menu", None)],
        ),
        // One that nothing was assigned to is no loss.
        (|d| drop(d.controls.pop()), &[]),
        (
            |d| d.controls[1].function.clear(),
            &[(K::Unassigned, "control/menu", None)],
        ),
        (|d| d.controls[1].function = "Play".into(), &[]),
        (
            |d| d.enclosures[0].limit_ml = Some(50.1),
            &[(K::LeakLimit, "enclosure/main", Some((50.0, 50.1)))],
        ),
        (|d| d.enclosures[0].limit_ml = Some(49.0), &[]),
        (
            |d| d.enclosures[0].depth_rating_m = 60.1,
            &[(K::DepthRating, "enclosure/main", Some((60.0, 60.1)))],
        ),
        (|d| d.enclosures[0].depth_rating_m = 59.0, &[]),
        // Less volume by more than its stated error of a litre makes the same fall a smaller leak.
        (
            |d| d.enclosures[0].volume_l = 8.9,
            &[(K::Volume, "enclosure/main", Some((10.0, 8.9)))],
        ),
        (|d| d.enclosures[0].volume_l = 9.0, &[]),
        (|d| d.enclosures[0].volume_l = 12.0, &[]),
        (
            |d| d.enclosures[0].volume_sd_l = 0.4,
            &[(K::VolumeError, "enclosure/main", Some((1.0, 0.4)))],
        ),
        (|d| d.enclosures[0].volume_sd_l = 0.5, &[]),
        (
            |d| d.enclosures[0].valve.as_mut().unwrap().reads_with_plug_on = true,
            &[(K::PlugStaysIn, "enclosure/main", None)],
        ),
        (|d| d.enclosures[0].valve = None, &[]),
        (
            |d| drop(d.enclosures[0].closures.pop()),
            &[(K::Removed, "closure/main/port", None)],
        ),
        (
            |d| d.enclosures[0].closures.push(closure("side")),
            &[(K::Added, "closure/main/side", None)],
        ),
        (
            |d| d.enclosures[0].penetrators = vec![penetrator("plug")],
            &[
                (K::Removed, "penetrator/main/knob", None),
                (K::Added, "penetrator/main/plug", None),
            ],
        ),
        (
            |d| d.seals[0].enclosure = "monitor".into(),
            &[(K::Elsewhere, "seal/back", None)],
        ),
        (
            |d| d.seals[0].closure = Some("port".into()),
            &[(K::Elsewhere, "seal/back", None)],
        ),
        (
            |d| d.seals[0].closure = None,
            &[(K::Elsewhere, "seal/back", None)],
        ),
        // One that no closure disturbed is asked for more often.
        (|d| d.seals[2].closure = Some("back".into()), &[]),
        (
            |d| d.seals[0].size = "AS568-259".into(),
            &[(K::OtherRing, "seal/back", None)],
        ),
        (
            |d| d.seals[0].material = "EPDM".into(),
            &[(K::OtherRing, "seal/back", None)],
        ),
        (
            |d| d.seals[0].hardness_shore_a = 90,
            &[(K::OtherRing, "seal/back", None)],
        ),
        // The same in other words, and what nobody had said, is no other ring.
        (|d| d.seals[0].material = "nitrile".into(), &[]),
        (|d| d.seals[1].size = "AS568-259".into(), &[]),
        (|d| d.seals[1].hardness_shore_a = 90, &[]),
        (
            |d| d.seals[0].limits.hard_days = Some(31),
            &[(K::SealDays, "seal/back", Some((30.0, 31.0)))],
        ),
        (|d| d.seals[0].limits.hard_days = Some(29), &[]),
        (
            |d| d.seals[0].limits.hard_openings = None,
            &[(K::SealOpenings, "seal/back", None)],
        ),
        (
            |d| d.seals[0].limits.hard_dives = Some(4),
            &[(K::SealDives, "seal/back", Some((3.0, 4.0)))],
        ),
        (|d| d.seals[1].limits.hard_dives = Some(4), &[]),
        (
            |d| d.lenses[0].closure = "back".into(),
            &[(K::Elsewhere, "lens/macro", None)],
        ),
        (|d| d.lenses[0].name = "Close".into(), &[]),
        (|d| d.lenses.clear(), &[]),
        (|d| d.enclosures.push(enclosure("light")), &[]),
    ];
    for (n, (edit, want)) in table.into_iter().enumerate() {
        let told = taken(|_| {}, edit);
        let told: Vec<_> = told
            .iter()
            .map(|(k, at, x)| (*k, at.as_str(), *x))
            .collect();
        assert_eq!(told, want, "{n}");
    }
    // A seal is named with its housing, so that two lids can be told apart.
    let mut after = with_walls().def;
    after.seals.pop();
    assert_eq!(losses(&with_walls(), &after, &[])[0].name, "lid, monitor");
}

#[test]
fn what_was_never_held_or_follows_from_the_volume_takes_nothing_away() {
    let unheld: fn(&mut RigFacts) = |r| r.enclosures[0].holds.clear();
    let smaller: fn(&mut RigDef) = |d| d.enclosures[0].volume_l = 8.0;
    let surer: fn(&mut RigDef) = |d| d.enclosures[0].volume_sd_l = 0.1;
    let added: fn(&mut RigDef) = |d| d.enclosures[0].closures.push(closure("side"));
    let other: fn(&mut RigDef) = |d| d.seals[0].hardness_shore_a = 90;
    for edit in [smaller, surer, added, other] {
        let of_built_in: fn(&mut RigFacts) = |r| {
            r.enclosures[0].holds.clear();
            r.def.enclosures[0].limit_ml = None;
        };
        assert_eq!(taken(of_built_in, edit), []);
        assert_eq!(taken(|_| {}, edit).len(), 1);
    }
    // A limit of the crew's own that is above the built-in one of so small a volume is set by way of it.
    let by_way = taken(unheld, smaller);
    assert_eq!(by_way.len(), 1);
    assert_eq!(by_way[0].0, LossKind::LeakLimit);
    for edit in [surer, added, other] {
        assert_eq!(taken(unheld, edit), []);
    }
    // A hold before the closing is none of it as it is; nor is one of what is open now.
    let before: fn(&mut RigFacts) = |r| r.enclosures[0].holds[0].started = stamp(29);
    let open: fn(&mut RigFacts) = |r| r.enclosures[0].opened = seen(90);
    for state in [before, open] {
        assert_eq!(taken(state, added), []);
        assert_eq!(taken(state, other), []);
    }
    // The built-in limit goes with the volume; one of the crew's own in its place does not.
    let built_in: fn(&mut RigFacts) = |r| {
        let e = &mut r.def.enclosures[0];
        (e.volume_l, e.limit_ml) = (1.0, None);
    };
    assert_eq!(taken(built_in, |d| d.enclosures[0].volume_l = 5.0), []);
    let limit = |edit: fn(&mut RigDef)| taken(built_in, edit).first().map(|l| l.0);
    assert_eq!(
        limit(|d| d.enclosures[0].limit_ml = Some(80.0)),
        Some(LossKind::LeakLimit)
    );
    assert_eq!(
        taken(
            |r| r.def.enclosures[0].limit_ml = Some(1.0),
            |d| d.enclosures[0].limit_ml = None
        )
        .first()
        .map(|l| l.0),
        Some(LossKind::LeakLimit)
    );
    // An error too small to matter may become smaller.
    let fine: fn(&mut RigFacts) = |r| r.def.enclosures[0].volume_sd_l = 0.2;
    assert_eq!(taken(fine, |d| d.enclosures[0].volume_sd_l = 0.05), []);
    let coarse: fn(&mut RigFacts) = |r| r.def.enclosures[0].volume_sd_l = 2.0;
    assert_eq!(
        taken(coarse, |d| d.enclosures[0].volume_sd_l = 0.9).len(),
        1
    );
    assert_eq!(taken(coarse, |d| d.enclosures[0].volume_sd_l = 1.1), []);
    // A volume known to nothing may still be rounded, by half a per cent.
    let sure: fn(&mut RigFacts) = |r| r.def.enclosures[0].volume_sd_l = 0.0;
    assert_eq!(taken(sure, |d| d.enclosures[0].volume_l = 9.96), []);
    assert_eq!(taken(sure, |d| d.enclosures[0].volume_l = 9.94).len(), 1);
    // The plug's staying in was said before. Of a valve that was off the list nothing was.
    let stays: fn(&mut RigDef) = |d| {
        let valve = Valve {
            name: "Valve".into(),
            reads_with_plug_on: true,
        };
        d.enclosures[0].valve = Some(valve);
    };
    assert_eq!(taken(|r| stays(&mut r.def), stays), []);
    let off = taken(|r| r.def.enclosures[0].valve = None, stays);
    assert_eq!(off.first().map(|l| l.0), Some(LossKind::PlugStaysIn));
    // Too old in a material that keeps for ten years, and not in one that keeps for fifteen.
    let old: fn(&mut RigFacts) = |r| {
        r.enclosures[0].holds.clear();
        r.seals[0].fitted = Some(Fitted {
            ms: ms(0),
            said: stamp(1),
            said_ms: ms(1),
            dated: true,
            pack: String::new(),
            cured: "2014-01".into(),
            ring: None,
        });
    };
    let epdm: fn(&mut RigDef) = |d| d.seals[0].material = "EPDM".into();
    assert_eq!(
        taken(old, epdm),
        [(LossKind::Stored, "seal/back".to_owned(), None)]
    );
    assert_eq!(taken(old, |d| d.seals[0].material = "HNBR".into()), []);
}

#[test]
fn what_was_written_in_a_step_is_of_this_prep_and_since_it_was_opened_again() {
    let within = |minute: i64, reopened: Option<Told>| {
        let mut p = prep("p", 5, vec![step("a", StepKind::Plug, of_main(), false)]);
        let facts = p.done.get_mut("a").unwrap();
        facts.reopened = reopened;
        within_step(&p, "a", &stamp(minute))
    };
    assert!(within(6, None) && !within(4, None));
    assert!(within(11, seen(10)) && !within(9, seen(10)));
    assert!(!within(4, seen(3)));
}

#[test]
fn what_an_edit_put_on_the_list_is_answered_by_closing_again() {
    let edit = |kind: LossKind, at: &[&str]| LossFacts {
        what: at
            .iter()
            .map(|at| Loss {
                at: (*at).into(),
                name: String::new(),
                kind,
                from: None,
                to: None,
            })
            .collect(),
        ..loss(25, &[])
    };
    let since = |closed: Option<i64>, edit: &LossFacts| {
        let mut rig = in_order();
        rig.enclosures[0].closed = closed.and_then(seen);
        proved_since(&rig, edit)
    };
    for at in ["seal/back", "closure/main/side", "penetrator/main/knob"] {
        let e = edit(LossKind::Added, &[at]);
        assert!(since(Some(26), &e), "{at}");
        assert!(
            !since(Some(24), &e) && !since(Some(25), &e) && !since(None, &e),
            "{at}"
        );
        // What went off the list again took its question with it.
        assert!(since(
            None,
            &edit(LossKind::Added, &["closure/light/lid", "seal/gone"])
        ));
    }
    // All of it, and only of what may have been there.
    assert!(since(Some(24), &edit(LossKind::Added, &["seal/lid"])));
    assert!(!since(
        Some(24),
        &edit(LossKind::OtherRing, &["seal/lid", "seal/back"])
    ));
    assert!(!since(Some(26), &edit(LossKind::Removed, &["seal/back"])));
    // Seen: an edit that doesn't say what it took away was proved by nothing at all.
    assert!(!since(Some(26), &edit(LossKind::Added, &[])));
    // Not to be signed for then, and not told.
    let answered = said(|r| r.losses = vec![edit(LossKind::Added, &["seal/back"])]);
    assert!(answered.is_ready(), "{answered:?}");
    let open = said(|r| {
        r.losses = vec![LossFacts {
            seen: by("ana", 31),
            ..edit(LossKind::Added, &["seal/back"])
        }];
    });
    assert!(!open.is_ready());
    let unnamed = said(|r| r.losses = vec![edit(LossKind::Added, &[])]);
    let event = "l".to_owned();
    assert_eq!(unnamed.obstacles, [Obstacle::LossUnsigned { event }]);
}

#[test]
fn a_rig_is_in_use_once_anything_was_done_with_it() {
    let bare = || {
        let mut rig = in_order();
        for e in &mut rig.enclosures {
            *e = EnclosureFacts {
                id: e.id.clone(),
                ..EnclosureFacts::default()
            };
        }
        for s in &mut rig.seals {
            s.serviced = None;
        }
        for c in &mut rig.controls {
            c.works = None;
        }
        rig.prep = None;
        rig
    };
    assert!(!in_use(&bare()));
    let any: [Change; 9] = [
        |r| r.prep = in_order().prep,
        |r| r.dived = seen(1),
        |r| r.enclosures[1].opened = seen(1),
        |r| r.enclosures[1].closed = seen(1),
        |r| r.enclosures[1].holds = in_order().enclosures[1].holds.clone(),
        |r| r.seals[3].serviced = seen(1),
        |r| r.seals[3].looked_at = vec![stamp(1)],
        |r| r.controls[1].works = seen(1),
        |r| r.controls[1].fails = seen(1),
    ];
    for (n, done) in any.into_iter().enumerate() {
        let mut rig = bare();
        done(&mut rig);
        assert!(in_use(&rig), "{n}");
    }
}
