//! `cargo xtask doctor`: what is missing on this machine, and the one command that brings it.

use crate::run::{root, which};
use anyhow::{Result, bail};
use std::path::PathBuf;
use std::process::Command;

/// The oldest Java that the screens run on.
const JAVA: u32 = 17;

/// The families of systems whose package command we can name.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum System {
    Debian,
    Fedora,
    Arch,
    Mac,
    Windows,
    Other,
}

fn system() -> System {
    match std::env::consts::OS {
        "macos" => System::Mac,
        "windows" => System::Windows,
        _ if which("apt-get").is_some() => System::Debian,
        _ if which("dnf").is_some() => System::Fedora,
        _ if which("pacman").is_some() => System::Arch,
        _ => System::Other,
    }
}

/// The one command that brings a tool, on this machine.
pub fn how_to_get(tool: &str) -> String {
    how_to_get_on(system(), is_root(), tool)
}

#[cfg(unix)]
fn is_root() -> bool {
    Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|o| o.stdout.trim_ascii() == b"0")
}
#[cfg(not(unix))]
fn is_root() -> bool {
    false
}

fn how_to_get_on(system: System, root: bool, tool: &str) -> String {
    let packages = match (system, tool) {
        (System::Debian, "java") => "default-jdk",
        (System::Debian, "maven" | "xvfb" | "python3") => tool,
        (System::Debian, "skia") => "libgl1 fontconfig libx11-6",
        (System::Debian, "cc") => "build-essential",
        (System::Debian, "aapt2") => "aapt",
        (System::Debian, "rust-src") => "rustc-web cargo-web rust-web-src",
        (System::Debian, "pip") => "python3-pip",
        (System::Debian, "unzip" | "zipalign" | "apksigner") => tool,
        (System::Fedora, "java") => "java-latest-openjdk-devel",
        (System::Fedora, "xvfb") => "xorg-x11-server-Xvfb",
        (System::Fedora, "skia") => "libglvnd-glx fontconfig libX11",
        (System::Fedora, "cc") => "gcc",
        (System::Fedora, "maven" | "python3") => tool,
        (System::Arch, "java") => "jdk-openjdk",
        (System::Arch, "xvfb") => "xorg-server-xvfb",
        (System::Arch, "skia") => "libglvnd fontconfig libx11",
        (System::Arch, "cc") => "base-devel",
        (System::Arch, "maven") => "maven",
        (System::Arch, "python3") => "python",
        (System::Mac, "java") => "openjdk@21",
        (System::Mac, "maven") => "maven",
        (System::Mac, "python3") => "python",
        (System::Mac, "cc" | "swift") => return "xcode-select --install".into(),
        (System::Windows, "java") => "EclipseAdoptium.Temurin.21.JDK",
        (System::Windows, "python3") => "Python.Python.3.12",
        (_, "swift") => {
            return "install Swift 6 or newer, as its makers describe for your system".into();
        }
        (_, "rust-src") => return "rustup component add rust-src".into(),
        (_, "rust") => return "install Rust with rustup, then `rustup update stable`".into(),
        (_, tool) => return format!("install {tool} in your system's way"),
    };
    let sudo = if root { "" } else { "sudo " };
    match system {
        System::Debian => format!("{sudo}apt-get install -y {packages}"),
        System::Fedora => format!("{sudo}dnf install -y {packages}"),
        System::Arch => format!("{sudo}pacman -S --noconfirm {packages}"),
        System::Mac => format!("brew install {packages}"),
        System::Windows => format!("winget install {packages}"),
        System::Other => format!("install {packages} in your system's way"),
    }
}

/// The Java program of a JDK that is new enough: `JAVA_HOME` first, as Maven does.
///
/// # Errors
/// There is none, or it is too old or only a runtime; the message says how to get one.
pub fn need_java() -> Result<PathBuf> {
    let exe = |name: &str| {
        std::env::var_os("JAVA_HOME")
            .map(|home| PathBuf::from(home).join("bin").join(name))
            .filter(|p| p.with_extension(std::env::consts::EXE_EXTENSION).is_file() || p.is_file())
            .or_else(|| which(name))
    };
    let get = how_to_get("java");
    let Some(java) = exe("java") else {
        bail!("a JDK is missing, {JAVA} or newer: {get}");
    };
    if exe("javac").is_none() {
        bail!("there is a Java runtime but no JDK (no javac): {get}");
    }
    let out = Command::new(&java).arg("-version").output()?;
    let text = String::from_utf8_lossy(&out.stderr).into_owned();
    match java_version(&text) {
        Some(v) if v >= JAVA => Ok(java),
        Some(v) => bail!("Java {v} is too old, {JAVA} or newer is needed: {get}"),
        None => bail!(
            "`java -version` says nothing that can be read: {:?}",
            text.trim()
        ),
    }
}

/// The main number in what `java -version` prints.
pub fn java_version(text: &str) -> Option<u32> {
    let quoted = text.split('"').nth(1)?;
    let mut parts = quoted.split(|c: char| !c.is_ascii_digit());
    match parts.next()?.parse().ok()? {
        1 => parts.next()?.parse().ok(),
        v => Some(v),
    }
}

/// Something to show a window on.
///
/// # Errors
/// There is no display; the message says what works without one.
pub fn need_display() -> Result<()> {
    let there = ["DISPLAY", "WAYLAND_DISPLAY"]
        .iter()
        .any(|v| std::env::var_os(v).is_some_and(|v| !v.is_empty()));
    if cfg!(target_os = "linux") && !there {
        bail!(
            "there is no display here; `cargo xtask app --shots DIR` draws every screen to a PNG \
             without one, or run it under `xvfb-run -a` ({})",
            how_to_get("xvfb")
        );
    }
    Ok(())
}

/// One line of the answer.
struct Finding {
    name: &'static str,
    for_what: &'static str,
    /// Found (what), or missing (how to get it).
    state: std::result::Result<String, String>,
    /// Whether `cargo xtask test` fails without it.
    needed: bool,
}

/// Prints what is there and what is missing; true if nothing needed is missing.
///
/// # Errors
/// None so far; the signature is that of every command.
pub fn run() -> Result<bool> {
    let findings = findings();
    let width = findings.iter().map(|f| f.name.len()).max().unwrap_or(0);
    for f in &findings {
        match &f.state {
            Ok(what) => println!("  there    {:width$}  {what}", f.name),
            Err(how) => println!(
                "  {:8} {:width$}  for {}: {how}",
                if f.needed { "MISSING" } else { "no" },
                f.name,
                f.for_what
            ),
        }
    }
    let missing = findings
        .iter()
        .filter(|f| f.needed && f.state.is_err())
        .count();
    println!(
        "{}",
        match missing {
            0 =>
                "everything that `cargo xtask test` and `cargo xtask app` need is there".to_string(),
            n => format!("{n} missing; Maven's and Cargo's own downloads come by themselves later"),
        }
    );
    Ok(missing == 0)
}

fn findings() -> Vec<Finding> {
    let tool = |name: &'static str, program: &str, arg: &str, for_what, needed| Finding {
        name,
        for_what,
        needed,
        state: match which(program) {
            Some(path) => Ok(first_line(&path, arg)),
            None => Err(how_to_get(name)),
        },
    };
    let python = python();
    let mut all = vec![
        tool("rust", "cargo", "--version", "everything", true),
        tool(
            "cc",
            "cc",
            "--version",
            "SQLite, which is built with the core",
            true,
        ),
        Finding {
            name: "java",
            for_what: "the phone screens and the Kotlin binding",
            needed: true,
            state: need_java()
                .map(|java| first_line(&java, "-version"))
                .map_err(|e| e.to_string()),
        },
        tool(
            "maven",
            "mvn",
            "--version",
            "the phone screens and the Kotlin binding",
            true,
        ),
        Finding {
            name: "python3",
            for_what: "the Python binding",
            needed: true,
            state: python
                .map(|p| first_line(&p, "--version"))
                .ok_or_else(|| how_to_get("python3")),
        },
        tool(
            "swift",
            "swift",
            "--version",
            "the Swift binding (skipped without it)",
            false,
        ),
        tool(
            "aapt2",
            "aapt2",
            "version",
            "the Android app (skipped without it)",
            false,
        ),
        tool(
            "unzip",
            "unzip",
            "-v",
            "the Android app (skipped without it)",
            false,
        ),
        Finding {
            name: "rust-src",
            for_what: "the core looked through for phones (skipped without it)",
            needed: false,
            state: crate::targets::toolchain()
                .map(|t| t.shown())
                .map_err(|_| how_to_get("rust-src")),
        },
        tool("zipalign", "zipalign", "-h", "`cargo xtask apk`", false),
        tool(
            "apksigner",
            "apksigner",
            "--version",
            "`cargo xtask apk`",
            false,
        ),
    ];
    if cfg!(target_os = "linux") {
        let libraries = ["libGL.so.1", "libfontconfig.so.1", "libX11.so.6"];
        let lost: Vec<_> = libraries
            .iter()
            .copied()
            .filter(|l| !has_library(l))
            .collect();
        all.push(Finding {
            name: "skia",
            for_what: "drawing the phone screens",
            needed: true,
            state: if lost.is_empty() {
                Ok(libraries.join(", "))
            } else {
                Err(format!(
                    "{} not found: {}",
                    lost.join(", "),
                    how_to_get("skia")
                ))
            },
        });
    }
    all.push(Finding {
        name: "display",
        for_what: "`cargo xtask app` without --shots",
        needed: false,
        state: need_display()
            .map(|()| "a window can be shown".to_string())
            .map_err(|e| e.to_string()),
    });
    all.push(Finding {
        name: "phone shell",
        for_what: "`cargo xtask app`",
        needed: true,
        state: if root().join("android-shell/pom.xml").is_file() {
            Ok("android-shell/pom.xml".to_string())
        } else {
            Err("android-shell/pom.xml is not in this copy of the project".to_string())
        },
    });
    all
}

/// Python 3, under either of its names.
pub fn python() -> Option<PathBuf> {
    which("python3").or_else(|| which("python"))
}

fn has_library(name: &str) -> bool {
    let known = ["/sbin/ldconfig", "ldconfig"].iter().find_map(|p| {
        Command::new(p)
            .arg("-p")
            .output()
            .ok()
            .filter(|o| o.status.success())
            .map(|o| String::from_utf8_lossy(&o.stdout).contains(name))
    });
    // A system without ldconfig: better no warning than a wrong one.
    known.unwrap_or(true)
}

fn first_line(program: &std::path::Path, arg: &str) -> String {
    let Ok(out) = Command::new(program).arg(arg).output() else {
        return program.display().to_string();
    };
    let text = [out.stdout, out.stderr].concat();
    let text = String::from_utf8_lossy(&text);
    // Some programs colour even what goes into a pipe.
    let line: String = text.lines().next().unwrap_or_default().chars().collect();
    line.replace("\u{1b}[1m", "").replace("\u{1b}[m", "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tool_has_a_command_on_every_system() {
        use System::*;
        for system in [Debian, Fedora, Arch, Mac, Windows, Other] {
            for tool in [
                "java", "maven", "python3", "swift", "xvfb", "skia", "cc", "rust", "aapt2",
                "unzip", "rust-src",
            ] {
                let how = how_to_get_on(system, false, tool);
                assert!(how.contains(' '), "{system:?} {tool}: {how}");
            }
        }
        assert_eq!(
            how_to_get_on(Debian, true, "maven"),
            "apt-get install -y maven"
        );
        assert_eq!(
            how_to_get_on(Debian, false, "java"),
            "sudo apt-get install -y default-jdk"
        );
    }

    #[test]
    fn java_tells_its_version_in_both_ways() {
        assert_eq!(
            java_version("openjdk version \"17.0.15\" 2025-04-15"),
            Some(17)
        );
        assert_eq!(java_version("java version \"1.8.0_402\""), Some(8));
        assert_eq!(java_version("openjdk version \"25\" 2025-09-16"), Some(25));
        assert_eq!(java_version("command not found"), None);
    }
}
