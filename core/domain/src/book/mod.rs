//! The one who records: checks an action, writes its facts, reads back what is known.
//!
//! Screens and tests go through here and never write facts themselves, except by
//! [`Book::record`], which is what every checked action ends in.

mod admission;
mod brought;
mod crew;
mod exchange;
mod first_looks;
mod holds;
mod latest;
mod note;
mod preps;
mod rigs;
mod rings;
mod signing;
mod trim;

use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::fmt::Display;
use std::path::Path;
use std::sync::Arc;

use rusqlite::OptionalExtension;

pub use admission::{Becomes, Changes, Phone, RigChange, Standing};
pub use crew::{CODE_LEAST, Member};
pub use exchange::{Aside, CODE_MS, ExchangeFault, Invitation, Met, Packed, Took};
pub use holds::{
    AsTyped, Doubts, Judged, NewReading, NewRecheck, RecheckPreview, input_of, recheck_foreseen,
    recheck_verdict, recheck_wants_step,
};
pub use preps::{
    SEAL_PARTS, asked_after_end, left_open, look_wants_service, not_shut, on_rig,
    seals_before_closing, waits_for, wants_service,
};
pub use rigs::{NewDive, TakenOff};
pub use rings::{NewRing, RINGS_MAX, Refit};
pub use signing::{Signer, plugs_unseen};
pub use trim::Worked;

use first_looks::{FirstLooks, Moment};
use latest::Latest;
use note::Note;

use super::admission as who;
use super::budget::Watch;
use super::facts::{Fact, Gauge, Loss, LossKind, SketchMark};
use super::fold;
use super::names;
use super::photos::{PhotoFault, PhotoStore, StoredPhoto};
use super::procedure::{self, Procedure, ProcedureFault};
use super::readiness::{Now, Readiness, readiness};
use super::rig::{RigDef, RigFault, Wrong};
use super::rules::{losses_of_ring, reopen_void};
use super::schema;
use super::state::{self, PrepFacts, RECHECK_LIMIT, RigFacts, recheck_limit_ms};
use super::subject::{At, CREW, PROCEDURE, Subject};
use slackwater_journal::store::{self, IngestFault};
use slackwater_journal::{
    DeviceId, Draft, Env, Event, EventRef, Id, Journal, JournalFault, Opening, Stamp,
};
use slackwater_physics::hold::HoldFault;

/// Why an action was not recorded, though the file is in order. Each is a sentence in the texts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The enclosure is recorded as closed: open it first.
    EnclosureClosed {
        /// Its name.
        enclosure: String,
    },
    /// The enclosure is recorded as open: close it first.
    EnclosureOpen {
        /// Its name.
        enclosure: String,
    },
    /// The enclosure has no vacuum valve.
    NoValve {
        /// Its name.
        enclosure: String,
    },
    /// A hold is under way on the enclosure.
    HoldRunning {
        /// Its name.
        enclosure: String,
    },
    /// No hold counts, so the plug can't be refitted on a proved enclosure.
    NotProved {
        /// Its name.
        enclosure: String,
    },
    /// The plug is off: refit it first.
    PlugOff {
        /// Its name.
        enclosure: String,
    },
    /// The hold has ended.
    HoldEnded,
    /// A hold needs two readings before it can be concluded.
    TooFewReadings,
    /// Other steps come first; their titles.
    StepsFirst {
        /// Titles of those steps.
        titles: Vec<String>,
    },
    /// Parts of the step are not confirmed.
    PartsOpen {
        /// How many.
        left: usize,
    },
    /// Controls are not tested, or failed.
    ControlsOpen {
        /// How many.
        left: usize,
    },
    /// The step asks for a photo.
    PhotoWanted,
    /// The step asks for a number.
    NumberWanted,
    /// Nobody is named as holding the phone.
    NobodyNamed,
    /// The same member can't sign twice.
    SameMember,
    /// Nothing of what would be signed is done, or all of it is signed.
    NothingToSign,
    /// A crew of one looks again later; so many minutes are left.
    TooSoon {
        /// Minutes, rounded up.
        minutes: i64,
    },
    /// A crew of one takes a photo with the second look.
    FreshPhotoWanted,
    /// The crew asks for a member's own code, and they have none.
    NoCode {
        /// Their name.
        name: String,
    },
    /// The code is not theirs.
    CodeWrong,
    /// Too many wrong tries.
    CodeWait {
        /// Minutes still to wait, rounded up.
        minutes: i64,
    },
    /// A code of so few characters is none.
    CodeShort,
    /// The member signs on their own phone.
    OtherPhone {
        /// Their name.
        name: String,
    },
    /// The step is not done yet.
    StepNotDone,
    /// The prep has ended.
    PrepEnded,
    /// A reason is wanted.
    ReasonWanted,
    /// It is no slip of typing: another's, or some minutes old, or no change.
    NoSlip,
    /// A gauge can't be compared with itself.
    SameGauge,
    /// It can't be taken back.
    NotRetractable,
    /// It lies inside a housing, and all are recorded as shut.
    InsideShut {
        /// The part's name.
        part: String,
    },
    /// A mark over a photo that nobody would see.
    MarkTooSmall,
    /// A mark that isn't on the photo.
    MarkOutside,
    /// No more marks are drawn over this photo.
    SketchFull,
    /// The ring found this way must not go back.
    RingMustBeReplaced,
    /// Water was found in it: it has to be opened and looked into first.
    LookInside {
        /// Names of the enclosures.
        enclosures: Vec<String>,
    },
    /// No bad ring is known to be in the seal.
    NotFaulty,
    /// A seal is to be serviced first.
    SealNotServiced {
        /// Its name.
        seal: String,
    },
    /// What would count since takes longer to take in than so many entries may.
    TooLong,
    /// The code to join by is this phone's own.
    OwnCode,
    /// The code to join by was to be read sooner.
    CodeOver,
    /// The box has not so many.
    BoxLacks {
        /// Size of the rings.
        size: String,
        /// How many it has.
        have: usize,
    },
}

/// Why an action failed.
#[derive(Debug, thiserror::Error)]
pub enum BookFault {
    /// The file.
    #[error(transparent)]
    Journal(#[from] JournalFault),
    /// It isn't there.
    #[error("there is no {what} '{id}'")]
    NotFound {
        /// What kind of thing.
        what: &'static str,
        /// Its id.
        id: String,
    },
    /// It can't be done now.
    #[error("{0:?}")]
    Refused(Refusal),
    /// A definition makes no sense.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Rig(Vec<RigFault>),
    /// A hold can't be judged.
    #[error(transparent)]
    Hold(#[from] HoldFault),
    /// A fact holds a figure that can't be written down.
    #[error("'{kind}' holds a figure that is no number; nothing was recorded")]
    NotWritable {
        /// Which kind of fact.
        kind: String,
    },
    /// A hold-log file is wrong.
    #[error(transparent)]
    HoldLog(crate::hold_log::LogFault),
    /// A procedure file is wrong.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Procedure(Vec<ProcedureFault>),
    /// A photo could not be kept.
    #[error(transparent)]
    Photo(#[from] PhotoFault),
}

/// What was recorded.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Recorded {
    /// The events, in order.
    pub events: Vec<EventRef>,
    /// Takes them back, where all of them can be.
    pub undo: Option<String>,
}

/// A photo of a thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoNote {
    /// BLAKE3, hex.
    pub photo: String,
    /// Free text.
    pub note: String,
    /// When, ms.
    pub wall_ms: i64,
    /// Who.
    pub author: String,
}

/// A photo and what it is noted at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoPlace {
    /// Rig id.
    pub rig: String,
    /// What it shows ('enclosure/main', 'prep/ID', ... or 'rig').
    pub at: String,
    /// The note.
    pub note: PhotoNote,
}

/// What was drawn over a photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawn {
    /// It.
    pub mark: SketchMark,
    /// When, ms since 1970.
    pub wall_ms: i64,
    /// By whom: a member's id.
    pub author: String,
    /// Event reference.
    pub event: String,
}

/// So many marks are drawn over one photo.
const SKETCH_MAX: usize = 40;
/// So many characters stand in words over a photo.
pub const SKETCH_WORDS_MAX: usize = 40;
/// So large is a mark at least, in thousandths of the picture.
const SKETCH_LEAST: u16 = 20;

/// A rig in the list of rigs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RigEntry {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Out of use.
    pub retired: bool,
}

/// The book: one journal with its tables and photos.
pub struct Book {
    journal: Journal,
    photos: Arc<PhotoStore>,
    watch: Arc<Watch>,
    /// Why and where a damaged file was set aside, and by how much the clock is behind.
    pub opening: Opening,
    me: String,
    latest: Cell<Latest>,
    /// What of it is in the file.
    latest_kept: Cell<Latest>,
    first_looks: RefCell<FirstLooks>,
    rigs: RefCell<HashMap<String, Arc<RigFacts>>>,
    judged: RefCell<HashMap<String, Arc<Judged>>>,
    members: RefCell<Option<Arc<Vec<Member>>>>,
    choices: RefCell<Option<Arc<HashMap<String, String>>>>,
    trims: RefCell<HashMap<String, Arc<trim::Worked>>>,
    /// Placements chosen, by rig: a list under work stays the same list.
    chosen: RefCell<HashMap<String, super::trim::Chosen>>,
    /// What would change if a phone were admitted.
    changes: RefCell<HashMap<DeviceId, Arc<Changes>>>,
    /// What this phone takes for granted of other devices is in the record, for other phones to know.
    vouched: Cell<bool>,
    /// Whether this phone's key has signed a second history is to be looked at before it signs again.
    second_self: Cell<bool>,
}

impl Book {
    /// Opens the book in `folder`, creating it if there is none.
    ///
    /// # Errors
    /// As [`Journal::open`], and a photo folder that can't be made.
    pub fn open(folder: &Path, env: Env) -> Result<Book, BookFault> {
        let (journal, opening) = Journal::open(folder, schema::migrations(), schema::VERSION, env)?;
        let photos = Arc::new(PhotoStore::open(&folder.join("photos"))?);
        let mut book = Book {
            journal,
            photos,
            watch: Arc::default(),
            opening,
            me: String::new(),
            latest: Cell::new(Latest::NONE),
            latest_kept: Cell::new(Latest::NONE),
            first_looks: RefCell::default(),
            rigs: RefCell::default(),
            judged: RefCell::default(),
            members: RefCell::default(),
            choices: RefCell::default(),
            trims: RefCell::default(),
            chosen: RefCell::default(),
            changes: RefCell::default(),
            vouched: Cell::new(false),
            second_self: Cell::new(true),
        };
        // What an earlier version could not read, all of it or nothing. Where that can't be written
        // now (a full disk) it goes on standing in the way, and is read at the next opening.
        book.journal.local(|db| {
            db.execute_batch("SAVEPOINT read_again")?;
            match fold::read_again(db) {
                Ok(()) => db.execute_batch("RELEASE read_again"),
                Err(_) => db.execute_batch("ROLLBACK TO read_again; RELEASE read_again"),
            }
        })?;
        book.me = book.local(Note::Me)?.unwrap_or_default();
        let looks = book.local(Note::FirstLooks)?.unwrap_or_default();
        book.first_looks.replace(FirstLooks::parse(&looks));
        let left = !book.me.is_empty() && !book.members()?.iter().any(|m| m.id == book.me);
        if left {
            book.me.clear();
        }
        if let Some(seen) = book
            .local(Note::Latest)?
            .and_then(|text| Latest::parse(&text))
        {
            book.latest.set(seen);
            book.latest_kept.set(seen);
            // A clock that shows less than it did was set back, also where nothing was recorded.
            let behind = seen.wall_ms.saturating_sub(book.journal.now_ms());
            book.opening.clock_behind_ms = book.opening.clock_behind_ms.max(behind);
        }
        book.look_at_clock();
        Ok(book)
    }

    /// The journal, for reading.
    pub fn journal(&self) -> &Journal {
        &self.journal
    }

    /// The photo files.
    pub fn photos(&self) -> &Arc<PhotoStore> {
        &self.photos
    }

    /// How far a file has come in, and the word to give it up: for another thread.
    pub fn watch(&self) -> &Arc<Watch> {
        &self.watch
    }

    /// Lets go of what a long transaction left beside the file.
    pub(super) fn tidy(&self) {
        let db = self.journal.read();
        let _ = db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()));
    }

    /// What time it is.
    pub fn now(&self) -> Now {
        let latest = self.look_at_clock();
        Now {
            latest_seen: (latest.ms, latest.newest),
            wall_ms: self.journal.now_ms(),
            newest: self.journal.newest(),
            boot: latest.boot,
        }
    }

    /// Now, by the clocks of this phone.
    fn here_and_now(&self) -> Option<Moment> {
        let boot = self.look_at_clock().boot?;
        let wall_ms = Some(self.journal.now_ms());
        Some(Moment { boot, wall_ms })
    }

    /// The latest that it can be by any clock seen. Kept in the file at a look in a minute, and when
    /// the clock was set. Where the file can't be written (a full disk), the mark lasts as long as the
    /// app is open.
    fn look_at_clock(&self) -> Latest {
        let wall_ms = self.journal.now_ms();
        let (boot, newest) = (self.journal.boot(), self.journal.newest());
        let latest = self.latest.get().looked(wall_ms, boot, newest);
        self.latest.set(latest);
        let kept = self.latest_kept.get();
        if kept.lags(latest) {
            self.latest_kept.set(latest);
            let _ = self.set_local(Note::Latest, &latest.to_string());
        }
        latest
    }

    /// Member id of who holds the phone; empty where nobody said.
    pub fn me(&self) -> &str {
        &self.me
    }

    /// Puts the phone into a member's hands.
    ///
    /// # Errors
    /// No such member; the file.
    pub fn hold_phone(&mut self, member: &str) -> Result<(), BookFault> {
        if !self.members()?.iter().any(|m| m.id == member) {
            return Err(BookFault::NotFound {
                what: "member",
                id: member.to_owned(),
            });
        }
        self.set_local(Note::Me, member)?;
        self.me = member.to_owned();
        Ok(())
    }

    /// Reads a note of this device. Each floor has the type of its own notes, and a note its key as text.
    ///
    /// # Errors
    /// The file.
    pub fn local(&self, key: impl Display) -> Result<Option<String>, BookFault> {
        Ok(self.journal.run("reading a note of this device", |db| {
            db.prepare_cached("SELECT value FROM local WHERE key = ?1")?
                .query_row([key.to_string()], |r| r.get(0))
                .optional()
        })?)
    }

    /// Writes a note of this device: no evidence, never shared.
    ///
    /// # Errors
    /// The file.
    pub fn set_local(&self, key: impl Display, value: &str) -> Result<(), BookFault> {
        Ok(self.journal.local(|db| put_note(db, key, value))?)
    }

    /// Records facts in one transaction, as the member who holds the phone.
    ///
    /// # Errors
    /// The file; nothing is recorded then.
    pub fn record(&mut self, facts: Vec<(String, Fact)>) -> Result<Recorded, BookFault> {
        let me = self.me.clone();
        self.record_as(&me, facts)
    }

    /// Records facts as another member (who signs on this phone).
    ///
    /// # Errors
    /// The file; nothing is recorded then.
    pub fn record_as(
        &mut self,
        author: &str,
        facts: Vec<(String, Fact)>,
    ) -> Result<Recorded, BookFault> {
        if facts.is_empty() {
            return Ok(Recorded::default());
        }
        self.leave_second_self()?;
        self.vouch()?;
        self.record_now(author, facts)
    }

    fn record_now(
        &mut self,
        author: &str,
        facts: Vec<(String, Fact)>,
    ) -> Result<Recorded, BookFault> {
        let undoable = facts.iter().all(|(_, f)| f.can_be_retracted());
        let of_devices = facts.iter().any(|(_, f)| who::is_word(f));
        let mut drafts = Vec::with_capacity(facts.len());
        for (subject, fact) in facts {
            let body = serde_json::to_value(&fact)
                .and_then(|v| serde_json::to_vec(&v).map(|bytes| (v, bytes)));
            let (value, body) = body.map_err(|e| {
                BookFault::Journal(JournalFault::Sqlite {
                    doing: "writing a fact",
                    source: rusqlite::Error::ToSqlConversionFailure(e.into()),
                })
            })?;
            let kind = value["fact"].as_str().unwrap_or_default().to_owned();
            // What can't be read back (a figure that is no number) must not be acknowledged.
            if Fact::read(&body) != fact {
                return Err(BookFault::NotWritable { kind });
            }
            self.forget(subject.split('/').next().unwrap_or_default(), &fact);
            drafts.push(Draft {
                author: author.to_owned(),
                subject,
                kind,
                body,
            });
        }
        let latest = self.look_at_clock();
        let mut first = true;
        let mut looks = self.first_looks.borrow().clone();
        let mut too_long = false;
        let watch = Arc::clone(&self.watch);
        let appended = self.journal.append(drafts, |tx, e| {
            if std::mem::take(&mut first) {
                put_note(tx, Note::Latest, &latest.to_string())?;
            }
            if let Some(boot) = latest.boot.filter(|_| first_looks::is_one(&e.kind)) {
                let wall_ms = Some(e.wall_ms);
                looks.add(e.reference(), Moment { boot, wall_ms });
                put_note(tx, Note::FirstLooks, &looks.to_string())?;
            }
            fold::apply(tx, e)?;
            if who::note(tx, e)? {
                who::settle(tx, who::Settles::Member(&watch)).map_err(|e| match e {
                    who::Unsettled::Sqlite(e) => e,
                    who::Unsettled::TooLong | who::Unsettled::GivenUp => {
                        too_long = true;
                        given_up()
                    }
                })?;
            }
            Ok(())
        });
        if of_devices {
            watch.end();
        }
        if too_long {
            return Self::refuse(Refusal::TooLong);
        }
        let events = appended?;
        self.latest_kept.set(latest);
        self.first_looks.replace(looks);
        if of_devices {
            self.journal.counts_anew();
            self.forget_all();
        }
        let events: Vec<EventRef> = events.iter().map(|e| e.reference()).collect();
        let undo = undoable.then(|| {
            events
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(",")
        });
        Ok(Recorded { events, undo })
    }

    /// Takes over an event of another device.
    ///
    /// # Errors
    /// As [`Journal::ingest`].
    pub fn ingest(&mut self, event: &slackwater_journal::Event) -> Result<bool, IngestFault> {
        let one = std::iter::once(Ok::<_, IngestFault>(event.clone()));
        Ok(self.ingest_all(one)? == 1)
    }

    /// Takes over many events of other devices: all of them or none. Returns how many were new. Those
    /// of a device that this crew doesn't know are kept and count for nothing ([`who`]). Where this phone has
    /// a second history (it was restored from a copy), it goes on under a new key.
    ///
    /// # Errors
    /// As [`Journal::ingest_all`].
    pub fn ingest_all<E: From<IngestFault>>(
        &mut self,
        events: impl IntoIterator<Item = Result<slackwater_journal::Event, E>>,
    ) -> Result<u64, E> {
        let path = self.journal.path().to_owned();
        let (words, changed) = (Cell::new(false), Cell::new(false));
        let watch = Arc::clone(&self.watch);
        let looks = RefCell::new(self.first_looks.borrow().clone());
        let now = self.here_and_now();
        let taken = self.journal.ingest_all(
            events,
            |tx, place, e| {
                words.set(fold::came_in(tx, place, e)? || words.get());
                if let Some(now) = now.filter(|_| first_looks::is_one(&e.kind)) {
                    looks.borrow_mut().add(e.reference(), now);
                }
                Ok(())
            },
            |tx| {
                if words.get() {
                    let of = who::Settles::File(&watch);
                    changed.set(who::settle(tx, of).map_err(|e| e.fault(&path))?);
                }
                if *looks.borrow() != *self.first_looks.borrow() {
                    put_note(tx, Note::FirstLooks, &looks.borrow().to_string()).map_err(
                        |source| {
                            let doing = "noting what came in";
                            IngestFault::from(JournalFault::Sqlite { doing, source })
                        },
                    )?;
                }
                Ok(())
            },
        )?;
        self.first_looks.replace(looks.into_inner());
        // All of it stands. What fails from here on is tried again before anything is signed, and takes
        // nothing back.
        if changed.get() {
            self.journal.counts_anew();
        }
        if taken > 0 {
            self.second_self.set(true);
            let _ = self.leave_second_self();
        }
        self.look_at_clock();
        self.forget_all();
        Ok(taken)
    }

    /// The hashes of all photos that an event names, and not taken back; also of those that count for
    /// nothing here and are handed on all the same.
    ///
    /// # Errors
    /// The file.
    pub fn photo_hashes(&self) -> Result<Vec<String>, BookFault> {
        let mut named: Vec<String> = self.journal.run("reading photo notes", |db| {
            db.prepare_cached("SELECT DISTINCT photo FROM photo ORDER BY photo")?
                .query_map([], |r| r.get(0))?
                .collect()
        })?;
        named.extend(self.photos_apart()?);
        named.sort();
        named.dedup();
        Ok(named)
    }

    /// Takes back what was recorded, by the token of [`Recorded::undo`].
    ///
    /// # Errors
    /// [`Refusal::NotRetractable`] for anything but evidence.
    pub fn undo(&mut self, token: &str) -> Result<Recorded, BookFault> {
        let mut facts = Vec::new();
        let mut took = Vec::new();
        for text in token.split(',').rev() {
            let unknown = || BookFault::NotFound {
                what: "event",
                id: text.to_owned(),
            };
            let reference: EventRef = text.parse().map_err(|_| unknown())?;
            let event = self.journal.event(&reference)?.ok_or_else(unknown)?;
            let fact = fold::fact_of(&event);
            // A second look of a crew of one rests on its photo: the picture stays with the signature.
            let spent = match &fact {
                Fact::PhotoTaken { photo, .. } => self.looked_with(photo)?,
                _ => false,
            };
            if spent || !fact.can_be_retracted() {
                return Err(BookFault::Refused(Refusal::NotRetractable));
            }
            if let Fact::SealFitted {
                fitted_ms: Some(ms),
                ..
            } = &fact
            {
                took.extend(self.undated(&event, *ms)?);
            }
            facts.push((
                event.subject,
                Fact::Retracted {
                    event: reference.to_string(),
                },
            ));
        }
        facts.extend(took);
        let recorded = self.record(facts)?;
        self.forget_all();
        Ok(recorded)
    }

    /// What is taken away with the day since when a ring is said to be in: it may be as young as what its writer had
    /// said before, or nobody says any more.
    fn undated(&self, event: &Event, ms: i64) -> Result<Option<(String, Fact)>, BookFault> {
        let subject = Subject::parse(&event.subject);
        let Ok(rig) = self.rig(subject.root) else {
            return Ok(None);
        };
        let said_here = |f: &state::Fitted| f.said == event.stamp();
        let known = rig.seal(subject.id());
        if !known.is_some_and(|s| s.rings().any(said_here)) {
            return Ok(None);
        }
        let mut before = None;
        self.journal.run("reading a ring's history", |db| {
            store::each_before(db, event, |older| {
                if let Fact::SealFitted {
                    fitted_ms, cured, ..
                } = fold::fact_of(&older)
                    && !fold::is_retracted(db, &older.reference().to_string())?
                {
                    before = Some((fitted_ms.unwrap_or(older.wall_ms), cured));
                    return Ok(std::ops::ControlFlow::Break(()));
                }
                Ok(std::ops::ControlFlow::Continue(()))
            })
        })?;
        let (since, then) = before.map_or((None, String::new()), |(ms, c)| (Some(ms), c));
        // As old as it was or older: no day is taken away.
        let since = since.map(|since| if since <= ms { i64::MIN } else { since });
        let what = losses_of_ring(&rig, subject.id(), since, &then, self.now().wall_ms);
        Ok(took_away(subject.root, what, Vec::new()))
    }

    fn forget(&self, root: &str, fact: &Fact) {
        self.changes.borrow_mut().clear();
        self.rigs.borrow_mut().remove(root);
        self.trims.borrow_mut().remove(root);
        match fact {
            Fact::HoldReading { .. } | Fact::ReadingSetAside { .. } => {
                self.judged.borrow_mut().clear();
            }
            Fact::MemberDefined { .. }
            | Fact::MemberRetired { .. }
            | Fact::MembersJoined { .. }
            | Fact::PhoneOf { .. } => {
                *self.members.borrow_mut() = None;
                self.rigs.borrow_mut().clear();
            }
            Fact::CrewChose { .. } => {
                *self.choices.borrow_mut() = None;
                self.rigs.borrow_mut().clear();
            }
            // Of the crew's choices they concern every rig, and a defect every copy of its rig.
            Fact::TookAway { .. }
            | Fact::LossSigned { .. }
            | Fact::DefectOpened { .. }
            | Fact::DefectClosed { .. }
            | Fact::Unknown => {
                self.rigs.borrow_mut().clear();
            }
            _ => {}
        }
    }

    fn forget_all(&self) {
        self.changes.borrow_mut().clear();
        self.rigs.borrow_mut().clear();
        self.trims.borrow_mut().clear();
        self.judged.borrow_mut().clear();
        *self.members.borrow_mut() = None;
        *self.choices.borrow_mut() = None;
    }

    // ---- rigs ----

    /// The rigs, by name.
    ///
    /// # Errors
    /// The file.
    pub fn rigs(&self) -> Result<Vec<RigEntry>, BookFault> {
        Ok(self.journal.run("reading the rigs", |db| {
            db.prepare_cached(
                "SELECT r.id, r.name, coalesce(m.value = 'yes', 0) FROM rig r LEFT JOIN mark m \
                 ON m.rig = r.id AND m.subject = 'rig' AND m.key = 'retired' AND m.last \
                 WHERE r.last ORDER BY r.name COLLATE NOCASE, r.id",
            )?
            .query_map([], |r| {
                Ok(RigEntry {
                    id: r.get(0)?,
                    name: r.get(1)?,
                    retired: r.get(2)?,
                })
            })?
            .collect()
        })?)
    }

    /// What is known of a rig.
    ///
    /// # Errors
    /// No such rig; the file.
    pub fn rig(&self, id: &str) -> Result<Arc<RigFacts>, BookFault> {
        if let Some(facts) = self.rigs.borrow().get(id) {
            return Ok(facts.clone());
        }
        let heard = self.journal.heard()?;
        let facts = self
            .journal
            .run("reading a rig", |db| state::load(db, &heard, id))?
            .ok_or_else(|| BookFault::NotFound {
                what: "rig",
                id: id.to_owned(),
            })?;
        let facts = Arc::new(facts);
        self.rigs.borrow_mut().insert(id.to_owned(), facts.clone());
        Ok(facts)
    }

    /// Judges a rig now.
    ///
    /// # Errors
    /// No such rig; the file.
    pub fn readiness(&self, rig: &str) -> Result<Readiness, BookFault> {
        Ok(readiness(&*self.rig(rig)?, self.now()))
    }

    // ---- crew ----

    /// The crew's choices.
    ///
    /// # Errors
    /// The file.
    pub fn choices(&self) -> Result<Arc<HashMap<String, String>>, BookFault> {
        if let Some(choices) = &*self.choices.borrow() {
            return Ok(choices.clone());
        }
        let heard = self.journal.heard()?;
        let choices = self.journal.run("reading the crew's choices", |db| {
            state::crew_choices(db, &heard)
        })?;
        let choices = Arc::new(choices);
        *self.choices.borrow_mut() = Some(choices.clone());
        Ok(choices)
    }

    /// Records choices of the crew.
    ///
    /// # Errors
    /// The file.
    pub fn choose(&mut self, choices: &[(&str, &str)]) -> Result<Recorded, BookFault> {
        let mut record: Vec<(String, Fact)> = choices
            .iter()
            .map(|(choice, value)| {
                let fact = Fact::CrewChose {
                    choice: (*choice).to_owned(),
                    value: (*value).to_owned(),
                };
                (CREW.to_owned(), fact)
            })
            .collect();
        let loss = self.recheck_limit_raised(choices)?;
        record.extend(took_away(CREW, loss.into_iter().collect(), Vec::new()));
        self.record(record)
    }

    /// A recheck that is to count for longer, once there is a prep whose rechecks it would stretch.
    fn recheck_limit_raised(&self, choices: &[(&str, &str)]) -> Result<Option<Loss>, BookFault> {
        let Some((_, new)) = choices.iter().find(|(c, _)| *c == RECHECK_LIMIT) else {
            return Ok(None);
        };
        let before = self.choices()?;
        let from = recheck_limit_ms(before.get(RECHECK_LIMIT).map(String::as_str));
        let to = recheck_limit_ms(Some(new));
        let used = self.journal.run("reading the preps", |db| {
            db.prepare_cached("SELECT 1 FROM prep")?.exists([])
        })?;
        let minutes = |ms: i64| Some(ms as f64 / 60_000.0);
        Ok((used && to > from).then(|| Loss {
            at: String::new(),
            name: String::new(),
            kind: LossKind::RecheckLimit,
            from: minutes(from),
            to: minutes(to),
        }))
    }

    // ---- gauges ----

    /// The crew's gauges in use, by name: id and record.
    ///
    /// # Errors
    /// The file.
    pub fn gauges(&self) -> Result<Vec<(String, Gauge)>, BookFault> {
        let heard = self.journal.heard()?;
        let mut all: Vec<(String, Gauge)> =
            (self.journal).run("reading the gauges", |db| state::load_gauges(db, &heard))?;
        all.retain(|(_, g)| !g.retired);
        all.sort_by(|a, b| a.1.name.cmp(&b.1.name));
        Ok(all)
    }

    /// Records a gauge; with an id, changes its record. Gives its id.
    ///
    /// # Errors
    /// A name, resolution or accuracy that can't be; the file.
    pub fn define_gauge(&mut self, id: Option<&str>, gauge: Gauge) -> Result<String, BookFault> {
        let mut faults = Vec::new();
        if !names::is_name(&gauge.name) {
            faults.push(RigFault {
                at: "name".to_owned(),
                why: Wrong::of_name(&gauge.name),
            });
        }
        let mut wrong = |at: &str, low: &str, high: &str, unit| {
            faults.push(RigFault {
                at: at.to_owned(),
                why: Wrong::Range {
                    value: None,
                    low: low.to_owned(),
                    high: high.to_owned(),
                    unit,
                },
            });
        };
        if !(gauge.resolution_pa > 0.0 && gauge.resolution_pa <= 20_000.0) {
            wrong("resolution", ">\u{a0}0", "200", "mbar");
        }
        if gauge
            .accuracy_pa
            .is_some_and(|a| !(0.0..=20_000.0).contains(&a))
        {
            wrong("accuracy", "0", "200", "mbar");
        }
        if !faults.is_empty() {
            return Err(BookFault::Rig(faults));
        }
        let id = id.map_or_else(|| self.make_id(), str::to_owned);
        self.record(vec![(
            At::Gauge(&id).of(CREW),
            Fact::GaugeDefined { gauge },
        )])?;
        Ok(id)
    }

    /// Records what two gauges showed on the same vacuum.
    ///
    /// # Errors
    /// No such gauge, or the same twice; the file.
    pub fn compare_gauges(
        &mut self,
        this: &str,
        other: &str,
        this_pa: f64,
        other_pa: f64,
    ) -> Result<Recorded, BookFault> {
        let all = self.gauges()?;
        for id in [this, other] {
            if !all.iter().any(|(g, _)| g == id) {
                return Err(BookFault::NotFound {
                    what: "gauge",
                    id: id.to_owned(),
                });
            }
        }
        if this == other {
            return Self::refuse(Refusal::SameGauge);
        }
        self.record(vec![(
            At::Gauge(this).of(CREW),
            Fact::GaugesCompared {
                other: other.to_owned(),
                this_pa,
                other_pa,
            },
        )])
    }

    /// The last comparison of a gauge: the other's id, what each showed (Pa), and when (ms).
    ///
    /// # Errors
    /// The file.
    pub fn comparison(&self, gauge: &str) -> Result<Option<(String, f64, f64, i64)>, BookFault> {
        let subject = At::Gauge(gauge).to_string();
        let found: Option<(String, i64)> = self.journal.run("reading a comparison", |db| {
            db.prepare_cached(
                "SELECT value, wall_ms FROM mark WHERE rig = 'crew' AND subject = ?1 \
                 AND key = 'compared' AND last",
            )?
            .query_row([&subject], |r| Ok((r.get(0)?, r.get(1)?)))
            .optional()
        })?;
        Ok(found.and_then(|(text, ms)| {
            let (other, a, b) = serde_json::from_str::<(String, f64, f64)>(&text).ok()?;
            Some((other, a, b, ms))
        }))
    }

    // ---- procedures ----

    /// The procedures: those built in, and those the crew brought in, which stand in for a
    /// built-in one of the same id.
    ///
    /// # Errors
    /// The file.
    pub fn procedures(&self) -> Result<Vec<Procedure>, BookFault> {
        let mut all: Vec<Procedure> = procedure::built_in().to_vec();
        let own = self.journal.run("reading the procedures", |db| {
            db.prepare_cached("SELECT source FROM procedure WHERE last ORDER BY id")?
                .query_map([], |r| r.get::<_, String>(0))?
                .collect::<rusqlite::Result<Vec<_>>>()
        })?;
        for source in own {
            if let Ok(p) = procedure::parse(&source) {
                all.retain(|q| q.id != p.id);
                all.push(p);
            }
        }
        Ok(all)
    }

    /// Brings a procedure file in.
    ///
    /// # Errors
    /// Each fault with its line; nothing is taken then.
    pub fn add_procedure(&mut self, bytes: &[u8]) -> Result<Recorded, BookFault> {
        let parsed = procedure::parse_bytes(bytes).map_err(BookFault::Procedure)?;
        let source = String::from_utf8_lossy(bytes).into_owned();
        self.record(vec![(
            At::Named(&parsed.id).of(PROCEDURE),
            Fact::ProcedureAdded { source },
        )])
    }

    /// The event that brought the procedure of an id in; none where it is built in or there is none.
    ///
    /// # Errors
    /// The file.
    pub fn procedure_brought(&self, id: &str) -> Result<Option<Event>, BookFault> {
        let event = self.journal.run("reading a procedure", |db| {
            let stamp: Option<Vec<u8>> = db
                .prepare_cached("SELECT stamp FROM procedure WHERE id = ?1 AND last")?
                .query_row([id], |r| r.get(0))
                .optional()?;
            let Some(stamp) = stamp else { return Ok(None) };
            store::written_at(db, &Stamp::from_bytes(&stamp))
        })?;
        Ok(match event {
            Some(event) => self.journal.event(&event)?,
            None => None,
        })
    }

    /// A prep with its steps.
    ///
    /// # Errors
    /// No such prep; the file.
    pub fn prep(&self, id: &str) -> Result<PrepFacts, BookFault> {
        let heard = self.journal.heard()?;
        let mut prep = self
            .journal
            .run("reading a prep", |db| state::load_prep(db, &heard, id))?
            .ok_or_else(|| BookFault::NotFound {
                what: "prep",
                id: id.to_owned(),
            })?;
        let rig = match self.rig(&prep.rig) {
            Ok(rig) => rig,
            // Its rig has not been heard of yet.
            Err(BookFault::NotFound { .. }) => return Ok(prep),
            Err(e) => return Err(e),
        };
        // One that is over and that readiness no longer reads is read as it ended.
        let counts = rig.prep.iter().chain(&rig.earlier).any(|p| p.id == prep.id);
        if counts || prep.ended.is_none() {
            reopen_void(&rig, &mut prep);
        }
        Ok(prep)
    }

    // ---- photos ----

    /// Keeps a photo and notes it: the file is on the disk before the event that names it.
    ///
    /// # Errors
    /// The photo (kind, size, storage); the file.
    pub fn add_photo(
        &mut self,
        subject: &str,
        note: &str,
        bytes: &[u8],
    ) -> Result<(StoredPhoto, Recorded), BookFault> {
        note_fits(note)?;
        let stored = self.photos.put(bytes)?;
        self.note_photo(subject, note, stored)
    }

    /// As [`Book::add_photo`], from a file, which is read in pieces.
    ///
    /// # Errors
    /// As [`Book::add_photo`].
    pub fn add_photo_file(
        &mut self,
        subject: &str,
        note: &str,
        path: &Path,
    ) -> Result<(StoredPhoto, Recorded), BookFault> {
        note_fits(note)?;
        let stored = self.photos.put_file(path)?;
        self.note_photo(subject, note, stored)
    }

    fn note_photo(
        &mut self,
        subject: &str,
        note: &str,
        stored: StoredPhoto,
    ) -> Result<(StoredPhoto, Recorded), BookFault> {
        // A picture that can't be drawn small is still kept; the screen says so.
        let _ = self.photos.thumbnail(stored.hash);
        let fact = Fact::PhotoTaken {
            photo: stored.hash.to_string(),
            note: note.to_owned(),
        };
        let recorded = self.record(vec![(subject.to_owned(), fact)])?;
        Ok((stored, recorded))
    }

    /// The newest photos of a thing.
    ///
    /// # Errors
    /// The file.
    pub fn photo_notes(
        &self,
        rig: &str,
        at: At<'_>,
        most: u32,
    ) -> Result<Vec<PhotoNote>, BookFault> {
        Ok(self.journal.run("reading photo notes", |db| {
            db.prepare_cached(
                "SELECT photo, note, wall_ms, author FROM photo WHERE rig = ?1 AND subject = ?2 \
                 ORDER BY stamp DESC LIMIT ?3",
            )?
            .query_map(rusqlite::params![rig, at.to_string(), most], |r| {
                Ok(PhotoNote {
                    photo: r.get(0)?,
                    note: r.get(1)?,
                    wall_ms: r.get(2)?,
                    author: r.get(3)?,
                })
            })?
            .collect()
        })?)
    }

    /// Where a photo is noted, newest first.
    ///
    /// # Errors
    /// The file.
    pub fn photo_places(&self, photo: &str, most: u32) -> Result<Vec<PhotoPlace>, BookFault> {
        Ok(self.journal.run("reading photo notes", |db| {
            db.prepare_cached(
                "SELECT rig, subject, photo, note, wall_ms, author FROM photo WHERE photo = ?1 \
                 ORDER BY stamp DESC LIMIT ?2",
            )?
            .query_map(rusqlite::params![photo, most], |r| {
                Ok(PhotoPlace {
                    rig: r.get(0)?,
                    at: r.get(1)?,
                    note: PhotoNote {
                        photo: r.get(2)?,
                        note: r.get(3)?,
                        wall_ms: r.get(4)?,
                        author: r.get(5)?,
                    },
                })
            })?
            .collect()
        })?)
    }

    /// What is drawn over a photo, oldest first: as it was drawn, and by whom.
    ///
    /// # Errors
    /// The file.
    pub fn sketch(&self, photo: &str) -> Result<Vec<Drawn>, BookFault> {
        let all: Vec<(String, String, i64, String)> = self.journal.run("reading a sketch", |db| {
            db.prepare_cached(
                "SELECT mark, event, wall_ms, author FROM sketch WHERE photo = ?1 ORDER BY stamp LIMIT ?2",
            )?
            .query_map(rusqlite::params![photo, SKETCH_MAX as u32], |r| {
                Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?))
            })?
            .collect()
        })?;
        let drawn = all
            .into_iter()
            .filter_map(|(mark, event, wall_ms, author)| {
                Some(Drawn {
                    mark: serde_json::from_str(&mark).ok()?,
                    event,
                    wall_ms,
                    author,
                })
            });
        Ok(drawn.collect())
    }

    /// Draws over a photo. The file stays as it is.
    ///
    /// # Errors
    /// The photo isn't noted here; a place outside of it; words that nobody can see or that are too long; too
    /// many marks.
    pub fn draw_over(&mut self, photo: &str, mark: SketchMark) -> Result<Recorded, BookFault> {
        let noted = self.photo_places(photo, 1)?;
        let Some(place) = noted.first() else {
            return Err(BookFault::NotFound {
                what: "photo",
                id: photo.chars().take(80).collect(),
            });
        };
        let places = match &mark {
            SketchMark::Arrow { from, to } | SketchMark::Ring { from, to } => {
                let far = |i: usize| from[i].abs_diff(to[i]);
                if far(0).max(far(1)) < SKETCH_LEAST {
                    return Self::refuse(Refusal::MarkTooSmall);
                }
                [*from, *to]
            }
            SketchMark::Words { at, text } => {
                if super::names::visible(text).is_none() {
                    return Self::refuse(Refusal::MarkTooSmall);
                }
                if text.chars().count() > SKETCH_WORDS_MAX {
                    return Err(BookFault::Rig(vec![RigFault {
                        at: "text".into(),
                        why: Wrong::TooLong(SKETCH_WORDS_MAX),
                    }]));
                }
                [*at, *at]
            }
        };
        if places.as_flattened().iter().any(|x| *x > 1_000) {
            return Self::refuse(Refusal::MarkOutside);
        }
        if self.sketch(photo)?.len() >= SKETCH_MAX {
            return Self::refuse(Refusal::SketchFull);
        }
        let subject = At::Photo(photo).of(&place.rig);
        self.record(vec![(subject, Fact::PhotoMarked { mark })])
    }

    pub(super) fn make_id(&self) -> String {
        Id::make(&*self.journal.env().entropy).to_string()
    }

    /// Leaves syncing to the system while something that is nobody's evidence is written, or goes
    /// back to a sync with each commit.
    pub(super) fn relax_sync(&mut self, relax: bool) -> Result<(), BookFault> {
        let mode = if relax {
            "PRAGMA synchronous = OFF"
        } else {
            "PRAGMA synchronous = FULL; PRAGMA wal_checkpoint(TRUNCATE)"
        };
        Ok(self.journal.local(|db| db.execute_batch(mode))?)
    }

    fn refuse<T>(refusal: Refusal) -> Result<T, BookFault> {
        Err(BookFault::Refused(refusal))
    }
}

/// What a change took away, and what of it if it was in use unheard; none where it took nothing.
fn took_away(root: &str, what: Vec<Loss>, unheard: Vec<Loss>) -> Option<(String, Fact)> {
    let took = !what.is_empty() || !unheard.is_empty();
    took.then(|| (root.to_owned(), Fact::TookAway { what, unheard }))
}

/// Writes a note of this device.
fn put_note(db: &rusqlite::Connection, key: impl Display, value: &str) -> rusqlite::Result<()> {
    db.prepare_cached(
        "INSERT INTO local (key, value) VALUES (?1, ?2) \
         ON CONFLICT (key) DO UPDATE SET value = excluded.value",
    )?
    .execute([key.to_string().as_str(), value])
    .map(drop)
}

/// What gives a transaction up without a fault of the file.
fn given_up() -> rusqlite::Error {
    rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_BUSY), None)
}

/// Refuses a note that is longer than one may be, rather than cut it.
fn note_fits(note: &str) -> Result<(), BookFault> {
    if note.chars().count() <= super::rig::NOTE_MAX {
        return Ok(());
    }
    Err(BookFault::Rig(vec![RigFault {
        at: "note".into(),
        why: Wrong::TooLong(super::rig::NOTE_MAX),
    }]))
}

/// Finds an enclosure of a rig.
fn enclosure_def<'a>(def: &'a RigDef, id: &str) -> Result<&'a super::rig::Enclosure, BookFault> {
    def.enclosure(id).ok_or_else(|| BookFault::NotFound {
        what: "enclosure",
        id: id.to_owned(),
    })
}
