//! The crew and its choices: members, who holds the phone, units, limits.

use super::common::{FieldValue, Form, Line, acting};

acting!(
    /// A button of the crew screen.
    CrewButton,
    /// A member, or a choice.
    CrewRow,
    CrewAction
);

/// What the crew screen accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum CrewAction {
    /// The phone is now in this member's hands.
    HoldPhone {
        /// Member id.
        member: String,
    },
    /// Shows a form: 'member', 'limits', 'units'.
    ShowForm {
        /// Which.
        form: String,
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

/// The crew screen.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CrewScreen {
    /// Who holds the phone now.
    pub answer: String,
    /// The members.
    pub members: Vec<CrewRow>,
    /// What will stand here when there is none.
    pub empty: Option<Line>,
    /// Limits and units, as rows.
    pub choices: Vec<CrewRow>,
    /// The form asked for.
    pub form: Option<Form>,
    /// The main action.
    pub main: Option<CrewButton>,
    /// Program version and device, for a report.
    pub about: Vec<Line>,
}
