//! The crew's box of rings, and what comes of it: rings fitted, found bad, planned for.

use chrono::DateTime;

use super::super::facts::{Fact, Finding, RingLot, RingMade, Shoot};
use super::super::names;
use super::super::rig::{RigFault, Wrong};
use super::super::rules::age::CLOCK_SLACK_MS;
use super::super::rules::faulty;
use super::super::spares;
use super::super::state::{self, BoxLot};
use super::super::subject::{At, CREW};
use super::{Book, BookFault, Recorded, Refusal};
use slackwater_journal::EventRef;
use slackwater_physics::oring;

/// 1940-01-01: the o-ring's patent is of the year before (from memory). ms since 1970 UTC.
const FIRST_RINGS_MS: i64 = -946_771_200_000;

/// Most rings of a lot.
pub const RINGS_MAX: u32 = 10_000;

/// A ring that goes into a seal.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewRing {
    /// Lot in the box; its pack and cure date stand for the two below.
    pub lot: Option<String>,
    /// From which pack.
    pub pack: String,
    /// Cure date as printed, or empty.
    pub cured: String,
    /// What was found on the ring that came out.
    pub found: Option<Finding>,
}

/// What goes into a seal that was taken out, looked at, cleaned and greased.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refit {
    /// The ring that came out.
    Same {
        /// What was found on it. A ring that must not go back is recorded as being in it still.
        finding: Finding,
        /// Free text.
        note: String,
    },
    /// A new one.
    New(NewRing),
}

impl Book {
    /// The rings in the crew's box.
    ///
    /// # Errors
    /// The file.
    pub fn ring_box(&self) -> Result<Vec<BoxLot>, BookFault> {
        let heard = self.journal.heard()?;
        Ok(self
            .journal
            .run("reading the box", |db| state::load_box(db, &heard))?)
    }

    /// A lot in the box.
    ///
    /// # Errors
    /// No such lot; the file.
    pub fn box_lot(&self, lot: &str) -> Result<BoxLot, BookFault> {
        self.ring_box()?
            .into_iter()
            .find(|l| l.id == lot)
            .ok_or_else(|| BookFault::NotFound {
                what: "lot in the box",
                id: lot.to_owned(),
            })
    }

    /// Puts rings in the box: to the lot that is the same in all, or as a new one. Gives its id.
    ///
    /// # Errors
    /// A size that is none, a material not known, a cure date that is none or lies ahead, a count
    /// below 1 or above [`RINGS_MAX`], each at its field; the file.
    pub fn stock_rings(
        &mut self,
        lot: RingLot,
        count: u32,
    ) -> Result<(String, Recorded), BookFault> {
        let lot = RingLot {
            size: lot.size.trim().to_owned(),
            material: lot.material.trim().to_owned(),
            pack: lot.pack.trim().to_owned(),
            cured: lot.cured.trim().to_owned(),
            ..lot
        };
        let mut faults = Vec::new();
        let mut fault = |at: &str, why: Wrong| {
            faults.push(RigFault {
                at: at.to_owned(),
                why,
            });
        };
        if let Err(e) = oring::size(&lot.size) {
            fault("size", e.into());
        }
        if !lot.material.is_empty()
            && let Err(e) = oring::material(&lot.material)
        {
            fault("material", e.into());
        }
        if lot.hardness_shore_a > 100 {
            fault("hardness", Wrong::count(0, 100));
        }
        if let Err(why) = self.cured_is_past(&lot.cured) {
            fault("cured", why);
        }
        if lot.pack.chars().count() > super::super::rig::NAME_MAX {
            fault("pack", Wrong::TooLong(super::super::rig::NAME_MAX));
        }
        if let Some(why) = wrong_count(count, 1) {
            fault("count", why);
        }
        if !faults.is_empty() {
            return Err(BookFault::Rig(faults));
        }
        let same = self.ring_box()?.into_iter().find(|l| {
            oring::same_size(&l.lot.size, &lot.size)
                && oring::same_material(&l.lot.material, &lot.material)
                && l.lot.hardness_shore_a == lot.hardness_shore_a
                && l.lot.pack == lot.pack
                && l.lot.cured == lot.cured
        });
        let (id, lot) = match same {
            Some(known) => (known.id, known.lot),
            None => (self.make_id(), lot),
        };
        let recorded = self.record(vec![(
            At::Lot(&id).of(CREW),
            Fact::RingsStocked { lot, count },
        )])?;
        Ok((id, recorded))
    }

    /// Takes rings out of the box that are not fitted.
    ///
    /// # Errors
    /// [`Refusal::BoxLacks`]; a count that can't be; no such lot; the file.
    pub fn take_rings(&mut self, lot: &str, count: u32, note: &str) -> Result<Recorded, BookFault> {
        let known = self.box_lot(lot)?;
        if let Some(why) = wrong_count(count, 1) {
            return Err(count_fault(why));
        }
        if i64::from(count) > known.count {
            return Self::refuse(Refusal::BoxLacks {
                size: known.lot.size,
                have: known.count.max(0) as usize,
            });
        }
        self.record(vec![(
            At::Lot(lot).of(CREW),
            Fact::RingsTaken {
                count,
                note: note.trim().to_owned(),
            },
        )])
    }

    /// Records how many rings of a lot there are, whatever was put in and taken before.
    ///
    /// # Errors
    /// A count that can't be; no such lot; the file.
    pub fn count_rings(&mut self, lot: &str, count: u32) -> Result<Recorded, BookFault> {
        self.box_lot(lot)?;
        if let Some(why) = wrong_count(count, 0) {
            return Err(count_fault(why));
        }
        self.record(vec![(At::Lot(lot).of(CREW), Fact::RingsCounted { count })])
    }

    /// Records what went back into a seal, with the enclosure open: the same ring, or a new one,
    /// which is taken out of the box if it is from there. With a prep and its step the step is done
    /// by it, unless a ring went back that must not.
    ///
    /// # Errors
    /// [`Refusal::EnclosureClosed`], [`Refusal::BoxLacks`]; a cure date that is none or lies ahead;
    /// of the step as [`Book::do_step`]; no such seal or lot; the file.
    pub fn refit_seal(
        &mut self,
        rig: &str,
        seal: &str,
        refit: Refit,
        step: Option<(&str, &str)>,
    ) -> Result<Recorded, BookFault> {
        self.seal_is_reachable(rig, seal)?;
        let mut serviced = true;
        let fact = match refit {
            Refit::Same { finding, note } if finding.needs_new_ring() => {
                serviced = false;
                Fact::SealFaulty { finding, note }
            }
            Refit::Same { finding, note } => Fact::SealServiced { finding, note },
            Refit::New(ring) => {
                let (pack, cured, made) = match &ring.lot {
                    Some(lot) => {
                        let known = self.box_lot(lot)?;
                        if known.count < 1 {
                            return Self::refuse(Refusal::BoxLacks {
                                size: known.lot.size,
                                have: 0,
                            });
                        }
                        let made = RingMade {
                            size: known.lot.size,
                            material: known.lot.material,
                            hardness_shore_a: known.lot.hardness_shore_a,
                        };
                        (known.lot.pack, known.lot.cured, Some(made))
                    }
                    None => (ring.pack, ring.cured, None),
                };
                self.check_cured(&cured)?;
                Fact::SealFitted {
                    pack,
                    cured: cured.trim().to_owned(),
                    fitted_ms: None,
                    lot: ring.lot,
                    found: ring.found,
                    ring: made,
                }
            }
        };
        let mut facts = vec![(At::Seal(seal).of(rig), fact)];
        if let Some((prep, key)) = step.filter(|_| serviced) {
            facts.extend(self.seal_step_done(prep, key, seal)?);
        }
        self.record(facts)
    }

    /// Records that another member than who found the ring bad looked again, with the enclosure open,
    /// and that it wasn't so. Answers every finding that this phone knows of and that stands.
    ///
    /// # Errors
    /// [`Refusal::NotFaulty`], [`Refusal::NobodyNamed`], [`Refusal::SameMember`],
    /// [`Refusal::ReasonWanted`], [`Refusal::EnclosureClosed`]; no such seal; the file.
    pub fn look_again(&mut self, rig: &str, seal: &str, note: &str) -> Result<Recorded, BookFault> {
        self.seal_is_reachable(rig, seal)?;
        let facts = self.rig(rig)?;
        let known = facts.seal(seal).filter(|s| faulty(&facts, s).is_some());
        let Some(known) = known else {
            return Self::refuse(Refusal::NotFaulty);
        };
        if self.me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        if names::visible(note).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        let mut record = Vec::new();
        for reference in &known.findings {
            let parsed: Option<EventRef> = reference.parse().ok();
            let event = match parsed {
                Some(parsed) => self.journal.event(&parsed)?,
                None => None,
            };
            let crew = &facts.crew;
            if event.is_none_or(|e| crew.person(&e.author) == crew.person(&self.me)) {
                return Self::refuse(Refusal::SameMember);
            }
            record.push((
                At::Seal(seal).of(rig),
                Fact::SealLookedAgain {
                    event: reference.clone(),
                    note: note.trim().to_owned(),
                },
            ));
        }
        self.record(record)
    }

    /// Plans a shoot of a rig; it stands in for the one before.
    ///
    /// # Errors
    /// A plan that can't be, field by field; no such rig; the file.
    pub fn plan_shoot(&mut self, rig: &str, shoot: Shoot) -> Result<Recorded, BookFault> {
        self.rig(rig)?;
        let first = spares::check(&shoot).map_err(BookFault::Rig)?;
        let shoot = Shoot {
            first_day: first.to_string(),
            ..shoot
        };
        self.record(vec![(rig.to_owned(), Fact::ShootPlanned { shoot })])
    }

    /// Refuses a cure date that is none or lies ahead.
    pub(super) fn check_cured(&self, cured: &str) -> Result<(), BookFault> {
        self.cured_is_past(cured).map_err(|why| {
            BookFault::Rig(vec![RigFault {
                at: "cured".into(),
                why,
            }])
        })
    }

    /// Refuses a day since which a ring is in use that lies ahead, or before there were such rings.
    pub(super) fn check_in_use(&self, at_ms: i64) -> Result<(), BookFault> {
        let now = self.now();
        let latest = now.wall_ms.max(now.newest.ms()).max(now.latest_seen.0);
        let why = if at_ms > latest.saturating_add(CLOCK_SLACK_MS) {
            Wrong::UsedAhead
        } else if at_ms < FIRST_RINGS_MS {
            Wrong::UsedTooLong
        } else {
            return Ok(());
        };
        Err(BookFault::Rig(vec![RigFault {
            at: "days".into(),
            why,
        }]))
    }

    fn cured_is_past(&self, cured: &str) -> Result<(), Wrong> {
        if cured.trim().is_empty() {
            return Ok(());
        }
        let day = oring::cure_date(cured)?;
        let now = self.now();
        let ms = now.wall_ms.max(now.newest.ms()).max(now.latest_seen.0);
        // East of here it is tomorrow already.
        let latest = DateTime::from_timestamp_millis(ms.saturating_add(86_400_000));
        if latest.is_some_and(|t| day > t.date_naive()) {
            return Err(Wrong::CuredAhead(cured.to_owned()));
        }
        Ok(())
    }
}

fn wrong_count(count: u32, least: u32) -> Option<Wrong> {
    (!(least..=RINGS_MAX).contains(&count)).then(|| Wrong::count(least, RINGS_MAX))
}

fn count_fault(why: Wrong) -> BookFault {
    BookFault::Rig(vec![RigFault {
        at: "count".into(),
        why,
    }])
}
