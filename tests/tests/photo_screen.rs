//! One photo, large: from the thing it is noted at to the file that is handed on.

use std::io::Cursor;

use image::{DynamicImage, ImageFormat, RgbImage};
use slackwater_checks::drive::Day;
use slackwater_core::domain::book::BookFault;
use slackwater_core::domain::facts::{Fact, SketchMark};
use slackwater_core::screens::common::{FieldValue, Form, Outcome, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::page::{Block, PhotoMark};
use slackwater_core::screens::photo::{PhotoAction, PhotoScreen};
use slackwater_core::screens::sketch::Tool;
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
    let as_it_is = &screen.others[2];
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

/// A desk with one photo of a ring, and its hash.
fn with_a_photo(dir: &std::path::Path) -> (Desk, String) {
    let mut day = Day::dry_parts(dir).unwrap();
    let subject = format!("{}/seal/main-back", day.rig);
    let (kept, _) = day
        .book
        .add_photo(&subject, "The groove", &photo_with_a_place())
        .unwrap();
    (Desk::new(day.book, 0), kept.hash.to_string())
}

fn sketching(photo: &str, tool: Tool) -> Place {
    Place::Sketch {
        photo: photo.to_owned(),
        tool,
    }
}

/// What is drawn over the photo as the page shows it, and the form that draws.
fn over(desk: &Desk, place: &Place) -> (Vec<PhotoMark>, Option<Form>) {
    let page = desk.page(place).unwrap();
    let found = page.blocks.into_iter().find_map(|b| match b {
        Block::LargePhoto { marks, draw, .. } => Some((marks, draw)),
        _ => None,
    });
    found.unwrap()
}

fn draws(desk: &mut Desk, place: &Place, at: &[(&str, &str)]) -> Outcome {
    let (_, form) = over(desk, place);
    let form = form.expect("something to draw with");
    let keys: Vec<&str> = form.fields.iter().map(|f| f.key.as_str()).collect();
    assert_eq!(keys, at.iter().map(|a| a.0).collect::<Vec<_>>());
    let values = at
        .iter()
        .map(|(key, value)| FieldValue {
            key: (*key).to_owned(),
            value: (*value).to_owned(),
        })
        .collect();
    let action = Action::submit(place, &form.key, values).unwrap();
    desk.act(place, action).unwrap()
}

const ACROSS: [(&str, &str); 4] = [
    ("from_x", "100"),
    ("from_y", "200"),
    ("to_x", "600"),
    ("to_y", "700"),
];

#[test]
fn what_is_drawn_over_a_photo_is_a_layer_of_its_own() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, photo) = with_a_photo(dir.path());
    let place = Place::Photo {
        photo: photo.clone(),
    };
    let went = desk.act(&place, PhotoAction::Draw).unwrap();
    let arrow = sketching(&photo, Tool::Arrow);
    assert_eq!(went.go, Some(arrow.clone()));
    let undo = draws(&mut desk, &arrow, &ACROSS).undo.unwrap();
    let ring = sketching(&photo, Tool::Ring);
    draws(&mut desk, &ring, &ACROSS);
    // A word is written, then placed.
    let words = sketching(&photo, Tool::Words(String::new()));
    let typed = |text: &str| {
        vec![FieldValue {
            key: "text".into(),
            value: text.into(),
        }]
    };
    let send = |text: &str| Action::submit(&words, "words", typed(text)).unwrap();
    for none in ["", "  ", "\u{200b}", &"a".repeat(41)] {
        let out = desk.act(&words, send(none)).unwrap();
        assert_eq!(out.faults[0].field, "text", "{none:?}");
    }
    let written = desk.act(&words, send("hair")).unwrap().go.unwrap();
    let out = draws(&mut desk, &written, &ACROSS[..2]);
    assert_eq!(out.go, Some(words), "the next words are others");

    let all = [
        PhotoMark::Arrow {
            from_x: 100,
            from_y: 200,
            to_x: 600,
            to_y: 700,
        },
        PhotoMark::Ring {
            from_x: 100,
            from_y: 200,
            to_x: 600,
            to_y: 700,
        },
        PhotoMark::Words {
            x: 100,
            y: 200,
            text: "hair".into(),
        },
    ];
    assert_eq!(over(&desk, &place).0, all);
    assert_eq!(over(&desk, &arrow).0, all);
    let (bare, form) = over(&desk, &sketching(&photo, Tool::Bare));
    assert!(bare.is_empty() && form.is_none());
    // The file is the one that was taken.
    assert_eq!(handed_on(&mut desk, &photo, true), photo_with_a_place());
    // One is taken back by the bar, another on the page, which asks; both stand in the journal.
    desk.undo(&undo.token).unwrap();
    assert_eq!(over(&desk, &place).0, all[1..]);
    let page = desk.page(&arrow).unwrap();
    let rows: Vec<_> = page
        .blocks
        .iter()
        .filter_map(|b| match b {
            Block::Rows { rows, .. } => Some(rows),
            _ => None,
        })
        .flatten()
        .collect();
    let titles: Vec<&str> = rows.iter().map(|r| r.title.as_str()).collect();
    assert_eq!(titles, ["“hair”", "Ring"]);
    let back = rows[1].tap.clone().unwrap();
    assert!(back.confirm.is_some());
    desk.act(&arrow, back.action.clone()).unwrap();
    assert_eq!(over(&desk, &place).0, all[2..]);
    let twice = desk.act(&arrow, back.action).unwrap();
    assert_eq!(twice.faults.len(), 1);
    let rig = desk.book().rigs().unwrap()[0].id.clone();
    let journal = Place::Journal {
        rig: Some(rig),
        before: None,
    };
    let told = format!("{:?}", desk.show(&journal).unwrap());
    assert!(told.matches("Drawn over a photo").count() >= 3, "{told}");
}

#[test]
fn nothing_is_drawn_that_nobody_would_see() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, photo) = with_a_photo(dir.path());
    let arrow = sketching(&photo, Tool::Arrow);
    let with = |key: &str, value: &'static str| {
        ACROSS.map(|(k, v)| if k == key { (k, value) } else { (k, v) })
    };
    for wrong in ["1001", "-1", "", "NaN", "1e308", "x"] {
        let out = draws(&mut desk, &arrow, &with("to_x", wrong));
        assert_eq!(out.faults.len(), 1, "{wrong}");
        assert_eq!(out.faults[0].field, "to_x", "{wrong}");
    }
    // A tap is no arrow.
    let dot = ACROSS.map(|(k, _)| (k, "500"));
    assert_eq!(draws(&mut desk, &arrow, &dot).faults.len(), 1);
    assert!(over(&desk, &arrow).0.is_empty());
    // A photo that nobody noted isn't drawn over; nor is one drawn over without end.
    let nowhere = sketching(&"0".repeat(64), Tool::Arrow);
    assert!(desk.page(&nowhere).is_err());
    for n in 0..40 {
        assert_eq!(draws(&mut desk, &arrow, &ACROSS).faults, [], "{n}");
    }
    assert_eq!(draws(&mut desk, &arrow, &ACROSS).faults.len(), 1);
    assert_eq!(over(&desk, &arrow).0.len(), 40);
    // What another program wrote outside of the picture is shown at its edge.
    let rig = desk.book().rigs().unwrap()[0].id.clone();
    let mark = SketchMark::Ring {
        from: [5_000, 10],
        to: [10, u16::MAX],
    };
    for event in desk.book().sketch(&photo).unwrap() {
        desk.undo(&event.event).unwrap();
    }
    let subject = format!("{rig}/photo/{photo}");
    desk.book_mut()
        .record(vec![(subject, Fact::PhotoMarked { mark })])
        .unwrap();
    let edge = PhotoMark::Ring {
        from_x: 1_000,
        from_y: 10,
        to_x: 10,
        to_y: 1_000,
    };
    assert_eq!(over(&desk, &arrow).0, [edge]);
}
