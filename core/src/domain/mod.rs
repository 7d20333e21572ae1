//! Layer 2b: what the events mean.

pub mod photos;
pub mod procedure;
pub mod rig;
