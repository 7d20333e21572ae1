//! Names and fields that more than one screen shows: of enclosures, seals, controls, findings,
//! gauges, choices.

use super::cx::Cx;
use super::keys;
use super::measures::{NBSP, Unit, Units};
use super::spec::{self, Spec, num, one_of};
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
pub fn material_field<'a, T: Clone + 'a>(
    cx: &Cx<'_>,
    at: fn(&mut T) -> &mut String,
) -> Spec<'a, T> {
    let label = cx.t("screen_seal_material");
    spec::pick_in(keys::MATERIAL, label, material_choices(cx), at)
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

/// The field of the pack that a ring came in.
pub fn pack_field<'a, T: Clone + 'a>(cx: &Cx<'_>, at: fn(&mut T) -> &mut String) -> Spec<'a, T> {
    spec::text_in("pack", cx.t("screen_seal_pack"), at)
}

/// The field of a cure date.
pub fn cured_field<'a, T: Clone + 'a>(cx: &Cx<'_>, at: fn(&mut T) -> &mut String) -> Spec<'a, T> {
    spec::text_in("cured", cx.t("screen_seal_cured"), at).hint(cx.t("screen_seal_cured_hint"))
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

/// What was found on a seal, as said.
#[derive(Debug, Clone)]
pub struct Found {
    /// What.
    pub finding: Finding,
    /// More of it; may be empty.
    pub note: String,
}

impl Default for Found {
    fn default() -> Found {
        Found {
            finding: Finding::Clean,
            note: String::new(),
        }
    }
}

/// The fields of a finding.
pub fn finding_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, Found>; 2] {
    let all = Finding::ALL.iter();
    let all = all.map(|f| (f.key(), *f, finding_name(cx, *f))).collect();
    let (label, clean) = (cx.t("screen_seal_finding"), Some(Finding::Clean));
    [
        spec::one_of_in("finding", label, all, clean, |f: &mut Found| &mut f.finding).must(),
        spec::long_text_in(keys::NOTE, cx.t("common_note"), |f: &mut Found| &mut f.note),
    ]
}

/// The finding that a form names.
pub fn finding_of(key: &str) -> Option<Finding> {
    Finding::ALL.into_iter().find(|f| f.key() == key)
}

/// Every choice of a crew that this version knows, by its key.
pub const CHOICES: [&str; 12] = [
    RECHECK_LIMIT,
    keys::SD_INSIDE,
    keys::SD_SURFACE,
    keys::SD_AIR,
    keys::SD_BAROMETER,
    keys::UNIT_PRESSURE,
    keys::UNIT_TEMPERATURE,
    keys::UNIT_DEPTH,
    keys::UNIT_WATER,
    keys::UNIT_WEIGHT,
    ALONE,
    SIGNED_WITH,
];

/// A choice's name, as people read it.
pub fn choice_name(cx: &Cx<'_>, choice: &str) -> String {
    cx.t(match choice {
        RECHECK_LIMIT => "screen_crew_recheck_limit",
        keys::SD_INSIDE => "screen_crew_choice_error_inside",
        keys::SD_SURFACE => "screen_crew_choice_error_surface",
        keys::SD_AIR => "screen_crew_choice_error_air",
        keys::SD_BAROMETER => "screen_crew_choice_error_barometer",
        keys::UNIT_PRESSURE => "screen_crew_choice_unit_pressure",
        keys::UNIT_TEMPERATURE => "screen_crew_choice_unit_temperature",
        keys::UNIT_DEPTH => "screen_crew_choice_unit_depth",
        keys::UNIT_WATER => "screen_crew_choice_unit_water",
        keys::UNIT_WEIGHT => "screen_crew_choice_unit_weight",
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
        keys::UNIT_PRESSURE => units.pressure.symbol(),
        keys::UNIT_TEMPERATURE => units.temperature_symbol(),
        keys::UNIT_DEPTH => units.depth_symbol(),
        keys::UNIT_WATER => units.water_symbol(),
        _ => units.weight_symbol(),
    };
    match choice {
        RECHECK_LIMIT => span(recheck_limit_ms(Some(value))),
        keys::SD_INSIDE | keys::SD_SURFACE | keys::SD_AIR => number(&|k| {
            let per = if cx.units.fahrenheit { 1.8 } else { 1.0 };
            format!(
                "{}{NBSP}{}",
                cx.units.plain(k * per, 3),
                cx.units.temperature_symbol()
            )
        }),
        keys::SD_BAROMETER => number(&|pa| {
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

/// How a gauge shows a pressure, as said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shows {
    /// In which unit.
    pub unit: PressureUnit,
    /// Absolute, or what is missing to the air around.
    pub absolute: bool,
    /// Its steps, in its unit.
    pub step: f64,
}

impl Shows {
    /// In steps of so many Pa.
    pub fn steps_of(unit: PressureUnit, absolute: bool, step_pa: f64) -> Shows {
        Shows {
            unit,
            absolute,
            step: unit.from_pa(step_pa),
        }
    }

    /// Its steps, Pa.
    pub fn step_pa(&self) -> f64 {
        self.unit.to_pa(self.step)
    }
}

/// What has to be known of a gauge: unit, kind, resolution.
pub fn gauge_fields<'a, T: Clone + 'a>(
    cx: &Cx<'_>,
    at: fn(&mut T) -> &mut Shows,
) -> [Spec<'a, T>; 3] {
    let units = GAUGE_UNITS.map(|u| (u.symbol().to_owned(), u, u.symbol().to_owned()));
    let kind = |word: &str, absolute, label| (word.to_owned(), absolute, cx.t(label));
    let shows = move |t: &T| *at(&mut t.clone());
    [
        one_of(
            keys::UNIT,
            cx.t("screen_hold_unit"),
            units.into(),
            None,
            move |t| shows(t).unit,
            move |t, v| at(t).unit = v,
        )
        .or_drawn(move |t| shows(t).unit.symbol().to_owned())
        .must(),
        one_of(
            keys::KIND,
            cx.t("screen_hold_kind"),
            vec![
                kind("below", false, "screen_hold_kind_below"),
                kind("absolute", true, "screen_hold_kind_absolute"),
            ],
            Some(false),
            move |t| shows(t).absolute,
            move |t, v| at(t).absolute = v,
        )
        .must(),
        num(
            keys::RESOLUTION,
            cx.t("screen_hold_resolution"),
            Unit::Unsaid,
            move |t| Some(shows(t).step),
            move |t, v| at(t).step = v.unwrap_or(f64::NAN),
        )
        .check(|_, _, v| (v <= 0.0).then_some("error_above_zero"))
        .digits(2)
        .hint(cx.t("screen_hold_resolution_hint"))
        .must(),
    ]
}
