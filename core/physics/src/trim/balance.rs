//! Net force, centres, attitude at rest, righting moment.

use super::quantity::{Of, Quantity};
use crate::water::{Density, STANDARD_GRAVITY_M_S2};

use super::{Estimate, Model, PARAMETERS, PartError};

/// The water around the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surroundings {
    /// Density there.
    pub density: Density,
    /// Sea pressure there, Pa: what foam is pressed by. 0 at the surface.
    pub sea_pressure_pa: f64,
}

/// A weight or float that hangs on the rig. Taken as known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HungWeight {
    /// kg.
    pub mass_kg: f64,
    /// m³.
    pub volume_m3: f64,
    /// Where, m.
    pub position_m: [f64; 3],
}

/// How the rig comes to rest when it is let go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Attitude {
    /// It turns until its centre of buoyancy stands above its centre of mass.
    Rests {
        /// Nose up, rad, −π/2 to π/2.
        pitch: Estimate,
        /// Starboard side down, rad, −π to π; beyond ±π/2 it rests upside down. 0 where the rig stands
        /// on its nose or tail and roll means nothing.
        roll: Estimate,
        /// Whether the centres are far enough apart (2 sd) for these angles to mean anything.
        certain: bool,
    },
    /// The centres coincide: it stays as it is put.
    Indifferent,
}

/// How the rig hangs in one water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Mass with what hangs on it, kg.
    pub mass_kg: f64,
    /// Displaced volume there, m³.
    pub volume_m3: f64,
    /// Net force, N; positive floats.
    pub net_n: Estimate,
    /// Centre of mass, m.
    pub centre_of_mass_m: [Estimate; 3],
    /// Centre of buoyancy, m.
    pub centre_of_buoyancy_m: [Estimate; 3],
    /// At rest.
    pub attitude: Attitude,
    /// Moment that lifts the nose while the rig is held level, about its centre of mass, N·m.
    pub level_pitch_moment_n_m: Estimate,
    /// Moment that lifts the starboard side while the rig is held level, N·m.
    pub level_roll_moment_n_m: Estimate,
    /// Distance of the centre of buoyancy from the centre of mass, m: at rest, above it.
    pub centre_distance_m: Estimate,
    /// Righting moment per radian near rest, N·m; at an angle δ from rest it is this times sin δ.
    pub righting_n_m: Estimate,
}

impl Balance {
    /// Righting moment, N·m, when turned by `angle_rad` from rest.
    #[must_use]
    pub fn righting_at(&self, angle_rad: f64) -> f64 {
        self.righting_n_m.value * angle_rad.sin()
    }
}

/// Values and slopes of everything with the model's unknowns (and with water density, last).
pub(super) struct Linear {
    pub mass: f64,
    pub volume: f64,
    pub buoyant_kg: f64,
    pub net_kg: (f64, Vec<f64>),
    pub cm: [(f64, Vec<f64>); 3],
    pub cb: [(f64, Vec<f64>); 3],
    /// CB − CM.
    pub apart: [(f64, Vec<f64>); 3],
}

pub(super) fn check_surroundings(water: &Surroundings) -> Result<(), PartError> {
    let range = |quantity, value: f64, min: f64, max: f64, unit| {
        if value >= min && value <= max {
            Ok(())
        } else {
            let part = Of::Water;
            Err(PartError::Range {
                part,
                quantity,
                value,
                min,
                max,
                unit,
            })
        }
    };
    range(
        Quantity::Density,
        water.density.kg_m3,
        900.0,
        1100.0,
        "kg/m³",
    )?;
    range(
        Quantity::DensityUncertainty,
        water.density.sd_kg_m3,
        0.0,
        100.0,
        "kg/m³",
    )?;
    range(
        Quantity::SeaPressure,
        water.sea_pressure_pa,
        -2e4,
        2e7,
        "Pa",
    )
}

pub(super) fn linearise(
    model: &Model,
    hung: &[HungWeight],
    water: &Surroundings,
) -> Result<Linear, PartError> {
    check_surroundings(water)?;
    let n = model.unknowns();
    let rho = water.density.kg_m3;
    let mut ratios = Vec::with_capacity(model.parts.len());
    for (i, part) in model.parts.iter().enumerate() {
        if !model.is_present(i) {
            ratios.push(1.0);
            continue;
        }
        let ratio = part
            .compression
            .ratio(water.sea_pressure_pa)
            .ok_or_else(|| PartError::Range {
                part: Of::from(&part.name),
                quantity: Quantity::SeaPressure,
                value: water.sea_pressure_pa,
                min: 0.0,
                max: match part.compression {
                    super::Compression::BulkModulus { pa } => pa / 5.0,
                    _ => f64::INFINITY,
                },
                unit: "Pa",
            })?;
        ratios.push(ratio);
    }
    let (mut mass, mut volume) = (0.0, 0.0);
    let (mut mx, mut vx) = ([0.0; 3], [0.0; 3]);
    for ((_, part), ratio) in model.on_rig().map(|p| (p, &ratios[p.0])) {
        let (m, v) = (part.mass_kg.value, part.volume_m3.value * ratio);
        mass += m;
        volume += v;
        for a in 0..3 {
            mx[a] += m * part.mass_centre_m[a];
            vx[a] += v * part.volume_centre_m[a];
        }
    }
    for w in hung {
        mass += w.mass_kg;
        volume += w.volume_m3;
        for a in 0..3 {
            mx[a] += w.mass_kg * w.position_m[a];
            vx[a] += w.volume_m3 * w.position_m[a];
        }
    }
    if mass <= 0.0 {
        return Err(PartError::Range {
            part: Of::Rig,
            quantity: Quantity::Mass,
            value: mass,
            min: f64::MIN_POSITIVE,
            max: f64::INFINITY,
            unit: "kg",
        });
    }
    let zero = || (0.0, vec![0.0; n + 1]);
    let mut net = (rho * volume - mass, vec![0.0; n + 1]);
    net.1[n] = volume;
    let (mut cm, mut cb) = ([zero(), zero(), zero()], [zero(), zero(), zero()]);
    for a in 0..3 {
        cm[a].0 = mx[a] / mass;
        cb[a].0 = vx[a] / volume;
    }
    for (i, part) in model.on_rig() {
        let (at, ratio) = (i * PARAMETERS, ratios[i]);
        net.1[at] = -1.0;
        net.1[at + 1] = rho * ratio;
        for a in 0..3 {
            cm[a].1[at] = (part.mass_centre_m[a] - cm[a].0) / mass;
            cm[a].1[at + 2 + a] = part.mass_kg.value / mass;
            cb[a].1[at + 1] = ratio * (part.volume_centre_m[a] - cb[a].0) / volume;
            cb[a].1[at + 5 + a] = ratio * part.volume_m3.value / volume;
        }
    }
    let apart = std::array::from_fn(|a| {
        let slopes = cb[a].1.iter().zip(&cm[a].1).map(|(b, m)| b - m).collect();
        (cb[a].0 - cm[a].0, slopes)
    });
    Ok(Linear {
        mass,
        volume,
        buoyant_kg: rho * volume,
        net_kg: net,
        cm,
        cb,
        apart,
    })
}

impl Linear {
    /// Pitch and its slopes.
    pub fn pitch(&self) -> Option<(f64, Vec<f64>)> {
        let [x, y, z] = [self.apart[0].0, self.apart[1].0, self.apart[2].0];
        let (h, s2) = (y.hypot(z), x * x + y * y + z * z);
        if s2 <= 0.0 {
            return None;
        }
        // Upright on nose or tail the slopes with y and z vanish in the limit.
        let side = if h > 0.0 { -x / (h * s2) } else { 0.0 };
        Some((x.atan2(h), self.mix([h / s2, y * side, z * side])))
    }

    /// Roll and its slopes; `None` on nose or tail.
    pub fn roll(&self) -> Option<(f64, Vec<f64>)> {
        let (y, z) = (self.apart[1].0, self.apart[2].0);
        let h2 = y * y + z * z;
        if h2 <= 0.0 {
            return None;
        }
        Some(((-y).atan2(z), self.mix([0.0, -z / h2, y / h2])))
    }

    /// Distance of the centres and its slopes.
    fn distance(&self) -> (f64, Vec<f64>) {
        let d: [f64; 3] = std::array::from_fn(|a| self.apart[a].0);
        let s = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
        if s <= 0.0 {
            return (0.0, self.mix([1.0, 0.0, 0.0]));
        }
        (s, self.mix([d[0] / s, d[1] / s, d[2] / s]))
    }

    fn mix(&self, by: [f64; 3]) -> Vec<f64> {
        (0..self.apart[0].1.len())
            .map(|i| (0..3).map(|a| by[a] * self.apart[a].1[i]).sum())
            .collect()
    }
}

/// Variance of a quantity with these slopes: the model's unknowns, and the water's density.
pub(super) fn variance(model: &Model, slopes: &[f64], rho_sd: f64) -> f64 {
    let n = model.unknowns();
    let pg = model.times(&slopes[..n]);
    let parts: f64 = slopes.iter().zip(&pg).map(|(a, b)| a * b).sum();
    (parts + (slopes[n] * rho_sd).powi(2)).max(0.0)
}

/// How the rig hangs in this water with these weights. Standard gravity (a gram-force is a gram-force
/// anywhere). First-order propagation of every uncertainty, the water's density included.
///
/// Source: statics. Buoyancy acts up through the centroid of the displaced volume, weight down through
/// the centre of mass; the couple vanishes where the one stands above the other, whatever the rotation
/// needed to get there. With a net force other than zero this is the attitude of the rig adrift, its
/// moments taken about its centre of mass; held at a handle it hangs differently.
///
/// # Errors
/// [`PartError`]: density or pressure out of range, foam beyond its model, a rig without mass.
pub fn balance(
    model: &Model,
    hung: &[HungWeight],
    water: &Surroundings,
) -> Result<Balance, PartError> {
    let line = linearise(model, hung, water)?;
    let sd_rho = water.density.sd_kg_m3;
    let estimate = |value: f64, slopes: &[f64], unit: f64| Estimate {
        value: value * unit,
        sd: variance(model, slopes, sd_rho).sqrt() * unit.abs(),
    };
    let g = STANDARD_GRAVITY_M_S2;
    let force = line.buoyant_kg * g;
    let (distance, distance_slopes) = line.distance();
    let centre_distance_m = estimate(distance, &distance_slopes, 1.0);
    let attitude = match line.pitch() {
        None => Attitude::Indifferent,
        Some((pitch, pitch_slopes)) => Attitude::Rests {
            pitch: estimate(pitch, &pitch_slopes, 1.0),
            roll: line.roll().map_or(
                Estimate {
                    value: 0.0,
                    sd: std::f64::consts::PI,
                },
                |(roll, slopes)| estimate(roll, &slopes, 1.0),
            ),
            certain: distance > 2.0 * centre_distance_m.sd,
        },
    };
    let centre = |c: &[(f64, Vec<f64>); 3]| std::array::from_fn(|a| estimate(c[a].0, &c[a].1, 1.0));
    Ok(Balance {
        mass_kg: line.mass,
        volume_m3: line.volume,
        net_n: estimate(line.net_kg.0, &line.net_kg.1, g),
        centre_of_mass_m: centre(&line.cm),
        centre_of_buoyancy_m: centre(&line.cb),
        attitude,
        level_pitch_moment_n_m: estimate(line.apart[0].0, &line.apart[0].1, force),
        level_roll_moment_n_m: estimate(line.apart[1].0, &line.apart[1].1, force),
        centre_distance_m,
        righting_n_m: estimate(distance, &distance_slopes, force),
    })
}

/// Which answer is to become surer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// Net force.
    Net,
    /// Pitch at rest.
    Pitch,
    /// Roll at rest.
    Roll,
}

/// What weighing one part would bring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeighGain {
    /// Index of the part.
    pub part: usize,
    /// The answer's standard uncertainty now: N, or rad.
    pub sd_now: f64,
    /// And after weighing this part in air and in this water.
    pub sd_after: f64,
}

/// For each part: how much surer the answer becomes if that part is weighed in air and in water with a
/// scale good to `scale_sd_kg`. Best first. A weighing says nothing of where the centres are.
///
/// Method: linear least squares with the two readings as observations; the water's own uncertainty stays.
///
/// # Errors
/// As [`balance`], and [`PartError::Range`] for the scale.
pub fn weigh_next(
    model: &Model,
    hung: &[HungWeight],
    water: &Surroundings,
    aim: Aim,
    scale_sd_kg: f64,
) -> Result<Vec<WeighGain>, PartError> {
    if !(scale_sd_kg > 0.0 && scale_sd_kg < 10.0) {
        return Err(PartError::Range {
            part: Of::Scale,
            quantity: Quantity::ScaleUncertainty,
            value: scale_sd_kg,
            min: 1e-6,
            max: 10.0,
            unit: "kg",
        });
    }
    let line = linearise(model, hung, water)?;
    let (unit, slopes) = match aim {
        Aim::Net => (STANDARD_GRAVITY_M_S2, line.net_kg.1),
        Aim::Pitch => (1.0, line.pitch().map(|p| p.1).unwrap_or_default()),
        Aim::Roll => (1.0, line.roll().map(|p| p.1).unwrap_or_default()),
    };
    if slopes.is_empty() {
        return Ok(Vec::new());
    }
    let n = model.unknowns();
    let now = variance(model, &slopes, water.density.sd_kg_m3);
    let pg = model.times(&slopes[..n]);
    let s2 = scale_sd_kg * scale_sd_kg;
    let rho = water.density.kg_m3;
    let mut gains: Vec<WeighGain> = model
        .on_rig()
        .map(|(part, _)| {
            let (m, v) = (part * PARAMETERS, part * PARAMETERS + 1);
            let (cmm, cmv, cvv) = (
                model.covariance(m, m),
                model.covariance(m, v),
                model.covariance(v, v),
            );
            // Observed: m, and m − ρV. Air buoyancy does not matter to what is learnt.
            let (a, b) = (pg[m], pg[m] - rho * pg[v]);
            let saa = cmm + s2;
            let sab = cmm - rho * cmv;
            let sbb = cmm - 2.0 * rho * cmv + rho * rho * cvv + s2;
            let det = saa * sbb - sab * sab;
            let less = (a * a * sbb - 2.0 * a * b * sab + b * b * saa) / det;
            let after = (now - less).max(0.0);
            WeighGain {
                part,
                sd_now: now.sqrt() * unit,
                sd_after: after.sqrt() * unit,
            }
        })
        .collect();
    gains.sort_by(|a, b| a.sd_after.total_cmp(&b.sd_after).then(a.part.cmp(&b.part)));
    Ok(gains)
}
