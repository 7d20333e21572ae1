//! The verdict against sums done by hand: its tests of an estimate, what it sets aside, what it draws,
//! and whether what it foretells comes true.

use super::super::GaugeKind;
use super::tests::{hold, seen, told};
use super::*;

fn near(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() <= share * b.abs()
}

/// One normal estimate: mean and standard uncertainty, mL.
fn one(mean: f64, sd: f64) -> Seen {
    seen(&[(1.0, mean, sd)], 0.0)
}

const LONG_S: f64 = 3600.0;

#[test]
fn a_bounded_error_has_a_shorter_tail_and_every_look_asks_for_more() {
    // Cornish–Fisher to the fourth cumulant: z + (z³ − 3z)·κ/24, by hand.
    let with = |kurtosis| Seen {
        kurtosis,
        ..one(0.0, 1.0)
    };
    assert_eq!(with(0.0).quantile(3.0), 3.0);
    assert!(near(with(-1.2).quantile(3.0), 2.1, 1e-12));
    assert!(near(with(-0.6).quantile(2.0), 1.95, 1e-12));
    assert!(near(with(-1.2).quantile(2.0), 1.9, 1e-12));
    // A forecast is of a normal error.
    assert_eq!(with(-1.2).with(5.0, 4.0).quantile(3.0), 3.0);
    // No more than a uniform error's, nor a longer tail than the normal one's; never below 1.7.
    assert_eq!(with(-5.0).quantile(3.0), with(-1.2).quantile(3.0));
    assert_eq!(with(2.0).quantile(3.0), 3.0);
    assert_eq!(with(0.0).quantile(1.0), 1.7);
    // z² grows by 2.5 times the logarithm of time from a minute on, by the noise's share, and by 12
    // times that of what is missing of 400 s.
    let looks = |noise_share| Seen {
        noise_share,
        ..one(0.0, 1.0)
    };
    let of = |share, span| looks(share).boundary(3.0, span);
    assert_eq!(of(0.0, LONG_S), 3.0);
    assert!(near(of(1.0, LONG_S), 4.385_9, 1e-4));
    assert!(near(of(0.5, LONG_S), 3.757_5, 1e-4));
    assert!(near(of(0.0, 100.0), 5.063_1, 1e-4));
    assert!(near(of(1.0, 60.0), 5.636_0, 1e-4));
    assert!(near(of(1.0, 30.0), of(0.0, 30.0), 1e-12));
    assert!(of(0.0, 0.0).is_finite());
    assert_eq!(of(0.0, 500.0), 3.0);
}

#[test]
fn how_likely_more_or_less_than_a_leak_is() {
    let s = one(5.0, 2.0);
    assert!(near(s.chance(true, 9.0, 0.0), 0.022_750, 1e-4));
    assert!(near(s.chance(false, 1.0, 0.0), 0.022_750, 1e-4));
    assert!(near(s.chance(true, 1.0, 0.0), 0.977_250, 1e-5));
    // The volume's error goes with the leak: 20 % of 9 with 2 are √(4 + 3.24).
    assert!(near(
        s.chance(true, 9.0, 0.2),
        beyond(4.0 / 7.24_f64.sqrt()),
        1e-9
    ));
    let two = seen(&[(0.75, 0.0, 1.0), (0.25, 4.0, 2.0)], 0.0);
    let by_hand = 0.75 * 0.022_750 + 0.25 * 0.841_345;
    assert!(near(two.chance(true, 2.0, 0.0), by_hand, 1e-4));
}

#[test]
fn the_largest_leak_left_is_where_three_uncertainties_of_what_is_possible_end() {
    // Of an estimate of nothing half lies below nothing: what is left reaches as far as 3 σ of all.
    let s = one(0.0, 1.0);
    assert!(s.rules_out(3.001, LONG_S) && !s.rules_out(2.999, LONG_S));
    // With the volume off by 10 %, a quarter more counted: x/√(1 + (0.125·x)²) = 3.
    let s = seen(&[(1.0, 0.0, 1.0)], 0.1);
    assert!(s.rules_out(3.238, LONG_S) && !s.rules_out(3.234, LONG_S));
    // An estimate far above nothing: twice 0.135 % lie beyond 2.782 σ.
    let s = one(5.0, 1.0);
    assert!(s.rules_out(7.783, LONG_S) && !s.rules_out(7.780, LONG_S));
    assert!(near(s.missed(), 3.29, 1e-12));
    for limit in [0.1, 4.0, 7.7, 7.79, 20.0, 1e5] {
        let most = s.at_most(limit, LONG_S);
        assert!(near(most, 7.782, 3e-4), "{limit} {most}");
        assert_eq!(s.holds(limit, LONG_S), limit > 7.782, "{limit}");
    }
    // A gauge too coarse says no more than what it could have missed.
    assert!(near(one(-2.0, 1.0).at_most(50.0, LONG_S), 3.29, 0.15));
    assert!(near(one(0.0, 1.0).at_most(50.0, LONG_S), 3.29, 1e-9));
    assert!(!one(0.0, 1.0).holds(3.2, LONG_S) && one(0.0, 1.0).holds(3.3, LONG_S));
    // By mL of another size the same in proportion, whatever the limit.
    for limit in [0.001, 0.1, 50.0, 1e6] {
        assert!(
            near(one(0.0, 1.0).at_most(limit, LONG_S), 3.29, 1e-3),
            "{limit}"
        );
        let most = one(0.05, 0.01).at_most(limit, LONG_S);
        assert!(near(most, 0.077_82, 3e-4), "{limit} {most}");
    }
    // Where the volume is hardly known nothing is ruled out, however large.
    let vague = seen(&[(1.0, 500.0, 100.0)], 0.5);
    assert!(vague.at_most(10.0, LONG_S) >= 1e6);
    assert!(vague.at_most(1e9, LONG_S) > 1e9);
}

#[test]
fn a_verdict_waits_for_time_readings_and_sense() {
    use Verdict::{Holding, Leaking, NotYet};
    let tight = one(0.0, 1.0);
    assert_eq!(tight.verdict(100.0, 150.0, 7), Holding);
    assert_eq!(tight.verdict(100.0, 149.0, 7), NotYet);
    assert_eq!(tight.verdict(100.0, 150.0, 6), NotYet);
    assert_eq!(tight.verdict(3.2, LONG_S, 50), NotYet);
    // 2.5 uncertainties below nothing something else moves the pressure.
    assert_eq!(one(-2.4, 1.0).verdict(100.0, LONG_S, 50), Holding);
    assert_eq!(one(-2.6, 1.0).verdict(100.0, LONG_S, 50), NotYet);
    let open = one(100.0, 1.0);
    assert_eq!(open.verdict(10.0, 90.0, 5), Leaking);
    assert_eq!(open.verdict(10.0, 89.0, 5), NotYet);
    assert_eq!(open.verdict(10.0, 90.0, 4), NotYet);
    // Leaking from four uncertainties over the limit on.
    assert_eq!(one(14.05, 1.0).verdict(10.0, LONG_S, 50), Leaking);
    assert_eq!(one(13.95, 1.0).verdict(10.0, LONG_S, 50), NotYet);
    // The volume's error goes with the limit: √(1 + 1) of it here.
    let vague = |mean| seen(&[(1.0, mean, 1.0)], 0.1).verdict(10.0, LONG_S, 50);
    assert_eq!(vague(15.5), NotYet);
    assert_eq!(vague(15.8), Leaking);
}

#[test]
fn an_interval_of_two_choices_ends_where_both_together_do() {
    let s = seen(&[(0.5, -3.0, 1.0), (0.5, 3.0, 0.5)], 0.0);
    let (low, high) = s.interval(1.96);
    // 2.5 % in all are 5 % of the one: its 1.645.
    assert!((low + 3.0 + 1.644_9).abs() < 2e-3, "{low}");
    assert!((high - 3.0 - 0.5 * 1.644_9).abs() < 2e-3, "{high}");
    // By mL of another size the same in proportion.
    let s = seen(&[(0.5, -300.0, 100.0), (0.5, 300.0, 50.0)], 0.0);
    assert!(near(s.interval(1.96).0, 100.0 * low, 1e-3));
    for [a, b] in [[-3.0, 3.0], [2.0, 3.0], [-2.0, -3.0]] {
        let of = |size: f64| {
            let choice = |mean| (0.5, size * mean, size);
            let (low, high) = seen(&[choice(a), choice(b)], 0.0).interval(1.96);
            (low / size, high / size)
        };
        let (low, high) = of(1_000.0);
        for size in [0.01, 0.1, 1.0] {
            let (l, h) = of(size);
            assert!(
                (l - low).abs() < 1e-3 && (h - high).abs() < 1e-3,
                "{size} {l} {h}"
            );
        }
    }
}

#[test]
fn a_first_reading_is_a_slip_where_it_is_off_by_more_than_any_settling_and_the_rest_is_at_rest() {
    let first = |v: &[f64]| first_is_mistyped(v);
    let rest = [20_000.0, 20_010.0, 20_000.0, 20_000.0];
    let with = |a: f64| first(&[&[a], &rest[..]].concat());
    // 45 mbar and ten times the largest step of those after it.
    assert!(!with(24_600.0));
    assert!(with(24_610.0) && !with(24_590.0) && with(15_390.0) && !with(15_410.0));
    assert!(!first(&[30_000.0, 20_000.0, 20_000.0, 20_000.0]));
    assert!(first(&[30_000.0, 20_000.0, 20_000.0, 20_000.0, 20_000.0]));
    assert!(!first(&[30_000.0]) && !first(&[]));
    // While they still move it may be a settling; what moves later says nothing of it.
    assert!(!first(&[
        30_000.0, 20_000.0, 20_000.0, 20_000.0, 20_000.0, 22_000.0
    ]));
    assert!(first(&[
        30_000.0, 20_000.0, 20_000.0, 20_000.0, 20_000.0, 20_000.0, 22_000.0
    ]));
}

/// A series of one gauge's readings, a minute apart, in air and gas at rest.
fn series(gauge: &[f64]) -> Series {
    let n = gauge.len();
    Series {
        t: (0..n).map(|i| 60.0 * i as f64).collect(),
        gauge: gauge.to_vec(),
        temp: vec![298.15; n],
        ambient: vec![101_325.0; n],
        source: TemperatureSource::Surface,
        barometer: true,
        unread_s: None,
    }
}

#[test]
fn a_vacuum_is_gone_below_three_tenths_once_the_next_reading_says_so_too() {
    let lost = |late: &[f64], wrong: &[usize]| {
        let gauge = [&[20_000.0; 6][..], late].concat();
        let wrong: Vec<bool> = (0..gauge.len()).map(|i| wrong.contains(&i)).collect();
        vacuum_lost(GaugeKind::BelowAmbient, &series(&gauge), &wrong)
    };
    assert_eq!(lost(&[5_990.0, 5_990.0], &[]), Some(6));
    assert_eq!(lost(&[6_010.0, 6_010.0], &[]), None);
    assert_eq!(lost(&[5_990.0, 6_010.0], &[]), None);
    assert_eq!(lost(&[6_010.0, 5_990.0, 100.0, 100.0], &[]), Some(7));
    // What was set aside neither counts nor confirms.
    assert_eq!(lost(&[100.0, 20_000.0, 100.0, 100.0], &[6]), Some(8));
    assert_eq!(lost(&[100.0, 100.0, 20_000.0], &[7]), None);
    // Half of the first five decide what it was: one slip among them does not.
    let mut s = series(&[
        20_000.0, 90_000.0, 20_000.0, 20_000.0, 20_000.0, 20_000.0, 8_000.0, 8_000.0,
    ]);
    assert_eq!(vacuum_lost(GaugeKind::BelowAmbient, &s, &[]), None);
    s.gauge[6..].fill(5_000.0);
    assert_eq!(vacuum_lost(GaugeKind::BelowAmbient, &s, &[]), Some(6));
    // Nor do two.
    let s = series(&[
        100.0, 20_000.0, 200.0, 20_000.0, 20_000.0, 20_000.0, 5_000.0, 5_000.0,
    ]);
    assert_eq!(vacuum_lost(GaugeKind::BelowAmbient, &s, &[]), Some(6));
    let s = series(&[]);
    assert_eq!(vacuum_lost(GaugeKind::BelowAmbient, &s, &[]), None);
}

#[test]
fn a_slip_in_a_column_with_gaps_is_marked_where_it_stands() {
    let t: Vec<f64> = (0..12).map(|i| 60.0 * f64::from(i)).collect();
    let mut v: Vec<Option<f64>> = vec![Some(293.0); 12];
    (v[0], v[3], v[8]) = (None, None, Some(303.0));
    let marked = |w: Vec<bool>| -> Vec<usize> { (0..12).filter(|i| w[*i]).collect() };
    assert_eq!(marked(column(&t, v.iter().copied(), 0.5)), [8]);
    v[8] = Some(293.2);
    assert_eq!(marked(column(&t, v.into_iter(), 0.5)), [0; 0]);
    // Among those that can be: what can't be stays marked, and hides no slip behind it.
    let mut gauge = vec![20_000.0; 12];
    (gauge[2], gauge[7]) = (150_000.0, 26_000.0);
    let mut impossible = vec![false; 12];
    impossible[2] = true;
    assert_eq!(
        marked(among_possible(&t, &gauge, 10.0, &impossible)),
        [2, 7]
    );
}

#[test]
fn a_slip_in_any_column_is_named() {
    let mut h = hold(0.0, 30.0, 10.0);
    h.readings[20].temperature_k = Some(318.0);
    h.readings[60].ambient_pa = Some(95_000.0);
    h.readings[40].gauge_pa -= 9_000.0;
    let j = judge(&h).unwrap();
    assert_eq!(j.suspects, [20, 40, 60]);
    assert_eq!(j.verdict, Verdict::Holding);
}

#[test]
fn the_vacuum_runs_away_where_it_falls_by_more_than_settling_can() {
    // At 298.15 K and 200 of 1013.25 mbar, 12 K are 32.73 mbar, 2 K 5.46; two steps of the gauge, and
    // a quarter of the vacuum in a minute.
    let at = |t_s: f64, fall: f64, source: TemperatureSource, temp: f64, wrong: &[bool]| {
        let mut h = hold(0.0, 2.0, 10.0);
        h.temperature_source = source;
        let mut s = series(&[20_000.0, 20_000.0 - fall]);
        (s.source, s.t[1], s.temp[1]) = (source, t_s, temp);
        fast(&h, &s, wrong)
    };
    let (wall, gas) = (TemperatureSource::Surface, TemperatureSource::Inside);
    let falls = |t_s, fall, source| at(t_s, fall, source, 298.15, &[]);
    assert!(falls(60.0, 8_320.0, wall) && !falls(60.0, 8_270.0, wall));
    assert!(falls(90.0, 10_820.0, wall) && !falls(90.0, 10_770.0, wall));
    // In the first seconds no less than in a third of a minute or so.
    assert!(falls(15.0, 4_820.0, wall) && !falls(15.0, 4_770.0, wall));
    assert!(falls(60.0, 5_590.0, gas) && !falls(60.0, 5_540.0, gas));
    assert!(!falls(91.0, 19_000.0, wall) && !falls(60.0, 0.0, wall));
    // A sensor in the gas sees what the gas does: 5 K more are 13.64 mbar.
    let warmer = |fall| at(60.0, fall, gas, 303.15, &[]);
    assert!(!warmer(6_900.0) && warmer(7_100.0));
    assert!(!at(60.0, 8_270.0, wall, 303.15, &[]));
    // What was set aside says nothing, and the first that stands is what it began with.
    assert!(!at(60.0, 19_000.0, wall, 298.15, &[false, true]));
    assert!(!at(60.0, 19_000.0, wall, 298.15, &[true, false]));
    let h = hold(0.0, 2.0, 10.0);
    assert!(!fast(&h, &series(&[]), &[]));
    let mut s = series(&[20_000.0, 20_000.0, 1_000.0]);
    (s.t[1], s.t[2]) = (30.0, 60.0);
    assert!(fast(&h, &s, &[true, false, false]));
    // Whenever the clock began; and a gauge that shows steps of 5 mbar may be off by two of them.
    let mut s = series(&[20_000.0, 11_680.0, 1_000.0]);
    s.t = vec![7_200.0, 7_260.0, 7_300.0];
    assert!(fast(&h, &s, &[]) && !fast(&h, &s, &[false, true, false]));
    let mut coarse = h.clone();
    coarse.gauge_resolution_pa = 500.0;
    let falls = |fall: f64| fast(&coarse, &series(&[20_000.0, 20_000.0 - fall]), &[]);
    assert!(falls(9_300.0) && !falls(9_250.0));
    // No vacuum, no leak into it.
    assert!(!fast(&h, &series(&[0.0, -15_000.0]), &[]));
    assert!(!fast(&h, &series(&[-5_000.0, -15_000.0]), &[]));
}

#[test]
fn more_vacuum_from_one_reading_to_the_next_than_anything_unseen_can_make() {
    // At 813.25 mbar and 298.15 K a kelvin is 2.728 mbar; with it a millibar and three steps of 0.1.
    let grows = |by: f64, source, camera, desiccant, wrong: Option<usize>| {
        let mut h = told(&hold(0.0, 4.0, 10.0), Some(camera), Some(desiccant));
        h.temperature_source = source;
        for (i, r) in h.readings.iter_mut().enumerate() {
            r.gauge_pa = if i < 6 { 20_000.0 } else { 20_000.0 + by };
        }
        let s = ready(&h, &[], &[]);
        let mut set_aside = vec![false; h.readings.len()];
        if let Some(i) = wrong {
            set_aside[i] = true;
        }
        let g = Ground::new(&h, &s, &set_aside);
        stepped_up(&h, &s, &g, &set_aside)
    };
    let dry = Desiccant::None;
    let step = |by, source| grows(by, source, Camera::Cold, dry, None);
    for (source, most) in [
        (TemperatureSource::Inside, 539.0),
        (TemperatureSource::Surface, 812.0),
        (TemperatureSource::Air, 1_085.0),
    ] {
        assert!(
            step(most + 15.0, source) && !step(most - 15.0, source),
            "{source:?}"
        );
    }
    // A camera that cools with 8 minutes may take 0.327 of its 8 K in 20 s: 0.89 mbar.
    let wall = TemperatureSource::Surface;
    let warm = |by| grows(by, wall, Camera::Warm, dry, None);
    assert!(warm(916.0) && !warm(886.0));
    // Packs in 20 s a forty-sixth of what they take at the most.
    let packs = |by| grows(by, wall, Camera::Cold, Desiccant::Fresh, None);
    assert!(packs(870.0) && !packs(825.0));
    // A reading set aside between does not hide it.
    assert!(grows(827.0, wall, Camera::Cold, dry, Some(6)));
    assert!(!step(-5_000.0, wall));
}

#[test]
fn what_is_drawn_begins_and_ends_with_the_hold_and_shows_the_limits_slope() {
    for (minutes, n) in [(30.0, 46), (10.0, 30), (31.0, 47)] {
        let h = told(
            &hold(0.0, minutes, 10.0),
            Some(Camera::Cold),
            Some(Desiccant::None),
        );
        let j = judge_briefly(&h).unwrap();
        let (c, last) = (&j.curve, h.readings.last().unwrap().t_s);
        assert_eq!((c[0].t_s, c[c.len() - 1].t_s), (0.0, last), "{minutes}");
        assert_eq!(c.len(), n, "{minutes}");
        assert!(c.windows(2).all(|w| w[0].t_s < w[1].t_s));
        if n != 46 {
            continue;
        }
        for p in c {
            let (up, down) = (p.high_pa - p.fit_pa, p.fit_pa - p.low_pa);
            assert!(up > 0.0 && near(up, down, 1e-9) && up < 2_000.0, "{p:?}");
        }
        // The fit is where the readings are.
        let r = &j.reduced_pa;
        assert!((c[c.len() - 1].fit_pa - r[r.len() - 1]).abs() < 60.0);
        assert!(
            (c[0].fit_pa - r[0]).abs() < 300.0,
            "{} {}",
            c[0].fit_pa,
            r[0]
        );
    }
    // At the limit as much more or less is in it as the leak is over or under it, by the viscous law.
    let h = told(
        &hold(200.0, 30.0, 10.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    let j = judge_briefly(&h).unwrap();
    let per_c = crate::ingress::ml_per_conductance(298.15, &h.dive, 81_325.0);
    let rise = |ml: f64, t_s| gas::viscous_rise(81_325.0, 101_325.0, ml / per_c, 0.012, t_s);
    assert!(near(j.curve[0].limit_pa, j.curve[0].fit_pa, 1e-9));
    for p in &j.curve[1..] {
        let more = rise(j.leak_ml, p.t_s) - rise(60.0, p.t_s);
        assert!(near(p.limit_pa - p.fit_pa, more, 0.06), "{p:?} {more}");
    }
    // At one temperature and in one air a tight hold is a level, whatever both did.
    let mut h = hold(0.0, 10.0, 10.0);
    h.temperature_source = TemperatureSource::Inside;
    for r in &mut h.readings {
        let (t, a) = (298.15 + r.t_s / 200.0, 101_325.0 + r.t_s);
        r.gauge_pa = a - 81_325.0 * t / 298.15;
        (r.temperature_k, r.ambient_pa) = (Some(t), Some(a));
    }
    let r = judge_briefly(&h).unwrap().reduced_pa;
    assert!(r.iter().all(|x| (x - r[0]).abs() < 0.5), "{r:?}");
}

/// A plan made from what was read so far.
fn planned<T>(h: &HoldInput, ask: impl FnOnce(&Plan<'_>) -> T) -> T {
    let gauge: Vec<f64> = h.readings.iter().map(|r| r.gauge_pa).collect();
    let wrong = vec![false; gauge.len()];
    let series = ready(h, &wrong, &wrong);
    let t: Vec<f64> = h.readings.iter().map(|r| r.t_s).collect();
    let facts = known(&t, &gauge, &wrong, h.gauge_resolution_pa);
    let ground = Ground::new(h, &series, &wrong);
    let found = fit(h, &series, &ground, &facts).unwrap();
    let now = Seen::new(h, &found);
    let long = series.t[series.t.len() - 1] - series.t[0];
    ask(&Plan::new(h, &series, &found, &facts, &now, long))
}

#[test]
fn a_longer_hold_is_foretold_to_know_more() {
    let cold = |minutes| {
        told(
            &hold(0.0, minutes, 10.0),
            Some(Camera::Cold),
            Some(Desiccant::None),
        )
    };
    // The variance that is foretold of the whole is that of the whole, near enough.
    let (early, late) = (cold(10.0), cold(40.0));
    let foretold = planned(&early, |p| p.var_after(2_400.0, &p.as_is())).unwrap();
    let came = planned(&late, |p| p.fit.var);
    assert!(
        foretold > 0.3 * came && foretold < 3.0 * came,
        "{foretold} {came}"
    );
    planned(&early, |p| {
        let with = p.as_is();
        let var = |s: f64| p.var_after(s, &with).unwrap();
        assert!(var(1_200.0) > var(2_400.0) && var(2_400.0) > var(4_800.0));
        let span = p.span_needed(600.0, PATIENCE_S, &with).unwrap();
        assert!(p.enough(span, &with) && p.enough(1.5 * span, &with));
    });
}

#[test]
fn a_camera_switched_off_is_waited_for_until_an_hour_has_passed() {
    let wait = |camera, minutes: f64, way| {
        let h = told(&hold(0.0, minutes, 10.0), camera, Some(Desiccant::Fresh));
        planned(&h, |p| p.wait_for(way))
    };
    let off = |camera, minutes| wait(camera, minutes, Way::CameraOff);
    let last = |minutes: f64| minutes - 20.0 / 60.0;
    let warm = off(Some(Camera::Warm), 10.0).unwrap();
    assert!(near(warm, 60.0 - last(10.0), 1e-9), "{warm}");
    assert_eq!(off(Some(Camera::Warm), 90.0), Some(0.0));
    assert_eq!(off(Some(Camera::On), 10.0), Some(60.0));
    assert_eq!(off(None, 10.0), Some(60.0));
    assert_eq!(off(Some(Camera::Cold), 10.0), None);
    assert_eq!(wait(None, 10.0, Way::SayCamera), Some(0.0));
    assert_eq!(wait(Some(Camera::On), 10.0, Way::SayCamera), None);
    assert_eq!(wait(None, 10.0, Way::SayDesiccant), None);
    assert_eq!(wait(None, 10.0, Way::Longer), None);
    // What a sensor in the gas sees takes no other way out; a hygrometer was not read yet.
    let other = |source, humidity, way| {
        let mut h = told(
            &hold(0.0, 10.0, 10.0),
            Some(Camera::Warm),
            Some(Desiccant::Fresh),
        );
        (h.temperature_source, h.humidity) = (source, humidity);
        planned(&h, |p| p.wait_for(way))
    };
    let (gas, wall, air) = (
        TemperatureSource::Inside,
        TemperatureSource::Surface,
        TemperatureSource::Air,
    );
    assert_eq!(other(gas, None, Way::CameraOff), None);
    assert_eq!(other(gas, None, Way::SensorInside), None);
    assert_eq!(other(wall, None, Way::SensorInside), Some(0.0));
    assert_eq!(other(wall, None, Way::ProbeOnHousing), None);
    assert_eq!(other(air, None, Way::ProbeOnHousing), Some(0.0));
    assert_eq!(other(wall, None, Way::MeasureHumidity), Some(0.0));
    assert_eq!(other(wall, Some(0.5), Way::MeasureHumidity), None);
}

#[test]
fn what_a_way_supposes_of_the_hold() {
    let h = || HoldInput {
        temperature_sd_k: Some(0.2),
        ..hold(0.0, 3.0, 10.0)
    };
    let wall = TemperatureSource::Surface;
    let with = |way| supposing(h(), way, wall);
    assert_eq!(with(Way::Longer), (h(), wall));
    for way in [Way::SayCamera, Way::CameraOff] {
        assert_eq!(with(way).0.shut_in.camera, Some(Camera::Cold));
    }
    let said = with(Way::SayDesiccant).0;
    assert_eq!(said.shut_in.desiccant, Some(Desiccant::None));
    assert!(with(Way::MeasureHumidity).0.humidity.is_some());
    // What was measured of one thermometer isn't so of another.
    let (inside, source) = with(Way::SensorInside);
    assert_eq!(
        (source, inside.temperature_sd_k),
        (TemperatureSource::Inside, None)
    );
    let (same, source) = with(Way::ProbeOnHousing);
    assert_eq!((source, same.temperature_sd_k), (wall, Some(0.2)));
}

#[test]
fn too_little_says_how_wide_it_is() {
    let mut h = hold(0.0, 1.0, 10.0);
    h.readings.truncate(1);
    let j = judge(&h).unwrap();
    assert!(near(j.high_ml, -j.low_ml, 1e-12) && j.high_ml > 0.0);
    assert!(near(j.would_miss_below_ml / j.high_ml, 3.29 / 1.96, 1e-9));
    assert_eq!(j.at_most_ml, j.would_miss_below_ml);
    assert_eq!((j.leak_ml, j.fast_leak, j.grew), (0.0, false, false));
    assert!(j.curve.is_empty() && j.ways.is_empty() && j.minutes_to_go.is_none());
    assert_eq!(j.reduced_pa.len(), 1);
}

#[test]
fn a_leak_is_told_in_every_measure_alike() {
    let h = told(
        &hold(200.0, 30.0, 10.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    let j = judge_briefly(&h).unwrap();
    // Throughput of a viscous leak, C·(Pₐ² − P²): of 200 mL per dive by the conversion's own factor.
    let per_c = crate::ingress::ml_per_conductance(298.15, &h.dive, 81_325.0);
    let drive = 101_325.0_f64.powi(2) - 81_325.0_f64.powi(2);
    assert!(
        near(j.throughput_per_ml, drive / per_c, 0.1),
        "{}",
        j.throughput_per_ml
    );
    assert!(near(
        j.throughput_pa_m3_s,
        j.throughput_per_ml * j.leak_ml,
        1e-9
    ));
    assert!((j.gas_k - 298.15).abs() < 1e-6);
    // A hole 3 mm long of that conductance (Hagen–Poiseuille).
    let eta = viscosity::air(298.15);
    let of = |ml: f64| gas::hole_diameter(ml / per_c, 3e-3, eta).unwrap();
    assert!(near(j.hole_m.unwrap(), of(j.leak_ml), 0.01));
    assert!(near(j.hole_at_most_m.unwrap(), of(j.at_most_ml), 0.01));
    assert!(!j.fast_leak && !j.grew);
}

#[test]
fn it_is_all_one_when_the_clock_began() {
    let cold = |minutes| {
        told(
            &hold(0.0, minutes, 10.0),
            Some(Camera::Cold),
            Some(Desiccant::None),
        )
    };
    // Of 2 minutes any limit asks for more; a coarse gauge is read as often as it is.
    let mut soon = cold(2.5);
    soon.limit_ml = 1e4;
    let coarse = told(
        &hold(0.0, 8.0, 500.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    assert_eq!(judge(&soon).unwrap().verdict, Verdict::NotYet);
    for (minutes, h) in [
        (2.0, cold(2.0)),
        (6.0, cold(6.0)),
        (20.0, cold(20.0)),
        (2.5, soon),
        (8.0, coarse),
    ] {
        let mut later = h.clone();
        for r in &mut later.readings {
            r.t_s += 7_200.0;
        }
        let (a, b) = (judge(&h).unwrap(), judge(&later).unwrap());
        assert_eq!(a.verdict, b.verdict, "{minutes}");
        assert!((a.leak_ml - b.leak_ml).abs() < 1e-6, "{minutes}");
        assert_eq!(a.minutes_to_go.is_some(), b.minutes_to_go.is_some());
        if let (Some(a), Some(b)) = (a.minutes_to_go, b.minutes_to_go) {
            assert!(near(a, b, 1e-6), "{minutes}: {a} {b}");
        }
        let ways = |j: &Judgement| j.ways.iter().map(|w| w.way).collect::<Vec<_>>();
        assert_eq!(ways(&a), ways(&b), "{minutes}");
    }
}

#[test]
fn a_vacuum_that_is_gone_or_grew_holds_under_no_limit() {
    // So large a limit that the estimate alone is far below it.
    let alone = |h: &HoldInput| {
        let span = h.readings.last().unwrap().t_s;
        planned(h, |p| {
            Seen::new(h, p.fit).verdict(h.limit_ml, span, h.readings.len())
        })
    };
    let mut gone = hold(0.0, 60.0, 10.0);
    gone.limit_ml = 1e6;
    for r in &mut gone.readings {
        r.gauge_pa = (20_000.0 * (-r.t_s / 1_200.0).exp() / 10.0).round() * 10.0;
    }
    let j = judge_briefly(&gone).unwrap();
    assert_eq!(
        (j.verdict, j.grew),
        (Verdict::NotYet, false),
        "{}",
        j.leak_ml
    );
    // Pumped again in the first minutes, and tight for the rest of an hour.
    let mut grew = told(
        &hold(0.0, 60.0, 10.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    grew.limit_ml = 1_000.0;
    for from_s in [100.0, 300.0] {
        let mut h = grew.clone();
        for r in h.readings.iter_mut().filter(|r| r.t_s > from_s) {
            r.gauge_pa += 1_000.0;
        }
        assert_eq!(alone(&h), Verdict::Holding, "{from_s}");
        let j = judge_briefly(&h).unwrap();
        assert_eq!((j.verdict, j.grew), (Verdict::NotYet, true), "{from_s}");
    }
}

#[test]
fn a_volume_that_is_hardly_known_stands_in_the_way_and_one_that_is_known_does_not() {
    let limited = |volume_sd_m3, limit_ml| {
        let h = HoldInput {
            volume_sd_m3,
            limit_ml,
            ..told(
                &hold(0.0, 60.0, 10.0),
                Some(Camera::Cold),
                Some(Desiccant::None),
            )
        };
        judge_briefly(&h).unwrap().limited_by
    };
    // Of a limit of 500 mL a quarter is 125 mL, and 1.5 % are 7.5: more and less than an hour leaves.
    assert_eq!(limited(0.003, 500.0), LimitedBy::Volume);
    assert_ne!(limited(0.0, 60.0), LimitedBy::Volume);
}

#[test]
fn two_readings_that_differ_are_fitted_and_two_alike_as_well() {
    let of = |n: usize, step: f64| {
        let mut h = hold(200.0, 4.0, step);
        h.readings.truncate(n);
        judge_briefly(&h).unwrap()
    };
    assert!(of(1, 10.0).curve.is_empty());
    let two = of(2, 10.0);
    assert_eq!(two.curve.len(), 2);
    assert!(two.high_ml > two.low_ml && two.verdict == Verdict::NotYet);
}

#[test]
fn what_a_longer_hold_reads_counts_by_what_tells_something() {
    let h = told(
        &hold(0.0, 10.0, 1_000.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    planned(&h, |p| {
        let facts: f64 = p.facts.iter().map(|k| k.tells).sum();
        let readings = p.series.t.len() as f64;
        assert!(facts >= 2.0 && 2.0 + 2.0 * facts < readings, "{facts}");
        // A step of 10 mbar is a uniform error; here over 24 points.
        let all = 1e6 / 12.0 * p.fit.noise * 24.0;
        let each = |times, moved| all / p.each_of(24.0, times, moved);
        assert!(near(each(1.0, 0.0), facts, 1e-9));
        assert!(near(each(3.0, 0.0), 3.0 * facts, 1e-9));
        // Two at each step of the gauge, and two to begin with, but no more than are read.
        let moved = 1_000.0 * facts;
        assert!(near(each(1.0, moved), 2.0 + 2.0 * facts, 1e-9));
        assert!(near(each(1.0, 1e6), readings, 1e-9));
        assert!(near(each(2.0, 1e6), 2.0 * readings, 1e-9));
        assert!(near(each(1e-6, 0.0), 2.0, 1e-9));
        // Noisier than its steps, and so by the readings' own scatter.
        let noisy = Fit {
            noise: 3.0 * p.fit.noise,
            ..p.fit.clone()
        };
        let plan = Plan { fit: &noisy, ..*p };
        let more = plan.each_of(24.0, 1.0, 0.0) / p.each_of(24.0, 1.0, 0.0);
        assert!(near(more, 3.0, 1e-9));
    });
}

/// A plan in which the estimate is `mean` with variance `var`.
fn supposed<T>(mean: f64, var: f64, limit_ml: f64, ask: impl FnOnce(&Plan<'_>) -> T) -> T {
    let h = told(
        &hold(0.0, 6.0, 10.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    planned(&h, |p| {
        let fit = Fit {
            mean,
            var,
            ..p.fit.clone()
        };
        let h = HoldInput {
            limit_ml,
            ..p.h.clone()
        };
        ask(&Plan {
            h: &h,
            fit: &fit,
            ..*p
        })
    })
}

#[test]
fn an_estimate_is_foretold_as_unlucky_as_one_in_ten() {
    // Of a variance of 4 a quarter is left: of the error now a quarter stays, and 1.28·√(1·¾) = 1.1085
    // comes anew. The leak is taken to be a standard uncertainty below where it seems.
    let of = |mean, var| supposed(mean, 4.0, 60.0, |p| p.mean_after(var));
    for (mean, by_hand) in [
        (20.0, 18.0 + 0.5 + 1.1085),
        // No leak below nothing, and one over the limit not below the limit.
        (-1.0, -0.25 + 1.1085),
        (1.0, 0.25 + 1.1085),
        (100.0, 98.0 + 0.5 - 1.1085),
        (61.0, 60.0 + 0.25 - 1.1085),
        (60.0, 58.0 + 0.5 + 1.1085),
    ] {
        assert!(
            (of(mean, 1.0) - by_hand).abs() < 1e-3,
            "{mean} {}",
            of(mean, 1.0)
        );
    }
    // Where nothing more is learned it stays where it is.
    assert!((of(20.0, 4.0) - 20.0).abs() < 1e-9 && (of(20.0, 9.0) - 20.0).abs() < 1e-9);
}

#[test]
fn what_a_leak_moves_is_what_comes_in() {
    // 200 mL per dive for ten minutes, by the viscous law.
    let h = told(
        &hold(200.0, 10.0, 10.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    let per_c = crate::ingress::ml_per_conductance(298.15, &h.dive, 81_325.0);
    let span = h.readings.last().unwrap().t_s;
    let rise = gas::viscous_rise(81_325.0, 101_325.0, 200.0 / per_c, 0.012, span) - 81_325.0;
    let series = ready(&h, &[], &[]);
    let g = Ground::new(&h, &series, &[]);
    supposed(200.0, 4.0, 60.0, |p| {
        assert!(near(p.moved(&g, 298.15), rise, 0.02), "{rise}");
    });
    supposed(-20.0, 4.0, 60.0, |p| assert_eq!(p.moved(&g, 298.15), 0.0));
}

#[test]
fn a_coarse_gauge_is_foretold_to_tell_by_its_steps_and_by_how_often_it_is_read() {
    let var = |step: f64, times: f64| {
        let mut h = told(
            &hold(0.0, 10.0, step),
            Some(Camera::Cold),
            Some(Desiccant::None),
        );
        h.gauge = GaugeKind::Absolute;
        h.temperature_source = TemperatureSource::Inside;
        h.temperature_sd_k = Some(0.001);
        for r in &mut h.readings {
            r.gauge_pa = 81_000.0 + step * (r.t_s / 120.0).floor();
        }
        planned(&h, |p| p.var_after(times * p.sofar(), &p.as_is())).unwrap()
    };
    // Of a line through n readings over a time T the slope's variance goes by s²/(n·T²).
    assert!(near(var(400.0, 4.0) / var(200.0, 4.0), 4.0, 0.2));
    let longer = var(400.0, 6.0) / var(400.0, 3.0);
    assert!(near(longer, 1.0 / 8.0, 0.2), "{longer}");
}

#[test]
fn a_new_hold_is_long_enough_where_an_unlucky_one_would_hold() {
    let h = told(
        &hold(0.0, 6.0, 10.0),
        Some(Camera::Cold),
        Some(Desiccant::None),
    );
    planned(&h, |p| {
        let with = Supposed {
            new: true,
            ..p.as_is()
        };
        for span in [600.0, 1_800.0] {
            // Twice the variance that is foretold, and an estimate of 1.28 standard uncertainties.
            let var = 2.0 * p.var_after(span, &with).unwrap();
            let then = Seen::new(p.h, p.fit).with(1.28 * var.sqrt(), var);
            let least = then.at_most(60.0, span);
            for (limit_ml, enough) in [(1.01 * least, true), (0.99 * least, false)] {
                let h = HoldInput {
                    limit_ml,
                    ..p.h.clone()
                };
                let p = Plan { h: &h, ..*p };
                assert_eq!(p.enough(span, &with), enough, "{span} {limit_ml}");
            }
        }
    });
}

/// Holds that ask for more, each in its own way.
fn undecided() -> Vec<HoldInput> {
    let mut out = Vec::new();
    for (camera, desiccant, minutes, source) in [
        (
            Some(Camera::On),
            Some(Desiccant::None),
            6.0,
            TemperatureSource::Surface,
        ),
        (None, Some(Desiccant::None), 6.0, TemperatureSource::Surface),
        (None, None, 12.0, TemperatureSource::Air),
        (
            Some(Camera::Warm),
            Some(Desiccant::Fresh),
            20.0,
            TemperatureSource::Surface,
        ),
        (
            Some(Camera::Cold),
            Some(Desiccant::None),
            4.0,
            TemperatureSource::None,
        ),
    ] {
        let mut h = told(&hold(0.0, minutes, 10.0), camera, desiccant);
        h.temperature_source = source;
        if source == TemperatureSource::Surface {
            h.limit_ml = 30.0;
        }
        out.push(h);
    }
    out
}

#[test]
fn the_time_that_is_told_is_what_is_needed_and_no_more() {
    let (mut seen, mut longest) = (0, 0.0_f64);
    for (nth, h) in undecided().iter().enumerate() {
        planned(h, |p| {
            let (sofar, with) = (p.sofar(), p.as_is());
            let Some(minutes) = p.minutes_to_go() else {
                return;
            };
            (seen, longest) = (seen + 1, minutes.max(longest));
            let span = sofar + 60.0 * minutes;
            assert!(p.enough(span, &with), "{nth}");
            // Looked for by doubling, then to a sixteenth of that.
            let least = p.span_needed(60.0, PATIENCE_S, &with).unwrap();
            assert!(
                p.enough(least, &with) && !p.enough(0.93 * least, &with),
                "{nth} {least}"
            );
            if least > sofar {
                assert!((span - least).abs() < 0.15 * least, "{nth} {span} {least}");
            }
            // Never less than it is asked for from, nor more than is worth waiting.
            assert_eq!(
                p.span_needed(1.5 * least, PATIENCE_S, &with),
                Some(1.5 * least)
            );
            assert_eq!(p.span_needed(60.0, 0.4 * least, &with), None);
        });
    }
    // Hours are told as well, up to sixteen.
    assert!(
        seen >= 3 && longest > 90.0 && longest < 960.0,
        "{seen} {longest}"
    );
    // Due, but not there: one more reading.
    supposed(0.0, 4.0, 1e6, |p| {
        let (sofar, readings) = (p.sofar(), p.series.t.len() as f64);
        assert!(p.enough(sofar, &p.as_is()));
        assert!(near(
            p.minutes_to_go().unwrap(),
            sofar / 60.0 / readings,
            1e-9
        ));
    });
}

#[test]
fn a_way_that_is_named_is_enough_and_saves_a_fifth() {
    let mut named = Vec::new();
    let holds = undecided();
    // Under many limits, so that some ways save just less than a fifth.
    let limits = (0..12).map(|i| 20.0 * 1.15_f64.powi(i));
    let all = (holds.iter().enumerate())
        .flat_map(|h| limits.clone().map(move |l| (h.0, l, h.1)))
        .chain(holds.iter().enumerate().map(|(n, h)| (n, h.limit_ml, h)));
    for (nth, limit_ml, h) in all {
        let h = &HoldInput {
            limit_ml,
            ..h.clone()
        };
        planned(h, |p| {
            let now = p.minutes_to_go();
            for w in p.ways(now) {
                if w.way == Way::Longer {
                    assert_eq!(Some(w.hold_minutes), now);
                    continue;
                }
                let whole = w.wait_minutes + w.hold_minutes;
                assert!(
                    now.is_none_or(|n| whole <= 0.8 * n + 1e-9),
                    "{nth} {w:?} {now:?}"
                );
                let said = matches!(w.way, Way::SayCamera | Way::SayDesiccant);
                let begun = if said { p.sofar() } else { 0.0 };
                let (h, source) = supposing(p.h.clone(), w.way, p.series.source);
                let with = Supposed {
                    h: &h,
                    source,
                    new: true,
                };
                let span = begun + 60.0 * w.hold_minutes;
                let from = if said { begun } else { SHORTEST_S };
                assert!(p.enough(span, &with) && span >= from, "{nth} {w:?}");
                if span > 1.001 * from {
                    assert!(!p.enough(0.93 * span, &with), "{nth} {w:?}");
                }
                named.push((nth, w.way));
            }
        });
    }
    for way in [
        (0, Way::SensorInside),
        (1, Way::SayCamera),
        (2, Way::SayDesiccant),
        (3, Way::CameraOff),
        (3, Way::MeasureHumidity),
        (4, Way::ProbeOnHousing),
    ] {
        assert!(named.contains(&way), "{way:?} {named:?}");
    }
}

#[test]
fn a_rise_is_of_water_where_it_is_sure_and_no_more_than_the_air_takes_up() {
    supposed(0.0, 4.0, 60.0, |p| {
        let looks = |evidence: f64, rise: f64, sd: f64| {
            let mut fit = p.fit.clone();
            fit.wet = evidence;
            fit.best_x[unknown::VAPOUR] = rise;
            fit.best_inv[unknown::VAPOUR][unknown::VAPOUR] = sd * sd;
            wet(&fit, 2_000.0)
        };
        assert!(looks(0.95, 1_500.0, 100.0) && !looks(0.85, 1_500.0, 100.0));
        // A millibar at least, a fifth over saturation at the most, four standard uncertainties.
        assert!(looks(0.95, 110.0, 10.0) && !looks(0.95, 90.0, 10.0));
        assert!(looks(0.95, 2_390.0, 100.0) && !looks(0.95, 2_410.0, 100.0));
        assert!(looks(0.95, 410.0, 100.0) && !looks(0.95, 390.0, 100.0));
    });
}

/// A housing of 12 L with a probe on it and fresh packs, tight, read at these minutes.
fn with_packs(minutes: &[f64]) -> HoldInput {
    let mut h = told(
        &hold(0.0, 5.0, 10.0),
        Some(Camera::Cold),
        Some(Desiccant::Fresh),
    );
    h.temperature_source = TemperatureSource::Surface;
    h.limit_ml = 60.0;
    h.readings = (minutes.iter())
        .map(|m| crate::hold::Reading {
            t_s: 60.0 * m,
            // The packs take 8 mbar of vapour, to tenths of a millibar.
            gauge_pa: 20_000.0 + 10.0 * (80.0 * (1.0 - (-60.0 * m / 2_700.0).exp())).round(),
            temperature_k: Some(298.15),
            ambient_pa: Some(101_325.0),
        })
        .collect();
    h
}

/// Seen: 'about 5 min more' at 20 min and 10 at 30, then two hours at 50, and tight a while later: with
/// 20 minutes between two readings the probe counted for nothing, and the forecast went on without it.
#[test]
fn a_probe_that_was_not_read_for_a_while_is_said_and_counts_again_in_the_forecast() {
    let at = [0.0, 5.0, 10.0, 20.0, 30.0, 50.0, 70.0];
    let seldom = judge(&with_packs(&at[..6])).unwrap();
    assert_eq!(seldom.verdict, Verdict::NotYet);
    assert_eq!(seldom.thermometer_unread_s, Some(1_200.0));
    // 20 min are 35 % of 57: was 188 min more.
    let more = seldom.minutes_to_go.unwrap();
    assert!((7.0..30.0).contains(&more), "{more}");
    // What is on the housing is not recommended to be put there.
    let ways: Vec<Way> = seldom.ways.iter().map(|w| w.way).collect();
    assert!(!ways.contains(&Way::ProbeOnHousing), "{ways:?}");
    let then = judge(&with_packs(&at)).unwrap();
    assert_eq!(then.verdict, Verdict::Holding);
    assert_eq!(then.thermometer_unread_s, None);
    // Of a housing whose temperature nobody takes a probe is news.
    let mut bare = with_packs(&at[..6]);
    bare.temperature_source = TemperatureSource::None;
    let bare = judge(&bare).unwrap();
    assert_eq!(bare.thermometer_unread_s, None);
    assert!(bare.ways.iter().any(|w| w.way == Way::ProbeOnHousing));
}

/// Seen: 'up to 48 mL possible' under a limit of 60 and yet 'Not yet', without a word on what was missing.
#[test]
fn what_a_verdict_still_wants_is_known() {
    let at = [0.0, 5.0, 10.0, 20.0, 30.0];
    let few = judge(&with_packs(&at)).unwrap();
    assert_eq!(few.verdict, Verdict::NotYet);
    assert!(few.at_most_ml < 60.0, "{}", few.at_most_ml);
    assert_eq!((few.readings_wanted, few.seconds_wanted), (2, 0.0));
    // Two more readings at the pace so far are not foretold to come sooner.
    assert!(few.minutes_to_go.unwrap() >= 12.0);
    // Two minutes of a dense log are too early, however many they are.
    let dense: Vec<f64> = (0..25).map(|i| f64::from(i) / 12.0).collect();
    let early = judge(&with_packs(&dense)).unwrap();
    assert_eq!((early.readings_wanted, early.seconds_wanted), (0, 30.0));
    // What is decided wants nothing.
    let done = judge(&with_packs(&[0.0, 5.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0])).unwrap();
    assert_eq!(done.verdict, Verdict::Holding);
    assert_eq!((done.readings_wanted, done.seconds_wanted), (0, 0.0));
}

#[test]
fn the_most_that_it_may_take_is_never_less_than_what_is_likely() {
    for h in undecided()
        .iter()
        .chain([&with_packs(&[0.0, 2.0, 5.0, 8.0, 12.0, 16.0, 20.0, 25.0])])
    {
        let j = judge(h).unwrap();
        let Some(likely) = j.minutes_to_go else {
            assert_eq!(j.minutes_at_most, None);
            continue;
        };
        assert!(j.minutes_at_most.is_none_or(|most| most >= 2.0 * likely));
    }
}
