//! The truth simulation: days of a crew, with slips, over a world of its own.
//!
//! The crew acts through what the screens offer. Each *ready* is held against what is so as the rig
//! goes in ([`oracle`]), never against a model of the rules.

pub mod crew;
pub mod dice;
pub mod oracle;
pub mod run;
pub mod script;
pub mod world;
