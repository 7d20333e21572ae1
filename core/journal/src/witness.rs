//! A second witness of what was acknowledged: a small file beside the database that says how far this
//! device's sequence had come.
//!
//! A database in WAL mode drops what it finds damaged at the end of its log without a word (SQLite's file
//! format, 4.4: a frame counts while its checksum fits), so that acknowledged events can be missing from
//! a file that opens in good order. The witness stands outside of it. After each commit it is written in
//! place, in one of two slots by turns, so that a write cut short leaves the one before. It is not synced
//! each time: the database is, and what the system has not yet written of the witness after a power
//! failure makes it older than the database, never wrong.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

use super::ids::DeviceId;

/// The journal's table of what was acknowledged and is not here: events of a device up to `seq`.
pub const SCHEMA_LOST: &str = "
CREATE TABLE lost (key BLOB NOT NULL, seq INTEGER NOT NULL, PRIMARY KEY (key, seq)) WITHOUT ROWID, STRICT;
";

/// The journal's table of second histories: events of a device that has written another in their place, or
/// that follow such a one. Kept, and in no sequence.
pub const SCHEMA_FORK: &str = "
CREATE TABLE fork (
    hash      BLOB PRIMARY KEY NOT NULL,
    key       BLOB NOT NULL,
    seq       INTEGER NOT NULL,
    hlc       INTEGER NOT NULL,
    wall_ms   INTEGER NOT NULL,
    author    TEXT NOT NULL,
    subject   TEXT NOT NULL,
    kind      TEXT NOT NULL,
    body      BLOB NOT NULL,
    prev      BLOB NOT NULL,
    signature BLOB NOT NULL,
    heard     BLOB
) STRICT;
";

/// Name of the file, beside the database.
pub const FILE: &str = "slackwater.head";
const SLOT: usize = 128;
const CONTENT: usize = 32 + 8 + 32;

/// How far a device had come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Head {
    /// The device.
    pub device: DeviceId,
    /// Its last event.
    pub seq: u64,
    /// The hash of that.
    pub hash: [u8; 32],
}

impl Head {
    fn to_bytes(self) -> [u8; SLOT] {
        let mut slot = [0; SLOT];
        slot[..32].copy_from_slice(&self.device.0);
        slot[32..40].copy_from_slice(&self.seq.to_le_bytes());
        slot[40..CONTENT].copy_from_slice(&self.hash);
        let check = blake3::hash(&slot[..CONTENT]);
        slot[CONTENT..CONTENT + 32].copy_from_slice(check.as_bytes());
        slot
    }

    fn from_bytes(slot: &[u8]) -> Option<Head> {
        let (content, rest) = slot.split_at_checked(CONTENT)?;
        if rest.get(..32)? != blake3::hash(content).as_bytes() {
            return None;
        }
        Some(Head {
            device: DeviceId(content.get(..32)?.try_into().ok()?),
            seq: u64::from_le_bytes(content.get(32..40)?.try_into().ok()?),
            hash: content.get(40..)?.try_into().ok()?,
        })
    }
}

/// The open file.
#[derive(Debug)]
pub struct Witness {
    file: File,
    slot: u64,
}

impl Witness {
    /// Opens it in a folder, and says what it witnesses; none where it is new, or neither of its slots is
    /// whole.
    ///
    /// # Errors
    /// What the system says.
    pub fn open(folder: &Path) -> io::Result<(Witness, Option<Head>)> {
        let mut file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .read(true)
            .write(true)
            .open(folder.join(FILE))?;
        let mut bytes = Vec::new();
        (&mut file).take(2 * SLOT as u64).read_to_end(&mut bytes)?;
        let slots = bytes.chunks(SLOT).map(Head::from_bytes);
        let newest = (slots.enumerate())
            .filter_map(|(n, head)| Some((n, head?)))
            .max_by_key(|(_, head)| head.seq);
        let slot = newest.map_or(0, |(n, _)| 1 - n as u64);
        Ok((Witness { file, slot }, newest.map(|(_, head)| head)))
    }

    /// Notes how far a device has come now.
    ///
    /// # Errors
    /// What the system says; what stood there before still does.
    pub fn note(&mut self, head: Head) -> io::Result<()> {
        self.file.seek(SeekFrom::Start(self.slot * SLOT as u64))?;
        self.file.write_all(&head.to_bytes())?;
        self.slot = 1 - self.slot;
        Ok(())
    }

    /// Notes it in both slots, so that nothing of another device is left, and syncs it.
    ///
    /// # Errors
    /// What the system says.
    pub fn begin(&mut self, head: Head) -> io::Result<()> {
        self.note(head)?;
        self.note(head)?;
        self.file.sync_all()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(seq: u64) -> Head {
        Head {
            device: DeviceId([3; 32]),
            seq,
            hash: [seq as u8; 32],
        }
    }

    #[test]
    fn the_last_whole_slot_counts() {
        let dir = tempfile::tempdir().unwrap();
        let (mut w, found) = Witness::open(dir.path()).unwrap();
        assert_eq!(found, None);
        for seq in 1..6 {
            w.note(head(seq)).unwrap();
            let (_, found) = Witness::open(dir.path()).unwrap();
            assert_eq!(found, Some(head(seq)));
        }
        let path = dir.path().join(FILE);
        let whole = std::fs::read(&path).unwrap();
        for bit in 0..SLOT * 8 {
            let mut damaged = whole.clone();
            damaged[bit / 8] ^= 1 << (bit % 8);
            std::fs::write(&path, &damaged).unwrap();
            let (_, found) = Witness::open(dir.path()).unwrap();
            // Slot 0 holds the fifth, slot 1 the fourth. What lies behind the check is of no account.
            let spoiled = bit < (CONTENT + 32) * 8;
            assert_eq!(found, Some(head(if spoiled { 4 } else { 5 })));
        }
        for cut in 0..whole.len() {
            std::fs::write(&path, &whole[..cut]).unwrap();
            let (_, found) = Witness::open(dir.path()).unwrap();
            assert!(found.is_none_or(|h| h == head(5)), "{cut}");
        }
    }
}
