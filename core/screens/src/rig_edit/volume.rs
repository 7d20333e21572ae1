//! Measuring or estimating the free volume of an enclosure.

use super::super::common::{FieldValue, Outcome};
use super::super::cx::{Typed, done, fault};
use super::super::desk::Desk;
use super::super::keys;
use super::super::measures::Unit;
use super::super::spec::{self, Spec, draw, one_of, read, whole_num};
use super::enclosure::litres;
use super::kind::{Drawn, Of};
use super::path::no_part;
use super::round_to;
use slackwater_domain::book::BookFault;
use slackwater_domain::state::RigFacts;
use slackwater_physics::hold::volume::{
    Pressure, Volume, by_known_volume, by_strokes, by_syringe, estimated, plausible,
};
use slackwater_physics::hold::{HoldFault, Quantity};

/// How the free volume of an enclosure comes to be known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum How {
    /// Air from a syringe let into its vacuum.
    Syringe,
    /// A bottle of known volume opened to its vacuum.
    Known,
    /// Strokes of a pump of known stroke.
    Strokes,
    /// What it displaces, less walls and contents.
    Estimate,
}

impl How {
    /// All of them, in the order of their buttons.
    pub const ALL: [How; 4] = [How::Syringe, How::Known, How::Strokes, How::Estimate];

    /// As a path names it.
    pub fn word(self) -> &'static str {
        match self {
            How::Syringe => "syringe",
            How::Known => "known",
            How::Strokes => "strokes",
            How::Estimate => "estimate",
        }
    }

    /// The one that a word names.
    pub fn of(word: &str) -> Option<How> {
        How::ALL.into_iter().find(|how| how.word() == word)
    }

    /// Key of the text of its button.
    pub fn action(self) -> &'static str {
        match self {
            How::Syringe => "action_measure_syringe",
            How::Known => "action_measure_known",
            How::Strokes => "action_measure_strokes",
            How::Estimate => "action_estimate_volume",
        }
    }
}

/// So many times more or less than what stands there, a measured volume is asked about: between
/// housings of one size no two volumes lie so far apart (common practice).
const FAR_OFF: f64 = 3.0;

const SYRINGE: &str = "syringe_ml";
const KNOWN: &str = "known_ml";
const STROKE: &str = "stroke_ml";
const AFTER: &str = "after";
const OUTER: &str = "displaced";
/// The field that says that a volume far off is so.
const SURE: &str = "sure";

/// What was read, as typed: one list of fields a method, each of those it takes.
#[derive(Debug, Clone, PartialEq, Default)]
struct Readings {
    /// Syringe, bottle or stroke, mL.
    ml: f64,
    /// How well that is known (1 sd), mL.
    sd_ml: f64,
    strokes: u32,
    /// Air pressure around, Pa.
    ambient: f64,
    /// Vacuum below that before and after, Pa.
    before: f64,
    after: f64,
    /// A step of the gauge, Pa.
    step: f64,
    /// For an estimate, L, each with its standard uncertainty.
    outer: [f64; 2],
    walls: [f64; 2],
    contents: [f64; 2],
    /// A volume far off is so.
    sure: bool,
}

type Measure = fn(&mut Readings) -> &mut f64;

fn fields(of: Of<'_>, how: How) -> Vec<Spec<'_, Readings>> {
    let must_num = |key: &str, label: &str, unit: Unit, at: Measure| {
        let get = move |r: &Readings| *at(&mut r.clone());
        spec::must_num(key, of.t(label), unit, get, move |r, v| *at(r) = v)
    };
    let (l, ml, pressure) = (Unit::Plain("L"), Unit::Plain("mL"), Unit::Pressure);
    let sd = "screen_edit_volume_sd";
    let mut fields = match how {
        How::Estimate => vec![
            must_num(OUTER, "screen_edit_outer", l, |r| &mut r.outer[0])
                .hint(of.t("screen_edit_outer_hint")),
            must_num("displaced_sd", sd, l, |r| &mut r.outer[1]),
            must_num("walls", "screen_edit_walls", l, |r| &mut r.walls[0])
                .hint(of.t("screen_edit_walls_hint")),
            must_num("walls_sd", sd, l, |r| &mut r.walls[1]),
            must_num("contents", "screen_edit_contents", l, |r| {
                &mut r.contents[0]
            })
            .hint(of.t("screen_edit_contents_hint")),
            must_num("contents_sd", sd, l, |r| &mut r.contents[1]),
        ],
        How::Known => vec![
            must_num(KNOWN, "screen_edit_known", ml, |r| &mut r.ml)
                .hint(of.t("screen_edit_known_hint")),
            must_num("known_sd_ml", sd, ml, |r| &mut r.sd_ml).starts_at(5.0),
        ],
        How::Syringe => vec![
            must_num(SYRINGE, "screen_edit_syringe", ml, |r| &mut r.ml)
                .hint(of.t("screen_edit_syringe_hint")),
            must_num("syringe_sd_ml", sd, ml, |r| &mut r.sd_ml).starts_at(2.0),
        ],
        How::Strokes => vec![
            must_num(STROKE, "screen_edit_stroke", ml, |r| &mut r.ml),
            must_num("stroke_sd_ml", sd, ml, |r| &mut r.sd_ml).starts_at(2.0),
            whole_num(
                "strokes",
                of.t("screen_edit_strokes"),
                "",
                |r: &Readings| Some(r.strokes),
                |r, v| r.strokes = v.unwrap_or(0),
            )
            .must(),
        ],
    };
    if how != How::Estimate {
        let ambient = "screen_hold_ambient";
        fields.push(must_num(keys::AMBIENT, ambient, pressure, |r| {
            &mut r.ambient
        }));
        if how != How::Strokes {
            let before = "screen_edit_before";
            fields.push(must_num("before", before, pressure, |r| &mut r.before));
        }
        fields.push(
            must_num(AFTER, "screen_edit_after", pressure, |r| &mut r.after)
                .hint(of.t("screen_edit_after_hint")),
        );
        let step = "screen_hold_resolution";
        fields.push(must_num(keys::RESOLUTION, step, pressure, |r| &mut r.step).starts_at(1.0));
    }
    fields.push(one_of(
        SURE,
        of.t("screen_edit_sure"),
        vec![
            ("no".into(), false, of.t("screen_edit_sure_no")),
            ("yes".into(), true, of.t("screen_edit_sure_yes")),
        ],
        Some(false),
        |r: &Readings| r.sure,
        |r, v| r.sure = v,
    ));
    fields
}

/// The form.
pub(super) fn form(of: Of<'_>, how: How, enclosure: &str) -> Option<Drawn> {
    let e = of.def().enclosure(enclosure)?;
    let title = format!("{}: {}", e.name, of.t(how.action()));
    Some(Drawn::of(title, draw(&fields(of, how), &of.cx.units, None)))
}

impl Readings {
    /// The volume by a method.
    fn measured(&self, how: How) -> Result<Volume, HoldFault> {
        let ml = Volume {
            m3: self.ml * 1e-6,
            sd_m3: self.sd_ml * 1e-6,
        };
        // A display's step spreads a reading evenly: sd = step / sqrt(12) (JCGM 100:2008, 4.3.7).
        let sd_pa = self.step / 12f64.sqrt();
        let pressure = |pa: f64| Pressure { pa, sd_pa };
        // The gauge shows vacuum below ambient here.
        let ambient = pressure(self.ambient);
        let before = pressure(self.ambient - self.before);
        let after = pressure(self.ambient - self.after);
        match how {
            How::Syringe => by_syringe(ml, ambient, before, after),
            How::Known => by_known_volume(ml, ambient, before, after),
            How::Strokes => by_strokes(ml, self.strokes, ambient, after),
            How::Estimate => {
                let volume = |[l, sd]: [f64; 2]| Volume {
                    m3: l * 1e-3,
                    sd_m3: sd * 1e-3,
                };
                estimated(
                    volume(self.outer),
                    volume(self.walls),
                    &[volume(self.contents)],
                )
            }
        }
    }
}

/// The field that a fault of the sum stands at.
fn field_of(how: How, fault: &HoldFault) -> &'static str {
    match (how, fault) {
        (
            _,
            HoldFault::Absurd {
                quantity: Quantity::PressureAfter,
                ..
            },
        ) => AFTER,
        (How::Syringe, _) => SYRINGE,
        (How::Known, _) => KNOWN,
        (How::Strokes, _) => STROKE,
        (How::Estimate, _) => OUTER,
    }
}

/// Keeps what was measured. Far from what stands there, it is rather a slip: asked about, not taken.
pub(super) fn act(
    desk: &mut Desk,
    facts: &RigFacts,
    (how, enclosure): (How, &str),
    values: &[FieldValue],
) -> Result<Outcome, BookFault> {
    let mut typed = Typed::new(desk.texts, values);
    let mut def = facts.def.clone();
    let e = def.enclosures.iter_mut().find(|e| e.id == enclosure);
    let e = e.ok_or_else(|| no_part(enclosure))?;
    let mut readings = Readings::default();
    let units = {
        let cx = &desk.cx()?;
        let fields = fields(Of { cx, rig: facts }, how);
        read(&fields, &cx.units, &mut typed, None, &mut readings);
        cx.units
    };
    if let Some(wrong) = typed.faults() {
        return Ok(wrong);
    }
    let measured = match readings.measured(how).and_then(plausible) {
        Ok(measured) => measured,
        Err(e) => return Ok(fault(field_of(how, &e), desk.cx()?.faults().hold(&e))),
    };
    let (found_l, sd_l) = (measured.m3 * 1e3, measured.sd_m3 * 1e3);
    let times = found_l / e.volume_l;
    let near = 1.0 / FAR_OFF..=FAR_OFF;
    if times.is_finite() && !near.contains(&times) && !readings.sure {
        let (found, before) = (litres(&units, found_l), litres(&units, e.volume_l));
        let words = desk.texts.say(
            "error_volume_far_off",
            &[("found", (&found).into()), ("before", (&before).into())],
        );
        return Ok(fault(SURE, words));
    }
    e.volume_l = round_to(found_l, 3);
    e.volume_sd_l = round_to(sd_l, 3).max(0.001);
    let recorded = desk.book.edit_rig(&facts.id, def)?;
    let volume = format!("{}\u{a0}L", units.rounded(found_l, sd_l));
    let take = format!("{}\u{a0}L", units.significant(2.0 * sd_l, 1));
    let said = desk.texts.say(
        "screen_edit_said_measured",
        &[("volume", (&volume).into()), ("take", (&take).into())],
    );
    Ok(Outcome {
        leave: true,
        ..done(recorded, said)
    })
}
