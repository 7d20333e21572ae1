//! The seals of a rig. Its one question: which ring next, and why?

use super::common::{
    FieldKind, FieldValue, Form, Line, Mark, Outcome, PhotoTile, Place, Quantity, Severity, acting,
};
use super::cx::{Cx, FieldExt, Typed, done, field, form, go, leave, line};
use super::desk::Desk;
use super::measures::exact;
use super::names::{enclosure_name, finding_fields, finding_of, past_words, seal_part};
use crate::domain::book::{BookFault, SEAL_PARTS};
use crate::domain::facts::Finding;
use crate::domain::fold::fact_of;
use crate::domain::readiness::{age_days, closed_since, needs_service, past_limit};
use crate::domain::rig::Seal;
use crate::domain::state::{RigFacts, SealFacts};

acting!(
    /// A button of the seal screens.
    SealsButton,
    /// A seal with what is due, or an entry of its history.
    SealsRow,
    SealsAction
);

/// What the seal screens accept.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum SealsAction {
    /// Opens one seal.
    OpenSeal {
        /// Seal id.
        seal: String,
    },
    /// Sends a form: 'service', 'fit'.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Shows a form.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Hides the form.
    HideForm,
    /// Records the opening of the closure this seal belongs to. Needs the second tap.
    OpenClosure,
    /// Confirms one part of the service under way.
    Tick {
        /// Part key: 'out', 'looked', 'cleaned', 'greased', 'back'.
        part: String,
        /// True to confirm.
        on: bool,
    },
    /// Back to the rig.
    OpenRig,
}

/// The seals of a rig, due first.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SealsScreen {
    /// Rig id.
    pub rig: String,
    /// Name of the rig.
    pub rig_name: String,
    /// The nearest due, with its reason.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// The seals, due first.
    pub seals: Vec<SealsRow>,
    /// What will stand here when there is none.
    pub empty: Option<Line>,
    /// The main action: service the first.
    pub main: Option<SealsButton>,
}

/// One seal.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SealScreen {
    /// Rig id.
    pub rig: String,
    /// Seal id.
    pub seal: String,
    /// Its name.
    pub name: String,
    /// State in a sentence: 'Disturbed by an opening 8 min ago'.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// Size, material, hardness, fitted when, openings since.
    pub figures: Vec<Quantity>,
    /// Parts of the service to confirm.
    pub parts: Vec<SealsRow>,
    /// The form asked for.
    pub form: Option<Form>,
    /// What was done to it, newest first.
    pub history: Vec<SealsRow>,
    /// Its photos.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The main action.
    pub main: Option<SealsButton>,
    /// The others.
    pub others: Vec<SealsButton>,
}

/// Entries of a seal's history on its screen; older ones are in the journal.
const HISTORY_SHOWN: u32 = 20;

/// How pressing a seal is, with its reason.
struct Due {
    rank: (u8, i64),
    words: String,
    mark: Mark,
    severity: Severity,
}

fn due(cx: &Cx<'_>, def: &Seal, facts: &SealFacts) -> Due {
    let made = |rank, words: String, mark, severity| Due {
        rank,
        words,
        mark,
        severity,
    };
    if let Some(past) = past_limit(def, facts, cx.now, true) {
        let words = cx.say(
            "screen_seals_replace",
            &[("why", (&past_words(cx, &past)).into())],
        );
        return made((0, 0), words, Mark::Struck, Severity::Blocking);
    }
    if needs_service(def, facts) {
        let words = match &facts.disturbed {
            Some(d) => cx.say(
                "screen_rig_seal_disturbed_why",
                &[("when", (&cx.ago(d.wall_ms)).into())],
            ),
            None => cx.t("screen_rig_seal_never_why"),
        };
        return made((1, 0), words, Mark::Hollow, Severity::Blocking);
    }
    if let Some(past) = past_limit(def, facts, cx.now, false) {
        return made(
            (2, 0),
            past_words(cx, &past),
            Mark::Hatched,
            Severity::Notice,
        );
    }
    // What is left of the nearest limit, in days or openings.
    let days = match (
        age_days(facts, cx.now),
        def.limits.soft_days.or(def.limits.hard_days),
    ) {
        (Some(age), Some(limit)) => Some(i64::from(limit) - age),
        _ => None,
    };
    let openings = def
        .limits
        .soft_openings
        .or(def.limits.hard_openings)
        .map(|limit| i64::from(limit) - i64::from(facts.openings));
    let serviced = facts
        .serviced
        .as_ref()
        .map(|s| {
            cx.say(
                "screen_seals_serviced",
                &[("who", (&cx.who_when(&s.author, s.wall_ms)).into())],
            )
        })
        .unwrap_or_default();
    let words = match (days, openings) {
        (Some(d), Some(o)) => cx.say(
            "screen_seals_left_both",
            &[
                ("days", (d.max(0) as usize).into()),
                ("openings", (o.max(0) as usize).into()),
            ],
        ),
        (Some(d), None) => cx.say(
            "screen_seals_left_days",
            &[("days", (d.max(0) as usize).into())],
        ),
        (None, Some(o)) => cx.say(
            "screen_seals_left_openings",
            &[("openings", (o.max(0) as usize).into())],
        ),
        (None, None) => serviced,
    };
    let left = days.into_iter().chain(openings).min().unwrap_or(i64::MAX);
    made((3, left), words, Mark::Full, Severity::Good)
}

/// Builds the list.
pub(super) fn show(cx: &Cx<'_>, id: &str) -> Result<SealsScreen, BookFault> {
    let rig = cx.book.rig(id)?;
    let mut seals: Vec<(Due, &Seal)> = rig
        .def
        .seals
        .iter()
        .zip(&rig.seals)
        .map(|(d, f)| (due(cx, d, f), d))
        .collect();
    seals.sort_by_key(|(due, _)| due.rank);
    let open_button = |def: &Seal, label: String| {
        button(
            label,
            SealsAction::OpenSeal {
                seal: def.id.clone(),
            },
        )
    };
    let (answer, mark, severity, main) = match seals.first() {
        None => (
            cx.t("screen_seals_none"),
            Mark::Hollow,
            Severity::Notice,
            None,
        ),
        Some((first, def)) => {
            let name = &def.name;
            let answer = cx.say(
                if first.rank.0 < 3 {
                    "screen_seals_next"
                } else {
                    "screen_seals_all_right"
                },
                &[("name", name.into())],
            );
            let label = cx.say("action_open_named", &[("name", name.into())]);
            (
                answer,
                first.mark,
                first.severity,
                Some(open_button(def, label)),
            )
        }
    };
    let rows = seals
        .into_iter()
        .map(|(due, def)| SealsRow {
            title: def.name.clone(),
            detail: due.words,
            footnote: Some(enclosure_name(&rig, &def.enclosure)),
            mark: Some(due.mark),
            severity: due.severity,
            tap: Some(open_button(def, def.name.clone())),
            other: None,
        })
        .collect::<Vec<_>>();
    let empty = rows
        .is_empty()
        .then(|| line(cx.t("screen_seals_empty"), Severity::Notice, None));
    Ok(SealsScreen {
        rig: id.to_owned(),
        rig_name: rig.def.name.clone(),
        answer,
        mark,
        severity,
        seals: rows,
        empty,
        main,
    })
}

/// Builds the screen of one seal.
pub(super) fn show_one(
    cx: &Cx<'_>,
    rig_id: &str,
    seal: &str,
    form_shown: Option<&str>,
) -> Result<SealScreen, BookFault> {
    let rig = cx.book.rig(rig_id)?;
    let (def, facts) = seal_of(&rig, seal)?;
    let due = due(cx, def, facts);
    let closed = rig
        .enclosure(&def.enclosure)
        .is_some_and(|e| closed_since(&rig, e).is_some());
    let ticked = ticked(cx, rig_id, seal);
    let parts = if closed {
        Vec::new()
    } else {
        SEAL_PARTS
            .iter()
            .map(|part| {
                let on = ticked.iter().any(|t| t == part);
                SealsRow {
                    title: seal_part(cx, part),
                    detail: String::new(),
                    footnote: None,
                    mark: Some(if on { Mark::Full } else { Mark::Hollow }),
                    severity: if on { Severity::Good } else { Severity::Plain },
                    tap: Some(button(
                        if on {
                            cx.t("action_untick")
                        } else {
                            cx.t("action_tick")
                        },
                        SealsAction::Tick {
                            part: (*part).to_owned(),
                            on: !on,
                        },
                    )),
                    other: None,
                }
            })
            .collect()
    };
    let left = SEAL_PARTS.len()
        - SEAL_PARTS
            .iter()
            .filter(|p| ticked.iter().any(|t| t == *p))
            .count();
    let enclosure = enclosure_name(&rig, &def.enclosure);
    let opening = SealsButton {
        confirm: Some(cx.say("screen_rig_open_confirm", &[("name", (&enclosure).into())])),
        ..button(
            cx.say("action_open_enclosure", &[("name", (&enclosure).into())]),
            SealsAction::OpenClosure,
        )
    };
    let to_rig = button(cx.t("action_to_rig"), SealsAction::OpenRig);
    let in_order = due.rank.0 > 1;
    let mut others = Vec::new();
    // Opening is never the first thing offered where nothing asks for it.
    let main = if closed && in_order {
        others.push(opening);
        to_rig
    } else if closed {
        others.push(to_rig);
        opening
    } else {
        others.push(to_rig);
        SealsButton {
            enabled: left == 0,
            why_not: (left > 0).then(|| cx.say("error_parts_open", &[("n", left.into())])),
            ..button(
                cx.t("action_seal_back"),
                SealsAction::Submit {
                    form: "serviced".into(),
                    values: Vec::new(),
                },
            )
        }
    };
    if !closed {
        others.push(show_form(cx.t("action_note_finding"), "service"));
        others.push(show_form(cx.t("action_fit_new"), "fit"));
    }
    if facts.fitted_ms.is_none() {
        others.push(show_form(cx.t("action_say_age"), "age"));
    }
    let form = match form_shown {
        Some("service") => Some(form(
            "service",
            cx.t("screen_seal_service_title"),
            finding_fields(cx),
            cx.t("action_note_finding"),
        )),
        Some("fit") => Some(form(
            "fit",
            cx.t("screen_seal_fit_title"),
            vec![
                field(
                    "pack",
                    cx.t("screen_seal_pack"),
                    FieldKind::Text,
                    String::new(),
                ),
                field(
                    "cured",
                    cx.t("screen_seal_cured"),
                    FieldKind::Text,
                    String::new(),
                )
                .hint(cx.t("screen_seal_cured_hint")),
            ],
            cx.t("action_fit_new"),
        )),
        Some("age") => Some(form(
            "age",
            cx.t("screen_seal_age_title"),
            vec![
                field(
                    "days",
                    cx.t("screen_seal_age_days"),
                    FieldKind::Number,
                    String::new(),
                )
                .unit("d")
                .must(),
            ],
            cx.t("action_say_age"),
        )),
        _ => None,
    };
    Ok(SealScreen {
        rig: rig_id.to_owned(),
        seal: seal.to_owned(),
        name: format!("{}, {}", def.name, enclosure_name(&rig, &def.enclosure)),
        answer: due.words,
        mark: due.mark,
        severity: due.severity,
        figures: figures(cx, def, facts),
        parts,
        form,
        history: history(cx, rig_id, seal)?,
        photos: cx.photos(rig_id, &format!("seal/{seal}"))?,
        photo_subject: format!("{rig_id}/seal/{seal}"),
        main: Some(main),
        others,
    })
}

fn figures(cx: &Cx<'_>, def: &Seal, facts: &SealFacts) -> Vec<Quantity> {
    let mut figures = Vec::new();
    if !def.size.is_empty() {
        figures.push(exact(cx.t("screen_seal_size"), def.size.clone(), ""));
    }
    if !def.material.is_empty() {
        let hardness = if def.hardness_shore_a > 0 {
            format!(
                "{}, {}\u{a0}Shore\u{a0}A",
                def.material, def.hardness_shore_a
            )
        } else {
            def.material.clone()
        };
        figures.push(exact(cx.t("screen_seal_material"), hardness, ""));
    }
    match facts.fitted_ms {
        Some(ms) => figures.push(exact(cx.t("screen_seal_fitted"), cx.local.day(ms), "")),
        None => {
            figures.push(exact(
                cx.t("screen_seal_fitted"),
                cx.t("screen_seal_not_known"),
                "",
            ));
        }
    }
    figures.push(exact(
        cx.t("screen_seal_openings"),
        facts.openings.to_string(),
        "",
    ));
    figures
}

fn history(cx: &Cx<'_>, rig: &str, seal: &str) -> Result<Vec<SealsRow>, BookFault> {
    let subject = format!("{rig}/seal/{seal}");
    let events = cx.book.journal().run("reading a seal's history", |db| {
        let all = crate::journal::Hlc(i64::MAX as u64);
        crate::journal::store::events_of_subject(db, &subject, all, HISTORY_SHOWN)
    })?;
    Ok(events
        .iter()
        .map(|e| {
            let words = super::journal::words(cx, e, &fact_of(e));
            SealsRow {
                title: words.title,
                detail: words.detail,
                footnote: Some(cx.who_when(&e.author, e.wall_ms)),
                mark: None,
                severity: Severity::Plain,
                tap: None,
                other: None,
            }
        })
        .collect())
}

/// Parts confirmed so far of a service outside a prep; a note of this device until it is recorded.
fn ticked(cx: &Cx<'_>, rig: &str, seal: &str) -> Vec<String> {
    let text = cx
        .book
        .local(&ticks_key(rig, seal))
        .ok()
        .flatten()
        .unwrap_or_default();
    text.split(' ')
        .filter(|p| !p.is_empty())
        .map(str::to_owned)
        .collect()
}

fn ticks_key(rig: &str, seal: &str) -> String {
    format!("service/{rig}/{seal}")
}

fn seal_of<'a>(rig: &'a RigFacts, seal: &str) -> Result<(&'a Seal, &'a SealFacts), BookFault> {
    rig.def
        .seals
        .iter()
        .zip(&rig.seals)
        .find(|(d, _)| d.id == seal)
        .ok_or_else(|| BookFault::NotFound {
            what: "seal",
            id: seal.to_owned(),
        })
}

/// Does an action.
pub(super) fn act(
    desk: &mut Desk,
    rig: &str,
    seal: Option<&str>,
    action: SealsAction,
) -> Result<Outcome, BookFault> {
    let place = |seal: &str, form: Option<String>| Place::Seal {
        rig: rig.to_owned(),
        seal: seal.to_owned(),
        form,
    };
    let here = seal.unwrap_or_default();
    Ok(match action {
        SealsAction::OpenSeal { seal } => go(place(&seal, None)),
        SealsAction::ShowForm { form } => go(place(here, Some(form))),
        SealsAction::HideForm => leave(),
        SealsAction::OpenRig => go(Place::Rig {
            rig: rig.to_owned(),
            form: None,
        }),
        SealsAction::OpenClosure => {
            let facts = desk.book.rig(rig)?;
            let (def, _) = seal_of(&facts, here)?;
            let recorded = desk
                .book
                .open_closure(rig, &def.enclosure, def.closure.as_deref())?;
            let name = enclosure_name(&facts, &def.enclosure);
            done(
                recorded,
                desk.texts
                    .say("screen_rig_said_opened", &[("name", (&name).into())]),
            )
        }
        SealsAction::Tick { part, on } => {
            let mut parts = ticked(&desk.cx()?, rig, here);
            parts.retain(|p| *p != part);
            if on {
                parts.push(part);
            }
            desk.book
                .set_local(&ticks_key(rig, here), &parts.join(" "))?;
            Outcome::default()
        }
        SealsAction::Submit { form, values } => {
            let mut typed = Typed::new(desk.texts, &values);
            let (recorded, text, left) = match form.as_str() {
                "serviced" => {
                    let done = ticked(&desk.cx()?, rig, here);
                    let open = SEAL_PARTS
                        .iter()
                        .filter(|p| !done.iter().any(|d| d == *p))
                        .count();
                    if open > 0 {
                        let refusal = crate::domain::book::Refusal::PartsOpen { left: open };
                        return Err(BookFault::Refused(refusal));
                    }
                    let r = desk.book.service_seal(rig, here, Finding::Clean, "")?;
                    (r, "screen_seal_said_serviced", true)
                }
                "service" => {
                    let Some(finding) = finding_of(typed.text("finding")) else {
                        typed.wrong("finding", "error_choice_wanted");
                        return Ok(typed.faults().unwrap_or_default());
                    };
                    let r = desk
                        .book
                        .service_seal(rig, here, finding, typed.text("note"))?;
                    (r, "screen_seal_said_serviced", true)
                }
                "fit" => {
                    let (pack, cured) = (typed.text("pack"), typed.text("cured"));
                    let r = desk.book.fit_seal(rig, here, pack, cured, None)?;
                    (r, "screen_seal_said_fitted", true)
                }
                _ => {
                    let days = typed.must_number("days");
                    if days.is_finite() && !(0.0..=20_000.0).contains(&days) {
                        typed.wrong("days", "error_days");
                    }
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let at = desk.book.now().wall_ms - (days * 86_400_000.0) as i64;
                    let r = desk.book.fit_seal(rig, here, "", "", Some(at))?;
                    (r, "screen_seal_said_age", true)
                }
            };
            desk.book.set_local(&ticks_key(rig, here), "")?;
            Outcome {
                leave: left,
                ..done(recorded, desk.texts.get(text))
            }
        }
    })
}

fn show_form(label: String, form: &str) -> SealsButton {
    button(
        label,
        SealsAction::ShowForm {
            form: form.to_owned(),
        },
    )
}

fn button(label: String, action: SealsAction) -> SealsButton {
    SealsButton {
        label,
        action,
        enabled: true,
        why_not: None,
        confirm: None,
    }
}
