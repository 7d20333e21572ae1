//! The rules that never break, told a second time: readiness decided by reading the whole record
//! from the first fact to the last. It keeps no marks and shares nothing with the core but the
//! types that the record is written in, so that a fault in the core's bookkeeping shows.
//!
//! Where the rules are silent it takes the answer that the core documents: only the last hold of
//! an enclosure counts, and one that overlaps it and found a leak stands against it; a deeper,
//! longer or stricter plan, or a larger free volume, needs a new judgement; without a build or
//! turnaround nothing is signed; a time in the future proves nothing; service of a seal after the
//! closing means that its enclosure was opened; a turnaround or care begun follows a dive; what an edit puts elsewhere or gives another
//! function is to be proved anew; a ring that must not go back and did stands in the way until a new
//! one is in; one that lay too long before it was fitted is past a hard limit.
//! Two sign for each plug as it was last put in and for the walk round the closed rig, whatever
//! the procedure; entries of one name are one person.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use slackwater_core::domain::book::Book;
use slackwater_core::domain::crew::Look;
use slackwater_core::domain::facts::{Fact, Loss, LossKind, VerdictFact};
use slackwater_core::domain::procedure::{ProcedureKind, StepInstance, StepKind, Target};
use slackwater_core::domain::readiness::{Now, Obstacle};
use slackwater_core::domain::rig::{RigDef, Seal};
use slackwater_core::journal::{BootTime, Event, Heard, Stamp, Writer};

/// A recorded fact with its place in the order of everything.
#[derive(Debug, Clone)]
pub struct Told {
    /// Hybrid logical clock, device, sequence: an order that is the same on every device, and one of
    /// those in which it all may have come about ([`orders`]).
    pub order: (u64, [u8; 32], u64),
    /// The hybrid logical clock, and where the journal puts it.
    pub stamp: Stamp,
    /// What the device's clock showed, ms since 1970 UTC.
    pub wall_ms: i64,
    /// Who; empty for nobody in particular.
    pub author: String,
    /// About what.
    pub subject: String,
    /// The fact.
    pub fact: Fact,
    /// How a correction points at it.
    pub reference: String,
    /// How far its writer had heard the other phones.
    pub heard: BTreeMap<Writer, u64>,
}

impl Told {
    /// Reads an event of the journal.
    pub fn from_event(event: &Event) -> Told {
        Told {
            order: (event.hlc.0, event.device.0, event.seq),
            stamp: event.stamp(),
            wall_ms: event.wall_ms,
            author: event.author.clone(),
            subject: event.subject.clone(),
            fact: serde_json::from_slice(&event.body).unwrap_or(Fact::Unknown),
            reference: event.reference().to_string(),
            heard: BTreeMap::new(),
        }
    }

    /// When, by the hybrid logical clock, ms.
    fn event_ms(&self) -> i64 {
        self.stamp.hlc().ms()
    }
}

/// Everything a book has recorded or been told, in the order of everything.
pub fn all_told(book: &Book) -> Vec<Told> {
    let page = book
        .journal()
        .page(None, None, u32::MAX)
        .expect("the journal can be read");
    let mut told: Vec<Told> = page.iter().map(|e| Told::from_event(&e.event)).collect();
    told.sort_by_key(|t| t.order);
    let heard = book.journal().heard().expect("it can be read");
    let writers: BTreeSet<Writer> = told.iter().map(|t| t.stamp.writer()).collect();
    for t in &mut told {
        let up_to = |w: &Writer| Some((*w, heard.up_to(&t.stamp, *w)?));
        t.heard = writers.iter().filter_map(up_to).collect();
    }
    told
}

/// Orders in which all of it may have come about: whatever a writer had heard came before, and of what
/// two phones wrote apart, nobody can say which was first. Each is one telling for [`judge`]: with each
/// phone's events as early as they can be, in every order of up to three phones, and `random` others.
///
/// What is ready must be so in all of them; this is the oracle of cause, which no clock is.
pub fn orders(told: &[Told], heard: &Heard, random: u32, mut dice: u64) -> Vec<Vec<Told>> {
    let mut phones: BTreeMap<Writer, Vec<&Told>> = BTreeMap::new();
    for t in told {
        phones.entry(t.stamp.writer()).or_default().push(t);
    }
    for of in phones.values_mut() {
        of.sort_by_key(|t| t.stamp.seq());
    }
    let writers: Vec<Writer> = phones.keys().copied().collect();
    let mut roll = move |n: usize| {
        // Any generator does: Marsaglia, 'Xorshift RNGs', J. Stat. Softw. 8 (14), 2003.
        dice ^= dice << 13;
        dice ^= dice >> 7;
        dice ^= dice << 17;
        (dice % n.max(1) as u64) as usize
    };
    let permutations: Vec<Vec<usize>> = match writers.len() {
        0 | 1 => vec![vec![0]],
        2 => vec![vec![0, 1], vec![1, 0]],
        _ => vec![
            vec![0, 1, 2],
            vec![0, 2, 1],
            vec![1, 0, 2],
            vec![1, 2, 0],
            vec![2, 0, 1],
            vec![2, 1, 0],
        ],
    };
    let mut all = Vec::new();
    for n in 0..permutations.len() + random as usize {
        let mut done: BTreeMap<Writer, usize> = BTreeMap::new();
        let mut order: Vec<Told> = Vec::with_capacity(told.len());
        while order.len() < told.len() {
            let ready = |w: &Writer| {
                let at = done.get(w).copied().unwrap_or(0);
                let next = phones[w].get(at)?;
                let heard_all = writers.iter().filter(|o| *o != w).all(|o| {
                    let up_to = heard.up_to(&next.stamp, *o).unwrap_or(0);
                    let next = phones[o].get(done.get(o).copied().unwrap_or(0));
                    next.is_none_or(|n| n.stamp.seq() > up_to)
                });
                heard_all.then_some(*next)
            };
            let open: Vec<&Told> = match permutations.get(n) {
                Some(first) => (first.iter().copied().chain(3..writers.len()))
                    .filter_map(|i| ready(writers.get(i)?))
                    .collect(),
                None => writers.iter().filter_map(ready).collect(),
            };
            let pick = if n < permutations.len() {
                0
            } else {
                roll(open.len())
            };
            let t = open[pick];
            *done.entry(t.stamp.writer()).or_default() += 1;
            let order_of = (order.len() as u64, t.order.1, t.order.2);
            order.push(Told {
                order: order_of,
                ..t.clone()
            });
        }
        all.push(order);
    }
    all
}

/// What stands in the way, without the core's reasons.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Missing {
    /// Out of use.
    Retired,
    /// Nothing is sealed.
    NoEnclosures,
    /// A defect that blocks.
    Defect(String),
    /// Something told about the rig that can't be read, and that nobody answered.
    Unread,
    /// An edit that took something away, without a second member's word; by its reference.
    Loss(String),
    /// A fault on what is no longer on the rig or in use, unanswered.
    Gone(String),
    /// Entries that are missing from the phone's record.
    Lost,
    /// Edits made apart, which nobody has looked at.
    EditedApart,
    /// An enclosure rated to less than the plan.
    PlannedTooDeep(String),
    /// An enclosure that was too deep, and wasn't looked over.
    WasTooDeep(String),
    /// A ring past its hard limit.
    SealDue(String),
    /// A ring that must not go back, and is in all the same.
    Faulty(String),
    /// An enclosure without seals.
    NoSeals(String),
    /// An enclosure without a valve.
    NoValve(String),
    /// A seal to be serviced.
    Service(String),
    /// An enclosure that isn't closed.
    Open(String),
    /// An enclosure without a counting hold.
    Hold(String),
    /// A plug that wasn't refitted after the hold that counts.
    Plug(String),
    /// A control not tested since its enclosure was closed.
    Control(String),
    /// An enclosure without a recheck that counts.
    Recheck(String),
    /// No build or turnaround.
    NoPrep,
    /// A two-person step without two members.
    Unsigned(String),
    /// A plug that is in and was seen there by one only.
    PlugUnseen(String),
    /// The closed rig was not walked round by two.
    Walk,
}

impl Missing {
    /// The core's obstacle, without its reason.
    pub fn from_obstacle(obstacle: &Obstacle) -> Missing {
        match obstacle {
            Obstacle::Retired => Missing::Retired,
            Obstacle::NoEnclosures => Missing::NoEnclosures,
            Obstacle::Defect { defect } => Missing::Defect(defect.clone()),
            Obstacle::Unread { .. } => Missing::Unread,
            Obstacle::LossUnsigned { event } => Missing::Loss(event.clone()),
            Obstacle::FaultOnGone { at } => Missing::Gone(at.clone()),
            Obstacle::Lost | Obstacle::NotHere { .. } => Missing::Lost,
            Obstacle::EditedApart => Missing::EditedApart,
            Obstacle::DeeperThanRated { enclosure } => Missing::PlannedTooDeep(enclosure.clone()),
            Obstacle::WasTooDeep { enclosure, .. } => Missing::WasTooDeep(enclosure.clone()),
            Obstacle::SealPastLimit { seal, .. } => Missing::SealDue(seal.clone()),
            Obstacle::SealFaulty { seal, .. } => Missing::Faulty(seal.clone()),
            Obstacle::NoSeals { enclosure } => Missing::NoSeals(enclosure.clone()),
            Obstacle::NoValve { enclosure } => Missing::NoValve(enclosure.clone()),
            Obstacle::SealToService { seal, .. } => Missing::Service(seal.clone()),
            Obstacle::NotClosed { enclosure } => Missing::Open(enclosure.clone()),
            Obstacle::NoHold { enclosure, .. } => Missing::Hold(enclosure.clone()),
            Obstacle::PlugOff { enclosure } => Missing::Plug(enclosure.clone()),
            Obstacle::Control { control, .. } => Missing::Control(control.clone()),
            Obstacle::NoPrep => Missing::NoPrep,
            Obstacle::Unsigned { step, .. } => Missing::Unsigned(step.clone()),
            Obstacle::PlugUnseen { enclosure } => Missing::PlugUnseen(enclosure.clone()),
            Obstacle::WalkRound { .. } => Missing::Walk,
            Obstacle::NoRecheck { enclosure, .. } => Missing::Recheck(enclosure.clone()),
        }
    }

    /// Whether time alone can bring it about, and a clock set otherwise take it away.
    pub fn may_be_the_clock(&self) -> bool {
        matches!(self, Missing::Recheck(_) | Missing::SealDue(_))
    }
}

/// The model's answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// What stands in the way; ready when empty.
    pub missing: BTreeSet<Missing>,
    /// When time alone ends it, ms; `None` when not ready.
    pub until_ms: Option<i64>,
}

/// A time this far ahead is still put down to clocks that differ a little, ms.
const SLACK_MS: i64 = 60_000;
const HOUR_MS: i64 = 3_600_000;
const DAY_MS: i64 = 24 * HOUR_MS;

/// What supports readiness and may be taken back. News may not.
pub fn is_evidence(fact: &Fact) -> bool {
    match fact {
        Fact::Closed {}
        | Fact::PlugOn {}
        | Fact::Inspected { .. }
        | Fact::LossSigned { .. }
        | Fact::UnreadAnswered { .. }
        | Fact::SealServiced { .. }
        | Fact::SealFitted { .. }
        | Fact::SealLookedAgain { .. }
        | Fact::RingsStocked { .. }
        | Fact::RingsTaken { .. }
        | Fact::RingsCounted { .. }
        | Fact::ShootPlanned { .. }
        | Fact::StepDone { .. }
        | Fact::StepSigned { .. }
        | Fact::WalkedRound {}
        | Fact::SecondLook { .. }
        | Fact::DefectClosed { .. }
        | Fact::PhotoTaken { .. }
        | Fact::PhotoMarked { .. }
        | Fact::StepPart { on: true, .. }
        | Fact::ControlTested { works: true, .. } => true,
        Fact::HoldConcluded { result } => result.verdict == VerdictFact::Holding,
        Fact::Rechecked { recheck } => recheck.verdict == VerdictFact::Holding,
        _ => false,
    }
}

/// Whether opening `closure` of `enclosure` disturbs a seal; not knowing which closure disturbs all.
fn disturbs(seal: &Seal, enclosure: &str, closure: Option<&str>) -> bool {
    seal.enclosure == enclosure && (closure.is_none() || closure == seal.closure.as_deref())
}

/// Judges a rig by all that was told, in order, and by the clock: what it shows now, and the latest
/// that it ever showed with the newest fact known then. `None` where the rig isn't known.
pub fn judge(told: &[Told], rig: &str, now: Now) -> Option<Answer> {
    let wall_ms = now.wall_ms;
    assert!(
        told.windows(2).all(|w| w[0].order < w[1].order),
        "the record is read in order"
    );
    // One of another phone's that is further ahead than a clock may be tells no time.
    let latest_ms = told.iter().map(Told::event_ms).max().unwrap_or(0);
    assert!(now.newest.ms() <= latest_ms, "the newest fact was told");
    let time_ms = wall_ms.max(now.newest.ms());
    // The most that a recheck can be old by any clock. Told on this device since it was switched on,
    // its age is sure, whatever the time of day was before; else the latest time ever shown counts.
    let age_of = |t: &Told, read: Option<BootTime>| {
        let (latest_shown_ms, newest_then) = now.latest_seen;
        let sure = match (read, now.boot) {
            (Some(read), Some(now)) if read.id == now.id && read.ms <= now.ms => {
                Some(now.ms - read.ms)
            }
            _ => None,
        };
        let shown_after = sure.is_some() && t.stamp.hlc() > newest_then;
        [
            wall_ms - t.wall_ms,
            time_ms - t.event_ms(),
            if shown_after {
                0
            } else {
                latest_shown_ms - t.wall_ms
            },
            sure.unwrap_or(0),
        ]
        .into_iter()
        .fold(0, i64::max)
    };
    let taken_back: HashSet<&str> = told
        .iter()
        .filter_map(|t| match &t.fact {
            Fact::Retracted { event } => Some(event.as_str()),
            _ => None,
        })
        .collect();
    let live: Vec<&Told> = told
        .iter()
        .filter(|t| !(is_evidence(&t.fact) && taken_back.contains(t.reference.as_str())))
        .collect();
    // Place of the last fact about a subject that is of a kind.
    let last = |subject: &str, of: &dyn Fn(&Fact) -> bool| {
        live.iter()
            .rposition(|t| t.subject == subject && of(&t.fact))
    };
    let def: &RigDef = live.iter().rev().find_map(|t| match &t.fact {
        Fact::RigDefined { rig: def, .. } if t.subject == rig => Some(&**def),
        _ => None,
    })?;
    let mut missing = BTreeSet::new();
    let mut ends: Vec<i64> = Vec::new();

    if let Some(i) = last(rig, &|f| matches!(f, Fact::RigRetired { .. }))
        && matches!(live[i].fact, Fact::RigRetired { retired: true })
    {
        missing.insert(Missing::Retired);
    }
    if def.enclosures.is_empty() {
        missing.insert(Missing::NoEnclosures);
    }

    // What can't be read stands in the way until somebody said what it was, whenever that came in.
    let answers: HashSet<&str> = live
        .iter()
        .filter(|t| t.subject == rig)
        .filter_map(|t| match &t.fact {
            Fact::UnreadAnswered { event, .. } => Some(event.as_str()),
            _ => None,
        })
        .collect();
    if live.iter().any(|t| {
        t.fact == Fact::Unknown
            && t.subject.split('/').next() == Some(rig)
            && !answers.contains(t.reference.as_str())
    }) {
        missing.insert(Missing::Unread);
    }

    let crew = Crew { live: &live };
    // What edits took away, of the rig or of the crew's choices, wants another member's name.
    for (i, t) in live.iter().enumerate() {
        if matches!(t.fact, Fact::TookAway { .. }) && (t.subject == rig || t.subject == "crew") {
            // Two people: who made it, and another; two others where nobody was named, or one of a crew of
            // one.
            let by_two = |reference: &str| {
                let look = |s: &Told| signs(s, &t.subject, reference).is_some();
                let mut signers = (i + 1..live.len()).filter(|&k| look(live[k]));
                let first = match crew.nobody(&t.author) {
                    true => signers.find(|&k| !crew.nobody(&live[k].author)),
                    false => Some(i),
                };
                first.is_some_and(|first| {
                    (crew.nobody(&t.author) && crew.alone())
                        || crew
                            .two(first, &|s| signs(s, &t.subject, reference))
                            .is_some()
                })
            };
            // What may merely have been missing on the list is proved with the next closing, too.
            let closed_since = |e: &str| {
                live[i + 1..].iter().any(|c| {
                    c.subject == format!("{rig}/enclosure/{e}") && c.fact == Fact::Closed {}
                })
            };
            let Fact::TookAway { what, unheard } = &t.fact else {
                continue;
            };
            // What was taken away from a rig that another phone had in use: its writer had not heard of
            // that, and as it came about here it was so.
            let used_unheard = live[..i].iter().any(|u| {
                let known = t.heard.get(&u.stamp.writer()).copied().unwrap_or(0);
                u.subject.split('/').next() == Some(rig)
                    && u.stamp.writer() != t.stamp.writer()
                    && u.stamp.seq() > known
                    && is_use(&u.fact)
            });
            let later = format!("{}~unheard", t.reference);
            // Each is signed for by itself.
            let known = (!what.is_empty() || unheard.is_empty()).then_some((&t.reference, what));
            let out = (used_unheard && !unheard.is_empty()).then_some((&later, unheard));
            for (reference, what) in known.into_iter().chain(out) {
                let proved = what.iter().all(|l| {
                    matches!(l.kind, LossKind::Added | LossKind::OtherRing)
                        && of_which(def, l).is_none_or(|e| {
                            closed_since(e) || !def.enclosures.iter().any(|x| x.id == e)
                        })
                });
                if !by_two(reference) && !proved {
                    missing.insert(Missing::Loss(reference.clone()));
                }
            }
        }
    }
    gone(&live, rig, def, &mut missing);

    // Defects that block and were not put right. Water is put right only once what it was found in
    // has been opened since it was found.
    for (i, t) in live.iter().enumerate() {
        if let Fact::DefectOpened {
            blocks: true,
            water,
            at,
            ..
        } = &t.fact
            && let Some(id) = t.subject.strip_prefix(&format!("{rig}/defect/"))
        {
            let right = last(&t.subject, &|f| matches!(f, Fact::DefectClosed { .. }));
            let looked_into = |e: &str, by: usize| {
                (i..by.max(i)).any(|k| {
                    live[k].subject == format!("{rig}/enclosure/{e}")
                        && matches!(live[k].fact, Fact::Opened { .. })
                })
            };
            // What was on no definition of the rig before the water was found was not wet then.
            let came_later = |e: &str| {
                !live[..i].iter().any(|t| {
                    matches!(&t.fact, Fact::RigDefined { rig: d, .. }
                        if t.subject == rig && d.enclosures.iter().any(|x| x.id == e))
                })
            };
            let answered = right.is_some_and(|by| {
                !water
                    || def
                        .enclosures
                        .iter()
                        .filter(|e| {
                            // Found where no enclosure is, it may have been in any.
                            let named = def
                                .enclosures
                                .iter()
                                .find(|n| at.strip_prefix("enclosure/") == Some(n.id.as_str()));
                            named.map_or(!came_later(&e.id), |n| n.id == e.id)
                        })
                        .all(|e| looked_into(&e.id, by))
            });
            if !answered {
                missing.insert(Missing::Defect(id.to_owned()));
            }
        }
    }

    for seal in &def.seals {
        let subject = format!("{rig}/seal/{}", seal.id);
        // Walk the record: an opening disturbs, a service answers. A ring in a closure starts out
        // wanting service. What closure a seal belonged to when it was disturbed counts as well as
        // where it is said to be now: moving it on paper is no service.
        let mut wants_service = seal.closure.is_some();
        let mut then: Option<&RigDef> = None;
        for t in &live {
            match &t.fact {
                Fact::RigDefined { rig: d, .. } if t.subject == rig => then = Some(d),
                Fact::Opened { closure } => {
                    let Some(e) = t.subject.strip_prefix(&format!("{rig}/enclosure/")) else {
                        continue;
                    };
                    let as_then = then.and_then(|d| d.seals.iter().find(|s| s.id == seal.id));
                    if disturbs(seal, e, closure.as_deref())
                        || as_then.is_some_and(|s| disturbs(s, e, closure.as_deref()))
                    {
                        wants_service = true;
                    }
                }
                Fact::Changed {} if t.subject == subject => wants_service = true,
                f if t.subject == subject && is_service(f) => wants_service = false,
                _ => {}
            }
        }
        // A ring found bad and left in: only a new ring, put in after that, answers it. It asks for
        // more than a service, so it stands for that, too.
        // Or another's look that says it wasn't so, which answers the one finding it names.
        let looked_again: HashSet<&str> = live
            .iter()
            .filter(|t| t.subject == subject)
            .filter_map(|t| match &t.fact {
                Fact::SealLookedAgain { event, .. } => Some(event.as_str()),
                _ => None,
            })
            .collect();
        let mut bad = false;
        for t in live.iter().filter(|t| t.subject == subject) {
            match t.fact {
                Fact::SealFaulty { .. } if !looked_again.contains(t.reference.as_str()) => {
                    bad = true;
                }
                Fact::SealFitted {
                    fitted_ms: None, ..
                } => bad = false,
                _ => {}
            }
        }
        if bad {
            missing.insert(Missing::Faulty(seal.id.clone()));
        } else if wants_service {
            missing.insert(Missing::Service(seal.id.clone()));
        }
        // Limits: since the ring in it was fitted.
        let fitted = last(&subject, &|f| matches!(f, Fact::SealFitted { .. }));
        // A date said later forgets nothing: only a ring that was put in does, which is in since then
        // at the latest; nor can a day be known before it was there.
        let put_in = last(&subject, &|f| {
            matches!(
                f,
                Fact::SealFitted {
                    fitted_ms: None,
                    ..
                }
            )
        });
        let said_ms = fitted.and_then(|i| match live[i].fact {
            Fact::SealFitted {
                fitted_ms: Some(ms),
                ..
            } => {
                let put_in_ms = put_in.map_or(i64::MAX, |p| live[p].wall_ms);
                Some(ms.min(live[i].event_ms()).min(put_in_ms))
            }
            _ => None,
        });
        let fitted_ms = fitted.map(|i| said_ms.unwrap_or(live[i].wall_ms));
        let since = |i: usize, t: &Told| match (fitted, said_ms) {
            (_, Some(ms)) => t.event_ms() >= ms || put_in.is_none_or(|at| i > at),
            (Some(at), None) => i > at,
            (None, None) => true,
        };
        let openings = live
            .iter()
            .enumerate()
            .filter(|(_, t)| match &t.fact {
                Fact::Opened { closure } => t
                    .subject
                    .strip_prefix(&format!("{rig}/enclosure/"))
                    .is_some_and(|e| disturbs(seal, e, closure.as_deref())),
                _ => false,
            })
            .filter(|(i, t)| since(*i, t))
            .count();
        // Dives in salt water since: where nobody said which water, it was salt.
        let dives = live
            .iter()
            .enumerate()
            .filter(|(_, t)| {
                t.subject == rig
                    && matches!(t.fact, Fact::DiveLogged { salinity_g_kg, .. }
                        if salinity_g_kg.is_none_or(|s| s >= 0.5))
            })
            .filter(|(i, t)| since(*i, t))
            .count();
        // Days by whichever says more: the clock; how old it was when that was said, and how far the facts
        // went on since; or the latest that this clock showed when the date was known already.
        let days = fitted.zip(fitted_ms).map(|(i, ms)| {
            let went_on = now.newest.ms() - live[i].event_ms();
            let mut age_ms = (wall_ms - ms).max((live[i].wall_ms - ms).max(0) + went_on);
            if live[i].stamp.hlc() <= now.latest_seen.1 {
                age_ms = age_ms.max(now.latest_seen.0 - ms);
            }
            age_ms.max(0) / DAY_MS
        });
        let limits = seal.limits;
        // Stored too long before it was fitted: more years since its cure date than its material
        // may lie (ISO 2230 with its extension).
        let too_old = fitted.is_some_and(|i| {
            let Fact::SealFitted { cured, ring, .. } = &live[i].fact else {
                return false;
            };
            // Its lot says what it is; else the list does.
            let of_lot = ring.as_ref().map_or("", |r| r.material.as_str());
            let material = match may_lie_years(of_lot) {
                Some(_) => of_lot,
                None => &*seal.material,
            };
            let day_ms = said_ms.unwrap_or_else(|| live[i].wall_ms.max(live[i].event_ms()));
            match (months_of(cured), may_lie_years(material)) {
                (Some(months), Some(years)) => {
                    let day = day_ms.div_euclid(DAY_MS);
                    day > days_to_month(months + 12 * years)
                }
                _ => false,
            }
        });
        if too_old
            || limits.hard_dives.is_some_and(|most| dives >= most as usize)
            || limits
                .hard_openings
                .is_some_and(|most| openings >= most as usize)
            || matches!((days, limits.hard_days), (Some(d), Some(most)) if d >= i64::from(most))
        {
            missing.insert(Missing::SealDue(seal.id.clone()));
        }
        if let (Some(ms), Some(most)) = (fitted_ms, limits.hard_days) {
            ends.push(ms + i64::from(most) * DAY_MS);
        }
    }

    let limit_ms = live
        .iter()
        .rev()
        .find_map(|t| match &t.fact {
            Fact::CrewChose { choice, value } if choice == "recheck_limit_min" => Some(value),
            _ => None,
        })
        .and_then(|v| v.parse::<i64>().ok())
        .map_or(2 * HOUR_MS, |minutes| minutes.clamp(1, 100_000) * 60_000);

    for enclosure in &def.enclosures {
        let id = || enclosure.id.clone();
        let subject = format!("{rig}/enclosure/{}", enclosure.id);
        let seals: Vec<String> = def
            .seals
            .iter()
            .filter(|s| s.enclosure == enclosure.id)
            .map(|s| format!("{rig}/seal/{}", s.id))
            .collect();
        if seals.is_empty() {
            missing.insert(Missing::NoSeals(id()));
        }
        if enclosure.valve.is_none() {
            missing.insert(Missing::NoValve(id()));
        }
        // Planned, or dived, below its rating. Only who looked it over since answers a dive; what it
        // did before it came onto this rig isn't in this record.
        if def.plan.depth_m > enclosure.depth_rating_m {
            missing.insert(Missing::PlannedTooDeep(id()));
        }
        let looked_over = last(&subject, &|f| matches!(f, Fact::Inspected { .. }));
        // By what it is rated to now, or was when the dive was made, if it was on the rig then: the last
        // definition before it.
        let rated_then = |at: usize| {
            let before = live[..at].iter().rev().find_map(|t| match &t.fact {
                Fact::RigDefined { rig: d, .. } if t.subject == rig => Some(d),
                _ => None,
            });
            let then = before.and_then(|d| d.enclosures.iter().find(|e| e.id == enclosure.id));
            then.map(|e| e.depth_rating_m)
        };
        let deep = (0..live.len()).rev().find(|&i| {
            live[i].subject == rig
                && matches!(live[i].fact, Fact::DiveLogged { depth_m, .. }
                    if rated_then(i).is_some_and(|then| depth_m > enclosure.depth_rating_m.min(then)))
        });
        if deep.is_some() && deep > looked_over {
            missing.insert(Missing::WasTooDeep(id()));
        }
        // It was open: recorded so, or one of its seals was worked on; or it came onto the rig, and what was
        // done to it before is on no record.
        let opens = |t: &Told| {
            (t.subject == subject && matches!(t.fact, Fact::Opened { .. } | Fact::Changed {}))
                || (seals.contains(&t.subject)
                    && (is_service(&t.fact)
                        || matches!(
                            t.fact,
                            Fact::SealFaulty { .. } | Fact::SealLookedAgain { .. }
                        )))
        };
        let opened_after = |i: usize| live[i + 1..].iter().any(|t| opens(t));
        let closed =
            last(&subject, &|f| matches!(f, Fact::Closed {})).filter(|&i| !opened_after(i));
        if closed.is_none() {
            missing.insert(Missing::Open(id()));
        }
        let hold = closed.and_then(|c| counting_hold(&live, rig, def, &enclosure.id, c));
        match hold {
            None => {
                missing.insert(Missing::Hold(id()));
                missing.insert(Missing::Recheck(id()));
            }
            Some((start, ended, concluded)) => {
                let hold_id = live[start].subject.rsplit('/').next().unwrap_or_default();
                let plug = last(&subject, &|f| matches!(f, Fact::PlugOn {}));
                let taken_off = |t: &Told| {
                    (t.subject == subject
                        && matches!(
                            t.fact,
                            Fact::PlugOff {} | Fact::Opened { .. } | Fact::Changed {}
                        ))
                        || is_hold_start(t, rig, &enclosure.id)
                };
                let put_back = undone(&live, rig, &|s| {
                    s.step.kind == StepKind::Plug
                        && s.target
                            == Target::Enclosure {
                                enclosure: enclosure.id.clone(),
                            }
                });
                // What nobody in particular put in, nobody can look at a second time.
                let on = plug.filter(|&p| {
                    !crew.nobody(&live[p].author)
                        && p > ended
                        && put_back.is_none_or(|u| p > u)
                        && !live[p + 1..].iter().any(|t| taken_off(t))
                });
                match on {
                    None => drop(missing.insert(Missing::Plug(id()))),
                    Some(p) if crew.two(p, &|t| look_at(t, &subject)).is_none() => {
                        missing.insert(Missing::PlugUnseen(id()));
                    }
                    _ => {}
                }
                // A change stands until a new hold; its writer may say within five minutes that the
                // number was mistyped, and then it is to be read again. Once a hold.
                let change = |t: &Told, of: &str| {
                    matches!(&t.fact, Fact::Rechecked { recheck }
                        if recheck.hold == of && recheck.verdict == VerdictFact::Leaking)
                };
                let second = |t: &Told| {
                    matches!(&t.fact, Fact::Rechecked { recheck }
                        if live.iter().any(|o| o.order < t.order && change(o, &recheck.hold)))
                };
                let mistyped = |t: &Told| {
                    !t.author.is_empty()
                        && !second(t)
                        && live.iter().any(|s| {
                            matches!(&s.fact, Fact::RecheckMistyped { event, boot, .. }
                                if *event == t.reference && within_one_boot(&t.fact, *boot))
                                && s.author == t.author
                                && s.order > t.order
                                && (0..=300_000).contains(&(s.wall_ms - t.wall_ms))
                                && s.event_ms() - t.event_ms() <= 300_000
                        })
                };
                // So does one found since on what an older hold had left.
                let since = |i: usize, t: &Told| {
                    i > start
                        && t.subject == subject
                        && matches!(&t.fact, Fact::Rechecked { recheck }
                            if recheck.verdict == VerdictFact::Leaking)
                };
                let changed = (live.iter().enumerate())
                    .any(|(i, t)| (change(t, hold_id) || since(i, t)) && !mistyped(t));
                let recheck = last(&subject, &|f| matches!(f, Fact::Rechecked { .. }))
                    .filter(|&i| i > concluded && !changed && !mistyped(live[i]))
                    // Nothing since that may have changed the vacuum: no dive, no work that
                    // follows one, no plug out.
                    .filter(|&i| {
                        !live[i + 1..].iter().any(|t| {
                            // How it hung may be taken back, that it was in the water may not.
                            let dived = t.subject == rig
                                && matches!(
                                    t.fact,
                                    Fact::DiveLogged { .. } | Fact::SeenInWater { .. }
                                );
                            let surfaced = t.subject.starts_with(&format!("{rig}/prep/"))
                                && matches!(&t.fact, Fact::PrepStarted { kind, .. }
                                    if *kind != ProcedureKind::Build);
                            dived || surfaced || taken_off(t)
                        })
                    })
                    .map(|i| live[i])
                    .and_then(|t| {
                        let Fact::Rechecked { recheck } = &t.fact else {
                            return None;
                        };
                        // It must have been compared with the vacuum that is there now.
                        if recheck.verdict != VerdictFact::Holding
                            || hold_id != recheck.hold
                            || t.wall_ms > wall_ms + SLACK_MS
                        {
                            return None;
                        }
                        // Told by no clock: of before a restart or another phone, and the clock shows
                        // less than it did.
                        let sure = (recheck.reading.boot.zip(now.boot))
                            .is_some_and(|(a, b)| a.id == b.id && a.ms <= b.ms);
                        if !sure && now.latest_seen.0 - wall_ms > SLACK_MS {
                            return None;
                        }
                        let age = age_of(t, recheck.reading.boot);
                        (age < limit_ms).then_some(wall_ms + limit_ms - age)
                    });
                match recheck {
                    Some(end) => ends.push(end),
                    None => {
                        missing.insert(Missing::Recheck(id()));
                    }
                }
            }
        }
        for control in def.controls.iter().filter(|c| c.enclosure == enclosure.id) {
            if control.function.trim().is_empty() && !control.record_trigger {
                continue;
            }
            let subject = format!("{rig}/control/{}", control.id);
            // The last try decides, and it must be after the closing.
            let tried = last(&subject, &|f| matches!(f, Fact::ControlTested { .. }));
            let works = tried.is_some_and(|i| {
                matches!(live[i].fact, Fact::ControlTested { works: true, .. })
                    && closed.is_some_and(|c| i > c)
                    && last(&subject, &|f| matches!(f, Fact::Changed {})).is_none_or(|c| i > c)
            });
            if !works {
                missing.insert(Missing::Control(control.id.clone()));
            }
        }
    }
    signatures(&live, rig, def, &crew, &mut missing);
    let until_ms = if missing.is_empty() {
        ends.into_iter().min()
    } else {
        None
    };
    Some(Answer { missing, until_ms })
}

/// The enclosure that something put on the list belongs to; none for a seal that is off it again.
fn of_which<'a>(def: &'a RigDef, loss: &'a Loss) -> Option<&'a str> {
    if let Some(seal) = loss.at.strip_prefix("seal/") {
        let known = def.seals.iter().find(|s| s.id == seal);
        return known.map(|s| s.enclosure.as_str());
    }
    loss.at.split('/').nth(1)
}

/// Faults on what is no longer on the rig, or no longer used: each stands until somebody has said
/// what became of it.
fn gone(live: &[&Told], rig: &str, def: &RigDef, missing: &mut BTreeSet<Missing>) {
    // Where each thing's fault was last seen, if it stands; told in order.
    let mut faults: BTreeMap<String, Option<usize>> = BTreeMap::new();
    let cleared: HashSet<&str> = live
        .iter()
        .filter_map(|t| match &t.fact {
            Fact::SealLookedAgain { event, .. } => Some(event.as_str()),
            _ => None,
        })
        .collect();
    for (i, t) in live.iter().enumerate() {
        let Some(at) = t.subject.strip_prefix(&format!("{rig}/")) else {
            continue;
        };
        let stands = match &t.fact {
            Fact::SealFaulty { .. } if !cleared.contains(t.reference.as_str()) => Some(i),
            Fact::SealFitted {
                fitted_ms: None, ..
            } => None,
            Fact::ControlTested { works, .. } => (!works).then_some(i),
            Fact::Inspected { .. } => None,
            _ => continue,
        };
        faults.insert(at.to_owned(), stands);
    }
    for (at, fault) in faults {
        let here = match at.split_once('/') {
            Some(("seal", id)) => def.seals.iter().any(|s| s.id == id),
            Some(("control", id)) => def
                .controls
                .iter()
                .any(|c| c.id == id && (c.record_trigger || !c.function.trim().is_empty())),
            _ => true,
        };
        if fault.is_some() && !here {
            missing.insert(Missing::Gone(at));
        }
    }
    // An enclosure whose last hold leaked, and that went off the rig without being opened.
    let mut last_hold: BTreeMap<&str, usize> = BTreeMap::new();
    for (i, t) in live.iter().enumerate() {
        if let Fact::HoldStarted { setup } = &t.fact
            && t.subject.starts_with(&format!("{rig}/hold/"))
        {
            last_hold.insert(&setup.enclosure, i);
        }
    }
    for (enclosure, start) in last_hold {
        if def.enclosures.iter().any(|e| e.id == enclosure) {
            continue;
        }
        let leak = live.iter().rposition(|t| {
            t.subject == live[start].subject
                && matches!(&t.fact, Fact::HoldConcluded { result }
                    if result.verdict == VerdictFact::Leaking)
        });
        let at = format!("enclosure/{enclosure}");
        let answered = |l: usize| {
            live[l + 1..].iter().any(|t| {
                t.subject == format!("{rig}/{at}")
                    && matches!(t.fact, Fact::Opened { .. } | Fact::Inspected { .. })
            })
        };
        if leak.is_some_and(|l| !answered(l)) {
            missing.insert(Missing::Gone(at));
        }
    }
}

/// Months since year 0 of a cure date written 'YYYY-MM', the only form these records hold.
fn months_of(cured: &str) -> Option<i64> {
    let (year, month) = cured.split_once('-')?;
    Some(year.parse::<i64>().ok()? * 12 + month.parse::<i64>().ok()? - 1)
}

/// Years that a ring may lie before it is fitted, by ISO 2230 with its extension; of the materials
/// that these records hold.
fn may_lie_years(material: &str) -> Option<i64> {
    match material {
        "NBR" => Some(10),
        "VMQ" => Some(15),
        "AU" => Some(7),
        _ => None,
    }
}

/// Days from 1970-01-01 to the first of a month, by counting years and months.
fn days_to_month(months: i64) -> i64 {
    let leap = |y: i64| (y % 4 == 0 && y % 100 != 0) || y % 400 == 0;
    let (year, month) = (months.div_euclid(12), months.rem_euclid(12));
    let years: i64 = (1970..year).map(|y| if leap(y) { 366 } else { 365 }).sum();
    let lengths = [
        31,
        if leap(year) { 29 } else { 28 },
        31,
        30,
        31,
        30,
        31,
        31,
        30,
        31,
        30,
        31,
    ];
    years + lengths.iter().take(month as usize).sum::<i64>()
}

fn is_service(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::SealServiced { .. }
            | Fact::SealFitted {
                fitted_ms: None,
                ..
            }
    )
}

fn is_hold_start(t: &Told, rig: &str, enclosure: &str) -> bool {
    t.subject.starts_with(&format!("{rig}/hold/"))
        && matches!(&t.fact, Fact::HoldStarted { setup } if setup.enclosure == enclosure)
}

/// Places of the start and of the standing verdict of the hold that counts, plug aside.
fn counting_hold(
    live: &[&Told],
    rig: &str,
    def: &RigDef,
    enclosure: &str,
    closed: usize,
) -> Option<(usize, usize, usize)> {
    let starts: Vec<usize> = (0..live.len())
        .filter(|&i| is_hold_start(live[i], rig, enclosure))
        .collect();
    let start = *starts.last()?;
    if start < closed {
        return None;
    }
    let verdicts = |of: &str| -> Vec<(usize, VerdictFact, Option<u32>)> {
        let all: Vec<_> = live
            .iter()
            .enumerate()
            .filter(|(_, t)| t.subject == of)
            .filter_map(|(i, t)| match &t.fact {
                Fact::HoldConcluded { result } => Some((i, result.verdict, result.covers)),
                _ => None,
            })
            .collect();
        // Those that cover the most of its readings stand.
        let most = all.iter().map(|v| v.2).max().flatten();
        all.into_iter().filter(|v| v.2 == most).collect()
    };
    let subject = &live[start].subject;
    if live
        .iter()
        .any(|t| t.subject == *subject && matches!(t.fact, Fact::HoldAbandoned { .. }))
    {
        return None;
    }
    let said = verdicts(subject);
    // The worse verdict stands.
    if said.iter().any(|(_, v, _)| *v != VerdictFact::Holding) {
        return None;
    }
    let (concluded, _, covers) = *said.last()?;
    // A verdict given again on the same readings works no valve: the plug stays where it is.
    let ended = said.first()?.0;
    // Nor does one count that does not cover all of them.
    let mut entries: Vec<String> = live
        .iter()
        .filter(|t| t.subject == *subject)
        .filter_map(|t| match &t.fact {
            Fact::HoldReading { .. } => Some(t.reference.clone()),
            Fact::ReadingSetAside { reading } => Some(format!("aside {reading}")),
            _ => None,
        })
        .collect();
    entries.sort();
    entries.dedup();
    if covers.is_some_and(|c| (c as usize) < entries.len()) {
        return None;
    }
    // Another hold that was still running when this one began and found a leak: only an opening
    // after it began answers it.
    for &other in &starts {
        let opened = live[other + 1..].iter().any(|t| {
            t.subject == format!("{rig}/enclosure/{enclosure}")
                && matches!(t.fact, Fact::Opened { .. })
        });
        if other != start
            && !opened
            && verdicts(&live[other].subject)
                .iter()
                .any(|(i, v, _)| *i > start && *v == VerdictFact::Leaking)
        {
            return None;
        }
    }
    let Fact::HoldConcluded { result } = &live[concluded].fact else {
        return None;
    };
    let tight = 1.0 + 1e-9;
    let enclosure = def.enclosures.iter().find(|e| e.id == enclosure)?;
    let Fact::HoldStarted { setup } = &live[start].fact else {
        return None;
    };
    let water_c = result.water_k.unwrap_or(setup.water_k) - 273.15;
    let salt = result.salinity_g_kg.unwrap_or(setup.salinity_g_kg);
    let judged_for = water_let_in(result.depth_m, result.minutes, water_c, salt);
    let plan = &def.plan;
    let planned = water_let_in(plan.depth_m, plan.minutes, plan.water_c, plan.salinity_g_kg);
    let covered = planned <= judged_for * (1.0 + 1e-6)
        && def.plan.depth_m <= result.depth_m * tight
        && def.plan.minutes <= result.minutes * tight
        && enclosure.limit() * tight >= result.limit_ml
        && enclosure.volume_l * 1e-3 <= result.volume_m3 * tight;
    covered.then_some((start, ended, concluded))
}

/// Whether a recheck and what is said of it then are within five minutes by the clock that nobody can
/// set, as far as both say.
fn within_one_boot(read: &Fact, said: Option<BootTime>) -> bool {
    let Fact::Rechecked { recheck } = read else {
        return false;
    };
    match (recheck.reading.boot, said) {
        (None, None) => true,
        (Some(a), Some(b)) => a.id == b.id && (0..=300_000).contains(&(b.ms - a.ms)),
        _ => false,
    }
}

/// Water that one and the same leak lets in on a dive, up to a factor: minutes, and the pressure of the
/// water on a vacuum of 200 mbar over the water's viscosity (a Vogel fit to the usual tables, salt 0.22 %
/// a g/kg; not the core's correlation, so of two waters nearly alike the two may disagree which is thinner).
fn water_let_in(depth_m: f64, minutes: f64, water_c: f64, salt: f64) -> f64 {
    let viscosity = 2.414e-5 * 10_f64.powf(247.8 / (water_c + 133.15)) * (1.0 + 0.0022 * salt);
    minutes * (200.0 + 98.1 * (1.0 + 7.6e-4 * salt) * depth_m) / viscosity
}

/// A second look at a subject, with how it was given.
fn look_at<'a>(t: &'a Told, subject: &str) -> Option<&'a Look> {
    match &t.fact {
        Fact::SecondLook { look } if t.subject == subject => Some(look),
        _ => None,
    }
}

/// A signature at a step of a prep, with how it was given.
fn signed_at<'a>(t: &'a Told, prep: &str, step: &str) -> Option<&'a Look> {
    match &t.fact {
        Fact::StepSigned { key, look } if t.subject == prep && key == step => Some(look),
        _ => None,
    }
}

/// A signature for what an edit took away, with how it was given.
/// Whether a rig is in use by it: what was done is something that an edit could take away.
fn is_use(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::Opened { .. }
            | Fact::Closed {}
            | Fact::PlugOn {}
            | Fact::PlugOff {}
            | Fact::SealServiced { .. }
            | Fact::SealFitted { .. }
            | Fact::SealFaulty { .. }
            | Fact::ControlTested { .. }
            | Fact::HoldStarted { .. }
            | Fact::HoldImported { .. }
            | Fact::Rechecked { .. }
            | Fact::PrepStarted { .. }
            | Fact::DiveLogged { .. }
            | Fact::WalkedRound {}
    )
}

fn signs<'a>(t: &'a Told, subject: &str, edit: &str) -> Option<&'a Look> {
    match &t.fact {
        Fact::LossSigned { event, look } if event == edit && t.subject == subject => Some(look),
        _ => None,
    }
}

/// Who is who, told anew from the record.
struct Crew<'a> {
    live: &'a [&'a Told],
}

impl Crew<'_> {
    /// Everyone who was ever named, with the name said last.
    fn members(&self) -> BTreeMap<&str, Option<&str>> {
        let mut all: BTreeMap<&str, Option<&str>> = BTreeMap::new();
        for t in self.live {
            if let (Fact::MemberDefined { name, .. }, Some(id)) =
                (&t.fact, t.subject.strip_prefix("crew/"))
            {
                all.insert(id, Some(name));
            }
        }
        all
    }

    fn reads(name: &str) -> String {
        name.to_lowercase().split_whitespace().collect()
    }

    fn nobody(&self, id: &str) -> bool {
        let name = self.members().get(id).copied().flatten();
        // Who was never added to the crew is nobody, too.
        name.is_none_or(|n| ["", "nobody"].contains(&Self::reads(n).as_str()))
    }

    /// All who are the same person: by name, or joined, however far round.
    fn same(&self, a: &str, b: &str) -> bool {
        let members = self.members();
        let name = |id: &str| members.get(id).copied().flatten().map(Self::reads);
        let mut known = BTreeSet::from([a]);
        loop {
            let more: Vec<&str> = members
                .keys()
                .copied()
                .filter(|id| !known.contains(id))
                .filter(|id| {
                    known.iter().any(|k| {
                        (name(id).is_some() && name(id) == name(k))
                            || self.live.iter().any(|t| {
                                let one = t.subject.strip_prefix("crew/");
                                matches!(&t.fact, Fact::MembersJoined { other }
                                    if (one == Some(id) && other == k)
                                        || (one == Some(k) && other == id))
                            })
                    })
                })
                .collect();
            if more.is_empty() {
                return known.contains(b);
            }
            known.extend(more);
        }
    }

    fn chose(&self, which: &str) -> &str {
        let said = self.live.iter().rev().find_map(|t| match &t.fact {
            Fact::CrewChose { choice, value } if choice == which => Some(value.as_str()),
            _ => None,
        });
        said.unwrap_or_default()
    }

    /// It said that it is one person, and it is.
    fn alone(&self) -> bool {
        let left = |id: &str| {
            let said = self.live.iter().rev().find_map(|t| match t.fact {
                Fact::MemberRetired { retired } if t.subject == format!("crew/{id}") => {
                    Some(retired)
                }
                _ => None,
            });
            said == Some(true)
        };
        let there: Vec<&str> = (self.members().into_iter())
            .filter(|(id, name)| name.is_some() && !left(id) && !self.nobody(id))
            .map(|(id, _)| id)
            .collect();
        self.chose("crew_of_one") == "yes" && there.iter().all(|id| self.same(id, there[0]))
    }

    /// Whether a look at what was done makes two of it: true for two people's word, false for one
    /// person's who looked twice.
    fn two(&self, done: usize, look: &dyn Fn(&Told) -> Option<&Look>) -> Option<bool> {
        let first = self.live[done];
        if self.nobody(&first.author) {
            return None;
        }
        let word = |t: &&Told| -> Option<bool> {
            let look = look(t)?;
            if self.nobody(&t.author) || !(look.of.is_empty() || look.of == first.reference) {
                return None;
            }
            if !self.same(&t.author, &first.author) {
                return (self.chose("signed_with") != "code" || look.code).then_some(true);
            }
            let by_clocks = (t.wall_ms - first.wall_ms).min(t.event_ms() - first.event_ms());
            let apart = look.after_ms.unwrap_or(by_clocks);
            (self.alone() && !look.photo.is_empty() && apart >= 5 * 60_000).then_some(false)
        };
        // Of each member's looks at a thing the last is the one that is known.
        let later = &self.live[done + 1..];
        let last = |k: usize| {
            !later[k + 1..]
                .iter()
                .any(|o| o.author == later[k].author && look(o).is_some())
        };
        (0..later.len())
            .filter(|&k| last(k))
            .filter_map(|k| word(&later[k]))
            .max()
    }
}

/// The last build or turnaround begun, and the last build with all such since, newest first.
fn preps<'a>(live: &[&'a Told], rig: &str) -> Vec<(&'a str, &'a [StepInstance])> {
    let mut all = Vec::new();
    for t in live.iter().rev() {
        let Fact::PrepStarted { kind, steps, .. } = &t.fact else {
            continue;
        };
        if !t.subject.starts_with(&format!("{rig}/prep/")) {
            continue;
        }
        if matches!(kind, ProcedureKind::Build | ProcedureKind::Turnaround) {
            all.push((t.subject.as_str(), steps.as_slice()));
        }
        if *kind == ProcedureKind::Build {
            return all;
        }
    }
    // Without a build only the last counts.
    all.truncate(1);
    all
}

/// The last time that a step of the prep that governs was opened again or passed over.
fn undone(live: &[&Told], rig: &str, which: &dyn Fn(&StepInstance) -> bool) -> Option<usize> {
    let (subject, steps) = preps(live, rig).into_iter().next()?;
    let keys: Vec<&str> = (steps.iter())
        .filter(|s| s.step.two_person && which(s))
        .map(|s| s.key.as_str())
        .collect();
    live.iter().rposition(|t| {
        t.subject == subject
            && matches!(&t.fact, Fact::StepSkipped { key, .. } | Fact::StepReopened { key }
                if keys.contains(&key.as_str()))
    })
}

/// What two have to sign for: the walk round the closed rig, and the two-person steps of the preps
/// since the last build but for those that a later prep asks for again.
fn signatures(
    live: &[&Told],
    rig: &str,
    def: &RigDef,
    crew: &Crew<'_>,
    missing: &mut BTreeSet<Missing>,
) {
    let walks = |s: &StepInstance| s.step.kind == StepKind::Sign && s.target == Target::Rig;
    // The seals worked on, by enclosure; those of one closure where only that matters.
    let worked_on = |t: &Told, enclosure: &str, closure: Option<&str>| {
        (is_service(&t.fact)
            || matches!(
                t.fact,
                Fact::SealFaulty { .. } | Fact::SealLookedAgain { .. }
            ))
            && def.seals.iter().any(|s| {
                s.enclosure == enclosure
                    // A ring of no closure: by which one it was reached isn't known.
                    && (closure.is_none() || s.closure.is_none() || s.closure.as_deref() == closure)
                    && t.subject == format!("{rig}/seal/{}", s.id)
            })
    };
    let at = |e: &str| format!("{rig}/enclosure/{e}");
    let put_back = undone(live, rig, &walks);
    let walked = live
        .iter()
        .rposition(|t| t.subject == rig && matches!(t.fact, Fact::WalkedRound {}))
        .filter(|&w| put_back.is_none_or(|u| w > u))
        // Of a rig that was closed when it was walked round.
        .filter(|&w| {
            def.enclosures.iter().all(|e| {
                let of_it = |t: &&&Told| {
                    (t.subject == at(&e.id)
                        && matches!(
                            t.fact,
                            Fact::Closed {} | Fact::Opened { .. } | Fact::Changed {}
                        ))
                        || worked_on(t, &e.id, None)
                };
                let last = live[..w].iter().rev().find(of_it);
                last.is_some_and(|t| matches!(t.fact, Fact::Closed {}))
            })
        })
        .filter(|&w| {
            !live[w + 1..].iter().any(|t| {
                def.enclosures.iter().any(|e| {
                    let here = t.subject == at(&e.id);
                    (here && matches!(t.fact, Fact::Closed {} | Fact::Opened { .. }))
                        || worked_on(t, &e.id, None)
                })
            })
        });
    if walked.is_none_or(|w| crew.two(w, &|t| look_at(t, rig)).is_none()) {
        missing.insert(Missing::Walk);
    }
    let preps = preps(live, rig);
    if preps.is_empty() {
        missing.insert(Missing::NoPrep);
    }
    let judged = |s: &StepInstance| {
        walks(s)
            || (s.step.kind == StepKind::Plug
                && def.enclosures.iter().any(|e| {
                    s.target
                        == Target::Enclosure {
                            enclosure: e.id.clone(),
                        }
                }))
    };
    for (n, (subject, steps)) in preps.iter().enumerate() {
        for step in steps.iter().filter(|s| s.step.two_person && !judged(s)) {
            let ticked = matches!(
                step.step.kind,
                StepKind::Do | StepKind::Check | StepKind::Measure | StepKind::Photo
            );
            let again = preps[..n].iter().flat_map(|(_, s)| *s).any(|l| {
                l.step.two_person
                    && l.target == step.target
                    && l.step.kind == step.step.kind
                    && (!ticked || l.step.id == step.step.id)
            });
            if again {
                continue;
            }
            let mine = |of: &dyn Fn(&Fact) -> Option<bool>| {
                live.iter()
                    .rposition(|t| t.subject == *subject && of(&t.fact).is_some())
                    .filter(|&i| of(&live[i].fact) == Some(true))
            };
            let done = mine(&|f| match f {
                Fact::StepDone { key, .. } if *key == step.key => Some(true),
                Fact::StepSkipped { key, .. } | Fact::StepReopened { key } if *key == step.key => {
                    Some(false)
                }
                _ => None,
            });
            let known = |e: &str| def.enclosures.iter().any(|x| x.id == e);
            let kind = step.step.kind;
            // What two saw of an enclosure that was shut; else they saw it open or shut.
            let shut = matches!(
                kind,
                StepKind::Close
                    | StepKind::Fasteners
                    | StepKind::Hold
                    | StepKind::Plug
                    | StepKind::Controls
                    | StepKind::Recheck
                    | StepKind::Sign
            );
            // Whether something told undoes what the two looked at. What is no longer on the rig is
            // attested by nobody.
            let undoes = |i: usize| -> bool {
                let t = live[i];
                let on = t.subject.strip_prefix(&format!("{rig}/enclosure/"));
                // A ring that was worked on after the closing tells of an opening; of what was shut
                // it tells whenever it was.
                let worked = def.enclosures.iter().any(|e| {
                    let since = !live[i + 1..]
                        .iter()
                        .any(|t| t.subject == at(&e.id) && matches!(t.fact, Fact::Closed {}));
                    let tells = shut || since;
                    match &step.target {
                        Target::Rig => {
                            matches!(kind, StepKind::Sign | StepKind::Controls)
                                && worked_on(t, &e.id, None)
                        }
                        Target::Enclosure { enclosure } => {
                            e.id == *enclosure && tells && worked_on(t, &e.id, None)
                        }
                        Target::Closure { enclosure, closure } => {
                            e.id == *enclosure && tells && worked_on(t, &e.id, Some(closure))
                        }
                        Target::Seal { .. } => false,
                    }
                });
                worked
                    || match &t.fact {
                        Fact::Opened { closure } => {
                            let Some(e) = on.filter(|e| known(e)) else {
                                return false;
                            };
                            let by = closure.as_deref();
                            match &step.target {
                                Target::Rig => {
                                    matches!(kind, StepKind::Sign | StepKind::Controls)
                                }
                                Target::Enclosure { enclosure } => e == enclosure,
                                // Of one closure, or of a seal: only if it is that one that was
                                // opened.
                                Target::Closure { enclosure, closure } => {
                                    e == enclosure && by.is_none_or(|by| by == closure)
                                }
                                Target::Seal { enclosure, seal } => {
                                    let of = def.seals.iter().find(|s| s.id == *seal);
                                    let of = of.and_then(|s| s.closure.as_deref());
                                    e == enclosure && (by.is_none() || by == of)
                                }
                            }
                        }
                        Fact::PlugOff {} => {
                            let e = on.unwrap_or_default();
                            matches!(&step.target, Target::Enclosure { enclosure } if e == enclosure)
                                && known(e)
                                && kind == StepKind::Recheck
                        }
                        Fact::HoldStarted { setup } => {
                            let e = &setup.enclosure;
                            matches!(&step.target, Target::Enclosure { enclosure } if e == enclosure)
                                && known(e)
                                && matches!(kind, StepKind::Recheck | StepKind::Hold)
                        }
                        Fact::DiveLogged { .. } => kind == StepKind::Recheck && t.subject == rig,
                        Fact::PrepStarted { kind: work, .. } => {
                            kind == StepKind::Recheck
                                && t.subject.starts_with(&format!("{rig}/prep/"))
                                && *work != ProcedureKind::Build
                        }
                        _ => false,
                    }
            };
            let by_two = done.is_some_and(|d| {
                !(d + 1..live.len()).any(&undoes)
                    && crew.two(d, &|t| signed_at(t, subject, &step.key)).is_some()
            });
            if !by_two {
                missing.insert(Missing::Unsigned(step.key.clone()));
            }
        }
    }
}
