//! One rig, readiness on top. Its one question: may it go in now, and if not, what next?

use super::asked::{SURE, asked_field};
use super::common::{FieldValue, Form, Line, Mark, Outcome, PhotoTile, Place, Quantity, Severity};
use super::cx::{Cx, Typed, button, done, fault, form, go, lead, line};
use super::desk::Desk;
use super::forms::{AskedOf, RigForm};
use super::keys;
use super::measures::{Unit, exact};
use super::names::{
    enclosure_name, figure_words, finding_name, finding_of, function_of, grease_words, held_result,
    losses_words, material_name, past_words, seal_name, took_away,
};
use super::page::{Draft, Page};
use super::rig_edit::kind::Kind;
use super::rig_edit::path::{EditAt, Id};
use super::rig_map::{self, RigMap};
use super::spec::{
    Spec, asked, draw, long_text_in, must_num_in, one_of_in, pick_in, read_new, read_over,
    switch_in, switch_or_unsaid_in, text_in,
};
use super::texts::Texts;
use super::times::span;
use slackwater_domain::book::{Book, BookFault, NewDive, left_open};
use slackwater_domain::facts::{HoldResult, RingMade};
use slackwater_domain::fold::SALT_G_KG;
use slackwater_domain::procedure::{ProcedureKind, StepKind, Target};
use slackwater_domain::readiness::{EndsBy, Obstacle, Readiness, Remark, Unsigned};
use slackwater_domain::rig::{Control, Enclosure, Plan, RigDef};
use slackwater_domain::rules::{
    HoldMissing, RecheckMissing, WentIn, as_fitted, changed_since, closed_since, control_failed,
    counting_hold, counting_recheck, differing, needs_service, plug_in, plug_refitted,
    since_judged, to_look_into, unlike_listed, untested, went_in,
};
use slackwater_domain::state::{DefectFacts, EnclosureFacts, RigFacts, StepState};
use slackwater_domain::subject::At;
use slackwater_domain::trim::Untrimmed;

pub use super::common::{Button as RigButton, Row as RigRow};

/// What the rig screen accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum RigAction {
    /// Starts a prep by a procedure.
    StartPrep {
        /// Procedure id.
        procedure: String,
    },
    /// Goes on with a prep that was interrupted.
    ResumePrep {
        /// Prep id.
        prep: String,
    },
    /// Keeps what phones edited apart as it is shown: all of it, and of each thing the stricter.
    KeepEdits,
    /// Records that a closure was opened. Can't be undone: needs the second tap.
    OpenClosure {
        /// Enclosure id.
        enclosure: String,
        /// Closure id; none if it isn't known which.
        closure: Option<String>,
    },
    /// Records that an enclosure was closed.
    CloseEnclosure {
        /// Enclosure id.
        enclosure: String,
    },
    /// Sets up a hold, or goes to the one under way.
    Hold {
        /// Enclosure id.
        enclosure: String,
    },
    /// Records that the plug was refitted.
    PlugOn {
        /// Enclosure id.
        enclosure: String,
    },
    /// Records that the plug was taken off.
    PlugOff {
        /// Enclosure id.
        enclosure: String,
    },
    /// Records a control test.
    ControlTested {
        /// Control id.
        control: String,
        /// True if it did what the map says.
        works: bool,
    },
    /// Shows the controls to test (`RigScreen::controls`).
    ShowControls,
    /// Opens the deck recheck.
    OpenRecheck,
    /// Opens the trim.
    OpenTrim,
    /// Opens the seals, or one of them.
    OpenSeals {
        /// Seal id, or none for all.
        seal: Option<String>,
    },
    /// Signs a two-person step as the second member.
    OpenStep {
        /// Prep id.
        prep: String,
        /// Step instance key.
        step: String,
    },
    /// Shows one of the screen's forms: 'defect', 'dive', 'lens', 'copy', 'plan', 'water', or
    /// 'open/ENCLOSURE', which asks what of it was opened.
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
    /// Closes a defect: looked at and put right.
    CloseDefect {
        /// Defect id.
        defect: String,
    },
    /// Opens the editor.
    Edit,
    /// Opens the editor at a part ('enclosure/main'), or for a new one ('add/seal').
    EditPart {
        /// As [`Place::RigEdit`] names it.
        part: String,
    },
    /// Retires the rig, or takes it back into use.
    Retire {
        /// True to retire.
        retire: bool,
    },
    /// Opens the rig's journal.
    OpenJournal,
    /// Opens the crew: who holds the phone.
    OpenCrew,
}

/// The rig screen.
#[derive(Debug, Clone, PartialEq)]
pub struct RigScreen {
    /// Rig id.
    pub rig: String,
    /// Its name.
    pub name: String,
    /// The answer: 'Ready until 14:20' or 'Not ready: 3 things'.
    pub answer: String,
    /// The answer's mark.
    pub mark: Mark,
    /// The answer's weight.
    pub severity: Severity,
    /// One line beneath: what the answer rests on, or what ends it.
    pub reason: String,
    /// What stands in the way, in the order to work through; each row's tap clears it or leads there.
    pub obstacles: Vec<RigRow>,
    /// What doesn't block but should be known: skipped steps, seals soon due, an unfinished prep.
    pub notices: Vec<Line>,
    /// The rig drawn from its side; none where it has no enclosure.
    pub map: Option<RigMap>,
    /// The enclosures, each with its state in a sentence.
    pub enclosures: Vec<RigRow>,
    /// Open defects.
    pub defects: Vec<RigRow>,
    /// Preps under way, and the procedures that can be started.
    pub procedures: Vec<RigRow>,
    /// The control map, when asked for: each control with its function and its last test.
    pub controls: Vec<RigRow>,
    /// Figures of the plan: depth, minutes, lens.
    pub plan: Vec<Quantity>,
    /// Latest photos of the rig, or of the defect whose form is shown.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The form asked for.
    pub form: Option<Form>,
    /// The main action: the first thing to do.
    pub main: Option<RigButton>,
    /// The others.
    pub others: Vec<RigButton>,
    /// What a vacuum hold can't prove; shown with every 'ready'.
    pub caveat: String,
}

/// A rig's readiness in words.
pub(super) struct Answer {
    pub answer: String,
    pub reason: String,
    pub mark: Mark,
    pub severity: Severity,
}

/// Puts readiness into words.
pub(super) fn answer(cx: &Cx<'_>, rig: &RigFacts, readiness: &Readiness) -> Answer {
    if rig.retired {
        return Answer {
            answer: cx.t("screen_rig_retired"),
            reason: String::new(),
            mark: Mark::Struck,
            severity: Severity::Plain,
        };
    }
    if let Some((until, by)) = &readiness.until {
        let time = cx.local.until(cx.texts, *until, cx.now.wall_ms);
        let reason = match by {
            EndsBy::Recheck { enclosure } => cx.say(
                "screen_rig_until_recheck",
                &[("name", (&enclosure_name(rig, enclosure)).into())],
            ),
            EndsBy::Seal { seal } => cx.say(
                "screen_rig_until_seal",
                &[("name", (&seal_name(rig, seal)).into())],
            ),
        };
        let of_one = |r: &Remark| matches!(r, Remark::OneWord | Remark::CrewOfOne);
        let key = if readiness.remarks.iter().any(of_one) {
            "screen_rig_ready_one_word"
        } else {
            "screen_rig_ready_until"
        };
        return Answer {
            answer: cx.say(key, &[("time", (&time).into())]),
            reason,
            mark: Mark::Full,
            severity: Severity::Good,
        };
    }
    let things = things(rig, &readiness.obstacles);
    let first = things.first().map(|t| thing_words(cx, rig, t).0);
    Answer {
        answer: cx.say("screen_rig_not_ready", &[("n", things.len().into())]),
        reason: first.unwrap_or_default(),
        mark: Mark::Hollow,
        severity: Severity::Blocking,
    }
}

/// Obstacles that one action clears are one thing to a person: the untested controls of an
/// enclosure are tried one after another on one screen.
pub(super) fn things<'a>(rig: &RigFacts, obstacles: &'a [Obstacle]) -> Vec<Vec<&'a Obstacle>> {
    let untested_of = |o: &Obstacle| match o {
        Obstacle::Control {
            control,
            failed: false,
        } => rig.def.control(control).map(|c| c.enclosure.clone()),
        // One look at all of them.
        Obstacle::PlugUnseen { .. } => Some("@plugs".to_owned()),
        // One after the other, from the list of them.
        Obstacle::SealToService { enclosure, .. } => Some(format!("@seals/{enclosure}")),
        _ => None,
    };
    let mut things: Vec<Vec<&Obstacle>> = Vec::new();
    for o in obstacles {
        let enclosure = untested_of(o);
        let same = things
            .iter_mut()
            .find(|t| enclosure.is_some() && t.first().and_then(|f| untested_of(f)) == enclosure);
        match same {
            Some(thing) => thing.push(o),
            None => things.push(vec![o]),
        }
    }
    things
}

/// The enclosure that an obstacle is about.
fn enclosure_of<'a>(rig: &'a RigFacts, o: &'a Obstacle) -> Option<&'a str> {
    match o {
        Obstacle::SealPastLimit { seal, .. } | Obstacle::SealFaulty { seal, .. } => {
            rig.def.seal(seal).map(|s| s.enclosure.as_str())
        }
        Obstacle::NoSeals { enclosure }
        | Obstacle::NoValve { enclosure }
        | Obstacle::SealToService { enclosure, .. }
        | Obstacle::NotClosed { enclosure }
        | Obstacle::NoHold { enclosure, .. }
        | Obstacle::PlugOff { enclosure } => Some(enclosure),
        Obstacle::Control { control, .. } => rig.def.control(control).map(|c| c.enclosure.as_str()),
        _ => None,
    }
}

/// A thing in words: what, why, and what clears it.
fn thing_words(
    cx: &Cx<'_>,
    rig: &RigFacts,
    thing: &[&Obstacle],
) -> (String, String, Option<RigButton>) {
    let Some(first) = thing.first() else {
        return (String::new(), String::new(), None);
    };
    let words = obstacle(cx, rig, first);
    if thing.len() < 2 {
        return words;
    }
    if let Obstacle::PlugUnseen { .. } = first {
        let names: Vec<String> = thing
            .iter()
            .filter_map(|o| match o {
                Obstacle::PlugUnseen { enclosure } => Some(enclosure_name(rig, enclosure)),
                _ => None,
            })
            .collect();
        let title = plugs_unseen_words(cx, rig, &names);
        return (title, words.1, words.2);
    }
    if let Obstacle::SealToService { enclosure, .. } = first {
        let names: Vec<String> = thing
            .iter()
            .filter_map(|o| match o {
                Obstacle::SealToService { seal, .. } => rig.def.seal(seal).map(|s| s.name.clone()),
                _ => None,
            })
            .collect();
        let title = cx.say(
            "screen_rig_seals_to_service",
            &[
                ("n", names.len().into()),
                ("name", (&enclosure_name(rig, enclosure)).into()),
            ],
        );
        return (title, names.join(", "), words.2);
    }
    let controls: Vec<&Control> = thing
        .iter()
        .filter_map(|o| match o {
            Obstacle::Control { control, .. } => rig.def.control(control),
            _ => None,
        })
        .collect();
    let enclosure = controls
        .first()
        .map(|c| enclosure_name(rig, &c.enclosure))
        .unwrap_or_default();
    let title = cx.say(
        "screen_rig_controls_untested",
        &[("n", controls.len().into()), ("name", (&enclosure).into())],
    );
    let names: Vec<String> = controls.iter().map(|c| function_of(cx, c)).collect();
    (title, names.join(", "), words.2)
}

/// Of two texts the one for a crew of one, where it is one: nobody else is asked for then.
pub(super) fn by_crew(cx: &Cx<'_>, rig: &RigFacts, two: &str, one: &str) -> String {
    cx.t(if rig.crew.alone { one } else { two })
}

/// Why something that is looked at twice isn't signed.
fn unsigned_words(cx: &Cx<'_>, rig: &RigFacts, why: Unsigned) -> String {
    match why {
        Unsigned::NotDone => by_crew(
            cx,
            rig,
            "screen_rig_step_not_done",
            "screen_rig_step_not_done_alone",
        ),
        Unsigned::Skipped => by_crew(
            cx,
            rig,
            "screen_rig_step_skipped_two",
            "screen_rig_step_skipped_two_alone",
        ),
        Unsigned::SecondMember => by_crew(
            cx,
            rig,
            "screen_rig_step_second",
            "screen_rig_step_second_alone",
        ),
    }
}

/// 'Plug of Main housing: only one has seen it'.
fn plugs_unseen_words(cx: &Cx<'_>, rig: &RigFacts, names: &[String]) -> String {
    let key = if rig.crew.alone {
        "screen_rig_plugs_unseen_alone"
    } else {
        "screen_rig_plugs_unseen"
    };
    cx.say(
        key,
        &[
            ("n", names.len().into()),
            ("names", (&names.join(", ")).into()),
        ],
    )
}

/// What a hold is to be judged again for: what is otherwise than what it was judged for.
fn other_plan_words(cx: &Cx<'_>, rig: &RigFacts, hold: &str) -> String {
    let mut holds = rig.enclosures.iter().flat_map(|e| &e.holds);
    let differs = holds.find(|h| h.id == hold);
    let differs = differs.map_or_else(Vec::new, |h| since_judged(rig, h));
    let what: Vec<String> = differs.iter().map(|d| figure_words(cx, d)).collect();
    if what.is_empty() {
        return cx.t("screen_rig_hold_other_plan");
    }
    cx.say(
        "screen_rig_hold_other_plan_named",
        &[("what", (&what.join("; ")).into())],
    )
}

/// An obstacle in words: what, why, and what clears it.
fn obstacle(cx: &Cx<'_>, rig: &RigFacts, o: &Obstacle) -> (String, String, Option<RigButton>) {
    let named = |key: &str, name: &str| cx.say(key, &[("name", name.into())]);
    match o {
        Obstacle::Retired => (
            cx.t("screen_rig_retired"),
            cx.t("screen_rig_retired_why"),
            Some(button(
                cx.t("action_use_again"),
                RigAction::Retire { retire: false },
            )),
        ),
        Obstacle::NoEnclosures => (
            cx.t("screen_rig_no_enclosures"),
            cx.t("screen_rig_no_enclosures_why"),
            Some(edit_part(cx, &EditAt::Add(Kind::Enclosure))),
        ),
        Obstacle::Defect { defect } => {
            let found = rig.defects.iter().find(|d| d.id == *defect);
            let text = found.map(|d| d.text.clone()).unwrap_or_default();
            let why = found
                .map(|d| cx.who_when(&d.author, d.opened_ms))
                .unwrap_or_default();
            let shut = found.map_or_else(Vec::new, |d| to_look_into(rig, d));
            if let Some(open) = shut.iter().find(|e| open_now(rig, e)) {
                // It lay open when the water was found: nothing has to be opened to look.
                let name = enclosure_name(rig, open);
                let closure = (rig.enclosure(open)).and_then(|e| {
                    let last = e.openings.iter().max_by_key(|(_, told)| told.stamp);
                    last.map(|(closure, _)| closure.clone())
                        .filter(|c| !c.is_empty())
                });
                let tap = button(
                    named("action_looked_inside", &name),
                    RigAction::OpenClosure {
                        enclosure: (*open).to_owned(),
                        closure,
                    },
                );
                let why = named("screen_rig_look_inside_open", &name);
                return (named("screen_rig_defect", &text), why, Some(tap));
            }
            if let Some(first) = shut.first() {
                let names: Vec<String> = shut.iter().map(|e| enclosure_name(rig, e)).collect();
                // The procedure opens it, with what is to be minded before: until it is through nothing here does.
                let flood = found.and_then(|d| flood_first(cx, rig, d));
                let names = names.join(", ");
                let (mut why, tap) = match flood {
                    Some((title, tap)) => {
                        let args = [("names", (&names).into()), ("title", (&title).into())];
                        (cx.say("screen_rig_look_inside_flood", &args), tap)
                    }
                    None => (
                        cx.say("screen_rig_look_inside", &[("names", (&names).into())]),
                        open_button(cx, rig, first),
                    ),
                };
                // One that is proved loses its proof by that, dry or not.
                let proved =
                    |e: &&&str| (rig.enclosure(e)).is_some_and(|e| counting_hold(rig, e).is_ok());
                let proved: Vec<String> = (shut.iter().filter(proved))
                    .map(|e| enclosure_name(rig, e))
                    .collect();
                if !proved.is_empty() {
                    let takes = named("screen_rig_open_takes", &proved.join(", "));
                    why = format!("{why}. {takes}");
                }
                return (named("screen_rig_defect", &text), why, Some(tap));
            }
            let tap = button(
                cx.t("action_close_defect"),
                RigAction::CloseDefect {
                    defect: defect.clone(),
                },
            );
            (named("screen_rig_defect", &text), why, Some(tap))
        }
        Obstacle::Unread { events } => (
            cx.say("screen_rig_unread", &[("n", (*events).into())]),
            cx.t("screen_rig_unread_why"),
            Some(show_form(cx.t("action_answer_unread"), RigForm::Unread)),
        ),
        Obstacle::LossUnsigned { event } => {
            let loss = rig.losses.iter().find(|l| l.event == *event);
            let what = loss.map_or_else(String::new, |l| losses_words(cx, &l.what));
            let why =
                loss.map_or_else(String::new, |l| cx.who_when(&l.seen.author, l.seen.wall_ms));
            (
                cx.say(
                    if rig.crew.alone {
                        "screen_rig_loss_alone"
                    } else {
                        "screen_rig_loss"
                    },
                    &[("what", (&what).into())],
                ),
                why,
                sign_button(cx, rig, &super::signing::loss_key(event)),
            )
        }
        Obstacle::FaultOnGone { at } => {
            let gone = rig.gone.iter().find(|g| g.at == *at);
            let why =
                gone.map_or_else(String::new, |g| cx.who_when(&g.seen.author, g.seen.wall_ms));
            (
                named("screen_rig_gone", &gone_name(rig, at)),
                why,
                Some(show_form(
                    cx.t("action_answer_fault"),
                    RigForm::Inspect(At::parse(at)),
                )),
            )
        }
        Obstacle::Lost => (
            lost_title(cx, rig),
            cx.t(if rig.record_gone() {
                "screen_rig_gone_record_why"
            } else {
                "screen_rig_lost_why"
            }),
            Some(show_form(cx.t("action_answer_lost"), RigForm::Lost)),
        ),
        Obstacle::NotHere { events } => (
            cx.say("screen_rig_not_here", &[("n", (*events as usize).into())]),
            cx.t("screen_rig_not_here_why"),
            Some(show_form(cx.t("action_answer_not_here"), RigForm::NotHere)),
        ),
        Obstacle::EditedApart if rig.edited_apart.is_empty() => (
            cx.t("screen_rig_edited_unknowing"),
            cx.t("screen_rig_edited_unknowing_why"),
            Some(RigButton {
                confirm: Some(cx.t("screen_rig_edited_apart_confirm")),
                ..button(cx.t("action_keep_edit"), RigAction::KeepEdits)
            }),
        ),
        Obstacle::EditedApart => {
            let edits = rig.edited_apart.iter();
            let who: Vec<String> = edits
                .clone()
                .map(|(e, _)| cx.who_when(&e.author, e.wall_ms))
                .collect();
            let defs: Vec<&RigDef> = edits.map(|(_, def)| def).collect();
            let (mut things, plan) = differing(&defs);
            if plan {
                things.push(cx.t("screen_rig_edited_apart_plan"));
            }
            if things.is_empty() {
                things.push(cx.t("screen_rig_edited_apart_words"));
            }
            let question = cx.t("screen_rig_edited_apart_confirm");
            (
                cx.t("screen_rig_edited_apart"),
                cx.say(
                    "screen_rig_edited_apart_why",
                    &[
                        ("who", (&who.join("; ")).into()),
                        ("what", (&things.join(", ")).into()),
                    ],
                ),
                Some(RigButton {
                    confirm: Some(question),
                    ..button(cx.t("action_keep_edits"), RigAction::KeepEdits)
                }),
            )
        }
        Obstacle::DeeperThanRated { enclosure } => {
            let def = rig.def.enclosure(enclosure);
            let rating = def.map_or(0.0, |e| e.depth_rating_m);
            (
                named("screen_rig_too_deep_plan", &enclosure_name(rig, enclosure)),
                cx.say(
                    "screen_rig_deeper",
                    &[
                        ("plan", (&cx.units.depth(rig.def.plan.depth_m)).into()),
                        ("rating", (&cx.units.depth(rating)).into()),
                    ],
                ),
                Some(show_form(cx.t("action_change_plan"), RigForm::Plan)),
            )
        }
        Obstacle::WasTooDeep {
            enclosure,
            depth_m,
            rated_m,
        } => (
            named("screen_rig_inspect", &enclosure_name(rig, enclosure)),
            cx.say(
                "screen_rig_was_deeper",
                &[
                    ("depth", (&cx.units.depth(*depth_m)).into()),
                    ("rating", (&cx.units.depth(*rated_m)).into()),
                ],
            ),
            Some(show_form(
                cx.t("action_inspect"),
                RigForm::Inspect(At::Enclosure(enclosure)),
            )),
        ),
        Obstacle::SealPastLimit { seal, past } => (
            named("screen_rig_seal_past", &seal_name(rig, seal)),
            past_words(cx, past),
            Some(button(
                cx.t("action_open_seal"),
                RigAction::OpenSeals {
                    seal: Some(seal.clone()),
                },
            )),
        ),
        Obstacle::SealFaulty { seal, finding } => (
            named("screen_rig_seal_past", &seal_name(rig, seal)),
            finding_of(finding).map_or_else(
                || cx.t("screen_seal_faulty_short"),
                |f| {
                    cx.say(
                        "screen_seal_faulty",
                        &[("what", (&finding_name(cx, f)).into())],
                    )
                },
            ),
            Some(button(
                cx.t("action_open_seal"),
                RigAction::OpenSeals {
                    seal: Some(seal.clone()),
                },
            )),
        ),
        Obstacle::NoSeals { enclosure } => (
            named("screen_rig_no_seals", &enclosure_name(rig, enclosure)),
            cx.t("screen_rig_no_seals_why"),
            Some(edit_part(cx, &EditAt::Add(Kind::Seal))),
        ),
        Obstacle::NoValve { enclosure } => (
            named("screen_rig_no_valve", &enclosure_name(rig, enclosure)),
            cx.t("screen_rig_no_valve_why"),
            Some(edit_part(
                cx,
                &EditAt::Item(Kind::Enclosure, Id::Own(enclosure.clone())),
            )),
        ),
        Obstacle::SealToService { seal, .. } => {
            let facts = rig.seal(seal);
            let why = match facts.and_then(|f| f.disturbed.as_ref()) {
                Some(d) => cx.say(
                    "screen_rig_seal_disturbed_why",
                    &[("when", (&cx.ago(d.wall_ms)).into())],
                ),
                None => cx.t("screen_rig_seal_never_why"),
            };
            (
                named("screen_rig_seal_to_service", &seal_name(rig, seal)),
                why,
                Some(button(
                    cx.t("action_service_seal"),
                    RigAction::OpenSeals {
                        seal: Some(seal.clone()),
                    },
                )),
            )
        }
        Obstacle::NotClosed { enclosure } => {
            let opened = rig.enclosure(enclosure).and_then(|e| e.opened.as_ref());
            let why = match opened {
                Some(_) if !never_closed(rig, enclosure).is_empty() => cx.say(
                    "screen_rig_left_open",
                    &[("names", (&never_closed(rig, enclosure).join(", ")).into())],
                ),
                Some(o) => cx.say(
                    "screen_rig_open_since",
                    &[("when", (&cx.ago(o.wall_ms)).into())],
                ),
                None => cx.t("screen_rig_never_closed"),
            };
            (
                named("screen_rig_close", &enclosure_name(rig, enclosure)),
                why,
                Some(close_button(cx, rig, enclosure)),
            )
        }
        Obstacle::NoHold { enclosure, why } => {
            let name = enclosure_name(rig, enclosure);
            let open = rig
                .enclosure(enclosure)
                .is_none_or(|e| closed_since(rig, e).is_none());
            let why_text = match why {
                HoldMissing::None if open => cx.t("screen_rig_hold_after_closing"),
                HoldMissing::None => cx.t("screen_rig_hold_none"),
                HoldMissing::Running { .. } => cx.t("screen_rig_hold_running"),
                HoldMissing::NotYet { hold } => {
                    let mut holds = rig.enclosures.iter().flat_map(|e| &e.holds);
                    let again = holds.any(|h| h.id == *hold && h.ended.len() > 1);
                    cx.t(if again {
                        "screen_hold_judged_open"
                    } else {
                        "screen_rig_hold_not_yet"
                    })
                }
                HoldMissing::Leaking { .. } => cx.t("screen_rig_hold_leaking"),
                HoldMissing::Abandoned { .. } => cx.t("screen_rig_hold_abandoned"),
                HoldMissing::OtherPlan { hold } => other_plan_words(cx, rig, hold),
                HoldMissing::MoreReadings { .. } => cx.t("screen_rig_hold_more_readings"),
            };
            let label = match why {
                HoldMissing::Running { .. } => cx.t("action_see_hold"),
                HoldMissing::OtherPlan { .. } => cx.t("action_judge_again"),
                HoldMissing::MoreReadings { .. } => cx.t("action_judge_readings"),
                _ => cx.t("action_start_hold"),
            };
            let tap = button(
                label,
                RigAction::Hold {
                    enclosure: enclosure.clone(),
                },
            );
            let def = rig.def.enclosure(enclosure);
            let tap = if def.is_none_or(|e| e.valve.is_none()) {
                later(tap, named("error_no_valve", &name))
            } else if open {
                later(
                    tap,
                    cx.say("error_enclosure_open", &[("name", (&name).into())]),
                )
            } else {
                tap
            };
            (named("screen_rig_hold", &name), why_text, Some(tap))
        }
        Obstacle::PlugOff { enclosure } => {
            let label = named("action_plug_on", &enclosure_name(rig, enclosure));
            (
                named("screen_rig_plug", &enclosure_name(rig, enclosure)),
                cx.t("screen_rig_plug_why"),
                Some(button(
                    label,
                    RigAction::PlugOn {
                        enclosure: enclosure.clone(),
                    },
                )),
            )
        }
        Obstacle::Control { control, failed } => {
            let def = rig.def.control(control);
            let name = def.map(|c| c.name.clone()).unwrap_or_default();
            let function = def.map(|c| c.function.clone()).unwrap_or_default();
            let key = if *failed {
                "screen_rig_control_failed"
            } else {
                "screen_rig_control_untested"
            };
            let tap = button(cx.t("action_test_controls"), RigAction::ShowControls);
            let enclosure = def.map(|c| c.enclosure.as_str()).unwrap_or_default();
            let open = (rig.enclosure(enclosure)).is_none_or(|e| closed_since(rig, e).is_none());
            let tap = if open {
                let name = enclosure_name(rig, enclosure);
                later(
                    tap,
                    cx.say("error_enclosure_open", &[("name", (&name).into())]),
                )
            } else {
                tap
            };
            (named(key, &name), function, Some(tap))
        }
        Obstacle::NoPrep => (
            cx.t("screen_rig_no_prep"),
            by_crew(
                cx,
                rig,
                "screen_rig_no_prep_why",
                "screen_rig_no_prep_why_alone",
            ),
            Some(button(
                cx.t("action_start_build"),
                RigAction::StartPrep {
                    procedure: "general-build".into(),
                },
            )),
        ),
        Obstacle::Unsigned { prep, step, why } => {
            let preps = rig.prep.iter().chain(&rig.earlier);
            let title = preps
                .filter(|p| p.id == *prep)
                .flat_map(|p| &p.steps)
                .find(|s| s.key == *step)
                .map(|s| s.step.title.clone())
                .unwrap_or_default();
            let why = unsigned_words(cx, rig, *why);
            let tap = button(
                cx.t("action_open_step"),
                RigAction::OpenStep {
                    prep: prep.clone(),
                    step: step.clone(),
                },
            );
            let held_up = (rig.prep.iter().chain(&rig.earlier))
                .filter(|p| p.id == *prep)
                .find_map(|p| {
                    let instance = p.steps.iter().find(|s| s.key == *step)?;
                    super::prep::held_up(cx, rig, p, instance)
                });
            let tap = match held_up {
                Some(why) => later(tap, why),
                None => tap,
            };
            (named("screen_rig_unsigned", &title), why, Some(tap))
        }
        Obstacle::PlugUnseen { enclosure } => (
            plugs_unseen_words(cx, rig, &[enclosure_name(rig, enclosure)]),
            cx.t(plug_why(rig, enclosure)),
            sign_button(cx, rig, super::signing::PLUGS),
        ),
        Obstacle::WalkRound { why, step } => {
            let words = match why {
                Unsigned::NotDone => cx.t("screen_rig_walk_not_done"),
                why => unsigned_words(cx, rig, *why),
            };
            // Walked round outside of the prep: its step knows nothing of that.
            let there = |prep: &str, step: &str| {
                let known = rig.prep.as_ref().filter(|p| p.id == *prep);
                *why == Unsigned::NotDone || known.is_some_and(|p| p.state(step) == StepState::Done)
            };
            let tap = match step {
                Some((prep, step)) if *why != Unsigned::Skipped && there(prep, step) => {
                    Some(button(
                        cx.t("action_open_step"),
                        RigAction::OpenStep {
                            prep: prep.clone(),
                            step: step.clone(),
                        },
                    ))
                }
                _ => sign_button(cx, rig, super::signing::WALK),
            };
            let title = by_crew(cx, rig, "screen_sign_walk", "screen_sign_walk_alone");
            (title, words, tap)
        }
        Obstacle::NoRecheck { enclosure, why } => {
            let name = enclosure_name(rig, enclosure);
            let known = rig.enclosure(enclosure);
            let missing = known.and_then(|e| counting_hold(rig, e).err());
            let proved = known.is_some() && missing.is_none();
            // The hold stands; what is missing is its verdict for the plan as it is now.
            let judge_first = matches!(missing, Some(HoldMissing::OtherPlan { .. })).then(|| {
                cx.say(
                    "screen_rig_recheck_judge_first",
                    &[("name", (&name).into())],
                )
            });
            let recheck = button(cx.t("action_recheck"), RigAction::OpenRecheck);
            let facts = rig.enclosure(enclosure);
            let in_water = facts.is_some_and(|e| {
                let hold = counting_hold(rig, e);
                hold.is_ok_and(|h| super::recheck::lost_in_the_water(rig, e, h))
            });
            let tap = match why {
                // After care or an opening there is nothing to compare with.
                _ if !proved => later(
                    recheck,
                    judge_first
                        .clone()
                        .unwrap_or_else(|| cx.say("error_not_proved", &[("name", (&name).into())])),
                ),
                RecheckMissing::Changed if in_water => flood_here(cx, rig).unwrap_or(recheck),
                // A change is answered by a new hold, not by a second typing.
                RecheckMissing::Changed => button(
                    cx.t("action_start_hold"),
                    RigAction::Hold {
                        enclosure: enclosure.clone(),
                    },
                ),
                _ => recheck,
            };
            let why = match why {
                RecheckMissing::None if judge_first.is_some() => judge_first.unwrap_or_default(),
                RecheckMissing::None => cx.t("screen_rig_recheck_none"),
                RecheckMissing::TooOld { age_ms } => cx.say(
                    "screen_rig_recheck_old",
                    &[("age", (&span(*age_ms)).into())],
                ),
                RecheckMissing::OtherPlan => cx.t("screen_rig_recheck_other_plan"),
                RecheckMissing::Dived if dived_since(rig, enclosure) => {
                    cx.t("screen_rig_recheck_dived")
                }
                // The work was begun that follows a dive; none is on record.
                RecheckMissing::Dived => cx.t("screen_rig_recheck_surfaced"),
                RecheckMissing::PlugOut => cx.t("screen_rig_recheck_plug"),
                RecheckMissing::Changed if in_water => cx.t("screen_recheck_water_inside"),
                RecheckMissing::Changed => cx.t("screen_rig_recheck_changed"),
                RecheckMissing::Unclear => cx.t("screen_rig_recheck_unclear"),
                RecheckMissing::ClockSetBack => cx.t("screen_rig_recheck_clock"),
            };
            (named("screen_rig_recheck", &name), why, Some(tap))
        }
    }
}

/// Why a plug is to be looked at: it was put in anew, or nobody has looked a second time yet.
fn plug_why(rig: &RigFacts, enclosure: &str) -> &'static str {
    match rig.enclosure(enclosure) {
        _ if rig.crew.alone => "screen_rig_plugs_unseen_why_alone",
        Some(e) if e.plug_looks.is_empty() => "screen_rig_plugs_never_seen_why",
        _ => "screen_rig_plugs_unseen_why",
    }
}

/// Opens the page on which something of the rig is signed for.
fn sign_button(cx: &Cx<'_>, rig: &RigFacts, what: &str) -> Option<RigButton> {
    let prep = rig.prep.as_ref();
    let tap = button(
        cx.t("action_look_and_sign"),
        RigAction::OpenStep {
            prep: prep.map(|p| p.id.clone()).unwrap_or_default(),
            step: what.to_owned(),
        },
    );
    if prep.is_none() {
        return Some(later(tap, cx.t("screen_rig_no_prep")));
    }
    // A walk round an open rig would be void as soon as it is closed.
    let open = (rig.enclosures.iter()).find(|e| closed_since(rig, e).is_none());
    Some(match open.filter(|_| what == super::signing::WALK) {
        Some(e) => {
            let name = enclosure_name(rig, &e.id);
            later(
                tap,
                cx.say("error_enclosure_open", &[("name", (&name).into())]),
            )
        }
        None => tap,
    })
}

pub(super) fn open_now(rig: &RigFacts, enclosure: &str) -> bool {
    let known = rig.enclosure(enclosure);
    known.is_some_and(|e| e.opened.is_some() && closed_since(rig, e).is_none())
}

/// The closures of an enclosure that no step of the governing prep closed, though its steps that close are done.
fn never_closed(rig: &RigFacts, enclosure: &str) -> Vec<String> {
    let Some((prep, def)) = rig.prep.as_ref().zip(rig.def.enclosure(enclosure)) else {
        return Vec::new();
    };
    let of_it = |t: &Target| matches!(t, Target::Enclosure { enclosure: e } | Target::Closure { enclosure: e, .. } if e == enclosure);
    let mut closing = (prep.steps.iter())
        .filter(|s| s.step.kind == StepKind::Close && of_it(&s.target))
        .peekable();
    if closing.peek().is_none() || closing.any(|s| prep.state(&s.key) != StepState::Done) {
        return Vec::new();
    }
    let left = left_open(rig, prep, enclosure, None);
    let closures = def
        .closures
        .iter()
        .filter(|c| left.contains(&c.id.as_str()));
    closures.map(|c| c.name.clone()).collect()
}

/// Whether what follows a dive or a flood was begun since water was found.
fn begun_since(rig: &RigFacts, d: &DefectFacts) -> bool {
    let mut surfaced = rig.surfaced.iter().flat_map(|s| s.all());
    surfaced.any(|s| rig.heard.after(&s.stamp, &d.opened))
}

/// Water that was found, and since which nobody has begun what follows a dive or a flood.
fn fresh_water(rig: &RigFacts) -> Option<&DefectFacts> {
    rig.defects
        .iter()
        .find(|d| d.blocks && d.water && !begun_since(rig, d))
}

/// The prep by a flood procedure that is under way, with its title.
fn flood_under_way(cx: &Cx<'_>, rig: &RigFacts) -> Option<(String, String)> {
    rig.unfinished.iter().find_map(|u| {
        let prep = cx.book.prep(&u.id).ok()?;
        let runs = prep.kind == ProcedureKind::Flood && prep.left() > 0;
        runs.then(|| (u.id.clone(), u.title.clone()))
    })
}

/// What is done where water may be inside.
fn flood_procedure(cx: &Cx<'_>) -> Option<slackwater_domain::procedure::Procedure> {
    let all = cx.book.procedures().ok()?;
    all.into_iter().find(|p| p.kind == ProcedureKind::Flood)
}

/// What leads through an opening of what may have water in it: the flood procedure, begun or gone on
/// with. None where it is through, or other work was begun since, or there is no such procedure.
pub(super) fn flood_button(cx: &Cx<'_>, rig: &RigFacts, d: &DefectFacts) -> Option<RigButton> {
    flood_first(cx, rig, d).map(|(_, tap)| tap)
}

/// As [`flood_button`], with the title of the procedure.
fn flood_first(cx: &Cx<'_>, rig: &RigFacts, d: &DefectFacts) -> Option<(String, RigButton)> {
    let title = match flood_under_way(cx, rig) {
        Some((_, title)) => title,
        None if begun_since(rig, d) => return None,
        None => flood_procedure(cx)?.title,
    };
    Some((title, flood_here(cx, rig)?))
}

/// What is done next about water: the flood procedure that is under way, or the one to begin.
pub(super) enum Flood {
    /// Id of the prep.
    GoOn(String),
    /// Id of the procedure.
    Begin(String),
}

/// What is done next about water, and what a button that does so says.
pub(super) fn flood_next(cx: &Cx<'_>, rig: &RigFacts) -> Option<(String, Flood)> {
    let named = |key: &str, title: &String| cx.say(key, &[("title", title.into())]);
    if let Some((prep, title)) = flood_under_way(cx, rig) {
        return Some((named("action_go_on", &title), Flood::GoOn(prep)));
    }
    let flood = flood_procedure(cx)?;
    let label = named("action_start_named", &flood.title);
    Some((label, Flood::Begin(flood.id)))
}

fn flood_here(cx: &Cx<'_>, rig: &RigFacts) -> Option<RigButton> {
    let (label, next) = flood_next(cx, rig)?;
    let action = match next {
        Flood::GoOn(prep) => RigAction::ResumePrep { prep },
        Flood::Begin(procedure) => RigAction::StartPrep { procedure },
    };
    Some(button(label, action))
}

/// Water that may be in an enclosure which nobody has looked into since, and that in words.
pub(super) fn water_in<'a>(
    cx: &Cx<'_>,
    rig: &'a RigFacts,
    facts: &EnclosureFacts,
) -> Option<(&'a DefectFacts, String)> {
    let of = |d: &&DefectFacts| d.blocks && to_look_into(rig, d).contains(&facts.id.as_str());
    let d = rig.defects.iter().find(of)?;
    let concluded = |h: &slackwater_domain::state::HoldFacts| h.concluded.as_ref().map(|c| c.0);
    let held = counting_hold(rig, facts).ok().and_then(concluded);
    let since = held.is_some_and(|end| rig.heard.after(&d.opened, &end));
    let key = if since {
        "screen_rig_water_since"
    } else {
        "screen_rig_water_in"
    };
    Some((d, cx.t(key)))
}

/// Whether a dive is on record that the last recheck of an enclosure had not heard of.
fn dived_since(rig: &RigFacts, enclosure: &str) -> bool {
    let recheck = (rig.enclosure(enclosure)).and_then(|e| e.recheck.as_ref());
    let mut dives = rig.dived.iter().flat_map(|d| d.all());
    dives.any(|d| recheck.is_none_or(|(seen, _)| !rig.heard.after(&seen.stamp, &d.stamp)))
}

/// Whether the work that follows a dive, begun now, would take away a recheck that no dive has: none is
/// on record since.
fn voids_unasked(cx: &Cx<'_>, rig: &RigFacts, kind: ProcedureKind) -> bool {
    let follows = matches!(kind, ProcedureKind::Turnaround | ProcedureKind::AfterDive);
    let rechecked = |e: &EnclosureFacts| {
        let counts = counting_recheck(rig, e, cx.now);
        e.recheck.is_some()
            && !matches!(counts, Err(RecheckMissing::None | RecheckMissing::Dived))
            && !dived_since(rig, &e.id)
    };
    follows && rig.enclosures.iter().any(rechecked)
}

/// The remarks, with rings of unknown age in one line.
fn notices(cx: &Cx<'_>, rig: &RigFacts, remarks: &[Remark]) -> Vec<Line> {
    let mut lines: Vec<Line> = remarks.iter().filter_map(|r| remark(cx, rig, r)).collect();
    let unknown: Vec<String> = remarks
        .iter()
        .filter_map(|r| match r {
            Remark::SealAgeUnknown { seal } => Some(seal_name(rig, seal)),
            _ => None,
        })
        .collect();
    if !unknown.is_empty() {
        let text = cx.say(
            "screen_rig_seal_age",
            &[
                ("n", unknown.len().into()),
                ("names", (&unknown.join("; ")).into()),
            ],
        );
        lines.push(line(text, Severity::Notice, Some(Mark::Hatched)));
    }
    lines
}

/// What a procedure of a kind is for.
pub(super) fn kind_name(cx: &Cx<'_>, kind: ProcedureKind) -> String {
    match kind {
        ProcedureKind::Build => cx.t("screen_rig_kind_build"),
        ProcedureKind::Turnaround => cx.t("screen_rig_kind_turnaround"),
        ProcedureKind::AfterDive => cx.t("screen_rig_kind_after_dive"),
        ProcedureKind::Flood => cx.t("screen_rig_kind_flood"),
    }
}

fn lost_title(cx: &Cx<'_>, rig: &RigFacts) -> String {
    cx.t(if rig.record_gone() {
        "screen_rig_gone_record"
    } else {
        "screen_rig_lost"
    })
}

/// A thing that is no longer on the rig by the name it had, where an edit said so.
fn gone_name(rig: &RigFacts, at: &str) -> String {
    let mut lost = rig.losses.iter().rev().flat_map(|l| &l.what);
    let named = lost.find(|l| l.at == at && !l.name.is_empty());
    named.map_or_else(
        || at.split('/').next_back().unwrap_or(at).to_owned(),
        |l| l.name.clone(),
    )
}

/// How it isn't trimmed; and where a step of the prep to trim it was done since, that.
fn untrimmed_words(cx: &Cx<'_>, rig: &RigFacts, why: &Untrimmed) -> String {
    let words = super::trim_words::untrimmed_words(cx, why);
    let trimmed = rig.trim.trimmed.as_ref().map(|(seen, _)| seen.stamp);
    // A turn-round has no such step: its weights hang as the build left them.
    let done = rig.prep.iter().chain(&rig.earlier).find_map(|p| {
        let mut trims = p.steps.iter().filter(|s| s.step.kind == StepKind::Trim);
        trims.find_map(|s| {
            let known = p.step(&s.key);
            let done = known
                .standing(&p.heard)
                .filter(|d| Some(d.stamp) > trimmed)?;
            let is_done = known.state(&p.heard) == StepState::Done;
            is_done.then(|| {
                (
                    s.step.title.clone(),
                    cx.who_when(&done.author, done.wall_ms),
                )
            })
        })
    });
    let Some((step, who)) = done else {
        return words;
    };
    let key = match why {
        Untrimmed::Never => "screen_trim_never_but_step",
        _ => "screen_trim_step_since",
    };
    cx.say(
        key,
        &[
            ("why", (&words).into()),
            ("step", (&step).into()),
            ("who", (&who).into()),
        ],
    )
}

/// What a ring is, of that in which it is `unlike` another.
fn ring_words(cx: &Cx<'_>, of: &RingMade, unlike: &RingMade) -> String {
    let mut said = Vec::new();
    if !unlike.size.is_empty() {
        said.push(cx.units.number(&of.size));
    }
    if !unlike.material.is_empty() {
        said.push(material_name(cx, &of.material));
    }
    if unlike.hardness_shore_a != 0 {
        said.push(format!("{}\u{a0}Shore\u{a0}A", of.hardness_shore_a));
    }
    said.join(", ")
}

fn remark(cx: &Cx<'_>, rig: &RigFacts, r: &Remark) -> Option<Line> {
    let text = match r {
        Remark::UnreadOfCrew { events } => {
            cx.say("screen_rig_unread_crew", &[("n", (*events).into())])
        }
        Remark::TookAway { event } => {
            let loss = rig.losses.iter().find(|l| l.event == *event)?;
            let by: Vec<String> = [&loss.seen]
                .into_iter()
                .chain(loss.signed.last())
                .map(|s| cx.name(&s.author))
                .collect();
            took_away(cx, &loss.what, &by.join(", "), loss.seen.wall_ms)
        }
        Remark::StepSkipped { step, reason, .. } => {
            let prep = rig.prep.as_ref()?;
            let found = prep.steps.iter().find(|s| s.key == *step)?;
            cx.say(
                "screen_rig_skipped",
                &[
                    ("step", (&found.step.title).into()),
                    ("reason", reason.into()),
                ],
            )
        }
        Remark::PrepUnfinished { left, .. } => {
            cx.say("screen_rig_prep_left", &[("n", (*left).into())])
        }
        Remark::PrepCutShort { prep, left, of } => {
            let mut preps = rig.prep.iter().chain(&rig.earlier);
            let cut = preps.find(|p| p.id == *prep)?;
            cx.say(
                "screen_rig_prep_cut",
                &[
                    ("name", (&cut.title).into()),
                    ("n", (*left).into()),
                    ("of", (*of).into()),
                ],
            )
        }
        Remark::AgeUnsure { enclosure } => cx.say(
            "screen_rig_age_unsure",
            &[("name", (&enclosure_name(rig, enclosure)).into())],
        ),
        Remark::SealSoonDue { seal, past } => cx.say(
            "screen_rig_seal_soon",
            &[
                ("name", (&seal_name(rig, seal)).into()),
                ("why", (&past_words(cx, past)).into()),
            ],
        ),
        Remark::SealMaterial { seal, doubt } => cx.say(
            "screen_rig_seal_soon",
            &[
                ("name", (&seal_name(rig, seal)).into()),
                (
                    "why",
                    (&grease_words(cx, &as_fitted(rig.def.seal(seal)?, rig.seal(seal)?), doubt))
                        .into(),
                ),
            ],
        ),
        Remark::DefectOfSource { defect } => {
            let found = rig.of_sources.iter().find(|d| d.defect == *defect)?;
            cx.say(
                "screen_rig_source_defect",
                &[("rig", (&found.rig).into()), ("text", (&found.text).into())],
            )
        }
        Remark::RingUnlike { seal } => {
            let def = rig.def.seal(seal)?;
            let is = unlike_listed(def, rig.seal(seal)?)?;
            let listed = RingMade {
                size: def.size.clone(),
                material: def.material.clone(),
                hardness_shore_a: def.hardness_shore_a,
            };
            cx.say(
                "screen_rig_ring_unlike",
                &[
                    ("name", (&seal_name(rig, seal)).into()),
                    ("ring", (&ring_words(cx, &is, &is)).into()),
                    ("listed", (&ring_words(cx, &listed, &is)).into()),
                ],
            )
        }
        Remark::Untrimmed { why } => untrimmed_words(cx, rig, why),
        // Together in one line.
        Remark::SealAgeUnknown { .. } => return None,
        // Stands among the defects.
        Remark::Defect { .. } => return None,
        Remark::OneWord => cx.t("screen_rig_one_word"),
        Remark::CrewOfOne => cx.t("screen_rig_crew_of_one"),
        Remark::Unlikely { enclosure } => cx.say(
            "screen_rig_unlikely",
            &[("name", (&enclosure_name(rig, enclosure)).into())],
        ),
        Remark::CalledSlip { enclosure } => cx.say(
            "screen_rig_called_slip",
            &[("name", (&enclosure_name(rig, enclosure)).into())],
        ),
        Remark::Leaks { enclosure } => {
            let facts = rig.enclosure(enclosure);
            let hold = facts.and_then(|e| counting_hold(rig, e).ok());
            let (_, _, result) = hold.and_then(|h| h.concluded.as_ref())?;
            cx.say(
                "screen_rig_leaks_within",
                &[
                    ("name", (&enclosure_name(rig, enclosure)).into()),
                    ("least", (&cx.units.water_at_least(result.low_ml)).into()),
                    ("limit", (&cx.units.water(result.limit_ml)).into()),
                ],
            )
        }
        Remark::LeakedBefore { enclosure } => cx.say(
            "screen_rig_leaked_before",
            &[("name", (&enclosure_name(rig, enclosure)).into())],
        ),
        Remark::ClockBehind { by_ms } => cx.say(
            "screen_rigs_clock_behind",
            &[("time", (&span(*by_ms)).into())],
        ),
    };
    Some(line(text, Severity::Notice, Some(Mark::Hatched)))
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, id: &str, form: Option<&str>) -> Result<RigScreen, BookFault> {
    let rig = cx.book.rig(id)?;
    let readiness = cx.book.readiness(id)?;
    let words = answer(cx, &rig, &readiness);
    let mut obstacles: Vec<RigRow> = Vec::new();
    for thing in things(&rig, &readiness.obstacles) {
        let (title, detail, tap) = thing_words(cx, &rig, &thing);
        obstacles.push(RigRow {
            other: None,
            photo: None,
            title,
            detail,
            footnote: None,
            mark: Some(Mark::Hollow),
            severity: Severity::Blocking,
            tap,
        });
    }
    let enclosures = rig
        .def
        .enclosures
        .iter()
        .map(|e| enclosure_row(cx, &rig, &e.id))
        .collect();
    let defects = rig
        .defects
        .iter()
        .map(|d| RigRow {
            other: None,
            photo: None,
            title: d.text.clone(),
            detail: cx.who_when(&d.author, d.opened_ms),
            footnote: d.blocks.then(|| cx.t("screen_rig_defect_blocks")),
            mark: Some(if d.blocks {
                Mark::Struck
            } else {
                Mark::Hatched
            }),
            severity: if d.blocks {
                Severity::Blocking
            } else {
                Severity::Notice
            },
            tap: Some(button(
                cx.t("action_close_defect"),
                RigAction::CloseDefect {
                    defect: d.id.clone(),
                },
            )),
        })
        .collect();
    let procedures = procedure_rows(cx, &rig)?;
    let plan = &rig.def.plan;
    let mut figures = vec![
        exact(
            cx.t("screen_rig_plan_depth"),
            cx.units.plain(cx.units.from_m(plan.depth_m), 3),
            cx.units.depth_symbol(),
        ),
        exact(
            cx.t("screen_rig_plan_minutes"),
            cx.units.plain(plan.minutes, 3),
            "min",
        ),
    ];
    if let Some(lens) = rig.def.lens() {
        let mut port = vec![lens.port.clone()];
        port.extend(lens.rings.iter().cloned());
        figures.push(exact(cx.t("screen_rig_lens"), lens.name.clone(), ""));
        figures.push(exact(cx.t("screen_rig_port"), port.join(", "), ""));
    }
    let main = main_action(cx, &rig, &readiness)?;
    let mut others = vec![button(
        cx.t("action_seals"),
        RigAction::OpenSeals { seal: None },
    )];
    // Only where there is a vacuum to read again: not after care, not after a flood.
    if (rig.enclosures.iter()).any(|e| counting_hold(&rig, e).is_ok()) {
        others.push(button(cx.t("action_recheck"), RigAction::OpenRecheck));
    }
    others.extend([
        button(cx.t("action_trim"), RigAction::OpenTrim),
        show_form(cx.t("action_log_dive"), RigForm::Dive),
        show_form(cx.t("action_note_defect"), RigForm::Defect("")),
        button(cx.t("action_journal"), RigAction::OpenJournal),
    ]);
    if rig.def.lenses.len() > 1 {
        others.push(show_form(cx.t("action_change_lens"), RigForm::Lens));
    }
    others.push(show_form(cx.t("action_change_plan"), RigForm::Plan));
    others.push(button(cx.t("action_edit_rig"), RigAction::Edit));
    others.push(show_form(cx.t("action_copy_rig"), RigForm::Copy));
    if !rig.retired {
        others.push(RigButton {
            confirm: Some(cx.t("screen_rig_retire_confirm")),
            ..button(
                cx.t("action_retire_rig"),
                RigAction::Retire { retire: true },
            )
        });
    }
    // Where nobody holds the phone nothing can be signed for.
    if cx.book.me().is_empty() {
        others.insert(0, button(cx.t("action_say_who"), RigAction::OpenCrew));
    } else {
        others.push(button(cx.t("action_crew"), RigAction::OpenCrew));
    }
    // No action twice on one page; nor one beside its own form.
    let shown = |b: &RigButton| {
        form.is_some_and(|f| b.action == RigAction::ShowForm { form: f.to_owned() })
    };
    let main = main.filter(|m| !shown(m));
    others.retain(|b| !shown(b) && main.as_ref().is_none_or(|m| m.action != b.action));
    let asked = form.and_then(RigForm::parse);
    let controls = if asked == Some(RigForm::Controls) {
        control_rows(cx, &rig)
    } else {
        Vec::new()
    };
    let photos_of = match asked {
        Some(RigForm::CloseDefect(defect)) => At::Defect(defect),
        _ => At::Rig,
    };
    Ok(RigScreen {
        rig: id.to_owned(),
        name: rig.def.name.clone(),
        answer: words.answer,
        mark: words.mark,
        severity: words.severity,
        // Not ready, what comes first stands first among the rows: once is enough.
        reason: if readiness.is_ready() {
            words.reason
        } else {
            String::new()
        },
        obstacles,
        notices: notices(cx, &rig, &readiness.remarks)
            .into_iter()
            .chain(super::phone::remarks(
                cx,
                !super::phone::running_holds(&rig).is_empty(),
            ))
            .chain(super::phones::notices(cx, Some(id))?)
            .collect(),
        map: rig_map::map(cx, &rig),
        enclosures,
        defects,
        procedures,
        controls,
        plan: figures,
        photos: cx.photos(id, photos_of)?,
        photo_subject: photos_of.of(id),
        form: asked.and_then(|f| rig_form(cx, &rig, f)),
        main,
        others,
        caveat: cx.t("common_vacuum_caveat"),
    })
}

/// What comes next at a rig, from where all of them stand: it leads to where that is done, and records
/// nothing before its rig is in sight.
pub(super) fn next_of(
    cx: &Cx<'_>,
    rig: &RigFacts,
    readiness: &Readiness,
) -> Result<Option<RigButton>, BookFault> {
    let Some(next) = main_action(cx, rig, readiness)?.filter(|b| b.enabled) else {
        return Ok(None);
    };
    let id = || rig.id.clone();
    let Ok(action) = RigAction::try_from(next.action) else {
        return Ok(None);
    };
    let place = match action {
        RigAction::OpenRecheck => Place::Recheck { rig: id() },
        RigAction::ResumePrep { prep } => Place::Prep {
            prep,
            step: None,
            form: None,
        },
        RigAction::OpenSeals { seal: Some(seal) } => Place::Seal {
            rig: id(),
            seal,
            form: None,
        },
        RigAction::ShowForm { form } => Place::Rig {
            rig: id(),
            form: Some(form),
        },
        _ => Place::Rig {
            rig: id(),
            form: None,
        },
    };
    let label = cx.say(
        "action_at_rig",
        &[
            ("rig", (&rig.def.name).into()),
            ("label", (&next.label).into()),
        ],
    );
    Ok(Some(lead(label, place)))
}

/// The first thing to do: what was begun and is not ended; else, when ready, the dive and then the
/// care after it; else what clears the first obstacle.
fn main_action(
    cx: &Cx<'_>,
    rig: &RigFacts,
    readiness: &Readiness,
) -> Result<Option<RigButton>, BookFault> {
    let go_on = |title: &str, prep: &str| {
        button(
            cx.say("action_go_on", &[("title", title.into())]),
            RigAction::ResumePrep {
                prep: prep.to_owned(),
            },
        )
    };
    // Water was found: nothing else comes first.
    if let Some(p) = fresh_water(rig).and_then(|_| flood_procedure(cx)) {
        let label = cx.say("action_start_named", &[("title", (&p.title).into())]);
        return Ok(Some(button(
            label,
            RigAction::StartPrep { procedure: p.id },
        )));
    }
    // Care after a dive or a flood is newer than the build it follows; what was under way when water was found
    // (batteries to charge, rings to put back) is not what comes next.
    let built = rig.prep.as_ref().map(|p| p.started);
    let mut care = rig.unfinished.iter().filter(|u| !u.flooded);
    if let Some(u) = care.next().filter(|u| Some(u.started) > built) {
        return Ok(Some(go_on(&u.title, &u.id)));
    }
    if readiness.is_ready() {
        return Ok(Some(show_form(cx.t("action_log_dive"), RigForm::Dive)));
    }
    // It was deeper than its rating: nothing goes on before somebody has looked it over.
    let deep = (readiness.obstacles.iter()).find(|o| matches!(o, Obstacle::WasTooDeep { .. }));
    if let Some(o) = deep {
        return Ok(obstacle(cx, rig, o).2);
    }
    // Out of the water, with nothing done since: care after it.
    let opened = rig
        .enclosures
        .iter()
        .filter_map(|e| Some(&**e.opened.as_ref()?));
    let since = [&rig.surfaced, &rig.dived].into_iter().flatten();
    let since = since.map(|told| &**told);
    let rechecks = rig
        .enclosures
        .iter()
        .filter_map(|e| Some(&e.recheck.as_ref()?.0));
    let last = opened.chain(since).chain(rechecks).max_by_key(|s| s.stamp);
    if rig.dived.is_some() && last == rig.dived.as_deref() && built < last.map(|s| s.stamp) {
        let care = cx
            .book
            .procedures()?
            .into_iter()
            .find(|p| p.kind == ProcedureKind::AfterDive);
        return Ok(care.map(|p| button(p.title, RigAction::StartPrep { procedure: p.id })));
    }
    let running = rig.prep.as_ref().filter(|p| p.ended.is_none());
    let stuck = running
        .and_then(Book::current_step)
        .and_then(|step| super::prep::stuck_at(rig, step));
    if let (Some(prep), None) = (running, stuck) {
        return Ok(Some(go_on(&prep.title, &prep.id)));
    }
    // Where the prep can't go on, first what it waits for.
    let things = things(rig, &readiness.obstacles);
    let waited_for = |t: &&Vec<&Obstacle>| {
        let about = t.first().and_then(|o| enclosure_of(rig, o));
        stuck.is_some() && about == stuck
    };
    let ordered = (things.iter().filter(waited_for)).chain(&things);
    Ok(ordered
        .filter_map(|t| thing_words(cx, rig, t).2)
        .find(|tap| tap.enabled))
}

fn enclosure_row(cx: &Cx<'_>, rig: &RigFacts, id: &str) -> RigRow {
    let name = enclosure_name(rig, id);
    let row = |detail: String, footnote, mark, severity, tap| RigRow {
        other: None,
        photo: None,
        title: name.clone(),
        detail,
        footnote,
        mark: Some(mark),
        severity,
        tap,
    };
    let Some(facts) = rig.enclosure(id) else {
        return row(String::new(), None, Mark::Hatched, Severity::Plain, None);
    };
    let Some(closed) = closed_since(rig, facts) else {
        let detail = match &facts.opened {
            Some(o) => cx.say(
                "screen_rig_is_open",
                &[("when", (&cx.ago(o.wall_ms)).into())],
            ),
            None => cx.t("screen_rig_never_closed"),
        };
        let tap = Some(close_button(cx, rig, id));
        return row(detail, None, Mark::Hollow, Severity::Notice, tap);
    };
    let row = |detail, footnote, mark, severity, tap| RigRow {
        other: plug_button(cx, rig, id),
        ..row(detail, footnote, mark, severity, tap)
    };
    let closed_words = cx.say(
        "screen_rig_closed_by",
        &[
            ("who", (&cx.name(&closed.author)).into()),
            ("when", (&cx.ago(closed.wall_ms)).into()),
        ],
    );
    let opening = Some(open_button(cx, rig, id));
    // Whatever its hold says: nobody has looked into it since.
    if let Some((found, words)) = water_in(cx, rig, facts) {
        let footnote = Some(closed_words);
        if let Some(flood) = flood_button(cx, rig, found) {
            return RigRow {
                // Its plug comes out by the procedure, too.
                other: None,
                ..row(
                    words,
                    footnote,
                    Mark::Struck,
                    Severity::Blocking,
                    Some(flood),
                )
            };
        }
        return row(words, footnote, Mark::Struck, Severity::Blocking, opening);
    }
    match counting_hold(rig, facts) {
        Ok(hold) if changed_since(facts, &hold.id).is_some() => row(
            cx.t("screen_rig_recheck_changed"),
            Some(closed_words),
            Mark::Struck,
            Severity::Blocking,
            opening,
        ),
        Ok(hold) => {
            let result = hold.concluded.as_ref().map(|(_, _, r)| r);
            let (mark, severity) = if result.is_some_and(HoldResult::seen_to_leak) {
                (Mark::Hatched, Severity::Notice)
            } else {
                (Mark::Full, Severity::Good)
            };
            row(
                result.map_or_else(String::new, |r| held_result(cx, r)),
                Some(closed_words),
                mark,
                severity,
                // What proves it; opening is an act of that page's.
                Some(super::cx::lead(
                    cx.say("action_see_proof", &[("name", (&name).into())]),
                    Place::Hold {
                        hold: hold.id.clone(),
                        form: None,
                    },
                )),
            )
        }
        Err(HoldMissing::Leaking { .. }) => row(
            cx.t("screen_rig_hold_leaking"),
            Some(closed_words),
            Mark::Struck,
            Severity::Blocking,
            opening,
        ),
        Err(HoldMissing::Running { .. }) => row(
            cx.t("screen_rig_hold_running"),
            Some(closed_words),
            Mark::Half,
            Severity::Notice,
            Some(button(
                cx.t("action_see_hold"),
                RigAction::Hold {
                    enclosure: id.to_owned(),
                },
            )),
        ),
        Err(_) => row(
            cx.t("screen_rig_closed_unproved"),
            Some(closed_words),
            Mark::Half,
            Severity::Notice,
            opening,
        ),
    }
}

/// What opens an enclosure: its only closure after a question, or a form that asks which.
fn open_button(cx: &Cx<'_>, rig: &RigFacts, id: &str) -> RigButton {
    let name = enclosure_name(rig, id);
    let label = cx.say("action_open_enclosure", &[("name", (&name).into())]);
    match only_closure(rig, id) {
        Some(closure) => RigButton {
            confirm: Some(open_asks(cx, rig, id)),
            ..button(
                label,
                RigAction::OpenClosure {
                    enclosure: id.to_owned(),
                    closure: closure.map(str::to_owned),
                },
            )
        },
        None => show_form(label, RigForm::Open(id)),
    }
}

/// Whether an opening takes anything away: a hold that ended or runs, a plug that is in, a control that was tried.
pub(super) fn takes_away(rig: &RigFacts, enclosure: &str) -> bool {
    let left = untested(rig);
    let mut controls = rig.def.controls.iter();
    let tried = controls
        .any(|c| c.enclosure == enclosure && c.assigned() && !left.contains(&c.id.as_str()));
    let known = rig.enclosure(enclosure);
    known.is_some_and(|e| {
        // Also one that doesn't count: there may be a vacuum behind it.
        !e.holds.is_empty() || tried || plug_in(rig, e).is_some()
    })
}

/// What is asked before an opening is recorded, which can't be taken back.
pub(super) fn open_asks(cx: &Cx<'_>, rig: &RigFacts, enclosure: &str) -> String {
    let key = if takes_away(rig, enclosure) {
        "screen_rig_open_confirm"
    } else {
        "screen_rig_open_confirm_bare"
    };
    let name = enclosure_name(rig, enclosure);
    cx.say(key, &[("name", (&name).into())])
}

/// The closure of an enclosure that has no other, or that it has none at all; `None` where there is
/// a choice.
pub(super) fn only_closure<'a>(rig: &'a RigFacts, enclosure: &str) -> Option<Option<&'a str>> {
    match rig.def.enclosure(enclosure)?.closures.as_slice() {
        [] => Some(None),
        [only] => Some(Some(only.id.as_str())),
        _ => None,
    }
}

/// Stands for 'not known which' among the closures; no id of a closure.
const NOT_KNOWN: &str = "?";

/// The id of the closure that was opened, or [`NOT_KNOWN`]: only its seals are disturbed.
fn closure_field<'a>(
    cx: &Cx<'_>,
    rig: &RigFacts,
    enclosure: &str,
) -> Option<[Spec<'a, String>; 1]> {
    let def = rig.def.enclosure(enclosure)?;
    let takes = || cx.say("screen_rig_open_takes", &[("name", (&def.name).into())]);
    let hint = takes_away(rig, enclosure).then(takes);
    let closures = def.closures.iter();
    let mut all: Vec<(&str, String)> = closures.map(|c| (c.id.as_str(), c.name.clone())).collect();
    all.push((NOT_KNOWN, cx.t("screen_rig_open_not_known")));
    let which = cx.t("screen_rig_open_which");
    Some([pick_in(keys::CLOSURE, which, all, |t| t).hint(hint).must()])
}

/// Asks which closure was opened.
fn open_form(cx: &Cx<'_>, rig: &RigFacts, enclosure: &str) -> Option<Form> {
    let name = &rig.def.enclosure(enclosure)?.name;
    Some(form(
        &RigForm::Open(enclosure).to_string(),
        cx.say("screen_rig_open_title", &[("name", name.into())]),
        draw(&closure_field(cx, rig, enclosure)?, &cx.units, None),
        cx.t("action_opened"),
    ))
}

/// Where the plug is in: that it is out. The gauge may have been read, or the plug looked at.
fn plug_button(cx: &Cx<'_>, rig: &RigFacts, id: &str) -> Option<RigButton> {
    let facts = rig.enclosure(id)?;
    rig.def.enclosure(id)?.valve.as_ref()?;
    let hold = counting_hold(rig, facts).ok()?;
    let name = enclosure_name(rig, id);
    plug_refitted(rig, facts, hold).then(|| RigButton {
        confirm: Some(cx.say("screen_rig_plug_off_confirm", &[("name", (&name).into())])),
        ..button(
            cx.say("action_plug_off", &[("name", (&name).into())]),
            RigAction::PlugOff {
                enclosure: id.to_owned(),
            },
        )
    })
}

pub(super) fn close_button(cx: &Cx<'_>, rig: &RigFacts, id: &str) -> RigButton {
    let name = enclosure_name(rig, id);
    let waiting: Vec<String> = rig
        .def
        .seals
        .iter()
        .zip(&rig.seals)
        .filter(|(d, f)| d.enclosure == id && needs_service(rig, d, f))
        .map(|(d, _)| d.name.clone())
        .collect();
    let confirm = (!waiting.is_empty()).then(|| {
        cx.say(
            "screen_rig_close_confirm",
            &[("seals", (&waiting.join(", ")).into())],
        )
    });
    RigButton {
        confirm,
        ..button(
            cx.say("action_closed", &[("name", (&name).into())]),
            RigAction::CloseEnclosure {
                enclosure: id.to_owned(),
            },
        )
    }
}

fn procedure_rows(cx: &Cx<'_>, rig: &RigFacts) -> Result<Vec<RigRow>, BookFault> {
    let mut rows = Vec::new();
    let governing = rig.prep.iter().filter(|p| p.ended.is_none()).map(|p| {
        let unsigned = p.steps.iter();
        let unsigned = unsigned
            .filter(|s| super::signing::unsigned(rig, p, s))
            .count();
        let detail = if p.left() == 0 && unsigned > 0 {
            super::prep::signatures_left(cx, rig, unsigned)
        } else if p.left() == 0 {
            cx.t("screen_rig_prep_all_done")
        } else {
            cx.say("screen_rig_prep_left", &[("n", p.left().into())])
        };
        (p.id.clone(), p.title.clone(), detail)
    });
    let others = rig.unfinished.iter().map(|u| {
        (
            u.id.clone(),
            u.title.clone(),
            cx.t("screen_rig_prep_unfinished"),
        )
    });
    for (prep, title, detail) in governing.chain(others) {
        rows.push(RigRow {
            other: None,
            photo: None,
            title,
            detail,
            footnote: None,
            mark: Some(Mark::Half),
            severity: Severity::Notice,
            tap: Some(button(
                cx.t("action_resume"),
                RigAction::ResumePrep { prep },
            )),
        });
    }
    let running = rig
        .prep
        .as_ref()
        .is_some_and(|p| p.ended.is_none() && p.left() > 0);
    let flooded = flood_under_way(cx, rig).is_some();
    for p in cx.book.procedures()? {
        let builds = matches!(p.kind, ProcedureKind::Build | ProcedureKind::Turnaround);
        let beside = (builds && running) || (flooded && p.kind == ProcedureKind::Flood);
        let mut asked = Vec::new();
        if voids_unasked(cx, rig, p.kind) {
            asked.push(cx.t("screen_rig_start_voids_confirm"));
        }
        if beside {
            asked.push(cx.t("screen_rig_second_prep_confirm"));
        }
        let detail = kind_name(cx, p.kind);
        rows.push(RigRow {
            other: None,
            photo: None,
            title: p.title,
            detail,
            footnote: None,
            mark: None,
            severity: Severity::Plain,
            tap: Some(RigButton {
                confirm: (!asked.is_empty()).then(|| asked.join(" ")),
                ..button(
                    cx.t("action_start"),
                    RigAction::StartPrep { procedure: p.id },
                )
            }),
        });
    }
    Ok(rows)
}

fn control_rows(cx: &Cx<'_>, rig: &RigFacts) -> Vec<RigRow> {
    let untested: Vec<&str> = untested(rig);
    rig.def
        .controls
        .iter()
        .zip(&rig.controls)
        .filter(|(c, _)| c.assigned())
        .map(|(c, f)| {
            let left = untested.contains(&c.id.as_str());
            let closed = rig
                .enclosure(&c.enclosure)
                .is_some_and(|e| closed_since(rig, e).is_some());
            let failed = left && control_failed(rig, c, f);
            let (detail, mark, severity) = match (&f.works, &f.fails) {
                (_, Some(s)) if failed => (
                    format!(
                        "{}. {}",
                        cx.say(
                            "screen_rig_control_fails",
                            &[("when", (&cx.ago(s.wall_ms)).into())],
                        ),
                        cx.t("screen_rig_control_mend")
                    ),
                    Mark::Struck,
                    Severity::Blocking,
                ),
                (Some(s), _) if !left => (
                    cx.say(
                        "screen_rig_control_works",
                        &[("when", (&cx.ago(s.wall_ms)).into())],
                    ),
                    Mark::Full,
                    Severity::Good,
                ),
                _ => (
                    cx.t("screen_rig_control_try"),
                    Mark::Hollow,
                    Severity::Notice,
                ),
            };
            RigRow {
                photo: None,
                // One that is known not to work is put right with its housing open.
                other: Some(if failed {
                    open_button(cx, rig, &c.enclosure)
                } else {
                    button(
                        cx.t("action_it_fails"),
                        RigAction::ControlTested {
                            control: c.id.clone(),
                            works: false,
                        },
                    )
                }),
                title: format!("{}: {}", c.name, function_of(cx, c)),
                detail,
                footnote: Some(enclosure_name(rig, &c.enclosure)),
                mark: Some(mark),
                severity,
                tap: Some(RigButton {
                    enabled: closed,
                    why_not: (!closed).then(|| {
                        let name = enclosure_name(rig, &c.enclosure);
                        cx.say("error_enclosure_open", &[("name", (&name).into())])
                    }),
                    confirm: failed.then(|| cx.t("screen_rig_control_slip")),
                    ..button(
                        cx.t("action_it_works"),
                        RigAction::ControlTested {
                            control: c.id.clone(),
                            works: true,
                        },
                    )
                }),
            }
        })
        .collect()
}

/// A defect, as typed.
#[derive(Debug, Clone, Default)]
struct DefectSaid {
    text: String,
    /// Where; empty where it is the rig as a whole.
    at: String,
    water: bool,
    blocks: bool,
}

/// What it is of may be said already, by where it was seen.
fn defect_fields<'a>(cx: &Cx<'_>, rig: &RigFacts, of: &str) -> [Spec<'a, DefectSaid>; 4] {
    let mut at = vec![(String::new(), cx.t("screen_rig_defect_at_rig"))];
    let all = rig.def.enclosures.iter();
    at.extend(all.map(|e| (At::Enclosure(&e.id).to_string(), e.name.clone())));
    let at = at.iter().map(|(k, l)| (k.as_str(), l.clone())).collect();
    let (text, water) = (
        cx.t("screen_rig_defect_text"),
        cx.t("screen_rig_defect_water"),
    );
    let blocks = cx.t("screen_rig_defect_blocks_q");
    [
        long_text_in(keys::TEXT, text, |d: &mut DefectSaid| &mut d.text).must(),
        pick_in(
            "at",
            cx.t("screen_rig_defect_at"),
            at,
            |d: &mut DefectSaid| &mut d.at,
        )
        .starts(of),
        switch_in(keys::WATER, water, |d: &mut DefectSaid| &mut d.water),
        switch_in("blocks", blocks, |d: &mut DefectSaid| &mut d.blocks).starts("yes"),
    ]
}

/// A dive that was, as typed.
#[derive(Debug, Clone, Default)]
struct DiveSaid {
    depth_m: f64,
    minutes: f64,
    /// Whether it is over.
    up: Option<bool>,
    /// In salt water; none where nobody said.
    salt: Option<bool>,
    note: String,
}

impl DiveSaid {
    /// As it was planned.
    fn planned(plan: &Plan) -> DiveSaid {
        DiveSaid {
            depth_m: plan.depth_m,
            minutes: plan.minutes,
            salt: Some(plan.salinity_g_kg >= SALT_G_KG),
            ..DiveSaid::default()
        }
    }
}

fn dive_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, DiveSaid>; 5] {
    let up = vec![
        ("up", Some(true), cx.t("screen_rig_dive_is_up")),
        ("in", Some(false), cx.t("screen_rig_dive_goes_in")),
    ];
    let (depth, minutes) = (
        cx.t("screen_rig_dive_depth"),
        cx.t("screen_rig_dive_minutes"),
    );
    [
        must_num_in(keys::DEPTH, depth, Unit::Depth, |d: &mut DiveSaid| {
            &mut d.depth_m
        })
        .digits(3),
        must_num_in(keys::MINUTES, minutes, "min", |d: &mut DiveSaid| {
            &mut d.minutes
        })
        .digits(3),
        one_of_in(
            "up",
            cx.t("screen_rig_dive_up"),
            up,
            Some(None),
            |d: &mut DiveSaid| &mut d.up,
        )
        .hint(cx.t("screen_rig_dive_up_hint")),
        switch_or_unsaid_in(keys::SALT, cx.t("screen_rig_dive_salt"), |d| &mut d.salt),
        long_text_in(keys::NOTE, cx.t("common_note"), |d: &mut DiveSaid| {
            &mut d.note
        }),
    ]
}

/// The id of the lens on the rig.
fn lens_field<'a>(cx: &Cx<'_>, rig: &RigFacts) -> [Spec<'a, String>; 1] {
    let all = rig.def.lenses.iter();
    let all = all.map(|l| (l.id.as_str(), l.name.clone())).collect();
    let lens = pick_in(LENS, cx.t("screen_rig_lens"), all, |t| t);
    [lens.hint(cx.t("screen_rig_lens_hint")).must()]
}

const LENS: &str = "lens";

fn plan_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, Plan>; 4] {
    let (depth, minutes) = (
        cx.t("screen_rig_plan_depth"),
        cx.t("screen_rig_plan_minutes"),
    );
    let salinity = cx.t("screen_rig_plan_salinity");
    [
        must_num_in(keys::DEPTH, depth, Unit::Depth, |p: &mut Plan| {
            &mut p.depth_m
        })
        .digits(3),
        must_num_in(keys::MINUTES, minutes, "min", |p: &mut Plan| &mut p.minutes).digits(3),
        must_num_in(keys::SALINITY, salinity, "g/kg", |p: &mut Plan| {
            &mut p.salinity_g_kg
        })
        .digits(3)
        .hint(cx.t("screen_rig_plan_salinity_hint")),
        must_num_in(
            keys::WATER,
            cx.t("screen_rig_plan_water"),
            Unit::WaterTemperature,
            |p: &mut Plan| &mut p.water_c,
        )
        .digits(3),
    ]
}

/// What a copy of the rig is called.
fn copy_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let name = text_in(keys::NAME, cx.t("screen_rigs_new_name"), |t| t);
    [name.hint(cx.t("screen_rig_copy_hint")).must()]
}

/// What was looked at, where a note answers for it: by its words and their hint.
fn answer_field<'a>(cx: &Cx<'_>, label: &str, hint: String) -> [Spec<'a, String>; 1] {
    [long_text_in(keys::NOTE, cx.t(label), |t| t)
        .hint(hint)
        .must()]
}

fn unread_field<'a>(cx: &Cx<'_>, rig: &RigFacts) -> [Spec<'a, String>; 1] {
    let mut kinds: Vec<&str> = rig.unread.iter().map(|u| u.kind.as_str()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let kinds = kinds.join(", ");
    let hint = cx.say("screen_rig_unread_hint", &[("kinds", (&kinds).into())]);
    answer_field(cx, "screen_rig_unread_note", hint)
}

fn lost_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    answer_field(cx, "screen_rig_lost_note", cx.t("screen_rig_lost_hint"))
}

fn not_here_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let hint = cx.t("screen_rig_not_here_hint");
    answer_field(cx, "screen_rig_not_here_note", hint)
}

/// The enclosure that is looked over; none where it is something that is no longer on the rig.
fn inspected<'a>(rig: &'a RigFacts, at: At<'_>) -> Option<&'a Enclosure> {
    match at {
        At::Enclosure(id) => rig.def.enclosure(id),
        _ => None,
    }
}

fn inspect_field<'a>(cx: &Cx<'_>, rig: &RigFacts, at: At<'_>) -> [Spec<'a, String>; 1] {
    let (label, hint) = match inspected(rig, at) {
        Some(_) => ("screen_rig_inspect_note", "screen_rig_inspect_hint"),
        None => ("screen_rig_gone_note", "screen_rig_gone_hint"),
    };
    answer_field(cx, label, cx.t(hint))
}

/// How a defect was put right.
fn closed_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    [long_text_in("how", cx.t("screen_rig_defect_how"), |t| t).must()]
}

fn rig_form(cx: &Cx<'_>, rig: &RigFacts, which: RigForm<'_>) -> Option<Form> {
    let (plan, units) = (&rig.def.plan, &cx.units);
    let key = which.to_string();
    Some(match which {
        RigForm::Defect(of) => form(
            &RigForm::Defect("").to_string(),
            cx.t("screen_rig_defect_title"),
            draw(&defect_fields(cx, rig, of), units, None),
            cx.t("action_note_defect"),
        ),
        RigForm::Dive => {
            let mut fields = draw(&dive_fields(cx), units, Some(&DiveSaid::planned(plan)));
            fields.extend(asked_field(cx, &AskedOf::Dive(&rig.id).to_string()));
            form(
                &key,
                cx.t("screen_rig_dive_title"),
                fields,
                cx.t("action_log_dive"),
            )
        }
        RigForm::Lens => {
            let now = rig.def.lens.clone().unwrap_or_default();
            form(
                &key,
                cx.t("screen_rig_lens_title"),
                draw(&lens_field(cx, rig), units, Some(&now)),
                cx.t("action_change_lens"),
            )
        }
        RigForm::Plan => form(
            &key,
            cx.t("screen_rig_plan_title"),
            draw(&plan_fields(cx), units, Some(plan)),
            cx.t("action_change_plan"),
        ),
        RigForm::Copy => form(
            &key,
            cx.t("screen_rig_copy_title"),
            draw(&copy_field(cx), units, None),
            cx.t("action_copy_rig"),
        ),
        RigForm::Controls => return None,
        RigForm::Open(enclosure) => return open_form(cx, rig, enclosure),
        RigForm::Unread => form(
            &key,
            cx.say("screen_rig_unread", &[("n", rig.unread.len().into())]),
            draw(&unread_field(cx, rig), units, None),
            cx.t("action_answer_unread"),
        ),
        RigForm::Lost => form(
            &key,
            lost_title(cx, rig),
            draw(&lost_field(cx), units, None),
            cx.t("action_answer_lost"),
        ),
        RigForm::NotHere => {
            let missing = rig.entries_not_here() as usize;
            form(
                &key,
                cx.say("screen_rig_not_here", &[("n", missing.into())]),
                draw(&not_here_field(cx), units, None),
                cx.t("action_answer_not_here"),
            )
        }
        RigForm::Inspect(at) => {
            let (title, submit) = match inspected(rig, at) {
                Some(e) => (
                    cx.say("screen_rig_inspect", &[("name", (&e.name).into())]),
                    "action_inspected",
                ),
                None => {
                    let name = gone_name(rig, &at.to_string());
                    (
                        cx.say("screen_rig_gone", &[("name", (&name).into())]),
                        "action_answer_fault",
                    )
                }
            };
            let fields = draw(&inspect_field(cx, rig, at), units, None);
            form(&key, title, fields, cx.t(submit))
        }
        RigForm::CloseDefect(id) => {
            let defect = rig.defects.iter().find(|d| d.id == id)?;
            form(
                &key,
                defect.text.clone(),
                draw(&closed_field(cx), units, None),
                cx.t("action_defect_closed"),
            )
        }
    })
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, rig: &str, action: RigAction) -> Result<Outcome, BookFault> {
    let at = |form: Option<String>| Place::Rig {
        rig: rig.to_owned(),
        form,
    };
    let facts = desk.book.rig(rig)?;
    let name = |id: &str| enclosure_name(&facts, id);
    let said = |desk: &Desk, key: &str, name: &str| desk.texts.say(key, &[("name", name.into())]);
    Ok(match action {
        RigAction::StartPrep { procedure } => {
            let prep = desk.book.start_prep(rig, &procedure)?;
            go(Place::Prep {
                prep,
                step: None,
                form: None,
            })
        }
        RigAction::ResumePrep { prep } => go(Place::Prep {
            prep,
            step: None,
            form: None,
        }),
        RigAction::OpenStep { prep, step } => go(Place::Prep {
            prep,
            step: Some(step),
            form: None,
        }),
        RigAction::OpenClosure { enclosure, closure } => {
            let key = if open_now(&facts, &enclosure) {
                "screen_rig_said_looked_inside"
            } else {
                "screen_rig_said_opened"
            };
            let recorded = desk
                .book
                .open_closure(rig, &enclosure, closure.as_deref())?;
            done(recorded, said(desk, key, &name(&enclosure)))
        }
        RigAction::CloseEnclosure { enclosure } => {
            let recorded = desk.book.close_enclosure(rig, &enclosure)?;
            done(
                recorded,
                said(desk, "screen_rig_said_closed", &name(&enclosure)),
            )
        }
        RigAction::Hold { enclosure } => {
            let known = facts.enclosure(&enclosure);
            match known.map(|e| counting_hold(&facts, e)) {
                Some(Err(HoldMissing::Running { hold })) => go(Place::Hold { hold, form: None }),
                Some(Err(HoldMissing::OtherPlan { hold } | HoldMissing::MoreReadings { hold })) => {
                    match desk.book.judge_again(&hold) {
                        Ok(recorded) => Outcome {
                            go: Some(Place::Hold { hold, form: None }),
                            ..done(recorded, desk.texts.get("screen_rig_said_judged_again"))
                        },
                        // Its readings can't be judged for this plan: a new hold can.
                        Err(BookFault::Refused(_) | BookFault::Hold(_)) => go(Place::HoldSetup {
                            rig: rig.to_owned(),
                            enclosure,
                        }),
                        Err(e) => return Err(e),
                    }
                }
                _ => go(Place::HoldSetup {
                    rig: rig.to_owned(),
                    enclosure,
                }),
            }
        }
        RigAction::PlugOn { enclosure } => {
            let recorded = desk.book.refit_plug(rig, &enclosure)?;
            done(
                recorded,
                said(desk, "screen_rig_said_plug_on", &name(&enclosure)),
            )
        }
        RigAction::KeepEdits => {
            let def = desk.book.rig(rig)?.def.clone();
            let recorded = desk.book.edit_rig(rig, def)?;
            done(recorded, desk.texts.get("screen_rig_said_edits_kept"))
        }
        RigAction::PlugOff { enclosure } => {
            let recorded = desk.book.plug_off(rig, &enclosure)?;
            done(
                recorded,
                said(desk, "screen_rig_said_plug_off", &name(&enclosure)),
            )
        }
        RigAction::ControlTested { control, works } => {
            let recorded = desk.book.test_control(rig, &control, works, "")?;
            let name = facts
                .def
                .control(&control)
                .map(|c| c.name.clone())
                .unwrap_or_default();
            let key = if works {
                "screen_rig_said_works"
            } else {
                "screen_rig_said_fails"
            };
            done(recorded, said(desk, key, &name))
        }
        RigAction::ShowControls => go(at(Some("controls".into()))),
        RigAction::OpenRecheck => go(Place::Recheck {
            rig: rig.to_owned(),
        }),
        RigAction::OpenTrim => go(Place::Trim {
            rig: rig.to_owned(),
            form: None,
        }),
        RigAction::OpenSeals { seal: None } => go(Place::Seals {
            rig: rig.to_owned(),
        }),
        RigAction::OpenSeals { seal: Some(seal) } => go(Place::Seal {
            rig: rig.to_owned(),
            seal,
            form: None,
        }),
        RigAction::ShowForm { form } => go(at(Some(form))),
        RigAction::CloseDefect { defect } => {
            go(at(Some(RigForm::CloseDefect(&defect).to_string())))
        }
        RigAction::EditPart { part } => go(Place::RigEdit {
            rig: rig.to_owned(),
            part: Some(part),
        }),
        RigAction::Edit => go(Place::RigEdit {
            rig: rig.to_owned(),
            part: None,
        }),
        RigAction::Retire { retire } => {
            let recorded = desk.book.retire_rig(rig, retire)?;
            let key = if retire {
                "screen_rig_said_retired"
            } else {
                "screen_rig_said_in_use"
            };
            done(recorded, said(desk, key, &facts.def.name))
        }
        RigAction::OpenCrew => super::crew::go_to_crew(desk)?,
        RigAction::OpenJournal => go(Place::Days {
            rig: Some(rig.to_owned()),
            before: None,
            filter: super::days::DaysFilter::default(),
            form: None,
        }),
        RigAction::Submit { form, values } => return submit(desk, rig, &form, &values),
    })
}

fn submit(
    desk: &mut Desk,
    rig: &str,
    form: &str,
    values: &[FieldValue],
) -> Result<Outcome, BookFault> {
    let facts = desk.book.rig(rig)?;
    let cx = desk.cx()?;
    let units = cx.units;
    let mut typed = Typed::new(desk.texts, values);
    let left = |recorded, text: String| Outcome {
        leave: true,
        ..done(recorded, text)
    };
    let Some(known) = RigForm::parse(form) else {
        return Ok(fault("", desk.texts.get("error_other_screen")));
    };
    match known {
        RigForm::Defect(_) => {
            let said = read_new(&defect_fields(&cx, &facts, ""), &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let DefectSaid { text, at, .. } = &said;
            desk.book
                .open_defect(rig, at, said.blocks, said.water, text)?;
            Ok(Outcome {
                leave: true,
                said: Some(desk.texts.get("screen_rig_said_defect")),
                // Water comes before whatever was under way: the rig's page leads to what is done about it.
                go: said.water.then(|| Place::Rig {
                    rig: rig.to_owned(),
                    form: None,
                }),
                ..Outcome::default()
            })
        }
        RigForm::Dive => {
            let planned = DiveSaid::planned(&facts.def.plan);
            let said = read_over(&dive_fields(&cx), &units, &mut typed, &planned);
            let (depth_m, minutes) = (said.depth_m, said.minutes);
            if !typed.faults.is_empty() {
                return Ok(typed.faults().unwrap_or_default());
            }
            if let Some(asked) = unlikely_dive(desk, rig, depth_m, minutes, &typed)? {
                return Ok(asked);
            }
            // Of the planned water if that is of the kind said; else open sea, or none dissolved.
            let planned = facts.def.plan.salinity_g_kg;
            let salinity = match (said.salt, planned >= SALT_G_KG) {
                (Some(true), false) => 35.0,
                (Some(false), true) => 0.0,
                _ => planned,
            };
            // What was open, or without its plug, is looked into before anything counts of it.
            let why = desk.texts.get("screen_rig_dived_open");
            let dive = NewDive {
                depth_m,
                minutes,
                note: &said.note,
                salinity_g_kg: salinity,
                up: said.up,
            };
            let recorded = desk.book.log_dive_and_look(rig, dive, &why)?;
            if recorded.events.len() > 1 {
                return Ok(Outcome {
                    leave: true,
                    ..super::cx::said(desk.texts.get("screen_rig_said_dive"))
                });
            }
            Ok(left(recorded, desk.texts.get("screen_rig_said_dive")))
        }
        RigForm::Lens => {
            let lens = read_new(&lens_field(&cx, &facts), &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            if facts.def.lens.as_ref() == Some(&lens) {
                return Ok(fault(LENS, desk.texts.get("error_lens_is_on")));
            }
            let recorded = desk.book.choose_lens(rig, &lens)?;
            Ok(left(recorded, desk.texts.get("screen_rig_said_lens")))
        }
        RigForm::Plan => {
            let plan = read_over(&plan_fields(&cx), &units, &mut typed, &facts.def.plan);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let def = RigDef {
                plan,
                ..facts.def.clone()
            };
            let recorded = desk.book.edit_rig(rig, def)?;
            Ok(left(recorded, desk.texts.get("screen_rig_said_plan")))
        }
        RigForm::Copy => {
            let name = read_new(&copy_field(&cx), &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let copy = desk.book.copy_rig(rig, &name)?;
            Ok(Outcome {
                leave: true,
                ..go(Place::Rig {
                    rig: copy,
                    form: None,
                })
            })
        }
        RigForm::Open(enclosure) => {
            let closure = closure_field(&cx, &facts, enclosure).ok_or_else(|| {
                let (what, id) = ("enclosure", enclosure.to_owned());
                BookFault::NotFound { what, id }
            })?;
            let closure = read_new(&closure, &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let known = Some(closure.as_str()).filter(|c| *c != NOT_KNOWN);
            let recorded = desk.book.open_closure(rig, enclosure, known)?;
            let name = enclosure_name(&*desk.book.rig(rig)?, enclosure);
            let said = desk
                .texts
                .say("screen_rig_said_opened", &[("name", (&name).into())]);
            Ok(left(recorded, said))
        }
        answered @ (RigForm::Unread | RigForm::Lost | RigForm::NotHere) => {
            let field = match answered {
                RigForm::Lost => lost_field(&cx),
                RigForm::NotHere => not_here_field(&cx),
                _ => unread_field(&cx, &facts),
            };
            let note = read_new(&field, &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let (recorded, said) = match answered {
                RigForm::Lost => (desk.book.answer_lost(rig, &note)?, "screen_rig_said_lost"),
                RigForm::NotHere => (
                    desk.book.answer_not_here(rig, &note)?,
                    "screen_rig_said_lost",
                ),
                _ => (
                    desk.book.answer_unread(rig, &note)?,
                    "screen_rig_said_unread",
                ),
            };
            Ok(left(recorded, desk.texts.get(said)))
        }
        RigForm::Inspect(at) => {
            let note = read_new(&inspect_field(&cx, &facts, at), &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.inspect(rig, at, &note)?;
            Ok(left(recorded, desk.texts.get("screen_rig_said_inspected")))
        }
        RigForm::Controls => Ok(fault("", desk.texts.get("error_other_screen"))),
        RigForm::CloseDefect(defect) => {
            let how = read_new(&closed_field(&cx), &units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.close_defect(rig, defect, &how)?;
            Ok(left(
                recorded,
                desk.texts.get("screen_rig_said_defect_closed"),
            ))
        }
    }
}

/// A dive so much deeper than anything on the rig is made for, or than was planned, looks like a slip.
const FAR_DEEPER: f64 = 1.5;

/// So much longer than planned a dive is asked about: what was proved was proved for the time planned.
const LONGER: f64 = 1.1;

/// What is asked of a dive before it is recorded; none where nothing is, or it was answered. What happened
/// can be recorded, whatever it was: asked is whether it was so, and what follows is said.
fn unlikely_dive(
    desk: &mut Desk,
    rig: &str,
    depth_m: f64,
    minutes: f64,
    typed: &Typed<'_>,
) -> Result<Option<Outcome>, BookFault> {
    desk.asked = None;
    let facts = desk.book.rig(rig)?;
    let cx = desk.cx()?;
    let units = cx.units;
    let value = format!("{}\u{a0}{}", typed.text(keys::DEPTH), units.depth_symbol());
    let mut doubts = dive_doubts(&cx, &facts, depth_m);
    let at = if doubts.is_empty() {
        keys::MINUTES
    } else {
        keys::DEPTH
    };
    let mut of = vec![value.clone()];
    let planned = facts.def.plan.minutes;
    if minutes > LONGER * planned {
        let planned = format!("{}\u{a0}min", cx.units.plain(planned, 3));
        doubts.push(cx.say("error_doubt_dive_longer", &[("plan", (&planned).into())]));
        of.push(format!("{}\u{a0}min", typed.text(keys::MINUTES)));
    }
    let value = of.join(", ");
    // A yes is to what was asked: another doubt, since then, is another question.
    let key = format!("{SURE}{}={value} {}", keys::DEPTH, doubts.join(" "));
    if depth_m.is_nan() || doubts.is_empty() || typed.on(&key) {
        return Ok(None);
    }
    let text = format!("{} {}", doubts.join(" "), cx.t("error_is_it_so"));
    let sure = cx.say("screen_hold_sure", &[("value", (&value).into())]);
    desk.asked = Some(super::desk::Asked {
        at: AskedOf::Dive(rig).to_string(),
        field: asked(&key, sure),
    });
    Ok(Some(fault(at, text)))
}

/// What speaks against a dive to this depth with the rig as it is known, each with what follows.
fn dive_doubts(cx: &Cx<'_>, rig: &RigFacts, depth_m: f64) -> Vec<String> {
    let mut doubts = Vec::new();
    let plan_m = rig.def.plan.depth_m;
    let names = |which: &dyn Fn(&str) -> bool| -> Vec<String> {
        let all = rig.def.enclosures.iter().filter(|e| which(&e.id));
        all.map(|e| e.name.clone()).collect()
    };
    let say = |key: &str, names: &[String]| cx.say(key, &[("names", (&names.join(", ")).into())]);
    let ratings = rig.def.enclosures.iter().map(|e| e.depth_rating_m);
    let most = FAR_DEEPER * ratings.fold(plan_m, f64::max);
    if depth_m > most {
        let limit = cx.units.depth(most / FAR_DEEPER);
        doubts.push(cx.say("error_doubt_deep_dive", &[("most", (&limit).into())]));
        // Feet typed where metres are wanted.
        let feet = 0.3048 * cx.units.from_m(depth_m);
        if cx.units.to_m(1.0) > 0.9 && feet <= most {
            doubts.push(cx.say("error_slip_unit", &[("unit", "ft".into())]));
        }
    }
    let over = |id: &str| {
        rig.def
            .enclosure(id)
            .is_some_and(|e| depth_m > e.depth_rating_m)
    };
    let over = names(&over);
    if !over.is_empty() {
        doubts.push(say("error_doubt_dive_rating", &over));
    } else if depth_m > plan_m {
        let plan = cx.units.depth(plan_m);
        doubts.push(cx.say("error_doubt_dive_plan", &[("plan", (&plan).into())]));
    }
    let how = [WentIn::PlugOut, WentIn::Open, WentIn::Unproved];
    doubts.extend(
        how.into_iter()
            .filter_map(|how| went_in_doubt(cx, rig, how)),
    );
    doubts
}

/// What speaks against going in with what stands so.
pub(super) fn went_in_doubt(cx: &Cx<'_>, rig: &RigFacts, how: WentIn) -> Option<String> {
    let key = match how {
        WentIn::Proved => return None,
        WentIn::PlugOut => "error_doubt_dive_plug",
        WentIn::Open => "error_doubt_dive_open",
        WentIn::Unproved => "error_doubt_dive_unproved",
    };
    let so = |e: &&Enclosure| rig.enclosure(&e.id).is_some_and(|e| went_in(rig, e) == how);
    let names: Vec<&str> = (rig.def.enclosures.iter().filter(so))
        .map(|e| e.name.as_str())
        .collect();
    (!names.is_empty()).then(|| cx.say(key, &[("names", (&names.join(", ")).into())]))
}

/// A button that can't be used yet, and what comes first.
fn later(tap: RigButton, why: String) -> RigButton {
    RigButton {
        enabled: false,
        why_not: Some(why),
        ..tap
    }
}

fn edit_part(cx: &Cx<'_>, at: &EditAt) -> RigButton {
    button(
        cx.t("action_edit_rig"),
        RigAction::EditPart {
            part: at.to_string(),
        },
    )
}

fn show_form(label: String, form: RigForm<'_>) -> RigButton {
    button(
        label,
        RigAction::ShowForm {
            form: form.to_string(),
        },
    )
}

impl RigScreen {
    pub(super) fn page(self, texts: &Texts, form: Option<&str>) -> Page {
        if let (Some(form), true) = (self.form.clone(), form.is_some()) {
            return Draft::form_page(&self.name, &self.answer, form).done();
        }
        if form.is_some() && !self.controls.is_empty() {
            let with = |mark: Mark| {
                let rows = self.controls.iter();
                rows.filter(|r| r.mark == Some(mark)).count()
            };
            let (failed, left) = (with(Mark::Struck), with(Mark::Hollow));
            let n = |key: &str, n: usize| texts.say(key, &[("n", n.into())]);
            let (answer, mark, severity) = if failed > 0 {
                let text = n("screen_rig_controls_fail", failed);
                (text, Mark::Struck, Severity::Blocking)
            } else if left > 0 {
                let text = n("screen_rig_controls_left", left);
                (text, Mark::Hollow, Severity::Notice)
            } else {
                let text = texts.get("screen_rig_controls_work");
                (text, Mark::Full, Severity::Good)
            };
            let rig = Place::Rig {
                rig: self.rig,
                form: None,
            };
            return Draft::new(&texts.get("shell_controls"), &self.name)
                .answer(&answer, Some(mark), severity)
                .rows("", self.controls)
                .main(Some(lead(texts.get("action_to_rig"), rig)))
                .done();
        }
        let at_thumb = self.main.is_none();
        Draft::new(&self.name, "")
            .answer(&self.answer, Some(self.mark), self.severity)
            .beneath(&self.reason)
            .map(self.map)
            // The answer has counted them: they follow it without a title between.
            .rows("", self.obstacles)
            .lines(self.notices)
            .rows(&texts.get("shell_enclosures"), self.enclosures)
            .rows(&texts.get("shell_defects"), self.defects)
            .rows(&texts.get("shell_controls"), self.controls)
            .rows(&texts.get("shell_procedures"), self.procedures)
            .fields(self.form, at_thumb)
            .figures(&texts.get("shell_plan"), self.plan)
            .buttons(&texts.get("shell_more"), self.others)
            .photos(self.photos, &self.photo_subject)
            .footnote("", &self.caveat)
            .main(self.main)
            .done()
    }
}
