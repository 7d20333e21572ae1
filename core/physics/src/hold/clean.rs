//! Mistyped readings, and what a gauge that moves in steps really tells.

/// Marks readings of one column that stand out from both neighbours as only a slip of the finger
/// does. `step` is the column's resolution. The last one is marked while nothing confirms it.
/// `first` says that the first is known to be wrong: it is marked and passed over.
pub(super) fn mistyped(t: &[f64], v: &[f64], step: f64, first: bool) -> Vec<bool> {
    let n = v.len();
    let mut wrong = vec![false; n];
    if let Some(w) = wrong.first_mut() {
        *w = first;
    }
    if n < 5 {
        return wrong;
    }
    let mut live: Vec<usize> = (usize::from(first)..n).collect();
    // Each pass takes out the worst; a crew that mistypes one reading in six has another problem.
    for _ in 0..n.div_ceil(6) {
        let m = live.len();
        if m < 5 {
            break;
        }
        let bend: Vec<f64> = (0..m)
            .map(|k| {
                if k == 0 || k + 1 == m {
                    return 0.0;
                }
                let (p, i, q) = (live[k - 1], live[k], live[k + 1]);
                let span = t[q] - t[p];
                let f = if span > 0.0 {
                    (t[i] - t[p]) / span
                } else {
                    0.5
                };
                v[i] - (v[p] + (v[q] - v[p]) * f)
            })
            .collect();
        // How much the others bend; a slip bends its two neighbours as well.
        let usual = |k: usize| {
            let lo = k.saturating_sub(5);
            let hi = (k + 6).min(m);
            let mut d: Vec<f64> = (lo..hi)
                .filter(|&j| j.abs_diff(k) > 1 && j != 0 && j + 1 != m)
                .map(|j| bend[j].abs())
                .collect();
            d.sort_by(f64::total_cmp);
            d.get(d.len() / 2).copied().unwrap_or(0.0)
        };
        let mut worst: Option<(usize, f64)> = None;
        for k in 1..m {
            let score = if k + 1 == m {
                let (p, q, i) = (live[k - 2], live[k - 1], live[k]);
                let span = t[q] - t[p];
                let slope = if span > 0.0 {
                    (v[q] - v[p]) / span
                } else {
                    0.0
                };
                let off = (v[i] - v[q] - slope * (t[i] - t[q])).abs();
                // A curve that bends goes on bending: allow for the bend before.
                off / (4.0 * step
                    + 12.0 * usual(k)
                    + 6.0 * bend[k - 1].abs().min(bend[k - 2].abs()))
            } else {
                // A single slip bends its neighbours the other way, by half as much; one that was put right at once
                // bends the reading beside it in time by as much as itself.
                let against = |j: usize| {
                    j == 0
                        || j + 1 == m
                        || (bend[j] * bend[k] <= 0.0 && bend[j].abs() < 1.05 * bend[k].abs())
                };
                // It sticks out beyond both neighbours: a curve that merely bends does not.
                let (p, i, q) = (live[k - 1], live[k], live[k + 1]);
                let out = (v[i] - v[p]) * (v[i] - v[q]) > 0.0;
                let by = (v[i] - v[p]).abs().min((v[i] - v[q]).abs());
                if !out || by <= 2.5 * step || !against(k - 1) || !against(k + 1) {
                    continue;
                }
                // Just after the valve closed the true curve is steepest and may even turn.
                let start = if k <= 2 { 4.0 } else { 1.0 };
                bend[k].abs() / (start * (2.5 * step + 8.0 * usual(k)))
            };
            if score > 1.0 && worst.is_none_or(|(_, s)| score > s) {
                worst = Some((k, score));
            }
        }
        let Some((k, _)) = worst else { break };
        wrong[live[k]] = true;
        live.remove(k);
    }
    wrong
}

/// What is known of the gauge at some moment: the mean of readings `first..=last`, or the line
/// between two steps crossed between `first` and `last`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Known {
    pub first: usize,
    pub last: usize,
    /// Gauge, Pa.
    pub gauge: f64,
    /// Variance, Pa².
    pub var: f64,
    /// True where the variance is that of one uniform step (bounded error).
    pub uniform: bool,
    /// What it tells, as a share of a plain reading: 1, or less between the ends of a run.
    pub tells: f64,
}

/// Most entries that [`known`] gives for plain readings, before it takes means.
const PLAIN_MAX: usize = 60;
/// Readings on one step that make a long run: with noise near half a step, four equal ones in a
/// row are already unlikely.
const LONG: usize = 4;
/// Reading noise that is assumed until residuals ask for more, in steps (1 sd). Common practice.
const NOISE_STEPS: f64 = 0.2;

/// Where within a run that the gauge stands still it is asked, as shares of its length: closer together
/// near its beginning, where a settling would still move it.
const WITHIN: [f64; 9] = [
    1.0 / 64.0,
    1.0 / 32.0,
    1.0 / 16.0,
    1.0 / 8.0,
    1.0 / 4.0,
    3.0 / 8.0,
    1.0 / 2.0,
    5.0 / 8.0,
    3.0 / 4.0,
];
/// What all readings within a run tell together, as a share of a plain one. Of a pressure that goes
/// straight they tell nothing that the two ends don't: both ends within the step, all between them is.
const WITHIN_TELLS: f64 = 0.25;

/// Reduces gauge readings to what they tell. While the gauge stays on one step, the many equal
/// readings say no more than that the pressure stayed within the step. Of a pressure that goes straight
/// that is said by the run's two ends, each with a uniform error: their difference has the variance
/// s²/6, of the triangle that two uniform errors make. That it stayed there in between rules out what
/// bends (a settling, a drift and back), so a few readings of the run's inside count, too; but their
/// errors are one error, so that all of them together tell a quarter of a reading ([`WITHIN_TELLS`]).
/// Where the gauge goes from one long run to the next step, the line between them was crossed, which is
/// known much better than a step; a run between two such lines needs no more.
pub(super) fn known(t: &[f64], gauge: &[f64], wrong: &[bool], step: f64) -> Vec<Known> {
    let live: Vec<usize> = (0..gauge.len())
        .filter(|&i| !wrong.get(i).copied().unwrap_or(false))
        .collect();
    // Runs of equal readings: (first, last) in `live`.
    let same = |a: usize, b: usize| (gauge[live[a]] - gauge[live[b]]).abs() < 0.5 * step;
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for k in 0..live.len() {
        match runs.last_mut() {
            Some(r) if same(r.0, k) => r.1 = k,
            _ => runs.push((k, k)),
        }
    }
    // A short flicker to the next step and back is noise near a line: part of the run.
    let len = |r: (usize, usize)| r.1 - r.0 + 1;
    let mut merged: Vec<(usize, usize)> = Vec::new();
    let mut k = 0;
    while k < runs.len() {
        let mut r = runs[k];
        while k + 2 < runs.len()
            && len(r) >= LONG
            && len(runs[k + 1]) < 3
            && len(runs[k + 2]) >= LONG
            && same(r.0, runs[k + 2].0)
        {
            r.1 = runs[k + 2].1;
            k += 2;
        }
        merged.push(r);
        k += 1;
    }
    let long = |r: (usize, usize)| len(r) >= LONG;
    let plain_var = step * step * (1.0 / 12.0 + NOISE_STEPS * NOISE_STEPS);
    let mut out = Vec::new();
    let plain = |out: &mut Vec<Known>, k: usize| {
        out.push(Known {
            first: live[k],
            last: live[k],
            gauge: gauge[live[k]],
            var: plain_var,
            uniform: true,
            tells: 1.0,
        });
    };
    for (j, &r) in merged.iter().enumerate() {
        if !long(r) {
            for k in r.0..=r.1 {
                plain(&mut out, k);
            }
            continue;
        }
        let crossed = |a: (usize, usize), b: (usize, usize)| {
            let d = (gauge[live[a.1]] - gauge[live[b.0]]).abs();
            long(a) && long(b) && d < 1.5 * step
        };
        let from_before = j > 0 && crossed(merged[j - 1], r);
        let to_next = j + 1 < merged.len() && crossed(r, merged[j + 1]);
        if !from_before {
            plain(&mut out, r.0);
        }
        if !(from_before && to_next) {
            let at = within(r, &|k| t[live[k]]);
            let tells = WITHIN_TELLS / at.len().max(1) as f64;
            out.extend(at.into_iter().map(|k| Known {
                first: live[k],
                last: live[k],
                gauge: gauge[live[r.0]],
                var: plain_var / tells,
                uniform: false,
                tells,
            }));
        }
        if to_next {
            let b = merged[j + 1];
            // The longer both runs, the smaller the noise can be and the better the line is known.
            let sd = step * (0.12 + 0.6 / len(r).min(len(b)) as f64);
            let (i, l) = (live[r.1], live[b.0]);
            out.push(Known {
                first: i,
                last: l,
                gauge: 0.5 * (gauge[i] + gauge[l]),
                var: sd * sd,
                uniform: false,
                tells: 1.0,
            });
        } else if r.1 > r.0 {
            plain(&mut out, r.1);
        }
    }
    thin(out)
}

/// Readings strictly within a run from `r.0` to `r.1`, the nearest to [`WITHIN`]; `at` gives their times.
fn within(r: (usize, usize), at: &dyn Fn(usize) -> f64) -> Vec<usize> {
    let (start, end) = (at(r.0), at(r.1));
    let mut k = r.0 + 1;
    let mut out = Vec::with_capacity(WITHIN.len());
    for share in WITHIN {
        let want = start + share * (end - start);
        while k < r.1 && at(k) < want {
            k += 1;
        }
        if k < r.1 {
            out.push(k);
        }
    }
    out.dedup();
    out
}

/// Takes means of neighbouring plain entries where there are many; early ones, where the pressure
/// still bends, are kept finer.
fn thin(all: Vec<Known>) -> Vec<Known> {
    if all.len() <= PLAIN_MAX {
        return all;
    }
    let per = all.len().div_ceil(PLAIN_MAX) + 1;
    let mut out: Vec<Known> = Vec::with_capacity(PLAIN_MAX + 40);
    let mut k = 0;
    while k < all.len() {
        let want = if k < 24 { 1 } else { per };
        let mut end = k + 1;
        let joins = |e: usize| {
            e < all.len()
                && e - k < want
                && all[e].uniform
                && all[k].uniform
                && all[e].first == all[e - 1].last + 1
        };
        while joins(end) {
            end += 1;
        }
        let m = (end - k) as f64;
        let gauge = all[k..end].iter().map(|x| x.gauge).sum::<f64>() / m;
        out.push(Known {
            first: all[k].first,
            last: all[end - 1].last,
            gauge,
            var: all[k].var / m,
            uniform: all[k].uniform && end - k == 1,
            tells: all[k].tells,
        });
        k = end;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times(n: usize) -> Vec<f64> {
        (0..n).map(|i| i as f64 * 20.0).collect()
    }

    #[test]
    fn a_mistyped_reading_is_found_and_a_settling_curve_is_not() {
        let t = times(40);
        let mut v: Vec<f64> = t
            .iter()
            .map(|t| ((200.0 + 20.0 * (-t / 45.0_f64).exp()) * 10.0).round() * 10.0)
            .collect();
        assert!(mistyped(&t, &v, 10.0, false).iter().all(|w| !w));
        v[17] += 1800.0;
        let w = mistyped(&t, &v, 10.0, false);
        assert_eq!((0..40).filter(|&i| w[i]).collect::<Vec<_>>(), [17]);
        assert!(w[17]);
    }

    #[test]
    fn a_mistyped_last_reading_waits_for_the_next() {
        let t = times(20);
        let mut v = vec![20_000.0; 20];
        v[19] = 2_000.0;
        assert!(mistyped(&t, &v, 100.0, false)[19]);
    }

    #[test]
    fn equal_readings_tell_two_ends_and_a_quarter_of_a_reading_between_them() {
        let v = vec![7_400.0; 50];
        let k = known(&times(50), &v, &[], 100.0);
        assert_eq!((k[0].first, k[k.len() - 1].first), (0, 49));
        let sum: f64 = k.iter().map(|k| k.tells).sum();
        assert!((sum - 2.25).abs() < 1e-12, "{sum}");
        let inside: f64 = k[1..k.len() - 1].iter().map(|x| k[0].var / x.var).sum();
        assert!((inside - 0.25).abs() < 1e-12, "{inside}");
        assert!(k.windows(2).all(|w| w[0].last < w[1].first));
        let mut v = vec![7_400.0; 20];
        v.extend(vec![7_300.0; 20]);
        v[5] = 7_300.0;
        let k = known(&times(40), &v, &[], 100.0);
        let whole: Vec<&Known> = k.iter().filter(|k| k.tells == 1.0).collect();
        assert_eq!(whole.len(), 3);
        let crossed = whole[1];
        assert_eq!(
            (crossed.first, crossed.last, crossed.gauge),
            (19, 20, 7_350.0)
        );
        // Between two lines that were crossed nothing more is told.
        v.extend(vec![7_200.0; 20]);
        let k = known(&times(60), &v, &[], 100.0);
        assert!(
            k.iter()
                .all(|k| k.tells == 1.0 || k.first < 20 || k.first > 39)
        );
    }
}
