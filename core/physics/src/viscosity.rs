//! Viscosity of water, sea water and air, and the plain densities and surface tension that the
//! leak conversion needs.

use crate::gas::ZERO_C;

/// Dynamic viscosity of pure water, Pa·s, at temperature `t_k` (K) and density `rho` (kg/m³).
///
/// IAPWS R12-08 (2008), eqs 10–12, without the critical enhancement (µ₂ = 1), which is below
/// 1e-6 in liquid water at diving pressures.
#[must_use]
pub fn water_iapws(t_k: f64, rho: f64) -> f64 {
    const H0: [f64; 4] = [1.677_52, 2.204_62, 0.636_656_4, -0.241_605];
    const H1: [(i32, i32, f64); 21] = [
        (0, 0, 5.200_94e-1),
        (1, 0, 8.508_95e-2),
        (2, 0, -1.083_74),
        (3, 0, -2.895_55e-1),
        (0, 1, 2.225_31e-1),
        (1, 1, 9.991_15e-1),
        (2, 1, 1.887_97),
        (3, 1, 1.266_13),
        (5, 1, 1.205_73e-1),
        (0, 2, -2.813_78e-1),
        (1, 2, -9.068_51e-1),
        (2, 2, -7.724_79e-1),
        (3, 2, -4.898_37e-1),
        (4, 2, -2.570_40e-1),
        (0, 3, 1.619_13e-1),
        (1, 3, 2.573_99e-1),
        (0, 4, -3.253_72e-2),
        (3, 4, 6.984_52e-2),
        (4, 5, 8.721_02e-3),
        (3, 6, -4.356_73e-3),
        (5, 6, -5.932_64e-4),
    ];
    let t = t_k / 647.096;
    let r = rho / 322.0;
    let mu0 = 100.0 * t.sqrt() / (0..4).zip(H0).map(|(i, h)| h / t.powi(i)).sum::<f64>();
    let (x, y) = (1.0 / t - 1.0, r - 1.0);
    let s: f64 = H1.iter().map(|&(i, j, h)| h * x.powi(i) * y.powi(j)).sum();
    mu0 * (r * s).exp() * 1e-6
}

/// Dynamic viscosity of water of absolute salinity `s_g_kg` (g/kg, 0 to 150), Pa·s, at `t_k` (K,
/// 273 to 453) and atmospheric pressure.
///
/// Sharqawy, Lienhard & Zubair 2010, Desalination and Water Treatment 16, 354, eqs 22–23 with the
/// unrounded coefficients; stated accuracy 1.5 %.
#[must_use]
pub fn water(t_k: f64, s_g_kg: f64) -> f64 {
    const A: [f64; 10] = [
        1.570_038_646_4e-1,
        6.499_262_005_0e1,
        -9.129_649_665_7e1,
        4.284_432_447_7e-5,
        1.540_913_604_0,
        1.998_111_720_8e-2,
        -9.520_386_586_4e-5,
        7.973_931_822_3,
        -7.561_456_888_1e-2,
        4.723_701_107_4e-4,
    ];
    let t = t_k - ZERO_C;
    let s = s_g_kg * 1e-3;
    let pure = A[3] + 1.0 / (A[0] * (t + A[1]).powi(2) + A[2]);
    let a = A[4] + A[5] * t + A[6] * t * t;
    let b = A[7] + A[8] * t + A[9] * t * t;
    pure * (1.0 + a * s + b * s * s)
}

/// Dynamic viscosity of dry air, Pa·s, at `t_k` (K): Sutherland's law as in the U.S. Standard
/// Atmosphere 1976, eq. 51. About 0.4 % below Lemmon & Jacobsen 2004 near room temperature.
#[must_use]
pub fn air(t_k: f64) -> f64 {
    1.458e-6 * t_k.powf(1.5) / (t_k + 110.4)
}

/// Density of water at one atmosphere, kg/m³, for the head over a leak: the UNESCO 1980 equation
/// of state (EOS-80) at atmospheric pressure, `s_g_kg` taken as practical salinity.
/// 0 to 40 °C, 0 to 42. Good to 0.3 kg/m³ where the salinity is given in g/kg.
#[must_use]
pub fn plain_density(t_k: f64, s_g_kg: f64) -> f64 {
    let t = t_k - ZERO_C;
    let s = s_g_kg.max(0.0);
    let fresh = 999.842_594
        + t * (6.793_952e-2
            + t * (-9.095_290e-3 + t * (1.001_685e-4 + t * (-1.120_083e-6 + t * 6.536_332e-9))));
    let a = 8.244_93e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)));
    let b = -5.724_66e-3 + t * (1.0227e-4 - t * 1.6546e-6);
    fresh + a * s + b * s.powf(1.5) + 4.8314e-4 * s * s
}

/// Surface tension of water, N/m, at `t_k` (K) and salinity `s_g_kg` (g/kg).
///
/// IAPWS R1-76(2014) for pure water; for sea water the factor 1 + 3.766e-4·S + 2.347e-6·S·t of
/// IAPWS G14-19 (coefficients from memory).
#[must_use]
pub fn surface_tension(t_k: f64, s_g_kg: f64) -> f64 {
    let tau = 1.0 - t_k / 647.096;
    let pure = 235.8e-3 * tau.powf(1.256) * (1.0 - 0.625 * tau);
    pure * (1.0 + 3.766e-4 * s_g_kg + 2.347e-6 * s_g_kg * (t_k - ZERO_C))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn iapws_r12_08_table_4() {
        // T K, rho kg/m³, µPa·s as printed in the release.
        for (t, rho, mu) in [
            (298.15, 998.0, 889.735_1),
            (373.15, 1000.0, 307.883_622),
            (433.15, 1000.0, 217.685_358),
            (873.15, 100.0, 35.802_262),
            (1173.15, 1.0, 44.217_245),
            (1173.15, 400.0, 64.154_608),
        ] {
            let d = water_iapws(t, rho) * 1e6 - mu;
            assert!(d.abs() < 1e-6, "{t} K: {d} µPa·s");
        }
    }

    #[test]
    fn correlations_agree_within_their_stated_accuracy() {
        for t in [0.01, 5.0, 15.0, 25.0, 35.0] {
            let rho = plain_density(t + ZERO_C, 0.0);
            let d = water(t + ZERO_C, 0.0) / water_iapws(t + ZERO_C, rho) - 1.0;
            assert!(d.abs() < 4e-3, "{t} °C: {d}");
        }
        // Ordinary sea water at 20 °C: 1024.8 kg/m³ (EOS-80 check value at S = 35, 1024.763).
        assert!((plain_density(293.15, 35.0) - 1024.763).abs() < 0.05);
    }
}
