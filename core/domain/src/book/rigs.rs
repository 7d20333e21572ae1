//! What is done to a rig: made, edited, opened, closed, serviced, tested, dived.

use super::super::crew::Look;
use super::super::facts::{Fact, Finding};
use super::super::fold;
use super::super::names;
use super::super::rig::{
    Enclosure, LensConfig, Part, RigDef, Seal, Wrong, out_of_range, templates,
};
use super::super::rules::{
    closed_since, counting_hold, in_use, judged_by, losses, losses_of_ring, losses_unheard,
    made_by, needs_service, to_look_into, went_in_open,
};
use super::super::signed::is_plug_step;
use super::super::state::{self, EnclosureFacts, HoldFacts, RigFacts, StepState};
use super::super::subject::{At, CREW};
use super::{
    Book, BookFault, NewRing, Recorded, Refit, Refusal, Signer, enclosure_def, took_away, waits_for,
};
use slackwater_journal::store::events_of_subject;
use slackwater_physics::oring;

/// An enclosure that an edit took off a rig.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenOff {
    /// As it was when it was taken off.
    pub enclosure: Enclosure,
    /// When, as the clock of the phone showed that did it, ms since 1970 UTC.
    pub wall_ms: i64,
    /// Another bears its id by now, under this name: it can't come back beside that one.
    pub in_use_by: Option<String>,
    /// The rig with it put back.
    pub put_back: RigDef,
    /// The names of what doesn't come back with it, since something else bears its id by now.
    pub left_out: Vec<String>,
}

/// So many of an enclosure's last holds are looked through for the figures that they were judged by.
const HOLDS_LOOKED_AT: u32 = 500;

/// A dive to be logged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NewDive<'a> {
    /// Deepest, m.
    pub depth_m: f64,
    /// Minutes.
    pub minutes: f64,
    /// Free text.
    pub note: &'a str,
    /// Salinity of the water, g/kg.
    pub salinity_g_kg: f64,
    /// Whether the rig is up already, or goes in now; none where nobody said.
    pub up: Option<bool>,
}

impl Book {
    /// Makes a rig. Gives its id.
    ///
    /// # Errors
    /// A definition that makes no sense, fault by fault; the file.
    pub fn create_rig(&mut self, def: RigDef, from: &str) -> Result<String, BookFault> {
        def.validate().map_err(BookFault::Rig)?;
        let id = self.make_id();
        let fact = Fact::RigDefined {
            rig: Box::new(def),
            from: from.to_owned(),
        };
        self.record(vec![(id.clone(), fact)])?;
        Ok(id)
    }

    /// Makes a rig from a template.
    ///
    /// # Errors
    /// No such template; a wrong name; the file.
    pub fn create_from_template(
        &mut self,
        template: &str,
        name: &str,
    ) -> Result<String, BookFault> {
        let found = templates()
            .iter()
            .find(|t| t.id == template)
            .ok_or_else(|| BookFault::NotFound {
                what: "template",
                id: template.to_owned(),
            })?;
        let def = RigDef {
            name: names::visible(name).unwrap_or_default(),
            ..found.rig.clone()
        };
        self.create_rig(def, &format!("template {template}"))
    }

    /// Copies a rig's definition under a new name. What was proved of the one says nothing of the
    /// other.
    ///
    /// # Errors
    /// No such rig; a wrong name; the file.
    pub fn copy_rig(&mut self, rig: &str, name: &str) -> Result<String, BookFault> {
        let def = RigDef {
            name: names::visible(name).unwrap_or_default(),
            ..self.rig(rig)?.def.clone()
        };
        self.create_rig(def, &format!("{}{rig}", state::COPY_OF))
    }

    /// Replaces a rig's definition; the old one stays in the journal. What it takes away from a rig
    /// that is in use is news that a second member signs for.
    ///
    /// # Errors
    /// As [`Book::create_rig`].
    pub fn edit_rig(&mut self, rig: &str, def: RigDef) -> Result<Recorded, BookFault> {
        let before = self.rig(rig)?;
        def.validate().map_err(BookFault::Rig)?;
        let judged = self.judged_since(&before, &def)?;
        self.record(edited(&before, def, rig, &judged))
    }

    /// The holds that an edit of a volume is measured against ([`judged_by`]); none where no volume changes.
    fn judged_since(&self, before: &RigFacts, after: &RigDef) -> Result<Vec<HoldFacts>, BookFault> {
        let figures = |e: &Enclosure| (e.volume_l, e.volume_sd_l);
        let changes = |e: &&Enclosure| {
            let new = after.enclosure(&e.id);
            new.is_some_and(|new| figures(new) != figures(e))
        };
        let mut judged = Vec::new();
        for e in before.def.enclosures.iter().filter(changes) {
            let holds = self.journal.run("reading earlier holds", |db| {
                state::load_holds(db, &before.id, &e.id, HOLDS_LOOKED_AT)
            })?;
            judged.extend(holds.into_iter().filter(|h| judged_by(before, h)));
        }
        Ok(judged)
    }

    /// The enclosures that were on a rig once and are not now, the last taken off first: each as the last
    /// definition says that had it.
    ///
    /// # Errors
    /// No such rig; the file.
    pub fn taken_off(&self, rig: &str) -> Result<Vec<TakenOff>, BookFault> {
        let now = &self.rig(rig)?.def;
        let defined = self.journal.run("reading earlier definitions", |db| {
            events_of_subject(db, rig, Some("rig_defined"), u32::MAX)
        })?;
        let mut found: Vec<TakenOff> = Vec::new();
        // Newest first: what each definition has and the one after it has not was taken off by that one.
        let mut after: Option<(RigDef, i64)> = None;
        // Those that are on the rig, as they were when they last came onto it.
        let mut came: Vec<Enclosure> = now.enclosures.clone();
        let mut looked: Vec<String> = Vec::new();
        for event in &defined {
            let Fact::RigDefined { rig: def, .. } = fold::fact_of(event) else {
                continue;
            };
            for e in &def.enclosures {
                if looked.contains(&e.id) {
                    continue;
                }
                let gone = (after.as_ref()).filter(|(a, _)| a.enclosure(&e.id).is_none());
                let Some((_, wall_ms)) = gone else {
                    if let Some(c) = came.iter_mut().find(|c| c.id == e.id) {
                        c.clone_from(e);
                    }
                    continue;
                };
                looked.push(e.id.clone());
                let there = came.iter().find(|c| c.id == e.id);
                // One that was put back came as it had gone; one that was made anew came with nothing that
                // opens it.
                if there.is_some_and(|c| !c.closures.is_empty() || e.closures.is_empty()) {
                    continue;
                }
                let (put_back, left_out) = with_put_back(now, &def, e);
                found.push(TakenOff {
                    enclosure: e.clone(),
                    wall_ms: *wall_ms,
                    in_use_by: now.enclosure(&e.id).map(|n| n.name.clone()),
                    put_back,
                    left_out,
                });
            }
            after = Some((*def, event.wall_ms));
        }
        Ok(found)
    }

    /// Puts an enclosure back onto a rig as it was when it was taken off, with what went with it. It is new to
    /// the rig: nothing that was proved before counts. Gives the names of what could not come along.
    ///
    /// # Errors
    /// No such enclosure, or another bears its id; as [`Book::edit_rig`].
    pub fn put_back(
        &mut self,
        rig: &str,
        enclosure: &str,
    ) -> Result<(Recorded, Vec<String>), BookFault> {
        let all = self.taken_off(rig)?;
        let one = (all.into_iter()).find(|t| t.enclosure.id == enclosure && t.in_use_by.is_none());
        let one = one.ok_or_else(|| BookFault::NotFound {
            what: "enclosure",
            id: enclosure.to_owned(),
        })?;
        Ok((self.edit_rig(rig, one.put_back)?, one.left_out))
    }

    /// Retires a rig, or takes it back into use.
    ///
    /// # Errors
    /// No such rig; the file.
    pub fn retire_rig(&mut self, rig: &str, retired: bool) -> Result<Recorded, BookFault> {
        self.rig(rig)?;
        self.record(vec![(rig.to_owned(), Fact::RigRetired { retired })])
    }

    /// Records an opening. What it takes away, also from a prep, is said by [`super::super::rules`].
    ///
    /// # Errors
    /// No such enclosure or closure; the file.
    pub fn open_closure(
        &mut self,
        rig: &str,
        enclosure: &str,
        closure: Option<&str>,
    ) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let e = enclosure_def(&facts.def, enclosure)?;
        if let Some(c) = closure
            && !e.closures.iter().any(|x| x.id == c)
        {
            return Err(BookFault::NotFound {
                what: "closure",
                id: c.to_owned(),
            });
        }
        self.record(vec![(
            At::Enclosure(enclosure).of(rig),
            Fact::Opened {
                closure: closure.map(str::to_owned),
            },
        )])
    }

    /// Records that an enclosure was closed.
    ///
    /// # Errors
    /// It is closed already; no such enclosure; the file.
    pub fn close_enclosure(&mut self, rig: &str, enclosure: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let e = enclosure_def(&facts.def, enclosure)?;
        if self.is_closed(&facts, enclosure) {
            return Self::refuse(Refusal::EnclosureClosed {
                enclosure: e.name.clone(),
            });
        }
        self.record(vec![(At::Enclosure(enclosure).of(rig), Fact::Closed {})])
    }

    /// Records that the plug was refitted on a proved enclosure.
    ///
    /// # Errors
    /// [`Refusal::HoldRunning`], [`Refusal::NotProved`], [`Refusal::NobodyNamed`]; no such
    /// enclosure; the file.
    pub fn plug_on(&mut self, rig: &str, enclosure: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let e = enclosure_def(&facts.def, enclosure)?;
        // Another looks at it a second time: at whose?
        if self.me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        if let Some(known) = facts.enclosure(enclosure)
            && counting_hold(&facts, known).is_err()
        {
            let running = known
                .holds
                .first()
                .is_some_and(|h| h.concluded.is_none() && h.abandoned.is_none());
            let enclosure = e.name.clone();
            return Self::refuse(if running {
                Refusal::HoldRunning { enclosure }
            } else {
                Refusal::NotProved { enclosure }
            });
        }
        self.record(vec![(At::Enclosure(enclosure).of(rig), Fact::PlugOn {})])
    }

    /// As [`Book::plug_on`], and ticks the step of the prep under way that asks for it, where its turn has
    /// come: it isn't asked for a second time.
    ///
    /// # Errors
    /// As [`Book::plug_on`].
    pub fn refit_plug(&mut self, rig: &str, enclosure: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let due = facts.prep.as_ref().filter(|p| p.ended.is_none());
        let due = due.and_then(|p| {
            let mut steps = p.steps.iter();
            let step = steps.find(|s| {
                is_plug_step(s, enclosure)
                    && p.state(&s.key) == StepState::Open
                    && waits_for(p, s).is_empty()
            })?;
            Some((p.id.clone(), step.key.clone()))
        });
        match due {
            Some((prep, step)) => self.do_step(&prep, &step, ""),
            None => self.plug_on(rig, enclosure),
        }
    }

    /// Records that the plug was taken off.
    ///
    /// # Errors
    /// No such enclosure; the file.
    pub fn plug_off(&mut self, rig: &str, enclosure: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        enclosure_def(&facts.def, enclosure)?;
        self.record(vec![(At::Enclosure(enclosure).of(rig), Fact::PlugOff {})])
    }

    /// Records a seal's service with the enclosure open.
    ///
    /// # Errors
    /// [`Refusal::EnclosureClosed`]; [`Refusal::RingMustBeReplaced`] where the finding is damage
    /// that cleaning doesn't mend; the file.
    pub fn service_seal(
        &mut self,
        rig: &str,
        seal: &str,
        finding: Finding,
        note: &str,
    ) -> Result<Recorded, BookFault> {
        self.seal_is_reachable(rig, seal)?;
        if finding.needs_new_ring() {
            return Self::refuse(Refusal::RingMustBeReplaced);
        }
        let fact = Fact::SealServiced {
            finding,
            note: note.to_owned(),
        };
        self.record(vec![(At::Seal(seal).of(rig), fact)])
    }

    /// Records a new ring, cleaned and greased. With `fitted_ms` it only says since when the ring
    /// that is there has been in use.
    ///
    /// # Errors
    /// [`Refusal::EnclosureClosed`] for a ring fitted now; a cure date that is none or lies ahead,
    /// or lies after the day since which the ring is in use; a day that lies ahead, or so long ago that
    /// no such ring was made; the file.
    pub fn fit_seal(
        &mut self,
        rig: &str,
        seal: &str,
        pack: &str,
        cured: &str,
        fitted_ms: Option<i64>,
    ) -> Result<Recorded, BookFault> {
        let Some(at_ms) = fitted_ms else {
            let ring = NewRing {
                pack: pack.to_owned(),
                cured: cured.to_owned(),
                ..NewRing::default()
            };
            return self.refit_seal(rig, seal, Refit::New(ring), None);
        };
        seal_def(&self.rig(rig)?.def, seal)?;
        let cured = cured.trim();
        self.check_cured(cured)?;
        self.check_in_use(at_ms)?;
        let day = chrono::DateTime::from_timestamp_millis(at_ms).map(|t| t.date_naive());
        if let (Ok(cured), Some(day)) = (oring::cure_date(cured), day)
            && cured > day
        {
            return Err(BookFault::Rig(vec![super::RigFault {
                at: "cured".into(),
                why: Wrong::CuredAfterUse(day.to_string()),
            }]));
        }
        let fact = Fact::SealFitted {
            pack: pack.to_owned(),
            cured: cured.to_owned(),
            fitted_ms: Some(at_ms),
            lot: None,
            found: None,
            // It is the same ring, however old it is said to be.
            ring: (self.rig(rig)?.seal(seal))
                .and_then(|s| s.fitted.as_ref())
                .and_then(|f| f.ring.clone()),
        };
        let what = losses_of_ring(
            &*self.rig(rig)?,
            seal,
            Some(at_ms),
            cured,
            self.now().wall_ms,
        );
        let mut record = vec![(At::Seal(seal).of(rig), fact)];
        record.extend(took_away(rig, what, Vec::new()));
        self.record(record)
    }

    pub(super) fn seal_is_reachable(&self, rig: &str, seal: &str) -> Result<(), BookFault> {
        let facts = self.rig(rig)?;
        let def = seal_def(&facts.def, seal)?;
        if self.is_closed(&facts, &def.enclosure) {
            let enclosure = enclosure_def(&facts.def, &def.enclosure)?.name.clone();
            return Self::refuse(Refusal::EnclosureClosed { enclosure });
        }
        Ok(())
    }

    /// Records a control test.
    ///
    /// # Errors
    /// No such control; the file.
    pub fn test_control(
        &mut self,
        rig: &str,
        control: &str,
        works: bool,
        note: &str,
    ) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let def = facts
            .def
            .control(control)
            .ok_or_else(|| BookFault::NotFound {
                what: "control",
                id: control.to_owned(),
            })?;
        // A test with the enclosure open proves nothing later; say so rather than let it be lost.
        if works && !self.is_closed(&facts, &def.enclosure) {
            let enclosure = enclosure_def(&facts.def, &def.enclosure)?.name.clone();
            return Self::refuse(Refusal::EnclosureOpen { enclosure });
        }
        let fact = Fact::ControlTested {
            works,
            note: note.to_owned(),
        };
        self.record(vec![(At::Control(control).of(rig), fact)])
    }

    /// Records a defect. Gives its id.
    ///
    /// # Errors
    /// No text; no such rig; the file.
    pub fn open_defect(
        &mut self,
        rig: &str,
        at: &str,
        blocks: bool,
        water: bool,
        text: &str,
    ) -> Result<String, BookFault> {
        self.rig(rig)?;
        if names::visible(text).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        let id = self.make_id();
        let fact = Fact::DefectOpened {
            at: at.to_owned(),
            blocks: blocks || water,
            text: text.trim().to_owned(),
            water,
        };
        self.record(vec![(At::Defect(&id).of(rig), fact)])?;
        Ok(id)
    }

    /// Records that a defect was put right.
    ///
    /// # Errors
    /// No words of how; [`Refusal::LookInside`] where water was found and what it was in was not
    /// opened since; no such defect; the file.
    pub fn close_defect(
        &mut self,
        rig: &str,
        defect: &str,
        how: &str,
    ) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let Some(known) = facts.defects.iter().find(|d| d.id == defect) else {
            return Err(BookFault::NotFound {
                what: "defect",
                id: defect.to_owned(),
            });
        };
        let shut = to_look_into(&facts, known);
        if !shut.is_empty() {
            let name = |id: &&str| facts.def.enclosure(id).map(|e| e.name.clone());
            return Self::refuse(Refusal::LookInside {
                enclosures: shut.iter().filter_map(name).collect(),
            });
        }
        if names::visible(how).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        let fact = Fact::DefectClosed {
            how: how.trim().to_owned(),
        };
        self.record(vec![(At::Defect(defect).of(rig), fact)])
    }

    /// Records that who holds the phone looked an enclosure over after what may
    /// have harmed it, or what became of a fault on something taken off the rig.
    ///
    /// # Errors
    /// [`Refusal::NobodyNamed`], [`Refusal::ReasonWanted`] without words of what was seen; no such
    /// enclosure or fault; the file.
    pub fn inspect(&mut self, rig: &str, at: At<'_>, note: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        if !facts.gone.iter().any(|g| At::parse(&g.at) == at) {
            let id = match at {
                At::Enclosure(id) => id,
                _ => "",
            };
            enclosure_def(&facts.def, id)?;
        }
        if self.me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        if names::visible(note).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        let fact = Fact::Inspected {
            note: note.trim().to_owned(),
        };
        self.record(vec![(at.of(rig), fact)])
    }

    /// Records that who holds the phone looked up elsewhere what the events say that this program can't
    /// read, and answers for it: all those known here.
    ///
    /// # Errors
    /// [`Refusal::NobodyNamed`]; [`Refusal::ReasonWanted`] without words of what they say; no such
    /// rig; the file.
    pub fn answer_unread(&mut self, rig: &str, note: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let events = facts.unread.iter().map(|u| u.event.as_str());
        self.answer(&facts, events, note)
    }

    /// Answers for the entries that are missing, in words: what was done to the rig in that time, and what
    /// was done anew.
    ///
    /// # Errors
    /// As [`Book::answer_unread`].
    pub fn answer_lost(&mut self, rig: &str, note: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        self.answer(&facts, facts.lost.iter().map(String::as_str), note)
    }

    /// Answers for entries of another phone that are not here, in words: what they say, looked up there.
    ///
    /// # Errors
    /// As [`Book::answer_unread`].
    pub fn answer_not_here(&mut self, rig: &str, note: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let events = facts.not_here.iter().map(|m| m.event.as_str());
        self.answer(&facts, events, note)
    }

    fn answer<'a>(
        &mut self,
        rig: &RigFacts,
        events: impl Iterator<Item = &'a str>,
        note: &str,
    ) -> Result<Recorded, BookFault> {
        if !rig.crew.named(&self.me) {
            return Self::refuse(Refusal::NobodyNamed);
        }
        if names::visible(note).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        let answer = |event: &str| Fact::UnreadAnswered {
            event: event.to_owned(),
            note: note.trim().to_owned(),
        };
        self.record(events.map(|e| (rig.id.clone(), answer(e))).collect())
    }

    /// Signs as a second member for what an edit took away.
    ///
    /// # Errors
    /// As [`Book::sign_step`]; no such edit.
    pub fn sign_loss<'a>(
        &mut self,
        rig: &str,
        event: &str,
        by: impl Into<Signer<'a>>,
    ) -> Result<Recorded, BookFault> {
        let by = by.into();
        let member = by.member;
        let facts = self.rig(rig)?;
        let code = self.code_given(&facts, by)?;
        let Some(loss) = facts.losses.iter().find(|l| l.event == event) else {
            return Err(BookFault::NotFound {
                what: "edit",
                id: event.to_owned(),
            });
        };
        let look = if facts.crew.alone || facts.crew.named(&loss.seen.author) {
            self.second_look(
                &facts,
                At::Rig,
                &made_by(&facts, loss, member),
                member,
                code,
            )?
        } else if facts.crew.named(member) && self.members()?.iter().any(|m| m.id == member) {
            // Nobody said who made the edit: two members sign.
            Look {
                code,
                ..Look::default()
            }
        } else {
            return Self::refuse(Refusal::NobodyNamed);
        };
        let at = if loss.of_crew { CREW } else { rig };
        let fact = Fact::LossSigned {
            event: event.to_owned(),
            look,
        };
        self.record_as(member, vec![(at.to_owned(), fact)])
    }

    /// Records a dive in the water of the plan.
    ///
    /// # Errors
    /// As [`Book::log_dive_in`].
    pub fn log_dive(
        &mut self,
        rig: &str,
        depth_m: f64,
        minutes: f64,
        note: &str,
    ) -> Result<Recorded, BookFault> {
        let salinity = self.rig(rig)?.def.plan.salinity_g_kg;
        self.log_dive_in(rig, depth_m, minutes, note, salinity)
    }

    /// Records a dive in water of a salinity, g/kg.
    ///
    /// # Errors
    /// A depth, time or salinity that can't be; no such rig; the file.
    pub fn log_dive_in(
        &mut self,
        rig: &str,
        depth_m: f64,
        minutes: f64,
        note: &str,
        salinity_g_kg: f64,
    ) -> Result<Recorded, BookFault> {
        let up = None;
        self.log_dive_as(
            rig,
            NewDive {
                depth_m,
                minutes,
                note,
                salinity_g_kg,
                up,
            },
        )
    }

    /// Records a dive.
    ///
    /// # Errors
    /// As [`Book::log_dive_in`].
    pub fn log_dive_as(&mut self, rig: &str, dive: NewDive<'_>) -> Result<Recorded, BookFault> {
        let dive = self.dive(rig, dive)?;
        self.record(vec![dive])
    }

    /// As [`Book::log_dive_as`], and in one with it that what went in open, or without its plug, is to be looked
    /// into before anything counts of it, for which `why` are the words.
    ///
    /// # Errors
    /// As [`Book::log_dive_in`].
    pub fn log_dive_and_look(
        &mut self,
        rig: &str,
        dive: NewDive<'_>,
        why: &str,
    ) -> Result<Recorded, BookFault> {
        let mut facts = vec![self.dive(rig, dive)?];
        facts.extend(self.to_look_into_after(rig, why)?);
        self.record(facts)
    }

    /// A defect for each enclosure that goes into the water as recorded open, or without its plug.
    pub(super) fn to_look_into_after(
        &self,
        rig: &str,
        why: &str,
    ) -> Result<Vec<(String, Fact)>, BookFault> {
        let known = self.rig(rig)?;
        let at = |e: &EnclosureFacts| At::Enclosure(&e.id).to_string();
        // One that is to be looked into already blocks until somebody has.
        let to_look = |e: &&EnclosureFacts| {
            let mut open = known.defects.iter();
            !open.any(|d| d.water && d.blocks && d.at == at(e) && d.text == why.trim())
        };
        let defect = |e: &EnclosureFacts| {
            let fact = Fact::DefectOpened {
                at: at(e),
                blocks: true,
                text: why.trim().to_owned(),
                water: true,
            };
            (At::Defect(&self.make_id()).of(rig), fact)
        };
        Ok(went_in_open(&known).filter(to_look).map(defect).collect())
    }

    /// A dive, looked at whether it can be.
    fn dive(&self, rig: &str, dive: NewDive<'_>) -> Result<(String, Fact), BookFault> {
        let NewDive {
            depth_m,
            minutes,
            note,
            salinity_g_kg,
            up,
        } = dive;
        self.rig(rig)?;
        let mut faults = Vec::new();
        for (at, value, high, unit) in [
            ("depth_m", depth_m, 12_000.0, "m"),
            ("minutes", minutes, 2_880.0, "min"),
            ("salinity_g_kg", salinity_g_kg, 120.0, "g/kg"),
        ] {
            if !(0.0..=high).contains(&value) {
                faults.push(super::RigFault {
                    at: at.into(),
                    why: out_of_range(value, 0.0, high, unit),
                });
            }
        }
        if !faults.is_empty() {
            return Err(BookFault::Rig(faults));
        }
        let fact = Fact::DiveLogged {
            depth_m,
            minutes,
            note: note.to_owned(),
            salinity_g_kg: Some(salinity_g_kg),
            up,
        };
        Ok((rig.to_owned(), fact))
    }

    /// Chooses the lens fitted. Where that opens a closed enclosure, the opening is recorded too.
    ///
    /// # Errors
    /// No such lens; the file.
    pub fn choose_lens(&mut self, rig: &str, lens: &str) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let def = facts
            .def
            .lenses
            .iter()
            .find(|l| l.id == lens)
            .ok_or_else(|| BookFault::NotFound {
                what: "lens",
                id: lens.to_owned(),
            })?;
        let mut record = Vec::new();
        // Opened by another closure, the lens's own still has to be opened for it.
        let undisturbed = (facts.def.seals.iter().zip(&facts.seals))
            .filter(|(d, _)| {
                d.enclosure == def.enclosure && d.closure.as_deref() == Some(def.closure.as_str())
            })
            .any(|(d, s)| !needs_service(&facts, d, s));
        let other = facts.def.lens.as_deref() != Some(lens);
        // Another phone may have closed and proved it meanwhile: of a rig in use it is always news.
        let news = other && (undisturbed || in_use(&facts));
        let opened = |lens: &LensConfig| {
            let closure = Some(lens.closure.clone());
            let at = At::Enclosure(&lens.enclosure).of(rig);
            (at, Fact::Opened { closure })
        };
        if news || self.is_closed(&facts, &def.enclosure) {
            record.push(opened(def));
        }
        // What is on now comes off where it is on.
        let was = (facts.def.lens.as_deref()).filter(|_| other);
        let was = was.and_then(|was| facts.def.lenses.iter().find(|l| l.id == was));
        if let Some(was) = was
            && (&was.enclosure, &was.closure) != (&def.enclosure, &def.closure)
            && facts.def.enclosure(&was.enclosure).is_some()
            && (news || self.is_closed(&facts, &was.enclosure))
        {
            record.push(opened(was));
        }
        let changed = RigDef {
            lens: Some(lens.to_owned()),
            ..facts.def.clone()
        };
        // A lens changes no volume.
        record.extend(edited(&facts, changed, rig, &[]));
        self.record(record)
    }

    /// Whether an enclosure is closed now.
    pub fn is_closed(&self, rig: &RigFacts, enclosure: &str) -> bool {
        rig.enclosure(enclosure)
            .is_some_and(|e| closed_since(rig, e).is_some())
    }
}

/// What an edit records: what it changes and puts back, what it takes away, and the definition.
fn edited(before: &RigFacts, def: RigDef, rig: &str, judged: &[HoldFacts]) -> Vec<(String, Fact)> {
    let mut record = changed_by(&before.def, &def, rig);
    // What one of several edits made apart had taken off is put back by keeping the others.
    for (_, apart) in &before.edited_apart {
        for put_back in changed_by(apart, &def, rig) {
            if !record.contains(&put_back) {
                record.push(put_back);
            }
        }
    }
    let what = losses(before, &def, judged);
    let unheard = losses_unheard(before, &def, &what, judged);
    record.extend(took_away(rig, what, unheard));
    let rig_defined = Fact::RigDefined {
        rig: Box::new(def),
        from: String::new(),
    };
    record.push((rig.to_owned(), rig_defined));
    record
}

/// A rig with an enclosure put back as `old` has it, with its seals, controls and lenses, and which parts go
/// with those; and the names of what something else bears the id of by now.
fn with_put_back(now: &RigDef, old: &RigDef, enclosure: &Enclosure) -> (RigDef, Vec<String>) {
    let mut def = now.clone();
    let mut left_out = Vec::new();
    if now.enclosure(&enclosure.id).is_none() {
        let at = old.enclosures.iter().position(|e| e.id == enclosure.id);
        let at = at.unwrap_or(0).min(def.enclosures.len());
        def.enclosures.insert(at, enclosure.clone());
    }
    for s in old.seals.iter().filter(|s| s.enclosure == enclosure.id) {
        match now.seal(&s.id) {
            None => def.seals.push(s.clone()),
            Some(_) => left_out.push(s.name.clone()),
        }
    }
    for c in (old.controls.iter()).filter(|c| c.enclosure == enclosure.id) {
        match now.control(&c.id) {
            None => def.controls.push(c.clone()),
            Some(_) => left_out.push(c.name.clone()),
        }
    }
    let mut lenses: Vec<&str> = Vec::new();
    for l in (old.lenses.iter()).filter(|l| l.enclosure == enclosure.id) {
        if now.lenses.iter().any(|n| n.id == l.id) {
            left_out.push(l.name.clone());
        } else {
            def.lenses.push(l.clone());
            lenses.push(&l.id);
        }
    }
    if def.lens.is_none() {
        def.lens = (old.lens.clone()).filter(|l| lenses.contains(&l.as_str()));
    }
    // A part that was on the rig with these lenses, and was left with what others there were.
    for p in &mut def.parts {
        let Some(was) = old.part(&p.id) else {
            continue;
        };
        let others = was.lenses.iter().filter(|l| !lenses.contains(&l.as_str()));
        if p.lenses.iter().eq(others) {
            p.lenses.clone_from(&was.lenses);
        }
    }
    (def, left_out)
}

/// Seals that an edit adds or puts elsewhere, controls that it adds or gives another function or
/// enclosure, and parts that it gives other figures: what was proved, or learnt, of them was of
/// something else.
fn changed_by(before: &RigDef, after: &RigDef, rig: &str) -> Vec<(String, Fact)> {
    let seals = after
        .seals
        .iter()
        .filter(|s| {
            before
                .seal(&s.id)
                .is_none_or(|b| b.enclosure != s.enclosure || b.closure != s.closure)
        })
        .map(|s| At::Seal(&s.id).of(rig));
    let enclosures = after
        .enclosures
        .iter()
        .filter(|e| before.enclosure(&e.id).is_none())
        .map(|e| At::Enclosure(&e.id).of(rig));
    let controls = after
        .controls
        .iter()
        .filter(|c| {
            before.control(&c.id).is_none_or(|b| {
                b.enclosure != c.enclosure
                    || b.function != c.function
                    || b.record_trigger != c.record_trigger
            })
        })
        .map(|c| At::Control(&c.id).of(rig));
    let parts = after
        .parts
        .iter()
        .filter(|p| {
            // What it is called and when it is on the rig changes nothing about the part itself.
            let same = |b: &Part| {
                let named = Part {
                    name: p.name.clone(),
                    lenses: p.lenses.clone(),
                    in_place_of: p.in_place_of.clone(),
                    ..b.clone()
                };
                named == **p
            };
            before.part(&p.id).is_some_and(|b| !same(b))
        })
        .map(|p| At::Part(&p.id).of(rig));
    enclosures
        .chain(seals)
        .chain(controls)
        .chain(parts)
        .map(|subject| (subject, Fact::Changed {}))
        .collect()
}

fn seal_def<'a>(def: &'a RigDef, id: &str) -> Result<&'a Seal, BookFault> {
    def.seal(id).ok_or_else(|| BookFault::NotFound {
        what: "seal",
        id: id.to_owned(),
    })
}
