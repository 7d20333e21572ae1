//! A procedure file that was handed in: what it is and what it replaces is told, and somebody says yes before
//! any of it is the crew's.

use super::common::{FieldFault, Form, Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, Typed, done, fault, form, go, line, said};
use super::desk::Desk;
use super::rig::kind_name;
use super::spec::{Spec, draw, pick_in, read_new};
use slackwater_domain::book::BookFault;
use slackwater_domain::procedure::{self, Procedure, ProcedureFault};

/// How the form is called that asks about a procedure: this and its id.
pub(super) const FORM: &str = "procedure";

/// A procedure that waits for a word, as it came.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct WaitingProcedure {
    read: Procedure,
    bytes: Vec<u8>,
}

/// Looks at a file, and asks. What is wrong with it comes as faults, each with its line.
pub(super) fn look_at(desk: &mut Desk, bytes: &[u8]) -> Result<Outcome, BookFault> {
    let read = match procedure::parse_bytes(bytes) {
        Ok(read) => read,
        Err(faults) => return Ok(wrong(&desk.cx()?, faults)),
    };
    let cx = desk.cx()?;
    if known(&cx, &read.id)?.is_some_and(|known| known == read) {
        let args = [("title", (&read.title).into())];
        return Ok(said(cx.say("screen_procedure_known", &args)));
    }
    let place = Place::Crew {
        form: Some(format!("{FORM}/{}", read.id)),
    };
    let bytes = bytes.to_vec();
    desk.procedure = Some(WaitingProcedure { read, bytes });
    Ok(go(place))
}

fn wrong(cx: &Cx<'_>, faults: Vec<ProcedureFault>) -> Outcome {
    let line = |f: ProcedureFault| FieldFault {
        text: cx.faults().procedure(&f),
        field: f.what,
    };
    Outcome {
        faults: faults.into_iter().map(line).collect(),
        ..Outcome::default()
    }
}

/// The procedure of an id that is in use here.
fn known(cx: &Cx<'_>, id: &str) -> Result<Option<Procedure>, BookFault> {
    Ok(cx.book.procedures()?.into_iter().find(|p| p.id == id))
}

/// The one that a form asks about, as long as it waits.
fn asked<'a>(cx: &Cx<'a>, key: &str) -> Option<&'a WaitingProcedure> {
    let id = key.strip_prefix(FORM)?.strip_prefix('/')?;
    cx.procedure.filter(|w| w.read.id == id)
}

/// '41 steps, 3 of them signed by two'.
fn steps(cx: &Cx<'_>, of: &Procedure) -> String {
    let two = of.steps.iter().filter(|s| s.two_person).count();
    cx.say(
        "screen_procedure_steps",
        &[("n", of.steps.len().into()), ("two", two.into())],
    )
}

/// What is to be known before the form is answered.
pub(super) fn told(cx: &Cx<'_>, key: &str) -> Result<Vec<Line>, BookFault> {
    let Some(waiting) = asked(cx, key) else {
        let gone = cx.t("screen_procedure_gone");
        return Ok(vec![line(gone, Severity::Notice, Some(Mark::Hatched))]);
    };
    let read = &waiting.read;
    let (kind, of) = (kind_name(cx, read.kind), steps(cx, read));
    let args = [("kind", (&kind).into()), ("steps", (&of).into())];
    let mut lines = vec![
        line(cx.say("screen_procedure_is", &args), Severity::Plain, None),
        line(cx.t("screen_procedure_whose"), Severity::Plain, None),
    ];
    let Some(before) = known(cx, &read.id)? else {
        lines.push(line(cx.t("screen_procedure_beside"), Severity::Plain, None));
        return Ok(lines);
    };
    let from = match cx.book.procedure_brought(&read.id)? {
        Some(event) => {
            let who = cx.who_when(&event.author, event.wall_ms);
            cx.say("screen_procedure_brought_by", &[("who", (&who).into())])
        }
        None => cx.t("screen_procedure_built_in"),
    };
    let of = steps(cx, &before);
    let args = [
        ("title", (&before.title).into()),
        ("from", (&from).into()),
        ("steps", (&of).into()),
    ];
    lines.push(line(
        cx.say("screen_procedure_replaces", &args),
        Severity::Notice,
        Some(Mark::Hatched),
    ));
    if before.kind != read.kind {
        let kind = kind_name(cx, before.kind);
        let args = [("kind", (&kind).into())];
        lines.push(line(
            cx.say("screen_procedure_was_for", &args),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    lines.push(line(
        cx.t("screen_procedure_under_way"),
        Severity::Plain,
        None,
    ));
    Ok(lines)
}

const TAKE: &str = "take";

/// Whether it is taken, as a word.
fn take_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    let choices = vec![
        (YES, cx.t("screen_procedure_yes")),
        ("no", cx.t("screen_procedure_no")),
    ];
    [pick_in(TAKE, cx.t("screen_procedure_q"), choices, |t| t).must()]
}

const YES: &str = "yes";

/// The form.
pub(super) fn ask(cx: &Cx<'_>, key: &str) -> Option<Form> {
    let title = asked(cx, key)?.read.title.clone();
    let take = draw(&take_field(cx), &cx.units, None);
    Some(form(key, title, take, cx.t("action_answer")))
}

/// Takes the answer.
pub(super) fn answered(
    desk: &mut Desk,
    key: &str,
    mut typed: Typed<'_>,
) -> Result<Outcome, BookFault> {
    let cx = desk.cx()?;
    let take = read_new(&take_field(&cx), &cx.units, &mut typed) == YES;
    if let Some(faults) = typed.faults() {
        return Ok(faults);
    }
    let Some(waiting) = asked(&desk.cx()?, key).cloned() else {
        return Ok(fault(TAKE, desk.texts.get("screen_procedure_gone")));
    };
    let outcome = if take {
        let recorded = desk.book.add_procedure(&waiting.bytes)?;
        done(recorded, desk.texts.get("screen_journal_procedure"))
    } else {
        said(desk.texts.get("screen_procedure_left"))
    };
    desk.procedure = None;
    Ok(Outcome {
        leave: true,
        ..outcome
    })
}
