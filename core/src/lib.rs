//! The Slackwater core: everything that is true without a screen.
//!
//! Three layers, each ignorant of the one above:
//! 1. [`physics`]: pure functions in SI units; no clock, no store.
//! 2. [`journal`] (signed, append-only events in SQLite) and [`domain`] (rigs, preps, holds, seals,
//!    readiness, crew, photos: the state folded from those events).
//! 3. [`screens`]: for each screen a plain record of exactly what is shown, and the actions it takes.
//!
//! Start reading at [`domain::readiness`]: the rules that must never break.

pub mod domain;
pub mod journal;
pub mod physics;
pub mod screens;

uniffi::setup_scaffolding!("slackwater_core");
