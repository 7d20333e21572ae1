//! What is shown comes from the language's file, whichever it is: in Spanish no English sentence, in a
//! language that is longer than English nothing cut short.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::{Arc, LazyLock};

use slackwater_checks::drive::{Day, MORNING_MS, env, events_of};
use slackwater_checks::shell::{self, preset};
use slackwater_checks::walk::{Copies, Walk, walk};
use slackwater_checks::wrongs::of_each;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::demo;
use slackwater_core::journal::{Clock, FixedClock};
use slackwater_core::screens::common::{Document, FieldKind, FieldValue, Place};
use slackwater_core::screens::crew::CrewAction;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::fault_words::FaultWords;
use slackwater_core::screens::measures::{Units, number};
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

/// A store: where, and when.
type Store = (tempfile::TempDir, i64);

/// What a person can come to in each of [`stores`]: the walk takes a minute, and the same store is the same
/// each time it is made.
static WALKED: LazyLock<Vec<Walk>> = LazyLock::new(|| {
    let walked = |((dir, now), most): (Store, usize)| walk(dir.path(), now, most);
    stores().into_iter().zip([300, 60]).map(walked).collect()
});

/// The demo, and a rig by the water.
fn stores() -> Vec<Store> {
    let season = tempfile::tempdir().unwrap();
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    demo::fill_if_empty(season.path(), &env(&clock, 3)).unwrap();
    let dive = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dive.path()).unwrap();
    day.ready().unwrap();
    day.hold("main", 40.0).unwrap();
    let now = day.clock.now_ms();
    drop(day);
    vec![(season, MORNING_MS), (dive, now)]
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
        // What stands in a field is a key or was typed; numbers are looked at by a test of their own.
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
    walked: &Walk,
    speak: &dyn Fn(&mut Desk),
) -> Vec<(Place, Vec<String>)> {
    let places = walked.places.clone();
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
    for ((dir, now), walked) in stores().into_iter().zip(&*WALKED) {
        let mut wrong = BTreeSet::new();
        for (place, texts) in pages(dir.path(), now, walked, &|d| d.phone_speaks("es")) {
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

/// A broken logged hold, a procedure with a slip and figures of a weighing that can't be, as a person meets
/// them.
#[test]
fn what_is_wrong_with_a_file_or_a_figure_is_said_in_spanish() {
    let dir = tempfile::tempdir().unwrap();
    let day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let def = day.book.rig(&rig).unwrap().def.clone();
    let part = def.parts.iter().find(|p| !p.inside).unwrap().id.clone();
    let now = day.clock.now_ms();
    drop(day);
    let mut desk = desk(dir.path(), now);
    desk.phone_speaks("es");
    let paper = |name: &str, text: &str| Document {
        name: name.into(),
        media_type: String::new(),
        bytes: text.as_bytes().to_vec(),
        file: None,
    };
    let texts = |o: slackwater_core::screens::common::Outcome| -> Vec<String> {
        o.faults.into_iter().map(|f| f.text).collect()
    };
    let setup = Place::HoldSetup {
        rig: rig.clone(),
        enclosure: "main".into(),
    };
    let log = "# hold-log: 1\n# volume_L: 12\n# gauge: backwards\n# gauge_unit: mbar\n\
               # gauge_resolution: 1\ntime_s,gauge\n0,200\n60,199\n";
    let said = texts(desk.receive(&setup, &paper("hold.csv", log)).unwrap());
    assert_eq!(
        said,
        ["Línea 3: «gauge» vale «backwards»: se admite below_ambient o absolute"]
    );
    // Rows that can't be used wait for a word, each with what is wrong with it.
    let rows = log.replace("backwards", "below_ambient") + "90,x\n120,198\n100,198\n150\n";
    desk.receive(&setup, &paper("hold.csv", &rows)).unwrap();
    let page = shown(&desk.page(&setup).unwrap());
    for row in [
        "Línea 9: gauge «x» no es un número",
        "Línea 11: time_s 100 es anterior a 120 de la línea 10",
        "Línea 12: 1 celda donde el encabezado tiene 2",
    ] {
        assert!(page.iter().any(|t| t == row), "{row}: {page:?}");
    }
    let procedure = "format = 1\nid = \"x\"\ntitle = \"X\"\nkind = \"dance\"\n[[step]]\nid = \"a\"\n\
                     section = \"S\"\ntitle = \"T\"\nkind = \"do\"\nafter = [\"b\"]\n";
    let rigs = Place::Rigs { form: None };
    let said = texts(desk.receive(&rigs, &paper("x.toml", procedure)).unwrap());
    assert_eq!(
        said,
        [
            "Línea 4: «dance» no se conoce; puede ser build, turnaround, after_dive o flood",
            "Línea 10: no hay ningún paso «b»"
        ]
    );
    let no_toml = procedure.replace("\"X\"", "X");
    let said = texts(desk.receive(&rigs, &paper("x.toml", &no_toml)).unwrap());
    // What the reader says itself is in brackets.
    assert!(
        said[0].starts_with("Línea 3: esto no es TOML ("),
        "{said:?}"
    );
    let form = format!("part-weigh/{part}");
    let weigh = Place::RigEdit {
        rig,
        part: Some(form.clone()),
    };
    let values = [
        ("in_air_g", "1000"),
        ("in_water_g", "200"),
        ("sinker_g", ""),
        ("scale_sd_g", "1"),
        ("water", "known"),
        ("water_kg_m3", "500,5"),
    ]
    .map(|(key, value)| FieldValue {
        key: key.into(),
        value: value.into(),
    });
    let action = Action::submit(&weigh, &form, values.to_vec()).unwrap();
    let outcome = desk.act(&weigh, action).unwrap();
    assert_eq!(outcome.faults.len(), 1, "{outcome:?}");
    assert_eq!(outcome.faults[0].field, "water_kg_m3");
    let said = outcome.faults[0].text.replace('\u{a0}', " ");
    assert!(
        said.ends_with("densidad del agua: 500,5 kg/m³; es posible de 900 a 1100 kg/m³"),
        "{said}"
    );
    assert!(said.starts_with("No puede ser: "), "{said}");
}

/// Where `mark` stands between two digits, with what is around it.
fn between_digits(text: &str, mark: char) -> Vec<String> {
    let letters: Vec<char> = text.chars().collect();
    let digit = |i: Option<usize>| {
        i.and_then(|i| letters.get(i))
            .is_some_and(char::is_ascii_digit)
    };
    (0..letters.len())
        .filter(|&i| letters[i] == mark && digit(i.checked_sub(1)) && digit(Some(i + 1)))
        .map(|i| {
            letters[i.saturating_sub(8)..(i + 8).min(letters.len())]
                .iter()
                .collect()
        })
        .collect()
}

/// What has a point between digits in each language: the program's version. By its text, in part.
const POINTS_IN_NAMES: [&str; 1] = [concat!("Slackwater ", env!("CARGO_PKG_VERSION"))];

/// Decimal signs: Unicode CLDR, common/main/en.xml and es.xml, numbers, symbols of latn: '.' and ','.
#[test]
fn numbers_have_the_decimal_sign_of_the_language() {
    assert_eq!(Texts::english().decimal(), '.');
    assert_eq!(Texts::spoken("es").unwrap().decimal(), ',');
    assert_eq!(between_digits("24.6 °C, 3.53", '.').len(), 2);
    assert!(between_digits("Es 3. Y .5, 2026-06-03", '.').is_empty());
    let mut numbers = 0;
    for ((dir, now), walked) in stores().into_iter().zip(&*WALKED) {
        for (tag, other) in [("es", '.'), ("en", ',')] {
            let mut wrong = BTreeSet::new();
            let mark = if other == '.' { ',' } else { '.' };
            for (place, texts) in pages(dir.path(), now, walked, &|d| d.phone_speaks(tag)) {
                // A licence is shown as it is, and so is an entry as it was recorded.
                if matches!(place, Place::About { .. }) {
                    continue;
                }
                for text in texts.into_iter().filter(|t| !t.starts_with("{\"")) {
                    numbers += between_digits(&text, mark).len();
                    for found in between_digits(&text, other) {
                        if !POINTS_IN_NAMES.iter().any(|name| text.contains(name)) {
                            wrong.insert(format!("{tag}: '{found}' in '{text}' at {place:?}"));
                        }
                    }
                }
            }
            let wrong: Vec<_> = wrong.into_iter().collect();
            assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        }
    }
    assert!(numbers > 1_000, "{numbers} numbers");
}

/// A number that a field is filled with has the language's sign, and a form that is sent as it stands
/// records the same in each language.
#[test]
fn a_number_in_a_field_is_read_back_as_it_was() {
    let (mut decimals, mut recorded) = (0, 0);
    for ((dir, now), walked) in stores().into_iter().zip(&*WALKED) {
        let forms = walked.forms.clone();
        assert!(forms.len() > 15, "{} forms", forms.len());
        let mut copies = Copies::of(dir.path(), now);
        // Each field of each page is read as the same number.
        for place in &walked.places {
            let [english, spanish] = ["en", "es"].map(|tag| {
                copies.desk().phone_speaks(tag);
                let forms = shell::forms(&copies.desk().show(place).unwrap());
                let fields = forms.into_iter().flat_map(|f| f.fields);
                let numbers = fields.filter(|f| f.kind == FieldKind::Number && !f.value.is_empty());
                let (mark, other) = if tag == "es" { (',', '.') } else { ('.', ',') };
                numbers
                    .map(|f| {
                        assert!(!f.value.contains(other), "{f:?} at {place:?}");
                        decimals += f.value.matches(mark).count();
                        (f.key, number(&f.value).unwrap())
                    })
                    .collect::<Vec<_>>()
            });
            assert_eq!(english, spanish, "{place:?}");
        }
        for (place, form) in forms {
            let mut in_each = Vec::new();
            for tag in ["en", "es"] {
                copies.again();
                let desk = copies.desk();
                desk.phone_speaks(tag);
                let here = shell::forms(&desk.show(&place).unwrap());
                let Some(here) = here.into_iter().find(|f| f.key == form.key) else {
                    panic!("{} at {place:?} is in one language only", form.key);
                };
                let values = preset(&here);
                let before: BTreeSet<_> = (events_of(desk.book()).iter())
                    .map(|e| (e.device, e.seq))
                    .collect();
                let action = Action::submit(&place, &form.key, values).unwrap();
                let outcome = desk.act(&place, action).unwrap();
                let new: Vec<String> = events_of(desk.book())
                    .iter()
                    // A copy that recorded before goes on under a new key, and says so.
                    .filter(|e| e.kind != "device_admitted")
                    .filter(|e| !before.contains(&(e.device, e.seq)))
                    .map(|e| {
                        format!(
                            "{} {} {}",
                            e.subject,
                            e.kind,
                            String::from_utf8_lossy(&e.body)
                        )
                    })
                    .collect();
                recorded += new.len();
                let faults: Vec<String> = outcome.faults.into_iter().map(|f| f.field).collect();
                in_each.push((new, faults));
            }
            assert_eq!(in_each[0], in_each[1], "{} at {place:?}", form.key);
        }
    }
    assert!(decimals > 5 && recorded > 20, "{decimals}, {recorded}");
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
    for ((dir, now), walked) in stores().into_iter().zip(&*WALKED) {
        let book = Book::open(dir.path(), env(&Arc::new(FixedClock::at(now)), 5)).unwrap();
        let mut known = written.clone();
        for event in events_of(&book) {
            known.push_str(&String::from_utf8_lossy(&event.body));
            known.push(' ');
        }
        drop(book);
        let known = words(&known);
        let speak = |d: &mut Desk| d.speak("en-XA", &strange_texts).unwrap();
        for (place, texts) in pages(dir.path(), now, walked, &speak) {
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
