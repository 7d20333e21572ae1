//! `cargo xtask app`: the phone screens on this computer, on the real core.

use crate::doctor::{need_display, need_java};
use crate::maven::maven;
use crate::run::{cmd, root, stage};
use crate::{Options, bindings};
use anyhow::{Result, ensure};
use fs_err as fs;
use std::path::{Path, PathBuf};

/// Opens the window.
pub fn open(o: &Options) -> Result<()> {
    need_display()?;
    start(o, &["org.slackwater.desktop.MainKt"])
}

/// Draws every screen to a PNG, or those whose name has an expression in it.
pub fn draw(o: &Options, dir: &Path) -> Result<()> {
    let dir = std::path::absolute(dir)?.display().to_string();
    let headless = "-Djava.awt.headless=true";
    let mut words = vec![headless, "org.slackwater.desktop.ShotsKt", &dir];
    words.extend(o.only.iter().flat_map(|only| ["--only", only]));
    words.extend(o.language.iter().flat_map(|tag| ["--language", tag]));
    start(o, &words)?;
    println!("app: screens drawn to {dir}");
    Ok(())
}

/// Builds the desktop side, unless nothing that goes in has changed since the last time, and runs it.
fn start(o: &Options, words: &[&str]) -> Result<()> {
    let java = need_java()?;
    let target = bindings::build(o)?;
    let inputs = ["android-shell", "bindings/kotlin"].map(|dir| root().join(dir));
    // Each folder and jar must still be there: someone may have cleaned one away.
    let there = classpath().is_ok_and(|parts| parts.iter().all(|p| p.exists()));
    stage(&target, "screens", 0, &inputs, there, || {
        println!("app: building the screens (the first time fetches about 150 MB)");
        let heard = maven(o, "android-shell/pom.xml", &["process-classes"])?;
        ensure!(heard.ok, "the screens do not build: Maven says why above");
        Ok(())
    })?;
    let joined = std::env::join_paths(classpath()?)?;
    let app = cmd!("{java} -Xmx1g {words...}").env("CLASSPATH", joined);
    Ok(app.run()?)
}

/// The desktop module's classes, then all that its program needs, as Maven lists it.
fn classpath() -> Result<Vec<PathBuf>> {
    let built = root().join("android-shell/desktop/target");
    let jars = fs::read_to_string(built.join("classpath.txt"))?;
    let mut parts = vec![built.join("classes")];
    parts.extend(std::env::split_paths(jars.trim()));
    Ok(parts)
}
