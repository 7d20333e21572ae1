//! How old something is, by whichever clock says more.

use crate::domain::state::{SealFacts, Seen};
use crate::journal::Hlc;

/// How far in the future a time may lie before the clock counts as set back, ms.
pub(in crate::domain) const CLOCK_SLACK_MS: i64 = 60_000;

/// Days in ms.
pub(in crate::domain) const DAY_MS: i64 = 86_400_000;

/// What time it is, by both clocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Now {
    /// The device's clock, ms since 1970 UTC.
    pub wall_ms: i64,
    /// The newest event known: time can't be before it.
    pub newest: Hlc,
    /// The latest time that this device's clock ever showed, ms, and the newest event known then.
    /// What was recorded up to that event is at least as old as that.
    pub latest_seen: (i64, Hlc),
}

impl Now {
    /// A time of which nothing else is known.
    pub fn at(wall_ms: i64, newest: Hlc) -> Now {
        Now {
            wall_ms,
            newest,
            latest_seen: (wall_ms, newest),
        }
    }
}

/// Something was seen in the future: the clock was set back since.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("it lies in the future: the clock was set back")]
pub struct ClockSetBack;

/// The age of something seen, by whichever clock says more.
///
/// # Errors
/// It lies in the future: the clock was set back.
pub fn age_ms(seen: &Seen, now: Now) -> Result<i64, ClockSetBack> {
    if seen.wall_ms > now.wall_ms.saturating_add(CLOCK_SLACK_MS) {
        return Err(ClockSetBack);
    }
    let by_wall = now.wall_ms.saturating_sub(seen.wall_ms);
    let by_events = now
        .wall_ms
        .max(now.newest.ms())
        .saturating_sub(seen.stamp.hlc().ms());
    let (latest_ms, at) = now.latest_seen;
    let by_latest = if seen.stamp.hlc() <= at {
        latest_ms.saturating_sub(seen.wall_ms)
    } else {
        0
    };
    Ok(by_wall.max(by_events).max(by_latest).max(0))
}

/// Days since a ring was fitted, by whichever clock says more; none where not known.
pub fn age_days(seal: &SealFacts, now: Now) -> Option<i64> {
    let fitted = seal.fitted.as_ref()?;
    let (latest_ms, at) = now.latest_seen;
    let mut time = now.wall_ms.max(now.newest.ms());
    // What was said up to the newest event known then is at least as old as the clock showed then.
    if fitted.said.hlc() <= at {
        time = time.max(latest_ms);
    }
    Some(time.saturating_sub(fitted.ms).max(0) / DAY_MS)
}
