//! Brings files in as the phone would, each into a fresh record of the demo, and says what it cost and
//! what it changed: one line of JSON a file.
//!
//! `bringin FILE…` prints for each
//! `{"file","result":"brought"|"refused","why","ms","peak_mib","left_mib","ready_before","ready_after"}`.
//! `ms` is the time until the phone shows what came of it, `peak_mib` the most memory of a process that
//! does only that, `left_mib` by how much the folder of the record has grown. A file that can't be read
//! is refused; the program fails only without a file. What ends the process is refused too, as such.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::sync::Arc;
use std::time::Instant;

use serde_json::{Value, json};
use slackwater_checks::drive::{MORNING_MS, env};
use slackwater_checks::walk::copy_folder;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::demo;
use slackwater_core::journal::FixedClock;
use slackwater_core::screens::common::{Document, Outcome, Place};
use slackwater_core::screens::desk::Desk;

/// A shell hands on what is larger as a file, not as bytes.
const LARGE: u64 = 16 << 20;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    if let [flag, file, folder] = &args[..]
        && flag == "--one"
    {
        println!("{}", one(file, Path::new(folder)));
        return ExitCode::SUCCESS;
    }
    if args.is_empty() {
        eprintln!("bringin FILE…");
        return ExitCode::FAILURE;
    }
    match all(&args) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}

fn all(files: &[String]) -> Result<(), Box<dyn std::error::Error>> {
    let demo = tempfile::tempdir()?;
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    demo::fill_if_empty(demo.path(), &env(&clock, 3))?;
    // Opened and closed once, so that what an opening leaves is there before.
    drop(Book::open(demo.path(), env(&clock, 4))?);
    for file in files {
        let folder = tempfile::tempdir()?;
        copy_folder(demo.path(), folder.path());
        let before = length(folder.path());
        let child = Command::new(std::env::current_exe()?)
            .arg("--one")
            .arg(file)
            .arg(folder.path())
            .output()?;
        let said = String::from_utf8_lossy(&child.stdout);
        let mut line = serde_json::from_str::<Value>(said.trim()).unwrap_or_else(|_| {
            json!({
                "file": file, "result": "refused", "ms": 0, "peak_mib": 0,
                "why": format!("it ended the program: {}", child.status),
                "ready_before": [], "ready_after": [],
            })
        });
        let grown = length(folder.path()).saturating_sub(before);
        line["left_mib"] = json!(tenths(grown as f64 / f64::from(1 << 20)));
        let mut out = io::stdout().lock();
        writeln!(out, "{line}")?;
        out.flush()?;
    }
    Ok(())
}

fn tenths(v: f64) -> f64 {
    (v * 10.0).round() / 10.0
}

/// Bytes of all files in a folder.
fn length(folder: &Path) -> u64 {
    let Ok(entries) = fs::read_dir(folder) else {
        return 0;
    };
    entries
        .flatten()
        .map(|e| match e.metadata() {
            Ok(about) if about.is_dir() => length(&e.path()),
            Ok(about) => about.len(),
            Err(_) => 0,
        })
        .sum()
}

/// Names of the rigs that are ready.
fn ready(desk: &Desk) -> Vec<String> {
    let rigs = desk.book().rigs().unwrap_or_default();
    rigs.into_iter()
        .filter(|rig| desk.book().readiness(&rig.id).is_ok_and(|r| r.is_ready()))
        .map(|rig| rig.name)
        .collect()
}

/// The most memory since it was reset, MiB (proc(5), VmHWM).
fn peak_mib() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let kib = status
        .lines()
        .find_map(|l| l.strip_prefix("VmHWM:"))
        .and_then(|l| l.split_whitespace().next()?.parse::<f64>().ok());
    tenths(kib.unwrap_or_default() / 1024.0)
}

fn one(file: &str, folder: &Path) -> Value {
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let mut desk = match Book::open(folder, env(&clock, 5)) {
        Ok(book) => Desk::new(book, 120),
        Err(e) => return json!({"file": file, "result": "refused", "why": e.to_string()}),
    };
    let ready_before = ready(&desk);
    // proc(5): 5 resets the peak.
    let _ = fs::write("/proc/self/clear_refs", "5");
    let began = Instant::now();
    let refused = brought(&mut desk, Path::new(file)).err();
    let ms = began.elapsed().as_millis() as u64;
    let peak = peak_mib();
    json!({
        "file": file,
        "result": if refused.is_some() { "refused" } else { "brought" },
        "why": refused.unwrap_or_default(),
        "ms": ms,
        "peak_mib": peak,
        "ready_before": ready_before,
        "ready_after": ready(&desk),
    })
}

/// Hands a file in as a shell does, and shows what comes of it.
///
/// # Errors
/// Why it was refused.
fn brought(desk: &mut Desk, path: &Path) -> Result<(), String> {
    let said = |e: &dyn std::fmt::Display| e.to_string();
    let about = fs::metadata(path).map_err(|e| said(&e))?;
    if !about.is_file() {
        return Err("it is no file".into());
    }
    let large = about.len() > LARGE;
    let name = path.file_name().map(PathBuf::from).unwrap_or_default();
    let paper = Document {
        name: name.display().to_string(),
        media_type: "application/octet-stream".into(),
        bytes: if large {
            Vec::new()
        } else {
            fs::read(path).map_err(|e| said(&e))?
        },
        file: large.then(|| path.display().to_string()),
    };
    let at = Place::Rigs { form: None };
    let mut place = at.clone();
    let mut outcome = desk.receive(&at, &paper).map_err(|e| said(&e))?;
    // A logged hold is handed in where a hold of its enclosure is set up.
    if !outcome.faults.is_empty()
        && let Some(setup) = setup(desk)
    {
        let there = desk.receive(&setup, &paper).map_err(|e| said(&e))?;
        if there != outcome {
            (place, outcome) = (setup, there);
        }
    }
    let shown = outcome.go.clone().unwrap_or(place);
    desk.show(&shown).map_err(|e| said(&e))?;
    let faults = said_in(&outcome);
    // A log with wrong rows waits for the person's word: nothing of it is in yet.
    match outcome.go {
        None if faults.is_empty() && matches!(shown, Place::HoldSetup { .. }) => {
            Err(outcome.said.unwrap_or_default())
        }
        _ if faults.is_empty() => Ok(()),
        _ => Err(faults),
    }
}

fn said_in(outcome: &Outcome) -> String {
    let all: Vec<&str> = outcome.faults.iter().map(|f| f.text.as_str()).collect();
    all.join("; ")
}

/// Where a hold of the first rig's first enclosure is set up.
fn setup(desk: &Desk) -> Option<Place> {
    let rig = desk.book().rigs().ok()?.into_iter().next()?.id;
    let facts = desk.book().rig(&rig).ok()?;
    let enclosure = facts.def.enclosures.first()?.id.clone();
    Some(Place::HoldSetup { rig, enclosure })
}
