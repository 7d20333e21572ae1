//! `cargo xtask bindings`: one library, and its Kotlin, Swift and Python.

use crate::Options;
use crate::description::Description;
use crate::run::{clear, cmd, mirror, put, root, stage};
use anyhow::{Context, Result, bail};
use fs_err as fs;
use serde_json::Value;
use std::env::consts::{ARCH, DLL_PREFIX, DLL_SUFFIX, OS};
use std::path::PathBuf;

/// JNA's name for this machine, which is the folder in a jar where JNA looks for a library, and
/// what the artifact that holds Skia for it is called at its end; neither has one for all systems.
pub fn platform() -> Result<(&'static str, &'static str)> {
    Ok(match (OS, ARCH) {
        ("linux", "x86_64") => ("linux-x86-64", "linux-x64"),
        ("linux", "aarch64") => ("linux-aarch64", "linux-arm64"),
        ("macos", "x86_64") => ("darwin-x86-64", "macos-x64"),
        ("macos", "aarch64") => ("darwin-aarch64", "macos-arm64"),
        ("windows", "x86_64") => ("win32-x86-64", "windows-x64"),
        _ => bail!("the phone screens cannot be shown on {OS} {ARCH}"),
    })
}

/// What the generator wrote, by its folders, and where that belongs.
const PACKAGES: [(&str, &str); 6] = [
    ("kotlin", "kotlin/src/generated/kotlin"),
    ("resources", "kotlin/src/generated/resources"),
    ("python", "python/slackwater/_generated"),
    ("swift-sources", "swift/Sources/Slackwater/Generated"),
    ("swift-headers", "swift/Sources/SlackwaterFFI"),
    ("swift-library", "swift/lib"),
];

/// Builds the library once and, if it or the configuration has changed, writes the three
/// packages around it. Returns Cargo's folder for everything that is built.
pub fn build(o: &Options) -> Result<PathBuf> {
    Description::read()?.tell_maven()?;
    let library = library(o)?;
    // Beside `deps` lies the library that Cargo hands out.
    let target = library.ancestors().nth(2).context("no target folder")?;
    let (out, bindings) = (target.join("bindings"), root().join("bindings"));
    let config = bindings.join("bindgen.toml");
    let mut inputs = vec![library.clone(), config.clone()];
    inputs.extend(["bindgen.rs", "bindings.rs"].map(|f| bindings.join("xtask/src").join(f)));
    stage(target, "bindings", 0, &inputs, out.is_dir(), || {
        clear(&out)?;
        // Cargo is silent here, for minutes where the generator itself is to be built.
        println!("bindings: building their generator, which takes minutes, and running it");
        let program = "slackwater-bindgen";
        let cargo = cmd!("cargo run --quiet --package xtask --features bindgen --bin {program}");
        cargo
            .args(o.offline())
            .arg("--")
            .args([&library, &config, &out])
            .run()?;
        put(&out.join("python/__init__.py"), b"")?;
        let resources = format!("resources/{}", platform()?.0);
        for dir in [&resources, "python", "swift-library"] {
            let copy = out.join(dir).join(library.file_name().unwrap_or_default());
            put(&copy, &fs::read(&library)?)?;
        }
        Ok(())
    })?;
    // Each time: someone may have cleaned a package away, or filled it from another folder.
    let mut changed = 0;
    for (from, to) in PACKAGES {
        changed += mirror(&out.join(from), &bindings.join(to))?;
    }
    let size = library.metadata()?.len() as f64 / 1e6;
    let where_to = "bindings/{kotlin,swift,python}";
    match changed {
        0 => println!("bindings: nothing changed"),
        n => println!("bindings: {n} files changed in {where_to}, library {size:.1} MB"),
    }
    Ok(target.to_path_buf())
}

/// Builds the library and returns where it is.
fn library(o: &Options) -> Result<PathBuf> {
    println!("bindings: building the core's library (the first time takes minutes)");
    let profile = &o.profile;
    let cargo = cmd!("cargo build --package slackwater-ffi --lib --profile {profile}");
    let cargo = cargo.args(["--message-format", "json-render-diagnostics"]);
    let wanted = format!("{DLL_PREFIX}slackwater{DLL_SUFFIX}");
    for line in cargo.args(o.offline()).read()?.lines() {
        let message: Value = serde_json::from_str(line).unwrap_or_default();
        for file in message["filenames"].as_array().into_iter().flatten() {
            let file = PathBuf::from(file.as_str().unwrap_or_default());
            if file.file_name().is_some_and(|n| n == wanted.as_str()) {
                return Ok(file);
            }
        }
    }
    bail!("Cargo built slackwater-ffi but named no {wanted}; does [lib] still say cdylib?")
}
