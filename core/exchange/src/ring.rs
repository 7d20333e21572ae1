//! The keys that this phone holds, kept in its database.
//!
//! Each handing is kept as it came: it goes on to the others as it is. What this phone needs of it lies
//! beside, sealed to this phone's own key, so that a copy of the database alone opens nothing that others
//! seal: the key is made of the platform's secret, too, where it keeps one.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::{Connection, OptionalExtension, params};
use slackwater_journal::{DeviceId, Entropy, Identity};

use super::handing::{Handing, Held, fit, open_slot, seal_to};
use super::secret::{Epoch, Secret};
use super::{Fault, name};

/// The tables: handings as they came, and secrets sealed to this phone.
pub const SCHEMA_RING: &str = "
CREATE TABLE handing (name TEXT PRIMARY KEY NOT NULL, epoch BLOB NOT NULL, part BLOB NOT NULL) STRICT;
CREATE INDEX handing_of ON handing (epoch);
CREATE TABLE held (epoch BLOB PRIMARY KEY NOT NULL, generation INTEGER NOT NULL, slot BLOB NOT NULL) STRICT;
";

/// Most handings that are kept: a crew comes nowhere near, and each costs a look.
pub const HANDINGS_MAX: i64 = 1_000;

/// The keys at hand, each with who holds it. What devices that don't count handed out counts for nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ring {
    held: BTreeMap<Epoch, Held>,
}

impl Ring {
    /// Reads it. `counts` says whether a device is of the crew.
    ///
    /// # Errors
    /// What SQLite says.
    pub fn load(
        db: &Connection,
        me: &Identity<'_>,
        counts: impl Fn(&DeviceId) -> bool,
    ) -> rusqlite::Result<Ring> {
        let mut ring = Ring::default();
        let mut slots = db.prepare_cached("SELECT epoch, generation, slot FROM held")?;
        let mut rows = slots.query([])?;
        while let Some(r) = rows.next()? {
            let epoch = Epoch(r.get(0)?);
            let generation = r.get::<_, i64>(1)? as u64;
            let slot: Vec<u8> = r.get(2)?;
            // One that this phone can't open any more was sealed to a key that it no longer has.
            if let Some(secret) = open_slot(me, &epoch, &slot) {
                let holders = BTreeSet::from([me.device()]);
                ring.held.insert(
                    epoch,
                    Held {
                        secret,
                        generation,
                        holders,
                    },
                );
            }
        }
        let mut handings = db.prepare_cached("SELECT epoch, part FROM handing")?;
        let mut rows = handings.query([])?;
        while let Some(r) = rows.next()? {
            let Some(held) = ring.held.get_mut(&Epoch(r.get(0)?)) else {
                continue;
            };
            let part: Vec<u8> = r.get(1)?;
            // Whom a key was handed to by anybody holds it: that makes it less fit, never more.
            if let Ok(handing) = Handing::open(&part, me, Some(&held.secret)) {
                held.holders.extend(&handing.devices);
                held.holders.insert(handing.maker);
                if counts(&handing.maker) {
                    held.generation = held.generation.max(handing.generation);
                }
            }
        }
        Ok(ring)
    }

    /// A key by its name.
    pub fn get(&self, epoch: &Epoch) -> Option<Secret> {
        self.held.get(epoch).map(|h| h.secret.clone())
    }

    /// Somebody holds a key, as is known otherwise than by a handing.
    pub fn is_held_by(&mut self, epoch: &Epoch, device: DeviceId) {
        if let Some(held) = self.held.get_mut(epoch) {
            held.holders.insert(device);
        }
    }

    /// All that are held, by name.
    pub fn all(&self) -> impl Iterator<Item = &Held> {
        self.held.values()
    }

    /// The key to seal with: the newest that nobody holds but devices that count.
    pub fn fit(&self, count: &BTreeSet<DeviceId>) -> Option<&Held> {
        fit(self.held.values(), count)
    }
}

/// Keeps a secret that this phone was told, sealed to itself.
///
/// # Errors
/// What SQLite says.
pub fn keep_secret(
    db: &Connection,
    me: &Identity<'_>,
    secret: &Secret,
    generation: u64,
    entropy: &dyn Entropy,
) -> rusqlite::Result<()> {
    // This device's id is a key.
    let slot = seal_to(&me.device(), secret, entropy).unwrap_or_default();
    let generation = i64::try_from(generation).unwrap_or(i64::MAX);
    db.prepare_cached(
        "INSERT INTO held (epoch, generation, slot) VALUES (?1, ?2, ?3) ON CONFLICT (epoch) \
         DO UPDATE SET slot = ?3, generation = max(generation, ?2)",
    )?
    .execute(params![&secret.epoch().0[..], generation, slot])
    .map(drop)
}

/// Keeps a handing as it came, and the key in it. Gives whether it was new. One that is for others, of a key
/// that isn't known here, is not kept: nothing tells whether it is one at all, and whoever fills the table
/// with such would keep the crew's own out.
///
/// # Errors
/// What SQLite says; a handing that can't be read is a fault of its own ([`Handing::open`]).
pub fn keep_handing(
    db: &Connection,
    me: &Identity<'_>,
    part: &[u8],
    entropy: &dyn Entropy,
) -> rusqlite::Result<Result<bool, Fault>> {
    let epoch = match super::secret::epoch_of(super::secret::Kind::Handing, part) {
        Ok(epoch) => epoch,
        Err(fault) => return Ok(Err(fault)),
    };
    let called = name::of_handing(part);
    let known = db
        .prepare_cached("SELECT 1 FROM handing WHERE name = ?1")?
        .exists([&called])?;
    if known {
        return Ok(Ok(false));
    }
    let kept: i64 = db.query_row("SELECT count(*) FROM handing", [], |r| r.get(0))?;
    if kept >= HANDINGS_MAX {
        return Ok(Err(Fault::TooLong {
            limit: HANDINGS_MAX as u64,
        }));
    }
    let held: Option<Vec<u8>> = db
        .prepare_cached("SELECT slot FROM held WHERE epoch = ?1")?
        .query_row([&epoch.0[..]], |r| r.get(0))
        .optional()?;
    let secret = held.and_then(|slot| open_slot(me, &epoch, &slot));
    match Handing::open(part, me, secret.as_ref()) {
        Ok(handing) if secret.is_none() => {
            keep_secret(db, me, &handing.secret, handing.generation, entropy)?;
        }
        Ok(_) => {}
        Err(fault) => return Ok(Err(fault)),
    }
    db.prepare_cached("INSERT INTO handing (name, epoch, part) VALUES (?1, ?2, ?3)")?
        .execute(params![called, &epoch.0[..], part])?;
    Ok(Ok(true))
}

/// All handings, as they came, by name.
///
/// # Errors
/// What SQLite says.
pub fn handings(db: &Connection) -> rusqlite::Result<Vec<(String, Vec<u8>)>> {
    db.prepare_cached("SELECT name, part FROM handing ORDER BY name")?
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?
        .collect()
}

#[cfg(test)]
pub(crate) mod tests {
    use std::sync::Arc;

    use super::*;
    use rusqlite_migration::{M, Migrations};
    use slackwater_journal::heard::{SCHEMA_HEADS, SCHEMA_HEARD};
    use slackwater_journal::store::SCHEMA_1;
    use slackwater_journal::witness::{SCHEMA_FORK, SCHEMA_LOST};
    use slackwater_journal::{
        Draft, Env, FixedClock, Journal, JournalFault, SeededEntropy, counted,
    };

    pub(crate) struct Phone {
        pub(crate) journal: Journal,
        _dir: tempfile::TempDir,
    }

    impl Phone {
        pub(crate) fn writes(&mut self, n: usize) {
            let draft = |k: usize| Draft {
                author: "anna".into(),
                subject: format!("rig/enclosure/{}", k % 3),
                kind: "closed".into(),
                body: format!("{{\"fact\":\"closed\",\"n\":{k}}}").into_bytes(),
            };
            self.journal
                .append((0..n).map(draft).collect(), |_, _| Ok(()))
                .unwrap();
        }

        pub(crate) fn writes_long(&mut self, bytes: usize) {
            let draft = Draft {
                author: "anna".into(),
                subject: "rig".into(),
                kind: "held".into(),
                body: vec![b' '; bytes],
            };
            self.journal.append(vec![draft], |_, _| Ok(())).unwrap();
        }

        pub(crate) fn hears(&mut self, other: &Journal) {
            other
                .each_event(|e| {
                    self.journal.ingest(&e, |_, _, _| Ok(())).unwrap();
                    Ok::<_, JournalFault>(())
                })
                .unwrap();
            let db = self.journal.read();
            db.execute("UPDATE device SET counts_to = ?1", [counted::ALL as i64])
                .unwrap();
            self.journal.counts_anew();
        }
    }

    pub(crate) fn phones(n: u64) -> Vec<Phone> {
        let migrations = Migrations::new(vec![
            M::up(SCHEMA_1),
            M::up(SCHEMA_HEARD),
            M::up(SCHEMA_LOST),
            M::up(SCHEMA_FORK),
            M::up(counted::SCHEMA_COUNTED),
            M::up(SCHEMA_HEADS),
            M::up(SCHEMA_RING),
        ]);
        let phone = |seed| {
            let dir = tempfile::tempdir().unwrap();
            let env = Env {
                clock: Arc::new(FixedClock::at(1_000_000)),
                entropy: Arc::new(SeededEntropy::new(seed)),
                device_seed: None,
            };
            let (journal, _) = Journal::open(dir.path(), &migrations, 7, env).unwrap();
            Phone { journal, _dir: dir }
        };
        (1..=n).map(phone).collect()
    }

    fn ring(phone: &Phone) -> Ring {
        Ring::load(phone.journal.read(), &phone.journal.identity(), |_| true).unwrap()
    }

    #[test]
    fn a_handing_is_kept_and_handed_on_by_whom_it_is_for() {
        let entropy = SeededEntropy::new(9);
        let all = phones(3);
        let [a, b, c] = [0, 1, 2].map(|n: usize| &all[n]);
        let secret = Secret::make(&entropy);
        let to = BTreeSet::from([a.journal.device(), c.journal.device()]);
        let part = Handing::make(&a.journal.identity(), &secret, 1, &to, &entropy).unwrap();
        let keep = |phone: &Phone, part: &[u8]| {
            keep_handing(
                phone.journal.read(),
                &phone.journal.identity(),
                part,
                &entropy,
            )
            .unwrap()
        };
        assert!(matches!(keep(b, &part), Err(Fault::NoKey(_))));
        assert_eq!(ring(b), Ring::default());
        assert!(keep(a, &part).unwrap());
        assert!(!keep(a, &part).unwrap());
        let (_, passed) = handings(a.journal.read()).unwrap().remove(0);
        assert!(keep(c, &passed).unwrap());
        let held = ring(c);
        assert_eq!(held.get(&secret.epoch()), Some(secret.clone()));
        assert_eq!(held.fit(&to).unwrap().holders, to);
        assert_eq!(held.fit(&BTreeSet::from([c.journal.device()])), None);
        // Handed on to the third: it holds it, and so it is fit where all three count.
        let all_three: BTreeSet<_> = all.iter().map(|p| p.journal.device()).collect();
        let more = Handing::make(&c.journal.identity(), &secret, 1, &all_three, &entropy).unwrap();
        assert!(keep(b, &more).unwrap());
        assert_eq!(ring(b).get(&secret.epoch()), Some(secret.clone()));
        assert!(keep(c, &more).unwrap());
        assert_eq!(ring(c).fit(&to), None);
        assert_eq!(ring(c).fit(&all_three).unwrap().holders, all_three);
        let mut bad = part.clone();
        bad[300] ^= 1;
        assert!(matches!(keep(c, &bad), Err(Fault::Changed)));
        assert!(matches!(keep(c, b"SWS1"), Err(Fault::Other { .. })));
    }

    #[test]
    fn what_is_kept_opens_with_this_phones_key_alone() {
        let entropy = SeededEntropy::new(9);
        let all = phones(2);
        let secret = Secret::make(&entropy);
        let (a, b) = (&all[0], &all[1]);
        keep_secret(
            a.journal.read(),
            &a.journal.identity(),
            &secret,
            4,
            &entropy,
        )
        .unwrap();
        assert_eq!(ring(a).get(&secret.epoch()), Some(secret.clone()));
        let theirs = Ring::load(a.journal.read(), &b.journal.identity(), |_| true).unwrap();
        assert_eq!(theirs, Ring::default());
    }
}
