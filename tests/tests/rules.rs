//! The rules, met as a crew meets them: what voids what, what counts, what blocks. Each case was
//! once told otherwise in two places, or let a rig be called ready that was not.

use slackwater_checks::drive::{Day, reading};
use slackwater_core::domain::book::{Book, BookFault, Refusal};
use slackwater_core::domain::facts::{Fact, Finding};
use slackwater_core::domain::procedure::{StepInstance, StepKind, Target};
use slackwater_core::domain::readiness::{Obstacle, Readiness, Remark, Unsigned};
use slackwater_core::domain::rig::{Penetrator, RigDef};
use slackwater_core::domain::rules::RecheckMissing;
use slackwater_core::domain::state::StepState;
use slackwater_core::domain::subject::At;

fn day() -> (tempfile::TempDir, Day) {
    let dir = tempfile::Builder::new()
        .prefix("slackwater-rules")
        .tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap();
    let day = Day::dry_parts(dir.path()).unwrap();
    (dir, day)
}

fn says(day: &Day) -> Readiness {
    day.book.readiness(&day.rig).unwrap()
}

fn step(book: &Book, prep: &str, of: impl Fn(&StepInstance) -> bool) -> StepInstance {
    let facts = book.prep(prep).unwrap();
    facts.steps.iter().find(|s| of(s)).unwrap().clone()
}

/// A crew's own build: two members look at the back together, then it is closed, held and plugged.
const OWN_BUILD: &str = r#"
format = 1
id = "own-build"
title = "Our build"
kind = "build"

[[step]]
id = "open"
section = "Build"
title = "Open {target} of {enclosure}"
text = "Facing down."
kind = "open"
each = "closure"

[[step]]
id = "seals"
section = "Build"
title = "Service {target} of {enclosure}"
text = "All round."
kind = "seal"
each = "seal"
only = ["in_closure"]
after = ["open"]
points = ["Looked at", "Put back"]

[[step]]
id = "close"
section = "Build"
title = "Close {target} of {enclosure}"
text = "Evenly."
kind = "close"
each = "closure"
after = ["seals"]

[[step]]
id = "look"
section = "Build"
title = "Look at {target} together"
text = "Same gap all round."
kind = "check"
each = "enclosure"
two_person = true
after = ["close"]

[[step]]
id = "hold"
section = "Build"
title = "Hold {target}"
text = "Let it settle."
kind = "hold"
each = "enclosure"
after = ["look"]

[[step]]
id = "plug"
section = "Build"
title = "Plug {target}"
text = "Tight by hand."
kind = "plug"
each = "enclosure"
after = ["hold"]
"#;

#[test]
fn a_check_by_two_that_an_opening_voids_is_open_again_in_the_prep() {
    // Seen: readiness asked for the check again while the prep called it done and would not let it
    // be done: two tables of what an opening voids.
    let (_dir, mut day) = day();
    day.book.add_procedure(OWN_BUILD.as_bytes()).unwrap();
    let prep = day.book.start_prep(&day.rig, "own-build").unwrap();
    day.work(&prep, None).unwrap();
    let look = step(&day.book, &prep, |s| s.key.starts_with("look@main"));
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&look.key),
        StepState::Done
    );

    day.minutes(5);
    let rig = day.rig.clone();
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    let void = |o: &Obstacle| matches!(o, Obstacle::Unsigned { step, why: Unsigned::NotDone, .. } if *step == look.key);
    assert!(says(&day).obstacles.iter().any(void));
    let facts = day.book.prep(&prep).unwrap();
    assert_eq!(facts.state(&look.key), StepState::Open);
    assert_eq!(day.book.rig(&rig).unwrap().prep.as_ref(), Some(&facts));
    // The other housing's check stands, and so does the closing that nobody touched.
    let other = step(&day.book, &prep, |s| s.key.starts_with("look@monitor"));
    assert_eq!(facts.state(&other.key), StepState::Done);

    // Worked through, it stands again.
    day.work(&prep, None).unwrap();
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&look.key),
        StepState::Done
    );
    assert!(
        !says(&day)
            .obstacles
            .iter()
            .any(|o| matches!(o, Obstacle::Unsigned { .. }))
    );
}

#[test]
fn an_opening_that_another_phone_recorded_opens_the_same_steps_again() {
    // Seen: the steps that an opening undoes were written down by the phone that opened, so a phone
    // that had not heard of the prep undid nothing in it.
    let (_dir, mut day) = day();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Hold)).unwrap();
    let shut = step(&day.book, &prep, |s| {
        s.step.kind == StepKind::Close
            && matches!(&s.target, Target::Closure { closure, .. } if closure == "port")
    });
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&shut.key),
        StepState::Done
    );
    let opened = Fact::Opened {
        closure: Some("port".into()),
    };
    day.book
        .record(vec![(format!("{rig}/enclosure/main"), opened)])
        .unwrap();
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&shut.key),
        StepState::Open
    );
}

fn ready_day() -> (tempfile::TempDir, Day) {
    let (dir, mut day) = day();
    day.ready().unwrap();
    assert_eq!(says(&day).obstacles, []);
    (dir, day)
}

fn recheck_missing(day: &Day, enclosure: &str) -> Option<RecheckMissing> {
    says(day).obstacles.into_iter().find_map(|o| match o {
        Obstacle::NoRecheck { enclosure: e, why } if e == enclosure => Some(why),
        _ => None,
    })
}

#[test]
fn a_dive_voids_the_recheck() {
    // Seen: a recheck made before a dive still counted after it, for the rest of its two hours.
    let (_dir, mut day) = ready_day();
    day.minutes(50);
    let rig = day.rig.clone();
    day.book.log_dive(&rig, 18.0, 40.0, "").unwrap();
    for enclosure in ["main", "monitor"] {
        assert_eq!(
            recheck_missing(&day, enclosure),
            Some(RecheckMissing::Dived)
        );
    }
    // What the holds proved stands: a recheck is all that is asked for.
    assert_eq!(says(&day).obstacles.len(), 2);
    day.recheck().unwrap();
    assert!(says(&day).is_ready());
}

/// Seen: a dive to 66 m on housings rated to 60 m, undone twenty minutes later, left the old rechecks
/// counting and nothing to look over.
#[test]
fn a_dive_is_news_and_is_not_taken_back() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let logged = day.book.log_dive(&rig, 66.0, 20.0, "").unwrap();
    assert_eq!(logged.undo, None);
    assert!(day.book.undo(&logged.events[0].to_string()).is_err());
    assert_eq!(recheck_missing(&day, "main"), Some(RecheckMissing::Dived));
}

/// Seen: with the back open, another lens was put on, only the back's ring serviced, the housing closed
/// and worked to ready: the port's rings were never asked for.
#[test]
fn a_lens_changed_while_another_closure_is_open_disturbs_the_rings_of_its_own() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.book.open_closure(&rig, "main", Some("back")).unwrap();
    let wanting = |day: &Day| -> Vec<String> {
        says(day)
            .obstacles
            .into_iter()
            .filter_map(|o| match o {
                Obstacle::SealToService { seal, .. } => Some(seal),
                _ => None,
            })
            .collect()
    };
    assert_eq!(wanting(&day), ["main-back"]);
    day.book.choose_lens(&rig, "macro").unwrap();
    assert!(
        wanting(&day).contains(&"main-port".to_owned()),
        "{:?}",
        wanting(&day)
    );
}

#[test]
fn a_turnaround_does_not_reach_ready_on_a_recheck_made_before_the_dive() {
    // Seen: with the dive not logged, the monitor's recheck of an hour ago took the rig to ready.
    let (_dir, mut day) = ready_day();
    day.minutes(40);
    let prep = day.book.start_prep(&day.rig, "turnaround").unwrap();
    assert_eq!(
        recheck_missing(&day, "monitor"),
        Some(RecheckMissing::Dived)
    );
    // The turnaround has the monitor's gauge read again; what was read before the dive is nothing to it.
    day.work(&prep, Some(StepKind::Recheck)).unwrap();
    assert!(recheck_missing(&day, "monitor").is_some());
    day.work(&prep, None).unwrap();
    assert!(recheck_missing(&day, "main").is_some());
    assert!(!says(&day).is_ready());
}

#[test]
fn a_plug_taken_out_voids_the_plug_and_the_recheck_and_a_recheck_may_take_it_out_first() {
    // Seen: the recheck outlived the plug's coming out.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.minutes(5);
    day.book.plug_off(&rig, "monitor").unwrap();
    let plug =
        |o: &Obstacle| matches!(o, Obstacle::PlugOff { enclosure } if enclosure == "monitor");
    assert!(says(&day).obstacles.iter().any(plug));
    day.book.plug_on(&rig, "monitor").unwrap();
    assert_eq!(
        recheck_missing(&day, "monitor"),
        Some(RecheckMissing::PlugOut)
    );
    // Its gauge goes onto the valve: the recheck itself takes the plug out, and counts.
    day.book
        .record_recheck(&rig, "monitor", reading(200.0))
        .unwrap();
    assert_eq!(recheck_missing(&day, "monitor"), None);
    assert!(says(&day).obstacles.iter().any(plug));
    day.book.plug_on(&rig, "monitor").unwrap();
    // Put in again, it is seen by a second one again.
    let unseen =
        |o: &Obstacle| matches!(o, Obstacle::PlugUnseen { enclosure } if enclosure == "monitor");
    assert!(says(&day).obstacles.iter().all(unseen));
    day.book.sign_plugs(&rig, &day.dp).unwrap();
    assert!(says(&day).is_ready());
}

#[test]
fn a_gauge_read_with_the_plug_out_is_recorded_so_and_asks_for_the_plug_again() {
    // Seen: the turnaround has the gauge of the monitor read, whose plug is out for that, and the
    // record went on saying that it was in.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "turnaround").unwrap();
    day.work(&prep, Some(StepKind::Plug)).unwrap();
    let plug =
        |o: &Obstacle| matches!(o, Obstacle::PlugOff { enclosure } if enclosure == "monitor");
    assert!(says(&day).obstacles.iter().any(plug));
    // And has it put in again, for two to see.
    day.work(&prep, Some(StepKind::Open)).unwrap();
    assert!(!says(&day).obstacles.iter().any(plug));
}

#[test]
fn a_plan_below_a_rating_blocks() {
    // Seen: 70 m planned with housings rated to 60 m was a remark beside 'ready'.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    def.enclosures[1].depth_rating_m = 15.0;
    day.book.edit_rig(&rig, def).unwrap();
    let deeper = Obstacle::DeeperThanRated {
        enclosure: "monitor".into(),
    };
    assert_eq!(says(&day).obstacles[0], deeper);
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    def.plan.depth_m = 15.0;
    day.book.edit_rig(&rig, def).unwrap();
    assert!(!says(&day).obstacles.contains(&deeper));
}

#[test]
fn a_dive_below_a_rating_blocks_until_someone_has_looked_the_enclosure_over_and_signed() {
    // Seen: a dive to 66 m with housings rated to 60 m left nothing behind.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.book.log_dive(&rig, 66.0, 20.0, "").unwrap();
    day.recheck().unwrap();
    let deep = |day: &Day| {
        let of = |o: &Obstacle| matches!(o, Obstacle::WasTooDeep { .. });
        says(day).obstacles.iter().filter(|o| of(o)).count()
    };
    assert_eq!(deep(&day), 2);
    // Not by a recheck, nor by another dive within the rating, nor without a word.
    day.book.log_dive(&rig, 20.0, 20.0, "").unwrap();
    assert_eq!(deep(&day), 2);
    assert!(day.book.inspect(&rig, At::Enclosure("main"), "  ").is_err());
    for enclosure in ["enclosure/main", "enclosure/monitor"] {
        day.book
            .inspect(
                &rig,
                At::parse(enclosure),
                "windows, seams and rings: no mark",
            )
            .unwrap();
    }
    assert_eq!(deep(&day), 0);
    day.recheck().unwrap();
    assert!(says(&day).is_ready());
    // A housing that comes onto the rig later was not down there.
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    let mut light = def.enclosures[1].clone();
    light.id = "light".into();
    light.depth_rating_m = 40.0;
    def.enclosures.push(light);
    day.book.edit_rig(&rig, def).unwrap();
    assert_eq!(deep(&day), 0);
}

#[test]
fn water_is_not_answered_by_a_word_with_the_housing_shut() {
    // Seen: 'water found' closed with 'ok', the housing never opened, and the rig ready.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let defect = day
        .book
        .open_defect(&rig, "enclosure/main", true, true, "drops in the port")
        .unwrap();
    let refused = day.book.close_defect(&rig, &defect, "ok");
    assert!(
        matches!(&refused, Err(BookFault::Refused(Refusal::LookInside { enclosures }))
            if enclosures == &["Main housing"]),
        "{refused:?}"
    );
    // Nor where another phone, which didn't ask, wrote it down.
    let closed = Fact::DefectClosed { how: "ok".into() };
    let at = format!("{rig}/defect/{defect}");
    day.book.record(vec![(at, closed)]).unwrap();
    let stands = |day: &Day| {
        let of = |o: &Obstacle| matches!(o, Obstacle::Defect { .. });
        says(day).obstacles.iter().any(of)
    };
    assert!(stands(&day));
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    assert!(stands(&day));
    day.book
        .close_defect(&rig, &defect, "condensation: ring clean, dried")
        .unwrap();
    assert!(!stands(&day));
}

#[test]
fn water_found_where_no_enclosure_is_may_have_been_in_any() {
    // Seen: noted at 'port', or at a part, it was closed with 'ok' and nothing opened.
    for at in ["port", "part/lens", "enclosure/unknown", "seal/main-port"] {
        let (_dir, mut day) = ready_day();
        let rig = day.rig.clone();
        let defect = day.book.open_defect(&rig, at, true, true, "drops").unwrap();
        for opened in ["main", "monitor"] {
            let refused = day.book.close_defect(&rig, &defect, "ok");
            assert!(
                matches!(refused, Err(BookFault::Refused(Refusal::LookInside { .. }))),
                "{at}: {refused:?}"
            );
            day.book.open_closure(&rig, opened, None).unwrap();
        }
        day.book.close_defect(&rig, &defect, "dry").unwrap();
    }
}

#[test]
fn a_build_that_was_ended_with_steps_not_done_is_told() {
    // Seen: a build ended at once, nothing of it done, and no word of it beside what else was proved.
    let cut = |day: &Day| {
        let of = |r: &Remark| match r {
            Remark::PrepCutShort { left, of, .. } => Some((*left, *of)),
            _ => None,
        };
        says(day).remarks.iter().find_map(of)
    };
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    assert_eq!(cut(&day), None);
    // What an opening opens again was done.
    day.book.open_closure(&rig, "main", None).unwrap();
    assert_eq!(cut(&day), None);
    let build = day.book.start_prep(&rig, "general-build").unwrap();
    assert_eq!(cut(&day), None, "it is under way");
    day.book.end_prep(&build, "no time").unwrap();
    let (left, of) = cut(&day).unwrap();
    assert!(left == of && of > 40, "{left} of {of}");
    // Also under a turnaround.
    day.book.start_prep(&rig, "turnaround").unwrap();
    assert_eq!(cut(&day), Some((left, of)));
}

#[test]
fn a_flood_response_that_ends_with_nothing_done_leaves_its_block() {
    // Seen: begun, ended with a word, its defect closed with another: ready.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "flood").unwrap();
    day.book.end_prep(&prep, "false alarm").unwrap();
    let defect = day.book.rig(&rig).unwrap().defects[0].id.clone();
    assert!(day.book.close_defect(&rig, &defect, "false alarm").is_err());
    // The dry ones, too: they were at the same depth.
    day.book.open_closure(&rig, "main", None).unwrap();
    assert!(day.book.close_defect(&rig, &defect, "false alarm").is_err());
    day.book.open_closure(&rig, "monitor", None).unwrap();
    day.book.close_defect(&rig, &defect, "both dry").unwrap();
    assert!(!says(&day).is_ready());
}

/// Edits the rig as the crew's editor does.
fn edit(day: &mut Day, how: impl FnOnce(&mut RigDef)) {
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    how(&mut def);
    day.book.edit_rig(&rig, def).unwrap();
}

fn unsigned_loss(day: &Day) -> Option<String> {
    says(day).obstacles.into_iter().find_map(|o| match o {
        Obstacle::LossUnsigned { event } => Some(event),
        _ => None,
    })
}

fn gone(day: &Day) -> Vec<String> {
    let of = |o: Obstacle| match o {
        Obstacle::FaultOnGone { at } => Some(at),
        _ => None,
    };
    says(day).obstacles.into_iter().filter_map(of).collect()
}

#[test]
fn what_an_edit_takes_away_is_signed_for_and_told_until_the_next_build() {
    // Seen: an open enclosure, a seal, a dead control taken off the list, and the rig ready at once.
    type Edit = fn(&mut RigDef);
    let takes: [(&str, Edit); 6] = [
        ("a seal", |d| d.seals.retain(|s| s.id != "main-port-base")),
        ("a control", |d| d.controls.retain(|c| c.id != "focus")),
        ("a function", |d| d.controls[1].function.clear()),
        ("a ring's limit", |d| d.seals[0].limits.hard_days = None),
        ("a leak limit", |d| {
            d.enclosures[0].limit_ml = Some(10_000.0)
        }),
        ("a rating", |d| d.enclosures[1].depth_rating_m = 90.0),
    ];
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    for (what, how) in takes {
        edit(&mut day, how);
        let event = unsigned_loss(&day).unwrap_or_else(|| panic!("{what} went in silence"));
        let (me, other) = (day.assistant.clone(), day.dp.clone());
        assert!(day.book.sign_loss(&rig, &event, &me).is_err());
        day.book.sign_loss(&rig, &event, &other).unwrap();
        assert!(says(&day).is_ready(), "{what}: {:?}", says(&day).obstacles);
        let told = Remark::TookAway { event };
        assert!(says(&day).remarks.contains(&told), "{what} is not told");
    }
    // What is added, tightened or named anew takes nothing away.
    edit(&mut day, |d| {
        d.enclosures[0].name = "Main".into();
        d.enclosures[0].limit_ml = Some(50.0);
        d.seals[0].limits.soft_days = Some(50);
        d.seals[0].limits.hard_days = Some(100);
    });
    assert_eq!(unsigned_loss(&day), None);
    day.book.start_prep(&rig, "general-build").unwrap();
    let told = |r: &Remark| matches!(r, Remark::TookAway { .. });
    assert!(!says(&day).remarks.iter().any(told));
}

/// Signs for the edit that waits, and says whether that was all.
fn signed_it_is_ready(day: &mut Day, what: &str) -> bool {
    let event = unsigned_loss(day).unwrap_or_else(|| panic!("{what} went in silence"));
    let (rig, other) = (day.rig.clone(), day.dp.clone());
    day.book.sign_loss(&rig, &event, &other).unwrap();
    says(day).is_ready()
}

#[test]
fn a_smaller_volume_said_once_the_enclosure_was_held_is_signed_for() {
    // Seen: a leak at the limit in 12 L, the volume edited to 5 L, judged again: holding, and nobody
    // asked. Likewise an error of the volume said to be nothing.
    let (_dir, mut day) = ready_day();
    edit(&mut day, |d| {
        // By the limit as it is: the built-in one follows the volume.
        d.enclosures[0].limit_ml = Some(d.enclosures[0].limit());
        d.enclosures[0].volume_l = 5.0;
    });
    assert!(signed_it_is_ready(&mut day, "a smaller volume"));
    edit(&mut day, |d| d.enclosures[0].volume_sd_l = 0.01);
    assert!(signed_it_is_ready(&mut day, "a smaller error"));
    // What its error allows is the same volume, and a larger one is judged again.
    edit(&mut day, |d| d.enclosures[1].volume_l = 1.3);
    assert_eq!(unsigned_loss(&day), None);
    edit(&mut day, |d| d.enclosures[1].volume_l = 3.0);
    assert_eq!(unsigned_loss(&day), None);
    assert!(!says(&day).is_ready());
}

#[test]
fn a_volume_said_before_the_first_hold_is_setting_up() {
    let (_dir, mut day) = day();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Hold)).unwrap();
    edit(&mut day, |d| d.enclosures[0].volume_l = 8.0);
    assert_eq!(unsigned_loss(&day), None);
}

#[test]
fn a_gauge_said_to_read_with_the_plug_in_is_signed_for() {
    // Seen: the plug forgotten after a recheck, the valve edited, and no plug asked for any more.
    let (_dir, mut day) = ready_day();
    let valve = |d: &mut RigDef, on: bool| {
        d.enclosures[1].valve.as_mut().unwrap().reads_with_plug_on = on;
    };
    edit(&mut day, |d| valve(d, true));
    assert!(signed_it_is_ready(&mut day, "a plug that stays in"));
    edit(&mut day, |d| valve(d, false));
    assert_eq!(unsigned_loss(&day), None);
}

#[test]
fn what_comes_on_the_list_of_a_proved_enclosure_is_signed_for_or_proved_again() {
    // Seen: another closure, a penetrator, a ring of another size put on the list of a housing that
    // was closed and held, and it stayed ready though nothing was looked at.
    type Edit = fn(&mut RigDef);
    let comes: [(&str, Edit); 4] = [
        ("a closure", |d| {
            let mut hatch = d.enclosures[0].closures[0].clone();
            hatch.id = "hatch".into();
            d.enclosures[0].closures.push(hatch);
        }),
        ("a penetrator", |d| {
            d.enclosures[0].penetrators.push(Penetrator {
                id: "blank".into(),
                name: "Blank".into(),
            });
        }),
        ("a size", |d| d.seals[0].size = "AS568-210".into()),
        ("a material", |d| d.seals[0].material = "FKM".into()),
    ];
    for (what, how) in comes {
        let (_dir, mut day) = ready_day();
        edit(&mut day, |d| d.seals[0].size = "AS568-258".into());
        edit(&mut day, |d| d.seals[0].material = "NBR".into());
        if let Some(event) = unsigned_loss(&day) {
            let (rig, other) = (day.rig.clone(), day.dp.clone());
            day.book.sign_loss(&rig, &event, &other).unwrap();
        }
        let rig = day.rig.clone();
        edit(&mut day, how);
        // It was there: signed for.
        assert!(unsigned_loss(&day).is_some(), "{what} went in silence");
        // Or it came since: opened, closed and held again nobody need say so.
        let closure = day.book.rig(&rig).unwrap().def.seals[0].closure.clone();
        day.book
            .open_closure(&rig, "main", closure.as_deref())
            .unwrap();
        assert!(unsigned_loss(&day).is_some(), "{what}: open is no answer");
        let facts = day.book.rig(&rig).unwrap();
        for (def, seal) in facts.def.seals.iter().zip(&facts.seals) {
            if slackwater_core::domain::rules::needs_service(&facts, def, seal) {
                day.book
                    .service_seal(&rig, &def.id, Finding::Clean, "")
                    .unwrap();
            }
        }
        day.book.close_enclosure(&rig, "main").unwrap();
        assert_eq!(unsigned_loss(&day), None, "{what} is proved with the rest");
        edit(&mut day, |d| d.seals[0].size = "AS568-211".into());
        assert_eq!(unsigned_loss(&day), None, "{what}: nothing was held yet");
    }
    // A seal that comes asks for its service, which opens the housing.
    let (_dir, mut day) = ready_day();
    edit(&mut day, |d| {
        let mut ring = d.seals[0].clone();
        (ring.id, ring.closure) = ("extra".into(), None);
        d.seals.push(ring);
    });
    let asks = |o: &Obstacle| matches!(o, Obstacle::SealToService { seal, .. } if seal == "extra");
    assert!(says(&day).obstacles.iter().any(asks));
}

#[test]
fn what_a_closure_or_lens_no_longer_asks_for_is_signed_for() {
    // Seen: the port's ring said to belong to no closure; from then on the port came off and on
    // without anybody being asked to look at it.
    let (_dir, mut day) = ready_day();
    type Edit = fn(&mut RigDef);
    let takes: [(&str, Edit); 3] = [
        ("a closure", |d| {
            let gone = d.enclosures[1].closures.pop().unwrap().id;
            d.seals
                .retain(|s| s.enclosure != "monitor" || s.closure.as_ref() != Some(&gone));
        }),
        ("a ring's closure", |d| d.seals[0].closure = None),
        ("a lens's closure", |d| {
            let other = d.enclosures[0].closures.iter();
            let mut other = other.filter(|c| c.id != d.lenses[0].closure);
            d.lenses[0].closure = other.next().unwrap().id.clone();
        }),
    ];
    for (what, how) in takes {
        edit(&mut day, how);
        signed_it_is_ready(&mut day, what);
        assert_eq!(unsigned_loss(&day), None, "{what}");
    }
}

#[test]
fn a_material_by_which_the_ring_did_not_lie_too_long_is_signed_for() {
    // Seen: a ring past its storage; its material edited, and it was not past it.
    let (_dir, mut day) = day();
    let rig = day.rig.clone();
    edit(&mut day, |d| d.seals[0].material = "NBR".into());
    let seal = day.book.rig(&rig).unwrap().def.seals[0].id.clone();
    day.book.fit_seal(&rig, &seal, "", "2014-01", None).unwrap();
    let past = |day: &Day| {
        let of = |o: &Obstacle| matches!(o, Obstacle::SealPastLimit { .. });
        says(day).obstacles.iter().any(of)
    };
    assert!(past(&day));
    edit(&mut day, |d| d.seals[0].material = "VMQ".into());
    assert!(!past(&day) && unsigned_loss(&day).is_some());
}

#[test]
fn a_rating_raised_after_a_dive_does_not_answer_it() {
    // Seen: housings rated to 60 m at 66 m; the rating edited to 70 m and signed for: ready, and
    // nobody had looked at them.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.book.log_dive(&rig, 66.0, 20.0, "").unwrap();
    edit(&mut day, |d| {
        for e in &mut d.enclosures {
            e.depth_rating_m = 70.0;
        }
    });
    signed_it_is_ready(&mut day, "a rating");
    day.recheck().unwrap();
    let deep = |day: &Day| {
        let of = |o: &Obstacle| match o {
            Obstacle::WasTooDeep {
                depth_m, rated_m, ..
            } => Some((*depth_m, *rated_m)),
            _ => None,
        };
        says(day)
            .obstacles
            .iter()
            .filter_map(of)
            .collect::<Vec<_>>()
    };
    assert_eq!(deep(&day), [(66.0, 60.0); 2]);
    for enclosure in ["enclosure/main", "enclosure/monitor"] {
        day.book
            .inspect(&rig, At::parse(enclosure), "no mark")
            .unwrap();
    }
    assert_eq!(deep(&day), []);
    // From then on the rating is what it is, and one found too high tells of what was done under it.
    day.book.log_dive(&rig, 66.0, 20.0, "").unwrap();
    assert_eq!(deep(&day), []);
    edit(&mut day, |d| d.enclosures[0].depth_rating_m = 50.0);
    assert_eq!(deep(&day), [(66.0, 50.0)]);
}

// Before: a dive to 200 m was logged without a word on a rig for 60.
#[test]
fn a_dive_far_below_anything_planned_or_rated_is_asked_about() {
    use slackwater_core::screens::common::{FieldValue, Place};
    use slackwater_core::screens::desk::Desk;
    use slackwater_core::screens::rig::RigAction;
    use slackwater_core::screens::{Action, Screen};
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    edit(&mut day, |d| {
        d.enclosures
            .iter_mut()
            .for_each(|e| e.depth_rating_m = 60.0)
    });
    let at = Place::Rig {
        rig: rig.clone(),
        form: Some("dive".into()),
    };
    let mut desk = Desk::new(day.book, 0);
    let log = |desk: &mut Desk, depth: &str, sure: bool| {
        let form = desk.show(&at).unwrap().forms()[0].clone();
        let value = |key: &str, value: &str| match key {
            "depth" => depth.to_owned(),
            k if k.starts_with("sure:") && sure => "yes".to_owned(),
            _ => value.to_owned(),
        };
        let fields = form.fields.iter();
        let values = fields
            .map(|f| FieldValue {
                key: f.key.clone(),
                value: value(&f.key, &f.value),
            })
            .collect();
        let submit = RigAction::Submit {
            form: "dive".into(),
            values,
        };
        desk.act(&at, Action::Rig { action: submit })
            .unwrap()
            .faults
    };
    let asked = log(&mut desk, "200", false);
    assert!(asked[0].text.contains("In ft it would fit"), "{asked:?}");
    // The answer is of this number alone.
    assert!(!log(&mut desk, "210", true).is_empty());
    assert!(log(&mut desk, "200", false).len() == 1);
    assert!(log(&mut desk, "200", true).is_empty());
    assert!(desk.book().rig(&rig).unwrap().dived.is_some());
    // What comes first then is to look it over.
    let at = Place::Rig { rig, form: None };
    let Screen::Rig { screen } = desk.show(&at).unwrap() else {
        panic!("no rig");
    };
    let main = screen.main.unwrap();
    assert_eq!(main.label, "Look it over");
}

#[test]
fn before_anything_was_done_with_a_rig_its_editing_is_setting_up() {
    let (_dir, mut day) = day();
    edit(&mut day, |d| d.seals[0].limits.hard_days = None);
    assert_eq!(unsigned_loss(&day), None);
}

#[test]
fn an_open_enclosure_taken_off_the_rig_is_signed_for() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.book.open_closure(&rig, "monitor", None).unwrap();
    edit(&mut day, |d| {
        d.enclosures.retain(|e| e.id != "monitor");
        d.seals.retain(|s| s.enclosure != "monitor");
        d.controls.retain(|c| c.enclosure != "monitor");
    });
    assert!(unsigned_loss(&day).is_some());
}

#[test]
fn a_fault_on_what_was_taken_off_stays_until_answered() {
    // Seen: the seal with the nicked ring off the list, the dead record trigger unassigned: ready.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let nick = Fact::SealFaulty {
        finding: Finding::Nick,
        note: String::new(),
    };
    day.book
        .record(vec![(format!("{rig}/seal/main-back"), nick)])
        .unwrap();
    day.book.test_control(&rig, "record", false, "").unwrap();
    edit(&mut day, |d| {
        d.seals.retain(|s| s.id != "main-back");
        d.controls[0].function.clear();
        d.controls[0].record_trigger = false;
    });
    let event = unsigned_loss(&day).unwrap();
    let other = day.dp.clone();
    day.book.sign_loss(&rig, &event, &other).unwrap();
    assert_eq!(gone(&day), ["control/record", "seal/main-back"]);
    assert!(day.book.inspect(&rig, At::Seal("main-back"), "").is_err());
    day.book
        .inspect(&rig, At::Seal("main-back"), "the back has a new face seal")
        .unwrap();
    day.book
        .inspect(
            &rig,
            At::Control("record"),
            "recording by the second trigger",
        )
        .unwrap();
    assert_eq!(gone(&day), [""; 0]);
}

#[test]
fn a_longer_limit_of_the_recheck_is_signed_for() {
    // Seen: a recheck too old at two hours was young again after 'count for a day'.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.minutes(180);
    assert!(!says(&day).is_ready());
    day.book.choose(&[("recheck_limit_min", "1440")]).unwrap();
    let event = unsigned_loss(&day).unwrap();
    let other = day.dp.clone();
    day.book.sign_loss(&rig, &event, &other).unwrap();
    assert!(says(&day).is_ready());
    day.book.choose(&[("recheck_limit_min", "60")]).unwrap();
    assert_eq!(unsigned_loss(&day), None);
}

#[test]
fn what_this_version_cannot_read_about_a_rig_stands_in_the_way() {
    // Seen: what a newer version wrote was dropped, and the rig stayed ready.
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    // About the crew it is told, and bars no rig.
    day.book
        .record(vec![("crew".into(), Fact::Unknown)])
        .unwrap();
    assert!(says(&day).is_ready());
    let told = Remark::UnreadOfCrew { events: 1 };
    assert!(says(&day).remarks.contains(&told));
    let about = |at: &str| vec![(format!("{rig}/{at}"), Fact::Unknown)];
    day.book.record(about("enclosure/main")).unwrap();
    day.book.record(about("weather/deck")).unwrap();
    assert_eq!(says(&day).obstacles, [Obstacle::Unread { events: 2 }]);
    assert!(day.book.answer_unread(&rig, " ").is_err());
    day.book
        .answer_unread(&rig, "a note of the deck's humidity")
        .unwrap();
    assert!(says(&day).is_ready());
    // What comes in later is another thing.
    day.book.record(about("enclosure/main")).unwrap();
    assert!(!says(&day).is_ready());
}
