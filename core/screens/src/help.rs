//! Help: what a page asks, why, and what can go wrong there. One text for each kind of place.

use super::common::Place;
use super::cx::{Cx, lead};
use super::page::{Block, Draft, Page};
use super::texts::Texts;
use serde::{Deserialize, Serialize};

macro_rules! topics {
    ($($topic:ident, $place:pat, $what:literal, $why:literal, $wrong:literal;)*) => {
        /// What a page of help is about: a kind of place.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
        pub enum Topic {
            $(
                #[doc = concat!("The help that begins with ", $what, ".")]
                $topic,
            )*
        }

        impl Topic {
            /// All of them.
            pub const ALL: &'static [Topic] = &[$(Topic::$topic),*];

            /// What the page of a place is about; none for a page of help itself.
            pub fn of(place: &Place) -> Option<Topic> {
                match place {
                    $($place => Some(Topic::$topic),)*
                    Place::Help { .. } => None,
                }
            }

            /// The keys of what it asks, why, and what can go wrong.
            pub fn keys(self) -> [&'static str; 3] {
                match self {
                    $(Topic::$topic => [$what, $why, $wrong],)*
                }
            }
        }
    };
}

topics! {
    Start, Place::Start { .. }, "help_start_what", "help_start_why", "help_start_wrong";
    Rigs, Place::Rigs { .. }, "help_rigs_what", "help_rigs_why", "help_rigs_wrong";
    Rig, Place::Rig { .. }, "help_rig_what", "help_rig_why", "help_rig_wrong";
    RigEdit, Place::RigEdit { .. }, "help_rig_edit_what", "help_rig_edit_why", "help_rig_edit_wrong";
    Prep, Place::Prep { .. }, "help_prep_what", "help_prep_why", "help_prep_wrong";
    HoldSetup, Place::HoldSetup { .. },
        "help_hold_setup_what", "help_hold_setup_why", "help_hold_setup_wrong";
    Hold, Place::Hold { .. }, "help_hold_what", "help_hold_why", "help_hold_wrong";
    Recheck, Place::Recheck { .. }, "help_recheck_what", "help_recheck_why", "help_recheck_wrong";
    Seals, Place::Seals { .. }, "help_seals_what", "help_seals_why", "help_seals_wrong";
    Seal, Place::Seal { .. }, "help_seal_what", "help_seal_why", "help_seal_wrong";
    Service, Place::Service { .. }, "help_service_what", "help_service_why", "help_service_wrong";
    RingBox, Place::RingBox { .. }, "help_ring_box_what", "help_ring_box_why", "help_ring_box_wrong";
    Spares, Place::Spares { .. }, "help_spares_what", "help_spares_why", "help_spares_wrong";
    Trim, Place::Trim { .. }, "help_trim_what", "help_trim_why", "help_trim_wrong";
    Journal, Place::Journal { .. }, "help_journal_what", "help_journal_why", "help_journal_wrong";
    Days, Place::Days { .. }, "help_days_what", "help_days_why", "help_days_wrong";
    Entry, Place::Entry { .. }, "help_entry_what", "help_entry_why", "help_entry_wrong";
    Photo, Place::Photo { .. }, "help_photo_what", "help_photo_why", "help_photo_wrong";
    Sketch, Place::Sketch { .. }, "help_sketch_what", "help_sketch_why", "help_sketch_wrong";
    About, Place::About { .. }, "help_about_what", "help_about_why", "help_about_wrong";
    Crew, Place::Crew { .. }, "help_crew_what", "help_crew_why", "help_crew_wrong";
}

impl Topic {
    /// Whether somebody can be hurt by what is done there.
    fn can_hurt(self) -> bool {
        matches!(
            self,
            Topic::Rig
                | Topic::Prep
                | Topic::HoldSetup
                | Topic::Hold
                | Topic::Recheck
                | Topic::Service
                | Topic::Trim
        )
    }
}

/// Builds the page.
pub(super) fn page(cx: &Cx<'_>, of: Topic) -> Page {
    let [what, why, wrong] = of.keys();
    Draft::new(&cx.t("action_about_page"), "")
        .title(&cx.t("screen_help_what"))
        .text(&cx.t(what))
        .title(&cx.t("screen_help_why"))
        .text(&cx.t(why))
        .title(&cx.t("screen_help_wrong"))
        .text(&cx.t(wrong))
        .caution(of.can_hurt().then(|| cx.t("screen_help_caution")))
        .done()
}

/// The page with a way to its help: the last of what else can be done there.
pub(super) fn with_help(texts: &Texts, place: &Place, mut page: Page) -> Page {
    let Some(of) = Topic::of(place) else {
        return page;
    };
    let help = lead(texts.get("action_about_page"), Place::Help { of });
    let more = texts.get("shell_more");
    for block in page.blocks.iter_mut().rev() {
        if let Block::Buttons { title, buttons, .. } = block
            && *title == more
        {
            buttons.push(help);
            return page;
        }
    }
    // The phone's own choice of light stays the last.
    let end = match page.blocks.last() {
        Some(Block::Lights) => page.blocks.len() - 1,
        _ => page.blocks.len(),
    };
    let block = Block::Buttons {
        title: String::new(),
        buttons: vec![help],
        adds_to: String::new(),
    };
    page.blocks.insert(end, block);
    page
}
