//! What a photo says about itself. Never fails: what can't be read is simply not known.

use std::io::{BufRead, Read, Seek, SeekFrom};
use std::panic::{AssertUnwindSafe, catch_unwind};

use exif::{Context, Exif, In, Tag, Value};
use memchr::memmem::{self, Finder};

use super::PhotoKind;

/// Bytes that suffice for [`sniff`].
pub(super) const SNIFF_BYTES: usize = 64;
pub(super) const PNG_SIGNATURE: &[u8; 8] = b"\x89PNG\r\n\x1a\n";

/// Brands that say a file is HEIF or shares its container (ISO/IEC 23008-12, ISO/IEC 23000-22).
const HEIF_BRANDS: [&[u8; 4]; 12] = [
    b"mif1", b"msf1", b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs",
    b"avif", b"avis",
];

/// Tells the kind of a photo from its first [`SNIFF_BYTES`] bytes.
pub(super) fn sniff(head: &[u8]) -> Option<PhotoKind> {
    if head.starts_with(&[0xff, 0xd8, 0xff]) {
        return Some(PhotoKind::Jpeg);
    }
    if head.starts_with(PNG_SIGNATURE) {
        return Some(PhotoKind::Png);
    }
    if head.get(4..8)? != b"ftyp" {
        return None;
    }
    let size: [u8; 4] = head.get(..4)?.try_into().ok()?;
    let end = (u32::from_be_bytes(size) as usize).min(head.len());
    let major = head.get(8..12)?;
    let compatible = head.get(16..end).unwrap_or_default();
    std::iter::once(major)
        .chain(compatible.chunks_exact(4))
        .any(|brand| HEIF_BRANDS.iter().any(|known| *known == brand))
        .then_some(PhotoKind::Heif)
}

/// What was read from a photo's headers.
#[derive(Debug, Default)]
pub(super) struct Headers {
    /// EXIF orientation, 1–8; 1 where none is told.
    pub orientation: u8,
    /// Width and height as stored, before the orientation is applied.
    pub stored_size: Option<(u32, u32)>,
    /// When it was taken, as in [`super::StoredPhoto::taken`].
    pub taken: Option<String>,
    exif_place: ExifPlace,
}

#[derive(Debug, Default, PartialEq, Eq)]
enum ExifPlace {
    /// No EXIF, or none that can be read to its end.
    #[default]
    Unknown,
    /// Read whole: it tells no place.
    No,
    Yes,
}

impl Headers {
    /// Width and height of the picture held upright.
    pub fn upright_size(&self) -> Option<(u32, u32)> {
        let (width, height) = self.stored_size?;
        Some(if self.orientation >= 5 {
            (height, width)
        } else {
            (width, height)
        })
    }

    /// Whether the file tells a place, or may: the headers' word joined with that of a search
    /// through all of its bytes.
    pub fn has_location(&self, signs: PlaceSigns) -> bool {
        if signs.texts > 0 || self.exif_place == ExifPlace::Yes {
            return true;
        }
        // Some cameras always write a GPS directory, empty but for its version. Where the one
        // pointer in the file leads to such a directory, no place is told.
        match signs.exif_pointers {
            0 => false,
            1 => self.exif_place != ExifPlace::No,
            _ => true,
        }
    }
}

/// Reads the headers of a photo, from its start. Reads little of the file itself.
pub(super) fn read_headers<R: BufRead + Seek>(kind: PhotoKind, reader: &mut R) -> Headers {
    let stored_size = match kind {
        PhotoKind::Jpeg => jpeg_size(reader),
        PhotoKind::Png => png_size(reader),
        PhotoKind::Heif => None,
    };
    let mut headers = Headers {
        orientation: 1,
        stored_size,
        ..Headers::default()
    };
    // A parser's panic on a hostile file must not cost the crew its photo.
    let read = catch_unwind(AssertUnwindSafe(|| read_exif(reader)));
    let Ok(Some((exif, whole))) = read else {
        return headers;
    };
    if let Some(turn) = exif
        .get_field(Tag::Orientation, In::PRIMARY)
        .and_then(|field| field.value.get_uint(0))
        .and_then(|turn| u8::try_from(turn).ok())
        .filter(|turn| (1..=8).contains(turn))
    {
        headers.orientation = turn;
    }
    headers.taken = taken(&exif);
    headers.exif_place = if exif.fields().any(|field| tells_place(field.tag)) {
        ExifPlace::Yes
    } else if whole {
        ExifPlace::No
    } else {
        ExifPlace::Unknown
    };
    headers
}

fn read_exif<R: BufRead + Seek>(reader: &mut R) -> Option<(Exif, bool)> {
    reader.seek(SeekFrom::Start(0)).ok()?;
    let mut whole = true;
    let exif = exif::Reader::new()
        .continue_on_error(true)
        .read_from_container(reader)
        .or_else(|fault| {
            whole = false;
            fault.distill_partial_result(|_| {})
        })
        .ok()?;
    Some((exif, whole))
}

/// GPS fields that tell no place by themselves (EXIF 2.32, 4.6.6) are left out.
fn tells_place(tag: Tag) -> bool {
    tag.context() == Context::Gps
        && ![
            Tag::GPSVersionID,
            Tag::GPSTimeStamp,
            Tag::GPSDateStamp,
            Tag::GPSMapDatum,
            Tag::GPSStatus,
            Tag::GPSMeasureMode,
            Tag::GPSImgDirectionRef,
            Tag::GPSImgDirection,
        ]
        .contains(&tag)
}

/// DateTimeOriginal `YYYY:MM:DD HH:MM:SS` and OffsetTimeOriginal `±HH:MM` (EXIF 2.32, 4.6.5).
fn taken(exif: &Exif) -> Option<String> {
    let text = |tag| match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(parts) => parts.first().map(Vec::as_slice),
        _ => None,
    };
    let at = exif::DateTime::from_ascii(text(Tag::DateTimeOriginal)?).ok()?;
    let date = chrono::NaiveDate::from_ymd_opt(
        i32::from(at.year),
        u32::from(at.month),
        u32::from(at.day),
    )?;
    let time = date.and_hms_opt(
        u32::from(at.hour),
        u32::from(at.minute),
        u32::from(at.second),
    )?;
    if at.year == 0 {
        return None;
    }
    let mut told = time.format("%Y-%m-%dT%H:%M:%S").to_string();
    if let Some(offset) = text(Tag::OffsetTimeOriginal).and_then(utc_offset) {
        told.push_str(&offset);
    }
    Some(told)
}

fn utc_offset(text: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(text).ok()?.trim();
    let (sign, rest) = text.split_at_checked(1)?;
    let (hours, minutes) = rest.split_once(':')?;
    let two_digits = |part: &str, below: u32| {
        (part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit()))
            .then(|| part.parse::<u32>().ok().filter(|n| *n < below))
            .flatten()
    };
    two_digits(hours, 15)?;
    two_digits(minutes, 60)?;
    matches!(sign, "+" | "-").then(|| text.to_owned())
}

/// Walks a JPEG's segments up to the frame header (ITU-T T.81, B.2.2).
fn jpeg_size<R: BufRead + Seek>(reader: &mut R) -> Option<(u32, u32)> {
    reader.seek(SeekFrom::Start(2)).ok()?;
    loop {
        let mut marker = read_array::<1>(reader)?;
        if marker != [0xff] {
            return None;
        }
        while marker == [0xff] {
            marker = read_array(reader)?;
        }
        let length = u16::from_be_bytes(read_array(reader)?);
        match marker[0] {
            0xc0..=0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf => {
                let [_, h1, h0, w1, w0] = read_array(reader)?;
                let size = (
                    u32::from(u16::from_be_bytes([w1, w0])),
                    u32::from(u16::from_be_bytes([h1, h0])),
                );
                return (size.0 > 0 && size.1 > 0).then_some(size);
            }
            0x00..=0x01 | 0xd0..=0xda => return None,
            _ => {
                let rest = length.checked_sub(2)?;
                reader.seek_relative(i64::from(rest)).ok()?;
            }
        }
    }
}

/// Reads a PNG's IHDR (ISO/IEC 15948, 11.2.2).
fn png_size<R: BufRead + Seek>(reader: &mut R) -> Option<(u32, u32)> {
    reader.seek(SeekFrom::Start(12)).ok()?;
    if &read_array::<4>(reader)? != b"IHDR" {
        return None;
    }
    let width = u32::from_be_bytes(read_array(reader)?);
    let height = u32::from_be_bytes(read_array(reader)?);
    (width > 0 && height > 0).then_some((width, height))
}

fn read_array<const N: usize>(reader: &mut impl Read) -> Option<[u8; N]> {
    let mut bytes = [0; N];
    reader.read_exact(&mut bytes).ok()?;
    Some(bytes)
}

/// How often something that tells a place was met in a file's bytes, wherever it lies: in metadata
/// of the photo, of a second picture, or of a clip that the camera appended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct PlaceSigns {
    /// Pointers to a GPS directory, as EXIF writes them.
    pub exif_pointers: usize,
    /// Names or labels under which a place is told in any other way.
    pub texts: usize,
}

/// Searches for [`PlaceSigns`] in bytes that come in pieces.
pub(super) struct PlaceSearch {
    exif_pointers: Vec<Finder<'static>>,
    texts: Vec<Finder<'static>>,
    iptc: Finder<'static>,
    /// How many of the next bytes still belong to an IPTC block that began before.
    iptc_left: usize,
    /// The end of what was searched, since a sign may lie across two pieces.
    tail: Vec<u8>,
    found: PlaceSigns,
}

/// A TIFF directory entry of tag 0x8825, type LONG or IFD, count 1, in both byte orders (TIFF 6.0,
/// section 2; EXIF 2.32, 4.6.3).
const EXIF_POINTERS: [&[u8]; 4] = [
    b"\x25\x88\x04\x00\x01\x00\x00\x00",
    b"\x88\x25\x00\x04\x00\x00\x00\x01",
    b"\x25\x88\x0d\x00\x01\x00\x00\x00",
    b"\x88\x25\x00\x0d\x00\x00\x00\x01",
];
const TEXTS: [&[u8]; 12] = [
    // XMP (ISO 16684-1 and the EXIF and IPTC schemas for it).
    b"GPSLatitude",
    b"GPSLongitude",
    b"GPSDest",
    b":Location",
    b":City",
    b":State",
    b":Country",
    // Clips in the ISO base media container, appended to a still: user data and 3GPP boxes.
    b"ISO6709",
    b"\xa9xyz\0",
    b"loci\0\0\0\0",
    // PNG text that is packed, so that a place in it could not be seen.
    b".xmp\0\x01",
    b"Raw profile type ",
];
/// An IPTC-IIM block in its image resource; its place datasets, record 2 (IPTC-IIM 4.2, chapter 6):
/// content location code and name, city, sublocation, state, country code and name.
const IPTC_BLOCK: &[u8] = b"8BIM\x04\x04";
const IPTC_PLACES: [&[u8]; 7] = [
    b"\x1c\x02\x1a",
    b"\x1c\x02\x1b",
    b"\x1c\x02\x5a",
    b"\x1c\x02\x5c",
    b"\x1c\x02\x5f",
    b"\x1c\x02\x64",
    b"\x1c\x02\x65",
];
/// How far behind the start of an IPTC block its datasets are looked for, in bytes.
const IPTC_REACH: usize = 4096;
const TAIL_BYTES: usize = 17;

impl PlaceSearch {
    pub fn new() -> PlaceSearch {
        let finders = |signs: &[&'static [u8]]| signs.iter().map(|s| Finder::new(*s)).collect();
        PlaceSearch {
            exif_pointers: finders(&EXIF_POINTERS),
            texts: finders(&TEXTS),
            iptc: Finder::new(IPTC_BLOCK),
            iptc_left: 0,
            tail: Vec::new(),
            found: PlaceSigns::default(),
        }
    }

    /// Searches the next piece of the file.
    pub fn feed(&mut self, piece: &[u8]) {
        let mut across = std::mem::take(&mut self.tail);
        let seam = across.len();
        if seam > 0 {
            // Only signs that lie across the seam are counted here; the rest is counted below.
            across.extend_from_slice(&piece[..piece.len().min(TAIL_BYTES)]);
            self.count(&across, |start, end| start < seam && end > seam);
            let begun = |at: usize| at < seam && at + IPTC_BLOCK.len() > seam;
            if self.iptc.find_iter(&across).any(begun) {
                self.iptc_left = IPTC_REACH;
            }
        }
        self.count(piece, |_, _| true);
        self.count_iptc(piece);
        if seam == 0 || piece.len() > TAIL_BYTES {
            across.clear();
            across.extend_from_slice(&piece[piece.len().saturating_sub(TAIL_BYTES)..]);
        }
        across.drain(..across.len().saturating_sub(TAIL_BYTES));
        self.tail = across;
    }

    fn count_iptc(&mut self, piece: &[u8]) {
        let tells = |block: &[u8]| {
            IPTC_PLACES
                .iter()
                .any(|set| memmem::find(block, set).is_some())
        };
        if tells(&piece[..piece.len().min(self.iptc_left)]) {
            self.found.texts += 1;
        }
        self.iptc_left = self.iptc_left.saturating_sub(piece.len());
        for at in self.iptc.find_iter(piece) {
            let reach = piece.len().min(at + IPTC_REACH);
            if tells(&piece[at..reach]) {
                self.found.texts += 1;
            }
            self.iptc_left = self.iptc_left.max(at + IPTC_REACH - reach);
        }
    }

    fn count(&mut self, bytes: &[u8], counts: impl Fn(usize, usize) -> bool) {
        let hits = |finders: &[Finder<'_>]| {
            finders
                .iter()
                .map(|finder| {
                    let length = finder.needle().len();
                    finder
                        .find_iter(bytes)
                        .filter(|at| counts(*at, at + length))
                        .count()
                })
                .sum::<usize>()
        };
        let (pointers, texts) = (hits(&self.exif_pointers), hits(&self.texts));
        self.found.exif_pointers += pointers;
        self.found.texts += texts;
    }

    /// What was found in all pieces so far.
    pub fn found(&self) -> PlaceSigns {
        self.found
    }
}

/// Searches bytes that are all at hand.
pub(super) fn place_signs(bytes: &[u8]) -> PlaceSigns {
    let mut search = PlaceSearch::new();
    search.feed(bytes);
    search.found()
}
