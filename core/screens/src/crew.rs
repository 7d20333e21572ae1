//! The crew and its choices: members, who holds the phone, units, limits.

use std::collections::{BTreeMap, HashMap};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use super::asked::{asked_field, step_is_so, wrong};
use super::common::{Document, FieldValue, Form, Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, Typed, button, done, fault, form, go, lead, line, said};
use super::desk::Desk;
use super::forms::{CrewForm, Note};
use super::keys;
use super::measures::Unit;
use super::names::Shows;
use super::page::{Draft, Page};
use super::phones;
use super::procedures;
use super::spec::{
    Spec, draw, must_num_in, num, num_in, one_of, pick, pick_in, read_new, read_over, switch_in,
    text, text_in,
};
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
use slackwater_domain::state::{self, RECHECK_LIMIT, RECHECK_LIMIT_MS};
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

const ALONE_WORD: &str = "alone";

/// How the second of two signs, as a word.
fn signing_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let minutes: &[(&str, Arg<'_>)] = &[("n", (SECOND_LOOK_MIN as usize).into())];
    let all = vec![
        ("name", cx.t("screen_crew_signing_name")),
        ("code", cx.t("screen_crew_signing_code")),
        ("phone", cx.t("screen_crew_signing_phone")),
        (ALONE_WORD, cx.say("screen_crew_signing_alone", minutes)),
    ];
    let with = pick_in(keys::WITH, cx.t("screen_crew_signing_q"), all, |t| t);
    [with.hint(cx.t("screen_crew_signing_hint")).must()]
}

fn signing_form(cx: &Cx<'_>) -> Result<Form, BookFault> {
    let choices = cx.book.choices()?;
    let chosen = |key: &str| choices.get(key).cloned().unwrap_or_default();
    let now = if chosen(ALONE) == "yes" {
        ALONE_WORD.to_owned()
    } else {
        match SignedWith::of(&chosen(SIGNED_WITH)).word() {
            "" => "name".to_owned(),
            word => word.to_owned(),
        }
    };
    Ok(form(
        "signing",
        cx.t("screen_crew_signing"),
        draw(&signing_field(cx), &cx.units, Some(&now)),
        cx.t("action_change"),
    ))
}

/// A member, as typed.
#[derive(Debug, Clone)]
pub(super) struct MemberSaid {
    pub name: String,
    pub role: Role,
}

impl Default for MemberSaid {
    fn default() -> MemberSaid {
        MemberSaid {
            name: String::new(),
            role: Role::Assistant,
        }
    }
}

pub(super) fn member_fields<'a, T: Clone + 'a>(
    cx: &Cx<'_>,
    at: fn(&mut T) -> &mut MemberSaid,
) -> [Spec<'a, T>; 2] {
    let role = |word: &str, role, label| (word.to_owned(), role, cx.t(label));
    let said = move |t: &T| at(&mut t.clone()).clone();
    [
        text(
            keys::NAME,
            cx.t("screen_crew_name"),
            move |t| said(t).name,
            move |t, v| at(t).name = v,
        )
        .must(),
        one_of(
            "role",
            cx.t("screen_crew_role"),
            vec![
                role("assistant", Role::Assistant, "role_assistant"),
                role("dp", Role::Dp, "role_dp"),
                role("other", Role::Other, "role_other"),
            ],
            Some(Role::Other),
            move |t| said(t).role,
            move |t, v| at(t).role = v,
        )
        .starts("assistant")
        .must(),
    ]
}

/// What of a member of the crew is changed: also who they are as well, and whether they left.
#[derive(Debug, Clone, Default)]
struct MemberChange {
    member: MemberSaid,
    /// Id of the entry that is the same person; empty where none is.
    same: String,
    left: bool,
}

fn member_change_fields<'a>(
    cx: &Cx<'_>,
    id: &str,
) -> Result<Vec<Spec<'a, MemberChange>>, BookFault> {
    let there = cx.book.members()?;
    let others = there.iter().filter(|o| o.id != id);
    let mut same = vec![("", cx.t("screen_crew_same_none"))];
    same.extend(others.map(|o| (o.id.as_str(), o.name.clone())));
    let has_others = same.len() > 1;
    let member = member_fields(cx, |m: &mut MemberChange| &mut m.member);
    let more = [
        pick_in(
            "same",
            cx.t("screen_crew_same"),
            same,
            |m: &mut MemberChange| &mut m.same,
        )
        .hint(cx.t("screen_crew_same_hint"))
        .drawn_if(has_others),
        switch_in(
            "left",
            cx.t("screen_crew_left_q"),
            |m: &mut MemberChange| &mut m.left,
        )
        .hint(cx.t("screen_crew_left_hint")),
    ];
    Ok(member.into_iter().chain(more).collect())
}

/// Changes a member: name, role, who they are as well, whether they left.
fn member_form(cx: &Cx<'_>, key: &str, id: &str) -> Result<Option<Form>, BookFault> {
    let all = cx.book.all_members()?;
    let Some(m) = all.iter().find(|m| m.id == id) else {
        return Ok(None);
    };
    let now = MemberChange {
        member: MemberSaid {
            name: m.given.clone(),
            role: m.role,
        },
        same: String::new(),
        left: m.retired,
    };
    let fields = draw(&member_change_fields(cx, id)?, &cx.units, Some(&now));
    Ok(Some(form(key, m.name.clone(), fields, cx.t("action_keep"))))
}

/// A new code and, where there is one, the one so far.
#[derive(Debug, Clone, Default)]
struct CodeSaid {
    old: String,
    code: String,
}

fn code_fields<'a>(cx: &Cx<'_>) -> Result<[Spec<'a, CodeSaid>; 2], BookFault> {
    let has = cx.book.code_of(cx.book.me())?.is_some();
    let (old, new) = (cx.t("screen_crew_code_old"), cx.t("screen_crew_code_new"));
    Ok([
        text_in("old", old, |c: &mut CodeSaid| &mut c.old)
            .marked()
            .drawn_if(has),
        text_in(keys::CODE, new, |c: &mut CodeSaid| &mut c.code)
            .must()
            .hint(cx.t("screen_crew_code_hint")),
    ])
}

fn code_form(cx: &Cx<'_>) -> Result<Form, BookFault> {
    let name = cx.name(cx.book.me());
    Ok(form(
        "code",
        cx.say("screen_crew_code", &[("name", (&name).into())]),
        draw(&code_fields(cx)?, &cx.units, None),
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

/// Choices that hold a measured error of a thermometer, K (1 sd): key, label. That of the barometer is in Pa.
const ERROR_SOURCES: [(&str, &str); 3] = [
    (keys::SD_INSIDE, "screen_crew_error_inside"),
    (keys::SD_SURFACE, "screen_crew_error_surface"),
    (keys::SD_AIR, "screen_crew_error_air"),
];

/// How many errors the crew has measured.
fn errors_words(cx: &Cx<'_>) -> Result<String, BookFault> {
    let choices = cx.book.choices()?;
    let all = ERROR_SOURCES.iter().map(|(key, _)| *key);
    let n = all
        .chain([keys::SD_BAROMETER])
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

/// A gauge, as typed.
#[derive(Debug, Clone)]
pub(super) struct GaugeSaid {
    pub name: String,
    pub shows: Shows,
    /// The maker's limit of its error, in its unit.
    pub accuracy: Option<f64>,
    pub checked: String,
    pub retired: bool,
}

impl GaugeSaid {
    /// A new one in this unit.
    pub fn new(unit: PressureUnit) -> GaugeSaid {
        GaugeSaid {
            name: String::new(),
            shows: Shows {
                unit,
                absolute: false,
                step: 1.0,
            },
            accuracy: None,
            checked: String::new(),
            retired: false,
        }
    }

    /// One on record; in this unit where its own is not known.
    fn of(g: &Gauge, otherwise: PressureUnit) -> GaugeSaid {
        let unit = PressureUnit::from_symbol(&g.unit).unwrap_or(otherwise);
        GaugeSaid {
            name: g.name.clone(),
            shows: Shows::steps_of(unit, g.absolute, g.resolution_pa),
            accuracy: g.accuracy_pa.map(|pa| unit.from_pa(pa)),
            checked: g.checked.clone(),
            retired: false,
        }
    }

    /// What a form begins with: of one on record, or a new one in this unit.
    fn shown(gauge: Option<&Gauge>, usual: PressureUnit) -> GaugeSaid {
        gauge.map_or_else(|| GaugeSaid::new(usual), |g| GaugeSaid::of(g, usual))
    }

    /// As it is recorded.
    pub fn gauge(self) -> Gauge {
        let unit = self.shows.unit;
        Gauge {
            name: self.name,
            absolute: self.shows.absolute,
            unit: unit.symbol().to_owned(),
            resolution_pa: self.shows.step_pa(),
            accuracy_pa: self.accuracy.map(|a| unit.to_pa(a)),
            checked: self.checked,
            retired: self.retired,
        }
    }
}

/// The field of what a gauge is called.
pub(super) fn gauge_name<'a>(cx: &Cx<'_>) -> Spec<'a, GaugeSaid> {
    text_in(
        keys::NAME,
        cx.t("screen_crew_gauge_name"),
        |g: &mut GaugeSaid| &mut g.name,
    )
    .must()
}

fn gauge_fields<'a>(cx: &Cx<'_>) -> Vec<Spec<'a, GaugeSaid>> {
    let accuracy = cx.t("screen_crew_gauge_accuracy");
    let checked = cx.t("screen_crew_gauge_checked_label");
    let mut fields = vec![gauge_name(cx)];
    fields.extend(super::names::gauge_fields(cx, |g: &mut GaugeSaid| {
        &mut g.shows
    }));
    fields.extend([
        num_in("accuracy", accuracy, Unit::Unsaid, |g: &mut GaugeSaid| {
            &mut g.accuracy
        })
        .digits(2)
        .hint(cx.t("screen_crew_gauge_accuracy_hint")),
        text_in("checked", checked, |g: &mut GaugeSaid| &mut g.checked),
    ]);
    fields
}

/// What takes a gauge out of use: it stands below what was asked of the others.
fn retired_field<'a>(cx: &Cx<'_>) -> [Spec<'a, GaugeSaid>; 1] {
    [switch_in(
        "retired",
        cx.t("screen_crew_gauge_retired"),
        |g| &mut g.retired,
    )]
}

fn gauge_form(cx: &Cx<'_>, key: &str, gauge: Option<&Gauge>) -> Form {
    let (units, usual) = (&cx.units, cx.units.pressure);
    let shown = GaugeSaid::shown(gauge, usual);
    let mut fields = draw(&gauge_fields(cx), units, Some(&shown));
    fields.extend(asked_field(cx, key));
    let submit = if gauge.is_some() {
        fields.extend(draw(&retired_field(cx), units, Some(&shown)));
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

/// Two gauges, read together: their ids, and what each reads, Pa.
#[derive(Debug, Clone, Default)]
struct Compared {
    this: String,
    this_pa: f64,
    that: String,
    that_pa: f64,
}

fn compare_fields<'a>(cx: &Cx<'_>) -> Result<[Spec<'a, Compared>; 4], BookFault> {
    let all = cx.book.gauges()?;
    let choices = || all.iter().map(|(id, g)| (id.as_str(), g.name.clone()));
    let first = |n: usize| all.get(n).map_or("", |(id, _)| id.as_str());
    let reads = || cx.t("screen_crew_compare_reads");
    let (this, that) = (
        cx.t("screen_crew_compare_this"),
        cx.t("screen_crew_compare_that"),
    );
    Ok([
        pick_in("this", this, choices().collect(), |c: &mut Compared| {
            &mut c.this
        })
        .starts(first(0))
        .must(),
        must_num_in("this_reads", reads(), Unit::Pressure, |c: &mut Compared| {
            &mut c.this_pa
        }),
        pick_in("that", that, choices().collect(), |c: &mut Compared| {
            &mut c.that
        })
        .starts(first(1))
        .must(),
        must_num_in("that_reads", reads(), Unit::Pressure, |c: &mut Compared| {
            &mut c.that_pa
        })
        .hint(cx.t("screen_crew_compare_hint")),
    ])
}

fn compare_form(cx: &Cx<'_>) -> Option<Form> {
    Some(form(
        "compare",
        cx.t("screen_crew_compare_title"),
        draw(&compare_fields(cx).ok()?, &cx.units, None),
        cx.t("action_compare_gauges"),
    ))
}

fn limit_min(cx: &Cx<'_>) -> f64 {
    let ms = recheck_limit_ms(cx).unwrap_or(RECHECK_LIMIT_MS);
    (ms / 60_000) as f64
}

/// How old a recheck may be, minutes.
fn limit_field<'a>(cx: &Cx<'_>) -> [Spec<'a, f64>; 1] {
    let label = cx.t("screen_crew_recheck_limit_label");
    let limit = must_num_in(RECHECK_LIMIT, label, "min", |m| m);
    [limit
        .check(|_, _, v| (!(5.0..=1_440.0).contains(&v)).then_some("error_recheck_limit"))
        .hint(cx.t("screen_crew_recheck_limit_hint"))]
}

/// Measured errors by the key of their choice, as they are recorded: K, or Pa.
type Errors = BTreeMap<&'static str, f64>;

fn error_fields<'a>(cx: &Cx<'_>) -> Vec<Spec<'a, Errors>> {
    let error = |key: &'static str, label: &str, unit, limits: RangeInclusive<f64>, why| {
        num(
            key,
            cx.t(label),
            unit,
            move |e: &Errors| e.get(key).copied(),
            move |e, v| {
                match v {
                    Some(v) => e.insert(key, v),
                    None => e.remove(key),
                };
            },
        )
        .check(move |_, _, v| (!limits.contains(&v)).then_some(why))
        .digits(3)
    };
    let thermometers = ERROR_SOURCES.iter().map(|(key, label)| {
        let why = "error_thermometer_error";
        error(key, label, Unit::Degrees, 0.001..=20.0, why)
    });
    let barometer = error(
        keys::SD_BAROMETER,
        "screen_crew_error_barometer",
        Unit::Pressure,
        0.1..=5_000.0,
        "error_barometer_error",
    );
    let barometer = barometer.hint(cx.t("screen_crew_errors_hint"));
    thermometers.chain([barometer]).collect()
}

/// The errors that the crew has measured.
fn measured_errors(cx: &Cx<'_>) -> Errors {
    let Ok(choices) = cx.book.choices() else {
        return Errors::new();
    };
    let all = ERROR_SOURCES.iter().map(|(key, _)| *key);
    all.chain([keys::SD_BAROMETER])
        .filter_map(|key| Some((key, choices.get(key)?.parse().ok()?)))
        .collect()
}

/// The tag of the language of this phone; empty where it is the phone's own.
fn language_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let mut languages = vec![("", cx.t("screen_crew_language_phone"))];
    languages.extend(Texts::languages());
    let label = cx.t("screen_crew_language");
    let language = pick_in("language", label, languages, |t| t);
    [language.hint(cx.t("screen_crew_language_hint"))]
}

/// The crew's units by the key of their choice, as words; those not said are left as they are.
type UnitWords = BTreeMap<&'static str, String>;

fn unit_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, UnitWords>; 5] {
    let unit = |key: &'static str, label: &str, all: &[(&str, &str)]| {
        let all = all.iter().map(|(word, name)| (*word, (*name).to_owned()));
        pick(
            key,
            cx.t(label),
            all.collect(),
            move |u: &UnitWords| u.get(key).cloned().unwrap_or_default(),
            move |u, v| {
                u.insert(key, v);
            },
        )
        .marked()
    };
    let same = |word: &'static str| (word, word);
    [
        unit(
            keys::UNIT_PRESSURE,
            "screen_crew_unit_pressure",
            &["mbar", "kPa", "inHg", "psi", "mmHg"].map(same),
        ),
        unit(
            keys::UNIT_TEMPERATURE,
            "screen_crew_unit_temperature",
            &[("C", "°C"), ("F", "°F")],
        ),
        unit(
            keys::UNIT_DEPTH,
            "screen_crew_unit_depth",
            &["m", "ft"].map(same),
        ),
        unit(
            keys::UNIT_WATER,
            "screen_crew_unit_water",
            &["mL", "fl oz"].map(same),
        ),
        unit(
            keys::UNIT_WEIGHT,
            "screen_crew_unit_weight",
            &["g", "oz"].map(same),
        ),
    ]
}

fn unit_words(cx: &Cx<'_>) -> UnitWords {
    let units = &cx.units;
    let temperature = if units.fahrenheit { "F" } else { "C" };
    [
        (keys::UNIT_PRESSURE, units.pressure.symbol()),
        (keys::UNIT_TEMPERATURE, temperature),
        (keys::UNIT_DEPTH, units.depth_symbol()),
        (keys::UNIT_WATER, units.water_symbol()),
        (keys::UNIT_WEIGHT, units.weight_symbol()),
    ]
    .map(|(key, word)| (key, word.to_owned()))
    .into()
}

/// In the order of their fields.
const UNITS: [&str; 5] = [
    keys::UNIT_PRESSURE,
    keys::UNIT_TEMPERATURE,
    keys::UNIT_DEPTH,
    keys::UNIT_WATER,
    keys::UNIT_WEIGHT,
];

fn crew_form(cx: &Cx<'_>, which: &str) -> Option<Form> {
    if is_of_phones(which) {
        return phones::ask(cx, which).ok()?;
    }
    if is_of_a_procedure(which) {
        return procedures::ask(cx, which);
    }
    let shown = CrewForm::parse(which)?;
    let key = shown.to_string();
    let units = &cx.units;
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
            draw(&member_fields(cx, |m: &mut MemberSaid| m), units, None),
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
            draw(&limit_field(cx), units, Some(&limit_min(cx))),
            cx.t("action_change"),
        ),
        CrewForm::Errors => form(
            "errors",
            cx.t("screen_crew_errors"),
            draw(&error_fields(cx), units, Some(&measured_errors(cx))),
            cx.t("action_change"),
        ),
        CrewForm::Language => {
            let now = cx.book.local(Note::Language).ok().flatten();
            form(
                "language",
                cx.t("screen_crew_language"),
                draw(&language_field(cx), units, Some(&now.unwrap_or_default())),
                cx.t("action_change"),
            )
        }
        CrewForm::Units => form(
            &key,
            cx.t("screen_crew_units"),
            draw(&unit_fields(cx), units, Some(&unit_words(cx))),
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
            let cx = desk.cx()?;
            match CrewForm::parse(&form) {
                Some(CrewForm::Member(None)) => {
                    let fields = member_fields(&cx, |m: &mut MemberSaid| m);
                    let MemberSaid { name, role } = read_new(&fields, &cx.units, &mut typed);
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
                    let fields = member_change_fields(&cx, id)?;
                    let change = read_new(&fields, &cx.units, &mut typed);
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    return change_member(desk, id, &change);
                }
                Some(CrewForm::Signing) => {
                    let with = read_new(&signing_field(&cx), &cx.units, &mut typed);
                    let alone = with == ALONE_WORD;
                    if alone && desk.book.members()?.len() > 1 {
                        typed.wrong(keys::WITH, "error_not_alone");
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
                    let codes = read_new(&code_fields(&cx)?, &cx.units, &mut typed);
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let recorded = desk.book.set_code(&codes.code, &codes.old)?;
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
                    let both = read_new(&compare_fields(&cx)?, &cx.units, &mut typed);
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let (this, that) = (both.this.as_str(), both.that.as_str());
                    let recorded =
                        (desk.book).compare_gauges(this, that, both.this_pa, both.that_pa)?;
                    let said = desk.texts.get("screen_journal_gauges_compared");
                    Outcome {
                        leave: true,
                        ..done(recorded, said)
                    }
                }
                Some(CrewForm::Gauge(id)) => {
                    let units = cx.units;
                    let all = desk.book.gauges()?;
                    let before = all.iter().find(|(g, _)| Some(g.as_str()) == id);
                    let before = before.map(|(_, g)| g);
                    let mut fields = gauge_fields(&cx);
                    fields.extend(retired_field(&cx));
                    let shown = GaugeSaid::shown(before, units.pressure);
                    let shown = read_over(&fields, &units, &mut typed, &shown);
                    if !typed.faults.is_empty() {
                        return Ok(typed.faults().unwrap_or_default());
                    }
                    let before = before.map(|g| g.resolution_pa);
                    let gauge_record = shown.gauge();
                    let step = step_of(&gauge_record);
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
                    let minutes = read_new(&limit_field(&cx), &cx.units, &mut typed);
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let text = format!("{minutes:.0}");
                    let recorded = desk.book.choose(&[(RECHECK_LIMIT, &text)])?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_changed"))
                    }
                }
                Some(CrewForm::Errors) => {
                    let now = measured_errors(&cx);
                    let errors = read_over(&error_fields(&cx), &cx.units, &mut typed, &now);
                    if let Some(faults) = typed.faults() {
                        return Ok(faults);
                    }
                    let all = ERROR_SOURCES.iter().map(|(key, _)| *key);
                    let text = |key| errors.get(key).map_or_else(String::new, f64::to_string);
                    let chosen: Vec<(&str, String)> = (all.chain([keys::SD_BAROMETER]))
                        .map(|key| (key, text(key)))
                        .collect();
                    let chosen: Vec<(&str, &str)> =
                        chosen.iter().map(|(k, v)| (*k, v.as_str())).collect();
                    let recorded = desk.book.choose(&chosen)?;
                    Outcome {
                        leave: true,
                        ..done(recorded, desk.texts.get("screen_crew_said_changed"))
                    }
                }
                Some(CrewForm::Language) => {
                    let tag = read_new(&language_field(&cx), &cx.units, &mut typed);
                    desk.choose_language(&tag)?;
                    Outcome {
                        leave: true,
                        ..said(desk.texts.get("screen_crew_said_changed"))
                    }
                }
                None => fault("", desk.texts.get("error_other_screen")),
                Some(CrewForm::Units) => {
                    let words = read_new(&unit_fields(&cx), &cx.units, &mut typed);
                    let word = |key| Some((key, words.get(key)?.as_str()));
                    let chosen: Vec<(&str, &str)> = (UNITS.into_iter().filter_map(word))
                        .filter(|(_, word)| !word.is_empty())
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

/// Changes what differs, and nothing else.
fn change_member(desk: &mut Desk, id: &str, change: &MemberChange) -> Result<Outcome, BookFault> {
    let MemberChange { member, same, left } = change;
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
        if known.retired && !*left {
            desk.book.retire_member(id, false)?;
        }
        if member.name != known.given || member.role != known.role {
            desk.book.change_member(id, &member.name, member.role)?;
        }
        if *left && !known.retired {
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
