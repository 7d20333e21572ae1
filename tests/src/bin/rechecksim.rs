//! Simulates rechecks hours after a hold and counts what passes: of a rig that is as tight as it was,
//! and of one in which a leak began after the hold.
//!
//! `rechecksim [--holds N] [--seed S] [--source inside|surface|air|none] [--said all|none] [--said-now] [--camera-now on|off] [--list]`
//!
//! Each enclosure is held until the judge calls it *holding*, and is then read again after half an
//! hour, two, six and fourteen, each time tight and with leaks of several sizes. The world here shares
//! no code with what judges it: air with its day, a wall behind it, gas behind the wall, a camera that
//! warms it, packs that dry it, a gauge, a thermometer and a barometer that err. Where the air alone is
//! measured the wall lags by up to an hour. Two crews in three say what is inside, at the hold and at
//! the recheck; `--said-now`: at the recheck always.
//!
//! Prints two tables and, as the last line, JSON. Exit status 1 where more than 1 % of the tight ones
//! are called changed, or more than 10 % pass that lost a fifth of their vacuum.

use std::process::ExitCode;

use serde_json::json;
use slackwater_checks::daysim::dice::Dice;
use slackwater_checks::nature::saturation;
use slackwater_core::physics::hold::{
    Camera, Desiccant, Dive, GaugeKind, HoldInput, Later, Proved, Reading, RecheckInput,
    RecheckResult, ShutIn, Stood, TemperatureSource, Verdict, judge_briefly, recheck,
};

/// Hours from the hold's end to the recheck.
const SPANS_H: [f64; 4] = [0.5, 2.0, 6.0, 14.0];
/// Share of the vacuum that a leak took by the recheck.
const SHARES: [f64; 6] = [0.02, 0.05, 0.1, 0.15, 0.2, 0.5];
/// A leak's size as a multiple of the crew's limit.
const TIMES: [f64; 4] = [1.0, 3.0, 10.0, 30.0];
/// Step of the simulation, s.
const STEP_S: f64 = 20.0;

/// How often each result came.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    passed: u64,
    unclear: u64,
    less: u64,
    more: u64,
}

impl Count {
    fn add(&mut self, r: RecheckResult) {
        match r {
            RecheckResult::AsForetold => self.passed += 1,
            RecheckResult::CouldNotTell => self.unclear += 1,
            RecheckResult::LessVacuum => self.less += 1,
            RecheckResult::MoreVacuum => self.more += 1,
        }
    }

    fn all(&self) -> u64 {
        self.passed + self.unclear + self.less + self.more
    }

    fn percent(&self, n: u64) -> f64 {
        100.0 * n as f64 / self.all().max(1) as f64
    }
}

/// Which leak a recheck meets.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Leak {
    None,
    /// Began at some moment since the hold and took this share of the vacuum by the recheck.
    Takes(f64),
    /// Begins at the hold's end, so many times the limit.
    Limit(f64),
}

/// One enclosure, its place and its crew's instruments.
struct World {
    volume: f64,
    vacuum: f64,
    source: TemperatureSource,
    gauge: GaugeKind,
    step: f64,
    noise: f64,
    zero: f64,
    zero_known: bool,
    limit: f64,
    dive: Dive,
    // The place.
    base_k: f64,
    day_k: f64,
    phase: f64,
    swing_k: f64,
    period: f64,
    air_pa: f64,
    weather: [f64; 3],
    // What lies between.
    wall_tau: f64,
    wall_off: f64,
    gas_tau: f64,
    cold: f64,
    so: ShutIn,
    said: ShutIn,
    camera_k: f64,
    camera_tau: f64,
    warm: f64,
    humidity: f64,
    takes: f64,
    packs_tau: f64,
    // Errors.
    thermo: [f64; 2],
    barometer: [f64; 2],
}

fn source_of(d: &mut Dice, wish: Option<TemperatureSource>) -> TemperatureSource {
    let any = match d.below(4) {
        0 => TemperatureSource::Inside,
        1 | 2 => TemperatureSource::Surface,
        _ => TemperatureSource::Air,
    };
    wish.unwrap_or(any)
}

impl World {
    fn new(d: &mut Dice, wish: &Wish) -> Self {
        let camera = [Camera::Cold, Camera::Cold, Camera::Warm, Camera::On][d.below(4)];
        let packs = if d.chance(1.0 / 3.0) {
            Desiccant::Fresh
        } else {
            Desiccant::None
        };
        let mut says = || wish.said.unwrap_or_else(|| d.chance(2.0 / 3.0));
        let (says_camera, says_packs) = (says(), says());
        let so = ShutIn {
            camera: Some(camera),
            desiccant: Some(packs),
            stood: Some(Stood::Here),
        };
        let said = ShutIn {
            camera: so.camera.filter(|_| says_camera),
            desiccant: so.desiccant.filter(|_| says_packs),
            stood: so.stood,
        };
        let source = source_of(d, wish.source);
        // 0.1 and 1 mbar, 0.05 inHg.
        let step = d.of_these(&[10.0, 10.0, 100.0, 169.32]);
        let error = match source {
            TemperatureSource::Inside => 0.1,
            TemperatureSource::Surface | TemperatureSource::Air => 0.3,
            TemperatureSource::None => 0.0,
        };
        let volume = d.log_between(1e-3, 40e-3);
        let camera_k = d.between(1.0, 8.0);
        Self {
            volume,
            vacuum: d.between(12_000.0, 30_000.0),
            source,
            gauge: if d.chance(0.7) {
                GaugeKind::BelowAmbient
            } else {
                GaugeKind::Absolute
            },
            step,
            noise: 0.3 * step * d.between(0.1, 1.0),
            zero: 300.0 * d.normal(),
            zero_known: d.chance(0.7),
            // As the built-in one: 60 mL for 12 L, less for less.
            limit: 60.0 * (volume / 12e-3).min(1.0) * d.between(0.5, 1.0),
            dive: Dive {
                depth_m: d.between(10.0, 50.0),
                minutes: d.between(30.0, 90.0),
                salinity_g_kg: [0.0, 35.0][d.below(2)],
                water_k: 273.15 + d.between(4.0, 29.0),
            },
            base_k: 273.15 + d.between(6.0, 32.0),
            day_k: d.between(0.5, 5.0),
            phase: d.between(0.0, std::f64::consts::TAU),
            swing_k: d.between(0.0, 0.4),
            period: d.log_between(600.0, 6000.0),
            air_pa: d.between(98_500.0, 103_000.0),
            weather: [
                500.0 * d.normal(),
                d.between(0.0, std::f64::consts::TAU),
                200.0 * d.normal(),
            ],
            wall_tau: match source {
                TemperatureSource::Air => d.log_between(300.0, 2400.0),
                _ => d.log_between(300.0, 3600.0),
            },
            wall_off: if d.chance(0.5) { 0.5 * d.normal() } else { 0.0 },
            gas_tau: d.log_between(25.0, 250.0),
            cold: d.between(1.0, 8.0),
            so,
            said,
            camera_k,
            camera_tau: d.log_between(480.0, 2400.0),
            warm: match camera {
                Camera::Cold => 0.0,
                Camera::Warm => camera_k * d.between(0.2, 1.0),
                Camera::On => camera_k * d.between(0.0, 1.0),
            },
            humidity: d.between(0.3, 0.95),
            takes: if packs == Desiccant::Fresh {
                d.between(0.3, 0.9)
            } else {
                0.0
            },
            packs_tau: d.log_between(900.0, 5400.0),
            thermo: [error * d.normal(), error * d.normal()],
            barometer: [100.0 * d.normal(), 15.0 * d.normal()],
        }
    }

    fn air(&self, t: f64) -> f64 {
        let turn = |t: f64, period: f64| (std::f64::consts::TAU * t / period + self.phase).sin();
        self.base_k + self.day_k * turn(t, 86_400.0) + self.swing_k * turn(t, self.period)
    }

    fn ambient(&self, t: f64) -> f64 {
        let [slow, phase, drift] = self.weather;
        self.air_pa + slow * (t / 50_000.0 + phase).sin() + drift * t / 50_000.0
    }

    /// An error of the thermometer that moves from one end to the other over hours.
    fn thermometer(&self, k: f64, t: f64) -> f64 {
        let way = 1.0 - (-t / 9000.0).exp();
        let off = self.thermo[0] * (1.0 - way) + self.thermo[1] * way;
        ((k + off) / 0.1).round() * 0.1
    }

    fn barometer(&self, d: &mut Dice, t: f64) -> f64 {
        let off = self.barometer[0] + self.barometer[1] * (1.0 - (-t / 9000.0).exp());
        ((self.ambient(t) + off + 2.0 * d.normal()) / 10.0).round() * 10.0
    }

    fn reading(&self, d: &mut Dice, t: f64, p: f64, gas: f64, wall: f64) -> Reading {
        let shows = match self.gauge {
            GaugeKind::BelowAmbient => self.ambient(t) - p,
            GaugeKind::Absolute => p,
        };
        let shows = shows + self.zero + self.noise * d.normal();
        let temperature_k = match self.source {
            TemperatureSource::Inside => Some(self.thermometer(gas, t)),
            TemperatureSource::Surface => Some(self.thermometer(wall, t)),
            TemperatureSource::Air => Some(self.thermometer(self.air(t), t)),
            TemperatureSource::None => None,
        };
        Reading {
            t_s: t,
            gauge_pa: (shows / self.step).round() * self.step,
            temperature_k,
            ambient_pa: Some(self.barometer(d, t)),
        }
    }

    /// mL per dive of a leak, from what it lets in at 1 Pa² of drive, m³/(Pa·s): the laminar law with
    /// the viscosities as two fits that the judge does not use.
    fn conductance(&self, ml: f64, p: f64) -> f64 {
        let c = self.dive.water_k - 273.15;
        let water =
            2.414e-5 * 10_f64.powf(247.8 / (c + 133.15)) * (1.0 + 0.0022 * self.dive.salinity_g_kg);
        let air = 1.82e-5 * (self.base_k / 293.15_f64).powf(0.75);
        let density = 1000.0 + 0.77 * self.dive.salinity_g_kg;
        let push = 101_325.0 + density * 9.806_65 * self.dive.depth_m - p;
        let flow = ml * 1e-6 / (self.dive.minutes * 60.0);
        flow * water / air / (2.0 * push)
    }

    fn input(&self, readings: Vec<Reading>) -> HoldInput {
        HoldInput {
            volume_m3: self.volume,
            volume_sd_m3: 0.03 * self.volume,
            gauge: self.gauge,
            gauge_resolution_pa: self.step,
            temperature_source: self.source,
            dive: self.dive,
            limit_ml: self.limit,
            temperature_sd_k: None,
            barometer_sd_pa: None,
            humidity: None,
            shut_in: self.said,
            zero_pa: if self.zero_known {
                (self.zero / self.step).round() * self.step
            } else {
                0.0
            },
            zero_sd_pa: self.step / 12f64.sqrt(),
            readings,
        }
    }
}

/// The camera over the hold and after it: when it goes off, and comes on again for the recheck.
struct Runs {
    until: f64,
    again: f64,
}

impl Runs {
    fn on(&self, t: f64) -> bool {
        t < self.until || t >= self.again
    }
}

/// The gas above the wall by a camera, and the wall, step by step; each at the moments asked.
fn temperatures(w: &World, runs: &Runs, moments: &[f64]) -> Vec<(f64, f64)> {
    let (mut wall, mut warm, mut t) = (w.air(0.0) + w.wall_off, w.warm, 0.0);
    let mut out = Vec::with_capacity(moments.len());
    for &at in moments {
        while t < at {
            let h = STEP_S.min(at - t);
            wall += (w.air(t + 0.5 * h) - wall) * (1.0 - (-h / w.wall_tau).exp());
            let towards = if runs.on(t) { w.camera_k } else { 0.0 };
            warm += (towards - warm) * (1.0 - (-h / w.camera_tau).exp());
            t += h;
        }
        let settling = w.cold * (-at / w.gas_tau).exp();
        out.push((wall, wall + warm - settling));
    }
    out
}

#[derive(Debug, Clone, Default)]
struct Wish {
    source: Option<TemperatureSource>,
    said: Option<bool>,
    said_now: bool,
    /// Whether the camera runs at the recheck.
    on: Option<bool>,
    list: bool,
}

#[derive(Debug, Clone, Default)]
struct Tally {
    holds: u64,
    held: u64,
    tight: [Count; SPANS_H.len()],
    shares: [[Count; SHARES.len()]; SPANS_H.len()],
    times: [[Count; TIMES.len()]; SPANS_H.len()],
}

/// Pressure inside of dry gas that nothing left or entered, and of what the packs took, by the gas law.
fn inside(w: &World, t: f64, gas: f64, start: (f64, f64), let_in: f64) -> f64 {
    let (p0, gas0) = start;
    let vapour = w.humidity * saturation(gas0) * p0 / w.ambient(0.0);
    let drunk = w.takes * vapour * (1.0 - (-t / w.packs_tau).exp());
    (p0 + let_in - drunk) * gas / gas0
}

fn one(d: &mut Dice, wish: &Wish, tally: &mut Tally) {
    let w = World::new(d, wish);
    tally.holds += 1;
    let minutes = [20.0, 30.0, 60.0, 120.0, 240.0][d.below(5)];
    let end = 60.0 * minutes;
    let stays = Runs {
        until: if w.so.camera == Some(Camera::On) {
            end
        } else {
            0.0
        },
        again: f64::INFINITY,
    };
    let n = 40;
    let moments: Vec<f64> = (0..=n).map(|i| end * f64::from(i) / f64::from(n)).collect();
    let held = temperatures(&w, &stays, &moments);
    let start = (w.ambient(0.0) - w.vacuum, held[0].1);
    let readings = (moments.iter().zip(&held))
        .map(|(&t, &(wall, gas))| w.reading(d, t, inside(&w, t, gas, start, 0.0), gas, wall))
        .collect();
    let input = w.input(readings);
    let Ok(judged) = judge_briefly(&input) else {
        return;
    };
    if judged.verdict != Verdict::Holding {
        return;
    }
    tally.held += 1;
    let proved = Proved::from(&judged);
    for (s, hours) in SPANS_H.iter().enumerate() {
        let now = end + 3600.0 * hours;
        let on = d.chance(0.3);
        let on = wish.on.unwrap_or(on);
        let ran = d.log_between(120.0, 3600.0).min(now - end - 60.0);
        let runs = Runs {
            // At the latest so that it has been off for half an hour.
            until: stays.until
                + if stays.until > 0.0 {
                    d.between(0.0, (now - end - 1800.0).max(0.0))
                } else {
                    0.0
                },
            again: if on { now - ran } else { f64::INFINITY },
        };
        let says = wish.said_now || wish.said.unwrap_or_else(|| d.chance(2.0 / 3.0));
        let at = temperatures(&w, &runs, &[now])[0];
        let (wall, gas) = at;
        let leaks = std::iter::once(Leak::None)
            .chain(SHARES.map(Leak::Takes))
            .chain(TIMES.map(Leak::Limit));
        for leak in leaks {
            let let_in = match leak {
                Leak::None => 0.0,
                // When it began does not matter to the reading.
                Leak::Takes(share) => share * w.vacuum,
                Leak::Limit(times) => {
                    let c = w.conductance(times * w.limit, start.0);
                    let (mut p, mut t) = (start.0, end);
                    while t < now {
                        let h = 60.0_f64.min(now - t);
                        let a = w.ambient(t);
                        p += c * (a * a - p * p).max(0.0) / w.volume * h;
                        t += h;
                    }
                    p - start.0
                }
            };
            let p = inside(&w, now, gas, start, let_in).min(w.ambient(now));
            let result = recheck(&RecheckInput {
                hold: input.clone(),
                proved: proved.clone(),
                before: Vec::new(),
                now: Later {
                    reading: w.reading(d, now, p, gas, wall),
                    camera_on: says.then_some(on),
                    other_barometer: false,
                    came_up: None,
                    brought: false,
                },
                camera_k: None,
            });
            let Some(result) = result.ok().and_then(|r| r.result) else {
                continue;
            };
            if leak == Leak::None && wish.list {
                let so = (w.so.camera, w.so.desiccant, w.said.camera, w.said.desiccant);
                println!(
                    "{hours} h {result:?} {:?} {so:?} now {on} said {says}",
                    w.source
                );
            }
            match leak {
                Leak::None => tally.tight[s].add(result),
                Leak::Takes(share) => {
                    if let Some(i) = SHARES.iter().position(|x| *x == share) {
                        tally.shares[s][i].add(result);
                    }
                }
                Leak::Limit(times) => {
                    if let Some(i) = TIMES.iter().position(|x| *x == times) {
                        tally.times[s][i].add(result);
                    }
                }
            }
        }
    }
}

impl Tally {
    fn report(&self) -> bool {
        println!(
            "{} enclosures held, {} of them *holding*; each read again after:",
            self.holds, self.held
        );
        let head: Vec<String> = SPANS_H.iter().map(|h| format!("{h:>8} h")).collect();
        println!("{:<34}{}", "", head.join(""));
        let line = |name: &str, of: &dyn Fn(usize) -> f64| {
            let cells: Vec<String> = (0..SPANS_H.len())
                .map(|s| format!("{:>9.2}%", of(s)))
                .collect();
            println!("{name:<34}{}", cells.join(""));
        };
        println!("tight");
        line("  reads as foretold", &|s| {
            self.tight[s].percent(self.tight[s].passed)
        });
        line("  could not tell", &|s| {
            self.tight[s].percent(self.tight[s].unclear)
        });
        line("  called changed (refused)", &|s| {
            self.tight[s].percent(self.tight[s].less + self.tight[s].more)
        });
        println!("passes, of leaks that took by then");
        for (i, share) in SHARES.iter().enumerate() {
            let name = format!("  {} % of the vacuum", 100.0 * share);
            line(&name, &|s| {
                self.shares[s][i].percent(self.shares[s][i].passed)
            });
        }
        println!("passes, of leaks from the hold's end");
        for (i, times) in TIMES.iter().enumerate() {
            let name = format!("  {times} x the limit");
            line(&name, &|s| {
                self.times[s][i].percent(self.times[s][i].passed)
            });
        }
        println!("found changed, of leaks that took by then");
        for (i, share) in SHARES.iter().enumerate() {
            let name = format!("  {} % of the vacuum", 100.0 * share);
            line(&name, &|s| {
                self.shares[s][i].percent(self.shares[s][i].less)
            });
        }
        let mut tight = Count::default();
        for c in &self.tight {
            tight.passed += c.passed;
            tight.unclear += c.unclear;
            tight.less += c.less;
            tight.more += c.more;
        }
        let passed = |i: usize| {
            let all: u64 = self.shares.iter().map(|s| s[i].all()).sum();
            let passed: u64 = self.shares.iter().map(|s| s[i].passed).sum();
            passed as f64 / all.max(1) as f64
        };
        let refused = (tight.less + tight.more) as f64 / tight.all().max(1) as f64;
        let by_share: Vec<f64> = (0..SHARES.len()).map(passed).collect();
        println!(
            "{}",
            json!({
                "holds": self.held,
                "tight": tight.all(),
                "tight_passed": tight.passed,
                "tight_could_not_tell": tight.unclear,
                "tight_less": tight.less,
                "tight_more": tight.more,
                "lost_share": SHARES,
                "lost_passed": by_share,
            })
        );
        refused <= 0.01 && by_share[4] <= 0.1
    }
}

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let (mut holds, mut seed, mut wish) = (1000_u64, 1_u64, Wish::default());
    while let Some(arg) = args.next() {
        let mut value = || args.next().unwrap_or_default();
        match arg.as_str() {
            "--holds" => holds = value().parse().unwrap_or(holds),
            "--seed" => seed = value().parse().unwrap_or(seed),
            "--source" => {
                wish.source = Some(match value().as_str() {
                    "inside" => TemperatureSource::Inside,
                    "surface" => TemperatureSource::Surface,
                    "air" => TemperatureSource::Air,
                    _ => TemperatureSource::None,
                });
            }
            "--said" => wish.said = Some(value() == "all"),
            "--camera-now" => wish.on = Some(value() == "on"),
            "--list" => wish.list = true,
            "--said-now" => wish.said_now = true,
            other => {
                eprintln!("what is {other}?");
                return ExitCode::from(2);
            }
        }
    }
    let mut tally = Tally::default();
    for hold in 0..holds {
        one(&mut Dice::of(seed, &[hold]), &wish, &mut tally);
    }
    if tally.report() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
