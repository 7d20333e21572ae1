//! The seals of a rig. Its one question: which ring next, and why?

use super::common::{FieldValue, Form, Line, Mark, Outcome, PhotoTile, Place, Quantity, Severity};
use super::cx::{Cx, Typed, button, done, form, go, line};
use super::desk::Desk;
use super::forms::{RigForm, SealsForm};
use super::keys;
use super::measures::{Unit, exact};
use super::names::{
    cured_field, enclosure_name, finding_name, finding_of, grease_words, material_name, past_words,
};
use super::page::{Draft, Page};
use super::rig_edit::kind::Kind;
use super::rig_edit::path::{EditAt, Id};
use super::spec::{Spec, draw, long_text_in, must_num_in, one_of_in, read_new};
use super::texts::Texts;
use slackwater_domain::book::BookFault;
use slackwater_domain::fold::fact_of;
use slackwater_domain::rig::{Plan, Seal};
use slackwater_domain::rules::{
    age_days, closed_since, faulty, material_doubts, needs_service, past_limit,
};
use slackwater_domain::spares::{due_on, in_shoot, today};
use slackwater_domain::state::{RigFacts, SealFacts};
use slackwater_domain::subject::At;
use slackwater_physics::oring::{
    self, Candidate, Designation, Fit, Length, Measured, OringError, Span,
};

pub use super::common::{Button as SealsButton, Row as SealsRow};

/// What the seal screens accept.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum SealsAction {
    /// Opens one seal.
    OpenSeal {
        /// Seal id.
        seal: String,
    },
    /// Sends a form: 'age', 'measure', 'again'.
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
    /// Records the opening of the closure this seal belongs to (needs the second tap), or asks
    /// which was opened.
    OpenClosure,
    /// The ring is out: begins its service.
    Service,
    /// A size found by measuring is that of this seal.
    SetSize {
        /// The size as written.
        size: String,
    },
    /// Opens the seal in the editor, or its gland.
    Edit {
        /// True for the gland.
        gland: bool,
    },
    /// Opens the crew's box of rings.
    OpenBox,
    /// Opens the rings for a planned shoot.
    OpenSpares,
    /// Back to the rig.
    OpenRig,
}

/// The seals of a rig, due first.
#[derive(Debug, Clone, PartialEq)]
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
    /// The others: the box, the shoot.
    pub others: Vec<SealsButton>,
}

/// One seal.
#[derive(Debug, Clone, PartialEq)]
pub struct SealScreen {
    /// Rig id.
    pub rig: String,
    /// Seal id.
    pub seal: String,
    /// Its name.
    pub name: String,
    /// State in a sentence: 'Disturbed by an opening 8 min ago'.
    pub answer: String,
    /// What stands beneath it: what is left of each limit; may be empty.
    pub beneath: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// What should be known: a grease that doesn't go with the ring, limits of the gland not kept.
    pub notices: Vec<Line>,
    /// Size, material, hardness, fitted when, openings since; how it sits in its gland.
    pub figures: Vec<Quantity>,
    /// Sizes that a measured ring may be, the likeliest first.
    pub sizes: Vec<SealsRow>,
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

/// Below this misfit a size is likely (two standard uncertainties).
const LIKELY: f64 = 2.0;

/// Above this rank a ring is in order: nothing has to be done to it now.
const IN_ORDER: u8 = 1;

/// The rank of a ring that is in order, and of which nobody said how old it is.
const AGE_UNKNOWN: (u8, i64) = (2, 1);

/// How pressing a seal is, with its reason.
pub(super) struct Due {
    rank: (u8, i64),
    /// What is left of the limit that is nearest: '3 days'.
    left: Option<String>,
    /// The day on which it will be due, where that is known.
    on: Option<String>,
    /// What is most to be known of it.
    short: String,
    /// What is left of each limit, where that stands beneath it; may be empty.
    beneath: String,
    pub mark: Mark,
    pub severity: Severity,
}

impl Due {
    /// All of it in one.
    pub(super) fn words(&self) -> String {
        let both = [self.short.as_str(), self.beneath.as_str()];
        let both = both.into_iter().filter(|w| !w.is_empty());
        both.collect::<Vec<_>>().join(". ")
    }
}

pub(super) fn due(cx: &Cx<'_>, rig: &RigFacts, def: &Seal, facts: &SealFacts) -> Due {
    let made = |rank, words: String, mark, severity| Due {
        rank,
        left: None,
        on: None,
        short: words,
        beneath: String::new(),
        mark,
        severity,
    };
    if let Some(found) = faulty(rig, facts) {
        let words = match finding_of(&found.value) {
            Some(f) => cx.say(
                "screen_seal_faulty",
                &[("what", (&finding_name(cx, f)).into())],
            ),
            None => cx.t("screen_seal_faulty_short"),
        };
        return made((0, -1), words, Mark::Struck, Severity::Blocking);
    }
    if let Some(past) = past_limit(def, facts, cx.now, true) {
        let words = cx.say(
            "screen_seals_replace",
            &[("why", (&past_words(cx, &past)).into())],
        );
        return made((0, 0), words, Mark::Struck, Severity::Blocking);
    }
    if needs_service(rig, def, facts) {
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
    let l = def.limits;
    // What is left of each limit.
    let left_of = |used: i64, soft: Option<u32>, hard: Option<u32>| {
        soft.or(hard).map(|limit| i64::from(limit) - used)
    };
    let left: Vec<(&str, i64)> = [
        (
            "screen_seals_days",
            age_days(facts, cx.now).and_then(|age| left_of(age, l.soft_days, l.hard_days)),
        ),
        (
            "screen_seals_openings",
            left_of(i64::from(facts.openings), l.soft_openings, l.hard_openings),
        ),
        (
            "screen_seals_dives",
            left_of(i64::from(facts.dives), l.soft_dives, l.hard_dives),
        ),
    ]
    .into_iter()
    .filter_map(|(key, left)| Some((key, left?)))
    .collect();
    let words = if left.is_empty() {
        facts
            .serviced
            .as_ref()
            .map(|s| {
                cx.say(
                    "screen_seals_serviced",
                    &[("who", (&cx.who_when(&s.author, s.wall_ms)).into())],
                )
            })
            .unwrap_or_default()
    } else {
        let parts: Vec<String> = left
            .iter()
            .map(|(key, n)| cx.say(key, &[("n", ((*n).max(0) as usize).into())]))
            .collect();
        cx.say("screen_seals_left", &[("what", (&parts.join(", ")).into())])
    };
    // Nobody can say when it is due.
    if facts.fitted_ms().is_none() && l.soft_days.or(l.hard_days).is_some() {
        let unknown = cx.t("screen_seals_age_unknown");
        let words = [words, unknown].into_iter().filter(|w| !w.is_empty());
        let words = words.collect::<Vec<_>>().join(". ");
        return made(AGE_UNKNOWN, words, Mark::Full, Severity::Good);
    }
    let nearest = left.iter().min_by_key(|l| l.1);
    let left = nearest.map(|(key, n)| cx.say(key, &[("n", ((*n).max(0) as usize).into())]));
    let Some(day) = due_on(rig, def, facts, cx.now) else {
        // Behind those of which the day is known.
        let rank = (4, nearest.map_or(i64::MAX, |l| l.1));
        return Due {
            left,
            ..made(rank, words, Mark::Full, Severity::Good)
        };
    };
    let rank = (3, (day - today(cx.now)).num_days());
    let on = day.to_string();
    let (key, mark, severity) = if in_shoot(rig, day, cx.now) {
        ("screen_seals_due_in_shoot", Mark::Hatched, Severity::Notice)
    } else {
        ("screen_seals_due", Mark::Full, Severity::Good)
    };
    let due = cx.say(key, &[("day", (&on).into())]);
    Due {
        left,
        on: Some(on),
        beneath: words,
        ..made(rank, due, mark, severity)
    }
}

/// Builds the list.
pub(super) fn show(cx: &Cx<'_>, id: &str) -> Result<SealsScreen, BookFault> {
    let rig = cx.book.rig(id)?;
    let mut seals: Vec<(Due, &Seal)> = rig
        .def
        .seals
        .iter()
        .zip(&rig.seals)
        .map(|(d, f)| (due(cx, &rig, d, f), d))
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
            let args = [("name", name.into())];
            let answer = match (&first.on, &first.left, first.rank) {
                (Some(day), ..) => cx.say(
                    "screen_seals_next_on",
                    &[("name", name.into()), ("day", day.into())],
                ),
                (_, _, AGE_UNKNOWN) => cx.say("screen_seals_next_unknown", &args),
                (_, Some(left), _) => cx.say(
                    "screen_seals_next_in",
                    &[("name", name.into()), ("left", left.into())],
                ),
                (_, None, (0..3, _)) => cx.say("screen_seals_next", &args),
                (_, None, _) => cx.t("screen_seals_all_right"),
            };
            let label = cx.say("action_open_named", &[("name", name.into())]);
            let (mark, severity) = match first.rank {
                AGE_UNKNOWN => (Mark::Hatched, Severity::Notice),
                _ => (first.mark, first.severity),
            };
            (answer, mark, severity, Some(open_button(def, label)))
        }
    };
    let rows = seals
        .into_iter()
        .map(|(due, def)| SealsRow {
            title: def.name.clone(),
            detail: due.words(),
            footnote: Some(enclosure_name(&rig, &def.enclosure)),
            mark: Some(due.mark),
            severity: due.severity,
            tap: Some(open_button(def, def.name.clone())),
            other: None,
            photo: None,
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
        others: vec![
            button(cx.t("action_spares"), SealsAction::OpenSpares),
            button(cx.t("action_box"), SealsAction::OpenBox),
        ],
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
    let due = due(cx, &rig, def, facts);
    let closed = rig
        .enclosure(&def.enclosure)
        .is_some_and(|e| closed_since(&rig, e).is_some());
    let enclosure = enclosure_name(&rig, &def.enclosure);
    // A ring that sits in no closure is reached through one: where there is a choice, it is asked.
    let asked = def.closure.is_none() && super::rig::only_closure(&rig, &def.enclosure).is_none();
    let opening = SealsButton {
        confirm: (!asked).then(|| super::rig::open_asks(cx, &rig, &def.enclosure)),
        ..button(
            cx.say("action_open_enclosure", &[("name", (&enclosure).into())]),
            SealsAction::OpenClosure,
        )
    };
    let to_rig = button(cx.t("action_to_rig"), SealsAction::OpenRig);
    let in_order = due.rank.0 > IN_ORDER;
    let mut others = Vec::new();
    // Opening is never the first thing offered where nothing asks for it.
    let main = if closed && in_order {
        others.push(opening);
        to_rig
    } else if closed {
        others.push(to_rig);
        opening
    } else if faulty(&rig, facts).is_some() {
        // What was found stands: the question is which ring goes in.
        others.push(to_rig);
        button(
            cx.say("action_new_ring_in", &[("name", (&def.name).into())]),
            SealsAction::Service,
        )
    } else if in_order {
        // What was just put in comes out again only if somebody wants it.
        others.push(button(cx.t("action_ring_out"), SealsAction::Service));
        match next_due(cx, &rig, seal) {
            Some(next) => {
                others.push(to_rig);
                next
            }
            None => to_rig,
        }
    } else {
        others.push(to_rig);
        button(cx.t("action_ring_out"), SealsAction::Service)
    };
    if !closed && faulty(&rig, facts).is_some() {
        others.push(show_form(cx.t("action_look_again"), SealsForm::Again));
    }
    others.push(show_form(cx.t("action_measure_ring"), SealsForm::Measure));
    others.push(button(
        cx.t("action_gland"),
        SealsAction::Edit { gland: true },
    ));
    others.push(button(
        cx.t("action_edit_seal"),
        SealsAction::Edit { gland: false },
    ));
    if facts.fitted.is_none() {
        others.push(show_form(cx.t("action_say_age"), SealsForm::Age));
    }
    let mut notices = Vec::new();
    if !closed {
        notices.push(line(cx.t("screen_seal_take_out"), Severity::Plain, None));
    }
    notices.extend(doubts(cx, def, &rig.def.plan));
    let fit = def
        .ring()
        .and_then(Result::ok)
        .zip(def.gland)
        .and_then(|(ring, gland)| oring::fit(&ring, &gland.gland()).ok());
    if let Some(fit) = &fit {
        notices.extend(fit_lines(cx, fit));
    }
    let asked = form_shown.and_then(SealsForm::parse);
    let form = asked.and_then(|f| seal_form(cx, f));
    let sizes = asked.map_or_else(Vec::new, |shown| sizes(cx, def, shown));
    Ok(SealScreen {
        rig: rig_id.to_owned(),
        seal: seal.to_owned(),
        name: format!("{}, {}", def.name, enclosure_name(&rig, &def.enclosure)),
        answer: due.short,
        beneath: due.beneath,
        mark: due.mark,
        severity: due.severity,
        notices,
        figures: figures(cx, def, facts, fit.as_ref()),
        sizes,
        form,
        history: history(cx, rig_id, seal)?,
        photos: cx.photos(rig_id, At::Seal(seal))?,
        photo_subject: At::Seal(seal).of(rig_id),
        main: Some(main),
        others,
    })
}

/// The next ring of this rig that is to be worked on and can be reached: the first due of what lies open.
fn next_due(cx: &Cx<'_>, rig: &RigFacts, but: &str) -> Option<SealsButton> {
    let open = |d: &Seal| {
        let known = rig.enclosure(&d.enclosure);
        known.is_some_and(|e| closed_since(rig, e).is_none())
    };
    let others = rig.def.seals.iter().zip(&rig.seals);
    let others = others.filter(|(d, _)| d.id != but && open(d));
    let (_, next) = others
        .map(|(d, f)| (due(cx, rig, d, f).rank, d))
        .filter(|(rank, _)| rank.0 <= IN_ORDER)
        .min_by_key(|(rank, _)| *rank)?;
    let name = format!("{}, {}", next.name, enclosure_name(rig, &next.enclosure));
    Some(button(
        cx.say("action_next_named", &[("name", (&name).into())]),
        SealsAction::OpenSeal {
            seal: next.id.clone(),
        },
    ))
}

/// Since when a ring is in, as typed.
#[derive(Debug, Clone, Default)]
struct Age {
    days: f64,
    cured: String,
}

fn age_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, Age>; 2] {
    let days = cx.t("screen_seal_age_days");
    [
        must_num_in(keys::DAYS, days, "d", |a: &mut Age| &mut a.days)
            .check(|_, _, v| (!(0.0..=20_000.0).contains(&v)).then_some("error_days")),
        cured_field(cx, |a: &mut Age| &mut a.cured),
    ]
}

fn again_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let note = long_text_in(keys::NOTE, cx.t("screen_seal_again_note"), |t| t);
    [note.hint(cx.t("screen_seal_again_hint")).must()]
}

/// A ring as measured: in which unit is said last.
#[derive(Debug, Clone, Default)]
struct Caliper {
    inside: f64,
    section: f64,
    inches: bool,
}

impl Caliper {
    /// The word of its unit, as a place names it.
    fn unit(&self) -> &'static str {
        if self.inches { INCH } else { MM }
    }
}

const MM: &str = "mm";
const INCH: &str = "inch";
const SECTION: &str = "section";

fn caliper_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, Caliper>; 3] {
    let number = |key: &str, label: &str, hint: &str, at| {
        must_num_in(key, cx.t(label), Unit::Unsaid, at).hint(cx.t(hint))
    };
    let units = vec![
        (MM, false, cx.t("screen_seal_unit_mm")),
        (INCH, true, cx.t("screen_seal_unit_inch")),
    ];
    let (inside, section) = ("screen_seal_inside", "screen_seal_section");
    [
        number(keys::INSIDE, inside, "screen_seal_inside_hint", |c| {
            &mut c.inside
        }),
        number(SECTION, section, "screen_seal_section_hint", |c| {
            &mut c.section
        }),
        one_of_in(
            keys::UNIT,
            cx.t("screen_seal_unit"),
            units,
            Some(false),
            |c: &mut Caliper| &mut c.inches,
        )
        .must(),
    ]
}

fn seal_form(cx: &Cx<'_>, which: SealsForm<'_>) -> Option<Form> {
    let units = &cx.units;
    let (title, fields, submit) = match which {
        SealsForm::Age => (
            "screen_seal_age_title",
            draw(&age_fields(cx), units, None),
            "action_say_age",
        ),
        SealsForm::Again => (
            "screen_seal_again_title",
            draw(&again_field(cx), units, None),
            "action_look_again",
        ),
        SealsForm::Measure => (
            "screen_seal_measure_title",
            draw(&caliper_fields(cx), units, None),
            "action_find_size",
        ),
        SealsForm::Sizes(..) => return None,
    };
    Some(form(&which.to_string(), cx.t(title), fields, cx.t(submit)))
}

/// What was measured, as a place names it.
fn measured(shown: SealsForm<'_>) -> Option<Measured> {
    match shown {
        SealsForm::Sizes(inside, section, MM) => Some(Measured::mm(inside, section)),
        SealsForm::Sizes(inside, section, INCH) => Some(Measured::inch(inside, section)),
        _ => None,
    }
}

/// The sizes that a measured ring may be.
fn sizes(cx: &Cx<'_>, def: &Seal, shown: SealsForm<'_>) -> Vec<SealsRow> {
    // A place that names no measured ring has no sizes to show.
    let Some(found) = measured(shown).and_then(|m| oring::find(&m).ok()) else {
        return Vec::new();
    };
    let mm = |value: f64| format!("{}\u{a0}mm", cx.units.fixed(value, 2));
    // The name of a size, as it goes into the record: with a point in each language.
    let named = |c: &Candidate| match &c.designation {
        Designation::As568(dash) => format!("AS568-{dash}"),
        Designation::Iso3601 | Designation::Metric => {
            format!("{:.2} x {:.2} mm", c.size.inside_mm, c.size.section_mm)
        }
    };
    // The size on record first, then those of a standard series, then what else is near: rings of
    // any metric size exist, and one of them always fits best.
    let mut found: Vec<Candidate> = found
        .into_iter()
        .filter(|c| c.designation != Designation::Metric || c.misfit < LIKELY)
        .collect();
    found.sort_by_key(|c| {
        let is_it = oring::same_size(&named(c), &def.size);
        (
            !is_it,
            c.misfit >= LIKELY,
            c.designation == Designation::Metric,
        )
    });
    let rows: Vec<SealsRow> = found
        .iter()
        .map(|c| {
            let by_mm = (cx.units).number(&format!(
                "{:.2} x {:.2} mm",
                c.size.inside_mm, c.size.section_mm
            ));
            let size = named(c);
            let series = match &c.designation {
                Designation::As568(_) => by_mm,
                Designation::Iso3601 => cx.t("screen_seal_size_iso"),
                Designation::Metric => cx.t("screen_seal_size_metric"),
            };
            let likely = c.misfit < LIKELY;
            let off = cx.say(
                if likely {
                    "screen_seal_size_likely"
                } else {
                    "screen_seal_size_unlikely"
                },
                &[
                    ("inside", (&mm(c.inside_off_mm.abs())).into()),
                    ("section", (&mm(c.section_off_mm.abs())).into()),
                ],
            );
            let is_it = oring::same_size(&size, &def.size);
            SealsRow {
                detail: format!("{series}. {off}"),
                footnote: is_it.then(|| cx.t("screen_seal_size_is")),
                mark: Some(if likely { Mark::Full } else { Mark::Hatched }),
                severity: Severity::Plain,
                tap: Some(button(
                    cx.say("action_set_size", &[("size", (&size).into())]),
                    SealsAction::SetSize { size: size.clone() },
                )),
                other: None,
                photo: None,
                title: size,
            }
        })
        .collect();
    if rows.is_empty() {
        return vec![SealsRow {
            title: cx.t("screen_seal_size_none"),
            detail: cx.t("screen_seal_size_none_why"),
            footnote: None,
            mark: Some(Mark::Hollow),
            severity: Severity::Notice,
            tap: Some(show_form(cx.t("action_measure_ring"), SealsForm::Measure)),
            other: None,
            photo: None,
        }];
    }
    rows
}

/// What speaks against the ring's material here.
fn doubts(cx: &Cx<'_>, def: &Seal, plan: &Plan) -> Vec<Line> {
    material_doubts(def, plan)
        .iter()
        .map(|d| {
            line(
                grease_words(cx, def, d),
                Severity::Notice,
                Some(Mark::Hatched),
            )
        })
        .collect()
}

/// How a ring sits in its gland: the published limits that aren't kept, beside what it has. Not by how
/// much: a difference of two percentages reads as a share of one.
fn fit_lines(cx: &Cx<'_>, fit: &Fit) -> Vec<Line> {
    if fit.broken.is_empty() {
        return vec![line(
            cx.t("screen_seal_fit_kept"),
            Severity::Good,
            Some(Mark::Full),
        )];
    }
    let mut lines: Vec<Line> = fit
        .broken
        .iter()
        .map(|b| {
            let quantity = cx.t(match b.quantity {
                "squeeze" => "screen_seal_squeeze",
                "stretch" => "screen_seal_stretch",
                "fill" => "screen_seal_fill",
                "depth" => "screen_seal_gland_depth",
                _ => "screen_seal_gland_width",
            });
            let with_unit = |v: f64| {
                if b.unit == "mm" {
                    format!("{}\u{a0}mm", cx.units.fixed(v, 2))
                } else {
                    format!("{}\u{a0}%", cx.units.fixed(v, 1))
                }
            };
            let key = match (b.too_low, b.at_nominal) {
                (true, true) => "screen_seal_fit_low",
                (true, false) => "screen_seal_fit_low_worst",
                (false, true) => "screen_seal_fit_high",
                (false, false) => "screen_seal_fit_high_worst",
            };
            let text = cx.say(
                key,
                &[
                    ("what", (&quantity).into()),
                    ("value", (&with_unit(b.value)).into()),
                    ("limit", (&with_unit(b.limit)).into()),
                ],
            );
            line(text, Severity::Notice, Some(Mark::Hatched))
        })
        .collect();
    lines.push(line(cx.t("screen_seal_fit_maker"), Severity::Plain, None));
    lines
}

/// A span in percent: nominal, with the ends below it.
fn span_figure(cx: &Cx<'_>, label: &str, span: Span) -> Quantity {
    let label = cx.t(label);
    // With a sign that is no hyphen, and none before nothing.
    let shown = |v: f64| {
        let tenths = (v * 10.0).round() / 10.0 + 0.0;
        cx.units.fixed(tenths, 1).replace('-', "\u{2212}")
    };
    let value = shown(span.nominal);
    let ends = cx.say(
        "screen_seal_between",
        &[
            ("low", (&format!("{}\u{a0}%", shown(span.min))).into()),
            ("high", (&format!("{}\u{a0}%", shown(span.max))).into()),
        ],
    );
    let spoken = format!("{label}: {value}\u{a0}%, {ends}");
    Quantity {
        label,
        value,
        unit: "%".into(),
        uncertainty: Some(ends),
        spoken,
    }
}

fn figures(cx: &Cx<'_>, def: &Seal, facts: &SealFacts, fit: Option<&Fit>) -> Vec<Quantity> {
    let mut figures = Vec::new();
    if !def.size.is_empty() {
        figures.push(exact(cx.t("screen_seal_size"), def.size.clone(), ""));
    }
    if !def.material.is_empty() {
        let material = material_name(cx, &def.material);
        let hardness = if def.hardness_shore_a > 0 {
            format!("{material}, {}\u{a0}Shore\u{a0}A", def.hardness_shore_a)
        } else {
            material
        };
        figures.push(exact(cx.t("screen_seal_material"), hardness, ""));
    }
    let not_known = || cx.t("screen_seal_not_known");
    let fitted = facts.fitted.as_ref();
    figures.push(exact(
        cx.t("screen_seal_fitted"),
        fitted.map_or_else(not_known, |f| cx.local.day(f.ms)),
        "",
    ));
    for (label, text) in [
        ("screen_seal_pack", fitted.map(|f| &f.pack)),
        ("screen_seal_cured", fitted.map(|f| &f.cured)),
    ] {
        if let Some(text) = text.filter(|t| !t.is_empty()) {
            figures.push(exact(cx.t(label), text.clone(), ""));
        }
    }
    figures.push(exact(
        cx.t("screen_seal_openings"),
        facts.openings.to_string(),
        "",
    ));
    if def.limits.soft_dives.or(def.limits.hard_dives).is_some() {
        figures.push(exact(
            cx.t("screen_seal_dives"),
            facts.dives.to_string(),
            "",
        ));
    }
    if let Some(fit) = fit {
        figures.push(span_figure(cx, "screen_seal_squeeze", fit.squeeze));
        figures.push(span_figure(cx, "screen_seal_stretch", fit.stretch));
        figures.push(span_figure(cx, "screen_seal_fill", fit.fill));
    }
    figures
}

fn history(cx: &Cx<'_>, rig: &str, seal: &str) -> Result<Vec<SealsRow>, BookFault> {
    let subject = At::Seal(seal).of(rig);
    let events = cx.book.journal().run("reading a seal's history", |db| {
        slackwater_journal::store::events_of_subject(db, &subject, None, HISTORY_SHOWN)
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
                photo: None,
            }
        })
        .collect())
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
        SealsAction::OpenRig => go(Place::Rig {
            rig: rig.to_owned(),
            form: None,
        }),
        SealsAction::OpenClosure => {
            let facts = desk.book.rig(rig)?;
            let (def, _) = seal_of(&facts, here)?;
            let only = super::rig::only_closure(&facts, &def.enclosure);
            let Some(closure) = def.closure.as_deref().map(Some).or(only) else {
                return Ok(go(Place::Rig {
                    rig: rig.to_owned(),
                    form: Some(RigForm::Open(&def.enclosure).to_string()),
                }));
            };
            let recorded = desk.book.open_closure(rig, &def.enclosure, closure)?;
            let name = enclosure_name(&facts, &def.enclosure);
            done(
                recorded,
                desk.texts
                    .say("screen_rig_said_opened", &[("name", (&name).into())]),
            )
        }
        SealsAction::Service => {
            let facts = desk.book.rig(rig)?;
            let (_, known) = seal_of(&facts, here)?;
            go(Place::Service {
                rig: rig.to_owned(),
                seal: here.to_owned(),
                stage: super::service::begins(&facts, known),
                prep: None,
                step: None,
            })
        }
        SealsAction::SetSize { size } => {
            let facts = desk.book.rig(rig)?;
            seal_of(&facts, here)?;
            let mut def = facts.def.clone();
            for s in def.seals.iter_mut().filter(|s| s.id == here) {
                s.size.clone_from(&size);
            }
            let recorded = desk.book.edit_rig(rig, def)?;
            Outcome {
                go: Some(place(here, None)),
                ..done(
                    recorded,
                    desk.texts
                        .say("screen_seal_said_size", &[("size", (&size).into())]),
                )
            }
        }
        SealsAction::Edit { gland } => {
            seal_of(&*desk.book.rig(rig)?, here)?;
            let at = if gland {
                EditAt::Gland(here.to_owned())
            } else {
                EditAt::Item(Kind::Seal, Id::Own(here.to_owned()))
            };
            go(Place::RigEdit {
                rig: rig.to_owned(),
                part: Some(at.to_string()),
            })
        }
        SealsAction::OpenBox => go(Place::RingBox { form: None }),
        SealsAction::OpenSpares => go(Place::Spares {
            rig: rig.to_owned(),
            form: None,
        }),
        SealsAction::Submit { form, values } => {
            seal_of(&*desk.book.rig(rig)?, here)?;
            let mut typed = Typed::new(desk.texts, &values);
            let form = SealsForm::parse(&form);
            if form == Some(SealsForm::Measure) {
                let cx = desk.cx()?;
                let ring = read_new(&caliper_fields(&cx), &cx.units, &mut typed);
                let shown = SealsForm::Sizes(ring.inside, ring.section, ring.unit());
                if typed.faults.is_empty()
                    && let Some(Err(e)) = measured(shown).map(|m| oring::find(&m))
                {
                    let field = match &e {
                        OringError::Range {
                            quantity: Length::Section,
                            ..
                        } => SECTION,
                        _ => keys::INSIDE,
                    };
                    return Ok(super::cx::fault(field, cx.faults().ring(&e)));
                }
                if let Some(faults) = typed.faults() {
                    return Ok(faults);
                }
                return Ok(Outcome {
                    leave: true,
                    ..go(place(here, Some(shown.to_string())))
                });
            }
            if form == Some(SealsForm::Again) {
                let cx = desk.cx()?;
                let note = read_new(&again_field(&cx), &cx.units, &mut typed);
                if let Some(faults) = typed.faults() {
                    return Ok(faults);
                }
                let recorded = desk.book.look_again(rig, here, &note)?;
                return Ok(Outcome {
                    leave: true,
                    ..done(recorded, desk.texts.get("screen_seal_said_again"))
                });
            }
            let cx = desk.cx()?;
            let age = read_new(&age_fields(&cx), &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let at = desk.book.now().wall_ms - (age.days * 86_400_000.0) as i64;
            let recorded = desk.book.fit_seal(rig, here, "", &age.cured, Some(at))?;
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get("screen_seal_said_age"))
            }
        }
    })
}

fn show_form(label: String, form: SealsForm<'_>) -> SealsButton {
    button(
        label,
        SealsAction::ShowForm {
            form: form.to_string(),
        },
    )
}

impl SealsScreen {
    pub(super) fn page(self, texts: &Texts) -> Page {
        Draft::new(&texts.get("shell_seals_title"), &self.rig_name)
            .answer(&self.answer, Some(self.mark), self.severity)
            .lines(self.empty)
            .rows("", self.seals)
            .buttons(&texts.get("shell_more"), self.others)
            .main(self.main)
            .done()
    }
}

impl SealScreen {
    pub(super) fn page(self, texts: &Texts, form: Option<&str>) -> Page {
        if let (Some(form), true) = (self.form.clone(), form.is_some()) {
            return Draft::form_page(&self.name, &self.answer, form).done();
        }
        if !self.sizes.is_empty() {
            return Draft::new(&self.name, "").rows("", self.sizes).done();
        }
        let at_thumb = self.main.is_none();
        Draft::new(&self.name, "")
            .answer(&self.answer, Some(self.mark), self.severity)
            .beneath(&self.beneath)
            .lines(self.notices)
            .fields(self.form, at_thumb)
            .figures(&texts.get("shell_figures"), self.figures)
            .buttons(&texts.get("shell_more"), self.others)
            .rows(&texts.get("shell_history"), self.history)
            .photos(self.photos, &self.photo_subject)
            .main(self.main)
            .done()
    }
}
