//! What is wrong with a part that came in.

use slackwater_journal::EventRef;
use slackwater_journal::event::Forged;

use super::secret::{Epoch, Kind};

/// Why a part can't be read. The parts beside it can.
#[derive(Debug, thiserror::Error)]
pub enum Fault {
    /// It does not begin as any part does.
    #[error("it is no part of an exchange")]
    NoPart,
    /// A newer program wrote it.
    #[error("a newer version wrote it: part {0}")]
    Newer(String),
    /// It is another part than the one that belongs here.
    #[error("it is a {found}, where a {wanted} belongs")]
    Other {
        /// What it is.
        found: Kind,
        /// What was wanted.
        wanted: Kind,
    },
    /// It is sealed with a key that this phone does not hold: another crew's, or one that it was not given.
    #[error("it is sealed with a key that this phone does not hold ({0})")]
    NoKey(Epoch),
    /// It was changed on its way, or is not what its name says.
    #[error("it is not what was sealed")]
    Changed,
    /// It ends too soon.
    #[error("it ends after {here} bytes")]
    Cut {
        /// So many are there.
        here: u64,
    },
    /// It is longer than a part may be.
    #[error("it is longer than the {limit} bytes that a part may have")]
    TooLong {
        /// So many it may have.
        limit: u64,
    },
    /// What was sealed makes no sense.
    #[error("{what}, at byte {at}")]
    Malformed {
        /// What is wrong.
        what: &'static str,
        /// Where.
        at: usize,
    },
    /// An event in it is not what its device signed.
    #[error("event {0}: {1}")]
    Forged(EventRef, Forged),
    /// It is signed by nobody who may make it.
    #[error("the device that it names did not sign it")]
    NotSigned,
    /// The disk, or the way that it came by.
    #[error("reading it failed: {0}")]
    Io(#[from] std::io::Error),
}
