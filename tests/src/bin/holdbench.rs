//! What a verdict costs: 500 readings, against an ordinary least-squares line on the same data.
//!
//! `holdbench [READINGS]`; run in release. Prints medians of many runs and their ratio, for each
//! temperature source. Exit status 1 where a verdict on 500 readings or fewer takes
//! 1 ms or more where it was said that nothing is shut in, 5 ms where nothing was said.

use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

use slackwater_core::physics::hold::{
    Dive, GaugeKind, HoldInput, Reading, ShutIn, TemperatureSource, judge, judge_briefly,
};

/// A hold with settling, a warming day and a 0.1 mbar gauge.
fn hold(n: usize, source: TemperatureSource, shut_in: ShutIn) -> HoldInput {
    let readings = (0..n)
        .map(|i| {
            let t = i as f64 * 7.2;
            let wall = 298.0 + 1e-4 * t;
            let gas = wall - 6.0 * (-t / 90.0).exp();
            let p = 81_000.0 * gas / 298.0 + 0.01 * t;
            let ambient = 101_300.0 + 0.01 * t;
            // A little noise from the golden ratio: the same on every run.
            let noise = ((i as f64 * 0.618_034).fract() - 0.5) * 6.0;
            Reading {
                t_s: t,
                gauge_pa: ((ambient - p + noise) / 10.0).round() * 10.0,
                temperature_k: match source {
                    TemperatureSource::Inside => Some((gas * 10.0).round() / 10.0),
                    TemperatureSource::None => None,
                    _ => Some((wall * 10.0).round() / 10.0),
                },
                ambient_pa: Some((ambient / 10.0).round() * 10.0),
            }
        })
        .collect();
    HoldInput {
        volume_m3: 0.012,
        volume_sd_m3: 0.0006,
        gauge: GaugeKind::BelowAmbient,
        gauge_resolution_pa: 10.0,
        temperature_source: source,
        dive: Dive {
            depth_m: 30.0,
            minutes: 60.0,
            salinity_g_kg: 35.0,
            water_k: 293.15,
        },
        limit_ml: 10.0,
        temperature_sd_k: None,
        barometer_sd_pa: None,
        humidity: None,
        shut_in,
        zero_pa: 0.0,
        zero_sd_pa: 0.0,
        readings,
    }
}

/// The baseline: slope of an ordinary least-squares line through the gauge's readings, Pa/s.
fn line(h: &HoldInput) -> f64 {
    let n = h.readings.len() as f64;
    let mt = h.readings.iter().map(|r| r.t_s).sum::<f64>() / n;
    let mg = h.readings.iter().map(|r| r.gauge_pa).sum::<f64>() / n;
    let (mut a, mut b) = (0.0, 0.0);
    for r in &h.readings {
        a += (r.t_s - mt) * (r.gauge_pa - mg);
        b += (r.t_s - mt).powi(2);
    }
    a / b
}

/// Median time of one call, µs.
fn median(mut f: impl FnMut(), runs: usize) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let t = Instant::now();
            f();
            t.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times.get(runs / 2).copied().unwrap_or(f64::NAN)
}

fn main() -> ExitCode {
    let n: usize = std::env::args()
        .nth(1)
        .and_then(|a| a.parse().ok())
        .unwrap_or(500);
    let mut ok = true;
    println!("{n} readings            verdict   no forecast   least-squares line   ratio");
    let (nothing, unsaid) = (ShutIn::NOTHING, ShutIn::default());
    for (name, source, shut_in, most) in [
        ("inside", TemperatureSource::Inside, nothing, 1000.0),
        ("surface", TemperatureSource::Surface, nothing, 1000.0),
        ("air", TemperatureSource::Air, nothing, 1000.0),
        ("none", TemperatureSource::None, nothing, 1000.0),
        (
            "inside, not said",
            TemperatureSource::Inside,
            unsaid,
            5000.0,
        ),
        (
            "surface, not said",
            TemperatureSource::Surface,
            unsaid,
            5000.0,
        ),
        ("air, not said", TemperatureSource::Air, unsaid, 5000.0),
        ("none, not said", TemperatureSource::None, unsaid, 5000.0),
    ] {
        let h = hold(n, source, shut_in);
        if let Err(e) = judge(&h) {
            eprintln!("{name}: {e}");
            return ExitCode::from(2);
        }
        let verdict = median(|| drop(black_box(judge(black_box(&h)))), 101);
        let brief = median(|| drop(black_box(judge_briefly(black_box(&h)))), 101);
        let base = median(
            || {
                // Too short for the clock alone: a hundred at a time.
                for _ in 0..100 {
                    black_box(line(black_box(&h)));
                }
            },
            101,
        ) / 100.0;
        println!(
            "{name:18} {verdict:9.0} µs {brief:9.0} µs {base:16.2} µs {:12.0}",
            verdict / base
        );
        ok &= n > 500 || verdict < most;
    }
    if ok {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
