//! What falls due over a planned shoot, and which rings to pack for it. Pure.
//!
//! Counted on the careful side: every closure is opened as often as the plan says, each opening
//! disturbs every ring of its closure, a day counts to its end. A ring is taken to be replaced on
//! the evening it falls due, and counts anew from there.

use chrono::{DateTime, Days, NaiveDate};

use super::facts::Shoot;
use super::rig::{RigFault, Seal, SealLimits, Wrong};
use super::rules::{Now, PastLimit, age_days, faulty, past_at, stored_too_long};
use super::state::{BoxLot, RigFacts, SealFacts};
use slackwater_physics::oring::{self, StorageRule, UseBy};

/// Most days of a shoot.
pub const DAYS_MAX: u32 = 365;
/// Most dives a day.
pub const DIVES_MAX: u32 = 20;
/// Most openings of a closure a day.
pub const OPENINGS_MAX: u32 = 50;

/// What becomes of one seal over a shoot. Days are those of the shoot, from 1; 0 is before it.
#[derive(Debug, Clone, PartialEq)]
pub struct SealForecast {
    /// Seal id.
    pub seal: String,
    /// When it falls due first: by the limit that warns, or by the one that blocks where none warns.
    pub due: Option<(u32, PastLimit)>,
    /// When it would block if nobody replaced it.
    pub blocks: Option<(u32, PastLimit)>,
    /// A ring that must not go back is in it: it is due whatever its limits say.
    pub faulty: bool,
    /// How many new rings it takes.
    pub replacements: u32,
    /// It has a limit by days and nobody said how old its ring is.
    pub age_unknown: bool,
}

/// Rings of one size and material for the case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spare {
    /// Size as the rig has it; empty for seals whose size nobody wrote down.
    pub size: String,
    /// Material as the rig has it, or empty.
    pub material: String,
    /// The seals that take it, by id.
    pub seals: Vec<String>,
    /// Rings that fall due over the shoot.
    pub replacements: u32,
    /// Rings to take along: those, and one for every seal.
    pub wanted: u32,
    /// How many the box has of them that may still be fitted on the last day.
    pub have: u32,
    /// How many more it has that will be too old by then (ISO 2230, without its extension).
    pub too_old: u32,
    /// How many to order.
    pub order: u32,
}

/// Checks a plan.
///
/// # Errors
/// Every field that is wrong.
pub fn check(shoot: &Shoot) -> Result<NaiveDate, Vec<RigFault>> {
    let mut faults = Vec::new();
    let mut fault = |at: &str, why: Wrong| {
        faults.push(RigFault {
            at: at.to_owned(),
            why,
        });
    };
    let first = NaiveDate::parse_from_str(shoot.first_day.trim(), "%Y-%m-%d");
    let within = first.is_ok_and(|d| d.to_string().len() == 10);
    if !within {
        fault("first_day", Wrong::Day);
    }
    for (at, value, low, high) in [
        ("days", shoot.days, 1, DAYS_MAX),
        ("dives_per_day", shoot.dives_per_day, 0, DIVES_MAX),
        ("openings_per_day", shoot.openings_per_day, 0, OPENINGS_MAX),
    ] {
        if !(low..=high).contains(&value) {
            fault(at, Wrong::count(low, high));
        }
    }
    match first {
        Ok(day) if faults.is_empty() => Ok(day),
        _ => Err(faults),
    }
}

/// The day it is, by the later of both clocks (UTC).
pub fn today(now: Now) -> NaiveDate {
    let ms = now.wall_ms.max(now.newest.ms());
    DateTime::from_timestamp_millis(ms).map_or(NaiveDate::MIN, |t| t.date_naive())
}

/// What of a ring counts against its limits.
#[derive(Clone, Copy)]
struct Worn {
    /// Days at the end of the day looked at.
    age: Option<i64>,
    openings: u32,
    dives: u32,
}

/// What falls due over a shoot, seal by seal in the rig's order.
///
/// # Errors
/// A plan that can't be, as [`check`] says.
pub fn forecast(
    rig: &RigFacts,
    shoot: &Shoot,
    now: Now,
) -> Result<Vec<SealForecast>, Vec<RigFault>> {
    let first = check(shoot)?;
    // Days from today to the first; below zero where the shoot has begun.
    let ahead = (first - today(now)).num_days();
    let all = rig.def.seals.iter().zip(&rig.seals);
    Ok(all
        .map(|(def, facts)| one(rig, def, facts, shoot, ahead, now))
        .collect())
}

/// From so many days on since a ring was fitted its openings and dives tell how fast it wears.
const PACE_DAYS: i64 = 3;

/// The day on which a seal will be due, by the limit that warns or else the one that blocks: its days, and its
/// openings and dives in salt water going on as often as since its ring was fitted. With a planned shoot the
/// earlier of that and of the day that the plan makes it due. None where no limit tells a day: none is set, or
/// nobody said since when the ring is in.
pub fn due_on(rig: &RigFacts, def: &Seal, facts: &SealFacts, now: Now) -> Option<NaiveDate> {
    let limits = def.limits;
    let left = |used: i64, soft: Option<u32>, hard: Option<u32>| {
        soft.or(hard)
            .map(|limit| i64::from(limit).saturating_sub(used).max(0))
    };
    let age = age_days(facts, now);
    let at_pace = |used: u32, left: Option<i64>| {
        let age = age.filter(|age| *age >= PACE_DAYS)?;
        // Days until the rest is used up, as many a day as until now.
        left?.saturating_mul(age).checked_div(i64::from(used))
    };
    let (openings, dives) = (i64::from(facts.openings), i64::from(facts.dives));
    let in_days = [
        age.and_then(|age| left(age, limits.soft_days, limits.hard_days)),
        at_pace(
            facts.openings,
            left(openings, limits.soft_openings, limits.hard_openings),
        ),
        at_pace(
            facts.dives,
            left(dives, limits.soft_dives, limits.hard_dives),
        ),
    ];
    let days = in_days.into_iter().flatten().min();
    let by_pace = days.and_then(|d| today(now).checked_add_days(Days::new(d.unsigned_abs())));
    let planned = rig.shoot.as_ref().and_then(|shoot| {
        let first = check(shoot).ok()?;
        let ahead = (first - today(now)).num_days();
        let (day, _) = one(rig, def, facts, shoot, ahead, now).due?;
        first.checked_add_days(Days::new(u64::from(day.saturating_sub(1))))
    });
    by_pace.into_iter().chain(planned).min()
}

/// Whether a day is one of a planned shoot that is not over.
pub fn in_shoot(rig: &RigFacts, day: NaiveDate, now: Now) -> bool {
    let planned = rig.shoot.as_ref();
    planned.is_some_and(|shoot| {
        let first = check(shoot).ok();
        let last =
            first.and_then(|f| f.checked_add_days(Days::new(u64::from(shoot.days.max(1) - 1))));
        last.is_some_and(|last| day <= last && today(now) <= last)
    })
}

fn one(
    rig: &RigFacts,
    def: &Seal,
    facts: &SealFacts,
    shoot: &Shoot,
    ahead: i64,
    now: Now,
) -> SealForecast {
    let limits = def.limits;
    let is_faulty = faulty(rig, facts).is_some();
    let stored = stored_too_long(def, facts, true).or_else(|| stored_too_long(def, facts, false));
    let at_start = Worn {
        // To the eve of the first day, or to now where that has passed.
        age: age_days(facts, now).map(|a| a.saturating_add(ahead.max(0))),
        openings: facts.openings,
        dives: facts.dives,
    };
    let soft_or_hard = |w: Worn| soft_past(limits, w).or_else(|| hard_past(limits, w));
    let mut due = soft_or_hard(at_start).or(stored).map(|past| (0, past));
    let mut blocks = hard_past(limits, at_start)
        .or_else(|| stored_too_long(def, facts, true))
        .map(|past| (0, past));
    let mut replacements = u32::from(due.is_some() || is_faulty);
    // Two counts: one of the ring replaced when due, one of a ring that nobody replaces.
    let fresh = Worn {
        age: Some(0),
        openings: 0,
        dives: 0,
    };
    let mut kept = at_start;
    let mut replaced = if replacements > 0 { fresh } else { at_start };
    // Days of the shoot that have passed are in the record already.
    let begin = u32::try_from((-ahead).max(0)).unwrap_or(u32::MAX);
    for day in begin.saturating_add(1)..=shoot.days {
        for worn in [&mut kept, &mut replaced] {
            worn.age = worn.age.map(|a| a + 1);
            if def.closure.is_some() {
                worn.openings = worn.openings.saturating_add(shoot.openings_per_day);
            }
            if shoot.salt {
                worn.dives = worn.dives.saturating_add(shoot.dives_per_day);
            }
        }
        if blocks.is_none() {
            blocks = hard_past(limits, kept).map(|past| (day, past));
        }
        if let Some(past) = soft_or_hard(replaced) {
            due = due.or(Some((day, past)));
            replacements += 1;
            replaced = fresh;
        }
    }
    let age_unknown = facts.fitted.is_none() && limits.soft_days.or(limits.hard_days).is_some();
    SealForecast {
        seal: def.id.clone(),
        due,
        blocks,
        faulty: is_faulty,
        replacements,
        age_unknown,
    }
}

fn soft_past(limits: SealLimits, worn: Worn) -> Option<PastLimit> {
    past_at(
        worn.age,
        worn.openings,
        worn.dives,
        (limits.soft_days, limits.soft_openings, limits.soft_dives),
    )
}

fn hard_past(limits: SealLimits, worn: Worn) -> Option<PastLimit> {
    past_at(
        worn.age,
        worn.openings,
        worn.dives,
        (limits.hard_days, limits.hard_openings, limits.hard_dives),
    )
}

/// Until when the rings of a lot may be fitted, by ISO 2230 without its extension, or with it.
/// None where the lot's material or cure date isn't known.
pub fn lot_until(lot: &BoxLot, extended: bool) -> Option<NaiveDate> {
    let cured = oring::cure_date(&lot.lot.cured).ok()?;
    let rule = if extended {
        StorageRule::Iso2230Extended
    } else {
        StorageRule::Iso2230
    };
    match oring::use_by(&lot.lot.material, cured, rule) {
        Ok(UseBy::Date(day)) => Some(day),
        _ => None,
    }
}

/// Whether rings of a lot go into a seal: the same size and material. Where the rig says nothing of
/// one of them, nothing is ruled out by it.
pub fn lot_fits(lot: &BoxLot, seal: &Seal) -> bool {
    let size = seal.size.trim().is_empty() || oring::same_size(&lot.lot.size, &seal.size);
    let unsaid = seal.material.trim().is_empty() || lot.lot.material.trim().is_empty();
    size && (unsaid || oring::same_material(&lot.lot.material, &seal.material))
}

/// The rings to take along, by size and material, what to order first.
///
/// # Errors
/// As [`forecast`].
pub fn spares(
    rig: &RigFacts,
    shoot: &Shoot,
    lots: &[BoxLot],
    now: Now,
) -> Result<Vec<Spare>, Vec<RigFault>> {
    let first = check(shoot)?;
    let last = first
        .checked_add_days(Days::new(u64::from(shoot.days.saturating_sub(1))))
        .unwrap_or(first);
    let mut groups: Vec<Spare> = Vec::new();
    for (seal, forecast) in rig.def.seals.iter().zip(forecast(rig, shoot, now)?) {
        let found = groups.iter_mut().find(|g| {
            oring::same_size(&g.size, &seal.size)
                && oring::same_material(&g.material, &seal.material)
        });
        match found {
            Some(group) => {
                group.seals.push(seal.id.clone());
                group.replacements += forecast.replacements;
            }
            None => groups.push(Spare {
                size: seal.size.trim().to_owned(),
                material: seal.material.trim().to_owned(),
                seals: vec![seal.id.clone()],
                replacements: forecast.replacements,
                wanted: 0,
                have: 0,
                too_old: 0,
                order: 0,
            }),
        }
    }
    for group in &mut groups {
        group.wanted = group.seals.len() as u32 + group.replacements;
        if group.size.is_empty() {
            // Nobody knows what to look for in the box.
            group.order = group.wanted;
            continue;
        }
        for lot in lots.iter().filter(|l| l.count > 0) {
            let same = oring::same_size(&lot.lot.size, &group.size)
                && oring::same_material(&lot.lot.material, &group.material);
            if !same {
                continue;
            }
            let count = u32::try_from(lot.count).unwrap_or(u32::MAX);
            if lot_until(lot, false).is_some_and(|until| last > until) {
                group.too_old = group.too_old.saturating_add(count);
            } else {
                group.have = group.have.saturating_add(count);
            }
        }
        group.order = group.wanted.saturating_sub(group.have);
    }
    groups.sort_by_key(|g| std::cmp::Reverse(g.order));
    Ok(groups)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::RingLot;
    use crate::rig::RigDef;
    use crate::state::Fitted;
    use proptest::prelude::*;
    use slackwater_journal::{Hlc, Stamp};

    const NOW_MS: i64 = 1_780_293_600_000; // 2026-06-01 06:00 UTC
    const DAY: i64 = 86_400_000;

    fn seal(id: &str, size: &str, limits: SealLimits) -> Seal {
        Seal {
            id: id.into(),
            name: id.into(),
            enclosure: "main".into(),
            closure: Some("back".into()),
            size: size.into(),
            material: "NBR".into(),
            hardness_shore_a: 70,
            limits,
            grease: None,
            gland: None,
        }
    }

    fn rig(seals: Vec<(Seal, SealFacts)>) -> RigFacts {
        let (defs, facts) = seals.into_iter().unzip();
        RigFacts {
            def: RigDef {
                seals: defs,
                ..RigDef::default()
            },
            seals: facts,
            ..RigFacts::default()
        }
    }

    fn fitted(days_ago: i64, openings: u32, dives: u32) -> SealFacts {
        SealFacts {
            fitted: Some(Fitted {
                ms: NOW_MS - days_ago * DAY,
                said: Stamp::of_ms(NOW_MS - days_ago * DAY),
                said_ms: NOW_MS - days_ago * DAY,
                dated: false,
                pack: String::new(),
                cured: String::new(),
                ring: None,
            }),
            openings,
            dives,
            ..SealFacts::default()
        }
    }

    fn shoot(first_day: &str, days: u32) -> Shoot {
        Shoot {
            first_day: first_day.into(),
            days,
            dives_per_day: 3,
            openings_per_day: 2,
            salt: true,
        }
    }

    fn now() -> Now {
        Now::at(NOW_MS, Hlc::at(NOW_MS))
    }

    #[test]
    fn each_limit_falls_on_its_day() {
        let limits = |days, openings, dives| SealLimits {
            soft_days: days,
            soft_openings: openings,
            soft_dives: dives,
            hard_days: days.map(|d| d + 3),
            ..SealLimits::default()
        };
        let rig = rig(vec![
            (
                seal("days", "", limits(Some(300), None, None)),
                fitted(295, 0, 0),
            ),
            (
                seal("openings", "", limits(None, Some(20), None)),
                fitted(10, 11, 0),
            ),
            (
                seal("dives", "", limits(None, None, Some(30))),
                fitted(10, 0, 0),
            ),
            (
                seal("none", "", SealLimits::default()),
                SealFacts::default(),
            ),
        ]);
        // From the day after tomorrow: 2 days ahead.
        let got = forecast(&rig, &shoot("2026-06-03", 10), now()).unwrap();
        let due: Vec<_> = got.iter().map(|f| f.due.map(|d| d.0)).collect();
        // 295 + 2 ahead = 297 on the eve; 300 at the end of day 3. 11 + 2 a day: 21 on day 5.
        // 3 dives a day: 30 on day 10.
        assert_eq!(due, [Some(3), Some(5), Some(10), None]);
        assert_eq!(got[0].blocks.map(|b| b.0), Some(6));
        assert_eq!(got[1].blocks, None);
        // In fresh water no dive counts; without openings nothing is disturbed.
        let idle = Shoot {
            salt: false,
            openings_per_day: 0,
            ..shoot("2026-06-03", 10)
        };
        let got = forecast(&rig, &idle, now()).unwrap();
        let due: Vec<_> = got.iter().map(|f| f.due.map(|d| d.0)).collect();
        assert_eq!(due, [Some(3), None, None, None]);
    }

    #[test]
    fn a_shoot_that_has_begun_counts_from_today() {
        let limits = SealLimits {
            soft_openings: Some(20),
            ..SealLimits::default()
        };
        let rig = rig(vec![(seal("a", "", limits), fitted(10, 16, 0))]);
        // Day 4 is today: two openings a day make 20 on day 5.
        let got = forecast(&rig, &shoot("2026-05-29", 10), now()).unwrap();
        assert_eq!(got[0].due.map(|d| d.0), Some(5));
        // Over: nothing falls due any more.
        let got = forecast(&rig, &shoot("2026-01-01", 10), now()).unwrap();
        assert_eq!(got[0].due, None);
    }

    #[test]
    fn a_plan_that_can_not_be_names_its_fields() {
        let bad = Shoot {
            first_day: "soon".into(),
            days: 0,
            dives_per_day: 21,
            openings_per_day: 51,
            salt: true,
        };
        let at: Vec<String> = check(&bad).unwrap_err().into_iter().map(|f| f.at).collect();
        assert_eq!(
            at,
            ["first_day", "days", "dives_per_day", "openings_per_day"]
        );
        for day in [
            "",
            "2026-13-01",
            "2026-02-30",
            "06/01/2026",
            "999999-01-01",
            "-001-01-01",
        ] {
            assert!(check(&shoot(day, 1)).is_err(), "{day}");
        }
    }

    #[test]
    fn the_case_has_one_for_each_seal_and_one_for_each_that_falls_due() {
        let often = SealLimits {
            soft_openings: Some(8),
            ..SealLimits::default()
        };
        let none = SealLimits::default();
        let rig = rig(vec![
            (seal("a", "AS568-258", often), fitted(1, 0, 0)),
            (seal("b", "151.99 x 3.53 mm", none), fitted(1, 0, 0)),
            (seal("c", "AS568-020", none), fitted(1, 0, 0)),
        ]);
        let lot = |id: &str, size: &str, cured: &str, count| BoxLot {
            id: id.into(),
            lot: RingLot {
                size: size.into(),
                material: "NBR".into(),
                hardness_shore_a: 70,
                pack: String::new(),
                cured: cured.into(),
            },
            count,
        };
        let lots = [
            lot("1", "AS568-258", "1Q25", 2),
            lot("2", "-258", "1Q15", 7),
            lot("3", "AS568-020", "", 5),
            lot("4", "AS568-258", "1Q25", -2),
        ];
        let got = spares(&rig, &shoot("2026-06-01", 10), &lots, now()).unwrap();
        // 2 openings a day for 10 days: 8 on days 4 and 8.
        let first = &got[0];
        assert_eq!(first.seals, ["a", "b"]);
        assert_eq!((first.replacements, first.wanted), (2, 4));
        assert_eq!((first.have, first.too_old, first.order), (2, 7, 2));
        assert_eq!((got[1].wanted, got[1].have, got[1].order), (1, 5, 0));
    }

    proptest! {
        /// A longer or busier shoot never makes anything fall due later, nor wants fewer rings.
        #[test]
        fn more_work_never_wants_less(
            age in 0i64..400, openings in 0u32..60, dives in 0u32..60, days in 1u32..60,
            opened in 0u32..6, dived in 0u32..6,
            soft in proptest::option::of(1u32..300), hard in proptest::option::of(1u32..50), salt_limit in proptest::option::of(1u32..50),
        ) {
            let limits = SealLimits {
                soft_days: soft,
                soft_openings: hard,
                soft_dives: salt_limit,
                ..SealLimits::default()
            };
            let rig = rig(vec![(seal("a", "AS568-258", limits), fitted(age, openings, dives))]);
            let less = Shoot { first_day: "2026-06-02".into(), days, dives_per_day: dived, openings_per_day: opened, salt: true };
            let more = Shoot { dives_per_day: dived + 1, openings_per_day: opened + 1, days: days + 1, ..less.clone() };
            let (a, b) = (forecast(&rig, &less, now()).unwrap(), forecast(&rig, &more, now()).unwrap());
            let day = |f: &SealForecast| f.due.map_or(u32::MAX, |d| d.0);
            prop_assert!(day(&b[0]) <= day(&a[0]));
            prop_assert!(b[0].replacements >= a[0].replacements);
            // It is due no later than it blocks.
            for f in a.iter().chain(&b) {
                if let Some((blocked, _)) = f.blocks {
                    prop_assert!(day(f) <= blocked);
                }
            }
        }
    }
}
