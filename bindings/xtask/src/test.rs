//! `cargo xtask test`: everything that can be checked on this machine, part by part.

use crate::Options;
use crate::doctor::{how_to_get, python};
use crate::maven::{
    Count, forget_reports, hear_maven, maven, not_all_run, read_reports, tests_written,
};
use crate::run::{cargo, files_under, hear, is_built, root, shown, which};
use crate::{android_test, apk, bindings, faults, kotlin_style, targets, versions};
use anyhow::{Result, bail};
use std::process::Command;
use std::time::{Duration, Instant};

/// The parts in the order in which they run: what fails soonest comes first.
const PARTS: [&str; 14] = [
    "fmt",
    "clippy",
    "versions",
    "kotlin-style",
    "rust",
    "targets",
    "python",
    "kotlin",
    "shell",
    "app",
    "android",
    "faults",
    "apk",
    "swift",
];

/// How a part came out.
#[derive(Debug, Clone, PartialEq, Eq)]
enum State {
    Passed,
    /// With what is wrong.
    Failed(String),
    /// With what it lacks.
    Skipped(String),
}

struct Outcome {
    part: &'static str,
    state: State,
    count: Count,
    took: Duration,
}

/// Runs the parts named (all, if none is) and tells how each came out; true if none failed.
///
/// # Errors
/// A part that does not exist. What goes wrong inside a part fails that part alone.
pub fn run(o: &Options) -> Result<bool> {
    let chosen = chosen(&o.names)?;
    let mut outcomes: Vec<Outcome> = Vec::new();
    let needs_bindings = [
        "python", "kotlin", "shell", "android", "faults", "apk", "swift",
    ];
    let mut built: Option<std::result::Result<(), String>> = None;
    for part in PARTS.into_iter().filter(|p| chosen.contains(p)) {
        if outcomes.iter().any(|x| x.part == part) {
            continue; // came out together with an earlier one
        }
        println!("\n=== {part}");
        let start = Instant::now();
        if needs_bindings.contains(&part) {
            let b = built.get_or_insert_with(|| {
                bindings::build(o)
                    .map(|_| ())
                    .map_err(|e| format!("no bindings: {e:#}"))
            });
            if let Err(e) = b {
                outcomes.push(broken(part, e.clone(), start));
                continue;
            }
        }
        let results = match part {
            "fmt" => fmt().map(one(part)),
            "clippy" => clippy(o).map(one(part)),
            "versions" => versions_agree().map(one(part)),
            "kotlin-style" => kotlin_style(o).map(one(part)),
            "rust" => rust(o).map(one(part)),
            "targets" => for_phones(o).map(one(part)),
            "python" => python_smoke().map(one(part)),
            "kotlin" | "shell" => jvm(o, part, chosen.contains(&"shell")),
            "app" => app_draws(o).map(one(part)),
            "android" => android(o).map(one(part)),
            "faults" => faults_found(o).map(one(part)),
            "apk" => packages(o).map(one(part)),
            _ => swift().map(one(part)),
        };
        match results {
            Ok(list) => outcomes.extend(list.into_iter().map(|(part, (state, count))| Outcome {
                part,
                state: nothing_is_not_success(state, &count),
                count,
                took: start.elapsed(),
            })),
            Err(e) => outcomes.push(broken(part, format!("{e:#}"), start)),
        }
    }
    Ok(tell(&outcomes))
}

type Result1 = (State, Count);

fn one(part: &'static str) -> impl FnOnce(Result1) -> Vec<(&'static str, Result1)> {
    move |r| vec![(part, r)]
}

fn broken(part: &'static str, why: String, start: Instant) -> Outcome {
    Outcome {
        part,
        state: State::Failed(why),
        count: Count {
            failed: 1,
            ..Count::default()
        },
        took: start.elapsed(),
    }
}

fn chosen(names: &[String]) -> Result<Vec<&'static str>> {
    if names.is_empty() {
        return Ok(PARTS.to_vec());
    }
    names
        .iter()
        .map(|name| {
            let name = if name == "core" { "rust" } else { name };
            match PARTS.into_iter().find(|p| *p == name) {
                Some(p) => Ok(p),
                None => bail!("there is no part {name}; there are: {}", PARTS.join(" ")),
            }
        })
        .collect()
}

/// A part that passed without running anything has proved nothing.
fn nothing_is_not_success(state: State, count: &Count) -> State {
    match state {
        State::Passed if count.failed > 0 => State::Failed(format!("{} failed", count.failed)),
        State::Passed if count.passed == 0 => State::Failed("it ran no test".into()),
        other => other,
    }
}

/// Prints a line for each part and the totals; true if none failed.
fn tell(outcomes: &[Outcome]) -> bool {
    let (mut passed, mut failed, mut skipped) = (0, 0, 0);
    println!();
    for x in outcomes {
        let (word, note) = match &x.state {
            State::Passed => ("passed", String::new()),
            State::Failed(why) => ("FAILED", format!(": {why}")),
            State::Skipped(why) => ("SKIPPED", format!(": {why}")),
        };
        passed += x.count.passed;
        // A part can fail though each test in it passed: it is counted then.
        failed += match x.state {
            State::Failed(_) => x.count.failed.max(1),
            _ => x.count.failed,
        };
        skipped += match x.state {
            State::Skipped(_) => x.count.skipped.len().max(1),
            _ => x.count.skipped.len(),
        };
        println!(
            "{:12} {word:8} {:4} passed {:3} failed {:3} skipped  {:6.1} s{note}",
            x.part,
            x.count.passed,
            x.count.failed,
            x.count.skipped.len(),
            x.took.as_secs_f64(),
        );
        for name in &x.count.skipped {
            println!("               skipped: {name}");
        }
    }
    println!("{passed} passed, {failed} failed, {skipped} skipped");
    outcomes
        .iter()
        .all(|x| !matches!(x.state, State::Failed(_)))
}

/// A check that is one command, counted as one test.
fn check(command: &mut Command, what_to_do: &str) -> Result<Result1> {
    let heard = hear(command)?;
    Ok(if heard.ok {
        let count = Count {
            passed: 1,
            ..Count::default()
        };
        (State::Passed, count)
    } else {
        let count = Count {
            failed: 1,
            ..Count::default()
        };
        (
            State::Failed(format!("`{}`{what_to_do}", shown(command))),
            count,
        )
    })
}

fn fmt() -> Result<Result1> {
    check(
        cargo().args(["fmt", "--all", "--check"]),
        " (run `cargo xtask fmt`)",
    )
}

fn clippy(o: &Options) -> Result<Result1> {
    let mut c = cargo();
    c.args(["clippy", "--quiet", "--workspace", "--all-targets"]);
    c.args(["--features", "xtask/bindgen"]);
    if o.offline {
        c.arg("--offline");
    }
    check(c.args(["--", "-D", "warnings"]), "")
}

fn versions_agree() -> Result<Result1> {
    if !versions::is_there() {
        bail!("android-shell/gradle/libs.versions.toml is missing");
    }
    let (compared, wrong) = versions::check(false)?;
    for w in &wrong {
        println!("{w}");
    }
    let count = Count {
        passed: compared.saturating_sub(wrong.len()),
        failed: wrong.len(),
        ..Count::default()
    };
    Ok(match wrong.first() {
        None => (State::Passed, count),
        Some(_) => (
            State::Failed("Maven and Gradle differ (`cargo xtask versions`)".into()),
            count,
        ),
    })
}

fn kotlin_style(o: &Options) -> Result<Result1> {
    let (wrong, count) = kotlin_style::check(o)?;
    Ok((wrong.map_or(State::Passed, State::Failed), count))
}

fn rust(o: &Options) -> Result<Result1> {
    let mut c = cargo();
    c.args(["test", "--workspace", "--no-fail-fast"]);
    if o.offline {
        c.arg("--offline");
    }
    let heard = hear(&mut c)?;
    let count = count_cargo(&heard.text);
    Ok(if heard.ok {
        (State::Passed, count)
    } else if count.failed == 0 {
        (
            State::Failed("it does not build, or a test program died".into()),
            count,
        )
    } else {
        (State::Failed(format!("{} failed", count.failed)), count)
    })
}

/// Adds up what libtest prints. A test that finds it can't run says so itself (`SKIPPED: NAME: WHY`);
/// libtest calls it passed.
fn count_cargo(text: &str) -> Count {
    let mut count = Count::default();
    let mut itself = 0;
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("test result: ") {
            count.passed += number_before(rest, " passed");
            count.failed += number_before(rest, " failed");
        } else if let Some(why) = line.strip_prefix("SKIPPED: ") {
            count.skipped.push(why.to_owned());
            itself += 1;
        } else if let Some((name, how)) = line
            .strip_prefix("test ")
            .and_then(|l| l.split_once(" ... ignored"))
        {
            count.skipped.push(format!("{name}{how}"));
        }
    }
    count.passed = count.passed.saturating_sub(itself);
    count
}

/// The number that stands right before a word.
fn number_before(text: &str, word: &str) -> usize {
    text.split(word)
        .next()
        .filter(|before| before.len() < text.len())
        .and_then(|before| before.rsplit(|c: char| !c.is_ascii_digit()).next())
        .and_then(|n| n.parse().ok())
        .unwrap_or(0)
}

fn for_phones(o: &Options) -> Result<Result1> {
    // Where changes are judged it is never left out.
    if let (Err(e), None) = (targets::toolchain(), std::env::var_os("CI")) {
        println!("SKIPPED: {e}");
        return Ok((State::Skipped(e.to_string()), Count::default()));
    }
    let (wrong, count) = targets::check(o)?;
    Ok((wrong.map_or(State::Passed, State::Failed), count))
}

fn python_smoke() -> Result<Result1> {
    let Some(python) = python() else {
        bail!("Python is missing: {}", how_to_get("python3"));
    };
    let package = root().join("bindings/python");
    let mut c = Command::new(python);
    c.args(["-m", "unittest", "discover", "-v", "-s", "tests", "-t", "."]);
    c.current_dir(&package)
        .env("PYTHONPATH", &package)
        .env("PYTHONDONTWRITEBYTECODE", "1");
    let heard = hear(&mut c)?;
    let count = count_unittest(&heard.text);
    Ok(if heard.ok {
        (State::Passed, count)
    } else {
        (
            State::Failed(format!("`{}` in bindings/python", shown(&c))),
            count,
        )
    })
}

/// Adds up what Python's unittest prints with -v.
fn count_unittest(text: &str) -> Count {
    let mut count = Count::default();
    let mut ran = 0;
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("Ran ") {
            ran += number_before(rest, " test");
        } else if line.starts_with("FAILED (") {
            let after = |key: &str| {
                line.split(key).nth(1).map_or(0, |r| {
                    r.split(|c: char| !c.is_ascii_digit())
                        .next()
                        .and_then(|n| n.parse().ok())
                        .unwrap_or(0)
                })
            };
            count.failed += after("failures=") + after("errors=");
        }
        if let Some((name, why)) = line.split_once(" ... skipped ") {
            count.skipped.push(format!("{name}: {why}"));
        }
    }
    count.passed = usize::saturating_sub(ran, count.failed + count.skipped.len());
    count
}

/// Whether the tests of the Android app find what is put wrong on purpose.
fn faults_found(o: &Options) -> Result<Result1> {
    if let Some(skipped) = lacking(&["aapt2", "unzip"]) {
        return Ok(skipped);
    }
    let (wrong, count) = faults::run(o)?;
    Ok((wrong.map_or(State::Passed, State::Failed), count))
}

/// The README's first command, without a display: a few screens of the demo in each light and font
/// scale. The tests of the screens bring their own main; this is the one that a person starts.
fn app_draws(o: &Options) -> Result<Result1> {
    const SCREENS: [&str; 3] = ["rigs", "hold-overnight", "recheck"];
    const LIGHTS_TIMES_SCALES: usize = 9;
    let dir = root().join("target/app-shots");
    if dir.exists() {
        std::fs::remove_dir_all(&dir)?;
    }
    let o = Options {
        shots: Some(dir.display().to_string()),
        only: Some(format!("^({})$", SCREENS.join("|"))),
        ..o.clone()
    };
    crate::app::open(&o)?;
    let drawn = files_under(&dir)
        .iter()
        .filter(|f| f.extension().is_some_and(|e| e == "png"))
        .filter(|f| std::fs::metadata(f).is_ok_and(|m| m.len() > 10_000))
        .count();
    let wanted = SCREENS.len() * LIGHTS_TIMES_SCALES;
    let count = Count {
        passed: drawn.min(wanted),
        failed: wanted.saturating_sub(drawn),
        ..Count::default()
    };
    Ok((State::Passed, count))
}

/// The Kotlin binding and the screens, in one Maven run where both are wanted and the shell's
/// build holds the binding.
fn jvm(o: &Options, part: &'static str, with_shell: bool) -> Result<Vec<(&'static str, Result1)>> {
    let kotlin = root().join("bindings/kotlin");
    let shell = root().join("android-shell");
    let joint = std::fs::read_to_string(shell.join("pom.xml"))
        .is_ok_and(|pom| pom.contains("<module>../bindings/kotlin</module>"));
    let with_shell = part == "shell" || (with_shell && joint);
    let pom = if with_shell {
        shell.join("pom.xml")
    } else {
        kotlin.join("pom.xml")
    };
    if !pom.is_file() {
        bail!(
            "{} is missing",
            pom.strip_prefix(root()).unwrap_or(&pom).display()
        );
    }
    forget_reports(&kotlin)?;
    let modules: Vec<_> = files_under(&shell)
        .into_iter()
        .filter(|f| f.file_name().is_some_and(|n| n == "pom.xml"))
        .filter(|f| !is_built(f))
        .filter_map(|f| f.parent().map(std::path::Path::to_path_buf))
        .collect();
    for m in &modules {
        forget_reports(m)?;
    }
    let heard = hear_maven(|| {
        let mut c = maven(o, &pom)?;
        c.args(["--fail-at-end", "test"]);
        Ok(c)
    })?;
    let mut results = Vec::new();
    if part == "kotlin" {
        results.push(("kotlin", read_reports(&kotlin)?, tests_written(&kotlin)?));
    }
    if with_shell {
        let (mut sum, mut written) = (Count::default(), 0);
        for m in &modules {
            let c = read_reports(m)?;
            sum.passed += c.passed;
            sum.failed += c.failed;
            sum.skipped.extend(c.skipped);
            // The app's are run on Android.
            if !m.ends_with("app") {
                written += tests_written(m)?;
            }
        }
        results.push(("shell", sum, written));
    }
    let explained = results
        .iter()
        .any(|(_, c, _)| c.failed > 0 || c.passed == 0);
    let last = results.len().saturating_sub(1);
    Ok(results
        .into_iter()
        .enumerate()
        .map(|(i, (name, c, written))| {
            let state = if !heard.ok && !explained && i == last {
                State::Failed("Maven failed; its words are above".into())
            } else if !heard.ok && c.passed + c.failed == 0 {
                State::Failed("it does not build; Maven's words are above".into())
            } else {
                not_all_run(&c, written).map_or(State::Passed, State::Failed)
            };
            (name, (state, c))
        })
        .collect())
}

/// Why the Android app can't be built here; where changes are judged it is never left out.
fn lacking(tools: &[&str]) -> Option<Result1> {
    let lacking: Vec<_> = tools.iter().filter(|t| which(t).is_none()).collect();
    if lacking.is_empty() || std::env::var_os("CI").is_some() {
        return None;
    }
    let how: Vec<_> = lacking
        .iter()
        .map(|t| format!("no {t} here ({})", how_to_get(t)))
        .collect();
    let why = format!("the Android app is not built: {}", how.join(", "));
    println!("SKIPPED: {why}");
    Some((State::Skipped(why), Count::default()))
}

/// Both forms of the package: as it is tried, and as it goes out.
fn packages(o: &Options) -> Result<Result1> {
    if let Some(skipped) = lacking(&["aapt2", "unzip", "zipalign", "apksigner"]) {
        return Ok(skipped);
    }
    let mut count = Count::default();
    for profile in ["dev", "release"] {
        apk::build(&Options {
            profile: profile.into(),
            ..o.clone()
        })?;
        count.passed += 1;
    }
    Ok((State::Passed, count))
}

fn android(o: &Options) -> Result<Result1> {
    if let Some(skipped) = lacking(&["aapt2", "unzip"]) {
        return Ok(skipped);
    }
    let (wrong, count) = android_test::run(o)?;
    let state = wrong.map_or(State::Passed, State::Failed);
    Ok((state, count))
}

fn swift() -> Result<Result1> {
    if which("swift").is_none() {
        println!(
            "SKIPPED: there is no `swift` on this machine, so the Swift binding is not compiled"
        );
        let why = "no `swift` on this machine: the Swift binding is generated, not compiled";
        return Ok((State::Skipped(why.into()), Count::default()));
    }
    let mut c = Command::new("swift");
    c.arg("build")
        .arg("--package-path")
        .arg(root().join("ios-shell"));
    check(&mut c, "")
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
        assert_eq!(
            count_cargo(text),
            Count {
                passed: 41,
                failed: 2,
                skipped: vec![
                    "a::slow, takes an hour".into(),
                    "a::b: no small disk".into()
                ]
            }
        );
        assert_eq!(count_cargo("error: could not compile"), Count::default());
    }

    #[test]
    fn unittest_output_is_counted() {
        let text = "\
test_a (tests.test_x.X.test_a) ... ok
test_b (tests.test_x.X.test_b) ... skipped 'no tmpfs'
Ran 12 tests in 0.103s

FAILED (failures=1, errors=2, skipped=1)
";
        let c = count_unittest(text);
        assert_eq!((c.passed, c.failed, c.skipped.len()), (8, 3, 1));
        assert_eq!(
            count_unittest("Ran 0 tests in 0.0s\n\nOK"),
            Count::default()
        );
    }

    #[test]
    fn a_part_without_tests_fails() {
        let none = Count::default();
        assert!(matches!(
            nothing_is_not_success(State::Passed, &none),
            State::Failed(_)
        ));
        let failed = Count {
            passed: 3,
            failed: 1,
            ..Count::default()
        };
        assert!(matches!(
            nothing_is_not_success(State::Passed, &failed),
            State::Failed(_)
        ));
        let skipped = State::Skipped("x".into());
        assert_eq!(nothing_is_not_success(skipped.clone(), &none), skipped);
    }

    #[test]
    fn an_unknown_part_is_refused_by_name() {
        assert!(
            chosen(&["pyhton".into()])
                .unwrap_err()
                .to_string()
                .contains("pyhton")
        );
        assert_eq!(chosen(&["core".into()]).unwrap(), ["rust"]);
        assert_eq!(chosen(&[]).unwrap().len(), PARTS.len());
    }
}
