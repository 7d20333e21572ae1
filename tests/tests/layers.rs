//! The rules of the architecture, read from the committed text. Beside each rule stands a wrong
//! sample, which proves that the rule can fail.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A committed text file: its path from the root, with `/`, and its text.
#[derive(Clone)]
struct Source {
    path: String,
    text: String,
}

fn sample(path: &str, text: &str) -> Vec<Source> {
    vec![Source {
        path: path.into(),
        text: text.into(),
    }]
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap()
        .to_path_buf()
}

/// Every file that is or would be committed.
fn committed() -> Vec<Source> {
    let out = Command::new("git")
        .args([
            "ls-files",
            "-z",
            "--cached",
            "--others",
            "--exclude-standard",
        ])
        .current_dir(root())
        .output()
        .expect("git lists the committed files");
    assert!(out.status.success(), "not a git checkout");
    let files: BTreeSet<String> = String::from_utf8(out.stdout)
        .unwrap()
        .split('\0')
        .filter(|p| !p.is_empty())
        .map(str::to_string)
        .collect();
    let sources: Vec<_> = files
        .into_iter()
        // A file deleted but still in the index cannot be read; a picture is no text.
        .filter_map(|path| {
            let text = String::from_utf8(std::fs::read(root().join(&path)).ok()?).ok()?;
            Some(Source { path, text })
        })
        .collect();
    assert!(sources.len() > 30, "only {} files found", sources.len());
    sources
}

fn within<'a>(sources: &'a [Source], dir: &str, suffix: &str) -> Vec<&'a Source> {
    sources
        .iter()
        .filter(|s| s.path.starts_with(dir) && s.path.ends_with(suffix))
        .collect()
}

fn assert_none(found: &[String]) {
    assert!(found.is_empty(), "{}", found.join("\n"));
}

// ---------------------------------------------------------------------------------- Rust, read

/// A word or sign of Rust with its line; comments, texts and characters are left out.
#[derive(Debug, Clone, PartialEq)]
struct Token {
    text: String,
    line: usize,
}

fn tokens(rust: &str) -> Vec<Token> {
    let c: Vec<char> = rust.chars().collect();
    let (mut i, mut line, mut out) = (0, 1, Vec::new());
    let at = |i: usize| c.get(i).copied().unwrap_or('\0');
    while i < c.len() {
        let start = i;
        match c[i] {
            '/' if at(i + 1) == '/' => {
                while i < c.len() && c[i] != '\n' {
                    i += 1;
                }
            }
            '/' if at(i + 1) == '*' => {
                let mut depth = 0;
                loop {
                    match (at(i), at(i + 1)) {
                        ('/', '*') => (depth, i) = (depth + 1, i + 2),
                        ('*', '/') => (depth, i) = (depth - 1, i + 2),
                        _ => i += 1,
                    }
                    if depth == 0 || i >= c.len() {
                        break;
                    }
                }
            }
            'r' if at(i + 1) == '"'
                || (at(i + 1) == '#' && (at(i + 2) == '"' || at(i + 2) == '#')) =>
            {
                let hashes = c[i + 1..].iter().take_while(|x| **x == '#').count();
                i += 2 + hashes;
                let ends = |i: usize| at(i) == '"' && (1..=hashes).all(|h| at(i + h) == '#');
                while i < c.len() && !ends(i) {
                    i += 1;
                }
                i += 1 + hashes;
            }
            '"' => {
                i += 1;
                while i < c.len() && c[i] != '"' {
                    i += if c[i] == '\\' { 2 } else { 1 };
                }
                i += 1;
            }
            // A character, and not a lifetime.
            '\'' if at(i + 1) == '\\' || at(i + 2) == '\'' => {
                i += if at(i + 1) == '\\' { 3 } else { 2 };
                while i < c.len() && c[i] != '\'' {
                    i += 1;
                }
                i += 1;
            }
            x if x.is_alphanumeric() || x == '_' => {
                while i < c.len() && (c[i].is_alphanumeric() || c[i] == '_') {
                    i += 1;
                }
                out.push(Token {
                    text: c[start..i].iter().collect(),
                    line,
                });
            }
            ':' if at(i + 1) == ':' => {
                i += 2;
                out.push(Token {
                    text: "::".into(),
                    line,
                });
            }
            x => {
                i += 1;
                if !x.is_whitespace() {
                    out.push(Token {
                        text: x.to_string(),
                        line,
                    });
                }
            }
        }
        line += c[start..i.min(c.len())]
            .iter()
            .filter(|x| **x == '\n')
            .count();
    }
    out
}

#[test]
fn comments_and_texts_are_not_code() {
    let rust = "a /* b /* c */ d */ 'x' '\\'' \"e \\\" f\" r#\"g \" h\"# &'life j // k\nl::m";
    let words: Vec<String> = tokens(rust).into_iter().map(|t| t.text).collect();
    assert_eq!(words, ["a", "&", "'", "life", "j", "l", "::", "m"]);
    assert_eq!(tokens(rust).last().unwrap().line, 2);
}

// ------------------------------------------------------------------------------------- floors

/// Where physics or anything else reaches what only one place may.
fn side_doors(sources: &[Source]) -> Vec<String> {
    // Words, where they may stand, and what to use in their place.
    let doors: [(&[&str], &[&str], &str); 3] = [
        (
            &["SystemTime::now", "Instant::now", "Utc::now", "Local::now"],
            &["core/journal/src/clock.rs"],
            "time comes in through journal::Clock",
        ),
        (
            &["getrandom::", "OsRng", "thread_rng", "random_range"],
            &["core/journal/src/entropy.rs"],
            "randomness comes in through journal::Entropy",
        ),
        (
            &[
                "std::fs",
                "std::net",
                "std::env",
                "std::time",
                "std::thread",
            ],
            &["core/journal/src/", "core/domain/src/", "core/screens/src/"],
            "physics is pure: no clock, no file, no store",
        ),
    ];
    let mut found = Vec::new();
    for source in within(sources, "core/", ".rs") {
        // Test modules may use what they like.
        if source.path.ends_with("/tests.rs") {
            continue;
        }
        let t = tokens(&source.text);
        let end = test_module_start(&t);
        for (words, allowed, instead) in &doors {
            if allowed.iter().any(|a| source.path.starts_with(a)) {
                continue;
            }
            for word in *words {
                let pattern: Vec<String> = tokens(word).into_iter().map(|t| t.text).collect();
                for w in t[..end].windows(pattern.len()) {
                    let same = w.iter().zip(&pattern).all(|(a, b)| a.text == *b);
                    if same {
                        let (path, line) = (&source.path, w[0].line);
                        found.push(format!("{path}:{line}: {word}: {instead}"));
                    }
                }
            }
        }
    }
    found
}

/// Where `#[cfg(test)]` begins: what follows it in a file is tests.
fn test_module_start(t: &[Token]) -> usize {
    t.windows(5)
        .position(|w| {
            let words: Vec<&str> = w.iter().map(|x| x.text.as_str()).collect();
            words == ["[", "cfg", "(", "test", ")"]
        })
        .unwrap_or(t.len())
}

#[test]
fn time_randomness_and_files_have_one_door() {
    assert_none(&side_doors(&committed()));
}

#[test]
fn a_side_door_is_found() {
    for (path, wrong) in [
        ("core/domain/src/holds.rs", "let t = SystemTime::now();"),
        (
            "core/domain/src/holds.rs",
            "let t = std::time::Instant::now();",
        ),
        ("core/journal/src/store.rs", "getrandom::fill(&mut x);"),
        ("core/physics/src/gas.rs", "use std::fs::File;"),
    ] {
        assert_eq!(side_doors(&sample(path, wrong)).len(), 1, "{wrong}");
    }
    let right = "/// std::fs is not used\nfn f() {}\n#[cfg(test)] mod tests { use std::fs; }";
    assert_none(&side_doors(&sample("core/physics/src/gas.rs", right)));
    let clock = sample("core/journal/src/clock.rs", "SystemTime::now()");
    assert_none(&side_doors(&clock));
}

// --------------------------------------------------------------------------------- boundaries

/// The floors of the core from the bottom up, each a crate: the compiler holds it to what its manifest says.
const FLOORS: [&str; 5] = [
    "slackwater-physics",
    "slackwater-journal",
    "slackwater-exchange",
    "slackwater-domain",
    "slackwater-screens",
];

/// The packages that a manifest depends on, each with its section, by the name of the package: a dependency
/// may be called otherwise (`package = …`, also in the workspace's table), lie at a path of ours, or stand
/// under a target. A floor's own tests, too, know nothing above it.
fn depended_on(manifest: &toml::Table, workspace: &toml::Table) -> Vec<(String, String)> {
    let shared = workspace
        .get("workspace")
        .and_then(|w| w.get("dependencies"));
    let mut places = vec![(String::new(), manifest)];
    let targets = manifest.get("target").and_then(|t| t.as_table());
    for (target, inside) in targets.into_iter().flatten() {
        places.extend(inside.as_table().map(|t| (format!("target.{target}."), t)));
    }
    let mut found = Vec::new();
    for (place, table) in places {
        for section in [
            "dependencies",
            "build-dependencies",
            "dev-dependencies",
            // Cargo reads these, too.
            "build_dependencies",
            "dev_dependencies",
        ] {
            let names = table.get(section).and_then(|d| d.as_table());
            for (key, said) in names.into_iter().flatten() {
                let inherited = said.get("workspace").and_then(toml::Value::as_bool);
                let said = match (inherited, shared.and_then(|s| s.get(key))) {
                    (Some(true), Some(shared)) => shared,
                    _ => said,
                };
                let package = said.get("package").and_then(toml::Value::as_str);
                found.push((
                    format!("{place}{section}"),
                    package.unwrap_or(key).to_owned(),
                ));
            }
        }
    }
    found
}

/// What each crate may depend on among ours: the arrows between crates.
fn crate_arrows(sources: &[Source]) -> Vec<String> {
    let may: [(&str, &[&str]); 9] = [
        ("core/physics/Cargo.toml", &[]),
        ("core/journal/Cargo.toml", &[]),
        ("core/exchange/Cargo.toml", &["slackwater-journal"]),
        ("core/domain/Cargo.toml", &FLOORS[..3]),
        ("core/screens/Cargo.toml", &FLOORS[..4]),
        ("core/Cargo.toml", &FLOORS),
        ("bindings/ffi/Cargo.toml", &["slackwater-core"]),
        ("bindings/xtask/Cargo.toml", &[]),
        ("tests/Cargo.toml", &["slackwater-core"]),
    ];
    let workspace: toml::Table = sources
        .iter()
        .find(|s| s.path == "Cargo.toml")
        .map(|s| s.text.parse().unwrap())
        .unwrap_or_default();
    let mut found = Vec::new();
    for (path, allowed) in may {
        let Some(source) = sources.iter().find(|s| s.path == path) else {
            found.push(format!("{path} is missing"));
            continue;
        };
        let table: toml::Table = source.text.parse().unwrap();
        for (section, name) in depended_on(&table, &workspace) {
            if name.starts_with("slackwater") && !allowed.contains(&name.as_str()) {
                found.push(format!("{path}: [{section}] {name}"));
            }
        }
        let linted = table
            .get("lints")
            .and_then(|l| l.get("workspace"))
            .and_then(toml::Value::as_bool);
        if linted != Some(true) && path != "tests/Cargo.toml" {
            found.push(format!("{path}: the workspace's lints are not on"));
        }
    }
    found
}

#[test]
fn crates_depend_downwards_and_are_linted() {
    assert_none(&crate_arrows(&committed()));
}

#[test]
fn a_wrong_arrow_or_a_crate_without_lints_is_found() {
    let mut sources = committed();
    let core = sources
        .iter_mut()
        .find(|s| s.path == "core/Cargo.toml")
        .unwrap();
    core.text = core
        .text
        .replace("[dependencies]", "[dependencies]\nslackwater-ffi = \"1\"")
        .replace("[lints]", "[unlinted]");
    let found = crate_arrows(&sources);
    assert_eq!(found.len(), 2, "{found:?}");
}

/// Seen: an arrow that turns round under `[target.….dependencies]`, or under another name, was not found.
#[test]
fn a_wrong_arrow_under_a_target_or_another_name_is_found() {
    let wrong = [
        "[target.'cfg(unix)'.dependencies]\nslackwater-domain = { path = \"../domain\" }\n",
        "[target.x86_64-unknown-linux-gnu.dev-dependencies]\nslackwater-domain.workspace = true\n",
        "[build-dependencies]\nmeaning = { path = \"../domain\", package = \"slackwater-domain\" }\n",
        "[target.'cfg(unix)'.build-dependencies.meaning]\npackage = \"slackwater-domain\"\nversion = \"1\"\n",
        "[build-dependencies]\nmeaning.workspace = true\n",
    ];
    for wrong in wrong {
        let mut sources = committed();
        for source in &mut sources {
            match source.path.as_str() {
                "core/physics/Cargo.toml" => source.text = format!("{}\n{wrong}", source.text),
                "Cargo.toml" => {
                    let meaning =
                        "meaning = { path = \"core/domain\", package = \"slackwater-domain\" }";
                    let shared = "[workspace.dependencies]";
                    source.text = source.text.replace(shared, &format!("{shared}\n{meaning}"));
                }
                _ => {}
            }
        }
        let found = crate_arrows(&sources);
        assert_eq!(found.len(), 1, "{wrong}: {found:?}");
        assert!(found[0].ends_with("slackwater-domain"), "{found:?}");
    }
}

/// The surface converts, calls, converts back: it computes nothing and stores nothing itself.
fn surface_computes(sources: &[Source]) -> Vec<String> {
    let mut found = Vec::new();
    for source in within(sources, "bindings/ffi/src/", ".rs") {
        let t = tokens(&source.text);
        for x in &t[..test_module_start(&t)] {
            if ["rusqlite", "chrono", "blake3", "getrandom", "SystemTime"].contains(&&*x.text) {
                found.push(format!("{}:{}: {}", source.path, x.line, x.text));
            }
        }
        for w in t.windows(3) {
            if [&*w[0].text, &*w[1].text, &*w[2].text] == ["slackwater_core", "::", "physics"] {
                let (path, line) = (&source.path, w[0].line);
                found.push(format!(
                    "{path}:{line}: the surface calls physics past the domain"
                ));
            }
        }
    }
    found
}

#[test]
fn the_surface_only_converts() {
    let sources = committed();
    assert!(!within(&sources, "bindings/ffi/src/", ".rs").is_empty());
    assert_none(&surface_computes(&sources));
    for wrong in [
        "use slackwater_core::physics::gas;",
        "fn f(c: &rusqlite::Connection) {}",
    ] {
        assert_eq!(
            surface_computes(&sample("bindings/ffi/src/x.rs", wrong)).len(),
            1,
            "{wrong}"
        );
    }
}

/// What a screen of the phone may not do: read a clock, reckon with what was typed, or form a
/// number. The core's records hold it all, ready to be laid out. (What a screen may import is
/// tested beside the screens, in `ArchitectureTest`.)
fn screens_that_compute(sources: &[Source]) -> Vec<String> {
    const NEVER: &[(&str, &str)] = &[
        ("import java.", "only Compose and Kotlin"),
        ("System.currentTimeMillis", "the core has the clock"),
        ("System.nanoTime", "the core has the clock"),
        ("Clock.System", "the core has the clock"),
        (
            ".toDoubleOrNull(",
            "what was typed goes to the core as text",
        ),
        (".toFloatOrNull(", "what was typed goes to the core as text"),
        (".toIntOrNull(", "what was typed goes to the core as text"),
        (".format(", "numbers come from the core as texts with units"),
    ];
    let mut found = Vec::new();
    for source in within(sources, "android-shell/ui/", ".kt") {
        for (n, line) in source.text.split_inclusive('\n').enumerate() {
            let code = line.trim_start();
            if code.starts_with("//") || code.starts_with('*') || code.starts_with("/*") {
                continue;
            }
            for (word, why) in NEVER {
                if line.contains(word) {
                    found.push(format!("{}:{}: {word}: {why}", source.path, n + 1));
                }
            }
        }
    }
    found
}

#[test]
fn screens_of_the_phone_only_lay_out() {
    let sources = committed();
    assert!(
        !within(&sources, "android-shell/ui/", ".kt").is_empty(),
        "android-shell/ui holds no screen"
    );
    assert_none(&screens_that_compute(&sources));
}

#[test]
fn a_screen_that_computes_is_found() {
    for wrong in [
        "import java.time.Instant\n",
        "val x = typed.toDoubleOrNull()\n",
        "Text(\"%.1f mbar\".format(p))\n",
        "val t = System.currentTimeMillis()\n",
    ] {
        let found = screens_that_compute(&sample("android-shell/ui/Hold.kt", wrong));
        assert_eq!(found.len(), 1, "{wrong}");
    }
    let right = "// not java.time\nimport androidx.compose.ui.Modifier\n";
    assert_none(&screens_that_compute(&sample(
        "android-shell/ui/Hold.kt",
        right,
    )));
}

// ------------------------------------------------------------------------------------- folders

/// Everything at the top, with a `/` after folders.
const TOP: [&str; 14] = [
    ".cargo/",
    ".ci/",
    ".editorconfig",
    ".gitignore",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "android-shell/",
    "bindings/",
    "core/",
    "ios-shell/",
    "tests/",
];

fn strays(sources: &[Source]) -> Vec<String> {
    let tops: BTreeSet<String> = sources
        .iter()
        .map(|s| match s.path.split_once('/') {
            Some((dir, _)) => format!("{dir}/"),
            None => s.path.clone(),
        })
        .collect();
    tops.into_iter()
        .filter(|t| !TOP.contains(&t.as_str()))
        .collect()
}

#[test]
fn the_top_holds_what_the_readme_says_and_nothing_else() {
    assert_none(&strays(&committed()));
    assert_eq!(strays(&sample("scripts/fix.sh", "")), ["scripts/"]);
    assert_eq!(strays(&sample("notes.md", "")), ["notes.md"]);
}

/// Hosts that only a package client's own settings may name, put together here so that this file
/// is not the first to name one.
fn registry_hosts() -> Vec<String> {
    [
        ("repo.maven", "apache.org"),
        ("repo1.maven", "org"),
        ("static.crates", "io"),
        ("index.crates", "io"),
        ("registry.npmjs", "org"),
        ("files.pythonhosted", "org"),
        ("pypi", "org"),
        ("proxy.golang", "org"),
        ("deb.debian", "org"),
        ("dl.google", "com"),
        ("maven.google", "com"),
        ("plugins.gradle", "org"),
        ("services.gradle", "org"),
    ]
    .map(|(a, b)| format!("{a}.{b}"))
    .to_vec()
}

/// Folders of one person's machine: its homes, and wherever this copy lies.
fn machine_paths() -> Vec<String> {
    let mut paths: Vec<String> = ["root", "home", "Users"].map(|d| format!("/{d}/")).to_vec();
    let temp = std::env::temp_dir();
    let mut here = Some(root());
    while let Some(dir) = here {
        let shown = dir.display().to_string();
        if shown.len() > 1 && dir != temp {
            paths.push(format!("{}/", shown.trim_end_matches('/')));
        }
        here = dir.parent().map(Path::to_path_buf);
    }
    paths
}

fn leaks(sources: &[Source], hosts: &[String], paths: &[String]) -> Vec<String> {
    let mut found = Vec::new();
    // The lock file is Cargo's own writing.
    for source in sources.iter().filter(|s| s.path != "Cargo.lock") {
        for (n, line) in source.text.lines().enumerate() {
            let mut tell = |what: &str| found.push(format!("{}:{}: {what}", source.path, n + 1));
            // Gradle's own file says where Gradle comes from and is nothing without it.
            let wrapper = source.path == "android-shell/gradle/wrapper/gradle-wrapper.properties"
                && line.starts_with("distributionUrl=");
            for host in hosts.iter().filter(|h| line.contains(h.as_str())) {
                if !wrapper {
                    tell(host);
                }
            }
            for path in paths {
                // `core/root/x` or `${dir}/home/x` is no machine's folder.
                let begins = |at: usize| {
                    !line[..at].ends_with(|c: char| c.is_alphanumeric() || "})._-/".contains(c))
                };
                if line.match_indices(path.as_str()).any(|(at, _)| begins(at)) {
                    tell(path);
                }
            }
        }
    }
    found
}

#[test]
fn no_committed_file_names_a_registry_or_a_machine() {
    assert_none(&leaks(&committed(), &registry_hosts(), &machine_paths()));
}

#[test]
fn a_registry_or_a_machine_is_found() {
    let (hosts, paths) = (registry_hosts(), machine_paths());
    let host = format!("<url>https://{}/maven2</url>", hosts[0]);
    let here = format!("cd {}", root().join("core").display());
    for wrong in [host, here, "\"/ro ot/.m2\"".replace(' ', "")] {
        assert!(
            !leaks(&sample("pom.xml", &wrong), &hosts, &paths).is_empty(),
            "{wrong}"
        );
    }
    let wrapper = "android-shell/gradle/wrapper/gradle-wrapper.properties";
    let (from, other) = (&hosts[12], &hosts[0]);
    assert_none(&leaks(
        &sample(wrapper, &format!("distributionUrl=https\\://{from}/x")),
        &hosts,
        &paths,
    ));
    assert!(!leaks(&sample(wrapper, &format!("mirror={other}")), &hosts, &paths).is_empty());
    let right = "see core/root/x and ${dir}/home/y; xmlns=\"http://maven.apache.org/POM/4.0.0\"";
    assert_none(&leaks(&sample("pom.xml", right), &hosts, &paths));
}

// -------------------------------------------------------------------------------------- errors

/// Error enums (`derive(… Error …)`): their names, variants and lines.
fn error_enums(source: &Source) -> Vec<(String, Vec<Token>)> {
    let t = tokens(&source.text);
    let mut found = Vec::new();
    let mut is_error = false;
    let mut i = 0;
    while i < t.len() {
        match t[i].text.as_str() {
            "derive" => {
                let end = (i..t.len()).find(|j| t[*j].text == ")").unwrap_or(i);
                is_error |= t[i..end].iter().any(|x| x.text == "Error");
                i = end;
            }
            "struct" | "fn" | "impl" | "trait" => is_error = false,
            "enum" if is_error && i + 2 < t.len() => {
                is_error = false;
                let name = t[i + 1].text.clone();
                let (mut depth, mut variants, mut next) = (0, Vec::new(), true);
                i += 2;
                while i < t.len() {
                    match t[i].text.as_str() {
                        "{" | "(" | "[" => depth += 1,
                        "}" | ")" | "]" => depth -= 1,
                        "," if depth == 1 => next = true,
                        "#" => {}
                        _ if depth == 1 && next => {
                            variants.push(t[i].clone());
                            next = false;
                        }
                        _ => {}
                    }
                    if depth == 0 {
                        break;
                    }
                    i += 1;
                }
                found.push((name, variants));
            }
            _ => {}
        }
        i += 1;
    }
    found
}

fn badly_named_errors(sources: &[Source]) -> Vec<String> {
    let mut found = Vec::new();
    for source in within(sources, "", ".rs") {
        for (name, variants) in error_enums(source) {
            for v in variants {
                if ["Error", "Fault", "Failure"]
                    .iter()
                    .any(|w| v.text.contains(w))
                {
                    let path = &source.path;
                    found.push(format!(
                        "{path}:{}: {name}::{} repeats itself",
                        v.line, v.text
                    ));
                }
            }
        }
    }
    found
}

#[test]
fn error_variants_do_not_repeat_the_word() {
    let sources = committed();
    let seen: usize = sources
        .iter()
        .filter(|s| s.path.starts_with("core/") && s.path.ends_with(".rs"))
        .map(|s| error_enums(s).len())
        .sum();
    assert!(
        seen >= 3,
        "only {seen} error enums found: does the reader still work?"
    );
    assert_none(&badly_named_errors(&sources));
}

#[test]
fn a_repeating_error_variant_is_found() {
    let wrong = "#[derive(Debug, thiserror::Error)]
        pub enum GasFault {
            #[error(\"x {0}\")] Cold(f64),
            /// Text.
            #[error(transparent)] StoreError { from: Box<Error> },
        }";
    let source = sample("core/src/x.rs", wrong);
    let names: Vec<String> = error_enums(&source[0])[0]
        .1
        .iter()
        .map(|t| t.text.clone())
        .collect();
    assert_eq!(names, ["Cold", "StoreError"]);
    assert_eq!(badly_named_errors(&source).len(), 1);
    let other = sample("core/src/x.rs", "#[derive(Debug)] enum Mark { FaultSeen }");
    assert_none(&badly_named_errors(&other));
}

// -------------------------------------------------------------------------------------- Gradle

/// What the Gradle scripts name and is not there, since no Gradle is at hand to say so: entries of
/// the catalogue, and paths in quotes.
fn lost_to_gradle(sources: &[Source]) -> Vec<String> {
    const SHELL: &str = "android-shell/";
    let catalogue = within(sources, SHELL, "gradle/libs.versions.toml");
    let catalogue: toml::Table = catalogue[0].text.parse().unwrap();
    let mut known = BTreeSet::new();
    for (table, prefix) in [
        ("libraries", ""),
        ("plugins", "plugins."),
        ("versions", "versions."),
    ] {
        let keys = catalogue.get(table).and_then(|t| t.as_table());
        for key in keys.into_iter().flat_map(|t| t.keys()) {
            known.insert(format!("{prefix}{}", key.replace('-', ".")));
        }
    }
    let mut found = Vec::new();
    for script in within(sources, SHELL, "build.gradle.kts") {
        for rest in script.text.split("libs.").skip(1) {
            let name = rest.split(['(', ')', '\n']).next().unwrap_or(rest);
            let name = name.trim_end_matches(".get");
            if !known.contains(name) {
                found.push(format!("{}: libs.{name}", script.path));
            }
        }
        let folder = script.path.trim_end_matches("build.gradle.kts");
        let quoted = script.text.split('"').skip(1).step_by(2);
        for path in quoted.filter(|q| q.contains('/') || q.ends_with(".pro")) {
            let whole = format!("{folder}{path}");
            // The generated binding is not committed.
            let generated = path.contains("/src/generated/");
            if !generated && !sources.iter().any(|s| s.path.starts_with(&whole)) {
                found.push(format!("{}: {path}", script.path));
            }
        }
    }
    found
}

#[test]
fn gradle_names_only_what_the_catalogue_and_the_folders_have() {
    assert_none(&lost_to_gradle(&committed()));
}

#[test]
fn what_is_lost_to_gradle_is_found() {
    let catalogue = "[versions]\nminSdk = \"1\"\n[libraries]\na-b = \"x\"\n[plugins]\np = \"x\"";
    let script = "alias(libs.plugins.p)\nx = libs.versions.minSdk.get().toInt()\n\
                  y = libs.versions.maxSdk.get()\napi(libs.a.b) api(libs.a.c)\n\
                  srcDirs(\"src/main\", \"src/other\")";
    let sources = [
        sample("android-shell/gradle/libs.versions.toml", catalogue),
        sample("android-shell/app/build.gradle.kts", script),
        sample("android-shell/app/src/main/A.kt", ""),
    ];
    let found = lost_to_gradle(&sources.concat());
    let wanted = ["libs.versions.maxSdk", "libs.a.c", "src/other"];
    assert_eq!(
        found,
        wanted.map(|w| format!("android-shell/app/build.gradle.kts: {w}"))
    );
}
