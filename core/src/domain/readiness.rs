//! May this rig go in the water now, and if not, what stands in the way?
//!
//! A pure function of what is known and of the clock. The rules (numbers as in the design):
//!
//! 1. Opening an enclosure voids its hold, its recheck, its plug state and its function tests, and
//!    disturbs the seals of the closure that was opened. Nothing but new evidence brings them back.
//!    Here: evidence counts only if its stamp is later than the opening's.
//! 2. A hold counts only for an enclosure that was closed before it began, with every disturbed
//!    seal serviced, a verdict of *holding*, and the plug refitted afterwards.
//! 3. A rig is ready only if each enclosure has a counting hold and a recheck younger than the
//!    crew's limit, no open defect blocks, no seal is past its hard limit, every assigned control
//!    was tested since the last closing, and each two-person step is signed by two members.
//!
//! Where the rules are silent, the answer is the careful one:
//! * Only the last hold of an enclosure counts: a new one has worked the valve, so what the one
//!   before it proved is gone. A hold that overlaps it on another device and found a leak stands
//!   against it.
//! * A plan deeper, longer or stricter than the one a hold was judged for needs a new judgement.
//! * Without a build or turnaround there are no two-person steps signed: not ready.
//! * A ring that must not go back (nicked, flattened, swollen, brittle) and went back all the same
//!   stands in the way until a new one is put in, or another member looks again and says that it
//!   wasn't so; a service doesn't mend it.
//! * A ring that was too old by its cure date when it was fitted is past a hard limit.
//! * A time that lies in the future means that the clock was set back: it proves nothing.

use super::facts::VerdictFact;
use super::procedure::{StepKind, Target};
use super::rig::{Plan, Seal};
use super::state::{EnclosureFacts, HoldFacts, RigFacts, SealFacts, Seen, StepState};
use super::trim::{Untrimmed, untrimmed};
use crate::journal::{Hlc, Stamp};
use crate::physics::oring::{self, GreaseBase, StorageRule, UseBy, Verdict};
use chrono::{DateTime, NaiveDate};

/// How far in the future a time may lie before the clock counts as set back, ms.
const CLOCK_SLACK_MS: i64 = 60_000;

/// What time it is, by both clocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Now {
    /// The device's clock, ms since 1970 UTC.
    pub wall_ms: i64,
    /// The newest event known: time can't be before it.
    pub newest: Hlc,
    /// The latest time that this device's clock ever showed, ms, and the newest event known then.
    /// What was recorded up to that event is at least as old as that.
    pub latest_seen: (i64, Hlc),
}

impl Now {
    /// A time of which nothing else is known.
    pub fn at(wall_ms: i64, newest: Hlc) -> Now {
        Now {
            wall_ms,
            newest,
            latest_seen: (wall_ms, newest),
        }
    }
}

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
    /// The vacuum changed by more than weather explains.
    Changed,
    /// It could not tell.
    Unclear,
    /// It lies in the future: the clock was set back.
    ClockSetBack,
}

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

/// How a ring is past a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PastLimit {
    /// By days since fitted.
    Days {
        /// How many.
        age: i64,
        /// The limit.
        limit: u32,
    },
    /// By openings since fitted.
    Openings {
        /// How many.
        count: u32,
        /// The limit.
        limit: u32,
    },
    /// By dives in salt water since fitted.
    Dives {
        /// How many.
        count: u32,
        /// The limit.
        limit: u32,
    },
    /// It was stored too long before it was fitted: by ISO 2230, counted from its cure date.
    Stored {
        /// The last day on which it might have been fitted.
        until: NaiveDate,
        /// The day it was.
        fitted: NaiveDate,
    },
}

/// What speaks against a ring's material where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MaterialDoubt {
    /// The grease in use swells or softens it.
    Grease {
        /// The grease.
        grease: GreaseBase,
        /// It is to be avoided; else only used where the maker says so.
        avoid: bool,
    },
    /// The planned water is colder or warmer than it is made for, °C.
    Temperature {
        /// The water, °C.
        water_c: f64,
        /// Coldest, °C.
        min_c: f64,
        /// Warmest, °C.
        max_c: f64,
    },
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
    /// The planned dive is deeper than an enclosure's rating.
    DeeperThanRated {
        /// Enclosure id.
        enclosure: String,
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
    /// A ring with a limit by age whose date isn't known.
    SealAgeUnknown {
        /// Seal id.
        seal: String,
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

/// Days in ms.
const DAY_MS: i64 = 86_400_000;

/// Whether an enclosure is closed, and since when: its closing is later than its opening and than
/// any service of its seals (which can't be done with the enclosure closed, so a later one means
/// that it was opened).
pub fn closed_since<'a>(rig: &'a RigFacts, enclosure: &'a EnclosureFacts) -> Option<&'a Seen> {
    let closed = enclosure.closed.as_ref()?;
    (closed.stamp > opened_at(rig, enclosure)).then_some(closed)
}

/// The last opening of an enclosure: recorded as one, or to be concluded from a seal's service.
fn opened_at(rig: &RigFacts, enclosure: &EnclosureFacts) -> Stamp {
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
        // A larger free volume makes the same fall of the gauge a larger leak.
        || def.is_some_and(|d| d.volume_l * 1e-3 > result.volume_m3 * tight)
    {
        return Err(HoldMissing::OtherPlan { hold: hold() });
    }
    Ok(last)
}

/// Whether the plug is on, refitted after `since`.
fn plug_on_since(enclosure: &EnclosureFacts, since: Stamp) -> bool {
    let on = stamp(&enclosure.plug_on);
    on > since && on > stamp(&enclosure.plug_off) && on > stamp(&enclosure.opened)
}

/// Something was seen in the future: the clock was set back since.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("it lies in the future: the clock was set back")]
pub struct ClockSetBack;

/// The age of something seen, by whichever clock says more.
///
/// # Errors
/// It lies in the future: the clock was set back.
pub fn age_ms(seen: &Seen, now: Now) -> Result<i64, ClockSetBack> {
    if seen.wall_ms > now.wall_ms.saturating_add(CLOCK_SLACK_MS) {
        return Err(ClockSetBack);
    }
    let by_wall = now.wall_ms.saturating_sub(seen.wall_ms);
    let by_events = now
        .wall_ms
        .max(now.newest.ms())
        .saturating_sub(seen.stamp.hlc().ms());
    let (latest_ms, at) = now.latest_seen;
    let by_latest = if seen.stamp.hlc() <= at {
        latest_ms.saturating_sub(seen.wall_ms)
    } else {
        0
    };
    Ok(by_wall.max(by_events).max(by_latest).max(0))
}

/// Whether the ring in a seal is one that must not go back: found so, no new one put in since, and
/// nobody who looked again found otherwise.
pub fn faulty(seal: &SealFacts) -> Option<&Seen> {
    seal.faulty
        .as_ref()
        .filter(|f| f.stamp > stamp(&seal.renewed))
}

/// Days since a ring was fitted, by whichever clock says more; none where not known.
pub fn age_days(seal: &SealFacts, now: Now) -> Option<i64> {
    let fitted = seal.fitted.as_ref()?;
    let (latest_ms, at) = now.latest_seen;
    let mut time = now.wall_ms.max(now.newest.ms());
    // What was said up to the newest event known then is at least as old as the clock showed then.
    if fitted.said.hlc() <= at {
        time = time.max(latest_ms);
    }
    Some(time.saturating_sub(fitted.ms).max(0) / DAY_MS)
}

/// How a ring was stored too long before it was fitted: by ISO 2230 with its one extension (hard),
/// or past the years without it (soft). None where its material, cure date or fitting isn't known.
pub fn stored_too_long(def: &Seal, seal: &SealFacts, hard: bool) -> Option<PastLimit> {
    let fitted = seal.fitted.as_ref()?;
    let cured = oring::cure_date(&fitted.cured).ok()?;
    // A date said later is taken at its word; one recorded as it was done is the later of two clocks.
    let ms = if fitted.dated {
        fitted.ms
    } else {
        fitted.ms.max(fitted.said.hlc().ms())
    };
    let day = DateTime::from_timestamp_millis(ms)?.date_naive();
    let rule = if hard {
        StorageRule::Iso2230Extended
    } else {
        StorageRule::Iso2230
    };
    match oring::use_by(&def.material, cured, rule) {
        Ok(UseBy::Date(until)) if day > until => Some(PastLimit::Stored { until, fitted: day }),
        _ => None,
    }
}

/// How a ring is past a limit, the hard or the soft one.
pub fn past_limit(def: &Seal, seal: &SealFacts, now: Now, hard: bool) -> Option<PastLimit> {
    let l = def.limits;
    let limits = if hard {
        (l.hard_days, l.hard_openings, l.hard_dives)
    } else {
        (l.soft_days, l.soft_openings, l.soft_dives)
    };
    past_at(age_days(seal, now), seal.openings, seal.dives, limits)
        .or_else(|| stored_too_long(def, seal, hard))
}

/// Which of the limits (days, openings, dives) a ring of that age is past.
pub fn past_at(
    age: Option<i64>,
    openings: u32,
    dives: u32,
    limits: (Option<u32>, Option<u32>, Option<u32>),
) -> Option<PastLimit> {
    if let (Some(age), Some(limit)) = (age, limits.0)
        && age >= i64::from(limit)
    {
        return Some(PastLimit::Days { age, limit });
    }
    if let Some(limit) = limits.1.filter(|limit| openings >= *limit) {
        let count = openings;
        return Some(PastLimit::Openings { count, limit });
    }
    let limit = limits.2.filter(|limit| dives >= *limit)?;
    let count = dives;
    Some(PastLimit::Dives { count, limit })
}

/// What speaks against a ring's material: its grease by the published conflicts, the planned water
/// by its temperature range.
pub fn material_doubts(def: &Seal, plan: &Plan) -> Vec<MaterialDoubt> {
    let Ok(material) = oring::material(&def.material) else {
        return Vec::new();
    };
    let mut doubts = Vec::new();
    if let Some(grease) = def.grease
        && let Ok(Some(rule)) = oring::grease(&def.material, grease)
        && rule.verdict != Verdict::Suitable
    {
        doubts.push(MaterialDoubt::Grease {
            grease,
            avoid: rule.verdict == Verdict::Avoid,
        });
    }
    if !(material.min_c..=material.max_c).contains(&plan.water_c) {
        doubts.push(MaterialDoubt::Temperature {
            water_c: plan.water_c,
            min_c: material.min_c,
            max_c: material.max_c,
        });
    }
    doubts
}

/// Judges a rig.
pub fn readiness(rig: &RigFacts, now: Now) -> Readiness {
    let mut obstacles = Vec::new();
    let mut remarks = Vec::new();
    let mut until: Option<(i64, EndsBy)> = None;
    let mut ends = |at: i64, by: EndsBy| {
        if until.as_ref().is_none_or(|(t, _)| at < *t) {
            until = Some((at, by));
        }
    };
    let behind = now.newest.ms() - now.wall_ms;
    if behind > CLOCK_SLACK_MS {
        remarks.push(Remark::ClockBehind { by_ms: behind });
    }
    if rig.retired {
        obstacles.push(Obstacle::Retired);
    }
    if rig.def.enclosures.is_empty() {
        obstacles.push(Obstacle::NoEnclosures);
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
    for (def, seal) in rig.def.seals.iter().zip(&rig.seals) {
        if let Some(found) = faulty(seal) {
            obstacles.push(Obstacle::SealFaulty {
                seal: def.id.clone(),
                finding: found.value.clone(),
            });
        }
        for doubt in material_doubts(def, &rig.def.plan) {
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
    for (def, enclosure) in rig.def.enclosures.iter().zip(&rig.enclosures) {
        let id = || def.id.clone();
        if rig.def.plan.depth_m > def.depth_rating_m {
            remarks.push(Remark::DeeperThanRated { enclosure: id() });
        }
        if seals_of(rig, &def.id).next().is_none() {
            obstacles.push(Obstacle::NoSeals { enclosure: id() });
        }
        if def.valve.is_none() {
            obstacles.push(Obstacle::NoValve { enclosure: id() });
        }
        // A ring that must not go back asks for more than a service.
        let wanting = |(d, f): &(&Seal, &SealFacts)| needs_service(d, f) && faulty(f).is_none();
        for (seal, _) in seals_of(rig, &def.id).filter(wanting) {
            obstacles.push(Obstacle::SealToService {
                seal: seal.id.clone(),
                enclosure: id(),
            });
        }
        let closed = closed_since(rig, enclosure);
        if closed.is_none() {
            obstacles.push(Obstacle::NotClosed { enclosure: id() });
        }
        let hold = counting_hold(rig, enclosure);
        match &hold {
            Ok(hold) => {
                let concluded = hold.concluded.as_ref().map_or(Stamp::NEVER, |c| c.0);
                if !plug_on_since(enclosure, concluded.max(hold.started)) {
                    obstacles.push(Obstacle::PlugOff { enclosure: id() });
                }
            }
            Err(why) => obstacles.push(Obstacle::NoHold {
                enclosure: id(),
                why: why.clone(),
            }),
        }
        let closed_at = closed.map(|c| c.stamp);
        for (c, facts) in rig.def.controls.iter().zip(&rig.controls) {
            if c.enclosure != def.id || !c.assigned() {
                continue;
            }
            let (works, fails) = (stamp(&facts.works), stamp(&facts.fails));
            let since = closed_at.is_some_and(|at| works > at.max(stamp(&facts.changed)));
            if !since || fails > works {
                let failed = fails > works && closed_at.is_some_and(|at| fails > at);
                obstacles.push(Obstacle::Control {
                    control: c.id.clone(),
                    failed,
                });
            }
        }
        let concluded = hold
            .ok()
            .and_then(|h| Some((h.id.clone(), h.concluded.as_ref()?.0)));
        match (concluded, &enclosure.recheck) {
            (Some((id_of, proved)), Some((seen, recheck)))
                if seen.stamp > proved && recheck.hold == id_of =>
            {
                let why = match (recheck.verdict, age_ms(seen, now)) {
                    (VerdictFact::Leaking, _) => Some(RecheckMissing::Changed),
                    (VerdictFact::NotYet, _) => Some(RecheckMissing::Unclear),
                    (VerdictFact::Holding, Err(ClockSetBack)) => Some(RecheckMissing::ClockSetBack),
                    (VerdictFact::Holding, Ok(age)) if age >= rig.recheck_limit_ms => {
                        Some(RecheckMissing::TooOld { age_ms: age })
                    }
                    (VerdictFact::Holding, Ok(age)) => {
                        ends(
                            now.wall_ms + rig.recheck_limit_ms - age,
                            EndsBy::Recheck { enclosure: id() },
                        );
                        None
                    }
                };
                if let Some(why) = why {
                    obstacles.push(Obstacle::NoRecheck {
                        enclosure: id(),
                        why,
                    });
                }
            }
            _ => obstacles.push(Obstacle::NoRecheck {
                enclosure: id(),
                why: RecheckMissing::None,
            }),
        }
    }
    prep_obstacles(rig, &mut obstacles, &mut remarks);
    if let Some(why) = untrimmed(rig) {
        remarks.push(Remark::Untrimmed { why });
    }
    // What makes all other work pointless first; then the prep, which leads through the rest; and
    // rechecks last, minutes before the dive, when all else stands.
    obstacles.sort_by_key(|o| match o {
        Obstacle::Retired
        | Obstacle::NoEnclosures
        | Obstacle::Defect { .. }
        | Obstacle::SealFaulty { .. }
        | Obstacle::SealPastLimit { .. } => 0,
        Obstacle::NoPrep => 1,
        Obstacle::NoRecheck { .. } => 3,
        _ => 2,
    });
    let until = if obstacles.is_empty() { until } else { None };
    Readiness {
        until,
        obstacles,
        remarks,
    }
}

fn prep_obstacles(rig: &RigFacts, obstacles: &mut Vec<Obstacle>, remarks: &mut Vec<Remark>) {
    let Some(prep) = &rig.prep else {
        obstacles.push(Obstacle::NoPrep);
        return;
    };
    for instance in &prep.steps {
        let facts = prep.step(&instance.key);
        let state = facts.state();
        if state == StepState::Skipped {
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
        if !instance.step.two_person {
            continue;
        }
        let why = match (state, &facts.done) {
            (StepState::Skipped, _) => Some(Unsigned::Skipped),
            (StepState::Done, Some(done)) => {
                if done.stamp < voided_at(rig, &instance.target, instance.step.kind) {
                    Some(Unsigned::NotDone)
                } else if facts
                    .signed
                    .iter()
                    .any(|s| s.author != done.author && s.stamp > done.stamp && named(s))
                    && named(done)
                {
                    None
                } else {
                    Some(Unsigned::SecondMember)
                }
            }
            _ => Some(Unsigned::NotDone),
        };
        if let Some(why) = why {
            obstacles.push(Obstacle::Unsigned {
                prep: prep.id.clone(),
                step: instance.key.clone(),
                why,
            });
        }
    }
    let left = prep.left();
    if left > 0 && prep.ended.is_none() {
        remarks.push(Remark::PrepUnfinished {
            prep: prep.id.clone(),
            left,
        });
    }
}

/// The opening after which what a signature attests is void. A step about one enclosure attests
/// that enclosure; a signature or control test for the whole rig attests all of them. A step of
/// the whole rig of another kind (camera settings noted) attests nothing that an opening undoes.
fn voided_at(rig: &RigFacts, target: &Target, kind: StepKind) -> Stamp {
    let of = |id: &str| rig.enclosure(id).map_or(Stamp::NEVER, |e| stamp(&e.opened));
    match target {
        Target::Rig if matches!(kind, StepKind::Sign | StepKind::Controls) => rig
            .enclosures
            .iter()
            .map(|e| of(&e.id))
            .max()
            .unwrap_or(Stamp::NEVER),
        Target::Rig => Stamp::NEVER,
        Target::Enclosure { enclosure }
        | Target::Closure { enclosure, .. }
        | Target::Seal { enclosure, .. } => of(enclosure),
    }
}

fn seals_of<'a>(
    rig: &'a RigFacts,
    enclosure: &'a str,
) -> impl Iterator<Item = (&'a Seal, &'a SealFacts)> {
    rig.def
        .seals
        .iter()
        .zip(&rig.seals)
        .filter(move |(d, _)| d.enclosure == enclosure)
}

/// Nobody in particular can't be one of two members.
fn named(seen: &Seen) -> bool {
    !seen.author.is_empty()
}

fn stamp(seen: &Option<Seen>) -> Stamp {
    seen.as_ref().map_or(Stamp::NEVER, |s| s.stamp)
}
