//! What the phone says of itself and what the screens make of it.

use slackwater_checks::drive::{Day, reading};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::HoldSetup;
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::{Mark, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::hold::{HoldScreen, Reached};

fn hold(desk: &Desk, id: &str) -> HoldScreen {
    let place = Place::Hold {
        hold: id.to_owned(),
        form: None,
    };
    match desk.show(&place).unwrap() {
        Screen::Hold { screen } => screen,
        other => panic!("{other:?}"),
    }
}

/// A hold of the main housing, read once a minute for `minutes`, losing `mbar_per_h`.
fn running(desk: &mut Desk, day: &Clocked, mbar_per_h: f64, minutes: i32) -> String {
    let facts = desk.book().rig(&day.rig).unwrap();
    let def = facts.def.enclosure("main").unwrap();
    let setup = HoldSetup {
        gauge_resolution_pa: 10.0,
        temperature_source: "inside".into(),
        ..Book::hold_setup(def, &facts.def.plan)
    };
    let book = desk.book_mut();
    let id = book.start_hold(&day.rig, setup, reading(200.0)).unwrap();
    for minute in 1..=minutes {
        day.clock.advance(60_000);
        let shown = 200.0 - mbar_per_h * f64::from(minute) / 60.0;
        let shown = (shown * 10.0).round() / 10.0;
        book.add_reading(&id, reading(shown)).unwrap();
    }
    id
}

struct Clocked {
    rig: String,
    clock: std::sync::Arc<slackwater_core::journal::FixedClock>,
    _dir: tempfile::TempDir,
}

/// A desk whose main housing is closed.
fn desk() -> (Desk, Clocked) {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    day.book.close_enclosure(&rig, "main").unwrap();
    let clock = day.clock.clone();
    let kept = Clocked {
        rig,
        clock,
        _dir: dir,
    };
    (Desk::new(day.book, 0), kept)
}

#[test]
fn a_hold_says_what_it_has_come_to_only_while_it_runs() {
    for (leak, reached, mark) in [
        (0.0, Reached::Holding, Mark::Full),
        (120.0, Reached::Leaking, Mark::Struck),
    ] {
        let (mut desk, day) = desk();
        let first = running(&mut desk, &day, leak, 2);
        assert_eq!(
            hold(&desk, &first).reached,
            None,
            "two minutes tell nothing"
        );
        let id = {
            desk.book_mut().abandon_hold(&first, "again").unwrap();
            running(&mut desk, &day, leak, 60)
        };
        let screen = hold(&desk, &id);
        assert_eq!((screen.reached, screen.mark), (Some(reached), mark));
        desk.book_mut().conclude_hold(&id).unwrap();
        let ended = hold(&desk, &id);
        assert_eq!((ended.reached, ended.mark), (None, mark));
    }
}

#[test]
fn a_secret_that_the_key_store_lost_is_told_on_the_first_screen() {
    let (mut desk, _day) = desk();
    let notices = |desk: &Desk| match desk.show(&Place::Rigs { form: None }).unwrap() {
        Screen::Rigs { screen } => screen.notices,
        other => panic!("{other:?}"),
    };
    let before = notices(&desk).len();
    desk.without_secret("key gone".into());
    let after = notices(&desk);
    assert_eq!(after.len(), before + 1);
    assert!(
        after
            .iter()
            .any(|l| l.text.contains("(key gone)") && l.text.contains("new device")),
        "{after:?}"
    );
}
