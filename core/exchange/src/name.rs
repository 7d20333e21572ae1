//! What parts are called in a shared store.
//!
//! A store's keeper sees names, lengths and times, so names tell nothing: a folder a device, under a name
//! that only the crew can work out, and in it a name a segment, which says to the crew which events are
//! inside. So one device's segments can be listed without the others, and none has to be fetched to know
//! whether it is lacked.

use data_encoding::BASE32_NOPAD;
use slackwater_journal::DeviceId;

use super::secret::{Secret, decrypt, encrypt};
use super::segment::Segment;

const TAG: &str = "slackwater exchange folder of a device, version 1";
const NAME: &str = "slackwater exchange name of a segment, version 1";
const NONCE: &str = "slackwater exchange nonce of a name, version 1";
/// Under which folder segments lie.
pub const LOG: &str = "log";
/// Under which folder handings of keys lie.
pub const KEYS: &str = "keys";

/// What a segment's name says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Inside {
    /// The device.
    pub device: DeviceId,
    /// The number of its first event.
    pub from: u64,
    /// That of its last.
    pub to: u64,
    /// How the hash of its last begins.
    pub head: [u8; 16],
}

impl Inside {
    /// What is in a segment.
    pub fn of(segment: &Segment) -> Inside {
        let mut head = [0; 16];
        head.copy_from_slice(&segment.head()[..16]);
        Inside {
            device: segment.device,
            from: segment.from,
            to: segment.to(),
            head,
        }
    }

    fn to_bytes(self) -> [u8; 64] {
        let mut bytes = [0; 64];
        bytes[..32].copy_from_slice(&self.device.0);
        bytes[32..40].copy_from_slice(&self.from.to_le_bytes());
        bytes[40..48].copy_from_slice(&self.to.to_le_bytes());
        bytes[48..].copy_from_slice(&self.head);
        bytes
    }

    fn from_bytes(bytes: &[u8]) -> Option<Inside> {
        let (device, rest) = bytes.split_first_chunk::<32>()?;
        let (from, rest) = rest.split_first_chunk::<8>()?;
        let (to, rest) = rest.split_first_chunk::<8>()?;
        let inside = Inside {
            device: DeviceId(*device),
            from: u64::from_le_bytes(*from),
            to: u64::from_le_bytes(*to),
            head: rest.try_into().ok()?,
        };
        (inside.from > 0 && inside.to >= inside.from).then_some(inside)
    }
}

/// Letters that every store keeps as they are, whatever it makes of capitals (RFC 4648, 6).
fn written(bytes: &[u8]) -> String {
    BASE32_NOPAD.encode(bytes).to_ascii_lowercase()
}

fn read(text: &str) -> Option<Vec<u8>> {
    // Capitals would be a second name of the same.
    if text.bytes().any(|b| b.is_ascii_uppercase()) {
        return None;
    }
    BASE32_NOPAD
        .decode(text.to_ascii_uppercase().as_bytes())
        .ok()
}

/// The folder of a device under a key: 'log/…', 30 characters.
pub fn folder(secret: &Secret, device: &DeviceId) -> String {
    let tag = blake3::keyed_hash(&secret.derive(TAG), &device.0);
    format!("{LOG}/{}", written(&tag.as_bytes()[..16]))
}

/// What a segment is called in its device's folder: 167 letters and digits, always the same for the same
/// part.
pub fn name(secret: &Secret, inside: &Inside, part: &[u8]) -> String {
    // The part has a nonce of its own that never comes twice, so its hash doesn't either.
    let hash = blake3::keyed_hash(&secret.derive(NONCE), part);
    let mut nonce = [0; 24];
    nonce.copy_from_slice(&hash.as_bytes()[..24]);
    let sealed = encrypt(
        &secret.derive(NAME),
        &nonce,
        &inside.to_bytes(),
        LOG.as_bytes(),
    );
    written(&[&nonce[..], &sealed.unwrap_or_default()].concat())
}

/// What is in a segment, by its name under a key; none where the name was not made with it.
pub fn inside(secret: &Secret, name: &str) -> Option<Inside> {
    let bytes = read(name)?;
    let (nonce, sealed) = bytes.split_at_checked(24)?;
    Inside::from_bytes(&decrypt(
        &secret.derive(NAME),
        nonce,
        sealed,
        LOG.as_bytes(),
    )?)
}

/// What a handing of a key is called: 'keys/…'.
pub fn of_handing(part: &[u8]) -> String {
    let hash = blake3::hash(part);
    format!("{KEYS}/{}", written(&hash.as_bytes()[..16]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_journal::SeededEntropy;

    #[test]
    fn a_name_tells_the_crew_what_is_inside_and_others_nothing() {
        let entropy = SeededEntropy::new(2);
        let (ours, theirs) = (Secret::make(&entropy), Secret::make(&entropy));
        let inside_it = Inside {
            device: DeviceId([7; 32]),
            from: 5,
            to: 900,
            head: [3; 16],
        };
        let called = name(&ours, &inside_it, b"a sealed part");
        assert_eq!(inside(&ours, &called), Some(inside_it));
        assert_eq!(inside(&theirs, &called), None);
        assert_eq!(called.len(), 167);
        assert_eq!(called, name(&ours, &inside_it, b"a sealed part"));
        assert_ne!(called, name(&ours, &inside_it, b"another part"));
        assert_eq!(inside(&ours, &called.to_ascii_uppercase()), None);
        assert_eq!(inside(&ours, &called[1..]), None);
        assert_eq!(inside(&ours, ""), None);
        let backwards = Inside {
            from: 9,
            to: 8,
            ..inside_it
        };
        assert_eq!(inside(&ours, &name(&ours, &backwards, b"x")), None);
        let at = folder(&ours, &inside_it.device);
        assert_eq!(at.len(), 30);
        assert_ne!(at, folder(&theirs, &inside_it.device));
        assert!(
            format!("{at}/{called}")
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'/')
        );
    }
}
