//! Consecutive events of one device: what is sealed, and what stays as it is wherever it lies.
//!
//! An event says which device wrote it, its number, the hash of the one before and its own; of a run of them
//! all of that follows from the first, so it is worked out and not written. What was signed is then what the
//! signature says, or it isn't ([`Segment::verify`]).

use std::io::Read;

use flate2::Compression;
use flate2::read::{DeflateDecoder, DeflateEncoder};
use slackwater_journal::event::MOST_HEARD;
use slackwater_journal::{DeviceId, Entropy, Event, HeardOf, Hlc};

use super::Fault;
use super::cbor::{Put, Reader, writer};
use super::secret::{Epoch, Kind, Secret, epoch_of};

/// Most events of a segment.
pub const EVENTS_MAX: usize = 4_096;
/// A segment that has come to so many bytes, unpacked, takes no further event: so one is at hand in
/// memory at a time, and one that was interrupted costs little.
pub const FULL: usize = 1 << 20;
/// The most that a segment unpacks to, bytes: [`FULL`] and the longest event.
pub const UNPACKED_MAX: usize = 16 << 20;

/// Consecutive events of one device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Segment {
    /// The device.
    pub device: DeviceId,
    /// The number of the first.
    pub from: u64,
    /// The hash of the event before that; zeros where there is none.
    pub prev: [u8; 32],
    /// They themselves, one or more.
    pub events: Vec<Event>,
}

impl Segment {
    /// The number of the last.
    pub fn to(&self) -> u64 {
        self.from + (self.events.len() as u64).saturating_sub(1)
    }

    /// The hash of the last.
    pub fn head(&self) -> [u8; 32] {
        self.events.last().map_or(self.prev, |e| e.hash)
    }

    /// Packs and seals it.
    ///
    /// # Errors
    /// [`Fault::TooLong`] where its events are longer than a part may be.
    pub fn seal(&self, secret: &Secret, entropy: &dyn Entropy) -> Result<Vec<u8>, Fault> {
        let mut packed = Vec::new();
        DeflateEncoder::new(&self.to_bytes()[..], Compression::default())
            .read_to_end(&mut packed)?;
        secret.seal(Kind::Segment, &packed, entropy)
    }

    /// Opens and unpacks one. Whether its events are what their device signed is for [`Segment::verify`].
    ///
    /// # Errors
    /// What of it is wrong.
    pub fn open(part: &[u8], key: impl FnOnce(&Epoch) -> Option<Secret>) -> Result<Segment, Fault> {
        let epoch = epoch_of(Kind::Segment, part)?;
        let secret = key(&epoch).ok_or(Fault::NoKey(epoch))?;
        let packed = secret.open(Kind::Segment, part)?;
        let mut bytes = Vec::new();
        let limit = UNPACKED_MAX as u64;
        DeflateDecoder::new(&packed[..])
            .take(limit + 1)
            .read_to_end(&mut bytes)?;
        if bytes.len() > UNPACKED_MAX {
            return Err(Fault::TooLong { limit });
        }
        Segment::from_bytes(&bytes)
    }

    /// Its bytes, unpacked. The signatures, which don't pack, stand together behind all else.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = writer();
        out.list(5)
            .blob(&self.device.0)
            .number(self.from)
            .blob(&self.prev)
            .list(self.events.len());
        let mut signatures = Vec::with_capacity(self.events.len() * 64);
        for e in &self.events {
            out.list(7)
                .number(e.hlc.0)
                .signed(e.wall_ms)
                .text(&e.author)
                .text(&e.subject)
                .text(&e.kind)
                .blob(&e.body);
            match &e.heard {
                None => out.nothing(),
                Some(heard) => {
                    out.list(heard.len());
                    for h in heard {
                        out.list(3).blob(&h.device.0).number(h.seq);
                        match &h.head {
                            None => out.nothing(),
                            Some(head) => out.blob(head),
                        };
                    }
                    &mut out
                }
            };
            signatures.extend_from_slice(&e.signature);
        }
        out.blob(&signatures);
        out.into_writer()
    }

    /// From its bytes, unpacked.
    ///
    /// # Errors
    /// [`Fault::Malformed`].
    pub fn from_bytes(bytes: &[u8]) -> Result<Segment, Fault> {
        let mut read = Reader::of(bytes);
        read.list_of(5)?;
        let device = DeviceId(read.fixed()?);
        let from = read.seq(1)?;
        let first = read.fixed()?;
        let count = read.list(EVENTS_MAX)?;
        if count == 0
            || from
                .checked_add(count as u64)
                .is_none_or(|to| to > i64::MAX as u64)
        {
            return Err(read.wrong("a number of events that can't be"));
        }
        let mut events = Vec::new();
        for n in 0..count {
            read.list_of(7)?;
            events.push(Event {
                device,
                seq: from + n as u64,
                hlc: Hlc(read.number()?),
                wall_ms: read.signed()?,
                author: read.text()?.to_owned(),
                subject: read.text()?.to_owned(),
                kind: read.text()?.to_owned(),
                body: read.blob()?.to_vec(),
                heard: heard(&mut read)?,
                prev: [0; 32],
                hash: [0; 32],
                signature: [0; 64],
            });
        }
        let signatures = read.blob()?;
        read.end()?;
        let (signatures, []) = signatures.as_chunks::<64>() else {
            return Err(read.wrong("signatures of another length"));
        };
        if signatures.len() != events.len() {
            return Err(read.wrong("not a signature for each event"));
        }
        let mut prev = first;
        for (event, signature) in events.iter_mut().zip(signatures) {
            event.prev = prev;
            event.signature = *signature;
            event.hash = event.compute_hash();
            prev = event.hash;
        }
        Ok(Segment {
            device,
            from,
            prev: first,
            events,
        })
    }

    /// Checks each event's signature; what follows from one another was worked out.
    ///
    /// # Errors
    /// The first event that its device did not sign so.
    pub fn verify(&self) -> Result<(), Fault> {
        (self.events.iter()).try_for_each(|e| {
            e.verify()
                .map_err(|wrong| Fault::Forged(e.reference(), wrong))
        })
    }
}

fn heard(read: &mut Reader<'_>) -> Result<Option<Vec<HeardOf>>, Fault> {
    if read.nothing()? {
        return Ok(None);
    }
    let mut heard = Vec::new();
    for _ in 0..read.list(MOST_HEARD)? {
        read.list_of(3)?;
        heard.push(HeardOf {
            device: DeviceId(read.fixed()?),
            seq: read.number()?,
            head: match read.nothing()? {
                true => None,
                false => Some(read.fixed()?),
            },
        });
    }
    Ok(Some(heard))
}

/// Makes segments of a device's events as they come, each as long as one may be.
#[derive(Debug, Default)]
pub struct Cutter {
    events: Vec<Event>,
    bytes: usize,
}

impl Cutter {
    /// One more event; a segment of those before it, where it doesn't follow them or they are enough.
    pub fn take(&mut self, event: Event) -> Option<Segment> {
        let follows = (self.events.last()).is_none_or(|last| {
            last.device == event.device && last.hash == event.prev && last.seq + 1 == event.seq
        });
        let room = self.events.len() < EVENTS_MAX && self.bytes < FULL;
        let done = if follows && room { None } else { self.end() };
        self.bytes += event.body.len() + event.subject.len() + event.author.len() + 128;
        self.bytes += event.heard.as_ref().map_or(0, |h| h.len() * 48);
        self.events.push(event);
        done
    }

    /// A segment of what is left.
    pub fn end(&mut self) -> Option<Segment> {
        self.bytes = 0;
        let events = std::mem::take(&mut self.events);
        let first = events.first()?;
        Some(Segment {
            device: first.device,
            from: first.seq,
            prev: first.prev,
            events,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::ring::tests::{Phone, phones};
    use super::*;
    use proptest::prelude::*;
    use slackwater_journal::{JournalFault, SeededEntropy};

    fn all_of(phone: &Phone) -> Vec<Event> {
        let mut events = Vec::new();
        (phone.journal)
            .each_event(|e| {
                events.push(e);
                Ok::<_, JournalFault>(())
            })
            .unwrap();
        events
    }

    fn cut(events: Vec<Event>) -> Vec<Segment> {
        let mut cutter = Cutter::default();
        let mut segments: Vec<_> = events.into_iter().filter_map(|e| cutter.take(e)).collect();
        segments.extend(cutter.end());
        segments
    }

    #[test]
    fn events_come_out_as_they_went_in() {
        let entropy = SeededEntropy::new(1);
        let secret = Secret::make(&entropy);
        let mut all = phones(2);
        let [a, b] = &mut all[..] else { panic!() };
        a.writes(5);
        b.hears(&a.journal);
        b.writes(3);
        let events = all_of(b);
        assert!(
            events
                .iter()
                .any(|e| e.heard.as_ref().is_some_and(|h| !h.is_empty()))
        );
        let segments = cut(events.clone());
        assert_eq!(segments.len(), 2);
        let mut back = Vec::new();
        for segment in segments {
            let part = segment.seal(&secret, &entropy).unwrap();
            let got = Segment::open(&part, |_| Some(secret.clone())).unwrap();
            assert_eq!(got, segment);
            got.verify().unwrap();
            back.extend(got.events);
        }
        assert_eq!(back, events);
    }

    #[test]
    fn a_changed_event_is_found_and_named() {
        let mut all = phones(1);
        all[0].writes(4);
        let segment = cut(all_of(&all[0])).remove(0);
        let mut bad = segment.clone();
        bad.events[2].body = b"{}".to_vec();
        // As whoever holds the key would write it.
        let read = Segment::from_bytes(&bad.to_bytes()).unwrap();
        let third = segment.events[2].reference();
        assert!(matches!(read.verify(), Err(Fault::Forged(e, _)) if e == third));
        let mut swapped = segment.clone();
        swapped.events.swap(1, 2);
        assert!(
            Segment::from_bytes(&swapped.to_bytes())
                .unwrap()
                .verify()
                .is_err()
        );
        let mut later = segment.clone();
        later.from = 2;
        assert!(
            Segment::from_bytes(&later.to_bytes())
                .unwrap()
                .verify()
                .is_err()
        );
        let mut other = segment.clone();
        other.device = DeviceId([3; 32]);
        assert!(
            Segment::from_bytes(&other.to_bytes())
                .unwrap()
                .verify()
                .is_err()
        );
        // An event of the version that didn't say what it had heard.
        let mut old = segment;
        old.events.iter_mut().for_each(|e| e.heard = None);
        assert_eq!(
            Segment::from_bytes(&old.to_bytes()).unwrap().events[0].heard,
            None
        );
    }

    #[test]
    fn a_segment_ends_where_it_is_full_or_the_next_does_not_follow() {
        let mut all = phones(1);
        all[0].writes(2 * EVENTS_MAX + 1);
        let lens: Vec<usize> = (cut(all_of(&all[0])).iter())
            .map(|s| s.events.len())
            .collect();
        assert_eq!(lens, [EVENTS_MAX, EVENTS_MAX, 1]);
        let mut long = phones(1);
        (0..3).for_each(|_| long[0].writes_long(FULL));
        assert_eq!(cut(all_of(&long[0])).len(), 3);
        let mut gap = all_of(&all[0]);
        gap.remove(1);
        assert_eq!(cut(gap)[0].events.len(), 1);
    }

    #[test]
    fn what_unpacks_to_too_much_is_refused() {
        let entropy = SeededEntropy::new(1);
        let secret = Secret::make(&entropy);
        let mut packed = Vec::new();
        let zeros = std::io::repeat(0).take(100 << 20);
        DeflateEncoder::new(zeros, Compression::best())
            .read_to_end(&mut packed)
            .unwrap();
        let part = secret.seal(Kind::Segment, &packed, &entropy).unwrap();
        let got = Segment::open(&part, |_| Some(secret.clone()));
        assert!(matches!(got, Err(Fault::TooLong { .. })));
    }

    proptest! {
        #[test]
        fn whatever_is_unpacked_is_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
            let _ = Segment::from_bytes(&bytes);
        }

        #[test]
        fn a_spoiled_segment_never_verifies(at in 0usize..2_000, with in 1u8..=255) {
            let mut all = phones(1);
            all[0].writes(3);
            let good = cut(all_of(&all[0])).remove(0);
            let mut bytes = good.to_bytes();
            let at = at % bytes.len();
            bytes[at] ^= with;
            if let Ok(read) = Segment::from_bytes(&bytes) {
                prop_assert!(read.verify().is_err() || read == good);
            }
        }
    }
}
