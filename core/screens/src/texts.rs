//! The words. English is complete in `core/texts/en.ftl` (Project Fluent syntax); another language
//! is another file beside it. Keys: `action_`, `common_`, `screen_NAME_`, `error_`, `a11y_`,
//! `shell_`, `number_`.

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use once_cell::sync::OnceCell;

/// The languages that are built in, by their subtag (BCP 47), each with its file. English comes first.
const BUILT_IN: [(&str, &str); 2] = [
    ("en", include_str!("../../texts/en.ftl")),
    ("es", include_str!("../../texts/es.ftl")),
];

/// A language.
pub struct Texts {
    bundle: FluentBundle<FluentResource>,
    /// Spoken where numbers have the other sign before the parts of one than the language's own file says.
    other_decimal: bool,
}

/// Why a language file was not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TextsFault {
    /// The language tag isn't one (BCP 47).
    #[error("'{0}' is not a language tag")]
    Language(String),
    /// A line of the file isn't understood.
    #[error("line {line}: {why}")]
    Syntax {
        /// Line, from 1.
        line: usize,
        /// What the parser said.
        why: String,
    },
    /// A key stands twice.
    #[error("{0}")]
    Twice(String),
}

/// A value for a placeholder.
#[derive(Debug, Clone)]
pub enum Arg<'a> {
    /// A text.
    Text(&'a str),
    /// A count, which chooses the plural.
    Count(usize),
}

impl<'a> From<&'a str> for Arg<'a> {
    fn from(text: &'a str) -> Arg<'a> {
        Arg::Text(text)
    }
}

impl<'a> From<&'a String> for Arg<'a> {
    fn from(text: &'a String) -> Arg<'a> {
        Arg::Text(text)
    }
}

impl From<usize> for Arg<'_> {
    fn from(count: usize) -> Arg<'static> {
        Arg::Count(count)
    }
}

impl Texts {
    /// English.
    pub fn english() -> &'static Texts {
        built_in(0, false)
    }

    /// The built-in language of a tag (BCP 47, or with `_` as some phones write it): 'es' for 'es-MX', with
    /// the decimal sign of the tag's region. None where it isn't built in.
    pub fn spoken(tag: &str) -> Option<&'static Texts> {
        let mut parts = tag.split(['-', '_']);
        let language = parts.next().unwrap_or_default();
        let at = BUILT_IN
            .iter()
            .position(|(built_in, _)| built_in.eq_ignore_ascii_case(language))?;
        // Two letters or three digits, before what extends the tag, which a single letter begins.
        let is_region = |p: &&str| match p.len() {
            2 => p.bytes().all(|b| b.is_ascii_alphabetic()),
            3 => p.bytes().all(|b| b.is_ascii_digit()),
            _ => false,
        };
        let region = parts.take_while(|p| p.len() > 1).find(is_region);
        let others = built_in(at, false).get("number_decimal_other");
        let is_other = |r: &str| others.split(' ').any(|o| o.eq_ignore_ascii_case(r));
        Some(built_in(at, region.is_some_and(is_other)))
    }

    /// Whether it is in the same language as another, whatever the region.
    pub fn same_language(&self, other: &Texts) -> bool {
        self.bundle.locales.first().map(|l| l.language)
            == other.bundle.locales.first().map(|l| l.language)
    }

    /// The built-in languages, each with its tag and its name in its own words.
    pub fn languages() -> Vec<(&'static str, String)> {
        let name = |i: usize| built_in(i, false).get("common_language");
        (0..BUILT_IN.len())
            .map(|i| (BUILT_IN[i].0, name(i)))
            .collect()
    }

    /// Reads a language file.
    ///
    /// # Errors
    /// [`TextsFault`] names the line or key.
    pub fn read(language: &str, source: &str) -> Result<Texts, TextsFault> {
        let tag = language
            .parse()
            .map_err(|_| TextsFault::Language(language.to_owned()))?;
        let resource = FluentResource::try_new(source.to_owned()).map_err(|(_, errors)| {
            let (line, why) = errors.first().map_or((0, String::new()), |e| {
                let line = source[..e.pos.start.min(source.len())]
                    .matches('\n')
                    .count()
                    + 1;
                (line, e.kind.to_string())
            });
            TextsFault::Syntax { line, why }
        })?;
        let mut bundle = FluentBundle::new_concurrent(vec![tag]);
        // Isolation marks would stand as boxes in fonts without them; names come in alone.
        bundle.set_use_isolating(false);
        bundle.add_resource(resource).map_err(|errors| {
            TextsFault::Twice(
                errors
                    .iter()
                    .map(ToString::to_string)
                    .collect::<Vec<_>>()
                    .join("; "),
            )
        })?;
        let other_decimal = false;
        Ok(Texts {
            bundle,
            other_decimal,
        })
    }

    /// A text without placeholders.
    pub fn get(&self, key: &str) -> String {
        self.say(key, &[])
    }

    /// A text with its placeholders filled. A key that another language lacks is said in English;
    /// one that isn't there at all is shown as itself.
    pub fn say(&self, key: &str, args: &[(&str, Arg<'_>)]) -> String {
        if !self.has(key) && !std::ptr::eq(self, Texts::english()) && Texts::english().has(key) {
            return Texts::english().say(key, args);
        }
        let Some(pattern) = self.bundle.get_message(key).and_then(|m| m.value()) else {
            return key.to_owned();
        };
        let mut fluent = FluentArgs::new();
        for (name, arg) in args {
            match arg {
                Arg::Text(text) => fluent.set(*name, FluentValue::from(*text)),
                Arg::Count(count) => fluent.set(*name, *count as f64),
            }
        }
        self.bundle
            .format_pattern(pattern, Some(&fluent), &mut Vec::new())
            .into_owned()
    }

    /// The sign before the parts of one: '.' or ','.
    pub fn decimal(&self) -> char {
        match (self.get("number_decimal") == ",") != self.other_decimal {
            true => ',',
            false => '.',
        }
    }

    /// Whether a key is there.
    pub fn has(&self, key: &str) -> bool {
        self.bundle.has_message(key)
    }
}

/// A built-in language, read when it is first spoken: with its own decimal sign or with the other.
fn built_in(at: usize, other_decimal: bool) -> &'static Texts {
    type Read = [OnceCell<Texts>; BUILT_IN.len()];
    static OWN: Read = [const { OnceCell::new() }; BUILT_IN.len()];
    static OTHER: Read = [const { OnceCell::new() }; BUILT_IN.len()];
    let (tag, source) = BUILT_IN[at];
    let read = if other_decimal { &OTHER } else { &OWN };
    read[at].get_or_init(|| {
        // The built-in files are parsed by a test; were one wrong, English would stand in its place,
        // and keys in the place of English.
        let read = Texts::read(tag, source).map(|t| t.bundle);
        Texts {
            bundle: read.unwrap_or_else(|_| FluentBundle::new_concurrent(vec![])),
            other_decimal,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::{BTreeMap, BTreeSet};

    fn keys(text: &str) -> BTreeSet<String> {
        text.lines()
            .filter_map(|l| l.split_once(" ="))
            .map(|(k, _)| k.trim().to_owned())
            .filter(|k| k.contains('_') && !k.starts_with('#') && !k.contains(' '))
            .collect()
    }

    #[test]
    fn english_parses_and_formats_plurals() {
        let en = Texts::read("en", include_str!("../../texts/en.ftl")).unwrap();
        assert_eq!(
            en.say("screen_rig_not_ready", &[("n", 1.into())]),
            "Not ready: 1 thing"
        );
        assert_eq!(
            en.say("screen_rig_not_ready", &[("n", 3.into())]),
            "Not ready: 3 things"
        );
    }

    #[test]
    fn another_language_is_a_file_and_english_fills_its_gaps() {
        let other = Texts::read("de", "screen_rigs_title = Aufbauten\n").unwrap();
        assert_eq!(other.get("screen_rigs_title"), "Aufbauten");
        assert_eq!(other.get("action_done"), "Done");
    }

    #[test]
    fn a_wrong_file_is_named_by_line() {
        let fault = Texts::read("en", "good = yes\nbad =\n").err().unwrap();
        assert!(
            matches!(fault, TextsFault::Syntax { line: 2, .. }),
            "{fault:?}"
        );
        assert!(Texts::read("not a tag!", "a = b").is_err());
    }

    /// What a file says, by its keys.
    fn values(source: &str) -> BTreeMap<String, String> {
        let mut values: BTreeMap<String, String> = BTreeMap::new();
        let mut last = None;
        for line in source.lines() {
            let key = line
                .split_once(" =")
                .map(|(k, _)| k)
                .filter(|k| k.contains('_') && !k.contains([' ', '#']));
            match key {
                Some(key) => {
                    let value = line[key.len() + 2..].trim().to_owned();
                    assert!(
                        values.insert(key.to_owned(), value).is_none(),
                        "{key} twice"
                    );
                    last = Some(key.to_owned());
                }
                None if line.starts_with([' ', '}']) => {
                    let value = last.as_ref().and_then(|k| values.get_mut(k)).unwrap();
                    value.push('\n');
                    value.push_str(line);
                }
                None => last = None,
            }
        }
        values
    }

    /// The variables that a text names, and those it chooses a form by.
    fn variables(text: &str) -> BTreeSet<(String, bool)> {
        text.split('$')
            .skip(1)
            .map(|after| {
                let name: String = after
                    .chars()
                    .take_while(|c| c.is_ascii_alphanumeric() || *c == '_')
                    .collect();
                let chooses = after[name.len()..].trim_start().starts_with("->");
                (name, chooses)
            })
            .collect()
    }

    /// What one file lacks of another, or has of its own: keys, variables, texts of no word.
    fn differ(one: &str, other: &str) -> Vec<String> {
        let (one, other) = (values(one), values(other));
        let mut wrong: Vec<String> = Vec::new();
        for key in one.keys().chain(other.keys()) {
            match (one.get(key), other.get(key)) {
                (Some(a), Some(b)) if variables(a) != variables(b) => {
                    wrong.push(format!("{key}: other variables"));
                }
                (Some(a), Some(b)) if a.is_empty() != b.is_empty() => {
                    wrong.push(format!("{key}: empty"));
                }
                (Some(_), Some(_)) => {}
                _ => wrong.push(format!("{key}: in one only")),
            }
        }
        wrong
    }

    #[test]
    fn every_language_has_the_keys_and_the_variables_of_english() {
        let english = BUILT_IN[0].1;
        for (tag, source) in BUILT_IN {
            assert!(Texts::read(tag, source).is_ok(), "{tag} can't be read");
            assert_eq!(differ(english, source), [] as [String; 0], "{tag}");
        }
        // It finds each kind of gap.
        for wrong in [
            "a_b = x { $n }",
            "a_b =",
            "a_c = x",
            "a_b = x { $n ->\n   *[other] y\n}",
        ] {
            assert!(!differ("a_b = x { $m }", wrong).is_empty(), "{wrong}");
            assert!(!differ("a_b = x", wrong).is_empty(), "{wrong}");
        }
        assert!(!differ("a_b = { $n }", "a_b = { $n ->\n   *[other] y\n}").is_empty());
    }

    #[test]
    fn a_tag_finds_its_language() {
        let spanish = Texts::spoken("es").unwrap();
        assert_eq!(spanish.get("action_done"), "Hecho");
        for tag in ["es-CO", "es_ES", "ES", "es-u-nu-latn", "es-x-mx"] {
            assert!(std::ptr::eq(Texts::spoken(tag).unwrap(), spanish), "{tag}");
        }
        assert!(std::ptr::eq(
            Texts::spoken("en-GB").unwrap(),
            Texts::english()
        ));
        for tag in ["de", "", "est", "-es"] {
            assert!(Texts::spoken(tag).is_none(), "{tag}");
        }
        assert_eq!(
            spanish.say("screen_rig_not_ready", &[("n", 1.into())]),
            "No está listo: 1 cosa"
        );
        assert_eq!(
            spanish.say("screen_rig_not_ready", &[("n", 3.into())]),
            "No está listo: 3 cosas"
        );
    }

    /// By Unicode CLDR 49, as babel 2.19 reads it: the sign of each region's Spanish and English.
    #[test]
    fn numbers_have_the_decimal_sign_of_the_phones_region() {
        let signs = |c: char, tags: &[&str]| {
            for tag in tags {
                let spoken = Texts::spoken(tag).unwrap();
                assert_eq!(spoken.decimal(), c, "{tag}");
                assert!(
                    spoken.same_language(Texts::spoken(&tag[..2]).unwrap()),
                    "{tag}"
                );
            }
        };
        let point = "es-MX es_US es-Latn-PE es-419 es-mx-u-nu-latn es-CU es-BZ en en-GB en-AU";
        let comma = "es es-ES es-AR es-CO es-CR es-VE es-PH es-GQ en-ZA en-DE en-FI";
        signs('.', &point.split(' ').collect::<Vec<_>>());
        signs(',', &comma.split(' ').collect::<Vec<_>>());
        assert_eq!(Texts::spoken("es-MX").unwrap().get("action_done"), "Hecho");
        let key =
            |tag| super::super::words::ShellWords::of(Texts::spoken(tag).unwrap()).pad_decimal;
        assert_eq!([key("es"), key("es-MX")], [",", "."]);
        assert!(!Texts::english().same_language(Texts::spoken("es").unwrap()));
    }

    /// Every key written in the screens' code stands in the file, and every key of the file is
    /// written in the code.
    #[test]
    fn code_and_file_have_the_same_keys() {
        let file = keys(include_str!("../../texts/en.ftl"));
        let mut code = String::new();
        let mut folders = vec![std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    code.push_str(&std::fs::read_to_string(path).unwrap());
                }
            }
        }
        let prefixes = [
            "action_", "common_", "screen_", "error_", "a11y_", "shell_", "role_", "help_",
            "number_",
        ];
        let mut used = BTreeSet::new();
        for part in code.split('"').skip(1).step_by(1) {
            let key = part.trim();
            if prefixes.iter().any(|p| key.starts_with(p))
                && key
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
                && !prefixes.contains(&key)
            {
                used.insert(key.to_owned());
            }
        }
        let missing: Vec<_> = used.difference(&file).collect();
        assert!(
            missing.is_empty(),
            "in the code, not in the file: {missing:?}"
        );
        let unused: Vec<_> = file.difference(&used).collect();
        assert!(
            unused.is_empty(),
            "in the file, not in the code: {unused:?}"
        );
    }
}
