//! Two people with a phone, a pump and a rig: they do things, and they tap what the screens offer.

mod between;
mod hands;
mod list;
mod numbers;
mod prepping;
mod proof;

use std::collections::BTreeSet;
use std::sync::Arc;

use slackwater_core::domain::book::{Book, BookFault};
use slackwater_core::domain::facts::Role;
use slackwater_core::domain::procedure::{StepInstance, StepKind, Target as Of};
use slackwater_core::domain::state::StepState;
use slackwater_core::journal::FixedClock;
use slackwater_core::physics::hold::Verdict;
use slackwater_core::screens::common::{FieldKind, FieldValue, Form, Mark, Outcome, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::hold::{HoldAction, HoldButton};
use slackwater_core::screens::prep::PrepAction;
use slackwater_core::screens::recheck::RecheckAction;
use slackwater_core::screens::rig::RigAction;
use slackwater_core::screens::rig_edit::RigEditAction;
use slackwater_core::screens::seals::SealsAction;
use slackwater_core::screens::service::ServiceAction;
use slackwater_core::screens::{Action, Screen};

use super::dice::Dice;
use super::oracle::{ControlTruth, False, Human, Past, wrong};
use super::script::{Mishap, Wrong};
use super::world::{Camera, Leak, Plan, Ring, SealTruth, UNITS, Vessel, Weather};
use crate::drive::{MORNING_MS, env, png};
use crate::shell::{Target, filled, forms, targets};

/// Most taps that working one list off may take: beyond, it is a dead end.
const MOST_TAPS: usize = 60;
/// Longest that a crew waits for one hold, s: three hours.
const LONGEST_HOLD_S: f64 = 10_800.0;

/// What comes of an attempt.
#[derive(Debug, Clone, PartialEq)]
pub enum Fate {
    /// Done.
    Done,
    /// The app leaves no way on.
    Stuck(String),
}

/// What thermometer a crew has.
const SOURCES: [&str; 4] = ["inside", "surface", "air", "none"];

/// A crew with all it has.
pub struct Crew {
    /// The screens of the phone.
    pub desk: Desk,
    clock: Arc<FixedClock>,
    folder: std::path::PathBuf,
    seed: u64,
    /// True time, s since the first morning.
    pub t: f64,
    weather: Weather,
    /// The enclosures as they are.
    pub vessels: Vec<Vessel>,
    /// What happened to them.
    pub pasts: Vec<Past>,
    /// The controls as they are.
    pub controls: Vec<ControlTruth>,
    rig: String,
    members: [String; 2],
    holder: Human,
    source: usize,
    thermometer_k: f64,
    barometer_pa: f64,
    dice: Dice,
    /// What goes wrong.
    script: Vec<Mishap>,
    /// Which of it has come to pass.
    pub fired: BTreeSet<usize>,
    /// Told of each fired mishap that the app refused or asked about, so that the crew put it right.
    pub caught: Vec<Wrong>,
    day: usize,
    /// The story, where it is kept.
    pub story: Option<Vec<String>>,
    moved: bool,
    /// Before the next hold the camera was off and it stood here, as a page said.
    rested: bool,
    /// The next hold's vacuum is deeper, as a page said.
    deeper: bool,
    /// It came from elsewhere so short a time before this, s of true time.
    brought_until: f64,
    /// What came to pass since the last form was sent.
    recent: Vec<Wrong>,
    plan_before: Option<Plan>,
}

type Result<T> = std::result::Result<T, BookFault>;

impl Crew {
    /// A crew with a new phone and a rig in parts.
    ///
    /// # Errors
    /// The file.
    pub fn new(
        folder: &std::path::Path,
        seed: u64,
        script: Vec<Mishap>,
        tell: bool,
    ) -> Result<Crew> {
        let mut d = Dice::of(seed, &[2]);
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let mut book = Book::open(folder, env(&clock, seed))?;
        quick(&book);
        let noor = book.add_member("Noor", Role::Assistant)?;
        let ilse = book.add_member("Ilse", Role::Dp)?;
        book.hold_phone(&noor)?;
        let template = if d.chance(0.6) {
            "single-housing"
        } else {
            "housing-and-monitor"
        };
        let rig = book.create_from_template(template, "Reef rig")?;
        let facts = book.rig(&rig)?;
        let weather = Weather::new(&mut d);
        let mut vessels = Vec::new();
        for e in &facts.def.enclosures {
            let off = 1.0 + 0.5 * d.normal().clamp(-2.0, 2.0) * e.volume_sd_l / e.volume_l;
            let mut v = Vessel::new(&mut d, &e.id, e.volume_l * off, e.limit(), e.depth_rating_m);
            v.closures = e.closures.iter().map(|c| (c.id.clone(), false)).collect();
            v.seals = facts
                .def
                .seals
                .iter()
                .filter(|s| s.enclosure == e.id)
                .map(|s| SealTruth {
                    id: s.id.clone(),
                    closure: s.closure.clone(),
                    ring: Ring::Fine,
                    pore: 0.0,
                    serviced: true,
                    said: true,
                    told: true,
                    damaged: false,
                })
                .collect();
            vessels.push(v);
        }
        let controls = facts
            .def
            .controls
            .iter()
            .map(|c| ControlTruth {
                id: c.id.clone(),
                enclosure: c.enclosure.clone(),
                dead_s: None,
                tried_s: None,
                said: None,
            })
            .collect();
        let pasts = vec![Past::default(); vessels.len()];
        let source = d.of_these(&[0, 0, 0, 1, 1, 1, 1, 2]);
        Ok(Crew {
            desk: Desk::new(book, 120),
            clock,
            folder: folder.to_owned(),
            seed,
            t: 0.0,
            weather,
            vessels,
            pasts,
            controls,
            rig,
            members: [noor, ilse],
            holder: 0,
            source,
            thermometer_k: d.normal() * [0.05, 0.2, 0.4, 0.0][source],
            barometer_pa: d.normal() * 100.0,
            dice: Dice::of(seed, &[3]),
            script,
            fired: BTreeSet::new(),
            caught: Vec::new(),
            day: 0,
            story: tell.then(Vec::new),
            moved: false,
            rested: false,
            deeper: false,
            brought_until: f64::MIN,
            recent: Vec::new(),
            plan_before: None,
        })
    }

    fn tell(&mut self, line: impl FnOnce(&Crew) -> String) {
        if self.story.is_some() {
            let text = line(self);
            let minutes = (self.t / 60.0) as i64 + 6 * 60;
            let at = format!(
                "day {} {:02}:{:02}  {text}",
                self.day + 1,
                (minutes / 60) % 24,
                minutes % 60
            );
            if let Some(story) = &mut self.story {
                story.push(at);
            }
        }
    }

    /// Whether a mishap of that kind comes to pass now; each does once.
    fn fires(&mut self, what: Wrong) -> Option<Mishap> {
        let hour = (self.t / 86_400.0).fract();
        let found = self.script.iter().enumerate().find(|(i, m)| {
            m.what == what
                && m.day == self.day
                && !self.fired.contains(i)
                && (!what.comes_by_itself() || hour >= 0.3 * m.when)
        });
        let (i, m) = found.map(|(i, m)| (i, *m))?;
        self.fired.insert(i);
        self.recent.push(what);
        self.tell(|_| format!("!! {what:?}"));
        Some(m)
    }

    fn caught(&mut self, what: Wrong, why: &str) {
        self.caught.push(what);
        self.tell(|_| format!("   the app noticed {what:?}: {why}"));
    }

    /// Whether all has gone as practice asks, and no thing has failed.
    #[must_use]
    pub fn unharmed(&self) -> bool {
        self.fired.is_empty()
    }

    /// Lets time pass on deck.
    pub fn wait_s(&mut self, seconds: f64) {
        self.wait_in(seconds, None);
    }

    fn wait_in(&mut self, seconds: f64, water_k: Option<f64>) {
        let (from, to) = (self.t, self.t + seconds);
        let weather = &self.weather;
        let outside = |t: f64| water_k.unwrap_or_else(|| weather.air_k(t));
        for v in &mut self.vessels {
            v.go_on(from, to, weather, &outside);
        }
        self.t = to;
        self.clock.advance((seconds * 1_000.0).round() as i64);
        self.things_fail();
    }

    /// Begins a day at six in the morning.
    pub fn begin_day(&mut self, day: usize) {
        self.dice = Dice::of(self.seed, &[3, day as u64]);
        let morning = day as f64 * 86_400.0 + self.dice.between(0.0, 1_800.0);
        if morning > self.t {
            for v in &mut self.vessels {
                v.set_camera(Camera::Cold);
            }
            // A night in steps, so that what begins in it begins in time.
            let steps = ((morning - self.t) / 3_600.0).ceil().max(1.0);
            let each = (morning - self.t) / steps;
            for _ in 0..steps as usize {
                self.wait_s(each);
            }
        }
        self.day = day;
        self.tell(|_| "a new day".into());
    }

    fn things_fail(&mut self) {
        if let Some(m) = self.fires(Wrong::LeakBegins) {
            self.begin_leak(m, false);
        }
        if let Some(m) = self.fires(Wrong::LeakDeep) {
            self.begin_leak(m, true);
        }
        if let Some(m) = self.fires(Wrong::ControlDies) {
            let i = m.which % self.controls.len().max(1);
            let t = self.t;
            if let Some(c) = self.controls.get_mut(i) {
                c.dead_s.get_or_insert(t);
            }
        }
    }

    fn begin_leak(&mut self, m: Mishap, only_deep: bool) {
        let (t, plan) = (self.t, self.plan());
        let n = self.vessels.len();
        let v = &mut self.vessels[m.which % n];
        v.leaks.push(Leak {
            from_s: t,
            pore: Vessel::pore_of(m.size * v.limit_ml, &plan),
            only_deep,
        });
        self.tell(|_| format!("   a leak of {:.1} limits", m.size));
    }

    /// The dive that the app has as planned.
    #[must_use]
    pub fn plan(&self) -> Plan {
        let p = self.desk.book().rig(&self.rig).map(|r| r.def.plan);
        p.map_or(
            Plan {
                depth_m: 20.0,
                minutes: 60.0,
                salinity: 35.0,
                water_c: 20.0,
            },
            |p| Plan {
                depth_m: p.depth_m,
                minutes: p.minutes,
                salinity: p.salinity_g_kg,
                water_c: p.water_c,
            },
        )
    }

    fn tap(&mut self, place: &Place, action: Action) -> Result<Outcome> {
        let shown = self.story.is_some().then(|| brief(&action));
        let outcome = self.desk.act(place, action)?;
        if let Some(shown) = shown {
            let said: Vec<&str> = outcome
                .faults
                .iter()
                .map(|f| f.text.as_str())
                .chain(outcome.said.as_deref())
                .collect();
            let said = said.join("; ").replace('\n', " ");
            self.tell(|_| {
                format!(
                    "   {shown}{}{said}",
                    if said.is_empty() { "" } else { " → " }
                )
            });
        }
        Ok(outcome)
    }

    fn rig_place(&self, form: Option<&str>) -> Place {
        Place::Rig {
            rig: self.rig.clone(),
            form: form.map(str::to_owned),
        }
    }

    fn prep_place(prep: &str, step: Option<&str>, form: Option<&str>) -> Place {
        Place::Prep {
            prep: prep.to_owned(),
            step: step.map(str::to_owned),
            form: form.map(str::to_owned),
        }
    }

    fn index(&self, enclosure: &str) -> Option<usize> {
        self.vessels.iter().position(|v| v.id == enclosure)
    }

    /// Sends a form of a place with some values typed over.
    fn send(
        &mut self,
        place: &Place,
        key: &str,
        typed: &[(&str, &str)],
    ) -> Result<Option<Outcome>> {
        let screen = self.desk.show(place)?;
        let Some(form) = forms(&screen).into_iter().find(|f| f.key.starts_with(key)) else {
            return Ok(None);
        };
        let values = filled(&form, typed);
        let Some(action) = crate::shell::submit(place, &form.key, values) else {
            return Ok(None);
        };
        self.tap(place, action).map(Some)
    }

    /// What is truly wrong with the rig as it goes in now.
    #[must_use]
    pub fn truth(&self) -> Vec<False> {
        wrong(
            &self.vessels,
            &self.pasts,
            &self.controls,
            &self.plan(),
            self.t,
            7_200.0,
        )
    }

    /// Whether the app says ready now.
    ///
    /// # Errors
    /// The file.
    pub fn says_ready(&self) -> Result<bool> {
        Ok(self.desk.book().readiness(&self.rig)?.is_ready())
    }

    /// The dive, and what is written of it. Gives whether water was found.
    ///
    /// # Errors
    /// The file.
    pub fn dive(&mut self) -> Result<bool> {
        let mut plan = self.plan();
        if self.fires(Wrong::DivesDeep).is_some() {
            plan.depth_m = self.vessels[0].rated_m + 6.0;
        }
        let t = self.t;
        for v in &mut self.vessels {
            v.dive(&plan, t);
        }
        self.tell(|_| format!("dives to {} m", plan.depth_m));
        self.wait_in(plan.minutes * 60.0, Some(plan.water_c + 273.15));
        let at = self.rig_place(Some("dive"));
        let (depth, minutes) = (format!("{}", plan.depth_m), format!("{}", plan.minutes));
        let typed = [("depth", depth.as_str()), ("minutes", minutes.as_str())];
        self.send(&at, "dive", &typed)?;
        // Asked whether it was so, they say that it was: it is what they did.
        let asked = forms(&self.desk.show(&at)?)
            .into_iter()
            .flat_map(|f| f.fields);
        let sure = asked.map(|f| f.key).find(|key| key.starts_with("sure:"));
        if let Some(key) = sure {
            let [depth, minutes] = typed;
            self.send(&at, "dive", &[depth, minutes, (&key, "yes")])?;
        }
        let wet = self.vessels.iter().any(|v| v.wet);
        if wet {
            let at = self.rig_place(Some("defect"));
            self.send(
                &at,
                "defect",
                &[
                    ("text", "Water inside"),
                    ("water", "yes"),
                    ("blocks", "yes"),
                ],
            )?;
        }
        Ok(wet)
    }

    /// Opens one closure as the day wants it (another lens), and writes it down.
    ///
    /// # Errors
    /// The file.
    pub fn changes_lens(&mut self) -> Result<()> {
        let v = 0;
        if self.vessels[v].open() {
            return Ok(());
        }
        let closure = self.vessels[v]
            .closures
            .iter()
            .find(|c| c.0 == "port")
            .or(self.vessels[v].closures.first())
            .map(|c| c.0.clone());
        self.opens(v, closure.as_deref(), true);
        let at = self.rig_place(None);
        let action = RigAction::OpenClosure {
            enclosure: self.vessels[v].id.clone(),
            closure,
        };
        self.tap(&at, Action::Rig { action })?;
        Ok(())
    }

    /// Sets the clock back with the app closed between, after it was set ahead.
    ///
    /// # Errors
    /// The file.
    pub fn clock_there_and_back(&mut self) -> Result<()> {
        if let Some(m) = self.fires(Wrong::ClockThereAndBack) {
            let by = (m.size * 30.0 * 3_600_000.0) as i64;
            self.clock.advance(by);
            let _ = self.desk.show(&Place::Rigs { form: None })?;
            self.clock.advance(-by);
        }
        Ok(())
    }

    /// Whether the recheck of before the last dive is used again.
    pub fn skips_recheck(&mut self) -> bool {
        self.fires(Wrong::NoRecheck).is_some()
    }

    /// A die for the plan of the day.
    pub fn dice(&mut self) -> &mut Dice {
        &mut self.dice
    }

    /// The mishaps that came to pass.
    #[must_use]
    pub fn came(&self) -> Vec<Wrong> {
        self.fired.iter().map(|i| self.script[*i].what).collect()
    }
}

/// A copy of nobody's evidence waits for no disk.
fn quick(book: &Book) {
    let _ = book
        .journal()
        .read()
        .execute_batch("PRAGMA synchronous = OFF");
}

fn all_events(book: &Book) -> Result<Vec<slackwater_core::journal::Event>> {
    let mut all = Vec::new();
    book.journal().each_event::<BookFault>(|e| {
        all.push(e);
        Ok(())
    })?;
    Ok(all)
}

/// What was typed, and that it is so.
fn sure(form: &Form, typed: &[FieldValue]) -> Vec<FieldValue> {
    let mut values = typed.to_vec();
    for f in form.fields.iter().filter(|f| f.kind == FieldKind::Switch) {
        let yes = FieldValue {
            key: f.key.clone(),
            value: "yes".into(),
        };
        match values.iter_mut().find(|v| v.key == f.key) {
            Some(v) => *v = yes,
            None => values.push(yes),
        }
    }
    values
}

/// A number with the places of a step.
fn places(value: f64, step: f64) -> String {
    let places = if step >= 1.0 {
        0
    } else {
        (-step.log10()).ceil() as usize
    };
    format!("{value:.places$}")
}

/// An action without its braces.
fn brief(action: &Action) -> String {
    let text = format!("{action:?}");
    let from = text.find("action: ").map_or(0, |i| i + 8);
    let mut text: String = text[from..].trim_end_matches(" }").to_owned();
    for noise in ["FieldValue { key: ", "value: ", " }", "{ "] {
        text = text.replace(noise, "");
    }
    text.chars().take(220).collect()
}

/// The name of a kind of obstacle, for counting.
#[must_use]
pub fn obstacle_name(o: &slackwater_core::domain::readiness::Obstacle) -> String {
    let text = format!("{o:?}");
    let kind: String = text.chars().take_while(|c| c.is_alphanumeric()).collect();
    let why = text.split("why: ").nth(1).map(|w| {
        w.chars()
            .take_while(|c| c.is_alphanumeric())
            .collect::<String>()
    });
    why.map_or(kind.clone(), |w| format!("{kind} ({w})"))
}
