//! Times: relative while fresh, absolute once older than a day, local with the zone said.

use chrono::{DateTime, FixedOffset, Timelike};

use super::measures::NBSP;
use super::texts::Texts;

/// Local time at an offset from UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LocalTime {
    /// Minutes east of UTC.
    pub utc_offset_min: i32,
    /// The rig has travelled: say the zone.
    pub say_zone: bool,
}

impl LocalTime {
    fn at(&self, ms: i64) -> Option<DateTime<FixedOffset>> {
        let zone = FixedOffset::east_opt(self.utc_offset_min.clamp(-1_439, 1_439) * 60)?;
        Some(DateTime::from_timestamp_millis(ms)?.with_timezone(&zone))
    }

    /// '14:20'.
    pub fn clock(&self, ms: i64) -> String {
        self.at(ms).map_or_else(
            || "?".into(),
            |t| format!("{:02}:{:02}", t.hour(), t.minute()),
        )
    }

    /// '14:20', or '14:20 on 3 June' where that isn't today.
    pub fn until(&self, texts: &Texts, ms: i64, now_ms: i64) -> String {
        match (self.at(ms), self.at(now_ms)) {
            (Some(t), Some(n)) if t.date_naive() != n.date_naive() => texts.say(
                "common_time_on_day",
                &[
                    ("time", (&self.clock(ms)).into()),
                    ("day", (&self.day(ms)).into()),
                ],
            ),
            _ => self.clock(ms),
        }
    }

    /// '2026-06-03'.
    pub fn day(&self, ms: i64) -> String {
        self.at(ms)
            .map_or_else(|| "?".into(), |t| t.format("%Y-%m-%d").to_string())
    }

    /// '2026-06-03 14:20', with the zone where the rig has travelled.
    pub fn full(&self, ms: i64) -> String {
        let zone = if self.say_zone {
            format!(" {}", self.zone())
        } else {
            String::new()
        };
        format!("{}{NBSP}{}{zone}", self.day(ms), self.clock(ms))
    }

    /// 'UTC+02:00'.
    pub fn zone(&self) -> String {
        let m = self.utc_offset_min;
        let sign = if m < 0 { '-' } else { '+' };
        format!("UTC{sign}{:02}:{:02}", m.abs() / 60, m.abs() % 60)
    }

    /// '8 min ago', '3 h ago', or the full time once older than a day (or in the future, which
    /// only a clock that was set back shows).
    pub fn ago(&self, texts: &Texts, ms: i64, now_ms: i64) -> String {
        let age = now_ms.saturating_sub(ms);
        match age {
            a if a < -60_000 => self.full(ms),
            a if a < 60_000 => texts.get("common_just_now"),
            a if a < 86_400_000 => texts.say("common_ago", &[("time", (&span(a)).into())]),
            _ => self.full(ms),
        }
    }
}

/// '45 s', '8 min', '3 h', '2 h 10 min', '4 d'.
pub fn span(ms: i64) -> String {
    let minutes = ms.max(0) / 60_000;
    match minutes {
        0 => format!("{}{NBSP}s", ms.max(0) / 1_000),
        m if m < 60 => format!("{m}{NBSP}min"),
        m if m < 600 && m % 60 != 0 => format!("{}{NBSP}h {}{NBSP}min", m / 60, m % 60),
        m if m < 48 * 60 => format!("{}{NBSP}h", m / 60),
        m => format!("{}{NBSP}d", m / (24 * 60)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fresh_is_relative_and_old_is_absolute() {
        let local = LocalTime {
            utc_offset_min: 120,
            say_zone: true,
        };
        let texts = Texts::english();
        let now = 1_780_293_600_000; // 2026-06-01 06:00 UTC
        assert_eq!(local.ago(texts, now - 20_000, now), "just now");
        assert_eq!(local.ago(texts, now - 8 * 60_000, now), "8\u{a0}min ago");
        assert_eq!(
            local.ago(texts, now - 130 * 60_000, now),
            "2\u{a0}h 10\u{a0}min ago"
        );
        assert_eq!(
            local.ago(texts, now - 3 * 86_400_000, now),
            "2026-05-29\u{a0}08:00 UTC+02:00"
        );
        assert_eq!(local.clock(now), "08:00");
        assert_eq!(
            local.until(texts, now + 86_400_000, now),
            "08:00 on 2026-06-02"
        );
        assert_eq!(
            LocalTime {
                utc_offset_min: -570,
                say_zone: false
            }
            .zone(),
            "UTC-09:30"
        );
    }
}
