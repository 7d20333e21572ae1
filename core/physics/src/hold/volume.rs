//! The free gas volume of an enclosure: estimated from the rig, or measured by Boyle's law.
//!
//! Each way of measuring has its own law, and none is another's: a bottle keeps its volume when it is
//! opened into the enclosure, a syringe gives its volume up.

use super::{HoldFault, Quantity, Range, RangeOf, Why};

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

fn positive(quantity: Quantity, value: f64) -> Result<(), HoldFault> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(HoldFault::absurd(quantity, value, Why::AboveZero))
    }
}

fn spread(quantity: Quantity, value: f64) -> Result<(), HoldFault> {
    if value.is_finite() && value >= 0.0 {
        Ok(())
    } else {
        Err(HoldFault::absurd(quantity, value, Why::NotBelowZero))
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
    positive(Quantity::Displaced, displaced.m3)?;
    spread(Quantity::Walls, walls.m3)?;
    let mut m3 = displaced.m3 - walls.m3;
    let mut var = displaced.sd_m3.powi(2) + walls.sd_m3.powi(2);
    for c in contents {
        spread(Quantity::Contents, c.m3)?;
        spread(Quantity::ContentsError, c.sd_m3)?;
        m3 -= c.m3;
        var += c.sd_m3.powi(2);
    }
    if m3 <= 0.0 {
        return Err(HoldFault::absurd(
            Quantity::FreeVolume,
            m3,
            Why::ContentsTooLarge,
        ));
    }
    Ok(Volume {
        m3,
        sd_m3: var.sqrt(),
    })
}

/// What the free volume of an enclosure on a camera rig can be, m³ (common practice: a small light to
/// the largest housings, with room to spare).
pub const PLAUSIBLE_M3: (f64, f64) = (0.05e-3, 200e-3);

/// Refuses a volume that no enclosure has, and one that is hardly known: 1 sd above half of it.
///
/// # Errors
/// [`HoldFault`] names which.
pub fn plausible(v: Volume) -> Result<Volume, HoldFault> {
    let (low, high) = PLAUSIBLE_M3;
    if !(low..=high).contains(&v.m3) {
        return Err(HoldFault::absurd(
            Quantity::FreeVolume,
            v.m3,
            Why::Outside {
                range: Range {
                    low,
                    high,
                    of: RangeOf::Volume,
                },
                said: "no enclosure of a rig is so small or so large",
            },
        ));
    }
    if v.sd_m3.is_nan() || v.sd_m3 > v.m3 / 2.0 {
        return Err(HoldFault::absurd(
            Quantity::FreeVolumeError,
            v.sd_m3,
            Why::ReadingsTooNear,
        ));
    }
    Ok(v)
}

/// Free volume from a syringe of outside air that the evacuated enclosure takes in whole.
///
/// The syringe holds `air` at `ambient`; its plunger goes in to the end, so that all of its air is
/// in the enclosure and nothing of its volume is left: V·p_before + v·p_ambient = V·p_after (Boyle, at
/// one temperature), and V = v·p_ambient/(p_after − p_before). Uncertainty to first order; the
/// temperature must have settled again before `after` is read.
///
/// # Errors
/// [`HoldFault`] where the pressure did not rise or is above the air outside, or a quantity can't be.
pub fn by_syringe(
    air: Volume,
    ambient: Pressure,
    before: Pressure,
    after: Pressure,
) -> Result<Volume, HoldFault> {
    positive(Quantity::SyringeAir, air.m3)?;
    spread(Quantity::SyringeError, air.sd_m3)?;
    for (quantity, p) in [
        (Quantity::PressureOutside, ambient),
        (Quantity::PressureBefore, before),
        (Quantity::PressureAfter, after),
    ] {
        positive(quantity, p.pa)?;
        spread(Quantity::PressureError, p.sd_pa)?;
    }
    let rise = after.pa - before.pa;
    if rise <= 0.0 || after.pa > ambient.pa {
        return Err(HoldFault::absurd(
            Quantity::PressureAfter,
            after.pa,
            Why::AirTookNothingOrAll,
        ));
    }
    let m3 = air.m3 * ambient.pa / rise;
    let var = (ambient.pa / rise * air.sd_m3).powi(2)
        + (air.m3 / rise * ambient.sd_pa).powi(2)
        + (m3 / rise).powi(2) * (before.sd_pa.powi(2) + after.sd_pa.powi(2));
    Ok(Volume {
        m3,
        sd_m3: var.sqrt(),
    })
}

/// Free volume from a rigid vessel of known volume opened into the evacuated enclosure.
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
    positive(Quantity::KnownVolume, known.m3)?;
    spread(Quantity::KnownVolumeError, known.sd_m3)?;
    for (quantity, p) in [
        (Quantity::KnownVolumePressure, known_at),
        (Quantity::PressureBefore, before),
        (Quantity::PressureAfter, after),
    ] {
        positive(quantity, p.pa)?;
        spread(Quantity::PressureError, p.sd_pa)?;
    }
    let (fall, rise) = (known_at.pa - after.pa, after.pa - before.pa);
    if fall * rise <= 0.0 {
        return Err(HoldFault::absurd(
            Quantity::PressureAfter,
            after.pa,
            Why::NotBetween,
        ));
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
    positive(Quantity::Stroke, stroke.m3)?;
    spread(Quantity::StrokeError, stroke.sd_m3)?;
    positive(Quantity::Strokes, f64::from(strokes))?;
    for (quantity, p) in [
        (Quantity::PressureBefore, before),
        (Quantity::PressureAfter, after),
    ] {
        positive(quantity, p.pa)?;
        spread(Quantity::PressureError, p.sd_pa)?;
    }
    let ratio = before.pa / after.pa;
    if ratio <= 1.0 {
        return Err(HoldFault::absurd(
            Quantity::PressureAfter,
            after.pa,
            Why::NotLowered,
        ));
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

    /// Moles of an ideal gas, for worked examples reckoned apart from the formulas: pV/RT, R of the
    /// 2018 CODATA values.
    fn moles(pa: f64, m3: f64) -> f64 {
        pa * m3 / (8.314_462_618 * 293.15)
    }

    fn pressure_of(moles: f64, m3: f64) -> f64 {
        moles * 8.314_462_618 * 293.15 / m3
    }

    #[test]
    fn a_syringe_and_a_bottle_each_give_back_what_they_were_opened_into() {
        // Seen: the syringe's readings in the bottle's formula gave 2.50 L for 12.7 L.
        let (v, small) = (12.7e-3, 0.5e-3);
        let (ambient, before) = (101_325.0, 81_325.0);
        let air = Volume {
            m3: small,
            sd_m3: 5e-6,
        };
        // The syringe: its moles go in, its volume does not stay.
        let in_all = moles(before, v) + moles(ambient, small);
        let syringe = pressure_of(in_all, v);
        let found = by_syringe(air, pa(ambient), pa(before), pa(syringe)).unwrap();
        assert!((found.m3 - v).abs() < 1e-9, "{found:?}");
        // The bottle: it stays open to the enclosure.
        let bottle = pressure_of(in_all, v + small);
        let found = by_known_volume(air, pa(ambient), pa(before), pa(bottle)).unwrap();
        assert!((found.m3 - v).abs() < 1e-9, "{found:?}");
        // Mixed up, they differ about as the vacuum does from the air outside.
        let mixed = by_known_volume(air, pa(ambient), pa(before), pa(syringe)).unwrap();
        assert!(mixed.m3 < 0.2 * v, "{mixed:?}");
    }

    #[test]
    fn a_syringes_uncertainty_is_that_of_many_tries() {
        let (v, small, ambient, before) = (12.7e-3, 0.5e-3, 101_325.0, 81_325.0);
        let after = pressure_of(moles(before, v) + moles(ambient, small), v);
        let air = |m3| Volume { m3, sd_m3: 1e-5 };
        let p = |pa, sd_pa| Pressure { pa, sd_pa };
        let told = by_syringe(
            air(small),
            p(ambient, 100.0),
            p(before, 30.0),
            p(after, 30.0),
        )
        .unwrap();
        // Each error alone, one standard deviation up; they add in squares.
        let alone = [
            by_syringe(air(small + 1e-5), pa(ambient), pa(before), pa(after)),
            by_syringe(air(small), pa(ambient + 100.0), pa(before), pa(after)),
            by_syringe(air(small), pa(ambient), pa(before + 30.0), pa(after)),
            by_syringe(air(small), pa(ambient), pa(before), pa(after + 30.0)),
        ];
        let sum: f64 = alone
            .into_iter()
            .map(|r| (r.unwrap().m3 - v).powi(2))
            .sum::<f64>();
        assert!((told.sd_m3 / sum.sqrt() - 1.0).abs() < 0.05, "{told:?}");
    }

    #[test]
    fn what_can_not_be_is_refused() {
        let air = Volume {
            m3: 5e-4,
            sd_m3: 5e-6,
        };
        // No rise, and pushed above the air outside.
        for after in [80_000.0, 79_000.0, 102_000.0] {
            assert!(by_syringe(air, pa(101_325.0), pa(80_000.0), pa(after)).is_err());
        }
        for (m3, sd_m3) in [
            (4e-5, 1e-6),
            (0.21, 1e-3),
            (0.01, 0.006),
            (-0.003, 1e-3),
            (f64::NAN, 1e-3),
            (0.01, f64::NAN),
        ] {
            assert!(plausible(Volume { m3, sd_m3 }).is_err(), "{m3} {sd_m3}");
        }
        assert!(
            plausible(Volume {
                m3: 0.0127,
                sd_m3: 2e-4
            })
            .is_ok()
        );
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
