//! Names and fields that more than one screen shows: of enclosures, seals, controls, findings,
//! gauges, choices.

use super::common::{Field, FieldKind};
use super::cx::{Cx, FieldExt, Typed, field};
use super::measures::{NBSP, Units};
use super::times::span;
use slackwater_domain::book::SEAL_PARTS;
use slackwater_domain::crew::{ALONE, SIGNED_WITH, SignedWith};
use slackwater_domain::facts::{Finding, HoldResult, Loss, LossKind, RingLot, leak_is_seen};
use slackwater_domain::rig::{Control, Seal};
use slackwater_domain::rules::{Differs, Figure, MaterialDoubt, PastLimit};
use slackwater_domain::spares::{lot_until, today};
use slackwater_domain::state::{BoxLot, RECHECK_LIMIT, RigFacts, recheck_limit_ms};
use slackwater_physics::oring::{self, GreaseBase};
use slackwater_physics::units::PressureUnit;

/// Pressure units a gauge may show, as offered.
const GAUGE_UNITS: [PressureUnit; 5] = [
    PressureUnit::Mbar,
    PressureUnit::KPa,
    PressureUnit::InHg,
    PressureUnit::Psi,
    PressureUnit::MmHg,
];

/// An enclosure's name.
pub fn enclosure_name(rig: &RigFacts, id: &str) -> String {
    rig.def
        .enclosure(id)
        .map_or_else(|| id.to_owned(), |e| e.name.clone())
}

/// What a hold that holds says: 'Tight to 25 mL per dive', or how much it was seen to leak within its limit.
pub fn held_words(cx: &Cx<'_>, low_ml: f64, at_most_ml: f64, limit_ml: f64) -> String {
    let most = cx.units.water_at_most(at_most_ml, limit_ml);
    if leak_is_seen(low_ml, limit_ml) {
        let least = cx.units.water_at_least(low_ml);
        cx.say(
            "screen_hold_leaks_within",
            &[("least", (&least).into()), ("most", (&most).into())],
        )
    } else {
        cx.say("screen_hold_tight", &[("water", (&most).into())])
    }
}

/// As [`held_words`], of what was concluded.
pub fn held_result(cx: &Cx<'_>, r: &HoldResult) -> String {
    held_words(cx, r.low_ml, r.at_most(), r.limit_ml)
}

/// A seal's name with its enclosure's.
pub fn seal_name(rig: &RigFacts, id: &str) -> String {
    rig.def.seal(id).map_or_else(
        || id.to_owned(),
        |s| format!("{}, {}", s.name, enclosure_name(rig, &s.enclosure)),
    )
}

/// A control's function, or that it triggers recording.
pub fn function_of(cx: &Cx<'_>, control: &Control) -> String {
    if control.function.trim().is_empty() {
        cx.t("screen_rig_record_trigger")
    } else {
        control.function.clone()
    }
}

/// 'Fitted 371 days ago; the limit is 365 days'.
pub fn past_words(cx: &Cx<'_>, past: &PastLimit) -> String {
    match past {
        PastLimit::Days { age, limit } => cx.say(
            "screen_rig_past_days",
            &[
                ("age", (*age as usize).into()),
                ("limit", (*limit as usize).into()),
            ],
        ),
        PastLimit::Openings { count, limit } => cx.say(
            "screen_rig_past_openings",
            &[
                ("count", (*count as usize).into()),
                ("limit", (*limit as usize).into()),
            ],
        ),
        PastLimit::Dives { count, limit } => cx.say(
            "screen_rig_past_dives",
            &[
                ("count", (*count as usize).into()),
                ("limit", (*limit as usize).into()),
            ],
        ),
        PastLimit::Stored { until, fitted } => cx.say(
            "screen_rig_past_stored",
            &[
                ("until", (&until.to_string()).into()),
                ("fitted", (&fitted.to_string()).into()),
            ],
        ),
    }
}

/// What an edit took away: 'Port o-ring, Main housing taken off the rig; leak limit of …'.
pub fn losses_words(cx: &Cx<'_>, what: &[Loss]) -> String {
    if what.is_empty() {
        return cx.t("screen_loss_not_said");
    }
    let words: Vec<String> = what.iter().map(|l| loss_words(cx, l)).collect();
    words.join("; ")
}

/// What an edit took away, by whom and when, in a sentence.
pub fn took_away(cx: &Cx<'_>, what: &[Loss], who: &str, at_ms: i64) -> String {
    cx.say(
        "screen_rig_took_away",
        &[
            ("what", (&losses_words(cx, what)).into()),
            ("who", who.into()),
            ("when", (&cx.ago(at_ms)).into()),
        ],
    )
}

fn loss_words(cx: &Cx<'_>, loss: &Loss) -> String {
    let litres = |v: f64| format!("{}\u{a0}L", cx.units.plain(v, 3));
    let name = [("name", (&loss.name).into())];
    let (key, shown): (&str, &dyn Fn(f64) -> String) = match loss.kind {
        LossKind::Removed => return cx.say("screen_loss_removed", &name),
        LossKind::Unassigned => return cx.say("screen_loss_unassigned", &name),
        LossKind::LeakLimit => ("screen_loss_leak", &|v| cx.units.water(v)),
        LossKind::DepthRating => ("screen_loss_rating", &|v| cx.units.depth(v)),
        LossKind::RecheckLimit => ("screen_loss_recheck", &|v| span((v * 60_000.0) as i64)),
        LossKind::SealDays => ("screen_loss_days", &|v| cx.units.plain(v, 6)),
        LossKind::SealOpenings => ("screen_loss_openings", &|v| cx.units.plain(v, 6)),
        LossKind::SealDives => ("screen_loss_dives", &|v| cx.units.plain(v, 6)),
        LossKind::Volume => ("screen_loss_volume", &|v| litres(v)),
        LossKind::VolumeError => ("screen_loss_volume_error", &|v| litres(v)),
        LossKind::PlugStaysIn => return cx.say("screen_loss_plug", &name),
        LossKind::Elsewhere => return cx.say("screen_loss_elsewhere", &name),
        LossKind::Stored => return cx.say("screen_loss_stored", &name),
        LossKind::Added => return cx.say("screen_loss_added", &name),
        LossKind::OtherRing => return cx.say("screen_loss_other_ring", &name),
        LossKind::OtherLens => return cx.say("screen_loss_other_lens", &name),
        LossKind::RingCured => return cx.say("screen_loss_ring_cured", &name),
        LossKind::RingAge if loss.to.is_none() => {
            return cx.say("screen_loss_ring_unsaid", &name);
        }
        LossKind::RingAge => ("screen_loss_ring_age", &|v| cx.units.plain(v.floor(), 6)),
    };
    let limit = |v: Option<f64>| v.map_or_else(|| cx.t("screen_loss_none"), shown);
    let (from, to) = (limit(loss.from), limit(loss.to));
    cx.say(
        key,
        &[
            ("name", (&loss.name).into()),
            ("from", (&from).into()),
            ("to", (&to).into()),
        ],
    )
}

/// What was found on a ring, in words.
pub fn finding_name(cx: &Cx<'_>, finding: Finding) -> String {
    cx.t(match finding {
        Finding::Clean => "screen_seal_finding_clean",
        Finding::Hair => "screen_seal_finding_hair",
        Finding::Sand => "screen_seal_finding_sand",
        Finding::Nick => "screen_seal_finding_nick",
        Finding::Flat => "screen_seal_finding_flat",
        Finding::Swollen => "screen_seal_finding_swollen",
        Finding::Dry => "screen_seal_finding_dry",
    })
}

/// What a grease is based on, in words.
pub fn grease_name(cx: &Cx<'_>, grease: GreaseBase) -> String {
    cx.t(match grease {
        GreaseBase::Silicone => "screen_seal_grease_silicone",
        GreaseBase::Mineral => "screen_seal_grease_mineral",
        GreaseBase::Perfluoropolyether => "screen_seal_grease_pfpe",
    })
}

/// 'NBR (nitrile)', or the text where the material isn't known.
pub fn material_name(cx: &Cx<'_>, material: &str) -> String {
    let Ok(m) = oring::material(material) else {
        return material.to_owned();
    };
    let key = match m.code.as_str() {
        "NBR" => "screen_seal_material_nbr",
        "EPDM" => "screen_seal_material_epdm",
        "FKM" => "screen_seal_material_fkm",
        "VMQ" => "screen_seal_material_vmq",
        "CR" => "screen_seal_material_cr",
        "HNBR" => "screen_seal_material_hnbr",
        "AU" => "screen_seal_material_au",
        "NR" => "screen_seal_material_nr",
        "FFKM" => "screen_seal_material_ffkm",
        "SBR" => "screen_seal_material_sbr",
        // One that has no words yet is called as its data call it.
        _ => return format!("{} ({})", m.code, m.name),
    };
    format!("{} ({})", m.code, cx.t(key))
}

/// What speaks against a ring's material.
pub fn grease_words(cx: &Cx<'_>, def: &Seal, doubt: &MaterialDoubt) -> String {
    let material = material_name(cx, &def.material);
    match doubt {
        MaterialDoubt::Grease { grease, avoid } => cx.say(
            if *avoid {
                "screen_seal_grease_avoid"
            } else {
                "screen_seal_grease_caution"
            },
            &[
                ("grease", (&grease_name(cx, *grease)).into()),
                ("material", (&material).into()),
            ],
        ),
        MaterialDoubt::Temperature {
            water_c,
            min_c,
            max_c,
        } => {
            let shown = |c: f64| cx.units.temperature(c + 273.15);
            cx.say(
                "screen_seal_temperature",
                &[
                    ("water", (&shown(*water_c)).into()),
                    ("material", (&material).into()),
                    ("min", (&shown(*min_c)).into()),
                    ("max", (&shown(*max_c)).into()),
                ],
            )
        }
    }
}

/// The field of a material: those known, or none.
pub fn material_field(cx: &Cx<'_>, value: &str) -> Field {
    let code = oring::material(value).map_or("", |m| m.code.as_str());
    field(
        "material",
        cx.t("screen_seal_material"),
        FieldKind::Choice,
        code.to_owned(),
    )
    .choices(material_choices(cx))
}

/// The materials, by their codes; the last is that it isn't known.
pub fn material_choices(cx: &Cx<'_>) -> Vec<(&'static str, String)> {
    let mut choices: Vec<(&str, String)> = oring::materials()
        .iter()
        .map(|m| (m.code.as_str(), material_name(cx, &m.code)))
        .collect();
    choices.push(("", cx.t("screen_edit_not_known")));
    choices
}

/// The field of a cure date.
pub fn cured_fields(cx: &Cx<'_>) -> Vec<Field> {
    vec![
        field(
            "cured",
            cx.t("screen_seal_cured"),
            FieldKind::Text,
            String::new(),
        )
        .hint(cx.t("screen_seal_cured_hint")),
    ]
}

/// 'AS568-258, NBR 70'.
pub fn lot_name(cx: &Cx<'_>, lot: &RingLot) -> String {
    let mut name = lot.size.clone();
    if !lot.material.is_empty() {
        name.push_str(", ");
        name.push_str(&lot.material);
    }
    if lot.hardness_shore_a > 0 {
        let hardness = lot.hardness_shore_a.to_string();
        name.push_str(", ");
        name.push_str(&cx.say("screen_box_shore", &[("hardness", (&hardness).into())]));
    }
    name
}

/// '4 in the box; pack A1, cured 2Q25'.
pub fn lot_detail(cx: &Cx<'_>, lot: &BoxLot) -> String {
    let mut words = vec![if lot.count < 0 {
        cx.say(
            "screen_box_minus",
            &[("n", (lot.count.unsigned_abs() as usize).into())],
        )
    } else {
        cx.say("screen_box_in", &[("n", (lot.count as usize).into())])
    }];
    if !lot.lot.pack.is_empty() {
        words.push(cx.say("screen_box_pack", &[("pack", (&lot.lot.pack).into())]));
    }
    if !lot.lot.cured.is_empty() {
        words.push(cx.say("screen_box_cured", &[("cured", (&lot.lot.cured).into())]));
    }
    words.join(", ")
}

/// Until when the rings of a lot may be fitted; nothing where that isn't known.
pub fn lot_until_words(cx: &Cx<'_>, lot: &BoxLot) -> Option<String> {
    let day = today(cx.now);
    let (first, last) = (lot_until(lot, false)?, lot_until(lot, true)?);
    let (key, until) = if day > last {
        ("screen_box_too_old", last)
    } else if day > first {
        ("screen_box_inspect", first)
    } else {
        ("screen_box_until", first)
    };
    Some(cx.say(key, &[("until", (&until.to_string()).into())]))
}

/// A whole number from 0 to 100 000 that may be left out.
pub fn whole(typed: &mut Typed<'_>, key: &str) -> Option<u32> {
    let value = typed.may_number(key)?;
    if value.fract() != 0.0 || !(0.0..=100_000.0).contains(&value) {
        if value.is_finite() {
            typed.wrong(key, "error_whole_number");
        }
        return None;
    }
    Some(value as u32)
}

/// The words of the parts of a seal's service.
pub fn seal_part(cx: &Cx<'_>, part: &str) -> String {
    match SEAL_PARTS.iter().position(|p| *p == part) {
        Some(0) => cx.t("screen_seal_part_out"),
        Some(1) => cx.t("screen_seal_part_looked"),
        Some(2) => cx.t("screen_seal_part_cleaned"),
        Some(3) => cx.t("screen_seal_part_greased"),
        Some(_) => cx.t("screen_seal_part_back"),
        None => part.to_owned(),
    }
}

/// The fields of a finding.
pub fn finding_fields(cx: &Cx<'_>) -> Vec<Field> {
    vec![
        field(
            "finding",
            cx.t("screen_seal_finding"),
            FieldKind::Choice,
            "clean".into(),
        )
        .choices(
            Finding::ALL
                .iter()
                .map(|f| (f.key(), finding_name(cx, *f)))
                .collect(),
        )
        .must(),
        field(
            "note",
            cx.t("common_note"),
            FieldKind::LongText,
            String::new(),
        ),
    ]
}

/// The finding that a form names.
pub fn finding_of(key: &str) -> Option<Finding> {
    Finding::ALL.into_iter().find(|f| f.key() == key)
}

/// Every choice of a crew that this version knows, by its key.
pub const CHOICES: [&str; 12] = [
    RECHECK_LIMIT,
    "sd_inside_k",
    "sd_surface_k",
    "sd_air_k",
    "sd_barometer_pa",
    "unit_pressure",
    "unit_temperature",
    "unit_depth",
    "unit_water",
    "unit_weight",
    ALONE,
    SIGNED_WITH,
];

/// A choice's name, as people read it.
pub fn choice_name(cx: &Cx<'_>, choice: &str) -> String {
    cx.t(match choice {
        RECHECK_LIMIT => "screen_crew_recheck_limit",
        "sd_inside_k" => "screen_crew_choice_error_inside",
        "sd_surface_k" => "screen_crew_choice_error_surface",
        "sd_air_k" => "screen_crew_choice_error_air",
        "sd_barometer_pa" => "screen_crew_choice_error_barometer",
        "unit_pressure" => "screen_crew_choice_unit_pressure",
        "unit_temperature" => "screen_crew_choice_unit_temperature",
        "unit_depth" => "screen_crew_choice_unit_depth",
        "unit_water" => "screen_crew_choice_unit_water",
        "unit_weight" => "screen_crew_choice_unit_weight",
        ALONE => "screen_crew_alone",
        SIGNED_WITH => "screen_crew_signing",
        _ => "screen_crew_choice_unknown",
    })
}

/// What was chosen, with its unit, as people read it. What was never chosen is what then counts.
pub fn choice_value(cx: &Cx<'_>, choice: &str, value: &str) -> String {
    let number = |shown: &dyn Fn(f64) -> String| {
        let known = value.parse::<f64>().ok().filter(|v| v.is_finite());
        known.map_or_else(|| cx.t("screen_crew_choice_common"), shown)
    };
    let unit = |units: Units| match choice {
        "unit_pressure" => units.pressure.symbol(),
        "unit_temperature" => units.temperature_symbol(),
        "unit_depth" => units.depth_symbol(),
        "unit_water" => units.water_symbol(),
        _ => units.weight_symbol(),
    };
    match choice {
        RECHECK_LIMIT => span(recheck_limit_ms(Some(value))),
        "sd_inside_k" | "sd_surface_k" | "sd_air_k" => number(&|k| {
            let per = if cx.units.fahrenheit { 1.8 } else { 1.0 };
            format!(
                "{}{NBSP}{}",
                cx.units.plain(k * per, 3),
                cx.units.temperature_symbol()
            )
        }),
        "sd_barometer_pa" => number(&|pa| {
            let unit = cx.units.pressure;
            format!(
                "{}{NBSP}{}",
                cx.units.plain(unit.from_pa(pa), 3),
                unit.symbol()
            )
        }),
        ALONE => cx.t(if value == "yes" {
            "screen_crew_choice_yes"
        } else {
            "screen_crew_choice_no"
        }),
        SIGNED_WITH => cx.t(signed_with_key(SignedWith::of(value))),
        c if c.starts_with("unit_") => {
            let said = [(c.to_owned(), value.to_owned())].into_iter().collect();
            unit(Units::of(&said, cx.texts)).to_owned()
        }
        _ => cx.t("screen_crew_choice_other"),
    }
}

/// The words of what a second signature asks for.
pub fn signed_with_key(with: SignedWith) -> &'static str {
    match with {
        SignedWith::Name => "screen_crew_signing_name",
        SignedWith::Code => "screen_crew_signing_code",
        SignedWith::Phone => "screen_crew_signing_phone",
    }
}

/// 'depth rating of Main housing from 60 m to 80 m'.
pub fn figure_words(cx: &Cx<'_>, d: &Differs) -> String {
    let with = |text: String, unit: &str| format!("{text}{NBSP}{unit}");
    let whole = |v: f64| cx.units.plain(v, 6);
    let (key, shown): (&str, &dyn Fn(f64) -> String) = match d.figure {
        Figure::Depth => ("screen_figure_depth", &|v| cx.units.depth(v)),
        Figure::Minutes => ("screen_figure_minutes", &|v| {
            with(cx.units.plain(v, 3), "min")
        }),
        Figure::Salinity => ("screen_figure_salinity", &|v| {
            with(cx.units.plain(v, 3), "g/kg")
        }),
        Figure::Water => ("screen_figure_water", &|v| {
            let degrees = cx.units.plain(cx.units.from_k(v + 273.15), 3);
            with(degrees, cx.units.temperature_symbol())
        }),
        Figure::Rating => ("screen_figure_rating", &|v| cx.units.depth(v)),
        Figure::Limit => ("screen_figure_limit", &|v| cx.units.water(v)),
        Figure::Volume => ("screen_figure_volume", &|v| with(cx.units.plain(v, 3), "L")),
        Figure::SealDays => ("screen_figure_days", &whole),
        Figure::SealOpenings => ("screen_figure_openings", &whole),
        Figure::SealDives => ("screen_figure_dives", &whole),
        Figure::There => {
            let key = if d.to.is_some() {
                "screen_figure_comes"
            } else {
                "screen_figure_goes"
            };
            return cx.say(key, &[("name", (&d.name).into())]);
        }
    };
    let limit = |v: Option<f64>| v.map_or_else(|| cx.t("screen_loss_none"), shown);
    let (from, to) = (limit(d.from), limit(d.to));
    let what = cx.say(key, &[("name", (&d.name).into())]);
    cx.say(
        "screen_figure_from_to",
        &[
            ("what", (&what).into()),
            ("from", (&from).into()),
            ("to", (&to).into()),
        ],
    )
}

/// What has to be known of a gauge: unit, kind, resolution (Pa).
pub fn gauge_fields(
    cx: &Cx<'_>,
    unit: PressureUnit,
    absolute: bool,
    resolution_pa: f64,
) -> Vec<Field> {
    let units = GAUGE_UNITS
        .iter()
        .map(|u| (u.symbol(), u.symbol().to_owned()))
        .collect();
    vec![
        field(
            "unit",
            cx.t("screen_hold_unit"),
            FieldKind::Choice,
            unit.symbol().to_owned(),
        )
        .choices(units)
        .must(),
        field(
            "kind",
            cx.t("screen_hold_kind"),
            FieldKind::Choice,
            if absolute { "absolute" } else { "below" }.to_owned(),
        )
        .choices(vec![
            ("below", cx.t("screen_hold_kind_below")),
            ("absolute", cx.t("screen_hold_kind_absolute")),
        ])
        .must(),
        field(
            "resolution",
            cx.t("screen_hold_resolution"),
            FieldKind::Number,
            cx.units.plain(unit.from_pa(resolution_pa), 2),
        )
        .hint(cx.t("screen_hold_resolution_hint"))
        .must(),
    ]
}

/// A gauge as typed: unit, whether absolute, resolution in Pa.
pub fn typed_gauge(typed: &mut Typed<'_>) -> (PressureUnit, bool, f64) {
    let unit = PressureUnit::from_symbol(typed.text("unit"));
    if unit.is_none() {
        typed.wrong("unit", "error_choice_wanted");
    }
    let unit = unit.unwrap_or(PressureUnit::Mbar);
    let resolution = typed.must_number("resolution");
    if resolution.is_finite() && resolution <= 0.0 {
        typed.wrong("resolution", "error_above_zero");
    }
    (
        unit,
        typed.text("kind") == "absolute",
        unit.to_pa(resolution),
    )
}
