//! Layer 1: physics and catalogues. Pure functions, SI units inside, no clock and no store.
//!
//! Nothing here may import [`crate::journal`], [`crate::domain`] or [`crate::screens`].

pub mod fasteners;
pub mod hold;
