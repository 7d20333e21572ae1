//! Judges logged holds reading by reading, as the screen would, and prints one JSON line a file.
//!
//! `holdcheck [--keep-good-rows] FILE_OR_FOLDER…`; of a folder, every `*.csv` whose first line
//! starts with `# hold-log`. Exit status 1 where a file could not be read.

use std::path::Path;
use std::process::ExitCode;

use serde_json::{Value, json};
use slackwater_checks::logs;
use slackwater_core::domain::hold_log::{WrongRows, read};
use slackwater_core::physics::hold::{
    HoldInput, Judgement, LimitedBy, Verdict, judge, judge_briefly,
};

fn word(v: Verdict) -> &'static str {
    match v {
        Verdict::Holding => "holding",
        Verdict::Leaking => "leaking",
        Verdict::NotYet => "not_yet",
    }
}

fn limit_word(l: LimitedBy) -> &'static str {
    match l {
        LimitedBy::Gauge => "gauge",
        // The contract knows no more words: a camera's warmth is a temperature that nobody measured.
        LimitedBy::Temperature | LimitedBy::Camera => "temperature",
        LimitedBy::Barometer => "barometer",
        LimitedBy::Volume => "volume",
        LimitedBy::Settling | LimitedBy::Desiccant => "settling",
    }
}

/// Judges each beginning of the hold. The first verdict, when it fell, and the last judgement. A
/// beginning that can't be judged, with as yet little beside a mistyped reading, has no verdict:
/// the screen asks for that reading then. Only the whole hold's refusal is an error.
fn reading_by_reading(all: &HoldInput) -> Result<(Verdict, Option<f64>, Judgement), String> {
    let mut sofar = HoldInput {
        readings: Vec::with_capacity(all.readings.len()),
        ..all.clone()
    };
    let mut first = (Verdict::NotYet, None);
    for r in &all.readings {
        sofar.readings.push(*r);
        if let Ok(j) = judge_briefly(&sofar)
            && j.verdict != Verdict::NotYet
        {
            first = (j.verdict, Some(r.t_s));
            break;
        }
    }
    let last = if all.readings.is_empty() {
        Err("no readings".to_owned())
    } else {
        judge(all).map_err(|e| e.to_string())
    };
    Ok((first.0, first.1, last?))
}

fn check(path: &Path, rows: WrongRows) -> Result<Vec<Value>, String> {
    let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
    let log = read(&text).map_err(|e| e.to_string())?;
    for w in &log.warnings {
        eprintln!("{}: {w}", path.display());
    }
    let input = log.input(rows).map_err(|e| e.to_string())?;
    for w in &log.wrong {
        eprintln!("{}: {w}; left out", path.display());
    }
    let (first, decided, last) = reading_by_reading(&input)?;
    Ok(vec![json!({
        "file": path.display().to_string(),
        "first_verdict": word(first),
        "decided_at_s": decided,
        "final_verdict": word(last.verdict),
        "leak_mL_per_dive": last.leak_ml,
        "low": last.low_ml,
        "high": last.high_ml,
        "would_miss_below_mL": last.would_miss_below_ml,
        "minutes_to_go": last.minutes_to_go,
        "limited_by": limit_word(last.limited_by),
    })])
}

fn main() -> ExitCode {
    logs::each_named("holdcheck", check)
}
