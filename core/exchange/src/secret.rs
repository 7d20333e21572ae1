//! The crew's key, and sealing with it.
//!
//! XChaCha20-Poly1305 (draft-irtf-cfrg-xchacha-03 over RFC 8439): the nonce is long enough to be drawn at
//! random by phones that don't know of each other, it is quick without a processor's help, and one library,
//! plain Rust, has it on every phone. Against it stood age, which would bring a format of its own with its
//! recipients in each part (a part would grow by 100 bytes a phone, and a part by light is to be small), and
//! AES-GCM, whose short nonce must never come twice.

use std::fmt;

use chacha20poly1305::aead::{Aead, KeyInit, Payload};
use chacha20poly1305::{XChaCha20Poly1305, XNonce};
use slackwater_journal::Entropy;
use zeroize::{Zeroize, ZeroizeOnDrop};

use super::Fault;

const NONCE: usize = 24;
const TAG: usize = 16;
/// What stands before what is sealed: the kind, the key's name, the nonce.
pub const HEAD: usize = 4 + 16 + NONCE;
/// By so much a sealed part is longer than what is in it, bytes.
pub const OVERHEAD: usize = HEAD + TAG;

/// The longest part, bytes, sealed: one event may hold a night's readings.
pub const PART_MAX: usize = 9 << 20;

/// What is in a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Consecutive events of a device.
    Segment,
    /// What a phone has.
    Hello,
    /// The crew's key, for devices.
    Handing,
}

impl Kind {
    const ALL: [Kind; 3] = [Kind::Segment, Kind::Hello, Kind::Handing];

    /// How a part of the kind begins: three letters and the format's version.
    pub(crate) fn magic(self) -> [u8; 4] {
        *match self {
            Kind::Segment => b"SWS1",
            Kind::Hello => b"SWH1",
            Kind::Handing => b"SWK1",
        }
    }

    /// What a part is, by how it begins.
    ///
    /// # Errors
    /// [`Fault::NoPart`], [`Fault::Newer`].
    pub fn of(part: &[u8]) -> Result<Kind, Fault> {
        let magic = part.first_chunk::<4>().ok_or(Fault::NoPart)?;
        if let Some(kind) = Kind::ALL.into_iter().find(|k| k.magic() == *magic) {
            return Ok(kind);
        }
        let [s, w, of, version] = magic;
        if [*s, *w] == *b"SW" && of.is_ascii_uppercase() && version.is_ascii_alphanumeric() {
            return Err(Fault::Newer(String::from_utf8_lossy(magic).into_owned()));
        }
        Err(Fault::NoPart)
    }

    fn context(self) -> &'static str {
        match self {
            Kind::Segment => "slackwater exchange segment, version 1",
            Kind::Hello => "slackwater exchange hello, version 1",
            Kind::Handing => "slackwater exchange handing of a key, version 1",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Kind::Segment => "segment",
            Kind::Hello => "hello",
            Kind::Handing => "handing of a key",
        })
    }
}

/// The name of a crew's key: it tells which, and nothing of it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Epoch(pub [u8; 16]);

impl fmt::Display for Epoch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&data_encoding::HEXLOWER.encode(&self.0))
    }
}

impl fmt::Debug for Epoch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Epoch({self})")
    }
}

/// A crew's key: whoever holds it reads what was sealed with it, and seals. It proves nobody's word: that
/// is for the signatures inside.
#[derive(Clone, PartialEq, Eq, Zeroize, ZeroizeOnDrop)]
pub struct Secret([u8; 32]);

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Secret of {:?}", self.epoch())
    }
}

impl Secret {
    /// A new one.
    pub fn make(entropy: &dyn Entropy) -> Secret {
        let mut bytes = [0; 32];
        entropy.fill(&mut bytes);
        Secret(bytes)
    }

    /// From its bytes.
    pub fn from_bytes(bytes: [u8; 32]) -> Secret {
        Secret(bytes)
    }

    /// Its bytes: for another phone's eyes alone.
    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Its name.
    pub fn epoch(&self) -> Epoch {
        let mut name = [0; 16];
        name.copy_from_slice(&self.derive("slackwater exchange key's name, version 1")[..16]);
        Epoch(name)
    }

    /// A key of its own for each use (BLAKE3 in derive-key mode).
    pub(crate) fn derive(&self, context: &str) -> [u8; 32] {
        blake3::derive_key(context, &self.0)
    }

    /// Seals a part.
    ///
    /// # Errors
    /// [`Fault::TooLong`].
    pub fn seal(&self, kind: Kind, plain: &[u8], entropy: &dyn Entropy) -> Result<Vec<u8>, Fault> {
        if plain.len() > PART_MAX - OVERHEAD {
            return Err(Fault::TooLong {
                limit: PART_MAX as u64,
            });
        }
        let mut nonce = [0; NONCE];
        entropy.fill(&mut nonce);
        let mut part = Vec::with_capacity(plain.len() + OVERHEAD);
        part.extend_from_slice(&kind.magic());
        part.extend_from_slice(&self.epoch().0);
        let sealed = encrypt(&self.derive(kind.context()), &nonce, plain, &part);
        part.extend_from_slice(&nonce);
        // A message of any length that a part may have is encrypted.
        part.extend_from_slice(&sealed.ok_or(Fault::TooLong {
            limit: PART_MAX as u64,
        })?);
        Ok(part)
    }

    /// Opens a part that was sealed with it.
    ///
    /// # Errors
    /// [`Fault::NoKey`] where it was sealed with another; [`Fault::Changed`].
    pub fn open(&self, kind: Kind, part: &[u8]) -> Result<Vec<u8>, Fault> {
        let epoch = epoch_of(kind, part)?;
        if epoch != self.epoch() {
            return Err(Fault::NoKey(epoch));
        }
        let (head, sealed) = part.split_at(HEAD);
        let (named, nonce) = head.split_at(HEAD - NONCE);
        decrypt(&self.derive(kind.context()), nonce, sealed, named).ok_or(Fault::Changed)
    }
}

/// With which key a part was sealed.
///
/// # Errors
/// [`Fault::NoPart`], [`Fault::Newer`], [`Fault::Other`]; [`Fault::Cut`], [`Fault::TooLong`].
pub fn epoch_of(kind: Kind, part: &[u8]) -> Result<Epoch, Fault> {
    let found = Kind::of(part)?;
    if found != kind {
        return Err(Fault::Other {
            found,
            wanted: kind,
        });
    }
    if part.len() > PART_MAX {
        return Err(Fault::TooLong {
            limit: PART_MAX as u64,
        });
    }
    let cut = Fault::Cut {
        here: part.len() as u64,
    };
    if part.len() < OVERHEAD {
        return Err(cut);
    }
    let epoch = part.get(4..).and_then(<[u8]>::first_chunk);
    epoch.copied().map(Epoch).ok_or(cut)
}

pub(crate) fn encrypt(
    key: &[u8; 32],
    nonce: &[u8; NONCE],
    msg: &[u8],
    aad: &[u8],
) -> Option<Vec<u8>> {
    let cipher = XChaCha20Poly1305::new(key.into());
    cipher
        .encrypt(&XNonce::from(*nonce), Payload { msg, aad })
        .ok()
}

pub(crate) fn decrypt(key: &[u8; 32], nonce: &[u8], msg: &[u8], aad: &[u8]) -> Option<Vec<u8>> {
    let nonce: [u8; NONCE] = nonce.try_into().ok()?;
    let cipher = XChaCha20Poly1305::new(key.into());
    cipher
        .decrypt(&XNonce::from(nonce), Payload { msg, aad })
        .ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_journal::SeededEntropy;

    #[test]
    fn what_is_sealed_opens_with_its_key_alone_and_unchanged_alone() {
        let entropy = SeededEntropy::new(1);
        let (ours, theirs) = (Secret::make(&entropy), Secret::make(&entropy));
        let part = ours.seal(Kind::Segment, b"words", &entropy).unwrap();
        assert_eq!(ours.open(Kind::Segment, &part).unwrap(), b"words");
        assert_eq!(part.len(), OVERHEAD + 5);
        assert!(matches!(
            theirs.open(Kind::Segment, &part),
            Err(Fault::NoKey(_))
        ));
        assert!(matches!(
            ours.open(Kind::Hello, &part),
            Err(Fault::Other {
                found: Kind::Segment,
                wanted: Kind::Hello
            })
        ));
        for at in 0..part.len() {
            let mut bad = part.clone();
            bad[at] ^= 1;
            assert!(ours.open(Kind::Segment, &bad).is_err(), "byte {at}");
        }
        for to in 0..part.len() {
            assert!(ours.open(Kind::Segment, &part[..to]).is_err(), "{to} bytes");
        }
        // A part of one kind is none of another, also where it says so.
        let mut other = part.clone();
        other[..4].copy_from_slice(&Kind::Hello.magic());
        assert!(matches!(
            ours.open(Kind::Hello, &other),
            Err(Fault::Changed)
        ));
        assert!(matches!(Kind::of(b"SWS2"), Err(Fault::Newer(_))));
        assert!(matches!(Kind::of(b"PK\x03\x04"), Err(Fault::NoPart)));
        // No two parts are alike.
        assert_ne!(part, ours.seal(Kind::Segment, b"words", &entropy).unwrap());
    }

    /// draft-irtf-cfrg-xchacha-03, A.3.1: the worked example of the construction.
    #[test]
    fn the_cipher_is_the_one_of_the_draft() {
        let key: [u8; 32] = std::array::from_fn(|n| 0x80 + n as u8);
        let nonce: [u8; 24] = std::array::from_fn(|n| 0x40 + n as u8);
        let aad = [
            0x50, 0x51, 0x52, 0x53, 0xc0, 0xc1, 0xc2, 0xc3, 0xc4, 0xc5, 0xc6, 0xc7,
        ];
        let text = b"Ladies and Gentlemen of the class of '99: If I could offer you only one tip for the future, sunscreen would be it.";
        let sealed = encrypt(&key, &nonce, text, &aad).unwrap();
        let hex = data_encoding::HEXLOWER.encode(&sealed);
        assert!(
            hex.starts_with("bd6d179d3e83d43b9576579493c0e939572a1700252bfaccbed2902c21396cbb")
        );
        assert!(hex.ends_with("c0875924c1c7987947deafd8780acf49"));
    }
}
