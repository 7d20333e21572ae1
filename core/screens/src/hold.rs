//! A vacuum hold. Its one question: is it tight, and how long must I still wait?

use super::asked::{OfGauge, as_typed, asked_field, confirmed, unlikely_steps, wrong};
use super::common::{
    Document, FieldValue, Form, Line, Mark, Outcome, PhotoTile, Place, Quantity, Severity,
};
use super::cx::{Cx, Typed, button, done, fault, form, go, leave, line, said};
use super::desk::{Desk, WaitingLog};
use super::forms::{AskedOf, RigForm};
use super::hold_chart;
use super::keys;
use super::measures::{Unit, Units, exact};
use super::names::{Shows, enclosure_name, gauge_fields, held_words, took_away};
use super::page::{Block, Draft, Page, Watch};
use super::phone::{Air, air_hint, remarks};
use super::rig::only_closure;
use super::spec::{
    Spec, draw, long_text_in, must_num_in, num, num_in, one_of, one_of_in, pick_in, read, read_new,
};
use super::texts::Texts;
use super::times::span;
use slackwater_domain::book::{
    Book, BookFault, Judged, NewReading, input_of, recheck_foreseen, recheck_wants_step,
};
use slackwater_domain::facts::{
    Gauge, HoldSetup, Loss, LossKind, Noticed, ValveOpen, leak_is_seen,
};
use slackwater_domain::fold::IMPORTED;
use slackwater_domain::hold_log::{self as log, LogFault};
use slackwater_domain::procedure::{StepKind, Target};
use slackwater_domain::rules::{
    HoldMissing, changed_since, closed_since, counting_hold, leaked_before, needs_service,
    plug_refitted, still_told,
};
use slackwater_domain::state::RigFacts;
use slackwater_domain::subject::At;
use slackwater_physics::gas::ATM;
use slackwater_physics::hold::plausible::About;
use slackwater_physics::hold::{
    Camera, DEEP_ENOUGH_PA, Desiccant, Foreseen, HoldOtherwise, Judgement, LimitedBy, ShutIn,
    Stood, Verdict, Way, WayOut, judge,
};
use slackwater_physics::units::{LeakUnit, PressureUnit, convert_leak};

pub use super::common::{Button as HoldButton, Row as HoldRow};

/// What the hold screens accept.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum HoldAction {
    /// Sends a form: 'setup' starts the hold, 'reading' adds a reading.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Ends the hold with the verdict as it stands.
    Conclude,
    /// Gives the hold up; the reason is asked for by the form 'abandon'.
    ShowForm {
        /// Which form.
        form: String,
    },
    /// Sets a reading aside as mistyped (it stays in the record).
    SetAside {
        /// Event reference of the reading.
        reading: String,
    },
    /// Says which steps the gauge was seen to show, where all readings were whole steps of a coarser one.
    GaugeSteps {
        /// The steps, Pa; none where it shows those that were said, and just stood there.
        step_pa: Option<f64>,
    },
    /// Records that the plug was refitted.
    PlugOn,
    /// Back to the rig.
    OpenRig,
    /// Back to the prep that asks for this hold.
    OpenPrep {
        /// Prep id.
        prep: String,
    },
    /// Sets up another hold of the same enclosure.
    NewHold,
    /// Opens the rig's page where it asks what of the enclosure was opened.
    OpenEnclosure,
    /// Hands this hold on as a file.
    HandOver,
    /// Asks for the file of a logged hold.
    Bring,
    /// Takes the good rows of the file whose wrong rows are shown.
    KeepGood,
    /// Leaves that file.
    DropFile,
}

/// A point of the chart. x in the chart's time unit since the valve was closed, y in its pressure
/// unit.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ChartPoint {
    /// Time, in the unit of [`HoldChart::x_unit`].
    pub x: f64,
    /// Depression in the unit of [`HoldChart::y_unit`].
    pub y: f64,
    /// True where the reading looks mistyped or was set aside.
    pub aside: bool,
}

/// A point of the fitted curve with its band and the limit.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ChartFit {
    /// Time, in the unit of [`HoldChart::x_unit`].
    pub x: f64,
    /// Fit.
    pub y: f64,
    /// Lower edge of the 95 % band.
    pub low: f64,
    /// Upper edge of the 95 % band.
    pub high: f64,
    /// A leak exactly at the limit.
    pub limit: f64,
}

/// A tick of an axis.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ChartTick {
    /// Position in the axis' unit.
    pub at: f64,
    /// Its text.
    pub label: String,
}

/// The chart: time along, pressure as depression at constant temperature and barometer.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HoldChart {
    /// Readings, reduced.
    pub points: Vec<ChartPoint>,
    /// Fit, band and limit line.
    pub fit: Vec<ChartFit>,
    /// Smallest and largest x shown.
    pub x_min: f64,
    /// Largest x shown.
    pub x_max: f64,
    /// Smallest y shown.
    pub y_min: f64,
    /// Largest y shown.
    pub y_max: f64,
    /// Ticks of the time axis.
    pub x_ticks: Vec<ChartTick>,
    /// Ticks of the pressure axis.
    pub y_ticks: Vec<ChartTick>,
    /// 'min', or 'h' for a long hold.
    pub x_unit: String,
    /// 'mbar'.
    pub y_unit: String,
    /// Label of the dashed line: 'limit: 10 mL per dive', and from when it is off the chart.
    pub limit_label: String,
    /// Every number of the chart as text, for a screen reader.
    pub spoken: String,
}

/// Setting up a hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldSetupScreen {
    /// Rig id.
    pub rig: String,
    /// Enclosure's name.
    pub enclosure_name: String,
    /// What comes first: 'Valve of Main housing open: what does its gauge show?'. How far to pump then
    /// stands beside the number.
    pub instruction: String,
    /// What stands in the way of a hold that counts (not closed, a seal not serviced).
    pub obstacles: Vec<Line>,
    /// The form: gauge, unit, first reading, temperature, barometer.
    pub form: Form,
    /// What is wrong with the file that was brought in, row by row; empty where none waits.
    pub brought: Vec<Line>,
    /// Bringing a logged hold in, or what to do with the one that waits.
    pub others: Vec<HoldButton>,
    /// What a vacuum hold can't prove.
    pub caveat: String,
}

/// A hold under way or ended.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldScreen {
    /// Hold id.
    pub hold: String,
    /// Rig id.
    pub rig: String,
    /// Enclosure's name.
    pub enclosure_name: String,
    /// The sentence: 'Tight to 3 mL per dive' or 'Not yet: about 14 more minutes'.
    pub verdict: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// Beneath it: what it rests on, what limits it, what a better thermometer would save.
    pub reasons: Vec<Line>,
    /// Figures: leak with interval, would-miss, limit, pressure now.
    pub figures: Vec<Quantity>,
    /// When the next reading is wanted ('Next reading in 2 min').
    pub next_reading: Option<String>,
    /// Seconds from now until then, for the shell's alarm; 0 or less: now.
    pub next_reading_s: Option<i64>,
    /// The chart; none before there are two readings.
    pub chart: Option<HoldChart>,
    /// The readings, newest first.
    pub readings: Vec<HoldRow>,
    /// The form for a reading or the one asked for; none when ended.
    pub form: Option<Form>,
    /// Photos of this hold.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The main action; while it runs there is none, and the form of a reading stands at the thumb.
    pub main: Option<HoldButton>,
    /// What the verdict leads to while it runs: ending with it; saying which steps the gauge shows, where that is
    /// asked.
    pub with_verdict: Vec<HoldButton>,
    /// The others.
    pub others: Vec<HoldButton>,
    /// True while it runs.
    pub running: bool,
    /// What a vacuum hold can't prove.
    pub caveat: String,
    /// Title of the details.
    pub details_title: String,
    /// For who wants to know more: leak rate in the usual units, the hole it would be, what limits.
    pub details: Vec<Quantity>,
    /// What the readings have come to while it runs; none before, and none once it has ended. The
    /// shell calls for attention when this changes to something while the screen stands.
    pub reached: Option<Reached>,
    /// What the phone itself puts in the way while it runs: little room, a low battery, calls that
    /// come late.
    pub phone: Vec<Line>,
}

/// What a hold under way has come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Reached {
    /// The leak is below the limit, or there is none.
    Holding,
    /// It leaks more than the limit.
    Leaking,
}

/// A leak that is still possible is named up to so many limits.
const NAMED_LIMITS: f64 = 50.0;

/// Vacuum suggested, Pa below ambient: the middle of the customary 100 to 300 mbar.
const SUGGESTED_PA: f64 = 20_000.0;

/// '200 mbar': a vacuum to be drawn, in a gauge's unit.
fn vacuum_words(units: &Units, unit: PressureUnit, pa: f64) -> String {
    format!(
        "{}\u{a0}{}",
        units.plain(unit.from_pa(pa), 3),
        unit.symbol()
    )
}

/// Where a hold of an enclosure is: the one under way, or its setup.
pub(super) fn go_to_hold(rig: &RigFacts, enclosure: &str) -> Outcome {
    match rig.enclosure(enclosure).map(|e| counting_hold(rig, e)) {
        Some(Err(HoldMissing::Running { hold })) => go(Place::Hold { hold, form: None }),
        _ => go(Place::HoldSetup {
            rig: rig.id.clone(),
            enclosure: enclosure.to_owned(),
        }),
    }
}

/// Builds the setup screen.
pub(super) fn show_setup(
    cx: &Cx<'_>,
    rig_id: &str,
    enclosure: &str,
) -> Result<HoldSetupScreen, BookFault> {
    let rig = cx.book.rig(rig_id)?;
    let def = rig
        .def
        .enclosure(enclosure)
        .ok_or_else(|| BookFault::NotFound {
            what: "enclosure",
            id: enclosure.to_owned(),
        })?;
    let mut obstacles = Vec::new();
    // What stands in the way of starting takes the form's place; the rest are remarks.
    let mut blocked = false;
    if let Some(facts) = rig.enclosure(enclosure)
        && closed_since(&rig, facts).is_none()
    {
        obstacles.push(line(
            cx.say("error_enclosure_open", &[("name", (&def.name).into())]),
            Severity::Blocking,
            Some(Mark::Hollow),
        ));
        blocked = true;
    }
    for (d, f) in rig.def.seals.iter().zip(&rig.seals) {
        if d.enclosure == enclosure && needs_service(&rig, d, f) {
            obstacles.push(line(
                cx.say(
                    "screen_hold_seal_not_serviced",
                    &[("name", (&d.name).into())],
                ),
                Severity::Notice,
                Some(Mark::Hatched),
            ));
        }
    }
    if def.valve.is_none() {
        obstacles.push(line(
            cx.say("error_no_valve", &[("name", (&def.name).into())]),
            Severity::Blocking,
            Some(Mark::Struck),
        ));
        blocked = true;
    }
    // The gauge of this enclosure's last hold, so that a crew enters it once.
    let last = rig
        .enclosure(enclosure)
        .and_then(|e| e.holds.first())
        .map(|h| h.setup.clone());
    let setup = last.unwrap_or_else(|| Book::hold_setup(def, &rig.def.plan));
    let gauges = cx.book.gauges()?;
    // The crew has said what its gauges are: choosing one is enough.
    let chosen = gauges
        .iter()
        .find(|(id, _)| setup.gauge.as_ref() == Some(id))
        .or(gauges.first());
    let symbol = chosen.map_or(setup.gauge_unit.as_str(), |(_, g)| g.unit.as_str());
    let unit = PressureUnit::from_symbol(symbol).unwrap_or(cx.units.pressure);
    let of = SetUpOf {
        cx,
        gauges: &gauges,
        unit,
        before: setup.shut_in,
    };
    let shown = SetUp {
        with: chosen.map(|(id, _)| id.clone()),
        air: Outside {
            phone: true,
            ..Outside::default()
        },
        source: setup.temperature_source.clone(),
        shows: Shows::steps_of(unit, setup.absolute, setup.gauge_resolution_pa),
        ..SetUp::default()
    };
    let mut fields = draw(&of.fields(), &cx.units, Some(&shown));
    if chosen.is_none() {
        fields.extend(draw(&of.gauge_fields(), &cx.units, Some(&shown)));
    }
    fields.extend(asked_field(
        cx,
        &AskedOf::SetUp(rig_id, enclosure).to_string(),
    ));
    let (brought, others) = file_buttons(cx, rig_id, enclosure);
    Ok(HoldSetupScreen {
        brought,
        others,
        rig: rig_id.to_owned(),
        enclosure_name: def.name.clone(),
        instruction: cx.say("screen_hold_instruction", &[("name", (&def.name).into())]),
        obstacles,
        form: if blocked {
            form(TO_RIG, String::new(), Vec::new(), cx.t("action_to_rig"))
        } else {
            form("setup", String::new(), fields, cx.t("action_valve_closed"))
        },
        caveat: cx.t("common_vacuum_caveat"),
    })
}

/// The set-up's form where a hold can't begin: back to the rig, which says what comes first.
pub(super) const TO_RIG: &str = "rig";
/// What [`Outcome::bring`] asks for: a logged hold.
pub(super) const BRINGS: &str = "hold-log";
/// Wrong rows named on the screen; the rest are counted.
const ROWS_NAMED: usize = 8;

/// What is wrong with the file that waits, and what can be done with a file.
fn file_buttons(cx: &Cx<'_>, rig: &str, enclosure: &str) -> (Vec<Line>, Vec<HoldButton>) {
    let waits = cx
        .waiting
        .filter(|w| w.rig == rig && w.enclosure == enclosure);
    let Some(w) = waits else {
        return (
            Vec::new(),
            vec![button(cx.t("action_bring_hold"), HoldAction::Bring)],
        );
    };
    let mut lines = vec![line(
        cx.say(
            "screen_hold_file_wrong",
            &[("n", w.wrong.len().into()), ("name", (&w.name).into())],
        ),
        Severity::Notice,
        Some(Mark::Hatched),
    )];
    lines.extend(
        w.wrong
            .iter()
            .take(ROWS_NAMED)
            .map(|r| line(cx.faults().wrong_row(r), Severity::Plain, None)),
    );
    if w.wrong.len() > ROWS_NAMED {
        lines.push(line(
            cx.say(
                "screen_hold_file_more",
                &[("n", (w.wrong.len() - ROWS_NAMED).into())],
            ),
            Severity::Plain,
            None,
        ));
    }
    let others = vec![
        button(cx.t("action_keep_good_rows"), HoldAction::KeepGood),
        button(cx.t("action_drop_file"), HoldAction::DropFile),
    ];
    (lines, others)
}

/// A file that was chosen as a logged hold of this enclosure.
pub(super) fn bring(
    desk: &mut Desk,
    rig: &str,
    enclosure: &str,
    paper: &Document,
) -> Result<Outcome, BookFault> {
    desk.waiting = None;
    // A shell leaves in its file what is too large for a log.
    if paper.bytes.len() > log::limits::FILE_BYTES || paper.file.is_some() {
        return Ok(fault("", desk.texts.get("error_file_too_large")));
    }
    let Ok(text) = std::str::from_utf8(&paper.bytes) else {
        return Ok(fault("", desk.texts.get("error_file_no_text")));
    };
    match desk.book.import_hold(rig, enclosure, text, false) {
        Err(BookFault::HoldLog(LogFault::WrongRows { rows })) => {
            desk.waiting = Some(WaitingLog {
                rig: rig.to_owned(),
                enclosure: enclosure.to_owned(),
                name: paper.name.clone(),
                text: text.to_owned(),
                wrong: rows,
            });
            Ok(said(desk.texts.get("screen_hold_said_rows_wrong")))
        }
        other => {
            let result = other.map(|hold| go(Place::Hold { hold, form: None }));
            desk.cx()?.answered(result, true)
        }
    }
}

/// A name for a file: letters, digits and hyphens, whatever the enclosure is called.
fn file_name(enclosure: &str, day: &str) -> String {
    let mut slug = String::new();
    for c in enclosure.to_lowercase().chars() {
        if c.is_alphanumeric() {
            slug.push(c);
        } else if !slug.ends_with('-') && !slug.is_empty() {
            slug.push('-');
        }
    }
    format!("hold-{}-{day}.csv", slug.trim_end_matches('-'))
}

/// A hold about to begin, as typed.
#[derive(Debug, Clone)]
struct SetUp {
    /// What the gauge shows with the valve open, as tapped.
    open: Option<Open>,
    /// What it reads then, in its unit.
    open_reads: f64,
    /// The gauge on record; none where one is described.
    with: Option<String>,
    /// What it reads with the valve closed, in its unit.
    gauge: f64,
    temperature_k: Option<f64>,
    air: Outside,
    /// Where the temperature is taken.
    source: String,
    /// Shut in is what was last time.
    same: bool,
    shut_in: ShutIn,
    /// As a share of 1.
    humidity: Option<f64>,
    /// How a gauge that is on no record shows.
    shows: Shows,
}

impl Default for SetUp {
    fn default() -> SetUp {
        SetUp {
            open: None,
            open_reads: f64::NAN,
            with: None,
            gauge: f64::NAN,
            temperature_k: None,
            air: Outside::default(),
            source: String::new(),
            same: false,
            shut_in: ShutIn::default(),
            humidity: None,
            shows: Shows::steps_of(PressureUnit::Mbar, false, f64::NAN),
        }
    }
}

/// What the gauge shows with the valve open, as tapped: one tap tells its kind, and whether it is right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Open {
    Nothing,
    Air,
    Other,
}

const OPEN: &str = "open";

/// What the form of a hold's set-up is drawn and read with.
struct SetUpOf<'a> {
    cx: &'a Cx<'a>,
    /// Those on record.
    gauges: &'a [(String, Gauge)],
    /// Unit of the gauge that it begins with.
    unit: PressureUnit,
    /// What was shut in last time.
    before: ShutIn,
}

impl<'a> SetUpOf<'a> {
    fn fields(&self) -> Vec<Spec<'a, SetUp>> {
        let cx = self.cx;
        let mut fields = self.open_fields();
        fields.extend(self.reading_fields());
        let source = vec![
            ("inside", cx.t("screen_hold_source_inside")),
            ("surface", cx.t("screen_hold_source_surface")),
            ("air", cx.t("screen_hold_source_air")),
            ("none", cx.t("screen_hold_source_none")),
        ];
        let label = cx.t("screen_hold_source");
        fields.push(pick_in("source", label, source, |s: &mut SetUp| &mut s.source).marked());
        fields.extend(shut_in_fields(cx, self.before));
        let humidity = cx.t("screen_hold_humidity");
        fields.push(
            num_in("humidity", humidity, Unit::Percent, |s: &mut SetUp| {
                &mut s.humidity
            })
            .check(|_, _, v| (!(0.0..=1.0).contains(&v)).then_some("error_humidity"))
            .hint(cx.t("screen_hold_humidity_hint")),
        );
        fields
    }

    /// Nothing is chosen beforehand.
    fn open_fields(&self) -> Vec<Spec<'a, SetUp>> {
        let (cx, unit) = (self.cx, self.unit);
        let air = cx.air.map_or(ATM, |a| a.pressure_pa);
        let about = format!(
            "{}\u{a0}{}",
            cx.units.rounded(unit.from_pa(air), unit.from_pa(100.0)),
            unit.symbol()
        );
        let air = cx.say("screen_hold_open_air", &[("pressure", (&about).into())]);
        let shows = vec![
            (
                "nothing",
                Some(Open::Nothing),
                cx.t("screen_hold_open_nothing"),
            ),
            ("air", Some(Open::Air), air),
            ("other", Some(Open::Other), cx.t("screen_hold_open_other")),
        ];
        let (open, reads) = (cx.t("screen_hold_open"), cx.t("screen_hold_open_reads"));
        let unit = unit.symbol();
        vec![
            one_of_in(OPEN, open, shows, Some(None), |s: &mut SetUp| &mut s.open).must(),
            num(
                keys::OPEN_READS,
                reads,
                unit,
                |_: &SetUp| None,
                |s, v| s.open_reads = v.unwrap_or(f64::NAN),
            )
            .read_if(|s| s.open == Some(Open::Other))
            .must_if(|s| s.open == Some(Open::Other))
            .hint(cx.t("screen_hold_open_reads_hint")),
        ]
    }

    /// The gauge and what it reads, how warm it is, and the air outside.
    fn reading_fields(&self) -> Vec<Spec<'a, SetUp>> {
        let (cx, unit) = (self.cx, self.unit);
        let named = |(id, g): &(String, Gauge)| {
            let name = format!("{}, {}", g.name, g.unit);
            (id.clone(), Some(id.clone()), name)
        };
        let with = one_of(
            keys::WITH,
            cx.t("screen_hold_with"),
            self.gauges.iter().map(named).collect(),
            Some(None),
            |s: &SetUp| s.with.clone(),
            |s, v| s.with = v,
        );
        // Where more than one unit can be meant, that of the gauge chosen is.
        let one_unit =
            !self.gauges.is_empty() && self.gauges.iter().all(|(_, g)| g.unit == unit.symbol());
        let vacuum = vacuum_words(&cx.units, unit, SUGGESTED_PA);
        let pumped = cx.say("screen_hold_gauge_pumped", &[("vacuum", (&vacuum).into())]);
        let (unit, hint) = if one_unit {
            (Unit::Plain(unit.symbol()), pumped)
        } else {
            let hint = format!("{pumped}. {}", cx.t("screen_hold_gauge_hint"));
            (Unit::Unsaid, hint)
        };
        let mut fields = vec![
            with.must().drawn_if(!self.gauges.is_empty()),
            gauge_field(cx, unit, |s: &mut SetUp| &mut s.gauge).hint(hint),
            temperature_field(cx, |s: &mut SetUp| &mut s.temperature_k),
        ];
        fields.extend(air_fields(cx, |s: &mut SetUp| &mut s.air));
        fields
    }

    /// The gauge, where none is on record: its kind is told by what it shows with the valve open.
    fn gauge_fields(&self) -> [Spec<'a, SetUp>; 2] {
        let [unit, _kind, step] = gauge_fields(self.cx, |s: &mut SetUp| &mut s.shows);
        [unit, step]
    }
}

/// What is shut in, in up to three taps, or in one where it is as it was last time. Nothing is chosen
/// beforehand: what was so last time may hide a leak today.
fn shut_in_fields<'a>(cx: &Cx<'_>, last: ShutIn) -> Vec<Spec<'a, SetUp>> {
    let what = shut_in_words(cx, last);
    let same = cx.say("screen_hold_inside_same", &[("what", (&what).into())]);
    let as_last = vec![
        ("same", true, same),
        ("", false, cx.t("screen_hold_inside_below")),
    ];
    let inside = cx.t("screen_hold_inside");
    vec![
        one_of_in(
            keys::INSIDE,
            inside,
            as_last,
            Some(false),
            |s: &mut SetUp| &mut s.same,
        )
        .drawn_if(!last.is_unsaid()),
        one_of_in(
            "camera",
            cx.t("screen_hold_camera"),
            or_not_said(
                cx,
                [
                    ("cold", Camera::Cold),
                    ("warm", Camera::Warm),
                    ("on", Camera::On),
                ],
                camera_word,
            ),
            Some(None),
            |s: &mut SetUp| &mut s.shut_in.camera,
        ),
        one_of_in(
            "desiccant",
            cx.t("screen_hold_desiccant"),
            or_not_said(
                cx,
                [("none", Desiccant::None), ("fresh", Desiccant::Fresh)],
                desiccant_word,
            ),
            Some(None),
            |s: &mut SetUp| &mut s.shut_in.desiccant,
        ),
        one_of_in(
            keys::STOOD,
            cx.t("screen_hold_stood"),
            or_not_said(
                cx,
                [("here", Stood::Here), ("moved", Stood::Moved)],
                stood_word,
            ),
            Some(None),
            |s: &mut SetUp| &mut s.shut_in.stood,
        ),
    ]
}

/// Each with its key, as it is called by `word`; the last is that nobody said.
fn or_not_said<V: Copy, const N: usize>(
    cx: &Cx<'_>,
    all: [(&'static str, V); N],
    word: fn(V) -> &'static str,
) -> Vec<(&'static str, Option<V>, String)> {
    let each = |(key, v): (&'static str, V)| (key, Some(v), cx.t(word(v)));
    let unsaid = ("", None, cx.t("screen_hold_not_said"));
    all.into_iter().map(each).chain([unsaid]).collect()
}

fn camera_word(camera: Camera) -> &'static str {
    match camera {
        Camera::Cold => "screen_hold_camera_cold",
        Camera::Warm => "screen_hold_camera_warm",
        Camera::On => "screen_hold_camera_on",
    }
}

fn desiccant_word(desiccant: Desiccant) -> &'static str {
    match desiccant {
        Desiccant::None => "screen_hold_desiccant_none",
        Desiccant::Fresh => "screen_hold_desiccant_fresh",
    }
}

fn stood_word(stood: Stood) -> &'static str {
    match stood {
        Stood::Here => "screen_hold_stood_here",
        Stood::Moved => "screen_hold_stood_moved",
    }
}

/// What was said to be shut in, in words; nothing where nothing was.
fn shut_in_words(cx: &Cx<'_>, what: ShutIn) -> String {
    let camera = what.camera.map(camera_word);
    let desiccant = what.desiccant.map(desiccant_word);
    let stood = what.stood.map(stood_word);
    [camera, desiccant, stood]
        .into_iter()
        .flatten()
        .map(|key| cx.t(key))
        .collect::<Vec<_>>()
        .join("; ")
}

/// What is shut in, as tapped; `last` is what was said of the hold before.
///
/// 'As last time' beside another answer is a fault: half of it would count that nobody meant.
fn all_shut_in(typed: &mut Typed<'_>, said: &SetUp, last: ShutIn) -> ShutIn {
    if !said.same {
        return said.shut_in;
    }
    let all = ShutIn {
        camera: said.shut_in.camera.or(last.camera),
        desiccant: said.shut_in.desiccant.or(last.desiccant),
        stood: said.shut_in.stood.or(last.stood),
    };
    if all != last {
        typed.wrong(keys::INSIDE, "error_inside_as_last_and_not");
    }
    all
}

/// What the gauge reads, in the unit that is said or that of the gauge.
fn gauge_field<'a, T: Clone + 'a>(
    cx: &Cx<'_>,
    unit: Unit,
    at: fn(&mut T) -> &mut f64,
) -> Spec<'a, T> {
    must_num_in(keys::GAUGE, cx.t("screen_hold_gauge"), unit, at)
}

fn temperature_field<'a, T: Clone + 'a>(
    cx: &Cx<'_>,
    at: fn(&mut T) -> &mut Option<f64>,
) -> Spec<'a, T> {
    let label = cx.t("screen_hold_temperature");
    num_in(keys::TEMPERATURE, label, Unit::Temperature, at)
}

/// The air pressure outside, as chosen or typed.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Outside {
    /// By the phone's own barometer.
    pub phone: bool,
    /// As typed, Pa.
    pub typed_pa: Option<f64>,
}

/// The fields for the air pressure outside: the phone's own barometer where it has one, or a number.
pub(super) fn air_fields<'a, T: Clone + 'a>(
    cx: &Cx<'_>,
    at: fn(&mut T) -> &mut Outside,
) -> [Spec<'a, T>; 2] {
    let (says, hint) = cx.air.map_or_else(Default::default, |air| {
        let error = cx.units.pressure.from_pa(2.0 * air.error_pa);
        let error = cx.units.significant(error, 1);
        let error = format!("{error}\u{a0}{}", cx.units.pressure.symbol());
        let pressure = cx.units.pressure(air.pressure_pa, 10.0);
        let args = &[("pressure", (&pressure).into()), ("error", (&error).into())];
        (cx.say("screen_hold_air_phone", args), air_hint(cx, &air))
    });
    let outside = move |t: &T| *at(&mut t.clone());
    [
        one_of(
            keys::AIR,
            cx.t("screen_hold_air"),
            vec![
                (PHONE.to_owned(), true, says),
                ("typed".to_owned(), false, cx.t("screen_hold_air_typed")),
            ],
            Some(false),
            move |t| outside(t).phone,
            move |t, v| at(t).phone = v,
        )
        .hint(hint)
        .drawn_if(cx.air.is_some()),
        num(
            keys::AMBIENT,
            cx.t("screen_hold_ambient"),
            Unit::Pressure,
            move |t| outside(t).typed_pa,
            move |t, v| at(t).typed_pa = v,
        ),
    ]
}

/// The choice of the phone's own barometer.
const PHONE: &str = "phone";

impl Outside {
    /// The air pressure, Pa, and whose barometer that is: `air` is what the phone's says, `own` how it is marked.
    pub(super) fn taken(
        self,
        typed: &mut Typed<'_>,
        air: Option<Air>,
        own: u32,
    ) -> (Option<f64>, Option<u32>) {
        match air {
            _ if !self.phone => (self.typed_pa, None),
            Some(a) => (Some(a.pressure_pa), Some(own)),
            None => {
                typed.wrong(keys::AIR, "error_phone_barometer");
                (None, None)
            }
        }
    }
}

/// A reading of a hold under way, as typed.
#[derive(Debug, Clone, Default)]
struct Read {
    /// In the gauge's unit.
    gauge: f64,
    temperature_k: Option<f64>,
    air: Outside,
}

fn reading_fields<'a>(cx: &Cx<'_>, unit: PressureUnit) -> Vec<Spec<'a, Read>> {
    let gauge = gauge_field(cx, Unit::Plain(unit.symbol()), |r: &mut Read| &mut r.gauge);
    let temperature = temperature_field(cx, |r: &mut Read| &mut r.temperature_k);
    let air = air_fields(cx, |r: &mut Read| &mut r.air);
    [gauge, temperature].into_iter().chain(air).collect()
}

/// Why a hold is given up.
fn abandon_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    [long_text_in(keys::REASON, cx.t("screen_prep_reason"), |t| t).must()]
}

/// Builds the screen of a hold.
pub(super) fn show(
    cx: &Cx<'_>,
    hold: &str,
    form_shown: Option<&str>,
) -> Result<HoldScreen, BookFault> {
    let judged = cx.book.hold_as_concluded(hold)?;
    let rig = cx.book.rig(&judged.rig)?;
    let name = enclosure_name(&rig, &judged.hold.setup.enclosure);
    let running = judged.hold.concluded.is_none() && judged.hold.abandoned.is_none();
    let unit =
        PressureUnit::from_symbol(&judged.hold.setup.gauge_unit).unwrap_or(cx.units.pressure);
    let mut words = verdict_words(cx, &judged);
    let (next_reading, next_reading_s) = if running {
        next_reading(cx, &judged)
    } else {
        (None, None)
    };
    let at = At::Hold(hold);
    let plug_wanted = rig
        .enclosure(&judged.hold.setup.enclosure)
        .and_then(|e| counting_hold(&rig, e).ok().map(|h| (e, h)))
        .is_some_and(|(e, h)| h.id == hold && !plug_refitted(&rig, e, h));
    let changed = rig
        .enclosure(&judged.hold.setup.enclosure)
        .is_some_and(|e| changed_since(e, hold).is_some());
    if changed {
        words.verdict = cx.t("screen_rig_recheck_changed");
        words.mark = Mark::Struck;
        words.severity = Severity::Blocking;
        let held = line(
            cx.t("screen_hold_changed_since"),
            Severity::Notice,
            Some(Mark::Hatched),
        );
        words.reasons.insert(0, held);
    }
    let verdict = judged.judgement.as_ref().map(|j| j.verdict);
    let plug_wanted = plug_wanted && !changed;
    let main = plug_wanted.then(|| {
        button(
            cx.say("action_plug_on", &[("name", (&name).into())]),
            HoldAction::PlugOn,
        )
    });
    let mut others = Vec::new();
    // What comes after it: the one that leads on first, each of them once.
    let mut onward = ways_on(cx, &rig, &judged, running);
    let main = match main {
        None if !running && !onward.is_empty() => Some(onward.remove(0)),
        main => main,
    };
    // The thumb adds readings as long as there are any to add: what ends them stands beside the verdict.
    let mut with_verdict = Vec::new();
    if running {
        with_verdict.extend(step_buttons(cx, &judged, unit));
        if matches!(verdict, Some(Verdict::Holding | Verdict::Leaking)) {
            let asks = cx.say(
                "screen_hold_end_confirm",
                &[("verdict", (&words.verdict).into())],
            );
            with_verdict.push(HoldButton {
                confirm: Some(asks),
                ..button(cx.t("action_conclude"), HoldAction::Conclude)
            });
        }
        if verdict == Some(Verdict::NotYet) {
            others.push(HoldButton {
                confirm: Some(cx.t("screen_hold_conclude_confirm")),
                ..button(cx.t("action_conclude_open"), HoldAction::Conclude)
            });
        }
        others.push(button(
            cx.t("action_abandon"),
            HoldAction::ShowForm {
                form: "abandon".into(),
            },
        ));
    }
    others.extend(onward);
    others.push(button(cx.t("action_hand_over_hold"), HoldAction::HandOver));
    let form = match (running, form_shown) {
        (true, Some("abandon")) => Some(form(
            "abandon",
            cx.t("screen_hold_abandon_title"),
            draw(&abandon_field(cx), &cx.units, None),
            cx.t("action_abandon"),
        )),
        (true, _) => {
            // Goes on with the barometer that the hold was begun with: two are never mixed.
            let by = judged
                .readings
                .iter()
                .find(|r| r.reading.ambient_pa.is_some())
                .map(|r| r.reading.barometer);
            let own = by.is_none_or(|b| b == Some(cx.book.own_barometer()));
            let mut shown = Read {
                gauge: f64::NAN,
                ..Read::default()
            };
            shown.air.phone = own;
            let mut fields = draw(&reading_fields(cx, unit), &cx.units, Some(&shown));
            fields.extend(asked_field(cx, hold));
            Some(form(
                "reading",
                cx.t("screen_hold_reading_title"),
                fields,
                cx.t("action_add_reading"),
            ))
        }
        (false, _) => None,
    };
    Ok(HoldScreen {
        hold: hold.to_owned(),
        rig: judged.rig.clone(),
        enclosure_name: name,
        verdict: words.verdict,
        mark: words.mark,
        severity: words.severity,
        reasons: words.reasons,
        figures: figures(cx, &judged, unit),
        details_title: cx.t("screen_hold_details"),
        details: details(cx, &judged),
        next_reading,
        next_reading_s,
        chart: hold_chart::chart(cx, &judged, unit),
        readings: reading_rows(cx, &judged, unit, running),
        form,
        photos: cx.photos(&judged.rig, at)?,
        photo_subject: at.of(&judged.rig),
        main,
        with_verdict,
        others,
        running,
        reached: match verdict.filter(|_| running) {
            Some(Verdict::Holding) => Some(Reached::Holding),
            Some(Verdict::Leaking) => Some(Reached::Leaking),
            Some(Verdict::NotYet) | None => None,
        },
        phone: {
            let mut lines = super::spans::lines(cx, judged.doubts);
            if running {
                lines.extend(remarks(cx, true));
            }
            lines
        },
        caveat: cx.t("common_vacuum_caveat"),
    })
}

/// Where a hold leads on to: a new one where this proves nothing and one can be made, the prep that asked
/// for it, the rig.
fn ways_on(cx: &Cx<'_>, rig: &RigFacts, judged: &Judged, running: bool) -> Vec<HoldButton> {
    let enclosure = judged.hold.enclosure.as_str();
    let known = rig.enclosure(enclosure);
    let prep = rig.prep.as_ref().filter(|p| p.ended.is_none());
    let asked = prep.filter(|p| {
        p.steps.iter().any(|s| {
            s.step.kind == StepKind::Hold
                && matches!(&s.target, Target::Enclosure { enclosure: e } if e == enclosure)
        })
    });
    let back = asked.map(|p| {
        let label = cx.say("action_go_on", &[("title", (&p.title).into())]);
        button(label, HoldAction::OpenPrep { prep: p.id.clone() })
    });
    // Proved, or another is under way: no new one.
    let missing = known.and_then(|e| counting_hold(rig, e).err());
    // Proved and changed since: a new one is what comes next.
    let changed = known.is_some_and(|e| changed_since(e, &judged.hold.id).is_some());
    let closed = known.is_some_and(|e| closed_since(rig, e).is_some());
    let wanted = changed || !matches!(missing, None | Some(HoldMissing::Running { .. }));
    let leaks = matches!(missing, Some(HoldMissing::Leaking { .. }));
    // A leak is more often of hose, fitting and valve than of a seal: nothing is opened for those. Where a hold before
    // this one leaked as well, they were looked at.
    let outside = leaks && known.is_some_and(|e| !leaked_before(rig, e, &judged.hold));
    let anew = (!running && closed && wanted).then(|| {
        let key = if outside {
            "action_look_outside_and_hold"
        } else {
            "action_start_hold"
        };
        button(cx.t(key), HoldAction::NewHold)
    });
    let to_rig = Some(button(cx.t("action_to_rig"), HoldAction::OpenRig));
    let name = enclosure_name(rig, enclosure);
    // Of the hold that counts: from the rig it is reached by way of its proof.
    let counts = known.and_then(|e| counting_hold(rig, e).ok());
    let proves = counts.is_some_and(|h| h.id == judged.hold.id);
    let open = ((leaks || proves) && closed).then(|| {
        let key = if leaks {
            "action_open_and_look"
        } else {
            "action_open_enclosure"
        };
        let named = |key: &str| cx.say(key, &[("name", (&name).into())]);
        HoldButton {
            // Of several it is asked which.
            confirm: only_closure(rig, enclosure).map(|_| named("screen_rig_open_confirm")),
            ..button(named(key), HoldAction::OpenEnclosure)
        }
    });
    // One that counts is proof; a new one is the crew's to want, and asks, since it takes its place.
    let again = (!running && closed && missing.is_none() && !changed).then(|| HoldButton {
        confirm: Some(cx.t("screen_hold_again_confirm")),
        ..button(cx.t("action_hold_again"), HoldAction::NewHold)
    });
    let order = if outside {
        [anew, open, back, again, to_rig]
    } else if leaks {
        [open, anew, back, again, to_rig]
    } else {
        [anew, back, to_rig, again, open]
    };
    order.into_iter().flatten().collect()
}

struct Words {
    verdict: String,
    mark: Mark,
    severity: Severity,
    reasons: Vec<Line>,
}

/// So many of the steps that a gauge may show are offered.
const STEPS_OFFERED: usize = 3;

/// Which steps the gauge shows, where it seems to show coarser ones than were said: one tap each.
fn step_buttons(cx: &Cx<'_>, judged: &Judged, unit: PressureUnit) -> Vec<HoldButton> {
    let coarser = judged.steps_doubted.iter().take(STEPS_OFFERED).map(|pa| {
        let label = cx.say(
            "action_gauge_steps",
            &[("steps", (&step_words(&cx.units, unit, *pa)).into())],
        );
        button(label, HoldAction::GaugeSteps { step_pa: Some(*pa) })
    });
    let said = step_words(&cx.units, unit, judged.hold.setup.gauge_resolution_pa);
    let stood = cx.say("action_gauge_steps_stand", &[("steps", (&said).into())]);
    let stand = button(stood, HoldAction::GaugeSteps { step_pa: None });
    let asked = !judged.steps_doubted.is_empty();
    coarser.chain(asked.then_some(stand)).collect()
}

/// '0.1 mbar'.
fn step_words(units: &Units, unit: PressureUnit, pa: f64) -> String {
    let step = units.plain(unit.from_pa(pa), 4);
    format!("{step}\u{a0}{}", unit.symbol())
}

/// Without a barometer a gauge that shows the vacuum below the air goes with every road up and down, and no reading
/// tells: it is said from the first one on.
fn stays(cx: &Cx<'_>, judged: &Judged) -> Option<Line> {
    let last = judged.readings.last()?;
    let blind = last.reading.ambient_pa.is_none() && !judged.hold.setup.absolute;
    blind.then(|| {
        let text = cx.t("screen_hold_stays");
        line(text, Severity::Notice, Some(Mark::Hatched))
    })
}

/// What its recheck won't tell, and what would help: said from the first reading on, before the wait. On deck it would
/// cost a new hold.
fn of_its_recheck(cx: &Cx<'_>, judged: &Judged) -> Vec<Line> {
    if let Some(coarse) = too_coarse(cx, judged) {
        return vec![coarse];
    }
    // Once it has ended its recheck is asked on deck.
    if judged.hold.concluded.is_some() {
        return Vec::new();
    }
    match recheck_foreseen(judged) {
        Some(Foreseen::Never(how)) => hold_otherwise_words(cx, how, &judged.hold.setup)
            .into_iter()
            .map(|text| line(text, Severity::Notice, Some(Mark::Hatched)))
            .collect(),
        Some(Foreseen::NotAfterANight { deeper, sensor }) => {
            let helps = match (deeper, sensor) {
                (true, true) => "screen_hold_night_either",
                (true, false) => "screen_hold_night_deeper",
                (false, true) => "screen_hold_night_sensor",
                (false, false) => "screen_hold_no_night",
            };
            vec![line(cx.t(helps), Severity::Plain, None)]
        }
        Some(Foreseen::Tells) | None => Vec::new(),
    }
}

/// How to hold so that a recheck can tell.
pub(super) fn hold_otherwise_words(
    cx: &Cx<'_>,
    how: HoldOtherwise,
    setup: &HoldSetup,
) -> Vec<String> {
    let camera = match setup.shut_in.camera {
        Some(Camera::Warm) => "screen_hold_cold_first",
        _ => "screen_hold_camera_off_first",
    };
    let mut out: Vec<String> = [
        (how.longer, "screen_hold_longer_first"),
        (how.camera_off, camera),
        (how.stood, "screen_hold_stood_first"),
        (how.no_packs, "screen_hold_packs_first"),
        (how.sensor, "screen_hold_sensor_first"),
    ]
    .into_iter()
    .filter(|(is, _)| *is)
    .map(|(_, key)| cx.t(key))
    .collect();
    if how.deeper {
        let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(cx.units.pressure);
        let vacuum = vacuum_words(&cx.units, unit, DEEP_ENOUGH_PA);
        out.push(cx.say("screen_hold_deeper_first", &[("vacuum", (&vacuum).into())]));
    }
    if out.is_empty() {
        out.push(cx.t("screen_hold_never_rechecked"));
    }
    out
}

/// That no recheck will tell with this gauge.
fn too_coarse(cx: &Cx<'_>, judged: &Judged) -> Option<Line> {
    let wanted_pa = recheck_wants_step(judged)?;
    let setup = &judged.hold.setup;
    let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(cx.units.pressure);
    let step = step_words(&cx.units, unit, setup.gauge_resolution_pa);
    // Said as a step that gauges have.
    let wanted = unit.to_pa(round_step(unit.from_pa(wanted_pa)));
    let wanted = step_words(&cx.units, unit, wanted);
    let text = cx.say(
        "screen_hold_too_coarse",
        &[("step", (&step).into()), ("wanted", (&wanted).into())],
    );
    Some(line(text, Severity::Notice, Some(Mark::Hatched)))
}

/// The largest of 1, 2 and 5 times a power of ten that is no more than `step`.
fn round_step(step: f64) -> f64 {
    let power = 10.0_f64.powf(step.log10().floor());
    let times = [5.0, 2.0].into_iter().find(|x| x * power <= step);
    times.unwrap_or(1.0) * power
}

/// A limit that was raised once something had been proved stands beside what is judged by it.
fn limit_raised(cx: &Cx<'_>, judged: &Judged) -> Option<Line> {
    let rig = cx.book.rig(&judged.rig).ok()?;
    let at = At::Enclosure(&judged.hold.enclosure);
    let of = |x: &&Loss| x.kind == LossKind::LeakLimit && At::parse(&x.at) == at;
    let told = rig.losses.iter().rev().filter(|l| still_told(&rig, l));
    let (loss, what) = told
        .filter_map(|l| Some((l, l.what.iter().find(of)?)))
        .next()?;
    let text = took_away(
        cx,
        std::slice::from_ref(what),
        &cx.name(&loss.seen.author),
        loss.seen.wall_ms,
    );
    Some(line(text, Severity::Notice, Some(Mark::Hatched)))
}

/// What was noticed of a hold that came from a file.
fn noticed(cx: &Cx<'_>, found: &Noticed) -> Option<Line> {
    let text = match found {
        Noticed::Leaks { at_least_ml, .. } => cx.say(
            "screen_hold_brought_leaks",
            &[(
                "water",
                (&cx.units.water_at_least(at_least_ml.max(0.0))).into(),
            )],
        ),
        Noticed::OtherEnclosure { name } => cx.say(
            "screen_hold_brought_other_enclosure",
            &[("name", name.into())],
        ),
        Noticed::OtherVolume { litres } => cx.say(
            "screen_hold_brought_other_volume",
            &[(
                "volume",
                (&format!("{}\u{a0}L", cx.units.plain(*litres, 3))).into(),
            )],
        ),
        Noticed::OtherGauge {} => cx.t("screen_hold_brought_other_gauge"),
        Noticed::BeforeClosing { at_ms } => cx.say(
            "screen_hold_brought_before_closing",
            &[("when", (&cx.ago(*at_ms)).into())],
        ),
        Noticed::WhenUnknown {} => cx.t("screen_hold_brought_when_unknown"),
        Noticed::OtherLimit { limit_ml } => cx.say(
            "screen_hold_brought_other_limit",
            &[("limit", (&cx.units.water(*limit_ml)).into())],
        ),
        Noticed::Assumed { key, value } => cx.say(
            "screen_hold_brought_assumed",
            &[("key", key.into()), ("value", value.into())],
        ),
        Noticed::UnknownKey { key } => {
            cx.say("screen_hold_brought_unknown", &[("key", key.into())])
        }
        Noticed::NoTemperatures {} => cx.t("screen_hold_brought_no_temperatures"),
        Noticed::RowsLeftOut { rows } => cx.say(
            "screen_hold_brought_rows",
            &[("n", (*rows as usize).into())],
        ),
        Noticed::Thinned { of, kept } => cx.say(
            "screen_hold_brought_thinned",
            &[
                ("n", (*of as usize).into()),
                ("kept", (*kept as usize).into()),
            ],
        ),
        Noticed::Unknown => return None,
    };
    Some(line(text, Severity::Notice, None))
}

/// The sentence, and what it rests on.
fn verdict_words(cx: &Cx<'_>, judged: &Judged) -> Words {
    let plain = |text: String| line(text, Severity::Plain, None);
    let mut reasons = Vec::new();
    let imported = judged.hold.abandoned.as_deref() == Some(IMPORTED);
    if imported {
        reasons.push(line(
            cx.t("screen_hold_imported"),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
        let of_setup = &judged.hold.setup;
        reasons.extend(of_setup.noticed.iter().filter_map(|n| noticed(cx, n)));
    }
    if let Some(reason) = judged.hold.abandoned.as_ref().filter(|_| !imported) {
        return Words {
            verdict: cx.t("screen_hold_abandoned"),
            mark: Mark::Struck,
            severity: Severity::Notice,
            reasons: vec![plain(reason.clone())],
        };
    }
    if let Some(fault) = &judged.fault {
        return Words {
            verdict: cx.t("screen_hold_cannot_judge"),
            mark: Mark::Hatched,
            severity: Severity::Notice,
            reasons: vec![
                line(
                    cx.faults().hold(fault),
                    Severity::Notice,
                    Some(Mark::Hatched),
                ),
                plain(cx.t("screen_hold_cannot_judge_why")),
            ],
        };
    }
    let Some(j) = &judged.judgement else {
        return Words {
            verdict: cx.t("screen_hold_first_reading"),
            mark: Mark::Half,
            severity: Severity::Notice,
            reasons: [plain(cx.t("screen_hold_first_reading_why"))]
                .into_iter()
                .chain(stays(cx, judged))
                .chain(of_its_recheck(cx, judged))
                .collect(),
        };
    };
    // What was concluded stands as it was concluded.
    let concluded = judged.hold.concluded.as_ref().map(|(_, ms, r)| (*ms, r));
    let verdict = match concluded {
        Some((_, r)) => match r.verdict {
            slackwater_domain::facts::VerdictFact::Holding => Verdict::Holding,
            slackwater_domain::facts::VerdictFact::Leaking => Verdict::Leaking,
            slackwater_domain::facts::VerdictFact::NotYet => Verdict::NotYet,
        },
        None => j.verdict,
    };
    let Possible {
        low_ml: low,
        at_most_ml: most,
        limit_ml: limit,
    } = Possible::of(judged, j);
    let at_most = cx.units.water_at_most(most, limit);
    let (sentence, mark, severity) = match verdict {
        Verdict::Holding if leak_is_seen(low, limit) => (
            held_words(cx, low, most, limit),
            Mark::Hatched,
            Severity::Notice,
        ),
        Verdict::Holding => (held_words(cx, low, most, limit), Mark::Full, Severity::Good),
        Verdict::Leaking => (
            cx.say(
                "screen_hold_leaks",
                &[("water", (&cx.units.water_at_least(low.max(0.0))).into())],
            ),
            Mark::Struck,
            Severity::Blocking,
        ),
        Verdict::NotYet if concluded.is_some() => (
            cx.t(if judged.hold.ended.len() > 1 {
                "screen_hold_judged_open"
            } else {
                "screen_hold_ended_open"
            }),
            Mark::Hatched,
            Severity::Notice,
        ),
        Verdict::NotYet if !judged.steps_doubted.is_empty() => {
            let setup = &judged.hold.setup;
            let unit = PressureUnit::from_symbol(&setup.gauge_unit).unwrap_or(cx.units.pressure);
            let said = step_words(&cx.units, unit, setup.gauge_resolution_pa);
            let coarsest = judged.steps_doubted.first().copied().unwrap_or_default();
            let text = cx.say(
                "screen_hold_steps_doubted",
                &[
                    ("said", (&said).into()),
                    ("steps", (&step_words(&cx.units, unit, coarsest)).into()),
                ],
            );
            (text, Mark::Half, Severity::Notice)
        }
        // Nobody waits for the proof of what is likely: it is what one comes to read.
        Verdict::NotYet if judged.hold.abandoned.is_none() && likely_leaks(j, limit) => (
            cx.say(
                "screen_hold_likely_leaks",
                &[("water", (&cx.units.water(j.leak_ml)).into())],
            ),
            Mark::Hatched,
            Severity::Notice,
        ),
        Verdict::NotYet => (not_yet(cx, j), Mark::Half, Severity::Notice),
    };
    if j.fast_leak {
        reasons.push(line(
            cx.t("screen_hold_fast_leak"),
            Severity::Blocking,
            Some(Mark::Struck),
        ));
    }
    if j.wet_inside {
        reasons.push(line(
            cx.t("screen_hold_wet_inside"),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    let dive = judged.hold.setup.clone();
    let key = if dive.built_in_limit {
        "screen_hold_limit_built_in"
    } else {
        "screen_hold_limit"
    };
    reasons.push(plain(cx.say(
        key,
        &[
            ("limit", (&cx.units.water(limit)).into()),
            ("depth", (&cx.units.depth(dive.depth_m)).into()),
            (
                "minutes",
                (&format!("{}\u{a0}min", cx.units.plain(dive.minutes, 3))).into(),
            ),
        ],
    )));
    reasons.extend(limit_raised(cx, judged));
    // The headline says it already where it is tight. A number far beyond every limit says nothing.
    if verdict == Verdict::NotYet && most < NAMED_LIMITS * limit {
        reasons.push(plain(
            cx.say("screen_hold_at_most", &[("water", (&at_most).into())]),
        ));
    }
    let running = concluded.is_none() && judged.hold.abandoned.is_none();
    let likely = running && verdict == Verdict::NotYet && likely_leaks(j, limit);
    if likely {
        reasons.insert(0, line(not_yet(cx, j), Severity::Notice, Some(Mark::Half)));
    }
    // A leak that is seen is said, whether or not it is known to be within the limit; of a hold under way only one
    // that is well above nothing, since the first readings waver.
    let sure = verdict == Verdict::NotYet && !likely && low >= LIKELY * limit;
    if sure {
        let text = cx.say(
            "screen_hold_leak_seen",
            &[
                ("water", (&cx.units.water_at_least(low)).into()),
                ("limit", (&cx.units.water(limit)).into()),
            ],
        );
        reasons.insert(0, line(text, Severity::Notice, Some(Mark::Hatched)));
    }
    let seen = sure || verdict == Verdict::Holding && leak_is_seen(low, limit);
    if likely || seen || verdict == Verdict::Leaking {
        reasons.insert(0, plain(cx.t("screen_hold_where_it_leaks")));
    }
    if running && verdict == Verdict::NotYet {
        reasons.extend(still_wanted(cx, judged, j, most < limit));
    }
    if verdict != Verdict::Leaking && judged.hold.abandoned.is_none() {
        reasons.extend(stays(cx, judged));
        reasons.extend(of_its_recheck(cx, judged));
    }
    if running
        && verdict == Verdict::Holding
        && let Some((ml, minutes)) = tighter(judged, j)
    {
        reasons.push(plain(cx.say(
            "screen_hold_wait_for",
            &[
                ("time", (&foretold(minutes)).into()),
                ("water", (&cx.units.water(ml)).into()),
            ],
        )));
    }
    reasons.push(plain(limited_words(
        cx,
        j.limited_by,
        judged.hold.setup.shut_in,
    )));
    if verdict == Verdict::NotYet && concluded.is_none() {
        let camera = judged.hold.setup.shut_in.camera;
        let ways = j.ways.iter().filter_map(|w| way_words(cx, w, camera));
        reasons.extend(ways.map(plain));
    }
    if j.grew {
        reasons.push(line(
            cx.t("screen_hold_grew"),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if let Some(s) = j.broke_s {
        reasons.push(line(
            cx.say(
                "screen_hold_broke",
                &[(
                    "time",
                    (&cx.local.clock(judged.hold.started_ms + (1000.0 * s) as i64)).into(),
                )],
            ),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if judged.overruled() > 0 {
        reasons.push(line(
            cx.say("screen_hold_overruled", &[("n", judged.overruled().into())]),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if concluded.is_some_and(|(_, r)| r.covers.is_some_and(|c| c < judged.hold.entries)) {
        reasons.push(line(
            cx.t("screen_rig_hold_more_readings"),
            Severity::Blocking,
            Some(Mark::Hatched),
        ));
    }
    if !j.suspects.is_empty() {
        reasons.push(line(
            cx.say("screen_hold_suspects", &[("n", j.suspects.len().into())]),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    let setup = &judged.hold.setup;
    let inside = if setup.shut_in.is_unsaid() {
        cx.t("screen_hold_inside_unsaid")
    } else {
        shut_in_words(cx, setup.shut_in)
    };
    reasons.push(plain(
        cx.say("screen_hold_inside_said", &[("what", (&inside).into())]),
    ));
    let unlikely = judged
        .readings
        .iter()
        .filter(|r| r.reading.confirmed)
        .count()
        + usize::from(setup.confirmed);
    if unlikely > 0 {
        reasons.push(line(
            cx.say("screen_hold_confirmed", &[("n", unlikely.into())]),
            Severity::Notice,
            Some(Mark::Hatched),
        ));
    }
    if let Some((ms, r)) = concluded {
        // A verdict given again, for another plan, ends no hold.
        let ended = judged.hold.ended.iter().map(|e| e.1).min();
        reasons.push(plain(cx.say(
            "screen_hold_concluded",
            &[
                ("when", (&cx.ago(ended.unwrap_or(ms).min(ms))).into()),
                ("n", (r.readings as usize).into()),
                ("lasted", (&span((r.lasted_s * 1_000.0) as i64)).into()),
            ],
        )));
        if judged.hold.ended.len() > 1 {
            reasons.push(plain(cx.say(
                "screen_hold_judged_again",
                &[("when", (&cx.ago(ms)).into())],
            )));
        }
    }
    once(&mut reasons);
    Words {
        verdict: sentence,
        mark,
        severity,
        reasons,
    }
}

/// The leaks that a hold leaves possible, of water on the planned dive, mL: as it was concluded, or by its readings so
/// far.
struct Possible {
    low_ml: f64,
    /// The worse of what the readings allow and what they could have missed.
    at_most_ml: f64,
    limit_ml: f64,
}

impl Possible {
    fn of(judged: &Judged, j: &Judgement) -> Possible {
        match &judged.hold.concluded {
            Some((_, _, r)) => Possible {
                low_ml: r.low_ml,
                at_most_ml: r.at_most(),
                limit_ml: r.limit_ml,
            },
            None => Possible {
                low_ml: j.low_ml,
                at_most_ml: j.at_most_ml,
                limit_ml: judged.hold.setup.limit_ml,
            },
        }
    }
}

/// A leak is said to be likely where even the least that the readings allow is this share of the limit.
const LIKELY: f64 = 0.25;

/// Whether the best estimate is over the limit though it is not proved: with much unknown that proof may
/// take hours, and nobody should wait for it who can look for the leak.
fn likely_leaks(j: &Judgement, limit_ml: f64) -> bool {
    j.leak_ml > limit_ml && j.low_ml > LIKELY * limit_ml
}

/// A third of verdicts come before this share of what is foretold.
const SOONER: f64 = 0.5;

/// How long it still takes, from good luck to bad, both as roughly as they are known.
fn not_yet(cx: &Cx<'_>, j: &Judgement) -> String {
    let Some(likely) = j.minutes_to_go else {
        return cx.t("screen_hold_not_yet_never");
    };
    // Readings that are wanted whatever they show are no matter of luck.
    let sooner = if j.readings_wanted > 0 { 1.0 } else { SOONER };
    let low = foretold(sooner * likely);
    let time = ("time", (&low).into());
    match j.minutes_at_most.map(foretold) {
        Some(high) if high == low => cx.say("screen_hold_not_yet", &[time]),
        Some(high) => cx.say(
            "screen_hold_not_yet_between",
            &[time, ("most", (&high).into())],
        ),
        None => cx.say("screen_hold_not_yet_or_longer", &[time]),
    }
}

/// What a verdict still wants beside what limits it: readings, minutes, a thermometer that is read. `below`
/// says that what is left possible is below the limit.
fn still_wanted(cx: &Cx<'_>, judged: &Judged, j: &Judgement, below: bool) -> Vec<Line> {
    let notice = |text: String| line(text, Severity::Notice, Some(Mark::Half));
    let mut lines = Vec::new();
    let seconds = (j.seconds_wanted * 1_000.0) as i64;
    let readings = ("n", j.readings_wanted.into());
    // Above the limit more is wanted than these, and they come with it.
    if j.readings_wanted > 0 && below {
        lines.push(notice(cx.say("screen_hold_wants_readings", &[readings])));
    } else if below && seconds > 0 {
        let time = span(seconds);
        lines.push(notice(
            cx.say("screen_hold_wants_time", &[("time", (&time).into())]),
        ));
    }
    if j.vacuum_lost {
        lines.push(notice(cx.t("screen_hold_vacuum_lost")));
    }
    if let Some(gap_s) = j.thermometer_unread_s {
        let read = judged
            .readings
            .iter()
            .any(|r| r.reading.temperature_k.is_some());
        lines.push(notice(if read {
            let gap = span((gap_s * 1_000.0) as i64);
            cx.say("screen_hold_thermometer_seldom", &[("gap", (&gap).into())])
        } else {
            cx.t("screen_hold_thermometer_unread")
        }));
    }
    lines
}

/// No line twice.
pub(super) fn once(lines: &mut Vec<Line>) {
    let mut seen: Vec<String> = Vec::new();
    lines.retain(|l| {
        let new = !seen.contains(&l.text);
        seen.push(l.text.clone());
        new
    });
}

/// What waiting longer could show: the next round figure below what is shown already, and the
/// minutes to it.
fn tighter(judged: &Judged, j: &Judgement) -> Option<(f64, f64)> {
    let reach = 0.6 * j.at_most_ml;
    if reach.is_nan() || reach <= 0.0 {
        return None;
    }
    let power = 10f64.powf(reach.log10().floor());
    let ml = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|m| m * power)
        .find(|v| *v <= reach)?;
    let used: Vec<_> = judged
        .judged_rows
        .iter()
        .map(|&i| judged.readings[i].reading)
        .collect();
    let setup = HoldSetup {
        limit_ml: ml,
        ..judged.hold.setup.clone()
    };
    let closer = judge(&input_of(&setup, &used)).ok()?;
    match closer.verdict {
        Verdict::NotYet => Some((ml, closer.minutes_to_go?)),
        _ => None,
    }
}

/// A time that is foretold, as roughly as it is known: up, to five minutes from twenty on, to a quarter
/// of an hour from one hour on, to whole hours from four on.
fn foretold(minutes: f64) -> String {
    let step = match minutes {
        m if m <= 20.0 => 1.0,
        m if m <= 60.0 => 5.0,
        m if m <= 240.0 => 15.0,
        _ => 60.0,
    };
    span(((minutes / step).ceil().max(1.0) * step * 60_000.0) as i64)
}

/// A way to a verdict, as a sentence; none for the hold that goes on, which the verdict itself names.
fn way_words(cx: &Cx<'_>, way: &WayOut, camera: Option<Camera>) -> Option<String> {
    let key = match way.way {
        Way::Longer => return None,
        Way::SayCamera => "screen_hold_way_say_camera",
        Way::SayDesiccant => "screen_hold_way_say_desiccant",
        // Nobody who said that it is off is told to switch it off.
        Way::CameraOff if camera == Some(Camera::Warm) => "screen_hold_way_camera_cools",
        Way::CameraOff => "screen_hold_way_camera_off",
        Way::MeasureHumidity => "screen_hold_way_humidity",
        Way::SensorInside => "screen_hold_way_sensor",
        Way::ProbeOnHousing => "screen_hold_way_probe",
    };
    let (wait, time) = (foretold(way.wait_minutes), foretold(way.hold_minutes));
    Some(cx.say(key, &[("wait", (&wait).into()), ("time", (&time).into())]))
}

/// What limits the certainty, as a sentence.
fn limited_words(cx: &Cx<'_>, by: LimitedBy, said: ShutIn) -> String {
    match by {
        LimitedBy::Gauge => cx.t("screen_hold_limited_gauge"),
        LimitedBy::Temperature => cx.t("screen_hold_limited_temperature"),
        LimitedBy::Barometer => cx.t("screen_hold_limited_barometer"),
        LimitedBy::Volume => cx.t("screen_hold_limited_volume"),
        LimitedBy::Settling => cx.t("screen_hold_limited_settling"),
        LimitedBy::Camera if said.camera.is_none() => cx.t("screen_hold_limited_camera_unsaid"),
        LimitedBy::Camera => cx.t("screen_hold_limited_camera"),
        LimitedBy::Desiccant if said.desiccant.is_none() => {
            cx.t("screen_hold_limited_desiccant_unsaid")
        }
        LimitedBy::Desiccant => cx.t("screen_hold_limited_desiccant"),
    }
}

fn figures(cx: &Cx<'_>, judged: &Judged, unit: PressureUnit) -> Vec<Quantity> {
    let mut figures = Vec::new();
    if let Some(j) = &judged.judgement {
        let of = Possible::of(judged, j);
        // More than this says nothing: as much water as the enclosure holds, or far beyond every limit.
        let most = (of.at_most_ml < NAMED_LIMITS * of.limit_ml
            && of.at_most_ml < judged.hold.setup.volume_m3 * 1e6)
            .then(|| cx.units.water_at_most(of.at_most_ml, of.limit_ml));
        let least = cx.units.water_at_least(of.low_ml.max(0.0));
        let text = match (most, of.low_ml > 0.0) {
            (None, false) => cx.t("screen_hold_leak_not_known"),
            (None, true) => cx.say("screen_hold_leak_least", &[("least", (&least).into())]),
            (Some(most), _) => cx.say(
                "screen_hold_leak_between",
                &[("least", (&least).into()), ("most", (&most).into())],
            ),
        };
        figures.push(exact(cx.t("screen_hold_leak"), text, ""));
    }
    if let Some(last) = judged.readings.iter().rev().find(|r| !r.aside) {
        let resolution = judged.hold.setup.gauge_resolution_pa;
        figures.push(exact(
            cx.t("screen_hold_now"),
            cx.units.rounded(
                unit.from_pa(last.reading.gauge_pa),
                unit.from_pa(resolution),
            ),
            unit.symbol(),
        ));
        if let Some(k) = last.reading.temperature_k {
            figures.push(exact(
                cx.t("screen_hold_temperature_last"),
                cx.units.temperature_value(k),
                cx.units.temperature_symbol(),
            ));
        }
        figures.push(exact(
            cx.t("screen_hold_lasted"),
            span((last.reading.t_s * 1_000.0) as i64),
            "",
        ));
    }
    figures
}

/// The leak at the test's own pressures, for who compares with other tests: what it is at most. Nothing before there is anything to say.
fn details(cx: &Cx<'_>, judged: &Judged) -> Vec<Quantity> {
    let Some(j) = judged
        .judgement
        .as_ref()
        .filter(|j| j.throughput_per_ml > 0.0)
    else {
        return Vec::new();
    };
    let mut out = Vec::new();
    let most = j.throughput_per_ml * j.at_most_ml;
    if most > 0.0 {
        for (unit, symbol) in [
            (LeakUnit::MbarLPerS, "mbar·L/s"),
            (LeakUnit::PaM3PerS, "Pa·m³/s"),
            (LeakUnit::Sccm(273.15), "sccm (0\u{a0}°C)"),
            (LeakUnit::StdCm3PerS(273.15), "std cm³/s (0\u{a0}°C)"),
        ] {
            let value = convert_leak(most, LeakUnit::PaM3PerS, unit, j.gas_k);
            out.push(exact(
                cx.t("screen_hold_rate_at_most"),
                cx.units.scientific(value),
                symbol,
            ));
        }
    }
    if let Some(hole) = j.hole_at_most_m {
        out.push(exact(
            cx.t("screen_hold_hole_at_most"),
            cx.units.significant(hole * 1e6, 2),
            "µm",
        ));
    }
    out
}

/// When the next reading is worth taking, ms from now, 0 or less for now: close together at first,
/// for the settling; then spread over what is still needed. None before there is one.
pub(super) fn reading_due(cx: &Cx<'_>, judged: &Judged) -> Option<i64> {
    let last = judged.readings.last()?;
    let now_s = cx.book.time_since_closing(judged).t_s;
    let since_ms = ((now_s - last.reading.t_s) * 1_000.0) as i64;
    let to_go = judged
        .judgement
        .as_ref()
        .and_then(|j| j.minutes_to_go)
        // Where nobody can say how long, as much again as has gone by.
        .unwrap_or(last.reading.t_s / 60.0);
    // Half of the verdicts come well before the time that is told: four looks on the way to it.
    let gap_ms = if last.reading.t_s < 120.0 {
        30_000
    } else {
        // So close together that the thermometer is followed all along, also where one comes late.
        let most = (0.45 * last.reading.t_s / 60.0).clamp(8.0, 20.0);
        ((to_go / 4.0).clamp(1.0, most) * 60_000.0) as i64
    };
    Some(gap_ms.saturating_sub(since_ms))
}

fn next_reading(cx: &Cx<'_>, judged: &Judged) -> (Option<String>, Option<i64>) {
    let Some(wait) = reading_due(cx, judged) else {
        return (None, None);
    };
    let text = if wait <= 0 {
        cx.t("screen_hold_read_now")
    } else {
        cx.say("screen_hold_read_in", &[("time", (&span(wait)).into())])
    };
    (Some(text), Some(wait / 1_000))
}

fn reading_rows(cx: &Cx<'_>, judged: &Judged, unit: PressureUnit, running: bool) -> Vec<HoldRow> {
    let suspects: Vec<usize> = judged
        .judgement
        .iter()
        .flat_map(|j| j.suspects.iter())
        .filter_map(|&i| judged.judged_rows.get(i).copied())
        .collect();
    let resolution = unit.from_pa(judged.hold.setup.gauge_resolution_pa);
    let mut rows: Vec<HoldRow> = judged
        .readings
        .iter()
        .enumerate()
        .map(|(i, r)| {
            let value = cx
                .units
                .rounded(unit.from_pa(r.reading.gauge_pa), resolution);
            let suspect = suspects.contains(&i);
            let detail = if r.aside && judged.judged_rows.contains(&i) {
                cx.t("screen_hold_set_aside_counts")
            } else if r.aside {
                cx.t("screen_hold_set_aside")
            } else if suspect {
                cx.t("screen_hold_looks_mistyped")
            } else {
                let mut parts = vec![span((r.reading.t_s * 1_000.0) as i64)];
                parts.extend(r.reading.temperature_k.map(|k| cx.units.temperature(k)));
                parts.extend(r.reading.ambient_pa.map(|pa| cx.units.pressure(pa, 10.0)));
                if r.reading.confirmed {
                    parts.push(cx.t("screen_hold_unlikely"));
                }
                parts.join(" · ")
            };
            HoldRow {
                title: format!("{value}\u{a0}{}", unit.symbol()),
                detail,
                footnote: Some(cx.who_when(&r.author, r.wall_ms)),
                mark: (r.aside || suspect).then_some(if r.aside {
                    Mark::Struck
                } else {
                    Mark::Hatched
                }),
                severity: if suspect {
                    Severity::Notice
                } else {
                    Severity::Plain
                },
                tap: (running && !r.aside).then(|| HoldButton {
                    confirm: Some(cx.t("screen_hold_set_aside_confirm")),
                    ..button(
                        cx.t("action_set_aside"),
                        HoldAction::SetAside {
                            reading: r.event.clone(),
                        },
                    )
                }),
                other: None,
                photo: None,
            }
        })
        .collect();
    rows.reverse();
    rows
}

fn to_rig(rig: &str) -> Outcome {
    go(Place::Rig {
        rig: rig.to_owned(),
        form: None,
    })
}

/// Does an action on the setup.
pub(super) fn act_setup(
    desk: &mut Desk,
    rig: &str,
    enclosure: &str,
    action: HoldAction,
) -> Result<Outcome, BookFault> {
    let values = match action {
        HoldAction::Submit { form, .. } if form == TO_RIG => return Ok(to_rig(rig)),
        HoldAction::Submit { values, .. } => values,
        HoldAction::OpenRig => return Ok(to_rig(rig)),
        HoldAction::Bring => {
            return Ok(Outcome {
                bring: Some(BRINGS.into()),
                ..Outcome::default()
            });
        }
        HoldAction::KeepGood => {
            let Some(w) = desk.waiting.take() else {
                return Ok(fault("", desk.texts.get("error_no_file_waits")));
            };
            return desk.import_hold(&w.rig, &w.enclosure, &w.text, true);
        }
        HoldAction::DropFile => {
            desk.waiting = None;
            return Ok(said(desk.texts.get("screen_hold_said_file_left")));
        }
        _ => return Ok(leave()),
    };
    let cx = desk.cx()?;
    let (units, air, own) = (cx.units, cx.air, cx.book.own_barometer());
    let facts = desk.book.rig(rig)?;
    let def = facts
        .def
        .enclosure(enclosure)
        .ok_or_else(|| BookFault::NotFound {
            what: "enclosure",
            id: enclosure.to_owned(),
        })?;
    let last = facts
        .enclosure(enclosure)
        .and_then(|e| e.holds.first())
        .map(|h| h.setup.clone());
    let shut_in = last.as_ref().map_or(ShutIn::default(), |s| s.shut_in);
    let gauges = cx.book.gauges()?;
    let of = SetUpOf {
        cx: &cx,
        gauges: &gauges,
        unit: units.pressure,
        before: shut_in,
    };
    let mut typed = Typed::new(desk.texts, &values);
    let mut said = SetUp::default();
    read(&of.fields(), &units, &mut typed, None, &mut said);
    let record = gauges.iter().find(|(id, _)| said.with.as_ref() == Some(id));
    let (unit, on_record, resolution_pa) = match record {
        Some((_, g)) => (
            PressureUnit::from_symbol(&g.unit).unwrap_or(PressureUnit::Mbar),
            Some(g.absolute),
            g.resolution_pa,
        ),
        None => {
            read(&of.gauge_fields(), &units, &mut typed, None, &mut said);
            (said.shows.unit, None, said.shows.step_pa())
        }
    };
    let (ambient_pa, barometer) = said.air.taken(&mut typed, air, own);
    let first = NewReading {
        gauge_pa: unit.to_pa(said.gauge),
        temperature_k: said.temperature_k,
        ambient_pa,
        barometer,
        confirmed: false,
    };
    let valve_open = said.open.map(|open| match open {
        Open::Nothing => ValveOpen::Nothing,
        Open::Air => ValveOpen::Air,
        Open::Other => ValveOpen::Reads(unit.to_pa(said.open_reads)),
    });
    if valve_open.is_none() {
        typed.wrong(OPEN, "error_open_wanted");
    }
    let absolute = match valve_open {
        Some(ValveOpen::Air) => true,
        // Half of the air pressure is where one kind ends and the other begins.
        Some(ValveOpen::Reads(pa)) => pa > 0.5 * ATM,
        Some(ValveOpen::Nothing) | None => false,
    };
    if valve_open.is_some() && on_record.is_some_and(|kind| kind != absolute) {
        typed.wrong(OPEN, "error_open_not_its_kind");
    }
    let shut_in = all_shut_in(&mut typed, &said, shut_in);
    let source = said.source;
    let (temperature_sd_k, barometer_sd_pa) = desk.book.measured_errors(&source)?;
    // The steps of a gauge on record were asked about there.
    let step = record.is_none().then_some((unit, resolution_pa));
    let mut setup = HoldSetup {
        temperature_sd_k,
        barometer_sd_pa,
        humidity: said.humidity,
        shut_in,
        valve_open,
        gauge: record.map(|(id, _)| id.clone()),
        absolute,
        gauge_unit: unit.symbol().to_owned(),
        gauge_resolution_pa: resolution_pa,
        temperature_source: if source.is_empty() {
            "none".into()
        } else {
            source
        },
        ..Book::hold_setup(def, &facts.def.plan)
    };
    if !typed.faults.is_empty() {
        return Ok(typed.faults().unwrap_or_default());
    }
    let doubts = desk
        .book
        .setup_doubts(rig, &setup, &first, as_typed(&units))?;
    let gauge = OfGauge {
        rig: &facts,
        unit,
        absolute,
    };
    let at = AskedOf::SetUp(rig, enclosure).to_string();
    let before = last.map(|s| s.gauge_resolution_pa);
    let step = step.and_then(|s| unlikely_steps((desk.texts, &units), &typed, s, before));
    let of_setup = step.is_some() || doubts.all.iter().any(|d| d.about == About::Open);
    let first = match confirmed(desk, &at, &doubts, step, &typed, &units, gauge) {
        Ok(yes) => {
            setup.confirmed = yes && of_setup;
            NewReading {
                confirmed: yes && doubts.all.iter().any(|d| d.about != About::Open),
                ..first
            }
        }
        Err(faults) => return Ok(wrong(faults)),
    };
    let hold = desk.book.start_hold(rig, setup, first)?;
    Ok(Outcome {
        leave: true,
        ..go(Place::Hold { hold, form: None })
    })
}

/// Does an action on a hold.
pub(super) fn act(desk: &mut Desk, hold: &str, action: HoldAction) -> Result<Outcome, BookFault> {
    let judged = desk.book.hold(hold)?;
    let rig = judged.rig.clone();
    super::prep::still_at_it(desk, &rig);
    Ok(match action {
        HoldAction::Conclude => {
            let recorded = desk.book.conclude_hold(hold)?;
            done(recorded, desk.texts.get("screen_hold_said_concluded"))
        }
        HoldAction::GaugeSteps { step_pa } => {
            let recorded = desk.book.gauge_shows(hold, step_pa)?;
            done(recorded, desk.texts.get("screen_hold_said_steps"))
        }
        HoldAction::ShowForm { form } => go(Place::Hold {
            hold: hold.to_owned(),
            form: Some(form),
        }),
        HoldAction::SetAside { reading } => {
            let recorded = desk.book.set_reading_aside(hold, &reading)?;
            done(recorded, desk.texts.get("screen_hold_said_aside"))
        }
        HoldAction::PlugOn => {
            let recorded = desk.book.refit_plug(&rig, &judged.hold.setup.enclosure)?;
            let name = enclosure_name(&*desk.book.rig(&rig)?, &judged.hold.setup.enclosure);
            let said = desk
                .texts
                .say("screen_rig_said_plug_on", &[("name", (&name).into())]);
            done(recorded, said)
        }
        HoldAction::OpenRig => go(Place::Rig { rig, form: None }),
        // Opened, it is the rig's page that says what comes next.
        HoldAction::OpenEnclosure => {
            let enclosure = &judged.hold.enclosure;
            let facts = desk.book.rig(&rig)?;
            match only_closure(&facts, enclosure) {
                Some(closure) => {
                    let recorded = desk.book.open_closure(&rig, enclosure, closure)?;
                    let name = enclosure_name(&facts, enclosure);
                    let said = "screen_rig_said_opened";
                    let said = desk.texts.say(said, &[("name", (&name).into())]);
                    Outcome {
                        go: Some(Place::Rig { rig, form: None }),
                        ..done(recorded, said)
                    }
                }
                None => Outcome {
                    leave: true,
                    ..go(Place::Rig {
                        rig,
                        form: Some(RigForm::Open(enclosure).to_string()),
                    })
                },
            }
        }
        HoldAction::OpenPrep { prep } => go(Place::Prep {
            prep,
            step: None,
            form: None,
        }),
        HoldAction::NewHold => {
            let facts = desk.book.rig(&rig)?;
            Outcome {
                leave: true,
                ..go_to_hold(&facts, &judged.hold.enclosure)
            }
        }
        HoldAction::HandOver => {
            let text = desk.book.export_hold(hold)?;
            let name = enclosure_name(&*desk.book.rig(&rig)?, &judged.hold.setup.enclosure);
            Outcome {
                document: Some(Document {
                    name: file_name(&name, &desk.local.day(judged.hold.started_ms)),
                    media_type: "text/csv".into(),
                    bytes: text.into_bytes(),
                    file: None,
                }),
                ..Outcome::default()
            }
        }
        HoldAction::Bring | HoldAction::KeepGood | HoldAction::DropFile => {
            fault("", desk.texts.get("error_other_screen"))
        }
        HoldAction::Submit { form, values } if form == "abandon" => {
            let mut typed = Typed::new(desk.texts, &values);
            let cx = desk.cx()?;
            let reason = read_new(&abandon_field(&cx), &cx.units, &mut typed);
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            let recorded = desk.book.abandon_hold(hold, &reason)?;
            Outcome {
                leave: true,
                ..done(recorded, desk.texts.get("screen_hold_said_abandoned"))
            }
        }
        HoldAction::Submit { values, .. } => {
            let cx = desk.cx()?;
            let (units, air, own) = (cx.units, cx.air, cx.book.own_barometer());
            let unit =
                PressureUnit::from_symbol(&judged.hold.setup.gauge_unit).unwrap_or(units.pressure);
            let mut typed = Typed::new(desk.texts, &values);
            let said = read_new(&reading_fields(&cx, unit), &units, &mut typed);
            let (ambient_pa, barometer) = said.air.taken(&mut typed, air, own);
            let new = NewReading {
                gauge_pa: unit.to_pa(said.gauge),
                temperature_k: said.temperature_k,
                ambient_pa,
                barometer,
                confirmed: false,
            };
            if !typed.faults.is_empty() {
                return Ok(typed.faults().unwrap_or_default());
            }
            let doubts = desk.book.reading_doubts(hold, &new, as_typed(&units))?;
            let facts = desk.book.rig(&rig)?;
            let gauge = OfGauge {
                rig: &facts,
                unit,
                absolute: judged.hold.setup.absolute,
            };
            let new = match confirmed(desk, hold, &doubts, None, &typed, &units, gauge) {
                Ok(confirmed) => NewReading { confirmed, ..new },
                Err(faults) => return Ok(wrong(faults)),
            };
            let recorded = desk.book.add_reading(hold, new)?;
            done(recorded, desk.texts.get("screen_hold_said_reading"))
        }
    })
}

impl HoldSetupScreen {
    pub(super) fn page(self, texts: &Texts) -> Page {
        Draft::new(&texts.get("shell_hold_title"), &self.enclosure_name)
            .answer(&self.instruction, None, Severity::Plain)
            .lines(self.obstacles)
            .fields(Some(self.form), true)
            .lines(self.brought)
            .buttons(&texts.get("shell_more"), self.others)
            .footnote("", &self.caveat)
            .done()
    }
}

impl HoldScreen {
    pub(super) fn page(self, texts: &Texts, form: Option<&str>) -> Page {
        let watch = Watch {
            hold: self.hold,
            readings: self.readings.len() as u32,
            running: self.running,
            next_s: self.next_reading_s,
            reached: self.reached,
        };
        if let (Some(form), true) = (self.form.clone(), form.is_some()) {
            return Draft::form_page(&self.enclosure_name, &self.verdict, form)
                .watch(watch)
                .done();
        }
        let at_thumb = self.main.is_none();
        let mut draft = Draft::new(&texts.get("shell_hold_title"), &self.enclosure_name)
            .answer(&self.verdict, Some(self.mark), self.severity)
            .words(self.next_reading.as_deref().unwrap_or_default(), true)
            .buttons("", self.with_verdict)
            .lines(self.phone);
        if let Some(chart) = self.chart {
            draft = draft.block(Block::Chart { chart });
        }
        draft
            .fields(self.form, at_thumb)
            .lines(self.reasons)
            .figures(&texts.get("shell_figures"), self.figures)
            .figures(&self.details_title, self.details)
            .rows(&texts.get("shell_readings"), self.readings)
            .buttons(&texts.get("shell_more"), self.others)
            .photos(self.photos, &self.photo_subject)
            .footnote("", &self.caveat)
            .main(self.main)
            .watch(watch)
            .done()
    }
}
