//! What can be checked of the Gradle files without Gradle: that they name only what is there, and say
//! the same as the build that is run here.

use crate::android::{MIN_SDK, PACKAGE, TARGET_SDK, VERSION_CODE, VERSION_NAME};
use crate::run::root;
use crate::targets::TARGETS;
use anyhow::{Context, Result};
use std::collections::BTreeSet;

/// The catalogue's text in, how many things were compared and what is wrong out.
///
/// # Errors
/// A file is missing or can't be read.
pub fn check(catalogue: &str) -> Result<(usize, Vec<String>)> {
    let shell = root().join("android-shell");
    let read = |name: &str| {
        std::fs::read_to_string(shell.join(name)).with_context(|| format!("reading {name}"))
    };
    let names = accessors(catalogue)?;
    let (mut count, mut wrong) = (0, Vec::new());
    let mut tell = |file: &str, (n, found): (usize, Vec<String>)| {
        count += n;
        wrong.extend(found.into_iter().map(|f| format!("{file}: {f}")));
    };
    for module in ["", "ui/", "app/"] {
        let file = format!("{module}build.gradle.kts");
        let text = read(&file)?;
        tell(&file, unknown(&text, &names));
        let folder = shell.join(module);
        tell(
            &file,
            lost(&text, |path| {
                // The generated binding is not there before it is generated.
                path.contains("/src/generated/") || folder.join(path).exists()
            }),
        );
    }
    let (target, min) = (format!("= {TARGET_SDK}"), format!("= {MIN_SDK}"));
    let said = [
        ("compileSdk ", target.as_str()),
        ("targetSdk ", target.as_str()),
        ("minSdk ", min.as_str()),
        ("versionCode ", &format!("= {VERSION_CODE}")),
        ("versionName ", &format!("= \"{VERSION_NAME}\"")),
        ("applicationId ", &format!("= \"{PACKAGE}\"")),
        ("\"-P\", ", &format!("\"{MIN_SDK}\"")),
    ];
    let app = read("app/build.gradle.kts")?;
    tell("app/build.gradle.kts", differing(&app, &said));
    let ui = read("ui/build.gradle.kts")?;
    tell("ui/build.gradle.kts", differing(&ui, &[said[0], said[2]]));
    let processors = TARGETS.map(|(_, abi)| ("listOf(", abi));
    tell("app/build.gradle.kts", lacking(&app, &processors));
    let wanted = format!("gradle-{}-bin.zip", gradle(catalogue)?);
    let wrapper = read("gradle/wrapper/gradle-wrapper.properties")?;
    tell(
        "gradle-wrapper.properties",
        lacking(&wrapper, &[("distributionUrl", &wanted)]),
    );
    Ok((count, wrong))
}

/// What scripts may call the entries of the catalogue.
fn accessors(catalogue: &str) -> Result<BTreeSet<String>> {
    let table: toml::Table = toml::from_str(catalogue)?;
    let keys = |name: &str| {
        let table = table.get(name).and_then(|t| t.as_table());
        table
            .into_iter()
            .flat_map(|t| t.keys())
            .map(|k| k.replace('-', "."))
    };
    let libraries = keys("libraries").map(|k| format!("libs.{k}"));
    Ok(libraries
        .chain(keys("plugins").map(|k| format!("libs.plugins.{k}")))
        .collect())
}

fn gradle(catalogue: &str) -> Result<String> {
    let table: toml::Table = toml::from_str(catalogue)?;
    let version = table.get("versions").and_then(|v| v.get("gradle"));
    let version = version.and_then(|v| v.as_str());
    Ok(version
        .context("the catalogue names no `gradle`")?
        .to_string())
}

/// The entries that a script uses and the catalogue has not.
fn unknown(script: &str, names: &BTreeSet<String>) -> (usize, Vec<String>) {
    let used: Vec<String> = script
        .match_indices("libs.")
        .filter(|(at, _)| script[..*at].ends_with('('))
        .map(|(at, _)| {
            let rest = &script[at..];
            let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '.'));
            rest[..end.unwrap_or(rest.len())].to_string()
        })
        .collect();
    let wrong = used.iter().filter(|u| !names.contains(*u));
    let wrong = wrong
        .map(|u| format!("{u} is not in the catalogue"))
        .collect();
    (used.len(), wrong)
}

/// The paths in quotes that are not there.
fn lost(script: &str, is_there: impl Fn(&str) -> bool) -> (usize, Vec<String>) {
    let paths: Vec<&str> = script
        .split('"')
        .skip(1)
        .step_by(2)
        .filter(|q| q.contains('/') || q.ends_with(".pro"))
        .collect();
    let wrong = paths.iter().filter(|p| !is_there(p));
    let wrong = wrong.map(|p| format!("{p} is not there")).collect();
    (paths.len(), wrong)
}

/// What follows each word, where it stands, but should be something else; or it stands nowhere.
fn differing(script: &str, said: &[(&str, &str)]) -> (usize, Vec<String>) {
    let wrong = |(word, value): &(&str, &str)| {
        let mut found = script.match_indices(word).peekable();
        let is_there = found.peek().is_some();
        let good = found.all(|(at, _)| {
            let rest = &script[at + word.len()..];
            rest.strip_prefix(value)
                .is_some_and(|after| !after.starts_with(|c: char| c.is_alphanumeric()))
        });
        (!(is_there && good)).then(|| format!("{word}should be followed by {value}"))
    };
    (said.len(), said.iter().filter_map(wrong).collect())
}

/// The texts that stand in no line with their word.
fn lacking(script: &str, said: &[(&str, &str)]) -> (usize, Vec<String>) {
    let wrong = |(word, text): &(&str, &str)| {
        let good = script.lines().any(|l| l.contains(word) && l.contains(text));
        (!good).then(|| format!("no line with {word} has {text}"))
    };
    (said.len(), said.iter().filter_map(wrong).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const CATALOGUE: &str = "[versions]\ngradle = \"9\"\n[libraries]\na-b = \"x\"\n\
                             [plugins]\np-q = \"x\"\n";

    #[test]
    fn the_files_of_this_checkout_agree() {
        let path = root().join("android-shell/gradle/libs.versions.toml");
        let (count, wrong) = check(&std::fs::read_to_string(path).unwrap()).unwrap();
        assert!(count > 20, "{count}");
        assert!(wrong.is_empty(), "{wrong:?}");
    }

    #[test]
    fn an_entry_that_is_not_there_is_named() {
        let names = accessors(CATALOGUE).unwrap();
        let script = "alias(libs.plugins.p.q)\nimplementation(libs.a.b)\napi(libs.a.c)";
        let (count, wrong) = unknown(script, &names);
        assert_eq!((count, wrong.len()), (3, 1));
        assert!(wrong[0].contains("libs.a.c"));
        assert_eq!(gradle(CATALOGUE).unwrap(), "9");
    }

    #[test]
    fn a_lost_path_and_another_number_are_named() {
        let script = "srcDirs(\"src/main\", \"../x/y\")\nminSdk = 26\ncompileSdk = 360\n";
        let (count, wrong) = lost(script, |p| p == "src/main");
        assert_eq!((count, wrong.len()), (2, 1));
        assert!(differing(script, &[("minSdk ", "= 26")]).1.is_empty());
        assert_eq!(differing(script, &[("compileSdk ", "= 36")]).1.len(), 1);
        assert_eq!(differing(script, &[("targetSdk ", "= 36")]).1.len(), 1);
        assert_eq!(lacking(script, &[("srcDirs", "../x/z")]).1.len(), 1);
    }
}
