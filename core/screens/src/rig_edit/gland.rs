//! The gland of a seal.

use super::super::cx::Typed;
use super::super::keys;
use super::super::spec::{self, Spec, draw, one_of, read};
use super::kind::{Drawn, Of};
use slackwater_domain::rig::{RigDef, Seal, SealGland, SealGlandKind};

/// A gland in the making: which way it squeezes is known last.
#[derive(Debug, Clone, PartialEq)]
struct Making {
    kind: Option<SealGlandKind>,
    /// Its measures; NaN where not known.
    gland: SealGland,
}

impl Making {
    fn of(seal: &Seal) -> Option<Making> {
        seal.gland.map(|gland| Making {
            kind: Some(gland.kind),
            gland,
        })
    }

    fn new() -> Making {
        Making {
            kind: None,
            gland: SealGland {
                kind: SealGlandKind::Face,
                seat_mm: f64::NAN,
                depth_mm: f64::NAN,
                width_mm: f64::NAN,
                tol_mm: f64::NAN,
            },
        }
    }
}

/// How far the measures of a gland may be off where nobody says otherwise, mm (common practice).
const USUAL_TOL_MM: f64 = 0.05;

fn kind(of: Of<'_>) -> Spec<'_, Making> {
    let kind = |word: &str, kind, label| (word.to_owned(), kind, of.t(label));
    one_of(
        keys::KIND,
        of.t("screen_edit_gland_kind"),
        vec![
            kind("face", Some(SealGlandKind::Face), "screen_edit_gland_face"),
            kind(
                "radial",
                Some(SealGlandKind::Radial),
                "screen_edit_gland_radial",
            ),
            kind("", None, "screen_edit_not_known"),
        ],
        Some(None),
        |m: &Making| m.kind,
        |m, v| m.kind = v,
    )
}

/// Seat, depth and width, then how far each may be off.
fn measures(of: Of<'_>) -> [Spec<'_, Making>; 4] {
    type Measure = fn(&mut SealGland) -> &mut f64;
    let num = |key: &str, label: &str, at: Measure| {
        let get = move |m: &Making| Some(*at(&mut m.gland.clone()));
        spec::num(key, of.t(label), "mm", get, move |m, v| {
            *at(&mut m.gland) = v.unwrap_or(f64::NAN);
        })
    };
    [
        num("seat_mm", "screen_edit_seat", |g| &mut g.seat_mm).hint(of.t("screen_edit_seat_hint")),
        num("depth_mm", "screen_edit_gland_depth", |g| &mut g.depth_mm)
            .hint(of.t("screen_edit_gland_depth_hint")),
        num("width_mm", "screen_edit_gland_width", |g| &mut g.width_mm),
        num("tol_mm", "screen_edit_gland_tol", |g| &mut g.tol_mm)
            .hint(of.t("screen_edit_gland_tol_hint"))
            .starts_at(USUAL_TOL_MM),
    ]
}

/// The form of a seal's gland.
pub(super) fn form(of: Of<'_>, seal: &str) -> Option<Drawn> {
    let s = of.def().seal(seal)?;
    let (units, stood) = (&of.cx.units, Making::of(s));
    let mut fields = draw(&[kind(of)], units, stood.as_ref());
    fields.extend(draw(&measures(of), units, stood.as_ref()));
    let name = &s.name;
    let title = of.cx.say("screen_edit_gland_of", &[("name", name.into())]);
    Some(Drawn::of(title, fields))
}

/// Puts what was typed into the definition; none where there is no such seal.
pub(super) fn change(
    of: Of<'_>,
    seal: &str,
    typed: &mut Typed<'_>,
    def: &mut RigDef,
) -> Option<()> {
    let s = def.seals.iter_mut().find(|s| s.id == seal)?;
    let (units, stood) = (&of.cx.units, Making::of(s));
    let mut making = stood.clone().unwrap_or_else(Making::new);
    let (which, measures) = ([kind(of)], measures(of));
    read(&which, units, typed, stood.as_ref(), &mut making);
    s.gland = if let Some(kind) = making.kind {
        // Each is wanted of a gland that is known.
        let measures = measures.map(Spec::must);
        read(&measures, units, typed, stood.as_ref(), &mut making);
        Some(SealGland {
            kind,
            ..making.gland
        })
    } else {
        // What was typed beside 'not known' is not dropped in silence.
        let [measures @ .., _tol] = &measures;
        if measures.iter().any(|m| !typed.text(m.key()).is_empty()) {
            typed.wrong(which[0].key(), "error_gland_kind");
        }
        None
    };
    Some(())
}
