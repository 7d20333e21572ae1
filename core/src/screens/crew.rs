//! The crew and its choices: members, who holds the phone, units, limits.

use super::common::{FieldKind, FieldValue, Form, Line, Mark, Outcome, Place, Severity, acting};
use super::cx::{Cx, FieldExt, Typed, done, field, form, go, leave, line, said};
use super::desk::Desk;
use super::times::span;
use crate::domain::book::BookFault;
use crate::domain::facts::Role;
use crate::domain::state::RECHECK_LIMIT_MS;

acting!(
    /// A button of the crew screen.
    CrewButton,
    /// A member, or a choice.
    CrewRow,
    CrewAction
);

/// What the crew screen accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum CrewAction {
    /// The phone is now in this member's hands.
    HoldPhone {
        /// Member id.
        member: String,
    },
    /// Shows a form: 'member', 'limits', 'units'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Hides the form.
    HideForm,
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// The crew screen.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CrewScreen {
    /// Who holds the phone now.
    pub answer: String,
    /// The members.
    pub members: Vec<CrewRow>,
    /// What will stand here when there is none.
    pub empty: Option<Line>,
    /// Limits and units, as rows.
    pub choices: Vec<CrewRow>,
    /// The form asked for.
    pub form: Option<Form>,
    /// The main action.
    pub main: Option<CrewButton>,
    /// Program version and device, for a report.
    pub about: Vec<Line>,
}

/// A choice's name, as people read it.
pub(super) fn choice_name(cx: &Cx<'_>, choice: &str) -> String {
    match choice {
        "recheck_limit_min" => cx.t("screen_crew_recheck_limit"),
        "unit_pressure" => cx.t("screen_crew_unit_pressure"),
        "unit_temperature" => cx.t("screen_crew_unit_temperature"),
        "unit_depth" => cx.t("screen_crew_unit_depth"),
        "unit_water" => cx.t("screen_crew_unit_water"),
        other => other.to_owned(),
    }
}

fn role_name(cx: &Cx<'_>, role: Role) -> String {
    match role {
        Role::Dp => cx.t("role_dp"),
        Role::Assistant => cx.t("role_assistant"),
        Role::Other => cx.t("role_other"),
    }
}

fn recheck_limit_ms(cx: &Cx<'_>) -> Result<i64, BookFault> {
    Ok(cx
        .book
        .choices()?
        .get("recheck_limit_min")
        .and_then(|v| v.parse::<i64>().ok())
        .map_or(RECHECK_LIMIT_MS, |min| min * 60_000))
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, form_shown: Option<&str>) -> Result<CrewScreen, BookFault> {
    let me = cx.book.me();
    let members = cx.book.members()?;
    let rows = members
        .iter()
        .map(|m| {
            let holds = m.id == me;
            CrewRow {
                title: m.name.clone(),
                detail: role_name(cx, m.role),
                footnote: None,
                mark: Some(if holds { Mark::Full } else { Mark::Hollow }),
                severity: if holds {
                    Severity::Good
                } else {
                    Severity::Plain
                },
                tap: (!holds).then(|| {
                    button(
                        cx.say("action_hold_phone", &[("name", (&m.name).into())]),
                        CrewAction::HoldPhone {
                            member: m.id.clone(),
                        },
                    )
                }),
                other: None,
            }
        })
        .collect::<Vec<_>>();
    let choice = |title: String, detail: String, form: &str| CrewRow {
        title,
        detail,
        footnote: None,
        mark: None,
        severity: Severity::Plain,
        tap: Some(show_form(cx.t("action_change"), form)),
        other: None,
    };
    let units = [
        cx.units.pressure.symbol(),
        cx.units.temperature_symbol(),
        cx.units.depth_symbol(),
        cx.units.water_symbol(),
    ]
    .join(", ");
    let choices = vec![
        choice(
            cx.t("screen_crew_recheck_limit"),
            span(recheck_limit_ms(cx)?),
            "limits",
        ),
        choice(cx.t("screen_crew_units"), units, "units"),
    ];
    let answer = if me.is_empty() {
        cx.t("screen_rigs_nobody")
    } else {
        cx.say("screen_rigs_holder", &[("name", (&cx.name(me)).into())])
    };
    let device = cx.book.journal().device().to_string();
    let about = vec![
        line(
            cx.say(
                "screen_crew_version",
                &[("version", env!("CARGO_PKG_VERSION").into())],
            ),
            Severity::Plain,
            None,
        ),
        line(
            cx.say("screen_crew_device", &[("device", device[..8].into())]),
            Severity::Plain,
            None,
        ),
    ];
    Ok(CrewScreen {
        answer,
        empty: rows
            .is_empty()
            .then(|| line(cx.t("screen_crew_empty"), Severity::Plain, None)),
        members: rows,
        choices,
        form: form_shown.and_then(|f| crew_form(cx, f)),
        main: Some(show_form(cx.t("action_add_member"), "member")),
        about,
    })
}

fn crew_form(cx: &Cx<'_>, which: &str) -> Option<Form> {
    let choice = |key: &str, label: String, now: &str, all: &[&str]| {
        field(key, label, FieldKind::Choice, now.to_owned())
            .choices(all.iter().map(|u| (*u, (*u).to_owned())).collect())
            .must()
    };
    Some(match which {
        "member" => form(
            "member",
            cx.t("screen_crew_add_title"),
            vec![
                field(
                    "name",
                    cx.t("screen_crew_name"),
                    FieldKind::Text,
                    String::new(),
                )
                .must(),
                field(
                    "role",
                    cx.t("screen_crew_role"),
                    FieldKind::Choice,
                    "assistant".into(),
                )
                .choices(vec![
                    ("assistant", cx.t("role_assistant")),
                    ("dp", cx.t("role_dp")),
                    ("other", cx.t("role_other")),
                ])
                .must(),
            ],
            cx.t("action_add_member"),
        ),
        "limits" => form(
            "limits",
            cx.t("screen_crew_recheck_limit"),
            vec![
                field(
                    "recheck_limit_min",
                    cx.t("screen_crew_recheck_limit_label"),
                    FieldKind::Number,
                    (recheck_limit_ms(cx).unwrap_or(RECHECK_LIMIT_MS) / 60_000).to_string(),
                )
                .unit("min")
                .hint(cx.t("screen_crew_recheck_limit_hint"))
                .must(),
            ],
            cx.t("action_change"),
        ),
        "units" => form(
            "units",
            cx.t("screen_crew_units"),
            vec![
                choice(
                    "unit_pressure",
                    cx.t("screen_crew_unit_pressure"),
                    cx.units.pressure.symbol(),
                    &["mbar", "kPa", "inHg", "psi", "mmHg"],
                ),
                field(
                    "unit_temperature",
                    cx.t("screen_crew_unit_temperature"),
                    FieldKind::Choice,
                    if cx.units.fahrenheit { "F" } else { "C" }.to_owned(),
                )
                .choices(vec![("C", "°C".to_owned()), ("F", "°F".to_owned())])
                .must(),
                choice(
                    "unit_depth",
                    cx.t("screen_crew_unit_depth"),
                    cx.units.depth_symbol(),
                    &["m", "ft"],
                ),
                choice(
                    "unit_water",
                    cx.t("screen_crew_unit_water"),
                    cx.units.water_symbol(),
                    &["mL", "fl oz"],
                ),
            ],
            cx.t("action_change"),
        ),
        _ => return None,
    })
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, action: CrewAction) -> Result<Outcome, BookFault> {
    Ok(match action {
        CrewAction::HoldPhone { member } => {
            desk.book.hold_phone(&member)?;
            let name = desk.cx()?.name(&member);
            said(
                desk.texts
                    .say("screen_rigs_holder", &[("name", (&name).into())]),
            )
        }
        CrewAction::ShowForm { form } => go(Place::Crew { form: Some(form) }),
        CrewAction::HideForm => leave(),
        CrewAction::Submit { form, values } => {
            let mut typed = Typed::new(desk.texts, &values);
            match form.as_str() {
                "member" => {
                    let name = typed.must_text("name").to_owned();
                    let role = match typed.text("role") {
                        "dp" => Role::Dp,
                        "assistant" => Role::Assistant,
                        _ => Role::Other,
                    };
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let id = desk.book.add_member(&name, role)?;
                    if desk.book.me().is_empty() {
                        desk.book.hold_phone(&id)?;
                    }
                    Outcome {
                        leave: true,
                        ..said(
                            desk.texts
                                .say("screen_crew_said_added", &[("name", (&name).into())]),
                        )
                    }
                }
                "limits" => {
                    let minutes = typed.must_number("recheck_limit_min");
                    if minutes.is_finite() && !(5.0..=1_440.0).contains(&minutes) {
                        typed.wrong("recheck_limit_min", "error_recheck_limit");
                    }
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let text = format!("{minutes:.0}");
                    let recorded = desk.book.choose(&[("recheck_limit_min", &text)])?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_changed"))
                    }
                }
                _ => {
                    let chosen: Vec<(&str, &str)> = [
                        "unit_pressure",
                        "unit_temperature",
                        "unit_depth",
                        "unit_water",
                    ]
                    .into_iter()
                    .map(|k| (k, typed.text(k)))
                    .filter(|(_, v)| !v.is_empty())
                    .collect();
                    let recorded = desk.book.choose(&chosen)?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_changed"))
                    }
                }
            }
        }
    })
}

fn show_form(label: String, form: &str) -> CrewButton {
    button(
        label,
        CrewAction::ShowForm {
            form: form.to_owned(),
        },
    )
}

fn button(label: String, action: CrewAction) -> CrewButton {
    CrewButton {
        label,
        action,
        enabled: true,
        why_not: None,
        confirm: None,
    }
}
