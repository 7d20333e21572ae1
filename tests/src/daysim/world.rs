//! What is so: gas, heat, weather, rings, leaks, plugs, gauges. It shares no code with what judges
//! it, and knows nothing of what was typed.
//!
//! The sizes of the effects are common practice, not from a source: a camera's gas stands 1 to 8 K
//! above the wall and comes and goes within 8 to 40 min; fresh desiccant takes up to nine tenths of
//! the vapour within 15 to 90 min; a pump-down cools the gas by 3 to 10 K for some minutes.

use super::dice::Dice;
use crate::nature::{air_viscosity, water_viscosity};

/// Gas constant, J/(mol K).
const R: f64 = 8.314_462_6;
/// Water that means a flood, mL.
const FLOODED_ML: f64 = 60.0;

/// Air and barometer over days, by a few waves of random phase.
#[derive(Debug, Clone)]
pub struct Weather {
    base_k: f64,
    daily_k: f64,
    slow_k: f64,
    base_pa: f64,
    swing_pa: f64,
    phase: [f64; 5],
    /// Relative humidity on deck, 0 to 1.
    pub humidity: f64,
}

impl Weather {
    /// A place and a season.
    #[must_use]
    pub fn new(d: &mut Dice) -> Weather {
        let mut phase = [0.0; 5];
        for p in &mut phase {
            *p = d.between(0.0, std::f64::consts::TAU);
        }
        Weather {
            base_k: 273.15 + d.between(12.0, 30.0),
            daily_k: d.between(1.0, 5.0),
            slow_k: d.between(0.0, 2.5),
            base_pa: d.between(100_000.0, 102_500.0),
            swing_pa: d.between(100.0, 600.0),
            phase,
            humidity: d.between(0.4, 0.85),
        }
    }

    /// Air on deck, K, at `t` seconds.
    #[must_use]
    pub fn air_k(&self, t: f64) -> f64 {
        let wave =
            |period: f64, k: usize| (std::f64::consts::TAU * t / period + self.phase[k]).sin();
        // Warmest in the afternoon: time starts at six in the morning.
        let day = (std::f64::consts::TAU * (t / 86_400.0 - 0.1)).sin();
        self.base_k + self.daily_k * day + self.slow_k * wave(345_600.0, 0) + 0.3 * wave(2_400.0, 1)
    }

    /// Air pressure, Pa, at `t` seconds.
    #[must_use]
    pub fn ambient_pa(&self, t: f64) -> f64 {
        let wave =
            |period: f64, k: usize| (std::f64::consts::TAU * t / period + self.phase[k]).sin();
        self.base_pa + self.swing_pa * wave(270_000.0, 2) + 120.0 * wave(43_200.0, 3)
    }
}

/// Units a gauge shows in: Pa each.
pub const UNITS: [(&str, f64); 5] = [
    ("mbar", 100.0),
    ("kPa", 1_000.0),
    ("inHg", 3_386.389),
    ("psi", 6_894.757),
    ("mmHg", 133.322_4),
];

/// A gauge as it is.
#[derive(Debug, Clone)]
pub struct Gauge {
    /// Shows absolute pressure; else below ambient.
    pub absolute: bool,
    /// What it shows in ([`UNITS`]).
    pub unit: usize,
    /// Its step, in that unit.
    pub step: f64,
    /// Its error at nothing, Pa.
    zero_pa: f64,
    /// Its noise, Pa (1 sd).
    noise_pa: f64,
}

impl Gauge {
    /// Mostly a tenth of a millibar below ambient.
    #[must_use]
    pub fn new(d: &mut Dice) -> Gauge {
        let (unit, step) = d.of_these(&[
            (0, 0.1),
            (0, 0.1),
            (0, 0.1),
            (0, 1.0),
            (1, 0.01),
            (4, 0.1),
            (2, 0.01),
        ]);
        let step_pa = step * UNITS[unit].1;
        Gauge {
            absolute: d.chance(0.3),
            unit,
            step,
            zero_pa: d.normal() * 50.0,
            noise_pa: step_pa * d.of_these(&[0.05, 0.15, 0.3]),
        }
    }

    /// Its step, Pa.
    #[must_use]
    pub fn step_pa(&self) -> f64 {
        self.step * UNITS[self.unit].1
    }

    /// What it shows, in its unit.
    pub fn shows(&self, d: &mut Dice, inside_pa: f64, ambient_pa: f64) -> f64 {
        let true_pa = if self.absolute {
            inside_pa
        } else {
            ambient_pa - inside_pa
        };
        let pa = true_pa + self.zero_pa + self.noise_pa * d.normal();
        (pa / self.step_pa()).round() * self.step
    }
}

/// How a ring is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ring {
    /// Whole and in its place.
    Fine,
    /// Nicked, twisted, or with a hair across it.
    Bad,
    /// Not there.
    Missing,
}

/// A seal's ring.
#[derive(Debug, Clone)]
pub struct SealTruth {
    /// Seal id.
    pub id: String,
    /// The closure that disturbs it.
    pub closure: Option<String>,
    /// How its ring is.
    pub ring: Ring,
    /// How wide its leak is where it is bad, m³ ([`Vessel::pore`]).
    pub pore: f64,
    /// Taken out, looked at, greased and put back since it was disturbed.
    pub serviced: bool,
    /// Said so.
    pub said: bool,
    /// That it was disturbed was said.
    pub told: bool,
    /// Damaged so that a service can't mend it.
    pub damaged: bool,
}

/// A way in that is no ring of the list.
#[derive(Debug, Clone)]
pub struct Leak {
    /// When it begins, s.
    pub from_s: f64,
    /// How wide, m³.
    pub pore: f64,
    /// Opens only under the pressure of depth.
    pub only_deep: bool,
}

/// What the camera inside does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Camera {
    /// Off for long, or none.
    Cold,
    /// Switched off not long ago.
    Warm,
    /// On.
    On,
}

/// An enclosure as it is.
#[derive(Debug, Clone)]
pub struct Vessel {
    /// Enclosure id.
    pub id: String,
    /// Free volume, m³.
    pub volume_m3: f64,
    /// The limit that the crew means, mL per dive.
    pub limit_ml: f64,
    /// Depth that it stands, m.
    pub rated_m: f64,
    /// The crew typed another rating than its maker's.
    pub rating_mistyped: bool,
    /// Deepest that it has been since it was last opened and looked over, m.
    pub been_m: f64,
    /// Its closures; true where open.
    pub closures: Vec<(String, bool)>,
    /// Its rings.
    pub seals: Vec<SealTruth>,
    /// Other leaks.
    pub leaks: Vec<Leak>,
    /// The plug is in.
    pub plug_in: bool,
    /// The valve is open to the air.
    pub valve_open: bool,
    /// The gauge on it.
    pub gauge: Gauge,
    /// The camera.
    pub camera: Camera,
    /// Fresh desiccant was shut in.
    pub desiccant: bool,
    /// Water inside that nobody has dried.
    pub wet: bool,
    dry_mol: f64,
    vapour_mol: f64,
    wall_k: f64,
    gas_k: f64,
    warmth_k: f64,
    camera_k: f64,
    camera_s: f64,
    wall_s: f64,
    gas_s: f64,
    dry_s: f64,
    dry_to_mol: f64,
    cold_k: f64,
    /// A camera or the like is in it, so that it may be warm.
    pub has_camera: bool,
}

impl Vessel {
    /// Open, in parts.
    #[must_use]
    pub fn new(d: &mut Dice, id: &str, volume_l: f64, limit_ml: f64, rated_m: f64) -> Vessel {
        let heat_k = d.between(1.0, 8.0);
        Vessel {
            id: id.to_owned(),
            volume_m3: volume_l * 1e-3,
            limit_ml,
            rated_m,
            rating_mistyped: false,
            been_m: 0.0,
            closures: Vec::new(),
            seals: Vec::new(),
            leaks: Vec::new(),
            plug_in: false,
            valve_open: true,
            gauge: Gauge::new(d),
            camera: Camera::Cold,
            desiccant: false,
            wet: false,
            dry_mol: 0.0,
            vapour_mol: 0.0,
            wall_k: 293.15,
            gas_k: 293.15,
            warmth_k: 0.0,
            camera_k: heat_k,
            camera_s: d.between(480.0, 2_400.0),
            wall_s: d.log_between(600.0, 3_600.0),
            gas_s: d.log_between(25.0, 240.0),
            dry_s: d.between(900.0, 5_400.0),
            dry_to_mol: 0.0,
            cold_k: d.between(3.0, 10.0),
            has_camera: id == "main",
        }
    }

    /// Whether anything stands open.
    #[must_use]
    pub fn open(&self) -> bool {
        self.closures.iter().any(|c| c.1)
    }

    /// Inside, Pa.
    #[must_use]
    pub fn inside_pa(&self) -> f64 {
        (self.dry_mol + self.vapour_mol) * R * self.gas_k / self.volume_m3
    }

    /// The gas, K.
    #[must_use]
    pub fn gas_k(&self) -> f64 {
        self.gas_k
    }

    /// The wall, K.
    #[must_use]
    pub fn wall_k(&self) -> f64 {
        self.wall_k
    }

    /// How wide all that leaks on deck at `t` is, m³.
    #[must_use]
    pub fn pore(&self, t: f64) -> f64 {
        let rings: f64 = self
            .seals
            .iter()
            .filter(|s| s.ring != Ring::Fine)
            .map(|s| s.pore)
            .sum();
        let others: f64 = self
            .leaks
            .iter()
            .filter(|l| l.from_s <= t && !l.only_deep)
            .map(|l| l.pore)
            .sum();
        rings + others
    }

    /// The same at depth.
    #[must_use]
    pub fn pore_deep(&self, t: f64) -> f64 {
        let deep: f64 = self
            .leaks
            .iter()
            .filter(|l| l.from_s <= t && l.only_deep)
            .map(|l| l.pore)
            .sum();
        self.pore(t) + deep
    }

    /// Goes on for a while around `outside` (air or water, K, by the time in s).
    pub fn go_on(
        &mut self,
        from_s: f64,
        to_s: f64,
        weather: &Weather,
        outside: &dyn Fn(f64) -> f64,
    ) {
        let mut t = from_s;
        while t < to_s {
            let left = to_s - t;
            let busy = self.warmth_k.abs() > 0.3
                || (self.gas_k - self.wall_k - self.warmth_k).abs() > 0.05;
            let dt = left.min(if busy { 30.0 } else { 240.0 });
            t += dt;
            let near = |from: f64, to: f64, tau: f64| to + (from - to) * (-dt / tau).exp();
            self.wall_k = near(self.wall_k, outside(t), self.wall_s);
            let heat = if self.camera == Camera::On && self.has_camera {
                self.camera_k
            } else {
                0.0
            };
            self.warmth_k = near(self.warmth_k, heat, self.camera_s);
            self.gas_k = near(self.gas_k, self.wall_k + self.warmth_k, self.gas_s);
            let ambient = weather.ambient_pa(t);
            if self.open() || self.valve_open {
                self.fill(ambient, weather.humidity);
                continue;
            }
            if self.desiccant && self.vapour_mol > self.dry_to_mol {
                self.vapour_mol = near(self.vapour_mol, self.dry_to_mol, self.dry_s);
            }
            let pore = self.pore(t);
            if pore > 0.0 {
                let inside = self.inside_pa();
                let flow = pore * (ambient.powi(2) - inside.powi(2)) / air_viscosity(self.gas_k);
                let moles = flow / (R * self.gas_k) * dt;
                let full = ambient * self.volume_m3 / (R * self.gas_k) - self.vapour_mol;
                self.dry_mol = (self.dry_mol + moles).min(full.max(self.dry_mol));
            }
        }
    }

    fn fill(&mut self, ambient: f64, humidity: f64) {
        let all = ambient * self.volume_m3 / (R * self.gas_k);
        let vapour =
            humidity * saturation_pa(self.wall_k - 273.15) * self.volume_m3 / (R * self.gas_k);
        self.vapour_mol = vapour.min(all);
        self.dry_mol = all - self.vapour_mol;
    }

    /// Draws a vacuum of `below_pa` and shuts the valve.
    pub fn pump(&mut self, ambient: f64, below_pa: f64) {
        self.gas_k = self.wall_k + self.warmth_k - self.cold_k;
        let now = self.inside_pa();
        let share = ((ambient - below_pa) / now).min(1.0);
        self.dry_mol *= share;
        self.vapour_mol *= share;
        self.dry_to_mol = 0.1 * self.vapour_mol;
        self.valve_open = false;
    }

    /// Sets what the camera does; `Warm` from full warmth.
    pub fn set_camera(&mut self, camera: Camera) {
        if !self.has_camera {
            return;
        }
        if camera == Camera::Warm {
            self.warmth_k = self.camera_k;
            self.gas_k = self.wall_k + self.warmth_k;
        }
        if camera == Camera::Cold {
            self.warmth_k = 0.0;
        }
        self.camera = camera;
    }

    /// Comes from a place so much warmer, K.
    pub fn comes_from(&mut self, warmer_k: f64) {
        self.wall_k += warmer_k;
        self.gas_k += warmer_k;
    }

    /// Water that comes in on a dive, mL.
    #[must_use]
    pub fn takes_ml(&self, pore: f64, plan: &Plan) -> f64 {
        water_ml(pore, self.inside_pa(), plan)
    }

    /// How wide a leak of so many mL on that dive is at `below_pa` of vacuum, m³.
    #[must_use]
    pub fn pore_of(ml: f64, plan: &Plan) -> f64 {
        ml / water_ml(1.0, 101_325.0 - 20_000.0, plan)
    }

    /// A dive: what it took in, mL.
    pub fn dive(&mut self, plan: &Plan, t: f64) -> f64 {
        let ml = self.takes_ml(self.pore_deep(t), plan);
        let flood = ml > FLOODED_ML || !self.plug_in || self.open();
        self.wet |= flood;
        self.been_m = self.been_m.max(plan.depth_m);
        ml
    }
}

/// A dive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// m.
    pub depth_m: f64,
    /// min.
    pub minutes: f64,
    /// g/kg.
    pub salinity: f64,
    /// °C.
    pub water_c: f64,
}

fn water_ml(pore: f64, inside_pa: f64, plan: &Plan) -> f64 {
    let density = 1000.0 - 0.0049 * (plan.water_c - 4.0).powi(2) + 0.77 * plan.salinity;
    let push = 101_325.0 + density * 9.806_65 * plan.depth_m - inside_pa;
    pore * 2.0 * push / water_viscosity(plan.water_c, plan.salinity) * plan.minutes * 60.0 * 1e6
}

/// Saturation vapour pressure over water, Pa, by Magnus (Alduchov and Eskridge 1996).
fn saturation_pa(c: f64) -> f64 {
    610.94 * (17.625 * c / (c + 243.04)).exp()
}
