//! What came off the camera and goes back.

use super::super::cx::Typed;
use super::super::spec::Spec;
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::Id;
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::{RigDef, StripItem, slug};

pub(super) struct StripItems;

impl Sort for StripItems {
    type Item = StripItem;

    const TITLE: &'static str = "screen_edit_strip";
    const NEW: &'static str = "screen_edit_new_strip";

    fn all(def: &RigDef) -> Vec<StripItem> {
        def.strip_list.clone()
    }

    fn id(s: &StripItem) -> Id {
        Id::Own(s.id.clone())
    }

    fn name(_of: Of<'_>, s: &StripItem) -> String {
        s.name.clone()
    }

    fn detail(_of: Of<'_>, _s: &StripItem) -> String {
        String::new()
    }

    fn new() -> StripItem {
        StripItem {
            id: String::new(),
            name: String::new(),
        }
    }

    fn fields<'a>(of: Of<'a>, _stood: Option<&StripItem>) -> Vec<Spec<'a, StripItem>> {
        vec![name_field(of, |s: &StripItem| &s.name, |s, v| s.name = v)]
    }

    fn put(
        _of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&StripItem>,
        mut item: StripItem,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        if stood.is_none() {
            item.id = slug(&item.name, &|s| def.strip_list.iter().any(|i| i.id == s));
        }
        put_by_id(&mut def.strip_list, item, |i| &i.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, s: &StripItem) {
        def.strip_list.retain(|o| o.id != s.id);
    }
}
