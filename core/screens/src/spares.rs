//! Rings for a planned shoot. Its one question: what falls due when, and what must be packed?

use chrono::{Days, NaiveDate};

use super::common::{FieldValue, Form, Line, Mark, Outcome, Place, Quantity, Severity};
use super::cx::{Cx, Typed, button, done, form, go, line};
use super::desk::Desk;
use super::keys;
use super::measures::exact;
use super::names::{past_words, seal_name};
use super::page::{Draft, Page};
use super::spec::{Spec, draw, must_whole_in, read, switch_in, text_in};
use super::texts::Texts;
use slackwater_domain::book::BookFault;
use slackwater_domain::facts::Shoot;
use slackwater_domain::fold::SALT_G_KG;
use slackwater_domain::spares::{self, SealForecast, Spare, today};
use slackwater_domain::state::RigFacts;

pub use super::common::{Button as SparesButton, Row as SparesRow};

/// What the spares accept.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum SparesAction {
    /// Shows a form: 'plan'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Opens a seal.
    OpenSeal {
        /// Seal id.
        seal: String,
    },
    /// Opens the box.
    OpenBox,
}

/// Rings for a planned shoot.
#[derive(Debug, Clone, PartialEq)]
pub struct SparesScreen {
    /// Rig id.
    pub rig: String,
    /// Name of the rig.
    pub rig_name: String,
    /// Title.
    pub title: String,
    /// 'Order 3 rings'.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// The plan.
    pub plan: Vec<Quantity>,
    /// What should be known: how it was counted, rings of unknown age.
    pub notices: Vec<Line>,
    /// What falls due, by day.
    pub due: Vec<SparesRow>,
    /// Rings to pack, what to order first.
    pub spares: Vec<SparesRow>,
    /// What will stand here without a plan.
    pub empty: Option<Line>,
    /// The form asked for.
    pub form: Option<Form>,
    /// The main action: plan.
    pub main: Option<SparesButton>,
    /// The others.
    pub others: Vec<SparesButton>,
}

/// Builds the screen.
pub(super) fn show(
    cx: &Cx<'_>,
    id: &str,
    form_shown: Option<&str>,
) -> Result<SparesScreen, BookFault> {
    let rig = cx.book.rig(id)?;
    let shown_form = (form_shown == Some("plan")).then(|| plan_form(cx, &rig));
    let others = vec![button(cx.t("action_box"), SparesAction::OpenBox)];
    // A plan that another program wrote and this one can't read counts as none.
    let planned = rig
        .shoot
        .as_ref()
        .and_then(|s| spares::check(s).ok().map(|first| (s, first)));
    let Some((shoot, first)) = planned else {
        return Ok(SparesScreen {
            rig: id.to_owned(),
            rig_name: rig.def.name.clone(),
            title: cx.t("screen_spares_title"),
            answer: cx.t("screen_spares_none"),
            mark: Mark::Hollow,
            severity: Severity::Plain,
            plan: Vec::new(),
            notices: Vec::new(),
            due: Vec::new(),
            spares: Vec::new(),
            empty: Some(line(cx.t("screen_spares_empty"), Severity::Plain, None)),
            form: shown_form,
            main: Some(show_form(cx.t("action_plan_shoot"), "plan")),
            others,
        });
    };
    let lots = cx.book.ring_box()?;
    let forecast = spares::forecast(&rig, shoot, cx.now).map_err(BookFault::Rig)?;
    let groups = spares::spares(&rig, shoot, &lots, cx.now).map_err(BookFault::Rig)?;
    let order: usize = groups.iter().map(|g| g.order as usize).sum();
    let answer = if order > 0 {
        cx.say("screen_spares_order", &[("n", order.into())])
    } else {
        cx.t("screen_spares_enough")
    };
    let mut due: Vec<&SealForecast> = forecast
        .iter()
        .filter(|f| f.due.is_some() || f.faulty)
        .collect();
    due.sort_by_key(|f| {
        if f.faulty {
            0
        } else {
            f.due.map_or(0, |d| d.0)
        }
    });
    let due: Vec<SparesRow> = due.iter().map(|f| due_row(cx, &rig, f, first)).collect();
    let mut notices = vec![line(
        cx.say(
            "screen_spares_counted",
            &[("n", (shoot.openings_per_day as usize).into())],
        ),
        Severity::Plain,
        None,
    )];
    let unknown: Vec<String> = forecast
        .iter()
        .filter(|f| f.age_unknown)
        .map(|f| seal_name(&rig, &f.seal))
        .collect();
    if !unknown.is_empty() {
        let text = cx.say(
            "screen_rig_seal_age",
            &[
                ("n", unknown.len().into()),
                ("names", (&unknown.join("; ")).into()),
            ],
        );
        notices.push(line(text, Severity::Notice, Some(Mark::Hatched)));
    }
    if due.is_empty() {
        notices.insert(
            0,
            line(
                cx.t("screen_spares_nothing_due"),
                Severity::Good,
                Some(Mark::Full),
            ),
        );
    }
    Ok(SparesScreen {
        rig: id.to_owned(),
        rig_name: rig.def.name.clone(),
        title: cx.t("screen_spares_title"),
        answer,
        mark: if order > 0 { Mark::Hollow } else { Mark::Full },
        severity: if order > 0 {
            Severity::Notice
        } else {
            Severity::Good
        },
        plan: plan_figures(cx, shoot, first),
        notices,
        due,
        spares: groups.iter().map(|g| spare_row(cx, &rig, g)).collect(),
        empty: None,
        form: shown_form,
        main: Some(show_form(cx.t("action_change_shoot"), "plan")),
        others,
    })
}

fn day_words(cx: &Cx<'_>, day: u32, first: NaiveDate) -> String {
    let date = first.checked_add_days(Days::new(u64::from(day.saturating_sub(1))));
    match (day, date) {
        (0, _) | (_, None) => cx.t("screen_spares_before"),
        (_, Some(date)) => cx.say(
            "screen_spares_day",
            &[
                ("n", (day as usize).into()),
                ("date", (&date.to_string()).into()),
            ],
        ),
    }
}

fn due_row(cx: &Cx<'_>, rig: &RigFacts, f: &SealForecast, first: NaiveDate) -> SparesRow {
    let name = seal_name(rig, &f.seal);
    let day = if f.faulty {
        0
    } else {
        f.due.map_or(0, |d| d.0)
    };
    let why = if f.faulty {
        cx.t("screen_seal_faulty_short")
    } else {
        f.due
            .map(|(_, past)| past_words(cx, &past))
            .unwrap_or_default()
    };
    let blocks = f.blocks.map(|(day, _)| {
        cx.say(
            "screen_spares_blocks",
            &[("day", (&day_words(cx, day, first)).into())],
        )
    });
    let soon = day == 0;
    SparesRow {
        title: name.clone(),
        detail: format!("{}. {why}", day_words(cx, day, first)),
        footnote: blocks,
        mark: Some(if soon { Mark::Struck } else { Mark::Hatched }),
        severity: if soon {
            Severity::Blocking
        } else {
            Severity::Notice
        },
        tap: Some(button(
            name,
            SparesAction::OpenSeal {
                seal: f.seal.clone(),
            },
        )),
        other: None,
        photo: None,
    }
}

fn spare_row(cx: &Cx<'_>, rig: &RigFacts, g: &Spare) -> SparesRow {
    let title = match (g.size.is_empty(), g.material.is_empty()) {
        (true, _) => cx.t("screen_spares_no_size"),
        (false, true) => g.size.clone(),
        (false, false) => format!("{}, {}", g.size, g.material),
    };
    let mut detail = cx.say(
        "screen_spares_take",
        &[
            ("n", (g.wanted as usize).into()),
            ("seals", g.seals.len().into()),
            ("due", (g.replacements as usize).into()),
        ],
    );
    detail.push(' ');
    detail.push_str(&cx.say(
        "screen_spares_have",
        &[
            ("have", (g.have as usize).into()),
            ("order", (g.order as usize).into()),
        ],
    ));
    if g.too_old > 0 {
        detail.push(' ');
        detail.push_str(&cx.say(
            "screen_spares_too_old",
            &[("n", (g.too_old as usize).into())],
        ));
    }
    let names: Vec<String> = g.seals.iter().map(|s| seal_name(rig, s)).collect();
    SparesRow {
        title,
        detail,
        footnote: Some(names.join("; ")),
        mark: Some(if g.order > 0 {
            Mark::Hollow
        } else {
            Mark::Full
        }),
        severity: if g.order > 0 {
            Severity::Notice
        } else {
            Severity::Good
        },
        tap: None,
        other: None,
        photo: None,
    }
}

fn plan_figures(cx: &Cx<'_>, shoot: &Shoot, first: NaiveDate) -> Vec<Quantity> {
    let water = if shoot.salt {
        "screen_spares_salt"
    } else {
        "screen_spares_fresh"
    };
    vec![
        exact(cx.t("screen_spares_first_day"), first.to_string(), ""),
        exact(cx.t("screen_spares_days"), shoot.days.to_string(), ""),
        exact(
            cx.t("screen_spares_dives"),
            shoot.dives_per_day.to_string(),
            "",
        ),
        exact(
            cx.t("screen_spares_openings"),
            shoot.openings_per_day.to_string(),
            "",
        ),
        exact(cx.t("screen_spares_water"), cx.t(water), ""),
    ]
}

/// The shoot as planned, or as it is usual where none is.
fn shoot_of(cx: &Cx<'_>, rig: &RigFacts) -> Shoot {
    rig.shoot.clone().unwrap_or_else(|| Shoot {
        first_day: today(cx.now).to_string(),
        days: 7,
        dives_per_day: 2,
        openings_per_day: 2,
        salt: rig.def.plan.salinity_g_kg >= SALT_G_KG,
    })
}

fn plan_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, Shoot>; 5] {
    let first = cx.t("screen_spares_first_day");
    let (dives, openings) = (cx.t("screen_spares_dives"), cx.t("screen_spares_openings"));
    [
        text_in("first_day", first, |s: &mut Shoot| &mut s.first_day)
            .hint(cx.t("screen_spares_first_day_hint"))
            .must(),
        must_whole_in(keys::DAYS, cx.t("screen_spares_days"), |s: &mut Shoot| {
            &mut s.days
        }),
        must_whole_in("dives_per_day", dives, |s: &mut Shoot| &mut s.dives_per_day),
        must_whole_in("openings_per_day", openings, |s: &mut Shoot| {
            &mut s.openings_per_day
        })
        .hint(cx.t("screen_spares_openings_hint")),
        switch_in(
            keys::SALT,
            cx.t("screen_spares_in_salt"),
            |s: &mut Shoot| &mut s.salt,
        ),
    ]
}

fn plan_form(cx: &Cx<'_>, rig: &RigFacts) -> Form {
    form(
        "plan",
        cx.t("screen_spares_plan_title"),
        draw(&plan_fields(cx), &cx.units, Some(&shoot_of(cx, rig))),
        cx.t("action_keep_plan"),
    )
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, rig: &str, action: SparesAction) -> Result<Outcome, BookFault> {
    let facts = desk.book.rig(rig)?;
    Ok(match action {
        SparesAction::ShowForm { form } => go(Place::Spares {
            rig: rig.to_owned(),
            form: Some(form),
        }),
        SparesAction::OpenSeal { seal } => go(Place::Seal {
            rig: rig.to_owned(),
            seal,
            form: None,
        }),
        SparesAction::OpenBox => go(Place::RingBox { form: None }),
        SparesAction::Submit { values, .. } => {
            let mut typed = Typed::new(desk.texts, &values);
            let cx = desk.cx()?;
            let mut shoot = shoot_of(&cx, &facts);
            read(&plan_fields(&cx), &cx.units, &mut typed, None, &mut shoot);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.plan_shoot(rig, shoot)?;
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get("screen_spares_said_planned"))
            }
        }
    })
}

fn show_form(label: String, form: &str) -> SparesButton {
    button(
        label,
        SparesAction::ShowForm {
            form: form.to_owned(),
        },
    )
}

impl SparesScreen {
    pub(super) fn page(self, texts: &Texts) -> Page {
        if let Some(form) = self.form {
            return Draft::form_page(&self.title, &self.rig_name, form).done();
        }
        Draft::new(&self.title, &self.rig_name)
            .answer(&self.answer, Some(self.mark), self.severity)
            .lines(self.empty)
            .rows(&texts.get("shell_to_pack"), self.spares)
            .rows(&texts.get("shell_falls_due"), self.due)
            .lines(self.notices)
            .figures(&texts.get("shell_plan"), self.plan)
            .buttons(&texts.get("shell_more"), self.others)
            .main(self.main)
            .done()
    }
}
