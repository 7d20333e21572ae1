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
                // A single slip bends its neighbours the other way, by half as much.
                let against = |j: usize| {
                    j == 0
                        || j + 1 == m
                        || (bend[j] * bend[k] <= 0.0 && bend[j].abs() < bend[k].abs())
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
}

/// Most entries that [`known`] gives for plain readings, before it takes means.
const PLAIN_MAX: usize = 60;
/// Readings on one step that make a long run: with noise near half a step, four equal ones in a
/// row are already unlikely.
const LONG: usize = 4;
/// Reading noise that is assumed until residuals ask for more, in steps (1 sd). Common practice.
const NOISE_STEPS: f64 = 0.2;

/// Reduces gauge readings to what they tell. While the gauge stays on one step, the many equal
/// readings say no more than that the pressure stayed within the step: only the run's two ends
/// count, as uniform errors. Where it goes from one long run to the next step, the line between
/// them was crossed, which is known much better than a step.
pub(super) fn known(gauge: &[f64], wrong: &[bool], step: f64) -> Vec<Known> {
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
            });
        } else if r.1 > r.0 {
            plain(&mut out, r.1);
        }
    }
    thin(out)
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
    fn equal_readings_tell_two_ends() {
        let v = vec![7_400.0; 50];
        let k = known(&v, &[], 100.0);
        assert_eq!(k.len(), 2);
        assert_eq!((k[0].first, k[1].first), (0, 49));
        let mut v = vec![7_400.0; 20];
        v.extend(vec![7_300.0; 20]);
        v[5] = 7_300.0;
        let k = known(&v, &[], 100.0);
        assert_eq!(k.len(), 3);
        assert_eq!((k[1].first, k[1].last, k[1].gauge), (19, 20, 7_350.0));
    }
}
