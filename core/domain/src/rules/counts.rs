//! What counts: closings, holds, plugs, rechecks, control tests.

use super::age::{ClockSetBack, Now, age_is_told, age_ms};
use super::voids::{News, Proof, unanswered};
use super::{is_known, knows};
use crate::facts::{HoldResult, HoldSetup, RecheckFact, RecheckFor, VerdictFact};
use crate::rig::{Control, Plan, Seal};
use crate::state::{
    BroughtLeak, ControlFacts, DeepDive, DefectFacts, EnclosureFacts, HoldFacts, PrepFacts,
    RecheckSeen, RigFacts, SealFacts, Seen, Told,
};
use crate::subject::At;
use slackwater_journal::{Heard, Stamp};
use slackwater_physics::hold::Dive;
use slackwater_physics::ingress::times_the_water;

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
    /// Made under a plan that the hold is no longer judged for.
    OtherPlan,
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

/// Whether an enclosure is closed, and since when: by somebody who knew of every opening and of any
/// service of its seals (which can't be done with the enclosure closed, so one that the closing didn't
/// know of means that it was opened).
pub fn closed_since<'a>(rig: &'a RigFacts, enclosure: &'a EnclosureFacts) -> Option<&'a Seen> {
    let closings = enclosure.closed.iter().flat_map(Told::all);
    let mut standing = closings.filter(|c| knows_openings(rig, enclosure, &c.stamp));
    let first = standing.next()?;
    Some(standing.fold(first, |a, b| if b.stamp > a.stamp { b } else { a }))
}

/// Where an enclosure that isn't closed was opened since it last was: its closures by id, none for 'not
/// known which'.
pub fn open_at<'a>(rig: &'a RigFacts, enclosure: &'a EnclosureFacts) -> Vec<Option<&'a str>> {
    if closed_since(rig, enclosure).is_some() {
        return Vec::new();
    }
    let mut at: Vec<Option<&str>> = opened_by_hand(enclosure)
        .filter(|(_, seen)| !is_known(rig, &enclosure.closed, &seen.stamp))
        .map(|(closure, _)| closure)
        .collect();
    at.sort_unstable();
    at.dedup();
    at
}

/// Whether what bears a stamp was written knowing every opening of an enclosure: recorded as one, to be
/// concluded from a seal's service or a look at its ring, or while it was off the rig, where nobody records
/// what is done to it.
fn knows_openings(rig: &RigFacts, enclosure: &EnclosureFacts, stamp: &Stamp) -> bool {
    knows(rig, stamp, &enclosure.opened)
        && knows(rig, stamp, &enclosure.added)
        && seals_of(rig, &enclosure.id).all(|(_, f)| {
            let mut looked = f.looked_at.iter();
            knows(rig, stamp, &f.serviced) && looked.all(|l| rig.heard.after(stamp, l))
        })
}

/// Whether what bears a stamp was written of an enclosure as it is closed now: knowing every opening
/// and every closing.
pub(crate) fn knows_shut(rig: &RigFacts, enclosure: &EnclosureFacts, stamp: &Stamp) -> bool {
    knows_openings(rig, enclosure, stamp) && knows(rig, stamp, &enclosure.closed)
}

/// The newest of each phone's holds of an enclosure that whoever began another had not heard of: one,
/// unless two were begun apart.
fn last_begun<'a>(
    rig: &'a RigFacts,
    enclosure: &'a EnclosureFacts,
) -> impl Iterator<Item = &'a HoldFacts> {
    let holds = &enclosure.holds;
    let begun = move || holds.iter().map(|h| &h.started);
    (holds.iter()).filter(move |h| rig.heard.is_last(&h.started, begun()))
}

/// Whether a seal needs service before its enclosure may be closed: disturbed since the last one,
/// or in a closure and never serviced, or with a ring in it that must not be there. A ring that no
/// closure disturbs (in a penetrator, a shaft) needs none until something does.
pub fn needs_service(rig: &RigFacts, def: &Seal, seal: &SealFacts) -> bool {
    if faulty(rig, seal).is_some() {
        return true;
    }
    let undisturbed = seal.disturbed.is_none() && def.closure.is_none();
    let mut services = seal.serviced.iter().flat_map(Told::all);
    !undisturbed && !services.any(|s| knows(rig, &s.stamp, &seal.disturbed))
}

/// The last hold of an enclosure if it counts, without the plug.
///
/// # Errors
/// Why it doesn't.
pub fn counting_hold<'a>(
    rig: &'a RigFacts,
    enclosure: &'a EnclosureFacts,
) -> Result<&'a HoldFacts, HoldMissing> {
    if closed_since(rig, enclosure).is_none() {
        return Err(HoldMissing::None);
    }
    // Of two begun apart each must do: neither knew that the other worked the valve.
    let mut last: Option<&HoldFacts> = None;
    for hold in last_begun(rig, enclosure) {
        counts(rig, enclosure, hold)?;
        if last.is_none_or(|l| hold.started > l.started) {
            last = Some(hold);
        }
    }
    last.ok_or(HoldMissing::None)
}

/// Whether a hold counts, by itself.
fn counts<'a>(
    rig: &'a RigFacts,
    enclosure: &'a EnclosureFacts,
    last: &'a HoldFacts,
) -> Result<(), HoldMissing> {
    if !knows_shut(rig, enclosure, &last.started) {
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
    let plan = rig.def.plan;
    // Without a verdict for another plan, or leaking for a harder one, as one that was mistyped: judged for
    // this one it may have another.
    let other = plan.depth_m != result.depth_m || plan.minutes != result.minutes;
    let harder = other && plan.depth_m <= result.depth_m && plan.minutes <= result.minutes;
    if (result.verdict == VerdictFact::NotYet && other)
        || (result.verdict == VerdictFact::Leaking && harder)
    {
        return Err(HoldMissing::OtherPlan { hold: hold() });
    }
    match result.verdict {
        VerdictFact::Leaking => return Err(HoldMissing::Leaking { hold: hold() }),
        VerdictFact::NotYet => return Err(HoldMissing::NotYet { hold: hold() }),
        VerdictFact::Holding => {}
    }
    // Another device's hold that found a leak which whoever began this one had not heard of: the worse
    // news stands, also where the closing was recorded again in between. Only an opening answers it.
    let against = enclosure.holds.iter().find(|h| {
        h.id != last.id
            && !opened_after(rig, enclosure, &h.started)
            && h.concluded.as_ref().is_some_and(|(stamp, _, r)| {
                r.verdict == VerdictFact::Leaking && !rig.heard.after(&last.started, stamp)
            })
    });
    if let Some(h) = against {
        return Err(HoldMissing::Leaking { hold: h.id.clone() });
    }
    // A log that was brought in since, of this vacuum: its leak stands until an opening, or a new hold.
    let brought = enclosure.brought_leaks.iter().find(|b| {
        !is_earlier(b, last)
            && !rig.heard.after(&last.started, &b.stamp)
            && !opened_after(rig, enclosure, &b.stamp)
    });
    if let Some(b) = brought {
        return Err(HoldMissing::Leaking {
            hold: b.hold.clone(),
        });
    }
    let def = rig.def.enclosure(&enclosure.id);
    let limit = def.map_or(0.0, |d| d.limit());
    let Plan {
        depth_m, minutes, ..
    } = rig.def.plan;
    let tight = 1.0 + 1e-9;
    let volume_sd_m3 = result.volume_sd_m3.unwrap_or(last.setup.volume_sd_m3);
    if depth_m > result.depth_m * tight
        || minutes > result.minutes * tight
        || limit * tight < result.limit_ml
        || more_water(&last.setup, result, &rig.def.plan)
        // A larger free volume makes the same fall of the gauge a larger leak.
        || def.is_some_and(|d| d.volume_l * 1e-3 > result.volume_m3 * tight)
        // One that is known worse may be as much larger.
        || def.is_some_and(|d| d.volume_sd_l * 1e-3 > volume_sd_m3 * tight)
    {
        return Err(HoldMissing::OtherPlan { hold: hold() });
    }
    Ok(())
}

/// Two devices' clocks may be so far apart, ms. Common practice: phones that are set by a network differ by seconds,
/// a logger that is set by hand by minutes.
const CLOCKS_APART_MS: i64 = 60 * 60_000;

/// Whether a log that was brought in is of an earlier vacuum than a hold's: it was over an hour before that began. One
/// that doesn't say when, and any beside a hold that lies ahead of the clock that brought it in, is of now.
fn is_earlier(brought: &BroughtLeak, hold: &HoldFacts) -> bool {
    let over = |until: i64| until < hold.started_ms.saturating_sub(CLOCKS_APART_MS);
    hold.started_ms <= brought.wall_ms && brought.until_ms.is_some_and(over)
}

/// Whether a hold or a recheck before the hold that counts found a leak, and nothing was opened in between: hose and
/// valve may have been it, or it is there still.
pub fn leaked_before(rig: &RigFacts, enclosure: &EnclosureFacts, counts: &HoldFacts) -> bool {
    let known = |s: &Stamp| rig.heard.after(&counts.started, s) && !opened_after(rig, enclosure, s);
    let brought = |b: &BroughtLeak| {
        known(&b.stamp) || (is_earlier(b, counts) && !opened_after(rig, enclosure, &b.stamp))
    };
    if enclosure.leaked.iter().any(known) || enclosure.brought_leaks.iter().any(brought) {
        return true;
    }
    enclosure.holds.iter().any(|h| {
        let leaked =
            (h.concluded.as_ref()).filter(|(_, _, r)| r.verdict == VerdictFact::Leaking || r.gone);
        h.id != counts.id
            && leaked.is_some_and(|(stamp, ..)| {
                rig.heard.after(&counts.started, stamp) && !opened_after(rig, enclosure, &h.started)
            })
    })
}

/// Whether an enclosure was opened by somebody who knew of what bears a stamp: recorded as an opening,
/// or to be concluded from a ring that was worked on after the closing.
fn opened_after(rig: &RigFacts, enclosure: &EnclosureFacts, stamp: &Stamp) -> bool {
    let touched = |t: &Stamp| {
        let closings = enclosure.closed.iter().flat_map(Told::all);
        let mut known = closings.map(|c| rig.heard.after(&c.stamp, t));
        rig.heard.after(t, stamp) && !known.any(|k| k)
    };
    is_known(rig, &enclosure.opened, stamp)
        || seals_of(rig, &enclosure.id).any(|(_, f)| {
            let mut services = f.serviced.iter().flat_map(Told::all);
            services.any(|s| touched(&s.stamp)) || f.looked_at.iter().any(touched)
        })
}

/// Whether the same leak lets in more water on the planned dive than on the one a hold was judged for:
/// warm fresh water is thinner than cold salt water.
pub(super) fn more_water(setup: &HoldSetup, result: &HoldResult, plan: &Plan) -> bool {
    let judged = Dive {
        depth_m: result.depth_m,
        minutes: result.minutes,
        salinity_g_kg: result.salinity_g_kg.unwrap_or(setup.salinity_g_kg),
        water_k: result.water_k.unwrap_or(setup.water_k),
    };
    lets_in_more(&judged, plan)
}

/// As [`more_water`], of any dive.
fn lets_in_more(judged: &Dive, plan: &Plan) -> bool {
    let times = times_the_water(judged, &plan.dive());
    // Not a number is no less.
    times > 1.0 + 1e-9 || times.is_nan()
}

/// Whether what bears a stamp was written in a prep, and since a step of it was last opened again.
pub fn within_step(prep: &PrepFacts, step: &str, stamp: &Stamp) -> bool {
    let reopened = &prep.step(step).reopened;
    prep.heard.after(stamp, &prep.started) && crate::state::knows(&prep.heard, stamp, reopened)
}

/// Who last put the plug in, knowing every time that it came out and every opening; none where it isn't
/// in for all that is known.
pub fn plug_in<'a>(rig: &RigFacts, enclosure: &'a EnclosureFacts) -> Option<&'a Seen> {
    let mut fitted = enclosure.plug_on.iter().flat_map(Told::all);
    fitted.find(|on| stays_in(rig, enclosure, on))
}

/// Whether a plug that was put in is in for all that is known.
fn stays_in(rig: &RigFacts, enclosure: &EnclosureFacts, on: &Seen) -> bool {
    knows(rig, &on.stamp, &enclosure.plug_off)
        && knows(rig, &on.stamp, &enclosure.opened)
        && knows(rig, &on.stamp, &enclosure.added)
}

/// How an enclosure stands as the rig goes into the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WentIn {
    /// Closed, held and plugged.
    Proved,
    /// Proved, and its plug is out.
    PlugOut,
    /// Closed, and no hold counts.
    Unproved,
    /// Not closed for all that is known.
    Open,
}

/// How an enclosure stands that a stay in the water is said of.
pub fn went_in(rig: &RigFacts, enclosure: &EnclosureFacts) -> WentIn {
    if closed_since(rig, enclosure).is_none() {
        WentIn::Open
    } else if counting_hold(rig, enclosure).is_err() {
        WentIn::Unproved
    } else if plug_in(rig, enclosure).is_none() {
        WentIn::PlugOut
    } else {
        WentIn::Proved
    }
}

/// The enclosures that are recorded as open, or as proved and without their plug: gone in so, there may be water in
/// them.
pub fn went_in_open(rig: &RigFacts) -> impl Iterator<Item = &EnclosureFacts> {
    let open = |e: &&EnclosureFacts| matches!(went_in(rig, e), WentIn::Open | WentIn::PlugOut);
    rig.enclosures.iter().filter(open)
}

/// Whether the plug is on, refitted after a hold was concluded and not taken out since. A verdict given
/// again on the same readings, for another plan, takes no plug out.
pub fn plug_refitted(rig: &RigFacts, enclosure: &EnclosureFacts, hold: &HoldFacts) -> bool {
    plug_after(rig, enclosure, hold).is_some()
}

/// Who refitted the plug so.
fn plug_after<'a>(
    rig: &RigFacts,
    enclosure: &'a EnclosureFacts,
    hold: &HoldFacts,
) -> Option<&'a Seen> {
    let fitted = enclosure.plug_on.iter().flat_map(Told::all);
    let standing = fitted.filter(|on| {
        let after = |stamp: &Stamp| rig.heard.after(&on.stamp, stamp);
        ends(hold).any(|end| after(&end))
            && enclosure.holds.iter().all(|h| after(&h.started))
            && stays_in(rig, enclosure, on)
    });
    standing.max_by_key(|on| on.stamp)
}

/// The putting in of an enclosure's plug that is looked at and signed for: the one that counts for the
/// hold that counts, else the one that is in for all that is known, else the last.
pub fn plug_of<'a>(rig: &'a RigFacts, enclosure: &'a EnclosureFacts) -> Option<&'a Seen> {
    let hold = counting_hold(rig, enclosure).ok();
    hold.and_then(|h| plug_after(rig, enclosure, h))
        .or_else(|| plug_in(rig, enclosure))
        .or(enclosure.plug_on.as_deref())
}

/// When a hold's readings were over, for those who gave a verdict on all of them.
fn ends(hold: &HoldFacts) -> impl Iterator<Item = Stamp> + '_ {
    let given = hold.ended.iter().map(|e| e.0);
    given.chain(hold.concluded.iter().map(|c| c.0))
}

/// A recheck under the plan that the verdict was given for before the one that stands.
pub fn of_other_plan<'a>(
    rig: &RigFacts,
    enclosure: &'a EnclosureFacts,
    hold: &HoldFacts,
) -> Option<&'a (Seen, RecheckFact)> {
    let last = enclosure.recheck.as_ref()?;
    let after = |stamp: &Stamp| rig.heard.after(&last.0.stamp, stamp);
    let before = !after(&concluded(hold)) && ends(hold).any(|end| after(&end));
    let eased = last
        .1
        .judged_for
        .is_some_and(|f| asked_less(rig, enclosure, &f));
    ((before || eased) && last.1.hold == hold.id && !mistyped(enclosure, &last.0)).then_some(last)
}

/// Whether a recheck was to tell less than what is planned now asks: an easier dive, a larger limit, or a smaller
/// volume in which the same leak shows sooner.
fn asked_less(rig: &RigFacts, enclosure: &EnclosureFacts, of: &RecheckFor) -> bool {
    let Some(def) = rig.def.enclosure(&enclosure.id) else {
        return true;
    };
    let then = Dive {
        depth_m: of.depth_m,
        minutes: of.minutes,
        salinity_g_kg: of.salinity_g_kg,
        water_k: of.water_k,
    };
    let tight = 1.0 + 1e-9;
    lets_in_more(&then, &rig.def.plan)
        || def.limit() * tight < of.limit_ml
        || def.volume_l * 1e-3 > of.volume_m3 * tight
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
    if of_other_plan(rig, enclosure, hold).is_some() {
        return Err(RecheckMissing::OtherPlan);
    }
    if !rig.heard.after(&seen.stamp, &concluded(hold))
        || recheck.hold != hold.id
        || mistyped(enclosure, seen)
    {
        return Err(RecheckMissing::None);
    }
    match recheck.verdict {
        VerdictFact::Leaking => return Err(RecheckMissing::Changed),
        VerdictFact::NotYet => return Err(RecheckMissing::Unclear),
        VerdictFact::Holding => {}
    }
    // One made apart from it that could not tell: whoever wrote this one had not heard of it.
    let apart = |r: &RecheckSeen| {
        r.fact.hold == hold.id
            && r.seen.stamp != seen.stamp
            && r.fact.verdict == VerdictFact::NotYet
            && !rig.heard.after(&seen.stamp, &r.seen.stamp)
    };
    if enclosure.rechecks.iter().any(apart) {
        return Err(RecheckMissing::Unclear);
    }
    // One of another hold, made apart: which vacuum was left behind last isn't known.
    let of_another =
        |(s, f): &(Seen, RecheckFact)| f.hold != hold.id && !rig.heard.after(&seen.stamp, &s.stamp);
    if enclosure.rechecks_of_others.iter().any(of_another) {
        return Err(RecheckMissing::None);
    }
    let proof = Proof::Recheck {
        enclosure: &enclosure.id,
    };
    match unanswered(rig, &[proof], &seen.stamp) {
        Some((_, News::PlugOut { .. })) => return Err(RecheckMissing::PlugOut),
        Some((_, News::Dived)) => return Err(RecheckMissing::Dived),
        Some(_) => return Err(RecheckMissing::None),
        None => {}
    }
    let age = age_ms(seen, recheck.reading.boot, now)
        .map_err(|ClockSetBack| RecheckMissing::ClockSetBack)?;
    if age >= rig.recheck_limit_ms {
        return Err(RecheckMissing::TooOld { age_ms: age });
    }
    if !age_is_told(recheck.reading.boot, now) {
        return Err(RecheckMissing::ClockSetBack);
    }
    Ok(age)
}

/// The last recheck that found a change since that hold and was not called a slip at once. It stands
/// until a new hold, whatever was read later; also beside a hold that was begun without knowing of it.
pub fn changed_since<'a>(enclosure: &'a EnclosureFacts, hold: &str) -> Option<&'a RecheckSeen> {
    let of = |r: &&RecheckSeen| r.fact.hold == hold && r.stands_changed();
    let of_this = enclosure.rechecks.iter().rev().find(of);
    of_this.or(enclosure.changes_apart.last())
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
    let Some(enclosure) = closed_one(rig, &def.enclosure) else {
        return false;
    };
    let mut works = control.works.iter().flat_map(Told::all);
    works.any(|w| {
        knows(rig, &w.stamp, &enclosure.closed)
            && knows(rig, &w.stamp, &control.changed)
            && knows(rig, &w.stamp, &control.fails)
    })
}

/// Whether a control was tried since its enclosure was closed, and failed.
pub fn control_failed(rig: &RigFacts, def: &Control, control: &ControlFacts) -> bool {
    let Some(enclosure) = closed_one(rig, &def.enclosure) else {
        return false;
    };
    let mut fails = control.fails.iter().flat_map(Told::all);
    fails.any(|f| {
        !is_known(rig, &control.works, &f.stamp) && !is_known(rig, &enclosure.closed, &f.stamp)
    })
}

/// The assigned controls that were not tested, or failed, since their enclosure was closed.
pub fn untested(rig: &RigFacts) -> Vec<&str> {
    (rig.def.controls.iter().zip(&rig.controls))
        .filter(|(def, facts)| def.assigned() && !control_proved(rig, def, facts))
        .map(|(def, _)| def.id.as_str())
        .collect()
}

/// The enclosures that water found may have been in: the one named, or all that were on the rig then where
/// the place is none of them (a port, a part, the rig as a whole).
pub fn wet<'a>(
    heard: &'a Heard,
    enclosures: &'a [EnclosureFacts],
    defect: &'a DefectFacts,
) -> impl Iterator<Item = &'a EnclosureFacts> {
    let named = match At::parse(&defect.at) {
        At::Enclosure(id) => Some(id).filter(|id| enclosures.iter().any(|e| e.id == *id)),
        _ => None,
    };
    enclosures.iter().filter(move |e| match named {
        Some(id) => e.id == id,
        // All but what came onto the rig later.
        None => {
            let mut listed = e.listed.iter();
            e.listed.is_empty() || listed.any(|l| !heard.after(l, &defect.opened))
        }
    })
}

/// The enclosures that have to be opened and looked into before a defect can be called put right:
/// where water was found, those that were not opened since.
pub fn to_look_into<'a>(rig: &'a RigFacts, defect: &'a DefectFacts) -> Vec<&'a str> {
    if !defect.water {
        return Vec::new();
    }
    wet(&rig.heard, &rig.enclosures, defect)
        .filter(|e| !is_known(rig, &e.opened, &defect.opened))
        .map(|e| e.id.as_str())
        .collect()
}

/// The dive below its rating that nobody has looked an enclosure over since.
pub fn too_deep<'a>(rig: &RigFacts, enclosure: &'a EnclosureFacts) -> Option<&'a DeepDive> {
    let looked = |d: &&DeepDive| !is_known(rig, &enclosure.inspected, &d.seen.stamp);
    enclosure.too_deep.iter().find(looked)
}

fn closed_one<'a>(rig: &'a RigFacts, enclosure: &str) -> Option<&'a EnclosureFacts> {
    let enclosure = rig.enclosure(enclosure)?;
    closed_since(rig, enclosure)?;
    Some(enclosure)
}

/// The openings of an enclosure that were recorded as such: the newest of each closure by each phone.
pub(super) fn opened_by_hand(
    enclosure: &EnclosureFacts,
) -> impl Iterator<Item = (Option<&str>, &Seen)> {
    (enclosure.openings.iter()).flat_map(|(closure, told)| {
        let closure = Some(closure.as_str()).filter(|c| !c.is_empty());
        told.all().map(move |seen| (closure, seen))
    })
}

/// Whether the ring in a seal is one that must not go back: found so, no new one put in since, and
/// nobody who looked again found otherwise.
pub fn faulty<'a>(rig: &RigFacts, seal: &'a SealFacts) -> Option<&'a Seen> {
    let found = seal.faulty.as_ref();
    found.filter(|f| !is_known(rig, &seal.renewed, &f.stamp))
}

pub(crate) fn seals_of<'a>(
    rig: &'a RigFacts,
    enclosure: &'a str,
) -> impl Iterator<Item = (&'a Seal, &'a SealFacts)> {
    rig.def
        .seals
        .iter()
        .zip(&rig.seals)
        .filter(move |(d, _)| d.enclosure == enclosure)
}
