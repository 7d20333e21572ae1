//! Files that another app hands in: known by how they begin, taken or refused in words.

use slackwater_checks::drive::{Day, MORNING_MS, answer, env, png};
use slackwater_core::domain::book::Book;
use slackwater_core::journal::FixedClock;
use slackwater_core::screens::common::{Document, FieldValue, Outcome, Place};
use slackwater_core::screens::crew::CrewAction;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::rig::RigScreen;
use slackwater_core::screens::{Action, Screen};

fn desk() -> (tempfile::TempDir, Desk, String) {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    day.book.close_enclosure(&rig, "main").unwrap();
    (dir, Desk::new(day.book, 0), rig)
}

fn paper(name: &str, bytes: &[u8]) -> Document {
    Document {
        name: name.into(),
        media_type: "application/octet-stream".into(),
        bytes: bytes.to_vec(),
        file: None,
    }
}

fn first() -> Place {
    Place::Rigs { form: None }
}

fn events(desk: &Desk) -> usize {
    desk.book()
        .journal()
        .page(None, None, 10_000)
        .unwrap()
        .len()
}

fn said(outcome: &Outcome) -> String {
    outcome
        .faults
        .iter()
        .map(|f| f.text.clone())
        .collect::<Vec<_>>()
        .join(" ")
}

fn rig_screen(desk: &Desk, place: &Place) -> RigScreen {
    match desk.show(place).unwrap() {
        Screen::Rig { screen } => screen,
        other => panic!("{other:?}"),
    }
}

/// Everything of a store, in a file.
fn everything(desk: &mut Desk) -> Document {
    let crew = Place::Crew { form: None };
    let action = Action::Crew {
        action: CrewAction::KeepEverything,
    };
    desk.act(&crew, action).unwrap().document.unwrap()
}

#[test]
fn everything_of_one_store_handed_in_to_another_is_there() {
    let (_a, mut theirs, rig) = desk();
    let place = Place::Rig { rig, form: None };
    let subject = rig_screen(&theirs, &place).photo_subject;
    theirs.add_photo(&subject, "dome", &png()).unwrap();
    let file = everything(&mut theirs);
    let dir = tempfile::tempdir().unwrap();
    let clock = std::sync::Arc::new(FixedClock::at(MORNING_MS + 3_600_000));
    let mut ours = Desk::new(Book::open(dir.path(), env(&clock, 7)).unwrap(), 0);
    let before = events(&ours);
    let outcome = ours.receive(&first(), &file).unwrap();
    assert_eq!(said(&outcome), "");
    assert!(outcome.said.is_some());
    // Nothing of it counts before it is said whose record it is.
    assert_eq!(events(&ours), before);
    answer(&mut ours, &outcome.go.unwrap(), "yes");
    let before = before + 1;
    assert_eq!(events(&ours), before + events(&theirs));
    let screen = rig_screen(&ours, &place);
    assert_eq!(screen.photos[0].caption, "dome");
    assert!(!screen.photos[0].broken);
    let again = ours.receive(&first(), &file).unwrap();
    assert_eq!(said(&again), "");
    assert_eq!(again.go, Some(Place::Crew { form: None }));
    assert_eq!(
        events(&ours),
        before + events(&theirs),
        "twice adds nothing"
    );
    // The same from memory, as a small file comes.
    let small = paper("all.zip", &std::fs::read(file.file.unwrap()).unwrap());
    assert_eq!(said(&ours.receive(&first(), &small).unwrap()), "");
}

#[test]
fn what_is_not_known_changes_nothing_and_is_named() {
    let (dir, mut desk, _) = desk();
    let before = events(&desk);
    let missing = Document {
        file: Some(dir.path().join("gone").display().to_string()),
        ..paper("gone.zip", b"")
    };
    let mut cut = std::fs::read(everything(&mut desk).file.unwrap()).unwrap();
    cut.truncate(cut.len() / 2);
    for (file, part) in [
        (paper("a.bin", b""), "a.bin is empty"),
        (paper("b.jpg", b"\xff\xd8\xff\xe0rest"), "b.jpg is nothing"),
        (paper("c.txt", b"shopping list"), "c.txt is nothing"),
        (
            paper("d.zip", b"PK\x03\x04 but no zip"),
            "Nothing was brought in",
        ),
        (paper("e.zip", &cut), "Nothing was brought in"),
        (missing, "gone.zip can't be read"),
    ] {
        let outcome = desk.receive(&first(), &file).unwrap();
        assert!(said(&outcome).contains(part), "{}: {outcome:?}", file.name);
        assert_eq!(outcome.go, None);
    }
    assert_eq!(events(&desk), before);
}

/// What the crew's page tells of a procedure that waits, and whether it asks.
fn asked(desk: &Desk, place: &Place) -> (String, bool) {
    let Screen::Crew { screen } = desk.show(place).unwrap() else {
        panic!("no crew's page");
    };
    let told = screen.notices.iter().map(|l| l.text.clone());
    (told.collect::<Vec<_>>().join(". "), screen.form.is_some())
}

fn take(desk: &mut Desk, place: &Place, yes: &str) -> Outcome {
    let Place::Crew { form: Some(form) } = place else {
        panic!("{place:?}");
    };
    let values = vec![FieldValue {
        key: "take".into(),
        value: yes.into(),
    }];
    let form = form.clone();
    let action = CrewAction::Submit { form, values };
    desk.act(place, Action::Crew { action }).unwrap()
}

/// Seen: a procedure that another app handed in was the crew's at once, also in the place of a built-in one, and
/// nothing was told of what it is.
#[test]
fn a_procedure_is_told_of_and_asked_about_before_it_is_the_crews() {
    let (_dir, mut desk, _) = desk();
    let built_in = String::from_utf8_lossy(include_bytes!("../../core/procedures/turnaround.toml"));
    let known = desk.receive(&first(), &paper("same.toml", built_in.as_bytes()));
    let known = known.unwrap();
    assert!(known.go.is_none() && known.said.unwrap().contains("here already"));
    let before = events(&desk);
    let short = built_in.replacen("title = ", "title = \"Quick turn\" # ", 1);
    let file = paper("short.toml", short.as_bytes());
    let place = desk.receive(&first(), &file).unwrap().go.unwrap();
    assert_eq!(
        events(&desk),
        before,
        "nothing is recorded by handing it in"
    );
    let (told, asks) = asked(&desk, &place);
    assert!(asks);
    for wanted in ["steps", "signed by two", "takes the place of", "built in"] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    // Left out, it is gone; an answer that comes late records nothing.
    let left = take(&mut desk, &place, "no");
    assert_eq!(said(&left), "");
    assert!(!asked(&desk, &place).1);
    assert!(said(&take(&mut desk, &place, "yes")).contains("no longer"));
    assert_eq!(events(&desk), before);

    let place = desk.receive(&first(), &file).unwrap().go.unwrap();
    assert!(said(&take(&mut desk, &place, "")).len() > 3);
    assert_eq!(said(&take(&mut desk, &place, "yes")), "");
    assert_eq!(events(&desk), before + 1);
    let titles = |desk: &Desk| -> Vec<String> {
        let all = desk.book().procedures().unwrap();
        all.into_iter().map(|p| p.title).collect()
    };
    assert!(titles(&desk).contains(&"Quick turn".to_owned()));
    // The next of its id says by whom the one before was brought in.
    let again = built_in.replacen("title = ", "title = \"Slow turn\" # ", 1);
    let again = paper("again.toml", again.as_bytes());
    let place = desk.receive(&first(), &again).unwrap().go.unwrap();
    let (told, _) = asked(&desk, &place);
    assert!(
        told.contains("brought in by") && told.contains("Quick turn"),
        "{told}"
    );
}

#[test]
fn a_procedure_is_added_or_refused_line_by_line() {
    let (dir, mut desk, _) = desk();
    let good = include_bytes!("../../core/procedures/turnaround.toml");
    let text = String::from_utf8_lossy(good).replace("id = \"turnaround\"", "id = \"ours\"");
    let before = events(&desk);
    let outcome = desk
        .receive(&first(), &paper("ours.toml", text.as_bytes()))
        .unwrap();
    assert_eq!(said(&outcome), "");
    let place = outcome.go.unwrap();
    assert!(asked(&desk, &place).0.contains("beside the others"));
    assert!(take(&mut desk, &place, "yes").said.is_some());
    assert_eq!(events(&desk), before + 1);
    let wrong = text.replace("kind = \"turnaround\"", "kind = \"picnic\"");
    let outcome = desk
        .receive(&first(), &paper("ours.toml", wrong.as_bytes()))
        .unwrap();
    assert!(said(&outcome).contains("picnic"), "{outcome:?}");
    let path = dir.path().join("large.toml");
    std::fs::write(&path, text).unwrap();
    let large = Document {
        file: Some(path.display().to_string()),
        ..paper("large.toml", b"")
    };
    assert!(said(&desk.receive(&first(), &large).unwrap()).contains("large.toml is too large"));
    assert_eq!(events(&desk), before + 1);
}

#[test]
fn a_logged_hold_is_taken_where_a_hold_is_set_up() {
    let (_dir, mut desk, rig) = desk();
    let log = "# hold-log: 1\n# volume_L: 12\n# gauge: below_ambient\n\
               # gauge_unit: mbar\n# gauge_resolution: 0.1\ntime_s,gauge\n0,200\n60,200\n120,200\n";
    let file = paper("night.csv", log.as_bytes());
    let elsewhere = desk.receive(&first(), &file).unwrap();
    assert!(
        said(&elsewhere).contains("night.csv is a logged hold"),
        "{elsewhere:?}"
    );
    let place = Place::HoldSetup {
        rig,
        enclosure: "main".into(),
    };
    let outcome = desk.receive(&place, &file).unwrap();
    assert_eq!(said(&outcome), "");
    assert!(
        matches!(outcome.go, Some(Place::Hold { .. })),
        "{outcome:?}"
    );
}
