//! How old something is: the most that any clock, and any order of what was recorded, allows.

use crate::state::{Fitted, SealFacts, Seen};
use slackwater_journal::{BootTime, Hlc};

/// How far in the future a time may lie before the clock counts as set back, ms.
pub(crate) const CLOCK_SLACK_MS: i64 = 60_000;

/// Days in ms.
pub(crate) const DAY_MS: i64 = 86_400_000;

/// What time it is, by all clocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Now {
    /// The device's clock, ms since 1970 UTC.
    pub wall_ms: i64,
    /// The newest event known: time can't be before it.
    pub newest: Hlc,
    /// The latest that this device's clock, or an event that it heard of, ever showed, run on by the
    /// boot clock since, ms; and the newest event known when a clock showed it. What was recorded up
    /// to that event is at least as old as that.
    pub latest_seen: (i64, Hlc),
    /// The clock that runs since this device was switched on and that nobody can set.
    pub boot: Option<BootTime>,
}

impl Now {
    /// A time of which nothing else is known.
    pub fn at(wall_ms: i64, newest: Hlc) -> Now {
        Now {
            wall_ms,
            newest,
            latest_seen: (wall_ms, newest),
            boot: None,
        }
    }
}

/// Something was seen in the future: the clock was set back since.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("it lies in the future: the clock was set back")]
pub struct ClockSetBack;

/// The age of something seen: the most that any clock allows. `read` is when it was written by the
/// boot clock of the phone that wrote it, where that is known.
///
/// Within one stretch of the boot clock its age is known, and what the clock showed before it says
/// nothing of it. Anything else (written before a restart, or by another phone, whose boot clock
/// can't be compared) may be as old as the latest time seen allows: looking again costs minutes.
///
/// # Errors
/// It lies in the future: the clock was set back.
pub fn age_ms(seen: &Seen, read: Option<BootTime>, now: Now) -> Result<i64, ClockSetBack> {
    if seen.wall_ms > now.wall_ms.saturating_add(CLOCK_SLACK_MS) {
        return Err(ClockSetBack);
    }
    let by_wall = now.wall_ms.saturating_sub(seen.wall_ms);
    let by_events = now
        .wall_ms
        .max(now.newest.ms())
        .saturating_sub(seen.stamp.hlc().ms());
    let by_boot = now.boot.zip(read).and_then(|(now, read)| now.since(read));
    let (latest_ms, at) = now.latest_seen;
    let by_latest = if by_boot.is_none() || seen.stamp.hlc() <= at {
        latest_ms.saturating_sub(seen.wall_ms)
    } else {
        0
    };
    let most = by_wall.max(by_events).max(by_latest);
    Ok(most.max(by_boot.unwrap_or(0)).max(0))
}

/// Whether a clock that ran on since tells the age of what was written then by the boot clock; nothing is
/// to be said of it where this device has no such clock.
pub fn age_is_sure(read: Option<BootTime>, now: Now) -> bool {
    let ran = |boot: BootTime| read.and_then(|read| boot.since(read));
    now.boot.is_none_or(|boot| ran(boot).is_some())
}

/// Whether anything tells an age at all: a clock that ran on since, or one that shows no less than it did.
/// Where the phone was restarted and its clock is behind the latest time seen, nothing tells how long it
/// was off.
pub fn age_is_told(read: Option<BootTime>, now: Now) -> bool {
    let behind = now.latest_seen.0.saturating_sub(now.wall_ms);
    behind <= CLOCK_SLACK_MS || now.boot.is_some() && age_is_sure(read, now)
}

/// Days since a ring was fitted, by whichever clock says more; none where not known. The stamps of events
/// stay ahead for good after one under a wrong date, so they are held against each other only, never against
/// a time of day.
pub fn age_days(seal: &SealFacts, now: Now) -> Option<i64> {
    let (latest_ms, at) = now.latest_seen;
    let age_ms = |fitted: &Fitted| {
        let by_wall = now.wall_ms.saturating_sub(fitted.ms);
        // As old as it was when that was said, and what went by among the events since.
        let then = fitted.said_ms.saturating_sub(fitted.ms).max(0);
        let since = now.newest.ms().saturating_sub(fitted.said.hlc().ms());
        let mut age = by_wall.max(then.saturating_add(since));
        // What was said up to the newest event known then is at least as old as the clock showed then.
        if fitted.said.hlc() <= at {
            age = age.max(latest_ms.saturating_sub(fitted.ms));
        }
        age.max(0)
    };
    seal.rings().map(age_ms).max().map(|ms| ms / DAY_MS)
}
