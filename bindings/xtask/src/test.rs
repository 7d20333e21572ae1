//! `cargo xtask test`: everything that can be checked on this machine, part by part.

use crate::doctor::{need, need_python};
use crate::maven::{maven, read_reports, tests_written};
use crate::run::{clear, cmd, files_with, hear, root, target};
use crate::{Options, android_test, apk, app, bindings, faults, kotlin_style, targets};
use anyhow::Result;
use std::time::Instant;
use xshell::Cmd;

/// How a part came out.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// Tests that passed.
    pub passed: usize,
    /// Tests that failed or broke.
    pub failed: usize,
    /// Tests that were not run, by name and reason.
    pub skipped: Vec<String>,
    /// What is wrong, in a few words each.
    pub wrong: Vec<String>,
    /// What is not here, where the whole part is left out for want of it.
    pub lacking: Option<String>,
}

impl Outcome {
    /// So many tests, of which some failed.
    pub fn of(all: usize, failed: usize) -> Self {
        let mut outcome = Self::default();
        (outcome.passed, outcome.failed) = (all.saturating_sub(failed), failed);
        outcome
    }

    /// The same, with something wrong.
    pub fn with(mut self, wrong: impl IntoIterator<Item = String>) -> Self {
        self.wrong.extend(wrong);
        self
    }

    /// Both as one.
    pub fn and(mut self, other: Self) -> Self {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped.extend(other.skipped);
        self.with(other.wrong)
    }

    /// How many tests came to a result or said why they did not.
    pub fn ran(&self) -> usize {
        self.passed + self.failed + self.skipped.len()
    }

    /// The same, wrong where some failed, or where another number was run than is written down: what
    /// is left out looks like success.
    pub fn of_written(self, written: usize, remedy: &str) -> Self {
        let (ran, failed) = (self.ran(), self.failed);
        let few = (ran != written).then(|| format!("{ran} of {written} tests were run{remedy}"));
        let bad = (failed > 0).then(|| format!("{failed} failed"));
        self.with(few).with(bad)
    }

    fn bad(why: String) -> Self {
        Self::of(1, 1).with([why])
    }

    fn left_out(why: String) -> Self {
        println!("SKIPPED: {why}");
        Self {
            lacking: Some(why),
            ..Self::default()
        }
    }

    /// A part that passed without running anything has proved nothing, and one that is wrong though
    /// each of its tests passed has failed.
    fn judged(mut self) -> Self {
        let silent = self.wrong.is_empty() && self.lacking.is_none();
        if silent && self.failed > 0 {
            self.wrong.push(format!("{} failed", self.failed));
        } else if silent && self.passed == 0 {
            self.wrong.push("it ran no test".into());
        }
        if !self.wrong.is_empty() {
            self.failed = self.failed.max(1);
        }
        self
    }
}

/// Something that is tested by itself: its name, the tools without which it is left out, whether it
/// tests what is generated, and how.
type Part = (&'static str, &'static [&'static str], bool, Test);
type Test = fn(&Options) -> Result<Outcome>;

/// The parts in the order in which they run: what fails soonest comes first.
const PARTS: [Part; 14] = [
    ("fmt", &[], false, fmt),
    ("clippy", &[], false, clippy),
    ("kotlin-style", &[], false, kotlin_style::test),
    ("licences", &["cargo-deny"], false, licences),
    ("rust", &[], false, rust),
    ("targets", &["rust-src"], false, targets::check),
    ("python", &[], true, python_smoke),
    ("kotlin", &[], true, kotlin),
    ("shell", &[], true, shell),
    ("app", &[], false, app_draws),
    ("android", &["aapt2"], true, android_test::run),
    ("faults", &["aapt2"], true, faults::run),
    ("apk", &["aapt2", "zipalign", "apksigner"], true, packages),
    ("swift", &["swift"], true, swift),
];

/// What the parts are called.
pub fn names() -> impl Iterator<Item = &'static str> {
    PARTS.iter().map(|part| part.0).chain(["core"])
}

/// Runs the parts named (all, if none is) and tells how each came out; true if none failed. What
/// goes wrong inside a part fails that part alone.
pub fn run(o: &Options, parts: &[String]) -> Result<bool> {
    let (mut outcomes, mut built) = (Vec::new(), None);
    for (part, tools, bound, test) in PARTS {
        let is_named = |n: &String| n == part || (n == "core" && part == "rust");
        if !parts.is_empty() && !parts.iter().any(is_named) {
            continue;
        }
        println!("\n=== {part}");
        let start = Instant::now();
        // Where changes are judged a missing tool fails; only Swift can be had nowhere.
        let may_lack = part == "swift" || std::env::var_os("CI").is_none();
        let lacking = tools.iter().filter_map(|t| need(t).err());
        let lacking: Vec<_> = lacking.map(|why| why.to_string()).collect();
        if bound && built.is_none() {
            built = Some(bindings::build(o));
        }
        let unbound = built.as_ref().and_then(|b| b.as_ref().err());
        let outcome = if !lacking.is_empty() {
            match may_lack {
                true => Outcome::left_out(lacking.join("; ")),
                false => Outcome::bad(lacking.join("; ")),
            }
        } else if let (true, Some(why)) = (bound, unbound) {
            Outcome::bad(format!("no bindings: {why:#}"))
        } else {
            test(o).unwrap_or_else(|e| Outcome::bad(format!("{e:#}")))
        };
        outcomes.push((part, outcome.judged(), start.elapsed().as_secs_f64()));
    }
    Ok(tell(&outcomes))
}

/// Prints a line for each part and the totals; true if none failed.
fn tell(outcomes: &[(&str, Outcome, f64)]) -> bool {
    let mut sum = Outcome::default();
    println!();
    for (part, x, took) in outcomes {
        let (word, note) = match &x.lacking {
            Some(why) => ("SKIPPED", format!(": {why}")),
            None if x.wrong.is_empty() => ("passed", String::new()),
            None => ("FAILED", format!(": {}", x.wrong.join("; "))),
        };
        let (passed, failed, skipped) = (x.passed, x.failed, x.skipped.len());
        print!("{part:12} {word:8} {passed:4} passed {failed:3} failed {skipped:3} skipped  ");
        println!("{took:6.1} s{note}");
        for name in &x.skipped {
            println!("               skipped: {name}");
        }
        sum = sum.and(x.clone());
        sum.skipped.extend(x.lacking.clone());
    }
    let (passed, failed, skipped) = (sum.passed, sum.failed, sum.skipped.len());
    println!("{passed} passed, {failed} failed, {skipped} skipped");
    sum.wrong.is_empty()
}

/// A check that is one command, counted as one test; what is wrong where it fails.
pub fn check(cmd: Cmd<'_>, wrong: &str) -> Result<Outcome> {
    Ok(match hear(cmd)?.ok {
        true => Outcome::of(1, 0),
        false => Outcome::bad(wrong.into()),
    })
}

fn fmt(_: &Options) -> Result<Outcome> {
    let look = cmd!("cargo fmt --all --check");
    check(look, "Rust is not laid out (run `cargo xtask fmt`)")
}

fn clippy(o: &Options) -> Result<Outcome> {
    let what = ["--all-targets", "--features", "xtask/bindgen"];
    let clippy = cmd!("cargo clippy --quiet --workspace {what...}");
    let clippy = clippy.args(o.offline()).args(["--", "-D", "warnings"]);
    check(clippy, "clippy has warnings, which are above")
}

/// Whether the licences and origins of all that is built here are allowed.
fn licences(o: &Options) -> Result<Outcome> {
    let deny = cmd!("cargo deny").args(o.offline());
    let look = deny.args(["check", "licenses", "bans", "sources"]);
    check(look, "something is not allowed by .cargo/deny.toml")
}

fn rust(o: &Options) -> Result<Outcome> {
    let test = cmd!("cargo test --workspace --no-fail-fast");
    let heard = hear(test.args(o.offline()))?;
    let count = count_cargo(&heard.text);
    Ok(match heard.ok || count.failed > 0 {
        true => count,
        false => count.with(["it does not build, or a test program died".into()]),
    })
}

/// Adds up what libtest prints. A test that finds it can't run says so itself (`SKIPPED: NAME: WHY`);
/// libtest calls it passed.
fn count_cargo(text: &str) -> Outcome {
    let (mut count, mut itself) = (Outcome::default(), 0);
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("test result: ") {
            count.passed += number_before(rest, " passed");
            count.failed += number_before(rest, " failed");
        } else if let Some(why) = line.strip_prefix("SKIPPED: ") {
            count.skipped.push(why.to_owned());
            itself += 1;
        } else if let Some(test) = line.strip_prefix("test ")
            && let Some((name, how)) = test.split_once(" ... ignored")
        {
            count.skipped.push(format!("{name}{how}"));
        }
    }
    count.passed = count.passed.saturating_sub(itself);
    count
}

/// The number that stands right before a word; 0 where there is none.
fn number_before(text: &str, word: &str) -> usize {
    let before = text.split_once(word).map_or("", |(before, _)| before);
    let digits = before.rsplit(|c: char| !c.is_ascii_digit()).next();
    digits.and_then(|d| d.parse().ok()).unwrap_or(0)
}

fn python_smoke(_: &Options) -> Result<Outcome> {
    let (python, package) = (need_python()?, "bindings/python");
    let smoke = cmd!("{python} -m unittest discover -v -s {package}/tests -t {package}");
    let smoke = smoke.env("PYTHONDONTWRITEBYTECODE", "1");
    let heard = hear(smoke.env("PYTHONPATH", root().join(package)))?;
    let why = || "its tests do not run, or failed".to_string();
    Ok(count_unittest(&heard.text).with((!heard.ok).then(why)))
}

/// Adds up what Python's unittest prints with -v.
fn count_unittest(text: &str) -> Outcome {
    let (mut count, mut ran) = (Outcome::default(), 0);
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("Ran ") {
            ran += number_before(rest, " test");
        } else if line.starts_with("FAIL: ") || line.starts_with("ERROR: ") {
            count.failed += 1;
        } else if let Some((name, why)) = line.split_once(" ... skipped ") {
            count.skipped.push(format!("{name}: {why}"));
        }
    }
    count.passed = ran.saturating_sub(count.failed + count.skipped.len());
    count
}

fn kotlin(o: &Options) -> Result<Outcome> {
    jvm(o, "bindings/kotlin", &["-pl", ":slackwater-kotlin", "test"])
}

fn shell(o: &Options) -> Result<Outcome> {
    // Its build holds the binding, whose tests are a part of their own.
    let mut words = vec!["-pl", ":slackwater-desktop", "-am", "test"];
    words.push("-Dbinding.skipTests=true");
    jvm(o, "android-shell/desktop", &words)
}

/// The tests of one module of the build for computers.
fn jvm(o: &Options, module: &str, words: &[&str]) -> Result<Outcome> {
    let module = root().join(module);
    let reports = module.join("target/surefire-reports");
    // None is counted that this run did not write.
    clear(&reports)?;
    let heard = maven(o, "android-shell/pom.xml", words)?;
    let (count, _) = read_reports(&reports)?;
    if !heard.ok && count.failed == 0 {
        let why = "it does not build, or did not end; Maven's words are above";
        return Ok(count.with([why.into()]));
    }
    // Classes of sources that were changed since may lie about.
    let remedy = "; remove the module's target/classes, target/test-classes and target/kotlin-ic";
    Ok(count.of_written(tests_written(&module)?, remedy))
}

/// The README's first command, without a display: a few screens of the demo in each light and font
/// scale. The tests of the screens bring their own main; this is the one that a person starts.
fn app_draws(o: &Options) -> Result<Outcome> {
    const SCREENS: [&str; 3] = ["rigs", "hold-overnight", "recheck"];
    const LIGHTS_TIMES_SCALES: usize = 9;
    let dir = target()?.join("app-shots");
    clear(&dir)?;
    let mut o = o.clone();
    o.only = Some(format!("^({})$", SCREENS.join("|")));
    app::draw(&o, &dir)?;
    let mut pictures = files_with(&dir, "png");
    pictures.retain(|f| f.metadata().is_ok_and(|m| m.len() > 10_000));
    let wanted = SCREENS.len() * LIGHTS_TIMES_SCALES;
    Ok(Outcome::of(wanted, wanted.saturating_sub(pictures.len())))
}

/// Both forms of the package: as it is tried, and as it goes out.
fn packages(o: &Options) -> Result<Outcome> {
    let mut o = o.clone();
    for profile in ["dev", "release"] {
        o.profile = profile.into();
        apk::build(&o)?;
    }
    Ok(Outcome::of(2, 0))
}

fn swift(_: &Options) -> Result<Outcome> {
    let build = cmd!("swift build --package-path ios-shell");
    check(build, "the package ios-shell does not build")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cargo_output_is_counted_over_all_programs() {
        let text = "\
test a::b ... ok
test a::slow ... ignored, takes an hour
SKIPPED: a::b: no small disk
test result: ok. 1 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.00s
test c ... FAILED
test result: FAILED. 41 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 1s
";
        let c = count_cargo(text);
        assert_eq!((c.passed, c.failed), (41, 2));
        assert_eq!(c.skipped, ["a::slow, takes an hour", "a::b: no small disk"]);
        assert_eq!(count_cargo("error: could not compile"), Outcome::default());
    }

    #[test]
    fn unittest_output_is_counted() {
        let text = "\
test_a (tests.test_x.X.test_a) ... ok
test_b (tests.test_x.X.test_b) ... skipped 'no tmpfs'
FAIL: test_c (tests.test_x.X.test_c)
ERROR: test_d (tests.test_x.X.test_d)
Ran 12 tests in 0.103s

FAILED (failures=1, errors=1, skipped=1)
";
        let c = count_unittest(text);
        assert_eq!((c.passed, c.failed, c.skipped.len()), (9, 2, 1));
        let none = count_unittest("Ran 0 tests in 0.0s\n\nOK");
        assert_eq!(none, Outcome::default());
    }

    #[test]
    fn what_ran_nothing_or_too_little_or_is_wrong_has_failed() {
        let fails = |o: Outcome| !tell(&[("x", o.judged(), 0.0)]);
        assert!(fails(Outcome::default()));
        assert!(fails(Outcome::of(4, 1)));
        let wrong = Outcome::of(4, 0).with(["why".into()]);
        assert_eq!(wrong.clone().judged().failed, 1);
        assert!(fails(wrong));
        assert!(!fails(Outcome::of(4, 0)));
        assert!(!fails(Outcome::left_out("no tool".into())));
        assert!(!fails(Outcome::of(46, 0).of_written(46, "")));
        assert!(fails(Outcome::of(46, 1).of_written(46, "")));
        let few = Outcome::of(46, 0).of_written(70, "!");
        assert!(few.wrong[0].contains("46 of 70 tests were run!"));
    }
}
