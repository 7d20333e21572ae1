//! The sentences of the trim screen.

use super::cx::Cx;
use slackwater_domain::facts::{SeenFact, WaterFact, WaterSeen, Way};
use slackwater_domain::state::RigFacts;
use slackwater_domain::trim::{Lesson, NothingTaught, Question, Untrimmed, WhatIf};
use slackwater_physics::trim::{
    Attitude, Balance, Cause, Limit, Part, Plan, Shortfall, gram_force,
};

/// A preset's name.
pub(super) fn preset_name(cx: &Cx<'_>, key: &str) -> String {
    match key {
        "fresh" => cx.t("screen_water_fresh"),
        "pool" => cx.t("screen_water_pool"),
        "salt_pool" => cx.t("screen_water_salt_pool"),
        "brackish" => cx.t("screen_water_brackish"),
        "sea" => cx.t("screen_water_sea"),
        "cold_sea" => cx.t("screen_water_cold_sea"),
        "warm_sea" => cx.t("screen_water_warm_sea"),
        "salty_sea" => cx.t("screen_water_salty_sea"),
        "" => cx.t("screen_water_planned"),
        other => other.to_owned(),
    }
}

/// 'Pool, 27.0 °C, at 3 m'.
pub(super) fn water_name(cx: &Cx<'_>, water: &WaterFact) -> String {
    cx.say(
        "screen_trim_water_words",
        &[
            ("name", (&preset_name(cx, &water.key)).into()),
            (
                "temperature",
                (&cx.units.temperature(water.water_c + 273.15)).into(),
            ),
            ("depth", (&cx.units.depth(water.depth_m)).into()),
        ],
    )
}

/// An angle of rest whose interval (2 sd) reaches further than this, degrees, isn't known: half way to
/// its side or its nose.
const ANGLE_KNOWN_TO_DEG: f64 = 45.0;

/// Whether an angle of rest with this standard uncertainty, rad, says anything.
pub(super) fn angle_is_known(sd: f64) -> bool {
    2.0 * sd.to_degrees() <= ANGLE_KNOWN_TO_DEG
}

/// 'nose 2.1° up, leaning 1° to its right'.
pub(super) fn attitude_words(cx: &Cx<'_>, b: &Balance) -> String {
    let Attitude::Rests {
        pitch,
        roll,
        certain,
    } = b.attitude
    else {
        return cx.t("screen_trim_indifferent");
    };
    if !certain || !angle_is_known(pitch.sd) {
        return cx.t("screen_trim_attitude_unsure");
    }
    let degrees = |value: f64, sd: f64| {
        format!(
            "{}°",
            cx.units
                .deserved(value.to_degrees().abs(), sd.to_degrees().max(0.1))
        )
    };
    let level = 0.5f64.to_radians();
    let nose = if pitch.value.abs() < level {
        cx.t("screen_trim_nose_level")
    } else {
        let key = if pitch.value > 0.0 {
            "screen_trim_nose_up"
        } else {
            "screen_trim_nose_down"
        };
        cx.say(key, &[("angle", (&degrees(pitch.value, pitch.sd)).into())])
    };
    if !angle_is_known(roll.sd) {
        return format!("{nose}, {}", cx.t("screen_trim_lean_unsure"));
    }
    if roll.value.abs() < level {
        return nose;
    }
    let key = if roll.value > 0.0 {
        "screen_trim_leans_right"
    } else {
        "screen_trim_leans_left"
    };
    let lean = cx.say(key, &[("angle", (&degrees(roll.value, roll.sd)).into())]);
    format!("{nose}, {lean}")
}

/// How near the best comes, and what stands in the way of better.
pub(super) fn shortfall_words(cx: &Cx<'_>, s: &Shortfall) -> String {
    let (what, limit) = match s {
        Shortfall::Net { off_n, limit } => {
            let amount = cx.units.force_about(gram_force(off_n.abs()));
            let key = if *off_n > 0.0 {
                "screen_trim_too_light"
            } else {
                "screen_trim_too_heavy"
            };
            (cx.say(key, &[("amount", (&amount).into())]), limit)
        }
        Shortfall::Pitch { off_rad, limit } => {
            let angle = format!("{}°", cx.units.plain(off_rad.to_degrees().abs(), 2));
            let key = if *off_rad > 0.0 {
                "screen_trim_still_nose_up"
            } else {
                "screen_trim_still_nose_down"
            };
            (cx.say(key, &[("angle", (&angle).into())]), limit)
        }
        Shortfall::Roll { off_rad, limit } => {
            let angle = format!("{}°", cx.units.plain(off_rad.to_degrees().abs(), 2));
            let key = if *off_rad > 0.0 {
                "screen_trim_still_right"
            } else {
                "screen_trim_still_left"
            };
            (cx.say(key, &[("angle", (&angle).into())]), limit)
        }
    };
    let why = match limit {
        Limit::NothingPullsThatWay => cx.t("screen_trim_limit_nothing"),
        Limit::BoxUsedUp => cx.t("screen_trim_limit_box"),
        Limit::PointsFull => cx.t("screen_trim_limit_points"),
        Limit::Steps => cx.t("screen_trim_limit_steps"),
        Limit::Lever {
            needed_n_m,
            most_n_m,
        } => cx.say(
            "screen_trim_limit_lever",
            &[
                ("needed", (&cx.units.plain(needed_n_m.abs(), 2)).into()),
                ("most", (&cx.units.plain(most_n_m.abs(), 2)).into()),
            ],
        ),
        Limit::BothAtOnce => cx.t("screen_trim_limit_both"),
    };
    format!("{what}: {why}")
}

/// 'add 100 g at Front left and Rear right; take 50 g off Rear left'.
pub(super) fn todo_words(cx: &Cx<'_>, question: &Question, plan: &Plan) -> String {
    // The same change at several points is one clause.
    let mut clauses: Vec<(usize, i32, Vec<&str>)> = Vec::new();
    for c in &plan.changes {
        let point = question.points.get(c.point).map_or("", |p| p.name.as_str());
        match clauses
            .iter_mut()
            .find(|(size, count, _)| (*size, *count) == (c.size, c.count))
        {
            Some((_, _, points)) => points.push(point),
            None => clauses.push((c.size, c.count, vec![point])),
        }
    }
    if clauses.is_empty() {
        return cx.t("screen_trim_nothing_to_change");
    }
    clauses.sort_by_key(|(size, count, _)| (*count < 0, *size));
    let texts: Vec<String> = clauses
        .iter()
        .map(|(size, count, points)| {
            let mass_g = question.weights.get(*size).map_or(0.0, |w| w.0);
            let what = cx.units.weights(mass_g, count.unsigned_abs());
            let key = if *count > 0 {
                "screen_trim_add_at"
            } else {
                "screen_trim_take_at"
            };
            cx.say(
                key,
                &[
                    ("what", (&what).into()),
                    ("points", (&and(cx, points)).into()),
                ],
            )
        })
        .collect();
    texts.join("; ")
}

/// 'A, B and C'.
fn and(cx: &Cx<'_>, all: &[&str]) -> String {
    match all {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => cx.say(
            "common_and",
            &[
                ("first", (&first.join(", ")).into()),
                ("last", (*last).into()),
            ],
        ),
    }
}

/// 'Open sea instead of Pool'.
pub(super) fn what_if_title(
    cx: &Cx<'_>,
    rig: &RigFacts,
    water: &WaterFact,
    what: &WhatIf,
) -> String {
    let instead = |new: &str, old: &str| {
        cx.say(
            "screen_trim_instead",
            &[("new", new.into()), ("old", old.into())],
        )
    };
    let part_name = |id: Option<&str>| {
        id.and_then(|id| rig.def.part(id))
            .map(|p| p.name.clone())
            .unwrap_or_default()
    };
    match what {
        WhatIf::Water { key } => instead(&preset_name(cx, key), &preset_name(cx, &water.key)),
        WhatIf::Lens { lens } => {
            let new = rig.def.lenses.iter().find(|l| l.id == *lens);
            let new = new.map(|l| l.name.clone()).unwrap_or_default();
            match rig.def.lens() {
                Some(old) => instead(&new, &old.name),
                None => cx.say("screen_trim_with", &[("name", (&new).into())]),
            }
        }
        WhatIf::Part { part, on } => {
            let name = part_name(Some(part));
            let other = rig.def.part(part).and_then(|p| p.in_place_of.as_deref());
            let other = part_name(other);
            if *on {
                instead(&name, &other)
            } else {
                instead(&other, &name)
            }
        }
        WhatIf::Lacking { key } => {
            let weight = rig.def.weight_box.iter().find(|w| w.key() == *key);
            let name = weight.map_or_else(
                || key.clone(),
                |w| cx.units.weight_named(w.mass_g, w.volume_cm3),
            );
            cx.say("screen_trim_lacking", &[("name", (&name).into())])
        }
    }
}

/// Where a difference comes from, if from more than one thing, N each: 'without Battery', 'Large battery'.
pub(super) fn cause_lifts(cx: &Cx<'_>, causes: &[Cause]) -> Vec<(String, f64)> {
    if causes.len() < 2 {
        return Vec::new();
    }
    let one = |c: &Cause| match c {
        Cause::Water { net_n } => (cx.t("screen_trim_cause_water"), *net_n),
        Cause::Weights { net_n } => (cx.t("screen_trim_cause_weights"), *net_n),
        Cause::Added { part, net_n } | Cause::Altered { part, net_n } => (part.clone(), *net_n),
        Cause::Removed { part, net_n } => (
            cx.say("screen_trim_cause_without", &[("name", part.into())]),
            *net_n,
        ),
    };
    causes.iter().map(one).collect()
}

/// Why a rig doesn't count as trimmed.
pub(super) fn untrimmed_words(cx: &Cx<'_>, why: &Untrimmed) -> String {
    match why {
        Untrimmed::Never => cx.t("screen_trim_never"),
        Untrimmed::OtherParts => cx.t("screen_trim_other_parts"),
        Untrimmed::Measured { part } => cx.say("screen_trim_measured", &[("name", part.into())]),
        Untrimmed::OtherWater { by_kg_m3 } if *by_kg_m3 < 0.0 => {
            cx.t("screen_trim_other_water_denser")
        }
        Untrimmed::OtherWater { .. } => cx.t("screen_trim_other_water_thinner"),
        Untrimmed::OtherWeights => cx.t("screen_trim_other_weights"),
    }
}

/// 'Floated up by 60 g; nose up'.
pub(super) fn seen_words(cx: &Cx<'_>, seen: &WaterSeen) -> String {
    let one = |s: &SeenFact, words: [&str; 3], amount: &dyn Fn(f64) -> String| {
        let text = cx.t(match s.way {
            Way::Up => words[0],
            Way::Level => words[1],
            Way::Down => words[2],
        });
        match s.amount {
            Some(a) if s.way != Way::Level => cx.say(
                "screen_trim_by",
                &[("what", (&text).into()), ("amount", (&amount(a)).into())],
            ),
            _ => text,
        }
    };
    let degrees = |a: f64| format!("{}°", cx.units.plain(a, 2));
    let grams = |a: f64| cx.units.weight(a);
    let mut all = Vec::new();
    if let Some(s) = &seen.net {
        let words = [
            "screen_trim_seen_floated",
            "screen_trim_seen_stayed",
            "screen_trim_seen_sank",
        ];
        all.push(one(s, words, &grams));
    }
    if let Some(s) = &seen.pitch {
        let words = [
            "screen_trim_seen_nose_up",
            "screen_trim_seen_nose_level",
            "screen_trim_seen_nose_down",
        ];
        all.push(one(s, words, &degrees));
    }
    if let Some(s) = &seen.roll {
        let words = [
            "screen_trim_seen_to_left",
            "screen_trim_seen_no_lean",
            "screen_trim_seen_to_right",
        ];
        all.push(one(s, words, &degrees));
    }
    all.join("; ")
}

/// What a lesson did to the parts, from what to what; and whether it taught anything.
pub(super) fn lesson_words(cx: &Cx<'_>, lesson: &Lesson) -> (String, bool) {
    match &lesson.taught {
        Err(NothingTaught::Outdated { part }) => (
            cx.say("screen_trim_outdated", &[("name", part.into())]),
            false,
        ),
        Err(NothingTaught::Fault(e)) => (cx.faults().lesson(e), false),
        Ok(taught) => {
            let mut parts: Vec<String> = taught
                .moved
                .iter()
                .map(|(a, b)| moved_words(cx, a, b))
                .collect();
            if parts.is_empty() {
                parts.push(cx.t("screen_trim_as_expected"));
            }
            if taught.surprise > SURPRISING {
                parts.push(cx.t("screen_trim_surprising"));
            }
            (parts.join(". "), true)
        }
    }
}

/// Beyond so many standard uncertainties something was forgotten rather than badly known.
const SURPRISING: f64 = 3.0;

fn moved_words(cx: &Cx<'_>, a: &Part, b: &Part) -> String {
    let mut figures = Vec::new();
    let from_to = |key: &str, from: String, to: String| {
        cx.say(key, &[("from", (&from).into()), ("to", (&to).into())])
    };
    let (m, n) = (a.mass_kg.value * 1e3, b.mass_kg.value * 1e3);
    if (m - n).abs() >= 1.0 {
        let shown = |g: f64| cx.units.weight(g.round());
        figures.push(from_to("screen_trim_moved_mass", shown(m), shown(n)));
    }
    let (v, w) = (a.volume_m3.value * 1e6, b.volume_m3.value * 1e6);
    if (v - w).abs() >= 1.0 {
        let shown = |cm3: f64| format!("{cm3:.0}\u{a0}cm³");
        figures.push(from_to("screen_trim_moved_volume", shown(v), shown(w)));
    }
    for (key, from, to) in [
        (
            "screen_trim_moved_mass_centre",
            a.mass_centre_m,
            b.mass_centre_m,
        ),
        (
            "screen_trim_moved_volume_centre",
            a.volume_centre_m,
            b.volume_centre_m,
        ),
    ] {
        let shift: [f64; 3] = std::array::from_fn(|i| (to[i] - from[i]) * 1e3);
        let names = [
            ["screen_trim_forward", "screen_trim_aft"],
            ["screen_trim_to_right", "screen_trim_to_left"],
            ["screen_trim_up", "screen_trim_down"],
        ];
        let ways: Vec<String> = (0..3)
            .filter(|&i| shift[i].abs() >= 1.0)
            .map(|i| {
                let mm = format!("{:.0}\u{a0}mm", shift[i].abs());
                cx.say(
                    names[i][usize::from(shift[i] < 0.0)],
                    &[("by", (&mm).into())],
                )
            })
            .collect();
        if !ways.is_empty() {
            figures.push(cx.say(key, &[("ways", (&ways.join(", ")).into())]));
        }
    }
    format!("{}: {}", a.name, figures.join(", "))
}
