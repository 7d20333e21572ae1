//! What the phone says of itself, and what of that a person should know.

use super::common::{Line, Mark, Place, Severity};
use super::cx::{Cx, line};
use super::hold::reading_due;
use super::names::enclosure_name;
use super::navigation::written;
use slackwater_domain::book::BookFault;
use slackwater_domain::rules::{HoldMissing, counting_hold};
use slackwater_domain::state::RigFacts;

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

/// How the phone is, as far as its platform tells. Figures only: what they mean is said on the screens.
#[derive(Debug, Clone, Default, PartialEq, Eq, uniffi::Record)]
pub struct PhoneState {
    /// Room left where the record is kept, bytes.
    pub free_bytes: Option<u64>,
    /// The battery's charge, %, 0 to 100.
    pub battery_percent: Option<u8>,
    /// Whether it is being charged.
    pub charging: Option<bool>,
    /// How a call for a reading comes through while the app is put away; none where it can't be told.
    pub calls: Option<Calls>,
}

/// How a call for a reading comes through while the app is put away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Calls {
    /// At its time.
    OnTime,
    /// Some minutes late, since the phone may put it off.
    MayBeLate,
    /// Not at all: the phone shows nothing of this app.
    Silent,
}

/// A reading that a running hold wants, for the phone to call for while the app is put away.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct DueReading {
    /// Hold id: one call a hold.
    pub hold: String,
    /// Milliseconds from now; 0 or less: it is due already.
    pub wait_ms: i64,
    /// 'Read the gauge of Main housing'.
    pub title: String,
    /// What it belongs to.
    pub text: String,
    /// What such calls are named in the phone's own settings.
    pub kind: String,
    /// Where the reading is entered, for `Screens.go`.
    pub at: String,
}

/// What was last heard of the phone. Nothing of it is recorded.
#[derive(Debug, Default)]
pub(super) struct Phone {
    air: Option<Air>,
    /// How it is.
    pub state: PhoneState,
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
            .filter(|a| (0..AIR_IS_NOW_MS).contains(&now_ms.saturating_sub(a.at_ms)))
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
        let step = format!(
            "{}\u{a0}{}",
            cx.units.plain(unit.from_pa(step), 1),
            unit.symbol()
        );
        said.push(cx.say("screen_hold_air_steps", &[("step", (&step).into())]));
    }
    if let Some(every) = air.every_s {
        let time = format!("{}\u{a0}s", cx.units.plain(every, 1));
        said.push(cx.say("screen_hold_air_often", &[("time", (&time).into())]));
    }
    said.join(" ")
}

/// Below this much room, bytes, a day's photos may not fit any more: about fifty.
const LITTLE_ROOM: u64 = 200_000_000;
/// Below this much, bytes, the record itself may not fit.
const NO_ROOM: u64 = 20_000_000;
/// Below this charge, %, a phone may not last through a hold.
const LOW_BATTERY: u8 = 20;

/// What stands in the way of recording, by the phone's own figures; never of readiness. With `holds`
/// also what a hold under way needs of the phone.
pub(super) fn remarks(cx: &Cx<'_>, holds: bool) -> Vec<Line> {
    let state = cx.phone;
    let notice = |text| line(text, Severity::Notice, Some(Mark::Hatched));
    let mut lines = Vec::new();
    if let Some(free) = state.free_bytes.filter(|f| *f < LITTLE_ROOM) {
        let left = format!("{}\u{a0}MB", free / 1_000_000);
        let key = if free < NO_ROOM {
            "common_phone_full"
        } else {
            "common_phone_nearly_full"
        };
        lines.push(notice(cx.say(key, &[("left", (&left).into())])));
    }
    if !holds {
        return lines;
    }
    if let Some(percent) = state.battery_percent.filter(|p| *p < LOW_BATTERY)
        && state.charging != Some(true)
    {
        let charge = format!("{percent}\u{a0}%");
        lines.push(notice(
            cx.say("common_phone_battery", &[("charge", (&charge).into())]),
        ));
    }
    match state.calls {
        Some(Calls::MayBeLate) => lines.push(notice(cx.t("common_phone_late"))),
        Some(Calls::Silent) => lines.push(notice(cx.t("common_phone_silent"))),
        Some(Calls::OnTime) | None => {}
    }
    lines
}

/// The holds of a rig that are under way, each with its enclosure.
pub(super) fn running_holds(rig: &RigFacts) -> Vec<(String, String)> {
    let running = |e| match counting_hold(rig, e) {
        Err(HoldMissing::Running { hold }) => Some((hold, e.id.clone())),
        _ => None,
    };
    rig.enclosures.iter().filter_map(running).collect()
}

/// The readings that the running holds of all rigs want next.
pub(super) fn due_readings(cx: &Cx<'_>) -> Result<Vec<DueReading>, BookFault> {
    let mut due = Vec::new();
    for entry in cx.book.rigs()? {
        let rig = cx.book.rig(&entry.id)?;
        for (hold, enclosure) in running_holds(&rig) {
            let judged = cx.book.hold(&hold)?;
            let Some(wait_ms) = reading_due(cx, &judged) else {
                continue;
            };
            let name = enclosure_name(&rig, &enclosure);
            due.push(DueReading {
                title: cx.say("common_call_title", &[("name", (&name).into())]),
                text: cx.say("common_call_text", &[("rig", (&entry.name).into())]),
                kind: cx.t("common_call_kind"),
                at: written(&Place::Hold {
                    hold: hold.clone(),
                    form: None,
                }),
                hold,
                wait_ms,
            });
        }
    }
    Ok(due)
}
