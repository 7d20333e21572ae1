//! Who had heard what when writing: cause, which no clock can tell.
//!
//! Each event says how far its writer had heard the other devices ([`super::event::Event::heard`]). A device
//! hears another's events in their order and without gaps, so one number a device says it all, and what
//! was heard once stays heard: the events are a partial order (Lamport, 'Time, Clocks, and the Ordering
//! of Events in a Distributed System', CACM 21 (7), 1978), told by version vectors (Parker et al., IEEE
//! Trans. Softw. Eng. SE-9 (3), 1983) of which only the changes are written down.

use std::collections::HashMap;

use rusqlite::{Connection, OptionalExtension, params};

use super::event::{HEAD_BYTES, HeardOf, Stamp, Writer};
use super::store::device_no;

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

/// The journal's columns of which history of a device was heard. `claimed` and `head` are what the writer
/// said, `other_seq` is how far that is in the device's sequence as it stands here: less, where the writer had
/// heard another history. `unknown` is 1 where the history that it had heard isn't here at all.
pub const SCHEMA_HEADS: &str = "
ALTER TABLE heard ADD COLUMN claimed INTEGER NOT NULL DEFAULT 0;
ALTER TABLE heard ADD COLUMN head BLOB;
ALTER TABLE heard ADD COLUMN unknown INTEGER NOT NULL DEFAULT 0;
UPDATE heard SET claimed = other_seq;
CREATE INDEX heard_of ON heard (other, claimed);
";

/// Notes how far a device had heard another when it wrote its event `seq`.
pub(super) fn hear(db: &Connection, writer: i64, seq: u64, of: &HeardOf) -> rusqlite::Result<()> {
    let other = device_no(db, &of.device)?;
    // A number beyond what the file keeps is none that any device has come to.
    let claimed = i64::try_from(of.seq).unwrap_or(0);
    db.prepare_cached(
        "INSERT OR IGNORE INTO heard (device, other, seq, other_seq, claimed, head) \
         VALUES (?1, ?2, ?3, ?4, ?4, ?5)",
    )?
    .execute(params![writer, other, seq as i64, claimed, of.head])?;
    weigh(
        db,
        other,
        "seq = ?2 AND device = ?3",
        params![other, seq as i64, writer],
    )
}

/// Finds anew how far everybody had heard a device, whose sequence is another, or of which another history
/// has come in.
pub(super) fn hear_anew(db: &Connection, other: i64) -> rusqlite::Result<()> {
    weigh(db, other, "1", params![other])
}

/// A device's sequence has grown: whether what others say to have heard of that is what is here.
pub(super) fn heard_grown(db: &Connection, other: i64, from: u64, to: u64) -> rusqlite::Result<()> {
    let which = "claimed > ?2 AND claimed <= ?3 AND head IS NOT NULL";
    weigh(db, other, which, params![other, from as i64, to as i64])
}

fn weigh(
    db: &Connection,
    other: i64,
    which: &str,
    of: &[&dyn rusqlite::ToSql],
) -> rusqlite::Result<()> {
    let rows: Vec<(i64, i64, i64, Option<[u8; HEAD_BYTES]>)> = db
        .prepare_cached(&format!(
            "SELECT device, seq, claimed, head FROM heard WHERE other = ?1 AND {which}"
        ))?
        .query_map(of, |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (device, seq, claimed, head) in rows {
        let (up_to, unknown) = match known_up_to(db, other, claimed, head)? {
            Some(up_to) => (up_to, false),
            None => (0, true),
        };
        db.prepare_cached(
            "UPDATE heard SET other_seq = ?4, unknown = ?5 WHERE device = ?1 AND other = ?2 AND seq = ?3 \
             AND (other_seq <> ?4 OR unknown <> ?5)",
        )?
        .execute(params![device, other, seq, up_to, unknown])?;
    }
    Ok(())
}

/// How far that is in the device's sequence as it stands here; none where what was heard is a history that
/// isn't here.
fn known_up_to(
    db: &Connection,
    other: i64,
    claimed: i64,
    head: Option<[u8; HEAD_BYTES]>,
) -> rusqlite::Result<Option<i64>> {
    let Some(head) = head else {
        // Nobody can tell which history that was: of two, what both have.
        let second: Option<i64> = db
            .prepare_cached(
                "SELECT min(f.seq) FROM fork f JOIN device d ON d.key = f.key WHERE d.no = ?1",
            )?
            .query_row([other], |r| r.get(0))?;
        return Ok(Some(second.map_or(claimed, |from| claimed.min(from - 1))));
    };
    let here: i64 = db
        .prepare_cached("SELECT seq FROM device WHERE no = ?1")?
        .query_row([other], |r| r.get(0))?;
    // What isn't here yet is missing, and told so; whether it is the same history shows when it comes.
    if claimed > here || claimed <= 0 {
        return Ok(Some(claimed));
    }
    let same: [u8; 32] = db
        .prepare_cached("SELECT hash FROM event WHERE device = ?1 AND seq = ?2")?
        .query_row([other, claimed], |r| r.get(0))?;
    if same.starts_with(&head) {
        return Ok(Some(claimed));
    }
    super::fork::leaves_sequence(db, other, claimed, &head)
}

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
