//! One photo, large: from the thing it is noted at to the file that is handed on.

use std::io::Cursor;

use image::{DynamicImage, ImageFormat, RgbImage};
use slackwater_checks::drive::Day;
use slackwater_core::domain::book::BookFault;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::photo::{PhotoAction, PhotoScreen};
use slackwater_core::screens::{Action, Screen};

/// A JPEG of 3000 × 2000 pixels with an Exif block that says where it was taken.
fn photo_with_a_place() -> Vec<u8> {
    let picture = RgbImage::from_fn(3000, 2000, |x, y| {
        image::Rgb([(x / 12) as u8, (y / 8) as u8, 90])
    });
    let mut plain = Vec::new();
    DynamicImage::ImageRgb8(picture)
        .write_to(&mut Cursor::new(&mut plain), ImageFormat::Jpeg)
        .unwrap();
    // TIFF, big-endian: IFD0 with one entry, GPSInfo (0x8825), to an IFD with GPSLatitudeRef 'N'
    // (Exif 2.32, 4.6.3 and 4.6.6).
    let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08".to_vec();
    exif.extend(b"\0\x01\x88\x25\0\x04\0\0\0\x01\0\0\0\x1a\0\0\0\0");
    exif.extend(b"\0\x01\0\x01\0\x02\0\0\0\x02N\0\0\0\0\0\0\0");
    let mut out = plain[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend(((exif.len() + 2) as u16).to_be_bytes());
    out.extend(exif);
    out.extend(&plain[2..]);
    out
}

fn shown(desk: &Desk, photo: &str) -> PhotoScreen {
    let place = Place::Photo {
        photo: photo.to_owned(),
    };
    match desk.show(&place).unwrap() {
        Screen::Photo { screen } => screen,
        other => panic!("{other:?}"),
    }
}

fn handed_on(desk: &mut Desk, photo: &str, keep_location: bool) -> Vec<u8> {
    let place = Place::Photo {
        photo: photo.to_owned(),
    };
    let action = Action::Photo {
        action: PhotoAction::HandOn { keep_location },
    };
    let document = desk.act(&place, action).unwrap().document.unwrap();
    assert_eq!(document.name, format!("photo-{}.jpg", &photo[..12]));
    assert_eq!(document.media_type, "image/jpeg");
    document.bytes
}

#[test]
fn a_photo_is_shown_large_and_handed_on_with_its_place_only_if_wanted() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let original = photo_with_a_place();
    let (kept, _) = day
        .book
        .add_photo(
            &format!("{rig}/seal/main-back"),
            "A hair at the hinge",
            &original,
        )
        .unwrap();
    let hash = kept.hash.to_string();
    let mut desk = Desk::new(day.book, 0);

    let screen = shown(&desk, &hash);
    assert_eq!(screen.title, "A hair at the hinge");
    assert_eq!((screen.broken, screen.places.len()), (false, 1));
    assert!(
        screen
            .lines
            .iter()
            .any(|l| l.text.contains("3000 × 2000 pixels")),
        "{:?}",
        screen.lines
    );
    assert!(screen.record.contains(&hash));

    let large = desk.book().photos().large(kept.hash).unwrap();
    let large = image::load_from_memory(&large).unwrap();
    assert_eq!((large.width(), large.height()), (2048, 1365));

    assert_eq!(handed_on(&mut desk, &hash, true), original);
    let without = handed_on(&mut desk, &hash, false);
    // The GPSInfo pointer is gone, the picture is not.
    assert!(!without.windows(2).any(|w| w == b"\x88\x25"));
    assert_eq!(image::load_from_memory(&without).unwrap().width(), 3000);
    let as_it_is = &screen.others[1];
    assert!(
        as_it_is.confirm.is_some(),
        "the place is handed on after a second tap only"
    );
}

#[test]
fn a_photo_whose_file_is_gone_or_damaged_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let (kept, _) = day.book.add_photo(&rig, "", &photo_with_a_place()).unwrap();
    let hash = kept.hash.to_string();
    let file = day.book.photos().original(kept.hash);
    let desk = Desk::new(day.book, 0);

    std::fs::write(&file, b"short").unwrap();
    let screen = shown(&desk, &hash);
    assert!(screen.broken && screen.others.is_empty());
    assert!(
        screen.lines[0].text.contains("damaged"),
        "{:?}",
        screen.lines
    );

    std::fs::remove_file(&file).unwrap();
    let screen = shown(&desk, &hash);
    assert!(
        screen.broken && screen.lines[0].text.contains("missing"),
        "{:?}",
        screen.lines
    );
}

#[test]
fn a_photo_that_no_entry_names_is_not_there() {
    let dir = tempfile::tempdir().unwrap();
    let day = Day::dry_parts(dir.path()).unwrap();
    let kept = day.book.photos().put(&photo_with_a_place()).unwrap();
    let desk = Desk::new(day.book, 0);
    for photo in [kept.hash.to_string(), "00".repeat(32), "x".repeat(10_000)] {
        let result = desk.show(&Place::Photo { photo });
        assert!(
            matches!(result, Err(BookFault::NotFound { what: "photo", .. })),
            "{result:?}"
        );
    }
}
