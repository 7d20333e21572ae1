//! Every screen that a tap can lead to, and the dive day as a shell walks it.

use std::collections::{BTreeMap, HashSet};
use std::path::Path;
use std::sync::{Arc, OnceLock};

use slackwater_checks::drive::{Day, MORNING_MS, env, png, reading};
use slackwater_checks::shell::{
    Shell, Target, filled, forms, main_target, preset, submit, targets,
};
use slackwater_checks::walk::{copy_folder, kind, walk};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::demo;
use slackwater_core::domain::facts::Role;
use slackwater_core::domain::procedure::StepKind;
use slackwater_core::domain::rig::RigDef;
use slackwater_core::journal::FixedClock;
use slackwater_core::screens::common::{Mark, Place, Severity};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::rig::{RigAction, RigScreen};
use slackwater_core::screens::{Action, Screen};

/// Walks a store and fails with all that was wrong. `least` places are to be reached: fewer would
/// mean that the walk was cut off.
fn walked(what: &str, folder: &Path, now_ms: i64, most: usize, least: usize) {
    let w = walk(folder, now_ms, most);
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for place in &w.places {
        *kinds.entry(kind(place)).or_default() += 1;
    }
    println!(
        "{what}: {} places {kinds:?}, {} acts, {} recorded",
        w.places.len(),
        w.acts,
        w.recorded
    );
    for refusal in &w.refusals {
        println!("  refused: {refusal}");
    }
    let mut problems = w.problems;
    problems.sort();
    problems.dedup();
    assert!(problems.is_empty(), "{what}:\n{}", problems.join("\n"));
    assert!(w.places.len() >= least, "{what}: {} places", w.places.len());
}

#[test]
fn every_place_of_the_demo_can_be_shown_and_used() {
    let dir = demo_copy();
    walked("demo", dir.path(), MORNING_MS, 400, 150);
}

#[test]
fn every_place_of_an_empty_store_can_be_shown_and_used() {
    let dir = tempfile::tempdir().unwrap();
    drop(Book::open(dir.path(), env(&Arc::new(FixedClock::at(MORNING_MS)), 3)).unwrap());
    walked("empty", dir.path(), MORNING_MS, 60, 4);
}

#[test]
fn every_place_of_a_rig_that_lacks_things_can_be_shown_and_used() {
    let dir = tempfile::tempdir().unwrap();
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let mut book = Book::open(dir.path(), env(&clock, 3)).unwrap();
    let noor = book.add_member("Noor", Role::Assistant).unwrap();
    book.hold_phone(&noor).unwrap();
    let bare = RigDef {
        name: "Bare".into(),
        ..RigDef::default()
    };
    let bare = book.create_rig(bare, "").unwrap();
    for procedure in ["general-build", "after-dive", "flood", "turnaround"] {
        book.start_prep(&bare, procedure).unwrap();
    }
    let whole = book
        .create_from_template("housing-and-monitor", "No seals, no valve, no lens")
        .unwrap();
    let mut def = book.rig(&whole).unwrap().def.clone();
    def.seals.clear();
    def.lenses.clear();
    def.lens = None;
    def.parts.retain(|p| p.lenses.is_empty());
    def.controls.clear();
    for e in &mut def.enclosures {
        e.valve = None;
    }
    book.edit_rig(&whole, def).unwrap();
    book.start_prep(&whole, "general-build").unwrap();
    drop(book);
    walked("lacking", dir.path(), MORNING_MS, 160, 40);
}

#[test]
fn every_place_of_a_day_under_way_can_be_shown_and_used() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let prep = day.book.start_prep(&day.rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Hold)).unwrap();
    // One hold of few readings, one of them set aside; a defect; a step skipped.
    let facts = day.book.rig(&day.rig).unwrap();
    let setup = Book::hold_setup(&facts.def.enclosures[0], &facts.def.plan);
    let hold = day
        .book
        .start_hold(&day.rig, setup, reading(200.0))
        .unwrap();
    for at in [200.0, 199.0, 260.0, 199.0, 199.0] {
        day.minutes(1);
        day.book.add_reading(&hold, reading(at)).unwrap();
    }
    let odd = day.book.hold(&hold).unwrap().readings[3].event.clone();
    day.book.set_reading_aside(&hold, &odd).unwrap();
    day.book
        .open_defect(&day.rig, "enclosure/main", true, true, "A drop in the port")
        .unwrap();
    let rig = day.rig.clone();
    day.book
        .add_photo(&format!("{rig}/hold/{hold}"), "the gauge", &png())
        .unwrap();
    let now = day.clock.clone();
    drop(day);
    use slackwater_core::journal::Clock;
    walked("under way", dir.path(), now.now_ms(), 220, 60);
}

#[test]
fn every_place_of_a_ready_rig_and_of_a_leaking_one_can_be_shown_and_used() {
    use slackwater_core::journal::Clock;
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let now = day.clock.now_ms();
    drop(day);
    walked("ready", dir.path(), now, 120, 60);
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    day.hold("main", 40.0).unwrap();
    let rig = day.rig.clone();
    day.book.retire_rig(&rig, false).unwrap();
    let now = day.clock.now_ms();
    drop(day);
    walked("leaking", dir.path(), now, 60, 30);
}

// ---- the dive day, as a shell walks it ----

/// A crew at the phone: taps what is shown and types what the instruments say.
struct Crew {
    shell: Shell,
    clock: Arc<FixedClock>,
    /// Rows that only said why not.
    refused: HashSet<String>,
    /// Every tap, for the report of a failure.
    log: Vec<String>,
}

impl Crew {
    fn screen(&self) -> Screen {
        self.shell
            .screen()
            .unwrap_or_else(|e| panic!("{:?}: {e}\n{}", self.shell.place(), self.log.join("\n")))
    }

    fn stuck(&self, why: &str) -> ! {
        let from = self.log.len().saturating_sub(25);
        panic!(
            "{why}\nat {:?}\n{:#?}\nafter\n{}",
            self.shell.place(),
            self.screen(),
            self.log[from..].join("\n")
        )
    }

    fn tap(&mut self, target: &Target) {
        self.clock.advance(8_000);
        self.log.push(format!(
            "{} [{}] {} {}",
            kind(&self.shell.place()),
            target.at,
            target.row,
            target.label
        ));
        if !target.enabled {
            self.stuck(&format!(
                "{} can't be used: {:?}",
                target.label, target.why_not
            ));
        }
        match self.shell.act(target.action.clone()) {
            Ok(outcome) if outcome.faults.is_empty() => {
                if let Some(said) = outcome.said {
                    self.log.push(format!("    {said}"));
                }
            }
            Ok(outcome) => self.stuck(&format!("{:?}", outcome.faults)),
            Err(e) => self.stuck(&e.to_string()),
        }
    }

    fn send(&mut self, form: &str, typed: &[(&str, &str)]) {
        self.clock.advance(8_000);
        let screen = self.screen();
        let all = forms(&screen);
        let Some(found) = all.iter().find(|f| f.key.starts_with(form)) else {
            self.stuck(&format!("no form {form}"));
        };
        for (key, _) in typed {
            if !found.fields.iter().any(|f| f.key == *key) {
                self.stuck(&format!("form {form} has no field {key}"));
            }
        }
        self.log.push(format!(
            "{} form {} {typed:?}",
            kind(&self.shell.place()),
            found.key
        ));
        let values = filled(found, typed);
        let action = submit(&self.shell.place(), &found.key, values).unwrap();
        match self.shell.act(action) {
            Ok(outcome) if outcome.faults.is_empty() => {}
            Ok(outcome) => self.stuck(&format!("{:?}", outcome.faults)),
            Err(e) => self.stuck(&e.to_string()),
        }
    }

    fn find(&self, at: &str, row: &str) -> Target {
        targets(&self.screen())
            .into_iter()
            .find(|t| t.at == at && (t.row.contains(row) || t.label.contains(row)))
            .unwrap_or_else(|| self.stuck(&format!("nothing in {at} says {row}")))
    }

    /// Does what the present screen asks for next. False where there is nothing to do.
    fn next(&mut self) {
        let screen = self.screen();
        match &screen {
            Screen::Prep { screen: s } => {
                let form = s.form.clone();
                let place = self.shell.place();
                let asked = matches!(&place, Place::Prep { form: Some(_), .. });
                if let (Some(form), true) = (&form, asked) {
                    self.send(&form.key.clone(), &[]);
                    return;
                }
                // Parts first: what is not confirmed yet.
                let open: Vec<Target> = s
                    .parts
                    .iter()
                    .filter(|p| p.mark == Some(Mark::Hollow))
                    .filter_map(|p| {
                        targets(&screen)
                            .into_iter()
                            .find(|t| t.at == "parts" && t.row == p.title)
                    })
                    .collect();
                if let Some(first) = open.first() {
                    self.tap(&first.clone());
                    return;
                }
                if let Some(form) = form.filter(|f| f.key.starts_with("measure")) {
                    let typed = number_within(&form.fields[0].hint.clone().unwrap_or_default());
                    self.send("measure", &[("value", &typed)]);
                    return;
                }
                let Some(main) = main_target(&screen) else {
                    self.stuck("no main action");
                };
                // A step that asks for a photo says so.
                let wanted = main.why_not.clone().unwrap_or_default();
                if !main.enabled && wanted.contains("photo") {
                    let subject = s.photo_subject.clone();
                    self.shell
                        .desk
                        .add_photo(&subject, "as built", &png())
                        .unwrap();
                    self.log.push("    photo added".into());
                    return;
                }
                self.tap(&main);
            }
            // Looked after: the way on is back.
            Screen::Seal { screen: s } if s.severity == Severity::Good => {
                self.log.push("back".into());
                self.shell.stack.pop();
            }
            Screen::Seal { screen: s } if s.form.is_none() => match main_target(&screen) {
                Some(target) => self.tap(&target),
                None => self.stuck("no main action"),
            },
            Screen::Service { .. } => {
                let all = targets(&screen);
                // What was found: nothing. Else on with the main action.
                let next = all
                    .iter()
                    .find(|t| t.at == "choices" && t.row == "Nothing")
                    .or_else(|| all.iter().find(|t| t.at == "main"));
                match next {
                    Some(target) => self.tap(&target.clone()),
                    None => self.stuck("no main action"),
                }
            }
            Screen::Rig { screen: s } if !s.controls.is_empty() => {
                let open = s.controls.iter().find(|c| {
                    c.mark != Some(Mark::Full)
                        && c.tap.is_some()
                        && !self.refused.contains(&c.title)
                });
                let target = match open {
                    Some(row) => targets(&screen)
                        .into_iter()
                        .find(|t| t.at == "controls" && t.row == row.title),
                    None => main_target(&screen),
                };
                let before = self.events();
                match target {
                    Some(target) => {
                        self.tap(&target);
                        if self.events() == before {
                            self.refused.insert(target.row);
                        } else {
                            self.refused.clear();
                        }
                    }
                    None => self.stuck("no main action"),
                }
            }
            Screen::HoldSetup { .. } => self.send(
                "setup",
                &[
                    ("open", "nothing"),
                    ("camera", "cold"),
                    ("desiccant", "none"),
                    ("stood", "here"),
                    ("unit", "mbar"),
                    ("resolution", "0.1"),
                    ("gauge", "203.4"),
                    ("source", "inside"),
                    ("temperature", "25.0"),
                    ("ambient", "1013"),
                ],
            ),
            Screen::Hold { screen: s } if s.running => {
                let end = targets(&screen)
                    .into_iter()
                    .find(|t| t.at == "with_verdict");
                // Read until it is said to be tight.
                if let (Severity::Good, Some(end)) = (s.severity, end) {
                    self.tap(&end);
                    return;
                }
                let wait = s.next_reading_s.unwrap_or(60).clamp(20, 1_200);
                self.clock.advance(wait * 1_000);
                self.send(
                    "reading",
                    &[
                        ("gauge", "203,4"),
                        ("temperature", "25.0"),
                        ("ambient", "1013"),
                    ],
                );
            }
            // Trimmed, or nothing to trim with: the way on is back.
            Screen::Trim { screen: s } if s.severity == Severity::Good => {
                self.log.push("back".into());
                self.shell.stack.pop();
            }
            Screen::Recheck { screen: s } => {
                let read = |s: &slackwater_core::screens::recheck::RecheckScreen| {
                    s.items
                        .iter()
                        .find(|i| i.form.is_some() && i.severity != Severity::Good)
                        .map(|i| {
                            let expected = i.expected.as_ref().map(|q| q.value.clone());
                            (i.form.clone().unwrap().key, expected)
                        })
                };
                let unknown = s.air.fields.iter().any(|f| f.value.is_empty());
                if unknown {
                    self.send(
                        "air",
                        &[
                            ("temperature/main", "25"),
                            ("temperature/monitor", "25"),
                            ("ambient", "1013"),
                        ],
                    );
                    return;
                }
                if let Some(next) = s
                    .items
                    .iter()
                    .position(|i| i.next.is_some())
                    .and_then(|_| targets(&screen).into_iter().find(|t| t.at == "next"))
                {
                    self.tap(&next);
                } else if let Some((key, expected)) = read(s) {
                    let typed = expected.unwrap_or_else(|| "200.0".into());
                    self.send(&key, &[("gauge", &typed)]);
                } else if let Some(main) = main_target(&screen) {
                    self.tap(&main);
                } else {
                    self.stuck("no main action");
                }
            }
            _ if !forms(&screen).is_empty() => {
                let form = forms(&screen).remove(0);
                self.log.push(format!("    preset {:?}", preset(&form)));
                self.send(&form.key, &[]);
            }
            _ => match main_target(&screen) {
                Some(main) => self.tap(&main),
                None => self.stuck("no main action"),
            },
        }
    }

    fn events(&self) -> u64 {
        self.shell.desk.book().journal().count(None).unwrap()
    }

    /// Goes on with what is asked for until `done`, at most `most` taps. A state that comes back
    /// again and again is a dead end.
    fn until(&mut self, most: usize, done: impl Fn(&Screen) -> bool) -> usize {
        let mut same: BTreeMap<String, usize> = BTreeMap::new();
        for n in 0..most {
            let screen = self.screen();
            if done(&screen) {
                return n;
            }
            let key = format!("{:?} {}", self.shell.place(), self.events());
            let times = same.entry(key).or_default();
            *times += 1;
            if *times > 6 {
                self.stuck("a dead end: the same place again and again");
            }
            self.next();
        }
        self.stuck("too many taps")
    }
}

/// A number between the limits that a hint names.
fn number_within(hint: &str) -> String {
    let numbers: Vec<f64> = hint
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter_map(|w| w.trim_matches('.').parse().ok())
        .collect();
    match numbers[..] {
        [a, b, ..] => format!("{}", (a + b) / 2.0),
        [a] => format!("{a}"),
        _ => "1".into(),
    }
}

/// The demo store, made once for all tests of this file.
fn demo_copy() -> tempfile::TempDir {
    static MADE: OnceLock<tempfile::TempDir> = OnceLock::new();
    let made = MADE.get_or_init(|| {
        let dir = tempfile::tempdir().unwrap();
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        demo::fill_if_empty(dir.path(), &env(&clock, 3)).unwrap();
        dir
    });
    let copy = tempfile::tempdir().unwrap();
    copy_folder(made.path(), copy.path());
    copy
}

/// A crew in front of the demo's rig in dry parts.
fn crew_at_pool_rig(folder: &Path) -> Crew {
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let book = Book::open(folder, env(&clock, 4)).unwrap();
    let mut crew = Crew {
        shell: Shell::new(Desk::new(book, 120)),
        clock,
        refused: HashSet::new(),
        log: Vec::new(),
    };
    let rig = crew.find("rigs", "Pool rig");
    crew.tap(&rig);
    assert_eq!(crew.rig().severity, Severity::Blocking);
    crew
}

fn is_ready(screen: &Screen) -> bool {
    matches!(screen, Screen::Rig { screen } if screen.mark == Mark::Full
        && screen.answer.starts_with("Ready until"))
}

impl Crew {
    fn rig(&self) -> RigScreen {
        match self.screen() {
            Screen::Rig { screen } => screen,
            _ => self.stuck("not the rig"),
        }
    }

    fn start(&mut self, wanted: &str) {
        let found = targets(&self.screen()).into_iter().find(|t| {
            matches!(&t.action, Action::Rig { action: RigAction::StartPrep { procedure } }
                if procedure == wanted)
        });
        match found {
            Some(target) => self.tap(&target),
            None => self.stuck(&format!("{wanted} is not offered")),
        }
    }
}

#[test]
fn a_dive_day_by_taps_alone_from_dry_parts_to_after_dive_care() {
    let dir = demo_copy();
    let mut crew = crew_at_pool_rig(dir.path());
    crew.start("general-build");
    let taps = crew.until(900, is_ready);
    println!("dry parts to ready: {taps} taps and forms");
    let s = crew.rig();
    assert!(s.obstacles.is_empty(), "{:?}", s.obstacles);
    assert!(!s.caveat.is_empty());
    // The dive.
    let dive = crew.find("main", "dive");
    crew.tap(&dive);
    crew.send(
        "dive",
        &[
            ("depth", "14,5"),
            ("minutes", "45"),
            ("note", "Clear water"),
        ],
    );
    // After-dive care.
    crew.start("after-dive");
    let taps = crew.until(300, |s| matches!(s, Screen::Rig { .. }));
    println!("after-dive care: {taps} taps and forms");
    // Opened for care: what was proved is void.
    let s = crew.rig();
    assert_eq!(s.severity, Severity::Blocking, "{}", s.answer);
    let journal = crew.shell.desk.book().journal();
    assert!(journal.verify_all(|_| ()).unwrap() > 1_200);
}

#[test]
fn the_main_action_alone_leads_from_dry_parts_to_ready() {
    let dir = demo_copy();
    let mut crew = crew_at_pool_rig(dir.path());
    let taps = crew.until(900, is_ready);
    println!("dry parts to ready by the main action alone: {taps} taps and forms");
}
