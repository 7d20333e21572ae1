//! Identities as types, each with one written form.

use std::fmt;
use std::str::FromStr;

use data_encoding::{BASE32_NOPAD, HEXLOWER};

use super::entropy::Entropy;

/// A text that is not the written form of an identity.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{text}' is not {what}")]
pub struct NotAnId {
    /// What was given.
    pub text: String,
    /// What was wanted.
    pub what: &'static str,
}

/// Identity of a rig, prep, hold, defect, member or dive: 16 random bytes, written as 26
/// lower-case base32 letters (RFC 4648, no padding).
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(pub [u8; 16]);

impl Id {
    /// Makes a new one.
    pub fn make(entropy: &dyn Entropy) -> Id {
        let mut bytes = [0; 16];
        entropy.fill(&mut bytes);
        Id(bytes)
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&BASE32_NOPAD.encode(&self.0).to_ascii_lowercase())
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Id({self})")
    }
}

impl FromStr for Id {
    type Err = NotAnId;
    fn from_str(text: &str) -> Result<Id, NotAnId> {
        BASE32_NOPAD
            .decode(text.to_ascii_uppercase().as_bytes())
            .ok()
            .and_then(|b| b.try_into().ok())
            .map(Id)
            .ok_or_else(|| NotAnId {
                text: text.to_owned(),
                what: "an id",
            })
    }
}

/// A device: its Ed25519 public key (RFC 8032), so that whoever has an event can check it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct DeviceId(pub [u8; 32]);

impl fmt::Display for DeviceId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&HEXLOWER.encode(&self.0))
    }
}

impl fmt::Debug for DeviceId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "DeviceId({self})")
    }
}

/// Points at one event: the device that wrote it and its place in that device's sequence.
/// Written `DEVICE:SEQUENCE`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct EventRef {
    /// Who wrote it.
    pub device: DeviceId,
    /// Its place there, from 1.
    pub seq: u64,
}

impl fmt::Display for EventRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.device, self.seq)
    }
}

impl FromStr for EventRef {
    type Err = NotAnId;
    fn from_str(text: &str) -> Result<EventRef, NotAnId> {
        let wrong = || NotAnId {
            text: text.to_owned(),
            what: "an event reference",
        };
        let (device, seq) = text.split_once(':').ok_or_else(wrong)?;
        let device = HEXLOWER.decode(device.as_bytes()).map_err(|_| wrong())?;
        Ok(EventRef {
            device: DeviceId(device.try_into().map_err(|_| wrong())?),
            seq: seq.parse().map_err(|_| wrong())?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::entropy::SeededEntropy;
    use super::*;

    #[test]
    fn ids_read_back_what_they_write() {
        let entropy = SeededEntropy::new(1);
        let id = Id::make(&entropy);
        assert_eq!(id.to_string().len(), 26);
        assert_eq!(id.to_string().parse(), Ok(id));
        let event = EventRef {
            device: DeviceId([7; 32]),
            seq: 12,
        };
        assert_eq!(event.to_string().parse(), Ok(event));
        assert!("x:1".parse::<EventRef>().is_err());
        assert!("abc".parse::<Id>().is_err());
    }
}
