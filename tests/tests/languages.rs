//! What is shown comes from the language's file, whichever it is: in Spanish no English sentence, in a
//! language that is longer than English nothing cut short.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use slackwater_checks::drive::{Day, MORNING_MS, env, events_of};
use slackwater_checks::walk::walk;
use slackwater_checks::wrongs::of_each;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::demo;
use slackwater_core::journal::{Clock, FixedClock};
use slackwater_core::screens::common::{FieldValue, Place};
use slackwater_core::screens::crew::CrewAction;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::fault_words::FaultWords;
use slackwater_core::screens::measures::Units;
use slackwater_core::screens::texts::Texts;
use slackwater_core::screens::{Action, page::Page};

const ENGLISH: &str = include_str!("../../core/texts/en.ftl");
const SPANISH: &str = include_str!("../../core/texts/es.ftl");

/// Procedures: of one language, whichever the phone speaks.
const PROCEDURES: [&str; 4] = [
    include_str!("../../core/procedures/general_build.toml"),
    include_str!("../../core/procedures/after_dive.toml"),
    include_str!("../../core/procedures/flood.toml"),
    include_str!("../../core/procedures/turnaround.toml"),
];

fn desk(folder: &Path, now_ms: i64) -> Desk {
    let clock = Arc::new(FixedClock::at(now_ms));
    Desk::new(Book::open(folder, env(&clock, 5)).unwrap(), 120)
}

/// The demo, and a rig by the water: where, and when.
fn stores() -> Vec<(tempfile::TempDir, i64, usize)> {
    let season = tempfile::tempdir().unwrap();
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    demo::fill_if_empty(season.path(), &env(&clock, 3)).unwrap();
    let dive = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dive.path()).unwrap();
    day.ready().unwrap();
    day.hold("main", 40.0).unwrap();
    let now = day.clock.now_ms();
    drop(day);
    vec![(season, MORNING_MS, 300), (dive, now, 60)]
}

/// A page as Rust writes it, without what its buttons send.
fn without_actions(debug: &str) -> String {
    let mut out = String::new();
    let mut rest = debug;
    while let Some(at) = rest.find(", action: ") {
        out.push_str(&rest[..at]);
        rest = &rest[at + 10..];
        let (mut depth, mut quoted, mut escaped) = (0, false, false);
        let end = rest.char_indices().find(|(_, c)| {
            match (quoted, escaped, c) {
                (true, true, _) => escaped = false,
                (true, false, '\\') => escaped = true,
                (_, _, '"') => quoted = !quoted,
                (false, _, '{' | '(' | '[') => depth += 1,
                (false, _, '}' | ')' | ']') => depth -= 1,
                _ => {}
            }
            !quoted && (depth < 0 || depth == 0 && *c == ',')
        });
        rest = &rest[end.map_or(rest.len(), |(i, _)| i)..];
    }
    out.push_str(rest);
    out
}

/// What a person reads of a page: no keys, ids and places.
fn shown(page: &Page) -> Vec<String> {
    const UNSEEN: [&str; 11] = [
        "at",
        "step",
        "kept",
        "hold",
        "adds_to",
        "subject",
        "photo",
        "hash",
        "thumbnail",
        "key",
        "of",
    ];
    let debug = without_actions(&format!("{page:?}"));
    let mut texts = Vec::new();
    let mut rest = debug.as_str();
    while let Some(open) = rest.find('"') {
        let before = rest[..open].trim_end_matches("Some(").trim_end();
        let field = before.strip_suffix(':').unwrap_or_default();
        let field = field.rsplit([' ', '{', '(']).next().unwrap_or_default();
        let mut text = String::new();
        let mut escaped = false;
        let mut end = rest.len();
        for (i, c) in rest[open + 1..].char_indices() {
            match (escaped, c) {
                (false, '\\') => escaped = true,
                (false, '"') => {
                    end = open + 1 + i + 1;
                    break;
                }
                // A no-break space comes as \u{a0}.
                (true, 'u') => {
                    text.push('\\');
                    text.push('u');
                    escaped = false;
                }
                (_, c) => {
                    text.push(c);
                    escaped = false;
                }
            }
        }
        rest = &rest[end..];
        // What stands in a field is a key or was typed.
        let in_field = field == "value" && rest.starts_with(", hint");
        if !UNSEEN.contains(&field) && !in_field {
            texts.push(text.replace("\\u{a0}", " "));
        }
    }
    texts
}

/// The texts of a file between its placeables, with the letters changed by `say` and each stretch of
/// text by `frame`.
fn rewritten(source: &str, say: &dyn Fn(char) -> char, frame: &dyn Fn(&str) -> String) -> String {
    let mut out = String::new();
    for line in source.lines() {
        let (head, text) = if line.starts_with('#') || line.trim().is_empty() {
            (line, "")
        } else if let Some((key, _)) = line
            .split_once(" = ")
            .filter(|(k, _)| k.contains('_') && !k.contains(' '))
        {
            line.split_at(key.len() + 3)
        } else if let Some(end) = line.find("] ").filter(|_| line.starts_with(' ')) {
            line.split_at(end + 2)
        } else {
            ("", line)
        };
        let mut depth = 0i32;
        let mut said = String::new();
        for c in text.chars() {
            match c {
                '{' => depth += 1,
                '}' => depth = (depth - 1).max(0),
                _ => {}
            }
            // An unclosed brace opens a choice: what follows on this line is Fluent's.
            said.push(if depth == 0 { say(c) } else { c });
        }
        out.push_str(head);
        out.push_str(
            &if depth == 0 && !text.is_empty() && !text.starts_with('}') {
                frame(&said)
            } else {
                said
            },
        );
        out.push('\n');
    }
    out
}

/// A letter of the language of the test.
fn strange(c: char) -> char {
    if c.is_ascii_alphabetic() {
        // The same letter, of full width (Unicode, halfwidth and fullwidth forms).
        char::from_u32(c as u32 + 0xFEE0).unwrap_or(c)
    } else {
        c
    }
}

/// 35 % longer, between marks.
fn longer(text: &str) -> String {
    let letters = text.chars().count();
    let more: String = (0..letters.div_ceil(20) * 7)
        .map(|i| if i % 8 == 0 { ' ' } else { 'ｘ' })
        .collect();
    format!("⟦{text}{more}⟧")
}

fn words(text: &str) -> BTreeSet<String> {
    text.split(|c: char| !c.is_ascii_alphabetic())
        .filter(|w| w.len() > 2)
        .map(str::to_lowercase)
        .collect()
}

/// The stretches of text of a language file that a person reads in one: of three words or more.
fn sentences(source: &str) -> BTreeSet<String> {
    let framed = rewritten(source, &|c| c, &|t| format!("\u{1}{t}\u{1}"));
    framed
        .split('\u{1}')
        .skip(1)
        .step_by(2)
        .flat_map(|t| {
            let mut plain = String::new();
            let mut depth = 0;
            for c in t.chars() {
                match c {
                    '{' => depth += 1,
                    '}' => {
                        depth -= 1;
                        plain.push('\u{1}');
                    }
                    c if depth == 0 => plain.push(c),
                    _ => {}
                }
            }
            plain
                .split('\u{1}')
                .map(|s| s.trim().to_owned())
                .collect::<Vec<_>>()
        })
        .filter(|s| s.split_whitespace().count() > 2)
        .collect()
}

/// Each page that a person can come to, in a language.
fn pages(
    folder: &Path,
    now_ms: i64,
    most: usize,
    speak: &dyn Fn(&mut Desk),
) -> Vec<(Place, Vec<String>)> {
    let places = walk(folder, now_ms, most).places;
    assert!(places.len() > 25, "{} places", places.len());
    let mut desk = desk(folder, now_ms);
    speak(&mut desk);
    places
        .into_iter()
        .map(|place| {
            let page = desk.page(&place).unwrap();
            let texts = shown(&page);
            (place, texts)
        })
        .collect()
}

#[test]
fn the_phone_s_language_is_spoken_unless_another_was_chosen_here() {
    let dir = tempfile::tempdir().unwrap();
    let crew = |form: Option<&str>| Place::Crew {
        form: form.map(Into::into),
    };
    let mut at = desk(dir.path(), MORNING_MS);
    assert_eq!(at.texts().get("shell_back"), "Back");
    at.phone_speaks("es-MX");
    assert_eq!(at.texts().get("shell_back"), "Atrás");
    at.phone_speaks("de-DE");
    assert_eq!(at.texts().get("shell_back"), "Back");
    // Chosen on this device, it stands whatever the phone is set to, and after a start.
    let choose = |at: &mut Desk, tag: &str| {
        let values = vec![FieldValue {
            key: "language".into(),
            value: tag.into(),
        }];
        let action = Action::Crew {
            action: CrewAction::Submit {
                form: "language".into(),
                values,
            },
        };
        at.act(&crew(Some("language")), action).unwrap()
    };
    let before = events_of(at.book()).len();
    assert_eq!(choose(&mut at, "es").said.as_deref(), Some("Cambiado"));
    assert_eq!(events_of(at.book()).len(), before, "no fact of the crew");
    at.phone_speaks("en");
    assert_eq!(at.words().back, "Atrás");
    // Each language stands there by its own name.
    let form = format!("{:?}", at.page(&crew(Some("language"))).unwrap());
    assert!(form.contains("\"English\"") && form.contains("\"Español\""));
    drop(at);
    let mut at = desk(dir.path(), MORNING_MS);
    at.phone_speaks("en");
    assert_eq!(at.texts().get("shell_back"), "Atrás");
    // One that isn't offered is refused.
    assert_eq!(choose(&mut at, "xx").faults.len(), 1);
    assert_eq!(at.texts().get("shell_back"), "Atrás");
    choose(&mut at, "");
    assert_eq!(at.texts().get("shell_back"), "Back");
}

#[test]
fn what_is_wrong_with_what_was_typed_is_said_in_spanish() {
    let dir = tempfile::tempdir().unwrap();
    let mut desk = desk(dir.path(), MORNING_MS);
    desk.phone_speaks("es");
    let add = |desk: &mut Desk, name: &str| {
        let value = |key: &str, value: &str| FieldValue {
            key: key.into(),
            value: value.into(),
        };
        let place = Place::Crew {
            form: Some("member".into()),
        };
        let action = Action::Crew {
            action: CrewAction::Submit {
                form: "member".into(),
                values: vec![value("name", name), value("role", "assistant")],
            },
        };
        let faults = desk.act(&place, action).unwrap().faults;
        faults.into_iter().map(|f| f.text).collect::<Vec<_>>()
    };
    assert_eq!(
        add(&mut desk, &"x".repeat(81)),
        ["Como máximo 80 caracteres"]
    );
    assert!(add(&mut desk, "Noor").is_empty());
    assert_eq!(
        add(&mut desk, "noor"),
        ["Noor ya está en el equipo: un nombre, una persona"]
    );
}

#[test]
fn no_english_sentence_stands_on_a_spanish_page() {
    let spanish = sentences(SPANISH);
    let english: Vec<String> = sentences(ENGLISH)
        .into_iter()
        .filter(|s| !spanish.contains(s) && !PROCEDURES.iter().any(|p| p.contains(s)))
        .collect();
    assert!(english.len() > 1000, "{} sentences", english.len());
    let found = |text: &str| english.iter().find(|s| text.contains(s.as_str())).cloned();
    assert!(found("The last recheck is 3 h old, and more").is_some());
    for (dir, now, most) in stores() {
        let mut wrong = BTreeSet::new();
        for (place, texts) in pages(dir.path(), now, most, &|d| d.phone_speaks("es")) {
            for text in texts {
                if let Some(s) = found(&text) {
                    wrong.insert(format!("'{s}' in '{text}' at {place:?}"));
                }
            }
        }
        let wrong: Vec<_> = wrong.into_iter().collect();
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
}

/// Words that hold an English sentence together, and are none in Spanish or of a file's format.
const ENGLISH_WORDS: [&str; 40] = [
    "the", "of", "and", "is", "are", "was", "were", "with", "that", "this", "these", "those", "it",
    "its", "not", "have", "for", "must", "but", "which", "where", "from", "by", "be", "been",
    "than", "can", "can't", "there", "an", "they", "their", "at", "to", "what", "while", "more",
    "most", "needed", "allowed",
];

fn english_words(text: &str) -> Vec<&str> {
    text.split(|c: char| !c.is_alphabetic() && c != '\'')
        .filter(|w| ENGLISH_WORDS.contains(&w.to_lowercase().as_str()))
        .collect()
}

#[test]
fn of_each_thing_that_can_be_wrong_there_are_words_in_each_language() {
    let units = Units::default();
    let say = |texts: &Texts| of_each(&FaultWords::new(texts, units));
    let english = say(Texts::english());
    let spanish = say(Texts::spoken("es").unwrap());
    assert!(english.len() > 300, "{}", english.len());
    let mut wrong = Vec::new();
    for (en, es) in english.iter().zip(&spanish) {
        // What is the same of both is a name.
        let same = en == es;
        if same || !english_words(es).is_empty() {
            wrong.push(format!("{es}\n  {en}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(english.iter().all(|s| !s.is_empty()));
    // The check finds English.
    let found = english.iter().filter(|s| !english_words(s).is_empty());
    assert!(found.count() * 10 > english.len() * 8);
    // And each text that the code has for what is wrong is among them: a language in which each says its
    // own key.
    let keys: BTreeSet<&str> = include_str!("../../core/screens/src/fault_words.rs")
        .split('"')
        .skip(1)
        .step_by(2)
        .filter(|k| k.starts_with("error_"))
        .collect();
    assert!(keys.len() > 200, "{} keys", keys.len());
    let source: String = (keys.iter())
        .map(|key| {
            let text = values_of(ENGLISH, key);
            format!("{key} = ⟦{key}⟧ {text}\n")
        })
        .collect();
    let speaking = Texts::read("en-XA", &source).unwrap();
    let said = say(&speaking).join("\n");
    let silent: Vec<_> = (keys.iter())
        .filter(|key| !said.contains(&format!("⟦{key}⟧")))
        .collect();
    assert!(silent.is_empty(), "of these there is no sample: {silent:?}");
}

/// The variables of a text of a file, each once: what is put into it is said.
fn values_of(source: &str, key: &str) -> String {
    let start = source.find(&format!("\n{key} =")).unwrap();
    let text = &source[start + 1..];
    let end = (text.match_indices('\n'))
        .find(|(i, _)| !text[i + 1..].starts_with([' ', '}']))
        .map_or(text.len(), |(i, _)| i);
    let name = |after: &str| -> String {
        let letters = after.chars();
        letters
            .take_while(|c| c.is_ascii_alphanumeric() || *c == '_')
            .collect()
    };
    let names: BTreeSet<String> = text[..end].split('$').skip(1).map(name).collect();
    names.iter().map(|n| format!("{{ ${n} }} ")).collect()
}

#[test]
fn text_longer_by_a_third_is_shown_whole_and_nothing_is_said_past_the_file() {
    let strange_texts = rewritten(ENGLISH, &strange, &longer);
    // What people wrote, and procedures, which are of one language, are in no language's file.
    let mut written = PROCEDURES.concat();
    for file in [
        include_str!("../../LICENSE"),
        include_str!("../../core/data/licences.txt"),
        include_str!("../../core/templates/housing_and_monitor.toml"),
        include_str!("../../core/templates/single_housing.toml"),
    ] {
        written.push_str(file);
    }
    let mut past: BTreeMap<String, String> = BTreeMap::new();
    let (mut pages_seen, mut framed) = (0, 0);
    for (dir, now, most) in stores() {
        let book = Book::open(dir.path(), env(&Arc::new(FixedClock::at(now)), 5)).unwrap();
        let mut known = written.clone();
        for event in events_of(&book) {
            known.push_str(&String::from_utf8_lossy(&event.body));
            known.push(' ');
        }
        drop(book);
        let known = words(&known);
        let speak = |d: &mut Desk| d.speak("en-XA", &strange_texts).unwrap();
        for (place, texts) in pages(dir.path(), now, most, &speak) {
            pages_seen += 1;
            for text in texts {
                let (begun, ended) = (text.matches('⟦').count(), text.matches('⟧').count());
                framed += begun;
                assert_eq!(begun, ended, "cut short at {place:?}: {text}");
                for word in words(&text) {
                    if !known.contains(&word) {
                        past.entry(word)
                            .or_insert_with(|| format!("'{text}' at {place:?}"));
                    }
                }
            }
        }
    }
    assert!(pages_seen > 150 && framed > 5_000, "{pages_seen}, {framed}");
    past.retain(|word, _| !UNITS_AND_NAMES.contains(&word.as_str()));
    let past: Vec<_> = past
        .into_iter()
        .map(|(w, where_)| format!("{w}: {where_}"))
        .collect();
    assert!(past.is_empty(), "said past the file:\n{}", past.join("\n"));
}

/// Units, codes of materials (ISO 1629), and names that are the same in each language: that of Spanish
/// up to its letter that isn't ASCII.
const UNITS_AND_NAMES: [&str; 20] = [
    "english", "espa", "epdm", "ffkm", "fkm", "hnbr", "nbr", "sbr", "vmq", "inhg", "kpa", "mbar",
    "min", "mmhg", "mpa", "psi", "sccm", "shore", "std", "utc",
];
