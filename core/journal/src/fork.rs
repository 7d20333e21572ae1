//! Two histories under one key, and which of them is the device's sequence.
//!
//! A copy of a phone that goes on beside it, or a phone that was set back to an older copy of itself, signs a
//! second event under a number that has one. Both are kept. One of them is the device's sequence, by what is
//! here and not by what came first, so that phones that have the same agree: the longer, of two as long that
//! whose last hash is the smaller. The others stand beside it, where they block what they are about until
//! somebody has looked ([`super::store::Place::Apart`]). Where a device's word was ended at an event of a known
//! hash, it is the history that has this event: who holds a lost phone can't write a longer one in its place.

use std::collections::{HashMap, HashSet};

use rusqlite::{Connection, OptionalExtension, params};

use super::event::{Event, HEAD_BYTES};
use super::heard::hear_anew;
use super::ids::DeviceId;
use super::store::{apart_of, insert_at, take_out};

/// An event by which a history is known: its number and its hash.
pub type Anchor = (u64, [u8; 32]);

/// The devices of which more than one history is here, by their numbers in the file.
///
/// # Errors
/// What SQLite says.
pub fn forked(db: &Connection) -> rusqlite::Result<Vec<i64>> {
    db.prepare_cached(
        "SELECT DISTINCT d.no FROM fork f JOIN device d ON d.key = f.key ORDER BY d.no",
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
    let beside: HashMap<[u8; 32], Event> = (apart_of(db, &DeviceId(key))?.into_iter())
        .map(|e| (e.hash, e))
        .collect();
    let followed: HashSet<[u8; 32]> = beside.values().map(|e| e.prev).collect();
    let has_anchor = |path: &[&Event]| -> rusqlite::Result<bool> {
        let Some((at, hash)) = anchor.filter(|(at, _)| *at > 0) else {
            return Ok(true);
        };
        let first = path.first().map_or(seq as u64 + 1, |e| e.seq);
        if let Some(event) = path.iter().find(|e| e.seq == at) {
            return Ok(event.hash == hash);
        }
        Ok(at < first
            && db
                .prepare_cached("SELECT 1 FROM event WHERE device = ?1 AND seq = ?2 AND hash = ?3")?
                .exists(params![device, at as i64, &hash[..]])?)
    };
    // Of what is sorted the greatest is it.
    let rank = |has: bool, seq: u64, head: [u8; 32]| (has, seq, head.map(|b| !b));
    let mut best = (rank(has_anchor(&[])?, seq as u64, head), Vec::new());
    for tip in beside.values().filter(|e| !followed.contains(&e.hash)) {
        let mut path = vec![tip];
        let mut at = tip;
        while let Some(before) = beside.get(&at.prev).filter(|b| b.seq + 1 == at.seq) {
            path.push(before);
            at = before;
        }
        path.reverse();
        if !follows_sequence(db, device, at.seq, &at.prev)? {
            continue;
        }
        let ranked = rank(has_anchor(&path)?, tip.seq, tip.hash);
        if ranked > best.0 {
            best = (ranked, path);
        }
    }
    let path: Vec<Event> = best.1.into_iter().cloned().collect();
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
