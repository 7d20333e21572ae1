//! Penetrators.

use super::super::cx::Typed;
use super::super::names::enclosure_name;
use super::super::spec::Spec;
use super::choices::{Inside, enclosure_field};
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{Penetrator, RigDef, slug};

pub(super) struct Penetrators;

type Item = Inside<Penetrator>;

impl Sort for Penetrators {
    type Item = Item;

    const TITLE: &'static str = "screen_edit_penetrators";
    const NEW: &'static str = "screen_edit_new_penetrator";
    const INSIDE: bool = true;

    fn all(def: &RigDef) -> Vec<Item> {
        Inside::all(def, |e| &e.penetrators)
    }

    fn id(p: &Item) -> Id {
        Id::In {
            enclosure: p.enclosure.clone(),
            id: p.item.id.clone(),
        }
    }

    fn name(_of: Of<'_>, p: &Item) -> String {
        p.item.name.clone()
    }

    fn detail(of: Of<'_>, p: &Item) -> String {
        enclosure_name(of.rig, &p.enclosure)
    }

    fn new() -> Item {
        Inside {
            enclosure: String::new(),
            item: Penetrator {
                id: String::new(),
                name: String::new(),
            },
        }
    }

    fn fields<'a>(of: Of<'a>, stood: Option<&Item>) -> Vec<Spec<'a, Item>> {
        let mut fields = vec![name_field(
            of,
            |p: &Item| &p.item.name,
            |p, v| p.item.name = v,
        )];
        if stood.is_none() {
            let at = |p: &mut Item, v| p.enclosure = v;
            fields.push(enclosure_field(of, None, |p: &Item| &p.enclosure, at));
        }
        fields
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Item>,
        p: Item,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        let Inside {
            enclosure,
            mut item,
        } = p;
        for e in def.enclosures.iter_mut().filter(|e| e.id == enclosure) {
            if stood.is_none() {
                item.id = slug(&item.name, &|s| e.penetrators.iter().any(|p| p.id == s));
            }
            put_by_id(&mut e.penetrators, item.clone(), |p| &p.id);
        }
        Ok(())
    }

    fn remove(def: &mut RigDef, p: &Item) {
        for e in def.enclosures.iter_mut().filter(|e| e.id == p.enclosure) {
            e.penetrators.retain(|o| o.id != p.item.id);
        }
    }
}
