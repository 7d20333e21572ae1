//! How far each device's sequence is here, so that another phone knows what it lacks.
//!
//! A device's events name the one before, so the hash of the last stands for all of them. Where a device has
//! two histories ([`super::store::Place::Apart`]) that is not so, nor does a number say how far: then it is all
//! of the hashes that stand for them.

use rusqlite::{Connection, OptionalExtension, params};

use super::JournalFault;
use super::event::Event;
use super::ids::{DeviceId, EventRef};
use super::store::{Journal, apart_of};

/// How far one device's sequence is here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extent {
    /// The device.
    pub device: DeviceId,
    /// Its last event here, 1 or more.
    pub seq: u64,
    /// The hash of that.
    pub head: [u8; 32],
    /// Where it has written two histories: BLAKE3 of the hashes of all of its events, sorted. It is the same
    /// on every phone that has the same of them, whichever it heard of first.
    pub forked: Option<[u8; 32]>,
}

impl Journal {
    /// How far each device's sequence is here, by device.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn extents(&self) -> Result<Vec<Extent>, JournalFault> {
        self.run("reading how far each phone is here", |db| {
            let forked = forked(db)?;
            let mut extents: Vec<Extent> = db
                .prepare_cached("SELECT key, seq, head FROM device WHERE seq > 0 ORDER BY key")?
                .query_map([], |r| {
                    Ok(Extent {
                        device: DeviceId(r.get(0)?),
                        seq: r.get::<_, i64>(1)? as u64,
                        head: r.get(2)?,
                        forked: None,
                    })
                })?
                .collect::<rusqlite::Result<_>>()?;
            for extent in extents.iter_mut().filter(|e| forked.contains(&e.device)) {
                extent.forked = Some(all_of(db, &extent.device)?);
            }
            Ok(extents)
        })
    }

    /// The hash of an event that stands in its device's sequence here.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn hash_of(&self, event: &EventRef) -> Result<Option<[u8; 32]>, JournalFault> {
        self.run("reading an event", |db| {
            db.prepare_cached(
                "SELECT e.hash FROM event e JOIN device d ON d.no = e.device \
                 WHERE d.key = ?1 AND e.seq = ?2",
            )?
            .query_row(params![&event.device.0[..], event.seq as i64], |r| r.get(0))
            .optional()
        })
    }

    /// Calls `each` with a device's events in its sequence, from after the number `after` on.
    ///
    /// # Errors
    /// A fault of the file, or of `each`; it stops there.
    pub fn each_after<E: From<JournalFault>>(
        &self,
        device: &DeviceId,
        after: u64,
        each: impl FnMut(Event) -> Result<(), E>,
    ) -> Result<(), E> {
        let of = params![&device.0[..], after as i64];
        self.each_where("d.key = ?1 AND e.seq > ?2", of, each)
    }

    /// What a device wrote beside its sequence here, in the order of its numbers.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn apart_of(&self, device: &DeviceId) -> Result<Vec<Event>, JournalFault> {
        self.run("reading a second history", |db| apart_of(db, device))
    }
}

fn forked(db: &Connection) -> rusqlite::Result<Vec<DeviceId>> {
    db.prepare_cached("SELECT DISTINCT key FROM fork")?
        .query_map([], |r| Ok(DeviceId(r.get(0)?)))?
        .collect()
}

fn all_of(db: &Connection, device: &DeviceId) -> rusqlite::Result<[u8; 32]> {
    let mut hashes = db.prepare_cached(
        "SELECT e.hash FROM event e JOIN device d ON d.no = e.device WHERE d.key = ?1 \
         UNION SELECT hash FROM fork WHERE key = ?1 ORDER BY 1",
    )?;
    let mut all = blake3::Hasher::new_derive_key("slackwater all events of a device, version 1");
    for hash in hashes.query_map([&device.0[..]], |r| r.get::<_, [u8; 32]>(0))? {
        all.update(&hash?);
    }
    Ok(*all.finalize().as_bytes())
}
