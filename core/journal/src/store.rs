//! The journal's file: opening, appending, reading, verifying.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Write};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use ed25519_dalek::SigningKey;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, TransactionBehavior, params};
use rusqlite_migration::Migrations;

use super::clock::{BootTime, Clock, Hlc};
use super::counted;
use super::entropy::Entropy;
use super::event::{Draft, Event, Forged, HeardOf, Stamp, heard_from_bytes, heard_to_bytes};
use super::fault::{Damage, JournalFault, Unwritable};
use super::heard::{Heard, hear, hear_anew, heard_grown};
use super::identity::Identity;
use super::ids::{DeviceId, EventRef};
use super::witness::{self, Witness};

/// Name of the database in its folder.
pub const DB_FILE: &str = "slackwater.db";
/// SQLite's log of what is not yet in the file.
const LOG_FILE: &str = "slackwater.db-wal";
const LOCK_FILE: &str = "slackwater.lock";
const KEY_FILE: &str = "device.key";
/// The smallest page that a database can have, bytes (SQLite file format, 1.3.2).
const SMALLEST_FILE: u64 = 512;
/// Present when a read met damage; the next opening then checks the whole file.
const SUSPECT_FILE: &str = "slackwater.suspect";
/// What was set aside and why, until the new record has its first entry: a process that ends before anybody
/// read it leaves nothing unsaid.
const ASIDE_FILE: &str = "slackwater.set-aside";

macro_rules! never_deleted {
    () => {
        "CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
    BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
"
    };
}

/// The journal's own tables, migration 1. The triggers make 'append-only' more than a habit.
pub const SCHEMA_1: &str = concat!(
    "
CREATE TABLE device (
    no   INTEGER PRIMARY KEY,
    key  BLOB NOT NULL UNIQUE,
    seq  INTEGER NOT NULL,
    head BLOB NOT NULL
) STRICT;
CREATE TABLE event (
    row       INTEGER PRIMARY KEY,
    device    INTEGER NOT NULL REFERENCES device(no),
    seq       INTEGER NOT NULL,
    hlc       INTEGER NOT NULL,
    wall_ms   INTEGER NOT NULL,
    author    TEXT NOT NULL,
    root      TEXT NOT NULL,
    subject   TEXT NOT NULL,
    kind      TEXT NOT NULL,
    body      BLOB NOT NULL,
    prev      BLOB NOT NULL,
    hash      BLOB NOT NULL,
    signature BLOB NOT NULL,
    UNIQUE (device, seq)
) STRICT;
CREATE INDEX event_by_time ON event (hlc);
CREATE INDEX event_by_root ON event (root, hlc);
CREATE INDEX event_by_subject ON event (subject, hlc);
CREATE TABLE tally (root TEXT PRIMARY KEY, events INTEGER NOT NULL) WITHOUT ROWID, STRICT;
CREATE TRIGGER event_is_never_edited BEFORE UPDATE ON event
    BEGIN SELECT RAISE(ABORT, 'events are never edited'); END;
",
    never_deleted!()
);

const COLUMNS: &str = "d.key, e.seq, e.hlc, e.wall_ms, e.author, e.subject, e.kind, e.body, \
                       e.prev, e.hash, e.signature, e.row, e.heard";

/// The same of an event that stands beside its device's sequence, where it has no row there.
const APART_COLUMNS: &str = "f.key, f.seq, f.hlc, f.wall_ms, f.author, f.subject, f.kind, f.body, \
                             f.prev, f.hash, f.signature, 0, f.heard";

/// How far another device's event may move this device's clock beyond its time of day, ms: two days. A phone left in another time zone, or on another date by a
/// slip, is ahead by no more, and what is written after hearing it then sorts after it for people; one
/// further ahead is wrong, and would carry every phone that hears of it along. What it wrote is kept
/// all the same, and what follows from what is told by what was heard ([`Heard`]), not by clocks.
pub const LEAD_MS: i64 = 2 * 86_400_000;

/// The doors of a journal: time, randomness, and the device's key where the platform keeps it.
#[derive(Clone)]
pub struct Env {
    /// Time.
    pub clock: Arc<dyn Clock>,
    /// Randomness.
    pub entropy: Arc<dyn Entropy>,
    /// A secret that the platform's key store keeps: the device's Ed25519 key is then made of it
    /// and of the key file beside the database, and neither signs without the other. None to make
    /// the key of the file alone.
    pub device_seed: Option<[u8; 32]>,
}

/// A database that was found damaged and put out of the way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetAside {
    /// Where it lies now.
    pub path: PathBuf,
    /// What was found.
    pub why: Damage,
}

/// Events that were acknowledged and are not here: what the witness beside the database says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lost {
    /// How far that device's sequence is here.
    pub here: u64,
    /// How far it had come.
    pub had: u64,
}

/// What opening found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Opening {
    /// A damaged database was set aside and an empty one begun.
    pub set_aside: Option<SetAside>,
    /// The device's key was no key and was set aside: what is recorded from now on comes from a new
    /// device. Nothing recorded is lost by it.
    pub key_set_aside: Option<SetAside>,
    /// Events that were acknowledged are missing. What is recorded from now on comes from a new device,
    /// so that none signs two histories.
    pub lost: Option<Lost>,
    /// A key lay here, and neither a record nor a witness that says that nothing was in it: what this device
    /// recorded under that key is not here, and nothing tells how far it had come. Said until the new record
    /// has its first entry.
    pub key_alone: bool,
    /// The key file is another than the one that signed the last event: what is recorded from now on comes
    /// from a new device.
    pub other_key: bool,
    /// The newest event is not what its device signed, though the file around it is sound. It is kept
    /// like any other; nothing else is doubted for it.
    pub odd_event: Option<EventRef>,
    /// The device's clock is this far behind the newest event, ms; 0 or less is in order.
    pub clock_behind_ms: i64,
}

/// An open journal. One process at a time, one writer.
pub struct Journal {
    conn: Connection,
    env: Env,
    path: PathBuf,
    key: SigningKey,
    device_no: i64,
    head: Head,
    /// Other devices were heard since this one's last event.
    news: bool,
    heard: RefCell<Option<Arc<Heard>>>,
    /// None where it can't be written; the database then stands alone.
    witness: Option<Witness>,
    /// Which file was opened.
    identity: Option<FileIdentity>,
    /// It is still to be told that a record was set aside.
    tells_aside: bool,
    /// Held for as long as the journal is open; the system lets go of it with the process.
    _lock: File,
}

#[derive(Debug, Clone, Copy)]
struct Head {
    seq: u64,
    hash: [u8; 32],
    hlc: Hlc,
}

/// One entry of a page: the event and the token of the page that begins after it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The event.
    pub event: Event,
    /// Asks for what is older.
    pub cursor: Cursor,
}

/// Where a page begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cursor {
    hlc: i64,
    row: i64,
}

impl Cursor {
    /// Its written form.
    pub fn to_text(self) -> String {
        format!("{}:{}", self.hlc, self.row)
    }

    /// From its written form.
    pub fn from_text(text: &str) -> Option<Cursor> {
        let (hlc, row) = text.split_once(':')?;
        Some(Cursor {
            hlc: hlc.parse().ok()?,
            row: row.parse().ok()?,
        })
    }
}

/// Why an event from another device was not taken.
#[derive(Debug, thiserror::Error)]
pub enum IngestFault {
    /// It is not what its device signed.
    #[error("event {0}: {1}")]
    Forged(EventRef, Forged),
    /// Events before it are missing.
    #[error("event {event}: the device's events from {wanted} on are missing")]
    Gap {
        /// The event.
        event: EventRef,
        /// The sequence number wanted.
        wanted: u64,
    },
    /// Folding what counts since takes longer than it may.
    #[error("taking it in takes longer than so many entries may")]
    TooLong,
    /// Somebody gave it up while what counts since was folded.
    #[error("it was given up")]
    GivenUp,
    /// The file.
    #[error(transparent)]
    Journal(#[from] JournalFault),
}

impl Journal {
    /// Opens the journal in `folder`, creating it if there is none. `migrations` must begin with
    /// [`SCHEMA_1`] and contain [`super::heard::SCHEMA_HEARD`], [`witness::SCHEMA_LOST`],
    /// [`witness::SCHEMA_FORK`] and [`counted::SCHEMA_COUNTED`]. Does not read history: its time does not
    /// grow with the number of events.
    ///
    /// A damaged file is renamed, never deleted, and an empty one begun with a new device key;
    /// [`Opening`] says so.
    ///
    /// # Errors
    /// [`JournalFault::Busy`] if another process has it open, [`JournalFault::Newer`],
    /// [`JournalFault::NotWritable`], [`JournalFault::Full`].
    pub fn open(
        folder: &Path,
        migrations: &Migrations<'_>,
        known_version: i64,
        env: Env,
    ) -> Result<(Journal, Opening), JournalFault> {
        make_folder(folder).map_err(|e| JournalFault::from_io(folder, &e))?;
        let lock = lock(&folder.join(LOCK_FILE))?;
        let path = folder.join(DB_FILE);
        let suspect = folder.join(SUSPECT_FILE);
        let mut opening = Opening::default();
        let length = fs::metadata(&path).map(|m| m.len()).ok();
        let (witness, said) = match Witness::open(folder) {
            Ok((witness, said)) => (Some(witness), said),
            Err(_) => (None, None),
        };
        // Made, and then the disk failed or the power: a beginning, unless something was acknowledged, or
        // what comes later lies there already: a key, a log with something in it.
        let log = fs::metadata(folder.join(LOG_FILE)).is_ok_and(|log| log.len() > 0);
        let begun = log || folder.join(KEY_FILE).exists() || said.is_some_and(|said| said.seq > 0);
        let length = length.filter(|l| *l > 0 || begun);
        let attempt = if let Some(length) = length.filter(|l| *l < SMALLEST_FILE) {
            // SQLite would take it for a new file and write over it.
            Err(JournalFault::Damaged {
                path: path.clone(),
                why: match length {
                    0 => Damage::Empty,
                    n => Damage::NoDatabase(n),
                },
            })
        } else {
            open_database(&path, migrations, known_version, suspect.exists())
        };
        // A disk that fails to read once makes SQLite take a sound file for a damaged one: looked at again,
        // and whole.
        let attempt = match attempt {
            Err(JournalFault::Damaged { .. }) if length.is_none_or(|l| l >= SMALLEST_FILE) => {
                open_database(&path, migrations, known_version, true)
            }
            attempt => attempt,
        };
        let (conn, odd) = match attempt {
            Ok(opened) => opened,
            Err(JournalFault::Damaged { why, .. }) => {
                let aside = set_aside(folder, env.clock.now_ms(), &why)?;
                opening.set_aside = Some(SetAside { path: aside, why });
                open_database(&path, migrations, known_version, false)?
            }
            Err(fault) => return Err(fault),
        };
        opening.odd_event = odd;
        opening.set_aside = opening.set_aside.or_else(|| set_aside_before(folder));
        let _ = fs::remove_file(&suspect);
        let fault = |e| JournalFault::from_sqlite("finding this device", &path, e);
        // Of a record that was set aside everything is told already.
        let said = said.filter(|_| opening.set_aside.is_none());
        if let Some(said) = &said {
            opening.lost = lost_since(&conn, said).map_err(fault)?;
        }
        let known = has_devices(&conn).map_err(fault)?;
        if !known && said.is_none() && folder.join(KEY_FILE).exists() {
            gone(&conn, &key_there(folder, &env)?).map_err(fault)?;
        }
        // A record that began anew, or lost its end, goes on under a new key: the old one has signed what
        // is no longer here.
        let reborn = length.is_none()
            || !known
            || opening.lost.is_some()
            || is_lost(&conn, &key_there(folder, &env)?).map_err(fault)?;
        if reborn && folder.join(KEY_FILE).exists() {
            key_aside(folder, &env)?;
        }
        if !known {
            // Its name lasts before that of its key does: a key alone is then never a beginning.
            sync_folder(folder).map_err(|e| JournalFault::from_io(folder, &e))?;
        }
        let (key, key_aside) =
            device_key(folder, &env, |key| expect_device(&conn, key).map_err(fault))?;
        opening.key_set_aside = key_aside;
        opening.other_key =
            !reborn && said.is_some_and(|said| said.device.0 != key.verifying_key().to_bytes());
        let public = key.verifying_key().to_bytes();
        let device_no = own_device(&conn, &DeviceId(public)).map_err(fault)?;
        let head = read_head(&conn, device_no, env.clock.now_ms()).map_err(fault)?;
        opening.key_alone = head.seq == 0 && lost_whole(&conn).map_err(fault)?;
        opening.clock_behind_ms = head.hlc.ms().saturating_sub(env.clock.now_ms());
        let mut journal = Journal {
            conn,
            env,
            path,
            key,
            device_no,
            head,
            news: true,
            heard: RefCell::new(None),
            witness,
            identity: FileIdentity::of(&folder.join(DB_FILE)),
            tells_aside: opening.set_aside.is_some(),
            _lock: lock,
        };
        let now = journal.witnessed();
        if said != Some(now)
            && let Some(witness) = &mut journal.witness
        {
            let _ = witness.begin(now);
            // It may be new. Without its name it is as one that can't be written.
            let _ = sync_folder(folder);
        }
        Ok((journal, opening))
    }

    /// Appends events in one transaction, together with what `fold` makes of each. When this
    /// returns, they are on the disk (WAL, synchronous=FULL).
    ///
    /// # Errors
    /// On any fault nothing is recorded.
    pub fn append(
        &mut self,
        drafts: Vec<Draft>,
        mut fold: impl FnMut(&Transaction<'_>, &Event) -> rusqlite::Result<()>,
    ) -> Result<Vec<Event>, JournalFault> {
        let wall_ms = self.env.clock.now_ms();
        let mut head = self.head;
        let mut events = Vec::with_capacity(drafts.len());
        let mut news = self.news;
        let path = self.path.clone();
        if self.identity.is_some() && self.identity != FileIdentity::of(&path) {
            return Err(JournalFault::NotWritable {
                path,
                why: Unwritable::Replaced,
            });
        }
        let fault = |e| JournalFault::from_sqlite("writing an event", &path, e);
        let result = (|| {
            let tx = self
                .conn
                .transaction_with_behavior(TransactionBehavior::Immediate)?;
            for draft in drafts {
                head.hlc = head.hlc.next(wall_ms);
                head.seq += 1;
                let heard = if std::mem::take(&mut news) {
                    newly_heard(&tx, self.device_no)?
                } else {
                    Vec::new()
                };
                let event = Event::sign(
                    draft, &self.key, head.seq, head.hlc, wall_ms, heard, head.hash,
                );
                head.hash = event.hash;
                insert(&tx, self.device_no, &event, true)?;
                fold(&tx, &event)?;
                events.push(event);
            }
            store_head(&tx, self.device_no, &head)?;
            // What others say to have heard of this device under these numbers was of another history.
            heard_grown(&tx, self.device_no, self.head.seq, head.seq)?;
            tx.commit()
        })();
        match result {
            Ok(()) => {
                self.head = head;
                self.note_head();
                if std::mem::replace(&mut self.news, news) || events.iter().any(|e| e.seq == 1) {
                    self.heard.replace(None);
                }
                Ok(events)
            }
            Err(e) => {
                self.drop_refused();
                // A commit that failed may still have reached the file: ask the file.
                if let Ok(head) = read_head(&self.conn, self.device_no, wall_ms) {
                    self.head = head;
                }
                self.news = true;
                self.heard.replace(None);
                let fault = fault(e);
                self.note_damage(&fault);
                Err(fault)
            }
        }
    }

    /// Takes an event of another device, in its device's order. One that is here already is
    /// passed over and gives `false`.
    ///
    /// # Errors
    /// [`IngestFault`]; nothing is recorded then.
    pub fn ingest(
        &mut self,
        event: &Event,
        fold: impl FnMut(&Transaction<'_>, Place, &Event) -> rusqlite::Result<()>,
    ) -> Result<bool, IngestFault> {
        let one = std::iter::once(Ok::<_, IngestFault>(event.clone()));
        Ok(self.ingest_all(one, fold, |_| Ok(()))? == 1)
    }

    /// As [`Journal::ingest`], for many events in one transaction: all of them or none. Returns how
    /// many were not here yet.
    ///
    /// What a device wrote a second time in place of another event, and what follows that, is kept beside
    /// its sequence and never keeps the rest from coming in ([`Place::Apart`]); where it is this device that
    /// has two histories, [`Journal::has_second_self`] says so. What doesn't count here moves no clock.
    /// `end` is called behind the last event, before all of it stands.
    ///
    /// # Errors
    /// The first fault of an event, what the iterator gave, or `end`; nothing is recorded then.
    pub fn ingest_all<E: From<IngestFault>>(
        &mut self,
        events: impl IntoIterator<Item = Result<Event, E>>,
        mut fold: impl FnMut(&Transaction<'_>, Place, &Event) -> rusqlite::Result<()>,
        end: impl FnOnce(&Transaction<'_>) -> Result<(), E>,
    ) -> Result<u64, E> {
        let path = self.path.clone();
        let fault = |e| {
            let fault = JournalFault::from_sqlite("taking over an event", &path, e);
            E::from(IngestFault::Journal(fault))
        };
        let own = self.device_no;
        let mut head = self.head;
        let lead = lead(self.env.clock.now_ms());
        let mut taken = 0;
        let mut grown: BTreeMap<i64, (u64, u64)> = BTreeMap::new();
        let mut apart = BTreeSet::new();
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(fault)?;
        for event in events {
            let event = event?;
            let (no, place) = match ingest_one(&tx, &path, &event)? {
                Ingested::Known => continue,
                Ingested::Apart { no, new, counts } => {
                    if new && counts {
                        fold(&tx, Place::Apart, &event).map_err(fault)?;
                    }
                    if new {
                        apart.insert(no);
                    }
                    taken += u64::from(new);
                    continue;
                }
                Ingested::InSequence { no, counts: true } => (no, Place::InSequence),
                Ingested::InSequence { no, counts: false } => (no, Place::Uncounted),
            };
            fold(&tx, place, &event).map_err(fault)?;
            let to = grown.entry(no).or_insert((event.seq - 1, event.seq));
            to.1 = event.seq;
            let heard = place == Place::InSequence && event.hlc <= lead;
            if heard || no == own {
                head.hlc = head.hlc.max(event.hlc).min(Hlc::LAST);
            }
            taken += 1;
        }
        // What others had heard is told by which history of a device that was.
        for (no, (from, to)) in grown {
            heard_grown(&tx, no, from, to).map_err(fault)?;
        }
        for no in apart {
            hear_anew(&tx, no).map_err(fault)?;
        }
        end(&tx)?;
        // A phone restored from a backup hears its own later events: it goes on after them, or after those of
        // its other history, where that is the longer.
        (head.seq, head.hash) = read_end(&tx, own).map_err(fault)?;
        if let Err(e) = tx.commit() {
            self.drop_refused();
            return Err(fault(e));
        }
        self.head = head;
        self.note_head();
        self.news |= taken > 0;
        self.heard.replace(None);
        Ok(taken)
    }

    /// Takes what was refused out of the write-ahead log. Where only the log's sync failed, all of it lies
    /// there, and a process that ended before the next commit would leave it to be found as recorded.
    fn drop_refused(&self) {
        let checkpoint = "PRAGMA wal_checkpoint(TRUNCATE)";
        let _ = self.conn.query_row(checkpoint, [], |_| Ok(()));
    }

    /// What counts here has changed, and is recorded: the clock and what was heard are found anew. Where the
    /// clock can't be read now, it is with the next opening; it orders only what people read.
    pub fn counts_anew(&mut self) {
        self.news = true;
        self.heard.replace(None);
        let now_ms = self.env.clock.now_ms();
        let head = self.run("finding this device", |conn| {
            read_head(conn, self.device_no, now_ms)
        });
        if let Ok(head) = head {
            self.head.hlc = self.head.hlc.max(head.hlc);
        }
    }

    /// Whether this device's key has signed another history than this one: a phone was restored from a
    /// copy of this one.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn has_second_self(&self) -> Result<bool, JournalFault> {
        let public = self.device();
        self.run("looking for a second history", |conn| {
            conn.prepare_cached("SELECT 1 FROM fork WHERE key = ?1")?
                .exists([&public.0[..]])
        })
    }

    /// Goes on as a new device. The old one's last event, made of the new one, says so.
    ///
    /// # Errors
    /// As [`Journal::append`], and a key that can't be written.
    pub fn renew_key(
        &mut self,
        last: impl FnOnce(DeviceId) -> Draft,
        fold: impl FnMut(&Transaction<'_>, &Event) -> rusqlite::Result<()>,
    ) -> Result<(), JournalFault> {
        let folder = self.path.parent().unwrap_or(Path::new(".")).to_owned();
        let io = |e: std::io::Error| JournalFault::from_io(&folder, &e);
        let (temporary, seed) = new_key_file(&folder, &self.env)?;
        let key = key_of(seed, &self.env);
        let public = DeviceId(key.verifying_key().to_bytes());
        self.append(vec![last(public)], fold)?;
        // Only now: where that was refused the old key stands as before.
        key_aside(&folder, &self.env)?;
        fs::rename(&temporary, folder.join(KEY_FILE)).map_err(io)?;
        sync_folder(&folder).map_err(io)?;
        let fault = |e| JournalFault::from_sqlite("beginning a new device", &self.path, e);
        self.device_no = own_device(&self.conn, &public).map_err(fault)?;
        self.key = key;
        (self.head.seq, self.head.hash) = (0, [0; 32]);
        self.news = true;
        let head = self.witnessed();
        if let Some(witness) = &mut self.witness {
            let _ = witness.begin(head);
        }
        Ok(())
    }

    fn witnessed(&self) -> witness::Head {
        witness::Head {
            device: self.device(),
            seq: self.head.seq,
            hash: self.head.hash,
        }
    }

    /// Tells the witness how far this device has come. The events are in the database: one that can't be
    /// told (a full disk) is no reason to refuse them.
    fn note_head(&mut self) {
        if std::mem::take(&mut self.tells_aside) {
            let _ = fs::remove_file(self.path.with_file_name(ASIDE_FILE));
        }
        let head = self.witnessed();
        if let Some(witness) = &mut self.witness {
            let _ = witness.note(head);
        }
    }

    /// The connection, for reading. Writing goes through [`Journal::append`]; what is written
    /// here directly must be of this device only and no evidence (see [`Journal::local`]).
    pub fn read(&self) -> &Connection {
        &self.conn
    }

    /// Writes what belongs to this device alone and is no evidence: where someone stopped, who
    /// holds the phone.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn local(
        &self,
        write: impl FnOnce(&Connection) -> rusqlite::Result<()>,
    ) -> Result<(), JournalFault> {
        write(&self.conn).map_err(|e| {
            let fault = JournalFault::from_sqlite("writing a note of this device", &self.path, e);
            self.note_damage(&fault);
            fault
        })
    }

    /// This device.
    pub fn device(&self) -> DeviceId {
        DeviceId(self.key.verifying_key().to_bytes())
    }

    /// Its key, for what is signed or opened with it beside events.
    pub fn identity(&self) -> Identity<'_> {
        Identity { key: &self.key }
    }

    /// Time now by this device, ms since 1970 UTC.
    pub fn now_ms(&self) -> i64 {
        self.env.clock.now_ms()
    }

    /// How long this device has been on, by a clock that can't be set.
    pub fn boot(&self) -> Option<BootTime> {
        self.env.clock.boot()
    }

    /// The doors.
    pub fn env(&self) -> &Env {
        &self.env
    }

    /// What each device had heard of the others.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn heard(&self) -> Result<Arc<Heard>, JournalFault> {
        if let Some(heard) = &*self.heard.borrow() {
            return Ok(heard.clone());
        }
        let heard = Arc::new(self.run("reading who heard what", Heard::load)?);
        self.heard.replace(Some(heard.clone()));
        Ok(heard)
    }

    /// The newest hybrid logical clock seen, of those within [`LEAD_MS`] of what this device knew.
    pub fn newest(&self) -> Hlc {
        self.head.hlc
    }

    /// The database's path.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// One event.
    ///
    /// # Errors
    /// A fault of the file; an unknown event is `None`.
    pub fn event(&self, reference: &EventRef) -> Result<Option<Event>, JournalFault> {
        self.run("reading an event", |conn| {
            conn.prepare_cached(&format!(
                "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
                 WHERE d.key = ?1 AND e.seq = ?2"
            ))?
            .query_row(
                params![&reference.device.0[..], reference.seq as i64],
                event_of,
            )
            .optional()
        })
    }

    /// A page of events that count, newest first: of all, or of one root (a rig's id).
    ///
    /// # Errors
    /// A fault of the file.
    pub fn page(
        &self,
        root: Option<&str>,
        before: Option<Cursor>,
        most: u32,
    ) -> Result<Vec<Entry>, JournalFault> {
        let start = before.unwrap_or(Cursor {
            hlc: i64::MAX,
            row: i64::MAX,
        });
        let filter = if root.is_some() {
            "e.root = ?4 AND "
        } else {
            "?4 IS NULL AND "
        };
        self.run("reading the journal", |conn| {
            conn.prepare_cached(&format!(
                "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
                 WHERE {filter} e.hlc <= ?1 AND (e.hlc, e.row) < (?1, ?2) \
                 AND e.seq <= d.counts_to ORDER BY e.hlc DESC, e.row DESC LIMIT ?3"
            ))?
            .query_map(params![start.hlc, start.row, most, root], |r| {
                let event = event_of(r)?;
                let cursor = Cursor {
                    hlc: event.hlc.to_i64(),
                    row: r.get(11)?,
                };
                Ok(Entry { event, cursor })
            })?
            .collect()
        })
    }

    /// A page of one device's events, newest first.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn page_of(
        &self,
        device: &DeviceId,
        before: Option<Cursor>,
        most: u32,
    ) -> Result<Vec<Entry>, JournalFault> {
        let start = before.map_or(i64::MAX, |b| b.row);
        self.run("reading the journal", |conn| {
            conn.prepare_cached(&format!(
                "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
                 WHERE d.key = ?1 AND e.seq < ?2 ORDER BY e.seq DESC LIMIT ?3"
            ))?
            .query_map(params![&device.0[..], start, most], |r| {
                let event = event_of(r)?;
                let cursor = Cursor {
                    hlc: 0,
                    row: event.seq as i64,
                };
                Ok(Entry { event, cursor })
            })?
            .collect()
        })
    }

    /// How many events there are: all, or those of one root that count. Does not count them one by one.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn count(&self, root: Option<&str>) -> Result<u64, JournalFault> {
        self.run("counting", |conn| {
            match root {
                Some(root) => conn
                    .prepare_cached("SELECT events FROM tally WHERE root = ?1")?
                    .query_row([root], |r| r.get::<_, i64>(0))
                    .optional()
                    .map(|n| n.unwrap_or(0)),
                None => conn
                    .prepare_cached("SELECT coalesce(sum(seq), 0) FROM device")?
                    .query_row([], |r| r.get(0)),
            }
            .map(|n| n as u64)
        })
    }

    /// How many events count, of all or of one root.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn counted(&self, root: Option<&str>) -> Result<u64, JournalFault> {
        if root.is_some() {
            return self.count(root);
        }
        self.run("counting", |conn| {
            conn.prepare_cached("SELECT coalesce(sum(events), 0) FROM tally")?
                .query_row([], |r| r.get::<_, i64>(0))
                .map(|n| n as u64)
        })
    }

    /// Calls `each` with every event, device by device in the order in which each wrote: the order
    /// in which [`Journal::ingest_all`] takes them. Reads everything: not for a screen.
    ///
    /// # Errors
    /// A fault of the file, or of `each`; it stops there.
    pub fn each_event<E: From<JournalFault>>(
        &self,
        each: impl FnMut(Event) -> Result<(), E>,
    ) -> Result<(), E> {
        self.each_where("1", [], each)
    }

    /// Calls `each` with the events of which so much is true, in that order.
    pub(super) fn each_where<E: From<JournalFault>>(
        &self,
        which: &str,
        of: impl rusqlite::Params,
        mut each: impl FnMut(Event) -> Result<(), E>,
    ) -> Result<(), E> {
        let mut stopped = Ok(());
        self.run("reading the journal", |conn| {
            let mut statement = conn.prepare_cached(&format!(
                "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
                 WHERE {which} ORDER BY e.device, e.seq"
            ))?;
            let mut rows = statement.query(of)?;
            while let Some(row) = rows.next()? {
                stopped = each(event_of(row)?);
                if stopped.is_err() {
                    break;
                }
            }
            Ok(())
        })?;
        stopped
    }

    /// Verifies every event's hash, signature and place in its chain, calling `each` with the
    /// number done. Reads everything: for a report, not for a screen.
    ///
    /// # Errors
    /// [`JournalFault::Damaged`] names the first event that is wrong.
    pub fn verify_all(&self, mut each: impl FnMut(u64)) -> Result<u64, JournalFault> {
        let mut done = 0;
        let mut heads = std::collections::HashMap::new();
        self.each_event(|event| {
            let (seq, prev) = heads.get(&event.device).copied().unwrap_or((0, [0; 32]));
            let fault = match event.verify() {
                Err(e) => Some(e.to_string()),
                Ok(()) if event.seq != seq + 1 => Some("the event before it is missing".into()),
                Ok(()) if event.prev != prev => Some("it follows another event".into()),
                Ok(()) => None,
            };
            if let Some(fault) = fault {
                return Err(JournalFault::Damaged {
                    path: self.path.clone(),
                    why: Damage::Said(format!("event {}: {fault}", event.reference())),
                });
            }
            heads.insert(event.device, (event.seq, event.hash));
            done += 1;
            each(done);
            Ok(())
        })?;
        Ok(done)
    }

    /// Runs a reading query, sorting its fault.
    ///
    /// # Errors
    /// A fault of the file.
    pub fn run<T>(
        &self,
        doing: &'static str,
        query: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, JournalFault> {
        query(&self.conn).map_err(|e| {
            let fault = JournalFault::from_sqlite(doing, &self.path, e);
            self.note_damage(&fault);
            fault
        })
    }

    fn note_damage(&self, fault: &JournalFault) {
        // What SQLite can't explain may be damage too (a spoiled record length reads as 'out of
        // memory'): checking the whole file once more costs little.
        if matches!(
            fault,
            JournalFault::Damaged { .. } | JournalFault::Sqlite { .. }
        ) {
            let _ = File::create(self.path.with_file_name(SUSPECT_FILE));
        }
    }
}

/// Makes a folder that is still there after a power failure, with those above it that there are not.
fn make_folder(folder: &Path) -> std::io::Result<()> {
    let new = folder
        .ancestors()
        .take_while(|f| !f.as_os_str().is_empty() && !f.exists());
    let above: Vec<&Path> = new.filter_map(Path::parent).collect();
    fs::create_dir_all(folder)?;
    for folder in above {
        // The folder above 'store' is the one that the program was started in.
        let here = folder.as_os_str().is_empty();
        sync_folder(if here { Path::new(".") } else { folder })?;
    }
    if !folder.join(DB_FILE).exists()
        && let Some(above) = folder.parent()
    {
        // One that an opening before this one made and could not sync. Where the folder above can't be
        // read the folder is not ours to make.
        let _ = sync_folder(above);
    }
    Ok(())
}

/// Waits until the names in a folder are on the disk: a file's own sync promises only what is in it.
///
/// # Errors
/// What the system says.
pub fn sync_folder(folder: &Path) -> std::io::Result<()> {
    // Elsewhere a folder can't be opened as a file, and a rename is written through.
    if !cfg!(unix) {
        return Ok(());
    }
    match File::open(folder).and_then(|folder| folder.sync_all()) {
        // A file system that knows no such sync, or a folder that may be written and not read: a crew is
        // not to be locked out for that.
        Err(e)
            if matches!(
                e.kind(),
                ErrorKind::InvalidInput | ErrorKind::Unsupported | ErrorKind::PermissionDenied
            ) =>
        {
            Ok(())
        }
        synced => synced,
    }
}

fn lock(path: &Path) -> Result<File, JournalFault> {
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(path)
        .map_err(|e| JournalFault::from_io(path, &e))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(JournalFault::Busy {
            path: path.to_owned(),
        }),
        Err(TryLockError::Error(e)) => Err(JournalFault::from_io(path, &e)),
    }
}

fn open_database(
    path: &Path,
    migrations: &Migrations<'_>,
    known: i64,
    suspect: bool,
) -> Result<(Connection, Option<EventRef>), JournalFault> {
    let fault = |e| JournalFault::from_sqlite("opening", path, e);
    let damaged = |said: String| JournalFault::Damaged {
        path: path.to_owned(),
        why: Damage::Said(said),
    };
    let mut conn = Connection::open(path).map_err(fault)?;
    conn.busy_timeout(std::time::Duration::from_secs(2))
        .map_err(fault)?;
    let found: i64 = conn
        .query_row("PRAGMA user_version", [], |r| r.get(0))
        .map_err(fault)?;
    if found > known {
        return Err(JournalFault::Newer {
            path: path.to_owned(),
            found,
            known,
        });
    }
    conn.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; \
         PRAGMA temp_store = MEMORY; PRAGMA cache_size = -8192; PRAGMA cell_size_check = ON;",
    )
    .map_err(fault)?;
    conn.set_prepared_statement_cache_capacity(128);
    // A file cut short opens without complaint and fails only where the missing pages are read.
    match conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())) {
        Ok(()) => check_length(&conn, path)?,
        // No room to bring the WAL into the file: all is there to be read in the two of them. A
        // crew on a full phone must still see whether its rig is ready.
        Err(e) => match fault(e) {
            JournalFault::Full => {}
            other => return Err(other),
        },
    }
    let check = |conn: &Connection| {
        let says: String = conn
            .query_row("PRAGMA quick_check(1)", [], |r| r.get(0))
            .map_err(fault)?;
        if says == "ok" {
            Ok(())
        } else {
            Err(damaged(says))
        }
    };
    if suspect {
        check(&conn)?;
    }
    migrations.to_latest(&mut conn).map_err(|e| match e {
        rusqlite_migration::Error::RusqliteError { err, .. } => {
            JournalFault::from_sqlite("upgrading the file", path, err)
        }
        other => damaged(other.to_string()),
    })?;
    // The newest event is what a torn write would have hit. One that is odd in a file that is sound
    // was odd when it was written: that costs nobody the record.
    let last = conn
        .query_row(
            &format!(
                "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
                 ORDER BY e.row DESC LIMIT 1"
            ),
            [],
            event_of,
        )
        .optional()
        .map_err(fault)?;
    let odd = last.filter(|event| event.verify().is_err());
    if odd.is_some() {
        check(&conn)?;
    }
    Ok((conn, odd.map(|event| event.reference())))
}

/// Asks for the pages that the file should have, the WAL being empty.
fn check_length(conn: &Connection, path: &Path) -> Result<(), JournalFault> {
    let fault = |e| JournalFault::from_sqlite("opening", path, e);
    let number = |pragma: &str| conn.query_row(pragma, [], |r| r.get::<_, i64>(0));
    let wanted =
        number("PRAGMA page_count").map_err(fault)? * number("PRAGMA page_size").map_err(fault)?;
    let length = fs::metadata(path)
        .map_err(|e| JournalFault::from_io(path, &e))?
        .len() as i64;
    if length < wanted {
        return Err(JournalFault::Damaged {
            path: path.to_owned(),
            why: Damage::Cut {
                here: length.max(0) as u64,
                wanted: wanted.max(0) as u64,
            },
        });
    }
    Ok(())
}

/// Where something damaged goes: beside `path`, under a name of the time that is not taken.
fn aside_name(path: &Path, now_ms: i64) -> PathBuf {
    let stamp = chrono::DateTime::from_timestamp_millis(now_ms)
        .unwrap_or_default()
        .format("%Y%m%dT%H%M%S%3fZ");
    let name = |end: &str| {
        let mut name = path.as_os_str().to_owned();
        name.push(format!(".damaged-{stamp}{end}"));
        PathBuf::from(name)
    };
    let mut aside = name("");
    let mut n = 1;
    while aside.exists() {
        n += 1;
        aside = name(&format!("-{n}"));
    }
    aside
}

/// Renames the database with its companions and the device key. A new key goes with the new file,
/// so that no device ever writes two histories under one key.
fn set_aside(folder: &Path, now_ms: i64, why: &Damage) -> Result<PathBuf, JournalFault> {
    let path = folder.join(DB_FILE);
    let aside = aside_name(&path, now_ms);
    let note = folder.join(ASIDE_FILE);
    let name = aside.file_name().unwrap_or_default().to_string_lossy();
    File::create(&note)
        .and_then(|mut file| {
            file.write_all(format!("{name}\n{why}").as_bytes())?;
            file.sync_all()
        })
        .map_err(|e| JournalFault::from_io(&note, &e))?;
    for suffix in ["-wal", "-shm"] {
        let from = folder.join(format!("{DB_FILE}{suffix}"));
        if from.exists() {
            let mut to = aside.clone().into_os_string();
            to.push(suffix);
            fs::rename(&from, PathBuf::from(to)).map_err(|e| JournalFault::from_io(&from, &e))?;
        }
    }
    fs::rename(&path, &aside).map_err(|e| JournalFault::from_io(&path, &e))?;
    let key = folder.join(KEY_FILE);
    if key.exists() {
        let mut to = aside.clone().into_os_string();
        to.push(".key");
        fs::rename(&key, PathBuf::from(to)).map_err(|e| JournalFault::from_io(&key, &e))?;
    }
    // Before anything new is begun: the old key must not come back beside a new file.
    sync_folder(folder).map_err(|e| JournalFault::from_io(folder, &e))?;
    Ok(aside)
}

/// What an earlier opening set aside, and nobody has recorded anything since.
fn set_aside_before(folder: &Path) -> Option<SetAside> {
    let note = fs::read_to_string(folder.join(ASIDE_FILE)).ok()?;
    let (name, why) = note.split_once('\n')?;
    let path = folder.join(name);
    // One that was not set aside after all is no news.
    (!name.is_empty() && path.is_file()).then(|| SetAside {
        path,
        why: Damage::read(why),
    })
}

/// The device's key, made where there is none. A file that can't be a key (cut short, or zeros as
/// some file systems leave after a flat battery) is set aside and a new one made: the events are
/// whole, and a device that can't sign would lock its crew out.
///
/// `made` is told of a new key before it is in place.
fn device_key(
    folder: &Path,
    env: &Env,
    made: impl FnOnce(&DeviceId) -> Result<(), JournalFault>,
) -> Result<(SigningKey, Option<SetAside>), JournalFault> {
    let (file, aside) = key_file(folder, env, made)?;
    Ok((key_of(file, env), aside))
}

/// The device of the key that lies in the folder; of what is no key, none.
fn key_there(folder: &Path, env: &Env) -> Result<Option<DeviceId>, JournalFault> {
    let path = folder.join(KEY_FILE);
    let bytes = match fs::read(&path) {
        Ok(bytes) => bytes,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(None),
        Err(e) => return Err(JournalFault::from_io(&path, &e)),
    };
    let seed = <[u8; 32]>::try_from(&bytes[..]).ok();
    let key = seed.filter(|s| *s != [0; 32]).map(|s| key_of(s, env));
    Ok(key.map(|key| DeviceId(key.verifying_key().to_bytes())))
}

/// The key that the file beside the database makes, with the platform's secret where it keeps one.
fn key_of(file: [u8; 32], env: &Env) -> SigningKey {
    let seed = match env.device_seed {
        None => file,
        // The file goes aside with a damaged database, so the key store's secret, which stays,
        // never signs two histories.
        Some(secret) => blake3::Hasher::new_derive_key("slackwater device key, version 1")
            .update(&secret)
            .update(&file)
            .finalize()
            .into(),
    };
    SigningKey::from_bytes(&seed)
}

fn key_file(
    folder: &Path,
    env: &Env,
    made: impl FnOnce(&DeviceId) -> Result<(), JournalFault>,
) -> Result<([u8; 32], Option<SetAside>), JournalFault> {
    let path = folder.join(KEY_FILE);
    let io = |e: std::io::Error| JournalFault::from_io(&path, &e);
    let mut aside = None;
    if path.exists() {
        let bytes = fs::read(&path).map_err(io)?;
        match <[u8; 32]>::try_from(&bytes[..]) {
            Ok(seed) if seed != [0; 32] => return Ok((seed, None)),
            _ => {
                let to = key_aside(folder, env)?;
                aside = Some(SetAside {
                    path: to,
                    why: Damage::NoKey(bytes.len() as u64),
                });
            }
        }
    }
    let (temporary, seed) = new_key_file(folder, env)?;
    let key = key_of(seed, env).verifying_key();
    made(&DeviceId(key.to_bytes()))?;
    fs::rename(&temporary, &path).map_err(io)?;
    // Nothing is signed with a key that a power failure takes away.
    sync_folder(folder).map_err(io)?;
    Ok((seed, aside))
}

/// Writes a new key beside the one that signs now: where, and what it holds.
fn new_key_file(folder: &Path, env: &Env) -> Result<(PathBuf, [u8; 32]), JournalFault> {
    let temporary = folder.join("device.key.new");
    let io = |e: std::io::Error| JournalFault::from_io(&temporary, &e);
    let mut seed = [0; 32];
    env.entropy.fill(&mut seed);
    let mut options = OpenOptions::new();
    options.create(true).truncate(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(&temporary).map_err(io)?;
    file.write_all(&seed)
        .and_then(|()| file.sync_all())
        .map_err(io)?;
    Ok((temporary, seed))
}

/// Which file a path leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct FileIdentity(u64, u64);

impl FileIdentity {
    /// None where there is none, or the system doesn't say.
    fn of(path: &Path) -> Option<FileIdentity> {
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt;
            let about = fs::metadata(path).ok()?;
            Some(FileIdentity(about.dev(), about.ino()))
        }
        #[cfg(not(unix))]
        {
            let _ = path;
            None
        }
    }
}

/// What the witness says was acknowledged and isn't here; noted in the file, so that it stands until it
/// comes back from another phone or somebody answers for it.
fn lost_since(conn: &Connection, said: &witness::Head) -> rusqlite::Result<Option<Lost>> {
    if said.seq == 0 {
        return Ok(None);
    }
    let key = &said.device.0[..];
    let here: i64 = conn
        .query_row("SELECT seq FROM device WHERE key = ?1", [key], |r| r.get(0))
        .optional()?
        .unwrap_or(0);
    // It may stand beside the sequence since.
    let is_here = conn
        .prepare(
            "SELECT 1 FROM event e JOIN device d ON d.no = e.device WHERE d.key = ?1 AND e.seq = ?2 \
             AND e.hash = ?3 UNION ALL SELECT 1 FROM fork WHERE hash = ?3",
        )?
        .exists(params![key, said.seq as i64, &said.hash[..]])?;
    if is_here {
        return Ok(None);
    }
    own_device(conn, &said.device)?;
    // Of another history as long as this one nothing comes back: one more than either is wanted.
    let had = said.seq.max(here as u64 + 1);
    conn.execute(
        "INSERT OR IGNORE INTO lost (key, seq) VALUES (?1, ?2)",
        params![key, had as i64],
    )?;
    Ok(Some(Lost {
        here: here as u64,
        had,
    }))
}

/// How far a device had come of which nothing tells it.
pub const UNKNOWN_END: i64 = i64::MAX;

/// Whether the file knows any device: one that was opened before knows its own.
fn has_devices(conn: &Connection) -> rusqlite::Result<bool> {
    conn.prepare("SELECT 1 FROM device")?.exists([])
}

/// Notes that all of what a device wrote is gone, however far it had come.
fn gone(conn: &Connection, device: &Option<DeviceId>) -> rusqlite::Result<()> {
    // Together, or the key would be found beside a record that knows it and nothing of what it wrote.
    conn.execute_batch("SAVEPOINT gone")?;
    let noted = (|| {
        if let Some(device) = device {
            own_device(conn, device)?;
        }
        let key = device.map_or([0; 32], |d| d.0);
        conn.execute(
            "INSERT OR IGNORE INTO lost (key, seq) VALUES (?1, ?2)",
            params![&key[..], UNKNOWN_END],
        )
    })();
    let end = if noted.is_ok() {
        ""
    } else {
        "ROLLBACK TO gone; "
    };
    conn.execute_batch(&format!("{end}RELEASE gone"))?;
    noted.map(drop)
}

/// Whether something that a device wrote was lost: it signs nothing more.
fn is_lost(conn: &Connection, device: &Option<DeviceId>) -> rusqlite::Result<bool> {
    let Some(device) = device else {
        return Ok(false);
    };
    conn.prepare("SELECT 1 FROM lost WHERE key = ?1")?
        .exists([&device.0[..]])
}

/// Whether all that some device wrote is gone.
fn lost_whole(conn: &Connection) -> rusqlite::Result<bool> {
    conn.prepare("SELECT 1 FROM lost WHERE seq = ?1")?
        .exists([UNKNOWN_END])
}

/// Makes a device known of which nothing counts yet: so a key that lies beside a file that knows no device is
/// older than the file.
fn expect_device(conn: &Connection, device: &DeviceId) -> rusqlite::Result<()> {
    conn.execute(
        "INSERT OR IGNORE INTO device (key, seq, head, counts_to) VALUES (?1, 0, zeroblob(32), 0)",
        [&device.0[..]],
    )
    .map(drop)
}

/// The number of a device that is this phone, made where it is new. What it wrote counts.
fn own_device(conn: &Connection, device: &DeviceId) -> rusqlite::Result<i64> {
    let key = &device.0[..];
    conn.execute(
        "INSERT INTO device (key, seq, head, counts_to, ours) VALUES (?1, 0, zeroblob(32), ?2, 1) \
         ON CONFLICT (key) DO UPDATE SET ours = 1 WHERE ours <> 1",
        params![key, counted::ALL as i64],
    )?;
    let (no, to): (i64, i64) = conn.query_row(
        "SELECT no, counts_to FROM device WHERE key = ?1",
        [key],
        |r| Ok((r.get(0)?, r.get(1)?)),
    )?;
    if to as u64 != counted::ALL {
        counted::set(conn, no, to as u64, counted::ALL)?;
    }
    Ok(no)
}

/// Puts the device's key out of the way.
fn key_aside(folder: &Path, env: &Env) -> Result<PathBuf, JournalFault> {
    let path = folder.join(KEY_FILE);
    let to = aside_name(&path, env.clock.now_ms());
    fs::rename(&path, &to).map_err(|e| JournalFault::from_io(&path, &e))?;
    Ok(to)
}

/// The furthest that another's clock may move this device's. Not from where the clock stands: each event
/// could carry it a bit further then.
fn lead(now_ms: i64) -> Hlc {
    Hlc::at(now_ms.saturating_add(LEAD_MS))
}

/// The last event of a device: its number and its hash.
fn read_end(conn: &Connection, device_no: i64) -> rusqlite::Result<(u64, [u8; 32])> {
    conn.query_row(
        "SELECT seq, head FROM device WHERE no = ?1",
        [device_no],
        |r| Ok((r.get::<_, i64>(0)? as u64, fixed(r, 1)?)),
    )
}

fn read_head(conn: &Connection, device_no: i64, now_ms: i64) -> rusqlite::Result<Head> {
    let (seq, hash) = read_end(conn, device_no)?;
    let own: Option<i64> = conn
        .query_row(
            "SELECT hlc FROM event WHERE device = ?1 AND seq = ?2",
            [device_no, seq as i64],
            |r| r.get(0),
        )
        .optional()?;
    // One that ran over the end of time is as good as the last there is.
    let own = own.map_or(Hlc::default(), |hlc| Hlc::from_i64(hlc).min(Hlc::LAST));
    // A device's clock never goes back, so its last event within the lead is the latest; and strangers,
    // however much they wrote, cost nothing.
    let others: Option<i64> = conn.query_row(
        "SELECT max((SELECT e.hlc FROM event e WHERE e.device = d.no AND e.seq <= d.counts_to \
         AND e.hlc <= ?1 ORDER BY e.seq DESC LIMIT 1)) FROM device d WHERE d.counts_to > 0",
        [lead(now_ms).to_i64()],
        |r| r.get(0),
    )?;
    Ok(Head {
        seq,
        hash,
        hlc: own.max(Hlc::from_i64(others.unwrap_or(0).max(0))),
    })
}

/// The other devices of which more counts here than this device's last event said. Of what doesn't count
/// nobody has heard: what is written here answers none of it.
fn newly_heard(tx: &Transaction<'_>, device_no: i64) -> rusqlite::Result<Vec<HeardOf>> {
    tx.prepare_cached(
        "SELECT d.key, min(d.seq, d.counts_to), (SELECT e.hash FROM event e WHERE e.device = d.no \
         AND e.seq = min(d.seq, d.counts_to)) FROM device d WHERE d.no <> ?1 \
         AND min(d.seq, d.counts_to) > coalesce((SELECT max(other_seq) FROM heard h \
         WHERE h.device = ?1 AND h.other = d.no), 0) ORDER BY d.no",
    )?
    .query_map([device_no], |r| {
        let hash: [u8; 32] = fixed(r, 2)?;
        Ok(HeardOf {
            device: DeviceId(fixed(r, 0)?),
            seq: r.get::<_, i64>(1)? as u64,
            head: hash.first_chunk().copied(),
        })
    })?
    .collect()
}

fn store_head(tx: &Connection, device_no: i64, head: &Head) -> rusqlite::Result<()> {
    tx.prepare_cached("UPDATE device SET seq = ?2, head = ?3 WHERE no = ?1")?
        .execute(params![device_no, head.seq as i64, &head.hash[..]])
        .map(drop)
}

/// Where an event that came in stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In its device's sequence.
    InSequence,
    /// Beside it: its device has written another in its place, or in that of one before it.
    Apart,
    /// In its device's sequence, which doesn't count so far here ([`counted`]). What doesn't count and stands
    /// beside a sequence is kept without a word.
    Uncounted,
}

enum Ingested {
    /// It was here.
    Known,
    /// In its device's sequence.
    InSequence {
        /// The device's number.
        no: i64,
        /// It counts here.
        counts: bool,
    },
    /// Beside its device's sequence.
    Apart {
        /// The device's number.
        no: i64,
        /// It was not here yet.
        new: bool,
        /// It would count here.
        counts: bool,
    },
}

/// Keeps an event beside its device's sequence.
fn keep_apart(
    tx: &Transaction<'_>,
    no: i64,
    e: &Event,
    counts: bool,
) -> rusqlite::Result<Ingested> {
    let kept = tx
        .prepare_cached(
            "INSERT OR IGNORE INTO fork (hash, key, seq, hlc, wall_ms, author, subject, kind, body, \
             prev, signature, heard) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )?
        .execute(params![
            &e.hash[..],
            &e.device.0[..],
            e.seq as i64,
            e.hlc.to_i64(),
            e.wall_ms,
            e.author,
            e.subject,
            e.kind,
            e.body,
            &e.prev[..],
            &e.signature[..],
            e.heard.as_deref().map(heard_to_bytes),
        ])?;
    let new = kept == 1;
    Ok(Ingested::Apart { no, new, counts })
}

/// Writes an event of another device, and its device's new head where it is in the sequence.
fn ingest_one(tx: &Transaction<'_>, path: &Path, event: &Event) -> Result<Ingested, IngestFault> {
    event
        .verify()
        .map_err(|e| IngestFault::Forged(event.reference(), e))?;
    let fault = |e| JournalFault::from_sqlite("taking over an event", path, e);
    let no = device_no(tx, &event.device).map_err(fault)?;
    let (seq, head, counts_to): (i64, Vec<u8>, i64) = tx
        .prepare_cached("SELECT seq, head, counts_to FROM device WHERE no = ?1")
        .and_then(|mut s| s.query_row([no], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))))
        .map_err(fault)?;
    let seq = seq as u64;
    let counts = event.seq <= counts_to as u64;
    if event.seq <= seq {
        let known: Vec<u8> = tx
            .prepare_cached("SELECT hash FROM event WHERE device = ?1 AND seq = ?2")
            .and_then(|mut s| s.query_row(params![no, event.seq as i64], |r| r.get(0)))
            .map_err(fault)?;
        return if known == event.hash {
            Ok(Ingested::Known)
        } else {
            keep_apart(tx, no, event, counts).map_err(|e| fault(e).into())
        };
    }
    let follows_apart = tx
        .prepare_cached("SELECT 1 FROM fork WHERE hash = ?1")
        .and_then(|mut s| s.exists([&event.prev[..]]))
        .map_err(fault)?;
    if follows_apart {
        return keep_apart(tx, no, event, counts).map_err(|e| fault(e).into());
    }
    if event.seq != seq + 1 {
        return Err(IngestFault::Gap {
            event: event.reference(),
            wanted: seq + 1,
        });
    }
    if head != event.prev {
        return keep_apart(tx, no, event, counts).map_err(|e| fault(e).into());
    }
    insert(tx, no, event, counts).map_err(fault)?;
    let theirs = Head {
        seq: event.seq,
        hash: event.hash,
        hlc: event.hlc,
    };
    store_head(tx, no, &theirs).map_err(fault)?;
    Ok(Ingested::InSequence { no, counts })
}

/// Takes a device's events from a number on out of its sequence, to stand beside it: they are as they were,
/// and no longer what that device's numbers mean.
pub(super) fn take_out(db: &Connection, device: i64, from: u64) -> rusqlite::Result<()> {
    let from = from as i64;
    let counts_to: i64 = db
        .prepare_cached("SELECT counts_to FROM device WHERE no = ?1")?
        .query_row([device], |r| r.get(0))?;
    db.prepare_cached(
        "INSERT OR IGNORE INTO fork (hash, key, seq, hlc, wall_ms, author, subject, kind, body, prev, \
         signature, heard) SELECT e.hash, d.key, e.seq, e.hlc, e.wall_ms, e.author, e.subject, e.kind, \
         e.body, e.prev, e.signature, e.heard FROM event e JOIN device d ON d.no = e.device \
         WHERE e.device = ?1 AND e.seq >= ?2",
    )?
    .execute([device, from])?;
    let roots: Vec<(String, bool, i64)> = db
        .prepare_cached(
            "SELECT root, seq <= ?3, count(*) FROM event WHERE device = ?1 AND seq >= ?2 GROUP BY 1, 2",
        )?
        .query_map([device, from, counts_to], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (root, counts, n) in roots {
        counted::tell_less(db, device, &root, counts, n)?;
    }
    // The one act that takes rows out, and only such as have just been laid beside.
    db.execute_batch("DROP TRIGGER event_is_never_deleted")?;
    db.execute(
        "DELETE FROM event WHERE device = ?1 AND seq >= ?2",
        [device, from],
    )?;
    db.execute_batch(never_deleted!())?;
    db.execute(
        "DELETE FROM heard WHERE device = ?1 AND seq >= ?2",
        [device, from],
    )?;
    db.execute(
        "UPDATE device SET seq = ?2 - 1, head = coalesce((SELECT hash FROM event WHERE device = ?1 \
         AND seq = ?2 - 1), zeroblob(32)), cause_from = CASE WHEN cause_from >= ?2 THEN NULL \
         ELSE cause_from END WHERE no = ?1",
        [device, from],
    )
    .map(drop)
}

/// Puts an event that stood beside a device's sequence at the end of it.
pub(super) fn insert_at(db: &Connection, device: i64, e: &Event) -> rusqlite::Result<()> {
    let counts_to: i64 = db
        .prepare_cached("SELECT counts_to FROM device WHERE no = ?1")?
        .query_row([device], |r| r.get(0))?;
    db.prepare_cached("DELETE FROM fork WHERE hash = ?1")?
        .execute([&e.hash[..]])?;
    insert(db, device, e, e.seq <= counts_to as u64)?;
    let head = Head {
        seq: e.seq,
        hash: e.hash,
        hlc: e.hlc,
    };
    store_head(db, device, &head)
}

fn insert(tx: &Connection, device_no: i64, e: &Event, counts: bool) -> rusqlite::Result<()> {
    let root = e.subject.split('/').next().unwrap_or_default();
    tx.prepare_cached(
        "INSERT INTO event (device, seq, hlc, wall_ms, author, root, subject, kind, body, prev, \
         hash, signature, heard) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
    )?
    .execute(params![
        device_no,
        e.seq as i64,
        e.hlc.to_i64(),
        e.wall_ms,
        e.author,
        root,
        e.subject,
        e.kind,
        e.body,
        &e.prev[..],
        &e.hash[..],
        &e.signature[..],
        e.heard.as_deref().map(heard_to_bytes),
    ])?;
    for of in e.heard.iter().flatten() {
        hear(tx, device_no, e.seq, of)?;
    }
    if e.heard.is_some() {
        tx.prepare_cached(
            "UPDATE device SET cause_from = ?2 WHERE no = ?1 AND cause_from IS NULL",
        )?
        .execute(params![device_no, e.seq as i64])?;
    }
    counted::tell(tx, device_no, root, counts)
}

/// The number of a device, made where nothing was heard of it yet.
///
/// # Errors
/// What SQLite says.
pub fn device_no(db: &Connection, device: &DeviceId) -> rusqlite::Result<i64> {
    let key = &device.0[..];
    db.prepare_cached(
        "INSERT INTO device (key, seq, head) VALUES (?1, 0, zeroblob(32)) ON CONFLICT DO NOTHING",
    )?
    .execute([key])?;
    db.prepare_cached("SELECT no FROM device WHERE key = ?1")?
        .query_row([key], |r| r.get(0))
}

/// The event that bears a stamp, if anything of its writer is here.
///
/// # Errors
/// What SQLite says.
pub fn written_at(db: &Connection, stamp: &Stamp) -> rusqlite::Result<Option<EventRef>> {
    // Of a device that was only named nothing is here, whatever its key begins with.
    let device: Option<[u8; 32]> = db
        .prepare_cached("SELECT key FROM device WHERE substr(key, 1, 8) = ?1 AND seq > 0")?
        .query_row([&stamp.writer().0[..]], |r| r.get(0))
        .optional()?;
    Ok(device.map(|key| EventRef {
        device: DeviceId(key),
        seq: stamp.seq(),
    }))
}

fn fixed<const N: usize>(row: &Row<'_>, at: usize) -> rusqlite::Result<[u8; N]> {
    let bytes: Vec<u8> = row.get(at)?;
    bytes.try_into().map_err(|b: Vec<u8>| {
        rusqlite::Error::FromSqlConversionFailure(
            at,
            rusqlite::types::Type::Blob,
            format!("{} bytes where {N} belong", b.len()).into(),
        )
    })
}

/// Reads an event from a row of [`COLUMNS`].
fn event_of(row: &Row<'_>) -> rusqlite::Result<Event> {
    let heard: Option<Vec<u8>> = row.get(12)?;
    let heard = match heard {
        None => None,
        Some(bytes) => Some(heard_from_bytes(&bytes).ok_or_else(|| {
            rusqlite::Error::FromSqlConversionFailure(
                12,
                rusqlite::types::Type::Blob,
                format!("{} bytes of what was heard", bytes.len()).into(),
            )
        })?),
    };
    Ok(Event {
        device: DeviceId(fixed(row, 0)?),
        seq: row.get::<_, i64>(1)? as u64,
        hlc: Hlc::from_i64(row.get(2)?),
        wall_ms: row.get(3)?,
        author: row.get(4)?,
        subject: row.get(5)?,
        kind: row.get(6)?,
        body: row.get(7)?,
        heard,
        prev: fixed(row, 8)?,
        hash: fixed(row, 9)?,
        signature: fixed(row, 10)?,
    })
}

/// Calls `each` with every event that counts, in the order in which they came in; for folding anew.
///
/// # Errors
/// What SQLite says, or `each`.
pub fn each_event<E: From<rusqlite::Error>>(
    db: &Connection,
    mut each: impl FnMut(Event) -> Result<(), E>,
) -> Result<(), E> {
    let mut statement = db.prepare(&format!(
        "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
         WHERE e.seq <= d.counts_to ORDER BY e.row"
    ))?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        each(event_of(row)?)?;
    }
    Ok(())
}

/// Calls `each` with the events of one device in its sequence, from after one number up to another.
///
/// # Errors
/// What SQLite says, or `each`.
pub fn each_of<E: From<rusqlite::Error>>(
    db: &Connection,
    device_no: i64,
    from: u64,
    to: u64,
    mut each: impl FnMut(Event) -> Result<(), E>,
) -> Result<(), E> {
    let mut statement = db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
         WHERE e.device = ?1 AND e.seq > ?2 AND e.seq <= ?3 ORDER BY e.seq"
    ))?;
    let to = to.min(counted::ALL) as i64;
    let mut rows = statement.query(params![device_no, from as i64, to])?;
    while let Some(row) = rows.next()? {
        each(event_of(row)?)?;
    }
    Ok(())
}

/// Calls `each` with every event that stands beside its device's sequence, of devices that count so far.
///
/// # Errors
/// What SQLite says, or `each`.
pub fn each_apart(
    db: &Connection,
    mut each: impl FnMut(Event) -> rusqlite::Result<()>,
) -> rusqlite::Result<()> {
    let mut statement = db.prepare(&format!(
        "SELECT {APART_COLUMNS} FROM fork f JOIN device d ON d.key = f.key \
         WHERE f.seq <= d.counts_to ORDER BY f.hash"
    ))?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        each(event_of(row)?)?;
    }
    Ok(())
}

/// What a device wrote beside its sequence, by number.
pub(super) fn apart_of(db: &Connection, device: &DeviceId) -> rusqlite::Result<Vec<Event>> {
    db.prepare_cached(&format!(
        "SELECT {APART_COLUMNS} FROM fork f WHERE f.key = ?1 ORDER BY f.seq, f.hash"
    ))?
    .query_map([&device.0[..]], event_of)?
    .collect()
}

/// An event that counts.
///
/// # Errors
/// What SQLite says.
pub fn counted_event(db: &Connection, reference: &EventRef) -> rusqlite::Result<Option<Event>> {
    db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
         WHERE d.key = ?1 AND e.seq = ?2 AND e.seq <= d.counts_to"
    ))?
    .query_row(
        params![&reference.device.0[..], reference.seq as i64],
        event_of,
    )
    .optional()
}

/// Calls `each` with what the writer of an event had written before it about the same subject, newest first,
/// until it breaks; for the fold, where that event is retracted.
///
/// # Errors
/// What SQLite says, or `each`.
pub fn each_before(
    db: &Connection,
    event: &Event,
    mut each: impl FnMut(Event) -> rusqlite::Result<ControlFlow<()>>,
) -> rusqlite::Result<()> {
    let mut statement = db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM event e INDEXED BY event_by_subject \
         JOIN device d ON d.no = e.device \
         WHERE e.subject = ?1 AND d.key = ?2 AND e.seq < ?3 AND e.seq <= d.counts_to \
         ORDER BY e.seq DESC"
    ))?;
    let mut rows = statement.query(params![
        event.subject,
        &event.device.0[..],
        event.seq as i64
    ])?;
    while let Some(row) = rows.next()? {
        if each(event_of(row)?)?.is_break() {
            break;
        }
    }
    Ok(())
}

/// The newest events of one subject that count, newest first; of one kind only if one is named.
///
/// # Errors
/// What SQLite says.
pub fn events_of_subject(
    tx: &Connection,
    subject: &str,
    kind: Option<&str>,
    most: u32,
) -> rusqlite::Result<Vec<Event>> {
    tx.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
         WHERE e.subject = ?1 AND e.kind = coalesce(?2, e.kind) AND e.seq <= d.counts_to \
         ORDER BY e.hlc DESC, e.row DESC LIMIT ?3"
    ))?
    .query_map(params![subject, kind, most], event_of)?
    .collect()
}

/// The first event of a kind about a subject that counts, by the clock.
///
/// # Errors
/// What SQLite says.
pub fn first_of_subject(
    tx: &Connection,
    subject: &str,
    kind: &str,
) -> rusqlite::Result<Option<Event>> {
    tx.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
         WHERE e.subject = ?1 AND e.kind = ?2 AND e.seq <= d.counts_to \
         ORDER BY e.hlc, e.row LIMIT 1"
    ))?
    .query_row(params![subject, kind], event_of)
    .optional()
}

/// The event of the same subject and kind that stands before one, of those that count; none where it is the first.
///
/// # Errors
/// What SQLite says.
pub fn event_before(tx: &Connection, event: &Event) -> rusqlite::Result<Option<Event>> {
    tx.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM event e JOIN device d ON d.no = e.device \
         WHERE e.subject = ?1 AND e.kind = ?2 AND e.seq <= d.counts_to AND (e.hlc, e.row) < \
         (SELECT x.hlc, x.row FROM event x JOIN device y ON y.no = x.device \
          WHERE y.key = ?3 AND x.seq = ?4) \
         ORDER BY e.hlc DESC, e.row DESC LIMIT 1"
    ))?
    .query_row(
        params![
            event.subject,
            event.kind,
            &event.device.0[..],
            event.seq as i64
        ],
        event_of,
    )
    .optional()
}

#[cfg(test)]
mod tests {
    use super::super::clock::FixedClock;
    use super::super::counted::SCHEMA_COUNTED;
    use super::super::entropy::SeededEntropy;
    use super::super::heard::{SCHEMA_HEADS, SCHEMA_HEARD};
    use super::super::witness::{SCHEMA_FORK, SCHEMA_LOST};
    use super::*;
    use rusqlite_migration::M;

    fn migrations() -> Migrations<'static> {
        Migrations::new(vec![
            M::up(SCHEMA_1),
            M::up(SCHEMA_HEARD),
            M::up(SCHEMA_LOST),
            M::up(SCHEMA_FORK),
            M::up(SCHEMA_COUNTED),
            M::up(SCHEMA_HEADS),
        ])
    }

    fn env(seed: u64) -> Env {
        Env {
            clock: Arc::new(FixedClock::at(1_000_000)),
            entropy: Arc::new(SeededEntropy::new(seed)),
            device_seed: None,
        }
    }

    fn open(folder: &Path) -> Result<(Journal, Opening), JournalFault> {
        static SEED: std::sync::atomic::AtomicU64 = std::sync::atomic::AtomicU64::new(100);
        let seed = SEED.fetch_add(1, std::sync::atomic::Ordering::SeqCst);
        Journal::open(folder, &migrations(), 6, env(seed))
    }

    fn append_many(j: &mut Journal, n: u32) {
        j.append((0..n).map(draft).collect(), |_, _| Ok(()))
            .unwrap();
    }

    fn draft(n: u32) -> Draft {
        Draft {
            author: "a".into(),
            subject: format!("rig/{}", n % 3),
            kind: "k".into(),
            body: format!("{{\"n\":{n}}}").into_bytes(),
        }
    }

    /// What another device signs, with any clock and anything heard.
    fn foreign(key: u8, seq: u64, hlc: Hlc, heard: Vec<HeardOf>, prev: [u8; 32]) -> Event {
        let key = SigningKey::from_bytes(&[key; 32]);
        Event::sign(draft(seq as u32), &key, seq, hlc, hlc.ms(), heard, prev)
    }

    /// As who has an event says so.
    fn heard_of(e: &Event) -> HeardOf {
        HeardOf {
            head: e.hash.first_chunk().copied(),
            ..e.reference().into()
        }
    }

    /// Takes events and chooses between histories, as the floor above does.
    fn takes(j: &mut Journal, events: &[Event]) -> bool {
        let mut chosen = false;
        let all = events.iter().cloned().map(Ok::<_, IngestFault>);
        j.ingest_all(
            all,
            |_, _, _| Ok(()),
            |tx| {
                for no in super::super::fork::forked(tx).unwrap() {
                    chosen |= super::super::fork::reseat(tx, no, None).unwrap();
                }
                Ok(())
            },
        )
        .unwrap();
        chosen
    }

    /// A device's history: `n` events after `stem`, told apart by their clock.
    fn history(key: u8, stem: Option<&Event>, n: u64, clock: u64) -> Vec<Event> {
        let mut events: Vec<Event> = Vec::new();
        for _ in 0..n {
            let last = events.last().or(stem);
            let (seq, prev) = last.map_or((1, [0; 32]), |e| (e.seq + 1, e.hash));
            events.push(foreign(key, seq, Hlc(clock + seq), vec![], prev));
        }
        events
    }

    fn sequence(j: &Journal, device: &DeviceId) -> Vec<[u8; 32]> {
        let mut all = Vec::new();
        j.each_after(device, 0, |e| {
            all.push(e.hash);
            Ok::<_, JournalFault>(())
        })
        .unwrap();
        all
    }

    /// Which of two histories is the device's hung on which came first: two phones of one crew disagreed.
    #[test]
    fn of_several_histories_one_is_the_sequence_whatever_came_first() {
        let stem = history(9, None, 3, 100);
        let short = history(9, Some(&stem[2]), 2, 200);
        let long = history(9, Some(&stem[2]), 4, 300);
        let as_long = history(9, Some(&stem[0]), 6, 400);
        let branch = history(9, Some(&short[0]), 1, 500);
        let lasts = [&long[3], &as_long[5]];
        let wins = *lasts.iter().min_by_key(|e| e.hash).unwrap();
        let runs = [&short, &long, &as_long, &branch];
        let mut found = Vec::new();
        for order in [
            [0, 1, 2, 3],
            [3, 2, 1, 0],
            [1, 0, 3, 2],
            [2, 0, 1, 3],
            [0, 3, 2, 1],
        ] {
            let dir = tempfile::tempdir().unwrap();
            let (mut j, _) = open(dir.path()).unwrap();
            counts(&j, stem[0].device);
            takes(&mut j, &stem);
            // One that follows what has not come yet is a gap, and comes again.
            for _ in 0..2 {
                for at in order {
                    let all = runs[at].iter().cloned().map(Ok::<_, IngestFault>);
                    let _ = j.ingest_all(all, |_, _, _| Ok(()), |_| Ok(()));
                    takes(&mut j, &[]);
                }
            }
            let device = stem[0].device;
            let apart: BTreeSet<_> = (j.apart_of(&device).unwrap().iter())
                .map(|e| e.hash)
                .collect();
            assert_eq!(sequence(&j, &device).last(), Some(&wins.hash), "{order:?}");
            assert_eq!(sequence(&j, &device).len() + apart.len(), 3 + 2 + 4 + 6 + 1);
            assert_eq!(j.verify_all(|_| ()).unwrap(), 7);
            assert_eq!((j.count(None).unwrap(), j.counted(None).unwrap()), (7, 7));
            found.push((sequence(&j, &device), apart, j.extents().unwrap()));
            // It is so when it is opened again, and can't be taken out by anybody.
            drop(j);
            let (j, opening) = open(dir.path()).unwrap();
            assert_eq!((opening.lost, opening.odd_event), (None, None));
            assert_eq!(sequence(&j, &device), found[0].0);
            assert!(j.read().execute("DELETE FROM event", []).is_err());
        }
        assert!(found.windows(2).all(|w| w[0] == w[1]));
    }

    /// Who had heard one history had not heard what stands under the same numbers in the other.
    #[test]
    fn what_was_heard_is_told_by_its_history() {
        let stem = history(9, None, 3, 100);
        let heard = history(9, Some(&stem[2]), 2, 200);
        let other = history(9, Some(&stem[2]), 4, 300);
        let says = |at: &Event| foreign(8, 1, Hlc(900), vec![heard_of(at)], [0; 32]);
        let theirs = says(&heard[1]);
        let up_to = |j: &Journal, e: &Event| {
            let writer = super::super::event::Writer::from(stem[0].device);
            j.heard().unwrap().up_to(&e.stamp(), writer).unwrap()
        };
        let unknown = |j: &Journal| -> i64 {
            let sql = "SELECT coalesce(max(unknown), 0) FROM heard";
            j.read().query_row(sql, [], |r| r.get(0)).unwrap()
        };
        for first in [true, false] {
            let dir = tempfile::tempdir().unwrap();
            let (mut j, _) = open(dir.path()).unwrap();
            counts(&j, stem[0].device);
            counts(&j, theirs.device);
            takes(&mut j, &stem);
            // The word on it comes before what it is of, or after.
            if first {
                takes(&mut j, std::slice::from_ref(&theirs));
                assert_eq!(
                    (up_to(&j, &theirs), unknown(&j)),
                    (5, 0),
                    "it isn't here yet"
                );
            }
            takes(&mut j, &other);
            if !first {
                takes(&mut j, std::slice::from_ref(&theirs));
            }
            // As many events are here as it had heard of, and they are others.
            assert_eq!((up_to(&j, &theirs), unknown(&j)), (0, 1));
            takes(&mut j, &heard);
            assert_eq!((up_to(&j, &theirs), unknown(&j)), (3, 0));
            // This phone says which it means.
            append(&mut j, 1);
            let own = j
                .event(&EventRef {
                    device: j.device(),
                    seq: 1,
                })
                .unwrap()
                .unwrap();
            assert!(own.heard.unwrap().contains(&heard_of(&other[3])));
            // The other history turns out to be the longer.
            let more = history(9, Some(&heard[1]), 3, 200);
            assert!(takes(&mut j, &more));
            assert_eq!((up_to(&j, &theirs), unknown(&j)), (5, 0));
            append(&mut j, 2);
            let own = j
                .event(&EventRef {
                    device: j.device(),
                    seq: 2,
                })
                .unwrap()
                .unwrap();
            assert!(own.heard.unwrap().contains(&heard_of(&more[2])));
            assert_eq!(j.verify_all(|_| ()).unwrap(), 3 + 5 + 1 + 2);
        }
        // Of a version that told no hash: what both histories have.
        let old = foreign(8, 1, Hlc(900), vec![heard[1].reference().into()], [0; 32]);
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        counts(&j, stem[0].device);
        counts(&j, old.device);
        takes(
            &mut j,
            &[&stem[..], &other, std::slice::from_ref(&old)].concat(),
        );
        assert_eq!(up_to(&j, &old), 5);
        takes(&mut j, &heard);
        assert_eq!((up_to(&j, &old), unknown(&j)), (3, 0));
    }

    /// A long second history with as many ends: a walk back from each would be felt here.
    #[test]
    fn among_many_histories_one_is_chosen() {
        let stem = history(9, None, 1, 100);
        let long = history(9, Some(&stem[0]), 1_500, 200);
        let ends = (0..1_500).map(|n| history(9, Some(&long[1_498]), 1, 10_000 + n).remove(0));
        let all: Vec<Event> = long.iter().cloned().chain(ends).collect();
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        counts(&j, stem[0].device);
        takes(&mut j, &stem);
        takes(&mut j, &history(9, Some(&stem[0]), 2, 300));
        assert!(takes(&mut j, &all));
        let least = all[1_499..].iter().map(|e| e.hash).min();
        assert_eq!(sequence(&j, &stem[0].device).last().copied(), least);
        assert_eq!(j.apart_of(&stem[0].device).unwrap().len(), 1_500 + 2);
    }

    /// Who holds a lost phone's key writes a longer history in place of the one that was dismissed.
    #[test]
    fn a_history_is_known_by_an_event_that_was_named() {
        let stem = history(9, None, 5, 100);
        let forged = history(9, Some(&stem[1]), 20, 300);
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        counts(&j, stem[0].device);
        takes(&mut j, &stem);
        let all = forged.iter().cloned().map(Ok::<_, IngestFault>);
        j.ingest_all(all, |_, _, _| Ok(()), |_| Ok(())).unwrap();
        let db = j.read();
        let no = super::super::fork::forked(db).unwrap()[0];
        let anchored =
            |at: &Event| super::super::fork::reseat(db, no, Some((at.seq, at.hash))).unwrap();
        assert!(!anchored(&stem[4]));
        assert!(!anchored(&stem[2]));
        assert!(anchored(&stem[1]), "both have it, and it is the longer");
        assert!(anchored(&stem[3]));
        assert!(!anchored(&stem[3]));
    }

    /// What a device writes counts.
    fn counts(j: &Journal, device: DeviceId) {
        let sql = "INSERT INTO device (key, seq, head, counts_to) VALUES (?1, 0, zeroblob(32), ?2)";
        j.read()
            .execute(sql, params![&device.0[..], counted::ALL as i64])
            .unwrap();
    }

    /// Seen: of 600 flips of one bit in the write-ahead log 292 lost events, and 218 cuts likewise, without a
    /// word; then the same key went on from before them.
    #[test]
    fn what_the_log_lost_is_said_and_the_next_event_is_a_new_devices() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        append_many(&mut j, 3);
        j.read()
            .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
            .unwrap();
        append(&mut j, 4);
        append(&mut j, 5);
        let was = j.device();
        // As after a kill: the file and its log as they lie there.
        let copy = tempfile::tempdir().unwrap();
        let log = format!("{DB_FILE}-wal");
        for file in [DB_FILE, &log, KEY_FILE, witness::FILE] {
            fs::copy(dir.path().join(file), copy.path().join(file)).unwrap();
        }
        drop(j);
        let whole = fs::read(copy.path().join(&log)).unwrap();
        let mut told = 0;
        for at in (0..whole.len()).step_by(whole.len() / 40) {
            let again = tempfile::tempdir().unwrap();
            for file in [DB_FILE, &log, KEY_FILE, witness::FILE] {
                fs::copy(copy.path().join(file), again.path().join(file)).unwrap();
            }
            let mut damaged = whole.clone();
            damaged[at] ^= 4;
            fs::write(again.path().join(&log), &damaged).unwrap();
            let (mut j, opening) = open(again.path()).unwrap();
            if opening.set_aside.is_some() {
                continue;
            }
            let here = j.count(None).unwrap();
            match opening.lost {
                None => assert_eq!((here, j.device()), (5, was), "{at}"),
                Some(lost) => {
                    told += 1;
                    assert_eq!((lost.here, lost.had), (here, 5), "{at}");
                    assert_ne!(j.device(), was);
                    append(&mut j, 6);
                    assert_eq!(j.verify_all(|_| ()).unwrap(), here + 1);
                    // It stands: the file knows what is missing, and says it once.
                    drop(j);
                    let (j, opening) = open(again.path()).unwrap();
                    assert_eq!(opening.lost, None);
                    let (seq, known): (i64, i64) = j
                        .read()
                        .query_row(
                            "SELECT l.seq, d.seq FROM lost l JOIN device d USING (key)",
                            [],
                            |r| Ok((r.get(0)?, r.get(1)?)),
                        )
                        .unwrap();
                    assert_eq!((seq, known), (5, here as i64));
                }
            }
        }
        assert!(told > 10, "{told}");
    }

    /// Seen: a database deleted with its key left signed a second history under it; one deleted while open
    /// went on acknowledging.
    #[test]
    fn a_record_that_begins_anew_is_a_new_device() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        append_many(&mut j, 2);
        let was = j.device();
        for file in [
            DB_FILE.to_owned(),
            format!("{DB_FILE}-wal"),
            format!("{DB_FILE}-shm"),
        ] {
            let _ = fs::remove_file(dir.path().join(file));
        }
        let refused = j.append(vec![draft(3)], |_, _| Ok(()));
        assert!(
            matches!(refused, Err(JournalFault::NotWritable { .. })),
            "{refused:?}"
        );
        drop(j);
        let (j, opening) = open(dir.path()).unwrap();
        assert_ne!(j.device(), was);
        assert_eq!(opening.lost, Some(Lost { here: 0, had: 2 }));
    }

    /// Seen: where every file but the key was gone a new record was begun without a word.
    #[test]
    fn a_key_without_a_record_is_said_until_there_is_an_entry_and_signs_no_more() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, opening) = open(dir.path()).unwrap();
        assert!(!opening.key_alone);
        append_many(&mut j, 2);
        let was = j.device();
        drop(j);
        for file in fs::read_dir(dir.path()).unwrap() {
            let file = file.unwrap();
            if file.file_name() != KEY_FILE {
                fs::remove_file(file.path()).unwrap();
            }
        }
        let key = fs::read(dir.path().join(KEY_FILE)).unwrap();
        for _ in 0..2 {
            let (j, opening) = open(dir.path()).unwrap();
            assert!(opening.key_alone);
            assert_eq!((opening.lost, j.device() == was), (None, false));
        }
        // As where the power went before the old key was out of the way.
        fs::write(dir.path().join(KEY_FILE), &key).unwrap();
        let (mut j, opening) = open(dir.path()).unwrap();
        assert!(opening.key_alone);
        assert_ne!(j.device(), was);
        append(&mut j, 3);
        drop(j);
        let (_, opening) = open(dir.path()).unwrap();
        assert!(!opening.key_alone && !opening.other_key);

        // What is no key lies there as well.
        let other = tempfile::tempdir().unwrap();
        fs::write(other.path().join(KEY_FILE), [0; 7]).unwrap();
        let (_, opening) = open(other.path()).unwrap();
        assert!(opening.key_alone);
    }

    /// A beginning that the power ended anywhere says nothing of a loss: the record is there before its key.
    #[test]
    fn a_beginning_that_was_cut_short_loses_nothing() {
        let whole = tempfile::tempdir().unwrap();
        drop(open(whole.path()).unwrap());
        // The key as it was made, but not put in place; then put in place, and nothing told the witness.
        for (key_there, witness_there) in [(false, false), (false, true), (true, false)] {
            let dir = tempfile::tempdir().unwrap();
            fs::copy(whole.path().join(DB_FILE), dir.path().join(DB_FILE)).unwrap();
            for (file, there) in [(KEY_FILE, key_there), (witness::FILE, witness_there)] {
                if there {
                    fs::copy(whole.path().join(file), dir.path().join(file)).unwrap();
                }
            }
            let (mut j, opening) = open(dir.path()).unwrap();
            let told = (opening.key_alone, opening.lost, opening.set_aside);
            assert_eq!(told, (false, None, None), "{key_there} {witness_there}");
            append(&mut j, 1);
        }
        // Nothing was recorded, and the witness says so.
        let dir = tempfile::tempdir().unwrap();
        for file in [KEY_FILE, witness::FILE] {
            fs::copy(whole.path().join(file), dir.path().join(file)).unwrap();
        }
        let (_, opening) = open(dir.path()).unwrap();
        assert!(!opening.key_alone);
    }

    #[test]
    fn a_key_with_one_bit_changed_is_announced() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, opening) = open(dir.path()).unwrap();
        assert!(!opening.other_key);
        append(&mut j, 1);
        let was = j.device();
        drop(j);
        let path = dir.path().join(KEY_FILE);
        let mut key = fs::read(&path).unwrap();
        key[7] ^= 1;
        fs::write(&path, key).unwrap();
        let (mut j, opening) = open(dir.path()).unwrap();
        assert!(opening.other_key);
        assert_ne!(j.device(), was);
        append(&mut j, 2);
        drop(j);
        let (j, opening) = open(dir.path()).unwrap();
        assert!(!opening.other_key);
        assert_eq!(j.verify_all(|_| ()).unwrap(), 2);
    }

    /// Seen: a foreign event with the largest clock there is, then anything recorded: the next clock
    /// was stored negative, and at the next opening the database was 'damaged' and set aside.
    #[test]
    fn no_clock_of_others_moves_this_device_far() {
        let dir = tempfile::tempdir().unwrap();
        for (n, hlc) in [
            Hlc::LAST,
            Hlc(u64::MAX),
            Hlc(1 << 63),
            Hlc::at(1_000_000 + LEAD_MS + 1),
        ]
        .into_iter()
        .enumerate()
        {
            let (mut j, _) = open(dir.path()).unwrap();
            append(&mut j, 1);
            let odd = foreign(n as u8 + 1, 1, hlc, vec![], [0; 32]);
            counts(&j, odd.device);
            assert!(j.ingest(&odd, |_, _, _| Ok(())).unwrap());
            append(&mut j, 2);
            assert_eq!(j.newest().ms(), 1_000_000, "{hlc:?}");
            drop(j);
            let (mut j, opening) = open(dir.path()).unwrap();
            assert_eq!(opening.set_aside, None);
            assert_eq!(opening.odd_event, None);
            append(&mut j, 3);
            assert_eq!(j.newest().ms(), 1_000_000, "{hlc:?}");
            assert_eq!(j.event(&odd.reference()).unwrap().unwrap(), odd);
            assert_eq!(j.verify_all(|_| ()).unwrap(), 4 * (n as u64 + 1));
        }
        // One within the bound does, so that what follows it sorts after it.
        let (mut j, _) = open(dir.path()).unwrap();
        let near = Hlc::at(1_000_000 + LEAD_MS);
        let theirs = foreign(9, 1, near, vec![], [0; 32]);
        counts(&j, theirs.device);
        j.ingest(&theirs, |_, _, _| Ok(())).unwrap();
        append(&mut j, 4);
        assert!(j.newest() > near);
    }

    #[test]
    fn a_device_that_does_not_count_moves_no_clock_and_is_heard_by_nobody() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        append(&mut j, 1);
        let theirs = foreign(9, 1, Hlc::at(1_000_000 + 60_000), vec![], [0; 32]);
        let mut places = Vec::new();
        let mut take = |j: &mut Journal, e: &Event| {
            j.ingest(e, |_, place, _| {
                places.push(place);
                Ok(())
            })
            .unwrap()
        };
        assert!(take(&mut j, &theirs));
        // Nor does a second history of it.
        assert!(take(&mut j, &foreign(9, 1, Hlc::at(7), vec![], [0; 32])));
        assert_eq!(places, [Place::Uncounted]);
        append(&mut j, 2);
        drop(j);
        let (mut j, _) = open(dir.path()).unwrap();
        append(&mut j, 3);
        assert_eq!(j.newest().ms(), 1_000_000);
        let (of_rig, page) = (j.count(Some("rig")), j.page(None, None, 9));
        assert_eq!((of_rig.unwrap(), page.unwrap().len()), (3, 3));
        assert_eq!(j.page_of(&theirs.device, None, 9).unwrap().len(), 1);
        assert_eq!(j.count(None).unwrap(), 4);
        let own = |j: &Journal, seq| {
            let device = j.device();
            j.event(&EventRef { device, seq }).unwrap().unwrap()
        };
        assert_eq!(own(&j, 3).heard, Some(vec![]));
        // From when it counts on, it is heard, and its clock is.
        let no = j.read().query_row(
            "SELECT no FROM device WHERE key = ?1",
            [&theirs.device.0[..]],
            |r| r.get(0),
        );
        counted::set(j.read(), no.unwrap(), 0, counted::ALL).unwrap();
        j.counts_anew();
        append(&mut j, 4);
        assert!(j.newest() > theirs.hlc);
        assert_eq!(own(&j, 4).heard, Some(vec![heard_of(&theirs)]));
        assert_eq!(j.count(Some("rig")).unwrap(), 5);
    }

    #[test]
    fn a_clock_that_ran_over_the_end_of_time_costs_nobody_the_record() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        append(&mut j, 1);
        // As a version left it that let this device's clock run over.
        let over = Event::sign(
            draft(2),
            &j.key,
            2,
            Hlc(1 << 63),
            7,
            Vec::new(),
            j.head.hash,
        );
        let tx = j.conn.transaction().unwrap();
        insert(&tx, j.device_no, &over, true).unwrap();
        let head = Head {
            seq: 2,
            hash: over.hash,
            hlc: over.hlc,
        };
        store_head(&tx, j.device_no, &head).unwrap();
        tx.commit().unwrap();
        drop(j);
        for n in 3..5 {
            let (mut j, opening) = open(dir.path()).unwrap();
            assert_eq!((opening.set_aside, opening.odd_event), (None, None));
            append(&mut j, n);
            assert_eq!(j.verify_all(|_| ()).unwrap(), u64::from(n));
        }
    }

    #[test]
    fn an_event_says_what_its_writer_had_heard() {
        let (a_dir, b_dir) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let (mut a, _) = open(a_dir.path()).unwrap();
        let (mut b, _) = open(b_dir.path()).unwrap();
        counts(&a, b.device());
        counts(&b, a.device());
        append_many(&mut a, 2);
        append(&mut b, 1);
        let of = |j: &Journal, seq: u64| {
            let device = j.device();
            j.event(&EventRef { device, seq }).unwrap().unwrap()
        };
        for seq in 1..=2 {
            b.ingest(&of(&a, seq), |_, _, _| Ok(())).unwrap();
        }
        append_many(&mut b, 2);
        let a_2 = heard_of(&of(&a, 2));
        assert_eq!(of(&b, 1).heard, Some(vec![]));
        assert_eq!(of(&b, 2).heard, Some(vec![a_2]));
        assert_eq!(of(&b, 3).heard, Some(vec![]));
        drop(b);
        let (mut b, _) = open(b_dir.path()).unwrap();
        append(&mut b, 4);
        assert_eq!(of(&b, 4).heard, Some(vec![]));
        append(&mut a, 3);
        let heard = b.heard().unwrap();
        let at = |j: &Journal, seq| of(j, seq).stamp();
        assert!(!heard.after(&at(&b, 1), &at(&a, 1)));
        assert!(heard.after(&at(&b, 2), &at(&a, 2)));
        assert!(heard.after(&at(&b, 4), &at(&a, 1)));
        assert!(!heard.after(&at(&a, 3), &at(&b, 1)));
        b.ingest(&of(&a, 3), |_, _, _| Ok(())).unwrap();
        let heard = b.heard().unwrap();
        assert!(!heard.after(&at(&b, 4), &at(&a, 3)));
        // The other phone comes to the same.
        for seq in 1..=4 {
            a.ingest(&of(&b, seq), |_, _, _| Ok(())).unwrap();
        }
        assert!(a.heard().unwrap().after(&at(&b, 2), &at(&a, 2)));
        assert!(!a.heard().unwrap().after(&at(&b, 4), &at(&a, 3)));
    }

    fn append(j: &mut Journal, n: u32) {
        j.append(vec![draft(n)], |_, _| Ok(())).unwrap();
    }

    #[test]
    fn an_extent_says_the_same_wherever_the_same_is() {
        let dirs: Vec<_> = (0..2).map(|_| tempfile::tempdir().unwrap()).collect();
        let mut phones: Vec<Journal> = (dirs.iter().zip(1..))
            .map(|(dir, seed)| {
                Journal::open(dir.path(), &migrations(), 6, env(seed))
                    .unwrap()
                    .0
            })
            .collect();
        let stem = foreign(9, 1, Hlc(1), vec![], [0; 32]);
        let ends: Vec<Event> = (2..4)
            .map(|n| foreign(9, 2, Hlc(n), vec![], stem.hash))
            .collect();
        for (n, phone) in phones.iter_mut().enumerate() {
            for e in [&stem, &ends[n]] {
                phone.ingest(e, |_, _, _| Ok(())).unwrap();
            }
        }
        let of = |j: &Journal| j.extents().unwrap();
        let [a, b] = &mut phones[..] else { panic!() };
        let (ea, eb) = (of(a)[0], of(b)[0]);
        assert_eq!((ea.seq, ea.head, ea.forked), (2, ends[0].hash, None));
        assert_ne!(ea, eb);
        assert_eq!(a.hash_of(&ends[1].reference()).unwrap(), Some(ends[0].hash));
        // Each hears the other's: two histories, whichever came first.
        a.ingest(&ends[1], |_, _, _| Ok(())).unwrap();
        assert_ne!(of(a)[0].forked, of(b)[0].forked);
        b.ingest(&ends[0], |_, _, _| Ok(())).unwrap();
        assert_eq!(of(a)[0].forked, of(b)[0].forked);
        assert!(of(a)[0].forked.is_some());
        assert_eq!(a.apart_of(&stem.device).unwrap(), [ends[1].clone()]);
        let mut after = Vec::new();
        a.each_after(&stem.device, 1, |e| {
            after.push(e);
            Ok::<_, JournalFault>(())
        })
        .unwrap();
        assert_eq!(after, [ends[0].clone()]);
    }

    #[test]
    fn what_is_appended_is_read_back_after_opening_again() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, opening) = open(dir.path()).unwrap();
        assert_eq!(opening.set_aside, None);
        for n in 0..10 {
            append(&mut j, n);
        }
        drop(j);
        let (mut j, _) = open(dir.path()).unwrap();
        append(&mut j, 10);
        assert_eq!(j.count(None).unwrap(), 11);
        assert_eq!(j.count(Some("rig")).unwrap(), 11);
        assert_eq!(j.verify_all(|_| ()).unwrap(), 11);
        let first = j.page(None, None, 4).unwrap();
        assert_eq!(first.len(), 4);
        assert_eq!(first[0].event.seq, 11);
        let next = j.page(Some("rig"), Some(first[3].cursor), 100).unwrap();
        assert_eq!(next.len(), 7);
        assert_eq!(next[6].event.seq, 1);
        let e = &next[6].event;
        assert_eq!(j.event(&e.reference()).unwrap().as_ref(), Some(e));
    }

    #[test]
    fn events_can_be_neither_edited_nor_deleted() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        append(&mut j, 1);
        assert!(
            j.read()
                .execute("UPDATE event SET author = 'x'", [])
                .is_err()
        );
        assert!(j.read().execute("DELETE FROM event", []).is_err());
    }

    #[test]
    fn a_fold_that_fails_leaves_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        append(&mut j, 1);
        let r = j.append(vec![draft(2), draft(3)], |_, e| {
            if e.seq == 3 {
                Err(rusqlite::Error::InvalidQuery)
            } else {
                Ok(())
            }
        });
        assert!(r.is_err());
        assert_eq!(j.count(None).unwrap(), 1);
        append(&mut j, 4);
        assert_eq!(j.verify_all(|_| ()).unwrap(), 2);
    }

    #[test]
    fn a_second_opening_is_busy() {
        let dir = tempfile::tempdir().unwrap();
        let _first = open(dir.path()).unwrap();
        assert!(matches!(open(dir.path()), Err(JournalFault::Busy { .. })));
    }

    #[test]
    fn a_newer_file_is_refused_and_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let (j, _) = open(dir.path()).unwrap();
        j.read().execute_batch("PRAGMA user_version = 9").unwrap();
        drop(j);
        assert!(matches!(
            open(dir.path()),
            Err(JournalFault::Newer {
                found: 9,
                known: 6,
                ..
            })
        ));
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 4);
    }

    #[test]
    fn a_damaged_file_is_set_aside_with_its_key() {
        for damage in ["empty", "cut", "noise", "half a page"] {
            let dir = tempfile::tempdir().unwrap();
            let (mut j, _) = open(dir.path()).unwrap();
            append_many(&mut j, 200);
            let device = j.device();
            drop(j);
            let path = dir.path().join(DB_FILE);
            let bytes = fs::read(&path).unwrap();
            let spoiled = match damage {
                "empty" => Vec::new(),
                "cut" => bytes[..bytes.len() / 2].to_vec(),
                "noise" => vec![0x5a; 8192],
                _ => bytes[..700].to_vec(),
            };
            fs::write(&path, &spoiled).unwrap();
            let (mut j, opening) = open(dir.path()).unwrap();
            let aside = opening
                .set_aside
                .unwrap_or_else(|| panic!("{damage}: not seen"));
            assert_eq!(fs::read(&aside.path).unwrap(), spoiled, "{damage}");
            assert_eq!(j.count(None).unwrap(), 0);
            assert_ne!(device, j.device(), "{damage}: same key");
            append(&mut j, 1);
        }
    }

    #[test]
    fn damage_met_while_reading_is_looked_into_at_the_next_opening() {
        let dir = tempfile::tempdir().unwrap();
        let (mut j, _) = open(dir.path()).unwrap();
        append_many(&mut j, 2000);
        drop(j);
        let path = dir.path().join(DB_FILE);
        let mut bytes = fs::read(&path).unwrap();
        // Spoils most of the middle, leaving schema and tail alone.
        let (from, to) = (bytes.len() / 4, bytes.len() * 3 / 4);
        bytes[from..to].fill(0xff);
        fs::write(&path, &bytes).unwrap();
        let (mut j, opening) = match open(dir.path()) {
            Ok(ok) => ok,
            Err(e) => panic!("{e}"),
        };
        if opening.set_aside.is_none() {
            let met = j.verify_all(|_| ());
            assert!(met.is_err());
            drop(j);
            let (again, opening) = open(dir.path()).unwrap();
            assert!(opening.set_aside.is_some());
            j = again;
        }
        append(&mut j, 1);
    }

    #[test]
    fn a_clock_set_back_is_told_and_does_not_turn_the_order() {
        let dir = tempfile::tempdir().unwrap();
        let clock = Arc::new(FixedClock::at(100_000_000));
        let env = || Env {
            clock: clock.clone(),
            entropy: Arc::new(SeededEntropy::new(1)),
            device_seed: Some([4; 32]),
        };
        let migrations = migrations();
        let (mut j, o) = Journal::open(dir.path(), &migrations, 6, env()).unwrap();
        assert!(o.clock_behind_ms <= 0);
        append(&mut j, 1);
        clock.advance(-86_400_000);
        append(&mut j, 2);
        let page = j.page(None, None, 9).unwrap();
        assert!(page[0].event.hlc > page[1].event.hlc);
        assert_eq!(page[0].event.wall_ms, 100_000_000 - 86_400_000);
        drop(j);
        let (_, o) = Journal::open(dir.path(), &migrations, 6, env()).unwrap();
        assert_eq!(o.clock_behind_ms, 86_400_000);
    }

    #[test]
    fn a_secret_of_the_platform_signs_one_history_only() {
        let dir = tempfile::tempdir().unwrap();
        let migrations = migrations();
        let runs = std::cell::Cell::new(0);
        let open = |secret: Option<u8>| {
            runs.set(runs.get() + 1);
            let env = Env {
                clock: Arc::new(FixedClock::at(100_000_000)),
                entropy: Arc::new(SeededEntropy::new(runs.get())),
                device_seed: secret.map(|b| [b; 32]),
            };
            Journal::open(dir.path(), &migrations, 6, env).unwrap()
        };
        let (j, _) = open(Some(4));
        let first = j.device();
        drop(j);
        assert_eq!(open(Some(4)).0.device(), first, "the same device again");
        assert_ne!(open(Some(5)).0.device(), first, "a copy on another phone");
        assert_ne!(open(None).0.device(), first, "the file alone is no key");
        set_aside(dir.path(), 1, &Damage::Said("a test".into())).unwrap();
        assert_ne!(open(Some(4)).0.device(), first, "a new history, a new key");
    }

    #[test]
    fn events_of_another_device_come_in_in_order_and_once() {
        let (a, b) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let (mut theirs, _) = open(a.path()).unwrap();
        for n in 0..3 {
            append(&mut theirs, n);
        }
        let mut events: Vec<Event> = theirs
            .page(None, None, 9)
            .unwrap()
            .into_iter()
            .map(|e| e.event)
            .collect();
        events.reverse();
        let migrations = migrations();
        let (mut ours, _) = Journal::open(b.path(), &migrations, 6, env(2)).unwrap();
        let mut take = |e: &Event| ours.ingest(e, |_, _, _| Ok(()));
        assert!(matches!(
            take(&events[1]),
            Err(IngestFault::Gap { wanted: 1, .. })
        ));
        assert!(take(&events[0]).unwrap());
        assert!(!take(&events[0]).unwrap());
        let mut forged = events[1].clone();
        forged.body = b"{}".to_vec();
        assert!(matches!(take(&forged), Err(IngestFault::Forged(..))));
        assert!(take(&events[1]).unwrap());
        assert!(take(&events[2]).unwrap());
        append(&mut ours, 7);
        assert_eq!(ours.verify_all(|_| ()).unwrap(), 4);
    }
}
