//! `cargo xtask app`: the phone screens on this computer, on the real core.

use crate::Options;
use crate::bindings;
use crate::maven::{hear_maven, maven};
use crate::run::{files_under, is_built, put, root, run};
use anyhow::{Context, Result, bail};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Builds the desktop side and opens the window, or draws every screen to a PNG.
///
/// # Errors
/// Something is missing (said with the command that brings it), or does not build or run.
pub fn open(o: &Options) -> Result<()> {
    let java = crate::doctor::need_java()?;
    if o.shots.is_none() {
        crate::doctor::need_display()?;
    }
    let pom = root().join("android-shell/pom.xml");
    if !pom.is_file() {
        bail!("there is no android-shell/pom.xml: the desktop side of the phone shell is missing");
    }
    let target = bindings::build(o)?;

    compile(o, &pom, &target)?;
    let joined = std::env::join_paths(classpath()?)
        .context("a folder's name holds the separator of paths")?;

    let mut app = Command::new(java);
    app.arg("-Xmx1g").arg("-cp").arg(joined);
    if let Some(dir) = &o.shots {
        let dir = std::path::absolute(PathBuf::from(dir))?;
        app.arg("-Djava.awt.headless=true");
        app.arg("org.slackwater.desktop.ShotsKt").arg(&dir);
        if let Some(only) = &o.only {
            app.arg("--only").arg(only);
        }
        run(&mut app)?;
        println!("app: screens drawn to {}", dir.display());
        return Ok(());
    }
    app.arg("org.slackwater.desktop.MainKt");
    run(&mut app)
}

/// Where the desktop module lists the jars that its program needs.
const CLASSPATH: &str = "target/classpath.txt";

/// The desktop module's classes, then all that they need.
fn classpath() -> Result<Vec<PathBuf>> {
    let desktop = root().join("android-shell/desktop");
    let list = desktop.join(CLASSPATH);
    let jars =
        std::fs::read_to_string(&list).with_context(|| format!("reading {}", list.display()))?;
    let mut parts = vec![desktop.join("target/classes")];
    parts.extend(std::env::split_paths(jars.trim()));
    Ok(parts)
}

/// Compiles the screens, unless nothing that goes in has changed since the last time.
fn compile(o: &Options, pom: &Path, target: &Path) -> Result<()> {
    let stamp_path = target.join("screens.stamp");
    let stamp = format!("{:016x}\n", sources()?);
    // Each folder and jar must still be there: someone may have cleaned one away.
    let there = classpath().is_ok_and(|parts| parts.iter().all(|p| p.exists()));
    if there && std::fs::read_to_string(&stamp_path).is_ok_and(|old| old == stamp) {
        println!("app: the screens are built");
        return Ok(());
    }
    println!("app: building the screens (the first time fetches about 150 MB)");
    let heard = hear_maven(|| {
        let mut c = maven(o, pom)?;
        c.arg("process-classes");
        Ok(c)
    })?;
    if !heard.ok {
        bail!("the screens do not build; Maven's words are above");
    }
    put(&stamp_path, stamp.as_bytes())?;
    Ok(())
}

/// A hash over everything that Maven reads from us.
fn sources() -> Result<u64> {
    let mut hash = DefaultHasher::new();
    for dir in ["android-shell", "bindings/kotlin"] {
        let dir = root().join(dir);
        for file in files_under(&dir) {
            if is_built(&file) {
                continue;
            }
            let relative = file.strip_prefix(&dir).unwrap_or(&file);
            relative.hash(&mut hash);
            std::fs::read(&file)
                .with_context(|| format!("reading {}", file.display()))?
                .hash(&mut hash);
        }
    }
    Ok(hash.finish())
}
