//! The file's migrations: the journal's tables first, then the tables that the fold keeps.
//!
//! Forward only. A migration that has shipped is never edited; a new one is added at the end.

use once_cell::sync::Lazy;
use rusqlite_migration::{M, Migrations};

use super::admission::{self, SCHEMA_ADMISSION, SCHEMA_INVITATION};
use super::fold;
use slackwater_exchange::ring::SCHEMA_RING;
use slackwater_journal::counted::SCHEMA_COUNTED;
use slackwater_journal::heard::{SCHEMA_HEADS, SCHEMA_HEARD};
use slackwater_journal::store::SCHEMA_1;
use slackwater_journal::witness::{SCHEMA_FORK, SCHEMA_LOST};

/// The newest file version that this program knows.
pub const VERSION: i64 = 11;

/// Tables of the fold. `stamp` columns are [`slackwater_journal::Stamp`] bytes and sort as such.
///
/// `mark` is the heart: the newest fact of a kind about a thing, and nothing older. Since what is newest
/// doesn't depend on the order of arrival, the fold comes out the same on every device.
///
/// `stock` keeps what went in and out of the crew's box as differences: two phones that each took a
/// ring took two. A count stands for all that came before it.
///
/// Tables whose rows may be large (a prep carries its steps, tens of kilobytes) have rowids: in one
/// without, every comparison of a search reads the whole row, pages and all.
const STATE_2: &str = "
CREATE TABLE mark (
    rig     TEXT NOT NULL,
    subject TEXT NOT NULL,
    key     TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    wall_ms INTEGER NOT NULL,
    author  TEXT NOT NULL,
    value   TEXT NOT NULL,
    PRIMARY KEY (rig, subject, key)
) WITHOUT ROWID, STRICT;
CREATE TABLE rig (
    id      TEXT PRIMARY KEY NOT NULL,
    name    TEXT NOT NULL,
    def     TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    made_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE opening (
    rig       TEXT NOT NULL,
    enclosure TEXT NOT NULL,
    stamp     BLOB NOT NULL,
    closure   TEXT,
    PRIMARY KEY (rig, enclosure, stamp)
) WITHOUT ROWID, STRICT;
CREATE INDEX opening_by_closure ON opening (rig, enclosure, closure, stamp);
CREATE TABLE hold (
    id           TEXT PRIMARY KEY NOT NULL,
    rig          TEXT NOT NULL,
    enclosure    TEXT NOT NULL,
    started      BLOB NOT NULL,
    started_ms   INTEGER NOT NULL,
    author       TEXT NOT NULL,
    setup        TEXT NOT NULL,
    concluded    BLOB,
    concluded_ms INTEGER,
    result       TEXT,
    leaking      INTEGER NOT NULL DEFAULT 0,
    abandoned    BLOB,
    reason       TEXT
) STRICT;
CREATE INDEX hold_leaking ON hold (rig, enclosure, concluded) WHERE leaking;
CREATE INDEX hold_by_enclosure ON hold (rig, enclosure, started);
CREATE TABLE reading (
    hold    TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    event   TEXT NOT NULL,
    author  TEXT NOT NULL,
    wall_ms INTEGER NOT NULL,
    body    TEXT NOT NULL,
    PRIMARY KEY (hold, stamp)
) WITHOUT ROWID, STRICT;
CREATE TABLE reading_aside (
    hold  TEXT NOT NULL,
    event TEXT NOT NULL,
    PRIMARY KEY (hold, event)
) WITHOUT ROWID, STRICT;
CREATE TABLE prep (
    id         TEXT PRIMARY KEY NOT NULL,
    rig        TEXT NOT NULL,
    procedure  TEXT NOT NULL,
    title      TEXT NOT NULL,
    kind       TEXT NOT NULL,
    steps      TEXT NOT NULL,
    started    BLOB NOT NULL,
    started_ms INTEGER NOT NULL,
    author     TEXT NOT NULL
) STRICT;
CREATE INDEX prep_by_rig ON prep (rig, started);
CREATE TABLE defect (
    id        TEXT PRIMARY KEY NOT NULL,
    rig       TEXT NOT NULL,
    at        TEXT NOT NULL,
    blocks    INTEGER NOT NULL,
    water     INTEGER NOT NULL,
    text      TEXT NOT NULL,
    opened    BLOB NOT NULL,
    opened_ms INTEGER NOT NULL,
    author    TEXT NOT NULL,
    closed    BLOB,
    closed_ms INTEGER,
    how       TEXT
) STRICT;
CREATE INDEX defect_open ON defect (rig) WHERE closed IS NULL;
CREATE TABLE member (
    id    TEXT PRIMARY KEY,
    name  TEXT NOT NULL,
    role  TEXT NOT NULL,
    stamp BLOB NOT NULL
) WITHOUT ROWID, STRICT;
CREATE TABLE choice (
    choice TEXT PRIMARY KEY,
    value  TEXT NOT NULL,
    stamp  BLOB NOT NULL
) WITHOUT ROWID, STRICT;
CREATE TABLE procedure (
    id     TEXT PRIMARY KEY NOT NULL,
    source TEXT NOT NULL,
    stamp  BLOB NOT NULL
) STRICT;
CREATE TABLE photo (
    rig     TEXT NOT NULL,
    subject TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    photo   TEXT NOT NULL,
    note    TEXT NOT NULL,
    wall_ms INTEGER NOT NULL,
    author  TEXT NOT NULL,
    PRIMARY KEY (rig, subject, stamp)
) WITHOUT ROWID, STRICT;
CREATE INDEX photo_by_file ON photo (photo);
CREATE TABLE dive (
    rig     TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    wall_ms INTEGER NOT NULL,
    depth_m REAL NOT NULL,
    minutes REAL NOT NULL,
    note    TEXT NOT NULL,
    salt    INTEGER NOT NULL,
    PRIMARY KEY (rig, stamp)
) WITHOUT ROWID, STRICT;
CREATE TABLE stock (
    lot     TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    delta   INTEGER NOT NULL,
    counted INTEGER,
    PRIMARY KEY (lot, stamp)
) WITHOUT ROWID, STRICT;
CREATE TABLE seen_in_water (
    rig     TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    event   TEXT NOT NULL,
    wall_ms INTEGER NOT NULL,
    author  TEXT NOT NULL,
    body    TEXT NOT NULL,
    PRIMARY KEY (rig, stamp)
) WITHOUT ROWID, STRICT;
CREATE TABLE retracted (event TEXT PRIMARY KEY) WITHOUT ROWID, STRICT;
CREATE TABLE local (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID, STRICT;
";

/// `unread` names the events that the program could not read when it heard of them: written by a
/// newer version, or damaged. They stand against what they are about, and are read again by whichever
/// version opens the file next. The index finds the water that was found on a rig.
const UNREAD: &str = "
CREATE TABLE unread (
    event   TEXT PRIMARY KEY NOT NULL,
    root    TEXT NOT NULL,
    kind    TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    wall_ms INTEGER NOT NULL,
    author  TEXT NOT NULL
) STRICT;
CREATE INDEX unread_by_root ON unread (root, stamp);
CREATE INDEX defect_water ON defect (rig) WHERE water;
";

/// Every recheck by the hold it rests on, and which of them were said to be slips of typing: a change
/// stands until a new hold, and the next recheck starts from those that read as foretold.
const RECHECKS: &str = "
CREATE TABLE recheck (
    hold    TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    event   TEXT NOT NULL,
    author  TEXT NOT NULL,
    wall_ms INTEGER NOT NULL,
    body    TEXT NOT NULL,
    PRIMARY KEY (hold, stamp)
) WITHOUT ROWID, STRICT;
CREATE TABLE recheck_slip (
    event   TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    author  TEXT NOT NULL,
    wall_ms INTEGER NOT NULL,
    reason  TEXT NOT NULL,
    boot    TEXT NOT NULL,
    PRIMARY KEY (event, stamp)
) WITHOUT ROWID, STRICT;
";

/// What each enclosure was rated to, from which definition on, m.
const RATINGS: &str = "
CREATE TABLE rating (
    rig       TEXT NOT NULL,
    enclosure TEXT NOT NULL,
    stamp     BLOB NOT NULL,
    rated_m   REAL NOT NULL,
    PRIMARY KEY (rig, enclosure, stamp)
) WITHOUT ROWID, STRICT;
";

/// The newest fact of a kind about a thing *of each device*, and which of them is `last`: the one that
/// no other's writer had heard of; of several the latest by the clock. So news that one phone wrote and
/// another had not heard of is never lost under what that other wrote, and no clock that is ahead keeps
/// out what was written knowing of it. The tables are folded anew.
const BY_WRITER: &str = "
DROP TABLE mark;
CREATE TABLE mark (
    rig     TEXT NOT NULL,
    subject TEXT NOT NULL,
    key     TEXT NOT NULL,
    writer  BLOB NOT NULL,
    stamp   BLOB NOT NULL,
    wall_ms INTEGER NOT NULL,
    author  TEXT NOT NULL,
    value   TEXT NOT NULL,
    last    INTEGER NOT NULL DEFAULT 1,
    PRIMARY KEY (rig, subject, key, writer)
) WITHOUT ROWID, STRICT;
DROP TABLE rig;
CREATE TABLE rig (
    id      TEXT NOT NULL,
    writer  BLOB NOT NULL,
    name    TEXT NOT NULL,
    def     TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    made_ms INTEGER NOT NULL,
    last    INTEGER NOT NULL DEFAULT 1,
    PRIMARY KEY (id, writer)
) STRICT;
DROP TABLE member;
CREATE TABLE member (
    id     TEXT NOT NULL,
    writer BLOB NOT NULL,
    name   TEXT NOT NULL,
    role   TEXT NOT NULL,
    stamp  BLOB NOT NULL,
    last   INTEGER NOT NULL DEFAULT 1,
    PRIMARY KEY (id, writer)
) WITHOUT ROWID, STRICT;
DROP TABLE choice;
CREATE TABLE choice (
    choice TEXT NOT NULL,
    writer BLOB NOT NULL,
    value  TEXT NOT NULL,
    stamp  BLOB NOT NULL,
    last   INTEGER NOT NULL DEFAULT 1,
    PRIMARY KEY (choice, writer)
) WITHOUT ROWID, STRICT;
DROP TABLE procedure;
CREATE TABLE procedure (
    id     TEXT NOT NULL,
    writer BLOB NOT NULL,
    source TEXT NOT NULL,
    stamp  BLOB NOT NULL,
    last   INTEGER NOT NULL DEFAULT 1,
    PRIMARY KEY (id, writer)
) STRICT;
CREATE INDEX opening_by_writer ON opening
    (rig, enclosure, closure, substr(stamp, 9, 8), substr(stamp, 17, 8));
CREATE INDEX dive_by_writer ON dive (rig, salt, substr(stamp, 9, 8), substr(stamp, 17, 8));
";

/// What of several words about one thing stands is worked out from all of them, by who had heard of whom:
/// `changed` has every recheck that found a change, `conclusion` every verdict on a hold, `closing` every
/// time that a defect was called put right. The indexes find the last prep and hold that each phone began,
/// and those begun after what another had heard. The tables are folded anew.
const ALL_WORDS: &str = "
CREATE TABLE changed (
    rig       TEXT NOT NULL,
    enclosure TEXT NOT NULL,
    stamp     BLOB NOT NULL,
    hold      TEXT NOT NULL,
    PRIMARY KEY (rig, enclosure, stamp)
) WITHOUT ROWID, STRICT;
CREATE TABLE conclusion (
    hold    TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    wall_ms INTEGER NOT NULL,
    result  TEXT NOT NULL,
    PRIMARY KEY (hold, stamp)
) WITHOUT ROWID, STRICT;
CREATE TABLE closing (
    defect  TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    wall_ms INTEGER NOT NULL,
    how     TEXT NOT NULL,
    PRIMARY KEY (defect, stamp)
) WITHOUT ROWID, STRICT;
CREATE INDEX prep_by_writer ON prep
    (rig, kind, substr(started, 9, 8), substr(started, 17, 8));
CREATE INDEX hold_by_writer ON hold
    (rig, enclosure, substr(started, 9, 8), substr(started, 17, 8));
CREATE INDEX changed_by_writer ON changed
    (rig, enclosure, substr(stamp, 9, 8), substr(stamp, 17, 8));
";

/// What was drawn over photos.
const SKETCHES: &str = "
CREATE TABLE sketch (
    photo   TEXT NOT NULL,
    stamp   BLOB NOT NULL,
    mark    TEXT NOT NULL,
    event   TEXT NOT NULL,
    wall_ms INTEGER NOT NULL,
    author  TEXT NOT NULL,
    PRIMARY KEY (photo, stamp)
) WITHOUT ROWID, STRICT;
";

/// What another phone said to have, when this one last heard it.
const MET: &str = "
CREATE TABLE met (
    device INTEGER PRIMARY KEY NOT NULL REFERENCES device(no),
    at_ms  INTEGER NOT NULL,
    hello  BLOB NOT NULL
) STRICT;
";

/// A note that the tables are to be folded anew, by the last migration: folding reads what only that
/// brings.
const FOLD_ANEW: &str = "fold anew";

fn ask_to_fold_anew(db: &rusqlite::Transaction<'_>) -> rusqlite::Result<()> {
    db.execute(
        "INSERT OR REPLACE INTO local (key, value) VALUES (?1, 'yes')",
        [FOLD_ANEW],
    )
    .map(drop)
}

fn fold_anew_if_asked(db: &rusqlite::Transaction<'_>) -> rusqlite::Result<()> {
    match db.execute("DELETE FROM local WHERE key = ?1", [FOLD_ANEW])? {
        0 => Ok(()),
        _ => fold::fold_anew(db),
    }
}

/// All migrations, oldest first.
pub fn migrations() -> &'static Migrations<'static> {
    static HEARD_BY_WRITER: Lazy<String> =
        Lazy::new(|| format!("{SCHEMA_HEARD}{SCHEMA_LOST}{SCHEMA_FORK}{BY_WRITER}"));
    static WHO_MAY_WRITE: Lazy<String> =
        Lazy::new(|| format!("{SCHEMA_COUNTED}{SCHEMA_ADMISSION}"));
    static EXCHANGE: Lazy<String> =
        Lazy::new(|| format!("{SCHEMA_INVITATION}{SCHEMA_RING}{MET}{SCHEMA_HEADS}"));
    static ALL: Lazy<Migrations<'static>> = Lazy::new(|| {
        Migrations::new(vec![
            M::up(SCHEMA_1),
            M::up(STATE_2),
            M::up(UNREAD),
            M::up(RECHECKS),
            M::up(RATINGS),
            M::up(&HEARD_BY_WRITER),
            // Folded anew once, after the last migration: the fold knows only the newest tables.
            M::up_with_hook(ALL_WORDS, |db| Ok(ask_to_fold_anew(db)?)),
            M::up(&WHO_MAY_WRITE),
            // What is kept of a ring that was worked on, and what stands again after an undo: no table is new.
            M::up_with_hook("", |db| Ok(ask_to_fold_anew(db)?)),
            M::up_with_hook(SKETCHES, |db| Ok(fold_anew_if_asked(db)?)),
            M::up_with_hook(&EXCHANGE, |db| Ok(admission::note_again(db)?)),
        ])
    });
    &ALL
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_migrations_are_sound_and_counted() {
        migrations().validate().unwrap();
        let mut conn = rusqlite::Connection::open_in_memory().unwrap();
        migrations().to_latest(&mut conn).unwrap();
        let version: i64 = conn
            .query_row("PRAGMA user_version", [], |r| r.get(0))
            .unwrap();
        assert_eq!(version, VERSION);
    }
}
