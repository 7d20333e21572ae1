//! Running Maven, and reading what tests of Java and Kotlin reported.

use crate::Options;
use crate::description::Description;
use crate::doctor::{need, need_java};
use crate::run::{Heard, cmd, files_with, hear, which};
use crate::test::Outcome;
use anyhow::{Context, Result, ensure};
use fs_err as fs;
use roxmltree::{Document, Node};
use std::path::Path;

/// Runs Maven, which prints only what goes wrong, on one `pom.xml`. If a download was cut short, it
/// is run once more: what came is kept.
pub fn maven(o: &Options, pom: &str, words: &[&str]) -> Result<Heard> {
    need_java()?;
    need("maven")?;
    let (mvn, offline) = (which("mvn").unwrap_or_default(), o.offline());
    Description::read()?.tell_maven()?;
    let quiet = ["-B", "-q", "-ntp", "-Dstyle.color=never"];
    let run = || hear(cmd!("{mvn} {quiet...} -f {pom} {offline...} {words...}"));
    let first = run()?;
    if first.ok || !download_failed(&first.text) {
        return Ok(first);
    }
    println!("a download failed; trying once more");
    run()
}

/// Lets Maven fetch what a `pom.xml` copies into folders of `dir`.
pub fn fetch(o: &Options, pom: &str, dir: &Path) -> Result<()> {
    let into = format!("-Dinto={}", dir.display());
    let ok = maven(o, pom, &["initialize", &into])?.ok;
    ensure!(
        ok,
        "what {pom} names can't be fetched; Maven's words are above"
    );
    Ok(())
}

fn download_failed(text: &str) -> bool {
    text.contains("Could not transfer artifact") || text.contains("Connection reset")
}

/// A test that failed: its name, without its class, and what it says.
pub type Failure = (String, String);

/// Adds up the reports that tests left in a folder, in JUnit's form.
pub fn read_reports(dir: &Path) -> Result<(Outcome, Vec<Failure>)> {
    let (mut count, mut failures) = (Outcome::default(), Vec::new());
    for file in files_with(dir, "xml") {
        let text = fs::read_to_string(&file)?;
        let read = read_report(&text, &mut count, &mut failures);
        read.context(file.display().to_string())?;
    }
    Ok((count, failures))
}

fn read_report(text: &str, count: &mut Outcome, failures: &mut Vec<Failure>) -> Result<()> {
    let document = Document::parse(text)?;
    let suite = document.root_element();
    ensure!(suite.has_tag_name("testsuite"), "no <testsuite>");
    let before = count.ran();
    for case in suite.children().filter(|n| n.has_tag_name("testcase")) {
        let test = case.attribute("name").unwrap_or("?").to_string();
        let is_bad = |n: &Node| n.has_tag_name("failure") || n.has_tag_name("error");
        if let Some(bad) = case.children().find(is_bad) {
            let says = [bad.attribute("message"), bad.text()];
            let says = says.map(Option::unwrap_or_default).join("\n");
            failures.push((test, says));
            count.failed += 1;
        } else if let Some(skipped) = case.children().find(|n| n.has_tag_name("skipped")) {
            let why = skipped.attribute("message").or(skipped.text());
            let why = why.and_then(|w| w.lines().next()).unwrap_or_default();
            count.skipped.push(format!("{test}: {why}"));
        } else {
            count.passed += 1;
        }
    }
    // What a suite counts and doesn't name may have failed.
    let (tests, named) = (suite.attribute("tests"), count.ran() - before);
    let tests = tests.and_then(|t| t.parse().ok());
    ensure!(tests == Some(named), "{tests:?} tests, {named} named");
    Ok(())
}

/// How many tests a source has.
pub fn tests_in(text: &str) -> usize {
    let starts = text.lines().map(str::trim_start);
    let marks = starts.filter_map(|l| l.strip_prefix("@Test"));
    let marks = marks.filter(|rest| !rest.starts_with(char::is_alphabetic));
    marks.count()
}

/// How many tests are written in a module.
pub fn tests_written(module: &Path) -> Result<usize> {
    let sources = files_with(&module.join("src/test"), "kt").into_iter();
    let counts = sources.map(|f| Ok(tests_in(&fs::read_to_string(f)?)));
    counts.sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_is_counted_and_what_failed_or_was_skipped_is_named() {
        let text = r#"<?xml version="1.0"?>
<testsuite xmlns:xsi="x" name="A" time="1" tests="4" errors="1" skipped="1" failures="1">
  <properties><property name="testcase" value="&lt;failure"/></properties>
  <testcase name="one" classname="A" time="0.1"/>
  <testcase name="two" classname="A" time="0.1"><skipped message="no display"/></testcase>
  <testcase name="three" classname="A"><failure message="1 &lt; 2">at A</failure></testcase>
  <testcase name="four" classname="A"><error type="E"><![CDATA[E: <why>]]></error></testcase>
</testsuite>"#;
        let (mut c, mut failures) = (Outcome::default(), Vec::new());
        read_report(text, &mut c, &mut failures).unwrap();
        assert_eq!(
            (c.passed, c.failed, c.skipped),
            (1, 2, vec!["two: no display".into()])
        );
        let says = ["1 < 2\nat A", "\nE: <why>"].map(String::from);
        let wanted = ["three", "four"].map(String::from).into_iter().zip(says);
        assert_eq!(failures, wanted.collect::<Vec<_>>());
        for bad in ["<html/>", "<testsuite/>", "<testsuite tests='1'/>", "<x"] {
            let read = read_report(bad, &mut Outcome::default(), &mut failures);
            assert!(read.is_err(), "{bad}");
        }
    }

    #[test]
    fn only_a_cut_download_is_tried_again() {
        let cut = "[ERROR] Could not transfer artifact a:b:jar:1";
        assert!(download_failed(cut) && !download_failed("There are test failures."));
    }

    #[test]
    fn tests_are_counted_by_their_mark() {
        let text = "@get:Rule val r = x\n    @Test fun a() {}\n@Test\n fun b() {}\n\
                    @TestOnly x\n// @Test\n";
        assert_eq!(tests_in(text), 2);
    }
}
