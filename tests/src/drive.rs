//! Drives a book through a dive day, for tests and for measurements: named for the state reached.

use std::path::Path;
use std::sync::Arc;

use ed25519_dalek::SigningKey;
use slackwater_core::domain::book::{Book, BookFault, NewReading};
use slackwater_core::domain::facts::{Finding, HoldSetup, Role, ValveOpen};
use slackwater_core::domain::procedure::{StepKind, Target};
use slackwater_core::domain::rules::counting_hold;
use slackwater_core::domain::state::StepState;
use slackwater_core::journal::{DeviceId, Entropy, Env, Event, FixedClock, SeededEntropy};
use slackwater_core::physics::hold::ShutIn;
use slackwater_core::screens::common::{FieldValue, Place};
use slackwater_core::screens::crew::CrewAction;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::{Action, Screen};

/// 2026-06-01 06:00 UTC.
pub const MORNING_MS: i64 = 1_780_293_600_000;

/// A book with its clock and a crew of two.
pub struct Day {
    /// The book.
    pub book: Book,
    /// Its clock.
    pub clock: Arc<FixedClock>,
    /// Member id of the assistant, who holds the phone.
    pub assistant: String,
    /// Member id of the DP.
    pub dp: String,
    /// The rig.
    pub rig: String,
    /// The crew is one person, who looks again later with a photo.
    pub alone: bool,
}

/// Doors for tests: a fixed clock and repeatable randomness.
pub fn env(clock: &Arc<FixedClock>, seed: u64) -> Env {
    Env {
        clock: clock.clone(),
        entropy: Arc::new(SeededEntropy::new(seed)),
        device_seed: None,
    }
}

/// The device that a book opened anew with such doors is.
pub fn device_of(seed: u64) -> DeviceId {
    let mut key = [0; 32];
    SeededEntropy::new(seed).fill(&mut key);
    DeviceId(SigningKey::from_bytes(&key).verifying_key().to_bytes())
}

/// The events that count in a book, device by device, each in its order.
pub fn events_of(book: &Book) -> Vec<Event> {
    let page = book.journal().page(None, None, u32::MAX);
    let page = page.expect("the record can be read");
    let mut events: Vec<Event> = page.into_iter().map(|e| e.event).collect();
    events.sort_by_key(|e| (e.device, e.seq));
    events
}

/// Hands over what one book has and another not yet, device by device.
pub fn tell(from: &Book, to: &mut Book) {
    for event in &events_of(from) {
        to.ingest(event).expect("what was signed is taken");
    }
}

/// Every row of every table that the fold keeps, as text.
pub fn folded(db: &rusqlite::Connection) -> Vec<String> {
    let mut rows = Vec::new();
    for table in slackwater_core::domain::fold::TABLES {
        let sql = format!("SELECT * FROM {table}");
        let mut statement = db.prepare(&sql).expect("the fold has its tables");
        let columns = statement.column_count();
        let mut found = statement.query([]).expect("a table can be read");
        while let Some(row) = found.next().expect("a row can be read") {
            let values = (0..columns).map(|i| format!("{:?}", row.get_ref(i).expect("a column")));
            rows.push(format!(
                "{table}: {}",
                values.collect::<Vec<_>>().join(" | ")
            ));
        }
    }
    rows.sort();
    rows
}

/// Two phones that are of one crew: each has admitted the other.
///
/// # Errors
/// As [`Book::admit`].
pub fn one_crew(a: &mut Book, b: &mut Book) -> Result<(), BookFault> {
    a.admit(&[b.journal().device()])?;
    b.admit(&[a.journal().device()])?;
    Ok(())
}

/// Answers the form about another phone at the place where it is asked: 'yes', it is ours, or 'no'.
pub fn answer(desk: &mut Desk, place: &Place, ours: &str) {
    let form = match desk.show(place).expect("the form is there") {
        Screen::Crew { screen } => screen.form.expect("it asks"),
        other => panic!("{other:?}"),
    };
    let values = vec![FieldValue {
        key: form.fields[0].key.clone(),
        value: ours.to_owned(),
    }];
    let action = CrewAction::Submit {
        form: form.key,
        values,
    };
    let done = desk.act(place, Action::Crew { action }).expect("it acts");
    assert!(done.faults.is_empty(), "{done:?}");
}

/// A reading at a depression in mbar, at 25 °C and 1013 mbar.
pub fn reading(depression_mbar: f64) -> NewReading {
    NewReading {
        gauge_pa: depression_mbar * 100.0,
        temperature_k: Some(298.15),
        ambient_pa: Some(101_300.0),
        barometer: None,
        confirmed: false,
    }
}

impl Day {
    /// A rig from the first template, dry and in parts, and a crew of two.
    pub fn dry_parts(folder: &Path) -> Result<Day, BookFault> {
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let mut book = Book::open(folder, env(&clock, 1))?;
        let assistant = book.add_member("Noor", Role::Assistant)?;
        let dp = book.add_member("Ilse", Role::Dp)?;
        book.hold_phone(&assistant)?;
        let rig = book.create_from_template("housing-and-monitor", "Reef rig")?;
        Ok(Day {
            book,
            clock,
            assistant,
            dp,
            rig,
            alone: false,
        })
    }

    /// Lets time pass.
    pub fn minutes(&self, minutes: i64) {
        self.clock.advance(minutes * 60_000);
    }

    /// Holds one enclosure until it is judged: a gauge of 0.1 mbar, a sensor inside, a reading a
    /// minute, leaking `mbar_per_h`. Gives the hold's id.
    pub fn hold(&mut self, enclosure: &str, mbar_per_h: f64) -> Result<String, BookFault> {
        hold_on(
            &mut self.book,
            &self.clock,
            &self.rig,
            enclosure,
            mbar_per_h,
        )
    }

    /// Works a prep through, every step as it comes, the second member signing where asked.
    /// `stop_before` ends at the first step of that kind.
    pub fn work(&mut self, prep: &str, stop_before: Option<StepKind>) -> Result<usize, BookFault> {
        self.work_some(prep, stop_before, usize::MAX)
    }

    /// Works one step.
    pub fn work_one(&mut self, prep: &str) -> Result<usize, BookFault> {
        self.work_some(prep, None, 1)
    }

    fn work_some(
        &mut self,
        prep: &str,
        stop_before: Option<StepKind>,
        most: usize,
    ) -> Result<usize, BookFault> {
        let mut done = 0;
        loop {
            if done == most {
                return Ok(done);
            }
            let facts = self.book.prep(prep)?;
            let Some(step) = Book::current_step(&facts).cloned() else {
                return Ok(done);
            };
            if Some(step.step.kind) == stop_before {
                return Ok(done);
            }
            self.minutes(1);
            let rig = self.book.rig(&self.rig)?;
            for (part, _) in Book::step_parts(&rig, &step) {
                self.book.tick_part(prep, &step.key, &part, true)?;
            }
            match step.step.kind {
                StepKind::Hold => {
                    let enclosure = match &step.target {
                        Target::Enclosure { enclosure } => enclosure.clone(),
                        other => unreachable!("a hold of {other:?}"),
                    };
                    self.hold(&enclosure, 0.0)?;
                }
                StepKind::Controls => {
                    for c in rig.def.controls.iter().filter(|c| c.assigned()) {
                        self.book.test_control(&self.rig, &c.id, true, "")?;
                    }
                }
                StepKind::Photo => {
                    let subject = format!("{}/prep/{prep}/{}", self.rig, step.key);
                    self.book.add_photo(&subject, "all round", &png())?;
                }
                StepKind::Recheck | StepKind::Gauge => {
                    if let Some(enclosure) = enclosure_of(&step.target) {
                        self.book
                            .record_recheck(&self.rig, enclosure, reading(200.0))?;
                    }
                }
                _ => {}
            }
            let facts = self.book.prep(prep)?;
            if facts.state(&step.key) == StepState::Open {
                let value = if step.step.measure.is_some() { "1" } else { "" };
                self.book
                    .do_step_finding(prep, &step.key, value, Finding::Clean, "")?;
            }
            if step.step.two_person {
                let dp = self.dp.clone();
                self.look_again(&format!("{}/prep/{prep}/{}", self.rig, step.key))?;
                self.book.sign_step(prep, &step.key, &dp)?;
            }
            done += 1;
        }
    }

    /// Rechecks every enclosure with a gauge at 200 mbar, refitting the plug; the
    /// second member looks at the plugs.
    pub fn recheck(&mut self) -> Result<(), BookFault> {
        recheck_on(&mut self.book, &self.rig)?;
        self.look_again(&self.rig.clone())?;
        self.book.sign_plugs(&self.rig, &self.dp)?;
        Ok(())
    }

    /// What a crew of one does before it signs.
    fn look_again(&mut self, subject: &str) -> Result<(), BookFault> {
        if self.alone {
            self.minutes(5);
            let shot = picture(slackwater_core::journal::Clock::now_ms(&*self.clock));
            self.book.add_photo(subject, "looked at again", &shot)?;
        }
        Ok(())
    }

    /// A rig that is ready, by the built-in procedure. Gives the prep's id.
    pub fn ready(&mut self) -> Result<String, BookFault> {
        let prep = self.book.start_prep(&self.rig, "general-build")?;
        self.work(&prep, None)?;
        self.book.end_prep(&prep, "")?;
        self.recheck()?;
        Ok(prep)
    }
}

fn enclosure_of(target: &Target) -> Option<&str> {
    match target {
        Target::Enclosure { enclosure } => Some(enclosure),
        _ => None,
    }
}

/// So many minutes after its hold a recheck of these rigs sees a leak at the limit.
pub const SEES_AFTER_MIN: i64 = 12;

/// Begins a hold of an enclosure at 200 mbar: a gauge of 0.1 mbar, a sensor inside. Gives its id.
pub fn begin_hold(book: &mut Book, rig: &str, enclosure: &str) -> Result<String, BookFault> {
    let facts = book.rig(rig)?;
    let def = facts
        .def
        .enclosure(enclosure)
        .expect("the enclosure is on the rig");
    let setup = HoldSetup {
        gauge_resolution_pa: 10.0,
        // It stands at a round number through these holds.
        shows_its_steps: true,
        temperature_source: "inside".into(),
        // Nothing in these rigs is on, and they stand where they were built.
        shut_in: ShutIn::NOTHING,
        valve_open: Some(ValveOpen::Nothing),
        ..Book::hold_setup(def, &facts.def.plan)
    };
    book.start_hold(rig, setup, reading(200.0))
}

/// As [`Day::hold`], of a book and its clock. Some minutes pass after it.
pub fn hold_on(
    book: &mut Book,
    clock: &FixedClock,
    rig: &str,
    enclosure: &str,
    mbar_per_h: f64,
) -> Result<String, BookFault> {
    let id = begin_hold(book, rig, enclosure)?;
    for minute in 1..=120 {
        clock.advance(60_000);
        let now = 200.0 - mbar_per_h * f64::from(minute) / 60.0;
        let shown = (now * 10.0).round() / 10.0;
        book.add_reading(&id, reading(shown))?;
        let judged = book.hold(&id)?;
        let verdict = judged.judgement.as_ref().map(|j| j.verdict);
        if minute >= 10 && verdict != Some(slackwater_core::physics::hold::Verdict::NotYet) {
            break;
        }
    }
    book.conclude_hold(&id)?;
    clock.advance(SEES_AFTER_MIN * 60_000);
    Ok(id)
}

/// As [`Day::recheck`], of a book; of the enclosures that a hold proves.
pub fn recheck_on(book: &mut Book, rig: &str) -> Result<(), BookFault> {
    let facts = book.rig(rig)?;
    for e in &facts.def.enclosures {
        let known = facts.enclosure(&e.id);
        if known.is_none_or(|k| counting_hold(&facts, k).is_err()) {
            continue;
        }
        book.record_recheck(rig, &e.id, reading(200.0))?;
        book.plug_on(rig, &e.id)?;
    }
    Ok(())
}

/// A small valid PNG.
pub fn png() -> Vec<u8> {
    picture(0)
}

/// A small valid PNG, another for each `shade` of the lowest 16 bits.
pub fn picture(shade: i64) -> Vec<u8> {
    let [low, high, ..] = shade.to_le_bytes();
    let mut bytes = Vec::new();
    let image = image::RgbImage::from_fn(32, 24, |x, y| {
        image::Rgb([x as u8 ^ low, y as u8 ^ high, 90])
    });
    image
        .write_to(
            &mut std::io::Cursor::new(&mut bytes),
            image::ImageFormat::Png,
        )
        .expect("a picture in memory can be written");
    bytes
}
