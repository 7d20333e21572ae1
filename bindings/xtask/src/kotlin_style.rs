//! All Kotlin that people write is laid out by one program and examined by another. Both come from
//! Maven by name (`android-shell/style/pom.xml`).

use crate::Options;
use crate::doctor::need_java;
use crate::maven::{Count, hear_maven, maven};
use crate::run::{cargo, files_under, hear, is_built, root, run, target};
use crate::stage::{hash, stage};
use anyhow::{Context, Result, bail};
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Where Kotlin is written by hand.
const FOLDERS: [&str; 2] = ["android-shell", "bindings/kotlin"];

/// Lays out all Rust and all Kotlin.
///
/// # Errors
/// A program is missing, or refuses a source.
pub fn format_all(o: &Options) -> Result<()> {
    run(cargo().args(["fmt", "--all"]))?;
    let sources = sources()?;
    let programs = programs(o)?;
    run(formatter(&programs)?.arg("--quiet").args(&sources))?;
    println!("fmt: Rust, and {} files of Kotlin", sources.len());
    Ok(())
}

/// Whether all Kotlin is laid out and nothing in it is found wrong: what is, and the files counted,
/// once for each of the two.
///
/// # Errors
/// A program is missing.
pub fn check(o: &Options) -> Result<(Option<String>, Count)> {
    let sources = sources()?;
    let programs = programs(o)?;
    let mut c = formatter(&programs)?;
    c.args(["--dry-run", "--set-exit-if-changed"]);
    let heard = hear(c.args(&sources))?;
    let layout = laid_out(heard.ok, &heard.text, sources.len());
    let heard = hear(&mut examiner(&programs, &sources)?)?;
    let found = examined(heard.ok, &heard.text, sources.len());
    Ok(both(layout, found))
}

type Checked = (Option<String>, Count);

fn both(one: Checked, two: Checked) -> Checked {
    let wrong: Vec<String> = one.0.into_iter().chain(two.0).collect();
    let count = Count {
        passed: one.1.passed + two.1.passed,
        failed: one.1.failed + two.1.failed,
        ..Count::default()
    };
    ((!wrong.is_empty()).then(|| wrong.join("; ")), count)
}

/// Reads what the formatter said: the name of each file that it would change, or why not.
fn laid_out(ok: bool, said: &str, files: usize) -> Checked {
    let named = said.lines().filter(|l| !l.trim().is_empty()).count();
    let failed = if ok { named } else { named.clamp(1, files) };
    let wrong = format!("files not laid out: {failed} (run `cargo xtask fmt`)");
    counted(failed, files, wrong)
}

/// Reads what the examiner said: a line for each finding, that names its file.
fn examined(ok: bool, said: &str, files: usize) -> Checked {
    let named: BTreeSet<&str> = said
        .lines()
        .filter_map(|l| {
            Some(
                l.strip_prefix("e: ")
                    .or(l.strip_prefix("w: "))?
                    .split_once(".kt")?
                    .0,
            )
        })
        .collect();
    let failed = if ok {
        named.len()
    } else {
        named.len().clamp(1, files)
    };
    let wrong = format!("files with findings: {failed} (rules in android-shell/style/detekt.yml)");
    counted(failed, files, wrong)
}

fn counted(failed: usize, files: usize, wrong: String) -> Checked {
    let count = Count {
        passed: files.saturating_sub(failed),
        failed,
        ..Count::default()
    };
    ((failed > 0).then_some(wrong), count)
}

/// The formatter, told its style; the width stands in `.editorconfig`, for editors too.
fn formatter(programs: &Path) -> Result<Command> {
    let mut c = Command::new(need_java()?);
    c.current_dir(root()).arg("-jar");
    c.arg(programs.join("ktfmt-with-dependencies.jar"));
    c.args(["--kotlinlang-style", "--enable-editorconfig"]);
    Ok(c)
}

/// The examiner, told its rules. Even the mildest finding fails.
fn examiner(programs: &Path, sources: &[PathBuf]) -> Result<Command> {
    let mut c = Command::new(need_java()?);
    c.current_dir(root()).arg("-jar");
    c.arg(programs.join("detekt-cli-all.jar"));
    c.args(["--build-upon-default-config", "--fail-on-severity", "Info"]);
    c.args(["--config", "android-shell/style/detekt.yml", "--plugins"]);
    c.arg(joined(&PLUGINS.map(|p| programs.join(p)))?);
    c.arg("--input").arg(joined(sources)?);
    Ok(c)
}

/// The rules about Compose.
const PLUGINS: [&str; 2] = ["compose-rules.jar", "compose-rules-common.jar"];

fn joined(paths: &[PathBuf]) -> Result<OsString> {
    std::env::join_paths(paths).context("a name holds the separator of paths")
}

/// All Kotlin but what is generated or built, seen from the root.
fn sources() -> Result<Vec<PathBuf>> {
    let root = root();
    let found: Vec<PathBuf> = FOLDERS
        .iter()
        .flat_map(|d| files_under(&root.join(d)))
        .filter(|f| is_kotlin(f) && !is_built(f) && !is_generated(f))
        .map(|f| f.strip_prefix(&root).unwrap_or(&f).to_path_buf())
        .collect();
    if found.is_empty() {
        bail!("there is no Kotlin in {}", FOLDERS.join(" or "));
    }
    Ok(found)
}

fn is_kotlin(file: &Path) -> bool {
    file.extension().is_some_and(|e| e == "kt" || e == "kts")
}

fn is_generated(file: &Path) -> bool {
    file.starts_with(root().join("bindings/kotlin/src/generated"))
}

/// The folder of the programs; fetches them the first time.
fn programs(o: &Options) -> Result<PathBuf> {
    let dir = target()?.join("kotlin-style");
    let programs = dir.join("programs");
    let pom = root().join("android-shell/style/pom.xml");
    stage(&dir, "programs", hash(&[&pom])?, &programs, || {
        let heard = hear_maven(|| {
            let mut c = maven(o, &pom)?;
            c.arg("initialize")
                .arg(format!("-Dprograms.dir={}", programs.display()));
            Ok(c)
        })?;
        if !heard.ok {
            bail!("the programs can't be fetched; Maven's words are above");
        }
        Ok(())
    })?;
    Ok(programs)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_would_change_or_can_not_be_read_fails() {
        let (wrong, count) = laid_out(true, "", 60);
        assert_eq!((wrong, count.passed, count.failed), (None, 60, 0));
        let (wrong, count) = laid_out(false, "a/One.kt\na/Two.kt\n", 60);
        assert!(wrong.unwrap().contains("out: 2 "));
        assert_eq!((count.passed, count.failed), (58, 2));
        // Ended badly, and said nothing.
        assert_eq!(laid_out(false, "", 60).1.failed, 1);
        // Named a file, and ended well all the same.
        assert!(laid_out(true, "a/One.kt\n", 60).0.is_some());
    }

    #[test]
    fn a_finding_or_a_setting_that_is_none_fails() {
        let said = "e: /a/One.kt:1:2 Bad. [Rule]\nSee more.\ne: /a/One.kt:9:2 Bad. [Rule]\n\
                    w: /a/Two.kts:1:1 Odd. [Other]\n";
        let (wrong, count) = examined(false, said, 60);
        assert!(wrong.unwrap().contains("findings: 2 "));
        assert_eq!((count.passed, count.failed), (58, 2));
        let setting = "Property 'style>NoSuch' is misspelled or does not exist.";
        assert_eq!(examined(false, setting, 60).1.failed, 1);
        assert_eq!(examined(true, "", 60).1.passed, 60);
        let sum = both(laid_out(true, "", 60), examined(false, setting, 60));
        assert!(sum.0.is_some());
        assert_eq!((sum.1.passed, sum.1.failed), (119, 1));
    }

    #[test]
    fn what_is_written_is_found_and_what_is_generated_is_not() {
        let all = sources().unwrap();
        let has = |end: &str| all.iter().any(|f| f.ends_with(end));
        assert!(has("MainActivity.kt") && has("SmokeTest.kt") && has("ui/build.gradle.kts"));
        assert!(all.iter().all(|f| !is_generated(&root().join(f))));
    }
}
