//! What thumbs, clocks and foreign callers get wrong. Whatever it is: no panic, nothing recorded
//! where something is wrong, each fault at its field, and every screen still shows afterwards.

use std::collections::{BTreeSet, HashSet};
use std::sync::{Arc, OnceLock};

use slackwater_checks::drive::{Day, MORNING_MS, env, png, reading};
use slackwater_checks::shell::{filled, forms, preset, reads_badly, submit, targets};
use slackwater_checks::walk::{Copies, Walk, copy_folder, kind, walk};
use slackwater_core::domain::book::{Book, BookFault, NewReading, Refusal};
use slackwater_core::domain::facts::{Finding, Gauge, HoldSetup, Role};
use slackwater_core::domain::fold::fact_of;
use slackwater_core::domain::procedure::StepKind;
use slackwater_core::domain::rig::{ClosureKind, Plan, RigDef};
use slackwater_core::domain::subject::At;
use slackwater_core::journal::{Clock, FixedClock};
use slackwater_core::physics::hold::{HoldFault, Quantity};
use slackwater_core::screens::common::{Field, FieldKind, FieldValue, Form, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::{Action, Screen};

/// A day in the middle: a prep under way, a hold with readings, another enclosure proved by
/// nothing, a defect, a photo. Made once, copied for each test.
struct Middle {
    dir: tempfile::TempDir,
    now_ms: i64,
    rig: String,
    hold: String,
    prep: String,
}

fn middle() -> &'static Middle {
    static MADE: OnceLock<Middle> = OnceLock::new();
    MADE.get_or_init(|| {
        let dir = tempfile::tempdir().unwrap();
        let mut day = Day::dry_parts(dir.path()).unwrap();
        let prep = day.book.start_prep(&day.rig, "general-build").unwrap();
        day.work(&prep, Some(StepKind::Hold)).unwrap();
        let facts = day.book.rig(&day.rig).unwrap();
        let setup = Book::hold_setup(&facts.def.enclosures[0], &facts.def.plan);
        let hold = day
            .book
            .start_hold(&day.rig, setup, reading(200.0))
            .unwrap();
        for at in [200.0, 199.0, 199.0] {
            day.minutes(1);
            day.book.add_reading(&hold, reading(at)).unwrap();
        }
        day.book
            .open_defect(&day.rig, "enclosure/main", true, false, "A stiff knob")
            .unwrap();
        let rig = day.rig.clone();
        day.book
            .add_photo(&format!("{rig}/hold/{hold}"), "the gauge", &png())
            .unwrap();
        let now_ms = day.clock.now_ms();
        drop(day);
        Middle {
            dir,
            now_ms,
            rig,
            hold,
            prep,
        }
    })
}

fn copy_of_middle() -> (tempfile::TempDir, Book, Arc<FixedClock>) {
    let middle = middle();
    let dir = tempfile::tempdir().unwrap();
    copy_folder(middle.dir.path(), dir.path());
    let clock = Arc::new(FixedClock::at(middle.now_ms));
    let book = Book::open(dir.path(), env(&clock, 5)).unwrap();
    (dir, book, clock)
}

fn events(book: &Book) -> u64 {
    book.journal().count(None).unwrap()
}

/// Everywhere a tap leads on that day; gone once.
fn walked() -> &'static Walk {
    static GONE: OnceLock<Walk> = OnceLock::new();
    GONE.get_or_init(|| {
        let middle = middle();
        let gone = walk(middle.dir.path(), middle.now_ms, 130);
        assert_eq!(gone.problems, Vec::<String>::new());
        gone
    })
}

// ---- forms ----

/// Not one of these is a number.
const NO_NUMBERS: [&str; 17] = [
    "abc",
    "1,2,3",
    "1.2,3",
    "1.234.567",
    "NaN",
    "nan",
    "inf",
    "-inf",
    "infinity",
    "1e999",
    "-1e999",
    "0x10",
    "--5",
    "5..",
    "٣٫٥",
    "½",
    "12 mbar or so",
];

/// Numbers that no gauge, scale or watch shows.
const ABSURD: [&str; 4] = ["-1000000000", "1e300", "-1e300", "999999999999"];

fn wild_texts() -> Vec<String> {
    vec![
        "a".repeat(10_000),
        "ש".repeat(10_000),
        "🤿".repeat(10_000),
        "אטם ראשי נבדק, תקין (O-ring 2)".into(),
        "\u{202e}gnitar \u{202d}60 m\u{2069}".into(),
        "👩🏽‍🚀🔧 e\u{301}\u{301}\u{301}\u{301} ﷽".into(),
        "{ $name } { -term } \\u{1F600} %s <b>&amp;'\"".into(),
        "'); DROP TABLE event; --".into(),
        "a\nb\r\nc\td".into(),
        "nul \u{0} and \u{7f} and \u{feff}".into(),
    ]
}

struct Try<'a> {
    copies: &'a mut Copies,
    wrong: Vec<String>,
    accepted: BTreeSet<String>,
}

impl Try<'_> {
    /// Sends a form with one field typed over. Gives whether it was taken.
    fn send(&mut self, place: &Place, form: &Form, field: &Field, typed: &str) -> Option<bool> {
        let short: String = typed.chars().take(24).collect();
        let name = format!("{} {} {} {short:?}", kind(place), form.key, field.key);
        let action = submit(place, &form.key, filled(form, &[(&field.key, typed)]))?;
        let result = self.copies.desk().act(place, action);
        let recorded = self.copies.recorded();
        let taken = match result {
            Ok(outcome) if !outcome.faults.is_empty() => {
                if recorded {
                    self.wrong
                        .push(format!("{name}: recorded in spite of {:?}", outcome.faults));
                }
                for fault in &outcome.faults {
                    if !form.fields.iter().any(|f| f.key == fault.field) {
                        self.wrong
                            .push(format!("{name}: the fault names no field: {fault:?}"));
                    }
                    if fault.text.trim().is_empty() || fault.text.contains("NaN") {
                        self.wrong.push(format!("{name}: says {fault:?}"));
                    }
                }
                if !outcome.faults.iter().any(|f| f.field == field.key) {
                    // What stood in the form already may be wrong too (left empty); then this one
                    // was taken as right.
                    false
                } else {
                    return Some(false);
                }
            }
            Ok(_) => true,
            Err(BookFault::NotFound { .. }) => {
                if recorded {
                    self.wrong.push(format!("{name}: recorded and not found"));
                }
                return Some(false);
            }
            Err(other) => {
                self.wrong.push(format!("{name}: {other:?}"));
                return None;
            }
        };
        let mut places = vec![Place::Rigs { form: None }, Place::Crew { form: None }];
        places.push(Place::Journal {
            rig: None,
            before: None,
        });
        let rig = &middle().rig;
        places.push(Place::Rig {
            rig: rig.clone(),
            form: None,
        });
        places.push(Place::Recheck { rig: rig.clone() });
        places.push(Place::Seals { rig: rig.clone() });
        places.push(Place::Trim {
            rig: rig.clone(),
            form: None,
        });
        places.push(place.clone());
        for p in places {
            match self.copies.desk().show(&p) {
                Ok(screen) => {
                    // What a person typed may look like anything; numbers may not.
                    if field.kind == FieldKind::Number {
                        for bad in reads_badly(&screen) {
                            self.wrong.push(format!("{name}: then {p:?}: {bad}"));
                        }
                    }
                }
                // A part whose form was sent may have gone or be renamed.
                Err(BookFault::NotFound { .. }) if &p == place => {}
                Err(e) => self.wrong.push(format!("{name}: then {p:?}: {e}")),
            }
        }
        if recorded {
            self.copies.again();
        }
        Some(taken)
    }
}

fn try_all(check: impl Fn(&mut Try<'_>, &Place, &Form, &Field)) -> (Vec<String>, BTreeSet<String>) {
    let middle = middle();
    let all = &walked().forms;
    assert!(all.len() >= 15, "{} forms", all.len());
    let mut copies = Copies::of(middle.dir.path(), middle.now_ms);
    let mut attempt = Try {
        copies: &mut copies,
        wrong: Vec::new(),
        accepted: BTreeSet::new(),
    };
    for (place, form) in all {
        for field in &form.fields {
            check(&mut attempt, place, form, field);
        }
    }
    (attempt.wrong, attempt.accepted)
}

#[test]
fn no_field_takes_for_a_number_what_is_none() {
    let (mut wrong, taken) = try_all(|t, place, form, field| {
        if field.kind != FieldKind::Number {
            return;
        }
        for typed in NO_NUMBERS {
            if t.send(place, form, field, typed) != Some(false) {
                t.accepted.insert(format!(
                    "{} {} {} {typed:?}",
                    kind(place),
                    form.key,
                    field.key
                ));
            }
        }
    });
    wrong.extend(taken.into_iter().map(|t| format!("taken: {t}")));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn absurd_numbers_are_refused_at_their_field() {
    let (mut wrong, taken) = try_all(|t, place, form, field| {
        if field.kind != FieldKind::Number {
            return;
        }
        // A torque is kept for screws only; this closure may have none.
        if field.key == "torque_nm" {
            return;
        }
        for typed in ABSURD {
            if t.send(place, form, field, typed) == Some(true) {
                t.accepted.insert(format!(
                    "{} {} {} {typed:?}",
                    kind(place),
                    form.key,
                    field.key
                ));
            }
        }
    });
    wrong.extend(taken.into_iter().map(|t| format!("taken: {t}")));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn any_text_is_kept_whole_or_refused_at_its_field() {
    let (wrong, taken) = try_all(|t, place, form, field| {
        if !matches!(field.kind, FieldKind::Text | FieldKind::LongText) {
            return;
        }
        for typed in wild_texts() {
            if t.send(place, form, field, &typed) == Some(true) {
                t.accepted
                    .insert(format!("{} {} {}", kind(place), form.key, field.key));
            }
        }
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // Otherwise nothing was tried.
    assert!(taken.len() >= 6, "{taken:?}");
}

#[test]
fn a_choice_that_was_not_offered_is_refused() {
    let (mut wrong, taken) = try_all(|t, place, form, field| {
        if field.kind != FieldKind::Choice {
            return;
        }
        for typed in ["nonsense", "../..", "🤿"] {
            if t.send(place, form, field, typed) == Some(true) {
                t.accepted.insert(format!(
                    "{} {} {} {typed:?}",
                    kind(place),
                    form.key,
                    field.key
                ));
            }
        }
    });
    wrong.extend(taken.into_iter().map(|t| format!("taken: {t}")));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_form_with_nothing_in_it_or_of_no_screen_records_nothing() {
    let middle = middle();
    let mut copies = Copies::of(middle.dir.path(), middle.now_ms);
    let mut wrong = Vec::new();
    for (place, form) in walked().forms.clone() {
        let must = form.fields.iter().any(|f| f.required);
        for (key, values) in [
            (form.key.as_str(), Vec::new()),
            ("nonsense", preset(&form)),
            ("", preset(&form)),
            ("nonsense/🤿", preset(&form)),
        ] {
            let Some(action) = submit(&place, key, values) else {
                continue;
            };
            let result = copies.desk().act(&place, action);
            if copies.recorded() {
                let own = key == form.key;
                if !own || must {
                    wrong.push(format!(
                        "{place:?} form {} sent as {key:?}: {result:?}",
                        form.key
                    ));
                }
                copies.again();
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_was_typed_is_what_is_recorded() {
    let (_dir, book, _) = copy_of_middle();
    let mut desk = Desk::new(book, 0);
    let place = Place::Rig {
        rig: middle().rig.clone(),
        form: Some("defect".into()),
    };
    let mut refused = 0;
    for text in wild_texts() {
        let Screen::Rig { screen } = desk.show(&place).unwrap() else {
            panic!("another screen");
        };
        let values = filled(&screen.form.unwrap(), &[("text", &text)]);
        let outcome = desk
            .act(&place, submit(&place, "defect", values).unwrap())
            .unwrap();
        if !outcome.faults.is_empty() {
            assert_eq!(outcome.faults[0].field, "text");
            refused += 1;
            continue;
        }
        let newest = desk.book().journal().page(None, None, 1).unwrap();
        let recorded = format!("{:?}", fact_of(&newest[0].event));
        assert!(
            recorded.contains(&format!("{:?}", text.trim())),
            "{:.80}",
            recorded
        );
        let Screen::Rig { screen } = desk.show(&place).unwrap() else {
            panic!("another screen");
        };
        assert!(
            screen.defects.iter().any(|d| d.title == text.trim()),
            "{:.300?}",
            screen.defects
        );
    }
    assert!(refused < 3);
    desk.book().journal().verify_all(|_| ()).unwrap();
}

/// Seen: a plan of 18 m that was sent again as it stood in feet was one of 18.01 m, deeper than the rig was proved for.
#[test]
fn what_was_not_touched_is_recorded_as_it_stood() {
    let (_dir, mut book, _) = copy_of_middle();
    let rig = middle().rig.clone();
    let plan = Plan {
        depth_m: 18.0,
        minutes: 61.25,
        salinity_g_kg: 35.125,
        water_c: 17.777,
    };
    let def = RigDef {
        plan,
        ..book.rig(&rig).unwrap().def.clone()
    };
    book.edit_rig(&rig, def).unwrap();
    book.aim_trim(&rig, 123.456).unwrap();
    let gauge = Gauge {
        name: "Deck".into(),
        absolute: false,
        unit: "mbar".into(),
        resolution_pa: 12.5,
        accuracy_pa: Some(123.4),
        checked: String::new(),
        retired: false,
    };
    let id = book.define_gauge(None, gauge.clone()).unwrap();
    book.choose(&[
        ("sd_air_k", "0.123456"),
        ("sd_barometer_pa", "123.456"),
        ("unit_temperature", "F"),
        ("unit_depth", "ft"),
        ("unit_weight", "oz"),
        ("unit_pressure", "inHg"),
    ])
    .unwrap();
    let mut desk = Desk::new(book, 0);
    let of_rig = |form: &str| Place::Rig {
        rig: rig.clone(),
        form: Some(form.into()),
    };
    let of_trim = |form: &str| Place::Trim {
        rig: rig.clone(),
        form: Some(form.into()),
    };
    let of_crew = |form: String| Place::Crew { form: Some(form) };
    let mut send = |place: Place, typed: &[(&str, &str)]| {
        let screen = desk.show(&place).unwrap();
        let form = screen.forms()[0].clone();
        let action = submit(&place, &form.key, filled(&form, typed)).unwrap();
        let outcome = desk.act(&place, action).unwrap();
        assert!(outcome.faults.is_empty(), "{place:?}: {outcome:?}");
        desk.book().rig(&rig).unwrap().def.clone()
    };
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
    assert_eq!(send(of_rig("plan"), &[]).plan, plan);
    // What was touched is what was typed, beside what was not.
    let touched = send(of_rig("plan"), &[("minutes", "61")]).plan;
    assert_eq!(
        touched,
        Plan {
            minutes: 61.0,
            ..plan
        }
    );
    near(send(of_trim("aim"), &[]).trim.heavy_g, 123.456);
    send(
        of_trim("water"),
        &[
            ("water", "sea"),
            ("salinity", "34.56789"),
            ("depth", "33.3333"),
        ],
    );
    send(of_trim("water"), &[]);
    send(of_crew("errors".into()), &[]);
    send(of_crew(format!("gauge/{id}")), &[("name", "Deck two")]);
    let choices = desk.book().choices().unwrap().clone();
    assert_eq!(choices["sd_air_k"], "0.123456");
    assert_eq!(choices["sd_barometer_pa"], "123.456");
    let facts = desk.book().rig(&rig).unwrap();
    let (_, water) = facts.trim.water.as_ref().unwrap();
    near(water.salinity, 34.567_89);
    near(water.depth_m, 33.333_3 * 0.3048);
    let all = desk.book().gauges().unwrap();
    let now = &all.iter().find(|(g, _)| *g == id).unwrap().1;
    assert_eq!(now.name, "Deck two");
    near(now.resolution_pa, gauge.resolution_pa);
    near(now.accuracy_pa.unwrap(), 123.4);
}

#[test]
fn screws_typed_for_a_latch_are_not_lost_without_a_word() {
    let (_dir, book, _) = copy_of_middle();
    let mut desk = Desk::new(book, 0);
    let rig = &middle().rig;
    let facts = desk.book().rig(rig).unwrap();
    let closures = |kind| {
        facts
            .def
            .enclosures
            .iter()
            .flat_map(move |e| e.closures.iter().map(move |c| (&e.id, c)))
            .find(|(_, c)| c.kind == kind)
            .map(|(e, c)| format!("closure/{e}/{}", c.id))
            .unwrap()
    };
    let mut send = |part: String, typed: &[(&str, &str)]| {
        let place = Place::RigEdit {
            rig: rig.clone(),
            part: Some(part),
        };
        let screen = desk.show(&place).unwrap();
        let form = screen.forms()[0].clone();
        let values = filled(&form, typed);
        let action = submit(&place, &form.key, values).unwrap();
        let faults = desk.act(&place, action).unwrap().faults;
        faults.into_iter().map(|f| f.field).collect::<Vec<_>>()
    };
    let latch = closures(ClosureKind::Latch);
    assert_eq!(send(latch.clone(), &[("count", "8")]), ["count"]);
    assert_eq!(send(latch, &[("torque_nm", "1.5")]), ["torque_nm"]);
    // What had screws may become a latch with its old pattern still in the form.
    let screws = closures(ClosureKind::Screws);
    assert!(send(screws, &[("kind", "latch")]).is_empty());
}

#[test]
fn a_note_on_a_photo_is_never_cut_silently() {
    let (_dir, mut book, _) = copy_of_middle();
    let note = "long ".repeat(10_000);
    let before = events(&book);
    match book.add_photo(&middle().rig, &note, &png()) {
        Ok(_) => {
            let kept = book.photo_notes(&middle().rig, At::Rig, 1).unwrap();
            assert_eq!(kept[0].note.len(), note.len());
        }
        Err(_) => assert_eq!(events(&book), before),
    }
}

// ---- readings ----

fn bad_numbers() -> [f64; 7] {
    [
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        -1.0e12,
        1.0e12,
        f64::MAX,
        f64::MIN,
    ]
}

#[test]
fn readings_that_can_not_be_are_refused_and_named() {
    let (_dir, mut book, _) = copy_of_middle();
    let hold = &middle().hold;
    let before = events(&book);
    let good = reading(199.0);
    for bad in bad_numbers() {
        for (what, new) in [
            (
                Quantity::Gauge,
                NewReading {
                    gauge_pa: bad,
                    ..good
                },
            ),
            (
                Quantity::Temperature,
                NewReading {
                    temperature_k: Some(bad),
                    ..good
                },
            ),
            (
                Quantity::Ambient,
                NewReading {
                    ambient_pa: Some(bad),
                    ..good
                },
            ),
        ] {
            let fault = book.add_reading(hold, new).unwrap_err();
            assert!(
                matches!(&fault, BookFault::Hold(HoldFault::AbsurdReading { quantity, .. })
                    if *quantity == what),
                "{what} {bad}: {fault:?}"
            );
            let fault = book.add_reading_at(hold, bad, good).unwrap_err();
            assert!(matches!(fault, BookFault::Hold(_)), "t {bad}: {fault:?}");
        }
    }
    // A vacuum deeper than there is air, and one that is no vacuum.
    for mbar in [1_500.0, -1_500.0] {
        let fault = book.add_reading(hold, reading(mbar)).unwrap_err();
        assert!(matches!(fault, BookFault::Hold(_)), "{mbar}: {fault:?}");
    }
    // Before the reading before it.
    for t_s in [-1.0, 0.0, 10.0, 179.9] {
        let fault = book.add_reading_at(hold, t_s, good).unwrap_err();
        assert!(
            matches!(fault, BookFault::Hold(HoldFault::OutOfOrder { .. })),
            "{t_s}: {fault:?}"
        );
    }
    assert_eq!(events(&book), before);
    book.add_reading_at(hold, 180.0, good).unwrap();
    assert!(book.hold(hold).unwrap().judgement.is_some());
}

#[test]
fn a_setup_that_can_not_be_is_refused_and_named() {
    let (_dir, mut book, _) = copy_of_middle();
    let rig = middle().rig.clone();
    let facts = book.rig(&rig).unwrap();
    let good = Book::hold_setup(facts.def.enclosure("monitor").unwrap(), &facts.def.plan);
    let before = events(&book);
    type Put = fn(&mut HoldSetup, f64);
    let set: [(Quantity, Put); 8] = [
        (Quantity::Resolution, |s, v| s.gauge_resolution_pa = v),
        (Quantity::FreeVolume, |s, v| s.volume_m3 = v),
        (Quantity::VolumeError, |s, v| s.volume_sd_m3 = v),
        (Quantity::Limit, |s, v| s.limit_ml = v),
        (Quantity::Depth, |s, v| s.depth_m = v),
        (Quantity::Minutes, |s, v| s.minutes = v),
        (Quantity::Salinity, |s, v| s.salinity_g_kg = v),
        (Quantity::WaterTemperature, |s, v| s.water_k = v),
    ];
    for (what, put) in set {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0e12] {
            let mut setup = good.clone();
            put(&mut setup, bad);
            let fault = book.start_hold(&rig, setup, reading(200.0)).unwrap_err();
            assert!(
                matches!(&fault, BookFault::Hold(HoldFault::Absurd { quantity, .. })
                    if *quantity == what),
                "{what} {bad}: {fault:?}"
            );
        }
    }
    for bad in bad_numbers() {
        let new = NewReading {
            gauge_pa: bad,
            ..reading(200.0)
        };
        assert!(book.start_hold(&rig, good.clone(), new).is_err(), "{bad}");
    }
    assert_eq!(events(&book), before);
}

#[test]
fn a_recheck_or_dive_that_can_not_be_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let before = events(&day.book);
    for bad in bad_numbers() {
        let good = reading(200.0);
        for new in [
            NewReading {
                gauge_pa: bad,
                ..good
            },
            NewReading {
                temperature_k: Some(bad),
                ..good
            },
            NewReading {
                ambient_pa: Some(bad),
                ..good
            },
        ] {
            let fault = day.book.record_recheck(&rig, "main", new).unwrap_err();
            assert!(matches!(fault, BookFault::Hold(_)), "{bad}: {fault:?}");
        }
        for (depth, minutes) in [(bad, 40.0), (12.0, bad)] {
            let fault = day.book.log_dive(&rig, depth, minutes, "").unwrap_err();
            assert!(matches!(fault, BookFault::Rig(_)), "{bad}: {fault:?}");
        }
        let def = day.book.rig(&rig).unwrap().def.clone();
        for plan in [
            Plan {
                depth_m: bad,
                ..def.plan
            },
            Plan {
                minutes: bad,
                ..def.plan
            },
            Plan {
                salinity_g_kg: bad,
                ..def.plan
            },
            Plan {
                water_c: bad,
                ..def.plan
            },
        ] {
            let changed = RigDef {
                plan,
                ..def.clone()
            };
            let fault = day.book.edit_rig(&rig, changed).unwrap_err();
            assert!(matches!(fault, BookFault::Rig(_)), "{bad}: {fault:?}");
        }
    }
    assert_eq!(events(&day.book), before);
    assert!(day.book.readiness(&rig).unwrap().is_ready());
}

#[test]
fn any_readings_that_are_taken_leave_a_store_that_can_be_read() {
    // Readings a person could type, at the edges of what is allowed, in wild order: whatever the
    // verdict, what is recorded is read back as it was.
    let mut seed = 12_345_u64;
    let mut dice = |n: u64| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        seed % n
    };
    let (_dir, mut book, clock) = copy_of_middle();
    book.journal()
        .read()
        .execute_batch("PRAGMA synchronous = OFF")
        .unwrap();
    let rig = middle().rig.clone();
    book.abandon_hold(&middle().hold, "for the test").unwrap();
    let facts = book.rig(&rig).unwrap();
    let base = Book::hold_setup(facts.def.enclosure("main").unwrap(), &facts.def.plan);
    let mut concluded = 0;
    for _ in 0..120 {
        let pick =
            |dice: &mut dyn FnMut(u64) -> u64, from: &[f64]| from[dice(from.len() as u64) as usize];
        let setup = HoldSetup {
            gauge_resolution_pa: pick(&mut dice, &[0.001, 10.0, 100.0, 3_386.0, 20_000.0]),
            temperature_source: ["inside", "surface", "air", "none"][dice(4) as usize].into(),
            volume_m3: pick(&mut dice, &[1e-5, 0.012, 1.0]),
            volume_sd_m3: 0.0,
            limit_ml: pick(&mut dice, &[0.01, 10.0, 10_000.0]),
            depth_m: pick(&mut dice, &[0.1, 30.0, 11_000.0]),
            minutes: pick(&mut dice, &[1.0, 60.0, 2_880.0]),
            salinity_g_kg: pick(&mut dice, &[0.0, 35.0, 120.0]),
            water_k: pick(&mut dice, &[271.15, 290.0, 318.15]),
            absolute: dice(2) == 0,
            ..base.clone()
        };
        let make = |dice: &mut dyn FnMut(u64) -> u64| NewReading {
            gauge_pa: dice(100_001) as f64,
            // A little beyond what is taken, so that most holds come to be.
            temperature_k: (dice(3) > 0).then(|| 231.0 + dice(113) as f64),
            ambient_pa: (dice(3) > 0).then(|| 49_000.0 + dice(61_000) as f64),
            barometer: (dice(3) == 0).then_some(7),
            confirmed: dice(2) == 0,
        };
        let Ok(hold) = book.start_hold(&rig, setup, make(&mut dice)) else {
            continue;
        };
        let mut t_s = 0.0;
        for _ in 0..dice(9) {
            t_s += pick(&mut dice, &[0.0, 1e-3, 60.0, 43_200.0, 3e7]);
            let _ = book.add_reading_at(&hold, t_s, make(&mut dice));
        }
        clock.advance(1_000);
        match book.conclude_hold(&hold) {
            Ok(_) => {
                concluded += 1;
                let judged = book.hold(&hold).unwrap();
                assert!(
                    judged.hold.concluded.is_some(),
                    "recorded, but not understood when read back: {:?} {:?} {:?}",
                    judged.hold.setup,
                    judged.readings,
                    judged.judgement
                );
            }
            Err(BookFault::Refused(Refusal::TooFewReadings)) => {
                book.abandon_hold(&hold, "too few").unwrap();
            }
            Err(other) => panic!("{other:?}: {:?}", book.hold(&hold)),
        }
        book.rig(&rig).unwrap();
        let _ = book.readiness(&rig).unwrap();
    }
    assert!(concluded > 10, "{concluded}");
    let desk = Desk::new(book, 0);
    let mut before = None;
    for _ in 0..4 {
        let place = Place::Journal {
            rig: Some(rig.clone()),
            before,
        };
        let Screen::Journal { screen } = desk.show(&place).unwrap() else {
            panic!("another screen");
        };
        before = screen.older;
    }
}

// ---- the clock ----

#[test]
fn a_clock_set_back_a_day_is_told_and_never_makes_anything_younger() {
    let (_dir, mut book, clock) = copy_of_middle();
    let before = events(&book);
    clock.advance(-86_400_000);
    let hold = middle().hold.clone();
    // The phone has been on all the time, so its boot clock knows when this is read.
    clock.advance(60_000);
    book.add_reading(&hold, reading(199.0)).unwrap();
    let last = book.hold(&hold).unwrap().readings.last().unwrap().reading;
    assert_eq!((last.t_s, last.clock_set_s), (240.0, Some(-86_400.0)));
    // Another phone, whose clock is a day behind, has nothing to count from.
    let other = tempfile::tempdir().unwrap();
    let off = FixedClock::at(middle().now_ms);
    off.restart(-86_400_000, 0);
    let mut theirs = Book::open(other.path(), env(&Arc::new(off), 6)).unwrap();
    theirs.admit(&[book.journal().device()]).unwrap();
    let page = book.journal().page(None, None, u32::MAX).unwrap();
    for entry in page.iter().rev().take(before as usize) {
        theirs.ingest(&entry.event).unwrap();
    }
    let mut book = theirs;
    // With its word on the first phone.
    let before = before + 1;
    assert_eq!(events(&book), before);
    let fault = book.add_reading(&hold, reading(199.0)).unwrap_err();
    assert!(
        matches!(fault, BookFault::Hold(HoldFault::OutOfOrder { .. })),
        "{fault:?}"
    );
    // On the screen it stands at the gauge and asks for the clock.
    let mut desk = Desk::new(book, 0);
    let place = Place::Hold {
        hold: hold.clone(),
        form: None,
    };
    let form = forms(&desk.show(&place).unwrap()).remove(0);
    let values = filled(&form, &[("gauge", "199")]);
    let outcome = desk
        .act(&place, submit(&place, &form.key, values).unwrap())
        .unwrap();
    assert_eq!(outcome.faults.len(), 1);
    assert_eq!(outcome.faults[0].field, "gauge");
    assert!(
        outcome.faults[0].text.contains("clock"),
        "{:?}",
        outcome.faults
    );
    assert_eq!(events(desk.book()), before);
    // Other things go on, and stand after what was there before.
    let rig = middle().rig.clone();
    let newest = desk.book().journal().page(None, None, 1).unwrap()[0]
        .event
        .hlc;
    desk.book_mut()
        .open_defect(&rig, "", false, false, "After the clock was set back")
        .unwrap();
    let last = desk.book().journal().page(None, None, 1).unwrap()[0]
        .event
        .clone();
    assert!(last.hlc > newest);
    for place in [
        Place::Rigs { form: None },
        place,
        Place::Recheck { rig: rig.clone() },
        Place::Journal {
            rig: Some(rig),
            before: None,
        },
    ] {
        let screen = desk.show(&place).unwrap();
        assert_eq!(reads_badly(&screen), Vec::<String>::new());
        // No age below nothing.
        assert!(!format!("{screen:?}").contains("-1 "), "{screen:?}");
    }
}

#[test]
fn opened_with_its_clock_behind_the_first_screen_says_so() {
    let middle = middle();
    let dir = tempfile::tempdir().unwrap();
    copy_folder(middle.dir.path(), dir.path());
    let clock = Arc::new(FixedClock::at(middle.now_ms - 86_400_000));
    let book = Book::open(dir.path(), env(&clock, 5)).unwrap();
    assert!(book.opening.clock_behind_ms >= 86_400_000);
    let desk = Desk::new(book, 0);
    let Screen::Rigs { screen } = desk.show(&Place::Rigs { form: None }).unwrap() else {
        panic!("another screen");
    };
    assert!(
        screen.notices.iter().any(|n| n.text.contains("clock")),
        "{:?}",
        screen.notices
    );
}

#[test]
fn a_recheck_with_the_clock_set_back_never_makes_a_rig_ready() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    assert!(day.book.readiness(&rig).unwrap().is_ready());
    day.minutes(-24 * 60);
    let r = day.book.readiness(&rig).unwrap();
    assert!(!r.is_ready(), "an age that is not known counts for nothing");
    // A recheck now is possible, on the record after everything else, and shown as what it is.
    day.recheck().unwrap();
    let mut desk = Desk::new(day.book, 0);
    for place in [
        Place::Rig {
            rig: rig.clone(),
            form: None,
        },
        Place::Recheck { rig: rig.clone() },
    ] {
        let screen = desk.show(&place).unwrap();
        assert_eq!(reads_badly(&screen), Vec::<String>::new());
    }
    // Once the clock is right again the old recheck is as old as it is.
    day.clock.advance(86_400_000 + 3 * 3_600_000);
    assert!(!desk.book_mut().readiness(&rig).unwrap().is_ready());
}

// ---- procedures ----

const PROCEDURE: &str = r#"format = 1
id = "ours"
title = "Ours"
kind = "build"

[[step]]
id = "a"
section = "Bench"
title = "First"
kind = "do"

[[step]]
id = "b"
section = "Bench"
title = "Second"
kind = "do"
after = ["a"]
"#;

#[test]
fn a_wrong_procedure_file_gets_line_and_reason_and_is_not_taken() {
    let (_dir, mut book, _) = copy_of_middle();
    let before = events(&book);
    let with = |from: &str, to: &str| {
        let changed = PROCEDURE.replacen(from, to, 1);
        assert_ne!(changed, PROCEDURE, "{from}");
        changed.into_bytes()
    };
    let cases: Vec<(&str, Vec<u8>, u32, &str)> = vec![
        (
            "a circle",
            with("kind = \"do\"\n", "kind = \"do\"\nafter = [\"b\"]\n"),
            11,
            "circle",
        ),
        ("itself", with("after = [\"a\"]", "after = [\"b\"]"), 17, ""),
        (
            "unknown step",
            with("after = [\"a\"]", "after = [\"zz\"]"),
            17,
            "zz",
        ),
        (
            "a number as title",
            with("title = \"First\"", "title = 5"),
            9,
            "text",
        ),
        (
            "a text as list",
            with("after = [\"a\"]", "after = \"a\""),
            17,
            "list",
        ),
        (
            "unknown kind",
            with("kind = \"do\"", "kind = \"dance\""),
            10,
            "dance",
        ),
        (
            "not TOML",
            with("title = \"First\"", "title = First"),
            9,
            "",
        ),
        ("twice", with("id = \"b\"", "id = \"a\""), 13, "a"),
        ("empty", Vec::new(), 1, ""),
        ("noise", vec![0xff, 0xfe, 0x00, 0x80], 1, ""),
        ("huge", vec![b'#'; 20_000_000], 1, ""),
        (
            "text in another encoding",
            with("Second", "S\u{e9}cond")
                .iter()
                .flat_map(|b| if *b == 0xc3 { vec![0xe9] } else { vec![*b] })
                .filter(|b| *b != 0xa9)
                .collect(),
            15,
            "",
        ),
    ];
    for (what, file, line, says) in cases {
        let fault = book.add_procedure(&file).expect_err(what);
        let BookFault::Procedure(faults) = &fault else {
            panic!("{what}: {fault:?}");
        };
        assert!(!faults.is_empty(), "{what}");
        assert_eq!(faults[0].line, line, "{what}: {faults:?}");
        assert!(
            faults
                .iter()
                .any(|f| f.why.to_string().contains(says) && !f.why.to_string().is_empty()),
            "{what}: {faults:?}"
        );
        assert!(fault.to_string().contains("line "), "{what}: {fault}");
        assert_eq!(events(&book), before, "{what}");
    }
    // A right one is taken, and works on a rig that has nothing.
    book.add_procedure(PROCEDURE.as_bytes()).unwrap();
    let bare = RigDef {
        name: "Bare".into(),
        ..RigDef::default()
    };
    let bare = book.create_rig(bare, "").unwrap();
    let prep = book.start_prep(&bare, "ours").unwrap();
    book.do_step(&prep, "a", "").unwrap();
    book.do_step(&prep, "b", "").unwrap();
    book.end_prep(&prep, "").unwrap();
}

// ---- rigs and names ----

#[test]
fn a_rig_without_enclosures_or_seals_is_told_and_never_ready() {
    let dir = tempfile::tempdir().unwrap();
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let mut book = Book::open(dir.path(), env(&clock, 5)).unwrap();
    let noor = book.add_member("Noor", Role::Assistant).unwrap();
    book.hold_phone(&noor).unwrap();
    let bare = RigDef {
        name: "Bare".into(),
        ..RigDef::default()
    };
    let bare = book.create_rig(bare, "").unwrap();
    let no_seals = book
        .create_from_template("housing-and-monitor", "No seals")
        .unwrap();
    let mut def = book.rig(&no_seals).unwrap().def.clone();
    def.seals.clear();
    book.edit_rig(&no_seals, def).unwrap();
    for rig in [&bare, &no_seals] {
        assert!(!book.readiness(rig).unwrap().is_ready());
    }
    let desk = Desk::new(book, 0);
    for rig in [bare, no_seals] {
        for place in [
            Place::Rig {
                rig: rig.clone(),
                form: None,
            },
            Place::Seals { rig: rig.clone() },
            Place::Trim {
                rig: rig.clone(),
                form: None,
            },
            Place::Recheck { rig: rig.clone() },
            Place::RigEdit {
                rig: rig.clone(),
                part: None,
            },
        ] {
            let screen = desk.show(&place).unwrap();
            assert_eq!(reads_badly(&screen), Vec::<String>::new(), "{place:?}");
            if let Screen::Seals { screen } = screen {
                assert!(screen.empty.is_some());
            }
        }
    }
}

#[test]
fn empty_and_endless_names_are_refused() {
    let (_dir, mut book, _) = copy_of_middle();
    let before = events(&book);
    let rig = middle().rig.clone();
    let long = "n".repeat(81);
    // The second row made a member and a rig whose name nobody could see.
    for name in [
        "",
        " ",
        "\u{a0}\t\n",
        long.as_str(),
        "\u{200b}",
        "\u{feff}\u{2060}",
        "\u{202e}\u{202c}",
        "\u{7}\u{1b}",
        "\u{2800}",
        "\u{3164}",
        "\u{301}",
    ] {
        assert!(
            matches!(book.add_member(name, Role::Other), Err(BookFault::Rig(_))),
            "{name:?}"
        );
        assert!(
            matches!(
                book.create_from_template("housing-and-monitor", name),
                Err(BookFault::Rig(_))
            ),
            "{name:?}"
        );
        assert!(
            matches!(book.copy_rig(&rig, name), Err(BookFault::Rig(_))),
            "{name:?}"
        );
    }
    for text in ["", "  \n", "\u{200b}\u{2063}"] {
        assert!(book.open_defect(&rig, "", true, false, text).is_err());
        assert!(book.abandon_hold(&middle().hold, text).is_err());
        assert!(book.skip_step(&middle().prep, "trim", text).is_err());
    }
    assert_eq!(events(&book), before);
}

// ---- things that are not there ----

fn strange_ids() -> Vec<String> {
    vec![
        String::new(),
        "nope".into(),
        "../../etc".into(),
        "a/b/c".into(),
        "🤿".into(),
        "%' OR 1=1 --".into(),
        "x".repeat(10_000),
        "\u{0}".into(),
    ]
}

fn places_of(id: &str) -> Vec<Place> {
    let rig = &middle().rig;
    let s = |t: &str| t.to_owned();
    vec![
        Place::Rig {
            rig: s(id),
            form: None,
        },
        Place::Rig {
            rig: s(id),
            form: Some("defect".into()),
        },
        Place::RigEdit {
            rig: s(id),
            part: None,
        },
        Place::RigEdit {
            rig: s(rig),
            part: Some(s(id)),
        },
        Place::RigEdit {
            rig: s(rig),
            part: Some(format!("seal/{id}")),
        },
        Place::RigEdit {
            rig: s(rig),
            part: Some(format!("closure/main/{id}")),
        },
        Place::RigEdit {
            rig: s(rig),
            part: Some(format!("add/{id}")),
        },
        Place::Prep {
            prep: s(id),
            step: None,
            form: None,
        },
        Place::Prep {
            prep: middle().prep.clone(),
            step: Some(s(id)),
            form: None,
        },
        Place::HoldSetup {
            rig: s(id),
            enclosure: "main".into(),
        },
        Place::HoldSetup {
            rig: s(rig),
            enclosure: s(id),
        },
        Place::Hold {
            hold: s(id),
            form: None,
        },
        Place::Recheck { rig: s(id) },
        Place::Seals { rig: s(id) },
        Place::Trim {
            rig: s(id),
            form: None,
        },
        Place::Seal {
            rig: s(id),
            seal: "main-back".into(),
            form: None,
        },
        Place::Seal {
            rig: s(rig),
            seal: s(id),
            form: None,
        },
        Place::Service {
            rig: s(id),
            seal: "main-back".into(),
            stage: "look".into(),
            prep: None,
            step: None,
        },
        Place::Service {
            rig: s(rig),
            seal: s(id),
            stage: "look".into(),
            prep: None,
            step: None,
        },
        Place::Service {
            rig: s(rig),
            seal: "main-back".into(),
            stage: s(id),
            prep: None,
            step: None,
        },
        Place::Service {
            rig: s(rig),
            seal: "main-back".into(),
            stage: format!("back/{id}"),
            prep: None,
            step: None,
        },
        Place::Spares {
            rig: s(id),
            form: None,
        },
        Place::Journal {
            rig: Some(s(id)),
            before: None,
        },
        Place::Journal {
            rig: None,
            before: Some(s(id)),
        },
        Place::Entry { event: s(id) },
        Place::Photo { photo: s(id) },
    ]
}

#[test]
fn what_is_not_there_is_not_found_in_every_place() {
    let (_dir, book, _) = copy_of_middle();
    let desk = Desk::new(book, 0);
    let mut wrong = Vec::new();
    for id in strange_ids() {
        for place in places_of(&id) {
            match desk.show(&place) {
                Err(BookFault::NotFound { .. }) => {}
                Ok(_) => wrong.push(format!("{place:.90?}: shown")),
                Err(e) => wrong.push(format!("{place:.90?}: {e:?}")),
            }
        }
        // A form that a place does not have is not shown; the place is.
        for place in [
            Place::Rigs {
                form: Some(id.clone()),
            },
            Place::Crew {
                form: Some(id.clone()),
            },
            Place::RingBox {
                form: Some(id.clone()),
            },
            Place::RingBox {
                form: Some(format!("count/{id}")),
            },
            Place::Seal {
                rig: middle().rig.clone(),
                seal: "main-back".into(),
                form: Some(format!("sizes/{id}/3/mm")),
            },
            Place::Spares {
                rig: middle().rig.clone(),
                form: Some(id.clone()),
            },
            Place::Rig {
                rig: middle().rig.clone(),
                form: Some(id.clone()),
            },
            Place::Hold {
                hold: middle().hold.clone(),
                form: Some(id.clone()),
            },
            Place::Seal {
                rig: middle().rig.clone(),
                seal: "main-back".into(),
                form: Some(id.clone()),
            },
            Place::Prep {
                prep: middle().prep.clone(),
                step: None,
                form: Some(id.clone()),
            },
        ] {
            if let Err(e) = desk.show(&place) {
                wrong.push(format!("{place:.90?}: {e:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every action that any screen of the day offers, forms as they are preset.
fn every_action() -> Vec<Action> {
    let middle = middle();
    let w = walked();
    let mut copies = Copies::of(middle.dir.path(), middle.now_ms);
    let mut all: Vec<Action> = Vec::new();
    let mut names = HashSet::new();
    for place in &w.places {
        let screen = copies.desk().show(place).unwrap();
        let mut found: Vec<Action> = targets(&screen).into_iter().map(|t| t.action).collect();
        for form in forms(&screen) {
            found.extend(submit(place, &form.key, preset(&form)));
        }
        for action in found {
            // One of a kind: the variant's name and a form's.
            let shown = format!("{action:?}");
            let name: String = shown
                .split(['"', '['])
                .next()
                .unwrap_or_default()
                .to_owned()
                + shown
                    .split("form: \"")
                    .nth(1)
                    .map_or("", |f| f.split(['/', '"']).next().unwrap_or_default());
            if names.insert(name) {
                all.push(action);
            }
        }
    }
    assert!(all.len() > 40, "{}", all.len());
    all
}

fn belongs(place: &Place, action: &Action) -> bool {
    matches!(
        (place, action),
        (Place::Rigs { .. }, Action::Rigs { .. })
            | (Place::Rig { .. }, Action::Rig { .. })
            | (Place::RigEdit { .. }, Action::RigEdit { .. })
            | (Place::Prep { .. }, Action::Prep { .. })
            | (
                Place::HoldSetup { .. } | Place::Hold { .. },
                Action::Hold { .. }
            )
            | (Place::Recheck { .. }, Action::Recheck { .. })
            | (
                Place::Seals { .. } | Place::Seal { .. },
                Action::Seals { .. }
            )
            | (Place::Service { .. }, Action::Service { .. })
            | (Place::RingBox { .. }, Action::RingBox { .. })
            | (Place::Spares { .. }, Action::Spares { .. })
            | (
                Place::Journal { .. } | Place::Days { .. } | Place::Entry { .. },
                Action::Journal { .. }
            )
            | (Place::Start { .. }, Action::Start { .. })
            | (Place::Photo { .. }, Action::Photo { .. })
            | (Place::Trim { .. }, Action::Trim { .. })
            | (Place::Crew { .. }, Action::Crew { .. })
    )
}

#[test]
fn an_action_sent_to_the_wrong_place_does_nothing_and_says_so() {
    let (_dir, book, _) = copy_of_middle();
    let mut desk = Desk::new(book, 0);
    let before = events(desk.book());
    let mut places = vec![Place::Rigs { form: None }, Place::Crew { form: None }];
    places.extend(places_of("nope"));
    places.extend(places_of(&middle().rig));
    let mut sent = 0;
    for action in every_action() {
        for place in &places {
            // Going somewhere records nothing, wherever it is said.
            if belongs(place, &action) || matches!(action, Action::Go { .. }) {
                continue;
            }
            sent += 1;
            let outcome = desk.act(place, action.clone()).unwrap();
            assert_eq!(outcome.faults.len(), 1, "{place:?} {action:?}");
            assert!(outcome.go.is_none() && !outcome.leave && outcome.undo.is_none());
        }
    }
    assert!(sent > 500, "{sent}");
    assert_eq!(events(desk.book()), before);
}

#[test]
fn an_action_on_what_is_not_there_records_nothing() {
    let middle = middle();
    let mut copies = Copies::of(middle.dir.path(), middle.now_ms);
    let mut wrong = BTreeSet::new();
    for action in every_action() {
        for id in ["", "nope", "../..", "🤿"] {
            for place in places_of(id) {
                if !belongs(&place, &action) {
                    continue;
                }
                let result = copies.desk().act(&place, action.clone());
                if copies.recorded() {
                    // An editor open on a part that is gone may still act on another by its name.
                    let named = matches!(&place, Place::RigEdit { rig, .. } if *rig == middle.rig)
                        || matches!(&place, Place::Prep { prep, .. } if *prep == middle.prep);
                    if !named {
                        wrong.insert(format!("{place:?}: {action:.200?}: {result:?}"));
                    }
                    copies.again();
                }
                if let Err(e) = result
                    && !matches!(e, BookFault::NotFound { .. })
                {
                    wrong.insert(format!("{place:?}: {action:.200?}: {e:?}"));
                }
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{}",
        wrong.into_iter().collect::<Vec<_>>().join("\n")
    );
}

#[test]
fn actions_that_name_what_is_not_there_record_nothing() {
    use slackwater_core::screens::crew::CrewAction;
    use slackwater_core::screens::hold::HoldAction;
    use slackwater_core::screens::prep::PrepAction;
    use slackwater_core::screens::recheck::RecheckAction;
    use slackwater_core::screens::rig::RigAction;
    use slackwater_core::screens::rig_edit::RigEditAction;
    use slackwater_core::screens::seals::SealsAction;
    let middle = middle();
    let mut copies = Copies::of(middle.dir.path(), middle.now_ms);
    let mut wrong = Vec::new();
    let rig = || Place::Rig {
        rig: middle.rig.clone(),
        form: None,
    };
    let prep = || Place::Prep {
        prep: middle.prep.clone(),
        step: None,
        form: None,
    };
    for id in strange_ids() {
        let s = || id.clone();
        let on_rig = [
            RigAction::StartPrep { procedure: s() },
            RigAction::OpenClosure {
                enclosure: s(),
                closure: None,
            },
            RigAction::OpenClosure {
                enclosure: "main".into(),
                closure: Some(s()),
            },
            RigAction::CloseEnclosure { enclosure: s() },
            RigAction::PlugOn { enclosure: s() },
            RigAction::PlugOff { enclosure: s() },
            RigAction::ControlTested {
                control: s(),
                works: true,
            },
            RigAction::ControlTested {
                control: s(),
                works: false,
            },
            RigAction::Hold { enclosure: s() },
        ];
        let on_prep = [
            PrepAction::Done { step: s() },
            PrepAction::Tick {
                step: s(),
                part: "out".into(),
                on: true,
            },
            PrepAction::Tick {
                step: "camera-settings".into(),
                part: s(),
                on: true,
            },
            PrepAction::ControlTested {
                step: s(),
                control: s(),
                works: true,
            },
            PrepAction::Sign {
                step: s(),
                member: s(),
            },
            PrepAction::Reopen { step: s() },
            PrepAction::Hold { step: s() },
        ];
        let mut all: Vec<(Place, Action)> = Vec::new();
        all.extend(on_rig.map(|action| (rig(), Action::Rig { action })));
        all.extend(on_prep.map(|action| (prep(), Action::Prep { action })));
        all.push((
            Place::Hold {
                hold: middle.hold.clone(),
                form: None,
            },
            Action::Hold {
                action: HoldAction::SetAside { reading: s() },
            },
        ));
        all.push((
            Place::Recheck {
                rig: middle.rig.clone(),
            },
            Action::Recheck {
                action: RecheckAction::PlugOn { enclosure: s() },
            },
        ));
        all.push((
            Place::Crew { form: None },
            Action::Crew {
                action: CrewAction::HoldPhone { member: s() },
            },
        ));
        for part in [s(), format!("seal/{id}"), format!("closure/main/{id}")] {
            all.push((
                Place::RigEdit {
                    rig: middle.rig.clone(),
                    part: None,
                },
                Action::RigEdit {
                    action: RigEditAction::Remove { part },
                },
            ));
        }
        for form in ["age", "measure", "fit", "service", "serviced"] {
            let values = [("days", "10"), ("finding", "clean"), ("pack", "x")]
                .map(|(key, value)| FieldValue {
                    key: key.into(),
                    value: value.into(),
                })
                .to_vec();
            for place in [
                Place::Seal {
                    rig: middle.rig.clone(),
                    seal: s(),
                    form: None,
                },
                Place::Seals {
                    rig: middle.rig.clone(),
                },
                Place::Seals { rig: s() },
            ] {
                all.push((
                    place,
                    Action::Seals {
                        action: SealsAction::Submit {
                            form: form.into(),
                            values: values.clone(),
                        },
                    },
                ));
            }
        }
        for (place, action) in all {
            let result = copies.desk().act(&place, action.clone());
            if copies.recorded() {
                wrong.push(format!("{place:.80?}: {action:.120?}: recorded"));
                copies.again();
            }
            if let Err(e) = result
                && !matches!(e, BookFault::NotFound { .. })
            {
                wrong.push(format!("{place:.80?}: {action:.120?}: {e:?}"));
            }
        }
        match copies.desk().undo(&id) {
            Err(BookFault::NotFound { .. }) => {}
            other => wrong.push(format!("undo {id:.20?}: {other:?}")),
        }
    }
    wrong.sort();
    wrong.dedup();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn photos_of_nothing_and_that_are_none_are_refused() {
    let (_dir, mut book, _) = copy_of_middle();
    let before = events(&book);
    for bytes in [
        &b""[..],
        b"not a picture at all",
        &[0xff, 0xd8],
        &[0; 4_000],
    ] {
        let result = book.add_photo(&middle().rig, "", bytes);
        assert!(
            matches!(result, Err(BookFault::Photo(_))),
            "{:?}: {result:?}",
            &bytes[..bytes.len().min(8)]
        );
    }
    assert_eq!(events(&book), before);
    let finding = book.service_seal(&middle().rig, "nope", Finding::Clean, "");
    assert!(matches!(finding, Err(BookFault::NotFound { .. })));
}
