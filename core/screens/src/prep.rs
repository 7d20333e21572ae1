//! A prep, one step at a time. Its one question: what do I do now, and how do I know it is right?

use super::common::{FieldValue, Form, Line, Mark, Outcome, PhotoTile, Place, Severity};
use super::cx::{Cx, Typed, button, done, fault, form, go, line};
use super::desk::Desk;
use super::forms::{Note, PrepForm, RigForm};
use super::keys;
use super::measures::Unit;
use super::names::{Found, finding_fields, finding_name, finding_of, seal_part};
use super::page::{Block, Draft, Page};
use super::rig::by_crew;
use super::signing::{self, PLUGS, Signed, WALK, unsigned};
use super::spec::{Spec, draw, long_text_in, must_num_in, pick_in, read_new};
use super::texts::Texts;
use super::times::span;
use slackwater_domain::book::{
    Book, BookFault, Refit, Signer, asked_after_end, look_wants_service, not_shut, on_rig,
    seals_before_closing, waits_for, wants_service,
};
use slackwater_domain::procedure::{self, Measure, ProcedureKind, StepInstance, StepKind, Target};
use slackwater_domain::rig::{Control, PatternShape};
use slackwater_domain::rules::{
    HoldMissing, closed_since, control_failed, counting_hold, faulty, open_at, untested,
    within_step,
};
use slackwater_domain::state::{ControlFacts, PrepFacts, RigFacts, Seen, StepState};
use slackwater_domain::subject::At;
use slackwater_domain::trim::untrimmed;
use slackwater_physics::fasteners::{Shape, crossing_order};

pub use super::common::{Button as PrepButton, Row as PrepRow};

/// What the prep screen accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum PrepAction {
    /// The step is done.
    Done {
        /// Step instance key.
        step: String,
    },
    /// Confirms one part of a step (part of a seal service, item of the strip list).
    Tick {
        /// Step instance key.
        step: String,
        /// Part key.
        part: String,
        /// True to confirm, false to take it back.
        on: bool,
    },
    /// Records a control test.
    ControlTested {
        /// Step instance key.
        step: String,
        /// Control id.
        control: String,
        /// True if it did what the map says.
        works: bool,
    },
    /// The second member signs the step. Sent with the form 'sign' when the phone changes hands.
    Sign {
        /// Step instance key.
        step: String,
        /// Member id of who signs.
        member: String,
    },
    /// Shows a form: 'skip', 'hand-over', 'end'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Goes through the service of the step's seal one thing at a time.
    Service {
        /// Step instance key.
        step: String,
    },
    /// Sends a form (measure, skip reason, hand-over, seal finding).
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Writes down what is wrong where the step stands: a fault, or water.
    NoteDefect {
        /// Subject within the rig ('enclosure/main'); empty for the rig itself.
        at: String,
    },
    /// Looks at another step.
    GoTo {
        /// Step instance key.
        step: String,
    },
    /// Shows or hides the list of steps.
    ShowSteps,
    /// Opens a step again that was done or skipped.
    Reopen {
        /// Step instance key.
        step: String,
    },
    /// Goes to a seal that is to be serviced first.
    OpenSeal {
        /// Seal id.
        seal: String,
    },
    /// Goes to the hold that this step asks for.
    Hold {
        /// Step instance key.
        step: String,
    },
    /// Goes to the deck recheck.
    OpenRecheck,
    /// Goes to the trim.
    OpenTrim,
    /// Back to the rig.
    OpenRig,
    /// Opens the crew: who may be asked, and whether it is a crew of one.
    OpenCrew,
}

/// The shape a fastener pattern lies in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum DrawingShape {
    /// On a circle.
    Circle,
    /// On a rectangular frame.
    Frame,
}

/// One screw of a drawing, in a unit square (0..1, y downwards).
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct FastenerDot {
    /// Which it is in the crossing order, from 1. The only number that a screw has: a second one,
    /// round the pattern, would be followed in place of it.
    pub turn: u32,
    /// Position, 0..1.
    pub x: f32,
    /// Position, 0..1, downwards.
    pub y: f32,
}

/// A crossing order drawn.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FastenerDrawing {
    /// Its shape.
    pub shape: DrawingShape,
    /// The screws, in crossing order.
    pub dots: Vec<FastenerDot>,
    /// How to follow the numbers drawn, and the rounds, in words.
    pub spoken: String,
}

/// The prep screen.
#[derive(Debug, Clone, PartialEq)]
pub struct PrepScreen {
    /// Prep id.
    pub prep: String,
    /// Step instance key now shown; empty when the prep is complete.
    pub step: String,
    /// Name of the rig.
    pub rig_name: String,
    /// Title of the procedure.
    pub procedure: String,
    /// 'Closing, 4 of 9'.
    pub place: String,
    /// 'You stopped here 12 min ago; two steps were ticked since'.
    pub interruption: Option<String>,
    /// The instruction.
    pub instruction: String,
    /// How to know that it is right.
    pub text: String,
    /// The caution, once.
    pub caution: Option<String>,
    /// State of the step ('Done by Noor 8 min ago', 'Waits for: ...'), where it has one.
    pub state: Option<Line>,
    /// Its mark.
    pub mark: Mark,
    /// Parts to confirm.
    pub parts: Vec<PrepRow>,
    /// Tightening order, for a fasteners step.
    pub drawing: Option<FastenerDrawing>,
    /// A form: measure, or the one asked for.
    pub form: Option<Form>,
    /// Photos of this step.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The main action, at the thumb.
    pub main: Option<PrepButton>,
    /// The others.
    pub others: Vec<PrepButton>,
    /// All steps, when asked for.
    pub steps: Vec<PrepRow>,
    /// True when every step is done or skipped.
    pub complete: bool,
}

/// After so long without an action, coming back says where one stopped.
const INTERRUPTED_MS: i64 = 3 * 60_000;

/// Builds the screen: the step named, or where the prep stands.
pub(super) fn show(
    cx: &Cx<'_>,
    prep: &str,
    step: Option<&str>,
    form: Option<&str>,
) -> Result<PrepScreen, BookFault> {
    let facts = cx.book.prep(prep)?;
    let rig = cx.book.rig(&facts.rig)?;
    let form = form.and_then(PrepForm::parse);
    let asked = match form {
        Some(PrepForm::Sign(member, _)) => Some(member),
        _ => None,
    };
    let signed = match step {
        Some(PLUGS) => Some(Signed::Plugs),
        Some(WALK) => Some(Signed::Walk),
        Some(key) => Signed::loss(&rig, key)?,
        None => None,
    };
    if let Some(signed) = signed {
        return match asked {
            Some(member) => signing::page(cx, &rig, &facts, signed, member),
            None => signing::first_page(cx, &rig, &facts, signed),
        };
    }
    let named =
        match step {
            Some(key) => Some(facts.steps.iter().find(|s| s.key == key).ok_or_else(|| {
                BookFault::NotFound {
                    what: "step",
                    id: key.to_owned(),
                }
            })?),
            // Of one that is over no step comes next.
            None if facts.ended.is_some() || form == Some(PrepForm::End) => None,
            None => Book::current_step(&facts),
        };
    if let (Some(instance), Some(member)) = (named, asked) {
        return signing::page(cx, &rig, &facts, Signed::Step(instance), member);
    }
    let steps = if form == Some(PrepForm::Steps) {
        step_rows(cx, &rig, &facts)
    } else {
        Vec::new()
    };
    let mut screen = match named {
        Some(instance) => step_screen(cx, &facts, &rig, instance, form)?,
        None => finished(cx, &facts, &rig, form),
    };
    screen.steps = steps;
    Ok(screen)
}

fn step_screen(
    cx: &Cx<'_>,
    facts: &PrepFacts,
    rig: &RigFacts,
    instance: &StepInstance,
    form: Option<PrepForm<'_>>,
) -> Result<PrepScreen, BookFault> {
    let key = instance.key.as_str();
    let known = facts.step(key);
    let state = known.state(&facts.heard);
    let index = facts.steps.iter().position(|s| s.key == key).unwrap_or(0);
    let place = procedure::place(&facts.steps, index).map_or_else(String::new, |p| {
        cx.say(
            "screen_prep_place",
            &[
                ("section", (&p.section).into()),
                ("position", (p.position as usize).into()),
                ("of", (p.of as usize).into()),
            ],
        )
    });
    let waiting = waits_for(facts, instance);
    // What readiness still asks for can be done where it stands, the prep ended or not.
    let ended = facts.ended.is_some() && !asked_after_end(rig, facts, instance);
    let over = facts.ended.is_some();
    let unsigned = unsigned(rig, facts, instance);
    let stuck = held_up(cx, rig, facts, instance);
    let (state_line, mark) = match state {
        StepState::Done => {
            let seen = known.done.as_ref();
            let who = seen
                .map(|s| cx.who_when(&s.author, s.wall_ms))
                .unwrap_or_default();
            let value = seen.map(|s| s.value.clone()).unwrap_or_default();
            let mut text = cx.say("screen_prep_done_by", &[("who", (&who).into())]);
            if !value.is_empty() {
                text = format!("{text}: {}", cx.units.recorded(&value));
            }
            if unsigned {
                let text = format!("{text}. {}", wants_second(cx, rig));
                (
                    Some(line(text, Severity::Notice, Some(Mark::Half))),
                    Mark::Half,
                )
            } else {
                (
                    Some(line(text, Severity::Good, Some(Mark::Full))),
                    Mark::Full,
                )
            }
        }
        StepState::Skipped => {
            let reason = known
                .skipped
                .as_ref()
                .map(|s| s.value.clone())
                .unwrap_or_default();
            let text = cx.say("screen_prep_skipped", &[("reason", (&reason).into())]);
            (
                Some(line(text, Severity::Notice, Some(Mark::Struck))),
                Mark::Struck,
            )
        }
        StepState::Open if !waiting.is_empty() => {
            let text = cx.say(
                "screen_prep_waits",
                &[("steps", (&waiting.join("; ")).into())],
            );
            (
                Some(line(text, Severity::Notice, Some(Mark::Hatched))),
                Mark::Hatched,
            )
        }
        StepState::Open if stuck.is_some() => (
            stuck.map(|why| line(why, Severity::Notice, Some(Mark::Hatched))),
            Mark::Hatched,
        ),
        StepState::Open if lies_open(rig, instance) => (
            Some(line(
                open_already(cx, rig, instance),
                Severity::Notice,
                None,
            )),
            Mark::Hollow,
        ),
        StepState::Open if faulty_ring(rig, instance).is_some() => (
            faulty_ring(rig, instance).map(|(_, found)| {
                let what = finding_of(&found.value).map(|f| finding_name(cx, f));
                let text = match what {
                    Some(what) => cx.say("screen_seal_faulty", &[("what", (&what).into())]),
                    None => cx.t("screen_seal_faulty_short"),
                };
                line(text, Severity::Blocking, Some(Mark::Struck))
            }),
            Mark::Struck,
        ),
        StepState::Open if nothing_to_compare(rig, instance) => (
            Some(line(
                cx.t("screen_prep_nothing_to_compare"),
                Severity::Notice,
                Some(Mark::Hatched),
            )),
            Mark::Hollow,
        ),
        StepState::Open if instance.step.two_person => (
            Some(line(
                by_crew(
                    cx,
                    rig,
                    "screen_prep_two_person",
                    "screen_prep_two_person_alone",
                ),
                Severity::Plain,
                None,
            )),
            Mark::Hollow,
        ),
        StepState::Open => (None, Mark::Hollow),
    };
    let parts = match instance.step.kind {
        StepKind::Controls => control_parts(cx, rig, key),
        _ => part_rows(cx, rig, facts, instance, ended),
    };
    let at = At::Step(&facts.id, key);
    let why_not = if ended {
        Some(cx.t("error_prep_ended"))
    } else if !waiting.is_empty() {
        Some(cx.say(
            "error_steps_first",
            &[("steps", (&waiting.join("; ")).into())],
        ))
    } else {
        wanting(cx, rig, facts, instance, at)?
    };
    // Skipped, or done by nobody in particular: two can't sign that, so it is done after all.
    let nobody = (known.done.as_ref()).is_some_and(|d| !rig.crew.named(&d.author));
    let anew = asked_after_end(rig, facts, instance)
        && (state == StepState::Skipped || (state == StepState::Done && nobody));
    let mut others = Vec::new();
    let main = if anew {
        Some(button(
            cx.t("action_reopen"),
            PrepAction::Reopen {
                step: key.to_owned(),
            },
        ))
    } else if unsigned {
        let (main, rest) = signing::ask(cx, rig, facts, Signed::Step(instance));
        others = rest;
        Some(main)
    } else {
        main_action(cx, rig, facts, instance, state, why_not.clone())
    };
    if state == StepState::Open && !over {
        let skip = show_form(cx.t("action_skip"), PrepForm::Skip(""));
        if main.as_ref().is_none_or(|m| m.action != skip.action) {
            others.push(skip);
        }
    }
    let shut_in = seals_before_closing(rig, instance);
    if state == StepState::Open && instance.step.kind == StepKind::Close && !shut_in.is_empty() {
        let names: Vec<String> = (shut_in.iter())
            .map(|s| super::names::seal_name(rig, s))
            .collect();
        others.push(PrepButton {
            enabled: why_not.is_none(),
            why_not: why_not.clone(),
            confirm: Some(cx.say(
                "screen_rig_close_confirm",
                &[("seals", (&names.join(", ")).into())],
            )),
            ..button(
                cx.t("action_close_all_the_same"),
                PrepAction::Done {
                    step: key.to_owned(),
                },
            )
        });
    }
    let looks = instance.step.kind == StepKind::Check
        && matches!(instance.target, Target::Seal { .. })
        && !look_wants_service(rig, instance)
        && faulty_ring(rig, instance).is_none();
    if state == StepState::Open && looks && !ended {
        others.push(button(
            cx.t("action_service_seal"),
            PrepAction::Service {
                step: key.to_owned(),
            },
        ));
    }
    if state != StepState::Open && !ended {
        others.push(button(
            cx.t("action_reopen"),
            PrepAction::Reopen {
                step: key.to_owned(),
            },
        ));
    }
    if state == StepState::Open && instance.step.kind == StepKind::Trim && !ended {
        // The one that isn't the main action: trimmed by hand and eye, or looked at once more.
        let other = if to_trim(rig) {
            PrepButton {
                enabled: waiting.is_empty(),
                why_not: (!waiting.is_empty()).then(|| {
                    cx.say(
                        "error_steps_first",
                        &[("steps", (&waiting.join("; ")).into())],
                    )
                }),
                ..button(
                    cx.t("action_trimmed_by_hand"),
                    PrepAction::Done {
                        step: key.to_owned(),
                    },
                )
            }
        } else {
            button(cx.t("action_trim"), PrepAction::OpenTrim)
        };
        others.push(other);
    }
    let faulty = faulty_ring(rig, instance).is_some();
    if state == StepState::Open && instance.step.kind == StepKind::Seal && !ended && !faulty {
        others.push(show_form(
            cx.t("action_note_finding"),
            PrepForm::Finding(""),
        ));
        others.push(button(
            cx.t("action_service_steps"),
            PrepAction::Service {
                step: key.to_owned(),
            },
        ));
    }
    if state == StepState::Open && !ended && facts.kind != ProcedureKind::Flood {
        others.push(button(
            cx.t("action_wrong_here"),
            PrepAction::NoteDefect {
                at: (instance.target.enclosure())
                    .map_or_else(String::new, |e| At::Enclosure(e).to_string()),
            },
        ));
    }
    others.push(button(cx.t("action_all_steps"), PrepAction::ShowSteps));
    if !over && form == Some(PrepForm::Steps) {
        others.push(show_form(cx.t("action_end_prep_early"), PrepForm::End));
    }
    if !over {
        others.push(show_form(cx.t("action_hand_over"), PrepForm::HandOver));
    }
    let to_rig = button(cx.t("action_to_rig"), PrepAction::OpenRig);
    if main.as_ref().is_none_or(|m| m.action != to_rig.action) {
        others.push(to_rig);
    }
    Ok(PrepScreen {
        prep: facts.id.clone(),
        step: key.to_owned(),
        rig_name: rig.def.name.clone(),
        procedure: facts.title.clone(),
        place,
        interruption: interruption(cx, facts),
        instruction: instance.step.title.clone(),
        text: instance.step.text.clone(),
        caution: instance.step.caution.clone(),
        state: state_line,
        mark,
        parts,
        drawing: drawing(cx, rig, instance),
        form: step_form(cx, facts, instance, form, state),
        photos: cx.photos(&facts.rig, at)?,
        photo_subject: at.of(&facts.rig),
        main,
        others,
        steps: Vec::new(),
        complete: facts.left() == 0,
    })
}

fn finished(
    cx: &Cx<'_>,
    facts: &PrepFacts,
    rig: &RigFacts,
    form: Option<PrepForm<'_>>,
) -> PrepScreen {
    let open_two: Vec<&StepInstance> = facts
        .steps
        .iter()
        .filter(|s| unsigned(rig, facts, s))
        .collect();
    let main = if let Some(first) = open_two.first() {
        button(
            cx.t("action_open_step"),
            PrepAction::GoTo {
                step: first.key.clone(),
            },
        )
    } else if facts.ended.is_some() {
        button(cx.t("action_to_rig"), PrepAction::OpenRig)
    } else if facts.left() == 0 {
        // Nothing is asked: a form would be empty.
        button(
            cx.t("action_end_prep"),
            PrepAction::Submit {
                form: PrepForm::End.to_string(),
                values: Vec::new(),
            },
        )
    } else {
        show_form(cx.t("action_end_prep"), PrepForm::End)
    };
    let left = facts.left();
    let care = matches!(facts.kind, ProcedureKind::AfterDive | ProcedureKind::Flood);
    let early = form == Some(PrepForm::End) && Book::current_step(facts).is_some();
    let (instruction, text) = if early && facts.ended.is_none() {
        (
            cx.t("screen_prep_end_early"),
            cx.say("screen_rig_prep_left", &[("n", left.into())]),
        )
    } else if left > 0 && facts.ended.is_none() {
        // Steps remain, but none may be done now.
        (
            cx.t("screen_prep_stuck"),
            cx.say("screen_rig_prep_left", &[("n", left.into())]),
        )
    } else if !open_two.is_empty() {
        (
            by_crew(
                cx,
                rig,
                "screen_prep_signatures",
                "screen_prep_signatures_alone",
            ),
            signatures_left(cx, rig, open_two.len()),
        )
    } else if facts.ended.is_some() {
        (cx.t("error_prep_ended"), cx.t("screen_prep_ended_text"))
    } else {
        (
            cx.t("screen_prep_complete"),
            // After care or a flood the rig lies open: no recheck, no dive.
            cx.t(if care {
                "screen_prep_complete_care"
            } else {
                "screen_prep_complete_text"
            }),
        )
    };
    PrepScreen {
        prep: facts.id.clone(),
        step: String::new(),
        rig_name: rig.def.name.clone(),
        procedure: facts.title.clone(),
        place: String::new(),
        interruption: None,
        instruction,
        text,
        caution: None,
        state: facts.ended.as_ref().map(|e| {
            line(
                cx.say(
                    "screen_prep_ended",
                    &[("who", (&cx.who_when(&e.author, e.wall_ms)).into())],
                ),
                Severity::Plain,
                Some(Mark::Full),
            )
        }),
        mark: if left == 0 { Mark::Full } else { Mark::Hatched },
        parts: Vec::new(),
        drawing: None,
        form: finish_form(cx, facts, form),
        photos: Vec::new(),
        photo_subject: At::Prep(&facts.id).of(&facts.rig),
        others: [
            button(cx.t("action_all_steps"), PrepAction::ShowSteps),
            button(cx.t("action_to_rig"), PrepAction::OpenRig),
        ]
        .into_iter()
        .filter(|b| b.action != main.action)
        .collect(),
        main: Some(main),
        steps: Vec::new(),
        complete: left == 0,
    }
}

/// That somebody looks a second time.
pub(super) fn wants_second(cx: &Cx<'_>, rig: &RigFacts) -> String {
    by_crew(
        cx,
        rig,
        "screen_prep_wants_second",
        "screen_prep_wants_second_alone",
    )
}

/// 'Two steps wait for their second member'.
pub(super) fn signatures_left(cx: &Cx<'_>, rig: &RigFacts, n: usize) -> String {
    let key = if rig.crew.alone {
        "screen_prep_signatures_left_alone"
    } else {
        "screen_prep_signatures_left"
    };
    cx.say(key, &[("n", n.into())])
}

/// Whether the trim is the thing to go to: something can be hung, and it isn't trimmed as it is.
fn to_trim(rig: &RigFacts) -> bool {
    !rig.def.weight_box.is_empty() && untrimmed(rig).is_some()
}

fn main_action(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    instance: &StepInstance,
    state: StepState,
    why_not: Option<String>,
) -> Option<PrepButton> {
    let key = instance.key.clone();
    let asked = asked_after_end(rig, facts, instance);
    if state == StepState::Open && facts.ended.is_none() && !waits_for(facts, instance).is_empty() {
        return first_before(facts, instance).map(|first| {
            button(
                cx.say("action_first", &[("title", (&first.step.title).into())]),
                PrepAction::GoTo {
                    step: first.key.clone(),
                },
            )
        });
    }
    if state != StepState::Open {
        return Some(
            match Book::current_step(facts).filter(|_| facts.ended.is_none()) {
                Some(next) => button(
                    cx.t("action_next_step"),
                    PrepAction::GoTo {
                        step: next.key.clone(),
                    },
                ),
                None => button(cx.t("action_to_rig"), PrepAction::OpenRig),
            },
        );
    }
    let enclosure = match &instance.target {
        Target::Enclosure { enclosure } => Some(enclosure.as_str()),
        _ => None,
    };
    let proved = enclosure
        .and_then(|e| rig.enclosure(e))
        .is_some_and(|e| counting_hold(rig, e).is_ok());
    if !on_rig(&rig.def, &instance.target) {
        return Some(PrepButton {
            enabled: why_not.is_none(),
            why_not,
            ..button(cx.t("action_off_the_rig"), PrepAction::Done { step: key })
        });
    }
    // What has to be cleared first is offered in place of what would only refuse.
    let ended_why = (facts.ended.is_some() && !asked).then(|| cx.t("error_prep_ended"));
    if let Some(first) = service_first(cx, rig, instance) {
        return Some(PrepButton {
            enabled: ended_why.is_none(),
            why_not: ended_why,
            ..first
        });
    }
    let known = enclosure.and_then(|e| rig.enclosure(e));
    let read = known
        .and_then(|e| e.recheck.as_ref())
        .is_some_and(|(s, _)| within_step(facts, &key, &s.stamp));
    let made = match instance.step.kind {
        // What lies open on record is shut from the rig's page, or this is left out.
        _ if not_shut(rig, instance).is_some() => {
            return Some(show_form(cx.t("action_skip"), PrepForm::Skip("")));
        }
        // The rig's page lists what is missing.
        _ if stuck_at(rig, instance).is_some() => {
            return Some(button(cx.t("action_to_rig"), PrepAction::OpenRig));
        }
        StepKind::Hold if !proved => {
            let hold = known.map(|e| counting_hold(rig, e));
            let label = match hold {
                Some(Err(HoldMissing::Running { .. })) => "action_go_on_hold",
                _ => "action_start_hold",
            };
            button(cx.t(label), PrepAction::Hold { step: key })
        }
        StepKind::Recheck | StepKind::Gauge if !read && proved => {
            button(cx.t("action_recheck"), PrepAction::OpenRecheck)
        }
        StepKind::Trim if to_trim(rig) => button(cx.t("action_trim"), PrepAction::OpenTrim),
        StepKind::Seal if enclosure_is_closed(rig, instance) => {
            button(cx.t("action_done"), PrepAction::Done { step: key })
        }
        StepKind::Seal => button(cx.t("action_seal_back"), PrepAction::Done { step: key }),
        StepKind::PlugOut => button(cx.t("action_plug_out"), PrepAction::Done { step: key }),
        // It lies open already: nothing is taken away by saying so.
        StepKind::Open if lies_open(rig, instance) => {
            button(cx.t("action_opened"), PrepAction::Done { step: key })
        }
        StepKind::Recheck | StepKind::Gauge if !read => button(
            cx.t("action_nothing_to_compare"),
            PrepAction::Done { step: key },
        ),
        StepKind::Open => PrepButton {
            confirm: takes_away(rig, instance).then(|| cx.t("screen_prep_open_confirm")),
            ..button(cx.t("action_opened"), PrepAction::Done { step: key })
        },
        // The number is sent with its form.
        StepKind::Measure => return None,
        _ => button(cx.t("action_done"), PrepAction::Done { step: key }),
    };
    Some(PrepButton {
        enabled: why_not.is_none(),
        why_not,
        ..made
    })
}

/// The step to begin with where one waits: the first in order of those before it that may be done.
fn first_before<'a>(facts: &'a PrepFacts, instance: &StepInstance) -> Option<&'a StepInstance> {
    let mut ahead: Vec<&str> = instance.after.iter().map(String::as_str).collect();
    let mut seen: Vec<&str> = Vec::new();
    while let Some(key) = ahead.pop() {
        if seen.contains(&key) {
            continue;
        }
        seen.push(key);
        let before = facts.steps.iter().find(|s| s.key == key);
        ahead.extend(
            before
                .iter()
                .flat_map(|s| s.after.iter().map(String::as_str)),
        );
    }
    facts.steps.iter().find(|s| {
        seen.contains(&s.key.as_str())
            && facts.state(&s.key) == StepState::Open
            && waits_for(facts, s).is_empty()
    })
}

/// The enclosure that a step can't go on at, for something that its prep doesn't do: a plug wants a
/// hold that counts, a hold a closed enclosure with a valve, control tests closed enclosures.
pub(super) fn stuck_at<'a>(rig: &'a RigFacts, instance: &'a StepInstance) -> Option<&'a str> {
    if instance.step.kind == StepKind::Controls {
        // One that failed is put right with its housing open.
        let failed = failed(rig).next().map(|(c, _)| c.enclosure.as_str());
        return untestable(rig).or(failed);
    }
    let Target::Enclosure { enclosure } = &instance.target else {
        return None;
    };
    let known = rig.enclosure(enclosure)?;
    let stuck = match instance.step.kind {
        StepKind::Hold => {
            let valve = rig.def.enclosure(enclosure).and_then(|e| e.valve.as_ref());
            valve.is_none() || closed_since(rig, known).is_none()
        }
        StepKind::Plug => counting_hold(rig, known).is_err(),
        _ => false,
    };
    stuck.then_some(enclosure.as_str())
}

/// An enclosure that lies open with controls on it: a test there proves nothing later.
fn untestable(rig: &RigFacts) -> Option<&str> {
    let shut = |id: &str| (rig.enclosure(id)).is_some_and(|e| closed_since(rig, e).is_some());
    let mut assigned = rig.def.controls.iter().filter(|c| c.assigned());
    assigned
        .find(|c| !shut(&c.enclosure))
        .map(|c| c.enclosure.as_str())
}

/// The controls that were tried since their enclosure was closed, and failed.
fn failed(rig: &RigFacts) -> impl Iterator<Item = (&Control, &ControlFacts)> {
    let all = rig.def.controls.iter().zip(&rig.controls);
    all.filter(|(c, f)| c.assigned() && control_failed(rig, c, f))
}

/// Why a step of a prep can't be done before something else is done to the rig; none where it can, or
/// where its page leads to what comes first.
pub(super) fn held_up(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    instance: &StepInstance,
) -> Option<String> {
    let open = facts.state(&instance.key) == StepState::Open;
    if !open || !waits_for(facts, instance).is_empty() {
        return None;
    }
    let named = |key: &str, enclosure: &str| {
        let name = super::names::enclosure_name(rig, enclosure);
        Some(cx.say(key, &[("name", (&name).into())]))
    };
    if let Some(not_shut) = not_shut(rig, instance) {
        return Some(cx.faults().refusal(&not_shut));
    }
    let shut = |id: &str| (rig.enclosure(id)).is_some_and(|e| closed_since(rig, e).is_some());
    match (instance.step.kind, &instance.target) {
        (StepKind::Controls, _) => named("error_enclosure_open", untestable(rig)?),
        (StepKind::Hold | StepKind::Plug, Target::Enclosure { enclosure }) => {
            stuck_at(rig, instance)?;
            let valve = rig.def.enclosure(enclosure).and_then(|e| e.valve.as_ref());
            if valve.is_none() {
                named("error_no_valve", enclosure)
            } else if shut(enclosure) {
                named("error_not_proved", enclosure)
            } else {
                named("error_enclosure_open", enclosure)
            }
        }
        (StepKind::Recheck, Target::Enclosure { enclosure }) => {
            let known = rig.enclosure(enclosure)?;
            let unproved = counting_hold(rig, known).is_err();
            if unproved && instance.step.two_person {
                named("error_not_proved", enclosure)
            } else {
                None
            }
        }
        _ => None,
    }
}

/// Whether a step opens what is recorded as open.
fn lies_open(rig: &RigFacts, instance: &StepInstance) -> bool {
    let (Target::Enclosure { enclosure } | Target::Closure { enclosure, .. }) = &instance.target
    else {
        return false;
    };
    let known = rig.enclosure(enclosure);
    instance.step.kind == StepKind::Open
        && known.is_some_and(|e| e.opened.is_some() && closed_since(rig, e).is_none())
}

/// Whether the opening of a step takes anything away.
fn takes_away(rig: &RigFacts, instance: &StepInstance) -> bool {
    let (Target::Enclosure { enclosure } | Target::Closure { enclosure, .. }) = &instance.target
    else {
        return false;
    };
    super::rig::takes_away(rig, enclosure)
}

/// That an enclosure is recorded as open: there, or where else.
fn open_already(cx: &Cx<'_>, rig: &RigFacts, instance: &StepInstance) -> String {
    let Target::Closure { enclosure, closure } = &instance.target else {
        return cx.t("screen_prep_open_already");
    };
    let at = rig
        .enclosure(enclosure)
        .map_or_else(Vec::new, |e| open_at(rig, e));
    let here = |c: &Option<&str>| c.is_none_or(|c| c == closure);
    if at.is_empty() || at.iter().any(here) {
        return cx.t("screen_prep_open_already");
    }
    let def = rig.def.enclosure(enclosure);
    let names: Vec<String> = (at.iter().flatten())
        .map(|id| {
            let known = def.and_then(|e| e.closures.iter().find(|c| c.id == *id));
            known.map_or_else(|| (*id).to_owned(), |c| c.name.clone())
        })
        .collect();
    cx.say(
        "screen_prep_open_elsewhere",
        &[("names", (&names.join(", ")).into())],
    )
}

/// Whether a step reads a gauge of which no hold says what it should read.
fn nothing_to_compare(rig: &RigFacts, instance: &StepInstance) -> bool {
    let Target::Enclosure { enclosure } = &instance.target else {
        return false;
    };
    let known = rig.enclosure(enclosure);
    matches!(instance.step.kind, StepKind::Recheck | StepKind::Gauge)
        && known.is_some_and(|e| counting_hold(rig, e).is_err())
}

fn enclosure_is_closed(rig: &RigFacts, instance: &StepInstance) -> bool {
    let known = instance.target.enclosure().and_then(|e| rig.enclosure(e));
    known.is_some_and(|e| closed_since(rig, e).is_some())
}

/// The ring of a step that services it, or looks at it, where it is on record that it must not go back: which, and
/// what was found.
fn faulty_ring<'a>(rig: &'a RigFacts, instance: &'a StepInstance) -> Option<(&'a str, &'a Seen)> {
    let Target::Seal { seal, .. } = &instance.target else {
        return None;
    };
    let works = matches!(instance.step.kind, StepKind::Seal | StepKind::Check);
    let known = rig.seal(seal).filter(|_| works)?;
    Some((seal.as_str(), faulty(rig, known)?))
}

/// A service that must come before a step: of its own seal, or of one that a closing would shut in. A
/// ring added by an edit is asked for here, not when all is closed and proved.
fn service_first(cx: &Cx<'_>, rig: &RigFacts, instance: &StepInstance) -> Option<PrepButton> {
    let open = |seal: &str| {
        let name = super::names::seal_name(rig, seal);
        button(
            cx.say("action_service_named", &[("name", (&name).into())]),
            PrepAction::OpenSeal {
                seal: seal.to_owned(),
            },
        )
    };
    if let Some((seal, _)) = faulty_ring(rig, instance) {
        let name = super::names::seal_name(rig, seal);
        return Some(button(
            cx.say("action_new_ring_in", &[("name", (&name).into())]),
            PrepAction::OpenSeal {
                seal: seal.to_owned(),
            },
        ));
    }
    match (instance.step.kind, &instance.target) {
        (StepKind::Close, _) => seals_before_closing(rig, instance).first().map(|s| open(s)),
        (StepKind::Seal, Target::Seal { seal, .. })
            if enclosure_is_closed(rig, instance) && wants_service(rig, &instance.target) =>
        {
            Some(open(seal))
        }
        (StepKind::Check, Target::Seal { seal, .. }) if look_wants_service(rig, instance) => {
            Some(if enclosure_is_closed(rig, instance) {
                open(seal)
            } else {
                button(
                    cx.t("action_service_seal"),
                    PrepAction::Service {
                        step: instance.key.clone(),
                    },
                )
            })
        }
        _ => None,
    }
}

/// What a step still wants before it can be done: parts, controls, a photo.
fn wanting(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    instance: &StepInstance,
    at: At<'_>,
) -> Result<Option<String>, BookFault> {
    let left = part_rows(cx, rig, facts, instance, false)
        .iter()
        .filter(|p| p.mark != Some(Mark::Full))
        .count();
    if left > 0 {
        return Ok(Some(cx.say("error_parts_open", &[("n", left.into())])));
    }
    let controls = untested(rig).len();
    Ok(match instance.step.kind {
        StepKind::Controls if controls > 0 => {
            Some(cx.say("error_controls_open", &[("n", controls.into())]))
        }
        StepKind::Photo if cx.book.photo_notes(&facts.rig, at, 1)?.is_empty() => {
            Some(cx.t("error_photo_wanted"))
        }
        _ => None,
    })
}

fn part_rows(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    instance: &StepInstance,
    ended: bool,
) -> Vec<PrepRow> {
    let known = facts.step(&instance.key);
    Book::step_parts(rig, instance)
        .into_iter()
        .map(|(part, label)| {
            let title = if label.is_empty() {
                seal_part(cx, &part)
            } else {
                label
            };
            let seen = known.part_on(&facts.heard, &part);
            let on = seen.is_some();
            PrepRow {
                other: None,
                photo: None,
                title,
                detail: seen
                    .map(|s| cx.who_when(&s.author, s.wall_ms))
                    .unwrap_or_default(),
                footnote: None,
                mark: Some(if on { Mark::Full } else { Mark::Hollow }),
                severity: if on { Severity::Good } else { Severity::Plain },
                tap: (!ended).then(|| {
                    button(
                        if on {
                            cx.t("action_untick")
                        } else {
                            cx.t("action_tick")
                        },
                        PrepAction::Tick {
                            step: instance.key.clone(),
                            part,
                            on: !on,
                        },
                    )
                }),
            }
        })
        .collect()
}

fn control_parts(cx: &Cx<'_>, rig: &RigFacts, step: &str) -> Vec<PrepRow> {
    let left = untested(rig);
    rig.def
        .controls
        .iter()
        .zip(&rig.controls)
        .filter(|(c, _)| c.assigned())
        .map(|(c, f)| {
            let failed = f.fails.as_ref().filter(|_| control_failed(rig, c, f));
            let open = left.contains(&c.id.as_str());
            let closed = rig
                .enclosure(&c.enclosure)
                .is_some_and(|e| closed_since(rig, e).is_some());
            PrepRow {
                photo: None,
                other: Some(button(
                    cx.t("action_it_fails"),
                    PrepAction::ControlTested {
                        step: step.to_owned(),
                        control: c.id.clone(),
                        works: false,
                    },
                )),
                title: c.name.clone(),
                detail: super::names::function_of(cx, c),
                footnote: failed.map(|s| {
                    let fails = cx.say(
                        "screen_rig_control_fails",
                        &[("when", (&cx.ago(s.wall_ms)).into())],
                    );
                    format!("{fails}. {}", cx.t("screen_rig_control_mend"))
                }),
                mark: Some(match (failed, open) {
                    (Some(_), _) => Mark::Struck,
                    (None, true) => Mark::Hollow,
                    (None, false) => Mark::Full,
                }),
                severity: match (failed, open) {
                    (Some(_), _) => Severity::Blocking,
                    (None, true) => Severity::Plain,
                    (None, false) => Severity::Good,
                },
                tap: Some(PrepButton {
                    enabled: closed,
                    why_not: (!closed).then(|| {
                        let name = super::names::enclosure_name(rig, &c.enclosure);
                        cx.say("error_enclosure_open", &[("name", (&name).into())])
                    }),
                    confirm: (failed.is_some()).then(|| cx.t("screen_rig_control_slip")),
                    ..button(
                        cx.t("action_it_works"),
                        PrepAction::ControlTested {
                            step: step.to_owned(),
                            control: c.id.clone(),
                            works: true,
                        },
                    )
                }),
            }
        })
        .collect()
}

fn step_rows(cx: &Cx<'_>, rig: &RigFacts, facts: &PrepFacts) -> Vec<PrepRow> {
    facts
        .steps
        .iter()
        .map(|s| {
            let state = facts.state(&s.key);
            let (detail, mark) = match state {
                StepState::Done if unsigned(rig, facts, s) => (wants_second(cx, rig), Mark::Half),
                StepState::Done => (cx.t("screen_prep_is_done"), Mark::Full),
                StepState::Skipped => (cx.t("screen_prep_is_skipped"), Mark::Struck),
                StepState::Open if waits_for(facts, s).is_empty() => {
                    (cx.t("screen_prep_can_be_done"), Mark::Hollow)
                }
                StepState::Open => (cx.t("screen_prep_is_waiting"), Mark::Hatched),
            };
            PrepRow {
                other: None,
                photo: None,
                title: s.step.title.clone(),
                detail,
                footnote: Some(s.step.section.clone()),
                mark: Some(mark),
                severity: Severity::Plain,
                tap: Some(button(
                    s.step.title.clone(),
                    PrepAction::GoTo {
                        step: s.key.clone(),
                    },
                )),
            }
        })
        .collect()
}

/// Whoever reads a gauge or pumps in the middle of a prep has not stopped: it goes on from there. Where
/// that can't be noted, no more is lost than that.
pub(super) fn still_at_it(desk: &mut Desk, rig: &str) {
    let Ok(facts) = desk.book.rig(rig) else {
        return;
    };
    if let Some(prep) = facts.prep.as_ref().filter(|p| p.ended.is_none()) {
        let now = desk.book.now().wall_ms.to_string();
        let noted = desk.book.set_local(Note::Stopped(&prep.id), &now);
        drop(noted);
    }
}

/// 'You stopped here 12 min ago; two steps were ticked since'.
fn interruption(cx: &Cx<'_>, facts: &PrepFacts) -> Option<String> {
    let left_at = cx.book.local(Note::Stopped(&facts.id)).ok()??;
    let left_ms: i64 = left_at.parse().ok()?;
    let away = cx.now.wall_ms.saturating_sub(left_ms);
    if away < INTERRUPTED_MS {
        return None;
    }
    let me = cx.book.me();
    let since = facts
        .done
        .values()
        .filter_map(|s| s.done.as_ref())
        .filter(|d| d.wall_ms > left_ms && d.author != me)
        .count();
    let time = span(away);
    Some(cx.say(
        "screen_prep_interrupted",
        &[("time", (&time).into()), ("n", since.into())],
    ))
}

fn drawing(cx: &Cx<'_>, rig: &RigFacts, instance: &StepInstance) -> Option<FastenerDrawing> {
    let Target::Closure { enclosure, closure } = &instance.target else {
        return None;
    };
    if instance.step.kind != StepKind::Fasteners {
        return None;
    }
    let def = rig
        .def
        .enclosure(enclosure)?
        .closures
        .iter()
        .find(|c| c.id == *closure)?;
    let pattern = def.fasteners?;
    let (shape, drawn) = match pattern.shape {
        PatternShape::Circle => (Shape::Circle, DrawingShape::Circle),
        PatternShape::Frame => (Shape::Frame, DrawingShape::Frame),
    };
    let order = crossing_order(pattern.count, shape).ok()?;
    let dots: Vec<FastenerDot> = order
        .iter()
        .zip(1..)
        .map(|(&number, turn)| {
            let (x, y) = position(drawn, number, pattern.count);
            FastenerDot { turn, x, y }
        })
        .collect();
    let mut spoken = cx.say("screen_prep_crossing", &[("n", order.len().into())]);
    if let Some(torque) = pattern.torque_nm {
        let torque = format!("{}\u{a0}N·m", cx.units.plain(torque, 3));
        spoken = format!(
            "{spoken} {}",
            cx.say("screen_prep_torque", &[("torque", (&torque).into())])
        );
    }
    Some(FastenerDrawing {
        shape: drawn,
        dots,
        spoken,
    })
}

/// Where screw `number` of `count` lies in a unit square: clockwise from the top on a circle;
/// clockwise along the edges from the top left corner on a frame.
fn position(shape: DrawingShape, number: u32, count: u32) -> (f32, f32) {
    let at = (number - 1) as f32 / count as f32;
    match shape {
        DrawingShape::Circle => {
            let angle = at * std::f32::consts::TAU;
            (0.5 + 0.42 * angle.sin(), 0.5 - 0.42 * angle.cos())
        }
        DrawingShape::Frame => {
            let along = at * 4.0;
            let (side, t) = (along.floor() as i32, along.fract());
            let (low, high) = (0.08, 0.92);
            let way = low + (high - low) * t;
            match side {
                0 => (way, low),
                1 => (high, way),
                2 => (high - (way - low), high),
                _ => (low, high - (way - low)),
            }
        }
    }
}

fn step_form(
    cx: &Cx<'_>,
    facts: &PrepFacts,
    instance: &StepInstance,
    which: Option<PrepForm<'_>>,
    state: StepState,
) -> Option<Form> {
    let key = &instance.key;
    match which {
        Some(PrepForm::Skip(_)) => Some(form(
            &PrepForm::Skip(key).to_string(),
            cx.say(
                "screen_prep_skip_title",
                &[("step", (&instance.step.title).into())],
            ),
            draw(&skip_field(cx), &cx.units, None),
            cx.t("action_skip"),
        )),
        Some(PrepForm::Finding(_)) => Some(form(
            &PrepForm::Finding(key).to_string(),
            cx.say(
                "screen_prep_finding_title",
                &[("step", (&instance.step.title).into())],
            ),
            draw(&finding_fields(cx), &cx.units, None),
            cx.t("action_note_finding"),
        )),
        Some(PrepForm::HandOver) => Some(form(
            &PrepForm::HandOver.to_string(),
            cx.t("screen_prep_hand_over_title"),
            draw(&member_field(cx), &cx.units, None),
            cx.t("action_hand_over"),
        )),
        Some(_) => finish_form(cx, facts, which),
        None if state == StepState::Open => instance.step.measure.as_ref().map(|m| {
            form(
                &PrepForm::Measure(key).to_string(),
                String::new(),
                draw(&value_field(cx, m), &cx.units, None),
                cx.t("action_done"),
            )
        }),
        None => None,
    }
}

/// What is measured at a step, in its unit and within its limits.
fn value_field<'a>(cx: &Cx<'_>, m: &'a Measure) -> [Spec<'a, f64>; 1] {
    let number = |limit: f64| cx.units.number(&limit.to_string());
    let with_unit = |limit| format!("{}\u{a0}{}", number(limit), m.unit);
    let hint = match (m.min, m.max) {
        (Some(min), Some(max)) => {
            let (min, max) = (number(min), with_unit(max));
            let args = &[("min", (&min).into()), ("max", (&max).into())];
            Some(cx.say("screen_prep_between", args))
        }
        (Some(min), None) => {
            Some(cx.say("screen_prep_at_least", &[("min", (&with_unit(min)).into())]))
        }
        (None, Some(max)) => {
            Some(cx.say("screen_prep_at_most", &[("max", (&with_unit(max)).into())]))
        }
        (None, None) => None,
    };
    let value = must_num_in("value", cx.t("screen_prep_value"), Unit::Unsaid, |v| v);
    [value
        .called(&m.unit)
        .check(|_, _, v| (!m.accepts(v)).then_some("error_outside_limits"))
        .hint(hint)]
}

/// Why a step is passed over.
fn skip_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let reason = reason_field(cx);
    [reason.hint(cx.t("screen_prep_skip_hint")).must()]
}

/// Why a prep is ended with so many steps left; where none is, nothing is asked.
fn end_field<'a>(cx: &Cx<'_>, left: usize) -> [Spec<'a, String>; 1] {
    let hint = cx.say("screen_rig_prep_left", &[("n", left.into())]);
    [reason_field(cx).hint(hint).marked().drawn_if(left > 0)]
}

fn reason_field<'a>(cx: &Cx<'_>) -> Spec<'a, String> {
    long_text_in(keys::REASON, cx.t("screen_prep_reason"), |t| t)
}

/// To whom a prep is handed over: a choice of the others; the first of them is preset.
fn member_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let members = cx.book.members().unwrap_or_default();
    let others: Vec<_> = members.iter().filter(|m| m.id != cx.book.me()).collect();
    let all = others.iter().map(|m| (m.id.as_str(), m.name.clone()));
    let label = cx.t("screen_prep_to_whom");
    let member = pick_in(keys::MEMBER, label, all.collect(), |t| t);
    let first = others.first().map_or("", |m| m.id.as_str());
    [member.starts(first).must()]
}

fn finish_form(cx: &Cx<'_>, facts: &PrepFacts, which: Option<PrepForm<'_>>) -> Option<Form> {
    if which != Some(PrepForm::End) {
        return None;
    }
    Some(form(
        &PrepForm::End.to_string(),
        cx.t("screen_prep_end_title"),
        draw(&end_field(cx, facts.left()), &cx.units, None),
        cx.t("action_end_prep"),
    ))
}

/// Does an action.
pub(super) fn act(
    desk: &mut Desk,
    prep: &str,
    step: Option<&str>,
    action: PrepAction,
) -> Result<Outcome, BookFault> {
    let facts = desk.book.prep(prep)?;
    let title = |key: &str| {
        facts
            .steps
            .iter()
            .find(|s| s.key == key)
            .map_or_else(|| key.to_owned(), |s| s.step.title.clone())
    };
    let at = |step: Option<&str>, form: Option<&str>| Place::Prep {
        prep: prep.to_owned(),
        step: step.map(str::to_owned),
        form: form.map(str::to_owned),
    };
    // Where one stopped is known from the last action here.
    let now = desk.book.now().wall_ms;
    if matches!(
        action,
        PrepAction::Done { .. }
            | PrepAction::Tick { .. }
            | PrepAction::ControlTested { .. }
            | PrepAction::Submit { .. }
            | PrepAction::Hold { .. }
    ) {
        desk.book.set_local(Note::Stopped(prep), &now.to_string())?;
    }
    Ok(match action {
        PrepAction::Done { step } if step == WALK => {
            let recorded = desk.book.walk_round(&facts.rig)?;
            let alone = desk.book.rig(&facts.rig)?.crew.alone;
            let said = desk.texts.get(if alone {
                "screen_sign_said_walked_alone"
            } else {
                "screen_sign_said_walked"
            });
            done(recorded, said)
        }
        PrepAction::Done { step } => {
            let recorded = desk.book.do_step(prep, &step, "")?;
            let two = facts
                .steps
                .iter()
                .any(|s| s.key == step && s.step.two_person);
            let said = desk
                .texts
                .say("screen_prep_said_done", &[("step", (&title(&step)).into())]);
            // A two-person step waits for the other hand; any other leads on.
            let go = if two {
                at(Some(&step), None)
            } else {
                at(None, None)
            };
            Outcome {
                go: Some(go),
                ..done(recorded, said)
            }
        }
        PrepAction::Tick { step, part, on } => {
            let recorded = desk.book.tick_part(prep, &step, &part, on)?;
            Outcome {
                said: None,
                undo: None,
                ..done(recorded, String::new())
            }
        }
        PrepAction::ControlTested { control, works, .. } => {
            let recorded = desk.book.test_control(&facts.rig, &control, works, "")?;
            let name = desk
                .book
                .rig(&facts.rig)?
                .def
                .control(&control)
                .map(|c| c.name.clone())
                .unwrap_or_default();
            let key = if works {
                "screen_rig_said_works"
            } else {
                "screen_rig_said_fails"
            };
            done(recorded, desk.texts.say(key, &[("name", (&name).into())]))
        }
        PrepAction::Sign { step, member } => {
            return signing::sign(desk, &facts, &step, Signer::from(&member));
        }
        PrepAction::ShowForm { form } => {
            let step = step.map(str::to_owned).or_else(|| {
                Book::current_step(&facts)
                    .map(|s| s.key.clone())
                    .filter(|_| form != "end")
            });
            go(at(step.as_deref(), Some(&form)))
        }
        PrepAction::ShowSteps => go(at(step, Some("steps"))),
        PrepAction::GoTo { step } => go(at(Some(&step), None)),
        PrepAction::Reopen { step } => {
            let recorded = desk.book.reopen_step(prep, &step)?;
            let said = desk.texts.say(
                "screen_prep_said_reopened",
                &[("step", (&title(&step)).into())],
            );
            Outcome {
                go: Some(at(Some(&step), None)),
                ..done(recorded, said)
            }
        }
        PrepAction::Hold { step } => {
            let enclosure =
                facts
                    .steps
                    .iter()
                    .find(|s| s.key == step)
                    .and_then(|s| match &s.target {
                        Target::Enclosure { enclosure } => Some(enclosure.clone()),
                        _ => None,
                    });
            let Some(enclosure) = enclosure else {
                return Err(BookFault::NotFound {
                    what: "step",
                    id: step,
                });
            };
            let rig = desk.book.rig(&facts.rig)?;
            super::hold::go_to_hold(&rig, &enclosure)
        }
        PrepAction::OpenSeal { seal } => go(Place::Seal {
            rig: facts.rig.clone(),
            seal,
            form: None,
        }),
        PrepAction::Service { step } => {
            let seal = facts
                .steps
                .iter()
                .find(|s| s.key == step)
                .and_then(|s| match &s.target {
                    Target::Seal { seal, .. } => Some(seal.clone()),
                    _ => None,
                });
            let Some(seal) = seal else {
                return Err(BookFault::NotFound {
                    what: "step",
                    id: step,
                });
            };
            go(Place::Service {
                rig: facts.rig.clone(),
                seal,
                stage: "look".into(),
                prep: Some(prep.to_owned()),
                step: Some(step),
            })
        }
        PrepAction::NoteDefect { at } => go(Place::Rig {
            rig: facts.rig.clone(),
            form: Some(RigForm::Defect(&at).to_string()),
        }),
        PrepAction::OpenTrim => {
            let rig = desk.book.prep(prep)?.rig;
            go(Place::Trim { rig, form: None })
        }
        PrepAction::OpenRecheck => go(Place::Recheck {
            rig: facts.rig.clone(),
        }),
        PrepAction::OpenCrew => super::crew::go_to_crew(desk)?,
        PrepAction::OpenRig => go(Place::Rig {
            rig: facts.rig.clone(),
            form: None,
        }),
        PrepAction::Submit { form, values } => {
            return submit(desk, prep, &facts, &form, &values);
        }
    })
}

fn submit(
    desk: &mut Desk,
    prep: &str,
    facts: &PrepFacts,
    form: &str,
    values: &[FieldValue],
) -> Result<Outcome, BookFault> {
    let mut typed = Typed::new(desk.texts, values);
    let on = |desk: &Desk, recorded, text: &str, leave: bool| {
        let said = desk.texts.say(text, &[("step", "".into())]);
        let go = Place::Prep {
            prep: prep.to_owned(),
            step: None,
            form: None,
        };
        Outcome {
            leave,
            go: Some(go),
            ..done(recorded, said.trim_end_matches([':', ' ']).into())
        }
    };
    let cx = desk.cx()?;
    match PrepForm::parse(form) {
        Some(PrepForm::Measure(key)) => {
            let measure = facts
                .steps
                .iter()
                .find(|s| s.key == key)
                .and_then(|s| s.step.measure.clone())
                .ok_or_else(|| BookFault::NotFound {
                    what: "step",
                    id: key.to_owned(),
                })?;
            let value = read_new(&value_field(&cx, &measure), &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let shown = format!("{value}\u{a0}{}", measure.unit);
            let recorded = desk.book.do_step(prep, key, &shown)?;
            let shown = desk.cx()?.units.recorded(&shown);
            let said = desk
                .texts
                .say("screen_prep_said_done", &[("step", (&shown).into())]);
            let go = Place::Prep {
                prep: prep.to_owned(),
                step: None,
                form: None,
            };
            Ok(Outcome {
                go: Some(go),
                ..done(recorded, said)
            })
        }
        Some(PrepForm::Skip(key)) => {
            let reason = read_new(&skip_field(&cx), &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.skip_step(prep, key, &reason)?;
            Ok(on(desk, recorded, "screen_prep_said_skipped", true))
        }
        Some(PrepForm::Finding(key)) => {
            let found = read_new(&finding_fields(&cx), &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let Found { finding, note } = found;
            let target = facts.steps.iter().find(|s| s.key == key).map(|s| &s.target);
            // A ring that must not go back is news at once; how it goes on is its service.
            if let Some(Target::Seal { seal, .. }) = target
                && finding.needs_new_ring()
            {
                let refit = Refit::Same { finding, note };
                let recorded = desk.book.refit_seal(&facts.rig, seal, refit, None)?;
                let found = desk.texts.get("screen_prep_said_finding");
                let go = Place::Seal {
                    rig: facts.rig.clone(),
                    seal: seal.clone(),
                    form: None,
                };
                return Ok(Outcome {
                    leave: true,
                    go: Some(go),
                    ..done(recorded, found)
                });
            }
            let recorded = desk.book.do_step_finding(prep, key, "", finding, &note)?;
            Ok(on(desk, recorded, "screen_prep_said_finding", true))
        }
        Some(PrepForm::Sign(member, step)) => {
            let step = step.unwrap_or_default();
            let asked = signing::code_field(&cx, &cx.name(member));
            let code = read_new(&asked, &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            signing::sign(
                desk,
                facts,
                step,
                Signer {
                    member,
                    code: &code,
                },
            )
        }
        Some(PrepForm::HandOver) => {
            let member = read_new(&member_field(&cx), &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.hand_over(prep, &member)?;
            let name = desk.cx()?.name(&member);
            let said = desk
                .texts
                .say("screen_prep_said_handed_over", &[("name", (&name).into())]);
            Ok(Outcome {
                leave: true,
                ..done(recorded, said)
            })
        }
        Some(PrepForm::Steps) | None => Ok(fault("", desk.texts.get("error_other_screen"))),
        Some(PrepForm::End) => {
            let reason = read_new(&end_field(&cx, facts.left()), &cx.units, &mut typed);
            let recorded = desk.book.end_prep(prep, &reason)?;
            let said = desk.texts.get("screen_prep_said_ended");
            let go = Place::Rig {
                rig: facts.rig.clone(),
                form: None,
            };
            Ok(Outcome {
                leave: true,
                go: Some(go),
                ..done(recorded, said)
            })
        }
    }
}

pub(super) fn show_form(label: String, form: PrepForm<'_>) -> PrepButton {
    button(
        label,
        PrepAction::ShowForm {
            form: form.to_string(),
        },
    )
}

impl PrepScreen {
    pub(super) fn page(self, texts: &Texts, form: Option<&str>) -> Page {
        if let (Some(form), true) = (self.form.clone(), form.is_some()) {
            return Draft::form_page(&self.place, &self.instruction, form).done();
        }
        let steps = texts.get("shell_steps");
        if form.is_some() && !self.steps.is_empty() {
            let end = super::Action::from(PrepAction::ShowForm { form: "end".into() });
            let ends = self.others.into_iter().filter(|b| b.action == end);
            return Draft::new(&steps, &self.procedure)
                .rows("", self.steps)
                .buttons("", ends.collect())
                .done();
        }
        // Over, or on a page of signing, it stands at no step.
        let place = [&self.place, &self.procedure, &self.rig_name];
        let place = (place.into_iter().find(|t| !t.is_empty()).cloned()).unwrap_or_default();
        let of = [self.rig_name, self.procedure];
        let of = of.into_iter().filter(|t| !t.is_empty() && *t != place);
        let of: Vec<String> = of.collect();
        let stopped = self.interruption.map(|text| Line {
            text,
            severity: Severity::Plain,
            mark: Some(Mark::Hatched),
        });
        let at_thumb = self.main.is_none();
        let mark = self.state.as_ref().map(|_| self.mark);
        let mut draft = Draft::new(&place, &of.join(", "))
            .step(&self.step)
            .answer(&self.instruction, mark, Severity::Plain)
            .beneath(&self.text)
            .caution(self.caution)
            .lines(stopped)
            .lines(self.state);
        if let Some(drawing) = self.drawing {
            let spoken = drawing.spoken.clone();
            draft = draft.block(Block::Screws { drawing }).text(&spoken);
        }
        draft
            .ticks("", self.parts)
            .fields(self.form, at_thumb)
            .rows(&steps, self.steps)
            .buttons(&texts.get("shell_more"), self.others)
            .photos(self.photos, &self.photo_subject)
            .main(self.main)
            .done()
    }
}
