//! When a ring may no longer be dived, and what speaks against one.

use chrono::{DateTime, NaiveDate};

use super::age::{Now, age_days};
use crate::facts::RingMade;
use crate::rig::{Plan, Seal};
use crate::state::{Fitted, SealFacts};
use slackwater_physics::oring::{self, GreaseBase, StorageRule, UseBy, Verdict};

/// How a ring is past a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PastLimit {
    /// By days since fitted.
    Days {
        /// How many.
        age: i64,
        /// The limit.
        limit: u32,
    },
    /// By openings since fitted.
    Openings {
        /// How many.
        count: u32,
        /// The limit.
        limit: u32,
    },
    /// By dives in salt water since fitted.
    Dives {
        /// How many.
        count: u32,
        /// The limit.
        limit: u32,
    },
    /// It was stored too long before it was fitted: by ISO 2230, counted from its cure date.
    Stored {
        /// The last day on which it might have been fitted.
        until: NaiveDate,
        /// The day it was.
        fitted: NaiveDate,
    },
}

/// What speaks against a ring's material where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MaterialDoubt {
    /// The grease in use swells or softens it.
    Grease {
        /// The grease.
        grease: GreaseBase,
        /// It is to be avoided; else only used where the maker says so.
        avoid: bool,
    },
    /// The planned water is colder or warmer than it is made for, °C.
    Temperature {
        /// The water, °C.
        water_c: f64,
        /// Coldest, °C.
        min_c: f64,
        /// Warmest, °C.
        max_c: f64,
    },
}

/// How a ring was stored too long before it was fitted: by ISO 2230 with its one extension (hard),
/// or past the years without it (soft). None where its material, cure date or fitting isn't known.
pub fn stored_too_long(def: &Seal, seal: &SealFacts, hard: bool) -> Option<PastLimit> {
    seal.rings()
        .find_map(|fitted| lay_too_long(def, fitted, hard))
}

/// As [`stored_too_long`], of one ring.
fn lay_too_long(def: &Seal, fitted: &Fitted, hard: bool) -> Option<PastLimit> {
    let cured = oring::cure_date(&fitted.cured).ok()?;
    // A date said later is taken at its word; one recorded as it was done is the later of two clocks.
    let ms = if fitted.dated {
        fitted.ms
    } else {
        fitted.ms.max(fitted.said.hlc().ms())
    };
    let day = DateTime::from_timestamp_millis(ms)?.date_naive();
    let rule = if hard {
        StorageRule::Iso2230Extended
    } else {
        StorageRule::Iso2230
    };
    match oring::use_by(material_of(def, fitted), cured, rule) {
        Ok(UseBy::Date(until)) if day > until => Some(PastLimit::Stored { until, fitted: day }),
        _ => None,
    }
}

/// What a ring is made of: what its lot says, if that is a known material, else what the rig's list says of its seal.
fn material_of<'a>(def: &'a Seal, fitted: &'a Fitted) -> &'a str {
    let of_lot = fitted.ring.as_ref().map(|r| r.material.as_str());
    let known = of_lot.filter(|m| oring::material(m).is_ok());
    known.unwrap_or(&def.material)
}

/// A seal as the rig's list has it, but of the material of the ring that is in it.
pub fn as_fitted(def: &Seal, seal: &SealFacts) -> Seal {
    let mut def = def.clone();
    if let Some(fitted) = &seal.fitted {
        def.material = material_of(&def, fitted).to_owned();
    }
    def
}

/// A ring in a seal that is another than the rig's list says: what it is by its lot, where both say something and
/// differ. What the list leaves out rules out nothing.
pub fn unlike_listed(def: &Seal, seal: &SealFacts) -> Option<RingMade> {
    let ring = seal.fitted.as_ref()?.ring.as_ref()?;
    let said = |a: &str, b: &str| !a.trim().is_empty() && !b.trim().is_empty();
    let mut unlike = RingMade::default();
    if said(&ring.size, &def.size) && !oring::same_size(&ring.size, &def.size) {
        unlike.size.clone_from(&ring.size);
    }
    if said(&ring.material, &def.material) && !oring::same_material(&ring.material, &def.material) {
        unlike.material.clone_from(&ring.material);
    }
    let (is, listed) = (ring.hardness_shore_a, def.hardness_shore_a);
    if is != 0 && listed != 0 && is != listed {
        unlike.hardness_shore_a = is;
    }
    (unlike != RingMade::default()).then_some(unlike)
}

/// How a ring is past a limit, the hard or the soft one.
pub fn past_limit(def: &Seal, seal: &SealFacts, now: Now, hard: bool) -> Option<PastLimit> {
    let l = def.limits;
    let limits = if hard {
        (l.hard_days, l.hard_openings, l.hard_dives)
    } else {
        (l.soft_days, l.soft_openings, l.soft_dives)
    };
    past_at(age_days(seal, now), seal.openings, seal.dives, limits)
        .or_else(|| stored_too_long(def, seal, hard))
}

/// Which of the limits (days, openings, dives) a ring of that age is past.
pub fn past_at(
    age: Option<i64>,
    openings: u32,
    dives: u32,
    limits: (Option<u32>, Option<u32>, Option<u32>),
) -> Option<PastLimit> {
    if let (Some(age), Some(limit)) = (age, limits.0)
        && age >= i64::from(limit)
    {
        return Some(PastLimit::Days { age, limit });
    }
    if let Some(limit) = limits.1.filter(|limit| openings >= *limit) {
        let count = openings;
        return Some(PastLimit::Openings { count, limit });
    }
    let limit = limits.2.filter(|limit| dives >= *limit)?;
    let count = dives;
    Some(PastLimit::Dives { count, limit })
}

/// What speaks against a ring's material: its grease by the published conflicts, the planned water
/// by its temperature range.
pub fn material_doubts(def: &Seal, plan: &Plan) -> Vec<MaterialDoubt> {
    let Ok(material) = oring::material(&def.material) else {
        return Vec::new();
    };
    let mut doubts = Vec::new();
    if let Some(grease) = def.grease
        && let Ok(Some(rule)) = oring::grease(&def.material, grease)
        && rule.verdict != Verdict::Suitable
    {
        doubts.push(MaterialDoubt::Grease {
            grease,
            avoid: rule.verdict == Verdict::Avoid,
        });
    }
    if !(material.min_c..=material.max_c).contains(&plan.water_c) {
        doubts.push(MaterialDoubt::Temperature {
            water_c: plan.water_c,
            min_c: material.min_c,
            max_c: material.max_c,
        });
    }
    doubts
}
