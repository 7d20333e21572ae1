//! All rigs. Its one question: which rig, and can it go in the water?

use super::common::{Field, FieldValue, Form, Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, Typed, button, form, go, lead, line};
use super::desk::Desk;
use super::keys;
use super::page::{Block, Draft, Page};
use super::spec::{Spec, draw, pick_in, read_new, text_in};
use super::texts::Texts;
use super::times::span;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::templates;

pub use super::common::{Button as RigsButton, Row as RigsRow};

/// What the rigs screen accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum RigsAction {
    /// Opens a rig.
    OpenRig {
        /// Rig id.
        rig: String,
    },
    /// Shows or hides the form for a new rig (`RigsScreen::form`).
    NewRig,
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Opens the journal of everything.
    OpenJournal,
    /// Opens the crew screen.
    OpenCrew,
    /// On a phone that has nothing of its own: asks for the crew's file, from another phone of it.
    JoinCrew,
}

/// The rigs screen.
#[derive(Debug, Clone, PartialEq)]
pub struct RigsScreen {
    /// Title.
    pub title: String,
    /// Who holds the phone ('Assistant: Noor').
    pub holder: String,
    /// What must be known first: a file set aside, a clock that was set back, storage nearly full.
    pub notices: Vec<Line>,
    /// The rigs in use.
    pub rigs: Vec<RigsRow>,
    /// Retired rigs.
    pub retired: Vec<RigsRow>,
    /// What will stand here, when there is no rig.
    pub empty: Option<Line>,
    /// The form for a new rig, when asked for.
    pub form: Option<Form>,
    /// The main action.
    pub main: Option<RigsButton>,
    /// The others.
    pub others: Vec<RigsButton>,
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, form: Option<&str>) -> Result<RigsScreen, BookFault> {
    let mut rigs = Vec::new();
    let mut retired = Vec::new();
    for entry in cx.book.rigs()? {
        let facts = cx.book.rig(&entry.id)?;
        let readiness = cx.book.readiness(&entry.id)?;
        let words = super::rig::answer(cx, &facts, &readiness);
        // The one to dive first: what is ready, then what has the least left.
        let left = super::rig::things(&facts, &readiness.obstacles).len();
        let order = (readiness.until.as_ref().map_or(i64::MAX, |u| u.0), left);
        let row = RigsRow {
            other: None,
            photo: None,
            title: entry.name.clone(),
            detail: words.answer,
            footnote: Some(words.reason).filter(|r| !r.is_empty()),
            mark: Some(words.mark),
            severity: words.severity,
            tap: Some(button(entry.name, RigsAction::OpenRig { rig: entry.id })),
        };
        if entry.retired {
            retired.push(row)
        } else {
            rigs.push((order, row, facts, readiness))
        }
    }
    rigs.sort_by_key(|r| r.0);
    // Of the first alone: what comes next is asked of its procedures, too.
    let next = match rigs.first() {
        Some((.., facts, readiness)) => super::rig::next_of(cx, facts, readiness)?,
        None => None,
    };
    let rigs: Vec<RigsRow> = rigs.into_iter().map(|r| r.1).collect();
    let nobody = cx.book.me().is_empty();
    let holder = if nobody {
        cx.t("screen_rigs_nobody")
    } else {
        cx.say(
            "screen_rigs_holder",
            &[("name", (&cx.name(cx.book.me())).into())],
        )
    };
    let notices = notices(cx)?;
    let empty = (rigs.is_empty() && retired.is_empty())
        .then(|| line(cx.t("screen_rigs_empty"), Severity::Plain, None));
    let new_rig = button(cx.t("action_new_rig"), RigsAction::NewRig);
    let crew = button(
        if nobody {
            cx.t("action_say_who")
        } else {
            cx.t("action_crew")
        },
        RigsAction::OpenCrew,
    );
    let journal = button(cx.t("action_journal"), RigsAction::OpenJournal);
    let (main, others) = if super::start::is_wanted(cx.book)? {
        let page = super::start::StartPage::Who;
        let place = Place::Start { page };
        let start = lead(cx.t("action_begin"), place);
        let mut others = vec![crew, new_rig, journal];
        if cx.book.is_fresh()? {
            let join = button(cx.t("action_join_crew"), RigsAction::JoinCrew);
            others.insert(0, join);
        }
        (Some(start), others)
    } else if nobody {
        (Some(crew), vec![new_rig, journal])
    } else if rigs.is_empty() {
        (Some(new_rig), vec![crew, journal])
    } else {
        (next, vec![new_rig, crew, journal])
    };
    Ok(RigsScreen {
        title: cx.t("screen_rigs_title"),
        holder,
        notices,
        rigs,
        retired,
        empty,
        form: (form == Some("new")).then(|| new_form(cx)),
        main,
        others,
    })
}

/// What must be known first: a file set aside, a clock that was set back, a phone that isn't known.
pub(super) fn notices(cx: &Cx<'_>) -> Result<Vec<Line>, BookFault> {
    let mut notices = Vec::new();
    if let Some(aside) = &cx.book.opening.set_aside {
        let name = aside
            .path
            .file_name()
            .map(|n| n.to_string_lossy().into_owned());
        notices.push(line(
            cx.say(
                "screen_rigs_set_aside",
                &[
                    ("file", name.unwrap_or_default().as_str().into()),
                    ("why", (&cx.faults().damage(&aside.why)).into()),
                ],
            ),
            Severity::Blocking,
            Some(Mark::Struck),
        ));
    }
    if let Some(lost) = &cx.book.opening.lost {
        let missing = lost.had.saturating_sub(lost.here);
        notices.push(line(
            cx.say("screen_rigs_lost", &[("n", (missing as usize).into())]),
            Severity::Blocking,
            Some(Mark::Struck),
        ));
    }
    if cx.book.opening.key_alone {
        notices.push(line(
            cx.t("screen_rigs_key_alone"),
            Severity::Blocking,
            Some(Mark::Struck),
        ));
    }
    if cx.book.opening.other_key {
        notices.push(line(
            cx.t("screen_rigs_other_key"),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if let Some(key) = &cx.book.opening.key_set_aside {
        let name = key
            .path
            .file_name()
            .map(|n| n.to_string_lossy().into_owned());
        notices.push(line(
            cx.say(
                "screen_rigs_key_set_aside",
                &[("file", name.unwrap_or_default().as_str().into())],
            ),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if let Some(why) = cx.without_secret {
        notices.push(line(
            cx.say("screen_rigs_without_secret", &[("why", why.into())]),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    notices.extend(super::phones::notices(cx, None)?);
    let behind = cx.now.newest.ms().saturating_sub(cx.now.wall_ms);
    if behind > 60_000 {
        notices.push(line(
            cx.say(
                "screen_rigs_clock_behind",
                &[("time", (&span(behind)).into())],
            ),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    Ok(notices)
}

/// A new rig, as typed.
#[derive(Debug, Clone, Default)]
struct NewRig {
    name: String,
    template: String,
}

fn fields<'a>(cx: &Cx<'_>) -> [Spec<'a, NewRig>; 2] {
    let all = templates();
    let choices = all.iter().map(|t| (t.id, t.rig.name.clone())).collect();
    let template = cx.t("screen_rigs_new_template");
    [
        text_in(
            keys::NAME,
            cx.t("screen_rigs_new_name"),
            |n: &mut NewRig| &mut n.name,
        )
        .must(),
        pick_in("template", template, choices, |n: &mut NewRig| {
            &mut n.template
        })
        .starts(all.first().map_or("", |t| t.id))
        .must(),
    ]
}

/// What a new rig is made from.
pub(super) fn new_fields(cx: &Cx<'_>) -> Vec<Field> {
    draw(&fields(cx), &cx.units, None)
}

fn new_form(cx: &Cx<'_>) -> Form {
    form(
        "new",
        cx.t("screen_rigs_new_title"),
        new_fields(cx),
        cx.t("action_make_rig"),
    )
}

/// Makes the rig that was typed, and leads to it.
pub(super) fn make(desk: &mut Desk, mut typed: Typed<'_>) -> Result<Outcome, BookFault> {
    let cx = desk.cx()?;
    let new = read_new(&fields(&cx), &cx.units, &mut typed);
    if let Some(faults) = typed.faults() {
        return Ok(faults);
    }
    let rig = desk.book.create_from_template(&new.template, &new.name)?;
    Ok(Outcome {
        leave: true,
        ..go(Place::Rig { rig, form: None })
    })
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, action: RigsAction) -> Result<Outcome, BookFault> {
    Ok(match action {
        RigsAction::OpenRig { rig } => go(Place::Rig { rig, form: None }),
        RigsAction::NewRig => go(Place::Rigs {
            form: Some("new".into()),
        }),
        RigsAction::OpenJournal => go(Place::Days {
            rig: None,
            before: None,
            filter: super::days::DaysFilter::default(),
            form: None,
        }),
        RigsAction::OpenCrew => super::crew::go_to_crew(desk)?,
        RigsAction::JoinCrew => super::crew::ask_for_file(),
        RigsAction::Submit { values, .. } => {
            let typed = Typed::new(desk.texts, &values);
            make(desk, typed)?
        }
    })
}

impl RigsScreen {
    pub(super) fn page(self, texts: &Texts, form: Option<&str>) -> Page {
        if let (Some(form), true) = (self.form.clone(), form.is_some()) {
            return Draft::form_page(&self.title, "", form).done();
        }
        let at_thumb = self.main.is_none();
        Draft::new(&self.title, &self.holder)
            .lines(self.notices)
            .large_rows(self.rigs)
            .lines(self.empty)
            .fields(self.form, at_thumb)
            .buttons(&texts.get("shell_more"), self.others)
            .rows(&texts.get("shell_retired"), self.retired)
            .block(Block::Lights)
            .main(self.main)
            .done()
    }
}
