//! The free volume of an enclosure, measured.
//!
//! Both ways are Boyle's law at one temperature (p·V of a fixed amount of gas stays the same;
//! ideal gas, dry air within 0.05 % of it at these pressures). Wait a few minutes between reading
//! and reading so that the gas is at the enclosure's temperature again.

/// A volume with its standard uncertainty, m³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredVolume {
    /// Best estimate, m³.
    pub volume_m3: f64,
    /// Standard uncertainty (1 sd), m³.
    pub sd_m3: f64,
}

/// What can't be measured from.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum VolumeFault {
    /// A quantity is not a finite number above zero.
    #[error("{what} is {value}; a number above zero is wanted")]
    NotPositive {
        /// The quantity, in words.
        what: &'static str,
        /// Its value, SI.
        value: f64,
    },
    /// The pressures are not in the order that the measurement makes.
    #[error("the pressures are {0}; {1}")]
    Order(String, &'static str),
    /// The change is too small to tell a volume from.
    #[error("the pressure changed by {change_pa:.0} Pa only, less than four times its uncertainty")]
    TooSmall {
        /// The change, Pa.
        change_pa: f64,
    },
}

fn positive(what: &'static str, value: f64) -> Result<f64, VolumeFault> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(VolumeFault::NotPositive { what, value })
    }
}

/// From a vessel of known volume, full of ambient air, opened into the evacuated enclosure:
/// V·p₁ + V_k·p_a = (V + V_k)·p₂, so V = V_k·(p_a − p₂)/(p₂ − p₁).
///
/// * `known_m3`, `known_sd_m3`: the vessel's volume with hoses, m³.
/// * `ambient_pa`: ambient pressure; `before_pa`, `after_pa`: absolute pressure in the enclosure
///   before and after, Pa.
/// * `reading_sd_pa`: standard uncertainty of each pressure, Pa.
///
/// # Errors
/// [`VolumeFault`] where the numbers can't come from this measurement.
pub fn from_known_volume(
    known_m3: f64,
    known_sd_m3: f64,
    ambient_pa: f64,
    before_pa: f64,
    after_pa: f64,
    reading_sd_pa: f64,
) -> Result<MeasuredVolume, VolumeFault> {
    positive("the known volume", known_m3)?;
    positive("ambient pressure", ambient_pa)?;
    positive("pressure before", before_pa)?;
    positive("pressure after", after_pa)?;
    if !(before_pa < after_pa && after_pa < ambient_pa) {
        return Err(VolumeFault::Order(
            format!("{before_pa:.0}, {after_pa:.0} and {ambient_pa:.0} Pa"),
            "before, after and ambient must rise in this order",
        ));
    }
    let (up, down) = (ambient_pa - after_pa, after_pa - before_pa);
    if down < 4.0 * reading_sd_pa {
        return Err(VolumeFault::TooSmall { change_pa: down });
    }
    let volume_m3 = known_m3 * up / down;
    // First-order propagation; the three pressures share no error.
    let by_ambient = known_m3 / down * reading_sd_pa;
    let by_before = volume_m3 / down * reading_sd_pa;
    let by_after = (known_m3 / down + volume_m3 / down) * reading_sd_pa;
    let by_known = up / down * known_sd_m3;
    let sd_m3 = [by_ambient, by_before, by_after, by_known]
        .iter()
        .map(|x| x * x)
        .sum::<f64>()
        .sqrt();
    Ok(MeasuredVolume { volume_m3, sd_m3 })
}

/// From the strokes of a hand pump that takes a known volume each time:
/// p_n = p₀·(V/(V + V_s))ⁿ, so V = V_s/((p₀/p_n)^(1/n) − 1).
///
/// * `stroke_m3`, `stroke_sd_m3`: what one stroke takes, m³ (with dead volume taken off).
/// * `strokes`: how many, full ones.
/// * `before_pa`, `after_pa`: absolute pressure in the enclosure, Pa.
/// * `reading_sd_pa`: standard uncertainty of each pressure, Pa.
///
/// # Errors
/// [`VolumeFault`] where the numbers can't come from this measurement.
pub fn from_strokes(
    stroke_m3: f64,
    stroke_sd_m3: f64,
    strokes: u32,
    before_pa: f64,
    after_pa: f64,
    reading_sd_pa: f64,
) -> Result<MeasuredVolume, VolumeFault> {
    positive("the stroke", stroke_m3)?;
    positive("the number of strokes", f64::from(strokes))?;
    positive("pressure before", before_pa)?;
    positive("pressure after", after_pa)?;
    if after_pa >= before_pa {
        return Err(VolumeFault::Order(
            format!("{before_pa:.0} and {after_pa:.0} Pa"),
            "pumping must lower the pressure",
        ));
    }
    if before_pa - after_pa < 4.0 * reading_sd_pa {
        return Err(VolumeFault::TooSmall {
            change_pa: before_pa - after_pa,
        });
    }
    let n = f64::from(strokes);
    let ratio = (before_pa / after_pa).powf(1.0 / n);
    let volume_m3 = stroke_m3 / (ratio - 1.0);
    let slope = stroke_m3 / (ratio - 1.0).powi(2) * ratio / n;
    let by_before = slope / before_pa * reading_sd_pa;
    let by_after = slope / after_pa * reading_sd_pa;
    let by_stroke = stroke_sd_m3 / (ratio - 1.0);
    let sd_m3 = [by_before, by_after, by_stroke]
        .iter()
        .map(|x| x * x)
        .sum::<f64>()
        .sqrt();
    Ok(MeasuredVolume { volume_m3, sd_m3 })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Boyle's own proportion: equal volumes at 1 and ½ share out at ¾.
    #[test]
    fn a_known_volume_shares_its_gas() {
        let v = from_known_volume(1e-3, 0.0, 100_000.0, 50_000.0, 75_000.0, 1.0).unwrap();
        assert!((v.volume_m3 - 1e-3).abs() < 1e-12);
        // And back from a 12 L housing: p₂ = (12·p₁ + 0.5·p_a)/12.5.
        let after = (12.0 * 80_000.0 + 0.5 * 101_325.0) / 12.5;
        let v = from_known_volume(0.5e-3, 0.0, 101_325.0, 80_000.0, after, 10.0).unwrap();
        assert!((v.volume_m3 - 12e-3).abs() < 1e-12);
        assert!(v.sd_m3 > 0.0);
    }

    #[test]
    fn strokes_take_a_share_each() {
        let (v, s) = (12e-3, 60e-6);
        let after = 101_325.0 * f64::powi(v / (v + s), 40);
        let m = from_strokes(s, 0.0, 40, 101_325.0, after, 50.0).unwrap();
        assert!((m.volume_m3 - v).abs() < 1e-12);
        // Uncertainty against a finite difference.
        let bent = from_strokes(s, 0.0, 40, 101_325.0, after + 50.0, 50.0).unwrap();
        let bent2 = from_strokes(s, 0.0, 40, 101_375.0, after, 50.0).unwrap();
        let by_hand = (bent.volume_m3 - v).hypot(bent2.volume_m3 - v);
        assert!(
            (m.sd_m3 / by_hand - 1.0).abs() < 0.02,
            "{} {by_hand}",
            m.sd_m3
        );
    }

    #[test]
    fn what_cannot_be_is_named() {
        assert!(from_known_volume(-1.0, 0.0, 1e5, 5e4, 7e4, 1.0).is_err());
        assert!(from_known_volume(1e-3, 0.0, 1e5, 8e4, 7e4, 1.0).is_err());
        assert!(matches!(
            from_known_volume(1e-3, 0.0, 1e5, 7e4, 7.0002e4, 10.0),
            Err(VolumeFault::TooSmall { .. })
        ));
        assert!(from_strokes(1e-4, 0.0, 0, 1e5, 8e4, 1.0).is_err());
        assert!(from_strokes(1e-4, 0.0, 9, 8e4, 1e5, 1.0).is_err());
        assert!(from_strokes(f64::NAN, 0.0, 9, 1e5, 8e4, 1.0).is_err());
    }
}
