//! The deck recheck, the DP's two minutes. Its one question: has anything changed since it was proved?

use super::common::{FieldValue, Form, Line, Mark, Quantity, Severity, acting};

acting!(
    /// A button of the recheck screen.
    RecheckButton,
    /// A row of the recheck screen.
    RecheckRow,
    RecheckAction
);

/// What the recheck screen accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum RecheckAction {
    /// Sends a form: 'air' (temperature and barometer on deck now), or 'reading/ENCLOSURE'.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Records the plug as refitted (where the gauge needed it off).
    PlugOn {
        /// Enclosure id.
        enclosure: String,
    },
    /// Goes to a new hold for an enclosure that has changed.
    Hold {
        /// Enclosure id.
        enclosure: String,
    },
    /// Back to the rig.
    OpenRig,
}

/// One enclosure of the recheck.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RecheckItem {
    /// Enclosure id.
    pub enclosure: String,
    /// Its name.
    pub name: String,
    /// 'Reads as it should' / 'Lower vacuum than weather explains' / 'Read the gauge'.
    pub state: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// What the gauge should read now if tight; none before the air on deck is known.
    pub expected: Option<Quantity>,
    /// What it read at the hold.
    pub then: Option<Quantity>,
    /// Why it should read differently: temperature, barometer, in words.
    pub reasons: Vec<Line>,
    /// The form for the number read off.
    pub form: Option<Form>,
    /// What to do next for this enclosure, where anything is.
    pub next: Option<RecheckButton>,
}

/// The recheck screen.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RecheckScreen {
    /// Rig id.
    pub rig: String,
    /// Name of the rig.
    pub rig_name: String,
    /// 'Nothing has changed: ready until 16:05' / '1 of 2 read'.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// Temperature and barometer on deck now.
    pub air: Form,
    /// Each enclosure.
    pub items: Vec<RecheckItem>,
    /// What a recheck can't prove.
    pub caveat: String,
    /// The main action.
    pub main: Option<RecheckButton>,
}
