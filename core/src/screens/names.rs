//! Names and fields that more than one screen shows: of enclosures, seals, controls, findings,
//! gauges, choices.

use super::common::{Field, FieldKind};
use super::cx::{Cx, FieldExt, Typed, field};
use super::measures::plain;
use crate::domain::book::SEAL_PARTS;
use crate::domain::facts::Finding;
use crate::domain::readiness::PastLimit;
use crate::domain::rig::Control;
use crate::domain::state::RigFacts;
use crate::physics::units::PressureUnit;

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
    }
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
    let label = |f: Finding| match f {
        Finding::Clean => cx.t("screen_seal_finding_clean"),
        Finding::Hair => cx.t("screen_seal_finding_hair"),
        Finding::Sand => cx.t("screen_seal_finding_sand"),
        Finding::Nick => cx.t("screen_seal_finding_nick"),
        Finding::Flat => cx.t("screen_seal_finding_flat"),
        Finding::Swollen => cx.t("screen_seal_finding_swollen"),
        Finding::Dry => cx.t("screen_seal_finding_dry"),
    };
    vec![
        field(
            "finding",
            cx.t("screen_seal_finding"),
            FieldKind::Choice,
            "clean".into(),
        )
        .choices(Finding::ALL.iter().map(|f| (f.key(), label(*f))).collect())
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

/// A choice's name, as people read it.
pub fn choice_name(cx: &Cx<'_>, choice: &str) -> String {
    match choice {
        "recheck_limit_min" => cx.t("screen_crew_recheck_limit"),
        "unit_pressure" => cx.t("screen_crew_unit_pressure"),
        "unit_temperature" => cx.t("screen_crew_unit_temperature"),
        "unit_depth" => cx.t("screen_crew_unit_depth"),
        "unit_water" => cx.t("screen_crew_unit_water"),
        other => other.to_owned(),
    }
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
            plain(unit.from_pa(resolution_pa), 2),
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
