#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io::{Cursor, Write as _};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;
use std::time::Instant;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageEncoder, ImageFormat, Rgb, RgbImage};
use proptest::prelude::*;
use tempfile::TempDir;

use super::inspect::{self, PlaceSearch, place_signs};
use super::*;

// ---- photos to try things on

const RED: Rgb<u8> = Rgb([220, 20, 20]);
const GREEN: Rgb<u8> = Rgb([20, 200, 20]);
const BLUE: Rgb<u8> = Rgb([20, 20, 220]);
const YELLOW: Rgb<u8> = Rgb([230, 230, 20]);

/// Four fields of colour, so that every turn and mirror image looks different.
fn four_fields(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        match (x < width / 2, y < height / 2) {
            (true, true) => RED,
            (false, true) => GREEN,
            (true, false) => BLUE,
            (false, false) => YELLOW,
        }
    })
}

/// How a camera held in some way stores an upright picture: where row 0 and column 0 of the stored
/// picture lie in the upright one, as the table of the Orientation tag has it (TIFF 6.0, section 8).
fn as_stored(upright: &RgbImage, orientation: u16) -> RgbImage {
    let (w, h) = upright.dimensions();
    let (stored_w, stored_h) = if orientation >= 5 { (h, w) } else { (w, h) };
    RgbImage::from_fn(stored_w, stored_h, |column, row| {
        let (x, y) = match orientation {
            1 => (column, row),                 // row 0 top, column 0 left
            2 => (w - 1 - column, row),         // top, right
            3 => (w - 1 - column, h - 1 - row), // bottom, right
            4 => (column, h - 1 - row),         // bottom, left
            5 => (row, column),                 // left, top
            6 => (w - 1 - row, column),         // right, top
            7 => (w - 1 - row, h - 1 - column), // right, bottom
            8 => (row, h - 1 - column),         // left, bottom
            _ => unreachable!(),
        };
        *upright.get_pixel(x, y)
    })
}

fn jpeg_of(picture: &RgbImage) -> Vec<u8> {
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 90)
        .encode_image(picture)
        .unwrap();
    jpeg
}

fn png_of(picture: &RgbImage) -> Vec<u8> {
    let mut png = Cursor::new(Vec::new());
    picture.write_to(&mut png, ImageFormat::Png).unwrap();
    png.into_inner()
}

fn field(tag: Tag, value: Value) -> Field {
    Field {
        tag,
        ifd_num: In::PRIMARY,
        value,
    }
}

fn ascii(text: &str) -> Value {
    Value::Ascii(vec![text.as_bytes().to_vec()])
}

fn rationals(parts: [(u32, u32); 3]) -> Value {
    Value::Rational(
        parts
            .into_iter()
            .map(|(num, denom)| Rational { num, denom })
            .collect(),
    )
}

fn tiff(fields: &[Field], thumbnail: Option<&[u8]>, little_endian: bool) -> Vec<u8> {
    let mut writer = Writer::new();
    for field in fields {
        writer.push_field(field);
    }
    let compression = Field {
        tag: Tag::Compression,
        ifd_num: In::THUMBNAIL,
        value: Value::Short(vec![6]),
    };
    if let Some(jpeg) = thumbnail {
        writer.push_field(&compression);
        writer.set_jpeg(jpeg, In::THUMBNAIL);
    }
    let mut out = Cursor::new(Vec::new());
    writer.write(&mut out, little_endian).unwrap();
    out.into_inner()
}

/// 27° 35′ 30.17″ N, 86° 33′ 51.43″ E.
fn gps_fields() -> Vec<Field> {
    vec![
        field(Tag::GPSVersionID, Value::Byte(vec![2, 3, 0, 0])),
        field(Tag::GPSLatitudeRef, ascii("N")),
        field(
            Tag::GPSLatitude,
            rationals([(27, 1), (35, 1), (30_170_011, 1_000_003)]),
        ),
        field(Tag::GPSLongitudeRef, ascii("E")),
        field(
            Tag::GPSLongitude,
            rationals([(86, 1), (33, 1), (51_430_007, 1_000_003)]),
        ),
    ]
}

fn orientation_field(orientation: u16) -> Field {
    field(Tag::Orientation, Value::Short(vec![orientation]))
}

fn taken_fields() -> Vec<Field> {
    vec![
        field(Tag::DateTimeOriginal, ascii("2026:03:04 09:41:07")),
        field(Tag::OffsetTimeOriginal, ascii("+10:00")),
    ]
}

fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let mut out = vec![0xff, marker];
    out.extend(u16::try_from(body.len() + 2).unwrap().to_be_bytes());
    out.extend(body);
    out
}

fn exif_segment(tiff: &[u8]) -> Vec<u8> {
    segment(0xe1, &[b"Exif\0\0", tiff].concat())
}

fn xmp_segment(text: &str) -> Vec<u8> {
    segment(
        0xe1,
        &[b"http://ns.adobe.com/xap/1.0/\0", text.as_bytes()].concat(),
    )
}

/// Puts segments behind a JPEG's start (before its JFIF segment, as cameras do with EXIF).
fn with_segments(jpeg: &[u8], segments: &[Vec<u8>]) -> Vec<u8> {
    [&jpeg[..2], &segments.concat(), &jpeg[2..]].concat()
}

fn png_chunk(kind: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let mut out = u32::try_from(body.len()).unwrap().to_be_bytes().to_vec();
    out.extend(kind);
    out.extend(body);
    out.extend(crc32fast::hash(&out[4..]).to_be_bytes());
    out
}

/// Puts chunks behind a PNG's IHDR.
fn with_chunks(png: &[u8], chunks: &[Vec<u8>]) -> Vec<u8> {
    let behind = 8 + 12 + 13;
    [&png[..behind], &chunks.concat(), &png[behind..]].concat()
}

const XMP_PLACE: &str = "<x:xmpmeta><rdf:Description exif:GPSLatitude=\"27,35.502833N\" \
    exif:GPSLongitude=\"86,33.857166E\"/></x:xmpmeta>";

/// A JPEG that tells its place in every way at once, and is stored turned.
fn jpeg_full_of_places(orientation: u16) -> Vec<u8> {
    let inner = with_segments(
        &jpeg_of(&four_fields(32, 24)),
        &[exif_segment(&tiff(&gps_fields(), None, true))],
    );
    let mut fields = gps_fields();
    fields.push(orientation_field(orientation));
    fields.extend(taken_fields());
    fields.push(field(
        Tag::MakerNote,
        Value::Undefined(b"maker: 27.591714 86.564286 GPS".to_vec(), 0),
    ));
    let plain = jpeg_of(&as_stored(&four_fields(320, 240), orientation));
    let iptc = b"Photoshop 3.0\08BIM\x04\x04\0\0\0\0\0\x0c\x1c\x02\x5a\0\x07Lukla-X";
    let mut jpeg = with_segments(
        &plain,
        &[
            exif_segment(&tiff(&fields, Some(&inner), false)),
            xmp_segment(XMP_PLACE),
            exif_segment(&tiff(&gps_fields(), None, true)),
            segment(0xed, iptc),
            segment(0xe5, b"GPS 27.591714 86.564286"),
            segment(0xfe, b"comment: 27.591714 86.564286"),
        ],
    );
    jpeg.extend(&inner); // a second picture behind the first
    jpeg.extend(b"\0\0\0\x20moov\0\0\0\x18udta\xa9xyz\0\x12\x15\xc7+27.5917+086.5643/");
    jpeg
}

/// Every spelling of the place used above.
const PLACE_BYTES: [&[u8]; 9] = [
    b"GPS",
    b"27.59",
    b"86.56",
    b"27,35",
    b"86,33",
    b"+27.5917",
    b"Lukla-X",
    &30_170_011_u32.to_be_bytes(),
    &30_170_011_u32.to_le_bytes(),
];

fn tells(bytes: &[u8], what: &[u8]) -> bool {
    bytes.windows(what.len()).any(|window| window == what)
}

fn heif() -> Vec<u8> {
    let mut bytes = b"\0\0\0\x1cftypheic\0\0\0\0mif1heicmiaf".to_vec();
    bytes.extend(b"\0\0\0\x10mdat12345678");
    bytes
}

fn store() -> (TempDir, PhotoStore) {
    let dir = TempDir::new().unwrap();
    let store = PhotoStore::open(&dir.path().join("photos")).unwrap();
    (dir, store)
}

fn files_below(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(files_below(&path));
        } else {
            found.push(path);
        }
    }
    found
}

fn decoded(bytes: &[u8]) -> DynamicImage {
    image::load_from_memory(bytes).unwrap()
}

fn is_near(a: Rgb<u8>, b: Rgb<u8>) -> bool {
    a.0.iter().zip(b.0).all(|(a, b)| a.abs_diff(b) < 30)
}

// ---- keeping

#[test]
fn original_is_kept_byte_for_byte_under_its_hash() {
    let (dir, store) = store();
    let bytes = jpeg_full_of_places(6);
    let photo = store.put(&bytes).unwrap();
    assert_eq!(photo.hash.0, *blake3::hash(&bytes).as_bytes());
    assert_eq!(photo.bytes, bytes.len() as u64);
    assert_eq!(photo.kind, PhotoKind::Jpeg);
    assert_eq!(
        (photo.width, photo.height),
        (Some(320), Some(240)),
        "upright"
    );
    assert_eq!(photo.taken.as_deref(), Some("2026-03-04T09:41:07+10:00"));
    assert!(photo.has_location);

    let hex = photo.hash.to_string();
    let path = store.original(photo.hash);
    let expected = dir.path().join(format!(
        "photos/originals/{}/{hex}_{}.jpg",
        &hex[..2],
        bytes.len()
    ));
    assert_eq!(path, expected);
    assert_eq!(fs::read(&path).unwrap(), bytes);
    assert_eq!(files_below(dir.path()), [path], "nothing else is left");
    assert_eq!(store.state(photo.hash), PhotoState::Present);
    assert_eq!(store.export(photo.hash, true).unwrap(), bytes);

    // And by another instance, which has only the disk to go by.
    let again = PhotoStore::open(&dir.path().join("photos")).unwrap();
    assert_eq!(again.state(photo.hash), PhotoState::Present);
    assert_eq!(again.original(photo.hash), expected);
}

#[test]
fn a_file_is_kept_as_its_bytes_are() {
    let (dir, store) = store();
    let camera = dir.path().join("IMG_0001.dat");
    // Longer than several pieces, with a place at the very end.
    let mut bytes = jpeg_of(&four_fields(64, 48));
    bytes.resize(900_000, 7);
    bytes.extend(XMP_PLACE.as_bytes());
    for bytes in [
        bytes,
        jpeg_full_of_places(3),
        png_of(&four_fields(30, 20)),
        heif(),
    ] {
        fs::write(&camera, &bytes).unwrap();
        let (_other_dir, other) = self::store();
        assert_eq!(store.put_file(&camera).unwrap(), other.put(&bytes).unwrap());
        assert_eq!(fs::read(&camera).unwrap(), bytes);
    }
    assert_eq!(files_below(&dir.path().join("photos")).len(), 4);
}

#[test]
fn ten_puts_of_one_photo_make_one_file() {
    let (dir, store) = store();
    let bytes = jpeg_of(&four_fields(64, 48));
    let camera = dir.path().join("camera.jpg");
    fs::write(&camera, &bytes).unwrap();
    let photos: Vec<_> = (0..5)
        .flat_map(|_| [store.put(&bytes).unwrap(), store.put_file(&camera).unwrap()])
        .collect();
    assert!(photos.iter().all(|photo| *photo == photos[0]));
    assert_eq!(files_below(&dir.path().join("photos")).len(), 1);
}

#[test]
fn many_threads_and_two_stores_agree() {
    let (dir, store) = store();
    let other = PhotoStore::open(&dir.path().join("photos")).unwrap();
    let photos: Vec<_> = (0..6)
        .map(|n| jpeg_of(&four_fields(40 + 2 * n, 30)))
        .collect();
    std::thread::scope(|scope| {
        for n in 0..8 {
            let (store, photos) = (if n % 2 == 0 { &store } else { &other }, &photos);
            let dir = dir.path().join("photos");
            scope.spawn(move || {
                for bytes in photos {
                    let photo = store.put(bytes).unwrap();
                    assert_eq!(store.state(photo.hash), PhotoState::Present);
                    store.thumbnail(photo.hash).unwrap();
                    // Opening clears leftovers; it must not take drafts from under the others.
                    PhotoStore::open(&dir).unwrap();
                }
            });
        }
    });
    assert_eq!(files_below(&dir.path().join("photos/originals")).len(), 6);
    assert_eq!(files_below(&dir.path().join("photos/thumbnails")).len(), 6);
    assert!(files_below(&dir.path().join("photos/incoming")).is_empty());
}

#[test]
fn what_is_no_photo_is_refused_by_name() {
    let (dir, store) = store();
    assert!(matches!(store.put(b""), Err(PhotoFault::Empty)));
    for text in [
        &b"hello"[..],
        b"\xff\xd8",
        b"\0\0\0\x14ftypisom\0\0\0\0mp42",
        b"\0\0\0\x08ftyp",
    ] {
        assert!(
            matches!(store.put(text), Err(PhotoFault::UnknownKind { .. })),
            "{text:?}"
        );
    }
    let fault = store.put(b"GIF89a").unwrap_err();
    assert_eq!(
        fault.to_string(),
        "not a photo: it begins with 474946383961, which is neither JPEG, PNG nor HEIF"
    );

    let path = dir.path().join("file");
    fs::write(&path, b"").unwrap();
    assert!(matches!(store.put_file(&path), Err(PhotoFault::Empty)));
    fs::write(&path, b"hello").unwrap();
    assert!(matches!(
        store.put_file(&path),
        Err(PhotoFault::UnknownKind { .. })
    ));
    assert!(matches!(
        store.put_file(dir.path()),
        Err(PhotoFault::NotAFile { .. })
    ));
    let absent = store.put_file(&dir.path().join("absent.jpg")).unwrap_err();
    assert!(absent.to_string().contains("absent.jpg"), "{absent}");
    assert!(files_below(&dir.path().join("photos")).is_empty());
}

#[test]
fn the_limit_is_64_mib_to_the_byte() {
    let (dir, store) = store();
    let mut bytes = jpeg_of(&four_fields(16, 16));
    bytes.resize(MAX_PHOTO_BYTES as usize, 0);
    store.put(&bytes).unwrap();
    bytes.push(0);
    assert!(matches!(
        store.put(&bytes),
        Err(PhotoFault::TooLarge {
            bytes: 67_108_865,
            limit: 67_108_864
        })
    ));
    let path = dir.path().join("large.jpg");
    fs::write(&path, &bytes).unwrap();
    assert!(matches!(
        store.put_file(&path),
        Err(PhotoFault::TooLarge { .. })
    ));
    assert_eq!(files_below(&dir.path().join("photos")).len(), 1);
}

#[test]
fn hash_is_read_as_it_is_written() {
    let hash = PhotoHash(*blake3::hash(b"").as_bytes());
    // Test vector of input length 0 from the BLAKE3 team's published test_vectors.json.
    let hex = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";
    assert_eq!(hash.to_string(), hex);
    assert_eq!(hex.parse::<PhotoHash>().unwrap(), hash);
    assert_eq!(hex.to_uppercase().parse::<PhotoHash>().unwrap(), hash);
    assert_eq!(serde_json::to_string(&hash).unwrap(), format!("\"{hex}\""));
    assert_eq!(
        serde_json::from_str::<PhotoHash>(&format!("\"{hex}\"")).unwrap(),
        hash
    );
    for wrong in [
        "",
        "af",
        &hex[1..],
        &format!("{hex}00"),
        &hex.replace('a', "g"),
        "é",
    ] {
        assert!(
            matches!(wrong.parse::<PhotoHash>(), Err(PhotoFault::NotAHash { .. })),
            "{wrong}"
        );
    }
}

// ---- what became of it

#[test]
fn missing_and_damaged_are_told_apart_and_healed() {
    let (_dir, store) = store();
    let bytes = jpeg_of(&four_fields(64, 48));
    let unknown = PhotoHash([7; 32]);
    assert_eq!(store.state(unknown), PhotoState::Missing);
    assert_eq!(store.verify(unknown).unwrap(), PhotoState::Missing);
    assert!(matches!(
        store.thumbnail(unknown),
        Err(PhotoFault::Missing { .. })
    ));
    assert!(matches!(
        store.export(unknown, true),
        Err(PhotoFault::Missing { .. })
    ));
    assert!(!store.original(unknown).exists());

    let photo = store.put(&bytes).unwrap();
    let path = store.original(photo.hash);
    assert_eq!(store.verify(photo.hash).unwrap(), PhotoState::Present);

    // Cut short: seen at once.
    fs::write(&path, &bytes[..bytes.len() - 1]).unwrap();
    assert_eq!(store.state(photo.hash), PhotoState::Damaged);
    assert_eq!(store.verify(photo.hash).unwrap(), PhotoState::Damaged);
    assert!(matches!(
        store.export(photo.hash, false),
        Err(PhotoFault::Damaged { .. })
    ));
    assert!(matches!(
        store.thumbnail(photo.hash),
        Err(PhotoFault::Damaged { .. })
    ));

    // One bit turned: seen by reading, and remembered.
    let mut turned = bytes.clone();
    turned[bytes.len() / 2] ^= 1;
    fs::write(&path, &turned).unwrap();
    let fresh = PhotoStore::open(path.ancestors().nth(3).unwrap()).unwrap();
    assert_eq!(
        fresh.state(photo.hash),
        PhotoState::Present,
        "length can't show it"
    );
    assert!(matches!(
        fresh.export(photo.hash, true),
        Err(PhotoFault::Damaged { .. })
    ));
    assert_eq!(fresh.state(photo.hash), PhotoState::Damaged, "remembered");
    assert_eq!(store.verify(photo.hash).unwrap(), PhotoState::Damaged);

    // Put again: healed.
    assert_eq!(fresh.put(&bytes).unwrap(), photo);
    assert_eq!(fresh.state(photo.hash), PhotoState::Present);
    assert_eq!(fs::read(&path).unwrap(), bytes);
    assert_eq!(store.verify(photo.hash).unwrap(), PhotoState::Present);
    assert_eq!(store.state(photo.hash), PhotoState::Present);

    // A folder in its place; then nothing.
    fs::remove_file(&path).unwrap();
    fs::create_dir(&path).unwrap();
    assert_eq!(store.state(photo.hash), PhotoState::Damaged);
    fs::remove_dir(&path).unwrap();
    assert_eq!(store.state(photo.hash), PhotoState::Missing);
    assert_eq!(store.verify(photo.hash).unwrap(), PhotoState::Missing);
    store.put(&bytes).unwrap();
    assert_eq!(store.state(photo.hash), PhotoState::Present);
}

#[test]
fn leftovers_of_a_crash_go_at_open_and_drafts_in_work_stay() {
    let (dir, store) = store();
    let photo = store.put(&jpeg_of(&four_fields(64, 48))).unwrap();
    let incoming = dir.path().join("photos/incoming");
    let leftovers = [incoming.join("1-0.part"), incoming.join("999999-3.part")];
    for leftover in &leftovers {
        fs::write(leftover, b"\xff\xd8\xff half a photo").unwrap();
    }
    let in_work = incoming.join("77-1.part");
    let mut writer = fs::File::create(&in_work).unwrap();
    writer.write_all(b"\xff\xd8\xff").unwrap();
    writer.lock().unwrap();
    let not_ours = incoming.join("notes.txt");
    fs::write(&not_ours, b"mine").unwrap();

    let again = PhotoStore::open(&dir.path().join("photos")).unwrap();
    assert!(leftovers.iter().all(|leftover| !leftover.exists()));
    assert!(in_work.exists() && not_ours.exists());
    assert_eq!(again.state(photo.hash), PhotoState::Present);
    drop(writer);
    PhotoStore::open(&dir.path().join("photos")).unwrap();
    assert!(!in_work.exists(), "its writer is gone");
    assert_eq!(files_below(&dir.path().join("photos/originals")).len(), 1);
}

/// A file system of its own on memory, gone with the value.
struct SmallDisk(TempDir);

impl SmallDisk {
    fn mount(options: &str) -> Option<SmallDisk> {
        let dir = TempDir::new().unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", options, "tmpfs"])
            .arg(dir.path())
            .output()
            .is_ok_and(|out| out.status.success());
        if !mounted {
            eprintln!("SKIPPED: no tmpfs can be mounted here, so this was NOT tried (needs root)");
            return None;
        }
        Some(SmallDisk(dir))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).output();
    }
}

#[test]
fn a_full_disk_leaves_nothing_half() {
    let Some(disk) = SmallDisk::mount("size=1m") else {
        return;
    };
    let dir = disk.0.path().join("photos");
    let store = PhotoStore::open(&dir).unwrap();
    let small = store.put(&jpeg_of(&four_fields(64, 48))).unwrap();
    let mut large = jpeg_of(&four_fields(48, 64));
    large.resize(3_000_000, 0);
    let elsewhere = TempDir::new().unwrap();
    let camera = elsewhere.path().join("large.jpg");
    fs::write(&camera, &large).unwrap();

    for fault in [store.put(&large), store.put_file(&camera)] {
        let fault = fault.unwrap_err();
        assert!(matches!(fault, PhotoFault::DiskFull { .. }), "{fault}");
        assert!(
            fault.to_string().starts_with("no space left while writing"),
            "{fault}"
        );
    }
    assert_eq!(files_below(&dir).len(), 1, "only the photo from before");
    assert_eq!(store.verify(small.hash).unwrap(), PhotoState::Present);

    // Full to the last page: the thumbnail can't be made, and nothing is left of it.
    let _ = fs::write(dir.join("filler"), vec![0; 2_000_000]);
    let fault = store.thumbnail(small.hash).unwrap_err();
    assert!(matches!(fault, PhotoFault::DiskFull { .. }), "{fault}");
    assert!(store.put(&jpeg_of(&four_fields(80, 48))).is_err());
    assert_eq!(files_below(&dir.join("incoming")).len(), 0);
    assert_eq!(
        store.put(&jpeg_of(&four_fields(64, 48))).unwrap(),
        small,
        "already kept"
    );

    // Room again: all goes on.
    fs::remove_file(dir.join("filler")).unwrap();
    store.put(&jpeg_of(&four_fields(80, 48))).unwrap();
    store.thumbnail(small.hash).unwrap();
}

#[test]
fn a_read_only_folder_still_shows_its_photos() {
    let Some(disk) = SmallDisk::mount("size=4m") else {
        return;
    };
    let dir = disk.0.path().join("photos");
    let store = PhotoStore::open(&dir).unwrap();
    let bytes = jpeg_of(&four_fields(64, 48));
    let photo = store.put(&bytes).unwrap();
    let shown = store.thumbnail(photo.hash).unwrap();
    let remounted = Command::new("mount")
        .args(["-o", "remount,ro"])
        .arg(disk.0.path())
        .status()
        .unwrap();
    assert!(remounted.success());

    let store = PhotoStore::open(&dir).unwrap();
    assert_eq!(store.verify(photo.hash).unwrap(), PhotoState::Present);
    assert_eq!(store.thumbnail(photo.hash).unwrap(), shown);
    assert_eq!(store.export(photo.hash, true).unwrap(), bytes);
    let fault = store.put(&jpeg_of(&four_fields(48, 64))).unwrap_err();
    assert!(matches!(fault, PhotoFault::NotAllowed { .. }), "{fault}");
    let fault = PhotoStore::open(&disk.0.path().join("new")).unwrap_err();
    assert!(matches!(fault, PhotoFault::NotAllowed { .. }), "{fault}");
}

#[test]
fn a_file_where_the_folder_should_be_is_a_fault() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("photos");
    fs::write(&path, b"not a folder").unwrap();
    let fault = PhotoStore::open(&path).unwrap_err();
    assert!(fault.to_string().contains("photos"), "{fault}");
    assert_eq!(fs::read(&path).unwrap(), b"not a folder");
}

// ---- thumbnails

#[test]
fn all_eight_orientations_come_upright() {
    let (_dir, store) = store();
    for (width, height) in [(160, 120), (1040, 260), (600, 300)] {
        let upright = four_fields(width, height);
        for orientation in 1..=8 {
            let stored = as_stored(&upright, orientation);
            let block = tiff(
                &[orientation_field(orientation)],
                None,
                orientation % 2 == 0,
            );
            let jpeg = with_segments(&jpeg_of(&stored), &[exif_segment(&block)]);
            let png = with_chunks(&png_of(&stored), &[png_chunk(b"eXIf", &block)]);
            for bytes in [jpeg, png] {
                let photo = store.put(&bytes).unwrap();
                assert_eq!((photo.width, photo.height), (Some(width), Some(height)));
                let exported = store.export(photo.hash, false).unwrap();
                let exported = store.put(&exported).unwrap();
                for hash in [photo.hash, exported.hash] {
                    let shown = decoded(&fs::read(store.thumbnail(hash).unwrap()).unwrap());
                    let (w, h) = (shown.width(), shown.height());
                    assert_eq!(w, width.min(512), "longest side");
                    let exact = f64::from(height) * f64::from(w) / f64::from(width);
                    assert!((f64::from(h) - exact).abs() <= 1.0, "{w} x {h}");
                    let shown = shown.to_rgb8();
                    let what = format!("{:?}, orientation {orientation}", photo.kind);
                    for (x, y, colour) in [
                        (1, 1, RED),
                        (w - 2, 1, GREEN),
                        (1, h - 2, BLUE),
                        (w - 2, h - 2, YELLOW),
                        (w / 2 - 12, h / 2 - 12, RED),
                        (w / 2 + 12, h / 2 - 12, GREEN),
                        (w / 2 - 12, h / 2 + 12, BLUE),
                        (w / 2 + 12, h / 2 + 12, YELLOW),
                    ] {
                        let pixel = *shown.get_pixel(x, y);
                        assert!(is_near(pixel, colour), "{what}: {pixel:?} at {x}, {y}");
                    }
                }
            }
        }
    }
}

#[test]
fn thumbnails_are_a_cache() {
    let (dir, store) = store();
    let bytes = jpeg_full_of_places(8);
    let photo = store.put(&bytes).unwrap();
    assert_eq!(store.thumbnail_if_made(photo.hash), None);
    let path = store.thumbnail(photo.hash).unwrap();
    let first = fs::read(&path).unwrap();
    assert_eq!(store.thumbnail_if_made(photo.hash), Some(path.clone()));
    for place in PLACE_BYTES {
        assert!(
            !tells(&first, place),
            "{:?}",
            String::from_utf8_lossy(place)
        );
    }

    fs::remove_dir_all(dir.path().join("photos/thumbnails")).unwrap();
    fs::remove_dir_all(dir.path().join("photos/incoming")).unwrap();
    assert_eq!(store.thumbnail(photo.hash).unwrap(), path);
    assert_eq!(fs::read(&path).unwrap(), first);
    fs::write(&path, b"").unwrap(); // as a power cut may leave it on some file systems
    store.thumbnail(photo.hash).unwrap();
    assert_eq!(fs::read(&path).unwrap(), first);

    // It outlives its original.
    fs::remove_file(store.original(photo.hash)).unwrap();
    assert_eq!(store.thumbnail(photo.hash).unwrap(), path);
    assert_eq!(store.state(photo.hash), PhotoState::Missing);
}

#[test]
fn odd_shapes_and_depths_have_thumbnails() {
    let (_dir, store) = store();
    let sizes = |picture: DynamicImage, format| {
        let mut bytes = Cursor::new(Vec::new());
        picture.write_to(&mut bytes, format).unwrap();
        let photo = store.put(&bytes.into_inner()).unwrap();
        let shown = decoded(&fs::read(store.thumbnail(photo.hash).unwrap()).unwrap());
        (
            shown.width(),
            shown.height(),
            *shown.to_rgb8().get_pixel(0, 0),
        )
    };
    let (w, h, _) = sizes(DynamicImage::new_luma8(4000, 2), ImageFormat::Jpeg);
    assert_eq!((w, h), (512, 1));
    let (w, h, _) = sizes(DynamicImage::new_rgb8(1, 1), ImageFormat::Png);
    assert_eq!((w, h), (1, 1));
    let (w, h, clear) = sizes(DynamicImage::new_rgba16(1024, 2048), ImageFormat::Png);
    assert_eq!((w, h), (256, 512));
    assert!(
        is_near(clear, Rgb([255, 255, 255])),
        "what is clear lies on white: {clear:?}"
    );
    sizes(DynamicImage::new_luma_a8(600, 600), ImageFormat::Png);
    sizes(DynamicImage::new_luma16(600, 600), ImageFormat::Png);
}

#[test]
fn the_colour_profile_goes_along() {
    // Only the header matters here: size, class, colour space, mark.
    let mut profile = vec![0; 200];
    profile[16..20].copy_from_slice(b"RGB ");
    profile[36..40].copy_from_slice(b"acsp");
    let mut jpeg = Vec::new();
    let mut encoder = JpegEncoder::new(&mut jpeg);
    encoder.set_icc_profile(profile.clone()).unwrap();
    encoder.encode_image(&four_fields(640, 480)).unwrap();
    let (_dir, store) = store();
    let photo = store.put(&jpeg).unwrap();
    let profile_of = |bytes: &[u8]| {
        image::codecs::jpeg::JpegDecoder::new(Cursor::new(bytes))
            .unwrap()
            .icc_profile()
            .unwrap()
    };
    let shown = fs::read(store.thumbnail(photo.hash).unwrap()).unwrap();
    assert_eq!(profile_of(&shown), Some(profile.clone()));
    let exported = store.export(photo.hash, false).unwrap();
    assert_eq!(profile_of(&exported), Some(profile));
    assert_eq!(exported, jpeg, "nothing was to be taken out");
}

#[test]
fn pictures_that_would_fill_the_memory_are_not_decoded() {
    let (_dir, store) = store();
    let mut png = png_of(&four_fields(16, 16));
    let size = |png: &mut Vec<u8>, width: u32, height: u32, depth: u8, colour: u8| {
        png[16..20].copy_from_slice(&width.to_be_bytes());
        png[20..24].copy_from_slice(&height.to_be_bytes());
        (png[24], png[25]) = (depth, colour);
        let sum = crc32fast::hash(&png[12..29]).to_be_bytes();
        png[29..33].copy_from_slice(&sum);
    };
    size(&mut png, 10_001, 10_000, 8, 2);
    let photo = store.put(&png).unwrap();
    let fault = store.thumbnail(photo.hash).unwrap_err();
    assert!(
        matches!(
            fault,
            PhotoFault::TooManyPixels {
                width: 10_001,
                height: 10_000,
                ..
            }
        ),
        "{fault}"
    );
    // Few enough pixels, but 16 bits of four channels each: 792 MB.
    size(&mut png, 9_900, 10_000, 16, 6);
    let photo = store.put(&png).unwrap();
    let fault = store.thumbnail(photo.hash).unwrap_err();
    assert!(matches!(fault, PhotoFault::Undecodable { .. }), "{fault}");

    let mut jpeg = jpeg_of(&four_fields(16, 16));
    let frame = jpeg
        .windows(2)
        .position(|pair| pair == [0xff, 0xc0])
        .unwrap();
    jpeg[frame + 5..frame + 9].copy_from_slice(&[0xff, 0xdc, 0xff, 0xdc]);
    let photo = store.put(&jpeg).unwrap();
    let fault = store.thumbnail(photo.hash).unwrap_err();
    assert!(matches!(fault, PhotoFault::TooManyPixels { .. }), "{fault}");
}

#[test]
fn heif_is_kept_and_says_what_it_cannot() {
    let (_dir, store) = store();
    let photo = store.put(&heif()).unwrap();
    assert_eq!(
        (photo.kind, photo.width, photo.has_location),
        (PhotoKind::Heif, None, false)
    );
    assert!(
        store
            .original(photo.hash)
            .extension()
            .is_some_and(|e| e == "heif")
    );
    assert!(matches!(
        store.thumbnail(photo.hash),
        Err(PhotoFault::NoThumbnail { .. })
    ));
    let fault = store.export(photo.hash, false).unwrap_err();
    assert!(
        matches!(
            fault,
            PhotoFault::CannotClean {
                kind: PhotoKind::Heif,
                ..
            }
        ),
        "{fault}"
    );
    assert_eq!(store.export(photo.hash, true).unwrap(), heif());
    let placed = [heif(), tiff(&gps_fields(), None, false)].concat();
    assert!(store.put(&placed).unwrap().has_location);
}

// ---- location

#[test]
fn a_place_is_noticed_wherever_it_is_told() {
    let (_dir, store) = store();
    let jpeg = jpeg_of(&four_fields(64, 48));
    let png = png_of(&four_fields(64, 48));
    let version_only = [field(Tag::GPSVersionID, Value::Byte(vec![2, 3, 0, 0]))];
    let iptc = |set: u8| {
        segment(
            0xed,
            &[
                &b"Photoshop 3.0\08BIM\x04\x04\0\0\0\0\0\x08\x1c\x02"[..],
                &[set],
                b"\0\x03abc",
            ]
            .concat(),
        )
    };
    let mut broken = tiff(&gps_fields(), None, true);
    broken.truncate(40);
    let with = |segments: &[Vec<u8>]| with_segments(&jpeg, segments);
    let chunked = |kind: &[u8; 4], body: &[u8]| with_chunks(&png, &[png_chunk(kind, body)]);
    let cases: [(&str, bool, Vec<u8>); 17] = [
        ("plain JPEG", false, jpeg.clone()),
        ("plain PNG", false, png.clone()),
        (
            "EXIF without a place",
            false,
            with(&[exif_segment(&tiff(&taken_fields(), None, true))]),
        ),
        (
            "GPS version alone",
            false,
            with(&[exif_segment(&tiff(&version_only, None, true))]),
        ),
        (
            "GPS, little-endian",
            true,
            with(&[exif_segment(&tiff(&gps_fields(), None, true))]),
        ),
        (
            "GPS, big-endian",
            true,
            with(&[exif_segment(&tiff(&gps_fields(), None, false))]),
        ),
        ("GPS cut off", true, with(&[exif_segment(&broken)])),
        ("XMP", true, with(&[xmp_segment(XMP_PLACE)])),
        (
            "XMP without a place",
            false,
            with(&[xmp_segment("<x:xmpmeta tiff:Make=\"x\"/>")]),
        ),
        (
            "XMP city",
            true,
            with(&[xmp_segment("<a photoshop:City=\"x\"/>")]),
        ),
        ("IPTC city", true, with(&[iptc(0x5a)])),
        ("IPTC caption", false, with(&[iptc(0x78)])),
        (
            "second EXIF",
            true,
            with(&[
                exif_segment(&tiff(&version_only, None, true)),
                exif_segment(&tiff(&gps_fields(), None, true)),
            ]),
        ),
        (
            "PNG eXIf",
            true,
            chunked(b"eXIf", &tiff(&gps_fields(), None, false)),
        ),
        (
            "PNG XMP",
            true,
            chunked(
                b"iTXt",
                &[b"XML:com.adobe.xmp\0\0\0\0\0", XMP_PLACE.as_bytes()].concat(),
            ),
        ),
        (
            "PNG packed XMP",
            true,
            chunked(b"iTXt", b"XML:com.adobe.xmp\0\x01\0\0\0x"),
        ),
        (
            "clip behind",
            true,
            [&jpeg[..], b"moov\xa9xyz\0\x12\x15\xc7+27.5917+086.5643/"].concat(),
        ),
    ];
    for (what, place, bytes) in cases {
        let photo = store.put(&bytes).unwrap();
        assert_eq!(photo.has_location, place, "{what}");
        if photo.kind != PhotoKind::Heif {
            let exported = store.export(photo.hash, false).unwrap();
            assert!(
                !store.put(&exported).unwrap().has_location,
                "{what}, exported"
            );
        }
    }
}

#[test]
fn export_takes_the_place_out_of_a_jpeg_and_leaves_the_picture() {
    let (_dir, store) = store();
    for orientation in [1, 6] {
        let bytes = jpeg_full_of_places(orientation);
        for place in PLACE_BYTES {
            assert!(
                tells(&bytes, place),
                "the sample lacks {:?}",
                String::from_utf8_lossy(place)
            );
        }
        let photo = store.put(&bytes).unwrap();
        let exported = store.export(photo.hash, false).unwrap();
        for place in PLACE_BYTES {
            assert!(
                !tells(&exported, place),
                "{:?} is left",
                String::from_utf8_lossy(place)
            );
        }
        assert_eq!(decoded(&exported), decoded(&bytes), "not one pixel differs");

        // What is left of metadata, read by a library: orientation and time, and no more.
        let exif = exif::Reader::new()
            .read_from_container(&mut Cursor::new(&exported))
            .unwrap();
        let mut left: Vec<_> = exif
            .fields()
            .map(|field| (field.tag, field.display_value().to_string()))
            .collect();
        left.sort_by_key(|(tag, _)| tag.number());
        let mut expected = vec![
            (Tag::ExifVersion, "2.32".to_owned()),
            (Tag::DateTimeOriginal, "2026-03-04 09:41:07".to_owned()),
        ];
        if orientation != 1 {
            let told = "row 0 at right and column 0 at top".to_owned();
            expected.insert(0, (Tag::Orientation, told));
        }
        assert_eq!(left, expected);

        let again = store.put(&exported).unwrap();
        assert!(!again.has_location);
        assert_eq!((again.width, again.height), (photo.width, photo.height));
        assert_eq!(again.taken.as_deref(), Some("2026-03-04T09:41:07"));
        assert_eq!(
            store.export(again.hash, false).unwrap(),
            exported,
            "clean stays as it is"
        );
    }
}

#[test]
fn export_takes_the_place_out_of_a_png_and_leaves_the_picture() {
    let (_dir, store) = store();
    let mut fields = gps_fields();
    fields.push(orientation_field(6));
    fields.extend(taken_fields());
    let xmp = [b"XML:com.adobe.xmp\0\0\0\0\0", XMP_PLACE.as_bytes()].concat();
    let mut png = with_chunks(
        &png_of(&four_fields(64, 48)),
        &[
            png_chunk(b"eXIf", &tiff(&fields, None, false)),
            png_chunk(b"iTXt", &xmp),
            png_chunk(b"tEXt", b"Comment\0GPS 27.591714 86.564286"),
            png_chunk(b"zTXt", b"Raw profile type exif\0\0GPS"),
            png_chunk(b"prVt", b"GPS +27.5917"),
            png_chunk(b"pHYs", &[0, 0, 0x0b, 0x13, 0, 0, 0x0b, 0x13, 1]),
        ],
    );
    png.extend(b"GPS behind the end");
    let photo = store.put(&png).unwrap();
    assert!(photo.has_location);
    assert_eq!((photo.width, photo.height), (Some(48), Some(64)));
    let exported = store.export(photo.hash, false).unwrap();
    for place in PLACE_BYTES {
        assert!(
            !tells(&exported, place),
            "{:?} is left",
            String::from_utf8_lossy(place)
        );
    }
    assert!(tells(&exported, b"pHYs"));
    assert_eq!(
        decoded(&exported),
        decoded(&png),
        "also checks each chunk's sum"
    );
    let again = store.put(&exported).unwrap();
    assert_eq!((again.width, again.height), (Some(48), Some(64)));
    assert_eq!(again.taken.as_deref(), Some("2026-03-04T09:41:07"));
    assert!(!again.has_location);
}

#[test]
fn a_file_built_wrong_is_not_exported_without_its_place() {
    let (_dir, store) = store();
    let jpeg = jpeg_of(&four_fields(64, 48));
    // The length of the first segment is one too small, so what follows is not a marker.
    let mut short = jpeg.clone();
    assert_eq!(&short[2..6], [0xff, 0xe0, 0, 16]);
    short[5] = 15;
    let png = png_of(&four_fields(64, 48));
    let cases = [
        (19, "a marker was expected", short),
        (
            2,
            "a segment runs over the end of the file",
            jpeg[..12].to_vec(),
        ),
        (20, "the file ends before its picture", jpeg[..20].to_vec()),
        (
            2,
            "this marker may not stand here",
            b"\xff\xd8\xff\xd8\xff\xd9".to_vec(),
        ),
        (
            2,
            "a scan begins before its frame",
            b"\xff\xd8\xff\xda\0\x02\xff\xd9".to_vec(),
        ),
        (
            2,
            "a segment is shorter than its own length field",
            b"\xff\xd8\xff\xe1\0\x01".to_vec(),
        ),
        (
            33,
            "a chunk runs over the end of the file",
            png[..50].to_vec(),
        ),
        (8, "the file ends before its end chunk", png[..12].to_vec()),
    ];
    for (byte, reason, bytes) in cases {
        let photo = store.put(&bytes).unwrap();
        let fault = store.export(photo.hash, false).unwrap_err();
        match fault {
            PhotoFault::Uncleanable { at, why, .. } => {
                assert_eq!((at, why.to_string().as_str()), (byte, reason))
            }
            other => panic!("{other}"),
        }
        assert_eq!(store.export(photo.hash, true).unwrap(), bytes);
    }
}

#[test]
fn truncated_photos_are_kept_and_never_upset_anything() {
    let (_dir, store) = store();
    let whole = jpeg_full_of_places(6);
    let mut shown = 0;
    for length in (3..whole.len()).step_by(97) {
        let cut = &whole[..length];
        let photo = store.put(cut).unwrap();
        assert_eq!(fs::read(store.original(photo.hash)).unwrap(), cut);
        match store.thumbnail(photo.hash) {
            Ok(path) => {
                decoded(&fs::read(path).unwrap());
                shown += 1;
            }
            Err(PhotoFault::Undecodable { .. }) => {}
            Err(other) => panic!("{length}: {other}"),
        }
        match store.export(photo.hash, false) {
            Ok(exported) => {
                let place = PLACE_BYTES.iter().find(|place| tells(&exported, place));
                assert_eq!(place, None, "{length}");
            }
            Err(PhotoFault::Uncleanable { .. }) => {}
            Err(other) => panic!("{length}: {other}"),
        }
    }
    assert!(shown > 0, "what was there of the picture was never shown");
}

#[test]
fn a_place_is_found_however_the_bytes_are_cut() {
    let bytes = jpeg_full_of_places(6);
    let whole = place_signs(&bytes);
    assert!(whole.exif_pointers >= 3 && whole.texts >= 4, "{whole:?}");
    for size in [1, 2, 3, 5, 7, 16, 17, 18, 19, 64, 1000, 4096] {
        let mut search = PlaceSearch::new();
        bytes.chunks(size).for_each(|piece| search.feed(piece));
        let found = search.found();
        assert_eq!(found.exif_pointers, whole.exif_pointers, "pieces of {size}");
        // An IPTC set that lies across many tiny pieces is the only thing that may be overlooked.
        let missed = whole.texts - found.texts.min(whole.texts);
        assert!(
            missed <= usize::from(size < 12),
            "pieces of {size}: {found:?} of {whole:?}"
        );
    }
}

#[test]
fn the_time_is_told_only_if_it_is_one() {
    let taken = |text: &str, offset: &str| {
        let fields = [
            field(Tag::DateTimeOriginal, ascii(text)),
            field(Tag::OffsetTimeOriginal, ascii(offset)),
        ];
        let jpeg = jpeg_of(&four_fields(16, 16));
        let jpeg = with_segments(&jpeg, &[exif_segment(&tiff(&fields, None, false))]);
        inspect::read_headers(PhotoKind::Jpeg, &mut Cursor::new(jpeg)).taken
    };
    let told = |text: &str| Some(text.to_owned());
    assert_eq!(
        taken("2026:03:04 09:41:07", "-03:30"),
        told("2026-03-04T09:41:07-03:30")
    );
    assert_eq!(
        taken("2026:03:04 09:41:07", "   :  "),
        told("2026-03-04T09:41:07")
    );
    assert_eq!(
        taken("2026:03:04 09:41:07", "+99:00"),
        told("2026-03-04T09:41:07")
    );
    for nonsense in [
        "0000:00:00 00:00:00",
        "    :  :     :  :  ",
        "2026:02:30 09:41:07",
        "",
        "é",
    ] {
        assert_eq!(taken(nonsense, "+10:00"), None, "{nonsense:?}");
    }
}

static SAMPLES: LazyLock<[Vec<u8>; 3]> = LazyLock::new(|| {
    let placed = png_chunk(b"eXIf", &tiff(&gps_fields(), None, false));
    [
        jpeg_full_of_places(6),
        with_chunks(&png_of(&four_fields(64, 48)), &[placed]),
        [heif(), tiff(&gps_fields(), None, true)].concat(),
    ]
});

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    /// Bytes changed at random upset nothing, and no place gets out.
    #[test]
    fn damaged_metadata_upsets_nothing(
        which in 0..3_usize,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..40),
        early in any::<bool>(),
    ) {
        let (_dir, store) = store();
        let mut bytes = SAMPLES[which].clone();
        let reach = if early { bytes.len().min(700) } else { bytes.len() };
        for (index, value) in changes {
            bytes[index.index(reach)] = value;
        }
        if let Ok(photo) = store.put(&bytes) {
            prop_assert_eq!(store.verify(photo.hash).unwrap(), PhotoState::Present);
            let _ = store.thumbnail(photo.hash);
            if let Ok(exported) = store.export(photo.hash, false) {
                prop_assert_eq!(place_signs(&exported), Default::default());
                prop_assert!(!tells(&exported, b"27.59"));
            }
        }
    }
}

/// One bit of a marker changed, and a text of the place was kept as if it were a frame's figures.
#[test]
fn a_text_whose_marker_was_damaged_into_a_frames_is_not_handed_on() {
    let whole = &SAMPLES[0];
    for at in 2..whole.len() - 1 {
        if whole[at] != 0xff || !matches!(whole[at + 1], 0xe0..=0xef | 0xfe) {
            continue;
        }
        for marker in (0xc0..=0xcf).chain(0xdb..=0xdf) {
            let (_dir, store) = store();
            let mut bytes = whole.clone();
            bytes[at + 1] = marker;
            let Ok(photo) = store.put(&bytes) else {
                continue;
            };
            if let Ok(exported) = store.export(photo.hash, false) {
                assert!(!tells(&exported, b"27.59"), "{at} {marker:x}");
            }
        }
    }
}

// ---- cost

/// `cargo test --release -p slackwater-core photos::tests::measure -- --ignored --nocapture`
#[test]
#[ignore = "measures; run it in release"]
fn measure() {
    // A JPEG of 12 megapixels and about 4 MB: smooth colour with some grain.
    let mut grain = 1_u32;
    let picture = RgbImage::from_fn(4000, 3000, |x, y| {
        grain = grain.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let noise = (grain >> 27) as u8;
        Rgb([
            (x / 20) as u8 / 2 + noise,
            (y / 15) as u8 / 2 + noise,
            ((x + y) / 30) as u8 / 2 + noise,
        ])
    });
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 88)
        .encode_image(&picture)
        .unwrap();
    let jpeg = with_segments(
        &jpeg,
        &[exif_segment(&tiff(&[orientation_field(6)], None, true))],
    );
    println!("JPEG of {} bytes", jpeg.len());
    let (dir, store) = store();
    let median = |what: &str, mut run: Box<dyn FnMut(usize) + '_>| {
        let mut times: Vec<_> = (0..15)
            .map(|n| {
                let start = Instant::now();
                run(n);
                start.elapsed()
            })
            .collect();
        times.sort();
        println!("{what}: median {:?}, longest {:?}", times[7], times[14]);
    };
    let numbered = |n: usize| [&jpeg[..], &n.to_be_bytes()].concat();
    let photos: Vec<_> = (0..15).map(numbered).collect();
    let hashes: Vec<_> = photos
        .iter()
        .map(|bytes| PhotoHash(*blake3::hash(bytes).as_bytes()))
        .collect();
    median("put", Box::new(|n| drop(store.put(&photos[n]).unwrap())));
    median(
        "put again",
        Box::new(|n| drop(store.put(&photos[n]).unwrap())),
    );
    let camera = dir.path().join("camera.jpg");
    fs::write(&camera, numbered(99)).unwrap();
    median(
        "put_file again",
        Box::new(|_| drop(store.put_file(&camera).unwrap())),
    );
    median(
        "thumbnail",
        Box::new(|n| drop(store.thumbnail(hashes[n]).unwrap())),
    );
    median(
        "export without location",
        Box::new(|n| drop(store.export(hashes[n], false).unwrap())),
    );
    median(
        "verify",
        Box::new(|n| assert_eq!(store.verify(hashes[n]).unwrap(), PhotoState::Present)),
    );
    median(
        "decoding alone",
        Box::new(|n| drop(image::load_from_memory(&photos[n]).unwrap())),
    );
    let shown = fs::metadata(store.thumbnail(hashes[0]).unwrap())
        .unwrap()
        .len();
    println!("thumbnail of {shown} bytes");

    // 500 photos as a screen would ask for them.
    let small: Vec<_> = (0..500_u32)
        .map(|n| {
            let bytes = [&jpeg_of(&four_fields(16, 16))[..], &n.to_be_bytes()].concat();
            store.put(&bytes).unwrap().hash
        })
        .collect();
    let start = Instant::now();
    let opened = PhotoStore::open(&dir.path().join("photos")).unwrap();
    println!("open with 515 photos: {:?}", start.elapsed());
    for what in ["first", "again"] {
        let start = Instant::now();
        assert!(
            small
                .iter()
                .all(|hash| opened.state(*hash) == PhotoState::Present)
        );
        println!("state of 500, {what}: {:?}", start.elapsed());
    }
}
