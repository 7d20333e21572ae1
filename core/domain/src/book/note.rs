//! The notes that the book keeps on this device: no evidence, never shared. The screens have their own.

use slackwater_journal::DeviceId;
use std::fmt;

/// What a note is of. As text it is the key in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Note<'a> {
    /// Who holds the phone.
    Me,
    /// When what was written here was first looked at.
    FirstLooks,
    /// The latest time seen.
    Latest,
    /// How often a member's code was tried.
    Tries(&'a str),
    /// How far somebody here had looked at what a device wrote.
    LookedAt(&'a DeviceId),
}

impl fmt::Display for Note<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Me => f.write_str("me"),
            Self::FirstLooks => f.write_str("first_looks"),
            Self::Latest => f.write_str("latest_seen"),
            Self::Tries(member) => write!(f, "tries/{member}"),
            Self::LookedAt(device) => write!(f, "phone looked at {device}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_kept_under_the_key_that_files_have() {
        let device = DeviceId([0xab; 32]);
        for (note, key) in [
            (Note::Me, "me"),
            (Note::FirstLooks, "first_looks"),
            (Note::Latest, "latest_seen"),
            (Note::Tries("anna"), "tries/anna"),
            (
                Note::LookedAt(&device),
                &format!("phone looked at {}", "ab".repeat(32)),
            ),
        ] {
            assert_eq!(note.to_string(), key);
        }
    }
}
