//! Editing a rig: its enclosures, closures, seals, controls, lenses and the rest.

use super::asked::{Unlikely, are_so, asked_field, wrong};
use super::common::{
    Field, FieldFault, FieldKind, FieldValue, Form, Line, Outcome, Place, Severity,
};
use super::cx::{Cx, FieldExt, Typed, button, done, fault, field, form, go, line};
use super::desk::Desk;
use super::measures::Units;
use super::names::{enclosure_name, grease_name, material_field, whole};
use super::page::{Block, Draft, Page};
use super::texts::Texts;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{
    BoxWeight, Cable, Closure, ClosureKind, Control, Enclosure, FastenerPattern, Foam, LensConfig,
    MountingPoint, Part, PatternShape, Penetrator, RigDef, Seal, SealGland, SealGlandKind,
    SealLimits, StripItem, Valve, Weighed, slug,
};
use slackwater_domain::state::RigFacts;
use slackwater_domain::trim::by_weighing;
use slackwater_physics::hold::HoldFault;
use slackwater_physics::hold::plausible::volume_slipped;
use slackwater_physics::hold::volume::{
    Pressure, Volume, by_known_volume, by_strokes, by_syringe, estimated, plausible,
};
use slackwater_physics::hold::{DEFAULT_LIMIT_VOLUME_M3, default_limit_ml};
use slackwater_physics::oring::GreaseBase;
use slackwater_physics::trim::{PartError, Quantity};
use slackwater_physics::water::{preset, presets};

pub use super::common::{Button as RigEditButton, Row as RigEditRow};

/// What the editor accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
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
    /// Puts an enclosure back that an edit took off, to be proved anew. Needs the second tap.
    PutBack {
        /// Its id.
        enclosure: String,
    },
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
}

/// A group of parts.
#[derive(Debug, Clone, PartialEq)]
pub struct EditSection {
    /// Its title ('Seals').
    pub title: String,
    /// Its parts.
    pub rows: Vec<RigEditRow>,
    /// Adds one.
    pub add: RigEditButton,
}

/// The editor.
#[derive(Debug, Clone, PartialEq)]
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
                    cx.units.plain(e.volume_l, 3),
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
                let title = cx.units.weight_named(w.mass_g, w.volume_cm3);
                (
                    format!("weight/{}", w.key()),
                    title,
                    format!("× {}", w.count),
                )
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
                let mass = format!("{}\u{a0}g", cx.units.plain(p.mass_g, 5));
                let detail = if p.inside {
                    format!("{mass}, {}", cx.t("screen_edit_is_inside"))
                } else {
                    format!("{mass}, {}\u{a0}cm³", cx.units.plain(p.volume_cm3, 5))
                };
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
                        photo: None,
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
    let measuring = ["volume-", "gland/", "part-weigh/"]
        .iter()
        .any(|how| path.starts_with(how));
    let others = if path == "add/enclosure" {
        taken_off(cx, id)?
    } else if adding || measuring || path == "rig/name" {
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
            measure(cx.t("action_measure_syringe"), "volume-syringe"),
            measure(cx.t("action_measure_known"), "volume-known"),
            measure(cx.t("action_measure_strokes"), "volume-strokes"),
            measure(cx.t("action_estimate_volume"), "volume-estimate"),
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
        if let Some(id) = path.strip_prefix("part/") {
            others.push(button(
                cx.t("action_weigh"),
                RigEditAction::OpenPart {
                    part: format!("part-weigh/{id}"),
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
    let mut fields = fields;
    fields.extend(asked_field(cx, &form_at(id, path)));
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

/// What names a form of a rig's in a question.
fn form_at(rig: &str, path: &str) -> String {
    format!("{rig}/{path}")
}

/// What puts each enclosure back that an edit took off a rig.
fn taken_off(cx: &Cx<'_>, rig: &str) -> Result<Vec<RigEditButton>, BookFault> {
    let all = cx.book.taken_off(rig)?;
    let put_back = |t: slackwater_domain::book::TakenOff| {
        let name = &t.enclosure.name;
        let when = cx.ago(t.wall_ms);
        let label = cx.say(
            "screen_edit_put_back",
            &[("name", name.into()), ("when", (&when).into())],
        );
        let mut confirm = cx.say("screen_edit_put_back_confirm", &[("name", name.into())]);
        confirm.extend(left_out(cx.texts, &t.left_out).map(|s| format!(" {s}")));
        let in_use = t
            .in_use_by
            .map(|by| cx.say("error_put_back_in_use", &[("name", (&by).into())]));
        RigEditButton {
            confirm: Some(confirm),
            enabled: in_use.is_none(),
            why_not: in_use,
            ..button(
                label,
                RigEditAction::PutBack {
                    enclosure: t.enclosure.id.clone(),
                },
            )
        }
    };
    Ok(all.into_iter().map(put_back).collect())
}

/// What doesn't come back with an enclosure, in words; none where all does.
fn left_out(texts: &Texts, names: &[String]) -> Option<String> {
    (!names.is_empty()).then(|| {
        let names = names.join(", ");
        texts.say("screen_edit_left_out", &[("names", (&names).into())])
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
        let shown = value.map(|v| cx.units.plain(v, 6)).unwrap_or_default();
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
                        e.and_then(|e| e.limit_ml).map(|ml| cx.units.from_ml(ml)),
                        cx.units.water_symbol(),
                    )
                    .hint(limit_hint(cx, e)),
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
        "volume-estimate" => {
            let e = def.enclosure(id?)?;
            let litres = |key: &str, label: &str, hint: Option<&str>| {
                let f = num(key, label, None, "L").must();
                hint.map_or(f.clone(), |h| f.hint(cx.t(h)))
            };
            let sd = |key: &str| litres(key, "screen_edit_volume_sd", None);
            let fields = vec![
                litres(
                    "displaced",
                    "screen_edit_outer",
                    Some("screen_edit_outer_hint"),
                ),
                sd("displaced_sd"),
                litres("walls", "screen_edit_walls", Some("screen_edit_walls_hint")),
                sd("walls_sd"),
                litres(
                    "contents",
                    "screen_edit_contents",
                    Some("screen_edit_contents_hint"),
                ),
                sd("contents_sd"),
                sure_field(cx),
            ];
            (
                fields,
                format!("{}: {}", e.name, cx.t("action_estimate_volume")),
            )
        }
        "volume-known" | "volume-syringe" | "volume-strokes" => {
            let e = def.enclosure(id?)?;
            let unit = cx.units.pressure.symbol();
            let (mut fields, key) = match kind {
                "volume-known" => (
                    vec![
                        num("known_ml", "screen_edit_known", None, "mL")
                            .hint(cx.t("screen_edit_known_hint"))
                            .must(),
                        num("known_sd_ml", "screen_edit_volume_sd", Some(5.0), "mL").must(),
                    ],
                    "action_measure_known",
                ),
                "volume-syringe" => (
                    vec![
                        num("syringe_ml", "screen_edit_syringe", None, "mL")
                            .hint(cx.t("screen_edit_syringe_hint"))
                            .must(),
                        num("syringe_sd_ml", "screen_edit_volume_sd", Some(2.0), "mL").must(),
                    ],
                    "action_measure_syringe",
                ),
                _ => (
                    vec![
                        num("stroke_ml", "screen_edit_stroke", None, "mL").must(),
                        num("stroke_sd_ml", "screen_edit_volume_sd", Some(2.0), "mL").must(),
                        num("strokes", "screen_edit_strokes", None, "").must(),
                    ],
                    "action_measure_strokes",
                ),
            };
            fields.push(num("ambient", "screen_hold_ambient", None, unit).must());
            if kind != "volume-strokes" {
                fields.push(num("before", "screen_edit_before", None, unit).must());
            }
            fields.push(
                num("after", "screen_edit_after", None, unit)
                    .hint(cx.t("screen_edit_after_hint"))
                    .must(),
            );
            fields.push(num("resolution", "screen_hold_resolution", Some(1.0), unit).must());
            fields.push(sure_field(cx));
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
                Some(id) => Some(def.weight_box.iter().find(|w| w.key() == id)?),
                None => None,
            };
            (
                vec![
                    num(
                        "mass_g",
                        "screen_edit_weight_mass",
                        found.map(|w| cx.units.from_g(w.mass_g)),
                        cx.units.weight_symbol(),
                    )
                    .must(),
                    num(
                        "count",
                        "screen_edit_weight_count",
                        found.map(|w| f64::from(w.count)),
                        "",
                    )
                    .must(),
                    num(
                        "volume_cm3",
                        "screen_edit_weight_volume",
                        found.and_then(|w| w.volume_cm3),
                        "cm³",
                    )
                    .hint(cx.t("screen_edit_weight_volume_hint")),
                ],
                found.map_or_else(
                    || title_new("screen_edit_new_weight"),
                    |w| cx.units.weight_named(w.mass_g, w.volume_cm3),
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
                        ("", cx.t("screen_edit_not_known")),
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
                    "mass_sd_g",
                    "screen_edit_mass_sd",
                    p.and_then(|p| p.mass_sd_g),
                    "g",
                )
                .hint(cx.t("screen_edit_mass_sd_hint")),
                switch("inside", "screen_edit_inside", p.is_some_and(|p| p.inside))
                    .hint(cx.t("screen_edit_inside_hint")),
                num(
                    "volume_cm3",
                    "screen_edit_displaced",
                    p.filter(|p| !p.inside).map(|p| p.volume_cm3),
                    "cm³",
                )
                .hint(cx.t("screen_edit_displaced_hint")),
                num(
                    "volume_sd_cm3",
                    "screen_edit_displaced_sd",
                    p.and_then(|p| p.volume_sd_cm3),
                    "cm³",
                )
                .hint(cx.t("screen_edit_displaced_sd_hint")),
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
                let position = num(key, label, Some(at.unwrap_or(0.0)), "mm");
                fields.push(if i == 0 {
                    position.hint(cx.t("screen_edit_origin"))
                } else {
                    position
                });
            }
            fields.push(
                num(
                    "centre_sd_mm",
                    "screen_edit_centre_sd",
                    p.and_then(|p| p.centre_sd_mm),
                    "mm",
                )
                .hint(cx.t("screen_edit_centre_sd_hint")),
            );
            fields.extend(foam_fields(cx, p));
            fields.extend(fitting_fields(cx, def, p));
            (
                fields,
                p.map_or_else(|| title_new("screen_edit_new_part"), |p| p.name.clone()),
            )
        }
        "part-weigh" => {
            let p = def.parts.iter().find(|p| Some(p.id.as_str()) == id)?;
            (
                weigh_fields(cx, p),
                format!("{}: {}", p.name, cx.t("action_weigh")),
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
                    num("x", "screen_edit_x", Some(at[0]), "mm").hint(cx.t("screen_edit_origin")),
                    num("y", "screen_edit_y", Some(at[1]), "mm"),
                    num("z", "screen_edit_z", Some(at[2]), "mm"),
                    num(
                        "capacity",
                        "screen_edit_capacity",
                        Some(p.map_or(1.0, |p| f64::from(p.capacity))),
                        "",
                    )
                    .must(),
                    num(
                        "max_mass_g",
                        "screen_edit_max_mass",
                        p.and_then(|p| p.max_mass_g).map(|g| cx.units.from_g(g)),
                        cx.units.weight_symbol(),
                    )
                    .hint(cx.t("screen_edit_max_mass_hint")),
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
    choices.push(("", cx.t("screen_edit_not_known")));
    field(
        "grease",
        cx.t("screen_seal_grease"),
        FieldKind::Choice,
        now.to_owned(),
    )
    .choices(choices)
}

/// What depth does to a part.
fn foam_fields(cx: &Cx<'_>, p: Option<&Part>) -> Vec<Field> {
    let foam = p.and_then(|p| p.foam);
    let (kind, gas, bulk) = match foam {
        None => ("none", None, None),
        Some(Foam::Soft { gas_share }) => ("soft", Some(gas_share * 100.0), None),
        Some(Foam::Stiff { bulk_mpa }) => ("stiff", None, Some(bulk_mpa)),
    };
    let shown = |v: Option<f64>| v.map(|v| cx.units.plain(v, 6)).unwrap_or_default();
    vec![
        field(
            "foam",
            cx.t("screen_edit_foam"),
            FieldKind::Choice,
            kind.to_owned(),
        )
        .choices(vec![
            ("none", cx.t("screen_edit_foam_none")),
            ("soft", cx.t("screen_edit_foam_soft")),
            ("stiff", cx.t("screen_edit_foam_stiff")),
        ])
        .must(),
        field(
            "gas",
            cx.t("screen_edit_gas"),
            FieldKind::Number,
            shown(gas),
        )
        .unit("%")
        .hint(cx.t("screen_edit_gas_hint")),
        field(
            "bulk_mpa",
            cx.t("screen_edit_bulk"),
            FieldKind::Number,
            shown(bulk),
        )
        .unit("MPa")
        .hint(cx.t("screen_edit_bulk_hint")),
    ]
}

/// When a part is on the rig: with which lens, in place of which part.
fn fitting_fields(cx: &Cx<'_>, def: &RigDef, p: Option<&Part>) -> Vec<Field> {
    let mut fields: Vec<Field> = def
        .lenses
        .iter()
        .map(|l| {
            let on = p.is_none_or(|p| p.lenses.is_empty() || p.lenses.contains(&l.id));
            field(
                &format!("with-{}", l.id),
                cx.say("screen_edit_with_lens", &[("name", (&l.name).into())]),
                FieldKind::Switch,
                if on { "yes" } else { "no" }.to_owned(),
            )
        })
        .collect();
    let others: Vec<(&str, String)> = def
        .parts
        .iter()
        .filter(|o| o.in_place_of.is_none() && p.is_none_or(|p| p.id != o.id))
        .map(|o| (o.id.as_str(), o.name.clone()))
        .chain([("none", cx.t("screen_edit_in_place_of_none"))])
        .collect();
    // One that others stand in for can't itself stand in.
    let stood_in_for = p.is_some_and(|p| {
        def.parts
            .iter()
            .any(|o| o.in_place_of.as_ref() == Some(&p.id))
    });
    if others.len() > 1 && !stood_in_for {
        let now = p.and_then(|p| p.in_place_of.clone());
        fields.push(
            field(
                "in_place_of",
                cx.t("screen_edit_in_place_of"),
                FieldKind::Choice,
                now.unwrap_or_else(|| "none".to_owned()),
            )
            .choices(others)
            .must(),
        );
    }
    fields
}

/// The readings of a weighing.
fn weigh_fields(cx: &Cx<'_>, p: &Part) -> Vec<Field> {
    let w = p.weighed;
    let num = |key: &str, label: &str, value: Option<f64>, unit: &str| {
        let shown = value.map(|v| cx.units.plain(v, 6)).unwrap_or_default();
        field(key, cx.t(label), FieldKind::Number, shown).unit(unit)
    };
    let mut waters: Vec<(&str, String)> = presets()
        .iter()
        .map(|p| (p.key.as_str(), super::trim_words::preset_name(cx, &p.key)))
        .collect();
    waters.push(("known", cx.t("screen_edit_weigh_known")));
    vec![
        num(
            "in_air_g",
            "screen_edit_weigh_air",
            w.map(|w| w.in_air_g),
            "g",
        )
        .must(),
        num(
            "in_water_g",
            "screen_edit_weigh_water",
            w.map(|w| w.in_water_g),
            "g",
        )
        .hint(cx.t("screen_edit_weigh_water_hint"))
        .must(),
        num(
            "sinker_g",
            "screen_edit_weigh_sinker",
            w.and_then(|w| w.sinker_g),
            "g",
        )
        .hint(cx.t("screen_edit_weigh_sinker_hint")),
        num(
            "scale_sd_g",
            "screen_edit_weigh_scale",
            Some(w.map_or(5.0, |w| w.scale_sd_g)),
            "g",
        )
        .hint(cx.t("screen_edit_weigh_scale_hint"))
        .must(),
        field(
            "water",
            cx.t("screen_edit_weigh_in"),
            FieldKind::Choice,
            if w.is_some() { "known" } else { "fresh" }.to_owned(),
        )
        .choices(waters)
        .must(),
        num(
            "water_kg_m3",
            "screen_edit_weigh_density",
            w.map(|w| w.water_kg_m3),
            "kg/m³",
        )
        .hint(cx.t("screen_edit_weigh_density_hint")),
    ]
}

/// The weighing that was typed; none where a field is wrong.
fn weighed(typed: &mut Typed<'_>, before: Option<Weighed>) -> Option<Weighed> {
    let in_air_g = typed.must_number("in_air_g");
    let in_water_g = typed.must_number("in_water_g");
    let sinker_g = typed.may_number("sinker_g");
    let scale_sd_g = typed.must_number("scale_sd_g");
    let water = typed.text("water").to_owned();
    let (water_kg_m3, water_sd_kg_m3) = if water == "known" {
        let kg_m3 = typed.must_number("water_kg_m3");
        // Kept with its own uncertainty where it is the one that was there.
        let same = before.filter(|b| (b.water_kg_m3 - kg_m3).abs() < 0.01);
        (kg_m3, same.map_or(0.5, |b| b.water_sd_kg_m3))
    } else {
        let found = preset(&water)
            .ok()
            .and_then(|p| slackwater_domain::trim::preset_water(p, 0.0).ok());
        match found {
            Some(w) => (w.kg_m3, w.sd_kg_m3),
            None => {
                typed.wrong("water", "error_choice_wanted");
                (f64::NAN, f64::NAN)
            }
        }
    };
    for key in ["in_air_g", "scale_sd_g"] {
        let value = typed.may_number(key).unwrap_or(f64::NAN);
        if value.is_finite() && value <= 0.0 {
            typed.wrong(key, "error_above_zero");
        }
    }
    typed.faults.is_empty().then_some(Weighed {
        in_air_g,
        in_water_g,
        sinker_g,
        scale_sd_g,
        water_kg_m3,
        water_sd_kg_m3,
    })
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
        RigEditAction::Remove { part } => {
            let facts = desk.book.rig(rig)?;
            let kept = ["add/", "rig/", "gland/", "volume-", "part-weigh/"]
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
        RigEditAction::PutBack { enclosure } => {
            let (recorded, names) = desk.book.put_back(rig, &enclosure)?;
            let mut said = desk.texts.get("screen_edit_said_put_back");
            said.extend(left_out(desk.texts, &names).map(|s| format!(" {s}")));
            Outcome {
                leave: true,
                ..done(recorded, said)
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
                let measured = measure(how, &mut typed, &units)
                    .and_then(|v| Ok(v.map(plausible).transpose()?));
                let measured = match measured {
                    Err(BookFault::Hold(e)) => {
                        return Ok(fault(volume_field(how, &e), desk.cx()?.faults().hold(&e)));
                    }
                    other => other?,
                };
                let Some(measured) = measured else {
                    return Ok(typed.faults().unwrap_or_default());
                };
                // Far from what stands there, it is rather a slip: asked about, not taken.
                let before = def.enclosure(enclosure).map_or(f64::NAN, |e| e.volume_l);
                let times = measured.m3 * 1e3 / before;
                let near = 1.0 / FAR_OFF..=FAR_OFF;
                if times.is_finite() && !near.contains(&times) && typed.text(SURE) != "yes" {
                    let units = desk.cx()?.units;
                    let litres = |l: f64| format!("{}\u{a0}L", units.plain(l, 3));
                    let words = desk.texts.say(
                        "error_volume_far_off",
                        &[
                            ("found", (&litres(measured.m3 * 1e3)).into()),
                            ("before", (&litres(before)).into()),
                        ],
                    );
                    return Ok(fault(SURE, words));
                }
                for e in def.enclosures.iter_mut().filter(|e| e.id == enclosure) {
                    e.volume_l = round_to(measured.m3 * 1e3, 3);
                    e.volume_sd_l = round_to(measured.sd_m3 * 1e3, 3).max(0.001);
                }
                let recorded = desk.book.edit_rig(rig, def)?;
                let units = desk.cx()?.units;
                let litres = format!(
                    "{}\u{a0}L",
                    units.rounded(measured.m3 * 1e3, measured.sd_m3 * 1e3)
                );
                let take = format!("{}\u{a0}L", units.significant(2e3 * measured.sd_m3, 1));
                let said = desk.texts.say(
                    "screen_edit_said_measured",
                    &[("volume", (&litres).into()), ("take", (&take).into())],
                );
                return Ok(Outcome {
                    leave: true,
                    ..done(recorded, said)
                });
            }
            if let Some(id) = form.strip_prefix("part-weigh/") {
                return weigh_part(desk, rig, def, id, typed);
            }
            change(&mut def, &form, &mut typed, &units);
            // A new one is none that was taken off: the other's history is not its own.
            if form == "add/enclosure"
                && let Some(new) = def.enclosures.last_mut()
                && facts.def.enclosure(&new.id).is_none()
            {
                let was = desk.book.taken_off(rig)?;
                let before = &facts.def;
                new.id = slug(&new.name, &|s| {
                    before.enclosure(s).is_some() || was.iter().any(|t| t.enclosure.id == s)
                });
            }
            if !typed.faults.is_empty() {
                return Ok(typed.faults().unwrap_or_default());
            }
            if let Err(faults) = figures_are_so(desk, rig, &form, &typed, &facts.def, &def) {
                return Ok(wrong(faults));
            }
            let recorded = desk.book.edit_rig(rig, def)?;
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get("screen_edit_said_kept"))
            }
        }
    })
}

/// A depth rating so many times what stood there, or that part of it, is rather a slip: feet for metres are 3.3
/// times, a digit too many is ten. Common practice has no figure for it.
const RATING_SLIP: f64 = 2.5;

/// A limit of more than this share of what a housing holds is no leak that a crew would dive with; no source, the
/// usual limits are a thousandth of it.
const LIMIT_SHARE: f64 = 0.1;

/// Asks about figures of an enclosure that are rather slips of the unit, the decimal sign or a digit: a free volume
/// or a depth rating far from the one that stood there, a limit beside what it holds.
fn figures_are_so(
    desk: &mut Desk,
    rig: &str,
    form: &str,
    typed: &Typed<'_>,
    before: &RigDef,
    after: &RigDef,
) -> Result<(), Vec<FieldFault>> {
    let new = match form.strip_prefix("enclosure/") {
        Some(id) => after.enclosure(id),
        None if form == "add/enclosure" => after.enclosures.last(),
        None => None,
    };
    let Some(new) = new else {
        return Ok(());
    };
    let old = before.enclosure(&new.id);
    let units = desk.cx().map_or_else(|_| Units::default(), |cx| cx.units);
    let litres = |l: f64| format!("{}\u{a0}L", units.plain(l, 3));
    let mut doubts = Vec::new();
    let known = |e: &Enclosure| (e.volume_l, e.volume_sd_l);
    if let Some(old) = old.filter(|old| volume_slipped(known(old), known(new))) {
        let stood = litres(old.volume_l);
        let why = (desk.texts).say("error_doubt_volume", &[("before", (&stood).into())]);
        let value = format!("{}\u{a0}L", typed.text("volume_l"));
        doubts.push(Unlikely::of("volume_l", value, why));
    }
    let times = |old: &&Enclosure| {
        let times = new.depth_rating_m / old.depth_rating_m;
        times.is_finite() && times > 0.0 && !(1.0 / RATING_SLIP..=RATING_SLIP).contains(&times)
    };
    if let Some(old) = old.filter(times) {
        let stood = units.depth(old.depth_rating_m);
        let why = (desk.texts).say("error_doubt_rating", &[("before", (&stood).into())]);
        let symbol = units.depth_symbol();
        let value = format!("{}\u{a0}{symbol}", typed.text("depth_rating_m"));
        doubts.push(Unlikely::of("depth_rating_m", value, why));
    }
    let large = |e: &Enclosure| {
        e.limit_ml
            .is_some_and(|ml| ml > LIMIT_SHARE * 1e3 * e.volume_l)
    };
    // One that stood there so was answered for.
    let stood = old.is_some_and(|old| large(old) && old.limit_ml == new.limit_ml);
    if large(new) && !stood {
        let holds = litres(new.volume_l);
        let why = (desk.texts).say("error_doubt_limit", &[("volume", (&holds).into())]);
        let value = format!("{}\u{a0}{}", typed.text("limit_ml"), units.water_symbol());
        doubts.push(Unlikely::of("limit_ml", value, why));
    }
    are_so(desk, &form_at(rig, form), typed, &doubts)
}

/// Takes mass and volume of a part from a weighing.
fn weigh_part(
    desk: &mut Desk,
    rig: &str,
    mut def: RigDef,
    id: &str,
    mut typed: Typed<'_>,
) -> Result<Outcome, BookFault> {
    let part = def.parts.iter_mut().find(|p| p.id == id);
    let part = part.ok_or_else(|| no_part(id))?;
    let Some(readings) = weighed(&mut typed, part.weighed) else {
        return Ok(typed.faults().unwrap_or_default());
    };
    let got = match by_weighing(&part.name, &readings) {
        Ok(got) => got,
        Err(e) => {
            let at = match &e {
                PartError::Range { quantity, .. } => match quantity {
                    Quantity::WaterDensity
                    | Quantity::WaterDensityUncertainty
                    | Quantity::AirDensity => "water_kg_m3",
                    Quantity::WeightInAir => "in_air_g",
                    Quantity::SinkerInWater => "sinker_g",
                    Quantity::ReadingUncertainty => "scale_sd_g",
                    _ => "in_water_g",
                },
                _ => "in_water_g",
            };
            return Ok(fault(at, desk.cx()?.faults().part(&e)));
        }
    };
    part.mass_g = round_to(got.mass_kg.value * 1e3, 1);
    part.volume_cm3 = round_to(got.volume_m3.value * 1e6, 1);
    part.mass_sd_g = Some(round_to(got.mass_kg.sd * 1e3, 1));
    part.volume_sd_cm3 = Some(round_to(got.volume_m3.sd * 1e6, 1));
    part.weighed = Some(readings);
    part.inside = false;
    let recorded = desk.book.edit_rig(rig, def)?;
    let units = desk.cx()?.units;
    let measured = |value: f64, sd: f64, unit: &str| {
        let shown = units.deserved(value, sd);
        let take = units.significant(2.0 * sd, 1);
        (
            format!("{shown}\u{a0}{unit}"),
            format!("{take}\u{a0}{unit}"),
        )
    };
    let (mass, mass_take) = measured(got.mass_kg.value * 1e3, got.mass_kg.sd * 1e3, "g");
    let (volume, volume_take) = measured(got.volume_m3.value * 1e6, got.volume_m3.sd * 1e6, "cm³");
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

fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    (value * scale).round() / scale
}

/// What stands where a crew sets no limit of its own.
fn limit_hint(cx: &Cx<'_>, enclosure: Option<&slackwater_domain::rig::Enclosure>) -> String {
    let litres = enclosure.map_or(DEFAULT_LIMIT_VOLUME_M3 * 1e3, |e| e.volume_l);
    let ml = default_limit_ml(litres * 1e-3);
    cx.say(
        "screen_edit_limit_hint",
        &[
            ("water", (&cx.units.water(ml)).into()),
            (
                "volume",
                (&format!("{}\u{a0}L", cx.units.plain(litres, 3))).into(),
            ),
        ],
    )
}

/// So many times more or less than what stands there, a measured volume is asked about: between
/// housings of one size no two volumes lie so far apart (common practice).
const FAR_OFF: f64 = 3.0;

/// The field that says so.
const SURE: &str = "sure";

fn sure_field(cx: &Cx<'_>) -> super::common::Field {
    field(
        SURE,
        cx.t("screen_edit_sure"),
        FieldKind::Choice,
        "no".into(),
    )
    .choices(vec![
        ("no", cx.t("screen_edit_sure_no")),
        ("yes", cx.t("screen_edit_sure_yes")),
    ])
}

/// The field of a measured volume that a fault stands at.
fn volume_field(how: &str, fault: &HoldFault) -> &'static str {
    match (how, fault) {
        (
            _,
            HoldFault::Absurd {
                what: "the pressure after",
                ..
            },
        ) => "after",
        ("volume-syringe", _) => "syringe_ml",
        ("volume-known", _) => "known_ml",
        ("volume-strokes", _) => "stroke_ml",
        _ => "displaced",
    }
}

/// A volume from what was typed; none where a field is wrong.
fn measure(how: &str, typed: &mut Typed<'_>, units: &Units) -> Result<Option<Volume>, BookFault> {
    if how == "volume-estimate" {
        let mut volume = |key: &str| Volume {
            m3: typed.must_number(key) * 1e-3,
            sd_m3: typed.must_number(&format!("{key}_sd")) * 1e-3,
        };
        let (displaced, walls, contents) =
            (volume("displaced"), volume("walls"), volume("contents"));
        if !typed.faults.is_empty() {
            return Ok(None);
        }
        return Ok(Some(estimated(displaced, walls, &[contents])?));
    }
    let unit = units.pressure;
    let ambient = unit.to_pa(typed.must_number("ambient"));
    // The gauge shows vacuum below ambient here.
    let after = ambient - unit.to_pa(typed.must_number("after"));
    // A display's step spreads a reading evenly: sd = step / sqrt(12) (JCGM 100:2008, 4.3.7).
    let sd = unit.to_pa(typed.must_number("resolution")) / 12f64.sqrt();
    let pressure = |pa: f64| Pressure { pa, sd_pa: sd };
    if how == "volume-syringe" {
        let air = Volume {
            m3: typed.must_number("syringe_ml") * 1e-6,
            sd_m3: typed.must_number("syringe_sd_ml") * 1e-6,
        };
        let before = ambient - unit.to_pa(typed.must_number("before"));
        if !typed.faults.is_empty() {
            return Ok(None);
        }
        Ok(Some(by_syringe(
            air,
            pressure(ambient),
            pressure(before),
            pressure(after),
        )?))
    } else if how == "volume-known" {
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
        "weight" => def.weight_box.retain(|w| w.key() != id),
        "seal" => def.seals.retain(|s| s.id != id),
        "control" => def.controls.retain(|c| c.id != id),
        "lens" => {
            def.lenses.retain(|l| l.id != id);
            // A part that came with this lens alone would be on the rig always: it goes with it.
            def.parts.retain(|p| p.lenses != [id.to_owned()]);
            for p in &mut def.parts {
                p.lenses.retain(|l| l != id);
            }
        }
        "strip_item" => def.strip_list.retain(|s| s.id != id),
        "cable" => def.cables.retain(|c| c.id != id),
        "part" => {
            def.parts.retain(|p| p.id != id);
            // What stood in for it stands for itself now.
            for p in &mut def.parts {
                if p.in_place_of.as_deref() == Some(id) {
                    p.in_place_of = None;
                }
            }
        }
        "mounting_point" => def.mounting_points.retain(|p| p.id != id),
        _ => {}
    }
    if def.lens.is_some() && def.lens().is_none() {
        def.lens = None;
    }
    let lenses: Vec<String> = def.lenses.iter().map(|l| l.id.clone()).collect();
    for p in &mut def.parts {
        p.lenses.retain(|l| lenses.contains(l));
    }
    let stand_ins: Vec<String> = def
        .parts
        .iter()
        .filter(|p| p.in_place_of.is_some())
        .map(|p| p.id.clone())
        .collect();
    def.swapped.retain(|id| stand_ins.contains(id));
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
fn change(def: &mut RigDef, path: &str, typed: &mut Typed<'_>, units: &Units) {
    let (kind, old) = match path.split_once('/') {
        Some(("add", kind)) => (kind, None),
        Some((kind, id)) => (kind, Some(id.to_owned())),
        None => (path, None),
    };
    if kind == "weight" {
        let typed_mass = typed.must_number("mass_g");
        let count = whole(typed, "count");
        if count.is_none() {
            typed.wrong("count", "error_number_wanted");
        }
        let volume_cm3 = typed.may_number("volume_cm3");
        let before = (old.as_ref()).and_then(|key| def.weight_box.iter().find(|w| w.key() == *key));
        // What was not touched is not rounded by the way it is shown.
        let mass_g = before
            .map(|w| w.mass_g)
            .filter(|g| units.shows(units.from_g(*g), 6, typed.text("mass_g")))
            .unwrap_or_else(|| units.to_g(typed_mass));
        let item = BoxWeight {
            mass_g,
            count: count.unwrap_or(0),
            volume_cm3,
        };
        match old.and_then(|key| def.weight_box.iter().position(|w| w.key() == key)) {
            Some(at) => def.weight_box[at] = item,
            None => def.weight_box.push(item),
        }
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
                limit_ml: typed.may_number("limit_ml").map(|v| units.to_ml(v)),
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
            let before = def.part(&id).cloned();
            let inside = typed.on("inside");
            let figure = |key: &str, was: Option<f64>| {
                // What was not touched is not rounded by the way it is shown.
                was.filter(|v| units.shows(*v, 6, typed.text(key)))
            };
            let (mass_was, volume_was) = (
                figure("mass_g", before.as_ref().map(|b| b.mass_g)),
                figure("volume_cm3", before.as_ref().map(|b| b.volume_cm3)),
            );
            // Figures typed over are no longer those of the weighing.
            let weighed = before
                .as_ref()
                .and_then(|b| b.weighed)
                .filter(|_| mass_was.is_some() && volume_was.is_some() && !inside);
            let mass_g = typed.must_number("mass_g");
            let volume_cm3 = if inside {
                let _ = typed.may_number("volume_cm3");
                0.0
            } else {
                typed.must_number("volume_cm3")
            };
            if !inside && volume_cm3.is_finite() && volume_cm3 <= 0.0 {
                typed.wrong("volume_cm3", "error_above_zero");
            }
            // Read whether or not they are asked for: what is no figure is not swallowed.
            let gas = typed.may_number("gas");
            let bulk = typed.may_number("bulk_mpa");
            if gas.is_some_and(|g| g.is_finite() && !(0.0..=100.0).contains(&g)) {
                typed.wrong("gas", "error_percent");
            }
            if bulk.is_some_and(|b| b.is_finite() && !(0.1..=1e6).contains(&b)) {
                typed.wrong("bulk_mpa", "error_bulk");
            }
            let foam = match typed.text("foam") {
                "soft" => Some(Foam::Soft {
                    gas_share: typed.must_number("gas") / 100.0,
                }),
                "stiff" => Some(Foam::Stiff {
                    bulk_mpa: typed.must_number("bulk_mpa"),
                }),
                _ => None,
            };
            let with: Vec<String> = def
                .lenses
                .iter()
                .filter(|l| typed.on(&format!("with-{}", l.id)))
                .map(|l| l.id.clone())
                .collect();
            // With each lens is always; with none at all it would never be on the rig.
            let always = with.is_empty() || with.len() == def.lenses.len();
            let in_place_of = match typed.text("in_place_of") {
                "" | "none" => None,
                other => Some(other.to_owned()),
            };
            let item = Part {
                id: id.clone(),
                name,
                mass_g: mass_was.unwrap_or(mass_g),
                volume_cm3: volume_was.filter(|_| !inside).unwrap_or(volume_cm3),
                inside,
                mass_sd_g: typed.may_number("mass_sd_g"),
                volume_sd_cm3: typed.may_number("volume_sd_cm3"),
                mass_at_mm,
                volume_at_mm,
                centre_sd_mm: typed.may_number("centre_sd_mm"),
                foam,
                weighed,
                lenses: if always { Vec::new() } else { with },
                in_place_of,
            };
            if item.in_place_of.is_none() {
                def.swapped.retain(|s| *s != id);
            }
            put(&mut def.parts, item, |p| p.id == id);
        }
        _ => {
            let id = id(&|s| def.mounting_points.iter().any(|p| p.id == s));
            let mut at = |key: &str| typed.may_number(key).unwrap_or(0.0);
            let at_mm = [at("x"), at("y"), at("z")];
            let capacity = whole(typed, "capacity").unwrap_or(1);
            let max_mass_g = typed.may_number("max_mass_g").map(|v| units.to_g(v));
            let item = MountingPoint {
                id: id.clone(),
                name,
                at_mm,
                capacity,
                max_mass_g,
            };
            put(&mut def.mounting_points, item, |p| p.id == id);
        }
    }
}

impl RigEditScreen {
    pub(super) fn page(self) -> Page {
        let at_thumb = self.main.is_none();
        let mut draft = Draft::new(&self.title, "")
            .lines(self.notice)
            .fields(self.form, at_thumb);
        for section in self.sections {
            draft = draft
                .title(&section.title)
                .rows("", section.rows)
                .block(Block::Buttons {
                    title: String::new(),
                    buttons: vec![section.add],
                    adds_to: section.title,
                });
        }
        draft.buttons("", self.others).main(self.main).done()
    }
}
