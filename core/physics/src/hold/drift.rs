//! How an instrument's error moves within a hold: the laws it may follow, as sums of shapes.
//!
//! A drift is a ramp from end to end and sines of 1, 2, 3, … half waves on it (a process between two
//! fixed ends has the sines as its Karhunen–Loève series). A law says how much of each shape there is.
//! A drift that is a ramp can't be told from a leak, however fine the gauge; the sines only blur it.

use std::f64::consts::PI;

/// Shapes of a drift: the ramp and the sines.
pub(super) const SHAPES: usize = 7;
/// One number for each shape.
pub(super) type Shapes = [f64; SHAPES];

/// Spread of each shape, as a share of the drift's spread, where no law is told from another: a ramp
/// and half of a random walk's bridge (√2/πk), which covers ramps, wandering and dying away alike. Set
/// by simulation.
pub(super) const ANY: Shapes = [1.0, 0.225, 0.1125, 0.075, 0.056, 0.045, 0.0375];
/// What a law leaves to a shape that is none of its own: no instrument follows a law exactly.
const REST: f64 = 0.03;
/// How long a wandering error keeps its value, s. Common practice: an hour or two.
pub(super) const WANDERS_S: f64 = 6000.0;
/// Root mean squares of the shapes of 1 − e^(−t/τ), for τ from 0.1 to 1.5 of the hold's length; the
/// last are smaller than [`REST`].
const DIES_AWAY: [f64; 3] = [0.754, 0.227, 0.06];

/// Laws that an instrument's drift over `span` seconds may follow, all as likely: it runs on, it
/// wanders and returns, it dies away. Each gives the spread of every shape as a share of the drift's
/// spread at one moment.
pub(super) fn laws(span: f64) -> [Shapes; 3] {
    let mut runs_on = [REST; SHAPES];
    runs_on[0] = 1.0;
    let mut dies_away = [REST; SHAPES];
    dies_away[..DIES_AWAY.len()].copy_from_slice(&DIES_AWAY);
    [runs_on, wanders(span / WANDERS_S), dies_away]
}

/// An Ornstein–Uhlenbeck process over `theta` times its correlation time. Its ends differ by
/// √(2(1 − e^(−θ))) of its spread: little over minutes, √2 over hours. A sine of k half waves has the
/// spectrum's variance 4θ/(π²k² + θ²), which over a long hold stays at the most it comes to (θ = πk).
fn wanders(theta: f64) -> Shapes {
    let mut out = [0.0; SHAPES];
    out[0] = (2.0 * (1.0 - (-theta).exp())).sqrt();
    for (k, share) in out.iter_mut().enumerate().skip(1) {
        let waves = PI * k as f64;
        let theta = theta.min(waves);
        *share = (4.0 * theta / (waves * waves + theta * theta)).sqrt();
    }
    out
}

/// The shapes at `u`, 0 at the hold's start and 1 at its end.
pub(super) fn at(u: f64) -> Shapes {
    let (sin, cos) = (PI * u).sin_cos();
    let mut w = [0.0; SHAPES];
    w[0] = u - 0.5;
    w[1] = sin;
    // Chebyshev's recurrence for sin(kx).
    let mut before = 0.0;
    for k in 2..SHAPES {
        w[k] = 2.0 * cos * w[k - 1] - before;
        before = w[k - 1];
    }
    w
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Share of each shape in `f`, which runs from 0 to 1: ends first, then Fourier's sines of the rest.
    fn shares(f: impl Fn(f64) -> f64) -> Shapes {
        const STEPS: usize = 2000;
        let rise = f(1.0) - f(0.0);
        let mut out = [0.0; SHAPES];
        out[0] = rise;
        for i in 0..STEPS {
            let u = (i as f64 + 0.5) / STEPS as f64;
            let bridge = f(u) - f(0.0) - rise * u;
            for (share, w) in out.iter_mut().zip(at(u)).skip(1) {
                *share += 2.0 * bridge * w / STEPS as f64;
            }
        }
        out
    }

    #[test]
    fn what_dies_away_has_these_shapes() {
        const TAUS: usize = 200;
        let mut squares = [0.0; SHAPES];
        for i in 0..TAUS {
            let tau = 0.1 + 1.4 * (i as f64 + 0.5) / TAUS as f64;
            for (s, x) in squares.iter_mut().zip(shares(|u| 1.0 - (-u / tau).exp())) {
                *s += x * x / TAUS as f64;
            }
        }
        for (k, (have, square)) in laws(3600.0)[2].iter().zip(squares).enumerate() {
            let want = square.sqrt();
            // At least as much as there is, and not much more than what no law leaves out.
            assert!(
                *have > want - 0.002 && *have < want + REST,
                "{k}: {have} {want}"
            );
        }
    }

    #[test]
    fn what_wanders_moves_as_far_as_its_covariance_says() {
        // Between two moments an Ornstein–Uhlenbeck process moves by 2(1 − e^(−Δt/τ)) of its variance.
        for span in [600.0, 3600.0, 12_000.0] {
            let law = laws(span)[1];
            for (a, b) in [(0.0, 1.0), (0.0, 0.5), (0.25, 0.75)] {
                let moved: f64 = law
                    .iter()
                    .zip(at(a).iter().zip(at(b)))
                    .map(|(s, (x, y))| (s * (y - x)).powi(2))
                    .sum();
                let want = 2.0 * (1.0 - (-(b - a) * span / WANDERS_S).exp());
                // The ramp and the sines are not quite independent of each other, and the sines end.
                assert!(
                    (moved / want).sqrt() > 0.8,
                    "{span} {a} {b}: {moved} {want}"
                );
                assert!(
                    (moved / want).sqrt() < 1.25,
                    "{span} {a} {b}: {moved} {want}"
                );
            }
        }
    }
}
