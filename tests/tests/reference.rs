//! Every kind of reference value, and the logged holds with their truths.
//!
//! They lie in `../shared/reference` beside the repository, or where `SLACKWATER_REFERENCE` says.
//! A clone without them skips these tests by name; where `CI` is set they must be there.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;
use slackwater_checks::refcheck_rig::RIG_KINDS;

/// The kinds of the hold, with their files.
const HOLD_KINDS: &[(&str, &[&str])] = &[
    (
        "pressure_decay",
        &["pressure_decay.csv", "pressure_decay_cases.csv"],
    ),
    ("leak_unit_conversions", &["leak_unit_conversions.csv"]),
    (
        "gas_leak_to_water_ingress",
        &["gas_leak_to_water_ingress.csv"],
    ),
    ("viscosity", &["viscosity.csv"]),
    ("viscosity_check_values", &["viscosity_check_values.csv"]),
    ("bolts", &["bolts.csv"]),
];

/// Tight holds among the logged ones that are settled, at least: what the judge reached.
const SETTLED: usize = 18;

/// None where there are none: said by the test's name, past the test harness.
fn reference(test: &str) -> Option<PathBuf> {
    let named = std::env::var_os("SLACKWATER_REFERENCE").map(PathBuf::from);
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/reference");
    let must = named.is_some() || std::env::var_os("CI").is_some();
    let dir = named.unwrap_or(beside);
    if dir.is_dir() {
        return Some(dir);
    }
    assert!(!must, "no reference values in {}", dir.display());
    let line = format!("SKIPPED: reference::{test}: no reference values beside the repository\n");
    let _ = std::io::stderr().write_all(line.as_bytes());
    None
}

#[test]
fn every_kind_of_water_trim_and_o_ring_is_within_its_tolerance() {
    let Some(dir) = reference("every_kind_of_water_trim_and_o_ring_is_within_its_tolerance") else {
        return;
    };
    let mut wrong = Vec::new();
    for (kind, check) in RIG_KINDS {
        let file = ["csv", "json"]
            .map(|ending| dir.join(format!("{kind}.{ending}")))
            .into_iter()
            .find(|f| f.exists())
            .unwrap_or_else(|| panic!("no file for {kind} in {}", dir.display()));
        let columns = check(&[file]).unwrap();
        assert!(!columns.is_empty(), "{kind} compares nothing");
        for column in columns {
            println!("{column}");
            if !column.holds() {
                wrong.push(column.to_string());
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_kind_of_the_hold_is_within_its_tolerance() {
    let Some(dir) = reference("every_kind_of_the_hold_is_within_its_tolerance") else {
        return;
    };
    for (kind, files) in HOLD_KINDS {
        let out = Command::new(env!("CARGO_BIN_EXE_refcheck"))
            .arg(kind)
            .args(files.iter().map(|f| dir.join(f)))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        let wrong = String::from_utf8_lossy(&out.stderr);
        assert!(out.status.success(), "{kind}\n{said}{wrong}");
        assert!(!said.trim().is_empty(), "{kind} compares nothing");
    }
}

#[test]
fn the_logged_holds_are_judged_as_they_were() {
    let Some(dir) = reference("the_logged_holds_are_judged_as_they_were") else {
        return;
    };
    let dir = dir.join("hold_logs");
    let out = Command::new(env!("CARGO_BIN_EXE_holdcheck"))
        .arg(&dir)
        .output()
        .unwrap();
    assert!(out.status.success(), "a log could not be read");
    let judged: Vec<Value> = String::from_utf8(out.stdout)
        .unwrap()
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    let truths = std::fs::read_to_string(dir.join("truth.csv")).unwrap();
    let (mut holds, mut covered, mut tight, mut settled) = (0, 0, 0, 0);
    for row in truths.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let truth: f64 = cells[2].parse().unwrap();
        let limit: f64 = cells[3].parse().unwrap();
        let j = judged
            .iter()
            .find(|j| j["file"].as_str().unwrap().ends_with(cells[0]))
            .unwrap_or_else(|| panic!("{} was not judged", cells[0]));
        for verdict in [&j["first_verdict"], &j["final_verdict"]] {
            match verdict.as_str().unwrap() {
                "holding" => assert!(truth < limit, "a leak passed: {j}"),
                "leaking" => assert!(truth > 0.0, "a tight one was called leaking: {j}"),
                word => assert_eq!(word, "not_yet"),
            }
        }
        holds += 1;
        let within = j["low"].as_f64().unwrap()..=j["high"].as_f64().unwrap();
        covered += usize::from(within.contains(&truth));
        if cells[1] == "tight" {
            tight += 1;
            settled += usize::from(j["first_verdict"] == "holding");
        }
    }
    assert_eq!(judged.len(), holds, "a log has no truth");
    println!("{covered} of {holds} covered, {settled} of {tight} tight ones settled");
    assert!(covered * 100 >= holds * 94, "{covered} of {holds} covered");
    assert!(settled >= SETTLED, "{settled} of {tight} settled");
}
