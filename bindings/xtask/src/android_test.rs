//! Runs the app's tests on Android's own framework code, by Robolectric, on two releases.

use crate::Options;
use crate::android::{
    Android, JAVA_FOR_TARGET, MIN_SDK, TARGET_SDK, all_files, argument_file, java_for_target,
    test_sources,
};
use crate::bindings;
use crate::maven::{Count, tests_in};
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
}

/// How a run came out.
#[derive(Debug, PartialEq, Eq)]
pub struct Ran {
    /// Tests run, failed ones too.
    pub tests: usize,
    /// Those that failed or broke.
    pub failures: Vec<Failure>,
}

/// A test that failed.
#[derive(Debug, PartialEq, Eq)]
pub struct Failure {
    /// Its name, without its class.
    pub test: String,
    /// What it says, with its stack.
    pub says: String,
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
    let (classes, expected) = tests(o.only.as_deref().as_slice())?;
    let newer = java_for_target(&android.dir)
        .with_context(|| format!("Android {TARGET_SDK} needs Java {JAVA_FOR_TARGET} or newer"))?;
    let mut count = Count::default();
    let mut wrong = Vec::new();
    println!("android: {expected} tests on API {TARGET_SDK} and on API {MIN_SDK}");
    let on = |sdk| {
        let setting = Setting {
            sdk,
            java: &newer,
            library: &library,
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
        count.passed += ran.tests.saturating_sub(ran.failures.len());
        count.failed += ran.failures.len();
        if let Some(why) = not_all(&ran, expected) {
            wrong.push(format!("API {sdk}: {why}"));
        }
    }
    Ok(((!wrong.is_empty()).then(|| wrong.join("; ")), count))
}

/// What is wrong with a run: fewer tests than are written down have proved less than is claimed.
pub fn not_all(ran: &Ran, expected: usize) -> Option<String> {
    if ran.tests != expected {
        return Some(format!("{} of {expected} tests were run", ran.tests));
    }
    let failed = ran.failures.len();
    (failed > 0).then(|| format!("{failed} failed"))
}

/// The folder of the core's library for this machine, as the binding carries it.
pub fn library() -> Result<PathBuf> {
    let platform = bindings::jna_platform()?;
    let resources = root().join("bindings/kotlin/src/generated/resources");
    Ok(resources.join(platform))
}

/// The test classes and how many tests are written in them, by their sources: all, or only those
/// named, without their packages.
///
/// # Errors
/// A source can't be read, or there is no class of a name.
pub fn tests(only: &[&str]) -> Result<(Vec<String>, usize)> {
    let (mut classes, mut count) = (Vec::new(), 0);
    let mut unknown: Vec<&str> = only.to_vec();
    for file in all_files(&test_sources()) {
        let text = std::fs::read_to_string(&file)?;
        let here = tests_in(&text);
        if here == 0 {
            continue;
        }
        let class = class_of(&file)?;
        let name = class.rsplit('.').next().unwrap_or_default();
        if !only.is_empty() && !only.contains(&name) {
            continue;
        }
        unknown.retain(|u| *u != name);
        classes.push(class);
        count += here;
    }
    if !unknown.is_empty() {
        bail!("no test class {} for the app", unknown.join(", "));
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

/// Runs test classes on one release.
///
/// # Errors
/// Java can't be started, or ended without saying how many tests it ran.
pub fn run_classes(android: &Android, s: &Setting<'_>, classes: &[String]) -> Result<Ran> {
    let config = android.dir.join(format!("config-{}", s.sdk));
    let properties = format!(
        "android_merged_manifest={}\nandroid_resource_apk={}\nandroid_custom_package={}\n",
        android.manifest().display(),
        android.resources().display(),
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

    let mut classpath = vec![config];
    classpath.extend(["test", "app", "binding", "r"].map(|c| android.classes(c)));
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
    // Cargo lays its own folders there, and the core's library would be found though the app has none.
    for key in ["LD_LIBRARY_PATH", "DYLD_FALLBACK_LIBRARY_PATH"] {
        c.env_remove(key);
    }
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

/// What JUnit's own runner says: its closing line, and each failure.
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
                failures: Vec::new(),
            });
        }
        let (tests, failed) = line
            .strip_prefix("Tests run: ")?
            .split_once(",  Failures: ")?;
        let failures = failures(text);
        // One that can't be read is still one.
        (Some(failures.len()) == number(failed)).then_some(())?;
        Some(Ran {
            tests: number(tests)?,
            failures,
        })
    })
}

/// The numbered failures: `1) test(package.Class)`, then what it says.
fn failures(text: &str) -> Vec<Failure> {
    let mut found: Vec<Failure> = Vec::new();
    for line in text.lines() {
        let start = format!("{}) ", found.len() + 1);
        let named = line.strip_prefix(&start).and_then(|l| l.strip_suffix(')'));
        if let Some((test, _)) = named.and_then(|n| n.split_once('(')) {
            found.push(Failure {
                test: test.to_string(),
                says: String::new(),
            });
        } else if let Some(last) = found.last_mut() {
            last.says.push_str(line);
            last.says.push('\n');
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_runners_last_line_is_read_and_a_short_run_is_no_success() {
        let ok = read("JUnit version 4.13.2\n..\nTime: 3.1\n\nOK (12 tests)\n\n").unwrap();
        assert_eq!((ok.tests, ok.failures.len()), (12, 0));
        assert_eq!(not_all(&ok, 12), None);
        assert!(not_all(&ok, 13).unwrap().contains("12 of 13"));
        let none = read("OK (0 tests)").unwrap();
        assert!(not_all(&none, 12).is_some());
        let said = "There were 2 failures:\n1) one(a.B)\njava.lang.Error: because\n\tat x\n\
                    2) two(a.B)\njava.lang.Error\n\nFAILURES!!!\nTests run: 12,  Failures: 2\n";
        let bad = read(said).unwrap();
        assert_eq!((bad.tests, bad.failures.len()), (12, 2));
        assert_eq!(bad.failures[0].test, "one");
        assert!(bad.failures[0].says.contains("because"));
        assert!(!bad.failures[1].says.contains("because"));
        assert!(not_all(&bad, 12).unwrap().contains("2 failed"));
        // It says two, and one can be read: nothing is claimed.
        assert_eq!(read(&said.replace("2) two", "two")), None);
        assert_eq!(read("Exception in thread main"), None);
    }
}
