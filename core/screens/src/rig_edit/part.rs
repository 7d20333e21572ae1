//! Parts with mass and volume: where both are, what depth does to them, with which lens they are on the rig.

use super::super::cx::Typed;
use super::super::keys;
use super::super::measures::Unit;
use super::super::spec::{self, Spec, must_num, num, one_of, switch};
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::{EditAt, Id};
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{Foam, Part, RigDef, slug};

pub(super) struct Parts;

impl Sort for Parts {
    type Item = Part;

    const TITLE: &'static str = "screen_edit_parts";
    const NEW: &'static str = "screen_edit_new_part";

    fn all(def: &RigDef) -> Vec<Part> {
        def.parts.clone()
    }

    fn id(p: &Part) -> Id {
        Id::Own(p.id.clone())
    }

    fn name(_of: Of<'_>, p: &Part) -> String {
        p.name.clone()
    }

    fn detail(of: Of<'_>, p: &Part) -> String {
        let units = of.cx.units;
        let mass = format!("{}\u{a0}g", units.plain(p.mass_g, 5));
        if p.inside {
            format!("{mass}, {}", of.t("screen_edit_is_inside"))
        } else {
            format!("{mass}, {}\u{a0}cm³", units.plain(p.volume_cm3, 5))
        }
    }

    fn new() -> Part {
        Part {
            mass_g: f64::NAN,
            volume_cm3: f64::NAN,
            ..Part::default()
        }
    }

    fn fields<'a>(of: Of<'a>, stood: Option<&Part>) -> Vec<Spec<'a, Part>> {
        let mut fields = vec![name_field(of, |p: &Part| &p.name, |p, v| p.name = v)];
        fields.extend(amounts(of));
        fields.extend(centres(of));
        fields.extend(foam(of));
        fields.extend(lenses(of));
        fields.extend(in_place_of(of, stood));
        fields
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Part>,
        mut item: Part,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        // Figures typed over are no longer those of the weighing.
        let as_weighed = stood.is_some_and(|s| {
            !item.inside && item.mass_g == s.mass_g && item.volume_cm3 == s.volume_cm3
        });
        if !as_weighed {
            item.weighed = None;
        }
        item.lenses
            .retain(|id| def.lenses.iter().any(|l| l.id == *id));
        // With each lens is always; with none at all it would never be on the rig.
        if item.lenses.len() == def.lenses.len() {
            item.lenses.clear();
        }
        if stood.is_none() {
            item.id = slug(&item.name, &|s| def.parts.iter().any(|p| p.id == s));
        }
        // One that others stand in for has no field to say so, and can't itself stand in.
        if stood_in_for(&def.parts, &item.id) {
            item.in_place_of = None;
        }
        if item.in_place_of.is_none() {
            def.swapped.retain(|s| *s != item.id);
        }
        put_by_id(&mut def.parts, item, |p| &p.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, p: &Part) {
        def.parts.retain(|o| o.id != p.id);
        // What stood in for it stands for itself now.
        for o in &mut def.parts {
            if o.in_place_of.as_ref() == Some(&p.id) {
                o.in_place_of = None;
            }
        }
    }

    fn leads(of: Of<'_>, p: &Part) -> Vec<(String, EditAt)> {
        vec![(of.t("action_weigh"), EditAt::Weigh(p.id.clone()))]
    }
}

/// Mass and displaced volume, and how well each is known.
fn amounts(of: Of<'_>) -> [Spec<'_, Part>; 5] {
    [
        must_num(
            keys::MASS,
            of.t("screen_edit_mass"),
            "g",
            |p: &Part| p.mass_g,
            |p, v| p.mass_g = v,
        ),
        num(
            "mass_sd_g",
            of.t("screen_edit_mass_sd"),
            "g",
            |p: &Part| p.mass_sd_g,
            |p, v| p.mass_sd_g = v,
        )
        .hint(of.t("screen_edit_mass_sd_hint")),
        switch(
            keys::INSIDE,
            of.t("screen_edit_inside"),
            |p: &Part| p.inside,
            |p, on| p.inside = on,
        )
        .hint(of.t("screen_edit_inside_hint")),
        num(
            keys::DISPLACED,
            of.t("screen_edit_displaced"),
            "cm³",
            |p: &Part| (!p.inside).then_some(p.volume_cm3),
            |p, v| {
                p.volume_cm3 = if p.inside { 0.0 } else { v.unwrap_or(f64::NAN) };
            },
        )
        .must_if(|p| !p.inside)
        .check(|p, _, v| (!p.inside && v <= 0.0).then_some("error_above_zero"))
        .hint(of.t("screen_edit_displaced_hint")),
        num(
            "volume_sd_cm3",
            of.t("screen_edit_displaced_sd"),
            "cm³",
            |p: &Part| p.volume_sd_cm3,
            |p, v| p.volume_sd_cm3 = v,
        )
        .hint(of.t("screen_edit_displaced_sd_hint")),
    ]
}

/// Where both centres are, and how well that is known.
fn centres(of: Of<'_>) -> [Spec<'_, Part>; 7] {
    type Centre = fn(&mut Part) -> &mut [f64; 3];
    let num = |key: &str, label: &str, at: Centre, axis: usize| {
        let get = move |p: &Part| Some(at(&mut p.clone())[axis]);
        let set = move |p: &mut Part, v: Option<f64>| at(p)[axis] = v.unwrap_or(0.0);
        spec::num(key, of.t(label), "mm", get, set).starts_at(0.0)
    };
    let mass: Centre = |p| &mut p.mass_at_mm;
    let volume: Centre = |p| &mut p.volume_at_mm;
    [
        num("mass_x", "screen_edit_mass_x", mass, 0).hint(of.t("screen_edit_origin")),
        num("mass_y", "screen_edit_mass_y", mass, 1),
        num("mass_z", "screen_edit_mass_z", mass, 2),
        num("volume_x", "screen_edit_volume_x", volume, 0),
        num("volume_y", "screen_edit_volume_y", volume, 1),
        num("volume_z", "screen_edit_volume_z", volume, 2),
        spec::num(
            "centre_sd_mm",
            of.t("screen_edit_centre_sd"),
            "mm",
            |p: &Part| p.centre_sd_mm,
            |p, v| p.centre_sd_mm = v,
        )
        .hint(of.t("screen_edit_centre_sd_hint")),
    ]
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum FoamKind {
    None,
    Soft,
    Stiff,
}

fn foam_kind(p: &Part) -> FoamKind {
    match p.foam {
        None => FoamKind::None,
        Some(Foam::Soft { .. }) => FoamKind::Soft,
        Some(Foam::Stiff { .. }) => FoamKind::Stiff,
    }
}

/// What depth does to it. Both figures are read whether or not they are asked for: what is none is not swallowed.
fn foam(of: Of<'_>) -> [Spec<'_, Part>; 3] {
    let kind = |word: &str, kind, label| (word.to_owned(), kind, of.t(label));
    [
        one_of(
            "foam",
            of.t("screen_edit_foam"),
            vec![
                kind("none", FoamKind::None, "screen_edit_foam_none"),
                kind("soft", FoamKind::Soft, "screen_edit_foam_soft"),
                kind("stiff", FoamKind::Stiff, "screen_edit_foam_stiff"),
            ],
            Some(FoamKind::None),
            foam_kind,
            |p, kind| {
                let unknown = f64::NAN;
                p.foam = match kind {
                    FoamKind::None => None,
                    FoamKind::Soft => Some(Foam::Soft { gas_share: unknown }),
                    FoamKind::Stiff => Some(Foam::Stiff { bulk_mpa: unknown }),
                };
            },
        )
        .must(),
        num(
            "gas",
            of.t("screen_edit_gas"),
            Unit::Percent,
            |p: &Part| match p.foam {
                Some(Foam::Soft { gas_share }) => Some(gas_share),
                _ => None,
            },
            |p, v| {
                if let Some(Foam::Soft { gas_share }) = &mut p.foam {
                    *gas_share = v.unwrap_or(f64::NAN);
                }
            },
        )
        .must_if(|p| foam_kind(p) == FoamKind::Soft)
        .check(|_, _, v| (!(0.0..=1.0).contains(&v)).then_some("error_percent"))
        .hint(of.t("screen_edit_gas_hint")),
        num(
            "bulk_mpa",
            of.t("screen_edit_bulk"),
            "MPa",
            |p: &Part| match p.foam {
                Some(Foam::Stiff { bulk_mpa }) => Some(bulk_mpa),
                _ => None,
            },
            |p, v| {
                if let Some(Foam::Stiff { bulk_mpa }) = &mut p.foam {
                    *bulk_mpa = v.unwrap_or(f64::NAN);
                }
            },
        )
        .must_if(|p| foam_kind(p) == FoamKind::Stiff)
        .check(|_, _, v| (!(0.1..=1e6).contains(&v)).then_some("error_bulk"))
        .hint(of.t("screen_edit_bulk_hint")),
    ]
}

/// With which lenses it is on the rig: a switch each.
fn lenses(of: Of<'_>) -> Vec<Spec<'_, Part>> {
    let each = |l: &'_ slackwater_domain::rig::LensConfig| {
        let (is, id) = (l.id.clone(), l.id.clone());
        switch(
            &format!("with-{}", l.id),
            of.cx
                .say("screen_edit_with_lens", &[("name", (&l.name).into())]),
            move |p: &Part| p.lenses.is_empty() || p.lenses.contains(&is),
            move |p, on| {
                p.lenses.retain(|l| *l != id);
                if on {
                    p.lenses.push(id.clone());
                }
            },
        )
        .starts("yes")
    };
    of.def().lenses.iter().map(each).collect()
}

/// In place of which part it is on the rig. One that others stand in for can't itself stand in.
fn in_place_of<'a>(of: Of<'a>, stood: Option<&Part>) -> Option<Spec<'a, Part>> {
    let parts = &of.def().parts;
    let mut all: Vec<(String, Option<String>, String)> = parts
        .iter()
        .filter(|o| o.in_place_of.is_none() && stood.is_none_or(|p| p.id != o.id))
        .map(|o| (o.id.clone(), Some(o.id.clone()), o.name.clone()))
        .collect();
    if all.is_empty() || stood.is_some_and(|p| stood_in_for(parts, &p.id)) {
        return None;
    }
    all.push(("none".into(), None, of.t("screen_edit_in_place_of_none")));
    let spec = one_of(
        "in_place_of",
        of.t("screen_edit_in_place_of"),
        all,
        Some(None),
        |p: &Part| p.in_place_of.clone(),
        |p, v| p.in_place_of = v,
    );
    let stands = |p: &Part| p.in_place_of.clone().unwrap_or_default();
    Some(spec.or_drawn(stands).must())
}

/// Whether others of the parts stand in for this one.
fn stood_in_for(parts: &[Part], id: &str) -> bool {
    parts.iter().any(|o| o.in_place_of.as_deref() == Some(id))
}
