//! Running Maven, and reading what its tests reported.

use crate::Options;
use crate::run::{Heard, files_under, hear, which};
use anyhow::{Context, Result, bail};
use std::path::Path;
use std::process::Command;

/// What the artifact that holds Skia for this machine is called at its end.
///
/// # Errors
/// A system for which there is none.
pub fn skiko_runtime() -> Result<&'static str> {
    Ok(match crate::bindings::jna_platform()? {
        "linux-x86-64" => "linux-x64",
        "linux-aarch64" => "linux-arm64",
        "darwin-x86-64" => "macos-x64",
        "darwin-aarch64" => "macos-arm64",
        _ => "windows-x64",
    })
}

/// A Maven that prints only what goes wrong, for one `pom.xml`.
///
/// # Errors
/// Maven or a JDK is missing; the message says how to get it.
pub fn maven(o: &Options, pom: &Path) -> Result<Command> {
    crate::doctor::need_java()?;
    let Some(program) = which("mvn") else {
        bail!("Maven is missing: {}", crate::doctor::how_to_get("maven"));
    };
    let mut c = Command::new(program);
    c.args(["-B", "-q", "-ntp", "-Dstyle.color=never", "-f"])
        .arg(pom);
    c.arg(format!("-Dskiko.runtime={}", skiko_runtime()?));
    // Compiles what changed and what hangs on it, and drops classes whose source is gone.
    c.arg("-Dkotlin.compiler.incremental=true");
    // The compiler's daemon would stay behind with its 1.4 GB.
    c.arg("-Dkotlin.compiler.daemon=false");
    if o.offline {
        c.arg("-o");
    }
    Ok(c)
}

/// Runs Maven and, if a download was cut short, once more: what came is kept.
///
/// # Errors
/// It cannot be started.
pub fn hear_maven(make: impl Fn() -> Result<Command>) -> Result<Heard> {
    let first = hear(&mut make()?)?;
    if first.ok || !download_failed(&first.text) {
        return Ok(first);
    }
    println!("a download failed; trying once more");
    hear(&mut make()?)
}

fn download_failed(text: &str) -> bool {
    text.contains("Could not transfer artifact") || text.contains("Connection reset")
}

/// Tests counted, and those not run by name.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Count {
    /// Tests that passed.
    pub passed: usize,
    /// Tests that failed or broke.
    pub failed: usize,
    /// Tests that were not run, by name and reason.
    pub skipped: Vec<String>,
}

/// Removes earlier reports, so that none is counted that this run did not write.
///
/// # Errors
/// A report cannot be removed.
pub fn forget_reports(module: &Path) -> Result<()> {
    let dir = module.join("target/surefire-reports");
    if dir.exists() {
        std::fs::remove_dir_all(&dir).with_context(|| format!("clearing {}", dir.display()))?;
    }
    Ok(())
}

/// Adds up the reports that Surefire wrote in a module.
///
/// # Errors
/// A report cannot be read, or is not one.
pub fn read_reports(module: &Path) -> Result<Count> {
    let mut count = Count::default();
    for file in files_under(&module.join("target/surefire-reports")) {
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        if !(name.starts_with("TEST-") && name.ends_with(".xml")) {
            continue;
        }
        let text = std::fs::read_to_string(&file)?;
        add_report(&text, &mut count).with_context(|| format!("reading {}", file.display()))?;
    }
    Ok(count)
}

/// Surefire's own form is regular enough to be read by its tags.
fn add_report(text: &str, count: &mut Count) -> Result<()> {
    let suite = text
        .split("<testsuite ")
        .nth(1)
        .and_then(|s| s.split('>').next())
        .context("no <testsuite>")?;
    let number = |key: &str| -> Result<usize> {
        attribute(suite, key)
            .with_context(|| format!("no {key}= in <testsuite>"))?
            .parse()
            .with_context(|| format!("{key}= is no number"))
    };
    let (tests, failed, skipped) = (
        number("tests")?,
        number("failures")? + number("errors")?,
        number("skipped")?,
    );
    count.passed += tests.saturating_sub(failed + skipped);
    count.failed += failed;
    let mut named = 0;
    for case in text.split("<testcase ").skip(1) {
        let body = case.split("</testcase>").next().unwrap_or(case);
        if body.contains("<skipped") {
            count
                .skipped
                .push(attribute(case, "name").unwrap_or("?").to_string());
            named += 1;
        }
    }
    count
        .skipped
        .extend((named..skipped).map(|_| "a test that its report does not name".to_string()));
    Ok(())
}

fn attribute<'a>(tag: &'a str, key: &str) -> Option<&'a str> {
    tag.split(&format!(" {key}=\""))
        .nth(1)
        .or_else(|| tag.strip_prefix(&format!("{key}=\"")))
        .and_then(|v| v.split('"').next())
}

/// How many tests a source has.
pub fn tests_in(text: &str) -> usize {
    text.lines()
        .filter(|l| {
            l.trim_start()
                .strip_prefix("@Test")
                .is_some_and(|r| !r.starts_with(char::is_alphabetic))
        })
        .count()
}

/// How many tests are written in a module.
///
/// # Errors
/// A source can't be read.
pub fn tests_written(module: &Path) -> Result<usize> {
    let mut count = 0;
    for file in files_under(&module.join("src/test")) {
        if file.extension().is_some_and(|e| e == "kt") {
            count += tests_in(&std::fs::read_to_string(&file)?);
        }
    }
    Ok(count)
}

/// What is wrong where another number of tests was run than is written down: classes of sources
/// that were changed since may lie about, and what they leave out looks like success.
pub fn not_all_run(count: &Count, written: usize) -> Option<String> {
    let ran = count.passed + count.failed + count.skipped.len();
    (ran != written).then(|| {
        format!(
            "{ran} of {written} tests were run; remove the module's target/classes, \
             target/test-classes and target/kotlin-ic"
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_is_counted_and_skipped_tests_are_named() {
        let text = r#"<?xml version="1.0"?>
<testsuite xmlns:xsi="x" name="A" time="1" tests="5" errors="1" skipped="1" failures="1">
  <testcase name="one" classname="A" time="0.1"/>
  <testcase name="two" classname="A" time="0.1"><skipped message="no display"/></testcase>
</testsuite>"#;
        let mut c = Count::default();
        add_report(text, &mut c).unwrap();
        assert_eq!(
            c,
            Count {
                passed: 2,
                failed: 2,
                skipped: vec!["two".into()]
            }
        );
        assert!(add_report("<html/>", &mut c).is_err());
    }

    #[test]
    fn only_a_cut_download_is_tried_again() {
        assert!(download_failed(
            "[ERROR] Could not transfer artifact a:b:jar:1"
        ));
        assert!(!download_failed("There are test failures."));
    }

    #[test]
    fn tests_are_counted_by_their_mark() {
        let text = "@get:Rule val r = x\n    @Test fun a() {}\n@Test\n fun b() {}\n@TestOnly x\n// @Test\n";
        assert_eq!(tests_in(text), 2);
    }

    #[test]
    fn fewer_tests_than_are_written_are_no_success() {
        let count = Count {
            passed: 45,
            failed: 1,
            skipped: vec!["one".into()],
        };
        assert_eq!(not_all_run(&count, 47), None);
        assert!(not_all_run(&count, 70).unwrap().contains("47 of 70"));
    }
}
