//! What a hold says before the crew waits for it, of what comes after.

use slackwater_checks::drive::{Day, reading};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::HoldSetup;
use slackwater_core::domain::procedure::StepKind;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;

/// The page of a hold just begun with a gauge of such a step, at such a vacuum (mbar), in a language.
fn page_of(step_mbar: f64, vacuum_mbar: f64, language: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(folder.path()).expect("a day");
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").expect("begun");
    day.work(&prep, Some(StepKind::Hold)).expect("closed");
    let facts = day.book.rig(&rig).expect("a rig");
    let def = facts.def.enclosure("main").expect("a housing");
    let setup = HoldSetup {
        gauge_unit: "mbar".into(),
        gauge_resolution_pa: 100.0 * step_mbar,
        temperature_source: "surface".into(),
        ..Book::hold_setup(def, &facts.def.plan)
    };
    let first = reading(vacuum_mbar);
    let hold = day.book.start_hold(&rig, setup, first).expect("begun");
    let mut desk = Desk::new(day.book, 0);
    if language == "es" {
        desk.speak("es", include_str!("../../core/texts/es.ftl"))
            .expect("Spanish");
    }
    let place = Place::Hold { hold, form: None };
    format!("{:?}", desk.page(&place).expect("a page"))
}

/// Seen: a dial of half an inch of mercury passed each hold and never a recheck, so that a rig in order was refused
/// on deck, after the wait.
#[test]
fn a_gauge_too_coarse_for_the_recheck_is_told_before_the_wait() {
    let page = page_of(16.9, 200.0, "en");
    assert!(page.contains("too wide for this vacuum"), "{page}");
    // What it asks for is what helps.
    let step = page
        .split("steps of ")
        .nth(2)
        .and_then(|s| s.split("\\u{a0}").next())
        .and_then(|s| s.parse::<f64>().ok());
    let step = step.unwrap_or_else(|| panic!("{page}"));
    assert!((1.0..16.9).contains(&step), "{step}");
    assert!(!page_of(step, 200.0, "en").contains("too wide"));
    // So does what it says besides.
    assert!(!page_of(16.9, 700.0, "en").contains("too wide"));
    assert!(page_of(16.9, 200.0, "es").contains("demasiado anchos para este vacío"));
}
