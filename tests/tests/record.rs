//! The record can't lose what it acknowledged without saying so.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use slackwater_checks::disk::check::{Acknowledged, Found, look};
use slackwater_checks::drive::{Day, env, one_crew, tell};
use slackwater_checks::walk::copy_folder;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::journal::{Clock, Event, FixedClock, JournalFault};
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::{Line, Place};
use slackwater_core::screens::desk::Desk;

/// A rig that was ready and was opened since, as the files lie there when the phone dies: with all of it
/// in the write-ahead log, the last of it damaged.
fn damaged(day: &mut Day, from: &Path, to: &Path) {
    let rig = day.rig.clone();
    day.book
        .journal()
        .read()
        .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .unwrap();
    day.book.open_closure(&rig, "main", None).unwrap();
    for file in fs::read_dir(from).unwrap() {
        let file = file.unwrap().path();
        if file.is_file() && !file.to_string_lossy().ends_with(".lock") {
            fs::copy(&file, to.join(file.file_name().unwrap())).unwrap();
        }
    }
    let log = to.join("slackwater.db-wal");
    let mut bytes = fs::read(&log).unwrap();
    assert!(bytes.len() > 4_096);
    // The first frame after the log's header: SQLite takes the log to be empty.
    bytes[32 + 24 + 100] ^= 1;
    fs::write(&log, bytes).unwrap();
}

/// As the phone lies there with its last entries in the log: where they are, and what was acknowledged.
fn with_a_log() -> (tempfile::TempDir, Day, Acknowledged) {
    let dir = memory();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    assert_eq!(missing(&day.book, &day.rig), []);
    let rig = day.rig.clone();
    let all = "PRAGMA wal_checkpoint(TRUNCATE)";
    let db = day.book.journal().read();
    db.query_row(all, [], |_| Ok(())).unwrap();
    day.book.open_closure(&rig, "main", None).unwrap();
    day.book
        .open_defect(&rig, "enclosure/main", true, false, "a nick")
        .unwrap();
    day.book.log_dive(&rig, 12.0, 30.0, "").unwrap();
    let mut acknowledged = Acknowledged::new();
    let read = day.book.journal().each_event(|e| {
        acknowledged.insert(e.reference(), e.hash);
        Ok::<_, JournalFault>(())
    });
    read.unwrap();
    (dir, day, acknowledged)
}

fn memory() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap()
}

/// What comes of logs that are no longer what was written: how each store is found, and how often the rig is
/// ready.
fn spoiled(
    logs: impl IntoIterator<Item = Vec<u8>>,
    dir: &Path,
    (rig, now_ms): (&str, i64),
    acknowledged: &Acknowledged,
) -> (BTreeMap<Found, usize>, usize) {
    let (mut found, mut ready) = (BTreeMap::new(), 0);
    for log in logs {
        let copy = memory();
        copy_folder(dir, copy.path());
        let _ = fs::remove_file(copy.path().join("slackwater.db-shm"));
        fs::write(copy.path().join("slackwater.db-wal"), log).unwrap();
        let twin = memory();
        copy_folder(copy.path(), twin.path());
        let how = look(copy.path(), acknowledged).unwrap();
        *found.entry(how).or_default() += 1;
        // Also when opened again, and nothing is said any more.
        for seed in [3, 4] {
            let clock = Arc::new(FixedClock::at(now_ms));
            let book = Book::open(twin.path(), env(&clock, seed)).unwrap();
            ready += usize::from(book.readiness(rig).unwrap().is_ready());
        }
    }
    (found, ready)
}

/// Seen: of 600 flips of one bit in the write-ahead log 308 left the rig ready though it had been opened, 292
/// lost events, and none was told; and so did 218 cuts. `SLACKWATER_FLIPS` says how many flips, and cuts in
/// proportion.
#[test]
fn a_log_with_a_bit_flipped_or_cut_short_loses_nothing_in_silence() {
    let flips = std::env::var("SLACKWATER_FLIPS").map_or(60, |n| n.parse::<usize>().unwrap());
    let (dir, day, acknowledged) = with_a_log();
    let log = fs::read(dir.path().join("slackwater.db-wal")).unwrap();
    assert!(log.len() > 40_000, "{}", log.len());
    let mut dice = 0x9E37_79B9_7F4A_7C15_u64;
    let mut below = |n: usize| {
        // Marsaglia's xorshift64.
        dice ^= dice << 13;
        dice ^= dice >> 7;
        dice ^= dice << 17;
        (dice % n as u64) as usize
    };
    let flipped: Vec<Vec<u8>> = (0..flips)
        .map(|_| {
            let mut bytes = log.clone();
            bytes[below(log.len())] ^= 1 << below(8);
            bytes
        })
        .collect();
    let about = (day.rig.as_str(), day.clock.now_ms());
    let cuts = flips * 218 / 600;
    let cut: Vec<Vec<u8>> = (0..cuts)
        .map(|n| log[..log.len() * n / cuts].to_vec())
        .collect();
    for (what, logs) in [("flips", flipped), ("cuts", cut)] {
        let tried = logs.len();
        let (found, ready) = spoiled(logs, dir.path(), about, &acknowledged);
        println!("{tried} {what}: {found:?}, ready though opened {ready}");
        assert_eq!(ready, 0, "{what}");
        // Otherwise nothing was spoiled.
        assert!(found[&Found::LostAndSaid] * 10 > tried * 9, "{found:?}");
    }
}

fn missing(book: &Book, rig: &str) -> Vec<Obstacle> {
    book.readiness(rig).unwrap().obstacles
}

/// Seen: of 600 flips of one bit in the write-ahead log 308 left the rig ready though it had been opened.
#[test]
fn an_opening_lost_from_the_log_stands_in_the_way() {
    let (dir, copy) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    assert_eq!(missing(&day.book, &rig), []);
    damaged(&mut day, dir.path(), copy.path());
    let clock = Arc::clone(&day.clock);

    let mut book = Book::open(copy.path(), env(&clock, 7)).unwrap();
    let lost = book.opening.lost.unwrap();
    assert_eq!(lost.had, lost.here + 1);
    assert_eq!(missing(&book, &rig), [Obstacle::Lost]);
    // Also when opened again, by a phone that says nothing of it any more.
    drop(book);
    book = Book::open(copy.path(), env(&clock, 8)).unwrap();
    assert_eq!(book.opening.lost, None);
    assert_eq!(missing(&book, &rig), [Obstacle::Lost]);

    // A member answers for it by name and in words.
    assert!(book.answer_lost(&rig, " ").is_err());
    book.answer_lost(&rig, "opened for a battery, closed, held again")
        .unwrap();
    assert!(!missing(&book, &rig).contains(&Obstacle::Lost));
}

/// The entries come back from a phone that had heard of them; then what they say counts.
#[test]
fn what_was_lost_comes_back_from_another_phone() {
    let (dir, copy) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    damaged(&mut day, dir.path(), copy.path());
    let mut book = Book::open(copy.path(), env(&day.clock, 7)).unwrap();
    assert!(missing(&book, &rig).contains(&Obstacle::Lost));
    tell(&day.book, &mut book);
    let left = missing(&book, &rig);
    assert!(!left.contains(&Obstacle::Lost), "{left:?}");
    let open = Obstacle::NotClosed {
        enclosure: "main".into(),
    };
    assert!(left.contains(&open), "{left:?}");
}

/// The first page says it, and the rig's page leads to where it is answered.
#[test]
fn what_is_missing_is_told_on_the_first_page() {
    let (dir, copy) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    damaged(&mut day, dir.path(), copy.path());
    let book = Book::open(copy.path(), env(&day.clock, 7)).unwrap();
    let desk = Desk::new(book, 0);
    let told = match desk.show(&Place::Rigs { form: None }).unwrap() {
        Screen::Rigs { screen } => screen.notices,
        other => panic!("{other:?}"),
    };
    let said = |l: &Line| l.text.contains("had acknowledged is missing");
    assert!(told.iter().any(said), "{told:?}");
}

/// Seen: of two phones restored from one copy neither brought in anything of the other, and a defect with
/// water that one had noted stayed unknown.
#[test]
fn two_histories_under_one_key_are_kept_block_what_they_touch_and_stop_nothing_else() {
    let (dir, copy, third) = (
        tempfile::tempdir().unwrap(),
        tempfile::tempdir().unwrap(),
        tempfile::tempdir().unwrap(),
    );
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let spare = day
        .book
        .create_from_template("single-housing", "Spare rig")
        .unwrap();
    let mut other = Book::open(third.path(), env(&day.clock, 11)).unwrap();
    one_crew(&mut day.book, &mut other).unwrap();
    day.book
        .journal()
        .read()
        .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .unwrap();
    for file in ["slackwater.db", "device.key", "slackwater.head"] {
        fs::copy(dir.path().join(file), copy.path().join(file)).unwrap();
    }
    let clock = Arc::clone(&day.clock);
    let mut twin = Book::open(copy.path(), env(&clock, 7)).unwrap();
    let one_key = day.book.journal().device();
    assert_eq!(twin.journal().device(), one_key);
    // The same key goes on in both, each with its own.
    day.book
        .open_defect(&rig, "enclosure/main", true, true, "water in the sump")
        .unwrap();
    twin.open_closure(&spare, "main", None).unwrap();
    twin.close_enclosure(&rig, "main").ok();
    // And a third phone that the first has heard.
    tell(&day.book, &mut other);
    other.open_closure(&rig, "monitor", None).unwrap();
    tell(&other, &mut day.book);

    tell(&day.book, &mut twin);
    let left = missing(&twin, &rig);
    assert!(
        left.iter().any(|o| matches!(o, Obstacle::Unread { .. })),
        "{left:?}"
    );
    // The third phone's came in all the same.
    let open = Obstacle::NotClosed {
        enclosure: "monitor".into(),
    };
    assert!(left.contains(&open), "{left:?}");
    assert_ne!(twin.journal().device(), one_key, "a new device from here");
    twin.journal().verify_all(|_| ()).unwrap();
    // Once more brings nothing, and what it writes from now on the first phone takes.
    let before = twin.journal().count(None).unwrap();
    tell(&day.book, &mut twin);
    assert_eq!(twin.journal().count(None).unwrap(), before);
    twin.plug_off(&rig, "main").unwrap();
    tell(&twin, &mut day.book);
    // Both are new devices now, each of its own history: they ask about each other.
    day.book.admit(&[twin.journal().device()]).unwrap();
    let theirs = missing(&day.book, &spare);
    assert!(
        theirs.iter().any(|o| matches!(o, Obstacle::Unread { .. })),
        "{theirs:?}"
    );
    assert!(
        day.book
            .rig(&rig)
            .unwrap()
            .enclosure("main")
            .unwrap()
            .plug_off
            .is_some()
    );
    // Looked up and answered, it stands in the way no more.
    let dp = day.dp.clone();
    twin.hold_phone(&dp).unwrap();
    twin.answer_unread(&rig, "water in the sump: noted here, too")
        .unwrap();
    let left = missing(&twin, &rig);
    assert!(
        !left.iter().any(|o| matches!(o, Obstacle::Unread { .. })),
        "{left:?}"
    );
}

/// Seen: a file without the entries of a phone that its writer had heard of left the rig ready, and nothing
/// was said of what is missing.
#[test]
fn entries_that_another_phone_had_heard_of_and_that_are_not_here_stand_in_the_way() {
    let dirs = [(); 4].map(|()| tempfile::tempdir().unwrap());
    let mut day = Day::dry_parts(dirs[0].path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let mut second = Book::open(dirs[1].path(), env(&day.clock, 5)).unwrap();
    let mut third = Book::open(dirs[2].path(), env(&day.clock, 6)).unwrap();
    let mut other = Book::open(dirs[3].path(), env(&day.clock, 9)).unwrap();
    one_crew(&mut second, &mut third).unwrap();
    for book in [&mut second, &mut third, &mut other] {
        one_crew(&mut day.book, book).unwrap();
    }
    for book in [&mut second, &mut third] {
        tell(&day.book, book);
        book.hold_phone(&day.dp.clone()).unwrap();
    }
    tell(&second, &mut day.book);
    tell(&third, &mut day.book);
    assert_eq!(missing(&day.book, &rig), []);
    // The second opens the housing; the third hears of it and writes; only the third's own entries arrive.
    let opened = second.open_closure(&rig, "main", None).unwrap().events[0];
    tell(&second, &mut third);
    third.choose(&[("units", "metric")]).unwrap();
    let own = third.journal().device();
    let page = third.journal().page(None, None, u32::MAX).unwrap();
    let mut alone: Vec<Event> = page.into_iter().map(|e| e.event).collect();
    alone.retain(|e| e.device == own);
    alone.sort_by_key(|e| e.seq);
    for event in &alone {
        day.book.ingest(event).unwrap();
    }
    let left = missing(&day.book, &rig);
    assert!(
        matches!(left[..], [Obstacle::NotHere { events: 1 }]),
        "{left:?}"
    );

    // Looked up on that phone and answered for, it is in the way no more, until more is missing.
    tell(&day.book, &mut other);
    let left = missing(&other, &rig);
    assert!(left.contains(&Obstacle::NotHere { events: 1 }), "{left:?}");
    assert!(other.answer_not_here(&rig, "opened").is_err(), "by nobody");
    other.hold_phone(&day.dp.clone()).unwrap();
    assert!(other.answer_not_here(&rig, " ").is_err());
    other.answer_not_here(&rig, "opened for a battery").unwrap();
    let left = missing(&other, &rig);
    assert!(
        !left.iter().any(|o| matches!(o, Obstacle::NotHere { .. })),
        "{left:?}"
    );

    // Brought in, it says what it says.
    tell(&second, &mut day.book);
    let left = missing(&day.book, &rig);
    assert!(
        !left.iter().any(|o| matches!(o, Obstacle::NotHere { .. })),
        "{left:?}"
    );
    let open = Obstacle::NotClosed {
        enclosure: "main".into(),
    };
    assert!(left.contains(&open), "{opened}: {left:?}");
}

/// Seen: a record of which every file but the key was gone began anew without a word, and a rig that came in with
/// another phone's file was as ready as that phone knew it.
#[test]
fn a_record_that_is_gone_but_for_its_key_is_said_and_stands_in_the_way_of_what_comes_in() {
    let (dir, second) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let mut other = Book::open(second.path(), env(&day.clock, 5)).unwrap();
    one_crew(&mut day.book, &mut other).unwrap();
    tell(&day.book, &mut other);
    assert_eq!(missing(&other, &rig), []);
    // Opened, and nobody else heard of it.
    day.book.open_closure(&rig, "main", None).unwrap();
    let (clock, dp) = (Arc::clone(&day.clock), day.dp.clone());
    drop(day);
    for file in fs::read_dir(dir.path()).unwrap() {
        let path = file.unwrap().path();
        match path.file_name().unwrap().to_str() {
            Some("device.key") => {}
            _ if path.is_dir() => fs::remove_dir_all(path).unwrap(),
            _ => fs::remove_file(path).unwrap(),
        }
    }

    let book = Book::open(dir.path(), env(&clock, 6)).unwrap();
    assert!(book.opening.key_alone);
    let desk = Desk::new(book, 0);
    let Ok(Screen::Rigs { screen }) = desk.show(&Place::Rigs { form: None }) else {
        panic!("no first page");
    };
    let said = |l: &Line| {
        l.text
            .contains("what this phone recorded before is not here")
    };
    assert!(screen.notices.iter().any(said), "{:?}", screen.notices);
    drop(desk);

    let mut book = Book::open(dir.path(), env(&clock, 7)).unwrap();
    tell(&other, &mut book);
    book.hold_phone(&dp).unwrap();
    book.admit(&[other.journal().device()]).unwrap();
    let left = missing(&book, &rig);
    assert!(left.contains(&Obstacle::Lost), "{left:?}");
    assert!(!book.readiness(&rig).unwrap().is_ready());
    // What is set up here since can't have been in it.
    let new = book
        .create_from_template("single-housing", "Spare rig")
        .unwrap();
    let left = missing(&book, &new);
    assert!(!left.contains(&Obstacle::Lost), "{left:?}");

    book.answer_lost(&rig, "opened for a battery, closed, held again")
        .unwrap();
    assert!(!missing(&book, &rig).contains(&Obstacle::Lost));
    drop(book);
    let book = Book::open(dir.path(), env(&clock, 8)).unwrap();
    assert!(
        !book.opening.key_alone,
        "once there are entries the rigs say it"
    );
}
