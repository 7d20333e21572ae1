//! How the rig hangs in the water, and what to hang on it.
//!
//! Axes of the rig: x forward, y to starboard, z up, from an origin that the crew picks and keeps (say,
//! the middle of the front plate's foot). Positive pitch is nose up, positive roll is starboard side
//! down. Positive net force floats.
//!
//! - [`Part`], [`weigh`]: what a part weighs and displaces, from a data sheet or a scale.
//! - [`Model`], [`balance`]: net force, centres, attitude at rest, righting moment, all with uncertainty.
//! - [`solver`]: the exact choice of weights, in integers. [`plan`]: the same for a rig.
//! - [`compare`]: what changes between two waters, lenses, batteries or boxes.
//! - [`learn`]: what an observation in the water says about the parts.
//!
//! What this leaves out: thermal expansion of the housing (an aluminium housing of 10 L shrinks by about
//! 7 mL over 10 K, which is 7 gf), its squeeze by depth, air trapped under covers, drag, and current.

mod balance;
mod learn;
mod part;
mod plan;
mod quantity;
pub mod solver;
mod whatif;

pub use balance::{
    Aim, Attitude, Balance, HungWeight, Surroundings, WeighGain, balance, weigh_next,
};
pub use learn::{LearnError, Learned, Observation, PartChange, Seen, learn};
pub use part::{
    Compression, MassVolume, Model, PARAMETERS, Part, PartError, Reading, Weighing, weigh,
};
pub use plan::{
    Acceptable, Change, Limit, MountingPoint, Plan, PlanError, Request, Shortfall, WeightSize,
    hung, plan, plan_towards, problem,
};
pub use quantity::{Count, Of, Quantity};
pub use whatif::{Cause, CompareError, Difference, Missing, compare};

/// A value and its standard uncertainty (1 sd), in the unit of the field that holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// 1 sd.
    pub sd: f64,
}

/// Avoirdupois ounce, kg (exact by the 1959 international agreement).
pub const OUNCE_KG: f64 = 0.028_349_523_125;

/// Newtons to gram-force (exact: standard gravity).
#[must_use]
pub fn gram_force(newtons: f64) -> f64 {
    newtons / crate::water::STANDARD_GRAVITY_M_S2 * 1000.0
}

/// Newtons to ounce-force.
#[must_use]
pub fn ounce_force(newtons: f64) -> f64 {
    newtons / crate::water::STANDARD_GRAVITY_M_S2 / OUNCE_KG
}

#[cfg(test)]
mod tests {
    use super::solver::{Limits, SolverError};
    use super::*;
    use crate::water::{Density, STANDARD_GRAVITY_M_S2 as G};
    use proptest::prelude::*;

    pub(super) fn part(name: &str, mass_kg: f64, volume_m3: f64) -> Part {
        Part {
            name: name.into(),
            mass_kg: Estimate {
                value: mass_kg,
                sd: 0.0,
            },
            volume_m3: Estimate {
                value: volume_m3,
                sd: 0.0,
            },
            mass_volume_cov: 0.0,
            mass_centre_m: [0.0; 3],
            mass_centre_sd_m: 0.0,
            volume_centre_m: [0.0; 3],
            volume_centre_sd_m: 0.0,
            compression: Compression::Rigid,
        }
    }

    fn water(kg_m3: f64) -> Surroundings {
        Surroundings {
            density: Density {
                kg_m3,
                sd_kg_m3: 0.0,
            },
            sea_pressure_pa: 0.0,
        }
    }

    fn rests(b: &Balance) -> (f64, f64) {
        match b.attitude {
            Attitude::Rests { pitch, roll, .. } => (pitch.value, roll.value),
            Attitude::Indifferent => (f64::NAN, f64::NAN),
        }
    }

    fn parts() -> impl Strategy<Value = Vec<Part>> {
        let at = || prop::array::uniform3(-0.25..0.25f64);
        let one = (
            0.1..6.0f64,
            1e-4..6e-3f64,
            at(),
            at(),
            0.0..0.1f64,
            0.0..1e-4f64,
            0.0..0.02f64,
        );
        prop::collection::vec(one, 1..6).prop_map(|all| {
            all.into_iter()
                .enumerate()
                .map(|(i, (m, v, cm, cv, msd, vsd, csd))| {
                    let mut p = part(&format!("part {i}"), m, v);
                    (p.mass_kg.sd, p.volume_m3.sd) = (msd, vsd);
                    (p.mass_centre_m, p.volume_centre_m) = (cm, cv);
                    (p.mass_centre_sd_m, p.volume_centre_sd_m) = (csd, csd / 2.0);
                    p
                })
                .collect()
        })
    }

    fn close(a: f64, b: f64, tolerance: f64) -> bool {
        (a - b).abs() <= tolerance * (1.0 + a.abs().max(b.abs()))
    }

    proptest! {
        #[test]
        fn moving_the_origin_changes_nothing(all in parts(), by in prop::array::uniform3(-0.5..0.5f64)) {
            let mut moved = all.clone();
            for p in &mut moved {
                for (a, shift) in by.iter().enumerate() {
                    p.mass_centre_m[a] += shift;
                    p.volume_centre_m[a] += shift;
                }
            }
            let w = water(1025.0);
            let (a, b) = (
                balance(&Model::new(all).unwrap(), &[], &w).unwrap(),
                balance(&Model::new(moved).unwrap(), &[], &w).unwrap(),
            );
            prop_assert!(close(a.net_n.value, b.net_n.value, 1e-12));
            prop_assert!(close(a.net_n.sd, b.net_n.sd, 1e-9));
            let ((pa, ra), (pb, rb)) = (rests(&a), rests(&b));
            prop_assume!(a.centre_distance_m.value > 1e-3 && pa.abs() < 1.4);
            prop_assert!(close(pa, pb, 1e-9) && close(ra, rb, 1e-9), "{pa} {pb} {ra} {rb}");
            prop_assert!(close(a.righting_n_m.value, b.righting_n_m.value, 1e-9));
            prop_assert!(close(a.righting_n_m.sd, b.righting_n_m.sd, 1e-7));
            for (k, by) in by.iter().enumerate() {
                let shift = b.centre_of_mass_m[k].value - a.centre_of_mass_m[k].value;
                prop_assert!((shift - by).abs() < 1e-12);
            }
        }

        /// A neutral part adds no force and no moment about any point. The attitude adrift is about the
        /// centre of mass, which the part may move, so it stays only if the rig itself is neutral.
        #[test]
        fn a_neutral_part_changes_nothing(mut all in parts(), m in 0.1..3.0f64, at in prop::array::uniform3(-0.2..0.2f64)) {
            let rho = 1025.0;
            let w = water(rho);
            let volume: f64 = all.iter().map(|p| p.volume_m3.value).sum();
            let mass: f64 = all.iter().map(|p| p.mass_kg.value).sum();
            for p in &mut all {
                p.mass_kg.value *= volume * rho / mass;
            }
            let mut neutral = part("neutral", m, m / rho);
            (neutral.mass_centre_m, neutral.volume_centre_m) = (at, at);
            let a = balance(&Model::new(all.clone()).unwrap(), &[], &w).unwrap();
            all.push(neutral);
            let b = balance(&Model::new(all).unwrap(), &[], &w).unwrap();
            prop_assert!((a.net_n.value - b.net_n.value).abs() < 1e-9);
            prop_assert!(close(a.righting_n_m.value, b.righting_n_m.value, 1e-9));
            let ((pa, ra), (pb, rb)) = (rests(&a), rests(&b));
            prop_assume!(a.centre_distance_m.value > 1e-3 && pa.abs() < 1.4);
            prop_assert!(close(pa, pb, 1e-8) && close(ra, rb, 1e-8));
        }

        #[test]
        fn from_fresh_to_sea_is_volume_times_density_difference(all in parts(), fresh in 995.0..1000.0f64, sea in 1010.0..1030.0f64) {
            let volume: f64 = all.iter().map(|p| p.volume_m3.value).sum();
            let model = Model::new(all).unwrap();
            let a = balance(&model, &[], &water(fresh)).unwrap();
            let b = balance(&model, &[], &water(sea)).unwrap();
            let shift = volume * (sea - fresh) * G;
            prop_assert!((b.net_n.value - a.net_n.value - shift).abs() < 1e-9);
        }

        /// The slopes behind every uncertainty, against finite differences: one unknown at a time.
        #[test]
        fn uncertainties_are_slopes_times_sd(all in parts(), which in 0usize..8, who in 0usize..6) {
            let who = who % all.len();
            let mut one = all.clone();
            for p in &mut one {
                (p.mass_kg.sd, p.volume_m3.sd) = (0.0, 0.0);
                (p.mass_centre_sd_m, p.volume_centre_sd_m) = (0.0, 0.0);
            }
            let step = [1e-5, 1e-8, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6][which];
            let w = water(1025.0);
            let turned = |by: f64| {
                let mut q = one.clone();
                match which {
                    0 => q[who].mass_kg.value += by,
                    1 => q[who].volume_m3.value += by,
                    2..=4 => q[who].mass_centre_m[which - 2] += by,
                    _ => q[who].volume_centre_m[which - 5] += by,
                }
                balance(&Model::new(q).unwrap(), &[], &w).unwrap()
            };
            let (lo, hi) = (turned(-step), turned(step));
            let mut model = Model::new(one.clone()).unwrap();
            let n = model.unknowns();
            let k = who * PARAMETERS + which;
            model.covariance[k * n + k] = step * step;
            let b = balance(&model, &[], &w).unwrap();
            prop_assume!(b.centre_distance_m.value > 5e-3);
            prop_assume!(rests(&b).0.abs() < 1.3 && rests(&b).1.abs() < 3.0);
            let half = |f: &dyn Fn(&Balance) -> f64| ((f(&hi) - f(&lo)) / 2.0).abs();
            let sd = |b: &Balance| match b.attitude {
                Attitude::Rests { pitch, roll, .. } => (pitch.sd, roll.sd),
                Attitude::Indifferent => (f64::NAN, f64::NAN),
            };
            let near = |a: f64, b: f64| (a - b).abs() < 1e-9 + 1e-4 * b.abs();
            prop_assert!(near(half(&|b| b.net_n.value), b.net_n.sd));
            prop_assert!(near(half(&|b| rests(b).0), sd(&b).0));
            prop_assert!(near(half(&|b| rests(b).1), sd(&b).1));
            prop_assert!(near(half(&|b| b.centre_distance_m.value), b.centre_distance_m.sd));
        }

        /// Any attitude, upside down included: the centre of buoyancy is put where a known rotation
        /// says, and the rotation must come out.
        #[test]
        fn full_rotations_are_found(pitch in -1.5..1.5f64, roll in -3.1..3.1f64, d in 0.001..0.2f64) {
            let mut p = part("A", 2.0, 0.002);
            p.volume_centre_m =
                [d * pitch.sin(), -d * pitch.cos() * roll.sin(), d * pitch.cos() * roll.cos()];
            let b = balance(&Model::new(vec![p]).unwrap(), &[], &water(1000.0)).unwrap();
            let (found_pitch, found_roll) = rests(&b);
            prop_assert!((found_pitch - pitch).abs() < 1e-9 && (found_roll - roll).abs() < 1e-9);
            prop_assert!(close(b.righting_n_m.value, 2.0 * G * d, 1e-12));
            prop_assert!((b.righting_at(0.0)).abs() < 1e-15);
        }

        #[test]
        fn learning_what_was_measured_moves_the_model_there(all in parts(), off in -0.5..0.5f64) {
            let mut all = all;
            all[0].mass_kg.sd = all[0].mass_kg.sd.max(0.05);
            let model = Model::new(all).unwrap();
            let w = water(1025.0);
            let a = balance(&model, &[], &w).unwrap();
            prop_assume!(off.abs() < 3.0 * a.net_n.sd);
            let value_n = a.net_n.value + off;
            let sd_n = 0.02;
            let seen = vec![Seen::Net { value_n, sd_n }];
            let got = match learn(&model, &Observation { water: w, hung: vec![], seen }) {
                Ok(got) => got,
                // A part guessed so badly that it would have to weigh nothing.
                Err(LearnError::Impossible { .. }) => return Ok(()),
                Err(e) => return Err(TestCaseError::fail(e.to_string())),
            };
            let b = balance(&got.model, &[], &w).unwrap();
            // Scalar least squares, worked by hand.
            let (p, s) = (a.net_n.sd.powi(2), sd_n * sd_n);
            prop_assert!(close(b.net_n.value, a.net_n.value + off * p / (p + s), 1e-9));
            prop_assert!(close(b.net_n.sd, (p * s / (p + s)).sqrt(), 1e-6));
            prop_assert!(close(got.surprise, off.abs() / (p + s).sqrt(), 1e-9));
        }
    }

    fn rig() -> Vec<Part> {
        let mut housing = part("Main housing", 9.2, 0.0102);
        housing.mass_kg.sd = 0.01;
        housing.volume_m3.sd = 1e-4;
        housing.volume_centre_m = [0.01, 0.0, 0.03];
        housing.volume_centre_sd_m = 0.01;
        let mut port = part("Port", 1.4, 0.0011);
        (port.mass_centre_m, port.volume_centre_m) = ([0.2, 0.0, 0.0], [0.2, 0.0, 0.0]);
        port.volume_m3.sd = 2e-5;
        let mut monitor = part("Monitor housing", 1.1, 0.00095);
        (monitor.mass_centre_m, monitor.volume_centre_m) = ([0.0, 0.0, 0.2], [0.0, 0.0, 0.21]);
        vec![housing, port, monitor]
    }

    fn corners() -> Vec<MountingPoint> {
        [
            ("Front port", 0.15, -0.12),
            ("Front starboard", 0.15, 0.12),
            ("Rear port", -0.15, -0.12),
            ("Rear starboard", -0.15, 0.12),
        ]
        .map(|(name, x, y)| MountingPoint {
            name: name.into(),
            position_m: [x, y, -0.1],
            capacity: 3,
            max_mass_kg: None,
        })
        .to_vec()
    }

    fn ounces() -> Vec<WeightSize> {
        [4.0, 8.0, 16.0]
            .map(|oz| WeightSize::of_density(&format!("{oz} oz"), oz * OUNCE_KG, 11_340.0, 4))
            .to_vec()
    }

    fn request<'a>(
        model: &'a Model,
        kg_m3: f64,
        sizes: &'a [WeightSize],
        points: &'a [MountingPoint],
        hanging: &'a [Vec<u32>],
    ) -> Request<'a> {
        Request {
            model,
            water: water(kg_m3),
            sizes,
            points,
            hanging,
            target_n: 0.0,
            net_tolerance_n: 0.0,
            level_tolerance_n_m: 0.0,
            acceptable: Acceptable {
                net_n: 0.6,
                angle_rad: 0.05,
            },
            limits: Limits::default(),
        }
    }

    #[test]
    fn from_pool_to_sea_in_words_that_add_up() {
        let (model, sizes, points) = (Model::new(rig()).unwrap(), ounces(), corners());
        let pool = plan(&request(&model, 997.0, &sizes, &points, &[])).unwrap();
        assert!(pool.proven);
        let before = request(&model, 997.0, &sizes, &points, &pool.placement);
        let after = request(&model, 1025.0, &sizes, &points, &pool.placement);
        let d = compare(&before, &after).unwrap();
        // 12.25 L and the weights, 28 kg/m³ more.
        let volume = d.before.volume_m3;
        assert!((d.net_change_n - volume * 28.0 * G).abs() < 1e-9);
        assert!(matches!(d.causes[..], [Cause::Water { .. }]));
        assert!(!d.changes().is_empty());
        assert!(d.plan.after.net_n.value.abs() < d.untouched.net_n.value.abs());

        // Another lens and a lost weight.
        let mut other = rig();
        other[1].mass_kg.value = 1.7;
        other.push(part("Battery pod", 0.8, 0.0007));
        other.remove(2);
        let model2 = Model::new(other).unwrap();
        let mut box2 = sizes.clone();
        box2[2].stock = 0;
        let after = request(&model2, 1025.0, &box2, &points, &pool.placement);
        let d = compare(&before, &after).unwrap();
        let sum: f64 = d
            .causes
            .iter()
            .map(|c| match c {
                Cause::Water { net_n }
                | Cause::Added { net_n, .. }
                | Cause::Removed { net_n, .. }
                | Cause::Altered { net_n, .. }
                | Cause::Weights { net_n } => *net_n,
            })
            .sum();
        assert!(
            (sum - d.net_change_n).abs() < 1e-6,
            "{sum} {}",
            d.net_change_n
        );
        assert_eq!(d.causes.len(), 4);
        let hang: u32 = pool.placement.iter().map(|r| r[2]).sum();
        assert_eq!(
            d.missing.first().map(|m| m.count),
            (hang > 0).then_some(hang)
        );
        assert!(d.plan.placement.iter().all(|r| r[2] == 0));
    }

    #[test]
    fn the_plan_does_not_depend_on_the_origin() {
        let (sizes, points) = (ounces(), corners());
        let model = Model::new(rig()).unwrap();
        let first = plan(&request(&model, 1025.0, &sizes, &points, &[])).unwrap();
        let (mut all, mut there) = (rig(), points.clone());
        for a in 0..3 {
            for p in &mut all {
                p.mass_centre_m[a] += 0.25;
                p.volume_centre_m[a] += 0.25;
            }
            for p in &mut there {
                p.position_m[a] += 0.25;
            }
        }
        let moved = Model::new(all).unwrap();
        let again = plan(&request(&moved, 1025.0, &sizes, &there, &[])).unwrap();
        assert_eq!(first.placement, again.placement);
    }

    #[test]
    fn no_good_trim_says_how_near_and_why() {
        let (model, points) = (Model::new(rig()).unwrap(), corners());
        let few = [WeightSize::of_density("4 oz", 4.0 * OUNCE_KG, 11_340.0, 2)];
        let p = plan(&request(&model, 1025.0, &few, &points, &[])).unwrap();
        assert!(
            p.shortfalls.iter().any(|s| matches!(
                s,
                Shortfall::Net { off_n, limit: Limit::BoxUsedUp } if *off_n > 5.0
            )),
            "{:?}",
            p.shortfalls
        );
        let lots = [WeightSize::of_density("4 oz", 4.0 * OUNCE_KG, 11_340.0, 40)];
        let mut tight = points.clone();
        for t in &mut tight {
            t.capacity = 1;
        }
        let p = plan(&request(&model, 1025.0, &lots, &tight, &[])).unwrap();
        assert!(p.shortfalls.iter().any(|s| matches!(
            s,
            Shortfall::Net {
                limit: Limit::PointsFull,
                ..
            }
        )));
        let floats = [WeightSize {
            name: "Float".into(),
            mass_kg: 0.02,
            volume_m3: 2e-4,
            stock: 4,
        }];
        let p = plan(&request(&model, 1025.0, &floats, &points, &[])).unwrap();
        assert!(p.shortfalls.iter().any(|s| matches!(
            s,
            Shortfall::Net {
                limit: Limit::NothingPullsThatWay,
                ..
            }
        )));
        let coarse = [WeightSize::of_density("5 kg", 5.0, 11_340.0, 4)];
        let p = plan(&request(&model, 1025.0, &coarse, &points, &[])).unwrap();
        assert!(p.shortfalls.iter().any(|s| matches!(
            s,
            Shortfall::Net {
                limit: Limit::Steps,
                ..
            }
        )));
        // All weight at one side: the nose can't be brought down.
        let mut aft = points.clone();
        for t in &mut aft {
            t.position_m[0] = -0.15;
        }
        let p = plan(&request(&model, 1025.0, &ounces(), &aft, &[])).unwrap();
        assert!(
            p.shortfalls.iter().any(|s| matches!(
                s,
                Shortfall::Pitch {
                    limit: Limit::Lever { .. },
                    ..
                }
            )),
            "{:?}",
            p.shortfalls
        );
        let e = plan(&request(&model, 1025.0, &[], &points, &[])).unwrap_err();
        assert!(matches!(e, PlanError::Solver(SolverError::EmptyBox { .. })));
        let bad = [WeightSize {
            name: "Odd".into(),
            mass_kg: -0.1,
            volume_m3: 1e-5,
            stock: 1,
        }];
        let e = plan(&request(&model, 1025.0, &bad, &points, &[]))
            .unwrap_err()
            .to_string();
        assert!(e.contains("mass of Odd is -0.1 kg"), "{e}");
    }

    #[test]
    fn weighing_the_vaguest_part_helps_most() {
        let model = Model::new(rig()).unwrap();
        let w = water(1025.0);
        let gains = weigh_next(&model, &[], &w, Aim::Net, 0.005).unwrap();
        assert_eq!(gains[0].part, 0);
        assert!(gains[0].sd_after < gains[0].sd_now / 3.0);
        assert_eq!(gains[2].part, 2);
        assert!((gains[2].sd_after - gains[2].sd_now).abs() < 1e-12);
        // A part of which nothing is known is as good as the scale after weighing it.
        let mut vague = part("A", 2.0, 0.002);
        (vague.mass_kg.sd, vague.volume_m3.sd) = (1.9, 0.0019);
        let gains =
            weigh_next(&Model::new(vec![vague]).unwrap(), &[], &w, Aim::Net, 0.005).unwrap();
        assert!((gains[0].sd_after / G - 0.005).abs() < 1e-5, "{gains:?}");
    }

    #[test]
    fn nose_up_moves_the_doubtful_centre_and_nothing_sure() {
        let model = Model::new(rig()).unwrap();
        let w = water(1025.0);
        let a = balance(&model, &[], &w).unwrap();
        let seen = vec![
            Seen::Net {
                value_n: a.net_n.value - 0.5,
                sd_n: 0.05,
            },
            Seen::Pitch {
                value_rad: 0.2,
                sd_rad: 0.03,
            },
        ];
        let got = learn(
            &model,
            &Observation {
                water: w,
                hung: vec![],
                seen,
            },
        )
        .unwrap();
        let b = balance(&got.model, &[], &w).unwrap();
        assert!((b.net_n.value - a.net_n.value + 0.5).abs() < 0.05);
        assert!((rests(&b).0 - 0.2).abs() < 0.06, "{:?}", rests(&b));
        assert_eq!(got.changes[2].mass_kg, 0.0);
        assert_eq!(got.changes[2].volume_m3, 0.0);
        assert!(got.changes[0].volume_m3 < 0.0 && got.changes[0].volume_centre_m[0].abs() > 1e-4);
        // What was learnt can be stored and read back, with what it knows of parts together.
        let matrix = got.model.covariance_matrix().to_vec();
        let stored = Model::with_covariance(got.model.parts.clone(), matrix.clone()).unwrap();
        assert_eq!(stored, got.model);
        let short = matrix[1..].to_vec();
        assert!(Model::with_covariance(got.model.parts.clone(), short).is_err());
        let mut odd = matrix;
        odd[1] += 1.0;
        assert!(Model::with_covariance(got.model.parts.clone(), odd).is_err());
        // The old model is untouched, so it is the undo.
        assert_eq!(model, Model::new(rig()).unwrap());
    }

    #[test]
    fn a_direction_is_worth_half_a_distribution() {
        let mut p = part("A", 1.0, 0.001);
        p.mass_kg.sd = 0.1;
        let model = Model::new(vec![p]).unwrap();
        let w = water(1000.0);
        let floated = Observation {
            water: w,
            hung: vec![],
            seen: vec![Seen::Floated],
        };
        let got = learn(&model, &floated).unwrap();
        let b = balance(&got.model, &[], &w).unwrap();
        // Half-normal: mean sd·√(2/π), sd·√(1 − 2/π).
        let sd = 0.1 * G;
        assert!((b.net_n.value - sd * (2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-9);
        assert!((b.net_n.sd - sd * (1.0 - 2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-9);
        // Seen again it tells little; the contrary is a surprise.
        let again = learn(&got.model, &floated).unwrap();
        assert!(again.changes[0].mass_kg.abs() < got.changes[0].mass_kg.abs() / 3.0);
        let sank = Observation {
            seen: vec![Seen::Sank],
            ..floated
        };
        assert!(learn(&got.model, &sank).unwrap().surprise > 1.0);
    }

    #[test]
    fn what_cannot_be_learnt_is_said() {
        let exact = Model::new(vec![part("A", 1.0, 0.001)]).unwrap();
        let w = water(1000.0);
        let see = |seen: Vec<Seen>| Observation {
            water: w,
            hung: vec![],
            seen,
        };
        assert_eq!(
            learn(&exact, &see(vec![])).unwrap_err(),
            LearnError::NothingSeen
        );
        assert_eq!(
            learn(&exact, &see(vec![Seen::Floated])).unwrap_err(),
            LearnError::NothingUncertain
        );
        assert_eq!(
            learn(
                &exact,
                &see(vec![Seen::Net {
                    value_n: 1.0,
                    sd_n: 0.1
                }])
            )
            .unwrap_err(),
            LearnError::NothingUncertain
        );
        assert_eq!(
            learn(&exact, &see(vec![Seen::NoseUp])).unwrap_err(),
            LearnError::NoAttitude
        );
        let e = learn(
            &exact,
            &see(vec![Seen::Net {
                value_n: f64::NAN,
                sd_n: 0.1,
            }]),
        );
        assert!(e.unwrap_err().to_string().contains("net force is NaN"));
        let mut p = part("A", 0.1, 0.0001);
        p.mass_kg.sd = 0.09;
        let model = Model::new(vec![p]).unwrap();
        let e = learn(
            &model,
            &see(vec![Seen::Net {
                value_n: 3.0,
                sd_n: 0.01,
            }]),
        );
        assert!(matches!(
            e.unwrap_err(),
            LearnError::Impossible {
                quantity: Quantity::Mass,
                ..
            }
        ));
    }

    #[test]
    fn foam_loses_lift_with_depth() {
        let mut foam = part("Foam", 0.1, 0.001);
        foam.compression = Compression::GasCells { gas_share: 0.9 };
        let model = Model::new(vec![foam]).unwrap();
        let top = balance(&model, &[], &water(1025.0)).unwrap();
        let deep = Surroundings {
            sea_pressure_pa: 2.0e5,
            ..water(1025.0)
        };
        let b = balance(&model, &[], &deep).unwrap();
        assert!(b.volume_m3 < 0.5 * top.volume_m3 && b.net_n.value < top.net_n.value);
    }
}
