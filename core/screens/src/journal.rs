//! The journal. Its one question: what was done to this, and by whom?

use super::common::{FieldValue, Line, Mark, Outcome, PhotoTile, Place, Severity};
use super::cx::{Cx, button, go, lead, line};
use super::names::{CHOICES, choice_name, choice_value, finding_name, held_result, lot_name};
use super::page::{Draft, Page};
use super::phones;
use super::texts::Texts;
use super::times::span;
use slackwater_domain::admission;
use slackwater_domain::book::BookFault;
use slackwater_domain::facts::{Admitted, Fact, Finding, VerdictFact};
use slackwater_domain::fold::fact_of;
use slackwater_domain::rig::RigDef;
use slackwater_domain::state::RigFacts;
use slackwater_domain::subject::{At, Subject};
use slackwater_journal::store::{Cursor, Entry};
use slackwater_journal::{Event, EventRef};

pub use super::common::{Button as JournalButton, Row as JournalRow};

/// What the journal screens accept.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum JournalAction {
    /// Opens an entry.
    OpenEntry {
        /// Event reference.
        event: String,
    },
    /// Opens the rig of an entry.
    OpenRig {
        /// Rig id.
        rig: String,
    },
    /// Sends a form: what of the journal by day is to be shown.
    Submit {
        /// [`super::common::Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// One page of the journal, newest first.
#[derive(Debug, Clone, PartialEq)]
pub struct JournalScreen {
    /// Title: the rig's name, or the journal of everything.
    pub title: String,
    /// How many entries there are, in words.
    pub count: String,
    /// The entries of this page.
    pub entries: Vec<JournalRow>,
    /// Ask for the next page with this; none at the end.
    pub older: Option<String>,
    /// What will stand here when there is none.
    pub empty: Option<Line>,
}

/// One entry.
#[derive(Debug, Clone, PartialEq)]
pub struct EntryScreen {
    /// What was done.
    pub title: String,
    /// To what, who, when, on which device.
    pub lines: Vec<Line>,
    /// Its photos.
    pub photos: Vec<PhotoTile>,
    /// Whether its signature and its place in the chain are right.
    pub seal: Line,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// What was recorded, word for word (JSON), for whoever must answer for it.
    pub record: String,
    /// Buttons.
    pub others: Vec<JournalButton>,
}

/// Entries of a page.
const PAGE: u32 = 50;

/// An entry in words.
pub(super) struct Words {
    /// What was done.
    pub title: String,
    /// To what.
    pub detail: String,
}

/// Puts an event into words.
pub(super) fn words(cx: &Cx<'_>, event: &Event, fact: &Fact) -> Words {
    let subject = Subject::parse(&event.subject);
    let rig = cx.book.rig(subject.root).ok();
    let at = rig
        .as_deref()
        .map(|r| thing(r, &subject))
        .unwrap_or_default();
    let rig_name = rig.as_ref().map(|r| r.def.name.clone()).unwrap_or_default();
    let made = |title: String, detail: String| Words { title, detail };
    let about = |key: &str| made(cx.t(key), at.clone());
    let seal_found = |key: &str, finding: Finding, note: &str| {
        let found = finding_name(cx, finding);
        let detail = if note.is_empty() {
            found
        } else {
            format!("{found}: {note}")
        };
        made(cx.say(key, &[("name", (&at).into())]), detail)
    };
    let step = |key: &str| -> String {
        let id = first(&subject);
        // Only the governing prep is at hand; of others the key says enough.
        rig.as_ref()
            .and_then(|r| r.prep.as_ref())
            .filter(|p| p.id == id)
            .and_then(|p| p.steps.iter().find(|s| s.key == key))
            .map_or_else(|| key.replace('-', " "), |s| s.step.title.clone())
    };
    match fact {
        Fact::RigDefined { rig, from } if from.is_empty() => {
            made(edited(cx, event, rig), rig.name.clone())
        }
        Fact::RigDefined { rig, .. } => made(cx.t("screen_journal_rig_made"), rig.name.clone()),
        Fact::RigRetired { retired: true } => made(cx.t("screen_journal_retired"), rig_name),
        Fact::RigRetired { retired: false } => made(cx.t("screen_journal_in_use"), rig_name),
        Fact::Opened { closure } => {
            let name = closure.as_deref().and_then(|c| {
                let e = rig.as_ref()?.def.enclosure(subject.id())?;
                e.closures
                    .iter()
                    .find(|x| x.id == c)
                    .map(|x| x.name.clone())
            });
            let detail = match name {
                Some(name) => format!("{at}: {name}"),
                None => at.clone(),
            };
            made(cx.t("screen_journal_opened"), detail)
        }
        Fact::Closed {} => about("screen_journal_closed"),
        Fact::PlugOn {} => about("screen_journal_plug_on"),
        Fact::PlugOff {} => about("screen_journal_plug_off"),
        Fact::UnreadAnswered { note, .. } => {
            made(cx.t("screen_journal_unread_answered"), note.clone())
        }
        Fact::TookAway { what, unheard } if what.is_empty() && !unheard.is_empty() => made(
            cx.t("screen_journal_took_away_setting_up"),
            super::names::losses_words(cx, unheard),
        ),
        Fact::TookAway { what, .. } => made(
            cx.t("screen_journal_took_away"),
            super::names::losses_words(cx, what),
        ),
        Fact::LossSigned { .. } => made(cx.t("screen_journal_loss_signed"), rig_name),
        Fact::Inspected { note } => made(
            cx.say("screen_journal_inspected", &[("name", (&at).into())]),
            note.clone(),
        ),
        Fact::Changed {} => about("screen_journal_changed"),
        Fact::SealServiced { finding, note } => {
            seal_found("screen_journal_serviced", *finding, note)
        }
        Fact::SealFaulty { finding, note } => seal_found("screen_journal_faulty", *finding, note),
        Fact::SealLookedAgain { note, .. } => made(
            cx.say("screen_journal_looked_again", &[("name", (&at).into())]),
            note.clone(),
        ),
        Fact::RingsStocked { lot, count } => made(
            cx.say(
                "screen_journal_rings_stocked",
                &[("n", (*count as usize).into())],
            ),
            lot_name(cx, lot),
        ),
        Fact::RingsTaken { count, note } => {
            let name = box_name(cx, subject.id());
            let detail = if note.is_empty() {
                name
            } else {
                format!("{name}: {note}")
            };
            made(
                cx.say(
                    "screen_journal_rings_taken",
                    &[("n", (*count as usize).into())],
                ),
                detail,
            )
        }
        Fact::RingsCounted { count } => made(
            cx.say(
                "screen_journal_rings_counted",
                &[("n", (*count as usize).into())],
            ),
            box_name(cx, subject.id()),
        ),
        Fact::ShootPlanned { shoot } => made(
            cx.t("screen_journal_shoot"),
            cx.say(
                "screen_journal_shoot_days",
                &[
                    ("n", (shoot.days as usize).into()),
                    ("day", (&shoot.first_day).into()),
                ],
            ),
        ),
        Fact::SealFitted {
            pack,
            cured,
            fitted_ms,
            found,
            ..
        } => {
            let key = if fitted_ms.is_some() {
                "screen_journal_seal_age"
            } else {
                "screen_journal_fitted"
            };
            let old = found.map(|f| {
                cx.say(
                    "screen_journal_old_ring",
                    &[("found", (&finding_name(cx, f)).into())],
                )
            });
            let detail = [pack.as_str(), cured.as_str(), old.as_deref().unwrap_or("")]
                .into_iter()
                .filter(|s| !s.is_empty());
            made(
                cx.say(key, &[("name", (&at).into())]),
                detail.collect::<Vec<_>>().join(", "),
            )
        }
        Fact::ControlTested { works, .. } => about(if *works {
            "screen_journal_control_works"
        } else {
            "screen_journal_control_fails"
        }),
        Fact::HoldStarted { setup } => {
            let name = rig
                .as_deref()
                .map(|r| super::names::enclosure_name(r, &setup.enclosure))
                .unwrap_or_default();
            made(cx.t("screen_journal_hold_started"), name)
        }
        Fact::HoldImported {
            setup, readings, ..
        } => {
            let name = rig
                .as_deref()
                .map(|r| super::names::enclosure_name(r, &setup.enclosure))
                .unwrap_or_default();
            made(
                cx.say(
                    "screen_journal_hold_imported",
                    &[("n", readings.len().into())],
                ),
                name,
            )
        }
        Fact::GaugeDefined { gauge } => made(cx.t("screen_journal_gauge"), gauge.name.clone()),
        Fact::GaugesCompared {
            this_pa, other_pa, ..
        } => made(
            cx.t("screen_journal_gauges_compared"),
            format!(
                "{}, {}",
                cx.units.pressure(*this_pa, 10.0),
                cx.units.pressure(*other_pa, 10.0)
            ),
        ),
        Fact::HoldReading { reading } => made(
            cx.t("screen_journal_reading"),
            format!(
                "{} · {}{}{}",
                cx.units.pressure(reading.gauge_pa, 10.0),
                span((reading.t_s * 1_000.0) as i64),
                if reading.confirmed {
                    format!(" · {}", cx.t("screen_hold_unlikely"))
                } else {
                    String::new()
                },
                super::spans::beside(cx, reading)
            ),
        ),
        Fact::ReadingSetAside { .. } => about("screen_journal_reading_aside"),
        Fact::GaugeSteps { step_pa: None } => about("screen_journal_steps_stand"),
        Fact::GaugeSteps {
            step_pa: Some(step_pa),
        } => made(
            cx.t("screen_journal_steps"),
            cx.units.pressure(*step_pa, *step_pa),
        ),
        Fact::HoldConcluded { result } => {
            let text = match result.verdict {
                VerdictFact::Holding => held_result(cx, result),
                VerdictFact::Leaking => cx.say(
                    "screen_hold_leaks",
                    &[(
                        "water",
                        (&cx.units.water_at_least(result.low_ml.max(0.0))).into(),
                    )],
                ),
                VerdictFact::NotYet => cx.t("screen_hold_ended_open"),
            };
            let known = rig.iter().flat_map(|r| &r.enclosures);
            let hold = known.flat_map(|e| &e.holds).find(|h| h.id == subject.id());
            // A verdict given again ends no hold.
            let first = hold.and_then(|h| h.ended.iter().map(|e| e.0).min());
            let again =
                first.is_some_and(|f| f.writer() != event.device.into() || f.seq() != event.seq);
            let key = if again {
                "screen_journal_hold_judged_again"
            } else {
                "screen_journal_hold_concluded"
            };
            let text = match of_hold(cx, rig.as_deref(), subject.id()) {
                Some(name) => format!("{name}: {text}"),
                None => text,
            };
            made(cx.t(key), text)
        }
        Fact::HoldAbandoned { reason } => {
            let detail = match of_hold(cx, rig.as_deref(), subject.id()) {
                Some(name) => format!("{name}: {reason}"),
                None => reason.clone(),
            };
            made(cx.t("screen_journal_hold_abandoned"), detail)
        }
        Fact::Rechecked { recheck } => {
            let key = match recheck.verdict {
                VerdictFact::Holding => "screen_journal_recheck_same",
                VerdictFact::Leaking => "screen_journal_recheck_changed",
                VerdictFact::NotYet => "screen_journal_recheck_unclear",
            };
            made(
                cx.t(key),
                format!(
                    "{at}: {}{}",
                    as_read(cx, rig.as_deref(), &recheck.hold, recheck.reading.gauge_pa),
                    super::spans::beside(cx, &recheck.reading)
                ),
            )
        }
        Fact::RecheckMistyped { reason, .. } => made(
            cx.t("screen_journal_recheck_mistyped"),
            format!("{at}: {reason}"),
        ),
        Fact::PrepStarted { title, .. } => made(
            cx.say("screen_journal_prep_started", &[("title", title.into())]),
            rig_name,
        ),
        Fact::StepDone { key, value } => {
            let title = step(key);
            let title = if value.is_empty() {
                title
            } else {
                format!("{title}: {}", cx.units.recorded(value))
            };
            made(cx.t("screen_journal_step_done"), title)
        }
        Fact::StepPart { key, on, .. } => made(
            cx.t(if *on {
                "screen_journal_part_on"
            } else {
                "screen_journal_part_off"
            }),
            step(key),
        ),
        Fact::StepSkipped { key, reason } => made(
            cx.t("screen_journal_step_skipped"),
            format!("{}: {reason}", step(key)),
        ),
        Fact::StepReopened { key } => made(cx.t("screen_journal_step_reopened"), step(key)),
        Fact::StepSigned { key, .. } => made(cx.t("screen_journal_step_signed"), step(key)),
        Fact::WalkedRound {} => made(cx.t("screen_journal_walked"), rig_name),
        Fact::SecondLook { .. } if subject.at == At::Rig => {
            made(cx.t("screen_journal_walk_signed"), rig_name)
        }
        Fact::SecondLook { .. } => about("screen_journal_plug_signed"),
        Fact::MemberRetired { retired } => made(
            cx.t(if *retired {
                "screen_journal_member_left"
            } else {
                "screen_journal_member_back"
            }),
            cx.name(subject.name()),
        ),
        Fact::MembersJoined { other } => made(
            cx.t("screen_journal_members_joined"),
            cx.say(
                "screen_journal_members_both",
                &[
                    ("one", (&cx.name(subject.name())).into()),
                    ("other", (&cx.name(other)).into()),
                ],
            ),
        ),
        Fact::DeviceAdmitted { device, how } => made(
            cx.t(match how {
                Admitted::Asked => "screen_journal_device_admitted",
                Admitted::Before => "screen_journal_device_before",
                Admitted::SamePhone => "screen_journal_device_same",
                Admitted::Code => "screen_journal_device_by_code",
            }),
            device_code(cx, device),
        ),
        Fact::DeviceDismissed { device, .. } => made(
            cx.t("screen_journal_device_dismissed"),
            device_code(cx, device),
        ),
        Fact::DeviceInvited { .. } => made(
            cx.t("screen_journal_device_invited"),
            cx.t("screen_journal_device_invited_how"),
        ),
        Fact::DeviceJoined { .. } => made(
            cx.t("screen_journal_device_joined"),
            device_code(cx, &event.device.to_string()),
        ),
        Fact::DeviceUninvited { .. } => {
            made(cx.t("screen_journal_device_uninvited"), String::new())
        }
        Fact::PhoneOf { member } => made(cx.t("screen_journal_phone_of"), cx.name(member)),
        Fact::CodeSet { .. } => made(cx.t("screen_journal_code_set"), cx.name(subject.name())),
        Fact::HandedOver { to } => made(cx.t("screen_journal_handed_over"), cx.name(to)),
        Fact::PrepEnded { complete, reason } => made(
            cx.t(if *complete {
                "screen_journal_prep_ended"
            } else {
                "screen_journal_prep_cut"
            }),
            reason.clone(),
        ),
        Fact::DefectOpened { text, water, .. } => made(
            cx.t(if *water {
                "screen_journal_water"
            } else {
                "screen_journal_defect"
            }),
            text.clone(),
        ),
        Fact::DefectClosed { how } => made(cx.t("screen_journal_defect_closed"), how.clone()),
        Fact::DiveLogged {
            depth_m,
            minutes,
            note,
            ..
        } => {
            let dive = format!(
                "{}, {}\u{a0}min",
                cx.units.depth(*depth_m),
                cx.units.plain(*minutes, 3)
            );
            let detail = if note.is_empty() {
                dive
            } else {
                format!("{dive}. {note}")
            };
            made(cx.t("screen_journal_dive"), detail)
        }
        Fact::WaterChosen { water } => made(
            cx.t("screen_journal_water_chosen"),
            super::trim_words::water_name(cx, water),
        ),
        Fact::WeightsHung { weight } => {
            let what = if weight.count == 0 {
                cx.say(
                    "screen_journal_hung_none",
                    &[("what", (&cx.units.weight(weight.mass_g)).into())],
                )
            } else {
                cx.units.weights(weight.mass_g, weight.count)
            };
            made(cx.t("screen_journal_hung"), format!("{at}: {what}"))
        }
        Fact::Trimmed { trim } => made(
            cx.t("screen_journal_trimmed"),
            super::trim_words::water_name(cx, &trim.water),
        ),
        Fact::SeenInWater { seen } => made(
            cx.t("screen_journal_seen_in_water"),
            super::trim_words::seen_words(cx, seen),
        ),
        Fact::MemberDefined { name, .. } => made(cx.t("screen_journal_member"), name.clone()),
        Fact::CrewChose { choice, value } => made(
            cx.t("screen_journal_chose"),
            if CHOICES.contains(&choice.as_str()) {
                let value = choice_value(cx, choice, value);
                format!("{}: {value}", choice_name(cx, choice))
            } else {
                choice_name(cx, choice)
            },
        ),
        Fact::ProcedureAdded { .. } => {
            made(cx.t("screen_journal_procedure"), subject.name().to_owned())
        }
        Fact::PhotoTaken { note, .. } => {
            let detail = if note.is_empty() {
                at.clone()
            } else {
                note.clone()
            };
            made(cx.t("screen_journal_photo"), detail)
        }
        Fact::PhotoMarked { mark } => made(
            cx.t("screen_journal_photo_marked"),
            super::sketch::named(cx, mark),
        ),
        Fact::Retracted { event } => {
            let before = event
                .parse::<EventRef>()
                .ok()
                .and_then(|r| cx.book.journal().event(&r).ok().flatten())
                .map(|e| {
                    let fact = fact_of(&e);
                    // One step back is enough; a retraction can't be retracted.
                    match fact {
                        Fact::Retracted { .. } => String::new(),
                        fact => words(cx, &e, &fact).title,
                    }
                })
                .unwrap_or_default();
            made(cx.t("screen_journal_retracted"), before)
        }
        Fact::Unknown => made(cx.t("screen_journal_unknown"), event.kind.clone()),
    }
}

/// The code of a device, as it is shown to be compared.
fn device_code(cx: &Cx<'_>, device: &str) -> String {
    let code = admission::device_of(device).map(|d| admission::code(&d));
    cx.say(
        "screen_crew_code_of",
        &[("code", (&code.unwrap_or_default()).into())],
    )
}

/// The name of a lot in the box; nothing for one that isn't there any more.
fn box_name(cx: &Cx<'_>, lot: &str) -> String {
    cx.book
        .box_lot(lot)
        .map(|l| lot_name(cx, &l.lot))
        .unwrap_or_default()
}

/// The name of what an event is about.
pub(super) fn thing(rig: &RigFacts, subject: &Subject<'_>) -> String {
    match subject.at {
        At::Enclosure(id) => super::names::enclosure_name(rig, id),
        At::Seal(id) => super::names::seal_name(rig, id),
        At::Control(id) => (rig.def.control(id)).map_or_else(String::new, |c| c.name.clone()),
        At::Part(id) => (rig.def.part(id)).map_or_else(|| id.to_owned(), |p| p.name.clone()),
        At::Point(id) => (rig.def.mounting_points.iter())
            .find(|p| p.id == id)
            .map_or_else(|| id.to_owned(), |p| p.name.clone()),
        At::Rig | At::Hold(_) | At::Prep(_) | At::Step(..) | At::Defect(_) => rig.def.name.clone(),
        _ => subject.id().to_owned(),
    }
}

/// The id of the hold or prep that an event is about, whatever of it.
pub(super) fn first<'a>(subject: &Subject<'a>) -> &'a str {
    match subject.at {
        At::Step(prep, _) => prep,
        _ => subject.id().split('/').next().unwrap_or_default(),
    }
}

/// Where a page of the journal begins; none for the newest.
pub(super) fn page_at(before: Option<&str>) -> Result<Option<Cursor>, BookFault> {
    let Some(text) = before else { return Ok(None) };
    let cursor = Cursor::from_text(text).ok_or_else(|| BookFault::NotFound {
        what: "page of the journal",
        id: text.to_owned(),
    })?;
    Ok(Some(cursor))
}

/// Builds a page.
pub(super) fn show(
    cx: &Cx<'_>,
    rig: Option<&str>,
    before: Option<&str>,
) -> Result<JournalScreen, BookFault> {
    let cursor = page_at(before)?;
    let phone = rig.and_then(|r| r.strip_prefix(phones::ENTRIES));
    let (title, page, count) = match phone {
        Some(key) => of_phone(cx, key, cursor)?,
        None => {
            let title = match rig {
                Some(id) => cx.book.rig(id)?.def.name.clone(),
                None => cx.t("screen_journal_title"),
            };
            let journal = cx.book.journal();
            let page = journal.page(rig, cursor, PAGE)?;
            (title, page, journal.counted(rig)?)
        }
    };
    let older = (page.len() == PAGE as usize)
        .then(|| page.last().map(|e| e.cursor.to_text()))
        .flatten();
    // On a page of several rigs each entry says which it is of.
    let several = (rig.is_none() || phone.is_some()) && cx.book.rigs()?.len() > 1;
    let entries: Vec<JournalRow> = page
        .iter()
        .map(|entry| {
            let e = &entry.event;
            let fact = fact_of(e);
            let words = words(cx, e, &fact);
            let who = cx.who_when(&e.author, e.wall_ms);
            let of = several.then(|| of_rig(cx, e, &words)).flatten();
            let footnote = match of {
                Some(rig) => {
                    let args = [("rig", (&rig).into()), ("who", (&who).into())];
                    cx.say("screen_journal_of_rig", &args)
                }
                None => who,
            };
            JournalRow {
                title: words.title.clone(),
                // The whole of it stands in the entry.
                detail: shortened(words.detail, IN_A_ROW),
                footnote: Some(footnote),
                mark: None,
                severity: severity(&fact),
                tap: Some(button(
                    words.title,
                    JournalAction::OpenEntry {
                        event: e.reference().to_string(),
                    },
                )),
                other: None,
                photo: None,
            }
        })
        .collect();
    Ok(JournalScreen {
        title,
        count: cx.say("screen_journal_count", &[("n", (count as usize).into())]),
        empty: entries
            .is_empty()
            .then(|| line(cx.t("screen_journal_empty"), Severity::Plain, None)),
        entries,
        older,
    })
}

/// The rig that an entry is of, where its words don't name it already.
pub(super) fn of_rig(cx: &Cx<'_>, event: &Event, words: &Words) -> Option<String> {
    let rig = cx.book.rig(Subject::parse(&event.subject).root).ok()?;
    let name = &rig.def.name;
    (words.detail != *name && words.title != *name).then(|| name.clone())
}

/// A page of what one phone wrote, under its name, and how much there is.
fn of_phone(
    cx: &Cx<'_>,
    key: &str,
    before: Option<Cursor>,
) -> Result<(String, Vec<Entry>, u64), BookFault> {
    let phone = match admission::device_of(key) {
        Some(device) => cx.book.phone(&device)?,
        None => None,
    };
    let phone = phone.ok_or_else(|| BookFault::NotFound {
        what: "phone",
        id: key.to_owned(),
    })?;
    let page = cx.book.journal().page_of(&phone.device, before, PAGE)?;
    let count = phone.entries + phone.apart;
    Ok((phones::name_of(cx, &phone), page, count))
}

pub(super) fn severity(fact: &Fact) -> Severity {
    match fact {
        Fact::DefectOpened { blocks: true, .. } | Fact::SealFaulty { .. } => Severity::Blocking,
        Fact::HoldConcluded { result } if result.verdict == VerdictFact::Leaking => {
            Severity::Blocking
        }
        Fact::Rechecked { recheck } if recheck.verdict == VerdictFact::Leaking => {
            Severity::Blocking
        }
        Fact::Opened { .. }
        | Fact::StepSkipped { .. }
        | Fact::RecheckMistyped { .. }
        | Fact::ControlTested { works: false, .. }
        | Fact::Retracted { .. }
        | Fact::DefectOpened { .. } => Severity::Notice,
        _ => Severity::Plain,
    }
}

/// Builds an entry.
pub(super) fn show_entry(cx: &Cx<'_>, event: &str) -> Result<EntryScreen, BookFault> {
    let unknown = || BookFault::NotFound {
        what: "entry",
        id: event.to_owned(),
    };
    let reference: EventRef = event.parse().map_err(|_| unknown())?;
    let e = cx.book.journal().event(&reference)?.ok_or_else(unknown)?;
    let fact = fact_of(&e);
    let words = words(cx, &e, &fact);
    let plain = |text: String| line(text, Severity::Plain, None);
    let device = e.device.to_string();
    let apart = if cx.book.counts(&reference)? {
        plain(String::new())
    } else {
        let mark = Some(Mark::Struck);
        line(cx.t("screen_entry_apart"), Severity::Notice, mark)
    };
    let lines = vec![
        apart,
        plain(words.detail),
        plain(cx.who_when(&e.author, e.wall_ms)),
        plain(cx.say(
            "screen_entry_at",
            &[("time", (&cx.local.full(e.wall_ms)).into())],
        )),
        plain(cx.say(
            "screen_entry_device",
            &[
                ("device", device[..8].into()),
                ("seq", (&e.seq.to_string()).into()),
            ],
        )),
    ];
    let sound = match e.verify() {
        Ok(()) => line(cx.t("screen_entry_sound"), Severity::Good, Some(Mark::Full)),
        Err(_) => line(
            cx.t("screen_entry_forged"),
            Severity::Blocking,
            Some(Mark::Struck),
        ),
    };
    let root = Subject::parse(&e.subject).root.to_owned();
    let others = if cx.book.rig(&root).is_ok() {
        vec![button(
            cx.t("action_open_rig"),
            JournalAction::OpenRig { rig: root.clone() },
        )]
    } else {
        Vec::new()
    };
    let photos = match fact {
        Fact::PhotoTaken { .. } => cx.photos(&root, Subject::parse(&e.subject).at)?,
        _ => Vec::new(),
    };
    Ok(EntryScreen {
        title: words.title,
        lines: lines.into_iter().filter(|l| !l.text.is_empty()).collect(),
        photos,
        seal: sound,
        photo_subject: e.subject.clone(),
        record: String::from_utf8_lossy(&e.body).into_owned(),
        others,
    })
}

/// Does an action.
pub(super) fn act(action: JournalAction) -> Result<Outcome, BookFault> {
    Ok(match action {
        // Only the journal by day has a form, and reads it.
        JournalAction::Submit { .. } => Outcome::default(),
        JournalAction::OpenEntry { event } => go(Place::Entry { event }),
        JournalAction::OpenRig { rig } => go(Place::Rig { rig, form: None }),
    })
}

/// A gauge's reading as it showed it: in its unit, to its step; the crew's unit where its hold isn't
/// known any more.
fn as_read(cx: &Cx<'_>, rig: Option<&RigFacts>, hold: &str, pa: f64) -> String {
    let holds = rig
        .into_iter()
        .flat_map(|r| &r.enclosures)
        .flat_map(|e| &e.holds);
    let Some(setup) = holds.map(|h| (&h.id, &h.setup)).find(|(id, _)| *id == hold) else {
        return cx.units.pressure(pa, 100.0);
    };
    super::recheck::amount_read(&cx.units, pa, setup.1)
}

/// The enclosure that a hold is of, by its name; none where no such hold is known.
fn of_hold(cx: &Cx<'_>, rig: Option<&RigFacts>, hold: &str) -> Option<String> {
    let enclosure = cx.book.hold_enclosure(hold).ok()??;
    Some(super::names::enclosure_name(rig?, &enclosure))
}

/// What an edit of a rig changed, where it was the lens or the planned dive alone.
fn edited(cx: &Cx<'_>, event: &Event, def: &RigDef) -> String {
    let before = cx.book.journal().run("reading what a rig was", |db| {
        slackwater_journal::store::event_before(db, event)
    });
    let before = before.ok().flatten().map(|e| fact_of(&e));
    let Some(Fact::RigDefined { rig: was, .. }) = before else {
        return cx.t("screen_journal_rig_edited");
    };
    let other_lens = RigDef {
        lens: def.lens.clone(),
        ..(*was).clone()
    };
    let other_plan = RigDef {
        plan: def.plan,
        ..(*was).clone()
    };
    match def.lens() {
        _ if *was == *def => cx.t("screen_journal_rig_edited"),
        Some(lens) if other_lens == *def => {
            cx.say("screen_journal_lens", &[("name", (&lens.name).into())])
        }
        _ if other_plan == *def => cx.t("screen_journal_plan"),
        _ => cx.t("screen_journal_rig_edited"),
    }
}

/// So many letters of an entry stand in its row; of one of its lines on its own page; and of the entry as it
/// was recorded, which a stranger may have made of megabytes.
const IN_A_ROW: usize = 300;
const IN_A_LINE: usize = 20_000;
const AS_RECORDED: usize = 200_000;

pub(super) fn shortened(text: String, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}\u{2026}", &text[..end]),
        None => text,
    }
}

impl JournalScreen {
    pub(super) fn page(self, texts: &Texts, rig: Option<&str>) -> Page {
        let older = self.older.map(|before| {
            let place = Place::Journal {
                rig: rig.map(str::to_owned),
                before: Some(before),
            };
            lead(texts.get("shell_older"), place)
        });
        Draft::new(&self.title, &self.count)
            .lines(self.empty)
            .rows("", self.entries)
            .main(older)
            .done()
    }
}

impl EntryScreen {
    pub(super) fn page(self, texts: &Texts) -> Page {
        Draft::new(&texts.get("shell_history"), "")
            .answer(&self.title, None, Severity::Plain)
            .lines(self.lines.into_iter().map(|l| Line {
                text: shortened(l.text, IN_A_LINE),
                ..l
            }))
            .lines([self.seal])
            .photos(self.photos, &self.photo_subject)
            .buttons(&texts.get("shell_more"), self.others)
            .footnote(
                &texts.get("shell_record"),
                &shortened(self.record, AS_RECORDED),
            )
            .done()
    }
}
