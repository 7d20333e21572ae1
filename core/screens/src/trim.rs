//! How a rig hangs. Its one question: what do I hang where?

use super::asked::{asked_field, is_so, wrong};
use super::common::{Button, FieldValue, Form, Line, Mark, Outcome, Place, Quantity, Severity};
use super::cx::{Cx, Typed, button, done, fault, form, go, line};
use super::desk::Desk;
use super::forms::AskedOf;
use super::keys;
use super::measures::{Unit, exact, uncertain};
use super::names::enclosure_name;
use super::page::{Block, Draft, Page};
use super::rig::went_in_doubt;
use super::spec::{Spec, draw, must_num_in, num, num_in, one_of, pick_in, read_new, read_over};
use super::texts::Texts;
use super::trim_words::{
    angle_is_known, attitude_words, cause_lifts, lesson_words, seen_words, shortfall_words,
    todo_words, untrimmed_words, water_name, what_if_title,
};
use slackwater_domain::book::BookFault;
use slackwater_domain::facts::{SeenFact, WaterFact, Way, WeightFact};
use slackwater_domain::rules::{WentIn, went_in_open};
use slackwater_domain::state::RigFacts;
use slackwater_domain::trim::{TrimNow, preset_water, untrimmed, water, water_now};
use slackwater_physics::trim::{Attitude, Balance, Estimate, Plan, gram_force};
use slackwater_physics::water::{Preset, preset, presets};

pub use super::common::{Button as TrimButton, Row as TrimRow};

/// What the trim screen accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum TrimAction {
    /// So many weights of a size hang at a point now.
    Tick {
        /// Mounting point id.
        point: String,
        /// Size, as the core names it.
        weight: String,
        /// How many hang there then.
        count: u32,
        /// Whether that is what was asked for.
        on: bool,
    },
    /// All of the list hangs.
    HangAll,
    /// It hangs as it should: keep the trim.
    Confirm,
    /// Fits a part in place of another, or takes it off again.
    Fit {
        /// Part id.
        part: String,
        /// True to fit it.
        on: bool,
    },
    /// Takes back something seen in the water, with what it taught. Needs the second tap.
    TakeBack {
        /// Event reference.
        event: String,
    },
    /// Shows a form or list: 'water', 'hang', 'seen', 'aim', 'what-if'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Opens the rig's editor, at a part if one is named.
    Edit {
        /// Path of the part ('part/housing').
        part: Option<String>,
    },
    /// Back to the rig.
    OpenRig,
}

/// What a mark or line of a trim drawing stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum TrimShapeKind {
    /// The level of the water, as a line through the drawing.
    Level,
    /// A part, as a closed outline.
    Part,
    /// A mounting point where nothing hangs and nothing is to hang.
    Free,
    /// A mounting point where something hangs, as it should.
    Hangs,
    /// A mounting point where something is still to be hung or taken off.
    ToChange,
    /// The centre of mass.
    MassCentre,
    /// The centre of buoyancy.
    LiftCentre,
}

/// A place in a drawing, in widths of it: 0 to 1 from the left, y downwards from the top.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct TrimSpot {
    /// From the left.
    pub x: f32,
    /// From the top.
    pub y: f32,
}

/// One thing drawn: a closed outline, a line, or a mark at one place.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TrimShape {
    /// What it stands for.
    pub kind: TrimShapeKind,
    /// Its corners, its ends, or its one place.
    pub spots: Vec<TrimSpot>,
    /// What a tap on it does.
    pub tap: Option<Button>,
}

/// A word or number in a drawing, beside a place.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TrimLabel {
    /// Where.
    pub at: TrimSpot,
    /// What.
    pub text: String,
}

/// What a mark means.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TrimLegend {
    /// The mark.
    pub kind: TrimShapeKind,
    /// In words.
    pub text: String,
}

/// The rig seen from one side, at rest with what hangs now.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TrimDrawing {
    /// 'From its right', 'From the front'.
    pub title: String,
    /// Height in widths.
    pub height: f32,
    /// What is drawn, hindmost first.
    pub shapes: Vec<TrimShape>,
    /// Words and numbers.
    pub labels: Vec<TrimLabel>,
    /// The whole in words, for a screen reader.
    pub spoken: String,
}

/// What would be otherwise if one thing were: a small table, with signs.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatIfTable {
    /// 'Open sea instead of Pool'.
    pub title: String,
    /// 'Lift +510 g', then each thing that it comes from, where there are several; none where it can't be worked out.
    pub figures: Vec<Quantity>,
    /// What to hang then, or why it can't be worked out.
    pub todo: String,
}

/// The trim screen.
#[derive(Debug, Clone, PartialEq)]
pub struct TrimScreen {
    /// Rig id.
    pub rig: String,
    /// Name of the rig.
    pub rig_name: String,
    /// What is to be done, or that it hangs as it should.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// How it hangs now, beside the points that were asked for.
    pub now: String,
    /// The water, the lens, and how it hangs now, in a sentence.
    pub reason: String,
    /// What to hang where, to tick.
    pub list: Vec<TrimRow>,
    /// The mounting points and what hangs there; each leads to where that is changed.
    pub points: Vec<TrimRow>,
    /// Those that were asked for: one, or those that lie on each other in the drawing that was tapped.
    pub at_points: Vec<AtPoint>,
    /// How it will hang with all of it, and what stands in the way of better.
    pub notices: Vec<Line>,
    /// The rig from the side and from the front.
    pub drawings: Vec<TrimDrawing>,
    /// What the marks of the drawings mean.
    pub legend: Vec<TrimLegend>,
    /// Net force, pitch, roll, righting moment with what hangs now.
    pub figures: Vec<Quantity>,
    /// Parts that may be fitted in place of others.
    pub swaps: Vec<TrimRow>,
    /// What might be otherwise and what it would change, when asked for.
    pub what_ifs: Vec<WhatIfTable>,
    /// What was seen in the water and what it taught, newest first.
    pub lessons: Vec<TrimRow>,
    /// The form asked for.
    pub form: Option<Form>,
    /// The main action.
    pub main: Option<TrimButton>,
    /// The others.
    pub others: Vec<TrimButton>,
    /// What these figures can't see.
    pub caveat: String,
}

/// A mounting point and what may hang there.
#[derive(Debug, Clone, PartialEq)]
pub struct AtPoint {
    /// '2 · Handle, right'.
    pub title: String,
    /// The sizes of weight, each with one more and one less.
    pub weights: Vec<TrimRow>,
}

/// Before the ids of the mounting points that a place shows alone, with commas between.
const POINT: &str = "point/";

/// Lessons shown; older ones still teach and stand in the journal.
const LESSONS_SHOWN: usize = 8;
/// Weighing a part is advised where it makes the answer surer by a tenth or more, and the answer is
/// unsure by more than this, g (2 sd).
const SURE_G: f64 = 40.0;

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, id: &str, asked: Option<&str>) -> Result<TrimScreen, BookFault> {
    let rig = cx.book.rig(id)?;
    let worked = cx.book.trim(id)?;
    let mut screen = TrimScreen {
        rig: id.to_owned(),
        rig_name: rig.def.name.clone(),
        answer: String::new(),
        mark: Mark::Hatched,
        severity: Severity::Notice,
        now: String::new(),
        reason: String::new(),
        list: Vec::new(),
        points: point_rows(cx, &rig),
        at_points: Vec::new(),
        notices: Vec::new(),
        drawings: Vec::new(),
        legend: Vec::new(),
        figures: Vec::new(),
        swaps: swap_rows(cx, &rig),
        what_ifs: Vec::new(),
        lessons: Vec::new(),
        form: asked.and_then(|f| trim_form(cx, &rig, f)),
        main: None,
        others: Vec::new(),
        caveat: cx.t("screen_trim_caveat"),
    };
    match &worked.now {
        Err(e) => {
            screen.answer = cx.faults().trim(e);
            screen.main = Some(match e {
                slackwater_domain::trim::TrimFault::Water(_) => {
                    show_form(cx.t("action_choose_water"), "water")
                }
                _ => edit(cx.t("action_list_parts"), None),
            });
        }
        Ok(now) => fill(cx, &rig, now, &mut screen),
    }
    if let Some(points) = asked.and_then(|f| f.strip_prefix(POINT)) {
        let now = worked.now.as_ref().ok();
        screen.now = now.map_or_else(String::new, |n| hangs_now(cx, &n.now));
        for point in points.split(',').take(rig.def.mounting_points.len()) {
            screen.at_points.push(at_point(cx, &rig, point)?);
        }
    }
    if asked == Some("what-if") {
        screen.what_ifs = what_if_tables(cx, &rig, id)?;
    }
    let may_hang = !rig.def.mounting_points.is_empty() && !rig.def.weight_box.is_empty();
    let mut others = vec![show_form(cx.t("action_choose_water"), "water")];
    if worked.now.is_ok() {
        others.push(show_form(cx.t("action_saw_in_water"), "seen"));
        others.push(show_form(cx.t("action_what_if"), "what-if"));
    }
    if may_hang {
        others.push(show_form(cx.t("action_hang_otherwise"), "hang"));
    }
    others.push(show_form(cx.t("action_trim_aim"), "aim"));
    others.push(edit(cx.t("action_edit_parts"), None));
    others.push(button(cx.t("action_to_rig"), TrimAction::OpenRig));
    let taken = screen.main.as_ref().map(|m| m.action.clone());
    others.retain(|b| Some(&b.action) != taken.as_ref());
    screen.others = others;
    Ok(screen)
}

fn fill(cx: &Cx<'_>, rig: &RigFacts, now: &TrimNow, screen: &mut TrimScreen) {
    let question = &now.question;
    let place = water_name(cx, &question.water);
    let lens = rig.def.lens().map(|l| l.name.clone());
    let setting = match &lens {
        Some(lens) => cx.say(
            "screen_trim_setting_lens",
            &[("water", (&place).into()), ("lens", lens.into())],
        ),
        None => cx.say("screen_trim_setting", &[("water", (&place).into())]),
    };
    screen.reason = format!("{setting}. {}", hangs_now(cx, &now.now));
    screen.figures = figures(cx, &now.now);
    screen.lessons = lesson_rows(cx, now);
    screen.drawings = super::trim_drawing::drawings(cx, rig, now);
    screen.legend = super::trim_drawing::legend(cx);
    for stray in &question.stray {
        let what = cx.units.weights(stray.weight.mass_g, stray.weight.count);
        let text = cx.say(
            "screen_trim_stray",
            &[("what", (&what).into()), ("point", (&stray.point).into())],
        );
        screen
            .notices
            .push(line(text, Severity::Notice, Some(Mark::Hatched)));
    }
    match &now.plan {
        Err(e) => {
            screen.answer = cx.faults().plan(e);
            screen.main = Some(edit(cx.t("action_edit_parts"), None));
        }
        Ok(plan) => {
            screen.list = list(cx, rig, now, plan);
            answer(cx, rig, now, plan, screen);
            for s in &plan.shortfalls {
                let text = shortfall_words(cx, s);
                screen
                    .notices
                    .push(line(text, Severity::Notice, Some(Mark::Hatched)));
            }
            if !plan.proven {
                screen
                    .notices
                    .push(line(cx.t("screen_trim_not_proven"), Severity::Notice, None));
            }
        }
    }
    if let Some(text) = weigh_next_words(cx, now) {
        screen.notices.push(line(text, Severity::Plain, None));
    }
}

fn answer(cx: &Cx<'_>, rig: &RigFacts, now: &TrimNow, plan: &Plan, screen: &mut TrimScreen) {
    let pieces: u32 = plan.changes.iter().map(|c| c.count.unsigned_abs()).sum();
    // What was kept and still hangs well is left alone: a degree of temperature is no work.
    let well = untrimmed(rig).is_none() && now.hangs_well();
    if pieces > 0 && well {
        let then = hangs(cx, &plan.after);
        let text = cx.say("screen_trim_nearer", &[("how", (&then).into())]);
        screen.notices.push(line(text, Severity::Plain, None));
    } else if pieces > 0 {
        screen.answer = cx.say("screen_trim_to_do", &[("n", (pieces as usize).into())]);
        screen.mark = Mark::Hollow;
        screen.severity = Severity::Plain;
        let then = hangs(cx, &plan.after);
        let text = cx.say("screen_trim_then", &[("how", (&then).into())]);
        screen.notices.push(line(text, Severity::Plain, None));
        screen.main = Some(button(cx.t("action_hang_all"), TrimAction::HangAll));
        return;
    }
    let good = well || plan.shortfalls.is_empty();
    match untrimmed(rig) {
        None if good => {
            screen.answer = cx.t("screen_trim_done");
            (screen.mark, screen.severity) = (Mark::Full, Severity::Good);
        }
        None => screen.answer = cx.t("screen_trim_best"),
        Some(why) => {
            screen.answer = if good {
                cx.t("screen_trim_as_listed")
            } else {
                cx.t("screen_trim_best")
            };
            screen.mark = Mark::Half;
            let text = untrimmed_words(cx, &why);
            screen
                .notices
                .push(line(text, Severity::Notice, Some(Mark::Hatched)));
            screen.main = Some(button(cx.t("action_keep_trim"), TrimAction::Confirm));
            return;
        }
    }
    if let Some((seen, _)) = &rig.trim.trimmed {
        let who = cx.who_when(&seen.author, seen.wall_ms);
        let text = cx.say("screen_trim_kept_by", &[("who", (&who).into())]);
        screen.notices.push(line(text, Severity::Plain, None));
    }
    screen.main = Some(show_form(cx.t("action_saw_in_water"), "seen"));
}

/// 'Now it floats 310 g too much, nose 2° up'.
fn hangs_now(cx: &Cx<'_>, now: &Balance) -> String {
    cx.say("screen_trim_now", &[("how", (&hangs(cx, now)).into())])
}

fn hangs(cx: &Cx<'_>, b: &Balance) -> String {
    let force = net_words(cx, b.net_n);
    format!("{force}, {}", attitude_words(cx, b))
}

/// 'floats by 310 g, give or take 440 g'.
pub(super) fn net_words(cx: &Cx<'_>, net: Estimate) -> String {
    let g = gram_force(net.value);
    let sd = gram_force(net.sd);
    let amount = cx.units.force(g.abs(), sd);
    let key = if g >= 0.0 {
        "screen_trim_floats"
    } else {
        "screen_trim_sinks"
    };
    let take = cx.units.force_unsure(2.0 * sd);
    cx.say(
        key,
        &[("amount", (&amount).into()), ("take", (&take).into())],
    )
}

/// What to hang where: what is to hang in the end, and what hangs and is to come off. Ticked where
/// it is so already.
fn list(cx: &Cx<'_>, rig: &RigFacts, now: &TrimNow, plan: &Plan) -> Vec<TrimRow> {
    let question = &now.question;
    let mut rows = Vec::new();
    for (p, point) in question.points.iter().enumerate() {
        for (s, (mass_g, volume_cm3)) in question.weights.iter().enumerate() {
            let (want, have) = (plan.placement[p][s], question.hanging[p][s]);
            if want == 0 && have == 0 {
                continue;
            }
            let on = want == have;
            let at = format!("{}\u{a0}\u{b7} {}", p + 1, point.name);
            let title = if want > 0 {
                cx.say(
                    "screen_trim_hang",
                    &[
                        ("point", (&at).into()),
                        ("what", (&cx.units.weights(*mass_g, want)).into()),
                    ],
                )
            } else {
                cx.say(
                    "screen_trim_take_off",
                    &[
                        ("point", (&at).into()),
                        ("what", (&cx.units.weights(*mass_g, have)).into()),
                    ],
                )
            };
            let detail = if on || want == 0 || have == 0 {
                String::new()
            } else if have < want {
                let what = cx.units.weights(*mass_g, want - have);
                cx.say("screen_trim_add_more", &[("what", (&what).into())])
            } else {
                let what = cx.units.weights(*mass_g, have - want);
                cx.say("screen_trim_take_some", &[("what", (&what).into())])
            };
            rows.push(TrimRow {
                title,
                detail,
                footnote: None,
                mark: Some(if on { Mark::Full } else { Mark::Hollow }),
                severity: if on { Severity::Good } else { Severity::Plain },
                tap: Some(button(
                    if on {
                        cx.t("action_untick")
                    } else {
                        cx.t("action_tick")
                    },
                    TrimAction::Tick {
                        point: rig.def.mounting_points[p].id.clone(),
                        weight: slackwater_domain::rig::weight_key(*mass_g, *volume_cm3),
                        count: if on { 0 } else { want },
                        on: !on,
                    },
                )),
                other: None,
                photo: None,
            });
        }
    }
    rows
}

/// '2 · Handle, right'.
fn point_name(rig: &RigFacts, n: usize) -> String {
    let name = rig.def.mounting_points.get(n).map_or("", |p| &p.name);
    format!("{}\u{a0}\u{b7} {name}", n + 1)
}

/// What leads to where the weights at some points are changed.
pub(super) fn to_points(rig: &RigFacts, points: &[usize]) -> Option<TrimButton> {
    let known = points
        .iter()
        .filter_map(|n| rig.def.mounting_points.get(*n));
    let ids: Vec<&str> = known.map(|p| p.id.as_str()).collect();
    let names: Vec<String> = points.iter().map(|n| point_name(rig, *n)).collect();
    let can = !ids.is_empty() && !rig.def.weight_box.is_empty();
    can.then(|| show_form(names.join(", "), &format!("{POINT}{}", ids.join(","))))
}

fn point_rows(cx: &Cx<'_>, rig: &RigFacts) -> Vec<TrimRow> {
    let row = |n: usize, id: &str| {
        let hung = rig.trim.hung.iter().filter(|h| h.point == id);
        let what: Vec<String> = hung
            .map(|h| cx.units.weights(h.weight.mass_g, h.weight.count))
            .collect();
        TrimRow {
            title: point_name(rig, n),
            detail: if what.is_empty() {
                cx.t("screen_trim_point_free")
            } else {
                what.join(", ")
            },
            tap: to_points(rig, &[n]),
            ..TrimRow::default()
        }
    };
    let all = rig.def.mounting_points.iter().enumerate();
    all.map(|(n, p)| row(n, &p.id)).collect()
}

/// The sizes that hang at a point, or that the box has: one more, one less.
fn at_point(cx: &Cx<'_>, rig: &RigFacts, id: &str) -> Result<AtPoint, BookFault> {
    let points = &rig.def.mounting_points;
    let Some(n) = points.iter().position(|p| p.id == id) else {
        return Err(BookFault::NotFound {
            what: "mounting point",
            id: id.chars().take(80).collect(),
        });
    };
    let mut sizes: Vec<(f64, Option<f64>, u32)> = rig
        .def
        .weight_box
        .iter()
        .map(|w| (w.mass_g, w.volume_cm3, w.count))
        .collect();
    // What hangs there and is no longer in the box can still be taken off.
    let key = slackwater_domain::rig::weight_key;
    for h in rig.trim.hung.iter().filter(|h| h.point == id) {
        let (mass, volume) = (h.weight.mass_g, h.weight.volume_cm3);
        if !sizes.iter().any(|s| key(s.0, s.1) == key(mass, volume)) {
            sizes.push((mass, volume, 0));
        }
    }
    let at_it = rig.trim.hung.iter().filter(|h| h.point == id);
    let hung_here: u32 = at_it.map(|h| h.weight.count).sum();
    let weights = sizes
        .into_iter()
        .map(|(mass_g, volume, count)| {
            let size = key(mass_g, volume);
            let of_size = |h: &&slackwater_domain::facts::HungFact| {
                key(h.weight.mass_g, h.weight.volume_cm3) == size
            };
            let hung = || rig.trim.hung.iter().filter(of_size);
            let here: u32 = hung()
                .filter(|h| h.point == id)
                .map(|h| h.weight.count)
                .sum();
            let left = count.saturating_sub(hung().map(|h| h.weight.count).sum());
            let change = |label: &str, count: Option<u32>, why: &str| TrimButton {
                enabled: count.is_some(),
                why_not: count.is_none().then(|| cx.t(why)),
                ..button(
                    cx.t(label),
                    TrimAction::Tick {
                        point: id.to_owned(),
                        weight: size.clone(),
                        count: count.unwrap_or(here),
                        on: false,
                    },
                )
            };
            // A point takes so many in all; the refusal of one more says so by name.
            let full = hung_here >= points[n].capacity;
            let more = (left > 0 && !full).then_some(here + 1);
            let why = match full {
                true => "screen_trim_point_full",
                false => "screen_trim_box_empty",
            };
            TrimRow {
                title: cx.units.weight_named(mass_g, volume),
                detail: cx.say(
                    "screen_trim_here_and_left",
                    &[
                        ("here", (here as usize).into()),
                        ("left", (left as usize).into()),
                    ],
                ),
                mark: (here > 0).then_some(Mark::Full),
                tap: Some(change("action_one_more", more, why)),
                other: Some(change(
                    "action_one_less",
                    here.checked_sub(1),
                    "screen_trim_none_here",
                )),
                ..TrimRow::default()
            }
        })
        .collect();
    Ok(AtPoint {
        title: point_name(rig, n),
        weights,
    })
}

fn figures(cx: &Cx<'_>, b: &Balance) -> Vec<Quantity> {
    let give = |label: String, value: f64, sd: f64, unit: &str| {
        let space = if unit == "°" { "" } else { "\u{a0}" };
        let take = format!("{}{space}{unit}", cx.units.significant(2.0 * sd, 1));
        uncertain(cx.texts, label, cx.units.deserved(value, sd), unit, &take)
    };
    let g = gram_force(b.net_n.value);
    let key = if g >= 0.0 {
        "screen_trim_figure_floats"
    } else {
        "screen_trim_figure_sinks"
    };
    let per = cx.units.from_g(1.0);
    let mut all = vec![
        give(
            cx.t(key),
            g.abs() * per,
            gram_force(b.net_n.sd) * per,
            cx.units.weight_symbol(),
        ),
        give(
            cx.t("screen_trim_figure_net"),
            b.net_n.value,
            b.net_n.sd,
            "N",
        ),
    ];
    if let Attitude::Rests {
        pitch,
        roll,
        certain,
    } = b.attitude
    {
        let degrees = |key: &str, unknown: &str, e: Estimate| {
            if certain && angle_is_known(e.sd) {
                let (value, sd) = (e.value.to_degrees(), e.sd.to_degrees());
                give(cx.t(key), value.abs(), sd, "°")
            } else {
                exact(cx.t(unknown), cx.t("screen_trim_unknown"), "")
            }
        };
        let up = if pitch.value >= 0.0 {
            "screen_trim_figure_nose_up"
        } else {
            "screen_trim_figure_nose_down"
        };
        let lean = if roll.value >= 0.0 {
            "screen_trim_figure_right"
        } else {
            "screen_trim_figure_left"
        };
        all.push(degrees(up, "screen_trim_figure_nose", pitch));
        all.push(degrees(lean, "screen_trim_figure_lean", roll));
    }
    // At ten degrees, which is about what a hand on the housing gives.
    let ten = 10f64.to_radians().sin();
    all.push(give(
        cx.t("screen_trim_figure_righting"),
        b.righting_n_m.value * ten,
        b.righting_n_m.sd * ten,
        "N·m",
    ));
    all
}

/// Which part to weigh, where that makes the answer notably surer.
fn weigh_next_words(cx: &Cx<'_>, now: &TrimNow) -> Option<String> {
    let best = now.weigh.first()?;
    let (sd_now, sd_after) = (gram_force(best.sd_now), gram_force(best.sd_after));
    if 2.0 * sd_now < SURE_G || sd_after > 0.9 * sd_now {
        return None;
    }
    let name = &now.question.model.parts.get(best.part)?.name;
    let shown = |sd: f64| cx.units.force_unsure(2.0 * sd);
    let (before, after) = (shown(sd_now), shown(sd_after));
    // What reads alike is no gain.
    (before != after).then(|| {
        cx.say(
            "screen_trim_weigh",
            &[
                ("name", name.into()),
                ("now", (&before).into()),
                ("after", (&after).into()),
            ],
        )
    })
}

fn swap_rows(cx: &Cx<'_>, rig: &RigFacts) -> Vec<TrimRow> {
    let def = &rig.def;
    def.parts
        .iter()
        .filter_map(|p| {
            let other = def.part(p.in_place_of.as_deref()?)?;
            let on = def.swapped.contains(&p.id);
            Some(TrimRow {
                title: p.name.clone(),
                detail: cx.say("screen_trim_in_place_of", &[("name", (&other.name).into())]),
                footnote: None,
                mark: Some(if on { Mark::Full } else { Mark::Hollow }),
                severity: Severity::Plain,
                tap: Some(button(
                    if on {
                        cx.t("action_untick")
                    } else {
                        cx.t("action_tick")
                    },
                    TrimAction::Fit {
                        part: p.id.clone(),
                        on: !on,
                    },
                )),
                other: None,
                photo: None,
            })
        })
        .collect()
}

fn what_if_tables(cx: &Cx<'_>, rig: &RigFacts, id: &str) -> Result<Vec<WhatIfTable>, BookFault> {
    let worked = cx.book.trim(id)?;
    let Ok(now) = &worked.now else {
        return Ok(Vec::new());
    };
    let Ok(all) = cx.book.trim_what_ifs(id)? else {
        return Ok(Vec::new());
    };
    Ok(all
        .iter()
        .map(|(what, difference)| {
            let title = what_if_title(cx, rig, &now.question.water, what);
            match difference {
                Err(
                    slackwater_physics::trim::CompareError::Before(e)
                    | slackwater_physics::trim::CompareError::After(e),
                ) => WhatIfTable {
                    title,
                    figures: Vec::new(),
                    todo: cx.faults().plan(e),
                },
                Ok(d) => {
                    let mut todo = todo_words(cx, &now.question, &d.plan);
                    if let Some(s) = d.plan.shortfalls.first() {
                        todo = format!("{todo}. {}", shortfall_words(cx, s));
                    }
                    let lift =
                        |label: String, n: f64| exact(label, cx.units.lift(gram_force(n)), "");
                    let causes = cause_lifts(cx, &d.causes);
                    WhatIfTable {
                        title,
                        figures: std::iter::once((cx.t("screen_trim_lift"), d.net_change_n))
                            .chain(causes)
                            .map(|(label, n)| lift(label, n))
                            .collect(),
                        todo: cx.say("screen_trim_what_then", &[("todo", (&todo).into())]),
                    }
                }
            }
        })
        .collect())
}

fn lesson_rows(cx: &Cx<'_>, now: &TrimNow) -> Vec<TrimRow> {
    now.lessons
        .iter()
        .rev()
        .take(LESSONS_SHOWN)
        .map(|lesson| {
            let (detail, taught) = lesson_words(cx, lesson);
            TrimRow {
                title: seen_words(cx, &lesson.seen.what),
                detail,
                footnote: Some(format!(
                    "{}, {}",
                    cx.who_when(&lesson.seen.author, lesson.seen.wall_ms),
                    water_name(cx, &lesson.seen.what.water)
                )),
                mark: Some(if taught { Mark::Full } else { Mark::Struck }),
                severity: Severity::Plain,
                tap: Some(TrimButton {
                    confirm: Some(cx.t("screen_trim_take_back_confirm")),
                    ..button(
                        cx.t("action_take_back"),
                        TrimAction::TakeBack {
                            event: lesson.seen.event.clone(),
                        },
                    )
                }),
                other: None,
                photo: None,
            }
        })
        .collect()
}

fn trim_form(cx: &Cx<'_>, rig: &RigFacts, which: &str) -> Option<Form> {
    let units = &cx.units;
    Some(match which {
        "water" => form(
            "water",
            cx.t("screen_trim_water_title"),
            draw(&water_fields(cx), units, Some(&water_as_chosen(rig))),
            cx.t("action_this_water"),
        ),
        "hang" => form(
            "hang",
            cx.t("screen_trim_hang_title"),
            draw(&hang_fields(cx, rig), units, None),
            cx.t("action_hang"),
        ),
        "seen" => {
            let mut fields = draw(&seen_fields(cx), units, None);
            fields.extend(asked_field(cx, &AskedOf::Seen(&rig.id).to_string()));
            form(
                "seen",
                cx.t("screen_trim_seen_title"),
                fields,
                cx.t("action_learn"),
            )
        }
        "aim" => form(
            "aim",
            cx.t("screen_trim_aim_title"),
            draw(&aim_field(cx), units, Some(&rig.def.trim.heavy_g)),
            cx.t("action_change"),
        ),
        _ => return None,
    })
}

/// Water of the day, as typed.
#[derive(Debug, Clone, Default)]
struct WaterSaid {
    /// Key of the preset.
    preset: String,
    /// Read off an instrument, g/kg.
    salinity: Option<f64>,
    /// Read off an instrument, °C.
    water_c: Option<f64>,
    depth_m: f64,
}

/// A figure is shown where it was read off something, not where it came with the preset.
fn water_as_chosen(rig: &RigFacts) -> WaterSaid {
    let chosen = rig.trim.water.as_ref().map(|(_, w)| w);
    let from = chosen.and_then(|w| preset(&w.key).ok());
    let salinity = chosen.map(|w| w.salinity);
    let water_c = chosen.map(|w| w.water_c);
    let own = |v: &f64, of: fn(&Preset) -> f64| from.is_none_or(|p| (of(p) - v).abs() > 1e-9);
    WaterSaid {
        preset: from.map_or(String::new(), |p| p.key.clone()),
        salinity: salinity.filter(|s| own(s, |p| p.salinity)),
        water_c: water_c.filter(|c| own(c, |p| p.temperature_c)),
        depth_m: water_now(rig).map_or(0.0, |w| w.depth_m),
    }
}

fn water_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, WaterSaid>; 4] {
    let all = presets().iter();
    let waters = all.map(|p| (p.key.as_str(), preset_words(cx, p))).collect();
    let salinity = cx.t("screen_trim_salinity");
    let temperature = cx.t("screen_trim_temperature");
    [
        pick_in(
            keys::WATER,
            cx.t("screen_trim_water"),
            waters,
            |w: &mut WaterSaid| &mut w.preset,
        )
        .must(),
        num_in(
            keys::SALINITY,
            salinity,
            Unit::Unsaid,
            |w: &mut WaterSaid| &mut w.salinity,
        )
        .digits(4)
        .hint(cx.t("screen_trim_salinity_hint")),
        num_in(
            keys::TEMPERATURE,
            temperature,
            Unit::WaterTemperature,
            |w: &mut WaterSaid| &mut w.water_c,
        )
        .digits(4)
        .hint(cx.t("screen_trim_temperature_hint")),
        must_num_in(
            keys::DEPTH,
            cx.t("screen_trim_depth"),
            Unit::Depth,
            |w: &mut WaterSaid| &mut w.depth_m,
        )
        .digits(3)
        .hint(cx.t("screen_trim_depth_hint")),
    ]
}

/// What is hung where, as typed.
#[derive(Debug, Clone, Default)]
struct Hung {
    point: String,
    weight: String,
    count: f64,
}

const WEIGHT: &str = "weight";

fn hang_fields<'a>(cx: &Cx<'_>, rig: &RigFacts) -> [Spec<'a, Hung>; 3] {
    let points = rig.def.mounting_points.iter();
    let points = points.map(|p| (p.id.as_str(), p.name.clone())).collect();
    let weights = rig.def.weight_box.iter();
    let weights: Vec<(String, String)> = weights
        .map(|w| (w.key(), cx.units.weight_named(w.mass_g, w.volume_cm3)))
        .collect();
    let weights = weights.iter().map(|(k, l)| (k.as_str(), l.clone()));
    let few = |v: f64| v.fract() == 0.0 && (0.0..=60.0).contains(&v);
    [
        pick_in(
            "point",
            cx.t("screen_trim_point"),
            points,
            |h: &mut Hung| &mut h.point,
        )
        .must(),
        pick_in(
            WEIGHT,
            cx.t("screen_trim_weight"),
            weights.collect(),
            |h: &mut Hung| &mut h.weight,
        )
        .must(),
        must_num_in(
            keys::COUNT,
            cx.t("screen_trim_count"),
            "",
            |h: &mut Hung| &mut h.count,
        )
        .check(move |_, _, v| (!few(v)).then_some("error_hang_count"))
        .hint(cx.t("screen_trim_count_hint")),
    ]
}

/// What was seen in the water, as typed: which way, and by how much.
#[derive(Debug, Clone, Default)]
struct Seen {
    net: Looked,
    pitch: Looked,
    roll: Looked,
}

/// One thing that is looked at.
#[derive(Debug, Clone, Copy, Default)]
struct Looked {
    way: Option<Way>,
    /// In g of force, or degrees.
    amount: Option<f64>,
}

const NET: &str = "net";
const PITCH: &str = "pitch";
const ROLL: &str = "roll";

fn seen_fields<'a>(cx: &Cx<'_>) -> Vec<Spec<'a, Seen>> {
    let degrees = ("screen_trim_seen_degrees", Unit::Plain("°"));
    let net = looked(
        NET,
        cx,
        "screen_trim_seen_net",
        [
            "screen_trim_seen_floated",
            "screen_trim_seen_stayed",
            "screen_trim_seen_sank",
        ],
        ("screen_trim_seen_amount", Unit::Weight),
        |s| &mut s.net,
    );
    let pitch = looked(
        PITCH,
        cx,
        "screen_trim_seen_pitch",
        [
            "screen_trim_seen_nose_up",
            "screen_trim_seen_level",
            "screen_trim_seen_nose_down",
        ],
        degrees,
        |s| &mut s.pitch,
    );
    let roll = looked(
        ROLL,
        cx,
        "screen_trim_seen_roll",
        [
            "screen_trim_seen_to_left",
            "screen_trim_seen_level",
            "screen_trim_seen_to_right",
        ],
        degrees,
        |s| &mut s.roll,
    );
    let [way, amount] = net;
    let net = [way, amount.hint(cx.t("screen_trim_seen_amount_hint"))];
    [net, pitch, roll].into_iter().flatten().collect()
}

fn amount_key(key: &str) -> String {
    format!("{key}_amount")
}

/// The fields of one thing: its key and label, the words for up, level and down, and what its amount is called and
/// typed in.
fn looked<'a>(
    key: &str,
    cx: &Cx<'_>,
    label: &str,
    [up, level, down]: [&str; 3],
    (amount, unit): (&str, Unit),
    at: fn(&mut Seen) -> &mut Looked,
) -> [Spec<'a, Seen>; 2] {
    let way = |word: &str, way, label| (word.to_owned(), way, cx.t(label));
    let all = vec![
        way("up", Some(Way::Up), up),
        way("level", Some(Way::Level), level),
        way("down", Some(Way::Down), down),
        way("none", None, "screen_trim_seen_not"),
    ];
    let seen = move |s: &Seen| *at(&mut s.clone());
    [
        one_of(
            key,
            cx.t(label),
            all,
            Some(None),
            move |s| seen(s).way,
            move |s, v| at(s).way = v,
        )
        .must(),
        num(
            &amount_key(key),
            cx.t(amount),
            unit,
            move |s| seen(s).amount,
            move |s, v| at(s).amount = v,
        ),
    ]
}

/// How heavy it is to be, g.
fn aim_field<'a>(cx: &Cx<'_>) -> [Spec<'a, f64>; 1] {
    let heavy = must_num_in(
        keys::HEAVY,
        cx.t("screen_trim_aim_heavy"),
        Unit::Weight,
        |g| g,
    );
    [heavy.digits(4).hint(cx.t("screen_trim_aim_hint"))]
}

fn preset_words(cx: &Cx<'_>, p: &Preset) -> String {
    let name = super::trim_words::preset_name(cx, &p.key);
    format!("{name}, {}", cx.units.temperature(p.temperature_c + 273.15))
}

/// Standard uncertainty of a salinity and of a temperature that was read off an instrument: a
/// conductivity meter of the simple kind, a dive computer's thermometer (common practice).
const TYPED_SD: (f64, f64) = (0.5, 0.7);

/// Does an action.
pub(super) fn act(desk: &mut Desk, rig: &str, action: TrimAction) -> Result<Outcome, BookFault> {
    let at = |form: Option<String>| Place::Trim {
        rig: rig.to_owned(),
        form,
    };
    Ok(match action {
        TrimAction::Tick {
            point,
            weight,
            count,
            ..
        } => {
            let facts = desk.book.rig(rig)?;
            let of = weight_of(&facts, &weight).ok_or_else(|| BookFault::NotFound {
                what: "weight",
                id: weight.clone(),
            })?;
            let weight = WeightFact { count, ..of };
            hang(desk, rig, &point, weight)?
        }
        TrimAction::HangAll => {
            let recorded = desk.book.hang_plan(rig)?;
            done(recorded, desk.texts.get("screen_trim_said_all"))
        }
        TrimAction::Confirm => {
            let recorded = desk.book.confirm_trim(rig)?;
            done(recorded, desk.texts.get("screen_trim_said_kept"))
        }
        TrimAction::Fit { part, on } => {
            let facts = desk.book.rig(rig)?;
            let name = facts
                .def
                .part(&part)
                .map(|p| p.name.clone())
                .unwrap_or_default();
            let recorded = desk.book.fit_part(rig, &part, on)?;
            let key = if on {
                "screen_trim_said_fitted"
            } else {
                "screen_trim_said_taken_off"
            };
            done(recorded, desk.texts.say(key, &[("name", (&name).into())]))
        }
        TrimAction::TakeBack { event } => {
            desk.book.undo(&event)?;
            super::cx::said(desk.texts.get("screen_trim_said_taken_back"))
        }
        TrimAction::ShowForm { form } => go(at(Some(form))),
        TrimAction::Edit { part } => go(Place::RigEdit {
            rig: rig.to_owned(),
            part,
        }),
        TrimAction::OpenRig => go(Place::Rig {
            rig: rig.to_owned(),
            form: None,
        }),
        TrimAction::Submit { form, values } => return submit(desk, rig, &form, &values),
    })
}

/// The size of this key: in the box, or hanging though the box no longer has it.
fn weight_of(rig: &RigFacts, key: &str) -> Option<WeightFact> {
    let boxed = rig.def.weight_box.iter().map(|w| (w.mass_g, w.volume_cm3));
    let hung = rig.trim.hung.iter();
    boxed
        .chain(hung.map(|h| (h.weight.mass_g, h.weight.volume_cm3)))
        .find(|(m, v)| slackwater_domain::rig::weight_key(*m, *v) == key)
        .map(|(mass_g, volume_cm3)| WeightFact {
            mass_g,
            volume_cm3,
            count: 0,
        })
}

fn hang(desk: &mut Desk, rig: &str, point: &str, weight: WeightFact) -> Result<Outcome, BookFault> {
    let recorded = desk.book.hang(rig, point, weight)?;
    let facts = desk.book.rig(rig)?;
    let name = facts
        .def
        .mounting_points
        .iter()
        .find(|p| p.id == point)
        .map_or_else(|| point.to_owned(), |p| p.name.clone());
    let units = desk.cx()?.units;
    let what = units.weights(weight.mass_g, weight.count);
    let text = if weight.count == 0 {
        let what = units.weight(weight.mass_g);
        desk.texts.say(
            "screen_trim_said_none",
            &[("point", (&name).into()), ("what", (&what).into())],
        )
    } else {
        desk.texts.say(
            "screen_trim_said_hung",
            &[("point", (&name).into()), ("what", (&what).into())],
        )
    };
    Ok(done(recorded, text))
}

fn submit(
    desk: &mut Desk,
    rig: &str,
    form: &str,
    values: &[FieldValue],
) -> Result<Outcome, BookFault> {
    let units = desk.cx()?.units;
    let facts = desk.book.rig(rig)?;
    let mut typed = Typed::new(desk.texts, values);
    let left = |outcome: Outcome| Outcome {
        leave: true,
        ..outcome
    };
    match form {
        "water" => {
            let cx = desk.cx()?;
            let now = water_as_chosen(&facts);
            let said = read_over(&water_fields(&cx), &units, &mut typed, &now);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let Ok(from) = preset(&said.preset) else {
                return Ok(fault(keys::WATER, desk.texts.get("error_choice_wanted")));
            };
            let made = if said.salinity.is_none() && said.water_c.is_none() {
                preset_water(from, said.depth_m)
            } else {
                let read = said.salinity.map(|s| (s, TYPED_SD.0));
                let warm = said.water_c.map(|c| (c, TYPED_SD.1));
                water(
                    &said.preset,
                    read.unwrap_or((from.salinity, from.salinity_sd)),
                    warm.unwrap_or((from.temperature_c, from.temperature_sd_c)),
                    said.depth_m,
                )
            };
            let water: WaterFact = match made {
                Ok(water) => water,
                Err(e) => {
                    let cx = desk.cx()?;
                    let (field, text) = cx.faults().water(&e);
                    return Ok(fault(field, text));
                }
            };
            let name = water_name(&desk.cx()?, &water);
            let recorded = desk.book.choose_water(rig, water)?;
            let text = desk
                .texts
                .say("screen_trim_said_water", &[("water", (&name).into())]);
            Ok(left(done(recorded, text)))
        }
        "hang" => {
            let cx = desk.cx()?;
            let hung = read_new(&hang_fields(&cx, &facts), &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let Some(weight) = weight_of(&facts, &hung.weight) else {
                return Ok(fault(WEIGHT, desk.texts.get("error_choice_wanted")));
            };
            let count = hung.count as u32;
            Ok(left(hang(
                desk,
                rig,
                &hung.point,
                WeightFact { count, ..weight },
            )?))
        }
        "seen" => {
            let cx = desk.cx()?;
            let said = read_new(&seen_fields(&cx), &units, &mut typed);
            let net = seen(&mut typed, NET, said.net, units.to_g(100_000.0));
            let pitch = seen(&mut typed, PITCH, said.pitch, 90.0);
            let roll = seen(&mut typed, ROLL, said.roll, 180.0);
            if typed.faults.is_empty() && net.is_none() && pitch.is_none() && roll.is_none() {
                typed.wrong(NET, "error_nothing_seen");
            }
            if !typed.faults.is_empty() {
                return Ok(typed.faults().unwrap_or_default());
            }
            if let Some(asked) = went_in_so(desk, rig, &typed)? {
                return Ok(asked);
            }
            let why = desk.texts.get("screen_rig_dived_open");
            let seen = (net, pitch, roll);
            let recorded = desk.book.saw_in_water_and_look(rig, seen, &why)?;
            let said = desk.texts.get("screen_trim_said_learnt");
            // That it is to be looked into is not taken back with a tap.
            if recorded.events.len() > 1 {
                return Ok(left(super::cx::said(said)));
            }
            Ok(left(done(recorded, said)))
        }
        _ => {
            let cx = desk.cx()?;
            let now_g = facts.def.trim.heavy_g;
            let heavy_g = read_over(&aim_field(&cx), &units, &mut typed, &now_g);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.aim_trim(rig, heavy_g)?;
            Ok(left(done(recorded, desk.texts.get("screen_trim_said_aim"))))
        }
    }
}

/// Asks whether it was in the water as it stands: open, or without a plug. None where it stands otherwise, or it was
/// answered.
fn went_in_so(desk: &mut Desk, rig: &str, typed: &Typed<'_>) -> Result<Option<Outcome>, BookFault> {
    desk.asked = None;
    let facts = desk.book.rig(rig)?;
    let cx = desk.cx()?;
    let how = [WentIn::PlugOut, WentIn::Open];
    let doubts: Vec<String> = how
        .into_iter()
        .filter_map(|how| went_in_doubt(&cx, &facts, how))
        .collect();
    if doubts.is_empty() {
        return Ok(None);
    }
    let names: Vec<String> = went_in_open(&facts)
        .map(|e| enclosure_name(&facts, &e.id))
        .collect();
    let asked = (NET, names.join(", "));
    let at = AskedOf::Seen(rig).to_string();
    Ok(is_so(desk, &at, typed, asked, &doubts.join(" "))
        .err()
        .map(wrong))
}

/// One thing seen, as typed: which way, and by how much if that is said.
fn seen(typed: &mut Typed<'_>, key: &str, looked: Looked, most: f64) -> Option<SeenFact> {
    let amount_key = amount_key(key);
    let amount = looked.amount;
    let Some(way) = looked.way else {
        if amount.is_some() {
            typed.wrong(key, "error_which_way");
        }
        return None;
    };
    if amount.is_some_and(|a| a.is_finite() && !(0.0..=most).contains(&a)) {
        typed.wrong(&amount_key, "error_seen_amount");
    }
    // 'It stayed, by 50 g' would be two answers.
    if way == Way::Level && amount.is_some_and(|a| a != 0.0) {
        typed.wrong(&amount_key, "error_level_amount");
    }
    Some(SeenFact {
        way,
        amount: amount.filter(|_| way != Way::Level),
        sd: None,
    })
}

fn show_form(label: String, form: &str) -> TrimButton {
    button(
        label,
        TrimAction::ShowForm {
            form: form.to_owned(),
        },
    )
}

fn edit(label: String, part: Option<&str>) -> TrimButton {
    button(
        label,
        TrimAction::Edit {
            part: part.map(str::to_owned),
        },
    )
}

impl TrimScreen {
    pub(super) fn page(self, texts: &Texts, form: Option<&str>) -> Page {
        let title = texts.get("shell_trim_title");
        if let (Some(form), true) = (self.form.clone(), form.is_some()) {
            return Draft::form_page(&title, &self.rig_name, form).done();
        }
        if !self.at_points.is_empty() {
            let (alone, all) = (self.at_points.len() == 1, self.at_points);
            let names: Vec<&str> = all.iter().map(|p| p.title.as_str()).collect();
            let mut draft = Draft::new(&title, &self.rig_name)
                .answer(&names.join(", "), None, Severity::Plain)
                .beneath(&self.now);
            for at in all {
                draft = draft.rows(if alone { "" } else { &at.title }, at.weights);
            }
            return draft.done();
        }
        if form.is_some() && !self.what_ifs.is_empty() {
            let draft = Draft::new(&texts.get("shell_trim_what_ifs"), &self.rig_name);
            let tables = self.what_ifs.into_iter();
            return tables
                .fold(draft.text(&self.reason), |draft, table| {
                    let draft = match table.figures.is_empty() {
                        true => draft.title(&table.title),
                        false => draft.figures(&table.title, table.figures),
                    };
                    draft.text(&table.todo)
                })
                .done();
        }
        let mut draft = Draft::new(&title, &self.rig_name)
            .answer(&self.answer, Some(self.mark), self.severity)
            .beneath(&self.reason);
        if !self.drawings.is_empty() {
            draft = draft.block(Block::Views {
                drawings: self.drawings,
                legend: self.legend,
            });
        }
        draft
            .ticks(&texts.get("shell_trim_list"), self.list)
            .lines(self.notices)
            .rows(&texts.get("shell_trim_points"), self.points)
            .figures(&texts.get("shell_figures"), self.figures)
            .ticks(&texts.get("shell_trim_swaps"), self.swaps)
            .rows(&texts.get("shell_trim_lessons"), self.lessons)
            .buttons(&texts.get("shell_more"), self.others)
            .footnote("", &self.caveat)
            .main(self.main)
            .done()
    }
}
