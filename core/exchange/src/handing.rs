//! The crew's key sealed to devices (HPKE, RFC 9180), and which key to seal with.
//!
//! There is no key server and no ceremony: a phone that is about to seal something looks for a key that
//! nobody holds but phones that count. Where it has none, since one that held it was dismissed, it makes a
//! new one; where one that counts lacks it, it is handed to that one. So a key is changed by whoever first
//! hears of a dismissal, two that do so apart agree as soon as they meet, and no word crosses another's.
//!
//! Weighed against it: OpenMLS (RFC 9420) gives each message a key of its own, so that a key taken later
//! opens nothing older, and wants for that one order of all changes of the group, which phones that don't
//! meet for days can't give; p2panda's encryption crate does without that order, with some thousand lines
//! of group state that must not be lost with a phone's database, and is younger than the rest of this
//! program. What a key of a crew's size does not protect: whoever takes a phone with its keys reads
//! everything that was sealed while it was of the crew, and what others seal until they hear that it is
//! not; which device handed a key to how many is seen from outside, not to whom.

use std::collections::BTreeSet;

use hpke::aead::ChaCha20Poly1305;
use hpke::kdf::HkdfSha256;
use hpke::kem::X25519HkdfSha256;
use hpke::rand_core::{TryCryptoRng, TryRng};
use hpke::{Deserializable, Kem, OpModeR, OpModeS, Serializable};
use slackwater_journal::identity::{agreement_key, is_signed};
use slackwater_journal::{DeviceId, Entropy, Identity};

use super::Fault;
use super::cbor::{Put, Reader, writer};
use super::secret::{Epoch, HEAD, Kind, Secret, decrypt, encrypt, epoch_of};

type Agreement = X25519HkdfSha256;

/// Most devices that one handing is for.
pub const DEVICES_MAX: usize = 200;
const ENC: usize = 32;
const SLOT: usize = ENC + 32 + 16;
const INFO: &[u8] = b"slackwater exchange, a crew's key for one device, version 1";
const SIGNED: &str = "slackwater exchange handing of a key, signature, version 1";
const SEALED: &str = "slackwater exchange handing of a key, who, version 1";

/// A key, handed to devices.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handing {
    /// The key.
    pub secret: Secret,
    /// Who made it out.
    pub maker: DeviceId,
    /// How many keys the crew had before it, as far as its maker knew.
    pub generation: u64,
    /// For whom.
    pub devices: BTreeSet<DeviceId>,
}

/// The program's randomness, as the library asks for it.
struct Random<'a>(&'a dyn Entropy);

impl TryRng for Random<'_> {
    type Error = std::convert::Infallible;
    fn try_next_u32(&mut self) -> Result<u32, Self::Error> {
        let mut b = [0; 4];
        self.0.fill(&mut b);
        Ok(u32::from_le_bytes(b))
    }
    fn try_next_u64(&mut self) -> Result<u64, Self::Error> {
        let mut b = [0; 8];
        self.0.fill(&mut b);
        Ok(u64::from_le_bytes(b))
    }
    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Self::Error> {
        self.0.fill(bytes);
        Ok(())
    }
}

impl TryCryptoRng for Random<'_> {}

/// A secret sealed to one device; none where its id is no key.
pub(crate) fn seal_to(
    device: &DeviceId,
    secret: &Secret,
    entropy: &dyn Entropy,
) -> Option<Vec<u8>> {
    let public = <Agreement as Kem>::PublicKey::from_bytes(&agreement_key(device)?).ok()?;
    let (enc, sealed) = hpke::single_shot_seal_with_rng::<ChaCha20Poly1305, HkdfSha256, Agreement>(
        &OpModeS::Base,
        &public,
        INFO,
        secret.bytes(),
        &secret.epoch().0,
        &mut Random(entropy),
    )
    .ok()?;
    Some([&enc.to_bytes()[..], &sealed].concat())
}

/// The secret in a slot, if it is for this device.
pub(crate) fn open_slot(me: &Identity<'_>, epoch: &Epoch, slot: &[u8]) -> Option<Secret> {
    let (enc, sealed) = slot.split_at_checked(ENC)?;
    let private = <Agreement as Kem>::PrivateKey::from_bytes(&me.agreement_secret()).ok()?;
    let enc = <Agreement as Kem>::EncappedKey::from_bytes(enc).ok()?;
    let plain = hpke::single_shot_open::<ChaCha20Poly1305, HkdfSha256, Agreement>(
        &OpModeR::Base,
        &private,
        &enc,
        INFO,
        sealed,
        &epoch.0,
    )
    .ok()?;
    let secret = Secret::from_bytes(plain.try_into().ok()?);
    (secret.epoch() == *epoch).then_some(secret)
}

impl Handing {
    /// Hands a key to devices: a part that anybody may carry. Devices whose id is no key get none.
    ///
    /// # Errors
    /// [`Fault::TooLong`] for more than [`DEVICES_MAX`] devices.
    pub fn make(
        me: &Identity<'_>,
        secret: &Secret,
        generation: u64,
        devices: &BTreeSet<DeviceId>,
        entropy: &dyn Entropy,
    ) -> Result<Vec<u8>, Fault> {
        if devices.len() > DEVICES_MAX {
            return Err(Fault::TooLong {
                limit: DEVICES_MAX as u64,
            });
        }
        let slots: Vec<(DeviceId, Vec<u8>)> = devices
            .iter()
            .filter_map(|d| Some((*d, seal_to(d, secret, entropy)?)))
            .collect();
        let mut nonce = [0; 24];
        entropy.fill(&mut nonce);
        let mut part = Vec::new();
        part.extend_from_slice(&Kind::Handing.magic());
        part.extend_from_slice(&secret.epoch().0);
        part.extend_from_slice(&nonce);
        part.extend_from_slice(&(slots.len() as u16).to_le_bytes());
        slots
            .iter()
            .for_each(|(_, slot)| part.extend_from_slice(slot));
        let mut who = writer();
        who.list(3)
            .blob(&me.device().0)
            .number(generation)
            .list(slots.len());
        slots.iter().for_each(|(device, _)| {
            who.blob(&device.0);
        });
        let who = who.into_writer();
        let signature = me.sign(SIGNED, &[&part[..], &who].concat());
        let plain = [&who[..], &signature].concat();
        let sealed = encrypt(&secret.derive(SEALED), &nonce, &plain, &part);
        part.extend_from_slice(&sealed.ok_or(Fault::TooLong {
            limit: DEVICES_MAX as u64,
        })?);
        Ok(part)
    }

    /// Reads a handing: with a slot for this device, or with the key where it is known already.
    ///
    /// # Errors
    /// [`Fault::NoKey`] where it is for others; [`Fault::Changed`], [`Fault::NotSigned`],
    /// [`Fault::Malformed`], and what [`epoch_of`] says.
    pub fn open(part: &[u8], me: &Identity<'_>, known: Option<&Secret>) -> Result<Handing, Fault> {
        let epoch = epoch_of(Kind::Handing, part)?;
        let cut = || Fault::Cut {
            here: part.len() as u64,
        };
        let count = part.get(HEAD..).and_then(<[u8]>::first_chunk::<2>);
        let count = usize::from(u16::from_le_bytes(*count.ok_or_else(cut)?));
        if count > DEVICES_MAX {
            return Err(Fault::Malformed {
                what: "more devices than any crew has",
                at: HEAD,
            });
        }
        let open = HEAD + 2 + count * SLOT;
        let (clear, sealed) = part.split_at_checked(open).ok_or_else(cut)?;
        let slots = clear.get(HEAD + 2..).unwrap_or_default().chunks_exact(SLOT);
        let secret = match known.filter(|s| s.epoch() == epoch) {
            Some(secret) => secret.clone(),
            None => { slots }
                .find_map(|slot| open_slot(me, &epoch, slot))
                .ok_or(Fault::NoKey(epoch))?,
        };
        let nonce = part.get(HEAD - 24..HEAD).unwrap_or_default();
        let plain = decrypt(&secret.derive(SEALED), nonce, sealed, clear).ok_or(Fault::Changed)?;
        let (who, signature) = plain.split_last_chunk::<64>().ok_or_else(cut)?;
        let mut read = Reader::of(who);
        read.list_of(3)?;
        let maker = DeviceId(read.fixed()?);
        let generation = read.number()?;
        let mut devices = BTreeSet::new();
        for _ in 0..read.list(DEVICES_MAX)? {
            devices.insert(DeviceId(read.fixed()?));
        }
        read.end()?;
        if !is_signed(&maker, SIGNED, &[clear, who].concat(), signature) {
            return Err(Fault::NotSigned);
        }
        // Who is named has a slot, and nobody has one unnamed.
        if devices.len() != count {
            return Err(read.wrong("not as many devices as it is for"));
        }
        Ok(Handing {
            secret,
            maker,
            generation,
            devices,
        })
    }
}

/// Who holds a key, as far as it was told by phones that count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// The key.
    pub secret: Secret,
    /// How many keys the crew had before it.
    pub generation: u64,
    /// Who holds it.
    pub holders: BTreeSet<DeviceId>,
}

/// The key to seal with: the newest that nobody holds but phones that count.
pub fn fit<'a>(
    held: impl IntoIterator<Item = &'a Held>,
    count: &BTreeSet<DeviceId>,
) -> Option<&'a Held> {
    held.into_iter()
        .filter(|h| h.holders.is_subset(count))
        .max_by_key(|h| (h.generation, h.secret.epoch()))
}

#[cfg(test)]
mod tests {
    use super::super::ring::tests::{Phone, phones};
    use super::*;
    use slackwater_journal::SeededEntropy;

    fn ids(phones: &[Phone]) -> BTreeSet<DeviceId> {
        phones.iter().map(|p| p.journal.device()).collect()
    }

    #[test]
    fn a_key_is_handed_to_whom_it_is_for_and_nobody_else_reads_it() {
        let entropy = SeededEntropy::new(3);
        let all = phones(4);
        let secret = Secret::make(&entropy);
        let to = ids(&all[..3]);
        let me = all[0].journal.identity();
        let part = Handing::make(&me, &secret, 7, &to, &entropy).unwrap();
        for phone in &all[..3] {
            let got = Handing::open(&part, &phone.journal.identity(), None).unwrap();
            assert_eq!(
                (&got.secret, got.maker, got.generation),
                (&secret, me.device(), 7)
            );
            assert_eq!(got.devices, to);
        }
        let stranger = all[3].journal.identity();
        assert!(matches!(
            Handing::open(&part, &stranger, None),
            Err(Fault::NoKey(_))
        ));
        // Who was told the key otherwise reads whom else it is for.
        assert_eq!(
            Handing::open(&part, &stranger, Some(&secret))
                .unwrap()
                .devices,
            to
        );
        // No device stands in it for anybody to read.
        for id in &to {
            assert!(!part.windows(32).any(|w| w == id.0));
        }
        for at in 0..part.len() {
            let mut bad = part.clone();
            bad[at] ^= 0x10;
            // A slot of another phone may be spoiled; then what is signed is, too.
            assert!(
                Handing::open(&bad, &all[1].journal.identity(), None).is_err(),
                "byte {at}"
            );
        }
        for to in 0..part.len() {
            assert!(Handing::open(&part[..to], &me, None).is_err(), "{to} bytes");
        }
    }

    #[test]
    fn whoever_holds_a_key_can_hand_it_on_in_no_other_name() {
        let entropy = SeededEntropy::new(3);
        let all = phones(2);
        let secret = Secret::make(&entropy);
        let to = ids(&all);
        let (a, b) = (all[0].journal.identity(), all[1].journal.identity());
        let part = Handing::make(&a, &secret, 1, &to, &entropy).unwrap();
        let open = part.len() - (1 + 34 + 1 + 1 + 2 * 34 + 64 + 16);
        let nonce: [u8; 24] = part[HEAD - 24..HEAD].try_into().unwrap();
        let clear = part[..open].to_vec();
        let mut who = decrypt(&secret.derive(SEALED), &nonce, &part[open..], &clear).unwrap();
        // The other's name in place of the maker's.
        who[3..35].copy_from_slice(&b.device().0);
        let mut forged = clear.clone();
        forged.extend(encrypt(&secret.derive(SEALED), &nonce, &who, &clear).unwrap());
        assert!(matches!(
            Handing::open(&forged, &a, None),
            Err(Fault::NotSigned)
        ));
    }

    #[test]
    fn a_key_is_fit_while_all_who_hold_it_count() {
        let entropy = SeededEntropy::new(3);
        let [a, b, c] = [1, 2, 3].map(|n| DeviceId([n; 32]));
        let held = |generation, holders: &[DeviceId]| Held {
            secret: Secret::make(&entropy),
            generation,
            holders: holders.iter().copied().collect(),
        };
        let keys = [held(1, &[a, b]), held(2, &[a, b, c]), held(2, &[a])];
        let with = |count: &[DeviceId]| {
            let count = count.iter().copied().collect();
            fit(&keys, &count).map(|h| h.generation)
        };
        assert_eq!(with(&[a, b, c]), Some(2));
        assert_eq!(fit(&keys, &BTreeSet::from([a, b])), Some(&keys[2]));
        assert_eq!(with(&[b]), None);
        let two = [held(5, &[a]), held(5, &[a])];
        let first = fit(&two, &BTreeSet::from([a])).cloned();
        assert_eq!(first.as_ref(), fit(two.iter().rev(), &BTreeSet::from([a])));
    }
}
