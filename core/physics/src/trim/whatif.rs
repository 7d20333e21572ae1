//! What changes between two waters, lenses, batteries or boxes.

use crate::water::STANDARD_GRAVITY_M_S2;
use thiserror::Error;

use super::plan::hung;
use super::{Balance, Change, Part, Plan, PlanError, Request, Surroundings, balance, plan};

/// Why the net force changes. Contributions in N; they add up to [`Difference::net_change_n`].
#[derive(Debug, Clone, PartialEq)]
pub enum Cause {
    /// The water is denser or thinner, or foam is pressed otherwise: with the parts and weights of before.
    Water {
        /// N.
        net_n: f64,
    },
    /// A part is new.
    Added {
        /// Its name.
        part: String,
        /// N.
        net_n: f64,
    },
    /// A part is gone.
    Removed {
        /// Its name.
        part: String,
        /// N.
        net_n: f64,
    },
    /// A part of the same name weighs or displaces something else.
    Altered {
        /// Its name.
        part: String,
        /// N.
        net_n: f64,
    },
    /// Other weights hang, or weights of the same name weigh something else.
    Weights {
        /// N.
        net_n: f64,
    },
}

/// A weight size that hangs more often than the box holds now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// Name of the size.
    pub size: String,
    /// How many more hang than there are.
    pub count: u32,
}

/// What is different, and what to do about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// The rig as it was.
    pub before: Balance,
    /// The rig as it will be if nobody touches the weights.
    pub untouched: Balance,
    /// Net force of the second less that of the first, N.
    pub net_change_n: f64,
    /// Where that comes from, largest first.
    pub causes: Vec<Cause>,
    /// Sizes of which more hang than the box holds.
    pub missing: Vec<Missing>,
    /// What to hang, with the changes from what hangs now.
    pub plan: Plan,
}

impl Difference {
    /// Pieces to put on and take off.
    #[must_use]
    pub fn changes(&self) -> &[Change] {
        &self.plan.changes
    }
}

/// Why two situations cannot be compared.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CompareError {
    /// The first.
    #[error("before: {0}")]
    Before(PlanError),
    /// The second.
    #[error("after: {0}")]
    After(PlanError),
}

/// Net force of one part, N.
fn net_n(part: &Part, water: &Surroundings) -> f64 {
    let ratio = part.compression.ratio(water.sea_pressure_pa).unwrap_or(1.0);
    let kg = water.density.kg_m3 * part.volume_m3.value * ratio - part.mass_kg.value;
    kg * STANDARD_GRAVITY_M_S2
}

/// The part in `other` that has the name of `parts[i]`: the second of two of one name for the second.
fn same_name<'a>(parts: &[Part], i: usize, other: &'a [Part]) -> Option<&'a Part> {
    let name = &parts[i].name;
    let nth = parts[..i].iter().filter(|p| p.name == *name).count();
    other.iter().filter(|p| p.name == *name).nth(nth)
}

/// Compares two situations, and plans the second from what hangs in it now (`after.hanging`, usually the
/// same as `before.hanging`). Parts and weights are matched by name.
///
/// # Errors
/// [`CompareError`], saying which of the two.
pub fn compare(before: &Request, after: &Request) -> Result<Difference, CompareError> {
    let first = balance(
        before.model,
        &hung(before.sizes, before.points, before.hanging),
        &before.water,
    )
    .map_err(|e| CompareError::Before(e.into()))?;
    let plan = plan(after).map_err(CompareError::After)?;
    Ok(difference(before, after, first, plan))
}

fn difference(before: &Request, after: &Request, first: Balance, plan: Plan) -> Difference {
    let untouched = plan.before;
    let net_change_n = untouched.net_n.value - first.net_n.value;

    let mut causes = Vec::new();
    let mut water = 0.0;
    let on_rig = |model: &super::Model| -> Vec<Part> {
        model.on_rig().map(|(_, part)| part.clone()).collect()
    };
    let (old, new) = (&on_rig(before.model), &on_rig(after.model));
    for (i, part) in old.iter().enumerate() {
        water += net_n(part, &after.water) - net_n(part, &before.water);
        match same_name(old, i, new) {
            None => causes.push(Cause::Removed {
                part: part.name.clone(),
                net_n: -net_n(part, &after.water),
            }),
            Some(same) => {
                let net = net_n(same, &after.water) - net_n(part, &after.water);
                if net.abs() > 1e-9 {
                    causes.push(Cause::Altered {
                        part: part.name.clone(),
                        net_n: net,
                    });
                }
            }
        }
    }
    for (i, part) in new.iter().enumerate() {
        if same_name(new, i, old).is_none() {
            causes.push(Cause::Added {
                part: part.name.clone(),
                net_n: net_n(part, &after.water),
            });
        }
    }
    let weights = |request: &Request, water: &Surroundings| -> f64 {
        hung(request.sizes, request.points, request.hanging)
            .iter()
            .map(|w| (water.density.kg_m3 * w.volume_m3 - w.mass_kg) * STANDARD_GRAVITY_M_S2)
            .sum()
    };
    let as_before = weights(before, &after.water);
    water += as_before - weights(before, &before.water);
    let other = weights(after, &after.water) - as_before;
    if other.abs() > 1e-9 {
        causes.push(Cause::Weights { net_n: other });
    }
    if water.abs() > 1e-9 {
        causes.push(Cause::Water { net_n: water });
    }
    causes.sort_by(|a, b| size(b).total_cmp(&size(a)));

    let missing = after
        .sizes
        .iter()
        .enumerate()
        .filter_map(|(s, size)| {
            let hang: u32 = after.hanging.iter().filter_map(|row| row.get(s)).sum();
            let count = hang.saturating_sub(size.stock);
            (count > 0).then(|| Missing {
                size: size.name.clone(),
                count,
            })
        })
        .collect();
    Difference {
        before: first,
        untouched,
        net_change_n,
        causes,
        missing,
        plan,
    }
}

fn size(cause: &Cause) -> f64 {
    match cause {
        Cause::Water { net_n }
        | Cause::Added { net_n, .. }
        | Cause::Removed { net_n, .. }
        | Cause::Altered { net_n, .. }
        | Cause::Weights { net_n } => net_n.abs(),
    }
}
