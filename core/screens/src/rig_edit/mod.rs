//! Editing a rig: its enclosures, closures, seals, controls, lenses and the rest, a file a kind.
//!
//! [`kind`] says what the editor must know of a kind and lists them; [`path`] is where one stands. What is not a kind
//! of its own has its form here, too: the rig's name, a volume measured, a gland, a weighing.

mod cable;
mod choices;
mod closure;
mod control;
mod enclosure;
mod gland;
pub(crate) mod kind;
mod lens;
mod mounting_point;
mod part;
pub(crate) mod path;
mod penetrator;
mod rig_name;
mod seal;
mod strip_item;
#[cfg(test)]
mod tests;
pub(crate) mod volume;
mod weigh;
mod weight;

use super::asked::{are_so, asked_field, wrong};
use super::common::{FieldValue, Form, Line, Outcome, Place, Severity};
use super::cx::{Cx, Typed, button, done, form, go, line};
use super::desk::Desk;
use super::page::{Block, Draft, Page};
use kind::{Drawn, Kind, Of, Read};
use path::{EditAt, no_part};
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{Part, RigDef};

pub use super::common::{Button as RigEditButton, Row as RigEditRow};

/// What the editor accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum RigEditAction {
    /// Opens a part ('enclosure/main', 'seal/main-port').
    OpenPart {
        /// Its path.
        part: String,
    },
    /// Shows the form for a new part of a kind ('enclosure', 'closure', 'seal', 'control', ...).
    Add {
        /// Which kind.
        kind: String,
    },
    /// Takes a part off the rig. Needs the second tap; its history stays.
    Remove {
        /// Its path.
        part: String,
    },
    /// Puts an enclosure back that an edit took off, to be proved anew. Needs the second tap.
    PutBack {
        /// Its id.
        enclosure: String,
    },
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// A group of parts.
#[derive(Debug, Clone, PartialEq)]
pub struct EditSection {
    /// Its title ('Seals').
    pub title: String,
    /// Its parts.
    pub rows: Vec<RigEditRow>,
    /// Adds one.
    pub add: RigEditButton,
}

/// The editor.
#[derive(Debug, Clone, PartialEq)]
pub struct RigEditScreen {
    /// Rig id.
    pub rig: String,
    /// Title: the rig's name, or the part's.
    pub title: String,
    /// What a change here does to readiness.
    pub notice: Option<Line>,
    /// The parts, by kind; empty when one part is open.
    pub sections: Vec<EditSection>,
    /// The form of the open part, or of a new one.
    pub form: Option<Form>,
    /// Leads to the rig's name and note.
    pub main: Option<RigEditButton>,
    /// The others: remove.
    pub others: Vec<RigEditButton>,
}

/// Builds the editor.
pub(super) fn show(cx: &Cx<'_>, id: &str, part: Option<&str>) -> Result<RigEditScreen, BookFault> {
    let rig = &*cx.book.rig(id)?;
    let of = Of { cx, rig };
    let shown = RigEditScreen {
        rig: id.to_owned(),
        title: rig.def.name.clone(),
        notice: Some(line(cx.t("screen_edit_notice"), Severity::Notice, None)),
        sections: Vec::new(),
        form: None,
        main: None,
        others: Vec::new(),
    };
    let Some(path) = part else {
        return Ok(RigEditScreen {
            sections: Kind::ALL.map(|kind| section(of, kind)).into(),
            main: Some(opens(cx.t("action_rename"), &EditAt::Rig)),
            ..shown
        });
    };
    let at: EditAt = path.parse()?;
    let drawn = drawn(of, &at).ok_or_else(|| no_part(path))?;
    let submit = match at {
        EditAt::Add(_) => cx.t("action_add"),
        _ => cx.t("action_keep"),
    };
    let others = others(of, &at, &drawn)?;
    let mut fields = drawn.fields;
    fields.extend(asked_field(cx, &form_at(id, path)));
    Ok(RigEditScreen {
        title: drawn.title,
        form: Some(form(path, String::new(), fields, submit)),
        others,
        ..shown
    })
}

/// All of a kind, and what adds one.
fn section(of: Of<'_>, kind: Kind) -> EditSection {
    let sort = kind.sort();
    let add = RigEditAction::Add {
        kind: kind.word().to_owned(),
    };
    EditSection {
        title: of.t(sort.title()),
        rows: sort.rows(of, kind),
        add: button(of.t("action_add"), add),
    }
}

/// The form of what stands at a path; none where nothing does.
fn drawn(of: Of<'_>, at: &EditAt) -> Option<Drawn> {
    match at {
        EditAt::Rig => Some(rig_name::form(of)),
        EditAt::Add(kind) => kind.sort().draw(of, None),
        EditAt::Item(kind, id) => kind.sort().draw(of, Some(id)),
        EditAt::Volume(how, enclosure) => volume::form(of, *how, enclosure),
        EditAt::Gland(seal) => gland::form(of, seal),
        EditAt::Weigh(part) => weigh::form(of, part),
    }
}

/// What can be done besides sending the form.
fn others(of: Of<'_>, at: &EditAt, drawn: &Drawn) -> Result<Vec<RigEditButton>, BookFault> {
    match at {
        EditAt::Add(kind) => kind.sort().instead_of_new(of),
        EditAt::Item(..) => {
            let leads = drawn.leads.iter();
            let mut others: Vec<RigEditButton> =
                leads.map(|(label, at)| opens(label.clone(), at)).collect();
            let sure = &[("name", (&drawn.title).into())];
            let part = at.to_string();
            others.push(RigEditButton {
                confirm: Some(of.cx.say("screen_edit_remove_confirm", sure)),
                ..button(of.t("action_remove"), RigEditAction::Remove { part })
            });
            Ok(others)
        }
        EditAt::Rig | EditAt::Volume(..) | EditAt::Gland(_) | EditAt::Weigh(_) => Ok(Vec::new()),
    }
}

fn opens(label: String, at: &EditAt) -> RigEditButton {
    let part = at.to_string();
    button(label, RigEditAction::OpenPart { part })
}

/// What names a form of a rig's in a question.
fn form_at(rig: &str, path: &str) -> String {
    format!("{rig}/{path}")
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, rig: &str, action: RigEditAction) -> Result<Outcome, BookFault> {
    let to = |part: String| {
        go(Place::RigEdit {
            rig: rig.to_owned(),
            part: Some(part),
        })
    };
    Ok(match action {
        RigEditAction::OpenPart { part } => to(part),
        RigEditAction::Add { kind } => {
            let kind = Kind::of(&kind).ok_or_else(|| no_part(&kind))?;
            to(EditAt::Add(kind).to_string())
        }
        RigEditAction::Remove { part } => {
            let EditAt::Item(kind, id) = part.parse()? else {
                return Err(no_part(&part));
            };
            let mut def = desk.book.rig(rig)?.def.clone();
            let removed = kind.sort().remove(&mut def, &id);
            removed.ok_or_else(|| no_part(&part))?;
            forget_what_went(&mut def);
            let recorded = desk.book.edit_rig(rig, def)?;
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get("screen_edit_said_removed"))
            }
        }
        RigEditAction::PutBack { enclosure } => {
            let (recorded, names) = desk.book.put_back(rig, &enclosure)?;
            let mut said = desk.texts.get("screen_edit_said_put_back");
            said.extend(enclosure::left_out(desk.texts, &names).map(|s| format!(" {s}")));
            Outcome {
                leave: true,
                ..done(recorded, said)
            }
        }
        RigEditAction::Submit { form, values } => return submit(desk, rig, &form, &values),
    })
}

/// Reads a form, and keeps what it says.
fn submit(
    desk: &mut Desk,
    rig: &str,
    form: &str,
    values: &[FieldValue],
) -> Result<Outcome, BookFault> {
    let facts = desk.book.rig(rig)?;
    let mut def = facts.def.clone();
    let mut typed = Typed::new(desk.texts, values);
    let read = match form.parse()? {
        EditAt::Volume(how, e) => return volume::act(desk, &facts, (how, &e), values),
        EditAt::Weigh(part) => return weigh::act(desk, &facts, &part, values),
        at => {
            let cx = &desk.cx()?;
            change(Of { cx, rig: &facts }, &at, &mut typed, &mut def)?
        }
    };
    let doubts = read.ok_or_else(|| no_part(form))?.doubts;
    if !typed.faults.is_empty() {
        return Ok(typed.faults().unwrap_or_default());
    }
    if let Some(doubts) = doubts
        && let Err(faults) = are_so(desk, &form_at(rig, form), &typed, &doubts)
    {
        return Ok(wrong(faults));
    }
    let recorded = desk.book.edit_rig(rig, def)?;
    Ok(Outcome {
        leave: true,
        ..done(recorded, desk.texts.get("screen_edit_said_kept"))
    })
}

/// Puts what was typed into the definition; none where nothing stands at the path. What is measured has no place in
/// it: it is worked out first.
fn change(
    of: Of<'_>,
    at: &EditAt,
    typed: &mut Typed<'_>,
    def: &mut RigDef,
) -> Result<Option<Read>, BookFault> {
    let plain = Read { doubts: None };
    match at {
        EditAt::Rig => {
            rig_name::change(of, typed, def);
            Ok(Some(plain))
        }
        EditAt::Gland(seal) => Ok(gland::change(of, seal, typed, def).map(|()| plain)),
        EditAt::Add(kind) => kind.sort().read(of, None, typed, def),
        EditAt::Item(kind, id) => kind.sort().read(of, Some(id), typed, def),
        EditAt::Volume(..) | EditAt::Weigh(_) => Ok(None),
    }
}

/// What a rig says of something that is no longer on it.
fn forget_what_went(def: &mut RigDef) {
    if def.lens.is_some() && def.lens().is_none() {
        def.lens = None;
    }
    let lenses: Vec<String> = def.lenses.iter().map(|l| l.id.clone()).collect();
    for p in &mut def.parts {
        p.lenses.retain(|l| lenses.contains(l));
    }
    let stands_in = |p: &&Part| p.in_place_of.is_some();
    let stand_ins = def.parts.iter().filter(stands_in).map(|p| p.id.clone());
    let stand_ins: Vec<String> = stand_ins.collect();
    def.swapped.retain(|id| stand_ins.contains(id));
}

fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    (value * scale).round() / scale
}

impl RigEditScreen {
    pub(super) fn page(self) -> Page {
        let at_thumb = self.main.is_none();
        let mut draft = Draft::new(&self.title, "")
            .lines(self.notice)
            .fields(self.form, at_thumb);
        for section in self.sections {
            draft = draft
                .title(&section.title)
                .rows("", section.rows)
                .block(Block::Buttons {
                    title: String::new(),
                    buttons: vec![section.add],
                    adds_to: section.title,
                });
        }
        draft.buttons("", self.others).main(self.main).done()
    }
}
