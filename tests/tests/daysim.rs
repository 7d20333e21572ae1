//! A short truth simulation with every run of the suite, and that its judge can tell.
//!
//! `SLACKWATER_DAYS` and `SLACKWATER_SEED` choose other days: CI may well live more of them.

use slackwater_checks::daysim::dice::Dice;
use slackwater_checks::daysim::oracle::{ControlTruth, Past, wrong};
use slackwater_checks::daysim::run::{live_all, shrink};
use slackwater_checks::daysim::world::{Camera, Leak, Plan, Ring, SealTruth, Vessel, Weather};

/// What is known to be called ready though something could have shown it, and why it is left.
/// Empty it, never add to it lightly.
const KNOWN: [(&str, &str); 3] = [
    (
        "a closure is open",
        "the open enclosure was taken off the rig's list",
    ),
    (
        "opened since its hold; the gauge was read after that",
        "the recheck's foretelling",
    ),
    (
        "it leaks; the last reading had lost enough to show it",
        "the recheck's foretelling",
    ),
];

const PLAN: Plan = Plan {
    depth_m: 20.0,
    minutes: 60.0,
    salinity: 35.0,
    water_c: 20.0,
};

fn number(name: &str, or: u64) -> u64 {
    std::env::var(name)
        .ok()
        .and_then(|v| v.parse().ok())
        .unwrap_or(or)
}

#[test]
fn no_day_calls_ready_what_a_reading_could_have_shown() {
    let days = number("SLACKWATER_DAYS", 60) as usize;
    let seed = number("SLACKWATER_SEED", 20_260_601);
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let tally = live_all(days, seed, threads);
    println!("seed {seed}: {}", tally.json());
    assert!(tally.broke.is_empty(), "seed {seed}: {:?}", tally.broke);
    // A simulation in which nobody ever dives would find nothing.
    assert!(tally.ready * 2 > tally.days, "{}", tally.json());
    assert!(tally.in_order > 0, "{}", tally.json());
    let mut unknown = Vec::new();
    for (f, crews) in tally.wrong.iter().filter(|(f, _)| f.showable) {
        if KNOWN.iter().any(|(cause, _)| *cause == f.cause) {
            continue;
        }
        let example = shrink(days, seed, crews[0], f);
        unknown.push(format!(
            "{} (seed {seed}, crew {}; needs {:?})\n{}",
            f.cause,
            example.crew,
            example.script,
            example.story.join("\n")
        ));
    }
    assert!(unknown.is_empty(), "{}", unknown.join("\n\n"));
}

#[test]
fn the_same_seed_lives_the_same_days_whatever_the_threads() {
    let once = live_all(8, 3, 1).json();
    assert_eq!(once, live_all(8, 3, 2).json());
}

/// An enclosure that is closed, proved and plugged, with its past.
fn proved() -> (Vessel, Past) {
    let mut d = Dice::of(1, &[]);
    let mut v = Vessel::new(&mut d, "main", 12.0, 60.0, 60.0);
    v.closures = vec![("back".into(), false)];
    v.seals = vec![SealTruth {
        id: "back".into(),
        closure: Some("back".into()),
        ring: Ring::Fine,
        pore: 0.0,
        serviced: true,
        said: true,
        told: true,
        damaged: false,
    }];
    v.plug_in = true;
    v.valve_open = false;
    let past = Past {
        opened_s: 10.0,
        opened_told: true,
        held_from_s: 100.0,
        held_to_s: 1_000.0,
        read_s: 2_000.0,
        known_pa: 100.0,
        plug_said: vec![0, 1],
        rechecked_s: 2_000.0,
        ..Past::default()
    };
    (v, past)
}

#[test]
fn the_judge_sees_each_fault_and_whether_it_could_have_shown() {
    type Spoil = fn(&mut Vessel, &mut Past);
    let none = |_: &mut Vessel, _: &mut Past| {};
    let judged = |spoil: Spoil, plan: &Plan| {
        let (mut v, mut p) = proved();
        spoil(&mut v, &mut p);
        wrong(&[v], &[p], &[], plan, 3_000.0, 7_200.0)
            .first()
            .map(|f| (f.showable, f.cause))
    };
    assert_eq!(judged(none, &PLAN), None);
    let leak = |v: &mut Vessel, from_s: f64, only_deep: bool| {
        v.leaks.push(Leak {
            from_s,
            pore: Vessel::pore_of(2.0 * v.limit_ml, &PLAN),
            only_deep,
        });
    };
    let cases: [(Spoil, Option<bool>); 12] = [
        (|v, _| v.closures[0].1 = true, Some(true)),
        (
            |v, p| {
                v.plug_in = false;
                p.plug_said.clear();
            },
            Some(true),
        ),
        (
            |v, p| {
                v.plug_in = false;
                p.plug_said = vec![1];
            },
            Some(true),
        ),
        (|v, _| v.plug_in = false, Some(false)),
        (|v, _| v.wet = true, Some(true)),
        (|v, _| v.been_m = 66.0, Some(true)),
        (
            |v, _| {
                v.seals[0].serviced = false;
                v.seals[0].said = false;
            },
            Some(true),
        ),
        (|v, _| v.seals[0].serviced = false, Some(false)),
        (|_, p| p.opened_s = 1_500.0, Some(true)),
        (
            |_, p| {
                p.opened_s = 2_500.0;
                p.opened_told = false;
            },
            Some(false),
        ),
        (|_, p| p.rechecked_s = -5_000.0, Some(true)),
        (|v, _| v.rated_m = 15.0, Some(true)),
    ];
    for (k, (spoil, showable)) in cases.into_iter().enumerate() {
        assert_eq!(judged(spoil, &PLAN).map(|f| f.0), showable, "case {k}");
    }
    // Leaks, by when they begin.
    for (from_s, only_deep, lost_pa, showable) in [
        (50.0, false, 0.0, true),
        (1_500.0, false, 900.0, true),
        (1_900.0, false, 50.0, false),
        (50.0, true, 0.0, false),
    ] {
        let (mut v, mut p) = proved();
        leak(&mut v, from_s, only_deep);
        p.lost_pa = lost_pa;
        let found = wrong(&[v], &[p], &[], &PLAN, 3_000.0, 7_200.0);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].showable, showable, "{from_s} {found:?}");
    }
    // Controls, by what was said.
    for (said, tried, showable) in [
        (None, None, true),
        (Some((1_500.0, false)), Some(1_500.0), true),
        (Some((1_500.0, true)), Some(1_500.0), false),
        (Some((5.0, true)), Some(5.0), true),
    ] {
        let (v, p) = proved();
        let c = ControlTruth {
            id: "record".into(),
            enclosure: "main".into(),
            dead_s: Some(1_600.0),
            tried_s: tried,
            said,
        };
        let found = wrong(&[v], &[p], &[c], &PLAN, 3_000.0, 7_200.0);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].showable, showable, "{said:?}");
    }
}

#[test]
fn the_world_obeys_the_gas_law_and_its_leaks_what_they_are_said_to_be() {
    let mut d = Dice::of(7, &[]);
    let weather = Weather::new(&mut d);
    let (mut v, _) = proved();
    v.valve_open = true;
    v.go_on(0.0, 3_600.0, &weather, &|_| 298.15);
    v.pump(weather.ambient_pa(3_600.0), 20_000.0);
    v.go_on(3_600.0, 40_000.0, &weather, &|_| 298.15);
    let warm = (v.inside_pa(), v.gas_k());
    v.go_on(40_000.0, 80_000.0, &weather, &|_| 288.15);
    let cold = (v.inside_pa(), v.gas_k());
    // Ten kelvins of 298 are 3.35 % of the pressure, by the ideal gas law.
    assert!((warm.1 - 298.15).abs() < 0.01 && (cold.1 - 288.15).abs() < 0.01);
    assert!((cold.0 / warm.0 - 288.15 / 298.15).abs() < 1e-4);
    // A leak of so many mL a dive takes in so many.
    let pore = Vessel::pore_of(60.0, &PLAN);
    let ml = v.takes_ml(pore, &PLAN);
    assert!((ml - 60.0).abs() < 3.0, "{ml}");
    v.leaks.push(Leak {
        from_s: 0.0,
        pore,
        only_deep: false,
    });
    let before = v.inside_pa();
    v.go_on(80_000.0, 83_600.0, &weather, &|_| 288.15);
    // At the built-in limit 12 L gains about 18 mbar an hour (60 mL an hour at 20 m).
    let gained = (v.inside_pa() - before) / 100.0;
    assert!((10.0..30.0).contains(&gained), "{gained} mbar");
    // Left to itself it comes to the pressure outside and stays there.
    v.go_on(83_600.0, 983_600.0, &weather, &|_| 288.15);
    let ambient = weather.ambient_pa(983_600.0);
    assert!((v.inside_pa() - ambient).abs() < 600.0);
    // A camera that is switched on warms the gas.
    let still = v.gas_k();
    v.set_camera(Camera::On);
    v.go_on(983_600.0, 993_600.0, &weather, &|_| 288.15);
    assert!((0.9..8.1).contains(&(v.gas_k() - still)));
}
