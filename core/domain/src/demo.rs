//! A demo crew and its rigs: a season of preps and holds, one ring nearly due, one night under
//! vacuum on which the temperature fell, and a second rig in parts. All of it invented; every entry
//! is recorded the way a crew would, by the same [`Book`].

use std::fs;
use std::path::Path;
use std::sync::Arc;

use chrono::DateTime;

use super::book::{Book, BookFault, NewReading, NewRecheck, NewRing, Refit};
use super::facts::{
    Fact, Finding, HoldSetup, ReadingFact, RingLot, Role, SeenFact, Shoot, ValveOpen, Way,
};
use super::procedure::{StepKind, Target};
use super::rig::{BoxWeight, SealGland, SealGlandKind, Weighed};
use super::spares::lot_fits;
use super::state::{BoxLot, StepState};
use super::subject::At;
use super::trim::preset_water;
use slackwater_journal::store::{DB_FILE, sync_folder};
use slackwater_journal::{Env, FixedClock, JournalFault};
use slackwater_physics::hold::ShutIn;
use slackwater_physics::oring::GreaseBase;
use slackwater_physics::water::preset;

const MINUTE_MS: i64 = 60_000;
const HOUR_MS: i64 = 60 * MINUTE_MS;
const DAY_MS: i64 = 24 * HOUR_MS;

/// Days before now on which the demo crew dived.
const DIVE_DAYS: [i64; 9] = [96, 81, 66, 52, 38, 24, 10, 3, 2];

/// Fills the store in `folder` with the demo where there is none yet. It is made beside it and
/// moved into place whole.
///
/// # Errors
/// The file.
pub fn fill_if_empty(folder: &Path, env: &Env) -> Result<(), BookFault> {
    if folder.join(DB_FILE).exists() {
        return Ok(());
    }
    let making = folder.join("demo.making");
    let io = |e: std::io::Error| BookFault::Journal(JournalFault::from_io(&making, &e));
    if making.exists() {
        fs::remove_dir_all(&making).map_err(io)?;
    }
    fs::create_dir_all(&making).map_err(io)?;
    fill(&making, env)?;
    for name in ["photos", "device.key", DB_FILE] {
        let from = making.join(name);
        if from.exists() {
            let to = folder.join(name);
            if to.is_dir() {
                fs::remove_dir_all(&to).map_err(io)?;
            }
            fs::rename(&from, &to).map_err(io)?;
        }
    }
    sync_folder(folder).map_err(io)?;
    fs::remove_dir_all(&making).map_err(io)
}

fn fill(folder: &Path, env: &Env) -> Result<(), BookFault> {
    let now = env.clock.now_ms();
    let clock = Arc::new(FixedClock::before(env.clock.as_ref(), 100 * DAY_MS));
    let env = Env {
        clock: clock.clone(),
        ..env.clone()
    };
    let mut book = Book::open(folder, env)?;
    // Nobody's evidence: one sync at the end is enough.
    book.relax_sync(true)?;
    let mut demo = Demo {
        book,
        clock,
        rig: String::new(),
        second: String::new(),
        night: false,
        hairs: false,
        flat: false,
    };
    demo.season(now)?;
    demo.book.relax_sync(false)
}

struct Demo {
    book: Book,
    clock: Arc<FixedClock>,
    rig: String,
    second: String,
    /// The main housing's next hold runs through the night.
    night: bool,
    /// A hair is found on the port's ring.
    hairs: bool,
    /// The port's ring comes out flat.
    flat: bool,
}

impl Demo {
    fn season(&mut self, now: i64) -> Result<(), BookFault> {
        let noor = self.book.add_member("Noor", Role::Assistant)?;
        self.second = self.book.add_member("Ilse", Role::Dp)?;
        self.book.add_member("Teo", Role::Assistant)?;
        self.book.hold_phone(&noor)?;
        self.rig = self
            .book
            .create_from_template("housing-and-monitor", "Reef rig")?;
        let mut def = self.book.rig(&self.rig)?.def.clone();
        def.weight_box = [(50.0, 6), (100.0, 6), (250.0, 4), (500.0, 2)]
            .map(|(mass_g, count)| BoxWeight {
                mass_g,
                count,
                volume_cm3: None,
            })
            .to_vec();
        for s in &mut def.seals {
            s.grease = Some(GreaseBase::Silicone);
            if s.id == "main-port-base" {
                // Measured on the bench: a little deep for its ring.
                s.gland = Some(SealGland {
                    kind: SealGlandKind::Face,
                    seat_mm: 165.2,
                    depth_mm: 2.8,
                    width_mm: 4.7,
                    tol_mm: 0.05,
                });
            }
        }
        // The housing was weighed, with a sinker since it floats; the rest is from data sheets.
        if let Some(housing) = def.parts.first_mut() {
            housing.weighed = Some(Weighed {
                in_air_g: 13_385.0,
                in_water_g: 1_562.0,
                sinker_g: Some(2_000.0),
                scale_sd_g: 5.0,
                water_kg_m3: 999.1,
                water_sd_kg_m3: 0.3,
            });
            housing.centre_sd_mm = Some(2.0);
        }
        self.book.edit_rig(&self.rig.clone(), def)?;
        self.stock()?;
        self.trim_in_the_pool()?;
        // Rings from last year's overhaul; the back's is the oldest, three days from its limit.
        for (seal, days) in [
            ("main-back", 297),
            ("main-port", 160),
            ("main-ring", 160),
            ("main-port-base", 297),
            ("monitor-frame", 120),
        ] {
            let fitted = now - days * DAY_MS;
            self.book
                .fit_seal(&self.rig.clone(), seal, "", "", Some(fitted))?;
        }
        for (n, days) in DIVE_DAYS.into_iter().enumerate() {
            self.clock.set(now - days * DAY_MS);
            self.dive_day(n)?;
        }
        self.overnight(now)?;
        let first = DateTime::from_timestamp_millis(now + 2 * DAY_MS).unwrap_or_default();
        let shoot = Shoot {
            first_day: first.date_naive().to_string(),
            days: 8,
            dives_per_day: 3,
            openings_per_day: 2,
            salt: true,
        };
        self.book.plan_shoot(&self.rig.clone(), shoot)?;
        // Today it goes into the sea, and still hangs as it did in the pool.
        self.clock.set(now - 45 * MINUTE_MS);
        self.water("sea", 12.0)?;
        self.clock.set(now - 30 * MINUTE_MS);
        let def = self.book.rig(&self.rig)?.def.clone();
        let pool = super::rig::RigDef {
            name: "Pool rig".into(),
            ..def
        };
        self.book
            .create_rig(pool, &format!("copy of {}", self.rig))?;
        self.clock.set(now);
        Ok(())
    }

    /// A box with some rings for the season, one pack of them older than anyone noticed.
    fn stock(&mut self) -> Result<(), BookFault> {
        for (size, material, hardness_shore_a, pack, cured, count) in [
            ("AS568-276", "NBR", 70, "bag 3", "3Q24", 1),
            ("AS568-258", "NBR", 70, "bag 1", "2Q25", 4),
            ("AS568-258", "NBR", 70, "drawer", "2Q15", 3),
            ("AS568-260", "NBR", 70, "bag 2", "4Q24", 1),
        ] {
            let lot = RingLot {
                size: size.into(),
                material: material.into(),
                hardness_shore_a,
                pack: pack.into(),
                cured: cured.into(),
            };
            self.book.stock_rings(lot, count)?;
        }
        Ok(())
    }

    /// Puts a new ring from the box in place of one that came out flat, as the step of a prep.
    fn renew(&mut self, prep: &str, key: &str, seal: &str) -> Result<(), BookFault> {
        let rig = self.rig.clone();
        let def = self.book.rig(&rig)?.def.clone();
        let fits = |l: &BoxLot| {
            l.count > 0 && l.lot.pack != "drawer" && def.seal(seal).is_some_and(|s| lot_fits(l, s))
        };
        let lot = self.book.ring_box()?.into_iter().find(fits);
        let ring = NewRing {
            lot: lot.map(|l| l.id),
            found: Some(Finding::Flat),
            ..NewRing::default()
        };
        self.book
            .refit_seal(&rig, seal, Refit::New(ring), Some((prep, key)))?;
        Ok(())
    }

    /// Before the season: trimmed in a pool, where it floated a little more than worked out.
    fn trim_in_the_pool(&mut self) -> Result<(), BookFault> {
        let rig = self.rig.clone();
        self.water("pool", 3.0)?;
        self.book.hang_plan(&rig)?;
        self.wait(20 * MINUTE_MS);
        let floated = SeenFact {
            way: Way::Up,
            amount: Some(60.0),
            sd: Some(15.0),
        };
        let nose = SeenFact {
            way: Way::Level,
            amount: None,
            sd: None,
        };
        self.book
            .saw_in_water(&rig, Some(floated), Some(nose), None)?;
        self.wait(5 * MINUTE_MS);
        self.book.hang_plan(&rig)?;
        self.book.confirm_trim(&rig)?;
        Ok(())
    }

    fn water(&mut self, key: &str, depth_m: f64) -> Result<(), BookFault> {
        let found = preset(key)
            .ok()
            .and_then(|p| preset_water(p, depth_m).ok())
            .ok_or_else(|| BookFault::NotFound {
                what: "water",
                id: key.to_owned(),
            })?;
        let rig = self.rig.clone();
        self.book.choose_water(&rig, found).map(drop)
    }

    fn wait(&self, ms: i64) {
        self.clock.advance(ms);
    }

    /// One day: built and proved in the morning, rechecked, dived, cared for.
    fn dive_day(&mut self, n: usize) -> Result<(), BookFault> {
        let rig = self.rig.clone();
        self.hairs = n == 3;
        self.flat = n == 6;
        let warm = 297.0 + (n % 4) as f64;
        let prep = self.book.start_prep(&rig, "general-build")?;
        self.work(&prep, warm)?;
        self.book.end_prep(&prep, "")?;
        self.wait(40 * MINUTE_MS);
        for enclosure in ["main", "monitor"] {
            self.reread(enclosure, warm)?;
            self.book.plug_on(&rig, enclosure)?;
        }
        self.wait(20_000);
        self.book.sign_plugs(&rig, &self.second)?;
        self.wait(35 * MINUTE_MS);
        let (depth, minutes) = (12.0 + n as f64, 48.0 + 2.0 * n as f64);
        let note = if n == 4 {
            "Hung nose heavy by a little; moved 100 g aft."
        } else {
            ""
        };
        self.book.log_dive(&rig, depth, minutes, note)?;
        self.wait(2 * HOUR_MS);
        let care = self.book.start_prep(&rig, "after-dive")?;
        self.work(&care, warm)?;
        self.book.end_prep(&care, "")?;
        if n == 5 {
            let defect = self.book.open_defect(
                &rig,
                "enclosure/main",
                true,
                false,
                "Left knob turns stiffly",
            )?;
            self.wait(HOUR_MS);
            self.book
                .close_defect(&rig, &defect, "Shaft taken out, cleaned, greased")?;
        }
        Ok(())
    }

    /// The night before now: built in the evening, the main housing's hold left to run, the
    /// temperature falling by five kelvin until the morning, when the rest was done.
    fn overnight(&mut self, now: i64) -> Result<(), BookFault> {
        self.clock.set(now - 16 * HOUR_MS);
        let rig = self.rig.clone();
        let prep = self.book.start_prep(&rig, "general-build")?;
        self.night = true;
        self.work(&prep, 299.0)?;
        self.night = false;
        self.book.end_prep(&prep, "")?;
        Ok(())
    }

    /// The gauge read again as it was when the hold ended.
    fn reread(&mut self, enclosure: &str, gas_k: f64) -> Result<(), BookFault> {
        let reading = NewReading {
            gauge_pa: self.last_gauge(enclosure)?,
            temperature_k: Some(gas_k),
            ambient_pa: Some(101_200.0),
            barometer: None,
            confirmed: false,
        };
        let now = NewRecheck {
            reading,
            camera_on: Some(false),
            brought: None,
        };
        self.book
            .record_recheck(&self.rig.clone(), enclosure, now)?;
        Ok(())
    }

    /// The gauge of an enclosure's last hold when it ended, Pa.
    fn last_gauge(&self, enclosure: &str) -> Result<f64, BookFault> {
        let facts = self.book.rig(&self.rig)?;
        let hold = facts
            .enclosure(enclosure)
            .and_then(|e| e.holds.first())
            .map(|h| h.id.clone());
        let Some(hold) = hold else {
            return Ok(20_000.0);
        };
        let judged = self.book.hold(&hold)?;
        Ok(judged
            .readings
            .last()
            .map_or(20_000.0, |r| r.reading.gauge_pa))
    }

    /// Works a prep through, step by step, the second member signing where asked.
    fn work(&mut self, prep: &str, gas_k: f64) -> Result<(), BookFault> {
        let rig = self.rig.clone();
        loop {
            let facts = self.book.prep(prep)?;
            let Some(step) = Book::current_step(&facts).cloned() else {
                return Ok(());
            };
            self.wait(70_000);
            let known = self.book.rig(&rig)?;
            if self.flat && step.key.ends_with("main-port") && step.step.kind == StepKind::Seal {
                self.flat = false;
                self.renew(prep, &step.key, "main-port")?;
                continue;
            }
            for (part, _) in Book::step_parts(&known, &step) {
                self.book.tick_part(prep, &step.key, &part, true)?;
            }
            let value = match (step.step.kind, &step.target) {
                (StepKind::Hold, Target::Enclosure { enclosure }) => {
                    self.hold(&enclosure.clone(), gas_k)?;
                    String::new()
                }
                (StepKind::Controls, _) => {
                    for c in known.def.controls.iter().filter(|c| c.assigned()) {
                        self.wait(8_000);
                        self.book.test_control(&rig, &c.id, true, "")?;
                    }
                    String::new()
                }
                (StepKind::Gauge, Target::Enclosure { enclosure }) => {
                    self.reread(&enclosure.clone(), gas_k)?;
                    String::new()
                }
                (StepKind::Photo, _) => {
                    let subject = At::Step(prep, &step.key).of(&rig);
                    self.book
                        .add_photo(&subject, "Closed, plugs on", &picture(prep))?;
                    String::new()
                }
                (StepKind::Measure, _) => step
                    .step
                    .measure
                    .as_ref()
                    .map(|m| {
                        let middle = match (m.min, m.max) {
                            (Some(a), Some(b)) => (a + b) / 2.0,
                            (Some(a), None) => a,
                            (None, Some(b)) => b,
                            (None, None) => 1.0,
                        };
                        format!("{middle}\u{a0}{}", m.unit)
                    })
                    .unwrap_or_default(),
                _ => String::new(),
            };
            let state = self.book.prep(prep)?.state(&step.key);
            if state == StepState::Open {
                let hair = self.hairs && step.key.ends_with("main-port");
                let finding = if hair { Finding::Hair } else { Finding::Clean };
                self.book
                    .do_step_finding(prep, &step.key, &value, finding, "")?;
            }
            if step.step.two_person {
                self.wait(20_000);
                let second = self.second.clone();
                self.book.sign_step(prep, &step.key, &second)?;
            }
        }
    }

    /// A hold with a probe on the housing and a gauge of 0.1 mbar, tight, read for three quarters
    /// of an hour, or through the night: the gas settles for some minutes after the pumping.
    fn hold(&mut self, enclosure: &str, gas_k: f64) -> Result<(), BookFault> {
        let rig = self.rig.clone();
        let facts = self.book.rig(&rig)?;
        let def = facts
            .def
            .enclosure(enclosure)
            .ok_or_else(|| BookFault::NotFound {
                what: "enclosure",
                id: enclosure.to_owned(),
            })?;
        let setup = HoldSetup {
            gauge_resolution_pa: 10.0,
            temperature_source: "surface".into(),
            // The camera went in cold and stayed off; the packs go in after the hold.
            shut_in: ShutIn::NOTHING,
            valve_open: Some(ValveOpen::Nothing),
            ..Book::hold_setup(def, &facts.def.plan)
        };
        let (lasts_s, falls_k) = if self.night && enclosure == "main" {
            (43_200.0, 5.0)
        } else {
            (2_700.0, 0.3)
        };
        let ambient = 101_200.0;
        let at = |t_s: f64| {
            let surface = gas_k - falls_k * t_s / lasts_s;
            let inside = (ambient - 20_500.0) * surface / gas_k - 160.0 * (-t_s / 240.0).exp();
            let depression = ((ambient - inside) / 10.0).round() * 10.0;
            let surface = (surface * 10.0).round() / 10.0;
            (depression, surface)
        };
        let (gauge_pa, surface) = at(0.0);
        let first = NewReading {
            gauge_pa,
            temperature_k: Some(surface),
            ambient_pa: Some(ambient),
            barometer: None,
            confirmed: false,
        };
        let hold = self.book.start_hold(&rig, setup, first)?;
        let mut t_s = 0.0;
        let mut readings = Vec::new();
        while t_s < lasts_s {
            let step = match t_s {
                t if t < 300.0 => 30.0,
                t if t < 2_700.0 => 120.0,
                _ => 1_800.0,
            };
            t_s += step;
            let (gauge_pa, surface) = at(t_s);
            let reading = ReadingFact {
                t_s,
                gauge_pa,
                temperature_k: Some(surface),
                ambient_pa: Some(ambient),
                ..ReadingFact::default()
            };
            readings.push((At::Hold(&hold).of(&rig), Fact::HoldReading { reading }));
        }
        self.wait((t_s * 1_000.0) as i64);
        self.book.record(readings)?;
        self.book.conclude_hold(&hold)?;
        Ok(())
    }
}

/// A small drawn picture for a photo note: a ring on a cloth.
fn picture(seed: &str) -> Vec<u8> {
    let shade = seed.bytes().fold(0u8, u8::wrapping_add) % 60;
    let image = image::RgbImage::from_fn(640, 480, |x, y| {
        let (dx, dy) = (x as f32 - 320.0, y as f32 - 240.0);
        let r = dx.hypot(dy);
        if (150.0..168.0).contains(&r) {
            image::Rgb([40, 40, 44])
        } else {
            let weave = if (x / 6 + y / 6) % 2 == 0 { 8 } else { 0 };
            image::Rgb([150 + shade + weave, 160 + shade / 2 + weave, 150 + weave])
        }
    });
    let mut bytes = Vec::new();
    // Writing to memory fails only for sizes of zero.
    let _ = image.write_to(
        &mut std::io::Cursor::new(&mut bytes),
        image::ImageFormat::Jpeg,
    );
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mark_key::MarkKey;
    use crate::readiness::{Obstacle, Remark};
    use crate::subject::Subject;
    use crate::trim::Untrimmed;
    use slackwater_journal::SeededEntropy;

    /// The demo's record, and what to open it with.
    fn filled() -> (tempfile::TempDir, Env) {
        let dir = tempfile::tempdir().unwrap();
        let env = Env {
            clock: Arc::new(FixedClock::at(1_780_293_600_000)),
            entropy: Arc::new(SeededEntropy::new(3)),
            device_seed: None,
        };
        fill_if_empty(dir.path(), &env).unwrap();
        (dir, env)
    }

    #[test]
    fn all_that_the_demo_s_record_is_about_is_known_and_written_as_it_was() {
        let (dir, env) = filled();
        let book = Book::open(dir.path(), env).unwrap();
        let (mut events, mut kinds) = (0, std::collections::HashSet::new());
        let each = |event: slackwater_journal::Event| {
            let subject = Subject::parse(&event.subject);
            assert!(!matches!(subject.at, At::Other(..)), "{}", event.subject);
            assert_eq!(subject.at.of(subject.root), event.subject);
            kinds.insert(subject.at.kind());
            events += 1;
            Ok::<_, JournalFault>(())
        };
        book.journal().each_event(each).unwrap();
        assert!(events > 500 && kinds.len() > 8, "{events} {kinds:?}");
        let marks: Vec<(String, String)> = (book.journal())
            .run("reading marks", |db| {
                db.prepare("SELECT DISTINCT subject, key FROM mark")?
                    .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?
                    .collect()
            })
            .unwrap();
        assert!(marks.len() > 200, "{}", marks.len());
        for (subject, key) in &marks {
            let (at, of) = (At::parse(subject), MarkKey::parse(key));
            assert!(!matches!(at, At::Other(..)), "{subject}");
            assert!(!matches!(of, MarkKey::Other(_)), "{key}");
            assert_eq!(
                (at.to_string(), of.to_string()),
                (subject.clone(), key.clone())
            );
        }
    }

    #[test]
    fn the_demo_is_a_season_that_ends_with_a_night_under_vacuum() {
        let (dir, env) = filled();
        let before = fs::read(dir.path().join(DB_FILE)).unwrap().len();
        fill_if_empty(dir.path(), &env).unwrap();
        assert_eq!(fs::read(dir.path().join(DB_FILE)).unwrap().len(), before);
        let book = Book::open(dir.path(), env).unwrap();
        let rigs = book.rigs().unwrap();
        assert_eq!(rigs.len(), 2);
        let reef = rigs.iter().find(|r| r.name == "Reef rig").unwrap();
        let r = book.readiness(&reef.id).unwrap();
        assert!(
            r.obstacles
                .iter()
                .all(|o| matches!(o, Obstacle::NoRecheck { .. })),
            "{:?}",
            r.obstacles
        );
        assert_eq!(r.obstacles.len(), 2);
        let facts = book.rig(&reef.id).unwrap();
        assert_eq!(facts.def.controls.len(), 9);
        // One ring of the box went into the port; three days are left of the back's.
        let counts: Vec<i64> = book.ring_box().unwrap().iter().map(|l| l.count).collect();
        assert_eq!(counts.iter().sum::<i64>(), 8, "{counts:?}");
        let shoot = facts.shoot.as_ref().unwrap();
        let due = crate::spares::forecast(&facts, shoot, book.now()).unwrap();
        assert!(due[0].due.is_some_and(|d| d.0 <= 2), "{due:?}");
        let night = book.hold(&facts.enclosures[0].holds[0].id).unwrap();
        let (first, last) = (
            night.readings.first().unwrap().reading,
            night.readings.last().unwrap().reading,
        );
        assert!(last.t_s - first.t_s > 11.0 * 3_600.0);
        assert!(first.temperature_k.unwrap() - last.temperature_k.unwrap() > 4.5);
        assert!(book.journal().verify_all(|_| ()).unwrap() > 1_000);
        // Trimmed in the pool, and today it is the sea: there is something to hang.
        assert!(
            r.remarks.iter().any(|m| matches!(
                m,
                Remark::Untrimmed {
                    why: Untrimmed::OtherWater { by_kg_m3 }
                } if *by_kg_m3 < -20.0
            )),
            "{:?}",
            r.remarks
        );
        let worked = book.trim(&reef.id).unwrap();
        let now = worked.now.as_ref().unwrap();
        assert!(now.lessons.iter().all(|l| l.taught.is_ok()));
        let plan = now.plan.as_ref().unwrap();
        assert!(
            !plan.changes.is_empty() && plan.shortfalls.is_empty(),
            "{plan:?}"
        );
    }
}
