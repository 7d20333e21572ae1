//! The deck recheck, the DP's two minutes. Its one question: has anything changed since it was proved?

use std::collections::HashMap;

use super::asked::{OfGauge, Unlikely, are_so, as_typed, asked_field, confirmed, wrong};
use super::common::{FieldValue, Form, Line, Mark, Outcome, Place, Quantity, Row, Severity};
use super::cx::{Cx, Typed, button, done, fault, form, go, lead, line, said};
use super::desk::Desk;
use super::forms::{AirField, AskedOf, Note, RecheckForm};
use super::hold::{Outside, air_fields};
use super::keys;
use super::measures::{Unit, Units, exact, uncertain};
use super::names::{enclosure_name, held_result};
use super::page::{Draft, Page};
use super::rig::Flood;
use super::spec::{Spec, draw, must_num_in, num, num_in, pick, pick_in, read_new, text_in};
use super::texts::Texts;
use slackwater_domain::book::{Book, BookFault, NewReading, NewRecheck, RecheckPreview, waits_for};
use slackwater_domain::facts::{HoldSetup, RecheckFact, VerdictFact};
use slackwater_domain::procedure::{StepInstance, StepKind, Target};
use slackwater_domain::readiness::{Obstacle, readiness};
use slackwater_domain::rig::Enclosure;
use slackwater_domain::rules::age::age_is_sure;
use slackwater_domain::rules::{
    RecheckMissing, age_ms, changed_since, counting_hold, in_water, mistyped, of_other_plan,
    within_step,
};
use slackwater_domain::state::{EnclosureFacts, HoldFacts, RigFacts, Seen, StepState};
use slackwater_physics::hold::plausible::{air_moved, temperature_moved};
use slackwater_physics::hold::{Camera, RecheckLimitedBy, RecheckResult, WORTH_SEEING};
use slackwater_physics::units::PressureUnit;

pub use super::common::{Button as RecheckButton, Row as RecheckRow};

/// What the recheck screen accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum RecheckAction {
    /// Sends a form: 'air' (temperature and barometer on deck now), or 'reading/ENCLOSURE'.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Records the plug as refitted (where the gauge needed it off).
    PlugOn {
        /// Enclosure id.
        enclosure: String,
    },
    /// Goes to a new hold for an enclosure that has changed.
    Hold {
        /// Enclosure id.
        enclosure: String,
    },
    /// Begins, or goes on with, what is done where water may be inside.
    Flood,
    /// Back to the rig.
    OpenRig,
}

/// One enclosure of the recheck.
#[derive(Debug, Clone, PartialEq)]
pub struct RecheckItem {
    /// Enclosure id.
    pub enclosure: String,
    /// Its name.
    pub name: String,
    /// 'Reads as it should' / 'Lower vacuum than weather explains' / 'Read the gauge'.
    pub state: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// What the gauge should read now if tight; none before the air on deck is known.
    pub expected: Option<Quantity>,
    /// What it read at the hold.
    pub then: Option<Quantity>,
    /// Why it should read differently: temperature, barometer, in words.
    pub reasons: Vec<Line>,
    /// The form for the number read off.
    pub form: Option<Form>,
    /// What to do next for this enclosure, where anything is.
    pub next: Option<RecheckButton>,
}

/// The recheck screen.
#[derive(Debug, Clone, PartialEq)]
pub struct RecheckScreen {
    /// Rig id.
    pub rig: String,
    /// Name of the rig.
    pub rig_name: String,
    /// 'Nothing has changed: ready until 16:05' / '1 of 2 read'.
    pub answer: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// Temperature and barometer on deck now.
    pub air: Form,
    /// Each enclosure.
    pub items: Vec<RecheckItem>,
    /// What a recheck can't prove.
    pub caveat: String,
    /// The main action.
    pub main: Option<RecheckButton>,
}

/// How long the air on deck counts as read, ms: a rig goes nowhere within ten minutes (as the physics has it).
const AIR_FRESH_MS: i64 = 10 * 60_000;

/// The air on deck, as last entered on this device.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Air {
    temperature_k: Option<f64>,
    ambient_pa: Option<f64>,
    barometer: Option<u32>,
    known: bool,
}

fn air(cx: &Cx<'_>, rig: &str) -> Air {
    let Ok(Some(text)) = cx.book.local(Note::Air(rig)) else {
        return Air::default();
    };
    let mut parts = text.split(' ').map(|p| p.parse::<f64>().ok());
    let at = parts.next().flatten().unwrap_or(0.0) as i64;
    let age = cx.now.latest_seen.0.saturating_sub(at);
    if !(0..AIR_FRESH_MS).contains(&age) {
        return Air::default();
    }
    Air {
        temperature_k: parts.next().flatten(),
        ambient_pa: parts.next().flatten(),
        barometer: parts.next().flatten().map(|tag| tag as u32),
        known: true,
    }
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, id: &str) -> Result<RecheckScreen, BookFault> {
    let rig = cx.book.rig(id)?;
    let air = air(cx, id);
    let asked = asked_for(cx, &rig)?;
    let mut items = Vec::new();
    let mut passed = 0;
    for (def, facts) in rig.def.enclosures.iter().zip(&rig.enclosures) {
        let mut item = item(cx, &rig, def, facts, air)?;
        let plugs = super::Action::from(RecheckAction::PlugOn {
            enclosure: def.id.clone(),
        });
        item.next = (item.next).filter(|b| asked.is_none() || b.action != plugs);
        passed += usize::from(item.mark == Mark::Full);
        items.push(item);
    }
    let judged = readiness(&rig, cx.now);
    let all = !items.is_empty() && passed == items.len();
    let worst = items.iter().any(|i| i.mark == Mark::Struck);
    let (answer, mark, severity) = if let Some((until, _)) = &judged.until {
        let time = cx.local.until(cx.texts, *until, cx.now.wall_ms);
        (
            cx.say("screen_recheck_ready", &[("time", (&time).into())]),
            Mark::Full,
            Severity::Good,
        )
    } else if worst {
        (
            cx.t("screen_recheck_changed"),
            Mark::Struck,
            Severity::Blocking,
        )
    } else if all {
        let left = super::rig::things(&rig, &judged.obstacles).len();
        (
            cx.say("screen_recheck_unchanged_but", &[("n", left.into())]),
            Mark::Half,
            Severity::Notice,
        )
    } else {
        (
            cx.say(
                "screen_recheck_progress",
                &[("done", passed.into()), ("all", items.len().into())],
            ),
            Mark::Half,
            Severity::Notice,
        )
    };
    let plug = judged.obstacles.iter().find_map(|o| match o {
        Obstacle::PlugOff { enclosure } => Some(enclosure.clone()),
        _ => None,
    });
    // A change comes first: water where it may be inside, else the new hold that answers it. Then the step that
    // asked for the reading; what is done with the plug is a step of its own there, or air is let in next.
    let struck = items.iter().filter(|i| i.mark == Mark::Struck);
    let mut answers = struck.filter_map(|i| i.next.clone());
    let water = super::Action::from(RecheckAction::Flood);
    let main = if let Some(flood) = answers.clone().find(|b| b.action == water) {
        Some(flood)
    } else if let Some(asked) = &asked {
        (asked.read && (!worst || asked.opens)).then(|| asked.back.clone())
    } else {
        None
    };
    let main = main.or_else(|| answers.next());
    let main = match (plug, all) {
        _ if main.is_some() || asked.is_some() => main,
        (Some(enclosure), true) => Some(plug_button(cx, &rig, &enclosure)),
        (_, true) => Some(button(cx.t("action_to_rig"), RecheckAction::OpenRig)),
        _ => None,
    };
    let said = on_deck_as_said(cx, &rig, air);
    let mut air_fields = draw(&on_deck_fields(cx, &rig), &cx.units, Some(&said));
    air_fields.extend(asked_field(cx, &AskedOf::Air(id).to_string()));
    Ok(RecheckScreen {
        rig: id.to_owned(),
        rig_name: rig.def.name.clone(),
        answer,
        mark,
        severity,
        air: form(
            "air",
            cx.t("screen_recheck_air_title"),
            air_fields,
            cx.t("action_set_air"),
        ),
        items,
        caveat: cx.t("common_vacuum_caveat"),
        main,
    })
}

/// A procedure under way whose step asks for the gauge to be read.
struct Asked {
    /// Whether all that is asked for now was read.
    read: bool,
    /// Whether the housing is opened after it: no hold could answer a change any more.
    opens: bool,
    /// Back to the step.
    back: RecheckButton,
}

/// The step that asks for a reading now; none where no prep under way stands at one. As the rig's page leads:
/// care that is newer than the build first, and none that a flood has overtaken.
fn asked_for(cx: &Cx<'_>, rig: &RigFacts) -> Result<Option<Asked>, BookFault> {
    let built = rig.prep.as_ref().map(|p| p.started);
    let care = (rig.unfinished.iter()).find(|u| !u.flooded && Some(u.started) > built);
    let prep = match (care, &rig.prep) {
        (Some(care), _) => cx.book.prep(&care.id)?,
        (None, Some(p)) if p.ended.is_none() => cx.book.prep(&p.id)?,
        _ => return Ok(None),
    };
    let reads = |s: &&StepInstance| matches!(s.step.kind, StepKind::Gauge | StepKind::Recheck);
    let Some(step) = Book::current_step(&prep).filter(reads) else {
        return Ok(None);
    };
    let unread = |s: &StepInstance| {
        let Target::Enclosure { enclosure } = &s.target else {
            return false;
        };
        let known = rig.enclosure(enclosure);
        known.is_some_and(|e| {
            let last = e.recheck.as_ref().map(|(seen, _)| seen);
            let read = last
                .is_some_and(|seen| within_step(&prep, &s.key, &seen.stamp) && !mistyped(e, seen));
            counting_hold(rig, e).is_ok() && !read
        })
    };
    let mut now = (prep.steps.iter().filter(reads))
        .filter(|s| prep.state(&s.key) == StepState::Open && waits_for(&prep, s).is_empty());
    Ok(Some(Asked {
        read: !now.any(unread),
        opens: step.step.kind == StepKind::Gauge,
        back: lead(
            cx.say("action_go_on", &[("title", (&prep.title).into())]),
            Place::Prep {
                prep: prep.id.clone(),
                step: Some(step.key.clone()),
                form: None,
            },
        ),
    }))
}

/// Where the temperature for an enclosure's recheck is taken: as for the hold that it rests on. None
/// where none was taken for that, or where no hold counts.
fn taken_at(rig: &RigFacts, facts: &EnclosureFacts) -> TakenAt {
    let hold = counting_hold(rig, facts);
    match hold.map(|h| h.setup.temperature_source.as_str()) {
        Ok("inside") => TakenAt::Inside,
        Ok("surface") => TakenAt::Surface,
        Ok("air") => TakenAt::Air,
        _ => TakenAt::Nowhere,
    }
}

/// See [`taken_at`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum TakenAt {
    Inside,
    Surface,
    /// One air for all that stand in it.
    Air,
    Nowhere,
}

/// The air on deck and how the rig stands in it, as typed.
#[derive(Debug, Clone, Default)]
struct OnDeck {
    temperature_k: Option<f64>,
    /// Its own temperature of each enclosure that has one, K.
    own_k: HashMap<String, f64>,
    air: Outside,
    /// Of each enclosure whether its camera runs, as a word; nothing where nobody said.
    cameras: HashMap<String, String>,
    /// Where the rig stood, as a word.
    stood: String,
}

/// As last said on this device, while that counts as read.
fn on_deck_as_said(cx: &Cx<'_>, rig: &RigFacts, air: Air) -> OnDeck {
    let typed_pa = air.ambient_pa.filter(|_| air.barometer.is_none());
    let all = || rig.def.enclosures.iter().zip(&rig.enclosures);
    let own = |e: &Enclosure| Some((e.id.clone(), own_temperature(cx, &rig.id, &e.id)?));
    let camera = |(def, of): (&Enclosure, &EnclosureFacts)| {
        let runs = said_of_camera(cx, rig, def, of)?;
        Some((def.id.clone(), if runs { RUNS } else { "off" }.to_owned()))
    };
    let stood = said_of_place(cx, rig).map_or("", |brought| if brought { ELSEWHERE } else { HERE });
    OnDeck {
        temperature_k: air.temperature_k,
        own_k: rig.def.enclosures.iter().filter_map(own).collect(),
        air: Outside {
            phone: typed_pa.is_none(),
            typed_pa,
        },
        cameras: all().filter_map(camera).collect(),
        stood: stood.to_owned(),
    }
}

/// The temperatures that the rechecks want: that of the air once, for all enclosures whose holds went by
/// it, and the own one of each that has a sensor inside or a probe on it. Then the air pressure, what each camera
/// does, and where the rig stood.
fn on_deck_fields<'a>(cx: &Cx<'_>, rig: &'a RigFacts) -> Vec<Spec<'a, OnDeck>> {
    let can_be = |k: f64| (!(230.0..=340.0).contains(&k)).then_some("error_air_temperature");
    let degrees = |spec: Spec<'a, OnDeck>| {
        spec.written(|units, v| units.fixed(v, 1))
            .check(move |_, _, k| can_be(k))
            .hint(cx.t("screen_recheck_temperature_hint"))
    };
    let all = || rig.def.enclosures.iter().zip(&rig.enclosures);
    let by_air = all().any(|(_, facts)| taken_at(rig, facts) == TakenAt::Air);
    let label = cx.t("screen_recheck_temperature_air");
    let of_air = num_in(
        keys::TEMPERATURE,
        label,
        Unit::Temperature,
        |d: &mut OnDeck| &mut d.temperature_k,
    );
    let mut out = vec![degrees(of_air).drawn_if(by_air)];
    for (def, facts) in all() {
        let label = match taken_at(rig, facts) {
            TakenAt::Inside => "screen_recheck_temperature_inside",
            TakenAt::Surface => "screen_recheck_temperature_surface",
            TakenAt::Air | TakenAt::Nowhere => continue,
        };
        out.push(degrees(num(
            &AirField::Temperature(&def.id).to_string(),
            cx.say(label, &[("name", (&def.name).into())]),
            Unit::Temperature,
            |d: &OnDeck| d.own_k.get(&def.id).copied(),
            |d, k| d.own_k.extend(k.map(|k| (def.id.clone(), k))),
        )));
    }
    let [phone, number] = air_fields(cx, |d: &mut OnDeck| &mut d.air);
    out.push(phone);
    out.push(number.written(|units, v| units.rounded(v, units.pressure.from_pa(10.0))));
    out.extend(all().map(|(def, facts)| camera_field(cx, rig, def, facts)));
    out.push(stood_field(cx, rig));
    out
}

/// An enclosure's own temperature as last said on this device, K, while the air on deck counts as read.
fn own_temperature(cx: &Cx<'_>, rig: &str, enclosure: &str) -> Option<f64> {
    noted(cx, Note::Temperature(rig, enclosure))?.parse().ok()
}

/// What was noted on this device with the air on deck, while that counts as read.
fn noted(cx: &Cx<'_>, note: Note<'_>) -> Option<String> {
    let text = cx.book.local(note).ok()??;
    let (at, said) = text.split_once(' ')?;
    let age = cx.now.latest_seen.0.saturating_sub(at.parse().ok()?);
    (0..AIR_FRESH_MS).contains(&age).then(|| said.to_owned())
}

fn item(
    cx: &Cx<'_>,
    rig: &RigFacts,
    def: &Enclosure,
    facts: &EnclosureFacts,
    air: Air,
) -> Result<RecheckItem, BookFault> {
    let blank = |state: String, mark, severity, next| RecheckItem {
        enclosure: def.id.clone(),
        name: def.name.clone(),
        state,
        mark,
        severity,
        expected: None,
        then: None,
        reasons: Vec::new(),
        form: None,
        next,
    };
    let Ok(hold) = counting_hold(rig, facts) else {
        return Ok(blank(
            cx.t("screen_recheck_no_hold"),
            Mark::Hatched,
            Severity::Blocking,
            Some(hold_button(cx, def)),
        ));
    };
    let unit = PressureUnit::from_symbol(&hold.setup.gauge_unit).unwrap_or(cx.units.pressure);
    let camera_on = said_of_camera(cx, rig, def, facts);
    let asked = reading(cx, rig, facts, air, f64::NAN);
    let preview = match cx.book.preview_recheck(
        &rig.id,
        &def.id,
        NewRecheck {
            reading: asked,
            camera_on,
            brought: said_of_place(cx, rig).filter(|_| asks_brought(rig, facts)),
        },
    ) {
        Ok(preview) => preview,
        // What is in the record must not make the page impossible to show.
        Err(BookFault::Hold(fault)) => {
            return Ok(blank(
                cx.say(
                    "screen_recheck_cannot_judge",
                    &[("why", (&cx.faults().hold(&fault)).into())],
                ),
                Mark::Hatched,
                Severity::Blocking,
                Some(hold_button(cx, def)),
            ));
        }
        Err(other) => return Err(other),
    };
    let j = &preview.judgement;
    // No finer than the gauge shows.
    let step = j.sd_pa().max(hold.setup.gauge_resolution_pa);
    let shown = |pa: f64| cx.units.rounded(unit.from_pa(pa), unit.from_pa(step));
    let amount = |pa: f64, digits: i32| {
        format!(
            "{}\u{a0}{}",
            cx.units.significant(unit.from_pa(pa.abs()), digits),
            unit.symbol()
        )
    };
    let expected = air.known.then(|| {
        uncertain(
            cx.texts,
            cx.t("screen_recheck_expected"),
            shown(j.foretold_pa),
            unit.symbol(),
            &amount(0.5 * (j.high_pa - j.low_pa), 2),
        )
    });
    let then = exact(
        cx.t("screen_recheck_then"),
        cx.units.rounded(
            unit.from_pa(preview.then.gauge_pa),
            unit.from_pa(hold.setup.gauge_resolution_pa),
        ),
        unit.symbol(),
    );
    let proved = hold.concluded.as_ref().map(|c| c.0);
    let changed = changed_since(facts, &hold.id);
    let last = facts
        .recheck
        .as_ref()
        .filter(|(s, _)| proved.is_some_and(|at| rig.heard.after(&s.stamp, &at)))
        .filter(|(s, _)| !mistyped(facts, s))
        .map(|(s, f)| (s, f));
    let last = changed.map(|r| (&r.seen, &r.fact)).or(last);
    let why = readiness(rig, cx.now)
        .obstacles
        .into_iter()
        .find_map(|o| match o {
            Obstacle::NoRecheck { enclosure, why } if enclosure == def.id => Some(why),
            _ => None,
        });
    // Where it isn't known how much time has passed, and the reading fits one of the times alone, another reading
    // says no more.
    let vacuum_pa = j.would_miss_below_pa / j.would_miss_share;
    let saw = |fact: &RecheckFact| {
        let most = fact.would_miss_below_pa;
        most.is_some_and(|pa| pa <= WORTH_SEEING * vacuum_pa)
    };
    let by_time = preview.timed.least_s.is_some()
        && last.is_some_and(|(_, fact)| fact.reading.least_s.is_some() && saw(fact));
    // It tells once it is waited for, or would by now.
    let tells_later = !by_time && (!air.known || j.wait_s.is_some() || j.sees);
    let (state, mark, severity) = match (last, why) {
        (Some((seen, _)), None) => (
            cx.say(
                "screen_recheck_as_it_should",
                &[("when", (&cx.ago(seen.wall_ms)).into())],
            ),
            Mark::Full,
            Severity::Good,
        ),
        (Some((_, fact)), Some(RecheckMissing::Changed)) => {
            (cx.t(changed_words(fact)), Mark::Struck, Severity::Blocking)
        }
        (Some(_), Some(RecheckMissing::Unclear)) if !air.known && !by_time => (
            cx.t("screen_recheck_air_first"),
            Mark::Hollow,
            Severity::Notice,
        ),
        (Some(_), Some(RecheckMissing::Unclear)) if tells_later && j.wait_s.is_none() => (
            cx.t("screen_recheck_tells_now"),
            Mark::Hatched,
            Severity::Notice,
        ),
        (Some(_), Some(RecheckMissing::Unclear)) if by_time => (
            cx.t("screen_recheck_unclear_time"),
            Mark::Hatched,
            Severity::Notice,
        ),
        (Some((_, fact)), Some(RecheckMissing::Unclear)) => (
            match fact.would_miss_below_pa {
                Some(pa) => cx.say(
                    "screen_recheck_unclear_below",
                    &[("amount", (&amount(pa, 2)).into())],
                ),
                None => cx.t("screen_recheck_unclear"),
            },
            Mark::Hatched,
            Severity::Notice,
        ),
        _ if !air.known => (
            cx.t("screen_recheck_air_first"),
            Mark::Hollow,
            Severity::Notice,
        ),
        _ => (cx.t("screen_recheck_read"), Mark::Hollow, Severity::Notice),
    };
    let mut reasons = Vec::new();
    // What stands was held against what was foretold then; from it on another reading is foretold.
    let stood = (last.filter(|_| mark == Mark::Full))
        .and_then(|(_, fact)| fact.between_pa.map(|between| (fact.expected_pa, between)));
    let expected = match stood {
        Some((pa, [low, high])) => Some(uncertain(
            cx.texts,
            cx.t("screen_recheck_expected_then"),
            shown(pa),
            unit.symbol(),
            &amount(0.5 * (high - low), 2),
        )),
        None => expected,
    };
    if air.known && stood.is_none() {
        reasons = weather(cx, &preview, unit);
        reasons.extend(not_yet(cx, rig, facts, &preview, &asked));
        if j.limited_by == RecheckLimitedBy::Camera && camera_on != Some(false) && !j.camera_off {
            let key = "screen_recheck_camera_off_tells_more";
            reasons.push(line(cx.t(key), Severity::Plain, None));
        }
        if let Some((times, most_k)) = preview.camera_seen {
            // A difference, so that no zero counts.
            let by = cx.units.from_k(300.0 + most_k) - cx.units.from_k(300.0);
            let unit = cx.units.temperature_symbol();
            let warms = format!("{}\u{a0}{unit}", cx.units.significant(by, 2));
            reasons.push(line(
                cx.say(
                    "screen_recheck_camera_seen",
                    &[("warms", (&warms).into()), ("n", times.into())],
                ),
                Severity::Plain,
                None,
            ));
        }
    }
    let came_up_less = mark == Mark::Struck && lost_in_the_water(rig, facts, hold);
    if came_up_less {
        reasons.insert(
            0,
            line(
                cx.t("screen_recheck_water_inside"),
                Severity::Blocking,
                Some(Mark::Struck),
            ),
        );
    }
    // The same words as wherever the hold is told.
    if let Some((_, _, r)) = hold.concluded.as_ref().filter(|_| mark != Mark::Struck) {
        let held = held_result(cx, r);
        let (severity, mark) = match r.seen_to_leak() {
            true => (Severity::Notice, Some(Mark::Hatched)),
            false => (Severity::Plain, None),
        };
        reasons.push(line(
            cx.say("screen_recheck_proved", &[("held", (&held).into())]),
            severity,
            mark,
        ));
    }
    reasons.extend(super::spans::lines(cx, preview.timed.doubts()));
    if let Some((seen, fact)) = last
        && age_ms(seen, fact.reading.boot, cx.now).is_ok()
    {
        let read = amount_read(&cx.units, fact.reading.gauge_pa, &hold.setup);
        reasons.push(line(
            cx.say(
                "screen_recheck_read_by",
                &[
                    ("value", (&read).into()),
                    ("who", (&cx.who_when(&seen.author, seen.wall_ms)).into()),
                ],
            ),
            Severity::Plain,
            None,
        ));
        if !age_is_sure(fact.reading.boot, cx.now) {
            let key = "screen_recheck_age_unsure";
            reasons.push(line(cx.t(key), Severity::Notice, Some(Mark::Hatched)));
        }
        reasons.extend(left_over(cx, fact, hold.setup.absolute, unit, mark));
        if mark == Mark::Hatched && j.otherwise.is_none() {
            let blind = preview.then.ambient_pa.is_none() && !hold.setup.absolute;
            reasons.push(line(
                cx.t(match j.limited_by {
                    RecheckLimitedBy::Barometer if blind => "screen_recheck_limited_no_barometer",
                    by => limited_words(by),
                }),
                Severity::Plain,
                None,
            ));
        }
    }
    // What was read under the old plan was held against another leak.
    if let Some((seen, fact)) = of_other_plan(rig, facts, hold) {
        reasons.push(line(
            cx.say(
                "screen_recheck_old_plan",
                &[
                    (
                        "value",
                        (&amount_read(&cx.units, fact.reading.gauge_pa, &hold.setup)).into(),
                    ),
                    ("who", (&cx.who_when(&seen.author, seen.wall_ms)).into()),
                ],
            ),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    // What was typed first stays where whoever signs sees it.
    reasons.extend(
        slips(cx, facts, &hold.setup)
            .into_iter()
            .map(|text| line(text, Severity::Notice, None)),
    );
    super::hold::once(&mut reasons);
    let plug_off = readiness(rig, cx.now)
        .obstacles
        .contains(&Obstacle::PlugOff {
            enclosure: def.id.clone(),
        });
    let next = match (mark, plug_off) {
        (Mark::Struck, _) if came_up_less => {
            let flood = super::rig::flood_next(cx, rig);
            let flood = flood.map(|(label, _)| button(label, RecheckAction::Flood));
            Some(flood.unwrap_or_else(|| hold_button(cx, def)))
        }
        (Mark::Struck, _) => Some(hold_button(cx, def)),
        // No other reading tells, plug in or out: a new hold does.
        (Mark::Hatched, _) if !tells_later => Some(hold_button(cx, def)),
        (Mark::Hollow, _) if air.known && j.otherwise.is_some() => Some(hold_button(cx, def)),
        (_, true) => Some(plug_button(cx, rig, &def.id)),
        _ => None,
    };
    // A change is answered by a new hold, not by another number; a slip of typing is said to be one.
    let slip_form = cx.book.may_be_slip(rig, &def.id).map(|_| {
        form(
            &RecheckForm::Slip(&def.id).to_string(),
            String::new(),
            draw(&slip_field(cx), &cx.units, None),
            cx.t("action_mistyped"),
        )
    });
    let may_read = air.known && mark != Mark::Struck;
    let reads = gauge_field(cx, Some(&hold.setup))?;
    let reading_form = may_read.then(|| {
        let mut fields = draw(&reads, &cx.units, None);
        let asked = AskedOf::Recheck(&rig.id, &def.id).to_string();
        fields.extend(asked_field(cx, &asked));
        form(
            &RecheckForm::Reading(&def.id).to_string(),
            String::new(),
            fields,
            cx.t("action_read"),
        )
    });
    Ok(RecheckItem {
        enclosure: def.id.clone(),
        name: def.name.clone(),
        state,
        mark,
        severity,
        expected,
        then: Some(then),
        reasons,
        form: slip_form.or(reading_form),
        next,
    })
}

/// The numbers that were typed first and called slips, each with why and by whom.
pub(super) fn slips(cx: &Cx<'_>, facts: &EnclosureFacts, setup: &HoldSetup) -> Vec<String> {
    (facts.rechecks.iter())
        .filter_map(|r| Some((r, r.slip.as_ref()?)))
        .map(|(r, slip)| {
            let value = amount_read(&cx.units, r.fact.reading.gauge_pa, setup);
            cx.say(
                "screen_recheck_slip_by",
                &[
                    ("value", (&value).into()),
                    ("why", (&slip.value).into()),
                    ("who", (&cx.who_when(&slip.author, slip.wall_ms)).into()),
                ],
            )
        })
        .collect()
}

/// Why the gauge should read differently now.
fn weather(cx: &Cx<'_>, preview: &RecheckPreview, unit: PressureUnit) -> Vec<Line> {
    let j = &preview.judgement;
    let shift = |pa: f64| {
        format!(
            "{}\u{a0}{}",
            cx.units.significant(unit.from_pa(pa.abs()), 2),
            unit.symbol()
        )
    };
    let mut lines = Vec::new();
    for (pa, up, down) in [
        (
            j.by_temperature_pa,
            "screen_recheck_temperature_up",
            "screen_recheck_temperature_down",
        ),
        (
            j.by_barometer_pa,
            "screen_recheck_barometer_up",
            "screen_recheck_barometer_down",
        ),
    ] {
        if pa.abs() >= preview.hold.setup.gauge_resolution_pa / 2.0 {
            let key = if pa > 0.0 { up } else { down };
            lines.push(line(
                cx.say(key, &[("amount", (&shift(pa)).into())]),
                Severity::Plain,
                None,
            ));
        }
    }
    if j.by_rest_pa.abs() >= preview.hold.setup.gauge_resolution_pa {
        let key = if j.by_rest_pa > 0.0 {
            "screen_recheck_inside_less"
        } else {
            "screen_recheck_inside_more"
        };
        lines.push(line(
            cx.say(key, &[("amount", (&shift(j.by_rest_pa)).into())]),
            Severity::Plain,
            None,
        ));
    }
    lines
}

/// Why a recheck can't tell now, where that is known before the gauge is read, and when it will.
fn not_yet(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &EnclosureFacts,
    preview: &RecheckPreview,
    asked: &NewReading,
) -> Vec<Line> {
    let j = &preview.judgement;
    let mut out = Vec::new();
    let mut note = |text: String| out.push(line(text, Severity::Notice, Some(Mark::Hatched)));
    let wanted = match taken_at(rig, facts) {
        TakenAt::Inside => Some("screen_recheck_wants_inside"),
        TakenAt::Surface => Some("screen_recheck_wants_surface"),
        TakenAt::Air => Some("screen_recheck_wants_air"),
        TakenAt::Nowhere => None,
    };
    let wanted = wanted.filter(|_| asked.temperature_k.is_none());
    // The hold went by a barometer, and now there is none.
    let air = preview.then.ambient_pa.is_some() && asked.ambient_pa.is_none();
    if air && !preview.hold.setup.absolute && !j.sees {
        note(cx.t("screen_recheck_wants_barometer"));
    }
    if let Some(key) = wanted {
        note(cx.t(key));
        return out;
    }
    // In whole minutes, never less than it takes.
    let minutes = |s: f64| {
        let m = (s / 60.0).ceil();
        let whole = if m > 20.0 { (m / 5.0).ceil() * 5.0 } else { m };
        format!("{whole}")
    };
    let up = preview
        .came_up
        .filter(|_| j.limited_by == RecheckLimitedBy::CameUp);
    let water = up.map(|up| {
        let unit = cx.units.temperature_symbol();
        format!("{:.0}\u{a0}{unit}", cx.units.from_k(up.water_k))
    });
    if let Some(how) = j.otherwise {
        for text in super::hold::hold_otherwise_words(cx, how, &preview.hold.setup) {
            note(text);
        }
        return out;
    }
    match (water, j.wait_s) {
        _ if j.camera_unsaid => note(cx.t("screen_recheck_camera_unsaid")),
        (_, Some(s)) if j.camera_off => note(cx.say(
            "screen_recheck_camera_off_first",
            &[("minutes", (&minutes(s)).into())],
        )),
        _ if j.limited_by == RecheckLimitedBy::Brought && !j.sees => {
            note(cx.t("screen_recheck_brought"));
        }
        (Some(water), Some(s)) => note(cx.say(
            "screen_recheck_came_up",
            &[
                ("water", (&water).into()),
                ("minutes", (&minutes(s)).into()),
            ],
        )),
        (Some(water), None) => {
            note(cx.say("screen_recheck_came_up_long", &[("water", (&water).into())]));
        }
        (None, Some(s)) => note(cx.say(
            "screen_recheck_too_soon",
            &[("minutes", (&minutes(s)).into())],
        )),
        (None, None) => {}
    }
    out
}

/// What an enclosure's camera does, asked with the air: not where a sensor in the gas sees it.
fn camera_field<'a>(
    cx: &Cx<'_>,
    rig: &RigFacts,
    def: &'a Enclosure,
    facts: &EnclosureFacts,
) -> Spec<'a, OnDeck> {
    pick(
        &AirField::Camera(&def.id).to_string(),
        cx.say("screen_recheck_camera", &[("name", (&def.name).into())]),
        vec![
            ("off", cx.t("screen_recheck_camera_off")),
            (RUNS, cx.t("screen_recheck_camera_on")),
        ],
        |d: &OnDeck| d.cameras.get(&def.id).cloned().unwrap_or_default(),
        |d, word| {
            d.cameras.insert(def.id.clone(), word);
        },
    )
    .hint(cx.t("screen_recheck_camera_hint"))
    .drawn_if(asks_camera(rig, def, facts))
}

const RUNS: &str = "on";

/// Whether it is asked what the camera does: where something warm may be inside, and no sensor in the
/// gas sees it. The camera's housing is the one with controls; where none has any, it may be each.
fn asks_camera(rig: &RigFacts, def: &Enclosure, facts: &EnclosureFacts) -> bool {
    let Ok(hold) = counting_hold(rig, facts) else {
        return false;
    };
    let controls = &rig.def.controls;
    let holds_it = controls.is_empty() || controls.iter().any(|c| c.enclosure == def.id);
    let said_cold = hold.setup.shut_in.camera == Some(Camera::Cold);
    hold.setup.temperature_source != "inside" && (holds_it || !said_cold)
}

/// What was said on this device of an enclosure's camera, while the air on deck counts as read. Where it
/// is not asked, none runs: if one does, less vacuum passes, not more.
fn said_of_camera(
    cx: &Cx<'_>,
    rig: &RigFacts,
    def: &Enclosure,
    facts: &EnclosureFacts,
) -> Option<bool> {
    if !asks_camera(rig, def, facts) {
        return Some(false);
    }
    match noted(cx, Note::Camera(&rig.id, &def.id))?.as_str() {
        "on" => Some(true),
        "off" => Some(false),
        _ => None,
    }
}

/// Whether the rig just came from elsewhere, asked with the air: not where a sensor in the gas sees it.
fn stood_field<'a>(cx: &Cx<'_>, rig: &RigFacts) -> Spec<'a, OnDeck> {
    let all = vec![
        (HERE, cx.t("screen_recheck_stood_here")),
        (ELSEWHERE, cx.t("screen_recheck_stood_elsewhere")),
    ];
    pick_in(
        keys::STOOD,
        cx.t("screen_recheck_stood"),
        all,
        |d: &mut OnDeck| &mut d.stood,
    )
    .hint(cx.t("screen_recheck_stood_hint"))
    .marked()
    .drawn_if(asks_place(rig))
}

const HERE: &str = "here";
const ELSEWHERE: &str = "elsewhere";

fn asks_place(rig: &RigFacts) -> bool {
    rig.enclosures.iter().any(|e| asks_brought(rig, e))
}

/// Whether it matters to this enclosure: its gas is told by what is beside it.
fn asks_brought(rig: &RigFacts, facts: &EnclosureFacts) -> bool {
    matches!(taken_at(rig, facts), TakenAt::Surface | TakenAt::Air)
}

/// What was said on this device of where the rig was within the last hour, while the air on deck counts as read.
fn said_of_place(cx: &Cx<'_>, rig: &RigFacts) -> Option<bool> {
    match noted(cx, Note::Brought(&rig.id))?.as_str() {
        "elsewhere" => Some(true),
        "here" => Some(false),
        _ => None,
    }
}

/// What is unlikely of the air on deck: too far from what the holds went by. Each number once.
fn odd_air(
    cx: &Cx<'_>,
    rig: &RigFacts,
    ambient_pa: Option<f64>,
    temperature_k: impl Fn(&EnclosureFacts) -> Option<(String, f64)>,
    typed: &Typed<'_>,
) -> Vec<Unlikely> {
    let (mut out, mut keys) = (Vec::new(), std::collections::HashSet::new());
    let mut say = |key: String, unit: &str, why: String| {
        if keys.insert(key.clone()) {
            let value = format!("{}\u{a0}{unit}", typed.text(&key));
            out.push(Unlikely::of(key, value, why));
        }
    };
    let asked = NewReading {
        gauge_pa: f64::NAN,
        temperature_k: None,
        ambient_pa: None,
        barometer: None,
        confirmed: false,
    };
    for facts in &rig.enclosures {
        let Ok(p) = cx.book.preview_recheck(&rig.id, &facts.id, asked) else {
            continue;
        };
        let gap_s = p.timed.t_s - p.then.t_s;
        let pressure = ambient_pa.zip(p.then.ambient_pa);
        if let Some(moved) = pressure.and_then(|(now, then)| air_moved(then, now, gap_s)) {
            let unit = cx.units.pressure;
            let by = cx.units.plain(unit.from_pa(moved.abs()), 2);
            let by = format!("{by}\u{a0}{}", unit.symbol());
            let why = cx.say("screen_recheck_air_moved", &[("value", (&by).into())]);
            say(keys::AMBIENT.into(), unit.symbol(), why);
        }
        let warm = temperature_k(facts).zip(p.then.temperature_k);
        if let Some(((key, now), then)) = warm
            && let Some(moved) = temperature_moved(then, now, true)
        {
            let by = cx.units.from_k(300.0 + moved.abs()) - cx.units.from_k(300.0);
            let unit = cx.units.temperature_symbol();
            let by = format!("{}\u{a0}{unit}", cx.units.plain(by, 2));
            let why = cx.say("screen_recheck_warmed", &[("value", (&by).into())]);
            say(key, unit, why);
        }
    }
    out
}

fn changed_words(fact: &RecheckFact) -> &'static str {
    match fact.result {
        Some(RecheckResult::LessVacuum) => "screen_recheck_lower",
        Some(RecheckResult::MoreVacuum) => "screen_recheck_higher",
        _ => "screen_recheck_other",
    }
}

fn limited_words(by: RecheckLimitedBy) -> &'static str {
    match by {
        RecheckLimitedBy::Gauge => "screen_recheck_limited_gauge",
        RecheckLimitedBy::Temperature => "screen_recheck_limited_temperature",
        RecheckLimitedBy::Barometer => "screen_recheck_limited_barometer",
        RecheckLimitedBy::Leak => "screen_recheck_limited_leak",
        RecheckLimitedBy::CameUp => "screen_recheck_limited_water",
        RecheckLimitedBy::Brought => "screen_recheck_limited_brought",
        RecheckLimitedBy::Camera => "screen_recheck_limited_camera",
        RecheckLimitedBy::Desiccant => "screen_recheck_limited_packs",
    }
}

/// What was read, in the gauge's unit, to its step.
pub(super) fn amount_read(units: &Units, pa: f64, setup: &HoldSetup) -> String {
    let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(PressureUnit::Mbar);
    let value = units.rounded(unit.from_pa(pa), unit.from_pa(setup.gauge_resolution_pa));
    format!("{value}\u{a0}{}", unit.symbol())
}

/// The share of the difference that neither temperature nor barometer explains, or what would have been
/// missed.
fn left_over(
    cx: &Cx<'_>,
    fact: &RecheckFact,
    absolute: bool,
    unit: PressureUnit,
    mark: Mark,
) -> Vec<Line> {
    let lost = if absolute {
        fact.reading.gauge_pa - fact.expected_pa
    } else {
        fact.expected_pa - fact.reading.gauge_pa
    };
    let with_unit = |text: String| format!("{text}\u{a0}{}", unit.symbol());
    let sd = unit.from_pa(fact.expected_sd_pa);
    let off = with_unit(cx.units.rounded(unit.from_pa(lost.abs()), sd));
    let most = fact
        .would_miss_below_pa
        .unwrap_or(3.3 * fact.expected_sd_pa);
    let within = with_unit(cx.units.significant(unit.from_pa(most), 2));
    // Of what read as foretold nothing is lost: what is said is what could have been missed.
    let mut lines = Vec::new();
    if mark == Mark::Struck {
        let key = if lost >= 0.0 {
            "screen_recheck_left_less"
        } else {
            "screen_recheck_left_more"
        };
        lines.push(cx.say(key, &[("amount", (&off).into())]));
    } else {
        lines.push(cx.say(
            "screen_recheck_missed_below",
            &[("amount", (&within).into())],
        ));
    }
    lines
        .into_iter()
        .map(|text| line(text, Severity::Plain, None))
        .collect()
}

/// What was said on deck, for one enclosure: the temperature that its own hold went by, and no other's.
fn reading(
    cx: &Cx<'_>,
    rig: &RigFacts,
    facts: &EnclosureFacts,
    air: Air,
    gauge_pa: f64,
) -> NewReading {
    // The phone's own barometer says how it is now, and not when the page was opened a drive ago.
    let own = Some(cx.book.own_barometer());
    let now = cx
        .air
        .filter(|_| air.barometer == own)
        .map(|a| a.pressure_pa);
    NewReading {
        gauge_pa,
        temperature_k: match taken_at(rig, facts) {
            TakenAt::Inside | TakenAt::Surface => own_temperature(cx, &rig.id, &facts.id),
            TakenAt::Air => air.temperature_k,
            TakenAt::Nowhere => None,
        },
        ambient_pa: now.or(air.ambient_pa),
        barometer: air.barometer,
        confirmed: false,
    }
}

/// What the gauge of a hold reads now, in its unit.
fn gauge_field<'a>(
    cx: &Cx<'_>,
    setup: Option<&HoldSetup>,
) -> Result<[Spec<'a, f64>; 1], BookFault> {
    let label = setup.map(|s| reads_label(cx, s)).transpose()?;
    let unit = Unit::Plain(gauge_unit(cx, setup).symbol());
    Ok([must_num_in(
        keys::GAUGE,
        label.unwrap_or_default(),
        unit,
        |g| g,
    )])
}

fn gauge_unit(cx: &Cx<'_>, setup: Option<&HoldSetup>) -> PressureUnit {
    let unit = setup.and_then(|s| PressureUnit::from_symbol(&s.gauge_unit));
    unit.unwrap_or(cx.units.pressure)
}

/// What the slip was.
fn slip_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    [text_in(keys::REASON, cx.t("screen_recheck_slip_reason"), |t| t).must()]
}

/// What the gauge is asked for: by its name where the crew has several.
fn reads_label(cx: &Cx<'_>, setup: &HoldSetup) -> Result<String, BookFault> {
    let gauges = cx.book.gauges()?;
    let known = gauges
        .iter()
        .find(|(id, _)| setup.gauge.as_ref() == Some(id));
    Ok(match known.filter(|_| gauges.len() > 1) {
        Some((_, gauge)) => cx.say(
            "screen_recheck_reads_on",
            &[("gauge", (&gauge.name).into())],
        ),
        None => cx.t("screen_recheck_reads"),
    })
}

/// Does an action.
pub(super) fn act(desk: &mut Desk, rig: &str, action: RecheckAction) -> Result<Outcome, BookFault> {
    let facts = desk.book.rig(rig)?;
    super::prep::still_at_it(desk, rig);
    Ok(match action {
        RecheckAction::PlugOn { enclosure } => {
            let recorded = desk.book.refit_plug(rig, &enclosure)?;
            let name = enclosure_name(&facts, &enclosure);
            let said = desk
                .texts
                .say("screen_rig_said_plug_on", &[("name", (&name).into())]);
            done(recorded, said)
        }
        RecheckAction::Hold { enclosure } => super::hold::go_to_hold(&facts, &enclosure),
        RecheckAction::Flood => {
            let prep = match super::rig::flood_next(&desk.cx()?, &facts) {
                Some((_, Flood::GoOn(prep))) => prep,
                Some((_, Flood::Begin(procedure))) => desk.book.start_prep(rig, &procedure)?,
                None => return Ok(fault("", desk.texts.get("error_other_screen"))),
            };
            go(Place::Prep {
                prep,
                step: None,
                form: None,
            })
        }
        RecheckAction::OpenRig => go(Place::Rig {
            rig: rig.to_owned(),
            form: None,
        }),
        RecheckAction::Submit { form, values } => {
            let cx = desk.cx()?;
            let (units, phone, own) = (cx.units, cx.air, cx.book.own_barometer());
            let mut typed = Typed::new(desk.texts, &values);
            let form = RecheckForm::parse(&form);
            if form == Some(RecheckForm::Air) {
                let deck = read_new(&on_deck_fields(&cx, &facts), &units, &mut typed);
                let (ambient, by) = deck.air.taken(&mut typed, phone, own);
                if ambient.is_some_and(|pa| !(50_000.0..=110_000.0).contains(&pa)) {
                    typed.wrong(keys::AMBIENT, "error_air_pressure");
                }
                if asks_place(&facts) && ![HERE, ELSEWHERE].contains(&deck.stood.as_str()) {
                    typed.wrong(keys::STOOD, "error_choice_wanted");
                }
                if !typed.faults.is_empty() {
                    return Ok(typed.faults().unwrap_or_default());
                }
                // The phone's own barometer says how it is.
                let read = ambient.filter(|_| by.is_none());
                let warm = |e: &EnclosureFacts| match taken_at(&facts, e) {
                    TakenAt::Inside | TakenAt::Surface => {
                        let own = deck.own_k.get(&e.id);
                        own.map(|k| (AirField::Temperature(&e.id).to_string(), *k))
                    }
                    TakenAt::Air => deck.temperature_k.map(|k| (keys::TEMPERATURE.into(), k)),
                    TakenAt::Nowhere => None,
                };
                let odd = odd_air(&desk.cx()?, &facts, read, warm, &typed);
                if let Err(faults) = are_so(desk, &AskedOf::Air(rig).to_string(), &typed, &odd) {
                    return Ok(wrong(faults));
                }
                let text = |v: Option<f64>| v.map_or_else(|| "-".into(), |v| v.to_string());
                // By the time that can't be set back: old air must not grow young.
                let now = desk.book.now().latest_seen.0;
                let value = format!(
                    "{now} {} {} {}",
                    text(deck.temperature_k),
                    text(ambient),
                    text(by.map(f64::from))
                );
                desk.book.set_local(Note::Air(rig), &value)?;
                let all = || facts.def.enclosures.iter().zip(&facts.enclosures);
                for (e, of) in all() {
                    if matches!(taken_at(&facts, of), TakenAt::Inside | TakenAt::Surface) {
                        let k = text(deck.own_k.get(&e.id).copied());
                        let note = Note::Temperature(rig, &e.id);
                        desk.book.set_local(note, &format!("{now} {k}"))?;
                    }
                }
                let place = format!("{now} {}", deck.stood);
                desk.book.set_local(Note::Brought(rig), &place)?;
                for (e, _) in all() {
                    let camera = deck.cameras.get(&e.id).map_or("", String::as_str);
                    let note = Note::Camera(rig, &e.id);
                    desk.book.set_local(note, &format!("{now} {camera}"))?;
                }
                return Ok(said(desk.texts.get("screen_recheck_said_air")));
            }
            if let Some(RecheckForm::Slip(enclosure)) = form {
                let reason = read_new(&slip_field(&cx), &units, &mut typed);
                if let Some(faults) = typed.faults() {
                    return Ok(faults);
                }
                let recorded = desk.book.recheck_mistyped(rig, enclosure, &reason)?;
                return Ok(done(recorded, desk.texts.get("screen_recheck_said_slip")));
            }
            let enclosure = match form {
                Some(RecheckForm::Reading(enclosure)) => enclosure.to_owned(),
                _ => String::new(),
            };
            let holds = facts.enclosure(&enclosure).map(|e| &e.holds);
            let setup = holds.and_then(|all| all.first()).map(|h| &h.setup);
            let unit = gauge_unit(&cx, setup);
            let gauge = read_new(&gauge_field(&cx, setup)?, &units, &mut typed);
            let gauge = unit.to_pa(gauge);
            if !typed.faults.is_empty() {
                return Ok(typed.faults().unwrap_or_default());
            }
            let cx = desk.cx()?;
            let air = air(&cx, rig);
            // Read on a page that stood open for longer than the air counts.
            if !air.known {
                typed.wrong(keys::GAUGE, "screen_recheck_air_first");
                return Ok(typed.faults().unwrap_or_default());
            }
            let of = facts.enclosure(&enclosure);
            let Some(new) = of.map(|of| reading(&cx, &facts, of, air, gauge)) else {
                let what = "enclosure";
                return Err(BookFault::NotFound {
                    what,
                    id: enclosure,
                });
            };
            let known = facts
                .def
                .enclosure(&enclosure)
                .zip(facts.enclosure(&enclosure));
            let camera_on = known.and_then(|(def, e)| said_of_camera(&cx, &facts, def, e));
            let brought = of
                .filter(|of| asks_brought(&facts, of))
                .and_then(|_| said_of_place(&cx, &facts));
            let new = NewRecheck {
                reading: new,
                camera_on,
                brought,
            };
            let typed_as = as_typed(&units);
            let doubts = desk.book.recheck_doubts(rig, &enclosure, &new, typed_as)?;
            let absolute = facts
                .enclosure(&enclosure)
                .and_then(|e| e.holds.first())
                .is_some_and(|h| h.setup.absolute);
            let gauge = OfGauge {
                rig: &facts,
                unit,
                absolute,
            };
            let at = AskedOf::Recheck(rig, &enclosure).to_string();
            let new = match confirmed(desk, &at, &doubts, None, &typed, &units, gauge) {
                Ok(confirmed) => NewRecheck {
                    reading: NewReading {
                        confirmed,
                        ..new.reading
                    },
                    ..new
                },
                Err(faults) => return Ok(wrong(faults)),
            };
            let recorded = desk.book.record_recheck(rig, &enclosure, new)?;
            let name = enclosure_name(&facts, &enclosure);
            let after = desk.book.rig(rig)?;
            let known = after.enclosure(&enclosure);
            let verdict = known.and_then(|e| {
                let last = &e.recheck.as_ref()?.1;
                // A change stands, whatever was read now.
                let stands = changed_since(e, &last.hold).is_some();
                Some(if stands {
                    VerdictFact::Leaking
                } else {
                    last.verdict
                })
            });
            let key = match verdict {
                Some(VerdictFact::Holding) => "screen_recheck_said_same",
                Some(VerdictFact::Leaking) => "screen_recheck_said_changed",
                _ => "screen_recheck_said_unclear",
            };
            done(recorded, desk.texts.say(key, &[("name", (&name).into())]))
        }
    })
}

/// Whether it lost vacuum over a stay in the water, logged or not: there may be water inside.
pub(super) fn lost_in_the_water(rig: &RigFacts, facts: &EnclosureFacts, hold: &HoldFacts) -> bool {
    let changed = changed_since(facts, &hold.id);
    let less = changed.is_some_and(|r| r.fact.result == Some(RecheckResult::LessVacuum));
    let proved = hold.concluded.as_ref().map(|c| c.0);
    let after = |s: &Seen| proved.is_none_or(|at| rig.heard.after(&s.stamp, &at));
    let mut dived = rig.dived.iter().flat_map(|d| d.all());
    // Work that follows a dive is begun for a change that was found on deck, too.
    let before = |s: &Seen| changed.is_some_and(|r| rig.heard.after(&r.seen.stamp, &s.stamp));
    less && (dived.any(after) || in_water(rig).iter().any(|s| after(s) && before(s)))
}

fn hold_button(cx: &Cx<'_>, def: &Enclosure) -> RecheckButton {
    button(
        cx.t("action_start_hold"),
        RecheckAction::Hold {
            enclosure: def.id.clone(),
        },
    )
}

fn plug_button(cx: &Cx<'_>, rig: &RigFacts, enclosure: &str) -> RecheckButton {
    let name = enclosure_name(rig, enclosure);
    button(
        cx.say("action_plug_on", &[("name", (&name).into())]),
        RecheckAction::PlugOn {
            enclosure: enclosure.to_owned(),
        },
    )
}

impl RecheckScreen {
    /// The air first; then one housing a page, with what it should read; at last the sum.
    pub(super) fn page(self, texts: &Texts) -> Page {
        let title = texts.get("shell_recheck_title");
        if self.main.is_none() && self.items.iter().all(|i| i.form.is_none()) {
            let state = self.items.into_iter().map(RecheckItem::row).collect();
            return Draft::new(&title, &self.rig_name)
                .answer(&self.answer, Some(self.mark), self.severity)
                .fields(Some(self.air), true)
                .rows("", state)
                .footnote("", &self.caveat)
                .done();
        }
        let unread = |i: &RecheckItem| i.form.is_some() && i.mark == Mark::Hollow;
        let next = self.items.iter().position(unread);
        // News stays where it was read, with the way to call it a slip, until somebody has dealt with it.
        let changed = self.items.iter().any(|i| i.mark == Mark::Struck);
        match next.filter(|_| self.main.is_none() && !changed) {
            Some(next) => self.one(texts, &title, next),
            None => self.sum(texts, &title),
        }
    }

    /// The housing that is read next, alone.
    fn one(mut self, texts: &Texts, title: &str, next: usize) -> Page {
        let of = self.items.len();
        let item = self.items.remove(next);
        let place = texts.say(
            "screen_recheck_place",
            &[
                ("title", title.into()),
                ("n", (next + 1).into()),
                ("of", of.into()),
            ],
        );
        let foretold = item.expected.map(|q| Quantity {
            label: String::new(),
            ..q
        });
        let should = match &foretold {
            Some(_) => texts.say("screen_recheck_should", &[("name", (&item.name).into())]),
            None => item.state,
        };
        let rest = self.items.into_iter().map(RecheckItem::row).collect();
        let air = air_again(texts, self.air);
        Draft::new(&place, &self.rig_name)
            .step(&item.enclosure)
            .answer(&should, None, Severity::Plain)
            .figures("", foretold)
            .fields_of(item.form, true, &item.name)
            .figures("", item.then)
            .lines(item.reasons)
            .rows("", rest)
            .fields(Some(air), false)
            .footnote("", &self.caveat)
            .done()
    }

    /// What all of them came to.
    fn sum(self, texts: &Texts, title: &str) -> Page {
        let mut draft =
            Draft::new(title, &self.rig_name).answer(&self.answer, Some(self.mark), self.severity);
        let at_thumb = |b: &RecheckButton| {
            let main = self.main.as_ref();
            main.is_some_and(|m| m.action == b.action)
        };
        for item in self.items {
            let state = Line {
                text: item.state,
                severity: item.severity,
                mark: Some(item.mark),
            };
            // One that reads as it should needs no second reading.
            let form = item.form.filter(|_| item.mark != Mark::Full);
            // That a change was mistyped comes after what answers a change.
            let (form, slip) = match item.mark {
                Mark::Struck => (None, form),
                _ => (form, None),
            };
            let next = (item.next).filter(|b| item.mark != Mark::Struck || !at_thumb(b));
            draft = draft
                .title(&item.name)
                .lines([state])
                .figures("", item.expected)
                .fields_of(form, false, &item.name)
                .figures("", item.then)
                .lines(item.reasons)
                .buttons("", next.into_iter().collect())
                .fields_of(slip, false, &item.name);
        }
        let to_rig = button(texts.get("action_to_rig"), RecheckAction::OpenRig);
        // Where plugs are put in, that leads on to it.
        let plugs = |b: &RecheckButton| {
            let super::Action::Recheck { action } = &b.action else {
                return false;
            };
            matches!(action, RecheckAction::PlugOn { .. })
        };
        let leads = self.main.as_ref().is_some_and(plugs);
        let to_rig = Some(to_rig).filter(|b| !leads && !at_thumb(b));
        draft
            .fields(Some(air_again(texts, self.air)), false)
            .buttons("", to_rig.into_iter().collect())
            .footnote("", &self.caveat)
            .main(self.main)
            .done()
    }
}

/// The air that was said, to be said again, at the foot of a page.
fn air_again(texts: &Texts, air: Form) -> Form {
    let title = if air.title.is_empty() {
        texts.get("shell_air")
    } else {
        air.title.clone()
    };
    Form { title, ..air }
}

impl RecheckItem {
    /// How it stands, in a row.
    fn row(self) -> Row {
        Row {
            title: self.name,
            detail: self.state,
            footnote: None,
            mark: Some(self.mark),
            severity: self.severity,
            tap: self.next,
            other: None,
            photo: None,
        }
    }
}
