//! What a phone does to a store: killed while writing, disk full, folder read-only, file damaged,
//! two programs at once. After each, everything acknowledged is there and every chain verifies.
//!
//! A killed process leaves the system's caches whole, so the kills prove the order of writes and
//! the recovery, not the disk: that a commit waits for the disk (synchronous = FULL) is asked of
//! SQLite below. What a disk leaves when the power goes is tried in `failing_disk.rs`.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant, SystemTime};

use slackwater_checks::drive::{MORNING_MS, env, png};
use slackwater_checks::surroundings::skipped;
use slackwater_core::domain::book::{Book, BookFault};
use slackwater_core::domain::facts::Fact;
use slackwater_core::domain::photos::{PhotoFault, PhotoState};
use slackwater_core::domain::subject::At;
use slackwater_core::domain::{demo, schema};
use slackwater_core::journal::store::DB_FILE;
use slackwater_core::journal::{EventRef, FixedClock, JournalFault};
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;

// ---- the process that is killed ----

struct Writer {
    child: Child,
    lines: Receiver<String>,
}

impl Writer {
    fn start(words: &[&str]) -> Writer {
        let mut child = Command::new(env!("CARGO_BIN_EXE_crashwriter"))
            .args(words)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let out = child.stdout.take().unwrap();
        let (send, lines) = channel();
        std::thread::spawn(move || {
            for line in BufReader::new(out).lines() {
                let Ok(line) = line else { return };
                if send.send(line).is_err() {
                    return;
                }
            }
        });
        Writer { child, lines }
    }

    fn next_line(&self) -> String {
        self.lines
            .recv_timeout(Duration::from_secs(60))
            .expect("the process says something")
    }

    /// Kill -9, then everything it had said.
    fn kill(mut self, mut said: Vec<String>) -> Vec<String> {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        // The pipe ends with the process; what it held is still read.
        said.extend(self.lines.iter());
        for line in &said {
            assert!(!line.starts_with("fault"), "{line}");
        }
        said
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Numbers that differ from run to run; the seed is printed with a failure.
struct Dice(u64);

impl Dice {
    fn thrown() -> Dice {
        let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH);
        let seed = now.unwrap().as_nanos() as u64 | 1;
        println!("seed {seed}");
        Dice(seed)
    }

    fn below(&mut self, n: u64) -> u64 {
        // Marsaglia's xorshift64.
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

fn open(folder: &Path) -> Result<Book, BookFault> {
    // A new key is to be a new one.
    static SEED: AtomicU64 = AtomicU64::new(100);
    let seed = SEED.fetch_add(1, Ordering::SeqCst);
    Book::open(folder, env(&Arc::new(FixedClock::at(MORNING_MS)), seed))
}

fn refs(said: &[String]) -> Vec<EventRef> {
    said.iter()
        .flat_map(|line| line.split(' '))
        .map(|r| r.parse().unwrap_or_else(|_| panic!("not an event: {r}")))
        .collect()
}

/// Every event in `acknowledged` is there, every chain verifies, no transaction was cut in two,
/// and the tables say what the newest events say.
fn whole(book: &Book, acknowledged: &[EventRef]) -> u64 {
    assert_eq!(book.opening.set_aside, None);
    let n = book.journal().verify_all(|_| ()).unwrap();
    assert_eq!(n, book.journal().count(None).unwrap());
    assert!(n >= acknowledged.len() as u64);
    for r in acknowledged {
        assert!(book.journal().event(r).unwrap().is_some(), "{r} is gone");
    }
    let choices = book.choices().unwrap();
    assert_eq!(choices.get("left"), choices.get("right"));
    let says: String = book
        .journal()
        .read()
        .query_row("PRAGMA integrity_check", [], |r| r.get(0))
        .unwrap();
    assert_eq!(says, "ok");
    n
}

fn kills() -> u64 {
    std::env::var("SLACKWATER_KILLS").map_or(25, |n| n.parse().unwrap())
}

#[test]
fn killed_while_appending_everything_acknowledged_is_there() {
    let rounds = kills();
    let mut dice = Dice::thrown();
    let start = Instant::now();
    let (mut all, mut in_the_middle, mut unacknowledged) = (0, 0, 0);
    let mut dir = tempfile::tempdir().unwrap();
    let mut acknowledged: Vec<EventRef> = Vec::new();
    for round in 0..rounds {
        if round % 20 == 0 {
            dir = tempfile::tempdir().unwrap();
            acknowledged.clear();
        }
        let seed = dice.below(1 << 40).to_string();
        let writer = Writer::start(&["append", dir.path().to_str().unwrap(), &seed]);
        // Half of the kills come at any moment from the start of the process on, so that opening
        // and making the file are hit too; the others after the first append.
        let mut said = Vec::new();
        if dice.below(2) == 0 {
            said.push(writer.next_line());
        }
        std::thread::sleep(Duration::from_micros(dice.below(60_000)));
        let said = writer.kill(said);
        in_the_middle += u64::from(!said.is_empty());
        acknowledged.extend(refs(&said));
        all += refs(&said).len();
        let book = open(dir.path()).unwrap();
        if acknowledged.is_empty() && book.opening.set_aside.is_some() {
            // Killed before its file had a first page: said, and nothing was in it.
            continue;
        }
        let n = whole(&book, &acknowledged);
        unacknowledged += u64::from(n > acknowledged.len() as u64);
        // What was committed but not yet acknowledged is there too, and is counted from now on.
        let page = book.journal().page(None, None, 4).unwrap();
        for entry in page {
            let r = entry.event.reference();
            if !acknowledged.contains(&r) {
                acknowledged.push(r);
            }
        }
    }
    let took = start.elapsed();
    println!(
        "{rounds} kills, {in_the_middle} of them while appending, {all} events acknowledged, \
         {unacknowledged} times one more committed than acknowledged, {:.1} s",
        took.as_secs_f64()
    );
    // Otherwise it proved nothing.
    assert!(in_the_middle > rounds / 4, "{in_the_middle} of {rounds}");
    assert!(all as u64 > rounds * 2, "{all} events in {rounds} rounds");
}

#[test]
fn killed_while_keeping_photos_no_event_lacks_its_file() {
    let mut dice = Dice::thrown();
    let dir = tempfile::tempdir().unwrap();
    let mut acknowledged = Vec::new();
    for _ in 0..(kills() / 5).max(2) {
        let seed = dice.below(1 << 40).to_string();
        let writer = Writer::start(&["add-photos", dir.path().to_str().unwrap(), &seed]);
        let said = vec![writer.next_line()];
        std::thread::sleep(Duration::from_micros(dice.below(60_000)));
        acknowledged.extend(refs(&writer.kill(said)));
        let book = open(dir.path()).unwrap();
        whole(&book, &acknowledged);
        let notes = book.photo_notes("rig", At::Rig, 10_000).unwrap();
        assert!(notes.len() >= acknowledged.len());
        for note in notes {
            let hash = note.photo.parse().unwrap();
            assert_eq!(book.photos().verify(hash).unwrap(), PhotoState::Present);
        }
        // A file without its event may be left over; half a file may not.
        let halves = files_under(&dir.path().join("photos"))
            .into_iter()
            .filter(|f| fs::metadata(f).unwrap().len() == 0)
            .count();
        assert_eq!(halves, 0);
    }
}

#[test]
fn killed_while_making_the_demo_it_is_made_anew() {
    let mut dice = Dice::thrown();
    let dir = tempfile::tempdir().unwrap();
    for _ in 0..4 {
        let writer = Writer::start(&["demo", dir.path().to_str().unwrap()]);
        std::thread::sleep(Duration::from_millis(20 + dice.below(400)));
        writer.kill(Vec::new());
        // Whole or not at all: never half a season.
        if dir.path().join(DB_FILE).exists() {
            let book = open(dir.path()).unwrap();
            assert_eq!(book.rigs().unwrap().len(), 2);
        }
    }
    // And with rubbish where the half-made one lies.
    let making = dir.path().join("demo.making");
    let _ = fs::remove_file(dir.path().join(DB_FILE));
    fs::create_dir_all(&making).unwrap();
    fs::write(making.join(DB_FILE), b"half of it").unwrap();
    fs::write(making.join("device.key"), b"half").unwrap();
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    demo::fill_if_empty(dir.path(), &env(&clock, 3)).unwrap();
    let book = open(dir.path()).unwrap();
    assert_eq!(book.opening.set_aside, None);
    assert_eq!(book.rigs().unwrap().len(), 2);
    assert!(book.journal().verify_all(|_| ()).unwrap() > 1_000);
    assert!(!making.exists());
}

#[test]
fn the_wal_of_a_killed_process_is_recovered() {
    let dir = tempfile::tempdir().unwrap();
    let writer = Writer::start(&["append", dir.path().to_str().unwrap(), "11"]);
    let said = (0..20).map(|_| writer.next_line()).collect();
    let acknowledged = refs(&writer.kill(said));
    let wal = dir.path().join(format!("{DB_FILE}-wal"));
    let torn = fs::read(&wal).unwrap();
    assert!(torn.len() > 4_096, "the events lie in the WAL");
    // As it is, and with a tail that a torn write would leave: that is passed over.
    for tail in [&b""[..], &[0xa5; 5_000]] {
        let copy = copied(dir.path());
        let mut bytes = torn.clone();
        bytes.extend(tail);
        fs::write(copy.path().join(format!("{DB_FILE}-wal")), bytes).unwrap();
        whole(&open(copy.path()).unwrap(), &acknowledged);
    }
    // Cut within its last frame, the last transaction goes, whole, and nothing else.
    fs::write(&wal, &torn[..torn.len() - 100]).unwrap();
    let book = open(dir.path()).unwrap();
    let n = whole(&book, &[]);
    assert!(n + 3 >= acknowledged.len() as u64, "{n}");
}

// ---- the disk ----

/// A small file system of its own, gone when dropped.
struct SmallDisk {
    at: tempfile::TempDir,
    mounted: Vec<PathBuf>,
}

impl SmallDisk {
    /// None where this user can't mount one: said by the test's name, past the test harness.
    fn of(kib: u32, test: &str) -> Option<SmallDisk> {
        let at = tempfile::tempdir().unwrap();
        let mount = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={kib}k"), "tmpfs"])
            .arg(at.path())
            .output();
        match mount {
            Ok(out) if out.status.success() => Some(SmallDisk {
                mounted: vec![at.path().to_owned()],
                at,
            }),
            other => {
                let why = match other {
                    Ok(out) => String::from_utf8_lossy(&out.stderr).trim().to_owned(),
                    Err(e) => e.to_string(),
                };
                skipped(
                    "faults",
                    test,
                    &format!("no small disk can be mounted: {why}"),
                );
                None
            }
        }
    }

    fn path(&self) -> &Path {
        self.at.path()
    }

    /// The same disk under another path, where nothing can be written.
    fn read_only(&mut self, test: &str) -> Option<PathBuf> {
        let at = self.at.path().join("read-only");
        fs::create_dir_all(&at).unwrap();
        let mount = |options: &[&str]| {
            Command::new("mount")
                .args(options)
                .status()
                .is_ok_and(|s| s.success())
        };
        let (from, to) = (self.at.path().to_str().unwrap(), at.to_str().unwrap());
        if !mount(&["--bind", from, to]) {
            skipped("faults", test, "no folder can be mounted a second time");
            return None;
        }
        self.mounted.push(at.clone());
        if !mount(&["-o", "remount,bind,ro", to]) {
            skipped("faults", test, "no folder can be mounted read-only");
            return None;
        }
        Some(at)
    }

    /// Fills what is left, so that not a byte can be added.
    fn fill(&self) -> PathBuf {
        let path = self.path().join("ballast");
        let mut file = fs::OpenOptions::new()
            .create(true)
            .append(true)
            .open(&path)
            .unwrap();
        for size in [65_536, 4_096, 512, 1] {
            while file.write_all(&vec![0; size]).is_ok() {}
        }
        path
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        for at in self.mounted.iter().rev() {
            let _ = Command::new("umount").arg(at).status();
        }
    }
}

fn defect(n: usize, text: &str) -> Vec<(String, Fact)> {
    vec![(
        format!("rig/defect/{n}"),
        Fact::DefectOpened {
            at: String::new(),
            blocks: false,
            text: text.into(),
            water: false,
        },
    )]
}

#[test]
fn on_a_full_disk_nothing_acknowledged_is_lost_and_room_is_enough_to_go_on() {
    let Some(disk) = SmallDisk::of(
        4_096,
        "on_a_full_disk_nothing_acknowledged_is_lost_and_room_is_enough_to_go_on",
    ) else {
        return;
    };
    let folder = disk.path().join("store");
    let mut book = open(&folder).unwrap();
    let ballast = disk.path().join("reserve");
    // As much as the WAL takes: what lies in it is there twice while it is brought in.
    fs::write(&ballast, vec![0; 2_200_000]).unwrap();
    let text = "o-ring ".repeat(700);
    let mut acknowledged = Vec::new();
    let fault = loop {
        match book.record(defect(acknowledged.len(), &text)) {
            Ok(recorded) => acknowledged.extend(recorded.events),
            Err(fault) => break fault,
        }
    };
    assert!(
        matches!(fault, BookFault::Journal(JournalFault::Full)),
        "{fault:?}"
    );
    assert!(acknowledged.len() > 20);
    let full = disk.fill();
    // What still fits into room that the WAL has already is acknowledged as ever.
    let mut refused = 0;
    for n in 0..200 {
        match book.record(defect(2_000 + n, &text)) {
            Ok(recorded) => acknowledged.extend(recorded.events),
            Err(BookFault::Journal(JournalFault::Full)) => refused += 1,
            Err(other) => panic!("{other:?}"),
        }
        if refused == 3 {
            break;
        }
    }
    assert_eq!(refused, 3);
    // Everything acknowledged can be read and checked while there is no room at all.
    assert_eq!(whole(&book, &acknowledged), acknowledged.len() as u64);
    // A note of this device and a photo fail by the same name, and leave nothing behind.
    let local = book.set_local("air", &"x".repeat(4_000_000));
    assert!(
        matches!(local, Err(BookFault::Journal(JournalFault::Full))),
        "{local:?}"
    );
    let mut big = png();
    big.resize(300_000, 0);
    let before = files_under(&folder.join("photos"));
    let photo = book.add_photo("rig", "", &big);
    assert!(
        matches!(
            photo,
            Err(BookFault::Photo(PhotoFault::DiskFull { .. }))
                | Err(BookFault::Journal(JournalFault::Full))
        ),
        "{photo:?}"
    );
    assert_eq!(files_under(&folder.join("photos")), before);
    // Opened again with the disk still full: it says so or it opens, but never takes the file for
    // damaged.
    drop(book);
    match open(&folder) {
        Ok(book) => {
            whole(&book, &acknowledged);
        }
        Err(BookFault::Journal(JournalFault::Full)) => {}
        Err(other) => panic!("{other:?}"),
    }
    assert_eq!(set_aside_in(&folder), Vec::<PathBuf>::new());
    // Room is made, and it goes on.
    fs::remove_file(&full).unwrap();
    fs::remove_file(&ballast).unwrap();
    let mut book = open(&folder).unwrap();
    whole(&book, &acknowledged);
    for n in 0..20 {
        acknowledged.extend(book.record(defect(1_000 + n, "and on")).unwrap().events);
    }
    assert_eq!(whole(&book, &acknowledged), acknowledged.len() as u64);
    drop(book);
    whole(&open(&folder).unwrap(), &acknowledged);
}

#[test]
fn an_open_store_goes_on_as_soon_as_there_is_room() {
    let Some(disk) = SmallDisk::of(6_144, "an_open_store_goes_on_as_soon_as_there_is_room") else {
        return;
    };
    let folder = disk.path().join("store");
    let mut book = open(&folder).unwrap();
    let mut acknowledged = Vec::new();
    for round in 0..5 {
        let ballast = disk.fill();
        let text = "valve ".repeat(300);
        loop {
            match book.record(defect(acknowledged.len(), &text)) {
                Ok(recorded) => acknowledged.extend(recorded.events),
                Err(BookFault::Journal(JournalFault::Full)) => break,
                Err(other) => panic!("round {round}: {other:?}"),
            }
        }
        fs::remove_file(ballast).unwrap();
        for _ in 0..10 {
            let recorded = book.record(defect(acknowledged.len(), "room")).unwrap();
            acknowledged.extend(recorded.events);
        }
        assert_eq!(whole(&book, &acknowledged), acknowledged.len() as u64);
    }
    drop(book);
    whole(&open(&folder).unwrap(), &acknowledged);
}

#[test]
fn the_demo_on_a_full_disk_says_so_and_is_made_when_there_is_room() {
    let Some(disk) = SmallDisk::of(
        600,
        "the_demo_on_a_full_disk_says_so_and_is_made_when_there_is_room",
    ) else {
        return;
    };
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let folder = disk.path().join("store");
    let fault = demo::fill_if_empty(&folder, &env(&clock, 3)).unwrap_err();
    assert!(
        matches!(
            fault,
            BookFault::Journal(JournalFault::Full) | BookFault::Photo(PhotoFault::DiskFull { .. })
        ),
        "{fault:?}"
    );
    assert!(!folder.join(DB_FILE).exists());
    let more = Command::new("mount")
        .args(["-o", "remount,size=64m"])
        .arg(disk.path())
        .status();
    assert!(more.unwrap().success());
    demo::fill_if_empty(&folder, &env(&clock, 3)).unwrap();
    assert_eq!(open(&folder).unwrap().rigs().unwrap().len(), 2);
}

#[test]
fn a_read_only_folder_is_named_and_its_store_left_alone() {
    const TEST: &str = "a_read_only_folder_is_named_and_its_store_left_alone";
    let Some(mut disk) = SmallDisk::of(4_096, TEST) else {
        return;
    };
    let folder = disk.path().join("store");
    let mut book = open(&folder).unwrap();
    let events = book.record(defect(1, "before")).unwrap().events;
    drop(book);
    let before = fs::read(folder.join(DB_FILE)).unwrap();
    let Some(locked) = disk.read_only(TEST) else {
        return;
    };
    for name in ["store", "none-yet"] {
        let fault = open(&locked.join(name)).err().unwrap();
        let BookFault::Journal(JournalFault::NotWritable { path, why }) = &fault else {
            panic!("{name}: {fault:?}");
        };
        assert!(path.starts_with(&locked), "{path:?}");
        assert!(!why.to_string().is_empty());
    }
    assert_eq!(fs::read(folder.join(DB_FILE)).unwrap(), before);
    whole(&open(&folder).unwrap(), &events);
}

// ---- the file ----

fn store_with(events: usize) -> (tempfile::TempDir, Vec<EventRef>) {
    let dir = tempfile::tempdir().unwrap();
    let mut book = open(dir.path()).unwrap();
    let mut all = Vec::new();
    for n in 0..events {
        all.extend(book.record(defect(n, "something")).unwrap().events);
    }
    (dir, all)
}

#[test]
fn a_damaged_file_is_set_aside_whole_and_the_first_screen_says_so() {
    let (good, _) = store_with(60);
    let bytes = fs::read(good.path().join(DB_FILE)).unwrap();
    let noise: Vec<u8> = {
        let mut dice = Dice(99);
        (0..bytes.len()).map(|_| dice.below(256) as u8).collect()
    };
    let mut header = bytes.clone();
    header[..100].copy_from_slice(&noise[..100]);
    let damages: BTreeMap<&str, Vec<u8>> = [
        ("empty", Vec::new()),
        ("one byte", vec![0x53]),
        ("cut in half", bytes[..bytes.len() / 2].to_vec()),
        (
            "cut within the last page",
            bytes[..bytes.len() - 77].to_vec(),
        ),
        ("noise", noise),
        ("its header is noise", header),
        ("a text", b"shopping list\n".repeat(900)),
    ]
    .into();
    for (damage, spoiled) in damages {
        let dir = copied(good.path());
        fs::write(dir.path().join(DB_FILE), &spoiled).unwrap();
        let mut book = open(dir.path()).unwrap_or_else(|e| panic!("{damage}: {e:?}"));
        let aside = book
            .opening
            .set_aside
            .clone()
            .unwrap_or_else(|| panic!("{damage}: not seen"));
        assert_eq!(fs::read(&aside.path).unwrap(), spoiled, "{damage}");
        assert!(!aside.why.to_string().is_empty());
        book.record(defect(1, "a new beginning")).unwrap();
        assert_eq!(book.journal().verify_all(|_| ()).unwrap(), 1);
        let desk = Desk::new(book, 0);
        let Screen::Rigs { screen } = desk.show(&Place::Rigs { form: None }).unwrap() else {
            panic!("another screen");
        };
        let name = aside.path.file_name().unwrap().to_str().unwrap().to_owned();
        assert!(
            screen.notices.iter().any(|n| n.text.contains(&name)),
            "{damage}: {:?}",
            screen.notices
        );
        // Once told, a sound file is opened as such.
        drop(desk);
        let again = open(dir.path()).unwrap();
        assert_eq!(again.opening.set_aside, None, "{damage}");
        assert_eq!(again.journal().count(None).unwrap(), 1);
    }
}

/// Seen: the app ended before anybody had read that the record was set aside, and when it was opened again an
/// empty one was all there was, without a word.
#[test]
fn that_a_record_was_set_aside_is_said_until_something_is_recorded() {
    let (dir, _) = store_with(30);
    let path = dir.path().join(DB_FILE);
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
    let aside = open(dir.path()).unwrap().opening.set_aside.clone();
    assert!(aside.is_some());
    for _ in 0..2 {
        let book = open(dir.path()).unwrap();
        assert_eq!(book.opening.set_aside, aside);
        assert_eq!(book.opening.lost, None);
        let desk = Desk::new(book, 0);
        let page = format!("{:?}", desk.show(&Place::Rigs { form: None }).unwrap());
        let name = aside.as_ref().unwrap().path.file_name().unwrap();
        assert!(page.contains(name.to_str().unwrap()), "{page}");
    }
    let mut book = open(dir.path()).unwrap();
    book.record(defect(1, "seen and begun anew")).unwrap();
    drop(book);
    assert_eq!(open(dir.path()).unwrap().opening.set_aside, None);
}

#[test]
fn a_flipped_bit_anywhere_is_found_or_does_no_harm() {
    let (good, events) = store_with(40);
    let bytes = fs::read(good.path().join(DB_FILE)).unwrap();
    let mut dice = Dice::thrown();
    let (mut found, mut harmless) = (0, 0);
    for _ in 0..60 {
        let (at, bit) = (dice.below(bytes.len() as u64) as usize, dice.below(8));
        let dir = copied(good.path());
        let mut spoiled = bytes.clone();
        spoiled[at] ^= 1 << bit;
        fs::write(dir.path().join(DB_FILE), &spoiled).unwrap();
        let book = match open(dir.path()) {
            Ok(book) if book.opening.set_aside.is_some() => {
                found += 1;
                continue;
            }
            Ok(book) => book,
            // A version number out of a flipped bit is refused, the file left alone.
            Err(BookFault::Journal(
                JournalFault::Newer { .. }
                | JournalFault::Damaged { .. }
                | JournalFault::Sqlite { .. },
            )) => {
                assert_eq!(fs::read(dir.path().join(DB_FILE)).unwrap(), spoiled);
                found += 1;
                continue;
            }
            Err(other) => panic!("byte {at} bit {bit}: {other:?}"),
        };
        // Reading may fail, by name; what it does give is what was written.
        match book.journal().verify_all(|_| ()) {
            Err(JournalFault::Damaged { .. } | JournalFault::Sqlite { .. }) => found += 1,
            Err(other) => panic!("byte {at} bit {bit}: {other:?}"),
            Ok(n) => {
                assert!(n <= events.len() as u64);
                harmless += 1;
            }
        }
        let desk = Desk::new(book, 0);
        for place in [
            Place::Rigs { form: None },
            Place::Crew { form: None },
            Place::Journal {
                rig: None,
                before: None,
            },
        ] {
            // Shown or refused; never a panic.
            let _ = desk.show(&place);
        }
    }
    println!("{found} found, {harmless} harmless");
    assert!(found > 0 && harmless > 0);
}

#[test]
fn a_newer_file_is_refused_by_name_and_not_touched() {
    let (dir, _) = store_with(5);
    let path = dir.path().join(DB_FILE);
    let newer = schema::VERSION + 1;
    rusqlite::Connection::open(&path)
        .unwrap()
        .execute_batch(&format!("PRAGMA user_version = {newer}"))
        .unwrap();
    let before = fs::read(&path).unwrap();
    let fault = open(dir.path()).err().unwrap();
    assert!(
        matches!(fault, BookFault::Journal(JournalFault::Newer { found, known, .. })
            if found == newer && known == schema::VERSION),
        "{fault:?}"
    );
    assert!(fault.to_string().contains("newer"), "{fault}");
    assert_eq!(fs::read(&path).unwrap(), before);
    assert_eq!(set_aside_in(dir.path()), Vec::<PathBuf>::new());
}

#[test]
fn a_second_program_is_told_that_the_store_is_open() {
    let (dir, events) = store_with(3);
    let folder = dir.path().to_str().unwrap();
    let other = Writer::start(&["hold", folder]);
    assert_eq!(other.next_line(), "open");
    let fault = open(dir.path()).err().unwrap();
    assert!(
        matches!(fault, BookFault::Journal(JournalFault::Busy { .. })),
        "{fault:?}"
    );
    // The other way round, too.
    other.kill(Vec::new());
    let book = open(dir.path()).unwrap();
    let other = Writer::start(&["hold", folder]);
    assert!(other.next_line().starts_with("fault: Journal(Busy"));
    whole(&book, &events);
}

#[test]
fn commits_wait_for_the_disk() {
    let (dir, _) = store_with(1);
    let book = open(dir.path()).unwrap();
    let db = book.journal().read();
    let synchronous: i64 = db
        .query_row("PRAGMA synchronous", [], |r| r.get(0))
        .unwrap();
    let mode: String = db
        .query_row("PRAGMA journal_mode", [], |r| r.get(0))
        .unwrap();
    // 2 is FULL: the WAL is synced at each commit.
    assert_eq!((synchronous, mode.as_str()), (2, "wal"));
}

#[test]
fn without_its_key_a_store_goes_on_as_another_device() {
    for damage in ["missing", "cut short", "empty", "too long"] {
        let (dir, events) = store_with(4);
        let path = dir.path().join("device.key");
        let key = fs::read(&path).unwrap();
        let spoiled = match damage {
            "missing" => None,
            "cut short" => Some(key[..9].to_vec()),
            "empty" => Some(Vec::new()),
            _ => Some([&key[..], b"\n"].concat()),
        };
        match &spoiled {
            Some(bytes) => fs::write(&path, bytes).unwrap(),
            None => fs::remove_file(&path).unwrap(),
        }
        let mut book = open(dir.path()).unwrap_or_else(|e| panic!("{damage}: {e:?}"));
        whole(&book, &events);
        assert_ne!(book.journal().device(), events[0].device, "{damage}");
        let more = book.record(defect(9, "by another hand")).unwrap().events;
        let all: Vec<EventRef> = events.iter().chain(&more).cloned().collect();
        // With the word that the earlier key was this phone's.
        assert_eq!(whole(&book, &all), 6, "{damage}");
        // What was there in its place is kept.
        if let Some(bytes) = spoiled {
            let kept = fs::read_dir(dir.path())
                .unwrap()
                .map(|e| e.unwrap().path())
                .filter(|p| p != &path && p.to_str().unwrap().contains("device.key"))
                .any(|p| fs::read(p).unwrap() == bytes);
            assert!(kept, "{damage}: the old key is gone");
        }
    }
}

// ---- helpers ----

fn copied(folder: &Path) -> tempfile::TempDir {
    let to = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            fs::copy(&path, to.path().join(path.file_name().unwrap())).unwrap();
        }
    }
    to
}

fn set_aside_in(folder: &Path) -> Vec<PathBuf> {
    files_under(folder)
        .into_iter()
        .filter(|p| p.to_string_lossy().contains("damaged"))
        .collect()
}

fn files_under(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else {
        return all;
    };
    for entry in entries {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(files_under(&path));
        } else {
            all.push(path);
        }
    }
    all.sort();
    all
}
