//! The rules, each in one place: what voids what, what counts, what blocks. The prep, the rig, the
//! screens and readiness all read them here. Pure functions of what is known; no store, no clock.
//!
//! * [`voids`]: what news takes away ([`voids::voids`] is the table), and with it which steps of a
//!   prep are to be done again.
//! * [`counts`]: the closing, hold, plug, recheck and control test that count.
//! * [`rings`]: when a ring may no longer be dived.
//! * [`losses`]: what an edit takes away, and who signs for it.
//! * [`apart`]: one rig edited on two phones.
//! * [`figures`]: the figures that something was judged by, and in what they differ now.
//! * [`age`]: how old something is, by whichever clock says more.
//!
//! What comes after what is a matter of who had heard what ([`slackwater_journal::Heard`]): evidence counts
//! against news only if whoever wrote it had heard of that news. Clocks order what people read.
//!
//! [`super::readiness`] goes through a rig by these and lists what stands in the way.

pub mod age;
pub mod apart;
pub mod counts;
pub mod figures;
pub mod losses;
pub mod rings;
pub mod voids;

pub use age::{ClockSetBack, Now, age_days, age_ms};
pub use apart::{differing, edited_unknowing, together, unknowing};
pub use counts::{
    HoldMissing, RecheckMissing, WentIn, changed_since, closed_since, control_failed,
    control_proved, counting_hold, counting_recheck, faulty, leaked_before, mistyped,
    needs_service, of_other_plan, open_at, plug_in, plug_of, plug_refitted, to_look_into, too_deep,
    untested, went_in, went_in_open, wet, within_step,
};
pub use figures::{Differs, Figure, figures_differ, since_judged};
pub use losses::{
    in_use, judged_by, loss_word, losses, losses_of_ring, losses_unheard, made_by, proved_since,
    standing_faults, still_told,
};
pub use rings::{
    MaterialDoubt, PastLimit, as_fitted, material_doubts, past_at, past_limit, stored_too_long,
    unlike_listed,
};
pub use voids::{News, Proof, attests, in_water, reopen_void, unanswered, voids};

use super::state::{RigFacts, Told};
use slackwater_journal::Stamp;

/// Whether what bears a stamp was written knowing all that was told of something. This, and no clock, is
/// how evidence answers news.
fn knows(rig: &RigFacts, stamp: &Stamp, told: &Option<Told>) -> bool {
    super::state::knows(&rig.heard, stamp, told)
}

/// Whether any of what was told was written knowing of what bears a stamp.
fn is_known(rig: &RigFacts, told: &Option<Told>, stamp: &Stamp) -> bool {
    super::state::is_known(&rig.heard, told, stamp)
}
