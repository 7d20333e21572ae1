//! The one vocabulary of all pages: what a phone lays out, without knowing which page it is.
//!
//! A page is an answer, blocks in the order in which they are read, and at most one thing to do at the
//! thumb: a button, or the action of the first form whose [`Block::Fields`] is at the thumb. Whatever a
//! block says is in the crew's language and units.

use super::Action;
use super::common::{Button, Form, Line, Mark, PhotoTile, Place, Quantity, Row, Severity};
use super::hold::{HoldChart, Reached};
use super::prep::{FastenerDrawing, PrepAction};
use super::rig_map::RigMap;
use super::trim::{TrimAction, TrimDrawing, TrimLegend};

/// A page as it is shown.
#[derive(Debug, Clone, PartialEq, Default, uniffi::Record)]
pub struct Page {
    /// Where it is, as a text that names no other place: what was typed on it is kept by this.
    pub at: String,
    /// Which step of the place it shows; another one begins at its top.
    pub step: String,
    /// The place in words: 'Closing, 4 of 9', 'Reef rig'.
    pub title: String,
    /// What the place belongs to, on a line of its own; may be empty.
    pub detail: String,
    /// True where Back leads somewhere.
    pub back: bool,
    /// The answer to the one question of the page, largest of all; none on a page that only asks.
    pub answer: Option<Answer>,
    /// What follows it, in the order of reading.
    pub blocks: Vec<Block>,
    /// What is done at the thumb; none where a form's action stands there, or nothing is to be done.
    pub main: Option<Button>,
    /// A hold that is watched from this page.
    pub watch: Option<Watch>,
    /// The places down to here, for the phone to keep while the app is not running.
    pub kept: String,
}

/// The sentence that a page is opened for.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Answer {
    /// 'Ready until 14:20'.
    pub text: String,
    /// Its mark, where it tells a state.
    pub mark: Option<Mark>,
    /// Its weight.
    pub severity: Severity,
    /// What it rests on, in a line or two beneath; may be empty.
    pub beneath: String,
}

/// A hold under way: the phone stays lit, calls for the next reading and shakes when there is a verdict.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Watch {
    /// Which hold.
    pub hold: String,
    /// So many readings it has.
    pub readings: u32,
    /// True while it runs.
    pub running: bool,
    /// In so many seconds the next reading is wanted, if one is.
    pub next_s: Option<i64>,
    /// What its readings come to, if anything.
    pub reached: Option<Reached>,
}

/// Something that is done by ticking it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Tick {
    /// What is to be done.
    pub title: String,
    /// More of it; may be empty.
    pub detail: String,
    /// True once it is.
    pub done: bool,
    /// What a tap sends.
    pub action: Action,
}

/// What is drawn over a photo. Places are thousandths of the upright picture: x of its width from the left, y of
/// its height from the top.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum PhotoMark {
    /// An arrow.
    Arrow {
        /// Its tail.
        from_x: u16,
        /// Its tail.
        from_y: u16,
        /// Its point.
        to_x: u16,
        /// Its point.
        to_y: u16,
    },
    /// An ellipse, by the corners of its box.
    Ring {
        /// One corner.
        from_x: u16,
        /// One corner.
        from_y: u16,
        /// The one across.
        to_x: u16,
        /// The one across.
        to_y: u16,
    },
    /// Words that begin at a place, at half their height.
    Words {
        /// Their place.
        x: u16,
        /// Their place.
        y: u16,
        /// The words.
        text: String,
    },
}

/// A part of a page.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Block {
    /// A heading over what follows.
    Title {
        /// Its words.
        text: String,
    },
    /// Sentences, each with its mark.
    Lines {
        /// The sentences.
        lines: Vec<Line>,
    },
    /// A sentence or two of ordinary weight.
    Text {
        /// The words.
        text: String,
        /// Heavier than what stands around it.
        strong: bool,
    },
    /// What can hurt somebody.
    Caution {
        /// The words.
        text: String,
    },
    /// Rows that lead somewhere or tell a fact.
    Rows {
        /// The heading; may be empty.
        title: String,
        /// The rows; never none.
        rows: Vec<Row>,
        /// Each is an answer of its own, and large.
        large: bool,
    },
    /// Things to tick off.
    Ticks {
        /// The heading; may be empty.
        title: String,
        /// The things; never none.
        ticks: Vec<Tick>,
    },
    /// Fields, and the action that sends them.
    Fields {
        /// The form.
        form: Form,
        /// Its action stands at the thumb, and not beneath its fields.
        at_thumb: bool,
        /// What it is of, said aloud where several forms have the same fields; may be empty.
        of: String,
    },
    /// Figures.
    Figures {
        /// The heading; may be empty.
        title: String,
        /// The figures; never none.
        figures: Vec<Quantity>,
    },
    /// What else can be done.
    Buttons {
        /// The heading; may be empty.
        title: String,
        /// The buttons; never none.
        buttons: Vec<Button>,
        /// They add to what is above them, which is called so aloud; may be empty.
        adds_to: String,
    },
    /// The chart of a hold.
    Chart {
        /// The chart.
        chart: HoldChart,
    },
    /// The screws of a closure, in their order.
    Screws {
        /// The drawing.
        drawing: FastenerDrawing,
    },
    /// The map of the rig.
    Map {
        /// The drawing.
        map: RigMap,
    },
    /// The rig from its sides, as it hangs.
    Views {
        /// The drawings.
        drawings: Vec<TrimDrawing>,
        /// What their marks mean.
        legend: Vec<TrimLegend>,
    },
    /// Photos, and how to add one.
    Photos {
        /// The photos.
        tiles: Vec<PhotoTile>,
        /// What a new one is of; none where none is added.
        subject: Option<String>,
    },
    /// One photo, as large as the page.
    LargePhoto {
        /// BLAKE3 of the original, hex.
        photo: String,
        /// True where it can't be shown.
        broken: bool,
        /// What it shows, for a screen reader.
        spoken: String,
        /// What is drawn over it.
        marks: Vec<PhotoMark>,
        /// The form that a drag over it fills in and sends, where it is drawn over: from where to where, in
        /// thousandths of the picture. One without 'to' is filled by a tap.
        draw: Option<Form>,
        /// The mark that comes of it, for the phone to show while the finger moves.
        template: Option<PhotoMark>,
    },
    /// Never needed to act.
    Footnote {
        /// The heading; may be empty.
        title: String,
        /// The words.
        text: String,
    },
    /// The phone's own choice of light for its screen.
    Lights,
}

/// A page as it is put together: what is empty is left out.
#[derive(Default)]
pub(super) struct Draft {
    page: Page,
}

impl Draft {
    pub fn new(title: &str, detail: &str) -> Draft {
        let mut draft = Draft::default();
        draft.page.title = title.to_owned();
        draft.page.detail = detail.to_owned();
        draft
    }

    /// A form on a page of its own.
    pub fn form_page(title: &str, detail: &str, form: Form) -> Draft {
        let draft = if form.title.is_empty() {
            Draft::new(title, detail)
        } else {
            Draft::new(&form.title, title)
        };
        draft.fields(
            Some(Form {
                title: String::new(),
                ..form
            }),
            true,
        )
    }

    pub fn step(mut self, step: &str) -> Draft {
        self.page.step = step.to_owned();
        self
    }

    pub fn answer(mut self, text: &str, mark: Option<Mark>, severity: Severity) -> Draft {
        self.page.answer = Some(Answer {
            text: text.to_owned(),
            mark,
            severity,
            beneath: String::new(),
        });
        self
    }

    /// What the answer rests on.
    pub fn beneath(mut self, text: &str) -> Draft {
        if let Some(answer) = &mut self.page.answer {
            answer.beneath = text.to_owned();
        }
        self
    }

    pub fn main(mut self, main: Option<Button>) -> Draft {
        self.page.main = main;
        self
    }

    pub fn watch(mut self, watch: Watch) -> Draft {
        self.page.watch = Some(watch);
        self
    }

    pub fn block(mut self, block: Block) -> Draft {
        self.page.blocks.push(block);
        self
    }

    fn block_if(self, wanted: bool, block: impl FnOnce() -> Block) -> Draft {
        if wanted { self.block(block()) } else { self }
    }

    pub fn title(self, text: &str) -> Draft {
        self.block(Block::Title { text: text.into() })
    }

    pub fn lines(self, lines: impl IntoIterator<Item = Line>) -> Draft {
        let lines: Vec<Line> = lines.into_iter().collect();
        self.block_if(!lines.is_empty(), || Block::Lines { lines })
    }

    pub fn text(self, text: &str) -> Draft {
        self.words(text, false)
    }

    pub fn words(self, text: &str, strong: bool) -> Draft {
        self.block_if(!text.is_empty(), || Block::Text {
            text: text.into(),
            strong,
        })
    }

    pub fn caution(self, text: Option<String>) -> Draft {
        match text {
            Some(text) => self.block(Block::Caution { text }),
            None => self,
        }
    }

    pub fn rows(self, title: &str, rows: Vec<Row>) -> Draft {
        self.block_if(!rows.is_empty(), || Block::Rows {
            title: title.into(),
            rows,
            large: false,
        })
    }

    pub fn large_rows(self, rows: Vec<Row>) -> Draft {
        self.block_if(!rows.is_empty(), || Block::Rows {
            title: String::new(),
            rows,
            large: true,
        })
    }

    /// Rows of which those that are ticked stand as such, in their order.
    pub fn ticks(mut self, title: &str, rows: Vec<Row>) -> Draft {
        let mut title = title;
        for row in rows {
            let blocks = &mut self.page.blocks;
            let fresh = !title.is_empty();
            match (tick_of(&row), blocks.last_mut()) {
                (Some(tick), Some(Block::Ticks { ticks, .. })) if !fresh => ticks.push(tick),
                (Some(tick), _) => blocks.push(Block::Ticks {
                    title: title.into(),
                    ticks: vec![tick],
                }),
                (
                    None,
                    Some(Block::Rows {
                        rows, large: false, ..
                    }),
                ) if !fresh => rows.push(row),
                (None, _) => blocks.push(Block::Rows {
                    title: title.into(),
                    rows: vec![row],
                    large: false,
                }),
            }
            title = "";
        }
        self
    }

    pub fn map(self, map: Option<RigMap>) -> Draft {
        match map {
            Some(map) => self.block(Block::Map { map }),
            None => self,
        }
    }

    /// A form; at the thumb unless something else is.
    pub fn fields(self, form: Option<Form>, at_thumb: bool) -> Draft {
        self.fields_of(form, at_thumb, "")
    }

    pub fn fields_of(self, form: Option<Form>, at_thumb: bool, of: &str) -> Draft {
        match form {
            Some(form) => self.block(Block::Fields {
                form,
                at_thumb,
                of: of.into(),
            }),
            None => self,
        }
    }

    pub fn figures(self, title: &str, figures: impl IntoIterator<Item = Quantity>) -> Draft {
        let figures: Vec<Quantity> = figures.into_iter().collect();
        self.block_if(!figures.is_empty(), || Block::Figures {
            title: title.into(),
            figures,
        })
    }

    pub fn buttons(self, title: &str, buttons: Vec<Button>) -> Draft {
        self.block_if(!buttons.is_empty(), || Block::Buttons {
            title: title.into(),
            buttons,
            adds_to: String::new(),
        })
    }

    pub fn photos(self, tiles: Vec<PhotoTile>, subject: &str) -> Draft {
        let subject = (!subject.is_empty()).then(|| subject.to_owned());
        let any = !tiles.is_empty() || subject.is_some();
        self.block_if(any, || Block::Photos { tiles, subject })
    }

    pub fn footnote(self, title: &str, text: &str) -> Draft {
        self.block_if(!text.is_empty(), || Block::Footnote {
            title: title.into(),
            text: text.into(),
        })
    }

    pub fn done(self) -> Page {
        self.page
    }
}

/// A row whose tap ticks it, as such. One that asks first, or can't be tapped now, stays a row.
fn tick_of(row: &Row) -> Option<Tick> {
    let tap = row.tap.as_ref()?;
    let on = match &tap.action {
        Action::Prep {
            action: PrepAction::Tick { on, .. },
        }
        | Action::Trim {
            action: TrimAction::Tick { on, .. } | TrimAction::Fit { on, .. },
        } => *on,
        _ => return None,
    };
    (tap.enabled && tap.confirm.is_none()).then(|| Tick {
        title: row.title.clone(),
        detail: row.detail.clone(),
        done: !on,
        action: tap.action.clone(),
    })
}

/// The form or list that a place shows alone, if any.
pub(super) fn form_of(place: &Place) -> Option<&str> {
    match place {
        Place::Rigs { form }
        | Place::Rig { form, .. }
        | Place::Prep { form, .. }
        | Place::Hold { form, .. }
        | Place::Seal { form, .. }
        | Place::Trim { form, .. }
        | Place::Crew { form }
        | Place::RingBox { form }
        | Place::Spares { form, .. }
        | Place::Days { form, .. }
        | Place::RigEdit { part: form, .. } => form.as_deref(),
        Place::Start { .. }
        | Place::Help { .. }
        | Place::About { .. }
        | Place::HoldSetup { .. }
        | Place::Recheck { .. }
        | Place::Seals { .. }
        | Place::Service { .. }
        | Place::Journal { .. }
        | Place::Entry { .. }
        | Place::Photo { .. }
        | Place::Sketch { .. } => None,
    }
}

impl Page {
    /// The forms on it.
    pub fn forms(&self) -> impl Iterator<Item = &Form> {
        self.blocks.iter().filter_map(|b| match b {
            Block::Fields { form, .. } => Some(form),
            Block::LargePhoto { draw, .. } => draw.as_ref(),
            _ => None,
        })
    }
}
