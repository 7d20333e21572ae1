//! What must be so of a store after its disk failed.

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use slackwater_core::domain::book::{Book, BookFault};
use slackwater_core::domain::facts::Fact;
use slackwater_core::domain::fold;
use slackwater_core::domain::photos::PhotoState;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::journal::store::SetAside;
use slackwater_core::journal::{DeviceId, EventRef, FixedClock, JournalFault};
use slackwater_core::screens::desk::Desk;

use super::day::shown;
use crate::drive::{MORNING_MS, env, folded};

/// What was acknowledged: every event, with its hash.
pub type Acknowledged = HashMap<EventRef, [u8; 32]>;

/// How a store was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Found {
    /// Everything acknowledged is there.
    Whole,
    /// And something that was refused, or that nobody had heard the end of.
    MoreThanSaid,
    /// Nothing was acknowledged yet, and what there was of a file was set aside.
    BegunAnew,
    /// Events are missing, the first page says so and every rig is blocked.
    LostAndSaid,
    /// The file was set aside with all that was acknowledged, and the first page says so.
    SetAside,
}

fn hex(text: &str) -> Option<[u8; 32]> {
    let bytes: Vec<u8> = (0..text.len() / 2)
        .map(|i| u8::from_str_radix(text.get(2 * i..2 * i + 2)?, 16).ok())
        .collect::<Option<_>>()?;
    bytes.try_into().ok()
}

/// Adds what a line acknowledges; two different events under one number are an error.
///
/// # Errors
/// Says which.
pub fn acknowledge(line: &str, into: &mut Acknowledged) -> Result<(), String> {
    let Some(rest) = line.strip_prefix("ack ") else {
        return Ok(());
    };
    let words: Vec<&str> = rest.split(' ').collect();
    let [device, seq, hash] = words[..] else {
        return Err(format!("no acknowledgement: {line}"));
    };
    let (Some(device), Ok(seq), Some(hash)) = (hex(device), seq.parse(), hex(hash)) else {
        return Err(format!("no acknowledgement: {line}"));
    };
    let event = EventRef {
        device: DeviceId(device),
        seq,
    };
    signed_once(into, event, hash)
}

fn signed_once(all: &mut Acknowledged, event: EventRef, hash: [u8; 32]) -> Result<(), String> {
    match all.insert(event, hash) {
        Some(was) if was != hash => Err(format!("{event} was signed twice")),
        _ => Ok(()),
    }
}

/// A seed that no opening had before: a new key is to be a new one.
fn fresh() -> u64 {
    static SEED: AtomicU64 = AtomicU64::new(1_000_000);
    SEED.fetch_add(1, Ordering::SeqCst)
}

fn open(folder: &Path) -> Result<Book, String> {
    let clock = Arc::new(FixedClock::at(MORNING_MS + 86_400_000));
    let mut tries = 0;
    loop {
        match Book::open(folder, env(&clock, fresh())) {
            // While another thread starts a process, that process holds the lock, too, until it runs its
            // own program.
            Err(BookFault::Journal(JournalFault::Busy { .. })) if tries < 500 => {
                tries += 1;
                std::thread::sleep(Duration::from_millis(10));
            }
            opened => return opened.map_err(|e| format!("it doesn't open: {e}")),
        }
    }
}

/// Every event of a book, in its sequences and beside them.
fn events(book: &Book) -> Result<Acknowledged, String> {
    let mut all = Acknowledged::new();
    let mut wrong = Ok(());
    let read = book.journal().each_event(|e| {
        let known = signed_once(&mut all, e.reference(), e.hash);
        if wrong.is_ok() {
            wrong = known;
        }
        Ok::<_, JournalFault>(())
    });
    read.map_err(|e| format!("the record can't be read: {e}"))?;
    wrong.map(|()| all)
}

/// Looks at a store whose disk failed, goes on in it, and opens it again.
///
/// # Errors
/// Says what is wrong.
pub fn look(folder: &Path, acknowledged: &Acknowledged) -> Result<Found, String> {
    let book = open(folder)?;
    let told = (book.opening.lost, book.opening.set_aside.clone());
    let aside = book.opening.set_aside.clone();
    let there = events(&book)?;
    let missing: Vec<&EventRef> = acknowledged
        .iter()
        .filter(|(event, hash)| there.get(event) != Some(hash))
        .map(|(event, _)| event)
        .collect();
    // One of another history under its number is another event.
    let twice = missing.iter().find(|event| there.contains_key(event));
    if let Some(event) = twice {
        return Err(format!("{event} is another than was acknowledged"));
    }
    sound(&book)?;
    let rigs = book.rigs().map_err(|e| e.to_string())?;
    let desk = Desk::new(book, 0);
    let mut pages = Vec::new();
    for rig in [None]
        .into_iter()
        .chain(rigs.iter().map(|r| Some(r.id.as_str())))
    {
        pages.extend(shown(&desk, rig).map_err(|e| format!("a page can't be shown: {e}"))?);
    }
    let said = |words: &str| pages.first().is_some_and(|p| p.contains(words));
    let found = match told {
        (None, None) if missing.is_empty() && there.len() > acknowledged.len() => {
            Found::MoreThanSaid
        }
        (None, None) if missing.is_empty() => Found::Whole,
        (_, Some(_)) if acknowledged.is_empty() => Found::BegunAnew,
        (_, Some(aside)) if !missing.is_empty() => {
            let name = aside
                .path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            if !said(&name) {
                return Err("set aside, and the first page doesn't say so".into());
            }
            Found::SetAside
        }
        (Some(_), None) => {
            if !said("that this phone had acknowledged") {
                return Err("events are missing, and the first page doesn't say so".into());
            }
            for rig in &rigs {
                let ready = desk.book().readiness(&rig.id).map_err(|e| e.to_string())?;
                if !ready.obstacles.contains(&Obstacle::Lost) {
                    return Err("events are missing, and a rig is not blocked".into());
                }
            }
            if missing.is_empty() {
                return Err("it says that events are missing, and none is".into());
            }
            Found::LostAndSaid
        }
        (None, None) => return Err(format!("{missing:?} are missing, and nothing is said")),
        (lost, aside) => return Err(format!("told {lost:?}, {aside:?}, missing {missing:?}")),
    };
    drop(desk);
    goes_on(folder, acknowledged, &there, aside)?;
    Ok(found)
}

/// Chains, tables and photos.
fn sound(book: &Book) -> Result<(), String> {
    let wrong = |e: &dyn std::fmt::Display| format!("the record is not sound: {e}");
    book.journal().verify_all(|_| ()).map_err(|e| wrong(&e))?;
    let db = book.journal().read();
    let says: String = db
        .query_row("PRAGMA integrity_check", [], |r| r.get(0))
        .map_err(|e| wrong(&e))?;
    if says != "ok" {
        return Err(wrong(&says));
    }
    let tables = folded(db);
    let anew = (|| {
        db.execute_batch("SAVEPOINT anew")?;
        fold::fold_anew(db)?;
        let anew = folded(db);
        db.execute_batch("ROLLBACK TO anew; RELEASE anew")?;
        Ok::<_, rusqlite::Error>(anew)
    })();
    let anew = anew.map_err(|e| wrong(&e))?;
    if let Some(row) = tables.iter().find(|row| !anew.contains(row)) {
        return Err(wrong(&format!("no event says {row}")));
    }
    if tables.len() != anew.len() {
        return Err(wrong(&"a table lacks what an event says"));
    }
    let mut photos = Vec::new();
    let read = book.journal().each_event(|e| {
        if let Fact::PhotoTaken { photo, .. } = Fact::read(&e.body) {
            photos.push(photo);
        }
        Ok::<_, JournalFault>(())
    });
    read.map_err(|e| wrong(&e))?;
    for photo in photos {
        let hash = photo.parse().map_err(|e| wrong(&e))?;
        let state = book.photos().verify(hash).map_err(|e| wrong(&e))?;
        if state != PhotoState::Present {
            return Err(format!("an event names a photo that is {state:?}"));
        }
    }
    Ok(())
}

/// One more entry, under a number that nobody has seen signed; and it is there when opened again.
fn goes_on(
    folder: &Path,
    acknowledged: &Acknowledged,
    there: &Acknowledged,
    aside: Option<SetAside>,
) -> Result<(), String> {
    let mut book = open(folder)?;
    // Nothing was recorded since: it is said again.
    if book.opening.set_aside != aside {
        return Err(format!("opened again: {:?}", book.opening));
    }
    book.add_member("Mika", slackwater_core::domain::facts::Role::Assistant)
        .map_err(|e| format!("nothing more can be recorded: {e}"))?;
    let now = events(&book)?;
    for (event, hash) in &now {
        if acknowledged.get(event).is_some_and(|was| was != hash) {
            return Err(format!("{event} was signed a second time"));
        }
    }
    if now.len() <= there.len() {
        return Err("what was recorded is not there".into());
    }
    drop(book);
    let book = open(folder)?;
    if book.opening.lost.is_some() || book.opening.set_aside.is_some() {
        return Err(format!("opened a third time: {:?}", book.opening));
    }
    if events(&book)? != now {
        return Err("what was recorded is gone".into());
    }
    Ok(())
}

/// Bytes of all files, for telling one disk from another.
///
/// # Errors
/// What the system says.
pub fn files(folder: &Path) -> std::io::Result<BTreeMap<String, Vec<u8>>> {
    fn list(at: &Path, path: &str, into: &mut BTreeMap<String, Vec<u8>>) -> std::io::Result<()> {
        into.insert(format!("{path}/"), Vec::new());
        for entry in fs::read_dir(at)? {
            let entry = entry?;
            let name = format!("{path}/{}", entry.file_name().to_string_lossy());
            if entry.file_type()?.is_dir() {
                list(&entry.path(), &name, into)?;
            } else {
                into.insert(name, fs::read(entry.path())?);
            }
        }
        Ok(())
    }
    let mut all = BTreeMap::new();
    list(folder, "", &mut all)?;
    Ok(all)
}
