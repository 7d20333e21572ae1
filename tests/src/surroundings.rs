//! What a check needs of where it runs.

use std::io::Write;
use std::path::{Path, PathBuf};

/// Where the reference values lie: in `tests/reference`, or where `SLACKWATER_REFERENCE` says.
#[must_use]
pub fn reference_dir() -> PathBuf {
    std::env::var_os("SLACKWATER_REFERENCE").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("reference"),
        PathBuf::from,
    )
}

/// Says that a test can't run here, and why. Past the test harness, which would keep it to itself;
/// the task runner counts these lines.
pub fn skipped(program: &str, test: &str, why: &str) {
    let line = format!("SKIPPED: {program}::{test}: {why}\n");
    let _ = std::io::stderr().write_all(line.as_bytes());
}
