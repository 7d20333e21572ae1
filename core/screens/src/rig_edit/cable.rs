//! Cables.

use super::super::cx::Typed;
use super::super::spec::{Spec, text};
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{Cable, RigDef, slug};

pub(super) struct Cables;

impl Sort for Cables {
    type Item = Cable;

    const TITLE: &'static str = "screen_edit_cables";
    const NEW: &'static str = "screen_edit_new_cable";

    fn all(def: &RigDef) -> Vec<Cable> {
        def.cables.clone()
    }

    fn id(c: &Cable) -> Id {
        Id::Own(c.id.clone())
    }

    fn name(_of: Of<'_>, c: &Cable) -> String {
        c.name.clone()
    }

    fn detail(of: Of<'_>, c: &Cable) -> String {
        let (from, to) = (&c.from, &c.to);
        of.cx.say(
            "screen_edit_cable_ends",
            &[("from", from.into()), ("to", to.into())],
        )
    }

    fn new() -> Cable {
        Cable {
            id: String::new(),
            name: String::new(),
            from: String::new(),
            to: String::new(),
        }
    }

    fn fields<'a>(of: Of<'a>, _stood: Option<&Cable>) -> Vec<Spec<'a, Cable>> {
        vec![
            name_field(of, |c: &Cable| &c.name, |c, v| c.name = v),
            text(
                "from",
                of.t("screen_edit_from"),
                |c: &Cable| c.from.clone(),
                |c, v| c.from = v,
            ),
            text(
                "to",
                of.t("screen_edit_to"),
                |c: &Cable| c.to.clone(),
                |c, v| c.to = v,
            ),
        ]
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Cable>,
        mut item: Cable,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        if stood.is_none() {
            item.id = slug(&item.name, &|s| def.cables.iter().any(|c| c.id == s));
        }
        put_by_id(&mut def.cables, item, |c| &c.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, c: &Cable) {
        def.cables.retain(|o| o.id != c.id);
    }
}
