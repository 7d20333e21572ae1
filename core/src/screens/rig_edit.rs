//! Editing a rig: its enclosures, closures, seals, controls, lenses and the rest.

use super::common::{Field, FieldKind, FieldValue, Form, Line, Outcome, Place, Severity, acting};
use super::cx::{Cx, FieldExt, Typed, done, fault, field, form, go, leave, line};
use super::desk::Desk;
use super::measures::plain;
use super::names::{enclosure_name, grease_name, material_field, whole};
use crate::domain::book::BookFault;
use crate::domain::rig::{
    BoxWeight, Cable, Closure, ClosureKind, Control, Enclosure, FastenerPattern, LensConfig,
    MountingPoint, Part, PatternShape, Penetrator, RigDef, Seal, SealGland, SealGlandKind,
    SealLimits, StripItem, Valve, slug,
};
use crate::domain::state::RigFacts;
use crate::physics::hold::volume::{Pressure, Volume, by_known_volume, by_strokes};
use crate::physics::oring::GreaseBase;

acting!(
    /// A button of the editor.
    RigEditButton,
    /// A thing of the rig that can be opened.
    RigEditRow,
    RigEditAction
);

/// What the editor accepts.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum RigEditAction {
    /// Opens a part ('enclosure/main', 'seal/main-port').
    OpenPart {
        /// Its path.
        part: String,
    },
    /// Shows the form for a new part of a kind ('enclosure', 'closure', 'seal', 'control', ...).
    Add {
        /// Which kind.
        kind: String,
    },
    /// Takes a part off the rig. Needs the second tap; its history stays.
    Remove {
        /// Its path.
        part: String,
    },
    /// Hides the form.
    HideForm,
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// A group of parts.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct EditSection {
    /// Its title ('Seals').
    pub title: String,
    /// Its parts.
    pub rows: Vec<RigEditRow>,
    /// Adds one.
    pub add: RigEditButton,
}

/// The editor.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RigEditScreen {
    /// Rig id.
    pub rig: String,
    /// Title: the rig's name, or the part's.
    pub title: String,
    /// What a change here does to readiness.
    pub notice: Option<Line>,
    /// The parts, by kind; empty when one part is open.
    pub sections: Vec<EditSection>,
    /// The form of the open part, or of a new one.
    pub form: Option<Form>,
    /// Leads to the rig's name and note.
    pub main: Option<RigEditButton>,
    /// The others: remove.
    pub others: Vec<RigEditButton>,
}

/// The kinds of part that can be added, with the key of their section's title.
const KINDS: [(&str, &str); 11] = [
    ("enclosure", "screen_edit_enclosures"),
    ("closure", "screen_edit_closures"),
    ("penetrator", "screen_edit_penetrators"),
    ("seal", "screen_edit_seals"),
    ("control", "screen_edit_controls"),
    ("lens", "screen_edit_lenses"),
    ("strip_item", "screen_edit_strip"),
    ("cable", "screen_edit_cables"),
    ("part", "screen_edit_parts"),
    ("mounting_point", "screen_edit_points"),
    ("weight", "screen_edit_weights"),
];

/// A part of a definition: its path, name, and one line about it.
fn parts_of(cx: &Cx<'_>, rig: &RigFacts, kind: &str) -> Vec<(String, String, String)> {
    let def = &rig.def;
    let made = |kind: &str, id: &str, name: &str, detail: String| {
        (format!("{kind}/{id}"), name.to_owned(), detail)
    };
    match kind {
        "enclosure" => def
            .enclosures
            .iter()
            .map(|e| {
                let detail = format!(
                    "{}\u{a0}L, {}",
                    plain(e.volume_l, 3),
                    cx.units.depth(e.depth_rating_m)
                );
                made(kind, &e.id, &e.name, detail)
            })
            .collect(),
        "closure" => def
            .enclosures
            .iter()
            .flat_map(|e| {
                e.closures.iter().map(move |c| {
                    (
                        format!("closure/{}/{}", e.id, c.id),
                        c.name.clone(),
                        e.name.clone(),
                    )
                })
            })
            .collect(),
        "penetrator" => def
            .enclosures
            .iter()
            .flat_map(|e| {
                e.penetrators.iter().map(move |p| {
                    (
                        format!("penetrator/{}/{}", e.id, p.id),
                        p.name.clone(),
                        e.name.clone(),
                    )
                })
            })
            .collect(),
        "weight" => def
            .weight_box
            .iter()
            .map(|w| {
                let mass = plain(w.mass_g, 6);
                let title = format!("{mass}\u{a0}g");
                (format!("weight/{mass}"), title, format!("× {}", w.count))
            })
            .collect(),
        "seal" => def
            .seals
            .iter()
            .map(|s| {
                let at = enclosure_name(rig, &s.enclosure);
                let detail = [at.as_str(), s.size.as_str(), s.material.as_str()];
                let detail: Vec<&str> = detail.into_iter().filter(|d| !d.is_empty()).collect();
                made(kind, &s.id, &s.name, detail.join(", "))
            })
            .collect(),
        "control" => def
            .controls
            .iter()
            .map(|c| made(kind, &c.id, &c.name, super::names::function_of(cx, c)))
            .collect(),
        "lens" => def
            .lenses
            .iter()
            .map(|l| {
                let mut port = vec![l.port.clone()];
                port.extend(l.rings.iter().cloned());
                made(kind, &l.id, &l.name, port.join(", "))
            })
            .collect(),
        "strip_item" => def
            .strip_list
            .iter()
            .map(|s| made(kind, &s.id, &s.name, String::new()))
            .collect(),
        "cable" => def
            .cables
            .iter()
            .map(|c| {
                made(
                    kind,
                    &c.id,
                    &c.name,
                    cx.say(
                        "screen_edit_cable_ends",
                        &[("from", (&c.from).into()), ("to", (&c.to).into())],
                    ),
                )
            })
            .collect(),
        "part" => def
            .parts
            .iter()
            .map(|p| {
                let detail = format!(
                    "{}\u{a0}g, {}\u{a0}cm³",
                    plain(p.mass_g, 5),
                    plain(p.volume_cm3, 5)
                );
                made(kind, &p.id, &p.name, detail)
            })
            .collect(),
        _ => def
            .mounting_points
            .iter()
            .map(|p| {
                made(
                    kind,
                    &p.id,
                    &p.name,
                    format!(
                        "{:.0}, {:.0}, {:.0}\u{a0}mm",
                        p.at_mm[0], p.at_mm[1], p.at_mm[2]
                    ),
                )
            })
            .collect(),
    }
}

/// Builds the editor.
pub(super) fn show(cx: &Cx<'_>, id: &str, part: Option<&str>) -> Result<RigEditScreen, BookFault> {
    let rig = cx.book.rig(id)?;
    let notice = Some(line(cx.t("screen_edit_notice"), Severity::Notice, None));
    let Some(path) = part else {
        let sections = KINDS
            .iter()
            .map(|(kind, title)| EditSection {
                title: cx.t(title),
                rows: parts_of(cx, &rig, kind)
                    .into_iter()
                    .map(|(path, title, detail)| RigEditRow {
                        title: title.clone(),
                        detail,
                        footnote: None,
                        mark: None,
                        severity: Severity::Plain,
                        tap: Some(button(title, RigEditAction::OpenPart { part: path })),
                        other: None,
                    })
                    .collect(),
                add: button(
                    cx.t("action_add"),
                    RigEditAction::Add {
                        kind: (*kind).to_owned(),
                    },
                ),
            })
            .collect();
        return Ok(RigEditScreen {
            rig: id.to_owned(),
            title: rig.def.name.clone(),
            notice,
            sections,
            form: None,
            main: Some(button(
                cx.t("action_rename"),
                RigEditAction::OpenPart {
                    part: "rig/name".into(),
                },
            )),
            others: Vec::new(),
        });
    };
    let (fields, title) = fields(cx, &rig, path).ok_or_else(|| BookFault::NotFound {
        what: "part",
        id: path.to_owned(),
    })?;
    let adding = path.starts_with("add/");
    let submit = if adding {
        cx.t("action_add")
    } else {
        cx.t("action_keep")
    };
    let measuring = ["volume-known/", "volume-strokes/", "gland/"]
        .iter()
        .any(|how| path.starts_with(how));
    let others = if adding || measuring || path == "rig/name" {
        Vec::new()
    } else if let Some(enclosure) = path.strip_prefix("enclosure/") {
        let measure = |label: String, how: &str| {
            button(
                label,
                RigEditAction::OpenPart {
                    part: format!("{how}/{enclosure}"),
                },
            )
        };
        vec![
            measure(cx.t("action_measure_known"), "volume-known"),
            measure(cx.t("action_measure_strokes"), "volume-strokes"),
            RigEditButton {
                confirm: Some(cx.say("screen_edit_remove_confirm", &[("name", (&title).into())])),
                ..button(
                    cx.t("action_remove"),
                    RigEditAction::Remove {
                        part: path.to_owned(),
                    },
                )
            },
        ]
    } else {
        let mut others = Vec::new();
        if let Some(seal) = path.strip_prefix("seal/") {
            others.push(button(
                cx.t("action_gland"),
                RigEditAction::OpenPart {
                    part: format!("gland/{seal}"),
                },
            ));
        }
        others.push(RigEditButton {
            confirm: Some(cx.say("screen_edit_remove_confirm", &[("name", (&title).into())])),
            ..button(
                cx.t("action_remove"),
                RigEditAction::Remove {
                    part: path.to_owned(),
                },
            )
        });
        others
    };
    Ok(RigEditScreen {
        rig: id.to_owned(),
        form: Some(form(path, String::new(), fields, submit)),
        title,
        notice,
        sections: Vec::new(),
        main: None,
        others,
    })
}

/// The fields of a part, filled in from the part there, and its title.
fn fields(cx: &Cx<'_>, rig: &RigFacts, path: &str) -> Option<(Vec<Field>, String)> {
    let def = &rig.def;
    let (kind, id) = match path.split_once('/')? {
        ("add", kind) => (kind, None),
        (kind, id) => (kind, Some(id)),
    };
    let text = |key: &str, label: &str, value: &str| {
        field(key, cx.t(label), FieldKind::Text, value.to_owned())
    };
    let name = |value: &str| text("name", "screen_edit_name", value).must();
    let num = |key: &str, label: &str, value: Option<f64>, unit: &str| {
        let shown = value.map(|v| plain(v, 6)).unwrap_or_default();
        field(key, cx.t(label), FieldKind::Number, shown).unit(unit)
    };
    let switch = |key: &str, label: &str, on: bool| {
        field(
            key,
            cx.t(label),
            FieldKind::Switch,
            if on { "yes" } else { "no" }.to_owned(),
        )
    };
    let enclosures = |key: &str, value: &str| {
        let value = if value.is_empty() {
            def.enclosures.first().map_or("", |e| e.id.as_str())
        } else {
            value
        };
        field(
            key,
            cx.t("screen_edit_enclosure"),
            FieldKind::Choice,
            value.to_owned(),
        )
        .choices(
            def.enclosures
                .iter()
                .map(|e| (e.id.as_str(), e.name.clone()))
                .collect(),
        )
        .must()
    };
    let closures = |value: String, may_be_none: bool| {
        let mut all: Vec<(String, String)> = def
            .enclosures
            .iter()
            .flat_map(|e| {
                e.closures.iter().map(move |c| {
                    (
                        format!("{}/{}", e.id, c.id),
                        format!("{}: {}", e.name, c.name),
                    )
                })
            })
            .collect();
        if may_be_none {
            all.push((String::new(), cx.t("screen_edit_no_closure")));
        }
        field(
            "closure",
            cx.t("screen_edit_closure"),
            FieldKind::Choice,
            value,
        )
        .choices(all.iter().map(|(k, l)| (k.as_str(), l.clone())).collect())
    };
    let title_new = |key: &str| cx.t(key);
    Some(match kind {
        "rig" => (
            vec![
                name(&def.name),
                field(
                    "note",
                    cx.t("common_note"),
                    FieldKind::LongText,
                    def.note.clone(),
                ),
            ],
            def.name.clone(),
        ),
        "enclosure" => {
            let e = match id {
                Some(id) => Some(def.enclosure(id)?),
                None => None,
            };
            let depth = e.map(|e| cx.units.from_m(e.depth_rating_m));
            (
                vec![
                    name(e.map_or("", |e| &e.name)),
                    num("volume_l", "screen_edit_volume", e.map(|e| e.volume_l), "L")
                        .hint(cx.t("screen_edit_volume_hint"))
                        .must(),
                    num(
                        "volume_sd_l",
                        "screen_edit_volume_sd",
                        e.map(|e| e.volume_sd_l),
                        "L",
                    )
                    .must(),
                    num(
                        "depth_rating_m",
                        "screen_edit_rating",
                        depth,
                        cx.units.depth_symbol(),
                    )
                    .hint(cx.t("screen_edit_rating_hint"))
                    .must(),
                    num(
                        "limit_ml",
                        "screen_edit_limit",
                        Some(cx.units.from_ml(
                            e.map_or(crate::domain::rig::default_limit_ml(), |e| e.limit_ml),
                        )),
                        cx.units.water_symbol(),
                    )
                    .hint(cx.t("screen_edit_limit_hint"))
                    .must(),
                    switch(
                        "valve",
                        "screen_edit_valve",
                        e.is_none_or(|e| e.valve.is_some()),
                    ),
                    switch(
                        "reads_with_plug_on",
                        "screen_edit_reads_plugged",
                        e.and_then(|e| e.valve.as_ref())
                            .is_some_and(|v| v.reads_with_plug_on),
                    ),
                ],
                e.map_or_else(
                    || title_new("screen_edit_new_enclosure"),
                    |e| e.name.clone(),
                ),
            )
        }
        "closure" => {
            let found = match id {
                Some(id) => {
                    let (enclosure, closure) = id.split_once('/')?;
                    let e = def.enclosure(enclosure)?;
                    Some((e, e.closures.iter().find(|c| c.id == closure)?))
                }
                None => None,
            };
            let c = found.map(|f| f.1);
            let kind_now = match c.map(|c| c.kind) {
                Some(ClosureKind::Bayonet) => "bayonet",
                Some(ClosureKind::Screws) => "screws",
                _ => "latch",
            };
            let shape = match c.and_then(|c| c.fasteners).map(|f| f.shape) {
                Some(PatternShape::Frame) => "frame",
                _ => "circle",
            };
            let mut fields = vec![name(c.map_or("", |c| &c.name))];
            if found.is_none() {
                fields.push(enclosures("enclosure", ""));
            }
            fields.extend([
                field(
                    "kind",
                    cx.t("screen_edit_closure_kind"),
                    FieldKind::Choice,
                    kind_now.into(),
                )
                .choices(vec![
                    ("latch", cx.t("screen_edit_latch")),
                    ("bayonet", cx.t("screen_edit_bayonet")),
                    ("screws", cx.t("screen_edit_screws")),
                ])
                .must(),
                num(
                    "count",
                    "screen_edit_screw_count",
                    c.and_then(|c| c.fasteners).map(|f| f64::from(f.count)),
                    "",
                ),
                field(
                    "shape",
                    cx.t("screen_edit_screw_shape"),
                    FieldKind::Choice,
                    shape.into(),
                )
                .choices(vec![
                    ("circle", cx.t("screen_edit_circle")),
                    ("frame", cx.t("screen_edit_frame")),
                ]),
                num(
                    "torque_nm",
                    "screen_edit_torque",
                    c.and_then(|c| c.fasteners).and_then(|f| f.torque_nm),
                    "N·m",
                ),
            ]);
            (
                fields,
                c.map_or_else(|| title_new("screen_edit_new_closure"), |c| c.name.clone()),
            )
        }
        "volume-known" | "volume-strokes" => {
            let e = def.enclosure(id?)?;
            let unit = cx.units.pressure.symbol();
            let known = kind == "volume-known";
            let mut fields = if known {
                vec![
                    num("known_ml", "screen_edit_known", None, "mL")
                        .hint(cx.t("screen_edit_known_hint"))
                        .must(),
                    num("known_sd_ml", "screen_edit_volume_sd", Some(5.0), "mL").must(),
                ]
            } else {
                vec![
                    num("stroke_ml", "screen_edit_stroke", None, "mL").must(),
                    num("stroke_sd_ml", "screen_edit_volume_sd", Some(2.0), "mL").must(),
                    num("strokes", "screen_edit_strokes", None, "").must(),
                ]
            };
            fields.push(num("ambient", "screen_hold_ambient", None, unit).must());
            if known {
                fields.push(num("before", "screen_edit_before", None, unit).must());
            }
            fields.push(
                num("after", "screen_edit_after", None, unit)
                    .hint(cx.t("screen_edit_after_hint"))
                    .must(),
            );
            fields.push(num("resolution", "screen_hold_resolution", Some(1.0), unit).must());
            let key = if known {
                "action_measure_known"
            } else {
                "action_measure_strokes"
            };
            (fields, format!("{}: {}", e.name, cx.t(key)))
        }
        "penetrator" => {
            let found = match id {
                Some(id) => {
                    let (enclosure, penetrator) = id.split_once('/')?;
                    let e = def.enclosure(enclosure)?;
                    Some(e.penetrators.iter().find(|p| p.id == penetrator)?)
                }
                None => None,
            };
            let mut fields = vec![name(found.map_or("", |p| &p.name))];
            if found.is_none() {
                fields.push(enclosures("enclosure", ""));
            }
            (
                fields,
                found.map_or_else(
                    || title_new("screen_edit_new_penetrator"),
                    |p| p.name.clone(),
                ),
            )
        }
        "weight" => {
            let found = match id {
                Some(id) => Some(def.weight_box.iter().find(|w| plain(w.mass_g, 6) == id)?),
                None => None,
            };
            (
                vec![
                    num(
                        "mass_g",
                        "screen_edit_weight_mass",
                        found.map(|w| w.mass_g),
                        "g",
                    )
                    .must(),
                    num(
                        "count",
                        "screen_edit_weight_count",
                        found.map(|w| f64::from(w.count)),
                        "",
                    )
                    .must(),
                ],
                found.map_or_else(
                    || title_new("screen_edit_new_weight"),
                    |w| format!("{}\u{a0}g", plain(w.mass_g, 6)),
                ),
            )
        }
        "seal" => {
            let s = match id {
                Some(id) => Some(def.seal(id)?),
                None => None,
            };
            let closure = s
                .and_then(|s| Some(format!("{}/{}", s.enclosure, s.closure.as_ref()?)))
                .unwrap_or_default();
            let l = s.map(|s| s.limits).unwrap_or_default();
            let days = |v: Option<u32>| v.map(f64::from);
            (
                vec![
                    name(s.map_or("", |s| &s.name)),
                    enclosures("enclosure", s.map_or("", |s| &s.enclosure)),
                    closures(closure, true),
                    text("size", "screen_seal_size", s.map_or("", |s| &s.size))
                        .hint(cx.t("screen_seal_size_hint")),
                    material_field(cx, s.map_or("", |s| &s.material)),
                    num(
                        "hardness",
                        "screen_edit_hardness",
                        s.map(|s| f64::from(s.hardness_shore_a))
                            .filter(|h| *h > 0.0),
                        "Shore A",
                    ),
                    num("soft_days", "screen_edit_soft_days", days(l.soft_days), "d"),
                    num("hard_days", "screen_edit_hard_days", days(l.hard_days), "d"),
                    num(
                        "soft_openings",
                        "screen_edit_soft_openings",
                        days(l.soft_openings),
                        "",
                    ),
                    num(
                        "hard_openings",
                        "screen_edit_hard_openings",
                        days(l.hard_openings),
                        "",
                    ),
                    num(
                        "soft_dives",
                        "screen_edit_soft_dives",
                        days(l.soft_dives),
                        "",
                    ),
                    num(
                        "hard_dives",
                        "screen_edit_hard_dives",
                        days(l.hard_dives),
                        "",
                    ),
                    grease_field(cx, s.and_then(|s| s.grease)),
                ],
                s.map_or_else(|| title_new("screen_edit_new_seal"), |s| s.name.clone()),
            )
        }
        "gland" => {
            let s = def.seal(id?)?;
            let g = s.gland;
            let kind_now = match g.map(|g| g.kind) {
                Some(SealGlandKind::Face) => "face",
                Some(SealGlandKind::Radial) => "radial",
                None => "",
            };
            (
                vec![
                    field(
                        "kind",
                        cx.t("screen_edit_gland_kind"),
                        FieldKind::Choice,
                        kind_now.to_owned(),
                    )
                    .choices(vec![
                        ("face", cx.t("screen_edit_gland_face")),
                        ("radial", cx.t("screen_edit_gland_radial")),
                        ("", cx.t("screen_seal_not_known")),
                    ]),
                    num("seat_mm", "screen_edit_seat", g.map(|g| g.seat_mm), "mm")
                        .hint(cx.t("screen_edit_seat_hint")),
                    num(
                        "depth_mm",
                        "screen_edit_gland_depth",
                        g.map(|g| g.depth_mm),
                        "mm",
                    )
                    .hint(cx.t("screen_edit_gland_depth_hint")),
                    num(
                        "width_mm",
                        "screen_edit_gland_width",
                        g.map(|g| g.width_mm),
                        "mm",
                    ),
                    num(
                        "tol_mm",
                        "screen_edit_gland_tol",
                        Some(g.map_or(0.05, |g| g.tol_mm)),
                        "mm",
                    )
                    .hint(cx.t("screen_edit_gland_tol_hint")),
                ],
                cx.say("screen_edit_gland_of", &[("name", (&s.name).into())]),
            )
        }
        "control" => {
            let c = match id {
                Some(id) => Some(def.control(id)?),
                None => None,
            };
            (
                vec![
                    name(c.map_or("", |c| &c.name)),
                    enclosures("enclosure", c.map_or("", |c| &c.enclosure)),
                    text(
                        "function",
                        "screen_edit_function",
                        c.map_or("", |c| &c.function),
                    ),
                    switch(
                        "record_trigger",
                        "screen_rig_record_trigger",
                        c.is_some_and(|c| c.record_trigger),
                    ),
                ],
                c.map_or_else(|| title_new("screen_edit_new_control"), |c| c.name.clone()),
            )
        }
        "lens" => {
            let l = match id {
                Some(id) => Some(def.lenses.iter().find(|l| l.id == id)?),
                None => None,
            };
            let at = l
                .map(|l| format!("{}/{}", l.enclosure, l.closure))
                .unwrap_or_default();
            let list = |v: Option<&Vec<String>>| v.map(|v| v.join(", ")).unwrap_or_default();
            (
                vec![
                    name(l.map_or("", |l| &l.name)),
                    text("port", "screen_rig_port", l.map_or("", |l| &l.port)).must(),
                    text("rings", "screen_edit_rings", &list(l.map(|l| &l.rings)))
                        .hint(cx.t("screen_edit_list_hint")),
                    text("drives", "screen_edit_drives", &list(l.map(|l| &l.drives)))
                        .hint(cx.t("screen_edit_list_hint")),
                    closures(at, false).must(),
                ],
                l.map_or_else(|| title_new("screen_edit_new_lens"), |l| l.name.clone()),
            )
        }
        "strip_item" => {
            let s = match id {
                Some(id) => Some(def.strip_list.iter().find(|s| s.id == id)?),
                None => None,
            };
            (
                vec![name(s.map_or("", |s| &s.name))],
                s.map_or_else(|| title_new("screen_edit_new_strip"), |s| s.name.clone()),
            )
        }
        "cable" => {
            let c = match id {
                Some(id) => Some(def.cables.iter().find(|c| c.id == id)?),
                None => None,
            };
            (
                vec![
                    name(c.map_or("", |c| &c.name)),
                    text("from", "screen_edit_from", c.map_or("", |c| &c.from)),
                    text("to", "screen_edit_to", c.map_or("", |c| &c.to)),
                ],
                c.map_or_else(|| title_new("screen_edit_new_cable"), |c| c.name.clone()),
            )
        }
        "part" => {
            let p = match id {
                Some(id) => Some(def.parts.iter().find(|p| p.id == id)?),
                None => None,
            };
            let mut fields = vec![
                name(p.map_or("", |p| &p.name)),
                num("mass_g", "screen_edit_mass", p.map(|p| p.mass_g), "g").must(),
                num(
                    "volume_cm3",
                    "screen_edit_displaced",
                    p.map(|p| p.volume_cm3),
                    "cm³",
                )
                .must(),
            ];
            for (i, key) in [
                "mass_x", "mass_y", "mass_z", "volume_x", "volume_y", "volume_z",
            ]
            .into_iter()
            .enumerate()
            {
                let at = p.map(|p| {
                    if i < 3 {
                        p.mass_at_mm[i]
                    } else {
                        p.volume_at_mm[i - 3]
                    }
                });
                let label = AXES[i];
                fields.push(num(key, label, Some(at.unwrap_or(0.0)), "mm"));
            }
            (
                fields,
                p.map_or_else(|| title_new("screen_edit_new_part"), |p| p.name.clone()),
            )
        }
        "mounting_point" => {
            let p = match id {
                Some(id) => Some(def.mounting_points.iter().find(|p| p.id == id)?),
                None => None,
            };
            let at = p.map_or([0.0; 3], |p| p.at_mm);
            (
                vec![
                    name(p.map_or("", |p| &p.name)),
                    num("x", "screen_edit_x", Some(at[0]), "mm"),
                    num("y", "screen_edit_y", Some(at[1]), "mm"),
                    num("z", "screen_edit_z", Some(at[2]), "mm"),
                    num(
                        "capacity",
                        "screen_edit_capacity",
                        Some(p.map_or(1.0, |p| f64::from(p.capacity))),
                        "",
                    )
                    .must(),
                ],
                p.map_or_else(|| title_new("screen_edit_new_point"), |p| p.name.clone()),
            )
        }
        _ => return None,
    })
}

/// The field of the grease in use.
fn grease_field(cx: &Cx<'_>, grease: Option<GreaseBase>) -> Field {
    let all = [
        ("silicone", GreaseBase::Silicone),
        ("mineral", GreaseBase::Mineral),
        ("pfpe", GreaseBase::Perfluoropolyether),
    ];
    let now = all
        .iter()
        .find(|(_, g)| Some(*g) == grease)
        .map_or("", |(key, _)| *key);
    let mut choices: Vec<(&str, String)> = all
        .iter()
        .map(|(key, g)| (*key, grease_name(cx, *g)))
        .collect();
    choices.push(("", cx.t("screen_seal_not_known")));
    field(
        "grease",
        cx.t("screen_seal_grease"),
        FieldKind::Choice,
        now.to_owned(),
    )
    .choices(choices)
}

/// Labels of a part's positions, in the order of its fields.
const AXES: [&str; 6] = [
    "screen_edit_mass_x",
    "screen_edit_mass_y",
    "screen_edit_mass_z",
    "screen_edit_volume_x",
    "screen_edit_volume_y",
    "screen_edit_volume_z",
];

fn no_part(path: &str) -> BookFault {
    BookFault::NotFound {
        what: "part",
        id: path.to_owned(),
    }
}

/// Does an action.
pub(super) fn act(
    desk: &mut Desk,
    rig: &str,
    _part: Option<&str>,
    action: RigEditAction,
) -> Result<Outcome, BookFault> {
    let at = |part: Option<String>| Place::RigEdit {
        rig: rig.to_owned(),
        part,
    };
    Ok(match action {
        RigEditAction::OpenPart { part } => go(at(Some(part))),
        RigEditAction::Add { kind } => go(at(Some(format!("add/{kind}")))),
        RigEditAction::HideForm => leave(),
        RigEditAction::Remove { part } => {
            let facts = desk.book.rig(rig)?;
            let kept = ["add/", "rig/", "gland/", "volume-"]
                .iter()
                .any(|kind| part.starts_with(kind));
            if kept || fields(&desk.cx()?, &facts, &part).is_none() {
                return Err(no_part(&part));
            }
            let mut def = facts.def.clone();
            remove(&mut def, &part);
            let recorded = desk.book.edit_rig(rig, def)?;
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get("screen_edit_said_removed"))
            }
        }
        RigEditAction::Submit { form, values } => {
            let units = desk.cx()?.units;
            let facts = desk.book.rig(rig)?;
            if fields(&desk.cx()?, &facts, &form).is_none() {
                return Err(no_part(&form));
            }
            let mut def = facts.def.clone();
            let mut typed = Typed::new(desk.texts, &values);
            if let Some((how, enclosure)) = form
                .split_once('/')
                .filter(|(h, _)| h.starts_with("volume-"))
            {
                let measured = match measure(how, &mut typed, &units) {
                    Err(BookFault::Hold(e)) => return Ok(fault("", desk.cx()?.hold_fault(&e))),
                    other => other?,
                };
                let Some(measured) = measured else {
                    return Ok(typed.faults().unwrap_or_default());
                };
                for e in def.enclosures.iter_mut().filter(|e| e.id == enclosure) {
                    e.volume_l = round_to(measured.m3 * 1e3, 3);
                    e.volume_sd_l = round_to(measured.sd_m3 * 1e3, 3).max(0.001);
                }
                let recorded = desk.book.edit_rig(rig, def)?;
                let litres = format!(
                    "{}\u{a0}L",
                    super::measures::rounded(measured.m3 * 1e3, measured.sd_m3 * 1e3)
                );
                let take = format!(
                    "{}\u{a0}L",
                    super::measures::significant(2e3 * measured.sd_m3, 1)
                );
                let said = desk.texts.say(
                    "screen_edit_said_measured",
                    &[("volume", (&litres).into()), ("take", (&take).into())],
                );
                return Ok(Outcome {
                    leave: true,
                    ..done(recorded, said)
                });
            }
            change(&mut def, &form, &mut typed, &units);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.edit_rig(rig, def)?;
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get("screen_edit_said_kept"))
            }
        }
    })
}

fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    (value * scale).round() / scale
}

/// A volume from what was typed; none where a field is wrong.
fn measure(
    how: &str,
    typed: &mut Typed<'_>,
    units: &super::measures::Units,
) -> Result<Option<Volume>, BookFault> {
    let unit = units.pressure;
    let ambient = unit.to_pa(typed.must_number("ambient"));
    // The gauge shows vacuum below ambient here.
    let after = ambient - unit.to_pa(typed.must_number("after"));
    // A display's step spreads a reading evenly: sd = step / sqrt(12) (JCGM 100:2008, 4.3.7).
    let sd = unit.to_pa(typed.must_number("resolution")) / 12f64.sqrt();
    let pressure = |pa: f64| Pressure { pa, sd_pa: sd };
    if how == "volume-known" {
        let known = typed.must_number("known_ml") * 1e-6;
        let known_sd = typed.must_number("known_sd_ml") * 1e-6;
        let before = ambient - unit.to_pa(typed.must_number("before"));
        if !typed.faults.is_empty() {
            return Ok(None);
        }
        let known = Volume {
            m3: known,
            sd_m3: known_sd,
        };
        Ok(Some(by_known_volume(
            known,
            pressure(ambient),
            pressure(before),
            pressure(after),
        )?))
    } else {
        let stroke = typed.must_number("stroke_ml") * 1e-6;
        let stroke_sd = typed.must_number("stroke_sd_ml") * 1e-6;
        let strokes = whole(typed, "strokes");
        if strokes.is_none() && typed.faults.is_empty() {
            typed.wrong("strokes", "error_number_wanted");
        }
        if !typed.faults.is_empty() {
            return Ok(None);
        }
        let strokes = strokes.unwrap_or(0);
        let stroke = Volume {
            m3: stroke,
            sd_m3: stroke_sd,
        };
        Ok(Some(by_strokes(
            stroke,
            strokes,
            pressure(ambient),
            pressure(after),
        )?))
    }
}

fn remove(def: &mut RigDef, path: &str) {
    let (kind, id) = path.split_once('/').unwrap_or((path, ""));
    match kind {
        "enclosure" => {
            // What belongs to it goes with it.
            def.enclosures.retain(|e| e.id != id);
            def.seals.retain(|s| s.enclosure != id);
            def.controls.retain(|c| c.enclosure != id);
            def.lenses.retain(|l| l.enclosure != id);
        }
        "closure" => {
            let (enclosure, closure) = id.split_once('/').unwrap_or((id, ""));
            for e in def.enclosures.iter_mut().filter(|e| e.id == enclosure) {
                e.closures.retain(|c| c.id != closure);
            }
            for s in def.seals.iter_mut().filter(|s| s.enclosure == enclosure) {
                if s.closure.as_deref() == Some(closure) {
                    s.closure = None;
                }
            }
            def.lenses
                .retain(|l| l.enclosure != enclosure || l.closure != closure);
        }
        "penetrator" => {
            let (enclosure, penetrator) = id.split_once('/').unwrap_or((id, ""));
            for e in def.enclosures.iter_mut().filter(|e| e.id == enclosure) {
                e.penetrators.retain(|p| p.id != penetrator);
            }
        }
        "weight" => def.weight_box.retain(|w| plain(w.mass_g, 6) != id),
        "seal" => def.seals.retain(|s| s.id != id),
        "control" => def.controls.retain(|c| c.id != id),
        "lens" => def.lenses.retain(|l| l.id != id),
        "strip_item" => def.strip_list.retain(|s| s.id != id),
        "cable" => def.cables.retain(|c| c.id != id),
        "part" => def.parts.retain(|p| p.id != id),
        "mounting_point" => def.mounting_points.retain(|p| p.id != id),
        _ => {}
    }
    if def.lens.is_some() && def.lens().is_none() {
        def.lens = None;
    }
}

/// Puts `item` in the place of the one with its id, or at the end.
fn put<T>(list: &mut Vec<T>, item: T, same: impl Fn(&T) -> bool) {
    match list.iter().position(same) {
        Some(at) => list[at] = item,
        None => list.push(item),
    }
}

fn list_of(text: &str) -> Vec<String> {
    text.split(',')
        .map(str::trim)
        .filter(|t| !t.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Changes a definition by what was typed for the part at `path`.
fn change(def: &mut RigDef, path: &str, typed: &mut Typed<'_>, units: &super::measures::Units) {
    let (kind, old) = match path.split_once('/') {
        Some(("add", kind)) => (kind, None),
        Some((kind, id)) => (kind, Some(id.to_owned())),
        None => (path, None),
    };
    if kind == "weight" {
        let mass_g = typed.must_number("mass_g");
        let count = whole(typed, "count").unwrap_or(0);
        let old = old.unwrap_or_else(|| plain(mass_g, 6));
        put(&mut def.weight_box, BoxWeight { mass_g, count }, |w| {
            plain(w.mass_g, 6) == old
        });
        def.weight_box.sort_by(|a, b| a.mass_g.total_cmp(&b.mass_g));
        return;
    }
    if kind == "gland" {
        let kind = match typed.text("kind") {
            "face" => Some(SealGlandKind::Face),
            "radial" => Some(SealGlandKind::Radial),
            _ => None,
        };
        let gland = kind.map(|kind| SealGland {
            kind,
            seat_mm: typed.must_number("seat_mm"),
            depth_mm: typed.must_number("depth_mm"),
            width_mm: typed.must_number("width_mm"),
            tol_mm: typed.must_number("tol_mm"),
        });
        // What was typed beside 'not known' is not dropped in silence.
        if kind.is_none()
            && ["seat_mm", "depth_mm", "width_mm"]
                .iter()
                .any(|k| !typed.text(k).is_empty())
        {
            typed.wrong("kind", "error_gland_kind");
        }
        for s in def.seals.iter_mut().filter(|s| Some(&s.id) == old.as_ref()) {
            s.gland = gland;
        }
        return;
    }
    let name = typed.must_text("name").to_owned();
    let id = |taken: &dyn Fn(&str) -> bool| old.clone().unwrap_or_else(|| slug(&name, taken));
    let closure_at = |text: &str| {
        text.split_once('/')
            .map(|(e, c)| (e.to_owned(), c.to_owned()))
    };
    match kind {
        "rig" => {
            def.name = name;
            def.note = typed.text("note").to_owned();
        }
        "enclosure" => {
            let id = id(&|s| def.enclosure(s).is_some());
            let before = def.enclosure(&id).cloned();
            let valve = typed.on("valve").then(|| Valve {
                name: before
                    .as_ref()
                    .and_then(|b| b.valve.as_ref())
                    .map_or_else(|| format!("{name}: vacuum valve"), |v| v.name.clone()),
                reads_with_plug_on: typed.on("reads_with_plug_on"),
            });
            let item = Enclosure {
                id: id.clone(),
                name,
                volume_l: typed.must_number("volume_l"),
                volume_sd_l: typed.must_number("volume_sd_l"),
                depth_rating_m: units.to_m(typed.must_number("depth_rating_m")),
                limit_ml: units.to_ml(typed.must_number("limit_ml")),
                valve,
                closures: before
                    .as_ref()
                    .map(|b| b.closures.clone())
                    .unwrap_or_default(),
                penetrators: before.map(|b| b.penetrators).unwrap_or_default(),
            };
            put(&mut def.enclosures, item, |e| e.id == id);
        }
        "closure" => {
            let (enclosure, old_closure) = match old.as_deref().and_then(closure_at) {
                Some((e, c)) => (e, Some(c)),
                None => (typed.text("enclosure").to_owned(), None),
            };
            let kind = match typed.text("kind") {
                "bayonet" => ClosureKind::Bayonet,
                "screws" => ClosureKind::Screws,
                _ => ClosureKind::Latch,
            };
            let count = whole(typed, "count");
            let torque_nm = typed.may_number("torque_nm");
            if kind == ClosureKind::Screws && count.is_none() {
                typed.wrong("count", "error_number_wanted");
            }
            if kind != ClosureKind::Screws {
                // A closure that had screws until now sends its old pattern along; what was typed
                // anew would be lost without a word.
                let had = def
                    .enclosures
                    .iter()
                    .flat_map(|e| &e.closures)
                    .find(|c| Some(&c.id) == old_closure.as_ref())
                    .and_then(|c| c.fasteners);
                if count.is_some() && count != had.map(|f| f.count) {
                    typed.wrong("count", "error_only_screws");
                }
                if torque_nm.is_some() && torque_nm != had.and_then(|f| f.torque_nm) {
                    typed.wrong("torque_nm", "error_only_screws");
                }
            }
            let shape = if typed.text("shape") == "frame" {
                PatternShape::Frame
            } else {
                PatternShape::Circle
            };
            let Some(e) = def.enclosures.iter_mut().find(|e| e.id == enclosure) else {
                typed.wrong("enclosure", "error_choice_wanted");
                return;
            };
            let id = old_closure
                .unwrap_or_else(|| slug(&name, &|s| e.closures.iter().any(|c| c.id == s)));
            let fasteners =
                count
                    .filter(|_| kind == ClosureKind::Screws)
                    .map(|count| FastenerPattern {
                        count,
                        shape,
                        torque_nm,
                    });
            put(
                &mut e.closures,
                Closure {
                    id: id.clone(),
                    name,
                    kind,
                    fasteners,
                },
                |c| c.id == id,
            );
        }
        "penetrator" => {
            let (enclosure, old_id) = match old.as_deref().and_then(closure_at) {
                Some((e, p)) => (e, Some(p)),
                None => (typed.text("enclosure").to_owned(), None),
            };
            let Some(e) = def.enclosures.iter_mut().find(|e| e.id == enclosure) else {
                typed.wrong("enclosure", "error_choice_wanted");
                return;
            };
            let id =
                old_id.unwrap_or_else(|| slug(&name, &|s| e.penetrators.iter().any(|p| p.id == s)));
            put(
                &mut e.penetrators,
                Penetrator {
                    id: id.clone(),
                    name,
                },
                |p| p.id == id,
            );
        }
        "seal" => {
            let id = id(&|s| def.seal(s).is_some());
            let closure = closure_at(typed.text("closure"));
            let enclosure = closure
                .as_ref()
                .map_or_else(|| typed.text("enclosure").to_owned(), |c| c.0.clone());
            let grease = match typed.text("grease") {
                "silicone" => Some(GreaseBase::Silicone),
                "mineral" => Some(GreaseBase::Mineral),
                "pfpe" => Some(GreaseBase::Perfluoropolyether),
                _ => None,
            };
            let item = Seal {
                grease,
                gland: def.seal(&id).and_then(|s| s.gland),
                id: id.clone(),
                name,
                enclosure,
                closure: closure.map(|c| c.1),
                size: typed.text("size").to_owned(),
                material: typed.text("material").to_owned(),
                hardness_shore_a: whole(typed, "hardness").unwrap_or(0),
                limits: SealLimits {
                    soft_days: whole(typed, "soft_days"),
                    hard_days: whole(typed, "hard_days"),
                    soft_openings: whole(typed, "soft_openings"),
                    hard_openings: whole(typed, "hard_openings"),
                    soft_dives: whole(typed, "soft_dives"),
                    hard_dives: whole(typed, "hard_dives"),
                },
            };
            put(&mut def.seals, item, |s| s.id == id);
        }
        "control" => {
            let id = id(&|s| def.control(s).is_some());
            let item = Control {
                id: id.clone(),
                name,
                enclosure: typed.text("enclosure").to_owned(),
                function: typed.text("function").to_owned(),
                record_trigger: typed.on("record_trigger"),
            };
            put(&mut def.controls, item, |c| c.id == id);
        }
        "lens" => {
            let id = id(&|s| def.lenses.iter().any(|l| l.id == s));
            let port = typed.must_text("port").to_owned();
            let Some((enclosure, closure)) = closure_at(typed.text("closure")) else {
                typed.wrong("closure", "error_choice_wanted");
                return;
            };
            let item = LensConfig {
                id: id.clone(),
                name,
                port,
                rings: list_of(typed.text("rings")),
                drives: list_of(typed.text("drives")),
                enclosure,
                closure,
            };
            put(&mut def.lenses, item, |l| l.id == id);
        }
        "strip_item" => {
            let id = id(&|s| def.strip_list.iter().any(|i| i.id == s));
            put(
                &mut def.strip_list,
                StripItem {
                    id: id.clone(),
                    name,
                },
                |i| i.id == id,
            );
        }
        "cable" => {
            let id = id(&|s| def.cables.iter().any(|c| c.id == s));
            let item = Cable {
                id: id.clone(),
                name,
                from: typed.text("from").to_owned(),
                to: typed.text("to").to_owned(),
            };
            put(&mut def.cables, item, |c| c.id == id);
        }
        "part" => {
            let id = id(&|s| def.parts.iter().any(|p| p.id == s));
            let mut at = |key: &str| typed.may_number(key).unwrap_or(0.0);
            let mass_at_mm = [at("mass_x"), at("mass_y"), at("mass_z")];
            let volume_at_mm = [at("volume_x"), at("volume_y"), at("volume_z")];
            let item = Part {
                id: id.clone(),
                name,
                mass_g: typed.must_number("mass_g"),
                volume_cm3: typed.must_number("volume_cm3"),
                mass_at_mm,
                volume_at_mm,
            };
            put(&mut def.parts, item, |p| p.id == id);
        }
        _ => {
            let id = id(&|s| def.mounting_points.iter().any(|p| p.id == s));
            let mut at = |key: &str| typed.may_number(key).unwrap_or(0.0);
            let at_mm = [at("x"), at("y"), at("z")];
            let capacity = whole(typed, "capacity").unwrap_or(1);
            let item = MountingPoint {
                id: id.clone(),
                name,
                at_mm,
                capacity,
            };
            put(&mut def.mounting_points, item, |p| p.id == id);
        }
    }
}

fn button(label: String, action: RigEditAction) -> RigEditButton {
    RigEditButton {
        label,
        action,
        enabled: true,
        why_not: None,
        confirm: None,
    }
}
