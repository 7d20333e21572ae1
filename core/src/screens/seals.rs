//! The seals of a rig. Its one question: which ring next, and why?

use super::common::{FieldValue, Form, Line, Mark, PhotoTile, Quantity, Severity, acting};

acting!(
    /// A button of the seal screens.
    SealsButton,
    /// A seal with what is due, or an entry of its history.
    SealsRow,
    SealsAction
);

/// What the seal screens accept.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum SealsAction {
    /// Opens one seal.
    OpenSeal {
        /// Seal id.
        seal: String,
    },
    /// Sends a form: 'service', 'fit'.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Shows a form.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Hides the form.
    HideForm,
    /// Records the opening of the closure this seal belongs to. Needs the second tap.
    OpenClosure,
    /// Confirms one part of the service under way.
    Tick {
        /// Part key: 'out', 'looked', 'cleaned', 'greased', 'back'.
        part: String,
        /// True to confirm.
        on: bool,
    },
    /// Back to the rig.
    OpenRig,
}

/// The seals of a rig, due first.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SealsScreen {
    /// Rig id.
    pub rig: String,
    /// Name of the rig.
    pub rig_name: String,
    /// The nearest due, with its reason.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// The seals, due first.
    pub seals: Vec<SealsRow>,
    /// What will stand here when there is none.
    pub empty: Option<Line>,
    /// The main action: service the first.
    pub main: Option<SealsButton>,
}

/// One seal.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SealScreen {
    /// Rig id.
    pub rig: String,
    /// Seal id.
    pub seal: String,
    /// Its name.
    pub name: String,
    /// State in a sentence: 'Disturbed by an opening 8 min ago'.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// Size, material, hardness, fitted when, openings since.
    pub figures: Vec<Quantity>,
    /// Parts of the service to confirm.
    pub parts: Vec<SealsRow>,
    /// The form asked for.
    pub form: Option<Form>,
    /// What was done to it, newest first.
    pub history: Vec<SealsRow>,
    /// Its photos.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The main action.
    pub main: Option<SealsButton>,
    /// The others.
    pub others: Vec<SealsButton>,
}
