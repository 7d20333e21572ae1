//! What all screens are made of: marks, lines, quantities, forms, buttons, places and outcomes.

/// How much a line matters. The shell gives it weight and, third after word and mark, colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, uniffi::Enum)]
pub enum Severity {
    /// Nothing to say about it.
    #[default]
    Plain,
    /// In order.
    Good,
    /// Worth knowing; does not stand in the way.
    Notice,
    /// Stands in the way.
    Blocking,
}

/// A state told by shape. The shell draws it beside the word, never instead of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Mark {
    /// A full disc: done, in order.
    Full,
    /// A half-full disc: under way.
    Half,
    /// An empty ring: not done yet.
    Hollow,
    /// A hatched disc: uncertain, or to be known.
    Hatched,
    /// A struck-through ring: failed, void or blocked.
    Struck,
}

/// A sentence with its weight.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Line {
    /// The sentence.
    pub text: String,
    /// Its weight.
    pub severity: Severity,
    /// Its mark, where it has a state.
    pub mark: Option<Mark>,
}

/// A number as it is shown: large value, small unit, uncertainty in words on the line below.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Quantity {
    /// What it is ('Leak', 'Expected now').
    pub label: String,
    /// The digits it deserves ('187.2').
    pub value: String,
    /// Its unit ('mbar'); empty for a count.
    pub unit: String,
    /// 'give or take 2 mL'; none where it is exact.
    pub uncertainty: Option<String>,
    /// The whole, as a screen reader should say it.
    pub spoken: String,
}

/// What keyboard or picker a field wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum FieldKind {
    /// Free text on one line.
    Text,
    /// Free text on several lines.
    LongText,
    /// A decimal number; both comma and point are understood.
    Number,
    /// One of [`Field::choices`], shown as targets and not as a drop-down where they are few.
    Choice,
    /// A switch: value 'yes' or 'no'.
    Switch,
}

/// One choice of a field.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct FieldChoice {
    /// What is sent back.
    pub key: String,
    /// What is shown.
    pub label: String,
}

/// One field of a form.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Field {
    /// Sent back with the value; faults name it.
    pub key: String,
    /// What is asked.
    pub label: String,
    /// Unit shown behind the value.
    pub unit: Option<String>,
    /// The value to start from; the shell keeps what was typed since.
    pub value: String,
    /// A short help beneath, replaced by the fault if there is one.
    pub hint: Option<String>,
    /// The keyboard.
    pub kind: FieldKind,
    /// The choices, for [`FieldKind::Choice`].
    pub choices: Vec<FieldChoice>,
    /// True where the form can't be sent without it (the core checks, not the shell).
    pub required: bool,
}

/// A set of fields with the one action that sends them.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Form {
    /// Sent back, so that the core knows which form it was.
    pub key: String,
    /// Title above the fields; may be empty.
    pub title: String,
    /// The fields, top to bottom.
    pub fields: Vec<Field>,
    /// Label of the action that sends them.
    pub submit: String,
}

/// What was typed into one field.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize, uniffi::Record)]
pub struct FieldValue {
    /// [`Field::key`].
    pub key: String,
    /// The value as typed.
    pub value: String,
}

/// What is wrong with one field, to be shown beneath it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct FieldFault {
    /// [`Field::key`]; empty for the form as a whole.
    pub field: String,
    /// What is wrong and what to do.
    pub text: String,
}

/// Where the app can be. The shell keeps a stack of these and nothing else; each can be stored and
/// comes back as it was. A `form` is one the screen shows on request ('defect', 'skip', 'steps'),
/// so that Back closes it.
#[derive(Debug, Clone, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum Place {
    /// A page of the first start, which founds the crew.
    Start {
        /// Which.
        page: super::start::StartPage,
    },
    /// All rigs.
    Rigs {
        /// The form shown, if any: 'new'.
        form: Option<String>,
    },
    /// One rig, readiness on top.
    Rig {
        /// Rig id.
        rig: String,
        /// The form or list shown, if any: 'defect', 'dive', 'lens', 'plan', 'copy', 'controls'.
        form: Option<String>,
    },
    /// Editing a rig.
    RigEdit {
        /// Rig id.
        rig: String,
        /// Path of the part open ('enclosure/main'), 'add/KIND' for a new one, none for the overview.
        part: Option<String>,
    },
    /// A prep.
    Prep {
        /// Prep id.
        prep: String,
        /// Step instance key, or none for where it stands.
        step: Option<String>,
        /// The form or list shown, if any: 'skip', 'sign', 'hand-over', 'end', 'steps'.
        form: Option<String>,
    },
    /// Setting up a hold.
    HoldSetup {
        /// Rig id.
        rig: String,
        /// Enclosure id.
        enclosure: String,
    },
    /// A hold under way or ended.
    Hold {
        /// Hold id.
        hold: String,
        /// The form shown, if any: 'abandon'.
        form: Option<String>,
    },
    /// The deck recheck.
    Recheck {
        /// Rig id.
        rig: String,
    },
    /// The seals of a rig, due first.
    Seals {
        /// Rig id.
        rig: String,
    },
    /// One seal.
    Seal {
        /// Rig id.
        rig: String,
        /// Seal id.
        seal: String,
        /// The form or list shown, if any: 'age', 'measure', 'again',
        /// 'sizes/INSIDE/SECTION/UNIT'.
        form: Option<String>,
    },
    /// The service of a seal, one thing at a time.
    Service {
        /// Rig id.
        rig: String,
        /// Seal id.
        seal: String,
        /// Where it stands: 'look', or a stage with what was found ('clean/hair').
        stage: String,
        /// The prep it is done for, if any.
        prep: Option<String>,
        /// Its step.
        step: Option<String>,
    },
    /// The crew's box of rings.
    RingBox {
        /// The form shown, if any: 'add', 'count/LOT'.
        form: Option<String>,
    },
    /// Rings for a rig's planned shoot.
    Spares {
        /// Rig id.
        rig: String,
        /// The form shown, if any: 'plan'.
        form: Option<String>,
    },
    /// How a rig hangs in the water, and what to hang on it.
    Trim {
        /// Rig id.
        rig: String,
        /// The form or list shown, if any: 'water', 'hang', 'seen', 'aim', 'what-if'.
        form: Option<String>,
    },
    /// The journal, of one rig, of one phone or of all.
    Journal {
        /// Rig id, 'phone/KEY', or none for all.
        rig: Option<String>,
        /// Start of the page: [`super::journal::JournalScreen::older`], or none for the newest.
        before: Option<String>,
    },
    /// The journal by day, of one rig or of all.
    Days {
        /// Rig id, or none for all.
        rig: Option<String>,
        /// Where the page goes on from, or none for the newest.
        before: Option<String>,
        /// What of it is shown.
        filter: super::days::DaysFilter,
        /// The form shown, if any: 'filter'.
        form: Option<String>,
    },
    /// One entry of the journal.
    Entry {
        /// Event reference.
        event: String,
    },
    /// One photo, large.
    Photo {
        /// BLAKE3 of the original, hex.
        photo: String,
    },
    /// A photo that is drawn over.
    Sketch {
        /// BLAKE3 of the original, hex.
        photo: String,
        /// What is drawn next.
        tool: super::sketch::Tool,
    },
    /// What a page asks, why, and what can go wrong there.
    Help {
        /// Which kind of page.
        of: super::help::Topic,
    },
    /// What the program is, and the licences of what is inside.
    About {
        /// Key of the licence shown whole, if any.
        licence: Option<String>,
    },
    /// The crew and its choices.
    Crew {
        /// The form shown, if any: 'member', 'limits', 'units', 'language', 'device/KEY'.
        form: Option<String>,
    },
}

/// What can be undone after an action, from a bar that stays until the next one.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Undo {
    /// 'Undo: plug refitted on Main housing'.
    pub label: String,
    /// Sent back as it is.
    pub token: String,
}

/// What an action did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Outcome {
    /// Go there (pushed on the stack), if any.
    pub go: Option<Place>,
    /// Leave this screen (after which `go`, if any, is pushed).
    pub leave: bool,
    /// A short sentence to show in the bar, if any.
    pub said: Option<String>,
    /// What can be undone, if anything.
    pub undo: Option<Undo>,
    /// What was wrong with the form; nothing was recorded if this is not empty.
    pub faults: Vec<FieldFault>,
    /// A file to offer to whatever the phone can hand it to, if any.
    pub document: Option<Document>,
    /// The shell should let the person choose a file and send it to `Screens.bring` with this, at the
    /// same place. The core knows what it is for.
    pub bring: Option<String>,
}

/// A file that leaves the app (the shell offers it, the person chooses where it goes) or comes in.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Document {
    /// Its name, with its ending ('hold-main-housing.csv'); no folder.
    pub name: String,
    /// Its media type ('image/jpeg').
    pub media_type: String,
    /// What is in it; empty where it is in `file`.
    pub bytes: Vec<u8>,
    /// The file that holds it, where it may be too large for memory. One that leaves is the shell's
    /// from then on, to be moved or removed; one that comes in is read and left where it is.
    #[uniffi(default = None)]
    pub file: Option<String>,
}

/// A photo as it is shown.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PhotoTile {
    /// Where it stands large, for `Screens.go`.
    pub at: String,
    /// BLAKE3 of the original, hex.
    pub hash: String,
    /// File of the upright thumbnail; none where the photo is missing or damaged.
    pub thumbnail: Option<String>,
    /// The note, or what is wrong with the file.
    pub caption: String,
    /// Who and when.
    pub footnote: String,
    /// True where the file is missing or damaged; the caption says which.
    pub broken: bool,
}

/// Something that can be tapped.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Button {
    /// What it says.
    pub label: String,
    /// What it sends.
    pub action: super::Action,
    /// False where it can't be used now; `why_not` says why and is shown beneath.
    pub enabled: bool,
    /// Why it can't be used now.
    pub why_not: Option<String>,
    /// Where it can't be undone: the question that a second, deliberate tap elsewhere on the screen
    /// answers.
    pub confirm: Option<String>,
}

/// A row of a list: what it is, how it stands, what can be done with it.
#[derive(Debug, Clone, PartialEq, Default, uniffi::Record)]
pub struct Row {
    /// First line.
    pub title: String,
    /// State or reason, in words.
    pub detail: String,
    /// Never needed to act.
    pub footnote: Option<String>,
    /// Its mark.
    pub mark: Option<Mark>,
    /// Its weight.
    pub severity: Severity,
    /// What a tap on the row does, and how that is called. A tap that only opens what the row names is
    /// called as the row is.
    pub tap: Option<Button>,
    /// A second target beside it, where there are two ways ('It works', 'It does not').
    pub other: Option<Button>,
    /// A photo of it, small beside it.
    #[uniffi(default = None)]
    pub photo: Option<PhotoTile>,
}
