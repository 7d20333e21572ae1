//! The worlds against sums done by hand, and their evidence and level against a second way of reckoning
//! them: as one dense normal distribution of all readings, where the code solves for what is linear.

use std::f64::consts::E;

use super::super::inside::{HUMIDITY, HUMIDITY_OFF};
use super::super::{Dive, GaugeKind, ShutIn};
use super::*;
use crate::gas::saturation_pressure;

const AIR_PA: f64 = 101_325.0;
const GAS_PA: f64 = 81_325.0;
const T_K: f64 = 293.15;
const PER_K: f64 = GAS_PA / T_K;
const ANY: Cameras = Cameras {
    k: (2.0, 8.0),
    not_on: false,
};

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + b.abs())
}

/// A camera that ends 4 K above the wall and stood 1 K above it at the closing; 10 mbar for packs.
fn world(runs: bool) -> World {
    World {
        weight: 1.0,
        camera_k: 4.0,
        camera_s: 1_200.0,
        warm_k: 1.0,
        runs,
        dries_pa: 1_000.0,
        packs_s: 1_800.0,
        level_pa: 0.0,
        level_sd: 0.0,
        settling: Settling::default(),
    }
}

#[test]
fn vapour_and_warmth_come_and_go_by_their_time_constants_from_the_closing_on() {
    for runs in [false, true] {
        let w = world(runs);
        assert_eq!((w.drunk(0.0), w.drunk(-60.0)), (0.0, 0.0));
        assert!(near(w.drunk(1_800.0), 1_000.0 * (1.0 - 1.0 / E)));
        assert!(near(w.drunk(3_600.0), 1_000.0 * (1.0 - 1.0 / (E * E))));
        assert_eq!((w.above(0.0), w.above(-60.0)), (1.0, 1.0));
    }
    // Switched off it cools from where it stood, running it goes on to its end.
    assert!(near(world(false).above(1_200.0), 1.0 / E));
    assert!(near(
        world(true).above(1_200.0),
        1.0 + 3.0 * (1.0 - 1.0 / E)
    ));
    assert!(near(world(true).above(1e6), 4.0));
}

#[test]
fn where_a_camera_stands_later_goes_by_whether_it_runs_then() {
    let held = 1_200.0;
    let at = |runs, camera, t| world(runs).above_at(camera, t, held);
    // On: switched on just now or long ago.
    let on = [(0.1, 1.0), (0.2, 2.0), (0.3, 3.0), (0.4, 4.0)];
    assert_eq!(at(false, Some(true), 9_000.0), on);
    // Off, and it was off: cooler by its time constant.
    let [(share, k)] = at(false, Some(false), 2_400.0)[..] else {
        panic!()
    };
    assert!(share == 1.0 && near(k, 1.0 / (E * E)));
    // Off, and it ran: for half an hour at least, or since the hold.
    let stood = 1.0 + 3.0 * (1.0 - 1.0 / E);
    let off = |t: f64| {
        let [(a, late), (b, soon)] = at(true, Some(false), t)[..] else {
            panic!()
        };
        assert_eq!((a, b), (0.5, 0.5));
        (late, soon)
    };
    let (late, soon) = off(held + 600.0);
    assert!(near(late, stood / E.sqrt()) && near(soon, late));
    let (late, soon) = off(held + 3_600.0);
    assert!(near(late, stood * (-1.5_f64).exp()) && near(soon, stood * (-3.0_f64).exp()));
    assert_eq!(off(held - 600.0), (stood, stood));
    // Nobody said: either, as likely.
    let either = at(false, None, 2_400.0);
    assert_eq!(either.len(), 5);
    assert!(near(either.iter().map(|x| x.0).sum(), 1.0));
    assert!(near(either[0].0, 0.05) && near(either[4].0, 0.5) && near(either[4].1, k));
}

#[test]
fn strata_are_the_middles_of_equal_shares() {
    assert_eq!(strata::<4>((0.0, 8.0)), [1.0, 3.0, 5.0, 7.0]);
    assert_eq!(strata::<2>((-1.0, 1.0)), [-0.5, 0.5]);
    let by_factors = strata_log::<4>((1.0, 256.0));
    for (have, want) in by_factors.iter().zip([2.0, 8.0, 32.0, 128.0]) {
        assert!(near(*have, want), "{by_factors:?}");
    }
}

fn hold(camera: Option<Camera>, desiccant: Option<Desiccant>) -> HoldInput {
    HoldInput {
        volume_m3: 0.012,
        volume_sd_m3: 0.0006,
        gauge: GaugeKind::Absolute,
        gauge_resolution_pa: 10.0,
        temperature_source: TemperatureSource::Surface,
        dive: Dive {
            depth_m: 30.0,
            minutes: 60.0,
            salinity_g_kg: 35.0,
            water_k: 293.15,
        },
        limit_ml: 60.0,
        temperature_sd_k: None,
        barometer_sd_pa: None,
        humidity: None,
        shut_in: ShutIn {
            camera,
            desiccant,
            stood: None,
        },
        zero_pa: 0.0,
        zero_sd_pa: 0.0,
        readings: Vec::new(),
    }
}

#[test]
fn what_the_crew_said_leaves_so_much_and_what_it_did_not_say_all_of_it() {
    let all = |h: &HoldInput, may| possible(h, (T_K, GAS_PA, AIR_PA), may);
    let share = |ws: &[World], of: &dyn Fn(&World) -> bool| {
        (ws.iter().filter(|w| of(w)).map(|w| w.weight)).sum::<f64>()
    };
    let warm = |w: &World| !w.runs && w.warm_k > 0.0;
    let runs = |w: &World| w.runs;
    let dries = |w: &World| w.dries_pa > 0.0;
    // Nothing warm, no packs: it may be switched on later, by 2 to 8 K.
    let cold = all(&hold(Some(Camera::Cold), Some(Desiccant::None)), ANY);
    let kelvins: Vec<f64> = cold.iter().map(|w| w.camera_k).collect();
    assert_eq!(kelvins, [2.5, 3.5, 4.5, 5.5, 6.5, 7.5]);
    assert!(cold.iter().all(|w| near(w.weight, 1.0 / 6.0) && !runs(w)));
    assert!(cold.iter().all(|w| w.warm_k == 0.0 && w.dries_pa == 0.0));
    // Each word by itself, and all together.
    for (camera, off, on) in [(Camera::Warm, 1.0, 0.0), (Camera::On, 0.0, 1.0)] {
        let ws = all(&hold(Some(camera), Some(Desiccant::None)), ANY);
        assert_eq!(ws.len(), 72);
        assert!(near(share(&ws, &runs), on) && near(share(&ws, &|w| !runs(w)), off));
        let ways = if on > 0.0 {
            [0.0, 0.5, 1.0]
        } else {
            [0.2, 0.6, 1.0]
        };
        for way in ways {
            let so = share(&ws, &|w| near(w.warm_k, way * w.camera_k));
            assert!(near(so, 1.0 / 3.0), "{camera:?} {way} {so}");
        }
        for lag in strata_log::<4>(CAMERA_LAG_S) {
            assert!(near(share(&ws, &|w| w.camera_s == lag), 0.25));
        }
    }
    let ws = all(&hold(None, None), ANY);
    assert!(near(share(&ws, &|_| true), 1.0));
    assert!(near(share(&ws, &warm), 0.3) && near(share(&ws, &runs), 0.3));
    assert!(near(share(&ws, &dries), 0.4));
    assert!(near(share(&ws, &|w| warm(w) && dries(w)), 0.12));
    // One that is off now, and that nobody spoke of, did not run; of one that was said to run it counts.
    let off = Cameras {
        not_on: true,
        ..ANY
    };
    let ws = all(&hold(None, Some(Desiccant::None)), off);
    assert!(near(share(&ws, &runs), 0.0) && near(share(&ws, &warm), 0.3));
    let ws = all(&hold(Some(Camera::On), Some(Desiccant::None)), off);
    assert!(near(share(&ws, &runs), 1.0));
}

#[test]
fn packs_take_from_three_tenths_of_the_least_to_all_of_the_most_vapour() {
    // Of the vapour at 60 %, known to 5, the pump left what stays of the air; nine tenths are the most.
    let mut h = hold(Some(Camera::Cold), Some(Desiccant::Fresh));
    for (humidity, (least, most)) in [
        (Some(0.6), (0.6 - HUMIDITY_OFF, 0.6 + HUMIDITY_OFF)),
        (None, HUMIDITY),
    ] {
        h.humidity = humidity;
        let ws = possible(&h, (T_K, GAS_PA, AIR_PA), ANY);
        assert_eq!(ws.len(), 6 * 24);
        let vapour = saturation_pressure(T_K) * GAS_PA / AIR_PA;
        let (from, to) = (0.3 * 0.9 * least * vapour, 0.9 * most * vapour);
        let at = |end: fn(f64, f64) -> f64, start| ws.iter().map(|w| w.dries_pa).fold(start, end);
        // The middles of six strata.
        let half = (to - from) / 12.0;
        assert!(
            near(at(f64::min, f64::INFINITY), from + half),
            "{humidity:?}"
        );
        assert!(near(at(f64::max, 0.0), to - half), "{humidity:?}");
        for lag in strata_log::<4>(PACKS_LAG_S) {
            let so: f64 = (ws.iter().filter(|w| w.packs_s == lag))
                .map(|w| w.weight)
                .sum();
            assert!(near(so, 0.25));
        }
    }
}

fn held(source: TemperatureSource, t: &[f64], y: impl Fn(f64) -> f64) -> Held {
    Held {
        t: t.to_vec(),
        y: t.iter().map(|t| y(*t)).collect(),
        t_k: T_K,
        ambient_pa: AIR_PA,
        source,
    }
}

#[test]
fn of_a_few_readings_the_last_one_is_the_level_less_what_the_world_says_of_it() {
    let t = [3_000.0, 3_060.0, 3_120.0, 3_180.0];
    for (source, unseen) in [
        (TemperatureSource::Surface, 1.0),
        (TemperatureSource::Inside, 0.04),
    ] {
        let few = held(source, &t, |t| GAS_PA + t);
        let h = hold(None, None);
        let last = GAS_PA + 3_180.0;
        let per_k = last / T_K;
        let ws = weighed(&h, &few, 0.7, ANY);
        assert_eq!(ws.len(), possible(&h, (T_K, last, AIR_PA), ANY).len());
        // A settling of 8 K that dies away with 180 s is what is left of it, and the gauge's step.
        let settling = unseen * 8.0 * per_k * (-3_180.0_f64 / 180.0).exp();
        let sd = (100.0 / 12.0 + settling * settling).sqrt();
        for w in &ws {
            assert!(near(
                w.level_pa,
                last - 0.7 * per_k * w.above(3_180.0) + w.drunk(3_180.0)
            ));
            assert!(near(w.level_sd, sd), "{} {sd}", w.level_sd);
        }
    }
    // Soon after the closing all of it may still be to come.
    let soon = held(
        TemperatureSource::Surface,
        &[0.0, 60.0, 120.0, 180.0],
        |_| GAS_PA,
    );
    let w = weighed(&hold(None, None), &soon, 1.0, ANY)[0];
    assert!((w.level_sd - 8.0 * PER_K / E).abs() < 0.1, "{}", w.level_sd);
}

/// Most readings of a test.
const N: usize = 24;

/// Logarithm of the evidence of `y` (up to a constant), its level and that one's standard uncertainty:
/// all readings as one normal distribution whose covariance has the noise, a settling and the drift, and
/// whose mean is an unknown level, by generalised least squares.
fn dense(y: &[f64], t: &[f64], noise: f64, settling: (f64, f64), drift: f64) -> (f64, f64, f64) {
    let n = y.len();
    let (start, span) = (t[0], t[n - 1] - t[0]);
    let mut c = [[0.0; N]; N];
    for i in 0..n {
        for j in 0..n {
            let lag = |t: f64| settling.1 * (-t / settling.0).exp();
            c[i][j] = lag(t[i]) * lag(t[j]);
            let (a, b) = (
                drift::at((t[i] - start) / span),
                drift::at((t[j] - start) / span),
            );
            for (k, share) in drift::ANY.iter().enumerate().take(4) {
                c[i][j] += (share * drift).max(1.0).powi(2) * a[k] * b[k];
            }
            if i == j {
                c[i][j] += noise * noise;
            }
        }
    }
    let f = Factor::<N>::new(&c, n).unwrap();
    let whiten = |v: &dyn Fn(usize) -> f64| {
        let mut b = [0.0; N];
        for (i, x) in b.iter_mut().enumerate().take(n) {
            *x = v(i);
        }
        f.forward(&b)
    };
    let (zy, z1) = (whiten(&|i| y[i]), whiten(&|_| 1.0));
    let dot = |a: &[f64; N], b: &[f64; N]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let known = dot(&z1, &z1);
    let level = dot(&z1, &zy) / known;
    let misfit = dot(&zy, &zy) - level * level * known;
    (
        -0.5 * (misfit + f.ln_det + known.ln()),
        level,
        known.sqrt().recip(),
    )
}

#[test]
fn evidence_and_level_are_those_of_one_normal_distribution_of_all_readings() {
    let every =
        |n: usize, s: f64, from: f64| -> Vec<f64> { (0..n).map(|i| from + s * i as f64).collect() };
    for (source, felt, t, left_out) in [
        // The first five minutes are left out, but the last five readings always taken.
        (TemperatureSource::Surface, 1.0, every(20, 100.0, 0.0), 3),
        (TemperatureSource::Inside, 0.05, every(12, 90.0, 0.0), 4),
        (TemperatureSource::Air, 1.0, every(16, 240.0, 3_600.0), 0),
        (TemperatureSource::None, 1.0, every(7, 50.0, 0.0), 2),
    ] {
        let h = hold(None, None);
        // A camera that cools, packs, and a gauge that is read to its step.
        let data = held(source, &t, |t| {
            let y = GAS_PA + 900.0 * (-t / 1_100.0).exp() + 500.0 * (-t / 2_500.0).exp();
            (y / 10.0).round() * 10.0
        });
        let have = weighed(&h, &data, felt, ANY);
        let last = data.y[t.len() - 1];
        let per_k = last / T_K;
        let (late, y) = (&t[left_out..], &data.y[left_out..]);
        let noise = (100.0 / 12.0 + (0.05 * per_k).powi(2)).sqrt();
        let span = t[t.len() - 1] - t[0];
        let drift = drift_k(&h, source, span) * per_k;
        let unseen = if source == TemperatureSource::Inside {
            0.04
        } else {
            1.0
        };
        let mut want: Vec<(World, f64)> = Vec::new();
        for w in possible(&h, (T_K, last, AIR_PA), ANY) {
            let dry: Vec<f64> = (late.iter().zip(y))
                .map(|(t, y)| y - last - felt * per_k * w.above(*t) + w.drunk(*t))
                .collect();
            for (lag, kelvins, likely) in SETTLINGS {
                let settling = (lag, unseen * kelvins * per_k);
                let (evidence, level, sd) = dense(&dry, late, noise, settling, drift);
                let so = World {
                    level_pa: last + level,
                    level_sd: sd,
                    ..w
                };
                want.push((so, (w.weight * likely).ln() + TRUST * evidence));
            }
        }
        let best = want.iter().map(|w| w.1).fold(f64::NEG_INFINITY, f64::max);
        let all: f64 = want.iter().map(|w| (w.1 - best).exp()).sum();
        // Those that count, in the order in which they are looked at.
        let counts = |share: f64| share > 1e-5;
        want.retain_mut(|(w, log)| {
            w.weight = (*log - best).exp() / all;
            counts(w.weight)
        });
        let have: Vec<World> = have.into_iter().filter(|w| counts(w.weight)).collect();
        assert!(have.len().abs_diff(want.len()) < 3, "{source:?}");
        assert!(have.len() > 50, "{source:?} {}", have.len());
        let same = |a: &World, b: &World| {
            (a.camera_k, a.camera_s, a.warm_k, a.runs) == (b.camera_k, b.camera_s, b.warm_k, b.runs)
                && (a.dries_pa, a.packs_s) == (b.dries_pa, b.packs_s)
                && (a.level_sd - b.level_sd).abs() < 1e-3 * b.level_sd
                && (a.level_pa - b.level_pa).abs() < 0.1
        };
        let mut found = 0;
        for w in &have {
            if let Some((x, _)) = want.iter().find(|x| same(&x.0, w)) {
                assert!(
                    (w.weight / x.weight - 1.0).abs() < 0.02,
                    "{source:?} {w:?} {x:?}"
                );
                found += 1;
            }
        }
        assert!(found + 2 >= have.len(), "{source:?} {found} {}", have.len());
    }
}

#[test]
fn a_world_that_the_readings_rule_out_is_given_up() {
    // Two hours in which nothing moves leave no camera that cooled by kelvins.
    let t: Vec<f64> = (0..25).map(|i| 300.0 * f64::from(i)).collect();
    let h = hold(None, Some(Desiccant::None));
    let ws = weighed(
        &h,
        &held(TemperatureSource::Surface, &t, |_| GAS_PA),
        1.0,
        ANY,
    );
    assert!((ws.iter().map(|w| w.weight).sum::<f64>() - 1.0).abs() < 1e-9);
    let best = ws.iter().map(|w| w.weight).fold(0.0, f64::max);
    assert!(ws.iter().all(|w| w.weight >= 0.999e-7 * best));
    let all = possible(&h, (T_K, GAS_PA, AIR_PA), ANY).len();
    assert!(ws.len() < 4 * all && ws.len() > all, "{} {all}", ws.len());
    let warm: f64 = (ws.iter().filter(|w| !w.runs && w.warm_k > 4.0))
        .map(|w| w.weight)
        .sum();
    assert!(warm < 0.02, "{warm}");
}
