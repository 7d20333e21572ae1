//! How much an enclosure's camera warms its gas, learned from what was read.
//!
//! Any camera may put the gas 1 to 8 K above the wall, which is up to 27 mbar of vacuum: with no more
//! known a recheck with the camera on tells little. Two readings of one hold less than an hour apart,
//! one with it on and one with it off, show what it did, and so does a hold in which it ran or cooled.
//! What is learned only narrows what is common of any camera, so that a leak taken for warmth can't let
//! more pass than nobody's word would.

use super::inside::CAMERA_WARMS_K;
use super::model::spread;
use super::recheck::{Ready, ready};
use super::series::Series;
use super::worlds::{Cameras, weighed};
use super::{Camera, GaugeKind, HoldInput, Later, Proved, TemperatureSource};

/// Readings with the camera on and off further apart show other things too, s.
pub const PAIR_WITHIN_S: f64 = 3600.0;
/// A warmth that is no surer than this shows nothing, K (1 sd).
const SHOWS_K: f64 = 1.25;

/// How far a camera was seen to warm the gas, K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// Estimate.
    pub k: f64,
    /// Its standard uncertainty.
    pub sd_k: f64,
}

impl Warmth {
    fn of(k: f64, sd_k: f64) -> Option<Self> {
        let can_be = k > -2.0 * sd_k && k < CAMERA_WARMS_K.1 + 2.0 * sd_k;
        (sd_k < SHOWS_K && can_be).then_some(Self { k, sd_k })
    }
}

/// What two rechecks of one hold show, one with the camera `off` and one with it `on`: by the gas law
/// θ = (P₁·T₀/T₁ − P₀)·T₀/P₀, with what gauge, thermometer and barometer may do in between. `None`
/// where they are too far apart, or their errors hide it; a sensor in the gas sees it anyway.
#[must_use]
pub fn seen_between(h: &HoldInput, off: &Later, on: &Later) -> Option<Warmth> {
    let span = (on.reading.t_s - off.reading.t_s).abs();
    let source = h.temperature_source;
    let one_barometer = on.other_barometer == off.other_barometer;
    let told = matches!(source, TemperatureSource::Surface | TemperatureSource::Air);
    if span > PAIR_WITHIN_S || !told || !one_barometer {
        return None;
    }
    let (t0, t1) = (off.reading.temperature_k?, on.reading.temperature_k?);
    let both = off.reading.ambient_pa.zip(on.reading.ambient_pa);
    let at =
        |l: &Later, ambient: f64| Series::inside(h.gauge, l.reading.gauge_pa - h.zero_pa, ambient);
    let common = off.reading.ambient_pa.or(on.reading.ambient_pa);
    let (a0, a1) = both.or(common.map(|a| (a, a)))?;
    let (p0, p1) = (at(off, a0), at(on, a1));
    let per_k = p0 / t0;
    let errors = spread(source, both.is_some(), span, h.temperature_sd_k);
    let barometer = match h.gauge {
        GaugeKind::Absolute => 0.0,
        GaugeKind::BelowAmbient => errors.barometer,
    };
    let pa = (h.gauge_resolution_pa / 6.0_f64.sqrt()).hypot(barometer);
    Warmth::of(
        (p1 * t0 / t1 - p0) / per_k,
        errors.temperature.hypot(pa / per_k),
    )
}

/// What a hold in which the camera ran, or cooled, shows of it. Where it cooled, how far it had been
/// above the wall when the valve was closed.
#[must_use]
pub fn seen_in_hold(h: &HoldInput, proved: &Proved) -> Option<Warmth> {
    let runs = match h.shut_in.camera? {
        Camera::Cold => return None,
        Camera::Warm => false,
        Camera::On => true,
    };
    if h.temperature_source == TemperatureSource::Inside {
        return None;
    }
    let Ready { held, felt, .. } = ready(h, proved, h.temperature_source, None)?;
    let any = Cameras {
        k: CAMERA_WARMS_K,
        not_on: false,
    };
    let worlds = weighed(h, &held, felt, any);
    let kelvins = |w: &super::worlds::World| if runs { w.camera_k } else { w.warm_k };
    let mean: f64 = worlds.iter().map(|w| w.weight * kelvins(w)).sum();
    let var: f64 = worlds
        .iter()
        .map(|w| w.weight * (kelvins(w) - mean).powi(2))
        .sum();
    Warmth::of(mean, var.sqrt())
}

/// Least and most kelvins of an enclosure's camera that has run for long, from what was `seen` of it.
///
/// It stands at least where it was seen. How far on its way it was then nobody knows: of n seen, each
/// as likely anywhere up to the end, the end lies (n + 1)/n beyond the largest (the estimate of the end
/// of a uniform distribution that has least variance among those without bias; textbooks).
#[must_use]
pub fn learned(seen: &[Warmth]) -> Option<(f64, f64)> {
    if seen.is_empty() {
        return None;
    }
    let (low, high) = CAMERA_WARMS_K;
    let n = seen.len() as f64;
    let furthest = |of: &dyn Fn(&Warmth) -> f64| seen.iter().map(of).fold(low, f64::max);
    let most = (furthest(&|w| w.k + w.sd_k) * (1.0 + 1.0 / n)).min(high);
    Some((furthest(&|w| w.k - 2.0 * w.sd_k).min(most), most))
}

#[cfg(test)]
mod tests {
    use super::super::{Dive, Reading, ShutIn};
    use super::*;

    fn hold(source: TemperatureSource) -> HoldInput {
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
            limit_ml: 60.0,
            temperature_sd_k: None,
            barometer_sd_pa: None,
            humidity: None,
            shut_in: ShutIn::NOTHING,
            zero_pa: 0.0,
            zero_sd_pa: 0.0,
            readings: Vec::new(),
        }
    }

    fn later(t_s: f64, gauge_pa: f64) -> Later {
        Later {
            reading: Reading {
                t_s,
                gauge_pa,
                temperature_k: Some(293.15),
                ambient_pa: Some(101_325.0),
            },
            camera_on: None,
            other_barometer: false,
            came_up: None,
            brought: false,
        }
    }

    #[test]
    fn two_readings_of_one_hold_show_the_camera() {
        let h = hold(TemperatureSource::Surface);
        // 4 K of 813.25 mbar at 293.15 K: 11.10 mbar by hand.
        let (off, on) = (later(7200.0, 20_000.0), later(8400.0, 20_000.0 - 1109.7));
        let w = seen_between(&h, &off, &on).unwrap();
        assert!((w.k - 4.0).abs() < 0.01 && w.sd_k < 0.4, "{w:?}");
        // Either order; not hours apart, nor where nothing measures it, nor what no camera does.
        assert_eq!(seen_between(&h, &off, &later(20_000.0, 18_890.0)), None);
        assert_eq!(seen_between(&h, &off, &later(8400.0, 15_000.0)), None);
        assert_eq!(seen_between(&h, &off, &later(8400.0, 20_500.0)), None);
        let blind = hold(TemperatureSource::None);
        assert_eq!(seen_between(&blind, &off, &on), None);
        let within = hold(TemperatureSource::Inside);
        assert_eq!(seen_between(&within, &off, &on), None);
    }

    #[test]
    fn a_warmth_is_shown_only_where_it_is_sure_and_a_camera_may_do_it() {
        let shown = |k, sd_k| Warmth::of(k, sd_k).is_some();
        // Surer than 1.25 K.
        assert!(shown(3.0, 1.24) && !shown(3.0, 1.25) && !shown(3.0, 1.3));
        // From nothing to 8 K, with two standard uncertainties of either end.
        assert!(shown(-0.7, 0.4) && !shown(-0.9, 0.4));
        assert!(shown(8.7, 0.4) && !shown(8.9, 0.4));
        assert!(shown(10.2, 1.2) && !shown(10.5, 1.2));
    }

    #[test]
    fn how_sure_a_warmth_is_comes_from_what_was_read() {
        let mut h = hold(TemperatureSource::Surface);
        let off = later(7200.0, 20_000.0);
        let per_k = 81_325.0 / 293.15;
        let sure = |h: &HoldInput, after_s: f64| {
            let on = later(7200.0 + after_s, 20_000.0 - 4.0 * per_k);
            seen_between(h, &off, &on)
        };
        // An hour apart is near enough, a second more is not.
        assert!(sure(&h, 3600.0).is_some() && sure(&h, 3601.0).is_none());
        // Two readings of a gauge that shows steps of 5 mbar, each off by a uniform error of that
        // width (variance s²/12), and 0.15 mbar of the barometer's drift.
        h.gauge_resolution_pa = 500.0;
        h.temperature_sd_k = Some(0.1);
        let spread = spread(TemperatureSource::Surface, true, 600.0, Some(0.1)).temperature;
        let by_hand = ((500.0_f64.powi(2) / 6.0 + 225.0) / per_k.powi(2) + spread * spread).sqrt();
        let have = sure(&h, 600.0).unwrap().sd_k;
        assert!((have / by_hand - 1.0).abs() < 1e-9, "{have} {by_hand}");
        // What the gauge shows too much it shows at both moments: the vacuum is that much less.
        let mut h = hold(TemperatureSource::Surface);
        h.zero_pa = 5_000.0;
        let on = later(8400.0, 20_000.0 - 4.0 * per_k);
        let k = seen_between(&h, &off, &on).unwrap().k;
        assert!((k - 4.0 * 81_325.0 / 86_325.0).abs() < 1e-6, "{k}");
    }

    #[test]
    fn what_is_learned_only_narrows_what_is_common() {
        let seen = |k: f64| Warmth { k, sd_k: 0.3 };
        assert_eq!(learned(&[]), None);
        for all in [
            vec![seen(0.2)],
            vec![seen(3.0)],
            vec![seen(3.0), seen(2.0), seen(2.8)],
            vec![seen(8.4), seen(8.3)],
        ] {
            let (least, most) = learned(&all).unwrap();
            let (low, high) = CAMERA_WARMS_K;
            assert!(low <= least && least <= most && most <= high, "{all:?}");
        }
        // Once: it may have been half way. Often: hardly.
        assert_eq!(learned(&[seen(3.0)]), Some((2.4, 6.6)));
        let often = learned(&[seen(3.0); 10]).unwrap();
        assert!(often.1 < 3.7, "{often:?}");
    }

    #[test]
    fn a_long_hold_with_the_camera_cooling_shows_how_warm_it_was() {
        let mut h = hold(TemperatureSource::Surface);
        h.shut_in.camera = Some(Camera::Warm);
        let warm = |kelvins: f64| -> Vec<Reading> {
            (0..=90)
                .map(|i| {
                    let t = 60.0 * f64::from(i);
                    let above = kelvins * (-t / 1200.0).exp();
                    let p = 81_325.0 * (1.0 + above / 293.15);
                    later(t, ((101_325.0 - p) / 10.0_f64).round() * 10.0).reading
                })
                .collect()
        };
        h.readings = warm(5.0);
        let proved = Proved {
            leak_ml: 0.0,
            low_ml: -5.0,
            high_ml: 5.0,
            suspects: Vec::new(),
        };
        let w = seen_in_hold(&h, &proved).unwrap();
        assert!((w.k - 5.0).abs() < 2.0 * w.sd_k + 0.3, "{w:?}");
        // How warm it was is known in kelvins, not by a share of it.
        let little = HoldInput {
            readings: warm(2.0),
            ..h.clone()
        };
        let little = seen_in_hold(&little, &proved).unwrap();
        assert!(little.sd_k < 0.95 * w.sd_k, "{little:?} {w:?}");
        h.shut_in.camera = Some(Camera::Cold);
        assert_eq!(seen_in_hold(&h, &proved), None);
    }
}
