//! A disk that fails on purpose, under a scripted day: every operation fails once, is torn, or is lost when
//! the power goes; after each the record opens, what was acknowledged is there or its loss is said, and
//! nothing is signed twice.

pub mod check;
pub mod day;
pub mod power;
pub mod sweep;
pub mod trace;
