//! Editing a rig: its enclosures, closures, seals, controls, lenses and the rest.

use super::common::{FieldValue, Form, Line, acting};

acting!(
    /// A button of the editor.
    RigEditButton,
    /// A thing of the rig that can be opened.
    RigEditRow,
    RigEditAction
);

/// What the editor accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum RigEditAction {
    /// Opens a part ('enclosure/main', 'seal/main-port').
    OpenPart {
        /// Its path.
        part: String,
    },
    /// Shows the form for a new part of a kind ('enclosure', 'closure', 'seal', 'control', ...).
    Add {
        /// Which kind.
        kind: String,
    },
    /// Takes a part off the rig. Needs the second tap; its history stays.
    Remove {
        /// Its path.
        part: String,
    },
    /// Hides the form.
    HideForm,
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// A group of parts.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct EditSection {
    /// Its title ('Seals').
    pub title: String,
    /// Its parts.
    pub rows: Vec<RigEditRow>,
    /// Adds one.
    pub add: RigEditButton,
}

/// The editor.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RigEditScreen {
    /// Rig id.
    pub rig: String,
    /// Title: the rig's name, or the part's.
    pub title: String,
    /// What a change here does to readiness.
    pub notice: Option<Line>,
    /// The parts, by kind; empty when one part is open.
    pub sections: Vec<EditSection>,
    /// The form of the open part, or of a new one.
    pub form: Option<Form>,
    /// The others: remove.
    pub others: Vec<RigEditButton>,
}
