//! Holds and rechecks: begun, read, judged, concluded.

use rusqlite::OptionalExtension;
use std::sync::{Arc, OnceLock};

use super::super::budget;
use super::super::facts::{
    Fact, Gauge, HoldResult, HoldSetup, Noticed, ReadingFact, RecheckFact, RecheckFor, ValveOpen,
    VerdictFact, barometer_tag,
};
use super::super::fold;
use super::super::names;
use super::super::procedure::{StepKind, Target};
use super::super::rig::{Enclosure, Plan, RigFault, Wrong};
use super::super::rules::{age_ms, counting_hold, in_water};
use super::super::spans::{self, TimeDoubts, Timed, as_early_as_possible, doubts, time_of};
use super::super::state::{self, HoldFacts, ReadingRow, RecheckSeen, RigFacts, StepState, Told};
use super::super::subject::{At, CREW};
use super::{Book, BookFault, Recorded, Refusal, brought, enclosure_def};
use crate::hold_log::{self as log, LogWarning};
use slackwater_journal::store::events_of_subject;
use slackwater_journal::{BootTime, Stamp};
use slackwater_physics::gas::ZERO_C;
use slackwater_physics::hold::WORTH_SEEING;
use slackwater_physics::hold::camera::{self, Warmth};
use slackwater_physics::hold::plausible::{
    AIR_PA, About, Against, Doubt, Moment, TEMPERATURE_K, coarser_steps, zero_of,
};
use slackwater_physics::hold::{
    CameUp, Camera, Dive, Foreseen, GaugeKind, HoldFault, HoldInput, Judgement, Later, Proved,
    Quantity, Range, RangeOf, Reading, RecheckInput, RecheckJudgement, RecheckResult, ShutIn,
    TemperatureSource, Verdict, Why, foreseen, judge, judge_briefly, recheck, step_wanted,
};
use slackwater_physics::ingress;
use slackwater_physics::units::PressureUnit;

/// Version that stands in the record beside each verdict.
pub const JUDGED_BY: &str = concat!("slackwater ", env!("CARGO_PKG_VERSION"));

/// A hold with its readings and what they say now.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The rig's id.
    pub rig: String,
    /// The hold.
    pub hold: HoldFacts,
    /// Its readings in time order, those set aside included.
    pub readings: Vec<ReadingRow>,
    /// The judgement over those that count ([`counted`]); `None` before there are two.
    pub judgement: Option<Judgement>,
    /// For each reading of the judgement, its place in `readings`.
    pub judged_rows: Vec<usize>,
    /// What is to be said of the readings' times.
    pub doubts: TimeDoubts,
    /// Why there is no judgement though there are readings: one that can't be is in the record.
    pub fault: Option<HoldFault>,
    /// It would be *holding*, but all readings are whole steps of a coarser gauge than was said, of each
    /// of these, Pa, the coarsest first: somebody is to look which it shows ([`Book::gauge_shows`]).
    pub steps_doubted: Vec<f64>,
    /// What of its rechecks is foreseen, once that was asked ([`recheck_foreseen`]).
    foreseen: OnceLock<Option<Foreseen>>,
}

impl Judged {
    /// The readings that were judged, in order.
    fn used(&self) -> Vec<ReadingFact> {
        let rows = self.judged_rows.iter();
        rows.map(|&i| self.readings[i].reading).collect()
    }

    /// How many readings were set aside and count all the same, since nothing speaks against them.
    pub fn overruled(&self) -> usize {
        self.judged_rows
            .iter()
            .filter(|&&i| self.readings[i].aside)
            .count()
    }
}

/// A reading to be recorded, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NewReading {
    /// The gauge, Pa.
    pub gauge_pa: f64,
    /// Temperature, K.
    pub temperature_k: Option<f64>,
    /// Barometer, Pa.
    pub ambient_pa: Option<f64>,
    /// As [`ReadingFact::barometer`].
    pub barometer: Option<u32>,
    /// As [`ReadingFact::confirmed`].
    pub confirmed: bool,
}

/// How numbers were typed, so that the likely mistake behind one that can't be is named in them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AsTyped {
    /// The unit of the air pressure.
    pub air_unit: PressureUnit,
    /// Temperatures in °F.
    pub fahrenheit: bool,
}

impl Default for AsTyped {
    fn default() -> AsTyped {
        AsTyped {
            air_unit: PressureUnit::Mbar,
            fahrenheit: false,
        }
    }
}

/// What is in doubt of numbers typed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Doubts {
    /// Each, at most one of a number.
    pub all: Vec<Doubt>,
    /// The enclosures whose gauges the doubts count, by id.
    pub others: Vec<String>,
}

/// A reading of a recheck to be recorded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NewRecheck {
    /// What was read.
    pub reading: NewReading,
    /// Whether the camera inside runs, or ran in the last half hour; none where nobody said.
    pub camera_on: Option<bool>,
    /// Whether it came from elsewhere within the last hour, as from a cabin, a car or a rinse tank; none where
    /// nobody said, which is taken as no.
    pub brought: Option<bool>,
}

impl From<NewReading> for NewRecheck {
    fn from(reading: NewReading) -> Self {
        Self {
            reading,
            camera_on: None,
            brought: None,
        }
    }
}

/// What a recheck would say of a reading, or what should be read.
#[derive(Debug, Clone, PartialEq)]
pub struct RecheckPreview {
    /// The hold it rests on, with the plan, the limit and the volume as they are now.
    pub hold: HoldFacts,
    /// The moment of the hold that it is compared with.
    pub then: ReadingFact,
    /// The judgement; where it isn't sure how much time has passed, of the likely and the least time.
    pub judgement: RecheckJudgement,
    /// How long after the closing of the valve it is, and how sure that is.
    pub timed: Timed,
    /// What was seen of this enclosure's camera, where it matters: how often, and how far it warms the
    /// gas at most, K.
    pub camera_seen: Option<(usize, f64)>,
    /// The dive that the rig came out of since the hold, where it did.
    pub came_up: Option<CameUp>,
}

/// So many of an enclosure's holds, the newest, are asked what its camera did.
const CAMERA_HOLDS: u32 = 8;

impl Book {
    /// The enclosure that a hold is of; none where no such hold is known.
    ///
    /// # Errors
    /// The file.
    pub fn hold_enclosure(&self, hold: &str) -> Result<Option<String>, BookFault> {
        Ok(self.journal.run("reading a hold's enclosure", |db| {
            db.prepare_cached("SELECT enclosure FROM hold WHERE id = ?1")?
                .query_row([hold], |r| r.get(0))
                .optional()
        })?)
    }

    /// Now, by both clocks of this phone, for [`time_of`]; `device` as its key is written.
    fn moment<'a>(&self, device: &'a str) -> spans::Moment<'a> {
        spans::Moment {
            wall_ms: self.now().wall_ms,
            boot: self.journal.boot(),
            device,
        }
    }

    /// How long after the closing of its valve a hold is now, and how sure that is.
    pub fn time_since_closing(&self, judged: &Judged) -> Timed {
        let device = self.journal.device().to_string();
        let now = self.moment(&device);
        time_of(&judged.readings, judged.hold.started_ms, now)
    }

    /// The setup that a hold of this enclosure would have by the rig's own figures: free volume,
    /// limit and planned dive.
    pub fn hold_setup(enclosure: &Enclosure, plan: &Plan) -> HoldSetup {
        HoldSetup {
            enclosure: enclosure.id.clone(),
            gauge: None,
            absolute: false,
            gauge_unit: "mbar".into(),
            gauge_resolution_pa: 100.0,
            temperature_source: "air".into(),
            volume_m3: enclosure.volume_l * 1e-3,
            volume_sd_m3: enclosure.volume_sd_l * 1e-3,
            limit_ml: enclosure.limit(),
            built_in_limit: enclosure.limit_ml.is_none(),
            depth_m: plan.depth_m,
            minutes: plan.minutes,
            salinity_g_kg: plan.salinity_g_kg,
            water_k: plan.water_c + 273.15,
            temperature_sd_k: None,
            barometer_sd_pa: None,
            humidity: None,
            shut_in: ShutIn::default(),
            valve_open: None,
            confirmed: false,
            shows_its_steps: false,
            noticed: Vec::new(),
        }
    }

    /// The errors that the crew has measured of its thermometer at `source` (K, 1 sd) and its
    /// barometer (Pa, 1 sd, change within a hold); none where it has not.
    ///
    /// # Errors
    /// The file.
    pub fn measured_errors(&self, source: &str) -> Result<(Option<f64>, Option<f64>), BookFault> {
        let choices = self.choices()?;
        let number = |key: &str| {
            choices
                .get(key)
                .and_then(|v| v.parse::<f64>().ok())
                .filter(|v| v.is_finite() && *v > 0.0)
        };
        Ok((number(&format!("sd_{source}_k")), number("sd_barometer_pa")))
    }

    /// How readings of this device's own barometer are marked ([`ReadingFact::barometer`]).
    pub fn own_barometer(&self) -> u32 {
        barometer_tag(self.journal.device())
    }

    /// Begins a hold: the vacuum is drawn, the valve closed now. Gives its id.
    ///
    /// # Errors
    /// [`Refusal::EnclosureOpen`], [`Refusal::NoValve`]; a first reading or setup that can't be;
    /// no such enclosure; the file.
    pub fn start_hold(
        &mut self,
        rig: &str,
        setup: HoldSetup,
        first: NewReading,
    ) -> Result<String, BookFault> {
        let facts = self.rig(rig)?;
        let def = enclosure_def(&facts.def, &setup.enclosure)?;
        if def.valve.is_none() {
            return Self::refuse(Refusal::NoValve {
                enclosure: def.name.clone(),
            });
        }
        if !self.is_closed(&facts, &setup.enclosure) {
            return Self::refuse(Refusal::EnclosureOpen {
                enclosure: def.name.clone(),
            });
        }
        let reading = ReadingFact {
            t_s: 0.0,
            gauge_pa: first.gauge_pa,
            temperature_k: first.temperature_k,
            ambient_pa: first.ambient_pa,
            barometer: first.barometer,
            confirmed: first.confirmed,
            boot: self.journal.boot(),
            ..ReadingFact::default()
        };
        // The judge refuses what can't be, naming it; better now than at the second reading.
        judge(&input_of(
            &setup,
            &[
                reading,
                ReadingFact {
                    t_s: 1.0,
                    ..reading
                },
            ],
        ))?;
        gauge_is_so(&setup, first.ambient_pa)?;
        can_be(&setup, 0, &[], &first)?;
        let id = self.make_id();
        let subject = At::Hold(&id).of(rig);
        self.record(vec![
            (subject.clone(), Fact::HoldStarted { setup }),
            (subject, Fact::HoldReading { reading }),
        ])?;
        Ok(id)
    }

    /// Brings a logged hold in, to be looked at; it proves nothing here.
    ///
    /// # Errors
    /// [`BookFault::HoldLog`] names what is wrong, row by row; with `keep_good` the good rows are
    /// taken. No such enclosure; readings that can't be judged; the file.
    pub fn import_hold(
        &mut self,
        rig: &str,
        enclosure: &str,
        text: &str,
        keep_good: bool,
    ) -> Result<String, BookFault> {
        let facts = self.rig(rig)?;
        let def = enclosure_def(&facts.def, enclosure)?;
        let log = log::read(text).map_err(BookFault::HoldLog)?;
        let wrong = if keep_good {
            log::WrongRows::KeepGood
        } else {
            log::WrongRows::Refuse
        };
        let mut read = log.input(wrong).map_err(BookFault::HoldLog)?;
        let in_file = read.readings.len();
        let kept = budget::thinned(in_file, budget::READINGS);
        read.readings = kept.iter().map(|&i| read.readings[i]).collect();
        // What the file leaves unsaid of the dive is the rig's plan; the limit is the enclosure's own.
        let said = |key: &str| {
            !log.warnings
                .iter()
                .any(|w| matches!(w, LogWarning::Assumed { key: k, .. } if *k == key))
        };
        let plan = facts.def.plan;
        let or = |key: &str, theirs: f64, ours: f64| if said(key) { theirs } else { ours };
        let input = HoldInput {
            limit_ml: def.limit(),
            dive: Dive {
                depth_m: or("dive_depth_m", read.dive.depth_m, plan.depth_m),
                minutes: or("dive_minutes", read.dive.minutes, plan.minutes),
                salinity_g_kg: or(
                    "water_salinity_g_kg",
                    read.dive.salinity_g_kg,
                    plan.salinity_g_kg,
                ),
                water_k: or("water_C", read.dive.water_k, plan.water_c + 273.15),
            },
            ..read
        };
        let mut noticed = brought::noticed(&log, def, facts.enclosure(enclosure));
        if kept.len() < in_file {
            noticed.push(Noticed::Thinned {
                of: u32::try_from(in_file).unwrap_or(u32::MAX),
                kept: budget::READINGS as u32,
            });
        }
        let setup = HoldSetup {
            enclosure: enclosure.to_owned(),
            gauge: None,
            noticed,
            absolute: input.gauge == GaugeKind::Absolute,
            gauge_unit: log.unit.symbol().to_owned(),
            gauge_resolution_pa: input.gauge_resolution_pa,
            temperature_source: source_key(input.temperature_source).to_owned(),
            volume_m3: input.volume_m3,
            volume_sd_m3: input.volume_sd_m3,
            limit_ml: input.limit_ml,
            built_in_limit: def.limit_ml.is_none(),
            depth_m: input.dive.depth_m,
            minutes: input.dive.minutes,
            salinity_g_kg: input.dive.salinity_g_kg,
            water_k: input.dive.water_k,
            temperature_sd_k: None,
            barometer_sd_pa: None,
            humidity: None,
            shut_in: ShutIn::default(),
            valve_open: None,
            confirmed: false,
            shows_its_steps: false,
        };
        let readings: Vec<ReadingFact> = input
            .readings
            .iter()
            .map(|r| ReadingFact {
                t_s: r.t_s,
                gauge_pa: r.gauge_pa,
                temperature_k: r.temperature_k,
                ambient_pa: r.ambient_pa,
                ..ReadingFact::default()
            })
            .collect();
        let id = self.make_id();
        let mut setup = setup;
        let rechecks = if readings.len() >= 2 {
            let judged = judge(&input)?;
            // Evidence of others counts for nothing here; that it leaks is news.
            let elsewhere = |n: &Noticed| {
                matches!(
                    n,
                    Noticed::OtherEnclosure { .. }
                        | Noticed::BeforeClosing { .. }
                        | Noticed::WhenUnknown {}
                )
            };
            if !setup.noticed.iter().any(elsewhere) {
                // As its page judges it: what the file says of what is shut in is nobody's word here.
                let shown = judge(&input_of(&setup, &readings))?;
                if shown.verdict == Verdict::Leaking {
                    let at_least_ml = shown.low_ml;
                    let until_ms = brought::until(&log, &readings);
                    let leaks = Noticed::Leaks {
                        at_least_ml,
                        until_ms,
                    };
                    setup.noticed.insert(0, leaks);
                }
            }
            logged_rechecks(&id, &judged, &input, &log.later())?
        } else {
            Vec::new()
        };
        self.record(vec![(
            At::Hold(&id).of(rig),
            Fact::HoldImported {
                setup,
                readings,
                rechecks,
            },
        )])?;
        Ok(id)
    }

    /// A hold with its rechecks as a log file, readings set aside left out.
    ///
    /// # Errors
    /// No such hold; the file.
    pub fn export_hold(&self, hold: &str) -> Result<String, BookFault> {
        let judged = self.hold(hold)?;
        let facts = self.rig(&judged.rig)?;
        let name = facts
            .def
            .enclosure(judged.hold.setup.enclosure.as_str())
            .map_or_else(|| judged.hold.setup.enclosure.clone(), |e| e.name.clone());
        let used = judged.used();
        let setup = &judged.hold.setup;
        let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(PressureUnit::Mbar);
        let input = input_of(setup, &used);
        let later: Vec<Later> = self
            .journal
            .run("reading a hold's rechecks", |db| {
                state::load_rechecks(db, hold)
            })?
            .iter()
            .map(|r| {
                let mut reading = reading_of(&r.fact.reading);
                // As the hold's own readings are: set right by what the gauge shows too much.
                reading.gauge_pa -= input.zero_pa;
                Later {
                    reading,
                    camera_on: r.fact.camera_on,
                    other_barometer: false,
                    came_up: None,
                    brought: r.fact.brought == Some(true),
                }
            })
            .collect();
        let mut log = log::HoldLog::from_input(&name, unit, &input).with_rechecks(&later);
        brought::say_when(&mut log, judged.hold.started_ms);
        Ok(log.write())
    }

    /// A hold with its readings and what they say.
    ///
    /// # Errors
    /// No such hold; the file; readings that can't be judged.
    pub fn hold(&self, id: &str) -> Result<Arc<Judged>, BookFault> {
        if let Some(judged) = self.judged.borrow().get(id) {
            // The readings stand; whether it was concluded since is read anew.
            let (_, hold) = self.hold_facts(id)?;
            if judged.hold == hold {
                return Ok(judged.clone());
            }
        }
        let (rig, hold) = self.hold_facts(id)?;
        let all = self.journal.run("reading a hold's readings", |db| {
            state::load_readings(db, id)
        })?;
        // Nobody types so many: a file brought them, or a phone that means no good.
        let kept = budget::thinned(all.len(), budget::READINGS);
        let readings: Vec<ReadingRow> = kept.into_iter().map(|i| all[i].clone()).collect();
        let rows = counted(&hold.setup, &readings);
        let used: Vec<ReadingFact> = rows.iter().map(|&i| readings[i].reading).collect();
        // What is in the record is shown, whatever it is; a reading that can't be proves nothing.
        let (judgement, fault) = if used.len() < 2 {
            (None, None)
        } else {
            match judge_by_both_clocks(&hold.setup, &used) {
                Ok(judgement) => (Some(judgement), None),
                Err(fault) => (None, Some(fault)),
            }
        };
        // One that was given up, or brought in, proves nothing.
        let (judgement, steps_doubted) = if hold.abandoned.is_some() {
            (judgement, Vec::new())
        } else {
            doubting_steps(&hold.setup, &used, judgement)
        };
        let judged = Arc::new(Judged {
            steps_doubted,
            rig,
            hold,
            doubts: doubts(&used),
            readings,
            judgement,
            judged_rows: rows,
            fault,
            foreseen: OnceLock::new(),
        });
        let mut cache = self.judged.borrow_mut();
        if cache.len() > 16 {
            cache.clear();
        }
        cache.insert(id.to_owned(), judged.clone());
        Ok(judged)
    }

    /// A hold as it is shown: one that was judged again for another plan, limit or volume is reckoned for
    /// those that its verdict was given for, so that its figures are of the same dive.
    ///
    /// # Errors
    /// As [`Book::hold`].
    pub fn hold_as_concluded(&self, id: &str) -> Result<Arc<Judged>, BookFault> {
        let judged = self.hold(id)?;
        let Some((_, _, result)) = &judged.hold.concluded else {
            return Ok(judged);
        };
        let setup = as_judged(&judged.hold.setup, result);
        if setup == judged.hold.setup {
            return Ok(judged);
        }
        let used = judged.used();
        let Ok(judgement) = judge_by_both_clocks(&setup, &used) else {
            return Ok(judged);
        };
        Ok(Arc::new(Judged {
            hold: HoldFacts {
                setup,
                ..judged.hold.clone()
            },
            judgement: Some(judgement),
            foreseen: OnceLock::new(),
            ..(*judged).clone()
        }))
    }

    fn hold_facts(&self, id: &str) -> Result<(String, HoldFacts), BookFault> {
        self.journal
            .run("reading a hold", |db| state::load_hold(db, id))?
            .ok_or_else(|| BookFault::NotFound {
                what: "hold",
                id: id.to_owned(),
            })
    }

    /// What is in doubt of a hold's set-up and first reading.
    ///
    /// # Errors
    /// The file.
    pub fn setup_doubts(
        &self,
        rig: &str,
        setup: &HoldSetup,
        first: &NewReading,
        typed: AsTyped,
    ) -> Result<Doubts, BookFault> {
        let facts = self.rig(rig)?;
        let (others, shown) = self.other_gauges(&facts, &setup.enclosure)?;
        let now = moment_of(0.0, first);
        let air = first.ambient_pa;
        let mut all = against(setup, &[], &shown, typed, false, air).doubts(&now);
        if let Some(ValveOpen::Reads(pa)) = setup.valve_open {
            let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(PressureUnit::Mbar);
            let sure = air.filter(|_| !all.iter().any(|d| d.about == About::Air));
            match zero_of(pa, unit, sure) {
                Ok((_, _, asked)) => all.extend(asked),
                Err(doubt) => {
                    // Of a gauge of no kind nothing else can be said.
                    all.retain(|d| d.about != About::Gauge);
                    all.insert(0, doubt);
                }
            }
        }
        Ok(Doubts { all, others })
    }

    /// What is in doubt of the next reading of a hold.
    ///
    /// # Errors
    /// No such hold; the file.
    pub fn reading_doubts(
        &self,
        hold: &str,
        new: &NewReading,
        typed: AsTyped,
    ) -> Result<Doubts, BookFault> {
        let judged = self.hold(hold)?;
        let facts = self.rig(&judged.rig)?;
        let setup = &judged.hold.setup;
        let (others, shown) = self.other_gauges(&facts, &setup.enclosure)?;
        let before = last_moments(&judged);
        let t_s = self.time_since_closing(&judged).t_s;
        let air = judged.readings.iter().find_map(|r| r.reading.ambient_pa);
        let all = against(setup, &before, &shown, typed, false, air).doubts(&moment_of(t_s, new));
        Ok(Doubts { all, others })
    }

    /// What is in doubt of a recheck's reading. It is held only against what a slip would be: whether
    /// something has changed is the recheck's to judge.
    ///
    /// # Errors
    /// No such rig; the file.
    pub fn recheck_doubts(
        &self,
        rig: &str,
        enclosure: &str,
        new: &NewRecheck,
        typed: AsTyped,
    ) -> Result<Doubts, BookFault> {
        let facts = self.rig(rig)?;
        let Some(hold) = facts
            .enclosure(enclosure)
            .and_then(|k| counting_hold(&facts, k).ok())
        else {
            return Ok(Doubts::default());
        };
        let judged = self.hold(&hold.id)?;
        let (others, shown) = self.other_gauges(&facts, enclosure)?;
        let mut before = last_moments(&judged);
        before.drain(..before.len().saturating_sub(1));
        let t_s = self.time_since_closing(&judged).t_s;
        let air = judged.readings.iter().find_map(|r| r.reading.ambient_pa);
        // Held against what is foretold of it, with weather, camera and packs.
        let expected = self.preview_recheck(rig, enclosure, *new).ok().map(|p| {
            let j = &p.judgement;
            (j.foretold_pa, 0.5 * (j.high_pa - j.low_pa))
        });
        let against = Against {
            expected,
            ..against(&hold.setup, &before, &shown, typed, true, air)
        };
        let mut all = against.doubts(&moment_of(t_s, &new.reading));
        // The air on deck is asked for, and looked at, by itself.
        all.retain(|d| d.about == About::Gauge);
        Ok(Doubts { all, others })
    }

    /// The rig's other enclosures and what their gauges last showed, Pa.
    fn other_gauges(
        &self,
        rig: &RigFacts,
        enclosure: &str,
    ) -> Result<(Vec<String>, Vec<f64>), BookFault> {
        let (mut ids, mut shown) = (Vec::new(), Vec::new());
        for e in rig.enclosures.iter().filter(|e| e.id != enclosure) {
            let Some(hold) = e.holds.first() else {
                continue;
            };
            let readings = self.journal.run("reading a hold's readings", |db| {
                state::load_readings(db, &hold.id)
            })?;
            let last = readings.iter().rev().find(|r| !r.aside);
            let rechecked = e.recheck.as_ref().filter(|(_, f)| f.hold == hold.id);
            let pa = rechecked
                .map(|(_, f)| f.reading.gauge_pa)
                .or(last.map(|r| r.reading.gauge_pa));
            if let Some(pa) = pa {
                ids.push(e.id.clone());
                shown.push(pa);
            }
        }
        Ok((ids, shown))
    }

    /// Adds a reading taken now.
    ///
    /// # Errors
    /// [`Refusal::HoldEnded`]; a reading that can't be ([`HoldFault`] names it); the file.
    pub fn add_reading(&mut self, hold: &str, new: NewReading) -> Result<Recorded, BookFault> {
        let judged = self.hold(hold)?;
        let timed = self.time_since_closing(&judged);
        self.add_timed(hold, &judged, timed, self.journal.boot(), new)
    }

    /// Adds a reading that was noted elsewhere, `t_s` seconds after the valve was closed.
    ///
    /// # Errors
    /// As [`Book::add_reading`]; a time before an earlier reading.
    pub fn add_reading_at(
        &mut self,
        hold: &str,
        t_s: f64,
        new: NewReading,
    ) -> Result<Recorded, BookFault> {
        let judged = self.hold(hold)?;
        let timed = Timed {
            t_s,
            least_s: None,
            clock_set_s: None,
        };
        self.add_timed(hold, &judged, timed, None, new)
    }

    fn add_timed(
        &mut self,
        hold: &str,
        judged: &Judged,
        timed: Timed,
        boot: Option<BootTime>,
        new: NewReading,
    ) -> Result<Recorded, BookFault> {
        if judged.hold.concluded.is_some() || judged.hold.abandoned.is_some() {
            return Self::refuse(Refusal::HoldEnded);
        }
        let t_s = timed.t_s;
        let reading = ReadingFact {
            t_s,
            gauge_pa: new.gauge_pa,
            temperature_k: new.temperature_k,
            ambient_pa: new.ambient_pa,
            barometer: new.barometer,
            confirmed: new.confirmed,
            boot,
            least_s: timed.least_s,
            clock_set_s: timed.clock_set_s,
        };
        let mut all = judged.used();
        if judged
            .readings
            .last()
            .is_some_and(|last| t_s < last.reading.t_s)
        {
            return Err(HoldFault::OutOfOrder {
                index: judged.readings.len(),
            }
            .into());
        }
        all.push(reading);
        if all.len() >= 2 {
            judge_by_both_clocks(&judged.hold.setup, &all)?;
        }
        let before = last_moments(judged);
        can_be(&judged.hold.setup, judged.readings.len(), &before, &new)?;
        let subject = At::Hold(hold).of(&judged.rig);
        self.record(vec![(subject, Fact::HoldReading { reading })])
    }

    /// Sets a reading aside as mistyped; it stays in the record.
    ///
    /// # Errors
    /// [`Refusal::HoldEnded`]; no such reading; the file.
    pub fn set_reading_aside(&mut self, hold: &str, event: &str) -> Result<Recorded, BookFault> {
        let judged = self.hold(hold)?;
        if judged.hold.concluded.is_some() || judged.hold.abandoned.is_some() {
            return Self::refuse(Refusal::HoldEnded);
        }
        if !judged.readings.iter().any(|r| r.event == event) {
            return Err(BookFault::NotFound {
                what: "reading",
                id: event.to_owned(),
            });
        }
        let subject = At::Hold(hold).of(&judged.rig);
        self.record(vec![(
            subject,
            Fact::ReadingSetAside {
                reading: event.to_owned(),
            },
        )])
    }

    /// Ends a hold with the verdict as it stands, and ticks the step of the prep under way that
    /// asked for it where the verdict is *holding*.
    ///
    /// # Errors
    /// [`Refusal::HoldEnded`], [`Refusal::TooFewReadings`]; the file.
    pub fn conclude_hold(&mut self, hold: &str) -> Result<Recorded, BookFault> {
        let judged = self.hold(hold)?;
        if judged.hold.concluded.is_some() || judged.hold.abandoned.is_some() {
            return Self::refuse(Refusal::HoldEnded);
        }
        let Some(result) = result_of(&judged) else {
            return Self::refuse(Refusal::TooFewReadings);
        };
        let facts = self.rig(&judged.rig)?;
        let mut record = Vec::new();
        if result.verdict == VerdictFact::Holding {
            record = step_done(&facts, StepKind::Hold, &judged.hold.enclosure);
        }
        record.insert(
            0,
            (
                At::Hold(hold).of(&judged.rig),
                Fact::HoldConcluded { result },
            ),
        );
        self.record(record)
    }

    /// Judges a concluded hold again for the plan as it is now, from the same readings.
    ///
    /// # Errors
    /// [`Refusal::TooFewReadings`]; no such hold; the file.
    pub fn judge_again(&mut self, hold: &str) -> Result<Recorded, BookFault> {
        let judged = self.hold(hold)?;
        let facts = self.rig(&judged.rig)?;
        let def = enclosure_def(&facts.def, &judged.hold.enclosure)?;
        let setup = as_now(&judged.hold.setup, def, &facts.def.plan);
        let used = judged.used();
        if used.len() < 2 {
            return Self::refuse(Refusal::TooFewReadings);
        }
        let mut judgement = Some(judge_by_both_clocks(&setup, &used)?);
        // One that was holding has answered it, or is from before anybody was asked.
        let concluded = judged.hold.concluded.as_ref().map(|c| c.2.verdict);
        if concluded != Some(VerdictFact::Holding) {
            judgement = doubting_steps(&setup, &used, judgement).0;
        }
        let anew = Judged {
            hold: HoldFacts {
                setup,
                ..judged.hold.clone()
            },
            judgement,
            fault: None,
            foreseen: OnceLock::new(),
            ..(*judged).clone()
        };
        let Some(mut result) = result_of(&anew) else {
            return Self::refuse(Refusal::TooFewReadings);
        };
        // Said only where the set-up doesn't, so that versions that don't know it read the rest.
        let sd = anew.hold.setup.volume_sd_m3;
        let said = as_judged(&judged.hold.setup, &result).volume_sd_m3;
        result.volume_sd_m3 = ((sd - said).abs() > 1e-9 * sd.abs()).then_some(sd);
        self.record(vec![(
            At::Hold(hold).of(&judged.rig),
            Fact::HoldConcluded { result },
        )])
    }

    /// Records what somebody saw of a hold's gauge, whose readings were all whole steps of a coarser one:
    /// the steps that it shows, Pa, which count from then on and are kept with the gauge's record; or
    /// none, where it shows those that were said.
    ///
    /// # Errors
    /// [`Refusal::HoldEnded`]; steps finer than were said; no such hold; the file.
    pub fn gauge_shows(&mut self, hold: &str, step_pa: Option<f64>) -> Result<Recorded, BookFault> {
        let judged = self.hold(hold)?;
        if judged.hold.concluded.is_some() || judged.hold.abandoned.is_some() {
            return Self::refuse(Refusal::HoldEnded);
        }
        let setup = &judged.hold.setup;
        let coarser = setup.gauge_resolution_pa..=GAUGE_STEP_MOST_PA;
        if step_pa.is_some_and(|pa| !coarser.contains(&pa)) {
            return Err(BookFault::Rig(vec![RigFault {
                at: "resolution".into(),
                why: Wrong::CoarserOnly,
            }]));
        }
        let mut record = vec![(At::Hold(hold).of(&judged.rig), Fact::GaugeSteps { step_pa })];
        let gauges = self.gauges()?;
        let on_record = (gauges.into_iter()).find(|(id, _)| setup.gauge.as_ref() == Some(id));
        if let (Some((id, gauge)), Some(pa)) = (on_record, step_pa) {
            let gauge = Gauge {
                resolution_pa: pa,
                ..gauge
            };
            record.push((At::Gauge(&id).of(CREW), Fact::GaugeDefined { gauge }));
        }
        self.record(record)
    }

    /// Gives a hold up.
    ///
    /// # Errors
    /// [`Refusal::ReasonWanted`], [`Refusal::HoldEnded`]; the file.
    pub fn abandon_hold(&mut self, hold: &str, reason: &str) -> Result<Recorded, BookFault> {
        let judged = self.hold(hold)?;
        if judged.hold.concluded.is_some() || judged.hold.abandoned.is_some() {
            return Self::refuse(Refusal::HoldEnded);
        }
        if names::visible(reason).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        // What leaks is news: given up it would leave no word, and the next hold none to answer.
        let leaks = |j: &Judgement| j.verdict == Verdict::Leaking || j.fast_leak || j.gone;
        if judged.judgement.as_ref().is_some_and(leaks) {
            return self.conclude_hold(hold);
        }
        self.record(vec![(
            At::Hold(hold).of(&judged.rig),
            Fact::HoldAbandoned {
                reason: reason.trim().to_owned(),
            },
        )])
    }

    /// What a recheck of an enclosure would say of a reading; with a gauge of NaN, what it should
    /// read now if nothing changed. Judged for the plan, the limit and the volume as they are now.
    ///
    /// # Errors
    /// [`Refusal::NotProved`] where no hold counts; a reading that can't be; the file.
    pub fn preview_recheck(
        &self,
        rig: &str,
        enclosure: &str,
        now: impl Into<NewRecheck>,
    ) -> Result<RecheckPreview, BookFault> {
        let NewRecheck {
            reading: now,
            camera_on,
            brought,
        } = now.into();
        let facts = self.rig(rig)?;
        let def = enclosure_def(&facts.def, enclosure)?;
        let not_proved = || {
            Self::refuse(Refusal::NotProved {
                enclosure: def.name.clone(),
            })
        };
        let known = facts.enclosure(enclosure);
        let Some((known, hold)) = known.and_then(|k| Some((k, counting_hold(&facts, k).ok()?)))
        else {
            return not_proved();
        };
        let judged = self.hold(&hold.id)?;
        let used = judged.used();
        let (Some(last), Some(judgement)) = (used.last().copied(), &judged.judgement) else {
            return not_proved();
        };
        let air = used
            .iter()
            .rev()
            .find_map(|r| r.ambient_pa.map(|pa| (pa, r.barometer)));
        let then = ReadingFact {
            temperature_k: used.iter().rev().find_map(|r| r.temperature_k),
            ambient_pa: air.map(|a| a.0),
            barometer: air.and_then(|a| a.1),
            ..last
        };
        let setup = as_now(&hold.setup, def, &facts.def.plan);
        let scale = setup.volume_m3 / judged.hold.setup.volume_m3
            * ingress::times_the_water(&dive_of(&judged.hold.setup), &dive_of(&setup));
        let timed = self.time_since_closing(&judged);
        // Where nothing came out of water no plan's is asked for.
        let (waters, dives) = if in_water(&facts).is_empty() {
            (Vec::new(), Vec::new())
        } else {
            (self.waters_since(rig, hold)?, self.last_dives(rig)?)
        };
        let water = (&waters[..], &dives[..]);
        let since = Since {
            proved: Proved {
                leak_ml: judgement.leak_ml * scale,
                low_ml: judgement.low_ml * scale,
                high_ml: judgement.high_ml * scale,
                suspects: judgement.suspects.clone(),
            },
            setup: &setup,
            used: &used,
            before: (known.rechecks.iter())
                .filter(|r| r.fact.result == Some(RecheckResult::AsForetold) && r.slip.is_none())
                .map(|r| {
                    let up = came_up(
                        &facts,
                        hold,
                        water,
                        r.fact.reading.temperature_k,
                        &|s| facts.heard.after(&r.seen.stamp, s),
                        r.seen.wall_ms,
                    );
                    Then {
                        reading: r.fact.reading,
                        camera_on: r.fact.camera_on,
                        came_up: up,
                        brought: r.fact.brought == Some(true),
                    }
                })
                .collect(),
            now: Then {
                reading: ReadingFact {
                    t_s: timed.t_s,
                    gauge_pa: now.gauge_pa,
                    temperature_k: now.temperature_k,
                    ambient_pa: now.ambient_pa,
                    barometer: now.barometer,
                    confirmed: now.confirmed,
                    least_s: timed.least_s,
                    ..ReadingFact::default()
                },
                camera_on,
                came_up: came_up(
                    &facts,
                    hold,
                    water,
                    now.temperature_k,
                    &|_| true,
                    self.now().wall_ms,
                ),
                brought: brought == Some(true),
            },
            camera_k: None,
        };
        // A camera that is off, or that a sensor in the gas sees, does nothing worth knowing.
        let asked = camera_on != Some(false) && setup.temperature_source != "inside";
        let seen = if asked {
            self.camera_seen(rig, enclosure)?
        } else {
            Vec::new()
        };
        let camera_k = camera::learned(&seen);
        let came_up = since.now.came_up;
        let judgement = Since { camera_k, ..since }.judge()?;
        Ok(RecheckPreview {
            hold: HoldFacts {
                setup,
                ..hold.clone()
            },
            then,
            judgement,
            timed,
            camera_seen: camera_k.map(|(_, most)| (seen.len(), most)),
            came_up,
        })
    }

    /// What was seen of an enclosure's camera: pairs of rechecks of one hold, and holds in which it ran
    /// or cooled. Of a hold that did not prove the enclosure, or since which it changed, nothing is taken.
    fn camera_seen(&self, rig: &str, enclosure: &str) -> Result<Vec<Warmth>, BookFault> {
        let holds = self.journal.run("reading an enclosure's holds", |db| {
            state::load_holds(db, rig, enclosure, CAMERA_HOLDS)
        })?;
        let mut seen = Vec::new();
        for hold in holds {
            let proved = hold.concluded.as_ref().map(|c| c.2.verdict);
            if proved != Some(VerdictFact::Holding) || hold.abandoned.is_some() {
                continue;
            }
            if matches!(hold.setup.shut_in.camera, Some(Camera::Warm | Camera::On)) {
                let judged = self.hold(&hold.id)?;
                if let Some(judgement) = &judged.judgement {
                    let used = judged.used();
                    let input = input_of(&hold.setup, &used);
                    seen.extend(camera::seen_in_hold(&input, &Proved::from(judgement)));
                }
            }
            let rechecks = self.journal.run("reading a hold's rechecks", |db| {
                state::load_rechecks(db, &hold.id)
            })?;
            seen.extend(pairs(&hold.setup, &rechecks));
        }
        Ok(seen)
    }

    /// Records a recheck. Where the valve's gauge can't be read with the plug on, the plug was off
    /// for it, and is recorded so.
    ///
    /// # Errors
    /// As [`Book::preview_recheck`].
    pub fn record_recheck(
        &mut self,
        rig: &str,
        enclosure: &str,
        now: impl Into<NewRecheck>,
    ) -> Result<Recorded, BookFault> {
        let new = now.into();
        let now = new.reading;
        if !now.gauge_pa.is_finite() {
            return Err(HoldFault::AbsurdReading {
                index: 0,
                quantity: Quantity::Gauge,
                value: now.gauge_pa,
                why: Why::NoNumber,
            }
            .into());
        }
        let preview = self.preview_recheck(rig, enclosure, new)?;
        can_be(&preview.hold.setup, 0, &[moment(&preview.then)], &now)?;
        let facts = self.rig(rig)?;
        let j = &preview.judgement;
        let verdict = recheck_verdict(j);
        let reading = ReadingFact {
            t_s: preview.timed.t_s,
            gauge_pa: now.gauge_pa,
            temperature_k: now.temperature_k,
            ambient_pa: now.ambient_pa,
            barometer: now.barometer,
            confirmed: now.confirmed,
            boot: self.journal.boot(),
            least_s: preview.timed.least_s,
            clock_set_s: preview.timed.clock_set_s,
        };
        let asked = &preview.hold.setup;
        let recheck = RecheckFact {
            judged_for: Some(RecheckFor {
                depth_m: asked.depth_m,
                minutes: asked.minutes,
                salinity_g_kg: asked.salinity_g_kg,
                water_k: asked.water_k,
                limit_ml: asked.limit_ml,
                volume_m3: asked.volume_m3,
            }),
            brought: new.brought,
            ..recheck_fact(&preview.hold.id, reading, new.camera_on, j)
        };
        let subject = At::Enclosure(enclosure).of(rig);
        let mut record = vec![];
        let reads_with_plug_on = enclosure_def(&facts.def, enclosure)?
            .valve
            .as_ref()
            .is_some_and(|v| v.reads_with_plug_on);
        if !reads_with_plug_on {
            record.push((subject.clone(), Fact::PlugOff {}));
        }
        record.push((subject, Fact::Rechecked { recheck }));
        // A change stands until a new hold: a later reading does not do the step either.
        let stands = facts
            .enclosure(enclosure)
            .is_some_and(|e| e.rechecks.iter().any(RecheckSeen::stands_changed));
        if verdict == VerdictFact::Holding && !stands {
            record.extend(step_done(&facts, StepKind::Recheck, enclosure));
        }
        // Before an opening a vacuum that is gone is an answer, too.
        record.extend(step_done(&facts, StepKind::Gauge, enclosure));
        self.record(record)
    }

    /// Says that the last recheck of an enclosure, which found a change, was mistyped. Its writer may,
    /// at once; what was typed stays in the record, and the gauge is to be read again.
    ///
    /// # Errors
    /// [`Refusal::ReasonWanted`]; [`Refusal::NoSlip`] where it is another's, or some minutes old, or
    /// found no change; the file.
    pub fn recheck_mistyped(
        &mut self,
        rig: &str,
        enclosure: &str,
        reason: &str,
    ) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        enclosure_def(&facts.def, enclosure)?;
        let Some(event) = self.may_be_slip(&facts, enclosure) else {
            return Self::refuse(Refusal::NoSlip);
        };
        if names::visible(reason).is_none() {
            return Self::refuse(Refusal::ReasonWanted);
        }
        let fact = Fact::RecheckMistyped {
            event,
            reason: reason.trim().to_owned(),
            boot: self.journal.boot(),
        };
        self.record(vec![(At::Enclosure(enclosure).of(rig), fact)])
    }

    /// The recheck of an enclosure that may still be said to be a slip of typing by whoever holds the
    /// phone: its event reference.
    pub fn may_be_slip(&self, facts: &RigFacts, enclosure: &str) -> Option<String> {
        let (last, before) = facts.enclosure(enclosure)?.rechecks.split_last()?;
        let mine = self.me == last.seen.author && !self.me.is_empty();
        let young = age_ms(&last.seen, last.fact.reading.boot, self.now())
            .is_ok_and(|age| age <= state::SLIP_WITHIN_MS);
        let first = !before.iter().any(RecheckSeen::found_change) && !last.read_before(before);
        (last.stands_changed() && mine && young && first).then(|| last.event.clone())
    }

    /// The last dives that were logged.
    fn last_dives(&self, rig: &str) -> Result<Vec<LoggedDive>, BookFault> {
        let logged = self.journal.run("reading the dives", |db| {
            events_of_subject(db, rig, Some("dive_logged"), DIVES_LOOKED_AT)
        })?;
        let dive = |event: &slackwater_journal::Event| match fold::fact_of(event) {
            Fact::DiveLogged { minutes, up, .. } => Some(LoggedDive {
                stamp: event.stamp(),
                wall_ms: event.wall_ms,
                minutes,
                up,
            }),
            _ => None,
        };
        Ok(logged.iter().filter_map(dive).collect())
    }

    /// The water, K, of each plan that there was since a hold began, and of the one that it began under.
    fn waters_since(&self, rig: &str, hold: &HoldFacts) -> Result<Vec<f64>, BookFault> {
        let defined = self.journal.run("reading plans", |db| {
            events_of_subject(db, rig, Some("rig_defined"), u32::MAX)
        })?;
        let mut waters = Vec::new();
        for event in defined {
            if let Fact::RigDefined { rig, .. } = fold::fact_of(&event) {
                waters.push(rig.plan.dive().water_k);
            }
            // Newest first: this one stood when the hold began.
            if event.stamp() < hold.started {
                break;
            }
        }
        Ok(waters)
    }
}

/// A dive as it was logged.
struct LoggedDive {
    /// When in the order of everything.
    stamp: Stamp,
    /// When by the clock, ms.
    wall_ms: i64,
    minutes: f64,
    /// It was up by then, or went in.
    up: Option<bool>,
}

/// So many of the last dives are looked at.
const DIVES_LOOKED_AT: u32 = 20;

/// The dive since a hold that the rig had come out of at `at_ms`, among those that were `known` then: the last that was
/// logged, the work that follows one, or what was seen of it in the water, whichever is latest. A log may be written as
/// the rig goes in: it came up its minutes later, or by whatever was done with it on deck before that, unless it is said
/// which. Written long after, the time since is the least.
/// The water is that of the plans there were and of the trim, the one furthest from the air (K) at that
/// moment: nobody measures that of each dive, and the next one's plan says nothing of the last.
fn came_up(
    facts: &RigFacts,
    hold: &HoldFacts,
    (waters, dives): (&[f64], &[LoggedDive]),
    air_k: Option<f64>,
    known: &dyn Fn(&Stamp) -> bool,
    at_ms: i64,
) -> Option<CameUp> {
    let counts = |s: &Stamp| facts.heard.after(s, &hold.started) && known(s);
    let since = |told: &Option<Told>| -> Vec<i64> {
        let all = told.iter().flat_map(Told::all);
        all.filter(|s| counts(&s.stamp))
            .map(|s| s.wall_ms)
            .collect()
    };
    let surfaced = since(&facts.surfaced);
    // What was seen of it in the water, also where that was taken back, says that it was not up before; a dive it
    // does not end.
    let seen = facts.trim.seen.iter().filter(|s| counts(&s.stamp));
    let in_water = seen.map(|s| s.wall_ms);
    let in_water: Vec<i64> = in_water.chain(since(&facts.trim.was_in_water)).collect();
    let enclosure = facts.enclosure(&hold.enclosure);
    let read = enclosure.iter().flat_map(|e| &e.rechecks);
    let on_deck: Vec<i64> = read
        .filter(|r| known(&r.seen.stamp))
        .map(|r| r.seen.wall_ms)
        .chain(surfaced.iter().copied())
        .collect();
    let up = |dive: &LoggedDive| {
        counts(&dive.stamp).then(|| {
            let ends = (dive.wall_ms).saturating_add((60_000.0 * dive.minutes.max(0.0)) as i64);
            // What is read of it before it goes in does not end its dive; what is worked on it after that does.
            let seen = match dive.up {
                Some(true) => return dive.wall_ms,
                Some(false) => &surfaced,
                None => &on_deck,
            };
            let seen = seen.iter().filter(|ms| **ms > dive.wall_ms).min();
            seen.map_or(ends, |ms| ends.min(*ms))
        })
    };
    let of_dives = dives.iter().filter_map(up);
    // Of a dive before those that were looked at only the day of its log is known.
    let told = since(&facts.dived);
    let up_ms = of_dives
        .chain(surfaced.iter().copied())
        .chain(in_water)
        .max();
    let up_ms = up_ms.or_else(|| told.into_iter().max())?;
    let now = facts.def.plan.dive().water_k;
    let from = air_k.unwrap_or(f64::INFINITY);
    let of_trim = facts.trim.seen.iter().filter(|s| counts(&s.stamp));
    let of_trim = of_trim.map(|s| &s.what.water);
    let chosen = facts.trim.water.iter().filter(|(s, _)| counts(&s.stamp));
    let of_trim = of_trim.chain(chosen.map(|(_, w)| w));
    let water_k = (waters.iter().copied())
        .chain([now])
        .chain(of_trim.map(|w| w.water_c + ZERO_C))
        .max_by(|a, b| {
            (a - from)
                .abs()
                .total_cmp(&(b - from).abs())
                .then(b.total_cmp(a))
        })
        .unwrap_or(now);
    Some(CameUp {
        water_k,
        ago_s: (at_ms.saturating_sub(up_ms).max(0) as f64) / 1000.0,
    })
}

/// The record of a recheck as judged.
fn recheck_fact(
    hold: &str,
    reading: ReadingFact,
    camera_on: Option<bool>,
    j: &RecheckJudgement,
) -> RecheckFact {
    RecheckFact {
        hold: hold.to_owned(),
        reading,
        expected_pa: j.foretold_pa,
        expected_sd_pa: j.sd_pa(),
        verdict: recheck_verdict(j),
        leak_ml: [j.leak_ml.0, j.leak_ml.1, j.leak_ml.2],
        judged_by: JUDGED_BY.into(),
        result: j.result,
        between_pa: Some([j.low_pa, j.high_pa]),
        would_miss_below_pa: Some(j.would_miss_below_pa),
        camera_on,
        brought: None,
        judged_for: None,
    }
}

/// The rechecks of a log, each judged from its hold and from those before it.
fn logged_rechecks(
    hold: &str,
    judged: &Judgement,
    input: &HoldInput,
    later: &[Later],
) -> Result<Vec<RecheckFact>, BookFault> {
    let mut before = Vec::new();
    let mut out = Vec::new();
    for &now in later {
        let j = recheck(&RecheckInput {
            hold: input.clone(),
            proved: Proved::from(judged),
            before: before.clone(),
            now,
            camera_k: None,
        })?;
        if j.result == Some(RecheckResult::AsForetold) {
            before.push(now);
        }
        let r = now.reading;
        let reading = ReadingFact {
            t_s: r.t_s,
            gauge_pa: r.gauge_pa,
            temperature_k: r.temperature_k,
            ambient_pa: r.ambient_pa,
            ..ReadingFact::default()
        };
        out.push(recheck_fact(hold, reading, now.camera_on, &j));
    }
    Ok(out)
}

/// What a recheck means to the rules.
pub fn recheck_verdict(j: &RecheckJudgement) -> VerdictFact {
    match j.result {
        Some(RecheckResult::AsForetold) => VerdictFact::Holding,
        Some(RecheckResult::LessVacuum | RecheckResult::MoreVacuum) => VerdictFact::Leaking,
        Some(RecheckResult::CouldNotTell) | None => VerdictFact::NotYet,
    }
}

/// What the rechecks of one hold show of the camera: each with it on, beside the nearest with it off.
fn pairs(setup: &HoldSetup, rechecks: &[RecheckSeen]) -> Vec<Warmth> {
    if rechecks.iter().any(RecheckSeen::stands_changed) {
        return Vec::new();
    }
    let input = input_of(setup, &[]);
    let good = || {
        let quiet = |r: &&RecheckSeen| r.slip.is_none() && r.fact.brought != Some(true);
        rechecks.iter().filter(quiet)
    };
    let later = |r: &RecheckSeen| Later {
        reading: reading_of(&r.fact.reading),
        camera_on: r.fact.camera_on,
        other_barometer: false,
        came_up: None,
        brought: false,
    };
    let off: Vec<&RecheckSeen> = good()
        .filter(|r| r.fact.camera_on == Some(false))
        .filter(|r| r.fact.result == Some(RecheckResult::AsForetold))
        .collect();
    good()
        .filter(|r| r.fact.camera_on == Some(true) && r.fact.verdict != VerdictFact::Leaking)
        .filter_map(|on| {
            let apart = |r: &&&RecheckSeen| {
                let s = (r.fact.reading.t_s - on.fact.reading.t_s).abs();
                // To the millisecond: so that it can be compared.
                (s * 1_000.0) as i64
            };
            let same = |r: &&&RecheckSeen| r.fact.reading.barometer == on.fact.reading.barometer;
            let nearest = off.iter().filter(same).min_by_key(apart)?;
            camera::seen_between(&input, &later(nearest), &later(on))
        })
        .collect()
}

/// The step of the prep under way that asks for this, if it is still open.
fn step_done(rig: &RigFacts, kind: StepKind, enclosure: &str) -> Vec<(String, Fact)> {
    let Some(prep) = rig.prep.as_ref().filter(|p| p.ended.is_none()) else {
        return Vec::new();
    };
    prep.steps
        .iter()
        .filter(|s| s.step.kind == kind && prep.state(&s.key) != StepState::Done)
        .filter(|s| matches!(&s.target, Target::Enclosure { enclosure: e } if e == enclosure))
        .map(|s| {
            let fact = Fact::StepDone {
                key: s.key.clone(),
                value: String::new(),
            };
            (At::Prep(&prep.id).of(&rig.id), fact)
        })
        .collect()
}

/// One reading in so many may be set aside as mistyped though the judge finds nothing wrong with it.
const ASIDE_PER: usize = 8;

/// The readings that count: all that were not set aside, and those set aside that nothing speaks against.
///
/// Setting readings aside must not make a verdict. So one that the judge itself finds mistyped among all
/// may be left out, and beyond that a few, each alone between two that stay: a slip of typing is alone,
/// while a leak that begins goes on. The last reading is never left out so: nothing confirms it yet.
fn counted(setup: &HoldSetup, readings: &[ReadingRow]) -> Vec<usize> {
    let kept: Vec<usize> = (0..readings.len())
        .filter(|&i| !readings[i].aside)
        .collect();
    if kept.len() == readings.len() {
        return kept;
    }
    let all: Vec<ReadingFact> = readings.iter().map(|r| r.reading).collect();
    let Ok(judged) = judge_briefly(&input_of(setup, &all)) else {
        // Together they can't be judged at all: something is wrong with those set aside.
        return kept;
    };
    let alone = |i: usize| {
        i > 0 && i + 1 < readings.len() && !readings[i - 1].aside && !readings[i + 1].aside
    };
    let doubted = |i: usize| readings[i].aside && !judged.suspects.contains(&i);
    let lonely = (0..readings.len())
        .filter(|&i| doubted(i) && alone(i))
        .count();
    let few = lonely <= (readings.len() / ASIDE_PER).max(1);
    (0..readings.len())
        .filter(|&i| !readings[i].aside || doubted(i) && !(few && alone(i)))
        .collect()
}

/// The most that a gauge's steps may be, Pa: as a gauge's record may say.
const GAUGE_STEP_MOST_PA: f64 = 20_000.0;

/// A judgement that waits for somebody to look which steps the gauge shows, where it would be *holding*
/// and the readings are all whole steps of a coarser gauge; with those steps, Pa.
fn doubting_steps(
    setup: &HoldSetup,
    readings: &[ReadingFact],
    judgement: Option<Judgement>,
) -> (Option<Judgement>, Vec<f64>) {
    let holding = |j: &Judgement| j.verdict == Verdict::Holding;
    let Some(judgement) = judgement else {
        return (None, Vec::new());
    };
    if setup.shows_its_steps || !holding(&judgement) {
        return (Some(judgement), Vec::new());
    }
    let shown: Vec<f64> = readings.iter().map(|r| r.gauge_pa).collect();
    let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(PressureUnit::Mbar);
    let steps = coarser_steps(&shown, setup.gauge_resolution_pa, unit);
    let verdict = if steps.is_empty() {
        Verdict::Holding
    } else {
        Verdict::NotYet
    };
    (
        Some(Judgement {
            verdict,
            ..judgement
        }),
        steps,
    )
}

fn result_of(judged: &Judged) -> Option<HoldResult> {
    let j = judged.judgement.as_ref()?;
    let rows = &judged.judged_rows;
    let first = judged.readings.get(*rows.first()?)?.reading.t_s;
    let last = judged.readings.get(*rows.last()?)?.reading.t_s;
    let setup = &judged.hold.setup;
    Some(HoldResult {
        verdict: match j.verdict {
            Verdict::Holding => VerdictFact::Holding,
            Verdict::Leaking => VerdictFact::Leaking,
            Verdict::NotYet => VerdictFact::NotYet,
        },
        leak_ml: j.leak_ml,
        low_ml: j.low_ml,
        high_ml: j.high_ml,
        would_miss_below_ml: j.would_miss_below_ml,
        readings: rows.len() as u32,
        lasted_s: last - first,
        limit_ml: setup.limit_ml,
        depth_m: setup.depth_m,
        minutes: setup.minutes,
        volume_m3: setup.volume_m3,
        judged_by: JUDGED_BY.into(),
        at_most_ml: Some(j.at_most_ml),
        covers: Some(judged.hold.entries),
        salinity_g_kg: Some(setup.salinity_g_kg),
        water_k: Some(setup.water_k),
        volume_sd_m3: None,
        gone: j.gone,
    })
}

/// What a gauge that was only said to show about the air pressure may be off by, Pa (1 sd): common
/// practice.
const ABOUT_AIR_SD_PA: f64 = 500.0;

/// What a hold's gauge shows too much and how sure that is, Pa, by what it showed with the valve open.
/// `air` is the first air pressure read. Where nobody said, it is taken to be right.
fn zero_error(setup: &HoldSetup, air: Option<f64>) -> (f64, f64) {
    // A display's step hides up to a half of it.
    let step_sd = setup.gauge_resolution_pa / 12.0_f64.sqrt();
    match setup.valve_open {
        None => (0.0, 0.0),
        Some(ValveOpen::Nothing) => (0.0, step_sd),
        Some(ValveOpen::Air) => (0.0, ABOUT_AIR_SD_PA.hypot(step_sd)),
        Some(ValveOpen::Reads(pa)) if !setup.absolute => (pa, step_sd),
        Some(ValveOpen::Reads(pa)) => (air.map_or(0.0, |a| pa - a), step_sd),
    }
}

/// Refuses a gauge that shows with the valve open what its kind does not.
fn gauge_is_so(setup: &HoldSetup, air: Option<f64>) -> Result<(), HoldFault> {
    let (so, value) = match setup.valve_open {
        None => return Ok(()),
        Some(ValveOpen::Nothing) => (!setup.absolute, 0.0),
        Some(ValveOpen::Air) => (setup.absolute, 101_325.0),
        Some(ValveOpen::Reads(pa)) => {
            let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(PressureUnit::Mbar);
            let kind = zero_of(pa, unit, air).map(|z| z.0);
            (kind == Ok(kind_of(setup)), pa)
        }
    };
    if so {
        return Ok(());
    }
    Err(HoldFault::absurd(
        Quantity::GaugeOpen,
        value,
        Why::OtherKind,
    ))
}

fn kind_of(setup: &HoldSetup) -> GaugeKind {
    if setup.absolute {
        GaugeKind::Absolute
    } else {
        GaugeKind::BelowAmbient
    }
}

fn moment(r: &ReadingFact) -> Moment {
    Moment {
        t_s: r.t_s,
        gauge_pa: r.gauge_pa,
        temperature_k: r.temperature_k,
        air_pa: r.ambient_pa,
    }
}

fn moment_of(t_s: f64, new: &NewReading) -> Moment {
    Moment {
        t_s,
        gauge_pa: new.gauge_pa,
        temperature_k: new.temperature_k,
        air_pa: new.ambient_pa,
    }
}

/// The last two readings of a hold that look right.
fn last_moments(judged: &Judged) -> Vec<Moment> {
    let suspects = judged.judgement.as_ref().map_or(&[][..], |j| &j.suspects);
    let good: Vec<Moment> = judged
        .judged_rows
        .iter()
        .enumerate()
        .filter(|(i, _)| !suspects.contains(i))
        .map(|(_, &row)| moment(&judged.readings[row].reading))
        .collect();
    good[good.len().saturating_sub(2)..].to_vec()
}

/// What a reading is held against.
fn against<'a>(
    setup: &HoldSetup,
    before: &'a [Moment],
    others: &'a [f64],
    typed: AsTyped,
    recheck: bool,
    air: Option<f64>,
) -> Against<'a> {
    Against {
        kind: kind_of(setup),
        unit: PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(PressureUnit::Mbar),
        air_unit: typed.air_unit,
        step_pa: setup.gauge_resolution_pa,
        zero_pa: zero_error(setup, air).0,
        fahrenheit: typed.fahrenheit,
        before,
        others,
        recheck,
        expected: None,
    }
}

/// Refuses what can't be.
fn can_be(
    setup: &HoldSetup,
    index: usize,
    before: &[Moment],
    new: &NewReading,
) -> Result<(), HoldFault> {
    let now = moment_of(before.last().map_or(0.0, |m| m.t_s), new);
    let air = before.iter().find_map(|m| m.air_pa).or(new.ambient_pa);
    let against = against(setup, before, &[], AsTyped::default(), false, air);
    let Some(doubt) = against.doubts(&now).into_iter().find(|d| d.impossible) else {
        return Ok(());
    };
    let outside = |(low, high), of, said| Why::Outside {
        range: Range { low, high, of },
        said,
    };
    let (quantity, value, why) = match doubt.about {
        About::Gauge | About::Open => (Quantity::Gauge, new.gauge_pa, Why::TooDeepOrAbove),
        About::Temperature => (
            Quantity::Temperature,
            new.temperature_k.unwrap_or(f64::NAN),
            outside(
                TEMPERATURE_K,
                RangeOf::Temperature,
                "-40 to 70 °C is possible; is the unit right?",
            ),
        ),
        About::Air => (
            Quantity::Ambient,
            new.ambient_pa.unwrap_or(f64::NAN),
            outside(
                AIR_PA,
                RangeOf::Pressure,
                "500 to 1085 mbar is possible; is the unit right?",
            ),
        ),
    };
    Err(HoldFault::AbsurdReading {
        index,
        quantity,
        value,
        why,
    })
}

fn reading_of(r: &ReadingFact) -> Reading {
    Reading {
        t_s: r.t_s,
        gauge_pa: r.gauge_pa,
        temperature_k: r.temperature_k,
        ambient_pa: r.ambient_pa,
    }
}

fn source_key(source: TemperatureSource) -> &'static str {
    match source {
        TemperatureSource::Inside => "inside",
        TemperatureSource::Surface => "surface",
        TemperatureSource::Air => "air",
        TemperatureSource::None => "none",
    }
}

/// The minutes that both tellings of a hold still take: of one that is settled none, and none known
/// where one can't say.
fn longer(a: &Judgement, b: &Judgement, told: impl Fn(&Judgement) -> Option<f64>) -> Option<f64> {
    match (a.verdict, b.verdict) {
        (Verdict::NotYet, Verdict::NotYet) => Some(told(a)?.max(told(b)?)),
        (Verdict::NotYet, _) => told(a),
        _ => told(b),
    }
}

/// Judges readings by the times that are likely and, where those aren't sure, by the earliest that
/// each can have been taken: the same fall in less time is a larger leak. A verdict must hold for
/// both, and the interval covers both.
///
/// # Errors
/// As [`judge`].
pub fn judge_by_both_clocks(
    setup: &HoldSetup,
    readings: &[ReadingFact],
) -> Result<Judgement, HoldFault> {
    let likely = judge(&input_of(setup, readings))?;
    let Some(early) = as_early_as_possible(readings) else {
        return Ok(likely);
    };
    let early = judge(&input_of(setup, &early))?;
    let verdict = if early.verdict == likely.verdict {
        likely.verdict
    } else {
        Verdict::NotYet
    };
    let worse = if early.high_ml > likely.high_ml {
        &early
    } else {
        &likely
    };
    Ok(Judgement {
        verdict,
        leak_ml: worse.leak_ml,
        low_ml: early.low_ml.min(likely.low_ml),
        high_ml: worse.high_ml,
        would_miss_below_ml: early.would_miss_below_ml.max(likely.would_miss_below_ml),
        at_most_ml: early.at_most_ml.max(likely.at_most_ml),
        minutes_to_go: (verdict == Verdict::NotYet)
            .then(|| longer(&early, &likely, |j| j.minutes_to_go))
            .flatten(),
        minutes_at_most: (verdict == Verdict::NotYet)
            .then(|| longer(&early, &likely, |j| j.minutes_at_most))
            .flatten(),
        seconds_wanted: early.seconds_wanted.max(likely.seconds_wanted),
        limited_by: worse.limited_by,
        throughput_pa_m3_s: worse.throughput_pa_m3_s,
        throughput_per_ml: worse.throughput_per_ml,
        gas_k: worse.gas_k,
        hole_m: worse.hole_m,
        hole_at_most_m: worse.hole_at_most_m,
        fast_leak: early.fast_leak || likely.fast_leak,
        wet_inside: early.wet_inside || likely.wet_inside,
        ..likely
    })
}

/// A recheck's reading, with what bears on its gas.
#[derive(Debug, Clone, Copy)]
struct Then {
    reading: ReadingFact,
    /// What was said of the camera.
    camera_on: Option<bool>,
    /// The water that it had come out of.
    came_up: Option<CameUp>,
    /// It came from elsewhere within the hour.
    brought: bool,
}

/// A hold's readings and what was read since, from the record.
struct Since<'a> {
    proved: Proved,
    setup: &'a HoldSetup,
    /// The hold's readings that count.
    used: &'a [ReadingFact],
    /// Rechecks that read as foretold, oldest first.
    before: Vec<Then>,
    now: Then,
    /// As [`RecheckInput::camera_k`].
    camera_k: Option<(f64, f64)>,
}

impl Since<'_> {
    /// Judged by the likely times and, where those aren't sure, by the earliest that each reading can
    /// have been taken: only what both foretell passes, and only what neither does is a change.
    fn judge(&self) -> Result<RecheckJudgement, HoldFault> {
        let likely = self.judge_at(self.used, |r| r.t_s)?;
        let early = as_early_as_possible(self.used);
        let sure = early.is_none()
            && self.now.reading.least_s.is_none()
            && self.before.iter().all(|b| b.reading.least_s.is_none());
        if sure {
            return Ok(likely);
        }
        let used = early.as_deref().unwrap_or(self.used);
        let early = self.judge_at(used, |r| r.least_s.unwrap_or(r.t_s))?;
        Ok(both(likely, &early, self.now.reading.gauge_pa))
    }

    fn judge_at(
        &self,
        used: &[ReadingFact],
        at: impl Fn(&ReadingFact) -> f64,
    ) -> Result<RecheckJudgement, HoldFault> {
        let main = main_barometer(used);
        let has_air = used.iter().any(|r| r.ambient_pa.is_some());
        let later = |then: &Then, t_s: f64| {
            let r = &then.reading;
            Later {
                reading: Reading {
                    t_s,
                    ..reading_of(r)
                },
                camera_on: then.camera_on,
                other_barometer: has_air && r.ambient_pa.is_some() && r.barometer != main,
                came_up: then.came_up,
                brought: then.brought,
            }
        };
        let last_s = used.last().map_or(0.0, |r| r.t_s);
        let now_s = at(&self.now.reading).max(last_s + 1.0);
        // A clock that jumped puts none before the hold or behind now.
        let mut before_s = last_s;
        let before = (self.before.iter())
            .filter_map(|then| {
                let t_s = at(&then.reading);
                let fits = t_s > before_s && t_s < now_s;
                before_s = if fits { t_s } else { before_s };
                fits.then(|| later(then, t_s))
            })
            .collect();
        recheck(&RecheckInput {
            hold: input_of(self.setup, used),
            proved: self.proved.clone(),
            before,
            now: later(&self.now, now_s),
            camera_k: self.camera_k,
        })
    }
}

/// Two judgements of one reading as one: it passes where both pass it. How soon after the hold it is, and so
/// whether a leak at the limit would show, is asked of the likely times alone: between two phones the earliest
/// is a moment after the hold however long one waits, and nothing would ever pass.
fn both(likely: RecheckJudgement, early: &RecheckJudgement, gauge_pa: f64) -> RecheckJudgement {
    let early_passes = early.would_miss_share <= WORTH_SEEING
        && (early.low_pa..=early.high_pa).contains(&gauge_pa);
    let early_result = match early.result {
        Some(RecheckResult::CouldNotTell) if early_passes => Some(RecheckResult::AsForetold),
        other => other,
    };
    let (low_pa, high_pa) = (
        likely.low_pa.max(early.low_pa),
        likely.high_pa.min(early.high_pa),
    );
    // Where they have nothing in common nothing passes.
    let apart = low_pa > high_pa;
    let worse = |a: f64, b: f64| a.max(b);
    RecheckJudgement {
        result: match (likely.result, early_result) {
            (Some(a), Some(b)) if a == b => Some(a),
            (None, None) => None,
            _ => Some(RecheckResult::CouldNotTell),
        },
        low_pa: if apart { likely.low_pa } else { low_pa },
        high_pa: if apart { likely.high_pa } else { high_pa },
        foretold_pa: if apart {
            likely.foretold_pa
        } else {
            0.5 * (low_pa + high_pa)
        },
        would_miss_below_pa: worse(likely.would_miss_below_pa, early.would_miss_below_pa),
        would_miss_share: worse(likely.would_miss_share, early.would_miss_share),
        sees: likely.sees && early.would_miss_share <= WORTH_SEEING,
        leak_ml: (
            likely.leak_ml.0,
            likely.leak_ml.1.min(early.leak_ml.1),
            worse(likely.leak_ml.2, early.leak_ml.2),
        ),
        ..likely
    }
}

/// The coarsest step of a gauge, Pa, with which a recheck a night after this hold could tell; `None` where the
/// gauge it goes by is fine enough, or where another gauge would not help.
#[must_use]
pub fn recheck_wants_step(judged: &Judged) -> Option<f64> {
    step_wanted(&so_far(judged))
}

/// Whether a recheck of this hold will tell, said before it is over; `None` where it has no reading.
#[must_use]
pub fn recheck_foreseen(judged: &Judged) -> Option<Foreseen> {
    *judged.foreseen.get_or_init(|| {
        let holds = judged.judgement.as_ref();
        let holds = holds.filter(|j| j.verdict == Verdict::Holding);
        let proved = holds.map(Proved::from);
        foreseen(&so_far(judged), proved.as_ref())
    })
}

/// What counts of a hold so far, for physics.
fn so_far(judged: &Judged) -> HoldInput {
    let used: Vec<ReadingFact> = match &judged.judgement {
        Some(_) => judged.used(),
        None => judged.readings.iter().map(|r| r.reading).collect(),
    };
    input_of(&judged.hold.setup, &used)
}

/// A hold's set-up with the volume, the limit and the plan as they are now.
fn as_now(setup: &HoldSetup, def: &Enclosure, plan: &Plan) -> HoldSetup {
    let dive = plan.dive();
    HoldSetup {
        volume_m3: def.volume_l * 1e-3,
        volume_sd_m3: def.volume_sd_l * 1e-3,
        limit_ml: def.limit(),
        built_in_limit: def.limit_ml.is_none(),
        depth_m: dive.depth_m,
        minutes: dive.minutes,
        salinity_g_kg: dive.salinity_g_kg,
        water_k: dive.water_k,
        ..setup.clone()
    }
}

/// A hold's set-up with the volume, the limit and the dive that a verdict on it was given for.
fn as_judged(setup: &HoldSetup, result: &HoldResult) -> HoldSetup {
    let scale = result.volume_m3 / setup.volume_m3;
    HoldSetup {
        volume_m3: result.volume_m3,
        volume_sd_m3: (result.volume_sd_m3)
            .unwrap_or(setup.volume_sd_m3 * if scale.is_finite() { scale } else { 1.0 }),
        limit_ml: result.limit_ml,
        depth_m: result.depth_m,
        minutes: result.minutes,
        salinity_g_kg: result.salinity_g_kg.unwrap_or(setup.salinity_g_kg),
        water_k: result.water_k.unwrap_or(setup.water_k),
        ..setup.clone()
    }
}

fn dive_of(setup: &HoldSetup) -> Dive {
    Dive {
        depth_m: setup.depth_m,
        minutes: setup.minutes,
        salinity_g_kg: setup.salinity_g_kg,
        water_k: setup.water_k,
    }
}

/// The physics' input from the record.
pub fn input_of(setup: &HoldSetup, readings: &[ReadingFact]) -> HoldInput {
    let barometer = main_barometer(readings);
    let air = readings.iter().find_map(|r| r.ambient_pa);
    let (zero_pa, zero_sd_pa) = zero_error(setup, air);
    // An absolute gauge with the valve open is a barometer, where there is no other.
    let own_air = match setup.valve_open {
        Some(ValveOpen::Reads(pa)) if setup.absolute && air.is_none() => Some(pa),
        _ => None,
    };
    HoldInput {
        volume_m3: setup.volume_m3,
        volume_sd_m3: setup.volume_sd_m3,
        gauge: kind_of(setup),
        gauge_resolution_pa: setup.gauge_resolution_pa,
        temperature_source: match setup.temperature_source.as_str() {
            "inside" => TemperatureSource::Inside,
            "surface" => TemperatureSource::Surface,
            "air" => TemperatureSource::Air,
            _ => TemperatureSource::None,
        },
        dive: dive_of(setup),
        limit_ml: setup.limit_ml,
        temperature_sd_k: setup.temperature_sd_k,
        barometer_sd_pa: setup.barometer_sd_pa,
        humidity: setup.humidity,
        shut_in: setup.shut_in,
        zero_pa,
        zero_sd_pa,
        readings: readings
            .iter()
            .enumerate()
            .map(|(i, r)| Reading {
                ambient_pa: r
                    .ambient_pa
                    .filter(|_| r.barometer == barometer)
                    .or(own_air.filter(|_| i == 0)),
                ..reading_of(r)
            })
            .collect(),
    }
}

/// The barometer that most readings of the air pressure come from; of two alike, the one read first.
fn main_barometer(readings: &[ReadingFact]) -> Option<u32> {
    let by = |b: Option<u32>| {
        readings
            .iter()
            .filter(|r| r.ambient_pa.is_some() && r.barometer == b)
            .count()
    };
    let mut best: Option<(Option<u32>, usize)> = None;
    for r in readings.iter().filter(|r| r.ambient_pa.is_some()) {
        let n = by(r.barometer);
        if best.is_none_or(|(_, most)| n > most) {
            best = Some((r.barometer, n));
        }
    }
    best.and_then(|(b, _)| b)
}
