//! What is said of a number that can't be so, and asked of one that is unlikely. The question stands in the
//! form, with a switch that answers it for these numbers and no others.

use super::common::{Field, FieldFault, Outcome};
use super::cx::{Cx, Typed};
use super::desk::{Asked, Desk};
use super::keys;
use super::measures::Units;
use super::names::enclosure_name;
use super::spec;
use super::texts::Texts;
use slackwater_domain::book::{AsTyped, Doubts};
use slackwater_domain::state::RigFacts;
use slackwater_physics::hold::plausible::{About, Doubt, Odd, Slip, unlikely_step};
use slackwater_physics::units::PressureUnit;

/// Before the key of the switch that says that it is so.
pub(super) const SURE: &str = "sure:";

/// How the crew types what is not the gauge's.
pub(super) fn as_typed(units: &Units) -> AsTyped {
    AsTyped {
        air_unit: units.pressure,
        fahrenheit: units.fahrenheit,
    }
}

/// How the gauge of the form is read.
#[derive(Debug, Clone, Copy)]
pub(super) struct OfGauge<'a> {
    /// The rig, for the names of its enclosures.
    pub rig: &'a RigFacts,
    /// The gauge's unit.
    pub unit: PressureUnit,
    /// It shows absolute pressure.
    pub absolute: bool,
}

/// A number typed that is unlikely.
pub(super) struct Unlikely {
    /// Key of its field.
    key: String,
    /// It, as it is read back.
    value: String,
    /// Why it is.
    why: String,
}

impl Unlikely {
    pub fn of(key: impl Into<String>, value: String, why: String) -> Unlikely {
        Unlikely {
            key: key.into(),
            value,
            why,
        }
    }
}

/// Whether what is in doubt was confirmed; false where nothing is in doubt. `at` names the form's place, `more`
/// what is in doubt of the form beside the readings: all is one question.
///
/// # Errors
/// What is to be shown at the fields: it can't be, or is asked.
pub(super) fn confirmed(
    desk: &mut Desk,
    at: &str,
    doubts: &Doubts,
    more: Option<Unlikely>,
    typed: &Typed<'_>,
    units: &Units,
    gauge: OfGauge<'_>,
) -> Result<bool, Vec<FieldFault>> {
    desk.asked = None;
    if doubts.all.is_empty() && more.is_none() {
        return Ok(false);
    }
    let says = Says {
        texts: desk.texts,
        units,
        gauge,
        others: &doubts.others,
    };
    let unlikely: Vec<(&str, String)> = doubts
        .all
        .iter()
        .map(|d| {
            let key = key_of(d.about, typed);
            (key, says.typed(d.about, typed.text(key)))
        })
        .chain(more.iter().map(|m| (m.key.as_str(), m.value.clone())))
        .collect();
    let impossible = doubts.all.iter().any(|d| d.impossible);
    let key = sure_key(&unlikely);
    if !impossible && typed.on(&key) {
        return Ok(true);
    }
    let faults = doubts
        .all
        .iter()
        .zip(&unlikely)
        .map(|(d, (key, _))| FieldFault {
            field: (*key).to_owned(),
            text: says.sentence(d),
        })
        .chain(more.iter().map(|m| fault_of(desk.texts, &m.key, &m.why)))
        .collect();
    if !impossible {
        desk.asked = Some(asked(desk.texts, at, &key, &unlikely));
    }
    Err(faults)
}

/// Asks about one number typed that is unlikely: `value` as it is read back, and why it is. Nothing where it was
/// answered for this number.
///
/// # Errors
/// The question, at its field.
pub(super) fn is_so(
    desk: &mut Desk,
    at: &str,
    typed: &Typed<'_>,
    (key, value): (&str, String),
    why: &str,
) -> Result<(), Vec<FieldFault>> {
    are_so(desk, at, typed, &[Unlikely::of(key, value, why.to_owned())])
}

/// The same of several numbers of one form, as one question.
///
/// # Errors
/// The question, at each field.
pub(super) fn are_so(
    desk: &mut Desk,
    at: &str,
    typed: &Typed<'_>,
    all: &[Unlikely],
) -> Result<(), Vec<FieldFault>> {
    desk.asked = None;
    let unlikely: Vec<(&str, String)> = all
        .iter()
        .map(|u| (u.key.as_str(), u.value.clone()))
        .collect();
    let sure = sure_key(&unlikely);
    if all.is_empty() || typed.on(&sure) {
        return Ok(());
    }
    desk.asked = Some(asked(desk.texts, at, &sure, &unlikely));
    Err(all
        .iter()
        .map(|u| fault_of(desk.texts, &u.key, &u.why))
        .collect())
}

fn fault_of(texts: &Texts, key: &str, why: &str) -> FieldFault {
    FieldFault {
        field: key.to_owned(),
        text: format!("{why} {}", texts.get("error_is_it_so")),
    }
}

/// The steps of a gauge as typed on a form: asked about where no gauge that a hold is read on goes in such. Those
/// that stood there (`before`, Pa) were answered for.
///
/// # Errors
/// The question, at its field.
pub(super) fn step_is_so(
    desk: &mut Desk,
    units: &Units,
    at: &str,
    typed: &Typed<'_>,
    step: (PressureUnit, f64),
    before: Option<f64>,
) -> Result<(), Vec<FieldFault>> {
    match unlikely_steps((desk.texts, units), typed, step, before) {
        Some(u) => is_so(desk, at, typed, (&u.key, u.value), &u.why),
        None => {
            desk.asked = None;
            Ok(())
        }
    }
}

/// The steps of a gauge as typed, where they are unlikely.
pub(super) fn unlikely_steps(
    (texts, units): (&Texts, &Units),
    typed: &Typed<'_>,
    (unit, step_pa): (PressureUnit, f64),
    before: Option<f64>,
) -> Option<Unlikely> {
    let stood = before.is_some_and(|b| (b - step_pa).abs() <= 1e-6 * b);
    let (finest, coarsest) = unlikely_step(step_pa).filter(|_| !stood)?;
    let shown = |pa: f64| units.plain(unit.from_pa(pa), 2);
    Some(Unlikely {
        key: keys::RESOLUTION.into(),
        value: format!("{}\u{a0}{}", typed.text(keys::RESOLUTION), unit.symbol()),
        why: texts.say(
            "error_doubt_step",
            &[
                ("fine", (&shown(finest)).into()),
                ("coarse", (&shown(coarsest)).into()),
                ("unit", unit.symbol().into()),
            ],
        ),
    })
}

/// The switch that answers what was asked of the form at this place.
pub(super) fn asked_field(cx: &Cx<'_>, at: &str) -> Option<Field> {
    cx.asked.filter(|a| a.at == at).map(|a| a.field.clone())
}

fn sure_key(unlikely: &[(&str, String)]) -> String {
    let each: Vec<String> = unlikely.iter().map(|(k, v)| format!("{k}={v}")).collect();
    format!("{SURE}{}", each.join(";"))
}

fn asked(texts: &Texts, at: &str, sure: &str, unlikely: &[(&str, String)]) -> Asked {
    let values: Vec<&str> = unlikely.iter().map(|(_, v)| v.as_str()).collect();
    let label = texts.say(
        "screen_hold_sure",
        &[("value", (&values.join(", ")).into())],
    );
    Asked {
        at: at.to_owned(),
        field: spec::asked(sure, label),
    }
}

/// The outcome of what is wrong with a form.
pub(super) fn wrong(faults: Vec<FieldFault>) -> Outcome {
    Outcome {
        faults,
        ..Outcome::default()
    }
}

/// The field that a doubt stands at.
fn key_of(about: About, typed: &Typed<'_>) -> &'static str {
    match about {
        About::Open => keys::OPEN_READS,
        About::Gauge => keys::GAUGE,
        About::Temperature => keys::TEMPERATURE,
        About::Air if typed.text(keys::AMBIENT).is_empty() => keys::AIR,
        About::Air => keys::AMBIENT,
    }
}

struct Says<'a> {
    texts: &'a Texts,
    units: &'a Units,
    gauge: OfGauge<'a>,
    others: &'a [String],
}

impl Says<'_> {
    /// What was typed, with its unit.
    fn typed(&self, about: About, text: &str) -> String {
        let unit = match about {
            About::Open | About::Gauge => self.gauge.unit.symbol(),
            About::Temperature => self.units.temperature_symbol(),
            About::Air => self.units.pressure.symbol(),
        };
        format!("{text}\u{a0}{unit}")
    }

    fn pressure(&self, pa: f64) -> String {
        let unit = self.gauge.unit;
        let value = unit.from_pa(pa);
        // What was typed comes back as it was typed: 1985, not 1990.
        let digits = if value.abs() >= 1_000.0 { 4 } else { 3 };
        format!("{}\u{a0}{}", self.units.plain(value, digits), unit.symbol())
    }

    fn name(&self, at: usize) -> String {
        self.others
            .get(at)
            .map_or_else(String::new, |id| enclosure_name(self.gauge.rig, id))
    }

    fn sentence(&self, d: &Doubt) -> String {
        let mut out = vec![self.odd(d)];
        out.extend(d.slip.map(|s| self.slip(s, d.about)));
        if !d.impossible {
            out.push(self.texts.get("error_is_it_so"));
        }
        out.retain(|s| !s.is_empty());
        out.join(" ")
    }

    fn odd(&self, d: &Doubt) -> String {
        let with = |key: &str, value: String| self.texts.say(key, &[("value", (&value).into())]);
        match d.odd {
            Odd::NoZero if d.impossible => self.texts.get("error_doubt_no_zero"),
            Odd::NoZero => self.texts.get("error_doubt_zero_off"),
            Odd::Deep(pa) => with("error_doubt_deep", self.pressure(pa)),
            Odd::Much(pa) => with("error_doubt_much", self.pressure(pa)),
            Odd::NoVacuum(_) => self.texts.get("error_doubt_no_vacuum"),
            Odd::Little(pa) => with("error_doubt_little", self.pressure(pa)),
            Odd::Above(pa) => with("error_doubt_above", self.pressure(pa)),
            Odd::Fell(pa) => with("error_doubt_fell", self.pressure(pa)),
            Odd::Grew(pa) => with("error_doubt_grew", self.pressure(pa)),
            Odd::Less(pa) => with("error_doubt_less", self.pressure(pa)),
            Odd::More(pa) => with("error_doubt_more", self.pressure(pa)),
            Odd::Another(_) => self.texts.get("error_doubt_jump"),
            Odd::Temperature => self.texts.get("error_doubt_temperature"),
            Odd::Warmed(k) => {
                let (degrees, unit) = if self.units.fahrenheit {
                    (k.abs() * 1.8, "°F")
                } else {
                    (k.abs(), "K")
                };
                with(
                    "error_doubt_warmed",
                    format!("{}\u{a0}{unit}", self.units.plain(degrees, 2)),
                )
            }
            Odd::Air => self.texts.get("error_doubt_air"),
            Odd::UnusualAir => self.texts.get("error_doubt_air_unusual"),
            Odd::AirMoved(pa) => {
                let unit = self.units.pressure;
                let moved = format!(
                    "{}\u{a0}{}",
                    self.units.plain(unit.from_pa(pa.abs()), 2),
                    unit.symbol()
                );
                with("error_doubt_air_moved", moved)
            }
        }
    }

    fn slip(&self, slip: Slip, about: About) -> String {
        match slip {
            Slip::OtherKind if self.gauge.absolute => self.texts.get("error_slip_kind_below"),
            Slip::OtherKind => self.texts.get("error_slip_kind_absolute"),
            Slip::Unit(u) => self
                .texts
                .say("error_slip_unit", &[("unit", u.symbol().into())]),
            Slip::Sign => self.texts.get("error_slip_sign"),
            Slip::Decimal if about == About::Gauge => self.texts.get("error_slip_decimal_or_unit"),
            Slip::Decimal => self.texts.get("error_slip_decimal"),
            Slip::Another(i) => self
                .texts
                .say("error_slip_another", &[("name", (&self.name(i)).into())]),
            Slip::Fahrenheit => self.texts.get("error_slip_fahrenheit"),
            Slip::Celsius => self.texts.get("error_slip_celsius"),
        }
    }
}
