//! Where trim weights and floats hang.

use super::super::cx::Typed;
use super::super::measures::Unit;
use super::super::spec::{self, Spec, whole_num};
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{MountingPoint, RigDef, slug};

pub(super) struct MountingPoints;

impl Sort for MountingPoints {
    type Item = MountingPoint;

    const TITLE: &'static str = "screen_edit_points";
    const NEW: &'static str = "screen_edit_new_point";

    fn all(def: &RigDef) -> Vec<MountingPoint> {
        def.mounting_points.clone()
    }

    fn id(p: &MountingPoint) -> Id {
        Id::Own(p.id.clone())
    }

    fn name(_of: Of<'_>, p: &MountingPoint) -> String {
        p.name.clone()
    }

    fn detail(_of: Of<'_>, p: &MountingPoint) -> String {
        let [x, y, z] = p.at_mm;
        format!("{x:.0}, {y:.0}, {z:.0}\u{a0}mm")
    }

    fn new() -> MountingPoint {
        MountingPoint {
            id: String::new(),
            name: String::new(),
            at_mm: [0.0; 3],
            capacity: 1,
            max_mass_g: None,
        }
    }

    fn fields<'a>(of: Of<'a>, _stood: Option<&MountingPoint>) -> Vec<Spec<'a, MountingPoint>> {
        let num = |key: &str, label: &str, axis: usize| {
            let get = move |p: &MountingPoint| Some(p.at_mm[axis]);
            let set = move |p: &mut MountingPoint, v: Option<f64>| {
                p.at_mm[axis] = v.unwrap_or(0.0);
            };
            spec::num(key, of.t(label), "mm", get, set).starts_at(0.0)
        };
        vec![
            name_field(of, |p: &MountingPoint| &p.name, |p, v| p.name = v),
            num("x", "screen_edit_x", 0).hint(of.t("screen_edit_origin")),
            num("y", "screen_edit_y", 1),
            num("z", "screen_edit_z", 2),
            whole_num(
                "capacity",
                of.t("screen_edit_capacity"),
                "",
                |p: &MountingPoint| Some(p.capacity),
                |p, v| p.capacity = v.unwrap_or(1),
            )
            .starts_at(1.0)
            .must(),
            spec::num(
                "max_mass_g",
                of.t("screen_edit_max_mass"),
                Unit::Weight,
                |p: &MountingPoint| p.max_mass_g,
                |p, v| p.max_mass_g = v,
            )
            .hint(of.t("screen_edit_max_mass_hint")),
        ]
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&MountingPoint>,
        mut item: MountingPoint,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        if stood.is_none() {
            item.id = slug(&item.name, &|s| {
                def.mounting_points.iter().any(|p| p.id == s)
            });
        }
        put_by_id(&mut def.mounting_points, item, |p| &p.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, p: &MountingPoint) {
        def.mounting_points.retain(|o| o.id != p.id);
    }
}
