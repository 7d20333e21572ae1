//! `cargo xtask bindings`: one library, and its Kotlin, Swift and Python.

use crate::Options;
use crate::run::{cargo, mirror, output, put, root, run};
use anyhow::{Context, Result, bail};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};

/// JNA's name for this machine, which is the folder in a jar where JNA looks for a library.
///
/// # Errors
/// A system for which neither JNA nor Skia has a library.
pub fn jna_platform() -> Result<&'static str> {
    Ok(match (std::env::consts::OS, std::env::consts::ARCH) {
        ("linux", "x86_64") => "linux-x86-64",
        ("linux", "aarch64") => "linux-aarch64",
        ("macos", "x86_64") => "darwin-x86-64",
        ("macos", "aarch64") => "darwin-aarch64",
        ("windows", "x86_64") => "win32-x86-64",
        (os, arch) => bail!("the phone screens cannot be shown on {os} {arch}"),
    })
}

/// Builds the library once and, if it or the configuration has changed, writes the three
/// packages around it. Returns Cargo's folder for everything that is built.
///
/// # Errors
/// The library does not build, the generator refuses it, or a package cannot be written.
pub fn build(o: &Options) -> Result<PathBuf> {
    let (library, target) = library(o)?;
    let config = root().join("bindings/bindgen.toml");
    let stamp_path = target.join("bindings.stamp");
    let stamp = format!("{:016x}\n", fingerprint(&[&library, &config])?);
    if std::fs::read_to_string(&stamp_path).is_ok_and(|old| old == stamp) && in_place(&library)? {
        println!("bindings: nothing changed");
        return Ok(target);
    }

    let out = target.join("bindings");
    if out.exists() {
        std::fs::remove_dir_all(&out).with_context(|| format!("clearing {}", out.display()))?;
    }
    let mut generator = cargo();
    generator.args([
        "run",
        "--quiet",
        "--package",
        "xtask",
        "--features",
        "bindgen",
    ]);
    generator.args(["--bin", "slackwater-bindgen"]);
    if o.offline {
        generator.arg("--offline");
    }
    generator.arg("--").arg(&library).arg(&config).arg(&out);
    // Cargo is silent here, for minutes where the generator itself is to be built.
    println!("bindings: building their generator and running it (the first time takes minutes)");
    run(&mut generator)?;
    package(&library, &out)?;
    put(&stamp_path, stamp.as_bytes())?;
    Ok(target)
}

/// Builds the library and returns where it is, and the target folder.
fn library(o: &Options) -> Result<(PathBuf, PathBuf)> {
    let mut build = cargo();
    build.args([
        "build",
        "--package",
        "slackwater-ffi",
        "--lib",
        "--profile",
        &o.profile,
    ]);
    build.args(["--message-format", "json-render-diagnostics"]);
    if o.offline {
        build.arg("--offline");
    }
    println!("bindings: building the core's library (the first time takes minutes)");
    let messages = output(&mut build)?;
    let wanted = format!(
        "{}slackwater{}",
        std::env::consts::DLL_PREFIX,
        std::env::consts::DLL_SUFFIX
    );
    for line in messages.lines() {
        let message: serde_json::Value = match serde_json::from_str(line) {
            Ok(m) => m,
            Err(_) => continue,
        };
        let files = message["filenames"].as_array().into_iter().flatten();
        for file in files.filter_map(|f| f.as_str()).map(Path::new) {
            // A library beside `deps` is the one that Cargo hands out.
            if file.file_name().is_some_and(|n| n == wanted.as_str())
                && let Some(target) = file.ancestors().nth(2)
            {
                return Ok((file.to_path_buf(), target.to_path_buf()));
            }
        }
    }
    bail!("Cargo built slackwater-ffi but named no {wanted}; does [lib] still say cdylib?")
}

/// A hash over the files and over this program: another generator writes other files.
fn fingerprint(files: &[&Path]) -> Result<u64> {
    let mut hash = DefaultHasher::new();
    include_str!("bindgen.rs").hash(&mut hash);
    include_str!("bindings.rs").hash(&mut hash);
    for file in files {
        std::fs::read(file)
            .with_context(|| format!("reading {}", file.display()))?
            .hash(&mut hash);
    }
    Ok(hash.finish())
}

/// Where each copy of the library belongs.
fn copies(library: &Path) -> Result<[PathBuf; 3]> {
    let name = library.file_name().unwrap_or_default();
    let bindings = root().join("bindings");
    Ok([
        bindings
            .join("kotlin/src/generated/resources")
            .join(jna_platform()?)
            .join(name),
        bindings.join("python/slackwater/_generated").join(name),
        bindings.join("swift/lib").join(name),
    ])
}

/// Whether the packages are still there (someone may have cleaned them away), by their
/// libraries: these are what goes wrong when it is stale.
fn in_place(library: &Path) -> Result<bool> {
    let size = library.metadata()?.len();
    let sources = ["kotlin/src/generated/kotlin", "swift/Sources/SlackwaterFFI"]
        .iter()
        .all(|d| root().join("bindings").join(d).is_dir());
    Ok(sources
        && copies(library)?
            .iter()
            .all(|c| c.metadata().is_ok_and(|m| m.len() == size)))
}

/// Lays what the generator wrote into the packages, each with the library it belongs to.
fn package(library: &Path, out: &Path) -> Result<()> {
    let bindings = root().join("bindings");
    let name = library.file_name().unwrap_or_default();
    let bytes = std::fs::read(library)?;

    let resources = out.join("kotlin-resources");
    put(&resources.join(jna_platform()?).join(name), &bytes)?;
    let mut changed = mirror(
        &out.join("kotlin"),
        &bindings.join("kotlin/src/generated/kotlin"),
    )?;
    changed += mirror(&resources, &bindings.join("kotlin/src/generated/resources"))?;

    let python = out.join("python");
    put(&python.join("__init__.py"), b"")?;
    put(&python.join(name), &bytes)?;
    changed += mirror(&python, &bindings.join("python/slackwater/_generated"))?;

    let (sources, headers) = (out.join("swift-sources"), out.join("swift-headers"));
    for file in crate::run::files_under(&out.join("swift")) {
        let name = file.file_name().unwrap_or_default();
        let is_swift = file.extension().is_some_and(|e| e == "swift");
        let dir = if is_swift { &sources } else { &headers };
        put(&dir.join(name), &std::fs::read(&file)?)?;
    }
    changed += mirror(
        &sources,
        &bindings.join("swift/Sources/Slackwater/Generated"),
    )?;
    changed += mirror(&headers, &bindings.join("swift/Sources/SlackwaterFFI"))?;
    changed += usize::from(put(&bindings.join("swift/lib").join(name), &bytes)?);
    println!(
        "bindings: {changed} files changed in bindings/{{kotlin,swift,python}}, library {:.1} MB",
        bytes.len() as f64 / 1e6
    );
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fingerprint_sees_one_changed_byte() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("lib");
        std::fs::write(&file, [1, 2, 3]).unwrap();
        let first = fingerprint(&[&file]).unwrap();
        assert_eq!(first, fingerprint(&[&file]).unwrap());
        std::fs::write(&file, [1, 2, 4]).unwrap();
        assert_ne!(first, fingerprint(&[&file]).unwrap());
    }

    #[test]
    fn this_machine_has_a_place_in_the_jar() {
        assert!(jna_platform().unwrap().contains('-'));
    }
}
