//! `cargo xtask faults`: faults put into the Android app on purpose, each of which its tests must
//! find. Unchanged the same tests pass; so a test that can't fail is noticed here.

use crate::Options;
use crate::android::SOURCES;
use crate::android_test::{Bench, tests};
use crate::maven::Failure;
use crate::run::{mirror, put, root};
use crate::test::Outcome;
use anyhow::{Context, Result, ensure};
use fs_err as fs;

/// A fault, and the test that must find it.
struct Fault {
    name: &'static str,
    /// The source of the app from which everything is gone from one text to another; none where the
    /// core's library is not in the package.
    lost: Option<[&'static str; 3]>,
    /// The class of the test, without its package.
    class: &'static str,
    test: &'static str,
    /// What the failing test says: it must not fail for another reason.
    says: &'static str,
}

const FAULTS: [Fault; 3] = [
    Fault {
        name: "no-file-provider",
        lost: Some(["AndroidManifest.xml", "<provider", "</provider>"]),
        class: "DiveDayTest",
        test: "fromDryPartsToReadyTheDiveAndTheCareAfterIt",
        says: "find meta-data for provider with authority",
    },
    Fault {
        name: "state-not-saved",
        lost: Some([
            "kotlin/org/slackwater/app/MainActivity.kt",
            "app.state?.let { outState.write(",
            ") }",
        ]),
        class: "RecreateTest",
        test: "aHoldInProgressGoesOnInANewProcess",
        says: "expected:<",
    },
    Fault {
        name: "no-core-library",
        lost: None,
        class: "ActivityTest",
        test: "theBackGestureLeavesOnePlaceAndAtLastTheApp",
        says: "Unable to load library",
    },
];

/// Runs the tests unchanged and under each fault; a fault that is found counts as passed.
pub fn run(o: &Options) -> Result<Outcome> {
    let bench = Bench::build(o)?;
    let app = &bench.android;
    let sdk = app.said.of("targetSdk")?;
    let (classes, written) = tests(&FAULTS.map(|f| f.class))?;
    let (unchanged, _) = bench.run(app, sdk, &classes, &bench.library)?;
    let wrong = unchanged.of_written(written, "").wrong;
    let wrong = (!wrong.is_empty()).then(|| wrong.join("; "));
    let mut sum = judge("unchanged", wrong);
    for fault in &FAULTS {
        println!("faults: {}", fault.name);
        let dir = app.dir.join("faults").join(fault.name);
        fs::create_dir_all(&dir)?;
        let (classes, _) = tests(&[fault.class])?;
        let (_, failures) = match fault.lost {
            None => bench.run(app, sdk, &classes, &dir)?,
            Some(lost) => {
                let sources = dir.join("sources");
                mirror(&root().join(SOURCES), &sources)?;
                put(&sources.join(lost[0]), with_fault(lost)?.as_bytes())?;
                let app = app.variant(sources, dir)?;
                bench.run(&app, sdk, &classes, &bench.library)?
            }
        };
        sum = sum.and(judge(fault.name, missed(fault, &failures)));
    }
    Ok(sum)
}

fn judge(name: &str, wrong: Option<String>) -> Outcome {
    let verdict = wrong.as_deref().unwrap_or("as it should be");
    println!("faults: {name}: {verdict}");
    let wrong = wrong.map(|why| format!("{name}: {why}"));
    Outcome::of(1, wrong.iter().len()).with(wrong)
}

/// Why a fault does not count as found.
fn missed(fault: &Fault, failures: &[Failure]) -> Option<String> {
    let (test, says) = (fault.test, fault.says);
    match failures.iter().find(|failure| failure.0 == test) {
        None => Some(format!("{test} did not fail")),
        Some(found) if found.1.contains(says) => None,
        Some(_) => Some(format!("{test} failed, but not by {says:?}")),
    }
}

/// A source of the app with what a fault takes out of it.
fn with_fault([file, from, to]: [&str; 3]) -> Result<String> {
    let text = fs::read_to_string(root().join(SOURCES).join(file));
    without(&text?, from, to).with_context(|| format!("no such fault can be put into {file}"))
}

/// A text without what stands from `from`, which is there once, to the next `to`, both included.
fn without(text: &str, from: &str, to: &str) -> Result<String> {
    let times = text.matches(from).count();
    ensure!(times == 1, "{from:?} is there {times} times and not once");
    let (before, rest) = text.split_once(from).unwrap_or_default();
    let after = rest.split_once(to).map(|(_, after)| after);
    let after = after.with_context(|| format!("{to:?} does not follow {from:?}"))?;
    Ok(format!("{before}{after}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::android::test_sources;
    use crate::run::files_under;

    #[test]
    fn a_fault_that_no_longer_fits_is_named() {
        assert_eq!(without("a<p x>b</p>c", "<p", "</p>").unwrap(), "ac");
        let twice = without("<p></p><p></p>", "<p", "</p>").unwrap_err();
        assert!(twice.to_string().contains("2 times"));
        assert!(without("abc", "<p", "</p>").is_err());
        assert!(without("<p>", "<p", "</p>").is_err());
    }

    #[test]
    fn every_fault_fits_the_sources_and_its_test_is_written() {
        let sources = test_sources();
        let written: Vec<_> = sources.iter().flat_map(|s| files_under(s)).collect();
        for fault in &FAULTS {
            tests(&[fault.class]).unwrap();
            let mut all = written.iter();
            let source = all.find(|f| f.file_stem().is_some_and(|s| s == fault.class));
            let text = fs::read_to_string(source.unwrap()).unwrap();
            let test = format!("fun {}()", fault.test);
            assert!(text.contains(&test), "{test}");
            if let Some(lost) = fault.lost {
                with_fault(lost).unwrap();
            }
        }
    }

    #[test]
    fn only_the_named_test_failing_for_its_reason_counts() {
        let fault = &FAULTS[1];
        let missed =
            |test: &str, says: &str| super::missed(fault, &[(test.to_string(), says.to_string())]);
        assert_eq!(missed(fault.test, fault.says), None);
        assert!(missed("another", fault.says).is_some());
        assert!(missed(fault.test, "out of memory").is_some());
        assert!(super::missed(fault, &[]).is_some());
    }
}
