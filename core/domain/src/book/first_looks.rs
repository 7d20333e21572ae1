//! When what is looked at a second time was done, or this phone heard of it, by its clocks.

use std::collections::VecDeque;
use std::fmt;

use slackwater_journal::{BootTime, EventRef};

/// So many are kept: a second look comes minutes later. Of a whole day that comes in at once more are heard of:
/// those that are kept no more were heard of no later than the oldest that is.
const KEPT: usize = 64;

/// Whether an event of this kind is one that is looked at a second time.
pub(super) fn is_one(kind: &str) -> bool {
    matches!(
        kind,
        "plug_on" | "walked_round" | "step_done" | "took_away" | "photo_taken"
    )
}

/// A moment by the clocks of this phone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Moment {
    /// By the one that nobody can set.
    pub boot: BootTime,
    /// By its time of day, ms; none in old notes.
    pub wall_ms: Option<i64>,
}

impl Moment {
    /// How long it was until another, ms: by the clock that nobody can set where it ran on, else by the time
    /// of day.
    pub fn until(&self, later: &Moment) -> Option<i64> {
        (later.boot.since(self.boot)).or_else(|| Some(later.wall_ms?.saturating_sub(self.wall_ms?)))
    }
}

/// The last such events that this phone recorded or heard of, each with when, oldest first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct FirstLooks(VecDeque<(String, Moment)>);

impl FirstLooks {
    /// Keeps one more.
    pub fn add(&mut self, event: EventRef, at: Moment) {
        if self.0.len() >= KEPT {
            self.0.pop_front();
        }
        self.0.push_back((event.to_string(), at));
    }

    /// When it was recorded or heard of; the oldest moment kept for one that is kept no more. None where it may
    /// never have been kept.
    pub fn at(&self, event: &str) -> Option<Moment> {
        let found = self.0.iter().find(|(known, _)| known == event);
        let oldest = || self.0.front().filter(|_| self.0.len() >= KEPT);
        Some(found.or_else(oldest)?.1)
    }

    /// From its form in the file; what can't be read is left out.
    pub fn parse(text: &str) -> FirstLooks {
        let of = |line: &str| {
            let mut words = line.split(' ');
            let event = words.next()?.to_owned();
            let boot = BootTime::from_words(&mut words)?;
            let wall_ms = words.next().and_then(|ms| ms.parse().ok());
            Some((event, Moment { boot, wall_ms }))
        };
        FirstLooks(text.lines().filter_map(of).collect())
    }
}

impl fmt::Display for FirstLooks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (self.0.iter()).try_for_each(|(event, at)| {
            write!(f, "{event} {}", at.boot)?;
            if let Some(ms) = at.wall_ms {
                write!(f, " {ms}")?;
            }
            writeln!(f)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_journal::{BootId, DeviceId};

    #[test]
    fn it_reads_what_it_wrote_and_keeps_the_last() {
        let event = |seq| EventRef {
            device: DeviceId([7; 32]),
            seq,
        };
        let at = |ms| Moment {
            boot: BootTime {
                id: BootId(171),
                ms,
            },
            wall_ms: (ms % 2 == 0).then_some(1_780_000_000_000 + ms),
        };
        let mut looks = FirstLooks::default();
        for n in 0..72 {
            looks.add(event(n), at(n as i64));
        }
        assert_eq!(FirstLooks::parse(&looks.to_string()), looks);
        assert_eq!(looks.at(&event(7).to_string()), Some(at(8)));
        assert_eq!(FirstLooks::default().at(&event(7).to_string()), None);
        assert_eq!(looks.at(&event(71).to_string()), Some(at(71)));
        assert_eq!(FirstLooks::parse("soon"), FirstLooks::default());
        // The phone was restarted in between: its time of day is what is left.
        let booted = |id, ms| Moment {
            boot: BootTime { id: BootId(id), ms },
            wall_ms: Some(1_780_000_000_000 + ms),
        };
        assert_eq!(booted(1, 10).until(&booted(1, 70)), Some(60));
        assert_eq!(booted(1, 10).until(&booted(2, 90)), Some(80));
    }
}
