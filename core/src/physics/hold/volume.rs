//! The free gas volume of an enclosure: estimated from the rig, or measured by Boyle's law.

use super::HoldFault;

/// A volume with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Volume {
    /// m³.
    pub m3: f64,
    /// 1 sd, m³.
    pub sd_m3: f64,
}

/// A pressure with its standard uncertainty, absolute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressure {
    /// Pa, absolute.
    pub pa: f64,
    /// 1 sd, Pa.
    pub sd_pa: f64,
}

fn positive(what: &'static str, value: f64) -> Result<(), HoldFault> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(HoldFault::Absurd {
            what,
            value,
            why: "more than 0 is needed",
            range: None,
        })
    }
}

fn spread(what: &'static str, value: f64) -> Result<(), HoldFault> {
    if value.is_finite() && value >= 0.0 {
        Ok(())
    } else {
        Err(HoldFault::Absurd {
            what,
            value,
            why: "0 or more is needed",
            range: None,
        })
    }
}

/// Free volume from the rig: what the closed enclosure displaces less its own walls and what is in it.
///
/// # Errors
/// [`HoldFault`] where nothing is left, or a quantity can't be.
pub fn estimated(
    displaced: Volume,
    walls: Volume,
    contents: &[Volume],
) -> Result<Volume, HoldFault> {
    positive("the displaced volume", displaced.m3)?;
    spread("the volume of the walls", walls.m3)?;
    let mut m3 = displaced.m3 - walls.m3;
    let mut var = displaced.sd_m3.powi(2) + walls.sd_m3.powi(2);
    for c in contents {
        spread("the volume of something inside", c.m3)?;
        spread("its uncertainty", c.sd_m3)?;
        m3 -= c.m3;
        var += c.sd_m3.powi(2);
    }
    if m3 <= 0.0 {
        return Err(HoldFault::Absurd {
            what: "the free volume",
            value: m3,
            why: "the contents are larger than the enclosure",
            range: None,
        });
    }
    Ok(Volume {
        m3,
        sd_m3: var.sqrt(),
    })
}

/// Free volume from a known volume opened into the evacuated enclosure.
///
/// The enclosure is at `before`, the known volume at `known_at`; opened to each other both come to
/// `after`. At one temperature V·p_before + v·p_known = (V + v)·p_after (Boyle), so that
/// V = v·(p_known − p_after)/(p_after − p_before). Uncertainty to first order; the temperature must
/// have settled again before `after` is read.
///
/// # Errors
/// [`HoldFault`] where `after` does not lie between the two pressures, or a quantity can't be.
pub fn by_known_volume(
    known: Volume,
    known_at: Pressure,
    before: Pressure,
    after: Pressure,
) -> Result<Volume, HoldFault> {
    positive("the known volume", known.m3)?;
    spread("the known volume's uncertainty", known.sd_m3)?;
    for (what, p) in [
        ("the known volume's pressure", known_at),
        ("the pressure before", before),
        ("the pressure after", after),
    ] {
        positive(what, p.pa)?;
        spread("a pressure's uncertainty", p.sd_pa)?;
    }
    let (fall, rise) = (known_at.pa - after.pa, after.pa - before.pa);
    if fall * rise <= 0.0 {
        return Err(HoldFault::Absurd {
            what: "the pressure after",
            value: after.pa,
            why: "it must lie between the two pressures before, Pa",
            range: None,
        });
    }
    let m3 = known.m3 * fall / rise;
    let by_after = -known.m3 * (fall + rise) / (rise * rise);
    let var = (fall / rise * known.sd_m3).powi(2)
        + (known.m3 / rise * known_at.sd_pa).powi(2)
        + (m3 / rise * before.sd_pa).powi(2)
        + (by_after * after.sd_pa).powi(2);
    Ok(Volume {
        m3,
        sd_m3: var.sqrt(),
    })
}

/// Free volume from the strokes of a hand pump.
///
/// Each full stroke of swept volume s takes the share V/(V + s) of the pressure at hand (Boyle, slow
/// strokes), so that after n strokes p_n = p_0·(V/(V + s))ⁿ and V = s/((p_0/p_n)^(1/n) − 1). Dead
/// volume and leaking valves of the pump make V come out too large: `stroke`'s uncertainty should
/// hold 10 % for them (common practice).
///
/// # Errors
/// [`HoldFault`] where the pressure did not fall, or a quantity can't be.
pub fn by_strokes(
    stroke: Volume,
    strokes: u32,
    before: Pressure,
    after: Pressure,
) -> Result<Volume, HoldFault> {
    positive("the pump's stroke", stroke.m3)?;
    spread("the stroke's uncertainty", stroke.sd_m3)?;
    positive("the number of strokes", f64::from(strokes))?;
    for (what, p) in [
        ("the pressure before", before),
        ("the pressure after", after),
    ] {
        positive(what, p.pa)?;
        spread("a pressure's uncertainty", p.sd_pa)?;
    }
    let ratio = before.pa / after.pa;
    if ratio <= 1.0 {
        return Err(HoldFault::Absurd {
            what: "the pressure after",
            value: after.pa,
            why: "the strokes must have lowered it, Pa",
            range: None,
        });
    }
    let n = f64::from(strokes);
    let root = ratio.powf(1.0 / n);
    let m3 = stroke.m3 / (root - 1.0);
    // dV/d(ln ratio) = −V·root/(n·(root − 1)).
    let by_ratio = m3 * root / (n * (root - 1.0));
    let ln_var = (before.sd_pa / before.pa).powi(2) + (after.sd_pa / after.pa).powi(2);
    let var = (m3 / stroke.m3 * stroke.sd_m3).powi(2) + by_ratio * by_ratio * ln_var;
    Ok(Volume {
        m3,
        sd_m3: var.sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pa(pa: f64) -> Pressure {
        Pressure { pa, sd_pa: 30.0 }
    }

    #[test]
    fn a_known_volume_gives_it_back() {
        // 10 L at 800 mbar and 1 L at 1000 mbar: (10·800 + 1·1000)/11 = 818.18 mbar.
        let after = (10.0 * 80_000.0 + 100_000.0) / 11.0;
        let known = Volume {
            m3: 1e-3,
            sd_m3: 1e-5,
        };
        let v = by_known_volume(known, pa(100_000.0), pa(80_000.0), pa(after)).unwrap();
        assert!((v.m3 - 0.01).abs() < 1e-12, "{v:?}");
        // By hand: 1818 Pa rise with 30 Pa on both ends.
        assert!(v.sd_m3 > 1e-4 && v.sd_m3 < 5e-4, "{v:?}");
        assert!(by_known_volume(known, pa(100_000.0), pa(80_000.0), pa(79_000.0)).is_err());
    }

    #[test]
    fn strokes_give_it_back() {
        let mut p = 101_325.0;
        for _ in 0..25 {
            p *= 12.0 / 12.1;
        }
        let stroke = Volume {
            m3: 1e-4,
            sd_m3: 1e-5,
        };
        let v = by_strokes(stroke, 25, pa(101_325.0), pa(p)).unwrap();
        assert!((v.m3 - 0.012).abs() < 1e-9, "{v:?}");
        assert!((v.sd_m3 / v.m3 - 0.1).abs() < 0.005, "{v:?}");
        assert!(by_strokes(stroke, 0, pa(101_325.0), pa(p)).is_err());
        assert!(by_strokes(stroke, 3, pa(101_325.0), pa(101_400.0)).is_err());
    }

    #[test]
    fn a_rig_leaves_what_its_contents_leave() {
        let l = |l: f64, sd: f64| Volume {
            m3: l * 1e-3,
            sd_m3: sd * 1e-3,
        };
        let v = estimated(l(18.0, 0.3), l(3.0, 0.2), &[l(2.5, 0.2), l(0.5, 0.1)]).unwrap();
        assert!((v.m3 - 0.012).abs() < 1e-12);
        assert!((v.sd_m3 - 1e-3 * 0.18_f64.sqrt()).abs() < 1e-12);
        assert!(estimated(l(2.0, 0.1), l(1.0, 0.1), &[l(1.5, 0.1)]).is_err());
    }
}
