//! Seals: the o-ring that belongs in each place, and when it is due.

use super::super::cx::Typed;
use super::super::keys;
use super::super::names::{enclosure_name, grease_name, material_choices};
use super::super::spec::{self, Spec, one_of, text};
use super::choices::{closure_field, enclosure_field};
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::{EditAt, Id};
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{RigDef, Seal, SealLimits, slug};
use slackwater_physics::oring::{self, GreaseBase};

pub(super) struct Seals;

impl Sort for Seals {
    type Item = Seal;

    const TITLE: &'static str = "screen_edit_seals";
    const NEW: &'static str = "screen_edit_new_seal";

    fn all(def: &RigDef) -> Vec<Seal> {
        def.seals.clone()
    }

    fn id(s: &Seal) -> Id {
        Id::Own(s.id.clone())
    }

    fn name(_of: Of<'_>, s: &Seal) -> String {
        s.name.clone()
    }

    fn detail(of: Of<'_>, s: &Seal) -> String {
        let at = enclosure_name(of.rig, &s.enclosure);
        let mut detail = vec![at.as_str(), s.size.as_str(), s.material.as_str()];
        detail.retain(|d| !d.is_empty());
        detail.join(", ")
    }

    fn new() -> Seal {
        Seal {
            id: String::new(),
            name: String::new(),
            enclosure: String::new(),
            closure: None,
            size: String::new(),
            material: String::new(),
            hardness_shore_a: 0,
            limits: SealLimits::default(),
            grease: None,
            gland: None,
        }
    }

    fn fields<'a>(of: Of<'a>, _stood: Option<&Seal>) -> Vec<Spec<'a, Seal>> {
        let whole_num = |key: &str, label: &str, unit: &'static str, at: Limit| {
            let set = move |s: &mut Seal, v| *at(&mut s.limits) = v;
            spec::whole_num(
                key,
                of.t(label),
                unit,
                move |s: &Seal| *at(&mut s.limits.clone()),
                set,
            )
        };
        vec![
            name_field(of, |s: &Seal| &s.name, |s, v| s.name = v),
            enclosure_field(
                of,
                Some(String::new()),
                |s: &Seal| &s.enclosure,
                |s, v| s.enclosure = v,
            ),
            closure_field(
                of,
                true,
                |s: &Seal| Some((s.enclosure.clone(), s.closure.clone()?)),
                |s, at| {
                    // The closure says which enclosure.
                    s.closure = at.map(|(enclosure, closure)| {
                        s.enclosure = enclosure;
                        closure
                    });
                },
            ),
            text(
                keys::SIZE,
                of.t("screen_seal_size"),
                |s: &Seal| s.size.clone(),
                |s, v| s.size = v,
            )
            .hint(of.t("screen_seal_size_hint")),
            material(of),
            spec::whole_num(
                keys::HARDNESS,
                of.t("screen_edit_hardness"),
                "Shore A",
                |s: &Seal| Some(s.hardness_shore_a).filter(|h| *h > 0),
                |s, v| s.hardness_shore_a = v.unwrap_or(0),
            ),
            whole_num("soft_days", "screen_edit_soft_days", "d", |l| {
                &mut l.soft_days
            }),
            whole_num("hard_days", "screen_edit_hard_days", "d", |l| {
                &mut l.hard_days
            }),
            whole_num("soft_openings", "screen_edit_soft_openings", "", |l| {
                &mut l.soft_openings
            }),
            whole_num("hard_openings", "screen_edit_hard_openings", "", |l| {
                &mut l.hard_openings
            }),
            whole_num("soft_dives", "screen_edit_soft_dives", "", |l| {
                &mut l.soft_dives
            }),
            whole_num("hard_dives", "screen_edit_hard_dives", "", |l| {
                &mut l.hard_dives
            }),
            grease(of),
        ]
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Seal>,
        mut item: Seal,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        if stood.is_none() {
            item.id = slug(&item.name, &|s| def.seal(s).is_some());
        }
        put_by_id(&mut def.seals, item, |s| &s.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, s: &Seal) {
        def.seals.retain(|o| o.id != s.id);
    }

    fn leads(of: Of<'_>, s: &Seal) -> Vec<(String, EditAt)> {
        vec![(of.t("action_gland"), EditAt::Gland(s.id.clone()))]
    }
}

type Limit = fn(&mut SealLimits) -> &mut Option<u32>;

/// The field of the material. One that is called otherwise by the crew than by the catalogue keeps its name until
/// another is chosen.
fn material(of: Of<'_>) -> Spec<'_, Seal> {
    let code = |s: &Seal| {
        oring::material(&s.material).map_or_else(|_| s.material.clone(), |m| m.code.clone())
    };
    let each = |(code, name): (&str, String)| (code.to_owned(), code.to_owned(), name);
    one_of(
        keys::MATERIAL,
        of.t("screen_seal_material"),
        material_choices(of.cx).into_iter().map(each).collect(),
        Some(String::new()),
        code,
        move |s, chosen| {
            if chosen.is_empty() || code(s) != chosen {
                s.material = chosen;
            }
        },
    )
    .or_drawn(|s| s.material.clone())
}

/// The field of the grease in use.
fn grease(of: Of<'_>) -> Spec<'_, Seal> {
    let base = |word: &str, base| (word.to_owned(), Some(base), grease_name(of.cx, base));
    one_of(
        "grease",
        of.t("screen_seal_grease"),
        vec![
            base("silicone", GreaseBase::Silicone),
            base("mineral", GreaseBase::Mineral),
            base("pfpe", GreaseBase::Perfluoropolyether),
            (String::new(), None, of.t("screen_edit_not_known")),
        ],
        Some(None),
        |s: &Seal| s.grease,
        |s, v| s.grease = v,
    )
}
