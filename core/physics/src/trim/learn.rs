//! What an observation in the water says about the parts.
//!
//! The unknowns of all parts ([`super::PARAMETERS`] each) have values and a covariance: the crew's
//! measurements and guesses. An observation is a net force, a pitch, a roll, or just a direction ("it
//! floated, nose first"). The update is the least-squares one: the smallest change of the unknowns,
//! measured by their own uncertainties, that explains what was seen as far as it can be trusted. So what
//! is well known stays, and what was guessed moves.
//!
//! Nothing is written anywhere: [`learn`] gives a new model. Undoing an observation is keeping the old one, or
//! learning the others again.
//!
//! Method: Gauss–Newton on the weighted squares. A direction is
//! a half-line instead of a value: the predicted normal distribution is cut at zero and its mean and
//! variance are matched, which is exact for the net force and first order for the angles.

use super::quantity::Quantity;
use crate::water::STANDARD_GRAVITY_M_S2;
use thiserror::Error;

use super::balance::{Linear, linearise};
use super::{HungWeight, Model, PARAMETERS, PartError, Surroundings};

/// One thing seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// Net force, N, positive floats: from a scale, or zero ± a few grams when it hovered.
    Net {
        /// N.
        value_n: f64,
        /// Standard uncertainty, N.
        sd_n: f64,
    },
    /// Pitch at rest, rad, nose up.
    Pitch {
        /// rad.
        value_rad: f64,
        /// Standard uncertainty, rad.
        sd_rad: f64,
    },
    /// Roll at rest, rad, starboard side down.
    Roll {
        /// rad.
        value_rad: f64,
        /// Standard uncertainty, rad.
        sd_rad: f64,
    },
    /// It rose.
    Floated,
    /// It sank.
    Sank,
    /// The nose came up.
    NoseUp,
    /// The nose went down.
    NoseDown,
    /// It leant to starboard.
    StarboardDown,
    /// It leant to port.
    PortDown,
}

/// What was seen, in which water, with what hung on the rig. If the crew changed weights until it hung
/// right, this is what hung in the end, seen level with the net force wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// The water.
    pub water: Surroundings,
    /// What hung.
    pub hung: Vec<HungWeight>,
    /// What was seen.
    pub seen: Vec<Seen>,
}

/// How far one part moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartChange {
    /// Index of the part.
    pub part: usize,
    /// Mass, kg, new less old.
    pub mass_kg: f64,
    /// Volume, m³.
    pub volume_m3: f64,
    /// Centre of mass, m.
    pub mass_centre_m: [f64; 3],
    /// Centre of volume, m.
    pub volume_centre_m: [f64; 3],
}

/// The model after an observation.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// New estimates with new covariance.
    pub model: Model,
    /// What moved, by part; all of them, also those that did not.
    pub changes: Vec<PartChange>,
    /// How far off the prediction was, in its own standard uncertainties (root mean square over what was
    /// seen). Above 3, look for something forgotten (a part, trapped air, a weight at another point)
    /// before believing the model.
    pub surprise: f64,
}

/// Why nothing can be learnt.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LearnError {
    /// A part or the water.
    #[error(transparent)]
    Part(#[from] PartError),
    /// A number seen that is no measurement.
    #[error("{quantity} is {value} {unit}: allowed are {min} to {max} {unit}")]
    Range {
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
    /// Nothing was seen.
    #[error("nothing was observed")]
    NothingSeen,
    /// Every part is taken as exactly known.
    #[error(
        "every part that bears on what was seen is given as exactly known: nothing can be learnt; give the doubtful part an uncertainty"
    )]
    NothingUncertain,
    /// The centres coincide, so there is no attitude to compare with.
    #[error("the centres of mass and buoyancy coincide in the model: an attitude says nothing")]
    NoAttitude,
    /// The update would make a part impossible.
    #[error(
        "what was seen would need {part} to have a {quantity} of {value} {unit}: check the observation and the parts' uncertainties"
    )]
    Impossible {
        /// The part's name.
        part: String,
        /// Which quantity.
        quantity: Quantity,
        /// What it would become.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
}

/// A functional of the unknowns at some model: value, slopes.
type Row = (f64, Vec<f64>);

fn row(line: &Linear, seen: Seen) -> Result<Row, LearnError> {
    match seen {
        Seen::Net { .. } | Seen::Floated | Seen::Sank => {
            let g = STANDARD_GRAVITY_M_S2;
            Ok((
                line.net_kg.0 * g,
                line.net_kg.1.iter().map(|s| s * g).collect(),
            ))
        }
        Seen::Pitch { .. } | Seen::NoseUp | Seen::NoseDown => {
            line.pitch().ok_or(LearnError::NoAttitude)
        }
        Seen::Roll { .. } | Seen::StarboardDown | Seen::PortDown => {
            line.roll().ok_or(LearnError::NoAttitude)
        }
    }
}

/// Value and variance of a measurement; `None` for a direction.
fn measured(seen: Seen) -> Result<Option<(f64, f64)>, LearnError> {
    let (quantity, value, sd, max, unit) = match seen {
        Seen::Net { value_n, sd_n } => (Quantity::NetForce, value_n, sd_n, 1e4, "N"),
        Seen::Pitch { value_rad, sd_rad } => (Quantity::Pitch, value_rad, sd_rad, 1.6, "rad"),
        Seen::Roll { value_rad, sd_rad } => (Quantity::Roll, value_rad, sd_rad, 3.2, "rad"),
        _ => return Ok(None),
    };
    if value.is_nan() || value.abs() > max {
        return Err(LearnError::Range {
            quantity,
            value,
            min: -max,
            max,
            unit,
        });
    }
    if !(sd > 0.0 && sd <= max) {
        let quantity = Quantity::SeenUncertainty;
        return Err(LearnError::Range {
            quantity,
            value: sd,
            min: f64::MIN_POSITIVE,
            max,
            unit,
        });
    }
    Ok(Some((value, sd * sd)))
}

/// Which way a direction points: the quantity is above (1) or below (−1) zero.
fn direction(seen: Seen) -> f64 {
    match seen {
        Seen::Sank | Seen::NoseDown | Seen::PortDown => -1.0,
        _ => 1.0,
    }
}

fn unknowns(model: &Model) -> Vec<f64> {
    model
        .parts
        .iter()
        .flat_map(|p| {
            let (m, v) = (p.mass_centre_m, p.volume_centre_m);
            [
                p.mass_kg.value,
                p.volume_m3.value,
                m[0],
                m[1],
                m[2],
                v[0],
                v[1],
                v[2],
            ]
        })
        .collect()
}

/// The model with other values of its unknowns.
fn with_unknowns(model: &Model, x: &[f64]) -> Result<Model, LearnError> {
    let mut next = model.clone();
    for (part, v) in next.parts.iter_mut().zip(x.chunks_exact(PARAMETERS)) {
        for (quantity, value, unit) in
            [(Quantity::Mass, v[0], "kg"), (Quantity::Volume, v[1], "m³")]
        {
            let least = if quantity == Quantity::Mass {
                0.0
            } else {
                1e-9
            };
            if value < least {
                let part = part.name.clone();
                return Err(LearnError::Impossible {
                    part,
                    quantity,
                    value,
                    unit,
                });
            }
        }
        part.mass_kg.value = v[0];
        part.volume_m3.value = v[1];
        part.mass_centre_m = [v[2], v[3], v[4]];
        part.volume_centre_m = [v[5], v[6], v[7]];
    }
    Ok(next)
}

/// Takes what one scalar told out of the covariance: `P − k·(P h)(P h)ᵀ`.
fn shrink(model: &mut Model, ph: &[f64], k: f64) {
    let n = model.unknowns();
    for i in 0..n {
        for j in 0..n {
            model.covariance[i * n + j] -= k * ph[i] * ph[j];
        }
        let diagonal = &mut model.covariance[i * n + i];
        *diagonal = diagonal.max(0.0);
    }
}

/// Writes the parts' own uncertainties from the covariance, so that the parts can be shown and stored.
fn write_back(model: &mut Model) {
    let n = model.unknowns();
    let cov = |c: &[f64], a: usize, b: usize| c[a * n + b];
    for (i, part) in model.parts.iter_mut().enumerate() {
        let (c, at) = (&model.covariance, i * PARAMETERS);
        let sd = |k: usize| cov(c, at + k, at + k).max(0.0).sqrt();
        part.mass_kg.sd = sd(0);
        part.volume_m3.sd = sd(1);
        part.mass_volume_cov = cov(c, at, at + 1);
        // One number for three axes: the largest.
        part.mass_centre_sd_m = sd(2).max(sd(3)).max(sd(4));
        part.volume_centre_sd_m = sd(5).max(sd(6)).max(sd(7));
    }
}

/// `φ(a) / Q(a)`: density over upper tail of the standard normal.
fn hazard(a: f64) -> f64 {
    if a < 6.0 {
        let density = (-0.5 * a * a).exp() / std::f64::consts::TAU.sqrt();
        return density / (0.5 * libm::erfc(a / std::f64::consts::SQRT_2));
    }
    // Far out both vanish; the continued fraction of the tail (Handbook of Mathematical Functions,
    // 26.2.14) converges fast there.
    let mut tail = 0.0;
    for k in (1..=30).rev() {
        tail = f64::from(k) / (a + tail);
    }
    a + tail
}

/// The model after one observation. Pure: the old model stays valid, and is the undo.
///
/// The water's density uncertainty counts as noise of the net force. The parts' centres learn from
/// angles, masses and volumes from the net force and, through the centres, from angles too.
///
/// # Errors
/// [`LearnError`].
pub fn learn(model: &Model, observation: &Observation) -> Result<Learned, LearnError> {
    if observation.seen.is_empty() {
        return Err(LearnError::NothingSeen);
    }
    let n = model.unknowns();
    let rho_var = observation.water.density.sd_kg_m3.powi(2);
    let x0 = unknowns(model);
    let mut x = x0.clone();
    let mut surprise = 0.0;
    let mut now = model.clone();
    // Measurements, all at once, relinearised until they settle.
    let mut values = Vec::new();
    for &seen in &observation.seen {
        if let Some((value, var)) = measured(seen)? {
            values.push((seen, value, var));
        }
    }
    if !values.is_empty() {
        let mut gain = Vec::new();
        for round in 0..12 {
            let line = linearise(
                &with_unknowns(model, &x)?,
                &observation.hung,
                &observation.water,
            )?;
            let rows: Vec<Row> = values
                .iter()
                .map(|v| row(&line, v.0))
                .collect::<Result<_, _>>()?;
            let ph: Vec<Vec<f64>> = rows.iter().map(|r| model.times(&r.1[..n])).collect();
            let m = rows.len();
            let mut s = vec![0.0; m * m];
            for i in 0..m {
                for j in 0..m {
                    s[i * m + j] = rows[i]
                        .1
                        .iter()
                        .zip(&ph[j])
                        .map(|(a, b)| a * b)
                        .sum::<f64>()
                        + rows[i].1[n] * rows[j].1[n] * rho_var;
                }
            }
            if (0..m).all(|i| s[i * m + i] <= rows[i].1[n].powi(2) * rho_var) {
                return Err(LearnError::NothingUncertain);
            }
            // Misfit, counted from the prior: z − h(x) − H (x₀ − x).
            let misfit: Vec<f64> = rows
                .iter()
                .zip(&values)
                .map(|((at, slopes), (seen, value, _))| {
                    let back: f64 = (0..n).map(|i| slopes[i] * (x0[i] - x[i])).sum();
                    let mut off = value - at;
                    if matches!(seen, Seen::Roll { .. }) {
                        // The short way round.
                        off -= std::f64::consts::TAU * (off / std::f64::consts::TAU).round();
                    }
                    off - back
                })
                .collect();
            if round == 0 {
                let total: f64 = (0..m)
                    .map(|i| misfit[i].powi(2) / (s[i * m + i] + values[i].2))
                    .sum();
                surprise = total / observation.seen.len() as f64;
            }
            for i in 0..m {
                s[i * m + i] += values[i].2;
            }
            let inverse = invert(&s, m).ok_or(LearnError::NothingUncertain)?;
            let weights: Vec<f64> = (0..m)
                .map(|i| (0..m).map(|j| inverse[i * m + j] * misfit[j]).sum())
                .collect();
            let next: Vec<f64> = (0..n)
                .map(|k| x0[k] + (0..m).map(|i| ph[i][k] * weights[i]).sum::<f64>())
                .collect();
            let moved = next
                .iter()
                .zip(&x)
                .enumerate()
                .map(|(k, (a, b))| {
                    let var = model.covariance(k, k);
                    if var > 0.0 {
                        (a - b).powi(2) / var
                    } else {
                        0.0
                    }
                })
                .fold(0.0, f64::max);
            x = next;
            gain = ph;
            now.covariance.clone_from(&model.covariance);
            for i in 0..n {
                for j in 0..n {
                    let mut less = 0.0;
                    for a in 0..m {
                        for b in 0..m {
                            less += gain[a][i] * inverse[a * m + b] * gain[b][j];
                        }
                    }
                    now.covariance[i * n + j] -= less;
                }
                let diagonal = &mut now.covariance[i * n + i];
                *diagonal = diagonal.max(0.0);
            }
            if moved < 1e-18 {
                break;
            }
        }
        drop(gain);
        now = Model {
            covariance: now.covariance,
            ..with_unknowns(model, &x)?
        };
    }
    // Directions, one after the other.
    for &seen in &observation.seen {
        if measured(seen)?.is_some() {
            continue;
        }
        let line = linearise(&now, &observation.hung, &observation.water)?;
        let (at, slopes) = row(&line, seen)?;
        let ph = now.times(&slopes[..n]);
        let known: f64 = slopes.iter().zip(&ph).map(|(a, b)| a * b).sum();
        let var = known + slopes[n].powi(2) * rho_var;
        if known <= 0.0 {
            return Err(LearnError::NothingUncertain);
        }
        let (sd, way) = (var.sqrt(), direction(seen));
        let a = -way * at / sd;
        surprise += a.max(0.0).powi(2) / observation.seen.len() as f64;
        let h = hazard(a);
        let (shift, shrunk) = (way * sd * h, h * (h - a));
        for (value, p) in x.iter_mut().zip(&ph) {
            *value += p / var * shift;
        }
        now = with_unknowns(&now, &x)?;
        shrink(&mut now, &ph, shrunk / var);
    }
    write_back(&mut now);
    for part in &now.parts {
        part.check()?;
    }
    let changes = x
        .chunks_exact(PARAMETERS)
        .zip(x0.chunks_exact(PARAMETERS))
        .enumerate()
        .map(|(part, (a, b))| PartChange {
            part,
            mass_kg: a[0] - b[0],
            volume_m3: a[1] - b[1],
            mass_centre_m: [a[2] - b[2], a[3] - b[3], a[4] - b[4]],
            volume_centre_m: [a[5] - b[5], a[6] - b[6], a[7] - b[7]],
        })
        .collect();
    Ok(Learned {
        model: now,
        changes,
        surprise: surprise.sqrt(),
    })
}

/// Inverse of a small positive definite matrix by elimination; `None` if it is singular.
fn invert(matrix: &[f64], m: usize) -> Option<Vec<f64>> {
    let mut a = matrix.to_vec();
    let mut inverse = vec![0.0; m * m];
    for i in 0..m {
        inverse[i * m + i] = 1.0;
    }
    for i in 0..m {
        let pivot = a[i * m + i];
        if pivot.is_nan() || pivot.abs() < 1e-300 {
            return None;
        }
        for j in 0..m {
            a[i * m + j] /= pivot;
            inverse[i * m + j] /= pivot;
        }
        for k in (0..m).filter(|&k| k != i) {
            let factor = a[k * m + i];
            for j in 0..m {
                a[k * m + j] -= factor * a[i * m + j];
                inverse[k * m + j] -= factor * inverse[i * m + j];
            }
        }
    }
    Some(inverse)
}
