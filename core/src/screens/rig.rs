//! One rig, readiness on top. Its one question: may it go in now, and if not, what next?

use super::common::{FieldValue, Form, Line, Mark, PhotoTile, Quantity, Severity, acting};

acting!(
    /// A button of the rig screen.
    RigButton,
    /// A row of the rig screen: what stands in the way, an enclosure, a procedure, a defect.
    RigRow,
    RigAction
);

/// What the rig screen accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum RigAction {
    /// Starts a prep by a procedure.
    StartPrep {
        /// Procedure id.
        procedure: String,
    },
    /// Goes on with a prep that was interrupted.
    ResumePrep {
        /// Prep id.
        prep: String,
    },
    /// Records that a closure was opened. Can't be undone: needs the second tap.
    OpenClosure {
        /// Enclosure id.
        enclosure: String,
        /// Closure id; none if it isn't known which.
        closure: Option<String>,
    },
    /// Records that an enclosure was closed.
    CloseEnclosure {
        /// Enclosure id.
        enclosure: String,
    },
    /// Sets up a hold, or goes to the one under way.
    Hold {
        /// Enclosure id.
        enclosure: String,
    },
    /// Records that the plug was refitted.
    PlugOn {
        /// Enclosure id.
        enclosure: String,
    },
    /// Records that the plug was taken off.
    PlugOff {
        /// Enclosure id.
        enclosure: String,
    },
    /// Records a control test.
    ControlTested {
        /// Control id.
        control: String,
        /// True if it did what the map says.
        works: bool,
    },
    /// Shows the controls to test (`RigScreen::controls`).
    ShowControls,
    /// Opens the deck recheck.
    OpenRecheck,
    /// Opens the seals, or one of them.
    OpenSeals {
        /// Seal id, or none for all.
        seal: Option<String>,
    },
    /// Signs a two-person step as the second member.
    OpenStep {
        /// Prep id.
        prep: String,
        /// Step instance key.
        step: String,
    },
    /// Shows one of the screen's forms: 'defect', 'dive', 'lens', 'copy', 'plan', 'water'.
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
    /// Closes a defect: looked at and put right.
    CloseDefect {
        /// Defect id.
        defect: String,
    },
    /// Opens the editor.
    Edit,
    /// Retires the rig, or takes it back into use.
    Retire {
        /// True to retire.
        retire: bool,
    },
    /// Opens the rig's journal.
    OpenJournal,
}

/// The rig screen.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RigScreen {
    /// Rig id.
    pub rig: String,
    /// Its name.
    pub name: String,
    /// The answer: 'Ready until 14:20' or 'Not ready: 3 things'.
    pub answer: String,
    /// The answer's mark.
    pub mark: Mark,
    /// The answer's weight.
    pub severity: Severity,
    /// One line beneath: what the answer rests on, or what ends it.
    pub reason: String,
    /// What stands in the way, in the order to work through; each row's tap clears it or leads there.
    pub obstacles: Vec<RigRow>,
    /// What doesn't block but should be known: skipped steps, seals soon due, an unfinished prep.
    pub notices: Vec<Line>,
    /// The enclosures, each with its state in a sentence.
    pub enclosures: Vec<RigRow>,
    /// Open defects.
    pub defects: Vec<RigRow>,
    /// Preps under way, and the procedures that can be started.
    pub procedures: Vec<RigRow>,
    /// The control map, when asked for: each control with its function and its last test.
    pub controls: Vec<RigRow>,
    /// Figures of the plan: depth, minutes, lens.
    pub plan: Vec<Quantity>,
    /// Latest photos of the rig.
    pub photos: Vec<PhotoTile>,
    /// The form asked for.
    pub form: Option<Form>,
    /// The main action: the first thing to do.
    pub main: Option<RigButton>,
    /// The others.
    pub others: Vec<RigButton>,
    /// What a vacuum hold can't prove; shown with every 'ready'.
    pub caveat: String,
}
