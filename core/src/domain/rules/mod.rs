//! The rules, each in one place: what voids what, what counts, what blocks. The prep, the rig, the
//! screens and readiness all read them here. Pure functions of what is known; no store, no clock.
//!
//! * [`voids`]: what news takes away ([`voids::voids`] is the table), and with it which steps of a
//!   prep are to be done again.
//! * [`counts`]: the closing, hold, plug, recheck and control test that count.
//! * [`rings`]: when a ring may no longer be dived.
//! * [`losses`]: what an edit takes away, and who signs for it.
//! * [`age`]: how old something is, by whichever clock says more.
//!
//! [`super::readiness`] goes through a rig by these and lists what stands in the way.

pub mod age;
pub mod counts;
pub mod losses;
pub mod rings;
pub mod voids;

pub use age::{ClockSetBack, Now, age_days, age_ms};
pub use counts::{
    HoldMissing, RecheckMissing, changed_since, closed_since, control_failed, control_proved,
    counting_hold, counting_recheck, faulty, mistyped, needs_service, plug_refitted, to_look_into,
    too_deep, untested, wet,
};
pub use losses::{in_use, loss_word, losses, proved_since, standing_faults, still_told};
pub use rings::{MaterialDoubt, PastLimit, material_doubts, past_at, past_limit, stored_too_long};
pub use voids::{News, Proof, attests, last_news, reopen_void, void_since, voids};

use super::state::Seen;
use crate::journal::Stamp;

/// When something was seen last; before everything where it never was.
fn stamp(seen: &Option<Seen>) -> Stamp {
    seen.as_ref().map_or(Stamp::NEVER, |s| s.stamp)
}
