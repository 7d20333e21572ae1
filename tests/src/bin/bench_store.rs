//! What the store costs: durable appends against SQLite's own, opening and every screen at growing
//! numbers of events, memory, and the size of the library.
//!
//! `bench_store [EVENTS...]` (10 000, 100 000 and 1 000 000 if none are named); run in release. The
//! stores are made of real days: one dive day is worked through the book, and its facts are
//! recorded again and again for three rigs, at later times and under new ids, through the same fold.
//! Each screen is timed after a change, when nothing of it is cached, and again at once.
//!
//! `bench_store make FOLDER EVENTS` makes such a store and leaves it; `bench_store show FOLDER` times
//! the screens of one, for looking into a slow query, and `bench_store admission FOLDER` what it costs
//! another phone that it doesn't know that one.
//!
//! Exit status 1 where a screen's 99th percentile is 2 ms or more, or memory 64 MiB or more.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode};
use std::sync::Arc;
use std::time::{Duration, Instant};

use slackwater_checks::drive::{Day, MORNING_MS, env, one_crew, png};
use slackwater_core::domain::book::{Book, BookFault};
use slackwater_core::domain::facts::{Fact, ReadingFact, Role};
use slackwater_core::journal::store::IngestFault;
use slackwater_core::journal::{Clock, FixedClock, JournalFault};
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;

type Failure = Box<dyn std::error::Error>;

/// Most that a screen may take, at the 99th percentile.
const SCREEN_MOST: Duration = Duration::from_millis(2);
/// Most memory, KiB.
const MEMORY_MOST: u64 = 64 * 1024;
/// Times that each screen is shown.
const SHOWN: usize = 300;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let result = match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["memory", folder] => memory(Path::new(folder)).map(|()| true),
        ["make", folder, events] => make_only(Path::new(folder), events),
        ["show", folder] => show_only(Path::new(folder)),
        ["admission", folder] => {
            let folder = Path::new(folder);
            after_all(folder).and_then(|now| admission(folder, now).map(|()| true))
        }
        _ => {
            let sizes: Result<Vec<u64>, _> = arguments.iter().map(|a| a.parse()).collect();
            match sizes {
                Ok(sizes) if sizes.is_empty() => all(&[10_000, 100_000, 1_000_000]),
                Ok(sizes) => all(&sizes),
                Err(e) => Err(format!("a number of events is wanted: {e}").into()),
            }
        }
    };
    match result {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(e) => {
            eprintln!("bench_store: {e}");
            ExitCode::from(2)
        }
    }
}

fn make_only(folder: &Path, events: &str) -> Result<bool, Failure> {
    let made = make(folder, events.parse()?)?;
    println!("{} events", made.events);
    Ok(true)
}

/// A minute after the newest event of a store, ms.
fn after_all(folder: &Path) -> Result<i64, Failure> {
    let book = Book::open(folder, env(&Arc::new(FixedClock::at(0)), 2))?;
    Ok(book.journal().newest().ms() + 60_000)
}

fn show_only(folder: &Path) -> Result<bool, Failure> {
    let mut good = true;
    screens(folder, after_all(folder)?, &mut good)?;
    Ok(good)
}

fn all(sizes: &[u64]) -> Result<bool, Failure> {
    if cfg!(debug_assertions) {
        eprintln!("not a release build: the times mean little");
    }
    append()?;
    let mut good = true;
    let mut first: Option<Vec<(&'static str, Duration)>> = None;
    for &events in sizes {
        let dir = tempfile::tempdir()?;
        let made = make(dir.path(), events)?;
        let size: u64 = fs::metadata(dir.path().join("slackwater.db"))?.len();
        println!(
            "\n{} events, {} preps, {} holds, {:.0} MB, made in {:.0} s",
            made.events,
            made.preps,
            made.holds,
            size as f64 / 1e6,
            made.took.as_secs_f64()
        );
        opening(dir.path(), made.now_ms)?;
        let medians = screens(dir.path(), made.now_ms, &mut good)?;
        match &first {
            None => first = Some(medians),
            Some(before) => {
                let ratios = before
                    .iter()
                    .zip(&medians)
                    .map(|(a, b)| b.1.as_secs_f64() / a.1.as_secs_f64());
                println!(
                    "  medians against {} events: {:.2} to {:.2} times",
                    sizes[0],
                    ratios.clone().fold(f64::INFINITY, f64::min),
                    ratios.fold(0.0, f64::max)
                );
            }
        }
        good &= memory_of_child(dir.path())?;
        admission(dir.path(), made.now_ms)?;
        if events == sizes[0] {
            photos(dir.path(), made.now_ms, &mut good)?;
        }
    }
    library()?;
    Ok(good)
}

fn percentile(times: &mut [Duration], percent: usize) -> Duration {
    times.sort_unstable();
    times
        .get((times.len() * percent / 100).min(times.len().saturating_sub(1)))
        .copied()
        .unwrap_or_default()
}

fn micros(d: Duration) -> f64 {
    d.as_secs_f64() * 1e6
}

// ---- appending ----

/// One fact a transaction, synced, by the book and by SQLite alone, in turn.
fn append() -> Result<(), Failure> {
    let dir = tempfile::tempdir()?;
    let mut day = Day::dry_parts(dir.path())?;
    let raw = rusqlite::Connection::open(dir.path().join("raw.db"))?;
    raw.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA cache_size = -8192; \
         CREATE TABLE event (row INTEGER PRIMARY KEY, device INTEGER NOT NULL, \
         seq INTEGER NOT NULL, hlc INTEGER NOT NULL, wall_ms INTEGER NOT NULL, \
         author TEXT NOT NULL, root TEXT NOT NULL, subject TEXT NOT NULL, kind TEXT NOT NULL, \
         body BLOB NOT NULL, prev BLOB NOT NULL, hash BLOB NOT NULL, signature BLOB NOT NULL) \
         STRICT;",
    )?;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    let rig = day.rig.clone();
    for n in 0..400_i64 {
        day.clock.advance(1_000);
        let fact = Fact::ControlTested {
            works: false,
            note: "stiff".into(),
        };
        let body = serde_json::to_vec(&fact)?;
        let start = Instant::now();
        day.book
            .record(vec![(format!("{rig}/control/record"), fact)])?;
        ours.push(start.elapsed());
        let start = Instant::now();
        raw.prepare_cached(
            "INSERT INTO event (device, seq, hlc, wall_ms, author, root, subject, kind, body, \
             prev, hash, signature) VALUES (1, ?1, ?1, ?1, ?2, ?3, ?4, 'control_tested', ?5, \
             zeroblob(32), zeroblob(32), zeroblob(64))",
        )?
        .execute(rusqlite::params![
            n,
            day.assistant,
            rig,
            format!("{rig}/control/record"),
            body
        ])?;
        theirs.push(start.elapsed());
    }
    let (a, b) = (percentile(&mut ours, 50), percentile(&mut theirs, 50));
    println!(
        "durable append: {:.0} µs (99 %: {:.0}); SQLite alone {:.0} µs (99 %: {:.0}); {:.2} times",
        micros(a),
        micros(percentile(&mut ours, 99)),
        micros(b),
        micros(percentile(&mut theirs, 99)),
        a.as_secs_f64() / b.as_secs_f64()
    );
    // What the book adds is seen without the disk.
    for db in [day.book.journal().read(), &raw] {
        db.execute_batch("PRAGMA synchronous = OFF")?;
    }
    let mut times = Vec::new();
    for _ in 0..2_000 {
        day.clock.advance(1_000);
        let fact = Fact::ControlTested {
            works: false,
            note: "stiff".into(),
        };
        let start = Instant::now();
        day.book
            .record(vec![(format!("{rig}/control/record"), fact)])?;
        times.push(start.elapsed());
    }
    println!(
        "  without waiting for the disk: {:.0} µs (sign, insert, fold)",
        micros(percentile(&mut times, 50))
    );
    Ok(())
}

// ---- who may write ----

/// What it costs that a phone isn't known: taking its store in apart and as one of the crew's, what would
/// change, saying yes, opening beside it, and taking out again what counted.
fn admission(folder: &Path, now_ms: i64) -> Result<(), Failure> {
    let clock = Arc::new(FixedClock::at(now_ms));
    let theirs = Book::open(folder, env(&clock, 3))?;
    let device = theirs.journal().device();
    let mut events = Vec::new();
    theirs.journal().each_event(|e| {
        events.push(e);
        Ok::<_, JournalFault>(())
    })?;
    drop(theirs);
    let per = |d: Duration| micros(d) / events.len() as f64;
    let take = |book: &mut Book| -> Result<Duration, Failure> {
        let start = Instant::now();
        book.ingest_all(events.iter().cloned().map(Ok::<_, IngestFault>))?;
        Ok(start.elapsed())
    };
    let (apart, known) = (tempfile::tempdir()?, tempfile::tempdir()?);
    let mut book = Book::open(apart.path(), env(&clock, 4))?;
    let kept_apart = take(&mut book)?;
    drop(book);
    let start = Instant::now();
    let mut book = Book::open(apart.path(), env(&clock, 4))?;
    let opened = start.elapsed();
    let start = Instant::now();
    book.if_admitted(&[device])?;
    let told = start.elapsed();
    let start = Instant::now();
    book.admit(&[device])?;
    let admitted = start.elapsed();
    let mut book = Book::open(known.path(), env(&clock, 5))?;
    book.admit(&[device])?;
    let taken = take(&mut book)?;
    // Another phone of the crew had come less far when it dismissed it.
    let there = tempfile::tempdir()?;
    let mut other = Book::open(there.path(), env(&clock, 6))?;
    let who = book.members()?.first().map(|m| m.id.clone());
    book.hold_phone(&who.unwrap_or_default())?;
    one_crew(&mut book, &mut other)?;
    other.admit(&[device])?;
    let but_one = events.iter().take(events.len() - 1).cloned();
    other.ingest_all(but_one.map(Ok::<_, IngestFault>))?;
    let who = other.members()?.first().map(|m| m.id.clone());
    other.hold_phone(&who.unwrap_or_default())?;
    other.dismiss(&[device])?;
    let mut words = Vec::new();
    other.journal().each_event(|e| {
        words.extend((e.device != device).then_some(e));
        Ok::<_, JournalFault>(())
    })?;
    let start = Instant::now();
    for word in &words {
        book.ingest(word)?;
    }
    let dismissed = start.elapsed();
    println!(
        "  a phone of {} events: taken in as known {:.0} µs an event, apart {:.0}; opened beside it in \
         {:.2} ms; what would change told in {:.0} ms; admitted in {:.0} ms ({:.0} µs an event); \
         dismissed and all folded anew in {:.0} ms",
        events.len(),
        per(taken),
        per(kept_apart),
        opened.as_secs_f64() * 1e3,
        told.as_secs_f64() * 1e3,
        admitted.as_secs_f64() * 1e3,
        per(admitted),
        dismissed.as_secs_f64() * 1e3,
    );
    Ok(())
}

// ---- stores of real days ----

/// One recorded fact of the model day.
struct Line {
    after_ms: i64,
    by_dp: bool,
    subject: String,
    body: String,
}

/// The facts of the model day, the ids made on it, and those of the rig, the assistant and the DP.
type ModelDay = (Vec<Line>, BTreeSet<String>, [String; 3]);

/// A dive day: built, proved, rechecked, dived, cared for, with a defect found and put right.
fn model_day() -> Result<ModelDay, Failure> {
    let dir = tempfile::tempdir()?;
    let mut day = Day::dry_parts(dir.path())?;
    day.book
        .journal()
        .read()
        .execute_batch("PRAGMA synchronous = OFF")?;
    let before = day.book.journal().count(None)?;
    let start = day.clock.now_ms();
    day.ready()?;
    let rig = day.rig.clone();
    day.minutes(50);
    day.book.log_dive(&rig, 18.0, 48.0, "Hung level")?;
    let care = day.book.start_prep(&rig, "after-dive")?;
    day.work(&care, None)?;
    day.book.end_prep(&care, "")?;
    let defect = day
        .book
        .open_defect(&rig, "enclosure/main", true, false, "Left knob stiff")?;
    day.minutes(20);
    day.book.close_defect(&rig, &defect, "Shaft greased")?;
    let mut lines = Vec::new();
    let mut ids = BTreeSet::new();
    let mut cursor = None;
    'pages: loop {
        let page = day.book.journal().page(None, cursor, 500)?;
        let Some(last) = page.last() else { break };
        cursor = Some(last.cursor);
        for entry in page {
            let e = entry.event;
            if e.seq <= before {
                break 'pages;
            }
            let mut parts = e.subject.split('/').skip(1);
            if let (Some("prep" | "hold" | "defect"), Some(id)) = (parts.next(), parts.next()) {
                ids.insert(id.to_owned());
            }
            lines.push(Line {
                after_ms: e.wall_ms - start,
                by_dp: e.author == day.dp,
                subject: e.subject,
                body: String::from_utf8(e.body)?,
            });
        }
    }
    lines.reverse();
    Ok((lines, ids, [day.rig, day.assistant, day.dp]))
}

struct Made {
    events: u64,
    preps: i64,
    holds: i64,
    now_ms: i64,
    took: Duration,
}

/// Days on three rigs in turn until there are `events`.
fn make(folder: &Path, events: u64) -> Result<Made, Failure> {
    let began = Instant::now();
    let (lines, ids, [rig, assistant, dp]) = model_day()?;
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    // Other randomness than the model day's: an id must not stand for two things.
    let mut book = Book::open(folder, env(&clock, 99))?;
    // Nobody's evidence: the disk is waited for once, at the end.
    book.journal()
        .read()
        .execute_batch("PRAGMA synchronous = OFF")?;
    let noor = book.add_member("Noor", Role::Assistant)?;
    let ilse = book.add_member("Ilse", Role::Dp)?;
    book.hold_phone(&noor)?;
    let mut rigs = Vec::new();
    for name in ["Reef rig", "Wreck rig", "Pool rig"] {
        rigs.push(book.create_from_template("housing-and-monitor", name)?);
    }
    book.photos().put(&png())?;
    let last = lines.last().map_or(0, |l| l.after_ms);
    let mut recorded = book.journal().count(None)?;
    let mut day = 0_usize;
    'days: loop {
        let new_rig = &rigs[day % rigs.len()];
        let start = MORNING_MS + 60_000 + day as i64 * (last + 3_600_000);
        let renamed = |text: &str| {
            let mut text = text
                .replace(&rig, new_rig)
                .replace(&assistant, &noor)
                .replace(&dp, &ilse);
            for (n, id) in ids.iter().enumerate() {
                text = text.replace(id, &format!("day{day:09}thing{n:09}"));
            }
            text
        };
        let mut batch = Vec::new();
        // A new set of rings every hundred days, as limits ask for.
        if (day / rigs.len()).is_multiple_of(100) {
            let def = book.rig(new_rig)?.def.clone();
            for seal in &def.seals {
                let fact = Fact::SealFitted {
                    pack: String::new(),
                    cured: String::new(),
                    fitted_ms: None,
                    lot: None,
                    found: None,
                    ring: None,
                };
                batch.push((format!("{new_rig}/seal/{}", seal.id), fact));
            }
        }
        for (n, line) in lines.iter().enumerate() {
            let fact: Fact = serde_json::from_str(&renamed(&line.body))?;
            batch.push((renamed(&line.subject), fact));
            let next = lines.get(n + 1);
            if batch.len() >= 50 || next.is_none_or(|l| l.by_dp != line.by_dp) {
                clock.set(start + line.after_ms);
                recorded += batch.len() as u64;
                let author = if line.by_dp { &ilse } else { &noor };
                book.record_as(author, std::mem::take(&mut batch))?;
                if recorded >= events {
                    break 'days;
                }
            }
        }
        day += 1;
    }
    clock.advance(60_000);
    let one = |sql: &str| book.journal().read().query_row(sql, [], |r| r.get(0));
    let made = Made {
        events: recorded,
        preps: one("SELECT count(*) FROM prep")?,
        holds: one("SELECT count(*) FROM hold")?,
        now_ms: clock.now_ms(),
        took: began.elapsed(),
    };
    drop(book);
    Ok(made)
}

// ---- opening and showing ----

fn open(folder: &Path, now_ms: i64) -> Result<(Book, Arc<FixedClock>), BookFault> {
    let clock = Arc::new(FixedClock::at(now_ms));
    Ok((Book::open(folder, env(&clock, 2))?, clock))
}

fn opening(folder: &Path, now_ms: i64) -> Result<(), Failure> {
    let (mut times, mut with_first) = (Vec::new(), Vec::new());
    for _ in 0..60 {
        let start = Instant::now();
        let (book, _) = open(folder, now_ms)?;
        times.push(start.elapsed());
        Desk::new(book, 120).show(&Place::Rigs { form: None })?;
        with_first.push(start.elapsed());
    }
    println!(
        "  opening: {:.2} ms (99 %: {:.2}); to the first screen {:.2} ms",
        micros(percentile(&mut times, 50)) / 1e3,
        micros(percentile(&mut times, 99)) / 1e3,
        micros(percentile(&mut with_first, 50)) / 1e3,
    );
    Ok(())
}

/// Every kind of screen, of the things used last.
fn places(book: &Book) -> Result<Vec<(&'static str, Place)>, Failure> {
    let one = |sql: &str| -> rusqlite::Result<String> {
        book.journal().read().query_row(sql, [], |r| r.get(0))
    };
    let hold = one("SELECT id FROM hold ORDER BY started DESC LIMIT 1")?;
    let prep = one("SELECT id FROM prep WHERE kind = 'build' ORDER BY started DESC LIMIT 1")?;
    let rig = one("SELECT rig FROM prep WHERE kind = 'build' ORDER BY started DESC LIMIT 1")?;
    let entry = book.journal().page(None, None, 1)?;
    let entry = entry.first().ok_or("no entries")?.event.reference();
    // The middle of the season.
    let desk_page = |rig: Option<String>, before: Option<String>| Place::Journal { rig, before };
    let middle: (i64, i64) = {
        let newest: i64 =
            book.journal()
                .read()
                .query_row("SELECT max(row) FROM event", [], |r| r.get(0))?;
        book.journal().read().query_row(
            "SELECT hlc, row FROM event WHERE row = ?1",
            [newest / 2],
            |r| Ok((r.get(0)?, r.get(1)?)),
        )?
    };
    let middle = format!("{}:{}", middle.0, middle.1);
    let r = || rig.clone();
    Ok(vec![
        ("rigs", Place::Rigs { form: None }),
        (
            "rig",
            Place::Rig {
                rig: r(),
                form: None,
            },
        ),
        (
            "controls",
            Place::Rig {
                rig: r(),
                form: Some("controls".into()),
            },
        ),
        (
            "editor",
            Place::RigEdit {
                rig: r(),
                part: None,
            },
        ),
        (
            "step",
            Place::Prep {
                prep: prep.clone(),
                step: None,
                form: None,
            },
        ),
        (
            "all steps",
            Place::Prep {
                prep,
                step: None,
                form: Some("steps".into()),
            },
        ),
        (
            "hold setup",
            Place::HoldSetup {
                rig: r(),
                enclosure: "main".into(),
            },
        ),
        ("hold", Place::Hold { hold, form: None }),
        ("recheck", Place::Recheck { rig: r() }),
        ("seals", Place::Seals { rig: r() }),
        (
            "seal",
            Place::Seal {
                rig: r(),
                seal: "main-back".into(),
                form: None,
            },
        ),
        ("journal", desk_page(None, None)),
        ("journal, middle", desk_page(None, Some(middle.clone()))),
        ("journal of rig", desk_page(Some(r()), None)),
        ("of rig, middle", desk_page(Some(r()), Some(middle))),
        (
            "entry",
            Place::Entry {
                event: entry.to_string(),
            },
        ),
        ("crew", Place::Crew { form: None }),
    ])
}

/// Changes something that empties every cache: a choice of the crew, and a reading of a hold that
/// is nobody's.
fn change(book: &mut Book, n: usize) -> Result<(), BookFault> {
    let reading = ReadingFact {
        t_s: n as f64,
        gauge_pa: 20_000.0,
        ..ReadingFact::default()
    };
    book.record(vec![
        (
            "crew".into(),
            Fact::CrewChose {
                choice: "bench".into(),
                value: n.to_string(),
            },
        ),
        ("bench/hold/bench".into(), Fact::HoldReading { reading }),
    ])?;
    Ok(())
}

fn screens(
    folder: &Path,
    now_ms: i64,
    good: &mut bool,
) -> Result<Vec<(&'static str, Duration)>, Failure> {
    let (book, clock) = open(folder, now_ms)?;
    book.journal()
        .read()
        .execute_batch("PRAGMA synchronous = OFF")?;
    let places = places(&book)?;
    let mut desk = Desk::new(book, 120);
    println!("  screen            after a change: median   99 %    most    again   µs");
    let mut medians = Vec::new();
    for (name, place) in places {
        let (mut fresh, mut again) = (Vec::new(), Vec::new());
        for n in 0..SHOWN {
            clock.advance(1_000);
            change(desk.book_mut(), n)?;
            let start = Instant::now();
            let screen = desk.show(&place)?;
            fresh.push(start.elapsed());
            let start = Instant::now();
            desk.show(&place)?;
            again.push(start.elapsed());
            if let Screen::Journal { screen } = &screen
                && screen.entries.is_empty()
            {
                return Err(format!("{name}: an empty page").into());
            }
        }
        let worst = percentile(&mut fresh, 99);
        let slow = worst >= SCREEN_MOST;
        *good &= !slow;
        println!(
            "  {name:32} {:8.0} {:7.0} {:7.0} {:8.0}{}",
            micros(percentile(&mut fresh, 50)),
            micros(worst),
            micros(percentile(&mut fresh, 100)),
            micros(percentile(&mut again, 50)),
            if slow { "   SLOW" } else { "" }
        );
        medians.push((name, percentile(&mut fresh, 50)));
    }
    Ok(medians)
}

// ---- photos ----

/// 500 photos of 4 MB of one rig, then the same screens.
fn photos(folder: &Path, now_ms: i64, good: &mut bool) -> Result<(), Failure> {
    let (mut book, _) = open(folder, now_ms + 86_400_000)?;
    book.journal()
        .read()
        .execute_batch("PRAGMA synchronous = OFF")?;
    let rig: String = book.journal().read().query_row(
        "SELECT rig FROM prep WHERE kind = 'build' ORDER BY started DESC LIMIT 1",
        [],
        |r| r.get(0),
    )?;
    let mut picture = Vec::new();
    image::RgbImage::from_fn(64, 48, |x, y| image::Rgb([x as u8, y as u8, 90])).write_to(
        &mut std::io::Cursor::new(&mut picture),
        image::ImageFormat::Jpeg,
    )?;
    // Behind the picture's end a decoder reads nothing; the file is 4 MB all the same.
    picture.resize(4_000_000, 0);
    let start = Instant::now();
    for n in 0..500_u32 {
        let mut bytes = picture.clone();
        bytes.extend(n.to_le_bytes());
        book.add_photo(&rig, &format!("photo {n}"), &bytes)?;
    }
    println!(
        "  500 photos of 4 MB kept, {:.0} ms each (hashed, written, drawn small)",
        start.elapsed().as_secs_f64() * 2.0
    );
    drop(book);
    opening(folder, now_ms + 86_400_000)?;
    screens(folder, now_ms + 86_400_000, good)?;
    *good &= memory_of_child(folder)?;
    Ok(())
}

// ---- memory and size ----

fn peak_kib() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Opens a store, shows every screen, leafs through the journal, records; says the peak.
fn memory(folder: &Path) -> Result<(), Failure> {
    let before = peak_kib().ok_or("the system does not tell peak memory")?;
    let (book, clock) = open(folder, after_all(folder)?)?;
    let places = places(&book)?;
    let mut desk = Desk::new(book, 120);
    for n in 0..20 {
        for (_, place) in &places {
            desk.show(place)?;
        }
        clock.advance(1_000);
        change(desk.book_mut(), n)?;
    }
    let mut before_page = None;
    for _ in 0..100 {
        let place = Place::Journal {
            rig: None,
            before: before_page,
        };
        let Screen::Journal { screen } = desk.show(&place)? else {
            return Err("another screen".into());
        };
        before_page = screen.older;
    }
    let peak = peak_kib().ok_or("the system does not tell peak memory")?;
    println!("{before} {peak}");
    Ok(())
}

fn memory_of_child(folder: &Path) -> Result<bool, Failure> {
    let out = Command::new(std::env::current_exe()?)
        .arg("memory")
        .arg(folder)
        .output()?;
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    let numbers: Vec<u64> = said
        .split_whitespace()
        .filter_map(|w| w.parse().ok())
        .collect();
    let [before, peak] = numbers[..] else {
        println!(
            "  memory: not measured: {}",
            String::from_utf8_lossy(&out.stderr).trim()
        );
        return Ok(false);
    };
    println!(
        "  peak memory of a process that shows every screen: {:.1} MiB ({:.1} before opening)",
        peak as f64 / 1024.0,
        before as f64 / 1024.0
    );
    Ok(peak < MEMORY_MOST)
}

/// The library that the shells load, if it was built beside this program.
fn library() -> Result<(), Failure> {
    let here = std::env::current_exe()?;
    let folder = here.parent().ok_or("no folder")?;
    let built = ["libslackwater.so", "libslackwater.dylib", "slackwater.dll"]
        .map(|name| folder.join(name))
        .into_iter()
        .find(|p| p.exists());
    let Some(built) = built else {
        println!("\nlibrary: not built; cargo build --release -p slackwater-ffi");
        return Ok(());
    };
    let dir = tempfile::tempdir()?;
    let stripped = dir.path().join("library");
    fs::copy(&built, &stripped)?;
    let done = Command::new("strip").arg(&stripped).status();
    let full = fs::metadata(&built)?.len() as f64 / 1e6;
    match done {
        Ok(s) if s.success() => println!(
            "\nlibrary: {:.2} MB stripped ({full:.2} MB as built)",
            fs::metadata(&stripped)?.len() as f64 / 1e6
        ),
        _ => println!("\nlibrary: {full:.2} MB; there is no `strip` here"),
    }
    Ok(())
}
