//! Enclosures.

use super::super::asked::Unlikely;
use super::super::cx::{Typed, button};
use super::super::measures::{Unit, Units};
use super::super::spec::{Spec, must_num, num, switch};
use super::super::texts::Texts;
use super::kind::{Of, Sort, name_field, put_by_id};
use super::path::{EditAt, Id};
use super::volume::How;
use super::{RigEditAction, RigEditButton};
use slackwater_domain::book::{BookFault, TakenOff};
use slackwater_domain::rig::{Enclosure, RigDef, Valve, slug};
use slackwater_physics::hold::plausible::volume_slipped;
use slackwater_physics::hold::{DEFAULT_LIMIT_VOLUME_M3, default_limit_ml};

/// A depth rating so many times what stood there, or that part of it, is rather a slip: feet for metres are 3.3
/// times, a digit too many is ten. Common practice has no figure for it.
const RATING_SLIP: f64 = 2.5;

/// A limit of more than this share of what a housing holds is no leak that a crew would dive with; no source, the
/// usual limits are a thousandth of it.
const LIMIT_SHARE: f64 = 0.1;

const VOLUME: &str = "volume_l";
const RATING: &str = "depth_rating_m";
const LIMIT: &str = "limit_ml";

pub(super) struct Enclosures;

impl Sort for Enclosures {
    type Item = Enclosure;

    const TITLE: &'static str = "screen_edit_enclosures";
    const NEW: &'static str = "screen_edit_new_enclosure";

    fn all(def: &RigDef) -> Vec<Enclosure> {
        def.enclosures.clone()
    }

    fn id(e: &Enclosure) -> Id {
        Id::Own(e.id.clone())
    }

    fn name(_of: Of<'_>, e: &Enclosure) -> String {
        e.name.clone()
    }

    fn detail(of: Of<'_>, e: &Enclosure) -> String {
        let units = of.cx.units;
        format!(
            "{}, {}",
            litres(&units, e.volume_l),
            units.depth(e.depth_rating_m)
        )
    }

    fn new() -> Enclosure {
        Enclosure {
            id: String::new(),
            name: String::new(),
            volume_l: f64::NAN,
            volume_sd_l: f64::NAN,
            depth_rating_m: f64::NAN,
            closures: Vec::new(),
            penetrators: Vec::new(),
            valve: None,
            limit_ml: None,
        }
    }

    fn fields<'a>(of: Of<'a>, stood: Option<&Enclosure>) -> Vec<Spec<'a, Enclosure>> {
        vec![
            name_field(of, |e: &Enclosure| &e.name, |e, v| e.name = v),
            must_num(
                VOLUME,
                of.t("screen_edit_volume"),
                "L",
                |e: &Enclosure| e.volume_l,
                |e, v| e.volume_l = v,
            )
            .hint(of.t("screen_edit_volume_hint")),
            must_num(
                "volume_sd_l",
                of.t("screen_edit_volume_sd"),
                "L",
                |e: &Enclosure| e.volume_sd_l,
                |e, v| e.volume_sd_l = v,
            ),
            must_num(
                RATING,
                of.t("screen_edit_rating"),
                Unit::Depth,
                |e: &Enclosure| e.depth_rating_m,
                |e, v| e.depth_rating_m = v,
            )
            .hint(of.t("screen_edit_rating_hint")),
            num(
                LIMIT,
                of.t("screen_edit_limit"),
                Unit::Water,
                |e: &Enclosure| e.limit_ml,
                |e, v| e.limit_ml = v,
            )
            .hint(limit_hint(of, stood)),
            switch(
                "valve",
                of.t("screen_edit_valve"),
                |e: &Enclosure| e.valve.is_some(),
                |e, on| {
                    let name = &e.name;
                    let new = || Valve {
                        name: format!("{name}: vacuum valve"),
                        reads_with_plug_on: false,
                    };
                    e.valve = on.then(|| e.valve.take().unwrap_or_else(new));
                },
            )
            .starts("yes"),
            switch(
                "reads_with_plug_on",
                of.t("screen_edit_reads_plugged"),
                |e: &Enclosure| e.valve.as_ref().is_some_and(|v| v.reads_with_plug_on),
                |e, on| {
                    if let Some(valve) = &mut e.valve {
                        valve.reads_with_plug_on = on;
                    }
                },
            ),
        ]
    }

    fn put(
        of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Enclosure>,
        mut item: Enclosure,
        _typed: &mut Typed<'_>,
    ) -> Result<(), BookFault> {
        if stood.is_none() {
            // A new one is none that was taken off: the other's history is not its own.
            let was = of.cx.book.taken_off(&of.rig.id)?;
            item.id = slug(&item.name, &|s| {
                def.enclosure(s).is_some() || was.iter().any(|t| t.enclosure.id == s)
            });
        }
        put_by_id(&mut def.enclosures, item, |e| &e.id);
        Ok(())
    }

    fn remove(def: &mut RigDef, e: &Enclosure) {
        // What belongs to it goes with it.
        def.enclosures.retain(|o| o.id != e.id);
        def.seals.retain(|s| s.enclosure != e.id);
        def.controls.retain(|c| c.enclosure != e.id);
        def.lenses.retain(|l| l.enclosure != e.id);
    }

    fn leads(of: Of<'_>, e: &Enclosure) -> Vec<(String, EditAt)> {
        let measure = |how: How| (of.t(how.action()), EditAt::Volume(how, e.id.clone()));
        How::ALL.map(measure).into()
    }

    /// What puts each enclosure back that an edit took off.
    fn instead_of_new(of: Of<'_>) -> Result<Vec<RigEditButton>, BookFault> {
        let all = of.cx.book.taken_off(&of.rig.id)?;
        Ok(all.iter().map(|t| put_back(of, t)).collect())
    }

    /// A free volume or a depth rating far from the one that stood there, a limit beside what it holds: rather slips
    /// of the unit, the decimal sign or a digit.
    fn doubts(
        of: Of<'_>,
        typed: &Typed<'_>,
        old: Option<&Enclosure>,
        new: &Enclosure,
    ) -> Option<Vec<Unlikely>> {
        let units = of.cx.units;
        let mut doubts = Vec::new();
        let mut doubt = |key: &str, symbol: &str, why: &str, (name, stands): (&str, String)| {
            let value = format!("{}\u{a0}{symbol}", typed.text(key));
            let why = of.cx.say(why, &[(name, (&stands).into())]);
            doubts.push(Unlikely::of(key, value, why));
        };
        let known = |e: &Enclosure| (e.volume_l, e.volume_sd_l);
        if let Some(old) = old.filter(|old| volume_slipped(known(old), known(new))) {
            let stood = ("before", litres(&units, old.volume_l));
            doubt(VOLUME, "L", "error_doubt_volume", stood);
        }
        let times = |old: &&Enclosure| {
            let times = new.depth_rating_m / old.depth_rating_m;
            times.is_finite() && times > 0.0 && !(1.0 / RATING_SLIP..=RATING_SLIP).contains(&times)
        };
        if let Some(old) = old.filter(times) {
            let stood = ("before", units.depth(old.depth_rating_m));
            doubt(RATING, units.depth_symbol(), "error_doubt_rating", stood);
        }
        let large = |e: &Enclosure| {
            e.limit_ml
                .is_some_and(|ml| ml > LIMIT_SHARE * 1e3 * e.volume_l)
        };
        // One that stood there so was answered for.
        let stood = old.is_some_and(|old| large(old) && old.limit_ml == new.limit_ml);
        if large(new) && !stood {
            let holds = ("volume", litres(&units, new.volume_l));
            doubt(LIMIT, units.water_symbol(), "error_doubt_limit", holds);
        }
        Some(doubts)
    }
}

/// '12.7 L'.
pub(super) fn litres(units: &Units, l: f64) -> String {
    format!("{}\u{a0}L", units.plain(l, 3))
}

/// What stands where a crew sets no limit of its own.
fn limit_hint(of: Of<'_>, enclosure: Option<&Enclosure>) -> String {
    let units = of.cx.units;
    let holds = enclosure.map_or(DEFAULT_LIMIT_VOLUME_M3 * 1e3, |e| e.volume_l);
    let water = units.water(default_limit_ml(holds * 1e-3));
    let volume = litres(&units, holds);
    of.cx.say(
        "screen_edit_limit_hint",
        &[("water", (&water).into()), ("volume", (&volume).into())],
    )
}

fn put_back(of: Of<'_>, t: &TakenOff) -> RigEditButton {
    let cx = of.cx;
    let name = &t.enclosure.name;
    let when = cx.ago(t.wall_ms);
    let label = cx.say(
        "screen_edit_put_back",
        &[("name", name.into()), ("when", (&when).into())],
    );
    let mut confirm = cx.say("screen_edit_put_back_confirm", &[("name", name.into())]);
    confirm.extend(left_out(cx.texts, &t.left_out).map(|s| format!(" {s}")));
    let by = t.in_use_by.as_ref();
    let in_use = by.map(|by| cx.say("error_put_back_in_use", &[("name", by.into())]));
    let enclosure = t.enclosure.id.clone();
    RigEditButton {
        confirm: Some(confirm),
        enabled: in_use.is_none(),
        why_not: in_use,
        ..button(label, RigEditAction::PutBack { enclosure })
    }
}

/// What doesn't come back with an enclosure, in words; none where all does.
pub(super) fn left_out(texts: &Texts, names: &[String]) -> Option<String> {
    (!names.is_empty()).then(|| {
        let names = names.join(", ");
        texts.say("screen_edit_left_out", &[("names", (&names).into())])
    })
}
