//! Tightening order for n screws.
//!
//! Screws are numbered round from 1. *Crossing* means, for an even count: each pair of turns is two
//! opposite screws, and each new pair starts as far from every tightened screw as any loose one can
//! be. For an odd count: each next screw lies as near opposite the one before as any left.
//! Source: the legacy cross pattern of ASME PCC-1-2013 Table 4 (from memory) and the rule "opposite
//! pairs, then halve the angle" of Fluid Sealing Association guidance. Common practice: three passes
//! at about 30, 60 and 100 % of the torque in this order, then one pass round.

/// How the screws lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// On a circle.
    Circle,
    /// Along the edge of a rectangular frame, numbered round.
    Frame,
}

/// Why no order can be given.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FastenerFault {
    /// Too few or too many screws.
    #[error("{count} screws: an order is given for 2 to 200 screws")]
    Count {
        /// The count that was asked for.
        count: u32,
    },
    /// Not each screw exactly once.
    #[error("the order does not name each of the {count} screws once: {screw} is wrong or missing")]
    NotAnOrder {
        /// How many screws the order has.
        count: u32,
        /// A screw that is out of range, named twice or missing.
        screw: u32,
    },
}

/// Torque of each pass as a share of the full torque; the last pass goes once round. Common practice.
pub const PASSES: [f64; 4] = [0.3, 0.6, 1.0, 1.0];

/// Spacings between screws `a` and `b` the short way round.
fn step(a: u32, b: u32, n: u32) -> u32 {
    let d = a.abs_diff(b) % n;
    d.min(n - d)
}

fn nearest(b: u32, done: &[u32], n: u32) -> u32 {
    done.iter().map(|&d| step(b, d, n)).min().unwrap_or(n)
}

/// The crossing order for `n` screws, numbered round from 1 and starting at 1.
///
/// A frame's screws cross as a circle's do: what counts is that the clamping goes back and forth
/// across the middle; numbering round a frame keeps opposite screws n/2 apart.
///
/// # Errors
/// [`FastenerFault::Count`] for fewer than 2 or more than 200 screws.
pub fn crossing_order(n: u32, shape: Shape) -> Result<Vec<u32>, FastenerFault> {
    if !(2..=200).contains(&n) {
        return Err(FastenerFault::Count { count: n });
    }
    // On a frame the first pair is at the middle of a long side rather than at a corner only if the
    // crew numbers it so; the order itself is the same.
    let (Shape::Circle | Shape::Frame) = shape;
    let mut done = vec![1_u32];
    let mut rest: Vec<u32> = (2..=n).collect();
    while !rest.is_empty() {
        let last = done.last().copied().unwrap_or(1);
        let next = if n.is_multiple_of(2) && done.len() % 2 == 1 {
            (last - 1 + n / 2) % n + 1
        } else {
            // Even: farthest from all done. Odd: farthest from the last, then from all done.
            // Lowest number among equals.
            let key = |b: u32| {
                let far = nearest(b, &done, n);
                if n.is_multiple_of(2) {
                    (far, 0)
                } else {
                    (step(b, last, n), far)
                }
            };
            let mut best = rest.first().copied().unwrap_or(1);
            for &b in &rest {
                if key(b) > key(best) {
                    best = b;
                }
            }
            best
        };
        done.push(next);
        rest.retain(|&b| b != next);
    }
    Ok(done)
}

/// Whether an order crosses, by the definition at the top of this module. Not only the order of
/// [`crossing_order`] passes: turned and mirrored orders do too.
///
/// # Errors
/// [`FastenerFault`] where the order does not name each screw once.
pub fn is_crossing(order: &[u32]) -> Result<bool, FastenerFault> {
    let n = u32::try_from(order.len()).unwrap_or(u32::MAX);
    if !(2..=200).contains(&n) {
        return Err(FastenerFault::Count { count: n });
    }
    for s in 1..=n {
        if order.iter().filter(|&&o| o == s).count() != 1 {
            let wrong = order
                .iter()
                .copied()
                .find(|&o| o == 0 || o > n)
                .unwrap_or(s);
            return Err(FastenerFault::NotAnOrder {
                count: n,
                screw: wrong,
            });
        }
    }
    let crosses = |k: usize| {
        let (done, rest) = order.split_at(k);
        let (Some(&last), Some(&next)) = (done.last(), rest.first()) else {
            return true;
        };
        if !n.is_multiple_of(2) {
            let best = rest.iter().map(|&b| step(b, last, n)).max();
            best == Some(step(next, last, n))
        } else if k % 2 == 1 {
            step(last, next, n) == n / 2
        } else {
            let best = rest.iter().map(|&b| nearest(b, done, n)).max();
            best == Some(nearest(next, done, n))
        }
    };
    Ok((1..order.len()).all(crosses))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_orders_cross() {
        // ASME PCC-1-2013 Table 4, legacy cross pattern, from memory.
        for o in [
            &[1, 3, 2, 4][..],
            &[1, 5, 3, 7, 2, 6, 4, 8],
            &[1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12],
            &[1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16],
        ] {
            assert_eq!(is_crossing(o), Ok(true), "{o:?}");
        }
        assert_eq!(is_crossing(&[1, 2, 3, 4]), Ok(false));
        assert_eq!(is_crossing(&[1, 6, 3, 7, 2, 5, 4, 8]), Ok(false));
    }

    #[test]
    fn every_order_we_give_crosses() {
        for n in 2..=60 {
            let o = crossing_order(n, Shape::Circle).unwrap();
            assert_eq!(is_crossing(&o), Ok(true), "{n}: {o:?}");
        }
        assert_eq!(
            crossing_order(8, Shape::Circle).unwrap(),
            [1, 5, 3, 7, 2, 6, 4, 8]
        );
        assert_eq!(crossing_order(5, Shape::Frame).unwrap(), [1, 3, 5, 2, 4]);
    }

    #[test]
    fn bad_orders_are_named() {
        assert_eq!(
            crossing_order(1, Shape::Circle),
            Err(FastenerFault::Count { count: 1 })
        );
        assert_eq!(
            is_crossing(&[1, 9, 2, 3]),
            Err(FastenerFault::NotAnOrder { count: 4, screw: 9 })
        );
        assert_eq!(
            is_crossing(&[1, 2, 2, 3]),
            Err(FastenerFault::NotAnOrder { count: 4, screw: 2 })
        );
    }
}
