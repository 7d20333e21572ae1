//! `cargo xtask versions`: the versions that Gradle and Maven use are the same ones.
//!
//! They stand once, under `[versions]` in `android-shell/gradle/libs.versions.toml`. Maven cannot
//! read that file, and a bare `mvn` or an IDE must work too, so each `pom.xml` carries them as
//! properties: key `kotlin` is property `kotlin.version`. A property that says `version.` at its
//! beginning is refused, since nobody would compare it.

use crate::Options;
use crate::run::{files_under, put, root};
use anyhow::{Context, Result, bail};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Where the versions stand.
const CATALOGUE: &str = "android-shell/gradle/libs.versions.toml";

/// Compares (or, with `--write`, copies); true if all agree now.
///
/// # Errors
/// The catalogue or a pom cannot be read or written.
pub fn run(o: &Options) -> Result<bool> {
    let (count, wrong) = check(o.write)?;
    for w in &wrong {
        println!("versions: {w}");
    }
    println!("versions: {count} compared, {} differ", wrong.len());
    Ok(wrong.is_empty())
}

/// Compares each version property of each pom with the catalogue, and what the Gradle files say;
/// returns how many were compared
/// and what differs. With `write`, first changes the poms to what the catalogue says.
///
/// # Errors
/// The catalogue or a pom cannot be read or written.
pub fn check(write: bool) -> Result<(usize, Vec<String>)> {
    let path = root().join(CATALOGUE);
    let text = std::fs::read_to_string(&path).with_context(|| format!("reading {CATALOGUE}"))?;
    let versions = catalogue(&text).with_context(|| format!("reading {CATALOGUE}"))?;
    let (mut count, mut wrong) = (0, Vec::new());
    for pom in poms() {
        let mut text = std::fs::read_to_string(&pom)?;
        let shown = pom
            .strip_prefix(root())
            .unwrap_or(&pom)
            .display()
            .to_string();
        if write {
            text = rewritten(&text, &versions);
            if put(&pom, text.as_bytes())? {
                println!("versions: {shown} rewritten");
            }
        }
        let (n, differing) = compare(&text, &versions);
        count += n;
        wrong.extend(differing.into_iter().map(|d| format!("{shown}: {d}")));
    }
    let (n, differing) = crate::gradle::check(&text)?;
    Ok((count + n, [wrong, differing].concat()))
}

fn poms() -> Vec<PathBuf> {
    ["android-shell", "bindings/kotlin"]
        .iter()
        .flat_map(|d| files_under(&root().join(d)))
        .filter(|p| p.file_name().is_some_and(|n| n == "pom.xml"))
        .filter(|p| !crate::run::is_built(p))
        .collect()
}

/// `[versions]`, key by key.
fn catalogue(text: &str) -> Result<BTreeMap<String, String>> {
    let table: toml::Table = toml::from_str(text)?;
    let Some(versions) = table.get("versions").and_then(|v| v.as_table()) else {
        bail!("there is no [versions]");
    };
    versions
        .iter()
        .map(|(key, value)| match value.as_str() {
            Some(v) => Ok((key.clone(), v.to_string())),
            None => bail!("[versions] {key} is not a plain text"),
        })
        .collect()
}

/// The properties about versions of a pom: name, value, and where the value stands in the text.
fn properties(pom: &str) -> Vec<(&str, &str, std::ops::Range<usize>)> {
    let Some(start) = pom.find("<properties>") else {
        return Vec::new();
    };
    let end = pom[start..]
        .find("</properties>")
        .map_or(pom.len(), |e| start + e);
    let mut found = Vec::new();
    let mut at = start + "<properties>".len();
    while let Some(open) = pom[at..end].find('<').map(|i| at + i) {
        let Some(close) = pom[open..end].find('>').map(|i| open + i) else {
            break;
        };
        let name = &pom[open + 1..close];
        at = close + 1;
        let closes = name.starts_with('/');
        let is_version = !closes && (name.ends_with(SUFFIX) || name.starts_with("version."));
        if is_version && let Some(value_end) = pom[at..end].find("</").map(|i| at + i) {
            found.push((name, pom[at..value_end].trim(), at..value_end));
            at = value_end;
        }
    }
    found
}

/// What the name of such a property ends with.
const SUFFIX: &str = ".version";

fn compare(pom: &str, versions: &BTreeMap<String, String>) -> (usize, Vec<String>) {
    let found = properties(pom);
    let wrong = found
        .iter()
        .filter_map(|(name, value, _)| {
            let Some(key) = name.strip_suffix(SUFFIX) else {
                return Some(format!("<{name}>: call it <KEY{SUFFIX}> after its key"));
            };
            match versions.get(key) {
                Some(v) if v == value => None,
                Some(v) => Some(format!("<{name}> is {value}, the catalogue says {v}")),
                None => Some(format!("<{name}> has no key `{key}` in {CATALOGUE}")),
            }
        })
        .collect();
    (found.len(), wrong)
}

fn rewritten(pom: &str, versions: &BTreeMap<String, String>) -> String {
    let mut text = pom.to_string();
    for (name, _, range) in properties(pom).into_iter().rev() {
        if let Some(v) = name.strip_suffix(SUFFIX).and_then(|key| versions.get(key)) {
            text.replace_range(range, v);
        }
    }
    text
}

/// Whether the catalogue is in this copy of the project.
pub fn is_there() -> bool {
    Path::new(&root().join(CATALOGUE)).is_file()
}

#[cfg(test)]
mod tests {
    use super::*;

    const POM: &str = "<project><version>9</version><properties>
  <kotlin.version>2.0</kotlin.version>
  <!-- a remark -->
  <androidx-compose.version>1.2</androidx-compose.version>
  <version.surefire>3.5</version.surefire>
  <maven.compiler.release>17</maven.compiler.release>
  <argLine/>
</properties><x.version>3</x.version></project>";

    #[test]
    fn a_difference_and_a_missing_key_are_found_and_the_first_can_be_written() {
        let versions = catalogue("[versions]\nkotlin = \"2.1\"\n").unwrap();
        let (count, wrong) = compare(POM, &versions);
        assert_eq!((count, wrong.len()), (3, 3));
        assert!(
            wrong[0].contains("is 2.0, the catalogue says 2.1"),
            "{wrong:?}"
        );
        assert!(wrong[1].contains("`androidx-compose`"), "{wrong:?}");
        assert!(wrong[2].contains("<version.surefire>"), "{wrong:?}");
        let new = rewritten(POM, &versions);
        assert_eq!(compare(&new, &versions).1.len(), 2);
        assert_eq!(new.replace("2.1", "2.0"), POM);
    }

    #[test]
    fn a_catalogue_without_versions_or_with_a_rich_version_is_refused() {
        assert!(catalogue("[libraries]").is_err());
        assert!(catalogue("[versions]\na = { strictly = \"1\" }").is_err());
    }
}
