//! Parts in one file: what goes by share sheet, cable or card, and by light.
//!
//! A parcel may be cut off anywhere: each part says by itself whether it is whole, so what came through
//! counts, and the end says whether anything is missing.

use std::io::{self, Read, Write};

use super::Fault;
use super::secret::{OVERHEAD, PART_MAX};

/// How a parcel begins.
pub const MAGIC: [u8; 4] = *b"SWP1";
/// Most parts of a parcel.
pub const PARTS_MAX: u64 = 100_000;
const CONTEXT: &str = "slackwater exchange parcel, version 1";

/// Writes a parcel, part by part.
pub struct Packing<W> {
    to: W,
    sum: blake3::Hasher,
    /// Length so far, bytes.
    bytes: u64,
}

impl<W: Write> Packing<W> {
    /// Begins one.
    ///
    /// # Errors
    /// What `to` says.
    pub fn begin(to: W) -> io::Result<Packing<W>> {
        let sum = blake3::Hasher::new_derive_key(CONTEXT);
        let mut packing = Packing { to, sum, bytes: 0 };
        packing.put(&MAGIC)?;
        Ok(packing)
    }

    fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.to.write_all(bytes)?;
        self.sum.update(bytes);
        self.bytes += bytes.len() as u64;
        Ok(())
    }

    /// One more part.
    ///
    /// # Errors
    /// What `to` says.
    pub fn part(&mut self, part: &[u8]) -> io::Result<()> {
        let length = u32::try_from(part.len()).map_err(io::Error::other)?;
        self.put(&length.to_le_bytes())?;
        self.put(part)
    }

    /// Ends it; gives what it was written to, and its length in bytes.
    ///
    /// # Errors
    /// What `to` says.
    pub fn end(mut self) -> io::Result<(W, u64)> {
        self.put(&[0; 4])?;
        let sum = *self.sum.finalize().as_bytes();
        self.to.write_all(&sum)?;
        Ok((self.to, self.bytes + sum.len() as u64))
    }
}

/// Reads a parcel, part by part: an iterator over parts. After a fault there is nothing more.
pub struct Unpacking<R> {
    from: R,
    sum: blake3::Hasher,
    bytes: u64,
    parts: u64,
    done: bool,
}

/// Whether a file begins as a parcel does.
pub fn is_parcel(begins: &[u8]) -> bool {
    begins.starts_with(&MAGIC[..3])
}

impl<R: Read> Unpacking<R> {
    /// Begins to read one.
    ///
    /// # Errors
    /// [`Fault::NoPart`] where it is none, [`Fault::Newer`].
    pub fn begin(mut from: R) -> Result<Unpacking<R>, Fault> {
        let mut magic = [0; 4];
        let read = fill(&mut from, &mut magic)?;
        if magic != MAGIC || read < 4 {
            return Err(
                match is_parcel(&magic) && magic[3].is_ascii_alphanumeric() {
                    true => Fault::Newer(String::from_utf8_lossy(&magic).into_owned()),
                    false => Fault::NoPart,
                },
            );
        }
        let mut sum = blake3::Hasher::new_derive_key(CONTEXT);
        sum.update(&magic);
        Ok(Unpacking {
            from,
            sum,
            bytes: 4,
            parts: 0,
            done: false,
        })
    }

    fn fill(&mut self, into: &mut [u8]) -> Result<(), Fault> {
        let read = fill(&mut self.from, into)?;
        self.bytes += read as u64;
        match read == into.len() {
            true => Ok(()),
            false => Err(Fault::Cut { here: self.bytes }),
        }
    }

    fn part(&mut self) -> Result<Option<Vec<u8>>, Fault> {
        let mut length = [0; 4];
        self.fill(&mut length)?;
        self.sum.update(&length);
        let length = u32::from_le_bytes(length) as usize;
        if length == 0 {
            let mut sum = [0; 32];
            self.fill(&mut sum)?;
            return match sum == *self.sum.finalize().as_bytes() {
                true => Ok(None),
                false => Err(Fault::Changed),
            };
        }
        self.parts += 1;
        if !(OVERHEAD..=PART_MAX).contains(&length) || self.parts > PARTS_MAX {
            return Err(Fault::Malformed {
                what: "the length of a part can't be",
                at: usize::try_from(self.bytes).unwrap_or(usize::MAX),
            });
        }
        // As much is reserved as has come, not as is said to come.
        let mut part = Vec::new();
        (&mut self.from)
            .take(length as u64)
            .read_to_end(&mut part)?;
        self.bytes += part.len() as u64;
        if part.len() < length {
            return Err(Fault::Cut { here: self.bytes });
        }
        self.sum.update(&part);
        Ok(Some(part))
    }
}

/// Reads until it is full or there is no more.
fn fill(from: &mut impl Read, into: &mut [u8]) -> io::Result<usize> {
    let mut at = 0;
    while let Some(rest) = into.get_mut(at..).filter(|rest| !rest.is_empty()) {
        match from.read(rest) {
            Ok(0) => break,
            Ok(n) => at += n,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(at)
}

impl<R: Read> Iterator for Unpacking<R> {
    type Item = Result<Vec<u8>, Fault>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.done {
            return None;
        }
        let next = self.part().transpose();
        self.done = !matches!(next, Some(Ok(_)));
        next
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn packed(parts: &[Vec<u8>]) -> Vec<u8> {
        let mut packing = Packing::begin(Vec::new()).unwrap();
        parts.iter().for_each(|p| packing.part(p).unwrap());
        let (bytes, length) = packing.end().unwrap();
        assert_eq!(bytes.len() as u64, length);
        bytes
    }

    fn read(bytes: &[u8]) -> (Vec<Vec<u8>>, Option<Fault>) {
        let mut parts = Vec::new();
        match Unpacking::begin(bytes) {
            Err(e) => (parts, Some(e)),
            Ok(unpacking) => {
                for part in unpacking {
                    match part {
                        Ok(part) => parts.push(part),
                        Err(e) => return (parts, Some(e)),
                    }
                }
                (parts, None)
            }
        }
    }

    #[test]
    fn a_parcel_that_was_cut_gives_what_came_through_and_says_so() {
        let parts = vec![vec![1; 100], vec![2; 300], vec![3; 64]];
        let whole = packed(&parts);
        assert!(matches!(read(&whole), (got, None) if got == parts));
        for to in 0..whole.len() {
            let (got, fault) = read(&whole[..to]);
            assert!(fault.is_some(), "{to}");
            assert_eq!(got, parts[..got.len()]);
            // 4 of the beginning, 4 before each part.
            let through = [108, 412, 480].iter().filter(|end| to >= **end).count();
            assert_eq!(got.len(), through, "{to}");
        }
        for at in 0..whole.len() {
            let mut bad = whole.clone();
            bad[at] ^= 4;
            assert!(read(&bad).1.is_some(), "byte {at}");
        }
        assert!(matches!(read(b"SWP2...."), (_, Some(Fault::Newer(_)))));
        assert!(matches!(read(b"PK\x03\x04"), (_, Some(Fault::NoPart))));
        assert!(matches!(read(&packed(&[])), (got, None) if got.is_empty()));
    }

    proptest! {
        #[test]
        fn whatever_comes_is_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
            let _ = read(&bytes);
            let _ = read(&[&MAGIC[..], &bytes].concat());
        }
    }
}
