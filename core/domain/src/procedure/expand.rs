//! Lays a procedure out on one rig: which step is done for which enclosure, closure or seal, and
//! which of them waits for which.

use std::collections::{HashMap, HashSet};

use serde::{Deserialize, Serialize};

use super::{Each, Only, Procedure, Step, graph};

/// What a procedure has to know of a rig. Ids are the rig's own; names are what the crew calls
/// the things.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RigOutline {
    /// The enclosures in the rig's order; the first is the one that the camera goes into.
    pub enclosures: Vec<OutlineEnclosure>,
    /// Whether the rig carries a lens of its own (ports, drives and rings belong to it).
    pub has_lens: bool,
    /// Whether the rig has a control map.
    pub has_controls: bool,
}

/// One sealed gas volume of the rig.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OutlineEnclosure {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whether it has a vacuum valve.
    pub has_valve: bool,
    /// Its closures, in the rig's order.
    pub closures: Vec<OutlineClosure>,
    /// Seals that sit in no closure (penetrators, shafts, valve), as (id, name).
    pub other_seals: Vec<(String, String)>,
}

/// One place where an enclosure is opened and closed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OutlineClosure {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whether a port is mounted here: the lens then goes in after the other closures are
    /// closed, and this one is closed last.
    pub port: bool,
    /// Number of screws that hold it; none or 0 for a latch or a bayonet.
    pub screws: Option<u32>,
    /// Seals that are disturbed when it is opened, as (id, name).
    pub seals: Vec<(String, String)>,
}

/// What an instance of a step is done to.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Target {
    /// The whole rig.
    Rig,
    /// One enclosure.
    Enclosure {
        /// Id of the enclosure.
        enclosure: String,
    },
    /// One closure.
    Closure {
        /// Id of the enclosure that it closes.
        enclosure: String,
        /// Id of the closure.
        closure: String,
    },
    /// One seal.
    Seal {
        /// Id of the enclosure that it belongs to.
        enclosure: String,
        /// Id of the seal.
        seal: String,
    },
}

impl Target {
    /// The enclosure that it is, or is on; none of the whole rig.
    #[must_use]
    pub fn enclosure(&self) -> Option<&str> {
        match self {
            Target::Rig => None,
            Target::Enclosure { enclosure }
            | Target::Closure { enclosure, .. }
            | Target::Seal { enclosure, .. } => Some(enclosure),
        }
    }
}

/// One step laid out on one target.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepInstance {
    /// `step-id` for the whole rig, else `step-id@target-id`; where two targets of a step have
    /// the same id, the later ones are told apart as `step-id@enclosure-id/target-id`, and
    /// failing that by a number. Unique, and the same every time for the same procedure and rig.
    pub key: String,
    /// The step, its placeholders filled in.
    pub step: Step,
    /// What it is done to.
    pub target: Target,
    /// The target's name; empty for the whole rig.
    pub target_name: String,
    /// Keys of the instances that come right before it. What comes before those is not repeated.
    pub after: Vec<String>,
}

/// Lays a procedure out on a rig.
///
/// Instances come in the order of the file, the targets of one step in the order of the rig.
/// A step waits, for its target, for everything that its chain of prerequisites names in that
/// target:
///
/// - A step of the whole rig waits for every instance of its prerequisites, and each instance
///   waits for prerequisites of the whole rig.
/// - Otherwise an instance waits for those instances of a prerequisite that are done to the same
///   thing, to a part of it, or to what it is a part of. A seal outside the closures (a
///   penetrator) counts as a part of each closure of its enclosure.
/// - A prerequisite that doesn't apply to the target (no screws, no valve, no lens) hands down
///   what it would itself have waited for, so leaving it out never loosens the order.
/// - Where a prerequisite is kept for the main enclosure and the step for the others, or the
///   other way round, the step waits for every instance of it. A step that is kept for neither
///   waits, at each enclosure, only for what concerns that enclosure.
///
/// The result has no circles if the procedure has none. A prerequisite that names no step is
/// ignored here; [`super::parse`] refuses such a file.
#[must_use]
pub fn expand(p: &Procedure, rig: &RigOutline) -> Vec<StepInstance> {
    let outline = Outline::new(rig);
    let by_id: HashMap<&str, usize> = p
        .steps
        .iter()
        .enumerate()
        .rev() // the first of two equal ids wins
        .map(|(index, step)| (step.id.as_str(), index))
        .collect();
    let before: Vec<Vec<usize>> = p
        .steps
        .iter()
        .map(|step| {
            let known = step.after.iter();
            known
                .filter_map(|id| by_id.get(id.as_str()).copied())
                .collect()
        })
        .collect();

    // Which spots each step is done at, and where these instances stand in the result.
    let mut spots: Vec<Vec<(usize, usize)>> = Vec::with_capacity(p.steps.len());
    let mut instances: Vec<(usize, usize)> = Vec::new();
    for (index, step) in p.steps.iter().enumerate() {
        let mut here = Vec::new();
        for (spot, place) in outline.spots.iter().enumerate() {
            if place.each == step.each && outline.applies(step, place) {
                here.push((spot, instances.len()));
                instances.push((index, spot));
            }
        }
        spots.push(here);
    }

    let edges: Vec<Vec<usize>> = instances
        .iter()
        .map(|(step, spot)| outline.prerequisites(p, &before, &spots, *step, *spot))
        .collect();
    let direct = graph::reduce(&edges);

    let mut taken: HashSet<String> = HashSet::new();
    let keys: Vec<String> = instances
        .iter()
        .map(|(step, spot)| {
            let step = p.steps.get(*step).map_or("", |step| step.id.as_str());
            let key = outline.key(step, *spot, &taken);
            taken.insert(key.clone());
            key
        })
        .collect();

    instances
        .iter()
        .enumerate()
        .filter_map(|(index, (step, spot))| {
            let place = outline.spots.get(*spot)?;
            let after = direct.get(index)?.iter();
            Some(StepInstance {
                key: keys.get(index)?.clone(),
                step: filled(p.steps.get(*step)?, place),
                target: place.target.clone(),
                target_name: place.name.to_string(),
                after: after.filter_map(|i| keys.get(*i).cloned()).collect(),
            })
        })
        .collect()
}

/// One thing of the rig that a step can be done to.
struct Spot<'r> {
    each: Each,
    target: Target,
    id: &'r str,
    name: &'r str,
    /// Index and outline of the enclosure that it is or belongs to; none for the rig.
    enclosure: Option<(usize, &'r OutlineEnclosure)>,
    /// The closure that it is or sits in.
    closure: Option<(usize, &'r OutlineClosure)>,
}

struct Outline<'r> {
    rig: &'r RigOutline,
    spots: Vec<Spot<'r>>,
}

impl<'r> Outline<'r> {
    fn new(rig: &'r RigOutline) -> Self {
        let mut spots = vec![Spot {
            each: Each::Rig,
            target: Target::Rig,
            id: "",
            name: "",
            enclosure: None,
            closure: None,
        }];
        for (number, enclosure) in rig.enclosures.iter().enumerate() {
            spots.push(Spot {
                each: Each::Enclosure,
                target: Target::Enclosure {
                    enclosure: enclosure.id.clone(),
                },
                id: &enclosure.id,
                name: &enclosure.name,
                enclosure: Some((number, enclosure)),
                closure: None,
            });
            // A seal that is listed twice is still one seal.
            let mut seen: HashSet<&str> = HashSet::new();
            let mut seal = |id: &'r str, name: &'r str, closure| {
                seen.insert(id).then(|| Spot {
                    each: Each::Seal,
                    target: Target::Seal {
                        enclosure: enclosure.id.clone(),
                        seal: id.to_string(),
                    },
                    id,
                    name,
                    enclosure: Some((number, enclosure)),
                    closure,
                })
            };
            for (place, closure) in enclosure.closures.iter().enumerate() {
                spots.push(Spot {
                    each: Each::Closure,
                    target: Target::Closure {
                        enclosure: enclosure.id.clone(),
                        closure: closure.id.clone(),
                    },
                    id: &closure.id,
                    name: &closure.name,
                    enclosure: Some((number, enclosure)),
                    closure: Some((place, closure)),
                });
                let in_closure = closure.seals.iter();
                spots.extend(
                    in_closure.filter_map(|(id, name)| seal(id, name, Some((place, closure)))),
                );
            }
            let elsewhere = enclosure.other_seals.iter();
            spots.extend(elsewhere.filter_map(|(id, name)| seal(id, name, None)));
        }
        Outline { rig, spots }
    }

    fn applies(&self, step: &Step, spot: &Spot<'_>) -> bool {
        let conditions = step.only.iter().copied().chain(step.kind.implied());
        conditions.into_iter().all(|only| self.holds(only, spot))
    }

    fn holds(&self, only: Only, spot: &Spot<'_>) -> bool {
        let any_enclosure = |test: &dyn Fn(&OutlineEnclosure) -> bool| match spot.enclosure {
            Some((_, enclosure)) => test(enclosure),
            None => self.rig.enclosures.iter().any(test),
        };
        match only {
            Only::Main => match spot.enclosure {
                Some((number, _)) => number == 0,
                None => !self.rig.enclosures.is_empty(),
            },
            Only::Other => match spot.enclosure {
                Some((number, _)) => number > 0,
                None => self.rig.enclosures.len() > 1,
            },
            Only::Valve => any_enclosure(&|enclosure| enclosure.has_valve),
            Only::NoValve => !self.holds(Only::Valve, spot),
            Only::Screws => match (spot.each, spot.closure) {
                (_, Some((_, closure))) => has_screws(closure),
                (Each::Seal, None) => false,
                _ => any_enclosure(&|enclosure| enclosure.closures.iter().any(has_screws)),
            },
            Only::NoScrews => !self.holds(Only::Screws, spot),
            Only::Port => match (spot.each, spot.closure) {
                (_, Some((_, closure))) => closure.port && any_enclosure(&opens_elsewhere),
                (Each::Seal, None) => false,
                _ => any_enclosure(&|enclosure| {
                    enclosure.closures.iter().any(|c| c.port) && opens_elsewhere(enclosure)
                }),
            },
            Only::NoPort => !self.holds(Only::Port, spot),
            Only::InClosure => spot.each == Each::Seal && spot.closure.is_some(),
            Only::NotInClosure => spot.each == Each::Seal && spot.closure.is_none(),
            Only::Lens => self.rig.has_lens,
            Only::NoLens => !self.rig.has_lens,
            Only::Controls => self.rig.has_controls,
        }
    }

    /// Whether one of two spots is, holds or belongs to the other.
    fn related(&self, a: usize, b: usize) -> bool {
        let (Some(a_spot), Some(b_spot)) = (self.spots.get(a), self.spots.get(b)) else {
            return false;
        };
        let (Some((a_enclosure, _)), Some((b_enclosure, _))) = (a_spot.enclosure, b_spot.enclosure)
        else {
            return true; // one is the whole rig
        };
        if a_enclosure != b_enclosure {
            return false;
        }
        if a_spot.each == Each::Enclosure || b_spot.each == Each::Enclosure {
            return true;
        }
        if a_spot.each == b_spot.each {
            return a == b;
        }
        // A closure and a seal; a seal outside the closures concerns the whole enclosure.
        match (a_spot.closure, b_spot.closure) {
            (Some((a_closure, _)), Some((b_closure, _))) => a_closure == b_closure,
            _ => true,
        }
    }

    /// Whether a step is kept for the other role of enclosure than the spot's.
    fn other_role(step: &Step, spot: &Spot<'_>) -> bool {
        spot.enclosure.is_some_and(|(number, _)| {
            let excluded = if number == 0 { Only::Other } else { Only::Main };
            step.each != Each::Rig && step.only.contains(&excluded)
        })
    }

    /// The instances that a step waits for at a spot, as indices, in file and rig order.
    fn prerequisites(
        &self,
        p: &Procedure,
        before: &[Vec<usize>],
        spots: &[Vec<(usize, usize)>],
        step: usize,
        spot: usize,
    ) -> Vec<usize> {
        let Some(place) = self.spots.get(spot) else {
            return Vec::new();
        };
        let has_role = p.steps.get(step).is_some_and(|step| {
            step.only.contains(&Only::Main) || step.only.contains(&Only::Other)
        });
        let mut found: Vec<usize> = Vec::new();
        // Steps still to be looked at, with whether the way there led through a step of the
        // other role that this step doesn't wait for. Then only what the chain names in the
        // spot itself counts, not what it names in the whole rig.
        let mut ahead: Vec<(usize, bool)> = Vec::new();
        let mut seen: HashSet<(usize, bool)> = HashSet::from([(step, false), (step, true)]);
        let push = |ahead: &mut Vec<(usize, bool)>, of: usize, aside: bool| {
            let earlier = before.get(of).into_iter().flatten();
            ahead.extend(earlier.map(|earlier| (*earlier, aside)));
        };
        push(&mut ahead, step, false);
        while let Some((earlier, aside)) = ahead.pop() {
            if !seen.insert((earlier, aside)) {
                continue;
            }
            let (Some(earlier_step), Some(instances)) = (p.steps.get(earlier), spots.get(earlier))
            else {
                continue;
            };
            let other_role = Self::other_role(earlier_step, place);
            let mut covered = false;
            for (at, instance) in instances {
                let Some(theirs) = self.spots.get(*at) else {
                    continue;
                };
                let counts = if theirs.each == Each::Rig {
                    !aside
                } else {
                    self.related(*at, spot) || (other_role && has_role && !aside)
                };
                if counts {
                    found.push(*instance);
                }
                // What an instance at this very spot, or at a larger one that holds it, waits
                // for has in it everything that the chain names in this spot.
                covered |= counts
                    && (*at == spot
                        || theirs.each == Each::Rig
                        || (theirs.each == Each::Enclosure
                            && place.each != Each::Rig
                            && self.related(*at, spot)));
            }
            if !covered {
                push(&mut ahead, earlier, aside || (other_role && !has_role));
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    fn key(&self, step: &str, spot: usize, taken: &HashSet<String>) -> String {
        let Some(place) = self.spots.get(spot) else {
            return step.to_string();
        };
        let Some((_, enclosure)) = place.enclosure else {
            return step.to_string();
        };
        let short = format!("{step}@{}", place.id);
        if !taken.contains(&short) {
            return short;
        }
        let long = format!("{step}@{}/{}", enclosure.id, place.id);
        if !taken.contains(&long) {
            return long;
        }
        (2_u32..)
            .map(|number| format!("{long}#{number}"))
            .find(|key| !taken.contains(key))
            .unwrap_or(long)
    }
}

/// Whether an enclosure has a closure that is not its port. One that opens at the port alone is
/// loaded through it, so there the port is the closure like any other.
fn opens_elsewhere(enclosure: &OutlineEnclosure) -> bool {
    enclosure.closures.iter().any(|closure| !closure.port)
}

fn has_screws(closure: &OutlineClosure) -> bool {
    closure.screws.is_some_and(|count| count > 0)
}

/// The step with its placeholders filled in. One pass, so a name that holds braces stays as it
/// is.
fn filled(step: &Step, spot: &Spot<'_>) -> Step {
    let screws = spot.closure.and_then(|(_, closure)| closure.screws);
    let screws = screws.map(|count| count.to_string());
    let enclosure = spot.enclosure.map(|(_, enclosure)| enclosure.name.as_str());
    let fill = |text: &str| -> String {
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some((head, tail)) = rest.split_once('{') {
            out.push_str(head);
            let filled = tail.split_once('}').and_then(|(name, after)| {
                let value = match name {
                    "target" if spot.each != Each::Rig => Some(spot.name),
                    "enclosure" => enclosure,
                    "screws" => screws.as_deref(),
                    _ => None,
                };
                value.map(|value| (value, after))
            });
            match filled {
                Some((value, after)) => {
                    out.push_str(value);
                    rest = after;
                }
                None => {
                    out.push('{');
                    rest = tail;
                }
            }
        }
        out.push_str(rest);
        out
    };
    Step {
        title: fill(&step.title),
        text: fill(&step.text),
        caution: step.caution.as_deref().map(fill),
        points: step.points.iter().map(|point| fill(point)).collect(),
        ..step.clone()
    }
}
