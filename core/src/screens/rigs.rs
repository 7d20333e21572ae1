//! All rigs. Its one question: which rig, and can it go in the water?

use super::common::{FieldValue, Form, Line, acting};

acting!(
    /// A button of the rigs screen.
    RigsButton,
    /// A rig: name, and its readiness in words as the detail.
    RigsRow,
    RigsAction
);

/// What the rigs screen accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum RigsAction {
    /// Opens a rig.
    OpenRig {
        /// Rig id.
        rig: String,
    },
    /// Shows or hides the form for a new rig (`RigsScreen::form`).
    NewRig,
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Opens the journal of everything.
    OpenJournal,
    /// Opens the crew screen.
    OpenCrew,
    /// Says that a notice was read; it is not shown again.
    Dismiss {
        /// Key of the notice.
        notice: String,
    },
}

/// The rigs screen.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RigsScreen {
    /// Title.
    pub title: String,
    /// Who holds the phone ('Assistant: Noor').
    pub holder: String,
    /// What must be known first: a file set aside, a clock that was set back, storage nearly full.
    pub notices: Vec<Line>,
    /// The rigs in use.
    pub rigs: Vec<RigsRow>,
    /// Retired rigs.
    pub retired: Vec<RigsRow>,
    /// What will stand here, when there is no rig.
    pub empty: Option<Line>,
    /// The form for a new rig, when asked for.
    pub form: Option<Form>,
    /// The main action.
    pub main: Option<RigsButton>,
    /// The others.
    pub others: Vec<RigsButton>,
}
