//! What an edit took off a rig comes back whole and proves nothing; numbers that are a slip of the decimal sign are
//! asked about where they are typed.

use std::sync::Arc;

use slackwater_checks::drive::{Day, MORNING_MS, env, recheck_on};
use slackwater_checks::shell::{Shell, Target, filled, forms, submit, targets};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::{Finding, Role};
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::domain::rig::{Part, RigDef};
use slackwater_core::domain::rules::{HoldMissing, counting_hold, needs_service, plug_in};
use slackwater_core::journal::FixedClock;
use slackwater_core::screens::common::{FieldFault, Outcome, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::start::StartPage;

const PUT_BACK: &str = "Main housing, taken off 20\u{a0}min ago: put it back (to be proved)";

fn editor(rig: &str, part: Option<&str>) -> Place {
    Place::RigEdit {
        rig: rig.to_owned(),
        part: part.map(str::to_owned),
    }
}

fn at(shell: &mut Shell, place: Place) {
    shell.stack = vec![Place::Rigs { form: None }, place];
}

fn labels(shell: &Shell) -> Vec<String> {
    let all = targets(&shell.screen().unwrap());
    all.into_iter().map(|t| t.label).collect()
}

fn target(shell: &Shell, label: &str) -> Target {
    let all = targets(&shell.screen().unwrap());
    let found = all.into_iter().find(|t| t.label == label);
    found.unwrap_or_else(|| panic!("no '{label}' in {:?}", labels(shell)))
}

fn tap(shell: &mut Shell, label: &str) -> Outcome {
    let target = target(shell, label);
    assert!(target.enabled, "{label}: {:?}", target.why_not);
    let outcome = shell.act(target.action).unwrap();
    assert_eq!(outcome.faults, [], "{label}");
    outcome
}

/// Sends the form of the page with some values typed over.
fn send(shell: &mut Shell, typed: &[(&str, &str)]) -> Vec<FieldFault> {
    let form = forms(&shell.screen().unwrap()).pop().expect("a form");
    let action = submit(&shell.place(), &form.key, filled(&form, typed)).unwrap();
    shell.act(action).unwrap().faults
}

/// The switch of the page's form that says that an unlikely number is so.
fn sure(shell: &Shell) -> String {
    let form = forms(&shell.screen().unwrap()).pop().expect("a form");
    let asked = form.fields.into_iter().find(|f| f.key.starts_with("sure:"));
    asked.expect("it asks").key
}

fn def(shell: &Shell, rig: &str) -> RigDef {
    shell.desk.book().rig(rig).unwrap().def.clone()
}

fn take_off(shell: &mut Shell, rig: &str) {
    at(shell, editor(rig, Some("enclosure/main")));
    tap(shell, "Take it off the rig");
    assert!(def(shell, rig).enclosure("main").is_none());
}

fn offered(shell: &mut Shell, rig: &str) -> Vec<String> {
    at(shell, editor(rig, Some("add/enclosure")));
    labels(shell)
}

struct Rig {
    _dir: tempfile::TempDir,
    shell: Shell,
    clock: Arc<FixedClock>,
    rig: String,
    dp: String,
}

impl Rig {
    fn ready() -> Rig {
        let dir = tempfile::tempdir().unwrap();
        let mut day = Day::dry_parts(dir.path()).unwrap();
        let mut def = day.book.rig(&day.rig).unwrap().def.clone();
        def.parts.push(Part {
            id: "lens".into(),
            name: "Lens".into(),
            mass_g: 500.0,
            inside: true,
            lenses: vec!["macro".into()],
            ..Part::default()
        });
        day.book.edit_rig(&day.rig, def).unwrap();
        day.ready().unwrap();
        let Day {
            book,
            clock,
            rig,
            dp,
            ..
        } = day;
        let rig = Rig {
            _dir: dir,
            shell: Shell::new(Desk::new(book, 0)),
            clock,
            rig,
            dp,
        };
        assert!(rig.book().readiness(&rig.rig).unwrap().is_ready());
        rig
    }

    fn book(&self) -> &Book {
        self.shell.desk.book()
    }

    fn minutes(&self, minutes: i64) {
        self.clock.advance(minutes * 60_000);
    }

    fn obstacles(&self) -> Vec<Obstacle> {
        self.book().readiness(&self.rig).unwrap().obstacles
    }
}

#[test]
fn what_was_taken_off_is_offered_and_comes_back_whole() {
    let mut r = Rig::ready();
    let rig = r.rig.clone();
    assert!(offered(&mut r.shell, &rig).is_empty());
    let before = def(&r.shell, &rig);
    take_off(&mut r.shell, &rig);
    r.minutes(20);
    // An edit in between is not lost.
    let mut edited = def(&r.shell, &rig);
    edited.note = "Cable is new".into();
    r.shell.desk.book_mut().edit_rig(&rig, edited).unwrap();
    assert_eq!(offered(&mut r.shell, &rig), [PUT_BACK]);
    let asked = target(&r.shell, PUT_BACK).confirm.expect("it asks first");
    assert!(
        asked.contains("nothing that was proved before counts"),
        "{asked}"
    );
    let said = tap(&mut r.shell, PUT_BACK).said.unwrap();
    assert_eq!(said, "Put back; to be proved.");
    let mut after = def(&r.shell, &rig);
    assert_eq!(after.note, "Cable is new");
    after.note.clone_from(&before.note);
    // In whatever order: the same seals, controls and lenses.
    let sorted = |mut d: RigDef| {
        d.seals.sort_by(|a, b| a.id.cmp(&b.id));
        d.controls.sort_by(|a, b| a.id.cmp(&b.id));
        d.lenses.sort_by(|a, b| a.id.cmp(&b.id));
        d
    };
    assert_eq!(sorted(after), sorted(before));
    assert!(offered(&mut r.shell, &rig).is_empty());
    // Taken off again, it is as it is by then.
    let mut edited = def(&r.shell, &rig);
    edited.enclosures[0].volume_l = 11.0;
    r.shell.desk.book_mut().edit_rig(&rig, edited).unwrap();
    take_off(&mut r.shell, &rig);
    r.minutes(20);
    assert_eq!(offered(&mut r.shell, &rig), [PUT_BACK]);
    tap(&mut r.shell, PUT_BACK);
    assert_eq!(
        def(&r.shell, &rig).enclosure("main").unwrap().volume_l,
        11.0
    );
}

#[test]
fn what_was_proved_before_it_was_taken_off_counts_for_nothing() {
    let mut r = Rig::ready();
    let rig = r.rig.clone();
    take_off(&mut r.shell, &rig);
    r.minutes(20);
    offered(&mut r.shell, &rig);
    tap(&mut r.shell, PUT_BACK);
    let facts = r.book().rig(&rig).unwrap();
    let main = facts.enclosure("main").unwrap();
    // Its history is there, and proves nothing.
    assert!(!main.holds.is_empty());
    assert_eq!(counting_hold(&facts, main).err(), Some(HoldMissing::None));
    assert!(plug_in(&facts, main).is_none());
    assert!(!r.book().is_closed(&facts, "main"));
    let mut seals = facts.def.seals.iter().zip(&facts.seals);
    assert!(seals.all(|(d, s)| needs_service(&facts, d, s) == (d.enclosure == "main")));
    let wanted = r.obstacles();
    let of = |what: &dyn Fn(&Obstacle) -> bool| wanted.iter().any(what);
    assert!(
        of(&|o| matches!(o, Obstacle::NotClosed { .. })),
        "{wanted:?}"
    );
    assert!(of(&|o| matches!(o, Obstacle::Control { .. })), "{wanted:?}");
    // Serviced, closed, its plug in and its controls tried: the old hold still counts for nothing.
    let dp = r.dp.clone();
    let def = facts.def.clone();
    let clock = r.clock.clone();
    let book = r.shell.desk.book_mut();
    for s in def.seals.iter().filter(|s| s.enclosure == "main") {
        clock.advance(60_000);
        book.service_seal(&rig, &s.id, Finding::Clean, "").unwrap();
    }
    book.close_enclosure(&rig, "main").unwrap();
    for c in def.controls.iter().filter(|c| c.assigned()) {
        book.test_control(&rig, &c.id, true, "").unwrap();
    }
    let _ = book.plug_on(&rig, "main");
    let _ = recheck_on(book, &rig);
    let _ = book.sign_plugs(&rig, &dp);
    let facts = book.rig(&rig).unwrap();
    let main = facts.enclosure("main").unwrap();
    assert_eq!(counting_hold(&facts, main).err(), Some(HoldMissing::None));
    let wanted = book.readiness(&rig).unwrap().obstacles;
    let no_hold =
        |o: &Obstacle| matches!(o, Obstacle::NoHold { enclosure, .. } if enclosure == "main");
    assert!(wanted.iter().any(no_hold), "{wanted:?}");
}

#[test]
fn proved_anew_it_is_ready() {
    let mut r = Rig::ready();
    let rig = r.rig.clone();
    take_off(&mut r.shell, &rig);
    r.minutes(20);
    offered(&mut r.shell, &rig);
    tap(&mut r.shell, PUT_BACK);
    let Rig {
        _dir,
        shell,
        clock,
        dp,
        ..
    } = r;
    drop(shell);
    let mut day = Day {
        book: Book::open(_dir.path(), env(&clock, 1)).unwrap(),
        clock,
        assistant: String::new(),
        dp,
        rig: rig.clone(),
        alone: false,
    };
    day.ready().unwrap();
    let wanted = day.book.readiness(&rig).unwrap().obstacles;
    // That it was taken off is news that another member signs for, put back or not.
    let [Obstacle::LossUnsigned { event }] = &wanted[..] else {
        panic!("{wanted:?}");
    };
    let dp = day.dp.clone();
    day.book.sign_loss(&rig, event, &*dp).unwrap();
    assert!(day.book.readiness(&rig).unwrap().is_ready());
}

#[test]
fn what_has_an_id_that_is_in_use_again_is_left_out_and_named() {
    let mut r = Rig::ready();
    let rig = r.rig.clone();
    take_off(&mut r.shell, &rig);
    let mut edited = def(&r.shell, &rig);
    let mut seal = edited.seal("monitor-frame").unwrap().clone();
    (seal.id, seal.name) = ("main-back".into(), "Second ring".into());
    edited.seals.push(seal.clone());
    r.shell.desk.book_mut().edit_rig(&rig, edited).unwrap();
    r.minutes(20);
    offered(&mut r.shell, &rig);
    let asked = target(&r.shell, PUT_BACK).confirm.unwrap();
    let left = "Not put back, since something else on the rig stands in its place by now: ";
    assert!(asked.contains(left), "{asked}");
    let said = tap(&mut r.shell, PUT_BACK).said.unwrap();
    assert!(said.contains(left), "{said}");
    assert_eq!(def(&r.shell, &rig).seal("main-back"), Some(&seal));
    assert!(def(&r.shell, &rig).seal("main-port").is_some());
    // Another under the enclosure's own id: said, and not put back.
    take_off(&mut r.shell, &rig);
    let mut edited = def(&r.shell, &rig);
    let mut other = edited.enclosure("monitor").unwrap().clone();
    (other.id, other.name) = ("main".into(), "Spare housing".into());
    (other.closures, other.penetrators) = (Vec::new(), Vec::new());
    edited.enclosures.push(other);
    r.shell.desk.book_mut().edit_rig(&rig, edited).unwrap();
    r.minutes(20);
    offered(&mut r.shell, &rig);
    let target = target(&r.shell, PUT_BACK);
    assert!(!target.enabled);
    assert_eq!(
        target.why_not.as_deref(),
        Some("Spare housing was added in its place since: take that off first.")
    );
    assert!(r.shell.desk.act(&r.shell.place(), target.action).is_err());
}

#[test]
fn a_new_enclosure_gets_no_id_of_one_that_was_taken_off() {
    let mut r = Rig::ready();
    let rig = r.rig.clone();
    let mut edited = def(&r.shell, &rig);
    let mut other = edited.enclosure("monitor").unwrap().clone();
    (other.id, other.name) = ("strobe".into(), "Strobe".into());
    edited.enclosures.push(other);
    r.shell.desk.book_mut().edit_rig(&rig, edited).unwrap();
    at(&mut r.shell, editor(&rig, Some("enclosure/strobe")));
    tap(&mut r.shell, "Take it off the rig");
    at(&mut r.shell, editor(&rig, Some("add/enclosure")));
    let typed = [
        ("name", "Strobe"),
        ("volume_l", "2"),
        ("volume_sd_l", "0.1"),
        ("depth_rating_m", "60"),
    ];
    assert_eq!(send(&mut r.shell, &typed), []);
    let ids: Vec<String> = (def(&r.shell, &rig).enclosures.into_iter())
        .map(|e| e.id)
        .collect();
    assert_eq!(ids, ["main", "monitor", "strobe-2"]);
    assert_eq!(offered(&mut r.shell, &rig).len(), 1);
}

#[test]
fn a_volume_ten_times_what_stood_there_is_asked_about() {
    let mut r = Rig::ready();
    let rig = r.rig.clone();
    let mut edited = def(&r.shell, &rig);
    (
        edited.enclosures[0].volume_l,
        edited.enclosures[0].volume_sd_l,
    ) = (6.0, 0.6);
    r.shell.desk.book_mut().edit_rig(&rig, edited).unwrap();
    let volume = |shell: &Shell| def(shell, &rig).enclosures[0].volume_l;
    let open = |shell: &mut Shell| at(shell, editor(&rig, Some("enclosure/main")));
    for slip in ["60", "0.6"] {
        open(&mut r.shell);
        let faults = send(&mut r.shell, &[("volume_l", slip)]);
        assert_eq!(faults.len(), 1, "{slip}");
        assert_eq!(faults[0].field, "volume_l");
        let asks = "6\u{a0}L stood there. Is the decimal point right? Is it so?";
        assert_eq!(faults[0].text, asks);
        assert_eq!(volume(&r.shell), 6.0);
    }
    // Answered for one number, not for another.
    let yes = sure(&r.shell);
    assert_eq!(
        send(&mut r.shell, &[("volume_l", "60"), (&yes, "yes")]).len(),
        1
    );
    let yes = sure(&r.shell);
    assert_eq!(send(&mut r.shell, &[("volume_l", "60"), (&yes, "yes")]), []);
    assert_eq!(volume(&r.shell), 60.0);
    // Another housing of the kind is taken; one that is said to be known so well is asked about.
    open(&mut r.shell);
    assert_eq!(
        send(&mut r.shell, &[("volume_l", "15"), ("volume_sd_l", "1")]),
        []
    );
    open(&mut r.shell);
    let typed = [("volume_l", "4"), ("volume_sd_l", "0.03")];
    assert_eq!(send(&mut r.shell, &typed).len(), 1);
    open(&mut r.shell);
    let typed = [("volume_l", "6"), ("volume_sd_l", "0.03")];
    assert_eq!(send(&mut r.shell, &typed), []);
    assert_eq!(volume(&r.shell), 6.0);
}

#[test]
fn steps_that_no_gauge_goes_in_are_asked_about() {
    let dir = tempfile::tempdir().unwrap();
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let book = Book::open(dir.path(), env(&clock, 3)).unwrap();
    let mut shell = Shell::new(Desk::new(book, 0));
    shell.desk.book_mut().add_member("Noor", Role::Dp).unwrap();
    let first = Place::Start {
        page: StartPage::Gauge,
    };
    let crew = Place::Crew {
        form: Some("gauge".into()),
    };
    let gauges = |shell: &Shell| shell.desk.book().gauges().unwrap().len();
    for (n, place) in [first, crew].into_iter().enumerate() {
        for (step, unit) in [("100", "mbar"), ("0.001", "mbar"), ("100", "kPa")] {
            at(&mut shell, place.clone());
            let typed = [("name", "Hand gauge"), ("unit", unit), ("resolution", step)];
            let faults = send(&mut shell, &typed);
            assert_eq!(faults.len(), 1, "{step} {unit}");
            assert_eq!(faults[0].field, "resolution");
            assert!(faults[0].text.ends_with("Is it so?"), "{}", faults[0].text);
            assert_eq!(gauges(&shell), n);
        }
        let faults = send(&mut shell, &[("name", "Hand gauge"), ("resolution", "100")]);
        assert_eq!(
            faults[0].text,
            "A gauge that a hold is read on goes in steps of 0.01 to 20 mbar. The smallest step is wanted, not \
             what it shows now; are the decimal point and the unit right? Is it so?"
        );
        let yes = sure(&shell);
        let typed = [("name", "Hand gauge"), ("resolution", "100"), (&yes, "yes")];
        assert_eq!(send(&mut shell, &typed), []);
        assert_eq!(gauges(&shell), n + 1);
    }
    // What was answered for is not asked again where something else is changed.
    let id = shell.desk.book().gauges().unwrap()[0].0.clone();
    let form = Some(format!("gauge/{id}"));
    at(&mut shell, Place::Crew { form });
    assert_eq!(send(&mut shell, &[("checked", "2026-05")]), []);
    for step in ["0.01", "20", "1"] {
        let form = Some("gauge".to_owned());
        at(&mut shell, Place::Crew { form });
        let typed = [("name", step), ("resolution", step)];
        assert_eq!(send(&mut shell, &typed), [], "{step}");
    }
}
