//! May this rig go in the water now, and if not, what stands in the way?
//!
//! A pure function of what is known and of the clock. What voids what and what counts is said in
//! [`super::rules`]; here a rig is gone through by it, and what stands in the way is listed in the
//! order to work through.
//!
//! Where the rules are silent, the answer is the careful one:
//! * Only the last hold of an enclosure counts: a new one has worked the valve, so what the one
//!   before it proved is gone. A hold that overlaps it on another device and found a leak stands
//!   against it.
//! * A verdict counts only if it covers every reading of its hold that is known, from whichever phone
//!   and in whatever order they came in; else it is judged again.
//! * A plan deeper, longer or stricter than the one a hold was judged for, or in water in which the
//!   same leak lets in more, needs a new judgement.
//! * A recheck that found a change stands against its hold until a new one, whatever is read later;
//!   only its writer may say at once that it was mistyped, and then the gauge is to be read again.
//! * Without a build or turnaround there are no two-person steps signed: not ready.
//! * Whatever the procedure asks for, two sign for each plug as it was last put in, and for the
//!   walk round the rig after its last enclosure was closed. So a procedure with fewer steps for
//!   two, or an enclosure that came after the build, leaves nothing unsigned.
//! * The last build's steps for two, and those of the turnarounds since, still count where no later
//!   prep attests the same.
//! * A ring that must not go back (nicked, flattened, swollen, brittle) and went back all the same
//!   stands in the way until a new one is put in, or another member looks again and says that it
//!   wasn't so; a service doesn't mend it.
//! * A ring that was too old by its cure date when it was fitted is past a hard limit.
//! * A time that lies in the future means that the clock was set back: it proves nothing.

use super::crew::Word;
use super::facts::HoldResult;
use super::rig::Seal;
use super::rules::age::{CLOCK_SLACK_MS, DAY_MS, age_is_sure};
use super::rules::counts::seals_of;
use super::rules::{
    as_fitted, closed_since, control_failed, control_proved, counting_hold, counting_recheck,
    edited_unknowing, faulty, leaked_before, loss_word, material_doubts, needs_service, past_limit,
    plug_refitted, proved_since, standing_faults, still_told, too_deep, unlike_listed,
};
use super::signed::{
    attests_the_same, by_the_rig, plug_undone, plug_word, step_word, walk_step, walk_word,
};
use super::state::{HoldFacts, PrepFacts, RigFacts, SealFacts, StepState};
use super::trim::{Untrimmed, untrimmed};

pub use super::rules::{HoldMissing, MaterialDoubt, Now, PastLimit, RecheckMissing};

/// Why a two-person step is not signed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsigned {
    /// Not done, or not since the enclosure was opened.
    NotDone,
    /// Passed over.
    Skipped,
    /// Done; a second member has not signed.
    SecondMember,
}

/// One thing that stands in the way. Each names its enclosure, seal or control, so that the action
/// that clears it can be offered.
#[derive(Debug, Clone, PartialEq)]
pub enum Obstacle {
    /// The rig is out of use.
    Retired,
    /// Nothing on the rig is sealed: there is nothing to prove.
    NoEnclosures,
    /// A defect that blocks.
    Defect {
        /// Defect id.
        defect: String,
    },
    /// Events about the rig that this program can't read: a newer one wrote them, or they are damaged.
    Unread {
        /// How many.
        events: usize,
    },
    /// An edit took something away, and no second member has signed for it.
    LossUnsigned {
        /// Event reference of the edit.
        event: String,
    },
    /// A fault on something taken off the rig, or no longer used, that nobody has answered.
    FaultOnGone {
        /// What it is of ('seal/main-port').
        at: String,
    },
    /// Entries that this phone had acknowledged are missing from its record; they may have been about this
    /// rig.
    Lost,
    /// Entries of another phone that somebody had heard of are not here, or count no longer; they may be about
    /// this rig.
    NotHere {
        /// How many.
        events: u64,
    },
    /// The rig was edited on phones that had not heard of each other, or on one that had not heard that it
    /// is in use, and nobody has looked since.
    EditedApart,
    /// The planned dive is deeper than an enclosure's rating.
    DeeperThanRated {
        /// Enclosure id.
        enclosure: String,
    },
    /// An enclosure was below its rating, and nobody has looked it over since.
    WasTooDeep {
        /// Enclosure id.
        enclosure: String,
        /// How deep it was, m.
        depth_m: f64,
        /// The rating that it was below: the one then, or the one now if that is less, m.
        rated_m: f64,
    },
    /// A ring past its hard limit.
    SealPastLimit {
        /// Seal id.
        seal: String,
        /// How.
        past: PastLimit,
    },
    /// A ring that must not go back is in a seal.
    SealFaulty {
        /// Seal id.
        seal: String,
        /// What was found on it ([`super::facts::Finding::key`]).
        finding: String,
    },
    /// No seals are listed for an enclosure: nothing says that it was looked at.
    NoSeals {
        /// Enclosure id.
        enclosure: String,
    },
    /// No vacuum valve: it can't be proved.
    NoValve {
        /// Enclosure id.
        enclosure: String,
    },
    /// A seal that was disturbed (or never serviced) and must be serviced with the enclosure open.
    SealToService {
        /// Seal id.
        seal: String,
        /// Enclosure id.
        enclosure: String,
    },
    /// An enclosure is open, or was never closed.
    NotClosed {
        /// Enclosure id.
        enclosure: String,
    },
    /// No hold counts.
    NoHold {
        /// Enclosure id.
        enclosure: String,
        /// Why.
        why: HoldMissing,
    },
    /// The plug is off, or was not refitted after the hold.
    PlugOff {
        /// Enclosure id.
        enclosure: String,
    },
    /// A control was not tested since its enclosure was closed, or failed.
    Control {
        /// Control id.
        control: String,
        /// It was tried and failed.
        failed: bool,
    },
    /// No build or turnaround was begun.
    NoPrep,
    /// A two-person step is not signed by two.
    Unsigned {
        /// Prep id.
        prep: String,
        /// Step instance key.
        step: String,
        /// Why.
        why: Unsigned,
    },
    /// The plug is on, and only one person has seen it there since it was last put in.
    PlugUnseen {
        /// Enclosure id.
        enclosure: String,
    },
    /// The closed rig was not walked round and signed for by two since one of its enclosures was
    /// closed, whatever procedure was worked through.
    WalkRound {
        /// Why.
        why: Unsigned,
        /// The step of the prep under way that asks for it, with the prep, where there is one.
        step: Option<(String, String)>,
    },
    /// No recheck counts.
    NoRecheck {
        /// Enclosure id.
        enclosure: String,
        /// Why.
        why: RecheckMissing,
    },
}

/// Worth knowing; does not stand in the way.
#[derive(Debug, Clone, PartialEq)]
pub enum Remark {
    /// Events about the crew that this program can't read. They can't say that a rig leaks: what
    /// bears on a rig is recorded under it.
    UnreadOfCrew {
        /// How many.
        events: usize,
    },
    /// An edit took something away since the last build.
    TookAway {
        /// Event reference of the edit.
        event: String,
    },
    /// A step was passed over.
    StepSkipped {
        /// Prep id.
        prep: String,
        /// Step instance key.
        step: String,
        /// Why.
        reason: String,
    },
    /// The governing prep has open steps.
    PrepUnfinished {
        /// Prep id.
        prep: String,
        /// How many.
        left: usize,
    },
    /// A build or turnaround that counts has ended, or is no longer the one under way, and steps of it
    /// were neither done nor passed over.
    PrepCutShort {
        /// Prep id.
        prep: String,
        /// How many.
        left: usize,
        /// Of how many.
        of: usize,
    },
    /// A recheck counts whose age no clock that ran on tells: the phone was restarted since, or it was
    /// made on another. Its age rests on clocks that can be set.
    AgeUnsure {
        /// Enclosure id.
        enclosure: String,
    },
    /// A ring past the limit that warns.
    SealSoonDue {
        /// Seal id.
        seal: String,
        /// How.
        past: PastLimit,
    },
    /// Something speaks against a ring's material.
    SealMaterial {
        /// Seal id.
        seal: String,
        /// What.
        doubt: MaterialDoubt,
    },
    /// The ring in a seal is another than the rig's list says, by its lot.
    RingUnlike {
        /// Seal id.
        seal: String,
    },
    /// A ring with a limit by age whose date isn't known.
    SealAgeUnknown {
        /// Seal id.
        seal: String,
    },
    /// An open defect of a rig that this one was copied from: the copy may be of the same things.
    DefectOfSource {
        /// Defect id.
        defect: String,
    },
    /// A defect that doesn't block.
    Defect {
        /// Defect id.
        defect: String,
    },
    /// It isn't trimmed as it is now.
    Untrimmed {
        /// Why.
        why: Untrimmed,
    },
    /// A crew of one signed for both sides, apart in time.
    OneWord,
    /// The crew is one person now; the second looks were another's, who has left it.
    CrewOfOne,
    /// A number that an enclosure's hold or recheck rests on looked unlikely and was confirmed.
    Unlikely {
        /// Enclosure id.
        enclosure: String,
    },
    /// A number read at a recheck since the hold was called a slip of typing.
    CalledSlip {
        /// Enclosure id.
        enclosure: String,
    },
    /// The hold that counts saw a leak, within its limit.
    Leaks {
        /// Enclosure id.
        enclosure: String,
    },
    /// The hold before the one that counts found a leak, and nothing was opened since.
    LeakedBefore {
        /// Enclosure id.
        enclosure: String,
    },
    /// The device's clock is behind the newest event.
    ClockBehind {
        /// By how much, ms.
        by_ms: i64,
    },
}

/// What ends a 'ready'.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EndsBy {
    /// A recheck grows too old.
    Recheck {
        /// Enclosure id.
        enclosure: String,
    },
    /// A ring reaches its hard limit.
    Seal {
        /// Seal id.
        seal: String,
    },
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Readiness {
    /// Ready until this time (ms since 1970 UTC) and what ends it; `None` when not ready.
    pub until: Option<(i64, EndsBy)>,
    /// What stands in the way, in the order to work through. Empty exactly when ready.
    pub obstacles: Vec<Obstacle>,
    /// What should be known besides.
    pub remarks: Vec<Remark>,
}

impl Readiness {
    /// Whether the rig may go in.
    pub fn is_ready(&self) -> bool {
        self.obstacles.is_empty()
    }
}

/// Judges a rig.
pub fn readiness(rig: &RigFacts, now: Now) -> Readiness {
    let mut obstacles = Vec::new();
    let mut remarks = Vec::new();
    // Whose word stands behind what was signed for: one person's, two's.
    let mut one_word = false;
    let mut two_words = false;
    let mut until: Option<(i64, EndsBy)> = None;
    let mut ends = |at: i64, by: EndsBy| {
        if until.as_ref().is_none_or(|(t, _)| at < *t) {
            until = Some((at, by));
        }
    };
    let behind = now.newest.ms().saturating_sub(now.wall_ms);
    if behind > CLOCK_SLACK_MS {
        remarks.push(Remark::ClockBehind { by_ms: behind });
    }
    if rig.retired {
        obstacles.push(Obstacle::Retired);
    }
    if rig.def.enclosures.is_empty() {
        obstacles.push(Obstacle::NoEnclosures);
    }
    for d in &rig.of_sources {
        remarks.push(Remark::DefectOfSource {
            defect: d.defect.clone(),
        });
    }
    for d in &rig.defects {
        if d.blocks {
            obstacles.push(Obstacle::Defect {
                defect: d.id.clone(),
            });
        } else {
            remarks.push(Remark::Defect {
                defect: d.id.clone(),
            });
        }
    }
    if !rig.unread.is_empty() {
        obstacles.push(Obstacle::Unread {
            events: rig.unread.len(),
        });
    }
    if rig.unread_of_crew > 0 {
        remarks.push(Remark::UnreadOfCrew {
            events: rig.unread_of_crew,
        });
    }
    for loss in &rig.losses {
        match loss_word(rig, loss) {
            None if proved_since(rig, loss) => {}
            None => obstacles.push(Obstacle::LossUnsigned {
                event: loss.event.clone(),
            }),
            Some(word) => {
                if still_told(rig, loss) {
                    one_word |= word == Word::One;
                    two_words |= word == Word::Two;
                    remarks.push(Remark::TookAway {
                        event: loss.event.clone(),
                    });
                }
            }
        }
    }
    for gone in standing_faults(rig) {
        obstacles.push(Obstacle::FaultOnGone {
            at: gone.at.clone(),
        });
    }
    for (def, seal) in rig.def.seals.iter().zip(&rig.seals) {
        if let Some(found) = faulty(rig, seal) {
            obstacles.push(Obstacle::SealFaulty {
                seal: def.id.clone(),
                finding: found.value.clone(),
            });
        }
        if unlike_listed(def, seal).is_some() {
            remarks.push(Remark::RingUnlike {
                seal: def.id.clone(),
            });
        }
        for doubt in material_doubts(&as_fitted(def, seal), &rig.def.plan) {
            remarks.push(Remark::SealMaterial {
                seal: def.id.clone(),
                doubt,
            });
        }
        if let Some(past) = past_limit(def, seal, now, true) {
            obstacles.push(Obstacle::SealPastLimit {
                seal: def.id.clone(),
                past,
            });
        } else if let Some(past) = past_limit(def, seal, now, false) {
            remarks.push(Remark::SealSoonDue {
                seal: def.id.clone(),
                past,
            });
        }
        match (seal.fitted_ms(), def.limits.hard_days) {
            (Some(ms), Some(days)) => {
                ends(
                    ms.saturating_add(i64::from(days) * DAY_MS),
                    EndsBy::Seal {
                        seal: def.id.clone(),
                    },
                );
            }
            (None, Some(_)) => remarks.push(Remark::SealAgeUnknown {
                seal: def.id.clone(),
            }),
            _ => {}
        }
    }
    if !rig.lost.is_empty() {
        obstacles.push(Obstacle::Lost);
    }
    if !rig.not_here.is_empty() {
        obstacles.push(Obstacle::NotHere {
            events: rig.entries_not_here(),
        });
    }
    if !rig.edited_apart.is_empty() || edited_unknowing(rig) {
        obstacles.push(Obstacle::EditedApart);
    }
    for (def, enclosure) in rig.def.enclosures.iter().zip(&rig.enclosures) {
        let id = || def.id.clone();
        if rig.def.plan.depth_m > def.depth_rating_m {
            obstacles.push(Obstacle::DeeperThanRated { enclosure: id() });
        }
        if let Some(deep) = too_deep(rig, enclosure) {
            obstacles.push(Obstacle::WasTooDeep {
                enclosure: id(),
                depth_m: deep.depth_m,
                rated_m: deep.rated_m,
            });
        }
        if seals_of(rig, &def.id).next().is_none() {
            obstacles.push(Obstacle::NoSeals { enclosure: id() });
        }
        if def.valve.is_none() {
            obstacles.push(Obstacle::NoValve { enclosure: id() });
        }
        // A ring that must not go back asks for more than a service.
        let wanting =
            |(d, f): &(&Seal, &SealFacts)| needs_service(rig, d, f) && faulty(rig, f).is_none();
        for (seal, _) in seals_of(rig, &def.id).filter(wanting) {
            obstacles.push(Obstacle::SealToService {
                seal: seal.id.clone(),
                enclosure: id(),
            });
        }
        if closed_since(rig, enclosure).is_none() {
            obstacles.push(Obstacle::NotClosed { enclosure: id() });
        }
        let proof = counting_hold(rig, enclosure);
        let rechecked = enclosure.recheck.as_ref();
        if let Ok(hold) = proof
            && (hold.unlikely || rechecked.is_some_and(|(_, f)| f.reading.confirmed))
        {
            remarks.push(Remark::Unlikely { enclosure: id() });
        }
        if proof.is_ok() && enclosure.rechecks.iter().any(|r| r.slip.is_some()) {
            remarks.push(Remark::CalledSlip { enclosure: id() });
        }
        let seen = |h: &&HoldFacts| {
            let result = h.concluded.as_ref().map(|(_, _, r)| r);
            result.is_some_and(HoldResult::seen_to_leak)
        };
        if proof.as_ref().is_ok_and(seen) {
            remarks.push(Remark::Leaks { enclosure: id() });
        }
        let leaked = |hold: &&HoldFacts| leaked_before(rig, enclosure, hold);
        if proof.as_ref().is_ok_and(leaked) {
            remarks.push(Remark::LeakedBefore { enclosure: id() });
        }
        match proof {
            Ok(hold) if plug_refitted(rig, enclosure, hold) && !plug_undone(rig, enclosure) => {
                match plug_word(rig, enclosure) {
                    Some(word) => {
                        one_word |= word == Word::One;
                        two_words |= word == Word::Two;
                    }
                    None => obstacles.push(Obstacle::PlugUnseen { enclosure: id() }),
                }
            }
            Ok(_) => obstacles.push(Obstacle::PlugOff { enclosure: id() }),
            Err(why) => obstacles.push(Obstacle::NoHold {
                enclosure: id(),
                why,
            }),
        }
        for (c, facts) in rig.def.controls.iter().zip(&rig.controls) {
            if c.enclosure == def.id && c.assigned() && !control_proved(rig, c, facts) {
                obstacles.push(Obstacle::Control {
                    control: c.id.clone(),
                    failed: control_failed(rig, c, facts),
                });
            }
        }
        match counting_recheck(rig, enclosure, now) {
            Ok(age) => {
                let read = rechecked.and_then(|(_, f)| f.reading.boot);
                if !age_is_sure(read, now) {
                    remarks.push(Remark::AgeUnsure { enclosure: id() });
                }
                ends(
                    now.wall_ms
                        .saturating_add(rig.recheck_limit_ms.saturating_sub(age)),
                    EndsBy::Recheck { enclosure: id() },
                );
            }
            Err(why) => obstacles.push(Obstacle::NoRecheck {
                enclosure: id(),
                why,
            }),
        }
    }
    match walk_word(rig) {
        Ok(word) => {
            one_word |= word == Word::One;
            two_words |= word == Word::Two;
        }
        Err(why) => obstacles.push(Obstacle::WalkRound {
            why,
            step: walk_step(rig),
        }),
    }
    for word in prep_obstacles(rig, &mut obstacles, &mut remarks) {
        one_word |= word == Word::One;
        two_words |= word == Word::Two;
    }
    if one_word {
        remarks.push(Remark::OneWord);
    } else if rig.crew.alone && two_words {
        remarks.push(Remark::CrewOfOne);
    }
    if let Some(why) = untrimmed(rig) {
        remarks.push(Remark::Untrimmed { why });
    }
    // What makes all other work pointless first; then the prep, which leads through the rest; and
    // rechecks last, minutes before the dive, when all else stands.
    obstacles.sort_by_key(|o| match o {
        Obstacle::Retired
        | Obstacle::NoEnclosures
        | Obstacle::Defect { .. }
        | Obstacle::Unread { .. }
        | Obstacle::LossUnsigned { .. }
        | Obstacle::FaultOnGone { .. }
        | Obstacle::Lost
        | Obstacle::NotHere { .. }
        | Obstacle::EditedApart
        | Obstacle::DeeperThanRated { .. }
        | Obstacle::WasTooDeep { .. }
        | Obstacle::SealFaulty { .. }
        | Obstacle::SealPastLimit { .. }
        // Nothing else about that housing is worth doing before a new hold.
        | Obstacle::NoRecheck {
            why: RecheckMissing::Changed,
            ..
        } => 0,
        Obstacle::NoPrep => 1,
        Obstacle::NoRecheck { .. } => 3,
        // A recheck takes the plug off once more.
        Obstacle::PlugUnseen { .. } => 4,
        _ => 2,
    });
    let until = if obstacles.is_empty() { until } else { None };
    Readiness {
        until,
        obstacles,
        remarks,
    }
}

/// What the preps leave to sign: the one that governs, and the last build with the turnarounds
/// since, where no later one attests the same. Gives whose word stands behind what was signed.
fn prep_obstacles(
    rig: &RigFacts,
    obstacles: &mut Vec<Obstacle>,
    remarks: &mut Vec<Remark>,
) -> Vec<Word> {
    let mut words = Vec::new();
    let Some(governing) = &rig.prep else {
        obstacles.push(Obstacle::NoPrep);
        return words;
    };
    let preps: Vec<&PrepFacts> = [governing].into_iter().chain(&rig.earlier).collect();
    for (n, prep) in preps.iter().enumerate() {
        for instance in &prep.steps {
            let facts = prep.step(&instance.key);
            if n == 0 && facts.state(&rig.heard) == StepState::Skipped {
                remarks.push(Remark::StepSkipped {
                    prep: prep.id.clone(),
                    step: instance.key.clone(),
                    reason: facts
                        .skipped
                        .as_ref()
                        .map(|s| s.value.clone())
                        .unwrap_or_default(),
                });
            }
            // By one that was begun knowing of this one.
            let covered = preps[..n]
                .iter()
                .filter(|p| rig.heard.after(&p.started, &prep.started))
                .flat_map(|p| &p.steps)
                .any(|later| attests_the_same(later, instance));
            if !instance.step.two_person || covered || by_the_rig(rig, instance) {
                continue;
            }
            match step_word(rig, &facts) {
                Ok(word) => words.push(word),
                Err(why) => obstacles.push(Obstacle::Unsigned {
                    prep: prep.id.clone(),
                    step: instance.key.clone(),
                    why,
                }),
            }
        }
    }
    for (n, prep) in preps.iter().enumerate() {
        let left = prep.never_done();
        if left > 0 && (n > 0 || prep.ended.is_some()) {
            remarks.push(Remark::PrepCutShort {
                prep: prep.id.clone(),
                left,
                of: prep.steps.len(),
            });
        }
    }
    let left = governing.left();
    if left > 0 && governing.ended.is_none() {
        remarks.push(Remark::PrepUnfinished {
            prep: governing.id.clone(),
            left,
        });
    }
    words
}

#[cfg(test)]
mod tests;
