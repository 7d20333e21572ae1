//! The licences of everything inside the app on a phone, as it may show them: each part with its
//! licence, and then the texts. Cargo says which crates, and each crate brings its text; of the Android
//! app its `pom.xml` says which archives, and the POM of each its licence; a typeface brings its own.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use roxmltree::{Document, Node};
use serde_json::Value;

/// Where the list is kept, from the root.
pub const LIST: &str = "core/data/licences.txt";

/// The folder of the whole project.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_path_buf()
}

/// The whole list, anew.
///
/// # Errors
/// Cargo can't say what is inside, a source can't be read, or an archive's licence is known neither
/// from its POM nor from the list that is kept.
pub fn list() -> Result<String, String> {
    let places = places()?;
    let (mut parts, mut texts) = (String::new(), BTreeMap::<String, Vec<String>>::new());
    let apache = read(&root().join("LICENSE"))?;
    let archives = archives()?;
    let of_cargo = inside()?;
    for (name, licence) in of_cargo.iter().chain(&archives) {
        parts.push_str(&format!("{name}: {licence}\n"));
        let name = name.clone();
        // Who may choose chooses Apache 2.0, which is ours and asks for one text for all.
        if licence.contains("Apache-2.0") && !licence.contains("AND") {
            texts.entry(apache.clone()).or_default().push(name);
            continue;
        }
        let (folder, home) = places.get(&name).ok_or(format!("{name} is nowhere"))?;
        let own = own_texts(folder)?;
        if own.is_empty() {
            // The crate leaves it where its source is, which has to be named all the same.
            let wanted = format!("{licence}: its text and the source are at {home}");
            texts.entry(wanted).or_default().push(name.clone());
        }
        for text in own {
            texts.entry(text).or_default().push(name.clone());
        }
    }
    for (name, licence, text) in TYPEFACES {
        parts.push_str(&format!("{name}: {licence}\n"));
        let text = read(&root().join(text))?;
        texts.entry(text).or_default().push((*name).to_owned());
    }
    let mut list = format!("What is inside the app, and under which licence.\n\n{parts}");
    for (text, names) in texts {
        list.push_str(&format!("\n---- {}\n\n{}\n", names.join(", "), text.trim()));
    }
    Ok(list)
}

/// Each crate of the library on phones, with its licence, but our own.
fn inside() -> Result<BTreeSet<(String, String)>, String> {
    let tree = cargo(&[
        "tree",
        "--package=slackwater-ffi",
        "--edges=normal,no-proc-macro",
        "--target=aarch64-linux-android",
        "--target=aarch64-apple-ios",
        "--prefix=none",
        "--no-dedupe",
        "--format={p}|{l}",
    ])?;
    let crates = tree.lines().filter_map(|l| l.split_once('|'));
    let others = crates.filter(|(name, _)| !name.is_empty() && !name.starts_with("slackwater"));
    Ok(others
        .map(|(name, licence)| (name.replacen(" v", " ", 1), licence.replace('/', " OR ")))
        .collect())
}

/// The typefaces that a phone's app brings: name, licence, where its text is.
const TYPEFACES: &[(&str, &str, &str)] = &[(
    "B612 (typeface) 1.008",
    "OFL-1.1",
    "android-shell/ui/licences/b612.txt",
)];

/// The archives that the Android app is packed with.
const ARCHIVES: &str = "android-shell/app/pom.xml";
/// Where the releases of those that move together stand.
const VERSIONS: &str = "android-shell/gradle/libs.versions.toml";

/// Each archive that is packed into the Android app, with its licence: as its POM says where Maven has
/// fetched it, else as the kept list says, which was written from it.
fn archives() -> Result<BTreeSet<(String, String)>, String> {
    let kept = read(&root().join(LIST))?;
    let mut archives = BTreeSet::new();
    for archive in packed()? {
        let name = archive.name();
        let licence = match archive.licence()? {
            Some(licence) => licence,
            None => {
                let known = kept
                    .lines()
                    .find_map(|l| l.strip_prefix(&name)?.strip_prefix(": "));
                let fetch = "`cargo xtask test android` fetches its POM, which says it";
                known
                    .map(str::to_owned)
                    .ok_or(format!("{name}: no licence is known; {fetch}"))?
            }
        };
        archives.insert((name, licence));
    }
    Ok(archives)
}

/// What Maven calls a release.
struct Archive {
    group: String,
    artifact: String,
    version: String,
}

impl Archive {
    fn of(node: Node<'_, '_>) -> Option<Archive> {
        let part = |name| Some(child(node, name)?.text()?.trim().to_owned());
        Some(Archive {
            group: part("groupId")?,
            artifact: part("artifactId")?,
            version: part("version")?,
        })
    }

    fn name(&self) -> String {
        format!("{}:{} {}", self.group, self.artifact, self.version)
    }

    /// Where Maven keeps its POM once it has fetched it.
    fn pom(&self) -> PathBuf {
        let home = std::env::var_os("HOME").map_or_else(PathBuf::new, PathBuf::from);
        let Archive {
            group,
            artifact,
            version,
        } = self;
        home.join(".m2/repository")
            .join(group.replace('.', "/"))
            .join(artifact)
            .join(version)
            .join(format!("{artifact}-{version}.pom"))
    }

    /// What its POM, or that of its parent, says; none where Maven hasn't fetched it.
    fn licence(&self) -> Result<Option<String>, String> {
        let path = self.pom();
        if !path.exists() {
            return Ok(None);
        }
        let text = read(&path)?;
        let pom = Document::parse(&text).map_err(|e| format!("{}: {e}", path.display()))?;
        let project = pom.root_element();
        let said = child(project, "licenses").map(|all| {
            let each = all.children().filter(Node::is_element);
            each.map(|l| spdx(l.descendants().filter_map(|n| n.text())))
                .collect::<Vec<_>>()
        });
        match (said, child(project, "parent").and_then(Archive::of)) {
            (Some(said), _) => Ok(Some(said.join(" OR "))),
            (None, Some(parent)) => parent.licence(),
            (None, None) => Err(format!("{} names no licence", path.display())),
        }
    }
}

fn child<'a, 'b>(node: Node<'a, 'b>, name: &str) -> Option<Node<'a, 'b>> {
    node.children().find(|c| c.tag_name().name() == name)
}

/// The short name of a licence (SPDX) by what a POM says of it; else its first word of it.
fn spdx<'a>(mut said: impl Iterator<Item = &'a str> + Clone) -> String {
    let known = [
        ("licenses/LICENSE-2.0", "Apache-2.0"),
        ("lgpl-2.1", "LGPL-2.1-or-later"),
    ];
    let found = |(part, _): &&(&str, &str)| said.clone().any(|s| s.contains(part));
    match known.iter().find(found) {
        Some((_, short)) => (*short).to_owned(),
        None => said
            .find(|s| !s.trim().is_empty())
            .unwrap_or_default()
            .trim()
            .to_owned(),
    }
}

/// The archives that the app's `pom.xml` has copied for what is packed.
fn packed() -> Result<Vec<Archive>, String> {
    let (pom, versions) = (read(&root().join(ARCHIVES))?, read(&root().join(VERSIONS))?);
    let pom = Document::parse(&pom).map_err(|e| format!("{ARCHIVES}: {e}"))?;
    let versions: toml::Table = versions.parse().map_err(|e| format!("{VERSIONS}: {e}"))?;
    let version_of = |said: &str| -> Result<String, String> {
        let Some(key) = said
            .strip_prefix("${")
            .and_then(|s| s.strip_suffix(".version}"))
        else {
            return Ok(said.to_owned());
        };
        let found = versions
            .get("versions")
            .and_then(|all| all.get(key)?.as_str());
        found
            .map(str::to_owned)
            .ok_or(format!("{VERSIONS} has no {key}"))
    };
    let is_packed = |n: &Node<'_, '_>| {
        let id = child(*n, "id").and_then(|id| id.text());
        n.tag_name().name() == "execution" && id == Some("main")
    };
    let main = pom
        .descendants()
        .find(is_packed)
        .ok_or(format!("{ARCHIVES} has no 'main'"))?;
    let items = main
        .descendants()
        .filter(|n| n.tag_name().name() == "artifactItem");
    items
        .map(|item| {
            let archive = Archive::of(item).ok_or(format!("{ARCHIVES}: one lacks its name"))?;
            let version = version_of(&archive.version)?;
            Ok(Archive { version, ..archive })
        })
        .collect()
}

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

/// Where the source of each crate lies, and where it is from.
fn places() -> Result<BTreeMap<String, (PathBuf, String)>, String> {
    let said = cargo(&["metadata", "--format-version=1"])?;
    let said: Value = serde_json::from_str(&said).map_err(|e| e.to_string())?;
    let packages = said["packages"].as_array().into_iter().flatten();
    let text = |p: &Value, key: &str| p[key].as_str().unwrap_or_default().to_string();
    Ok(packages
        .map(|p| {
            let folder = PathBuf::from(text(p, "manifest_path")).with_file_name("");
            let name = format!("{} {}", text(p, "name"), text(p, "version"));
            (name, (folder, text(p, "repository")))
        })
        .collect())
}

/// What a crate brings of texts about its licence.
fn own_texts(folder: &Path) -> Result<BTreeSet<String>, String> {
    let mut texts = BTreeSet::new();
    for entry in std::fs::read_dir(folder).map_err(|e| e.to_string())? {
        let path = entry.map_err(|e| e.to_string())?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let name = name.to_ascii_uppercase();
        let begins = ["LICEN", "COPYING", "NOTICE"]
            .iter()
            .any(|b| name.starts_with(b));
        if begins && path.is_file() {
            let text = read(&path)?;
            texts.insert(text.replace('\r', "").trim().to_string());
        }
    }
    Ok(texts)
}

fn cargo(words: &[&str]) -> Result<String, String> {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let out = Command::new(program)
        .args(words)
        .current_dir(root())
        .output();
    let out = out.map_err(|e| e.to_string())?;
    match out.status.success() {
        true => Ok(String::from_utf8_lossy(&out.stdout).into_owned()),
        false => Err(String::from_utf8_lossy(&out.stderr).into_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_that_of_what_is_inside() {
        let kept = std::fs::read_to_string(root().join(LIST)).unwrap_or_default();
        let now = list().unwrap();
        let lost: Vec<_> = now.lines().filter(|l| !kept.contains(l)).take(5).collect();
        assert!(
            kept == now,
            "run `cargo run -p slackwater-checks --bin licences`; not in {LIST}: {lost:?}"
        );
    }

    #[test]
    fn what_maven_packs_has_its_licence_and_what_only_a_test_needs_is_not_there() {
        let all = archives().unwrap();
        let of = |name: &str| {
            all.iter()
                .find(|(n, _)| n.starts_with(name))
                .map(|(_, l)| &**l)
        };
        assert!(all.len() > 50, "{}", all.len());
        assert_eq!(of("androidx.compose.ui:ui-android "), Some("Apache-2.0"));
        assert_eq!(
            of("net.java.dev.jna:jna "),
            Some("LGPL-2.1-or-later OR Apache-2.0")
        );
        // Its own POM names none, its parent's does.
        assert_eq!(of("com.google.guava:listenablefuture "), Some("Apache-2.0"));
        assert_eq!(of("androidx.test"), None);
        let unsure = all.iter().find(|(name, licence)| {
            name.contains("${")
                || licence
                    .split(" OR ")
                    .any(|l| l.is_empty() || l.contains(' '))
        });
        assert_eq!(unsure, None);
    }
}
