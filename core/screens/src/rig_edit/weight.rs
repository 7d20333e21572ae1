//! Sizes of weights and floats in the crew's box.

use super::super::cx::Typed;
use super::super::keys;
use super::super::measures::Unit;
use super::super::spec::{Spec, must_num, num, whole_num};
use super::kind::{Of, Sort};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{BoxWeight, RigDef};

pub(super) struct Weights;

impl Sort for Weights {
    type Item = BoxWeight;

    const TITLE: &'static str = "screen_edit_weights";
    const NEW: &'static str = "screen_edit_new_weight";

    fn all(def: &RigDef) -> Vec<BoxWeight> {
        def.weight_box.clone()
    }

    fn id(w: &BoxWeight) -> Id {
        Id::Own(w.key())
    }

    fn name(of: Of<'_>, w: &BoxWeight) -> String {
        of.cx.units.weight_named(w.mass_g, w.volume_cm3)
    }

    fn detail(_of: Of<'_>, w: &BoxWeight) -> String {
        format!("× {}", w.count)
    }

    fn new() -> BoxWeight {
        BoxWeight {
            mass_g: f64::NAN,
            count: 0,
            volume_cm3: None,
        }
    }

    fn fields<'a>(of: Of<'a>, _stood: Option<&BoxWeight>) -> Vec<Spec<'a, BoxWeight>> {
        vec![
            must_num(
                keys::MASS,
                of.t("screen_edit_weight_mass"),
                Unit::Weight,
                |w: &BoxWeight| w.mass_g,
                |w, v| w.mass_g = v,
            ),
            whole_num(
                keys::COUNT,
                of.t("screen_edit_weight_count"),
                "",
                |w: &BoxWeight| Some(w.count),
                |w, v| w.count = v.unwrap_or(0),
            )
            .must(),
            num(
                keys::DISPLACED,
                of.t("screen_edit_weight_volume"),
                "cm³",
                |w: &BoxWeight| w.volume_cm3,
                |w, v| w.volume_cm3 = v,
            )
            .hint(of.t("screen_edit_weight_volume_hint")),
        ]
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&BoxWeight>,
        item: BoxWeight,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        // Its key changes with its mass: the place is that of the one that stood there.
        let key = stood.map(BoxWeight::key);
        let at = key.and_then(|key| def.weight_box.iter().position(|w| w.key() == key));
        match at {
            Some(at) => def.weight_box[at] = item,
            None => def.weight_box.push(item),
        }
        def.weight_box.sort_by(|a, b| a.mass_g.total_cmp(&b.mass_g));
        Ok(())
    }

    fn remove(def: &mut RigDef, w: &BoxWeight) {
        def.weight_box.retain(|o| o.key() != w.key());
    }
}
