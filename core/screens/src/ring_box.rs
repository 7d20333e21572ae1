//! The crew's box of rings. Its one question: what is there, and may it still be fitted?

use super::common::{FieldKind, FieldValue, Form, Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, FieldExt, Typed, button, done, field, form, go, line};
use super::desk::Desk;
use super::forms::RingBoxForm;
use super::names::{cured_fields, lot_detail, lot_name, lot_until_words, material_field, whole};
use super::page::{Draft, Page};
use slackwater_domain::book::BookFault;
use slackwater_domain::facts::RingLot;
use slackwater_domain::spares::{lot_until, today};
use slackwater_domain::state::BoxLot;

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

fn box_form(cx: &Cx<'_>, lots: &[BoxLot], which: &str) -> Option<Form> {
    let count = |value: String| {
        field(
            "count",
            cx.t("screen_box_how_many"),
            FieldKind::Number,
            value,
        )
        .must()
    };
    let shown = RingBoxForm::parse(which)?;
    if let RingBoxForm::Count(id) = shown {
        let lot = lots.iter().find(|l| l.id == id)?;
        return Some(form(
            &shown.to_string(),
            lot_name(cx, &lot.lot),
            vec![count(lot.count.max(0).to_string()).hint(cx.t("screen_box_count_hint"))],
            cx.t("action_counted"),
        ));
    }
    let mut fields = vec![
        field(
            "size",
            cx.t("screen_seal_size"),
            FieldKind::Text,
            String::new(),
        )
        .hint(cx.t("screen_seal_size_hint"))
        .must(),
        count("1".into()),
        material_field(cx, "NBR"),
        field(
            "hardness",
            cx.t("screen_edit_hardness"),
            FieldKind::Number,
            String::new(),
        )
        .unit("Shore A"),
        field(
            "pack",
            cx.t("screen_seal_pack"),
            FieldKind::Text,
            String::new(),
        ),
    ];
    fields.extend(cured_fields(cx));
    Some(form(
        &shown.to_string(),
        cx.t("screen_box_add_title"),
        fields,
        cx.t("action_stock_rings"),
    ))
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
            let count = whole(&mut typed, "count");
            if count.is_none() {
                typed.wrong("count", "error_whole_number");
            }
            let count = count.unwrap_or(0);
            let (recorded, said) = if let Some(RingBoxForm::Count(lot)) = RingBoxForm::parse(&form)
            {
                desk.book.box_lot(lot)?;
                if let Some(faults) = typed.faults() {
                    return Ok(faults);
                }
                let recorded = desk.book.count_rings(lot, count)?;
                (recorded, "screen_box_said_counted")
            } else {
                let lot = RingLot {
                    size: typed.must_text("size").to_owned(),
                    material: typed.text("material").to_owned(),
                    hardness_shore_a: whole(&mut typed, "hardness").unwrap_or(0),
                    pack: typed.text("pack").to_owned(),
                    cured: typed.text("cured").to_owned(),
                };
                if let Some(faults) = typed.faults() {
                    return Ok(faults);
                }
                let (_, recorded) = desk.book.stock_rings(lot, count)?;
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
