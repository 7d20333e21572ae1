//! What a page says is so: names instead of keys, what changed by its name, who is asked. Each test says
//! what a crew saw that walked the app.

use std::path::Path;
use std::sync::Arc;

use slackwater_checks::drive::{Day, env};
use slackwater_checks::shell::{Shell, Target, filled, forms, submit, targets};
use slackwater_core::domain::backup;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::{Gauge, Role};
use slackwater_core::domain::procedure::{StepKind, Target as Of};
use slackwater_core::domain::readiness::Remark;
use slackwater_core::domain::rig::{RigDef, SealLimits};
use slackwater_core::domain::state::StepState;
use slackwater_core::journal::{Clock, FixedClock};
use slackwater_core::screens::CHOICES;
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::{Document, Mark, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::prep::PrepScreen;
use slackwater_core::screens::rig::RigScreen;
use slackwater_core::screens::times::LocalTime;

fn rig_at(rig: &str, form: Option<&str>) -> Place {
    Place::Rig {
        rig: rig.to_owned(),
        form: form.map(str::to_owned),
    }
}

fn rig_page(desk: &Desk, rig: &str, form: Option<&str>) -> RigScreen {
    match desk.show(&rig_at(rig, form)).unwrap() {
        Screen::Rig { screen } => screen,
        other => panic!("{other:?}"),
    }
}

fn prep_page(desk: &Desk, prep: &str, step: Option<&str>, form: Option<&str>) -> PrepScreen {
    let place = Place::Prep {
        prep: prep.to_owned(),
        step: step.map(str::to_owned),
        form: form.map(str::to_owned),
    };
    match desk.show(&place).unwrap() {
        Screen::Prep { screen } => screen,
        other => panic!("{other:?}"),
    }
}

fn ready() -> (tempfile::TempDir, Day) {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    (dir, day)
}

fn edit(book: &mut Book, rig: &str, change: impl FnOnce(&mut RigDef)) {
    let mut def = book.rig(rig).unwrap().def.clone();
    change(&mut def);
    book.edit_rig(rig, def).unwrap();
}

/// Sends a form of the crew's page with some values typed over.
fn choose(shell: &mut Shell, form: &str, typed: &[(&str, &str)]) {
    shell.stack = vec![Place::Crew {
        form: Some(form.to_owned()),
    }];
    let form = forms(&shell.screen().unwrap()).pop().expect("a form");
    let action = submit(&shell.place(), &form.key, filled(&form, typed)).unwrap();
    let outcome = shell.act(action).unwrap();
    assert_eq!(outcome.faults, [], "{}", form.key);
}

fn another(folder: &Path, clock: &Arc<FixedClock>) -> Desk {
    Desk::new(Book::open(folder, env(clock, 8)).unwrap(), 0)
}

/// What the page says that asks whether a file is to be joined.
fn on_joining(from: &Book, folder: &Path, desk: &mut Desk) -> Vec<String> {
    let file = folder.join("all.zip");
    backup::write(from, &file).unwrap();
    let paper = Document {
        name: "all.zip".into(),
        media_type: "application/zip".into(),
        bytes: Vec::new(),
        file: Some(file.display().to_string()),
    };
    let first = Place::Rigs { form: None };
    let brought = desk.bring(&first, "everything", &paper).unwrap();
    assert_eq!(brought.faults, []);
    match desk.show(&brought.go.expect("it asks")).unwrap() {
        Screen::Crew { screen } => screen.notices.into_iter().map(|l| l.text).collect(),
        other => panic!("{other:?}"),
    }
}

/// Seen: 'crew_of_one: not set → no', 'signed_with', and minutes without their unit.
#[test]
fn every_choice_has_words_and_its_unit() {
    let dir = tempfile::tempdir().unwrap();
    let Day { book, clock, .. } = Day::dry_parts(&dir.path().join("a")).unwrap();
    let mut shell = Shell::new(Desk::new(book, 0));
    choose(&mut shell, "limits", &[("recheck_limit_min", "90")]);
    choose(
        &mut shell,
        "units",
        &[
            ("unit_pressure", "psi"),
            ("unit_temperature", "F"),
            ("unit_depth", "ft"),
            ("unit_water", "fl oz"),
            ("unit_weight", "oz"),
        ],
    );
    choose(
        &mut shell,
        "errors",
        &[
            ("sd_inside_k", "0.2"),
            ("sd_surface_k", "0.3"),
            ("sd_air_k", "0.5"),
            ("sd_barometer_pa", "0.01"),
        ],
    );
    choose(&mut shell, "signing", &[("with", "code")]);
    // Every key that a form of the crew's writes is one that has words.
    let chosen = shell.desk.book().choices().unwrap();
    let mut keys: Vec<&str> = chosen.keys().map(String::as_str).collect();
    keys.sort_unstable();
    let mut known = CHOICES.to_vec();
    known.sort_unstable();
    assert_eq!(keys, known);
    // In the journal.
    shell.stack = vec![Place::Journal {
        rig: None,
        before: None,
    }];
    let Screen::Journal { screen } = shell.screen().unwrap() else {
        panic!("no journal");
    };
    let rows: Vec<String> = screen.entries.into_iter().map(|e| e.detail).collect();
    // And where the file is joined: the units are still this phone's there, metric.
    let mut other = another(&dir.path().join("b"), &clock);
    let told = on_joining(shell.desk.book(), dir.path(), &mut other);
    for key in CHOICES {
        for text in rows.iter().chain(&told) {
            assert!(!text.contains(key), "{key} raw: {text}");
        }
    }
    for text in rows.iter().chain(&told) {
        assert!(!text.contains("crew_") && !text.contains("unit_"), "{text}");
    }
    for wanted in [
        "A recheck counts for: 2\u{a0}h → 1\u{a0}h 30\u{a0}min",
        "Unit of pressure: mbar → psi",
        "Unit of temperature: °C → °F",
        "Unit of water: mL → fl oz",
        "Error of the thermometer inside: what is common → 0.111\u{a0}°C",
        "Second signature: Another member, by name → Another member, with a code of their own",
    ] {
        assert!(told.iter().any(|t| t == wanted), "{wanted}: {told:?}");
    }
    // What counts as it did is no change: it never was a crew of one.
    assert!(!told.iter().any(|t| t.contains("one person")), "{told:?}");
}

/// Seen: 'would be another' of a gauge that was simply new, and 'more would be known' of a rig whose
/// rating was another.
#[test]
fn what_comes_along_is_said_so_and_a_figure_that_changes_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(&dir.path().join("a")).unwrap();
    let mut desk = another(&dir.path().join("b"), &day.clock);
    let gauge = |name: &str, resolution_pa: f64| Gauge {
        name: name.into(),
        absolute: false,
        unit: "mbar".into(),
        resolution_pa,
        accuracy_pa: None,
        checked: String::new(),
        retired: false,
    };
    let dial = day.book.define_gauge(None, gauge("Dial", 500.0)).unwrap();
    let told = on_joining(&day.book, dir.path(), &mut desk);
    assert!(
        told.iter().any(|t| t == "The gauge 'Dial' comes along"),
        "{told:?}"
    );
    // Joined; what another phone then edits is asked about by itself.
    let device = day.book.journal().device();
    let asked = Place::Crew {
        form: Some(format!("device/{device}")),
    };
    slackwater_checks::drive::answer(&mut desk, &asked, "yes");
    let known = desk.book().if_admitted(&[device]).unwrap();
    assert!(
        known.rigs.is_empty() && known.gauges.is_empty(),
        "{known:?}"
    );
    // The first phone as this one doesn't know it: everything since stands apart.
    desk.book_mut().hold_phone(&day.assistant).unwrap();
    desk.book_mut().dismiss(&[device]).unwrap();
    day.minutes(5);
    day.book
        .define_gauge(Some(&dial), gauge("Dial", 100.0))
        .unwrap();
    let rig = day.rig.clone();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].depth_rating_m = 80.0;
        d.seals[0].limits.hard_days = Some(400);
    });
    let was = desk.book().rig(&day.rig).unwrap().def.clone();
    let rated = was.enclosures[0].depth_rating_m;
    let file = dir.path().join("again.zip");
    backup::write(&day.book, &file).unwrap();
    let paper = Document {
        name: "again.zip".into(),
        media_type: "application/zip".into(),
        bytes: Vec::new(),
        file: Some(file.display().to_string()),
    };
    desk.bring(&Place::Rigs { form: None }, "everything", &paper)
        .unwrap();
    let Screen::Crew { screen } = desk.show(&asked).unwrap() else {
        panic!("no crew");
    };
    let told: Vec<String> = screen.notices.into_iter().map(|l| l.text).collect();
    let rating =
        format!("Reef rig: depth rating of Main housing from {rated:.0}\u{a0}m to 80\u{a0}m");
    assert!(told.contains(&rating), "{rating}: {told:?}");
    assert!(
        told.iter().any(|t| t == "The gauge 'Dial' is changed"),
        "{told:?}"
    );
    assert!(
        told.iter()
            .any(|t| t.contains("days that") && t.ends_with("to 400")),
        "{told:?}"
    );
}

/// Seen: 'Who gave the second look has left it' in a crew that had been one person from its first day,
/// which was asked for 'a second member' all the same.
#[test]
fn a_crew_of_one_is_asked_for_a_second_look_not_for_a_second_member() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.book.retire_member(&day.dp.clone(), true).unwrap();
    day.book.choose(&[("crew_of_one", "yes")]).unwrap();
    let rig = day.rig.clone();
    let told = day.book.readiness(&rig).unwrap();
    assert!(!told.remarks.contains(&Remark::CrewOfOne), "{told:?}");
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Plug)).unwrap();
    let plug = (day.book.prep(&prep).unwrap().steps.iter())
        .find(|s| s.step.kind == StepKind::Plug)
        .map(|s| s.key.clone())
        .unwrap();
    day.book.do_step(&prep, &plug, "").unwrap();
    edit(&mut day.book, &rig, |d| d.seals[0].limits.hard_days = None);
    let desk = Desk::new(day.book, 0);
    let page = rig_page(&desk, &rig, None);
    let mut texts: Vec<String> = page.notices.iter().map(|l| l.text.clone()).collect();
    for row in page.obstacles.iter().chain(&page.procedures) {
        texts.extend([row.title.clone(), row.detail.clone()]);
    }
    for form in [None, Some("steps")] {
        let page = prep_page(&desk, &prep, Some(&plug), form);
        texts.extend(page.state.iter().map(|l| l.text.clone()));
        texts.extend(page.steps.iter().map(|r| r.detail.clone()));
        texts.extend(page.main.iter().map(|b| b.label.clone()));
    }
    let walk = prep_page(&desk, &prep, Some("@walk"), None);
    texts.extend([walk.instruction, walk.text]);
    for text in &texts {
        let lower = text.to_lowercase();
        for two in ["second member", "two people", "two of you", "only one has"] {
            assert!(!lower.contains(two), "{two}: {text}");
        }
    }
    assert!(texts.iter().any(|t| t.contains("second look")), "{texts:?}");
}

/// Seen: 'Closed, not proved' beside 'open' on the page on which a flood is signed for.
#[test]
fn what_is_signed_for_after_a_flood_is_as_it_stands() {
    let (_dir, mut day) = ready();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "flood").unwrap();
    day.work(&prep, None).unwrap();
    let facts = day.book.prep(&prep).unwrap();
    let sign = facts.steps.iter().find(|s| s.step.kind == StepKind::Sign);
    let sign = sign.unwrap().key.clone();
    let member = day.dp.clone();
    let desk = Desk::new(day.book, 0);
    let page = prep_page(&desk, &prep, Some(&sign), Some(&format!("sign/{member}")));
    let rows: Vec<String> = (page.parts.iter())
        .map(|r| format!("{}: {}", r.title, r.detail))
        .collect();
    assert!(rows.contains(&"Main housing: open".to_owned()), "{rows:?}");
    assert!(
        !rows
            .iter()
            .any(|r| r.contains("Closed") || r.contains("Hold of")),
        "{rows:?}"
    );
}

/// Seen: 'The plan is deeper, longer or stricter' where only the volume had been measured anew.
#[test]
fn what_a_hold_is_judged_again_for_is_named() {
    let (_dir, day) = ready();
    let rig = day.rig.clone();
    let volume = day.book.rig(&rig).unwrap().def.enclosures[0].volume_l;
    let mut desk = Desk::new(day.book, 0);
    let named = |desk: &Desk, wanted: &str| {
        let page = rig_page(desk, &rig, None);
        let row = (page.obstacles.iter()).find(|r| r.title == "Prove Main housing");
        let text = row.expect("to be judged again").detail.clone();
        assert!(text.contains(wanted), "{wanted}: {text}");
        // What is the same isn't among it.
        assert_eq!(text.matches(" from ").count(), 1, "{text}");
    };
    edit(desk.book_mut(), &rig, |d| {
        d.enclosures[0].volume_l = volume + 2.0
    });
    let larger = format!("free volume of Main housing from {volume}\u{a0}L to");
    named(&desk, &larger);
    edit(desk.book_mut(), &rig, |d| {
        d.enclosures[0].volume_l = volume;
        d.plan.minutes += 15.0;
    });
    named(&desk, "planned time from ");
    edit(desk.book_mut(), &rig, |d| {
        d.plan.minutes -= 15.0;
        d.plan.water_c += 8.0;
    });
    named(&desk, "planned water temperature from ");
}

/// Seen: 'Ended without a verdict' over a hold that had one, and was judged again for a deeper plan; and its
/// second judgement stood in the journal as a second end.
#[test]
fn a_hold_judged_again_did_not_end_without_a_verdict() {
    let (_dir, mut day) = ready();
    let rig = day.rig.clone();
    let hold = day.book.rig(&rig).unwrap().enclosures[0].holds[0]
        .id
        .clone();
    edit(&mut day.book, &rig, |d| {
        d.enclosures
            .iter_mut()
            .for_each(|e| e.depth_rating_m = 400.0);
        d.plan.depth_m = 300.0;
        d.plan.minutes = 600.0;
    });
    day.minutes(1);
    day.book.judge_again(&hold).unwrap();
    let desk = Desk::new(day.book, 0);
    let Screen::Hold { screen } = desk.show(&Place::Hold { hold, form: None }).unwrap() else {
        panic!("no hold");
    };
    assert_eq!(
        screen.verdict,
        "Judged again: no verdict for the plan as it is now"
    );
    let journal = Place::Journal {
        rig: Some(rig),
        before: None,
    };
    let Screen::Journal { screen } = desk.show(&journal).unwrap() else {
        panic!("no journal");
    };
    let again = (screen.entries.iter()).filter(|e| e.title == "Hold judged again");
    assert_eq!(again.count(), 1, "{:?}", screen.entries);
}

/// Seen: 'recorded as open already' at the port, where only the back had been opened.
#[test]
fn a_step_that_opens_says_which_closure_is_open_already() {
    let (_dir, mut day) = ready();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Open)).unwrap();
    day.work_one(&prep).unwrap();
    let facts = day.book.prep(&prep).unwrap();
    let opens = |wanted: StepState| {
        let mut steps = facts.steps.iter();
        let found = steps.find(|s| {
            let of_main = matches!(&s.target, Of::Closure { enclosure, .. } if enclosure == "main");
            s.step.kind == StepKind::Open && of_main && facts.state(&s.key) == wanted
        });
        found.unwrap().clone()
    };
    let (done, next) = (opens(StepState::Done), opens(StepState::Open));
    let Of::Closure { closure, .. } = &done.target else {
        panic!("{done:?}");
    };
    let def = day.book.rig(&rig).unwrap().def.clone();
    let at = def.enclosures[0].closures.iter().find(|c| c.id == *closure);
    let desk = Desk::new(day.book, 0);
    let text = |desk: &Desk| {
        let page = prep_page(desk, &prep, Some(&next.key), None);
        page.state.map(|l| l.text).unwrap_or_default()
    };
    let said = format!(
        "It lies open at {} already, so there is no hold left to lose",
        at.unwrap().name
    );
    assert_eq!(text(&desk), said);
    // Opened there as well, outside of the prep.
    let mut desk = desk;
    let Of::Closure { closure, .. } = &next.target else {
        panic!("{next:?}");
    };
    let book = desk.book_mut();
    book.open_closure(&rig, "main", Some(closure)).unwrap();
    assert_eq!(text(&desk), "It is recorded as open already");
}

/// Seen: a control that failed at the check of controls read like one that nobody had tried, and led nowhere.
#[test]
fn a_control_that_failed_says_so_and_leads_on() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Controls)).unwrap();
    let facts = day.book.prep(&prep).unwrap();
    let step = (facts.steps.iter()).find(|s| s.step.kind == StepKind::Controls);
    let step = step.unwrap().key.clone();
    let control = (day.book.rig(&rig).unwrap().def.controls.iter())
        .find(|c| c.assigned())
        .map(|c| (c.id.clone(), c.name.clone(), c.enclosure.clone()))
        .unwrap();
    day.book.test_control(&rig, &control.0, false, "").unwrap();
    let desk = Desk::new(day.book, 0);
    let page = prep_page(&desk, &prep, Some(&step), None);
    let row = page.parts.iter().find(|r| r.title == control.1).unwrap();
    assert_eq!(row.mark, Some(Mark::Struck));
    assert!(
        row.footnote
            .as_deref()
            .unwrap_or("")
            .starts_with("Did not work"),
        "{row:?}"
    );
    // Its step can't be done: the rig's page says what can.
    assert_eq!(page.main.unwrap().label, "To the rig");
    let page = rig_page(&desk, &rig, Some("controls"));
    let row = (page.controls.iter()).find(|r| r.title.starts_with(&control.1));
    let other = row.unwrap().other.as_ref().unwrap();
    let housing = desk.book().rig(&rig).unwrap();
    let housing = housing.def.enclosure(&control.2).unwrap().name.clone();
    assert_eq!(other.label, format!("Open {housing}"));
    assert!(other.enabled);
}

/// Seen: 'Hang the trim' done, and 'Not trimmed yet' on the rig's page.
#[test]
fn a_trim_step_that_was_done_by_hand_is_not_denied() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, None).unwrap();
    let desk = Desk::new(day.book, 0);
    let page = rig_page(&desk, &rig, None);
    let of_trim: Vec<&str> = (page.notices.iter())
        .map(|l| l.text.as_str())
        .filter(|t| t.contains("rimmed"))
        .collect();
    assert_eq!(of_trim.len(), 1, "{:?}", page.notices);
    assert!(
        of_trim[0].starts_with("Trimmed without the list: 'Hang the trim"),
        "{of_trim:?}"
    );
}

/// Seen: 'Nothing is due' with a ring due in three days, and with one of which nobody knew the age.
#[test]
fn the_seals_page_names_the_nearest_and_what_nobody_knows() {
    let (_dir, day) = ready();
    let rig = day.rig.clone();
    let clock = day.clock.clone();
    let mut desk = Desk::new(day.book, 0);
    let answer = |desk: &Desk| {
        let Screen::Seals { screen } = desk.show(&Place::Seals { rig: rig.clone() }).unwrap()
        else {
            panic!("no seals");
        };
        screen.answer
    };
    edit(desk.book_mut(), &rig, |d| {
        d.seals
            .iter_mut()
            .for_each(|s| s.limits = SealLimits::default());
    });
    assert_eq!(answer(&desk), "Nothing is due");
    edit(desk.book_mut(), &rig, |d| {
        d.seals[0].limits.hard_days = Some(30)
    });
    let def = desk.book().rig(&rig).unwrap().def.seals[0].clone();
    assert_eq!(answer(&desk), format!("{}: age not known", def.name));
    let old = clock.now_ms() - 27 * 86_400_000;
    let local = LocalTime {
        utc_offset_min: 0,
        say_zone: false,
    };
    let day = local.day(clock.now_ms() + 3 * 86_400_000);
    (desk.book_mut().fit_seal(&rig, &def.id, "", "", Some(old))).unwrap();
    assert_eq!(
        answer(&desk),
        format!("Nearest due: {}, about {day}", def.name)
    );
}

/// Seen: rows of a crew's journal that did not say which of its rigs they were of.
#[test]
fn a_journal_of_several_rigs_names_them() {
    let (_dir, mut day) = ready();
    let journal = Place::Journal {
        rig: None,
        before: None,
    };
    let footnotes = |desk: &Desk| -> Vec<String> {
        let Screen::Journal { screen } = desk.show(&journal).unwrap() else {
            panic!("no journal");
        };
        let rows = screen.entries.into_iter();
        let plugs = rows.filter(|e| e.title == "Plug in");
        plugs.filter_map(|e| e.footnote).collect()
    };
    day.book.add_member("Teo", Role::Other).unwrap();
    let desk = Desk::new(day.book, 0);
    let alone = footnotes(&desk);
    assert!(alone.iter().all(|f| !f.contains("Reef rig")), "{alone:?}");
    let mut desk = desk;
    let book = desk.book_mut();
    book.create_from_template("single-housing", "Pool rig")
        .unwrap();
    let of_two = footnotes(&desk);
    assert!(
        !of_two.is_empty() && of_two.iter().all(|f| f.starts_with("Reef rig. ")),
        "{of_two:?}"
    );
}

/// Seen: the first thing in the way stood under the answer and again as the first row.
#[test]
fn what_is_in_the_way_first_is_said_once() {
    let dir = tempfile::tempdir().unwrap();
    let day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let desk = Desk::new(day.book, 0);
    let page = rig_page(&desk, &rig, None);
    let first = &page.obstacles[0].title;
    assert_ne!(page.reason, *first);
    // On the list of rigs there are no rows: there it is said.
    let Screen::Rigs { screen } = desk.show(&Place::Rigs { form: None }).unwrap() else {
        panic!("no rigs");
    };
    assert_eq!(screen.rigs[0].footnote.as_ref(), Some(first));
}

/// Seen: water found, and 'open and look into Main housing, Monitor housing' beside 'Tight', without a
/// word that this takes the proof away.
#[test]
fn to_look_inside_what_is_proved_says_what_it_takes() {
    let (_dir, mut day) = ready();
    let rig = day.rig.clone();
    day.book
        .open_defect(&rig, "", true, true, "drops in the case")
        .unwrap();
    let desk = Desk::new(day.book, 0);
    let page = rig_page(&desk, &rig, None);
    let row = (page.obstacles.iter()).find(|r| r.title.starts_with("Defect"));
    let text = &row.unwrap().detail;
    assert!(
        text.contains("Opening Main housing, Monitor housing takes away its hold"),
        "{text}"
    );
}

/// No label of a button says as a fact what isn't so before it is tapped.
#[test]
fn what_acts_is_called_by_what_it_does() {
    let (_dir, mut day) = ready();
    let rig = day.rig.clone();
    day.book.plug_off(&rig, "main").unwrap();
    let mut shell = Shell::new(Desk::new(day.book, 0));
    shell.stack.push(rig_at(&rig, None));
    let all: Vec<Target> = targets(&shell.screen().unwrap());
    for t in &all {
        for fact in [" is on", " is out", " is closed", " is open", "Looked "] {
            assert!(!t.label.contains(fact), "{}", t.label);
        }
    }
    assert!(
        all.iter()
            .any(|t| t.label == "Record the plug in: Main housing"),
        "{:?}",
        all.iter().map(|t| &t.label).collect::<Vec<_>>()
    );
}
