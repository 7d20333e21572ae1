//! From a leak of gas at the test's pressures to water at depth.
//!
//! The laminar viscous relation: the same pore passes Q = G/η_g·(p_hi² − p_lo²) of gas (Pa·m³/s,
//! at the gas temperature) and V̇ = 2G/η_w·Δp of water, with G = πd⁴/(256L). The geometry cancels.
//! The blocking of a fine pore by surface tension is never credited: dirt and water on the inner
//! face remove it. Pores below about 7 µm are in slip flow, so that a measured gas leak overstates
//! the water (on the safe side).

use crate::gas::{ATM, G};
use crate::hold::Dive;
use crate::viscosity;

/// Pressure that drives water in at depth, Pa: atmosphere + ρ·g·depth − inside pressure.
#[must_use]
pub fn driving_pressure(dive: &Dive, inside_pa: f64) -> f64 {
    ATM + viscosity::plain_density(dive.water_k, dive.salinity_g_kg) * G * dive.depth_m - inside_pa
}

/// Water flow at depth, m³/s, for a gas leak `throughput` (Pa·m³/s at the gas temperature
/// `gas_k`) measured between `p_hi` and `p_lo` (absolute, Pa), with `inside_pa` in the enclosure
/// during the dive.
#[must_use]
pub fn water_flow(
    throughput: f64,
    p_hi: f64,
    p_lo: f64,
    gas_k: f64,
    dive: &Dive,
    inside_pa: f64,
) -> f64 {
    throughput / (p_hi * p_hi - p_lo * p_lo) * flow_per_conductance(gas_k, dive, inside_pa)
}

/// Water flow, m³/s, for each m³/(Pa·s) of viscous gas conductance Q/(p_hi² − p_lo²) at `gas_k`.
#[must_use]
pub fn flow_per_conductance(gas_k: f64, dive: &Dive, inside_pa: f64) -> f64 {
    let eta_w = viscosity::water(dive.water_k, dive.salinity_g_kg);
    2.0 * viscosity::air(gas_k) * driving_pressure(dive, inside_pa) / eta_w
}

/// mL of water in the whole dive for each m³/(Pa·s) of conductance; see [`flow_per_conductance`].
#[must_use]
pub fn ml_per_conductance(gas_k: f64, dive: &Dive, inside_pa: f64) -> f64 {
    flow_per_conductance(gas_k, dive, inside_pa) * dive.minutes * 60.0 * 1e6
}

/// How many times the water of `planned` the same leak lets in on dive `now`, with a vacuum of
/// 200 mbar inside. The gas and the leak cancel.
#[must_use]
pub fn times_the_water(planned: &Dive, now: &Dive) -> f64 {
    const INSIDE_PA: f64 = ATM - 20_000.0;
    let of = |dive: &Dive| ml_per_conductance(293.15, dive, INSIDE_PA);
    of(now) / of(planned)
}

/// Laminar flow of water through a round capillary, m³/s: πd⁴/(128 ηL)·Δp (Hagen–Poiseuille).
/// Lengths in m, `viscosity` in Pa·s, `dp` in Pa.
#[must_use]
pub fn capillary_water_flow(d_m: f64, length_m: f64, viscosity: f64, dp: f64) -> f64 {
    std::f64::consts::PI * d_m.powi(4) / (128.0 * viscosity * length_m) * dp
}

/// Pressure that surface tension holds back at a round mouth, Pa: 4σ·cosθ/d, with σ in N/m, θ in
/// degrees, d in m. Negative where the wall is not wetted. For comparison only: nothing here ever
/// takes it off the water.
#[must_use]
pub fn laplace_pressure(surface_tension: f64, contact_deg: f64, d_m: f64) -> f64 {
    4.0 * surface_tension * contact_deg.to_radians().cos() / d_m
}

/// Reynolds number of a flow in a round capillary: 4ρV̇/(πdη), with `mass_flow` ρV̇ in kg/s.
#[must_use]
pub fn reynolds(mass_flow: f64, d_m: f64, viscosity: f64) -> f64 {
    4.0 * mass_flow / (std::f64::consts::PI * d_m * viscosity)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn warm_fresh_water_comes_in_faster_than_cold_salt_water() {
        let dive = |water_c: f64, salinity_g_kg: f64| Dive {
            depth_m: 20.0,
            minutes: 60.0,
            salinity_g_kg,
            water_k: 273.15 + water_c,
        };
        // Water at 2 and 30 °C: 1673.5 and 797.3 µPa·s (steam tables, IAPWS R12-08).
        let fresh = times_the_water(&dive(2.0, 0.0), &dive(30.0, 0.0));
        assert!((fresh / (1673.5 / 797.3) - 1.0).abs() < 0.01, "{fresh}");
        assert!(times_the_water(&dive(2.0, 35.0), &dive(30.0, 0.0)) > 2.1);
        assert!((times_the_water(&dive(9.0, 5.0), &dive(9.0, 5.0)) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn geometry_cancels() {
        let dive = Dive {
            depth_m: 30.0,
            minutes: 60.0,
            salinity_g_kg: 35.0,
            water_k: 293.15,
        };
        let (d, l, p_hi, p_lo) = (20e-6_f64, 4e-3, 101_325.0, 81_325.0);
        let eta = viscosity::air(293.15);
        let q = crate::gas::capillary_throughput(d, l, eta, p_hi, p_lo);
        let direct = std::f64::consts::PI * d.powi(4)
            / (128.0 * viscosity::water(293.15, 35.0) * l)
            * driving_pressure(&dive, p_lo);
        let flow = water_flow(q, p_hi, p_lo, 293.15, &dive, p_lo);
        assert!((flow / direct - 1.0).abs() < 1e-12);
    }
}
