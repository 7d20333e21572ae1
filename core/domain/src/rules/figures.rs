//! The figures of a rig that something is judged by, and in what two of them differ.

use super::counts::more_water;
use crate::facts::VerdictFact;
use crate::rig::RigDef;
use crate::state::{HoldFacts, RigFacts};

/// A figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// Planned depth, m.
    Depth,
    /// Planned time at depth, min.
    Minutes,
    /// Planned salinity, g/kg.
    Salinity,
    /// Planned water temperature, °C.
    Water,
    /// Depth rating of an enclosure, m.
    Rating,
    /// Limit of an enclosure's leak, mL a dive.
    Limit,
    /// Free volume of an enclosure, L.
    Volume,
    /// Days after which a ring blocks.
    SealDays,
    /// Openings after which a ring blocks.
    SealOpenings,
    /// Dives in salt water after which a ring blocks.
    SealDives,
    /// A thing (an enclosure, a seal, a control) that one has and the other hasn't. No figure.
    There,
}

/// A figure that differs.
#[derive(Debug, Clone, PartialEq)]
pub struct Differs {
    /// Which.
    pub figure: Figure,
    /// Of which enclosure, seal or control; empty for the plan.
    pub name: String,
    /// What it was; none where it wasn't there.
    pub from: Option<f64>,
    /// What it is; none where it isn't there.
    pub to: Option<f64>,
}

/// Two figures are the same to this share: they went through a unit and back.
const SAME: f64 = 1e-9;

fn differs(figure: Figure, name: &str, from: Option<f64>, to: Option<f64>) -> Option<Differs> {
    let same = match (from, to) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME * a.abs().max(b.abs()),
        (a, b) => a == b,
    };
    (!same).then(|| Differs {
        figure,
        name: name.to_owned(),
        from,
        to,
    })
}

/// The figures of one rig that are otherwise in another definition of it, and the things that come or go.
pub fn figures_differ(now: &RigDef, then: &RigDef) -> Vec<Differs> {
    let mut all = Vec::new();
    let (was, is) = (&now.plan, &then.plan);
    for (figure, from, to) in [
        (Figure::Depth, was.depth_m, is.depth_m),
        (Figure::Minutes, was.minutes, is.minutes),
        (Figure::Salinity, was.salinity_g_kg, is.salinity_g_kg),
        (Figure::Water, was.water_c, is.water_c),
    ] {
        all.extend(differs(figure, "", Some(from), Some(to)));
    }
    for old in &now.enclosures {
        let Some(new) = then.enclosure(&old.id) else {
            continue;
        };
        for (figure, from, to) in [
            (Figure::Rating, old.depth_rating_m, new.depth_rating_m),
            (Figure::Limit, old.limit(), new.limit()),
            (Figure::Volume, old.volume_l, new.volume_l),
        ] {
            all.extend(differs(figure, &old.name, Some(from), Some(to)));
        }
    }
    for old in &now.seals {
        let Some(new) = then.seal(&old.id) else {
            continue;
        };
        let (was, is) = (&old.limits, &new.limits);
        for (figure, from, to) in [
            (Figure::SealDays, was.hard_days, is.hard_days),
            (Figure::SealOpenings, was.hard_openings, is.hard_openings),
            (Figure::SealDives, was.hard_dives, is.hard_dives),
        ] {
            let (from, to) = (from.map(f64::from), to.map(f64::from));
            all.extend(differs(figure, &old.name, from, to));
        }
    }
    let things = |def: &RigDef| -> Vec<(String, String)> {
        let enclosures = def.enclosures.iter().map(|e| ('e', &e.id, &e.name));
        let seals = def.seals.iter().map(|s| ('s', &s.id, &s.name));
        let controls =
            (def.controls.iter().filter(|c| c.assigned())).map(|c| ('c', &c.id, &c.name));
        let all = enclosures.chain(seals).chain(controls);
        all.map(|(of, id, name)| (format!("{of}/{id}"), name.clone()))
            .collect()
    };
    let (had, has) = (things(now), things(then));
    for (one, other, gone) in [(&had, &has, true), (&has, &had, false)] {
        for (_, name) in one
            .iter()
            .filter(|(id, _)| !other.iter().any(|o| o.0 == *id))
        {
            all.push(Differs {
                figure: Figure::There,
                name: name.clone(),
                from: gone.then_some(1.0),
                to: (!gone).then_some(1.0),
            });
        }
    }
    all
}

/// What is otherwise now than what a hold was judged for, so that it is to be judged again
/// ([`super::HoldMissing::OtherPlan`]). What only became easier is not among it, where the hold had a
/// verdict.
pub fn since_judged(rig: &RigFacts, hold: &HoldFacts) -> Vec<Differs> {
    let (Some((_, _, result)), Some(def)) = (&hold.concluded, rig.def.enclosure(&hold.enclosure))
    else {
        return Vec::new();
    };
    let (setup, plan) = (&hold.setup, &rig.def.plan);
    let any = result.verdict == VerdictFact::NotYet;
    let mut all = Vec::new();
    for (figure, name, from, to, matters) in [
        (
            Figure::Depth,
            "",
            result.depth_m,
            plan.depth_m,
            any || plan.depth_m > result.depth_m,
        ),
        (
            Figure::Minutes,
            "",
            result.minutes,
            plan.minutes,
            any || plan.minutes > result.minutes,
        ),
        (
            Figure::Limit,
            &*def.name,
            result.limit_ml,
            def.limit(),
            def.limit() < result.limit_ml,
        ),
        (
            Figure::Volume,
            &*def.name,
            1e3 * result.volume_m3,
            def.volume_l,
            def.volume_l > 1e3 * result.volume_m3,
        ),
    ] {
        all.extend(differs(figure, name, Some(from), Some(to)).filter(|_| matters));
    }
    // The water alone, as if the dive were the one that was judged.
    let mut same_dive = *plan;
    (same_dive.depth_m, same_dive.minutes) = (result.depth_m, result.minutes);
    if more_water(setup, result, &same_dive) {
        let salinity = result.salinity_g_kg.unwrap_or(setup.salinity_g_kg);
        let water_c = result.water_k.unwrap_or(setup.water_k) - 273.15;
        all.extend(differs(
            Figure::Salinity,
            "",
            Some(salinity),
            Some(plan.salinity_g_kg),
        ));
        // To a hundredth of a degree: it was kept in kelvins.
        if (water_c - plan.water_c).abs() > 0.01 {
            all.extend(differs(
                Figure::Water,
                "",
                Some(water_c),
                Some(plan.water_c),
            ));
        }
    }
    all
}
