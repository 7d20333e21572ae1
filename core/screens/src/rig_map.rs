//! The map of a rig: drawn from its definition, from its side, the front to the left. What is open lies off
//! its seat, a ring that was disturbed is lifted out of its groove, a plug that is out hangs above its
//! valve; only a housing that counts now is solid. Each of these has a letter, and its words in a row.
//!
//! Parts stand in their order along the axis: nobody measures their outlines.

use super::common::{Button, Line, Mark, Place, Severity};
use super::cx::{Cx, button, lead, line};
use super::names::enclosure_name;
use super::rig::{RigAction, close_button, flood_button, open_now, water_in};
use super::seals::due;
use slackwater_domain::rig::{Closure, Enclosure, LensConfig, Seal};
use slackwater_domain::rules::{
    closed_since, counting_hold, counting_recheck, open_at, plug_in, plug_refitted,
};
use slackwater_domain::state::{EnclosureFacts, RigFacts};

/// What a shape of the map is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum MapShape {
    /// The body of a housing.
    Body,
    /// A port: what the lens looks through.
    Port,
    /// An extension ring, or the base of a port.
    Ring,
    /// What shuts a housing: a back, a frame.
    Cover,
    /// An o-ring in its groove.
    Seal,
    /// A seal through the wall: a penetrator, a shaft.
    Through,
    /// The plug of a vacuum valve.
    Plug,
}

/// A part of the map. Lengths are in widths of the drawing, from its upper left corner.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct MapPart {
    /// What it is.
    pub shape: MapShape,
    /// Left edge.
    pub x: f32,
    /// Upper edge.
    pub y: f32,
    /// Width.
    pub width: f32,
    /// Height.
    pub height: f32,
    /// Full of ink: a housing that is proved, rechecked and plugged now.
    pub solid: bool,
    /// Off its seat: open, disturbed, out.
    pub off: bool,
    /// How it stands.
    pub mark: Mark,
    /// Stands beside it, and in its row; empty for what is in order.
    pub letter: String,
    /// Its name, in the drawing; none where that is in its row only.
    pub name: Option<String>,
    /// What a tap on it does.
    pub tap: Option<Button>,
}

/// The map.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RigMap {
    /// Height in widths.
    pub height: f32,
    /// What is drawn, hindmost first.
    pub parts: Vec<MapPart>,
    /// What isn't in order, by its letters.
    pub legend: Vec<Line>,
    /// The whole in words, for a screen reader.
    pub spoken: String,
}

/// Widths of what lies along the axis, and of the gaps that rings sit in.
const PORT: f32 = 0.10;
const RING: f32 = 0.06;
const COVER: f32 = 0.05;
const JOINT: f32 = 0.028;
const SEAL: f32 = 0.012;
/// So far off its seat lies what is open.
const OFF: f32 = 0.05;
const EDGE: f32 = 0.03;
/// Heights of the row of the first enclosure, and of that of the others above it.
const MAIN: f32 = 0.34;
const OTHERS: f32 = 0.15;
/// Room above a housing for its plug.
const ABOVE: f32 = 0.1;
/// So many things that aren't in order have a letter and their words beneath the drawing.
const LETTERS: usize = 4;
/// Most enclosures beside each other in the upper row; further ones are in the rows only.
const BESIDE: usize = 3;

/// A part and what is said of it where it isn't in order.
struct Drawn {
    part: MapPart,
    said: Option<Line>,
}

/// Along the axis of an enclosure, from the front.
enum Along<'a> {
    Port(&'a Closure),
    Ring,
    /// A closure in front that the lens doesn't go through.
    Base(&'a Closure),
    /// A gap, and the rings in it.
    Joint(Vec<&'a Seal>),
    Body,
    Cover(&'a Closure),
}

/// The map; none of a rig without enclosures.
pub(super) fn map(cx: &Cx<'_>, rig: &RigFacts) -> Option<RigMap> {
    let all: Vec<(&Enclosure, &EnclosureFacts)> =
        rig.def.enclosures.iter().zip(&rig.enclosures).collect();
    let mut drawn = Vec::new();
    let others = all.len().saturating_sub(1).min(BESIDE);
    let mut top = ABOVE;
    if others > 0 {
        let room = (1.0 - 2.0 * EDGE) / others as f32;
        for (n, (def, facts)) in all.iter().skip(1).take(others).enumerate() {
            let width = room.min(0.5);
            // One alone stands above the middle.
            let left = if others == 1 {
                0.5
            } else {
                EDGE + room * n as f32
            };
            let at = [left, top, (width - EDGE).min(1.0 - EDGE - left), OTHERS];
            enclosure(cx, rig, (def, facts), at, &mut drawn);
        }
        top += OTHERS + ABOVE;
    }
    let at = [EDGE, top, 1.0 - 2.0 * EDGE, MAIN];
    enclosure(cx, rig, *all.first()?, at, &mut drawn);
    let told: Vec<String> = (drawn.iter())
        .filter_map(|d| d.said.as_ref().map(|l| l.text.clone()))
        .collect();
    // Of a rig in parts the rows tell all of it; so many letters would tell nothing.
    let lettered = told.len() <= LETTERS;
    let mut legend = Vec::new();
    let mut parts = Vec::new();
    for Drawn { mut part, said } in drawn {
        if let Some(said) = said.filter(|_| lettered) {
            part.letter = char::from(b'A' + legend.len() as u8).to_string();
            legend.push(Line {
                text: format!("{}\u{a0} {}", part.letter, said.text),
                ..said
            });
        }
        parts.push(part);
    }
    let spoken = cx.say(
        "screen_map_spoken",
        &[
            ("name", (&rig.def.name).into()),
            ("n", told.len().into()),
            ("what", (&told.join("; ")).into()),
        ],
    );
    Some(RigMap {
        height: top + MAIN + 0.06,
        parts,
        legend,
        spoken,
    })
}

/// Draws an enclosure in its room: left, upper edge, width, height.
fn enclosure(
    cx: &Cx<'_>,
    rig: &RigFacts,
    (def, facts): (&Enclosure, &EnclosureFacts),
    [left, top, width, height]: [f32; 4],
    drawn: &mut Vec<Drawn>,
) {
    let axis = along(rig, def);
    let closed = closed_since(rig, facts).is_some();
    let at = open_at(rig, facts);
    let is_open =
        |c: &Closure| !closed && (at.is_empty() || at.iter().any(|a| a.is_none_or(|a| a == c.id)));
    // What lies off its seat needs room; what is in front moves with its closure.
    let of = |a: &Along<'_>| match a {
        Along::Port(c) => PORT + if is_open(c) { OFF } else { 0.0 },
        Along::Ring => RING,
        Along::Base(c) | Along::Cover(c) => COVER + if is_open(c) { OFF } else { 0.0 },
        Along::Joint(seals) => JOINT.max(seals.len() as f32 * (SEAL + 0.012)),
        Along::Body => 0.0,
    };
    let fixed: f32 = axis.iter().map(of).sum();
    // A small housing keeps a third of its room for its body and its name.
    let scale = ((width * 0.67) / fixed.max(0.001)).min(1.0);
    let body = width - fixed * scale;
    let mut x = left;
    for a in &axis {
        let w = if matches!(a, Along::Body) {
            body
        } else {
            of(a) * scale
        };
        match a {
            Along::Body => drawn.push(the_body(cx, rig, (def, facts), [x, top, w, height])),
            Along::Port(c) => {
                let shift = if is_open(c) { OFF * scale } else { 0.0 };
                let at = [x, top + 0.02 * height, w - shift, 0.96 * height];
                drawn.push(cover(cx, rig, (def, c), MapShape::Port, is_open(c), at));
            }
            Along::Ring => drawn.push(plain(
                MapShape::Ring,
                [x, top + 0.1 * height, w, 0.8 * height],
            )),
            Along::Base(c) | Along::Cover(c) => {
                let front = matches!(a, Along::Base(_));
                let shift = if is_open(c) { OFF * scale } else { 0.0 };
                let from = if front { x } else { x + shift };
                let at = [from, top, w - shift, height];
                let shape = if front {
                    MapShape::Ring
                } else {
                    MapShape::Cover
                };
                drawn.push(cover(cx, rig, (def, c), shape, is_open(c), at));
            }
            Along::Joint(seals) => {
                let step = w / (seals.len() as f32 + 1.0);
                for (n, s) in seals.iter().enumerate() {
                    let middle = x + step * (n as f32 + 1.0);
                    let at = [
                        middle - SEAL / 2.0,
                        top + 0.04 * height,
                        SEAL,
                        0.92 * height,
                    ];
                    drawn.extend(ring(cx, rig, s, MapShape::Seal, at));
                }
            }
        }
        if matches!(a, Along::Body) {
            on_top(cx, rig, (def, facts), [x, top, w], drawn);
        }
        x += w;
    }
}

/// What lies along the axis of an enclosure, each ring in the gap that its closure makes.
fn along<'a>(rig: &'a RigFacts, def: &'a Enclosure) -> Vec<Along<'a>> {
    let lenses = || rig.def.lenses.iter().filter(|l| l.enclosure == def.id);
    let lens: Option<&LensConfig> = lenses()
        .find(|l| Some(&l.id) == rig.def.lens.as_ref())
        .or_else(|| lenses().next());
    let port = lens.and_then(|l| def.closures.iter().find(|c| c.id == l.closure));
    let rest: Vec<&Closure> = (def.closures.iter())
        .filter(|c| port.is_none_or(|p| p.id != c.id))
        .collect();
    let seals_of = |c: &Closure| -> Vec<&Seal> {
        let of = |s: &&Seal| s.enclosure == def.id && s.closure.as_deref() == Some(&c.id);
        rig.def.seals.iter().filter(of).collect()
    };
    let mut out = Vec::new();
    if let (Some(port), Some(lens)) = (port, lens) {
        out.push(Along::Port(port));
        let rings = lens.rings.len();
        let mut seals = seals_of(port);
        for n in 0..=rings {
            // One a gap from the outside; what is left over sits in the last.
            let last = n == rings;
            let here = if last {
                seals.len()
            } else {
                seals.len().min(1)
            };
            out.push(Along::Joint(seals.drain(..here).collect()));
            if !last {
                out.push(Along::Ring);
            }
        }
    }
    let (back, front): (Vec<&Closure>, Vec<&Closure>) = if port.is_some() {
        let n = rest.len().min(1);
        (rest[..n].to_vec(), rest[n..].to_vec())
    } else {
        (rest, Vec::new())
    };
    for c in front {
        out.push(Along::Base(c));
        out.push(Along::Joint(seals_of(c)));
    }
    out.push(Along::Body);
    for c in back {
        out.push(Along::Joint(seals_of(c)));
        out.push(Along::Cover(c));
    }
    out
}

fn plain(shape: MapShape, [x, y, width, height]: [f32; 4]) -> Drawn {
    let part = MapPart {
        shape,
        x,
        y,
        width,
        height,
        solid: false,
        off: false,
        mark: Mark::Full,
        letter: String::new(),
        name: None,
        tap: None,
    };
    Drawn { part, said: None }
}

/// Whether an enclosure counts now: proved, rechecked, its plug in.
fn counts(cx: &Cx<'_>, rig: &RigFacts, facts: &EnclosureFacts) -> bool {
    counting_hold(rig, facts).is_ok_and(|h| plug_refitted(rig, facts, h))
        && counting_recheck(rig, facts, cx.now).is_ok()
}

fn the_body(
    cx: &Cx<'_>,
    rig: &RigFacts,
    (def, facts): (&Enclosure, &EnclosureFacts),
    at: [f32; 4],
) -> Drawn {
    let water = water_in(cx, rig, facts).filter(|_| !open_now(rig, &def.id));
    let solid = water.is_none() && counts(cx, rig, facts);
    let mut drawn = plain(MapShape::Body, at);
    drawn.part.solid = solid;
    drawn.part.mark = if solid { Mark::Full } else { Mark::Hollow };
    drawn.part.name = Some(def.name.clone());
    if let Some((found, how)) = water {
        drawn.part.mark = Mark::Struck;
        drawn.part.tap = flood_button(cx, rig, found);
        let args = [("name", (&def.name).into()), ("how", (&how).into())];
        let text = cx.say("screen_map_said_whole", &args);
        drawn.said = Some(line(text, Severity::Blocking, Some(Mark::Struck)));
    }
    drawn
}

fn cover(
    cx: &Cx<'_>,
    rig: &RigFacts,
    (def, closure): (&Enclosure, &Closure),
    shape: MapShape,
    open: bool,
    at: [f32; 4],
) -> Drawn {
    let mut drawn = plain(shape, at);
    if !open {
        return drawn;
    }
    let tap = close_button(cx, rig, &def.id);
    drawn.part.off = true;
    drawn.part.mark = Mark::Hollow;
    drawn.part.tap = Some(tap);
    let how = cx.t("screen_map_open");
    drawn.said = Some(said(cx, (&closure.name, &def.name), &how, Mark::Hollow));
    drawn
}

/// A ring where it sits: told of where it isn't in order.
fn ring(cx: &Cx<'_>, rig: &RigFacts, def: &Seal, shape: MapShape, at: [f32; 4]) -> Option<Drawn> {
    let facts = rig.seal(&def.id)?;
    let due = due(cx, rig, def, facts);
    let (words, mark) = (due.words(), due.mark);
    let place = Place::Seal {
        rig: rig.id.clone(),
        seal: def.id.clone(),
        form: None,
    };
    let tap = lead(def.name.clone(), place);
    let mut drawn = plain(shape, at);
    drawn.part.mark = mark;
    drawn.part.off = mark == Mark::Hollow;
    drawn.part.tap = Some(tap);
    let at = enclosure_name(rig, &def.enclosure);
    drawn.said = (mark != Mark::Full).then(|| said(cx, (&def.name, &at), &words, mark));
    Some(drawn)
}

/// 'Back, Main housing: open'.
fn said(cx: &Cx<'_>, (name, of): (&str, &str), how: &str, mark: Mark) -> Line {
    let args = [
        ("name", name.into()),
        ("of", of.into()),
        ("how", how.into()),
    ];
    line(
        cx.say("screen_map_said", &args),
        Severity::Plain,
        Some(mark),
    )
}

/// The plug goes in again, where a hold counts that it shuts in.
fn plug_on(
    cx: &Cx<'_>,
    rig: &RigFacts,
    (def, facts): (&Enclosure, &EnclosureFacts),
) -> Option<Button> {
    counting_hold(rig, facts).ok()?;
    let label = cx.say("action_plug_on", &[("name", (&def.name).into())]);
    Some(button(
        label,
        RigAction::PlugOn {
            enclosure: def.id.clone(),
        },
    ))
}

/// What sits in the wall: the valve with its plug, and the rings of no closure.
fn on_top(
    cx: &Cx<'_>,
    rig: &RigFacts,
    (def, facts): (&Enclosure, &EnclosureFacts),
    [left, top, width]: [f32; 3],
    drawn: &mut Vec<Drawn>,
) {
    let size = 0.035;
    let through: Vec<&Seal> = (rig.def.seals.iter())
        .filter(|s| s.enclosure == def.id && s.closure.is_none())
        .collect();
    let places = through.len() + usize::from(def.valve.is_some());
    let step = width / (places as f32 + 1.0);
    let mut x = left + step;
    if def.valve.is_some() {
        let out = plug_in(rig, facts).is_none();
        let lift = if out { 0.04 } else { 0.0 };
        let mut plug = plain(
            MapShape::Plug,
            [x - size / 2.0, top - size - lift, size, size],
        );
        plug.part.off = out;
        if out && closed_since(rig, facts).is_some() && !open_now(rig, &def.id) {
            plug.part.mark = Mark::Hollow;
            plug.part.tap = plug_on(cx, rig, (def, facts));
            let name = cx.t("screen_map_plug");
            let how = cx.t("screen_map_plug_out");
            plug.said = Some(said(cx, (&name, &def.name), &how, Mark::Hollow));
        }
        drawn.push(plug);
        x += step;
    }
    for seal in through {
        let at = [x - size / 2.0, top - size / 2.0, size, size];
        drawn.extend(ring(cx, rig, seal, MapShape::Through, at));
        x += step;
    }
}
