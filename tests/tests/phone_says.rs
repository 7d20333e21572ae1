//! What the phone says of itself and what the screens make of it.

use slackwater_checks::drive::{Day, reading};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::HoldSetup;
use slackwater_core::physics::hold::ShutIn;
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::{Mark, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::hold::{HoldScreen, Reached};
use slackwater_core::screens::navigation::Stack;
use slackwater_core::screens::phone::{Calls, PhoneState};

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
        shows_its_steps: true,
        temperature_source: "inside".into(),
        shut_in: ShutIn::NOTHING,
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

fn rig_notices(desk: &Desk, day: &Clocked) -> Vec<String> {
    let place = Place::Rig {
        rig: day.rig.clone(),
        form: None,
    };
    match desk.show(&place).unwrap() {
        Screen::Rig { screen } => screen.notices.into_iter().map(|l| l.text).collect(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_phone_in_order_is_not_spoken_of() {
    let (mut desk, day) = desk();
    let id = running(&mut desk, &day, 0.0, 1);
    let before = rig_notices(&desk, &day);
    for state in [
        PhoneState::default(),
        PhoneState {
            free_bytes: Some(200_000_000),
            battery_percent: Some(20),
            charging: Some(false),
            calls: Some(Calls::OnTime),
        },
        PhoneState {
            battery_percent: Some(3),
            charging: Some(true),
            ..PhoneState::default()
        },
    ] {
        desk.hear_phone(state);
        assert!(hold(&desk, &id).phone.is_empty());
        assert_eq!(rig_notices(&desk, &day), before);
    }
}

#[test]
fn little_room_is_said_always_and_a_low_battery_only_during_a_hold() {
    let (mut desk, day) = desk();
    let before = rig_notices(&desk, &day).len();
    let state = PhoneState {
        free_bytes: Some(200_000_000 - 1),
        battery_percent: Some(19),
        charging: Some(false),
        calls: Some(Calls::MayBeLate),
    };
    desk.hear_phone(state.clone());
    let idle = rig_notices(&desk, &day);
    assert_eq!(idle.len(), before + 1, "{idle:?}");
    assert!(
        idle[before].contains("nearly full: 199\u{a0}MB"),
        "{idle:?}"
    );
    let id = running(&mut desk, &day, 0.0, 1);
    let held = rig_notices(&desk, &day);
    let said = |part: &str| held.iter().any(|t| t.contains(part));
    assert!(said("nearly full") && said("19\u{a0}%") && said("some minutes late"));
    let shown: Vec<String> = hold(&desk, &id).phone.into_iter().map(|l| l.text).collect();
    assert_eq!(shown.len(), 3, "{shown:?}");
    desk.hear_phone(PhoneState {
        free_bytes: Some(0),
        calls: Some(Calls::Silent),
        ..PhoneState::default()
    });
    let shown = hold(&desk, &id).phone;
    assert!(
        shown[0].text.contains("storage is full: 0\u{a0}MB"),
        "{shown:?}"
    );
    assert!(shown[1].text.contains("no notifications"), "{shown:?}");
    desk.hear_phone(state);
    desk.book_mut().conclude_hold(&id).unwrap();
    assert!(hold(&desk, &id).phone.is_empty(), "it has ended");
}

#[test]
fn each_running_hold_has_one_reading_due_and_an_ended_one_none() {
    let (mut desk, day) = desk();
    assert_eq!(desk.due_readings().unwrap(), []);
    let id = running(&mut desk, &day, 0.0, 1);
    let due = desk.due_readings().unwrap();
    assert_eq!(due.len(), 1);
    assert_eq!(due[0].hold, id);
    let mut stack = Stack::default();
    stack.go_to(&due[0].at);
    let there = Place::Hold {
        hold: id.clone(),
        form: None,
    };
    assert_eq!(stack.place(), there);
    stack.go_to("tide");
    assert_eq!(stack.place(), there, "nonsense leads nowhere");
    assert!(due[0].title.contains("Main housing"), "{}", due[0].title);
    assert_eq!(
        due[0].wait_ms, 30_000,
        "the first readings are close together"
    );
    assert_eq!(
        hold(&desk, &id).next_reading_s,
        Some(30),
        "as the screen says it"
    );
    day.clock.advance(31_000);
    assert_eq!(desk.due_readings().unwrap()[0].wait_ms, -1_000);
    let rig = day.rig.clone();
    desk.book_mut().close_enclosure(&rig, "monitor").unwrap();
    let facts = desk.book().rig(&rig).unwrap();
    let setup = Book::hold_setup(facts.def.enclosure("monitor").unwrap(), &facts.def.plan);
    let second = desk
        .book_mut()
        .start_hold(&rig, setup, reading(200.0))
        .unwrap();
    let mut both: Vec<String> = desk
        .due_readings()
        .unwrap()
        .into_iter()
        .map(|d| d.hold)
        .collect();
    both.sort();
    let mut wanted = vec![id.clone(), second.clone()];
    wanted.sort();
    assert_eq!(both, wanted);
    desk.book_mut().conclude_hold(&id).unwrap();
    desk.book_mut().abandon_hold(&second, "wet").unwrap();
    assert_eq!(desk.due_readings().unwrap(), []);
}
