//! What two have to sign for, and whose word stands behind it. Pure.
//!
//! Two things are asked of every rig, whatever the procedure says that was worked through: each
//! plug as it was last put in, and the walk round the closed rig. They are judged by what was done
//! to the rig, so that a procedure of fewer steps, an enclosure that came after the build, or a plug
//! put in outside any prep leaves nothing unsigned. Other steps for two are judged in their prep.

use super::crew::Word;
use super::procedure::{ProcedureKind, StepInstance, StepKind, Target};
use super::readiness::Unsigned;
use super::rules::counts::knows_shut;
use super::rules::{closed_since, plug_of};
use super::state::{EnclosureFacts, RigFacts, StepFacts, StepState, Told};
use slackwater_journal::Stamp;

/// Whether a step is the one at which an enclosure's plug is put in.
pub fn is_plug_step(instance: &StepInstance, enclosure: &str) -> bool {
    instance.step.kind == StepKind::Plug
        && matches!(&instance.target, Target::Enclosure { enclosure: e } if e == enclosure)
}

/// Whether a step is the walk round the closed rig.
pub fn is_walk_step(instance: &StepInstance) -> bool {
    instance.step.kind == StepKind::Sign && instance.target == Target::Rig
}

/// The same of a step of a prep of this kind: only a build or a turnaround ends in that walk. What two go
/// through together after a dive or a flood, the housings open, is no look at a closed rig.
pub fn is_walk_of(kind: ProcedureKind, instance: &StepInstance) -> bool {
    matches!(kind, ProcedureKind::Build | ProcedureKind::Turnaround) && is_walk_step(instance)
}

/// When steps of the governing prep were said not to be done: opened again, or passed over.
fn undone(rig: &RigFacts, which: impl Fn(&StepInstance) -> bool) -> Vec<Stamp> {
    let of_two = |s: &&StepInstance| s.step.two_person && which(s);
    let facts = rig.prep.iter().flat_map(|p| {
        let steps = p.steps.iter().filter(of_two);
        steps.filter_map(|s| p.done.get(&s.key))
    });
    let told = facts.flat_map(|f| [&f.reopened, &f.skipped]).flatten();
    told.flat_map(Told::all).map(|seen| seen.stamp).collect()
}

/// Whether the plug isn't in for all that was recorded: the prep that governs says so by its step
/// since, or it was put in by nobody in particular, for whom nobody can look a second time.
pub(super) fn plug_undone(rig: &RigFacts, enclosure: &EnclosureFacts) -> bool {
    let Some(on) = plug_of(rig, enclosure) else {
        return true;
    };
    let undone = undone(rig, |s| is_plug_step(s, &enclosure.id));
    !rig.crew.named(&on.author) || undone.iter().any(|u| !rig.heard.after(&on.stamp, u))
}

/// Whose word stands behind the plug as it was last put in.
pub fn plug_word(rig: &RigFacts, enclosure: &EnclosureFacts) -> Option<Word> {
    let on = plug_of(rig, enclosure)?;
    rig.crew.word(on, &enclosure.plug_looks)
}

/// Whose word stands behind the closed rig: walked round after the last closing and the last
/// opening of every enclosure, each of which is closed.
///
/// # Errors
/// Why nobody's does.
pub fn walk_word(rig: &RigFacts) -> Result<Word, Unsigned> {
    let undone = undone(rig, is_walk_step);
    let stands = |walked: &Stamp| {
        (rig.enclosures.iter())
            .all(|e| closed_since(rig, e).is_some() && knows_shut(rig, e, walked))
            && undone.iter().all(|u| rig.heard.after(walked, u))
    };
    match &rig.walked {
        Some(walked) if stands(&walked.stamp) && rig.crew.named(&walked.author) => {
            let word = rig.crew.word(walked, &rig.walk_looks);
            word.ok_or(Unsigned::SecondMember)
        }
        _ => {
            let skipped = rig.prep.as_ref().is_some_and(|p| {
                let mut steps = p.steps.iter().filter(|s| is_walk_step(s));
                steps.any(|s| p.state(&s.key) == StepState::Skipped)
            });
            Err(if skipped {
                Unsigned::Skipped
            } else {
                Unsigned::NotDone
            })
        }
    }
}

/// The step of the prep under way that asks for the walk round the rig.
pub(super) fn walk_step(rig: &RigFacts) -> Option<(String, String)> {
    let prep = rig.prep.as_ref().filter(|p| p.ended.is_none())?;
    let step = prep.steps.iter().find(|s| is_walk_step(s))?;
    Some((prep.id.clone(), step.key.clone()))
}

/// Whether a step of a later prep attests what a step of an earlier one does.
pub(super) fn attests_the_same(later: &StepInstance, earlier: &StepInstance) -> bool {
    let by_evidence = !matches!(
        earlier.step.kind,
        StepKind::Do | StepKind::Check | StepKind::Measure | StepKind::Photo
    );
    later.step.two_person
        && later.target == earlier.target
        && later.step.kind == earlier.step.kind
        && (by_evidence || later.step.id == earlier.step.id)
}

/// Whether a step for two is judged by what was done to the rig.
pub(super) fn by_the_rig(rig: &RigFacts, instance: &StepInstance) -> bool {
    let plug = |e: &EnclosureFacts| is_plug_step(instance, &e.id);
    is_walk_step(instance) || rig.enclosures.iter().any(plug)
}

/// Whose word stands behind a step for two, as its prep is read: what news has undone is open again
/// ([`super::rules::reopen_void`]).
///
/// # Errors
/// Why nobody's does.
pub fn step_word(rig: &RigFacts, facts: &StepFacts) -> Result<Word, Unsigned> {
    match (facts.state(&rig.heard), facts.standing(&rig.heard)) {
        (StepState::Skipped, _) => Err(Unsigned::Skipped),
        (StepState::Done, Some(done)) if rig.crew.named(&done.author) => {
            let word = rig.crew.word(done, &facts.signed);
            word.ok_or(Unsigned::SecondMember)
        }
        _ => Err(Unsigned::NotDone),
    }
}
