//! Where shells knock: shows a place, takes an action.

use super::common::{Outcome, Place};
use super::cx::{Cx, fault};
use super::texts::{Texts, TextsFault};
use super::times::LocalTime;
use super::{Action, Screen, crew, hold, journal, prep, recheck, rig, rig_edit, rigs, seals};
use crate::domain::book::{Book, BookFault};

/// A book with its screens.
pub struct Desk {
    pub(super) book: Book,
    pub(super) texts: &'static Texts,
    pub(super) local: LocalTime,
}

impl Desk {
    /// The screens of a book, in English, at an offset from UTC in minutes.
    pub fn new(book: Book, utc_offset_min: i32) -> Desk {
        let local = LocalTime {
            utc_offset_min,
            say_zone: false,
        };
        Desk {
            book,
            texts: Texts::english(),
            local,
        }
    }

    /// Speaks another language from now on: a tag (BCP 47) and a file like `core/texts/en.ftl`.
    /// What the file lacks is said in English.
    ///
    /// # Errors
    /// [`TextsFault`] names the line; the language stays as it was.
    pub fn speak(&mut self, language: &str, source: &str) -> Result<(), TextsFault> {
        // Kept for the life of the program: a handful of kilobytes, at most once an opening.
        self.texts = Box::leak(Box::new(Texts::read(language, source)?));
        Ok(())
    }

    /// Brings a procedure file in. What is wrong with it comes as faults, each with its line.
    ///
    /// # Errors
    /// The file of the journal.
    pub fn add_procedure(&mut self, bytes: &[u8]) -> Result<Outcome, BookFault> {
        match self.book.add_procedure(bytes) {
            Ok(recorded) => Ok(super::cx::done(
                recorded,
                self.texts.get("screen_journal_procedure"),
            )),
            Err(BookFault::Procedure(faults)) => Ok(Outcome {
                faults: faults
                    .into_iter()
                    .map(|f| super::common::FieldFault {
                        field: f.what.clone(),
                        text: self.texts.say(
                            "error_procedure_line",
                            &[("line", (f.line as usize).into()), ("why", (&f.why).into())],
                        ),
                    })
                    .collect(),
                ..Outcome::default()
            }),
            Err(other) => Err(other),
        }
    }

    /// Brings a logged hold in, to be looked at. What is wrong with the file comes as faults.
    ///
    /// # Errors
    /// The file of the journal; no such enclosure.
    pub fn import_hold(
        &mut self,
        rig: &str,
        enclosure: &str,
        text: &str,
        keep_good: bool,
    ) -> Result<Outcome, BookFault> {
        let result = self
            .book
            .import_hold(rig, enclosure, text, keep_good)
            .map(|hold| super::cx::go(Place::Hold { hold, form: None }));
        self.cx()?.answered(result, true)
    }

    /// The book.
    pub fn book(&self) -> &Book {
        &self.book
    }

    /// The book, to record in.
    pub fn book_mut(&mut self) -> &mut Book {
        &mut self.book
    }

    /// The phone's zone has changed: from now on times say theirs.
    pub fn set_utc_offset(&mut self, minutes: i32) {
        if minutes != self.local.utc_offset_min {
            self.local = LocalTime {
                utc_offset_min: minutes,
                say_zone: true,
            };
        }
    }

    pub(super) fn cx(&self) -> Result<Cx<'_>, BookFault> {
        Cx::new(&self.book, self.texts, self.local)
    }

    /// What a place shows.
    ///
    /// # Errors
    /// The thing isn't there; the file.
    pub fn show(&self, place: &Place) -> Result<Screen, BookFault> {
        let cx = self.cx()?;
        Ok(match place {
            Place::Rigs { form } => Screen::Rigs {
                screen: rigs::show(&cx, form.as_deref())?,
            },
            Place::Rig { rig, form } => Screen::Rig {
                screen: rig::show(&cx, rig, form.as_deref())?,
            },
            Place::RigEdit { rig, part } => Screen::RigEdit {
                screen: rig_edit::show(&cx, rig, part.as_deref())?,
            },
            Place::Prep { prep, step, form } => Screen::Prep {
                screen: prep::show(&cx, prep, step.as_deref(), form.as_deref())?,
            },
            Place::HoldSetup { rig, enclosure } => Screen::HoldSetup {
                screen: hold::show_setup(&cx, rig, enclosure)?,
            },
            Place::Hold { hold, form } => Screen::Hold {
                screen: hold::show(&cx, hold, form.as_deref())?,
            },
            Place::Recheck { rig } => Screen::Recheck {
                screen: recheck::show(&cx, rig)?,
            },
            Place::Seals { rig } => Screen::Seals {
                screen: seals::show(&cx, rig)?,
            },
            Place::Seal { rig, seal, form } => Screen::Seal {
                screen: seals::show_one(&cx, rig, seal, form.as_deref())?,
            },
            Place::Journal { rig, before } => Screen::Journal {
                screen: journal::show(&cx, rig.as_deref(), before.as_deref())?,
            },
            Place::Entry { event } => Screen::Entry {
                screen: journal::show_entry(&cx, event)?,
            },
            Place::Crew { form } => Screen::Crew {
                screen: crew::show(&cx, form.as_deref())?,
            },
        })
    }

    /// Does an action on a place.
    ///
    /// # Errors
    /// The thing isn't there; the file. What was entered wrongly is in [`Outcome::faults`].
    pub fn act(&mut self, place: &Place, action: Action) -> Result<Outcome, BookFault> {
        let is_form = action.is_form();
        let result = match (place, action) {
            (Place::Rigs { .. }, Action::Rigs { action }) => rigs::act(self, action),
            (Place::Rig { rig, .. }, Action::Rig { action }) => rig::act(self, rig, action),
            (Place::RigEdit { rig, part }, Action::RigEdit { action }) => {
                rig_edit::act(self, rig, part.as_deref(), action)
            }
            (Place::Prep { prep, step, .. }, Action::Prep { action }) => {
                prep::act(self, prep, step.as_deref(), action)
            }
            (Place::HoldSetup { rig, enclosure }, Action::Hold { action }) => {
                hold::act_setup(self, rig, enclosure, action)
            }
            (Place::Hold { hold, .. }, Action::Hold { action }) => hold::act(self, hold, action),
            (Place::Recheck { rig }, Action::Recheck { action }) => recheck::act(self, rig, action),
            (Place::Seals { rig }, Action::Seals { action }) => seals::act(self, rig, None, action),
            (Place::Seal { rig, seal, .. }, Action::Seals { action }) => {
                seals::act(self, rig, Some(seal), action)
            }
            (Place::Journal { .. } | Place::Entry { .. }, Action::Journal { action }) => {
                journal::act(action)
            }
            (Place::Crew { .. }, Action::Crew { action }) => crew::act(self, action),
            // A shell that mixes screens up: nothing is done.
            _ => Ok(fault("", self.texts.get("error_other_screen"))),
        };
        self.cx()?.answered(result, is_form)
    }

    /// The shell's own words.
    pub fn words(&self) -> super::words::ShellWords {
        super::words::ShellWords::of(self.texts)
    }

    /// Keeps a photo with a note, for the subject that a screen names.
    ///
    /// # Errors
    /// The photo; the file.
    pub fn add_photo(
        &mut self,
        subject: &str,
        note: &str,
        bytes: &[u8],
    ) -> Result<Outcome, BookFault> {
        let (_, recorded) = self.book.add_photo(subject, note, bytes)?;
        Ok(super::cx::done(
            recorded,
            self.texts.get("common_photo_kept"),
        ))
    }

    /// As [`Desk::add_photo`], from a file.
    ///
    /// # Errors
    /// As [`Desk::add_photo`].
    pub fn add_photo_file(
        &mut self,
        subject: &str,
        note: &str,
        path: &std::path::Path,
    ) -> Result<Outcome, BookFault> {
        let (_, recorded) = self.book.add_photo_file(subject, note, path)?;
        Ok(super::cx::done(
            recorded,
            self.texts.get("common_photo_kept"),
        ))
    }

    /// Takes back what an action recorded, by [`super::common::Undo::token`].
    ///
    /// # Errors
    /// The event isn't there; the file.
    pub fn undo(&mut self, token: &str) -> Result<Outcome, BookFault> {
        let result = self
            .book
            .undo(token)
            .map(|_| super::cx::said(self.texts.get("common_undone")));
        self.cx()?.answered(result, false)
    }
}

impl Action {
    /// Whether it sends a form, whose faults stand at its fields.
    fn is_form(&self) -> bool {
        use super::crew::CrewAction as C;
        use super::hold::HoldAction as H;
        use super::prep::PrepAction as P;
        use super::recheck::RecheckAction as R;
        use super::rig::RigAction as G;
        use super::rig_edit::RigEditAction as E;
        use super::rigs::RigsAction as S;
        use super::seals::SealsAction as L;
        matches!(
            self,
            Action::Rigs {
                action: S::Submit { .. }
            } | Action::Rig {
                action: G::Submit { .. }
            } | Action::RigEdit {
                action: E::Submit { .. }
            } | Action::Prep {
                action: P::Submit { .. }
            } | Action::Hold {
                action: H::Submit { .. }
            } | Action::Recheck {
                action: R::Submit { .. }
            } | Action::Seals {
                action: L::Submit { .. }
            } | Action::Crew {
                action: C::Submit { .. }
            }
        )
    }
}
