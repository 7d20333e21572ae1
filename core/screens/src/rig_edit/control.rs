//! Controls.

use super::super::cx::Typed;
use super::super::names::function_of;
use super::super::spec::{Spec, switch, text};
use super::choices::enclosure_field;
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{Control, RigDef, slug};

pub(super) struct Controls;

impl Sort for Controls {
    type Item = Control;

    const TITLE: &'static str = "screen_edit_controls";
    const NEW: &'static str = "screen_edit_new_control";

    fn all(def: &RigDef) -> Vec<Control> {
        def.controls.clone()
    }

    fn id(c: &Control) -> Id {
        Id::Own(c.id.clone())
    }

    fn name(_of: Of<'_>, c: &Control) -> String {
        c.name.clone()
    }

    fn detail(of: Of<'_>, c: &Control) -> String {
        function_of(of.cx, c)
    }

    fn new() -> Control {
        Control {
            id: String::new(),
            name: String::new(),
            enclosure: String::new(),
            function: String::new(),
            record_trigger: false,
        }
    }

    fn fields<'a>(of: Of<'a>, _stood: Option<&Control>) -> Vec<Spec<'a, Control>> {
        vec![
            name_field(of, |c: &Control| &c.name, |c, v| c.name = v),
            enclosure_field(
                of,
                Some(String::new()),
                |c: &Control| &c.enclosure,
                |c, v| c.enclosure = v,
            ),
            text(
                "function",
                of.t("screen_edit_function"),
                |c: &Control| c.function.clone(),
                |c, v| c.function = v,
            ),
            switch(
                "record_trigger",
                of.t("screen_rig_record_trigger"),
                |c: &Control| c.record_trigger,
                |c, on| c.record_trigger = on,
            ),
        ]
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Control>,
        mut item: Control,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        if stood.is_none() {
            item.id = slug(&item.name, &|s| def.control(s).is_some());
        }
        put_by_id(&mut def.controls, item, |c| &c.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, c: &Control) {
        def.controls.retain(|o| o.id != c.id);
    }
}
