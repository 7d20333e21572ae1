//! The water of the day: its density from salinity, temperature and depth; pressure from depth and back.
//!
//! Density is the TEOS-10 75-term polynomial of the `gsw` crate. That crate has no conversion from
//! in-situ temperature to Conservative Temperature; it is got here from the crate's own enthalpy by an
//! identity of TEOS-10 (see [`Water::conservative_temperature_c`]), so no coefficient is repeated.
//!
//! What this cannot do:
//! - **No atlas of salinity anomaly.** Practical salinity becomes Reference Salinity
//!   (`SR = SP · 35.16504/35`), not Absolute Salinity. In the open sea that costs 0.001 to 0.01 kg/m³, in
//!   waters of another composition (Baltic, estuaries) up to about 0.06 kg/m³. A rig that displaces
//!   20 L feels 1.2 gf of that. Who knows the Absolute Salinity gives [`Salinity::Absolute`].
//! - The polynomial is fitted to the sea; against the exact Gibbs function it is within 0.002 kg/m³,
//!   fresh water included, for 0..40 °C and down to 300 m.
//! - Dissolved minerals of a lake or a mineral pool differ from sea salt of the same mass: treat the
//!   result as good to a few percent of the salinity's share.
//! - Air bubbles, silt and thermoclines are not in it.

use serde::Deserialize;
use std::sync::LazyLock;
use thiserror::Error;

/// Standard atmosphere, Pa: the pressure at which sea pressure is zero (TEOS-10).
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;
/// Standard gravity, m/s² (3rd CGPM, 1901): what a gram-force is defined by.
pub const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;
/// Practical salinity that the formulas cover.
pub const PRACTICAL_SALINITY_MAX: f64 = 42.0;
/// Absolute Salinity that the formulas cover, g/kg.
pub const ABSOLUTE_SALINITY_MAX_G_KG: f64 = 42.3;
/// Warmest water that the formulas cover, K.
pub const TEMPERATURE_MAX_K: f64 = 313.15;
/// Greatest depth accepted, m.
pub const DEPTH_MAX_M: f64 = 1000.0;

const CELSIUS_K: f64 = 273.15;
/// TEOS-10's heat capacity that ties potential enthalpy to Conservative Temperature, J/(kg K).
const CP0: f64 = 3_991.867_957_119_63;
const PA_PER_DBAR: f64 = 1.0e4;

/// Why a water cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum WaterError {
    /// Salinity outside what the formulas cover.
    #[error("{kind} salinity {value} is out of range: allowed are 0 to {max}")]
    Salinity {
        /// "practical" or "absolute".
        kind: &'static str,
        /// What was given.
        value: f64,
        /// Largest allowed.
        max: f64,
    },
    /// Temperature outside liquid water or outside the fit.
    #[error(
        "water temperature {value_c:.2} °C is out of range: allowed are {min_c:.2} °C (freezing at this salinity and depth) to {max_c:.1} °C"
    )]
    Temperature {
        /// What was given, °C.
        value_c: f64,
        /// Freezing point, °C.
        min_c: f64,
        /// Upper limit, °C.
        max_c: f64,
    },
    /// Depth or pressure outside what is accepted.
    #[error("{quantity} {value} {unit} is out of range: allowed are {min} to {max} {unit}")]
    Range {
        /// Which quantity.
        quantity: &'static str,
        /// What was given.
        value: f64,
        /// Smallest allowed.
        min: f64,
        /// Largest allowed.
        max: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// The data file of presets does not name it.
    #[error("no preset of that name among the {count} waters known")]
    UnknownPreset {
        /// How many presets there are.
        count: usize,
    },
}

fn within(
    quantity: &'static str,
    value: f64,
    min: f64,
    max: f64,
    unit: &'static str,
) -> Result<f64, WaterError> {
    // Written so that NaN fails.
    if value >= min && value <= max {
        Ok(value)
    } else {
        Err(WaterError::Range {
            quantity,
            value,
            min,
            max,
            unit,
        })
    }
}

/// How salty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Salinity {
    /// Practical salinity (PSS-78, no unit), 0 to 42: what a conductivity meter or chart gives.
    Practical(f64),
    /// Absolute Salinity (TEOS-10), g/kg, 0 to 42.3.
    Absolute(f64),
}

impl Salinity {
    /// g of salt per kg of water as the density needs it. Practical salinity is taken to Reference
    /// Salinity (module doc: no anomaly atlas).
    ///
    /// # Errors
    /// [`WaterError::Salinity`] outside the ranges of the variants.
    pub fn absolute_g_kg(self) -> Result<f64, WaterError> {
        match self {
            Salinity::Practical(sp) if (0.0..=PRACTICAL_SALINITY_MAX).contains(&sp) => {
                Ok(gsw::conversions::sr_from_sp(sp))
            }
            Salinity::Practical(value) => Err(WaterError::Salinity {
                kind: "practical",
                value,
                max: PRACTICAL_SALINITY_MAX,
            }),
            Salinity::Absolute(sa) if (0.0..=ABSOLUTE_SALINITY_MAX_G_KG).contains(&sa) => Ok(sa),
            Salinity::Absolute(value) => Err(WaterError::Salinity {
                kind: "absolute",
                value,
                max: ABSOLUTE_SALINITY_MAX_G_KG,
            }),
        }
    }
}

impl Salinity {
    /// The practical salinity of the same water, composition as the open sea's (no anomaly atlas).
    ///
    /// # Errors
    /// [`WaterError::Salinity`].
    pub fn practical(self) -> Result<f64, WaterError> {
        match self {
            Salinity::Practical(sp) => self.absolute_g_kg().map(|_| sp),
            Salinity::Absolute(_) => Ok(gsw::conversions::sp_from_sr(self.absolute_g_kg()?)),
        }
    }
}

/// A water of one salinity and one in-situ temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    /// How salty.
    pub salinity: Salinity,
    /// In-situ temperature (ITS-90), K.
    pub temperature_k: f64,
}

/// A density and its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Density {
    /// kg/m³.
    pub kg_m3: f64,
    /// 1 sd, kg/m³.
    pub sd_kg_m3: f64,
}

impl Water {
    /// Freezing point at sea pressure `sea_pressure_pa`, °C, good to 0.02 °C to 42 in salinity and 300 m.
    ///
    /// Source: UNESCO Technical Papers in Marine Science 44 (1983), algorithm 6; coefficients from
    /// memory, checked against the TEOS-10 freezing points of the reference values.
    ///
    /// # Errors
    /// [`WaterError::Salinity`].
    pub fn freezing_c(&self, sea_pressure_pa: f64) -> Result<f64, WaterError> {
        let sp = gsw::conversions::sp_from_sr(self.salinity.absolute_g_kg()?);
        let p_dbar = sea_pressure_pa / PA_PER_DBAR;
        Ok(
            -0.0575 * sp + 1.710_523e-3 * sp * sp.sqrt()
                - 2.154_996e-4 * sp * sp
                - 7.53e-4 * p_dbar,
        )
    }

    /// Conservative Temperature, °C, at sea pressure `sea_pressure_pa` (absolute less 101 325 Pa).
    ///
    /// Source: TEOS-10 manual (IOC Manuals and Guides 56), section A.11: the slope of enthalpy against
    /// Conservative Temperature at constant salinity and pressure is
    /// `cp0 · (in-situ temperature) / (potential temperature)`, in kelvin. Solved for the potential
    /// temperature by iteration; it converges because the slope differs from cp0 by 1e-3 at most.
    ///
    /// # Errors
    /// Those of [`Water::density`].
    pub fn conservative_temperature_c(&self, sea_pressure_pa: f64) -> Result<f64, WaterError> {
        let (_, ct) = self.sa_ct(sea_pressure_pa)?;
        Ok(ct)
    }

    fn sa_ct(&self, sea_pressure_pa: f64) -> Result<(f64, f64), WaterError> {
        let p_max = DEPTH_MAX_M * 1.05 * PA_PER_DBAR;
        let p = within("sea pressure", sea_pressure_pa, -2.0e4, p_max, "Pa")? / PA_PER_DBAR;
        let sa = self.salinity.absolute_g_kg()?;
        let t_c = self.temperature_k - CELSIUS_K;
        let min_c = self.freezing_c(sea_pressure_pa)?;
        let max_c = TEMPERATURE_MAX_K - CELSIUS_K;
        // 0.05 °C of grace: the freezing formula's own error, and a thermometer's last digit.
        if !(t_c >= min_c - 0.05 && t_c <= max_c + 1e-9) {
            return Err(WaterError::Temperature {
                value_c: t_c,
                min_c,
                max_c,
            });
        }
        let refused = |_| WaterError::Salinity {
            kind: "absolute",
            value: sa,
            max: ABSOLUTE_SALINITY_MAX_G_KG,
        };
        let mut pt_k = self.temperature_k;
        let mut ct = gsw::conversions::ct_from_pt(sa, pt_k - CELSIUS_K).map_err(refused)?;
        for _ in 0..6 {
            let (_, slope) = gsw::volume::enthalpy_first_derivatives(sa, ct, p).map_err(refused)?;
            let next = self.temperature_k * CP0 / slope;
            let moved = (next - pt_k).abs();
            pt_k = next;
            ct = gsw::conversions::ct_from_pt(sa, pt_k - CELSIUS_K).map_err(refused)?;
            if moved < 1e-10 {
                break;
            }
        }
        Ok((sa, ct))
    }

    /// Density at sea pressure `sea_pressure_pa` (absolute less 101 325 Pa), kg/m³. Range: salinity as
    /// in [`Salinity`], freezing to 40 °C, to 1000 m. Error: see the module's doc.
    ///
    /// Source: TEOS-10, 75-term polynomial for specific volume (Ocean Modelling 90, 29, 2015), as in the
    /// `gsw` crate; checked against the exact Gibbs function in `seawater_density` and IAPWS-95 in
    /// `fresh_water_density`.
    ///
    /// # Errors
    /// [`WaterError`] naming the quantity out of range.
    pub fn density(&self, sea_pressure_pa: f64) -> Result<f64, WaterError> {
        let (sa, ct) = self.sa_ct(sea_pressure_pa)?;
        gsw::volume::rho(sa, ct, sea_pressure_pa / PA_PER_DBAR).map_err(|_| WaterError::Salinity {
            kind: "absolute",
            value: sa,
            max: ABSOLUTE_SALINITY_MAX_G_KG,
        })
    }

    /// Density with its standard uncertainty from those of salinity (in the unit of the variant held)
    /// and temperature (K), and 0.01 kg/m³ for the missing anomaly atlas where salinity is practical
    /// and above 2.
    ///
    /// # Errors
    /// [`WaterError`].
    pub fn density_with_sd(
        &self,
        sea_pressure_pa: f64,
        salinity_sd: f64,
        temperature_sd_k: f64,
    ) -> Result<Density, WaterError> {
        within(
            "salinity uncertainty",
            salinity_sd,
            0.0,
            PRACTICAL_SALINITY_MAX,
            "",
        )?;
        within("temperature uncertainty", temperature_sd_k, 0.0, 40.0, "K")?;
        let (sa, ct) = self.sa_ct(sea_pressure_pa)?;
        let refused = |_| WaterError::Salinity {
            kind: "absolute",
            value: sa,
            max: ABSOLUTE_SALINITY_MAX_G_KG,
        };
        let (rho, alpha, beta) =
            gsw::volume::rho_alpha_beta(sa, ct, sea_pressure_pa / PA_PER_DBAR).map_err(refused)?;
        let (sa_sd, atlas) = match self.salinity {
            Salinity::Practical(sp) => (
                gsw::conversions::sr_from_sp(salinity_sd),
                if sp > 2.0 { 0.01 } else { 0.0 },
            ),
            Salinity::Absolute(_) => (salinity_sd, 0.0),
        };
        let by_salt = rho * beta * sa_sd;
        let by_heat = rho * alpha * temperature_sd_k;
        // Near 4 °C fresh water's slope with temperature is nil: the curvature is what is left.
        let by_curve = 0.5 * rho * 1.6e-5 * temperature_sd_k * temperature_sd_k;
        let sd =
            (by_salt.powi(2) + by_heat.powi(2) + by_curve.powi(2) + f64::powi(atlas, 2)).sqrt();
        Ok(Density {
            kg_m3: rho,
            sd_kg_m3: sd,
        })
    }

    /// Sea pressure, Pa, at `depth_m` (0 to 1000 m) in a column of this very water, at `latitude_deg`.
    ///
    /// Differs from [`sea_pressure_pa`], which is for the standard ocean, by the density ratio: 2.6 % in
    /// a lake. Gravity by latitude and depth from the `gsw` crate. Within 1e-5 of the pressure.
    ///
    /// # Errors
    /// [`WaterError`].
    pub fn pressure_at_depth(&self, depth_m: f64, latitude_deg: f64) -> Result<f64, WaterError> {
        within("depth", depth_m, 0.0, DEPTH_MAX_M, "m")?;
        let g = gravity_m_s2(latitude_deg, depth_m / 2.0)?;
        let top = self.density(0.0)?;
        let mut p = top * g * depth_m;
        for _ in 0..3 {
            p = 0.5 * (top + self.density(p)?) * g * depth_m;
        }
        Ok(p)
    }

    /// Density at `depth_m` in a column of this water, kg/m³, with the uncertainties of
    /// [`Water::density_with_sd`].
    ///
    /// # Errors
    /// [`WaterError`].
    pub fn density_at_depth(
        &self,
        depth_m: f64,
        latitude_deg: f64,
        salinity_sd: f64,
        temperature_sd_k: f64,
    ) -> Result<Density, WaterError> {
        let p = self.pressure_at_depth(depth_m, latitude_deg)?;
        self.density_with_sd(p, salinity_sd, temperature_sd_k)
    }
}

/// Gravity at `latitude_deg` (−90 to 90) and `depth_m` below the surface, m/s².
///
/// Source: TEOS-10 manual, Appendix D (the 1980 geodetic reference system's series), as in `gsw`.
///
/// # Errors
/// [`WaterError::Range`].
pub fn gravity_m_s2(latitude_deg: f64, depth_m: f64) -> Result<f64, WaterError> {
    let lat = within("latitude", latitude_deg, -90.0, 90.0, "°")?;
    let depth = within("depth", depth_m, 0.0, DEPTH_MAX_M, "m")?;
    gsw::earth::gravity(lat, depth * 1.01).map_err(|_| WaterError::Range {
        quantity: "latitude",
        value: latitude_deg,
        min: -90.0,
        max: 90.0,
        unit: "°",
    })
}

/// Sea pressure, Pa, at `depth_m` (0 to 1000 m) below the surface of the standard ocean (salinity
/// 35.16504 g/kg, 0 °C), at `latitude_deg` (−90 to 90). Add 101 325 Pa, or the barometer, for absolute.
///
/// Source: TEOS-10 `p_from_z` of the `gsw` crate. Error against the true sea: the column's density, at
/// most 0.7 % for warm or brackish water; for a lake or pool use [`Water::pressure_at_depth`].
///
/// # Errors
/// [`WaterError::Range`].
pub fn sea_pressure_pa(depth_m: f64, latitude_deg: f64) -> Result<f64, WaterError> {
    let depth = within("depth", depth_m, 0.0, DEPTH_MAX_M, "m")?;
    let lat = within("latitude", latitude_deg, -90.0, 90.0, "°")?;
    match gsw::conversions::p_from_z(-depth, lat, None, None) {
        Ok(p_dbar) => Ok(p_dbar * PA_PER_DBAR),
        Err(_) => Err(WaterError::Range {
            quantity: "depth",
            value: depth_m,
            min: 0.0,
            max: DEPTH_MAX_M,
            unit: "m",
        }),
    }
}

/// Depth, m, at which the standard ocean has the sea pressure `sea_pressure_pa`: the inverse of
/// [`sea_pressure_pa`], to 1e-6 m.
///
/// # Errors
/// [`WaterError::Range`].
pub fn depth_from_sea_pressure_m(
    sea_pressure_pa: f64,
    latitude_deg: f64,
) -> Result<f64, WaterError> {
    let max = DEPTH_MAX_M * 1.05 * PA_PER_DBAR;
    let p = within("sea pressure", sea_pressure_pa, 0.0, max, "Pa")?;
    let lat = within("latitude", latitude_deg, -90.0, 90.0, "°")?;
    Ok(-gsw::conversions::z_from_p(p / PA_PER_DBAR, lat, 0.0, 0.0))
}

/// A water to start from, out of `core/data/waters.toml`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Preset {
    /// Stable key.
    pub key: String,
    /// Plain English name.
    pub name: String,
    /// Practical salinity.
    pub salinity: f64,
    /// Its standard uncertainty.
    pub salinity_sd: f64,
    /// °C.
    pub temperature_c: f64,
    /// Its standard uncertainty, K.
    pub temperature_sd_c: f64,
}

impl Preset {
    /// The water itself.
    #[must_use]
    pub fn water(&self) -> Water {
        Water {
            salinity: Salinity::Practical(self.salinity),
            temperature_k: self.temperature_c + CELSIUS_K,
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PresetFile {
    water: Vec<Preset>,
}

static PRESETS: LazyLock<Vec<Preset>> = LazyLock::new(|| {
    // The file is compiled in and a test reads it, so the fallback is never met.
    toml::from_str::<PresetFile>(include_str!("../../data/waters.toml"))
        .map(|f| f.water)
        .unwrap_or_default()
});

/// All presets, in the file's order.
#[must_use]
pub fn presets() -> &'static [Preset] {
    &PRESETS
}

/// One preset by its key (`fresh`, `pool`, `sea`, …).
///
/// # Errors
/// [`WaterError::UnknownPreset`].
pub fn preset(key: &str) -> Result<&'static Preset, WaterError> {
    PRESETS
        .iter()
        .find(|p| p.key == key)
        .ok_or(WaterError::UnknownPreset {
            count: PRESETS.len(),
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn water(sp: f64, t_c: f64) -> Water {
        Water {
            salinity: Salinity::Practical(sp),
            temperature_k: t_c + 273.15,
        }
    }

    #[test]
    fn published_density_of_fresh_water() {
        // CIPM-recommended formula (Metrologia 38, 301, 2001) at 101 325 Pa; IAPWS-95 gives 998.2071
        // and 997.0479 at 20 and 25 °C.
        for (t, rho) in [(20.0, 998.2071), (25.0, 997.0479), (30.0, 995.6488)] {
            let got = water(0.0, t).density(0.0).unwrap();
            assert!((got - rho).abs() < 2.5e-3, "{t} °C: {got} against {rho}");
        }
    }

    #[test]
    fn presets_are_read_and_computable() {
        assert!(presets().len() >= 5);
        for p in presets() {
            let d = p
                .water()
                .density_with_sd(0.0, p.salinity_sd, p.temperature_sd_c)
                .unwrap();
            assert!((990.0..1032.0).contains(&d.kg_m3), "{}: {d:?}", p.key);
            assert!(d.sd_kg_m3 > 0.05 && d.sd_kg_m3 < 3.0, "{}: {d:?}", p.key);
        }
        assert!(preset("sea").is_ok());
        assert_eq!(
            preset("lava").unwrap_err(),
            WaterError::UnknownPreset {
                count: presets().len()
            }
        );
    }

    #[test]
    fn bad_input_names_quantity_value_and_range() {
        let e = water(-1.0, 20.0).density(0.0).unwrap_err().to_string();
        assert!(
            e.contains("practical salinity -1") && e.contains("0 to 42"),
            "{e}"
        );
        let e = water(35.0, -3.0).density(0.0).unwrap_err().to_string();
        assert!(e.contains("-3.00 °C"), "{e}");
        assert!(water(35.0, f64::NAN).density(0.0).is_err());
        assert!(water(f64::NAN, 10.0).density(0.0).is_err());
        assert!(sea_pressure_pa(-1.0, 0.0).is_err());
        assert!(sea_pressure_pa(10.0, 91.0).is_err());
        assert!(depth_from_sea_pressure_m(f64::INFINITY, 0.0).is_err());
    }

    #[test]
    fn a_lake_presses_less_than_the_sea() {
        let lake = water(0.0, 10.0).pressure_at_depth(40.0, 47.0).unwrap();
        let sea = sea_pressure_pa(40.0, 47.0).unwrap();
        assert!((0.970..0.976).contains(&(lake / sea)), "{}", lake / sea);
        // A column of the standard ocean must come out as the standard ocean.
        let own = water(35.0, 0.0).pressure_at_depth(40.0, 47.0).unwrap();
        assert!((own / sea - 1.0).abs() < 1e-5, "{own} against {sea}");
    }

    #[test]
    fn sd_is_the_slope_times_the_input_sd() {
        let w = water(30.0, 15.0);
        let d = w.density_with_sd(0.0, 0.5, 0.0).unwrap();
        let slope = water(30.5, 15.0).density(0.0).unwrap() - w.density(0.0).unwrap();
        // 1 %: the same in-situ temperature is another Conservative Temperature in saltier water.
        assert!(
            (d.sd_kg_m3 / slope.hypot(0.01) - 1.0).abs() < 0.01,
            "{d:?} {slope}"
        );
    }

    proptest! {
        #[test]
        fn depth_and_pressure_are_inverse(depth in 0.0..1000.0f64, lat in -90.0..90.0f64) {
            let p = sea_pressure_pa(depth, lat).unwrap();
            let back = depth_from_sea_pressure_m(p, lat).unwrap();
            prop_assert!((back - depth).abs() < 1e-6, "{depth} {back}");
        }

        #[test]
        fn saltier_and_deeper_is_denser(sp in 0.0..41.0f64, t in 0.5..39.0f64, p in 0.0..3.0e6f64) {
            let here = water(sp, t).density(p).unwrap();
            prop_assert!(water(sp + 1.0, t).density(p).unwrap() > here + 0.6);
            prop_assert!(water(sp, t).density(p + 1e5).unwrap() > here);
        }
    }
}
