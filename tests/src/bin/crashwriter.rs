//! A process to be killed: opens a store and says what it did, a line at a time.
//!
//! - `crashwriter append FOLDER SEED`: appends without end. After each append has returned, and
//!   only then, it prints the references of its events.
//! - `crashwriter hold FOLDER`: opens, prints `open`, and keeps the store open until its input ends.
//! - `crashwriter demo FOLDER`: makes the demo store, then prints `made`.
//! - `crashwriter add-photos FOLDER SEED`: keeps photos without end, printing each event after it
//!   is recorded.
//!
//! A fault is printed as `fault: ...` and ends it with status 1.

use std::io::{Read, Write};
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use slackwater_core::domain::book::{Book, BookFault, Recorded};
use slackwater_core::domain::demo;
use slackwater_core::domain::facts::Fact;
use slackwater_core::journal::{
    Entropy, Env, JournalFault, SeededEntropy, SystemClock, SystemEntropy,
};

fn env() -> Env {
    Env {
        clock: Arc::new(SystemClock),
        entropy: Arc::new(SystemEntropy),
        device_seed: None,
    }
}

/// Prints a line whole and at once: a killed process leaves no half of it unsent.
fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    // Nobody listening any more is no reason to go on.
    if out
        .write_all(format!("{line}\n").as_bytes())
        .and_then(|()| out.flush())
        .is_err()
    {
        std::process::exit(0);
    }
}

/// Opens a store that the test before has just closed. While another of its threads starts a process,
/// that process holds the lock, too, until it runs its own program; on a busy machine that shows.
fn reopen(folder: &Path) -> Result<Book, BookFault> {
    for _ in 0..100 {
        match Book::open(folder, env()) {
            Err(BookFault::Journal(JournalFault::Busy { .. })) => {
                std::thread::sleep(std::time::Duration::from_millis(50));
            }
            opened => return opened,
        }
    }
    Book::open(folder, env())
}

fn acknowledged(recorded: &Recorded) -> String {
    recorded
        .events
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join(" ")
}

/// One to three facts in one transaction: the same number under two names, which must never be
/// seen apart, and now and then a text that spans several pages.
fn append(folder: &Path, seed: u64) -> Result<(), BookFault> {
    let random = SeededEntropy::new(seed);
    let mut book = reopen(folder)?;
    let start = book.journal().count(None)?;
    for n in start.. {
        let choice = |name: &str| {
            let fact = Fact::CrewChose {
                choice: name.into(),
                value: n.to_string(),
            };
            ("crew".to_owned(), fact)
        };
        let mut facts = vec![choice("left"), choice("right")];
        let mut byte = [0];
        random.fill(&mut byte);
        if byte[0] < 64 {
            let text = "ring ".repeat(1 + usize::from(byte[0]) * 40);
            facts.push((
                format!("rig/defect/{n}"),
                Fact::DefectOpened {
                    at: String::new(),
                    blocks: false,
                    text,
                    water: false,
                },
            ));
        }
        say(&acknowledged(&book.record(facts)?));
    }
    Ok(())
}

/// Distinct pictures: a small one with bytes behind its end.
fn add_photos(folder: &Path, seed: u64) -> Result<(), BookFault> {
    let mut book = reopen(folder)?;
    let picture = slackwater_checks::drive::png();
    for n in 0_u64.. {
        let mut bytes = picture.clone();
        bytes.resize(bytes.len() + 300_000, 0);
        bytes.extend(seed.to_le_bytes());
        bytes.extend(n.to_le_bytes());
        let (_, recorded) = book.add_photo("rig", &n.to_string(), &bytes)?;
        say(&acknowledged(&recorded));
    }
    Ok(())
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let seed = |text: &str| text.parse().unwrap_or(1);
    let result = match words[..] {
        ["append", folder, n] => append(Path::new(folder), seed(n)),
        ["add-photos", folder, n] => add_photos(Path::new(folder), seed(n)),
        ["demo", folder] => {
            demo::fill_if_empty(Path::new(folder), &env()).inspect(|()| say("made"))
        }
        ["hold", folder] => Book::open(Path::new(folder), env()).map(|book| {
            say("open");
            // Until the parent lets go; what it writes does not matter.
            let _ = std::io::stdin().read_to_end(&mut Vec::new());
            drop(book);
        }),
        _ => {
            eprintln!("crashwriter append|add-photos FOLDER SEED, or hold|demo FOLDER");
            return ExitCode::from(2);
        }
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            say(&format!("fault: {fault:?}"));
            ExitCode::FAILURE
        }
    }
}
