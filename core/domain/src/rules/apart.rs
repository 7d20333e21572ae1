//! One rig edited on two phones that had not heard of each other: both edits are kept, and of what they
//! say of one thing the stricter counts, until somebody has looked.

use crate::rig::{Enclosure, RigDef, Seal};
use crate::state::RigFacts;
use slackwater_journal::Stamp;

/// Whether what bears a stamp was written by who had heard of no use of a rig that was in use: for its writer
/// it was being set up, and nothing that it loosens was asked to be signed for.
pub fn unknowing(rig: &RigFacts, written: &Stamp) -> bool {
    let preps = rig.prep.iter().chain(&rig.earlier).map(|p| &p.started);
    let holds = rig.enclosures.iter().flat_map(|e| &e.holds);
    let uses: Vec<&Stamp> = preps.chain(holds.map(|h| &h.started)).collect();
    let knew = |u: &&Stamp| rig.heard.after(written, u);
    !uses.iter().any(knew) && uses.iter().any(|u| !rig.heard.after(u, written))
}

/// Whether a rig's definition was written so.
pub fn edited_unknowing(rig: &RigFacts) -> bool {
    rig.defined.iter().any(|d| unknowing(rig, d))
}

/// The names of what edits made apart say different things of, each once: enclosures, rings, controls, lenses,
/// parts and points; and whether they differ in the plan.
pub fn differing(edits: &[&RigDef]) -> (Vec<String>, bool) {
    let mut names = Vec::new();
    let Some((first, others)) = edits.split_first() else {
        return (names, false);
    };
    for other in others {
        of_each(
            &first.enclosures,
            &other.enclosures,
            |e| (&e.id, &e.name),
            &mut names,
        );
        of_each(&first.seals, &other.seals, |s| (&s.id, &s.name), &mut names);
        of_each(
            &first.controls,
            &other.controls,
            |c| (&c.id, &c.name),
            &mut names,
        );
        of_each(
            &first.lenses,
            &other.lenses,
            |l| (&l.id, &l.name),
            &mut names,
        );
        of_each(&first.parts, &other.parts, |p| (&p.id, &p.name), &mut names);
        let points = |def: &RigDef| def.mounting_points.clone();
        of_each(
            &points(first),
            &points(other),
            |p| (&p.id, &p.name),
            &mut names,
        );
    }
    (names, others.iter().any(|o| o.plan != first.plan))
}

fn of_each<T: PartialEq>(
    mine: &[T],
    theirs: &[T],
    of: impl Fn(&T) -> (&String, &String),
    names: &mut Vec<String>,
) {
    for (some, others) in [(mine, theirs), (theirs, mine)] {
        for thing in some.iter().filter(|t| !others.contains(t)) {
            let (id, name) = of(thing);
            // Under its name as the first has it.
            let first = mine.iter().map(&of).find(|(known, _)| *known == id);
            let name = first.map_or(name, |(_, name)| name);
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
}

/// A rig as several edits made apart leave it, the last by the clock first. Everything that one of them
/// has is on it; a rating, a limit and a ring's limits are the least that one says, a free volume and a
/// plan the most. Names and words are those of the first.
pub fn together(edits: &[RigDef]) -> RigDef {
    let Some((first, others)) = edits.split_first() else {
        return RigDef::default();
    };
    let mut def = first.clone();
    for other in others {
        join(
            &mut def.enclosures,
            &other.enclosures,
            |e| &e.id,
            stricter_enclosure,
        );
        join(&mut def.seals, &other.seals, |s| &s.id, stricter_seal);
        join(
            &mut def.controls,
            &other.controls,
            |c| &c.id,
            |mine, theirs| {
                if !mine.assigned() {
                    *mine = theirs.clone();
                }
            },
        );
        join(&mut def.lenses, &other.lenses, |l| &l.id, |_, _| ());
        join(&mut def.parts, &other.parts, |p| &p.id, |_, _| ());
        join(
            &mut def.mounting_points,
            &other.mounting_points,
            |p| &p.id,
            |_, _| (),
        );
        def.plan.depth_m = def.plan.depth_m.max(other.plan.depth_m);
        def.plan.minutes = def.plan.minutes.max(other.plan.minutes);
        // The thinner water lets in more.
        def.plan.water_c = def.plan.water_c.max(other.plan.water_c);
        def.plan.salinity_g_kg = def.plan.salinity_g_kg.min(other.plan.salinity_g_kg);
    }
    def
}

/// Takes over what is not there, and makes of what both have the stricter.
fn join<T: Clone>(
    mine: &mut Vec<T>,
    theirs: &[T],
    id: impl Fn(&T) -> &String,
    stricter: impl Fn(&mut T, &T),
) {
    for new in theirs {
        match mine.iter_mut().find(|known| id(known) == id(new)) {
            Some(known) => stricter(known, new),
            None => mine.push(new.clone()),
        }
    }
}

fn stricter_enclosure(mine: &mut Enclosure, theirs: &Enclosure) {
    let limit = mine.limit().min(theirs.limit());
    if limit < mine.limit() {
        mine.limit_ml = Some(limit);
    }
    mine.volume_l = mine.volume_l.max(theirs.volume_l);
    mine.volume_sd_l = mine.volume_sd_l.max(theirs.volume_sd_l);
    mine.depth_rating_m = mine.depth_rating_m.min(theirs.depth_rating_m);
    join(&mut mine.closures, &theirs.closures, |c| &c.id, |_, _| ());
    join(
        &mut mine.penetrators,
        &theirs.penetrators,
        |p| &p.id,
        |_, _| (),
    );
    let out = theirs.valve.as_ref().is_some_and(|v| !v.reads_with_plug_on);
    if let Some(valve) = mine.valve.as_mut().filter(|_| out) {
        valve.reads_with_plug_on = false;
    }
}

fn stricter_seal(mine: &mut Seal, theirs: &Seal) {
    let (m, t) = (&mut mine.limits, &theirs.limits);
    for (mine, theirs) in [
        (&mut m.soft_days, t.soft_days),
        (&mut m.hard_days, t.hard_days),
        (&mut m.soft_openings, t.soft_openings),
        (&mut m.hard_openings, t.hard_openings),
        (&mut m.soft_dives, t.soft_dives),
        (&mut m.hard_dives, t.hard_dives),
    ] {
        *mine = match (*mine, theirs) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
    }
    // One edit's warning may lie beyond the other's block.
    for (soft, hard) in [
        (&mut m.soft_days, m.hard_days),
        (&mut m.soft_openings, m.hard_openings),
        (&mut m.soft_dives, m.hard_dives),
    ] {
        if let (Some(s), Some(h)) = (*soft, hard) {
            *soft = Some(s.min(h));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::templates;

    #[test]
    fn nothing_that_one_edit_has_is_lost_and_the_stricter_counts() {
        let base = templates()[0].rig.clone();
        let (mut a, mut b) = (base.clone(), base.clone());
        a.enclosures.push(Enclosure {
            id: "pod".into(),
            ..base.enclosures[0].clone()
        });
        a.enclosures[0].depth_rating_m = 60.0;
        a.enclosures[0].limit_ml = Some(30.0);
        a.plan.depth_m = 12.0;
        b.enclosures[0].depth_rating_m = 40.0;
        b.enclosures[0].volume_l = 20.0;
        b.plan.depth_m = 30.0;
        b.seals[0].limits.hard_days = Some(3);
        b.controls.clear();
        for edits in [[a.clone(), b.clone()], [b.clone(), a.clone()]] {
            let both = together(&edits);
            assert!(both.enclosure("pod").is_some());
            let main = &both.enclosures[0];
            assert_eq!(main.depth_rating_m, 40.0);
            assert_eq!(main.limit(), 30.0);
            assert_eq!(main.volume_l, 20.0);
            assert_eq!(both.plan.depth_m, 30.0);
            assert_eq!(both.seals[0].limits.hard_days, Some(3));
            assert_eq!(both.controls.len(), a.controls.len());
            both.validate().unwrap();
        }
        assert_eq!(together(&[a.clone()]), a);
    }

    #[test]
    fn what_differs_is_named_once_whichever_was_first() {
        let base = templates()[0].rig.clone();
        let mut other = base.clone();
        other.enclosures[0].limit_ml = Some(30.0);
        other.enclosures[0].volume_l += 1.0;
        let gone = other.seals.remove(0);
        let want = vec![base.enclosures[0].name.clone(), gone.name];
        for edits in [[&base, &other], [&other, &base]] {
            assert_eq!(differing(&edits), (want.clone(), false));
        }
        let mut planned = base.clone();
        planned.plan.depth_m += 1.0;
        assert_eq!(differing(&[&base, &planned]), (Vec::new(), true));
        assert_eq!(differing(&[&base, &base]), (Vec::new(), false));
    }

    /// Both ways round: what of an enclosure, and of a seal, the two together say.
    fn both(a: impl Fn(&mut RigDef), b: impl Fn(&mut RigDef)) -> [RigDef; 2] {
        let base = templates()[0].rig.clone();
        let (mut one, mut other) = (base.clone(), base);
        a(&mut one);
        b(&mut other);
        [
            together(&[one.clone(), other.clone()]),
            together(&[other, one]),
        ]
    }

    /// Seen: of 12 L ± 0.5 and 14 L ± 0.2 it was ± 0.2 or ± 0.5, by which edit the clock put last.
    #[test]
    fn of_a_volume_the_larger_counts_with_its_error_and_of_a_limit_the_smaller() {
        let volume = |litres: f64, sd: f64| {
            move |d: &mut RigDef| {
                let e = &mut d.enclosures[0];
                (e.volume_l, e.volume_sd_l) = (litres, sd);
            }
        };
        for def in both(volume(12.0, 0.5), volume(14.0, 0.2)) {
            let e = &def.enclosures[0];
            // The larger volume, and no surer than the one who knew it least.
            assert_eq!((e.volume_l, e.volume_sd_l), (14.0, 0.5));
        }
        let limit = |ml: Option<f64>| move |d: &mut RigDef| d.enclosures[0].limit_ml = ml;
        for def in both(limit(Some(30.0)), limit(Some(20.0))) {
            assert_eq!(def.enclosures[0].limit(), 20.0);
        }
        // One that nobody set follows from the volume, and still does where both leave it so.
        for def in both(limit(None), limit(None)) {
            assert_eq!(def.enclosures[0].limit_ml, None);
        }
        for def in both(limit(Some(1e6)), limit(None)) {
            assert!(def.enclosures[0].limit() < 1e3);
        }
    }

    #[test]
    fn a_plug_that_one_says_comes_out_for_a_reading_comes_out() {
        let reads = |on: bool| {
            move |d: &mut RigDef| d.enclosures[0].valve.as_mut().unwrap().reads_with_plug_on = on
        };
        let stays = |d: &RigDef| d.enclosures[0].valve.as_ref().unwrap().reads_with_plug_on;
        assert!(both(reads(true), reads(false)).iter().all(|d| !stays(d)));
        assert!(both(reads(true), reads(true)).iter().all(stays));
    }

    #[test]
    fn of_a_rings_limits_the_smallest_counts_and_a_warning_never_lies_beyond_the_block() {
        let limits = |soft: Option<u32>, hard: Option<u32>| {
            move |d: &mut RigDef| {
                let l = &mut d.seals[0].limits;
                (l.soft_days, l.soft_openings, l.soft_dives) = (soft, soft, soft);
                (l.hard_days, l.hard_openings, l.hard_dives) = (hard, hard, hard);
            }
        };
        for (a, b, want) in [
            (
                (Some(20), Some(30)),
                (Some(10), Some(40)),
                (Some(10), Some(30)),
            ),
            ((None, Some(30)), (Some(10), None), (Some(10), Some(30))),
            (
                (Some(20), Some(30)),
                (Some(15), Some(10)),
                (Some(10), Some(10)),
            ),
            ((None, None), (None, None), (None, None)),
        ] {
            for def in both(limits(a.0, a.1), limits(b.0, b.1)) {
                let l = &def.seals[0].limits;
                assert_eq!((l.soft_days, l.hard_days), want);
                assert_eq!((l.soft_openings, l.hard_openings), want);
                assert_eq!((l.soft_dives, l.hard_dives), want);
            }
        }
    }

    #[test]
    fn a_control_that_one_of_both_uses_is_used_and_nothing_is_there_twice() {
        let function = |text: &'static str| {
            move |d: &mut RigDef| {
                d.controls[0].function = text.into();
                d.controls[0].record_trigger = false;
            }
        };
        for def in both(function(""), function("iris")) {
            assert_eq!(def.controls[0].function, "iris");
        }
        // Used for two things, it is what the last says.
        let [last, first] = both(function("focus"), function("iris"));
        assert_eq!(last.controls[0].function, "focus");
        assert_eq!(first.controls[0].function, "iris");
        let base = templates()[0].rig.clone();
        for def in both(|_| {}, |_| {}) {
            assert_eq!(def, base);
        }
        let plan = |m: f64, minutes: f64| {
            move |d: &mut RigDef| (d.plan.depth_m, d.plan.minutes) = (m, minutes)
        };
        for def in both(plan(10.0, 60.0), plan(20.0, 30.0)) {
            assert_eq!((def.plan.depth_m, def.plan.minutes), (20.0, 60.0));
        }
        // Warm and fresh water are thinner.
        let water = |c: f64, salt: f64| {
            move |d: &mut RigDef| (d.plan.water_c, d.plan.salinity_g_kg) = (c, salt)
        };
        for def in both(water(2.0, 0.0), water(30.0, 35.0)) {
            assert_eq!((def.plan.water_c, def.plan.salinity_g_kg), (30.0, 0.0));
        }
    }
}
