//! `cargo xtask doctor`: what is missing on this machine, and the one command that brings it.
//! What is looked for, and the packages that bring it, stand in `tools.toml`.

use crate::run::{cmd, which};
use crate::targets::rustc_with_source;
use anyhow::{Context, Result, anyhow, bail, ensure};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// The oldest Java that the screens run on.
const JAVA: u32 = 17;

/// The systems whose packages we can name: by their own program, and how that is called.
const SYSTEMS: [(&str, &str, &str); 5] = [
    ("debian", "apt-get", "sudo apt-get install -y"),
    ("fedora", "dnf", "sudo dnf install -y"),
    ("arch", "pacman", "sudo pacman -S --noconfirm"),
    ("mac", "brew", "brew install"),
    ("windows", "winget", "winget install"),
];

#[derive(Deserialize)]
struct Tool {
    name: String,
    #[serde(default)]
    run: String,
    #[serde(rename = "for")]
    for_what: String,
    #[serde(default)]
    needed: bool,
    /// What brings it, by system.
    #[serde(flatten)]
    packages: BTreeMap<String, String>,
}

static TOOLS: LazyLock<Vec<Tool>> = LazyLock::new(|| {
    let tools = toml::from_str(include_str!("../tools.toml"));
    let mut tools: BTreeMap<String, Vec<Tool>> = tools.unwrap_or_default();
    tools.remove("tool").unwrap_or_default()
});

/// The one command that brings a tool, on this machine.
pub fn how_to_get(tool: &str) -> String {
    let system = SYSTEMS.iter().position(|(name, program, _)| match *name {
        "mac" | "windows" => std::env::consts::OS.starts_with(name),
        _ => cfg!(target_os = "linux") && which(program).is_some(),
    });
    let how = how_to_get_on(system, tool);
    let is_root = how.starts_with("sudo") && cmd!("id -u").read().is_ok_and(|id| id == "0");
    match how.strip_prefix("sudo ").filter(|_| is_root) {
        Some(without) => without.to_string(),
        None => how,
    }
}

fn how_to_get_on(system: Option<usize>, tool: &str) -> String {
    let packages = TOOLS.iter().find(|t| t.name == tool).map(|t| &t.packages);
    let by = |system| packages.and_then(|p| p.get(system));
    let (name, _, install) = system.map_or(("", "", ""), |s| SYSTEMS[s]);
    match (by(name).map(|p| p.split_at(1)), by("otherwise")) {
        (Some(("$", command)), _) => command.trim().to_string(),
        (Some((first, rest)), _) => format!("{install} {first}{rest}"),
        (None, Some(otherwise)) => otherwise.clone(),
        (None, None) => format!("install {tool} in your system's way"),
    }
}

/// Whether a tool is here; if not, the message says for what it is needed, and how to get it.
pub fn need(name: &str) -> Result<()> {
    let tool = TOOLS.iter().find(|t| t.name == name);
    let tool = tool.with_context(|| format!("{name} is no tool"))?;
    let why = |how| anyhow!("no {name} here, for {}: {how}", tool.for_what);
    tool.find().map(|_| ()).map_err(why)
}

impl Tool {
    /// What it says of itself, or how to get it.
    fn find(&self) -> Result<String> {
        match self.name.as_str() {
            "java" => Ok(first_line(&need_java()?, "-version")),
            "python3" => Ok(first_line(&need_python()?, "--version")),
            "rust-src" => Ok(rustc_with_source()?.display().to_string()),
            "skia" => need_skia(),
            "display" => need_display().map(|()| "a window can be shown".into()),
            name => {
                let (program, arg) = self.run.split_once(' ').unwrap_or((name, ""));
                let there = which(program).map(|program| first_line(&program, arg));
                there.with_context(|| how_to_get(name))
            }
        }
    }
}

/// The Java program of a JDK that is new enough: `JAVA_HOME` first, as Maven does.
pub fn need_java() -> Result<PathBuf> {
    let home = std::env::var_os("JAVA_HOME").map(|home| Path::new(&home).join("bin"));
    let program = |name: &str| {
        let at_home = home.as_ref().map(|bin| bin.join(name));
        at_home.and_then(|p| which(&p)).or_else(|| which(name))
    };
    let get = how_to_get("java");
    let java = program("java");
    let java = java.with_context(|| format!("a JDK is missing, {JAVA} or newer: {get}"))?;
    let is_jdk = program("javac").is_some();
    ensure!(is_jdk, "there is Java but no JDK (no javac): {get}");
    let v = java_version(&java).context("`java -version` says nothing that can be read")?;
    ensure!(v >= JAVA, "Java {v} is older than {JAVA}: {get}");
    Ok(java)
}

/// The main number of a Java.
pub fn java_version(java: &Path) -> Option<u32> {
    read_version(&cmd!("{java} -version").read_stderr().ok()?)
}

fn read_version(text: &str) -> Option<u32> {
    let quoted = text.split('"').nth(1)?;
    let mut parts = quoted.split(|c: char| !c.is_ascii_digit());
    match parts.next()?.parse().ok()? {
        1 => parts.next()?.parse().ok(),
        v => Some(v),
    }
}

/// Python 3, under either of its names.
pub fn need_python() -> Result<PathBuf> {
    let python = which("python3").or_else(|| which("python"));
    python.with_context(|| format!("Python is missing: {}", how_to_get("python3")))
}

/// Something to show a window on.
pub fn need_display() -> Result<()> {
    let is_set = |v| std::env::var_os(v).is_some_and(|v| !v.is_empty());
    if cfg!(target_os = "linux") && !is_set("DISPLAY") && !is_set("WAYLAND_DISPLAY") {
        bail!(
            "there is no display here; `cargo xtask app --shots DIR` draws every screen to a PNG \
             without one, or run it under `xvfb-run -a` ({})",
            how_to_get("display")
        );
    }
    Ok(())
}

/// The libraries that draw, as the system's linker knows them.
fn need_skia() -> Result<String> {
    let wanted = ["libGL.so.1", "libfontconfig.so.1", "libX11.so.6"];
    let ldconfig = |path: &&str| cmd!("{path} -p").ignore_stderr().read().ok();
    let known = ["/sbin/ldconfig", "ldconfig"].iter().find_map(ldconfig);
    // A system without ldconfig: better no warning than a wrong one.
    let lost = |l: &&str| known.as_ref().is_some_and(|known| !known.contains(l));
    let lost: Vec<_> = wanted.into_iter().filter(lost).collect();
    let (names, get) = (lost.join(", "), how_to_get("skia"));
    ensure!(lost.is_empty(), "{names} not found: {get}");
    Ok(wanted.join(", "))
}

/// Prints what is there and what is missing; true if nothing that `cargo xtask test` needs is.
pub fn run() -> bool {
    let mut missing = 0;
    for tool in TOOLS.iter() {
        let (name, for_what) = (&tool.name, &tool.for_what);
        if name == "skia" && cfg!(not(target_os = "linux")) {
            continue;
        }
        let state = tool.find();
        missing += usize::from(tool.needed && state.is_err());
        match state {
            Ok(what) => println!("  there    {name:10}  {what}"),
            Err(how) if tool.needed => println!("  MISSING  {name:10}  for {for_what}: {how}"),
            Err(how) => println!("  no       {name:10}  for {for_what}: {how}"),
        }
    }
    match missing {
        0 => println!("everything that `cargo xtask test` and `cargo xtask app` need is there"),
        n => println!("{n} missing; Maven's and Cargo's own downloads come by themselves later"),
    }
    missing == 0
}

fn first_line(program: &Path, arg: &str) -> String {
    let Ok(out) = cmd!("{program} {arg}").ignore_status().output() else {
        return program.display().to_string();
    };
    let text = [out.stdout, out.stderr].concat();
    let text = String::from_utf8_lossy(&text);
    // Some programs colour even what goes into a pipe.
    let line = text.lines().next().unwrap_or_default();
    line.replace("\u{1b}[1m", "").replace("\u{1b}[m", "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tool_has_a_command_on_every_system() {
        assert!(TOOLS.iter().any(|t| t.needed));
        for tool in TOOLS.iter() {
            for system in (0..SYSTEMS.len()).map(Some).chain([None]) {
                let how = how_to_get_on(system, &tool.name);
                assert!(how.contains(' ') && !how.contains('$'), "{how}");
            }
            let known = |s: &String| s == "otherwise" || SYSTEMS.iter().any(|k| k.0 == s);
            assert!(tool.packages.keys().all(known), "{}", tool.name);
        }
        let on = |system, tool| how_to_get_on(Some(system), tool);
        assert_eq!(on(0, "maven"), "sudo apt-get install -y maven");
        assert_eq!(on(3, "cc"), "xcode-select --install");
        assert_eq!(on(1, "rust-src"), "rustup component add rust-src");
        assert_eq!(on(4, "aapt2"), "install aapt2 in your system's way");
    }

    #[test]
    fn java_tells_its_version_in_both_ways() {
        let java = |said| read_version(&format!("{said} 2025-04-15"));
        assert_eq!(java("openjdk version \"17.0.15\""), Some(17));
        assert_eq!(java("java version \"1.8.0_402\""), Some(8));
        assert_eq!(java("openjdk version \"25\""), Some(25));
        assert_eq!(java("command not found"), None);
    }
}
