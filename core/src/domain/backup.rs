//! Everything in one file: the events of every device and the photos that they name.
//!
//! A zip file (ISO/IEC 21320-1), so that whoever must answer for a record can open it without this
//! program:
//!
//! - `about.json`: the format's name and version, how many events and photos there are;
//! - `events.jsonl`: one event a line, device by device in the order in which each wrote; body, hash
//!   and signature as they stand in the journal, so that each can be checked;
//! - `photos/HASH.jpg`: the originals, byte for byte, named by their BLAKE3 hash.
//!
//! The device key is not in it. Bringing a file in adds what isn't here yet and takes nothing away;
//! events are checked like those of any other device. So a new phone goes on under a key of its own,
//! and no key ever signs two histories.

use std::fs::{self, File};
use std::io::{BufRead, BufReader, BufWriter, ErrorKind, Read, Seek, Write};
use std::path::{Path, PathBuf};

use data_encoding::HEXLOWER_PERMISSIVE;
use serde::{Deserialize, Serialize};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::book::{Book, BookFault};
use super::photos::{MAX_PHOTO_BYTES, PhotoFault, PhotoHash};
use crate::journal::store::IngestFault;
use crate::journal::{DeviceId, Event, EventRef, HeardOf, Hlc, JournalFault};

/// The format's name in `about.json`.
const FORMAT: &str = "slackwater everything";
/// The newest version of the format that this program writes and reads.
pub const VERSION: u32 = 2;
const ABOUT: &str = "about.json";
const EVENTS: &str = "events.jsonl";
const PHOTOS: &str = "photos/";
/// Longest line of `events.jsonl`, in bytes; a body with an imported hold is the longest there is.
const MAX_LINE_BYTES: u64 = 64 * 1024 * 1024;
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
    /// Photos in the file.
    pub photos: u64,
}

/// Why everything could not be written to a file, or a file not be brought in. Nothing was
/// recorded then.
#[derive(Debug, thiserror::Error)]
pub enum BackupFault {
    /// It isn't one of these files at all.
    #[error("this is not a file of everything: {why}")]
    Other {
        /// What it is instead, or what it lacks.
        why: String,
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
        why: String,
    },
    /// A line of the events makes no sense.
    #[error("{EVENTS}, line {line}: {why}")]
    Line {
        /// Which, from 1.
        line: u64,
        /// What is wrong.
        why: String,
    },
    /// An event can't be taken over.
    #[error(transparent)]
    Event(#[from] IngestFault),
    /// Reading or writing failed.
    #[error("failed {doing} {}: {source}", path.display())]
    Io {
        /// The step.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// No space is left for it.
    #[error("no space left while {doing} {}", path.display())]
    Full {
        /// The step.
        doing: &'static str,
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
    /// What its writer had heard, each as DEVICE:NUMBER; left out where its version didn't say.
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
            heard: event.heard.map(|heard| {
                let of = |h: &HeardOf| EventRef {
                    device: h.device,
                    seq: h.seq,
                };
                heard.iter().map(|h| of(h).to_string()).collect()
            }),
            prev: hex(&event.prev),
            hash: hex(&event.hash),
            signature: hex(&event.signature),
        }
    }

    fn event(self) -> Result<Event, String> {
        fn fixed<const N: usize>(name: &str, text: &str) -> Result<[u8; N], String> {
            let bytes = HEXLOWER_PERMISSIVE.decode(text.as_bytes());
            bytes
                .ok()
                .and_then(|b| b.try_into().ok())
                .ok_or_else(|| format!("{name} is not {} hexadecimal digits", N * 2))
        }
        let body = match (self.body, self.body_hex) {
            (Some(text), None) => text.into_bytes(),
            (None, Some(hex)) => HEXLOWER_PERMISSIVE
                .decode(hex.as_bytes())
                .map_err(|_| "body_hex is not hexadecimal".to_owned())?,
            _ => return Err("it has not exactly one of body and body_hex".into()),
        };
        // A clock beyond the end of time, which a version let run over, orders nothing and is kept.
        let hlc = u64::from_be_bytes(fixed("hlc", &self.hlc)?);
        if self.seq > i64::MAX as u64 || self.seq == 0 {
            return Err("its number is out of range".into());
        }
        let heard = |text: &String| {
            let of: EventRef = text
                .parse()
                .map_err(|_| format!("heard: '{text}' is no event"))?;
            Ok(HeardOf {
                device: of.device,
                seq: of.seq,
            })
        };
        let heard = match &self.heard {
            None => None,
            Some(list) => Some(list.iter().map(heard).collect::<Result<_, String>>()?),
        };
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
        fs::rename(&part, path).map_err(io("naming", path))?;
        Ok(kept)
    });
    if result.is_err() {
        let _ = fs::remove_file(&part);
    }
    result
}

fn write_part(book: &Book, path: &Path) -> Result<Kept, BackupFault> {
    const WRITING: &str = "writing";
    let file = File::create(path).map_err(io(WRITING, path))?;
    let mut zip = ZipWriter::new(BufWriter::new(file));
    let zipped = |e: zip::result::ZipError| io(WRITING, path)(e.into());
    // A file of a season's photos may pass 4 GiB.
    let packed = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .large_file(true);
    let stored = packed.compression_method(CompressionMethod::Stored);
    let mut kept = Kept::default();

    zip.start_file(EVENTS, packed).map_err(zipped)?;
    book.journal().each_event(|event| {
        kept.events += 1;
        let mut line = serde_json::to_vec(&Line::of(event))
            .map_err(|e| io(WRITING, path)(std::io::Error::other(e)))?;
        line.push(b'\n');
        zip.write_all(&line).map_err(io(WRITING, path))
    })?;

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
        zip.write_all(&bytes).map_err(io(WRITING, path))?;
        kept.photos += 1;
    }

    let about = About {
        format: FORMAT.into(),
        version: VERSION,
        events: kept.events,
        photos: kept.photos,
    };
    let about = serde_json::to_vec_pretty(&about)
        .map_err(|e| io(WRITING, path)(std::io::Error::other(e)))?;
    zip.start_file(ABOUT, packed).map_err(zipped)?;
    zip.write_all(&about).map_err(io(WRITING, path))?;
    let file = zip
        .finish()
        .map_err(zipped)?
        .into_inner()
        .map_err(|e| io(WRITING, path)(e.into_error()))?;
    file.sync_all().map_err(io(WRITING, path))?;
    kept.bytes = file.metadata().map_err(io(WRITING, path))?.len();
    Ok(kept)
}

/// Adds what a file holds and isn't here yet. Photos go first, each checked against its name, so
/// that no event names a photo that isn't there; then the events, all of them or none.
///
/// # Errors
/// [`BackupFault`] says which part of the file is wrong; no event was recorded then.
pub fn read(book: &mut Book, path: &Path) -> Result<Brought, BackupFault> {
    let file = File::open(path).map_err(io("reading", path))?;
    let mut zip = ZipArchive::new(BufReader::new(file))
        .map_err(|e| BackupFault::Other { why: e.to_string() })?;
    let about = read_about(&mut zip)?;
    let mut photos = Vec::new();
    for name in zip.file_names() {
        let name = name.map_err(|e| damaged(PHOTOS, e.to_string()))?;
        if name.starts_with(PHOTOS) && !name.ends_with('/') {
            photos.push(name.into_owned());
        }
    }
    for name in &photos {
        read_photo(book, &mut zip, name)?;
    }
    let lines = zip
        .by_name(EVENTS)
        .map_err(|e| damaged(EVENTS, e.to_string()))?;
    let mut events = 0;
    let new_events = book.ingest_all(EventLines {
        from: BufReader::new(lines),
        line: 0,
        events: &mut events,
        wanted: about.events,
    })?;
    Ok(Brought {
        events,
        new_events,
        photos: photos.len() as u64,
    })
}

fn read_about<R: Read + Seek>(zip: &mut ZipArchive<R>) -> Result<About, BackupFault> {
    let entry = zip.by_name(ABOUT).map_err(|_| BackupFault::Other {
        why: format!("it has no {ABOUT}"),
    })?;
    let mut text = Vec::new();
    entry
        .take(MAX_ABOUT_BYTES)
        .read_to_end(&mut text)
        .map_err(|e| damaged(ABOUT, e.to_string()))?;
    // The version first: what a newer format holds besides is not ours to judge.
    #[derive(Deserialize)]
    struct Which {
        format: String,
        version: u32,
    }
    let which: Which = serde_json::from_slice(&text).map_err(|e| damaged(ABOUT, e.to_string()))?;
    if which.format != FORMAT {
        return Err(BackupFault::Other {
            why: format!("its format is called '{}'", which.format),
        });
    }
    if which.version > VERSION {
        return Err(BackupFault::Newer {
            found: which.version,
            known: VERSION,
        });
    }
    serde_json::from_slice(&text).map_err(|e| damaged(ABOUT, e.to_string()))
}

fn read_photo<R: Read + Seek>(
    book: &Book,
    zip: &mut ZipArchive<R>,
    name: &str,
) -> Result<(), BackupFault> {
    let stem = name
        .trim_start_matches(PHOTOS)
        .split('.')
        .next()
        .unwrap_or_default();
    let hash: PhotoHash = stem
        .parse()
        .map_err(|e: PhotoFault| damaged(name, e.to_string()))?;
    let entry = zip
        .by_name(name)
        .map_err(|e| damaged(name, e.to_string()))?;
    let mut bytes = Vec::new();
    entry
        .take(MAX_PHOTO_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| damaged(name, e.to_string()))?;
    // Checked before it is kept: the store would keep any photo, under its right name.
    if blake3::hash(&bytes).as_bytes() != &hash.0 {
        return Err(damaged(name, "its content is not that of its name".into()));
    }
    book.photos().put(&bytes)?;
    Ok(())
}

/// The events of a file, line by line.
struct EventLines<'a, R> {
    from: R,
    line: u64,
    events: &'a mut u64,
    wanted: u64,
}

impl<R: BufRead> Iterator for EventLines<'_, R> {
    type Item = Result<Event, BackupFault>;

    fn next(&mut self) -> Option<Self::Item> {
        let mut text = Vec::new();
        let read = (&mut self.from)
            .take(MAX_LINE_BYTES + 1)
            .read_until(b'\n', &mut text);
        self.line += 1;
        let wrong = |why: String| BackupFault::Line {
            line: self.line,
            why,
        };
        match read {
            Err(e) => return Some(Err(wrong(e.to_string()))),
            // A file cut at a line's end reads well; the number says that something is missing.
            Ok(0) if *self.events != self.wanted => {
                return Some(Err(wrong(format!(
                    "the file ends after {} of {} events",
                    self.events, self.wanted
                ))));
            }
            Ok(0) => return None,
            Ok(n) if n as u64 > MAX_LINE_BYTES => {
                return Some(Err(wrong("the line is too long".into())));
            }
            Ok(_) => {}
        }
        let event = serde_json::from_slice::<Line>(&text)
            .map_err(|e| e.to_string())
            .and_then(Line::event)
            .map_err(wrong);
        *self.events += 1;
        Some(event)
    }
}

fn damaged(part: &str, why: String) -> BackupFault {
    BackupFault::Damaged {
        part: part.chars().take(100).collect(),
        why,
    }
}

/// Sorts a fault of the disk.
fn io<'a>(doing: &'static str, path: &'a Path) -> impl Fn(std::io::Error) -> BackupFault + 'a {
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
