//! Units a crew may use, to and from SI.
//!
//! Sources: NIST SP 811 (2008), Appendix B: conventional inch of mercury 3386.389 Pa, conventional
//! millimetre of mercury 133.3224 Pa, pound-force per square inch 6894.757 Pa.

use crate::gas::{ATM, R, ZERO_C};

/// Unit of a pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PressureUnit {
    /// Pascal.
    Pa,
    /// Millibar, the same as hectopascal.
    Mbar,
    /// Kilopascal.
    KPa,
    /// Conventional inch of mercury.
    InHg,
    /// Pound-force per square inch.
    Psi,
    /// Conventional millimetre of mercury.
    MmHg,
}

impl PressureUnit {
    /// Pascals in one of this unit.
    #[must_use]
    pub fn pascals(self) -> f64 {
        match self {
            Self::Pa => 1.0,
            Self::Mbar => 100.0,
            Self::KPa => 1000.0,
            Self::InHg => 3_386.388_640_341,
            Self::Psi => 6_894.757_293_168,
            Self::MmHg => 133.322_387_415,
        }
    }

    /// Pa from a number in this unit.
    #[must_use]
    pub fn to_pa(self, value: f64) -> f64 {
        value * self.pascals()
    }

    /// A number in this unit from Pa.
    #[must_use]
    pub fn from_pa(self, pa: f64) -> f64 {
        pa / self.pascals()
    }

    /// How the unit is written.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Pa => "Pa",
            Self::Mbar => "mbar",
            Self::KPa => "kPa",
            Self::InHg => "inHg",
            Self::Psi => "psi",
            Self::MmHg => "mmHg",
        }
    }

    /// The unit written so; `hPa` is read as mbar. `None` where unknown.
    #[must_use]
    pub fn from_symbol(text: &str) -> Option<Self> {
        match text {
            "Pa" => Some(Self::Pa),
            "mbar" | "hPa" => Some(Self::Mbar),
            "kPa" => Some(Self::KPa),
            "inHg" => Some(Self::InHg),
            "psi" => Some(Self::Psi),
            "mmHg" => Some(Self::MmHg),
            _ => None,
        }
    }
}

/// K from °C.
#[must_use]
pub fn celsius_to_k(c: f64) -> f64 {
    c + ZERO_C
}

/// °C from K.
#[must_use]
pub fn k_to_celsius(k: f64) -> f64 {
    k - ZERO_C
}

/// K from °F.
#[must_use]
pub fn fahrenheit_to_k(f: f64) -> f64 {
    (f - 32.0) / 1.8 + ZERO_C
}

/// °F from K.
#[must_use]
pub fn k_to_fahrenheit(k: f64) -> f64 {
    (k - ZERO_C) * 1.8 + 32.0
}

/// m³ from mL.
#[must_use]
pub fn ml_to_m3(ml: f64) -> f64 {
    ml * 1e-6
}

/// mL from m³.
#[must_use]
pub fn m3_to_ml(m3: f64) -> f64 {
    m3 * 1e6
}

/// m³ from L.
#[must_use]
pub fn litres_to_m3(l: f64) -> f64 {
    l * 1e-3
}

/// Unit of a leak rate. The pV units count the gas at its own temperature; the `std` units at the
/// standard temperature written with them and 101 325 Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LeakUnit {
    /// Pa·m³/s.
    PaM3PerS,
    /// mbar·L/s.
    MbarLPerS,
    /// Pa·L/s.
    PaLPerS,
    /// Torr·L/s (Torr = 101 325/760 Pa).
    TorrLPerS,
    /// atm·cm³/s, counted at the gas temperature.
    AtmCm3PerS,
    /// Lusec: L·mTorr/s.
    Lusec,
    /// Standard cm³ per second at this standard temperature, K.
    StdCm3PerS(f64),
    /// Standard cm³ per minute at this standard temperature, K.
    Sccm(f64),
    /// mol/s.
    MolPerS,
}

impl LeakUnit {
    /// mol/s in one of this unit, with the gas at `gas_k` K. Ideal gas, from the definitions.
    #[must_use]
    pub fn mol_per_s(self, gas_k: f64) -> f64 {
        let torr = ATM / 760.0;
        let pv = |pa_m3: f64| pa_m3 / (R * gas_k);
        match self {
            Self::PaM3PerS => pv(1.0),
            Self::MbarLPerS => pv(0.1),
            Self::PaLPerS => pv(1e-3),
            Self::TorrLPerS => pv(torr * 1e-3),
            Self::AtmCm3PerS => pv(ATM * 1e-6),
            Self::Lusec => pv(torr * 1e-6),
            Self::StdCm3PerS(t) => ATM * 1e-6 / (R * t),
            Self::Sccm(t) => ATM * 1e-6 / 60.0 / (R * t),
            Self::MolPerS => 1.0,
        }
    }
}

/// Converts a leak rate between units, with the gas at `gas_k` K.
#[must_use]
pub fn convert_leak(value: f64, from: LeakUnit, to: LeakUnit, gas_k: f64) -> f64 {
    value * from.mol_per_s(gas_k) / to.mol_per_s(gas_k)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressures_go_there_and_back() {
        for u in [
            PressureUnit::Pa,
            PressureUnit::Mbar,
            PressureUnit::KPa,
            PressureUnit::InHg,
            PressureUnit::Psi,
            PressureUnit::MmHg,
        ] {
            assert!((u.from_pa(u.to_pa(7.25)) - 7.25).abs() < 1e-12);
            assert_eq!(PressureUnit::from_symbol(u.symbol()), Some(u));
        }
        assert_eq!(PressureUnit::from_symbol("furlong"), None);
        // NIST SP 811: 29.92 inHg is one atmosphere to four figures, 760 mmHg to seven.
        assert!((PressureUnit::InHg.to_pa(29.921_26) / ATM - 1.0).abs() < 1e-6);
        assert!((PressureUnit::MmHg.to_pa(760.0) / ATM - 1.0).abs() < 1e-6);
        assert!((PressureUnit::Psi.to_pa(14.695_949) / ATM - 1.0).abs() < 1e-6);
    }

    #[test]
    fn temperatures() {
        assert!((fahrenheit_to_k(212.0) - 373.15).abs() < 1e-12);
        assert!((k_to_fahrenheit(celsius_to_k(-40.0)) + 40.0).abs() < 1e-9);
    }

    #[test]
    fn standard_temperature_matters() {
        let at20 = convert_leak(1.0, LeakUnit::MbarLPerS, LeakUnit::Sccm(293.15), 293.15);
        let at0 = convert_leak(1.0, LeakUnit::MbarLPerS, LeakUnit::Sccm(273.15), 293.15);
        assert!((at20 - 59.2).abs() < 0.05 && (at0 - 55.2).abs() < 0.05);
    }
}
