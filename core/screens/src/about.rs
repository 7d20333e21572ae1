//! What the program is, and the licences of everything inside. Its one question: what is this, and who says so?

use super::common::{Place, Row, Severity};
use super::cx::{Cx, lead};
use super::page::{Block, Draft, Page};
use std::sync::LazyLock;

/// What is inside the core and under which licence, with the texts; a test holds it against what is built.
const INSIDE: &str = include_str!("../../data/licences.txt");
/// The program's own.
const OWN: &str = include_str!("../../../LICENSE");

/// Keys of what has no number: the program's own licence, the list of what is inside.
const KEY_OWN: &str = "own";
const KEY_INSIDE: &str = "inside";

/// A licence and what it is of.
struct Licence {
    /// 'adler2 2.0.1', …
    of: Vec<&'static str>,
    text: &'static str,
}

/// A part of what is inside, and the short name of its licence.
type Inside = (&'static str, &'static str);

/// What is inside, and the texts.
static LICENCES: LazyLock<(Vec<Inside>, Vec<Licence>)> = LazyLock::new(|| {
    let mut parts = INSIDE.split("\n---- ");
    let head = parts.next().unwrap_or_default();
    let list = head.lines().filter_map(|l| l.split_once(": ")).collect();
    let texts = parts.map(|part| {
        let (of, text) = part.split_once('\n').unwrap_or((part, ""));
        Licence {
            of: of.split(", ").map(str::trim).collect(),
            text,
        }
    });
    (list, texts.collect())
});

/// The first words of a text.
fn begins(text: &str) -> String {
    let first = text.lines().map(str::trim).find(|l| !l.is_empty());
    first.unwrap_or_default().to_owned()
}

/// 'adler2 2.0.1 and 111 more'.
fn names(cx: &Cx<'_>, of: &[&str]) -> String {
    match of {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first, rest @ ..] => {
            let args = [("first", (*first).into()), ("n", rest.len().into())];
            cx.say("screen_about_and_more", &args)
        }
    }
}

/// Builds the page: of the program, or of one licence. What isn't there (any more) is the program's.
pub(super) fn page(cx: &Cx<'_>, licence: Option<&str>) -> Page {
    let title = cx.t("screen_about_title");
    let (list, texts) = &*LICENCES;
    match licence {
        Some(KEY_OWN) => return whole(&cx.t("screen_about_own"), &title, "", OWN),
        Some(KEY_INSIDE) => {
            let rows = list.iter().map(|(name, licence)| Row {
                title: (*name).to_owned(),
                detail: (*licence).to_owned(),
                ..Row::default()
            });
            return Draft::new(&cx.t("screen_about_inside"), &title)
                .rows("", rows.collect())
                .done();
        }
        _ => {}
    }
    let asked = licence.and_then(|key| texts.get(key.parse::<usize>().ok()?));
    if let Some(of) = asked {
        let all = if of.of.len() > 1 {
            of.of.join(", ")
        } else {
            String::new()
        };
        return whole(&names(cx, &of.of), &title, &all, of.text);
    }
    let row = |title: String, detail: String, key: &str| Row {
        tap: Some(lead(
            title.clone(),
            Place::About {
                licence: Some(key.to_owned()),
            },
        )),
        title,
        detail,
        ..Row::default()
    };
    let parts = [("n", list.len().into())];
    let mut rows = vec![
        row(cx.t("screen_about_own"), begins(OWN), KEY_OWN),
        row(
            cx.t("screen_about_inside"),
            cx.say("screen_about_parts", &parts),
            KEY_INSIDE,
        ),
    ];
    let inside = texts.iter().enumerate();
    // By the licence's short name, as its first crate says it.
    let short = |of: &[&str]| -> String {
        let found = list.iter().find(|(name, _)| of.first() == Some(name));
        found.map_or_else(String::new, |(_, licence)| (*licence).to_owned())
    };
    rows.extend(inside.map(|(n, l)| row(names(cx, &l.of), short(&l.of), &n.to_string())));
    let version = [("version", env!("CARGO_PKG_VERSION").into())];
    Draft::new(&title, "")
        .answer(
            &cx.say("screen_crew_version", &version),
            None,
            Severity::Plain,
        )
        .beneath(&cx.t("screen_about_what"))
        .text(&cx.t("common_vacuum_caveat"))
        .caution(Some(cx.t("screen_about_caution")))
        .rows(&cx.t("screen_about_licences"), rows)
        .done()
}

fn small(text: &str) -> Block {
    Block::Footnote {
        title: String::new(),
        text: text.to_owned(),
    }
}

/// A licence whole: what it is of, and its text, which a phone breaks into lines by itself.
fn whole(title: &str, detail: &str, of: &str, text: &str) -> Page {
    let draft = Draft::new(title, detail).text(of);
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let paragraphs = lines.split(|l| l.is_empty()).map(|p| p.join(" "));
    let some = paragraphs.filter(|p| !p.is_empty());
    some.fold(draft, |d, p| d.block(small(&p))).done()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_text_of_the_list_is_found_whole() {
        let (list, texts) = &*LICENCES;
        assert!(list.len() > 100 && texts.len() > 20, "{}", texts.len());
        assert_eq!(INSIDE.matches("\n---- ").count(), texts.len());
        for text in texts {
            assert!(text.text.trim().len() > 40, "{:?}", text.of);
            assert!(!text.text.contains("\n---- "));
        }
        // Whatever is inside has a text, and no text is of what is not.
        let named: Vec<&str> = list.iter().map(|(name, _)| *name).collect();
        assert_eq!(named.len(), list.len());
        for name in &named {
            assert!(texts.iter().any(|t| t.of.contains(name)), "{name}");
        }
        for name in texts.iter().flat_map(|t| &t.of) {
            assert!(named.contains(name), "{name}");
        }
        assert!(OWN.contains("Apache License"));
    }
}
