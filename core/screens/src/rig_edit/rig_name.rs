//! The rig's own name and note.

use super::super::cx::Typed;
use super::super::keys;
use super::super::spec::{Spec, draw, long_text, read};
use super::kind::{Drawn, Of, name_field};
use slackwater_domain::rig::RigDef;

fn fields(of: Of<'_>) -> [Spec<'_, RigDef>; 2] {
    [
        name_field(of, |def: &RigDef| &def.name, |def, v| def.name = v),
        long_text(
            keys::NOTE,
            of.t("common_note"),
            |def: &RigDef| def.note.clone(),
            |def, v| def.note = v,
        ),
    ]
}

/// The form.
pub(super) fn form(of: Of<'_>) -> Drawn {
    let def = of.def();
    Drawn::of(def.name.clone(), draw(&fields(of), &of.cx.units, Some(def)))
}

/// Puts what was typed into the definition.
pub(super) fn change(of: Of<'_>, typed: &mut Typed<'_>, def: &mut RigDef) {
    read(&fields(of), &of.cx.units, typed, Some(of.def()), def);
}
