//! Density and pressure of water against TEOS-10's Gibbs function, IAPWS-95 and EOS-80.

use std::path::PathBuf;

use slackwater_core::physics::water::{
    STANDARD_ATMOSPHERE_PA, Salinity, Water, depth_from_sea_pressure_m, gravity_m_s2,
    sea_pressure_pa,
};

use crate::columns::{CheckFailure, ColumnDeviation, each_row};

/// 75-term polynomial against the Gibbs function, kg/m³: the tolerance of the reference's README.
const POLYNOMIAL: f64 = 2e-3;

/// `seawater_density.csv`.
///
/// # Errors
/// A file that cannot be read or a row that is refused.
pub fn seawater_density(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let at = format!("case {}", table.text(row, "case")?);
        let n = |column| table.number(row, column);
        let p = n("p_dbar")? * 1e4;
        let temperature_k = n("t_C")? + 273.15;
        let fail = |e| table.failure(row, e);
        let by_sa = Water {
            salinity: Salinity::Absolute(n("SA_g_kg")?),
            temperature_k,
        };
        let by_sp = Water {
            salinity: Salinity::Practical(n("SP")?),
            temperature_k,
        };
        let rho = by_sa.density(p).map_err(fail)?;
        let rho_sr = by_sp.density(p).map_err(fail)?;
        let kg = "kg/m3";
        let exact = n("rho_teos10_exact_kg_m3")?;
        columns.add("rho_teos10_exact_kg_m3", kg, POLYNOMIAL, rho - exact, &at);
        // The same polynomial; what is left is the potential temperature.
        let same = n("rho_teos10_75term_kg_m3")?;
        columns.add("rho_teos10_75term_kg_m3", kg, 1e-4, rho - same, &at);
        let sr = n("rho_teos10_exact_using_SR_kg_m3")?;
        columns.add(
            "rho_teos10_exact_using_SR_kg_m3",
            kg,
            POLYNOMIAL,
            rho_sr - sr,
            &at,
        );
        // What the missing atlas costs: 0.06 kg/m³ at most, the README says.
        columns.add(
            "rho_teos10_exact_kg_m3 [by SP]",
            kg,
            0.062,
            rho_sr - exact,
            &at,
        );
        columns.add(
            "rho_eos80_kg_m3",
            kg,
            0.062,
            rho - n("rho_eos80_kg_m3")?,
            &at,
        );
        let ct = by_sa.conservative_temperature_c(p).map_err(fail)?;
        columns.add("CT_C", "K", 2e-4, ct - n("CT_C")?, &at);
        let sa = by_sp.salinity.absolute_g_kg().map_err(fail)?;
        columns.add("SR_g_kg", "g/kg", 1e-9, sa - n("SR_g_kg")?, &at);
        let freezing = by_sp.freezing_c(p).map_err(fail)?;
        columns.add(
            "t_freezing_C",
            "K",
            0.05,
            freezing - n("t_freezing_C")?,
            &at,
        );
        let depth = depth_from_sea_pressure_m(p, n("lat_deg")?).map_err(fail)?;
        columns.add("z_from_p_m", "m", 1e-6, depth + n("z_from_p_m")?, &at);
        Ok(())
    })
}

/// `fresh_water_density.csv`.
///
/// # Errors
/// A file that cannot be read or a row that is refused.
pub fn fresh_water_density(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let at = format!("case {}", table.text(row, "case")?);
        let water = Water {
            salinity: Salinity::Practical(0.0),
            temperature_k: table.number(row, "t_C")? + 273.15,
        };
        let p = table.number(row, "p_absolute_Pa")? - STANDARD_ATMOSPHERE_PA;
        let rho = water.density(p).map_err(|e| table.failure(row, e))?;
        // Each: the polynomial's tolerance and what the README gives between the source and TEOS-10.
        for (column, tolerance) in [
            ("rho_teos10_SA0_kg_m3", POLYNOMIAL),
            ("rho_iapws95_coolprop_kg_m3", POLYNOMIAL + 4e-5),
            ("rho_iapws95_iapws_kg_m3", POLYNOMIAL + 4e-5),
            ("rho_if97_kg_m3", POLYNOMIAL + 8e-3),
            ("rho_tanaka2001_kg_m3", POLYNOMIAL + 1.2e-3),
        ] {
            if let Some(want) = table.maybe(row, column)? {
                columns.add(column, "kg/m3", tolerance, rho - want, &at);
            }
        }
        Ok(())
    })
}

/// `depth_pressure.csv`.
///
/// # Errors
/// A file that cannot be read or a row that is refused.
pub fn depth_pressure(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let at = format!("case {}", table.text(row, "case")?);
        let n = |column| table.number(row, column);
        let (lat, depth) = (n("lat_deg")?, n("depth_m")?);
        let fail = |e| table.failure(row, e);
        let p = sea_pressure_pa(depth, lat).map_err(fail)?;
        let off = p / 1e4 - n("p_teos10_dbar")?;
        columns.add("p_teos10_dbar", "dbar", 1e-6, off, &at);
        let off = p + STANDARD_ATMOSPHERE_PA - n("p_absolute_Pa")?;
        columns.add("p_absolute_Pa", "Pa", 1e-2, off, &at);
        let back = depth_from_sea_pressure_m(n("p_teos10_dbar")? * 1e4, lat).map_err(fail)?;
        columns.add(
            "depth_back_from_p_m",
            "m",
            1e-6,
            back - n("depth_back_from_p_m")?,
            &at,
        );
        let off = p / 1e4 - n("p_unesco44_saunders_dbar")?;
        columns.add("p_unesco44_saunders_dbar", "dbar", 0.1, off, &at);
        let g = gravity_m_s2(lat, 0.0).map_err(fail)?;
        columns.add(
            "gravity_surface_m_s2",
            "m/s2",
            1e-9,
            g - n("gravity_surface_m_s2")?,
            &at,
        );
        let uniform = n("p_uniform_1025_980665_dbar")?;
        let off = p / 1e4 / uniform - 1.0;
        columns.add("p_uniform_1025_980665_dbar [relative]", "", 0.01, off, &at);
        Ok(())
    })
}

/// The numbers after `name=` in a text such as "S=35; t=25 (IPTS-68); p=0 dbar".
fn named(text: &str, name: &str) -> Option<f64> {
    let item = text
        .split(';')
        .map(str::trim)
        .find_map(|i| i.strip_prefix(name)?.strip_prefix('='))?;
    item.split_whitespace()
        .next()?
        .trim_end_matches("m")
        .parse()
        .ok()
}

/// `density_check_values.csv`: values printed in publications. Rows in Conservative Temperature are left
/// out (our door takes in-situ temperature), as are those beyond 1000 m and 40 °C.
///
/// # Errors
/// A file that cannot be read or a row that is refused.
pub fn density_check_values(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let id = table.text(row, "id")?;
        let inputs = table.text(row, "inputs")?;
        let published = table.number(row, "published")?;
        let need = |name: &str| {
            named(inputs, name)
                .ok_or_else(|| table.failure(row, format!("no {name} in {inputs:?}")))
        };
        if id.starts_with("T10P") {
            let p =
                sea_pressure_pa(-need("z")?, need("lat")?).map_err(|e| table.failure(row, e))?;
            columns.add(
                "published [TEOS-10 pressure]",
                "dbar",
                1e-6,
                p / 1e4 - published,
                id,
            );
        } else if id.starts_with("TAN") {
            let water = Water {
                salinity: Salinity::Practical(0.0),
                temperature_k: need("t")? + 273.15,
            };
            let rho = water.density(0.0).map_err(|e| table.failure(row, e))?;
            let within = POLYNOMIAL + 1.2e-3;
            columns.add(
                "published [pure water]",
                "kg/m3",
                within,
                rho - published,
                id,
            );
        } else if id.starts_with("U36") {
            // IPTS-68 to ITS-90, as oceanography does it (UNESCO 1991).
            let temperature_k = need("t")? / 1.00024 + 273.15;
            let water = Water {
                salinity: Salinity::Practical(need("S")?),
                temperature_k,
            };
            let rho = water.density(0.0).map_err(|e| table.failure(row, e))?;
            // EOS-80 against TEOS-10: 0.01 kg/m³ where the composition is the standard's.
            columns.add("published [EOS-80]", "kg/m3", 0.012, rho - published, id);
        }
        Ok(())
    })
}
