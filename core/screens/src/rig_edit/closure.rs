//! Closures, and the screws of those that have some.

use super::super::cx::Typed;
use super::super::keys;
use super::super::names::enclosure_name;
use super::super::spec::{Spec, num, one_of, whole_num};
use super::choices::{Inside, enclosure_field};
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{Closure, ClosureKind, FastenerPattern, PatternShape, RigDef, slug};

pub(super) struct Closures;

type Item = Inside<Closure>;

impl Sort for Closures {
    type Item = Item;

    const TITLE: &'static str = "screen_edit_closures";
    const NEW: &'static str = "screen_edit_new_closure";
    const INSIDE: bool = true;

    fn all(def: &RigDef) -> Vec<Item> {
        Inside::all(def, |e| &e.closures)
    }

    fn id(c: &Item) -> Id {
        Id::In {
            enclosure: c.enclosure.clone(),
            id: c.item.id.clone(),
        }
    }

    fn name(_of: Of<'_>, c: &Item) -> String {
        c.item.name.clone()
    }

    fn detail(of: Of<'_>, c: &Item) -> String {
        enclosure_name(of.rig, &c.enclosure)
    }

    fn new() -> Item {
        Inside {
            enclosure: String::new(),
            item: Closure {
                id: String::new(),
                name: String::new(),
                kind: ClosureKind::Latch,
                fasteners: None,
            },
        }
    }

    fn fields<'a>(of: Of<'a>, stood: Option<&Item>) -> Vec<Spec<'a, Item>> {
        let mut fields = vec![name_field(
            of,
            |c: &Item| &c.item.name,
            |c, v| c.item.name = v,
        )];
        if stood.is_none() {
            let at = |c: &mut Item, v| c.enclosure = v;
            fields.push(enclosure_field(of, None, |c: &Item| &c.enclosure, at));
        }
        let kind = |word: &str, kind, label| (word.to_owned(), kind, of.t(label));
        let shape = |word: &str, shape, label| (word.to_owned(), shape, of.t(label));
        fields.extend([
            one_of(
                keys::KIND,
                of.t("screen_edit_closure_kind"),
                vec![
                    kind("latch", ClosureKind::Latch, "screen_edit_latch"),
                    kind("bayonet", ClosureKind::Bayonet, "screen_edit_bayonet"),
                    kind("screws", ClosureKind::Screws, "screen_edit_screws"),
                ],
                Some(ClosureKind::Latch),
                |c: &Item| c.item.kind,
                |c, v| c.item.kind = v,
            )
            .must(),
            whole_num(
                keys::COUNT,
                of.t("screen_edit_screw_count"),
                "",
                |c: &Item| c.item.fasteners.map(|f| f.count),
                |c, v| screws(c).count = v.unwrap_or(0),
            )
            .must_if(has_screws)
            .check(|c, stood, v| only_screws(c, stood, v, |f| Some(f64::from(f.count)))),
            one_of(
                "shape",
                of.t("screen_edit_screw_shape"),
                vec![
                    shape("circle", PatternShape::Circle, "screen_edit_circle"),
                    shape("frame", PatternShape::Frame, "screen_edit_frame"),
                ],
                Some(PatternShape::Circle),
                |c: &Item| c.item.fasteners.map_or(PatternShape::Circle, |f| f.shape),
                |c, v| screws(c).shape = v,
            ),
            num(
                "torque_nm",
                of.t("screen_edit_torque"),
                "N·m",
                |c: &Item| c.item.fasteners.and_then(|f| f.torque_nm),
                |c, v| screws(c).torque_nm = v,
            )
            .check(|c, stood, v| only_screws(c, stood, v, |f| f.torque_nm)),
        ]);
        fields
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Item>,
        c: Item,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        let Inside {
            enclosure,
            mut item,
        } = c;
        if item.kind != ClosureKind::Screws {
            item.fasteners = None;
        }
        for e in def.enclosures.iter_mut().filter(|e| e.id == enclosure) {
            if stood.is_none() {
                item.id = slug(&item.name, &|s| e.closures.iter().any(|c| c.id == s));
            }
            put_by_id(&mut e.closures, item.clone(), |c| &c.id);
        }
        Ok(())
    }

    fn remove(def: &mut RigDef, c: &Item) {
        let (enclosure, closure) = (&c.enclosure, &c.item.id);
        for e in def.enclosures.iter_mut().filter(|e| e.id == *enclosure) {
            e.closures.retain(|c| c.id != *closure);
        }
        for s in def.seals.iter_mut().filter(|s| s.enclosure == *enclosure) {
            if s.closure.as_ref() == Some(closure) {
                s.closure = None;
            }
        }
        def.lenses
            .retain(|l| l.enclosure != *enclosure || l.closure != *closure);
    }
}

fn has_screws(c: &Item) -> bool {
    c.item.kind == ClosureKind::Screws
}

fn screws(c: &mut Item) -> &mut FastenerPattern {
    c.item.fasteners.get_or_insert(FastenerPattern {
        count: 0,
        shape: PatternShape::Circle,
        torque_nm: None,
    })
}

/// A closure that had screws until now sends its old pattern along; what was typed anew of one without would be lost
/// without a word.
fn only_screws(
    c: &Item,
    stood: Option<&Item>,
    typed: f64,
    of: impl Fn(FastenerPattern) -> Option<f64>,
) -> Option<&'static str> {
    let had = stood.and_then(|s| s.item.fasteners).and_then(of);
    (!has_screws(c) && had != Some(typed)).then_some("error_only_screws")
}
