//! One photo, large. Its one question: what does it show?

use super::common::{Document, Line, Mark, Outcome, Place, Severity};
use super::cx::{Cx, PHOTOS_SHOWN, go, line};
use super::desk::Desk;
use super::page::{Block, Draft, Page};
use super::texts::Texts;
use slackwater_domain::book::{BookFault, Drawn, PhotoPlace};
use slackwater_domain::photos::{PhotoHash, PhotoState};
use slackwater_domain::state::RigFacts;
use slackwater_domain::subject::{At, Subject};

pub use super::common::{Button as PhotoButton, Row as PhotoRow};

/// What the photo screen accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum PhotoAction {
    /// Offers the file to another app or person.
    HandOn {
        /// As the camera made it, with the place where it was taken if it tells one.
        keep_location: bool,
    },
    /// Draws over it.
    Draw,
    /// Opens a rig that it is noted at.
    OpenRig {
        /// Rig id.
        rig: String,
    },
}

/// One photo.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoScreen {
    /// What it shows: the note, or the name of the thing.
    pub title: String,
    /// BLAKE3 of the original, hex: ask for the large picture with it, off the thread that draws.
    pub photo: String,
    /// What a screen reader says for the picture.
    pub spoken: String,
    /// True where there is nothing to draw; a line says why.
    pub broken: bool,
    /// What is drawn over it, oldest first.
    pub drawn: Vec<Drawn>,
    /// What sort of file, and what is wrong with it.
    pub lines: Vec<Line>,
    /// Where it is noted, newest first.
    pub places: Vec<PhotoRow>,
    /// Ways to hand it on.
    pub others: Vec<PhotoButton>,
    /// The hash, for whoever must answer for the file.
    pub record: String,
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, photo: &str) -> Result<PhotoScreen, BookFault> {
    let (hash, noted) = find(cx, photo)?;
    let store = cx.book.photos();
    let state = store.state(hash);
    let plain = |text: String| line(text, Severity::Plain, None);

    let mut lines = Vec::new();
    match state {
        PhotoState::Missing => lines.push(wrong(cx.t("common_photo_missing"))),
        PhotoState::Damaged => lines.push(wrong(cx.t("common_photo_damaged"))),
        PhotoState::Present => {}
    }
    let places: Vec<PhotoRow> = noted
        .iter()
        .map(|place| {
            let rig = cx.book.rig(&place.rig).ok();
            let thing = rig.as_deref().map(|r| thing(r, place));
            let title = thing.unwrap_or_else(|| cx.t("common_photo_no_note"));
            PhotoRow {
                detail: place.note.note.clone(),
                footnote: Some(cx.who_when(&place.note.author, place.note.wall_ms)),
                mark: None,
                severity: Severity::Plain,
                tap: rig.map(|_| PhotoButton {
                    label: cx.t("action_open_rig"),
                    action: PhotoAction::OpenRig {
                        rig: place.rig.clone(),
                    }
                    .into(),
                    enabled: true,
                    why_not: None,
                    confirm: None,
                }),
                title,
                other: None,
                photo: None,
            }
        })
        .collect();
    let about = store.about(hash);
    if let Some(file) = &about {
        let (kind, size) = (file.kind.to_string(), cx.units.file_size(file.bytes));
        let said = match (file.width, file.height) {
            (Some(w), Some(h)) => cx.say(
                "screen_photo_file_pixels",
                &[
                    ("kind", (&kind).into()),
                    ("w", (&w.to_string()).into()),
                    ("h", (&h.to_string()).into()),
                    ("size", (&size).into()),
                ],
            ),
            _ => cx.say(
                "screen_photo_file",
                &[("kind", (&kind).into()), ("size", (&size).into())],
            ),
        };
        lines.push(plain(said));
    }
    let drawable = about.is_none_or(|f| f.kind.can_be_drawn());
    if state == PhotoState::Present && !drawable {
        lines.push(line(
            cx.t("screen_photo_no_picture"),
            Severity::Notice,
            None,
        ));
    }

    let first = places.first();
    let title = first
        .map(|p| {
            if p.detail.is_empty() {
                &p.title
            } else {
                &p.detail
            }
        })
        .cloned()
        .unwrap_or_default();
    let drawn = cx.book.sketch(&hash.to_string())?;
    let others = if state == PhotoState::Present {
        let draw = drawable.then(|| PhotoButton {
            label: cx.t("action_draw_over"),
            action: PhotoAction::Draw.into(),
            enabled: true,
            why_not: None,
            confirm: None,
        });
        let mut others: Vec<PhotoButton> = draw.into_iter().collect();
        others.extend([
            PhotoButton {
                label: cx.t("screen_photo_without_location"),
                action: PhotoAction::HandOn {
                    keep_location: false,
                }
                .into(),
                enabled: drawable,
                why_not: (!drawable).then(|| cx.t("screen_photo_cannot_clean")),
                confirm: None,
            },
            PhotoButton {
                label: cx.t("screen_photo_as_it_is"),
                action: PhotoAction::HandOn {
                    keep_location: true,
                }
                .into(),
                enabled: true,
                why_not: None,
                confirm: Some(cx.t("screen_photo_as_it_is_question")),
            },
        ]);
        others
    } else {
        Vec::new()
    };
    Ok(PhotoScreen {
        spoken: cx.say("screen_photo_spoken", &[("what", (&title).into())]),
        title,
        photo: hash.to_string(),
        broken: state != PhotoState::Present || !drawable,
        drawn,
        lines,
        places,
        others,
        record: cx.say(
            "screen_photo_record",
            &[("hash", (&hash.to_string()).into())],
        ),
    })
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, photo: &str, action: PhotoAction) -> Result<Outcome, BookFault> {
    let keep_location = match action {
        PhotoAction::OpenRig { rig } => return Ok(go(Place::Rig { rig, form: None })),
        PhotoAction::Draw => {
            return Ok(go(Place::Sketch {
                photo: photo.to_owned(),
                tool: super::sketch::Tool::default(),
            }));
        }
        PhotoAction::HandOn { keep_location } => keep_location,
    };
    let cx = desk.cx()?;
    let (hash, _) = find(&cx, photo)?;
    let store = cx.book.photos();
    let kind = store.about(hash).map(|f| f.kind);
    let bytes = store.export(hash, keep_location)?;
    let ending = kind.map_or("jpg", |k| k.extension());
    Ok(Outcome {
        document: Some(Document {
            // The first digits of the hash tell which photo it was when it comes back as evidence.
            name: format!("photo-{}.{ending}", &hash.to_string()[..12]),
            media_type: kind.map_or("image/jpeg", |k| k.media_type()).to_owned(),
            bytes,
            file: None,
        }),
        ..Outcome::default()
    })
}

/// The photo and where it is noted, newest first. One that no event names isn't there.
fn find(cx: &Cx<'_>, photo: &str) -> Result<(PhotoHash, Vec<PhotoPlace>), BookFault> {
    let unknown = || BookFault::NotFound {
        what: "photo",
        id: photo.chars().take(80).collect(),
    };
    let hash: PhotoHash = photo.parse().map_err(|_| unknown())?;
    let noted = cx.book.photo_places(&hash.to_string(), PHOTOS_SHOWN)?;
    if noted.is_empty() {
        return Err(unknown());
    }
    Ok((hash, noted))
}

/// 'Pool rig: Port base', as the photo is noted there.
fn thing(rig: &RigFacts, place: &PhotoPlace) -> String {
    let subject = At::parse(&place.at).of(&place.rig);
    let at = super::journal::thing(rig, &Subject::parse(&subject));
    let name = &rig.def.name;
    if at.is_empty() || at == *name {
        name.clone()
    } else {
        format!("{name}: {at}")
    }
}

fn wrong(text: String) -> Line {
    line(text, Severity::Blocking, Some(Mark::Struck))
}

impl PhotoScreen {
    pub(super) fn page(self, texts: &Texts) -> Page {
        Draft::new(&texts.get("shell_photos"), "")
            .answer(&self.title, None, Severity::Plain)
            .block(Block::LargePhoto {
                photo: self.photo,
                broken: self.broken,
                spoken: self.spoken,
                marks: self.drawn.iter().map(super::sketch::shown).collect(),
                draw: None,
                template: None,
            })
            .rows("", self.places)
            .lines(self.lines)
            .buttons(&texts.get("shell_more"), self.others)
            .footnote(&texts.get("shell_record"), &self.record)
            .done()
    }
}
