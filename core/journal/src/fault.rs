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
        /// What the system said.
        why: String,
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
        why: String,
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

impl JournalFault {
    /// Sorts what SQLite says. 'Damaged' is narrow on purpose: only what SQLite itself calls a
    /// corrupt file or not a database. A wrong guess would set good data aside.
    pub fn from_sqlite(doing: &'static str, path: &Path, source: rusqlite::Error) -> JournalFault {
        use rusqlite::ErrorCode as C;
        match source.sqlite_error_code() {
            Some(C::DiskFull) => JournalFault::Full,
            Some(C::DatabaseCorrupt | C::NotADatabase) => JournalFault::Damaged {
                path: path.to_owned(),
                why: source.to_string(),
            },
            Some(C::ReadOnly | C::CannotOpen | C::PermissionDenied) => JournalFault::NotWritable {
                path: path.to_owned(),
                why: source.to_string(),
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
                why: source.to_string(),
            },
        }
    }
}
