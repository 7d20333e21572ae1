//! Floor 3: what the events mean. Rigs, preps, holds, seals, readiness, crew, photos: the state
//! folded from the journal. Never imports [`slackwater_screens`].
//!
//! * [`facts`]: what can be recorded; a file format.
//! * [`fold`]: what one more event changes in the tables ([`schema`]).
//! * [`subject`], [`mark_key`]: what an event or a mark is about, and what a mark says of it. Pure.
//! * [`state`]: what is known of a rig now, read from the tables.
//! * [`book`]: the one who records: checks an action, writes its facts, reads back what is known.
//! * [`admission`]: which devices are of this crew, and so whose events count.
//! * [`budget`]: what a file that comes in may cost.
//! * [`names`]: what of a typed name is to be seen, and which look alike. Pure.
//! * [`rules`]: what voids what, what counts, what blocks. Pure.
//! * [`crew`]: who is who, and whose second look counts beside whose first. Pure.
//! * [`signed`]: what two have to sign for, and whose word stands behind it. Pure.
//! * [`readiness`]: may it go in the water, and what stands in the way. Pure.
//! * [`spans`]: how much time passed between what was recorded, and how sure that is. Pure.
//! * [`trim`]: how the rig hangs, what to hang on it, what the water taught. Pure.

pub mod admission;
pub mod backup;
pub mod book;
pub mod budget;
pub mod code;
pub mod crew;
pub mod demo;
pub mod facts;
pub mod fold;
pub mod hold_log;
pub mod mark_key;
pub mod names;
pub mod photos;
pub mod procedure;
pub mod readiness;
pub mod rig;
pub mod rules;
pub mod schema;
pub mod signed;
pub mod spans;
pub mod spares;
pub mod state;
pub mod subject;
pub mod trim;
