//! The whole dive day on the real core: dry parts to ready, opened again, proved again, dived.

use slackwater_checks::drive::{Day, reading};
use slackwater_core::domain::book::{BookFault, Refusal};
use slackwater_core::domain::facts::Finding;
use slackwater_core::domain::readiness::{HoldMissing, Obstacle, RecheckMissing};
use slackwater_core::domain::rig::RigDef;

fn day() -> (tempfile::TempDir, Day) {
    let dir = tempfile::tempdir().unwrap();
    let day = Day::dry_parts(dir.path()).unwrap();
    (dir, day)
}

fn obstacles(day: &Day) -> Vec<Obstacle> {
    day.book.readiness(&day.rig).unwrap().obstacles
}

#[test]
fn dry_parts_to_ready_by_the_built_in_procedure() {
    let (_dir, mut day) = day();
    let before = obstacles(&day);
    assert!(before.contains(&Obstacle::NoPrep));
    assert!(before.contains(&Obstacle::NotClosed {
        enclosure: "main".into()
    }));
    day.ready().unwrap();
    let r = day.book.readiness(&day.rig).unwrap();
    assert_eq!(r.obstacles, []);
    let (until, _) = r.until.unwrap();
    let left = until - day.book.now().wall_ms;
    assert!((0..=120 * 60_000).contains(&left), "{left}");
    // It ends by itself, to the minute.
    day.clock.advance(left - 1);
    assert!(day.book.readiness(&day.rig).unwrap().is_ready());
    day.clock.advance(1);
    assert!(matches!(
        obstacles(&day)[..],
        [
            Obstacle::NoRecheck {
                why: RecheckMissing::TooOld { .. },
                ..
            },
            ..
        ]
    ));
    // And a new recheck brings it back.
    day.recheck().unwrap();
    assert!(day.book.readiness(&day.rig).unwrap().is_ready());
}

#[test]
fn opening_takes_ready_away_and_only_new_evidence_brings_it_back() {
    let (_dir, mut day) = day();
    day.ready().unwrap();
    let rig = day.rig.clone();
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    let o = obstacles(&day);
    for wanted in [
        Obstacle::NotClosed {
            enclosure: "main".into(),
        },
        Obstacle::SealToService {
            seal: "main-port".into(),
            enclosure: "main".into(),
        },
        Obstacle::SealToService {
            seal: "main-ring".into(),
            enclosure: "main".into(),
        },
        Obstacle::NoHold {
            enclosure: "main".into(),
            why: HoldMissing::None,
        },
        Obstacle::Control {
            control: "record".into(),
            failed: false,
        },
    ] {
        assert!(o.contains(&wanted), "{wanted:?} in {o:?}");
    }
    assert!(
        !o.iter()
            .any(|o| matches!(o, Obstacle::SealToService { seal, .. } if seal == "main-back"))
    );
    assert!(
        !o.iter()
            .any(|o| matches!(o, Obstacle::NoHold { enclosure, .. } if enclosure == "monitor"))
    );
    // Closing alone does not help; nor does a hold without the seals serviced.
    day.minutes(1);
    day.book.close_enclosure(&rig, "main").unwrap();
    assert!(!day.book.readiness(&rig).unwrap().is_ready());
    let refused = day.book.service_seal(&rig, "main-port", Finding::Clean, "");
    assert!(matches!(
        refused,
        Err(BookFault::Refused(Refusal::EnclosureClosed { .. }))
    ));
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    for seal in ["main-port", "main-ring"] {
        day.book
            .service_seal(&rig, seal, Finding::Clean, "")
            .unwrap();
    }
    day.book.close_enclosure(&rig, "main").unwrap();
    day.hold("main", 0.0).unwrap();
    day.book.plug_on(&rig, "main").unwrap();
    for c in [
        "record",
        "focus",
        "iris",
        "power",
        "white-balance",
        "iso",
        "playback",
        "assist",
    ] {
        day.book.test_control(&rig, c, true, "").unwrap();
    }
    let o = obstacles(&day);
    assert!(
        o.iter().all(|o| matches!(
            o,
            Obstacle::NoRecheck { .. } | Obstacle::WalkRound { .. } | Obstacle::PlugUnseen { .. }
        )),
        "{o:?}"
    );
    assert_eq!(o.len(), 3, "{o:?}");
}

#[test]
fn a_leaking_hold_never_counts_and_a_new_one_is_needed() {
    let (_dir, mut day) = day();
    day.ready().unwrap();
    let rig = day.rig.clone();
    day.hold("main", 40.0).unwrap();
    let o = obstacles(&day);
    assert!(
        o.iter().any(|o| matches!(
            o,
            Obstacle::NoHold {
                why: HoldMissing::Leaking { .. },
                ..
            }
        )),
        "{o:?}"
    );
    let refused = day.book.plug_on(&rig, "main");
    assert!(matches!(
        refused,
        Err(BookFault::Refused(Refusal::NotProved { .. }))
    ));
}

#[test]
fn a_recheck_that_finds_a_change_blocks() {
    let (_dir, mut day) = day();
    day.ready().unwrap();
    let rig = day.rig.clone();
    day.minutes(60);
    day.book
        .record_recheck(&rig, "main", reading(140.0))
        .unwrap();
    let o = obstacles(&day);
    assert!(
        o.iter().any(|o| matches!(
            o,
            Obstacle::NoRecheck {
                why: RecheckMissing::Changed,
                ..
            }
        )),
        "{o:?}"
    );
    assert!(o.contains(&Obstacle::PlugOff {
        enclosure: "main".into()
    }));
}

#[test]
fn evidence_can_be_taken_back_and_news_cannot() {
    let (_dir, mut day) = day();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let tested = day.book.test_control(&rig, "record", true, "").unwrap();
    day.book.undo(&tested.undo.unwrap()).unwrap();
    assert!(
        day.book.readiness(&rig).unwrap().is_ready(),
        "the test before it stands again"
    );
    let opened = day.book.open_closure(&rig, "monitor", None).unwrap();
    assert_eq!(opened.undo, None);
    let refused = day.book.undo(&opened.events[0].to_string());
    assert!(matches!(
        refused,
        Err(BookFault::Refused(Refusal::NotRetractable))
    ));
    assert!(!day.book.readiness(&rig).unwrap().is_ready());
}

#[test]
fn state_after_opening_again_is_the_state_before() {
    let (dir, mut day) = day();
    day.ready().unwrap();
    let before = day.book.rig(&day.rig).unwrap();
    let (rig, clock) = (day.rig.clone(), day.clock.clone());
    drop(day);
    let book = slackwater_core::domain::book::Book::open(
        dir.path(),
        slackwater_checks::drive::env(&clock, 9),
    )
    .unwrap();
    assert_eq!(*book.rig(&rig).unwrap(), *before);
    assert!(book.readiness(&rig).unwrap().is_ready());
    assert!(book.journal().verify_all(|_| ()).unwrap() > 100);
}

#[test]
fn a_clock_set_back_never_makes_a_recheck_younger() {
    let (_dir, mut day) = day();
    day.ready().unwrap();
    // Something happens three hours later, then the clock goes back to just after the recheck.
    day.minutes(180);
    let rig = day.rig.clone();
    day.book
        .open_defect(&rig, "", false, false, "a scratch")
        .unwrap();
    day.minutes(-170);
    assert!(obstacles(&day).iter().any(|o| matches!(
        o,
        Obstacle::NoRecheck {
            why: RecheckMissing::TooOld { .. },
            ..
        }
    )));
    day.minutes(-24 * 60);
    assert!(obstacles(&day).iter().any(|o| matches!(
        o,
        Obstacle::NoRecheck {
            why: RecheckMissing::ClockSetBack,
            ..
        }
    )));
}

#[test]
fn editing_a_rig_asks_for_what_it_adds() {
    let (_dir, mut day) = day();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    let mut extra = def.seals[0].clone();
    extra.id = "main-second".into();
    def.seals.push(extra);
    def.plan.depth_m = 45.0;
    day.book.edit_rig(&rig, def).unwrap();
    let o = obstacles(&day);
    assert!(o.contains(&Obstacle::SealToService {
        seal: "main-second".into(),
        enclosure: "main".into()
    }));
    assert!(o.iter().any(|o| matches!(
        o,
        Obstacle::NoHold {
            why: HoldMissing::OtherPlan { .. },
            ..
        }
    )));
}

#[test]
fn a_rig_with_nothing_on_it_is_never_ready() {
    let (_dir, mut day) = day();
    let bare = RigDef {
        name: "Bare".into(),
        ..RigDef::default()
    };
    let id = day.book.create_rig(bare, "").unwrap();
    let r = day.book.readiness(&id).unwrap();
    assert!(r.obstacles.contains(&Obstacle::NoEnclosures));
}
