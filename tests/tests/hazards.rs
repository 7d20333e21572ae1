//! `tests/HAZARDS.md` names every action, form and input of every screen, and only tests that run.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap()
        .to_path_buf()
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A file's text, or that of all files of a folder: a screen of many fields is a folder.
fn source(path: &Path) -> String {
    if !path.is_dir() {
        return read(path);
    }
    let mut files: Vec<PathBuf> = std::fs::read_dir(path)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files.iter().map(|file| source(file)).collect()
}

/// The screens with actions: module and source.
fn screens() -> Vec<(String, String)> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(root().join("core/screens/src")).unwrap() {
        let path = entry.unwrap().path();
        let text = source(&path);
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        if name != "lib" && !actions(&text).is_empty() {
            all.push((name, text));
        }
    }
    all.sort();
    all
}

/// The variants of the enum that ends in `Action`.
fn actions(source: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut inside = false;
    for line in source.lines() {
        if line.starts_with("pub enum ") && line.trim_end().ends_with("Action {") {
            inside = true;
        } else if line == "}" {
            inside = false;
        } else if inside && line.starts_with("    ") && !line.starts_with("     ") {
            let name: String = line
                .trim()
                .chars()
                .take_while(|c| c.is_alphanumeric())
                .collect();
            if name.starts_with(|c: char| c.is_uppercase()) {
                found.push(name);
            }
        }
    }
    found
}

/// The first string handed to any of these calls: keys of forms or of fields.
fn keys(source: &str, calls: &[&str]) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for call in calls {
        let opening = format!("{call}(");
        for (at, _) in source.match_indices(&opening) {
            let before = source[..at].chars().next_back().unwrap_or(' ');
            if before.is_alphanumeric() || before == '_' || before == '.' {
                continue;
            }
            let rest = source[at + opening.len()..].trim_start();
            let rest = rest.strip_prefix("&format!(").unwrap_or(rest);
            let rest = constant(source, rest).unwrap_or(rest);
            if let Some(text) = rest.strip_prefix('"')
                && let Some(end) = text.find(['"', '/'])
                && text[..end]
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '_' | '-'))
                && end > 0
            {
                found.insert(text[..end].to_owned());
            }
        }
    }
    found
}

/// Forms that a screen shows and nothing is sent of.
const ONLY_SHOWN: [&str; 3] = ["controls", "steps", "sizes"];

/// The words that the keys of a screen's forms, and of the fields of the air's, begin with: as the types of them print.
fn typed_keys(forms: &str, screen: &str) -> BTreeSet<String> {
    let camel = |word: &str| word[..1].to_uppercase() + &word[1..];
    let form: String = screen.split('_').map(camel).collect();
    let mut types = vec![format!("{form}Form")];
    if screen == "recheck" {
        types.push("AirField".into());
    }
    let mut found = BTreeSet::new();
    for name in types {
        let Some((_, printed)) = forms.split_once(&format!("impl fmt::Display for {name}<")) else {
            continue;
        };
        let printed = printed.split("\n}\n").next().unwrap_or_default();
        for text in printed.split('"').skip(1).step_by(2) {
            let word = text.split(['/', '{']).next().unwrap_or_default();
            found.insert(word.to_owned());
        }
    }
    found.retain(|word| !ONLY_SHOWN.contains(&word.as_str()));
    found
}

/// What a constant that stands here is, from its opening quote on.
fn constant<'a>(source: &'a str, rest: &str) -> Option<&'a str> {
    let end = rest.find(|c: char| !(c.is_ascii_uppercase() || c == '_'))?;
    let (_, value) = source.split_once(&format!("const {}: &str = ", &rest[..end]))?;
    Some(value)
}

const FIELDS: [&str; 10] = [
    "field",
    "num",
    "must_num",
    "whole_num",
    "one_of",
    "list",
    "text",
    "long_text",
    "switch",
    "member_field",
];

/// What a section of the table has between backticks, with `form` before it or not.
fn named(section: &str) -> BTreeSet<String> {
    let rows = section.lines().filter(|l| l.starts_with('|'));
    rows.flat_map(|row| {
        let first = row.split('|').nth(1).unwrap_or_default().to_owned();
        first
            .split('`')
            .skip(1)
            .step_by(2)
            .map(str::to_owned)
            .collect::<Vec<_>>()
    })
    .collect()
}

fn sections(table: &str) -> Vec<(String, String)> {
    table
        .split("\n## ")
        .skip(1)
        .map(|s| {
            let (name, text) = s.split_once('\n').unwrap_or((s, ""));
            (name.trim().to_owned(), text.to_owned())
        })
        .collect()
}

/// What a screen has that its section doesn't name.
fn missing(source: &str, typed: BTreeSet<String>, section: &str) -> Vec<String> {
    let named = named(section);
    let mut wanted: BTreeSet<String> = actions(source).into_iter().collect();
    wanted.extend(typed);
    wanted.extend(keys(source, &["form"]));
    wanted.extend(keys(source, &FIELDS));
    wanted.into_iter().filter(|w| !named.contains(w)).collect()
}

/// The tests of a source that run: `#[test]` and not `#[ignore]`.
fn tests_of(source: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let (mut test, mut ignored) = (false, false);
    for line in source.lines().map(str::trim) {
        if line == "#[test]" {
            (test, ignored) = (true, false);
        } else if line.starts_with("#[ignore") {
            ignored = true;
        } else if let Some(rest) = line
            .strip_prefix("fn ")
            .or_else(|| line.strip_prefix("pub fn "))
        {
            if test && !ignored {
                found.insert(
                    rest.chars()
                        .take_while(|c| c.is_alphanumeric() || *c == '_')
                        .collect(),
                );
            }
            (test, ignored) = (false, false);
        }
    }
    found
}

/// What is wrong with the last cell of a row: no test and no reason, or a test that doesn't run.
fn unheld(row: &str, source_of: &dyn Fn(&str) -> Option<String>) -> Option<String> {
    let cells: Vec<&str> = row
        .trim()
        .trim_matches('|')
        .split('|')
        .map(str::trim)
        .collect();
    let [.., last] = cells.as_slice() else {
        return Some("no cells".into());
    };
    if cells.len() != 5 || cells.iter().any(|c| c.is_empty()) {
        return Some(format!("{} cells", cells.len()));
    }
    if last
        .strip_prefix("left:")
        .is_some_and(|why| why.trim().len() > 5)
    {
        return None;
    }
    let tests: Vec<&str> = last.split('`').skip(1).step_by(2).collect();
    if tests.is_empty() {
        return Some("no test and no reason".into());
    }
    tests.iter().find_map(|t| {
        let Some((file, name)) = t.rsplit_once("::") else {
            return Some(format!("{t} names no test"));
        };
        match source_of(file) {
            None => Some(format!("{file} is no file")),
            Some(text) if tests_of(&text).contains(name) => None,
            Some(_) => Some(format!("{t} is no test that runs")),
        }
    })
}

fn source_of(file: &str) -> Option<String> {
    let path = if file.contains('/') {
        root().join(file)
    } else {
        root().join(format!("tests/tests/{file}.rs"))
    };
    std::fs::read_to_string(path).ok()
}

fn rows(text: &str) -> impl Iterator<Item = &str> {
    text.lines()
        .filter(|l| l.starts_with('|') && !l.starts_with("|---") && !l.starts_with("| what |"))
}

#[test]
fn every_action_form_and_input_stands_in_the_table() {
    let table = read(&root().join("tests/HAZARDS.md"));
    let sections = sections(&table);
    let mut wrong = Vec::new();
    let screens = screens();
    assert!(screens.len() >= 13, "only {} screens found", screens.len());
    let forms = read(&root().join("core/screens/src/forms.rs"));
    let of_forms: usize = (screens.iter())
        .map(|(name, _)| typed_keys(&forms, name).len())
        .sum();
    assert!(of_forms >= 35, "only {of_forms} keys of forms found");
    for shown in ONLY_SHOWN {
        assert!(forms.contains(&format!("\"{shown}")), "no form {shown}");
    }
    for (name, source) in &screens {
        let section = sections.iter().find(|(n, _)| n == name);
        let Some((_, section)) = section else {
            wrong.push(format!("{name}: no section"));
            continue;
        };
        let lacks = missing(source, typed_keys(&forms, name), section);
        if !lacks.is_empty() {
            wrong.push(format!("{name}: {}", lacks.join(", ")));
        }
    }
    for (name, _) in &sections {
        if !screens.iter().any(|(n, _)| n == name) {
            wrong.push(format!("{name}: no such screen"));
        }
    }
    assert!(
        wrong.is_empty(),
        "not in tests/HAZARDS.md:\n{}",
        wrong.join("\n")
    );
}

#[test]
fn every_named_test_exists_and_runs() {
    let table = read(&root().join("tests/HAZARDS.md"));
    let wrong: Vec<String> = rows(&table)
        .filter_map(|row| unheld(row, &source_of).map(|why| format!("{why}: {row}")))
        .collect();
    assert!(rows(&table).count() > 80, "the table is gone");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_missing_action_and_a_test_that_does_not_run_are_found() {
    let source = "pub enum TryAction {\n    /// One.\n    Go,\n    Submit {\n        form: String,\n    },\n}\nfn f() { form(\n \"setup\", field(\"gauge\"), num(\"depth\"), must_num(AIR)); }\nconst AIR: &str = \"air\";\n";
    assert_eq!(actions(source), ["Go", "Submit"]);
    assert_eq!(
        missing(
            source,
            BTreeSet::new(),
            "| `Go`, form `setup` | no | x | y | z |"
        ),
        ["Submit", "air", "depth", "gauge"]
    );
    let forms = "impl fmt::Display for TryOutForm<'_> {\n Self::A => \"dive\",\n Self::B(e) => \
        write!(f, \"open/{e}\"),\n Self::C => \"steps\"\n}\nimpl fmt::Display for Other<'_> { \"no\" }\n";
    let typed = typed_keys(forms, "try_out");
    assert_eq!(typed, ["dive", "open"].map(str::to_owned).into());
    assert_eq!(
        missing(
            source,
            typed,
            "| `Go`, `Submit`, form `setup`, `dive` | `depth` | x | y | z |"
        ),
        ["air", "depth", "gauge", "open"]
    );
    let text =
        "#[test]\nfn runs() {}\n#[test]\n#[ignore = \"slow\"]\nfn sleeps() {}\nfn none() {}\n";
    let of = |file: &str| (file == "try").then(|| text.to_owned());
    let row = |last: &str| unheld(&format!("| `Go` | no | bad | care | {last} |"), &of);
    assert_eq!(row("`try::runs`"), None);
    assert_eq!(row("left: nothing can tell"), None);
    assert!(row("`try::sleeps`").is_some());
    assert!(row("`try::none`").is_some());
    assert!(row("`else::runs`").is_some());
    assert!(row("soon").is_some());
    assert!(row("`try::runs`, `try::gone`").is_some());
}
