//! What is shut in with the gas and moves its pressure without a leak: how much, and how soon. Shared
//! by the hold and the recheck, so that both mean the same camera and the same packs.

use super::{Camera, Desiccant};
use crate::physics::gas::saturation_pressure;

/// How far the gas stands above the wall where a camera has run for long, K: least and most. Common
/// practice: 50 to 80 W into a few kilograms of metal in still gas.
pub const CAMERA_WARMS_K: (f64, f64) = (1.0, 8.0);
/// Time constant with which that warmth comes and goes, s: least and most. Common practice, as above.
pub const CAMERA_LAG_S: (f64, f64) = (480.0, 2400.0);
/// Largest share of the vapour that fresh packs take out of the air. Common practice.
pub const PACKS_TAKE: f64 = 0.9;
/// Time constant with which they do, s: least and most. Common practice.
pub const PACKS_LAG_S: (f64, f64) = (900.0, 5400.0);
/// Relative humidity of the air shut in, where nobody measured it: least and most, 0 to 1. Common
/// practice: a dry cabin to a wet deck.
pub const HUMIDITY: (f64, f64) = (0.2, 0.95);
/// How far a hygrometer may be off, 0 to 1. Common practice.
pub const HUMIDITY_OFF: f64 = 0.05;

/// Whether the gas may stand above the wall when the valve was closed, or come to: so unless the crew
/// says that nothing inside is warm.
#[must_use]
pub fn may_warm(camera: Option<Camera>) -> bool {
    camera != Some(Camera::Cold)
}

/// Whether vapour may be taken out of the air: so unless the crew says that there are no fresh packs.
#[must_use]
pub fn may_dry(desiccant: Option<Desiccant>) -> bool {
    desiccant != Some(Desiccant::None)
}

/// Least and most relative humidity of the air shut in, from what was measured at closing.
#[must_use]
pub fn humidity_between(measured: Option<f64>) -> (f64, f64) {
    measured.map_or(HUMIDITY, |rh| {
        (
            (rh - HUMIDITY_OFF).max(0.0),
            (rh + HUMIDITY_OFF).clamp(0.0, 1.0),
        )
    })
}

/// Vapour pressure in the gas once the vacuum is drawn, Pa: least and most. The pump takes vapour and
/// dry air in the same proportion, so what stays is the share `inside_pa`/`ambient_pa` of what was
/// shut in at `t_k` (K).
#[must_use]
pub fn vapour_shut_in(
    humidity: Option<f64>,
    t_k: f64,
    inside_pa: f64,
    ambient_pa: f64,
) -> (f64, f64) {
    let stays = (inside_pa / ambient_pa.max(1.0)).clamp(0.0, 1.0);
    let saturated = saturation_pressure(t_k) * stays;
    let (least, most) = humidity_between(humidity);
    (least * saturated, most * saturated)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_said_is_possible() {
        assert!(may_warm(None) && may_warm(Some(Camera::Warm)) && may_warm(Some(Camera::On)));
        assert!(!may_warm(Some(Camera::Cold)));
        assert!(may_dry(None) && may_dry(Some(Desiccant::Fresh)));
        assert!(!may_dry(Some(Desiccant::None)));
    }

    #[test]
    fn the_pump_takes_its_share_of_the_vapour() {
        // 3169.9 Pa at 25 °C (steam tables, Wagner & Pruß 2002); 60 % of it, four fifths of the gas
        // left: 1521.6 Pa, of which packs take at most nine tenths, 13.7 mbar.
        let (low, high) = vapour_shut_in(Some(0.6), 298.15, 80_000.0, 100_000.0);
        assert!(
            (0.5 * (low + high) / 1521.6 - 1.0).abs() < 4e-3,
            "{low} {high}"
        );
        let (low, high) = vapour_shut_in(None, 298.15, 80_000.0, 100_000.0);
        assert!(low > 400.0 && high < 0.8 * 3190.0, "{low} {high}");
        // Nothing but air that is as dry as can be.
        assert_eq!(vapour_shut_in(Some(0.0), 298.15, 8e4, 1e5).0, 0.0);
        assert!(vapour_shut_in(Some(1.0), 298.15, 2e5, 1e5).1 <= saturation_pressure(298.15));
    }
}
