//! Who may write: what a phone that the crew doesn't know wrote counts for nothing until a member says
//! that the phone is the crew's. Each test says what was seen before.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use proptest::prelude::*;
use proptest::test_runner::Config;
use slackwater_checks::drive::{Day, MORNING_MS, answer, device_of, env, one_crew, png, reading};
use slackwater_checks::stranger::{Stranger, everything, line};
use slackwater_core::domain::admission;
use slackwater_core::domain::backup;
use slackwater_core::domain::book::{Book, BookFault, Refusal, Standing};
use slackwater_core::domain::facts::{Fact, Role};
use slackwater_core::domain::fold;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::domain::schema;
use slackwater_core::domain::state;
use slackwater_core::journal::store::IngestFault;
use slackwater_core::journal::{Clock, DeviceId, Event, FixedClock, Heard, Hlc};
use slackwater_core::screens::common::{Document, Line, Place};
use slackwater_core::screens::crew::CrewScreen;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::rigs::{RigsAction, RigsButton};
use slackwater_core::screens::{Action, Screen};

const MINUTE: i64 = 60_000;

fn events(book: &Book) -> Vec<Event> {
    let mut events = Vec::new();
    let all = book.journal().each_event(|e| {
        events.push(e);
        Ok::<_, slackwater_core::journal::JournalFault>(())
    });
    all.unwrap();
    events
}

fn own(book: &Book) -> Vec<Event> {
    let device = book.journal().device();
    let mut all = events(book);
    all.retain(|e| e.device == device);
    all
}

fn tell(events: &[Event], to: &mut Book) {
    for e in events {
        to.ingest(e).unwrap();
    }
}

fn open(folder: &Path, clock: &Arc<FixedClock>, seed: u64) -> Book {
    Book::open(folder, env(clock, seed)).unwrap()
}

fn hex(device: &DeviceId) -> String {
    device.to_string()
}

/// A rig in parts, and what another phone, which has heard of it, writes until it is ready: signed again
/// by a key that nobody knows, in other names where some are given.
fn forged_ready(folder: &Path, seed: u8, names: Option<[&str; 2]>) -> (Day, Vec<Event>) {
    let mut day = Day::dry_parts(&folder.join("ours")).unwrap();
    let mut theirs = open(&folder.join("theirs"), &day.clock, 5);
    let device = theirs.journal().device();
    theirs.admit(&[day.book.journal().device()]).unwrap();
    tell(&events(&day.book), &mut theirs);
    theirs.hold_phone(&day.assistant).unwrap();
    std::mem::swap(&mut day.book, &mut theirs);
    day.ready().unwrap();
    assert!(day.book.readiness(&day.rig).unwrap().is_ready());
    std::mem::swap(&mut day.book, &mut theirs);
    let mut who = Stranger::new(seed);
    let mut forged = Vec::new();
    for mut e in own(&theirs) {
        if let Some(names) = names {
            for (was, is) in [&day.assistant, &day.dp].into_iter().zip(names) {
                e.author = e.author.replace(was.as_str(), is);
            }
        }
        let body = String::from_utf8(e.body.clone()).unwrap();
        e.body = body
            .replace(&hex(&device), &hex(&who.device()))
            .into_bytes();
        let (hlc, wall_ms) = (e.hlc, e.wall_ms);
        forged.push(who.says(&e, hlc, wall_ms));
    }
    (day, forged)
}

fn obstacles(book: &Book, rig: &str) -> Vec<Obstacle> {
    book.readiness(rig).unwrap().obstacles
}

/// Seen: 25 events under an unknown key turned a rig in parts into *ready*.
#[test]
fn what_an_unknown_key_signs_makes_nothing_ready() {
    let dir = tempfile::tempdir().unwrap();
    let (mut day, forged) = forged_ready(dir.path(), 7, None);
    let rig = day.rig.clone();
    let before = (
        day.book.rig(&rig).unwrap(),
        day.book.readiness(&rig).unwrap(),
    );
    let (newest, count) = (day.book.now().newest, day.book.journal().counted(None));
    tell(&forged, &mut day.book);
    let after = (
        day.book.rig(&rig).unwrap(),
        day.book.readiness(&rig).unwrap(),
    );
    assert_eq!(before, after);
    assert_eq!(newest, day.book.now().newest, "a stranger moves no clock");
    assert_eq!(count.unwrap(), day.book.journal().counted(None).unwrap());
    // Kept, counted, handed on, and the same when the file is opened again.
    let strangers = day.book.strangers().unwrap();
    assert_eq!(strangers[0].apart, forged.len() as u64);
    assert_eq!(
        day.book.apart_about(&forged[0].device, &rig).unwrap() + 1,
        strangers[0].apart
    );
    assert!(events(&day.book).ends_with(&forged));
    let clock = day.clock.clone();
    drop(day.book);
    let mut book = open(&dir.path().join("ours"), &clock, 1);
    assert_eq!(*book.rig(&rig).unwrap(), *after.0);
    assert_eq!(book.now().newest.ms(), newest.ms());
    book.journal().verify_all(|_| ()).unwrap();
    // A member's word, and all of it counts.
    book.hold_phone(&day.dp).unwrap();
    book.admit(&[forged[0].device]).unwrap();
    assert_eq!(obstacles(&book, &rig), []);
    assert_eq!(book.strangers().unwrap(), []);
}

/// Seen: members that don't exist signed for each other.
#[test]
fn an_event_in_the_name_of_nobody_in_the_crew_is_no_signature() {
    let dir = tempfile::tempdir().unwrap();
    let (mut day, forged) = forged_ready(dir.path(), 7, Some(["ghost-one", "ghost-two"]));
    tell(&forged, &mut day.book);
    day.book.admit(&[forged[0].device]).unwrap();
    let left = obstacles(&day.book, &day.rig);
    for enclosure in ["main", "monitor"].map(str::to_owned) {
        let unsigned = Obstacle::PlugOff { enclosure };
        assert!(left.contains(&unsigned), "{left:?}");
    }
    assert!(left.iter().any(|o| matches!(o, Obstacle::WalkRound { .. })));
    // Once they are of the crew they are somebody.
    let mut who = Stranger::new(7);
    for e in &forged {
        who.says(e, e.hlc, e.wall_ms);
    }
    for (id, name) in [("ghost-one", "Wen"), ("ghost-two", "Mio")] {
        let body = serde_json::json!({"fact": "member_defined", "name": name, "role": "other"});
        let like = Event {
            subject: format!("crew/{id}"),
            kind: "member_defined".into(),
            body: body.to_string().into_bytes(),
            ..forged[0].clone()
        };
        let said = who.says(&like, Hlc::at(MORNING_MS), MORNING_MS);
        day.book.ingest(&said).unwrap();
    }
    assert_eq!(obstacles(&day.book, &day.rig), []);
}

/// What a stranger does to a rig that is ready, as it was seen: a plug retracted, the recheck limit at
/// 100,000 min, the DP renamed.
fn harm(day: &Day) -> Vec<Event> {
    let mut who = Stranger::new(9);
    let plug = (own(&day.book).into_iter())
        .rfind(|e| e.kind == "plug_on")
        .unwrap();
    let now = day.clock.now_ms();
    let says: [(String, serde_json::Value); 3] = [
        (
            plug.subject.clone(),
            serde_json::json!({"fact": "retracted", "event": plug.reference().to_string()}),
        ),
        (
            "crew".into(),
            serde_json::json!({"fact": "crew_chose", "choice": "recheck_limit_min", "value": "100000"}),
        ),
        (
            format!("crew/{}", day.dp),
            serde_json::json!({"fact": "member_defined", "name": "Mallory", "role": "dp"}),
        ),
    ];
    says.iter()
        .map(|(at, body)| who.writes(at, body, now))
        .collect()
}

fn crew(desk: &Desk, place: &Place) -> CrewScreen {
    match desk.show(place).unwrap() {
        Screen::Crew { screen } => screen,
        other => panic!("{other:?}"),
    }
}

fn first_page(desk: &Desk) -> Vec<Line> {
    match desk.show(&Place::Rigs { form: None }).unwrap() {
        Screen::Rigs { screen } => screen.notices,
        other => panic!("{other:?}"),
    }
}

fn rig_page(desk: &Desk, rig: &str) -> Vec<Line> {
    let (rig, form) = (rig.to_owned(), None);
    match desk.show(&Place::Rig { rig, form }).unwrap() {
        Screen::Rig { screen } => screen.notices,
        other => panic!("{other:?}"),
    }
}

fn says(lines: &[Line], what: &str) -> bool {
    lines.iter().any(|l| l.text.contains(what))
}

/// Seen: a second phone had to make a member up before it could bring the crew's file in, and then was asked
/// whether that phone was of the crew that it had made up.
#[test]
fn the_first_page_of_a_new_phone_joins_a_crew() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(&dir.path().join("a")).unwrap();
    day.ready().unwrap();
    let file = dir.path().join("all.zip");
    backup::write(&day.book, &file).unwrap();
    let mut desk = Desk::new(open(&dir.path().join("b"), &day.clock, 8), 0);
    let first = Place::Rigs { form: None };
    let Screen::Rigs { screen } = desk.show(&first).unwrap() else {
        panic!("another screen")
    };
    let join = |b: &&RigsButton| b.action == RigsAction::JoinCrew;
    let join = screen.others.iter().find(join).unwrap().action.clone();
    let asked = desk.act(&first, join).unwrap();
    let paper = Document {
        name: "all.zip".into(),
        media_type: "application/zip".into(),
        bytes: Vec::new(),
        file: Some(file.display().to_string()),
    };
    let brought = desk.bring(&first, &asked.bring.unwrap(), &paper).unwrap();
    assert_eq!(brought.faults, []);
    let asked = brought.go.unwrap();
    let screen = crew(&desk, &asked);
    let form = screen.form.unwrap();
    assert_eq!(form.fields[0].label, "Is this your crew's record?");
    answer(&mut desk, &asked, "yes");
    assert!(desk.book().rig(&day.rig).is_ok());
    assert_eq!(desk.book().members().unwrap().len(), 2);
    // Who has something of their own isn't asked to join.
    let Screen::Rigs { screen } = desk.show(&first).unwrap() else {
        panic!("another screen")
    };
    let offers = |b: &RigsButton| b.action == RigsAction::JoinCrew;
    assert!(!screen.others.iter().any(offers));
}

/// Seen: of a phone with a crew of its own it was told that more would be known of a rig that it had never
/// heard of.
#[test]
fn a_phone_that_never_heard_of_a_rig_says_nothing_of_it() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(&dir.path().join("a")).unwrap();
    let mut other = open(&dir.path().join("b"), &day.clock, 8);
    let wen = other.add_member("Wen", Role::Other).unwrap();
    other.hold_phone(&wen).unwrap();
    other
        .create_from_template("single-housing", "Pool rig")
        .unwrap();
    tell(&events(&other), &mut day.book);
    let device = other.journal().device();
    let changes = day.book.if_admitted(&[device]).unwrap();
    let rigs: Vec<_> = changes
        .rigs
        .iter()
        .map(|r| (&r.name, r.then.as_str()))
        .collect();
    assert_eq!(rigs, [(&None, "Pool rig")]);
    assert_eq!(changes.members, [(None, Some("Wen".to_owned()))]);
    // Of one that it has edited, more would be.
    let mut wrote = Stranger::new(4);
    let mut edit = events(&day.book)
        .into_iter()
        .find(|e| e.subject == day.rig && e.kind == "rig_defined")
        .unwrap();
    let body = String::from_utf8(edit.body.clone()).unwrap();
    edit.body = body
        .replacen("\"depth_m\":", "\"depth_m\":1", 1)
        .into_bytes();
    tell(&[wrote.says(&edit, edit.hlc, edit.wall_ms)], &mut day.book);
    let changes = day.book.if_admitted(&[wrote.device()]).unwrap();
    assert_eq!(changes.rigs.len(), 1);
    assert!(changes.rigs[0].name.is_some());
}

/// Seen: a stranger retracted a plug, set the recheck limit to 100,000 min and renamed the DP; and the file
/// with it in, named as a picture, was brought in without a question.
#[test]
fn what_would_change_is_told_before_a_member_says_yes() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let (ready, harm) = (day.book.rig(&rig).unwrap(), harm(&day));
    let stranger = harm[0].device;
    let file = dir.path().join("holiday.jpg");
    everything(&file, harm.iter().map(line), &[]).unwrap();
    let picture = Document {
        name: "holiday.jpg".into(),
        media_type: "image/jpeg".into(),
        bytes: fs::read(&file).unwrap(),
        file: None,
    };
    let mut desk = Desk::new(day.book, 0);
    let outcome = desk.receive(&Place::Rigs { form: None }, &picture).unwrap();
    assert_eq!(outcome.faults, []);
    assert_eq!(*desk.book().rig(&rig).unwrap(), *ready);
    assert!(desk.book().readiness(&rig).unwrap().is_ready());
    let asked = outcome.go.unwrap();
    let form = format!("device/{}", hex(&stranger));
    assert_eq!(asked, Place::Crew { form: Some(form) });
    // On every page where it matters.
    let unknown = "A phone that this crew doesn't know: 3 entries about ";
    assert!(says(&first_page(&desk), unknown), "{:?}", first_page(&desk));
    let of_rig = "A phone that this crew doesn't know: 1 entry about Reef rig";
    assert!(
        says(&rig_page(&desk, &rig), of_rig),
        "{:?}",
        rig_page(&desk, &rig)
    );
    let rows = crew(&desk, &Place::Crew { form: None }).choices;
    assert!(
        rows.iter().any(|r| r.detail.contains("3 entries about")),
        "{rows:?}"
    );
    // What will change.
    let told = crew(&desk, &asked).notices;
    for change in [
        "Reef rig: ready → not ready",
        "A recheck counts for: 2\u{a0}h → 69\u{a0}d",
        "Ilse would be called Mallory",
        &admission::code(&stranger),
    ] {
        assert!(says(&told, change), "{change}: {told:?}");
    }
    // To be told it changes nothing.
    assert_eq!(*desk.book().rig(&rig).unwrap(), *ready);
    assert_eq!(desk.book().strangers().unwrap()[0].apart, 3);
    // Its entries can be looked at, each says that it doesn't count.
    let entries = Place::Journal {
        rig: Some(format!("phone/{}", hex(&stranger))),
        before: None,
    };
    match desk.show(&entries).unwrap() {
        Screen::Journal { screen } => assert_eq!(screen.entries.len(), 3),
        other => panic!("{other:?}"),
    }
    let event = harm[0].reference().to_string();
    match desk.show(&Place::Entry { event }).unwrap() {
        Screen::Entry { screen } => assert!(says(&screen.lines, "counts for nothing")),
        other => panic!("{other:?}"),
    }
    // Nobody but a member says yes.
    let mut lone = Desk::new(open(dir.path().join("other").as_path(), &day.clock, 8), 0);
    lone.book_mut().add_member("Wen", Role::Other).unwrap();
    let refused = lone.book_mut().admit(&[stranger]);
    assert!(
        matches!(refused, Err(BookFault::Refused(Refusal::NobodyNamed))),
        "{refused:?}"
    );
    answer(&mut desk, &asked, "yes");
    assert!(!desk.book().readiness(&rig).unwrap().is_ready());
    assert_eq!(
        desk.book().rig(&rig).unwrap().recheck_limit_ms,
        100_000 * MINUTE
    );
    assert!(!says(&first_page(&desk), "doesn't know"));
}

#[test]
fn who_is_not_ours_stays_apart_and_is_not_asked_about_again() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let (rig, harm) = (day.rig.clone(), harm(&day));
    tell(&harm[..2], &mut day.book);
    let ready = day.book.rig(&rig).unwrap();
    let mut desk = Desk::new(day.book, 0);
    let form = format!("device/{}", hex(&harm[0].device));
    let asked = Place::Crew { form: Some(form) };
    answer(&mut desk, &asked, "no");
    desk.book_mut().ingest(&harm[2]).unwrap();
    assert_eq!(*desk.book().rig(&rig).unwrap(), *ready);
    assert_eq!(desk.book().strangers().unwrap(), []);
    assert!(!says(&first_page(&desk), "entries about"));
    let rows = crew(&desk, &Place::Crew { form: None }).choices;
    let row = rows
        .iter()
        .find(|r| r.detail.contains("Not of this crew"))
        .unwrap();
    assert!(row.detail.contains("3 entries"), "{row:?}");
    // It can be taken in all the same, later.
    assert!(says(
        &crew(&desk, &asked).notices,
        "Reef rig: ready → not ready"
    ));
    answer(&mut desk, &asked, "yes");
    assert!(!desk.book().readiness(&rig).unwrap().is_ready());
    let phones = desk.book().phones().unwrap();
    assert!(
        phones
            .iter()
            .all(|p| matches!(p.standing, Standing::This | Standing::Crew))
    );
}

/// A stranger admits nobody, itself least; nor does a version that didn't say what it had heard.
#[test]
fn nobody_admits_themselves() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let (rig, ready) = (day.rig.clone(), day.book.rig(&day.rig).unwrap());
    let mut who = Stranger::new(9);
    let admits = |who: &mut Stranger, of: &DeviceId, heard: bool| {
        let body = serde_json::json!({"fact": "device_admitted", "device": hex(of)});
        let mut like = who.writes(&format!("crew/phone/{of}"), &body, MORNING_MS);
        like.heard = heard.then(Vec::new);
        like
    };
    // Signed anew with what was heard in it.
    let mut again = Stranger::new(10);
    let own_key = again.device();
    let like = admits(&mut who, &own_key, true);
    let itself = again.says(&like, Hlc::at(MORNING_MS), MORNING_MS);
    let us = admits(&mut who, &day.book.journal().device(), true);
    let us = again.says(&us, Hlc::at(MORNING_MS), MORNING_MS);
    let opens = serde_json::json!({"fact": "opened", "closure": null});
    let opens = again.writes(&format!("{rig}/enclosure/main"), &opens, MORNING_MS);
    tell(&[itself, us, opens], &mut day.book);
    assert_eq!(*day.book.rig(&rig).unwrap(), *ready);
    assert_eq!(day.book.strangers().unwrap()[0].apart, 3);
    // A device of the crew that writes as old versions did admits nobody.
    let mut old = Stranger::new(11);
    day.book.admit(&[old.device()]).unwrap();
    let third = Stranger::new(12).device();
    let word = admits(&mut old, &third, false);
    assert_eq!(word.heard, None);
    day.book.ingest(&word).unwrap();
    let mut third = Stranger::new(12);
    let opens = serde_json::json!({"fact": "opened", "closure": null});
    let opens = third.writes(&format!("{rig}/enclosure/main"), &opens, MORNING_MS);
    day.book.ingest(&opens).unwrap();
    assert!(day.book.readiness(&rig).unwrap().is_ready());
}

/// Two phones of one crew, both with the rig, ready.
struct Two {
    dirs: [tempfile::TempDir; 2],
    day: Day,
    other: Book,
}

fn two() -> Two {
    let dirs = [tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap()];
    let mut day = Day::dry_parts(dirs[0].path()).unwrap();
    day.ready().unwrap();
    let mut other = open(dirs[1].path(), &day.clock, 5);
    one_crew(&mut day.book, &mut other).unwrap();
    let mut two = Two { dirs, day, other };
    two.meet();
    two.other.hold_phone(&two.day.dp).unwrap();
    two
}

impl Two {
    fn meet(&mut self) {
        tell(&events(&self.day.book), &mut self.other);
        tell(&events(&self.other), &mut self.day.book);
    }

    fn ready(&self) -> [bool; 2] {
        [&self.day.book, &self.other].map(|b| b.readiness(&self.day.rig).unwrap().is_ready())
    }
}

/// Whoever is admitted brings whom it admitted: a crew of three needs no more than one word for each phone
/// that comes new.
#[test]
fn a_phone_of_the_crew_admits_for_the_others() {
    let mut two = two();
    let rig = two.day.rig.clone();
    let dir = tempfile::tempdir().unwrap();
    let mut third = open(dir.path(), &two.day.clock, 6);
    third.admit(&[two.other.journal().device()]).unwrap();
    tell(&events(&two.other), &mut third);
    assert_eq!(*third.rig(&rig).unwrap(), *two.other.rig(&rig).unwrap());
    third.open_closure(&rig, "main", None).unwrap();
    // In whatever order what the third wrote, and the word on it, come in.
    tell(&own(&third), &mut two.day.book);
    assert_eq!(two.ready(), [true, true]);
    two.other.admit(&[third.journal().device()]).unwrap();
    tell(&own(&two.other), &mut two.day.book);
    tell(&own(&third), &mut two.other);
    assert_eq!(two.ready(), [false, false]);
    let facts = two.day.book.rig(&rig).unwrap();
    assert_eq!(*facts, *two.other.rig(&rig).unwrap());
    tell(&events(&two.day.book), &mut third);
    assert_eq!(*facts, *third.rig(&rig).unwrap());
}

/// What was done here while another's entries stood apart was done without knowing of them.
#[test]
fn what_stood_apart_was_not_heard_of() {
    let dirs = [tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap()];
    let mut day = Day::dry_parts(dirs[0].path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let mut other = open(dirs[1].path(), &day.clock, 5);
    other.admit(&[day.book.journal().device()]).unwrap();
    tell(&events(&day.book), &mut other);
    other.open_closure(&rig, "main", None).unwrap();
    tell(&own(&other), &mut day.book);
    day.minutes(1);
    day.hold("main", 0.0).unwrap();
    day.recheck().unwrap();
    assert!(day.book.readiness(&rig).unwrap().is_ready());
    day.book.admit(&[other.journal().device()]).unwrap();
    let open = Obstacle::NotClosed {
        enclosure: "main".into(),
    };
    assert!(obstacles(&day.book, &rig).contains(&open));
    // Also after what was admitted here is told there.
    tell(&own(&day.book), &mut other);
    assert_eq!(*other.rig(&rig).unwrap(), *day.book.rig(&rig).unwrap());
}

#[test]
fn a_phone_that_is_lost_writes_nothing_more_that_counts() {
    let mut two = two();
    let rig = two.day.rig.clone();
    let lost = two.other.journal().device();
    two.day.book.dismiss(&[lost]).unwrap();
    assert!(
        two.day.book.readiness(&rig).unwrap().is_ready(),
        "what it wrote stands"
    );
    two.other.open_closure(&rig, "main", None).unwrap();
    tell(&own(&two.other), &mut two.day.book);
    assert!(two.day.book.readiness(&rig).unwrap().is_ready());
    // The phone itself is told, once it hears of it.
    tell(&own(&two.day.book), &mut two.other);
    let word = two.other.dismissed_by().unwrap().unwrap();
    assert_eq!(word.device, two.day.book.journal().device());
    // It is told, and can be looked at and taken in.
    let phones = two.day.book.apart().unwrap();
    assert_eq!(
        (phones[0].standing, phones[0].apart),
        (Standing::Dismissed, 1)
    );
    let mut desk = Desk::new(two.day.book, 0);
    let told = rig_page(&desk, &rig);
    assert!(
        says(&told, "no longer, this crew's: 1 entry about Reef rig"),
        "{told:?}"
    );
    let form = format!("device/{}", hex(&lost));
    let asked = Place::Crew { form: Some(form) };
    assert!(says(
        &crew(&desk, &asked).notices,
        "Reef rig: ready → not ready"
    ));
    // Once looked at it is told no more, until there is more.
    answer(&mut desk, &asked, "no");
    assert!(!says(&rig_page(&desk, &rig), "no longer, this crew's"));
    two.other.plug_off(&rig, "main").unwrap();
    tell(&own(&two.other), desk.book_mut());
    assert!(says(
        &rig_page(&desk, &rig),
        "no longer, this crew's: 2 entries"
    ));
    answer(&mut desk, &asked, "yes");
    assert!(!desk.book().readiness(&rig).unwrap().is_ready());
}

/// A third phone that had heard the lost one's later entries before it heard that it is lost.
#[test]
fn what_counted_and_counts_no_more_is_taken_out_again() {
    let mut two = two();
    let rig = two.day.rig.clone();
    let dir = tempfile::tempdir().unwrap();
    let mut third = open(dir.path(), &two.day.clock, 6);
    one_crew(&mut two.day.book, &mut third).unwrap();
    tell(&events(&two.day.book), &mut third);
    let before = third.rig(&rig).unwrap();
    two.other.open_closure(&rig, "main", None).unwrap();
    tell(&own(&two.other), &mut third);
    assert!(!third.readiness(&rig).unwrap().is_ready());
    two.day
        .book
        .dismiss(&[two.other.journal().device()])
        .unwrap();
    tell(&own(&two.day.book), &mut third);
    // As evidence it is gone; that something was known stays, until somebody looks.
    let known = third.rig(&rig).unwrap();
    assert_eq!(known.not_here.len(), 1);
    let mut but_for_that = (*known).clone();
    but_for_that.not_here.clear();
    assert_eq!(but_for_that, *before);
    assert!(!third.readiness(&rig).unwrap().is_ready());
    assert_eq!(third.apart().unwrap()[0].apart, 1);
    let of_rig = |book: &Book| book.journal().counted(Some(&rig)).unwrap();
    assert_eq!(of_rig(&third), of_rig(&two.day.book));
    tell(&own(&third), &mut two.day.book);
    assert_eq!(*two.day.book.rig(&rig).unwrap(), *before);
}

/// Seen: where a dismissal that a file brings takes out what had counted, the whole record was folded anew without
/// a word of how far it is, a limit, or a way to give it up.
#[test]
fn taking_out_what_had_counted_is_shown_and_can_be_given_up() {
    let mut two = two();
    let rig = two.day.rig.clone();
    let dir = tempfile::tempdir().unwrap();
    let mut third = open(dir.path(), &two.day.clock, 6);
    one_crew(&mut two.day.book, &mut third).unwrap();
    tell(&events(&two.day.book), &mut third);
    two.other.open_closure(&rig, "main", None).unwrap();
    tell(&own(&two.other), &mut third);
    let lost = two.other.journal().device();
    two.day.book.dismiss(&[lost]).unwrap();
    let words = own(&two.day.book);

    let before = events(&third);
    let watch = third.watch().clone();
    watch.begin(words.len() as u64);
    watch.give_up();
    let all = words.iter().cloned().map(Ok::<_, IngestFault>);
    let given_up = third.ingest_all(all.clone());
    assert!(
        matches!(given_up, Err(IngestFault::GivenUp)),
        "{given_up:?}"
    );
    assert_eq!(events(&third), before, "nothing of it stays");
    let standing = |book: &Book| book.phone(&lost).unwrap().unwrap().standing;
    assert_eq!(standing(&third), Standing::Crew);

    watch.begin(words.len() as u64);
    third.ingest_all(all).unwrap();
    assert_eq!(standing(&third), Standing::Dismissed);
    let folded = third.journal().counted(None).unwrap();
    assert_eq!(watch.how_far(), Some((folded, words.len() as u64 + folded)));
}

/// A crew of one phone writes nothing about phones.
#[test]
fn one_phone_needs_no_ceremony() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    assert!(day.book.readiness(&day.rig).unwrap().is_ready());
    assert!(
        events(&day.book)
            .iter()
            .all(|e| !e.kind.starts_with("device_"))
    );
    let desk = Desk::new(day.book, 0);
    assert_eq!(first_page(&desk), []);
    let screen = crew(&desk, &Place::Crew { form: None });
    assert_eq!(screen.notices, []);
    // Its code stands where another phone's holder looks for it.
    let code = admission::code(&desk.book().journal().device());
    assert!(says(&screen.about, &code));
}

/// A record of a version that asked nobody who may write.
fn as_before(folder: &Path) {
    let db = rusqlite::Connection::open(folder.join("slackwater.db")).unwrap();
    let version: i64 = db
        .query_row("PRAGMA user_version", [], |r| r.get(0))
        .unwrap();
    assert_eq!(version, schema::VERSION);
    db.execute_batch(
        "DROP TABLE sketch; DROP TABLE met; DROP TABLE handing; DROP TABLE held; DROP TABLE invitation; \
         DROP TABLE joining; DROP TABLE uninvited; DROP INDEX heard_of; ALTER TABLE heard DROP COLUMN claimed; \
         ALTER TABLE heard DROP COLUMN head; ALTER TABLE heard DROP COLUMN unknown; DROP TABLE stranger; DROP TABLE admission; DROP INDEX device_by_writer; \
         DROP INDEX device_that_wrote; ALTER TABLE device DROP COLUMN counted; \
         ALTER TABLE device DROP COLUMN counts_to; \
         ALTER TABLE device DROP COLUMN ours; PRAGMA user_version = 7;",
    )
    .unwrap();
}

#[test]
fn an_old_record_keeps_the_phones_that_it_knew() {
    let mut two = two();
    let rig = two.day.rig.clone();
    // As it was then: without any word on phones, so that nothing but the record says who is who.
    let dir = tempfile::tempdir().unwrap();
    let mut old = open(dir.path(), &two.day.clock, 21);
    two.other.plug_off(&rig, "main").unwrap();
    two.meet();
    let of_old: Vec<Event> = (events(&two.day.book).into_iter())
        .filter(|e| !e.kind.starts_with("device_"))
        .collect();
    let mut said = Vec::new();
    for device in [
        two.day.book.journal().device(),
        two.other.journal().device(),
    ] {
        let mut who = Stranger::new(if said.is_empty() { 31 } else { 32 });
        for e in of_old.iter().filter(|e| e.device == device) {
            said.push(who.says(e, e.hlc, e.wall_ms));
        }
    }
    tell(&said, &mut old);
    let apart = old.apart().unwrap();
    assert_eq!(apart.len(), 2);
    // As those versions had it: whatever came in was folded.
    let db = old.journal().read();
    db.execute("UPDATE device SET ours = 2 WHERE seq > 0", [])
        .unwrap();
    admission::settle(db, admission::Settles::Ahead).unwrap();
    drop(old);
    as_before(dir.path());
    let mut old = open(dir.path(), &two.day.clock, 22);
    assert_eq!(old.apart().unwrap(), []);
    let facts = old.rig(&rig).unwrap();
    assert!(facts.enclosure("main").unwrap().plug_off.is_some());
    assert_eq!(old.journal().counted(None).unwrap(), said.len() as u64);
    // Its first entry says so for others: who admits it knows all three.
    let dp = two.day.dp.clone();
    old.hold_phone(&dp).unwrap();
    old.plug_off(&rig, "monitor").unwrap();
    let words = own(&old);
    assert_eq!(words.len(), 3, "two words and one entry");
    assert!(words[..2].iter().all(|e| matches!(
        fold::fact_of(e),
        Fact::DeviceAdmitted {
            how: slackwater_core::domain::facts::Admitted::Before,
            ..
        }
    )));
    old.plug_off(&rig, "monitor").unwrap();
    assert_eq!(own(&old).len(), 4, "once");
    let there = tempfile::tempdir().unwrap();
    let mut new = open(there.path(), &two.day.clock, 23);
    tell(&events(&old), &mut new);
    assert_eq!(new.asked_together().unwrap(), [old.journal().device()]);
    new.admit(&[old.journal().device()]).unwrap();
    assert_eq!(new.strangers().unwrap(), []);
    assert_eq!(*new.rig(&rig).unwrap(), *old.rig(&rig).unwrap());
}

/// A phone with nothing of its own goes on with the record that it brings in; strangers in it stay
/// strangers.
#[test]
fn a_restored_record_is_joined_with_one_word() {
    let mut two = two();
    let rig = two.day.rig.clone();
    let (kept, _) = two.day.book.add_photo(&rig, "ready", &png()).unwrap();
    two.meet();
    let harm = harm(&two.day);
    tell(&harm, &mut two.day.book);
    let file = two.dirs[0].path().join("all.zip");
    backup::write(&two.day.book, &file).unwrap();
    let dir = tempfile::tempdir().unwrap();
    let mut desk = Desk::new(open(dir.path(), &two.day.clock, 41), 0);
    let all = Document {
        name: "all.zip".into(),
        media_type: "application/zip".into(),
        bytes: Vec::new(),
        file: Some(file.display().to_string()),
    };
    let outcome = desk
        .bring(&Place::Crew { form: None }, "everything", &all)
        .unwrap();
    let asked = outcome.go.unwrap();
    let screen = crew(&desk, &asked);
    assert_eq!(
        screen.form.unwrap().fields[0].label,
        "Is this your crew's record?"
    );
    assert!(
        says(&screen.notices, "Reef rig: a new rig, ready"),
        "{:?}",
        screen.notices
    );
    assert!(
        says(&screen.notices, "1 more phone would count with it"),
        "{:?}",
        screen.notices
    );
    answer(&mut desk, &asked, "yes");
    assert_eq!(
        *desk.book().rig(&rig).unwrap(),
        *two.day.book.rig(&rig).unwrap()
    );
    assert!(desk.book().readiness(&rig).unwrap().is_ready());
    assert!(desk.book().photos().verify(kept.hash).is_ok());
    let strangers = desk.book().strangers().unwrap();
    assert_eq!(strangers.len(), 1);
    assert_eq!(strangers[0].device, harm[0].device);
    // The others ask about the new phone, and are told that it knows them.
    tell(&own(desk.book()), &mut two.other);
    let new = two.other.strangers().unwrap();
    assert_eq!((new.len(), new[0].admits_this), (1, false));
    tell(&own(desk.book()), &mut two.day.book);
    let new = two.day.book.strangers().unwrap();
    assert!(new.iter().any(|p| p.admits_this));
}

/// A record that was deleted with its key left goes on under a new key: what its old key wrote comes back
/// from another phone without a question, and the other phone asks about the new key.
#[test]
fn a_phone_knows_its_own_earlier_key() {
    let two = two();
    let rig = two.day.rig.clone();
    let clock = two.day.clock.clone();
    let Two {
        dirs,
        day,
        mut other,
    } = two;
    let was = day.book.journal().device();
    let facts = day.book.rig(&rig).unwrap();
    drop(day);
    for file in ["slackwater.db", "slackwater.db-wal", "slackwater.db-shm"] {
        let _ = fs::remove_file(dirs[0].path().join(file));
    }
    let mut again = open(dirs[0].path(), &clock, 9);
    assert!(again.opening.lost.is_some());
    assert_ne!(again.journal().device(), was);
    tell(&events(&other), &mut again);
    assert_eq!(again.strangers().unwrap(), []);
    assert_eq!(again.rig(&rig).unwrap().enclosures, facts.enclosures);
    again.open_closure(&rig, "main", None).unwrap();
    tell(&own(&again), &mut other);
    assert!(other.readiness(&rig).unwrap().is_ready());
    assert_eq!(other.strangers().unwrap().len(), 1);
    other.admit(&[again.journal().device()]).unwrap();
    assert!(!other.readiness(&rig).unwrap().is_ready());
}

/// A phone that meets its own second history goes on under a new key, which its old one admits: who has
/// heard its history knows the new key without a word.
#[test]
fn an_old_key_admits_the_one_that_follows_it() {
    let mut two = two();
    let rig = two.day.rig.clone();
    let copy = tempfile::tempdir().unwrap();
    let db = two.day.book.journal().read();
    db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .unwrap();
    for file in ["slackwater.db", "device.key", "slackwater.head"] {
        fs::copy(two.dirs[0].path().join(file), copy.path().join(file)).unwrap();
    }
    let mut twin = open(copy.path(), &two.day.clock, 7);
    let was = twin.journal().device();
    twin.plug_off(&rig, "monitor").unwrap();
    two.day.book.plug_off(&rig, "main").unwrap();
    tell(&own(&two.day.book), &mut two.other);
    tell(&own(&twin), &mut two.day.book);
    let now = two.day.book.journal().device();
    assert_ne!(now, was);
    two.day.book.open_closure(&rig, "main", None).unwrap();
    two.meet();
    assert_eq!(two.other.strangers().unwrap(), []);
    let open = Obstacle::NotClosed {
        enclosure: "main".into(),
    };
    assert!(obstacles(&two.other, &rig).contains(&open));
    two.day.book.journal().verify_all(|_| ()).unwrap();
    // The twin's is asked about.
    tell(&own(&two.day.book), &mut twin);
    assert_eq!(twin.strangers().unwrap().len(), 1);
}

/// Whose phone one is only that phone says.
#[test]
fn nobody_says_for_another_phone_whose_it_is() {
    let mut two = two();
    let rig = two.day.rig.clone();
    two.day.book.choose(&[("signed_with", "phone")]).unwrap();
    let device = two.day.book.journal().device();
    let dp = two.day.dp.clone();
    let fact = Fact::PhoneOf { member: dp };
    let at = format!("crew/phone/{device}");
    two.other.record(vec![(at, fact)]).unwrap();
    two.meet();
    assert_eq!(two.day.book.phone_owner().unwrap(), None);
    assert!(!two.day.book.readiness(&rig).unwrap().is_ready());
}

/// Entries that are slow to take in by design are not taken in, and say so.
#[test]
fn what_is_slow_by_design_is_not_admitted() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let mut who = Stranger::new(2);
    // For each part that is taken back the fold looks for an earlier word on it, and there is none.
    let at = format!("{}/prep/p", day.rig);
    let mut slow = Vec::new();
    for n in 0..3_000 {
        let body = serde_json::json!({
            "fact": "step_part", "key": "s", "part": format!("p{n}"), "on": true,
        });
        slow.push(who.writes(&at, &body, MORNING_MS));
    }
    for seq in 1..=3_000 {
        let event = format!("{}:{seq}", who.device());
        let body = serde_json::json!({"fact": "retracted", "event": event});
        slow.push(who.writes(&at, &body, MORNING_MS));
    }
    let all = slow
        .into_iter()
        .map(Ok::<_, slackwater_core::journal::store::IngestFault>);
    day.book.ingest_all(all).unwrap();
    let before = events(&day.book).len();
    let refused = day.book.admit(&[who.device()]);
    assert!(
        matches!(refused, Err(BookFault::Refused(Refusal::TooLong))),
        "{refused:?}"
    );
    assert_eq!(events(&day.book).len(), before);
    assert_eq!(day.book.strangers().unwrap()[0].apart, 6_000);
    day.book.plug_off(&day.rig.clone(), "main").unwrap();
}

/// A crew's page of a phone, by its buttons alone.
#[test]
fn the_crew_page_leads_to_a_phones_entries_and_to_the_question() {
    let mut two = two();
    two.other.plug_off(&two.day.rig, "main").unwrap();
    two.meet();
    let mut desk = Desk::new(two.day.book, 0);
    let page = Place::Crew { form: None };
    let row = crew(&desk, &page)
        .choices
        .into_iter()
        .find(|r| r.title == "Ilse's phone")
        .unwrap();
    assert!(row.footnote.unwrap().contains("Said to be of the crew: "));
    let go = |desk: &mut Desk, action: Action| desk.act(&page, action).unwrap().go.unwrap();
    let entries = go(&mut desk, row.other.unwrap().action);
    match desk.show(&entries).unwrap() {
        Screen::Journal { screen } => assert_eq!(screen.title, "Ilse's phone"),
        other => panic!("{other:?}"),
    }
    let asked = go(&mut desk, row.tap.unwrap().action);
    assert_eq!(crew(&desk, &asked).form.unwrap().fields[0].value, "yes");
    answer(&mut desk, &asked, "no");
    assert_eq!(
        desk.book().phones().unwrap()[1].standing,
        Standing::Dismissed
    );
}

/// As [`Heard`] and the tables have it now, and as folding everything anew has it.
fn same_folded_anew(book: &Book, rig: &str) {
    let db = book.journal().read();
    let known = |db: &rusqlite::Connection| {
        let heard = Arc::new(Heard::load(db).unwrap());
        let counts: Vec<(Vec<u8>, i64)> = db
            .prepare("SELECT key, counts_to FROM device ORDER BY key")
            .unwrap()
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        let tallies: Vec<(String, i64)> = db
            .prepare("SELECT root, events FROM tally WHERE events > 0 ORDER BY root")
            .unwrap()
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        (state::load(db, &heard, rig).unwrap(), counts, tallies)
    };
    let now = known(db);
    db.execute_batch("SAVEPOINT anew").unwrap();
    admission::settle(db, admission::Settles::Ahead).unwrap();
    fold::fold_anew(db).unwrap();
    let anew = known(db);
    db.execute_batch("ROLLBACK TO anew; RELEASE anew").unwrap();
    assert_eq!(now, anew);
    let counted: i64 = now.2.iter().map(|(_, n)| n).sum();
    assert_eq!(counted as u64, book.journal().counted(None).unwrap());
}

#[derive(Debug, Clone)]
enum Does {
    /// A phone does something to the rig.
    Work(u8, u8),
    /// A phone admits or dismisses another.
    Word(u8, u8, bool),
    /// A phone tells another the first so many 256ths of what it has.
    Tell(u8, u8, u8),
}

fn does() -> impl Strategy<Value = Does> {
    prop_oneof![
        3 => (0u8..4, 0u8..6).prop_map(|(p, w)| Does::Work(p, w)),
        2 => (0u8..3, 0u8..4, prop::bool::weighted(0.6)).prop_map(|(p, q, a)| Does::Word(p, q, a)),
        3 => (0u8..4, 0u8..4, any::<u8>()).prop_map(|(p, q, s)| Does::Tell(p, q, s)),
    ]
}

fn work(book: &mut Book, rig: &str, what: u8) {
    // What is refused is no event.
    match what {
        0 => drop(book.open_closure(rig, "main", None)),
        1 => drop(book.plug_off(rig, "main")),
        2 => drop(book.choose(&[("recheck_limit_min", "30")])),
        3 => drop(book.open_defect(rig, "enclosure/main", true, false, "odd")),
        4 => drop(book.record_recheck(rig, "main", reading(200.0))),
        _ => {
            let newest = book.journal().page(None, None, 1).unwrap();
            if let Some(e) = newest.first() {
                drop(book.undo(&e.event.reference().to_string()));
            }
        }
    }
}

proptest! {
    #![proptest_config(Config { cases: 40, failure_persistence: None, ..Config::default() })]

    /// Whatever phones say of each other and in whatever order it comes in: the tables are those of folding
    /// everything anew, a phone that nobody admitted changes nothing and moves no clock, and phones that
    /// heard all and then vouch for each other know the same.
    #[test]
    fn in_whatever_order_words_and_entries_come_in_the_tables_are_the_same(
        doings in prop::collection::vec(does(), 5..40),
    ) {
        let dirs: Vec<_> = (0..4)
            .map(|_| tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap())
            .collect();
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let mut day = Day::dry_parts(&dirs[0].path().join("day")).unwrap();
        let def = day.book.rig(&day.rig).unwrap().def.clone();
        day.book.dismiss(&[device_of(99)]).unwrap();
        let mut phones: Vec<Book> = (0..4u64).map(|i| open(dirs[i as usize].path(), &clock, i + 1)).collect();
        let rig = phones[0].create_rig(def, "").unwrap();
        let base = own(&phones[0]);
        for i in 1..4 {
            let first = phones[0].journal().device();
            phones[i].admit(&[first]).unwrap();
            tell(&base, &mut phones[i]);
        }
        // The last is admitted by nobody, whatever it does.
        let devices: Vec<DeviceId> = phones.iter().map(|p| p.journal().device()).collect();
        for d in doings {
            clock.advance(1_000);
            match d {
                Does::Work(p, what) => work(&mut phones[usize::from(p)], &rig, what),
                Does::Word(p, q, admit) => {
                    let (p, q) = (usize::from(p), usize::from(q));
                    if p != q && q != 3 {
                        let word = if admit {
                            phones[p].admit(&[devices[q]])
                        } else {
                            phones[p].dismiss(&[devices[q]])
                        };
                        word.unwrap();
                    }
                }
                Does::Tell(p, q, share) => {
                    let (p, q) = (usize::from(p), usize::from(q));
                    let mut all = events(&phones[p]);
                    // Its own newest, and of the others as far as it comes.
                    all.retain(|e| e.device != devices[q]);
                    let some = all.len() * (1 + usize::from(share)) / 256;
                    let mut known: BTreeSet<DeviceId> = BTreeSet::new();
                    for e in &all[..some] {
                        known.insert(e.device);
                        let of_stranger = e.device == devices[3];
                        let before = of_stranger.then(|| {
                            (phones[q].rig(&rig).unwrap(), phones[q].now().newest)
                        });
                        phones[q].ingest(e).unwrap();
                        if let Some(before) = before {
                            prop_assert_eq!(before, (phones[q].rig(&rig).unwrap(), phones[q].now().newest));
                        }
                    }
                }
            }
            for p in &phones {
                same_folded_anew(p, &rig);
            }
        }
        // All hear all; then each of the crew vouches for the others, and all hear that.
        for _ in 0..2 {
            let mut all: Vec<Event> = phones.iter().flat_map(own).collect();
            all.sort_by_key(|e| (e.device, e.seq));
            for p in &mut phones[..3] {
                tell(&all, p);
                for d in &devices[..3] {
                    if *d != p.journal().device() {
                        p.admit(&[*d]).unwrap();
                    }
                }
            }
        }
        let all: Vec<Event> = phones.iter().flat_map(own).collect();
        for p in &mut phones[..3] {
            tell(&all, p);
            same_folded_anew(p, &rig);
        }
        let facts = phones[0].rig(&rig).unwrap();
        for p in &phones[1..3] {
            prop_assert_eq!(&*p.rig(&rig).unwrap(), &*facts);
            let apart = p.apart().unwrap();
            prop_assert_eq!((apart.len(), apart[0].device), (1, devices[3]));
        }
    }
}
