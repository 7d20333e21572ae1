//! Two people with a phone, a pump and a rig: they do things, and they tap what the screens offer.

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
use slackwater_core::screens::hold::HoldAction;
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
            recent: Vec::new(),
            plan_before: None,
        })
    }

    // ---- telling ---------------------------------------------------------------------------

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

    // ---- time ------------------------------------------------------------------------------

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

    // ---- the phone -------------------------------------------------------------------------

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

    // ---- what the hands do -----------------------------------------------------------------

    fn opens(&mut self, v: usize, closure: Option<&str>, told: bool) {
        let t = self.t;
        let vessel = &mut self.vessels[v];
        vessel.valve_open = true;
        for c in &mut vessel.closures {
            if closure.is_none_or(|id| id == c.0) {
                c.1 = true;
            }
        }
        for s in &mut vessel.seals {
            if s.closure.is_some() && (closure.is_none() || s.closure.as_deref() == closure) {
                s.serviced = false;
                s.said = false;
                s.told = told;
            }
        }
        vessel.been_m = 0.0;
        vessel.wet = false;
        let past = &mut self.pasts[v];
        past.opened_s = t;
        past.opened_told = told;
        past.pumped_untold = false;
        self.plug_comes_out(v);
        // So that the gas is what it is now.
        self.wait_s(1.0);
    }

    fn plug_comes_out(&mut self, v: usize) {
        if self.vessels[v].plug_in {
            self.vessels[v].plug_in = false;
            self.pasts[v].plug_said.clear();
            self.pasts[v].one_for_two = false;
        }
    }

    fn shuts(&mut self, v: usize, closure: Option<&str>) {
        for c in &mut self.vessels[v].closures {
            if closure.is_none_or(|id| id == c.0) {
                c.1 = false;
            }
        }
    }

    /// Services a ring, or says so. Gives what was found, as the screens know it.
    fn services(&mut self, v: usize, seal: &str) -> &'static str {
        let plan = self.plan();
        let limit = self.vessels[v].limit_ml;
        let s = self.vessels[v].seals.iter().position(|s| s.id == seal);
        let Some(s) = s else { return "clean" };
        self.vessels[v].seals[s].said = true;
        if self.fires(Wrong::NotServiced).is_some() {
            return "clean";
        }
        let bad = |ml: f64| Vessel::pore_of(ml, &plan);
        let nicked = self.fires(Wrong::NickedBack);
        let out = self.fires(Wrong::RingLeftOut);
        let hair = self.fires(Wrong::Hair);
        let ring = &mut self.vessels[v].seals[s];
        ring.serviced = true;
        if let Some(m) = nicked {
            ring.ring = Ring::Bad;
            ring.damaged = true;
            ring.pore = bad(0.05 * limit * (1.0 + m.size));
            return "nick";
        }
        if let Some(m) = out {
            ring.ring = Ring::Missing;
            ring.pore = bad((20.0 + 200.0 * m.size) * limit);
            return "clean";
        }
        if let Some(m) = hair {
            ring.ring = Ring::Bad;
            ring.pore = bad(m.size * limit);
            return "clean";
        }
        // A careful look finds what was wrong; a damaged ring is replaced.
        if ring.ring != Ring::Fine {
            ring.ring = Ring::Fine;
            ring.damaged = false;
            ring.pore = 0.0;
        }
        "clean"
    }

    fn puts_plug_in(&mut self, v: usize) {
        if self.fires(Wrong::PlugForgotten).is_none() && self.fires(Wrong::PlugByBoth).is_none() {
            self.vessels[v].plug_in = true;
        }
        let holder = self.holder;
        self.pasts[v].plug_said.push(holder);
    }

    /// The other member looks before signing; or one person signs for both.
    fn second_looks(&mut self, enclosure: Option<&str>) {
        let one = self.fires(Wrong::OneForTwo).is_some();
        let blind = one
            || self
                .script
                .iter()
                .enumerate()
                .any(|(i, m)| m.what == Wrong::PlugByBoth && self.fired.contains(&i));
        let other = 1 - self.holder;
        for v in 0..self.vessels.len() {
            if enclosure.is_some_and(|e| e != self.vessels[v].id) {
                continue;
            }
            if !blind
                && !self.vessels[v].plug_in
                && !self.vessels[v].open()
                && self.dice.chance(0.9)
            {
                self.vessels[v].plug_in = true;
                self.tell(|_| "   the second member saw the plug and put it in".into());
            }
            if one {
                self.pasts[v].one_for_two = true;
            } else {
                self.pasts[v].plug_said.push(other);
            }
        }
    }

    fn tries_control(&mut self, control: &str) -> bool {
        let t = self.t;
        let lie = self
            .controls
            .iter()
            .any(|c| c.id == control && c.dead_s.is_some())
            && self.fires(Wrong::DeadSaidWorks).is_some();
        let Some(c) = self.controls.iter_mut().find(|c| c.id == control) else {
            return true;
        };
        c.tried_s = Some(t);
        let works = c.dead_s.is_none() || lie;
        c.said = Some((t, works));
        works
    }

    // ---- numbers ---------------------------------------------------------------------------

    /// What the gauge of an enclosure shows, as it is typed.
    fn reads_gauge(&mut self, v: usize) -> String {
        let n = self.vessels.len();
        let of = if n > 1 && self.fires(Wrong::OtherGauge).is_some() {
            (v + 1) % n
        } else {
            v
        };
        let ambient = self.weather.ambient_pa(self.t);
        let inside = self.vessels[of].inside_pa();
        let gauge = self.vessels[of].gauge.clone();
        let shown = gauge.shows(&mut self.dice, inside, ambient);
        let mut text = places(shown, gauge.step);
        if self.fires(Wrong::DecimalSign).is_some() {
            text = places(
                if self.dice.chance(0.5) {
                    shown * 10.0
                } else {
                    shown / 10.0
                },
                gauge.step,
            );
        }
        if self.fires(Wrong::Digits).is_some() && text.len() > 2 && !text.starts_with('-') {
            let mut all: Vec<char> = text.chars().collect();
            all.swap(0, 1);
            if all[0] != '.' && all[1] != '.' {
                text = all.into_iter().collect();
            }
        }
        if of == v {
            self.note_reading(v);
        }
        self.tell(|c| {
            format!(
                "   reads {text} {} on {} (inside {:.1} mbar below)",
                UNITS[gauge.unit].0,
                c.vessels[v].id,
                (ambient - inside) / 100.0
            )
        });
        text
    }

    fn note_reading(&mut self, v: usize) {
        let t = self.t;
        let plan_k = self.vessels[v].gas_k();
        let vessel = &self.vessels[v];
        let inside = vessel.inside_pa();
        let step = vessel.gauge.step_pa();
        let by_k = [0.15, 0.5, 1.5, 6.0][self.source] * inside / plan_k;
        let known = (2.0 * (step * step / 12.0) + by_k * by_k + 25.0 * 25.0 + 20.0 * 20.0).sqrt();
        let past = &mut self.pasts[v];
        past.read_s = t;
        past.known_pa = known;
        past.rechecked_s = t;
    }

    fn air_text(&mut self, v: usize) -> String {
        let k = match self.source {
            0 => self.vessels[v].gas_k(),
            1 => self.vessels[v].wall_k(),
            _ => self.weather.air_k(self.t),
        };
        let c = k - 273.15 + self.thermometer_k + 0.05 * self.dice.normal();
        match self.fires(Wrong::AirWrong) {
            Some(m) if m.size < 0.4 => format!("{:.1}", c * 1.8 + 32.0),
            Some(m) if m.size < 0.7 => format!("{:.1}", c + 10.0),
            Some(_) => format!("{:.1}", c / 10.0),
            None => format!("{c:.1}"),
        }
    }

    fn barometer_text(&mut self) -> String {
        let mbar = (self.weather.ambient_pa(self.t) + self.barometer_pa) / 100.0;
        match self.fires(Wrong::BarometerWrong) {
            Some(m) if m.size < 0.5 => format!("{:.1}", mbar + 30.0),
            Some(_) => format!("{:.1}", mbar - 100.0),
            None => format!("{mbar:.1}"),
        }
    }

    /// Fills a form of the hold or the recheck as a crew would that reads its labels. `said` is what
    /// they take the gauge to be: absolute, its unit.
    fn fill(
        &mut self,
        form: &Form,
        v: usize,
        said: (bool, usize),
        gauge: Option<&str>,
    ) -> Vec<FieldValue> {
        let truth = self.vessels[v].gauge.clone();
        let mut values = Vec::new();
        for f in &form.fields {
            let keys: Vec<&str> = f.choices.iter().map(|c| c.key.as_str()).collect();
            let pick = |wanted: &[&str]| {
                wanted
                    .iter()
                    .find_map(|w| keys.iter().find(|k| k.contains(w)))
                    .map(|k| (*k).to_owned())
            };
            let key = f.key.as_str();
            let value = match key {
                "gauge" => match gauge {
                    Some(g) => g.to_owned(),
                    None => self.reads_gauge(v),
                },
                "temperature" if self.source < 3 => self.air_text(v),
                "temperature" => String::new(),
                "ambient" => self.barometer_text(),
                "air" => "typed".into(),
                "source" => SOURCES[self.source].into(),
                "unit" => UNITS[said.1].0.into(),
                "kind" => if said.0 { "absolute" } else { "below" }.into(),
                "resolution" => places(truth.step, truth.step),
                "humidity" => String::new(),
                _ if key.contains("camera") => {
                    let cold = self.vessels[v].camera != Camera::Cold
                        && self.fires(Wrong::CameraSaidCold).is_some();
                    let says = match self.vessels[v].camera {
                        _ if cold => "cold",
                        Camera::Cold => "cold",
                        Camera::Warm => "warm",
                        Camera::On => "on",
                    };
                    pick(&[says]).unwrap_or_default()
                }
                _ if key.contains("desiccant") || key.contains("packs") => {
                    let unsaid =
                        self.vessels[v].desiccant && self.fires(Wrong::DesiccantUnsaid).is_some();
                    let says = if self.vessels[v].desiccant && !unsaid {
                        "fresh"
                    } else {
                        "none"
                    };
                    pick(&[says]).unwrap_or_default()
                }
                "stood" => {
                    pick(if self.moved { &["moved"] } else { &["here"] }).unwrap_or_default()
                }
                "inside" => String::new(),
                _ if key.contains("place") || key.contains("moved") => pick(if self.moved {
                    &["moved", "else"]
                } else {
                    &["here", "stood"]
                })
                .unwrap_or_default(),
                _ if f.kind == FieldKind::Choice
                    && (key.contains("open") || key.contains("zero") || key.contains("shows")) =>
                {
                    // What it shows in open air is what it is taken to be.
                    pick(if said.0 {
                        &["absolute", "air", "baro"]
                    } else {
                        &["nothing", "below", "zero", "vacuum"]
                    })
                    .unwrap_or_else(|| f.value.clone())
                }
                _ if f.kind == FieldKind::Number && key.contains("open") => String::new(),
                _ if f.value.is_empty() && f.required => {
                    keys.first().map_or_else(String::new, |k| (*k).to_owned())
                }
                _ => f.value.clone(),
            };
            values.push(FieldValue {
                key: f.key.clone(),
                value,
            });
        }
        values
    }

    /// Sends a form of numbers. What is refused or asked is looked at again; what then stands is
    /// confirmed. None where the place has no such form.
    fn sends(
        &mut self,
        place: &Place,
        shown: Option<&Form>,
        key: &str,
        v: usize,
        said: &mut (bool, usize),
        gauge: Option<&str>,
    ) -> Result<Option<Outcome>> {
        let truth = (self.vessels[v].gauge.absolute, self.vessels[v].gauge.unit);
        let mut typed: Option<Vec<FieldValue>> = None;
        let mut last = None;
        for attempt in 0..4 {
            let form = match shown.filter(|_| attempt == 0) {
                Some(form) => form.clone(),
                None => {
                    let screen = self.desk.show(place)?;
                    let Some(form) = forms(&screen).into_iter().find(|f| f.key == key) else {
                        return Ok(last);
                    };
                    form
                }
            };
            let insists = attempt >= 2 || (attempt == 1 && self.dice.chance(0.1));
            let values = match typed.take().filter(|_| insists) {
                Some(old) => sure(&form, &old),
                None => self.fill(&form, v, *said, gauge.filter(|_| attempt == 0)),
            };
            let Some(action) = crate::shell::submit(place, &form.key, values.clone()) else {
                return Ok(last);
            };
            typed = Some(values);
            let outcome = self.tap(place, action)?;
            if outcome.faults.is_empty() {
                self.recent.clear();
                return Ok(Some(outcome));
            }
            for what in std::mem::take(&mut self.recent) {
                if what.is_typed() {
                    self.caught.push(what);
                }
            }
            if *said != truth && self.dice.chance(0.9) {
                *said = truth;
            }
            self.wait_s(15.0);
            last = Some(outcome);
        }
        Ok(last)
    }

    // ---- the hold --------------------------------------------------------------------------

    /// Pumps an enclosure down and follows its hold to a verdict.
    fn hold(&mut self, enclosure: &str) -> Result<Fate> {
        let Some(v) = self.index(enclosure) else {
            return Ok(Fate::Stuck(format!(
                "a hold of {enclosure}, which is not there"
            )));
        };
        if let Some(m) = self.fires(Wrong::LeakBefore) {
            let m = Mishap { which: v, ..m };
            self.begin_leak(m, false);
        }
        if self.fires(Wrong::PlanShallow).is_some() {
            self.changes_plan(&[("depth", "1"), ("minutes", "1")])?;
        }
        if self.fires(Wrong::PlanCold).is_some() {
            self.changes_plan(&[("water", "2")])?;
        }
        if let Some(m) = self.fires(Wrong::LessVolume) {
            let litres = self.vessels[v].volume_m3 * 1e3 * (0.15 + 0.3 * m.size);
            self.edits_enclosure(
                v,
                &[
                    ("volume_l", &format!("{litres:.2}")),
                    ("volume_sd_l", "0.1"),
                ],
            )?;
        }
        let camera = self
            .dice
            .of_these(&[Camera::Cold, Camera::Cold, Camera::Warm, Camera::On]);
        if camera != Camera::Cold {
            self.vessels[v].set_camera(camera);
        }
        let moved = self.dice.chance(0.15);
        if moved {
            let by = self.dice.between(-8.0, 8.0);
            self.vessels[v].comes_from(by);
        }
        self.moved = moved;
        let depth = self.dice.between(15_000.0, 26_000.0);
        let ambient = self.weather.ambient_pa(self.t);
        self.plug_comes_out(v);
        self.vessels[v].pump(ambient, depth);
        let t = self.t;
        let past = &mut self.pasts[v];
        past.held_from_s = t;
        past.held_to_s = t;
        past.pumped_untold = false;
        past.lost_pa = 0.0;
        self.tell(|c| {
            format!(
                "pumps {enclosure} to {:.0} mbar below; camera {camera:?}, fresh desiccant: {}",
                depth / 100.0,
                c.vessels[v].desiccant
            )
        });
        let truth = self.vessels[v].gauge.clone();
        let mut said = (truth.absolute, truth.unit);
        if self.fires(Wrong::GaugeKind).is_some() {
            said.0 = !said.0;
        }
        if let Some(m) = self.fires(Wrong::GaugeUnit) {
            said.1 = (said.1 + 1 + m.which % 4) % UNITS.len();
        }
        let mut place = Place::HoldSetup {
            rig: self.rig.clone(),
            enclosure: enclosure.to_owned(),
        };
        for _ in 0..8 {
            let hold = match &place {
                Place::Hold { hold, .. } => hold.clone(),
                _ => {
                    let sent = self.sends(&place, None, "setup", v, &mut said, None)?;
                    let Some(outcome) = sent else {
                        return Ok(Fate::Stuck(format!("the set-up led to {place:?}")));
                    };
                    if let Some(f) = outcome.faults.first() {
                        return Ok(Fate::Stuck(format!("a set-up is refused: {}", f.text)));
                    }
                    if let Some(go) = outcome.go {
                        place = go;
                    }
                    continue;
                }
            };
            return self.follow_hold(&hold, v, said);
        }
        Ok(Fate::Stuck("the set-up of a hold goes round".into()))
    }

    fn follow_hold(&mut self, hold: &str, v: usize, mut said: (bool, usize)) -> Result<Fate> {
        let place = Place::Hold {
            hold: hold.to_owned(),
            form: None,
        };
        let began = self.t;
        let mut asides = 0;
        let jump = self.fires(Wrong::ClockInHold);
        let patience = if self.dice.chance(0.9) {
            LONGEST_HOLD_S
        } else {
            3_600.0
        };
        let screen = self.desk.show(&place)?;
        let Some(form) = forms(&screen).into_iter().find(|f| f.key == "reading") else {
            return Ok(Fate::Stuck("a hold that takes no reading".into()));
        };
        loop {
            let judged = self.desk.book().hold(hold)?;
            let verdict = judged.judgement.as_ref().map(|j| j.verdict);
            if matches!(verdict, Some(Verdict::Holding | Verdict::Leaking)) {
                let screen = self.desk.show(&place)?;
                let Screen::Hold { screen: s } = &screen else {
                    return Ok(Fate::Stuck("a hold that is none".into()));
                };
                let says = s.verdict.clone();
                self.tell(|_| format!("   {says}"));
                if s.mark == Mark::Struck && asides == 0 && self.fires(Wrong::SetAside).is_some() {
                    asides = self.sets_falling_aside(&place, &screen)?;
                    continue;
                }
                let main = crate::shell::main_target(&screen);
                let concludes = |t: &Target| {
                    matches!(
                        &t.action,
                        Action::Hold {
                            action: HoldAction::Conclude
                        }
                    )
                };
                if main.as_ref().is_some_and(concludes) {
                    break;
                }
            }
            let lasted = self.t - began;
            if lasted > patience {
                self.tell(|_| "   gives up waiting".into());
                let screen = self.desk.show(&place)?;
                let others = targets(&screen);
                let conclude = others.iter().find(|t| {
                    matches!(
                        &t.action,
                        Action::Hold {
                            action: HoldAction::Conclude
                        }
                    )
                });
                if let Some(t) = conclude {
                    self.tap(&place, t.action.clone())?;
                }
                return Ok(Fate::Stuck("the hold did not settle".into()));
            }
            // As the phone calls, but not more often than hands do in a long hold.
            let due = self
                .desk
                .due_readings()?
                .into_iter()
                .find(|d| d.hold == hold);
            let wait = due.map_or(60.0, |d| d.wait_ms as f64 / 1_000.0);
            self.wait_s(wait.clamp(30.0, 1_200.0).max(lasted / 6.0));
            if let Some(m) = jump.filter(|_| lasted < 600.0 && self.t - began >= 600.0) {
                self.clock.advance((m.size * 10.0 * 3_600_000.0) as i64);
            }
            let sent = self.sends(&place, Some(&form), "reading", v, &mut said, None)?;
            let Some(outcome) = sent else {
                return Ok(Fate::Stuck("no way to send a reading".into()));
            };
            if let Some(f) = outcome
                .faults
                .first()
                .filter(|_| self.t - began > LONGEST_HOLD_S * 1.2)
            {
                return Ok(Fate::Stuck(format!("a reading is refused: {}", f.text)));
            }
        }
        self.pasts[v].held_to_s = self.t;
        self.pasts[v].lost_pa = 0.0;
        self.tap(
            &place,
            Action::Hold {
                action: HoldAction::Conclude,
            },
        )?;
        Ok(Fate::Done)
    }

    fn sets_falling_aside(&mut self, place: &Place, screen: &Screen) -> Result<usize> {
        let all: Vec<Target> = targets(screen)
            .into_iter()
            .filter(|t| {
                matches!(
                    &t.action,
                    Action::Hold {
                        action: HoldAction::SetAside { .. }
                    }
                )
            })
            .collect();
        // Newest first: all but the first and the last few.
        let keep = all.len().saturating_sub(3);
        for t in all.iter().take(keep) {
            self.tap(place, t.action.clone())?;
        }
        Ok(keep.max(1))
    }

    fn tracks_loss(&mut self, v: usize) {
        // What a leak has let in since the hold ended, as a fall of the gauge.
        let (t, held) = (self.t, self.pasts[v].held_to_s);
        let vessel = &self.vessels[v];
        let mut lost = 0.0;
        let steps = 60;
        let dt = (t - held).max(0.0) / f64::from(steps);
        let below = 20_000.0;
        for k in 0..steps {
            let at = held + dt * (f64::from(k) + 0.5);
            let pore = vessel.pore(at);
            let ambient = 101_325.0_f64;
            let inside = ambient - below + lost;
            if inside >= ambient {
                break;
            }
            lost += pore * (ambient.powi(2) - inside.powi(2)) / 1.82e-5 / vessel.volume_m3 * dt;
        }
        self.pasts[v].lost_pa = lost.min(below);
    }

    // ---- the recheck -----------------------------------------------------------------------

    fn recheck(&mut self) -> Result<Fate> {
        let place = Place::Recheck {
            rig: self.rig.clone(),
        };
        if self.recheck_air(&place, 0)?.is_none() {
            return Ok(Fate::Stuck("the recheck asks for no air".into()));
        }
        let Screen::Recheck { screen } = self.desk.show(&place)? else {
            return Ok(Fate::Stuck("a recheck that is none".into()));
        };
        let mut did = false;
        // A crew tests its controls and rolls before the dive.
        if self.dice.chance(0.3) && !self.vessels[0].open() {
            self.vessels[0].set_camera(Camera::On);
            let minutes = self.dice.between(1.0, 30.0);
            self.wait_s(minutes * 60.0);
            self.tell(|_| format!("the camera has run for {minutes:.0} min"));
        }
        for item in &screen.items {
            let Some(v) = self.index(&item.enclosure) else {
                continue;
            };
            let Some(form) = &item.form else {
                continue;
            };
            did = true;
            // Taken the same way as at the hold: a sensor in the gas is one for each housing.
            if v > 0 && self.source < 2 {
                self.recheck_air(&place, v)?;
            }
            // The gauge can't be read with the plug in.
            self.plug_comes_out(v);
            self.tracks_loss(v);
            if self.pasts[v].lost_pa > 1_000.0 && self.fires(Wrong::PumpsAgain).is_some() {
                let ambient = self.weather.ambient_pa(self.t);
                self.vessels[v].pump(ambient, 20_000.0);
                self.pasts[v].pumped_untold = true;
            }
            let truth = self.vessels[v].gauge.clone();
            let mut reads = self.reads_gauge(v);
            let foretold = item.expected.as_ref().map(|q| q.value.clone());
            if let Some(f) = foretold.clone()
                && f != reads
                && self.fires(Wrong::TypesForetold).is_some()
            {
                reads = f;
            }
            let mut said = (truth.absolute, truth.unit);
            self.sends(&place, Some(form), &form.key, v, &mut said, Some(&reads))?;
            let again = self.item(&place, &item.enclosure)?;
            let mut next = again.as_ref().and_then(|i| i.next.clone());
            let changed = again
                .as_ref()
                .is_some_and(|i| matches!(i.mark, Mark::Struck));
            if changed
                && self.fires(Wrong::TypesAgain).is_some()
                && let Some(i) = &again
                && let (Some(form), Some(q)) = (&i.form, &i.expected)
            {
                let mut said = (truth.absolute, truth.unit);
                self.sends(&place, Some(form), &form.key, v, &mut said, Some(&q.value))?;
                next = self.item(&place, &item.enclosure)?.and_then(|i| i.next);
            }
            match next.map(|b| b.action) {
                Some(RecheckAction::PlugOn { enclosure }) => {
                    if self.fires(Wrong::PlugAfterGauge).is_some() {
                        continue;
                    }
                    self.puts_plug_in(v);
                    self.tap(
                        &place,
                        Action::Recheck {
                            action: RecheckAction::PlugOn { enclosure },
                        },
                    )?;
                }
                Some(RecheckAction::Hold { .. }) => {
                    // A change is answered by a new hold.
                    let fate = self.hold(&item.enclosure)?;
                    if fate != Fate::Done {
                        return Ok(fate);
                    }
                }
                _ => {
                    // Practice: what was taken out goes back in, asked for or not.
                    if self.fires(Wrong::PlugAfterGauge).is_none() {
                        self.vessels[v].plug_in = true;
                    }
                }
            }
        }
        Ok(if did {
            Fate::Done
        } else {
            Fate::Stuck("the recheck offers nothing to read".into())
        })
    }

    fn item(
        &self,
        place: &Place,
        enclosure: &str,
    ) -> Result<Option<slackwater_core::screens::recheck::RecheckItem>> {
        let Screen::Recheck { screen } = self.desk.show(place)? else {
            return Ok(None);
        };
        Ok(screen.items.into_iter().find(|i| i.enclosure == enclosure))
    }

    fn recheck_air(&mut self, place: &Place, v: usize) -> Result<Option<()>> {
        let sent = self.sends(place, None, "air", v, &mut (false, 0), Some(""))?;
        Ok(sent.filter(|o| o.faults.is_empty()).map(|_| ()))
    }

    // ---- the prep --------------------------------------------------------------------------

    /// Begins a procedure and works it through.
    ///
    /// # Errors
    /// The file.
    pub fn prep(&mut self, procedure: &str) -> Result<Fate> {
        let at = self.rig_place(None);
        let action = RigAction::StartPrep {
            procedure: procedure.to_owned(),
        };
        let outcome = self.tap(&at, Action::Rig { action })?;
        let Some(Place::Prep { prep, .. }) = outcome.go else {
            return Ok(Fate::Stuck(format!("{procedure} doesn't begin")));
        };
        self.work_prep(&prep)
    }

    fn work_prep(&mut self, prep: &str) -> Result<Fate> {
        let mut last = String::new();
        let mut times = 0;
        for _ in 0..400 {
            let facts = self.desk.book().prep(prep)?;
            let Some(step) = Book::current_step(&facts).cloned() else {
                return self.finish_prep(prep);
            };
            times = if step.key == last { times + 1 } else { 0 };
            last.clone_from(&step.key);
            if times > 3 {
                return Ok(Fate::Stuck(format!(
                    "the step '{}' won't be done",
                    step.step.id
                )));
            }
            self.wait_s(25.0);
            let fate = self.do_step(prep, &step)?;
            if fate != Fate::Done {
                return Ok(fate);
            }
        }
        Ok(Fate::Stuck("a prep without an end".into()))
    }

    fn finish_prep(&mut self, prep: &str) -> Result<Fate> {
        for _ in 0..12 {
            let at = Self::prep_place(prep, None, None);
            let screen = self.desk.show(&at)?;
            match crate::shell::main_target(&screen).map(|t| t.action) {
                Some(Action::Prep {
                    action: PrepAction::GoTo { step },
                }) => {
                    let fate = self.sign(prep, &step)?;
                    if fate != Fate::Done {
                        return Ok(fate);
                    }
                }
                Some(Action::Prep {
                    action: PrepAction::ShowForm { form },
                }) if form == "end" => {
                    let at = Self::prep_place(prep, None, Some("end"));
                    self.send(&at, "end", &[("reason", "rest by hand")])?;
                    return Ok(Fate::Done);
                }
                _ => return Ok(Fate::Done),
            }
        }
        Ok(Fate::Stuck("a prep that can't be ended".into()))
    }

    /// Does one step of a prep: first with the hands, then on the screen.
    fn do_step(&mut self, prep: &str, step: &StepInstance) -> Result<Fate> {
        let place = Self::prep_place(prep, Some(&step.key), None);
        let enclosure = match &step.target {
            Of::Enclosure { enclosure }
            | Of::Closure { enclosure, .. }
            | Of::Seal { enclosure, .. } => Some(enclosure.clone()),
            Of::Rig => None,
        };
        let v = enclosure.as_deref().and_then(|e| self.index(e));
        let skippable = matches!(
            step.step.kind,
            StepKind::Seal | StepKind::Check | StepKind::Plug | StepKind::Controls | StepKind::Hold
        );
        if skippable && self.fires(Wrong::SkipStep).is_some() {
            let at = Self::prep_place(prep, Some(&step.key), Some("skip"));
            self.send(&at, "skip", &[("reason", "no time")])?;
            return Ok(Fate::Done);
        }
        let mut finding = "clean";
        match (step.step.kind, v) {
            (StepKind::Open, Some(v)) => {
                let closure = match &step.target {
                    Of::Closure { closure, .. } => Some(closure.clone()),
                    _ => None,
                };
                self.opens(v, closure.as_deref(), true);
            }
            (StepKind::Seal, Some(v)) => {
                if let Of::Seal { seal, .. } = &step.target {
                    finding = self.services(v, seal);
                }
            }
            (StepKind::Close, Some(v)) => {
                if let Of::Closure { closure, .. } = &step.target {
                    self.shuts(v, Some(closure));
                }
            }
            (StepKind::Plug, Some(v)) => self.puts_plug_in(v),
            (StepKind::Controls, _) => return self.controls_step(prep, step, &place),
            (StepKind::Hold, _) => {
                if let Some(e) = &enclosure {
                    return self.hold_step(prep, step, e);
                }
            }
            (StepKind::Recheck, _) => return self.recheck(),
            (StepKind::Measure, Some(v)) => {
                self.plug_comes_out(v);
                let ambient = self.weather.ambient_pa(self.t);
                let mbar = (ambient - self.vessels[v].inside_pa()) / 100.0;
                let at = Self::prep_place(prep, Some(&step.key), None);
                let typed = format!("{:.0}", mbar.clamp(50.0, 500.0));
                if self.fires(Wrong::PlugAfterGauge).is_none() {
                    self.vessels[v].plug_in = true;
                }
                let sent = self.send(&at, "measure", &[("value", &typed)])?;
                return Ok(match sent {
                    Some(o) if o.faults.is_empty() => Fate::Done,
                    Some(o) => Fate::Stuck(format!("a measure is refused: {}", o.faults[0].text)),
                    None => Fate::Stuck("a measure without a form".into()),
                });
            }
            (StepKind::Photo, _) => {
                let Screen::Prep { screen } = self.desk.show(&place)? else {
                    return Ok(Fate::Stuck("a step that is none".into()));
                };
                self.desk
                    .add_photo(&screen.photo_subject, "all round", &png())?;
            }
            _ => self.by_its_name(&step.step.id, v),
        }
        self.ticks(&place)?;
        if finding != "clean" && self.dice.chance(0.5) {
            // It goes back all the same.
            return self.service_pages(prep, step, finding, false);
        }
        if finding != "clean" {
            let at = Self::prep_place(prep, Some(&step.key), Some("finding"));
            let sent = self.send(&at, "finding", &[("finding", finding), ("note", "seen")])?;
            if sent.is_some_and(|o| o.faults.is_empty()) {
                return Ok(Fate::Done);
            }
            // It must be replaced: a new ring goes in.
            if let Some(v) = v {
                self.caught(Wrong::NickedBack, "the ring must be replaced");
                for s in &mut self.vessels[v].seals {
                    if s.damaged {
                        s.ring = Ring::Fine;
                        s.damaged = false;
                        s.pore = 0.0;
                    }
                }
                return self.service_pages(prep, step, "clean", true);
            }
        }
        self.finish_step(prep, step, &place)
    }

    /// Goes through the pages of a service for a prep.
    fn service_pages(
        &mut self,
        prep: &str,
        step: &StepInstance,
        finding: &str,
        new_ring: bool,
    ) -> Result<Fate> {
        let Of::Seal { seal, .. } = &step.target else {
            return Ok(Fate::Done);
        };
        self.service_at(
            Place::Service {
                rig: self.rig.clone(),
                seal: seal.clone(),
                stage: "look".into(),
                prep: Some(prep.to_owned()),
                step: Some(step.key.clone()),
            },
            finding,
            new_ring,
        )
    }

    fn service_at(&mut self, from: Place, finding: &str, new_ring: bool) -> Result<Fate> {
        let mut place = from;
        for _ in 0..8 {
            let Place::Service { stage, .. } = &place else {
                return Ok(Fate::Done);
            };
            let action = match stage.split('/').next().unwrap_or_default() {
                "look" => ServiceAction::Found {
                    finding: finding.to_owned(),
                },
                "clean" | "grease" => ServiceAction::Next,
                "back" if new_ring => ServiceAction::ShowForm { form: "fit".into() },
                "back" => ServiceAction::SameRing,
                _ => {
                    let sent = self.send(&place.clone(), "fit", &[])?;
                    return Ok(match sent {
                        Some(o) if o.faults.is_empty() => Fate::Done,
                        _ => Fate::Stuck("a new ring can't be fitted".into()),
                    });
                }
            };
            let outcome = self.tap(&place.clone(), Action::Service { action })?;
            match outcome.go {
                Some(go) => place = go,
                None => {
                    return Ok(Fate::Stuck(format!(
                        "the service stops: {}",
                        outcome.said.unwrap_or_default()
                    )));
                }
            }
        }
        Ok(Fate::Done)
    }

    fn by_its_name(&mut self, id: &str, v: Option<usize>) {
        if let Some(v) = v.filter(|_| id.contains("vent") || id.contains("ease")) {
            self.plug_comes_out(v);
            self.vessels[v].valve_open = true;
        }
        if id.contains("desiccant") {
            self.vessels[0].desiccant = self.dice.chance(0.5);
        }
    }

    fn ticks(&mut self, place: &Place) -> Result<()> {
        let screen = self.desk.show(place)?;
        for t in targets(&screen) {
            if let Action::Prep {
                action: PrepAction::Tick { on: true, .. },
            } = &t.action
            {
                self.desk.act(place, t.action.clone())?;
            }
        }
        Ok(())
    }

    fn finish_step(&mut self, prep: &str, step: &StepInstance, place: &Place) -> Result<Fate> {
        let screen = self.desk.show(place)?;
        let all = targets(&screen);
        let done = |t: &&Target| {
            matches!(
                &t.action,
                Action::Prep {
                    action: PrepAction::Done { .. }
                }
            )
        };
        let main = all.iter().find(|t| t.at == "main");
        let chosen = main.filter(done).or_else(|| all.iter().find(done));
        let Some(t) = chosen else {
            return Ok(Fate::Stuck(format!(
                "the step '{}' offers no way to do it",
                step.step.id
            )));
        };
        if !t.enabled {
            let why = t.why_not.clone().unwrap_or_default();
            return Ok(Fate::Stuck(format!(
                "the step '{}' can't be done: {why}",
                step.step.id
            )));
        }
        let action = t.action.clone();
        let outcome = self.tap(place, action)?;
        if !outcome.faults.is_empty() {
            return Ok(Fate::Stuck(outcome.faults[0].text.clone()));
        }
        if step.step.two_person {
            return self.sign(prep, &step.key);
        }
        Ok(Fate::Done)
    }

    /// The other member looks and signs, on whatever pages lead there.
    fn sign(&mut self, prep: &str, key: &str) -> Result<Fate> {
        let facts = self.desk.book().prep(prep)?;
        let step = facts.steps.iter().find(|s| s.key == key);
        let enclosure = step.and_then(|s| match &s.target {
            Of::Enclosure { enclosure } => Some(enclosure.clone()),
            _ => None,
        });
        self.wait_s(60.0);
        self.second_looks(enclosure.as_deref());
        let mut place = Self::prep_place(prep, Some(key), None);
        for _ in 0..6 {
            let screen = self.desk.show(&place)?;
            let Some(t) = crate::shell::main_target(&screen) else {
                return Ok(Fate::Stuck("a step that can't be signed".into()));
            };
            if !t.enabled {
                let why = t.why_not.unwrap_or_default();
                return Ok(Fate::Stuck(format!("a signature is refused: {why}")));
            }
            let signs = matches!(
                &t.action,
                Action::Prep {
                    action: PrepAction::Sign { .. }
                }
            );
            let leads = matches!(
                &t.action,
                Action::Prep {
                    action: PrepAction::ShowForm { .. } | PrepAction::Done { .. }
                }
            );
            if !signs && !leads {
                return Ok(Fate::Done);
            }
            let outcome = self.tap(&place, t.action)?;
            if let Some(f) = outcome.faults.first() {
                return Ok(Fate::Stuck(format!("a signature is refused: {}", f.text)));
            }
            if signs {
                return Ok(Fate::Done);
            }
            if let Some(go) = outcome.go {
                place = go;
            }
        }
        Ok(Fate::Stuck("a signature without an end".into()))
    }

    fn controls_step(&mut self, prep: &str, step: &StepInstance, place: &Place) -> Result<Fate> {
        for _ in 0..2 {
            let screen = self.desk.show(place)?;
            let all = targets(&screen);
            let mut dead = false;
            for t in &all {
                let Action::Prep {
                    action:
                        PrepAction::ControlTested {
                            control,
                            works: true,
                            ..
                        },
                } = &t.action
                else {
                    continue;
                };
                let control = control.clone();
                self.wait_s(10.0);
                let works = self.tries_control(&control);
                let action = if works {
                    t.action.clone()
                } else {
                    dead = true;
                    Action::Prep {
                        action: PrepAction::ControlTested {
                            step: step.key.clone(),
                            control: control.clone(),
                            works: false,
                        },
                    }
                };
                self.tap(place, action)?;
            }
            if dead {
                if self.fires(Wrong::UnassignControl).is_some() {
                    self.unassigns_dead()?;
                }
                self.mends_controls();
                continue;
            }
            self.ticks(place)?;
            return self.finish_step(prep, step, place);
        }
        self.ticks(place)?;
        self.finish_step(prep, step, place)
    }

    /// A dead control is mended on the spot where it can be: half of them.
    fn mends_controls(&mut self) {
        for i in 0..self.controls.len() {
            if self.controls[i].dead_s.is_some() && self.dice.chance(0.5) {
                self.controls[i].dead_s = None;
            }
        }
    }

    fn unassigns_dead(&mut self) -> Result<()> {
        let dead: Vec<String> = self
            .controls
            .iter()
            .filter(|c| c.dead_s.is_some())
            .map(|c| c.id.clone())
            .collect();
        for id in dead {
            let at = self.edit_place(&format!("control/{id}"));
            self.send(&at, "", &[("function", ""), ("record_trigger", "no")])?;
        }
        Ok(())
    }

    fn hold_step(&mut self, prep: &str, step: &StepInstance, enclosure: &str) -> Result<Fate> {
        let place = Self::prep_place(prep, Some(&step.key), None);
        for _ in 0..3 {
            let fate = self.hold(enclosure)?;
            if fate != Fate::Done {
                return Ok(fate);
            }
            let facts = self.desk.book().prep(prep)?;
            if facts.state(&step.key) == StepState::Done {
                return Ok(Fate::Done);
            }
            let screen = self.desk.show(&place)?;
            let main = crate::shell::main_target(&screen);
            if main.as_ref().is_some_and(|t| {
                matches!(
                    &t.action,
                    Action::Prep {
                        action: PrepAction::Done { .. }
                    }
                )
            }) {
                return self.finish_step(prep, step, &place);
            }
            // What the opening undid is done again in its place in the prep.
            if self.opens_for_leak(enclosure)? {
                return Ok(Fate::Done);
            }
        }
        Ok(Fate::Stuck("leaks again and again".into()))
    }

    /// What practice does of a leak that a hold found: opens and looks, and mostly finds it. Or the
    /// limit is raised, or it is pumped once more in hope. Gives whether it was opened.
    fn opens_for_leak(&mut self, enclosure: &str) -> Result<bool> {
        let Some(v) = self.index(enclosure) else {
            return Ok(false);
        };
        if self.fires(Wrong::RaiseLimit).is_some() {
            self.edits_enclosure(v, &[("limit_ml", "10000")])?;
            return Ok(false);
        }
        if self.dice.chance(0.2) {
            return Ok(false);
        }
        let at = self.rig_place(None);
        let closures: Vec<String> = self.vessels[v]
            .closures
            .iter()
            .map(|c| c.0.clone())
            .collect();
        for c in &closures {
            self.opens(v, Some(c), true);
            let action = RigAction::OpenClosure {
                enclosure: enclosure.to_owned(),
                closure: Some(c.clone()),
            };
            self.tap(&at, Action::Rig { action })?;
        }
        if self.dice.chance(0.85) {
            self.vessels[v].leaks.clear();
        }
        Ok(true)
    }

    /// The same where no prep is under way: what was opened is serviced and closed.
    fn answers_leak(&mut self, enclosure: &str) -> Result<Fate> {
        let Some(v) = self.index(enclosure) else {
            return Ok(Fate::Done);
        };
        if !self.opens_for_leak(enclosure)? {
            return Ok(Fate::Done);
        }
        let seals: Vec<String> = self.vessels[v]
            .seals
            .iter()
            .filter(|s| !s.serviced)
            .map(|s| s.id.clone())
            .collect();
        for s in seals {
            self.services(v, &s);
            if !self.lists(&s)? {
                continue;
            }
            let place = Place::Service {
                rig: self.rig.clone(),
                seal: s,
                stage: "look".into(),
                prep: None,
                step: None,
            };
            let fate = self.service_at(place, "clean", false)?;
            if fate != Fate::Done {
                return Ok(fate);
            }
        }
        self.shuts(v, None);
        let at = self.rig_place(None);
        let action = RigAction::CloseEnclosure {
            enclosure: enclosure.to_owned(),
        };
        self.tap(&at, Action::Rig { action })?;
        Ok(Fate::Done)
    }

    // ---- edits -----------------------------------------------------------------------------

    fn edit_place(&self, part: &str) -> Place {
        Place::RigEdit {
            rig: self.rig.clone(),
            part: Some(part.to_owned()),
        }
    }

    fn edits_enclosure(&mut self, v: usize, typed: &[(&str, &str)]) -> Result<()> {
        let at = self.edit_place(&format!("enclosure/{}", self.vessels[v].id));
        self.send(&at, "", typed)?;
        Ok(())
    }

    fn changes_plan(&mut self, typed: &[(&str, &str)]) -> Result<()> {
        self.plan_before.get_or_insert(self.plan());
        let at = self.rig_place(Some("plan"));
        self.send(&at, "plan", typed)?;
        Ok(())
    }

    fn restores_plan(&mut self) -> Result<()> {
        if let Some(p) = self.plan_before.take() {
            let typed = [
                ("depth", format!("{}", p.depth_m)),
                ("minutes", format!("{}", p.minutes)),
                ("salinity", format!("{}", p.salinity)),
                ("water", format!("{}", p.water_c)),
            ];
            let typed: Vec<(&str, &str)> = typed.iter().map(|(k, v)| (*k, v.as_str())).collect();
            let at = self.rig_place(Some("plan"));
            self.send(&at, "plan", &typed)?;
        }
        Ok(())
    }

    fn removes(&mut self, part: &str) -> Result<()> {
        let at = self.edit_place(part);
        let action = RigEditAction::Remove {
            part: part.to_owned(),
        };
        self.tap(&at, Action::RigEdit { action })?;
        Ok(())
    }

    // ---- the list of what stands in the way ---------------------------------------------------

    /// Works off what stands in the way until the app says ready, or there is no way on.
    ///
    /// # Errors
    /// The file.
    pub fn work_off(&mut self) -> Result<Fate> {
        self.between()?;
        let place = self.rig_place(None);
        let mut last = String::new();
        let mut same = 0;
        for _ in 0..MOST_TAPS {
            let readiness = self.desk.book().readiness(&self.rig)?;
            if readiness.is_ready() {
                if self.plan_before.is_some() {
                    self.restores_plan()?;
                    continue;
                }
                return Ok(Fate::Done);
            }
            let Screen::Rig { screen } = self.desk.show(&place)? else {
                return Ok(Fate::Stuck("a rig that is none".into()));
            };
            let Some(row) = screen.obstacles.first() else {
                return Ok(Fate::Stuck("not ready, and not why".into()));
            };
            let name = obstacle_name(&readiness.obstacles[0]);
            same = if row.title == last { same + 1 } else { 0 };
            last.clone_from(&row.title);
            if same >= 3 {
                return Ok(Fate::Stuck(name));
            }
            let title = row.title.clone();
            self.tell(|_| format!("in the way: {title}"));
            let Some(tap) = row.tap.clone() else {
                return Ok(Fate::Stuck(name));
            };
            self.wait_s(20.0);
            let fate = self.works_off_one(&place, tap.action)?;
            if let Fate::Stuck(why) = fate {
                return Ok(Fate::Stuck(format!("{name}: {why}")));
            }
        }
        Ok(Fate::Stuck("the list goes round".into()))
    }

    fn works_off_one(&mut self, place: &Place, action: RigAction) -> Result<Fate> {
        match &action {
            RigAction::CloseEnclosure { enclosure } => {
                if let Some(v) = self.index(enclosure) {
                    // Before it is shut, what was disturbed is serviced.
                    let open: Vec<String> = self.vessels[v]
                        .seals
                        .iter()
                        .filter(|s| !s.serviced)
                        .map(|s| s.id.clone())
                        .collect();
                    for s in open {
                        let fate = self.service_seal(&s)?;
                        if fate != Fate::Done {
                            return Ok(fate);
                        }
                    }
                    self.shuts(v, None);
                }
            }
            RigAction::PlugOn { enclosure } => {
                if let Some(v) = self.index(enclosure) {
                    self.puts_plug_in(v);
                }
            }
            RigAction::Hold { enclosure } => return self.hold_from_rig(place, &enclosure.clone()),
            RigAction::ShowControls => return self.tries_all(),
            RigAction::OpenRecheck => return self.recheck(),
            RigAction::OpenSeals { seal: Some(seal) } => return self.service_seal(&seal.clone()),
            RigAction::ResumePrep { prep } => return self.work_prep(&prep.clone()),
            RigAction::StartPrep { procedure } => return self.prep(&procedure.clone()),
            RigAction::OpenStep { prep, step } => {
                return self.open_step(&prep.clone(), &step.clone());
            }
            RigAction::CloseDefect { defect } => return self.puts_right(&defect.clone()),
            RigAction::Edit => return Ok(Fate::Stuck("an edit is asked for".into())),
            _ => {}
        }
        let outcome = self.tap(place, Action::Rig { action })?;
        Ok(match outcome.faults.first() {
            Some(f) => Fate::Stuck(f.text.clone()),
            None => Fate::Done,
        })
    }

    fn hold_from_rig(&mut self, place: &Place, enclosure: &str) -> Result<Fate> {
        let action = RigAction::Hold {
            enclosure: enclosure.to_owned(),
        };
        let outcome = self.tap(place, Action::Rig { action })?;
        match outcome.go {
            // Judged again for another plan, or one that runs.
            Some(Place::Hold { hold, .. }) => {
                let facts = self.desk.book().hold(&hold)?;
                if facts.hold.concluded.is_some() {
                    return Ok(Fate::Done);
                }
                let Some(v) = self.index(enclosure) else {
                    return Ok(Fate::Done);
                };
                let truth = &self.vessels[v].gauge;
                let said = (truth.absolute, truth.unit);
                self.follow_hold(&hold, v, said)
            }
            _ => {
                let fate = self.hold(enclosure)?;
                if fate != Fate::Done {
                    return Ok(fate);
                }
                let rig = self.desk.book().rig(&self.rig)?;
                let leaks = rig
                    .enclosure(enclosure)
                    .and_then(|e| e.holds.iter().max_by_key(|h| h.started))
                    .and_then(|h| h.concluded.as_ref())
                    .is_some_and(|c| {
                        c.2.verdict == slackwater_core::domain::facts::VerdictFact::Leaking
                    });
                if leaks {
                    self.answers_leak(enclosure)
                } else {
                    Ok(Fate::Done)
                }
            }
        }
    }

    fn tries_all(&mut self) -> Result<Fate> {
        let place = self.rig_place(Some("controls"));
        let mut dead = false;
        for round in 0..2 {
            let screen = self.desk.show(&place)?;
            for t in targets(&screen) {
                let Action::Rig {
                    action:
                        RigAction::ControlTested {
                            control,
                            works: true,
                        },
                } = &t.action
                else {
                    continue;
                };
                if !t.enabled {
                    return Ok(Fate::Stuck(t.why_not.unwrap_or_default()));
                }
                let control = control.clone();
                self.wait_s(10.0);
                let works = self.tries_control(&control);
                dead |= !works;
                self.tap(
                    &place,
                    Action::Rig {
                        action: RigAction::ControlTested { control, works },
                    },
                )?;
            }
            if !dead || round == 1 {
                break;
            }
            if self.fires(Wrong::UnassignControl).is_some() {
                self.unassigns_dead()?;
            }
            self.mends_controls();
            dead = false;
        }
        Ok(Fate::Done)
    }

    /// Whether a seal is on the rig's list.
    fn lists(&self, seal: &str) -> Result<bool> {
        Ok(self.desk.book().rig(&self.rig)?.def.seal(seal).is_some())
    }

    fn service_seal(&mut self, seal: &str) -> Result<Fate> {
        if !self.lists(seal)? {
            return Ok(Fate::Done);
        }
        let Some(v) = self
            .vessels
            .iter()
            .position(|v| v.seals.iter().any(|s| s.id == seal))
        else {
            return Ok(Fate::Stuck("a seal that is not there".into()));
        };
        let closure = self.vessels[v]
            .seals
            .iter()
            .find(|s| s.id == seal)
            .and_then(|s| s.closure.clone());
        let rig = self.desk.book().rig(&self.rig)?;
        if self.desk.book().is_closed(&rig, &self.vessels[v].id) {
            self.opens(v, closure.as_deref(), true);
            let at = Place::Seal {
                rig: self.rig.clone(),
                seal: seal.to_owned(),
                form: None,
            };
            self.tap(
                &at,
                Action::Seals {
                    action: SealsAction::OpenClosure,
                },
            )?;
        } else {
            // It can't be reached with its closure shut.
            for c in &mut self.vessels[v].closures {
                if closure.is_none() || Some(&c.0) == closure.as_ref() {
                    c.1 = true;
                }
            }
        }
        let past_limit = self.vessels[v]
            .seals
            .iter()
            .any(|s| s.id == seal && s.damaged);
        self.services(v, seal);
        let at = Place::Service {
            rig: self.rig.clone(),
            seal: seal.to_owned(),
            stage: "look".into(),
            prep: None,
            step: None,
        };
        self.service_at(at, "clean", past_limit)
    }

    fn open_step(&mut self, prep: &str, key: &str) -> Result<Fate> {
        let facts = self.desk.book().prep(prep)?;
        let Some(step) = facts.steps.iter().find(|s| s.key == key).cloned() else {
            // What is signed for whatever the procedure says.
            return self.sign(prep, key);
        };
        let place = Self::prep_place(prep, Some(key), None);
        let screen = self.desk.show(&place)?;
        match crate::shell::main_target(&screen) {
            Some(t) if matches!(&t.action, Action::Prep { action: PrepAction::ShowForm { form } } if form.starts_with("sign")) => {
                self.sign(prep, key)
            }
            Some(t)
                if matches!(
                    &t.action,
                    Action::Prep {
                        action: PrepAction::Done { .. }
                    }
                ) && t.enabled =>
            {
                self.do_step(prep, &step)
            }
            Some(t)
                if matches!(
                    &t.action,
                    Action::Prep {
                        action: PrepAction::Done { .. }
                    }
                ) =>
            {
                // Parts, a photo or controls first; or steps before it.
                let fate = self.do_step(prep, &step)?;
                if fate == Fate::Done {
                    Ok(fate)
                } else {
                    self.work_prep(prep)
                }
            }
            Some(t)
                if matches!(
                    &t.action,
                    Action::Prep {
                        action: PrepAction::GoTo { .. }
                    }
                ) && facts.ended.is_none() =>
            {
                // Done or skipped before: opened again and done.
                let action = PrepAction::Reopen {
                    step: key.to_owned(),
                };
                self.tap(&place, Action::Prep { action })?;
                self.do_step(prep, &step)
            }
            _ => Ok(Fate::Stuck("the step leads nowhere".into())),
        }
    }

    fn puts_right(&mut self, defect: &str) -> Result<Fate> {
        let water = self
            .desk
            .book()
            .rig(&self.rig)?
            .defects
            .iter()
            .any(|d| d.id == defect && d.water);
        if water && self.fires(Wrong::WaterClosed).is_none() {
            let at = self.rig_place(None);
            let wet: Vec<usize> = (0..self.vessels.len())
                .filter(|v| self.vessels[*v].wet)
                .collect();
            for v in wet {
                let enclosure = self.vessels[v].id.clone();
                let closures: Vec<String> = self.vessels[v]
                    .closures
                    .iter()
                    .map(|c| c.0.clone())
                    .collect();
                for c in closures {
                    self.opens(v, Some(&c), true);
                    let action = RigAction::OpenClosure {
                        enclosure: enclosure.clone(),
                        closure: Some(c),
                    };
                    self.tap(&at, Action::Rig { action })?;
                }
                self.vessels[v].leaks.clear();
            }
        }
        let at = self.rig_place(Some(&format!("close-defect/{defect}")));
        let sent = self.send(&at, "close-defect", &[("how", "ok")])?;
        Ok(match sent {
            Some(o) if o.faults.is_empty() => Fate::Done,
            Some(o) => Fate::Stuck(o.faults[0].text.clone()),
            None => Fate::Stuck("a fault that can't be closed".into()),
        })
    }

    // ---- between proof and dive ----------------------------------------------------------------

    /// What may happen to a rig that stands about, at any moment.
    fn between(&mut self) -> Result<()> {
        if let Some(m) = self.fires(Wrong::ClockAhead) {
            self.clock.advance((m.size * 12.0 * 3_600_000.0) as i64);
        }
        if let Some(m) = self.fires(Wrong::ClockBack) {
            self.clock.advance(-(m.size * 12.0 * 3_600_000.0) as i64);
        }
        if let Some(m) = self.fires(Wrong::LentOpened) {
            self.lent(m, false);
        }
        if let Some(m) = self.fires(Wrong::LentPumped) {
            self.lent(m, true);
        }
        if self.fires(Wrong::BringHold).is_some() {
            self.brings_hold()?;
        }
        if let Some(m) = self.fires(Wrong::OtherPhoneOpened) {
            self.other_phone(m)?;
        }
        if self.fires(Wrong::RemoveSeal).is_some() {
            let bad = self
                .vessels
                .iter()
                .flat_map(|v| &v.seals)
                .find(|s| s.damaged || !s.serviced)
                .map(|s| s.id.clone());
            if let Some(seal) = bad {
                self.removes(&format!("seal/{seal}"))?;
            }
        }
        if self.vessels.len() > 1 && self.fires(Wrong::RemoveEnclosure).is_some() {
            let id = self.vessels[1].id.clone();
            self.opens(1, None, true);
            let at = self.rig_place(None);
            let action = RigAction::OpenClosure {
                enclosure: id.clone(),
                closure: None,
            };
            self.tap(&at, Action::Rig { action })?;
            self.removes(&format!("enclosure/{id}"))?;
        }
        if let Some(m) = self.fires(Wrong::RaiseRating) {
            let v = m.which % self.vessels.len();
            self.edits_enclosure(v, &[("depth_rating_m", "200")])?;
            self.vessels[v].rated_m = self.plan().depth_m - 5.0;
            self.vessels[v].rating_mistyped = true;
        }
        if self.fires(Wrong::PlanDeep).is_some() {
            let at = self.rig_place(Some("plan"));
            self.send(&at, "plan", &[("depth", "75")])?;
        }
        Ok(())
    }

    fn lent(&mut self, m: Mishap, pumped: bool) {
        let v = m.which % self.vessels.len();
        if self.vessels[v].open() {
            return;
        }
        let n = self.vessels[v].closures.len();
        let closure = self.vessels[v].closures[m.which % n.max(1)].0.clone();
        let plug = self.vessels[v].plug_in;
        let ambient = self.weather.ambient_pa(self.t);
        let below = ambient - self.vessels[v].inside_pa();
        self.opens(v, Some(&closure), false);
        self.wait_s(300.0);
        self.shuts(v, Some(&closure));
        self.vessels[v].valve_open = false;
        if pumped {
            let ambient = self.weather.ambient_pa(self.t);
            self.vessels[v].pump(ambient, below);
            self.pasts[v].pumped_untold = true;
        }
        self.vessels[v].plug_in = plug;
    }

    fn brings_hold(&mut self) -> Result<()> {
        let enclosure = self.vessels[0].id.clone();
        let place = Place::HoldSetup {
            rig: self.rig.clone(),
            enclosure,
        };
        let rows: String = (0..40)
            .map(|k| format!("{},200.{},25.0,1013.0\n", k * 60, k % 2))
            .collect();
        let text = format!(
            "# hold-log: 1\n# enclosure: Main housing\n# volume_L: 12.0\n# volume_sd_L: 0.6\n# gauge: below_ambient\n# gauge_unit: mbar\n# gauge_resolution: 0.1\n# temperature_source: inside\n# limit_mL_per_dive: 60\n# dive_depth_m: 60\n# dive_minutes: 90\n# water_salinity_g_kg: 35\n# water_C: 20\ntime_s,gauge,temperature_C,ambient_mbar\n{rows}"
        );
        let paper = slackwater_core::screens::common::Document {
            name: "hold.csv".into(),
            media_type: "text/csv".into(),
            bytes: text.into_bytes(),
            file: None,
        };
        self.desk.bring(&place, "hold-log", &paper)?;
        Ok(())
    }

    /// The other member opens and shuts a closure and writes the opening down on another phone;
    /// then the logs meet.
    fn other_phone(&mut self, m: Mishap) -> Result<()> {
        let v = m.which % self.vessels.len();
        if self.vessels[v].open() {
            return Ok(());
        }
        let closure = self.vessels[v].closures[0].0.clone();
        let enclosure = self.vessels[v].id.clone();
        let plug = self.vessels[v].plug_in;
        self.opens(v, Some(&closure), true);
        self.shuts(v, Some(&closure));
        self.vessels[v].valve_open = false;
        self.vessels[v].plug_in = plug;
        let theirs = self.folder.join("theirs");
        let mut book = Book::open(&theirs, env(&self.clock, self.seed ^ 0x5eed))?;
        quick(&book);
        let events = all_events(self.desk.book())?;
        book.ingest_all(
            events
                .into_iter()
                .map(Ok::<_, slackwater_core::journal::store::IngestFault>),
        )
        .map_err(|e| BookFault::NotFound {
            what: "log",
            id: e.to_string(),
        })?;
        book.hold_phone(&self.members[1])?;
        book.open_closure(&self.rig, &enclosure, Some(&closure))?;
        let events = all_events(&book)?;
        self.desk
            .book_mut()
            .ingest_all(
                events
                    .into_iter()
                    .map(Ok::<_, slackwater_core::journal::store::IngestFault>),
            )
            .map_err(|e| BookFault::NotFound {
                what: "log",
                id: e.to_string(),
            })?;
        drop(book);
        let _ = std::fs::remove_dir_all(&theirs);
        Ok(())
    }

    // ---- the dive ---------------------------------------------------------------------------

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
        self.send(
            &at,
            "dive",
            &[
                ("depth", &format!("{}", plan.depth_m)),
                ("minutes", &format!("{}", plan.minutes)),
            ],
        )?;
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
