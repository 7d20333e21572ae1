//! A leak of gas and the water that the same pore passes.
//!
//! Properties of the fluids by our own formulas are held to their stated accuracy; each other column
//! is recomputed from the row's own properties, to rounding, and the water once more from our own.

use slackwater_core::physics::gas::{M_AIR, R, capillary_throughput, mean_free_path};
use slackwater_core::physics::hold::Dive;
use slackwater_core::physics::ingress::{
    capillary_water_flow, driving_pressure, laplace_pressure, reynolds, water_flow,
};
use slackwater_core::physics::units::{LeakUnit, celsius_to_k, convert_leak};
use slackwater_core::physics::viscosity::{air, plain_density, surface_tension, water};

use crate::Kind;
use crate::report::{Report, Within};
use crate::table::Table;

pub const KIND: Kind = Kind {
    name: "gas_leak_to_water_ingress",
    files: &["gas_leak_to_water_ingress.csv"],
    check,
};

fn check(tables: &[Table]) -> Result<Report, String> {
    const TIGHT: Within = Within::Relative(1e-9);
    const ML_PER_DAY: f64 = 86_400.0 * 1e6;
    let mut report = Report::default();
    for row in tables.first().ok_or("no table")?.rows() {
        let n = |name| row.number(name);
        let (d, l) = (n("pore_diameter_um")? * 1e-6, n("pore_length_mm")? * 1e-3);
        let t = celsius_to_k(n("t_C")?);
        let (hi, lo) = (n("gas_test_p_high_Pa")?, n("gas_test_p_low_Pa")?);
        let (depth, s) = (n("water_depth_m")?, n("S_g_kg")?);
        let inside = n("internal_pressure_hPa")? * 100.0;
        let theta = n("contact_angle_deg")?;
        let (eta_g, eta_w) = (n("eta_air_Pa_s")?, n("eta_water_Pa_s")?);
        let (rho, sigma) = (n("rho_water_kg_m3")?, n("surface_tension_N_m")?);

        report.compare(row, "eta_air_Pa_s", air(t), Within::Relative(0.01))?;
        report.compare(row, "eta_water_Pa_s", water(t, s), Within::Relative(0.015))?;
        report.compare(
            row,
            "rho_water_kg_m3",
            plain_density(t, s),
            Within::Relative(1e-3),
        )?;
        report.compare(
            row,
            "surface_tension_N_m",
            surface_tension(t, s),
            Within::Relative(1e-4),
        )?;

        let q = capillary_throughput(d, l, eta_g, hi, lo);
        report.compare(row, "gas_leak_Pa_m3_s", q, TIGHT)?;
        let mbar = convert_leak(q, LeakUnit::PaM3PerS, LeakUnit::MbarLPerS, t);
        report.compare(row, "gas_leak_mbar_L_s", mbar, TIGHT)?;
        let dp = 101_325.0 + rho * 9.806_65 * depth - inside;
        report.compare(row, "water_pressure_difference_Pa", dp, TIGHT)?;
        let flow = capillary_water_flow(d, l, eta_w, dp);
        report.compare(row, "water_flow_m3_s", flow, TIGHT)?;
        report.compare(row, "water_flow_mL_per_day", flow * ML_PER_DAY, TIGHT)?;
        let p_c = laplace_pressure(sigma, theta, d);
        report.compare(row, "laplace_signed_4_sigma_cos_over_d_Pa", p_c, TIGHT)?;
        report.compare(row, "laplace_threshold_Pa", p_c.abs(), TIGHT)?;
        let passes = dp > p_c.abs();
        report.same(row, "passes_water", if passes { "true" } else { "false" })?;
        let through = if passes { flow * ML_PER_DAY } else { 0.0 };
        report.compare(row, "water_flow_with_threshold_mL_per_day", through, TIGHT)?;
        let less = capillary_water_flow(d, l, eta_w, (dp - p_c.abs()).max(0.0)) * ML_PER_DAY;
        report.compare(row, "water_flow_minus_laplace_mL_per_day", less, TIGHT)?;
        let kn = mean_free_path(eta_g, 0.5 * (hi + lo), t) / d;
        report.compare(row, "gas_knudsen_number_at_mean_pressure", kn, TIGHT)?;
        let re_gas = reynolds(q / (R * t) * M_AIR, d, eta_g);
        report.compare(row, "gas_reynolds_number", re_gas, TIGHT)?;
        report.compare(
            row,
            "water_reynolds_number",
            reynolds(rho * flow, d, eta_w),
            TIGHT,
        )?;

        // What the hold's verdict does: water from the gas leak alone, all properties our own.
        let dive = Dive {
            depth_m: depth,
            minutes: 1.0,
            salinity_g_kg: s,
            water_k: t,
        };
        let own = water_flow(q, hi, lo, t, &dive, inside);
        report.compare(
            row,
            "water_flow_from_gas_leak_only_m3_s",
            own,
            Within::Relative(0.02),
        )?;
        report.values(
            row,
            "water_pressure_difference_Pa (own density)",
            driving_pressure(&dive, inside),
            dp,
            Within::Relative(1e-3),
        );
    }
    Ok(report)
}
