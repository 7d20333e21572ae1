//! The page of a second signature: who is asked by name, and what they would sign for.
//!
//! It is a page of the prep that governs, since every rig that can become ready has one: of one of
//! its steps, or of what the rules ask for whatever its procedure says: the plugs ([`PLUGS`]), the walk
//! round the rig ([`WALK`]), what an edit took away ([`loss_key`]).

use super::common::{Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, button, done, form, line};
use super::desk::Desk;
use super::forms::PrepForm;
use super::keys;
use super::names::{enclosure_name, held_result, losses_words};
use super::prep::{PrepAction, PrepButton, PrepRow, PrepScreen, show_form};
use super::rig::by_crew;
use super::spec::{Spec, draw, text_in};
use slackwater_domain::book::{BookFault, Member, Signer, plugs_unseen};
use slackwater_domain::crew::SignedWith;
use slackwater_domain::facts::{Loss, VerdictFact};
use slackwater_domain::procedure::{self, StepInstance, StepKind, Target};
use slackwater_domain::readiness::Unsigned;
use slackwater_domain::rules::{
    changed_since, closed_since, counting_hold, counting_recheck, leaked_before, loss_word,
    mistyped, plug_in, plug_of,
};
use slackwater_domain::signed::{is_walk_step, plug_word, walk_word};
use slackwater_domain::state::{LossFacts, PrepFacts, RigFacts, Seen, StepState, Told};
use slackwater_domain::subject::At;

/// Stands for a step: the plugs as they were last put in.
pub(super) const PLUGS: &str = "@plugs";
/// Stands for a step: the walk round the closed rig.
pub(super) const WALK: &str = "@walk";

/// Most photos that are counted; nobody takes so many of one thing.
const PHOTOS_COUNTED: u32 = 1_000;

/// Before the event of an edit that took something away.
const LOSS: &str = "@loss/";

/// Stands for a step: what the edit of this event took away.
pub(super) fn loss_key(event: &str) -> String {
    format!("{LOSS}{event}")
}

/// What is signed for.
#[derive(Clone, Copy)]
pub(super) enum Signed<'a> {
    /// A step of the prep.
    Step(&'a StepInstance),
    /// Every plug that one only has seen.
    Plugs,
    /// The walk round the rig.
    Walk,
    /// What an edit took away.
    Loss(&'a LossFacts),
}

impl<'a> Signed<'a> {
    /// The edit that `key` stands for; none where it stands for a step.
    pub(super) fn loss(rig: &'a RigFacts, key: &str) -> Result<Option<Self>, BookFault> {
        let Some(event) = key.strip_prefix(LOSS) else {
            return Ok(None);
        };
        let loss = rig.losses.iter().find(|l| l.event == event);
        let found = loss.ok_or_else(|| BookFault::NotFound {
            what: "edit",
            id: event.to_owned(),
        })?;
        Ok(Some(Signed::Loss(found)))
    }

    fn key(&self) -> String {
        match self {
            Signed::Step(s) => s.key.clone(),
            Signed::Plugs => PLUGS.to_owned(),
            Signed::Walk => WALK.to_owned(),
            Signed::Loss(l) => loss_key(&l.event),
        }
    }
}

/// Whether a two-person step that was done still wants its second member.
pub(super) fn unsigned(rig: &RigFacts, facts: &PrepFacts, instance: &StepInstance) -> bool {
    let known = facts.step(&instance.key);
    let (true, StepState::Done, Some(done)) = (
        instance.step.two_person,
        known.state(&facts.heard),
        known.standing(&facts.heard),
    ) else {
        return false;
    };
    let governs = rig.prep.as_ref().is_some_and(|p| p.id == facts.id);
    match (&instance.target, instance.step.kind) {
        // Of an enclosure that an edit took off the rig no plug is left to judge: the step is.
        (Target::Enclosure { enclosure }, StepKind::Plug)
            if governs && rig.enclosure(enclosure).is_some() =>
        {
            rig.enclosure(enclosure)
                .is_some_and(|e| plug_word(rig, e).is_none())
        }
        _ if governs && is_walk_step(instance) => rig
            .walked
            .as_ref()
            .is_some_and(|w| rig.crew.word(w, &rig.walk_looks).is_none()),
        _ => rig.crew.word(done, &known.signed).is_none(),
    }
}

/// What was done first, and would be looked at.
fn first(rig: &RigFacts, facts: &PrepFacts, signed: Signed<'_>) -> Option<Seen> {
    match signed {
        Signed::Step(s) => facts.step(&s.key).standing(&facts.heard).cloned(),
        Signed::Walk => rig.walked.clone().map(Told::into_last),
        Signed::Plugs => plugs_unseen(rig)
            .into_iter()
            .filter_map(|e| plug_of(rig, rig.enclosure(e)?).cloned())
            .max_by_key(|s| s.stamp),
        Signed::Loss(l) => Some(l.seen.clone()),
    }
}

/// Who may be asked: everyone in the crew but who did it; the one there is where the crew is one.
pub(super) fn askable(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    signed: Signed<'_>,
) -> Vec<Member> {
    let Some(first) = first(rig, facts, signed) else {
        return Vec::new();
    };
    let members = cx.book.members().unwrap_or_default();
    let same = |m: &Member| rig.crew.person(&m.id) == rig.crew.person(&first.author);
    // What nobody in particular did two sign for, one after the other.
    let by_nobody = !rig.crew.named(&first.author);
    let signed_it = |m: &Member| match signed {
        Signed::Loss(l) => (l.signed.iter())
            .any(|s| by_nobody && rig.crew.person(&s.author) == rig.crew.person(&m.id)),
        _ => false,
    };
    members
        .iter()
        .filter(|m| rig.crew.named(&m.id) && !signed_it(m))
        .filter(|m| by_nobody || same(m) == rig.crew.alone)
        .cloned()
        .collect()
}

/// The buttons that ask for a second look: of each who may be asked, the first of them the main one.
pub(super) fn ask(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    signed: Signed<'_>,
) -> (PrepButton, Vec<PrepButton>) {
    let mut all: Vec<PrepButton> = askable(cx, rig, facts, signed)
        .iter()
        .map(|m| {
            let label = if rig.crew.alone {
                cx.t("action_look_again_alone")
            } else {
                cx.say("action_ask_to_look", &[("name", (&m.name).into())])
            };
            show_form(label, PrepForm::Sign(&m.id, None))
        })
        .collect();
    if all.is_empty() {
        let nobody = PrepButton {
            enabled: false,
            why_not: Some(cx.t("screen_sign_nobody")),
            ..button(cx.t("action_ask_another"), PrepAction::OpenRig)
        };
        let crew = button(cx.t("action_crew"), PrepAction::OpenCrew);
        return (nobody, vec![crew]);
    }
    let main = all.remove(0);
    (main, all)
}

/// The page on which `member` is asked.
pub(super) fn page(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    signed: Signed<'_>,
    member: &str,
) -> Result<PrepScreen, BookFault> {
    let name = cx.name(member);
    let by = first(rig, facts, signed);
    let who = by.as_ref().map(|s| cx.who_when(&s.author, s.wall_ms));
    let at = photo_path(facts, signed);
    let mut rows = attested(cx, rig, facts, signed)?;
    rows.extend(photo_row(cx, rig, at)?);
    let alone = rig.crew.alone;
    let why_not = match &by {
        Some(seen) if alone => wait(cx, rig, at, seen)?,
        Some(_) => None,
        None => Some(cx.t("error_step_not_done")),
    };
    let label = if alone {
        cx.t("action_sign_alone")
    } else {
        cx.say("action_sign_as", &[("name", (&name).into())])
    };
    let why_not = match why_not {
        Some(why) => Some(why),
        None => elsewhere(cx, rig, member, &name)?,
    };
    // A code is typed with the signature, which is then the form's.
    let asks_code = !alone && rig.crew.signed_with == SignedWith::Code && why_not.is_none();
    let code = asks_code.then(|| {
        form(
            &PrepForm::Sign(member, Some(&signed.key())).to_string(),
            String::new(),
            draw(&code_field(cx, &name), &cx.units, None),
            label.clone(),
        )
    });
    let main = PrepButton {
        enabled: why_not.is_none(),
        why_not,
        ..button(
            label,
            PrepAction::Sign {
                step: signed.key(),
                member: member.to_owned(),
            },
        )
    };
    let instruction = if alone {
        cx.t("screen_sign_look_again")
    } else {
        cx.say("screen_sign_asked", &[("name", (&name).into())])
    };
    let mut text = cx.say(
        if alone {
            "screen_sign_alone_text"
        } else {
            "screen_sign_text"
        },
        &[
            ("what", (&title(cx, rig, signed)).into()),
            ("who", (&who.unwrap_or_default()).into()),
        ],
    );
    if let Signed::Loss(l) = signed {
        text = format!("{text} {}", loss_text(cx, l));
    }
    let mut others = vec![button(cx.t("action_to_rig"), PrepAction::OpenRig)];
    // Who isn't there can't look: what then is said where the crew is.
    if !alone {
        let absent = cx.say("screen_sign_not_there", &[("name", (&name).into())]);
        text = format!("{text} {absent}");
        others.push(button(cx.t("action_crew"), PrepAction::OpenCrew));
    }
    Ok(PrepScreen {
        instruction,
        text,
        mark: Mark::Half,
        parts: rows,
        photos: cx.photos(&facts.rig, at)?,
        photo_subject: at.of(&facts.rig),
        main: code.is_none().then_some(main),
        form: code,
        others,
        ..blank(rig, facts, signed)
    })
}

/// The code of a member who signs.
pub(super) fn code_field<'a>(cx: &Cx<'_>, name: &str) -> [Spec<'a, String>; 1] {
    let label = cx.say("screen_sign_code", &[("name", name.into())]);
    let code = text_in(keys::CODE, label, |t| t);
    [code.hint(cx.t("screen_sign_code_hint")).must()]
}

/// The page of what the rules ask for whatever the procedure says, before somebody is asked.
pub(super) fn first_page(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    signed: Signed<'_>,
) -> Result<PrepScreen, BookFault> {
    let to_rig = || button(cx.t("action_to_rig"), PrepAction::OpenRig);
    let wanted = match signed {
        Signed::Walk => walk_word(rig).err(),
        Signed::Loss(l) if loss_word(rig, l).is_some() => None,
        Signed::Loss(_) => Some(Unsigned::SecondMember),
        _ if plugs_unseen(rig).is_empty() => None,
        _ => Some(Unsigned::SecondMember),
    };
    // Where only one can be asked, that one is.
    if wanted == Some(Unsigned::SecondMember)
        && let [only] = askable(cx, rig, facts, signed).as_slice()
    {
        return page(cx, rig, facts, signed, &only.id);
    }
    let mut others = Vec::new();
    let (main, mark) = match wanted {
        None => (to_rig(), Mark::Full),
        Some(Unsigned::SecondMember) => {
            let (main, rest) = ask(cx, rig, facts, signed);
            others = rest;
            (main, Mark::Half)
        }
        Some(_) => {
            let main = button(
                cx.t("action_walked_round"),
                PrepAction::Done { step: signed.key() },
            );
            (main, Mark::Hollow)
        }
    };
    others.push(to_rig());
    let state: Option<Line> = match wanted {
        None => Some(line(
            cx.t("screen_prep_is_done"),
            Severity::Good,
            Some(Mark::Full),
        )),
        Some(Unsigned::SecondMember) => Some(line(
            super::prep::wants_second(cx, rig),
            Severity::Notice,
            Some(Mark::Half),
        )),
        Some(_) => None,
    };
    let at = photo_path(facts, signed);
    Ok(PrepScreen {
        instruction: title(cx, rig, signed),
        text: match signed {
            Signed::Plugs => cx.t("screen_sign_plugs_text"),
            Signed::Loss(l) => loss_text(cx, l),
            _ => by_crew(
                cx,
                rig,
                "screen_sign_walk_text",
                "screen_sign_walk_text_alone",
            ),
        },
        state,
        mark,
        parts: attested(cx, rig, facts, signed)?,
        photos: cx.photos(&facts.rig, at)?,
        photo_subject: at.of(&facts.rig),
        main: Some(main),
        others,
        ..blank(rig, facts, signed)
    })
}

/// What who signs for an edit should know.
fn loss_text(cx: &Cx<'_>, loss: &LossFacts) -> String {
    let there = loss.what.iter().any(|l| l.kind.may_have_been_there());
    cx.t(if there {
        "screen_sign_loss_text_there"
    } else {
        "screen_sign_loss_text"
    })
}

fn blank(rig: &RigFacts, facts: &PrepFacts, signed: Signed<'_>) -> PrepScreen {
    PrepScreen {
        prep: facts.id.clone(),
        step: signed.key(),
        rig_name: rig.def.name.clone(),
        procedure: facts.title.clone(),
        place: String::new(),
        interruption: None,
        instruction: String::new(),
        text: String::new(),
        caution: None,
        state: None,
        mark: Mark::Hollow,
        parts: Vec::new(),
        drawing: None,
        form: None,
        photos: Vec::new(),
        photo_subject: String::new(),
        main: None,
        others: Vec::new(),
        steps: Vec::new(),
        complete: facts.left() == 0,
    }
}

fn title(cx: &Cx<'_>, rig: &RigFacts, signed: Signed<'_>) -> String {
    match signed {
        Signed::Step(s) => s.step.title.clone(),
        Signed::Plugs => cx.t("screen_sign_plugs"),
        Signed::Walk => by_crew(cx, rig, "screen_sign_walk", "screen_sign_walk_alone"),
        Signed::Loss(l) => losses_words(cx, &l.what),
    }
}

/// Where the photos of a second look are: at the step, or at the rig.
fn photo_path<'a>(facts: &'a PrepFacts, signed: Signed<'a>) -> At<'a> {
    match signed {
        Signed::Step(s) => At::Step(&facts.id, &s.key),
        Signed::Plugs | Signed::Walk | Signed::Loss(_) => At::Rig,
    }
}

/// What a crew of one still waits for before it looks again.
fn wait(
    cx: &Cx<'_>,
    rig: &RigFacts,
    at: At<'_>,
    first: &Seen,
) -> Result<Option<String>, BookFault> {
    let (left, _) = cx.book.left_to_wait(first)?;
    if left > 0 {
        let minutes = (left.saturating_add(59_999) / 60_000) as usize;
        return Ok(Some(cx.say("error_too_soon", &[("n", minutes.into())])));
    }
    let photo = cx.book.fresh_photo(rig, at, first)?;
    Ok(photo.is_none().then(|| cx.t("error_fresh_photo")))
}

/// Why a member can't sign on this phone now, where the crew asks for their own or for a code.
fn elsewhere(
    cx: &Cx<'_>,
    rig: &RigFacts,
    member: &str,
    name: &str,
) -> Result<Option<String>, BookFault> {
    let lacks = match rig.crew.signed_with {
        _ if rig.crew.alone => None,
        SignedWith::Phone if !cx.book.is_phone_of(rig, member) => Some("error_other_phone"),
        SignedWith::Code if cx.book.code_of(member)?.is_none() => Some("error_no_code"),
        _ => None,
    };
    Ok(lacks.map(|key| cx.say(key, &[("name", name.into())])))
}

fn row(title: String, detail: String, mark: Mark) -> PrepRow {
    PrepRow {
        title,
        detail,
        footnote: None,
        mark: Some(mark),
        severity: match mark {
            Mark::Full => Severity::Plain,
            _ => Severity::Notice,
        },
        tap: None,
        other: None,
        photo: None,
    }
}

/// What is attested, as rows: what was done by whom, and what was found and measured.
fn attested(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &PrepFacts,
    signed: Signed<'_>,
) -> Result<Vec<PrepRow>, BookFault> {
    let mut rows = Vec::new();
    match signed {
        Signed::Step(s) if is_walk_step(s) => {
            for e in &rig.def.enclosures {
                rows.extend(enclosure_rows(cx, rig, &e.id)?);
            }
        }
        Signed::Step(s) => {
            if let Some(done) = facts.step(&s.key).done {
                let mut detail = cx.who_when(&done.author, done.wall_ms);
                if !done.value.is_empty() {
                    detail = format!("{}; {detail}", done.value);
                }
                rows.push(row(s.step.title.clone(), detail, Mark::Full));
            }
            match &s.target {
                Target::Seal { seal, .. } => rows.extend(seal_row(cx, rig, seal)),
                Target::Enclosure { enclosure } | Target::Closure { enclosure, .. } => {
                    rows.extend(enclosure_rows(cx, rig, enclosure)?);
                }
                Target::Rig => {}
            }
        }
        Signed::Plugs => {
            for e in plugs_unseen(rig) {
                rows.extend(enclosure_rows(cx, rig, e)?);
            }
        }
        Signed::Loss(l) => {
            let who = cx.who_when(&l.seen.author, l.seen.wall_ms);
            for what in &l.what {
                let words = losses_words(cx, std::slice::from_ref(what));
                rows.push(row(words, who.clone(), Mark::Hatched));
            }
            // Where it is of one enclosure, that as it is now.
            for e in &rig.def.enclosures {
                let of_it = |x: &Loss| loss_is_of(rig, x, &e.id);
                if l.what.iter().any(of_it) {
                    rows.extend(enclosure_rows(cx, rig, &e.id)?);
                }
            }
        }
        Signed::Walk => {
            let points = procedure::built_in()
                .iter()
                .flat_map(|p| &p.steps)
                .find(|s| s.kind == StepKind::Sign && !s.points.is_empty())
                .map(|s| s.points.clone())
                .unwrap_or_default();
            rows.extend(
                points
                    .into_iter()
                    .map(|p| row(p, String::new(), Mark::Hollow)),
            );
            for e in &rig.def.enclosures {
                rows.extend(enclosure_rows(cx, rig, &e.id)?);
            }
        }
    }
    Ok(rows)
}

/// Whether what was taken away is of an enclosure that is still there, or of one of its parts.
fn loss_is_of(rig: &RigFacts, loss: &Loss, enclosure: &str) -> bool {
    match At::parse(&loss.at) {
        At::Enclosure(id) => id == enclosure,
        At::Seal(id) => rig.def.seal(id).is_some_and(|s| s.enclosure == enclosure),
        At::Control(id) => (rig.def.control(id)).is_some_and(|c| c.enclosure == enclosure),
        _ => false,
    }
}

fn seal_row(cx: &Cx<'_>, rig: &RigFacts, seal: &str) -> Option<PrepRow> {
    let serviced = rig.seal(seal)?.serviced.as_ref()?;
    let found = super::names::finding_of(&serviced.value)
        .map(|f| super::names::finding_name(cx, f))
        .unwrap_or_default();
    Some(row(
        super::names::seal_name(rig, seal),
        format!(
            "{found}; {}",
            cx.who_when(&serviced.author, serviced.wall_ms)
        ),
        Mark::Full,
    ))
}

/// An enclosure as whoever signs should know it: closed, proved, its plug, and what was changed on
/// the way to that.
fn enclosure_rows(cx: &Cx<'_>, rig: &RigFacts, id: &str) -> Result<Vec<PrepRow>, BookFault> {
    let Some(known) = rig.enclosure(id) else {
        return Ok(Vec::new());
    };
    let name = enclosure_name(rig, id);
    let mut rows = Vec::new();
    let closed = closed_since(rig, known);
    let mut states = Vec::new();
    match closed {
        Some(c) => states.push(cx.say(
            "screen_rig_closed_by",
            &[
                ("who", (&cx.name(&c.author)).into()),
                ("when", (&cx.ago(c.wall_ms)).into()),
            ],
        )),
        None => states.push(cx.t("screen_sign_open")),
    }
    if let Some(on) = plug_in(rig, known) {
        states.push(cx.say(
            "screen_sign_plug_in",
            &[("who", (&cx.who_when(&on.author, on.wall_ms)).into())],
        ));
    }
    let mark = if closed.is_some() {
        Mark::Full
    } else {
        Mark::Hollow
    };
    rows.push(row(name.clone(), states.join("; "), mark));
    let Ok(hold) = counting_hold(rig, known) else {
        // Of what stands open there is no hold to speak of.
        if closed.is_none() {
            return Ok(rows);
        }
        rows.push(row(
            cx.say("screen_sign_hold", &[("name", (&name).into())]),
            cx.t("screen_rig_closed_unproved"),
            Mark::Hollow,
        ));
        return Ok(rows);
    };
    if let Some((_, _, result)) = &hold.concluded {
        let aside = cx
            .book
            .hold(&hold.id)?
            .readings
            .iter()
            .filter(|r| r.aside)
            .count();
        let mut words = vec![
            held_result(cx, result),
            cx.say(
                "screen_sign_hold_of",
                &[
                    ("n", (result.readings as usize).into()),
                    (
                        "time",
                        (&super::times::span((result.lasted_s * 1e3) as i64)).into(),
                    ),
                    ("limit", (&cx.units.water(result.limit_ml)).into()),
                ],
            ),
        ];
        if aside > 0 {
            words.push(cx.say("screen_sign_aside", &[("n", aside.into())]));
        }
        // The limit is part of the verdict: one that was changed on the way is said.
        if (hold.setup.limit_ml - result.limit_ml).abs() > 1e-9 * result.limit_ml.abs() {
            words.push(cx.say(
                "screen_sign_limit_changed",
                &[("limit", (&cx.units.water(hold.setup.limit_ml)).into())],
            ));
        }
        rows.push(row(
            cx.say("screen_sign_hold", &[("name", (&name).into())]),
            words.join("; "),
            Mark::Full,
        ));
    }
    // Who signs should know that the hold before it found a leak that nothing was opened for.
    if leaked_before(rig, known, hold) {
        let words = cx.say("screen_rig_leaked_before", &[("name", (&name).into())]);
        rows.push(row(name.clone(), words, Mark::Hatched));
    }
    let title = cx.say("screen_rig_recheck", &[("name", (&name).into())]);
    if let Some(changed) = changed_since(known, &hold.id) {
        let who = cx.who_when(&changed.seen.author, changed.seen.wall_ms);
        let words = format!("{}; {who}", cx.t("screen_rig_recheck_changed"));
        rows.push(row(title.clone(), words, Mark::Struck));
    } else if let Some((seen, fact)) = &known.recheck
        && fact.hold == hold.id
        && !mistyped(known, seen)
    {
        let who = cx.who_when(&seen.author, seen.wall_ms);
        let (words, mark) = match fact.verdict {
            VerdictFact::Holding if counting_recheck(rig, known, cx.now).is_err() => (
                format!("{}; {who}", cx.t("screen_sign_recheck_again")),
                Mark::Hatched,
            ),
            VerdictFact::Holding => (who, Mark::Full),
            VerdictFact::Leaking => (who, Mark::Struck),
            VerdictFact::NotYet => (who, Mark::Hatched),
        };
        rows.push(row(title.clone(), words, mark));
    }
    for slip in super::recheck::slips(cx, known, &hold.setup) {
        rows.push(row(title.clone(), slip, Mark::Half));
    }
    Ok(rows)
}

fn photo_row(cx: &Cx<'_>, rig: &RigFacts, at: At<'_>) -> Result<Option<PrepRow>, BookFault> {
    let n = cx.book.photo_notes(&rig.id, at, PHOTOS_COUNTED)?.len();
    Ok((n > 0).then(|| {
        row(
            cx.say("screen_sign_photos", &[("n", n.into())]),
            String::new(),
            Mark::Full,
        )
    }))
}

/// Signs.
pub(super) fn sign(
    desk: &mut Desk,
    facts: &PrepFacts,
    step: &str,
    by: Signer<'_>,
) -> Result<Outcome, BookFault> {
    let member = by.member;
    let recorded = match step {
        PLUGS => desk.book.sign_plugs(&facts.rig, by)?,
        WALK => desk.book.sign_walk(&facts.rig, by)?,
        step if step.starts_with(LOSS) => {
            let event = step.strip_prefix(LOSS).unwrap_or(step);
            desk.book.sign_loss(&facts.rig, event, by)?
        }
        step => desk.book.sign_step(&facts.id, step, by)?,
    };
    let name = desk.cx()?.name(member);
    let said = desk
        .texts
        .say("screen_prep_said_signed", &[("name", (&name).into())]);
    let go = match step {
        // Of a prep that is over nothing comes next: back to what the rig still lacks.
        _ if facts.ended.is_some() || step.starts_with('@') => Place::Rig {
            rig: facts.rig.clone(),
            form: None,
        },
        _ => Place::Prep {
            prep: facts.id.clone(),
            step: None,
            form: None,
        },
    };
    Ok(Outcome {
        leave: true,
        go: Some(go),
        ..done(recorded, said)
    })
}
