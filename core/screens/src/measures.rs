//! Numbers with their units, in the crew's choice, with the digits they deserve.

use std::collections::HashMap;

use super::common::Quantity;
use super::keys;
use super::texts::Texts;
use slackwater_physics::units::{
    PressureUnit, celsius_to_k, fahrenheit_to_k, k_to_celsius, k_to_fahrenheit,
};

/// Joins a number and its unit so that no line breaks between them.
pub const NBSP: char = '\u{a0}';

/// Feet in a metre (international foot, 0.3048 m exactly; NIST SP 811).
const FT_PER_M: f64 = 1.0 / 0.3048;
/// US fluid ounces in a millilitre (29.573 529 562 5 mL exactly; NIST SP 811).
const FLOZ_PER_ML: f64 = 1.0 / 29.573_529_562_5;

/// Grams in an avoirdupois ounce (exact by the 1959 international agreement; NIST SP 811).
const G_PER_OZ: f64 = 28.349_523_125;

/// The crew's units, one choice a quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Units {
    /// Pressure.
    pub pressure: PressureUnit,
    /// Temperature in °F (else °C).
    pub fahrenheit: bool,
    /// Depth in feet (else metres).
    pub feet: bool,
    /// Water in fluid ounces (else millilitres).
    pub fluid_ounces: bool,
    /// Trim weights and what a scale shows under water in ounces (else grams).
    pub ounces: bool,
    /// The sign before the parts of one: the language's ([`Texts::decimal`]).
    pub decimal: char,
}

impl Default for Units {
    fn default() -> Units {
        Units {
            pressure: PressureUnit::Mbar,
            fahrenheit: false,
            feet: false,
            fluid_ounces: false,
            ounces: false,
            decimal: '.',
        }
    }
}

impl Units {
    /// From the crew's choices, as the language writes numbers; what isn't chosen is metric.
    pub fn of(choices: &HashMap<String, String>, texts: &Texts) -> Units {
        let is = |key: &str, value: &str| choices.get(key).is_some_and(|v| v == value);
        Units {
            pressure: choices
                .get(keys::UNIT_PRESSURE)
                .and_then(|v| PressureUnit::from_symbol(v))
                .unwrap_or(PressureUnit::Mbar),
            fahrenheit: is(keys::UNIT_TEMPERATURE, "F"),
            feet: is(keys::UNIT_DEPTH, "ft"),
            fluid_ounces: is(keys::UNIT_WATER, "fl oz"),
            ounces: is(keys::UNIT_WEIGHT, "oz"),
            decimal: texts.decimal(),
        }
    }

    /// A number as Rust writes it, with the language's decimal sign. The one door by which a number comes
    /// into a text for people: files that programs read don't go through it.
    pub fn number(&self, written: &str) -> String {
        match self.decimal {
            '.' => written.to_owned(),
            mark => written.replace('.', mark.encode_utf8(&mut [0; 4])),
        }
    }

    /// What a step measured, as it is on record ('16.4 V'); other words as they stand.
    pub fn recorded(&self, value: &str) -> String {
        match value.split_once(NBSP) {
            Some((number, unit)) if number.parse::<f64>().is_ok() => {
                format!("{}{NBSP}{unit}", self.number(number))
            }
            _ => value.to_owned(),
        }
    }

    /// As [`significant`], in the language's way.
    pub fn significant(&self, value: f64, digits: i32) -> String {
        self.number(&significant(value, digits))
    }

    /// As [`plain`], in the language's way.
    pub fn plain(&self, value: f64, digits: i32) -> String {
        self.number(&plain(value, digits))
    }

    /// As [`rounded`], in the language's way.
    pub fn rounded(&self, value: f64, sd: f64) -> String {
        self.number(&rounded(value, sd))
    }

    /// As [`deserved`], in the language's way.
    pub fn deserved(&self, value: f64, sd: f64) -> String {
        self.number(&deserved(value, sd))
    }

    /// As [`scientific`], in the language's way.
    pub fn scientific(&self, value: f64) -> String {
        self.number(&scientific(value))
    }

    /// With so many digits behind the decimal sign.
    pub fn fixed(&self, value: f64, decimals: usize) -> String {
        self.number(&format!("{value:.decimals$}"))
    }

    /// '4.1 MB', with the digits that tell two photos apart.
    pub fn file_size(&self, bytes: u64) -> String {
        let mb = bytes as f64 / 1e6;
        if mb >= 0.1 {
            format!("{}{NBSP}MB", self.fixed(mb, 1))
        } else {
            format!("{}{NBSP}kB", self.fixed(bytes as f64 / 1e3, 1))
        }
    }

    /// Symbol of temperature.
    pub fn temperature_symbol(&self) -> &'static str {
        if self.fahrenheit { "°F" } else { "°C" }
    }

    /// Symbol of depth.
    pub fn depth_symbol(&self) -> &'static str {
        if self.feet { "ft" } else { "m" }
    }

    /// Symbol of water volume.
    pub fn water_symbol(&self) -> &'static str {
        if self.fluid_ounces { "fl oz" } else { "mL" }
    }

    /// K from what was typed.
    pub fn to_k(&self, value: f64) -> f64 {
        if self.fahrenheit {
            fahrenheit_to_k(value)
        } else {
            celsius_to_k(value)
        }
    }

    /// The crew's degrees in a kelvin.
    pub fn degrees_per_k(&self) -> f64 {
        if self.fahrenheit { 1.8 } else { 1.0 }
    }

    /// What is shown, from K.
    pub fn from_k(&self, k: f64) -> f64 {
        if self.fahrenheit {
            k_to_fahrenheit(k)
        } else {
            k_to_celsius(k)
        }
    }

    /// Metres from what was typed.
    pub fn to_m(&self, value: f64) -> f64 {
        if self.feet { value / FT_PER_M } else { value }
    }

    /// What is shown, from metres.
    pub fn from_m(&self, m: f64) -> f64 {
        if self.feet { m * FT_PER_M } else { m }
    }

    /// mL from what was typed.
    pub fn to_ml(&self, value: f64) -> f64 {
        if self.fluid_ounces {
            value / FLOZ_PER_ML
        } else {
            value
        }
    }

    /// What is shown, from mL.
    pub fn from_ml(&self, ml: f64) -> f64 {
        if self.fluid_ounces {
            ml * FLOZ_PER_ML
        } else {
            ml
        }
    }

    /// '8 mL', to two digits: an amount of water in a sentence.
    pub fn water(&self, ml: f64) -> String {
        format!(
            "{}{NBSP}{}",
            self.significant(self.from_ml(ml), 2),
            self.water_symbol()
        )
    }

    /// A leak that may be so large at most, rounded up. Not beyond a limit that it is below.
    pub fn water_at_most(&self, ml: f64, limit_ml: f64) -> String {
        let up = up_to_digits(self.from_ml(ml), 2);
        if ml <= limit_ml && up > self.from_ml(limit_ml) {
            return self.water(limit_ml);
        }
        format!("{}{NBSP}{}", self.plain(up, 2), self.water_symbol())
    }

    /// A leak that is at least so large, rounded down.
    pub fn water_at_least(&self, ml: f64) -> String {
        let down = down_to_digits(self.from_ml(ml), 2);
        format!("{}{NBSP}{}", self.plain(down, 2), self.water_symbol())
    }

    /// '20 m'.
    pub fn depth(&self, m: f64) -> String {
        format!(
            "{}{NBSP}{}",
            self.plain(self.from_m(m), 3),
            self.depth_symbol()
        )
    }

    /// '24.6 °C'.
    pub fn temperature(&self, k: f64) -> String {
        format!(
            "{}{NBSP}{}",
            self.temperature_value(k),
            self.temperature_symbol()
        )
    }

    /// The digits alone: '24.6'.
    pub fn temperature_value(&self, k: f64) -> String {
        self.rounded(self.from_k(k), 0.1)
    }

    /// Symbol of small masses, and of forces as a scale shows them.
    pub fn weight_symbol(&self) -> &'static str {
        if self.ounces { "oz" } else { "g" }
    }

    /// What is shown, from g.
    pub fn from_g(&self, g: f64) -> f64 {
        if self.ounces { g / G_PER_OZ } else { g }
    }

    /// g from what was typed.
    pub fn to_g(&self, value: f64) -> f64 {
        if self.ounces { value * G_PER_OZ } else { value }
    }

    /// '100 g', '8 oz': a weight as it is called.
    pub fn weight(&self, g: f64) -> String {
        let digits = if self.ounces { 3 } else { 6 };
        format!(
            "{}{NBSP}{}",
            self.plain(self.from_g(g), digits),
            self.weight_symbol()
        )
    }

    /// '2 × 100 g'.
    pub fn weights(&self, g: f64, count: u32) -> String {
        if count == 1 {
            self.weight(g)
        } else {
            format!("{count}{NBSP}×{NBSP}{}", self.weight(g))
        }
    }

    /// '100 g', and for what isn't lead its volume too: '20 g, 200 cm³'.
    pub fn weight_named(&self, g: f64, volume_cm3: Option<f64>) -> String {
        match volume_cm3 {
            None => self.weight(g),
            Some(v) => format!("{}, {}{NBSP}cm³", self.weight(g), self.plain(v, 4)),
        }
    }

    /// '310 g' of force, as a scale under water shows it, to the digits that a standard uncertainty
    /// leaves.
    pub fn force(&self, gf: f64, sd_gf: f64) -> String {
        let text = self.deserved(self.from_g(gf), self.from_g(sd_gf));
        format!("{text}{NBSP}{}", self.weight_symbol())
    }

    /// The same to two digits: an amount that is itself an uncertainty or a remainder.
    pub fn force_about(&self, gf: f64) -> String {
        let text = self.significant(self.from_g(gf), 2);
        format!("{text}{NBSP}{}", self.weight_symbol())
    }

    /// '50 g', to one digit: how unsure a force is.
    pub fn force_unsure(&self, gf: f64) -> String {
        let text = self.significant(self.from_g(gf), 1);
        format!("{text}{NBSP}{}", self.weight_symbol())
    }

    /// '+310 g': how much more it floats.
    pub fn lift(&self, gf: f64) -> String {
        let sign = if gf < 0.0 { '\u{2212}' } else { '+' };
        format!("{sign}{}", self.force_about(gf.abs()))
    }

    /// '187.2 mbar' to the digits that a standard uncertainty leaves.
    pub fn pressure(&self, pa: f64, sd_pa: f64) -> String {
        format!(
            "{}{NBSP}{}",
            self.pressure_value(pa, sd_pa),
            self.pressure.symbol()
        )
    }

    /// The digits alone.
    pub fn pressure_value(&self, pa: f64, sd_pa: f64) -> String {
        self.rounded(self.pressure.from_pa(pa), self.pressure.from_pa(sd_pa))
    }
}

/// What a number is typed in, and the way from there to what is recorded, and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unit {
    /// This symbol, whatever the crew's units are; empty for a count. Recorded as typed.
    Plain(&'static str),
    /// Percent; recorded as a share of 1.
    Percent,
    /// The crew's unit of depth; recorded in m.
    Depth,
    /// The crew's unit of water; recorded in mL.
    Water,
    /// The crew's unit of trim weights; recorded in g.
    Weight,
    /// The crew's unit of pressure; recorded in Pa.
    Pressure,
    /// The crew's degrees; recorded in K.
    Temperature,
    /// The crew's degrees, of water; recorded in °C.
    WaterTemperature,
    /// The crew's degrees, of a difference; recorded in K.
    Degrees,
    /// None is said: another field says it, or none is needed. Recorded as typed.
    Unsaid,
}

impl From<&'static str> for Unit {
    fn from(symbol: &'static str) -> Unit {
        Unit::Plain(symbol)
    }
}

impl Unit {
    /// Its symbol.
    pub fn symbol(self, units: &Units) -> &'static str {
        match self {
            Unit::Plain(symbol) => symbol,
            Unit::Percent => "%",
            Unit::Depth => units.depth_symbol(),
            Unit::Water => units.water_symbol(),
            Unit::Weight => units.weight_symbol(),
            Unit::Pressure => units.pressure.symbol(),
            Unit::Temperature | Unit::WaterTemperature | Unit::Degrees => {
                units.temperature_symbol()
            }
            Unit::Unsaid => "",
        }
    }

    /// What is shown, from what is recorded.
    pub fn shown(self, units: &Units, recorded: f64) -> f64 {
        match self {
            Unit::Plain(_) | Unit::Unsaid => recorded,
            Unit::Percent => recorded * 100.0,
            Unit::Depth => units.from_m(recorded),
            Unit::Water => units.from_ml(recorded),
            Unit::Weight => units.from_g(recorded),
            Unit::Pressure => units.pressure.from_pa(recorded),
            Unit::Temperature => units.from_k(recorded),
            Unit::WaterTemperature => units.from_k(recorded + 273.15),
            Unit::Degrees => recorded * units.degrees_per_k(),
        }
    }

    /// What is recorded, from what was typed.
    pub fn recorded(self, units: &Units, typed: f64) -> f64 {
        match self {
            Unit::Plain(_) | Unit::Unsaid => typed,
            Unit::Percent => typed / 100.0,
            Unit::Depth => units.to_m(typed),
            Unit::Water => units.to_ml(typed),
            Unit::Weight => units.to_g(typed),
            Unit::Pressure => units.pressure.to_pa(typed),
            Unit::Temperature => units.to_k(typed),
            Unit::WaterTemperature => units.to_k(typed) - 273.15,
            Unit::Degrees => typed / units.degrees_per_k(),
        }
    }
}

/// From here on a number is written with a power of ten: nothing that a crew measures is so large, and
/// a row of digits would hide that.
const LONGEST: f64 = 1e7;

/// Rounded to so many significant digits, with an exponent only where it is absurdly large, and never
/// '-0'.
fn significant(value: f64, digits: i32) -> String {
    if !value.is_finite() {
        return "?".into();
    }
    if value == 0.0 {
        return "0".into();
    }
    if value.abs() >= LONGEST {
        return scientific(value);
    }
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = (digits - 1 - magnitude).clamp(0, 6) as usize;
    let scale = 10f64.powi((magnitude - digits + 1).max(0));
    // Above its last digit a number is rounded by hand; below, by the formatter.
    let value = if scale > 1.0 {
        (value / scale).round() * scale
    } else {
        value
    };
    format!("{value:.decimals$}")
}

/// To two digits, with a power of ten where it is far from 1: '3.4·10⁻⁵'.
fn scientific(value: f64) -> String {
    if !value.is_finite() {
        return "?".into();
    }
    if value == 0.0 || (0.01..1_000.0).contains(&value.abs()) {
        return significant(value, 2);
    }
    let text = format!("{value:.1e}");
    let (digits, power) = text.split_once('e').unwrap_or((&text, "0"));
    let power: String = power
        .chars()
        .map(|c| match c {
            '-' => '⁻',
            '1' => '¹',
            '2' => '²',
            '3' => '³',
            // ⁰ and ⁴ to ⁹ lie together (Unicode, superscripts and subscripts).
            c => char::from_u32(0x2070 + c.to_digit(10).unwrap_or(0)).unwrap_or(c),
        })
        .collect();
    format!("{digits}·10{power}")
}

/// Rounded up to so many significant digits: a bound that is said to be smaller than it is would be none.
fn up_to_digits(value: f64, digits: i32) -> f64 {
    let Some(step) = step_of_digits(value, digits) else {
        return value;
    };
    // A hair above a round number is that number.
    (value / step - 1e-6).ceil() * step
}

/// The largest number of so many digits that is not above it.
fn down_to_digits(value: f64, digits: i32) -> f64 {
    let Some(step) = step_of_digits(value, digits) else {
        return value;
    };
    (value / step + 1e-6).floor() * step
}

/// What the last of so many digits counts; none of what has no digits that lead.
fn step_of_digits(value: f64, digits: i32) -> Option<f64> {
    let has = value.is_finite() && value > 0.0;
    has.then(|| 10f64.powi(value.log10().floor() as i32 - digits + 1))
}

/// As [`significant`], without zeros at the end: a number that a person set ('60', '2.5').
fn plain(value: f64, digits: i32) -> String {
    let text = significant(value, digits);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Rounded where its standard uncertainty begins: its first digit is the last shown.
fn rounded(value: f64, sd: f64) -> String {
    if !value.is_finite() {
        return "?".into();
    }
    if value.abs() >= LONGEST {
        return scientific(value);
    }
    let decimals = if sd.is_finite() && sd > 0.0 {
        (-(sd.log10().floor() as i32)).clamp(0, 4) as usize
    } else {
        1
    };
    let text = format!("{value:.decimals$}");
    if text.trim_start_matches(['-', '0', '.']).is_empty() {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

/// As [`rounded`], and above the point too: '1200' where hundreds are all that is known.
fn deserved(value: f64, sd: f64) -> String {
    if !(value.is_finite() && sd.is_finite() && sd >= 10.0) {
        return rounded(value, sd);
    }
    let step = 10f64.powf(sd.log10().floor());
    rounded((value / step).round() * step, 1.0)
}

/// Whether a field holds what it was filled in with, with either sign: what was not touched is not rounded by the way
/// it is shown.
pub fn untouched(shown: &str, typed: &str) -> bool {
    shown.replace(',', ".") == typed.replace(',', ".")
}

/// A number as a person types it: comma or point, spaces, a unit behind it left out.
///
/// # Errors
/// The key of the text that says what is wrong.
pub fn number(typed: &str) -> Result<f64, &'static str> {
    let text: String = typed
        .trim()
        .chars()
        .filter(|c| !matches!(*c, ' ' | NBSP | '\u{202f}'))
        .collect();
    let text = text.replace('\u{2212}', "-");
    if text.is_empty() {
        return Err("error_number_wanted");
    }
    // One separator is the decimal one, whichever it is; two kinds or more can't be told apart.
    let (commas, points) = (text.matches(',').count(), text.matches('.').count());
    if commas + points > 1 {
        return Err("error_number_two_separators");
    }
    match text.replace(',', ".").parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err("error_not_a_number"),
    }
}

/// A quantity without uncertainty.
pub fn exact(label: String, value: String, unit: &str) -> Quantity {
    let spoken = if unit.is_empty() {
        format!("{label}: {value}")
    } else {
        format!("{label}: {value}{NBSP}{unit}")
    };
    Quantity {
        label,
        value,
        unit: unit.to_owned(),
        uncertainty: None,
        spoken,
    }
}

/// A quantity with 'give or take'.
pub fn uncertain(
    texts: &Texts,
    label: String,
    value: String,
    unit: &str,
    give_or_take: &str,
) -> Quantity {
    let words = texts.say("common_give_or_take", &[("amount", give_or_take.into())]);
    let spoken = format!("{label}: {value}{NBSP}{unit}, {words}");
    Quantity {
        label,
        value,
        unit: unit.to_owned(),
        uncertainty: Some(words),
        spoken,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_absurd_number_is_short() {
        // Seen: 309 digits.
        for text in [
            significant(1e308, 2),
            plain(-1e308, 3),
            rounded(1e308, 0.1),
            deserved(1e308, 1e300),
            rounded(9e15, f64::NAN),
        ] {
            assert!(text.chars().count() < 12, "{text}");
        }
        assert_eq!(significant(4.3e7, 2), "4.3·10⁷");
        assert_eq!(plain(9_999_999.0, 7), "9999999");
        assert_eq!(rounded(f64::INFINITY, 1.0), "?");
    }

    #[test]
    fn digits_are_those_deserved() {
        assert_eq!(significant(0.034_56, 2), "0.035");
        assert_eq!(significant(8.04, 2), "8.0");
        assert_eq!(significant(14.6, 2), "15");
        assert_eq!(significant(1_234.0, 2), "1200");
        assert_eq!(significant(-0.5, 1), "-0.5");
        assert_eq!(significant(0.0, 2), "0");
        let metric = Units::default();
        let at_most = |ml: f64, limit: f64| metric.water_at_most(ml, limit);
        assert_eq!(at_most(24.1, 60.0), "25\u{a0}mL");
        assert_eq!(at_most(0.301, 0.5), "0.31\u{a0}mL");
        assert_eq!(at_most(60.0, 60.0), "60\u{a0}mL");
        assert_eq!(at_most(99.2, 60.0), "100\u{a0}mL");
        assert_eq!(at_most(1_210.0, 60.0), "1300\u{a0}mL");
        // The limit itself, as it is shown, where rounding would pass it.
        assert_eq!(at_most(55.2, 55.4), metric.water(55.4));
        let at_least = |ml: f64| metric.water_at_least(ml);
        assert_eq!(at_least(24.9), "24\u{a0}mL");
        assert_eq!(at_least(0.309), "0.3\u{a0}mL");
        assert_eq!(at_least(60.0), "60\u{a0}mL");
        assert_eq!(at_least(0.0), "0\u{a0}mL");
        assert_eq!(plain(60.0, 3), "60");
        assert_eq!(plain(2.50, 3), "2.5");
        assert_eq!(plain(1_200.0, 2), "1200");
        assert_eq!(rounded(187.234, 0.4), "187.2");
        assert_eq!(rounded(187.234, 3.0), "187");
        assert_eq!(rounded(-0.04, 0.3), "0.0");
        assert_eq!(rounded(f64::NAN, 0.3), "?");
        assert_eq!(scientific(3.44e-5), "3.4·10⁻⁵");
        assert_eq!(scientific(2e12), "2.0·10¹²");
        assert_eq!(scientific(0.034_4), "0.034");
        assert_eq!(scientific(0.0), "0");
    }

    #[test]
    fn numbers_are_read_as_people_type_them() {
        assert_eq!(number("187,2"), Ok(187.2));
        assert_eq!(number(" 1 013.2 "), Ok(1013.2));
        assert_eq!(number("\u{2212}4"), Ok(-4.0));
        assert_eq!(number(""), Err("error_number_wanted"));
        assert_eq!(number("1.013,2"), Err("error_number_two_separators"));
        assert_eq!(number("NaN"), Err("error_not_a_number"));
        assert_eq!(number("inf"), Err("error_not_a_number"));
        assert_eq!(number("12 mbar"), Err("error_not_a_number"));
    }

    #[test]
    fn a_number_has_the_sign_of_the_language_and_is_read_back() {
        let comma = Units {
            decimal: ',',
            ..Units::default()
        };
        assert_eq!(comma.significant(0.034_56, 2), "0,035");
        assert_eq!(comma.plain(2.50, 3), "2,5");
        assert_eq!(comma.rounded(-187.26, 0.1), "-187,3");
        assert_eq!(comma.deserved(1_234.5, 10.0), "1230");
        assert_eq!(comma.scientific(3.4e-5), "3,4·10⁻⁵");
        assert_eq!(comma.fixed(1.0, 2), "1,00");
        assert_eq!(comma.file_size(4_120_000), "4,1\u{a0}MB");
        assert_eq!(comma.file_size(1_500), "1,5\u{a0}kB");
        assert_eq!(comma.temperature(297.75), "24,6\u{a0}°C");
        assert_eq!(comma.water(0.31), "0,31\u{a0}mL");
        assert_eq!(comma.recorded("16.4\u{a0}V"), "16,4\u{a0}V");
        assert_eq!(comma.recorded("version 16.4"), "version 16.4");
        assert_eq!(Units::default().fixed(1.0, 2), "1.00");
        for value in [0.001, 0.5, -12.25, 1013.25, 453.592, 1e6, 0.0] {
            let (en, es) = (Units::default().plain(value, 6), comma.plain(value, 6));
            assert_eq!(number(&en), number(&es));
            assert!(!es.contains('.') && !en.contains(','));
            assert!(untouched(&en, &es) && untouched(&es, &en));
        }
        assert!(!untouched("0,5", "0,6"));
    }

    #[test]
    fn units_go_there_and_back() {
        let imperial = Units {
            pressure: PressureUnit::InHg,
            fahrenheit: true,
            feet: true,
            fluid_ounces: true,
            ounces: true,
            decimal: '.',
        };
        for x in [0.5, 12.0, 60.0] {
            assert!((imperial.from_m(imperial.to_m(x)) - x).abs() < 1e-12);
            assert!((imperial.from_k(imperial.to_k(x)) - x).abs() < 1e-9);
            assert!((imperial.from_g(imperial.to_g(x)) - x).abs() < 1e-12);
            assert!((imperial.from_ml(imperial.to_ml(x)) - x).abs() < 1e-12);
        }
        assert_eq!(imperial.weights(453.592_37, 2), "2\u{a0}×\u{a0}16\u{a0}oz");
        assert_eq!(Units::default().weights(226.8, 1), "226.8\u{a0}g");
        assert_eq!(Units::default().lift(-312.4), "\u{2212}310\u{a0}g");
        assert_eq!(deserved(1_234.0, 220.0), "1200");
        assert_eq!(deserved(0.034, 0.4), "0.0");
        // 100 ft is 30.48 m by definition.
        assert!((imperial.to_m(100.0) - 30.48).abs() < 1e-12);
    }
}
