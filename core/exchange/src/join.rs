//! The code by which a phone joins a crew: shown by one, read by the other, in person.
//!
//! It holds the crew's key and a key made for this one word, so whoever reads it over a shoulder has both:
//! where two devices say to have read it, neither is of the crew by it, and where it was taken back unread the
//! crew's key is fit no more. It is letters and digits, so that a QR code of it is small (ISO/IEC 18004,
//! alphanumeric mode) and a message carries it.

use data_encoding::BASE32_NOPAD;
use slackwater_journal::identity::{public_of, sign_with};
use slackwater_journal::{DeviceId, Entropy};

use super::Secret;

const BEGINS: &str = "SLACKWATER:JOIN1:";
const BEGINS_ANY: &str = "SLACKWATER:JOIN";
const CHECK: &str = "slackwater exchange code to join by, version 1";
const BYTES: usize = 32 + 32 + 32 + 8 + 8;

/// What the code says.
#[derive(Clone, PartialEq, Eq)]
pub struct Code {
    /// The phone that shows it.
    pub device: DeviceId,
    /// The crew's key.
    pub secret: Secret,
    /// How many keys the crew had before it.
    pub generation: u64,
    /// The secret half of the key made for this word.
    pub seed: [u8; 32],
    /// Until when it is to be read, ms since 1970 UTC, by the clock of the phone that shows it.
    pub until_ms: i64,
}

impl std::fmt::Debug for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Code of {:?}", self.device)
    }
}

/// Why a text is no such code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoCode {
    /// It is something else.
    #[error("this is no code to join a crew by")]
    Other,
    /// A newer program made it.
    #[error("a newer version made this code")]
    Newer,
    /// A letter of it is missing or another.
    #[error("a letter of the code is missing or wrong")]
    Mistyped,
}

impl Code {
    /// A code with a key of its own.
    pub fn make(
        device: DeviceId,
        secret: Secret,
        generation: u64,
        until_ms: i64,
        entropy: &dyn Entropy,
    ) -> Code {
        let mut seed = [0; 32];
        entropy.fill(&mut seed);
        Code {
            device,
            secret,
            generation,
            seed,
            until_ms,
        }
    }

    /// The public half of its key, by which it is spoken of.
    pub fn key(&self) -> [u8; 32] {
        public_of(&self.seed)
    }

    /// A word under a context, signed by its key.
    pub fn sign(&self, context: &str, bytes: &[u8]) -> [u8; 64] {
        sign_with(&self.seed, context, bytes)
    }

    /// Its written form: 205 letters, digits and colons.
    pub fn to_text(&self) -> String {
        let mut bytes = Vec::with_capacity(BYTES + 5);
        bytes.extend_from_slice(&self.device.0);
        bytes.extend_from_slice(self.secret.bytes());
        bytes.extend_from_slice(&self.seed);
        bytes.extend_from_slice(&self.generation.to_le_bytes());
        bytes.extend_from_slice(&self.until_ms.to_le_bytes());
        let check = blake3::derive_key(CHECK, &bytes);
        bytes.extend_from_slice(&check[..5]);
        format!("{BEGINS}{}", BASE32_NOPAD.encode(&bytes))
    }

    /// From its written form; blanks, and small letters for capitals, are what messages make of it.
    ///
    /// # Errors
    /// [`NoCode`].
    pub fn from_text(text: &str) -> Result<Code, NoCode> {
        let text: String = text
            .chars()
            .filter(|c| !c.is_whitespace())
            .take(1_000)
            .collect();
        let text = text.to_ascii_uppercase();
        let Some(code) = text.strip_prefix(BEGINS) else {
            return Err(match text.starts_with(BEGINS_ANY) {
                true => NoCode::Newer,
                false => NoCode::Other,
            });
        };
        let bytes = BASE32_NOPAD
            .decode(code.as_bytes())
            .map_err(|_| NoCode::Mistyped)?;
        Code::from_bytes(&bytes).ok_or(NoCode::Mistyped)
    }

    fn from_bytes(bytes: &[u8]) -> Option<Code> {
        let (bytes, check) = bytes.split_at_checked(BYTES)?;
        if *check != blake3::derive_key(CHECK, bytes)[..5] {
            return None;
        }
        let (device, rest) = bytes.split_first_chunk::<32>()?;
        let (secret, rest) = rest.split_first_chunk::<32>()?;
        let (seed, rest) = rest.split_first_chunk::<32>()?;
        let (generation, rest) = rest.split_first_chunk::<8>()?;
        Some(Code {
            device: DeviceId(*device),
            secret: Secret::from_bytes(*secret),
            generation: u64::from_le_bytes(*generation),
            seed: *seed,
            until_ms: i64::from_le_bytes(rest.try_into().ok()?),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use slackwater_journal::SeededEntropy;

    fn code() -> Code {
        let entropy = SeededEntropy::new(4);
        let secret = Secret::make(&entropy);
        Code::make(DeviceId([7; 32]), secret, 3, 1_700_000_000_000, &entropy)
    }

    #[test]
    fn a_code_reads_back_also_as_a_message_leaves_it() {
        let text = code().to_text();
        assert_eq!(text.len(), 205);
        assert!(
            text.bytes()
                .all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b':')
        );
        assert_eq!(Code::from_text(&text), Ok(code()));
        let mangled = format!(" {}\n{} ", &text[..60].to_ascii_lowercase(), &text[60..]);
        assert_eq!(Code::from_text(&mangled), Ok(code()));
        assert_eq!(Code::from_text("hello"), Err(NoCode::Other));
        assert_eq!(Code::from_text("SLACKWATER:JOIN2:AAAA"), Err(NoCode::Newer));
        assert_eq!(Code::from_text(&text[..100]), Err(NoCode::Mistyped));
        assert!(!format!("{:?}", code()).contains("secret"));
    }

    proptest! {
        #[test]
        fn a_wrong_letter_is_found(at in 17usize..205, with in "[A-Z2-7]") {
            let text = code().to_text();
            let mut wrong = text.clone();
            wrong.replace_range(at..=at, &with);
            // The last letter has bits that say nothing, which the reader wants to be zeros.
            let read = Code::from_text(&wrong);
            prop_assert_eq!(read.is_ok(), wrong == text);
        }

        #[test]
        fn whatever_is_typed_is_read_or_refused(text in ".*") {
            let _ = Code::from_text(&text);
            let _ = Code::from_text(&format!("{BEGINS}{text}"));
        }
    }
}
