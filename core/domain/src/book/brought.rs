//! What there is to know of a hold that comes from a file: whose it is, when it was, what it left
//! unsaid.

use chrono::{DateTime, SecondsFormat};

use crate::facts::{Noticed, ReadingFact};
use crate::hold_log::{HoldLog, LogWarning};
use crate::names;
use crate::rig::Enclosure;
use crate::state::EnclosureFacts;
use slackwater_physics::hold::GaugeKind;

/// The key that says when the valve was closed: ISO 8601 with its zone. Programs that don't know it
/// keep it.
const VALVE_CLOSED: &str = "valve_closed";

/// When the last reading of a log was made, or the last recheck after it, as it says, ms since 1970 UTC.
pub(super) fn until(log: &HoldLog, readings: &[ReadingFact]) -> Option<i64> {
    let later = log.later();
    let all = (readings.iter().map(|r| r.t_s)).chain(later.iter().map(|l| l.reading.t_s));
    let last_s = all.fold(0.0, f64::max);
    Some(when(log)?.saturating_add((1e3 * last_s).ceil() as i64))
}

/// Adds to a log when its valve was closed, ms since 1970 UTC.
pub(super) fn say_when(log: &mut HoldLog, started_ms: i64) {
    if let Some(at) = DateTime::from_timestamp_millis(started_ms) {
        let written = at.to_rfc3339_opts(SecondsFormat::Secs, true);
        log.unknown.push((VALVE_CLOSED.to_owned(), written));
    }
}

fn when(log: &HoldLog) -> Option<i64> {
    let (_, written) = log.unknown.iter().find(|(key, _)| key == VALVE_CLOSED)?;
    let at = DateTime::parse_from_rfc3339(written.trim()).ok()?;
    Some(at.timestamp_millis())
}

/// What is noticed of a log that is brought in for an enclosure, the gravest first.
pub(super) fn noticed(
    log: &HoldLog,
    def: &Enclosure,
    known: Option<&EnclosureFacts>,
) -> Vec<Noticed> {
    let mut found = Vec::new();
    if let Some(name) = &log.enclosure
        && !names::look_alike(name, &def.name)
    {
        found.push(Noticed::OtherEnclosure { name: name.clone() });
    }
    // The file writes what it was given; more than rounding makes it another's.
    let within = 2.0 * log.volume_sd_l.hypot(def.volume_sd_l) + 0.001 * def.volume_l;
    if (log.volume_l - def.volume_l).abs() > within {
        found.push(Noticed::OtherVolume {
            litres: log.volume_l,
        });
    }
    let last = known.and_then(|k| k.holds.iter().max_by_key(|h| h.started));
    if let Some(last) = last {
        let step_pa = log.unit.to_pa(log.resolution);
        let same = last.setup.absolute == (log.gauge == GaugeKind::Absolute)
            && last.setup.gauge_unit == log.unit.symbol()
            && (last.setup.gauge_resolution_pa - step_pa).abs() < 0.01 * step_pa;
        if !same {
            found.push(Noticed::OtherGauge {});
        }
    }
    let closed = known.and_then(|k| k.closed.as_ref()).map(|c| c.wall_ms);
    match (when(log), closed) {
        (None, _) => found.push(Noticed::WhenUnknown {}),
        (Some(at_ms), Some(closed)) if at_ms < closed => {
            found.push(Noticed::BeforeClosing { at_ms });
        }
        _ => {}
    }
    for w in &log.warnings {
        match w {
            // The rig's own limit and plan stand in for these.
            LogWarning::Assumed { key, .. }
                if matches!(
                    *key,
                    "limit_mL_per_dive"
                        | "dive_depth_m"
                        | "dive_minutes"
                        | "water_salinity_g_kg"
                        | "water_C"
                ) => {}
            LogWarning::Assumed { key, value } => found.push(Noticed::Assumed {
                key: (*key).to_owned(),
                value: value.clone(),
            }),
            LogWarning::UnknownKey { key, .. } if key == VALVE_CLOSED => {}
            LogWarning::UnknownKey { key, .. } => {
                found.push(Noticed::UnknownKey { key: key.clone() });
            }
            LogWarning::NoTemperatures => found.push(Noticed::NoTemperatures {}),
        }
    }
    let own_limit = !log
        .warnings
        .iter()
        .any(|w| matches!(w, LogWarning::Assumed { key, .. } if *key == "limit_mL_per_dive"));
    if own_limit && (log.limit_ml - def.limit()).abs() > 0.005 * def.limit() {
        found.push(Noticed::OtherLimit {
            limit_ml: log.limit_ml,
        });
    }
    if !log.wrong.is_empty() {
        found.push(Noticed::RowsLeftOut {
            rows: u32::try_from(log.wrong.len()).unwrap_or(u32::MAX),
        });
    }
    found
}
