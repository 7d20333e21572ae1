//! What can go wrong with the journal's file.

use std::path::{Path, PathBuf};

/// Why the journal could not be opened, read or written. A caller acts differently on each.
#[derive(Debug, thiserror::Error)]
pub enum JournalFault {
    /// Another process holds the file: close it there.
    #[error("another program has {path} open")]
    Busy {
        /// The lock file.
        path: PathBuf,
    },
    /// The file was written by a newer program: update this one. Nothing was touched.
    #[error(
        "{path} was written by a newer version (file version {found}, this program knows {known})"
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version.
        found: i64,
        /// The newest version that this program knows.
        known: i64,
    },
    /// The folder or file can't be written.
    #[error("{path} can't be written: {why}")]
    NotWritable {
        /// The file or folder.
        path: PathBuf,
        /// Why not.
        why: Unwritable,
    },
    /// The disk is full. What was acknowledged before is safe; this was not recorded.
    #[error("the storage is full; nothing was recorded")]
    Full,
    /// The file is damaged where it was read or written.
    #[error("{path} is damaged: {why}")]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was found.
        why: Damage,
    },
    /// Anything else that SQLite or the system said.
    #[error("{doing}: {source}")]
    Sqlite {
        /// What was being done.
        doing: &'static str,
        /// What was said.
        source: rusqlite::Error,
    },
}

/// Why a file or folder can't be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unwritable {
    /// Somebody took it away, or put another in its place.
    #[error("it was taken away or replaced while it was open")]
    Replaced,
    /// What the system or SQLite said.
    #[error("{0}")]
    Said(String),
}

/// What was found of a file that is damaged.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Damage {
    /// It has no bytes.
    #[error("the file is empty")]
    Empty,
    /// Shorter than any database.
    #[error("{0} bytes are no database")]
    NoDatabase(u64),
    /// Shorter than it says it is.
    #[error("{here} bytes of {wanted} are there")]
    Cut {
        /// Bytes that are there.
        here: u64,
        /// Bytes that should be.
        wanted: u64,
    },
    /// No key.
    #[error("{0} bytes that are no key")]
    NoKey(u64),
    /// What SQLite, or a check of the events, said.
    #[error("{0}")]
    Said(String),
}

impl Damage {
    /// From its own words, as they stand in the note beside a file that was set aside.
    pub fn read(text: &str) -> Damage {
        let number = |start: &str, end: &str| -> Option<u64> {
            let digits = text.strip_prefix(start)?.strip_suffix(end)?;
            digits.parse().ok()
        };
        let cut = || {
            let (here, wanted) = text.split_once(" bytes of ")?;
            let (here, wanted) = (here.parse().ok()?, wanted.strip_suffix(" are there")?);
            let wanted = wanted.parse().ok()?;
            Some(Damage::Cut { here, wanted })
        };
        let known = match text {
            "the file is empty" => Some(Damage::Empty),
            _ => number("", " bytes are no database").map(Damage::NoDatabase),
        };
        known
            .or_else(|| number("", " bytes that are no key").map(Damage::NoKey))
            .or_else(cut)
            .unwrap_or_else(|| Damage::Said(text.to_owned()))
    }
}

impl JournalFault {
    /// Sorts what SQLite says. 'Damaged' is narrow on purpose: only what SQLite itself calls a
    /// corrupt file or not a database. A wrong guess would set good data aside.
    pub fn from_sqlite(doing: &'static str, path: &Path, source: rusqlite::Error) -> JournalFault {
        use rusqlite::ErrorCode as C;
        match source.sqlite_error_code() {
            Some(C::DiskFull) => JournalFault::Full,
            Some(C::DatabaseCorrupt | C::NotADatabase) => JournalFault::Damaged {
                path: path.to_owned(),
                why: Damage::Said(source.to_string()),
            },
            Some(C::ReadOnly | C::CannotOpen | C::PermissionDenied) => JournalFault::NotWritable {
                path: path.to_owned(),
                why: Unwritable::Said(source.to_string()),
            },
            Some(C::DatabaseBusy | C::DatabaseLocked) => JournalFault::Busy {
                path: path.to_owned(),
            },
            _ => JournalFault::Sqlite { doing, source },
        }
    }

    /// Sorts what the system says.
    pub fn from_io(path: &Path, source: &std::io::Error) -> JournalFault {
        match source.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
                JournalFault::Full
            }
            _ => JournalFault::NotWritable {
                path: path.to_owned(),
                why: Unwritable::Said(source.to_string()),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn damage_is_read_back_from_its_own_words() {
        for damage in [
            Damage::Empty,
            Damage::NoDatabase(99),
            Damage::Cut {
                here: 8_192,
                wanted: 40_960,
            },
            Damage::NoKey(31),
            Damage::Said("database disk image is malformed".into()),
            Damage::Said("x bytes of 3 are there".into()),
            Damage::Said(String::new()),
        ] {
            assert_eq!(Damage::read(&damage.to_string()), damage);
        }
    }
}
