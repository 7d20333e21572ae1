//! `cargo xtask faults`: faults put into the Android app on purpose, each of which its tests must
//! find. Unchanged the same tests pass; so a test that can't fail is noticed here.

use crate::Options;
use crate::android::{Android, JAVA_FOR_TARGET, TARGET_SDK, java_for_target};
use crate::android_test::{Ran, Setting, library, not_all, run_classes, tests};
use crate::bindings;
use crate::maven::Count;
use crate::run::{mirror, put, root};
use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};

/// What is wrong on purpose.
enum Wrong {
    /// Everything from one text to another is gone from a source of the app.
    Lost {
        file: &'static str,
        from: &'static str,
        to: &'static str,
    },
    /// The core's library is not in the package.
    NoLibrary,
}

/// A fault, and the test that must find it.
struct Fault {
    name: &'static str,
    wrong: Wrong,
    /// The class of the test, without its package.
    class: &'static str,
    test: &'static str,
    /// What the failing test says: it must not fail for another reason.
    says: &'static str,
}

const FAULTS: [Fault; 3] = [
    Fault {
        name: "no-file-provider",
        wrong: Wrong::Lost {
            file: "AndroidManifest.xml",
            from: "<provider",
            to: "</provider>",
        },
        class: "DiveDayTest",
        test: "fromDryPartsToReadyTheDiveAndTheCareAfterIt",
        says: "find meta-data for provider with authority",
    },
    Fault {
        name: "state-not-saved",
        wrong: Wrong::Lost {
            file: "kotlin/org/slackwater/app/MainActivity.kt",
            from: "app.state?.let { outState.write(",
            to: ") }",
        },
        class: "RecreateTest",
        test: "aHoldInProgressGoesOnInANewProcess",
        says: "expected:<",
    },
    Fault {
        name: "no-core-library",
        wrong: Wrong::NoLibrary,
        class: "ActivityTest",
        test: "theBackGestureLeavesOnePlaceAndAtLastTheApp",
        says: "Unable to load library",
    },
];

/// Runs the tests unchanged and under each fault; a fault that is found counts as passed.
///
/// # Errors
/// Something is missing or does not build, or a fault no longer fits the sources.
pub fn run(o: &Options) -> Result<(Option<String>, Count)> {
    let target = bindings::build(o)?;
    let android = Android::at(&target)?;
    android.build(o, true)?;
    let java = java_for_target(&android.dir)
        .with_context(|| format!("Android {TARGET_SDK} needs Java {JAVA_FOR_TARGET} or newer"))?;
    let lab = Lab {
        options: o,
        android,
        java,
    };
    let mut count = Count::default();
    let mut wrong = Vec::new();
    let mut judge = |name: &str, verdict: Option<String>| match verdict {
        None => {
            println!("faults: {name}: as it should be");
            count.passed += 1;
        }
        Some(why) => {
            println!("faults: {name}: {why}");
            count.failed += 1;
            wrong.push(format!("{name}: {why}"));
        }
    };
    judge("unchanged", lab.unchanged()?);
    for fault in &FAULTS {
        let ran = lab.under(fault)?;
        judge(fault.name, missed(fault, &ran));
    }
    Ok(((!wrong.is_empty()).then(|| wrong.join("; ")), count))
}

/// Why a fault does not count as found.
fn missed(fault: &Fault, ran: &Ran) -> Option<String> {
    let Some(failure) = ran.failures.iter().find(|f| f.test == fault.test) else {
        return Some(format!("{} did not fail", fault.test));
    };
    (!failure.says.contains(fault.says))
        .then(|| format!("{} failed, but not by {:?}", fault.test, fault.says))
}

struct Lab<'a> {
    options: &'a Options,
    android: Android,
    java: PathBuf,
}

impl Lab<'_> {
    /// What is wrong with the same tests on the app as it is.
    fn unchanged(&self) -> Result<Option<String>> {
        let mut names: Vec<&str> = FAULTS.iter().map(|f| f.class).collect();
        names.sort_unstable();
        names.dedup();
        let (classes, expected) = tests(&names)?;
        let ran = self.run(&self.android, &classes, &library()?)?;
        Ok(not_all(&ran, expected))
    }

    fn under(&self, fault: &Fault) -> Result<Ran> {
        println!("faults: {}", fault.name);
        let (classes, _) = tests(&[fault.class])?;
        let dir = self.android.dir.join("faults").join(fault.name);
        std::fs::create_dir_all(&dir)?;
        let Wrong::Lost { file, from, to } = &fault.wrong else {
            return self.run(&self.android, &classes, &dir);
        };
        let sources = dir.join("sources");
        mirror(&root().join("android-shell/app/src/main"), &sources)?;
        let file = sources.join(file);
        let text = std::fs::read_to_string(&file)
            .with_context(|| format!("reading {}", file.display()))?;
        let changed = without(&text, from, to)
            .with_context(|| format!("{} in {}", fault.name, file.display()))?;
        put(&file, changed.as_bytes())?;
        let variant = self.android.variant(self.options, sources, dir)?;
        self.run(&variant, &classes, &library()?)
    }

    fn run(&self, android: &Android, classes: &[String], library: &Path) -> Result<Ran> {
        let setting = Setting {
            sdk: TARGET_SDK,
            java: &self.java,
            library,
        };
        run_classes(android, &setting, classes)
    }
}

/// A text without what stands from `from` to the next `to`, both included.
///
/// # Errors
/// `from` does not stand in it exactly once, or `to` not after it.
fn without(text: &str, from: &str, to: &str) -> Result<String> {
    let at = match text.match_indices(from).collect::<Vec<_>>().as_slice() {
        [(at, _)] => *at,
        found => bail!("{from:?} is there {} times instead of once", found.len()),
    };
    let end = text[at + from.len()..]
        .find(to)
        .with_context(|| format!("{to:?} does not follow {from:?}"))?;
    let end = at + from.len() + end + to.len();
    Ok(format!("{}{}", &text[..at], &text[end..]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::android_test::Failure;

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
        for fault in &FAULTS {
            tests(&[fault.class]).unwrap();
            let all = crate::android::all_files(&crate::android::test_sources());
            let written = all
                .iter()
                .filter(|f| f.file_stem().is_some_and(|s| s == fault.class))
                .any(|f| {
                    let text = std::fs::read_to_string(f).unwrap();
                    text.contains(&format!("fun {}()", fault.test))
                });
            assert!(written, "{}.{}", fault.class, fault.test);
            if let Wrong::Lost { file, from, to } = fault.wrong {
                let path = root().join("android-shell/app/src/main").join(file);
                without(&std::fs::read_to_string(path).unwrap(), from, to).unwrap();
            }
        }
    }

    #[test]
    fn only_the_named_test_failing_for_its_reason_counts() {
        let fault = &FAULTS[1];
        let ran = |test: &str, says: &str| Ran {
            tests: 1,
            failures: vec![Failure {
                test: test.into(),
                says: says.into(),
            }],
        };
        assert_eq!(missed(fault, &ran(fault.test, fault.says)), None);
        assert!(missed(fault, &ran("another", fault.says)).is_some());
        assert!(missed(fault, &ran(fault.test, "out of memory")).is_some());
        let passed = Ran {
            tests: 1,
            failures: Vec::new(),
        };
        assert!(missed(fault, &passed).is_some());
    }
}
