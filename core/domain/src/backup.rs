//! Everything in one file: the events of every device and the photos that they name.
//!
//! A zip file (ISO/IEC 21320-1), so that whoever must answer for a record can open it without this
//! program:
//!
//! - `about.json`: the format's name and version, how many events and photos there are;
//! - `events.jsonl`: one event a line, device by device in the order in which each wrote, then what stands
//!   beside a device's sequence; body, hash
//!   and signature as they stand in the journal, so that each can be checked;
//! - `photos/HASH.jpg`: the originals, byte for byte, named by their BLAKE3 hash.
//!
//! The device key is not in it. Bringing a file in adds what isn't here yet and takes nothing away;
//! events are checked like those of any other device. So a new phone goes on under a key of its own,
//! and no key ever signs two histories.

use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};
use std::fs::{self, File};
use std::io::{BufRead, BufReader, BufWriter, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;

use data_encoding::HEXLOWER_PERMISSIVE;
use memchr::memmem;
use serde::{Deserialize, Serialize};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::book::{Book, BookFault};
use super::budget::{self, Stopwatch, Watch};
use super::facts::Fact;
use super::fold;
use super::photos::{self, Doing, PhotoFault, PhotoHash, PhotoStore, Waiting};
use slackwater_journal::store::{IngestFault, sync_folder};
use slackwater_journal::{DeviceId, Event, HeardOf, Hlc, JournalFault};

/// The format's name in `about.json`.
const FORMAT: &str = "slackwater everything";
/// The newest version of the format that this program writes and reads.
pub const VERSION: u32 = 3;
const ABOUT: &str = "about.json";
const EVENTS: &str = "events.jsonl";
const PHOTOS: &str = "photos/";
/// Stands in the body of every event that names a photo.
const PHOTO_TAKEN: &[u8] = b"photo_taken";
/// Longest `about.json`, in bytes.
const MAX_ABOUT_BYTES: u64 = 64 * 1024;

/// What was written.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Kept {
    /// Events.
    pub events: u64,
    /// Photos.
    pub photos: u64,
    /// Photos that an event names, but whose file is missing or damaged on this device.
    pub photos_missing: u64,
    /// Length of the file, in bytes.
    pub bytes: u64,
}

/// What a file brought.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Brought {
    /// Events in the file.
    pub events: u64,
    /// Those that were not here yet.
    pub new_events: u64,
    /// Photos in the file that an event names.
    pub photos: u64,
}

/// Why a file is no file of everything.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotEverything {
    /// It can't be read as a zip file; what the reader said.
    #[error("{0}")]
    NoZip(String),
    /// It has no part that says what it is.
    #[error("it has no {ABOUT}")]
    NoAbout,
    /// It says to be something else.
    #[error("its format is called '{0}'")]
    Called(String),
}

/// What is wrong with a part of a file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PartFault {
    /// What the zip file's reader or that of JSON said.
    #[error("{0}")]
    Unread(String),
    /// A photo's name is no hash.
    #[error("{0:?} is not a photo's hash: 64 hexadecimal digits are expected")]
    NoHash(String),
    /// A photo is another than its name says.
    #[error("its content is not that of its name")]
    OtherPhoto,
}

/// What is wrong with a line of the events.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LineFault {
    /// What the zip file's reader or that of JSON said.
    #[error("{0}")]
    Unread(String),
    /// A field that isn't so many hexadecimal digits.
    #[error("{field} is not {digits} hexadecimal digits")]
    Hex {
        /// The field.
        field: &'static str,
        /// How many digits it has.
        digits: usize,
    },
    /// The body isn't hexadecimal.
    #[error("body_hex is not hexadecimal")]
    BodyHex,
    /// None or both of the two ways to write a body.
    #[error("it has not exactly one of body and body_hex")]
    Body,
    /// The event's number can't be.
    #[error("its number is out of range")]
    Number,
    /// What its writer had heard names no event.
    #[error("heard: '{0}' is no event")]
    Heard(String),
    /// Longer than a line may be.
    #[error("the line is too long")]
    TooLong,
    /// The file ends before all of its events.
    #[error("the file ends after {here} of {wanted} events")]
    EndsEarly {
        /// How many are there.
        here: u64,
        /// How many it says it has.
        wanted: u64,
    },
}

/// Of what a file has more than a phone can take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TooMuch {
    /// Parts.
    #[error("it has more than {0} parts")]
    Parts(u64),
    /// Its photos, unpacked.
    #[error("its photos unpack to more than the {mib} MiB that a file of its size may hold")]
    Photos {
        /// So much they may be, MiB.
        mib: u64,
    },
    /// Its events, unpacked.
    #[error("its events unpack to more than a file of its size may hold")]
    Events,
    /// The time that taking it in takes.
    #[error("taking it in takes longer than so many entries may")]
    Time,
}

/// Why everything could not be written to a file, or a file not be brought in. Nothing was
/// recorded then.
#[derive(Debug, thiserror::Error)]
pub enum BackupFault {
    /// It isn't one of these files at all.
    #[error("this is not a file of everything: {why}")]
    Other {
        /// What it is instead, or what it lacks.
        why: NotEverything,
    },
    /// A newer program wrote it.
    #[error("a newer version wrote this file: it has format {found}, known here is {known}")]
    Newer {
        /// Its version.
        found: u32,
        /// Ours.
        known: u32,
    },
    /// A part of the file is damaged.
    #[error("{part}: {why}")]
    Damaged {
        /// Which part.
        part: String,
        /// What is wrong there.
        why: PartFault,
    },
    /// A line of the events makes no sense.
    #[error("{EVENTS}, line {line}: {why}")]
    Line {
        /// Which, from 1.
        line: u64,
        /// What is wrong.
        why: LineFault,
    },
    /// It costs more than a file of its size may ([`budget`]).
    #[error("it is more than a phone can take: {what}")]
    TooMuch {
        /// What of it.
        what: TooMuch,
    },
    /// Somebody gave it up.
    #[error("it was given up")]
    GivenUp,
    /// An event can't be taken over.
    #[error(transparent)]
    Event(#[from] IngestFault),
    /// Reading or writing failed.
    #[error("failed {doing} {}: {source}", path.display())]
    Io {
        /// The step.
        doing: Doing,
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// No space is left for it.
    #[error("no space left while {doing} {}", path.display())]
    Full {
        /// The step.
        doing: Doing,
        /// The file.
        path: PathBuf,
    },
    /// The journal's file.
    #[error(transparent)]
    Journal(#[from] JournalFault),
    /// The book.
    #[error(transparent)]
    Book(#[from] Box<BookFault>),
    /// A photo can't be kept.
    #[error(transparent)]
    Photo(#[from] PhotoFault),
}

#[derive(Debug, Serialize, Deserialize)]
struct About {
    format: String,
    version: u32,
    events: u64,
    photos: u64,
}

/// An event as a line of JSON. The clock is in hexadecimal: readers of JSON lose digits of a large
/// number.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    device: String,
    seq: u64,
    hlc: String,
    wall_ms: i64,
    author: String,
    subject: String,
    kind: String,
    /// The body as text; `None` where it is no text.
    #[serde(skip_serializing_if = "Option::is_none")]
    body: Option<String>,
    /// The body in hexadecimal, where it is no text.
    #[serde(skip_serializing_if = "Option::is_none")]
    body_hex: Option<String>,
    /// What its writer had heard, each as DEVICE:NUMBER:HASH, of the hash the first eight bytes; of version 2
    /// without it; left out where its version didn't say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    heard: Option<Vec<String>>,
    prev: String,
    hash: String,
    signature: String,
}

impl Line {
    fn of(event: Event) -> Line {
        let hex = |bytes: &[u8]| HEXLOWER_PERMISSIVE.encode(bytes);
        let (body, body_hex) = match String::from_utf8(event.body) {
            Ok(text) => (Some(text), None),
            Err(e) => (None, Some(hex(e.as_bytes()))),
        };
        Line {
            device: hex(&event.device.0),
            seq: event.seq,
            hlc: format!("{:016x}", event.hlc.0),
            wall_ms: event.wall_ms,
            author: event.author,
            subject: event.subject,
            kind: event.kind,
            body,
            body_hex,
            heard: (event.heard).map(|heard| heard.iter().map(HeardOf::to_string).collect()),
            prev: hex(&event.prev),
            hash: hex(&event.hash),
            signature: hex(&event.signature),
        }
    }

    fn event(self) -> Result<Event, LineFault> {
        fn fixed<const N: usize>(field: &'static str, text: &str) -> Result<[u8; N], LineFault> {
            let bytes = HEXLOWER_PERMISSIVE.decode(text.as_bytes());
            bytes
                .ok()
                .and_then(|b| b.try_into().ok())
                .ok_or(LineFault::Hex {
                    field,
                    digits: N * 2,
                })
        }
        let body = match (self.body, self.body_hex) {
            (Some(text), None) => text.into_bytes(),
            (None, Some(hex)) => HEXLOWER_PERMISSIVE
                .decode(hex.as_bytes())
                .map_err(|_| LineFault::BodyHex)?,
            _ => return Err(LineFault::Body),
        };
        // A clock beyond the end of time, which a version let run over, orders nothing and is kept.
        let hlc = u64::from_be_bytes(fixed("hlc", &self.hlc)?);
        if self.seq > i64::MAX as u64 || self.seq == 0 {
            return Err(LineFault::Number);
        }
        let heard = |text: &String| {
            let of = text.parse::<HeardOf>();
            of.map_err(|_| LineFault::Heard(text.chars().take(80).collect()))
        };
        let heard = self.heard.map(|list| list.iter().map(heard).collect());
        let heard = heard.transpose()?;
        Ok(Event {
            device: DeviceId(fixed("device", &self.device)?),
            seq: self.seq,
            hlc: Hlc(hlc),
            wall_ms: self.wall_ms,
            author: self.author,
            subject: self.subject,
            kind: self.kind,
            body,
            heard,
            prev: fixed("prev", &self.prev)?,
            hash: fixed("hash", &self.hash)?,
            signature: fixed("signature", &self.signature)?,
        })
    }
}

/// An event as a line of a file of everything, with the line's end.
///
/// # Errors
/// None known: every event can be written.
pub fn line_of(event: Event) -> Result<Vec<u8>, serde_json::Error> {
    let mut line = serde_json::to_vec(&Line::of(event))?;
    line.push(b'\n');
    Ok(line)
}

/// An event from a line of a file of everything. Whether it is what its device signed is not looked at.
///
/// # Errors
/// What is wrong with it.
pub fn event_of(line: &[u8]) -> Result<Event, LineFault> {
    serde_json::from_slice::<Line>(line)
        .map_err(|e| LineFault::Unread(e.to_string()))
        .and_then(Line::event)
}

/// Writes everything to `path`, which is replaced if it is there. It has that name only once it is
/// whole and on the disk.
///
/// # Errors
/// The journal's file; the disk. What was half written is removed.
pub fn write(book: &Book, path: &Path) -> Result<Kept, BackupFault> {
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    let part = PathBuf::from(part);
    let result = write_part(book, &part).and_then(|kept| {
        fs::rename(&part, path).map_err(io(Doing::Naming, path))?;
        let folder = path.parent().filter(|f| !f.as_os_str().is_empty());
        sync_folder(folder.unwrap_or(Path::new("."))).map_err(io(Doing::Naming, path))?;
        Ok(kept)
    });
    if result.is_err() {
        let _ = fs::remove_file(&part);
    }
    result
}

fn write_part(book: &Book, path: &Path) -> Result<Kept, BackupFault> {
    let file = File::create(path).map_err(io(Doing::Writing, path))?;
    let failed = Failed::default();
    let mut zip = ZipWriter::new(Steady {
        to: BufWriter::new(file),
        at: 0,
        end: 0,
        failed: failed.clone(),
    });
    let kept = write_parts(book, path, &mut zip, &failed)?;
    let zipped = |e: zip::result::ZipError| io(Doing::Writing, path)(e.into());
    let written = zip.finish().map_err(zipped)?.to;
    failed.said().map_err(io(Doing::Writing, path))?;
    let file = written
        .into_inner()
        .map_err(|e| io(Doing::Writing, path)(e.into_error()))?;
    file.sync_all().map_err(io(Doing::Writing, path))?;
    let bytes = file.metadata().map_err(io(Doing::Writing, path))?.len();
    Ok(Kept { bytes, ..kept })
}

fn write_parts(
    book: &Book,
    path: &Path,
    zip: &mut ZipWriter<Steady>,
    failed: &Failed,
) -> Result<Kept, BackupFault> {
    let zipped = |e: zip::result::ZipError| io(Doing::Writing, path)(e.into());
    let stands = || failed.said().map_err(io(Doing::Writing, path));
    // A file of a season's photos may pass 4 GiB.
    let packed = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .large_file(true);
    let stored = packed.compression_method(CompressionMethod::Stored);
    let mut kept = Kept::default();

    zip.start_file(EVENTS, packed).map_err(zipped)?;
    let mut put = |event| {
        kept.events += 1;
        let line =
            line_of(event).map_err(|e| io(Doing::Writing, path)(std::io::Error::other(e)))?;
        zip.write_all(&line).map_err(io(Doing::Writing, path))?;
        stands()
    };
    book.journal().each_event(&mut put)?;
    // What stands beside a sequence is news that another phone may not have.
    for forked in book.journal().extents()? {
        if forked.forked.is_some() {
            (book.journal().apart_of(&forked.device)?)
                .into_iter()
                .try_for_each(&mut put)?;
        }
    }

    for name in book.photo_hashes().map_err(Box::new)? {
        let Ok(hash) = name.parse::<PhotoHash>() else {
            kept.photos_missing += 1;
            continue;
        };
        let bytes = match book.photos().export(hash, true) {
            Ok(bytes) => bytes,
            Err(PhotoFault::Missing { .. } | PhotoFault::Damaged { .. }) => {
                kept.photos_missing += 1;
                continue;
            }
            Err(fault) => return Err(fault.into()),
        };
        let ending = book
            .photos()
            .about(hash)
            .map_or("jpg", |f| f.kind.extension());
        zip.start_file(format!("{PHOTOS}{hash}.{ending}"), stored)
            .map_err(zipped)?;
        zip.write_all(&bytes).map_err(io(Doing::Writing, path))?;
        stands()?;
        kept.photos += 1;
    }

    let about = About {
        format: FORMAT.into(),
        version: VERSION,
        events: kept.events,
        photos: kept.photos,
    };
    let about = serde_json::to_vec_pretty(&about)
        .map_err(|e| io(Doing::Writing, path)(std::io::Error::other(e)))?;
    zip.start_file(ABOUT, packed).map_err(zipped)?;
    zip.write_all(&about).map_err(io(Doing::Writing, path))?;
    Ok(kept)
}

/// What the disk said to a file that is being written, if it failed.
#[derive(Clone, Default)]
struct Failed(Rc<RefCell<Option<std::io::Error>>>);

impl Failed {
    fn said(&self) -> std::io::Result<()> {
        self.0.take().map_or(Ok(()), Err)
    }
}

/// A file under the zip's writer, which panics where a disk fails between two of its steps: what the disk
/// says is kept, and the writer told that all is well until it is asked for.
struct Steady {
    to: BufWriter<File>,
    at: u64,
    end: u64,
    failed: Failed,
}

impl Steady {
    fn tries(&mut self, act: impl FnOnce(&mut BufWriter<File>) -> std::io::Result<()>) {
        let mut failed = self.failed.0.borrow_mut();
        if failed.is_none() {
            *failed = act(&mut self.to).err();
        }
    }
}

impl Write for Steady {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.tries(|to| to.write_all(bytes));
        self.at += bytes.len() as u64;
        self.end = self.end.max(self.at);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.tries(BufWriter::flush);
        Ok(())
    }
}

impl Seek for Steady {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        let at = match to {
            SeekFrom::Start(n) => Some(n),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
            SeekFrom::End(by) => self.end.checked_add_signed(by),
        };
        let at = at.ok_or(ErrorKind::InvalidInput)?;
        self.tries(|to| to.seek(SeekFrom::Start(at)).map(drop));
        self.at = at;
        Ok(at)
    }
}

/// Adds what a file holds and isn't here yet, within its [`budget`]. The events go first, each checked
/// and folded, but none is written for good before the photos that they name lie in their places, so
/// that no event names a photo that isn't there; photos wait beside the others until all of the file
/// is known to be right. All of it, or nothing.
///
/// [`Book::watch`] says how far it is, and takes the word to give it up.
///
/// # Errors
/// [`BackupFault`] says which part of the file is wrong; nothing of it stays then.
pub fn read(book: &mut Book, path: &Path) -> Result<Brought, BackupFault> {
    let watch = book.watch().clone();
    let store = book.photos().clone();
    let kept = Cell::new(photos::Kept::default());
    let result = read_watched(book, path, &watch, &store, &kept);
    watch.end();
    if result.is_err() {
        kept.take().undo(&store);
    }
    book.tidy();
    result
}

fn read_watched(
    book: &mut Book,
    path: &Path,
    watch: &Arc<Watch>,
    store: &Arc<PhotoStore>,
    kept: &Cell<photos::Kept>,
) -> Result<Brought, BackupFault> {
    let (mut zip, bytes) = open_zip(path)?;
    let about = read_about(&mut zip)?;
    let photos = photo_parts(&zip)?;
    watch.begin(about.events.saturating_add(photos.len() as u64));
    // What was heard of before and is not here yet comes in, too.
    let named = book.photo_hashes().map_err(Box::new)?;
    let named = named.iter().filter_map(|name| name.parse().ok()).collect();
    let lines = zip.by_name(EVENTS).map_err(|e| unread(EVENTS, e))?;
    let (mut events, mut taken) = (0, 0);
    let new_events = book.ingest_all(EventLines {
        from: BufReader::new(lines.take(budget::events_bytes(bytes))),
        line: 0,
        left: budget::events_bytes(bytes),
        events: &mut events,
        wanted: about.events,
        clock: Stopwatch::default(),
        watch,
        named,
        last: |named: &HashSet<PhotoHash>| {
            let waiting = read_photos(path, &photos, named, store, watch)?;
            taken = waiting.len() as u64;
            kept.set(store.keep_waiting(waiting)?);
            Ok(())
        },
    })?;
    Ok(Brought {
        events,
        new_events,
        photos: taken,
    })
}

/// The file, and how long it is.
fn open_zip(path: &Path) -> Result<(ZipArchive<BufReader<File>>, u64), BackupFault> {
    let mut file = File::open(path).map_err(io(Doing::Reading, path))?;
    let bytes = file.metadata().map_err(io(Doing::Reading, path))?.len();
    // The list of parts is read into memory as a whole: its length is looked at first.
    if parts_of(&mut file, bytes).map_err(io(Doing::Reading, path))? > budget::PARTS {
        return Err(BackupFault::TooMuch {
            what: TooMuch::Parts(budget::PARTS),
        });
    }
    let zip = ZipArchive::new(BufReader::new(file)).map_err(|e| BackupFault::Other {
        why: NotEverything::NoZip(e.to_string()),
    })?;
    Ok((zip, bytes))
}

/// How many parts a zip file says it has, by its last record, and by that of large files before it
/// (APPNOTE.TXT of the zip format, 4.3.14 and 4.3.16); 0 where it has none.
fn parts_of(file: &mut File, bytes: u64) -> std::io::Result<u64> {
    const LONGEST_COMMENT: u64 = 0xffff + 22 + 20 + 56;
    let from = bytes.saturating_sub(LONGEST_COMMENT);
    file.seek(SeekFrom::Start(from))?;
    let mut tail = Vec::new();
    (&mut *file).take(LONGEST_COMMENT).read_to_end(&mut tail)?;
    file.rewind()?;
    let number = |at: usize, len: usize| -> u64 {
        let field = tail.get(at..at + len).unwrap_or_default();
        let byte = |sum, b: &u8| (sum << 8) | u64::from(*b);
        field.iter().rev().fold(0, byte)
    };
    // Whatever looks like such a record counts: which of them is read is for the reader to say.
    let says = tail.windows(4).enumerate().map(|(at, mark)| match mark {
        b"PK\x05\x06" => match number(at + 10, 2) {
            0xffff => 0,
            few => few,
        },
        b"PK\x06\x06" => number(at + 32, 8),
        _ => 0,
    });
    Ok(says.max().unwrap_or(0))
}

/// The photos in a file: by hash, the part that holds it.
fn photo_parts<R: Read + Seek>(
    zip: &ZipArchive<R>,
) -> Result<HashMap<PhotoHash, String>, BackupFault> {
    let mut photos = HashMap::new();
    for name in zip.file_names() {
        let name = name.map_err(|e| unread(PHOTOS, e))?;
        if let Some(file) = name.strip_prefix(PHOTOS)
            && !name.ends_with('/')
        {
            let stem = file.split('.').next().unwrap_or_default();
            let hash = stem.parse().map_err(|_: PhotoFault| {
                damaged(&name, PartFault::NoHash(stem.chars().take(80).collect()))
            })?;
            photos.insert(hash, name.into_owned());
        }
    }
    Ok(photos)
}

/// The photos that an event names, each checked against its name, to wait beside the others.
fn read_photos(
    path: &Path,
    photos: &HashMap<PhotoHash, String>,
    named: &HashSet<PhotoHash>,
    store: &PhotoStore,
    watch: &Watch,
) -> Result<Vec<Waiting>, BackupFault> {
    let (mut zip, bytes) = open_zip(path)?;
    let most = budget::photos_bytes(bytes);
    let mut left = most;
    let mut waiting = Vec::new();
    for (hash, name) in photos.iter().filter(|(hash, _)| named.contains(*hash)) {
        if watch.is_given_up() {
            return Err(BackupFault::GivenUp);
        }
        watch.step();
        let mut entry = zip.by_name(name).map_err(|e| unread(name, e))?;
        let photo = store.wait(*hash, &mut entry, left).map_err(|e| match e {
            PhotoFault::Damaged { .. } => damaged(name, PartFault::OtherPhoto),
            PhotoFault::Unreadable { why, .. } => damaged(name, PartFault::Unread(why)),
            PhotoFault::TooLarge { limit, .. } if limit == left => BackupFault::TooMuch {
                what: TooMuch::Photos { mib: most >> 20 },
            },
            other => other.into(),
        })?;
        left -= photo.bytes().min(left);
        waiting.push(photo);
    }
    Ok(waiting)
}

fn read_about<R: Read + Seek>(zip: &mut ZipArchive<R>) -> Result<About, BackupFault> {
    let entry = zip.by_name(ABOUT).map_err(|_| BackupFault::Other {
        why: NotEverything::NoAbout,
    })?;
    let mut text = Vec::new();
    entry
        .take(MAX_ABOUT_BYTES)
        .read_to_end(&mut text)
        .map_err(|e| unread(ABOUT, e))?;
    // The version first: what a newer format holds besides is not ours to judge.
    #[derive(Deserialize)]
    struct Which {
        format: String,
        version: u32,
    }
    let which: Which = serde_json::from_slice(&text).map_err(|e| unread(ABOUT, e))?;
    if which.format != FORMAT {
        return Err(BackupFault::Other {
            why: NotEverything::Called(which.format.chars().take(80).collect()),
        });
    }
    if which.version > VERSION {
        return Err(BackupFault::Newer {
            found: which.version,
            known: VERSION,
        });
    }
    serde_json::from_slice(&text).map_err(|e| unread(ABOUT, e))
}

/// The events of a file, line by line; behind the last one what is left to do before they stand.
struct EventLines<'a, R, F> {
    from: R,
    line: u64,
    /// Bytes that may still come.
    left: u64,
    events: &'a mut u64,
    wanted: u64,
    clock: Stopwatch,
    watch: &'a Watch,
    /// Photos that events name.
    named: HashSet<PhotoHash>,
    last: F,
}

impl<R: BufRead, F> EventLines<'_, R, F>
where
    F: FnMut(&HashSet<PhotoHash>) -> Result<(), BackupFault>,
{
    /// The next line; none behind the last.
    fn line(&mut self) -> Result<Option<Vec<u8>>, BackupFault> {
        let mut text = Vec::new();
        let read = (&mut self.from)
            .take(budget::LINE_BYTES + 1)
            .read_until(b'\n', &mut text);
        self.line += 1;
        let wrong = |why: LineFault| BackupFault::Line {
            line: self.line,
            why,
        };
        let n = read.map_err(|e| wrong(LineFault::Unread(e.to_string())))? as u64;
        if n > budget::LINE_BYTES {
            return Err(wrong(LineFault::TooLong));
        }
        self.left -= n.min(self.left);
        if self.left == 0 {
            return Err(BackupFault::TooMuch {
                what: TooMuch::Events,
            });
        }
        // A file cut at a line's end reads well; the number says that something is missing.
        if n == 0 && *self.events != self.wanted {
            return Err(wrong(LineFault::EndsEarly {
                here: *self.events,
                wanted: self.wanted,
            }));
        }
        Ok((n > 0).then_some(text))
    }

    fn event(&mut self) -> Result<Option<Event>, BackupFault> {
        if self.watch.is_given_up() {
            return Err(BackupFault::GivenUp);
        }
        let Some(text) = self.line()? else {
            (self.last)(&self.named)?;
            return Ok(None);
        };
        let event = event_of(&text).map_err(|why| BackupFault::Line {
            line: self.line,
            why,
        })?;
        drop(text);
        if self.clock.is_over(&event) {
            return Err(BackupFault::TooMuch {
                what: TooMuch::Time,
            });
        }
        if memmem::find(&event.body, PHOTO_TAKEN).is_some()
            && let Fact::PhotoTaken { photo, .. } = fold::fact_of(&event)
            && let Ok(hash) = photo.parse()
        {
            self.named.insert(hash);
        }
        *self.events += 1;
        self.watch.step();
        Ok(Some(event))
    }
}

impl<R: BufRead, F> Iterator for EventLines<'_, R, F>
where
    F: FnMut(&HashSet<PhotoHash>) -> Result<(), BackupFault>,
{
    type Item = Result<Event, BackupFault>;

    fn next(&mut self) -> Option<Self::Item> {
        self.event().transpose()
    }
}

fn unread(part: &str, said: impl std::fmt::Display) -> BackupFault {
    damaged(part, PartFault::Unread(said.to_string()))
}

fn damaged(part: &str, why: PartFault) -> BackupFault {
    BackupFault::Damaged {
        part: part.chars().take(100).collect(),
        why,
    }
}

/// Sorts a fault of the disk.
fn io<'a>(doing: Doing, path: &'a Path) -> impl Fn(std::io::Error) -> BackupFault + 'a {
    move |source| {
        let path = path.to_owned();
        match source.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => BackupFault::Full { doing, path },
            _ => BackupFault::Io {
                doing,
                path,
                source,
            },
        }
    }
}
