//! Which weights to hang where: the exact lexicographic optimum, in integers.
//!
//! In this order, each only among what ties on those before it:
//! 1. `|net − target|` (less [`Problem::net_tolerance`], not below 0);
//! 2. `|pitch| + |roll|`, moments (less [`Problem::level_tolerance`], not below 0);
//! 3. added mass;
//! 4. pieces to take off or put on from what hangs there now.
//!
//! Units are the caller's as long as they agree: force in one unit, length in one unit, moments in their
//! product, mass in any. [`super::RigProblem`] uses mgf, µm and mg. Integers make ties exact and every
//! phone agree.
//!
//! # How
//! Stages 1 and 3 depend only on how many pieces of each size hang, not where. So first all count
//! vectors with the best net are found (depth first, the last size solved by division). For these,
//! lightest first, stage 2 is a search for two partial placements, one of each half of the mounting points, whose
//! moments cancel: each half's partial placements are listed by count vector, in order of one moment
//! and without duplicates; then two lists are walked against each other with a window no wider than the
//! best so far. Bounds of each list along eight directions skip pairs that cannot win.
//! Same-sized pieces are counted, never permuted.
//!
//! # Bounds
//! Memory: at most [`Limits::max_list`] partial placements of 24 bytes in each of two lists (and half as
//! much again while merging). Where the halves do not fit, some points are enumerated outside; where that
//! does not help either, [`SolverError::TooLarge`] says what there is too much of. Time: no
//! clock is read here, so the deadline is a count of elementary steps, [`Limits::max_steps`], the same on
//! every device. What runs out of steps comes back as [`Proof::StoppedEarly`]: a valid placement with the
//! best net, not proven to be the most level.

use super::quantity::Count;
use thiserror::Error;

/// Most sizes of weight in a box.
pub const SIZES_MAX: usize = 16;
/// Most mounting points.
pub const POINTS_MAX: usize = 40;
/// Largest force of one piece (100 kgf in mgf).
pub const FORCE_MAX: i64 = 100_000_000;
/// Largest coordinate (10 m in µm).
pub const POSITION_MAX: i64 = 10_000_000;
/// Largest net force before trimming (1000 kgf in mgf).
pub const NET_MAX: i64 = 1_000_000_000;
/// Largest moment before trimming.
pub const MOMENT_MAX: i64 = 100_000_000_000_000_000;
/// Most pieces of one size that count (more in the box are left out), and most pieces at one point.
pub const COUNT_MAX: u32 = 60;
/// Most pieces on the whole rig.
pub const PIECES_MAX: u32 = 400;

/// One size of weight (or float) in the box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Force of one piece in this water; positive floats, negative sinks.
    pub force: i64,
    /// Mass of one piece; not negative.
    pub mass: i64,
    /// How many are in the box, hung ones included.
    pub stock: u32,
}

/// One mounting point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// Forward of the point that moments are taken about.
    pub x: i64,
    /// To starboard of it.
    pub y: i64,
    /// Most pieces it takes.
    pub capacity: u32,
    /// Most mass it takes, if that is limited.
    pub max_mass: Option<i64>,
}

/// How far the search may go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Partial placements kept in each half.
    pub max_list: usize,
    /// Elementary steps (one partial placement made, or one pair looked at).
    pub max_steps: u64,
}

impl Default for Limits {
    /// 36 MB and some seconds on a phone; far above any rig met in practice.
    fn default() -> Self {
        Self {
            max_list: 500_000,
            max_steps: 400_000_000,
        }
    }
}

/// What to solve.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Net force without any weights; positive floats.
    pub net: i64,
    /// Moment that lifts the nose, without weights.
    pub pitch: i64,
    /// Moment that lifts the starboard side, without weights.
    pub roll: i64,
    /// Net force wanted.
    pub target: i64,
    /// Net within this of the target is as good as on it; 0 for the strict optimum.
    pub net_tolerance: i64,
    /// `|pitch| + |roll|` up to this is as good as level; 0 for the strict optimum.
    pub level_tolerance: i64,
    /// The box.
    pub sizes: Vec<Size>,
    /// The mounting points.
    pub points: Vec<Point>,
    /// What hangs now: for each point, pieces of each size. Empty means nothing hangs.
    pub hanging: Vec<Vec<u32>>,
}

/// Whether the optimum is proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// All four stages are optimal.
    Optimal,
    /// The steps ran out: the net is optimal; level, mass and changes may not be.
    StoppedEarly,
}

/// The placement and what it gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solution {
    /// For each point, pieces of each size.
    pub placement: Vec<Vec<u32>>,
    /// Net force with it.
    pub net: i64,
    /// Pitch moment with it.
    pub pitch: i64,
    /// Roll moment with it.
    pub roll: i64,
    /// Mass of the weights hung.
    pub mass: i64,
    /// `|net − target|`, tolerance not taken off.
    pub off_target: i64,
    /// `|pitch| + |roll|`, tolerance not taken off.
    pub off_level: i64,
    /// Pieces to take off plus pieces to put on.
    pub changes: u32,
    /// Whether all that is proven best.
    pub proof: Proof,
    /// Steps used.
    pub steps: u64,
}

/// Why there is nothing to solve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum SolverError {
    /// No piece in the box.
    #[error("the weight box is empty: without weights the rig is {off_target} mgf from the target")]
    EmptyBox {
        /// How far off it is, in the problem's unit of force.
        off_target: i64,
    },
    /// No point, or none that takes a piece.
    #[error(
        "no mounting point takes a weight: without weights the rig is {off_target} mgf from the target"
    )]
    NoPoint {
        /// How far off it is, in the problem's unit of force.
        off_target: i64,
    },
    /// A number outside what the integers hold safely or what makes sense.
    #[error("{quantity} of number {index} is {value}: allowed are {min} to {max}")]
    Range {
        /// Which quantity.
        quantity: Count,
        /// Which size or point, from 1; 0 for the rig.
        index: usize,
        /// What was given.
        value: i64,
        /// Smallest allowed.
        min: i64,
        /// Largest allowed.
        max: i64,
    },
    /// The list of what hangs does not fit points and sizes.
    #[error(
        "what hangs now is given for {rows} points with {columns} sizes, but the rig has {points} points and the box {sizes} sizes"
    )]
    HangingShape {
        /// Rows given.
        rows: usize,
        /// Columns of the first row that does not fit.
        columns: usize,
        /// Points there are.
        points: usize,
        /// Sizes there are.
        sizes: usize,
    },
    /// More combinations than the memory bound allows.
    #[error("{what}: {value} exceed the limit of {max}; use fewer sizes or points")]
    TooLarge {
        /// What there is too much of.
        what: &'static str,
        /// How many.
        value: u64,
        /// Allowed.
        max: u64,
    },
}

fn too_many(what: &'static str, value: usize, max: usize) -> Result<(), SolverError> {
    if value > max {
        return Err(SolverError::TooLarge {
            what,
            value: value as u64,
            max: max as u64,
        });
    }
    Ok(())
}

/// Counts of each size, one byte each.
type Counts = u128;

fn count_of(k: Counts, size: usize) -> u32 {
    ((k >> (8 * size)) & 0xff) as u32
}

/// One byte's top bit in each place.
const TOPS: Counts = 0x8080_8080_8080_8080_8080_8080_8080_8080;

/// Whether every byte of `a` is at most that of `b` (all below 128).
fn fits(a: Counts, b: Counts) -> bool {
    ((b | TOPS) - a) & TOPS == TOPS
}

/// A partial placement: its moments, and changes << 52 | code of the options chosen.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Part {
    p: i64,
    r: i64,
    tag: u64,
}

/// Making one partial placement and putting it in order costs about this many steps of a walk. Measured: 25 to
/// 150 change the usual case little, and from 90 the slowest of 160 made-up rigs halves.
const ORDERING_COST: u64 = 100;

const CODE_BITS: u32 = 52;
const CODE_MASK: u64 = (1 << CODE_BITS) - 1;

impl Part {
    fn changes(self) -> u32 {
        (self.tag >> CODE_BITS) as u32
    }
}

/// What one point may carry.
#[derive(Clone, Copy)]
struct Choice {
    counts: Counts,
    force: i64,
    changes: u32,
}

/// Least and most of p, r, p + r and p − r over a list.
#[derive(Clone, Copy)]
struct Extent {
    lo: [i64; 4],
    hi: [i64; 4],
}

impl Extent {
    const EMPTY: Extent = Extent {
        lo: [i64::MAX; 4],
        hi: [i64::MIN; 4],
    };

    fn add(&mut self, p: i64, r: i64) {
        for (i, v) in [p, r, p + r, p - r].into_iter().enumerate() {
            self.lo[i] = self.lo[i].min(v);
            self.hi[i] = self.hi[i].max(v);
        }
    }

    /// Least `|p| + |r|` that a point of this extent, another's and an offset can sum to: each
    /// direction's interval bounds it from below.
    fn least_sum(&self, other: &Extent, p: i64, r: i64) -> i64 {
        let at = [p, r, p + r, p - r];
        let mut least = 0;
        let mut axis = 0;
        for (i, at) in at.into_iter().enumerate() {
            let lo = self.lo[i] + other.lo[i] + at;
            let hi = self.hi[i] + other.hi[i] + at;
            let away = lo.max(-hi).max(0);
            if i < 2 {
                axis += away;
            } else {
                least = least.max(away);
            }
        }
        least.max(axis)
    }
}

/// The partial placements of one set of points that use the same counts.
struct Group {
    counts: Counts,
    parts: Vec<Part>,
    extent: Extent,
    fewest_changes: u32,
}

struct Best {
    level: i64,
    mass: i64,
    changes: u32,
    codes: Option<(u64, u64, u64)>,
}

struct Search<'a> {
    problem: &'a Problem,
    limits: Limits,
    steps: u64,
    /// Sizes that can be hung at all, as indices into the box.
    choices: Vec<Vec<Choice>>,
}

/// Solves with the default [`Limits`].
///
/// # Errors
/// [`SolverError`]: an empty box, no point, a number out of range. A rig that cannot be trimmed is not an
/// error: the nearest is returned, and [`super::shortfall`] says how near and why.
pub fn solve(problem: &Problem) -> Result<Solution, SolverError> {
    solve_within(problem, Limits::default())
}

/// Solves within the limits given.
///
/// # Errors
/// As [`solve`].
pub fn solve_within(problem: &Problem, limits: Limits) -> Result<Solution, SolverError> {
    check(problem)?;
    let mut search = Search {
        problem,
        limits,
        steps: 0,
        choices: choices(problem, limits)?,
    };
    search.run()
}

fn in_range(
    quantity: Count,
    index: usize,
    value: i64,
    min: i64,
    max: i64,
) -> Result<(), SolverError> {
    if (min..=max).contains(&value) {
        Ok(())
    } else {
        Err(SolverError::Range {
            quantity,
            index,
            value,
            min,
            max,
        })
    }
}

fn check(problem: &Problem) -> Result<(), SolverError> {
    in_range(Count::NetForce, 0, problem.net, -NET_MAX, NET_MAX)?;
    in_range(Count::Target, 0, problem.target, -NET_MAX, NET_MAX)?;
    in_range(
        Count::PitchMoment,
        0,
        problem.pitch,
        -MOMENT_MAX,
        MOMENT_MAX,
    )?;
    in_range(Count::RollMoment, 0, problem.roll, -MOMENT_MAX, MOMENT_MAX)?;
    in_range(Count::NetTolerance, 0, problem.net_tolerance, 0, NET_MAX)?;
    in_range(
        Count::LevelTolerance,
        0,
        problem.level_tolerance,
        0,
        MOMENT_MAX,
    )?;
    let off_target = (problem.net - problem.target).abs();
    if problem.sizes.iter().all(|s| s.stock == 0) {
        return Err(SolverError::EmptyBox { off_target });
    }
    if problem.points.iter().all(|p| p.capacity == 0) {
        return Err(SolverError::NoPoint { off_target });
    }
    if problem.sizes.len() > SIZES_MAX {
        return Err(SolverError::TooLarge {
            what: "sizes in the box",
            value: problem.sizes.len() as u64,
            max: SIZES_MAX as u64,
        });
    }
    if problem.points.len() > POINTS_MAX {
        return Err(SolverError::TooLarge {
            what: "mounting points",
            value: problem.points.len() as u64,
            max: POINTS_MAX as u64,
        });
    }
    for (i, s) in problem.sizes.iter().enumerate() {
        in_range(Count::ForceOfWeight, i + 1, s.force, -FORCE_MAX, FORCE_MAX)?;
        in_range(Count::MassOfWeight, i + 1, s.mass, 0, FORCE_MAX * 10)?;
        in_range(
            Count::StockOfWeight,
            i + 1,
            i64::from(s.stock),
            0,
            i64::from(u32::MAX),
        )?;
    }
    let mut pieces = 0;
    for (i, p) in problem.points.iter().enumerate() {
        in_range(Count::XOfPoint, i + 1, p.x, -POSITION_MAX, POSITION_MAX)?;
        in_range(Count::YOfPoint, i + 1, p.y, -POSITION_MAX, POSITION_MAX)?;
        in_range(
            Count::CapacityOfPoint,
            i + 1,
            p.capacity.into(),
            0,
            COUNT_MAX.into(),
        )?;
        in_range(
            Count::LoadLimitOfPoint,
            i + 1,
            p.max_mass.unwrap_or(0),
            0,
            i64::MAX,
        )?;
        pieces += p.capacity;
    }
    in_range(Count::CapacityOfAll, 0, pieces.into(), 0, PIECES_MAX.into())?;
    let (points, sizes) = (problem.points.len(), problem.sizes.len());
    let rows = problem.hanging.len();
    let odd = problem.hanging.iter().find(|row| row.len() != sizes);
    if rows != 0 && (rows != points || odd.is_some()) {
        let columns = odd.map_or(sizes, Vec::len);
        return Err(SolverError::HangingShape {
            rows,
            columns,
            points,
            sizes,
        });
    }
    let mut hung: i64 = 0;
    for row in &problem.hanging {
        for &c in row {
            in_range(Count::PiecesHanging, 0, c.into(), 0, COUNT_MAX.into())?;
            hung += i64::from(c);
        }
    }
    in_range(Count::PiecesOnRig, 0, hung, 0, PIECES_MAX.into())?;
    Ok(())
}

/// Pieces to take off and put on to come from `now` to the counts.
fn changes_at(now: Option<&Vec<u32>>, counts: Counts, sizes: usize) -> u32 {
    (0..sizes)
        .map(|s| now.map_or(0, |row| row[s]).abs_diff(count_of(counts, s)))
        .sum()
}

/// All that each point may carry.
fn choices(problem: &Problem, limits: Limits) -> Result<Vec<Vec<Choice>>, SolverError> {
    let sizes = &problem.sizes;
    let mut points = Vec::with_capacity(problem.points.len());
    for (i, point) in problem.points.iter().enumerate() {
        let now = problem.hanging.get(i);
        let mut all: Vec<(Counts, i64, u32, i64)> = vec![(0, 0, 0, 0)];
        for (s, size) in sizes.iter().enumerate() {
            for at in 0..all.len() {
                let (mut counts, mut force, mut pieces, mut mass) = all[at];
                for _ in 0..size.stock {
                    counts += 1 << (8 * s);
                    force += size.force;
                    pieces += 1;
                    mass += size.mass;
                    if pieces > point.capacity || point.max_mass.is_some_and(|m| mass > m) {
                        break;
                    }
                    all.push((counts, force, pieces, mass));
                }
            }
            too_many(
                "ways to load one mounting point",
                all.len(),
                limits.max_list,
            )?;
        }
        let choice = |&(counts, force, ..): &(Counts, i64, u32, i64)| Choice {
            counts,
            force,
            changes: changes_at(now, counts, sizes.len()),
        };
        points.push(all.iter().map(choice).collect());
    }
    Ok(points)
}

impl Search<'_> {
    fn run(&mut self) -> Result<Solution, SolverError> {
        let reach = self.reach()?;
        let mut totals = self.best_nets(reach.as_ref())?;
        // Lightest first; the counts themselves break ties so that the order never depends on the search.
        totals.sort_unstable();
        let most = totals.iter().fold(0, |m, &(_, k)| bytewise_max(m, k));
        let (outer, first, second) = self.split(most, totals.len())?;
        // The axis with more distinct places goes first: shorter runs of equal moments.
        let swap = self.distinct(|p| p.y) > self.distinct(|p| p.x);

        let outer_groups = self.groups(&outer, most, swap)?;
        let a_groups = self.groups(&first, most, swap)?;
        let b_groups = self.groups(&second, most, swap)?;
        let mut best = Best {
            level: i64::MAX / 4,
            mass: i64::MAX,
            changes: u32::MAX,
            codes: None,
        };
        let (p0, r0) = if swap {
            (self.problem.roll, self.problem.pitch)
        } else {
            (self.problem.pitch, self.problem.roll)
        };
        let mut proof = Proof::Optimal;
        'all: for &(mass, k) in &totals {
            if best.level == 0 && mass > best.mass {
                break;
            }
            for c in outer_groups.iter().filter(|g| fits(g.counts, k)) {
                for outer_part in &c.parts {
                    self.steps += 1 + a_groups.len() as u64 / 4;
                    if self.steps > self.limits.max_steps && best.codes.is_some() {
                        proof = Proof::StoppedEarly;
                        break 'all;
                    }
                    let left = k - c.counts;
                    let at = (p0 + outer_part.p, r0 + outer_part.r);
                    for a in a_groups.iter().filter(|g| fits(g.counts, left)) {
                        let want = left - a.counts;
                        let Ok(b) = b_groups.binary_search_by_key(&want, |g| g.counts) else {
                            continue;
                        };
                        self.steps += 1;
                        let chosen = (outer_part, a, &b_groups[b]);
                        if !self.pair(chosen, at, mass, &mut best) {
                            proof = Proof::StoppedEarly;
                            break 'all;
                        }
                    }
                }
            }
        }
        let Some((c, a, b)) = best.codes else {
            // Only if the steps ran out before the first pair: nothing was found, so say so.
            return Err(SolverError::TooLarge {
                what: "search steps",
                value: self.steps,
                max: self.limits.max_steps,
            });
        };
        let mut placement = vec![vec![0; self.problem.sizes.len()]; self.problem.points.len()];
        for (points, code) in [(&outer, c), (&first, a), (&second, b)] {
            self.decode(points, code, &mut placement);
        }
        let mut solution = evaluate(self.problem, &placement);
        solution.proof = proof;
        solution.steps = self.steps;
        Ok(solution)
    }

    fn distinct(&self, coordinate: impl Fn(&Point) -> i64) -> usize {
        let mut all: Vec<i64> = self.problem.points.iter().map(coordinate).collect();
        all.sort_unstable();
        all.dedup();
        all.len()
    }

    /// Which totals can be hung, where a point's load limit makes that more than a matter of numbers.
    fn reach(&mut self) -> Result<Option<Vec<Counts>>, SolverError> {
        let heaviest = self.problem.sizes.iter().map(|s| s.mass).max().unwrap_or(0);
        let free = |p: &Point| {
            p.max_mass
                .is_none_or(|m| i64::from(p.capacity).saturating_mul(heaviest) <= m)
        };
        if self.problem.points.iter().all(free) {
            return Ok(None);
        }
        let stock = self.stock();
        let mut sums: Vec<Counts> = vec![0];
        for point in &self.choices {
            let mut next = Vec::with_capacity(sums.len() * point.len());
            for &k in &sums {
                for choice in point {
                    if fits(choice.counts, stock) && fits(k + choice.counts, stock) {
                        next.push(k + choice.counts);
                    }
                }
            }
            self.steps += next.len() as u64;
            next.sort_unstable();
            next.dedup();
            too_many("combinations of weights", next.len(), self.limits.max_list)?;
            sums = next;
        }
        Ok(Some(sums))
    }

    /// Stock of each size, as many as could ever hang.
    fn stock(&self) -> Counts {
        self.problem
            .sizes
            .iter()
            .enumerate()
            .fold(0, |k, (s, size)| {
                k | (Counts::from(size.stock.min(COUNT_MAX)) << (8 * s))
            })
    }

    /// Stage 1: all totals with the best net, with their mass.
    fn best_nets(
        &mut self,
        reach: Option<&Vec<Counts>>,
    ) -> Result<Vec<(i64, Counts)>, SolverError> {
        let problem = self.problem;
        let room: i64 = problem.points.iter().map(|p| i64::from(p.capacity)).sum();
        let mut order: Vec<usize> = (0..problem.sizes.len())
            .filter(|&s| problem.sizes[s].stock > 0)
            .collect();
        // Strongest first, so that the bounds of what is left tighten quickly.
        order.sort_by_key(|&s| (-problem.sizes[s].force.abs(), s));
        let mut nets = Nets {
            sizes: &problem.sizes,
            order: &order,
            reach,
            tolerance: problem.net_tolerance,
            best: i64::MAX / 4,
            found: Vec::new(),
            steps: 0,
            max_found: self.limits.max_list,
            max_steps: self.limits.max_steps,
        };
        nets.go(0, problem.net - problem.target, room, 0, 0);
        self.steps += nets.steps;
        if nets.steps > self.limits.max_steps {
            return Err(SolverError::TooLarge {
                what: "combinations of weights to try for the net force",
                value: nets.steps,
                max: self.limits.max_steps,
            });
        }
        let what = "combinations of weights with the same net force";
        too_many(what, nets.found.len(), self.limits.max_list)?;
        Ok(nets.found)
    }

    /// Three sets of points: enumerated outside, and two halves of about equal lists.
    #[allow(clippy::type_complexity)]
    fn split(
        &self,
        most: Counts,
        totals: usize,
    ) -> Result<(Vec<usize>, Vec<usize>, Vec<usize>), SolverError> {
        // Points at the same place go together, so that their sums fall together.
        let mut order: Vec<usize> = (0..self.problem.points.len())
            .filter(|&i| self.choices[i].len() > 1)
            .collect();
        order.sort_by_key(|&i| (self.problem.points[i].x, self.problem.points[i].y, i));
        let limit = self.limits.max_list as u64;
        let prefix = self.list_sizes(order.iter(), most);
        let suffix = self.list_sizes(order.iter().rev(), most);
        let n = order.len();
        // prefix[h] is the length of the list of the first h points, suffix[t] of the last t. What lies
        // between is enumerated outside: each of its placements costs a walk of both lists, but a
        // point outside makes the lists, and so the work of ordering them, several times shorter.
        let mut cheapest: Option<(u64, usize, usize)> = None;
        for (h, &first) in prefix.iter().enumerate().take(n + 1) {
            let mut outside: u64 = 1;
            for t in (0..=n - h).rev() {
                let lists = first.saturating_add(suffix[t]);
                if first <= limit && suffix[t] <= limit {
                    let walks = outside.saturating_mul(totals as u64);
                    let cost = lists.saturating_mul(ORDERING_COST.saturating_add(walks));
                    if cheapest.is_none_or(|c| cost < c.0) {
                        cheapest = Some((cost, h, t));
                    }
                }
                if t > 0 {
                    outside = outside.saturating_mul(self.choices[order[n - t]].len() as u64);
                }
            }
        }
        let Some((_, head, tail)) = cheapest else {
            return Ok((Vec::new(), Vec::new(), order));
        };
        let second = order.split_off(n - tail);
        let outer = order.split_off(head);
        Ok((outer, order, second))
    }

    /// Lengths of the lists of no point, the first, the first two, …; duplicates not taken off.
    fn list_sizes<'p>(&self, points: impl Iterator<Item = &'p usize>, most: Counts) -> Vec<u64> {
        let mut now: Vec<(Counts, u64)> = vec![(0, 1)];
        let mut lengths = vec![1];
        let limit = self.limits.max_list;
        for &i in points {
            let mut next: Vec<(Counts, u64)> = Vec::new();
            for &(k, n) in &now {
                for c in &self.choices[i] {
                    if fits(c.counts, most) && fits(k + c.counts, most) {
                        next.push((k + c.counts, n));
                    }
                }
                if next.len() > limit {
                    break;
                }
            }
            // Longer than the limit is of no use, and with more points it gets no shorter.
            let total = next.iter().fold(0u64, |t, &(_, n)| t.saturating_add(n));
            if total > limit as u64 {
                lengths.resize(self.problem.points.len() + 1, u64::MAX);
                break;
            }
            lengths.push(total);
            next.sort_unstable_by_key(|&(k, _)| k);
            next.dedup_by(|b, a| {
                let same = a.0 == b.0;
                if same {
                    a.1 = a.1.saturating_add(b.1);
                }
                same
            });
            now = next;
        }
        lengths
    }

    /// Lists of partial placements of these points, by counts, sorted and without duplicates.
    fn groups(
        &mut self,
        points: &[usize],
        most: Counts,
        swap: bool,
    ) -> Result<Vec<Group>, SolverError> {
        let mut now: Vec<(Counts, Vec<Part>)> = vec![(0, vec![Part { p: 0, r: 0, tag: 0 }])];
        let mut codes: u64 = 1;
        for &i in points {
            let point = self.problem.points[i];
            let (x, y) = if swap {
                (point.y, point.x)
            } else {
                (point.x, point.y)
            };
            let choices = &self.choices[i];
            codes = codes.saturating_mul(choices.len() as u64);
            if codes > CODE_MASK {
                return Err(SolverError::TooLarge {
                    what: "ways to fill half of the mounting points",
                    value: codes,
                    max: CODE_MASK,
                });
            }
            // Which (old list, choice) make which new list.
            let mut sources: Vec<(Counts, usize, usize)> = Vec::new();
            for (g, (k, _)) in now.iter().enumerate() {
                for (o, c) in choices.iter().enumerate() {
                    if fits(c.counts, most) && fits(k + c.counts, most) {
                        sources.push((k + c.counts, g, o));
                    }
                }
                // Each makes at least one partial placement. Can be too many with the points outside
                // only: the two halves' lengths were counted before.
                too_many("partial placements", sources.len(), self.limits.max_list)?;
            }
            sources.sort_unstable();
            let mut next: Vec<(Counts, Vec<Part>)> = Vec::new();
            let mut start = 0;
            while start < sources.len() {
                let k = sources[start].0;
                let end = start + sources[start..].iter().take_while(|s| s.0 == k).count();
                let total: usize = sources[start..end].iter().map(|s| now[s.1].1.len()).sum();
                let mut list = Vec::with_capacity(total);
                for &(_, g, o) in &sources[start..end] {
                    let c = choices[o];
                    let (dp, dr) = (c.force * x, c.force * y);
                    let changes = u64::from(c.changes) << CODE_BITS;
                    list.extend(now[g].1.iter().map(|part| {
                        let code = (part.tag & CODE_MASK) * choices.len() as u64 + o as u64;
                        let tag = (part.tag & !CODE_MASK) + changes + code;
                        Part {
                            p: part.p + dp,
                            r: part.r + dr,
                            tag,
                        }
                    }));
                }
                self.steps += total as u64;
                order(&mut list);
                next.push((k, list));
                start = end;
            }
            let total: usize = next.iter().map(|(_, list)| list.len()).sum();
            too_many("partial placements", total, self.limits.max_list)?;
            now = next;
        }
        Ok(now
            .into_iter()
            .map(|(counts, parts)| {
                let mut extent = Extent::EMPTY;
                let mut fewest_changes = u32::MAX;
                for part in &parts {
                    extent.add(part.p, part.r);
                    fewest_changes = fewest_changes.min(part.changes());
                }
                Group {
                    counts,
                    parts,
                    extent,
                    fewest_changes,
                }
            })
            .collect())
    }

    /// Walks two lists against each other. False when the steps have run out.
    fn pair(
        &mut self,
        (outer, a, b): (&Part, &Group, &Group),
        (p0, r0): (i64, i64),
        mass: i64,
        best: &mut Best,
    ) -> bool {
        let tolerance = self.problem.level_tolerance;
        let fewest = outer.changes() + a.fewest_changes + b.fewest_changes;
        // A tie helps only at the same mass and with fewer changes.
        let window = |best: &Best, fewest: u32| {
            let tie = mass == best.mass && fewest < best.changes;
            best.level - i64::from(!tie) + if best.level > 0 || tie { tolerance } else { 0 }
        };
        let mut w = window(best, fewest);
        if w < 0 || a.extent.least_sum(&b.extent, p0, r0) > w {
            return true;
        }
        let list = &b.parts;
        let mut j = list.len();
        for part in &a.parts {
            let (qp, qr) = (-(p0 + part.p), -(r0 + part.r));
            while j > 0 && list[j - 1].p >= qp {
                j -= 1;
                self.steps += 1;
            }
            let changes = outer.changes() + part.changes();
            // How far this lies beyond the other list's range of r is spent already.
            let spent = (b.extent.lo[1] - qr).max(qr - b.extent.hi[1]).max(0);
            if spent > w {
                continue;
            }
            let mut look = |other: &Part, w: &mut i64| {
                let off = (other.p - qp).abs() + (other.r - qr).abs();
                if off <= *w {
                    let level = (off - tolerance).max(0);
                    let total = changes + other.changes();
                    if (level, mass, total) < (best.level, best.mass, best.changes) {
                        *best = Best {
                            level,
                            mass,
                            changes: total,
                            codes: Some((
                                outer.tag & CODE_MASK,
                                part.tag & CODE_MASK,
                                other.tag & CODE_MASK,
                            )),
                        };
                        *w = window(best, fewest);
                    }
                }
            };
            let mut seen = 1;
            for other in &list[j..] {
                if other.p - qp > w - spent {
                    break;
                }
                seen += 1;
                look(other, &mut w);
            }
            for other in list[..j].iter().rev() {
                if qp - other.p > w - spent {
                    break;
                }
                seen += 1;
                look(other, &mut w);
            }
            self.steps += seen;
            if self.steps > self.limits.max_steps && best.codes.is_some() {
                return false;
            }
            if w < 0 {
                return true;
            }
        }
        true
    }

    fn decode(&self, points: &[usize], mut code: u64, placement: &mut [Vec<u32>]) {
        for &i in points.iter().rev() {
            let n = self.choices[i].len() as u64;
            let choice = self.choices[i][(code % n) as usize];
            code /= n;
            for (s, count) in placement[i].iter_mut().enumerate() {
                *count = count_of(choice.counts, s);
            }
        }
    }
}

/// Puts partial placements in order of their moments and drops all but the fewest changes of those
/// with the same moments.
fn order(list: &mut Vec<Part>) {
    // Each source is in order already and the stable sort merges such runs; comparing one number only
    // halves its time. Equal ones are put in order after.
    list.sort_by_key(|part| part.p);
    for run in list.chunk_by_mut(|a, b| a.p == b.p) {
        if run.len() > 1 {
            run.sort_unstable();
        }
    }
    list.dedup_by(|b, a| a.p == b.p && a.r == b.r);
}

fn bytewise_max(a: Counts, b: Counts) -> Counts {
    (0..SIZES_MAX).fold(0, |k, s| {
        k | (Counts::from(count_of(a, s).max(count_of(b, s))) << (8 * s))
    })
}

/// Stage 1: depth first over the sizes.
struct Nets<'a> {
    sizes: &'a [Size],
    order: &'a [usize],
    reach: Option<&'a Vec<Counts>>,
    tolerance: i64,
    best: i64,
    found: Vec<(i64, Counts)>,
    steps: u64,
    max_found: usize,
    max_steps: u64,
}

impl Nets<'_> {
    fn go(&mut self, depth: usize, off: i64, room: i64, mass: i64, k: Counts) {
        self.steps += 1;
        if self.found.len() > self.max_found || self.steps > self.max_steps {
            return;
        }
        let Some(&s) = self.order.get(depth) else {
            self.take(off, mass, k);
            return;
        };
        // The nearest that the sizes left can come to the target.
        let (mut lo, mut hi) = (0, 0);
        for &t in &self.order[depth..] {
            let most = i64::from(self.sizes[t].stock.min(COUNT_MAX)).min(room);
            lo += (self.sizes[t].force * most).min(0);
            hi += (self.sizes[t].force * most).max(0);
        }
        let nearest = (off + lo).max(-(off + hi)).max(0);
        if nearest - self.tolerance > self.best {
            return;
        }
        let size = self.sizes[s];
        let most = i64::from(size.stock.min(COUNT_MAX)).min(room);
        let (mut from, mut to) = (0, most);
        if depth + 1 == self.order.len() && size.force != 0 {
            // The last size: only counts within the best so far, or the two beside the exact one.
            let exact = -off / size.force;
            let near = self.best.saturating_add(self.tolerance).min(NET_MAX * 8);
            let span = near / size.force.abs() + 1;
            from = from.max((exact - span).min(most));
            to = to.min((exact + span).max(0));
        }
        for c in from..=to {
            self.go(
                depth + 1,
                off + c * size.force,
                room - c,
                mass + c * size.mass,
                k + (Counts::from(c.unsigned_abs()) << (8 * s)),
            );
        }
    }

    fn take(&mut self, off: i64, mass: i64, k: Counts) {
        let value = (off.abs() - self.tolerance).max(0);
        if value > self.best || self.reach.is_some_and(|r| r.binary_search(&k).is_err()) {
            return;
        }
        if value < self.best {
            self.best = value;
            self.found.clear();
        }
        self.found.push((mass, k));
    }
}

/// What a placement gives, whether or not it respects stock and capacities. Proof is
/// [`Proof::StoppedEarly`], as nothing was searched. Rows and columns beyond the problem's are ignored.
#[must_use]
pub fn evaluate(problem: &Problem, placement: &[Vec<u32>]) -> Solution {
    let (mut net, mut pitch, mut roll, mut mass) = (problem.net, problem.pitch, problem.roll, 0);
    let mut changes = 0;
    for (i, (point, row)) in problem.points.iter().zip(placement).enumerate() {
        for (s, (size, &count)) in problem.sizes.iter().zip(row).enumerate() {
            let force = size.force * i64::from(count);
            net += force;
            pitch += force * point.x;
            roll += force * point.y;
            mass += size.mass * i64::from(count);
            changes += problem
                .hanging
                .get(i)
                .and_then(|now| now.get(s))
                .map_or(0, |&c| c)
                .abs_diff(count);
        }
    }
    Solution {
        placement: placement.to_vec(),
        net,
        pitch,
        roll,
        mass,
        off_target: (net - problem.target).abs(),
        off_level: pitch.abs() + roll.abs(),
        changes,
        proof: Proof::StoppedEarly,
        steps: 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every placement, by odometer over each point's options: nothing shared with the search but
    /// [`evaluate`].
    fn brute(problem: &Problem) -> (i64, i64, i64, u32) {
        let n = problem.sizes.len();
        let mut best = (i64::MAX, i64::MAX, i64::MAX, u32::MAX);
        let mut placement = vec![vec![0u32; n]; problem.points.len()];
        fn go(
            problem: &Problem,
            at: usize,
            placement: &mut Vec<Vec<u32>>,
            best: &mut (i64, i64, i64, u32),
        ) {
            let n = problem.sizes.len();
            if at == problem.points.len() * n {
                for (s, size) in problem.sizes.iter().enumerate() {
                    if placement.iter().map(|row| row[s]).sum::<u32>() > size.stock {
                        return;
                    }
                }
                let got = evaluate(problem, placement);
                let key = (
                    (got.off_target - problem.net_tolerance).max(0),
                    (got.off_level - problem.level_tolerance).max(0),
                    got.mass,
                    got.changes,
                );
                *best = (*best).min(key);
                return;
            }
            let (i, s) = (at / n, at % n);
            let point = problem.points[i];
            for c in 0..=problem.sizes[s].stock {
                placement[i][s] = c;
                let row = &placement[i];
                let mass: i64 = row
                    .iter()
                    .zip(&problem.sizes)
                    .map(|(&c, z)| i64::from(c) * z.mass)
                    .sum();
                if row.iter().sum::<u32>() > point.capacity
                    || point.max_mass.is_some_and(|m| mass > m)
                {
                    break;
                }
                go(problem, at + 1, placement, best);
            }
            placement[i][s] = 0;
        }
        go(problem, 0, &mut placement, &mut best);
        best
    }

    fn key(problem: &Problem, got: &Solution) -> (i64, i64, i64, u32) {
        (
            (got.off_target - problem.net_tolerance).max(0),
            (got.off_level - problem.level_tolerance).max(0),
            got.mass,
            got.changes,
        )
    }

    fn respects(problem: &Problem, got: &Solution) -> bool {
        let stock = problem
            .sizes
            .iter()
            .enumerate()
            .all(|(s, size)| got.placement.iter().map(|row| row[s]).sum::<u32>() <= size.stock);
        let points = problem
            .points
            .iter()
            .zip(&got.placement)
            .all(|(point, row)| {
                let mass: i64 = row
                    .iter()
                    .zip(&problem.sizes)
                    .map(|(&c, z)| i64::from(c) * z.mass)
                    .sum();
                row.iter().sum::<u32>() <= point.capacity
                    && point.max_mass.is_none_or(|m| mass <= m)
            });
        stock && points
    }

    fn problems() -> impl Strategy<Value = Problem> {
        // Coarse numbers on purpose in half of the cases: ties are where exactness is hard.
        (1i64..=40, 1usize..=3, 1usize..=4).prop_flat_map(|(grain, sizes, points)| {
            let size = (-6i64..=3, 1i64..=6, 0u32..=3).prop_map(move |(f, mass, stock)| Size {
                force: f * grain,
                mass,
                stock,
            });
            let point = (-4i64..=4, -3i64..=3, 0u32..=2, prop::option::of(0i64..=9)).prop_map(
                move |(x, y, capacity, max_mass)| Point {
                    x: x * grain,
                    y,
                    capacity,
                    max_mass,
                },
            );
            (
                (-30i64..=30, -400i64..=400, -400i64..=400),
                (-6i64..=6, 0i64..=5, 0i64..=30, prop::bool::ANY),
                prop::collection::vec(size, sizes),
                prop::collection::vec(point, points),
                prop::collection::vec(prop::collection::vec(0u32..=2, sizes), points),
            )
                .prop_map(
                    move |(
                        base,
                        (target, net_tolerance, level_tolerance, strict),
                        sizes,
                        points,
                        hanging,
                    )| {
                        Problem {
                            net: base.0 * grain,
                            pitch: base.1,
                            roll: base.2,
                            target: target * grain,
                            net_tolerance: if strict { 0 } else { net_tolerance * grain },
                            level_tolerance: if strict { 0 } else { level_tolerance },
                            sizes,
                            points,
                            hanging,
                        }
                    },
                )
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        #[test]
        fn equals_trying_every_placement(problem in problems()) {
            match solve(&problem) {
                Ok(got) => {
                    prop_assert_eq!(got.proof, Proof::Optimal);
                    prop_assert!(respects(&problem, &got), "{:?}", got);
                    prop_assert_eq!(key(&problem, &got), brute(&problem));
                    prop_assert_eq!(&evaluate(&problem, &got.placement).net, &got.net);
                }
                Err(SolverError::EmptyBox { .. }) => {
                    prop_assert!(problem.sizes.iter().all(|s| s.stock == 0));
                }
                Err(SolverError::NoPoint { .. }) => {
                    prop_assert!(problem.points.iter().all(|p| p.capacity == 0));
                }
                Err(e) => prop_assert!(false, "{e}"),
            }
        }

        /// The path for boxes too large for two lists gives the same optimum.
        #[test]
        fn small_lists_give_the_same(problem in problems()) {
            let tight = Limits { max_list: 40, max_steps: u64::MAX };
            if let (Ok(a), Ok(b)) = (solve(&problem), solve_within(&problem, tight)) {
                prop_assert_eq!(key(&problem, &a), key(&problem, &b));
                prop_assert!(respects(&problem, &b));
            }
        }

        #[test]
        fn order_of_points_and_sizes_does_not_matter(problem in problems()) {
            let mut other = problem.clone();
            other.points.reverse();
            other.hanging.reverse();
            other.sizes.reverse();
            for row in &mut other.hanging {
                row.reverse();
            }
            if let (Ok(a), Ok(b)) = (solve(&problem), solve(&other)) {
                prop_assert_eq!(key(&problem, &a), key(&other, &b));
            }
        }
    }

    fn simple() -> Problem {
        Problem {
            net: 1000,
            pitch: 0,
            roll: 0,
            target: 0,
            net_tolerance: 0,
            level_tolerance: 0,
            sizes: vec![Size {
                force: -250,
                mass: 275,
                stock: 8,
            }],
            points: vec![
                Point {
                    x: 100,
                    y: 50,
                    capacity: 2,
                    max_mass: None,
                },
                Point {
                    x: 100,
                    y: -50,
                    capacity: 2,
                    max_mass: None,
                },
                Point {
                    x: -100,
                    y: 50,
                    capacity: 2,
                    max_mass: None,
                },
                Point {
                    x: -100,
                    y: -50,
                    capacity: 2,
                    max_mass: None,
                },
            ],
            hanging: vec![],
        }
    }

    #[test]
    fn four_weights_hang_level_and_stay_where_they_hang() {
        let mut problem = simple();
        let first = solve(&problem).unwrap();
        assert_eq!(
            (first.off_target, first.off_level, first.mass),
            (0, 0, 1100)
        );
        // Two on one diagonal is as level as one on each corner: what hangs there stays.
        problem.hanging = vec![vec![2], vec![0], vec![0], vec![2]];
        let again = solve(&problem).unwrap();
        assert_eq!(again.changes, 0);
        assert_eq!(again.placement, problem.hanging);
    }

    #[test]
    fn bad_input_says_what_and_where() {
        let mut p = simple();
        p.sizes[0].stock = 0;
        assert_eq!(
            solve(&p).unwrap_err(),
            SolverError::EmptyBox { off_target: 1000 }
        );
        let mut p = simple();
        p.points.clear();
        assert_eq!(
            solve(&p).unwrap_err(),
            SolverError::NoPoint { off_target: 1000 }
        );
        let mut p = simple();
        p.sizes[0].mass = -3;
        let text = solve(&p).unwrap_err().to_string();
        assert!(text.contains("mass of weight of number 1 is -3"), "{text}");
        let mut p = simple();
        p.points[2].x = POSITION_MAX + 1;
        assert!(solve(&p).unwrap_err().to_string().contains("number 3"));
        let mut p = simple();
        p.hanging = vec![vec![1]];
        assert!(matches!(
            solve(&p).unwrap_err(),
            SolverError::HangingShape {
                rows: 1,
                points: 4,
                ..
            }
        ));
    }

    /// Whatever is asked, the answer or a refusal comes within the bounds: here, seconds of a debug build.
    #[test]
    fn boxes_beyond_reason_are_refused_not_suffered() {
        let limits = Limits {
            max_list: 20_000,
            max_steps: 2_000_000,
        };
        for (sizes, stock, points, capacity) in [
            (16, 60, 40, 10),
            (16, 1, 40, 10),
            (3, 60, 6, 60),
            (8, 10, 14, 3),
            (2, 60, 40, 10),
        ] {
            let problem = Problem {
                net: 9_000_000,
                pitch: 1234,
                roll: -777,
                target: 0,
                net_tolerance: 50,
                level_tolerance: 0,
                sizes: (0..sizes)
                    .map(|i| Size {
                        force: -1000 * (i + 1),
                        mass: 1100 * (i + 1),
                        stock,
                    })
                    .collect(),
                points: (0..points)
                    .map(|i| Point {
                        x: i * i * 37 - 400,
                        y: 300 - i * 29,
                        capacity,
                        max_mass: None,
                    })
                    .collect(),
                hanging: vec![],
            };
            let start = std::time::Instant::now();
            match solve_within(&problem, limits) {
                Ok(got) => assert!(respects(&problem, &got)),
                Err(e) => assert!(matches!(e, SolverError::TooLarge { .. }), "{e}"),
            }
            assert!(
                start.elapsed().as_secs() < 20,
                "{sizes} sizes, {points} points"
            );
        }
    }

    #[test]
    fn running_out_of_steps_is_said() {
        let mut p = simple();
        p.pitch = 12_345;
        p.sizes.push(Size {
            force: -137,
            mass: 150,
            stock: 8,
        });
        let got = solve_within(
            &p,
            Limits {
                max_list: 500_000,
                max_steps: 60,
            },
        )
        .unwrap();
        assert_eq!(got.proof, Proof::StoppedEarly);
        assert_eq!(got.off_target, solve(&p).unwrap().off_target);
    }
}
