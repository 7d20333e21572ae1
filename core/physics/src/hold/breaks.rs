//! Whether the readings go on as they began: a leak that begins while the hold is read, or a seal that
//! lets in a puff of air and shuts again, is averaged away by a fit of all readings.
//!
//! One more column is tried beside those of the fit: air that comes in, as the leak does, from one line to
//! another, and not before nor after; to the last it is a leak that began, between neighbours a step. With the
//! fit's x, its covariance P, its rows R and weights W, the column c asks for
//!
//! d = cᵀW(y − Rx) / S,  S = cᵀWc − cᵀWR P RᵀWc,  sd(d) = 1/√S
//!
//! which is the least-squares estimate with that column among the unknowns (the added variable of
//! regression diagnostics: Cook & Weisberg 1982, *Residuals and Influence in Regression*, ch. 2).
//! Against what is left when the column is in, or a break would hide in the restlessness it makes.

use super::linear::{MAX, Matrix, Vector};
use super::model::hangs_together;
use super::model::unknown::{LEAK, LEVEL};

/// A reading's line in the fit.
pub(super) struct Line {
    /// Its row.
    pub row: Vector,
    /// What the fit leaves of it, Pa.
    pub left: f64,
    /// Variance, Pa².
    pub var: f64,
    /// First and last reading of the entry.
    pub readings: (usize, usize),
}

/// Air that came in over a stretch of the hold, beside what leaks all the while.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Break {
    /// The last reading before it.
    pub after: usize,
    /// The leak in that stretch, mL per dive, and its standard uncertainty.
    pub leak: (f64, f64),
    /// By how much it raised the pressure inside, Pa.
    pub rise_pa: f64,
    /// By how much all else but the leak moved it meanwhile, Pa.
    pub else_pa: f64,
}

/// How sure a break must be, in standard uncertainties. Hundreds are tried at every reading: at 6 they come to
/// one in a million.
const SURE: f64 = 6.0;
/// The same of one that goes on to the last line: few are tried, and it only keeps the hold open until the next
/// reading tells. Set by simulation.
const SURE_TO_THE_END: f64 = 4.0;
/// Lines wanted after the beginning of a break: of one, the next reading tells.
const AFTER: usize = 2;
/// Unknowns that are always found: the level, the leak and the break.
const FREE: usize = 3;
/// Beginnings and ends are tried at so many lines: of more, at some.
const TRIED: usize = 30;

/// The surest stretch in which air came in that `counts`, if any is sure; `x` are the fit's `n` unknowns, `inv`
/// their covariance.
pub(super) fn found(
    lines: &[Line],
    x: &Vector,
    inv: &Matrix,
    n: usize,
    counts: impl Fn(&Break) -> bool,
) -> Option<Break> {
    if lines.len() < FREE + 2 {
        return None;
    }
    let last = lines.len() - 1;
    let every = lines.len().div_ceil(TRIED);
    // The last lines all: that is where a leak begins while somebody watches.
    let ends = move |k: usize| k.is_multiple_of(every) || k + 6 > last;
    (0..=last - AFTER)
        .filter(|&a| ends(a))
        .flat_map(|a| {
            let to = (a + 1..=last).filter(move |&b| ends(b) || b == a + 1);
            to.map(move |b| (a, b))
        })
        .filter_map(|(a, b)| tried(lines, x, inv, n, (a, b), SURE))
        .filter(|(sure, found)| *sure > SURE && counts(found))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, found)| found)
}

/// Whether the last lines fall away from those before them as if a leak had begun that `counts`: too little to be
/// sure of a break, too much to take the hold for tight.
pub(super) fn falls(
    lines: &[Line],
    x: &Vector,
    inv: &Matrix,
    n: usize,
    counts: impl Fn(&Break) -> bool,
) -> bool {
    if lines.len() < FREE + 2 {
        return false;
    }
    let last = lines.len() - 1;
    let every = lines.len().div_ceil(TRIED);
    (0..=last - AFTER)
        .filter(|a| a.is_multiple_of(every) || a + 6 > last)
        .filter_map(|a| tried(lines, x, inv, n, (a, last), SURE_TO_THE_END))
        .any(|(sure, found)| sure > SURE_TO_THE_END && counts(&found))
}

/// How sure it is that air came in between two lines, and what it would be.
fn tried(
    lines: &[Line],
    x: &Vector,
    inv: &Matrix,
    n: usize,
    (a, b): (usize, usize),
    enough: f64,
) -> Option<(f64, Break)> {
    let course = |j: usize| lines[j].row[LEAK];
    let whole = course(b) - course(a);
    let column = |j: usize| course(j.clamp(a, b)) - course(a);
    let (mut cc, mut cy) = (0.0, 0.0);
    let mut rc: Vector = [0.0; MAX];
    for (j, line) in lines.iter().enumerate().skip(a + 1) {
        let w = column(j) / line.var;
        cc += column(j) * w;
        cy += line.left * w;
        for (r, x) in rc.iter_mut().zip(&line.row).take(n) {
            *r += x * w;
        }
    }
    // How far each of the fit's unknowns gives way to the column.
    let mut gives: Vector = [0.0; MAX];
    for (give, row) in gives.iter_mut().zip(inv).take(n) {
        *give = row.iter().zip(&rc).take(n).map(|(p, r)| p * r).sum();
    }
    let s = cc - (0..n).map(|i| rc[i] * gives[i]).sum::<f64>();
    let d = cy / s;
    // Not even without a reading's own restlessness.
    if s <= 1e-9 * cc || d <= 0.0 || d * s.sqrt() < enough {
        return None;
    }
    // What is left with the column in, and how far it hangs together.
    let rest: Vec<f64> = lines
        .iter()
        .enumerate()
        .map(|(j, line)| {
            let way: f64 = (0..n).map(|i| line.row[i] * gives[i]).sum();
            (line.left - (column(j) - way) * d) / line.var.sqrt()
        })
        .collect();
    let sum: f64 = rest.iter().map(|x| x * x).sum();
    let rho = hangs_together(&rest);
    let free = lines.len().saturating_sub(FREE).max(1) as f64;
    let noise = (sum / free * (1.0 + rho) / (1.0 - rho)).max(1.0);
    let stays = 1.0 - gives[LEAK];
    let var = noise * (inv[LEAK][LEAK] + stays * stays / s);
    let found = Break {
        after: lines[a].readings.1,
        leak: (x[LEAK] + stays * d, var.sqrt()),
        rise_pa: d * whole,
        else_pa: (0..n)
            .filter(|&i| i != LEAK && i != LEVEL)
            .map(|i| (lines[b].row[i] - lines[a].row[i]) * (x[i] - gives[i] * d))
            .sum(),
    };
    Some((d * (s / noise).sqrt(), found))
}

#[cfg(test)]
mod tests {
    use super::super::linear::Factor;
    use super::*;

    /// Lines of readings a minute apart with a level, a leak and what settles, the rest `y`; what least squares
    /// leaves of it, and the covariance.
    fn fitted_to(y: &[f64], var: f64, settles: &[f64]) -> (Vec<Line>, Vector, Matrix) {
        let n = if settles.is_empty() { 2 } else { 3 };
        let row = |j: usize| {
            let mut r = [0.0; MAX];
            (r[LEVEL], r[LEAK]) = (1.0, j as f64);
            r[2] = settles.get(j).copied().unwrap_or(0.0);
            r
        };
        let (mut a, mut b) = ([[0.0; MAX]; MAX], [0.0; MAX]);
        for (j, y) in y.iter().enumerate() {
            let r = row(j);
            for i in 0..n {
                b[i] += r[i] * y / var;
                for k in 0..n {
                    a[i][k] += r[i] * r[k] / var;
                }
            }
        }
        let factor = Factor::new(&a, n).expect("unknowns that can be told apart");
        let x = factor.back(&factor.forward(&b));
        let lines = (y.iter().enumerate())
            .map(|(j, y)| Line {
                row: row(j),
                left: y - (0..n).map(|i| row(j)[i] * x[i]).sum::<f64>(),
                var,
                readings: (j, j),
            })
            .collect();
        (lines, x, factor.inverse())
    }

    /// The same where nothing settles.
    fn fitted(y: &[f64], var: f64) -> (Vec<Line>, Vector, Matrix) {
        fitted_to(y, var, &[])
    }

    /// What solves the normal equations of `n` lines for a right side, by elimination: an independent way.
    fn solved<const N: usize>(
        n: usize,
        cols: impl Fn(usize) -> [f64; N],
        mut b: [f64; N],
    ) -> [f64; N] {
        let sum = |r: usize, c: usize| (0..n).map(|j| cols(j)[r] * cols(j)[c]).sum();
        let mut a: [[f64; N]; N] = std::array::from_fn(|r| std::array::from_fn(|c| sum(r, c)));
        for k in 0..N {
            let (pivot, by) = (a[k], b[k]);
            for r in (0..N).filter(|&r| r != k) {
                let share = a[r][k] / pivot[k];
                for (v, p) in a[r].iter_mut().zip(pivot) {
                    *v -= share * p;
                }
                b[r] -= share * by;
            }
        }
        std::array::from_fn(|k| b[k] / a[k][k])
    }

    /// Least squares with these columns.
    fn least_squares<const N: usize>(y: &[f64], cols: impl Fn(usize) -> [f64; N]) -> [f64; N] {
        let b = std::array::from_fn(|r| y.iter().enumerate().map(|(j, y)| cols(j)[r] * y).sum());
        solved(y.len(), cols, b)
    }

    /// A gauge that flickers by a few Pa, always the same.
    fn flicker(j: usize) -> f64 {
        [3.0, -2.0, 0.0, 4.0, -5.0, 1.0, -1.0][j % 7]
    }

    fn any(_: &Break) -> bool {
        true
    }

    #[test]
    fn a_break_is_what_least_squares_with_its_column_says() {
        let (a, b) = (12, 18);
        let course = |j: usize| j.clamp(a, b) as f64 - a as f64;
        let y: Vec<f64> = (0..30)
            .map(|j| 2.0 * j as f64 + 40.0 * course(j) + flicker(j))
            .collect();
        let (lines, x, inv) = fitted(&y, 10.0);
        let (sure, one) = tried(&lines, &x, &inv, 2, (a, b), SURE).expect("a break");
        let [_, leak, d] = least_squares(&y, |j| [1.0, j as f64, course(j)]);
        assert!((one.leak.0 - (leak + d)).abs() < 1e-6, "{one:?}");
        assert!((one.rise_pa - d * 6.0).abs() < 1e-6, "{one:?}");
        assert!(sure > 20.0 && one.else_pa.abs() < 1e-9, "{sure} {one:?}");
        let found = found(&lines, &x, &inv, 2, any).expect("a break");
        assert_eq!(found.after, a, "{found:?}");
    }

    #[test]
    fn the_last_lines_fall_before_a_break_is_sure() {
        let y = |per_line: f64| -> Vec<f64> {
            (0..20)
                .map(|j| per_line * (j.max(16) - 16) as f64 + flicker(j))
                .collect()
        };
        for (per_line, falls, breaks) in
            [(0.0, false, false), (6.0, true, false), (30.0, true, true)]
        {
            let (lines, x, inv) = fitted(&y(per_line), 10.0);
            assert_eq!(super::falls(&lines, &x, &inv, 2, any), falls, "{per_line}");
            assert_eq!(
                found(&lines, &x, &inv, 2, any).is_some(),
                breaks,
                "{per_line}"
            );
        }
    }

    #[test]
    fn a_leak_from_the_start_and_a_tight_hold_break_nowhere() {
        for leak in [0.0, 25.0] {
            let y: Vec<f64> = (0..60).map(|j| leak * j as f64 + flicker(j)).collect();
            let (lines, x, inv) = fitted(&y, 10.0);
            assert_eq!(found(&lines, &x, &inv, 2, any), None, "{leak}");
        }
    }

    #[test]
    fn more_vacuum_is_no_leak_over_a_limit() {
        let y: Vec<f64> = (0..30)
            .map(|j| flicker(j) - f64::from(j > 15) * 90.0)
            .collect();
        let (lines, x, inv) = fitted(&y, 10.0);
        let over = |b: &Break| b.leak.0 + 3.0 * b.leak.1 > 30.0;
        assert_eq!(found(&lines, &x, &inv, 2, over), None);
    }

    #[test]
    fn a_restless_gauge_needs_more() {
        let y = |restless: f64| -> Vec<f64> {
            (0..40)
                .map(|j| restless * flicker(j) + 12.0 * f64::from(j > 20))
                .collect()
        };
        let quiet = y(0.5);
        let (lines, x, inv) = fitted(&quiet, 4.0);
        assert!(found(&lines, &x, &inv, 2, any).is_some());
        let loud = y(5.0);
        let (lines, x, inv) = fitted(&loud, 4.0);
        assert_eq!(found(&lines, &x, &inv, 2, any), None);
    }

    /// A course that rises by so much a line from one line to another.
    fn rising(lines: usize, per_line: f64, a: usize, b: usize) -> Vec<f64> {
        let course = |j: usize| (j.clamp(a, b) - a) as f64;
        (0..lines)
            .map(|j| per_line * course(j) + flicker(j))
            .collect()
    }

    fn first_of(y: &[f64]) -> Option<Break> {
        let (lines, x, inv) = fitted(y, 10.0);
        found(&lines, &x, &inv, 2, any)
    }

    #[test]
    fn five_lines_can_tell_and_four_never() {
        let five = rising(5, 400.0, 2, 4);
        assert_eq!(first_of(&five).map(|b| b.after), Some(2));
        assert_eq!(first_of(&five[1..]), None);
        let (lines, x, inv) = fitted(&five, 10.0);
        assert!(falls(&lines, &x, &inv, 2, any));
        let (lines, x, inv) = fitted(&five[1..], 10.0);
        assert!(!falls(&lines, &x, &inv, 2, any));
    }

    /// Of a hundred lines each fourth is tried: what begins between two is found at one of them.
    #[test]
    fn of_many_lines_some_are_tried_and_the_last_six_all() {
        for (begins, found_at) in [(50, vec![48, 52]), (60, vec![60]), (93, vec![92, 94])] {
            let after = first_of(&rising(100, 60.0, begins, 99)).map(|b| b.after);
            assert!(
                found_at.iter().any(|&at| after == Some(at)),
                "{begins}: {after:?}"
            );
        }
        for begins in [95, 97] {
            let y = rising(100, 200.0, begins, 99);
            assert_eq!(first_of(&y).map(|b| b.after), Some(begins));
            let (lines, x, inv) = fitted(&y, 10.0);
            let at = |b: &Break| b.after == begins;
            assert!(falls(&lines, &x, &inv, 2, at), "{begins}");
        }
        let (lines, x, inv) = fitted(&rising(100, 60.0, 93, 99), 10.0);
        for (at, tried) in [(51, false), (93, false), (92, true), (94, true)] {
            let here = |b: &Break| b.after == at;
            assert_eq!(found(&lines, &x, &inv, 2, here).is_some(), tried, "{at}");
            assert_eq!(falls(&lines, &x, &inv, 2, here), tried, "{at}");
        }
    }

    #[test]
    fn a_step_between_neighbours_is_one_wherever_the_next_line_is_tried() {
        let step = first_of(&rising(100, 300.0, 52, 53)).expect("a step");
        assert_eq!(step.after, 52);
        assert!(
            (step.leak.0 - 300.0).abs() < 15.0 && (step.rise_pa - 300.0).abs() < 15.0,
            "{step:?}"
        );
    }

    /// A jump of the last line alone is no break that begins there: the next reading tells.
    #[test]
    fn of_one_last_line_the_next_tells() {
        let y = rising(20, 90.0, 18, 19);
        let (lines, x, inv) = fitted(&y, 10.0);
        let last = |b: &Break| b.after >= 18;
        assert_eq!(found(&lines, &x, &inv, 2, last), None);
        assert!(!falls(&lines, &x, &inv, 2, last));
        let (sure, _) = tried(&lines, &x, &inv, 2, (18, 19), SURE).expect("a jump");
        assert!(sure > SURE);
    }

    #[test]
    fn only_what_counts_is_found() {
        let y = rising(30, 60.0, 12, 29);
        let (lines, x, inv) = fitted(&y, 10.0);
        assert_eq!(found(&lines, &x, &inv, 2, |_| false), None);
        assert!(!falls(&lines, &x, &inv, 2, |_| false));
    }

    /// How sure a break is, and how well its leak is known: by the fit with its column among the unknowns, the
    /// scatter and the lag-1 autocorrelation of what that leaves.
    #[test]
    fn how_sure_it_is_comes_of_what_is_left_with_its_column_in() {
        let (a, b, n, var) = (12, 18, 30, 4.0);
        let course = |j: usize| j.clamp(a, b) as f64 - a as f64;
        // Each flicker stands for two lines: what is left hangs together.
        let y: Vec<f64> = (0..n)
            .map(|j| 2.0 * j as f64 + 40.0 * course(j) + 2.0 * flicker(j / 2))
            .collect();
        let cols = |j: usize| [1.0, j as f64, course(j)];
        let fit = least_squares(&y, cols);
        let left: Vec<f64> = (0..n)
            .map(|j| y[j] - (0..3).map(|i| cols(j)[i] * fit[i]).sum::<f64>())
            .collect();
        let sum: f64 = left.iter().map(|e| e * e).sum();
        let rho = left.windows(2).map(|w| w[0] * w[1]).sum::<f64>() / sum;
        assert!((0.2..0.8).contains(&rho), "{rho}");
        let scatter = sum / var / (n as f64 - 3.0) * (1.0 + rho) / (1.0 - rho);
        assert!(scatter > 2.0, "{scatter}");
        let with = |unit: [f64; 3]| solved(n, cols, unit);
        let var_d = scatter * var * with([0.0, 0.0, 1.0])[2];
        // The leak in the stretch is the leak and the break together.
        let both = with([0.0, 1.0, 1.0]);
        let var_leak = scatter * var * (both[1] + both[2]);
        let (lines, x, inv) = fitted(&y, var);
        let (sure, one) = tried(&lines, &x, &inv, 2, (a, b), SURE).expect("a break");
        assert!(
            (sure / (fit[2] / var_d.sqrt()) - 1.0).abs() < 1e-9,
            "{sure}"
        );
        assert!((one.leak.1 / var_leak.sqrt() - 1.0).abs() < 1e-9, "{one:?}");
    }

    #[test]
    fn what_the_leak_itself_explains_is_no_break_nor_is_what_is_weak_or_goes_the_other_way() {
        // From the first line to the last it is the leak of the fit over again, whatever rounding leaves of it.
        for k in 1..60 {
            let y: Vec<f64> = (0..100)
                .map(|j| k as f64 * (25.0 * j as f64 + flicker(j + k)))
                .collect();
            let (lines, x, inv) = fitted(&y, 10.0);
            let found = tried(&lines, &x, &inv, 2, (0, 99), 0.0);
            assert!(found.is_none(), "{k}: {found:?}");
        }
        // Less than is asked, even by a gauge that reads as it says.
        for (per_line, is) in [(0.2, false), (3.0, true), (-3.0, false)] {
            let (lines, x, inv) = fitted(&rising(100, per_line, 50, 99), 10.0);
            let found = tried(&lines, &x, &inv, 2, (50, 99), SURE);
            assert_eq!(found.is_some(), is, "{per_line}: {found:?}");
        }
    }

    /// What settles meanwhile moves the pressure, too: by so much, with the break among the unknowns.
    #[test]
    fn what_else_moved_it_is_what_settles() {
        let (a, b, n) = (12, 18, 30);
        let course = |j: usize| j.clamp(a, b) as f64 - a as f64;
        let settles: Vec<f64> = (0..n).map(|j| (-(j as f64) / 9.0).exp()).collect();
        let y: Vec<f64> = (0..n)
            .map(|j| 2.0 * j as f64 + 40.0 * course(j) - 300.0 * settles[j] + flicker(j))
            .collect();
        let [_, leak, settled, d] = least_squares(&y, |j| [1.0, j as f64, settles[j], course(j)]);
        let (lines, x, inv) = fitted_to(&y, 10.0, &settles);
        let (_, one) = tried(&lines, &x, &inv, 3, (a, b), SURE).expect("a break");
        let wanted = (settles[b] - settles[a]) * settled;
        assert!((one.else_pa - wanted).abs() < 1e-6, "{one:?} {wanted}");
        assert!((one.leak.0 - (leak + d)).abs() < 1e-6, "{one:?}");
        assert!((one.rise_pa - d * 6.0).abs() < 1e-6, "{one:?}");
    }
}
