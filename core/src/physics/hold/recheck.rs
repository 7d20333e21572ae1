//! Two moments hours apart: does the gas law explain the difference?

use super::model::{INSIDE_SD_K, SURFACE_SD_K, spread};
use super::series::{Series, check, impossible};
use super::verdict::{CONVERSION, Z_95};
use super::{
    GaugeKind, HoldFault, LimitedBy, RecheckInput, RecheckJudgement, TemperatureSource, Verdict,
};
use crate::physics::gas::ATM;
use crate::physics::ingress;

/// Standard uncertainties that decide, either way: there is one look, and no settling that could be
/// taken for a leak. 0.05 % on one side.
const Z_VERDICT: f64 = 3.3;

/// Standard uncertainty of the difference of the gas temperature between two moments hours apart, K:
/// both moments' errors count. Common practice, or what the crew has `measured` at one moment.
fn temperature_difference_sd(source: TemperatureSource, measured: Option<f64>) -> f64 {
    let at_one = match source {
        TemperatureSource::Inside => measured.unwrap_or(INSIDE_SD_K),
        TemperatureSource::Surface => measured.unwrap_or(SURFACE_SD_K),
        // However good the thermometer, the gas is no nearer to the air.
        TemperatureSource::Air => measured.unwrap_or(0.0).max(1.0),
        TemperatureSource::None => return 4.0,
    };
    at_one * std::f64::consts::SQRT_2
}

/// Compares two moments of one enclosure held under vacuum between them.
///
/// # Errors
/// As [`super::judge`].
pub fn recheck(input: &RecheckInput) -> Result<RecheckJudgement, HoldFault> {
    let h = &input.hold;
    let mut now = input.now;
    let asked_only = now.gauge_pa.is_nan();
    if asked_only {
        now.gauge_pa = input.then.gauge_pa;
    }
    let mut both = h.clone();
    both.readings = vec![input.then, now];
    check(&both)?;
    impossible(&both)?;
    let span = now.t_s - input.then.t_s;
    if span <= 0.0 {
        return Err(HoldFault::Absurd {
            what: "the time between the two moments",
            value: span,
            why: "the second must be later, s",
            range: None,
        });
    }
    // Without both temperatures the gas is taken as unmeasured, without both barometers the weather.
    let temps = input.then.temperature_k.zip(now.temperature_k);
    let source = if temps.is_some() {
        h.temperature_source
    } else {
        TemperatureSource::None
    };
    let (t0, t1) = match source {
        TemperatureSource::None => (293.15, 293.15),
        _ => temps.unwrap_or((293.15, 293.15)),
    };
    let ambients = input.then.ambient_pa.zip(now.ambient_pa);
    let (a0, a1) = ambients.unwrap_or_else(|| {
        let a = input.then.ambient_pa.or(now.ambient_pa).unwrap_or(ATM);
        (a, a)
    });
    let p0 = Series::inside(h.gauge, input.then.gauge_pa, a0);
    let p1 = Series::inside(h.gauge, now.gauge_pa, a1);
    let tight = p0 * t1 / t0;
    let expected_pa = match h.gauge {
        GaugeKind::BelowAmbient => a1 - tight,
        GaugeKind::Absolute => tight,
    };
    let by_temperature_pa = tight - p0;
    let by_barometer_pa = match h.gauge {
        GaugeKind::BelowAmbient => a1 - a0,
        GaugeKind::Absolute => 0.0,
    };
    let unexplained_pa = p1 - tight;

    let step = h.gauge_resolution_pa;
    let gauge_var = 2.0 * step * step / 12.0;
    let kelvin = temperature_difference_sd(source, h.temperature_sd_k);
    let temp_var = (kelvin * p0 / t0).powi(2);
    let barometer_var = match (h.gauge, h.barometer_sd_pa) {
        (GaugeKind::BelowAmbient, Some(sd)) if ambients.is_some() => sd * sd,
        (GaugeKind::BelowAmbient, _) => spread(source, ambients.is_some(), span, None)
            .barometer
            .powi(2),
        (GaugeKind::Absolute, _) => 0.0,
    };
    let var = gauge_var + temp_var + barometer_var;

    // Conductance from the closed form of a viscous leak at a steady ambient pressure (their mean):
    // artanh(P₁/A) − artanh(P₀/A) = C/V·A·t, both pressures at the mean temperature.
    let t_mid = 0.5 * (t0 + t1);
    let a_mid = 0.5 * (a0 + a1);
    let (x0, x1) = (p0 * t_mid / t0 / a_mid, p1 * t_mid / t1 / a_mid);
    let p_mid = 0.5 * a_mid * (x0 + x1);
    let ml_per_c = ingress::ml_per_conductance(t_mid, &h.dive, p_mid);
    let x_mid = (0.5 * (x0 + x1)).clamp(0.0, 0.9999);
    let ml_per_pa = ml_per_c * h.volume_m3 / (a_mid * a_mid * (1.0 - x_mid * x_mid) * span);
    let leak = if x0 > 0.0 && x0 < 0.9999 && x1 > 0.0 && x1 < 0.9999 {
        ml_per_c * h.volume_m3 * (x1.atanh() - x0.atanh()) / (a_mid * span)
    } else {
        // The vacuum is gone, or never was: what leaked in is at least this.
        unexplained_pa * t_mid / t1 * ml_per_pa
    };
    // When between the two moments temperature and barometer moved is unknown: a third of their
    // change counts as uncertainty of the driving pressure.
    let path = (tight - p0).hypot(a1 - a0) / 3.0 / (a_mid - p_mid).abs().max(1.0);
    let scale = ((h.volume_sd_m3 / h.volume_m3).powi(2) + CONVERSION * CONVERSION + path * path)
        .sqrt()
        .min(0.29);
    let leak_var = var * ml_per_pa * ml_per_pa;
    let bounds = |z: f64| {
        let s2 = scale * scale;
        let a = (1.0 - z * z * s2).max(0.02);
        let half = z * (s2 * leak * leak + a * leak_var).sqrt();
        ((leak - half) / a, (leak + half) / a)
    };
    let (low, high) = bounds(Z_95);
    let (sure_low, sure_high) = bounds(Z_VERDICT);
    let verdict = if sure_high < h.limit_ml {
        Verdict::Holding
    } else if sure_low > h.limit_ml {
        Verdict::Leaking
    } else {
        Verdict::NotYet
    };
    let volume_var = (scale * h.limit_ml.max(leak.abs()) / ml_per_pa).powi(2);
    let limited_by = [
        (gauge_var, LimitedBy::Gauge),
        (temp_var, LimitedBy::Temperature),
        (barometer_var, LimitedBy::Barometer),
        (volume_var, LimitedBy::Volume),
    ]
    .iter()
    .fold(
        (-1.0, LimitedBy::Gauge),
        |m, &(v, n)| if v > m.0 { (v, n) } else { m },
    )
    .1;
    Ok(RecheckJudgement {
        expected_pa,
        expected_sd_pa: var.sqrt(),
        verdict: (!asked_only).then_some(verdict),
        leak_ml: if asked_only {
            (0.0, low - leak, high - leak)
        } else {
            (leak, low, high)
        },
        by_temperature_pa,
        by_barometer_pa,
        unexplained_pa: if asked_only { 0.0 } else { unexplained_pa },
        limited_by,
    })
}

#[cfg(test)]
mod tests {
    use super::super::{Dive, HoldInput, Reading, ShutIn};
    use super::*;
    use crate::physics::gas;

    fn input(ml: f64, dt: f64, da: f64) -> RecheckInput {
        let dive = Dive {
            depth_m: 30.0,
            minutes: 60.0,
            salinity_g_kg: 35.0,
            water_k: 293.15,
        };
        let (a0, t0, v, hours) = (101_325.0, 293.15, 0.012, 10.0);
        let p0 = a0 - 20_000.0;
        let c = ml / ingress::ml_per_conductance(t0, &dive, p0);
        let (t1, a1) = (t0 + dt, a0 + da);
        let p1 = gas::viscous_rise(p0, a0, c, v, hours * 3600.0) * t1 / t0;
        let at = |t_s, gauge_pa, t, a| Reading {
            t_s,
            gauge_pa,
            temperature_k: Some(t),
            ambient_pa: Some(a),
        };
        RecheckInput {
            then: at(0.0, a0 - p0, t0, a0),
            now: at(hours * 3600.0, a1 - p1, t1, a1),
            hold: HoldInput {
                volume_m3: v,
                volume_sd_m3: 0.0006,
                gauge: GaugeKind::BelowAmbient,
                gauge_resolution_pa: 10.0,
                temperature_source: TemperatureSource::Surface,
                dive,
                limit_ml: 10.0,
                temperature_sd_k: None,
                barometer_sd_pa: None,
                humidity: None,
                shut_in: ShutIn::NOTHING,
                zero_pa: 0.0,
                zero_sd_pa: 0.0,
                readings: Vec::new(),
            },
        }
    }

    #[test]
    fn a_thermometer_in_the_air_that_is_off_by_more_widens_it_and_a_good_one_changes_nothing() {
        let width = |measured| {
            let mut i = input(0.0, 0.0, 0.0);
            i.hold.temperature_source = TemperatureSource::Air;
            i.hold.temperature_sd_k = measured;
            recheck(&i).unwrap().expected_sd_pa
        };
        assert_eq!(width(Some(0.1)), width(None));
        // Of three kelvin instead of one nearly three times as much: the rest is gauge and barometer.
        assert!(width(Some(3.0)) > 2.9 * width(None));
    }

    #[test]
    fn gas_law_explains_a_cold_morning() {
        let r = recheck(&input(0.0, -8.0, 600.0)).unwrap();
        assert_eq!(r.verdict, Some(Verdict::Holding));
        assert!(r.unexplained_pa.abs() < 1e-6, "{}", r.unexplained_pa);
        // p₀·ΔT/T₀ by hand: 813.25 mbar · (-8/293.15) = -22.19 mbar.
        assert!(
            (r.by_temperature_pa + 2219.3).abs() < 0.5,
            "{}",
            r.by_temperature_pa
        );
        assert!((r.by_barometer_pa - 600.0).abs() < 1e-9);
        assert!((r.expected_pa - (20_000.0 + 600.0 + 2219.3)).abs() < 0.5);
    }

    #[test]
    fn a_leak_is_not_explained() {
        let r = recheck(&input(40.0, -8.0, 600.0)).unwrap();
        assert_eq!(r.verdict, Some(Verdict::Leaking));
        assert!(r.leak_ml.1 < 40.0 && r.leak_ml.2 > 40.0, "{:?}", r.leak_ml);
        let r = recheck(&input(40.0, -0.5, 50.0)).unwrap();
        assert!((r.leak_ml.0 / 40.0 - 1.0).abs() < 0.03, "{:?}", r.leak_ml);
    }

    #[test]
    fn asks_only_for_the_expected_reading() {
        let mut i = input(0.0, 5.0, 0.0);
        i.now.gauge_pa = f64::NAN;
        let r = recheck(&i).unwrap();
        assert_eq!(r.verdict, None);
        assert!((r.expected_pa - (20_000.0 - 81_325.0 * 5.0 / 293.15)).abs() < 1e-6);
        i.now.t_s = 0.0;
        assert!(recheck(&i).is_err());
    }
}
