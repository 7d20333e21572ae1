//! Beside floor 2: events on their way between the phones of a crew.
//!
//! What an event means is not known here, nor who is of the crew; both are told by the floor above
//! ([`slackwater_domain`]). Here is what travels: bytes that nobody but the crew can read, each part
//! checked by itself, and what one phone has that another lacks. How the bytes travel is no matter: a file,
//! a shared store, a cable, light. `FORMAT.md` says every byte, so that another program could read them with
//! the key.
//!
//! * [`secret`]: the crew's key, and sealing with it.
//! * [`handing`]: the key sealed to devices, and which key to seal with.
//! * [`join`]: the code by which a phone joins a crew.
//! * [`segment`]: consecutive events of one device.
//! * [`hello`]: what a phone has, and what another lacks.
//! * [`parcel`]: parts in one file.
//! * [`name`]: what parts are called in a shared store.
//! * [`ring`]: the keys that this phone holds, kept in its database.

mod cbor;
pub mod fault;
pub mod handing;
pub mod hello;
pub mod join;
pub mod name;
pub mod parcel;
pub mod ring;
pub mod secret;
pub mod segment;

pub use fault::Fault;
pub use handing::Handing;
pub use hello::{Hello, Lack};
pub use ring::Ring;
pub use secret::{Epoch, Secret};
pub use segment::Segment;
