//! A book with its words: what every screen is shown from and acts on.

use super::common::{Document, Field, Outcome, Place};
use super::cx::Cx;
use super::fault_words::FaultWords;
use super::forms::Note;
use super::measures::Units;
use super::phone::{AirReading, DueReading, Phone, PhoneState};
use super::procedures::WaitingProcedure;
use super::texts::{Texts, TextsFault};
use super::times::LocalTime;
use slackwater_domain::book::{Book, BookFault};
use slackwater_domain::hold_log::WrongRow;

/// A book with its screens.
pub struct Desk {
    pub(super) book: Book,
    pub(super) texts: &'static Texts,
    /// The language that this phone is set to, or one that was handed in.
    offered: &'static Texts,
    pub(super) local: LocalTime,
    /// What the phone says of itself.
    pub(super) phone: Phone,
    /// A hold log with wrong rows that waits for the person's word.
    pub(super) waiting: Option<WaitingLog>,
    /// A procedure that waits for the person's word.
    pub(super) procedure: Option<WaitingProcedure>,
    /// What was asked about something typed that is unlikely.
    pub(super) asked: Option<Asked>,
}

/// A question about something typed that is unlikely: it stands in its form until it is answered.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Asked {
    /// Whose form: the hold's id, or rig and enclosure.
    pub at: String,
    /// The switch that says that it is so. Its key names the numbers, so that it answers for no others.
    pub field: Field,
}

/// A hold log that was brought in and has wrong rows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct WaitingLog {
    pub rig: String,
    pub enclosure: String,
    pub name: String,
    pub text: String,
    pub wrong: Vec<WrongRow>,
}

impl Desk {
    /// The screens of a book, in the language that was chosen on this device (else in English), at an
    /// offset from UTC in minutes.
    pub fn new(book: Book, utc_offset_min: i32) -> Desk {
        let local = LocalTime {
            utc_offset_min,
            say_zone: false,
        };
        let mut desk = Desk {
            book,
            texts: Texts::english(),
            offered: Texts::english(),
            local,
            phone: Phone::default(),
            waiting: None,
            procedure: None,
            asked: None,
        };
        desk.choose_texts();
        desk
    }

    /// The language that this phone is set to, as a tag (BCP 47). It is spoken where it is built in and
    /// no other was chosen on this device; else English.
    pub fn phone_speaks(&mut self, tag: &str) {
        self.offered = Texts::spoken(tag).unwrap_or(Texts::english());
        self.choose_texts();
    }

    /// Speaks a built-in language from now on and keeps that as a note of this device, no fact of the
    /// crew; as the phone does where the tag is empty.
    ///
    /// # Errors
    /// The file of the journal; nothing is changed then.
    pub(super) fn choose_language(&mut self, tag: &str) -> Result<(), BookFault> {
        self.book.set_local(Note::Language, tag)?;
        self.choose_texts();
        Ok(())
    }

    /// What was chosen, else what was offered. A note that can't be read chooses nothing. Where the phone
    /// speaks the language that was chosen, it stays that of the phone's region.
    fn choose_texts(&mut self) {
        let chosen = self.book.local(Note::Language).ok().flatten();
        self.texts = chosen
            .and_then(|tag| Texts::spoken(&tag))
            .filter(|chosen| !chosen.same_language(self.offered))
            .unwrap_or(self.offered);
    }

    /// The air pressure outside by this phone's own barometer. Forms that ask for it offer it for two
    /// minutes. What no air has (below 300 or above 1200 mbar, or no number) is passed over.
    pub fn offer_air_pressure(&mut self, reading: &AirReading) {
        self.phone.hear_air(reading, self.book.now().wall_ms);
    }

    /// How the phone is: what of it a person should know is said where it matters.
    pub fn hear_phone(&mut self, state: PhoneState) {
        self.phone.state = state;
    }

    /// The readings that the running holds want next, for the phone to call for.
    ///
    /// # Errors
    /// The file of the journal.
    pub fn due_readings(&self) -> Result<Vec<DueReading>, BookFault> {
        super::phone::due_readings(&self.cx()?)
    }

    /// The key store could not give the secret of this phone, for the reason that it gave: said on the
    /// first screen, since the phone signs as another device without it.
    pub fn without_secret(&mut self, why: String) {
        self.phone.without_secret = Some(why);
    }

    /// Speaks another language from now on, unless one was chosen on this device: a tag (BCP 47) and a
    /// file like `core/texts/en.ftl`. What the file lacks is said in English.
    ///
    /// # Errors
    /// [`TextsFault`] names the line; the language stays as it was.
    pub fn speak(&mut self, language: &str, source: &str) -> Result<(), TextsFault> {
        // Kept for the life of the program: a handful of kilobytes, at most once an opening.
        self.offered = Box::leak(Box::new(Texts::read(language, source)?));
        self.choose_texts();
        Ok(())
    }

    /// Looks at a procedure file and leads to where it is told what it is and replaces, and asked whether the
    /// crew wants it. What is wrong with it comes as faults, each with its line.
    ///
    /// # Errors
    /// The file of the journal.
    pub fn add_procedure(&mut self, bytes: &[u8]) -> Result<Outcome, BookFault> {
        super::procedures::look_at(self, bytes)
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

    /// A file that the person chose for what an outcome asked for ([`Outcome::bring`]) at a place.
    ///
    /// # Errors
    /// The file of the journal; what the place names isn't there.
    pub fn bring(
        &mut self,
        place: &Place,
        wanted: &str,
        paper: &Document,
    ) -> Result<Outcome, BookFault> {
        match (place, wanted) {
            (Place::HoldSetup { rig, enclosure }, super::hold::BRINGS) => {
                super::hold::bring(self, rig, enclosure, paper)
            }
            (Place::Crew { .. } | Place::Rigs { .. }, super::crew::BRINGS) => {
                super::crew::bring(self, paper)
            }
            (Place::Start { .. }, super::crew::BRINGS) => {
                let outcome = super::crew::bring(self, paper)?;
                // Whoever joins a crew founds none.
                let leave = outcome.faults.is_empty();
                Ok(Outcome { leave, ..outcome })
            }
            _ => Ok(super::cx::fault("", self.texts.get("error_other_screen"))),
        }
    }

    /// A file that another app handed in while this place was shown. It is taken where it is known
    /// for what it is; faults say why it is not.
    ///
    /// # Errors
    /// The file of the journal; what the place names isn't there.
    pub fn receive(&mut self, place: &Place, paper: &Document) -> Result<Outcome, BookFault> {
        super::handed_in::receive(self, place, paper)
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
        let waiting = (self.waiting.as_ref(), self.procedure.as_ref());
        let cx = Cx::new(&self.book, self.texts, self.local, &self.phone, waiting)?;
        Ok(Cx {
            asked: self.asked.as_ref(),
            ..cx
        })
    }

    /// How much of the file that is coming in is done, in words, by what [`Book::watch`] tells of it.
    pub fn bringing(texts: &Texts, done: u64, of: u64) -> String {
        let percent = (done.saturating_mul(100) / of.max(1)).min(100) as usize;
        texts.say("shell_bringing", &[("percent", percent.into())])
    }

    /// The language it speaks.
    pub fn texts(&self) -> &'static Texts {
        self.texts
    }

    /// What went wrong, for a person. Where the record can't even say the crew's units, in metric.
    pub fn words_of(&self, fault: &BookFault) -> String {
        let units = self.cx().map_or_else(|_| Units::default(), |cx| cx.units);
        FaultWords::new(self.texts, units).book(fault)
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
}
