//! Viscosity of water, sea water and air.
//!
//! The libraries' values are other fits of the same measurements: their columns are held to the
//! accuracy stated for them, our own formulas' columns to rounding.

use slackwater_core::physics::units::celsius_to_k;
use slackwater_core::physics::viscosity::{air, plain_density, water, water_iapws};

use crate::Kind;
use crate::report::{Report, Within};
use crate::table::Table;

pub const KIND: Kind = Kind {
    name: "viscosity",
    files: &["viscosity.csv"],
    check,
};

fn check(tables: &[Table]) -> Result<Report, String> {
    let mut report = Report::default();
    for row in tables.first().ok_or("no table")?.rows() {
        let t = celsius_to_k(row.number("t_C")?);
        let fluid = row.text("fluid")?;
        if fluid == "dry_air" {
            report.compare(
                row,
                "mu_sutherland_ussa1976_Pa_s",
                air(t),
                Within::Relative(1e-12),
            )?;
            report.values(
                row,
                "mu_coolprop_Pa_s (air)",
                air(t),
                row.number("mu_coolprop_Pa_s")?,
                Within::Relative(0.01),
            );
            continue;
        }
        let s = row.number("S_g_kg")?;
        let rho = row.number("rho_kg_m3")?;
        report.compare(
            row,
            "mu_sharqawy2010_Pa_s",
            water(t, s),
            Within::Relative(1e-12),
        )?;
        report.compare(
            row,
            "mu_sharqawy2010_printed_Pa_s",
            water(t, s),
            Within::Relative(5e-5),
        )?;
        report.compare_if(
            row,
            "mu_sharqawy2010_pure_water_Pa_s",
            water(t, 0.0),
            Within::Relative(1e-12),
        )?;
        report.compare_if(
            row,
            "mu_iapws_r12_08_Pa_s",
            water_iapws(t, rho),
            Within::Relative(1e-9),
        )?;
        let (name, found) = if fluid == "water" {
            ("mu_coolprop_Pa_s (water)", water_iapws(t, rho))
        } else {
            ("mu_coolprop_Pa_s (sea water)", water(t, s))
        };
        let within = if fluid == "water" { 1e-4 } else { 0.015 };
        report.values(
            row,
            name,
            found,
            row.number("mu_coolprop_Pa_s")?,
            Within::Relative(within),
        );
        // The plain density is for one atmosphere; deeper rows differ by compression.
        if row.number("p_absolute_Pa")? < 110_000.0 {
            report.compare(
                row,
                "rho_kg_m3",
                plain_density(t, s),
                Within::Relative(1e-3),
            )?;
        }
    }
    Ok(report)
}
