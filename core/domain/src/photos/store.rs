//! Keeps originals under their hash, and knows what became of each.

use std::collections::{HashMap, HashSet};
use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, BufReader, Cursor, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::inspect::{self, Headers, PlaceSearch, PlaceSigns, SNIFF_BYTES};
use super::privacy;
use super::thumbnail;
use super::{
    Doing, LARGE_SIDE_PX, MAX_PHOTO_BYTES, PhotoFault, PhotoFile, PhotoHash, PhotoKind, PhotoState,
    StoredPhoto, THUMBNAIL_SIDE_PX,
};

/// Bytes that are read at once while streaming.
const PIECE_BYTES: usize = 256 * 1024;
/// A leftover younger than this is kept where the system has no file locks to tell whether
/// someone is still writing it.
const LEFTOVER_AGE: Duration = Duration::from_secs(600);

/// A folder of photos, each kept under the hash of its bytes.
///
/// ```text
/// originals/ab/ab12…_4194304.jpg    as the camera made it; the name tells the length
/// thumbnails/ab/ab12….jpg           may be deleted at any time, is made again
/// incoming/                         being written; leftovers of a crash go at the next open
/// ```
///
/// May be shared between threads and processes: a file comes into being by one rename, and two
/// who put the same photo put the same file. Nothing here ever deletes or changes an original, but
/// for [`Kept::undo`], which takes out again what it has just put in; one that was damaged is replaced
/// when the same photo is put again.
#[derive(Debug)]
pub struct PhotoStore {
    originals: PathBuf,
    thumbnails: PathBuf,
    incoming: PathBuf,
    /// What was found on disk before, so that asking again costs one look at the file.
    known: Mutex<HashMap<PhotoHash, Known>>,
    /// Folders whose own names are known to be on the disk.
    settled: Mutex<HashSet<PathBuf>>,
    /// Held while a picture is decoded: one at a time bounds the memory.
    decoding: Mutex<()>,
}

#[derive(Clone, Copy, Debug)]
struct Known {
    bytes: u64,
    kind: PhotoKind,
    /// Its bytes were read and were not those of its hash.
    damaged: bool,
}

impl PhotoStore {
    /// Opens the store in a folder, which is made if it isn't there, and clears away what a crash
    /// left half written (but not what another process is writing now).
    ///
    /// A folder that can only be read opens too, if it holds a store; then every
    /// [`put`](Self::put) fails and nothing else does.
    ///
    /// # Errors
    /// [`PhotoFault::DiskFull`], [`PhotoFault::NotAllowed`] or [`PhotoFault::Io`] if the folders
    /// can't be made.
    pub fn open(dir: &Path) -> Result<PhotoStore, PhotoFault> {
        let store = PhotoStore {
            originals: dir.join("originals"),
            thumbnails: dir.join("thumbnails"),
            incoming: dir.join("incoming"),
            known: Mutex::default(),
            settled: Mutex::default(),
            decoding: Mutex::default(),
        };
        for needed in [dir, &store.originals] {
            fs::create_dir_all(needed).map_err(|e| io_fault(Doing::MakingFolder, needed, e))?;
        }
        // These two may be lost without loss; what needs them makes them again.
        for spare in [&store.thumbnails, &store.incoming] {
            let _ = fs::create_dir(spare);
        }
        store.clear_leftovers();
        Ok(store)
    }

    /// Keeps a photo, and returns once it would survive a power cut: the file is synced, renamed
    /// into place, and its folder synced. Putting the same bytes again changes nothing, and heals
    /// an original that was found damaged.
    ///
    /// The photo is taken in as it is, also when it is truncated or its metadata is broken. No
    /// thumbnail is made here: ask for it when no one waits.
    ///
    /// Cost, for a JPEG of 4 MB: 8–24 ms, of which 4 ms are computing and the rest is the disk's sync.
    /// Again for a photo that is there: 4 ms, since its bytes are read and compared.
    ///
    /// # Errors
    /// [`PhotoFault::Empty`], [`PhotoFault::TooLarge`] (over [`MAX_PHOTO_BYTES`]),
    /// [`PhotoFault::UnknownKind`], [`PhotoFault::DiskFull`], [`PhotoFault::NotAllowed`],
    /// [`PhotoFault::Io`]. After each of them nothing new is in the store.
    pub fn put(&self, bytes: &[u8]) -> Result<StoredPhoto, PhotoFault> {
        check_length(bytes.len() as u64)?;
        let kind = kind_of(bytes)?;
        let hash = PhotoHash(*blake3::hash(bytes).as_bytes());
        let known = Known {
            bytes: bytes.len() as u64,
            kind,
            damaged: false,
        };
        if !self.is_whole(hash, known)? {
            let mut draft = Draft::create(&self.incoming)?;
            draft.write(bytes)?;
            self.keep(draft, hash, known)?;
        }
        self.settle(hash, known)?;
        let headers = inspect::read_headers(kind, &mut Cursor::new(bytes));
        Ok(describe(hash, known, headers, inspect::place_signs(bytes)))
    }

    /// Keeps a photo that lies in a file, as [`put`](Self::put) does, reading it in pieces of
    /// 256 KiB. The file itself stays as it is.
    ///
    /// # Errors
    /// As [`put`](Self::put); also [`PhotoFault::NotAFile`] for a folder or a device, and
    /// [`PhotoFault::Io`] or [`PhotoFault::NotAllowed`] naming the file if it can't be read.
    pub fn put_file(&self, path: &Path) -> Result<StoredPhoto, PhotoFault> {
        let about = fs::metadata(path).map_err(|e| io_fault(Doing::Reading, path, e))?;
        if !about.is_file() {
            return Err(PhotoFault::NotAFile {
                path: path.to_owned(),
            });
        }
        check_length(about.len())?;
        let mut source = File::open(path).map_err(|e| io_fault(Doing::Reading, path, e))?;
        let mut piece = vec![0; PIECE_BYTES];
        let mut filled = read_piece(&mut source, &mut piece, path)?;
        let kind = kind_of(&piece[..filled])?;

        let mut draft = Draft::create(&self.incoming)?;
        let mut hasher = blake3::Hasher::new();
        let mut places = PlaceSearch::new();
        let mut bytes = 0;
        while filled > 0 {
            bytes += filled as u64;
            check_length(bytes)?; // it may have grown since
            hasher.update(&piece[..filled]);
            places.feed(&piece[..filled]);
            draft.write(&piece[..filled])?;
            filled = read_piece(&mut source, &mut piece, path)?;
        }
        let hash = PhotoHash(*hasher.finalize().as_bytes());
        let known = Known {
            bytes,
            kind,
            damaged: false,
        };
        if !self.is_whole(hash, known)? {
            self.keep(draft, hash, known)?;
        }
        self.settle(hash, known)?;
        let kept = self.place_of(hash, known);
        let file = File::open(&kept).map_err(|e| io_fault(Doing::Reading, &kept, e))?;
        let headers = inspect::read_headers(kind, &mut BufReader::new(file));
        Ok(describe(hash, known, headers, places.found()))
    }

    /// Takes a photo from a stream to wait beside the store until [`PhotoStore::keep_waiting`]: what
    /// names it is not yet known to be right. Reads at most `most` bytes, in pieces.
    ///
    /// # Errors
    /// As [`put`](Self::put), [`PhotoFault::Damaged`] where its bytes are not those of its hash, and
    /// [`PhotoFault::Unreadable`] where the stream fails. Nothing stays then.
    pub fn wait(
        &self,
        hash: PhotoHash,
        from: &mut impl Read,
        most: u64,
    ) -> Result<Waiting, PhotoFault> {
        let mut draft = Draft::create(&self.incoming)?;
        let mut hasher = blake3::Hasher::new();
        let mut piece = vec![0; PIECE_BYTES];
        let (mut bytes, mut kind) = (0, None);
        loop {
            let filled = fill_piece(from, &mut piece).map_err(|source| PhotoFault::Unreadable {
                hash,
                why: source.to_string(),
            })?;
            if filled == 0 {
                break;
            }
            if kind.is_none() {
                kind = Some(kind_of(&piece[..filled])?);
            }
            bytes += filled as u64;
            check_length(bytes)?;
            if bytes > most {
                return Err(PhotoFault::TooLarge { bytes, limit: most });
            }
            hasher.update(&piece[..filled]);
            draft.write(&piece[..filled])?;
        }
        let kind = kind.ok_or(PhotoFault::Empty)?;
        if *hasher.finalize().as_bytes() != hash.0 {
            return Err(PhotoFault::Damaged { hash });
        }
        let known = Known {
            bytes,
            kind,
            damaged: false,
        };
        Ok(Waiting {
            hash,
            known,
            path: draft.leave()?,
        })
    }

    /// Puts photos that waited in their places, as durable as [`put`](Self::put) does: all of them or
    /// none.
    ///
    /// # Errors
    /// Those of the disk.
    pub fn keep_waiting(&self, waiting: Vec<Waiting>) -> Result<Kept, PhotoFault> {
        let mut kept = Kept::default();
        let result = waiting.iter().try_for_each(|photo| {
            if self.is_whole(photo.hash, photo.known)? {
                return self.settle(photo.hash, photo.known);
            }
            let place = self.place_of(photo.hash, photo.known);
            let was_there = place.exists();
            self.make_shelf(photo.hash)?;
            fs::rename(&photo.path, &place).map_err(|e| io_fault(Doing::MovingPhoto, &place, e))?;
            if !was_there {
                kept.new.push((photo.hash, place));
            }
            self.settle(photo.hash, photo.known)
        });
        match result {
            Ok(()) => Ok(kept),
            Err(fault) => {
                kept.undo(self);
                Err(fault)
            }
        }
    }

    /// Tells what became of an original by looking for its file and its length, without reading
    /// it. Damage found by reading ([`verify`](Self::verify), [`thumbnail`](Self::thumbnail),
    /// [`export`](Self::export)) is remembered until the store is closed or the photo put again.
    ///
    /// Cost: 2–3 µs, the first time after opening 10–13 µs (1–2 ms and 5–7 ms for 500 photos,
    /// whatever their size).
    pub fn state(&self, hash: PhotoHash) -> PhotoState {
        let Some(known) = self.locate(hash) else {
            return PhotoState::Missing;
        };
        match fs::metadata(self.place_of(hash, known)) {
            Ok(about) if about.is_file() && about.len() == known.bytes && !known.damaged => {
                PhotoState::Present
            }
            Err(e) if e.kind() == ErrorKind::NotFound => {
                self.known().remove(&hash);
                PhotoState::Missing
            }
            _ => PhotoState::Damaged,
        }
    }

    /// What sort of file an original is; `None` where it isn't in the store. Reads its headers only.
    pub fn about(&self, hash: PhotoHash) -> Option<PhotoFile> {
        let known = self.locate(hash)?;
        let file = File::open(self.place_of(hash, known)).ok()?;
        let size = inspect::read_headers(known.kind, &mut BufReader::new(file)).upright_size();
        Some(PhotoFile {
            kind: known.kind,
            bytes: known.bytes,
            width: size.map(|(width, _)| width),
            height: size.map(|(_, height)| height),
        })
    }

    /// Reads an original through and tells whether its bytes are still those of its hash. Heals
    /// nothing, but clears damage that was remembered if the bytes are right again.
    ///
    /// # Errors
    /// [`PhotoFault::NotAllowed`] or [`PhotoFault::Io`] if the file is there and can't be read.
    pub fn verify(&self, hash: PhotoHash) -> Result<PhotoState, PhotoFault> {
        let Some(known) = self.locate(hash) else {
            return Ok(PhotoState::Missing);
        };
        match self.is_whole(hash, known) {
            Ok(whole) if self.place_of(hash, known).exists() => {
                self.remember(hash, known, !whole);
                Ok(if whole {
                    PhotoState::Present
                } else {
                    PhotoState::Damaged
                })
            }
            Ok(_) => {
                self.known().remove(&hash);
                Ok(PhotoState::Missing)
            }
            Err(fault) => Err(fault),
        }
    }

    /// The path of an original, for a viewer that opens it itself. Where the store doesn't hold
    /// the photo, a path under which no file is; ask [`state`](Self::state).
    pub fn original(&self, hash: PhotoHash) -> PathBuf {
        match self.locate(hash) {
            Some(known) => self.place_of(hash, known),
            None => self.shelf(hash).join(hash.to_string()),
        }
    }

    /// The path of the photo's thumbnail, which is made if it isn't there: a JPEG, upright,
    /// its longest side [`THUMBNAIL_SIDE_PX`](super::THUMBNAIL_SIDE_PX), with the original's colour
    /// profile and no other metadata. One that was made stays good when its original is lost.
    ///
    /// Blocks while it works, and one is made at a time; a screen asks
    /// [`thumbnail_if_made`](Self::thumbnail_if_made) instead and has it made in the background.
    ///
    /// Cost, for 12 megapixels: 120–130 ms, 80 ms of them decoding, and 36 MB (3 bytes per pixel) plus
    /// twice the file for as long as it works.
    ///
    /// # Errors
    /// [`PhotoFault::Missing`], [`PhotoFault::Damaged`], [`PhotoFault::NoThumbnail`] (HEIF),
    /// [`PhotoFault::TooManyPixels`], [`PhotoFault::Undecodable`], and those of the disk.
    pub fn thumbnail(&self, hash: PhotoHash) -> Result<PathBuf, PhotoFault> {
        if let Some(made) = self.thumbnail_if_made(hash) {
            return Ok(made);
        }
        let _one_at_a_time = self.decoding.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(made) = self.thumbnail_if_made(hash) {
            return Ok(made);
        }
        let picture = self.drawn(hash, THUMBNAIL_SIDE_PX)?;

        let place = self.thumbnail_place(hash);
        if let Some(shelf) = place.parent() {
            fs::create_dir_all(shelf).map_err(|e| io_fault(Doing::MakingFolder, shelf, e))?;
        }
        let mut draft = Draft::create(&self.incoming)?;
        draft.write(&picture)?;
        draft.move_to(&place)?;
        Ok(place)
    }

    /// The photo upright and as large as a screen ([`LARGE_SIDE_PX`] at most), as JPEG bytes. Made
    /// anew each time: a photo is looked at large now and then, and the copies would fill the disk.
    ///
    /// # Errors
    /// As [`PhotoStore::thumbnail`].
    pub fn large(&self, hash: PhotoHash) -> Result<Vec<u8>, PhotoFault> {
        let _one_at_a_time = self.decoding.lock().unwrap_or_else(PoisonError::into_inner);
        self.drawn(hash, LARGE_SIDE_PX)
    }

    /// The whole original, checked against its name, drawn upright with at most `side` pixels.
    fn drawn(&self, hash: PhotoHash, side: u32) -> Result<Vec<u8>, PhotoFault> {
        let known = self.locate(hash).ok_or(PhotoFault::Missing { hash })?;
        if !known.kind.can_be_drawn() {
            return Err(PhotoFault::NoThumbnail {
                hash,
                kind: known.kind,
            });
        }
        let bytes = self.read_whole(hash, known)?;
        thumbnail::make(hash, known.kind, bytes, side)
    }

    /// The path of the photo's thumbnail if it was made before; costs one look at the disk.
    pub fn thumbnail_if_made(&self, hash: PhotoHash) -> Option<PathBuf> {
        let place = self.thumbnail_place(hash);
        let about = fs::metadata(&place).ok()?;
        (about.is_file() && about.len() > 0).then_some(place)
    }

    /// The bytes of a photo that may leave the crew.
    ///
    /// With `keep_location`, the original as it is. Without, a file with the same compressed
    /// picture, upright as before, from which all metadata is gone but orientation, the time it
    /// was taken (without its offset from UTC) and the colour profile; so are pictures and clips
    /// that were packed into the file beside the main one. The result is searched once more for
    /// signs of a place before it is handed out.
    ///
    /// # Errors
    /// [`PhotoFault::Missing`], [`PhotoFault::Damaged`], [`PhotoFault::CannotClean`] (HEIF without
    /// `keep_location`), [`PhotoFault::Uncleanable`] (a file that isn't built as its kind demands),
    /// and those of the disk.
    pub fn export(&self, hash: PhotoHash, keep_location: bool) -> Result<Vec<u8>, PhotoFault> {
        let known = self.locate(hash).ok_or(PhotoFault::Missing { hash })?;
        if !keep_location && known.kind == PhotoKind::Heif {
            return Err(PhotoFault::CannotClean {
                hash,
                kind: known.kind,
            });
        }
        let bytes = self.read_whole(hash, known)?;
        if keep_location {
            return Ok(bytes);
        }
        privacy::without_location(hash, known.kind, &bytes)
    }

    fn shelf(&self, hash: PhotoHash) -> PathBuf {
        self.originals.join(fan(hash))
    }

    fn place_of(&self, hash: PhotoHash, known: Known) -> PathBuf {
        let name = format!("{hash}_{}.{}", known.bytes, known.kind.extension());
        self.shelf(hash).join(name)
    }

    fn thumbnail_place(&self, hash: PhotoHash) -> PathBuf {
        self.thumbnails.join(fan(hash)).join(format!("{hash}.jpg"))
    }

    fn known(&self) -> MutexGuard<'_, HashMap<PhotoHash, Known>> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn remember(&self, hash: PhotoHash, known: Known, damaged: bool) {
        self.known().insert(hash, Known { damaged, ..known });
    }

    /// Length and kind of a photo, from memory or from the name of its file.
    fn locate(&self, hash: PhotoHash) -> Option<Known> {
        if let Some(known) = self.known().get(&hash) {
            return Some(*known);
        }
        let wanted = hash.to_string();
        let found = fs::read_dir(self.shelf(hash))
            .ok()?
            .flatten()
            .find_map(|entry| {
                let name = entry.file_name();
                let (bytes, kind) = parse_name(&name, &wanted)?;
                Some(Known {
                    bytes,
                    kind,
                    damaged: false,
                })
            })?;
        self.known().insert(hash, found);
        Some(found)
    }

    /// Whether the photo's own bytes lie in its place. Not there or not readable as a file: no.
    fn is_whole(&self, hash: PhotoHash, known: Known) -> Result<bool, PhotoFault> {
        let place = self.place_of(hash, known);
        let reading = |e| io_fault(Doing::Reading, &place, e);
        match fs::metadata(&place) {
            Ok(about) if about.is_file() && about.len() == known.bytes => {}
            Err(e) if e.kind() != ErrorKind::NotFound => return Err(reading(e)),
            _ => return Ok(false),
        }
        let mut file = File::open(&place).map_err(reading)?;
        let mut hasher = blake3::Hasher::new();
        let mut piece = vec![0; PIECE_BYTES];
        loop {
            match read_piece(&mut file, &mut piece, &place)? {
                0 => break,
                filled => hasher.update(&piece[..filled]),
            };
        }
        Ok(*hasher.finalize().as_bytes() == hash.0)
    }

    /// Reads an original and checks that it is one.
    fn read_whole(&self, hash: PhotoHash, known: Known) -> Result<Vec<u8>, PhotoFault> {
        let place = self.place_of(hash, known);
        let reading = |e: io::Error| match e.kind() {
            ErrorKind::NotFound => PhotoFault::Missing { hash },
            _ => io_fault(Doing::Reading, &place, e),
        };
        let file = File::open(&place).map_err(reading)?;
        let mut bytes = Vec::new();
        file.take(known.bytes + 1)
            .read_to_end(&mut bytes)
            .map_err(reading)?;
        let whole = bytes.len() as u64 == known.bytes && *blake3::hash(&bytes).as_bytes() == hash.0;
        if known.damaged == whole {
            self.remember(hash, known, !whole);
        }
        if whole {
            Ok(bytes)
        } else {
            Err(PhotoFault::Damaged { hash })
        }
    }

    fn keep(&self, draft: Draft, hash: PhotoHash, known: Known) -> Result<(), PhotoFault> {
        self.make_shelf(hash)?;
        draft.move_to(&self.place_of(hash, known))
    }

    fn make_shelf(&self, hash: PhotoHash) -> Result<(), PhotoFault> {
        let shelf = self.shelf(hash);
        fs::create_dir_all(&shelf).map_err(|e| io_fault(Doing::MakingFolder, &shelf, e))
    }

    /// Makes the photo's name in its folder durable, and the names of that folder and of those above it.
    /// Done also for what was already there, since who made it may have died just before, or been told
    /// that the disk failed.
    fn settle(&self, hash: PhotoHash, known: Known) -> Result<(), PhotoFault> {
        let shelf = self.shelf(hash);
        sync_dir(&shelf)?;
        let store = self.originals.parent();
        for folder in [Some(&*shelf), Some(&*self.originals), store]
            .into_iter()
            .flatten()
        {
            let mut settled = self.settled.lock().unwrap_or_else(PoisonError::into_inner);
            if settled.contains(folder) {
                continue;
            }
            match folder.parent() {
                Some(above) if !above.as_os_str().is_empty() => sync_dir(above)?,
                _ => {}
            }
            settled.insert(folder.to_owned());
        }
        self.remember(hash, known, false);
        Ok(())
    }

    /// Removes drafts that no one is writing. A store that can only be read keeps them.
    fn clear_leftovers(&self) {
        let Ok(entries) = fs::read_dir(&self.incoming) else {
            return;
        };
        for path in entries.flatten().map(|entry| entry.path()) {
            if path.extension() != Some(OsStr::new("part")) {
                continue;
            }
            let Ok(draft) = File::open(&path) else {
                continue;
            };
            // A lock got here is held until the file is gone: whoever has just made it waits for
            // it, then finds it gone and makes another.
            let abandoned = match draft.try_lock() {
                Ok(()) => true,
                Err(TryLockError::WouldBlock) => false,
                Err(TryLockError::Error(_)) => draft
                    .metadata()
                    .and_then(|about| about.modified())
                    .is_ok_and(|at| at.elapsed().is_ok_and(|age| age > LEFTOVER_AGE)),
            };
            if abandoned {
                let _ = fs::remove_file(&path);
            }
        }
    }
}

/// A photo that waits beside the store; it goes away unless it is kept.
#[derive(Debug)]
pub struct Waiting {
    hash: PhotoHash,
    known: Known,
    path: PathBuf,
}

impl Waiting {
    /// Its length, bytes.
    pub fn bytes(&self) -> u64 {
        self.known.bytes
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        // One that was kept is no longer there.
        let _ = fs::remove_file(&self.path);
    }
}

/// What [`PhotoStore::keep_waiting`] put in that was not there.
#[derive(Debug, Default)]
pub struct Kept {
    new: Vec<(PhotoHash, PathBuf)>,
}

impl Kept {
    /// Takes it out again: what names it was not recorded.
    pub fn undo(self, store: &PhotoStore) {
        for (hash, place) in self.new {
            let _ = fs::remove_file(&place);
            store.known().remove(&hash);
        }
    }
}

/// A file that is being written; it goes away unless it is moved to its place.
struct Draft {
    path: PathBuf,
    file: File,
    moved: bool,
}

impl Draft {
    /// Makes an empty file with a name of its own, locked so that no one takes it for a leftover.
    fn create(incoming: &Path) -> Result<Draft, PhotoFault> {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        loop {
            let number = NEXT.fetch_add(1, Ordering::Relaxed);
            let path = incoming.join(format!("{}-{number}.part", std::process::id()));
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(file) => {
                    let draft = Draft {
                        path,
                        file,
                        moved: false,
                    };
                    // Where there are no locks, a leftover is told by its age instead.
                    let _ = draft.file.lock();
                    // Someone who opened the store may have cleared it before it was locked.
                    if draft.path.exists() {
                        return Ok(draft);
                    }
                }
                Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
                Err(e) if e.kind() == ErrorKind::NotFound && !incoming.exists() => {
                    fs::create_dir_all(incoming)
                        .map_err(|e| io_fault(Doing::MakingFolder, incoming, e))?;
                }
                Err(e) => return Err(io_fault(Doing::Making, &path, e)),
            }
        }
    }

    fn write(&mut self, bytes: &[u8]) -> Result<(), PhotoFault> {
        self.file
            .write_all(bytes)
            .map_err(|e| io_fault(Doing::Writing, &self.path, e))
    }

    /// Syncs the file, closes it and leaves it where it is.
    fn leave(mut self) -> Result<PathBuf, PhotoFault> {
        self.file
            .sync_all()
            .map_err(|e| io_fault(Doing::Writing, &self.path, e))?;
        self.moved = true;
        Ok(self.path.clone())
    }

    /// Syncs the file and moves it. The folder it goes to is not yet synced.
    fn move_to(mut self, place: &Path) -> Result<(), PhotoFault> {
        self.file
            .sync_all()
            .map_err(|e| io_fault(Doing::Writing, &self.path, e))?;
        fs::rename(&self.path, place).map_err(|e| io_fault(Doing::MovingPhoto, place, e))?;
        self.moved = true;
        Ok(())
    }
}

impl Drop for Draft {
    fn drop(&mut self) {
        if !self.moved {
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// The folder that a hash belongs to: its first two digits.
fn fan(hash: PhotoHash) -> String {
    format!("{:02x}", hash.0[0])
}

/// Length and kind out of `<hash>_<bytes>.<extension>`.
fn parse_name(name: &OsStr, hash: &str) -> Option<(u64, PhotoKind)> {
    let rest = name.to_str()?.strip_prefix(hash)?.strip_prefix('_')?;
    let (bytes, extension) = rest.split_once('.')?;
    let kind = PhotoKind::ALL
        .into_iter()
        .find(|kind| kind.extension() == extension)?;
    let bytes = bytes.parse().ok()?;
    (1..=MAX_PHOTO_BYTES)
        .contains(&bytes)
        .then_some((bytes, kind))
}

fn describe(hash: PhotoHash, known: Known, headers: Headers, places: PlaceSigns) -> StoredPhoto {
    let size = headers.upright_size();
    StoredPhoto {
        hash,
        bytes: known.bytes,
        kind: known.kind,
        width: size.map(|(width, _)| width),
        height: size.map(|(_, height)| height),
        has_location: headers.has_location(places),
        taken: headers.taken,
    }
}

/// As [`super::look_at`].
pub(super) fn look_at(bytes: &[u8]) -> Result<StoredPhoto, PhotoFault> {
    check_length(bytes.len() as u64)?;
    let kind = kind_of(bytes)?;
    let known = Known {
        bytes: bytes.len() as u64,
        kind,
        damaged: false,
    };
    let hash = PhotoHash(*blake3::hash(bytes).as_bytes());
    let headers = inspect::read_headers(kind, &mut Cursor::new(bytes));
    Ok(describe(hash, known, headers, inspect::place_signs(bytes)))
}

fn check_length(bytes: u64) -> Result<(), PhotoFault> {
    match bytes {
        0 => Err(PhotoFault::Empty),
        _ if bytes > MAX_PHOTO_BYTES => Err(PhotoFault::TooLarge {
            bytes,
            limit: MAX_PHOTO_BYTES,
        }),
        _ => Ok(()),
    }
}

fn kind_of(start: &[u8]) -> Result<PhotoKind, PhotoFault> {
    let head = &start[..start.len().min(SNIFF_BYTES)];
    match inspect::sniff(head) {
        Some(kind) => Ok(kind),
        None if head.is_empty() => Err(PhotoFault::Empty),
        None => Err(PhotoFault::UnknownKind {
            start: data_encoding::HEXLOWER.encode(&head[..head.len().min(12)]),
        }),
    }
}

/// Fills the piece as far as the file goes.
fn read_piece(source: &mut File, piece: &mut [u8], path: &Path) -> Result<usize, PhotoFault> {
    fill_piece(source, piece).map_err(|e| io_fault(Doing::Reading, path, e))
}

fn fill_piece(source: &mut impl Read, piece: &mut [u8]) -> io::Result<usize> {
    let mut filled = 0;
    while filled < piece.len() {
        match source.read(&mut piece[filled..]) {
            Ok(0) => break,
            Ok(more) => filled += more,
            Err(e) if e.kind() == ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(filled)
}

fn sync_dir(dir: &Path) -> Result<(), PhotoFault> {
    // Elsewhere a folder can't be opened as a file, and a rename is written through.
    if cfg!(unix) {
        File::open(dir)
            .and_then(|folder| folder.sync_all())
            .map_err(|e| io_fault(Doing::SyncingFolder, dir, e))?;
    }
    Ok(())
}

/// Names what went wrong, so that a crew can tell a full disk from a broken one.
fn io_fault(doing: Doing, path: &Path, source: io::Error) -> PhotoFault {
    let path = path.to_owned();
    match source.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => PhotoFault::DiskFull { doing, path },
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => PhotoFault::NotAllowed {
            doing,
            path,
            source,
        },
        _ => PhotoFault::Io {
            doing,
            path,
            source,
        },
    }
}
