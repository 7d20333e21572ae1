//! The one entry to build, show and test Slackwater: `cargo xtask help`.

mod android;
mod android_measure;
mod android_test;
mod apk;
mod app;
mod bindings;
mod doctor;
mod faults;
mod gradle;
mod kotlin_style;
mod maven;
mod run;
mod stage;
mod targets;
mod test;
mod versions;

use anyhow::{Result, bail};
use std::process::ExitCode;

const HELP: &str = "\
cargo xtask COMMAND

  app [--shots DIR]     open the phone screens in a window on the demo rig;
                        with --shots, draw every screen to a PNG in DIR, no display needed,
                        or with --only REGEX those whose name has it
  test [PART...]        test everything, or only the parts named:
                        fmt clippy versions kotlin-style rust targets python kotlin shell
                        app android faults apk swift
                        ('core' is another name for 'rust'); with --only CLASS the Android
                        tests of that class
  fmt                   lay out all Rust and all Kotlin
  bindings              build the library and write its Kotlin, Swift and Python
  apk [--release]       the Android app as a package: by D8, with --release by R8; signed with a
                        key for trying it. Holds the core where ANDROID_NDK_HOME is set
  faults                put faults into the Android app on purpose: its tests must find each
  measure               measure the Android app on a store of 100,000 events; nothing is judged
  versions [--write]    compare the versions that Maven uses with those in
                        android-shell/gradle/libs.versions.toml; --write copies them over
  doctor                say what is missing on this machine and how to get it

  --profile NAME        with app, test, bindings, apk: the Cargo profile of the library
                        (default: dev)
  --offline             fetch nothing, use what was fetched before
";

/// What every command may be told.
#[derive(Debug, Clone)]
pub struct Options {
    /// Cargo profile of the library.
    pub profile: String,
    /// Neither Cargo nor Maven may fetch.
    pub offline: bool,
    /// Where `app` puts PNGs instead of opening a window.
    pub shots: Option<String>,
    /// Which of them, by a regular expression in their names; of the Android tests, which class.
    pub only: Option<String>,
    /// `versions`: change the Maven side instead of comparing.
    pub write: bool,
    /// Whatever was named without a dash.
    pub names: Vec<String>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            profile: "dev".into(),
            offline: false,
            shots: None,
            only: None,
            write: false,
            names: Vec::new(),
        }
    }
}

impl Options {
    /// Reads the words after the command.
    ///
    /// # Errors
    /// A word that no command knows, or an option without its value.
    fn parse(words: impl Iterator<Item = String>) -> Result<Self> {
        let mut o = Self {
            offline: std::env::var_os("CARGO_NET_OFFLINE").is_some_and(|v| v == "true"),
            ..Self::default()
        };
        let mut words = words;
        while let Some(word) = words.next() {
            let mut value = |what: &str| {
                words
                    .next()
                    .filter(|v| !v.starts_with('-'))
                    .ok_or_else(|| anyhow::anyhow!("{word} needs {what} after it"))
            };
            match word.as_str() {
                "--profile" => o.profile = value("a Cargo profile, as in `--profile release`")?,
                "--release" => o.profile = "release".into(),
                "--shots" => o.shots = Some(value("a folder, as in `--shots shots`")?),
                "--only" => o.only = Some(value("what to take of them, as in `--only ^hold`")?),
                "--offline" => o.offline = true,
                "--write" => o.write = true,
                "--check" => o.write = false,
                w if w.starts_with('-') => bail!("unknown option {w}\n\n{HELP}"),
                _ => o.names.push(word),
            }
        }
        Ok(o)
    }
}

fn main() -> ExitCode {
    match dispatch() {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(e) => {
            eprintln!("xtask: {e:#}");
            ExitCode::FAILURE
        }
    }
}

/// Runs the command; `false` where it ran and found something wrong that it has printed.
fn dispatch() -> Result<bool> {
    let mut words = std::env::args().skip(1);
    let command = words.next().unwrap_or_else(|| "help".into());
    let options = Options::parse(words)?;
    let takes_names = command == "test";
    if !takes_names && !options.names.is_empty() {
        bail!("{command} takes no {:?}\n\n{HELP}", options.names.join(" "));
    }
    match command.as_str() {
        "app" => app::open(&options).map(|()| true),
        "test" => test::run(&options),
        "fmt" => kotlin_style::format_all(&options).map(|()| true),
        "bindings" => bindings::build(&options).map(|_| true),
        "apk" => apk::build(&options).map(|_| true),
        "measure" => android_measure::run(&options),
        "faults" => test::run(&Options {
            names: vec!["faults".into()],
            ..options
        }),
        "versions" => versions::run(&options),
        "doctor" => doctor::run(),
        "help" | "--help" | "-h" => {
            print!("{HELP}");
            Ok(true)
        }
        other => bail!("unknown command {other}\n\n{HELP}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(words: &[&str]) -> Result<Options> {
        Options::parse(words.iter().map(ToString::to_string))
    }

    #[test]
    fn options_are_read() {
        let o = parse(&[
            "core",
            "--profile",
            "release",
            "--shots",
            "out",
            "--offline",
        ])
        .unwrap();
        assert_eq!(
            (o.profile.as_str(), o.shots.as_deref(), o.offline),
            ("release", Some("out"), true)
        );
        assert_eq!(o.names, ["core"]);
    }

    #[test]
    fn a_missing_value_or_unknown_option_is_named() {
        assert!(
            parse(&["--shots"])
                .unwrap_err()
                .to_string()
                .contains("--shots")
        );
        assert!(parse(&["--shots", "--offline"]).is_err());
        assert!(
            parse(&["--hots"])
                .unwrap_err()
                .to_string()
                .contains("--hots")
        );
    }
}
