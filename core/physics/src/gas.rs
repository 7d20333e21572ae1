//! Ideal gas, moist air and the flow of gas through one round pore.

/// Molar gas constant, J/(mol·K). CODATA 2018, exact.
pub const R: f64 = 8.314_462_618_153_24;
/// 0 °C in kelvin.
pub const ZERO_C: f64 = 273.15;
/// The standard atmosphere, Pa.
pub const ATM: f64 = 101_325.0;
/// Molar mass of dry air, kg/mol (U.S. Standard Atmosphere 1976: 0.028 964 4; rounded as in most
/// gas tables).
pub const M_AIR: f64 = 0.028_965_2;
/// Standard acceleration of free fall, m/s².
pub const G: f64 = 9.806_65;

/// Saturation vapour pressure over liquid water, Pa, at `t_k` in K (about 228 K to 333 K).
///
/// WMO-No. 8 (2018), Annex 4.B, eq. 4.B.1, without the enhancement factor. Within 0.31 % of
/// IAPWS-95 between 0 and 60 °C.
#[must_use]
pub fn saturation_pressure(t_k: f64) -> f64 {
    let t = t_k - ZERO_C;
    611.2 * (17.62 * t / (243.12 + t)).exp()
}

/// Mean free path of air, m, from its viscosity (Pa·s), pressure (Pa) and temperature (K):
/// λ = η/p · √(πRT / 2M), kinetic theory of a hard-sphere gas.
#[must_use]
pub fn mean_free_path(viscosity: f64, pressure_pa: f64, t_k: f64) -> f64 {
    viscosity / pressure_pa * (std::f64::consts::PI * R * t_k / (2.0 * M_AIR)).sqrt()
}

/// Isothermal laminar throughput of gas through a round capillary, Pa·m³/s at the gas temperature:
/// Q = πd⁴/(256 ηL) · (p_hi² − p_lo²) (Hagen–Poiseuille for a compressible gas).
///
/// `d_m` and `length_m` in m, `viscosity` in Pa·s, pressures absolute in Pa.
#[must_use]
pub fn capillary_throughput(d_m: f64, length_m: f64, viscosity: f64, p_hi: f64, p_lo: f64) -> f64 {
    std::f64::consts::PI * d_m.powi(4) / (256.0 * viscosity * length_m)
        * (p_hi * p_hi - p_lo * p_lo)
}

/// Diameter of a single round hole of `length_m` that passes `conductance` = Q/(p_hi² − p_lo²) in
/// m³/(Pa·s), m. `None` where the conductance is not positive.
#[must_use]
pub fn hole_diameter(conductance: f64, length_m: f64, viscosity: f64) -> Option<f64> {
    let d4 = 256.0 * viscosity * length_m * conductance / std::f64::consts::PI;
    (conductance > 0.0 && d4.is_finite()).then(|| d4.powf(0.25))
}

/// Inside pressure after `t_s` seconds of a viscous leak into a rigid volume at constant
/// temperature and ambient pressure, Pa: P = Pₐ·tanh(K·Pₐ·t + artanh(P₀/Pₐ)), K = C/V.
///
/// `conductance` in m³/(Pa·s) counted at the gas temperature, pressures absolute in Pa, `p0` below
/// `ambient`.
#[must_use]
pub fn viscous_rise(p0: f64, ambient: f64, conductance: f64, volume_m3: f64, t_s: f64) -> f64 {
    ambient * (conductance / volume_m3 * ambient * t_s + (p0 / ambient).atanh()).tanh()
}

/// A rigid enclosure with a viscous leak from outside, for any course of temperature and ambient
/// pressure: dn/dt = C·(Pₐ² − P²)/(R·T_ref), P = nRT/V.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Enclosure {
    /// Volume, m³.
    pub volume_m3: f64,
    /// Conductance C = Q/(Pₐ² − P²), m³/(Pa·s), with Q counted at `reference_k`.
    pub conductance: f64,
    /// Temperature at which the throughput is counted, K.
    pub reference_k: f64,
}

impl Enclosure {
    /// Inside pressure for an amount of gas (mol) at a temperature (K), Pa.
    #[must_use]
    pub fn pressure(&self, moles: f64, t_k: f64) -> f64 {
        moles * R * t_k / self.volume_m3
    }

    /// Throughput of the leak, Pa·m³/s at the reference temperature.
    #[must_use]
    pub fn throughput(&self, ambient: f64, inside: f64) -> f64 {
        self.conductance * (ambient * ambient - inside * inside)
    }

    /// Amount of gas at each of `times` (s, ascending), mol, from `moles` at the first of them, with
    /// `temperature` (K) and `ambient` (Pa) as functions of time. Classical Runge–Kutta, 256 steps
    /// between two times: exact to about 1e-12 where the leak is slow against an interval.
    #[must_use]
    pub fn fill(
        &self,
        moles: f64,
        times: &[f64],
        temperature: impl Fn(f64) -> f64,
        ambient: impl Fn(f64) -> f64,
    ) -> Vec<f64> {
        const STEPS: usize = 256;
        let rate = |t: f64, n: f64| {
            let p = self.pressure(n, temperature(t));
            self.throughput(ambient(t), p) / (R * self.reference_k)
        };
        let mut n = moles;
        let mut out = Vec::with_capacity(times.len());
        let mut before = None;
        for &t1 in times {
            if let Some(t0) = before {
                let h = (t1 - t0) / STEPS as f64;
                for i in 0..STEPS {
                    let t = t0 + h * i as f64;
                    let a = rate(t, n);
                    let b = rate(t + 0.5 * h, n + 0.5 * h * a);
                    let c = rate(t + 0.5 * h, n + 0.5 * h * b);
                    let d = rate(t + h, n + h * c);
                    n += h / 6.0 * (a + 2.0 * b + 2.0 * c + d);
                }
            }
            out.push(n);
            before = Some(t1);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturation_agrees_with_iapws_within_0_4_percent() {
        // IAPWS-95 at 0.01, 20, 25, 50 °C, from the steam tables (Wagner & Pruß 2002): Pa.
        for (t, p) in [
            (0.01, 611.655),
            (20.0, 2339.2),
            (25.0, 3169.9),
            (50.0, 12_352.0),
        ] {
            let d = saturation_pressure(t + ZERO_C) / p - 1.0;
            assert!(d.abs() < 4e-3, "{t} °C: {d}");
        }
    }

    #[test]
    fn rise_solves_its_own_equation() {
        let (pa, c, v) = (101_325.0, 5e-13, 0.01);
        let h = 1e-2;
        let p = |t| viscous_rise(81_325.0, pa, c, v, t);
        let slope = (p(600.0 + h) - p(600.0 - h)) / (2.0 * h);
        let want = c / v * (pa * pa - p(600.0).powi(2));
        assert!((slope / want - 1.0).abs() < 1e-6, "{slope} {want}");
    }

    #[test]
    fn a_hole_gives_back_its_diameter() {
        let q = capillary_throughput(12e-6, 3e-3, 1.8e-5, 101_325.0, 80_000.0);
        let c = q / (101_325.0_f64.powi(2) - 80_000.0_f64.powi(2));
        let d = hole_diameter(c, 3e-3, 1.8e-5).unwrap();
        assert!((d / 12e-6 - 1.0).abs() < 1e-12);
        assert_eq!(hole_diameter(-1.0, 3e-3, 1.8e-5), None);
    }
}
