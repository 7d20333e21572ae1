//! What counts: closings, holds, plugs, rechecks, control tests.

use super::age::{ClockSetBack, Now, age_ms};
use super::stamp;
use super::voids::{News, Proof, last_news};
use crate::domain::facts::{HoldResult, HoldSetup, VerdictFact};
use crate::domain::rig::{Control, Plan, Seal};
use crate::domain::state::{
    ControlFacts, DeepDive, DefectFacts, EnclosureFacts, HoldFacts, RecheckSeen, RigFacts,
    SealFacts, Seen,
};
use crate::journal::Stamp;
use crate::physics::hold::Dive;
use crate::physics::ingress::times_the_water;

/// Why there is no counting hold.
#[derive(Debug, Clone, PartialEq)]
pub enum HoldMissing {
    /// None since the enclosure was closed.
    None,
    /// One is under way.
    Running {
        /// Its id.
        hold: String,
    },
    /// It ended without a verdict.
    NotYet {
        /// Its id.
        hold: String,
    },
    /// It leaked.
    Leaking {
        /// Its id.
        hold: String,
    },
    /// It was given up.
    Abandoned {
        /// Its id.
        hold: String,
    },
    /// The plan has become deeper, longer or stricter since.
    OtherPlan {
        /// Its id.
        hold: String,
    },
    /// Readings are known, from whichever phone, that its verdict does not cover.
    MoreReadings {
        /// Its id.
        hold: String,
    },
}

/// Why there is no recheck that counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecheckMissing {
    /// None since the hold.
    None,
    /// Older than the crew's limit.
    TooOld {
        /// Its age, ms.
        age_ms: i64,
    },
    /// The rig has been in the water since, or work was begun that follows a dive.
    Dived,
    /// The plug came out since.
    PlugOut,
    /// The vacuum changed by more than weather explains.
    Changed,
    /// It could not tell.
    Unclear,
    /// It lies in the future: the clock was set back.
    ClockSetBack,
}

/// Whether an enclosure is closed, and since when: its closing is later than its opening and than
/// any service of its seals (which can't be done with the enclosure closed, so a later one means
/// that it was opened).
pub fn closed_since<'a>(rig: &'a RigFacts, enclosure: &'a EnclosureFacts) -> Option<&'a Seen> {
    let closed = enclosure.closed.as_ref()?;
    (closed.stamp > opened_at(rig, enclosure)).then_some(closed)
}

/// The last opening of an enclosure: recorded as one, or to be concluded from a seal's service.
pub(in crate::domain) fn opened_at(rig: &RigFacts, enclosure: &EnclosureFacts) -> Stamp {
    let touched = seals_of(rig, &enclosure.id)
        .map(|(_, f)| stamp(&f.serviced).max(f.looked_at.unwrap_or(Stamp::NEVER)))
        .max();
    // A service, or a look at a ring, is an opening only where it came after the closing.
    let closed = stamp(&enclosure.closed);
    let touched = touched.filter(|t| *t > closed).unwrap_or(Stamp::NEVER);
    stamp(&enclosure.opened).max(touched)
}

/// Whether a seal needs service before its enclosure may be closed: disturbed since the last one,
/// or in a closure and never serviced, or with a ring in it that must not be there. A ring that no
/// closure disturbs (in a penetrator, a shaft) needs none until something does.
pub fn needs_service(def: &Seal, seal: &SealFacts) -> bool {
    let never = seal.serviced.is_none() && def.closure.is_some();
    never || stamp(&seal.disturbed) > stamp(&seal.serviced) || faulty(seal).is_some()
}

/// The last hold of an enclosure if it counts, without the plug.
///
/// # Errors
/// Why it doesn't.
pub fn counting_hold<'a>(
    rig: &'a RigFacts,
    enclosure: &'a EnclosureFacts,
) -> Result<&'a HoldFacts, HoldMissing> {
    let closed = closed_since(rig, enclosure).map_or(Stamp::NEVER, |c| c.stamp);
    if closed == Stamp::NEVER {
        return Err(HoldMissing::None);
    }
    let Some(last) = enclosure.holds.iter().max_by_key(|h| h.started) else {
        return Err(HoldMissing::None);
    };
    if last.started < closed {
        return Err(HoldMissing::None);
    }
    let hold = || last.id.clone();
    if last.abandoned.is_some() {
        return Err(HoldMissing::Abandoned { hold: hold() });
    }
    let Some((_, _, result)) = &last.concluded else {
        return Err(HoldMissing::Running { hold: hold() });
    };
    // Whoever ended it: what all readings say is what counts.
    if result.covers.is_some_and(|covers| covers < last.entries) {
        return Err(HoldMissing::MoreReadings { hold: hold() });
    }
    match result.verdict {
        VerdictFact::Leaking => return Err(HoldMissing::Leaking { hold: hold() }),
        VerdictFact::NotYet => return Err(HoldMissing::NotYet { hold: hold() }),
        VerdictFact::Holding => {}
    }
    // Another device's hold over the same time that found a leak: the worse news stands, also
    // where the closing was recorded again in between. Only an opening answers it.
    let opened = opened_at(rig, enclosure);
    let against = enclosure.holds.iter().find(|h| {
        h.id != last.id
            && h.started > opened
            && h.concluded.as_ref().is_some_and(|(stamp, _, r)| {
                *stamp > last.started && r.verdict == VerdictFact::Leaking
            })
    });
    if let Some(h) = against {
        return Err(HoldMissing::Leaking { hold: h.id.clone() });
    }
    let def = rig.def.enclosure(&enclosure.id);
    let limit = def.map_or(0.0, |d| d.limit());
    let Plan {
        depth_m, minutes, ..
    } = rig.def.plan;
    let tight = 1.0 + 1e-9;
    if depth_m > result.depth_m * tight
        || minutes > result.minutes * tight
        || limit * tight < result.limit_ml
        || more_water(&last.setup, result, &rig.def.plan)
        // A larger free volume makes the same fall of the gauge a larger leak.
        || def.is_some_and(|d| d.volume_l * 1e-3 > result.volume_m3 * tight)
    {
        return Err(HoldMissing::OtherPlan { hold: hold() });
    }
    Ok(last)
}

/// Whether the same leak lets in more water on the planned dive than on the one a hold was judged for:
/// warm fresh water is thinner than cold salt water.
fn more_water(setup: &HoldSetup, result: &HoldResult, plan: &Plan) -> bool {
    let judged = Dive {
        depth_m: result.depth_m,
        minutes: result.minutes,
        salinity_g_kg: result.salinity_g_kg.unwrap_or(setup.salinity_g_kg),
        water_k: result.water_k.unwrap_or(setup.water_k),
    };
    let times = times_the_water(&judged, &plan.dive());
    // Not a number is no less.
    times > 1.0 + 1e-9 || times.is_nan()
}

/// Whether the plug is on, refitted after a hold was concluded and not taken out since.
pub fn plug_refitted(enclosure: &EnclosureFacts, hold: &HoldFacts) -> bool {
    let proved = concluded(hold).max(hold.started);
    let on = stamp(&enclosure.plug_on);
    on > proved && on > stamp(&enclosure.plug_off) && on > stamp(&enclosure.opened)
}

fn concluded(hold: &HoldFacts) -> Stamp {
    hold.concluded.as_ref().map_or(Stamp::NEVER, |c| c.0)
}

/// The last recheck of an enclosure, if it counts: of the hold that counts, made after it, with
/// nothing since that voids it (a dive, the plug taken out), and younger than the crew's limit. Gives
/// its age, ms.
///
/// # Errors
/// Why it doesn't.
pub fn counting_recheck(
    rig: &RigFacts,
    enclosure: &EnclosureFacts,
    now: Now,
) -> Result<i64, RecheckMissing> {
    let hold = counting_hold(rig, enclosure).map_err(|_| RecheckMissing::None)?;
    if changed_since(enclosure, &hold.id).is_some() {
        return Err(RecheckMissing::Changed);
    }
    let (seen, recheck) = enclosure.recheck.as_ref().ok_or(RecheckMissing::None)?;
    if seen.stamp <= concluded(hold) || recheck.hold != hold.id || mistyped(enclosure, seen) {
        return Err(RecheckMissing::None);
    }
    match recheck.verdict {
        VerdictFact::Leaking => return Err(RecheckMissing::Changed),
        VerdictFact::NotYet => return Err(RecheckMissing::Unclear),
        VerdictFact::Holding => {}
    }
    let proof = Proof::Recheck {
        enclosure: &enclosure.id,
    };
    match last_news(rig, &[proof]) {
        Some((news, News::PlugOut { .. })) if news.stamp > seen.stamp => {
            return Err(RecheckMissing::PlugOut);
        }
        Some((news, News::Dived)) if news.stamp > seen.stamp => return Err(RecheckMissing::Dived),
        Some((news, _)) if news.stamp > seen.stamp => return Err(RecheckMissing::None),
        _ => {}
    }
    let age = age_ms(seen, recheck.reading.boot, now)
        .map_err(|ClockSetBack| RecheckMissing::ClockSetBack)?;
    if age >= rig.recheck_limit_ms {
        return Err(RecheckMissing::TooOld { age_ms: age });
    }
    Ok(age)
}

/// The last recheck that found a change since that hold and was not called a slip at once. It stands
/// until a new hold, whatever was read later.
pub fn changed_since<'a>(enclosure: &'a EnclosureFacts, hold: &str) -> Option<&'a RecheckSeen> {
    let of = |r: &&RecheckSeen| r.fact.hold == hold && r.stands_changed();
    enclosure.rechecks.iter().rev().find(of)
}

/// Whether the recheck seen then was said to be a slip of typing.
pub fn mistyped(enclosure: &EnclosureFacts, seen: &Seen) -> bool {
    let at = |r: &&RecheckSeen| r.seen.stamp == seen.stamp;
    let found = enclosure.rechecks.iter().find(at);
    found.is_some_and(|r| r.slip.is_some())
}

/// Whether a control was tried since its enclosure was closed and since an edit gave it another
/// function, and works.
pub fn control_proved(rig: &RigFacts, def: &Control, control: &ControlFacts) -> bool {
    let (works, fails) = (stamp(&control.works), stamp(&control.fails));
    closed_at(rig, &def.enclosure)
        .is_some_and(|closed| works > closed.max(stamp(&control.changed)) && works > fails)
}

/// Whether a control was tried since its enclosure was closed, and failed.
pub fn control_failed(rig: &RigFacts, def: &Control, control: &ControlFacts) -> bool {
    let (works, fails) = (stamp(&control.works), stamp(&control.fails));
    fails > works && closed_at(rig, &def.enclosure).is_some_and(|closed| fails > closed)
}

/// The assigned controls that were not tested, or failed, since their enclosure was closed.
pub fn untested(rig: &RigFacts) -> Vec<&str> {
    (rig.def.controls.iter().zip(&rig.controls))
        .filter(|(def, facts)| def.assigned() && !control_proved(rig, def, facts))
        .map(|(def, _)| def.id.as_str())
        .collect()
}

/// The enclosures that water found may have been in: the one named, or all that were on the rig then.
pub fn wet<'a>(
    enclosures: &'a [EnclosureFacts],
    defect: &'a DefectFacts,
) -> impl Iterator<Item = &'a EnclosureFacts> {
    let named = defect.at.strip_prefix("enclosure/");
    enclosures.iter().filter(move |e| match named {
        Some(id) => e.id == id,
        None => stamp(&e.added) < defect.opened,
    })
}

/// The enclosures that have to be opened and looked into before a defect can be called put right:
/// where water was found, those that were not opened since.
pub fn to_look_into<'a>(rig: &'a RigFacts, defect: &'a DefectFacts) -> Vec<&'a str> {
    if !defect.water {
        return Vec::new();
    }
    wet(&rig.enclosures, defect)
        .filter(|e| stamp(&e.opened) < defect.opened)
        .map(|e| e.id.as_str())
        .collect()
}

/// The dive below its rating that nobody has looked an enclosure over since.
pub fn too_deep(enclosure: &EnclosureFacts) -> Option<&DeepDive> {
    let deep = enclosure.too_deep.as_ref()?;
    (deep.seen.stamp > stamp(&enclosure.inspected)).then_some(deep)
}

fn closed_at(rig: &RigFacts, enclosure: &str) -> Option<Stamp> {
    Some(closed_since(rig, rig.enclosure(enclosure)?)?.stamp)
}

/// The openings of an enclosure that were recorded as such: the newest of each closure.
pub(super) fn opened_by_hand(
    enclosure: &EnclosureFacts,
) -> impl Iterator<Item = (Option<&str>, &Seen)> {
    (enclosure.openings.iter())
        .map(|(closure, seen)| (Some(closure.as_str()).filter(|c| !c.is_empty()), seen))
}

/// Whether the ring in a seal is one that must not go back: found so, no new one put in since, and
/// nobody who looked again found otherwise.
pub fn faulty(seal: &SealFacts) -> Option<&Seen> {
    seal.faulty
        .as_ref()
        .filter(|f| f.stamp > stamp(&seal.renewed))
}

pub(in crate::domain) fn seals_of<'a>(
    rig: &'a RigFacts,
    enclosure: &'a str,
) -> impl Iterator<Item = (&'a Seal, &'a SealFacts)> {
    rig.def
        .seals
        .iter()
        .zip(&rig.seals)
        .filter(move |(d, _)| d.enclosure == enclosure)
}
