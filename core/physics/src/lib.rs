//! Floor 1: physics and catalogues. Pure functions, SI units inside, no clock and no store.
//!
//! Nothing here may import [`slackwater_journal`], [`slackwater_domain`] or [`slackwater_screens`].

pub mod fasteners;
pub mod gas;
pub mod hold;
pub mod ingress;
mod named;
pub mod oring;
pub mod trim;
pub mod units;
pub mod viscosity;
pub mod water;
