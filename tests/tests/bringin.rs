//! What hostile files cost, and what they leave: each is brought in as the phone would, by the program
//! that whoever doubts it can run. The samples are made here; none is kept.
//!
//! Seen before each had a budget: 256 KiB of commas 29 s, 100,000 keys in a hold log 21 s, a log of
//! 1.7 MB 67 s and 60 s again at each view, 480 MB of photos left by a file of 481 KB that was refused.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::{Value, json};
use slackwater_checks::drive::MORNING_MS;
use slackwater_checks::stranger::{Stranger, everything, line};

/// No file may take longer, ms. A build for tests is slower, and so is a machine with other things to
/// do; the budget itself is in seconds of a build that ships.
const MS: u64 = if cfg!(debug_assertions) {
    60_000
} else {
    5_000
};
/// Nor need more memory, MiB.
const MIB: f64 = 200.0;

/// What the program says of each file.
fn bring(files: &[PathBuf]) -> Vec<Value> {
    let done = Command::new(env!("CARGO_BIN_EXE_bringin"))
        .args(files)
        .output()
        .unwrap();
    assert!(done.status.success(), "{done:?}");
    let said = String::from_utf8(done.stdout).unwrap();
    let lines: Vec<Value> = said
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    assert_eq!(lines.len(), files.len(), "one line a file");
    for line in &lines {
        println!("{line}");
    }
    lines
}

/// Name, result, words of the reason, and what makes it.
type Sample<'a> = (&'a str, &'a str, &'a str, &'a dyn Fn(&Path));

/// Makes a file with each name and brings it in; it has to be refused or brought as said, for a
/// reason with those words in it, within the budget, and to leave nothing when it is refused.
fn tried(samples: &[Sample<'_>]) {
    let dir = tempfile::tempdir().unwrap();
    let files: Vec<PathBuf> = samples
        .iter()
        .map(|(name, _, _, make)| {
            let path = dir.path().join(name);
            make(&path);
            path
        })
        .collect();
    let mut wrong = Vec::new();
    for (said, (name, result, why, _)) in bring(&files).iter().zip(samples) {
        let reason = said["why"].as_str().unwrap_or_default();
        let mib = |key: &str| said[key].as_f64().unwrap_or(f64::INFINITY);
        if said["result"] != *result || !reason.contains(why) {
            wrong.push(format!("{name}: wanted {result} '{why}': {said}"));
        }
        if said["ms"].as_u64().is_none_or(|ms| ms > MS) {
            wrong.push(format!("{name}: too long: {said}"));
        }
        if mib("peak_mib") > MIB {
            wrong.push(format!("{name}: too much memory: {said}"));
        }
        let most_left = if *result == "refused" { 0.2 } else { MIB };
        if mib("left_mib") > most_left {
            wrong.push(format!("{name}: left too much: {said}"));
        }
        if said["ready_after"] != said["ready_before"] {
            wrong.push(format!("{name}: changed what is ready: {said}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn write(path: &Path, text: impl AsRef<[u8]>) {
    fs::write(path, text).unwrap();
}

// ---- hold logs ----

const HEAD: &str = "# hold-log: 1\n# volume_L: 12\n# gauge: below_ambient\n# gauge_unit: mbar\n\
                    # gauge_resolution: 0.1\n";

fn log(rows: impl IntoIterator<Item = String>) -> String {
    let rows: Vec<String> = rows.into_iter().collect();
    format!(
        "{HEAD}time_s,gauge,temperature_C,ambient_mbar\n{}\n",
        rows.join("\n")
    )
}

/// A reading a second, every `slip`th of them mistyped.
fn night(seconds: usize, slip: usize) -> String {
    log((0..seconds).map(|s| {
        let noise = ((s * 7_919) % 13) as f64 * 0.05;
        let slipped = if slip > 0 && s % slip == 3 { 27.0 } else { 0.0 };
        format!(
            "{s},{:.1},20.{},1013.{}",
            200.0 - noise + slipped,
            s % 7,
            s % 10
        )
    }))
}

#[test]
fn a_hold_log_costs_what_a_night_costs_and_no_more() {
    tried(&[
        ("night.csv", "brought", "", &|p| write(p, night(43_200, 0))),
        ("slips.csv", "brought", "", &|p| write(p, night(62_000, 6))),
        ("keys.csv", "refused", "too many keys", &|p| {
            let keys: String = (0..100_000).map(|n| format!("# k{n}: 1\n")).collect();
            write(p, format!("{HEAD}{keys}time_s,gauge\n0,200\n"));
        }),
        ("commas.csv", "refused", "too long", &|p| {
            write(p, format!("{HEAD}{}\n", ",".repeat(256 << 10)));
        }),
        ("columns.csv", "refused", "too many columns", &|p| {
            let names = format!("time_s,gauge{}", ",x".repeat(1_000));
            let row = format!("0,200{}", ",1".repeat(1_000));
            write(
                p,
                format!("{HEAD}{names}\n{}\n", vec![row; 1_000].join("\n")),
            );
        }),
        ("wrong.csv", "refused", "too many wrong rows", &|p| {
            write(p, log(vec!["x".to_owned(); 1_000_000]));
        }),
        ("rows.csv", "refused", "too many rows", &|p| {
            write(p, log(vec!["0,1,,".to_owned(); 1_000_000]));
        }),
        ("rechecks.csv", "refused", "too many rechecks", &|p| {
            let later: String = (0..20_000)
                .map(|n| format!("{},200,20,1013\n", 9_000 + n))
                .collect();
            write(p, format!("{}# recheck\n{later}", night(600, 0)));
        }),
        ("hundred.csv", "brought", "", &|p| {
            let later: String = (0..100)
                .map(|n| format!("{},200,20,1013\n", 90_000 + n))
                .collect();
            write(p, format!("{}# recheck\n{later}", night(43_200, 0)));
        }),
        ("long.csv", "refused", "too large", &|p| {
            write(p, night(400_000, 0))
        }),
        ("same.csv", "brought", "", &|p| {
            write(p, log(vec!["5,200,20,1013".to_owned(); 100_000]));
        }),
        ("words.csv", "refused", "", &|p| {
            write(p, log((0..50).map(|n| format!("{n},soon,20,1013"))));
        }),
    ]);
}

// ---- procedures ----

#[test]
fn a_procedure_costs_no_more_the_more_is_wrong_with_it() {
    const FULL: usize = (256 << 10) - 20;
    tried(&[
        ("commas.toml", "refused", "", &|p| {
            write(p, format!("format = 1\n{}", ",".repeat(FULL)));
        }),
        ("lines.toml", "refused", "", &|p| {
            write(p, format!("format = 1\n{}", ",\n".repeat(FULL / 2)));
        }),
        ("list.toml", "refused", "", &|p| {
            write(p, format!("format = 1\nid = [{}", ",".repeat(FULL - 10)));
        }),
        ("brackets.toml", "refused", "", &|p| {
            write(p, format!("format = 1\nid = {}", "[".repeat(FULL - 10)));
        }),
        ("tables.toml", "refused", "", &|p| {
            write(p, format!("format = 1\n{}", "[[step]]\n".repeat(FULL / 9)));
        }),
        ("dots.toml", "refused", "", &|p| {
            write(
                p,
                format!("format = 1\n{}a = 1\n", "a.".repeat(FULL / 2 - 10)),
            );
        }),
        ("inline.toml", "refused", "", &|p| {
            write(
                p,
                format!("format = 1\nid = {}", "{a=".repeat(FULL / 3 - 10)),
            );
        }),
        ("keys.toml", "refused", "", &|p| {
            let keys: String = (0..30_000).map(|n| format!("k{n}=1\n")).collect();
            write(p, format!("format = 1\n{}", &keys[..keys.len().min(FULL)]));
        }),
        ("quotes.toml", "refused", "", &|p| {
            write(p, format!("format = 1\n{}", "\"".repeat(FULL)));
        }),
        ("too-long.toml", "refused", "256 KiB", &|p| {
            write(p, format!("format = 1\n{}", "#".repeat(1 << 20)));
        }),
    ]);
}

// ---- files of everything ----

fn member(n: usize) -> Value {
    json!({"fact": "member_defined", "name": format!("Member {n}"), "role": "other"})
}

/// A JPEG by its first bytes, and nothing else.
fn zeros(mib: usize) -> Vec<u8> {
    let mut bytes = vec![0; mib << 20];
    bytes[..4].copy_from_slice(b"\xff\xd8\xff\xe0");
    bytes
}

fn photo_part(bytes: Vec<u8>) -> (String, (String, Vec<u8>)) {
    let hash = Stranger::name_of(&bytes);
    (hash.clone(), (format!("photos/{hash}.jpg"), bytes))
}

/// So many photos of sixty megabytes each, and the events that name them.
fn takes_photos(who: &mut Stranger, n: u8) -> (Vec<String>, Vec<(String, Vec<u8>)>) {
    let (mut events, mut parts) = (Vec::new(), Vec::new());
    for n in 0..n {
        let mut bytes = zeros(60);
        bytes[100] = n;
        let (hash, part) = photo_part(bytes);
        let body = json!({"fact": "photo_taken", "photo": hash, "note": ""});
        events.push(line(&who.writes("rig", &body, MORNING_MS)));
        parts.push(part);
    }
    (events, parts)
}

#[test]
fn a_file_of_everything_costs_what_its_size_allows_and_leaves_nothing_half() {
    tried(&[
        ("honest.zip", "brought", "", &|p| {
            let mut who = Stranger::new(1);
            let events = (0..3_000)
                .map(|n| line(&who.writes(&format!("crew/m{n}"), &member(n), MORNING_MS)));
            everything(p, events, &[]).unwrap();
        }),
        ("wide.zip", "brought", "", &|p| {
            // Many of everything that a page lists.
            let mut who = Stranger::new(8);
            let mut events = Vec::new();
            let mut say = |subject: String, body: Value| {
                events.push(line(&who.writes(&subject, &body, MORNING_MS)));
            };
            for n in 0..500 {
                let lot = json!({"size": format!("AS568-{n}"), "material": "NBR"});
                say(
                    format!("crew/box/l{n}"),
                    json!({"fact": "rings_stocked", "lot": lot, "count": 3}),
                );
                let gauge = json!({
                    "name": format!("Gauge {n}"), "absolute": false, "unit": "mbar",
                    "resolution_pa": 100.0,
                });
                say(
                    format!("crew/gauge/g{n}"),
                    json!({"fact": "gauge_defined", "gauge": gauge}),
                );
                say(
                    format!("rig{n}"),
                    json!({"fact": "defect_opened", "at": "", "blocks": true, "text": "odd"}),
                );
                say(format!("crew/m{n}"), member(n));
            }
            everything(p, events, &[]).unwrap();
        }),
        ("forged-with-photos.zip", "refused", "signed", &|p| {
            // 480 MB of photos in half a megabyte, and an event that nobody signed.
            let mut who = Stranger::new(2);
            let (mut events, parts) = takes_photos(&mut who, 8);
            let mut last = who.writes("crew/m1", &member(1), MORNING_MS);
            last.body.push(b' ');
            events.push(line(&last));
            everything(p, events, &parts).unwrap();
        }),
        ("photos.zip", "refused", "photos unpack", &|p| {
            let mut who = Stranger::new(3);
            let (events, parts) = takes_photos(&mut who, 4);
            everything(p, events, &parts).unwrap();
        }),
        ("unnamed-photos.zip", "brought", "", &|p| {
            // No event names them: they stay where they are.
            let mut who = Stranger::new(4);
            let events = [line(&who.writes("crew/m1", &member(1), MORNING_MS))];
            let (_, part) = photo_part(zeros(60));
            everything(p, events, &[part]).unwrap();
        }),
        ("damaged-photo-last.zip", "refused", "photos/", &|p| {
            let mut who = Stranger::new(5);
            let (mut events, mut parts) = (Vec::new(), Vec::new());
            for n in 0..20_u8 {
                let mut bytes = zeros(1);
                bytes.truncate(500_000);
                bytes[100] = n;
                let (hash, mut part) = photo_part(bytes);
                let body = json!({"fact": "photo_taken", "photo": hash, "note": ""});
                events.push(line(&who.writes("rig", &body, MORNING_MS)));
                if n == 7 {
                    part.1[200] ^= 1;
                }
                parts.push(part);
            }
            everything(p, events, &parts).unwrap();
        }),
        ("blank-lines.zip", "refused", "line 1", &|p| {
            everything(p, (0..500).map(|_| "\n".repeat(1 << 20)), &[]).unwrap();
        }),
        ("one-line.zip", "refused", "too long", &|p| {
            everything(p, (0..500).map(|_| " ".repeat(1 << 20)), &[]).unwrap();
        }),
        ("long-bodies.zip", "refused", "unpack", &|p| {
            let mut who = Stranger::new(6);
            let note = "x".repeat(4 << 20);
            let events = (0..40).map(|_| {
                let body = json!({"fact": "inspected", "note": note});
                line(&who.writes("rig/enclosure/main", &body, MORNING_MS))
            });
            everything(p, events, &[]).unwrap();
        }),
        ("deep.zip", "refused", "line 1", &|p| {
            let deep = format!("{}{}\n", "[".repeat(1 << 20), "]".repeat(1 << 20));
            everything(p, [deep], &[]).unwrap();
        }),
        ("parts.zip", "refused", "parts", &|p| {
            let mut who = Stranger::new(7);
            let events = [line(&who.writes("crew/m1", &member(1), MORNING_MS))];
            let parts: Vec<(String, Vec<u8>)> =
                (0..60_000).map(|n| (format!("x{n}"), Vec::new())).collect();
            everything(p, events, &parts).unwrap();
        }),
    ]);
}

#[test]
fn events_that_are_slow_by_design_run_out_of_time() {
    tried(&[
        ("readings.zip", "brought", "", &|p| {
            // One event with readings for a fortnight: it is kept, thinned.
            let mut who = Stranger::new(1);
            let setup = json!({
                "enclosure": "main", "absolute": false, "gauge_unit": "mbar",
                "gauge_resolution_pa": 10.0, "temperature_source": "none", "volume_m3": 0.012,
                "volume_sd_m3": 0.001, "limit_ml": 60.0, "depth_m": 30.0, "minutes": 60.0,
                "salinity_g_kg": 35.0, "water_k": 293.0,
            });
            let readings: Vec<Value> = (0..100_000)
                .map(|n| json!({"t_s": n, "gauge_pa": 20_000}))
                .collect();
            let body = json!({"fact": "hold_imported", "setup": setup, "readings": readings});
            let events = [line(&who.writes("rig/hold/h", &body, MORNING_MS))];
            everything(p, events, &[]).unwrap();
        }),
        ("retractions.zip", "brought", "", &|p| {
            // Each makes the fold look through what was said of its subject: nothing is folded of a phone that
            // the crew doesn't know, and what would come of it has its time, too.
            let mut who = Stranger::new(2);
            let device: String = who.device().0.iter().map(|b| format!("{b:02x}")).collect();
            let mut events = Vec::new();
            for n in 0..4_000 {
                let part = format!("p{n}");
                let body = json!({"fact": "step_part", "key": "s", "part": part, "on": true});
                events.push(line(&who.writes("rig/prep/p", &body, MORNING_MS)));
            }
            for seq in 1..=4_000 {
                let body = json!({"fact": "retracted", "event": format!("{device}:{seq}")});
                events.push(line(&who.writes("rig/prep/p", &body, MORNING_MS)));
            }
            everything(p, events, &[]).unwrap();
        }),
    ]);
}

// ---- what is no file of ours ----

#[test]
fn whatever_can_not_be_read_is_refused_and_said_why() {
    let dir = tempfile::tempdir().unwrap();
    let missing = dir.path().join("nothing");
    let said = bring(&[missing, dir.path().to_owned()]);
    for line in said {
        assert_eq!(line["result"], "refused", "{line}");
        assert_ne!(line["why"], "", "{line}");
    }
    let none = Command::new(env!("CARGO_BIN_EXE_bringin"))
        .output()
        .unwrap();
    assert!(!none.status.success());
    tried(&[
        ("empty", "refused", "empty", &|p| write(p, "")),
        ("letter.txt", "refused", "nothing that", &|p| {
            write(p, "Dear all")
        }),
        ("picture.jpg", "refused", "nothing that", &|p| {
            write(p, zeros(1))
        }),
        ("sparse", "refused", "nothing that", &|p| {
            File::create(p).unwrap().set_len(4 << 30).unwrap();
        }),
        ("zip-of-nothing.zip", "refused", "", &|p| {
            write(p, [b"PK\x03\x04", &[0; 100_000][..]].concat());
        }),
        ("cut.toml", "refused", "", &|p| {
            write(p, "format = 1\nid = \"a")
        }),
    ]);
}
