//! The latest that it can be, by any clock that this phone has seen.

use std::fmt;

use crate::rules::age::CLOCK_SLACK_MS;
use slackwater_journal::{BootTime, Hlc};

/// A mark that has moved by so much is written down at the next look, ms.
const KEEP_LATEST_MS: i64 = 60_000;

/// The latest time of day that this phone's clock, or an event that it heard of, ever showed; run on
/// by the boot clock since, so that setting the clock back doesn't stop it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Latest {
    /// That time, ms since 1970 UTC.
    pub ms: i64,
    /// The newest event known when a clock last showed it.
    pub newest: Hlc,
    /// When that was reckoned, by the boot clock.
    pub boot: Option<BootTime>,
    /// When that was reckoned, by what the clock showed, ms since 1970 UTC.
    pub wall_ms: i64,
}

impl Latest {
    /// Nothing seen yet.
    pub const NONE: Latest = Latest {
        ms: i64::MIN,
        newest: Hlc(0),
        boot: None,
        wall_ms: i64::MAX,
    };

    /// Where the mark has run to: on with the boot clock in one stretch of it; over a restart by as
    /// much as the phone has been on since, or as the time of day says, whichever is more.
    pub fn run_on(self, wall_ms: i64, boot: Option<BootTime>) -> i64 {
        let by_wall = wall_ms.saturating_sub(self.wall_ms);
        let by_ms = match (self.boot, boot) {
            (Some(then), Some(now)) if then.id == now.id => now.since(then).unwrap_or(by_wall),
            (Some(_), Some(now)) => by_wall.max(now.ms),
            _ => by_wall,
        };
        self.ms.saturating_add(by_ms.max(0))
    }

    /// The mark after a look at the clocks.
    pub fn looked(self, wall_ms: i64, boot: Option<BootTime>, newest: Hlc) -> Latest {
        let run_on = self.run_on(wall_ms, boot);
        let shown = wall_ms.max(newest.ms());
        if shown > run_on {
            return Latest {
                ms: shown,
                newest,
                boot,
                wall_ms,
            };
        }
        // A clock that agrees with the mark shows it, too, though it may lag by a drift. Stamps of
        // events don't count here: they never go back, whatever the clock does.
        let agrees = run_on.saturating_sub(wall_ms) <= CLOCK_SLACK_MS;
        Latest {
            ms: run_on,
            newest: if agrees { newest } else { self.newest },
            boot,
            wall_ms,
        }
    }

    /// Whether this, as it stands in the file, lags `now` by so much that `now` is to be kept: the
    /// phone was restarted, the mark moved, or the clock was set.
    pub fn lags(self, now: Latest) -> bool {
        let far = |a: i64, b: i64| a.saturating_sub(b).saturating_abs() > KEEP_LATEST_MS;
        self.boot.map(|b| b.id) != now.boot.map(|b| b.id)
            || far(now.ms, self.ms)
            || far(now.wall_ms, self.wall_ms)
    }

    /// From its form in the file; older files have no more than the first two figures.
    pub fn parse(text: &str) -> Option<Latest> {
        let mut parts = text.split(' ');
        let ms: i64 = parts.next()?.parse().ok()?;
        let newest = Hlc(parts.next()?.parse().ok()?);
        let wall_ms = parts.next().map_or(Some(ms), |w| w.parse().ok())?;
        let boot = BootTime::from_words(parts);
        Some(Latest {
            ms,
            newest,
            boot,
            wall_ms,
        })
    }
}

impl fmt::Display for Latest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", self.ms, self.newest.0, self.wall_ms)?;
        match self.boot {
            Some(boot) => write!(f, " {boot}"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_journal::BootId;

    fn boot(id: u64, ms: i64) -> Option<BootTime> {
        Some(BootTime { id: BootId(id), ms })
    }

    #[test]
    fn setting_the_clock_back_does_not_stop_it() {
        let a = Latest::NONE.looked(1_000_000, boot(1, 0), Hlc(5));
        assert_eq!(a.ms, 1_000_000);
        let b = a.looked(400_000, boot(1, 60_000), Hlc(6));
        assert_eq!((b.ms, b.newest), (1_060_000, Hlc(5)));
        // Switched off and on again: on for 20 s at least.
        let c = b.looked(400_000, boot(2, 20_000), Hlc(6));
        assert_eq!(c.ms, 1_080_000);
        // Off for a minute and a half by the clock, which is behind all the same.
        let e = b.looked(401_000 + 90_000, boot(2, 20_000), Hlc(6));
        assert_eq!(e.ms, 1_060_000 + 91_000);
        // The clock shows more: it was off for longer.
        let d = c.looked(5_000_000, boot(2, 30_000), Hlc(7));
        assert_eq!((d.ms, d.newest), (5_000_000, Hlc(7)));
    }

    /// Seen: a ring fitted while clock and mark agreed to the millisecond was young again once the
    /// clock was set back.
    #[test]
    fn what_is_recorded_while_the_clock_agrees_with_it_was_known_by_then() {
        let a = Latest::NONE.looked(1_000_000, boot(1, 0), Hlc(5));
        let same = a.looked(1_000_000, boot(1, 0), Hlc(6));
        assert_eq!((same.ms, same.newest), (1_000_000, Hlc(6)));
        let drifted = a.looked(1_059_990, boot(1, 60_000), Hlc(7));
        assert_eq!((drifted.ms, drifted.newest), (1_060_000, Hlc(7)));
    }

    #[test]
    fn it_reads_what_it_wrote_and_what_older_programs_wrote() {
        let a = Latest::NONE.looked(1_000_000, boot(171, 7), Hlc(5));
        assert_eq!(a.to_string(), "1000000 5 1000000 00000000000000ab 7");
        assert_eq!(Latest::parse(&a.to_string()), Some(a));
        let old = Latest::parse("1000000 5").unwrap();
        assert_eq!((old.ms, old.boot), (1_000_000, None));
        assert_eq!(Latest::parse("soon"), None);
    }
}
