//! Looks the core and its surface through for the processors of phones, without a phone's compiler:
//! the standard library is checked along with them from its source, and what would be C is left out
//! (the core's feature `without-c`). It finds what doesn't compile there, such as a number that
//! 32 bits can't hold; it links nothing.

use crate::Options;
use crate::doctor::how_to_get;
use crate::maven::Count;
use crate::run::{hear, output, root, target, which};
use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The processors that a package for phones carries the core for: Rust's name, Android's name.
pub const TARGETS: [(&str, &str); 3] = [
    ("aarch64-linux-android", "arm64-v8a"),
    ("armv7-linux-androideabi", "armeabi-v7a"),
    ("x86_64-linux-android", "x86_64"),
];

/// What the whole standard library is built of, and without which no core could be checked.
const SOURCE: &str = "lib/rustlib/src/rust/library/std/Cargo.toml";

/// A compiler whose standard library's source lies beside it, and its Cargo.
#[derive(Debug, PartialEq, Eq)]
pub struct Toolchain {
    rustc: PathBuf,
    cargo: PathBuf,
}

impl Toolchain {
    /// Its name, for a list.
    pub fn shown(&self) -> String {
        self.rustc.display().to_string()
    }
}

/// The compiler in use, or Debian's, whichever has the source.
///
/// # Errors
/// Neither has it; the message says how to get it.
pub fn toolchain() -> Result<Toolchain> {
    let mut candidates: Vec<PathBuf> = which("rustc").into_iter().collect();
    candidates.push("/usr/bin/rustc".into());
    for rustc in candidates.into_iter().filter(|r| r.is_file()) {
        let sysroot = output(Command::new(&rustc).args(["--print", "sysroot"]))?;
        let cargo = rustc.with_file_name("cargo");
        if Path::new(sysroot.trim()).join(SOURCE).is_file() && cargo.is_file() {
            return Ok(Toolchain { rustc, cargo });
        }
    }
    bail!(
        "no Rust with the source of its standard library: {}",
        how_to_get("rust-src")
    )
}

/// Checks each target: what is wrong, and the targets counted.
///
/// # Errors
/// There is no toolchain for it.
pub fn check(o: &Options) -> Result<(Option<String>, Count)> {
    let toolchain = toolchain()?;
    let dir = target()?.join("targets");
    let nothing = dir.join("no-sqlite");
    std::fs::create_dir_all(&nothing).with_context(|| format!("making {}", nothing.display()))?;
    let mut count = Count::default();
    let mut wrong = Vec::new();
    for (target, _) in TARGETS {
        println!("targets: {target}");
        if hear(&mut command(o, &toolchain, target, &dir, &nothing))?.ok {
            count.passed += 1;
        } else {
            count.failed += 1;
            wrong.push(target);
        }
    }
    let wrong = (!wrong.is_empty()).then(|| format!("not for {}", wrong.join(", ")));
    Ok((wrong, count))
}

fn command(o: &Options, t: &Toolchain, target: &str, dir: &Path, nothing: &Path) -> Command {
    let mut c = Command::new(&t.cargo);
    c.current_dir(root());
    c.args([
        "check",
        "--quiet",
        "--locked",
        "--package",
        "slackwater-ffi",
    ]);
    c.args(["--no-default-features", "--features", "without-c"]);
    c.args(["--target", target, "-Zbuild-std=std,panic_abort"]);
    // Only what runs while building is built, and it runs for a moment.
    c.args(["--config", "profile.dev.package.\"*\".opt-level=0"]);
    if o.offline {
        c.arg("--offline");
    }
    c.env("RUSTC", &t.rustc).env("CARGO_TARGET_DIR", dir);
    // Building the standard library is not among what a released compiler offers.
    c.env("RUSTC_BOOTSTRAP", "1").env_remove("RUSTUP_TOOLCHAIN");
    // So that no SQLite is looked for: nothing is linked.
    c.env("SQLITE3_LIB_DIR", nothing);
    c
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_core_is_checked_without_c_for_the_target_asked_for() {
        let t = Toolchain {
            rustc: "/x/rustc".into(),
            cargo: "/x/cargo".into(),
        };
        let o = Options::default();
        let c = command(&o, &t, TARGETS[1].0, Path::new("/d"), Path::new("/n"));
        let words: Vec<_> = c.get_args().map(|a| a.to_string_lossy()).collect();
        let said = words.join(" ");
        assert!(
            said.contains("--no-default-features --features without-c"),
            "{said}"
        );
        assert!(said.contains("--target armv7-linux-androideabi"), "{said}");
        let env: Vec<_> = c.get_envs().collect();
        assert!(env.contains(&("RUSTC".as_ref(), Some("/x/rustc".as_ref()))));
        assert!(env.contains(&("CARGO_TARGET_DIR".as_ref(), Some("/d".as_ref()))));
    }
}
