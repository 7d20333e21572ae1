//! The crew: who is in it, under which name, and who is who.

use std::fmt;
use std::sync::Arc;

use super::super::code;
use super::super::crew::{ALONE, Known, joined_as, name_keys, names_nobody, shown_names};
use super::super::facts::{CodeHash, Fact, Role};
use super::super::names;
use super::super::rig::{RigFault, Wrong};
use super::super::state;
use super::super::subject::{At, CREW};
use super::note::Note;
use super::{Book, BookFault, Recorded, Refusal};
use rusqlite::OptionalExtension;
use slackwater_journal::{BootTime, Hlc, Stamp};

/// Fewest characters of a member's own code.
pub const CODE_LEAST: usize = 4;

/// A crew member.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// Id.
    pub id: String,
    /// Name as it is shown: told apart where a merge brought two that read alike.
    pub name: String,
    /// Name as it was given.
    pub given: String,
    /// What they do.
    pub role: Role,
    /// No longer in the crew.
    pub retired: bool,
    /// Stands for the same person as this other entry, and is shown under it.
    pub joined_to: Option<String>,
}

impl Book {
    /// Who is in the crew, by name: nobody who left, and each person once.
    ///
    /// # Errors
    /// The file.
    pub fn members(&self) -> Result<Arc<Vec<Member>>, BookFault> {
        if let Some(members) = &*self.members.borrow() {
            return Ok(members.clone());
        }
        let mut all = self.all_members()?;
        all.retain(|m| !m.retired && m.joined_to.is_none() && !names_nobody(&m.given));
        let members = Arc::new(all);
        *self.members.borrow_mut() = Some(members.clone());
        Ok(members)
    }

    /// Everyone who ever was in the crew, by name.
    ///
    /// # Errors
    /// The file.
    pub fn all_members(&self) -> Result<Vec<Member>, BookFault> {
        let (rows, joined) = self.journal.run("reading the crew", state::load_members)?;
        let known: Vec<Known> = rows.iter().map(|(known, _)| known.clone()).collect();
        let joined = joined_as(&joined);
        let names = shown_names(&known, &joined);
        // Where the entry that stands for a person left, another of theirs is shown.
        let is_in = |id: &str| known.iter().any(|k| k.id == id && !k.retired);
        let mut members: Vec<Member> = rows
            .into_iter()
            .map(|(known, role)| Member {
                name: names.get(&known.id).cloned().unwrap_or_default(),
                role: serde_json::from_str(&role).unwrap_or(Role::Other),
                joined_to: joined.get(&known.id).filter(|id| is_in(id)).cloned(),
                retired: known.retired,
                given: known.name,
                id: known.id,
            })
            .collect();
        members.sort_by_key(|m| (m.name.to_lowercase(), m.id.clone()));
        Ok(members)
    }

    /// Adds a member. Gives the id.
    ///
    /// # Errors
    /// A name that is empty, too long, taken, or nobody's; the file.
    pub fn add_member(&mut self, name: &str, role: Role) -> Result<String, BookFault> {
        let name = self.free_name(name, None)?;
        let id = self.make_id();
        let mut record = vec![(At::Named(&id).of(CREW), Fact::MemberDefined { name, role })];
        // Two are no crew of one.
        if self.choices()?.get(ALONE).is_some_and(|v| v == "yes") && !self.members()?.is_empty() {
            record.push((
                CREW.to_owned(),
                Fact::CrewChose {
                    choice: ALONE.to_owned(),
                    value: "no".to_owned(),
                },
            ));
        }
        self.record(record)?;
        Ok(id)
    }

    /// Gives a member another name or role.
    ///
    /// # Errors
    /// As [`Book::add_member`]; no such member.
    pub fn change_member(
        &mut self,
        member: &str,
        name: &str,
        role: Role,
    ) -> Result<Recorded, BookFault> {
        self.known_member(member)?;
        let name = self.free_name(name, Some(member))?;
        let fact = Fact::MemberDefined { name, role };
        self.record(vec![(At::Named(member).of(CREW), fact)])
    }

    /// Records that a member left the crew, or came back. What they signed stands.
    ///
    /// # Errors
    /// No such member; who comes back under a name that was taken since; the file.
    pub fn retire_member(&mut self, member: &str, retired: bool) -> Result<Recorded, BookFault> {
        let known = self.known_member(member)?;
        if !retired {
            self.free_name(&known.given, Some(member))?;
        }
        let fact = Fact::MemberRetired { retired };
        let recorded = self.record(vec![(At::Named(member).of(CREW), fact)])?;
        if retired && self.me == member {
            self.set_local(Note::Me, "")?;
            self.me.clear();
        }
        Ok(recorded)
    }

    /// Records that two entries are one person: they can't sign for each other any more. It can't
    /// be taken back.
    ///
    /// # Errors
    /// No such member, or the same twice; the file.
    pub fn join_members(&mut self, member: &str, other: &str) -> Result<Recorded, BookFault> {
        self.known_member(member)?;
        self.known_member(other)?;
        if member == other {
            return Err(BookFault::NotFound {
                what: "other member",
                id: other.to_owned(),
            });
        }
        let fact = Fact::MembersJoined {
            other: other.to_owned(),
        };
        let recorded = self.record(vec![(At::Named(member).of(CREW), fact)])?;
        // The phone stays with the person, under the entry that stands for them.
        let all = self.all_members()?;
        let stands = (all.iter().find(|m| m.id == self.me)).and_then(|m| m.joined_to.clone());
        if let Some(id) = stands {
            self.hold_phone(&id)?;
        }
        Ok(recorded)
    }

    /// The name of a member, as shown; empty where there is none.
    ///
    /// # Errors
    /// The file.
    pub(super) fn name_of(&self, member: &str) -> Result<String, BookFault> {
        let all = self.all_members()?;
        let found = all.into_iter().find(|m| m.id == member);
        Ok(found.map(|m| m.name).unwrap_or_default())
    }

    /// Records that this phone is the own one of who holds it.
    ///
    /// # Errors
    /// [`Refusal::NobodyNamed`]; the file.
    pub fn own_phone(&mut self) -> Result<Recorded, BookFault> {
        if self.me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        let member = self.me.clone();
        let device = self.journal.device();
        self.record(vec![(
            At::Phone(&device.to_string()).of(CREW),
            Fact::PhoneOf { member },
        )])
    }

    /// Member id of whose own phone this is; none where nobody said.
    ///
    /// # Errors
    /// The file.
    pub fn phone_owner(&self) -> Result<Option<String>, BookFault> {
        let heard = self.journal.heard()?;
        let crew = (self.journal).run("reading the crew", |db| state::load_crew(db, &heard))?;
        let here = Stamp::new(Hlc::default(), self.journal.device(), 0);
        Ok(crew.phone_of(&here).map(str::to_owned))
    }

    /// A member's code as it is kept.
    ///
    /// # Errors
    /// The file.
    pub fn code_of(&self, member: &str) -> Result<Option<CodeHash>, BookFault> {
        let subject = At::Named(member).to_string();
        let found: Option<String> = self.journal.run("reading a code", |db| {
            db.prepare_cached(
                "SELECT value FROM mark WHERE rig = 'crew' AND subject = ?1 AND key = 'code' \
                 AND last",
            )?
            .query_row([&subject], |r| r.get(0))
            .optional()
        })?;
        Ok(found.and_then(|text| serde_json::from_str(&text).ok()))
    }

    /// Sets the own code of who holds the phone; where there is one, `old` is asked for.
    ///
    /// # Errors
    /// [`Refusal::NobodyNamed`], [`Refusal::CodeShort`], as [`Book::check_code`] for the old one;
    /// the file.
    pub fn set_code(&mut self, code: &str, old: &str) -> Result<Recorded, BookFault> {
        let me = self.me.clone();
        if me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        if self.code_of(&me)?.is_some() {
            self.check_code(&me, old)?;
        }
        if code.trim().chars().count() < CODE_LEAST {
            return Self::refuse(Refusal::CodeShort);
        }
        let mut salt = [0; 16];
        self.journal.env().entropy.fill(&mut salt);
        let code = code::keep(code, &salt);
        self.record(vec![(At::Named(&me).of(CREW), Fact::CodeSet { code })])
    }

    /// Checks a member's own code: a few tries, then a wait that doubles.
    ///
    /// # Errors
    /// [`Refusal::NoCode`], [`Refusal::CodeWait`], [`Refusal::CodeWrong`]; the file.
    pub fn check_code(&mut self, member: &str, typed: &str) -> Result<(), BookFault> {
        let Some(kept) = self.code_of(member)? else {
            let name = self.name_of(member)?;
            return Self::refuse(Refusal::NoCode { name });
        };
        let note = Note::Tries(member);
        let tried = Tried::parse(&self.local(note)?.unwrap_or_default());
        let now = self.now();
        let left = code::wait_ms(tried.times)
            .saturating_sub(tried.ago_ms(now.wall_ms, now.boot))
            // A clock set back leaves nobody waiting for longer than the wait is.
            .min(code::wait_ms(tried.times));
        if left > 0 {
            let minutes = left.saturating_add(59_999) / 60_000;
            return Self::refuse(Refusal::CodeWait { minutes });
        }
        if code::is_right(&kept, typed) {
            self.set_local(note, "")?;
            return Ok(());
        }
        let tried = Tried {
            times: tried.times + 1,
            wall_ms: now.wall_ms,
            boot: now.boot,
        };
        self.set_local(note, &tried.to_string())?;
        Self::refuse(Refusal::CodeWrong)
    }

    fn known_member(&self, member: &str) -> Result<Member, BookFault> {
        (self.all_members()?.into_iter())
            .find(|m| m.id == member)
            .ok_or_else(|| BookFault::NotFound {
                what: "member",
                id: member.to_owned(),
            })
    }

    /// A name that may be given: something to see, not nobody's, and nobody else's in the crew.
    fn free_name(&self, name: &str, own: Option<&str>) -> Result<String, BookFault> {
        let wrong = |why: Wrong| {
            let at = "name".into();
            Err(BookFault::Rig(vec![RigFault { at, why }]))
        };
        let Some(name) = names::visible(name).filter(|n| names::is_name(n)) else {
            return wrong(Wrong::of_name(name));
        };
        if names_nobody(&name) {
            return wrong(Wrong::NamesNobody);
        }
        let keys = name_keys(&name);
        let members = self.members()?;
        let alike = |other: &str| name_keys(other).iter().any(|k| keys.contains(k));
        let taken = |m: &&Member| Some(m.id.as_str()) != own && (alike(&m.given) || alike(&m.name));
        match members.iter().find(taken) {
            Some(other) => wrong(Wrong::NameTaken(other.name.clone())),
            None => Ok(name),
        }
    }
}

/// Wrong tries of a member's code on this phone, as noted in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Tried {
    times: u32,
    /// When the last was, by the time of day, ms since 1970 UTC.
    wall_ms: i64,
    /// The same by the boot clock.
    boot: Option<BootTime>,
}

impl Tried {
    /// How long ago the last was, ms: by the boot clock, which nobody can set. After a restart it is as
    /// long as the phone has been on since.
    fn ago_ms(self, wall_ms: i64, boot: Option<BootTime>) -> i64 {
        match (self.boot, boot) {
            (Some(then), Some(now)) => {
                now.since(then)
                    .unwrap_or(if now.id == then.id { 0 } else { now.ms })
            }
            _ => wall_ms.saturating_sub(self.wall_ms),
        }
    }

    /// From its form in the file; an empty note, and any that can't be read, is no try.
    fn parse(note: &str) -> Tried {
        let mut parts = note.split(' ');
        let mut number = || parts.next().and_then(|p| p.parse::<i64>().ok());
        let times = number().and_then(|n| u32::try_from(n).ok()).unwrap_or(0);
        let wall_ms = number().unwrap_or(i64::MIN);
        let boot = BootTime::from_words(parts);
        Tried {
            times,
            wall_ms,
            boot,
        }
    }
}

impl fmt::Display for Tried {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.times, self.wall_ms)?;
        match self.boot {
            Some(boot) => write!(f, " {boot}"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_journal::BootId;

    #[test]
    fn the_wait_after_a_wrong_code_runs_by_a_clock_that_nobody_sets() {
        let at = |id, ms| {
            let id = BootId(id);
            Some(BootTime { id, ms })
        };
        let tried = Tried {
            times: 3,
            wall_ms: 1_000_000,
            boot: at(171, 500),
        };
        assert_eq!(tried.to_string(), "3 1000000 00000000000000ab 500");
        assert_eq!(Tried::parse(&tried.to_string()), tried);
        // Set ahead by a day, it is still a second ago.
        assert_eq!(tried.ago_ms(87_400_000, at(171, 1_500)), 1_000);
        assert_eq!(tried.ago_ms(87_400_000, at(172, 30_000)), 30_000);
        // As it was noted before there was a boot clock.
        assert_eq!(
            Tried::parse("3 1000000").ago_ms(1_060_000, at(171, 1)),
            60_000
        );
        assert_eq!(Tried::parse("").times, 0);
    }
}
