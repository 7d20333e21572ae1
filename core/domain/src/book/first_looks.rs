//! When what is looked at a second time was done, by the clock of this phone that nobody can set.

use std::collections::VecDeque;
use std::fmt;

use slackwater_journal::{BootTime, EventRef};

/// Its key among the notes of this device.
pub(super) const FIRST_LOOKS: &str = "first_looks";

/// So many are kept: a second look comes minutes later.
const KEPT: usize = 64;

/// Whether an event of this kind is one that is looked at a second time.
pub(super) fn is_one(kind: &str) -> bool {
    matches!(
        kind,
        "plug_on" | "walked_round" | "step_done" | "took_away" | "photo_taken"
    )
}

/// The last such events that this phone recorded, each with the boot time, oldest first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct FirstLooks(VecDeque<(String, BootTime)>);

impl FirstLooks {
    /// Keeps one more.
    pub fn add(&mut self, event: EventRef, at: BootTime) {
        if self.0.len() >= KEPT {
            self.0.pop_front();
        }
        self.0.push_back((event.to_string(), at));
    }

    /// When it was recorded, where that is known.
    pub fn at(&self, event: &str) -> Option<BootTime> {
        let found = self.0.iter().find(|(known, _)| known == event)?;
        Some(found.1)
    }

    /// From its form in the file; what can't be read is left out.
    pub fn parse(text: &str) -> FirstLooks {
        let of = |line: &str| {
            let mut words = line.split(' ');
            let event = words.next()?.to_owned();
            Some((event, BootTime::from_words(words)?))
        };
        FirstLooks(text.lines().filter_map(of).collect())
    }
}

impl fmt::Display for FirstLooks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (self.0.iter()).try_for_each(|(event, at)| writeln!(f, "{event} {at}"))
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
        let at = |ms| BootTime {
            id: BootId(171),
            ms,
        };
        let mut looks = FirstLooks::default();
        for n in 0..72 {
            looks.add(event(n), at(n as i64));
        }
        assert_eq!(FirstLooks::parse(&looks.to_string()), looks);
        assert_eq!(looks.at(&event(7).to_string()), None);
        assert_eq!(looks.at(&event(71).to_string()), Some(at(71)));
        assert_eq!(FirstLooks::parse("soon"), FirstLooks::default());
    }
}
