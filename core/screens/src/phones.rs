//! The phones of the crew, as its page shows them: which they are, what one that it doesn't know wrote,
//! and what would change if it were of this crew.

use super::common::{Form, Line, Mark, Outcome, Place, Severity};
use super::crew::{CrewAction, CrewRow, role_name};
use super::cx::{Cx, Typed, button, form, line, said};
use super::desk::Desk;
use super::names::{CHOICES, choice_name, choice_value, figure_words};
use super::spec::{Spec, draw, pick_in, read_new};
use super::texts::Arg;
use slackwater_domain::admission::{code, device_of};
use slackwater_domain::book::{Becomes, Book, BookFault, Changes, Phone, Standing};
use slackwater_domain::names::{self, NAME_MAX};
use slackwater_journal::DeviceId;

/// How a form about phones is called: this, and their keys in hex with '+' between.
pub(super) const FORM: &str = "device";
/// How the journal of one phone is asked for in the place of a rig's: this and its key in hex.
pub(super) const ENTRIES: &str = "phone/";
/// Most lines of one kind that say what would change.
const MOST: usize = 12;

/// The form that asks about phones.
pub(super) fn form_of(devices: &[DeviceId]) -> String {
    let keys: Vec<String> = devices.iter().map(DeviceId::to_string).collect();
    format!("{FORM}/{}", keys.join("+"))
}

/// The phones that a form asks about.
fn asked(key: &str) -> Vec<DeviceId> {
    let keys = key.strip_prefix(FORM).and_then(|k| k.strip_prefix('/'));
    let keys = keys.into_iter().flat_map(|k| k.split('+'));
    keys.filter_map(device_of).collect()
}

fn count<'a>(n: u64) -> Arg<'a> {
    usize::try_from(n).unwrap_or(usize::MAX).into()
}

/// A name that another phone gives, as far as it can be shown.
fn shown(name: &str) -> String {
    let name = names::visible(name).unwrap_or_default();
    name.chars().take(NAME_MAX).collect()
}

/// 'Noor's phone'.
pub(super) fn name_of(cx: &Cx<'_>, phone: &Phone) -> String {
    let (member, name) = &phone.writes_as;
    let name = match phone.standing {
        Standing::This => return cx.t("screen_phones_this"),
        Standing::Earlier => return cx.t("screen_phones_earlier"),
        Standing::Unknown if cx.book.is_fresh().unwrap_or(false) => {
            return cx.t("screen_phones_new_here");
        }
        Standing::Unknown => return cx.t("screen_phones_unknown"),
        _ if name.is_some() && !member.is_empty() => shown(&cx.name(member)),
        _ => String::new(),
    };
    // A member of whom only the id is known here has no name to go by.
    let name = if name == cx.t("common_somebody") {
        String::new()
    } else {
        name
    };
    if name.is_empty() {
        cx.t("screen_phones_nameless")
    } else {
        cx.say("screen_phones_of", &[("name", (&name).into())])
    }
}

/// What a phone wrote about, where that counts for nothing: 'Reef rig, the crew'.
fn about(cx: &Cx<'_>, phone: &Phone) -> String {
    let names = phone.about.iter().map(|root| {
        let rig = (cx.book.rig(root).ok()).map(|r| r.def.name.clone());
        match (rig, root.as_str()) {
            (Some(name), _) => name,
            (None, "crew" | "procedure") => cx.t("screen_phones_about_crew"),
            (None, _) => {
                let named = cx.book.named_by(&phone.device, root).ok().flatten();
                named.map_or_else(|| cx.t("screen_phones_about_rig"), |name| shown(&name))
            }
        }
    });
    let mut names: Vec<String> = names.collect();
    names.dedup();
    names.join(", ")
}

/// '25 entries about Reef rig count for nothing here'.
fn apart(cx: &Cx<'_>, phone: &Phone) -> String {
    cx.say(
        "screen_phones_apart",
        &[
            ("n", count(phone.apart)),
            ("about", (&about(cx, phone)).into()),
        ],
    )
}

/// What is to be known first of phones that this crew doesn't know, about one rig or all.
pub(super) fn notices(cx: &Cx<'_>, rig: Option<&str>) -> Result<Vec<Line>, BookFault> {
    let mut lines = Vec::new();
    let this = cx.book.journal().device();
    let by_this = |phone: &Phone| phone.word.is_some_and(|w| w.device == this);
    if let Some(word) = cx.book.dismissed_by()? {
        let who = cx.who_when(&word.author, word.wall_ms);
        lines.push(line(
            cx.say("screen_phones_notice_this", &[("who", (&who).into())]),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if cx.book.disputed()? {
        lines.push(line(
            cx.t("screen_phones_disputed"),
            Severity::Blocking,
            Some(Mark::Struck),
        ));
    }
    for phone in cx.book.apart()? {
        let (n, what) = match rig {
            Some(rig) => (
                cx.book.apart_about(&phone.device, rig)?,
                cx.book.rig(rig)?.def.name.clone(),
            ),
            None => (phone.apart, about(cx, &phone)),
        };
        let key = match phone.standing {
            _ if n == 0 => continue,
            Standing::Unknown => "screen_phones_notice_unknown",
            // One that never counted, and that somebody here said isn't ours, is told of no more.
            Standing::Dismissed if !phone.looked_at && (phone.entries > 0 || !by_this(&phone)) => {
                "screen_phones_notice_dismissed"
            }
            _ => continue,
        };
        lines.push(line(
            cx.say(key, &[("n", count(n)), ("about", (&what).into())]),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if lines.len() > 3 {
        let more = lines.len() - 2;
        lines.truncate(2);
        lines.push(line(
            cx.say("screen_phones_notice_more", &[("n", more.into())]),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    Ok(lines)
}

/// The other phones, one a row: those that aren't known first.
pub(super) fn rows(cx: &Cx<'_>) -> Result<Vec<CrewRow>, BookFault> {
    let mut phones = cx.book.phones()?;
    phones.retain(|p| p.standing != Standing::This && p.entries + p.apart > 0);
    phones.sort_by_key(|p| p.standing != Standing::Unknown);
    phones.iter().map(|p| row(cx, p)).collect()
}

fn row(cx: &Cx<'_>, phone: &Phone) -> Result<CrewRow, BookFault> {
    let detail = match phone.standing {
        Standing::Disputed => cx.t("screen_phones_disputed"),
        Standing::Unknown => apart(cx, phone),
        Standing::Dismissed if phone.apart > 0 => {
            format!("{}. {}", cx.t("screen_phones_dismissed"), apart(cx, phone))
        }
        Standing::Dismissed => cx.t("screen_phones_dismissed"),
        _ => cx.say("screen_phones_entries", &[("n", count(phone.entries))]),
    };
    let mark = match phone.standing {
        Standing::Dismissed => Mark::Struck,
        Standing::Unknown | Standing::Disputed => Mark::Hatched,
        _ => Mark::Full,
    };
    let notice = matches!(phone.standing, Standing::Unknown | Standing::Disputed);
    let asks = phone.standing != Standing::Earlier;
    Ok(CrewRow {
        photo: None,
        title: name_of(cx, phone),
        detail,
        footnote: Some(footnote(cx, phone)?),
        mark: Some(mark),
        severity: if notice {
            Severity::Notice
        } else {
            Severity::Plain
        },
        tap: asks.then(|| {
            button(
                cx.t(if notice {
                    "action_phone_look"
                } else {
                    "action_change"
                }),
                CrewAction::ShowForm {
                    form: form_of(&[phone.device]),
                },
            )
        }),
        other: Some(button(
            cx.t("action_phone_entries"),
            CrewAction::OpenEntries {
                phone: phone.device.to_string(),
            },
        )),
    })
}

/// Its code, since when, and by whom it is of the crew or isn't.
fn footnote(cx: &Cx<'_>, phone: &Phone) -> Result<String, BookFault> {
    let mut words = vec![
        cx.say(
            "screen_crew_code_of",
            &[("code", (&code(&phone.device)).into())],
        ),
        cx.say(
            "screen_phones_since",
            &[("day", (&cx.local.day(phone.since_ms)).into())],
        ),
    ];
    let word = phone.word.and_then(|w| cx.book.journal().event(&w).ok()?);
    if let Some(word) = word {
        let key = if phone.standing == Standing::Dismissed {
            "screen_phones_dismissed_by"
        } else {
            "screen_phones_admitted_by"
        };
        // What a phone takes for granted nobody said.
        let who = match word.author.as_str() {
            "" => cx.ago(word.wall_ms),
            author => cx.who_when(author, word.wall_ms),
        };
        words.push(cx.say(key, &[("who", (&who).into())]));
    }
    Ok(words.join(". "))
}

/// The phones asked about, those that wrote something.
fn phones_of(book: &Book, devices: &[DeviceId]) -> Result<Vec<Phone>, BookFault> {
    devices
        .iter()
        .filter_map(|d| book.phone(d).transpose())
        .collect()
}

/// What is to be known before a form about phones is answered.
pub(super) fn told(cx: &Cx<'_>, key: &str) -> Result<Vec<Line>, BookFault> {
    let devices = asked(key);
    let phones = phones_of(cx.book, &devices)?;
    let mut lines = Vec::new();
    for phone in &phones {
        lines.extend(who(cx, phone)?);
    }
    let counts = |p: &Phone| matches!(p.standing, Standing::Crew | Standing::Disputed);
    if phones.is_empty() {
        return Ok(lines);
    }
    if phones.iter().all(counts) {
        lines.push(line(
            cx.t("screen_phones_if_dismissed"),
            Severity::Plain,
            None,
        ));
        return Ok(lines);
    }
    match cx.book.if_admitted(&devices) {
        Ok(changes) => {
            lines.push(line(cx.t("screen_phones_then"), Severity::Plain, None));
            lines.extend(changed(cx, &changes));
            if !cx.book.is_fresh()? {
                let others = cx.t("screen_phones_then_others");
                lines.push(line(others, Severity::Plain, None));
            }
        }
        Err(BookFault::Refused(refusal)) => lines.push(line(
            cx.faults().refusal(&refusal),
            Severity::Blocking,
            Some(Mark::Struck),
        )),
        Err(other) => return Err(other),
    }
    Ok(lines)
}

/// Whose phone it says it is, and what it wrote.
fn who(cx: &Cx<'_>, phone: &Phone) -> Result<Vec<Line>, BookFault> {
    let plain = |text: String| line(text, Severity::Plain, None);
    let unknown = phone.standing == Standing::Unknown;
    let severity = if unknown {
        Severity::Notice
    } else {
        Severity::Plain
    };
    let mut lines = vec![line(
        format!("{}. {}", name_of(cx, phone), footnote(cx, phone)?),
        severity,
        unknown.then_some(Mark::Hatched),
    )];
    if unknown {
        let name = phone.writes_as.1.as_deref().map(shown).unwrap_or_default();
        lines.push(plain(if name.is_empty() {
            cx.t("screen_phones_writes_as_nobody")
        } else {
            cx.say("screen_phones_writes_as", &[("name", (&name).into())])
        }));
        lines.push(plain(cx.t("screen_phones_compare")));
    }
    if phone.apart > 0 {
        lines.push(plain(apart(cx, phone)));
    }
    if phone.admits_this && unknown {
        lines.push(plain(cx.t("screen_phones_admits_this")));
    }
    Ok(lines)
}

/// What would change, one thing a line.
fn changed(cx: &Cx<'_>, changes: &Changes) -> Vec<Line> {
    let mut lines = Vec::new();
    let ready = |ready: bool| {
        cx.t(if ready {
            "screen_phones_ready"
        } else {
            "screen_phones_not_ready"
        })
    };
    let mut some = |all: Vec<(String, Severity)>| {
        let left = all.len().saturating_sub(MOST);
        lines.extend(all.into_iter().take(MOST).map(|(text, severity)| {
            line(
                text,
                severity,
                (severity == Severity::Notice).then_some(Mark::Hatched),
            )
        }));
        if left > 0 {
            let more = cx.say("screen_phones_more", &[("n", left.into())]);
            lines.push(line(more, Severity::Notice, Some(Mark::Hatched)));
        }
    };
    let rigs = changes.rigs.iter().map(|rig| {
        let then = shown(&rig.then);
        let (was, is) = (ready(rig.ready), ready(rig.ready_then));
        let Some(name) = &rig.name else {
            let args = [("name", (&then).into()), ("then", (&is).into())];
            return (cx.say("screen_phones_rig_new", &args), Severity::Notice);
        };
        let mut text = if rig.ready == rig.ready_then {
            let args = [("name", name.into()), ("then", (&is).into())];
            cx.say("screen_phones_rig_more", &args)
        } else {
            let args = [
                ("name", name.into()),
                ("now", (&was).into()),
                ("then", (&is).into()),
            ];
            cx.say("screen_phones_rig_turns", &args)
        };
        if *name != rig.then {
            let renamed = cx.say("screen_phones_renamed", &[("then", (&then).into())]);
            text = format!("{text}. {renamed}");
        }
        let severity = if rig.ready == rig.ready_then && *name == rig.then {
            Severity::Plain
        } else {
            Severity::Notice
        };
        (text, severity)
    });
    some(rigs.collect());
    let figures = changes.rigs.iter().flat_map(|rig| {
        let name = shown(rig.name.as_ref().unwrap_or(&rig.then));
        rig.figures.iter().map(move |d| {
            let mut d = d.clone();
            d.name = shown(&d.name);
            let what = figure_words(cx, &d);
            let args = [("rig", (&name).into()), ("what", (&what).into())];
            (cx.say("screen_phones_figure", &args), Severity::Notice)
        })
    });
    some(figures.collect());
    // What would count as it does now is no change to a person.
    let choices = changes.choices.iter().filter_map(|(key, now, then)| {
        let choice = choice_name(cx, key);
        let (now, then) = (choice_value(cx, key, now), choice_value(cx, key, then));
        let known = CHOICES.contains(&key.as_str());
        if known && now == then {
            return None;
        }
        let args = [
            ("choice", (&choice).into()),
            ("now", (&now).into()),
            ("then", (&then).into()),
        ];
        let text = if known {
            cx.say("screen_phones_choice", &args)
        } else {
            choice
        };
        Some((text, Severity::Notice))
    });
    some(choices.collect());
    let members = changes.members.iter().map(|(now, then)| {
        let (now, then) = (now.as_deref().map(shown), then.as_deref().map(shown));
        let text = match (now, then) {
            (None, Some(then)) => cx.say("screen_phones_member_new", &[("name", (&then).into())]),
            (Some(now), Some(then)) => cx.say(
                "screen_phones_member_renamed",
                &[("name", (&now).into()), ("then", (&then).into())],
            ),
            (now, None) => {
                let now = now.unwrap_or_default();
                cx.say("screen_phones_member_left", &[("name", (&now).into())])
            }
        };
        (text, Severity::Notice)
    });
    some(members.collect());
    let named = |keys: [&str; 3], all: &[(String, Becomes)]| -> Vec<(String, Severity)> {
        let text = |(name, becomes): &(String, Becomes)| {
            let key = match becomes {
                Becomes::New => keys[0],
                Becomes::Other => keys[1],
                Becomes::Gone => keys[2],
            };
            cx.say(key, &[("name", (&shown(name)).into())])
        };
        all.iter().map(|n| (text(n), Severity::Notice)).collect()
    };
    let roles = changes.roles.iter().map(|(name, now, then)| {
        let (name, now, then) = (shown(name), role_name(cx, *now), role_name(cx, *then));
        let args = [
            ("name", (&name).into()),
            ("now", (&now).into()),
            ("then", (&then).into()),
        ];
        (cx.say("screen_phones_role", &args), Severity::Notice)
    });
    some(roles.collect());
    let keys = [
        "screen_phones_code_new",
        "screen_phones_code",
        "screen_phones_code_gone",
    ];
    some(named(keys, &changes.codes));
    let keys = [
        "screen_phones_gauge_new",
        "screen_phones_gauge",
        "screen_phones_gauge_gone",
    ];
    some(named(keys, &changes.gauges));
    let compared = changes.compared.iter().map(|name| {
        let name = shown(name);
        let args = [("name", (&name).into())];
        (cx.say("screen_phones_compared", &args), Severity::Notice)
    });
    some(compared.collect());
    if changes.rings > 0 {
        let text = cx.say("screen_phones_rings", &[("n", changes.rings.into())]);
        some(vec![(text, Severity::Notice)]);
    }
    let keys = [
        "screen_phones_procedure_new",
        "screen_phones_procedure",
        "screen_phones_procedure_gone",
    ];
    some(named(keys, &changes.procedures));
    if changes.phones > 0 {
        let text = cx.say("screen_phones_others", &[("n", changes.phones.into())]);
        some(vec![(text, Severity::Notice)]);
    }
    if changes.phones_lost > 0 {
        let text = cx.say("screen_phones_lost", &[("n", changes.phones_lost.into())]);
        lines.push(line(text, Severity::Notice, Some(Mark::Hatched)));
    }
    if lines.is_empty() {
        let nothing = cx.t("screen_phones_nothing");
        lines.push(line(nothing, Severity::Plain, None));
    }
    lines
}

/// The form that asks about phones.
pub(super) fn ask(cx: &Cx<'_>, key: &str) -> Result<Option<Form>, BookFault> {
    let phones = phones_of(cx.book, &asked(key))?;
    let Some(first) = phones.first() else {
        return Ok(None);
    };
    if matches!(first.standing, Standing::This | Standing::Earlier) {
        return Ok(None);
    }
    let joins = cx.book.is_fresh()?;
    let title = if joins {
        cx.t("screen_phones_join_title")
    } else {
        name_of(cx, first)
    };
    let ours = draw(&ours_field(cx, first.standing, joins), &cx.units, None);
    Ok(Some(form(key, title, ours, cx.t("action_answer"))))
}

/// Whether a phone is the crew's, as a word: asked of how it stands, and whether this phone joins by it.
fn ours_field<'a>(cx: &Cx<'_>, standing: Standing, joins: bool) -> [Spec<'a, String>; 1] {
    let (now, title, yes, no) = match standing {
        Standing::Unknown if joins => (
            "",
            "screen_phones_join_q",
            "screen_phones_join_yes",
            "screen_phones_no",
        ),
        Standing::Unknown => (
            "",
            "screen_phones_q",
            "screen_phones_yes",
            "screen_phones_no",
        ),
        Standing::Dismissed => (
            "no",
            "screen_phones_q",
            "screen_phones_again",
            "screen_phones_no",
        ),
        _ => (
            YES,
            "screen_phones_q",
            "screen_phones_still",
            "screen_phones_no_more",
        ),
    };
    let choices = vec![(YES, cx.t(yes)), ("no", cx.t(no))];
    let ours = pick_in("ours", cx.t(title), choices, |t| t);
    [ours.starts(now).must()]
}

const YES: &str = "yes";

/// Takes the answer.
pub(super) fn answered(
    desk: &mut Desk,
    key: &str,
    mut typed: Typed<'_>,
) -> Result<Outcome, BookFault> {
    let devices = asked(key);
    let phones = phones_of(&desk.book, &devices)?;
    let standing = phones.first().map_or(Standing::Unknown, |p| p.standing);
    let cx = desk.cx()?;
    let ours = ours_field(&cx, standing, cx.book.is_fresh()?);
    let ours = read_new(&ours, &cx.units, &mut typed);
    if let Some(faults) = typed.faults() {
        return Ok(faults);
    }
    let now = |d: &DeviceId| phones.iter().find(|p| p.device == *d).map(|p| p.standing);
    let to_do = |as_it_is: &[Standing]| -> Vec<DeviceId> {
        let other = |d: &&DeviceId| now(d).is_none_or(|s| !as_it_is.contains(&s));
        devices.iter().filter(other).copied().collect()
    };
    let done = if ours == YES {
        let devices = to_do(&[Standing::Crew]);
        desk.book.admit(&devices)?;
        (!devices.is_empty()).then_some("screen_phones_said_admitted")
    } else {
        let counting = to_do(&[Standing::Dismissed]);
        desk.book.dismiss(&counting)?;
        for device in &devices {
            desk.book.look_at(device)?;
        }
        (!counting.is_empty()).then_some("screen_phones_said_dismissed")
    };
    let outcome = match done {
        Some(key) => said(desk.texts.get(key)),
        None => Outcome::default(),
    };
    Ok(Outcome {
        leave: true,
        go: asks(desk)?,
        ..outcome
    })
}

/// Where it is asked about a phone that this crew doesn't know, if there is one.
pub(super) fn asks(desk: &Desk) -> Result<Option<Place>, BookFault> {
    let devices = desk.book.asked_together()?;
    Ok((!devices.is_empty()).then(|| Place::Crew {
        form: Some(form_of(&devices)),
    }))
}
