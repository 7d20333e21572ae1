//! Drawing over a photo. Its one question: what of this picture is meant?
//!
//! What is drawn is a layer of its own; the file that was taken stays as it is.

use super::common::{Button, FieldValue, Form, Outcome, Place, Row, Severity};
use super::cx::{Cx, Typed, button, done, fault, form, go};
use super::desk::Desk;
use super::keys;
use super::measures::Unit;
use super::page::{Block, Draft, Page, PhotoMark};
use super::spec::{Spec, draw, must_num_in, read_new, text_in};
use serde::{Deserialize, Serialize};
use slackwater_domain::book::{BookFault, Drawn};
use slackwater_domain::facts::SketchMark;

/// What is drawn next.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum Tool {
    /// An arrow to what is meant.
    #[default]
    Arrow,
    /// A ring around it.
    Ring,
    /// Words beside it.
    Words(
        /// The words; empty before they are written.
        String,
    ),
    /// Nothing: the picture as it was taken.
    Bare,
}

/// What the page accepts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum SketchAction {
    /// Takes another tool.
    Take(Tool),
    /// Takes a mark back that stands in the record.
    TakeBack {
        /// Event reference.
        event: String,
    },
    /// Back to the photo.
    Done,
    /// Sends a form: 'draw' with the places of a mark, 'words' with what is written next.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was drawn or typed.
        values: Vec<FieldValue>,
    },
}

/// A mark as it crosses to the phone.
pub(super) fn shown(drawn: &Drawn) -> PhotoMark {
    let within = |x: u16| x.min(1_000);
    match &drawn.mark {
        SketchMark::Arrow { from, to } => PhotoMark::Arrow {
            from_x: within(from[0]),
            from_y: within(from[1]),
            to_x: within(to[0]),
            to_y: within(to[1]),
        },
        SketchMark::Ring { from, to } => PhotoMark::Ring {
            from_x: within(from[0]),
            from_y: within(from[1]),
            to_x: within(to[0]),
            to_y: within(to[1]),
        },
        SketchMark::Words { at, text } => PhotoMark::Words {
            x: within(at[0]),
            y: within(at[1]),
            text: text.clone(),
        },
    }
}

/// What was drawn, in a word or two: 'Arrow', '“hair”'.
pub(super) fn named(cx: &Cx<'_>, mark: &SketchMark) -> String {
    match mark {
        SketchMark::Arrow { .. } => cx.t("screen_sketch_arrow"),
        SketchMark::Ring { .. } => cx.t("screen_sketch_ring"),
        SketchMark::Words { text, .. } => cx.say("screen_sketch_quoted", &[("text", text.into())]),
    }
}

/// Builds the page.
pub(super) fn page(cx: &Cx<'_>, photo: &str, tool: &Tool) -> Result<Page, BookFault> {
    let picture = super::photo::show(cx, photo)?;
    let drawn = &picture.drawn;
    let bare = *tool == Tool::Bare;
    let (asks, template) = match tool {
        _ if picture.broken => (cx.t("screen_sketch_broken"), None),
        Tool::Arrow => (cx.t("screen_sketch_ask_arrow"), Some(blank_arrow())),
        Tool::Ring => (cx.t("screen_sketch_ask_ring"), Some(blank_ring())),
        Tool::Words(text) if text.is_empty() => (cx.t("screen_sketch_ask_words"), None),
        Tool::Words(text) => (
            cx.say("screen_sketch_place", &[("text", text.into())]),
            Some(PhotoMark::Words {
                x: 0,
                y: 0,
                text: text.clone(),
            }),
        ),
        Tool::Bare => (cx.t("screen_sketch_bare"), None),
    };
    let writes = matches!(tool, Tool::Words(text) if text.is_empty()) && !picture.broken;
    let tools = [
        (Tool::Arrow, "action_sketch_arrow"),
        (Tool::Ring, "action_sketch_ring"),
        (Tool::Words(String::new()), "action_sketch_words"),
        (Tool::Bare, "action_sketch_bare"),
    ];
    let others = tools
        .into_iter()
        .filter(|(t, _)| std::mem::discriminant(t) != std::mem::discriminant(tool))
        .filter(|(t, _)| match t {
            Tool::Bare => !drawn.is_empty(),
            _ => !picture.broken,
        })
        .map(|(t, key)| button(cx.t(key), SketchAction::Take(t)))
        .collect();
    let rows: Vec<Row> = drawn.iter().rev().map(|d| row(cx, d)).collect();
    Ok(Draft::new(&cx.t("screen_sketch_title"), &picture.title)
        .answer(&asks, None, Severity::Plain)
        .block(Block::LargePhoto {
            photo: picture.photo,
            broken: picture.broken,
            spoken: picture.spoken,
            marks: if bare {
                Vec::new()
            } else {
                drawn.iter().map(shown).collect()
            },
            draw: template.as_ref().map(|t| draw_form(cx, t)),
            template,
        })
        .fields(writes.then(|| words_form(cx)), true)
        .buttons("", others)
        .rows(&cx.t("screen_sketch_drawn"), rows)
        .main((!writes).then(|| button(cx.t("action_sketch_done"), SketchAction::Done)))
        .done())
}

fn row(cx: &Cx<'_>, d: &Drawn) -> Row {
    let back = Button {
        confirm: Some(cx.t("screen_sketch_take_back_confirm")),
        ..button(
            cx.t("action_sketch_take_back"),
            SketchAction::TakeBack {
                event: d.event.clone(),
            },
        )
    };
    Row {
        title: named(cx, &d.mark),
        footnote: Some(cx.who_when(&d.author, d.wall_ms)),
        tap: Some(back),
        ..Row::default()
    }
}

fn blank_arrow() -> PhotoMark {
    PhotoMark::Arrow {
        from_x: 0,
        from_y: 0,
        to_x: 0,
        to_y: 0,
    }
}

fn blank_ring() -> PhotoMark {
    PhotoMark::Ring {
        from_x: 0,
        from_y: 0,
        to_x: 0,
        to_y: 0,
    }
}

const DRAW: &str = "draw";
const WORDS: &str = "words";

/// Where a drag, or a tap, was: thousandths of the picture.
#[derive(Debug, Clone, Default)]
struct Dragged {
    from: [f64; 2],
    to: [f64; 2],
}

/// Within its bounds, or never used.
fn rounded(at: [f64; 2]) -> [u16; 2] {
    at.map(|v| v.round() as u16)
}

/// Words are at one place; the others go from one to another.
fn draw_fields<'a>(cx: &Cx<'_>, two: bool) -> Vec<Spec<'a, Dragged>> {
    let place = |key: &str, label: &str, at| {
        let outside = |v| !(0.0..=1_000.0).contains(&v);
        must_num_in(key, cx.t(label), Unit::Unsaid, at)
            .check(move |_: &Dragged, _, v| outside(v).then_some("error_sketch_outside"))
    };
    let mut fields = vec![
        place("from_x", "screen_sketch_from_x", |d| &mut d.from[0]),
        place("from_y", "screen_sketch_from_y", |d| &mut d.from[1]),
    ];
    if two {
        fields.push(place("to_x", "screen_sketch_to_x", |d| &mut d.to[0]));
        fields.push(place("to_y", "screen_sketch_to_y", |d| &mut d.to[1]));
    }
    fields
}

fn draw_form(cx: &Cx<'_>, template: &PhotoMark) -> Form {
    let two = !matches!(template, PhotoMark::Words { .. });
    let fields = draw(&draw_fields(cx, two), &cx.units, None);
    form(DRAW, String::new(), fields, cx.t("action_sketch_draw"))
}

fn words_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    [text_in(keys::TEXT, cx.t("screen_sketch_text"), |t| t).must()]
}

fn words_form(cx: &Cx<'_>) -> Form {
    let fields = draw(&words_field(cx), &cx.units, None);
    form(WORDS, String::new(), fields, cx.t("action_sketch_place"))
}

/// Whether the page has a form of this key.
pub(super) fn takes(key: &str) -> bool {
    matches!(key, DRAW | WORDS)
}

/// Does an action.
pub(super) fn act(
    desk: &mut Desk,
    photo: &str,
    tool: &Tool,
    action: SketchAction,
) -> Result<Outcome, BookFault> {
    let with = |tool: Tool| Outcome {
        leave: true,
        ..go(Place::Sketch {
            photo: photo.to_owned(),
            tool,
        })
    };
    Ok(match action {
        SketchAction::Take(tool) => with(tool),
        SketchAction::Done => super::cx::leave(),
        SketchAction::TakeBack { event } => {
            let known = desk
                .book
                .sketch(photo)?
                .into_iter()
                .any(|d| d.event == event);
            if !known {
                return Ok(fault("", desk.texts.get("error_sketch_gone")));
            }
            desk.book.undo(&event)?;
            super::cx::said(desk.texts.get("common_undone"))
        }
        SketchAction::Submit { form, values } if form == WORDS => {
            let mut typed = Typed::new(desk.texts, &values);
            let cx = desk.cx()?;
            let text = read_new(&words_field(&cx), &cx.units, &mut typed);
            if text.chars().count() > slackwater_domain::book::SKETCH_WORDS_MAX {
                typed.wrong(keys::TEXT, "error_sketch_words_long");
            }
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            with(Tool::Words(text))
        }
        SketchAction::Submit { values, .. } => {
            let mut typed = Typed::new(desk.texts, &values);
            let cx = desk.cx()?;
            let two = matches!(tool, Tool::Arrow | Tool::Ring);
            let drawn = read_new(&draw_fields(&cx, two), &cx.units, &mut typed);
            let (from, to) = (rounded(drawn.from), rounded(drawn.to));
            let mark = match tool {
                Tool::Words(text) if !text.is_empty() => SketchMark::Words {
                    at: from,
                    text: text.clone(),
                },
                Tool::Arrow => SketchMark::Arrow { from, to },
                Tool::Ring => SketchMark::Ring { from, to },
                Tool::Words(_) | Tool::Bare => {
                    return Ok(fault("", desk.texts.get("error_other_screen")));
                }
            };
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.draw_over(photo, mark)?;
            let out = done(recorded, desk.texts.get("screen_sketch_said"));
            match tool {
                // Written once: the next words are others.
                Tool::Words(_) => Outcome {
                    go: with(Tool::Words(String::new())).go,
                    leave: true,
                    ..out
                },
                _ => out,
            }
        }
    })
}
