//! What a mark says of a thing, as a type. In the tables it is a word, or a word with what tells one mark of its
//! kind from another behind it ('signed:MEMBER'): a format, which the queries of [`super::state`] and
//! [`super::book`] name as well. Pure.
//!
//! A key that this program doesn't know is kept as it came ([`MarkKey::Other`]) and says nothing here.

use std::fmt;

/// What is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarkKey<'a> {
    /// An enclosure or a closure was opened.
    Opened,
    /// An enclosure was closed.
    Closed,
    /// The plug was fitted.
    PlugOn,
    /// The plug was taken off.
    PlugOff,
    /// Something was looked over after what may have harmed it.
    Inspected,
    /// An edit made something of a thing that was proved or learnt another.
    Changed,
    /// A ring was worked on. News, which no taking back takes back.
    Touched,
    /// A seal was serviced.
    Serviced,
    /// A ring was fitted, or said to be in since a day.
    Fitted,
    /// A ring was put in on record.
    Renewed,
    /// What a lot of rings is.
    Lot,
    /// A shoot was planned.
    Shoot,
    /// A control works.
    Works,
    /// A control fails.
    Fails,
    /// What a gauge is.
    Defined,
    /// Two gauges were compared.
    Compared,
    /// A reading of a hold looked unlikely and was confirmed.
    Unlikely,
    /// A hold's gauge was seen to show the steps that were said.
    StepsStand,
    /// The vacuum was read again.
    Rechecked,
    /// A step was done.
    Done,
    /// A step was passed over.
    Skipped,
    /// A step was opened again.
    Reopened,
    /// Who has a prep in hand.
    Holder,
    /// A prep ended.
    Ended,
    /// The closed rig was walked round.
    Walked,
    /// Out of use, or back: a rig, a member.
    Retired,
    /// Whose phone it is.
    PhoneOf,
    /// A member's own code.
    Code,
    /// A rig was in the water.
    Dived,
    /// The water that a rig is trimmed for.
    Water,
    /// A rig hangs as it was worked out to.
    Trimmed,
    /// The rig was in the water to see how it hangs, and how it hung there was taken back.
    InWater,
    /// By the reference of the event: a ring was found bad. Each finding has a mark of its own, so that answering
    /// one never answers another's.
    Faulty(&'a str),
    /// By the reference of the finding: another looked again.
    LookedAgain(&'a str),
    /// By who looked: a second look at an enclosure's plug, or at the rig.
    Look(&'a str),
    /// By who signed: a step was signed.
    Signed(&'a str),
    /// By the part: a part of a step was confirmed, or taken back.
    Part(&'a str),
    /// By the other: two entries are one person.
    Joined(&'a str),
    /// By the reference of the event: one that couldn't be read was answered.
    UnreadAnswered(&'a str),
    /// By the reference of the edit: what it took away.
    TookAway(&'a str),
    /// The same of what it took away if the rig was in use unheard.
    TookUnheard(&'a str),
    /// By the reference of the edit and who signed for it.
    LossSigned(&'a str, &'a str),
    /// By the steps, Pa, that a hold's gauge was seen to show in place of finer ones.
    Steps(&'a str),
    /// By the size: weights hang at a mounting point.
    Hung(&'a str),
    /// Any other.
    Other(&'a str),
}

/// The keys that are one word.
const WORDS: [(&str, MarkKey<'static>); 32] = [
    ("opened", MarkKey::Opened),
    ("closed", MarkKey::Closed),
    ("plug_on", MarkKey::PlugOn),
    ("plug_off", MarkKey::PlugOff),
    ("inspected", MarkKey::Inspected),
    ("changed", MarkKey::Changed),
    ("touched", MarkKey::Touched),
    ("serviced", MarkKey::Serviced),
    ("fitted", MarkKey::Fitted),
    ("renewed", MarkKey::Renewed),
    ("lot", MarkKey::Lot),
    ("shoot", MarkKey::Shoot),
    ("works", MarkKey::Works),
    ("fails", MarkKey::Fails),
    ("defined", MarkKey::Defined),
    ("compared", MarkKey::Compared),
    ("unlikely", MarkKey::Unlikely),
    ("steps stand", MarkKey::StepsStand),
    ("rechecked", MarkKey::Rechecked),
    ("done", MarkKey::Done),
    ("skipped", MarkKey::Skipped),
    ("reopened", MarkKey::Reopened),
    ("holder", MarkKey::Holder),
    ("ended", MarkKey::Ended),
    ("walked", MarkKey::Walked),
    ("retired", MarkKey::Retired),
    ("phone of", MarkKey::PhoneOf),
    ("code", MarkKey::Code),
    ("dived", MarkKey::Dived),
    ("water", MarkKey::Water),
    ("trimmed", MarkKey::Trimmed),
    ("in water", MarkKey::InWater),
];

impl<'a> MarkKey<'a> {
    /// Its word, and what follows the colon behind it.
    fn written(self) -> (&'static str, Option<[&'a str; 2]>) {
        let (word, by) = match self {
            Self::Faulty(by) => ("faulty", by),
            Self::LookedAgain(by) => ("looked again", by),
            Self::Look(by) => ("look", by),
            Self::Signed(by) => ("signed", by),
            Self::Part(by) => ("part", by),
            Self::Joined(by) => ("joined", by),
            Self::UnreadAnswered(by) => ("unread answered", by),
            Self::TookAway(by) => ("took away", by),
            Self::TookUnheard(by) => ("took away unheard", by),
            Self::LossSigned(by, member) => return ("loss signed", Some([by, member])),
            Self::Steps(by) => ("steps", by),
            Self::Hung(by) => ("hung", by),
            one => {
                let word = WORDS.iter().find(|(_, key)| *key == one);
                return (word.map_or("", |(word, _)| word), None);
            }
        };
        (word, Some([by, ""]))
    }

    /// What keys of this kind begin with, the colon included: for a query.
    pub fn prefix(self) -> String {
        if let Self::Other(key) = self {
            return key.to_owned();
        }
        let (word, by) = self.written();
        format!("{word}{}", if by.is_some() { ":" } else { "" })
    }

    /// Reads a key. Any text is one; printed again it is the same.
    pub fn parse(key: &'a str) -> Self {
        if let Some((_, known)) = WORDS.iter().find(|(word, _)| *word == key) {
            return *known;
        }
        let Some((word, by)) = key.split_once(':') else {
            return Self::Other(key);
        };
        match word {
            "faulty" => Self::Faulty(by),
            "looked again" => Self::LookedAgain(by),
            "look" => Self::Look(by),
            "signed" => Self::Signed(by),
            "part" => Self::Part(by),
            "joined" => Self::Joined(by),
            "unread answered" => Self::UnreadAnswered(by),
            "took away" => Self::TookAway(by),
            "took away unheard" => Self::TookUnheard(by),
            // A reference is a device's key and a number, a colon between.
            "loss signed" => {
                let colon = by.match_indices(':').nth(1).map(|(at, _)| at);
                colon.map_or(Self::Other(key), |at| {
                    Self::LossSigned(&by[..at], &by[at + 1..])
                })
            }
            "steps" => Self::Steps(by),
            "hung" => Self::Hung(by),
            _ => Self::Other(key),
        }
    }
}

impl fmt::Display for MarkKey<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Self::Other(key) = self {
            return f.write_str(key);
        }
        let (word, by) = self.written();
        match (self, by) {
            (Self::LossSigned(..), Some([event, member])) => write!(f, "{word}:{event}:{member}"),
            (_, Some([by, _])) => write!(f, "{word}:{by}"),
            (_, None) => f.write_str(word),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const OF_ONE: [(&str, MarkKey<'static>); 12] = [
        ("faulty:ab12:7", MarkKey::Faulty("ab12:7")),
        ("looked again:ab12:7", MarkKey::LookedAgain("ab12:7")),
        ("look:anna", MarkKey::Look("anna")),
        ("signed:anna", MarkKey::Signed("anna")),
        ("part:1", MarkKey::Part("1")),
        ("joined:ben", MarkKey::Joined("ben")),
        (
            "unread answered:ab12:7#apart 0a",
            MarkKey::UnreadAnswered("ab12:7#apart 0a"),
        ),
        ("took away:ab12:7", MarkKey::TookAway("ab12:7")),
        ("took away unheard:ab12:7", MarkKey::TookUnheard("ab12:7")),
        (
            "loss signed:ab12:7~unheard:anna",
            MarkKey::LossSigned("ab12:7~unheard", "anna"),
        ),
        ("steps:100", MarkKey::Steps("100")),
        ("hung:100-", MarkKey::Hung("100-")),
    ];

    #[test]
    fn each_key_is_written_as_it_was_and_read_again() {
        for (text, key) in WORDS.into_iter().chain(OF_ONE) {
            assert_eq!(key.to_string(), text);
            assert_eq!(MarkKey::parse(text), key);
            assert!(text.starts_with(&key.prefix()), "{text}");
        }
        assert_eq!(MarkKey::Look("").prefix(), "look:");
        assert_eq!(MarkKey::Opened.prefix(), "opened");
    }

    #[test]
    fn what_is_not_known_stays_so_and_is_kept() {
        for text in [
            "",
            ":",
            "defrosted",
            "opened:x",
            "signed",
            "loss signed:ab12",
            "loss signed:ab12:7",
        ] {
            assert_eq!(MarkKey::parse(text), MarkKey::Other(text));
            assert_eq!(MarkKey::Other(text).to_string(), text);
        }
        // An author of another program may have any name.
        let odd = "loss signed:ab12:7:a:b";
        assert_eq!(MarkKey::parse(odd), MarkKey::LossSigned("ab12:7", "a:b"));
        assert_eq!(MarkKey::parse(odd).to_string(), odd);
    }

    proptest! {
        #[test]
        fn any_text_is_a_key_and_prints_the_same(
            word in "(faulty|look|looked again|loss signed|took away|opened|x|)(:[a-z:]{0,4}){0,3}",
            any in ".{0,12}",
        ) {
            for text in [word, any] {
                prop_assert_eq!(MarkKey::parse(&text).to_string(), text.clone());
            }
        }
    }
}
