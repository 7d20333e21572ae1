//! Parts: what they weigh, what they displace, and how well that is known.

use super::quantity::{Of, Quantity};
use crate::water::{Density, STANDARD_ATMOSPHERE_PA};
use thiserror::Error;

use super::Estimate;

/// Largest mass of one part, kg.
const MASS_MAX_KG: f64 = 1000.0;
/// Largest volume of one part, m³.
const VOLUME_MAX_M3: f64 = 1.0;
/// Farthest from the origin, m.
const POSITION_MAX_M: f64 = 10.0;
/// Density of the weights that scales are adjusted with, kg/m³ (OIML D 28).
const SCALE_WEIGHTS_KG_M3: f64 = 8000.0;

/// Why a part cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PartError {
    /// A quantity outside its range.
    #[error("{quantity} of {part} is {value} {unit}: allowed are {min} to {max} {unit}")]
    Range {
        /// Of what.
        part: Of,
        /// Which quantity.
        quantity: Quantity,
        /// What was given.
        value: f64,
        /// Smallest allowed.
        min: f64,
        /// Largest allowed.
        max: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// Heavier in water than in air.
    #[error(
        "{part} reads {in_water_kg} kg in water and {in_air_kg} kg in air: in water it must be less"
    )]
    HeavierInWater {
        /// The part's name.
        part: String,
        /// Reading in air, kg.
        in_air_kg: f64,
        /// Reading in water, kg.
        in_water_kg: f64,
    },
    /// The part's mass–volume covariance contradicts its uncertainties.
    #[error("mass and volume of {part} cannot be correlated by {correlation}: allowed are -1 to 1")]
    Correlation {
        /// The part's name.
        part: String,
        /// What was given.
        correlation: f64,
    },
    /// A stored covariance that does not belong to the parts.
    #[error("the stored covariance does not fit {parts} parts: {what}")]
    Covariance {
        /// How many parts.
        parts: usize,
        /// What is wrong.
        what: &'static str,
    },
    /// A rig of nothing.
    #[error("the rig has no parts")]
    NoParts,
}

/// What depth does to a part's displaced volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Compression {
    /// Nothing worth counting: metal, glass, solid plastic, a housing.
    Rigid,
    /// Linear: `V = V₀ (1 − Δp/K)`, bulk modulus K in Pa (rigid foams; the maker states K or it follows
    /// from weighing at depth). Range: Δp up to K/5.
    BulkModulus {
        /// Bulk modulus, Pa.
        pa: f64,
    },
    /// Soft closed-cell foam: the gas in the cells follows Boyle's law at constant temperature, the
    /// walls keep their volume and carry nothing: `V = V₀ (1 − s + s·p₀/p)`. An upper limit on what is
    /// lost: real walls carry some load.
    GasCells {
        /// Share s of the volume that is gas at the surface, 0 to 1.
        gas_share: f64,
    },
}

impl Compression {
    /// Volume at sea pressure `sea_pressure_pa` over volume at the surface. `None` where the model ends
    /// (a bulk modulus pressed by more than a fifth).
    #[must_use]
    pub fn ratio(self, sea_pressure_pa: f64) -> Option<f64> {
        let dp = sea_pressure_pa.max(0.0);
        match self {
            Compression::Rigid => Some(1.0),
            Compression::BulkModulus { pa } => (dp <= pa / 5.0).then(|| 1.0 - dp / pa),
            Compression::GasCells { gas_share } => Some(
                1.0 - gas_share
                    + gas_share * STANDARD_ATMOSPHERE_PA / (STANDARD_ATMOSPHERE_PA + dp),
            ),
        }
    }
}

/// Anything with mass and volume that goes under water with the rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Name, for messages and for matching in [`super::compare`].
    pub name: String,
    /// Mass, kg.
    pub mass_kg: Estimate,
    /// Displaced volume at the surface, m³: the outside of what is sealed, the material of what floods.
    pub volume_m3: Estimate,
    /// Covariance of mass and volume, kg·m³: not zero where both come from one weighing ([`weigh`]).
    pub mass_volume_cov: f64,
    /// Centre of mass, m.
    pub mass_centre_m: [f64; 3],
    /// Its standard uncertainty along each axis, m.
    pub mass_centre_sd_m: f64,
    /// Centre of the displaced volume, m.
    pub volume_centre_m: [f64; 3],
    /// Its standard uncertainty along each axis, m.
    pub volume_centre_sd_m: f64,
    /// What depth does to the volume.
    pub compression: Compression,
}

/// Unknowns per part, in this order: mass, volume, centre of mass x y z, centre of volume x y z.
pub const PARAMETERS: usize = 8;

impl Part {
    /// Checks every quantity.
    ///
    /// # Errors
    /// [`PartError`] naming part, quantity, value and what is allowed.
    pub fn check(&self) -> Result<(), PartError> {
        let range = |quantity, value: f64, min: f64, max: f64, unit| {
            // Written so that NaN fails.
            if value >= min && value <= max {
                Ok(())
            } else {
                Err(PartError::Range {
                    part: Of::from(&self.name),
                    quantity,
                    value,
                    min,
                    max,
                    unit,
                })
            }
        };
        range(Quantity::Mass, self.mass_kg.value, 0.0, MASS_MAX_KG, "kg")?;
        range(
            Quantity::MassUncertainty,
            self.mass_kg.sd,
            0.0,
            MASS_MAX_KG,
            "kg",
        )?;
        range(
            Quantity::Volume,
            self.volume_m3.value,
            1e-9,
            VOLUME_MAX_M3,
            "m³",
        )?;
        range(
            Quantity::VolumeUncertainty,
            self.volume_m3.sd,
            0.0,
            VOLUME_MAX_M3,
            "m³",
        )?;
        range(
            Quantity::CentreUncertainty,
            self.mass_centre_sd_m,
            0.0,
            POSITION_MAX_M,
            "m",
        )?;
        range(
            Quantity::CentreUncertainty,
            self.volume_centre_sd_m,
            0.0,
            POSITION_MAX_M,
            "m",
        )?;
        for at in self.mass_centre_m {
            range(
                Quantity::CentreOfMass,
                at,
                -POSITION_MAX_M,
                POSITION_MAX_M,
                "m",
            )?;
        }
        for at in self.volume_centre_m {
            range(
                Quantity::CentreOfVolume,
                at,
                -POSITION_MAX_M,
                POSITION_MAX_M,
                "m",
            )?;
        }
        match self.compression {
            Compression::Rigid => {}
            Compression::BulkModulus { pa } => range(Quantity::BulkModulus, pa, 1e5, 1e12, "Pa")?,
            Compression::GasCells { gas_share } => {
                range(Quantity::GasShare, gas_share, 0.0, 1.0, "")?
            }
        }
        let bound = self.mass_kg.sd * self.volume_m3.sd;
        let cov = self.mass_volume_cov;
        if cov.is_nan() || cov.abs() > bound * (1.0 + 1e-9) {
            return Err(PartError::Correlation {
                part: self.name.clone(),
                correlation: self.mass_volume_cov / bound,
            });
        }
        Ok(())
    }
}

/// The parts of a rig and how their unknowns vary together.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// The parts.
    pub parts: Vec<Part>,
    /// Covariance of all unknowns, row by row, in SI; [`PARAMETERS`] per part.
    pub(super) covariance: Vec<f64>,
    /// Which of the parts are on the rig now. The others keep what is known of them, and of how it
    /// hangs together with the rest.
    pub(super) present: Vec<bool>,
}

impl Model {
    /// A model in which each part was measured on its own.
    ///
    /// # Errors
    /// [`PartError`] for the first part that does not pass, or for none.
    pub fn new(parts: Vec<Part>) -> Result<Model, PartError> {
        if parts.is_empty() {
            return Err(PartError::NoParts);
        }
        for part in &parts {
            part.check()?;
        }
        let n = parts.len() * PARAMETERS;
        let mut covariance = vec![0.0; n * n];
        for (i, part) in parts.iter().enumerate() {
            let at = i * PARAMETERS;
            let (xm, xv) = (part.mass_centre_sd_m, part.volume_centre_sd_m);
            let sds = [part.mass_kg.sd, part.volume_m3.sd, xm, xm, xm, xv, xv, xv];
            for (k, sd) in sds.into_iter().enumerate() {
                covariance[(at + k) * n + at + k] = sd * sd;
            }
            covariance[at * n + at + 1] = part.mass_volume_cov;
            covariance[(at + 1) * n + at] = part.mass_volume_cov;
        }
        let present = vec![true; parts.len()];
        Ok(Model {
            parts,
            covariance,
            present,
        })
    }

    /// The same parts with only some of them on the rig: another lens, another battery. What is
    /// learnt of those reaches the absent ones too, as far as they are known together.
    ///
    /// # Errors
    /// [`PartError::NoParts`] if none is left, or the list has another length.
    pub fn with_present(&self, present: &[bool]) -> Result<Model, PartError> {
        if present.len() != self.parts.len() || !present.contains(&true) {
            return Err(PartError::NoParts);
        }
        Ok(Model {
            present: present.to_vec(),
            ..self.clone()
        })
    }

    /// Whether the part of this index is on the rig.
    #[must_use]
    pub fn is_present(&self, part: usize) -> bool {
        self.present.get(part).copied().unwrap_or(false)
    }

    /// The parts on the rig, with their indices.
    pub fn on_rig(&self) -> impl Iterator<Item = (usize, &Part)> {
        self.parts
            .iter()
            .enumerate()
            .filter(|(i, _)| self.is_present(*i))
    }

    /// A model stored earlier: parts and [`Model::covariance_matrix`].
    ///
    /// # Errors
    /// As [`Model::new`], and [`PartError::Covariance`] if the matrix has another size, is not symmetric, has
    /// a negative variance or a number that is none.
    pub fn with_covariance(parts: Vec<Part>, covariance: Vec<f64>) -> Result<Model, PartError> {
        let model = Model::new(parts)?;
        let n = model.unknowns();
        let refuse = |what| {
            Err(PartError::Covariance {
                parts: model.parts.len(),
                what,
            })
        };
        if covariance.len() != n * n {
            return refuse("it has another size");
        }
        for i in 0..n {
            let variance = covariance[i * n + i];
            if !variance.is_finite() || variance < 0.0 {
                return refuse("it has a variance that is negative or no number");
            }
            for j in 0..i {
                let (a, b) = (covariance[i * n + j], covariance[j * n + i]);
                let most = (variance * covariance[j * n + j]).sqrt() * (1.0 + 1e-6);
                // Written so that NaN fails.
                let fits = a.abs() <= most && (a - b).abs() <= 1e-9 * most;
                if !fits {
                    return refuse("it is not symmetric or holds a correlation beyond 1");
                }
            }
        }
        Ok(Model {
            covariance,
            ..model
        })
    }

    /// The whole covariance, row by row, for storing.
    #[must_use]
    pub fn covariance_matrix(&self) -> &[f64] {
        &self.covariance
    }

    /// How many unknowns.
    #[must_use]
    pub fn unknowns(&self) -> usize {
        self.parts.len() * PARAMETERS
    }

    /// Covariance of two unknowns, SI. Zero for an index that is not there.
    #[must_use]
    pub fn covariance(&self, a: usize, b: usize) -> f64 {
        let n = self.unknowns();
        if a < n && b < n {
            self.covariance[a * n + b]
        } else {
            0.0
        }
    }

    /// Covariance times a vector.
    pub(super) fn times(&self, v: &[f64]) -> Vec<f64> {
        let n = self.unknowns();
        self.covariance
            .chunks_exact(n)
            .map(|row| row.iter().zip(v).map(|(a, b)| a * b).sum())
            .collect()
    }
}

/// What a scale showed and how well it can be read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// What it shows, kg.
    pub kg: f64,
    /// Standard uncertainty, kg: its last digit, and for a hanging scale the swing.
    pub sd_kg: f64,
}

/// One part weighed in air and hanging in water.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// The part's name, for messages.
    pub part: String,
    /// Reading in air.
    pub in_air: Reading,
    /// Reading while it hangs wholly under water, with the sinker if there is one.
    pub in_water: Reading,
    /// Reading of the sinker alone under water, if the part floats and needed one.
    pub sinker_in_water: Option<Reading>,
    /// Density of that water.
    pub water: Density,
    /// Density of the air, kg/m³: 1.2 unless high up or hot.
    pub air_kg_m3: f64,
}

/// Mass and volume from a weighing, with their covariance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassVolume {
    /// Mass, kg.
    pub mass_kg: Estimate,
    /// Displaced volume, m³.
    pub volume_m3: Estimate,
    /// Their covariance, kg·m³.
    pub covariance: f64,
}

/// Mass and displaced volume by the principle of Archimedes, with air buoyancy taken out.
///
/// A scale adjusted with weights of 8000 kg/m³ in air of density `a` reads `R` when pulled by
/// `R (1 − a/8000)`; so `m − a·V = R_air (1 − a/8000)` and `m − w·V = R_water (1 − a/8000)`.
/// Source: OIML D 28 (conventional value of the result of weighing in air) for the factor; the rest is
/// Archimedes'. Air buoyancy is not small here: 12 g on a 10 L housing.
///
/// # Errors
/// [`PartError`]: a negative reading in air, heavier in water than in air, a density out of range.
pub fn weigh(weighing: &Weighing) -> Result<MassVolume, PartError> {
    let part = &weighing.part;
    let range = |quantity, value: f64, min: f64, max: f64, unit| {
        if value >= min && value <= max {
            Ok(())
        } else {
            Err(PartError::Range {
                part: Of::from(part),
                quantity,
                value,
                min,
                max,
                unit,
            })
        }
    };
    let (air, water) = (weighing.in_air, weighing.in_water);
    let sinker = weighing.sinker_in_water.unwrap_or(Reading {
        kg: 0.0,
        sd_kg: 0.0,
    });
    range(Quantity::WeightInAir, air.kg, 0.0, MASS_MAX_KG, "kg")?;
    range(
        Quantity::WeightInWater,
        water.kg,
        -MASS_MAX_KG,
        MASS_MAX_KG,
        "kg",
    )?;
    range(Quantity::SinkerInWater, sinker.kg, 0.0, MASS_MAX_KG, "kg")?;
    for sd in [air.sd_kg, water.sd_kg, sinker.sd_kg] {
        range(Quantity::ReadingUncertainty, sd, 0.0, MASS_MAX_KG, "kg")?;
    }
    range(
        Quantity::WaterDensity,
        weighing.water.kg_m3,
        900.0,
        1100.0,
        "kg/m³",
    )?;
    range(
        Quantity::WaterDensityUncertainty,
        weighing.water.sd_kg_m3,
        0.0,
        100.0,
        "kg/m³",
    )?;
    range(Quantity::AirDensity, weighing.air_kg_m3, 0.0, 2.0, "kg/m³")?;
    let hung = water.kg - sinker.kg;
    if hung >= air.kg {
        return Err(PartError::HeavierInWater {
            part: part.clone(),
            in_air_kg: air.kg,
            in_water_kg: hung,
        });
    }
    let a = weighing.air_kg_m3;
    let factor = 1.0 - a / SCALE_WEIGHTS_KG_M3;
    let spread = weighing.water.kg_m3 - a;
    let volume = (air.kg - hung) * factor / spread;
    let mass = air.kg * factor + a * volume;
    // Slopes of volume and mass with: reading in air, net reading in water, water density.
    let dv = [factor / spread, -factor / spread, -volume / spread];
    let dm = [factor + a * dv[0], a * dv[1], a * dv[2]];
    let var = [
        air.sd_kg.powi(2),
        water.sd_kg.powi(2) + sinker.sd_kg.powi(2),
        weighing.water.sd_kg_m3.powi(2),
    ];
    let sum = |p: &[f64; 3], q: &[f64; 3]| -> f64 { (0..3).map(|i| p[i] * q[i] * var[i]).sum() };
    Ok(MassVolume {
        mass_kg: Estimate {
            value: mass,
            sd: sum(&dm, &dm).sqrt(),
        },
        volume_m3: Estimate {
            value: volume,
            sd: sum(&dv, &dv).sqrt(),
        },
        covariance: sum(&dm, &dv),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weighing(air: f64, water: f64) -> Weighing {
        Weighing {
            part: "Main housing".into(),
            in_air: Reading {
                kg: air,
                sd_kg: 0.005,
            },
            in_water: Reading {
                kg: water,
                sd_kg: 0.005,
            },
            sinker_in_water: None,
            water: Density {
                kg_m3: 998.2,
                sd_kg_m3: 0.1,
            },
            air_kg_m3: 1.2,
        }
    }

    #[test]
    fn a_housing_weighed_both_ways() {
        // 9 kg, 10 L made up: the readings a scale gives are worked out from the definition.
        let (m, v, a, w) = (9.0, 0.010, 1.2, 998.2);
        let f = 1.0 - a / 8000.0;
        let got = weigh(&weighing((m - a * v) / f, (m - w * v) / f)).unwrap();
        assert!((got.mass_kg.value - m).abs() < 1e-12);
        assert!((got.volume_m3.value - v).abs() < 1e-15);
        // In the same water the net force is what the scale in the water said: 5 g, however badly mass
        // and volume are known on their own.
        let net_var =
            w * w * got.volume_m3.sd.powi(2) + got.mass_kg.sd.powi(2) - 2.0 * w * got.covariance;
        let water_share = 0.1 * v;
        assert!(
            (net_var.sqrt() - f64::hypot(0.005, water_share)).abs() < 2e-5,
            "{net_var}"
        );
    }

    #[test]
    fn a_float_with_a_sinker() {
        let mut with = weighing(0.5, 1.2);
        with.sinker_in_water = Some(Reading {
            kg: 2.0,
            sd_kg: 0.005,
        });
        let without = weigh(&weighing(0.5, -0.8)).unwrap();
        let got = weigh(&with).unwrap();
        assert!((got.volume_m3.value - without.volume_m3.value).abs() < 1e-15);
        assert!(got.volume_m3.sd > without.volume_m3.sd);
    }

    #[test]
    fn bad_weighings_and_parts_are_refused_by_name() {
        let e = weigh(&weighing(2.0, 2.1)).unwrap_err().to_string();
        assert!(
            e.contains("Main housing") && e.contains("2.1 kg in water"),
            "{e}"
        );
        assert!(weigh(&weighing(2.0, 2.0)).is_err());
        let e = weigh(&weighing(-2.0, -3.0)).unwrap_err().to_string();
        assert!(e.contains("weight in air") && e.contains("-2 kg"), "{e}");
        let good = super::super::tests::part("A", 1.0, 0.001);
        let part = |f: &dyn Fn(&mut Part)| {
            let mut p = good.clone();
            f(&mut p);
            p.check().unwrap_err().to_string()
        };
        assert!(part(&|p| p.mass_kg.value = -1.0).contains("mass of A is -1 kg"));
        assert!(part(&|p| p.volume_m3.value = 0.0).contains("volume of A is 0 m³"));
        assert!(part(&|p| p.mass_kg.value = f64::NAN).contains("NaN"));
        assert!(part(&|p| p.mass_volume_cov = 1.0).contains("correlated"));
        assert!(part(&|p| p.volume_centre_m[1] = 11.0).contains("centre of volume"));
        assert_eq!(Model::new(vec![]).unwrap_err(), PartError::NoParts);
    }

    #[test]
    fn foam_at_depth() {
        assert_eq!(Compression::Rigid.ratio(3e6), Some(1.0));
        // At one atmosphere of sea pressure Boyle's gas is half of what it was.
        let foam = Compression::GasCells { gas_share: 0.8 };
        assert!((foam.ratio(STANDARD_ATMOSPHERE_PA).unwrap() - 0.6).abs() < 1e-12);
        let block = Compression::BulkModulus { pa: 5e7 };
        assert!((block.ratio(5e5).unwrap() - 0.99).abs() < 1e-12);
        assert_eq!(block.ratio(2e7), None);
    }
}
