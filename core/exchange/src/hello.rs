//! What a phone has, told to another, and what that one lacks.

use slackwater_journal::{DeviceId, Entropy, EventRef, Extent};

use super::Fault;
use super::cbor::{Put, Reader, writer};
use super::secret::{Epoch, Kind, Secret, epoch_of};

/// Most devices that a hello tells of.
const EXTENTS_MAX: usize = 10_000;

/// What a phone has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hello {
    /// The phone.
    pub device: DeviceId,
    /// When it said so, by its own clock, ms since 1970 UTC.
    pub at_ms: i64,
    /// How far each device's sequence is there.
    pub extents: Vec<Extent>,
}

/// What another lacks of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lack {
    /// The device.
    pub device: DeviceId,
    /// Its events after this number.
    pub after: u64,
    /// And what stands beside its sequence.
    pub apart: bool,
}

impl Hello {
    /// Seals it. It is a claim: what follows from it is at worst that too much is sent, or too little and
    /// again the next time.
    ///
    /// # Errors
    /// [`Fault::TooLong`].
    pub fn seal(&self, secret: &Secret, entropy: &dyn Entropy) -> Result<Vec<u8>, Fault> {
        secret.seal(Kind::Hello, &self.to_bytes(), entropy)
    }

    /// Opens one.
    ///
    /// # Errors
    /// What of it is wrong.
    pub fn open(part: &[u8], key: impl FnOnce(&Epoch) -> Option<Secret>) -> Result<Hello, Fault> {
        let epoch = epoch_of(Kind::Hello, part)?;
        let secret = key(&epoch).ok_or(Fault::NoKey(epoch))?;
        Hello::from_bytes(&secret.open(Kind::Hello, part)?)
    }

    /// Its bytes, unsealed.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = writer();
        out.list(3)
            .blob(&self.device.0)
            .signed(self.at_ms)
            .list(self.extents.len());
        for e in &self.extents {
            out.list(4).blob(&e.device.0).number(e.seq).blob(&e.head);
            match &e.forked {
                None => out.nothing(),
                Some(all) => out.blob(all),
            };
        }
        out.into_writer()
    }

    /// From its bytes.
    ///
    /// # Errors
    /// [`Fault::Malformed`].
    pub fn from_bytes(bytes: &[u8]) -> Result<Hello, Fault> {
        let mut read = Reader::of(bytes);
        read.list_of(3)?;
        let device = DeviceId(read.fixed()?);
        let at_ms = read.signed()?;
        let mut extents = Vec::new();
        for _ in 0..read.list(EXTENTS_MAX)? {
            read.list_of(4)?;
            extents.push(Extent {
                device: DeviceId(read.fixed()?),
                seq: read.seq(1)?,
                head: read.fixed()?,
                forked: match read.nothing()? {
                    true => None,
                    false => Some(read.fixed()?),
                },
            });
        }
        read.end()?;
        Ok(Hello {
            device,
            at_ms,
            extents,
        })
    }
}

/// What whoever has `theirs` lacks of `ours`, with `hash_of` for the hash of an event here. A device of
/// which the two have other histories is lacked whole.
///
/// # Errors
/// What `hash_of` gives.
pub fn lacked<E>(
    theirs: &[Extent],
    ours: &[Extent],
    mut hash_of: impl FnMut(&EventRef) -> Result<Option<[u8; 32]>, E>,
) -> Result<Vec<Lack>, E> {
    let mut lacks = Vec::new();
    for have in ours {
        let device = have.device;
        let whole = Lack {
            device,
            after: 0,
            apart: have.forked.is_some(),
        };
        let Some(theirs) = theirs.iter().find(|e| e.device == device) else {
            lacks.push(whole);
            continue;
        };
        if have.forked.is_some() || theirs.forked.is_some() {
            if have.forked != theirs.forked {
                lacks.push(whole);
            }
            continue;
        }
        // Where they have more, they see for themselves whether it is the same history.
        if theirs.seq > have.seq {
            continue;
        }
        let known = EventRef {
            device,
            seq: theirs.seq,
        };
        if hash_of(&known)? != Some(theirs.head) {
            lacks.push(whole);
        } else if have.seq > theirs.seq {
            lacks.push(Lack {
                device,
                after: theirs.seq,
                apart: false,
            });
        }
    }
    Ok(lacks)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use slackwater_journal::SeededEntropy;

    fn extent(device: u8, seq: u64, head: u8, forked: Option<u8>) -> Extent {
        Extent {
            device: DeviceId([device; 32]),
            seq,
            head: [head; 32],
            forked: forked.map(|f| [f; 32]),
        }
    }

    fn lacks(theirs: &[Extent], ours: &[Extent]) -> Vec<(u8, u64, bool)> {
        // Each event's hash is its number; of device 9 it is 100 more.
        let hash = |e: &EventRef| {
            Ok::<_, ()>(Some([e.seq as u8 + 100 * u8::from(e.device.0[0] == 9); 32]))
        };
        let found = lacked(theirs, ours, hash).unwrap();
        found
            .into_iter()
            .map(|l| (l.device.0[0], l.after, l.apart))
            .collect()
    }

    #[test]
    fn what_is_lacked_is_what_is_behind_or_otherwise() {
        let ours = [
            extent(1, 5, 5, None),
            extent(2, 3, 3, None),
            extent(3, 4, 4, None),
        ];
        assert_eq!(
            lacks(&[], &ours),
            [(1, 0, false), (2, 0, false), (3, 0, false)]
        );
        let theirs = [
            extent(1, 2, 2, None),
            extent(2, 3, 3, None),
            extent(3, 9, 9, None),
        ];
        assert_eq!(lacks(&theirs, &ours), [(1, 2, false)]);
        // Another history as long, and a shorter one.
        let ours = [extent(9, 5, 105, None)];
        assert_eq!(lacks(&[extent(9, 5, 77, None)], &ours), [(9, 0, false)]);
        assert_eq!(lacks(&[extent(9, 2, 77, None)], &ours), [(9, 0, false)]);
        assert_eq!(lacks(&[extent(9, 2, 102, None)], &ours), [(9, 2, false)]);
        // Two histories: the numbers say nothing.
        let ours = [extent(9, 5, 105, Some(1))];
        assert_eq!(lacks(&[extent(9, 8, 77, Some(1))], &ours), []);
        assert_eq!(lacks(&[extent(9, 8, 77, Some(2))], &ours), [(9, 0, true)]);
        assert_eq!(lacks(&[extent(9, 8, 77, None)], &ours), [(9, 0, true)]);
    }

    #[test]
    fn a_hello_comes_out_as_it_went_in() {
        let entropy = SeededEntropy::new(2);
        let secret = Secret::make(&entropy);
        let hello = Hello {
            device: DeviceId([1; 32]),
            at_ms: -5,
            extents: vec![extent(1, 5, 5, None), extent(2, 3, 3, Some(8))],
        };
        let part = hello.seal(&secret, &entropy).unwrap();
        assert_eq!(Hello::open(&part, |_| Some(secret.clone())).unwrap(), hello);
        assert!(matches!(Hello::open(&part, |_| None), Err(Fault::NoKey(_))));
    }

    proptest! {
        #[test]
        fn whatever_was_sealed_is_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
            let entropy = SeededEntropy::new(2);
            let secret = Secret::make(&entropy);
            let part = secret.seal(Kind::Hello, &bytes, &entropy).unwrap();
            let _ = Hello::open(&part, |_| Some(secret.clone()));
        }
    }
}
