//! What every screen is built with: the book, the words, the units, the time.

use super::common::{
    Field, FieldFault, FieldValue, Form, Line, Mark, Outcome, PhotoTile, Place, Severity, Undo,
};
use super::desk::{Asked, WaitingLog};
use super::fault_words::FaultWords;
use super::keys;
use super::measures::{Units, number};
use super::navigation::written;
use super::phone::{Air, Phone, PhoneState};
use super::procedures::WaitingProcedure;
use super::texts::{Arg, Texts};
use super::times::LocalTime;
use slackwater_domain::book::{Book, BookFault, Member, PhotoNote, Recorded};
use slackwater_domain::photos::{PhotoHash, PhotoState};
use slackwater_domain::rig::RigFault;
use slackwater_domain::rules::Now;
use slackwater_domain::subject::At;
use slackwater_physics::hold::HoldFault;

/// Most photos on a screen; the rest are in the journal.
pub const PHOTOS_SHOWN: u32 = 12;

/// The book with the words, units and time to show it in.
pub struct Cx<'a> {
    /// The book.
    pub book: &'a Book,
    /// The words.
    pub texts: &'a Texts,
    /// The crew's units.
    pub units: Units,
    /// The zone.
    pub local: LocalTime,
    /// The time.
    pub now: Now,
    /// The air pressure by this phone's barometer, where it has one that answers.
    pub air: Option<Air>,
    /// How the phone is.
    pub phone: &'a PhoneState,
    /// Why the key store gives no secret, where it should.
    pub without_secret: Option<&'a str>,
    /// A hold log that waits for the person's word.
    pub waiting: Option<&'a WaitingLog>,
    pub procedure: Option<&'a WaitingProcedure>,
    /// What was asked about something typed that is unlikely.
    pub asked: Option<&'a Asked>,
}

impl<'a> Cx<'a> {
    /// For a book, now.
    pub fn new(
        book: &'a Book,
        texts: &'a Texts,
        local: LocalTime,
        phone: &'a Phone,
        (waiting, procedure): (Option<&'a WaitingLog>, Option<&'a WaitingProcedure>),
    ) -> Result<Cx<'a>, BookFault> {
        let now = book.now();
        let units = Units::of(&*book.choices()?, texts);
        Ok(Cx {
            book,
            texts,
            units,
            local,
            air: phone.air(now.wall_ms),
            phone: &phone.state,
            without_secret: phone.without_secret.as_deref(),
            now,
            waiting,
            procedure,
            asked: None,
        })
    }

    /// A text.
    pub fn t(&self, key: &str) -> String {
        self.texts.get(key)
    }

    /// A text with placeholders.
    pub fn say(&self, key: &str, args: &[(&str, Arg<'_>)]) -> String {
        self.texts.say(key, args)
    }

    /// '8 min ago'.
    pub fn ago(&self, ms: i64) -> String {
        self.local.ago(self.texts, ms, self.now.wall_ms)
    }

    /// A member's name; a word for nobody.
    pub fn name(&self, member: &str) -> String {
        let named = |m: &Member| (m.id == member).then(|| m.name.clone());
        let there = self.book.members().ok();
        there
            .and_then(|all| all.iter().find_map(named))
            .or_else(|| self.book.all_members().ok()?.iter().find_map(named))
            .unwrap_or_else(|| self.t("common_somebody"))
    }

    /// 'Noor, 8 min ago'.
    pub fn who_when(&self, member: &str, ms: i64) -> String {
        self.say(
            "common_who_when",
            &[
                ("who", (&self.name(member)).into()),
                ("when", (&self.ago(ms)).into()),
            ],
        )
    }

    /// The photos of a thing, as tiles.
    pub fn photos(&self, rig: &str, at: At<'_>) -> Result<Vec<PhotoTile>, BookFault> {
        let notes = self.book.photo_notes(rig, at, PHOTOS_SHOWN)?;
        let tile =
            |n: &PhotoNote| self.tile(&n.photo, &n.note, self.who_when(&n.author, n.wall_ms));
        Ok(notes.iter().map(tile).collect())
    }

    /// A photo as a tile; what is wrong with its file stands in place of the note.
    pub fn tile(&self, photo: &str, note: &str, footnote: String) -> PhotoTile {
        let store = self.book.photos();
        let hash = photo.parse::<PhotoHash>().ok();
        let state = hash.map_or(PhotoState::Missing, |h| store.state(h));
        // Decoding takes tens of milliseconds: made when a photo is added, never here.
        let thumbnail = match (state, hash) {
            (PhotoState::Present, Some(h)) => store.thumbnail_if_made(h),
            _ => None,
        };
        let caption = match state {
            PhotoState::Missing => self.t("common_photo_missing"),
            PhotoState::Damaged => self.t("common_photo_damaged"),
            PhotoState::Present if note.is_empty() => self.t("common_photo_no_note"),
            PhotoState::Present => note.to_owned(),
        };
        PhotoTile {
            at: written(&Place::Photo {
                photo: photo.to_owned(),
            }),
            hash: photo.to_owned(),
            thumbnail: thumbnail.map(|p| p.display().to_string()),
            caption,
            footnote,
            broken: state != PhotoState::Present,
        }
    }

    /// What is wrong, in words.
    pub fn faults(&self) -> FaultWords<'_> {
        FaultWords::new(self.texts, self.units)
    }

    /// What a fault of an action becomes on the screen: what concerns what was entered stands at
    /// the field; what the file says goes up.
    ///
    /// # Errors
    /// What a screen can't answer: the file, things that aren't there.
    pub fn answered(
        &self,
        result: Result<Outcome, BookFault>,
        form: bool,
    ) -> Result<Outcome, BookFault> {
        match result {
            Err(BookFault::Refused(refusal)) => {
                let text = self.faults().refusal(&refusal);
                Ok(if form { fault("", text) } else { said(text) })
            }
            Err(BookFault::Rig(faults)) => Ok(Outcome {
                faults: faults
                    .into_iter()
                    .map(|f| FieldFault {
                        field: rig_field(&f).to_owned(),
                        text: self.faults().wrong(&f.why),
                    })
                    .collect(),
                ..Outcome::default()
            }),
            Err(BookFault::Hold(e)) => Ok(fault(hold_field(&e), self.faults().hold(&e))),
            Err(BookFault::HoldLog(e)) => Ok(fault("", self.faults().log(&e))),
            Err(BookFault::Photo(e)) => Ok(said(self.faults().book(&BookFault::Photo(e)))),
            other => other,
        }
    }
}

/// The field of a form that a fault of a rig's definition or a dive stands at.
fn rig_field(fault: &RigFault) -> &str {
    match fault.field() {
        // The plan's and the dive's fields, which are in the crew's units.
        "depth_m" => keys::DEPTH,
        // How heavy the rig is to be, in the crew's unit.
        "heavy_g" => keys::HEAVY,
        "salinity_g_kg" => keys::SALINITY,
        "water_c" => keys::WATER,
        other => other,
    }
}

fn hold_field(fault: &HoldFault) -> &'static str {
    use slackwater_physics::hold::Quantity as Q;
    match fault.quantity() {
        Q::Temperature | Q::WaterTemperature => keys::TEMPERATURE,
        Q::Ambient | Q::BarometerError => keys::AMBIENT,
        Q::Resolution => keys::RESOLUTION,
        Q::FreeVolume
        | Q::VolumeError
        | Q::FreeVolumeError
        | Q::Displaced
        | Q::Walls
        | Q::Contents
        | Q::KnownVolume
        | Q::KnownVolumeError
        | Q::KnownVolumePressure => "volume",
        Q::Gauge
        | Q::FirstGauge
        | Q::SecondGauge
        | Q::GaugeOpen
        | Q::GaugeError
        | Q::Time
        | Q::ThermometerError
        | Q::Humidity
        | Q::Limit
        | Q::Depth
        | Q::Minutes
        | Q::Salinity
        | Q::HoldReadings
        | Q::Between
        | Q::Pairs
        | Q::ContentsError
        | Q::SyringeAir
        | Q::SyringeError
        | Q::Stroke
        | Q::StrokeError
        | Q::Strokes
        | Q::PressureOutside
        | Q::PressureBefore
        | Q::PressureAfter
        | Q::PressureError => keys::GAUGE,
    }
}

/// A line.
pub fn line(text: String, severity: Severity, mark: Option<Mark>) -> Line {
    Line {
        text,
        severity,
        mark,
    }
}

/// An outcome that says something.
pub fn said(text: String) -> Outcome {
    Outcome {
        said: Some(text),
        ..Outcome::default()
    }
}

/// A button that leads to a place, and does nothing else.
pub fn lead(label: String, place: super::common::Place) -> super::common::Button {
    button(label, super::Action::Go { place })
}

/// A button that can be used now and asks nothing.
pub fn button(label: String, action: impl Into<super::Action>) -> super::common::Button {
    super::common::Button {
        label,
        action: action.into(),
        enabled: true,
        why_not: None,
        confirm: None,
    }
}

/// An outcome that goes somewhere.
pub fn go(place: super::common::Place) -> Outcome {
    Outcome {
        go: Some(place),
        ..Outcome::default()
    }
}

/// An outcome that leaves the place.
pub fn leave() -> Outcome {
    Outcome {
        leave: true,
        ..Outcome::default()
    }
}

/// An outcome with one wrong field.
pub fn fault(field: &str, text: String) -> Outcome {
    Outcome {
        faults: vec![FieldFault {
            field: field.to_owned(),
            text,
        }],
        ..Outcome::default()
    }
}

/// An outcome with what can be undone.
pub fn done(recorded: Recorded, said: String) -> Outcome {
    Outcome {
        undo: recorded.undo.map(|token| Undo {
            label: said.clone(),
            token,
        }),
        said: Some(said),
        ..Outcome::default()
    }
}

/// A form.
pub fn form(key: &str, title: String, fields: Vec<Field>, submit: String) -> Form {
    Form {
        key: key.to_owned(),
        title,
        fields,
        submit,
    }
}

/// What was typed, read field by field; faults are gathered so that all are shown at once.
pub struct Typed<'a> {
    texts: &'a Texts,
    values: &'a [FieldValue],
    /// What is wrong so far.
    pub faults: Vec<FieldFault>,
}

impl<'a> Typed<'a> {
    /// Over the values of a form.
    pub fn new(texts: &'a Texts, values: &'a [FieldValue]) -> Typed<'a> {
        Typed {
            texts,
            values,
            faults: Vec::new(),
        }
    }

    /// A text, trimmed; empty where it wasn't sent.
    pub fn text(&self, key: &str) -> &'a str {
        self.values
            .iter()
            .find(|v| v.key == key)
            .map_or("", |v| v.value.trim())
    }

    /// A text that must be there.
    pub fn must_text(&mut self, key: &str) -> &'a str {
        let text = self.text(key);
        // A space of no width is no word either.
        if slackwater_domain::names::visible(text).is_none() {
            self.wrong(key, "error_text_wanted");
        }
        text
    }

    /// A number that must be there. NaN after a fault.
    pub fn must_number(&mut self, key: &str) -> f64 {
        match number(self.text(key)) {
            Ok(n) => n,
            Err(why) => {
                self.wrong(key, why);
                f64::NAN
            }
        }
    }

    /// A number that may be left out.
    pub fn may_number(&mut self, key: &str) -> Option<f64> {
        if self.text(key).is_empty() {
            None
        } else {
            Some(self.must_number(key))
        }
    }

    /// Whether a switch is on.
    pub fn on(&self, key: &str) -> bool {
        self.text(key) == "yes"
    }

    /// Notes a fault. The first of a field stands: what is no number is not out of range as well.
    pub fn wrong(&mut self, key: &str, why: &str) {
        if self.faults.iter().any(|f| f.field == key) {
            return;
        }
        self.faults.push(FieldFault {
            field: key.to_owned(),
            text: self.texts.get(why),
        });
    }

    /// The outcome of the faults, if there are any.
    pub fn faults(self) -> Option<Outcome> {
        (!self.faults.is_empty()).then(|| Outcome {
            faults: self.faults,
            ..Outcome::default()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_physics::hold::{Quantity, Why};

    #[test]
    fn a_quantity_at_fault_stands_at_its_own_field_however_it_is_called() {
        for quantity in Quantity::ALL {
            let of_a_number = hold_field(&HoldFault::absurd(quantity, 0.0, Why::NoNumber));
            let of_a_reading = hold_field(&HoldFault::AbsurdReading {
                index: 3,
                quantity,
                value: 0.0,
                why: Why::NoNumber,
            });
            assert_eq!(of_a_number, of_a_reading, "{quantity}");
        }
        let field = |quantity| hold_field(&HoldFault::absurd(quantity, 0.0, Why::NoNumber));
        assert_eq!(field(Quantity::Gauge), "gauge");
        assert_eq!(field(Quantity::Temperature), "temperature");
        assert_eq!(field(Quantity::Ambient), "ambient");
        assert_eq!(field(Quantity::Resolution), "resolution");
        assert_eq!(field(Quantity::FreeVolume), "volume");
        assert_eq!(field(Quantity::KnownVolumePressure), "volume");
        assert_eq!(hold_field(&HoldFault::OutOfOrder { index: 1 }), "gauge");
    }
}
