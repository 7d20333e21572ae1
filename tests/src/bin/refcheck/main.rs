//! Recomputes every output column of a table of reference values and compares.
//!
//! `refcheck KIND FILE…`: KIND is the file's stem; `refcheck` alone lists the kinds. Prints the
//! largest deviation of each column. Exit status 1 over a stated tolerance, 2 where a file can't be
//! read.
//!
//! A new kind is a file of its own with a `pub const KIND: Kind` and a line in [`KINDS`].

mod bolts;
mod gas_leak_to_water_ingress;
mod leak_unit_conversions;
mod pressure_decay;
mod report;
mod table;
mod viscosity;
mod viscosity_check_values;

use std::path::PathBuf;
use std::process::ExitCode;

use report::Report;
use slackwater_checks::columns::ColumnDeviation;
use slackwater_checks::refcheck_rig::{Check, RIG_KINDS};
use table::Table;

/// A kind of reference table.
pub struct Kind {
    /// The file's stem.
    pub name: &'static str,
    /// What files it takes, in order.
    pub files: &'static [&'static str],
    /// Recomputes; an error says what could not be read.
    pub check: fn(&[Table]) -> Result<Report, String>,
}

/// All kinds, by name.
const KINDS: &[Kind] = &[
    bolts::KIND,
    gas_leak_to_water_ingress::KIND,
    leak_unit_conversions::KIND,
    pressure_decay::KIND,
    viscosity::KIND,
    viscosity_check_values::KIND,
];

fn run(kind: &Kind, paths: &[String]) -> Result<bool, String> {
    if paths.len() != kind.files.len() {
        return Err(format!("{} takes {}", kind.name, kind.files.join(" and ")));
    }
    let mut tables = Vec::new();
    for p in paths {
        let text = std::fs::read_to_string(p).map_err(|e| format!("{p}: {e}"))?;
        tables.push(Table::read(&text).map_err(|e| format!("{p}: {e}"))?);
    }
    let report = (kind.check)(&tables)?;
    Ok(report.print(kind.name))
}

/// The kinds of water, trim and o-rings, which live in the library so that a test runs them too.
fn run_rig(check: Check, paths: &[String]) -> ExitCode {
    let files: Vec<PathBuf> = paths.iter().map(PathBuf::from).collect();
    match check(&files) {
        Ok(columns) => {
            for column in &columns {
                println!("{column}");
            }
            if !columns.is_empty() && columns.iter().all(ColumnDeviation::holds) {
                ExitCode::SUCCESS
            } else {
                ExitCode::FAILURE
            }
        }
        Err(e) => {
            eprintln!("{e}");
            ExitCode::from(2)
        }
    }
}

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let Some((name, paths)) = args.split_first() else {
        for k in KINDS {
            println!("{} {}", k.name, k.files.join(" "));
        }
        for (name, _) in RIG_KINDS {
            println!("{name} FILE…");
        }
        return ExitCode::SUCCESS;
    };
    if let Some((_, check)) = RIG_KINDS.iter().find(|(kind, _)| kind == name) {
        return run_rig(*check, paths);
    }
    let Some(kind) = KINDS.iter().find(|k| k.name == name) else {
        eprintln!("no kind '{name}'; refcheck alone lists them");
        return ExitCode::from(2);
    };
    match run(kind, paths) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::from(2)
        }
    }
}
