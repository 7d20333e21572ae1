//! The journal by day. Its one question: what was done to this, by whom?
//!
//! A line is one hold with its readings, one prep with its steps, one dive, one service; what else was
//! done stands by itself. Each entry, word for word, is one tap away.

use super::common::{FieldValue, Form, Outcome, Place, Row, Severity};
use super::cx::{Cx, Typed, form, go, lead, line};
use super::desk::Desk;
use super::forms::PrepForm;
use super::journal::{JournalAction, first, of_rig, page_at, severity, shortened, thing, words};
use super::keys;
use super::page::{Draft, Page};
use super::spec::{Spec, draw, pick_in, read_new, text_in};
use serde::{Deserialize, Serialize};
use slackwater_domain::book::BookFault;
use slackwater_domain::facts::{Fact, VerdictFact};
use slackwater_domain::fold::fact_of;
use slackwater_domain::procedure::StepInstance;
use slackwater_domain::rig::RigDef;
use slackwater_domain::subject::{At, Subject};
use slackwater_journal::Event;
use slackwater_journal::store::Entry;
use std::cell::RefCell;
use std::collections::HashMap;

/// What of the journal is shown. What is empty leaves nothing out.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub struct DaysFilter {
    /// Enclosure id.
    pub housing: String,
    /// Member id.
    pub member: String,
    /// Key of a [`Kind`].
    pub kind: String,
    /// Words that stand in it.
    pub words: String,
}

/// Kinds of what is done, as the filter tells them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Holds and rechecks.
    Proof,
    /// Preps, openings and closings, control tests, signatures.
    Work,
    /// Dives and trim.
    Water,
    /// Rings: services, new ones, the box.
    Rings,
    /// What was wrong: faults, leaks, water, damaged rings, dead controls.
    Faults,
    /// Edits of a rig.
    Rig,
    /// Members, phones, the crew's choices and gauges.
    Crew,
    /// Photos.
    Photos,
}

impl Kind {
    const ALL: [(Kind, &'static str, &'static str); 8] = [
        (Kind::Proof, "proof", "screen_days_proof"),
        (Kind::Work, "work", "screen_days_work"),
        (Kind::Water, "water", "screen_days_water"),
        (Kind::Rings, "rings", "screen_days_rings_kind"),
        (Kind::Faults, "faults", "screen_days_faults"),
        (Kind::Rig, "rig", "screen_days_rig"),
        (Kind::Crew, "crew", "screen_days_crew"),
        (Kind::Photos, "photos", "screen_days_photos"),
    ];

    fn of(fact: &Fact) -> Kind {
        match fact {
            Fact::HoldStarted { .. }
            | Fact::HoldImported { .. }
            | Fact::HoldReading { .. }
            | Fact::ReadingSetAside { .. }
            | Fact::GaugeSteps { .. }
            | Fact::HoldConcluded { .. }
            | Fact::HoldAbandoned { .. }
            | Fact::Rechecked { .. }
            | Fact::RecheckMistyped { .. } => Kind::Proof,
            Fact::PrepStarted { .. }
            | Fact::StepDone { .. }
            | Fact::StepPart { .. }
            | Fact::StepSkipped { .. }
            | Fact::StepReopened { .. }
            | Fact::StepSigned { .. }
            | Fact::WalkedRound {}
            | Fact::SecondLook { .. }
            | Fact::HandedOver { .. }
            | Fact::PrepEnded { .. }
            | Fact::ControlTested { .. }
            | Fact::Opened { .. }
            | Fact::Closed {}
            | Fact::PlugOn {}
            | Fact::PlugOff {} => Kind::Work,
            Fact::DiveLogged { .. }
            | Fact::WaterChosen { .. }
            | Fact::WeightsHung { .. }
            | Fact::Trimmed { .. }
            | Fact::SeenInWater { .. } => Kind::Water,
            Fact::SealServiced { .. }
            | Fact::SealFitted { .. }
            | Fact::SealFaulty { .. }
            | Fact::SealLookedAgain { .. }
            | Fact::RingsStocked { .. }
            | Fact::RingsTaken { .. }
            | Fact::RingsCounted { .. }
            | Fact::ShootPlanned { .. } => Kind::Rings,
            Fact::DefectOpened { .. } | Fact::DefectClosed { .. } | Fact::Inspected { .. } => {
                Kind::Faults
            }
            Fact::RigDefined { .. }
            | Fact::RigRetired { .. }
            | Fact::Changed {}
            | Fact::TookAway { .. }
            | Fact::LossSigned { .. }
            | Fact::ProcedureAdded { .. }
            | Fact::Retracted { .. }
            | Fact::UnreadAnswered { .. }
            | Fact::Unknown => Kind::Rig,
            Fact::MemberDefined { .. }
            | Fact::MemberRetired { .. }
            | Fact::MembersJoined { .. }
            | Fact::PhoneOf { .. }
            | Fact::CodeSet { .. }
            | Fact::DeviceAdmitted { .. }
            | Fact::DeviceDismissed { .. }
            | Fact::DeviceInvited { .. }
            | Fact::DeviceJoined { .. }
            | Fact::DeviceUninvited { .. }
            | Fact::CrewChose { .. }
            | Fact::GaugeDefined { .. }
            | Fact::GaugesCompared { .. } => Kind::Crew,
            Fact::PhotoTaken { .. } | Fact::PhotoMarked { .. } => Kind::Photos,
        }
    }

    fn holds(self, fact: &Fact) -> bool {
        let wrong = match fact {
            Fact::SealFaulty { .. } | Fact::ControlTested { works: false, .. } => true,
            Fact::HoldConcluded { result } => result.verdict == VerdictFact::Leaking,
            Fact::Rechecked { recheck } => recheck.verdict == VerdictFact::Leaking,
            _ => false,
        };
        Kind::of(fact) == self || (wrong && self == Kind::Faults)
    }
}

/// So many lines stand on a page, of at most so many entries looked through.
const LINES: usize = 40;
const LOOKED_THROUGH: usize = 4_000;
const AT_A_TIME: u32 = 200;

/// What entries are told as one.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Told {
    Hold(String),
    Prep(String),
    Rings,
    Controls,
    Trim,
    One,
}

fn told(event: &Event, fact: &Fact) -> Told {
    let subject = Subject::parse(&event.subject);
    match (subject.at, fact) {
        (At::Hold(_), _) => Told::Hold(first(&subject).to_owned()),
        (At::Prep(_) | At::Step(..), _) => Told::Prep(first(&subject).to_owned()),
        (_, Fact::Rechecked { recheck }) if recheck.verdict == VerdictFact::Holding => Told::One,
        (_, Fact::SealServiced { .. } | Fact::SealFitted { .. }) => Told::Rings,
        (_, Fact::ControlTested { works: true, .. }) => Told::Controls,
        (_, Fact::WaterChosen { .. } | Fact::WeightsHung { .. } | Fact::Trimmed { .. }) => {
            Told::Trim
        }
        _ => Told::One,
    }
}

/// A line of a day: its entries, newest first.
struct DayLine {
    day: String,
    root: String,
    told: Told,
    /// From where the list of every entry shows it; none from the newest.
    above: Option<String>,
    events: Vec<(Event, Fact)>,
}

/// Which entry of a line tells most of it: the lower, the more.
fn rank(fact: &Fact) -> u8 {
    match fact {
        Fact::HoldConcluded { .. } | Fact::PrepEnded { .. } | Fact::Trimmed { .. } => 0,
        Fact::HoldAbandoned { .. } | Fact::HoldImported { .. } => 1,
        Fact::HoldStarted { .. } | Fact::PrepStarted { .. } => 2,
        Fact::PhotoTaken { .. } | Fact::PhotoMarked { .. } | Fact::StepPart { .. } => 4,
        _ => 3,
    }
}

impl DayLine {
    fn telling(&self) -> Option<&(Event, Fact)> {
        self.events.iter().min_by_key(|(_, fact)| rank(fact))
    }

    fn count(&self, of: impl Fn(&Fact) -> bool) -> usize {
        self.events.iter().filter(|(_, f)| of(f)).count()
    }
}

/// What is read of the journal for a page, and from where the next one goes on.
struct Read {
    lines: Vec<DayLine>,
    older: Option<String>,
}

fn read(
    cx: &Cx<'_>,
    rig: Option<&str>,
    before: Option<&str>,
    filter: &DaysFilter,
) -> Result<Read, BookFault> {
    let mut cursor = page_at(before)?;
    let mut lines: Vec<DayLine> = Vec::new();
    let mut looked = 0;
    let steps = Steps::default();
    loop {
        let page = cx.book.journal().page(rig, cursor, AT_A_TIME)?;
        let last = page.len() < AT_A_TIME as usize;
        for Entry { event, cursor: at } in page {
            let fact = fact_of(&event);
            if passes(cx, filter, &steps, &event, &fact) {
                let root = Subject::parse(&event.subject).root.to_owned();
                let (day, told) = (cx.local.day(event.wall_ms), told(&event, &fact));
                let same = lines.iter().rposition(|l| {
                    told != Told::One && l.day == day && l.root == root && l.told == told
                });
                match same {
                    Some(n) => lines[n].events.push((event, fact)),
                    None if lines.len() == LINES => {
                        let older = cursor.map(|c| c.to_text());
                        return Ok(Read { lines, older });
                    }
                    None => lines.push(DayLine {
                        day,
                        root,
                        told,
                        above: cursor.map(|c| c.to_text()),
                        events: vec![(event, fact)],
                    }),
                }
            }
            cursor = Some(at);
            looked += 1;
        }
        if last || looked >= LOOKED_THROUGH {
            let older = cursor.filter(|_| !last).map(|c| c.to_text());
            return Ok(Read { lines, older });
        }
    }
}

fn passes(cx: &Cx<'_>, filter: &DaysFilter, steps: &Steps, event: &Event, fact: &Fact) -> bool {
    let of_kind = Kind::ALL.iter().find(|(_, key, _)| *key == filter.kind);
    if !filter.kind.is_empty() && !of_kind.is_some_and(|(kind, ..)| kind.holds(fact)) {
        return false;
    }
    if !filter.member.is_empty() && event.author != filter.member {
        return false;
    }
    if !filter.housing.is_empty() && !is_of_housing(cx, &filter.housing, steps, event, fact) {
        return false;
    }
    if filter.words.is_empty() {
        return true;
    }
    let said = words(cx, event, fact);
    let all = format!("{} {} {}", said.title, said.detail, cx.name(&event.author)).to_lowercase();
    let mut wanted = filter.words.split_whitespace();
    wanted.all(|word| all.contains(&word.to_lowercase()))
}

/// Which enclosure each step of a prep is done to, read once for each prep that is met.
#[derive(Default)]
struct Steps(RefCell<HashMap<String, HashMap<String, String>>>);

impl Steps {
    /// Whether a step is done to an enclosure, its closures or its seals. Of a prep whose procedure isn't here
    /// that is not known, and of none.
    fn done_to(&self, cx: &Cx<'_>, prep: &str, key: &str, housing: &str) -> bool {
        let mut known = self.0.borrow_mut();
        let read = || {
            let steps = cx.book.prep(prep).map(|p| p.steps).unwrap_or_default();
            let of = |s: StepInstance| Some((s.key, s.target.enclosure()?.to_owned()));
            steps.into_iter().filter_map(of).collect()
        };
        let of = known.entry(prep.to_owned()).or_insert_with(read);
        of.get(key).is_some_and(|e| e == housing)
    }
}

/// Whether an entry is about an enclosure or something on it.
fn is_of_housing(cx: &Cx<'_>, housing: &str, steps: &Steps, event: &Event, fact: &Fact) -> bool {
    let subject = Subject::parse(&event.subject);
    let Ok(rig) = cx.book.rig(subject.root) else {
        return false;
    };
    match (subject.at, fact) {
        (_, Fact::HoldStarted { setup } | Fact::HoldImported { setup, .. }) => {
            setup.enclosure == housing
        }
        (At::Hold(id), _) => {
            (cx.book.hold_enclosure(id)).is_ok_and(|e| e.as_deref() == Some(housing))
        }
        (
            At::Prep(prep),
            Fact::StepDone { key, .. }
            | Fact::StepPart { key, .. }
            | Fact::StepSkipped { key, .. }
            | Fact::StepReopened { key }
            | Fact::StepSigned { key, .. },
        ) => steps.done_to(cx, prep, key, housing),
        // A photo that was taken at a step.
        (At::Step(prep, key), _) => steps.done_to(cx, prep, key, housing),
        (_, Fact::DefectOpened { at, .. }) => is_on(&rig.def, At::parse(at), housing),
        (at, _) => is_on(&rig.def, at, housing),
    }
}

/// Whether something of a rig is an enclosure or on it, as the rig is now.
fn is_on(def: &RigDef, at: At<'_>, housing: &str) -> bool {
    match at {
        At::Enclosure(id) | At::Closure(id, _) | At::Penetrator(id, _) => id == housing,
        At::Seal(id) => def.seal(id).is_some_and(|s| s.enclosure == housing),
        At::Control(id) => def.control(id).is_some_and(|c| c.enclosure == housing),
        _ => false,
    }
}

fn row(cx: &Cx<'_>, line: &DayLine, several: bool) -> Row {
    let Some((event, fact)) = line.telling() else {
        return Row::default();
    };
    let said = words(cx, event, fact);
    let (mut title, mut detail) = (said.title.clone(), said.detail.clone());
    let n = line.events.len();
    let names = || {
        let mut names: Vec<String> = Vec::new();
        for (e, _) in line.events.iter().rev() {
            let rig = cx.book.rig(&line.root).ok();
            let name = rig.map(|r| thing(&r, &Subject::parse(&e.subject)));
            let name = name.filter(|n| !n.is_empty());
            names.extend(name.filter(|n| !names.contains(n)));
        }
        names
    };
    let entries = Place::Journal {
        rig: Some(line.root.clone()),
        before: line.above.clone(),
    };
    let to = match &line.told {
        Told::Hold(id) => {
            let readings = line.count(|f| matches!(f, Fact::HoldReading { .. }));
            if readings > 0 {
                let n = cx.say("screen_days_readings", &[("n", readings.into())]);
                detail = joined(&detail, &n);
            }
            Place::Hold {
                hold: id.clone(),
                form: None,
            }
        }
        Told::Prep(id) => {
            let steps = line.count(|f| matches!(f, Fact::StepDone { .. }));
            let done = (steps > 0).then(|| cx.say("screen_days_steps", &[("n", steps.into())]));
            let ended = matches!(fact, Fact::PrepEnded { .. }).then(|| joined(&title, &detail));
            title = (cx.book.prep(id)).map_or(title, |p| p.title.clone());
            detail = joined(&done.unwrap_or_default(), &ended.unwrap_or_default());
            Place::Prep {
                prep: id.clone(),
                step: None,
                form: Some(PrepForm::Steps.to_string()),
            }
        }
        Told::Rings if n > 1 => {
            let names = names();
            title = cx.say("screen_days_rings", &[("n", names.len().into())]);
            detail = names.join("; ");
            entries
        }
        Told::Controls if n > 1 => {
            let names = names();
            title = cx.say("screen_days_controls", &[("n", names.len().into())]);
            detail = names.join("; ");
            entries
        }
        Told::Trim if n > 1 => entries,
        _ => Place::Entry {
            event: event.reference().to_string(),
        },
    };
    let of = several.then(|| of_rig(cx, event, &said)).flatten();
    let photo = line.events.iter().find_map(|(e, f)| match f {
        Fact::PhotoTaken { photo, note } => {
            let tile = cx.tile(photo, note, cx.who_when(&e.author, e.wall_ms));
            Some(tile).filter(|t| !t.broken)
        }
        _ => None,
    });
    Row {
        detail: shortened(detail, 300),
        footnote: Some(joined(&of.unwrap_or_default(), &who_when(cx, line))),
        severity: severity(fact),
        tap: Some(lead(title.clone(), to)),
        photo,
        title,
        ..Row::default()
    }
}

/// 'Noor and Ilse, 09:12 to 09:40'.
fn who_when(cx: &Cx<'_>, line: &DayLine) -> String {
    let mut who: Vec<String> = Vec::new();
    for (event, _) in line.events.iter().rev() {
        let name = cx.name(&event.author);
        if !name.is_empty() && !who.contains(&name) {
            who.push(name);
        }
    }
    let times = line.events.iter().map(|(e, _)| e.wall_ms);
    let (first, last) = (times.clone().min(), times.max());
    let clock = |ms: Option<i64>| ms.map(|ms| cx.local.clock(ms)).unwrap_or_default();
    let (from, to) = (clock(first), clock(last));
    let when = if from == to {
        from
    } else {
        cx.say(
            "screen_days_span",
            &[("from", (&from).into()), ("to", (&to).into())],
        )
    };
    who.push(when);
    who.join(", ")
}

fn joined(a: &str, b: &str) -> String {
    match (a.is_empty(), b.is_empty()) {
        (true, _) => b.to_owned(),
        (_, true) => a.to_owned(),
        _ => format!("{a}, {b}"),
    }
}

/// Builds the page.
pub(super) fn page(
    cx: &Cx<'_>,
    rig: Option<&str>,
    before: Option<&str>,
    filter: &DaysFilter,
    shown: Option<&str>,
) -> Result<Page, BookFault> {
    let title = match rig {
        Some(id) => cx.book.rig(id)?.def.name.clone(),
        None => cx.t("screen_journal_title"),
    };
    if shown == Some("filter") {
        return Ok(Draft::form_page(&title, "", filter_form(cx, rig, filter)?).done());
    }
    let place = |before: Option<String>, filter: DaysFilter, form: Option<&str>| Place::Days {
        rig: rig.map(str::to_owned),
        before,
        filter,
        form: form.map(str::to_owned),
    };
    let to = |label: &str, place: Place| lead(cx.t(label), place);
    let Read { lines, older } = read(cx, rig, before, filter)?;
    let several = rig.is_none() && cx.book.rigs()?.len() > 1;
    let counted = cx.book.journal().counted(rig)? as usize;
    let count = cx.say("screen_journal_count", &[("n", counted.into())]);
    let none = *filter == DaysFilter::default();
    let mut draft = Draft::new(&title, &count);
    if !none {
        let only = filter_words(cx, rig, filter);
        draft = draft.lines([line(
            cx.say("screen_days_only", &[("what", (&only).into())]),
            Severity::Notice,
            None,
        )]);
    }
    if lines.is_empty() {
        let key = match (none, &older) {
            (true, _) => "screen_journal_empty",
            (false, None) => "screen_days_none",
            (false, Some(_)) => "screen_days_none_yet",
        };
        draft = draft.lines([line(cx.t(key), Severity::Plain, None)]);
    }
    let mut days: Vec<(String, Vec<Row>)> = Vec::new();
    for line in &lines {
        let row = row(cx, line, several);
        match days.last_mut() {
            Some((day, rows)) if *day == line.day => rows.push(row),
            _ => days.push((line.day.clone(), vec![row])),
        }
    }
    for (day, rows) in days {
        draft = draft.rows(&day_words(cx, &day), rows);
    }
    let mut others = vec![to(
        "action_days_filter",
        place(None, filter.clone(), Some("filter")),
    )];
    if !none {
        others.push(to(
            "action_days_all",
            place(None, DaysFilter::default(), None),
        ));
    }
    others.push(to(
        "action_every_entry",
        Place::Journal {
            rig: rig.map(str::to_owned),
            before: before.map(str::to_owned),
        },
    ));
    let older = older.map(|older| to("shell_older", place(Some(older), filter.clone(), None)));
    Ok(draft
        .buttons(&cx.t("shell_more"), others)
        .main(older)
        .done())
}

/// 'Today, 2026-06-03'.
fn day_words(cx: &Cx<'_>, day: &str) -> String {
    let key = match day {
        d if *d == cx.local.day(cx.now.wall_ms) => "screen_days_today",
        d if *d == cx.local.day(cx.now.wall_ms.saturating_sub(86_400_000)) => {
            "screen_days_yesterday"
        }
        _ => return day.to_owned(),
    };
    cx.say(key, &[("day", day.into())])
}

/// What is left, in words: 'holds and rechecks, Main housing, Noor'.
fn filter_words(cx: &Cx<'_>, rig: Option<&str>, filter: &DaysFilter) -> String {
    let mut all = Vec::new();
    let kind = Kind::ALL.iter().find(|(_, key, _)| *key == filter.kind);
    all.extend(kind.map(|(.., words)| cx.t(words)));
    if !filter.housing.is_empty() {
        let rig = rig.and_then(|r| cx.book.rig(r).ok());
        all.extend(rig.map(|r| super::names::enclosure_name(&r, &filter.housing)));
    }
    if !filter.member.is_empty() {
        all.push(cx.name(&filter.member));
    }
    if !filter.words.is_empty() {
        all.push(format!("\u{201c}{}\u{201d}", filter.words));
    }
    all.join(", ")
}

/// The housing is asked of one rig only.
fn filter_fields<'a>(
    cx: &Cx<'_>,
    rig: Option<&str>,
) -> Result<[Spec<'a, DaysFilter>; 4], BookFault> {
    let any = || vec![("", cx.t("screen_days_any"))];
    let (mut kinds, mut housings, mut who) = (any(), any(), any());
    kinds.extend(Kind::ALL.iter().map(|(_, key, words)| (*key, cx.t(words))));
    let of = rig.map(|r| cx.book.rig(r)).transpose()?;
    let all = of.iter().flat_map(|of| &of.def.enclosures);
    housings.extend(all.map(|e| (e.id.as_str(), e.name.clone())));
    let members = cx.book.members()?;
    who.extend(members.iter().map(|m| (m.id.as_str(), cx.name(&m.id))));
    let (housing, member) = (cx.t("screen_days_housing"), cx.t("screen_days_member"));
    Ok([
        pick_in(keys::KIND, cx.t("screen_days_kind"), kinds, |f| &mut f.kind),
        pick_in("housing", housing, housings, |f: &mut DaysFilter| {
            &mut f.housing
        })
        .drawn_if(of.is_some()),
        pick_in(keys::MEMBER, member, who, |f| &mut f.member),
        text_in("words", cx.t("screen_days_words"), |f: &mut DaysFilter| {
            &mut f.words
        }),
    ])
}

fn filter_form(cx: &Cx<'_>, rig: Option<&str>, filter: &DaysFilter) -> Result<Form, BookFault> {
    Ok(form(
        "filter",
        cx.t("screen_days_filter"),
        draw(&filter_fields(cx, rig)?, &cx.units, Some(filter)),
        cx.t("action_days_show"),
    ))
}

/// Does an action.
pub(super) fn act(
    desk: &mut Desk,
    rig: Option<&str>,
    action: JournalAction,
) -> Result<Outcome, BookFault> {
    let JournalAction::Submit { values, .. } = action else {
        return super::journal::act(action);
    };
    let filter = filter_of(desk, rig, &values)?;
    Ok(Outcome {
        leave: true,
        ..go(Place::Days {
            rig: rig.map(str::to_owned),
            before: None,
            filter,
            form: None,
        })
    })
}

fn filter_of(
    desk: &Desk,
    rig: Option<&str>,
    values: &[FieldValue],
) -> Result<DaysFilter, BookFault> {
    let mut typed = Typed::new(desk.texts, values);
    let cx = desk.cx()?;
    let filter = read_new(&filter_fields(&cx, rig)?, &cx.units, &mut typed);
    Ok(DaysFilter {
        words: filter.words.chars().take(80).collect(),
        ..filter
    })
}
