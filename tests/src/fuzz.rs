//! What is fuzzed: everything that comes in from outside, each as a function of bytes that panics where
//! something is wrong. `tests/fuzz` runs them under libFuzzer, `tests/tests/fuzz.rs` for a while in the suite.
//!
//! Where bytes alone don't get deep the bytes are choices: of what is signed, what of it is changed, who
//! signs it. Everything that depends on the record begins from a store that is laid out anew after each input
//! that recorded something, so that an input alone tells what it does. Where a million are to be tried
//! `SLACKWATER_BATCH` says how many such inputs go into one store; what lies in it is then looked at whole before
//! it is laid out anew, and [`since`] tells what went in.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use slackwater_core::domain::backup;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::Fact;
use slackwater_core::domain::fold;
use slackwater_core::domain::hold_log::{self, WrongRows};
use slackwater_core::domain::photos;
use slackwater_core::domain::procedure::{self, OutlineEnclosure, RigOutline};
use slackwater_core::exchange::hello::lacked;
use slackwater_core::exchange::join::Code;
use slackwater_core::exchange::parcel::{Packing, Unpacking};
use slackwater_core::exchange::secret::Kind;
use slackwater_core::exchange::segment::Cutter;
use slackwater_core::exchange::{Hello, Segment};
use slackwater_core::journal::{Event, EventRef, FixedClock, HeardOf, Hlc, SeededEntropy};
use slackwater_core::physics::hold::judge_briefly;
use slackwater_core::screens::Action;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::navigation::Stack;

use crate::disk::day::shown;
use crate::drive::{Day, MORNING_MS, env, events_of, folded, png};
use crate::shell::targets;
use crate::stranger::{Stranger, everything, line};
use crate::walk::copy_folder;

/// One target.
pub struct Target {
    /// Its name, under which its corpus lies.
    pub name: &'static str,
    /// What it does with bytes; it panics where something is wrong.
    pub run: fn(&[u8]),
    /// What to begin from.
    pub seeds: fn() -> Vec<Vec<u8>>,
    /// How many inputs the suite tries.
    pub tries: u64,
}

/// All of them.
pub const TARGETS: [Target; 14] = [
    Target {
        name: "body",
        run: body,
        seeds: || told().iter().map(|e| e.body.clone()).collect(),
        tries: 20_000,
    },
    Target {
        name: "line",
        run: one_line,
        seeds: || told().iter().map(|e| line(e).into_bytes()).collect(),
        tries: 20_000,
    },
    Target {
        name: "hold_log",
        run: log,
        seeds: logs,
        tries: 4_000,
    },
    Target {
        name: "hold_judged",
        run: judged,
        seeds: logs,
        tries: 40,
    },
    Target {
        name: "procedure",
        run: steps,
        seeds: procedures,
        tries: 3_000,
    },
    Target {
        name: "photo",
        run: photo,
        seeds: pictures,
        tries: 20_000,
    },
    Target {
        name: "segment",
        run: segment,
        seeds: segments,
        tries: 10_000,
    },
    Target {
        name: "hello",
        run: hello,
        seeds: || vec![made().hello.to_bytes(); 4],
        tries: 10_000,
    },
    Target {
        name: "parcel",
        run: parcel,
        seeds: parcels,
        tries: 10_000,
    },
    Target {
        name: "join_code",
        run: join_code,
        seeds: || vec![made().code.to_text().into_bytes(); 4],
        tries: 10_000,
    },
    Target {
        name: "taken",
        run: taken,
        seeds: choices,
        tries: 250,
    },
    Target {
        name: "events",
        run: signed_events,
        seeds: choices,
        tries: 250,
    },
    Target {
        name: "everything",
        run: file_of_everything,
        seeds: files,
        tries: 250,
    },
    Target {
        name: "boundary",
        run: boundary,
        seeds: taps,
        tries: 600,
    },
];

/// The target of a name.
///
/// # Panics
/// Where there is none.
pub fn target(name: &str) -> &'static Target {
    TARGETS
        .iter()
        .find(|t| t.name == name)
        .unwrap_or_else(|| panic!("no target {name}"))
}

// ---- bytes alone ----

/// The body of an event. What is understood is written and read back as the same.
fn body(bytes: &[u8]) {
    let fact = Fact::read(bytes);
    if fact != Fact::Unknown {
        let again = serde_json::to_vec(&fact).expect("a fact that was read can be written");
        assert_eq!(Fact::read(&again), fact);
    }
    let _ = fact.can_be_retracted();
}

/// A line of a file of everything. What is an event is written and read back as the same.
fn one_line(bytes: &[u8]) {
    let Ok(event) = backup::event_of(bytes) else {
        return;
    };
    let _ = event.verify();
    let _ = (event.stamp(), event.reference().to_string());
    let again = backup::line_of(event.clone()).expect("an event can be written");
    assert_eq!(backup::event_of(&again), Ok(event));
}

/// A hold log. What was read is written, and reads as the same hold.
fn log(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let Ok(log) = hold_log::read(text) else {
        return;
    };
    let _ = log.later();
    let Ok(input) = log.input(WrongRows::KeepGood) else {
        return;
    };
    let written = log.write();
    let again = hold_log::read(&written)
        .unwrap_or_else(|e| panic!("what was written can't be read: {e}\n{written}"));
    let again = again
        .input(WrongRows::KeepGood)
        .unwrap_or_else(|e| panic!("what was written is no hold: {e}\n{written}"));
    assert_eq!(again.readings.len(), input.readings.len(), "{written}");
}

/// A hold log, judged. The longest wait for a judgement is held elsewhere; nothing here may panic.
fn judged(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if let Ok(input) = hold_log::read(text).and_then(|log| log.input(WrongRows::KeepGood))
        && input.readings.len() <= 24
        && let Ok(judged) = judge_briefly(&input)
    {
        for told in [judged.leak_ml, judged.low_ml, judged.high_ml] {
            assert!(!told.is_nan(), "{judged:?}");
        }
    }
}

/// A procedure, laid out on a rig with everything and on one with nothing.
fn steps(bytes: &[u8]) {
    let Ok(read) = procedure::parse_bytes(bytes) else {
        return;
    };
    let full = RigOutline {
        enclosures: vec![OutlineEnclosure::default(), OutlineEnclosure::default()],
        has_lens: true,
        has_controls: true,
    };
    for rig in [full, RigOutline::default()] {
        let all = procedure::expand(&read, &rig);
        let keys: std::collections::HashSet<&str> = all.iter().map(|s| s.key.as_str()).collect();
        assert_eq!(keys.len(), all.len(), "two steps of one key");
    }
}

/// A picture. What is handed on without its place tells none.
fn photo(bytes: &[u8]) {
    let Ok(photo) = photos::look_at(bytes) else {
        return;
    };
    assert_eq!(photo.bytes, bytes.len() as u64);
    if let Ok(clean) = photos::without_location(bytes) {
        let left = photos::look_at(&clean).expect("what is handed on is a picture");
        assert!(!left.has_location, "a place is left in it");
    }
}

/// The events of a segment, unpacked. What is read is written as the same, and checked.
fn segment(bytes: &[u8]) {
    if let Ok(read) = Segment::from_bytes(bytes) {
        let _ = read.verify();
        let again = Segment::from_bytes(&read.to_bytes()).expect("what was written is read");
        assert_eq!(again, read);
    }
}

/// What a phone says to have, unsealed.
fn hello(bytes: &[u8]) {
    if let Ok(read) = Hello::from_bytes(bytes) {
        let again = Hello::from_bytes(&read.to_bytes()).expect("what was written is read");
        assert_eq!(again, read);
        let nothing = |_: &EventRef| Ok::<_, ()>(None);
        let lacked = lacked(&read.extents, &made().hello.extents, nothing);
        assert!(lacked.is_ok_and(|l| l.len() <= made().hello.extents.len()));
    }
}

/// A parcel, and what its parts say they are. What comes through is a part of what came.
fn parcel(bytes: &[u8]) {
    let Ok(parts) = Unpacking::begin(bytes) else {
        return;
    };
    let mut length = 0;
    for part in parts.map_while(Result::ok) {
        length += part.len();
        let _ = Kind::of(&part);
        for kind in [Kind::Segment, Kind::Hello] {
            let _ = made().code.secret.open(kind, &part);
        }
    }
    assert!(length <= bytes.len());
}

/// A code to join by, as it is typed or scanned.
fn join_code(bytes: &[u8]) {
    if let Ok(read) = Code::from_text(&String::from_utf8_lossy(bytes)) {
        assert_eq!(Code::from_text(&read.to_text()), Ok(read));
    }
}

// ---- the record ----

/// A crew's day as it lies on the disk, with a phone that this crew admitted and one that it doesn't know.
struct Made {
    dir: PathBuf,
    now_ms: i64,
    rig: String,
    told: Vec<Event>,
    /// The code that was shown: with it, the crew's key.
    code: Code,
    hello: Hello,
    /// The parts of its parcel.
    parts: Vec<Vec<u8>>,
}

const OURS: u8 = 41;
const NOBODYS: u8 = 42;

fn memory() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .expect("a folder")
}

fn made() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(|| {
        let dir = memory().keep();
        let mut day = Day::dry_parts(&dir).expect("a day");
        day.ready().expect("a rig that is ready");
        let rig = day.rig.clone();
        let book = &mut day.book;
        book.add_photo(&rig, "the gauge", &png()).expect("a photo");
        book.open_closure(&rig, "main", None).expect("an opening");
        book.open_defect(&rig, "enclosure/main", true, true, "a nick")
            .expect("a defect");
        book.log_dive(&rig, 12.0, 30.0, "").expect("a dive");
        book.admit(&[Stranger::new(OURS).device()]).expect("a word");
        let code = book.invite().expect("a code");
        let (parcel, _) = book.pack(None, Vec::new()).expect("a parcel");
        let parts = Unpacking::begin(&parcel[..]).expect("a parcel");
        let parts = parts.map(|p| p.expect("a part")).collect();
        let hello = book.hello().expect("a hello");
        let told = events_of(book);
        let now_ms = day.book.now().wall_ms;
        drop(day);
        Made {
            dir,
            now_ms,
            rig,
            told,
            code,
            hello,
            parts,
        }
    })
}

/// Every event of the day.
fn told() -> &'static [Event] {
    &made().told
}

/// A copy of the record that is laid out anew when something was recorded.
struct Copy {
    dir: tempfile::TempDir,
    desk: Option<Desk>,
    events: u64,
    /// How many inputs recorded something in it.
    recorded: usize,
    ours: Stranger,
    nobodys: Stranger,
}

impl Copy {
    fn new() -> Copy {
        let mut copy = Copy {
            dir: memory(),
            desk: None,
            events: 0,
            recorded: 0,
            ours: Stranger::new(OURS),
            nobodys: Stranger::new(NOBODYS),
        };
        copy.anew();
        copy
    }

    fn anew(&mut self) {
        self.desk = None;
        self.dir = memory();
        copy_folder(&made().dir, self.dir.path());
        let clock = Arc::new(FixedClock::at(made().now_ms));
        let book = Book::open(self.dir.path(), env(&clock, 77)).expect("the copy opens");
        // Nothing here is evidence.
        let off = "PRAGMA synchronous = OFF";
        book.journal().read().execute_batch(off).expect("a pragma");
        self.events = book.journal().count(None).expect("a count");
        self.desk = Some(Desk::new(book, 120));
        self.recorded = 0;
        SINCE.take();
        self.ours = Stranger::new(OURS);
        self.nobodys = Stranger::new(NOBODYS);
    }

    fn desk(&mut self) -> &mut Desk {
        self.desk.as_mut().expect("it is open")
    }

    fn entries(&mut self) -> u64 {
        let journal = self.desk().book().journal();
        journal.count(None).expect("a count")
    }

    fn changed(&mut self) -> bool {
        self.entries() != self.events
    }

    /// The pages of the record can be shown, its chains are whole, its tables are what its events say.
    fn sound(&mut self, deep: bool) {
        let rig = made().rig.clone();
        let desk = self.desk();
        shown(desk, Some(&rig)).expect("every page can be shown");
        desk.book().readiness(&rig).expect("it is judged");
        if !deep {
            return;
        }
        let desk = self.desk();
        desk.book().journal().verify_all(|_| ()).expect("sound");
        let db = desk.book().journal().read();
        let tables = folded(db);
        db.execute_batch("SAVEPOINT anew").expect("a savepoint");
        fold::fold_anew(db).expect("it folds");
        let anew = folded(db);
        db.execute_batch("ROLLBACK TO anew; RELEASE anew")
            .expect("it is taken back");
        if let Some(row) = tables.iter().find(|row| !anew.contains(row)) {
            panic!("no event says {row}");
        }
        assert_eq!(tables.len(), anew.len(), "a table lacks what an event says");
    }
}

thread_local! {
    static COPY: RefCell<Option<Copy>> = const { RefCell::new(None) };
    static SINCE: RefCell<Vec<Vec<u8>>> = const { RefCell::new(Vec::new()) };
}

/// How many inputs that record something go into one store.
fn batch() -> usize {
    static BATCH: OnceLock<usize> = OnceLock::new();
    *BATCH.get_or_init(|| {
        let said = std::env::var("SLACKWATER_BATCH").ok();
        said.and_then(|n| n.parse().ok()).unwrap_or(1)
    })
}

/// What this thread's store has met since it was laid out, the last of it perhaps half.
pub fn since() -> Vec<Vec<u8>> {
    SINCE.with_borrow(Clone::clone)
}

fn with_copy(bytes: &[u8], act: impl FnOnce(&mut Copy)) {
    COPY.with_borrow_mut(|slot| {
        // One that a panic left half is thrown away.
        let mut copy = slot.take().unwrap_or_else(Copy::new);
        SINCE.with_borrow_mut(|all| all.push(bytes.to_vec()));
        act(&mut copy);
        if copy.changed() {
            copy.recorded += 1;
            copy.events = copy.entries();
            if copy.recorded >= batch() {
                if batch() > 1 {
                    copy.sound(true);
                }
                copy.anew();
            }
        } else {
            SINCE.with_borrow_mut(Vec::pop);
        }
        *slot = Some(copy);
    });
}

/// Bytes taken one after the other.
struct Choices<'a>(&'a [u8]);

impl Choices<'_> {
    fn byte(&mut self) -> u8 {
        let Some((first, rest)) = self.0.split_first() else {
            return 0;
        };
        self.0 = rest;
        *first
    }

    fn below(&mut self, n: usize) -> usize {
        let wide = usize::from(self.byte()) << 8 | usize::from(self.byte());
        wide % n.max(1)
    }

    fn rest(&mut self, most: usize) -> Vec<u8> {
        let n = self.below(most).min(self.0.len());
        let (first, rest) = self.0.split_at(n);
        self.0 = rest;
        first.to_vec()
    }
}

/// Values at the ends of what can be said.
const WILD: [&str; 14] = [
    "0",
    "-1",
    "1e308",
    "-1e308",
    "1e-320",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551615",
    "null",
    "true",
    "\"\"",
    "\"\\u0000\\u202e\"",
    "[]",
    "{}",
];

/// Changes a body: a value for another, a value of another event, a key gone, or raw bytes.
fn change(value: &mut serde_json::Value, choices: &mut Choices<'_>) {
    use serde_json::Value;
    match value {
        Value::Object(map) if !map.is_empty() => {
            let at = choices.below(map.len());
            let Some(key) = map.keys().nth(at).cloned() else {
                return;
            };
            match choices.byte() % 8 {
                0 => drop(map.remove(&key)),
                1 => drop(map.insert("more".into(), Value::Bool(true))),
                _ => change(&mut map[&key], choices),
            }
        }
        Value::Array(list) if !list.is_empty() => match choices.byte() % 8 {
            0 => list.clear(),
            1 => {
                let first = list[0].clone();
                list.extend(std::iter::repeat_n(first, choices.below(40)));
            }
            _ => {
                let at = choices.below(list.len());
                change(&mut list[at], choices);
            }
        },
        leaf => {
            let wild = WILD[choices.below(WILD.len())];
            *leaf = match choices.byte() % 3 {
                0 => serde_json::from_str(wild).unwrap_or(Value::Null),
                1 => Value::String(String::from_utf8_lossy(&choices.rest(64)).into_owned()),
                _ => match leaf {
                    Value::Number(n) => {
                        let by = f64::from(choices.byte()) - 100.0;
                        serde_json::json!(n.as_f64().unwrap_or(0.0) * by)
                    }
                    _ => leaf.clone(),
                },
            };
        }
    }
}

/// One event by one of the two phones: what an event of the day says, changed.
fn event(copy: &mut Copy, choices: &mut Choices<'_>) -> Event {
    let told = told();
    let mut like = told[choices.below(told.len())].clone();
    let how = choices.byte();
    if how & 1 == 0
        && let Ok(mut value) = serde_json::from_slice(&like.body)
    {
        for _ in 0..=(choices.byte() % 3) {
            change(&mut value, choices);
        }
        like.body = value.to_string().into_bytes();
    } else if how & 2 == 0 {
        like.body = choices.rest(200);
    }
    if how & 4 != 0 {
        like.subject = told[choices.below(told.len())].subject.clone();
    }
    if how & 8 != 0 {
        like.author = String::from_utf8_lossy(&choices.rest(20)).into_owned();
    }
    like.heard = match how >> 4 & 3 {
        0 => None,
        1 => Some(Vec::new()),
        2 => told.last().map(|e| {
            let head = e.hash.first_chunk().copied();
            vec![HeardOf {
                head,
                ..e.reference().into()
            }]
        }),
        _ => {
            let mut far = told[0].reference();
            far.seq = u64::from(choices.byte()) << (choices.byte() % 56);
            Some(vec![far.into()])
        }
    };
    let now = made().now_ms;
    let (hlc, ms) = match choices.byte() % 6 {
        0 => (Hlc(u64::MAX), i64::MAX),
        1 => (Hlc(0), i64::MIN),
        2 => (Hlc::at(now.saturating_add(86_400_000 * 365)), now),
        3 => (Hlc::at(MORNING_MS), MORNING_MS),
        _ => (Hlc::at(now + 60_000), now + 60_000),
    };
    let who = if how & 64 == 0 {
        &mut copy.ours
    } else {
        &mut copy.nobodys
    };
    who.says(&like, hlc, ms)
}

fn signed_events(bytes: &[u8]) {
    with_copy(bytes, |copy| {
        let mut choices = Choices(bytes);
        let how = choices.byte();
        let deep = how % 4 == 0 && batch() == 1;
        let mut all = Vec::new();
        while !choices.0.is_empty() && all.len() < 6 {
            all.push(event(copy, &mut choices));
        }
        let strangers = all.iter().all(|e| e.device == copy.nobodys.device());
        let before = strangers.then(|| folded(copy.desk().book().journal().read()));
        let one_by_one = all.into_iter().map(Ok::<_, backup::BackupFault>);
        let _ = copy.desk().book_mut().ingest_all(one_by_one);
        if let Some(before) = before {
            let after = folded(copy.desk().book().journal().read());
            assert_eq!(before, after, "nobody's phone changed what is known");
        }
        if looked_at(how) {
            copy.sound(deep);
        }
    });
}

/// Whether what an input does is looked at at once: of those that share a store now and then, since pages take
/// longer than the rest.
fn looked_at(how: u8) -> bool {
    batch() == 1 || how.is_multiple_of(16)
}

/// A parcel as somebody makes it who holds the crew's key, or changes one on its way.
fn taken(bytes: &[u8]) {
    with_copy(bytes, |copy| {
        let mut choices = Choices(bytes);
        let how = choices.byte();
        let secret = &made().code.secret;
        let entropy = SeededEntropy::new(9);
        let mut parts = Vec::new();
        let mut strangers = true;
        while !choices.0.is_empty() && parts.len() < 6 {
            let which = choices.byte();
            let part = match which % 5 {
                0 => {
                    let mut part = made().parts[choices.below(made().parts.len())].clone();
                    if which & 8 != 0 {
                        let at = choices.below(part.len());
                        part[at] ^= choices.byte();
                    }
                    Ok(part)
                }
                1 => {
                    let mut cutter = Cutter::default();
                    let mut made = None;
                    for _ in 0..=(choices.byte() % 4) {
                        let event = event(copy, &mut choices);
                        strangers &= event.device == copy.nobodys.device();
                        made = made.or(cutter.take(event));
                    }
                    let segment = made.or_else(|| cutter.end()).expect("an event");
                    segment.seal(secret, &entropy)
                }
                2 => {
                    let kind = [Kind::Segment, Kind::Hello][choices.below(2)];
                    secret.seal(kind, &choices.rest(200), &entropy)
                }
                3 => {
                    let mut plain = made().hello.to_bytes();
                    let at = choices.below(plain.len());
                    plain[at] ^= choices.byte();
                    secret.seal(Kind::Hello, &plain, &entropy)
                }
                _ => Ok([b"SWK1", &choices.rest(300)[..]].concat()),
            };
            parts.push(part.expect("it is short"));
        }
        let mut packing = Packing::begin(Vec::new()).expect("memory");
        for part in parts {
            packing.part(&part).expect("memory");
        }
        let (mut parcel, _) = packing.end().expect("memory");
        if how & 1 == 0 {
            parcel.truncate(choices.below(parcel.len() + 1));
        }
        let before = strangers.then(|| folded(copy.desk().book().journal().read()));
        let _ = copy.desk().book_mut().unpack(&parcel[..]);
        if let Some(before) = before {
            let after = folded(copy.desk().book().journal().read());
            assert_eq!(before, after, "nobody's phone changed what is known");
        }
        if looked_at(how >> 1) {
            copy.sound(how & 0x30 == 0 && batch() == 1);
        }
    });
}

fn file_of_everything(bytes: &[u8]) {
    with_copy(bytes, |copy| {
        let mut choices = Choices(bytes);
        let how = choices.byte();
        let path = copy.dir.path().join("in.zip");
        if how & 1 == 0 {
            let raw = choices.0;
            std::fs::write(&path, raw).expect("a file");
        } else {
            let mut lines = Vec::new();
            let mut parts = Vec::new();
            while !choices.0.is_empty() && lines.len() < 6 {
                let mut text = line(&event(copy, &mut choices));
                if choices.byte() % 8 == 0 && text.is_ascii() {
                    let at = choices.below(text.len());
                    text.replace_range(at..=at, "7");
                }
                lines.push(text);
            }
            if how & 2 != 0 {
                let bytes = if how & 4 != 0 {
                    png()
                } else {
                    choices.rest(200)
                };
                let name = if how & 8 != 0 {
                    Stranger::name_of(&bytes)
                } else {
                    String::from_utf8_lossy(&choices.rest(30)).into_owned()
                };
                parts.push((format!("photos/{name}.png"), bytes));
            }
            if everything(&path, lines, &parts).is_err() {
                return;
            }
        }
        let before = copy.entries();
        let brought = backup::read(copy.desk().book_mut(), &path);
        let after = copy.entries();
        if brought.is_err() {
            assert_eq!(before, after, "what is refused leaves nothing");
        }
        if looked_at(how >> 1) {
            copy.sound(how & 0x30 == 0 && batch() == 1);
        }
    });
}

/// What a phone kept and an action, each a line, as a shell hands them over: shown, done, shown again.
fn boundary(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let (kept, action) = text.split_once('\n').unwrap_or((&text, ""));
    let mut stack = Stack::read(kept);
    with_copy(bytes, |copy| {
        let desk = copy.desk();
        let _ = desk.top(&stack);
        if let Ok(action) = serde_json::from_str::<Action>(action)
            && let Ok(reply) = desk.act_at(&mut stack, action)
        {
            let _ = desk.top(&stack);
            if let Some(undo) = &reply.undo {
                let _ = desk.undo(&undo.token);
            }
        }
        if copy.changed() {
            copy.sound(false);
        }
    });
}

// ---- what to begin from ----

fn files_in(folder: &str, most: usize) -> Vec<Vec<u8>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<PathBuf> = std::fs::read_dir(root)
        .map(|list| list.flatten().map(|e| e.path()).collect())
        .unwrap_or_default();
    paths.sort();
    let step = (paths.len() / most).max(1);
    let files = paths.iter().step_by(step).filter(|p| p.is_file());
    files.filter_map(|p| std::fs::read(p).ok()).collect()
}

fn segments() -> Vec<Vec<u8>> {
    let mut cutter = Cutter::default();
    let mut all = Vec::new();
    for (n, event) in told().iter().cloned().enumerate() {
        all.extend(cutter.take(event));
        if n % 3 == 2 {
            all.extend(cutter.end());
        }
    }
    all.iter().take(12).map(Segment::to_bytes).collect()
}

fn parcels() -> Vec<Vec<u8>> {
    let pack = |parts: &[Vec<u8>]| {
        let mut packing = Packing::begin(Vec::new()).expect("memory");
        for part in parts {
            packing.part(part).expect("memory");
        }
        packing.end().expect("memory").0
    };
    let parts = &made().parts;
    (0..4).map(|n| pack(&parts[..parts.len().min(n)])).collect()
}

fn logs() -> Vec<Vec<u8>> {
    let mut all: Vec<Vec<u8>> = [
        "reference/hold_logs",
        "reference/hold_logs_warm",
        "reference/recheck_logs",
    ]
    .iter()
    .flat_map(|folder| files_in(folder, 8))
    .collect();
    // Cut short, so that they are quick to change.
    for text in &mut all {
        let lines: Vec<&[u8]> = text.split_inclusive(|b| *b == b'\n').take(32).collect();
        *text = lines.concat();
    }
    all
}

fn procedures() -> Vec<Vec<u8>> {
    files_in("../core/procedures", 8)
}

fn pictures() -> Vec<Vec<u8>> {
    let image = image::RgbImage::from_fn(16, 12, |x, y| image::Rgb([x as u8, y as u8, 90]));
    let formats = [image::ImageFormat::Png, image::ImageFormat::Jpeg];
    let mut all: Vec<Vec<u8>> = formats
        .map(|format| {
            let mut bytes = Vec::new();
            let mut to = std::io::Cursor::new(&mut bytes);
            image.write_to(&mut to, format).expect("a picture");
            bytes
        })
        .into();
    // With a place in it: an Exif part of one GPS entry (CIPA DC-008, 4.6.6).
    let exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x88\x25\0\x04\0\0\0\x01\0\0\0\x1a\0\0\0\0\0\x01\0\x01\0\x02\0\0\0\x02N\0\0\0\0\0\0\0";
    let mut placed = all[1].clone();
    let length = (exif.len() as u16 + 2).to_be_bytes();
    let part: Vec<u8> = [&[0xff, 0xe1][..], &length, exif].concat();
    placed.splice(2..2, part);
    all.push(placed);
    all.push(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic\0\0\0\x08meta".to_vec());
    all
}

fn choices() -> Vec<Vec<u8>> {
    (0..told().len())
        .step_by(3)
        .map(|n| {
            let mut bytes = vec![0];
            for how in [3u8, 0, 35] {
                bytes.extend([(n >> 8) as u8, n as u8, how, 0, 0, 1, 2, 0, 3, 4]);
            }
            bytes
        })
        .collect()
}

fn files() -> Vec<Vec<u8>> {
    let mut all: Vec<Vec<u8>> = choices().into_iter().step_by(4).collect();
    for (n, bytes) in all.iter_mut().enumerate() {
        bytes[0] = [1, 3, 15, 7][n % 4];
    }
    let dir = memory();
    let path = dir.path().join("small.zip");
    let mut who = Stranger::new(NOBODYS);
    let lines = vec![line(&who.says(&told()[0], Hlc::at(MORNING_MS), MORNING_MS))];
    if everything(&path, lines, &[]).is_ok()
        && let Ok(bytes) = std::fs::read(&path)
    {
        all.push([vec![0], bytes].concat());
    }
    all
}

/// Places of the day, with what can be tapped there.
fn taps() -> Vec<Vec<u8>> {
    let mut copy = Copy::new();
    let mut all = Vec::new();
    let rig = made().rig.clone();
    let mut places = vec![
        Place::Rigs { form: None },
        Place::Crew { form: None },
        Place::RingBox { form: None },
        Place::Journal {
            rig: None,
            before: None,
        },
        Place::Rig { rig, form: None },
    ];
    let mut seen = 0;
    while seen < places.len() && all.len() < 400 {
        let place = places[seen].clone();
        seen += 1;
        let Ok(screen) = copy.desk().show(&place) else {
            continue;
        };
        for target in targets(&screen) {
            let kept = Stack::of(vec![place.clone()]).kept();
            let action = serde_json::to_string(&target.action).expect("a text");
            all.push(format!("{kept}\n{action}").into_bytes());
            let led = copy.desk().act(&place, target.action);
            if let Ok(outcome) = led
                && let Some(go) = outcome.go
                && !places.contains(&go)
                && places.len() < 60
            {
                places.push(go);
            }
            if copy.changed() {
                copy.anew();
            }
        }
    }
    all
}

/// Whether a thread's store is still whole; for the programs that go on after a panic.
pub fn forget() {
    COPY.with_borrow_mut(|slot| drop(slot.take()));
}
