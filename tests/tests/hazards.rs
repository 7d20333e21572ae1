//! `tests/HAZARDS.md` names every action, form and input of every screen, and only tests that run.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

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
    let resolved = first_of(source, calls).map(|rest| constant(source, rest).unwrap_or(rest));
    resolved.filter_map(key_at).collect()
}

/// What is handed to any of these calls, from its first sign on.
fn first_of<'a>(source: &'a str, calls: &[&str]) -> impl Iterator<Item = &'a str> {
    let mut found = Vec::new();
    for call in calls {
        let opening = format!("{call}(");
        for (at, _) in source.match_indices(&opening) {
            let before = source[..at].chars().next_back().unwrap_or(' ');
            let inside_a_name = before.is_alphanumeric() || before == '_' || before == '.';
            if inside_a_name && !call.starts_with('.') {
                continue;
            }
            let rest = source[at + opening.len()..].trim_start();
            found.push(rest.strip_prefix("&format!(").unwrap_or(rest));
        }
    }
    found.into_iter()
}

/// The key that is written here, up to its end or its first stroke.
fn key_at(rest: &str) -> Option<String> {
    let text = rest.strip_prefix('"')?;
    let key = &text[..text.find(['"', '/'])?];
    let of_a_key = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '_' | '-');
    (!key.is_empty() && key.chars().all(of_a_key)).then(|| key.to_owned())
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

/// What a constant that stands here is, from its opening quote on: one of this source, or a key that several forms have.
fn constant<'a>(source: &'a str, rest: &str) -> Option<&'a str> {
    static SHARED: LazyLock<String> = LazyLock::new(|| read(&screens_root().join("keys.rs")));
    let (from, rest): (&'a str, _) = match rest.strip_prefix("keys::") {
        Some(rest) => (SHARED.as_str(), rest),
        None => (source, rest),
    };
    let end = rest.find(|c: char| !(c.is_ascii_uppercase() || c == '_'))?;
    let (_, value) = from.split_once(&format!("const {}: &str = ", &rest[..end]))?;
    Some(value)
}

fn screens_root() -> PathBuf {
    root().join("core/screens/src")
}

/// What makes the specification of a field: its key comes first.
const FIELDS: [&str; 18] = [
    "num",
    "num_in",
    "must_num",
    "must_num_in",
    "must_whole_in",
    "whole_num",
    "one_of",
    "one_of_in",
    "pick",
    "pick_in",
    "list",
    "text",
    "text_in",
    "long_text",
    "long_text_in",
    "switch",
    "switch_in",
    "switch_or_unsaid_in",
];

/// What else names a field by its key: what reads it, faults it or asks about it.
const NAMES_A_FIELD: [&str; 8] = [
    ".text",
    ".must_text",
    ".must_number",
    ".may_number",
    ".on",
    ".wrong",
    "fault",
    "Unlikely::of",
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

/// The sources of the screens, each without its tests.
fn screen_sources() -> Vec<(String, String)> {
    fn gather(folder: &Path, all: &mut Vec<(String, String)>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                gather(&path, all);
            } else if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("tests.rs") {
                let name = path.strip_prefix(screens_root()).unwrap();
                all.push((name.display().to_string(), read(&path)));
            }
        }
    }
    let mut all = Vec::new();
    gather(&screens_root(), &mut all);
    all.sort();
    all
}

/// The names of the functions and closures of a source that take a key first.
fn take_a_key(source: &str) -> Vec<&str> {
    let name = |head: &'_ str| -> Option<usize> {
        let name = |c: char| c.is_alphanumeric() || c == '_';
        Some(head.rfind(|c| !name(c))? + 1)
    };
    let mut found = Vec::new();
    for (opening, closure) in [
        ("(\n    key: &", false),
        ("(key: &", false),
        (" = |key: &", true),
    ] {
        for (at, _) in source.match_indices(opening) {
            let mut head = &source[..at];
            // What a function is generic over stands before what it takes.
            if !closure && head.ends_with('>') {
                head = head.rfind("fn ").map_or("", |f| &head[f..]);
                head = head.split_once('<').map_or(head, |(name, _)| name);
            }
            found.extend(name(head).map(|from| &head[from..]));
        }
    }
    found.retain(|n| !n.is_empty());
    found
}

/// Where each key of a field is written: the file, as often as it stands there.
fn written(sources: &[(String, String)]) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (file, source) in sources {
        let source = source.split("\n#[cfg(test)]\nmod ").next().unwrap();
        let mut calls = [&FIELDS[..], &NAMES_A_FIELD[..]].concat();
        // What a field is made of is no key of its own.
        if file != "spec.rs" && file != "cx.rs" {
            calls.extend(take_a_key(source));
        }
        calls.sort_unstable();
        calls.dedup();
        let firsts: Vec<&str> = first_of(source, &calls).collect();
        let mut here: Vec<String> = firsts.iter().filter_map(|rest| key_at(rest)).collect();
        // A constant counts once, however often it is named.
        for line in source.split("const ").skip(1) {
            let Some((name, value)) = line.split_once(": &str = ") else {
                continue;
            };
            let named = |rest: &&str| {
                let end = rest.find(|c: char| !(c.is_ascii_uppercase() || c == '_'));
                rest[..end.unwrap_or(rest.len())] == *name
            };
            if file == "keys.rs" || firsts.iter().any(named) {
                here.extend(key_at(value));
            }
        }
        // What says which field something belongs to answers with a key.
        for part in source.split("\nfn ").skip(1) {
            let (head, body) = part.split_once('{').unwrap_or((part, ""));
            let name = head.split(['(', '<']).next().unwrap_or_default();
            let of_a_field = name.ends_with("field_of") || name.ends_with("key_of");
            if of_a_field || (name.ends_with("_field") && head.contains("str")) {
                let body = body.split("\n}\n").next().unwrap_or_default();
                here.extend(body.split("=> ").skip(1).filter_map(key_at));
            }
        }
        // Of what takes a key first, some take that of a text.
        let of_a_text = |key: &&String| {
            let begins = ["screen_", "error_", "action_", "common_", "shell_"];
            begins.iter().any(|b| key.starts_with(b))
        };
        here.retain(|key| !of_a_text(&key));
        for key in here {
            found.entry(key).or_default().push(file.clone());
        }
    }
    found
}

/// The keys of fields that are written in more than one place.
fn written_again(sources: &[(String, String)]) -> Vec<String> {
    let again = written(sources).into_iter().filter(|(_, at)| at.len() > 1);
    again
        .map(|(key, at)| format!("{key}: {}", at.join(", ")))
        .collect()
}

#[test]
fn the_key_of_a_field_is_written_once() {
    let sources = screen_sources();
    let keys = written(&sources);
    assert!(keys.len() > 110, "only {} keys found", keys.len());
    let again = written_again(&sources);
    assert!(again.is_empty(), "written again:\n{}", again.join("\n"));
}

#[test]
fn a_key_that_is_written_twice_is_found() {
    let found = |sources: &[(&str, &str)]| {
        let owned = |(file, text): &(&str, &str)| ((*file).to_owned(), (*text).to_owned());
        written_again(&sources.iter().map(owned).collect::<Vec<_>>())
    };
    let drawn = ("a.rs", "fn f() { text(\n \"depth\", label) }");
    assert!(found(&[drawn]).is_empty());
    // Drawn here and read, faulted or asked about there; by a helper of its own; as a constant beside it.
    for other in [
        "fn g() { typed.may_number(\"depth\") }",
        "fn g() { typed.wrong(\"depth\", why) }",
        "fn g() { fault(\"depth\", why) }",
        "fn g() { must_num_in(\"depth\", label, unit, at) }",
        "fn g() { let ask = |key: &str, label| text(key, label); ask(\"depth\", label) }",
        "fn ask<'a>(key: &str) {}\nfn g() { ask(\"depth\") }",
        "fn ask(\n    key: &'static str,\n) {}\nfn g() { ask(\"depth\") }",
        "const AT: &str = \"depth\";\nfn g() { text(AT, label) }",
        "\nfn field_of(e: E) -> &str { match e { E::A => \"depth\" } }\n",
        "\nfn rig_field(e: E) -> &str { match e { E::A => \"depth\" } }\n",
    ] {
        assert_eq!(found(&[drawn, ("b.rs", other)]), ["depth: a.rs, b.rs"]);
    }
    // The word of a text, of a choice or of a form is none; what is named by its constant stands once; tests repeat it.
    for other in [
        "fn g() { say(key, &[(\"depth\", arg)]); form(\"depth\", title) }",
        "const FORM: &str = \"depth\";\nfn g() { form(FORM, title) }",
        "fn g() {}\n#[cfg(test)]\nmod tests { fn h() { typed.text(\"depth\") } }",
    ] {
        assert_eq!(found(&[drawn, ("b.rs", other)]), [""; 0]);
    }
    let once =
        "const AT: &str = \"at\";\nfn g() { text(AT, l); typed.wrong(AT, why); fault(AT, why) }";
    assert_eq!(found(&[("a.rs", once)]), [""; 0]);
}

#[test]
fn a_missing_action_and_a_test_that_does_not_run_are_found() {
    let source = "pub enum TryAction {\n    /// One.\n    Go,\n    Submit {\n        form: String,\n    },\n}\nfn f() { form(\n \"setup\", text(\"gauge\"), num(\"depth\"), must_num(AIR)); }\nconst AIR: &str = \"air\";\n";
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
