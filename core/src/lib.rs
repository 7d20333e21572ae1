//! The Slackwater core: everything that is true without a screen, under one name.
//!
//! Four floors, each a crate that knows none above it:
//! 1. [`physics`]: pure functions in SI units; no clock, no store, no file format.
//! 2. [`journal`]: signed, append-only events in SQLite; knows no meaning. Beside it [`exchange`]: those events on
//!    their way between phones.
//! 3. [`domain`]: rigs, preps, holds, seals, readiness, crew, photos: the state folded from those events.
//! 4. [`screens`]: for each screen a plain record of exactly what is shown, and the actions it takes.
//!
//! Start reading at [`domain::readiness`]: the rules that must never break.

pub use slackwater_domain as domain;
pub use slackwater_exchange as exchange;
pub use slackwater_journal as journal;
pub use slackwater_physics as physics;
pub use slackwater_screens as screens;
