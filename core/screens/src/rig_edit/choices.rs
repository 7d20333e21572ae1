//! Fields in which something else of the rig is chosen.

use super::super::keys;
use super::super::spec::{Spec, one_of};
use super::kind::Of;
use slackwater_domain::rig::{Enclosure, RigDef};
use std::rc::Rc;

/// Something of an enclosure, and the enclosure's id.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Inside<T> {
    /// The enclosure's id.
    pub enclosure: String,
    /// What is inside.
    pub item: T,
}

impl<T: Clone> Inside<T> {
    /// All that the enclosures of a rig have of it.
    pub fn all(def: &RigDef, of: impl Fn(&Enclosure) -> &Vec<T>) -> Vec<Inside<T>> {
        let each = |e: &Enclosure| -> Vec<Inside<T>> {
            let inside = |item: &T| Inside {
                enclosure: e.id.clone(),
                item: item.clone(),
            };
            of(e).iter().map(inside).collect()
        };
        def.enclosures.iter().flat_map(each).collect()
    }
}

/// The field of the enclosure that something belongs to; one that isn't there stands for `otherwise`, or is refused.
pub(super) fn enclosure_field<'a, T>(
    of: Of<'a>,
    otherwise: Option<String>,
    get: impl Fn(&T) -> &str + 'a,
    set: impl Fn(&mut T, String) + 'a,
) -> Spec<'a, T> {
    let all = &of.def().enclosures;
    let each = |e: &Enclosure| (e.id.clone(), e.id.clone(), e.name.clone());
    let get = Rc::new(move |t: &T| get(t).to_owned());
    let stands = Rc::clone(&get);
    one_of(
        "enclosure",
        of.t("screen_edit_enclosure"),
        all.iter().map(each).collect(),
        otherwise,
        move |t| get(t),
        set,
    )
    .or_drawn(move |t| stands(t))
    .starts(all.first().map_or("", |e| e.id.as_str()))
    .must()
}

/// A closure: its enclosure's id and its own.
pub(super) type ClosureAt = (String, String);

/// The field of the closure that something is at. With `or_none`, it may be at none.
pub(super) fn closure_field<'a, T>(
    of: Of<'a>,
    or_none: bool,
    get: impl Fn(&T) -> Option<ClosureAt> + 'a,
    set: impl Fn(&mut T, Option<ClosureAt>) + 'a,
) -> Spec<'a, T> {
    let mut all = Vec::new();
    for e in &of.def().enclosures {
        for c in &e.closures {
            let at = (e.id.clone(), c.id.clone());
            let key = format!("{}/{}", e.id, c.id);
            all.push((key, Some(at), format!("{}: {}", e.name, c.name)));
        }
    }
    if or_none {
        all.push((String::new(), None, of.t("screen_edit_no_closure")));
    }
    let label = of.t("screen_edit_closure");
    let get = Rc::new(get);
    let stands = Rc::clone(&get);
    let otherwise = or_none.then_some(None);
    one_of(keys::CLOSURE, label, all, otherwise, move |t| get(t), set)
        .or_drawn(move |t| stands(t).map_or_else(String::new, |(e, c)| format!("{e}/{c}")))
}
