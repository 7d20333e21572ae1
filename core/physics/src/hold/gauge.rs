//! What is known of a gauge, and two gauges compared.

use super::{GaugeKind, HoldFault, Quantity, Why};
use crate::units::PressureUnit;

/// A gauge's record.
#[derive(Debug, Clone, PartialEq)]
pub struct Gauge {
    /// What kind of number it shows.
    pub kind: GaugeKind,
    /// The unit it shows.
    pub unit: PressureUnit,
    /// Step of its display, Pa.
    pub resolution_pa: f64,
    /// Its stated accuracy as 1 sd, Pa (half of a maker's limit where that is all there is; common
    /// practice).
    pub accuracy_pa: f64,
}

impl Gauge {
    /// Standard uncertainty of one reading, Pa: accuracy and a uniform step.
    #[must_use]
    pub fn reading_sd(&self) -> f64 {
        self.accuracy_pa.hypot(self.resolution_pa / 12.0_f64.sqrt())
    }
}

/// Two gauges on one enclosure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// First less second as absolute pressure inside, mean over the pairs, Pa.
    pub difference_pa: f64,
    /// Standard uncertainty that the two records allow for that difference, Pa.
    pub allowed_sd_pa: f64,
    /// How much the difference changes from pair to pair, 1 sd, Pa; `None` for a single pair.
    pub scatter_pa: Option<f64>,
    /// Whether the two agree: the difference within two allowed uncertainties.
    pub agree: bool,
}

/// Compares two gauges read at the same moments; `pairs` are readings of the first and the second,
/// Pa in each gauge's own sense, with the ambient pressure of the moment (Pa).
///
/// # Errors
/// [`HoldFault`] where there is no pair or a reading is no number.
pub fn compare(a: &Gauge, b: &Gauge, pairs: &[(f64, f64, f64)]) -> Result<Comparison, HoldFault> {
    if pairs.is_empty() {
        return Err(HoldFault::absurd(Quantity::Pairs, 0.0, Why::NoPair));
    }
    let mut d = Vec::with_capacity(pairs.len());
    for (index, &(ra, rb, ambient)) in pairs.iter().enumerate() {
        for (quantity, value) in [
            (Quantity::FirstGauge, ra),
            (Quantity::SecondGauge, rb),
            (Quantity::Ambient, ambient),
        ] {
            if !value.is_finite() {
                return Err(HoldFault::AbsurdReading {
                    index,
                    quantity,
                    value,
                    why: Why::NoNumber,
                });
            }
        }
        let inside = |g: &Gauge, r: f64| match g.kind {
            GaugeKind::BelowAmbient => ambient - r,
            GaugeKind::Absolute => r,
        };
        d.push(inside(a, ra) - inside(b, rb));
    }
    let n = d.len() as f64;
    let mean = d.iter().sum::<f64>() / n;
    let scatter = (d.len() > 1)
        .then(|| (d.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt());
    let allowed = a.reading_sd().hypot(b.reading_sd());
    Ok(Comparison {
        difference_pa: mean,
        allowed_sd_pa: allowed,
        scatter_pa: scatter,
        agree: mean.abs() <= 2.0 * allowed,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_kinds_of_gauge_are_compared_inside() {
        let a = Gauge {
            kind: GaugeKind::BelowAmbient,
            unit: PressureUnit::Mbar,
            resolution_pa: 100.0,
            accuracy_pa: 100.0,
        };
        let b = Gauge {
            kind: GaugeKind::Absolute,
            resolution_pa: 10.0,
            accuracy_pa: 50.0,
            ..a.clone()
        };
        let pairs = [
            (20_000.0, 81_300.0, 101_300.0),
            (19_900.0, 81_420.0, 101_300.0),
        ];
        let c = compare(&a, &b, &pairs).unwrap();
        assert!((c.difference_pa + 10.0).abs() < 1e-9, "{c:?}");
        assert!(c.agree && c.scatter_pa.is_some());
        let far = [(20_000.0, 80_900.0, 101_300.0)];
        let c = compare(&a, &b, &far).unwrap();
        assert!(!c.agree && c.scatter_pa.is_none());
        assert!(compare(&a, &b, &[]).is_err());
        assert!(compare(&a, &b, &[(f64::NAN, 1.0, 1.0)]).is_err());
    }
}
