//! The licences of everything inside the core's library on a phone, as the app may show them: each
//! crate with its licence, and then the texts. Cargo says which crates, each crate brings its text.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

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
/// Cargo can't say what is inside, or a source can't be read.
pub fn list() -> Result<String, String> {
    let places = places()?;
    let (mut crates, mut texts) = (String::new(), BTreeMap::<String, Vec<String>>::new());
    let apache = std::fs::read_to_string(root().join("LICENSE")).map_err(|e| e.to_string())?;
    for (name, licence) in inside()? {
        crates.push_str(&format!("{name}: {licence}\n"));
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
    let mut list = format!("What is inside the core, and under which licence.\n\n{crates}");
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
            let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
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
}
