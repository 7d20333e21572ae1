//! Weighing a part in air and hanging in water.

use super::super::common::{FieldValue, Outcome};
use super::super::cx::{Typed, done, fault};
use super::super::desk::Desk;
use super::super::keys;
use super::super::spec::{Spec, draw, must_num, num, one_of, read};
use super::super::trim_words::preset_name;
use super::kind::{Drawn, Of};
use super::path::no_part;
use super::round_to;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{Part, Weighed};
use slackwater_domain::state::RigFacts;
use slackwater_domain::trim::{by_weighing, preset_water};
use slackwater_physics::trim::{PartError, Quantity};
use slackwater_physics::water::{preset, presets};

const IN_AIR: &str = "in_air_g";
const IN_WATER: &str = "in_water_g";
const SINKER: &str = "sinker_g";
const SCALE: &str = "scale_sd_g";
const DENSITY: &str = "water_kg_m3";

/// The water whose density is typed.
const KNOWN: &str = "known";

/// How well a typed density is known, kg/m³ (common practice: a hydrometer's step).
const KNOWN_SD_KG_M3: f64 = 0.5;

/// A weighing in the making.
#[derive(Debug, Clone, PartialEq)]
struct Making {
    readings: Weighed,
    /// Key of the water.
    water: String,
}

impl Making {
    fn of(readings: Weighed) -> Making {
        Making {
            readings,
            water: KNOWN.to_owned(),
        }
    }

    fn new() -> Making {
        let unknown = f64::NAN;
        Making::of(Weighed {
            in_air_g: unknown,
            in_water_g: unknown,
            sinker_g: None,
            scale_sd_g: unknown,
            water_kg_m3: unknown,
            water_sd_kg_m3: unknown,
        })
    }
}

fn fields(of: Of<'_>) -> [Spec<'_, Making>; 6] {
    let water = |word: &str, name: String| (word.to_owned(), word.to_owned(), name);
    let mut waters: Vec<(String, String, String)> = presets()
        .iter()
        .map(|p| water(&p.key, preset_name(of.cx, &p.key)))
        .collect();
    waters.push(water(KNOWN, of.t("screen_edit_weigh_known")));
    [
        must_num(
            IN_AIR,
            of.t("screen_edit_weigh_air"),
            "g",
            |m: &Making| m.readings.in_air_g,
            |m, v| m.readings.in_air_g = v,
        )
        .check(|_, _, v| above_zero(v)),
        must_num(
            IN_WATER,
            of.t("screen_edit_weigh_water"),
            "g",
            |m: &Making| m.readings.in_water_g,
            |m, v| m.readings.in_water_g = v,
        )
        .hint(of.t("screen_edit_weigh_water_hint")),
        num(
            SINKER,
            of.t("screen_edit_weigh_sinker"),
            "g",
            |m: &Making| m.readings.sinker_g,
            |m, v| m.readings.sinker_g = v,
        )
        .hint(of.t("screen_edit_weigh_sinker_hint")),
        must_num(
            SCALE,
            of.t("screen_edit_weigh_scale"),
            "g",
            |m: &Making| m.readings.scale_sd_g,
            |m, v| m.readings.scale_sd_g = v,
        )
        .check(|_, _, v| above_zero(v))
        .starts_at(5.0)
        .hint(of.t("screen_edit_weigh_scale_hint")),
        one_of(
            keys::WATER,
            of.t("screen_edit_weigh_in"),
            waters,
            None,
            |m: &Making| m.water.clone(),
            |m, v| m.water = v,
        )
        .starts("fresh")
        .must(),
        num(
            DENSITY,
            of.t("screen_edit_weigh_density"),
            "kg/m³",
            |m: &Making| Some(m.readings.water_kg_m3),
            |m, v| m.readings.water_kg_m3 = v.unwrap_or(f64::NAN),
        )
        .must_if(|m| m.water == KNOWN)
        .hint(of.t("screen_edit_weigh_density_hint")),
    ]
}

fn above_zero(v: f64) -> Option<&'static str> {
    (v <= 0.0).then_some("error_above_zero")
}

fn part_of<'a>(of: Of<'a>, id: &str) -> Option<&'a Part> {
    of.def().parts.iter().find(|p| p.id == id)
}

/// The form of a part's weighing.
pub(super) fn form(of: Of<'_>, id: &str) -> Option<Drawn> {
    let p = part_of(of, id)?;
    let stood = p.weighed.map(Making::of);
    let fields = draw(&fields(of), &of.cx.units, stood.as_ref());
    let title = format!("{}: {}", p.name, of.t("action_weigh"));
    Some(Drawn::of(title, fields))
}

/// The weighing that was typed. What is wrong is noted.
pub(super) fn weighed(of: Of<'_>, before: Option<Weighed>, typed: &mut Typed<'_>) -> Weighed {
    let stood = before.map(Making::of);
    let mut making = stood.clone().unwrap_or_else(Making::new);
    read(
        &fields(of),
        &of.cx.units,
        typed,
        stood.as_ref(),
        &mut making,
    );
    let mut readings = making.readings;
    let found = preset(&making.water).ok();
    if let Some(water) = found.and_then(|p| preset_water(p, 0.0).ok()) {
        (readings.water_kg_m3, readings.water_sd_kg_m3) = (water.kg_m3, water.sd_kg_m3);
    } else {
        // Kept with its own uncertainty where it is the one that was there.
        let same = before.filter(|b| (b.water_kg_m3 - readings.water_kg_m3).abs() < 0.01);
        readings.water_sd_kg_m3 = same.map_or(KNOWN_SD_KG_M3, |b| b.water_sd_kg_m3);
    }
    readings
}

/// Takes mass and volume of a part from a weighing.
pub(super) fn act(
    desk: &mut Desk,
    facts: &RigFacts,
    id: &str,
    values: &[FieldValue],
) -> Result<Outcome, BookFault> {
    let mut typed = Typed::new(desk.texts, values);
    let mut def = facts.def.clone();
    let part = def.parts.iter_mut().find(|p| p.id == id);
    let part = part.ok_or_else(|| no_part(id))?;
    let readings = {
        let cx = &desk.cx()?;
        weighed(Of { cx, rig: facts }, part.weighed, &mut typed)
    };
    if let Some(wrong) = typed.faults() {
        return Ok(wrong);
    }
    let got = match by_weighing(&part.name, &readings) {
        Ok(got) => got,
        Err(e) => return Ok(fault(field_of(&e), desk.cx()?.faults().part(&e))),
    };
    let (mass, mass_sd) = (got.mass_kg.value * 1e3, got.mass_kg.sd * 1e3);
    let (volume, volume_sd) = (got.volume_m3.value * 1e6, got.volume_m3.sd * 1e6);
    part.mass_g = round_to(mass, 1);
    part.volume_cm3 = round_to(volume, 1);
    part.mass_sd_g = Some(round_to(mass_sd, 1));
    part.volume_sd_cm3 = Some(round_to(volume_sd, 1));
    part.weighed = Some(readings);
    part.inside = false;
    let recorded = desk.book.edit_rig(&facts.id, def)?;
    let units = desk.cx()?.units;
    let measured = |value: f64, sd: f64, unit: &str| {
        let shown = units.deserved(value, sd);
        let take = units.significant(2.0 * sd, 1);
        (
            format!("{shown}\u{a0}{unit}"),
            format!("{take}\u{a0}{unit}"),
        )
    };
    let (mass, mass_take) = measured(mass, mass_sd, "g");
    let (volume, volume_take) = measured(volume, volume_sd, "cm³");
    let said = desk.texts.say(
        "screen_edit_said_weighed",
        &[
            ("mass", (&mass).into()),
            ("mass_take", (&mass_take).into()),
            ("volume", (&volume).into()),
            ("volume_take", (&volume_take).into()),
        ],
    );
    Ok(Outcome {
        leave: true,
        ..done(recorded, said)
    })
}

/// The field that a fault of the sum stands at.
fn field_of(fault: &PartError) -> &'static str {
    let PartError::Range { quantity, .. } = fault else {
        return IN_WATER;
    };
    match quantity {
        Quantity::WaterDensity | Quantity::WaterDensityUncertainty | Quantity::AirDensity => {
            DENSITY
        }
        Quantity::WeightInAir => IN_AIR,
        Quantity::SinkerInWater => SINKER,
        Quantity::ReadingUncertainty => SCALE,
        _ => IN_WATER,
    }
}
