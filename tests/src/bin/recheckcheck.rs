//! Judges the rechecks of logged holds, each from the hold and the rows before it, and prints one JSON
//! line a row.
//!
//! `recheckcheck [--keep-good-rows] FILE_OR_FOLDER…`; of a folder, every `*.csv` whose first line starts
//! with `# hold-log`. Exit status 1 where a file could not be read.

use std::path::Path;
use std::process::ExitCode;

use serde_json::{Value, json};
use slackwater_checks::logs;
use slackwater_core::domain::hold_log::{WrongRows, read};
use slackwater_core::physics::hold::{Proved, RecheckInput, RecheckResult, judge_briefly, recheck};

fn word(r: RecheckResult) -> &'static str {
    match r {
        RecheckResult::AsForetold => "as_foretold",
        RecheckResult::LessVacuum => "less_vacuum",
        RecheckResult::MoreVacuum => "more_vacuum",
        RecheckResult::CouldNotTell => "could_not_tell",
    }
}

fn check(path: &Path, rows: WrongRows) -> Result<Vec<Value>, String> {
    let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
    let log = read(&text).map_err(|e| e.to_string())?;
    for w in &log.warnings {
        eprintln!("{}: {w}", path.display());
    }
    let hold = log.input(rows).map_err(|e| e.to_string())?;
    for w in &log.wrong {
        eprintln!("{}: {w}; left out", path.display());
    }
    let judged = judge_briefly(&hold).map_err(|e| e.to_string())?;
    let proved = Proved::from(&judged);
    let mut before = Vec::new();
    let mut out = Vec::new();
    for (i, now) in log.later().into_iter().enumerate() {
        let r = recheck(&RecheckInput {
            hold: hold.clone(),
            proved: proved.clone(),
            before: before.clone(),
            now,
            camera_k: None,
        })
        .map_err(|e| format!("recheck {}: {e}", i + 1))?;
        let Some(result) = r.result else {
            return Err(format!("recheck {}: no reading", i + 1));
        };
        let shown = |pa: f64| log.unit.from_pa(pa);
        out.push(json!({
            "file": path.display().to_string(),
            "row": i + 1,
            "result": word(result),
            "foretold": shown(r.foretold_pa),
            "low": shown(r.low_pa),
            "high": shown(r.high_pa),
            "unit": log.unit.symbol(),
            "would_miss_below": shown(r.would_miss_below_pa),
        }));
        // What was found changed, or could not be seen, foretells nothing.
        if result == RecheckResult::AsForetold {
            before.push(now);
        }
    }
    Ok(out)
}

fn main() -> ExitCode {
    logs::each_named("recheckcheck", check)
}
