//! Hold tests of an evacuated enclosure: readings and cases.

use slackwater_core::physics::gas::{Enclosure, R, viscous_rise};
use slackwater_core::physics::units::{LeakUnit, convert_leak};

use crate::Kind;
use crate::report::{Report, Within};
use crate::table::{Row, Table};

pub const KIND: Kind = Kind {
    name: "pressure_decay",
    files: &["pressure_decay.csv", "pressure_decay_cases.csv"],
    check,
};

/// A course in time: constant, a straight line, or an exponential approach.
fn course(kind: &str, x0: f64, dx: f64, tau: Option<f64>, span: f64, t: f64) -> f64 {
    match (kind, tau) {
        ("linear", _) => x0 + dx * t / span,
        ("exponential", Some(tau)) => x0 + dx * (1.0 - (-t / tau).exp()),
        _ => x0,
    }
}

fn check(tables: &[Table]) -> Result<Report, String> {
    const TIGHT: Within = Within::Relative(1e-9);
    let [readings, cases] = tables else {
        return Err("two tables are needed".into());
    };
    let mut report = Report::default();
    for case in cases.rows() {
        let n = |name| case.number(name);
        let id = case.text("case")?;
        let of_case: Vec<Row<'_>> = readings
            .rows()
            .filter(|r| r.text("case") == Ok(id))
            .collect();
        let times: Vec<f64> = of_case
            .iter()
            .map(|r| r.number("t_s"))
            .collect::<Result<_, _>>()?;
        let (volume, span) = (n("V_L")? * 1e-3, n("duration_s")?);
        let stated = n("stated_leak_Pa_m3_s")?;
        let (hi, lo) = (n("stated_p_high_Pa")?, n("stated_p_low_Pa")?);
        let box_ = Enclosure {
            volume_m3: volume,
            conductance: stated / (hi * hi - lo * lo),
            reference_k: 293.15,
        };
        let (t_kind, a_kind) = (
            case.text("temperature_profile")?,
            case.text("ambient_profile")?,
        );
        let (t0, dt, t_tau) = (n("T0_K")?, n("dT_K")?, case.maybe("T_tau_s")?);
        let (a0, da, a_tau) = (
            n("ambient0_hPa")? * 100.0,
            n("d_ambient_hPa")? * 100.0,
            case.maybe("ambient_tau_s")?,
        );
        let temp = |t: f64| course(t_kind, t0, dt, t_tau, span, t);
        let ambient = |t: f64| course(a_kind, a0, da, a_tau, span, t);
        let p0 = a0 - n("start_depression_hPa")? * 100.0;
        let n0 = p0 * volume / (R * t0);
        let moles = box_.fill(n0, &times, temp, ambient);
        let (Some(&end), Some(&n_end)) = (times.last(), moles.last()) else {
            return Err(format!("case {id} has no readings"));
        };
        let inside = |t: f64, n: f64| box_.pressure(n, temp(t));

        for ((row, &t), &mol) in of_case.iter().zip(&times).zip(&moles) {
            let (p, a) = (inside(t, mol), ambient(t));
            report.compare(*row, "internal_pressure_hPa", p / 100.0, TIGHT)?;
            report.compare(*row, "ambient_hPa", a / 100.0, TIGHT)?;
            report.compare(*row, "gas_temperature_K", temp(t), TIGHT)?;
            report.compare(
                *row,
                "gauge_depression_hPa",
                (a - p) / 100.0,
                Within::Absolute(1e-7),
            )?;
            report.compare(*row, "leak_Pa_m3_s", box_.throughput(a, p), TIGHT)?;
        }
        let q_mean = (n_end - n0) * R * 293.15 / span;
        let mbar = |q| convert_leak(q, LeakUnit::PaM3PerS, LeakUnit::MbarLPerS, t0);
        let p_end = inside(end, n_end);
        let (g0, g1) = (a0 - p0, ambient(end) - p_end);
        // Differences of nearly equal numbers: absolute, in parts of the gas there is.
        let small = Within::Absolute(1e-9 * p0 * volume / span);
        report.compare(case, "stated_leak_mbar_L_s", mbar(stated), TIGHT)?;
        report.compare(case, "stated_delta_p_Pa", hi - lo, TIGHT)?;
        report.compare(case, "conductance_C_m3_per_Pa_s", box_.conductance, TIGHT)?;
        report.compare(case, "gauge_start_hPa", g0 / 100.0, Within::Absolute(1e-7))?;
        report.compare(case, "gauge_end_hPa", g1 / 100.0, Within::Absolute(1e-7))?;
        report.compare(case, "leak_start_Pa_m3_s", box_.throughput(a0, p0), TIGHT)?;
        report.compare(
            case,
            "leak_end_Pa_m3_s",
            box_.throughput(ambient(end), p_end),
            TIGHT,
        )?;
        report.compare(case, "leak_mean_exact_Pa_m3_s", q_mean, small)?;
        report.compare(case, "leak_mean_exact_mbar_L_s", mbar(q_mean), small)?;
        report.compare(
            case,
            "gas_gained_mol",
            n_end - n0,
            Within::Absolute(1e-9 * n0),
        )?;
        let naive = volume * (g0 - g1) / span;
        report.compare(case, "naive_leak_from_gauge_only_Pa_m3_s", naive, small)?;
        let compensated = volume * 293.15 / span * (p_end / temp(end) - p0 / t0);
        report.compare(
            case,
            "compensated_leak_from_P_and_T_Pa_m3_s",
            compensated,
            small,
        )?;
        if case.maybe("max_difference_from_closed_form_Pa")?.is_some() {
            // The conductance counts gas at 293.15 K; the closed form at the gas temperature.
            let c = box_.conductance * t0 / 293.15;
            let worst = times
                .iter()
                .zip(&moles)
                .map(|(&t, &m)| (viscous_rise(p0, a0, c, volume, t) - inside(t, m)).abs())
                .fold(0.0, f64::max);
            report.compare(
                case,
                "max_difference_from_closed_form_Pa",
                worst,
                Within::Absolute(1e-4),
            )?;
        }
    }
    Ok(report)
}
