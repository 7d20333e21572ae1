//! What a crew met between two dives. Each test says what was seen.

use slackwater_checks::drive::{Day, events_of, reading};
use slackwater_core::domain::book::{Book, BookFault, Refusal};
use slackwater_core::domain::facts::{LossKind, VerdictFact};
use slackwater_core::domain::procedure::StepKind;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::prep::PrepAction;
use slackwater_core::screens::service::ServiceAction;
use slackwater_core::screens::{Action, Screen};

fn ready() -> (tempfile::TempDir, Day) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(folder.path()).expect("a day");
    day.ready().expect("ready");
    (folder, day)
}

/// Does what comes before a step of a prep, and gives the step's key.
fn up_to(day: &mut Day, prep: &str, id: &str) -> String {
    loop {
        let facts = day.book.prep(prep).expect("a prep");
        let next = Book::current_step(&facts).expect("a step").clone();
        if next.step.id == id {
            return next.key;
        }
        day.work_one(prep).expect("done");
    }
}

/// Seen: soak and rinse were 'Done' with a housing open, or a plug out.
#[test]
fn nothing_is_rinsed_that_is_not_shut() {
    for (procedure, id) in [
        ("turnaround", "rinse"),
        ("after-dive", "rinse"),
        ("after-dive", "soak"),
        ("after-dive", "work-controls"),
    ] {
        for out in [false, true] {
            let (_folder, mut day) = ready();
            let rig = day.rig.clone();
            day.book.log_dive(&rig, 15.0, 40.0, "").expect("logged");
            let prep = day.book.start_prep(&rig, procedure).expect("begun");
            let key = up_to(&mut day, &prep, id);
            let mut desk = Desk::new(day.book, 0);
            let book = desk.book_mut();
            if out {
                book.plug_off(&rig, "monitor").expect("out");
            } else {
                book.open_closure(&rig, "monitor", None).expect("opened");
            }
            let as_it_is = match book.do_step(&prep, &key, "") {
                Err(BookFault::Refused(Refusal::PlugOff { .. })) => out,
                Err(BookFault::Refused(Refusal::EnclosureOpen { .. })) => !out,
                _ => false,
            };
            assert!(as_it_is, "{procedure} {id} {out}");
            // The page says so before it is tapped, and asks why it is left out.
            let place = Place::Prep {
                prep: prep.clone(),
                step: Some(key.clone()),
                form: None,
            };
            let page = format!("{:?}", desk.page(&place).expect("a page"));
            assert!(page.contains("Monitor housing"), "{page}");
            let Screen::Prep { screen } = desk.show(&place).expect("shown") else {
                panic!("a prep's page");
            };
            let main = screen.main.expect("what is done next");
            let skip = PrepAction::ShowForm {
                form: "skip".into(),
            };
            assert_eq!(main.action, skip, "{procedure} {id}");
            assert!(
                screen
                    .others
                    .iter()
                    .any(|b| b.action == PrepAction::OpenRig)
            );
            if out {
                let book = desk.book_mut();
                book.plug_on(&rig, "monitor").expect("in");
                book.do_step(&prep, &key, "").expect("all is shut");
            }
        }
    }
}

/// Seen: the turnaround's gauge took any number. A vacuum that is gone is an answer.
#[test]
fn the_gauge_after_a_dive_is_compared() {
    for (procedure, id) in [("turnaround", "gauge"), ("after-dive", "gauge")] {
        let (_folder, mut day) = ready();
        let rig = day.rig.clone();
        day.book.log_dive(&rig, 15.0, 40.0, "").expect("logged");
        let prep = day.book.start_prep(&rig, procedure).expect("begun");
        let key = up_to(&mut day, &prep, id);
        let facts = day.book.prep(&prep).expect("a prep");
        let step = facts.steps.iter().find(|s| s.key == key).expect("it");
        assert_eq!(step.step.kind, StepKind::Gauge, "{procedure}");
        let unread = day.book.do_step(&prep, &key, "180 mbar");
        assert!(
            matches!(unread, Err(BookFault::Refused(_))),
            "{procedure}: {unread:?}"
        );
        let lost = reading(20.0);
        day.book.record_recheck(&rig, "main", lost).expect("read");
        day.book.do_step(&prep, &key, "").expect("read");
        let now = day.book.readiness(&rig).expect("judged");
        assert!(!now.is_ready());
        let rig = day.book.rig(&rig).expect("a rig");
        let (_, read) = rig
            .enclosure("main")
            .and_then(|e| e.recheck.clone())
            .expect("it is on record");
        assert_eq!(read.verdict, VerdictFact::Leaking, "{procedure}");
    }
}

/// Seen: a nick that was tapped was forgotten when the service was left.
#[test]
fn a_nick_that_was_seen_stands() {
    let (_folder, mut day) = ready();
    let rig = day.rig.clone();
    day.book
        .open_closure(&rig, "monitor", None)
        .expect("opened");
    let seal = "monitor-frame".to_owned();
    let mut desk = Desk::new(day.book, 0);
    let place = Place::Service {
        rig: rig.clone(),
        seal: seal.clone(),
        stage: "look".into(),
        prep: None,
        step: None,
    };
    let found = |key: &str| Action::Service {
        action: ServiceAction::Found {
            finding: key.into(),
        },
    };
    let faulty = |desk: &Desk| {
        let now = desk.book().readiness(&rig).expect("judged");
        let of = |o: &Obstacle| matches!(o, Obstacle::SealFaulty { seal: s, .. } if *s == seal);
        now.obstacles.iter().any(of)
    };
    let on = |stage: &str| Place::Service {
        rig: rig.clone(),
        seal: seal.clone(),
        stage: stage.into(),
        prep: None,
        step: None,
    };
    let leave = || Action::Service {
        action: ServiceAction::OpenSeal,
    };
    desk.act(&place, found("hair")).expect("noted");
    desk.act(&on("clean/hair"), leave()).expect("left");
    assert!(!faulty(&desk));
    // The tap asks, so that no slip of the finger says it; whoever is called away now leaves it said.
    let asks = |desk: &Desk| format!("{:?}", desk.page(&place).expect("a page"));
    assert!(asks(&desk).contains("must not go back"));
    desk.act(&place, found("nick")).expect("noted");
    assert!(faulty(&desk));
    desk.act(&on("clean/nick"), leave()).expect("left");
    // Going on to the end with the same ring writes it down no second time.
    let entries = |desk: &Desk| {
        let events = events_of(desk.book()).into_iter();
        events.filter(|e| e.kind == "seal_faulty").count()
    };
    assert_eq!(entries(&desk), 1);
    let back = Place::Service {
        rig: rig.clone(),
        seal: seal.clone(),
        stage: "back/nick".into(),
        prep: None,
        step: None,
    };
    desk.act(
        &back,
        Action::Service {
            action: ServiceAction::SameRing,
        },
    )
    .expect("back");
    assert_eq!(entries(&desk), 1);
    assert!(faulty(&desk));
}

/// Seen: 'in use since' said anew, or taken back, made a ring that was due young again by one word.
#[test]
fn a_ring_grows_no_younger_by_one_word() {
    let (_folder, mut day) = ready();
    let rig = day.rig.clone();
    let days = |n: i64| n * 86_400_000;
    let now = day.book.now().wall_ms;
    let seal = day.book.rig(&rig).expect("a rig").def.seals[0].id.clone();
    let said = |day: &mut Day, ago: i64| {
        day.book
            .fit_seal(&rig, &seal, "", "", Some(now - days(ago)))
            .expect("said")
    };
    let losses = |day: &Day| {
        let rig = day.book.rig(&rig).expect("a rig");
        let all = rig.losses.iter().flat_map(|l| l.what.iter());
        all.filter(|l| l.kind == LossKind::RingAge).count()
    };
    // Day::ready services the rings and fits none, so that nobody said when.
    said(&mut day, 700);
    assert_eq!(losses(&day), 0, "what nobody had said is no younger");
    said(&mut day, 800);
    assert_eq!(losses(&day), 0, "older is stricter");
    said(&mut day, 100);
    assert_eq!(losses(&day), 1);
    let asked = |day: &Day| {
        let now = day.book.readiness(&rig).expect("judged");
        let of = |o: &Obstacle| matches!(o, Obstacle::LossUnsigned { .. });
        now.obstacles.iter().any(of)
    };
    assert!(asked(&day));
    // A new ring answers it.
    let at = day.book.rig(&rig).expect("a rig").def.seals[0].clone();
    day.book
        .open_closure(&rig, &at.enclosure, at.closure.as_deref())
        .expect("opened");
    day.book
        .fit_seal(&rig, &seal, "", "", None)
        .expect("a new ring");
    assert!(!asked(&day));
}

/// Seen: a prep could not be ended before its last step.
#[test]
fn a_prep_is_ended_where_it_stands() {
    let (_folder, mut day) = ready();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "turnaround").expect("begun");
    let desk = Desk::new(day.book, 0);
    let at = |form: Option<&str>| Place::Prep {
        prep: prep.clone(),
        step: None,
        form: form.map(str::to_owned),
    };
    let shown = |desk: &Desk, form: Option<&str>| match desk.show(&at(form)).expect("shown") {
        Screen::Prep { screen } => screen,
        other => panic!("{other:?}"),
    };
    let list = shown(&desk, Some("steps"));
    let end = PrepAction::ShowForm { form: "end".into() };
    assert!(list.others.iter().any(|b| b.action == end), "{list:?}");
    let form = shown(&desk, Some("end")).form.expect("it asks why");
    assert_eq!(form.key, "end");
    assert_eq!(form.fields.len(), 1, "a reason");
}
