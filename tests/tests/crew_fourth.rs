//! What a crew met on its fourth walk. Each test says what was seen.

use slackwater_checks::drive::{Day, reading};
use slackwater_core::domain::book::NewRecheck;
use slackwater_core::domain::procedure::{ProcedureKind, StepKind};
use slackwater_core::domain::readiness::Remark;
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::{FieldValue, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::page::{Block, Page};
use slackwater_core::screens::prep::PrepAction;
use slackwater_core::screens::recheck::RecheckAction;
use slackwater_core::screens::rig::RigAction;

fn parts() -> (tempfile::TempDir, Day) {
    let folder = tempfile::tempdir().expect("a folder");
    let day = Day::dry_parts(folder.path()).expect("a day");
    (folder, day)
}

/// Everything that a page says.
fn text(page: &Page) -> String {
    format!("{page:?}")
}

fn on_rig(rig: &str) -> Place {
    Place::Rig {
        rig: rig.to_owned(),
        form: None,
    }
}

/// What stands at the thumb of the rig's page.
fn thumb(desk: &Desk, rig: &str) -> String {
    let page = desk.page(&on_rig(rig)).expect("a page");
    page.main.map_or_else(String::new, |b| b.label)
}

/// Seen: 201 mbar, an hour later 193, between 15 and 33 mL a dive, was 'Tight to 33 mL per dive' with the mark of what
/// is in order, and no word on the rig or beside *ready* that it leaks.
#[test]
fn a_leak_that_is_seen_is_said_though_it_is_within_the_limit() {
    let (_folder, mut day) = parts();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").expect("begun");
    day.work(&prep, Some(StepKind::Hold)).expect("closed");
    let hold = day.hold("main", 9.0).expect("held");
    let desk = Desk::new(day.book, 0);
    let Screen::Hold { screen } = desk
        .show(&Place::Hold {
            hold: hold.clone(),
            form: None,
        })
        .expect("a page")
    else {
        panic!("a hold");
    };
    assert!(screen.verdict.starts_with("Leaks "), "{}", screen.verdict);
    assert!(
        screen.verdict.ends_with("within the limit"),
        "{}",
        screen.verdict
    );
    // The same words on the rig, in the journal, and where it is rechecked; and a remark beside what is ready.
    let page = text(&desk.page(&on_rig(&rig)).expect("a page"));
    // As it stands in what is printed.
    let said = format!("{:?}", screen.verdict);
    assert!(page.contains(said.trim_matches('"')), "{page}");
    let judged = desk.book().readiness(&rig).expect("judged");
    let leaks = Remark::Leaks {
        enclosure: "main".into(),
    };
    assert!(judged.remarks.contains(&leaks), "{:?}", judged.remarks);
    assert!(page.contains("Main housing leaks, "), "{page}");
    let place = Place::Journal {
        rig: Some(rig.clone()),
        before: None,
    };
    let told = format!("{:?}", desk.show(&place).expect("a journal"));
    assert!(told.contains(said.trim_matches('"')), "{told}");
    let recheck = Place::Recheck { rig: rig.clone() };
    let told = format!("{:?}", desk.show(&recheck).expect("a recheck"));
    assert!(told.contains(said.trim_matches('"')), "{told}");
    // A tight one is said to be tight, and nothing else.
    let (_folder, mut day) = parts();
    let rig = day.rig.clone();
    day.ready().expect("ready");
    let judged = day.book.readiness(&rig).expect("judged");
    assert!(
        !judged
            .remarks
            .iter()
            .any(|r| matches!(r, Remark::Leaks { .. }))
    );
}

/// Seen: 'End this prep here' stood in no place: a prep begun by mistake could only be worked through.
#[test]
fn a_prep_begun_by_mistake_is_ended_from_the_list_of_its_steps() {
    let (_folder, mut day) = parts();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").expect("begun");
    let mut desk = Desk::new(day.book, 0);
    let list = Place::Prep {
        prep: prep.clone(),
        step: None,
        form: Some("steps".into()),
    };
    let page = desk.page(&list).expect("a page");
    let end = page.blocks.iter().find_map(|b| match b {
        Block::Buttons { buttons, .. } => {
            buttons.iter().find(|b| b.label.contains("End this prep"))
        }
        _ => None,
    });
    let went = desk
        .act(&list, end.expect("a way out").action.clone())
        .expect("asked");
    let asks = went.go.expect("a page that asks");
    let form = desk.show(&asks).expect("a page").forms()[0].clone();
    let values = form
        .fields
        .iter()
        .map(|f| FieldValue {
            key: f.key.clone(),
            value: "begun by mistake".into(),
        })
        .collect();
    let submit = PrepAction::Submit {
        form: form.key,
        values,
    };
    let out = desk.act(&asks, submit).expect("ended");
    assert_eq!(out.faults, []);
    assert!(desk.book().prep(&prep).expect("a prep").ended.is_some());
}

/// Seen: 120 mbar where 160 were foretold, after a dive: 'hold again' and 'Start a hold', and not a word of water. And
/// with the other housing still to be read, the page went on to that one: the way to call it a slip was gone.
#[test]
fn vacuum_lost_over_a_dive_leads_to_what_is_done_about_water() {
    let (_folder, mut day) = parts();
    let rig = day.rig.clone();
    day.ready().expect("ready");
    day.minutes(10);
    day.book.log_dive(&rig, 15.0, 40.0, "").expect("dived");
    day.minutes(50);
    let mut desk = Desk::new(day.book, 0);
    let place = Place::Recheck { rig: rig.clone() };
    let recheck = NewRecheck {
        reading: reading(90.0),
        camera_on: Some(false),
        brought: None,
    };
    desk.book_mut()
        .record_recheck(&rig, "main", recheck)
        .expect("read");
    let page = desk.page(&place).expect("a page");
    assert!(text(&page).contains("may mean water inside"), "{page:?}");
    assert!(page.forms().any(|f| f.key == "slip/main"), "{page:?}");
    let rig_page = text(&desk.page(&on_rig(&rig)).expect("a page"));
    assert!(rig_page.contains("may mean water inside"), "{rig_page}");
    let went = desk.act(&place, RecheckAction::Flood).expect("begun");
    let Some(Place::Prep { prep, .. }) = went.go else {
        panic!("{went:?}")
    };
    assert_eq!(
        desk.book().prep(&prep).expect("a prep").kind,
        ProcedureKind::Flood
    );
    // Twice it is the same one.
    let went = desk
        .act(&place, RecheckAction::Flood)
        .expect("gone on with");
    assert!(matches!(went.go, Some(Place::Prep { prep: p, .. }) if p == prep));
}

/// Seen: after the flood procedure was through, the thumb led back into 'After the last dive', to charging batteries.
#[test]
fn care_that_was_begun_before_the_flood_is_not_what_comes_after_it() {
    let (_folder, mut day) = parts();
    let rig = day.rig.clone();
    day.ready().expect("ready");
    day.book.log_dive(&rig, 15.0, 40.0, "").expect("dived");
    day.minutes(5);
    let kinds = |day: &Day, kind| {
        let all = day.book.procedures().expect("procedures");
        all.into_iter().find(|p| p.kind == kind).expect("one")
    };
    let care = kinds(&day, ProcedureKind::AfterDive);
    day.book.start_prep(&rig, &care.id).expect("care");
    day.minutes(5);
    let flood = kinds(&day, ProcedureKind::Flood);
    let prep = day.book.start_prep(&rig, &flood.id).expect("flood");
    day.work(&prep, None).expect("worked");
    day.minutes(2);
    day.book.end_prep(&prep, "").expect("ended");
    let desk = Desk::new(day.book, 0);
    let next = thumb(&desk, &rig);
    assert!(!next.contains(&care.title), "{next}");
    // It is still there to be looked at, or ended.
    let page = text(&desk.page(&on_rig(&rig)).expect("a page"));
    assert!(page.contains(&care.title));
}

/// Seen: 'Look for water inside Main housing' had 'Done' and 'Skip', and nothing for what it asks about.
#[test]
fn what_is_wrong_at_a_step_is_written_down_from_there() {
    let (_folder, mut day) = parts();
    let rig = day.rig.clone();
    day.ready().expect("ready");
    day.book.log_dive(&rig, 15.0, 40.0, "").expect("dived");
    let all = day.book.procedures().expect("procedures");
    let care = all.into_iter().find(|p| p.kind == ProcedureKind::AfterDive);
    let prep = day
        .book
        .start_prep(&rig, &care.expect("care").id)
        .expect("begun");
    let steps = day.book.prep(&prep).expect("a prep").steps.clone();
    let look = steps
        .iter()
        .find(|s| s.step.title.starts_with("Look for water inside Main"));
    let place = Place::Prep {
        prep: prep.clone(),
        step: Some(look.expect("a step").key.clone()),
        form: None,
    };
    let mut desk = Desk::new(day.book, 0);
    let page = desk.page(&place).expect("a page");
    let wrong = page.blocks.iter().find_map(|b| match b {
        Block::Buttons { buttons, .. } => buttons
            .iter()
            .find(|b| b.label == "Something is wrong here"),
        _ => None,
    });
    let went = desk
        .act(&place, wrong.expect("a way").action.clone())
        .expect("asked");
    let asks = went.go.expect("a page");
    let form = desk.show(&asks).expect("a page").forms()[0].clone();
    let at = form.fields.iter().find(|f| f.key == "at").expect("where");
    assert_eq!(at.value, "enclosure/main");
    let values = form.fields.iter().map(|f| FieldValue {
        key: f.key.clone(),
        value: match f.key.as_str() {
            "text" => "a spoonful at the hinge".into(),
            "water" => "yes".into(),
            _ => f.value.clone(),
        },
    });
    let submit = RigAction::Submit {
        form: form.key.clone(),
        values: values.collect(),
    };
    let out = desk.act(&asks, submit).expect("noted");
    assert_eq!(out.faults, []);
    assert_eq!(out.go, Some(on_rig(&rig)));
    let flood = desk.book().procedures().expect("procedures");
    let flood = flood
        .into_iter()
        .find(|p| p.kind == ProcedureKind::Flood)
        .expect("one");
    // The care that is under way was begun before the water was seen.
    let next = thumb(&desk, &rig);
    assert!(next.contains(&flood.title), "{next}");
}
