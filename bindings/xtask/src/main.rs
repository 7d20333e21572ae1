//! The one entry to build, show and test Slackwater: `cargo xtask help`.

mod android;
mod android_test;
mod apk;
mod app;
mod bindings;
mod description;
mod doctor;
mod faults;
mod kotlin_style;
mod maven;
mod run;
mod targets;
mod test;

use anyhow::Result;
use clap::builder::PossibleValuesParser;
use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;

/// Builds, shows and tests Slackwater
#[derive(Parser)]
#[command(name = "xtask", bin_name = "cargo xtask")]
struct Cli {
    #[command(subcommand)]
    command: Command,
    #[command(flatten)]
    options: Options,
}

#[derive(Subcommand)]
enum Command {
    /// Open the phone screens in a window on the demo rig
    App {
        /// Draw every screen to a PNG in this folder instead, no display needed
        #[arg(long, value_name = "DIR")]
        shots: Option<PathBuf>,
    },
    /// Test everything, or only the parts named
    Test {
        #[arg(value_parser = PossibleValuesParser::new(test::names()))]
        parts: Vec<String>,
    },
    /// Lay out all Rust and all Kotlin
    Fmt {
        /// Said or not, it does
        #[arg(long, hide = true)]
        write: bool,
    },
    /// Build the library and write its Kotlin, Swift and Python
    Bindings,
    /// The Android app as a package: by D8, with --release by R8; signed with a key for trying it.
    /// Holds the core where ANDROID_NDK_HOME is set
    Apk,
    /// Put faults into the Android app on purpose: its tests must find each
    Faults,
    /// Measure the Android app on a store of 100,000 events; nothing is judged
    Measure,
    /// Say what is missing on this machine and how to get it
    Doctor,
}

/// What every command may be told.
#[derive(Args, Debug, Default, Clone)]
pub struct Options {
    /// The Cargo profile of the library
    #[arg(long, global = true, value_name = "NAME", default_value = "dev")]
    pub profile: String,
    /// The same as --profile release
    #[arg(long, global = true, conflicts_with = "profile")]
    release: bool,
    /// Fetch nothing, use what was fetched before
    #[arg(long, global = true, env = "CARGO_NET_OFFLINE")]
    offline: bool,
    /// With app --shots: those whose name has this regular expression; with test: of the Android
    /// tests those of this class
    #[arg(long, global = true, value_name = "WHICH")]
    pub only: Option<String>,
    /// With app --shots: as on a phone set to this language (BCP 47), at the text size as delivered
    #[arg(long, global = true, value_name = "TAG")]
    pub language: Option<String>,
}

impl Options {
    /// What Cargo and Maven are told where neither may fetch.
    pub fn offline(&self) -> Option<&'static str> {
        self.offline.then_some("--offline")
    }
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    let good = dispatch(cli.command, cli.options).unwrap_or_else(|e| {
        eprintln!("xtask: {e:#}");
        false
    });
    ExitCode::from(u8::from(!good))
}

/// Runs the command; `false` where it ran and found something wrong that it has printed.
fn dispatch(command: Command, mut o: Options) -> Result<bool> {
    if o.release {
        o.profile = "release".into();
    }
    match command {
        Command::App { shots: None } => app::open(&o)?,
        Command::App { shots: Some(dir) } => app::draw(&o, &dir)?,
        Command::Test { parts } => return test::run(&o, &parts),
        Command::Fmt { .. } => kotlin_style::format_all(&o)?,
        Command::Bindings => drop(bindings::build(&o)?),
        Command::Apk => apk::build(&o)?,
        Command::Faults => return test::run(&o, &["faults".into()]),
        Command::Measure => return android_test::measure(&o),
        Command::Doctor => return Ok(doctor::run()),
    }
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn options_are_read_and_what_no_command_knows_is_named() {
        Cli::command().debug_assert();
        let parse = |words: &str| Cli::try_parse_from(format!("x {words}").split(' '));
        let o = parse("app --shots out --only ^hold --profile x --offline");
        let o = o.unwrap().options;
        assert_eq!((o.profile.as_str(), o.offline()), ("x", Some("--offline")));
        assert!(parse("apk --release").unwrap().options.release);
        for right in ["test core android --only EdgesTest", "test", "fmt --write"] {
            assert!(parse(right).is_ok(), "{right}");
        }
        for wrong in ["app --shots", "app --shots --offline", "app --hots"] {
            assert!(parse(wrong).is_err(), "{wrong}");
        }
        let refused = parse("test pyhton").err().unwrap().to_string();
        assert!(refused.contains("pyhton") && refused.contains("kotlin-style"));
    }
}
