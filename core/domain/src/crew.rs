//! Who is who, and whose second look counts beside whose first. Pure.
//!
//! A signature by two wants two people, not two entries of a list. Entries that a crew joined, or
//! that have one name as people read it, are one person: phones that meet bring the same person
//! twice far more often than two of one name. A rename says that they are two.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::names;
use super::state::{Causes, Seen};
use slackwater_journal::{EventRef, Stamp};

/// Minutes after which a crew of one may look again: long enough to have put the thing down and
/// turned to something else. Common practice knows no figure; this one is a choice.
pub const SECOND_LOOK_MIN: i64 = 5;

/// The same, ms.
pub const SECOND_LOOK_MS: i64 = SECOND_LOOK_MIN * 60_000;

/// The choice of a crew that it is one person: 'yes'.
pub const ALONE: &str = "crew_of_one";
/// The choice of what a second signature asks for: 'code', 'phone', else the name.
pub const SIGNED_WITH: &str = "signed_with";

/// A name that names nobody, as [`name_key`] has it.
const NOBODY: [&str; 3] = ["nobody", "noone", "nobodynamed"];

/// What a member's name is compared by: as it reads, and without its gaps.
pub fn name_key(name: &str) -> String {
    names::key(name).unwrap_or_default().replace(' ', "")
}

/// All that a member's name is compared by: two names are one if they have any in common.
pub fn name_keys(name: &str) -> Vec<String> {
    let keys = names::keys(name).unwrap_or_default();
    keys.into_iter().map(|k| k.replace(' ', "")).collect()
}

/// What a name looks like.
fn look_key(name: &str) -> String {
    name_keys(name).into_iter().nth(1).unwrap_or_default()
}

/// Whether a name names nobody: nothing of it can be seen, or it says so.
pub fn names_nobody(name: &str) -> bool {
    let key = name_key(name);
    key.is_empty() || NOBODY.contains(&key.as_str())
}

/// How somebody looked a second time.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Look {
    /// Event reference of what was looked at; empty in old records, where the order decides.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub of: String,
    /// The member gave their own code.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub code: bool,
    /// BLAKE3 of a photo taken for this look, hex, or empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub photo: String,
    /// How long after what was looked at it was, ms: by the clock that nobody can set of the phone that
    /// recorded this look, since it recorded or heard of what was looked at; where that clock didn't run on
    /// between, and what was looked at is another phone's, by its time of day. None else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_ms: Option<i64>,
}

impl Look {
    /// Nothing is said of it.
    pub fn is_bare(&self) -> bool {
        *self == Look::default()
    }
}

/// What a crew asks of a second signature besides the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum SignedWith {
    /// Nothing.
    #[default]
    Name,
    /// The member's own code.
    Code,
    /// The member's own phone.
    Phone,
}

impl SignedWith {
    /// From the choice.
    pub fn of(choice: &str) -> SignedWith {
        match choice {
            "code" => SignedWith::Code,
            "phone" => SignedWith::Phone,
            _ => SignedWith::Name,
        }
    }

    /// The choice.
    pub fn word(self) -> &'static str {
        match self {
            SignedWith::Name => "",
            SignedWith::Code => "code",
            SignedWith::Phone => "phone",
        }
    }
}

/// Whose word stands behind something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Word {
    /// Two people's.
    Two,
    /// One person's, who looked twice.
    One,
}

/// A member as the record knows one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// Id.
    pub id: String,
    /// Name as it was given.
    pub name: String,
    /// No longer in the crew.
    pub retired: bool,
}

/// What readiness has to know of the crew.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CrewFacts {
    /// The id that stands for a member's person, where that is another.
    persons: BTreeMap<String, String>,
    /// Everybody who is or was in it, but for those whose name names nobody.
    members: BTreeSet<String>,
    /// It is one person, said so, and nobody else is in it.
    pub alone: bool,
    /// What a second signature asks for; of several chosen on phones that had not heard of each other
    /// what asks most.
    pub signed_with: SignedWith,
    /// What else was chosen apart from it, and is asked as well until one choice is made.
    asked_apart: Vec<SignedWith>,
    /// Whose phone a device is, by the first eight bytes of its key.
    phones: BTreeMap<[u8; 8], String>,
    /// Who had heard what.
    heard: Causes,
}

impl CrewFacts {
    /// From the members, the pairs that were joined, whose phone is whose, and the crew's choices.
    pub fn of(
        members: &[Known],
        joined: &[(String, String)],
        phones: BTreeMap<[u8; 8], String>,
        says_alone: bool,
        mut asked: Vec<SignedWith>,
    ) -> CrewFacts {
        asked.sort();
        let signed_with = asked.pop().unwrap_or_default();
        let mut pairs = joined.to_vec();
        let mut by_name: BTreeMap<String, &str> = BTreeMap::new();
        for m in members {
            for key in name_keys(&m.name) {
                if let Some(other) = by_name.insert(key, &m.id) {
                    pairs.push((other.to_owned(), m.id.clone()));
                }
            }
        }
        let persons = joined_as(&pairs);
        let named = members.iter().filter(|m| !names_nobody(&m.name));
        let mut facts = CrewFacts {
            persons,
            members: named.map(|m| m.id.clone()).collect(),
            alone: false,
            signed_with,
            asked_apart: asked,
            phones,
            heard: Causes::default(),
        };
        let active: BTreeSet<&str> = members
            .iter()
            .filter(|m| !m.retired && facts.named(&m.id))
            .map(|m| facts.person(&m.id))
            .collect();
        let alone = says_alone && active.len() < 2;
        facts.alone = alone;
        facts
    }

    /// The same, knowing who had heard what.
    pub fn having_heard(self, heard: Causes) -> CrewFacts {
        CrewFacts { heard, ..self }
    }

    /// The id that stands for a member's person: the same for entries that are one.
    pub fn person<'a>(&'a self, member: &'a str) -> &'a str {
        self.persons.get(member).map_or(member, String::as_str)
    }

    /// Whether somebody in particular did it: somebody whom the crew knows, by a name. What is signed with
    /// anything else nobody signed.
    pub fn named(&self, member: &str) -> bool {
        self.members.contains(member)
    }

    /// Whose phone wrote something, by its stamp.
    pub fn phone_of(&self, stamp: &Stamp) -> Option<&str> {
        self.phones.get(&stamp.writer().0).map(String::as_str)
    }

    /// Whether a look was given the way the crew asks for.
    fn as_asked(&self, seen: &Seen, look: &Look) -> bool {
        let mut asked = self.asked_apart.iter().chain([&self.signed_with]);
        asked.all(|asked| match asked {
            SignedWith::Name => true,
            SignedWith::Code => look.code,
            SignedWith::Phone => self
                .phone_of(&seen.stamp)
                .is_some_and(|owner| self.person(owner) == self.person(&seen.author)),
        })
    }

    /// Whose word stands behind something done, with the looks that were signed at it. A look
    /// counts for what it was given at and for nothing done since.
    pub fn word(&self, done: &Seen, looks: &[Seen]) -> Option<Word> {
        if !self.named(&done.author) {
            return None;
        }
        let counts = looks.iter().filter_map(|seen| {
            let look: Look = if seen.value.is_empty() {
                Look::default()
            } else {
                serde_json::from_str(&seen.value).ok()?
            };
            let of_this = self.heard.after(&seen.stamp, &done.stamp)
                && (look.of.is_empty() || look.of.parse().is_ok_and(|of| is_of(&done.stamp, &of)));
            if !of_this || !self.named(&seen.author) {
                return None;
            }
            if self.person(&seen.author) != self.person(&done.author) {
                return self.as_asked(seen, &look).then_some(Word::Two);
            }
            (self.alone && !look.photo.is_empty() && apart(done, seen, look.after_ms))
                .then_some(Word::One)
        });
        counts.max_by_key(|w| *w == Word::Two)
    }
}

/// Whether two looks of one person are so far apart that the second is one: by what the phone of the second
/// measured since it recorded or heard of the first, else by both clocks that can be set, of one phone. The
/// clocks of two phones tell nothing.
fn apart(first: &Seen, second: &Seen, measured: Option<i64>) -> bool {
    if measured.is_none() && first.stamp.writer() != second.stamp.writer() {
        return false;
    }
    let by_events = second
        .stamp
        .hlc()
        .ms()
        .saturating_sub(first.stamp.hlc().ms());
    let by_wall = second.wall_ms.saturating_sub(first.wall_ms);
    measured.unwrap_or(by_events.min(by_wall)) >= SECOND_LOOK_MS
}

/// Whether a stamp is that of an event.
fn is_of(stamp: &Stamp, event: &EventRef) -> bool {
    stamp.writer() == event.device.into() && stamp.seq() == event.seq
}

fn root(persons: &BTreeMap<String, String>, id: &str) -> String {
    let mut at = id;
    while let Some(next) = persons.get(at) {
        at = next;
    }
    at.to_owned()
}

/// Joins two entries: the smaller id stands for both, the same on every device.
fn unite(persons: &mut BTreeMap<String, String>, a: &str, b: &str) {
    let (a, b) = (root(persons, a), root(persons, b));
    match a.cmp(&b) {
        std::cmp::Ordering::Less => drop(persons.insert(b, a)),
        std::cmp::Ordering::Greater => drop(persons.insert(a, b)),
        std::cmp::Ordering::Equal => {}
    }
}

/// Which entries a crew joined: the id that stands for each.
pub fn joined_as(joined: &[(String, String)]) -> BTreeMap<String, String> {
    let mut persons = BTreeMap::new();
    for (a, b) in joined {
        unite(&mut persons, a, b);
    }
    let all: Vec<String> = persons.keys().cloned().collect();
    all.into_iter()
        .map(|id| (id.clone(), root(&persons, &id)))
        .collect()
}

/// The members' names as shown, by id: told apart by a number where two that nobody joined read
/// alike, in the order of their ids, so that all phones say the same. Who is still in the crew
/// keeps a name from those who left.
pub fn shown_names(
    members: &[Known],
    joined: &BTreeMap<String, String>,
) -> BTreeMap<String, String> {
    // By name, then who is in the crew first, then the one who stands for the entry.
    let mut alike: BTreeMap<String, BTreeSet<(bool, &str)>> = BTreeMap::new();
    let stands = |m: &'_ Known| {
        joined
            .get(&m.id)
            .map_or_else(|| m.id.clone(), String::clone)
    };
    let stand_ins: BTreeMap<&str, String> =
        members.iter().map(|m| (m.id.as_str(), stands(m))).collect();
    let is_in: BTreeSet<&str> = members
        .iter()
        .filter(|m| !m.retired)
        .filter_map(|m| stand_ins.get(m.id.as_str()).map(String::as_str))
        .collect();
    for m in members {
        if let Some(stand_in) = stand_ins.get(m.id.as_str()) {
            let left = !is_in.contains(stand_in.as_str());
            let of_name = alike.entry(look_key(&m.name)).or_default();
            of_name.insert((left, stand_in.as_str()));
        }
    }
    let shown = |m: &Known| -> Option<String> {
        let of_name = alike.get(&look_key(&m.name))?;
        let stand_in = stand_ins.get(m.id.as_str())?.as_str();
        let n = of_name.iter().position(|(_, id)| *id == stand_in)?;
        let in_crew = of_name.iter().filter(|(left, _)| !left).count();
        let bare = of_name.len() == 1 || (in_crew == 1 && n == 0);
        Some(if bare {
            m.name.clone()
        } else {
            format!("{} ({})", m.name, n + 1)
        })
    };
    members
        .iter()
        .map(|m| (m.id.clone(), shown(m).unwrap_or_else(|| m.name.clone())))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use slackwater_journal::{DeviceId, Hlc};

    fn known(id: &str, name: &str, retired: bool) -> Known {
        Known {
            id: id.into(),
            name: name.into(),
            retired,
        }
    }

    fn seen(author: &str, minute: i64, value: &str) -> Seen {
        let ms = 1_780_000_000_000 + minute * 60_000;
        Seen {
            stamp: Stamp::new(Hlc::at(ms), DeviceId([7; 32]), minute as u64 + 1),
            wall_ms: ms,
            author: author.into(),
            value: value.into(),
        }
    }

    fn crew(members: &[Known], joined: &[(&str, &str)], alone: bool) -> CrewFacts {
        let joined: Vec<_> = joined
            .iter()
            .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
            .collect();
        CrewFacts::of(members, &joined, BTreeMap::new(), alone, Vec::new())
    }

    #[test]
    fn names_that_read_alike_are_alike_and_a_name_without_ink_is_none() {
        for (a, b) in [
            ("Noor", " noor "),
            ("Anna Lee", "ANNA\u{a0}\u{200b}LEE"),
            ("No\u{200d}or", "Noor"),
        ] {
            assert_eq!(name_key(a), name_key(b), "{a:?} {b:?}");
        }
        assert_ne!(name_key("Noor"), name_key("Nora"));
        for name in [
            "",
            "  ",
            "\u{200b}\u{2060}",
            "\u{3164}",
            "Nobody",
            " no body\u{ad}",
            "no one",
        ] {
            assert!(names_nobody(name), "{name:?}");
        }
        assert!(!names_nobody("N"));
    }

    // Seen before: 'Noor' added twice signed both sides.
    #[test]
    fn two_entries_of_one_name_or_joined_are_one_person_until_renamed() {
        let twins = [
            known("a", "Noor", false),
            known("b", "noor ", false),
            known("c", "Ilse", false),
        ];
        let c = crew(&twins, &[], false);
        assert_eq!(c.word(&seen("a", 0, ""), &[seen("b", 1, "")]), None);
        assert_eq!(
            c.word(&seen("a", 0, ""), &[seen("c", 1, "")]),
            Some(Word::Two)
        );
        let renamed = [known("a", "Noor", false), known("b", "Noor K", false)];
        let c = crew(&renamed, &[], false);
        assert_eq!(
            c.word(&seen("a", 0, ""), &[seen("b", 1, "")]),
            Some(Word::Two)
        );
        let c = crew(&renamed, &[("b", "a")], false);
        assert_eq!(c.word(&seen("a", 0, ""), &[seen("b", 1, "")]), None);
    }

    #[test]
    fn a_look_counts_only_for_what_it_was_given_at() {
        let c = crew(
            &[known("a", "Noor", false), known("b", "Ilse", false)],
            &[],
            false,
        );
        let look = |of: &Seen| {
            let seq = of.stamp.seq();
            let of = EventRef {
                device: DeviceId([7; 32]),
                seq,
            };
            serde_json::to_string(&Look {
                of: of.to_string(),
                ..Look::default()
            })
            .unwrap()
        };
        let (first, again) = (seen("a", 0, ""), seen("a", 5, ""));
        let looks = [seen("b", 6, &look(&first))];
        assert_eq!(c.word(&first, &looks), Some(Word::Two));
        assert_eq!(c.word(&again, &looks), None);
        // Before it, by nobody, by who did it.
        assert_eq!(c.word(&again, &[seen("b", 4, "")]), None);
        assert_eq!(c.word(&again, &[seen("", 6, "")]), None);
        assert_eq!(c.word(&again, &[seen("a", 16, "")]), None);
        assert_eq!(c.word(&seen("", 0, ""), &[seen("b", 1, "")]), None);
    }

    // Seen before: members that nobody had added signed for each other.
    #[test]
    fn who_is_in_no_crew_signs_nothing() {
        let c = crew(&[known("a", "Noor", false)], &[], false);
        assert_eq!(c.word(&seen("a", 0, ""), &[seen("ghost", 1, "")]), None);
        assert_eq!(c.word(&seen("ghost", 0, ""), &[seen("a", 1, "")]), None);
    }

    // Seen before: a member called 'nobody' signed.
    #[test]
    fn a_member_named_nobody_is_nobody() {
        let c = crew(&[known("n", "Nobody", false)], &[], false);
        assert_eq!(c.word(&seen("a", 0, ""), &[seen("n", 1, "")]), None);
        assert_eq!(c.word(&seen("n", 0, ""), &[seen("a", 1, "")]), None);
    }

    #[test]
    fn a_crew_of_one_looks_again_later_with_a_photo() {
        let one = [known("a", "Noor", false), known("gone", "Teo", true)];
        let photo = serde_json::to_string(&Look {
            photo: "ff".into(),
            ..Look::default()
        })
        .unwrap();
        let c = crew(&one, &[], true);
        let done = seen("a", 0, "");
        assert_eq!(
            c.word(&done, &[seen("a", SECOND_LOOK_MIN, &photo)]),
            Some(Word::One)
        );
        assert_eq!(
            c.word(&done, &[seen("a", SECOND_LOOK_MIN - 1, &photo)]),
            None
        );
        assert_eq!(c.word(&done, &[seen("a", SECOND_LOOK_MIN, "")]), None);
        // Someone else is there: two look.
        let two = [known("a", "Noor", false), known("b", "Ilse", false)];
        let c = crew(&two, &[], true);
        assert_eq!(c.word(&done, &[seen("a", 9, &photo)]), None);
        let c = crew(&one, &[], false);
        assert_eq!(c.word(&done, &[seen("a", 9, &photo)]), None);
    }

    #[test]
    fn a_crew_that_asks_for_more_gets_it() {
        let members = [known("a", "Noor", false), known("b", "Ilse", false)];
        let asks = |with, phones| CrewFacts::of(&members, &[], phones, false, vec![with]);
        let done = seen("a", 0, "");
        let with_code = serde_json::to_string(&Look {
            code: true,
            ..Look::default()
        })
        .unwrap();
        let c = asks(SignedWith::Code, BTreeMap::new());
        assert_eq!(c.word(&done, &[seen("b", 1, "")]), None);
        assert_eq!(c.word(&done, &[seen("b", 1, &with_code)]), Some(Word::Two));
        for (owner, counts) in [("a", None), ("b", Some(Word::Two))] {
            let phones = BTreeMap::from([([7; 8], owner.to_owned())]);
            let c = asks(SignedWith::Phone, phones);
            assert_eq!(c.word(&done, &[seen("b", 1, "")]), counts, "{owner}");
        }
        let c = asks(SignedWith::Phone, BTreeMap::new());
        assert_eq!(c.word(&done, &[seen("b", 1, "")]), None);
    }

    #[test]
    fn names_are_told_apart_the_same_everywhere() {
        let names = |members: &[Known], joined: &[(&str, &str)]| {
            let joined: Vec<_> = joined
                .iter()
                .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
                .collect();
            let all = shown_names(members, &joined_as(&joined));
            members
                .iter()
                .map(|m| all[&m.id].clone())
                .collect::<Vec<_>>()
        };
        let (b, a) = (known("b", "Noor", false), known("a", "noor", false));
        assert_eq!(
            names(&[b.clone(), a.clone()], &[]),
            ["Noor (2)", "noor (1)"]
        );
        assert_eq!(
            names(&[b.clone(), a.clone()], &[("a", "b")]),
            ["Noor", "noor"]
        );
        let left = known("a", "noor", true);
        assert_eq!(names(&[b, left], &[]), ["Noor", "noor (2)"]);
    }
}
