//! Names as people see them: what is kept of what was typed, and when two look the same.

use unicode_normalization::UnicodeNormalization;
use unicode_security::skeleton;

/// Longest name of anything, characters.
pub const NAME_MAX: usize = 80;

/// A name as it is kept: control characters and those that draw nothing taken out, gaps made single
/// spaces, none at the ends. `None` where nothing is left to be seen.
pub fn visible(typed: &str) -> Option<String> {
    let drawn: String = typed
        .chars()
        .map(|c| if is_gap(c) { ' ' } else { c })
        .filter(|c| !draws_nothing(*c))
        .collect();
    let name = drawn.split(' ').filter(|w| !w.is_empty());
    let name: String = name.collect::<Vec<_>>().join(" ").nfc().collect();
    name.chars().any(stands_alone).then_some(name)
}

/// Whether a name is kept as it was typed: something to be seen, and no longer than [`NAME_MAX`].
pub fn is_name(typed: &str) -> bool {
    visible(typed).is_some_and(|n| n.chars().count() <= NAME_MAX)
}

/// Whether two names look the same to someone who reads them on a screen: spelt with the same
/// letters, great or small, of whatever alphabet, however their accents and widths are written.
pub fn look_alike(a: &str, b: &str) -> bool {
    match (keys(a), keys(b)) {
        (Some(a), Some(b)) => a.iter().any(|k| b.contains(k)),
        _ => false,
    }
}

/// What names of the same letters, great or small, have in common. `None` where nothing is to be seen.
pub fn key(name: &str) -> Option<String> {
    let folded: String = visible(name)?.nfkc().flat_map(char::to_lowercase).collect();
    // Small letters may compose where great ones did not.
    Some(folded.nfkc().collect())
}

/// All that a name is compared by: its letters; what they look like (the skeleton of Unicode Technical
/// Standard 39, in which a Cyrillic а is an a); and what they look like as they stand, since a great I
/// looks like a small l. Two names look the same if they have one in common.
pub fn keys(name: &str) -> Option<[String; 3]> {
    let key = key(name)?;
    let shown: String = visible(name)?.nfkc().collect();
    Some([
        format!("={key}"),
        format!("~{}", skeleton(&key).collect::<String>()),
        format!("\"{}", skeleton(&shown).collect::<String>()),
    ])
}

/// A gap between words: white space, and the blanks that Unicode does not count as such (the empty
/// Braille cell, the Hangul fillers).
fn is_gap(c: char) -> bool {
    c.is_whitespace()
        || matches!(
            c,
            '\u{2800}' | '\u{115F}' | '\u{1160}' | '\u{3164}' | '\u{FFA0}'
        )
}

/// Characters that draw nothing of their own: controls, and those that Unicode calls format
/// characters or ignorable by default (Unicode Character Database, `General_Category` Cf and
/// `Default_Ignorable_Code_Point`, ranges from memory).
fn draws_nothing(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{00AD}' | '\u{034F}' | '\u{0600}'..='\u{0605}' | '\u{061C}' | '\u{06DD}'
            | '\u{070F}' | '\u{0890}'..='\u{0891}' | '\u{08E2}' | '\u{17B4}'..='\u{17B5}'
            | '\u{180B}'..='\u{180F}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}'
            | '\u{FFF0}'..='\u{FFFB}' | '\u{1BCA0}'..='\u{1BCA3}' | '\u{1D173}'..='\u{1D17A}'
            | '\u{E0000}'..='\u{E0FFF}')
}

/// Whether a character can be seen without another beside it: accents that hang on nothing can't.
fn stands_alone(c: char) -> bool {
    c != ' ' && !unicode_normalization::char::is_combining_mark(c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_nothing_visible_is_none() {
        for typed in [
            "",
            "   ",
            "\u{200B}",
            "\u{200B}\u{FEFF}\u{2060}",
            "\u{0007}\u{001B}",
            "\u{00A0}\u{3000}",
            "\u{2800}\u{3164}",
            "\u{202E}\u{202C}",
            "\u{0301}",
            "\u{E0041}\u{FE0F}",
        ] {
            assert_eq!(visible(typed), None, "{typed:?}");
            assert!(!is_name(typed));
        }
    }

    #[test]
    fn what_is_seen_is_kept() {
        assert_eq!(visible("  Main \t housing\n").unwrap(), "Main housing");
        assert_eq!(visible("Ma\u{200B}in\u{202E}").unwrap(), "Main");
        assert_eq!(visible("Zoe\u{0308}").unwrap(), "Zoë");
        assert_eq!(visible("24 mm prime").unwrap(), "24 mm prime");
        assert_eq!(visible("水中").unwrap(), "水中");
        assert_eq!(visible("-").unwrap(), "-");
        assert!(is_name(&"x".repeat(NAME_MAX)));
        assert!(!is_name(&"x".repeat(NAME_MAX + 1)));
    }

    #[test]
    fn twins_look_alike() {
        for (a, b) in [
            ("Ana", "ana"),
            ("Ana", " An\u{200B}a "),
            ("Ana  Ruiz", "Ana\u{00A0}Ruiz"),
            ("ZOË", "zoe\u{0308}"),
            ("Ａｎａ", "Ana"),
            // Seen: 'Ana' with a Cyrillic а signed for 'Ana'.
            ("Ana", "Аnа"),
            ("ANA", "аna"),
            ("Noor", "N\u{03BF}\u{043E}r"),
            ("Ilse", "lIse"),
            ("Alan", "AIan"),
        ] {
            assert!(look_alike(a, b), "{a:?} {b:?}");
        }
        assert!(!look_alike("Ana", "Anna"));
        assert!(!look_alike("Ian", "Lan"));
        assert!(!look_alike("Анна", "Инна"));
        assert!(!look_alike("水中", "水下"));
        assert!(!look_alike("\u{200B}", "\u{200B}"), "no names at all");
    }
}
