//! What the programs that judge logged holds share: which files are meant, and what a fault does.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde_json::{Value, json};
use slackwater_core::domain::hold_log::WrongRows;

/// The hold logs that an argument names: a file, or of a folder every `*.csv` whose first line starts
/// with `# hold-log`.
///
/// # Errors
/// A folder that can't be read, in words.
pub fn files(arg: &str) -> Result<Vec<PathBuf>, String> {
    let path = PathBuf::from(arg);
    if !path.is_dir() {
        return Ok(vec![path]);
    }
    let mut found = Vec::new();
    for entry in std::fs::read_dir(&path).map_err(|e| format!("{arg}: {e}"))? {
        let p = entry.map_err(|e| format!("{arg}: {e}"))?.path();
        let csv = p.extension().is_some_and(|e| e == "csv");
        // A folder may hold other tables; a hold log says so in its first line.
        let log = csv
            && std::fs::read(&p).is_ok_and(|b| {
                b.strip_prefix("\u{feff}".as_bytes())
                    .unwrap_or(&b)
                    .starts_with(b"# hold-log")
            });
        if log {
            found.push(p);
        }
    }
    found.sort();
    Ok(found)
}

/// Runs `check` over every log that the arguments name and prints its lines; a file that can't be
/// judged gives one with its error, and the exit status 1 at the end.
pub fn each_named(
    program: &str,
    check: impl Fn(&Path, WrongRows) -> Result<Vec<Value>, String>,
) -> ExitCode {
    let mut rows = WrongRows::Refuse;
    let mut named = Vec::new();
    for arg in std::env::args().skip(1) {
        if arg == "--keep-good-rows" {
            rows = WrongRows::KeepGood;
        } else {
            named.push(arg);
        }
    }
    if named.is_empty() {
        eprintln!("usage: {program} [--keep-good-rows] FILE_OR_FOLDER…");
        return ExitCode::from(2);
    }
    let mut ok = true;
    for arg in named {
        let list = files(&arg).unwrap_or_else(|error| {
            ok = false;
            println!("{}", json!({"file": arg, "error": error}));
            Vec::new()
        });
        for path in list {
            match check(&path, rows) {
                Ok(lines) => lines.iter().for_each(|line| println!("{line}")),
                Err(error) => {
                    ok = false;
                    let file = path.display().to_string();
                    println!("{}", json!({"file": file, "error": error}));
                }
            }
        }
    }
    if ok {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
