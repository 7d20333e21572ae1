//! Lenses, each with its port, rings and drives.

use super::super::cx::Typed;
use super::super::spec::{Spec, list, text};
use super::choices::closure_field;
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{LensConfig, RigDef, slug};

pub(super) struct Lenses;

impl Sort for Lenses {
    type Item = LensConfig;

    const TITLE: &'static str = "screen_edit_lenses";
    const NEW: &'static str = "screen_edit_new_lens";

    fn all(def: &RigDef) -> Vec<LensConfig> {
        def.lenses.clone()
    }

    fn id(l: &LensConfig) -> Id {
        Id::Own(l.id.clone())
    }

    fn name(_of: Of<'_>, l: &LensConfig) -> String {
        l.name.clone()
    }

    fn detail(_of: Of<'_>, l: &LensConfig) -> String {
        let mut port = vec![l.port.as_str()];
        port.extend(l.rings.iter().map(String::as_str));
        port.join(", ")
    }

    fn new() -> LensConfig {
        LensConfig {
            id: String::new(),
            name: String::new(),
            port: String::new(),
            rings: Vec::new(),
            drives: Vec::new(),
            enclosure: String::new(),
            closure: String::new(),
        }
    }

    fn fields<'a>(of: Of<'a>, _stood: Option<&LensConfig>) -> Vec<Spec<'a, LensConfig>> {
        vec![
            name_field(of, |l: &LensConfig| &l.name, |l, v| l.name = v),
            text(
                "port",
                of.t("screen_rig_port"),
                |l: &LensConfig| l.port.clone(),
                |l, v| l.port = v,
            )
            .must(),
            list(
                "rings",
                of.t("screen_edit_rings"),
                |l: &LensConfig| &l.rings,
                |l, v| l.rings = v,
            )
            .hint(of.t("screen_edit_list_hint")),
            list(
                "drives",
                of.t("screen_edit_drives"),
                |l: &LensConfig| &l.drives,
                |l, v| l.drives = v,
            )
            .hint(of.t("screen_edit_list_hint")),
            closure_field(
                of,
                false,
                |l: &LensConfig| Some((l.enclosure.clone(), l.closure.clone())),
                |l, at| (l.enclosure, l.closure) = at.unwrap_or_default(),
            )
            .must(),
        ]
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&LensConfig>,
        mut item: LensConfig,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        if stood.is_none() {
            item.id = slug(&item.name, &|s| def.lenses.iter().any(|l| l.id == s));
        }
        put_by_id(&mut def.lenses, item, |l| &l.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, l: &LensConfig) {
        def.lenses.retain(|o| o.id != l.id);
        // A part that came with this lens alone would be on the rig always: it goes with it.
        def.parts.retain(|p| p.lenses != [l.id.as_str()]);
        for p in &mut def.parts {
            p.lenses.retain(|id| *id != l.id);
        }
    }
}
