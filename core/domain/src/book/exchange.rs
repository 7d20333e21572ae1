//! What goes to the crew's other phones, and what comes from them.
//!
//! Whatever way it comes by, a part is opened, checked, and taken in by itself: one that is wrong is set
//! aside with its reason and the rest goes on. Nothing here makes a rig ready that the rules don't: what
//! comes in is recorded as any file of another phone is ([`Book::ingest_all`]).

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read, Write};

use rusqlite::{OptionalExtension, params};

use super::super::admission::JOINS;
use super::super::budget::Stopwatch;
use super::super::facts::{Admitted, Fact};
use super::admission::subject;
use super::{Book, BookFault, Recorded, Refusal};
use slackwater_exchange::handing::Held;
use slackwater_exchange::hello::lacked;
use slackwater_exchange::join::Code;
use slackwater_exchange::parcel::{Packing, Unpacking};
use slackwater_exchange::ring::{self, Ring};
use slackwater_exchange::secret::Kind;
use slackwater_exchange::segment::Cutter;
use slackwater_exchange::{Epoch, Fault, Handing, Hello, Lack, Secret, Segment};
use slackwater_journal::counted::ALL;
use slackwater_journal::store::{IngestFault, device_no};
use slackwater_journal::{DeviceId, EventRef, JournalFault};

/// A code to join by is to be read within so long, ms: it is shown in person.
pub const CODE_MS: i64 = 15 * 60_000;

/// So many parts that were set aside are told of.
const ASIDE_MAX: usize = 100;

/// What was packed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Packed {
    /// Events.
    pub events: u64,
    /// Length, bytes.
    pub bytes: u64,
}

/// What came in.
#[derive(Debug, Default)]
pub struct Took {
    /// Events that were not here yet.
    pub new_events: u64,
    /// Parts that were read.
    pub parts: u64,
    /// Whose hello was in it.
    pub from: Option<DeviceId>,
    /// Parts that were not taken, by their number from 1, and why: at most [`ASIDE_MAX`].
    pub aside: Vec<(u64, Aside)>,
    /// All of it came through.
    pub whole: bool,
}

/// Why a part was not taken.
#[derive(Debug, thiserror::Error)]
pub enum Aside {
    /// It can't be read.
    #[error(transparent)]
    Part(#[from] Fault),
    /// Events before it are not here.
    #[error("what comes before {event} is not here: {wanted} is wanted")]
    Gap {
        /// Its first event.
        event: EventRef,
        /// The number that is wanted.
        wanted: u64,
    },
}

/// Why nothing more could be packed or taken. What came in until then stays.
#[derive(Debug, thiserror::Error)]
pub enum ExchangeFault {
    /// It is no parcel.
    #[error(transparent)]
    Part(#[from] Fault),
    /// The way it takes.
    #[error("writing it failed: {0}")]
    Io(#[from] std::io::Error),
    /// What came in could not be kept.
    #[error(transparent)]
    Ingest(#[from] IngestFault),
    /// The book.
    #[error(transparent)]
    Book(#[from] BookFault),
    /// The journal's file.
    #[error(transparent)]
    Journal(#[from] JournalFault),
    /// Taking it in takes longer than so many entries may.
    #[error("taking it in takes longer than so many entries may")]
    TooLong,
    /// Somebody gave it up.
    #[error("it was given up")]
    GivenUp,
}

/// A code to join by that this phone showed, and nobody has read, as far as is known here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invitation {
    /// The event that showed it.
    pub event: EventRef,
    /// When, by this phone's clock, ms since 1970 UTC.
    pub at_ms: i64,
}

/// Another phone, and when it was last heard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Met {
    /// It.
    pub device: DeviceId,
    /// When it said what it has, by its own clock, ms since 1970 UTC.
    pub at_ms: i64,
    /// How many entries are here that it did not have then.
    pub lacks: u64,
}

impl Book {
    /// The devices of which all that they write counts here.
    fn of_the_crew(&self) -> Result<BTreeSet<DeviceId>, BookFault> {
        Ok(self.journal.run("reading the phones", |db| {
            db.prepare_cached("SELECT key FROM device WHERE counts_to = ?1")?
                .query_map([ALL as i64], |r| Ok(DeviceId(r.get(0)?)))?
                .collect()
        })?)
    }

    /// The crew's keys that this phone holds, and who else does.
    fn ring(&self) -> Result<Ring, BookFault> {
        let me = self.journal.identity();
        let crew = self.of_the_crew()?;
        Ok(self.journal.run("reading the crew's keys", |db| {
            let mut ring = Ring::load(db, &me, |device| crew.contains(device))?;
            // Whoever read a code holds the key that stood in it; so may anybody, of one that was taken back.
            let mut read = db.prepare_cached(
                "SELECT i.epoch, coalesce(d.key, i.key) FROM invitation i \
                 LEFT JOIN joining j ON j.key = i.key LEFT JOIN device d ON d.no = j.device \
                 WHERE j.key IS NOT NULL OR EXISTS (SELECT 1 FROM uninvited u WHERE u.key = i.key)",
            )?;
            for row in read.query_map([], |r| Ok((Epoch(r.get(0)?), DeviceId(r.get(1)?))))? {
                let (epoch, device) = row?;
                ring.is_held_by(&epoch, device);
            }
            Ok(ring)
        })?)
    }

    /// The crew's keys that this phone can open, each with how many there were before it.
    pub(super) fn held_keys(&self) -> Result<Vec<(Secret, u64)>, JournalFault> {
        let me = self.journal.identity();
        let ring = self.journal.run("reading the crew's keys", |db| {
            Ring::load(db, &me, |_| true)
        })?;
        Ok(ring
            .all()
            .map(|h| (h.secret.clone(), h.generation))
            .collect())
    }

    /// Keeps keys so that this phone's key opens them.
    pub(super) fn hold_keys(&self, keys: &[(Secret, u64)]) -> Result<(), JournalFault> {
        let entropy = self.journal.env().entropy.clone();
        let me = self.journal.identity();
        self.journal.local(|db| {
            (keys.iter()).try_for_each(|(secret, generation)| {
                ring::keep_secret(db, &me, secret, *generation, &*entropy)
            })
        })
    }

    /// The key to seal with: one that nobody holds but phones that count, and all of them. Made where there
    /// is none; handed to those that lack it.
    fn sealing(&mut self) -> Result<Held, ExchangeFault> {
        let crew = self.of_the_crew()?;
        let ring = self.ring()?;
        let entropy = self.journal.env().entropy.clone();
        let me = self.journal.identity();
        let (secret, generation) = match ring.fit(&crew) {
            Some(held) if held.holders == crew => return Ok(held.clone()),
            Some(held) => (held.secret.clone(), held.generation),
            None => {
                let newest = ring.all().map(|h| h.generation).max().unwrap_or(0);
                (Secret::make(&*entropy), newest.saturating_add(1))
            }
        };
        let part = Handing::make(&me, &secret, generation, &crew, &*entropy)?;
        self.keep_handing(&part)??;
        Ok(Held {
            secret,
            generation,
            holders: crew,
        })
    }

    /// Keeps a handing, and the key in it; whether it was new.
    fn keep_handing(&self, part: &[u8]) -> Result<Result<bool, Fault>, JournalFault> {
        let entropy = self.journal.env().entropy.clone();
        let me = self.journal.identity();
        let mut kept = Ok(false);
        self.journal.local(|db| {
            kept = ring::keep_handing(db, &me, part, &*entropy)?;
            Ok(())
        })?;
        Ok(kept)
    }

    /// What this phone has, to be told to another.
    ///
    /// # Errors
    /// The file.
    pub fn hello(&self) -> Result<Hello, BookFault> {
        Ok(Hello {
            device: self.journal.device(),
            at_ms: self.journal.now_ms(),
            extents: self.journal.extents()?,
        })
    }

    /// What a phone lacks of what is here; all, where it isn't known what it has.
    fn lacked_by(&self, theirs: Option<&Hello>) -> Result<Vec<Lack>, BookFault> {
        let theirs = theirs.map_or(&[][..], |hello| &hello.extents);
        let ours = self.journal.extents()?;
        Ok(lacked(theirs, &ours, |event| self.journal.hash_of(event))?)
    }

    /// Packs a parcel: what a phone lacks, by what it said to have, or all. Sealed so that the phones of the
    /// crew read it and nobody else.
    ///
    /// # Errors
    /// The file; the way it takes; [`ExchangeFault::GivenUp`].
    pub fn pack<W: Write>(
        &mut self,
        theirs: Option<&Hello>,
        to: W,
    ) -> Result<(W, Packed), ExchangeFault> {
        self.watch.begin(0);
        self.leave_second_self()?;
        let held = self.sealing()?;
        let entropy = self.journal.env().entropy.clone();
        let mut packing = Packing::begin(to)?;
        let handings = (self.journal).run("reading the crew's keys", ring::handings)?;
        for (_, part) in handings {
            packing.part(&part)?;
        }
        packing.part(&self.hello()?.seal(&held.secret, &*entropy)?)?;
        let mut packed = Packed::default();
        for lack in self.lacked_by(theirs)? {
            let mut put = |segment: Option<Segment>| {
                let Some(segment) = segment else {
                    return Ok(());
                };
                packed.events += segment.events.len() as u64;
                packing.part(&segment.seal(&held.secret, &*entropy)?)?;
                match self.watch.is_given_up() {
                    true => Err(ExchangeFault::GivenUp),
                    false => Ok(()),
                }
            };
            let mut cutter = Cutter::default();
            self.journal
                .each_after(&lack.device, lack.after, |event| put(cutter.take(event)))?;
            put(cutter.end())?;
            if lack.apart {
                for event in self.journal.apart_of(&lack.device)? {
                    put(cutter.take(event))?;
                }
                put(cutter.end())?;
            }
        }
        let (to, bytes) = packing.end()?;
        packed.bytes = bytes;
        Ok((to, packed))
    }

    /// Takes in a parcel, part by part: what of it is right stays, whatever becomes of the rest.
    ///
    /// # Errors
    /// It is no parcel at all; the file; [`ExchangeFault::TooLong`], [`ExchangeFault::GivenUp`].
    pub fn unpack(&mut self, from: impl Read) -> Result<Took, ExchangeFault> {
        self.watch.begin(0);
        let mut took = Took::default();
        let mut clock = Stopwatch::default();
        let mut keys = None;
        for part in Unpacking::begin(from)? {
            took.parts += 1;
            let part = match part {
                Ok(part) => part,
                // Cut off, or spoiled where nothing tells how long a part is: there is nothing more.
                Err(fault) => {
                    took.set_aside(fault.into());
                    return Ok(took);
                }
            };
            match self.take_part(&part, &mut took, &mut clock, &mut keys) {
                Ok(()) => {}
                Err(NotTaken::Aside(aside)) => took.set_aside(aside),
                Err(NotTaken::Stop(fault)) => return Err(fault),
            }
        }
        took.whole = true;
        Ok(took)
    }

    /// `keys` are those that this phone held when it was last asked: none where there may be more since.
    fn take_part(
        &mut self,
        part: &[u8],
        took: &mut Took,
        clock: &mut Stopwatch,
        keys: &mut Option<Ring>,
    ) -> Result<(), NotTaken> {
        if self.watch.is_given_up() {
            return Err(NotTaken::Stop(ExchangeFault::GivenUp));
        }
        let kind = Kind::of(part)?;
        if kind == Kind::Handing {
            *keys = None;
            return match self.keep_handing(part).map_err(ExchangeFault::from)? {
                // One for others: what they seal with it this phone can't read, and says so there.
                Ok(_) | Err(Fault::NoKey(_)) => Ok(()),
                Err(fault) => Err(fault.into()),
            };
        }
        let keys = match keys {
            Some(keys) => keys,
            None => keys.insert(self.ring()?),
        };
        if kind == Kind::Hello {
            let hello = Hello::open(part, |epoch| keys.get(epoch))?;
            took.from = Some(hello.device);
            return Ok(self.note_hello(&hello)?);
        }
        let segment = Segment::open(part, |epoch| keys.get(epoch))?;
        took.new_events += self.take_segment(segment, clock)?;
        Ok(())
    }

    fn take_segment(&mut self, segment: Segment, clock: &mut Stopwatch) -> Result<u64, NotTaken> {
        for event in &segment.events {
            if clock.is_over(event) {
                return Err(NotTaken::Stop(ExchangeFault::TooLong));
            }
        }
        segment.verify()?;
        let first = EventRef {
            device: segment.device,
            seq: segment.from,
        };
        let events = segment.events.into_iter().map(Ok::<_, IngestFault>);
        match self.ingest_all(events) {
            Ok(new) => Ok(new),
            Err(IngestFault::Gap { wanted, .. }) => Err(NotTaken::Aside(Aside::Gap {
                event: first,
                wanted,
            })),
            Err(IngestFault::Forged(event, wrong)) => Err(Fault::Forged(event, wrong).into()),
            Err(IngestFault::GivenUp) => Err(NotTaken::Stop(ExchangeFault::GivenUp)),
            Err(IngestFault::TooLong) => Err(NotTaken::Stop(ExchangeFault::TooLong)),
            Err(fault @ IngestFault::Journal(_)) => Err(NotTaken::Stop(fault.into())),
        }
    }

    /// Keeps what another phone said to have, where it is the newest that it said.
    fn note_hello(&mut self, hello: &Hello) -> Result<(), ExchangeFault> {
        if hello.device == self.journal.device() {
            return Ok(());
        }
        let kept = hello.to_bytes();
        Ok(self.journal.local(|db| {
            let no = device_no(db, &hello.device)?;
            db.prepare_cached(
                "INSERT INTO met (device, at_ms, hello) VALUES (?1, ?2, ?3) ON CONFLICT (device) \
                 DO UPDATE SET at_ms = ?2, hello = ?3 WHERE at_ms <= ?2",
            )?
            .execute(params![no, hello.at_ms, kept])
            .map(drop)
        })?)
    }

    /// What a phone said to have, when it was last heard.
    ///
    /// # Errors
    /// The file.
    pub fn heard_from(&self, device: &DeviceId) -> Result<Option<Hello>, BookFault> {
        let kept: Option<Vec<u8>> = self.journal.run("reading what a phone has", |db| {
            db.prepare_cached(
                "SELECT m.hello FROM met m JOIN device d ON d.no = m.device WHERE d.key = ?1",
            )?
            .query_row([&device.0[..]], |r| r.get(0))
            .optional()
        })?;
        // One that can't be read tells nothing: it is then sent all.
        Ok(kept.and_then(|bytes| Hello::from_bytes(&bytes).ok()))
    }

    /// The phones of the crew that were heard, the latest first, each with how much it lacks.
    ///
    /// # Errors
    /// The file.
    pub fn met(&self) -> Result<Vec<Met>, BookFault> {
        let heard: Vec<DeviceId> = self.journal.run("reading what a phone has", |db| {
            db.prepare_cached(
                "SELECT d.key FROM met m JOIN device d ON d.no = m.device WHERE d.counts_to = ?1 \
                 ORDER BY m.at_ms DESC",
            )?
            .query_map([ALL as i64], |r| Ok(DeviceId(r.get(0)?)))?
            .collect()
        })?;
        let ours: BTreeMap<DeviceId, u64> = (self.journal.extents()?.iter())
            .map(|e| (e.device, e.seq))
            .collect();
        let mut met = Vec::new();
        for device in heard {
            let Some(hello) = self.heard_from(&device)? else {
                continue;
            };
            let lacked = self.lacked_by(Some(&hello))?;
            let entries = |l: &Lack| {
                ours.get(&l.device)
                    .map_or(0, |seq| seq.saturating_sub(l.after))
            };
            met.push(Met {
                device,
                at_ms: hello.at_ms,
                lacks: lacked.iter().map(entries).sum(),
            });
        }
        Ok(met)
    }

    /// Makes a code by which another phone joins the crew, and records that it was shown: whoever proves to
    /// have read it is of the crew.
    ///
    /// # Errors
    /// [`Refusal::NobodyNamed`] where there is a crew, since it is a member's act; the file.
    pub fn invite(&mut self) -> Result<Code, ExchangeFault> {
        self.may_decide(&[])?;
        self.leave_second_self().map_err(BookFault::from)?;
        let held = self.sealing()?;
        let until_ms = self.journal.now_ms().saturating_add(CODE_MS);
        let entropy = self.journal.env().entropy.clone();
        let device = self.journal.device();
        let code = Code::make(
            device,
            held.secret.clone(),
            held.generation,
            until_ms,
            &*entropy,
        );
        let fact = Fact::DeviceInvited {
            invitation: hex(&code.key()),
            epoch: held.secret.epoch().to_string(),
        };
        self.record(vec![(subject(&device), fact)])?;
        Ok(code)
    }

    /// The codes that this phone showed and nobody has read, as far as is known here.
    ///
    /// # Errors
    /// The file.
    pub fn invitations(&self) -> Result<Vec<Invitation>, BookFault> {
        let device = self.journal.device();
        let open: Vec<u64> = self.journal.run("reading the phones", |db| {
            db.prepare_cached(
                "SELECT i.seq FROM invitation i JOIN device d ON d.no = i.writer WHERE d.key = ?1 \
                 AND NOT EXISTS (SELECT 1 FROM joining j WHERE j.key = i.key) \
                 AND NOT EXISTS (SELECT 1 FROM uninvited u WHERE u.key = i.key AND u.writer = i.writer) \
                 ORDER BY i.seq",
            )?
            .query_map([&device.0[..]], |r| Ok(r.get::<_, i64>(0)? as u64))?
            .collect()
        })?;
        let mut found = Vec::new();
        for seq in open {
            let event = EventRef { device, seq };
            if let Some(e) = self.journal.event(&event)? {
                found.push(Invitation {
                    event,
                    at_ms: e.wall_ms,
                });
            }
        }
        Ok(found)
    }

    /// Takes back the codes that this phone showed and nobody has read, as far as is known here.
    ///
    /// # Errors
    /// The file.
    pub fn uninvite(&mut self) -> Result<Recorded, BookFault> {
        self.may_decide(&[])?;
        let this = self.journal.device();
        let mut facts = Vec::new();
        for open in self.invitations()? {
            let said = self.journal.event(&open.event)?;
            if let Some(Fact::DeviceInvited { invitation, .. }) = said.map(|e| Fact::read(&e.body))
            {
                facts.push((subject(&this), Fact::DeviceUninvited { invitation }));
            }
        }
        self.record(facts)
    }

    /// Joins the crew of the phone that shows a code: what that one wrote, and whom it admitted, counts here
    /// from now on, and it will count this one.
    ///
    /// # Errors
    /// [`Refusal::OwnCode`], [`Refusal::CodeOver`]; [`Refusal::NobodyNamed`] where there is a crew here; the
    /// file.
    pub fn join(&mut self, code: &Code) -> Result<Recorded, BookFault> {
        if code.device == self.journal.device() {
            return Self::refuse(Refusal::OwnCode);
        }
        if self.journal.now_ms() > code.until_ms {
            return Self::refuse(Refusal::CodeOver);
        }
        self.may_decide(&[code.device])?;
        self.leave_second_self()?;
        let entropy = self.journal.env().entropy.clone();
        let me = self.journal.identity();
        self.journal
            .local(|db| ring::keep_secret(db, &me, &code.secret, code.generation, &*entropy))?;
        let this = self.journal.device();
        let joined = Fact::DeviceJoined {
            invitation: hex(&code.key()),
            proof: hex(&code.sign(JOINS, &this.0)),
        };
        let admitted = Fact::DeviceAdmitted {
            device: code.device.to_string(),
            how: Admitted::Code,
        };
        self.record(vec![
            (subject(&this), joined),
            (subject(&code.device), admitted),
        ])
    }
}

fn hex(bytes: &[u8]) -> String {
    data_encoding::HEXLOWER.encode(bytes)
}

impl Took {
    fn set_aside(&mut self, why: Aside) {
        if self.aside.len() < ASIDE_MAX {
            self.aside.push((self.parts, why));
        }
    }
}

/// Why a part was not taken: it alone, or nothing more.
enum NotTaken {
    Aside(Aside),
    Stop(ExchangeFault),
}

impl From<Fault> for NotTaken {
    fn from(fault: Fault) -> NotTaken {
        NotTaken::Aside(fault.into())
    }
}

impl From<BookFault> for NotTaken {
    fn from(fault: BookFault) -> NotTaken {
        NotTaken::Stop(fault.into())
    }
}

impl From<ExchangeFault> for NotTaken {
    fn from(fault: ExchangeFault) -> NotTaken {
        NotTaken::Stop(fault)
    }
}
