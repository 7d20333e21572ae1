//! What the simulations take nature to be: on purpose not the judge's own correlations.

/// Saturation over water, Pa: Buck 1981 with the coefficients of 1996.
#[must_use]
pub fn saturation(k: f64) -> f64 {
    let c = k - 273.15;
    611.21 * ((18.678 - c / 234.5) * c / (257.14 + c)).exp()
}

/// Water, Pa·s: a Vogel fit to the usual tables (889.7 µPa·s at 25 °C, 1001.6 at 20 °C, 1518 at 5 °C)
/// with 0.22 % per g/kg of salt.
#[must_use]
pub fn water_viscosity(c: f64, salt: f64) -> f64 {
    2.414e-5 * 10_f64.powf(247.8 / (c + 133.15)) * (1.0 + 0.0022 * salt)
}

/// Air, Pa·s: a power law through 18.2 µPa·s at 20 °C.
#[must_use]
pub fn air_viscosity(k: f64) -> f64 {
    1.82e-5 * (k / 293.15).powf(0.75)
}
