//! Measures the Android app on a computer: what a large store costs. Nothing is judged by time.

use crate::Options;
use crate::android::{Android, JAVA_FOR_TARGET, TARGET_SDK, java_for_target};
use crate::android_test::{Setting, library, run_classes};
use crate::bindings;
use crate::run::{cargo, run as run_command};
use anyhow::{Context, Result, bail};
use std::path::Path;

/// Events in the large store.
const EVENTS: &str = "100000";
/// The class that measures; it prints what it finds.
const MEASURES: &str = "org.slackwater.app.Measures";

/// Builds the app and a store of a season, and measures on the newest release. False where it
/// could not be measured to the end.
///
/// # Errors
/// Something is missing, can't be fetched or does not build.
pub fn run(o: &Options) -> Result<bool> {
    let target = bindings::build(o)?;
    let android = Android::at(&target)?;
    android.build(o, true)?;
    season(o, &android.dir.join("season"))?;
    let java = java_for_target(&android.dir)
        .with_context(|| format!("Android {TARGET_SDK} needs Java {JAVA_FOR_TARGET} or newer"))?;
    let setting = Setting {
        sdk: TARGET_SDK,
        java: &java,
        library: &library()?,
    };
    let ran = run_classes(&android, &setting, &[MEASURES.to_string()])?;
    Ok(ran.tests > 0 && ran.failures.is_empty())
}

/// Makes the large store, unless it is there.
fn season(o: &Options, folder: &Path) -> Result<()> {
    if folder.join("slackwater.db").is_file() {
        return Ok(());
    }
    println!("measure: a store of {EVENTS} events, made once");
    let half = folder.with_extension("half");
    let _ = std::fs::remove_dir_all(&half);
    let mut make = cargo();
    make.args(["run", "--quiet", "--package", "slackwater-checks"]);
    make.args(["--bin", "bench_store", "--profile", &o.profile]);
    if o.offline {
        make.arg("--offline");
    }
    run_command(make.arg("--").arg("make").arg(&half).arg(EVENTS))?;
    if !half.join("slackwater.db").is_file() {
        bail!("no store was made in {}", half.display());
    }
    // What was only begun is never taken for it.
    std::fs::rename(&half, folder).with_context(|| format!("keeping {}", folder.display()))
}
