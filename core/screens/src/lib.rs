//! Floor 4: for each screen a plain record of exactly what is shown, and the actions it takes.
//!
//! Shells lay these records out and send actions back; they compute nothing and decide nothing.
//! Every text is already in the crew's language and units. A record never holds a bare number that
//! a person reads: numbers come as [`common::Quantity`], with unit and uncertainty. Bare numbers
//! appear only in drawings ([`hold::HoldChart`], [`prep::FastenerDrawing`]).
//!
//! [`common::Place`] names a screen, [`Screen`] is what it shows, [`Action`] what was done on it.
//! Actions are one enum a screen. An action answers with an [`common::Outcome`]: where to go, what
//! to say, what can be undone, which fields were wrong.

pub mod about;
mod asked;
pub mod common;
pub mod crew;
mod cx;
pub mod days;
pub mod desk;
mod dispatch;
pub mod fault_words;
mod forms;
mod handed_in;
pub mod help;
pub mod hold;
mod hold_chart;
pub mod journal;
mod keys;
pub mod measures;
mod names;
pub mod navigation;
pub mod page;
pub mod phone;
mod phones;
pub mod photo;
pub mod prep;
mod procedures;
pub mod recheck;
pub mod rig;
pub mod rig_edit;
pub mod rig_map;
pub mod rigs;
pub mod ring_box;
pub mod seals;
pub mod service;
mod signing;
pub mod sketch;
mod spans;
pub mod spares;
mod spec;
pub mod start;
pub mod texts;
pub mod times;
pub mod trim;
mod trim_drawing;
mod trim_words;
pub mod words;

pub use names::CHOICES;

/// What a place shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Screen {
    /// For [`common::Place::Rigs`].
    Rigs {
        /// The record.
        screen: rigs::RigsScreen,
    },
    /// For [`common::Place::Rig`].
    Rig {
        /// The record.
        screen: rig::RigScreen,
    },
    /// For [`common::Place::RigEdit`].
    RigEdit {
        /// The record.
        screen: rig_edit::RigEditScreen,
    },
    /// For [`common::Place::Prep`].
    Prep {
        /// The record.
        screen: prep::PrepScreen,
    },
    /// For [`common::Place::HoldSetup`].
    HoldSetup {
        /// The record.
        screen: hold::HoldSetupScreen,
    },
    /// For [`common::Place::Hold`].
    Hold {
        /// The record.
        screen: hold::HoldScreen,
    },
    /// For [`common::Place::Recheck`].
    Recheck {
        /// The record.
        screen: recheck::RecheckScreen,
    },
    /// For [`common::Place::Seals`].
    Seals {
        /// The record.
        screen: seals::SealsScreen,
    },
    /// For [`common::Place::Seal`].
    Seal {
        /// The record.
        screen: seals::SealScreen,
    },
    /// For [`common::Place::Service`].
    Service {
        /// The record.
        screen: service::ServiceScreen,
    },
    /// For [`common::Place::RingBox`].
    RingBox {
        /// The record.
        screen: ring_box::RingBoxScreen,
    },
    /// For [`common::Place::Spares`].
    Spares {
        /// The record.
        screen: spares::SparesScreen,
    },
    /// For [`common::Place::Trim`].
    Trim {
        /// The record.
        screen: trim::TrimScreen,
    },
    /// For [`common::Place::Journal`].
    Journal {
        /// The record.
        screen: journal::JournalScreen,
    },
    /// For a place whose page is built without a record before it.
    Page {
        /// The page.
        page: page::Page,
    },
    /// For [`common::Place::Entry`].
    Entry {
        /// The record.
        screen: journal::EntryScreen,
    },
    /// For [`common::Place::Photo`].
    Photo {
        /// The record.
        screen: photo::PhotoScreen,
    },
    /// For [`common::Place::Crew`].
    Crew {
        /// The record.
        screen: crew::CrewScreen,
    },
}

impl Screen {
    /// The forms it shows.
    pub fn forms(&self) -> Vec<&common::Form> {
        match self {
            Screen::Rigs { screen } => screen.form.iter().collect(),
            Screen::Rig { screen } => screen.form.iter().collect(),
            Screen::RigEdit { screen } => screen.form.iter().collect(),
            Screen::Prep { screen } => screen.form.iter().collect(),
            Screen::HoldSetup { screen } => vec![&screen.form],
            Screen::Hold { screen } => screen.form.iter().collect(),
            Screen::Recheck { screen } => {
                let items = screen.items.iter().filter_map(|i| i.form.as_ref());
                std::iter::once(&screen.air).chain(items).collect()
            }
            Screen::Seal { screen } => screen.form.iter().collect(),
            Screen::Service { screen } => screen.form.iter().collect(),
            Screen::RingBox { screen } => screen.form.iter().collect(),
            Screen::Spares { screen } => screen.form.iter().collect(),
            Screen::Trim { screen } => screen.form.iter().collect(),
            Screen::Crew { screen } => screen.form.iter().collect(),
            Screen::Page { page } => page.forms().collect(),
            Screen::Seals { .. }
            | Screen::Journal { .. }
            | Screen::Entry { .. }
            | Screen::Photo { .. } => Vec::new(),
        }
    }
}

/// What a person did, on the screen of the same name.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum Action {
    /// Goes to a place, and does nothing else.
    Go {
        /// Where.
        place: common::Place,
    },
    /// On [`common::Place::Rigs`].
    Rigs {
        /// The action.
        action: rigs::RigsAction,
    },
    /// On [`common::Place::Rig`].
    Rig {
        /// The action.
        action: rig::RigAction,
    },
    /// On [`common::Place::RigEdit`].
    RigEdit {
        /// The action.
        action: rig_edit::RigEditAction,
    },
    /// On [`common::Place::Prep`].
    Prep {
        /// The action.
        action: prep::PrepAction,
    },
    /// On [`common::Place::HoldSetup`] and [`common::Place::Hold`].
    Hold {
        /// The action.
        action: hold::HoldAction,
    },
    /// On [`common::Place::Recheck`].
    Recheck {
        /// The action.
        action: recheck::RecheckAction,
    },
    /// On [`common::Place::Seals`] and [`common::Place::Seal`].
    Seals {
        /// The action.
        action: seals::SealsAction,
    },
    /// On [`common::Place::Service`].
    Service {
        /// The action.
        action: service::ServiceAction,
    },
    /// On [`common::Place::RingBox`].
    RingBox {
        /// The action.
        action: ring_box::RingBoxAction,
    },
    /// On [`common::Place::Spares`].
    Spares {
        /// The action.
        action: spares::SparesAction,
    },
    /// On [`common::Place::Trim`].
    Trim {
        /// The action.
        action: trim::TrimAction,
    },
    /// On [`common::Place::Journal`], [`common::Place::Days`] and [`common::Place::Entry`].
    Journal {
        /// The action.
        action: journal::JournalAction,
    },
    /// On [`common::Place::Start`].
    Start {
        /// The action.
        action: start::StartAction,
    },
    /// On [`common::Place::Photo`].
    Photo {
        /// The action.
        action: photo::PhotoAction,
    },
    /// On [`common::Place::Sketch`].
    Sketch {
        /// The action.
        action: sketch::SketchAction,
    },
    /// On [`common::Place::Crew`].
    Crew {
        /// The action.
        action: crew::CrewAction,
    },
}

macro_rules! of_one_screen {
    ($($variant:ident($action:ty)),* $(,)?) => {$(
        impl From<$action> for Action {
            fn from(action: $action) -> Action {
                Action::$variant { action }
            }
        }
        impl TryFrom<Action> for $action {
            type Error = Action;
            fn try_from(action: Action) -> Result<$action, Action> {
                match action {
                    Action::$variant { action } => Ok(action),
                    other => Err(other),
                }
            }
        }
        impl PartialEq<$action> for Action {
            fn eq(&self, other: &$action) -> bool {
                matches!(self, Action::$variant { action } if action == other)
            }
        }
    )*};
}

of_one_screen! {
    Crew(crew::CrewAction),
    Hold(hold::HoldAction),
    Journal(journal::JournalAction),
    Photo(photo::PhotoAction),
    Prep(prep::PrepAction),
    Recheck(recheck::RecheckAction),
    Rig(rig::RigAction),
    RigEdit(rig_edit::RigEditAction),
    Rigs(rigs::RigsAction),
    RingBox(ring_box::RingBoxAction),
    Seals(seals::SealsAction),
    Service(service::ServiceAction),
    Sketch(sketch::SketchAction),
    Spares(spares::SparesAction),
    Start(start::StartAction),
    Trim(trim::TrimAction),
}

// An action goes out to the phone and comes back as a text that only the core reads: what it does is the
// core's business, and whatever comes back is looked at as if it came from anybody.
uniffi::custom_type!(Action, String, {
    lower: |action| serde_json::to_string(&action).unwrap_or_default(),
    try_lift: |text| Ok(serde_json::from_str(&text)?),
});

uniffi::setup_scaffolding!("slackwater_core");
