//! All Kotlin that people write is laid out by one program. It comes from Maven by name
//! (`android-shell/style/pom.xml`).

use crate::Options;
use crate::doctor::need_java;
use crate::maven::{Count, hear_maven, maven};
use crate::run::{cargo, files_under, hear, is_built, root, run, target};
use crate::stage::{hash, stage};
use anyhow::{Result, bail};
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

/// Whether all Kotlin is laid out: what is wrong, and the files counted.
///
/// # Errors
/// A program is missing.
pub fn check(o: &Options) -> Result<(Option<String>, Count)> {
    let sources = sources()?;
    let programs = programs(o)?;
    let mut c = formatter(&programs)?;
    c.args(["--dry-run", "--set-exit-if-changed"]);
    let heard = hear(c.args(&sources))?;
    Ok(laid_out(heard.ok, &heard.text, sources.len()))
}

/// Reads what the formatter said: the name of each file that it would change, or why not.
fn laid_out(ok: bool, said: &str, files: usize) -> (Option<String>, Count) {
    let named = said.lines().filter(|l| !l.trim().is_empty()).count();
    let failed = if ok { named } else { named.clamp(1, files) };
    let count = Count {
        passed: files.saturating_sub(failed),
        failed,
        ..Count::default()
    };
    let wrong = format!("files not laid out: {failed} (run `cargo xtask fmt`)");
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
            bail!("the formatter can't be fetched; Maven's words are above");
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
    fn what_is_written_is_found_and_what_is_generated_is_not() {
        let all = sources().unwrap();
        let has = |end: &str| all.iter().any(|f| f.ends_with(end));
        assert!(has("MainActivity.kt") && has("SmokeTest.kt") && has("ui/build.gradle.kts"));
        assert!(all.iter().all(|f| !is_generated(&root().join(f))));
    }
}
