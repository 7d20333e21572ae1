//! What the phone says of itself, and what of that a person should know.

use super::cx::Cx;
use super::measures::plain;

/// The air pressure outside by the phone's own barometer, as its platform gives it.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct AirReading {
    /// Pa.
    pub pressure_pa: f64,
    /// The error that the maker states, Pa (1 sd); none where none is stated: 2 mbar is allowed for.
    pub error_pa: Option<f64>,
    /// The smallest step it can show, Pa; none where unknown. It says nothing of the error.
    #[uniffi(default = None)]
    pub step_pa: Option<f64>,
    /// Seconds from one figure to the next; none where unknown.
    #[uniffi(default = None)]
    pub every_s: Option<f64>,
}

/// What was last heard of the phone. Nothing of it is recorded.
#[derive(Debug, Default)]
pub(super) struct Phone {
    air: Option<Air>,
    /// Why its key store gives no secret, where it should.
    pub without_secret: Option<String>,
}

/// The air pressure by this phone's own barometer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Pa.
    pub pressure_pa: f64,
    /// What its maker states or else what is allowed for, Pa (1 sd).
    pub error_pa: f64,
    /// The maker states it.
    stated: bool,
    step_pa: Option<f64>,
    every_s: Option<f64>,
    /// Wall time, ms.
    at_ms: i64,
}

/// How long a pressure offered by the shell counts as now, ms.
const AIR_IS_NOW_MS: i64 = 2 * 60_000;
/// Offset of a phone's barometer where nothing is stated, Pa (1 sd). Common practice: up to 2 mbar.
const PHONE_ERROR_PA: f64 = 200.0;

impl Phone {
    /// Passes over what no air has.
    pub fn hear_air(&mut self, heard: &AirReading, now_ms: i64) {
        if !(30_000.0..=120_000.0).contains(&heard.pressure_pa) {
            return;
        }
        let positive = |v: Option<f64>| v.filter(|v| v.is_finite() && *v > 0.0);
        let stated = positive(heard.error_pa);
        self.air = Some(Air {
            pressure_pa: heard.pressure_pa,
            error_pa: stated.unwrap_or(PHONE_ERROR_PA),
            stated: stated.is_some(),
            step_pa: positive(heard.step_pa),
            every_s: positive(heard.every_s),
            at_ms: now_ms,
        });
    }

    /// The pressure, while it counts as now.
    pub fn air(&self, now_ms: i64) -> Option<Air> {
        self.air
            .filter(|a| (0..AIR_IS_NOW_MS).contains(&(now_ms - a.at_ms)))
    }
}

/// How far the phone's barometer can be believed: whose error that is, its step, its rate.
pub(super) fn air_hint(cx: &Cx<'_>, air: &Air) -> String {
    let mut said = vec![cx.t(if air.stated {
        "screen_hold_air_stated"
    } else {
        "screen_hold_air_assumed"
    })];
    if let Some(step) = air.step_pa {
        let unit = cx.units.pressure;
        let step = format!("{}\u{a0}{}", plain(unit.from_pa(step), 1), unit.symbol());
        said.push(cx.say("screen_hold_air_steps", &[("step", (&step).into())]));
    }
    if let Some(every) = air.every_s {
        let time = format!("{}\u{a0}s", plain(every, 1));
        said.push(cx.say("screen_hold_air_often", &[("time", (&time).into())]));
    }
    said.join(" ")
}
