//! `cargo xtask apk`: the app as a package, by the tools that Gradle itself uses. With an NDK the
//! core for each processor of a phone is in it; without one it can't be installed to any use, and
//! its name says so.

use crate::Options;
use crate::android::{Android, MIN_SDK, PACKAGE, clear};
use crate::bindings;
use crate::doctor::how_to_get;
use crate::run::{cargo, files_under, output, root, run, which};
use crate::stage::{hash, stage};
use crate::targets::TARGETS;
use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A library that the app carries for both platforms, of which only Android's may go into a dex.
const NOT_FOR_PHONES: [&str; 2] = ["runtime-annotation-jvm", "net.java.dev.jna.jna-"];

/// What a package weighs, in bytes.
#[derive(Debug)]
pub struct Sizes {
    dex: u64,
    resources: u64,
    libraries: u64,
    package: u64,
}

/// A package and whether the core is in it.
pub struct Package {
    /// Where it is.
    pub file: PathBuf,
    /// Whether it can be installed and used.
    pub whole: bool,
    /// What it weighs.
    pub sizes: Sizes,
}

/// Builds the package, signed with a key for trying it, and looks it over.
///
/// # Errors
/// Something is missing, or does not build, or is not in the package.
pub fn build(o: &Options) -> Result<Package> {
    for tool in ["zipalign", "apksigner"] {
        if which(tool).is_none() {
            bail!("{tool} is missing: {}", how_to_get(tool));
        }
    }
    // The binding is the same whatever profile the phone's library is built with.
    let target = bindings::build(&Options {
        profile: "dev".into(),
        ..o.clone()
    })?;
    let android = Android::at(&target)?;
    android.build(o, false)?;
    let shrunk = o.profile == "release";
    let dir = android
        .dir
        .join(if shrunk { "apk-release" } else { "apk-debug" });
    std::fs::create_dir_all(&dir)?;
    let dex = dir.join("dex");
    to_dex(&android, shrunk, &dir, &dex)?;
    let libraries = dir.join("libraries");
    let whole = lay_libraries(o, &android, &libraries)?;
    let file = dir.join(match whole {
        true => "slackwater.apk",
        false => "slackwater-without-core.apk",
    });
    assemble(&android, &dir, &dex, &libraries, &file)?;
    look_over(&android, &file, &dex)?;
    let sizes = Sizes {
        dex: weight(&dex, "dex"),
        resources: std::fs::metadata(android.resources())?.len(),
        libraries: weight(&libraries, "so"),
        package: std::fs::metadata(&file)?.len(),
    };
    let package = Package { file, whole, sizes };
    println!("apk: {}", told(&package));
    Ok(package)
}

/// A package in words, for whoever built it.
fn told(p: &Package) -> String {
    let mb = |bytes: u64| format!("{:.2} MB", bytes as f64 / 1e6);
    let s = &p.sizes;
    let fit = match p.whole {
        true => "signed with a key for trying it; the owner signs what goes out",
        false => "can't be used: no NDK here, so the core for a phone is not in it",
    };
    format!(
        "{}: {} (dex {}, resources {}, libraries {} unpacked); {fit}",
        p.file.display(),
        mb(s.package),
        mb(s.dex),
        mb(s.resources),
        mb(s.libraries),
    )
}

fn weight(dir: &Path, ending: &str) -> u64 {
    let files = files_under(dir).into_iter();
    files
        .filter(|f| f.extension().is_some_and(|e| e == ending))
        .filter_map(|f| f.metadata().ok())
        .map(|m| m.len())
        .sum()
}

/// All classes as a phone runs them: by R8, which leaves out what nothing reaches, or by D8.
fn to_dex(android: &Android, shrunk: bool, dir: &Path, dex: &Path) -> Result<()> {
    let mut jars = Vec::new();
    for of in ["app", "binding", "r"] {
        let jar = dir.join(format!("{of}.jar"));
        run(android
            .jdk("jar")
            .args([
                "--create",
                "--no-manifest",
                "--date=1980-01-01T00:00:02Z",
                "--file",
            ])
            .arg(&jar)
            .arg("-C")
            .arg(android.classes(of))
            .arg("."))?;
        jars.push(jar);
    }
    let for_phones = |j: &PathBuf| {
        let name = j.file_name().unwrap_or_default().to_string_lossy();
        !NOT_FOR_PHONES.iter().any(|n| name.contains(n))
    };
    jars.extend(android.jars("main").into_iter().filter(for_phones));
    jars.extend(android.jars("phone"));
    let rules = match shrunk {
        true => rules(android)?,
        false => Vec::new(),
    };
    let inputs = hash(&[jars.clone(), rules.clone()].concat())?;
    stage(dir, "dex", inputs, dex, || {
        clear(dex)?;
        let main = match shrunk {
            true => "com.android.tools.r8.R8",
            false => "com.android.tools.r8.D8",
        };
        let mut c = android.tool("-Xmx3g", main)?;
        c.args([if shrunk { "--release" } else { "--debug" }, "--min-api"]);
        c.arg(MIN_SDK.to_string());
        for r in &rules {
            c.arg("--pg-conf").arg(r);
        }
        if shrunk {
            // Whoever reads a stack out of the field needs it.
            c.arg("--pg-map-output").arg(dir.join("names.txt"));
        }
        // The framework is here without Java's own classes, which a phone has too.
        c.arg("--lib").arg(android.framework()?);
        c.arg("--lib").arg(android.jdk_home()?);
        quietly(c.arg("--output").arg(dex).args(&jars))?;
        only_code(dex)
    })?;
    Ok(())
}

/// Runs a program that talks a lot about nothing; what it says is shown only where it fails.
fn quietly(c: &mut Command) -> Result<()> {
    let out = c.output().context("starting Java")?;
    if !out.status.success() {
        let said = [out.stdout, out.stderr].concat();
        bail!("{}", String::from_utf8_lossy(&said));
    }
    Ok(())
}

/// Removes what R8 lays beside the code, but for the lists of services that it has not worked into
/// the code: a library looks for those in the package.
fn only_code(dex: &Path) -> Result<()> {
    for file in files_under(dex) {
        let is_code = file.extension().is_some_and(|e| e == "dex");
        if !is_code && !file.starts_with(dex.join("META-INF/services")) {
            std::fs::remove_file(&file)?;
        }
    }
    match dex.join("classes.dex").is_file() {
        true => Ok(()),
        false => bail!("no code came out"),
    }
}

/// What R8 must leave: by our rules, by those of the libraries, and what the manifest names.
fn rules(android: &Android) -> Result<Vec<PathBuf>> {
    let ours = root().join("android-shell/app/proguard-rules.pro");
    let mut rules = vec![ours, android.manifest_rules()];
    for of in ["main", "phone"] {
        let theirs = android.archives(of).into_iter();
        rules.extend(
            theirs
                .map(|a| a.join("proguard.txt"))
                .filter(|r| r.is_file()),
        );
    }
    match rules.iter().find(|r| !r.is_file()) {
        Some(missing) => bail!("{} is missing", missing.display()),
        None => Ok(rules),
    }
}

/// Lays out `lib/ABI/…`: the archives' own and, with an NDK, the core. True if the core is there.
fn lay_libraries(o: &Options, android: &Android, dir: &Path) -> Result<bool> {
    clear(dir)?;
    for (_, abi) in TARGETS {
        let to = dir.join("lib").join(abi);
        std::fs::create_dir_all(&to)?;
        for archive in ["main", "phone"].iter().flat_map(|of| android.archives(of)) {
            for library in files_under(&archive.join("jni").join(abi)) {
                std::fs::copy(&library, to.join(library.file_name().unwrap_or_default()))?;
            }
        }
    }
    if std::env::var_os("ANDROID_NDK_HOME").is_none() {
        return Ok(false);
    }
    if which("cargo-ndk").is_none() {
        bail!("there is an NDK but no cargo-ndk: cargo install cargo-ndk");
    }
    let mut c = cargo();
    c.arg("ndk").arg("-P").arg(MIN_SDK.to_string());
    for (_, abi) in TARGETS {
        c.args(["-t", abi]);
    }
    c.arg("-o").arg(dir.join("lib"));
    c.args([
        "build",
        "--package",
        "slackwater-ffi",
        "--lib",
        "--profile",
        &o.profile,
    ]);
    run(&mut c)?;
    for (_, abi) in TARGETS {
        for library in ["libslackwater.so", "libjnidispatch.so"] {
            if !dir.join("lib").join(abi).join(library).is_file() {
                bail!("no {library} for {abi}");
            }
        }
    }
    Ok(true)
}

/// Puts code and libraries to the resources, aligns, signs.
fn assemble(
    android: &Android,
    dir: &Path,
    dex: &Path,
    libraries: &Path,
    file: &Path,
) -> Result<()> {
    let (loose, aligned) = (dir.join("loose.apk"), dir.join("aligned.apk"));
    std::fs::copy(android.resources(), &loose).context("copying the resources")?;
    for (from, what) in [(dex, "."), (libraries, "lib")] {
        run(android
            .jdk("jar")
            .args(["--update", "--no-manifest", "--file"])
            .arg(&loose)
            .arg("-C")
            .arg(from)
            .arg(what))?;
    }
    run(Command::new("zipalign")
        .args(["-f", "4"])
        .arg(&loose)
        .arg(&aligned))?;
    let key = dir.join("key-for-trying.p12");
    if !key.is_file() {
        run(android
            .jdk("keytool")
            .args([
                "-genkeypair",
                "-keyalg",
                "RSA",
                "-keysize",
                "3072",
                "-validity",
                "30",
            ])
            .args([
                "-storetype",
                "PKCS12",
                "-storepass",
                PASSWORD,
                "-alias",
                "trying",
            ])
            .args(["-dname", "CN=For trying only", "-keystore"])
            .arg(&key))?;
    }
    run(Command::new("apksigner")
        .args(["sign", "--min-sdk-version", &MIN_SDK.to_string()])
        .args(["--ks-pass", &format!("pass:{PASSWORD}"), "--ks"])
        .arg(&key)
        .arg("--out")
        .arg(file)
        .arg(&aligned))
}

/// Of a key that proves nothing and is made anew wherever it is wanted.
const PASSWORD: &str = "for-trying";

/// Reads the package as a phone would before installing it.
fn look_over(android: &Android, file: &Path, dex: &Path) -> Result<()> {
    run(Command::new("apksigner")
        .args(["verify", "--min-sdk-version", "26"])
        .arg(file))?;
    run(Command::new("zipalign").args(["-c", "4"]).arg(file))?;
    let badging = output(Command::new("aapt2").args(["dump", "badging"]).arg(file))?;
    for wanted in [
        format!("package: name='{PACKAGE}'"),
        format!("sdkVersion:'{MIN_SDK}'"),
        format!("launchable-activity: name='{PACKAGE}.MainActivity'"),
    ] {
        if !badging.contains(&wanted) {
            bail!("the package does not say {wanted}; it says:\n{badging}");
        }
    }
    let code = files_under(dex)
        .iter()
        .filter(|f| f.extension().is_some_and(|e| e == "dex"))
        .map(std::fs::read)
        .collect::<std::io::Result<Vec<_>>>()?;
    let manifest = std::fs::read_to_string(android.manifest())?;
    let mut wanted = classes_named(&manifest);
    wanted.extend(FOUND_BY_NAME.map(String::from));
    if let Some(lost) = wanted.iter().find(|class| !is_in(&code, class)) {
        bail!("{lost} is not in the code: a phone would look for it by name");
    }
    Ok(())
}

/// Looked for by name while the app runs, by no word of the manifest.
const FOUND_BY_NAME: [&str; 2] = ["com.sun.jna.Native", "com.sun.jna.Structure$ByValue"];

/// The classes that a merged manifest names.
fn classes_named(manifest: &str) -> Vec<String> {
    let tags = [
        "<activity",
        "<application",
        "<provider",
        "<receiver",
        "<service",
    ];
    let mut found = Vec::new();
    for tag in manifest.split_inclusive('>') {
        let Some(at) = tag.rfind('<') else { continue };
        let tag = &tag[at..];
        let of_class = tags.iter().any(|t| {
            tag.strip_prefix(t)
                .is_some_and(|r| r.starts_with(char::is_whitespace))
        });
        let name = tag
            .split("android:name=\"")
            .nth(1)
            .and_then(|n| n.split('"').next());
        if let (true, Some(name)) = (of_class, name) {
            found.push(match name.strip_prefix('.') {
                Some(_) => format!("{PACKAGE}{name}"),
                None => name.to_string(),
            });
        }
    }
    found
}

/// Whether one of the dex files holds the descriptor of a class.
fn is_in(code: &[Vec<u8>], class: &str) -> bool {
    let descriptor = format!("L{};", class.replace('.', "/")).into_bytes();
    code.iter()
        .any(|dex| memchr::memmem::find(dex, &descriptor).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_classes_of_a_manifest_are_those_of_its_parts() {
        let manifest = r#"<manifest package="x">
  <uses-permission android:name="android.permission.VIBRATE" />
  <application
      android:label="@string/app" android:name=".App">
    <activity android:exported="true" android:name="a.b.Main"><intent-filter>
      <action android:name="android.intent.action.MAIN" /></intent-filter></activity>
    <provider
        android:name="androidx.core.content.FileProvider" />
  </application></manifest>"#;
        assert_eq!(
            classes_named(manifest),
            [
                "org.slackwater.app.App",
                "a.b.Main",
                "androidx.core.content.FileProvider"
            ]
        );
    }

    #[test]
    fn a_class_is_found_by_its_whole_name() {
        let code = [b"xxLa/b/Main;yy".to_vec()];
        assert!(is_in(&code, "a.b.Main"));
        assert!(!is_in(&code, "b.Main"));
        assert!(!is_in(&code, "a.b.Mai"));
    }

    #[test]
    fn code_and_services_stay_and_no_code_is_no_success() {
        let dir = tempfile::tempdir().unwrap();
        let services = dir.path().join("META-INF/services");
        std::fs::create_dir_all(&services).unwrap();
        std::fs::write(services.join("a.B"), "").unwrap();
        std::fs::write(dir.path().join("META-INF/x.pro"), "").unwrap();
        assert!(only_code(dir.path()).is_err());
        std::fs::write(dir.path().join("classes.dex"), "").unwrap();
        only_code(dir.path()).unwrap();
        let left = [services.join("a.B"), dir.path().join("classes.dex")];
        assert_eq!(files_under(dir.path()), left);
    }

    #[test]
    fn a_package_without_the_core_is_said_to_be_of_no_use() {
        let sizes = Sizes {
            dex: 1,
            resources: 2,
            libraries: 3,
            package: 4_000_000,
        };
        let file = PathBuf::from("slackwater-without-core.apk");
        let p = Package {
            file,
            whole: false,
            sizes,
        };
        assert!(told(&p).contains("4.00 MB") && told(&p).contains("can't be used"));
    }
}
