//! Floor 2: the journal. Signed, hash-chained, append-only events in SQLite.
//!
//! What an event means is not known here: [`slackwater_domain`] folds it into its tables, in the same
//! transaction in which the event is written. Start reading at [`store::Journal`].
//!
//! * [`ids`]: identities as types.
//! * [`clock`]: the one door for time ([`clock::Clock`]) and the hybrid logical clock.
//! * [`entropy`]: the one door for randomness.
//! * [`event`]: an event, its hash, its signature.
//! * [`witness`]: how far this device had come, beside the database.
//! * [`fork`]: which of two histories under one key is the device's sequence.
//! * [`heard`]: who had heard what when writing.
//! * [`counted`]: how much of each device's sequence counts here.
//! * [`extent`]: how far each device's sequence is here, for another phone to know what it lacks.
//! * [`identity`]: this device's key, for what is signed or opened with it beside events.
//! * [`store`]: the file: opening, appending, reading, verifying.

pub mod clock;
pub mod counted;
pub mod entropy;
pub mod event;
pub mod extent;
pub mod fault;
pub mod fork;
pub mod heard;
pub mod identity;
pub mod ids;
pub mod store;
pub mod witness;

pub use clock::{BootId, BootTime, Clock, FixedClock, Hlc, SystemClock};
pub use entropy::{Entropy, SeededEntropy, SystemEntropy};
pub use event::{Draft, Event, HeardOf, Stamp, Writer};
pub use extent::Extent;
pub use fault::{Damage, JournalFault, Unwritable};
pub use heard::Heard;
pub use identity::Identity;
pub use ids::{DeviceId, EventRef, Id};
pub use store::{Env, Journal, Lost, Opening, Place};
