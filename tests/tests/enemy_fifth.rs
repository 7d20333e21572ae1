//! What a fifth enemy of Slackwater tried. The truth of each vacuum is reckoned here, by the ideal gas law at
//! constant amount and volume (p ∝ n·T; textbook), never by the program's own model.

use std::error::Error;

use slackwater_checks::drive::{Day, reading};
use slackwater_core::domain::book::{
    Book, BookFault, NewDive, NewReading, NewRecheck, NewRing, Refit,
};
use slackwater_core::domain::facts::{
    HoldSetup, RingLot, SeenFact, ValveOpen, VerdictFact, WaterFact, Way,
};
use slackwater_core::domain::procedure::StepKind;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::physics::hold::{ShutIn, Stood, Verdict};
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::{FieldValue, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::recheck::RecheckAction;
use slackwater_core::screens::rig_edit::RigEditAction;
use slackwater_core::screens::trim::TrimAction;

type Tested = Result<(), Box<dyn Error>>;

/// Air pressure of all these days, mbar.
const AIR_MBAR: f64 = 1013.0;

/// What a gauge shows below the air, to a tenth of a millibar: gas that stood at `depression` mbar at `then_c`
/// is at `now_c` now, `gained` mbar (at `then_c`) of air or water's room later.
fn gauge(depression: f64, then_c: f64, now_c: f64, gained: f64) -> f64 {
    let p = (AIR_MBAR - depression + gained) * (now_c + 273.15) / (then_c + 273.15);
    ((AIR_MBAR - p) * 10.0).round() / 10.0
}

fn read(depression_mbar: f64, c: f64) -> NewReading {
    NewReading {
        gauge_pa: depression_mbar * 100.0,
        temperature_k: Some(c + 273.15),
        ambient_pa: Some(AIR_MBAR * 100.0),
        barometer: None,
        confirmed: false,
    }
}

/// Holds a tight enclosure at a vacuum, mbar, its temperature by `source` at `c`, until it is *holding*.
fn hold_by(
    day: &mut Day,
    enclosure: &str,
    source: &str,
    vacuum: f64,
    c: f64,
) -> Result<String, BookFault> {
    let facts = day.book.rig(&day.rig)?;
    let def = facts.def.enclosure(enclosure).expect("on the rig");
    let setup = HoldSetup {
        gauge_resolution_pa: 10.0,
        shows_its_steps: true,
        temperature_source: source.into(),
        shut_in: ShutIn::NOTHING,
        valve_open: Some(ValveOpen::Nothing),
        ..Book::hold_setup(def, &facts.def.plan)
    };
    let rig = day.rig.clone();
    let id = day.book.start_hold(&rig, setup, read(vacuum, c))?;
    for minute in 1..=300 {
        day.minutes(1);
        day.book.add_reading(&id, read(vacuum, c))?;
        if minute < 10 || minute % 5 != 0 {
            continue;
        }
        let judged = day.book.hold(&id)?;
        if judged.judgement.as_ref().map(|j| j.verdict) == Some(Verdict::Holding) {
            break;
        }
    }
    day.book.conclude_hold(&id)?;
    Ok(id)
}

/// A rig built and signed for, its main housing then held anew by `source` and plugged. The monitor's stays held by
/// its sensor inside, at 200 mbar and 25 °C.
fn built(
    source: &str,
    vacuum: f64,
    c: f64,
    water_c: f64,
) -> Result<(tempfile::TempDir, Day), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let mut def = day.book.rig(&day.rig)?.def.clone();
    def.plan.water_c = water_c;
    day.book.edit_rig(&day.rig.clone(), def)?;
    day.ready()?;
    hold_by(&mut day, "main", source, vacuum, c)?;
    day.book.plug_on(&day.rig.clone(), "main")?;
    Ok((folder, day))
}

/// Rechecks the main housing at this gauge and thermometer, camera off, and the monitor's, which is tight and whose
/// sensor says what its gas is at; plugs in and signed for. Gives whether the rig is ready.
fn recheck_at(day: &mut Day, main: f64, c: f64, monitor_c: f64) -> Result<bool, BookFault> {
    recheck_of(day, main, c, monitor_c, false)
}

/// The same; `brought`: said to have come from elsewhere within the hour, as the deck page asks.
fn recheck_of(
    day: &mut Day,
    main: f64,
    c: f64,
    monitor_c: f64,
    brought: bool,
) -> Result<bool, BookFault> {
    let rig = day.rig.clone();
    let monitor = gauge(200.0, 25.0, monitor_c, 0.0);
    for (e, mbar, c) in [("main", main, c), ("monitor", monitor, monitor_c)] {
        let now = NewRecheck {
            reading: read(mbar, c),
            camera_on: Some(false),
            brought: Some(brought),
        };
        day.book.record_recheck(&rig, e, now)?;
        let facts = day.book.rig(&rig)?;
        let (_, fact) = facts.enclosure(e).unwrap().recheck.as_ref().unwrap();
        println!(
            "{e}: read {mbar}, foretold {:.1} in {:?}: {:?}",
            fact.expected_pa / 100.0,
            fact.between_pa,
            fact.result
        );
        day.book.plug_on(&rig, e)?;
    }
    let dp = day.dp.clone();
    day.book.sign_plugs(&rig, &dp)?;
    let ready = day.book.readiness(&rig)?;
    println!("{:?}", ready.obstacles);
    Ok(ready.is_ready())
}

/// Hung in 12 °C water to see how it trims, which is on record; out of it ten minutes before the recheck, on a
/// deck of 30 °C. A metal housing has taken on the water by then, so a tight one would show 247 mbar; this one shows
/// 200, since half a litre of water (or 45 mbar of air) came in.
#[test]
fn a_rig_that_was_hung_in_cold_water_is_foretold_as_one_that_came_out_of_it() -> Tested {
    let (_folder, mut day) = built("air", 200.0, 30.0, 12.0)?;
    let rig = day.rig.clone();
    day.minutes(60);
    let seen = SeenFact {
        way: Way::Level,
        amount: None,
        sd: None,
    };
    day.book.saw_in_water(&rig, None, Some(seen), None)?;
    day.minutes(10);
    // Tight it would be at the water's own temperature, plus a little of the deck's.
    let gas_c = 15.0;
    let wet = gauge(200.0, 30.0, gas_c, 42.0);
    println!(
        "tight it would show {}, it shows {wet}",
        gauge(200.0, 30.0, gas_c, 0.0)
    );
    assert!(
        !recheck_at(&mut day, wet, 30.0, gas_c)?,
        "a fifth of the vacuum is gone"
    );
    Ok(())
}

/// The same, and nothing leaks: what it shows is 240 mbar, and no page may call that a change for good.
#[test]
fn a_tight_rig_that_was_hung_in_cold_water_has_not_changed() -> Tested {
    let (_folder, mut day) = built("air", 200.0, 30.0, 12.0)?;
    let rig = day.rig.clone();
    day.minutes(60);
    let seen = SeenFact {
        way: Way::Level,
        amount: None,
        sd: None,
    };
    day.book.saw_in_water(&rig, None, Some(seen), None)?;
    day.minutes(10);
    let tight = gauge(200.0, 30.0, 15.0, 0.0);
    let now = NewRecheck {
        reading: read(tight, 30.0),
        camera_on: Some(false),
        brought: None,
    };
    day.book.record_recheck(&rig, "main", now)?;
    let facts = day.book.rig(&rig)?;
    let (_, fact) = facts.enclosure("main").unwrap().recheck.as_ref().unwrap();
    assert_ne!(
        fact.verdict,
        VerdictFact::Leaking,
        "read {tight}, foretold {:?}",
        fact.between_pa
    );
    Ok(())
}

/// It was in the water: that voids its recheck. What was seen there is taken back, as any slip of a number is; that
/// it was in the water stays so. The old recheck must not come back.
#[test]
fn taking_back_how_it_hung_does_not_bring_the_recheck_back() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let rig = day.rig.clone();
    assert!(day.book.readiness(&rig)?.is_ready());
    let seen = SeenFact {
        way: Way::Level,
        amount: None,
        sd: None,
    };
    let recorded = day.book.saw_in_water(&rig, None, Some(seen), None)?;
    day.minutes(40);
    assert!(!day.book.readiness(&rig)?.is_ready(), "it was in the water");
    // As the trim's 'take back' does, at any time.
    day.book.undo(&recorded.events[0].to_string())?;
    assert!(
        !day.book.readiness(&rig)?.is_ready(),
        "the recheck of before the water counts again"
    );
    Ok(())
}

/// Held in an air-conditioned cabin of 20 °C, left there over night, carried out onto a deck of 34 °C and read three
/// minutes later beside a thermometer that says so: the gas is still at 21. Since an hour it leaks, twice the limit.
#[test]
fn a_rig_carried_out_of_a_cool_cabin_is_not_taken_to_be_as_warm_as_the_deck() -> Tested {
    let (_folder, mut day) = built("air", 300.0, 20.0, 28.0)?;
    day.minutes(10 * 60);
    let gas_c = 20.8;
    let lost = 34.0;
    let main = gauge(300.0, 20.0, gas_c, lost);
    println!("tight it would show {}", gauge(300.0, 20.0, gas_c, 0.0));
    assert!(
        !recheck_of(&mut day, main, 34.0, gas_c, true)?,
        "34 mbar of 300 are gone"
    );
    Ok(())
}

/// The same with nothing lost: called changed, which only a new hold answers.
#[test]
fn a_tight_rig_carried_out_of_a_cool_cabin_has_not_changed() -> Tested {
    let (_folder, mut day) = built("air", 300.0, 20.0, 28.0)?;
    day.minutes(10 * 60);
    let tight = gauge(300.0, 20.0, 20.8, 0.0);
    let rig = day.rig.clone();
    let now = NewRecheck {
        reading: read(tight, 34.0),
        camera_on: Some(false),
        brought: Some(true),
    };
    day.book.record_recheck(&rig, "main", now)?;
    let facts = day.book.rig(&rig)?;
    let (_, fact) = facts.enclosure("main").unwrap().recheck.as_ref().unwrap();
    assert_ne!(
        fact.verdict,
        VerdictFact::Leaking,
        "read {tight}, foretold {:?}",
        fact.between_pa
    );
    Ok(())
}

/// Its probe on the housing, in the shade of the deck: the wall of metal follows the air in some minutes, what
/// stands inside doesn't.
#[test]
fn a_probe_on_a_housing_carried_out_says_nothing_yet_of_the_gas() -> Tested {
    let (_folder, mut day) = built("surface", 200.0, 20.0, 28.0)?;
    day.minutes(10 * 60);
    // The wall has gone to 32, the gas by its 15 min behind it to 24.
    let lost = 25.0;
    let main = gauge(200.0, 20.0, 24.0, lost);
    assert!(
        !recheck_of(&mut day, main, 32.0, 24.0, true)?,
        "25 mbar of 200 are gone"
    );
    Ok(())
}

/// A dive in 28 °C is logged, a turnaround begun; then the rig lies in a rinse tank of 12 °C for half an hour, as its
/// step 'rinse' says. Its gas is at 14 while the deck has 30.
#[test]
fn a_rig_out_of_the_rinse_tank_is_not_taken_to_be_as_warm_as_the_sea() -> Tested {
    let (_folder, mut day) = built("air", 200.0, 30.0, 28.0)?;
    let rig = day.rig.clone();
    day.minutes(60);
    day.book.log_dive(&rig, 15.0, 40.0, "")?;
    day.minutes(40);
    let prep = day.book.start_prep(&rig, "turnaround")?;
    for step in ["look-for-water", "rinse"] {
        day.minutes(15);
        let facts = day.book.prep(&prep)?;
        let at = facts.steps.iter().find(|s| s.key == step).unwrap();
        for (part, _) in Book::step_parts(&*day.book.rig(&rig)?, at) {
            day.book.tick_part(&prep, step, &part, true)?;
        }
        day.book.do_step(&prep, step, "")?;
    }
    day.minutes(5);
    let gas_c = 14.5;
    let lost = 42.0;
    let main = gauge(200.0, 30.0, gas_c, lost);
    println!("tight {}, shows {main}", gauge(200.0, 30.0, gas_c, 0.0));
    let now = NewRecheck {
        reading: read(main, 30.0),
        camera_on: Some(false),
        brought: Some(true),
    };
    day.book.record_recheck(&rig, "main", now)?;
    let facts = day.book.rig(&rig)?;
    let (_, fact) = facts.enclosure("main").unwrap().recheck.as_ref().unwrap();
    assert_ne!(
        fact.verdict,
        VerdictFact::Holding,
        "foretold {:?}",
        fact.between_pa
    );
    Ok(())
}

/// A phone with a wrong year (a new battery, no network) records one entry, and is set right. The rig is then
/// built of new rings. Nothing is wrong with it.
#[test]
fn one_entry_under_a_wrong_year_does_not_age_every_ring_for_good() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let three_years = 3 * 365 * 86_400_000_i64;
    day.clock.jump(three_years);
    day.book
        .add_member("Ana", slackwater_core::domain::facts::Role::Other)?;
    day.clock.jump(-three_years);
    day.minutes(5);
    let rig = day.rig.clone();
    let seals: Vec<String> = (day.book.rig(&rig)?.def.seals.iter())
        .map(|s| s.id.clone())
        .collect();
    for seal in &seals {
        let ring = NewRing {
            pack: "new".into(),
            ..NewRing::default()
        };
        day.book.refit_seal(&rig, seal, Refit::New(ring), None)?;
    }
    day.ready()?;
    let judged = day.book.readiness(&rig)?;
    assert!(judged.is_ready(), "{:?}", judged.obstacles);
    Ok(())
}

/// The same by a phone that was told the wrong year before the rings were fitted and has it right from then on:
/// a ring fitted anew is the way out that the page names. It must be one.
#[test]
fn a_new_ring_answers_a_ring_past_its_days() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let three_years = 3 * 365 * 86_400_000_i64;
    day.clock.jump(three_years);
    day.book
        .add_member("Ana", slackwater_core::domain::facts::Role::Other)?;
    day.clock.jump(-three_years);
    day.minutes(5);
    let rig = day.rig.clone();
    let ring = NewRing::default();
    day.book
        .refit_seal(&rig, "main-back", Refit::New(ring), None)?;
    let past =
        |o: &Obstacle| matches!(o, Obstacle::SealPastLimit { seal, .. } if seal == "main-back");
    let judged = day.book.readiness(&rig)?;
    let found: Vec<_> = judged.obstacles.into_iter().filter(|o| past(o)).collect();
    assert!(found.is_empty(), "{found:?}");
    Ok(())
}

/// A lot of NBR rings cured in 2005, which the page itself says could be fitted until 2015 or so, is fitted into a
/// seal of which the rig's list says no material. It is NBR all the same: the record knows the lot.
#[test]
fn a_ring_of_a_lot_that_lay_too_long_blocks_whatever_the_list_says_of_the_seal() -> Tested {
    for listed in ["NBR", ""] {
        let folder = tempfile::tempdir()?;
        let mut day = Day::dry_parts(folder.path())?;
        let rig = day.rig.clone();
        let mut def = day.book.rig(&rig)?.def.clone();
        let seal = def.seals.iter_mut().find(|s| s.id == "main-back").unwrap();
        seal.material = listed.into();
        day.book.edit_rig(&rig, def)?;
        let lot = RingLot {
            size: "AS568-276".into(),
            material: "NBR".into(),
            hardness_shore_a: 70,
            pack: "A1".into(),
            cured: "1Q2005".into(),
        };
        let (lot, _) = day.book.stock_rings(lot, 5)?;
        let ring = NewRing {
            lot: Some(lot),
            ..NewRing::default()
        };
        day.book
            .refit_seal(&rig, "main-back", Refit::New(ring), None)?;
        day.ready()?;
        assert!(
            !day.book.readiness(&rig)?.is_ready(),
            "listed as '{listed}': 21 years from its cure"
        );
    }
    Ok(())
}

/// A build from a file opens all closures and closes the port alone: its author forgot the back. Nobody has said
/// that the back was shut.
#[test]
fn a_housing_whose_back_nobody_closed_is_not_closed() -> Tested {
    let source = r#"format = 1
id = "quick"
title = "Quick build"
kind = "build"

[[step]]
id = "open"
section = "A"
title = "Open {target} of {enclosure}"
kind = "open"
each = "closure"

[[step]]
id = "ring"
section = "A"
title = "Service {target}"
kind = "seal"
each = "seal"
after = ["open"]
points = ["Looked at, back"]

[[step]]
id = "close-port"
section = "B"
title = "Close {target}"
kind = "close"
each = "closure"
only = ["main", "port"]
after = ["ring"]

[[step]]
id = "close-other"
section = "B"
title = "Close {target}"
kind = "close"
each = "closure"
only = ["other"]
after = ["ring"]

[[step]]
id = "hold"
section = "C"
title = "Hold {target}"
kind = "hold"
each = "enclosure"
after = ["close-port", "close-other"]

[[step]]
id = "plug"
section = "C"
title = "Plug {target}"
kind = "plug"
each = "enclosure"
two_person = true
after = ["hold"]

[[step]]
id = "controls"
section = "C"
title = "Controls"
kind = "controls"
after = ["plug"]

[[step]]
id = "walk"
section = "C"
title = "Walk round"
kind = "sign"
two_person = true
after = ["controls"]
"#;
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let rig = day.rig.clone();
    day.book.add_procedure(source.as_bytes())?;
    let prep = day.book.start_prep(&rig, "quick")?;
    day.work(&prep, Some(StepKind::Hold))?;
    let open = Obstacle::NotClosed {
        enclosure: "main".into(),
    };
    let judged = day.book.readiness(&rig)?;
    assert!(
        judged.obstacles.contains(&open),
        "its back and its port base stand opened on record, and nobody closed them"
    );
    // The rig's page names them, and whoever looks says there that it is closed.
    let elsewhere = tempfile::tempdir()?;
    let another = Day::dry_parts(elsewhere.path())?.book;
    let mut desk = Desk::new(std::mem::replace(&mut day.book, another), 0);
    let place = Place::Rig {
        rig: rig.clone(),
        form: None,
    };
    let Screen::Rig { screen } = desk.show(&place)? else {
        unreachable!("a rig")
    };
    let row = screen.obstacles.iter().find(|o| {
        let tap = o.tap.as_ref().filter(|t| t.enabled);
        tap.is_some_and(|t| t.label == "Mark Main housing closed")
    });
    let row = row.expect("it can be closed from there");
    assert!(row.detail.contains("Back"), "{row:?}");
    std::mem::swap(&mut day.book, desk.book_mut());
    day.book.close_enclosure(&rig, "main")?;
    day.work(&prep, None)?;
    day.book.end_prep(&prep, "")?;
    day.recheck()?;
    let judged = day.book.readiness(&rig)?;
    assert!(judged.is_ready(), "{:?}", judged.obstacles);
    Ok(())
}

/// The turnaround that a crew begins after a dive that it didn't log: its vacuum is gone. As after a logged one
/// there may be water inside, and batteries in it.
#[test]
fn vacuum_lost_over_a_dive_that_was_not_logged_warns_of_water() -> Tested {
    let mut said = Vec::new();
    for logged in [true, false] {
        let folder = tempfile::tempdir()?;
        let mut day = Day::dry_parts(folder.path())?;
        day.ready()?;
        let rig = day.rig.clone();
        day.minutes(60);
        if logged {
            day.book.log_dive(&rig, 15.0, 40.0, "")?;
        }
        day.minutes(45);
        day.book.start_prep(&rig, "turnaround")?;
        day.minutes(5);
        day.book.record_recheck(&rig, "monitor", reading(60.0))?;
        let desk = Desk::new(day.book, 0);
        let Screen::Recheck { screen } = desk.show(&Place::Recheck { rig: rig.clone() })? else {
            unreachable!("a recheck")
        };
        let item = screen
            .items
            .iter()
            .find(|i| i.enclosure == "monitor")
            .unwrap();
        let words: Vec<&str> = item.reasons.iter().map(|l| l.text.as_str()).collect();
        println!(
            "{logged}: {} {words:?} {:?}",
            item.state,
            item.next.as_ref().map(|b| &b.label)
        );
        said.push(words.iter().any(|w| w.contains("water inside")));
    }
    assert_eq!(said, [true, true], "logged, not logged");
    Ok(())
}

fn typed(values: &[(&str, &str)]) -> Vec<FieldValue> {
    let one = |(key, value): &(&str, &str)| FieldValue {
        key: (*key).to_owned(),
        value: (*value).to_owned(),
    };
    values.iter().map(one).collect()
}

/// A limit of 5 L of water a dive for a housing of 1.4 L can't be meant: whoever typed it took mL for another unit,
/// or the other housing. It is asked about where it is typed.
#[test]
fn a_limit_that_is_more_than_the_housing_holds_is_asked_about() -> Tested {
    let folder = tempfile::tempdir()?;
    let day = Day::dry_parts(folder.path())?;
    let rig = day.rig.clone();
    let mut desk = Desk::new(day.book, 0);
    let place = Place::RigEdit {
        rig: rig.clone(),
        part: Some("enclosure/monitor".into()),
    };
    let Screen::RigEdit { screen } = desk.show(&place)? else {
        unreachable!("an editor")
    };
    let form = screen.form.expect("a form");
    let mut values: Vec<FieldValue> = (form.fields.iter())
        .map(|f| FieldValue {
            key: f.key.clone(),
            value: f.value.clone(),
        })
        .collect();
    for v in &mut values {
        if v.key == "limit_ml" {
            v.value = "5000".into();
        }
    }
    let action = RigEditAction::Submit {
        form: form.key,
        values,
    };
    let done = desk.act(&place, slackwater_core::screens::Action::RigEdit { action })?;
    println!("{:?}", done.faults);
    assert!(!done.faults.is_empty(), "5 L of water in 1.4 L, in silence");
    Ok(())
}

/// The air is typed at the top of a road, the gauge read at its foot nineteen minutes later: 400 m, 47 mbar. The page
/// still takes the air of then for the air of now.
#[test]
fn air_typed_before_a_drive_is_not_the_air_after_it() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let rig = day.rig.clone();
    let top = 966.0;
    let at_top = |mbar: f64| NewReading {
        ambient_pa: Some(top * 100.0),
        ..read(mbar, 25.0)
    };
    for e in ["main", "monitor"] {
        let facts = day.book.rig(&rig)?;
        let def = facts.def.enclosure(e).unwrap();
        let setup = HoldSetup {
            gauge_resolution_pa: 10.0,
            shows_its_steps: true,
            temperature_source: "inside".into(),
            shut_in: ShutIn::NOTHING,
            valve_open: Some(ValveOpen::Nothing),
            ..Book::hold_setup(def, &facts.def.plan)
        };
        let id = day.book.start_hold(&rig, setup, at_top(200.0))?;
        for _ in 0..30 {
            day.minutes(1);
            day.book.add_reading(&id, at_top(200.0))?;
        }
        day.book.conclude_hold(&id)?;
        day.book.plug_on(&rig, e)?;
    }
    day.minutes(60);
    let clock = day.clock.clone();
    let mut desk = Desk::new(day.book, 0);
    let place = Place::Recheck { rig: rig.clone() };
    let submit = |form: &str, values: Vec<FieldValue>| slackwater_core::screens::Action::Recheck {
        action: RecheckAction::Submit {
            form: form.to_owned(),
            values,
        },
    };
    let air = typed(&[
        ("temperature/main", "25"),
        ("temperature/monitor", "25"),
        ("ambient", "966"),
    ]);
    let done = desk.act(&place, submit("air", air))?;
    assert!(done.faults.is_empty(), "{:?}", done.faults);
    clock.advance(19 * 60_000);
    // Inside at the top 766 mbar; 47 came in on the way; outside are 1013 now.
    let shows = AIR_MBAR - (top - 200.0 + 47.0);
    let done = desk.act(
        &place,
        submit("reading/main", typed(&[("gauge", &format!("{shows:.1}"))])),
    )?;
    println!("shows {shows}: {:?} {:?}", done.said, done.faults);
    let facts = desk.book().rig(&rig)?;
    let recheck = facts.enclosure("main").unwrap().recheck.clone();
    let passed = recheck.is_some_and(|(_, f)| {
        f.verdict == VerdictFact::Holding && facts.enclosure("main").unwrap().rechecks.len() == 1
    });
    assert!(!passed, "47 mbar of 200 are gone");
    Ok(())
}

/// A rig that is ready, an hour later on its deck page: says the air, types the main housing's gauge, and gives what
/// was asked (of either form) and what the recheck came to.
fn deck(
    mut day: Day,
    air: &[(&str, &str)],
    gauge: &str,
) -> Result<(Vec<String>, Option<VerdictFact>), Box<dyn Error>> {
    let rig = day.rig.clone();
    day.minutes(60);
    day.book.plug_on(&rig, "main")?;
    let mut desk = Desk::new(day.book, 0);
    let place = Place::Recheck { rig: rig.clone() };
    let before = desk
        .book()
        .rig(&rig)?
        .enclosure("main")
        .unwrap()
        .rechecks
        .len();
    let submit = |form: &str, values: Vec<FieldValue>| slackwater_core::screens::Action::Recheck {
        action: RecheckAction::Submit {
            form: form.to_owned(),
            values,
        },
    };
    let mut asked = Vec::new();
    let done = desk.act(&place, submit("air", typed(air)))?;
    asked.extend(done.faults.iter().map(|f| format!("{f:?}")));
    let done = desk.act(&place, submit("reading/main", typed(&[("gauge", gauge)])))?;
    asked.extend(done.faults.iter().map(|f| format!("{f:?}")));
    println!("{asked:?} {:?}", done.said);
    let facts = desk.book().rig(&rig)?;
    let main = facts.enclosure("main").unwrap();
    let came_to = (main.rechecks.len() > before)
        .then(|| main.rechecks.last().map(|r| r.fact.verdict))
        .flatten();
    Ok((asked, came_to))
}

/// 1013 mbar an hour ago at this place; 913 is typed for it now. No weather does that (the deepest fall in a day on
/// record is some 100 mbar); a digit slipped. Half of the vacuum is gone and the page says that nothing has changed.
#[test]
fn an_air_pressure_a_hundred_millibar_off_is_asked_about_on_deck() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let air = [
        ("temperature/main", "25"),
        ("temperature/monitor", "25"),
        ("ambient", "913"),
    ];
    let (asked, came_to) = deck(day, &air, "100.0")?;
    assert!(
        !asked.is_empty() || came_to != Some(VerdictFact::Holding),
        "nothing was asked, and half of the vacuum is gone"
    );
    Ok(())
}

/// 25 °C an hour ago, by the sensor inside; 52 is typed for it now, its digits the wrong way round.
#[test]
fn a_temperature_with_its_digits_swapped_is_asked_about_on_deck() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let air = [
        ("temperature/main", "52"),
        ("temperature/monitor", "25"),
        ("ambient", "1013"),
    ];
    // 813 mbar at 25 °C are 887 at 52: what it would show, had it lost 74 mbar at 25.
    let (asked, came_to) = deck(day, &air, "126.4")?;
    assert!(
        !asked.is_empty() || came_to != Some(VerdictFact::Holding),
        "nothing was asked, and a third of the vacuum is gone"
    );
    Ok(())
}

/// The other way: a tight rig, the same slip. It is called changed for good, and nothing asked about the slip.
#[test]
fn a_tight_rig_is_not_called_changed_by_a_slip_of_the_air_that_nobody_asks_about() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let air = [
        ("temperature/main", "25"),
        ("temperature/monitor", "25"),
        ("ambient", "1031"),
    ];
    let (asked, came_to) = deck(day, &air, "200.0")?;
    assert!(
        !asked.is_empty() || came_to != Some(VerdictFact::Leaking),
        "1031 for 1013"
    );
    Ok(())
}

/// A dive of an hour to 15 m, and whether it was over when it was logged.
fn hour(up: Option<bool>) -> NewDive<'static> {
    NewDive {
        depth_m: 15.0,
        minutes: 60.0,
        note: "",
        salinity_g_kg: 35.0,
        up,
    }
}

/// The dive is logged as it goes in, for an hour, and said so; the gauge read two minutes later, on deck, and can't tell; then the
/// rig goes in for that hour into 12 °C. Read five minutes after it came up, 30 °C on deck: the log says that it was
/// in the water until eight minutes ago.
#[test]
fn a_reading_between_a_dives_log_and_its_end_does_not_end_the_dive() -> Tested {
    let (_folder, mut day) = built("air", 300.0, 30.0, 12.0)?;
    let rig = day.rig.clone();
    day.minutes(60);
    day.book.log_dive_as(&rig, hour(Some(false)))?;
    day.minutes(2);
    let now = |mbar: f64| NewRecheck {
        reading: read(mbar, 30.0),
        camera_on: Some(false),
        brought: None,
    };
    day.book.record_recheck(&rig, "main", now(300.0))?;
    day.minutes(66);
    let main = gauge(300.0, 30.0, 15.0, 34.0);
    println!("tight {}, shows {main}", gauge(300.0, 30.0, 15.0, 0.0));
    day.book.record_recheck(&rig, "main", now(main))?;
    let facts = day.book.rig(&rig)?;
    let (_, fact) = facts.enclosure("main").unwrap().recheck.as_ref().unwrap();
    assert_ne!(
        fact.verdict,
        VerdictFact::Holding,
        "foretold {:?}",
        fact.between_pa
    );
    Ok(())
}

/// It goes in as its dive is logged; how it hangs is noted while it floats, five minutes later, and taken back for a
/// slip. That it was seen in the water ends no dive: it comes up when its minutes are over.
#[test]
fn what_is_noted_in_the_water_does_not_end_the_dive() -> Tested {
    for taken_back in [false, true] {
        let (_folder, mut day) = built("air", 300.0, 30.0, 12.0)?;
        let rig = day.rig.clone();
        day.minutes(60);
        day.book.log_dive_as(&rig, hour(Some(false)))?;
        day.minutes(5);
        let seen = SeenFact {
            way: Way::Level,
            amount: None,
            sd: None,
        };
        let noted = day.book.saw_in_water(&rig, None, Some(seen), None)?;
        if taken_back {
            day.book.undo(&noted.events[0].to_string())?;
        }
        day.minutes(58);
        // Still at 15 °C, and 34 mbar are gone.
        let now = NewRecheck {
            reading: read(gauge(300.0, 30.0, 15.0, 34.0), 30.0),
            camera_on: Some(false),
            brought: Some(false),
        };
        day.book.record_recheck(&rig, "main", now)?;
        let facts = day.book.rig(&rig)?;
        let (_, fact) = facts.enclosure("main").unwrap().recheck.as_ref().unwrap();
        assert_ne!(fact.verdict, VerdictFact::Holding, "{:?}", fact.between_pa);
    }
    Ok(())
}

/// It was up when its dive was logged, and that was said: it has been in the air for as long as that, not since the
/// logged minutes are over. Nobody said: it may have gone in as it was written.
#[test]
fn a_dive_that_was_over_when_it_was_logged_is_not_waited_for() -> Tested {
    for (up, tells) in [(Some(true), true), (None, false), (Some(false), false)] {
        let (_folder, mut day) = built("air", 300.0, 24.0, 10.0)?;
        let rig = day.rig.clone();
        day.minutes(60);
        day.book.log_dive_as(&rig, hour(up))?;
        day.minutes(75);
        let now = NewRecheck {
            reading: read(300.0, 24.0),
            camera_on: Some(false),
            brought: Some(false),
        };
        day.book.record_recheck(&rig, "main", now)?;
        let facts = day.book.rig(&rig)?;
        let (_, fact) = facts.enclosure("main").unwrap().recheck.as_ref().unwrap();
        let told = fact.verdict == VerdictFact::Holding;
        assert_eq!(
            told, tells,
            "{up:?} {:?} {:?}",
            fact.result, fact.between_pa
        );
    }
    Ok(())
}

/// An edit of a seal's hardness in a housing in use is a loss that two sign for. A ring of another hardness, out of
/// a lot that says so, goes into it without a word.
#[test]
fn a_ring_of_another_hardness_than_the_list_has_is_told() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let rig = day.rig.clone();
    let lot = RingLot {
        size: "AS568-276".into(),
        material: "NBR".into(),
        hardness_shore_a: 90,
        pack: "A1".into(),
        cured: "1Q2026".into(),
    };
    let (lot, _) = day.book.stock_rings(lot, 5)?;
    let ring = NewRing {
        lot: Some(lot),
        ..NewRing::default()
    };
    day.book
        .refit_seal(&rig, "main-back", Refit::New(ring), None)?;
    day.ready()?;
    let judged = day.book.readiness(&rig)?;
    let told = format!("{:?} {:?}", judged.obstacles, judged.remarks);
    assert!(told.contains("main-back"), "90 for 70 Shore A: {told}");
    Ok(())
}

/// A hold of the main housing in a van that goes down a valley as fast as the leak lets air in: 0.6 mbar a minute (5 m
/// of height), twice the limit. No reading tells of that but a barometer's: without one the page says that it has to
/// stay where it stands, from the first reading on and beside the verdict; with one it is no proof.
#[test]
fn a_hold_on_the_road_is_no_proof() -> Tested {
    for (source, barometer) in [("inside", false), ("surface", false), ("inside", true)] {
        let folder = tempfile::tempdir()?;
        let mut day = Day::dry_parts(folder.path())?;
        day.ready()?;
        let rig = day.rig.clone();
        let facts = day.book.rig(&rig)?;
        let def = facts.def.enclosure("main").unwrap();
        let setup = HoldSetup {
            gauge_resolution_pa: 10.0,
            shows_its_steps: true,
            temperature_source: source.into(),
            shut_in: ShutIn::NOTHING,
            valve_open: Some(ValveOpen::Nothing),
            ..Book::hold_setup(def, &facts.def.plan)
        };
        let by = |mbar: f64, minute: i32| NewReading {
            ambient_pa: (barometer)
                .then(|| 10.0 * (10.0 * (AIR_MBAR + 0.6 * f64::from(minute))).round()),
            ..read(mbar, 25.0)
        };
        let id = day.book.start_hold(&rig, setup, by(200.0, 0))?;
        let mut desk = Desk::new(day.book, 0);
        let place = Place::Hold {
            hold: id.clone(),
            form: None,
        };
        let warned =
            |desk: &Desk| format!("{:?}", desk.page(&place)).contains("stay where it stands");
        assert_eq!(warned(&desk), !barometer, "{source}");
        for minute in 1..=30 {
            day.clock.advance(60_000);
            let inside = AIR_MBAR - 200.0 + 0.6 * f64::from(minute);
            let outside = AIR_MBAR + 0.6 * f64::from(minute);
            let shows = ((outside - inside) * 10.0).round() / 10.0;
            desk.book_mut().add_reading(&id, by(shows, minute))?;
            let judged = desk.book().hold(&id)?;
            let verdict = judged.judgement.as_ref().map(|j| j.verdict);
            assert!(!barometer || verdict != Some(Verdict::Holding), "{minute}");
        }
        assert_eq!(warned(&desk), !barometer, "{source}");
    }
    Ok(())
}

/// Water was found in the main housing. The rig is copied, as one does for another lens; the copy is of the same
/// housing, the record says of which rig. Built and proved it is ready, without a word of the water.
#[test]
fn a_copy_of_a_rig_with_water_in_it_says_so() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let first = day.rig.clone();
    day.book
        .open_defect(&first, "enclosure/main", true, true, "water at the port")?;
    day.rig = day.book.copy_rig(&first, "Reef rig, macro")?;
    day.ready()?;
    let judged = day.book.readiness(&day.rig)?;
    assert!(
        !judged.is_ready()
            || !judged.remarks.is_empty() && format!("{:?}", judged.remarks).contains("Defect"),
        "{:?}",
        judged.remarks
    );
    Ok(())
}

/// The water of the day is on record twice: the plan's, 26 °C as it was left from the last shoot, and the trim's, in
/// which this crew chose 8 °C this morning. It dived, and came up ten minutes ago, onto a deck of 28 °C.
#[test]
fn the_colder_of_two_waters_on_record_is_the_one_it_may_have_come_out_of() -> Tested {
    let (_folder, mut day) = built("air", 200.0, 28.0, 26.0)?;
    let rig = day.rig.clone();
    let water = WaterFact {
        key: String::new(),
        salinity: 35.0,
        salinity_sd: 0.5,
        water_c: 8.0,
        water_sd_k: 1.0,
        depth_m: 10.0,
        kg_m3: 1027.2,
        sd_kg_m3: 0.5,
    };
    day.book.choose_water(&rig, water)?;
    day.minutes(60);
    day.book.log_dive(&rig, 15.0, 0.0, "")?;
    day.minutes(10);
    let main = gauge(200.0, 28.0, 12.0, 40.0);
    println!("tight {}, shows {main}", gauge(200.0, 28.0, 12.0, 0.0));
    let now = NewRecheck {
        reading: read(main, 28.0),
        camera_on: Some(false),
        brought: None,
    };
    day.book.record_recheck(&rig, "main", now)?;
    let facts = day.book.rig(&rig)?;
    let (_, fact) = facts.enclosure("main").unwrap().recheck.as_ref().unwrap();
    assert_ne!(
        fact.verdict,
        VerdictFact::Holding,
        "foretold {:?}",
        fact.between_pa
    );
    Ok(())
}

/// A dive that is logged while a housing stands open, or its plug is out, is looked into before anything counts. How
/// it hung in the water tells the same of it.
#[test]
fn hung_in_the_water_with_a_housing_open_is_looked_into_like_a_dive() -> Tested {
    let mut looked_into = Vec::new();
    for dive in [true, false] {
        let folder = tempfile::tempdir()?;
        let day = Day::dry_parts(folder.path())?;
        let rig = day.rig.clone();
        let mut desk = Desk::new(day.book, 0);
        let done = if dive {
            let action = slackwater_core::screens::rig::RigAction::Submit {
                form: "dive".into(),
                values: typed(&[("depth", "5"), ("minutes", "20"), ("salt", "yes")]),
            };
            let place = Place::Rig {
                rig: rig.clone(),
                form: Some("dive".into()),
            };
            let mut done = desk.act(
                &place,
                slackwater_core::screens::Action::Rig {
                    action: action.clone(),
                },
            )?;
            if !done.faults.is_empty() {
                // It asks whether that is so.
                let Screen::Rig { screen } = desk.show(&place)? else {
                    unreachable!("a rig")
                };
                let form = screen.form.expect("the form");
                let mut values = typed(&[("depth", "5"), ("minutes", "20"), ("salt", "yes")]);
                values.push(FieldValue {
                    key: form.fields.last().unwrap().key.clone(),
                    value: "yes".into(),
                });
                let action = slackwater_core::screens::rig::RigAction::Submit {
                    form: "dive".into(),
                    values,
                };
                done = desk.act(&place, slackwater_core::screens::Action::Rig { action })?;
            }
            done
        } else {
            let action = TrimAction::Submit {
                form: "seen".into(),
                values: typed(&[("net", "level"), ("pitch", "level"), ("roll", "level")]),
            };
            let place = Place::Trim {
                rig: rig.clone(),
                form: Some("seen".into()),
            };
            desk.act(&place, slackwater_core::screens::Action::Trim { action })?
        };
        println!("dive {dive}: {:?} {:?}", done.said, done.faults);
        let facts = desk.book().rig(&rig)?;
        looked_into.push(!facts.defects.is_empty() || !done.faults.is_empty());
    }
    assert_eq!(looked_into, [true, true], "by a dive, by how it hung");
    Ok(())
}

/// The sensor inside is read as the air is noted; the rig is rinsed in 10 °C for a quarter of an hour, then its gauge
/// is read. The page takes the temperature of then for that of now.
#[test]
fn a_temperature_noted_before_the_rinse_is_not_the_one_after_it() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let rig = day.rig.clone();
    day.minutes(60);
    let clock = day.clock.clone();
    let mut desk = Desk::new(day.book, 0);
    let place = Place::Recheck { rig: rig.clone() };
    let submit = |form: &str, values: Vec<FieldValue>| slackwater_core::screens::Action::Recheck {
        action: RecheckAction::Submit {
            form: form.to_owned(),
            values,
        },
    };
    let air = typed(&[
        ("temperature/main", "25"),
        ("temperature/monitor", "25"),
        ("ambient", "1013"),
    ]);
    desk.act(&place, submit("air", air))?;
    clock.advance(19 * 60_000);
    let before = desk
        .book()
        .rig(&rig)?
        .enclosure("main")
        .unwrap()
        .rechecks
        .len();
    // At 12 °C a tight one shows 235.4; 37 mbar came in.
    let shows = gauge(200.0, 25.0, 12.0, 37.0);
    let done = desk.act(
        &place,
        submit("reading/main", typed(&[("gauge", &format!("{shows:.1}"))])),
    )?;
    println!("shows {shows}: {:?} {:?}", done.said, done.faults);
    let facts = desk.book().rig(&rig)?;
    let all = &facts.enclosure("main").unwrap().rechecks;
    let passed =
        all.len() > before && all.last().map(|r| r.fact.verdict) == Some(VerdictFact::Holding);
    assert!(!passed, "37 mbar of 200 are gone");
    Ok(())
}

/// The monitor's housing, held cold by a probe on it; its monitor runs since half an hour when it is read on deck, as
/// monitors do: 4 K. The page asks of no monitor there, so a tight one is called changed, which only a new hold
/// answers.
#[test]
fn a_monitor_that_runs_is_no_change() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let rig = day.rig.clone();
    hold_by(&mut day, "monitor", "surface", 200.0, 25.0)?;
    day.book.plug_on(&rig, "monitor")?;
    day.minutes(120);
    let mut desk = Desk::new(day.book, 0);
    let place = Place::Recheck { rig: rig.clone() };
    let Screen::Recheck { screen } = desk.show(&place)? else {
        unreachable!("a recheck")
    };
    let keys: Vec<&str> = screen.air.fields.iter().map(|f| f.key.as_str()).collect();
    println!("{keys:?}");
    let submit = |form: &str, values: Vec<FieldValue>| slackwater_core::screens::Action::Recheck {
        action: RecheckAction::Submit {
            form: form.to_owned(),
            values,
        },
    };
    let air = typed(&[
        ("temperature/main", "25"),
        ("temperature/monitor", "25"),
        ("ambient", "1013"),
    ]);
    desk.act(&place, submit("air", air))?;
    let shows = gauge(200.0, 25.0, 29.0, 0.0);
    let done = desk.act(
        &place,
        submit(
            "reading/monitor",
            typed(&[("gauge", &format!("{shows:.1}"))]),
        ),
    )?;
    let facts = desk.book().rig(&rig)?;
    let (_, fact) = facts.enclosure("monitor").unwrap().recheck.clone().unwrap();
    println!(
        "shows {shows}: {:?} {:?} {:?}",
        done.said, done.faults, fact.between_pa
    );
    assert_ne!(fact.verdict, VerdictFact::Leaking, "nothing leaks");
    Ok(())
}

/// What the page of a ring says after a wrong year, of one that went in five minutes ago.
#[test]
fn a_rings_page_says_one_age() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let three_years = 3 * 365 * 86_400_000_i64;
    day.clock.jump(three_years);
    day.book
        .add_member("Ana", slackwater_core::domain::facts::Role::Other)?;
    day.clock.jump(-three_years);
    day.minutes(5);
    let rig = day.rig.clone();
    let ring = NewRing::default();
    day.book
        .refit_seal(&rig, "main-back", Refit::New(ring), None)?;
    day.minutes(5);
    let desk = Desk::new(day.book, 0);
    let place = Place::Seal {
        rig,
        seal: "main-back".into(),
        form: None,
    };
    let Screen::Seal { screen } = desk.show(&place)? else {
        unreachable!("a seal")
    };
    let says = format!(
        "{} {:?} {:?}",
        screen.answer, screen.figures, screen.history
    );
    println!("{says}");
    assert!(
        !(says.contains("1094") || says.contains("1095")),
        "it went in five minutes ago"
    );
    Ok(())
}

/// A hold begun ten minutes after a dive in 28 °C was logged, on a deck of 12 °C: its gas cools by the 40 min that the
/// program's own notes give for a housing out of the water, and hides a leak of so many limits (18 mbar an hour each).
/// Gives when it is *holding*, min.
fn out_of_warm_water(
    source: &str,
    stood: Option<Stood>,
    limits: f64,
) -> Result<Option<i32>, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig)?.def.clone();
    def.plan.water_c = 28.0;
    day.book.edit_rig(&rig, def)?;
    day.ready()?;
    day.minutes(60);
    day.book.log_dive(&rig, 15.0, 0.0, "")?;
    day.minutes(10);
    let facts = day.book.rig(&rig)?;
    let def = facts.def.enclosure("main").unwrap();
    let setup = HoldSetup {
        gauge_resolution_pa: 10.0,
        shows_its_steps: true,
        temperature_source: source.into(),
        shut_in: ShutIn {
            stood,
            ..ShutIn::NOTHING
        },
        valve_open: Some(ValveOpen::Nothing),
        ..Book::hold_setup(def, &facts.def.plan)
    };
    let gas = |t: f64| 12.0 + 13.0 * (-t / 40.0).exp();
    let wall = |t: f64| 12.0 + 8.0 * (-t / 40.0).exp();
    let shown = |t: f64| {
        let c = match source {
            "air" => 12.0,
            "surface" => (10.0 * wall(t)).round() / 10.0,
            _ => gas(t),
        };
        let n = AIR_MBAR - 200.0 + limits * 18.0 / 60.0 * t;
        let p = n * (gas(t) + 273.15) / (gas(0.0) + 273.15);
        read(((AIR_MBAR - p) * 10.0).round() / 10.0, c)
    };
    let id = day.book.start_hold(&rig, setup, shown(0.0))?;
    for minute in 1..=120 {
        day.minutes(1);
        day.book.add_reading(&id, shown(f64::from(minute)))?;
        let judged = day.book.hold(&id)?;
        let verdict = judged.judgement.as_ref().map(|j| j.verdict);
        if verdict != Some(Verdict::NotYet) && minute > 1 {
            println!("{source} {stood:?} {limits}: {verdict:?} after {minute}");
            if verdict == Some(Verdict::Holding) {
                return Ok(Some(minute));
            }
            return Ok(None);
        }
    }
    println!("{source} {stood:?} {limits}: open");
    Ok(None)
}

/// See [`out_of_warm_water`]: nobody said where it stood, or said that it stood here, which the log contradicts.
#[test]
fn a_hold_out_of_warm_water_hides_no_leak() -> Tested {
    let mut wrong = Vec::new();
    for source in ["air", "surface"] {
        for stood in [None, Some(Stood::Here)] {
            if let Some(minute) = out_of_warm_water(source, stood, 3.0)? {
                wrong.push((source, stood, minute));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
    Ok(())
}

/// 12 ± 1 L, with a limit of 60 mL that the crew set. Said to be a little less, each time within its error, then to be
/// known a little better, each time by less than half, and held anew each time: at last it is half as large, and the
/// same fall of the gauge half the leak. Nobody signed for it.
#[test]
fn a_volume_walked_down_by_its_own_error_from_hold_to_hold_is_signed_for() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig)?.def.clone();
    def.enclosures[0].limit_ml = Some(60.0);
    day.book.edit_rig(&rig, def)?;
    day.ready()?;
    let mut litres = 12.0;
    while litres > 6.2 {
        litres -= 0.95;
        let mut def = day.book.rig(&rig)?.def.clone();
        def.enclosures[0].volume_l = litres;
        day.book.edit_rig(&rig, def)?;
        day.hold("main", 0.0)?;
    }
    for litres_sd in [0.55, 0.3] {
        let mut def = day.book.rig(&rig)?.def.clone();
        def.enclosures[0].volume_sd_l = litres_sd;
        day.book.edit_rig(&rig, def)?;
        day.hold("main", 0.0)?;
    }
    day.book.plug_on(&rig, "main")?;
    // What leaks 30 mbar an hour, 5/3 of the limit at 12 L.
    let id = day.hold("main", 30.0)?;
    let facts = day.book.rig(&rig)?;
    let hold = facts.enclosure("main").unwrap().holds[0].clone();
    let verdict = hold.concluded.map(|c| c.2.verdict);
    println!("{litres} L: {verdict:?} {id}, losses {:?}", facts.losses);
    assert!(
        !facts.losses.is_empty() || verdict != Some(VerdictFact::Holding),
        "{litres} L and holding, and nobody signed"
    );
    Ok(())
}

/// The depth a housing is made for, ten times what its template has: typed in feet, or with a digit too many.
#[test]
fn a_depth_rating_ten_times_what_stood_there_is_asked_about() -> Tested {
    let folder = tempfile::tempdir()?;
    let day = Day::dry_parts(folder.path())?;
    let rig = day.rig.clone();
    let mut desk = Desk::new(day.book, 0);
    let place = Place::RigEdit {
        rig: rig.clone(),
        part: Some("enclosure/monitor".into()),
    };
    let Screen::RigEdit { screen } = desk.show(&place)? else {
        unreachable!("an editor")
    };
    let form = screen.form.expect("a form");
    let values = (form.fields.iter())
        .map(|f| FieldValue {
            key: f.key.clone(),
            value: if f.key == "depth_rating_m" {
                "600".into()
            } else {
                f.value.clone()
            },
        })
        .collect();
    let action = RigEditAction::Submit {
        form: form.key,
        values,
    };
    let done = desk.act(&place, slackwater_core::screens::Action::RigEdit { action })?;
    let rated = desk.book().rig(&rig)?.def.enclosures[1].depth_rating_m;
    println!("{:?} {rated} m", done.faults);
    assert!(!done.faults.is_empty(), "{rated} m for 60, in silence");
    Ok(())
}

/// The first hold leaked at its hose; the second, on the same closing, held, and the rig is ready. The file of the
/// first is brought in for the record: it says that its valve was closed before the second's was.
#[test]
fn the_file_of_a_hold_before_the_one_that_counts_says_nothing_against_it() -> Tested {
    let folder = tempfile::tempdir()?;
    let mut day = Day::dry_parts(folder.path())?;
    day.ready()?;
    let rig = day.rig.clone();
    let leaks = day.hold("main", 120.0)?;
    let file = day.book.export_hold(&leaks)?;
    // By more than two clocks may be apart.
    day.minutes(70);
    day.hold("main", 0.0)?;
    day.book.plug_on(&rig, "main")?;
    day.recheck()?;
    assert!(day.book.readiness(&rig)?.is_ready());
    day.book.import_hold(&rig, "main", &file, false)?;
    let judged = day.book.readiness(&rig)?;
    assert!(judged.is_ready(), "{:?}", judged.obstacles);
    Ok(())
}
