//! Who had heard what when writing: cause, which no clock can tell.
//!
//! Each event says how far its writer had heard the other devices ([`super::event::Event::heard`]). A device
//! hears another's events in their order and without gaps, so one number a device says it all, and what
//! was heard once stays heard: the events are a partial order (Lamport, 'Time, Clocks, and the Ordering
//! of Events in a Distributed System', CACM 21 (7), 1978), told by version vectors (Parker et al., IEEE
//! Trans. Softw. Eng. SE-9 (3), 1983) of which only the changes are written down.

use std::collections::HashMap;

use rusqlite::{Connection, OptionalExtension, params};

use super::event::{Stamp, Writer};

/// The journal's table of it: that from its event `seq` on, `device` had heard `other` up to
/// `other_seq`.
pub const SCHEMA_HEARD: &str = "
ALTER TABLE event ADD COLUMN heard BLOB;
ALTER TABLE device ADD COLUMN cause_from INTEGER;
CREATE TABLE heard (
    device    INTEGER NOT NULL REFERENCES device(no),
    other     INTEGER NOT NULL REFERENCES device(no),
    seq       INTEGER NOT NULL,
    other_seq INTEGER NOT NULL,
    PRIMARY KEY (device, other, seq)
) WITHOUT ROWID, STRICT;
";

/// What every device had heard of every other, by the events known here.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Heard {
    /// From which of its events on a device says what it had heard.
    since: HashMap<Writer, u64>,
    /// For each device and other: from which event on, and up to which, both rising.
    of: HashMap<(Writer, Writer), Vec<(u64, u64)>>,
}

impl Heard {
    /// Reads the table, of the devices that count here. Its length is that of the exchanges between
    /// devices, not of the events.
    ///
    /// # Errors
    /// What SQLite says.
    pub fn load(db: &Connection) -> rusqlite::Result<Heard> {
        let mut heard = Heard::default();
        let mut devices: HashMap<i64, Writer> = HashMap::new();
        let mut statement = db.prepare_cached(
            "SELECT no, substr(key, 1, 8), cause_from FROM device WHERE counts_to > 0",
        )?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            let device = Writer(r.get(1)?);
            devices.insert(r.get(0)?, device);
            if let Some(since) = r.get::<_, Option<i64>>(2)? {
                heard.since.insert(device, since as u64);
            }
        }
        let mut statement = db.prepare_cached(
            "SELECT h.device, h.other, h.seq, h.other_seq FROM heard h JOIN device d \
             ON d.no = h.device WHERE d.counts_to > 0 ORDER BY h.device, h.other, h.seq",
        )?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            let pair = devices.get(&r.get(0)?).zip(devices.get(&r.get(1)?));
            let Some((device, other)) = pair else {
                continue;
            };
            let of = heard.of.entry((*device, *other)).or_default();
            let up_to = of.last().map_or(0, |(_, up_to)| *up_to);
            // What was heard once stays heard, whatever a later event says.
            of.push((
                r.get::<_, i64>(2)? as u64,
                up_to.max(r.get::<_, i64>(3)? as u64),
            ));
        }
        Ok(heard)
    }

    /// How far whoever wrote `at` had heard `other` then: its last event known to the writer; 0 where
    /// none. None where the writer's version didn't say.
    pub fn up_to(&self, at: &Stamp, other: Writer) -> Option<u64> {
        let writer = at.writer();
        if writer == other {
            return Some(at.seq());
        }
        if self
            .since
            .get(&writer)
            .is_none_or(|since| at.seq() < *since)
        {
            return None;
        }
        let Some(of) = self.of.get(&(writer, other)) else {
            return Some(0);
        };
        let n = of.partition_point(|(seq, _)| *seq <= at.seq());
        Some(n.checked_sub(1).map_or(0, |i| of[i].1))
    }

    /// Whether `a` was written knowing `b`: it comes after it, whatever the clocks say. Where the
    /// version that wrote `a` didn't say what it had heard, the clocks are all there is.
    ///
    /// [`Stamp::NEVER`] comes before everything, and after nothing.
    pub fn after(&self, a: &Stamp, b: &Stamp) -> bool {
        if *a == Stamp::NEVER || *b == Stamp::NEVER {
            return *a != Stamp::NEVER;
        }
        if a.writer() == b.writer() {
            return a.seq() > b.seq();
        }
        self.up_to(a, b.writer())
            .map_or(a > b, |up_to| up_to >= b.seq())
    }

    /// Whether none of `all` was written knowing `a`: of several things that can only be one, those are
    /// the last, whatever the clocks say.
    pub fn is_last<'a>(&self, a: &Stamp, all: impl IntoIterator<Item = &'a Stamp>) -> bool {
        !all.into_iter().any(|b| self.after(b, a))
    }
}

impl Heard {
    /// As much of it as says how some stamps stand to each other, for the fold: what their writers had
    /// heard of each other.
    ///
    /// # Errors
    /// What SQLite says.
    pub fn among(db: &Connection, stamps: &[Stamp]) -> rusqlite::Result<Heard> {
        let mut heard = Heard::default();
        for a in stamps {
            let writer = a.writer();
            let since: Option<i64> = db
                .prepare_cached(
                    "SELECT cause_from FROM device WHERE substr(key, 1, 8) = ?1 AND seq > 0",
                )?
                .query_row([&writer.0[..]], |r| r.get(0))
                .optional()?
                .flatten();
            let Some(since) = since else { continue };
            heard.since.insert(writer, since as u64);
            for other in stamps.iter().map(Stamp::writer).filter(|o| *o != writer) {
                let up_to: Option<i64> = db
                    .prepare_cached(
                        "SELECT max(h.other_seq) FROM heard h JOIN device d ON d.no = h.device \
                         JOIN device o ON o.no = h.other WHERE substr(d.key, 1, 8) = ?1 \
                         AND substr(o.key, 1, 8) = ?2 AND h.seq <= ?3 AND d.seq > 0 AND o.seq > 0",
                    )?
                    .query_row(params![&writer.0[..], &other.0[..], a.seq() as i64], |r| {
                        r.get(0)
                    })?;
                let up_to = up_to.unwrap_or(0) as u64;
                heard.of.insert((writer, other), vec![(a.seq(), up_to)]);
            }
        }
        Ok(heard)
    }
}

#[cfg(test)]
mod tests {
    use super::super::clock::Hlc;
    use super::super::ids::DeviceId;
    use super::*;

    fn at(ms: i64, device: u8, seq: u64) -> Stamp {
        Stamp::new(Hlc::at(ms), DeviceId([device; 32]), seq)
    }

    /// Device 1 says from its third event on; at its fifth it had heard device 2 up to its second.
    fn heard() -> Heard {
        let w = |d: u8| Writer([d; 8]);
        Heard {
            since: [(w(1), 3), (w(2), 1)].into(),
            of: [((w(1), w(2)), vec![(5, 2), (9, 4)])].into(),
        }
    }

    #[test]
    fn what_was_heard_comes_before_whatever_the_clocks_say() {
        let h = heard();
        // Device 2's clock is an hour ahead.
        let theirs = at(3_600_000, 2, 2);
        assert!(h.after(&at(0, 1, 5), &theirs));
        assert!(h.after(&at(0, 1, 8), &theirs));
        assert!(!h.after(&at(0, 1, 8), &at(0, 2, 3)));
        assert!(h.after(&at(0, 1, 9), &at(0, 2, 4)));
        // Device 1's clock is ahead, and it had not heard.
        assert!(!h.after(&at(9_000_000, 1, 4), &theirs));
        // Nobody heard anything of device 3.
        assert!(!h.after(&at(9_000_000, 1, 9), &at(0, 3, 1)));
        assert!(!h.after(&theirs, &at(0, 1, 1)));
    }

    #[test]
    fn one_device_is_ordered_by_its_sequence_and_old_events_by_the_clock() {
        let h = heard();
        assert!(h.after(&at(0, 1, 2), &at(9, 1, 1)));
        assert!(!h.after(&at(9, 1, 1), &at(0, 1, 2)));
        assert!(h.after(&at(9, 1, 2), &at(8, 2, 7)));
        assert!(!h.after(&at(7, 1, 2), &at(8, 2, 7)));
        assert!(h.after(&at(0, 1, 1), &Stamp::NEVER));
        assert!(!h.after(&Stamp::NEVER, &Stamp::NEVER));
        assert!(!h.after(&Stamp::NEVER, &at(0, 1, 1)));
    }
}
