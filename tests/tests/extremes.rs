//! Numbers at the ends of their range, in events of another device: no page may fail over them, no
//! readiness, and no later opening.
//!
//! Seen before this was tried: a wall time of `i64::MIN` or `i64::MAX` took the journal's page down,
//! a boot time of `i64::MIN` the recheck, a recheck limit of `i64::MAX` minutes the crew's page; and
//! so they did after the store was opened again.
//!
//! `SLACKWATER_EXTREMES=all` tries every path of every fact; otherwise one of each.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::path::Path;
use std::sync::{Arc, Once};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use slackwater_checks::drive::{MORNING_MS, env};
use slackwater_checks::stranger::Stranger;
use slackwater_checks::walk::copy_folder;
use slackwater_core::domain::book::{Book, BookFault};
use slackwater_core::domain::demo;
use slackwater_core::domain::facts::Fact;
use slackwater_core::domain::fold::fact_of;
use slackwater_core::journal::{Event, FixedClock, Hlc};
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;

/// No page of a phone may take longer; in a build for tests, on a machine that does other things.
const SLOW: Duration = Duration::from_secs(10);

/// The demo's season with what a demo has none of; and all its events.
fn season() -> (tempfile::TempDir, Vec<Event>) {
    let dir = tempfile::tempdir().unwrap();
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    demo::fill_if_empty(dir.path(), &env(&clock, 3)).unwrap();
    let mut book = Book::open(dir.path(), env(&clock, 4)).unwrap();
    let rig = book.rigs().unwrap()[0].id.clone();
    let log = "# hold-log: 1\n# volume_L: 12\n# gauge: below_ambient\n# gauge_unit: mbar\n\
               # gauge_resolution: 1\ntime_s,gauge,temperature_C,ambient_mbar\n0,200,20,1013\n\
               600,200,20,1013\n1200,200,20,1013\n# recheck\n9000,200,20,1013\n";
    book.import_hold(&rig, "main", log, false).unwrap();
    book.open_defect(&rig, "enclosure/main", true, true, "A drop in the port")
        .unwrap();
    let mut events = Vec::new();
    book.journal()
        .each_event(|e| {
            events.push(e);
            Ok::<_, BookFault>(())
        })
        .unwrap();
    (dir, events)
}

fn copy_of(folder: &Path) -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    let to = tempfile::tempdir_in(memory)
        .or_else(|_| tempfile::tempdir())
        .unwrap();
    copy_folder(folder, to.path());
    to
}

fn open(folder: &Path) -> Desk {
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    Desk::new(Book::open(folder, env(&clock, 5)).unwrap(), 120)
}

/// A place of each kind, for every rig, with what the events are about.
fn places(desk: &Desk, about: &[Event]) -> Vec<Place> {
    let mut all = vec![
        Place::Rigs { form: None },
        Place::RingBox { form: None },
        Place::Crew { form: None },
        Place::Crew {
            form: Some("limits".into()),
        },
        Place::Journal {
            rig: None,
            before: None,
        },
    ];
    for e in about {
        all.push(Place::Entry {
            event: e.reference().to_string(),
        });
        let mut parts = e.subject.split('/').skip(1);
        match (parts.next(), parts.next()) {
            (Some("hold"), Some(hold)) => all.push(Place::Hold {
                hold: hold.into(),
                form: None,
            }),
            (Some("prep"), Some(prep)) => all.push(Place::Prep {
                prep: prep.into(),
                step: None,
                form: None,
            }),
            _ => {}
        }
    }
    let mut rigs: BTreeSet<String> = desk
        .book()
        .rigs()
        .unwrap()
        .into_iter()
        .map(|r| r.id)
        .collect();
    if let Some(of) = about.first().map(|e| e.subject.split('/').next().unwrap())
        && rigs.contains(of)
    {
        rigs = BTreeSet::from([of.to_owned()]);
    }
    for rig in rigs {
        for form in [
            None,
            Some("dive"),
            Some("lens"),
            Some("plan"),
            Some("controls"),
        ] {
            all.push(Place::Rig {
                rig: rig.clone(),
                form: form.map(Into::into),
            });
        }
        all.push(Place::Recheck { rig: rig.clone() });
        all.push(Place::Seals { rig: rig.clone() });
        for form in [None, Some("plan")] {
            all.push(Place::Spares {
                rig: rig.clone(),
                form: form.map(Into::into),
            });
        }
        for form in [None, Some("water"), Some("hang"), Some("seen")] {
            all.push(Place::Trim {
                rig: rig.clone(),
                form: form.map(Into::into),
            });
        }
        all.push(Place::RigEdit {
            rig: rig.clone(),
            part: None,
        });
        let Ok(facts) = desk.book().rig(&rig) else {
            continue;
        };
        for e in facts.def.enclosures.iter().take(2) {
            all.push(Place::HoldSetup {
                rig: rig.clone(),
                enclosure: e.id.clone(),
            });
            all.push(Place::RigEdit {
                rig: rig.clone(),
                part: Some(format!("enclosure/{}", e.id)),
            });
        }
        for s in facts.def.seals.iter().take(2) {
            for form in [None, Some("age"), Some("measure")] {
                all.push(Place::Seal {
                    rig: rig.clone(),
                    seal: s.id.clone(),
                    form: form.map(Into::into),
                });
            }
        }
        if let Some(prep) = &facts.prep {
            for form in [None, Some("steps"), Some("sign"), Some("end")] {
                all.push(Place::Prep {
                    prep: prep.id.clone(),
                    step: None,
                    form: form.map(Into::into),
                });
            }
        }
        for hold in facts.enclosures.iter().flat_map(|e| e.holds.first()) {
            all.push(Place::Hold {
                hold: hold.id.clone(),
                form: None,
            });
        }
    }
    all
}

thread_local! {
    /// Where the last panic of this thread was; none where panics are not expected.
    static LAST: RefCell<Option<String>> = const { RefCell::new(None) };
}

fn caught<T>(call: impl FnOnce() -> T) -> Result<T, String> {
    LAST.set(Some(String::new()));
    let result = catch_unwind(AssertUnwindSafe(call));
    let said = LAST.take().unwrap_or_default();
    result.map_err(|_| said)
}

/// Everything that is shown of a store, and everything that went wrong.
fn look(folder: &Path, about: &[Event], wrong: &mut Vec<String>) {
    let opened = caught(|| open(folder));
    let mut desk = match opened {
        Ok(desk) => desk,
        Err(e) => return wrong.push(format!("opening: {e}")),
    };
    let set_aside = desk.book().opening.set_aside.clone();
    if let Some(aside) = set_aside {
        wrong.push(format!("opening: set aside: {}", aside.why));
    }
    let all = match caught(|| places(&desk, about)) {
        Ok(all) => all,
        Err(e) => return wrong.push(format!("listing places: {e}")),
    };
    for place in all {
        let began = Instant::now();
        match caught(|| desk.show(&place)) {
            Err(e) => wrong.push(format!("{place:?}: {e}")),
            Ok(Err(BookFault::NotFound { .. })) | Ok(Ok(_)) => {}
            Ok(Err(e)) => wrong.push(format!("{place:?}: {e}")),
        }
        if began.elapsed() > SLOW {
            wrong.push(format!("{place:?}: took {:?}", began.elapsed()));
        }
    }
    if let Err(e) = caught(|| desk.due_readings().map(drop)) {
        wrong.push(format!("due readings: {e}"));
    }
    for rig in desk.book().rigs().unwrap() {
        match caught(|| desk.book().readiness(&rig.id).map(drop)) {
            Err(e) => wrong.push(format!("readiness: {e}")),
            Ok(Err(e)) => wrong.push(format!("readiness: {e}")),
            Ok(Ok(())) => {}
        }
    }
    // And something recorded after it.
    let said = caught(|| {
        desk.book_mut()
            .add_member("Wen", slackwater_core::domain::facts::Role::Other)
    });
    if !matches!(said, Ok(Ok(_))) {
        wrong.push(format!("recording after it: {said:?}"));
    }
}

/// Takes the events in, looks at everything, opens again, looks once more.
fn survives(base: &Path, told: &[Event]) -> Vec<String> {
    let dir = copy_of(base);
    let mut wrong = Vec::new();
    let taken = caught(|| {
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let mut book = Book::open(dir.path(), env(&clock, 5)).unwrap();
        // What doesn't count could do no harm.
        let devices: std::collections::BTreeSet<_> = told.iter().map(|e| e.device).collect();
        book.admit(&devices.into_iter().collect::<Vec<_>>())
            .unwrap();
        for e in told {
            book.ingest(e).unwrap();
        }
    });
    if let Err(e) = taken {
        wrong.push(format!("taking in: {e}"));
    }
    look(dir.path(), told, &mut wrong);
    wrong
}

fn hear_panics() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = take_hook();
        set_hook(Box::new(move |info| {
            LAST.with_borrow_mut(|last| match last {
                Some(last) => *last = info.to_string().replace('\n', " "),
                None => usual(info),
            });
        }));
    });
}

/// Every number, text and gap of a value, by its path with the numbers of lists left out.
fn leaves(value: &Value, at: &str, name: &str, into: &mut BTreeMap<String, (String, Value)>) {
    match value {
        Value::Object(map) => {
            for (k, v) in map {
                let k = k.replace('~', "~0").replace('/', "~1");
                leaves(v, &format!("{at}/{k}"), &format!("{name}/{k}"), into);
            }
        }
        Value::Array(list) => {
            for (n, v) in list.iter().enumerate() {
                leaves(v, &format!("{at}/{n}"), &format!("{name}/*"), into);
            }
        }
        Value::Bool(_) => {}
        _ => {
            into.insert(name.to_owned(), (at.to_owned(), value.clone()));
        }
    }
}

/// Figures that most facts leave out, and where they may stand.
const LEFT_OUT: [(&str, &str); 22] = [
    ("hold_reading", "/reading/least_s"),
    ("hold_reading", "/reading/clock_set_s"),
    ("hold_reading", "/reading/barometer"),
    ("hold_started", "/setup/temperature_sd_k"),
    ("hold_started", "/setup/barometer_sd_pa"),
    ("hold_started", "/setup/humidity"),
    ("hold_started", "/setup/limit_ml"),
    ("hold_concluded", "/result/covers"),
    ("hold_concluded", "/result/at_most_ml"),
    ("hold_concluded", "/result/salinity_g_kg"),
    ("hold_concluded", "/result/water_k"),
    ("rechecked", "/recheck/would_miss_below_pa"),
    ("rechecked", "/recheck/reading/least_s"),
    ("rechecked", "/recheck/reading/clock_set_s"),
    ("seal_fitted", "/fitted_ms"),
    ("dive_logged", "/salinity_g_kg"),
    ("rig_defined", "/rig/enclosures/0/limit_ml"),
    ("rig_defined", "/rig/parts/0/mass_sd_g"),
    ("rig_defined", "/rig/weight_box/0/volume_cm3"),
    ("rig_defined", "/rig/seals/0/limits/hard_days"),
    ("rig_defined", "/rig/seals/0/limits/hard_openings"),
    ("rig_defined", "/rig/seals/0/limits/hard_dives"),
];

/// Choices of the crew that hold a figure.
const CHOICES: [&str; 6] = [
    "recheck_limit_min",
    "sd_inside_k",
    "sd_surface_k",
    "sd_air_k",
    "sd_barometer_pa",
    "crew_of_one",
];

/// What stands in its place, the likeliest to harm first.
fn extremes(value: &Value) -> Vec<Value> {
    match value {
        Value::Number(_) | Value::Null => vec![
            json!(i64::MIN),
            json!(i64::MAX),
            json!(1e308),
            json!(-1e308),
            json!(u32::MAX),
            json!(i32::MIN),
            json!(0),
            json!(-1),
            json!(5e-324),
            json!(u64::MAX),
            json!(65_535),
        ],
        _ => vec![
            json!("9223372036854775807"),
            json!("-9223372036854775808"),
            json!(""),
            json!("+262142-12-31"),
            json!("9999-12-31"),
            json!("-262143-01-01"),
            json!("1e308"),
            json!("4Q99"),
            json!("\u{202e}/:#\u{0}\u{10ffff}"),
            json!("x".repeat(100_000)),
        ],
    }
}

/// What another device tells with one leaf changed: the fact about the same thing, later than all
/// else; where such a fact begins a thing, about a new one, with all that was said of it.
fn told(events: &[Event], of: &Event, at: &str, with: &Value, newest: Hlc) -> Option<Vec<Event>> {
    let mut body: Value = serde_json::from_slice(&of.body).ok()?;
    let (into, key) = at.rsplit_once('/')?;
    match body.pointer_mut(into)? {
        Value::Array(list) => *list.get_mut(key.parse::<usize>().ok()?)? = with.clone(),
        inside => inside[key] = with.clone(),
    }
    let mut changed = of.clone();
    changed.body = serde_json::to_vec(&body).ok()?;
    if fact_of(&changed) == Fact::Unknown {
        return None;
    }
    let mut who = Stranger::new(9);
    let begins = matches!(
        fact_of(of),
        Fact::HoldStarted { .. }
            | Fact::HoldImported { .. }
            | Fact::PrepStarted { .. }
            | Fact::DefectOpened { .. }
    );
    let mut hlc = newest;
    let mut say = |e: &Event| {
        hlc = Hlc(hlc.0 + 1);
        who.says(e, hlc, MORNING_MS)
    };
    if !begins {
        return Some(vec![say(&changed)]);
    }
    let renamed = |e: &Event| Event {
        subject: format!("{}x", e.subject),
        ..e.clone()
    };
    let rest = events
        .iter()
        .filter(|e| e.subject == of.subject && e.hash != of.hash)
        .take(12);
    Some(
        std::iter::once(renamed(&changed))
            .chain(rest.map(renamed))
            .map(|e| say(&e))
            .collect(),
    )
}

#[test]
fn a_clock_at_the_end_of_its_range_takes_no_page_down() {
    hear_panics();
    let (base, events) = season();
    let newest = events.iter().map(|e| e.hlc).max().unwrap();
    let mut wrong = Vec::new();
    let mut last: BTreeMap<String, &Event> = BTreeMap::new();
    for e in &events {
        last.insert(
            format!("{} {}", e.kind, e.subject.split('/').nth(1).unwrap_or("")),
            e,
        );
    }
    // All at once: one store a value, a fact of each kind about each thing.
    let walls = [i64::MIN, i64::MIN + 1, -1, 0, i64::MAX - 1, i64::MAX];
    for wall_ms in walls {
        let mut who = Stranger::new(9);
        let all: Vec<Event> = last
            .values()
            .enumerate()
            .map(|(n, e)| who.says(e, Hlc(newest.0 + 1 + n as u64), wall_ms))
            .collect();
        for w in survives(base.path(), &all) {
            wrong.push(format!("wall time {wall_ms}: {w}"));
        }
    }
    for hlc in [
        0,
        1,
        i64::MAX as u64 - 70_000,
        i64::MAX as u64 - 1,
        i64::MAX as u64,
    ] {
        let mut who = Stranger::new(9);
        let all: Vec<Event> = last
            .values()
            .map(|e| who.says(e, Hlc(hlc), MORNING_MS))
            .collect();
        for w in survives(base.path(), &all) {
            wrong.push(format!("clock {hlc}: {w}"));
        }
    }
    said_of(wrong);
}

#[test]
fn a_number_at_the_end_of_its_range_takes_no_page_down() {
    hear_panics();
    let every = std::env::var("SLACKWATER_EXTREMES").is_ok_and(|v| v == "all");
    let (base, events) = season();
    let newest = events.iter().map(|e| e.hlc).max().unwrap();
    // Of each kind and leaf the last event that has it: that is what stands.
    let mut tries: BTreeMap<(String, String), (&Event, String, Value)> = BTreeMap::new();
    for e in &events {
        let Ok(body) = serde_json::from_slice::<Value>(&e.body) else {
            continue;
        };
        let mut found = BTreeMap::new();
        leaves(&body, "", "", &mut found);
        for (name, (at, value)) in found {
            if name != "/fact" {
                tries.insert((e.kind.clone(), name), (e, at, value));
            }
        }
        for (_, at) in LEFT_OUT.iter().filter(|(kind, _)| *kind == e.kind) {
            let key = (e.kind.clone(), (*at).to_owned());
            tries.insert(key, (e, (*at).to_owned(), Value::Null));
        }
    }
    let all: Vec<(String, &Event, String, Vec<Value>)> = tries
        .into_iter()
        .enumerate()
        .map(|(n, ((kind, name), (event, at, value)))| {
            let mut these = extremes(&value);
            if !every {
                these.rotate_left(n % 4);
                these.truncate(1);
            }
            (format!("{kind}{name}"), event, at, these)
        })
        .collect();
    let mut chosen = Vec::new();
    for choice in CHOICES {
        let like = events.iter().find(|e| e.kind == "member_defined").unwrap();
        let body = json!({"fact": "crew_chose", "choice": choice, "value": ""});
        chosen.push(Event {
            subject: "crew".into(),
            kind: "crew_chose".into(),
            body: serde_json::to_vec(&body).unwrap(),
            ..like.clone()
        });
    }
    let chosen = chosen.iter().zip(CHOICES).map(|(e, choice)| {
        let mut these = extremes(&json!(""));
        these.truncate(if every { usize::MAX } else { 1 });
        (choice.to_owned(), e, "/value".to_owned(), these)
    });
    let mut wrong = Vec::new();
    let (mut leaves, mut done, mut left_out) = (0, 0, 0);
    for (name, event, at, these) in all.into_iter().chain(chosen) {
        leaves += 1;
        for with in these {
            let Some(told) = told(&events, event, &at, &with, newest) else {
                left_out += 1;
                continue;
            };
            done += 1;
            for w in survives(base.path(), &told) {
                let with = with.to_string();
                let short: String = with.chars().take(40).collect();
                wrong.push(format!("{name} = {short}: {w}"));
            }
        }
    }
    println!("{leaves} leaves, {done} tried, {left_out} can't be read");
    said_of(wrong);
}

/// One line for each place in the code, not for each page.
fn said_of(wrong: Vec<String>) {
    let mut by_place: BTreeMap<String, (usize, String)> = BTreeMap::new();
    for w in wrong {
        let place = w
            .split("panicked at ")
            .nth(1)
            .map_or(w.clone(), |p| p.chars().take(200).collect());
        by_place.entry(place).or_insert((0, w.clone())).0 += 1;
    }
    let lines: Vec<String> = by_place
        .values()
        .map(|(n, w)| format!("{n} times: {}", w.chars().take(600).collect::<String>()))
        .collect();
    assert!(lines.is_empty(), "{}", lines.join("\n"));
}
