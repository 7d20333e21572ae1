//! The journal. Its one question: what was done to this, and by whom?

use super::common::{Line, PhotoTile, acting};

acting!(
    /// A button of the journal screens.
    JournalButton,
    /// An entry: what was done; the detail says to what; the footnote who and when.
    JournalRow,
    JournalAction
);

/// What the journal screens accept.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum JournalAction {
    /// Opens an entry.
    OpenEntry {
        /// Event reference.
        event: String,
    },
    /// Opens the rig of an entry.
    OpenRig {
        /// Rig id.
        rig: String,
    },
}

/// One page of the journal, newest first.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct JournalScreen {
    /// Title: the rig's name, or the journal of everything.
    pub title: String,
    /// How many entries there are, in words.
    pub count: String,
    /// The entries of this page.
    pub entries: Vec<JournalRow>,
    /// Ask for the next page with this; none at the end.
    pub older: Option<String>,
    /// What will stand here when there is none.
    pub empty: Option<Line>,
}

/// One entry.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct EntryScreen {
    /// What was done.
    pub title: String,
    /// To what, who, when, on which device.
    pub lines: Vec<Line>,
    /// Its photos.
    pub photos: Vec<PhotoTile>,
    /// Whether its signature and its place in the chain are right.
    pub seal: Line,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// What was recorded, word for word (JSON), for whoever must answer for it.
    pub record: String,
    /// Buttons.
    pub others: Vec<JournalButton>,
}
