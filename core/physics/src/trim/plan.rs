//! The weights to hang on a rig: from parts and box to a list of changes.

use super::quantity::{Of, Quantity};
use crate::water::STANDARD_GRAVITY_M_S2;
use thiserror::Error;

use super::balance::linearise;
use super::solver::{self, Limits, Point, Problem, Proof, Size, Solution, SolverError};
use super::{Attitude, Balance, HungWeight, Model, PartError, Surroundings, balance};

/// kg to the solver's mgf (and mg).
const MGF: f64 = 1e6;
/// m to the solver's µm.
const UM: f64 = 1e6;

/// One size of weight or float in the box.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightSize {
    /// Name, for messages and for matching in [`super::compare`].
    pub name: String,
    /// Mass of one piece, kg, 0 to 100.
    pub mass_kg: f64,
    /// Displaced volume of one piece, m³, above 0 to 0.1.
    pub volume_m3: f64,
    /// How many there are, hung ones included.
    pub stock: u32,
}

impl WeightSize {
    /// A weight of one material: `density_kg_m3` is 11 340 for lead, about 7 900 for stainless steel.
    #[must_use]
    pub fn of_density(name: &str, mass_kg: f64, density_kg_m3: f64, stock: u32) -> WeightSize {
        WeightSize {
            name: name.to_owned(),
            mass_kg,
            volume_m3: mass_kg / density_kg_m3,
            stock,
        }
    }
}

/// Where weights go.
#[derive(Debug, Clone, PartialEq)]
pub struct MountingPoint {
    /// Name.
    pub name: String,
    /// Where the pieces' centre comes to lie, m.
    pub position_m: [f64; 3],
    /// Most pieces it takes.
    pub capacity: u32,
    /// Most mass it takes, kg, if limited.
    pub max_mass_kg: Option<f64>,
}

/// What counts as trimmed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Acceptable {
    /// Net force may be off its target by this, N.
    pub net_n: f64,
    /// Pitch and roll at rest may each be off level by this, rad.
    pub angle_rad: f64,
}

/// What to plan for.
#[derive(Debug, Clone, PartialEq)]
pub struct Request<'a> {
    /// The rig without weights.
    pub model: &'a Model,
    /// The water.
    pub water: Surroundings,
    /// The box.
    pub sizes: &'a [WeightSize],
    /// The mounting points.
    pub points: &'a [MountingPoint],
    /// What hangs now: per point, pieces of each size. Empty for nothing.
    pub hanging: &'a [Vec<u32>],
    /// Net force wanted, N; negative for a touch heavy.
    pub target_n: f64,
    /// Net force within this of the target is as good as on it, N; 0 for the strict optimum.
    pub net_tolerance_n: f64,
    /// |pitch| + |roll| moment up to this is as good as level, N·m; 0 for the strict optimum.
    pub level_tolerance_n_m: f64,
    /// What counts as trimmed, for [`Plan::shortfalls`].
    pub acceptable: Acceptable,
    /// How far the search may go.
    pub limits: Limits,
}

/// Pieces to put on (positive) or take off (negative).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Change {
    /// Index of the point.
    pub point: usize,
    /// Index of the size.
    pub size: usize,
    /// How many.
    pub count: i32,
}

/// What stands in the way of a better trim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// Nothing in the box pulls that way.
    NothingPullsThatWay,
    /// Every piece that pulls that way hangs already.
    BoxUsedUp,
    /// Every mounting point is full.
    PointsFull,
    /// The next piece would overshoot: the box has no finer step.
    Steps,
    /// Even with these weights at the farthest points the moment falls short.
    Lever {
        /// Moment needed from the weights, N·m.
        needed_n_m: f64,
        /// What they can give at most that way, N·m.
        most_n_m: f64,
    },
    /// Each axis could be levelled alone, but not both with these weights at these points.
    BothAtOnce,
}

/// One way in which the best trim is not good enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shortfall {
    /// Net force.
    Net {
        /// Net less target, N: positive floats too much.
        off_n: f64,
        /// Why.
        limit: Limit,
    },
    /// Pitch at rest.
    Pitch {
        /// rad, nose up.
        off_rad: f64,
        /// Why.
        limit: Limit,
    },
    /// Roll at rest.
    Roll {
        /// rad, starboard side down.
        off_rad: f64,
        /// Why.
        limit: Limit,
    },
}

/// What to hang, and what it gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Per point, pieces of each size.
    pub placement: Vec<Vec<u32>>,
    /// What to do to get there from what hangs now.
    pub changes: Vec<Change>,
    /// The rig with what hangs now.
    pub before: Balance,
    /// The rig with the placement.
    pub after: Balance,
    /// Mass of the weights hung, kg.
    pub added_kg: f64,
    /// Whether the search was exhaustive: nothing better exists.
    pub proven: bool,
    /// In what it is still not good enough, and why. Empty: trimmed.
    pub shortfalls: Vec<Shortfall>,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PlanError {
    /// A part or the water.
    #[error(transparent)]
    Part(#[from] PartError),
    /// A weight or point.
    #[error("{quantity} of {item} is {value} {unit}: allowed are {min} to {max} {unit}")]
    Range {
        /// Of what.
        item: Of,
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
    /// The solver refused.
    #[error(transparent)]
    Solver(#[from] SolverError),
}

fn range(
    item: impl Into<Of>,
    quantity: Quantity,
    value: f64,
    min: f64,
    max: f64,
    unit: &'static str,
) -> Result<f64, PlanError> {
    if value >= min && value <= max {
        Ok(value)
    } else {
        Err(PlanError::Range {
            item: item.into(),
            quantity,
            value,
            min,
            max,
            unit,
        })
    }
}

/// Rounds to the solver's integers. The ranges checked before keep it far from the ends.
#[allow(clippy::cast_possible_truncation)]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

/// The integers that the solver works on. Moments are about the centre of mass of the rig without weights, so
/// that the choice does not depend on where the rig's origin is; mgf, µm, mg.
///
/// # Errors
/// [`PlanError`] naming what is out of range.
pub fn problem(request: &Request) -> Result<Problem, PlanError> {
    let line = linearise(request.model, &[], &request.water)?;
    let rho = request.water.density.kg_m3;
    let about = [line.cm[0].0, line.cm[1].0];
    let g = STANDARD_GRAVITY_M_S2;
    let mut sizes = Vec::with_capacity(request.sizes.len());
    for size in request.sizes {
        let mass = range(&size.name, Quantity::Mass, size.mass_kg, 0.0, 100.0, "kg")?;
        let volume = range(
            &size.name,
            Quantity::Volume,
            size.volume_m3,
            1e-9,
            0.1,
            "m³",
        )?;
        sizes.push(Size {
            force: whole((rho * volume - mass) * MGF),
            mass: whole(mass * MGF),
            stock: size.stock,
        });
    }
    let mut points = Vec::with_capacity(request.points.len());
    for point in request.points {
        for at in point.position_m {
            range(&point.name, Quantity::Position, at, -9.0, 9.0, "m")?;
        }
        let max_mass = match point.max_mass_kg {
            Some(kg) => Some(whole(
                range(&point.name, Quantity::LoadLimit, kg, 0.0, 1000.0, "kg")? * MGF,
            )),
            None => None,
        };
        points.push(Point {
            x: whole((point.position_m[0] - about[0]) * UM),
            y: whole((point.position_m[1] - about[1]) * UM),
            capacity: point.capacity,
            max_mass,
        });
    }
    range(
        Of::Request,
        Quantity::Target,
        request.target_n,
        -5000.0,
        5000.0,
        "N",
    )?;
    range(
        Of::Request,
        Quantity::NetTolerance,
        request.net_tolerance_n,
        0.0,
        5000.0,
        "N",
    )?;
    range(
        Of::Request,
        Quantity::LevelTolerance,
        request.level_tolerance_n_m,
        0.0,
        5000.0,
        "N·m",
    )?;
    range(
        Of::Request,
        Quantity::AcceptableNet,
        request.acceptable.net_n,
        0.0,
        5000.0,
        "N",
    )?;
    range(
        Of::Request,
        Quantity::AcceptableAngle,
        request.acceptable.angle_rad,
        0.0,
        4.0,
        "rad",
    )?;
    // About the centre of mass only the buoyancy has a moment.
    let moment = |a: usize| whole(line.buoyant_kg * line.apart[a].0 * MGF * UM);
    Ok(Problem {
        net: whole(line.net_kg.0 * MGF),
        pitch: moment(0),
        roll: moment(1),
        target: whole(request.target_n / g * MGF),
        net_tolerance: whole(request.net_tolerance_n / g * MGF),
        level_tolerance: whole(request.level_tolerance_n_m / g * MGF * UM),
        sizes,
        points,
        hanging: request.hanging.to_vec(),
    })
}

/// The pieces of a placement as they hang: each row a point, each column a size.
pub fn hung(
    sizes: &[WeightSize],
    points: &[MountingPoint],
    placement: &[Vec<u32>],
) -> Vec<HungWeight> {
    let mut all = Vec::new();
    for (point, row) in points.iter().zip(placement) {
        for (size, &count) in sizes.iter().zip(row) {
            if count > 0 {
                all.push(HungWeight {
                    mass_kg: size.mass_kg * f64::from(count),
                    volume_m3: size.volume_m3 * f64::from(count),
                    position_m: point.position_m,
                });
            }
        }
    }
    all
}

/// The best weights from the box, by the order of [`solver`]: net force, level, least mass, fewest
/// changes from what hangs now.
///
/// # Errors
/// [`PlanError`]: a part, weight, point or number out of range; an empty box; more than the solver's
/// bounds. A rig that cannot be trimmed well enough is not an error: see [`Plan::shortfalls`].
pub fn plan(request: &Request) -> Result<Plan, PlanError> {
    let problem = problem(request)?;
    let solution = solver::solve_within(&problem, request.limits)?;
    towards(request, &problem, solution)
}

/// As [`plan`], towards a placement that was chosen before, without another search: while the crew
/// hangs one piece after the other, the list must not change under their hands. `proven` says
/// whether that search was exhaustive.
///
/// # Errors
/// As [`plan`], and [`SolverError::HangingShape`] for a placement of another shape.
pub fn plan_towards(
    request: &Request,
    placement: &[Vec<u32>],
    proven: bool,
) -> Result<Plan, PlanError> {
    let problem = problem(request)?;
    let (points, sizes) = (problem.points.len(), problem.sizes.len());
    let odd = placement.iter().find(|row| row.len() != sizes);
    if placement.len() != points || odd.is_some() {
        return Err(PlanError::Solver(SolverError::HangingShape {
            rows: placement.len(),
            columns: odd.map_or(sizes, Vec::len),
            points,
            sizes,
        }));
    }
    let mut solution = solver::evaluate(&problem, placement);
    if proven {
        solution.proof = Proof::Optimal;
    }
    towards(request, &problem, solution)
}

fn towards(request: &Request, problem: &Problem, solution: Solution) -> Result<Plan, PlanError> {
    let before = balance(
        request.model,
        &hung(request.sizes, request.points, request.hanging),
        &request.water,
    )?;
    let after = balance(
        request.model,
        &hung(request.sizes, request.points, &solution.placement),
        &request.water,
    )?;
    Ok(Plan {
        changes: changes(request.hanging, &solution.placement),
        shortfalls: shortfalls(request, problem, &solution, &after),
        before,
        after,
        added_kg: solution.mass as f64 / MGF,
        proven: solution.proof == Proof::Optimal,
        placement: solution.placement,
    })
}

fn changes(now: &[Vec<u32>], then: &[Vec<u32>]) -> Vec<Change> {
    let mut all = Vec::new();
    for (point, row) in then.iter().enumerate() {
        for (size, &count) in row.iter().enumerate() {
            let was = now
                .get(point)
                .and_then(|r| r.get(size))
                .copied()
                .unwrap_or(0);
            if count != was {
                let count = count.cast_signed() - was.cast_signed();
                all.push(Change { point, size, count });
            }
        }
    }
    all
}

fn shortfalls(
    request: &Request,
    problem: &Problem,
    solution: &Solution,
    after: &Balance,
) -> Vec<Shortfall> {
    let mut all = Vec::new();
    let off_n = after.net_n.value - request.target_n;
    if off_n.abs() > request.acceptable.net_n {
        all.push(Shortfall::Net {
            off_n,
            limit: net_limit(problem, solution),
        });
    }
    let (pitch, roll) = match after.attitude {
        Attitude::Rests { pitch, roll, .. } => (pitch.value, roll.value),
        Attitude::Indifferent => (0.0, 0.0),
    };
    let most = request.acceptable.angle_rad;
    if pitch.abs() > most {
        let limit = level_limit(problem, solution, problem.pitch, |p| p.x);
        all.push(Shortfall::Pitch {
            off_rad: pitch,
            limit,
        });
    }
    if roll.abs() > most {
        let limit = level_limit(problem, solution, problem.roll, |p| p.y);
        all.push(Shortfall::Roll {
            off_rad: roll,
            limit,
        });
    }
    all
}

fn used(solution: &Solution, size: usize) -> u32 {
    solution.placement.iter().map(|row| row[size]).sum()
}

fn net_limit(problem: &Problem, solution: &Solution) -> Limit {
    let off = solution.net - problem.target;
    // Pieces that would bring it nearer.
    let helps = |s: &Size| s.stock > 0 && s.force.signum() == -off.signum();
    if !problem.sizes.iter().any(helps) {
        return Limit::NothingPullsThatWay;
    }
    let left = |(i, s): (usize, &Size)| helps(s) && used(solution, i) < s.stock;
    if !problem.sizes.iter().enumerate().any(left) {
        return Limit::BoxUsedUp;
    }
    let room = problem
        .points
        .iter()
        .zip(&solution.placement)
        .any(|(p, row)| row.iter().sum::<u32>() < p.capacity);
    if room {
        Limit::Steps
    } else {
        Limit::PointsFull
    }
}

/// Whether the weights hung could give the moment needed if only this axis mattered.
fn level_limit(
    problem: &Problem,
    solution: &Solution,
    base: i64,
    along: impl Fn(&Point) -> i64,
) -> Limit {
    let needed = -base;
    let mut places: Vec<i64> = Vec::new();
    for point in &problem.points {
        for _ in 0..point.capacity {
            places.push(along(point));
        }
    }
    places.sort_unstable();
    let mut forces: Vec<i64> = Vec::new();
    for (i, size) in problem.sizes.iter().enumerate() {
        for _ in 0..used(solution, i) {
            forces.push(size.force);
        }
    }
    // The most: floats farthest forward, sinkers farthest aft; heaviest at the ends (load limits of
    // points are not looked at, so this is an upper bound).
    let most = |sign: i64| -> i64 {
        let (mut up, mut down): (Vec<i64>, Vec<i64>) =
            forces.iter().map(|f| f * sign).partition(|&f| f > 0);
        up.sort_unstable_by_key(|f| -f);
        down.sort_unstable();
        let from_top = places.iter().rev();
        up.iter().zip(from_top).map(|(f, x)| f * x).sum::<i64>()
            + down.iter().zip(&places).map(|(f, x)| f * x).sum::<i64>()
    };
    let give = if needed > 0 { most(1) } else { most(-1) };
    if give < needed.abs() {
        let si = STANDARD_GRAVITY_M_S2 / (MGF * UM);
        return Limit::Lever {
            needed_n_m: needed as f64 * si,
            most_n_m: give as f64 * si * needed.signum() as f64,
        };
    }
    Limit::BothAtOnce
}
