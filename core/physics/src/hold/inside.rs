//! What is shut in with the gas and moves its pressure without a leak: how much, how soon, and how
//! likely where nobody said. The one home of these bounds, shared by the hold's fit, its verdict and the
//! recheck, so that all mean the same camera and the same packs.

use super::{Camera, Desiccant, GaugeKind, HoldInput, Stood, TemperatureSource};
use crate::gas::{ATM, saturation_pressure};

/// How far the gas stands above the wall where a camera has run for long, K: least and most. Common
/// practice: 50 to 80 W into a few kilograms of metal in still gas.
pub const CAMERA_WARMS_K: (f64, f64) = (1.0, 8.0);
/// Time constant with which that warmth comes and goes, s: least and most. Common practice, as above.
pub const CAMERA_LAG_S: (f64, f64) = (480.0, 2400.0);
/// How long something inside must have been off to count as cold, s. Common practice: an hour, after
/// which the slowest warmth of [`CAMERA_LAG_S`] is down to a fifth.
pub(super) const COLD_AFTER_S: f64 = 3600.0;
/// What a sensor in the gas may miss of such a warmth, K (1 sd): it hangs at one place in a gas that
/// rises from the camera. A thirtieth of the mean warmth, as of the settling. Common practice.
pub(super) const CAMERA_UNSEEN_K: f64 = 0.03 * 4.0;
/// What a running camera may put the wall above the air, K (1 sd), where only the air is measured:
/// 65 W through half a square metre at 10 W/(m²·K), half of which a hold sees. Common practice.
pub(super) const WALL_OVER_AIR_K: f64 = 6.0;
/// What a wall that came from elsewhere (a car, the sun, a rinse tank) may be from the air, K (1 sd).
/// Common practice.
pub(super) const WALL_MOVED_K: f64 = 8.0;
/// Time constant with which an enclosure that came out of water takes on the air's temperature, s, the
/// slowest: 40 min of 20 to 40 for a metal housing of 12 L. Common practice; by the heat balance of 10 kg
/// of metal (0.9 kJ/(kg·K)) behind half a square metre at 10 W/(m²·K), 30 min.
pub const COLD_LEAVES_S: f64 = 2400.0;
/// Share of that cold which a probe on the wall does not see: what stands inside is as cold, and the gas
/// lies between the two. Common practice.
pub(super) const PROBE_MISSES_COLD: f64 = 0.5;
/// Largest share of the vapour that fresh packs take out of the air. Common practice.
pub const PACKS_TAKE: f64 = 0.9;
/// Time constant with which they do, s: least and most. Common practice.
pub const PACKS_LAG_S: (f64, f64) = (900.0, 5400.0);
/// Relative humidity of the air shut in, where nobody measured it: least and most, 0 to 1. Common
/// practice: a dry cabin to a wet deck.
pub const HUMIDITY: (f64, f64) = (0.2, 0.95);
/// How far a hygrometer may be off, 0 to 1. Common practice.
pub const HUMIDITY_OFF: f64 = 0.05;
/// How warm the air shut in may have been where nobody measured it, K: 35 °C. Common practice.
const WARM_DAY_K: f64 = 308.15;
/// Least air pressure that is reckoned with where no barometer was read, Pa: 2,500 m in the standard atmosphere
/// (ISO 2533). Common practice: no rig is dived higher, nor driven further between its hold and its dive.
pub(super) const LEAST_AIR_PA: f64 = 74_700.0;
/// Least vacuum that a hold is begun with, Pa, where an absolute gauge shows none without a barometer. Common
/// practice: 100 mbar.
const LEAST_VACUUM_PA: f64 = 10_000.0;
/// How likely each is where nobody said: none of them rare, so that none is ever ruled out but by the
/// readings. A choice, not a count.
pub(super) const UNSAID_CAMERA: [(Camera, f64); 3] =
    [(Camera::Cold, 0.4), (Camera::Warm, 0.3), (Camera::On, 0.3)];
/// The same of packs.
pub(super) const UNSAID_PACKS: [(Desiccant, f64); 2] =
    [(Desiccant::None, 0.6), (Desiccant::Fresh, 0.4)];
/// The same of an enclosure that came from elsewhere.
pub(super) const UNSAID_MOVED: f64 = 0.3;

/// How many times the leak may be what it is at the standard atmosphere, because the air may be thinner: by what
/// drives it, Pₐ² − P². 1 where a barometer was read. A gauge below ambient shows Pₐ − P itself, an absolute one P.
pub(super) fn thin_air(h: &HoldInput) -> f64 {
    let Some(first) = h.readings.first() else {
        return 1.0;
    };
    if h.readings.iter().any(|r| r.ambient_pa.is_some()) {
        return 1.0;
    }
    let shown = first.gauge_pa - h.zero_pa;
    let (p, thin, least) = match h.gauge {
        GaugeKind::BelowAmbient => (ATM - shown, LEAST_AIR_PA - shown, LEAST_AIR_PA),
        GaugeKind::Absolute => (shown, shown, LEAST_AIR_PA.max(shown + LEAST_VACUUM_PA)),
    };
    let drive = |air: f64, inside: f64| air * air - inside * inside;
    (drive(ATM, p) / drive(least, thin)).max(1.0)
}

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

/// How likely it is that the enclosure came from elsewhere.
pub(super) fn moved(stood: Option<Stood>) -> f64 {
    match stood {
        Some(Stood::Here) => 0.0,
        Some(Stood::Moved) => 1.0,
        None => UNSAID_MOVED,
    }
}

/// How far the gas may cool within `dt` seconds without any leak, K, by a camera that was switched off.
pub(super) fn camera_cools(camera: Option<Camera>, dt: f64) -> f64 {
    if may_warm(camera) {
        CAMERA_WARMS_K.1 * (1.0 - (-dt / CAMERA_LAG_S.0).exp())
    } else {
        0.0
    }
}

/// What fresh packs may take within `dt` seconds at the most, Pa, of `most` in all.
pub(super) fn packs_take(desiccant: Option<Desiccant>, most: f64, dt: f64) -> f64 {
    if may_dry(desiccant) {
        most * (1.0 - (-dt / PACKS_LAG_S.0).exp())
    } else {
        0.0
    }
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

/// What fresh packs take at the most, Pa: of the vapour that gas at `p` (Pa), never warmer than
/// `warmest` (K), held when the valve was closed.
pub(super) fn packs_at_most(
    h: &HoldInput,
    source: TemperatureSource,
    p: f64,
    warmest: f64,
    ambient: &[f64],
) -> f64 {
    let outside = ambient.first().copied().unwrap_or(ATM);
    let closing = match source {
        TemperatureSource::None => warmest.max(WARM_DAY_K),
        // Air that a camera warmed holds more.
        TemperatureSource::Surface | TemperatureSource::Air if may_warm(h.shut_in.camera) => {
            warmest + 0.5 * CAMERA_WARMS_K.1
        }
        _ => warmest,
    };
    PACKS_TAKE * vapour_shut_in(h.humidity, closing, p, outside).1
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
    fn what_moves_the_pressure_without_a_leak_ends_at_its_bound() {
        assert_eq!(camera_cools(Some(Camera::Cold), 1e6), 0.0);
        assert_eq!(packs_take(Some(Desiccant::None), 2_000.0, 1e6), 0.0);
        for camera in [None, Some(Camera::Warm), Some(Camera::On)] {
            assert!((camera_cools(camera, 1e6) - 8.0).abs() < 1e-9);
            // After its time constant 1 − 1/e of it.
            assert!((camera_cools(camera, 480.0) - 8.0 * 0.632_12).abs() < 1e-4);
        }
        assert!((packs_take(None, 2_000.0, 900.0) - 2_000.0 * 0.632_12).abs() < 0.01);
        let unsaid: f64 = UNSAID_CAMERA.iter().map(|c| c.1).sum();
        assert!((unsaid - 1.0).abs() < 1e-12);
        assert!((UNSAID_PACKS.iter().map(|p| p.1).sum::<f64>() - 1.0).abs() < 1e-12);
        assert_eq!(
            (moved(Some(Stood::Here)), moved(Some(Stood::Moved))),
            (0.0, 1.0)
        );
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
