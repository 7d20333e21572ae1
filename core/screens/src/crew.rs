//! The crew and its choices: members, who holds the phone, units, limits.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use super::asked::{asked_field, step_is_so, wrong};
use super::common::{Document, FieldKind, FieldValue, Form, Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, FieldExt, Typed, button, done, fault, field, form, go, lead, line, said};
use super::desk::Desk;
use super::forms::{CrewForm, Note};
use super::page::{Draft, Page};
use super::phones;
use super::procedures;
use super::texts::{Arg, Texts};
use super::times::span;
use slackwater_domain::admission::code;
use slackwater_domain::backup::{self, BackupFault};
use slackwater_domain::book::{Book, BookFault};
use slackwater_domain::crew::{
    ALONE, SECOND_LOOK_MIN, SIGNED_WITH, SignedWith, name_key, names_nobody,
};
use slackwater_domain::facts::{Gauge, Role};
use slackwater_domain::photos::Doing;
use slackwater_domain::state::{self, RECHECK_LIMIT_MS};
use slackwater_physics::gas::ATM;
use slackwater_physics::hold::GaugeKind;
use slackwater_physics::hold::gauge::compare;
use slackwater_physics::units::PressureUnit;

pub use super::common::{Button as CrewButton, Row as CrewRow};

/// What the crew screen accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum CrewAction {
    /// The phone is now in this member's hands.
    HoldPhone {
        /// Member id.
        member: String,
    },
    /// Shows a form: 'member', 'member/MEMBER', 'signing', 'code', 'limits', 'units',
    /// 'language', 'device/KEY'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Writes everything to one file and offers it.
    KeepEverything,
    /// Asks for a file of everything, to be brought in.
    BringEverything,
    /// Opens the journal of one phone.
    OpenEntries {
        /// Its key, hex.
        phone: String,
    },
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// The crew screen.
#[derive(Debug, Clone, PartialEq)]
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
    /// The others: gauges.
    pub others: Vec<CrewButton>,
    /// Program version and device, for a report; this phone's code.
    pub about: Vec<Line>,
    /// What is to be known before the form is answered: of a phone that this crew doesn't know, and
    /// what would change if it were of this crew.
    pub notices: Vec<Line>,
}

pub(super) fn role_name(cx: &Cx<'_>, role: Role) -> String {
    match role {
        Role::Dp => cx.t("role_dp"),
        Role::Assistant => cx.t("role_assistant"),
        Role::Other => cx.t("role_other"),
    }
}

fn recheck_limit_ms(cx: &Cx<'_>) -> Result<i64, BookFault> {
    let choices = cx.book.choices()?;
    Ok(state::recheck_limit_ms(
        choices.get(state::RECHECK_LIMIT).map(String::as_str),
    ))
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, form_shown: Option<&str>) -> Result<CrewScreen, BookFault> {
    let me = cx.book.me();
    let members = cx.book.members()?;
    let all = cx.book.all_members()?;
    let mut of_name: HashMap<String, usize> = HashMap::new();
    for m in members.iter() {
        *of_name.entry(name_key(&m.given)).or_default() += 1;
    }
    let alike = |given: &str| of_name.get(&name_key(given)).is_some_and(|n| *n > 1);
    let change = |id: &str| show_form(cx.t("action_change"), CrewForm::Member(Some(id)));
    let mut rows = members
        .iter()
        .map(|m| {
            let holds = m.id == me;
            CrewRow {
                photo: None,
                title: m.name.clone(),
                detail: role_name(cx, m.role),
                footnote: alike(&m.given).then(|| cx.t("screen_crew_alike")),
                mark: Some(if holds { Mark::Full } else { Mark::Hollow }),
                severity: match (holds, alike(&m.given)) {
                    (_, true) => Severity::Notice,
                    (true, _) => Severity::Good,
                    _ => Severity::Plain,
                },
                tap: Some(if holds {
                    change(&m.id)
                } else {
                    button(
                        cx.say("action_hold_phone", &[("name", (&m.name).into())]),
                        CrewAction::HoldPhone {
                            member: m.id.clone(),
                        },
                    )
                }),
                other: (!holds).then(|| change(&m.id)),
            }
        })
        .collect::<Vec<_>>();
    let empty = rows.is_empty();
    // Who left, and who can sign for nothing under the name they came with.
    for m in all.iter().filter(|m| m.joined_to.is_none()) {
        let nobody = names_nobody(&m.given);
        if m.retired || nobody {
            let key = if nobody {
                "screen_crew_no_name"
            } else {
                "screen_crew_left"
            };
            rows.push(CrewRow {
                title: if name_key(&m.given).is_empty() {
                    cx.t("common_somebody")
                } else {
                    m.name.clone()
                },
                detail: cx.t(key),
                footnote: None,
                mark: Some(Mark::Struck),
                severity: Severity::Plain,
                tap: Some(change(&m.id)),
                other: None,
                photo: None,
            });
        }
    }
    let choice = |title: String, detail: String, form: CrewForm<'_>| CrewRow {
        title,
        detail,
        footnote: None,
        mark: None,
        severity: Severity::Plain,
        tap: Some(show_form(cx.t("action_change"), form)),
        other: None,
        photo: None,
    };
    let units = [
        cx.units.pressure.symbol(),
        cx.units.temperature_symbol(),
        cx.units.depth_symbol(),
        cx.units.water_symbol(),
        cx.units.weight_symbol(),
    ]
    .join(", ");
    let mut choices = vec![
        choice(
            cx.t("screen_crew_recheck_limit"),
            span(recheck_limit_ms(cx)?),
            CrewForm::Limits,
        ),
        choice(cx.t("screen_crew_units"), units, CrewForm::Units),
        choice(
            cx.t("screen_crew_language"),
            cx.t("common_language"),
            CrewForm::Language,
        ),
        choice(
            cx.t("screen_crew_errors"),
            errors_words(cx)?,
            CrewForm::Errors,
        ),
    ];
    choices.extend(signing_rows(cx, choice)?);
    for (id, g) in cx.book.gauges()? {
        choices.push(CrewRow {
            footnote: comparison(cx, &id, &g)?,
            ..choice(
                g.name.clone(),
                gauge_words(cx, &g),
                CrewForm::Gauge(Some(&id)),
            )
        });
    }
    choices.extend(phones::rows(cx)?);
    let others = vec![
        show_form(cx.t("action_add_gauge"), CrewForm::Gauge(None)),
        show_form(cx.t("action_compare_gauges"), CrewForm::Compare),
        button(cx.t("action_keep_everything"), CrewAction::KeepEverything),
        button(cx.t("action_bring_everything"), CrewAction::BringEverything),
        lead(cx.t("screen_about_title"), Place::About { licence: None }),
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
        line(
            cx.say(
                "screen_crew_code_here",
                &[("code", (&code(&cx.book.journal().device())).into())],
            ),
            Severity::Plain,
            None,
        ),
    ];
    Ok(CrewScreen {
        answer,
        empty: empty.then(|| line(cx.t("screen_crew_empty"), Severity::Plain, None)),
        members: rows,
        choices,
        form: form_shown.and_then(|f| crew_form(cx, f)),
        notices: match form_shown {
            Some(form) if is_of_phones(form) => phones::told(cx, form)?,
            Some(form) if is_of_a_procedure(form) => procedures::told(cx, form)?,
            _ => Vec::new(),
        },
        main: Some(show_form(cx.t("action_add_member"), CrewForm::Member(None))),
        others,
        about,
    })
}

fn is_of_phones(form: &str) -> bool {
    form.split('/').next() == Some(phones::FORM)
}

fn is_of_a_procedure(form: &str) -> bool {
    form.split('/').next() == Some(procedures::FORM)
}

/// What the crew asks of a second signature: as a choice, and what belongs to it.
fn signing_rows(
    cx: &Cx<'_>,
    choice: impl Fn(String, String, CrewForm<'static>) -> CrewRow,
) -> Result<Vec<CrewRow>, BookFault> {
    let choices = cx.book.choices()?;
    let chosen = |key: &str| choices.get(key).map(String::as_str).unwrap_or_default();
    let (alone, with) = (chosen(ALONE) == "yes", SignedWith::of(chosen(SIGNED_WITH)));
    let words = if alone {
        cx.say(
            "screen_crew_signing_alone",
            &[("n", (SECOND_LOOK_MIN as usize).into())],
        )
    } else {
        cx.t(super::names::signed_with_key(with))
    };
    let mut rows = vec![choice(
        cx.t("screen_crew_signing"),
        words,
        CrewForm::Signing,
    )];
    let me = cx.book.me();
    if with == SignedWith::Code && !me.is_empty() {
        let set = cx.book.code_of(me)?.is_some();
        rows.push(choice(
            cx.say("screen_crew_code", &[("name", (&cx.name(me)).into())]),
            cx.t(if set {
                "screen_crew_code_set"
            } else {
                "screen_crew_code_none"
            }),
            CrewForm::Code,
        ));
    }
    if with == SignedWith::Phone && !me.is_empty() {
        let words = match cx.book.phone_owner()? {
            Some(owner) => cx.say(
                "screen_crew_phone_of",
                &[("name", (&cx.name(&owner)).into())],
            ),
            None => cx.t("screen_crew_phone_nobodys"),
        };
        rows.push(choice(cx.t("screen_crew_phone"), words, CrewForm::Phone));
    }
    Ok(rows)
}

fn signing_form(cx: &Cx<'_>) -> Result<Form, BookFault> {
    let choices = cx.book.choices()?;
    let chosen = |key: &str| choices.get(key).cloned().unwrap_or_default();
    let now = if chosen(ALONE) == "yes" {
        "alone".to_owned()
    } else {
        match SignedWith::of(&chosen(SIGNED_WITH)).word() {
            "" => "name".to_owned(),
            word => word.to_owned(),
        }
    };
    let minutes: &[(&str, Arg<'_>)] = &[("n", (SECOND_LOOK_MIN as usize).into())];
    Ok(form(
        "signing",
        cx.t("screen_crew_signing"),
        vec![
            field(
                "with",
                cx.t("screen_crew_signing_q"),
                FieldKind::Choice,
                now,
            )
            .choices(vec![
                ("name", cx.t("screen_crew_signing_name")),
                ("code", cx.t("screen_crew_signing_code")),
                ("phone", cx.t("screen_crew_signing_phone")),
                ("alone", cx.say("screen_crew_signing_alone", minutes)),
            ])
            .hint(cx.t("screen_crew_signing_hint"))
            .must(),
        ],
        cx.t("action_change"),
    ))
}

/// Changes a member: name, role, who they are as well, whether they left.
fn member_form(cx: &Cx<'_>, key: &str, id: &str) -> Result<Option<Form>, BookFault> {
    let all = cx.book.all_members()?;
    let Some(m) = all.iter().find(|m| m.id == id) else {
        return Ok(None);
    };
    let mut others = vec![("", cx.t("screen_crew_same_none"))];
    let there = cx.book.members()?;
    others.extend(
        there
            .iter()
            .filter(|o| o.id != id)
            .map(|o| (o.id.as_str(), o.name.clone())),
    );
    let mut fields = member_fields(cx, &m.given, m.role);
    if others.len() > 1 {
        fields.push(
            field(
                "same",
                cx.t("screen_crew_same"),
                FieldKind::Choice,
                String::new(),
            )
            .choices(others)
            .hint(cx.t("screen_crew_same_hint")),
        );
    }
    fields.push(
        field(
            "left",
            cx.t("screen_crew_left_q"),
            FieldKind::Switch,
            if m.retired { "yes" } else { "no" }.into(),
        )
        .hint(cx.t("screen_crew_left_hint")),
    );
    Ok(Some(form(key, m.name.clone(), fields, cx.t("action_keep"))))
}

pub(super) fn member_fields(cx: &Cx<'_>, name: &str, role: Role) -> Vec<super::common::Field> {
    let role = match role {
        Role::Dp => "dp",
        Role::Assistant => "assistant",
        Role::Other => "other",
    };
    vec![
        field(
            "name",
            cx.t("screen_crew_name"),
            FieldKind::Text,
            name.to_owned(),
        )
        .must(),
        field(
            "role",
            cx.t("screen_crew_role"),
            FieldKind::Choice,
            role.into(),
        )
        .choices(vec![
            ("assistant", cx.t("role_assistant")),
            ("dp", cx.t("role_dp")),
            ("other", cx.t("role_other")),
        ])
        .must(),
    ]
}

fn code_form(cx: &Cx<'_>) -> Result<Form, BookFault> {
    let text =
        |key: &str, label: &str| field(key, cx.t(label), FieldKind::Text, String::new()).must();
    let mut fields = Vec::new();
    if cx.book.code_of(cx.book.me())?.is_some() {
        fields.push(text("old", "screen_crew_code_old"));
    }
    fields.push(text("code", "screen_crew_code_new").hint(cx.t("screen_crew_code_hint")));
    Ok(form(
        "code",
        cx.say(
            "screen_crew_code",
            &[("name", (&cx.name(cx.book.me())).into())],
        ),
        fields,
        cx.t("action_keep"),
    ))
}

/// 'mbar below ambient, in steps of 0.1; checked 2026-05'.
pub(super) fn gauge_words(cx: &Cx<'_>, g: &Gauge) -> String {
    let unit = PressureUnit::from_symbol(&g.unit).unwrap_or(PressureUnit::Mbar);
    let kind = if g.absolute {
        cx.t("screen_hold_kind_absolute")
    } else {
        cx.t("screen_hold_kind_below")
    };
    let step = format!(
        "{}\u{a0}{}",
        cx.units.plain(unit.from_pa(g.resolution_pa), 2),
        unit.symbol()
    );
    let mut words = cx.say(
        "screen_crew_gauge_words",
        &[("kind", (&kind).into()), ("step", (&step).into())],
    );
    if !g.checked.is_empty() {
        words = format!(
            "{words}; {}",
            cx.say(
                "screen_crew_gauge_checked",
                &[("when", (&g.checked).into())]
            )
        );
    }
    words
}

/// Choices that hold a measured error of a thermometer, K (1 sd): key, label.
const ERROR_SOURCES: [(&str, &str); 3] = [
    ("sd_inside_k", "screen_crew_error_inside"),
    ("sd_surface_k", "screen_crew_error_surface"),
    ("sd_air_k", "screen_crew_error_air"),
];
/// The same of the barometer, Pa (1 sd).
const ERROR_BAROMETER: &str = "sd_barometer_pa";

/// A difference of temperatures in the crew's degrees, from K.
fn kelvins(units: super::measures::Units, k: f64) -> f64 {
    if units.fahrenheit { k * 1.8 } else { k }
}

fn measured_error(cx: &Cx<'_>, key: &str) -> Option<f64> {
    let choices = cx.book.choices().ok()?;
    choices.get(key)?.parse().ok()
}

/// How many errors the crew has measured.
fn errors_words(cx: &Cx<'_>) -> Result<String, BookFault> {
    let choices = cx.book.choices()?;
    let keys = ERROR_SOURCES.iter().map(|(key, _)| *key);
    let n = keys
        .chain([ERROR_BAROMETER])
        .filter(|key| choices.get(*key).is_some_and(|v| !v.is_empty()))
        .count();
    Ok(cx.say("screen_crew_errors_words", &[("n", n.into())]))
}

/// How a gauge agreed with another, if the two were read together.
fn comparison(cx: &Cx<'_>, id: &str, g: &Gauge) -> Result<Option<String>, BookFault> {
    let Some((other, this_pa, other_pa, ms)) = cx.book.comparison(id)? else {
        return Ok(None);
    };
    let all = cx.book.gauges()?;
    let Some((_, o)) = all.iter().find(|(g, _)| *g == other) else {
        return Ok(None);
    };
    // Both were entered as vacuum, so the ambient pressure of the moment falls out.
    let record = |g: &Gauge| slackwater_physics::hold::gauge::Gauge {
        kind: GaugeKind::BelowAmbient,
        unit: PressureUnit::from_symbol(&g.unit).unwrap_or(PressureUnit::Mbar),
        resolution_pa: g.resolution_pa,
        // Half of the maker's limit as a standard uncertainty, common practice.
        accuracy_pa: g.accuracy_pa.unwrap_or(0.0) / 2.0,
    };
    let compared = compare(&record(g), &record(o), &[(this_pa, other_pa, ATM)])?;
    let difference = compared.difference_pa;
    let key = if compared.agree {
        "screen_crew_gauges_agree"
    } else {
        "screen_crew_gauges_differ"
    };
    Ok(Some(cx.say(
        key,
        &[
            ("other", (&o.name).into()),
            (
                "amount",
                (&cx.units.pressure(difference.abs(), 10.0)).into(),
            ),
            ("when", (&cx.ago(ms)).into()),
        ],
    )))
}

fn gauge_form(cx: &Cx<'_>, key: &str, gauge: Option<&Gauge>) -> Form {
    let unit = gauge
        .and_then(|g| PressureUnit::from_symbol(&g.unit))
        .unwrap_or(cx.units.pressure);
    let mut fields = vec![
        field(
            "name",
            cx.t("screen_crew_gauge_name"),
            FieldKind::Text,
            gauge.map(|g| g.name.clone()).unwrap_or_default(),
        )
        .must(),
    ];
    fields.extend(super::names::gauge_fields(
        cx,
        unit,
        gauge.is_some_and(|g| g.absolute),
        gauge.map_or_else(|| unit.to_pa(1.0), |g| g.resolution_pa),
    ));
    fields.push(
        field(
            "accuracy",
            cx.t("screen_crew_gauge_accuracy"),
            FieldKind::Number,
            gauge
                .and_then(|g| g.accuracy_pa)
                .map(|a| cx.units.plain(unit.from_pa(a), 2))
                .unwrap_or_default(),
        )
        .hint(cx.t("screen_crew_gauge_accuracy_hint")),
    );
    fields.push(field(
        "checked",
        cx.t("screen_crew_gauge_checked_label"),
        FieldKind::Text,
        gauge.map(|g| g.checked.clone()).unwrap_or_default(),
    ));
    fields.extend(asked_field(cx, key));
    if gauge.is_some() {
        fields.push(field(
            "retired",
            cx.t("screen_crew_gauge_retired"),
            FieldKind::Switch,
            "no".into(),
        ));
    }
    let submit = if gauge.is_some() {
        cx.t("action_keep")
    } else {
        cx.t("action_add_gauge")
    };
    form(key, cx.t("screen_crew_gauge"), fields, submit)
}

/// The steps that a gauge shows: its unit, and Pa.
pub(super) fn step_of(gauge: &Gauge) -> (PressureUnit, f64) {
    let unit = PressureUnit::from_symbol(&gauge.unit).unwrap_or(PressureUnit::Mbar);
    (unit, gauge.resolution_pa)
}

/// A gauge as it was typed; what a form doesn't ask is left unsaid.
pub(super) fn typed_gauge(typed: &mut Typed<'_>) -> Gauge {
    let name = typed.must_text("name").to_owned();
    let (unit, absolute, resolution_pa) = super::names::typed_gauge(typed);
    let accuracy_pa = typed.may_number("accuracy").map(|a| unit.to_pa(a));
    Gauge {
        name,
        absolute,
        unit: unit.symbol().to_owned(),
        resolution_pa,
        accuracy_pa,
        checked: typed.text("checked").to_owned(),
        retired: typed.on("retired"),
    }
}

fn compare_form(cx: &Cx<'_>) -> Option<Form> {
    let all = cx.book.gauges().ok()?;
    let choices = || {
        all.iter()
            .map(|(id, g)| (id.as_str(), g.name.clone()))
            .collect()
    };
    let preset = |n: usize| all.get(n).map(|(id, _)| id.clone()).unwrap_or_default();
    let reads = |key: &str, label: &str| {
        field(key, cx.t(label), FieldKind::Number, String::new())
            .unit(cx.units.pressure.symbol())
            .must()
    };
    Some(form(
        "compare",
        cx.t("screen_crew_compare_title"),
        vec![
            field(
                "this",
                cx.t("screen_crew_compare_this"),
                FieldKind::Choice,
                preset(0),
            )
            .choices(choices())
            .must(),
            reads("this_reads", "screen_crew_compare_reads"),
            field(
                "that",
                cx.t("screen_crew_compare_that"),
                FieldKind::Choice,
                preset(1),
            )
            .choices(choices())
            .must(),
            reads("that_reads", "screen_crew_compare_reads").hint(cx.t("screen_crew_compare_hint")),
        ],
        cx.t("action_compare_gauges"),
    ))
}

fn crew_form(cx: &Cx<'_>, which: &str) -> Option<Form> {
    if is_of_phones(which) {
        return phones::ask(cx, which).ok()?;
    }
    if is_of_a_procedure(which) {
        return procedures::ask(cx, which);
    }
    let shown = CrewForm::parse(which)?;
    let key = shown.to_string();
    let choice = |key: &str, label: String, now: &str, all: &[&str]| {
        field(key, label, FieldKind::Choice, now.to_owned())
            .choices(all.iter().map(|u| (*u, (*u).to_owned())).collect())
            .must()
    };
    Some(match shown {
        CrewForm::Gauge(Some(id)) => {
            let all = cx.book.gauges().ok()?;
            let (_, gauge) = all.iter().find(|(g, _)| g == id)?;
            gauge_form(cx, &key, Some(gauge))
        }
        CrewForm::Gauge(None) => gauge_form(cx, &key, None),
        CrewForm::Member(Some(id)) => return member_form(cx, &key, id).ok()?,
        CrewForm::Compare => return compare_form(cx),
        CrewForm::Member(None) => form(
            &key,
            cx.t("screen_crew_add_title"),
            member_fields(cx, "", Role::Assistant),
            cx.t("action_add_member"),
        ),
        CrewForm::Signing => return signing_form(cx).ok(),
        CrewForm::Code => return code_form(cx).ok(),
        CrewForm::Phone => form(
            &key,
            cx.say(
                "screen_crew_phone_title",
                &[("name", (&cx.name(cx.book.me())).into())],
            ),
            Vec::new(),
            cx.t("action_own_phone"),
        ),
        CrewForm::Limits => form(
            &key,
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
        CrewForm::Errors => {
            let mut fields: Vec<_> = ERROR_SOURCES
                .iter()
                .map(|(key, label)| {
                    let now =
                        measured_error(cx, key).map(|k| cx.units.plain(kelvins(cx.units, k), 3));
                    field(key, cx.t(label), FieldKind::Number, now.unwrap_or_default())
                        .unit(cx.units.temperature_symbol())
                })
                .collect();
            let now = measured_error(cx, ERROR_BAROMETER)
                .map(|pa| cx.units.plain(cx.units.pressure.from_pa(pa), 3));
            fields.push(
                field(
                    ERROR_BAROMETER,
                    cx.t("screen_crew_error_barometer"),
                    FieldKind::Number,
                    now.unwrap_or_default(),
                )
                .unit(cx.units.pressure.symbol())
                .hint(cx.t("screen_crew_errors_hint")),
            );
            form(
                "errors",
                cx.t("screen_crew_errors"),
                fields,
                cx.t("action_change"),
            )
        }
        CrewForm::Language => {
            let mut languages = vec![("", cx.t("screen_crew_language_phone"))];
            languages.extend(Texts::languages());
            form(
                "language",
                cx.t("screen_crew_language"),
                vec![
                    field(
                        "language",
                        cx.t("screen_crew_language"),
                        FieldKind::Choice,
                        cx.book
                            .local(Note::Language)
                            .ok()
                            .flatten()
                            .unwrap_or_default(),
                    )
                    .choices(languages)
                    .hint(cx.t("screen_crew_language_hint")),
                ],
                cx.t("action_change"),
            )
        }
        CrewForm::Units => form(
            &key,
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
                choice(
                    "unit_weight",
                    cx.t("screen_crew_unit_weight"),
                    cx.units.weight_symbol(),
                    &["g", "oz"],
                ),
            ],
            cx.t("action_change"),
        ),
    })
}

/// Leads to the crew's page; where nobody is in the crew, to the form of the first.
pub(super) fn go_to_crew(desk: &Desk) -> Result<Outcome, BookFault> {
    let form = desk.book.members()?.is_empty().then(|| "member".into());
    Ok(go(Place::Crew { form }))
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
        CrewAction::KeepEverything => keep_everything(desk)?,
        CrewAction::BringEverything => ask_for_file(),
        CrewAction::OpenEntries { phone } => go(Place::Journal {
            rig: Some(format!("{}{phone}", phones::ENTRIES)),
            before: None,
        }),
        CrewAction::Submit { form, values } => {
            let mut typed = Typed::new(desk.texts, &values);
            if is_of_phones(&form) {
                return phones::answered(desk, &form, typed);
            }
            if is_of_a_procedure(&form) {
                return procedures::answered(desk, &form, typed);
            }
            match CrewForm::parse(&form) {
                Some(CrewForm::Member(None)) => {
                    let name = typed.must_text("name").to_owned();
                    let role = role_of(typed.text("role"));
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let says_alone = |book: &Book| {
                        let choices = book.choices()?;
                        let alone = choices.get(ALONE).is_some_and(|v| v == "yes");
                        Ok::<_, BookFault>(alone && book.members()?.len() < 2)
                    };
                    let was_alone = says_alone(&desk.book)?;
                    let id = desk.book.add_member(&name, role)?;
                    if desk.book.me().is_empty() {
                        desk.book.hold_phone(&id)?;
                    }
                    let key = if was_alone && !says_alone(&desk.book)? {
                        "screen_crew_said_added_second"
                    } else {
                        "screen_crew_said_added"
                    };
                    Outcome {
                        leave: true,
                        ..said(desk.texts.say(key, &[("name", (&name).into())]))
                    }
                }
                Some(CrewForm::Member(Some(id))) => {
                    let name = typed.must_text("name").to_owned();
                    let role = role_of(typed.text("role"));
                    let (same, left) = (typed.text("same").to_owned(), typed.on("left"));
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    return change_member(desk, id, &name, role, &same, left);
                }
                Some(CrewForm::Signing) => {
                    let with = typed.must_text("with").to_owned();
                    let alone = with == "alone";
                    if alone && desk.book.members()?.len() > 1 {
                        typed.wrong("with", "error_not_alone");
                    }
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let recorded = desk.book.choose(&[
                        (ALONE, if alone { "yes" } else { "no" }),
                        (SIGNED_WITH, SignedWith::of(&with).word()),
                    ])?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_changed"))
                    }
                }
                Some(CrewForm::Code) => {
                    let code = typed.must_text("code").to_owned();
                    let old = typed.text("old").to_owned();
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let recorded = desk.book.set_code(&code, &old)?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_code"))
                    }
                }
                Some(CrewForm::Phone) => {
                    let recorded = desk.book.own_phone()?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_changed"))
                    }
                }
                Some(CrewForm::Compare) => {
                    let unit = desk.cx()?.units.pressure;
                    let (this, that) = (typed.must_text("this"), typed.must_text("that"));
                    let this_pa = unit.to_pa(typed.must_number("this_reads"));
                    let that_pa = unit.to_pa(typed.must_number("that_reads"));
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let recorded = desk.book.compare_gauges(this, that, this_pa, that_pa)?;
                    let said = desk.texts.get("screen_journal_gauges_compared");
                    Outcome {
                        leave: true,
                        ..done(recorded, said)
                    }
                }
                Some(CrewForm::Gauge(id)) => {
                    let gauge_record = typed_gauge(&mut typed);
                    if !typed.faults.is_empty() {
                        return Ok(typed.faults().unwrap_or_default());
                    }
                    let all = desk.book.gauges()?;
                    let before = all.iter().find(|(g, _)| Some(g.as_str()) == id);
                    let before = before.map(|(_, g)| g.resolution_pa);
                    let step = step_of(&gauge_record);
                    let units = desk.cx()?.units;
                    if let Err(faults) = step_is_so(desk, &units, &form, &typed, step, before) {
                        return Ok(wrong(faults));
                    }
                    desk.book.define_gauge(id, gauge_record)?;
                    Outcome {
                        leave: true,
                        ..said(desk.texts.get("screen_crew_said_changed"))
                    }
                }
                Some(CrewForm::Limits) => {
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
                Some(CrewForm::Errors) => {
                    let units = desk.cx()?.units;
                    let mut chosen: Vec<(&str, String)> = Vec::new();
                    for (key, _) in ERROR_SOURCES {
                        let k = typed.may_number(key).map(|v| v / kelvins(units, 1.0));
                        if k.is_some_and(|k| k.is_finite() && !(0.001..=20.0).contains(&k)) {
                            typed.wrong(key, "error_thermometer_error");
                        }
                        chosen.push((key, k.map(|k| k.to_string()).unwrap_or_default()));
                    }
                    let pa = typed
                        .may_number(ERROR_BAROMETER)
                        .map(|v| units.pressure.to_pa(v));
                    if pa.is_some_and(|pa| pa.is_finite() && !(0.1..=5_000.0).contains(&pa)) {
                        typed.wrong(ERROR_BAROMETER, "error_barometer_error");
                    }
                    chosen.push((
                        ERROR_BAROMETER,
                        pa.map(|pa| pa.to_string()).unwrap_or_default(),
                    ));
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let chosen: Vec<(&str, &str)> =
                        chosen.iter().map(|(k, v)| (*k, v.as_str())).collect();
                    let recorded = desk.book.choose(&chosen)?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_changed"))
                    }
                }
                Some(CrewForm::Language) => {
                    let tag = typed.text("language").to_owned();
                    desk.choose_language(&tag)?;
                    Outcome {
                        leave: true,
                        ..said(desk.texts.get("screen_crew_said_changed"))
                    }
                }
                None => fault("", desk.texts.get("error_other_screen")),
                Some(CrewForm::Units) => {
                    let chosen: Vec<(&str, &str)> = [
                        "unit_pressure",
                        "unit_temperature",
                        "unit_depth",
                        "unit_water",
                        "unit_weight",
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

pub(super) fn role_of(word: &str) -> Role {
    match word {
        "dp" => Role::Dp,
        "assistant" => Role::Assistant,
        _ => Role::Other,
    }
}

/// Changes what differs, and nothing else.
fn change_member(
    desk: &mut Desk,
    id: &str,
    name: &str,
    role: Role,
    same: &str,
    left: bool,
) -> Result<Outcome, BookFault> {
    let all = desk.book.all_members()?;
    let Some(known) = all.iter().find(|m| m.id == id) else {
        return Err(BookFault::NotFound {
            what: "member",
            id: id.to_owned(),
        });
    };
    if !same.is_empty() {
        // One person has one name: that of the entry they were joined with.
        desk.book.join_members(id, same)?;
    } else {
        if known.retired && !left {
            desk.book.retire_member(id, false)?;
        }
        if name.trim() != known.given || role != known.role {
            desk.book.change_member(id, name, role)?;
        }
        if left && !known.retired {
            desk.book.retire_member(id, true)?;
        }
    }
    Ok(Outcome {
        leave: true,
        ..said(desk.texts.get("screen_crew_said_changed"))
    })
}

/// What [`Outcome::bring`] asks for: a file of everything.
pub(super) const BRINGS: &str = "everything";

/// Has the phone let the person choose a crew's file.
pub(super) fn ask_for_file() -> Outcome {
    Outcome {
        bring: Some(BRINGS.to_owned()),
        ..Outcome::default()
    }
}
/// Where a file of everything is made before the shell takes it, beside the journal.
const HANDED_ON: &str = "handed-on";

fn keep_everything(desk: &Desk) -> Result<Outcome, BookFault> {
    let cx = desk.cx()?;
    let folder = handed_on(desk);
    // What lies there was never taken: nobody waits for it any more.
    let _ = std::fs::remove_dir_all(&folder);
    let name = format!("slackwater-{}.zip", cx.local.day(cx.now.wall_ms));
    let path = folder.join(&name);
    let written = std::fs::create_dir_all(&folder)
        .map_err(|source| BackupFault::Io {
            doing: Doing::MakingFolder,
            path: folder.clone(),
            source,
        })
        .and_then(|()| backup::write(desk.book(), &path));
    let kept = match written {
        Ok(kept) => kept,
        Err(e) => {
            let why = cx.faults().backup(&e);
            return Ok(fault(
                "",
                cx.say("error_backup_write", &[("why", (&why).into())]),
            ));
        }
    };
    let mut words = cx.say(
        "screen_crew_said_kept",
        &[
            ("events", count(kept.events)),
            ("photos", count(kept.photos)),
            ("size", (&cx.units.file_size(kept.bytes)).into()),
        ],
    );
    if kept.photos_missing > 0 {
        words = format!(
            "{words} {}",
            cx.say(
                "screen_crew_said_photos_missing",
                &[("n", count(kept.photos_missing))],
            )
        );
    }
    Ok(Outcome {
        document: Some(Document {
            name,
            media_type: "application/zip".to_owned(),
            bytes: Vec::new(),
            file: Some(path.display().to_string()),
        }),
        ..said(words)
    })
}

/// A number of things, as the words take it.
fn count<'a>(n: u64) -> Arg<'a> {
    usize::try_from(n).unwrap_or(usize::MAX).into()
}

fn handed_on(desk: &Desk) -> PathBuf {
    desk.book().journal().path().with_file_name(HANDED_ON)
}

/// Brings in a file of everything.
pub(super) fn bring(desk: &mut Desk, document: &Document) -> Result<Outcome, BookFault> {
    let folder = handed_on(desk);
    let here = folder.join("brought.zip");
    let brought = match &document.file {
        Some(path) => backup::read(&mut desk.book, Path::new(path)),
        None => std::fs::create_dir_all(&folder)
            .and_then(|()| std::fs::write(&here, &document.bytes))
            .map_err(|source| BackupFault::Io {
                doing: Doing::Writing,
                path: here.clone(),
                source,
            })
            .and_then(|()| backup::read(&mut desk.book, &here)),
    };
    let _ = std::fs::remove_file(&here);
    let cx = desk.cx()?;
    Ok(match brought {
        Ok(b) => {
            let words = cx.say(
                "screen_crew_said_brought",
                &[
                    ("new", count(b.new_events)),
                    ("events", count(b.events)),
                    ("photos", count(b.photos)),
                ],
            );
            let go = phones::asks(desk)?;
            let apart = go.as_ref().map(|_| cx.t("screen_phones_said_apart"));
            Outcome {
                go,
                ..said(
                    [Some(words), apart]
                        .into_iter()
                        .flatten()
                        .collect::<Vec<_>>()
                        .join(" "),
                )
            }
        }
        Err(e) => {
            let why = cx.faults().backup(&e);
            fault("", cx.say("error_backup_read", &[("why", (&why).into())]))
        }
    })
}

fn show_form(label: String, form: CrewForm<'_>) -> CrewButton {
    button(
        label,
        CrewAction::ShowForm {
            form: form.to_string(),
        },
    )
}

impl CrewScreen {
    pub(super) fn page(self, texts: &Texts, form: Option<&str>) -> Page {
        let title = texts.get("shell_crew_title");
        if let (Some(form), true) = (self.form.clone(), form.is_some()) {
            if self.notices.is_empty() {
                return Draft::form_page(&title, &self.answer, form).done();
            }
            let name = form.title.clone();
            let untitled = Form {
                title: String::new(),
                ..form
            };
            return Draft::new(&name, &title)
                .lines(self.notices)
                .fields(Some(untitled), true)
                .done();
        }
        let at_thumb = self.main.is_none();
        Draft::new(&title, "")
            .answer(&self.answer, None, Severity::Plain)
            .lines(self.empty)
            .rows(&texts.get("shell_members"), self.members)
            .fields(self.form, at_thumb)
            .rows(&texts.get("shell_choices"), self.choices)
            .buttons(&texts.get("shell_more"), self.others)
            .title(&texts.get("shell_about"))
            .lines(self.about)
            .main(self.main)
            .done()
    }
}
