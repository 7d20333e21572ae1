//! Lives a scripted day on a disk that fails on purpose, at every point at which it can, and says what came
//! of each.
//!
//! - `baddisk [--faults N] [--points N] [--both N] [--seed S]`: every operation fails once in each way that
//!   it can, the power goes behind each operation and in the middle of each write, and (`--both`) the power
//!   goes after a fault; only so many of them where a number is given. Prints what was wrong and the sum;
//!   ends with status 1 where something was.
//! - `baddisk day FOLDER FILE`: the day itself, for the above.
//!
//! Only where a library can be loaded before others: on Linux.

use std::path::Path;
use std::process::ExitCode;

use slackwater_checks::disk::{day, sweep};

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    if let ["day", folder, file] = words[..] {
        day::live(Path::new(folder), Path::new(file));
        return ExitCode::SUCCESS;
    }
    let mut plan = sweep::Plan {
        faults: None,
        points: None,
        both: 400,
        seed: 1,
        only: |_, _| true,
        tell: true,
    };
    for pair in words.chunks(2) {
        let (name, Some(Ok(n))) = (pair[0], pair.get(1).map(|n| n.parse::<u64>())) else {
            eprintln!("baddisk [--faults N] [--points N] [--both N] [--seed S]");
            return ExitCode::from(2);
        };
        match name {
            "--faults" => plan.faults = Some(n),
            "--points" => plan.points = Some(n),
            "--both" => plan.both = n,
            _ => plan.seed = n,
        }
    }
    let swept = std::env::current_exe()
        .map_err(Into::into)
        .and_then(|program| sweep::sweep(&program, &plan));
    match swept {
        Ok(sum) => {
            println!("{sum}");
            ExitCode::from(u8::from(!sum.wrong.is_empty()))
        }
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}
