//! The phones of the crew: which they are, what one that isn't known wrote, what would come of admitting
//! it.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rusqlite::{Connection, OptionalExtension, params};

use super::super::admission::{self as who, Unsettled};
use super::super::crew::CrewFacts;
use super::super::facts::{Admitted, Fact, Role};
use super::super::procedure;
use super::super::readiness::{Now, readiness};
use super::super::rules::{Differs, figures_differ};
use super::super::state::{self, RigFacts};
use super::super::subject::{At, CREW};
use super::note::Note;
use super::{Book, BookFault, Recorded, Refusal};
use slackwater_journal::counted::ALL;
use slackwater_journal::{DeviceId, Draft, Event, EventRef, Heard, JournalFault};

/// Most phones that are told of at once: those of the crew first, then who wrote most.
const MOST_PHONES: usize = 100;

/// How a phone stands to the crew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It is this one.
    This,
    /// It is this one, under an earlier key.
    Earlier,
    /// It is of the crew.
    Crew,
    /// It is of the crew, and another of the crew says that it isn't; that one, it says the same of.
    Disputed,
    /// The crew doesn't know it.
    Unknown,
    /// It isn't of the crew, or no longer.
    Dismissed,
}

/// A phone that wrote something here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Phone {
    /// Its key.
    pub device: DeviceId,
    /// How it stands.
    pub standing: Standing,
    /// How many of its entries count.
    pub entries: u64,
    /// How many count for nothing.
    pub apart: u64,
    /// What most of those are about: a rig's id, 'crew', 'procedure'.
    pub about: Vec<String>,
    /// In whose name it wrote most of its last entries: the member's id, and the name, where this crew or the phone itself
    /// knows one.
    pub writes_as: (String, Option<String>),
    /// When it first wrote, by its own clock, ms since 1970 UTC.
    pub since_ms: i64,
    /// The event that admitted or dismissed it, if one did.
    pub word: Option<EventRef>,
    /// It has admitted this phone.
    pub admits_this: bool,
    /// Somebody has looked at what counts for nothing of it, on this phone.
    pub looked_at: bool,
}

/// What would be otherwise with a rig.
#[derive(Debug, Clone, PartialEq)]
pub struct RigChange {
    /// Its name now; none where it is new.
    pub name: Option<String>,
    /// Its name then.
    pub then: String,
    /// Whether it is ready now.
    pub ready: bool,
    /// Whether it is ready then.
    pub ready_then: bool,
    /// What of its definition would be otherwise: ratings, limits, the plan.
    pub figures: Vec<Differs>,
}

/// What becomes of a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Becomes {
    /// It isn't here, and would be.
    New,
    /// It is here, and would be another.
    Other,
    /// It would be gone.
    Gone,
}

impl Becomes {
    fn of<V>(now: Option<V>, then: Option<V>) -> Becomes {
        match (now, then) {
            (None, _) => Becomes::New,
            (Some(_), Some(_)) => Becomes::Other,
            (Some(_), None) => Becomes::Gone,
        }
    }
}

/// What would change.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Changes {
    /// Rigs of which something else would be known.
    pub rigs: Vec<RigChange>,
    /// Choices of the crew: which, what it is, what it would be.
    pub choices: Vec<(String, String, String)>,
    /// Members: the name now and then, where there is one.
    pub members: Vec<(Option<String>, Option<String>)>,
    /// Members, by name, whose own code would come, be another or go.
    pub codes: Vec<(String, Becomes)>,
    /// What members do: the name then, the role now and then.
    pub roles: Vec<(String, Role, Role)>,
    /// Gauges, by name, that would come, be others or go.
    pub gauges: Vec<(String, Becomes)>,
    /// Names of gauges whose last comparison with another would be another.
    pub compared: Vec<String>,
    /// How many kinds of ring in the box would be others, or counted otherwise.
    pub rings: usize,
    /// Procedures, by title, that would come, be others or go.
    pub procedures: Vec<(String, Becomes)>,
    /// How many other phones would come with it, since it admitted them.
    pub phones: usize,
    /// How many phones that count would count no longer, or less far, since it dismissed them.
    pub phones_lost: usize,
}

impl Book {
    /// The phones that wrote something here: this one, those of the crew, those that aren't known, those
    /// that were dismissed.
    ///
    /// # Errors
    /// The file.
    pub fn phones(&self) -> Result<Vec<Phone>, BookFault> {
        self.phones_where("seq > 0")
    }

    /// One phone, if it wrote something here.
    ///
    /// # Errors
    /// The file.
    pub fn phone(&self, device: &DeviceId) -> Result<Option<Phone>, BookFault> {
        let mut found = self.phones_where(&format!("seq > 0 AND key = x'{device}'"))?;
        Ok(found.pop())
    }

    fn phones_where(&self, which: &str) -> Result<Vec<Phone>, BookFault> {
        let this = self.journal.device();
        let rows = self.journal.run("reading the phones", |db| {
            db.prepare_cached(&format!(
                "SELECT key, seq, counts_to, ours FROM device WHERE {which} \
                 ORDER BY counts_to > 0 DESC, EXISTS (SELECT 1 FROM admission a \
                 WHERE a.device = device.no AND a.up_to IS NOT NULL), seq DESC LIMIT {MOST_PHONES}"
            ))?
            .query_map([], |r| {
                let seq: i64 = r.get(1)?;
                let counts_to: i64 = r.get(2)?;
                let ours: i64 = r.get(3)?;
                Ok((DeviceId(r.get(0)?), seq as u64, counts_to as u64, ours))
            })?
            .collect::<rusqlite::Result<Vec<_>>>()
        })?;
        let phone = |(device, seq, counts_to, ours): (DeviceId, u64, u64, i64)| {
            self.journal.run("reading the phones", |db| {
                let words = who::last_word(db, &device)?;
                let dismissed = words.iter().find(|w| !w.2);
                let standing = if device == this {
                    Standing::This
                } else if ours == 1 {
                    Standing::Earlier
                } else if counts_to == ALL && is_disputed(&words) {
                    Standing::Disputed
                } else if counts_to == ALL {
                    Standing::Crew
                } else if counts_to > 0 || dismissed.is_some() {
                    Standing::Dismissed
                } else {
                    Standing::Unknown
                };
                let word = match standing {
                    Standing::Dismissed => dismissed,
                    _ => words.first(),
                };
                Ok(Phone {
                    device,
                    standing,
                    entries: seq.min(counts_to),
                    apart: seq.saturating_sub(counts_to),
                    about: about(db, &device)?,
                    writes_as: writes_as(db, &device, seq)?,
                    since_ms: since(db, &device)?,
                    word: word.map(|(device, seq, _)| EventRef {
                        device: *device,
                        seq: *seq,
                    }),
                    admits_this: admits(db, &device, &this)?,
                    looked_at: looked_at(db, &device)?.is_some_and(|n| n >= seq),
                })
            })
        };
        Ok(rows
            .into_iter()
            .map(phone)
            .collect::<Result<Vec<_>, JournalFault>>()?)
    }

    /// The phones of which entries count for nothing here.
    ///
    /// # Errors
    /// The file.
    pub fn apart(&self) -> Result<Vec<Phone>, BookFault> {
        // Mostly there is none, and this is asked at every look.
        let any = self.journal.run("reading the phones", |db| {
            db.prepare_cached("SELECT 1 FROM stranger")?.exists([])
        })?;
        if !any {
            return Ok(Vec::new());
        }
        self.phones_where("seq > counts_to")
    }

    /// Whether a phone of the crew is said to be of it no longer, and says the same of who said so.
    ///
    /// # Errors
    /// The file.
    pub fn disputed(&self) -> Result<bool, BookFault> {
        // Mostly nobody was dismissed, and this is asked at every look.
        Ok(self.journal.run("reading the phones", |db| {
            let mut dismissed = db.prepare_cached(
                "SELECT DISTINCT d.key FROM admission a JOIN device d ON d.no = a.device \
                 WHERE a.up_to IS NOT NULL AND d.seq > 0 AND d.counts_to = ?1 AND d.ours <> 1",
            )?;
            for device in dismissed.query_map([ALL as i64], |r| Ok(DeviceId(r.get(0)?)))? {
                if is_disputed(&who::last_word(db, &device?)?) {
                    return Ok(true);
                }
            }
            Ok(false)
        })?)
    }

    /// How many entries of a phone about a rig count for nothing here.
    ///
    /// # Errors
    /// The file.
    pub fn apart_about(&self, device: &DeviceId, rig: &str) -> Result<u64, BookFault> {
        Ok(self.journal.run("reading the phones", |db| {
            db.prepare_cached(
                "SELECT coalesce(sum(s.events), 0) FROM stranger s JOIN device d ON d.no = s.device \
                 WHERE d.key = ?1 AND s.root = ?2",
            )?
            .query_row(params![&device.0[..], rig], |r| r.get::<_, i64>(0))
            .map(|n| n as u64)
        })?)
    }

    /// The hashes of photos that are named by what counts for nothing here.
    pub(super) fn photos_apart(&self) -> Result<Vec<String>, BookFault> {
        Ok(self.journal.run("reading photo notes", |db| {
            let bodies: Vec<Vec<u8>> = db
                .prepare_cached(
                    "SELECT e.body FROM device d JOIN event e ON e.device = d.no \
                     WHERE d.seq > d.counts_to AND e.seq > d.counts_to AND e.kind = 'photo_taken'",
                )?
                .query_map([], |r| r.get(0))?
                .collect::<rusqlite::Result<_>>()?;
            let photo = |body: &Vec<u8>| match Fact::read(body) {
                Fact::PhotoTaken { photo, .. } => Some(photo),
                _ => None,
            };
            Ok(bodies.iter().filter_map(photo).collect())
        })?)
    }

    /// The name that a phone gives a rig that isn't known here.
    ///
    /// # Errors
    /// The file.
    pub fn named_by(&self, device: &DeviceId, rig: &str) -> Result<Option<String>, BookFault> {
        let said = self.journal.run("reading a name", |db| {
            newest_body(db, device, rig, "rig_defined")
        })?;
        Ok(match said {
            Some(Fact::RigDefined { rig, .. }) => Some(rig.name),
            _ => None,
        })
    }

    /// The event by which another phone of the crew dismissed this one, if its last word is that.
    ///
    /// # Errors
    /// The file.
    pub fn dismissed_by(&self) -> Result<Option<Event>, BookFault> {
        let this = self.journal.device();
        let words = (self.journal).run("reading the phones", |db| who::last_word(db, &this))?;
        Ok(match words.first() {
            Some((device, seq, false)) => self.journal.event(&EventRef {
                device: *device,
                seq: *seq,
            })?,
            _ => None,
        })
    }

    /// Whether an event counts here.
    ///
    /// # Errors
    /// The file.
    pub fn counts(&self, event: &EventRef) -> Result<bool, BookFault> {
        Ok(self.journal.run("reading the phones", |db| {
            db.prepare_cached("SELECT 1 FROM device WHERE key = ?1 AND counts_to >= ?2")?
                .exists(params![&event.device.0[..], event.seq as i64])
        })?)
    }

    /// The phones whose entries count for nothing and nobody has said why yet, those first that bring
    /// others with them.
    ///
    /// # Errors
    /// The file.
    pub fn strangers(&self) -> Result<Vec<Phone>, BookFault> {
        let mut unknown = self.apart()?;
        unknown.retain(|p| p.standing == Standing::Unknown);
        let mut brings: BTreeMap<DeviceId, usize> = BTreeMap::new();
        for phone in &unknown {
            let with = self.comes_with(&phone.device)?;
            let others = unknown.iter().filter(|p| with.contains(&p.device));
            brings.insert(phone.device, others.count());
        }
        unknown.sort_by_key(|p| (Reverse(brings.get(&p.device).copied()), p.device));
        Ok(unknown)
    }

    /// The phones that would count if one did, by what it said of them.
    fn comes_with(&self, device: &DeviceId) -> Result<BTreeSet<DeviceId>, BookFault> {
        Ok(self.journal.run("reading the phones", |db| {
            let mut known = BTreeSet::new();
            let mut next = vec![*device];
            let mut statement = db.prepare_cached(
                "SELECT d.key FROM admission a JOIN device w ON w.no = a.writer \
                 JOIN device d ON d.no = a.device WHERE w.key = ?1 AND a.up_to IS NULL LIMIT 1000",
            )?;
            while let Some(at) = next.pop() {
                if known.len() < 10 * MOST_PHONES && known.insert(at) {
                    for of in statement.query_map([&at.0[..]], |r| Ok(DeviceId(r.get(0)?)))? {
                        next.push(of?);
                    }
                }
            }
            Ok(known)
        })?)
    }

    /// Whether nothing counts here yet: a phone that has nothing of its own takes as its crew that of
    /// the record which it brings in.
    ///
    /// # Errors
    /// The file.
    pub fn is_fresh(&self) -> Result<bool, BookFault> {
        Ok(self.journal.run("counting", |db| {
            let any = db.prepare_cached("SELECT 1 FROM tally WHERE events > 0")?;
            { any }.exists([]).map(|any| !any)
        })?)
    }

    /// The phones to be asked about together: on a phone that has nothing of its own, those of the
    /// record that it brought in; else one.
    ///
    /// # Errors
    /// The file.
    pub fn asked_together(&self) -> Result<Vec<DeviceId>, BookFault> {
        let strangers = self.strangers()?;
        let Some(first) = strangers.first() else {
            return Ok(Vec::new());
        };
        // In a record from before anyone was asked nobody admitted anybody.
        let nothing_said = self.journal.run("reading the phones", |db| {
            Ok(!db.prepare_cached("SELECT 1 FROM admission")?.exists([])?)
        })?;
        if self.is_fresh()? && nothing_said {
            return Ok(strangers.into_iter().map(|p| p.device).collect());
        }
        Ok(vec![first.device])
    }

    /// What would change if phones were admitted: everything is worked out as if they were, and nothing
    /// of that kept.
    ///
    /// # Errors
    /// [`Refusal::TooLong`]; the file.
    pub fn if_admitted(&self, devices: &[DeviceId]) -> Result<Arc<Changes>, BookFault> {
        if let [device] = devices
            && let Some(known) = self.changes.borrow().get(device)
        {
            return Ok(known.clone());
        }
        let now = self.now();
        let mut found = Err(Unsettled::TooLong);
        self.journal.local(|db| {
            let before = Snapshot::of(db, now)?;
            let ahead = LookAhead::begin(db)?;
            let looked = look_ahead(db, devices, now);
            drop(ahead);
            found = match looked {
                Err(Unsettled::Sqlite(e)) => return Err(e),
                other => other.map(|then| before.changes(&then, devices)),
            };
            Ok(())
        })?;
        let Ok(changes) = found else {
            return Self::refuse(Refusal::TooLong);
        };
        let changes = Arc::new(changes);
        if let [device] = devices {
            self.changes.borrow_mut().insert(*device, changes.clone());
        }
        Ok(changes)
    }

    /// Records that phones are of the crew: what they wrote counts from now on.
    ///
    /// # Errors
    /// This phone itself; [`Refusal::NobodyNamed`] where there is a crew, since it is a member's act;
    /// [`Refusal::TooLong`]; the file. Nothing is recorded then.
    pub fn admit(&mut self, devices: &[DeviceId]) -> Result<Recorded, BookFault> {
        self.may_decide(devices)?;
        let word = |device: &DeviceId| Fact::DeviceAdmitted {
            device: device.to_string(),
            how: Admitted::Asked,
        };
        self.record(devices.iter().map(|d| (subject(d), word(d))).collect())
    }

    /// Records that phones are not of the crew, or no longer: of those that were, what is here counts,
    /// and nothing that they wrote beyond that.
    ///
    /// # Errors
    /// As [`Book::admit`].
    pub fn dismiss(&mut self, devices: &[DeviceId]) -> Result<Recorded, BookFault> {
        self.may_decide(devices)?;
        let mut facts = Vec::new();
        for device in devices {
            let up_to: Option<i64> = self.journal.run("reading the phones", |db| {
                db.prepare_cached("SELECT min(seq, counts_to) FROM device WHERE key = ?1")?
                    .query_row([&device.0[..]], |r| r.get(0))
                    .optional()
            })?;
            let seq = up_to.unwrap_or(0) as u64;
            let last = self.journal.hash_of(&EventRef {
                device: *device,
                seq,
            })?;
            let fact = Fact::DeviceDismissed {
                device: device.to_string(),
                up_to: seq,
                head: last
                    .map(|h| data_encoding::HEXLOWER.encode(&h))
                    .unwrap_or_default(),
            };
            facts.push((subject(device), fact));
        }
        self.record(facts)
    }

    /// Notes on this phone that somebody has looked at what a phone wrote that counts for nothing.
    ///
    /// # Errors
    /// The file.
    pub fn look_at(&self, device: &DeviceId) -> Result<(), BookFault> {
        let Some(phone) = self.phone(device)? else {
            return Ok(());
        };
        let wrote = phone.entries + phone.apart;
        self.set_local(Note::LookedAt(device), &wrote.to_string())
    }

    pub(super) fn may_decide(&self, devices: &[DeviceId]) -> Result<(), BookFault> {
        if let Some(own) = devices.iter().find(|d| **d == self.journal.device()) {
            return Err(BookFault::NotFound {
                what: "other phone",
                id: own.to_string(),
            });
        }
        if self.me.is_empty() && !self.members()?.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        Ok(())
    }

    /// Puts into the record, where it isn't yet, what this phone takes for granted: its earlier keys, and
    /// the devices that were known before anyone was asked. So that who admits this phone knows them.
    pub(super) fn vouch(&mut self) -> Result<(), BookFault> {
        if self.vouched.get() {
            return Ok(());
        }
        let this = self.journal.device();
        let unsaid: Vec<(DeviceId, bool)> = self.journal.run("reading the phones", |db| {
            db.prepare_cached(
                "SELECT d.key, d.ours = 1 FROM device d WHERE d.ours > 0 AND d.key <> ?1 AND NOT EXISTS \
                 (SELECT 1 FROM admission a JOIN device w ON w.no = a.writer WHERE a.device = d.no \
                 AND (w.key = ?1 OR (w.ours = 1 AND d.ours = 2)))",
            )?
            .query_map([&this.0[..]], |r| Ok((DeviceId(r.get(0)?), r.get(1)?)))?
            .collect()
        })?;
        let word = |(device, own): (DeviceId, bool)| {
            let how = if own {
                Admitted::SamePhone
            } else {
                Admitted::Before
            };
            let fact = Fact::DeviceAdmitted {
                device: device.to_string(),
                how,
            };
            (subject(&device), fact)
        };
        let facts: Vec<_> = unsaid.into_iter().map(word).collect();
        self.vouched.set(true);
        if facts.is_empty() {
            return Ok(());
        }
        let me = self.me.clone();
        let said = self.record_now(&me, facts);
        self.vouched.set(said.is_ok());
        said.map(drop)
    }

    /// Goes on as a new device where this phone's key has signed a second history, also one that it met
    /// before and could not leave then.
    ///
    /// # Errors
    /// The file; then nothing may be signed.
    pub(super) fn leave_second_self(&mut self) -> Result<(), JournalFault> {
        if self.second_self.get() {
            if self.journal.has_second_self()? {
                self.renew_key()?;
            }
            self.second_self.set(false);
        }
        Ok(())
    }

    /// Goes on as a new device, which the old one admits with its last event.
    fn renew_key(&mut self) -> Result<(), JournalFault> {
        // What was handed to the old key opens with the new one no more.
        let keys = self.held_keys()?;
        let author = self.me.clone();
        let last = |device: DeviceId| {
            let fact = Fact::DeviceAdmitted {
                device: device.to_string(),
                how: Admitted::SamePhone,
            };
            Draft {
                author,
                subject: subject(&device),
                kind: "device_admitted".into(),
                body: serde_json::to_vec(&fact).unwrap_or_default(),
            }
        };
        self.journal
            .renew_key(last, |tx, e| who::note(tx, e).map(drop))?;
        // The record goes on without them: whoever counts this phone hands it the next.
        let _ = self.hold_keys(&keys);
        self.vouched.set(false);
        Ok(())
    }
}

/// Whether the newest word on a device, of [`who::last_word`], dismisses it; it may count all the same.
fn is_disputed(words: &[(DeviceId, u64, bool)]) -> bool {
    matches!(words.first(), Some((_, _, false)))
}

pub(super) fn subject(device: &DeviceId) -> String {
    At::Phone(&device.to_string()).of(CREW)
}

/// What most of what a device wrote and counts for nothing is about.
fn about(db: &Connection, device: &DeviceId) -> rusqlite::Result<Vec<String>> {
    db.prepare_cached(
        "SELECT s.root FROM stranger s JOIN device d ON d.no = s.device \
         WHERE d.key = ?1 ORDER BY s.events DESC, s.root LIMIT 4",
    )?
    .query_map([&device.0[..]], |r| r.get(0))?
    .collect()
}

/// So many of a phone's last entries tell whose it is: one may be another's, who signed on it.
const LATELY: i64 = 200;

/// In whose name a device wrote most of its last entries, with the name that this crew or else the device gives them.
fn writes_as(
    db: &Connection,
    device: &DeviceId,
    seq: u64,
) -> rusqlite::Result<(String, Option<String>)> {
    let author: Option<String> = db
        .prepare_cached(
            "SELECT e.author FROM event e JOIN device d ON d.no = e.device \
             WHERE d.key = ?1 AND e.seq <= ?2 AND e.seq > ?2 - ?3 AND e.author <> '' \
             GROUP BY e.author ORDER BY count(*) DESC, max(e.seq) DESC LIMIT 1",
        )?
        .query_row(params![&device.0[..], seq as i64, LATELY], |r| r.get(0))
        .optional()?;
    let author = author.unwrap_or_default();
    let known: Option<String> = db
        .prepare_cached("SELECT name FROM member WHERE id = ?1 AND last")?
        .query_row([&author], |r| r.get(0))
        .optional()?;
    let name = match known {
        Some(name) => Some(name),
        None => match newest_body(db, device, &At::Named(&author).of(CREW), "member_defined")? {
            Some(Fact::MemberDefined { name, .. }) => Some(name),
            _ => None,
        },
    };
    Ok((author, name))
}

/// What a device said last of a subject in events of one kind.
fn newest_body(
    db: &Connection,
    device: &DeviceId,
    subject: &str,
    kind: &str,
) -> rusqlite::Result<Option<Fact>> {
    let body: Option<Vec<u8>> = db
        .prepare_cached(
            "SELECT e.body FROM event e JOIN device d ON d.no = e.device WHERE d.key = ?1 \
             AND e.subject = ?2 AND e.kind = ?3 ORDER BY e.seq DESC LIMIT 1",
        )?
        .query_row(params![&device.0[..], subject, kind], |r| r.get(0))
        .optional()?;
    Ok(body.map(|body| Fact::read(&body)))
}

/// How far what a device wrote was looked at on this phone.
fn looked_at(db: &Connection, device: &DeviceId) -> rusqlite::Result<Option<u64>> {
    let note: Option<String> = db
        .prepare_cached("SELECT value FROM local WHERE key = ?1")?
        .query_row([Note::LookedAt(device).to_string()], |r| r.get(0))
        .optional()?;
    Ok(note.and_then(|n| n.parse().ok()))
}

fn since(db: &Connection, device: &DeviceId) -> rusqlite::Result<i64> {
    let first: Option<i64> = db
        .prepare_cached(
            "SELECT e.wall_ms FROM event e JOIN device d ON d.no = e.device \
             WHERE d.key = ?1 AND e.seq = 1",
        )?
        .query_row([&device.0[..]], |r| r.get(0))
        .optional()?;
    Ok(first.unwrap_or_default())
}

fn admits(db: &Connection, writer: &DeviceId, of: &DeviceId) -> rusqlite::Result<bool> {
    db.prepare_cached(
        "SELECT 1 FROM admission a JOIN device w ON w.no = a.writer JOIN device d ON d.no = a.device \
         WHERE w.key = ?1 AND d.key = ?2 AND a.up_to IS NULL",
    )?
    .exists([&writer.0[..], &of.0[..]])
}

/// What is tried of the record and not kept, whatever comes in between.
struct LookAhead<'a>(&'a Connection);

impl LookAhead<'_> {
    fn begin(db: &Connection) -> rusqlite::Result<LookAhead<'_>> {
        db.execute_batch("SAVEPOINT look_ahead")?;
        Ok(LookAhead(db))
    }
}

impl Drop for LookAhead<'_> {
    fn drop(&mut self) {
        // Where this fails the whole transaction is given up with the connection.
        let _ = (self.0).execute_batch("ROLLBACK TO look_ahead; RELEASE look_ahead");
    }
}

/// What is so now, as far as [`Changes`] tells of it.
struct Snapshot {
    rigs: BTreeMap<String, (RigFacts, bool)>,
    choices: BTreeMap<String, String>,
    members: BTreeMap<String, (String, bool)>,
    roles: BTreeMap<String, String>,
    codes: BTreeMap<String, String>,
    gauges: BTreeMap<String, String>,
    compared: BTreeMap<String, String>,
    rings: BTreeMap<String, String>,
    procedures: BTreeMap<String, String>,
    devices: BTreeMap<DeviceId, u64>,
}

fn look_ahead(db: &Connection, devices: &[DeviceId], now: Now) -> Result<Snapshot, Unsettled> {
    // As if they had been in the record before anyone was asked, whatever was said of them since by whom
    // this phone has heard. What somebody says of them who only comes with them, its word doesn't answer.
    for device in devices {
        db.execute(
            "UPDATE device SET ours = 2 WHERE key = ?1 AND ours = 0",
            [&device.0[..]],
        )?;
        db.execute(
            "DELETE FROM admission WHERE up_to IS NOT NULL \
             AND device = (SELECT no FROM device WHERE key = ?1) \
             AND seq <= (SELECT counts_to FROM device WHERE no = admission.writer)",
            [&device.0[..]],
        )?;
    }
    who::settle(db, who::Settles::Ahead)?;
    Ok(Snapshot::of(db, now)?)
}

impl Snapshot {
    fn of(db: &Connection, now: Now) -> rusqlite::Result<Snapshot> {
        let heard = Arc::new(Heard::load(db)?);
        let pairs = |sql: &str| -> rusqlite::Result<BTreeMap<String, String>> {
            db.prepare_cached(sql)?
                .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?
                .collect()
        };
        let mut rigs = BTreeMap::new();
        for (id, _) in pairs("SELECT id, name FROM rig WHERE last")? {
            if let Some(facts) = state::load(db, &heard, &id)? {
                let ready = readiness(&facts, now).is_ready();
                rigs.insert(id, (facts, ready));
            }
        }
        let (members, joined) = state::load_members(db)?;
        let roles = (members.iter()).map(|(m, role)| (m.id.clone(), role.clone()));
        let roles = roles.collect();
        let members = members.into_iter().map(|(m, _)| {
            let joined = joined.iter().any(|(a, b)| *a == m.id || *b == m.id);
            (m.id, (m.name, m.retired || joined))
        });
        Ok(Snapshot {
            rigs,
            choices: state::crew_choices(db, &heard)?.into_iter().collect(),
            members: members.collect(),
            roles,
            codes: pairs(
                "SELECT rtrim(subject, '/'), value FROM mark WHERE rig = 'crew' AND key = 'code' AND last",
            )?,
            gauges: (state::load_gauges(db, &heard)?.into_iter())
                .map(|(id, g)| (id, serde_json::to_string(&g).unwrap_or_default()))
                .collect(),
            compared: pairs(
                "SELECT substr(subject, 7), value FROM mark WHERE rig = 'crew' \
                 AND subject LIKE 'gauge/%' AND key = 'compared' AND last",
            )?,
            rings: (state::load_box(db, &heard)?.into_iter())
                .map(|lot| (lot.id, format!("{:?} {}", lot.lot, lot.count)))
                .collect(),
            procedures: pairs("SELECT id, source FROM procedure WHERE last")?,
            devices: db
                .prepare_cached("SELECT key, counts_to FROM device WHERE counts_to > 0")?
                .query_map([], |r| {
                    Ok((DeviceId(r.get(0)?), r.get::<_, i64>(1)? as u64))
                })?
                .collect::<rusqlite::Result<_>>()?,
        })
    }

    /// What is otherwise then.
    fn changes(&self, then: &Snapshot, asked: &[DeviceId]) -> Changes {
        let rigs = then.rigs.iter().filter_map(|(id, (facts, ready_then))| {
            let now = self.rigs.get(id);
            let same = |(before, ready): &(RigFacts, bool)| {
                ready == ready_then && about_itself(before) == about_itself(facts)
            };
            (!now.is_some_and(same)).then(|| RigChange {
                name: now.map(|(facts, _)| facts.def.name.clone()),
                then: facts.def.name.clone(),
                ready: now.is_some_and(|(_, ready)| *ready),
                ready_then: *ready_then,
                figures: now.map_or_else(Vec::new, |(before, _)| {
                    figures_differ(&before.def, &facts.def)
                }),
            })
        });
        let choices = differing(&self.choices, &then.choices).map(|(key, now, then)| {
            let text = |v: Option<&String>| v.cloned().unwrap_or_default();
            (key.clone(), text(now), text(then))
        });
        let here = |m: Option<&(String, bool)>| m.filter(|(_, left)| !left).map(|m| m.0.clone());
        let members = differing(&self.members, &then.members)
            .map(|(_, now, then)| (here(now), here(then)))
            .filter(|(now, then)| now != then);
        let name = |id: &String| then.members.get(id).map(|(name, _)| name.clone());
        Changes {
            rigs: rigs.collect(),
            choices: choices.collect(),
            members: members.collect(),
            codes: differing(&self.codes, &then.codes)
                .filter_map(|(id, now, then)| Some((name(id)?, Becomes::of(now, then))))
                .collect(),
            // Of a member who comes or goes that is told.
            roles: differing(&self.roles, &then.roles)
                .filter_map(|(id, now, then)| Some((name(id)?, role(now?), role(then?))))
                .collect(),
            gauges: differing(&self.gauges, &then.gauges)
                .filter_map(|(_, now, then)| {
                    Some((gauge_name(now.or(then)?)?, Becomes::of(now, then)))
                })
                .collect(),
            compared: differing(&self.compared, &then.compared)
                .map(|(id, _, _)| {
                    let known = self.gauges.get(id).or(then.gauges.get(id));
                    known.and_then(|g| gauge_name(g)).unwrap_or_default()
                })
                .collect(),
            rings: differing(&self.rings, &then.rings).count(),
            procedures: differing(&self.procedures, &then.procedures)
                .map(|(id, now, then)| {
                    let title = then.or(now).and_then(|source| title_of(source));
                    (title.unwrap_or_else(|| id.clone()), Becomes::of(now, then))
                })
                .collect(),
            phones: (then.devices.keys())
                .filter(|d| !self.devices.contains_key(d) && !asked.contains(d))
                .count(),
            phones_lost: (self.devices.iter())
                .filter(|(d, to)| then.devices.get(d).is_none_or(|then| then < to))
                .count(),
        }
    }
}

/// What is known of a rig alone, without its crew, of whom it is told apart.
fn about_itself(rig: &RigFacts) -> RigFacts {
    RigFacts {
        crew: CrewFacts::default(),
        ..rig.clone()
    }
}

/// What a procedure calls itself.
fn title_of(source: &str) -> Option<String> {
    procedure::parse(source).ok().map(|p| p.title)
}

fn role(kept: &str) -> Role {
    serde_json::from_str(kept).unwrap_or(Role::Other)
}

fn gauge_name(body: &str) -> Option<String> {
    let gauge: super::super::facts::Gauge = serde_json::from_str(body).ok()?;
    Some(gauge.name)
}

/// What two maps say otherwise of the same.
fn differing<'a, V: PartialEq>(
    now: &'a BTreeMap<String, V>,
    then: &'a BTreeMap<String, V>,
) -> impl Iterator<Item = (&'a String, Option<&'a V>, Option<&'a V>)> {
    let keys: BTreeSet<&String> = now.keys().chain(then.keys()).collect();
    keys.into_iter()
        .map(|key| (key, now.get(key), then.get(key)))
        .filter(|(_, now, then)| now != then)
}
