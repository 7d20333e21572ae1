//! The UniFFI surface of Slackwater: converts, calls the core, converts back.
//!
//! One root object, [`Slackwater`], hands out two subject objects: [`Screens`] (what is shown, what
//! was done) and [`Photos`]. Everything else is records and enums of the core's screens, which cross
//! as they are. Calls may come from any thread; they run one after another. None of them panics
//! across the boundary: a panic comes back as [`SlackwaterError::Internal`].
//!
//! Deliberately not exposed: the journal, the domain and the physics. What a shell may know is on a
//! screen.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use slackwater_core::domain::book::{Book, BookFault};
use slackwater_core::domain::budget::Watch;
use slackwater_core::domain::demo;
use slackwater_core::domain::photos::PhotoHash;
use slackwater_core::journal::{
    Clock, Env, FixedClock, JournalFault, SeededEntropy, SystemClock, SystemEntropy,
};
use slackwater_core::screens::Action;
use slackwater_core::screens::common::{Document, FieldValue};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::fault_words::FaultWords;
use slackwater_core::screens::measures::Units;
use slackwater_core::screens::navigation::{Reply, Stack};
use slackwater_core::screens::page::Page;
use slackwater_core::screens::phone::{AirReading, DueReading, PhoneState};
use slackwater_core::screens::texts::Texts;
use slackwater_core::screens::words::ShellWords;

uniffi::setup_scaffolding!("slackwater");
// The core's own namespace leaves through the same library.
slackwater_core::screens::uniffi_reexport_scaffolding!();

/// What went wrong, by what a shell does about it. `message` is for a person.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
pub enum SlackwaterError {
    /// The object was closed: open again.
    #[error("{reason}")]
    Closed {
        /// For a person.
        reason: String,
    },
    /// Another program has the file open: close it there, then try again.
    #[error("{reason}")]
    Busy {
        /// For a person.
        reason: String,
    },
    /// The file was written by a newer version: update this one.
    #[error("{reason}")]
    NewerFile {
        /// For a person.
        reason: String,
    },
    /// The storage is full: nothing was recorded; make room, then try again.
    #[error("{reason}")]
    StorageFull {
        /// For a person.
        reason: String,
    },
    /// The folder or file can't be written.
    #[error("{reason}")]
    NotWritable {
        /// For a person.
        reason: String,
    },
    /// The file is damaged: close and open again; it is set aside then.
    #[error("{reason}")]
    Damaged {
        /// For a person.
        reason: String,
    },
    /// What was asked for isn't there: go back.
    #[error("{reason}")]
    NotFound {
        /// For a person.
        reason: String,
    },
    /// What was given makes no sense.
    #[error("{reason}")]
    BadInput {
        /// For a person.
        reason: String,
    },
    /// A fault of this program.
    #[error("{reason}")]
    Internal {
        /// For a developer.
        reason: String,
    },
}

type Answer<T> = Result<T, SlackwaterError>;

impl SlackwaterError {
    /// Of a fault, with the words for a person.
    fn of(fault: &BookFault, reason: String) -> SlackwaterError {
        match fault {
            BookFault::Journal(journal) => match journal {
                JournalFault::Busy { .. } => SlackwaterError::Busy { reason },
                JournalFault::Newer { .. } => SlackwaterError::NewerFile { reason },
                JournalFault::NotWritable { .. } => SlackwaterError::NotWritable { reason },
                JournalFault::Full => SlackwaterError::StorageFull { reason },
                JournalFault::Damaged { .. } => SlackwaterError::Damaged { reason },
                JournalFault::Sqlite { .. } => SlackwaterError::Internal { reason },
            },
            BookFault::NotFound { .. } => SlackwaterError::NotFound { reason },
            BookFault::Refused(_)
            | BookFault::Rig(_)
            | BookFault::Hold(_)
            | BookFault::Procedure(_)
            | BookFault::HoldLog(_)
            | BookFault::NotWritable { .. }
            | BookFault::Photo(_) => SlackwaterError::BadInput { reason },
        }
    }
}

/// How to open.
#[derive(Debug, Clone, uniffi::Record)]
pub struct OpenOptions {
    /// Folder of the database and the photos; made if it isn't there.
    pub folder: String,
    /// Minutes east of UTC where the phone is.
    pub utc_offset_minutes: i32,
    /// Fill an empty store with the demo crew and rig.
    #[uniffi(default = false)]
    pub demo: bool,
    /// For tests and pictures: the clock stands at this time (ms since 1970 UTC) until
    /// [`Slackwater::advance_clock`], and randomness repeats. None for the phone's own.
    #[uniffi(default = None)]
    pub fixed_time_ms: Option<i64>,
    /// A secret of 32 random bytes that the platform's key store keeps: the device's signing key is
    /// made of it and of a file beside the database, so a copy of the folder alone signs as another
    /// device. None to make the key of the file alone.
    #[uniffi(default = None)]
    pub device_seed: Option<Vec<u8>>,
    /// Another language than English.
    #[uniffi(default = None)]
    pub language: Option<LanguageFile>,
    /// Why the key store gives no secret, or a new one, where it should have kept one: in its own
    /// words. Said on the first screen.
    #[uniffi(default = None)]
    pub device_seed_lost: Option<String>,
    /// The language that the phone is set to, as a tag (BCP 47: 'es-MX'). The core speaks it where it
    /// knows it and no other was chosen on this device; else English.
    #[uniffi(default = None)]
    pub phone_language: Option<String>,
}

/// A language: its tag and its texts.
#[derive(Debug, Clone, uniffi::Record)]
pub struct LanguageFile {
    /// BCP 47 tag ('de', 'pt-BR').
    pub tag: String,
    /// The content of a file like `core/texts/en.ftl`; what it lacks is said in English.
    pub source: String,
}

struct Inner {
    /// None once closed.
    open: Mutex<Option<Open>>,
    /// How far a file has come in: looked at while the desk is busy with it.
    watch: Arc<Watch>,
    /// What the desk speaks, for a call that comes while it is busy.
    texts: Mutex<&'static Texts>,
    fixed: Option<Arc<FixedClock>>,
}

/// An open store, and where in it the app is.
struct Open {
    desk: Desk,
    stack: Stack,
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // A panic inside a call is answered by that call; the state behind it is in the database.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A zone that can be: minutes east of UTC, a day at most.
fn zone(minutes: i32) -> Answer<i32> {
    const DAY: i32 = 24 * 60;
    if (-DAY..=DAY).contains(&minutes) {
        return Ok(minutes);
    }
    Err(SlackwaterError::BadInput {
        reason: format!(
            "a zone {minutes} minutes east of UTC; a day ({DAY}) is the most there can be"
        ),
    })
}

/// A time that a calendar can say, ms since 1970 UTC; none where reckoning it overflowed.
fn time(ms: Option<i64>) -> Answer<i64> {
    const YEAR_10000: i64 = 253_402_300_800_000;
    ms.filter(|ms| (0..YEAR_10000).contains(ms))
        .ok_or_else(|| SlackwaterError::BadInput {
            reason: "the clock can stand in the years 1970 to 9999 only".to_owned(),
        })
}

/// Runs a call so that a panic comes back as an error.
fn guarded<T>(call: impl FnOnce() -> Answer<T>) -> Answer<T> {
    catch_unwind(AssertUnwindSafe(call)).unwrap_or_else(|panic| {
        let what = panic
            .downcast_ref::<&str>()
            .map(|s| (*s).to_owned())
            .or_else(|| panic.downcast_ref::<String>().cloned())
            .unwrap_or_else(|| "panic".to_owned());
        Err(SlackwaterError::Internal { reason: what })
    })
}

impl Inner {
    fn with<T>(&self, call: impl FnOnce(&mut Open) -> Result<T, BookFault>) -> Answer<T> {
        guarded(|| {
            let mut open = held(&self.open);
            let open = open.as_mut().ok_or_else(|| SlackwaterError::Closed {
                reason: "Slackwater was closed".to_owned(),
            })?;
            let answer = call(open);
            *held(&self.texts) = open.desk.texts();
            answer.map_err(|fault| {
                let reason = open.desk.words_of(&fault);
                SlackwaterError::of(&fault, reason)
            })
        })
    }
}

/// The root: one open store.
#[derive(uniffi::Object)]
pub struct Slackwater {
    inner: Arc<Inner>,
}

#[uniffi::export]
impl Slackwater {
    /// Opens the store in a folder. Its time does not grow with the history in it.
    ///
    /// # Errors
    /// `Busy`, `NewerFile`, `NotWritable`, `StorageFull`, `BadInput` (device seed, language file, time, zone). A damaged file
    /// is no error: it is set aside and the rigs screen says so.
    #[uniffi::constructor]
    pub fn open(options: OpenOptions) -> Answer<Arc<Slackwater>> {
        guarded(|| {
            let device_seed =
                match options.device_seed {
                    None => None,
                    Some(seed) => Some(<[u8; 32]>::try_from(seed).map_err(|seed| {
                        SlackwaterError::BadInput {
                            reason: format!(
                                "the device seed has {} bytes; 32 are wanted",
                                seed.len()
                            ),
                        }
                    })?),
                };
            let utc_offset_minutes = zone(options.utc_offset_minutes)?;
            let fixed = match options.fixed_time_ms {
                Some(ms) => Some(Arc::new(FixedClock::at(time(Some(ms))?))),
                None => None,
            };
            let clock: Arc<dyn Clock> = match &fixed {
                Some(fixed) => fixed.clone(),
                None => Arc::new(SystemClock),
            };
            let mut env = Env {
                clock,
                entropy: Arc::new(SystemEntropy),
                device_seed,
            };
            if let Some(ms) = options.fixed_time_ms {
                env.entropy = Arc::new(SeededEntropy::new(ms as u64));
            }
            let folder = Path::new(&options.folder);
            // What was chosen on this device is in the file that may not open.
            let spoken = options.phone_language.as_deref().and_then(Texts::spoken);
            let failed = |fault: BookFault| {
                let words = FaultWords::new(spoken.unwrap_or(Texts::english()), Units::default());
                SlackwaterError::of(&fault, words.book(&fault))
            };
            if options.demo {
                demo::fill_if_empty(folder, &env).map_err(failed)?;
            }
            let book = Book::open(folder, env).map_err(failed)?;
            let watch = book.watch().clone();
            let mut desk = Desk::new(book, utc_offset_minutes);
            if let Some(why) = options.device_seed_lost {
                desk.without_secret(why);
            }
            if let Some(tag) = &options.phone_language {
                desk.phone_speaks(tag);
            }
            if let Some(language) = &options.language {
                desk.speak(&language.tag, &language.source).map_err(|e| {
                    SlackwaterError::BadInput {
                        reason: e.to_string(),
                    }
                })?;
            }
            let stack = desk.opened("").map_err(failed)?;
            let texts = Mutex::new(desk.texts());
            Ok(Arc::new(Slackwater {
                inner: Arc::new(Inner {
                    open: Mutex::new(Some(Open { desk, stack })),
                    watch,
                    texts,
                    fixed,
                }),
            }))
        })
    }

    /// What is shown and what was done.
    pub fn screens(&self) -> Arc<Screens> {
        Arc::new(Screens {
            inner: self.inner.clone(),
        })
    }

    /// Photo files.
    pub fn photos(&self) -> Arc<Photos> {
        Arc::new(Photos {
            inner: self.inner.clone(),
        })
    }

    /// The shell's own words, in the crew's language.
    ///
    /// # Errors
    /// `Closed`.
    pub fn words(&self) -> Answer<ShellWords> {
        self.inner.with(|open| Ok(open.desk.words()))
    }

    /// The phone is in another zone now, so many minutes east of UTC.
    ///
    /// # Errors
    /// `BadInput` beyond a day; `Closed`.
    pub fn set_utc_offset(&self, minutes: i32) -> Answer<()> {
        let minutes = zone(minutes)?;
        self.inner.with(|open| {
            open.desk.set_utc_offset(minutes);
            Ok(())
        })
    }

    /// The phone is set to another language now: a tag (BCP 47).
    ///
    /// # Errors
    /// `Closed`.
    pub fn set_phone_language(&self, tag: String) -> Answer<()> {
        self.inner.with(|open| {
            open.desk.phone_speaks(&tag);
            Ok(())
        })
    }

    /// Moves the fixed clock, forward or back.
    ///
    /// # Errors
    /// `BadInput` where the clock is the phone's own, or would leave the years 1970 to 9999.
    pub fn advance_clock(&self, ms: i64) -> Answer<()> {
        match &self.inner.fixed {
            Some(clock) => {
                time(clock.now_ms().checked_add(ms))?;
                clock.advance(ms);
                self.inner.with(|_| Ok(()))
            }
            None => Err(SlackwaterError::BadInput {
                reason: "only a fixed clock can be moved".to_owned(),
            }),
        }
    }

    /// Version of the program, so that a report can name it.
    pub fn build_id(&self) -> String {
        format!("slackwater {}", env!("CARGO_PKG_VERSION"))
    }

    /// Closes the store: waits for the call under way, lets go of the file and its locks. Later
    /// calls answer `Closed`. Closing twice is no error.
    pub fn close(&self) {
        held(&self.inner.open).take();
    }
}

/// What is shown and what was done.
#[derive(uniffi::Object)]
pub struct Screens {
    inner: Arc<Inner>,
}

#[uniffi::export]
impl Screens {
    /// The page that stands now.
    ///
    /// # Errors
    /// `NotFound` where what it is of isn't there: go back; `Closed`; the file's.
    pub fn page(&self) -> Answer<Page> {
        self.inner.with(|open| open.desk.top(&open.stack))
    }

    /// Does what was tapped on the page that bears `at` ([`Page::at`]), and goes where that leads. When
    /// this returns, what it recorded is on the disk. From a page that is gone it does nothing.
    ///
    /// # Errors
    /// `NotFound`, `StorageFull`, `Closed`, the file's; then nothing was recorded and the page is the
    /// same. `BadInput` for what is no action of the core's. What a person entered wrongly is no error
    /// but in [`Reply::faults`].
    pub fn act(&self, at: String, action: String) -> Answer<Reply> {
        let action: Action =
            serde_json::from_str(&action).map_err(|e| SlackwaterError::BadInput {
                reason: format!("that is no action: {e}"),
            })?;
        self.inner
            .with(|open| open.desk.act_from(&mut open.stack, &at, action))
    }

    /// Sends a form of the page, as [`Screens::act`] does.
    ///
    /// # Errors
    /// As [`Screens::act`].
    pub fn submit(&self, at: String, form: String, values: Vec<FieldValue>) -> Answer<Reply> {
        self.inner
            .with(|open| open.desk.submit_from(&mut open.stack, &at, &form, values))
    }

    /// Goes back one page; stays at the first.
    ///
    /// # Errors
    /// `Closed`.
    pub fn back(&self) -> Answer<()> {
        self.inner.with(|open| {
            open.stack.back();
            Ok(())
        })
    }

    /// Goes to a page that needs no action: that of a photo, of a reading that is due. Stays where the
    /// text names none.
    ///
    /// # Errors
    /// `Closed`.
    pub fn go(&self, at: String) -> Answer<()> {
        self.inner.with(|open| {
            open.stack.go_to(&at);
            Ok(())
        })
    }

    /// Goes where the app was when [`Page::kept`] was kept; where that can't be read to the rigs, and in a
    /// record with neither a member nor a rig to its first start.
    ///
    /// # Errors
    /// `Closed`; the file of the journal.
    pub fn restore(&self, kept: String) -> Answer<()> {
        self.inner.with(|open| {
            open.stack = open.desk.opened(&kept)?;
            Ok(())
        })
    }

    /// The air pressure outside, by this phone's own barometer. Forms that ask for the pressure offer
    /// it for two minutes; nothing is recorded. Called before a screen is shown, as often as the
    /// shell likes.
    ///
    /// # Errors
    /// `Closed`.
    pub fn offer_air_pressure(&self, reading: AirReading) -> Answer<()> {
        self.inner.with(|open| {
            open.desk.offer_air_pressure(&reading);
            Ok(())
        })
    }

    /// How the phone is: room, battery, whether its calls come through. Nothing is recorded. Called
    /// before a screen is shown, as often as the shell likes.
    ///
    /// # Errors
    /// `Closed`.
    pub fn offer_phone(&self, state: PhoneState) -> Answer<()> {
        self.inner.with(|open| {
            open.desk.hear_phone(state);
            Ok(())
        })
    }

    /// The readings that running holds want next, one a hold, for the phone to call for while the
    /// app is put away. To be asked again after each change: they move with every reading.
    ///
    /// # Errors
    /// `Closed`; the file's.
    pub fn due_readings(&self) -> Answer<Vec<DueReading>> {
        self.inner.with(|open| open.desk.due_readings())
    }

    /// A file that the person chose, for what a reply asked for by [`Reply::bring`]. What is wrong with
    /// the file comes as faults.
    ///
    /// # Errors
    /// As [`Screens::act`].
    pub fn bring(&self, wanted: String, paper: Document) -> Answer<Reply> {
        self.inner
            .with(|open| open.desk.bring_at(&mut open.stack, &wanted, &paper))
    }

    /// A file that another app handed in. The core tells what it is by how it begins and takes it, or
    /// says in faults why not.
    ///
    /// # Errors
    /// As [`Screens::act`].
    pub fn receive(&self, paper: Document) -> Answer<Reply> {
        self.inner
            .with(|open| open.desk.receive_at(&mut open.stack, &paper))
    }

    /// How much of the file that is coming in is done, in words; none while none comes in. Answers at
    /// once, also while another thread's [`Screens::bring`] or [`Screens::receive`] works.
    pub fn bringing(&self) -> Option<String> {
        let (done, of) = self.inner.watch.how_far()?;
        Some(Desk::bringing(*held(&self.inner.texts), done, of))
    }

    /// Gives up the file that is coming in; nothing of it stays. The call that brings it in then says
    /// so in its faults. Answers at once.
    pub fn give_up(&self) {
        self.inner.watch.give_up();
    }

    /// Takes back what an action recorded, by the token of its undo.
    ///
    /// # Errors
    /// As [`Screens::act`].
    pub fn undo(&self, token: String) -> Answer<Reply> {
        self.inner.with(|open| Ok(open.desk.undo(&token)?.into()))
    }
}

/// The photo of a text; one that is no hash names no photo.
fn photo_hash(text: &str) -> Result<PhotoHash, BookFault> {
    text.parse().map_err(|_| BookFault::NotFound {
        what: "photo",
        id: text.to_owned(),
    })
}

/// Photo files.
#[derive(uniffi::Object)]
pub struct Photos {
    inner: Arc<Inner>,
}

#[uniffi::export]
impl Photos {
    /// Keeps a photo, as the camera made it, with a note, for the subject that a screen names. The
    /// file is on the disk before the record that names it.
    ///
    /// # Errors
    /// `BadInput` for what is no photo or too large, `StorageFull`, `Closed`.
    pub fn add(&self, subject: String, note: String, bytes: Vec<u8>) -> Answer<Reply> {
        self.inner
            .with(|open| Ok(open.desk.add_photo(&subject, &note, &bytes)?.into()))
    }

    /// As [`Photos::add`], from a file that stays where it is.
    ///
    /// # Errors
    /// As [`Photos::add`]; `NotFound` where there is no such file.
    pub fn add_file(&self, subject: String, note: String, path: String) -> Answer<Reply> {
        self.inner.with(|open| {
            let path = Path::new(&path);
            Ok(open.desk.add_photo_file(&subject, &note, path)?.into())
        })
    }

    /// File of a photo's upright thumbnail, made now if it isn't there. Takes about a tenth of a
    /// second then: not on the thread that draws.
    ///
    /// # Errors
    /// `NotFound` for a missing photo, `BadInput` for one that can't be drawn.
    pub fn thumbnail(&self, hash: String) -> Answer<String> {
        self.inner.with(|open| {
            let hash = photo_hash(&hash)?;
            Ok(open
                .desk
                .book()
                .photos()
                .thumbnail(hash)?
                .display()
                .to_string())
        })
    }

    /// A photo upright and as large as a screen, as JPEG bytes. Takes a fifth of a second and more:
    /// not on the thread that draws.
    ///
    /// # Errors
    /// As [`Photos::thumbnail`].
    pub fn large(&self, hash: String) -> Answer<Vec<u8>> {
        self.inner.with(|open| {
            let hash = photo_hash(&hash)?;
            Ok(open.desk.book().photos().large(hash)?)
        })
    }
}

/// Fails on purpose, so that a shell's last defence can be tested.
///
/// # Errors
/// Always `Internal`, from a panic.
#[uniffi::export]
pub fn fail_on_purpose() -> Answer<()> {
    #[allow(clippy::panic)]
    guarded(|| panic!("on purpose"))
}
