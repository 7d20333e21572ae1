//! Runs the app's tests on Android's own framework code, by Robolectric, on two releases, and
//! measures there what a large store costs.

use crate::Options;
use crate::android::{Android, java_for_newest, test_sources};
use crate::bindings::platform;
use crate::maven::{Failure, read_reports, tests_in};
use crate::run::{clear, cmd, files_under, put, root};
use crate::test::Outcome;
use anyhow::{Result, anyhow, ensure};
use fs_err as fs;
use std::path::{Path, PathBuf};

/// Builds the app and its tests and runs them, or those of one class, on the newest and the oldest
/// release.
pub fn run(o: &Options) -> Result<Outcome> {
    let bench = Bench::build(o)?;
    let (classes, written) = tests(o.only.as_deref().as_slice())?;
    let said = &bench.android.said;
    let (newest, oldest) = (said.of("targetSdk")?, said.of("minSdk")?);
    println!("android: {written} tests on API {newest} and on API {oldest}");
    let on = |sdk| bench.run(&bench.android, sdk, &classes, &bench.library);
    // Each keeps one core busy.
    let (first, second) = std::thread::scope(|s| {
        let first = s.spawn(|| on(newest));
        let second = on(oldest);
        (first.join(), second)
    });
    let first = first.map_err(|_| anyhow!("the run on API {newest} broke"))?;
    let mut sum = Outcome::default();
    for (sdk, ran) in [(newest, first), (oldest, second)] {
        let mut ran = ran?.0.of_written(written, "");
        for why in &mut ran.wrong {
            *why = format!("API {sdk}: {why}");
        }
        sum = sum.and(ran);
    }
    Ok(sum)
}

/// The test classes and how many tests are written in them, by their sources: all, or only those
/// named, without their packages.
pub fn tests(only: &[&str]) -> Result<(Vec<String>, usize)> {
    let (mut classes, mut count) = (Vec::new(), 0);
    for file in test_sources().iter().flat_map(|s| files_under(s)) {
        let here = tests_in(&fs::read_to_string(&file)?);
        let name = file.file_stem().unwrap_or_default();
        if here > 0 && (only.is_empty() || only.iter().any(|o| name == *o)) {
            count += here;
            // Packages follow folders.
            let path = file.with_extension("").display().to_string();
            let class = path.rsplit("/kotlin/").next().unwrap_or_default();
            classes.push(class.replace('/', "."));
        }
    }
    let found = !classes.is_empty() && (only.is_empty() || classes.len() == only.len());
    ensure!(found, "the app has no such class of tests {only:?}");
    Ok((classes, count))
}

/// What came of a run, and what those say that failed.
type Ran = Result<(Outcome, Vec<Failure>)>;

/// The app, and what runs its tests.
pub struct Bench {
    /// The app as it is.
    pub android: Android,
    /// The folder of the core's library for this machine, as the binding carries it.
    pub library: PathBuf,
    java: PathBuf,
}

impl Bench {
    /// Builds the app and its tests.
    pub fn build(o: &Options) -> Result<Self> {
        let android = Android::build(o, true)?;
        let resources = root().join("bindings/kotlin/src/generated/resources");
        Ok(Self {
            library: resources.join(platform()?.0),
            java: java_for_newest(&android.dir)?,
            android,
        })
    }

    /// Runs test classes of an app on one release, with the core's library out of a folder.
    pub fn run(&self, app: &Android, sdk: &str, classes: &[String], library: &Path) -> Ran {
        let folders = ["config", "shots", "reports"].map(|d| format!("{d}-{sdk}"));
        let [config, shots, reports] = folders.map(|folder| app.dir.join(folder));
        let properties = format!(
            "android_merged_manifest={}\nandroid_resource_apk={}\nandroid_custom_package={}\n",
            app.made("manifest.xml").display(),
            app.made("resources.ap_").display(),
            app.said.of("applicationId")?,
        );
        let file = config.join("com/android/tools/test_config.properties");
        put(&file, properties.as_bytes())?;
        let file = config.join("robolectric.properties");
        let properties = format!("sdk={sdk}\ngraphicsMode=NATIVE\n");
        put(&file, properties.as_bytes())?;
        clear(&reports)?;
        fs::create_dir_all(&shots)?;

        let mut classpath = vec![config];
        classpath.extend(["test", "app", "binding", "r"].map(|c| app.classes(c)));
        classpath.extend(["test", "main"].iter().flat_map(|of| app.jars(of)));
        // Last, and not instrumented: what the tests are loaded against before Robolectric takes
        // over.
        classpath.push(app.framework(16)?);
        let (java, frameworks) = (&self.java, app.dir.join("frameworks"));
        let shell = root().join("android-shell");
        // Android's own code reaches into Java's, where on a phone it is at home.
        let opened = "--add-opens=java.base/java.io=ALL-UNNAMED";
        let console = "org.junit.platform.console.ConsoleLauncher";
        let selected = classes.iter().flat_map(|class| ["--select-class", class]);
        let tests = cmd!(
            "{java} -Xmx2g {opened} --enable-native-access=ALL-UNNAMED
             -Drobolectric.offline=true -Drobolectric.pixelCopyRenderMode=hardware
             -Drobolectric.dependency.dir={frameworks} -Djna.library.path={library}
             -Dslackwater.shots={shots} -Dslackwater.shell={shell}
             {console} execute --disable-banner --disable-ansi-colors --details=summary
             --reports-dir {reports} --include-classname .* {selected...}"
        );
        let tests = tests.env("CLASSPATH", std::env::join_paths(classpath)?);
        // Cargo lays its own folders there, and the core's library would be found though the app
        // has none.
        let tests = tests.env_remove("LD_LIBRARY_PATH");
        let tests = tests.env_remove("DYLD_FALLBACK_LIBRARY_PATH");
        let out = tests.ignore_status().output()?;
        let text = [out.stdout, out.stderr].concat();
        let text = String::from_utf8_lossy(&text);
        let mut said: Vec<_> = text.lines().collect();
        // Of each stack only what is ours.
        said.retain(|l| !l.trim_start().starts_with("at ") || l.contains("slackwater"));
        println!("android: API {sdk}\n{}", said.join("\n"));
        let ran = read_reports(&reports)?;
        // It ends badly where tests failed, and else because it broke.
        let whole = out.status.success() == (ran.0.failed == 0);
        ensure!(whole, "the tests on API {sdk} ended without a count");
        Ok(ran)
    }
}

/// Events in the large store.
const EVENTS: &str = "100000";

/// Builds the app and a store of a season, and measures on the newest release; a class prints what
/// it finds. False where it could not be measured to the end.
pub fn measure(o: &Options) -> Result<bool> {
    let bench = Bench::build(o)?;
    let app = &bench.android;
    season(o, &app.dir.join("season"))?;
    let sdk = app.said.of("targetSdk")?;
    let classes = ["org.slackwater.app.Measures".to_string()];
    let (count, _) = bench.run(app, sdk, &classes, &bench.library)?;
    Ok(count.passed > 0 && count.failed == 0)
}

/// Makes the large store, unless it is there.
fn season(o: &Options, folder: &Path) -> Result<()> {
    if folder.join("slackwater.db").is_file() {
        return Ok(());
    }
    println!("measure: a store of {EVENTS} events, made once");
    let half = folder.with_extension("half");
    let _ = fs::remove_dir_all(&half);
    let (profile, offline) = (&o.profile, o.offline());
    let run = cmd!("cargo run --quiet --package slackwater-checks --bin bench_store {offline...}");
    let make = run.args(["--profile", profile, "--", "make"]);
    make.arg(&half).arg(EVENTS).run()?;
    let made = half.join("slackwater.db").is_file();
    ensure!(made, "no store was made in {}", half.display());
    // What was only begun is never taken for it.
    Ok(fs::rename(&half, folder)?)
}
