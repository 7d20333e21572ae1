//! Files of earlier versions open, are upgraded, and equal a fresh record that heard the same events.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use slackwater_checks::drive::{MORNING_MS, env, events_of, folded};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::Fact;
use slackwater_core::domain::fold::fact_of;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::domain::schema;
use slackwater_core::journal::FixedClock;

fn fixtures() -> Vec<(i64, PathBuf)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let mut all: Vec<(i64, PathBuf)> = fs::read_dir(folder)
        .unwrap()
        .filter_map(|f| {
            let path = f.unwrap().path();
            let name = path.file_stem()?.to_str()?.strip_prefix('v')?;
            Some((name.parse().ok()?, path.clone()))
        })
        .collect();
    all.sort();
    all
}

/// Lays a fixture out in a folder of its own.
fn laid_out(path: &Path) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let mut zip = zip::ZipArchive::new(File::open(path).unwrap()).unwrap();
    zip.extract(dir.path()).unwrap();
    dir
}

fn database(folder: &Path) -> PathBuf {
    folder.join("slackwater.db")
}

#[test]
fn a_file_of_an_earlier_version_is_upgraded_to_what_a_fresh_one_would_be() {
    let all = fixtures();
    assert!(all.len() >= 2, "{all:?}");
    for (version, path) in all {
        let dir = laid_out(&path);
        let was: i64 = rusqlite::Connection::open(database(dir.path()))
            .unwrap()
            .query_row("PRAGMA user_version", [], |r| r.get(0))
            .unwrap();
        assert_eq!(was, version, "{path:?}");
        assert!(was < schema::VERSION, "a file of an earlier version");
        let clock = Arc::new(FixedClock::at(MORNING_MS + 86_400_000));
        let book = Book::open(dir.path(), env(&clock, 8)).unwrap();
        assert_eq!(book.opening.set_aside, None, "v{version}");
        let events = events_of(&book);
        assert!(events.len() > 100, "v{version}: {}", events.len());
        let unread = events.iter().filter(|e| fact_of(e) == Fact::Unknown);
        assert_eq!(unread.count(), 0, "v{version}");
        let rigs = book.rigs().unwrap();
        let rig = rigs[0].id.clone();
        let listed = book.readiness(&rig).unwrap().obstacles;
        // What the second phone found is there, and what was taken back stands again.
        assert!(
            listed.iter().any(|o| matches!(o, Obstacle::Defect { .. })),
            "v{version}: {listed:?}"
        );
        for enclosure in ["main", "monitor"] {
            let open = Obstacle::NotClosed {
                enclosure: enclosure.into(),
            };
            assert!(listed.contains(&open), "v{version}: {listed:?}");
        }
        let facts = book.rig(&rig).unwrap();
        drop(book);

        let other = tempfile::tempdir().unwrap();
        let mut fresh = Book::open(other.path(), env(&clock, 9)).unwrap();
        for event in &events {
            fresh.ingest(event).unwrap();
        }
        // Nobody admitted anybody then: a phone that has nothing of its own is asked about all of them.
        assert!(fresh.rigs().unwrap().is_empty(), "v{version}");
        let asked = fresh.asked_together().unwrap();
        fresh.admit(&asked).unwrap();
        assert_eq!(fresh.strangers().unwrap(), []);
        assert_eq!(*fresh.rig(&rig).unwrap(), *facts, "v{version}");
        drop(fresh);
        let folded = |folder: &Path| folded(&rusqlite::Connection::open(database(folder)).unwrap());
        assert_eq!(folded(dir.path()), folded(other.path()), "v{version}");
    }
}
