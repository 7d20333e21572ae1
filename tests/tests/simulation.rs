//! The record of several phones, simulated: they write, hand each other files of everything, are restarted,
//! restored from copies, have clocks anywhere in 64 bits; one of them nobody knows. What was acknowledged is
//! there; what is known doesn't depend on the order in which it came in; no clock of another's moves one's
//! own by more than a bound; who isn't known changes nothing.
//!
//! `SLACKWATER_CASES` multiplies the number of lives, `SLACKWATER_SEED` (a number) changes them.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use slackwater_checks::drive::{Day, MORNING_MS, env, folded};
use slackwater_core::domain::backup;
use slackwater_core::domain::book::Book;
use slackwater_core::journal::store::LEAD_MS;
use slackwater_core::journal::{Clock, DeviceId, EventRef, FixedClock};

const YEAR: i64 = 365 * 86_400_000;
/// How many phones a life begins with; the last is nobody's.
const PHONES: usize = 4;
/// How many copies may be restored in a life.
const COPIES: usize = 2;
const WORKS: usize = 40;

/// Any generator does: Marsaglia, 'Xorshift RNGs', J. Stat. Softw. 8 (14), 2003.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }
}

struct Phone {
    dir: tempfile::TempDir,
    clock: Arc<FixedClock>,
    seed: u64,
    /// Nobody of the crew knows it, or the phone that it is a copy of.
    nobodys: bool,
    book: Option<Book>,
    /// What it acknowledged itself, with the hash; a copy has what was acknowledged before it was made.
    acknowledged: Vec<(EventRef, [u8; 32])>,
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap()
}

impl Phone {
    fn new(seed: u64) -> Phone {
        let dir = folder();
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let book = Some(Book::open(dir.path(), env(&clock, seed)).unwrap());
        Phone {
            dir,
            clock,
            seed,
            nobodys: false,
            book,
            acknowledged: Vec::new(),
        }
    }

    fn book(&mut self) -> &mut Book {
        self.book.as_mut().unwrap()
    }

    /// Notes what this phone has acknowledged of its own.
    fn note(&mut self) {
        let book = self.book.as_ref().unwrap();
        let own = book.journal().device();
        let known: Vec<EventRef> = self.acknowledged.iter().map(|(r, _)| *r).collect();
        let mut new = Vec::new();
        let all = book.journal().each_event(|e| {
            if e.device == own && !known.contains(&e.reference()) {
                new.push((e.reference(), e.hash));
            }
            Ok::<_, slackwater_core::journal::JournalFault>(())
        });
        all.unwrap();
        self.acknowledged.extend(new);
    }

    fn restart(&mut self) {
        self.book = None;
        // No phone draws the same dice twice.
        self.seed += 1_000_000;
        let env = env(&self.clock, self.seed);
        let book = Book::open(self.dir.path(), env).unwrap();
        assert_eq!(book.opening.set_aside, None, "nothing is set aside");
        assert_eq!(book.opening.lost, None, "nothing is lost");
        self.book = Some(book);
    }

    /// Everything that it acknowledged is there as it was, and all of its record is sound.
    fn holds_what_it_acknowledged(&self) {
        let journal = self.book.as_ref().unwrap().journal();
        for (reference, hash) in &self.acknowledged {
            // In its sequence or, where a copy of this phone wrote the longer history, beside it.
            let event = journal.event(reference).unwrap();
            let stands = event.is_some_and(|e| e.hash == *hash);
            let beside = || journal.apart_of(&reference.device).unwrap();
            assert!(
                stands || beside().iter().any(|e| e.hash == *hash),
                "{reference}"
            );
        }
        journal.verify_all(|_| ()).unwrap();
    }
}

/// How many events of others than a device are here, in their sequences and beside them.
fn known_of_crew(book: &Book, but: DeviceId) -> (i64, i64) {
    let db = book.journal().read();
    let count = |sql: &str| {
        db.query_row(sql, [&but.0[..]], |r| r.get::<_, i64>(0))
            .unwrap()
    };
    (
        count("SELECT coalesce(sum(seq), 0) FROM device WHERE key <> ?1"),
        count("SELECT count(*) FROM fork WHERE key <> ?1"),
    )
}

/// How far this device's own sequence goes.
fn own_seq(book: &Book) -> i64 {
    let key = book.journal().device().0;
    (book.journal().read())
        .query_row("SELECT seq FROM device WHERE key = ?1", [&key[..]], |r| {
            r.get(0)
        })
        .unwrap()
}

/// One hands another a file of everything.
fn tell(from: &Book, to: &mut Book, file: &Path) {
    backup::write(from, file).unwrap();
    backup::read(to, file).unwrap();
}

fn work(book: &mut Book, rig: &str, what: usize) {
    // What is refused is no event.
    match what {
        0 => drop(book.open_closure(rig, "main", None)),
        1 => drop(book.close_enclosure(rig, "main")),
        2 => drop(book.plug_off(rig, "main")),
        3 => drop(book.choose(&[("recheck_limit_min", "30")])),
        4 => drop(book.open_defect(rig, "enclosure/main", true, false, "odd")),
        5 => drop(book.log_dive(rig, 12.0, 30.0, "")),
        6 => {
            let Ok(facts) = book.rig(rig) else { return };
            let mut def = facts.def.clone();
            def.plan.minutes += 1.0;
            drop(book.edit_rig(rig, def));
        }
        _ => {
            let newest = book.journal().page(None, None, 1).unwrap();
            if let Some(e) = newest.first() {
                drop(book.undo(&e.event.reference().to_string()));
            }
        }
    }
}

fn a_time(dice: &mut Dice, now: i64) -> i64 {
    match dice.roll(9) {
        0 => i64::MIN,
        1 => i64::MAX,
        2 => -1,
        3 => now.saturating_add(YEAR),
        4 => now.saturating_sub(YEAR),
        5 => ((dice.roll(usize::MAX) as u64) << 1) as i64,
        _ => MORNING_MS + dice.roll(86_400_000) as i64,
    }
}

/// One life. Gives how many events were acknowledged, and how many phones ended in it.
fn life(seed: u64) -> (usize, usize) {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let files = folder();
    let mut phones: Vec<Phone> = (0..PHONES as u64)
        .map(|i| Phone::new(seed * 100 + i + 1))
        .collect();
    let parts = folder();
    let day = Day::dry_parts(parts.path()).unwrap();
    let def = day.book.rig(&day.rig).unwrap().def.clone();
    let rig = phones[0].book().create_rig(def, "").unwrap();
    let first = phones[0].book().journal().device();
    for i in 1..PHONES {
        let (file, device) = (
            files.path().join("first.zip"),
            phones[i].book().journal().device(),
        );
        // The last hears of the rig, and nobody of the crew says that it is theirs.
        phones[i].book().admit(&[first]).unwrap();
        if i + 1 < PHONES {
            phones[0].book().admit(&[device]).unwrap();
        }
        let from = phones[0].book.take().unwrap();
        tell(&from, phones[i].book(), &file);
        phones[0].book = Some(from);
    }
    phones[PHONES - 1].nobodys = true;
    let nobodys = phones[PHONES - 1].book().journal().device();
    for p in &mut phones {
        p.note();
    }
    for n in 0..WORKS {
        let p = dice.roll(phones.len());
        match dice.roll(12) {
            0 => {
                let to = a_time(&mut dice, phones[p].clock.now_ms());
                let by = to.wrapping_sub(phones[p].clock.now_ms());
                phones[p].clock.jump(by);
            }
            1 => phones[p].restart(),
            2 if seed.is_multiple_of(2) && phones.len() < PHONES + COPIES => {
                // Restored from a copy of all its files, while the other goes on.
                let dir = folder();
                let book = phones[p].book.take().unwrap();
                drop(book);
                for f in fs::read_dir(phones[p].dir.path()).unwrap() {
                    let f = f.unwrap().path();
                    if f.is_file() {
                        fs::copy(&f, dir.path().join(f.file_name().unwrap())).unwrap();
                    }
                }
                phones[p].restart();
                let clock = Arc::new(FixedClock::at(phones[p].clock.now_ms()));
                let seed = seed * 100 + 50 + n as u64;
                let book = Some(Book::open(dir.path(), env(&clock, seed)).unwrap());
                let acknowledged = phones[p].acknowledged.clone();
                phones.push(Phone {
                    dir,
                    clock,
                    seed,
                    nobodys: phones[p].nobodys,
                    book,
                    acknowledged,
                });
            }
            3..=6 => {
                let q = dice.roll(phones.len());
                if p == q {
                    continue;
                }
                let file = files.path().join("told.zip");
                let from = phones[p].book.take().unwrap();
                let own_ms = phones[q].clock.now_ms();
                let stranger = phones[p].nobodys && !phones[q].nobodys;
                let to = phones[q].book();
                let before = to.now().newest;
                let wrote = (own_seq(to), to.journal().device());
                let tables = stranger.then(|| folded(to.journal().read()));
                let knew = known_of_crew(to, nobodys);
                tell(&from, to, &file);
                let after = to.now().newest;
                // What a copy of it wrote is its own.
                let own = (own_seq(to), to.journal().device());
                assert!(
                    own != wrote || after <= before || after.ms() <= own_ms.saturating_add(LEAD_MS),
                    "its clock was moved from {before:?} to {after:?} at {own_ms}"
                );
                // Nobody's phone may hand on what others wrote; of its own nothing counts.
                if let Some(tables) = tables
                    && known_of_crew(to, nobodys) == knew
                {
                    assert_eq!(folded(to.journal().read()), tables);
                }
                phones[p].book = Some(from);
                phones[q].holds_what_it_acknowledged();
            }
            what => work(phones[p].book(), &rig, (what + n) % 8),
        }
        // A phone whose clock stands at the end of time may be unable to write; it never writes falsely.
        phones[p].note();
    }
    for p in &mut phones {
        p.holds_what_it_acknowledged();
        p.restart();
        p.holds_what_it_acknowledged();
    }
    // Two that are new hear all in different orders, several times, until nothing is new.
    let mut books: Vec<Book> = phones.iter_mut().map(|p| p.book.take().unwrap()).collect();
    let known: Vec<(tempfile::TempDir, Book)> = [1, 2]
        .map(|n| {
            let dir = folder();
            let clock = Arc::new(FixedClock::at(MORNING_MS));
            let mut fresh = Book::open(dir.path(), env(&clock, 90_000_000 + n)).unwrap();
            fresh.admit(&[first]).unwrap();
            for _ in 0..2 {
                if n == 2 {
                    books.reverse();
                }
                for from in &books {
                    tell(from, &mut fresh, &files.path().join("end.zip"));
                }
            }
            fresh.journal().verify_all(|_| ()).unwrap();
            (dir, fresh)
        })
        .into();
    // Also of two histories under one key each phone takes the same for the device's.
    let [one, two] = [0, 1].map(|i| folded(known[i].1.journal().read()));
    let other: Vec<_> = one.iter().filter(|row| !two.contains(row)).collect();
    assert_eq!((one.len(), other), (two.len(), Vec::new()), "equal states");
    let forked = |book: &Book| {
        book.journal()
            .extents()
            .unwrap()
            .iter()
            .any(|e| e.forked.is_some())
    };
    if known.iter().any(|(_, book)| forked(book)) {
        for (_, book) in &known {
            assert!(!book.readiness(&rig).unwrap().is_ready());
        }
    }
    let all = phones.iter().map(|p| p.acknowledged.len()).sum();
    (all, phones.len())
}

#[test]
fn what_phones_acknowledged_is_there_and_no_order_of_arrival_changes_what_is_known() {
    let number = |name: &str| std::env::var(name).ok().and_then(|v| v.parse::<u64>().ok());
    let lives = 12 * number("SLACKWATER_CASES").unwrap_or(1);
    let first = number("SLACKWATER_SEED").unwrap_or(1);
    let (mut events, mut copies) = (0, 0);
    for seed in first..first + lives {
        let lived = std::panic::catch_unwind(|| life(seed));
        let Ok((acknowledged, phones)) = lived else {
            panic!("the life of seed {seed}: SLACKWATER_SEED={seed} lives it first");
        };
        events += acknowledged;
        copies += phones - PHONES;
    }
    println!("{lives} lives, {events} events acknowledged, {copies} phones restored from a copy");
    assert!(copies > 0);
}
