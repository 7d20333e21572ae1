//! What a crew met that found water, turned round without a dive, and tried a control twice. Each test
//! says what was seen.

use slackwater_checks::drive::Day;
use slackwater_checks::shell::{Shell, Target, targets};
use slackwater_core::screens::common::{Mark, Place, Severity};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::rig::{RigAction, RigScreen};
use slackwater_core::screens::{Action, Screen};

fn ready() -> (tempfile::TempDir, Day) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(folder.path()).expect("a day");
    day.ready().expect("ready");
    (folder, day)
}

fn shell_of(day: Day) -> Shell {
    let rig = day.rig.clone();
    let mut shell = Shell::new(Desk::new(day.book, 0));
    shell.stack.push(Place::Rig { rig, form: None });
    shell
}

fn rig_of(shell: &Shell) -> RigScreen {
    let Screen::Rig { screen } = shell.screen().expect("shown") else {
        panic!("no rig");
    };
    screen
}

/// The tap of the first row of a part of the page whose title begins so.
fn tap_of(shell: &Shell, at: &str, row: &str) -> Target {
    let all = targets(&shell.screen().expect("shown"));
    let found = all.iter().find(|t| t.at == at && t.row.starts_with(row));
    found.unwrap_or_else(|| panic!("no {row}: {all:?}")).clone()
}

/// Begins a procedure from the rig's page and comes back to it.
fn start(shell: &mut Shell, procedure: &str) {
    let here = shell.stack.clone();
    let action = RigAction::StartPrep {
        procedure: procedure.into(),
    };
    shell.act(action.into()).expect("begun");
    shell.stack = here;
}

/// Seen: 'Defect: Water inside' had the button 'Open Main housing', to a bare form without a caution; and a
/// second flood response was begun beside the first without a question.
#[test]
fn what_may_have_water_in_it_is_opened_by_the_flood_procedure() {
    let (_folder, mut day) = ready();
    let rig = day.rig.clone();
    day.book
        .open_defect(&rig, "enclosure/main", true, true, "drops in the port")
        .expect("noted");
    let mut shell = shell_of(day);
    assert_eq!(tap_of(&shell, "procedures", "Water inside").confirm, None);
    let tap = tap_of(&shell, "obstacles", "Defect");
    assert_eq!(tap.label, "Start: Water inside");
    let here = shell.stack.clone();
    shell.act(tap.action).expect("begun");
    shell.stack = here;
    for row in rig_of(&shell).obstacles {
        if row.title.starts_with("Defect") {
            let tap = row.tap.expect("a way on");
            assert_eq!(tap.label, "Go on: Water inside", "{}", row.title);
        }
    }
    let again = shell.screen().map(|s| targets(&s)).expect("shown");
    let again = (again.iter())
        .find(|t| t.at == "procedures" && t.label == "Start" && t.row == "Water inside");
    let asked = again.and_then(|t| t.confirm.clone()).unwrap_or_default();
    assert!(asked.starts_with("A prep is under way"), "{asked}");
}

/// Seen: water found, and on the same page 'Tight to 58 mL per dive' and 'everything in its place'.
#[test]
fn what_may_have_water_in_it_is_not_called_tight() {
    for (at, wet) in [("", 2), ("enclosure/main", 1)] {
        let (_folder, mut day) = ready();
        let rig = day.rig.clone();
        day.book
            .open_defect(&rig, at, true, true, "drops")
            .expect("noted");
        let mut shell = shell_of(day);
        let words = "Water found since the hold: to be looked into";
        let page = rig_of(&shell);
        let told = page.enclosures.iter().filter(|r| r.detail == words);
        let told: Vec<_> = told.collect();
        assert_eq!(told.len(), wet, "{:?}", page.enclosures);
        for row in told {
            assert_eq!(row.mark, Some(Mark::Struck));
            assert_eq!(row.severity, Severity::Blocking);
        }
        let map = page.map.expect("a map");
        let legend = map.legend.iter().filter(|l| l.text.contains(words));
        assert_eq!(legend.count(), wet, "{:?}", map.legend);
        assert!(map.spoken.contains(words), "{}", map.spoken);
        // Looked into and shut, it is what it is without water.
        let book = shell.desk.book_mut();
        book.open_closure(&rig, "main", Some("back")).expect("open");
        let page = rig_of(&shell);
        assert!(!page.enclosures[0].detail.contains("Water"));
    }
}

/// Seen: 'Turn round between dives' begun as a slip was a dive, without a question, and 'Rechecked before the
/// last dive' where there was none.
#[test]
fn work_after_a_dive_without_a_dive_is_asked_about() {
    for (procedure, title) in [
        ("turnaround", "Turn round between dives"),
        ("after-dive", "After-dive care"),
    ] {
        let (_folder, mut day) = ready();
        let rig = day.rig.clone();
        let facts = day.book.rig(&rig).expect("a rig");
        let prep = facts.prep.as_ref().expect("built").id.clone();
        day.book.end_prep(&prep, "").ok();
        let mut shell = shell_of(day);
        let of = |shell: &Shell| {
            let action = Action::from(RigAction::StartPrep {
                procedure: procedure.into(),
            });
            let all = targets(&shell.screen().expect("shown"));
            let mut rows = all.into_iter().filter(|t| t.at == "procedures");
            rows.find(|t| t.action == action).expect(title)
        };
        let asked = of(&shell).confirm.unwrap_or_default();
        assert!(asked.contains("Starting this voids the recheck"), "{asked}");
        start(&mut shell, procedure);
        let why = |shell: &Shell| -> Vec<String> {
            let rows = rig_of(shell).obstacles.into_iter();
            let of = rows.filter(|r| r.title.starts_with("Recheck"));
            of.map(|r| r.detail).collect()
        };
        let all = why(&shell);
        assert!(!all.is_empty());
        for words in all {
            assert_eq!(words, "Rechecked before the work after a dive, not since");
        }
    }
    // A dive is on record: nothing is asked, and it is what the recheck is older than.
    let (_folder, mut day) = ready();
    let rig = day.rig.clone();
    day.book.log_dive(&rig, 15.0, 40.0, "").expect("logged");
    let mut shell = shell_of(day);
    for t in targets(&shell.screen().expect("shown")) {
        let asked = t.confirm.unwrap_or_default();
        assert!(!asked.contains("voids the recheck"), "{asked}");
    }
    start(&mut shell, "turnaround");
    let rows = rig_of(&shell).obstacles;
    let row = rows.iter().find(|r| r.title.starts_with("Recheck"));
    let words = row.map(|r| r.detail.as_str());
    assert_eq!(words, Some("Rechecked before the last dive, not since"));
}

/// Seen: 'It does not work', and 'It works' a minute later with nothing opened, taken in silence.
#[test]
fn it_works_after_it_did_not_is_asked_about_where_nothing_was_opened() {
    let (_folder, mut day) = ready();
    let rig = day.rig.clone();
    let control = day.book.rig(&rig).expect("a rig").def.controls[0]
        .id
        .clone();
    let tried = |works| RigAction::ControlTested {
        control: control.clone(),
        works,
    };
    day.book
        .test_control(&rig, &control, false, "")
        .expect("noted");
    let mut shell = shell_of(day);
    shell.stack.push(Place::Rig {
        rig,
        form: Some("controls".into()),
    });
    let works = |shell: &Shell| {
        let all = targets(&shell.screen().expect("shown"));
        let action = Action::from(tried(true));
        let found = all.into_iter().find(|t| t.action == action);
        found.expect("it can be tried")
    };
    let tap = works(&shell);
    let asked = tap.confirm.unwrap_or_default();
    assert!(asked.contains("was it a slip?"), "{asked}");
    shell.act(tap.action).expect("recorded");
    assert_eq!(works(&shell).confirm, None);
}

/// Seen: a crew of one read 'Two members: one reads, one touches' at the walk round.
#[test]
fn the_walk_round_is_worded_for_one_and_for_two() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(folder.path()).expect("a day");
    let rig = day.rig.clone();
    for procedure in ["general-build", "turnaround"] {
        let prep = day.book.start_prep(&rig, procedure).expect("begun");
        let facts = day.book.prep(&prep).expect("a prep");
        let walk = facts.steps.iter().find(|s| s.step.id == "walk-round");
        let text = &walk.expect("a walk").step.text;
        assert!(!text.contains("Two members"), "{procedure}: {text}");
        assert!(text.contains("alone"), "{procedure}: {text}");
    }
}
