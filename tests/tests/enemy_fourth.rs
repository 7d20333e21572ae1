//! The fourth enemy: what the app says against what is so. Truths are a gas law and a leak of this
//! file's own; nothing of the product's model is used to make the readings.
use slackwater_checks::drive::Day;
use slackwater_core::domain::book::{Book, BookFault, NewReading, NewRecheck, Refusal};
use slackwater_core::domain::facts::{Gauge, HoldSetup, SeenFact, ValveOpen, VerdictFact};
use slackwater_core::domain::readiness::{Obstacle, Remark};
use slackwater_core::physics::hold::{RecheckResult, ShutIn, Stood, Verdict};
use slackwater_core::screens::common::{FieldValue, Outcome, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::phone::AirReading;
use slackwater_core::screens::recheck::RecheckAction;
use slackwater_core::screens::{Action, Screen};

/// Pressure outside unless a test says otherwise, mbar. There the main housing's limit of 60 mL per dive (12 L,
/// 20 m, 60 min) is 24 mbar/h by [`water_ml`].
const AIR: f64 = 1013.0;

fn day() -> (tempfile::TempDir, Day) {
    let dir = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(dir.path()).expect("a rig");
    day.ready().expect("ready");
    assert!(ready(&day), "{:?}", obstacles(&day));
    (dir, day)
}

fn obstacles(day: &Day) -> Vec<Obstacle> {
    day.book.readiness(&day.rig).expect("judged").obstacles
}

fn remarks(day: &Day) -> Vec<Remark> {
    day.book.readiness(&day.rig).expect("judged").remarks
}

fn ready(day: &Day) -> bool {
    obstacles(day).is_empty()
}

/// What is read at a moment: gauge below ambient in mbar to `step`, °C, mbar of air; none where not read.
fn read(gauge: f64, step: f64, c: Option<f64>, air: Option<f64>) -> NewReading {
    NewReading {
        gauge_pa: (gauge / step).round() * step * 100.0,
        temperature_k: c.map(|c| c + 273.15),
        ambient_pa: air.map(|a| a * 100.0),
        barometer: None,
        confirmed: false,
    }
}

/// A hold of 'main' that is tight and settled, read each minute until it is holding; ends it.
fn hold_main(day: &mut Day, source: &str, step: f64, c: Option<f64>, air: Option<f64>) -> String {
    hold_with(day, source, step, c, air, |_| 200.3)
}

thread_local! {
    /// Which gauge on record a hold is read with.
    static GAUGE: std::cell::RefCell<Option<String>> = const { std::cell::RefCell::new(None) };
    /// What is said to be shut in.
    static SAID: std::cell::Cell<ShutIn> = const { std::cell::Cell::new(ShutIn::NOTHING) };
}

fn hold_unsaid(
    day: &mut Day,
    source: &str,
    step: f64,
    c: Option<f64>,
    air: Option<f64>,
    gauge: impl Fn(f64) -> f64,
) -> String {
    SAID.with(|s| s.set(ShutIn::default()));
    let id = hold_with(day, source, step, c, air, gauge);
    SAID.with(|s| s.set(ShutIn::NOTHING));
    id
}

fn hold_with(
    day: &mut Day,
    source: &str,
    step: f64,
    c: Option<f64>,
    air: Option<f64>,
    gauge: impl Fn(f64) -> f64,
) -> String {
    hold_at(day, source, step, air, |m| (gauge(m), c))
}

/// As [`hold_main`], of a truth: gauge and thermometer at each minute.
fn hold_at(
    day: &mut Day,
    source: &str,
    step: f64,
    air: Option<f64>,
    truth: impl Fn(f64) -> (f64, Option<f64>),
) -> String {
    let shown = |m: f64| {
        let (gauge, c) = truth(m);
        read(gauge, step, c.map(|c| (c * 10.0).round() / 10.0), air)
    };
    let facts = day.book.rig(&day.rig).expect("the rig");
    let def = facts.def.enclosure("main").expect("main");
    let setup = HoldSetup {
        gauge_resolution_pa: step * 100.0,
        shows_its_steps: true,
        temperature_source: source.into(),
        shut_in: SAID.with(|s| s.get()),
        gauge: GAUGE.with(|g| g.borrow().clone()),
        valve_open: Some(ValveOpen::Nothing),
        ..Book::hold_setup(def, &facts.def.plan)
    };
    let id = day
        .book
        .start_hold(&day.rig, setup, shown(0.0))
        .expect("begun");
    for minute in 1..=120 {
        day.minutes(1);
        day.book
            .add_reading(&id, shown(f64::from(minute)))
            .expect("read");
        let judged = day.book.hold(&id).expect("judged");
        let verdict = judged.judgement.as_ref().map(|j| j.verdict);
        if minute >= 15 && verdict != Some(Verdict::NotYet) {
            println!("{source}: {verdict:?} after {minute} min");
            break;
        }
    }
    day.book.conclude_hold(&id).expect("ended");
    id
}

/// Rechecks main; says what came of it.
fn recheck(day: &mut Day, r: NewReading) -> VerdictFact {
    let new = NewRecheck {
        reading: r,
        camera_on: Some(false),
        brought: None,
    };
    let asked = day
        .book
        .recheck_doubts(&day.rig, "main", &new, Default::default())
        .expect("asked");
    if !asked.all.is_empty() {
        println!("asked: {:?}", asked.all);
    }
    day.book
        .record_recheck(&day.rig, "main", new)
        .expect("rechecked");
    let rig = day.book.rig(&day.rig).expect("the rig");
    let main = rig.enclosure("main").expect("main");
    let last = &main.recheck.as_ref().expect("a recheck").1;
    println!(
        "read {:.1} foretold {:.1} between {:?} {:?}",
        r.gauge_pa / 100.0,
        last.expected_pa / 100.0,
        last.between_pa.map(|b| [b[0] / 100.0, b[1] / 100.0]),
        last.result
    );
    last.verdict
}

/// The plug in, seen by two.
fn plug(day: &mut Day) {
    day.book.plug_on(&day.rig, "main").expect("plug");
    day.book.sign_plugs(&day.rig, &day.dp).expect("signed");
}

/// Gauge of a housing whose inside stood at AIR − 200.3 at 25 °C, at `c` °C with `lost` mbar let in.
fn so(c: f64, air: f64, held_air: f64, lost: f64) -> f64 {
    air - ((held_air - 200.3) * (c + 273.15) / 298.15 + lost)
}

/// A recheck that was read under an easier plan is none for a harder one. A thermometer in the air and a
/// gauge of 1 mbar: two minutes after the hold the page says 'too soon to tell'. With the plan at 1 m and
/// 1 min the same reading is 'as it should', though two and a half times the limit leaks (60 mbar/h); the plan
/// goes back to what was held for, and the rig is ready for two hours.
#[test]
fn a_recheck_under_an_easier_plan_does_not_count_for_the_harder_one() {
    let (_dir, mut day) = day();
    hold_main(&mut day, "air", 1.0, Some(25.0), Some(AIR));
    let was = day.book.rig(&day.rig).expect("the rig").def.clone();
    let per_h = 60.0;
    day.minutes(2);
    let now = read(
        so(25.0, AIR, AIR, per_h * 2.0 / 60.0),
        1.0,
        Some(25.0),
        Some(AIR),
    );
    let under = |day: &Day| {
        let new = NewRecheck {
            reading: now,
            camera_on: Some(false),
            brought: None,
        };
        let j = day
            .book
            .preview_recheck(&day.rig, "main", new)
            .expect("judged")
            .judgement;
        println!("{:?} sees {} wait {:?}", j.result, j.sees, j.wait_s);
        j.sees
    };
    assert!(
        !under(&day),
        "under the plan that was held for it is too soon"
    );
    let mut easy = was.clone();
    easy.plan.depth_m = 1.0;
    easy.plan.minutes = 1.0;
    day.book.edit_rig(&day.rig, easy).expect("edited");
    let said = recheck(&mut day, now);
    println!("under the easy plan: {said:?}");
    day.book.edit_rig(&day.rig, was).expect("edited");
    plug(&mut day);
    println!("{:?} {:?}", obstacles(&day), remarks(&day));
    assert!(
        !ready(&day),
        "ready with a leak of two and a half times the limit, on a recheck that could not have told"
    );
}

/// The thermometer stands in the air; from a room of 25 °C the rig goes onto a deck of 35 °C. A quarter of
/// an hour later the gas has come a third of the way (40 min). It is tight.
#[test]
fn a_tight_rig_brought_into_warmer_air_is_not_called_changed() {
    let (_dir, mut day) = day();
    hold_main(&mut day, "air", 0.1, Some(25.0), Some(AIR));
    day.minutes(15);
    let gas = 35.0 - 10.0 * (-15.0_f64 / 40.0).exp();
    let said = recheck(
        &mut day,
        read(so(gas, AIR, AIR, 0.0), 0.1, Some(35.0), Some(AIR)),
    );
    assert_ne!(said, VerdictFact::Leaking, "a tight rig");
}

/// The same, and two and a half times the limit (60 mbar/h) leaks since the hold's end: 'as it should', and
/// ready.
#[test]
fn a_leak_is_not_hidden_by_air_that_warmed_faster_than_the_gas() {
    for mbar_per_h in [60.0, 75.0] {
        let (_dir, mut day) = day();
        hold_main(&mut day, "air", 0.1, Some(25.0), Some(AIR));
        day.minutes(15);
        let gas = 35.0 - 10.0 * (-15.0_f64 / 40.0).exp();
        let said = recheck(
            &mut day,
            read(
                so(gas, AIR, AIR, mbar_per_h / 4.0),
                0.1,
                Some(35.0),
                Some(AIR),
            ),
        );
        plug(&mut day);
        println!("{mbar_per_h}: {said:?} {:?}", obstacles(&day));
        assert!(
            !ready(&day),
            "ready at {mbar_per_h} mbar/h, where 24 are the limit"
        );
    }
}

/// Held without a barometer, rechecked with one that shows 985 mbar (as at 240 m above the sea). It is tight,
/// and is called changed: the hold's air is taken to have been the standard one.
#[test]
fn a_barometer_first_read_at_the_recheck_makes_no_change() {
    let (_dir, mut day) = day();
    hold_main(&mut day, "inside", 0.1, Some(25.0), None);
    day.minutes(20);
    let said = recheck(&mut day, read(200.3, 0.1, Some(25.0), Some(985.0)));
    assert_ne!(said, VerdictFact::Leaking, "a tight rig");
}

/// Of 990 mbar, and what that is below the standard air leaked in meanwhile: 23 mbar in 20 minutes, three times
/// the limit. 'As it should', and ready.
#[test]
fn a_barometer_first_read_at_the_recheck_hides_no_leak() {
    let (_dir, mut day) = day();
    let air = 990.0;
    hold_main(&mut day, "inside", 0.1, Some(25.0), None);
    day.minutes(20);
    let lost = 1013.25 - air;
    let said = recheck(
        &mut day,
        read(so(25.0, air, air, lost), 0.1, Some(25.0), Some(air)),
    );
    plug(&mut day);
    println!("{said:?} {:?}", obstacles(&day));
    assert!(!ready(&day), "ready with {lost} mbar lost in 20 min");
}

/// Held with a barometer at 300 m, driven to the beach, where nobody reads the barometer: 36 mbar more air.
/// As much leaked in within the hour, one and a half times the limit: 'as it should', and ready.
#[test]
fn a_drive_to_the_beach_without_a_barometer_hides_no_leak() {
    let (_dir, mut day) = day();
    hold_main(&mut day, "inside", 0.1, Some(25.0), Some(977.0));
    day.minutes(60);
    let said = recheck(
        &mut day,
        read(so(25.0, AIR, 977.0, 36.0), 0.1, Some(25.0), None),
    );
    plug(&mut day);
    println!("{said:?} {:?}", obstacles(&day));
    assert!(
        !ready(&day),
        "ready with 36 mbar lost in an hour, where 24 are the limit"
    );
}

/// A leak at `rate` begins at the hold's end; the crew rechecks every ten minutes. What passes last?
fn walked(source: &str, step: f64, rate: f64, every: i64, until: i64) -> (f64, usize) {
    let (_dir, mut day) = day();
    hold_main(&mut day, source, step, Some(25.0), Some(AIR));
    let (mut t, mut last, mut passed) = (0, 0.0, 0);
    while t < until {
        day.minutes(every);
        t += every;
        let lost = rate * t as f64 / 60.0;
        match recheck(
            &mut day,
            read(so(25.0, AIR, AIR, lost), step, Some(25.0), Some(AIR)),
        ) {
            VerdictFact::Holding => {
                passed += 1;
                last = lost;
            }
            VerdictFact::Leaking => break,
            VerdictFact::NotYet => {}
        }
    }
    (last, passed)
}

/// Rechecks that each read 'as it should' walk no loss down over a tenth of the vacuum. (This holds.)
#[test]
fn a_leak_is_not_walked_down_by_many_rechecks() {
    for (source, rate, every) in [("air", 3.0, 10), ("air", 6.0, 10), ("surface", 3.0, 30)] {
        let (last, passed) = walked(source, 1.0, rate, every, 360);
        println!(
            "{source} {rate} mbar/h every {every} min: {passed} passed, the last at {last} mbar lost"
        );
        assert!(last < 20.0, "{source} {rate} mbar/h: {last} mbar");
    }
}

/// The battery is inside the main housing. One tap on the trim page says that the large one is in its
/// place: the housing was opened for it.
#[test]
fn another_battery_inside_a_closed_housing_opens_it() {
    let (_dir, mut day) = day();
    let refused = day.book.fit_part(&day.rig, "large-battery", true);
    let shut = matches!(refused, Err(BookFault::Refused(Refusal::InsideShut { .. })));
    assert!(shut, "{refused:?}");
    assert!(ready(&day), "{:?}", obstacles(&day));
    day.book
        .open_closure(&day.rig, "main", Some("back"))
        .expect("opened");
    day.book
        .fit_part(&day.rig, "large-battery", true)
        .expect("fitted");
    assert!(!ready(&day), "ready, though the battery inside was changed");
}

/// The rig was lowered into the water and how it hung was noted: it has been in the water since its
/// recheck, as by a dive.
#[test]
fn a_rig_seen_in_the_water_was_in_it_since_its_recheck() {
    let (_dir, mut day) = day();
    let net = SeenFact {
        way: slackwater_core::domain::facts::Way::Up,
        amount: Some(40.0),
        sd: Some(20.0),
    };
    day.book
        .saw_in_water(&day.rig, Some(net), None, None)
        .expect("seen");
    println!("{:?} {:?}", obstacles(&day), remarks(&day));
    assert!(
        !ready(&day),
        "ready on a recheck from before it was in the water"
    );
}

/// A recheck found a fifth of the vacuum gone; a new hold is quiet and nothing was opened in between. After
/// a hold that leaked the rig's page says so; after such a recheck it says nothing.
#[test]
fn a_change_before_the_hold_is_told_as_a_leak_before_it_is() {
    let (_dir, mut day) = day();
    day.minutes(60);
    let said = recheck(&mut day, read(160.0, 0.1, Some(25.0), Some(AIR)));
    assert_eq!(said, VerdictFact::Leaking);
    hold_main(&mut day, "inside", 0.1, Some(25.0), Some(AIR));
    day.minutes(15);
    recheck(&mut day, read(200.3, 0.1, Some(25.0), Some(AIR)));
    plug(&mut day);
    println!("{:?} {:?}", obstacles(&day), remarks(&day));
    let told = remarks(&day)
        .iter()
        .any(|r| matches!(r, Remark::LeakedBefore { .. }));
    assert!(
        told || !ready(&day),
        "ready without a word of the leak that was found an hour ago"
    );
}

/// After pumping the gas is some kelvin cold and settles; the hold is begun at once and judged as the app
/// asks. A tight rig then reads as it should.
#[test]
fn a_tight_rig_that_settles_is_not_called_changed() {
    let mut wrong = Vec::new();
    for source in ["surface", "air"] {
        for (cold, tau) in [(6.0, 15.0), (8.0, 25.0)] {
            let (_dir, mut day) = day();
            let c = Some(25.0);
            let at = move |m: f64| AIR - 812.7 * (298.15 - cold * f64::exp(-m / tau)) / 298.15;
            let t0 = std::cell::Cell::new(0.0);
            hold_with(&mut day, source, 1.0, c, Some(AIR), |m| {
                t0.set(m);
                at(m)
            });
            for wait in [15, 30, 60] {
                day.minutes(wait);
                t0.set(t0.get() + wait as f64);
                let rig = day.book.rig(&day.rig).expect("rig");
                let holds = &rig.enclosure("main").expect("main").holds[0];
                if holds
                    .concluded
                    .as_ref()
                    .is_some_and(|c| c.2.verdict == VerdictFact::Holding)
                {
                    let said = recheck(&mut day, read(at(t0.get()), 1.0, c, Some(AIR)));
                    if said == VerdictFact::Leaking {
                        wrong.push((source, cold, tau, wait));
                        break;
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "tight, and called changed: {wrong:?}");
}

/// The rig came out of the water warmer than the air, nobody says where it stood; its wall cools while it is
/// held, and a leak over the limit hides behind it. (This holds.)
#[test]
fn a_cooling_wall_hides_no_leak_in_a_hold() {
    let mut passed = Vec::new();
    for (kelvin, tau) in [(8.0, 60.0), (5.0, 40.0)] {
        for rate in [26.0, 40.0] {
            let (_dir, mut day) = day();
            let at = move |m: f64| {
                AIR - (812.7 * (298.15 + kelvin * f64::exp(-m / tau)) / (298.15 + kelvin)
                    + rate * m / 60.0)
            };
            hold_unsaid(&mut day, "air", 1.0, Some(25.0), Some(AIR), at);
            let rig = day.book.rig(&day.rig).expect("rig");
            let hold = &rig.enclosure("main").expect("main").holds[0];
            let verdict = hold.concluded.as_ref().map(|c| c.2.verdict);
            println!("== wall {kelvin} K {tau} min {rate} mbar/h: {verdict:?}");
            if verdict == Some(VerdictFact::Holding) {
                passed.push((kelvin, tau, rate));
            }
        }
    }
    assert!(passed.is_empty(), "{passed:?}");
}

fn text(desk: &Desk, place: &Place) -> String {
    let page = desk.page(place).expect("a page");
    let raw = format!("{page:?}");
    // Only what is in quotes.
    let mut out = String::new();
    for (i, part) in raw.split('"').enumerate() {
        if i % 2 == 1 && part.contains(' ') && !part.starts_with('{') {
            out.push_str("  | ");
            out.push_str(part);
            out.push('\n');
        }
    }
    out
}

/// Water that a passage lets in on the planned dive, mL, by Poiseuille: what lets the pressure inside rise by
/// `rate` mbar/h at this air and vacuum (gas: Q = c(p₁² − p₂²)) lets in 2·c·Δp·μ(gas)/μ(water).
fn water_ml(day: &Day, rate: f64, air: f64, gauge: f64) -> f64 {
    let rig = day.book.rig(&day.rig).expect("rig");
    let plan = &rig.def.plan;
    let v = rig.def.enclosure("main").expect("main").volume_l * 1e-3;
    let (p1, p2) = (air * 100.0, (air - gauge) * 100.0);
    let c = rate * 100.0 / 3600.0 * v / (p1 * p1 - p2 * p2);
    let dp = p1 + 1025.0 * 9.81 * plan.depth_m - p2;
    let water = slackwater_checks::nature::water_viscosity(plan.water_c, plan.salinity_g_kg);
    let gas = slackwater_checks::nature::air_viscosity(298.15);
    2.0 * c * dp * gas / water * plan.minutes * 60.0 * 1e6
}

/// At a lake at 2000 m (795 mbar) without a barometer the same fall of the gauge is a larger passage than
/// at the sea. A leak over the limit, held for two hours.
#[test]
fn a_mountain_lake_without_a_barometer_hides_no_leak_over_the_limit() {
    for over in [1.03, 1.08, 1.15] {
        let (_dir, mut day) = day();
        let mut def = day.book.rig(&day.rig).expect("rig").def.clone();
        def.enclosures[0].volume_sd_l = 0.1;
        day.book.edit_rig(&day.rig, def).expect("measured");
        let limit = day
            .book
            .rig(&day.rig)
            .expect("rig")
            .def
            .enclosure("main")
            .expect("main")
            .limit();
        let rate = over * limit / water_ml(&day, 1.0, 795.0, 200.3);
        let id = hold_with(&mut day, "inside", 0.1, Some(25.0), None, |m| {
            200.3 - rate * m / 60.0
        });
        let judged = day.book.hold(&id).expect("hold");
        let j = judged.judgement.as_ref().expect("judged");
        println!(
            "{over}: {rate:.1} mbar/h is {:.0} mL of {limit}; told {:.0} ({:.0} to {:.0}) {:?}",
            over * limit,
            j.leak_ml,
            j.low_ml,
            j.high_ml,
            j.verdict
        );
        assert_ne!(j.verdict, Verdict::Holding, "{over} times the limit");
    }
}

/// A probe on the wall, into warmer air: the wall comes with 40 min, the gas follows the wall with 10. It is tight,
/// and is called changed.
#[test]
fn a_tight_rig_whose_gas_follows_its_wall_is_not_called_changed() {
    for (warmer, after) in [(10.0, 15), (10.0, 20), (10.0, 30), (-10.0, 20), (6.0, 20)] {
        let (_dir, mut day) = day();
        hold_main(&mut day, "surface", 0.1, Some(25.0), Some(AIR));
        day.minutes(after);
        let (mut wall, mut gas) = (25.0, 25.0);
        for _ in 0..after * 60 {
            wall += (25.0 + warmer - wall) / 2400.0;
            gas += (wall - gas) / 600.0;
        }
        let said = recheck(
            &mut day,
            read(so(gas, AIR, AIR, 0.0), 0.1, Some(wall), Some(AIR)),
        );
        println!("== {warmer} K after {after} min: wall {wall:.1} gas {gas:.1} {said:?}");
        assert_ne!(
            said,
            VerdictFact::Leaking,
            "a tight rig, {warmer} K after {after} min"
        );
    }
}

/// What is told of a rig whose gas is at `gas` °C and that lost so much, mbar, where that is wrong: a loss that reads as
/// foretold, a tight rig that shows more vacuum.
fn wrongly_judged(day: &Day, gas: f64) -> Vec<(f64, Option<RecheckResult>)> {
    let mut wrong = Vec::new();
    for lost in [0.0, 25.0, 30.0, 35.0, 40.0] {
        let new = NewRecheck {
            reading: read(so(gas, AIR, AIR, lost), 0.1, Some(25.0), Some(AIR)),
            camera_on: Some(false),
            brought: None,
        };
        let preview = day
            .book
            .preview_recheck(&day.rig, "main", new)
            .expect("judged");
        let j = preview.judgement;
        println!(
            "{lost} mbar lost: {:?} foretold {:.1} {:?}",
            preview.came_up,
            j.foretold_pa / 100.0,
            j.result
        );
        let passes = j.result == Some(RecheckResult::AsForetold);
        let changed = j.result == Some(RecheckResult::MoreVacuum);
        if (lost > 0.0 && passes) || (lost == 0.0 && changed) {
            wrong.push((lost, j.result));
        }
    }
    wrong
}

/// The dive is logged as the rig goes in, with its 60 minutes; the rig comes up cold from 8 °C into 25 °C
/// and is rechecked ten minutes later. A tight one is called changed; with 25 to 40 mbar lost it reads 'as it
/// should': the app takes it to have been warming since the log was written.
#[test]
fn a_dive_logged_at_its_beginning_makes_no_warm_rig_of_a_cold_one() {
    let (_dir, mut day) = day();
    let mut def = day.book.rig(&day.rig).expect("rig").def.clone();
    def.plan.water_c = 8.0;
    day.book.edit_rig(&day.rig, def).expect("plan");
    hold_main(&mut day, "air", 0.1, Some(25.0), Some(AIR));
    day.minutes(15);
    recheck(&mut day, read(200.3, 0.1, Some(25.0), Some(AIR)));
    plug(&mut day);
    day.book.log_dive(&day.rig, 20.0, 60.0, "").expect("logged");
    day.minutes(70);
    // Ten minutes on deck.
    let gas = 25.0 - 17.0 * f64::exp(-10.0 / 40.0);
    let wrong = wrongly_judged(&day, gas);
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// A quarter of the vacuum was found gone since the hold. The recheck's page says 'Don't dive it: hold again',
/// the hold's page 'Tight to 26 mL per dive', with 'Record the plug in' at the thumb and no word of the change.
#[test]
fn the_page_of_a_hold_tells_of_the_change_since() {
    let (_dir, mut d) = day();
    let hold = hold_main(&mut d, "surface", 0.1, Some(25.0), Some(AIR));
    d.minutes(60);
    assert_eq!(
        recheck(&mut d, read(150.0, 0.1, Some(25.0), Some(AIR))),
        VerdictFact::Leaking
    );
    let Day { book, rig, .. } = d;
    let desk = Desk::new(book, 0);
    let recheck = text(&desk, &Place::Recheck { rig });
    assert!(recheck.contains("Don't dive it"), "{recheck}");
    let page = text(&desk, &Place::Hold { hold, form: None });
    assert!(
        page.to_lowercase().contains("changed") || page.contains("Don't dive"),
        "{}",
        &page[..600]
    );
}

/// A probe inside that lags by 20 min, in a rig brought out of the sun: its gas cools by 10 K while it is held,
/// and a leak of 30 mbar/h (the limit is 24) hides behind that: *holding*, also where 'moved' was said.
#[test]
fn a_lagging_thermometer_hides_no_leak_in_a_hold() {
    let moved = ShutIn {
        stood: Some(Stood::Moved),
        ..ShutIn::NOTHING
    };
    let mut passed = Vec::new();
    for (said, words) in [(moved, "moved"), (ShutIn::NOTHING, "here")] {
        for source in ["surface", "inside"] {
            for lag in [10.0, 20.0] {
                for (kelvin, tau) in [(10.0, 40.0)] {
                    for rate in [30.0, 45.0] {
                        let (_dir, mut day) = day();
                        SAID.with(|s| s.set(said));
                        let truth = move |m: f64| {
                            let gas = 25.0 + kelvin * f64::exp(-m / tau);
                            // A first-order lag that had settled in the sun.
                            let shown = 25.0
                                + kelvin * (tau * f64::exp(-m / tau) - lag * f64::exp(-m / lag))
                                    / (tau - lag);
                            let inside = 812.7 * (gas + 273.15) / (25.0 + kelvin + 273.15);
                            (AIR - inside - rate * m / 60.0, Some(shown))
                        };
                        hold_at(&mut day, source, 0.1, Some(AIR), truth);
                        SAID.with(|s| s.set(ShutIn::NOTHING));
                        let rig = day.book.rig(&day.rig).expect("rig");
                        let hold = &rig.enclosure("main").expect("main").holds[0];
                        let verdict = hold.concluded.as_ref().map(|c| c.2.verdict);
                        if verdict == Some(VerdictFact::Holding) {
                            println!(
                                "== PASSED {words} {source} lag {lag} {kelvin} K {tau} min {rate} mbar/h"
                            );
                            passed.push((words, source, lag, kelvin, tau, rate));
                        }
                    }
                }
            }
        }
    }
    assert!(passed.is_empty(), "{passed:?}");
}

/// One dive was logged in the morning. Of the second nobody wrote a log, but the turnaround was begun as it
/// came up, which the app takes for a dive. The rig is as cold as after any dive, whatever the morning's was.
#[test]
fn a_turnaround_after_an_unlogged_dive_finds_a_cold_rig_though_one_was_logged_before() {
    let (_dir, mut day) = day();
    let mut def = day.book.rig(&day.rig).expect("rig").def.clone();
    def.plan.water_c = 8.0;
    day.book.edit_rig(&day.rig, def).expect("plan");
    hold_main(&mut day, "air", 0.1, Some(25.0), Some(AIR));
    day.minutes(15);
    day.book.log_dive(&day.rig, 20.0, 60.0, "").expect("logged");
    day.minutes(150);
    recheck(&mut day, read(200.3, 0.1, Some(25.0), Some(AIR)));
    plug(&mut day);
    // It goes in again for an hour.
    day.minutes(70);
    day.book.start_prep(&day.rig, "turnaround").expect("begun");
    day.minutes(10);
    let gas = 25.0 - 17.0 * f64::exp(-10.0 / 40.0);
    let wrong = wrongly_judged(&day, gas);
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// A member brings in the log of a hold of this housing, made after it was closed and held here: it leaks.
#[test]
fn a_log_of_a_leak_since_the_closing_is_not_passed_over() {
    let (_dir, mut day) = day();
    day.minutes(20);
    let rig = day.book.rig(&day.rig).expect("rig");
    let name = rig.def.enclosure("main").expect("main").name.clone();
    let mut log = format!(
        "# hold-log: 1\n# enclosure: {name}\n# volume_L: 12.0\n# volume_sd_L: 1.0\n# gauge: below_ambient\n# gauge_unit: mbar\n# gauge_resolution: 0.1\n# temperature_source: inside\n# camera: cold\n# desiccant: none\n# place: here\n# valve_closed: 2026-06-01T09:20:00Z\ntime_s,gauge,temperature_C,ambient_mbar\n"
    );
    for m in 0..20 {
        log.push_str(&format!(
            "{},{:.1},25.0,1013.0\n",
            m * 60,
            200.0 - 2.0 * f64::from(m)
        ));
    }
    let hold = day
        .book
        .import_hold(&day.rig, "main", &log, false)
        .expect("taken");
    let judged = day.book.hold(&hold).expect("hold");
    println!(
        "{:?} {:?}",
        judged.judgement.as_ref().map(|j| j.verdict),
        judged.hold.setup.noticed
    );
    println!("{:?} {:?}", obstacles(&day), remarks(&day));
    let told = remarks(&day)
        .iter()
        .any(|r| !matches!(r, Remark::SealAgeUnknown { .. } | Remark::Untrimmed { .. }));
    assert!(
        !ready(&day) || told,
        "ready without a word of a leak of five times the limit that a member brought in"
    );
}

/// The recheck page as a crew works it: the air form sent as it stands but for the temperatures, which are
/// typed; then the gauge.
struct Deck {
    desk: Desk,
    at: Place,
    /// The phone's own barometer answers.
    by_phone: bool,
}

impl Deck {
    fn of(day: Day) -> (Deck, String) {
        let rig = day.rig.clone();
        let at = Place::Recheck { rig: rig.clone() };
        (
            Deck {
                desk: Desk::new(day.book, 0),
                at,
                by_phone: false,
            },
            rig,
        )
    }

    fn barometer(&mut self, mbar: f64) {
        self.by_phone = true;
        self.desk.offer_air_pressure(&AirReading {
            pressure_pa: mbar * 100.0,
            error_pa: None,
            step_pa: None,
            every_s: None,
        });
    }

    fn screen(&self) -> slackwater_core::screens::recheck::RecheckScreen {
        match self.desk.show(&self.at).expect("the page") {
            Screen::Recheck { screen } => screen,
            other => panic!("{other:?}"),
        }
    }

    fn send(&mut self, form: &str, values: Vec<FieldValue>) {
        let done = self.sent(form, values);
        assert!(done.faults.is_empty(), "{done:?}");
    }

    fn sent(&mut self, form: &str, values: Vec<FieldValue>) -> Outcome {
        let action = RecheckAction::Submit {
            form: form.into(),
            values,
        };
        let done = self
            .desk
            .act(&self.at, Action::Recheck { action })
            .expect("it acts");
        println!("said: {:?}", done.said);
        done
    }

    fn air(&mut self, c: &str) {
        let fields = self.screen().air.fields;
        let by_phone = self.by_phone;
        let values = fields.into_iter().map(|f| {
            let value = if f.key.starts_with("temperature") {
                c.to_owned()
            } else if f.key == "ambient" && !by_phone {
                format!("{AIR:.1}")
            } else if f.key.starts_with("camera") {
                "off".into()
            } else {
                f.value
            };
            FieldValue { key: f.key, value }
        });
        let values = values.collect();
        self.send("air", values);
    }

    fn gauge(&mut self, mbar: f64) {
        let value = format!("{mbar:.1}");
        self.send(
            "reading/main",
            vec![FieldValue {
                key: "gauge".into(),
                value,
            }],
        );
    }
}

/// As a crew works it. Held by a phone without a barometer; at the recheck one answers and is taken by
/// itself. It is 990 mbar; 23 mbar leaked in 20 minutes. 'Nothing has changed', 'ready until'.
#[test]
fn a_barometer_that_answers_only_at_the_recheck_hides_no_leak() {
    let (_dir, mut d) = day();
    hold_main(&mut d, "inside", 0.1, Some(25.0), None);
    d.minutes(20);
    let dp = d.dp.clone();
    let (mut deck, rig) = Deck::of(d);
    deck.barometer(990.0);
    deck.air("25.0");
    deck.gauge(so(25.0, 990.0, 990.0, 23.0));
    deck.desk.book_mut().plug_on(&rig, "main").expect("plug");
    deck.desk.book_mut().sign_plugs(&rig, &dp).expect("signed");
    let screen = deck.screen();
    println!("{} {:?}", screen.answer, screen.items[0].state);
    assert!(!screen.answer.contains("ready"), "{}", screen.answer);
}

/// The air is noted on the pass, the gauge is read some minutes further down (later it is asked for anew), where the phone's own
/// barometer shows 60 mbar more. As much leaked in.
#[test]
fn air_noted_on_the_pass_is_not_the_air_in_the_valley() {
    let (_dir, mut d) = day();
    hold_main(&mut d, "inside", 0.1, Some(25.0), Some(950.0));
    d.minutes(60);
    let dp = d.dp.clone();
    let clock = d.clock.clone();
    let (mut deck, rig) = Deck::of(d);
    deck.barometer(950.0);
    deck.air("25.0");
    clock.advance(8 * 60_000);
    deck.barometer(1010.0);
    let value = format!("{:.1}", so(25.0, 1010.0, 950.0, 60.0));
    let typed = |key: &str, value: String| FieldValue {
        key: key.into(),
        value,
    };
    // By the air as it is now 60 mbar are missing: it is asked about, and said to be so it is a change.
    let out = deck.sent("reading/main", vec![typed("gauge", value.clone())]);
    assert_eq!(out.faults.len(), 1, "{out:?}");
    let sure = deck.screen().items[0].form.clone().expect("a form");
    let sure = sure.fields.iter().find(|f| f.key.starts_with("sure:"));
    let sure = sure.expect("a switch").key.clone();
    deck.send(
        "reading/main",
        vec![typed("gauge", value), typed(&sure, "yes".into())],
    );
    deck.desk.book_mut().plug_on(&rig, "main").expect("plug");
    deck.desk.book_mut().sign_plugs(&rig, &dp).expect("signed");
    let screen = deck.screen();
    println!("{} {:?}", screen.answer, screen.items[0].state);
    assert!(!screen.answer.contains("ready"), "{}", screen.answer);
}

/// Held at 200.3 mbar, read at 170.0 in the same air at the same temperature: 30 mbar are lost, and the same
/// page says 21, 'weather taken out'.
#[test]
fn what_was_lost_is_what_the_gauge_fell_in_the_same_weather() {
    let (_dir, mut d) = day();
    hold_main(&mut d, "surface", 0.1, Some(25.0), Some(AIR));
    d.minutes(40);
    d.book
        .record_recheck(&d.rig, "main", read(170.0, 0.1, Some(25.0), Some(AIR)))
        .expect("read");
    let rig = d.rig.clone();
    let desk = Desk::new(d.book, 0);
    let id = rig.clone();
    let at = Place::Recheck { rig };
    let page = text(&desk, &at);
    let line = page
        .lines()
        .find(|l| l.contains("less vacuum than the hold and the weather foretell"))
        .expect("said");
    let digits: String = line
        .chars()
        .skip_while(|c| !c.is_ascii_digit())
        .take_while(|c| c.is_ascii_digit())
        .collect();
    let lost: f64 = digits.parse().expect("a number");
    // What it is held against stands on the same page: two figures, and their difference.
    let rig = desk.book().rig(&id).expect("the rig");
    let fact = &rig
        .enclosure("main")
        .expect("main")
        .recheck
        .as_ref()
        .expect("read")
        .1;
    let foretold = fact.expected_pa / 100.0;
    assert!(
        (lost - (foretold - 170.0)).abs() <= 1.0,
        "{foretold} foretold, 170.0 read; {line}"
    );
}

/// A hold leaked; one after it was given up after three minutes; a third is quiet. Nothing was opened. With
/// the leaking hold right before it the rig's page says so; with one in between it says nothing.
#[test]
fn a_hold_given_up_in_between_makes_no_leak_forgotten() {
    let leaked = |day: &Day| {
        remarks(day)
            .iter()
            .any(|r| matches!(r, Remark::LeakedBefore { .. }))
    };
    for between in [false, true] {
        let (_dir, mut day) = day();
        hold_with(&mut day, "inside", 0.1, Some(25.0), Some(AIR), |m| {
            200.3 - 2.0 * m
        });
        if between {
            day.minutes(5);
            let rig = day.rig.clone();
            let id =
                slackwater_checks::drive::begin_hold(&mut day.book, &rig, "main").expect("begun");
            day.minutes(3);
            day.book
                .add_reading(&id, read(200.0, 0.1, Some(25.0), Some(AIR)))
                .expect("read");
            day.book
                .abandon_hold(&id, "the hose slipped")
                .expect("given up");
        }
        hold_main(&mut day, "inside", 0.1, Some(25.0), Some(AIR));
        day.minutes(15);
        recheck(&mut day, read(200.3, 0.1, Some(25.0), Some(AIR)));
        plug(&mut day);
        println!("{between}: {:?} {:?}", obstacles(&day), remarks(&day));
        assert!(
            leaked(&day) || !ready(&day),
            "one given up in between: {between}"
        );
    }
}

/// Ten minutes the gauge stands, then a leak of nearly twice the limit begins (45 mbar/h, 112 mL per dive): of a
/// gauge of 1 mbar and a sensor in the gas that shows 25.0 throughout, the last readings are 199, 198, 197, 197.
/// 'Tight to 51 mL per dive'; after a quiet quarter of an hour and 50 mbar/h still at 196.0, 'tight to 40'.
#[test]
fn four_falling_readings_at_the_end_of_a_hold_are_not_holding() {
    let mut wrong = Vec::new();
    for from in [10.0, 16.0] {
        for rate in [36.0, 45.0, 50.0] {
            let (_dir, mut day) = day();
            let truth = |m: f64| 200.3 - rate * f64::max(m - from, 0.0) / 60.0;
            let facts = day.book.rig(&day.rig).expect("the rig");
            let def = facts.def.enclosure("main").expect("main");
            let setup = HoldSetup {
                gauge_resolution_pa: 100.0,
                shows_its_steps: true,
                temperature_source: "inside".into(),
                shut_in: ShutIn::NOTHING,
                valve_open: Some(ValveOpen::Nothing),
                ..Book::hold_setup(def, &facts.def.plan)
            };
            let shown = |m: f64| read(truth(m), 1.0, Some(25.0), Some(AIR));
            let id = day
                .book
                .start_hold(&day.rig, setup, shown(0.0))
                .expect("begun");
            let mut told = Vec::new();
            for m in 1..=30 {
                let m = f64::from(m);
                day.minutes(1);
                day.book.add_reading(&id, shown(m)).expect("read");
                let judged = day.book.hold(&id).expect("judged");
                let j = judged.judgement.as_ref().map(|j| (j.verdict, j.at_most_ml));
                if let Some((Verdict::Holding, most)) = j
                    && m > from
                {
                    told.push((m, shown(m).gauge_pa / 100.0, most.round()));
                }
            }
            println!(
                "== from {from} {rate} mbar/h ({:.0} mL per dive): holding at {told:?}",
                water_ml(&day, rate, AIR, 200.3)
            );
            // Three steps of the gauge.
            wrong.extend(
                told.iter()
                    .filter(|t| t.1 <= 197.0)
                    .map(|t| (from, rate, *t)),
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// Two gauges are on record, and that the one shows 8 mbar more than the other on one vacuum. The hold was read
/// with the first. Read with the second, 8 mbar lost in 15 minutes (32 mbar/h, the limit is 24) are 'as it
/// should': the recheck's page neither asks which gauge it is nor names the one of the hold.
#[test]
fn a_recheck_names_the_gauge_of_its_hold_where_there_are_two() {
    let (_dir, mut d) = day();
    let gauge = |name: &str| Gauge {
        name: name.into(),
        absolute: false,
        unit: "mbar".into(),
        resolution_pa: 10.0,
        accuracy_pa: Some(1000.0),
        checked: String::new(),
        retired: false,
    };
    let pen = d
        .book
        .define_gauge(None, gauge("Pen gauge"))
        .expect("on record");
    let dial = d
        .book
        .define_gauge(None, gauge("Dial gauge"))
        .expect("on record");
    d.book
        .compare_gauges(&dial, &pen, 20_800.0, 20_000.0)
        .expect("compared");
    GAUGE.with(|g| *g.borrow_mut() = Some(pen));
    hold_main(&mut d, "inside", 0.1, Some(25.0), Some(AIR));
    GAUGE.with(|g| *g.borrow_mut() = None);
    d.minutes(15);
    let (mut deck, _) = Deck::of(d);
    deck.air("25.0");
    let page = text(&deck.desk, &deck.at);
    let asked = page.contains("Pen gauge");
    let shown = so(25.0, AIR, AIR, 8.0) + 8.0;
    deck.gauge(shown);
    let screen = deck.screen();
    println!("{} {:?}", screen.answer, screen.items[0].state);
    assert!(
        asked || !screen.items[0].state.starts_with("Read as it should"),
        "{}",
        screen.items[0].state
    );
}
