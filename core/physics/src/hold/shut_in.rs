//! What is shut in with the gas, as unknowns of the fit: a camera's warmth, what desiccant takes.
//!
//! Each is an amount that dies away (or grows: the same with the other sign and another level), and
//! neither the amount nor the time constant is known, only their bounds. A fit on both would not be
//! linear. Instead a [`Family`] spans the courses of all time constants by a few, in which each is a
//! point; what an amount within its bounds and a time constant within a stretch of its own may be is
//! a normal distribution there ([`Block`]), and the evidence chooses among the stretches. The bounds
//! themselves are those of [`super::inside`].

use super::inside::{
    CAMERA_LAG_S, CAMERA_UNSEEN_K, CAMERA_WARMS_K, PACKS_LAG_S, UNSAID_CAMERA, UNSAID_PACKS,
};
use super::linear::Factor;
use super::{Camera, Desiccant, HoldInput, TemperatureSource};

/// An amount that is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Amount {
    None,
    /// Anywhere between the two.
    Between(f64, f64),
    /// About nothing, with this spread (1 sd).
    About(f64),
}

impl Amount {
    /// Mean, spread (1 sd) and bounds. The spread of a bounded one is wider than its own: what lies
    /// beyond the bounds is cut off afterwards, which leaves all within them about as likely.
    fn normal(self) -> Option<Normal> {
        match self {
            Self::None => None,
            Self::Between(low, high) => Some(Normal {
                mean: 0.5 * (low + high),
                sd: (0.5 * (high - low)).max(1e-3),
                bounds: Some((low, high)),
            }),
            Self::About(sd) => Some(Normal {
                mean: 0.0,
                sd,
                bounds: None,
            }),
        }
    }

    /// Root mean square of the normal one, 0 for none.
    fn rms(self) -> f64 {
        self.normal().map_or(0.0, |n| n.mean.hypot(n.sd))
    }
}

/// An amount as a normal distribution, cut off at its bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Normal {
    mean: f64,
    sd: f64,
    bounds: Option<(f64, f64)>,
}

/// One number for each course.
pub(super) type Courses = [f64; COURSES];

/// What an amount and its time constant may be, as a normal distribution of the courses' unknowns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Block {
    pub mean: Courses,
    /// Inverse of the covariance.
    pub precision: [Courses; COURSES],
    /// Logarithm of the covariance's determinant.
    pub ln_det: f64,
    /// Bounds of the amount, which is the first unknown, and how much of the normal one they hold.
    pub bounds: Option<(f64, f64, f64)>,
}

/// How much a course may be none of the family's, as a share of the amount.
const MISFIT: f64 = 0.03;

impl Block {
    /// Around nothing and as wide as `rms`, whatever the course.
    fn wide(rms: f64) -> Self {
        let mut precision = [[0.0; COURSES]; COURSES];
        for (k, row) in precision.iter_mut().enumerate() {
            row[k] = 1.0 / (rms * rms);
        }
        Self {
            mean: [0.0; COURSES],
            precision,
            ln_det: 2.0 * COURSES as f64 * rms.ln(),
            bounds: None,
        }
    }

    /// Of an amount of this mean and spread with any of these courses.
    fn of(amount: Normal, members: &[Courses]) -> Option<Self> {
        let Normal { mean, sd, bounds } = amount;
        let n = members.len() as f64;
        let rms2 = mean * mean + sd * sd;
        let mut centre = [0.0; COURSES];
        for m in members {
            for (c, x) in centre.iter_mut().zip(m) {
                *c += x / n;
            }
        }
        let mut cov = [[0.0; COURSES]; COURSES];
        for i in 0..COURSES {
            for j in 0..=i {
                let second = members.iter().map(|m| m[i] * m[j]).sum::<f64>() / n;
                cov[i][j] = rms2 * second - mean * mean * centre[i] * centre[j];
            }
            if i > 0 {
                cov[i][i] += MISFIT * MISFIT * rms2;
            }
        }
        let factor = Factor::new(&cov, COURSES)?;
        Some(Self {
            mean: centre.map(|c| mean * c),
            precision: factor.inverse(),
            ln_det: factor.ln_det,
            bounds: bounds.map(|(low, high)| (low, high, within(low, high, mean, sd))),
        })
    }
}

/// How much of a normal distribution lies between two bounds.
pub(super) fn within(low: f64, high: f64, mean: f64, sd: f64) -> f64 {
    let below = |x: f64| 0.5 * libm::erfc((mean - x) / sd * std::f64::consts::FRAC_1_SQRT_2);
    below(high) - below(low)
}

/// One thing that may be so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Case {
    pub camera: Camera,
    pub desiccant: Desiccant,
    /// What dies away of the gas's temperature above the wall (below it: what grows), K.
    pub warmth: Option<Block>,
    /// What the packs will take of the pressure, Pa.
    pub packs: Option<Block>,
    /// The leak is driven by what the air alone has for pressure, as if the packs had taken nothing.
    pub by_air: bool,
    /// Of all time constants the longest, as a forecast takes them: those look most like a leak.
    pub slowest: bool,
    /// Prior weight.
    pub weight: f64,
}

impl Case {
    /// Whether nothing moves the pressure.
    pub(super) fn plain(&self) -> bool {
        self.warmth.is_none() && self.packs.is_none()
    }
}

/// All that may be so, with the courses that it takes.
#[derive(Debug, Clone)]
pub(super) struct ShutIn {
    pub cases: Vec<Case>,
    pub warmth: Option<Family>,
    pub packs: Option<Family>,
    /// Everything at once, as wide as any case has it: what fits closest.
    pub freest: Case,
}

impl ShutIn {
    /// By what was said; the weights of the cases add up to 1. For a hold of `span` seconds with the
    /// temperature from `source`, whose packs take `most` Pa at the most; `by_air`: a leak at the limit
    /// lets in so much that it matters what drives it; `ahead`: for a forecast, which takes
    /// the slowest of each only.
    pub(super) fn new(
        h: &HoldInput,
        source: TemperatureSource,
        span: f64,
        most: f64,
        by_air: bool,
        ahead: bool,
    ) -> Self {
        let cameras = match h.shut_in.camera {
            Some(c) => vec![(c, 1.0)],
            None => UNSAID_CAMERA.to_vec(),
        };
        let packs = match h.shut_in.desiccant {
            Some(d) => vec![(d, 1.0)],
            None => UNSAID_PACKS.to_vec(),
        };
        let warms = cameras.iter().map(|c| warmth(c.0, source));
        let takes = packs.iter().map(|p| taken(p.0, most));
        let rms = |of: &mut dyn Iterator<Item = Amount>| of.map(Amount::rms).fold(0.0, f64::max);
        let (warm_rms, take_rms) = (rms(&mut warms.clone()), rms(&mut takes.clone()));
        let warm_family = (warm_rms > 0.0).then(|| Family::new(CAMERA_LAG_S, span));
        let pack_family = (take_rms > 0.0).then(|| Family::new(PACKS_LAG_S, span));
        let mut cases = Vec::new();
        for (&(camera, a), warm) in cameras.iter().zip(warms) {
            for (&(desiccant, b), take) in packs.iter().zip(takes.clone()) {
                // Both at once, or beside the air's lag, are not told apart so finely.
                let fine = match source {
                    TemperatureSource::Inside | TemperatureSource::Surface => {
                        matches!(warm, Amount::None) || matches!(take, Amount::None)
                    }
                    TemperatureSource::Air | TemperatureSource::None => false,
                };
                let warm = blocks(warm_family.as_ref(), warm, span, fine, ahead);
                let take = blocks(pack_family.as_ref(), take, span, fine, ahead);
                let driven: &[bool] = if by_air && desiccant == Desiccant::Fresh {
                    &[false, true]
                } else {
                    &[false]
                };
                let weight = a * b / (warm.len() * take.len() * driven.len()) as f64;
                for (i, &warmth) in warm.iter().enumerate() {
                    for (j, &packs) in take.iter().enumerate() {
                        cases.extend(driven.iter().map(|&by_air| Case {
                            camera,
                            desiccant,
                            warmth,
                            packs,
                            by_air,
                            slowest: i + 1 == warm.len() && j + 1 == take.len() && !by_air,
                            weight,
                        }));
                    }
                }
            }
        }
        Self {
            cases,
            freest: Case {
                camera: Camera::On,
                desiccant: Desiccant::Fresh,
                warmth: warm_family.as_ref().map(|_| Block::wide(warm_rms)),
                packs: pack_family.as_ref().map(|_| Block::wide(take_rms)),
                by_air,
                slowest: false,
                weight: 1.0,
            },
            warmth: warm_family,
            packs: pack_family,
        }
    }
}

/// What an amount may be, stretch by stretch of the time constants.
fn blocks(
    family: Option<&Family>,
    amount: Amount,
    span: f64,
    fine: bool,
    slowest: bool,
) -> Vec<Option<Block>> {
    let (Some(family), Some(normal)) = (family, amount.normal()) else {
        return vec![None];
    };
    // A short hold can't tell one stretch from another.
    let size = match span {
        ..600.0 => MEMBERS,
        _ if span < 1500.0 || !fine => MEMBERS / 2,
        _ => MEMBERS / 4,
    };
    family
        .members
        .chunks(size)
        .skip(if slowest { MEMBERS / size - 1 } else { 0 })
        .map(|of| Block::of(normal, of))
        .collect()
}

fn taken(desiccant: Desiccant, most: f64) -> Amount {
    match desiccant {
        Desiccant::None => Amount::None,
        Desiccant::Fresh => Amount::Between(0.0, most),
    }
}

fn warmth(camera: Camera, source: TemperatureSource) -> Amount {
    let seen = source == TemperatureSource::Inside;
    match camera {
        Camera::Cold => Amount::None,
        _ if seen => Amount::About(CAMERA_UNSEEN_K),
        Camera::Warm => Amount::Between(0.0, CAMERA_WARMS_K.1),
        Camera::On => Amount::Between(-CAMERA_WARMS_K.1, 0.0),
    }
}

/// Time constants that a family is made of.
const MEMBERS: usize = 8;
/// Unknowns of a family: the mean course, and how the true one may differ from it.
pub(super) const COURSES: usize = 4;
/// Moments among which the course may differ most.
const MOMENTS: usize = 24;

/// All courses e^(−t/τ) with τ between two bounds, its logarithm as likely anywhere there.
#[derive(Debug, Clone)]
pub(super) struct Family {
    taus: [f64; MEMBERS],
    /// Each course as a sum over the members.
    weights: [[f64; MEMBERS]; COURSES],
    /// Each member as a sum over the courses; of the first, one whole.
    members: [Courses; MEMBERS],
}

impl Family {
    /// For a hold of `span` seconds.
    pub(super) fn new((low, high): (f64, f64), span: f64) -> Self {
        let mut taus = [0.0; MEMBERS];
        for (i, tau) in taus.iter_mut().enumerate() {
            let u = (i as f64 + 0.5) / MEMBERS as f64;
            *tau = low * (high / low).powf(u);
        }
        let mut out = Self {
            taus,
            weights: [[0.0; MEMBERS]; COURSES],
            members: [[0.0; COURSES]; MEMBERS],
        };
        for m in &mut out.members {
            m[0] = 1.0;
        }
        out.weights[0] = [1.0 / MEMBERS as f64; MEMBERS];
        // A Cholesky factor of the courses' covariance, moment by moment, the largest first. Moments
        // crowd towards the start, as the courses' changes do.
        let mut off: Vec<[f64; MEMBERS]> = (1..=MOMENTS)
            .map(|k| out.deviations(span * (k as f64 / MOMENTS as f64).powi(2)))
            .collect();
        for k in 1..COURSES {
            let size = |d: &[f64; MEMBERS]| d.iter().map(|x| x * x).sum::<f64>();
            let Some(pivot) = off
                .iter()
                .copied()
                .max_by(|a, b| size(a).total_cmp(&size(b)))
            else {
                break;
            };
            let norm = size(&pivot).sqrt();
            if norm < 1e-6 {
                break;
            }
            let unit = pivot.map(|x| x / norm);
            for d in &mut off {
                let along: f64 = d.iter().zip(unit).map(|(a, b)| a * b).sum();
                for (x, u) in d.iter_mut().zip(unit) {
                    *x -= along * u;
                }
            }
            // The deviations are from the mean: so is what they are weighted with.
            let mean = unit.iter().sum::<f64>() / MEMBERS as f64;
            let scale = 1.0 / (MEMBERS as f64).sqrt();
            out.weights[k] = unit.map(|u| (u - mean) * scale);
            for (m, u) in out.members.iter_mut().zip(unit) {
                m[k] = u / scale;
            }
        }
        out
    }

    fn decays(&self, t: f64) -> [f64; MEMBERS] {
        self.taus.map(|tau| (-t / tau).exp())
    }

    fn deviations(&self, t: f64) -> [f64; MEMBERS] {
        let e = self.decays(t);
        let mean = e.iter().sum::<f64>() / MEMBERS as f64;
        e.map(|x| x - mean)
    }

    /// The courses after `t` seconds. The first is the mean; of the others, each times an unknown of
    /// mean 0 and variance 1, the sum has the covariance of the members.
    pub(super) fn at(&self, t: f64) -> [f64; COURSES] {
        let e = self.decays(t);
        self.weights
            .map(|w| w.iter().zip(e).map(|(w, e)| w * e).sum())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_courses_cover_every_time_constant() {
        for (range, span) in [
            (CAMERA_LAG_S, 600.0),
            (CAMERA_LAG_S, 3600.0),
            (CAMERA_LAG_S, 36_000.0),
            (PACKS_LAG_S, 900.0),
            (PACKS_LAG_S, 7200.0),
            (PACKS_LAG_S, 36_000.0),
        ] {
            let family = Family::new(range, span);
            let (mut worst, mut most) = (0.0_f64, 0.0_f64);
            for i in 0..200 {
                let t = span * f64::from(i) / 200.0;
                let c = family.at(t);
                // Variance over the bounds themselves, by many more members.
                let many: Vec<f64> = (0..400)
                    .map(|k| {
                        let u = (f64::from(k) + 0.5) / 400.0;
                        (-t / (range.0 * (range.1 / range.0).powf(u))).exp()
                    })
                    .collect();
                let mean = many.iter().sum::<f64>() / 400.0;
                let var = many.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 400.0;
                assert!((c[0] - mean).abs() < 0.003, "{span} {t}: {} {mean}", c[0]);
                let kept: f64 = c[1..].iter().map(|x| x * x).sum();
                worst = worst.max((var.sqrt() - kept.sqrt()).abs());
                most = most.max(var.sqrt());
            }
            assert!(worst < 0.05 * most, "{range:?} {span}: {worst} of {most}");
        }
    }

    #[test]
    fn each_member_is_a_point_among_the_courses() {
        for (range, span) in [
            (CAMERA_LAG_S, 900.0),
            (CAMERA_LAG_S, 7200.0),
            (PACKS_LAG_S, 36_000.0),
        ] {
            let family = Family::new(range, span);
            for (tau, member) in family.taus.iter().zip(family.members) {
                for i in 0..100 {
                    let t = span * f64::from(i) / 100.0;
                    let c = family.at(t);
                    let have: f64 = c.iter().zip(member).map(|(c, m)| c * m).sum();
                    let want = (-t / tau).exp();
                    assert!((have - want).abs() < 0.01, "{tau} {t}: {have} {want}");
                }
            }
        }
    }
}
