//! A prep, one step at a time. Its one question: what do I do now, and how do I know it is right?

use super::common::{FieldValue, Form, Line, Mark, PhotoTile, acting};

acting!(
    /// A button of the prep screen.
    PrepButton,
    /// A row of the prep screen: a part of a step to confirm, a control to test, or another step.
    PrepRow,
    PrepAction
);

/// What the prep screen accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum PrepAction {
    /// The step is done.
    Done {
        /// Step instance key.
        step: String,
    },
    /// Confirms one part of a step (part of a seal service, item of the strip list).
    Tick {
        /// Step instance key.
        step: String,
        /// Part key.
        part: String,
        /// True to confirm, false to take it back.
        on: bool,
    },
    /// Records a control test.
    ControlTested {
        /// Step instance key.
        step: String,
        /// Control id.
        control: String,
        /// True if it did what the map says.
        works: bool,
    },
    /// The second member signs the step. Sent with the form 'sign' when the phone changes hands.
    Sign {
        /// Step instance key.
        step: String,
        /// Member id of who signs.
        member: String,
    },
    /// Shows a form: 'skip', 'hand-over', 'end'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Hides the form.
    HideForm,
    /// Sends a form (measure, skip reason, hand-over, seal finding).
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Looks at another step.
    GoTo {
        /// Step instance key.
        step: String,
    },
    /// Shows or hides the list of steps.
    ShowSteps,
    /// Opens a step again that was done or skipped.
    Reopen {
        /// Step instance key.
        step: String,
    },
    /// Goes to the hold that this step asks for.
    Hold {
        /// Step instance key.
        step: String,
    },
    /// Goes to the deck recheck.
    OpenRecheck,
    /// Back to the rig.
    OpenRig,
}

/// The shape a fastener pattern lies in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum DrawingShape {
    /// On a circle.
    Circle,
    /// On a rectangular frame.
    Frame,
}

/// One screw of a drawing, in a unit square (0..1, y downwards).
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct FastenerDot {
    /// Number round the pattern, from 1.
    pub number: u32,
    /// Which it is in the crossing order, from 1.
    pub turn: u32,
    /// Position, 0..1.
    pub x: f32,
    /// Position, 0..1, downwards.
    pub y: f32,
}

/// A crossing order drawn.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FastenerDrawing {
    /// Its shape.
    pub shape: DrawingShape,
    /// The screws, in crossing order.
    pub dots: Vec<FastenerDot>,
    /// The order and the passes in words.
    pub spoken: String,
}

/// The prep screen.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PrepScreen {
    /// Prep id.
    pub prep: String,
    /// Step instance key now shown; empty when the prep is complete.
    pub step: String,
    /// Name of the rig.
    pub rig_name: String,
    /// Title of the procedure.
    pub procedure: String,
    /// 'Closing, 4 of 9'.
    pub place: String,
    /// 'You stopped here 12 min ago; two steps were ticked since'.
    pub interruption: Option<String>,
    /// The instruction.
    pub instruction: String,
    /// How to know that it is right.
    pub text: String,
    /// The caution, once.
    pub caution: Option<String>,
    /// State of the step ('Done by Noor 8 min ago', 'Waits for: ...'), where it has one.
    pub state: Option<Line>,
    /// Its mark.
    pub mark: Mark,
    /// Parts to confirm.
    pub parts: Vec<PrepRow>,
    /// Tightening order, for a fasteners step.
    pub drawing: Option<FastenerDrawing>,
    /// A form: measure, or the one asked for.
    pub form: Option<Form>,
    /// Photos of this step.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The main action, at the thumb.
    pub main: Option<PrepButton>,
    /// The others.
    pub others: Vec<PrepButton>,
    /// All steps, when asked for.
    pub steps: Vec<PrepRow>,
    /// True when every step is done or skipped.
    pub complete: bool,
}
