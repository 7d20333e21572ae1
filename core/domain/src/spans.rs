//! How much time passed between what was recorded, and how sure that is.
//!
//! The time of day can be set by a person or a network in the middle of a hold; the boot clock
//! can't, and runs on while the phone sleeps. So spans are taken from the boot clock wherever one
//! stretch of it covers them. After a restart of the phone, or between two phones, only the time of
//! day is left: the span is then that at best, and no longer sure. What is sure is a least span, and
//! a statement of tightness must hold for both.

use super::facts::ReadingFact;
use super::state::ReadingRow;
use slackwater_journal::BootTime;

/// The time of day may run this far from the boot clock before it counts as set, ms: networks
/// correct a phone's clock by less.
pub const CLOCKS_AGREE_MS: i64 = 5_000;

/// A span that is known this well counts as known, s: no leak shows in it.
const KNOWN_S: f64 = 1.0;

/// A moment by both clocks of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment<'a> {
    /// The time of day, ms since 1970 UTC.
    pub wall_ms: i64,
    /// The boot clock.
    pub boot: Option<BootTime>,
    /// The device, as its key is written.
    pub device: &'a str,
}

/// When something was read, counted from the closing of the valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Timed {
    /// Seconds, as far as known.
    pub t_s: f64,
    /// Seconds at least; none where `t_s` is sure.
    pub least_s: Option<f64>,
    /// By so many seconds the time of day was set since the reading that it is counted from; none
    /// where both clocks agree, or can't be compared.
    pub clock_set_s: Option<f64>,
}

impl Timed {
    /// What is to be said of this one moment, counted from the closing of the valve.
    pub fn doubts(self) -> TimeDoubts {
        TimeDoubts {
            set_s: self.clock_set_s.unwrap_or(0.0),
            unsure_s: self.least_s.map(|least| (self.t_s, least)),
        }
    }
}

/// When `now` is, by the readings of a hold that began at `started_ms` (time of day).
///
/// Counted from the newest reading of the same stretch of the same boot clock; else from the last
/// reading by the time of day, and at least as long as the phone has been on since.
pub fn time_of(rows: &[ReadingRow], started_ms: i64, now: Moment<'_>) -> Timed {
    let of_one_stretch = rows.iter().rev().find_map(|row| {
        let passed = now.boot?.since(row.reading.boot?)?;
        Some((row, passed))
    });
    if let Some((row, passed_ms)) = of_one_stretch {
        let passed_s = passed_ms as f64 / 1_000.0;
        let set_ms = now
            .wall_ms
            .saturating_sub(row.wall_ms)
            .saturating_sub(passed_ms);
        return timed(
            row.reading.t_s + passed_s,
            least_of(&row.reading) + passed_s,
            (set_ms.saturating_abs() > CLOCKS_AGREE_MS).then(|| set_ms as f64 / 1_000.0),
        );
    }
    let Some(last) = rows.last() else {
        let t_s = now.wall_ms.saturating_sub(started_ms) as f64 / 1_000.0;
        return timed(t_s, 0.0, None);
    };
    let by_wall_s = now.wall_ms.saturating_sub(last.wall_ms) as f64 / 1_000.0;
    // The phone was off between them and has been on for so long since.
    let same_phone = last.event.split(':').next() == Some(now.device);
    let up_s = match (last.reading.boot, now.boot) {
        (Some(then), Some(now)) if same_phone && then.id != now.id => {
            Some(now.ms.max(0) as f64 / 1_000.0)
        }
        _ => None,
    };
    timed(
        last.reading.t_s + up_s.map_or(by_wall_s, |up| by_wall_s.max(up)),
        least_of(&last.reading) + up_s.unwrap_or(0.0),
        None,
    )
}

fn timed(t_s: f64, least_s: f64, clock_set_s: Option<f64>) -> Timed {
    Timed {
        t_s,
        least_s: (least_s < t_s - KNOWN_S).then_some(least_s),
        clock_set_s,
    }
}

/// The least time of a reading since the closing of the valve, s.
fn least_of(reading: &ReadingFact) -> f64 {
    reading
        .least_s
        .filter(|least| (0.0..=reading.t_s).contains(least))
        .unwrap_or(reading.t_s)
}

/// The same readings, each as early as it can have been; `None` where all times are sure.
///
/// Times stay in order and a second apart at least, which is what readings typed one after another
/// are.
pub fn as_early_as_possible(readings: &[ReadingFact]) -> Option<Vec<ReadingFact>> {
    readings.iter().any(|r| r.least_s.is_some()).then(|| {
        let mut before = f64::NEG_INFINITY;
        readings
            .iter()
            .map(|r| {
                let t_s = least_of(r).max(before + 1.0).min(r.t_s.max(before + 1.0));
                before = t_s;
                ReadingFact { t_s, ..*r }
            })
            .collect()
    })
}

/// What is to be said of the times of a hold's readings.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TimeDoubts {
    /// The furthest that the time of day was set between two readings, s; 0 where it was not.
    pub set_s: f64,
    /// The first span that isn't sure: s as far as known, and s at least.
    pub unsure_s: Option<(f64, f64)>,
}

/// What is to be said of the times of some readings, in time order.
pub fn doubts(readings: &[ReadingFact]) -> TimeDoubts {
    let mut found = TimeDoubts::default();
    let mut before = (0.0, 0.0);
    for r in readings {
        if let Some(set) = r.clock_set_s
            && set.abs() > found.set_s.abs()
        {
            found.set_s = set;
        }
        let at = (r.t_s, least_of(r));
        let gap = (at.0 - before.0, at.1 - before.1);
        if found.unsure_s.is_none() && gap.1 < gap.0 - KNOWN_S {
            found.unsure_s = Some(gap);
        }
        before = at;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_journal::BootId;

    const HOUR_MS: i64 = 3_600_000;

    fn boot(id: u64, ms: i64) -> Option<BootTime> {
        Some(BootTime { id: BootId(id), ms })
    }

    fn row(device: &str, t_s: f64, wall_ms: i64, boot: Option<BootTime>) -> ReadingRow {
        ReadingRow {
            event: format!("{device}:1"),
            wall_ms,
            author: String::new(),
            reading: ReadingFact {
                t_s,
                gauge_pa: 20_000.0,
                boot,
                ..ReadingFact::default()
            },
            aside: false,
        }
    }

    fn at(wall_ms: i64, boot: Option<BootTime>) -> Moment<'static> {
        Moment {
            wall_ms,
            boot,
            device: "a",
        }
    }

    #[test]
    fn within_one_boot_the_time_of_day_may_jump() {
        let rows = [row("a", 0.0, 0, boot(1, 1_000))];
        for jump in [0, 8 * HOUR_MS, -8 * HOUR_MS] {
            let t = time_of(&rows, 0, at(600_000 + jump, boot(1, 601_000)));
            assert_eq!((t.t_s, t.least_s), (600.0, None), "{jump}");
            let told = (jump != 0).then_some(jump as f64 / 1_000.0);
            assert_eq!(t.clock_set_s, told);
        }
    }

    #[test]
    fn after_a_restart_only_the_time_since_is_sure() {
        let rows = [row("a", 60.0, 0, boot(1, 1_000))];
        let t = time_of(&rows, 0, at(HOUR_MS, boot(2, 300_000)));
        assert_eq!((t.t_s, t.least_s), (3_660.0, Some(360.0)));
        // On for longer than the time of day says: it was set back.
        let t = time_of(&rows, 0, at(-HOUR_MS, boot(2, 300_000)));
        assert_eq!((t.t_s, t.least_s), (360.0, None));
    }

    #[test]
    fn between_two_phones_nothing_is_sure() {
        let rows = [row("b", 60.0, 0, boot(1, 1_000))];
        let t = time_of(&rows, 0, at(HOUR_MS, boot(2, 50_000_000)));
        assert_eq!((t.t_s, t.least_s), (3_660.0, Some(60.0)));
        // But what this phone read before is counted from.
        let rows = [
            row("a", 60.0, 0, boot(2, 1_000)),
            row("b", 90.0, 30_000, boot(1, 1_000)),
        ];
        let t = time_of(&rows, 0, at(HOUR_MS, boot(2, 101_000)));
        assert_eq!((t.t_s, t.least_s), (160.0, None));
    }

    #[test]
    fn readings_are_put_as_early_as_they_can_have_been() {
        let of = |t_s, least_s| ReadingFact {
            t_s,
            least_s,
            ..row("a", 0.0, 0, None).reading
        };
        let sure = [of(0.0, None), of(60.0, None)];
        assert_eq!(as_early_as_possible(&sure), None);
        let some = [
            of(0.0, None),
            of(60.0, None),
            of(3_600.0, Some(80.0)),
            of(3_660.0, Some(140.0)),
        ];
        let early = as_early_as_possible(&some).unwrap();
        let times: Vec<f64> = early.iter().map(|r| r.t_s).collect();
        assert_eq!(times, [0.0, 60.0, 80.0, 140.0]);
        let d = doubts(&some);
        assert_eq!(d.unsure_s, Some((3_540.0, 20.0)));
    }
}
