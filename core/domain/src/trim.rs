//! How a rig hangs: from its definition and what was recorded to what physics works on.
//!
//! The parts' own figures are where it starts; what the crew saw in the water teaches it, one
//! observation after the other in the order of everything, so that every device that knows the same
//! events comes to the same model. Taking an observation back is leaving it out. A part that is
//! measured anew starts from its new figures: what was seen before says nothing of them.

use super::facts::{HungFact, SeenFact, TrimFact, WaterFact, WaterSeen, Way, WeightFact};
use super::rig::{self, Foam, Plan as Dive, RigDef, Wrong, displaced_cm3, weight_key};
use super::state::{RigFacts, SeenFacts};
use slackwater_journal::Stamp;
use slackwater_physics::trim::solver::{Limits, Problem};
use slackwater_physics::trim::{
    Acceptable, Aim, Attitude, Balance, CompareError, Compression, Difference, Estimate,
    HungWeight, LearnError, Model, MountingPoint, Observation, Part, PartError, Plan, PlanError,
    Reading, Request, Seen, Surroundings, WeighGain, Weighing, WeightSize, balance, compare, hung,
    learn, plan, plan_towards, problem, weigh, weigh_next,
};
use slackwater_physics::water::{
    Density, Preset, STANDARD_GRAVITY_M_S2, Salinity, Water, WaterError, presets,
};

/// Latitude that gravity and so pressure at depth is taken at, °. Anywhere else it is within 0.3 %.
const LATITUDE_DEG: f64 = 45.0;
/// Density of the air that parts are weighed in, kg/m³: at sea level and 20 °C.
const AIR_KG_M3: f64 = 1.2;
/// Net force this near to the aim is as good as on it, N: 5 gf, less than a diver can feel (own
/// choice). Without it half a gram nearer would cost degrees of level.
pub const NET_TOLERANCE_N: f64 = 0.05;
/// Moments this small are as good as level, N·m: about half a degree on a rig of 15 kg whose
/// centres lie 20 mm apart.
pub const LEVEL_TOLERANCE_N_M: f64 = 0.02;
/// Off the aim by more than this is not trimmed, N: 50 gf (common practice).
pub const ACCEPTABLE_NET_N: f64 = 0.5;
/// Off level by more than this is not trimmed, °.
pub const ACCEPTABLE_DEG: f64 = 3.0;
/// How well a part's mass is known that was only taken over from a data sheet, as a share (1 sd).
const MASS_SHARE: f64 = 0.01;
/// The same of its volume: data sheets round it, and cables and brackets come on top.
const VOLUME_SHARE: f64 = 0.02;
/// How well the centres are known, as a share of the edge of a cube of the part's volume.
const CENTRE_SHARE: f64 = 0.05;
/// How well a scale is read that the next part would be weighed with, kg.
const SCALE_SD_KG: f64 = 0.005;
/// Standard uncertainty of 'it stayed where it was', g, and of 'it hung level', °.
const LEVEL_SD: (f64, f64) = (30.0, 2.0);
/// Standard uncertainty of an amount seen, as a share of it.
const SEEN_SHARE: f64 = 0.25;

/// How far the search for the weights goes, in steps: well below a second on a phone. What runs out
/// has the best net force, and says that a more level placement may exist.
pub const SEARCH: Limits = Limits {
    max_list: 300_000,
    max_steps: 40_000_000,
};
/// The same for each of a dozen questions at once.
const GLANCE: Limits = Limits {
    max_list: 100_000,
    max_steps: 4_000_000,
};

/// Why nothing can be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TrimFault {
    /// No part with mass and volume is listed, or none is on the rig with this lens.
    #[error("no part with mass and volume is on the rig")]
    NoParts,
    /// A part.
    #[error(transparent)]
    Part(PartError),
    /// The water.
    #[error(transparent)]
    Water(#[from] WaterError),
}

impl From<PartError> for TrimFault {
    fn from(e: PartError) -> TrimFault {
        match e {
            PartError::NoParts => TrimFault::NoParts,
            other => TrimFault::Part(other),
        }
    }
}

/// A water with its density at a depth.
///
/// # Errors
/// What is out of range: salinity, temperature, depth.
pub fn water(
    key: &str,
    (salinity, salinity_sd): (f64, f64),
    (water_c, water_sd_k): (f64, f64),
    depth_m: f64,
) -> Result<WaterFact, WaterError> {
    let water = Water {
        salinity: Salinity::Practical(salinity),
        temperature_k: water_c + 273.15,
    };
    let density = water.density_at_depth(depth_m, LATITUDE_DEG, salinity_sd, water_sd_k)?;
    Ok(WaterFact {
        key: key.to_owned(),
        salinity,
        salinity_sd,
        water_c,
        water_sd_k,
        depth_m,
        kg_m3: density.kg_m3,
        sd_kg_m3: density.sd_kg_m3,
    })
}

/// A preset water at a depth.
///
/// # Errors
/// The depth.
pub fn preset_water(preset: &Preset, depth_m: f64) -> Result<WaterFact, WaterError> {
    water(
        &preset.key,
        (preset.salinity, preset.salinity_sd),
        (preset.temperature_c, preset.temperature_sd_c),
        depth_m,
    )
}

/// The water of the day: the one chosen, or that of the planned dive.
///
/// # Errors
/// The plan's water is outside what can be computed.
pub fn water_now(rig: &RigFacts) -> Result<WaterFact, WaterError> {
    match &rig.trim.water {
        Some((_, water)) => Ok(water.clone()),
        None => water_of(&rig.def.plan),
    }
}

/// The water of a planned dive, at half its depth. Its salinity is in g/kg.
fn water_of(dive: &Dive) -> Result<WaterFact, WaterError> {
    let practical = Salinity::Absolute(dive.salinity_g_kg).practical()?;
    water(
        "",
        (practical, 1.0),
        (dive.water_c, 3.0),
        dive.depth_m / 2.0,
    )
}

fn surroundings(water: &WaterFact) -> Surroundings {
    Surroundings {
        density: Density {
            kg_m3: water.kg_m3,
            sd_kg_m3: water.sd_kg_m3,
        },
        sea_pressure_pa: water.kg_m3 * STANDARD_GRAVITY_M_S2 * water.depth_m,
    }
}

/// Mass and volume of a part by its weighing.
///
/// # Errors
/// What is wrong with the readings: heavier in water than in air, a density out of range.
pub fn by_weighing(
    name: &str,
    w: &rig::Weighed,
) -> Result<slackwater_physics::trim::MassVolume, PartError> {
    let reading = |g: f64| Reading {
        kg: g * 1e-3,
        sd_kg: w.scale_sd_g * 1e-3,
    };
    weigh(&Weighing {
        part: name.to_owned(),
        in_air: reading(w.in_air_g),
        in_water: reading(w.in_water_g),
        sinker_in_water: w.sinker_g.map(reading),
        water: Density {
            kg_m3: w.water_kg_m3,
            sd_kg_m3: w.water_sd_kg_m3,
        },
        air_kg_m3: AIR_KG_M3,
    })
}

/// A part as physics takes it.
fn part(p: &rig::Part) -> Result<Part, PartError> {
    if p.inside {
        return Ok(inside(p));
    }
    let (mass_kg, volume_m3, covariance) = match &p.weighed {
        Some(w) => {
            let got = by_weighing(&p.name, w)?;
            (got.mass_kg, got.volume_m3, got.covariance)
        }
        None => {
            let mass_sd = p.mass_sd_g.unwrap_or(p.mass_g * MASS_SHARE);
            let volume_sd = p.volume_sd_cm3.unwrap_or(p.volume_cm3 * VOLUME_SHARE);
            let mass = Estimate {
                value: p.mass_g * 1e-3,
                sd: mass_sd * 1e-3,
            };
            let volume = Estimate {
                value: p.volume_cm3 * 1e-6,
                sd: volume_sd * 1e-6,
            };
            (mass, volume, 0.0)
        }
    };
    let edge_m = volume_m3.value.max(0.0).cbrt();
    let centre_sd_m = p.centre_sd_mm.map_or(edge_m * CENTRE_SHARE, |mm| mm * 1e-3);
    let metres = |at: [f64; 3]| at.map(|mm| mm * 1e-3);
    Ok(Part {
        name: p.name.clone(),
        mass_kg,
        volume_m3,
        mass_volume_cov: covariance,
        mass_centre_m: metres(p.mass_at_mm),
        mass_centre_sd_m: centre_sd_m,
        volume_centre_m: metres(p.volume_at_mm),
        volume_centre_sd_m: centre_sd_m,
        compression: match p.foam {
            None => Compression::Rigid,
            Some(Foam::Soft { gas_share }) => Compression::GasCells { gas_share },
            Some(Foam::Stiff { bulk_mpa }) => Compression::BulkModulus { pa: bulk_mpa * 1e6 },
        },
    })
}

/// A part shut inside a housing: a mass at a place. Its volume is the housing's, so next to none is
/// left for it.
fn inside(p: &rig::Part) -> Part {
    let at = p.mass_at_mm.map(|mm| mm * 1e-3);
    Part {
        name: p.name.clone(),
        mass_kg: Estimate {
            value: p.mass_g * 1e-3,
            sd: p.mass_sd_g.unwrap_or(p.mass_g * MASS_SHARE) * 1e-3,
        },
        volume_m3: Estimate {
            value: 1e-9,
            sd: 0.0,
        },
        mass_volume_cov: 0.0,
        mass_centre_m: at,
        mass_centre_sd_m: p.centre_sd_mm.unwrap_or(5.0) * 1e-3,
        volume_centre_m: at,
        volume_centre_sd_m: 0.0,
        compression: Compression::Rigid,
    }
}

/// What an observation taught.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// What was seen.
    pub seen: SeenFacts,
    /// What it did to the parts, or why it taught nothing.
    pub taught: Result<Taught, NothingTaught>,
}

/// What an observation did to the parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Taught {
    /// Parts before and after, where they moved; as figures a person can compare.
    pub moved: Vec<(Part, Part)>,
    /// How far off the prediction was, in its own standard uncertainties.
    pub surprise: f64,
}

/// Why an observation teaches nothing.
#[derive(Debug, Clone, PartialEq)]
pub enum NothingTaught {
    /// A part that was on the rig was measured anew or taken off the list since; its name or id.
    Outdated {
        /// Which.
        part: String,
    },
    /// It can't be learnt from.
    Fault(LearnError),
}

fn sees(seen: &WaterSeen) -> Vec<Seen> {
    let mut all = Vec::new();
    let gf = STANDARD_GRAVITY_M_S2 * 1e-3;
    let deg = 1f64.to_radians();
    let sd_of = |s: &SeenFact, level: f64| {
        let by_eye = s
            .amount
            .map_or(level, |a| (a * SEEN_SHARE).max(level / 3.0));
        s.sd.filter(|sd| *sd > 0.0).unwrap_or(by_eye)
    };
    let signed = |s: &SeenFact| match s.way {
        Way::Up => s.amount,
        Way::Level => Some(0.0),
        Way::Down => s.amount.map(|a| -a),
    };
    if let Some(s) = &seen.net {
        all.push(match (signed(s), s.way) {
            (Some(g), _) => Seen::Net {
                value_n: g * gf,
                sd_n: sd_of(s, LEVEL_SD.0) * gf,
            },
            (None, Way::Up) => Seen::Floated,
            (None, _) => Seen::Sank,
        });
    }
    if let Some(s) = &seen.pitch {
        all.push(match (signed(s), s.way) {
            (Some(a), _) => Seen::Pitch {
                value_rad: a * deg,
                sd_rad: sd_of(s, LEVEL_SD.1) * deg,
            },
            (None, Way::Up) => Seen::NoseUp,
            (None, _) => Seen::NoseDown,
        });
    }
    if let Some(s) = &seen.roll {
        // Roll counts starboard side down as positive, which is 'down' here.
        all.push(match (signed(s), s.way) {
            (Some(a), _) => Seen::Roll {
                value_rad: -a * deg,
                sd_rad: sd_of(s, LEVEL_SD.1) * deg,
            },
            (None, Way::Up) => Seen::PortDown,
            (None, _) => Seen::StarboardDown,
        });
    }
    all
}

/// All parts of a rig with what was learnt of them, and the lessons, oldest first.
///
/// # Errors
/// No part is listed; a part whose figures can't be.
pub fn model(rig: &RigFacts) -> Result<(Model, Vec<Lesson>), TrimFault> {
    let parts = rig
        .def
        .parts
        .iter()
        .map(part)
        .collect::<Result<Vec<_>, _>>()?;
    let mut model = Model::new(parts)?;
    let mut lessons = Vec::new();
    for seen in &rig.trim.seen {
        let taught = match teach(rig, &model, seen) {
            Ok((next, taught)) => {
                model = next;
                Ok(taught)
            }
            Err(why) => Err(why),
        };
        lessons.push(Lesson {
            seen: seen.clone(),
            taught,
        });
    }
    Ok((model, lessons))
}

fn teach(
    rig: &RigFacts,
    model: &Model,
    seen: &SeenFacts,
) -> Result<(Model, Taught), NothingTaught> {
    for id in &seen.what.parts {
        let outdated = match rig.def.part(id) {
            None => Some(id.clone()),
            Some(p) => {
                let changed = rig.trim.changed.get(id).map_or(Stamp::NEVER, |s| s.stamp);
                (changed > seen.stamp).then(|| p.name.clone())
            }
        };
        if let Some(part) = outdated {
            return Err(NothingTaught::Outdated { part });
        }
    }
    let on: Vec<bool> = rig
        .def
        .parts
        .iter()
        .map(|p| seen.what.parts.contains(&p.id))
        .collect();
    let fault = |e: LearnError| NothingTaught::Fault(e);
    let there = model.with_present(&on).map_err(|e| fault(e.into()))?;
    let hung = seen
        .what
        .hung
        .iter()
        .map(|(w, at)| HungWeight {
            mass_kg: w.mass_g * 1e-3 * f64::from(w.count),
            volume_m3: displaced_cm3(w.mass_g, w.volume_cm3) * 1e-6 * f64::from(w.count),
            position_m: at.map(|mm| mm * 1e-3),
        })
        .collect();
    let learned = learn(
        &there,
        &Observation {
            water: surroundings(&seen.what.water),
            hung,
            seen: sees(&seen.what),
        },
    )
    .map_err(fault)?;
    let moved = model
        .parts
        .iter()
        .zip(&learned.model.parts)
        .filter(|(a, b)| notable(a, b))
        .map(|(a, b)| (a.clone(), b.clone()))
        .collect();
    Ok((
        learned.model,
        Taught {
            moved,
            surprise: learned.surprise,
        },
    ))
}

/// Whether a part moved by what a person would write down: a gram, a millilitre, a millimetre.
fn notable(a: &Part, b: &Part) -> bool {
    let far = |x: [f64; 3], y: [f64; 3]| (0..3).any(|i| (x[i] - y[i]).abs() >= 1e-3);
    (a.mass_kg.value - b.mass_kg.value).abs() >= 1e-3
        || (a.volume_m3.value - b.volume_m3.value).abs() >= 1e-6
        || far(a.mass_centre_m, b.mass_centre_m)
        || far(a.volume_centre_m, b.volume_centre_m)
}

/// What is asked: the rig as it is, or with something else.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Otherwise {
    /// In this water.
    pub water: Option<WaterFact>,
    /// With this lens.
    pub lens: Option<String>,
    /// With these parts in place of others.
    pub swapped: Option<Vec<String>>,
    /// With one weight of this size fewer in the box.
    pub lacking: Option<String>,
}

/// A rig in its water, ready to be worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// All parts, those on the rig marked.
    pub model: Model,
    /// The water.
    pub water: WaterFact,
    /// Sizes: those of the box, then those that hang though the box has none.
    pub sizes: Vec<WeightSize>,
    /// Mass, g, and volume, cm³, of each size.
    pub weights: Vec<(f64, Option<f64>)>,
    /// The mounting points.
    pub points: Vec<MountingPoint>,
    /// Their ids.
    pub point_ids: Vec<String>,
    /// What hangs, by point and size.
    pub hanging: Vec<Vec<u32>>,
    /// What was recorded to hang at points that are no longer on the rig.
    pub stray: Vec<HungFact>,
    /// Net force wanted, N.
    pub target_n: f64,
    limits: Limits,
}

impl Question {
    fn of(rig: &RigFacts, model: &Model, other: &Otherwise) -> Result<Question, TrimFault> {
        let def = &rig.def;
        let lens = other.lens.as_deref().or(def.lens.as_deref());
        let swapped = other.swapped.as_ref().unwrap_or(&def.swapped);
        let model = model.with_present(&def.parts_with(lens, swapped))?;
        let water = match &other.water {
            Some(water) => water.clone(),
            None => water_now(rig)?,
        };
        let mut weights: Vec<(f64, Option<f64>)> = Vec::new();
        let mut stock: Vec<u32> = Vec::new();
        for w in &def.weight_box {
            weights.push((w.mass_g, w.volume_cm3));
            let lacks = other.lacking.as_ref() == Some(&w.key());
            stock.push(w.count.saturating_sub(u32::from(lacks)));
        }
        for h in &rig.trim.hung {
            let key = weight_key(h.weight.mass_g, h.weight.volume_cm3);
            if !weights.iter().any(|(m, v)| weight_key(*m, *v) == key) {
                weights.push((h.weight.mass_g, h.weight.volume_cm3));
                stock.push(0);
            }
        }
        let mut hanging = vec![vec![0; weights.len()]; def.mounting_points.len()];
        let mut stray = Vec::new();
        for h in &rig.trim.hung {
            let key = weight_key(h.weight.mass_g, h.weight.volume_cm3);
            let size = weights.iter().position(|(m, v)| weight_key(*m, *v) == key);
            let point = def.mounting_points.iter().position(|p| p.id == h.point);
            match (point, size) {
                (Some(p), Some(s)) => hanging[p][s] = h.weight.count,
                _ => stray.push(h.clone()),
            }
        }
        Ok(Question {
            model,
            water,
            sizes: weights
                .iter()
                .zip(stock)
                .map(|((mass_g, volume_cm3), stock)| WeightSize {
                    name: weight_key(*mass_g, *volume_cm3),
                    mass_kg: mass_g * 1e-3,
                    volume_m3: displaced_cm3(*mass_g, *volume_cm3) * 1e-6,
                    stock,
                })
                .collect(),
            weights,
            points: def
                .mounting_points
                .iter()
                .map(|p| MountingPoint {
                    name: p.name.clone(),
                    position_m: p.at_mm.map(|mm| mm * 1e-3),
                    capacity: p.capacity,
                    max_mass_kg: p.max_mass_g.map(|g| g * 1e-3),
                })
                .collect(),
            point_ids: def.mounting_points.iter().map(|p| p.id.clone()).collect(),
            hanging,
            stray,
            target_n: -def.trim.heavy_g * 1e-3 * STANDARD_GRAVITY_M_S2,
            limits: SEARCH,
        })
    }

    fn request(&self) -> Request<'_> {
        Request {
            model: &self.model,
            water: surroundings(&self.water),
            sizes: &self.sizes,
            points: &self.points,
            hanging: &self.hanging,
            target_n: self.target_n,
            net_tolerance_n: NET_TOLERANCE_N,
            level_tolerance_n_m: LEVEL_TOLERANCE_N_M,
            acceptable: Acceptable {
                net_n: ACCEPTABLE_NET_N,
                angle_rad: ACCEPTABLE_DEG.to_radians(),
            },
            limits: self.limits,
        }
    }

    /// What hangs, as physics takes it.
    pub fn hung(&self) -> Vec<HungWeight> {
        hung(&self.sizes, &self.points, &self.hanging)
    }
}

/// A placement that was chosen, and for which problem (without what hung then).
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    problem: Problem,
    placement: Vec<Vec<u32>>,
    proven: bool,
}

/// How a rig hangs, and what to hang on it.
#[derive(Debug, Clone, PartialEq)]
pub struct TrimNow {
    /// What was asked.
    pub question: Question,
    /// The lessons of the water, oldest first.
    pub lessons: Vec<Lesson>,
    /// How it hangs with what hangs now.
    pub now: Balance,
    /// What to hang, or why that can't be said.
    pub plan: Result<Plan, PlanError>,
    /// Which part to weigh, best first.
    pub weigh: Vec<WeighGain>,
}

/// Works a rig out. `before` is the placement chosen before: it stays while only what hangs has
/// changed, so that a list under work stays the same list. Gives the placement to keep.
///
/// # Errors
/// [`TrimFault`].
pub fn work_out(
    rig: &RigFacts,
    before: Option<&Chosen>,
) -> Result<(TrimNow, Option<Chosen>), TrimFault> {
    let (model, lessons) = model(rig)?;
    let question = Question::of(rig, &model, &Otherwise::default())?;
    let request = question.request();
    let now = balance(&question.model, &question.hung(), &request.water)?;
    let weigh = weigh_next(
        &question.model,
        &question.hung(),
        &request.water,
        Aim::Net,
        SCALE_SD_KG,
    )?;
    let (plan, chosen) = match problem(&request) {
        Err(e) => (Err(e), None),
        Ok(asked) => {
            let asked = Problem {
                hanging: Vec::new(),
                ..asked
            };
            let plan = match before.filter(|c| c.problem == asked) {
                Some(c) => plan_towards(&request, &c.placement, c.proven),
                None => plan(&request),
            };
            let chosen = plan.as_ref().ok().map(|p| Chosen {
                problem: asked,
                placement: p.placement.clone(),
                proven: p.proven,
            });
            (plan, chosen)
        }
    };
    Ok((
        TrimNow {
            lessons,
            now,
            plan,
            weigh,
            question,
        },
        chosen,
    ))
}

impl TrimNow {
    /// Whether it hangs well enough with what hangs now: net force and attitude within what counts as
    /// trimmed, as far as the estimates go.
    pub fn hangs_well(&self) -> bool {
        let off_n = self.now.net_n.value - self.question.target_n;
        let level = match self.now.attitude {
            Attitude::Rests { pitch, roll, .. } => {
                let most = ACCEPTABLE_DEG.to_radians();
                pitch.value.abs() <= most && roll.value.abs() <= most
            }
            Attitude::Indifferent => true,
        };
        off_n.abs() <= ACCEPTABLE_NET_N && level
    }
}

/// Something that might be otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhatIf {
    /// Another water, by preset key.
    Water {
        /// Key.
        key: String,
    },
    /// Another lens.
    Lens {
        /// Lens id.
        lens: String,
    },
    /// A part fitted in place of another, or taken off again.
    Part {
        /// Part id.
        part: String,
        /// Fitted.
        on: bool,
    },
    /// One weight fewer of a size of which all hang.
    Lacking {
        /// Mass, g, as its key.
        key: String,
    },
}

/// Everything that might be otherwise, with what it would change.
pub type WhatIfs = Vec<(WhatIf, Result<Difference, CompareError>)>;

/// Asks of everything that might be otherwise what it would change.
///
/// # Errors
/// [`TrimFault`] of the rig as it is.
pub fn what_ifs(rig: &RigFacts, now: &TrimNow) -> Result<WhatIfs, TrimFault> {
    let (model, _) = model(rig)?;
    let glance = |other: &Otherwise| -> Result<Question, TrimFault> {
        Ok(Question {
            limits: GLANCE,
            ..Question::of(rig, &model, other)?
        })
    };
    let before = glance(&Otherwise::default())?;
    let mut asked: Vec<(WhatIf, Otherwise)> = Vec::new();
    for p in presets().iter().filter(|p| p.key != before.water.key) {
        if let Ok(water) = preset_water(p, before.water.depth_m) {
            let other = Otherwise {
                water: Some(water),
                ..Otherwise::default()
            };
            let key = p.key.clone();
            asked.push((WhatIf::Water { key }, other));
        }
    }
    for lens in rig.def.lenses.iter().map(|l| &l.id) {
        let is_fitted = rig.def.lens.as_ref() == Some(lens);
        let other = rig.def.parts_with(Some(lens), &rig.def.swapped) != rig.def.parts_now();
        if !is_fitted && other {
            asked.push((
                WhatIf::Lens { lens: lens.clone() },
                Otherwise {
                    lens: Some(lens.clone()),
                    ..Otherwise::default()
                },
            ));
        }
    }
    for p in rig.def.parts.iter().filter(|p| p.in_place_of.is_some()) {
        let on = !rig.def.swapped.contains(&p.id);
        let swapped = swapped_with(&rig.def, &p.id, on);
        let part = p.id.clone();
        asked.push((
            WhatIf::Part { part, on },
            Otherwise {
                swapped: Some(swapped),
                ..Otherwise::default()
            },
        ));
    }
    if let Ok(plan) = &now.plan {
        for (s, w) in rig.def.weight_box.iter().enumerate() {
            let used: u32 = plan.placement.iter().filter_map(|row| row.get(s)).sum();
            if w.count > 0 && used >= w.count {
                let other = Otherwise {
                    lacking: Some(w.key()),
                    ..Otherwise::default()
                };
                asked.push((WhatIf::Lacking { key: w.key() }, other));
            }
        }
    }
    let mut all = Vec::new();
    for (what, other) in asked {
        // Without a part left there is nothing to compare with.
        let Ok(after) = glance(&other) else { continue };
        all.push((what, ask(&before, &after)));
    }
    Ok(all)
}

/// Two questions with the same sizes may hold them in another order only if the box is another,
/// which it never is here.
fn ask(before: &Question, after: &Question) -> Result<Difference, CompareError> {
    compare(&before.request(), &after.request())
}

/// The parts fitted in place of others once `part` is (or is no longer): one stands in for a part
/// at a time.
pub fn swapped_with(def: &RigDef, part: &str, on: bool) -> Vec<String> {
    let place = def.part(part).and_then(|p| p.in_place_of.clone());
    let mut swapped: Vec<String> = def
        .swapped
        .iter()
        .filter(|id| {
            let other = def.part(id).and_then(|p| p.in_place_of.clone());
            *id != part && (!on || other != place)
        })
        .cloned()
        .collect();
    if on {
        swapped.push(part.to_owned());
    }
    swapped
}

/// Ids of the parts on the rig now, in order.
pub fn parts_on(def: &RigDef) -> Vec<String> {
    def.parts
        .iter()
        .zip(def.parts_now())
        .filter(|(_, on)| *on)
        .map(|(p, _)| p.id.clone())
        .collect()
}

/// The trim as it stands, for the record.
pub fn trim_fact(rig: &RigFacts, now: &TrimNow) -> TrimFact {
    TrimFact {
        parts: parts_on(&rig.def),
        water: now.question.water.clone(),
        hung: rig.trim.hung.clone(),
        net_n: now.now.net_n.value,
        net_sd_n: now.now.net_n.sd,
    }
}

/// What was seen in the water, with what is on the rig now.
pub fn water_seen(
    rig: &RigFacts,
    water: WaterFact,
    net: Option<SeenFact>,
    pitch: Option<SeenFact>,
    roll: Option<SeenFact>,
) -> WaterSeen {
    let at = |id: &str| rig.def.mounting_points.iter().find(|p| p.id == id);
    WaterSeen {
        parts: parts_on(&rig.def),
        water,
        hung: rig
            .trim
            .hung
            .iter()
            .filter_map(|h| Some((h.weight, at(&h.point)?.at_mm)))
            .collect(),
        net,
        pitch,
        roll,
    }
}

/// Why a rig doesn't count as trimmed.
#[derive(Debug, Clone, PartialEq)]
pub enum Untrimmed {
    /// It never was.
    Never,
    /// Other parts are on it.
    OtherParts,
    /// A part was measured anew since; its name.
    Measured {
        /// Name.
        part: String,
    },
    /// The water is another.
    OtherWater {
        /// Density it was trimmed for, less that of the water of the day, kg/m³.
        by_kg_m3: f64,
    },
    /// Other weights hang.
    OtherWeights,
}

/// Density may differ by this from the one trimmed for, kg/m³: on a rig of 20 L it is 20 gf.
const SAME_WATER_KG_M3: f64 = 1.0;

/// Why a rig doesn't count as trimmed; none where it does, or where nothing is listed that could be
/// trimmed (no parts, or nowhere to hang a weight).
pub fn untrimmed(rig: &RigFacts) -> Option<Untrimmed> {
    if rig.def.parts.is_empty() || rig.def.mounting_points.is_empty() {
        return None;
    }
    let Some((seen, trim)) = &rig.trim.trimmed else {
        return Some(Untrimmed::Never);
    };
    if trim.parts != parts_on(&rig.def) {
        return Some(Untrimmed::OtherParts);
    }
    let since = |id: &String| {
        let changed = rig.trim.changed.get(id)?;
        (changed.stamp > seen.stamp).then(|| rig.def.part(id))?
    };
    if let Some(part) = trim.parts.iter().find_map(since) {
        let part = part.name.clone();
        return Some(Untrimmed::Measured { part });
    }
    if let Ok(water) = water_now(rig) {
        let by_kg_m3 = trim.water.kg_m3 - water.kg_m3;
        if by_kg_m3.abs() > SAME_WATER_KG_M3 {
            return Some(Untrimmed::OtherWater { by_kg_m3 });
        }
    }
    (trim.hung != rig.trim.hung).then_some(Untrimmed::OtherWeights)
}

/// So many of a size hang on the whole rig, other points than `but` only.
pub fn hung_elsewhere(rig: &RigFacts, key: &str, but: &str) -> u32 {
    rig.trim
        .hung
        .iter()
        .filter(|h| {
            let w: &WeightFact = &h.weight;
            h.point != but && weight_key(w.mass_g, w.volume_cm3) == key
        })
        .map(|h| h.weight.count)
        .sum()
}

/// Why something seen now could not be learnt from; none where it can.
pub fn teaches(rig: &RigFacts, seen: &WaterSeen) -> Option<Wrong> {
    let model = match model(rig) {
        Ok((model, _)) => model,
        Err(e) => return Some(e.into()),
    };
    let seen = SeenFacts {
        event: String::new(),
        stamp: Stamp([0xff; 24]),
        wall_ms: 0,
        author: String::new(),
        what: seen.clone(),
    };
    match teach(rig, &model, &seen) {
        Ok(_) => None,
        Err(NothingTaught::Fault(e)) => Some(e.into()),
        Err(NothingTaught::Outdated { part }) => Some(Wrong::NotOnRig(part)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{Book, BookFault};
    use crate::facts::Fact;
    use crate::rig::{BoxWeight, Part as RigPart, Weighed, templates};
    use slackwater_journal::{Env, FixedClock, SeededEntropy};
    use std::sync::Arc;

    fn book(dir: &std::path::Path) -> (Book, Arc<FixedClock>, String) {
        let clock = Arc::new(FixedClock::at(1_780_293_600_000));
        let env = Env {
            clock: clock.clone(),
            entropy: Arc::new(SeededEntropy::new(5)),
            device_seed: None,
        };
        let mut book = Book::open(dir, env).unwrap();
        let mut def = templates()[0].rig.clone();
        def.weight_box = [(50.0, 6), (100.0, 6), (250.0, 4)]
            .map(|(mass_g, count)| BoxWeight {
                mass_g,
                count,
                volume_cm3: None,
            })
            .to_vec();
        let rig = book.create_rig(def, "test").unwrap();
        let pool = preset_water(slackwater_physics::water::preset("pool").unwrap(), 3.0).unwrap();
        book.choose_water(&rig, pool).unwrap();
        (book, clock, rig)
    }

    fn plan_of(book: &Book, rig: &str) -> Plan {
        let worked = book.trim(rig).unwrap();
        worked.now.as_ref().unwrap().plan.clone().unwrap()
    }

    #[test]
    fn the_list_stays_the_same_list_while_it_is_worked_off() {
        let dir = tempfile::tempdir().unwrap();
        let (mut book, clock, rig) = book(dir.path());
        let sea = preset_water(slackwater_physics::water::preset("sea").unwrap(), 3.0).unwrap();
        book.choose_water(&rig, sea).unwrap();
        let first = plan_of(&book, &rig);
        assert!(
            first.changes.len() > 1 && first.proven,
            "{:?}",
            first.changes
        );
        assert_eq!(untrimmed(&book.rig(&rig).unwrap()), Some(Untrimmed::Never));
        for (n, c) in first.changes.iter().enumerate() {
            clock.advance(1_000);
            let worked = book.trim(&rig).unwrap();
            let q = &worked.now.as_ref().unwrap().question;
            let weight = WeightFact {
                mass_g: q.weights[c.size].0,
                volume_cm3: q.weights[c.size].1,
                count: first.placement[c.point][c.size],
            };
            let recorded = book.hang(&rig, &q.point_ids[c.point], weight).unwrap();
            let now = plan_of(&book, &rig);
            assert_eq!(now.placement, first.placement);
            assert_eq!(now.changes.len(), first.changes.len() - n - 1);
            // Undone, it is to be hung again; done again, it hangs.
            book.undo(&recorded.undo.unwrap()).unwrap();
            assert_eq!(plan_of(&book, &rig).changes.len(), first.changes.len() - n);
            book.hang(&rig, &q.point_ids[c.point], weight).unwrap();
        }
        let worked = book.trim(&rig).unwrap();
        let now = &worked.now.as_ref().unwrap().now;
        assert!((now.net_n.value - first.after.net_n.value).abs() < 1e-9);
        book.confirm_trim(&rig).unwrap();
        assert_eq!(untrimmed(&book.rig(&rig).unwrap()), None);
    }

    #[test]
    fn what_makes_a_trim_count_no_more_says_so() {
        let dir = tempfile::tempdir().unwrap();
        let (mut book, clock, rig) = book(dir.path());
        book.hang_plan(&rig).unwrap();
        book.confirm_trim(&rig).unwrap();
        let why = |book: &Book| untrimmed(&book.rig(&rig).unwrap());
        assert_eq!(why(&book), None);
        clock.advance(1_000);
        let sea = preset_water(slackwater_physics::water::preset("sea").unwrap(), 3.0).unwrap();
        let to_sea = book.choose_water(&rig, sea).unwrap();
        assert!(matches!(why(&book), Some(Untrimmed::OtherWater { by_kg_m3 }) if by_kg_m3 < -20.0));
        book.undo(&to_sea.undo.unwrap()).unwrap();
        assert_eq!(why(&book), None);
        book.choose_lens(&rig, "macro").unwrap();
        assert_eq!(why(&book), Some(Untrimmed::OtherParts));
        book.choose_lens(&rig, "wide-prime").unwrap();
        assert_eq!(why(&book), None);
        book.fit_part(&rig, "large-battery", true).unwrap();
        assert_eq!(why(&book), Some(Untrimmed::OtherParts));
        assert_eq!(book.rig(&rig).unwrap().def.swapped, ["large-battery"]);
        book.fit_part(&rig, "large-battery", false).unwrap();
        let hung = book.rig(&rig).unwrap().trim.hung[0].clone();
        let off = WeightFact {
            count: 0,
            ..hung.weight
        };
        let taken = book.hang(&rig, &hung.point, off).unwrap();
        assert_eq!(why(&book), Some(Untrimmed::OtherWeights));
        book.undo(&taken.undo.unwrap()).unwrap();
        assert_eq!(why(&book), None);
        clock.advance(1_000);
        let mut def = book.rig(&rig).unwrap().def.clone();
        def.parts[0].mass_g += 10.0;
        book.edit_rig(&rig, def).unwrap();
        assert!(matches!(why(&book), Some(Untrimmed::Measured { .. })));
    }

    #[test]
    fn the_water_teaches_and_what_it_taught_can_be_taken_back() {
        let dir = tempfile::tempdir().unwrap();
        let (mut book, clock, rig) = book(dir.path());
        book.hang_plan(&rig).unwrap();
        let net = |book: &Book| {
            let worked = book.trim(&rig).unwrap();
            worked.now.as_ref().unwrap().now.net_n
        };
        let before = net(&book);
        let floated = SeenFact {
            way: Way::Up,
            amount: Some(120.0),
            sd: Some(10.0),
        };
        clock.advance(1_000);
        let seen = book.saw_in_water(&rig, Some(floated), None, None).unwrap();
        let after = net(&book);
        // 120 gf up, known to 10: the parts gave way to it.
        let gf = STANDARD_GRAVITY_M_S2 * 1e-3;
        assert!((after.value / gf - 120.0).abs() < 10.0, "{after:?}");
        assert!(after.sd < before.sd / 3.0);
        let worked = book.trim(&rig).unwrap();
        let now = worked.now.as_ref().unwrap();
        let taught = now.lessons[0].taught.as_ref().unwrap();
        assert!(taught.moved.iter().any(|(a, _)| a.name.starts_with("Main")));
        assert!(!now.plan.as_ref().unwrap().changes.is_empty());
        // Of the flat port, which wasn't there, nothing was learnt.
        assert!(!taught.moved.iter().any(|(a, _)| a.name.starts_with("Flat")));
        // What was learnt of the housing stays with another lens.
        book.choose_lens(&rig, "macro").unwrap();
        assert!(
            book.trim(&rig).unwrap().now.as_ref().unwrap().lessons[0]
                .taught
                .is_ok()
        );
        book.choose_lens(&rig, "wide-prime").unwrap();
        book.undo(&seen.undo.unwrap()).unwrap();
        assert_eq!(net(&book), before);
        // A part measured anew makes what was seen before it tell nothing.
        book.saw_in_water(&rig, Some(floated), None, None).unwrap();
        clock.advance(1_000);
        let mut def = book.rig(&rig).unwrap().def.clone();
        def.parts[0].volume_cm3 += 5.0;
        book.edit_rig(&rig, def).unwrap();
        let worked = book.trim(&rig).unwrap();
        let lesson = &worked.now.as_ref().unwrap().lessons[0];
        assert!(matches!(lesson.taught, Err(NothingTaught::Outdated { .. })));
        assert!(matches!(
            book.saw_in_water(&rig, None, None, None),
            Err(BookFault::Rig(_))
        ));
    }

    #[test]
    fn events_in_any_order_make_the_same_trim() {
        let dir = tempfile::tempdir().unwrap();
        let (mut book, clock, rig) = book(dir.path());
        book.hang_plan(&rig).unwrap();
        for g in [40.0, 90.0] {
            clock.advance(60_000);
            let seen = SeenFact {
                way: Way::Down,
                amount: Some(g),
                sd: None,
            };
            book.saw_in_water(&rig, Some(seen), None, None).unwrap();
        }
        let gone = book
            .saw_in_water(
                &rig,
                None,
                Some(SeenFact {
                    way: Way::Up,
                    amount: None,
                    sd: None,
                }),
                None,
            )
            .unwrap();
        book.undo(&gone.undo.unwrap()).unwrap();
        let mut events = Vec::new();
        let mut cursor = None;
        loop {
            let page = book.journal().page(None, cursor, 50).unwrap();
            let Some(last) = page.last() else { break };
            cursor = Some(last.cursor);
            events.extend(page.iter().map(|e| e.event.clone()));
        }
        // A device's own events can only arrive in its order; the retraction comes before what it
        // takes back when the fold is asked to apply the tables anew from the end.
        let trim = book.rig(&rig).unwrap().trim.clone();
        assert_eq!(trim.seen.len(), 2);
        let other_dir = tempfile::tempdir().unwrap();
        let env = Env {
            clock,
            entropy: Arc::new(SeededEntropy::new(6)),
            device_seed: None,
        };
        let mut other = Book::open(other_dir.path(), env).unwrap();
        other.admit(&[book.journal().device()]).unwrap();
        for event in events.iter().rev() {
            other.ingest(event).unwrap();
        }
        assert_eq!(other.rig(&rig).unwrap().trim, trim);
        assert!(
            events
                .iter()
                .any(|e| matches!(crate::fold::fact_of(e), Fact::Retracted { .. }))
        );
    }

    #[test]
    fn an_unmeasured_part_is_less_sure_than_a_weighed_one() {
        let sheet = RigPart {
            id: "a".into(),
            name: "A".into(),
            mass_g: 2_000.0,
            volume_cm3: 1_900.0,
            ..RigPart::default()
        };
        let weighed = RigPart {
            weighed: Some(Weighed {
                in_air_g: 2_000.0,
                in_water_g: 102.0,
                sinker_g: None,
                scale_sd_g: 3.0,
                water_kg_m3: 998.2,
                water_sd_kg_m3: 0.2,
            }),
            ..sheet.clone()
        };
        let (a, b) = (part(&sheet).unwrap(), part(&weighed).unwrap());
        assert!(a.volume_m3.sd > 5.0 * b.volume_m3.sd);
        assert!(b.mass_volume_cov > 0.0);
        // The weighing's own figures stand, whatever the sheet said.
        assert!((b.volume_m3.value - 1.9e-3).abs() < 5e-6, "{b:?}");
        let swapped = RigPart {
            weighed: Some(Weighed {
                in_water_g: 2_001.0,
                ..weighed.weighed.unwrap()
            }),
            ..sheet
        };
        assert!(matches!(
            part(&swapped),
            Err(PartError::HeavierInWater { .. })
        ));
    }

    #[test]
    fn what_may_hang_is_what_there_is_and_where_there_is_room() {
        let dir = tempfile::tempdir().unwrap();
        let (mut book, _, rig) = book(dir.path());
        let some = |mass_g: f64, count: u32| WeightFact {
            mass_g,
            volume_cm3: None,
            count,
        };
        let why = |r: Result<_, BookFault>| match r {
            Err(BookFault::Rig(f)) => f[0].why.to_string(),
            other => panic!("{other:?}"),
        };
        assert!(why(book.hang(&rig, "front-left", some(100.0, 4))).contains("takes 3"));
        book.hang(&rig, "front-left", some(250.0, 3)).unwrap();
        assert!(why(book.hang(&rig, "rear-left", some(250.0, 2))).contains("3 hang elsewhere"));
        assert!(matches!(
            book.hang(&rig, "nowhere", some(250.0, 1)),
            Err(BookFault::NotFound { .. })
        ));
        assert!(matches!(
            book.hang(&rig, "rear-left", some(123.0, 1)),
            Err(BookFault::NotFound { .. })
        ));
        // A size that left the box while it hung can be taken off.
        let mut def = book.rig(&rig).unwrap().def.clone();
        def.weight_box.retain(|w| w.mass_g < 200.0);
        book.edit_rig(&rig, def).unwrap();
        let plan = plan_of(&book, &rig);
        assert!(
            plan.changes.iter().any(|c| c.count == -3),
            "{:?}",
            plan.changes
        );
        book.hang(&rig, "front-left", some(250.0, 0)).unwrap();
        assert!(book.rig(&rig).unwrap().trim.hung.is_empty());
    }
}
