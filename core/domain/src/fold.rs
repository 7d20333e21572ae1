//! The fold: what one more event changes in the tables.
//!
//! Every table keeps, for each thing and device, the newest fact of a kind by that device's sequence,
//! so that applying events in any order, or twice, comes out the same. Where two facts about the same thing can't both
//! stand (two verdicts on one hold), the worse one does.

use std::ops::ControlFlow;

use rusqlite::{Connection, OptionalExtension, params};

use super::admission;
use super::budget::{self, log::limits};
use super::facts::{Fact, HoldResult, HoldSetup, RingMade, VerdictFact};
use super::mark_key::MarkKey;
use super::rig::RigDef;
use super::subject::{At, Subject};
use slackwater_journal::store::{
    counted_event, each_apart, each_before, each_event, events_of_subject, written_at,
};
use slackwater_journal::{Event, EventRef, Heard, Place, Stamp};

/// Stands between the reference of an event beside its device's sequence and what tells it from the one
/// in it.
pub const APART: &str = "#apart";
/// What the newest 'fitted' of a seal says.
#[derive(Debug, Clone, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct FittedMark {
    /// When the ring was fitted, ms since 1970.
    pub ms: i64,
    /// It was in use before anyone said so: the date was said later.
    pub dated: bool,
    /// From which pack.
    pub pack: String,
    /// Its cure date as printed, or empty.
    pub cured: String,
    /// What it is made of, as its lot says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ring: Option<RingMade>,
}

/// From this salinity on, g/kg, water counts as salt: below it lies fresh water by the Venice System
/// (1958) of naming brackish waters (from memory).
pub const SALT_G_KG: f64 = 0.5;

/// Marks a hold that was brought in: behind its enclosure's id, and as the reason it doesn't count.
pub const IMPORTED: &str = "#imported";

/// What the kinds of facts about a ring begin with: a ring that was fitted was serviced, too.
const OF_A_RING: &str = "seal_";

/// Reads what an event records. A body that isn't understood is [`Fact::Unknown`].
pub fn fact_of(event: &Event) -> Fact {
    Fact::read(&event.body)
}

/// Applies an event that counts to the tables.
///
/// # Errors
/// What SQLite says; the caller's transaction is then given up as a whole.
pub fn apply(db: &Connection, event: &Event) -> rusqlite::Result<()> {
    let fact = fact_of(event);
    // News can't be taken back, even by a retraction that arrived before it.
    if fact.can_be_retracted() && is_retracted(db, &event.reference().to_string())? {
        // That a ring was worked on stays so, whatever is said of how; so does a stay in the water.
        return stays_so(db, event, &fact);
    }
    apply_fact(db, event, &fact)?;
    if matches!(fact, Fact::HoldStarted { .. }) {
        // That it was given up stands with the hold, and may have come in first.
        for later in events_of_subject(db, &event.subject, Some("hold_abandoned"), u32::MAX)? {
            apply_fact(db, &later, &fact_of(&later))?;
        }
    }
    Ok(())
}

/// Applies an event as it came in: one beside its device's sequence stands in the way of what it is about,
/// until somebody has looked it up; one that doesn't count changes nothing. Gives whether it is to be
/// found anew which events count ([`admission::settle`]).
///
/// # Errors
/// As [`apply`].
pub fn came_in(db: &Connection, place: Place, event: &Event) -> rusqlite::Result<bool> {
    match place {
        Place::InSequence => apply(db, event)?,
        Place::Apart => {
            let which = data_encoding::HEXLOWER.encode(&event.hash[..4]);
            unread(db, event, &format!("{}{APART} {which}", event.reference()))?;
            // Which of the histories is the device's may be another now.
            return Ok(true);
        }
        Place::Uncounted => {}
    }
    admission::note(db, event)
}

/// An event that says nothing here that could be counted.
fn unread(db: &Connection, e: &Event, reference: &str) -> rusqlite::Result<()> {
    db.prepare_cached(
        "INSERT OR IGNORE INTO unread (event, root, kind, stamp, wall_ms, author) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?
    .execute(params![
        reference,
        Subject::parse(&e.subject).root,
        e.kind,
        &e.stamp().0[..],
        in_calendar(e.wall_ms),
        e.author
    ])
    .map(drop)
}

/// Folds what an earlier version could not read and this one can. In any order it comes out the same,
/// so late is as good as then.
///
/// # Errors
/// What SQLite says.
pub fn read_again(db: &Connection) -> rusqlite::Result<()> {
    let unread: Vec<String> = db
        .prepare_cached("SELECT event FROM unread ORDER BY stamp")?
        .query_map([], |r| r.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    for reference in unread {
        let Ok(parsed) = reference.parse::<EventRef>() else {
            continue;
        };
        if let Some(event) = counted_event(db, &parsed)?
            && fact_of(&event) != Fact::Unknown
        {
            // First, since it may turn out to be one that can't be counted either.
            db.prepare_cached("DELETE FROM unread WHERE event = ?1")?
                .execute([&reference])?;
            apply(db, &event)?;
        }
    }
    Ok(())
}

/// The times that a calendar can say, ms since 1970 UTC: the years 1 to 9999. Another device's clock
/// may show anything in 64 bits; in the tables it stands at the nearer end of these, so that no span
/// between two of them is beyond what a number holds. What it signed stays as it is.
const CALENDAR_MS: std::ops::RangeInclusive<i64> = -62_135_596_800_000..=253_402_300_799_999;

fn in_calendar(ms: i64) -> i64 {
    ms.clamp(*CALENDAR_MS.start(), *CALENDAR_MS.end())
}

/// Keeps the newest word of a device about a thing.
fn mark(
    db: &Connection,
    e: &Event,
    at: At<'_>,
    key: MarkKey<'_>,
    value: &str,
) -> rusqlite::Result<()> {
    let root = Subject::parse(&e.subject).root;
    let (path, key) = (at.to_string(), key.to_string());
    let stamp = e.stamp();
    db.prepare_cached(
        "INSERT INTO mark (rig, subject, key, stamp, wall_ms, author, value, writer) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (rig, subject, key, writer) \
         DO UPDATE SET stamp = excluded.stamp, wall_ms = excluded.wall_ms, \
         author = excluded.author, value = excluded.value \
         WHERE substr(excluded.stamp, 17) > substr(mark.stamp, 17)",
    )?
    .execute(params![
        root,
        path,
        key,
        &stamp.0[..],
        in_calendar(e.wall_ms),
        e.author,
        value,
        &stamp.writer().0[..]
    ])?;
    settle(db, Kind::Mark, &[root, &path, &key])
}

/// Notes that a ring was worked on, which can't be with its housing shut: news, and no taking back of what was
/// said of the ring takes it back. A date said later touches nothing.
fn touched(db: &Connection, e: &Event, fact: &Fact) -> rusqlite::Result<()> {
    match fact {
        Fact::SealServiced { .. }
        | Fact::SealFitted {
            fitted_ms: None, ..
        } => mark(db, e, Subject::parse(&e.subject).at, MarkKey::Touched, ""),
        _ => Ok(()),
    }
}

/// Notes what stays so of what was taken back.
fn stays_so(db: &Connection, e: &Event, fact: &Fact) -> rusqlite::Result<()> {
    match fact {
        Fact::SeenInWater { .. } => mark(db, e, At::Rig, MarkKey::InWater, ""),
        _ => touched(db, e, fact),
    }
}

/// The path of a step's marks, below that of what its event is about.
fn step_of(at: At<'_>, key: &str) -> String {
    format!("{at}/{key}")
}

fn apply_fact(db: &Connection, e: &Event, fact: &Fact) -> rusqlite::Result<()> {
    let wall_ms = in_calendar(e.wall_ms);
    let subject = Subject::parse(&e.subject);
    let at = subject.at;
    let root = subject.root;
    let id = subject.id();
    let stamp = e.stamp();
    let writer = &stamp.writer().0[..];
    let stamp = &stamp.0[..];
    let mark = |at: At<'_>, key: MarkKey<'_>, value: &str| mark(db, e, at, key, value);
    let mark_step =
        |step: &str, key: MarkKey<'_>, value: &str| mark(At::parse(&step_of(at, step)), key, value);
    match fact {
        Fact::RigDefined { rig, .. } => {
            let def = json(rig)?;
            db.prepare_cached(
                "INSERT INTO rig (id, name, def, stamp, made_ms, writer) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6) \
                 ON CONFLICT (id, writer) DO UPDATE SET name = excluded.name, \
                 def = excluded.def, stamp = excluded.stamp, made_ms = excluded.made_ms \
                 WHERE substr(excluded.stamp, 17) > substr(rig.stamp, 17)",
            )?
            .execute(params![root, rig.name, def, stamp, wall_ms, writer])?;
            settle(db, Kind::Rig, &[root])?;
            keep_ratings(db, root, stamp, rig)
        }
        Fact::TookAway { what, unheard } => {
            // An edit that says nothing of what it took away is one that nobody can clear.
            if !what.is_empty() || unheard.is_empty() {
                let edit = e.reference().to_string();
                mark(At::Rig, MarkKey::TookAway(&edit), &json(what)?)?;
            }
            if unheard.is_empty() {
                return Ok(());
            }
            let edit = e.reference().to_string();
            mark(At::Rig, MarkKey::TookUnheard(&edit), &json(unheard)?)
        }
        Fact::LossSigned { event, look } => {
            let key = MarkKey::LossSigned(event, &e.author);
            mark(At::Rig, key, &json(look)?)
        }
        Fact::RigRetired { retired } => mark(
            At::Rig,
            MarkKey::Retired,
            if *retired { "yes" } else { "no" },
        ),
        Fact::Opened { closure } => {
            db.prepare_cached(
                "INSERT OR IGNORE INTO opening (rig, enclosure, stamp, closure) \
                 VALUES (?1, ?2, ?3, ?4)",
            )?
            .execute(params![root, id, stamp, closure])?;
            let closure = closure.as_deref().unwrap_or_default();
            mark(at, MarkKey::Opened, closure)?;
            mark(At::Closure(id, closure), MarkKey::Opened, "")
        }
        Fact::Closed {} => mark(at, MarkKey::Closed, ""),
        Fact::PlugOn {} => mark(at, MarkKey::PlugOn, ""),
        Fact::PlugOff {} => mark(at, MarkKey::PlugOff, ""),
        Fact::Inspected { note } => mark(at, MarkKey::Inspected, note),
        Fact::Changed {} => mark(at, MarkKey::Changed, ""),
        Fact::SealServiced { finding, .. } => {
            touched(db, e, fact)?;
            mark(at, MarkKey::Serviced, finding.key())
        }
        Fact::SealFitted {
            pack,
            cured,
            fitted_ms,
            lot,
            ring,
            ..
        } => {
            // A date said later is marked as one: openings count from it, not from when it was said.
            let fitted = FittedMark {
                ms: fitted_ms.map_or(wall_ms, in_calendar),
                dated: fitted_ms.is_some(),
                pack: pack.clone(),
                cured: cured.clone(),
                ring: ring.clone(),
            };
            touched(db, e, fact)?;
            mark(at, MarkKey::Fitted, &json(&fitted)?)?;
            if let Some(lot) = lot {
                stock(db, lot, stamp, -1, None)?;
            }
            // A date from before the program was used is neither a service nor a new ring.
            if fitted_ms.is_none() {
                mark(at, MarkKey::Renewed, "")?;
                mark(at, MarkKey::Serviced, "clean")
            } else {
                Ok(())
            }
        }
        Fact::SealFaulty { finding, .. } => {
            let found = e.reference().to_string();
            mark(at, MarkKey::Faulty(&found), finding.key())
        }
        Fact::SealLookedAgain { event, note } => mark(at, MarkKey::LookedAgain(event), note),
        Fact::RingsStocked { lot, count } => {
            mark(at, MarkKey::Lot, &json(lot)?)?;
            stock(db, id, stamp, i64::from(*count), None)
        }
        Fact::RingsTaken { count, .. } => stock(db, id, stamp, -i64::from(*count), None),
        Fact::RingsCounted { count } => stock(db, id, stamp, 0, Some(i64::from(*count))),
        Fact::ShootPlanned { shoot } => mark(At::Rig, MarkKey::Shoot, &json(shoot)?),
        Fact::ControlTested { works, .. } => {
            let key = if *works {
                MarkKey::Works
            } else {
                MarkKey::Fails
            };
            mark(at, key, "")
        }
        Fact::HoldStarted { setup } => {
            begun(db, e, setup, &setup.enclosure, None)?;
            mark(At::Enclosure(&setup.enclosure), MarkKey::PlugOff, "")
        }
        Fact::HoldImported {
            setup,
            readings,
            rechecks,
        } => {
            // Not among the enclosure's own holds, which decide what is proved, and given up from the
            // start, so that it can never count.
            let at = format!("{}{IMPORTED}", setup.enclosure);
            begun(db, e, setup, &at, Some(IMPORTED))?;
            for n in budget::thinned(readings.len(), budget::READINGS) {
                keep(db, Kept::Reading, id, e, Some(n), &readings[n])?;
            }
            for (n, recheck) in rechecks.iter().enumerate().take(limits::RECHECKS) {
                keep(db, Kept::Recheck, id, e, Some(n), recheck)?;
            }
            Ok(())
        }
        Fact::GaugeDefined { gauge } => mark(at, MarkKey::Defined, &json(gauge)?),
        Fact::GaugesCompared {
            other,
            this_pa,
            other_pa,
        } => mark(at, MarkKey::Compared, &json(&(other, this_pa, other_pa))?),
        Fact::HoldReading { reading } => {
            keep(db, Kept::Reading, id, e, None, reading)?;
            if reading.confirmed {
                mark(at, MarkKey::Unlikely, "")?;
            }
            Ok(())
        }
        Fact::ReadingSetAside { reading } => db
            .prepare_cached("INSERT OR IGNORE INTO reading_aside (hold, event) VALUES (?1, ?2)")?
            .execute(params![id, reading])
            .map(drop),
        // Each by itself, so that the coarsest stands in whatever order they come.
        Fact::GaugeSteps { step_pa } => match step_pa {
            Some(pa) => mark(at, MarkKey::Steps(&pa.to_string()), ""),
            None => mark(at, MarkKey::StepsStand, ""),
        },
        Fact::HoldConcluded { result } => conclude(db, id, e, result),
        Fact::HoldAbandoned { reason } => db
            .prepare_cached(
                "UPDATE hold SET abandoned = ?2, reason = ?3 WHERE id = ?1 AND rig = ?4 \
                 AND (abandoned IS NULL OR abandoned < ?2)",
            )?
            .execute(params![id, stamp, reason, root])
            .map(drop),
        Fact::Rechecked { recheck } => {
            keep(db, Kept::Recheck, &recheck.hold, e, None, recheck)?;
            if recheck.verdict == VerdictFact::Leaking {
                db.prepare_cached(
                    "INSERT OR IGNORE INTO changed (rig, enclosure, stamp, hold) \
                     VALUES (?1, ?2, ?3, ?4)",
                )?
                .execute(params![root, id, stamp, recheck.hold])?;
            }
            mark(at, MarkKey::Rechecked, &json(recheck)?)
        }
        Fact::RecheckMistyped {
            event,
            reason,
            boot,
        } => db
            .prepare_cached(
                "INSERT OR IGNORE INTO recheck_slip (event, stamp, author, wall_ms, reason, boot) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![
                event,
                stamp,
                e.author,
                wall_ms,
                reason,
                json(boot)?
            ])
            .map(drop),
        Fact::PrepStarted {
            procedure,
            title,
            kind,
            steps,
        } => {
            if !has_its_id(db, e, ["prep", "started"], id)? {
                return Ok(());
            }
            db.prepare_cached(
                "INSERT INTO prep \
                 (id, rig, procedure, title, kind, steps, started, started_ms, author) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (id) DO UPDATE SET \
                 rig = excluded.rig, procedure = excluded.procedure, title = excluded.title, \
                 kind = excluded.kind, steps = excluded.steps, started = excluded.started, \
                 started_ms = excluded.started_ms, author = excluded.author",
            )?
            .execute(params![
                id,
                root,
                procedure,
                title,
                kind.word(),
                json(steps)?,
                stamp,
                wall_ms,
                e.author
            ])
            .map(drop)
        }
        Fact::StepDone { key, value } => mark_step(key, MarkKey::Done, value),
        Fact::StepSkipped { key, reason } => mark_step(key, MarkKey::Skipped, reason),
        Fact::StepReopened { key } => mark_step(key, MarkKey::Reopened, ""),
        Fact::StepSigned { key, look } => {
            let look = if look.is_bare() {
                String::new()
            } else {
                json(look)?
            };
            mark_step(key, MarkKey::Signed(&e.author), &look)
        }
        Fact::WalkedRound {} => mark(At::Rig, MarkKey::Walked, ""),
        Fact::SecondLook { look } => mark(at, MarkKey::Look(&e.author), &json(look)?),
        Fact::MemberRetired { retired } => {
            mark(at, MarkKey::Retired, if *retired { "yes" } else { "no" })
        }
        Fact::MembersJoined { other } => mark(at, MarkKey::Joined(other), ""),
        Fact::PhoneOf { member } => mark(at, MarkKey::PhoneOf, member),
        Fact::CodeSet { code } => mark(at, MarkKey::Code, &json(code)?),
        // Kept by `admission`, whoever said it.
        Fact::DeviceAdmitted { .. }
        | Fact::DeviceDismissed { .. }
        | Fact::DeviceInvited { .. }
        | Fact::DeviceJoined { .. }
        | Fact::DeviceUninvited { .. } => Ok(()),
        Fact::StepPart { key, part, on } => {
            mark_step(key, MarkKey::Part(part), if *on { "yes" } else { "no" })
        }
        Fact::HandedOver { to } => mark(at, MarkKey::Holder, to),
        Fact::PrepEnded { complete, reason } => {
            mark(at, MarkKey::Ended, if *complete { "" } else { reason })
        }
        Fact::DefectOpened {
            at,
            blocks,
            text,
            water,
        } => {
            if !has_its_id(db, e, ["defect", "opened"], id)? {
                return Ok(());
            }
            db.prepare_cached(
                "INSERT INTO defect \
                 (id, rig, at, blocks, water, text, opened, opened_ms, author) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (id) DO UPDATE SET \
                 rig = excluded.rig, at = excluded.at, blocks = excluded.blocks, \
                 water = excluded.water, text = excluded.text, opened = excluded.opened, \
                 opened_ms = excluded.opened_ms, author = excluded.author",
            )?
            .execute(params![
                id, root, at, blocks, water, text, stamp, wall_ms, e.author
            ])?;
            settle_defect(db, id)
        }
        Fact::DefectClosed { how } => {
            db.prepare_cached(
                "INSERT OR IGNORE INTO closing (defect, stamp, wall_ms, how) \
                 VALUES (?1, ?2, ?3, ?4)",
            )?
            .execute(params![id, stamp, wall_ms, how])?;
            settle_defect(db, id)
        }
        Fact::DiveLogged {
            depth_m,
            minutes,
            note,
            salinity_g_kg,
            up: _,
        } => {
            // Where nobody said what water it was, it counts as salt: that wears seals more.
            let salt = salinity_g_kg.is_none_or(|s| s >= SALT_G_KG);
            db.prepare_cached(
                "INSERT OR IGNORE INTO dive (rig, stamp, wall_ms, depth_m, minutes, note, salt) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            )?
            .execute(params![root, stamp, wall_ms, depth_m, minutes, note, salt])?;
            mark(At::Rig, MarkKey::Dived, &format!("{depth_m}"))
        }
        Fact::WaterChosen { water } => mark(At::Rig, MarkKey::Water, &json(water)?),
        Fact::WeightsHung { weight } => {
            let key = super::rig::weight_key(weight.mass_g, weight.volume_cm3);
            mark(at, MarkKey::Hung(&key), &json(weight)?)
        }
        Fact::Trimmed { trim } => mark(At::Rig, MarkKey::Trimmed, &json(trim)?),
        Fact::SeenInWater { seen } => db
            .prepare_cached(
                "INSERT OR IGNORE INTO seen_in_water (rig, stamp, event, wall_ms, author, body) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![
                root,
                stamp,
                e.reference().to_string(),
                wall_ms,
                e.author,
                json(seen)?
            ])
            .map(drop),
        Fact::MemberDefined { name, role } => {
            db.prepare_cached(
                "INSERT INTO member (id, name, role, stamp, writer) VALUES (?1, ?2, ?3, ?4, ?5) \
                 ON CONFLICT (id, writer) DO UPDATE SET name = excluded.name, \
                 role = excluded.role, stamp = excluded.stamp \
                 WHERE substr(excluded.stamp, 17) > substr(member.stamp, 17)",
            )?
            .execute(params![subject.name(), name, json(role)?, stamp, writer])?;
            settle(db, Kind::Member, &[subject.name()])
        }
        Fact::CrewChose { choice, value } => {
            db.prepare_cached(
                "INSERT INTO choice (choice, value, stamp, writer) VALUES (?1, ?2, ?3, ?4) \
                 ON CONFLICT (choice, writer) DO UPDATE SET value = excluded.value, \
                 stamp = excluded.stamp \
                 WHERE substr(excluded.stamp, 17) > substr(choice.stamp, 17)",
            )?
            .execute(params![choice, value, stamp, writer])?;
            settle(db, Kind::Choice, &[choice])
        }
        Fact::ProcedureAdded { source } => {
            db.prepare_cached(
                "INSERT INTO procedure (id, source, stamp, writer) VALUES (?1, ?2, ?3, ?4) \
                 ON CONFLICT (id, writer) DO UPDATE SET source = excluded.source, \
                 stamp = excluded.stamp \
                 WHERE substr(excluded.stamp, 17) > substr(procedure.stamp, 17)",
            )?
            .execute(params![subject.name(), source, stamp, writer])?;
            settle(db, Kind::Procedure, &[subject.name()])
        }
        Fact::PhotoTaken { photo, note } => db
            .prepare_cached(
                "INSERT OR IGNORE INTO photo (rig, subject, stamp, photo, note, wall_ms, author) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            )?
            .execute(params![
                root,
                at.to_string(),
                stamp,
                photo,
                note,
                wall_ms,
                e.author
            ])
            .map(drop),
        Fact::PhotoMarked { mark } => db
            .prepare_cached(
                "INSERT OR IGNORE INTO sketch (photo, stamp, mark, event, wall_ms, author) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![
                subject.id(),
                stamp,
                json(mark)?,
                e.reference().to_string(),
                wall_ms,
                e.author
            ])
            .map(drop),
        Fact::Retracted { event } => retract(db, event),
        Fact::UnreadAnswered { event, note } => mark(At::Rig, MarkKey::UnreadAnswered(event), note),
        Fact::Unknown => unread(db, e, &e.reference().to_string()),
    }
}

/// What is told by each device, with one of them the last.
#[derive(Clone, Copy)]
enum Kind {
    Mark,
    Rig,
    Member,
    Choice,
    Procedure,
}

/// Finds which of the devices' words about one thing is the last: the one that no other's writer had
/// heard of; of several the latest by the clock.
fn settle(db: &Connection, kind: Kind, key: &[&str]) -> rusqlite::Result<()> {
    let (table, by) = match kind {
        Kind::Mark => ("mark", "rig = ?1 AND subject = ?2 AND key = ?3"),
        Kind::Rig => ("rig", "id = ?1"),
        Kind::Member => ("member", "id = ?1"),
        Kind::Choice => ("choice", "choice = ?1"),
        Kind::Procedure => ("procedure", "id = ?1"),
    };
    let told: Vec<(Stamp, bool)> = db
        .prepare_cached(&format!("SELECT stamp, last FROM {table} WHERE {by}"))?
        .query_map(rusqlite::params_from_iter(key), |r| {
            Ok((Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?), r.get(1)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let stamps: Vec<Stamp> = told.iter().map(|(stamp, _)| *stamp).collect();
    let last = last_of(db, &stamps)?;
    let Some(last) = last.filter(|last| told.iter().any(|(s, l)| *l != (s == last))) else {
        return Ok(());
    };
    let at = key.len() + 1;
    let mut params: Vec<&dyn rusqlite::ToSql> = Vec::new();
    for k in key {
        params.push(k);
    }
    let bytes = &last.0[..];
    params.push(&bytes);
    db.prepare_cached(&format!(
        "UPDATE {table} SET last = (stamp = ?{at}) WHERE {by}"
    ))?
    .execute(&params[..])
    .map(drop)
}

/// The one of several that no other's writer had heard of; of several such the latest by the clock.
fn last_of(db: &Connection, stamps: &[Stamp]) -> rusqlite::Result<Option<Stamp>> {
    if let [] | [_] = stamps {
        return Ok(stamps.first().copied());
    }
    Ok(last_among(&Heard::among(db, stamps)?, stamps))
}

/// As [`last_of`], by what is known of who had heard whom.
fn last_among(heard: &Heard, stamps: &[Stamp]) -> Option<Stamp> {
    let last = stamps.iter().filter(|a| heard.is_last(a, stamps));
    // Where each had heard of another (which needs a lie), the latest by the clock.
    last.max().or_else(|| stamps.iter().max()).copied()
}

/// One change of a lot of rings in the box.
fn stock(
    db: &Connection,
    lot: &str,
    stamp: &[u8],
    delta: i64,
    counted: Option<i64>,
) -> rusqlite::Result<()> {
    db.prepare_cached(
        "INSERT OR IGNORE INTO stock (lot, stamp, delta, counted) VALUES (?1, ?2, ?3, ?4)",
    )?
    .execute(params![lot, stamp, delta, counted])
    .map(drop)
}

/// An id is given once. Whether this is the event that counts under it: the first by the clock, in whatever
/// order they are heard of. Any other is nothing that can be counted, and stands in the way of what it is
/// about.
fn has_its_id(
    db: &Connection,
    e: &Event,
    [table, began]: [&str; 2],
    id: &str,
) -> rusqlite::Result<bool> {
    let known: Option<Vec<u8>> = db
        .prepare_cached(&format!("SELECT {began} FROM {table} WHERE id = ?1"))?
        .query_row([id], |r| r.get(0))
        .optional()?;
    let Some(known) = known.map(|k| Stamp::from_bytes(&k)) else {
        return Ok(true);
    };
    let is_first = e.stamp() < known;
    if is_first {
        let other = written_at(db, &known)?;
        if let Some(other) = other
            .map(|of| counted_event(db, &of))
            .transpose()?
            .flatten()
        {
            unread(db, &other, &other.reference().to_string())?;
        }
    } else if e.stamp() > known {
        unread(db, e, &e.reference().to_string())?;
    }
    Ok(is_first)
}

/// A hold begins at an enclosure, given up from the start where there is a reason.
fn begun(
    db: &Connection,
    e: &Event,
    setup: &HoldSetup,
    enclosure: &str,
    given_up: Option<&str>,
) -> rusqlite::Result<()> {
    let subject = Subject::parse(&e.subject);
    if !has_its_id(db, e, ["hold", "started"], subject.id())? {
        return Ok(());
    }
    let stamp = e.stamp();
    db.prepare_cached(
        "INSERT INTO hold (id, rig, enclosure, started, started_ms, author, setup, abandoned, \
         reason) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (id) DO UPDATE SET \
         rig = excluded.rig, enclosure = excluded.enclosure, started = excluded.started, \
         started_ms = excluded.started_ms, author = excluded.author, \
         setup = excluded.setup, abandoned = excluded.abandoned, reason = excluded.reason",
    )?
    .execute(params![
        subject.id(),
        subject.root,
        enclosure,
        &stamp.0[..],
        in_calendar(e.wall_ms),
        e.author,
        json(setup)?,
        given_up.map(|_| &stamp.0[..]),
        given_up,
    ])?;
    settle_verdict(db, subject.id())
}

/// Two verdicts on one hold: the one that covers more of its readings stands; of two that cover as many,
/// the worse; of two equal ones the one that was given knowing the other, else the later by the clock.
fn conclude(db: &Connection, id: &str, e: &Event, result: &HoldResult) -> rusqlite::Result<()> {
    db.prepare_cached(
        "INSERT OR IGNORE INTO conclusion (hold, stamp, wall_ms, result) VALUES (?1, ?2, ?3, ?4)",
    )?
    .execute(params![
        id,
        &e.stamp().0[..],
        in_calendar(e.wall_ms),
        json(result)?
    ])?;
    settle_verdict(db, id)
}

/// Works out which verdict on a hold stands.
fn settle_verdict(db: &Connection, id: &str) -> rusqlite::Result<()> {
    let rank = |v: VerdictFact| match v {
        VerdictFact::Holding => 0,
        VerdictFact::NotYet => 1,
        VerdictFact::Leaking => 2,
    };
    let all: Vec<(Stamp, i64, String)> = db
        .prepare_cached("SELECT stamp, wall_ms, result FROM conclusion WHERE hold = ?1")?
        .query_map([id], |r| {
            Ok((
                Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?),
                r.get(1)?,
                r.get(2)?,
            ))
        })?
        .collect::<rusqlite::Result<_>>()?;
    let results: Vec<Option<HoldResult>> = (all.iter())
        .map(|(.., text)| serde_json::from_str(text).ok())
        .collect();
    let stamps: Vec<Stamp> = all.iter().map(|(stamp, ..)| *stamp).collect();
    let heard = Heard::among(db, &stamps)?;
    // Judged for another question by who knew of it, as when a plan was mistyped, it is no longer the answer;
    // for the same one it stands if it is the worse.
    let answered = |n: usize, of: &HoldResult| {
        let later = |(stamp, result): (&Stamp, &Option<HoldResult>)| {
            result.as_ref().is_some_and(|r| {
                r.covers >= of.covers && !same_question(r, of) && heard.after(stamp, &stamps[n])
            })
        };
        stamps.iter().zip(&results).any(later)
    };
    let mut read: Vec<(_, bool, Stamp, i64, &str)> = Vec::new();
    for (n, (stamp, wall_ms, text)) in all.iter().enumerate() {
        if let Some(result) = &results[n]
            && !answered(n, result)
        {
            let leaking = result.verdict == VerdictFact::Leaking;
            let standing = (result.covers, rank(result.verdict));
            read.push((standing, leaking, *stamp, *wall_ms, text));
        }
    }
    let most = read.iter().map(|(standing, ..)| *standing).max();
    read.retain(|(standing, ..)| Some(*standing) == most);
    let stamps: Vec<Stamp> = read.iter().map(|(_, _, stamp, ..)| *stamp).collect();
    let last = last_among(&heard, &stamps);
    let standing = read.iter().find(|(_, _, stamp, ..)| Some(*stamp) == last);
    db.prepare_cached(
        "UPDATE hold SET concluded = ?2, concluded_ms = ?3, result = ?4, leaking = ?5 WHERE id = ?1",
    )?
    .execute(params![
        id,
        standing.map(|(_, _, stamp, ..)| &stamp.0[..]),
        standing.map(|(_, _, _, wall_ms, _)| wall_ms),
        standing.map(|(.., text)| text),
        standing.is_some_and(|(_, leaking, ..)| *leaking)
    ])
    .map(drop)
}

/// Whether two verdicts on the same readings answer the same question: plan, water, limit, volume and how well it is
/// known.
fn same_question(a: &HoldResult, b: &HoldResult) -> bool {
    a.depth_m == b.depth_m
        && a.minutes == b.minutes
        && a.limit_ml == b.limit_ml
        && a.volume_m3 == b.volume_m3
        && a.volume_sd_m3 == b.volume_sd_m3
        && a.salinity_g_kg == b.salinity_g_kg
        && a.water_k == b.water_k
}

/// Works out which of those who called a defect put right was the last; none leaves it open.
fn settle_defect(db: &Connection, id: &str) -> rusqlite::Result<()> {
    let all: Vec<Stamp> = db
        .prepare_cached("SELECT stamp FROM closing WHERE defect = ?1")?
        .query_map([id], |r| Ok(Stamp::from_bytes(&r.get::<_, Vec<u8>>(0)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let last = last_of(db, &all)?;
    db.prepare_cached(
        "UPDATE defect SET (closed, closed_ms, how) = (SELECT c.stamp, c.wall_ms, c.how \
         FROM (SELECT 1) LEFT JOIN closing c ON c.defect = ?1 AND c.stamp = ?2) WHERE id = ?1",
    )?
    .execute(params![id, last.map(|s| s.0.to_vec())])
    .map(drop)
}

/// What a hold has many of, each with its table.
#[derive(Clone, Copy)]
enum Kept {
    Reading,
    Recheck,
}

/// Keeps a reading or a recheck beside the others of its hold; `nth` counts those that one event brings.
fn keep(
    db: &Connection,
    what: Kept,
    hold: &str,
    e: &Event,
    nth: Option<usize>,
    body: &impl serde::Serialize,
) -> rusqlite::Result<()> {
    let (table, mark) = match what {
        Kept::Reading => ("reading", "#"),
        Kept::Recheck => ("recheck", "#recheck"),
    };
    let mut stamp = e.stamp().0.to_vec();
    let mut event = e.reference().to_string();
    if let Some(n) = nth {
        stamp.extend_from_slice(&(n as u32).to_be_bytes());
        event.push_str(&format!("{mark}{n}"));
    }
    db.prepare_cached(&format!(
        "INSERT OR IGNORE INTO {table} (hold, stamp, event, author, wall_ms, body) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    ))?
    .execute(params![
        hold,
        stamp,
        event,
        e.author,
        in_calendar(e.wall_ms),
        json(body)?
    ])
    .map(drop)
}

/// Keeps what each enclosure was rated to from then on: a dive is judged by the rating of its day.
fn keep_ratings(db: &Connection, rig: &str, stamp: &[u8], def: &RigDef) -> rusqlite::Result<()> {
    for e in &def.enclosures {
        db.prepare_cached(
            "INSERT OR IGNORE INTO rating (rig, enclosure, stamp, rated_m) VALUES (?1, ?2, ?3, ?4)",
        )?
        .execute(params![rig, e.id, stamp, e.depth_rating_m])?;
    }
    Ok(())
}

/// The tables that the fold keeps.
pub const TABLES: [&str; 24] = [
    "mark",
    "rig",
    "rating",
    "opening",
    "hold",
    "reading",
    "reading_aside",
    "prep",
    "defect",
    "member",
    "choice",
    "procedure",
    "photo",
    "sketch",
    "dive",
    "stock",
    "seen_in_water",
    "retracted",
    "unread",
    "recheck",
    "recheck_slip",
    "changed",
    "conclusion",
    "closing",
];

/// Folds everything anew: for a file whose tables an earlier version kept in another way. Reads all
/// events once.
///
/// # Errors
/// What SQLite says.
pub fn fold_anew(db: &Connection) -> rusqlite::Result<()> {
    fold_anew_while(db, |_| Ok(()))
}

/// As [`fold_anew`], as long as `goes_on` says so of each event.
///
/// # Errors
/// What SQLite says, and what `goes_on` gave.
pub fn fold_anew_while<E: From<rusqlite::Error>>(
    db: &Connection,
    mut goes_on: impl FnMut(&Event) -> Result<(), E>,
) -> Result<(), E> {
    for table in TABLES {
        db.execute(&format!("DELETE FROM {table}"), [])?;
    }
    each_event(db, |event| {
        goes_on(&event)?;
        Ok::<_, E>(apply(db, &event)?)
    })?;
    each_apart(db, |event| came_in(db, Place::Apart, &event).map(drop))?;
    Ok(())
}

/// Takes evidence back, and lets what stood before it stand again.
fn retract(db: &Connection, reference: &str) -> rusqlite::Result<()> {
    let Ok(parsed) = reference.parse::<EventRef>() else {
        return Ok(());
    };
    db.prepare_cached("INSERT OR IGNORE INTO retracted (event) VALUES (?1)")?
        .execute([reference])?;
    let Some(event) = counted_event(db, &parsed)? else {
        return Ok(());
    };
    let fact = fact_of(&event);
    if !fact.can_be_retracted() {
        return Ok(());
    }
    let subject = Subject::parse(&event.subject);
    let stamp = event.stamp();
    let writer = &stamp.writer().0[..];
    let stamp = &stamp.0[..];
    let path = match &fact {
        Fact::StepDone { key, .. } | Fact::StepPart { key, .. } | Fact::StepSigned { key, .. } => {
            step_of(subject.at, key)
        }
        _ => subject.at.to_string(),
    };
    let gone: Vec<String> = db
        .prepare_cached(
            "DELETE FROM mark WHERE rig = ?1 AND subject = ?2 AND stamp = ?3 AND key <> ?4 \
             RETURNING key",
        )?
        .query_map(
            params![subject.root, path, stamp, MarkKey::Touched.to_string()],
            |r| r.get(0),
        )?
        .collect::<rusqlite::Result<_>>()?;
    for key in &gone {
        settle(db, Kind::Mark, &[subject.root, &path, key])?;
    }
    match fact {
        Fact::HoldConcluded { .. } => {
            db.execute(
                "DELETE FROM conclusion WHERE hold = ?1 AND stamp = ?2",
                params![subject.id(), stamp],
            )?;
            settle_verdict(db, subject.id())?;
        }
        Fact::Rechecked { ref recheck } => {
            db.execute(
                "DELETE FROM recheck WHERE hold = ?1 AND stamp = ?2",
                params![recheck.hold, stamp],
            )?;
        }
        Fact::DefectClosed { .. } => {
            db.execute(
                "DELETE FROM closing WHERE defect = ?1 AND stamp = ?2",
                params![subject.id(), stamp],
            )?;
            settle_defect(db, subject.id())?;
        }
        Fact::PhotoTaken { .. } => {
            db.execute(
                "DELETE FROM photo WHERE rig = ?1 AND subject = ?2 AND stamp = ?3",
                params![subject.root, path, stamp],
            )?;
        }
        Fact::PhotoMarked { .. } => {
            db.execute(
                "DELETE FROM sketch WHERE photo = ?1 AND stamp = ?2",
                params![subject.id(), stamp],
            )?;
        }
        Fact::SealFitted { lot: Some(lot), .. } => {
            db.execute(
                "DELETE FROM stock WHERE lot = ?1 AND stamp = ?2",
                params![lot, stamp],
            )?;
        }
        Fact::RingsStocked { .. } | Fact::RingsTaken { .. } | Fact::RingsCounted { .. } => {
            db.execute(
                "DELETE FROM stock WHERE lot = ?1 AND stamp = ?2",
                params![subject.id(), stamp],
            )?;
        }
        Fact::SeenInWater { .. } => {
            db.execute(
                "DELETE FROM seen_in_water WHERE rig = ?1 AND stamp = ?2",
                params![subject.root, stamp],
            )?;
            stays_so(db, &event, &fact)?;
        }
        Fact::DiveLogged { .. } => {
            db.execute(
                "DELETE FROM dive WHERE rig = ?1 AND stamp = ?2",
                params![subject.root, stamp],
            )?;
        }
        _ => {}
    }
    // Another device's word stands beside it; its own before it stands again, however long ago that was.
    let mut missing = gone;
    if missing.is_empty() {
        return Ok(());
    }
    let alike = |kind: &str| {
        kind == event.kind || (kind.starts_with(OF_A_RING) && event.kind.starts_with(OF_A_RING))
    };
    each_before(db, &event, |older| {
        if !alike(&older.kind) {
            return Ok(ControlFlow::Continue(()));
        }
        let said = fact_of(&older);
        if said.can_be_retracted() && is_retracted(db, &older.reference().to_string())? {
            return Ok(ControlFlow::Continue(()));
        }
        apply_fact(db, &older, &said)?;
        let mut still = Vec::new();
        for key in missing.drain(..) {
            let there = db
                .prepare_cached(
                    "SELECT 1 FROM mark WHERE rig = ?1 AND subject = ?2 AND key = ?3 AND writer = ?4",
                )?
                .exists(params![subject.root, path, key, writer])?;
            if !there {
                still.push(key);
            }
        }
        missing = still;
        Ok(if missing.is_empty() {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        })
    })
}

/// Whether an event was taken back.
///
/// # Errors
/// What SQLite says.
pub fn is_retracted(db: &Connection, reference: &str) -> rusqlite::Result<bool> {
    db.prepare_cached("SELECT 1 FROM retracted WHERE event = ?1")?
        .exists([reference])
}

fn json<T: serde::Serialize>(value: &T) -> rusqlite::Result<String> {
    serde_json::to_string(value).map_err(|e| rusqlite::Error::ToSqlConversionFailure(e.into()))
}

#[cfg(test)]
mod tests {
    use super::super::book::Book;
    use super::super::schema;
    use slackwater_journal::{Env, FixedClock, SeededEntropy};
    use std::sync::Arc;

    #[test]
    fn what_an_older_version_could_not_read_is_read_by_the_next() {
        let dir = tempfile::tempdir().unwrap();
        let env = || Env {
            clock: Arc::new(FixedClock::at(1_780_000_000_000)),
            entropy: Arc::new(SeededEntropy::new(1)),
            device_seed: None,
        };
        let mut book = Book::open(dir.path(), env()).unwrap();
        let rig = book.create_from_template("single-housing", "Rig").unwrap();
        let event = book.plug_off(&rig, "main").unwrap().events[0].to_string();
        drop(book);
        // As an older version would have left it: heard of, and not understood.
        let file = std::fs::read_dir(dir.path())
            .unwrap()
            .map(|f| f.unwrap().path())
            .find(|p| p.extension().is_some_and(|e| e == "db"))
            .unwrap();
        let db = rusqlite::Connection::open(file).unwrap();
        let version: i64 = db
            .query_row("PRAGMA user_version", [], |r| r.get(0))
            .unwrap();
        assert_eq!(version, schema::VERSION);
        db.execute("DELETE FROM mark WHERE key = 'plug_off'", [])
            .unwrap();
        db.execute(
            "INSERT INTO unread VALUES (?1, ?2, 'plug_off', x'00', 0, '')",
            [&event, &rig],
        )
        .unwrap();
        drop(db);
        let book = Book::open(dir.path(), env()).unwrap();
        let facts = book.rig(&rig).unwrap();
        assert!(facts.enclosure("main").unwrap().plug_off.is_some());
        assert_eq!(facts.unread, []);
    }
}
