//! `holdcheck` on files of its own: what it does with mistyped readings and with what is no log.

use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

/// An hour of a tight housing at constant temperature, with one reading mistyped.
fn log(mistyped: Option<(usize, &str)>) -> String {
    let mut text = String::from(
        "# hold-log: 1\n# volume_L: 12.0\n# volume_sd_L: 0.6\n# gauge: below_ambient\n\
         # gauge_unit: mbar\n# gauge_resolution: 0.1\n# temperature_source: inside\n\
         # limit_mL_per_dive: 60\n# dive_depth_m: 30\n# dive_minutes: 60\n\
         time_s,gauge,temperature_C,ambient_mbar\n",
    );
    for i in 0..120_usize {
        // Noise of a few steps that comes back every seven readings.
        let gauge = 200.0 + [0.0, 0.1, 0.0, -0.1, 0.1, 0.0, -0.1][i % 7];
        let gauge = match mistyped {
            Some((at, wrong)) if at == i => wrong.to_owned(),
            _ => format!("{gauge:.1}"),
        };
        writeln!(text, "{},{gauge},24.9,1012.8", i * 30).unwrap();
    }
    text
}

fn check(path: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_holdcheck"))
        .arg(path)
        .output()
        .unwrap()
}

fn lines(out: &Output) -> Vec<Value> {
    let text = std::str::from_utf8(&out.stdout).unwrap();
    text.lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect()
}

#[test]
fn a_reading_mistyped_tenfold_anywhere_costs_no_verdict() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("hold.csv");
    for mistyped in [
        None,
        Some((0, "2000")),
        Some((1, "2001")),
        Some((2, "2000")),
        Some((60, "2000")),
        Some((119, "2000")),
        Some((1, "20")),
    ] {
        fs::write(&at, log(mistyped)).unwrap();
        let out = check(&at);
        let said = &lines(&out)[0];
        assert!(out.status.success(), "{mistyped:?}: {said}");
        assert_eq!(said["first_verdict"], "holding", "{mistyped:?}: {said}");
        // The last one may be a slip or the beginning of a leak: the next would tell.
        let end = match mistyped {
            Some((119, _)) => "not_yet",
            _ => "holding",
        };
        assert_eq!(said["final_verdict"], end, "{mistyped:?}: {said}");
        assert!(said["low"].as_f64().unwrap() <= 0.0, "{mistyped:?}: {said}");
    }
}

#[test]
fn what_cant_be_judged_is_named_and_the_others_are_judged() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("a.csv"), "# hold-log: 1\n# volume_L: 12\n").unwrap();
    // In the wrong unit every reading is absurd: nothing is left to judge.
    let psi = log(None).replace("gauge_unit: mbar", "gauge_unit: psi");
    fs::write(dir.path().join("b.csv"), psi).unwrap();
    fs::write(dir.path().join("c.csv"), log(None)).unwrap();
    fs::write(dir.path().join("d.csv"), "a,table,of\nsome,thing,else\n").unwrap();
    let out = check(dir.path());
    assert_eq!(out.status.code(), Some(1));
    let said = lines(&out);
    assert_eq!(said.len(), 3, "{said:?}");
    for (line, name) in said.iter().zip(["a.csv", "b.csv", "c.csv"]) {
        assert!(line["file"].as_str().unwrap().ends_with(name), "{line}");
        assert_eq!(line["error"].is_string(), name != "c.csv", "{line}");
    }
}
