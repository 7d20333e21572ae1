//! Looks the core and its surface through for the processors of phones, without a phone's compiler:
//! the standard library is checked along with them from its source, and what would be C is left out
//! (the core's feature `without-c`). It finds what doesn't compile there, such as a number that
//! 32 bits can't hold; it links nothing.

use crate::Options;
use crate::description::Description;
use crate::doctor::how_to_get;
use crate::run::{cmd, hear, target, which};
use crate::test::Outcome;
use anyhow::{Result, bail};
use fs_err as fs;
use std::path::{Path, PathBuf};
use xshell::Cmd;

/// What Rust calls a processor of phones that Android calls by another name.
fn triple(processor: &str) -> Result<&'static str> {
    Ok(match processor {
        "arm64-v8a" => "aarch64-linux-android",
        "armeabi-v7a" => "armv7-linux-androideabi",
        "x86_64" => "x86_64-linux-android",
        other => bail!("Rust's name of the processor {other} is not known"),
    })
}

/// A compiler whose standard library's source, and its Cargo, lie beside it: the one in use, or
/// Debian's.
pub fn rustc_with_source() -> Result<PathBuf> {
    for rustc in which("rustc").into_iter().chain(which("/usr/bin/rustc")) {
        let sysroot = cmd!("{rustc} --print sysroot").read()?;
        let source = Path::new(&sysroot).join("lib/rustlib/src/rust/library/std/Cargo.toml");
        if source.is_file() && rustc.with_file_name("cargo").is_file() {
            return Ok(rustc);
        }
    }
    let get = how_to_get("rust-src");
    bail!("no Rust with the source of its standard library: {get}")
}

/// Checks each target.
pub fn check(o: &Options) -> Result<Outcome> {
    let rustc = rustc_with_source()?;
    let dir = target()?.join("targets");
    fs::create_dir_all(dir.join("no-sqlite"))?;
    let description = Description::read()?;
    let (all, mut wrong) = (description.processors()?, Vec::new());
    for processor in &all {
        let target = triple(processor)?;
        println!("targets: {target}");
        if !hear(command(o, &rustc, target, &dir))?.ok {
            wrong.push(target);
        }
    }
    let why = (!wrong.is_empty()).then(|| format!("not for {}", wrong.join(", ")));
    Ok(Outcome::of(all.len(), wrong.len()).with(why))
}

fn command(o: &Options, rustc: &Path, target: &str, dir: &Path) -> Cmd<'static> {
    let (cargo, package) = (rustc.with_file_name("cargo"), "slackwater-ffi");
    cmd!("{cargo} check --quiet --locked --package {package} --target {target}")
        .args(["--no-default-features", "--features", "without-c"])
        .arg("-Zbuild-std=std,panic_abort")
        // Only what runs while building is built, and it runs for a moment.
        .args(["--config", "profile.dev.package.\"*\".opt-level=0"])
        .args(o.offline())
        .env("RUSTC", rustc)
        .env("CARGO_TARGET_DIR", dir)
        // Building the standard library is not among what a released compiler offers.
        .env("RUSTC_BOOTSTRAP", "1")
        .env_remove("RUSTUP_TOOLCHAIN")
        // So that no SQLite is looked for: nothing is linked.
        .env("SQLITE3_LIB_DIR", dir.join("no-sqlite"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_processor_of_the_package_is_checked_without_c() {
        assert!(triple("mips").is_err());
        let (o, dir) = (Options::default(), Path::new("/d"));
        for processor in Description::read().unwrap().processors().unwrap() {
            let target = triple(processor).unwrap();
            let said = command(&o, Path::new("/x/rustc"), target, dir).to_string();
            assert!(said.contains("--no-default-features --features without-c"));
            assert!(said.contains(&format!("--target {target}")), "{said}");
        }
    }
}
