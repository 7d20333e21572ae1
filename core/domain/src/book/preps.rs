//! Preps: begun, worked through, interrupted, handed over, ended.

use std::collections::HashSet;

use super::super::facts::{Fact, Finding};
use super::super::names;
use super::super::procedure::{
    self, OutlineClosure, OutlineEnclosure, ProcedureKind, Quantity, RigOutline, StepInstance,
    StepKind, Target,
};
use super::super::rig::{Closure, RigDef};
use super::super::rules::{
    closed_since, counting_hold, needs_service, open_at, plug_in, untested, within_step,
};
use super::super::signed::is_walk_of;
use super::super::state::{PrepFacts, RigFacts, StepState};
use super::super::subject::At;
use super::{Book, BookFault, Recorded, Refusal};

/// The parts of a seal's service where the procedure lists none.
pub const SEAL_PARTS: [&str; 5] = ["out", "looked", "cleaned", "greased", "back"];

impl Book {
    /// Begins a prep. Gives its id.
    ///
    /// # Errors
    /// No such rig or procedure; the file.
    pub fn start_prep(&mut self, rig: &str, procedure: &str) -> Result<String, BookFault> {
        let facts = self.rig(rig)?;
        let found = self
            .procedures()?
            .into_iter()
            .find(|p| p.id == procedure)
            .ok_or_else(|| BookFault::NotFound {
                what: "procedure",
                id: procedure.to_owned(),
            })?;
        let steps = procedure::expand(&found, &outline(&facts.def));
        let id = self.make_id();
        let mut record = Vec::new();
        if found.kind == ProcedureKind::Flood {
            // Water inside, or thought to be: the rig is out until someone puts it right. Noted also where
            // water stands noted: that may have been put right meanwhile by who hasn't heard of this.
            let defect = self.make_id();
            record.push((
                At::Defect(&defect).of(rig),
                Fact::DefectOpened {
                    at: String::new(),
                    blocks: true,
                    text: found.title.clone(),
                    water: true,
                },
            ));
        }
        record.push((
            At::Prep(&id).of(rig),
            Fact::PrepStarted {
                procedure: found.id,
                title: found.title,
                kind: found.kind,
                steps,
            },
        ));
        self.record(record)?;
        Ok(id)
    }

    /// Where a prep stands: the first step in order that may be done now.
    pub fn current_step(prep: &PrepFacts) -> Option<&StepInstance> {
        let done: HashSet<&str> = prep
            .steps
            .iter()
            .filter(|s| prep.state(&s.key) != StepState::Open)
            .map(|s| s.key.as_str())
            .collect();
        procedure::next(&prep.steps, &done).and_then(|i| prep.steps.get(i))
    }

    /// The parts of a step, to be confirmed one by one: key and what is shown. Seal steps without
    /// parts of their own have [`SEAL_PARTS`], whose words are in the texts.
    pub fn step_parts(rig: &RigFacts, instance: &StepInstance) -> Vec<(String, String)> {
        match instance.step.kind {
            StepKind::Strip if !rig.def.strip_list.is_empty() => rig
                .def
                .strip_list
                .iter()
                .map(|s| (s.id.clone(), s.name.clone()))
                .collect(),
            StepKind::Seal if instance.step.points.is_empty() => SEAL_PARTS
                .iter()
                .map(|p| ((*p).to_owned(), String::new()))
                .collect(),
            _ => instance
                .step
                .points
                .iter()
                .enumerate()
                .map(|(i, p)| (format!("point-{}", i + 1), p.clone()))
                .collect(),
        }
    }

    /// Confirms a part of a step, or takes it back.
    ///
    /// # Errors
    /// [`Refusal::PrepEnded`] unless the step is still asked for ([`asked_after_end`]); no such step;
    /// the file.
    pub fn tick_part(
        &mut self,
        prep: &str,
        key: &str,
        part: &str,
        on: bool,
    ) -> Result<Recorded, BookFault> {
        let facts = self.workable(prep, key)?;
        let instance = step_of(&facts, key)?;
        let rig = self.rig(&facts.rig)?;
        if !Self::step_parts(&rig, instance)
            .iter()
            .any(|(p, _)| p == part)
        {
            return Err(BookFault::NotFound {
                what: "part of the step",
                id: part.to_owned(),
            });
        }
        self.record(vec![(
            subject(&facts),
            Fact::StepPart {
                key: key.to_owned(),
                part: part.to_owned(),
                on,
            },
        )])
    }

    /// Does a step, with the evidence it leaves: a seal serviced, an enclosure opened or closed, a
    /// plug refitted. `value` is what was measured, as it is shown.
    ///
    /// # Errors
    /// A [`Refusal`] that says what is still wanted; no such step; the file.
    pub fn do_step(&mut self, prep: &str, key: &str, value: &str) -> Result<Recorded, BookFault> {
        self.do_step_finding(prep, key, value, Finding::Clean, "")
    }

    /// As [`Book::do_step`], with what was found on the seal.
    ///
    /// # Errors
    /// As [`Book::do_step`].
    pub fn do_step_finding(
        &mut self,
        prep: &str,
        key: &str,
        value: &str,
        finding: Finding,
        note: &str,
    ) -> Result<Recorded, BookFault> {
        let facts = self.workable(prep, key)?;
        let instance = step_of(&facts, key)?.clone();
        let rig = self.rig(&facts.rig)?;
        let waiting = waits_for(&facts, &instance);
        if !waiting.is_empty() {
            return Self::refuse(Refusal::StepsFirst { titles: waiting });
        }
        if instance.step.two_person && self.me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        if let Some(not_shut) = not_shut(&rig, &instance) {
            return Self::refuse(not_shut);
        }
        let known = facts.step(key);
        let left = Self::step_parts(&rig, &instance)
            .iter()
            .filter(|(part, _)| known.part_on(&facts.heard, part).is_none())
            .count();
        if left > 0 {
            return Self::refuse(Refusal::PartsOpen { left });
        }
        let mut record = self.evidence(&rig, &facts, &instance, value, finding, note)?;
        record.push((
            subject(&facts),
            Fact::StepDone {
                key: key.to_owned(),
                value: value.to_owned(),
            },
        ));
        self.record(record)
    }

    /// What marks a seal's step as done by a service that went through its parts one by one: the
    /// parts and the step.
    pub(super) fn seal_step_done(
        &self,
        prep: &str,
        key: &str,
        seal: &str,
    ) -> Result<Vec<(String, Fact)>, BookFault> {
        let facts = self.workable(prep, key)?;
        let instance = step_of(&facts, key)?;
        let of_it = matches!(&instance.target, Target::Seal { seal: s, .. } if s == seal);
        // A step that only looks at a ring is done by its service, too.
        if !matches!(instance.step.kind, StepKind::Seal | StepKind::Check) || !of_it {
            return Err(BookFault::NotFound {
                what: "step of this seal",
                id: key.to_owned(),
            });
        }
        let waiting = waits_for(&facts, instance);
        if !waiting.is_empty() {
            return Self::refuse(Refusal::StepsFirst { titles: waiting });
        }
        if instance.step.two_person && self.me.is_empty() {
            return Self::refuse(Refusal::NobodyNamed);
        }
        let rig = self.rig(&facts.rig)?;
        let parts = Self::step_parts(&rig, instance)
            .into_iter()
            .map(|(part, _)| Fact::StepPart {
                key: key.to_owned(),
                part,
                on: true,
            });
        let done = Fact::StepDone {
            key: key.to_owned(),
            value: String::new(),
        };
        let at = subject(&facts);
        Ok(parts.chain([done]).map(|f| (at.clone(), f)).collect())
    }

    /// What doing a step leaves as evidence, after checking that it can.
    fn evidence(
        &self,
        rig: &RigFacts,
        prep: &PrepFacts,
        instance: &StepInstance,
        value: &str,
        finding: Finding,
        note: &str,
    ) -> Result<Vec<(String, Fact)>, BookFault> {
        let name = |id: &str| {
            rig.def
                .enclosure(id)
                .map_or_else(|| id.to_owned(), |e| e.name.clone())
        };
        let enclosure = instance.target.enclosure().unwrap_or_default();
        let at = At::Enclosure(enclosure).of(&rig.id);
        let closed = self.is_closed(rig, enclosure);
        let mut record = Vec::new();
        if !on_rig(&rig.def, &instance.target) {
            // An edit took it off the rig since: two can say so, and nothing else can be done to it.
            return Ok(record);
        }
        match instance.step.kind {
            StepKind::Measure if value.is_empty() => return Self::refuse(Refusal::NumberWanted),
            StepKind::Measure => {
                // Where the gauge goes onto the valve, its plug came out for the reading.
                let pressure = (instance.step.measure.as_ref())
                    .is_some_and(|m| m.quantity == Quantity::Pressure);
                let valve = rig.def.enclosure(enclosure).and_then(|e| e.valve.as_ref());
                if pressure && valve.is_some_and(|v| !v.reads_with_plug_on) {
                    record.push((at, Fact::PlugOff {}));
                }
            }
            StepKind::Photo => {
                let at = At::Step(&prep.id, &instance.key);
                if self.photo_notes(&rig.id, at, 1)?.is_empty() {
                    return Self::refuse(Refusal::PhotoWanted);
                }
            }
            StepKind::Seal => {
                if let Target::Seal { seal, .. } = &instance.target {
                    if finding.needs_new_ring() {
                        return Self::refuse(Refusal::RingMustBeReplaced);
                    }
                    if closed {
                        if wants_service(rig, &instance.target) {
                            let enclosure = name(enclosure);
                            return Self::refuse(Refusal::EnclosureClosed { enclosure });
                        }
                        // Serviced elsewhere and shut in: its service stands, there is no other.
                        return Ok(record);
                    }
                    record.push((
                        At::Seal(seal).of(&rig.id),
                        Fact::SealServiced {
                            finding,
                            note: note.to_owned(),
                        },
                    ));
                }
            }
            StepKind::Check if look_wants_service(rig, instance) => {
                return Self::refuse(Refusal::SealNotServiced {
                    seal: instance.target_name.clone(),
                });
            }
            StepKind::PlugOut => record.push((at, Fact::PlugOff {})),
            StepKind::Open => {
                let closure = match &instance.target {
                    Target::Closure { closure, .. } => Some(closure.clone()),
                    _ => None,
                };
                record.push((at, Fact::Opened { closure }));
            }
            StepKind::Close => {
                // The enclosure is closed when the last of its closures is, and none stands opened that the
                // procedure has no step for: somebody says that of it where it stands.
                let others = prep.steps.iter().any(|s| {
                    s.key != instance.key
                        && s.step.kind == StepKind::Close
                        && prep.state(&s.key) != StepState::Done
                        && s.target.enclosure() == Some(enclosure)
                });
                let left = left_open(rig, prep, enclosure, Some(&instance.key));
                if !others && !closed && left.is_empty() {
                    record.push((at, Fact::Closed {}));
                }
            }
            StepKind::Hold => {
                let counts = rig
                    .enclosure(enclosure)
                    .is_some_and(|e| counting_hold(rig, e).is_ok());
                if !counts {
                    return Self::refuse(Refusal::NotProved {
                        enclosure: name(enclosure),
                    });
                }
            }
            StepKind::Plug => {
                let counts = rig
                    .enclosure(enclosure)
                    .is_some_and(|e| counting_hold(rig, e).is_ok());
                if !counts {
                    return Self::refuse(Refusal::NotProved {
                        enclosure: name(enclosure),
                    });
                }
                record.push((at, Fact::PlugOn {}));
            }
            StepKind::Sign if is_walk_of(prep.kind, instance) => {
                record.push((rig.id.clone(), Fact::WalkedRound {}));
            }
            StepKind::Controls => {
                let left = untested(rig).len();
                if left > 0 {
                    return Self::refuse(Refusal::ControlsOpen { left });
                }
            }
            StepKind::Recheck | StepKind::Gauge => {
                let known = rig.enclosure(enclosure);
                // Nothing proved, nothing to compare with: readiness asks for the hold.
                let none = known.is_none_or(|e| counting_hold(rig, e).is_err());
                let read = known.and_then(|e| e.recheck.as_ref());
                let unread = read.is_none_or(|(s, _)| !within_step(prep, &instance.key, &s.stamp));
                if unread && (instance.step.two_person || !none) {
                    return Self::refuse(Refusal::NotProved {
                        enclosure: name(enclosure),
                    });
                }
            }
            _ => {}
        }
        Ok(record)
    }

    /// Passes a step over. Shows in readiness.
    ///
    /// # Errors
    /// [`Refusal::ReasonWanted`], [`Refusal::PrepEnded`]; no such step; the file.
    pub fn skip_step(
        &mut self,
        prep: &str,
        key: &str,
        reason: &str,
    ) -> Result<Recorded, BookFault> {
        let facts = self.running(prep)?;
        step_of(&facts, key)?;
        if names::visible(reason).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        self.record(vec![(
            subject(&facts),
            Fact::StepSkipped {
                key: key.to_owned(),
                reason: reason.trim().to_owned(),
            },
        )])
    }

    /// Opens a step again. What it left as evidence stays until something answers it.
    ///
    /// # Errors
    /// [`Refusal::PrepEnded`] unless the step is still asked for ([`asked_after_end`]); no such step;
    /// the file.
    pub fn reopen_step(&mut self, prep: &str, key: &str) -> Result<Recorded, BookFault> {
        let facts = self.workable(prep, key)?;
        self.record(vec![(
            subject(&facts),
            Fact::StepReopened {
                key: key.to_owned(),
            },
        )])
    }

    /// Hands a prep over, and the phone with it.
    ///
    /// # Errors
    /// No such member; [`Refusal::PrepEnded`]; the file.
    pub fn hand_over(&mut self, prep: &str, member: &str) -> Result<Recorded, BookFault> {
        let facts = self.running(prep)?;
        if !self.members()?.iter().any(|m| m.id == member) {
            return Err(BookFault::NotFound {
                what: "member",
                id: member.to_owned(),
            });
        }
        let recorded = self.record(vec![(
            subject(&facts),
            Fact::HandedOver {
                to: member.to_owned(),
            },
        )])?;
        self.hold_phone(member)?;
        Ok(recorded)
    }

    /// Ends a prep; early with a reason.
    ///
    /// # Errors
    /// [`Refusal::ReasonWanted`] where steps are open; [`Refusal::PrepEnded`]; the file.
    pub fn end_prep(&mut self, prep: &str, reason: &str) -> Result<Recorded, BookFault> {
        let facts = self.running(prep)?;
        let complete = facts.left() == 0;
        if !complete && names::visible(reason).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        self.record(vec![(
            subject(&facts),
            Fact::PrepEnded {
                complete,
                reason: reason.trim().to_owned(),
            },
        )])
    }

    /// A prep of which a step can be worked on: it runs, or that step is still asked for.
    fn workable(&self, prep: &str, key: &str) -> Result<PrepFacts, BookFault> {
        let facts = self.prep(prep)?;
        let instance = step_of(&facts, key)?;
        if facts.ended.is_some() && !asked_after_end(&*self.rig(&facts.rig)?, &facts, instance) {
            return Self::refuse(Refusal::PrepEnded);
        }
        Ok(facts)
    }

    fn running(&self, prep: &str) -> Result<PrepFacts, BookFault> {
        let facts = self.prep(prep)?;
        if facts.ended.is_some() {
            return Self::refuse(Refusal::PrepEnded);
        }
        Ok(facts)
    }
}

/// Whether a step can still be worked on after its prep has ended: readiness reads the two-person
/// steps of the build or turnaround that governs, and of those before it that still count, and a lens
/// change or any other opening voids some of them.
pub fn asked_after_end(rig: &RigFacts, prep: &PrepFacts, instance: &StepInstance) -> bool {
    let mut read = rig.prep.iter().chain(&rig.earlier);
    instance.step.two_person && read.any(|p| p.id == prep.id)
}

/// The closures of an enclosure that stand opened on record and that no step of a prep closed, by id; `doing` is
/// the step that is being done. Opened no one knows by which is opened by all of them.
pub fn left_open<'a>(
    rig: &'a RigFacts,
    prep: &PrepFacts,
    enclosure: &str,
    doing: Option<&str>,
) -> Vec<&'a str> {
    let (Some(known), Some(def)) = (rig.enclosure(enclosure), rig.def.enclosure(enclosure)) else {
        return Vec::new();
    };
    let opened = open_at(rig, known);
    let shut = |closure: &str| {
        prep.steps.iter().any(|s| {
            let done = doing == Some(&s.key) || prep.state(&s.key) == StepState::Done;
            let of_it = match &s.target {
                Target::Enclosure { enclosure: e } => e == enclosure,
                Target::Closure {
                    enclosure: e,
                    closure: c,
                } => e == enclosure && c == closure,
                _ => false,
            };
            s.step.kind == StepKind::Close && of_it && done
        })
    };
    let closures = def.closures.iter().map(|c| c.id.as_str());
    closures
        .filter(|c| opened.iter().any(|o| o.is_none_or(|o| o == *c)) && !shut(c))
        .collect()
}

/// Where water would come in at a step: at an enclosure that is open, or whose plug is off. None where the step
/// minds no water, or all is shut and every plug in.
pub fn not_shut(rig: &RigFacts, instance: &StepInstance) -> Option<Refusal> {
    if !instance.step.shut {
        return None;
    }
    let of = instance.target.enclosure();
    rig.def.enclosures.iter().find_map(|e| {
        let known = rig
            .enclosure(&e.id)
            .filter(|_| of.is_none_or(|of| of == e.id))?;
        let enclosure = e.name.clone();
        if closed_since(rig, known).is_none() {
            return Some(Refusal::EnclosureOpen { enclosure });
        }
        let off = e.valve.is_some() && plug_in(rig, known).is_none();
        off.then_some(Refusal::PlugOff { enclosure })
    })
}

/// Whether what a step is done to is still on the rig.
pub fn on_rig(def: &RigDef, target: &Target) -> bool {
    match target {
        Target::Rig => true,
        Target::Enclosure { enclosure } => def.enclosure(enclosure).is_some(),
        Target::Closure { enclosure, closure } => def
            .enclosure(enclosure)
            .is_some_and(|e| e.closures.iter().any(|c| c.id == *closure)),
        Target::Seal { enclosure, seal } => {
            def.seal(seal).is_some_and(|s| s.enclosure == *enclosure)
        }
    }
}

/// Whether a step is about a seal that must be serviced.
pub fn wants_service(rig: &RigFacts, target: &Target) -> bool {
    let Target::Seal { seal, .. } = target else {
        return false;
    };
    let known = rig.def.seal(seal).zip(rig.seal(seal));
    known.is_some_and(|(def, facts)| needs_service(rig, def, facts))
}

/// Whether a step that only looks at a ring wants its service: one outside the closures, which no step
/// of the procedure services. In a closure the ring has a step of its own, or is left for the next
/// build.
pub fn look_wants_service(rig: &RigFacts, instance: &StepInstance) -> bool {
    let Target::Seal { seal, .. } = &instance.target else {
        return false;
    };
    instance.step.kind == StepKind::Check
        && (rig.def.seal(seal)).is_some_and(|s| s.closure.is_none())
        && wants_service(rig, &instance.target)
}

/// The seals that must be serviced before a closing step shuts them in, by id: those of its closure
/// and those outside all closures; of an enclosure shut as a whole, all.
pub fn seals_before_closing(rig: &RigFacts, instance: &StepInstance) -> Vec<String> {
    let (enclosure, closure) = match &instance.target {
        Target::Enclosure { enclosure } => (enclosure, None),
        Target::Closure { enclosure, closure } => (enclosure, Some(closure)),
        _ => return Vec::new(),
    };
    rig.def
        .seals
        .iter()
        .zip(&rig.seals)
        .filter(|(d, f)| {
            let shut_in = closure.is_none() || d.closure.is_none() || d.closure.as_ref() == closure;
            d.enclosure == *enclosure && shut_in && needs_service(rig, d, f)
        })
        .map(|(d, _)| d.id.clone())
        .collect()
}

/// Titles of the steps that must come before one. The order of a prep that is over is past: what a
/// step needs is asked of the rig.
pub fn waits_for(prep: &PrepFacts, instance: &StepInstance) -> Vec<String> {
    if prep.ended.is_some() {
        return Vec::new();
    }
    instance
        .after
        .iter()
        .filter(|k| prep.state(k) == StepState::Open)
        .filter_map(|k| prep.steps.iter().find(|s| s.key == **k))
        .map(|s| s.step.title.clone())
        .collect()
}

pub(super) fn step_of<'a>(prep: &'a PrepFacts, key: &str) -> Result<&'a StepInstance, BookFault> {
    prep.steps
        .iter()
        .find(|s| s.key == key)
        .ok_or_else(|| BookFault::NotFound {
            what: "step",
            id: key.to_owned(),
        })
}

pub(super) fn subject(prep: &PrepFacts) -> String {
    At::Prep(&prep.id).of(&prep.rig)
}

/// What a procedure has to know of a rig.
pub fn outline(rig: &RigDef) -> RigOutline {
    let is_port = |enclosure: &str, c: &Closure| {
        rig.lenses
            .iter()
            .any(|l| l.enclosure == enclosure && l.closure == c.id)
    };
    let named = |s: &super::super::rig::Seal| (s.id.clone(), s.name.clone());
    RigOutline {
        enclosures: rig
            .enclosures
            .iter()
            .map(|e| OutlineEnclosure {
                id: e.id.clone(),
                name: e.name.clone(),
                has_valve: e.valve.is_some(),
                closures: e
                    .closures
                    .iter()
                    .map(|c| OutlineClosure {
                        id: c.id.clone(),
                        name: c.name.clone(),
                        port: is_port(&e.id, c),
                        screws: c.fasteners.map(|f| f.count),
                        seals: rig
                            .seals
                            .iter()
                            .filter(|s| s.enclosure == e.id && s.closure.as_deref() == Some(&c.id))
                            .map(named)
                            .collect(),
                    })
                    .collect(),
                other_seals: rig
                    .seals
                    .iter()
                    .filter(|s| s.enclosure == e.id && s.closure.is_none())
                    .map(named)
                    .collect(),
            })
            .collect(),
        has_lens: !rig.lenses.is_empty(),
        has_controls: rig
            .controls
            .iter()
            .any(super::super::rig::Control::assigned),
    }
}
