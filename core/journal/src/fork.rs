//! Two histories under one key, and which of them is the device's sequence.
//!
//! A copy of a phone that goes on beside it, or a phone that was set back to an older copy of itself, signs a
//! second event under a number that has one. Both are kept. One of them is the device's sequence, by what is
//! here and not by what came first, so that phones that have the same agree: the longer, of two as long that
//! whose last hash is the smaller. The others stand beside it, where they block what they are about until
//! somebody has looked ([`super::store::Place::Apart`]). Where a device's word was ended at an event of a known
//! hash, it is the history that has this event: who holds a lost phone can't write a longer one in its place.

use std::collections::HashMap;

use rusqlite::{Connection, OptionalExtension, params};

use super::event::HEAD_BYTES;
use super::heard::hear_anew;
use super::ids::DeviceId;
use super::store::{apart_of, insert_at, take_out};

/// An event by which a history is known: its number and its hash.
pub type Anchor = (u64, [u8; 32]);

/// The devices that count and of which more than one history is here, by their numbers in the file. Of who
/// doesn't count it is chosen when they do.
///
/// # Errors
/// What SQLite says.
pub fn forked(db: &Connection) -> rusqlite::Result<Vec<i64>> {
    db.prepare_cached(
        "SELECT DISTINCT d.no FROM fork f JOIN device d ON d.key = f.key WHERE d.counts_to > 0 ORDER BY d.no",
    )?
    .query_map([], |r| r.get(0))?
    .collect()
}

/// Where a history that stands beside a device's sequence leaves it: the last number that both have. None
/// where no event of that number and hash stands there, or nothing tells what it follows.
pub(super) fn leaves_sequence(
    db: &Connection,
    device: i64,
    seq: i64,
    head: &[u8; HEAD_BYTES],
) -> rusqlite::Result<Option<i64>> {
    let mut at: Option<(i64, [u8; 32])> = db
        .prepare_cached(
            "SELECT f.seq, f.prev FROM fork f JOIN device d ON d.key = f.key \
             WHERE d.no = ?1 AND f.seq = ?2 AND substr(f.hash, 1, ?3) = ?4",
        )?
        .query_row(params![device, seq, HEAD_BYTES as i64, head], |r| {
            Ok((r.get(0)?, r.get(1)?))
        })
        .optional()?;
    while let Some((seq, prev)) = at {
        if follows_sequence(db, device, seq as u64, &prev)? {
            return Ok(Some(seq - 1));
        }
        at = db
            .prepare_cached("SELECT seq, prev FROM fork WHERE hash = ?1 AND seq = ?2")?
            .query_row(params![&prev[..], seq - 1], |r| Ok((r.get(0)?, r.get(1)?)))
            .optional()?;
    }
    Ok(None)
}

/// Whether an event follows one of the sequence, or is a first one.
fn follows_sequence(
    db: &Connection,
    device: i64,
    seq: u64,
    prev: &[u8; 32],
) -> rusqlite::Result<bool> {
    if seq <= 1 {
        return Ok(*prev == [0; 32]);
    }
    db.prepare_cached("SELECT 1 FROM event WHERE device = ?1 AND seq = ?2 AND hash = ?3")?
        .exists(params![device, seq as i64 - 1, &prev[..]])
}

/// Makes the history that is to be it the device's sequence, in place of the one that was; gives whether
/// another is. Nothing is lost: what was the sequence stands beside it. What was folded of it is to be
/// folded anew.
///
/// # Errors
/// What SQLite says; within a transaction, which is then to be given up.
pub fn reseat(db: &Connection, device: i64, anchor: Option<Anchor>) -> rusqlite::Result<bool> {
    let (key, seq, head): ([u8; 32], i64, [u8; 32]) = db
        .prepare_cached("SELECT key, seq, head FROM device WHERE no = ?1")?
        .query_row([device], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?;
    let mut beside = apart_of(db, &DeviceId(key))?;
    beside.sort_by_key(|e| e.seq);
    let in_sequence = |at: u64, hash: &[u8; 32]| -> rusqlite::Result<bool> {
        db.prepare_cached("SELECT 1 FROM event WHERE device = ?1 AND seq = ?2 AND hash = ?3")?
            .exists(params![device, at as i64, &hash[..]])
    };
    let anchor = anchor.filter(|(at, _)| *at > 0);
    let has_now = match &anchor {
        Some((at, hash)) => in_sequence(*at, hash)?,
        None => true,
    };
    // Of what is sorted the greatest is it.
    let rank = |has: bool, seq: u64, head: [u8; 32]| (has, seq, head.map(|b| !b));
    let mut best = (rank(has_now, seq as u64, head), None);
    // What follows the sequence, by way of others or at once: where it stands in `beside`, and whether the
    // anchor is in what leads there. Each is looked at once, however many histories there are.
    let mut led: HashMap<[u8; 32], (usize, bool)> = HashMap::new();
    for (n, e) in beside.iter().enumerate() {
        let before = led
            .get(&e.prev)
            .copied()
            .filter(|(at, _)| beside[*at].seq + 1 == e.seq);
        let has = match before {
            Some((_, has)) => has,
            None if !follows_sequence(db, device, e.seq, &e.prev)? => continue,
            None => anchor.is_none_or(|(at, _)| at < e.seq) && has_now,
        };
        let has = match &anchor {
            Some((at, hash)) if *at == e.seq => *hash == e.hash,
            _ => has,
        };
        led.insert(e.hash, (n, has));
        let ranked = rank(has, e.seq, e.hash);
        if ranked > best.0 {
            best = (ranked, Some(n));
        }
    }
    let mut path = Vec::new();
    let mut at = best.1;
    while let Some(e) = at.and_then(|n| beside.get(n)) {
        path.push(e.clone());
        at = led
            .get(&e.prev)
            .map(|(n, _)| *n)
            .filter(|n| beside[*n].seq + 1 == e.seq);
    }
    path.reverse();
    let Some(first) = path.first() else {
        return Ok(false);
    };
    take_out(db, device, first.seq)?;
    for event in &path {
        insert_at(db, device, event)?;
    }
    hear_anew(db, device)?;
    Ok(true)
}
