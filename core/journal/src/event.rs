//! An event: who wrote what about which subject, when, after which other event.

use std::fmt;
use std::str::FromStr;

use data_encoding::HEXLOWER;
use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

use super::clock::Hlc;
use super::ids::{DeviceId, EventRef, NotAnId};

/// What is to be written; the journal adds the rest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// Member id of the author; empty before there is a crew.
    pub author: String,
    /// What it is about: 'RIG', 'RIG/enclosure/main', 'crew', ...
    pub subject: String,
    /// Its kind, a slug.
    pub kind: String,
    /// Its body, JSON.
    pub body: Vec<u8>,
}

/// How far a device had been heard: up to which of its events, and which history of it that was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct HeardOf {
    /// The device.
    pub device: DeviceId,
    /// Its last event that was known.
    pub seq: u64,
    /// How the hash of that begins: a device may have written two under one number. None where a version
    /// wrote it that didn't say.
    pub head: Option<[u8; HEAD_BYTES]>,
}

impl From<EventRef> for HeardOf {
    /// As the version said it that told no hash.
    fn from(event: EventRef) -> HeardOf {
        HeardOf {
            device: event.device,
            seq: event.seq,
            head: None,
        }
    }
}

impl fmt::Display for HeardOf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.device, self.seq)?;
        match &self.head {
            Some(head) => write!(f, ":{}", HEXLOWER.encode(head)),
            None => Ok(()),
        }
    }
}

impl FromStr for HeardOf {
    type Err = NotAnId;
    fn from_str(text: &str) -> Result<HeardOf, NotAnId> {
        let (event, head) = match text.match_indices(':').nth(1) {
            Some((at, _)) => (&text[..at], Some(&text[at + 1..])),
            None => (text, None),
        };
        let head = head.map(|hex| {
            let bytes = HEXLOWER.decode(hex.as_bytes()).ok();
            bytes
                .and_then(|b| b.try_into().ok())
                .ok_or_else(|| NotAnId {
                    text: text.to_owned(),
                    what: "how far a device was heard",
                })
        });
        Ok(HeardOf {
            head: head.transpose()?,
            ..event.parse::<EventRef>()?.into()
        })
    }
}

/// So many bytes of a hash tell two histories apart: who wants another event whose hash begins alike has to
/// make 2⁶⁴ of them, and has the key of a device of the crew to begin with.
pub const HEAD_BYTES: usize = 8;
/// Length of one device heard, bytes: the device, then the number (little endian).
const HEARD_BYTES: usize = 40;
/// With the hash behind it.
const HEARD_HEAD_BYTES: usize = HEARD_BYTES + HEAD_BYTES;

fn says_heads(heard: &[HeardOf]) -> bool {
    heard.iter().any(|h| h.head.is_some())
}

/// What was heard in the form in which it is signed.
fn heard_signed(heard: &[HeardOf]) -> Vec<u8> {
    let heads = says_heads(heard);
    let mut bytes = Vec::with_capacity(heard.len() * HEARD_HEAD_BYTES);
    for h in heard {
        bytes.extend_from_slice(&h.device.0);
        bytes.extend_from_slice(&h.seq.to_le_bytes());
        if heads {
            bytes.extend_from_slice(&h.head.unwrap_or_default());
        }
    }
    bytes
}

/// What was heard in its form in the file: as it is signed, with a byte before it where it says hashes. No
/// length is that of both.
pub(super) fn heard_to_bytes(heard: &[HeardOf]) -> Vec<u8> {
    let mut bytes = heard_signed(heard);
    if says_heads(heard) {
        bytes.insert(0, 3);
    }
    bytes
}

/// From that form; none where it is no whole number of them.
pub(super) fn heard_from_bytes(bytes: &[u8]) -> Option<Vec<HeardOf>> {
    let one = |b: &[u8]| {
        let (device, rest) = b.split_first_chunk::<32>()?;
        let (seq, rest) = rest.split_first_chunk::<8>()?;
        Some(HeardOf {
            device: DeviceId(*device),
            seq: u64::from_le_bytes(*seq),
            head: rest.first_chunk().copied(),
        })
    };
    match bytes.split_first() {
        Some((3, rest)) if rest.len().is_multiple_of(HEARD_HEAD_BYTES) => {
            rest.chunks_exact(HEARD_HEAD_BYTES).map(one).collect()
        }
        _ if bytes.len().is_multiple_of(HEARD_BYTES) => {
            bytes.chunks_exact(HEARD_BYTES).map(one).collect()
        }
        _ => None,
    }
}

/// An event as it stands in the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// The device that wrote it.
    pub device: DeviceId,
    /// Its place in that device's sequence, from 1.
    pub seq: u64,
    /// When, by the hybrid logical clock: the order of everything.
    pub hlc: Hlc,
    /// When, as the device's clock showed, ms since 1970 UTC: what people read.
    pub wall_ms: i64,
    /// Member id of the author.
    pub author: String,
    /// What it is about.
    pub subject: String,
    /// Its kind.
    pub kind: String,
    /// Its body, JSON, byte for byte as it was signed.
    pub body: Vec<u8>,
    /// What its writer had heard of other devices: the last event of each of which it had more than at
    /// its own event before. None where a version wrote it that didn't say so.
    pub heard: Option<Vec<HeardOf>>,
    /// Hash of the device's event before; zeros for the first.
    pub prev: [u8; 32],
    /// Its own hash.
    pub hash: [u8; 32],
    /// Ed25519 signature of `hash`.
    pub signature: [u8; 64],
}

/// What is wrong with an event that came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Forged {
    /// The bytes are not what was hashed.
    #[error("its content is not what was signed")]
    Content,
    /// The device did not sign it.
    #[error("its signature is not the device's")]
    Signature,
    /// It says to have heard more devices anew than any crew has.
    #[error("it names more devices than any crew has")]
    Devices,
}

/// So many devices an event may say to have heard anew.
pub const MOST_HEARD: usize = 1_000;

impl Event {
    /// Makes and signs an event.
    #[allow(clippy::too_many_arguments)]
    pub(super) fn sign(
        draft: Draft,
        key: &SigningKey,
        seq: u64,
        hlc: Hlc,
        wall_ms: i64,
        heard: Vec<HeardOf>,
        prev: [u8; 32],
    ) -> Event {
        let mut event = Event {
            device: DeviceId(key.verifying_key().to_bytes()),
            seq,
            hlc,
            wall_ms,
            author: draft.author,
            subject: draft.subject,
            kind: draft.kind,
            body: draft.body,
            heard: Some(heard),
            prev,
            hash: [0; 32],
            signature: [0; 64],
        };
        event.hash = event.compute_hash();
        event.signature = key.sign(&event.hash).to_bytes();
        event
    }

    /// BLAKE3 in derive-key mode over all fields but hash and signature; texts, body and what was
    /// heard with their length before them (u32, little endian), so that no two events share an
    /// encoding. One that doesn't say what was heard, or not which history of it, has the hash of the
    /// version that wrote it.
    pub fn compute_hash(&self) -> [u8; 32] {
        let mut h = blake3::Hasher::new_derive_key(match &self.heard {
            None => "slackwater journal event, version 1",
            Some(heard) if says_heads(heard) => "slackwater journal event, version 3",
            Some(_) => "slackwater journal event, version 2",
        });
        h.update(&self.device.0);
        h.update(&self.seq.to_le_bytes());
        h.update(&self.hlc.0.to_le_bytes());
        h.update(&self.wall_ms.to_le_bytes());
        for part in [
            self.author.as_bytes(),
            self.subject.as_bytes(),
            self.kind.as_bytes(),
            &self.body,
        ] {
            h.update(&(part.len() as u32).to_le_bytes());
            h.update(part);
        }
        if let Some(heard) = &self.heard {
            let bytes = heard_signed(heard);
            h.update(&(bytes.len() as u32).to_le_bytes());
            h.update(&bytes);
        }
        h.update(&self.prev);
        *h.finalize().as_bytes()
    }

    /// Checks hash and signature.
    ///
    /// # Errors
    /// [`Forged`] says which of the two is wrong.
    pub fn verify(&self) -> Result<(), Forged> {
        if self.heard.as_ref().is_some_and(|h| h.len() > MOST_HEARD) {
            return Err(Forged::Devices);
        }
        if self.compute_hash() != self.hash {
            return Err(Forged::Content);
        }
        let key = VerifyingKey::from_bytes(&self.device.0).map_err(|_| Forged::Signature)?;
        key.verify_strict(&self.hash, &Signature::from_bytes(&self.signature))
            .map_err(|_| Forged::Signature)
    }

    /// Its reference.
    pub fn reference(&self) -> EventRef {
        EventRef {
            device: self.device,
            seq: self.seq,
        }
    }

    /// Its stamp. A clock beyond the end of time orders nothing: it counts as none.
    pub fn stamp(&self) -> Stamp {
        let hlc = if self.hlc > Hlc::LAST {
            Hlc::default()
        } else {
            self.hlc
        };
        Stamp::new(hlc, self.device, self.seq)
    }
}

/// A device as stamps tell it: the first bytes of its key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Writer(pub [u8; 8]);

impl From<DeviceId> for Writer {
    fn from(device: DeviceId) -> Writer {
        let mut b = [0; 8];
        b.copy_from_slice(&device.0[..8]);
        Writer(b)
    }
}

/// Where an event stands in the order of everything: hybrid logical clock, then device, then
/// sequence. The order is the same on every device, and as bytes it sorts as it does as a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stamp(pub [u8; 24]);

impl Stamp {
    /// Before everything.
    pub const NEVER: Stamp = Stamp([0; 24]);

    /// The stamp of an event.
    pub fn new(hlc: Hlc, device: DeviceId, seq: u64) -> Stamp {
        let mut bytes = [0; 24];
        bytes[..8].copy_from_slice(&hlc.0.to_be_bytes());
        bytes[8..16].copy_from_slice(&device.0[..8]);
        bytes[16..].copy_from_slice(&seq.to_be_bytes());
        Stamp(bytes)
    }

    /// The first stamp of a wall time, ms since 1970; times before that count as its start.
    pub fn of_ms(ms: i64) -> Stamp {
        Stamp::new(Hlc::at(ms), DeviceId([0; 32]), 0)
    }

    /// The device in it, as far as it is told there.
    pub fn writer(&self) -> Writer {
        let mut b = [0; 8];
        b.copy_from_slice(&self.0[8..16]);
        Writer(b)
    }

    /// The event's place in its device's sequence.
    pub fn seq(&self) -> u64 {
        let mut b = [0; 8];
        b.copy_from_slice(&self.0[16..]);
        u64::from_be_bytes(b)
    }

    /// The hybrid logical clock in it.
    pub fn hlc(&self) -> Hlc {
        let mut b = [0; 8];
        b.copy_from_slice(&self.0[..8]);
        Hlc(u64::from_be_bytes(b))
    }

    /// From its form in the file; anything but 24 bytes counts as [`Stamp::NEVER`].
    pub fn from_bytes(bytes: &[u8]) -> Stamp {
        bytes.try_into().map_or(Stamp::NEVER, Stamp)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event() -> Event {
        let key = SigningKey::from_bytes(&[3; 32]);
        let draft = Draft {
            author: "a".into(),
            subject: "rig".into(),
            kind: "opened".into(),
            body: b"{}".to_vec(),
        };
        let heard = vec![HeardOf {
            device: DeviceId([5; 32]),
            seq: 8,
            head: Some([9; HEAD_BYTES]),
        }];
        Event::sign(draft, &key, 1, Hlc(65_536), 1, heard, [0; 32])
    }

    #[test]
    fn signature_holds_and_breaks_with_any_field() {
        let good = event();
        assert_eq!(good.verify(), Ok(()));
        let changes: [fn(&mut Event); 11] = [
            |e| {
                e.heard = e
                    .heard
                    .as_ref()
                    .map(|h| vec![HeardOf { head: None, ..h[0] }])
            },
            |e| e.seq = 2,
            |e| e.hlc = Hlc(2),
            |e| e.wall_ms = 2,
            |e| e.author = "b".into(),
            |e| e.subject = "ri".into(),
            |e| e.kind = "gopened".into(),
            |e| e.body = b"{ }".to_vec(),
            |e| e.prev = [1; 32],
            |e| e.heard = Some(Vec::new()),
            |e| e.heard = None,
        ];
        for change in changes {
            let mut bad = good.clone();
            change(&mut bad);
            assert_eq!(bad.verify(), Err(Forged::Content));
            bad.hash = bad.compute_hash();
            assert_eq!(bad.verify(), Err(Forged::Signature));
        }
    }

    #[test]
    fn what_was_heard_reads_back_as_either_version_wrote_it() {
        let new = event().heard.unwrap();
        let old: Vec<HeardOf> = new.iter().map(|h| HeardOf { head: None, ..*h }).collect();
        for heard in [
            vec![],
            new.clone(),
            old.clone(),
            new.repeat(5),
            old.repeat(6),
        ] {
            assert_eq!(
                heard_from_bytes(&heard_to_bytes(&heard)),
                Some(heard.clone())
            );
            for h in &heard {
                assert_eq!(h.to_string().parse(), Ok(*h));
            }
        }
        assert_eq!(heard_from_bytes(&[3; 48]), None);
        assert_eq!(heard_from_bytes(&[1; 41]), None);
        let text = new[0].to_string();
        assert!(text[..text.len() - 1].parse::<HeardOf>().is_err());
    }

    #[test]
    fn lengths_keep_fields_apart() {
        let mut a = event();
        let mut b = event();
        a.subject = "rigx".into();
        a.kind = "y".into();
        b.subject = "rig".into();
        b.kind = "xy".into();
        assert_ne!(a.compute_hash(), b.compute_hash());
    }

    #[test]
    fn stamps_sort_as_bytes() {
        let d = DeviceId([9; 32]);
        let a = Stamp::new(Hlc(1), d, 900);
        let b = Stamp::new(Hlc(256), d, 1);
        assert!(Stamp::NEVER < a && a < b && a.0 < b.0);
        assert_eq!(b.hlc(), Hlc(256));
    }
}
