//! A device that signs whatever it is told to: what no phone of ours would write, well signed.

use ed25519_dalek::{Signer, SigningKey};
use slackwater_core::journal::{DeviceId, Event, Hlc};

/// The device.
pub struct Stranger {
    key: SigningKey,
    seq: u64,
    head: [u8; 32],
}

impl Stranger {
    /// One with a key of its own.
    pub fn new(seed: u8) -> Stranger {
        Stranger {
            key: SigningKey::from_bytes(&[seed; 32]),
            seq: 0,
            head: [0; 32],
        }
    }

    /// Its id.
    pub fn device(&self) -> DeviceId {
        DeviceId(self.key.verifying_key().to_bytes())
    }

    /// Its next event: what `like` says, with another clock.
    pub fn says(&mut self, like: &Event, hlc: Hlc, wall_ms: i64) -> Event {
        self.seq += 1;
        let mut event = Event {
            device: self.device(),
            seq: self.seq,
            hlc,
            wall_ms,
            prev: self.head,
            ..like.clone()
        };
        event.hash = event.compute_hash();
        event.signature = self.key.sign(&event.hash).to_bytes();
        self.head = event.hash;
        event
    }
}
