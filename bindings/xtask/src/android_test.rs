//! Runs the app's tests on Android's own framework code, by Robolectric, on two releases.

use crate::Options;
use crate::android::{
    Android, JAVA_FOR_TARGET, MIN_SDK, TARGET_SDK, all_files, argument_file, java_for_target,
    test_sources,
};
use crate::bindings;
use crate::maven::Count;
use crate::run::{put, root};
use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What the tests run with.
pub struct Setting<'a> {
    /// Release of Android, by its API level.
    pub sdk: u32,
    /// The Java that runs it.
    pub java: &'a Path,
    /// Folder of the core's library.
    pub library: &'a Path,
    /// Resources and manifest, linked.
    pub resources: &'a Path,
    /// Our compiled classes of the app.
    pub app: &'a Path,
}

/// How a run came out.
#[derive(Debug, PartialEq, Eq)]
pub struct Ran {
    /// Tests run, failed ones too.
    pub tests: usize,
    /// Tests that failed or broke.
    pub failed: usize,
}

/// Builds the app and its tests and runs them on the newest and the oldest release.
///
/// # Errors
/// Something is missing, can't be fetched or does not build.
pub fn run(o: &Options) -> Result<(Option<String>, Count)> {
    let target = bindings::build(o)?;
    let android = Android::at(&target)?;
    android.build(o, true)?;
    let library = library()?;
    let (classes, expected) = tests()?;
    let newer = java_for_target(&android.dir)
        .with_context(|| format!("Android {TARGET_SDK} needs Java {JAVA_FOR_TARGET} or newer"))?;
    let mut count = Count::default();
    let mut wrong = Vec::new();
    println!("android: {expected} tests on API {TARGET_SDK} and on API {MIN_SDK}");
    let (resources, app) = (android.resources(), android.classes("app"));
    let on = |sdk| {
        let setting = Setting {
            sdk,
            java: &newer,
            library: &library,
            resources: &resources,
            app: &app,
        };
        run_classes(&android, &setting, &classes)
    };
    // Each keeps one core busy.
    let (newest, oldest) = std::thread::scope(|s| {
        let newest = s.spawn(|| on(TARGET_SDK));
        let oldest = on(MIN_SDK);
        (newest.join(), oldest)
    });
    let newest = newest.unwrap_or_else(|_| bail!("the run on API {TARGET_SDK} broke"));
    for (sdk, ran) in [(TARGET_SDK, newest?), (MIN_SDK, oldest?)] {
        count.passed += ran.tests.saturating_sub(ran.failed);
        count.failed += ran.failed;
        if let Some(why) = not_all(&ran, expected) {
            wrong.push(format!("API {sdk}: {why}"));
        }
    }
    Ok(((!wrong.is_empty()).then(|| wrong.join("; ")), count))
}

/// What is wrong with a run: fewer tests than are written down have proved less than is claimed.
fn not_all(ran: &Ran, expected: usize) -> Option<String> {
    if ran.tests != expected {
        return Some(format!("{} of {expected} tests were run", ran.tests));
    }
    (ran.failed > 0).then(|| format!("{} failed", ran.failed))
}

/// The folder of the core's library for this machine, as the binding carries it.
pub fn library() -> Result<PathBuf> {
    let platform = bindings::jna_platform()?;
    let resources = root().join("bindings/kotlin/src/generated/resources");
    Ok(resources.join(platform))
}

/// The test classes and how many tests are written in them, by their sources.
pub fn tests() -> Result<(Vec<String>, usize)> {
    let (mut classes, mut count) = (Vec::new(), 0);
    for file in all_files(&test_sources()) {
        let text = std::fs::read_to_string(&file)?;
        let here = tests_in(&text);
        if here == 0 {
            continue;
        }
        classes.push(class_of(&file)?);
        count += here;
    }
    if count == 0 {
        bail!("no test among the sources of the app");
    }
    Ok((classes, count))
}

/// The class that a source is named after: packages follow folders.
fn class_of(file: &Path) -> Result<String> {
    let path = file.with_extension("").display().to_string();
    let (_, name) = path
        .rsplit_once("/kotlin/")
        .with_context(|| format!("{} is in no folder called kotlin", file.display()))?;
    Ok(name.replace(['/', '\\'], "."))
}

/// How many tests a source has.
fn tests_in(text: &str) -> usize {
    text.lines()
        .filter(|l| {
            l.trim_start()
                .strip_prefix("@Test")
                .is_some_and(|r| !r.starts_with(char::is_alphabetic))
        })
        .count()
}

/// Runs test classes on one release.
///
/// # Errors
/// Java can't be started, or ended without saying how many tests it ran.
pub fn run_classes(android: &Android, s: &Setting<'_>, classes: &[String]) -> Result<Ran> {
    let config = android.dir.join(format!("config-{}", s.sdk));
    let properties = format!(
        "android_merged_manifest={}\nandroid_resource_apk={}\nandroid_custom_package={}\n",
        android.manifest().display(),
        s.resources.display(),
        crate::android::PACKAGE,
    );
    put(
        &config.join("com/android/tools/test_config.properties"),
        properties.as_bytes(),
    )?;
    let robolectric = format!("sdk={}\ngraphicsMode=NATIVE\n", s.sdk);
    put(
        &config.join("robolectric.properties"),
        robolectric.as_bytes(),
    )?;

    let mut classpath = vec![config, android.classes("test"), s.app.to_path_buf()];
    classpath.extend(["binding", "r"].map(|c| android.classes(c)));
    classpath.extend(android.jars("test"));
    classpath.extend(android.jars("main"));
    // Last, and not instrumented: what the tests are loaded against before Robolectric takes over.
    classpath.push(android.framework()?);

    let shots = android.dir.join(format!("shots-{}", s.sdk));
    std::fs::create_dir_all(&shots)?;
    let mut c = Command::new(s.java);
    c.args([
        "-Xmx2g",
        "-Drobolectric.offline=true",
        "-Drobolectric.pixelCopyRenderMode=hardware",
    ]);
    // Android's own code reaches into Java's, where on a phone it is at home.
    c.arg("--add-opens=java.base/java.io=ALL-UNNAMED");
    c.arg("--enable-native-access=ALL-UNNAMED");
    for (key, value) in [
        ("robolectric.dependency.dir", android.frameworks()),
        ("jna.library.path", s.library.to_path_buf()),
        ("slackwater.shots", shots),
        ("slackwater.shell", root().join("android-shell")),
    ] {
        c.arg(format!("-D{key}={}", value.display()));
    }
    let classpath = std::env::join_paths(classpath)?;
    let file = android.dir.join(format!("lists/tests-{}.arguments", s.sdk));
    put(
        &file,
        argument_file(&["-cp", &classpath.to_string_lossy()]).as_bytes(),
    )?;
    c.arg(format!("@{}", file.display()));
    c.arg("org.junit.runner.JUnitCore").args(classes);
    let out = c.stdin(Stdio::null()).output().context("starting Java")?;
    let text = [out.stdout, out.stderr].concat();
    let text = String::from_utf8_lossy(&text).into_owned();
    println!("android: API {}\n{}", s.sdk, without_machinery(&text));
    read(&text).with_context(|| format!("the tests on API {} ended without a count", s.sdk))
}

/// What the tests said, without the lines of each stack that are not ours.
fn without_machinery(text: &str) -> String {
    let ours = |l: &&str| !l.trim_start().starts_with("at ") || l.contains("slackwater");
    text.lines().filter(ours).collect::<Vec<_>>().join("\n")
}

/// The closing line of JUnit's own runner.
fn read(text: &str) -> Option<Ran> {
    let number = |s: &str| {
        s.trim()
            .split(|c: char| !c.is_ascii_digit())
            .next()?
            .parse()
            .ok()
    };
    text.lines().rev().find_map(|line| {
        if let Some(rest) = line.strip_prefix("OK (") {
            return Some(Ran {
                tests: number(rest)?,
                failed: 0,
            });
        }
        let (tests, failed) = line
            .strip_prefix("Tests run: ")?
            .split_once(",  Failures: ")?;
        Some(Ran {
            tests: number(tests)?,
            failed: number(failed)?,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_runners_last_line_is_read_and_a_short_run_is_no_success() {
        let ok = read("JUnit version 4.13.2\n..\nTime: 3.1\n\nOK (12 tests)\n\n").unwrap();
        assert_eq!(
            ok,
            Ran {
                tests: 12,
                failed: 0
            }
        );
        assert_eq!(not_all(&ok, 12), None);
        assert!(not_all(&ok, 13).unwrap().contains("12 of 13"));
        let none = read("OK (0 tests)").unwrap();
        assert!(not_all(&none, 12).is_some());
        let bad = read("FAILURES!!!\nTests run: 12,  Failures: 2\n").unwrap();
        assert_eq!(
            bad,
            Ran {
                tests: 12,
                failed: 2
            }
        );
        assert!(not_all(&bad, 12).unwrap().contains("2 failed"));
        assert_eq!(read("Exception in thread main"), None);
    }

    #[test]
    fn tests_are_counted_by_their_mark() {
        let text = "@get:Rule val r = x\n    @Test fun a() {}\n@Test\n fun b() {}\n@TestOnly x\n// @Test\n";
        assert_eq!(tests_in(text), 2);
    }
}
