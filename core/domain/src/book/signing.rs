//! Second looks: what one did, another looks at and signs for.

use super::super::crew::{Look, SECOND_LOOK_MS, SignedWith};
use super::super::facts::Fact;
use super::super::mark_key::MarkKey;
use super::super::procedure::ProcedureKind;
use super::super::procedure::{StepInstance, StepKind, Target};
use super::super::rules::{plug_in, plug_of};
use super::super::signed::{is_walk_of, plug_word};
use super::super::state::{RigFacts, Seen, StepState};
use super::super::subject::At;
use super::first_looks::Moment;
use super::preps::{step_of, subject};
use super::{Book, BookFault, Recorded, Refusal};
use rusqlite::OptionalExtension;
use slackwater_journal::store::written_at;
use slackwater_journal::{DeviceId, Hlc, Stamp};

/// Who signs, and the code they gave, where the crew asks for one.
#[derive(Debug, Clone, Copy)]
pub struct Signer<'a> {
    /// Member id.
    pub member: &'a str,
    /// Their own code as typed, or empty.
    pub code: &'a str,
}

impl<'a> From<&'a str> for Signer<'a> {
    fn from(member: &'a str) -> Signer<'a> {
        Signer { member, code: "" }
    }
}

impl<'a> From<&'a String> for Signer<'a> {
    fn from(member: &'a String) -> Signer<'a> {
        Signer { member, code: "" }
    }
}

impl Book {
    /// Records that the closed rig was walked round: the first of two.
    ///
    /// # Errors
    /// [`Refusal::EnclosureOpen`]; [`Refusal::NobodyNamed`]; no such rig; the file.
    pub fn walk_round(&mut self, rig: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        if self.me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        let open = facts.def.enclosures.iter();
        if let Some(open) = open.into_iter().find(|e| !self.is_closed(&facts, &e.id)) {
            return Self::refuse(Refusal::EnclosureOpen {
                enclosure: open.name.clone(),
            });
        }
        self.record(vec![(rig.to_owned(), Fact::WalkedRound {})])
    }

    /// Signs as `member` for every plug that is in and that only one has seen there.
    ///
    /// # Errors
    /// [`Refusal::NothingToSign`], and as [`Book::sign_step`].
    pub fn sign_plugs<'a>(
        &mut self,
        rig: &str,
        by: impl Into<Signer<'a>>,
    ) -> Result<Recorded, BookFault> {
        let by = by.into();
        let member = by.member;
        let facts = self.rig(rig)?;
        let code = self.code_given(&facts, by)?;
        let mut record = Vec::new();
        let mut refused = Refusal::NothingToSign;
        for e in plugs_unseen(&facts) {
            let Some(on) = facts.enclosure(e).and_then(|e| plug_of(&facts, e)) else {
                continue;
            };
            let at = At::Enclosure(e).of(rig);
            // Which of them the member may sign for is a matter of who put each in.
            match self.second_look(&facts, At::Rig, on, member, code) {
                Ok(look) => record.push((at, Fact::SecondLook { look })),
                Err(BookFault::Refused(why)) => refused = why,
                Err(other) => return Err(other),
            }
        }
        if record.is_empty() {
            return Self::refuse(refused);
        }
        self.record_as(member, record)
    }

    /// Signs as `member` for the walk round the rig.
    ///
    /// # Errors
    /// [`Refusal::StepNotDone`], and as [`Book::sign_step`].
    pub fn sign_walk<'a>(
        &mut self,
        rig: &str,
        by: impl Into<Signer<'a>>,
    ) -> Result<Recorded, BookFault> {
        let by = by.into();
        let member = by.member;
        let facts = self.rig(rig)?;
        let code = self.code_given(&facts, by)?;
        let Some(walked) = &facts.walked else {
            return Self::refuse(Refusal::StepNotDone);
        };
        let look = self.second_look(&facts, At::Rig, walked, member, code)?;
        self.record_as(member, vec![(rig.to_owned(), Fact::SecondLook { look })])
    }

    /// Signs a two-person step as `member`, who looked at it themselves. Allowed after the prep
    /// has ended, too: a signature can be late.
    ///
    /// # Errors
    /// [`Refusal::StepNotDone`], [`Refusal::SameMember`], [`Refusal::NobodyNamed`]; the file.
    pub fn sign_step<'a>(
        &mut self,
        prep: &str,
        key: &str,
        by: impl Into<Signer<'a>>,
    ) -> Result<Recorded, BookFault> {
        let by = by.into();
        let member = by.member;
        let facts = self.prep(prep)?;
        let instance = step_of(&facts, key)?;
        let rig = self.rig(&facts.rig)?;
        let code = self.code_given(&rig, by)?;
        let known = facts.step(key);
        let (StepState::Done, Some(done)) =
            (known.state(&facts.heard), known.standing(&facts.heard))
        else {
            return Self::refuse(Refusal::StepNotDone);
        };
        let at = subject(&facts);
        let look = self.second_look(&rig, At::Step(&facts.id, key), done, member, code)?;
        let mut record = vec![(
            at,
            Fact::StepSigned {
                key: key.to_owned(),
                look: look.clone(),
            },
        )];
        // What the step left on the rig is looked at with it.
        if let Some((at, left)) = evidence_of(&rig, facts.kind, instance)
            && left.author == done.author
        {
            let look = Look {
                of: self.reference(left)?,
                ..look
            };
            record.push((at, Fact::SecondLook { look }));
        }
        self.record_as(member, record)
    }

    /// Whether a member may look a second time at what was done, and how they did.
    pub(super) fn second_look(
        &self,
        rig: &RigFacts,
        at: At<'_>,
        done: &Seen,
        member: &str,
        code: bool,
    ) -> Result<Look, BookFault> {
        let members = self.members()?;
        let known = members.iter().any(|m| m.id == member);
        if !known || !rig.crew.named(member) || !rig.crew.named(&done.author) {
            return Self::refuse(Refusal::NobodyNamed);
        }
        let look = Look {
            of: self.reference(done)?,
            code,
            ..Look::default()
        };
        if rig.crew.person(member) != rig.crew.person(&done.author) {
            if rig.crew.signed_with == SignedWith::Phone && !self.is_phone_of(rig, member) {
                let name = self.name_of(member)?;
                return Self::refuse(Refusal::OtherPhone { name });
            }
            return Ok(look);
        }
        if !rig.crew.alone {
            return Self::refuse(Refusal::SameMember);
        }
        let (left, after_ms) = self.left_to_wait(done)?;
        if left > 0 {
            let minutes = left.saturating_add(59_999) / 60_000;
            return Self::refuse(Refusal::TooSoon { minutes });
        }
        match self.fresh_photo(rig, at, done)? {
            Some(photo) => Ok(Look {
                photo,
                after_ms,
                ..look
            }),
            None => Self::refuse(Refusal::FreshPhotoWanted),
        }
    }

    /// How long a crew of one still waits before it looks a second time at what was done, ms, none or less
    /// where it may; and how long ago that was, or this phone heard of it, by the clock of this phone that
    /// nobody can set, where it ran on since. Else the time of day and the order of everything both tell; of
    /// what another phone did, whose clocks tell nothing, this one's time of day since it heard of it.
    ///
    /// # Errors
    /// The file.
    pub fn left_to_wait(&self, done: &Seen) -> Result<(i64, Option<i64>), BookFault> {
        let now = self.now();
        let then = self.first_looks.borrow().at(&self.reference(done)?);
        let of_other = done.stamp.writer() != self.journal.device().into();
        let measured = self.here_and_now().zip(then);
        let measured = measured.and_then(|(now, then)| between(&then, &now, of_other));
        let by_events = now.wall_ms.max(now.newest.ms());
        let by_clocks = now
            .wall_ms
            .saturating_sub(done.wall_ms)
            .min(by_events.saturating_sub(done.stamp.hlc().ms()));
        // What this phone heard of before it kept notes: both clocks are all there is.
        let passed = measured.unwrap_or(by_clocks);
        let measured = measured.or(of_other.then_some(by_clocks));
        Ok((SECOND_LOOK_MS.saturating_sub(passed), measured))
    }

    /// Whether this is the member's own phone.
    pub fn is_phone_of(&self, rig: &RigFacts, member: &str) -> bool {
        let here = Stamp::new(Hlc::default(), self.journal.device(), 0);
        let owner = rig.crew.phone_of(&here);
        owner.is_some_and(|owner| rig.crew.person(owner) == rig.crew.person(member))
    }

    /// Whether the code that the crew asks for was given, and is the member's. Where it asks for
    /// none, or the look is a crew of one's, nothing is looked at.
    pub(super) fn code_given(&mut self, rig: &RigFacts, by: Signer<'_>) -> Result<bool, BookFault> {
        if rig.crew.signed_with != SignedWith::Code || rig.crew.alone {
            return Ok(false);
        }
        self.check_code(by.member, by.code)?;
        Ok(true)
    }

    /// A photo of what was done, first noted by who knew that it was, and at least as long after it as a
    /// second look is: by the clock of this phone that nobody can set, where it ran on since, else by both
    /// that can be. One that was there before, or that another look rests on, shows nothing of how it is now.
    ///
    /// # Errors
    /// The file.
    pub fn fresh_photo(
        &self,
        rig: &RigFacts,
        at: At<'_>,
        done: &Seen,
    ) -> Result<Option<String>, BookFault> {
        let Some(newest) = self.photo_notes(&rig.id, at, 1)?.pop() else {
            return Ok(None);
        };
        let Some((taken, wall_ms)) = self.first_noted(&newest.photo)? else {
            return Ok(None);
        };
        if !rig.heard.after(&taken, &done.stamp) {
            return Ok(None);
        }
        let moment = |stamp: &Stamp| -> Result<Option<Moment>, BookFault> {
            let found = (self.journal).run("finding a device", |db| written_at(db, stamp))?;
            Ok(found.and_then(|e| self.first_looks.borrow().at(&e.to_string())))
        };
        let of_other = done.stamp.writer() != taken.writer();
        let by_boot = moment(&taken)?
            .zip(moment(&done.stamp)?)
            .and_then(|(now, then)| between(&then, &now, of_other));
        let by_clocks = (wall_ms.saturating_sub(done.wall_ms))
            .min(taken.hlc().ms().saturating_sub(done.stamp.hlc().ms()));
        let fresh = by_boot.unwrap_or(by_clocks) >= SECOND_LOOK_MS;
        let spent = fresh && self.looked_with(&newest.photo)?;
        Ok((fresh && !spent).then_some(newest.photo))
    }

    /// The event in which a photo was first noted, anywhere, whether it was taken back or not; and its wall
    /// clock, ms.
    fn first_noted(&self, photo: &str) -> Result<Option<(Stamp, i64)>, BookFault> {
        Ok(self.journal.run("reading photo notes", |db| {
            db.prepare_cached(
                "SELECT d.key, e.seq, e.hlc, e.wall_ms FROM event e JOIN device d ON d.no = e.device \
                 WHERE e.kind = 'photo_taken' AND instr(CAST(e.body AS TEXT), ?1) \
                 ORDER BY e.hlc LIMIT 1",
            )?
            .query_row([photo], |r| {
                let (seq, hlc): (i64, i64) = (r.get(1)?, r.get(2)?);
                let stamp = Stamp::new(Hlc(hlc as u64), DeviceId(r.get(0)?), seq.unsigned_abs());
                Ok((stamp, r.get(3)?))
            })
            .optional()
        })?)
    }

    /// Whether a second look, at any rig, rests on the photo already.
    pub(super) fn looked_with(&self, photo: &str) -> Result<bool, BookFault> {
        let look = MarkKey::Look("").prefix();
        let loss = MarkKey::LossSigned("", "").prefix();
        let signed = MarkKey::Signed("").prefix();
        Ok(self.journal.run("reading looks", |db| {
            db.prepare_cached(
                "SELECT EXISTS (SELECT 1 FROM mark WHERE (key GLOB ?1 || '*' OR key GLOB ?2 || '*' \
                 OR key GLOB ?3 || '*') AND instr(value, ?4))",
            )?
            .query_row([&look, &loss, &signed, photo], |r| r.get(0))
        })?)
    }

    /// The reference of the event that says something.
    fn reference(&self, seen: &Seen) -> Result<String, BookFault> {
        let found = (self.journal).run("finding a device", |db| written_at(db, &seen.stamp))?;
        let reference = found.ok_or_else(|| BookFault::NotFound {
            what: "device",
            id: format!("{:02x?}", seen.stamp.writer().0),
        })?;
        Ok(reference.to_string())
    }
}

/// How long it was from one moment of this phone to a later one, ms, where that is known without the clocks of
/// what was recorded: of what another phone did, whose clocks tell nothing, by this one's time of day, too.
fn between(then: &Moment, now: &Moment, of_other: bool) -> Option<i64> {
    if of_other {
        then.until(now)
    } else {
        now.boot.since(then.boot)
    }
}

/// The enclosures whose plug is in and was seen there by one only.
pub fn plugs_unseen(rig: &RigFacts) -> Vec<&str> {
    rig.enclosures
        .iter()
        .filter(|e| plug_in(rig, e).is_some())
        .filter(|e| plug_word(rig, e).is_none())
        .map(|e| e.id.as_str())
        .collect()
}

/// What a step for two left on the rig: where, and what.
fn evidence_of<'a>(
    rig: &'a RigFacts,
    kind: ProcedureKind,
    instance: &StepInstance,
) -> Option<(String, &'a Seen)> {
    if is_walk_of(kind, instance) {
        return Some((rig.id.clone(), rig.walked.as_ref()?));
    }
    match (&instance.target, instance.step.kind) {
        (Target::Enclosure { enclosure }, StepKind::Plug) => Some((
            At::Enclosure(enclosure).of(&rig.id),
            plug_of(rig, rig.enclosure(enclosure)?)?,
        )),
        _ => None,
    }
}
