//! The life of a ring: serviced in at most six taps, replaced from the box, forecast, and what
//! thumbs and two phones make of it.

use std::path::Path;
use std::sync::Arc;

use proptest::prelude::*;
use proptest::test_runner::Config;
use slackwater_checks::drive::{Day, MORNING_MS, env, one_crew};
use slackwater_checks::shell::{Shell, Target, filled, forms, targets};
use slackwater_core::domain::book::{Book, BookFault, NewRing, Refit, Refusal};
use slackwater_core::domain::facts::{Fact, Finding, RingLot, Shoot};
use slackwater_core::domain::fold::fact_of;
use slackwater_core::domain::procedure::StepKind;
use slackwater_core::domain::readiness::{Obstacle, PastLimit, Remark};
use slackwater_core::domain::rig::{SealGland, SealGlandKind, SealLimits};
use slackwater_core::domain::spares::forecast;
use slackwater_core::domain::state::StepState;
use slackwater_core::journal::FixedClock;
use slackwater_core::physics::oring::GreaseBase;
use slackwater_core::screens::common::{Place, Severity};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::seals::SealScreen;
use slackwater_core::screens::service::ServiceScreen;
use slackwater_core::screens::{Action, Screen};

const DAY_MS: i64 = 86_400_000;
const SEAL: &str = "main-port";

fn lot(size: &str, cured: &str) -> RingLot {
    RingLot {
        size: size.into(),
        material: "NBR".into(),
        hardness_shore_a: 70,
        pack: "A1".into(),
        cured: cured.into(),
    }
}

fn place(rig: &str) -> Place {
    Place::Seal {
        rig: rig.into(),
        seal: SEAL.into(),
        form: None,
    }
}

/// A thumb that counts: one for each target tapped, one more where a question is answered.
struct Thumb {
    shell: Shell,
    rig: String,
    clock: Arc<FixedClock>,
    taps: u32,
    undo: Option<String>,
}

impl Thumb {
    /// On the screen of the port's ring of a rig in parts, `rings` of its size in the box.
    fn at_the_seal(folder: &Path, rings: u32) -> Thumb {
        let mut day = Day::dry_parts(folder).unwrap();
        if rings > 0 {
            day.book
                .stock_rings(lot("AS568-258", "2Q25"), rings)
                .unwrap();
        }
        // Rings of another size are never offered.
        day.book.stock_rings(lot("AS568-010", "2Q25"), 9).unwrap();
        let mut shell = Shell::new(Desk::new(day.book, 0));
        shell.stack.push(place(&day.rig));
        Thumb {
            shell,
            rig: day.rig,
            clock: day.clock,
            taps: 0,
            undo: None,
        }
    }

    fn screen(&self) -> Screen {
        self.shell.screen().unwrap()
    }

    fn service(&self) -> ServiceScreen {
        match self.screen() {
            Screen::Service { screen } => screen,
            other => panic!("no service but {other:?}"),
        }
    }

    fn seal(&self) -> SealScreen {
        match self.screen() {
            Screen::Seal { screen } => screen,
            other => panic!("no seal but {other:?}"),
        }
    }

    fn find(&self, words: &str) -> Target {
        let all = targets(&self.screen());
        all.iter()
            .find(|t| t.enabled && (t.label.contains(words) || t.row.contains(words)))
            .cloned()
            .unwrap_or_else(|| panic!("nothing says {words:?} in {all:#?}"))
    }

    fn tap(&mut self, words: &str) {
        let target = self.find(words);
        self.taps += 1 + u32::from(target.confirm.is_some());
        self.clock.advance(4_000);
        let outcome = self.shell.act(target.action).unwrap();
        assert!(outcome.faults.is_empty(), "{words}: {:?}", outcome.faults);
        self.undo = outcome.undo.map(|u| u.token);
    }

    fn send(&mut self, form: &str, typed: &[(&str, &str)]) -> Vec<(String, String)> {
        let screen = self.screen();
        let found = forms(&screen)
            .into_iter()
            .find(|f| f.key == form)
            .unwrap_or_else(|| panic!("no form {form}"));
        let values = filled(&found, typed);
        let action = slackwater_checks::shell::submit(&self.shell.place(), form, values).unwrap();
        self.taps += 1;
        self.clock.advance(4_000);
        let outcome = self.shell.act(action).unwrap();
        self.undo = outcome.undo.map(|u| u.token);
        let faults = outcome.faults.into_iter();
        faults.map(|f| (f.field, f.text)).collect()
    }

    fn book(&self) -> &Book {
        self.shell.desk.book()
    }

    fn last_fact(&self) -> Fact {
        let page = self.book().journal().page(None, None, 1).unwrap();
        fact_of(&page[0].event)
    }

    fn in_box(&self, size: &str) -> i64 {
        let lots = self.book().ring_box().unwrap();
        lots.iter()
            .filter(|l| l.lot.size == size)
            .map(|l| l.count)
            .sum()
    }

    fn obstacles(&self) -> Vec<Obstacle> {
        self.book().readiness(&self.rig).unwrap().obstacles
    }
}

// ---- the service, tap by tap ----

#[test]
fn a_clean_ring_is_serviced_in_five_taps_and_nothing_is_recorded_before_the_last() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 2);
    let before = thumb.book().journal().count(None).unwrap();
    thumb.tap("The ring is out");
    thumb.tap("Nothing");
    thumb.tap("Cleaned");
    thumb.tap("Greased");
    assert_eq!(thumb.book().journal().count(None).unwrap(), before);
    thumb.tap("The same ring is back in");
    assert_eq!(thumb.taps, 5);
    assert!(thumb.taps <= 6);
    assert_eq!(
        thumb.last_fact(),
        Fact::SealServiced {
            finding: Finding::Clean,
            note: String::new()
        }
    );
    // Back where it began, and in order.
    assert_eq!(thumb.shell.place(), place(&thumb.rig));
    assert_eq!(thumb.seal().severity, Severity::Good);
    assert_eq!(thumb.shell.stack.len(), 2);
    let who = &thumb.seal().history[0].footnote.clone().unwrap();
    assert!(who.contains("Noor"), "{who}");
}

#[test]
fn a_hair_is_recorded_and_the_ring_goes_back() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 0);
    for words in [
        "The ring is out",
        "A hair",
        "Cleaned",
        "Greased",
        "with a note",
    ] {
        thumb.tap(words);
    }
    let faults = thumb.send("note", &[("note", "from the towel")]);
    assert_eq!(faults, vec![]);
    assert!(thumb.taps <= 6, "{}", thumb.taps);
    assert_eq!(
        thumb.last_fact(),
        Fact::SealServiced {
            finding: Finding::Hair,
            note: "from the towel".into()
        }
    );
}

#[test]
fn a_new_ring_comes_out_of_the_box_and_undo_puts_it_back() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 2);
    for words in ["The ring is out", "Flattened", "Cleaned", "Greased"] {
        thumb.tap(words);
    }
    // Only what fits is offered, with how many there are.
    let service = thumb.service();
    assert_eq!(service.choices.len(), 1, "{:?}", service.choices);
    assert!(service.choices[0].detail.contains("2 in the box"));
    assert!(service.choices[0].title.contains("AS568-258"));
    thumb.tap("New ring: AS568-258");
    assert_eq!(thumb.taps, 6, "what was found is asked about");
    assert_eq!(thumb.in_box("AS568-258"), 1);
    assert_eq!(thumb.in_box("AS568-010"), 9);
    match thumb.last_fact() {
        Fact::SealFitted {
            pack, cured, found, ..
        } => assert_eq!(
            (pack.as_str(), cured.as_str(), found),
            ("A1", "2Q25", Some(Finding::Flat))
        ),
        other => panic!("{other:?}"),
    }
    assert_eq!(thumb.seal().severity, Severity::Good);
    let undo = thumb.undo.clone().expect("it can be taken back");
    thumb.shell.desk.undo(&undo).unwrap();
    assert_eq!(thumb.in_box("AS568-258"), 2);
    assert_eq!(thumb.seal().severity, Severity::Blocking);
}

#[test]
fn a_bad_ring_that_went_back_stands_in_the_way_until_a_new_one_is_in() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 1);
    for words in ["The ring is out", "A nick", "Cleaned", "Greased"] {
        thumb.tap(words);
    }
    // The ring that must not go back is not the main action.
    assert!(thumb.service().main.is_none());
    thumb.tap("The old ring went back");
    assert_eq!(thumb.taps, 7, "each question answered is a tap of its own");
    let faulty = Obstacle::SealFaulty {
        seal: SEAL.into(),
        finding: "nick".into(),
    };
    assert!(thumb.obstacles().contains(&faulty));
    assert!(thumb.undo.is_none(), "news can't be taken back");
    assert!(
        thumb.seal().answer.contains("nick"),
        "{}",
        thumb.seal().answer
    );
    // One row for the one thing to do.
    let rows = thumb.obstacles();
    let of_it = |o: &&Obstacle| format!("{o:?}").contains("\"main-port\"");
    assert_eq!(rows.iter().filter(of_it).count(), 1, "{rows:?}");
    let event = thumb.book().journal().page(None, None, 1).unwrap();
    let reference = event[0].event.reference().to_string();
    let said = thumb.shell.desk.undo(&reference).unwrap().said.unwrap();
    assert!(said.contains("can't be taken back"), "{said}");
    // Cleaning it again mends nothing.
    for words in ["A new ring: Port o-ring", "Cleaned", "Greased"] {
        thumb.tap(words);
    }
    assert!(thumb.service().main.is_none());
    thumb.tap("The old ring went back");
    assert!(thumb.obstacles().contains(&faulty));
    // Nor does saying how old it is.
    let rig = thumb.rig.clone();
    drop(thumb);
    let clock = Arc::new(FixedClock::at(MORNING_MS + DAY_MS));
    let mut book = Book::open(dir.path(), env(&clock, 9)).unwrap();
    book.fit_seal(&rig, SEAL, "", "", Some(MORNING_MS - DAY_MS))
        .unwrap();
    assert!(book.readiness(&rig).unwrap().obstacles.contains(&faulty));
    // A new one does.
    let ring = NewRing {
        lot: Some(book.ring_box().unwrap()[1].id.clone()),
        ..NewRing::default()
    };
    assert_eq!(book.ring_box().unwrap()[1].lot.size, "AS568-258");
    book.refit_seal(&rig, SEAL, Refit::New(ring), None).unwrap();
    assert!(!book.readiness(&rig).unwrap().obstacles.contains(&faulty));
}

#[test]
fn a_finding_that_was_not_so_is_answered_by_another_and_no_other_finding_with_it() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut day = Day::dry_parts(one.path()).unwrap();
    let rig = day.rig.clone();
    let mut other = Book::open(two.path(), env(&day.clock, 2)).unwrap();
    one_crew(&mut day.book, &mut other).unwrap();
    meet(&mut day.book, &mut other);
    other.hold_phone(&day.assistant).unwrap();
    let bad = |finding| Refit::Same {
        finding,
        note: String::new(),
    };
    let is_faulty = |book: &Book| {
        let all = book.readiness(&rig).unwrap().obstacles;
        all.iter()
            .any(|o| matches!(o, Obstacle::SealFaulty { seal, .. } if seal == SEAL))
    };
    let refused = day.book.look_again(&rig, SEAL, "nothing on it");
    assert!(matches!(
        refused,
        Err(BookFault::Refused(Refusal::NotFaulty))
    ));
    day.book
        .refit_seal(&rig, SEAL, bad(Finding::Nick), None)
        .unwrap();
    // Unknown to the first phone, the second found it flat.
    day.minutes(1);
    other
        .refit_seal(&rig, SEAL, bad(Finding::Flat), None)
        .unwrap();
    let refused = day.book.look_again(&rig, SEAL, "a thread of the cloth");
    assert!(
        matches!(refused, Err(BookFault::Refused(Refusal::SameMember))),
        "{refused:?}"
    );
    let dp = day.dp.clone();
    day.book.hold_phone(&dp).unwrap();
    let refused = day.book.look_again(&rig, SEAL, " ");
    assert!(matches!(
        refused,
        Err(BookFault::Refused(Refusal::ReasonWanted))
    ));
    assert!(is_faulty(&day.book));
    let seen = day
        .book
        .look_again(&rig, SEAL, "a thread of the cloth")
        .unwrap();
    assert!(!is_faulty(&day.book));
    // It was no service.
    let wanted = Obstacle::SealToService {
        seal: SEAL.into(),
        enclosure: "main".into(),
    };
    assert!(
        day.book
            .readiness(&rig)
            .unwrap()
            .obstacles
            .contains(&wanted)
    );
    // It can be taken back, and the finding stands again.
    let undo = seen.undo.unwrap();
    day.book.undo(&undo).unwrap();
    assert!(is_faulty(&day.book));
    day.book
        .look_again(&rig, SEAL, "a thread of the cloth")
        .unwrap();
    assert!(!is_faulty(&day.book));
    // The other phone's finding was not what was looked at: it stands, on both.
    meet(&mut day.book, &mut other);
    assert!(is_faulty(&day.book) && is_faulty(&other));
    // With both known, one look answers both.
    day.book
        .look_again(&rig, SEAL, "round all the way")
        .unwrap();
    meet(&mut day.book, &mut other);
    assert!(!is_faulty(&day.book) && !is_faulty(&other));
    day.book
        .refit_seal(&rig, SEAL, bad(Finding::Dry), None)
        .unwrap();
    day.book.close_enclosure(&rig, "main").unwrap();
    let refused = day.book.look_again(&rig, SEAL, "supple");
    assert!(matches!(
        refused,
        Err(BookFault::Refused(Refusal::EnclosureClosed { .. }))
    ));
}

#[test]
fn looking_again_is_offered_on_the_seal_and_asks_what_was_seen() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 0);
    for words in [
        "The ring is out",
        "Swollen",
        "Cleaned",
        "Greased",
        "The old ring went back",
    ] {
        thumb.tap(words);
    }
    thumb.tap("I looked again");
    let faults = thumb.send("again", &[]);
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].0, "note");
    // Whoever found it is not who looks again.
    let faults = thumb.send("again", &[("note", "as wide as the others")]);
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert!(faults[0].1.contains("another member"), "{faults:?}");
    let ilse = thumb.book().members().unwrap()[0].id.clone();
    let place = Place::Crew { form: None };
    let hold = Action::Crew {
        action: slackwater_core::screens::crew::CrewAction::HoldPhone { member: ilse },
    };
    thumb.shell.desk.act(&place, hold).unwrap();
    assert_eq!(
        thumb.send("again", &[("note", "as wide as the others")]),
        vec![]
    );
    assert!(
        thumb.seal().answer.contains("Never serviced"),
        "{}",
        thumb.seal().answer
    );
    assert!(thumb.seal().history[0].title.contains("Looked at again"));
}

#[test]
fn with_an_empty_box_a_ring_from_elsewhere_is_seven_taps() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 0);
    for words in ["The ring is out", "Dry", "Cleaned", "Greased"] {
        thumb.tap(words);
    }
    assert!(thumb.service().choices.is_empty());
    assert!(
        thumb
            .service()
            .notices
            .iter()
            .any(|n| n.text.contains("no ring that fits"))
    );
    thumb.tap("not from the box");
    // A cure date ahead, or none at all, is refused where it stands.
    for (typed, why) in [("2Q31", "future"), ("soon", "2Q25")] {
        let faults = thumb.send("fit", &[("cured", typed)]);
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].0, "cured");
        assert!(faults[0].1.contains(why), "{faults:?}");
        thumb.taps -= 1;
    }
    assert_eq!(
        thumb.send("fit", &[("pack", "B2"), ("cured", "1Q25")]),
        vec![]
    );
    assert_eq!(thumb.taps, 7);
    assert_eq!(thumb.seal().severity, Severity::Good);
}

/// Seen: a ring sent without a word on its unit was led to a page without sizes.
#[test]
fn a_ring_measured_without_a_unit_is_in_millimetres() {
    use slackwater_core::screens::common::FieldValue;
    let dir = tempfile::tempdir().unwrap();
    let thumb = Thumb::at_the_seal(dir.path(), 0);
    let place = |form: String| Place::Seal {
        rig: thumb.rig.clone(),
        seal: SEAL.into(),
        form: Some(form),
    };
    let mut desk = thumb.shell.desk;
    let values = [("inside", "151.99"), ("section", "3.53")].map(|(key, value)| FieldValue {
        key: key.into(),
        value: value.into(),
    });
    let measure = place("measure".into());
    let action = Action::submit(&measure, "measure", values.into()).unwrap();
    let outcome = desk.act(&measure, action).unwrap();
    assert_eq!(outcome.go, Some(place("sizes/151.99/3.53/mm".into())));
}

#[test]
fn nothing_goes_in_unlooked_at_whatever_a_shell_sends() {
    use slackwater_core::screens::service::ServiceAction;
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 1);
    let before = thumb.book().journal().count(None).unwrap();
    let lot = thumb.book().ring_box().unwrap()[1].id.clone();
    for stage in [
        "look",
        "clean/hair",
        "grease/hair",
        "note/clean",
        "fit/clean",
    ] {
        for action in [
            ServiceAction::SameRing,
            ServiceAction::NewRing { lot: lot.clone() },
        ] {
            let place = Place::Service {
                rig: thumb.rig.clone(),
                seal: SEAL.into(),
                stage: stage.into(),
                prep: None,
                step: None,
            };
            let outcome = thumb
                .shell
                .desk
                .act(&place, Action::Service { action })
                .unwrap();
            assert!(!outcome.faults.is_empty(), "{stage}");
        }
    }
    assert_eq!(thumb.book().journal().count(None).unwrap(), before);
}

#[test]
fn with_the_enclosure_closed_the_service_says_so_and_records_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.book.close_enclosure(&day.rig, "main").unwrap();
    let before = day.book.journal().count(None).unwrap();
    let same = Refit::Same {
        finding: Finding::Clean,
        note: String::new(),
    };
    let bad = Refit::Same {
        finding: Finding::Nick,
        note: String::new(),
    };
    for refit in [same, bad, Refit::New(NewRing::default())] {
        let refused = day.book.refit_seal(&day.rig, SEAL, refit, None);
        assert!(
            matches!(
                refused,
                Err(BookFault::Refused(Refusal::EnclosureClosed { .. }))
            ),
            "{refused:?}"
        );
    }
    assert_eq!(day.book.journal().count(None).unwrap(), before);
    let desk = Desk::new(day.book, 0);
    let place = Place::Service {
        rig: day.rig,
        seal: SEAL.into(),
        stage: "back/clean".into(),
        prep: None,
        step: None,
    };
    let Screen::Service { screen } = desk.show(&place).unwrap() else {
        panic!("no service")
    };
    let main = screen.main.unwrap();
    assert!(!main.enabled && main.why_not.unwrap().contains("closed"));
}

#[test]
fn a_step_of_a_prep_is_done_by_the_service_and_opens_again_with_its_undo() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let prep = day.book.start_prep(&day.rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Seal)).unwrap();
    let facts = day.book.prep(&prep).unwrap();
    let key = Book::current_step(&facts).unwrap().key.clone();
    let mut shell = Shell::new(Desk::new(day.book, 0));
    shell.stack.push(Place::Prep {
        prep: prep.clone(),
        step: None,
        form: None,
    });
    let mut thumb = Thumb {
        shell,
        rig: day.rig,
        clock: day.clock,
        taps: 0,
        undo: None,
    };
    for words in [
        "Service it one thing at a time",
        "Nothing",
        "Cleaned",
        "Greased",
        "The same ring is back in",
    ] {
        thumb.tap(words);
    }
    assert_eq!(thumb.taps, 5);
    assert_eq!(
        thumb.book().prep(&prep).unwrap().state(&key),
        StepState::Done
    );
    // On the prep again, at the next step, with nothing of the service left behind it.
    assert_eq!(thumb.shell.stack.len(), 2, "{:?}", thumb.shell.stack);
    let Screen::Prep { screen } = thumb.screen() else {
        panic!("{:?}", thumb.shell.place())
    };
    assert_ne!(screen.step, key);
    let undo = thumb.undo.clone().unwrap();
    thumb.shell.desk.undo(&undo).unwrap();
    assert_eq!(
        thumb.book().prep(&prep).unwrap().state(&key),
        StepState::Open
    );
    // A ring that went back though it must not leaves the step open.
    for words in [
        "Service it one",
        "Swollen",
        "Cleaned",
        "Greased",
        "The old ring went back",
    ] {
        thumb.tap(words);
    }
    assert_eq!(
        thumb.book().prep(&prep).unwrap().state(&key),
        StepState::Open
    );
    assert!(
        thumb
            .obstacles()
            .iter()
            .any(|o| matches!(o, Obstacle::SealFaulty { .. }))
    );
}

// ---- the box ----

/// A folder in memory where the system has such a place: hundreds of syncs would wait for a disk.
fn in_memory() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap()
}

/// Hands over what one book has and the other lacks, both ways.
fn meet(a: &mut Book, b: &mut Book) {
    for (from, to) in [(&*a, b as &mut Book)] {
        for e in from
            .journal()
            .page(None, None, 10_000)
            .unwrap()
            .iter()
            .rev()
        {
            to.ingest(&e.event).unwrap();
        }
    }
    for e in b.journal().page(None, None, 10_000).unwrap().iter().rev() {
        a.ingest(&e.event).unwrap();
    }
}

#[test]
fn two_phones_that_each_took_one_took_two_and_a_count_stands_for_what_was_before() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let mut a = Book::open(one.path(), env(&clock, 1)).unwrap();
    let mut b = Book::open(two.path(), env(&clock, 2)).unwrap();
    one_crew(&mut a, &mut b).unwrap();
    let (id, _) = a.stock_rings(lot("AS568-258", "2Q25"), 5).unwrap();
    meet(&mut a, &mut b);
    let count = |book: &Book| book.box_lot(&id).unwrap().count;
    assert_eq!((count(&a), count(&b)), (5, 5));
    clock.advance(1_000);
    a.take_rings(&id, 1, "").unwrap();
    let taken = b.take_rings(&id, 1, "lost overboard").unwrap();
    assert_eq!((count(&a), count(&b)), (4, 4));
    meet(&mut a, &mut b);
    assert_eq!((count(&a), count(&b)), (3, 3));
    // One counts six; what the other put in before that is in the count already.
    clock.advance(1_000);
    b.stock_rings(lot("AS568-258", "2Q25"), 2).unwrap();
    clock.advance(1_000);
    a.count_rings(&id, 6).unwrap();
    clock.advance(1_000);
    b.take_rings(&id, 1, "").unwrap();
    meet(&mut a, &mut b);
    assert_eq!((count(&a), count(&b)), (5, 5));
    // Taking back what was counted over changes nothing; taking back the count does.
    b.undo(&taken.undo.unwrap()).unwrap();
    meet(&mut a, &mut b);
    assert_eq!((count(&a), count(&b)), (5, 5));
    // In any order, on a third phone.
    let three = tempfile::tempdir().unwrap();
    let mut c = Book::open(three.path(), env(&clock, 3)).unwrap();
    c.admit(&[a.journal().device()]).unwrap();
    let mut all = a.journal().page(None, None, 10_000).unwrap();
    all.sort_by_key(|e| (e.event.device.0, e.event.seq));
    for e in &all {
        c.ingest(&e.event).unwrap();
    }
    assert_eq!(count(&c), 5);
}

proptest! {
    #![proptest_config(Config { cases: 24, failure_persistence: None, ..Config::default() })]

    /// Whatever two phones do with a lot, and in whatever order a third hears of it: all three
    /// count the same, and what a plain reading of the record in order says.
    #[test]
    fn a_lot_counts_the_same_on_every_phone(
        works in prop::collection::vec((any::<bool>(), 0u8..6, 1u32..9), 1..25),
        order in prop::collection::vec(any::<bool>(), 120),
    ) {
        let dirs: Vec<_> = (0..3).map(|_| in_memory()).collect();
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let mut books: Vec<Book> = (0..3u64)
            .map(|i| Book::open(dirs[i as usize].path(), env(&clock, i + 1)).unwrap())
            .collect();
        let day = Day::dry_parts(&dirs[0].path().join("day")).unwrap();
        let def = day.book.rig(&day.rig).unwrap().def.clone();
        let rig = books[0].create_rig(def, "").unwrap();
        let (id, _) = books[0].stock_rings(lot("AS568-258", "2Q25"), 5).unwrap();
        let mut third = books.pop().unwrap();
        let (a, b) = books.split_at_mut(1);
        one_crew(&mut a[0], &mut b[0]).unwrap();
        third.admit(&[a[0].journal().device()]).unwrap();
        meet(&mut a[0], &mut b[0]);
        for (second, what, n) in works {
            clock.advance(1_000);
            let book = if second { &mut b[0] } else { &mut a[0] };
            // What the box or the enclosure refuses is no event.
            match what {
                0 => drop(book.stock_rings(lot("AS568-258", "2Q25"), n)),
                1 => drop(book.take_rings(&id, n, "")),
                2 => drop(book.count_rings(&id, n)),
                3 => {
                    let ring = NewRing { lot: Some(id.clone()), ..NewRing::default() };
                    drop(book.refit_seal(&rig, SEAL, Refit::New(ring), None));
                }
                4 => {
                    let newest = book.journal().page(None, None, 1).unwrap().remove(0).event;
                    if fact_of(&newest).can_be_retracted() {
                        book.undo(&newest.reference().to_string()).unwrap();
                    }
                }
                _ => meet(&mut a[0], &mut b[0]),
            }
        }
        meet(&mut a[0], &mut b[0]);
        let mut all: Vec<_> = a[0].journal().page(None, None, 10_000).unwrap();
        all.sort_by_key(|e| (e.event.hlc, e.event.device.0, e.event.seq));
        // Each device's own events in its order, the two interleaved as it comes.
        let first = all[0].event.device;
        let (mut mine, mut theirs): (Vec<_>, Vec<_>) =
            all.iter().map(|e| e.event.clone()).partition(|e| e.device == first);
        mine.sort_by_key(|e| std::cmp::Reverse(e.seq));
        theirs.sort_by_key(|e| std::cmp::Reverse(e.seq));
        let mut turns = order.into_iter().cycle();
        while !(mine.is_empty() && theirs.is_empty()) {
            let from = if turns.next().unwrap() { &mut mine } else { &mut theirs };
            if let Some(e) = from.pop() {
                third.ingest(&e).unwrap();
            }
        }
        // Read plainly: what was taken back is left out, a count begins anew.
        let taken_back: Vec<String> = all
            .iter()
            .filter_map(|e| match fact_of(&e.event) {
                Fact::Retracted { event } => Some(event),
                _ => None,
            })
            .collect();
        let told = |id: &str| {
            all.iter()
                .filter(|e| !taken_back.contains(&e.event.reference().to_string()))
                .fold(0i64, |n, e| {
                    let of_it = e.event.subject == format!("crew/box/{id}");
                    match fact_of(&e.event) {
                        Fact::RingsStocked { count, .. } if of_it => n + i64::from(count),
                        Fact::RingsTaken { count, .. } if of_it => n - i64::from(count),
                        Fact::RingsCounted { count } if of_it => i64::from(count),
                        Fact::SealFitted { lot: Some(lot), .. } if lot == id => n - 1,
                        _ => n,
                    }
                })
        };
        for lot in third.ring_box().unwrap() {
            prop_assert_eq!(lot.count, told(&lot.id));
        }
        prop_assert_eq!(a[0].ring_box().unwrap(), third.ring_box().unwrap());
        prop_assert_eq!(a[0].ring_box().unwrap(), b[0].ring_box().unwrap());
    }
}

#[test]
fn the_last_ring_taken_twice_is_told_and_counted_again() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let mut a = Book::open(one.path(), env(&clock, 1)).unwrap();
    let mut b = Book::open(two.path(), env(&clock, 2)).unwrap();
    one_crew(&mut a, &mut b).unwrap();
    let (id, _) = a.stock_rings(lot("AS568-258", "2Q25"), 1).unwrap();
    meet(&mut a, &mut b);
    a.take_rings(&id, 1, "").unwrap();
    b.take_rings(&id, 1, "").unwrap();
    meet(&mut a, &mut b);
    assert_eq!(a.box_lot(&id).unwrap().count, -1);
    let refused = a.take_rings(&id, 1, "");
    assert!(matches!(
        refused,
        Err(BookFault::Refused(Refusal::BoxLacks { have: 0, .. }))
    ));
    let desk = Desk::new(a, 0);
    let Screen::RingBox { screen } = desk.show(&Place::RingBox { form: None }).unwrap() else {
        panic!("no box")
    };
    assert!(
        screen.answer.contains("count them again"),
        "{}",
        screen.answer
    );
    assert!(screen.lots[0].other.is_none());
    assert!(!format!("{screen:?}").contains("-1"));
}

#[test]
fn what_a_thumb_types_wrong_at_the_box_is_refused_at_its_field() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 1);
    let before = thumb.book().journal().count(None).unwrap();
    thumb.shell.stack.push(Place::RingBox {
        form: Some("add".into()),
    });
    for (field, typed) in [
        ("size", "AS568-999"),
        ("size", "large"),
        ("size", "-5 x 3 mm"),
        ("size", "1e9 x 3 mm"),
        ("count", "-3"),
        ("count", "0"),
        ("count", "2.5"),
        ("count", "999999999999"),
        ("count", "NaN"),
        ("count", ""),
        ("hardness", "170"),
        ("hardness", "-1"),
        ("cured", "2Q31"),
        ("cured", "yesterday"),
        ("material", "XYZ"),
    ] {
        let mut values = vec![("size", "AS568-258"), ("count", "2"), ("cured", "2Q25")];
        values.retain(|(k, _)| *k != field);
        values.push((field, typed));
        let faults = thumb.send("add", &values);
        assert!(
            faults.len() == 1 && faults[0].0 == field && !faults[0].1.is_empty(),
            "{field} {typed}: {faults:?}"
        );
    }
    let lot = thumb.book().ring_box().unwrap()[1].id.clone();
    let form = format!("count/{lot}");
    thumb.shell.stack.push(Place::RingBox {
        form: Some(form.clone()),
    });
    for typed in ["-1", "1.5", "many", "10001", ""] {
        let faults = thumb.send(&form, &[("count", typed)]);
        assert_eq!(faults.len(), 1, "{typed}: {faults:?}");
        assert_eq!(faults[0].0, "count");
    }
    assert_eq!(thumb.book().journal().count(None).unwrap(), before);
    assert_eq!(thumb.send(&form, &[("count", "0")]), vec![]);
    assert_eq!(thumb.in_box("AS568-258"), 0);
}

#[test]
fn the_same_pack_is_one_lot_and_another_cure_date_another() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let (a, _) = day.book.stock_rings(lot("AS568-258", "2Q25"), 1).unwrap();
    // The same size, written in millimetres.
    let (b, _) = day
        .book
        .stock_rings(lot("151.99 x 3.53 mm", "2Q25"), 2)
        .unwrap();
    let (c, _) = day.book.stock_rings(lot("AS568-258", "3Q25"), 4).unwrap();
    assert_eq!(a, b);
    assert_ne!(a, c);
    assert_eq!(day.book.box_lot(&a).unwrap().count, 3);
}

// ---- age, dives, storage ----

#[test]
fn a_day_that_a_ring_can_not_be_in_use_since_is_refused() {
    // Seen: in use since next year, since before its cure date, since the year 1: each was taken, and a
    // ring of next year never grew old.
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let mut fit =
        |cured: &str, at: Option<i64>| day.book.fit_seal(&rig, "main-back", "", cured, at);
    for (cured, at, field) in [
        ("", Some(MORNING_MS + 2 * DAY_MS), "days"),
        ("", Some(-62_000_000_000_000), "days"),
        ("", Some(i64::MAX), "days"),
        ("", Some(i64::MIN), "days"),
        ("2026-03", Some(MORNING_MS - 200 * DAY_MS), "cured"),
        ("2027-01", Some(MORNING_MS), "cured"),
        ("2027-01", None, "cured"),
        ("0001-01", None, "cured"),
        ("soon", Some(MORNING_MS), "cured"),
    ] {
        match fit(cured, at) {
            Err(BookFault::Rig(faults)) => assert_eq!(faults[0].at, field, "{cured} {at:?}"),
            other => panic!("{cured} {at:?}: {other:?}"),
        }
    }
    fit("  ", Some(MORNING_MS - DAY_MS)).unwrap();
    let facts = day.book.rig(&rig).unwrap();
    let fitted = facts.seal("main-back").unwrap().fitted.clone().unwrap();
    assert_eq!(fitted.cured, "", "not known");
}

#[test]
fn a_day_said_later_makes_no_ring_on_record_younger() {
    // Seen: a ring past its days was young again after 'in use since today'.
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    day.book.fit_seal(&rig, "main-back", "", "", None).unwrap();
    let put_in = MORNING_MS;
    day.clock.advance(400 * DAY_MS);
    let today = MORNING_MS + 400 * DAY_MS;
    day.book
        .fit_seal(&rig, "main-back", "", "", Some(today))
        .unwrap();
    let ms = |day: &Day| {
        let facts = day.book.rig(&rig).unwrap();
        facts.seal("main-back").unwrap().fitted_ms()
    };
    assert_eq!(ms(&day), Some(put_in));
    // As another phone may have written it: a day that nobody can have known.
    let ahead = Fact::SealFitted {
        pack: String::new(),
        cured: String::new(),
        fitted_ms: Some(today + 900 * DAY_MS),
        lot: None,
        found: None,
        ring: None,
    };
    let at = format!("{rig}/seal/main-port");
    day.book.record(vec![(at, ahead)]).unwrap();
    let facts = day.book.rig(&rig).unwrap();
    assert!(facts.seal("main-port").unwrap().fitted_ms() <= Some(today));
}

#[test]
fn a_clock_set_back_never_makes_a_ring_younger() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.book
        .fit_seal(
            &day.rig,
            "main-back",
            "",
            "",
            Some(MORNING_MS - 360 * DAY_MS),
        )
        .unwrap();
    let past = |day: &Day| {
        day.book
            .readiness(&day.rig)
            .unwrap()
            .obstacles
            .iter()
            .any(|o| {
                matches!(
                    o,
                    Obstacle::SealPastLimit {
                        past: PastLimit::Days { .. },
                        ..
                    }
                )
            })
    };
    assert!(!past(&day));
    day.clock.advance(6 * DAY_MS);
    assert!(past(&day));
    // Nothing is recorded in between; the clock is set back by a week.
    day.clock.advance(-7 * DAY_MS);
    assert!(past(&day));
}

#[test]
fn dives_in_salt_water_count_and_those_in_fresh_do_not() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let mut def = day.book.rig(&day.rig).unwrap().def.clone();
    def.seals[0].limits.soft_dives = Some(2);
    def.seals[0].limits.hard_dives = Some(3);
    day.book.edit_rig(&day.rig, def).unwrap();
    let rig = day.rig.clone();
    let state = |day: &Day| {
        let r = day.book.readiness(&rig).unwrap();
        let hard = r.obstacles.iter().any(|o| {
            matches!(
                o,
                Obstacle::SealPastLimit {
                    past: PastLimit::Dives { .. },
                    ..
                }
            )
        });
        let soft = r.remarks.iter().any(|o| {
            matches!(
                o,
                Remark::SealSoonDue {
                    past: PastLimit::Dives { .. },
                    ..
                }
            )
        });
        (soft, hard)
    };
    for _ in 0..5 {
        day.book.log_dive_in(&rig, 10.0, 40.0, "", 0.2).unwrap();
    }
    assert_eq!(state(&day), (false, false));
    day.book.log_dive_in(&rig, 10.0, 40.0, "", 35.0).unwrap();
    let second = day.book.log_dive_in(&rig, 10.0, 40.0, "", 35.0).unwrap();
    assert_eq!(state(&day), (true, false));
    day.book.log_dive_in(&rig, 10.0, 40.0, "", 35.0).unwrap();
    assert_eq!(state(&day), (false, true));
    // A dive is news: it is not taken back.
    assert_eq!(second.undo, None);
    // A new ring begins anew.
    day.book.fit_seal(&rig, "main-back", "", "", None).unwrap();
    assert_eq!(state(&day), (false, false));
    let wrong = day
        .book
        .log_dive_in(&rig, 10.0, 40.0, "", -1.0)
        .unwrap_err();
    assert!(wrong.to_string().contains("salinity"), "{wrong}");
}

#[test]
fn a_ring_that_lay_too_long_warns_then_blocks() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    def.seals[0].limits = SealLimits::default();
    day.book.edit_rig(&rig, def).unwrap();
    // The morning is 2026-06-01. Nitrile may lie for 7 years, and 3 more after inspection.
    let state = |day: &Day| {
        let r = day.book.readiness(&rig).unwrap();
        let hard = r.obstacles.iter().any(|o| {
            matches!(
                o,
                Obstacle::SealPastLimit {
                    past: PastLimit::Stored { .. },
                    ..
                }
            )
        });
        let soft = r.remarks.iter().any(|o| {
            matches!(
                o,
                Remark::SealSoonDue {
                    past: PastLimit::Stored { .. },
                    ..
                }
            )
        });
        (soft, hard)
    };
    for (cured, wanted) in [
        ("3Q19", (false, false)),
        ("2Q19", (true, false)),
        ("2019-06-01", (false, false)),
        ("2019-05-31", (true, false)),
        ("3Q16", (true, false)),
        ("2Q16", (false, true)),
    ] {
        day.minutes(1);
        day.book
            .fit_seal(&rig, "main-back", "", cured, None)
            .unwrap();
        assert_eq!(state(&day), wanted, "{cured}");
    }
    // Of a ring that has been in for years it counts when that was.
    day.book
        .fit_seal(
            &rig,
            "main-back",
            "",
            "2Q16",
            Some(MORNING_MS - 1_000 * DAY_MS),
        )
        .unwrap();
    assert_eq!(state(&day), (true, false));
    let wrong = day
        .book
        .fit_seal(
            &rig,
            "main-back",
            "",
            "2Q25",
            Some(MORNING_MS - 1_000 * DAY_MS),
        )
        .unwrap_err();
    assert!(wrong.to_string().contains("in use since"), "{wrong}");
}

// ---- size, gland, material ----

#[test]
fn a_ring_measured_gives_sizes_and_the_one_chosen_is_set() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 0);
    thumb.tap("Find the size by measuring");
    for (field, typed) in [
        ("inside", "-4"),
        ("inside", "1e6"),
        ("section", "0"),
        ("section", "90"),
        ("inside", "wide"),
    ] {
        let mut values = vec![("inside", "139.0"), ("section", "3.5")];
        values.retain(|(k, _)| *k != field);
        values.push((field, typed));
        let faults = thumb.send("measure", &values);
        assert_eq!(faults.len(), 1, "{field} {typed}: {faults:?}");
        assert_eq!(faults[0].0, field, "{faults:?}");
    }
    // 5.484 inch inside, as the table has -254.
    assert_eq!(
        thumb.send(
            "measure",
            &[("inside", "5.48"), ("section", "0.139"), ("unit", "inch")]
        ),
        vec![]
    );
    let sizes = thumb.seal().sizes;
    assert!(sizes[0].title == "AS568-254", "{sizes:?}");
    // Metric sizes of no series come after, and only where they are likely.
    let metric = sizes
        .iter()
        .position(|s| s.detail.contains("outside the series"));
    let series = sizes.iter().rposition(|s| s.detail.contains("mm. Off by"));
    assert!(
        metric.is_none_or(|m| series.is_some_and(|s| s < m)),
        "{sizes:?}"
    );
    assert!(sizes[0].detail.contains("0.10\u{a0}mm inside"), "{sizes:?}");
    thumb.tap("Its size is AS568-254");
    assert_eq!(
        thumb
            .book()
            .rig(&thumb.rig)
            .unwrap()
            .def
            .seal(SEAL)
            .unwrap()
            .size,
        "AS568-254"
    );
    assert_eq!(thumb.shell.place(), place(&thumb.rig));
    // Nothing near: said, and measured again.
    thumb.tap("Find the size by measuring");
    assert_eq!(
        thumb.send("measure", &[("inside", "700"), ("section", "1.25")]),
        vec![]
    );
    assert!(thumb.seal().sizes[0].title.contains("No known size"));
}

#[test]
fn a_gland_says_which_limit_is_broken_and_by_how_much() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let mut def = day.book.rig(&day.rig).unwrap().def.clone();
    let gland = |depth_mm: f64, width_mm: f64| SealGland {
        kind: SealGlandKind::Face,
        seat_mm: 152.5,
        depth_mm,
        width_mm,
        tol_mm: 0.05,
    };
    let at = def.seals.iter().position(|s| s.id == SEAL).unwrap();
    // Narrower than the ring, deeper than it is thick, of absurd size: each at its field.
    for (g, field) in [
        (gland(2.7, 3.0), "width_mm"),
        (gland(3.6, 4.75), "depth_mm"),
        (gland(-1.0, 4.75), "depth_mm"),
        (gland(2.7, 1e9), "width_mm"),
        (
            SealGland {
                seat_mm: 1e9,
                ..gland(2.7, 4.75)
            },
            "seat_mm",
        ),
        (
            SealGland {
                tol_mm: 80.0,
                ..gland(2.7, 4.75)
            },
            "tol_mm",
        ),
    ] {
        def.seals[at].gland = Some(g);
        match day.book.edit_rig(&day.rig, def.clone()) {
            Err(BookFault::Rig(faults)) => {
                assert!(faults[0].at.ends_with(field), "{g:?}: {faults:?}");
                assert!(!faults[0].why.to_string().is_empty());
            }
            other => panic!("{g:?}: {other:?}"),
        }
    }
    // Chart depth for this section is 0.101 to 0.107 inch: 2.565 to 2.718 mm.
    def.seals[at].gland = Some(gland(3.1, 4.6));
    day.book.edit_rig(&day.rig, def.clone()).unwrap();
    let show = |day: &Day| {
        let screen = slackwater_core::screens::desk::Desk::new(
            Book::open(&copied(dir.path()), env(&day.clock, 8)).unwrap(),
            0,
        )
        .show(&place(&day.rig))
        .unwrap();
        match screen {
            Screen::Seal { screen } => screen,
            other => panic!("{other:?}"),
        }
    };
    let seal = show(&day);
    let lines: Vec<&str> = seal.notices.iter().map(|l| l.text.as_str()).collect();
    let squeeze = lines
        .iter()
        .find(|l| l.starts_with("Squeeze"))
        .unwrap_or_else(|| panic!("{lines:?}"));
    // Seen: 'Squeeze is 16.6 % below the published limit of 16.0 %', which reads as a share of it.
    assert!(
        squeeze.contains("%: the published least is 20.0"),
        "{squeeze}"
    );
    assert!(!squeeze.contains("below"), "{squeeze}");
    assert!(
        lines
            .iter()
            .any(|l| l.contains("depth") && l.contains("mm: the published most")),
        "{lines:?}"
    );
    assert!(
        lines.iter().any(|l| l.contains("maker's manual")),
        "{lines:?}"
    );
    let shown = seal.figures.iter().find(|q| q.label == "Squeeze").unwrap();
    assert!(
        shown.uncertainty.as_ref().unwrap().starts_with("from "),
        "{shown:?}"
    );
    // As the chart has it: nothing is broken.
    def.seals[at].gland = Some(SealGland {
        tol_mm: 0.02,
        ..gland(2.64, 4.75)
    });
    day.book.edit_rig(&day.rig, def).unwrap();
    let seal = show(&day);
    assert!(
        seal.notices.iter().any(|l| l.severity == Severity::Good),
        "{:?}",
        seal.notices
    );
}

/// A copy of a store that another book has open.
fn copied(from: &Path) -> std::path::PathBuf {
    let to = from.join(format!("copy-{}", std::fs::read_dir(from).unwrap().count()));
    std::fs::create_dir_all(&to).unwrap();
    for name in ["slackwater.db", "slackwater.db-wal", "device.key"] {
        if from.join(name).exists() {
            std::fs::copy(from.join(name), to.join(name)).unwrap();
        }
    }
    to
}

#[test]
fn a_size_or_material_that_is_none_is_refused_on_the_rig() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let def = day.book.rig(&day.rig).unwrap().def.clone();
    for (size, material, field) in [
        ("AS568-999", "NBR", "size"),
        ("big", "NBR", "size"),
        ("0 x 3 mm", "NBR", "size"),
        ("AS568-258", "cheese", "material"),
    ] {
        let mut wrong = def.clone();
        wrong.seals[0].size = size.into();
        wrong.seals[0].material = material.into();
        let Err(BookFault::Rig(faults)) = day.book.edit_rig(&day.rig, wrong) else {
            panic!("{size} {material} was taken")
        };
        assert!(faults[0].at.ends_with(field), "{faults:?}");
    }
}

#[test]
fn grease_and_cold_that_do_not_go_with_a_ring_warn_and_do_not_block() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let mut def = day.book.rig(&day.rig).unwrap().def.clone();
    for s in &mut def.seals {
        s.grease = Some(GreaseBase::Silicone);
    }
    day.book.edit_rig(&day.rig, def).unwrap();
    let r = day.book.readiness(&day.rig).unwrap();
    let doubted: Vec<&str> = r
        .remarks
        .iter()
        .filter_map(|r| match r {
            Remark::SealMaterial { seal, .. } => Some(seal.as_str()),
            _ => None,
        })
        .collect();
    // Silicone on silicone; on nitrile it is as it should be.
    assert_eq!(doubted, ["monitor-frame"]);
}

// ---- the shoot ----

#[test]
fn a_shoot_is_planned_on_its_screen_and_says_what_to_order() {
    let dir = tempfile::tempdir().unwrap();
    let mut thumb = Thumb::at_the_seal(dir.path(), 1);
    thumb.shell.stack.push(Place::Spares {
        rig: thumb.rig.clone(),
        form: None,
    });
    thumb.tap("Plan a shoot");
    for (field, typed) in [
        ("first_day", "soon"),
        ("first_day", "2026-02-30"),
        ("first_day", ""),
        ("days", "0"),
        ("days", "366"),
        ("days", "-2"),
        ("days", "1.5"),
        ("dives_per_day", "21"),
        ("openings_per_day", "999999"),
        ("openings_per_day", "NaN"),
    ] {
        let faults = thumb.send("plan", &[(field, typed)]);
        assert_eq!(faults.len(), 1, "{field} {typed}: {faults:?}");
        assert_eq!(faults[0].0, field);
    }
    let plan = [
        ("first_day", "2026-06-03"),
        ("days", "100"),
        ("dives_per_day", "3"),
        ("openings_per_day", "2"),
    ];
    assert_eq!(thumb.send("plan", &plan), vec![]);
    let Screen::Spares { screen } = thumb.screen() else {
        panic!("{:?}", thumb.shell.place())
    };
    // 180 openings warn: on day 90 of two a day, on each closure; the monitor's 120 on day 60.
    let day = |name: &str| {
        screen
            .due
            .iter()
            .find(|r| r.title.starts_with(name))
            .unwrap_or_else(|| panic!("{:?}", screen.due))
            .detail
            .clone()
    };
    assert!(
        day("Back o-ring").starts_with("Day 90, 2026-08-31."),
        "{}",
        day("Back o-ring")
    );
    assert!(
        day("Window frame").starts_with("Day 60, 2026-08-01."),
        "{}",
        day("Window frame")
    );
    // Two of -258: one each, and one each that falls due; one is in the box.
    let row = screen
        .spares
        .iter()
        .find(|r| r.title.contains("AS568-258"))
        .unwrap();
    assert!(
        row.detail.contains("Take 4:") && row.detail.contains("order 3"),
        "{row:?}"
    );
    // In all: 2 -276, 3 -258, 1 -260, 2 -168.
    assert_eq!(screen.answer, "Order 8 rings");
    let undo = thumb.undo.clone().unwrap();
    thumb.shell.desk.undo(&undo).unwrap();
    let Screen::Spares { screen } = thumb.screen() else {
        panic!("{:?}", thumb.shell.place())
    };
    assert!(screen.empty.is_some());
    assert!(thumb.book().rig(&thumb.rig).unwrap().shoot.is_none());
}

#[test]
fn what_was_forecast_falls_due_when_the_days_are_lived() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    let none = SealLimits::default();
    for (at, limits) in [
        SealLimits {
            soft_openings: Some(7),
            ..none
        },
        SealLimits {
            soft_dives: Some(9),
            ..none
        },
        SealLimits {
            soft_days: Some(15),
            ..none
        },
        SealLimits {
            soft_days: Some(12),
            soft_openings: Some(30),
            ..none
        },
        none,
    ]
    .into_iter()
    .enumerate()
    {
        def.seals[at].limits = limits;
    }
    let ids: Vec<String> = def.seals.iter().map(|s| s.id.clone()).collect();
    day.book.edit_rig(&rig, def.clone()).unwrap();
    for (id, days, hours) in [("main-ring", 4, 5), ("main-port-base", 3, 17)] {
        let ms = MORNING_MS - days * DAY_MS - hours * 3_600_000;
        day.book.fit_seal(&rig, id, "", "", Some(ms)).unwrap();
    }
    let shoot = Shoot {
        first_day: "2026-06-01".into(),
        days: 15,
        dives_per_day: 2,
        openings_per_day: 1,
        salt: true,
    };
    let facts = day.book.rig(&rig).unwrap();
    let told = forecast(&facts, &shoot, day.book.now()).unwrap();
    let mut lived: Vec<Option<u32>> = vec![None; ids.len()];
    for n in 1..=shoot.days {
        for e in &def.enclosures {
            for c in &e.closures {
                day.minutes(5);
                day.book.open_closure(&rig, &e.id, Some(&c.id)).unwrap();
            }
        }
        for _ in 0..shoot.dives_per_day {
            day.minutes(60);
            day.book.log_dive(&rig, 12.0, 50.0, "").unwrap();
        }
        // To the last minute of the day, UTC.
        day.clock
            .set(MORNING_MS + i64::from(n) * DAY_MS - 6 * 3_600_000 - 60_000);
        for remark in day.book.readiness(&rig).unwrap().remarks {
            if let Remark::SealSoonDue { seal, .. } = remark {
                let at = ids.iter().position(|id| *id == seal).unwrap();
                lived[at] = lived[at].or(Some(n));
            }
        }
    }
    let due: Vec<Option<u32>> = told.iter().map(|f| f.due.map(|d| d.0)).collect();
    // By openings and dives to the day; by days at most one early, never late.
    assert_eq!((due[0], due[1]), (lived[0], lived[1]), "{due:?} {lived:?}");
    assert_eq!((due[0], due[1]), (Some(7), Some(5)));
    for at in [2, 3] {
        let (told, lived) = (due[at].unwrap(), lived[at].unwrap());
        assert!(told <= lived && lived <= told + 1, "{due:?} {lived}");
    }
    assert_eq!((due[4], lived[4]), (None, None));
}

#[test]
fn a_plan_that_another_program_wrote_wrong_shows_as_none() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let shoot = Shoot {
        first_day: "whenever".into(),
        days: u32::MAX,
        dives_per_day: u32::MAX,
        openings_per_day: u32::MAX,
        salt: true,
    };
    day.book
        .record(vec![(day.rig.clone(), Fact::ShootPlanned { shoot })])
        .unwrap();
    let place = Place::Spares {
        rig: day.rig.clone(),
        form: None,
    };
    let Screen::Spares { screen } = Desk::new(day.book, 0).show(&place).unwrap() else {
        panic!("no spares")
    };
    assert!(screen.empty.is_some());
}
