//! Photo notes: originals kept as the camera made them.
//!
//! A [`PhotoStore`] is a folder that knows nothing of journals or screens. Whoever takes a photo
//! puts its bytes here first; only when [`PhotoStore::put`] has returned (file and folder both
//! synced) may an event name the [`PhotoHash`]. So an event never names a photo that a flat
//! battery could still take away; at worst a photo lies here that no event names.
//!
//! - `store` keeps originals, named by their BLAKE3 hash, and tells what became of them.
//! - `inspect` reads what the file says about itself: kind, size, when, whether it tells a place.
//! - `thumbnail` makes the small upright picture that screens show.
//! - `privacy` makes the copy that may leave the crew, with the place taken out.
//!
//! Costs told in these pages were measured by the ignored test `measure`, in a release build on a
//! server with 2 cores, other work going on: orders of magnitude for a phone, not promises.

mod inspect;
mod privacy;
mod store;
#[cfg(test)]
mod tests;
mod thumbnail;

use std::fmt;
use std::io;
use std::path::PathBuf;
use std::str::FromStr;

use data_encoding::HEXLOWER_PERMISSIVE;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

pub use store::{Kept, PhotoStore, Waiting};

/// What a picture's bytes are, without keeping them: all of a [`StoredPhoto`].
///
/// # Errors
/// As [`PhotoStore::put`], but for those of the disk.
pub fn look_at(bytes: &[u8]) -> Result<StoredPhoto, PhotoFault> {
    store::look_at(bytes)
}

/// The bytes of a picture without what tells where it was taken, as [`PhotoStore::export`] hands them out.
///
/// # Errors
/// As [`PhotoStore::export`], but for those of the disk.
pub fn without_location(bytes: &[u8]) -> Result<Vec<u8>, PhotoFault> {
    let photo = look_at(bytes)?;
    let (hash, kind) = (photo.hash, photo.kind);
    if kind == PhotoKind::Heif {
        return Err(PhotoFault::CannotClean { hash, kind });
    }
    privacy::without_location(hash, kind, bytes)
}

/// The largest original that is taken in, in bytes: 64 MiB. A phone's photo is 2–15 MB.
pub const MAX_PHOTO_BYTES: u64 = 64 * 1024 * 1024;
/// The largest picture that is decoded for a thumbnail, in pixels (width times height): 100 million.
pub const MAX_PIXELS: u64 = 100_000_000;
/// The most memory that decoding one picture may take, in bytes: 512 MiB.
pub const MAX_DECODE_BYTES: u64 = 512 * 1024 * 1024;
/// The longest side of a thumbnail, in pixels. A smaller original is not enlarged.
pub const THUMBNAIL_SIDE_PX: u32 = 512;
/// The longest side of the picture that fills a screen, in pixels. A smaller original is not enlarged.
pub const LARGE_SIDE_PX: u32 = 2048;

/// The BLAKE3 hash of a photo's original bytes: its name everywhere.
///
/// Shown, parsed and serialised as 64 hexadecimal digits (either case is read, lower case written).
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PhotoHash(pub [u8; 32]);

impl fmt::Display for PhotoHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&HEXLOWER_PERMISSIVE.encode(&self.0))
    }
}

impl fmt::Debug for PhotoHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PhotoHash({self})")
    }
}

impl FromStr for PhotoHash {
    type Err = PhotoFault;

    fn from_str(text: &str) -> Result<PhotoHash, PhotoFault> {
        let wrong = || PhotoFault::NotAHash {
            text: text.chars().take(80).collect(),
        };
        let bytes = HEXLOWER_PERMISSIVE
            .decode(text.as_bytes())
            .map_err(|_| wrong())?;
        Ok(PhotoHash(bytes.try_into().map_err(|_| wrong())?))
    }
}

impl Serialize for PhotoHash {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for PhotoHash {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<PhotoHash, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

/// What sort of file a photo is, told by its first bytes and never by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PhotoKind {
    /// JPEG (ITU-T T.81).
    Jpeg,
    /// PNG (ISO/IEC 15948).
    Png,
    /// HEIF and its relatives (ISO/IEC 23008-12). Kept, but not opened: the core makes no
    /// thumbnail of it and cannot take a place out of it.
    Heif,
}

impl PhotoKind {
    pub(crate) const ALL: [PhotoKind; 3] = [PhotoKind::Jpeg, PhotoKind::Png, PhotoKind::Heif];

    /// The media type (IANA registry).
    pub fn media_type(self) -> &'static str {
        match self {
            PhotoKind::Jpeg => "image/jpeg",
            PhotoKind::Png => "image/png",
            PhotoKind::Heif => "image/heif",
        }
    }

    /// Whether the core can draw it, and so take its place out of it.
    pub fn can_be_drawn(self) -> bool {
        self != PhotoKind::Heif
    }

    /// The ending of the file's name in the store, without the dot.
    pub fn extension(self) -> &'static str {
        match self {
            PhotoKind::Jpeg => "jpg",
            PhotoKind::Png => "png",
            PhotoKind::Heif => "heif",
        }
    }
}

impl fmt::Display for PhotoKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            PhotoKind::Jpeg => "JPEG",
            PhotoKind::Png => "PNG",
            PhotoKind::Heif => "HEIF",
        })
    }
}

/// What is known of a photo once it is safely kept: what the event that names it should carry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StoredPhoto {
    /// The photo's name.
    pub hash: PhotoHash,
    /// Length of the original, in bytes.
    pub bytes: u64,
    /// What sort of file it is.
    pub kind: PhotoKind,
    /// Width in pixels of the picture held upright; `None` where the file does not tell.
    pub width: Option<u32>,
    /// Height in pixels of the picture held upright; `None` where the file does not tell.
    pub height: Option<u32>,
    /// When the camera says it was taken: `2026-03-04T09:41:00`, in the camera's own local time,
    /// with its offset from UTC (`+10:00`) only where the camera wrote one. `None` where it wrote
    /// none or nonsense. A camera's clock may be wrong: this is a hint, never evidence.
    pub taken: Option<String>,
    /// Whether the file tells where it was taken. Also true where that can't be ruled out (metadata
    /// that is damaged or packed), so `false` can be relied on for what the common standards hold
    /// (EXIF, XMP, IPTC, film clips appended to a photo), but not for what a maker hides in its own.
    pub has_location: bool,
}

/// What sort of file a photo in the store is, read from its first bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PhotoFile {
    /// What sort of file it is.
    pub kind: PhotoKind,
    /// Length of the original, in bytes.
    pub bytes: u64,
    /// Width in pixels of the picture held upright; `None` where the file does not tell.
    pub width: Option<u32>,
    /// Height in pixels of the picture held upright; `None` where the file does not tell.
    pub height: Option<u32>,
}

/// What became of an original.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PhotoState {
    /// It is there with its full length (and its hash, after [`PhotoStore::verify`]).
    Present,
    /// It isn't in the store: not yet arrived from another device, or removed by hand.
    Missing,
    /// Something is there under its name, but it isn't the photo, or it can't be read.
    Damaged,
}

/// What was being done with a file or folder when the disk failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Reading it.
    Reading,
    /// Writing it.
    Writing,
    /// Making a file.
    Making,
    /// Making a folder.
    MakingFolder,
    /// Moving a photo to its place.
    MovingPhoto,
    /// Giving a file its name.
    Naming,
    /// Having the system write a folder out.
    SyncingFolder,
}

impl fmt::Display for Doing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Doing::Reading => "reading",
            Doing::Writing => "writing",
            Doing::Making => "making",
            Doing::MakingFolder => "making folder",
            Doing::MovingPhoto => "moving a photo to",
            Doing::Naming => "naming",
            Doing::SyncingFolder => "syncing folder",
        })
    }
}

/// Why the place can't be taken out of a photo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unclean {
    /// The picture's own data still looks as if it told a place.
    TellsPlace,
    /// The file isn't built as its kind demands: how, in the words of its standard.
    Build(&'static str),
}

impl fmt::Display for Unclean {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Unclean::TellsPlace => "the picture's own data still looks as if it told a place",
            Unclean::Build(how) => how,
        })
    }
}

/// Why the photo store could not do what was asked. The store is then as it was before.
#[derive(Debug, thiserror::Error)]
pub enum PhotoFault {
    /// The photo has no bytes: the camera or the copy failed.
    #[error("the photo is empty: it has 0 bytes")]
    Empty,
    /// The photo is larger than [`MAX_PHOTO_BYTES`].
    #[error("the photo is too large: {bytes} bytes, the limit is {limit} bytes")]
    TooLarge {
        /// Its length in bytes, as far as it was read.
        bytes: u64,
        /// The limit in bytes.
        limit: u64,
    },
    /// The first bytes are of no kind that is kept.
    #[error("not a photo: it begins with {start}, which is neither JPEG, PNG nor HEIF")]
    UnknownKind {
        /// The first bytes (12 at most), in hexadecimal.
        start: String,
    },
    /// A text that should be a photo's hash is not.
    #[error("{text:?} is not a photo's hash: 64 hexadecimal digits are expected")]
    NotAHash {
        /// The text, cut at 80 characters.
        text: String,
    },
    /// The disk, or the share of it that the app may use, is full. Nothing half is left.
    #[error("no space left while {doing} {}", path.display())]
    DiskFull {
        /// The step.
        doing: Doing,
        /// The file or folder.
        path: PathBuf,
    },
    /// The folder can be read but not written, or may not be touched at all.
    #[error("not allowed: {doing} {}: {source}", path.display())]
    NotAllowed {
        /// The step.
        doing: Doing,
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Reading or writing failed for another reason.
    #[error("failed {doing} {}: {source}", path.display())]
    Io {
        /// The step.
        doing: Doing,
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The path given to [`PhotoStore::put_file`] is a folder or a device.
    #[error("{} is not a file", path.display())]
    NotAFile {
        /// The path.
        path: PathBuf,
    },
    /// The original isn't in the store.
    #[error("photo {hash} is not in the store")]
    Missing {
        /// The photo.
        hash: PhotoHash,
    },
    /// What lies under the photo's name isn't the photo.
    #[error("photo {hash} is damaged: its bytes are no longer those that were stored")]
    Damaged {
        /// The photo.
        hash: PhotoHash,
    },
    /// What it was to be read from failed.
    #[error("photo {hash} can't be read: {why}")]
    Unreadable {
        /// The photo.
        hash: PhotoHash,
        /// What was said.
        why: String,
    },
    /// No thumbnail can be made of this kind here; the phone's own viewer may open the original.
    #[error("photo {hash} is a {kind} file, of which no thumbnail can be made")]
    NoThumbnail {
        /// The photo.
        hash: PhotoHash,
        /// Its kind.
        kind: PhotoKind,
    },
    /// The picture is larger than [`MAX_PIXELS`], so it isn't decoded.
    #[error("photo {hash} has {width} x {height} pixels: more than the {limit} that are decoded")]
    TooManyPixels {
        /// The photo.
        hash: PhotoHash,
        /// Stored width in pixels.
        width: u32,
        /// Stored height in pixels.
        height: u32,
        /// The limit in pixels.
        limit: u64,
    },
    /// The picture in the file can't be decoded, though the file is as it was put.
    #[error("photo {hash} can't be decoded: {why}")]
    Undecodable {
        /// The photo.
        hash: PhotoHash,
        /// What the decoder said.
        why: String,
    },
    /// The place can't be taken out of this kind of file, so it isn't exported without.
    #[error("photo {hash} is a {kind} file, from which the location can't be removed")]
    CannotClean {
        /// The photo.
        hash: PhotoHash,
        /// Its kind.
        kind: PhotoKind,
    },
    /// The place can't be taken out of this file, since it isn't built as its kind demands.
    #[error("the location can't be removed from photo {hash}: at byte {at}: {why}")]
    Uncleanable {
        /// The photo.
        hash: PhotoHash,
        /// How far into the file, in bytes.
        at: u64,
        /// What was wrong there.
        why: Unclean,
    },
}
