//! What an edit takes away from what is to be proved, and what of it has to be answered.
//!
//! An edit that adds asks for what it adds. One that takes away (a seal off the list, an enclosure,
//! a control's function, a limit loosened) would let *ready* come back without anything having been
//! put right. It is news: a second member signs for it, and it stands as a remark until the next
//! build. A fault on what was taken off the rig stays until somebody has looked and said what became
//! of it.

use super::stamp;
use crate::domain::crew::Word;
use crate::domain::facts::{Loss, LossKind};
use crate::domain::rig::{Enclosure, RigDef, Seal};
use crate::domain::state::{GoneFault, LossFacts, RigFacts, Seen};
use crate::journal::Stamp;

/// What an edit takes away, thing by thing.
pub fn losses(before: &RigDef, after: &RigDef) -> Vec<Loss> {
    let mut lost = Vec::new();
    for old in &before.enclosures {
        match after.enclosure(&old.id) {
            None => lost.push(removed("enclosure", &old.id, &old.name)),
            Some(new) => of_enclosure(old, new, &mut lost),
        }
    }
    for old in &before.seals {
        let name = before
            .enclosure(&old.enclosure)
            .map_or_else(|| old.name.clone(), |e| format!("{}, {}", old.name, e.name));
        match after.seal(&old.id) {
            None => lost.push(removed("seal", &old.id, &name)),
            Some(new) => of_seal(old, new, &name, &mut lost),
        }
    }
    for old in before.controls.iter().filter(|c| c.assigned()) {
        match after.control(&old.id) {
            None => lost.push(removed("control", &old.id, &old.name)),
            Some(new) if !new.assigned() => lost.push(Loss {
                kind: LossKind::Unassigned,
                ..removed("control", &old.id, &old.name)
            }),
            Some(_) => {}
        }
    }
    lost
}

fn removed(kind: &str, id: &str, name: &str) -> Loss {
    Loss {
        at: format!("{kind}/{id}"),
        name: name.to_owned(),
        kind: LossKind::Removed,
        from: None,
        to: None,
    }
}

fn of_enclosure(old: &Enclosure, new: &Enclosure, lost: &mut Vec<Loss>) {
    let tight = 1.0 + 1e-9;
    for (kind, from, to) in [
        (LossKind::LeakLimit, old.limit(), new.limit()),
        (
            LossKind::DepthRating,
            old.depth_rating_m,
            new.depth_rating_m,
        ),
    ] {
        // A limit that follows from the volume isn't loosened by a volume that was measured.
        let follows =
            kind == LossKind::LeakLimit && new.limit_ml.is_none() && old.limit_ml.is_none();
        if to > from * tight && !follows {
            lost.push(Loss {
                kind,
                from: Some(from),
                to: Some(to),
                ..removed("enclosure", &new.id, &new.name)
            });
        }
    }
}

fn of_seal(old: &Seal, new: &Seal, name: &str, lost: &mut Vec<Loss>) {
    let (o, n) = (old.limits, new.limits);
    for (kind, from, to) in [
        (LossKind::SealDays, o.hard_days, n.hard_days),
        (LossKind::SealOpenings, o.hard_openings, n.hard_openings),
        (LossKind::SealDives, o.hard_dives, n.hard_dives),
    ] {
        let looser = from.is_some_and(|from| to.is_none_or(|to| to > from));
        if looser {
            lost.push(Loss {
                kind,
                from: from.map(f64::from),
                to: to.map(f64::from),
                ..removed("seal", &new.id, name)
            });
        }
    }
}

/// Whether anything was ever done with a rig that an edit could take away: before that it is being
/// set up, and the first build signs for it.
pub fn in_use(rig: &RigFacts) -> bool {
    let worked = |e: &crate::domain::state::EnclosureFacts| {
        e.opened.is_some() || e.closed.is_some() || !e.holds.is_empty()
    };
    rig.prep.is_some()
        || rig.dived.is_some()
        || rig.enclosures.iter().any(worked)
        || (rig.seals.iter()).any(|s| s.serviced.is_some() || s.looked_at.is_some())
        || (rig.controls.iter()).any(|c| c.works.is_some() || c.fails.is_some())
}

/// Whose word stands behind what an edit took away: that of who made it and a second member, or of
/// two members where nobody was named as having made it.
pub fn loss_word(rig: &RigFacts, loss: &LossFacts) -> Option<Word> {
    if rig.crew.named(&loss.seen.author) {
        return rig.crew.word(&loss.seen, &loss.signed);
    }
    let after = |s: &&Seen| rig.crew.named(&s.author) && s.stamp > loss.seen.stamp;
    let first = loss.signed.iter().find(after)?;
    if rig.crew.alone {
        return Some(Word::One);
    }
    rig.crew.word(first, &loss.signed)
}

/// Whether what an edit took away is still to be told: until a build is begun after it.
pub fn still_told(rig: &RigFacts, loss: &LossFacts) -> bool {
    rig.built.unwrap_or(Stamp::NEVER) < loss.seen.stamp
}

/// The faults on what is no longer on the rig, or no longer used, that nobody has answered.
pub fn standing_faults(rig: &RigFacts) -> impl Iterator<Item = &GoneFault> {
    rig.gone
        .iter()
        .filter(|g| g.seen.stamp > stamp(&g.inspected))
}
