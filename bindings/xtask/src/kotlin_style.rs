//! All Kotlin that people write is laid out by one program and examined by another. Both come from
//! Maven by name (`android-shell/style/pom.xml`).

use crate::Options;
use crate::description::CATALOGUE;
use crate::doctor::need_java;
use crate::maven::fetch;
use crate::run::{cmd, files_under, root, run, stage, target};
use crate::test::{Outcome, check};
use anyhow::{Result, ensure};
use std::env::join_paths;
use std::path::{Path, PathBuf};
use xshell::Cmd;

/// What brings the programs.
const STYLE: &str = "android-shell/style/pom.xml";

/// Where Kotlin is written by hand.
const FOLDERS: [&str; 2] = ["android-shell", "bindings/kotlin"];
const GENERATED: &str = "bindings/kotlin/src/generated";

/// Lays out all Rust and all Kotlin.
pub fn format_all(o: &Options) -> Result<()> {
    run!("cargo fmt --all")?;
    let sources = sources()?;
    let format = formatter(&programs(o)?)?.arg("--quiet");
    format.args(&sources).run()?;
    println!("fmt: Rust, and {} files of Kotlin", sources.len());
    Ok(())
}

/// Whether all Kotlin is laid out and nothing in it is found wrong.
pub fn test(o: &Options) -> Result<Outcome> {
    let (sources, programs) = (sources()?, programs(o)?);
    let look = ["--dry-run", "--set-exit-if-changed"];
    let layout = formatter(&programs)?.args(look).args(&sources);
    let layout = check(layout, "Kotlin is not laid out (run `cargo xtask fmt`)")?;
    let rules = "there are findings (rules in android-shell/style/detekt.yml)";
    Ok(layout.and(check(examiner(&programs, &sources)?, rules)?))
}

/// The formatter, told its style; the width stands in `.editorconfig`, for editors too.
fn formatter(programs: &Path) -> Result<Cmd<'static>> {
    let java = need_java()?;
    let jar = programs.join("ktfmt-with-dependencies.jar");
    Ok(cmd!(
        "{java} -jar {jar} --kotlinlang-style --enable-editorconfig"
    ))
}

/// The examiner, told its rules, those about Compose among them. Even the mildest finding fails.
fn examiner(programs: &Path, sources: &[PathBuf]) -> Result<Cmd<'static>> {
    let java = need_java()?;
    let names = ["detekt-cli-all", "compose-rules", "compose-rules-common"];
    let [jar, rules, common] = names.map(|name| programs.join(format!("{name}.jar")));
    let (rules, sources) = (join_paths([rules, common])?, join_paths(sources)?);
    let config = "android-shell/style/detekt.yml";
    Ok(cmd!(
        "{java} -jar {jar} --build-upon-default-config --fail-on-severity Info
         --config {config} --plugins {rules} --input {sources}"
    ))
}

/// All Kotlin but what is generated or built, seen from the root.
fn sources() -> Result<Vec<PathBuf>> {
    let (root, mut found) = (root(), Vec::new());
    for file in FOLDERS.iter().flat_map(|d| files_under(&root.join(d))) {
        let is_kotlin = file.extension().is_some_and(|e| e == "kt" || e == "kts");
        let file = file.strip_prefix(&root)?;
        if is_kotlin && !file.starts_with(GENERATED) {
            found.push(file.to_path_buf());
        }
    }
    ensure!(!found.is_empty(), "there is no Kotlin in {FOLDERS:?}");
    Ok(found)
}

/// The folder of the programs; fetches them the first time.
fn programs(o: &Options) -> Result<PathBuf> {
    let dir = target()?.join("kotlin-style");
    let (programs, inputs) = (
        dir.join("programs"),
        [root().join(STYLE), root().join(CATALOGUE)],
    );
    stage(&dir, "programs", 0, &inputs, programs.is_dir(), || {
        fetch(o, STYLE, &dir)
    })?;
    Ok(programs)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_found_and_what_is_generated_is_not() {
        let all = sources().unwrap();
        let has = |end: &str| all.iter().any(|f| f.ends_with(end));
        assert!(has("MainActivity.kt") && has("SmokeTest.kt") && has("ui/build.gradle.kts"));
        assert!(!all.iter().any(|f| f.starts_with(GENERATED)));
    }
}
