//! A scripted day on a phone whose disk may fail: what is refused is said, and the crew goes on.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use slackwater_core::domain::backup;
use slackwater_core::domain::book::{Book, BookFault, Recorded};
use slackwater_core::domain::facts::{Finding, Role};
use slackwater_core::journal::{DeviceId, FixedClock, JournalFault, Opening, Unwritable};
use slackwater_core::screens::Action;
use slackwater_core::screens::common::{Document, Outcome, Place};
use slackwater_core::screens::crew::CrewAction;
use slackwater_core::screens::desk::Desk;

use crate::drive::{MORNING_MS, begin_hold, device_of, env, png, reading, tell};

/// What the first key of the day is made of, and that of the phone that it meets.
const OWN: u64 = 1;
const OTHER: u64 = 900;
/// The log is brought into the file after so many pages, not a thousand: so that it is in this day.
const LOG_PAGES: u32 = 60;

/// Prepares what the day brings in: a file of everything of another phone, which has also heard of a copy
/// of this one.
///
/// # Errors
/// None on a disk that is in order.
pub fn prepare(folder: &Path) -> Result<PathBuf, Box<dyn std::error::Error>> {
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let mut copy = Book::open(&folder.join("copy"), env(&clock, OWN))?;
    copy.add_member("Noor", Role::Assistant)?;
    let mut other = Book::open(&folder.join("other"), env(&clock, OTHER))?;
    other.admit(&[device_of(OWN)])?;
    tell(&copy, &mut other);
    other.add_member("Tove", Role::Assistant)?;
    let rig = other.create_from_template("single-housing", "Spare rig")?;
    other.open_defect(&rig, "enclosure/main", true, false, "a scratch")?;
    // Another picture than the day's own.
    let picture = [png(), vec![0]].concat();
    other.add_photo(&rig, "the scratch", &picture)?;
    let file = folder.join("other.zip");
    backup::write(&other, &file)?;
    Ok(file)
}

struct Phone {
    folder: PathBuf,
    brought: Vec<u8>,
    clock: Arc<FixedClock>,
    opened: u64,
    /// None while it can't be opened.
    desk: Option<Desk>,
    rig: String,
    hold: String,
    undo: Option<String>,
    told: u64,
    /// The first page tells something of the opening, once.
    tells: bool,
}

/// Prints a line whole.
fn say(line: &str) {
    use std::io::Write;
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(format!("{line}\n").as_bytes());
    let _ = out.flush();
}

fn known(rig: Option<&str>) -> Vec<Place> {
    let mut places = vec![
        Place::Rigs { form: None },
        Place::Crew { form: None },
        Place::Journal {
            rig: None,
            before: None,
        },
    ];
    if let Some(rig) = rig.filter(|r| !r.is_empty()) {
        places.push(Place::Rig {
            rig: rig.to_owned(),
            form: None,
        });
    }
    places
}

/// What the pages show, in one text.
pub fn shown(desk: &Desk, rig: Option<&str>) -> Result<Vec<String>, BookFault> {
    let pages = known(rig).into_iter();
    pages
        .map(|place| desk.show(&place).map(|s| format!("{s:?}")))
        .collect()
}

/// How an opening is said.
pub fn opening_said(opening: &Opening) -> String {
    let mut said = String::from("opened");
    if let Some(aside) = &opening.set_aside {
        said += &format!(" set-aside:{}", aside.why.to_string().replace(' ', "-"));
    }
    if opening.key_set_aside.is_some() {
        said += " key-set-aside";
    }
    if let Some(lost) = &opening.lost {
        said += &format!(" lost:{}-of-{}", lost.here, lost.had);
    }
    if opening.key_alone {
        said += " key-alone";
    }
    if opening.other_key {
        said += " other-key";
    }
    said
}

type Act = fn(&mut Phone) -> Result<(), BookFault>;

impl Phone {
    fn desk(&mut self) -> &mut Desk {
        self.desk.as_mut().expect("acts are tried on an open store")
    }

    fn book(&mut self) -> &mut Book {
        self.desk().book_mut()
    }

    fn noted(&mut self, result: Result<Recorded, BookFault>) -> Result<(), BookFault> {
        self.undo = result?.undo.or_else(|| self.undo.take());
        self.acknowledge();
        Ok(())
    }

    /// Opens, as a crew that taps again where it could not.
    fn open(&mut self) {
        for _ in 0..4 {
            self.opened += 1;
            // Each opening throws other dice, or a new key would be an old one.
            let seed = if self.opened == 1 {
                OWN
            } else {
                self.opened * 10
            };
            match Book::open(&self.folder, env(&self.clock, seed)) {
                Ok(book) => {
                    let said = opening_said(&book.opening);
                    say(&said);
                    self.tells = said != "opened";
                    let sooner = format!("PRAGMA wal_autocheckpoint = {LOG_PAGES}");
                    let _ = book.journal().read().execute_batch(&sooner);
                    self.desk = Some(Desk::new(book, 0));
                    return;
                }
                Err(e) => say(&format!("refused open: {e}")),
            }
        }
    }

    /// Says every event that is there since it was last asked.
    fn acknowledge(&mut self) {
        let told = self.told;
        let Some(desk) = &self.desk else { return };
        let db = desk.book().journal().read();
        let rows = db
            .prepare_cached(
                "SELECT e.row, d.key, e.seq, e.hash FROM event e JOIN device d ON d.no = e.device \
                 WHERE e.row > ?1 ORDER BY e.row",
            )
            .and_then(|mut s| {
                s.query_map([told as i64], |r| {
                    Ok((
                        r.get::<_, i64>(0)?,
                        r.get::<_, Vec<u8>>(1)?,
                        r.get::<_, i64>(2)?,
                        r.get::<_, Vec<u8>>(3)?,
                    ))
                })?
                .collect::<Result<Vec<_>, _>>()
            });
        let Ok(rows) = rows else { return };
        let hex = |b: &[u8]| b.iter().map(|b| format!("{b:02x}")).collect::<String>();
        for (row, key, seq, hash) in rows {
            say(&format!("ack {} {seq} {}", hex(&key), hex(&hash)));
            self.told = row as u64;
        }
    }

    fn act(&mut self, name: &str, act: Act) {
        self.clock.advance(61_000);
        if self.desk.is_none() {
            self.open();
        }
        if self.desk.is_none() {
            return say(&format!("refused {name}: not open"));
        }
        match act(self) {
            Ok(()) => self.acknowledge(),
            Err(e) => say(&format!("refused {name}: {e}")),
        }
    }

    /// What an outcome says, as a refusal where it is one.
    fn taken(outcome: &Outcome) -> Result<(), BookFault> {
        match outcome.faults.first() {
            None => Ok(()),
            Some(fault) => Err(BookFault::Journal(JournalFault::NotWritable {
                path: PathBuf::new(),
                why: Unwritable::Said(fault.text.clone()),
            })),
        }
    }

    fn restart(&mut self) {
        self.desk = None;
        self.open();
        self.told = 0;
        self.acknowledge();
    }
}

const MAIN: &str = "main";

const ACTS: &[(&str, Act)] = &[
    ("member", |p| {
        p.book().add_member("Noor", Role::Assistant).map(drop)
    }),
    ("second member", |p| {
        p.book().add_member("Ilse", Role::Dp).map(drop)
    }),
    ("holder", |p| {
        let members = p.book().members()?;
        let Some(first) = members.first() else {
            return Ok(());
        };
        p.book().hold_phone(&first.id.clone())
    }),
    ("rig", |p| {
        p.rig = p
            .book()
            .create_from_template("single-housing", "Reef rig")?;
        Ok(())
    }),
    ("limit", |p| {
        p.book().choose(&[("recheck_limit_min", "90")]).map(drop)
    }),
    ("service", |p| {
        let rig = p.rig.clone();
        let facts = p.book().rig(&rig)?;
        let seals: Vec<String> = facts.def.seals.iter().map(|s| s.id.clone()).collect();
        for seal in seals {
            let done = p.book().service_seal(&rig, &seal, Finding::Clean, "");
            p.noted(done)?;
        }
        Ok(())
    }),
    ("undo", |p| match p.undo.take() {
        Some(token) => p.desk().undo(&token).map(drop),
        None => Ok(()),
    }),
    ("close", |p| {
        let rig = p.rig.clone();
        p.book().close_enclosure(&rig, MAIN).map(drop)
    }),
    ("hold", |p| {
        let rig = p.rig.clone();
        p.hold = begin_hold(p.book(), &rig, MAIN)?;
        Ok(())
    }),
    ("reading", |p| {
        let hold = p.hold.clone();
        p.book().add_reading(&hold, reading(200.0)).map(drop)
    }),
    ("another reading", |p| {
        let hold = p.hold.clone();
        p.book().add_reading(&hold, reading(199.9)).map(drop)
    }),
    ("photo", |p| {
        let rig = p.rig.clone();
        p.desk()
            .add_photo(&rig, "before the dive", &png())
            .map(drop)
    }),
    ("conclude", |p| {
        let hold = p.hold.clone();
        p.book().conclude_hold(&hold).map(drop)
    }),
    ("restart", |p| {
        p.restart();
        Ok(())
    }),
    ("defect", |p| {
        let rig = p.rig.clone();
        let done = p
            .book()
            .open_defect(&rig, "enclosure/main", true, false, "a nick in the ring");
        done.map(drop)
    }),
    ("opening", |p| {
        let rig = p.rig.clone();
        p.book().open_closure(&rig, MAIN, None).map(drop)
    }),
    ("dive", |p| {
        let rig = p.rig.clone();
        p.book().log_dive(&rig, 12.0, 30.0, "").map(drop)
    }),
    ("keep everything", |p| {
        let place = Place::Crew { form: None };
        let action = Action::Crew {
            action: CrewAction::KeepEverything,
        };
        Phone::taken(&p.desk().act(&place, action)?)
    }),
    ("another phone", |p| {
        p.book().admit(&[device_of(OTHER)]).map(drop)
    }),
    ("bring", |p| {
        let paper = Document {
            name: "other.zip".into(),
            media_type: "application/zip".into(),
            bytes: p.brought.clone(),
            file: None,
        };
        let outcome = p.desk().receive(&Place::Rigs { form: None }, &paper)?;
        Phone::taken(&outcome)
    }),
    ("after it", |p| {
        let rig = p.rig.clone();
        p.book().log_dive(&rig, 14.0, 20.0, "").map(drop)
    }),
    ("restart again", |p| {
        p.restart();
        Ok(())
    }),
    ("last", |p| {
        let rig = p.rig.clone();
        p.book().open_closure(&rig, MAIN, None).map(drop)
    }),
];

/// Lives the day in a folder, saying what is acknowledged (`ack DEVICE SEQ HASH`), what is refused, and how
/// the record opened. At the end its pages are shown, the store is opened again, and a page that is another
/// then is said (`differs`).
pub fn live(folder: &Path, brought: &Path) {
    let mut phone = Phone {
        folder: folder.to_owned(),
        brought: fs::read(brought).unwrap_or_default(),
        clock: Arc::new(FixedClock::at(MORNING_MS)),
        opened: 0,
        desk: None,
        rig: String::new(),
        hold: String::new(),
        undo: None,
        told: 0,
        tells: false,
    };
    phone.open();
    for (name, act) in ACTS {
        say(&format!("tries {name}"));
        phone.act(name, *act);
    }
    let rig = phone.rig.clone();
    let rig = Some(rig.as_str());
    let before = phone.desk.as_ref().map(|desk| shown(desk, rig));
    let mut tells = phone.tells;
    phone.restart();
    tells |= phone.tells;
    let after = phone.desk.as_ref().map(|desk| shown(desk, rig));
    if let (Some(Ok(before)), Some(Ok(after))) = (before, after) {
        let pages = before.iter().zip(&after).skip(usize::from(tells));
        for (b, a) in pages.filter(|(b, a)| a != b) {
            let at = b.bytes().zip(a.bytes()).take_while(|(b, a)| b == a).count();
            let part = |s: &str| {
                s.chars()
                    .skip(at.saturating_sub(60))
                    .take(200)
                    .collect::<String>()
            };
            say(&format!("differs: {} | {}", part(b), part(a)));
        }
    }
    say("ended");
}

/// The device whose sequence a crew goes on with.
pub fn own() -> DeviceId {
    device_of(OWN)
}
