//! `cargo xtask apk`: the app as a package, by the tools that Gradle itself uses. With an NDK the
//! core for each processor of a phone is in it; without one it can't be installed to any use, and
//! its name says so.

use crate::Options;
use crate::android::Android;
use crate::doctor::need;
use crate::run::{clear, cmd, files_under, files_with, root, run, stage, which};
use anyhow::{Context, Result, bail, ensure};
use fs_err as fs;
use roxmltree::Document;
use std::path::Path;

/// A library that the app carries for both platforms, of which only Android's may go into a dex.
const NOT_FOR_PHONES: [&str; 2] = ["runtime-annotation-jvm", "net.java.dev.jna.jna-"];

/// Looked for by name while the app runs, by no word of the manifest.
const FOUND_BY_NAME: [&str; 2] = ["com.sun.jna.Native", "com.sun.jna.Structure$ByValue"];

/// Of a key that proves nothing and is made anew wherever it is wanted.
const PASSWORD: &str = "for-trying";

/// Builds the package, signed with a key for trying it, and looks it over.
pub fn build(o: &Options) -> Result<()> {
    need("zipalign")?;
    need("apksigner")?;
    // The binding is the same whatever profile the phone's library is built with.
    let mut for_binding = o.clone();
    for_binding.profile = "dev".into();
    let android = Android::build(&for_binding, false)?;
    let shrunk = o.profile == "release";
    let kind = if shrunk { "release" } else { "debug" };
    let dir = android.dir.join(format!("apk-{kind}"));
    fs::create_dir_all(&dir)?;
    let (dex, libraries) = (dir.join("dex"), dir.join("libraries"));
    to_dex(&android, shrunk, &dir, &dex)?;
    let whole = lay_libraries(o, &android, &libraries)?;
    let file = dir.join(match whole {
        true => "slackwater.apk",
        false => "slackwater-without-core.apk",
    });
    assemble(&android, &dir, [&dex, &libraries], &file)?;
    look_over(&android, &file, &dex)?;
    let weigh = |path: &Path, ending| -> f64 {
        let files = files_with(path, ending).into_iter();
        let bytes = files.filter_map(|f| f.metadata().ok()).map(|m| m.len());
        bytes.sum::<u64>() as f64 / 1e6
    };
    println!(
        "apk: {}: {:.2} MB (dex {:.2} MB, resources {:.2} MB, libraries {:.2} MB unpacked); {}",
        file.display(),
        weigh(&file, "apk"),
        weigh(&dex, "dex"),
        weigh(&android.made("resources.ap_"), "ap_"),
        weigh(&libraries, "so"),
        match whole {
            true => "signed with a key for trying it; the owner signs what goes out",
            false => "can't be used: no NDK here, so the core for a phone is not in it",
        }
    );
    Ok(())
}

/// All classes as a phone runs them: by R8, which leaves out what nothing reaches, or by D8.
fn to_dex(android: &Android, shrunk: bool, dir: &Path, dex: &Path) -> Result<()> {
    let (jar, always) = (android.jdk("jar"), "--date=1980-01-01T00:00:02Z");
    let mut jars = android.jars("main");
    jars.retain(|jar| {
        let name = jar.file_name().unwrap_or_default().to_string_lossy();
        !NOT_FOR_PHONES.iter().any(|n| name.contains(n))
    });
    jars.extend(android.jars("phone"));
    for of in ["app", "binding", "r"] {
        let (packed, classes) = (dir.join(format!("{of}.jar")), android.classes(of));
        run!("{jar} --create --no-manifest {always} --file {packed} -C {classes} .")?;
        jars.push(packed);
    }
    let mut rules = Vec::new();
    if shrunk {
        // By our rules, by what the manifest names, by those of the libraries.
        rules.push(root().join("android-shell/app/proguard-rules.pro"));
        rules.push(android.made("manifest-rules.pro"));
        for archive in ["main", "phone"].iter().flat_map(|of| android.archives(of)) {
            rules.extend(files_under(&archive.join("proguard.txt")));
        }
    }
    let inputs = [&jars[..], &rules].concat();
    stage(dir, "dex", 0, &inputs, dex.is_dir(), || {
        clear(dex)?;
        let (main, kind) = match shrunk {
            true => ("com.android.tools.r8.R8", "--release"),
            false => ("com.android.tools.r8.D8", "--debug"),
        };
        let (min, framework) = (android.said.of("minSdk")?, android.framework(16)?);
        let (mut words, names) = (Vec::new(), dir.join("names.txt"));
        for rule in &rules {
            words.extend(["--pg-conf".as_ref(), rule.as_path()]);
        }
        if shrunk {
            // Whoever reads a stack out of the field needs it.
            words.extend(["--pg-map-output".as_ref(), names.as_path()]);
        }
        // The framework is here without Java's own classes, which a phone has too.
        let java = android.jdk("java").canonicalize()?;
        let java = java.ancestors().nth(2).context("no folder of the JDK")?;
        for library in [&framework, java] {
            words.extend(["--lib".as_ref(), library]);
        }
        let c = android.tool("-Xmx3g", main)?.args([kind, "--min-api", min]);
        // It talks a lot about nothing; what it says is shown only where it fails.
        let c = c.arg("--output").arg(dex).args(words).args(&jars);
        let out = c.ignore_status().output()?;
        let said = [out.stdout, out.stderr].concat();
        ensure!(out.status.success(), "{}", String::from_utf8_lossy(&said));
        only_code(dex)
    })?;
    Ok(())
}

/// Lays out `lib/ABI/…`: the archives' own and, with an NDK, the core. True if the core is there.
fn lay_libraries(o: &Options, android: &Android, dir: &Path) -> Result<bool> {
    clear(dir)?;
    let (lib, processors) = (dir.join("lib"), android.said.processors()?);
    for abi in &processors {
        let to = lib.join(abi);
        fs::create_dir_all(&to)?;
        for archive in ["main", "phone"].iter().flat_map(|of| android.archives(of)) {
            for library in files_under(&archive.join("jni").join(abi)) {
                fs::copy(&library, to.join(library.file_name().unwrap_or_default()))?;
            }
        }
    }
    if std::env::var_os("ANDROID_NDK_HOME").is_none() {
        return Ok(false);
    }
    let tool = which("cargo-ndk");
    tool.context("there is an NDK but no cargo-ndk: cargo install cargo-ndk")?;
    let (min, profile) = (android.said.of("minSdk")?, &o.profile);
    let targets = processors.iter().flat_map(|abi| ["-t", abi]);
    run!(
        "cargo ndk -P {min} {targets...} -o {lib}
         build --package slackwater-ffi --lib --profile {profile}"
    )?;
    for abi in &processors {
        for library in ["libslackwater.so", "libjnidispatch.so"] {
            let there = lib.join(abi).join(library).is_file();
            ensure!(there, "no {library} for {abi}");
        }
    }
    Ok(true)
}

/// Puts code and libraries to the resources, aligns, signs.
fn assemble(android: &Android, dir: &Path, parts: [&Path; 2], file: &Path) -> Result<()> {
    let [loose, aligned] = ["loose.apk", "aligned.apk"].map(|name| dir.join(name));
    fs::copy(android.made("resources.ap_"), &loose)?;
    let (jar, [dex, libraries]) = (android.jdk("jar"), parts);
    run!("{jar} --update --no-manifest --file {loose} -C {dex} . -C {libraries} lib")?;
    run!("zipalign -f 4 {loose} {aligned}")?;
    let key = dir.join("key-for-trying.p12");
    if !key.is_file() {
        let keytool = android.jdk("keytool");
        run!(
            "{keytool} -genkeypair -keyalg RSA -keysize 3072 -validity 30 -alias trying
             -storetype PKCS12 -storepass {PASSWORD} -dname 'CN=For trying only' -keystore {key}"
        )?;
    }
    let min = android.said.of("minSdk")?;
    let password = format!("pass:{PASSWORD}");
    run!(
        "apksigner sign --min-sdk-version {min} --ks-pass {password} --ks {key}
         --out {file} {aligned}"
    )?;
    Ok(())
}

/// Reads the package as a phone would before installing it.
fn look_over(android: &Android, file: &Path, dex: &Path) -> Result<()> {
    let (said, code) = (&android.said, files_with(dex, "dex"));
    let (min, id) = (said.of("minSdk")?, said.of("applicationId")?);
    run!("apksigner verify --min-sdk-version {min} {file}")?;
    run!("zipalign -c 4 {file}")?;
    let badging = cmd!("aapt2 dump badging {file}").read()?;
    for wanted in [
        format!("package: name='{id}'"),
        format!("sdkVersion:'{min}'"),
        format!("launchable-activity: name='{id}.MainActivity'"),
    ] {
        if !badging.contains(&wanted) {
            bail!("the package does not say {wanted}; it says:\n{badging}");
        }
    }
    let code = code.iter().map(fs::read);
    let code = code.collect::<std::io::Result<Vec<_>>>()?;
    let manifest = fs::read_to_string(android.made("manifest.xml"))?;
    let mut wanted = classes_named(&manifest, id)?;
    wanted.extend(FOUND_BY_NAME.map(String::from));
    if let Some(lost) = wanted.iter().find(|class| !is_in(&code, class)) {
        bail!("{lost} is not in the code: a phone would look for it by name");
    }
    Ok(())
}

/// Removes what R8 lays beside the code, but for the lists of services that it has not worked into
/// the code: a library looks for those in the package.
fn only_code(dex: &Path) -> Result<()> {
    for file in files_under(dex) {
        let is_code = file.extension().is_some_and(|e| e == "dex");
        if !is_code && !file.starts_with(dex.join("META-INF/services")) {
            fs::remove_file(&file)?;
        }
    }
    ensure!(dex.join("classes.dex").is_file(), "no code came out");
    Ok(())
}

/// The classes that a merged manifest of an app names.
fn classes_named(manifest: &str, id: &str) -> Result<Vec<String>> {
    const ANDROID: &str = "http://schemas.android.com/apk/res/android";
    let tags = ["activity", "application", "provider", "receiver", "service"];
    let manifest = Document::parse(manifest)?;
    let mut named = Vec::new();
    for part in manifest.descendants() {
        if let Some(name) = part.attribute((ANDROID, "name"))
            && tags.contains(&part.tag_name().name())
        {
            let package = if name.starts_with('.') { id } else { "" };
            named.push(format!("{package}{name}"));
        }
    }
    Ok(named)
}

/// Whether one of the dex files holds the descriptor of a class.
fn is_in(code: &[Vec<u8>], class: &str) -> bool {
    let descriptor = format!("L{};", class.replace('.', "/")).into_bytes();
    let holds = |dex: &Vec<u8>| memchr::memmem::find(dex, &descriptor).is_some();
    code.iter().any(holds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_classes_of_a_manifest_are_those_of_its_parts() {
        let manifest = r#"<manifest xmlns:android="http://schemas.android.com/apk/res/android">
  <uses-permission android:name="android.permission.VIBRATE" />
  <application android:label="@string/app" android:name=".App">
    <activity android:exported="true" android:name="a.b.Main"><intent-filter>
      <action android:name="android.intent.action.MAIN" /></intent-filter></activity>
    <!-- <service android:name="not.this" /> -->
    <provider android:name="c.FileProvider" />
  </application></manifest>"#;
        let named = classes_named(manifest, "o.app").unwrap();
        assert_eq!(named, ["o.app.App", "a.b.Main", "c.FileProvider"]);
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
        fs::create_dir_all(&services).unwrap();
        fs::write(services.join("a.B"), "").unwrap();
        fs::write(dir.path().join("META-INF/x.pro"), "").unwrap();
        assert!(only_code(dir.path()).is_err());
        fs::write(dir.path().join("classes.dex"), "").unwrap();
        only_code(dir.path()).unwrap();
        let left = [services.join("a.B"), dir.path().join("classes.dex")];
        assert_eq!(files_under(dir.path()), left);
    }
}
