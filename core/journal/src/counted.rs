//! How much of each device's sequence counts here.
//!
//! Events of any device are kept; whether they count is decided above ([`slackwater_domain::admission`]) and
//! written down here, a number a device: its events up to that one count. What doesn't count is kept and
//! handed on like any other, but it is folded into no table, moves no clock, is in no count of entries,
//! and nobody here has heard of it ([`super::heard`]).

use rusqlite::{Connection, params};

/// The journal's columns of it. `ours` is 1 for a key that this phone signs or signed with, and 2 for a
/// device that was in the record before it was asked who may write: those count by themselves. `counted` is
/// how far a device counted here before it counted less: what was news then isn't unlearnt.
/// `stranger` counts what doesn't count, by device and root, as `tally` counts what does.
pub const SCHEMA_COUNTED: &str = "
ALTER TABLE device ADD COLUMN counts_to INTEGER NOT NULL DEFAULT 0;
ALTER TABLE device ADD COLUMN ours INTEGER NOT NULL DEFAULT 0;
ALTER TABLE device ADD COLUMN counted INTEGER NOT NULL DEFAULT 0;
UPDATE device SET counts_to = 9223372036854775807, ours = 2 WHERE seq > 0;
CREATE INDEX device_by_writer ON device (substr(key, 1, 8));
CREATE INDEX device_that_wrote ON device (no) WHERE seq > 0;
CREATE TABLE stranger (
    device INTEGER NOT NULL REFERENCES device(no),
    root   TEXT NOT NULL,
    events INTEGER NOT NULL,
    PRIMARY KEY (device, root)
) WITHOUT ROWID, STRICT;
";

/// All that a device wrote and will write.
pub const ALL: u64 = i64::MAX as u64;

/// One more event counts, or doesn't.
pub(super) fn tell(
    db: &Connection,
    device_no: i64,
    root: &str,
    counts: bool,
) -> rusqlite::Result<()> {
    if counts {
        db.prepare_cached(
            "INSERT INTO tally (root, events) VALUES (?1, 1) \
             ON CONFLICT (root) DO UPDATE SET events = events + 1",
        )?
        .execute([root])
        .map(drop)
    } else {
        db.prepare_cached(
            "INSERT INTO stranger (device, root, events) VALUES (?1, ?2, 1) \
             ON CONFLICT (device, root) DO UPDATE SET events = events + 1",
        )?
        .execute(params![device_no, root])
        .map(drop)
    }
}

/// So many events that counted, or didn't, stand no longer in their device's sequence.
pub(super) fn tell_less(
    db: &Connection,
    device_no: i64,
    root: &str,
    counts: bool,
    n: i64,
) -> rusqlite::Result<()> {
    if counts {
        db.prepare_cached("UPDATE tally SET events = events - ?2 WHERE root = ?1")?
            .execute(params![root, n])
            .map(drop)
    } else {
        db.prepare_cached(
            "UPDATE stranger SET events = events - ?3 WHERE device = ?1 AND root = ?2",
        )?
        .execute(params![device_no, root, n])
        .map(drop)
    }
}

/// From now on a device's events count up to `to`, where they counted up to `from`.
///
/// # Errors
/// What SQLite says.
pub fn set(db: &Connection, device_no: i64, from: u64, to: u64) -> rusqlite::Result<()> {
    let (from, to) = (from.min(ALL) as i64, to.min(ALL) as i64);
    db.prepare_cached(
        "UPDATE device SET counts_to = ?2, \
         counted = CASE WHEN ?2 < ?3 THEN max(counted, min(seq, ?3)) ELSE counted END WHERE no = ?1",
    )?
    .execute(params![device_no, to, from])?;
    let (low, high, sign) = (from.min(to), from.max(to), if to > from { 1 } else { -1 });
    let moved: Vec<(String, i64)> = db
        .prepare_cached(
            "SELECT root, count(*) FROM event WHERE device = ?1 AND seq > ?2 AND seq <= ?3 \
             GROUP BY root",
        )?
        .query_map(params![device_no, low, high], |r| {
            Ok((r.get(0)?, r.get(1)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    for (root, n) in moved {
        db.prepare_cached(
            "INSERT INTO tally (root, events) VALUES (?1, ?2) \
             ON CONFLICT (root) DO UPDATE SET events = events + ?2",
        )?
        .execute(params![root, sign * n])?;
        db.prepare_cached(
            "INSERT INTO stranger (device, root, events) VALUES (?1, ?2, ?3) \
             ON CONFLICT (device, root) DO UPDATE SET events = events + ?3",
        )?
        .execute(params![device_no, root, -sign * n])?;
    }
    db.prepare_cached("DELETE FROM stranger WHERE device = ?1 AND events <= 0")?
        .execute([device_no])
        .map(drop)
}
