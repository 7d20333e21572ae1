//! This device's key, for what is signed or opened with it beside events.

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

use super::ids::DeviceId;

/// What this device's key can do for others: it never leaves the journal by another door.
///
/// One key signs (Ed25519, RFC 8032) and agrees (X25519, RFC 7748, by the map between the two curves), so
/// that whoever knows a device can both check what it wrote and write what only it can read. That the two
/// uses don't weaken each other: Thormarker, *On using the same key pair for Ed25519 and an X25519 based
/// KEM*, IACR ePrint 2021/509, which covers the KEM of RFC 9180.
pub struct Identity<'a> {
    pub(super) key: &'a SigningKey,
}

impl Identity<'_> {
    /// The device.
    pub fn device(&self) -> DeviceId {
        DeviceId(self.key.verifying_key().to_bytes())
    }

    /// Signs the hash of `bytes` under a context, a constant of the program that no other use has: so
    /// nothing that is signed here can be taken for an event, nor the other way round.
    pub fn sign(&self, context: &str, bytes: &[u8]) -> [u8; 64] {
        self.key.sign(&signed_hash(context, bytes)).to_bytes()
    }

    /// The secret of its X25519 key, 32 bytes as RFC 7748 takes them.
    pub fn agreement_secret(&self) -> [u8; 32] {
        self.key.to_scalar_bytes()
    }
}

/// Signs under a context with a key that is no device's: one that was made for a single word.
pub fn sign_with(seed: &[u8; 32], context: &str, bytes: &[u8]) -> [u8; 64] {
    let key = SigningKey::from_bytes(seed);
    Identity { key: &key }.sign(context, bytes)
}

/// The public half of such a key.
pub fn public_of(seed: &[u8; 32]) -> [u8; 32] {
    SigningKey::from_bytes(seed).verifying_key().to_bytes()
}

/// What is signed of `bytes` under a context: BLAKE3 in derive-key mode.
fn signed_hash(context: &str, bytes: &[u8]) -> [u8; 32] {
    *blake3::Hasher::new_derive_key(context)
        .update(bytes)
        .finalize()
        .as_bytes()
}

/// Whether a device signed `bytes` under a context ([`Identity::sign`]).
pub fn is_signed(device: &DeviceId, context: &str, bytes: &[u8], signature: &[u8; 64]) -> bool {
    let hash = signed_hash(context, bytes);
    VerifyingKey::from_bytes(&device.0).is_ok_and(|key| {
        key.verify_strict(&hash, &Signature::from_bytes(signature))
            .is_ok()
    })
}

/// A device's X25519 public key, by the map from its Ed25519 key (RFC 7748, 4.1); none where the id is no
/// point of the curve.
pub fn agreement_key(device: &DeviceId) -> Option<[u8; 32]> {
    let key = VerifyingKey::from_bytes(&device.0).ok()?;
    (!key.is_weak()).then(|| key.to_montgomery().to_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_signed_under_one_context_is_nothing_under_another() {
        let key = SigningKey::from_bytes(&[7; 32]);
        let me = Identity { key: &key };
        let signature = me.sign("one", b"words");
        assert!(is_signed(&me.device(), "one", b"words", &signature));
        assert!(!is_signed(&me.device(), "two", b"words", &signature));
        assert!(!is_signed(&me.device(), "one", b"word", &signature));
        let other = SigningKey::from_bytes(&[8; 32]).verifying_key().to_bytes();
        assert!(!is_signed(&DeviceId(other), "one", b"words", &signature));
    }

    #[test]
    fn both_keys_are_of_one_device() {
        let key = SigningKey::from_bytes(&[7; 32]);
        let me = Identity { key: &key };
        let public = curve25519_dalek::MontgomeryPoint::mul_base_clamped(me.agreement_secret());
        assert_eq!(agreement_key(&me.device()), Some(public.to_bytes()));
        // Neutral element and what is on no curve.
        let mut one = [0; 32];
        one[0] = 1;
        assert_eq!(agreement_key(&DeviceId(one)), None);
        assert_eq!(agreement_key(&DeviceId([2; 32])), None);
    }
}
