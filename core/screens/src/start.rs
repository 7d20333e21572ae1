//! First start: three pages that found the crew. Each asks one thing: who are you, which gauge, which rig.
//!
//! A record with no member and no rig opens on them. What was answered already is told and not asked
//! again, so that Back and a killed process record nothing twice.

use super::asked::{asked_field, step_is_so, wrong};
use super::common::{FieldValue, Outcome, Place, Row, Severity};
use super::crew::{
    GaugeSaid, MemberSaid, ask_for_file, gauge_name, gauge_words, member_fields, step_of,
};
use super::cx::{Cx, Typed, button, fault, form, go, lead, line};
use super::desk::Desk;
use super::page::{Draft, Page};
use super::spec::{Spec, draw, pick_in, read, read_new};
use super::{keys, names, rigs};
use serde::{Deserialize, Serialize};
use slackwater_domain::book::{Book, BookFault};
use slackwater_domain::crew::{ALONE, SECOND_LOOK_MIN};

/// What a page of the first start asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum StartPage {
    /// Who holds the phone, and whether anybody else is in the crew.
    Who,
    /// The gauge; it can be passed over.
    Gauge,
    /// The first rig.
    Rig,
}

/// What the pages of the first start accept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum StartAction {
    /// On a phone that has nothing of its own: asks for the crew's file, from another phone of it.
    JoinCrew,
    /// Sends a form.
    Submit {
        /// [`super::common::Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

const GAUGE: Place = Place::Start {
    page: StartPage::Gauge,
};
const RIG: Place = Place::Start {
    page: StartPage::Rig,
};

/// Whether a record has still to be founded: it has neither a member nor a rig.
pub(super) fn is_wanted(book: &Book) -> Result<bool, BookFault> {
    Ok(book.members()?.is_empty() && book.rigs()?.is_empty())
}

/// Builds the page.
pub(super) fn page(cx: &Cx<'_>, page: StartPage) -> Result<Page, BookFault> {
    let (n, title) = match page {
        StartPage::Who => (1, "screen_start_who"),
        StartPage::Gauge => (2, "screen_start_gauge"),
        StartPage::Rig => (3, "screen_start_rig"),
    };
    let place = cx.say("screen_start_place", &[("n", (n as usize).into())]);
    let draft = Draft::new(&cx.t(title), &place).lines(rigs::notices(cx)?);
    let draft = match page {
        StartPage::Who => who(cx, draft)?,
        StartPage::Gauge => gauge(cx, draft)?,
        StartPage::Rig => rig(cx, draft)?,
    };
    Ok(draft.done())
}

fn who(cx: &Cx<'_>, draft: Draft) -> Result<Draft, BookFault> {
    let crew = lead(cx.t("action_crew"), Place::Crew { form: None });
    if !cx.book.members()?.is_empty() {
        let me = cx.book.me();
        let (answer, main) = if me.is_empty() {
            let say = button(cx.t("action_say_who"), crew.action.clone());
            (cx.t("screen_rigs_nobody"), say)
        } else {
            let holds = cx.say("screen_rigs_holder", &[("name", (&cx.name(me)).into())]);
            let on = lead(cx.t("action_begin_to_gauge"), GAUGE);
            (holds, on)
        };
        return Ok(draft
            .answer(&answer, None, Severity::Plain)
            .buttons(&cx.t("shell_more"), vec![crew])
            .main(Some(main)));
    }
    let mut others = vec![crew];
    if cx.book.is_fresh()? {
        let join = button(cx.t("action_join_crew"), StartAction::JoinCrew);
        others.insert(0, join);
    }
    let fields = draw(&who_fields(cx), &cx.units, None);
    let form = form("who", String::new(), fields, cx.t("action_begin_save"));
    Ok(draft
        .text(&cx.t("screen_start_who_why"))
        .fields(Some(form), true)
        .buttons(&cx.t("shell_more"), others))
}

/// Who begins, as typed.
#[derive(Debug, Clone, Default)]
struct Who {
    member: MemberSaid,
    with: String,
}

const ALONE_WORD: &str = "alone";

fn who_fields<'a>(cx: &Cx<'_>) -> Vec<Spec<'a, Who>> {
    let minutes = [("n", (SECOND_LOOK_MIN as usize).into())];
    let with = vec![
        ("more", cx.t("screen_start_more")),
        (ALONE_WORD, cx.say("screen_crew_signing_alone", &minutes)),
    ];
    let with = pick_in(
        keys::WITH,
        cx.t("screen_start_with"),
        with,
        |w: &mut Who| &mut w.with,
    );
    let member = member_fields(cx, |w: &mut Who| &mut w.member);
    member
        .into_iter()
        .chain([with.starts("more").must()])
        .collect()
}

/// The first gauge: what a form of it asks on the crew's page besides can wait.
fn gauge_fields<'a>(cx: &Cx<'_>) -> Vec<Spec<'a, GaugeSaid>> {
    let name = [gauge_name(cx)];
    let shows = names::gauge_fields(cx, |g: &mut GaugeSaid| &mut g.shows);
    name.into_iter().chain(shows).collect()
}

fn gauge(cx: &Cx<'_>, draft: Draft) -> Result<Draft, BookFault> {
    let rows: Vec<Row> = (cx.book.gauges()?.iter())
        .map(|(_, g)| Row {
            title: g.name.clone(),
            detail: gauge_words(cx, g),
            ..Row::default()
        })
        .collect();
    if !rows.is_empty() {
        let form = Some("gauge".to_owned());
        let another = lead(cx.t("action_add_gauge"), Place::Crew { form });
        let on = lead(cx.t("action_begin_to_rig"), RIG);
        return Ok(draft
            .rows("", rows)
            .buttons(&cx.t("shell_more"), vec![another])
            .main(Some(on)));
    }
    let new = GaugeSaid::new(cx.units.pressure);
    let mut fields = draw(&gauge_fields(cx), &cx.units, Some(&new));
    fields.extend(asked_field(cx, "gauge"));
    let form = form("gauge", String::new(), fields, cx.t("action_begin_save"));
    let over = lead(cx.t("action_begin_no_gauge"), RIG);
    Ok(draft
        .text(&cx.t("screen_start_gauge_why"))
        .fields(Some(form), true)
        .buttons(&cx.t("shell_more"), vec![over]))
}

fn rig(cx: &Cx<'_>, draft: Draft) -> Result<Draft, BookFault> {
    let home = Place::Rigs { form: None };
    let names: Vec<String> = cx.book.rigs()?.into_iter().map(|r| r.name).collect();
    if !names.is_empty() {
        let there = names.into_iter().map(|n| line(n, Severity::Plain, None));
        let rigs = lead(cx.t("action_begin_to_rigs"), home);
        return Ok(draft.lines(there).main(Some(rigs)));
    }
    let form = form(
        "rig",
        String::new(),
        rigs::new_fields(cx),
        cx.t("action_make_rig"),
    );
    let later = lead(cx.t("action_begin_later"), home);
    Ok(draft
        .text(&cx.t("screen_start_rig_why"))
        .fields(Some(form), true)
        .buttons(&cx.t("shell_more"), vec![later]))
}

/// Does an action.
pub(super) fn act(
    desk: &mut Desk,
    at: StartPage,
    action: StartAction,
) -> Result<Outcome, BookFault> {
    let (form, values) = match action {
        StartAction::JoinCrew => return Ok(ask_for_file()),
        StartAction::Submit { form, values } => (form, values),
    };
    // What was answered already is asked no more, whoever sends it late.
    let asked = page(&desk.cx()?, at)?;
    if !asked.forms().any(|f| f.key == form) {
        return Ok(fault("", desk.texts.get("error_other_screen")));
    }
    let mut typed = Typed::new(desk.texts, &values);
    Ok(match at {
        StartPage::Who => {
            let cx = desk.cx()?;
            let said = read_new(&who_fields(&cx), &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let id = desk.book.add_member(&said.member.name, said.member.role)?;
            desk.book.hold_phone(&id)?;
            // Last, and only where it is so: a crew that doesn't say that it is one person is asked for two.
            if said.with == ALONE_WORD {
                desk.book.choose(&[(ALONE, "yes")])?;
            }
            go(GAUGE)
        }
        StartPage::Gauge => {
            let cx = desk.cx()?;
            let units = cx.units;
            let mut said = GaugeSaid::new(units.pressure);
            read(&gauge_fields(&cx), &units, &mut typed, None, &mut said);
            let gauge = said.gauge();
            if !typed.faults.is_empty() {
                return Ok(typed.faults().unwrap_or_default());
            }
            if let Err(faults) = step_is_so(desk, &units, "gauge", &typed, step_of(&gauge), None) {
                return Ok(wrong(faults));
            }
            desk.book.define_gauge(None, gauge)?;
            go(RIG)
        }
        StartPage::Rig => rigs::make(desk, typed)?,
    })
}
