//! What an edit takes away from what is to be proved, and what of it has to be answered.
//!
//! An edit that adds asks for what it adds. One that takes away (a seal off the list, an enclosure,
//! a control's function, a limit loosened) would let *ready* come back without anything having been
//! put right. It is news: a second member signs for it, and it stands as a remark until the next
//! build. A fault on what was taken off the rig stays until somebody has looked and said what became
//! of it.
//!
//! Every field of a rig's definition, and what an edit of it loosens:
//!
//! | field | an edit | what answers it |
//! |---|---|---|
//! | any enclosure, seal, assigned control, closure, penetrator | taken off | signed ([`LossKind::Removed`]) |
//! | enclosure added | nothing: it is to be proved by itself | its own closing, hold, plug, recheck |
//! | enclosure `volume_l` less, by more than its stated error, at once or step by step from hold to hold | the same fall is a smaller leak | signed ([`LossKind::Volume`]), once it was held |
//! | enclosure `volume_l` more | a larger leak | judged again (`counting_hold`) |
//! | enclosure `volume_sd_l` less than half, where it matters | the same fall is known better | signed ([`LossKind::VolumeError`]), once it was held |
//! | enclosure `depth_rating_m` up | deeper plans pass | signed ([`LossKind::DepthRating`]); a dive before it is judged by the old one |
//! | enclosure `depth_rating_m` down | nothing | dives and plan are judged by it |
//! | enclosure `limit_ml` up | larger leaks hold | signed ([`LossKind::LeakLimit`]), judged again |
//! | enclosure `valve` off, on | nothing: without one nothing is proved; it says nothing of a plug | |
//! | valve `reads_with_plug_on` set | no reading takes the plug out any more | signed ([`LossKind::PlugStaysIn`]) |
//! | closure or penetrator added to one closed and held | the list was wrong, or it came since | signed, or closed and held again ([`LossKind::Added`]) |
//! | closure `kind`, `fasteners` | nothing that is judged: which way it is shut is looked at by two | |
//! | seal added | nothing: it is serviced, with the enclosure open | its service |
//! | seal `enclosure`, `closure` | opening where it was no longer asks for it | its service, and signed ([`LossKind::Elsewhere`]) |
//! | seal `closure` where there was none | nothing: more openings ask for it | its service |
//! | seal `size`, `material`, `hardness` other than said, closed and held | the list was wrong, or another ring is in | signed, or closed and held again ([`LossKind::OtherRing`]) |
//! | the same where nothing was said | nothing: the list is completed | |
//! | seal `material`, the ring in it having lain too long | it may lie longer | signed ([`LossKind::Stored`]) |
//! | seal `limits.hard_*` up or off | it blocks later | signed ([`LossKind::SealDays`] and its like) |
//! | the ring in a seal said to be in since a later day, or that taken back | it is due later | signed ([`LossKind::RingAge`]), or a new ring |
//! | its cure date changed, or taken back | it lay less long | signed ([`LossKind::RingCured`]), or a new ring |
//! | seal `limits.soft_*`, `grease`, `gland` | nothing: they warn | |
//! | control `function`, `record_trigger`, `enclosure` | nothing: what it does now is to be tried | its test; off, signed ([`LossKind::Unassigned`]) |
//! | lens `enclosure`, `closure` | changing it no longer opens what it did | signed ([`LossKind::Elsewhere`]) |
//! | lens chosen, added, taken off | nothing: choosing one records an opening | |
//! | lens chosen, the rig in use unheard | it is on, and nobody opened anything for it | signed ([`LossKind::OtherLens`]) |
//! | `plan` deeper, longer, thinner water | more comes in | judged again |
//! | `plan` shallower, shorter | another question, and every page says which | |
//! | `name`, `note` anywhere, `cables`, `strip_list`, lens `port`, `rings`, `drives` | words | |
//! | `parts`, `mounting_points`, `weight_box`, `swapped`, `trim` | how it hangs: a remark, no leak | |
//! | the crew's limit of a recheck, longer | old rechecks count | signed ([`LossKind::RecheckLimit`]) |
//! | the crew's way of signing, units, errors of its instruments | nothing proved: they hold from then on | |

use super::counts::closed_since;
use super::is_known;
use super::rings::stored_too_long;
use crate::crew::Word;
use crate::facts::{HoldSetup, Loss, LossKind};
use crate::rig::{Enclosure, LensConfig, RigDef, Seal, SealLimits};
use crate::state::{EnclosureFacts, Fitted, GoneFault, HoldFacts, LossFacts, RigFacts, Seen};
use crate::subject::At;
use slackwater_journal::Stamp;
use slackwater_physics::oring;

/// A volume may be said less by its own stated error (1 sd), and by this share for rounding.
const ROUNDING: f64 = 0.005;

/// Below this share of the volume its error no longer decides a verdict: the gas law and the crew's
/// gauge are hardly known better.
const ERROR_MATTERS: f64 = 0.02;

/// What an edit of a rig takes away, thing by thing, of what its writer knew to be in use and proved. `judged` are
/// the holds since the last build, or since somebody signed for other figures ([`judged_by`]): an edit is measured
/// against all of them, so that many small ones are one large one, whatever was held in between.
pub fn losses(before: &RigFacts, after: &RigDef, judged: &[HoldFacts]) -> Vec<Loss> {
    if in_use(before) {
        lost_by(before, after, judged, false)
    } else {
        Vec::new()
    }
}

/// What it takes away besides what is `known` of it ([`losses`], of the same holds) if the rig was in use, closed and
/// held by who had not been heard.
pub fn losses_unheard(
    before: &RigFacts,
    after: &RigDef,
    known: &[Loss],
    judged: &[HoldFacts],
) -> Vec<Loss> {
    let mut unheard = lost_by(before, after, judged, true);
    unheard.retain(|l| !known.contains(l));
    unheard
}

/// What an edit takes away; `supposed`: as of a rig on which everything is closed and held.
fn lost_by(before: &RigFacts, after: &RigDef, judged: &[HoldFacts], supposed: bool) -> Vec<Loss> {
    let mut lost = Vec::new();
    let proved = |e: &EnclosureFacts| supposed || is_proved(before, e);
    let def = &before.def;
    for (old, known) in def.enclosures.iter().zip(&before.enclosures) {
        match after.enclosure(&old.id) {
            None => lost.push(loss(LossKind::Removed, At::Enclosure(&old.id), &old.name)),
            Some(new) => {
                let held = supposed || !known.holds.is_empty();
                // One that was given up proved nothing: edits would creep from one such to the next.
                let last = known.holds.iter().find(|h| h.abandoned.is_none());
                let last = last.or(known.holds.last()).map(|h| &h.setup);
                let judged: Vec<&HoldSetup> = (judged.iter())
                    .filter(|h| h.enclosure == old.id && h.abandoned.is_none())
                    .map(|h| &h.setup)
                    .collect();
                of_enclosure(old, new, held, (last, &judged), &mut lost);
                of_its_wall(old, new, proved(known), &mut lost);
            }
        }
    }
    for (old, known) in def.seals.iter().zip(&before.seals) {
        let at = def.enclosure(&old.enclosure);
        let name = at.map_or_else(|| old.name.clone(), |e| named(&old.name, e));
        let lose = |kind| loss(kind, At::Seal(&old.id), &name);
        let Some(new) = after.seal(&old.id) else {
            lost.push(lose(LossKind::Removed));
            continue;
        };
        of_limits(&old.limits, &new.limits, &lose, &mut lost);
        if old.enclosure != new.enclosure || (old.closure.is_some() && old.closure != new.closure) {
            lost.push(lose(LossKind::Elsewhere));
        }
        let sealed = before.enclosure(&old.enclosure);
        if sealed.is_some_and(proved) && other_ring(old, new) {
            lost.push(lose(LossKind::OtherRing));
        }
        // Unheard an old ring may have gone in, which the new material would pass.
        let unheard = supposed && other_ring(old, new);
        let lay_too_long = stored_too_long(old, known, true).is_some();
        if unheard || (lay_too_long && stored_too_long(new, known, true).is_none()) {
            lost.push(lose(LossKind::Stored));
        }
    }
    for old in def.controls.iter().filter(|c| c.assigned()) {
        let lose = |kind| loss(kind, At::Control(&old.id), &old.name);
        match after.control(&old.id) {
            None => lost.push(lose(LossKind::Removed)),
            Some(new) if !new.assigned() => lost.push(lose(LossKind::Unassigned)),
            Some(_) => {}
        }
    }
    // Who knows the rig in use records an opening with it.
    if let Some(chosen) = after.lens.as_deref()
        && supposed
        && def.lens.as_deref() != Some(chosen)
        && !in_use(before)
    {
        let lens = after.lenses.iter().find(|l| l.id == chosen);
        let name = lens.map_or(chosen, |l| &l.name);
        lost.push(loss(LossKind::OtherLens, At::Lens(chosen), name));
    }
    for old in &def.lenses {
        let mut same = after.lenses.iter().filter(|l| l.id == old.id);
        if same.any(|new| opens(new) != opens(old)) {
            lost.push(loss(LossKind::Elsewhere, At::Lens(&old.id), &old.name));
        }
    }
    lost
}

fn opens(lens: &LensConfig) -> (&str, &str) {
    (&lens.enclosure, &lens.closure)
}

fn loss(kind: LossKind, at: At<'_>, name: &str) -> Loss {
    Loss {
        at: at.to_string(),
        name: name.to_owned(),
        kind,
        from: None,
        to: None,
    }
}

fn named(what: &str, of: &Enclosure) -> String {
    format!("{what}, {}", of.name)
}

/// Whether an enclosure is closed, and a hold was begun on it as it is.
fn is_proved(rig: &RigFacts, enclosure: &EnclosureFacts) -> bool {
    closed_since(rig, enclosure).is_some_and(|closed| {
        (enclosure.holds.iter()).any(|h| rig.heard.after(&h.started, &closed.stamp))
    })
}

/// Whether a hold's figures are those that an edit is measured against: begun since the last build, and since the
/// last time that two stood behind other figures of its enclosure.
pub fn judged_by(rig: &RigFacts, hold: &HoldFacts) -> bool {
    let heard = |s: &Stamp| rig.heard.after(s, &hold.started);
    let at = At::Enclosure(&hold.enclosure);
    let of_it = |l: &Loss| {
        At::parse(&l.at) == at && matches!(l.kind, LossKind::Volume | LossKind::VolumeError)
    };
    let signed = |l: &LossFacts| {
        l.what.iter().any(of_it) && heard(&l.seen.stamp) && loss_word(rig, l).is_some()
    };
    !rig.built.iter().any(heard) && !rig.losses.iter().any(signed)
}

/// `held`: a fall of its gauge was judged, by the last hold's figures if one is known, and by those of the others
/// since the last build. Against all of them an edit is measured.
fn of_enclosure(
    old: &Enclosure,
    new: &Enclosure,
    held: bool,
    (setup, judged): (Option<&HoldSetup>, &[&HoldSetup]),
    lost: &mut Vec<Loss>,
) {
    let figure = |of: f64, of_hold: &dyn Fn(&HoldSetup) -> f64, stricter: fn(f64, f64) -> f64| {
        setup.map_or(of, |s| stricter(of, of_hold(s)))
    };
    let volume = figure(old.volume_l, &|s| 1e3 * s.volume_m3, f64::max);
    let known_to = figure(old.volume_sd_l, &|s| 1e3 * s.volume_sd_m3, f64::min);
    let error = figure(old.volume_sd_l, &|s| 1e3 * s.volume_sd_m3, f64::max);
    let limit = figure(old.limit(), &|s| s.limit_ml, f64::min);
    let tight = 1.0 + 1e-9;
    // A limit that follows from the volume isn't loosened by a volume that was measured.
    let follows = new.limit_ml.is_none() && old.limit_ml.is_none();
    let least_of = |volume: f64, sd: f64| volume - sd.max(ROUNDING * volume);
    let each = (judged.iter()).map(|s| least_of(1e3 * s.volume_m3, 1e3 * s.volume_sd_m3));
    let least = each.fold(least_of(volume, known_to), f64::max);
    let volume = (judged.iter())
        .map(|s| 1e3 * s.volume_m3)
        .fold(volume, f64::max);
    let error = (judged.iter())
        .map(|s| 1e3 * s.volume_sd_m3)
        .fold(error, f64::max);
    let matters = error > ERROR_MATTERS * old.volume_l;
    let (smaller, surer) = (
        new.volume_l * tight < old.volume_l,
        new.volume_sd_l * tight < old.volume_sd_l,
    );
    let set = new.limit_ml != old.limit_ml && new.limit() > limit * tight;
    // One that was set for a large volume, now said to be of a small one: set by way of the volume.
    let of_small = !held
        && new.limit_ml.is_some()
        && new.volume_l * tight < least
        && new.limit() > new.usual_limit() * tight
        && new.limit() * old.usual_limit() > old.limit() * new.usual_limit() * tight;
    for (kind, looser, from, to) in [
        (
            LossKind::LeakLimit,
            ((set || new.limit() > old.limit() * tight) && !follows) || of_small,
            if of_small && !set {
                new.usual_limit()
            } else {
                limit
            },
            new.limit(),
        ),
        (
            LossKind::DepthRating,
            new.depth_rating_m > old.depth_rating_m * tight,
            old.depth_rating_m,
            new.depth_rating_m,
        ),
        (
            LossKind::Volume,
            held && smaller && new.volume_l * tight < least,
            volume,
            new.volume_l,
        ),
        (
            LossKind::VolumeError,
            held && matters && surer && new.volume_sd_l < 0.5 * error,
            error,
            new.volume_sd_l,
        ),
    ] {
        if looser {
            lost.push(Loss {
                from: Some(from),
                to: Some(to),
                ..loss(kind, At::Enclosure(&new.id), &new.name)
            });
        }
    }
    let stays_in = |e: &Enclosure| e.valve.as_ref().is_some_and(|v| v.reads_with_plug_on);
    // A valve that was off the list says nothing of a plug: taken off and put on again it would hide it.
    if stays_in(new) && !stays_in(old) {
        lost.push(loss(
            LossKind::PlugStaysIn,
            At::Enclosure(&new.id),
            &new.name,
        ));
    }
}

/// What goes through the wall of an enclosure: its closures and penetrators.
fn of_its_wall(old: &Enclosure, new: &Enclosure, proved: bool, lost: &mut Vec<Loss>) {
    type Things<'a> = Vec<(&'a str, &'a str)>;
    fn closures_of(e: &Enclosure) -> Things<'_> {
        e.closures.iter().map(|c| (&*c.id, &*c.name)).collect()
    }
    fn penetrators_of(e: &Enclosure) -> Things<'_> {
        e.penetrators.iter().map(|p| (&*p.id, &*p.name)).collect()
    }
    for (at, before, after) in [
        (
            At::Closure as fn(_, _) -> _,
            closures_of(old),
            closures_of(new),
        ),
        (At::Penetrator, penetrators_of(old), penetrators_of(new)),
    ] {
        let missing = |from: &Things<'_>, id: &str| !from.iter().any(|(known, _)| *known == id);
        for (id, name) in before.iter().filter(|(id, _)| missing(&after, id)) {
            lost.push(loss(LossKind::Removed, at(&new.id, id), &named(name, new)));
        }
        for (id, name) in after.iter().filter(|(id, _)| missing(&before, id)) {
            if proved {
                lost.push(loss(LossKind::Added, at(&new.id, id), &named(name, new)));
            }
        }
    }
}

fn of_limits(
    old: &SealLimits,
    new: &SealLimits,
    lose: &dyn Fn(LossKind) -> Loss,
    lost: &mut Vec<Loss>,
) {
    for (kind, from, to) in [
        (LossKind::SealDays, old.hard_days, new.hard_days),
        (LossKind::SealOpenings, old.hard_openings, new.hard_openings),
        (LossKind::SealDives, old.hard_dives, new.hard_dives),
    ] {
        if from.is_some_and(|from| to.is_none_or(|to| to > from)) {
            lost.push(Loss {
                from: from.map(f64::from),
                to: to.map(f64::from),
                ..lose(kind)
            });
        }
    }
}

/// Whether a seal is said to hold another ring than it was said to. What nobody had said is no other.
fn other_ring(old: &Seal, new: &Seal) -> bool {
    let said = |text: &str| !text.trim().is_empty();
    (said(&old.size) && !oring::same_size(&old.size, &new.size))
        || (said(&old.material) && !oring::same_material(&old.material, &new.material))
        || (old.hardness_shore_a != 0 && old.hardness_shore_a != new.hardness_shore_a)
}

/// What is taken away by saying of the ring in a seal that it is in since a day, cured on another; with no day, by
/// taking back what was said.
pub fn losses_of_ring(
    rig: &RigFacts,
    seal: &str,
    since_ms: Option<i64>,
    cured: &str,
    now_ms: i64,
) -> Vec<Loss> {
    let (Some(def), Some(known)) = (rig.def.seal(seal), rig.seal(seal)) else {
        return Vec::new();
    };
    if !in_use(rig) {
        return Vec::new();
    }
    let at = rig.def.enclosure(&def.enclosure);
    let name = at.map_or_else(|| def.name.clone(), |e| named(&def.name, e));
    let lose = |kind| loss(kind, At::Seal(seal), &name);
    // A ring that was put in on record is in since then, whatever later day is said of it.
    let put_in = known.renewed.as_ref().map_or(i64::MAX, |r| r.wall_ms);
    let since_ms = since_ms.map(|ms| ms.min(put_in));
    let days = |ms: i64| now_ms.saturating_sub(ms) as f64 / 86_400_000.0;
    let mut lost = Vec::new();
    if let Some(was) = known.fitted_ms()
        && since_ms.is_none_or(|ms| ms > was)
    {
        lost.push(Loss {
            from: Some(days(was)),
            to: since_ms.map(days),
            ..lose(LossKind::RingAge)
        });
    }
    let said = |f: &Fitted| !f.cured.is_empty() && f.cured != cured;
    if known.rings().any(said) {
        lost.push(lose(LossKind::RingCured));
    }
    lost
}

/// Whether what an edit put on the list has been closed and held with since, so that nobody need say
/// that it was there: each enclosure was closed after the edit, and a hold counts only after its
/// closing. What went off the list again took its question with it, and what was said of a ring is over with
/// the ring. What an edit doesn't name is proved by nothing.
pub fn proved_since(rig: &RigFacts, edit: &LossFacts) -> bool {
    !edit.what.is_empty()
        && edit.what.iter().all(|l| {
            let closed = |e: &str| {
                rig.enclosure(e)
                    .is_none_or(|e| is_known(rig, &e.closed, &edit.seen.stamp))
            };
            if l.kind.is_of_a_ring() {
                let seal = match At::parse(&l.at) {
                    At::Seal(id) => rig.seal(id),
                    _ => None,
                };
                return seal.is_none_or(|s| is_known(rig, &s.renewed, &edit.seen.stamp));
            }
            l.kind.may_have_been_there() && enclosure_of(&rig.def, &l.at).is_none_or(closed)
        })
}

/// The enclosure of a closure, penetrator or seal.
fn enclosure_of<'a>(def: &'a RigDef, at: &'a str) -> Option<&'a str> {
    match At::parse(at) {
        At::Seal(id) => Some(&def.seal(id)?.enclosure),
        At::Enclosure(id) | At::Closure(id, _) | At::Penetrator(id, _) => Some(id),
        // Of anything else: if an enclosure is called so, better asked for than not.
        _ => at.split('/').nth(1),
    }
}

/// Whether anything was ever done with a rig that an edit could take away: before that it is being
/// set up, and the first build signs for it.
pub fn in_use(rig: &RigFacts) -> bool {
    let worked =
        |e: &EnclosureFacts| e.opened.is_some() || e.closed.is_some() || !e.holds.is_empty();
    rig.prep.is_some()
        || rig.dived.is_some()
        || rig.enclosures.iter().any(worked)
        || (rig.seals.iter()).any(|s| s.serviced.is_some() || !s.looked_at.is_empty())
        || (rig.controls.iter()).any(|c| c.works.is_some() || c.fails.is_some())
}

/// Whose word stands behind what an edit took away: that of who made it and a second member, or of
/// two members where nobody was named as having made it.
pub fn loss_word(rig: &RigFacts, loss: &LossFacts) -> Option<Word> {
    if rig.crew.named(&loss.seen.author) {
        return rig.crew.word(&loss.seen, &loss.signed);
    }
    let after =
        |s: &&Seen| rig.crew.named(&s.author) && rig.heard.after(&s.stamp, &loss.seen.stamp);
    let first = loss.signed.iter().find(after)?;
    if rig.crew.alone {
        let looks = loss.signed.iter().filter(after);
        let mut words = looks.map(|s| rig.crew.word(&made_by(rig, loss, &s.author), &loss.signed));
        return words.find_map(|word| word);
    }
    rig.crew.word(first, &loss.signed)
}

/// An edit as made by somebody: where nobody was named, in a crew of one, by its one member, who looks at it a
/// second time as at anything else.
pub fn made_by(rig: &RigFacts, loss: &LossFacts, member: &str) -> Seen {
    let mut seen = loss.seen.clone();
    if !rig.crew.named(&seen.author) {
        member.clone_into(&mut seen.author);
    }
    seen
}

/// Whether what an edit took away is still to be told: until a build is begun by who knew of it.
pub fn still_told(rig: &RigFacts, loss: &LossFacts) -> bool {
    let mut built = rig.built.iter();
    !built.any(|built| rig.heard.after(built, &loss.seen.stamp))
}

/// The faults on what is no longer on the rig, or no longer used, that nobody has answered.
pub fn standing_faults(rig: &RigFacts) -> impl Iterator<Item = &GoneFault> {
    rig.gone
        .iter()
        .filter(|g| !is_known(rig, &g.inspected, &g.seen.stamp))
}
