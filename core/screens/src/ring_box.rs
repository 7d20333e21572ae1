//! The crew's box of rings. Its one question: what is there, and may it still be fitted?

use super::common::{FieldValue, Form, Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, Typed, button, done, form, go, line};
use super::desk::Desk;
use super::forms::RingBoxForm;
use super::keys;
use super::names::{
    cured_field, lot_detail, lot_name, lot_until_words, material_field, pack_field,
};
use super::page::{Draft, Page};
use super::spec::{Spec, draw, must_whole_in, read_new, text_in, whole_num};
use slackwater_domain::book::BookFault;
use slackwater_domain::facts::RingLot;
use slackwater_domain::spares::{lot_until, today};
use slackwater_domain::state::BoxLot;
use slackwater_physics::oring;

pub use super::common::{Button as RingBoxButton, Row as RingBoxRow};

/// What the box accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum RingBoxAction {
    /// Shows a form: 'add', 'count/LOT'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// One ring of a lot left the box without being fitted.
    TakeOne {
        /// Lot id.
        lot: String,
    },
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// The box.
#[derive(Debug, Clone, PartialEq)]
pub struct RingBoxScreen {
    /// Title.
    pub title: String,
    /// How many rings of how many kinds.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// The rings, by size.
    pub lots: Vec<RingBoxRow>,
    /// What will stand here when there is none.
    pub empty: Option<Line>,
    /// The form asked for.
    pub form: Option<Form>,
    /// The main action: put rings in.
    pub main: Option<RingBoxButton>,
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, form_shown: Option<&str>) -> Result<RingBoxScreen, BookFault> {
    let lots = cx.book.ring_box()?;
    let day = today(cx.now);
    let too_old = |lot: &BoxLot| lot_until(lot, true).is_some_and(|until| day > until);
    let of = |old: bool| -> i64 {
        let of = lots.iter().filter(|l| too_old(l) == old);
        of.map(|l| l.count.max(0)).sum()
    };
    // Only what may be fitted counts.
    let (total, old) = (of(false), of(true));
    let wrong = lots.iter().any(|l| l.count < 0);
    let answer = if lots.is_empty() {
        cx.t("screen_box_none")
    } else if wrong {
        cx.t("screen_box_count_again")
    } else if old > 0 {
        let args = [
            ("n", (total as usize).into()),
            ("old", (old as usize).into()),
        ];
        cx.say("screen_box_rings_old", &args)
    } else {
        cx.say("screen_box_rings", &[("n", (total as usize).into())])
    };
    let rows = lots
        .iter()
        .map(|lot| {
            let past = |extended| lot_until(lot, extended).is_some_and(|until| day > until);
            let (mark, severity) = if lot.count < 0 {
                (Mark::Hatched, Severity::Notice)
            } else if past(true) {
                (Mark::Struck, Severity::Notice)
            } else if past(false) {
                (Mark::Hatched, Severity::Notice)
            } else if lot.count == 0 {
                (Mark::Hollow, Severity::Plain)
            } else {
                (Mark::Full, Severity::Plain)
            };
            RingBoxRow {
                photo: None,
                title: lot_name(cx, &lot.lot),
                detail: lot_detail(cx, lot),
                footnote: lot_until_words(cx, lot),
                mark: Some(mark),
                severity,
                tap: Some(show_form(
                    cx.t("action_count_rings"),
                    RingBoxForm::Count(&lot.id),
                )),
                other: (lot.count > 0).then(|| {
                    button(
                        cx.t("action_take_ring"),
                        RingBoxAction::TakeOne {
                            lot: lot.id.clone(),
                        },
                    )
                }),
            }
        })
        .collect::<Vec<_>>();
    Ok(RingBoxScreen {
        title: cx.t("screen_box_title"),
        answer,
        mark: if wrong {
            Mark::Hatched
        } else if total > 0 {
            Mark::Full
        } else {
            Mark::Hollow
        },
        severity: if wrong {
            Severity::Notice
        } else {
            Severity::Plain
        },
        empty: rows
            .is_empty()
            .then(|| line(cx.t("screen_box_empty"), Severity::Plain, None)),
        lots: rows,
        form: form_shown.and_then(|f| box_form(cx, &lots, f)),
        main: Some(show_form(cx.t("action_stock_rings"), RingBoxForm::Add)),
    })
}

/// Rings put into the box, as typed.
#[derive(Debug, Clone, Default)]
struct Stocked {
    lot: RingLot,
    count: u32,
}

/// How many rings there are.
fn count_field<'a, T: Clone + 'a>(cx: &Cx<'_>, at: fn(&mut T) -> &mut u32) -> Spec<'a, T> {
    must_whole_in(keys::COUNT, cx.t("screen_box_how_many"), at)
}

fn stocked_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, Stocked>; 6] {
    let usual = oring::material("NBR").map_or("", |m| m.code.as_str());
    [
        text_in(keys::SIZE, cx.t("screen_seal_size"), |s: &mut Stocked| {
            &mut s.lot.size
        })
        .hint(cx.t("screen_seal_size_hint"))
        .must(),
        count_field(cx, |s: &mut Stocked| &mut s.count).starts_at(1.0),
        material_field(cx, |s: &mut Stocked| &mut s.lot.material).starts(usual),
        whole_num(
            keys::HARDNESS,
            cx.t("screen_edit_hardness"),
            "Shore A",
            |s: &Stocked| Some(s.lot.hardness_shore_a),
            |s, v| s.lot.hardness_shore_a = v.unwrap_or(0),
        ),
        pack_field(cx, |s: &mut Stocked| &mut s.lot.pack),
        cured_field(cx, |s: &mut Stocked| &mut s.lot.cured),
    ]
}

/// How many rings of a lot were counted.
fn counted_field<'a>(cx: &Cx<'_>) -> [Spec<'a, u32>; 1] {
    [count_field(cx, |n: &mut u32| n).hint(cx.t("screen_box_count_hint"))]
}

fn box_form(cx: &Cx<'_>, lots: &[BoxLot], which: &str) -> Option<Form> {
    let shown = RingBoxForm::parse(which)?;
    let (title, fields, submit) = match shown {
        RingBoxForm::Count(id) => {
            let lot = lots.iter().find(|l| l.id == id)?;
            let count = u32::try_from(lot.count.max(0)).unwrap_or(u32::MAX);
            let fields = draw(&counted_field(cx), &cx.units, Some(&count));
            (lot_name(cx, &lot.lot), fields, cx.t("action_counted"))
        }
        RingBoxForm::Add => {
            let fields = draw(&stocked_fields(cx), &cx.units, None);
            let title = cx.t("screen_box_add_title");
            (title, fields, cx.t("action_stock_rings"))
        }
    };
    Some(form(&shown.to_string(), title, fields, submit))
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, action: RingBoxAction) -> Result<Outcome, BookFault> {
    Ok(match action {
        RingBoxAction::ShowForm { form } => go(Place::RingBox { form: Some(form) }),
        RingBoxAction::TakeOne { lot } => {
            let recorded = desk.book.take_rings(&lot, 1, "")?;
            done(recorded, desk.texts.get("screen_box_said_taken"))
        }
        RingBoxAction::Submit { form, values } => {
            let mut typed = Typed::new(desk.texts, &values);
            let cx = desk.cx()?;
            let (recorded, said) = if let Some(RingBoxForm::Count(lot)) = RingBoxForm::parse(&form)
            {
                let count = read_new(&counted_field(&cx), &cx.units, &mut typed);
                desk.book.box_lot(lot)?;
                if let Some(faults) = typed.faults() {
                    return Ok(faults);
                }
                let recorded = desk.book.count_rings(lot, count)?;
                (recorded, "screen_box_said_counted")
            } else {
                let new = read_new(&stocked_fields(&cx), &cx.units, &mut typed);
                if let Some(faults) = typed.faults() {
                    return Ok(faults);
                }
                let (_, recorded) = desk.book.stock_rings(new.lot, new.count)?;
                (recorded, "screen_box_said_stocked")
            };
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get(said))
            }
        }
    })
}

fn show_form(label: String, form: RingBoxForm<'_>) -> RingBoxButton {
    button(
        label,
        RingBoxAction::ShowForm {
            form: form.to_string(),
        },
    )
}

impl RingBoxScreen {
    pub(super) fn page(self) -> Page {
        if let Some(form) = self.form {
            return Draft::form_page(&self.title, &self.answer, form).done();
        }
        Draft::new(&self.title, "")
            .answer(&self.answer, Some(self.mark), self.severity)
            .lines(self.empty)
            .rows("", self.lots)
            .main(self.main)
            .done()
    }
}
