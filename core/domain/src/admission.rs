//! Which devices are of this crew, and so whose events count.
//!
//! A device is of the crew if one of this phone's keys is, or was in the record before anyone was asked,
//! or if a device of the crew admitted it; so each phone judges from its own key, by what was signed. A
//! device may be dismissed: its events count up to the last that whoever dismissed it had, and no further.
//!
//! Dismissing is news, and admitting answers it only if whoever admits had heard of it. Where two devices
//! each dismiss the other, nothing tells which of them is in the wrong hands: then neither is dismissed,
//! and this phone's own word decides. All of it follows from what was said, by whom, knowing what; never
//! from when it came in.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::{Connection, OptionalExtension, params};

use super::budget::{Stopwatch, Watch};
use super::facts::Fact;
use super::fold;
use slackwater_journal::counted::{self, ALL};
use slackwater_journal::fork;
use slackwater_journal::identity::is_signed;
use slackwater_journal::store::{IngestFault, device_no, each_apart, each_of};
use slackwater_journal::{DeviceId, Event, JournalFault, Place};

/// What devices said of each other, of all devices, whether they count or not: which of it does is found
/// anew from all of it. `up_to` is null where the device was admitted.
pub const SCHEMA_ADMISSION: &str = "
CREATE TABLE admission (
    writer INTEGER NOT NULL REFERENCES device(no),
    seq    INTEGER NOT NULL,
    device INTEGER NOT NULL REFERENCES device(no),
    up_to  INTEGER,
    PRIMARY KEY (writer, seq)
) WITHOUT ROWID, STRICT;
CREATE INDEX admission_of ON admission (device);
";

/// Codes to join by, and who joined by which. A code that was not taken back, and that just one device
/// has read, admits it by the event that showed it: a row of `admission` like any other.
pub const SCHEMA_INVITATION: &str = "
CREATE TABLE invitation (
    key    BLOB NOT NULL,
    writer INTEGER NOT NULL REFERENCES device(no),
    seq    INTEGER NOT NULL,
    epoch  BLOB NOT NULL,
    PRIMARY KEY (key, writer)
) WITHOUT ROWID, STRICT;
CREATE TABLE joining (
    key    BLOB NOT NULL,
    device INTEGER NOT NULL REFERENCES device(no),
    PRIMARY KEY (key, device)
) WITHOUT ROWID, STRICT;
CREATE TABLE uninvited (
    key    BLOB NOT NULL,
    writer INTEGER NOT NULL REFERENCES device(no),
    PRIMARY KEY (key, writer)
) WITHOUT ROWID, STRICT;
ALTER TABLE admission ADD COLUMN head BLOB;
";

/// What is signed by the key of a code to join by.
pub const JOINS: &str = "slackwater joining by a code, version 1";

/// A device's number in the file.
type No = i64;

/// What more than so many words of one device say is passed over: a crew comes nowhere near.
const MOST_SAID: u32 = 10_000;

/// What one device said of another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Said {
    /// Who said it.
    pub writer: No,
    /// Its event.
    pub seq: u64,
    /// Of whom.
    pub of: No,
    /// Up to which of its events it counts, where it was dismissed; none where it was admitted.
    pub up_to: Option<u64>,
}

impl Said {
    fn admits(&self) -> bool {
        self.up_to.is_none()
    }
}

/// What there is to judge by.
#[derive(Debug, Clone, Default)]
pub struct Word {
    /// This phone's keys: they count, whatever is said of them.
    pub own: BTreeSet<No>,
    /// Devices that were in the record before anyone was asked.
    pub before: BTreeSet<No>,
    /// What was said, of devices that might count.
    pub said: Vec<Said>,
}

impl Word {
    /// Up to which of its events each device counts; those that aren't named count for nothing. `after`
    /// says whether the first was written knowing the second.
    pub fn counts(&self, after: impl Fn(&Said, &Said) -> bool) -> Limits {
        let anybody = self.reached(&by_writer(&self.said), &Limits::new());
        let all: Vec<Said> = (self.said.iter().copied())
            .filter(|s| anybody.contains_key(&s.writer))
            .collect();
        let by = by_writer(&all);
        // Each dismissal with who would count if it alone did.
        let dismissals: Vec<(Said, Limits)> = (all.iter().filter(|d| !d.admits()))
            .filter(|d| !self.own.contains(&d.of))
            .map(|d| (*d, self.reached(&by, &limits([d]))))
            .filter(|(d, left)| {
                !all.iter().any(|a| {
                    a.admits() && a.of == d.of && a.writer != d.of && spoken(left, a) && after(a, d)
                })
            })
            .collect();
        let contested = |d: &Said| {
            !self.own.contains(&d.writer) && dismissals.iter().any(|(_, left)| !spoken(left, d))
        };
        let stand = dismissals.iter().map(|(d, _)| d).filter(|d| !contested(d));
        self.reached(&by, &limits(stand))
    }

    /// Who is reached by admissions, each with how far it counts.
    fn reached(&self, by: &ByWriter, limits: &Limits) -> Limits {
        let mut reached = Limits::new();
        let mut next: Vec<No> = self.own.union(&self.before).copied().collect();
        while let Some(no) = next.pop() {
            let to = limits.get(&no).copied().unwrap_or(ALL);
            if to == 0 || reached.insert(no, to).is_some() {
                continue;
            }
            let said = by.get(&no).into_iter().flatten();
            next.extend(said.filter(|(seq, _)| *seq <= to).map(|(_, of)| *of));
        }
        reached
    }
}

/// Whom each device admitted, by which of its events.
type ByWriter = BTreeMap<No, Vec<(u64, No)>>;

fn by_writer(all: &[Said]) -> ByWriter {
    let mut by = ByWriter::new();
    for s in all.iter().filter(|s| s.admits()) {
        by.entry(s.writer).or_default().push((s.seq, s.of));
    }
    by
}

/// Up to which of its events each device counts.
pub type Limits = BTreeMap<No, u64>;

/// The least of what dismissals leave.
fn limits<'a>(dismissals: impl IntoIterator<Item = &'a Said>) -> Limits {
    let mut limits = Limits::new();
    for d in dismissals {
        let up_to = d.up_to.unwrap_or(ALL);
        let limit = limits.entry(d.of).or_insert(up_to);
        *limit = up_to.min(*limit);
    }
    limits
}

/// Whether something was said by who counts, as far as they do.
fn spoken(counts: &Limits, s: &Said) -> bool {
    counts.get(&s.writer).is_some_and(|to| s.seq <= *to)
}

/// Whether a fact says of a device whether it is of the crew.
pub fn is_word(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::DeviceAdmitted { .. }
            | Fact::DeviceDismissed { .. }
            | Fact::DeviceInvited { .. }
            | Fact::DeviceJoined { .. }
            | Fact::DeviceUninvited { .. }
    )
}

/// What an event says of who is of the crew.
enum Told {
    /// A device is, or up to an event, of a hash where that is said.
    Of(DeviceId, Option<(u64, Option<[u8; 32]>)>),
    /// Whoever reads a code is, and holds a key of the crew.
    Invited([u8; 32], [u8; 16]),
    /// Its writer has read a code.
    Joined([u8; 32]),
    /// A code is good for nothing any more.
    Uninvited([u8; 32]),
}

fn told(event: &Event) -> Option<Told> {
    // A version that didn't say what it had heard admits nobody.
    if !event.kind.starts_with("device_") || event.heard.is_none() {
        return None;
    }
    Some(match fold::fact_of(event) {
        Fact::DeviceAdmitted { device, .. } => Told::Of(device_of(&device)?, None),
        Fact::DeviceDismissed {
            device,
            up_to,
            head,
        } => Told::Of(device_of(&device)?, Some((up_to.min(ALL), hex(&head)))),
        Fact::DeviceInvited { invitation, epoch } => Told::Invited(hex(&invitation)?, hex(&epoch)?),
        Fact::DeviceJoined { invitation, proof } => {
            let (key, proof) = (hex(&invitation)?, hex(&proof)?);
            is_signed(&DeviceId(key), JOINS, &event.device.0, &proof)
                .then_some(Told::Joined(key))?
        }
        Fact::DeviceUninvited { invitation } => Told::Uninvited(hex(&invitation)?),
        _ => return None,
    })
}

fn hex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let bytes = data_encoding::HEXLOWER.decode(text.as_bytes());
    bytes.ok()?.try_into().ok()
}

/// A device from its written form.
pub fn device_of(text: &str) -> Option<DeviceId> {
    hex(text).map(DeviceId)
}

/// Keeps what an event says of another device, whether it counts or not; gives whether it says anything.
///
/// # Errors
/// What SQLite says.
pub fn note(db: &Connection, event: &Event) -> rusqlite::Result<bool> {
    let Some(told) = told(event) else {
        return Ok(false);
    };
    let (writer, seq) = (device_no(db, &event.device)?, event.seq as i64);
    let key = match told {
        Told::Of(device, up_to) => {
            let of = device_no(db, &device)?;
            put_word(db, writer, seq, of, up_to)?;
            return Ok(true);
        }
        Told::Invited(key, epoch) => {
            db.prepare_cached("INSERT OR IGNORE INTO invitation (key, writer, seq, epoch) VALUES (?1, ?2, ?3, ?4)")?
                .execute(params![&key[..], writer, seq, &epoch[..]])?;
            key
        }
        Told::Joined(key) => {
            db.prepare_cached("INSERT OR IGNORE INTO joining (key, device) VALUES (?1, ?2)")?
                .execute(params![&key[..], writer])?;
            key
        }
        Told::Uninvited(key) => {
            db.prepare_cached("INSERT OR IGNORE INTO uninvited (key, writer) VALUES (?1, ?2)")?
                .execute(params![&key[..], writer])?;
            key
        }
    };
    settle_code(db, &key)?;
    Ok(true)
}

fn put_word(
    db: &Connection,
    writer: No,
    seq: i64,
    of: No,
    up_to: Option<(u64, Option<[u8; 32]>)>,
) -> rusqlite::Result<()> {
    let (up_to, head) = up_to.map_or((None, None), |(n, head)| (Some(n as i64), head));
    db.prepare_cached(
        "INSERT OR IGNORE INTO admission (writer, seq, device, up_to, head) \
         VALUES (?1, ?2, ?3, ?4, ?5)",
    )?
    .execute(params![writer, seq, of, up_to, head])
    .map(drop)
}

/// Keeps anew what a device said of others, whose sequence is another now.
fn note_anew(db: &Connection, writer: No) -> rusqlite::Result<()> {
    let mut keys: BTreeSet<[u8; 32]> = BTreeSet::new();
    for (table, column) in [
        ("invitation", "writer"),
        ("joining", "device"),
        ("uninvited", "writer"),
    ] {
        keys.extend(
            db.prepare(&format!("SELECT key FROM {table} WHERE {column} = ?1"))?
                .query_map([writer], |r| r.get::<_, [u8; 32]>(0))?
                .collect::<rusqlite::Result<Vec<_>>>()?,
        );
        db.execute(
            &format!("DELETE FROM {table} WHERE {column} = ?1"),
            [writer],
        )?;
    }
    db.execute("DELETE FROM admission WHERE writer = ?1", [writer])?;
    each_of(db, writer, 0, ALL, |event| note(db, &event).map(drop))?;
    keys.iter().try_for_each(|key| settle_code(db, key))
}

/// The event of a device by which its history is known, where whoever counts dismissed it: the least that
/// somebody said.
fn anchor(db: &Connection, device: No) -> rusqlite::Result<Option<fork::Anchor>> {
    db.prepare_cached(
        "SELECT a.up_to, a.head FROM admission a JOIN device w ON w.no = a.writer WHERE a.device = ?1 \
         AND a.up_to > 0 AND a.head IS NOT NULL AND a.seq <= w.counts_to ORDER BY a.up_to, a.head LIMIT 1",
    )?
    .query_row([device], |r| Ok((r.get::<_, i64>(0)? as u64, r.get(1)?)))
    .optional()
}

/// Finds anew which of several histories is a device's; gives whether another is of any.
fn choose_histories(db: &Connection, but: &BTreeSet<No>) -> rusqlite::Result<bool> {
    let mut any = false;
    for device in fork::forked(db)?.into_iter().filter(|d| !but.contains(d)) {
        if fork::reseat(db, device, anchor(db, device)?)? {
            note_anew(db, device)?;
            any = true;
        }
    }
    Ok(any)
}

/// Finds anew whom a code admits, from all that was said of it, in whatever order it came in.
fn settle_code(db: &Connection, key: &[u8; 32]) -> rusqlite::Result<()> {
    let joined: Vec<No> = db
        .prepare_cached("SELECT device FROM joining WHERE key = ?1 LIMIT 2")?
        .query_map([&key[..]], |r| r.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    let shown: Vec<(No, i64, bool)> = db
        .prepare_cached(
            "SELECT writer, seq, EXISTS (SELECT 1 FROM uninvited u WHERE u.key = i.key \
             AND u.writer = i.writer) FROM invitation i WHERE key = ?1",
        )?
        .query_map([&key[..]], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (writer, seq, back) in shown {
        db.prepare_cached("DELETE FROM admission WHERE writer = ?1 AND seq = ?2")?
            .execute([writer, seq])?;
        if let [one] = joined[..]
            && !back
            && one != writer
        {
            put_word(db, writer, seq, one, None)?;
        }
    }
    Ok(())
}

/// Keeps what events that an earlier version could not read say of codes to join by.
///
/// # Errors
/// What SQLite says.
pub fn note_again(db: &Connection) -> rusqlite::Result<()> {
    let mut statement = db.prepare(
        "SELECT d.key, e.seq FROM event e JOIN device d ON d.no = e.device \
         WHERE e.kind IN ('device_invited', 'device_joined', 'device_uninvited')",
    )?;
    let told: Vec<(DeviceId, i64)> = statement
        .query_map([], |r| Ok((DeviceId(r.get(0)?), r.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (device, seq) in told {
        let no = device_no(db, &device)?;
        let seq = seq as u64;
        each_of(db, no, seq - 1, seq, |event| note(db, &event).map(drop))?;
    }
    Ok(())
}

/// Reads what there is to judge by: of what strangers said nothing.
///
/// # Errors
/// What SQLite says.
pub fn word(db: &Connection) -> rusqlite::Result<Word> {
    let mut word = Word::default();
    let mut statement = db.prepare_cached("SELECT no, ours FROM device WHERE ours > 0")?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        let set = if r.get::<_, i64>(1)? == 1 {
            &mut word.own
        } else {
            &mut word.before
        };
        set.insert(r.get(0)?);
    }
    let mut seen = BTreeSet::new();
    let mut next: Vec<No> = word.own.union(&word.before).copied().collect();
    let mut statement = db.prepare_cached(
        "SELECT seq, device, up_to FROM admission WHERE writer = ?1 ORDER BY seq LIMIT ?2",
    )?;
    while let Some(writer) = next.pop() {
        if !seen.insert(writer) {
            continue;
        }
        let mut rows = statement.query(params![writer, MOST_SAID])?;
        while let Some(r) = rows.next()? {
            let said = Said {
                writer,
                seq: r.get::<_, i64>(0)? as u64,
                of: r.get(1)?,
                up_to: r.get::<_, Option<i64>>(2)?.map(|n| n as u64),
            };
            if said.admits() {
                next.push(said.of);
            }
            word.said.push(said);
        }
    }
    Ok(word)
}

/// Whether the first was written knowing the second.
fn after(db: &Connection, a: &Said, b: &Said) -> bool {
    if a.writer == b.writer {
        return a.seq > b.seq;
    }
    let up_to: rusqlite::Result<Option<i64>> = db
        .prepare_cached(
            "SELECT max(other_seq) FROM heard WHERE device = ?1 AND other = ?2 AND seq <= ?3",
        )
        .and_then(|mut s| s.query_row(params![a.writer, b.writer, a.seq as i64], |r| r.get(0)));
    up_to.ok().flatten().is_some_and(|n| n as u64 >= b.seq)
}

/// For whom it is found anew which events count, and so what that may cost.
#[derive(Debug, Clone, Copy)]
pub enum Settles<'a> {
    /// A file brought words on phones: it says how far it is, and may be given up.
    File(&'a Watch),
    /// A member here said a word: what it takes out has no limit of time, and says how far it is.
    Member(&'a Watch),
    /// Somebody wants to know what would come of it.
    Ahead,
}

/// What is still allowed.
struct Pace<'a> {
    of: Settles<'a>,
    clock: Stopwatch,
}

impl Pace<'_> {
    fn begin(of: Settles<'_>, events: u64) -> Pace<'_> {
        if let Settles::File(watch) | Settles::Member(watch) = of {
            watch.more(events);
        }
        Pace {
            of,
            clock: Stopwatch::default(),
        }
    }

    fn step(&mut self, event: &Event, limited: bool) -> Result<(), Unsettled> {
        if let Settles::File(watch) | Settles::Member(watch) = self.of {
            watch.step();
        }
        match self.of {
            Settles::File(watch) if watch.is_given_up() => Err(Unsettled::GivenUp),
            _ if limited && self.clock.is_over(event) => Err(Unsettled::TooLong),
            _ => Ok(()),
        }
    }
}

/// So often it is looked whether what counts since makes another history a device's.
const ROUNDS: usize = 4;

/// Sets up to which of its events each device counts; gives those of which that is another: its number, its
/// last event, up to which it counted and counts.
fn set_limits(db: &Connection) -> rusqlite::Result<Vec<(No, u64, u64, u64)>> {
    let word = word(db)?;
    let counts = word.counts(|a, b| after(db, a, b));
    let mut devices = Vec::new();
    let mut statement = db.prepare_cached(
        "SELECT no, seq, counts_to FROM device WHERE seq > 0 OR counts_to > 0 \
         OR no IN (SELECT device FROM admission)",
    )?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        let (no, seq, from): (No, i64, i64) = (r.get(0)?, r.get(1)?, r.get(2)?);
        let to = counts.get(&no).copied().unwrap_or(0);
        if to != from as u64 {
            devices.push((no, seq as u64, from as u64, to));
        }
    }
    drop(rows);
    for (no, _, from, to) in &devices {
        counted::set(db, *no, *from, *to)?;
    }
    Ok(devices)
}

/// Finds anew which events count, and which of several histories is a device's, and folds what counts since, or everything where less does. Gives
/// whether anything changed.
///
/// # Errors
/// The file; [`Unsettled::TooLong`] where folding takes longer than its events may ([`super::budget`]);
/// [`Unsettled::GivenUp`].
pub fn settle(db: &Connection, of: Settles<'_>) -> Result<bool, Unsettled> {
    // While this phone writes, its own sequence stays where it is: it left a key with two histories before.
    let own = match of {
        Settles::Member(_) => word(db)?.own,
        Settles::File(_) | Settles::Ahead => BTreeSet::new(),
    };
    let mut anew = false;
    let mut moved: BTreeMap<No, (u64, u64, u64)> = BTreeMap::new();
    // Which history is a device's may hang on who was dismissed, and who is on what is in it.
    for _ in 0..ROUNDS {
        let chosen = choose_histories(db, &own)?;
        let set = set_limits(db)?;
        anew |= chosen || set.iter().any(|(_, seq, from, to)| to < from && to < seq);
        let quiet = !chosen && set.is_empty();
        for (no, seq, from, to) in set {
            let first = moved.get(&no).map_or(from, |(_, first, _)| *first);
            moved.insert(no, (seq, first, to));
        }
        if quiet {
            break;
        }
    }
    let devices: Vec<(No, u64, u64, u64)> = (moved.into_iter())
        .map(|(no, (seq, from, to))| (no, seq, from, to))
        .collect();
    // What was folded and counts no more can't be taken out by itself.
    if anew {
        let all: i64 = db.query_row(
            "SELECT coalesce(sum(min(seq, counts_to)), 0) FROM device",
            [],
            |r| r.get(0),
        )?;
        let mut pace = Pace::begin(of, all as u64);
        let limited = !matches!(of, Settles::Member(_));
        fold::fold_anew_while(db, |event| pace.step(event, limited))?;
        return Ok(true);
    }
    let since = devices
        .iter()
        .map(|(_, seq, from, to)| seq.min(to).saturating_sub(*from));
    let mut pace = Pace::begin(of, since.sum());
    for (no, _, from, to) in devices.iter().filter(|(_, _, from, to)| to > from) {
        each_of(db, *no, *from, *to, |event| {
            pace.step(&event, true)?;
            Ok::<_, Unsettled>(fold::apply(db, &event)?)
        })?;
    }
    let grown = devices.iter().any(|(_, _, from, to)| to > from);
    if grown {
        each_apart(db, |event| {
            fold::came_in(db, Place::Apart, &event).map(drop)
        })?;
    }
    Ok(!devices.is_empty())
}

/// Why it could not be found which events count.
#[derive(Debug, thiserror::Error)]
pub enum Unsettled {
    /// Folding them takes longer than they may.
    #[error("taking it in takes longer than so many entries may")]
    TooLong,
    /// Somebody gave it up.
    #[error("it was given up")]
    GivenUp,
    /// The file.
    #[error(transparent)]
    Sqlite(#[from] rusqlite::Error),
}

impl Unsettled {
    /// As a fault of the journal at `path`.
    pub fn fault(self, path: &std::path::Path) -> IngestFault {
        match self {
            Unsettled::TooLong => IngestFault::TooLong,
            Unsettled::GivenUp => IngestFault::GivenUp,
            Unsettled::Sqlite(e) => {
                JournalFault::from_sqlite("finding who may write", path, e).into()
            }
        }
    }
}

/// A device's code, for two people to compare by eye: four groups of five digits. Whoever wants a key
/// with the code of another has to make 10²⁰ of them.
pub fn code(device: &DeviceId) -> String {
    let hash = blake3::Hasher::new_derive_key("slackwater device code, version 1")
        .update(&device.0)
        .finalize();
    let mut first = [0; 16];
    first.copy_from_slice(&hash.as_bytes()[..16]);
    let digits = format!("{:020}", u128::from_be_bytes(first) % 10u128.pow(20));
    let groups: Vec<&str> = (0..4)
        .filter_map(|n| digits.get(n * 5..n * 5 + 5))
        .collect();
    groups.join(" ")
}

/// The newest word on a device by one that counts: who said it in which event, and what.
///
/// # Errors
/// What SQLite says.
pub fn last_word(db: &Connection, of: &DeviceId) -> rusqlite::Result<Vec<(DeviceId, u64, bool)>> {
    db.prepare_cached(
        "SELECT w.key, a.seq, a.up_to IS NULL FROM admission a JOIN device d ON d.no = a.device \
         JOIN device w ON w.no = a.writer JOIN event e ON e.device = a.writer AND e.seq = a.seq \
         WHERE d.key = ?1 AND a.seq <= w.counts_to ORDER BY e.hlc DESC",
    )?
    .query_map([&of.0[..]], |r| {
        let key: [u8; 32] = r.get(0)?;
        Ok((DeviceId(key), r.get::<_, i64>(1)? as u64, r.get(2)?))
    })?
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(writer: No, seq: u64, of: No, up_to: Option<u64>) -> Said {
        Said {
            writer,
            seq,
            of,
            up_to,
        }
    }

    /// This phone is 1. Nobody had heard of anybody, but for what the pairs say: the first knew the second.
    fn counts(all: &[Said], knew: &[(Said, Said)]) -> Vec<(No, u64)> {
        let after = |a: &Said, b: &Said| {
            if a.writer == b.writer {
                a.seq > b.seq
            } else {
                knew.contains(&(*a, *b))
            }
        };
        let mut found: Option<Vec<(No, u64)>> = None;
        // Whatever the order in which it came in.
        for turn in 0..all.len().max(1) {
            let mut said = all.to_vec();
            said.rotate_left(turn);
            for said in [said.clone(), said.into_iter().rev().collect()] {
                let own = BTreeSet::from([1]);
                let word = Word {
                    own,
                    before: BTreeSet::new(),
                    said,
                };
                let counts: Vec<_> = word.counts(after).into_iter().collect();
                assert_eq!(*found.get_or_insert_with(|| counts.clone()), counts);
            }
        }
        found.unwrap_or_default()
    }

    #[test]
    fn who_is_admitted_admits_and_nobody_admits_itself() {
        assert_eq!(counts(&[], &[]), [(1, ALL)]);
        let all = [
            said(1, 4, 2, None),
            said(2, 1, 3, None),
            said(5, 1, 5, None),
            said(6, 1, 1, None),
            said(6, 2, 7, None),
        ];
        assert_eq!(counts(&all, &[]), [(1, ALL), (2, ALL), (3, ALL)]);
    }

    #[test]
    fn who_is_dismissed_counts_up_to_there_and_so_does_whom_it_admitted() {
        let all = [
            said(1, 1, 2, None),
            said(2, 3, 3, None),
            said(2, 9, 4, None),
            said(1, 2, 2, Some(5)),
            // Beyond that it dismisses nobody who dismissed it, and this phone never.
            said(2, 7, 3, Some(0)),
            said(2, 2, 1, Some(0)),
        ];
        assert_eq!(counts(&all, &[]), [(1, ALL), (2, 5), (3, ALL)]);
        // Of no use where it never counted.
        assert_eq!(counts(&[said(1, 1, 2, Some(0))], &[]), [(1, ALL)]);
    }

    #[test]
    fn being_admitted_again_answers_a_dismissal_that_was_heard_of() {
        let (a, d) = (said(1, 1, 2, None), said(1, 2, 2, Some(5)));
        let again = said(1, 3, 2, None);
        assert_eq!(counts(&[a, d, again], &[]), [(1, ALL), (2, ALL)]);
        let third = said(1, 4, 3, None);
        let by_third = said(3, 1, 2, None);
        let all = [a, d, third, by_third];
        assert_eq!(counts(&all, &[]), [(1, ALL), (2, 5), (3, ALL)]);
        assert_eq!(
            counts(&all, &[(by_third, d)]),
            [(1, ALL), (2, ALL), (3, ALL)]
        );
        // Not by whom the dismissed one brought in since.
        let all = [a, d, said(2, 6, 3, None), by_third];
        assert_eq!(counts(&all, &[(by_third, d)]), [(1, ALL), (2, 5)]);
        let of_third = said(3, 2, 2, Some(6));
        let all = [a, third, of_third, said(1, 9, 2, None)];
        assert_eq!(counts(&all, &[]), [(1, ALL), (2, 6), (3, ALL)]);
        assert_eq!(
            counts(&all, &[(all[3], of_third)]),
            [(1, ALL), (2, ALL), (3, ALL)]
        );
    }

    #[test]
    fn where_two_dismiss_each_other_this_phone_decides() {
        let both = [
            said(1, 1, 2, None),
            said(1, 2, 3, None),
            said(2, 8, 3, Some(4)),
            said(3, 9, 2, Some(0)),
        ];
        assert_eq!(counts(&both, &[]), [(1, ALL), (2, ALL), (3, ALL)]);
        let mut decided = both.to_vec();
        decided.push(said(1, 3, 3, Some(4)));
        assert_eq!(counts(&decided, &[]), [(1, ALL), (2, ALL), (3, 4)]);
        // Nor does one that 3 brought in since speak for it.
        let others = [
            both[0],
            both[1],
            both[2],
            said(3, 9, 4, None),
            said(4, 1, 2, Some(0)),
        ];
        let all = [(1, ALL), (2, ALL), (3, ALL), (4, ALL)];
        assert_eq!(counts(&others, &[]), all);
        // What 3 wrote before it was dismissed stands: it dismissed 2 with its fourth.
        let early = [both[0], both[1], both[2], said(3, 4, 2, Some(0))];
        assert_eq!(counts(&early, &[]), [(1, ALL), (3, ALL)]);
    }

    #[test]
    fn a_code_has_four_groups_and_is_no_others() {
        let one = code(&DeviceId([1; 32]));
        assert_eq!(one.len(), 23, "{one}");
        assert!(one.split(' ').all(|g| g.len() == 5));
        assert_ne!(one, code(&DeviceId([2; 32])));
    }
}
