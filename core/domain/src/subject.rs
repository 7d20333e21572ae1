//! What an event or a mark is about, as a type. Written into events and tables it is a path, which is a file
//! format: 'RIG/enclosure/main' as an event's subject, 'enclosure/main' as a mark's. But for
//! queries, which look for what begins alike, nothing else puts such a path together. Pure.
//!
//! A path of a kind that this program doesn't know (a newer one wrote it) is kept as it came: [`At::Other`].

use std::fmt;

/// The root of what the crew has in common.
pub const CREW: &str = "crew";
/// The root of the procedures that were brought in.
pub const PROCEDURE: &str = "procedure";

/// What a path begins with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// An enclosure of a rig.
    Enclosure,
    /// A closure of an enclosure.
    Closure,
    /// A penetrator of an enclosure.
    Penetrator,
    /// A seal of a rig.
    Seal,
    /// A control of a rig.
    Control,
    /// A part of a rig.
    Part,
    /// A mounting point of a rig.
    Point,
    /// A lens of a rig.
    Lens,
    /// A hold.
    Hold,
    /// A prep, or a step of it.
    Prep,
    /// A defect.
    Defect,
    /// A photo.
    Photo,
    /// A gauge of the crew's.
    Gauge,
    /// A lot of rings in the crew's box.
    Lot,
    /// A device of the crew's.
    Phone,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 15] = [
        Self::Enclosure,
        Self::Closure,
        Self::Penetrator,
        Self::Seal,
        Self::Control,
        Self::Part,
        Self::Point,
        Self::Lens,
        Self::Hold,
        Self::Prep,
        Self::Defect,
        Self::Photo,
        Self::Gauge,
        Self::Lot,
        Self::Phone,
    ];

    /// As written.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Enclosure => "enclosure",
            Self::Closure => "closure",
            Self::Penetrator => "penetrator",
            Self::Seal => "seal",
            Self::Control => "control",
            Self::Part => "part",
            Self::Point => "point",
            Self::Lens => "lens",
            Self::Hold => "hold",
            Self::Prep => "prep",
            Self::Defect => "defect",
            Self::Photo => "photo",
            Self::Gauge => "gauge",
            Self::Lot => "box",
            Self::Phone => "phone",
        }
    }

    /// The kind of a word; none where it is no kind.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// The paths of the kind, as a range of text: from the first on, and before the second.
    pub fn between(self) -> [String; 2] {
        // '0' is what follows '/' among the characters.
        [format!("{}/", self.word()), format!("{}0", self.word())]
    }
}

/// What within a rig, the crew or the procedures something is about. As text it is the path of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum At<'a> {
    /// The root itself: the rig as a whole, or the crew.
    Rig,
    /// An enclosure.
    Enclosure(&'a str),
    /// Of an enclosure a closure; an empty one is the enclosure as a whole, opened nobody said by which.
    Closure(&'a str, &'a str),
    /// Of an enclosure a penetrator.
    Penetrator(&'a str, &'a str),
    /// A seal.
    Seal(&'a str),
    /// A control.
    Control(&'a str),
    /// A part.
    Part(&'a str),
    /// A mounting point.
    Point(&'a str),
    /// A lens.
    Lens(&'a str),
    /// A hold.
    Hold(&'a str),
    /// A prep.
    Prep(&'a str),
    /// Of a prep a step.
    Step(&'a str, &'a str),
    /// A defect.
    Defect(&'a str),
    /// A photo, by its hash.
    Photo(&'a str),
    /// A gauge of the crew's.
    Gauge(&'a str),
    /// A lot of rings in the crew's box.
    Lot(&'a str),
    /// A device of the crew's.
    Phone(&'a str),
    /// A thing that its root alone tells the kind of: a member of the crew, a procedure.
    Named(&'a str),
    /// Any other: the word before the first stroke, and what follows it if there is one.
    Other(&'a str, Option<&'a str>),
}

impl<'a> At<'a> {
    fn new(word: &'a str, id: &'a str) -> Self {
        let other = Self::Other(word, Some(id));
        let Some(kind) = Kind::from_word(word) else {
            return if id.is_empty() && !word.is_empty() {
                Self::Named(word)
            } else {
                other
            };
        };
        match kind {
            Kind::Enclosure => Self::Enclosure(id),
            Kind::Closure => id
                .split_once('/')
                .map_or(other, |(e, c)| Self::Closure(e, c)),
            Kind::Penetrator => (id.split_once('/')).map_or(other, |(e, p)| Self::Penetrator(e, p)),
            Kind::Seal => Self::Seal(id),
            Kind::Control => Self::Control(id),
            Kind::Part => Self::Part(id),
            Kind::Point => Self::Point(id),
            Kind::Lens => Self::Lens(id),
            Kind::Hold => Self::Hold(id),
            Kind::Prep => {
                (id.split_once('/')).map_or(Self::Prep(id), |(p, key)| Self::Step(p, key))
            }
            Kind::Defect => Self::Defect(id),
            Kind::Photo => Self::Photo(id),
            Kind::Gauge => Self::Gauge(id),
            Kind::Lot => Self::Lot(id),
            Kind::Phone => Self::Phone(id),
        }
    }

    /// Reads a path ('enclosure/main'). Any text is one; printed again it is the same.
    pub fn parse(path: &'a str) -> Self {
        match path.split_once('/') {
            Some((word, id)) => Self::new(word, id),
            None if path == "rig" => Self::Rig,
            None => Self::Other(path, None),
        }
    }

    /// What a path is of one prep: the prep itself or a step of it, none where it is of no or another prep. The
    /// id is taken as it is, whatever strokes are in it.
    pub fn of_prep(path: &'a str, prep: &str) -> Option<Self> {
        let text = (path.strip_prefix(Kind::Prep.word())?).strip_prefix('/')?;
        let (id, rest) = text.split_at_checked(prep.len())?;
        match rest.strip_prefix('/') {
            _ if id != prep => None,
            Some(step) => Some(Self::Step(id, step)),
            None => rest.is_empty().then_some(Self::Prep(id)),
        }
    }

    /// Its kind; none of the root, what it alone tells the kind of, and what isn't known.
    pub const fn kind(self) -> Option<Kind> {
        Some(match self {
            Self::Enclosure(_) => Kind::Enclosure,
            Self::Closure(..) => Kind::Closure,
            Self::Penetrator(..) => Kind::Penetrator,
            Self::Seal(_) => Kind::Seal,
            Self::Control(_) => Kind::Control,
            Self::Part(_) => Kind::Part,
            Self::Point(_) => Kind::Point,
            Self::Lens(_) => Kind::Lens,
            Self::Hold(_) => Kind::Hold,
            Self::Prep(_) | Self::Step(..) => Kind::Prep,
            Self::Defect(_) => Kind::Defect,
            Self::Photo(_) => Kind::Photo,
            Self::Gauge(_) => Kind::Gauge,
            Self::Lot(_) => Kind::Lot,
            Self::Phone(_) => Kind::Phone,
            Self::Rig | Self::Named(_) | Self::Other(..) => return None,
        })
    }

    /// An event's subject: the thing with its root (a rig's id, [`CREW`] or [`PROCEDURE`]).
    pub fn of(self, root: &str) -> String {
        match self {
            Self::Rig => root.to_owned(),
            Self::Named(id) => format!("{root}/{id}"),
            _ => format!("{root}/{self}"),
        }
    }
}

impl fmt::Display for At<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(kind) = self.kind() {
            write!(f, "{}/", kind.word())?;
        }
        match self {
            Self::Rig => f.write_str("rig"),
            Self::Enclosure(id)
            | Self::Seal(id)
            | Self::Control(id)
            | Self::Part(id)
            | Self::Point(id)
            | Self::Lens(id)
            | Self::Hold(id)
            | Self::Prep(id)
            | Self::Defect(id)
            | Self::Photo(id)
            | Self::Gauge(id)
            | Self::Lot(id)
            | Self::Phone(id) => f.write_str(id),
            Self::Closure(of, id) | Self::Penetrator(of, id) | Self::Step(of, id) => {
                write!(f, "{of}/{id}")
            }
            Self::Named(id) => write!(f, "{id}/"),
            Self::Other(word, None) => f.write_str(word),
            Self::Other(word, Some(id)) => write!(f, "{word}/{id}"),
        }
    }
}

/// An event's subject: its root, and what of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Subject<'a> {
    /// Rig id, [`CREW`] or [`PROCEDURE`].
    pub root: &'a str,
    /// What of it.
    pub at: At<'a>,
    word: &'a str,
    id: &'a str,
}

impl<'a> Subject<'a> {
    /// Splits 'RIG/enclosure/main'. Any text is a subject.
    pub fn parse(text: &'a str) -> Subject<'a> {
        let mut parts = text.splitn(3, '/');
        let mut next = || parts.next().unwrap_or_default();
        let (root, word, id) = (next(), next(), next());
        let at = if word.is_empty() {
            At::Rig
        } else {
            At::new(word, id)
        };
        Subject { root, at, word, id }
    }

    /// The id under which the tables keep what a thing of a kind began: all that follows the kind, or empty.
    pub fn id(&self) -> &'a str {
        self.id
    }

    /// The id of what its root alone tells the kind of: all between the root and the next stroke, or empty.
    pub fn name(&self) -> &'a str {
        self.word
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const EACH: [(At<'static>, &str, &str); 18] = [
        (At::Rig, "rig", "r"),
        (At::Enclosure("main"), "enclosure/main", "r/enclosure/main"),
        (
            At::Closure("main", "back"),
            "closure/main/back",
            "r/closure/main/back",
        ),
        (
            At::Penetrator("main", "p1"),
            "penetrator/main/p1",
            "r/penetrator/main/p1",
        ),
        (At::Seal("port"), "seal/port", "r/seal/port"),
        (At::Control("iris"), "control/iris", "r/control/iris"),
        (At::Part("foam"), "part/foam", "r/part/foam"),
        (At::Point("front"), "point/front", "r/point/front"),
        (At::Lens("24"), "lens/24", "r/lens/24"),
        (At::Hold("h1"), "hold/h1", "r/hold/h1"),
        (At::Prep("p1"), "prep/p1", "r/prep/p1"),
        (
            At::Step("p1", "seal/x"),
            "prep/p1/seal/x",
            "r/prep/p1/seal/x",
        ),
        (At::Defect("d1"), "defect/d1", "r/defect/d1"),
        (At::Photo("ab"), "photo/ab", "r/photo/ab"),
        (At::Gauge("g1"), "gauge/g1", "r/gauge/g1"),
        (At::Lot("l1"), "box/l1", "r/box/l1"),
        (At::Phone("ff"), "phone/ff", "r/phone/ff"),
        (At::Named("anna"), "anna/", "r/anna"),
    ];

    #[test]
    fn each_thing_is_written_as_it_was_and_read_again() {
        for (at, path, subject) in EACH {
            assert_eq!(at.to_string(), path);
            assert_eq!(At::parse(path), at);
            assert_eq!(at.of("r"), subject);
            let read = Subject::parse(subject);
            assert_eq!((read.root, read.at), ("r", at));
        }
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(kind));
            assert!(
                EACH.iter().any(|(at, ..)| at.kind() == Some(kind)),
                "{kind:?}"
            );
            let [from, to] = kind.between();
            for (at, path, _) in EACH {
                let within = from.as_str() <= path && path < to.as_str();
                assert_eq!(within, at.kind() == Some(kind), "{at} {kind:?}");
            }
        }
        assert_eq!(Kind::from_word("rig"), None);
    }

    #[test]
    fn what_is_not_known_stays_so_and_is_kept() {
        for path in [
            "rebreather/left",
            "closure/",
            "closure/main",
            "penetrator/x",
            "elsewhere",
            "",
            "/x",
        ] {
            let at = At::parse(path);
            assert!(matches!(at, At::Other(..)), "{path}");
            assert_eq!(at.kind(), None);
            assert_eq!(at.to_string(), path);
        }
        // A rig is no thing of a rig.
        assert_eq!(At::parse("rig/"), At::Named("rig"));
        assert_eq!(
            Subject::parse("r/rebreather/left").at.of("r"),
            "r/rebreather/left"
        );
        let of_none = Subject::parse("");
        assert_eq!((of_none.root, of_none.at), ("", At::Rig));
        // An opening that nobody said the closure of is marked at an empty one.
        assert_eq!(At::Closure("main", "").to_string(), "closure/main/");
        assert_eq!(At::parse("closure/main/"), At::Closure("main", ""));
        // Tables keep a prep by all that follows its kind, whatever an event says.
        let odd = Subject::parse("r/prep/p/k");
        assert_eq!((odd.id(), odd.at), ("p/k", At::Step("p", "k")));
        assert_eq!(Subject::parse("crew/anna").name(), "anna");
    }

    #[test]
    fn a_prep_s_own_are_told_from_those_of_another_that_begins_alike() {
        assert_eq!(At::of_prep("prep/p", "p"), Some(At::Prep("p")));
        assert_eq!(At::of_prep("prep/p/a/b", "p"), Some(At::Step("p", "a/b")));
        assert_eq!(At::of_prep("prep/p/a/b", "p/a"), Some(At::Step("p/a", "b")));
        for other in ["prep/p-2", "prep/q", "prep/", "hold/p", "prep/p2/a", "rig"] {
            assert_eq!(At::of_prep(other, "p"), None, "{other}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_a_path_and_prints_the_same(
            path in "(rig|prep|closure|box|seal|x|)(/[a-z/]{0,4}){0,3}", any in ".{0,12}",
        ) {
            for text in [path, any] {
                prop_assert_eq!(At::parse(&text).to_string(), text.clone());
                // As the path of a mark was made of an event's subject before there was a type for it.
                let mut parts = text.splitn(3, '/').skip(1);
                let (word, id) = (parts.next().unwrap_or(""), parts.next().unwrap_or(""));
                let was = if word.is_empty() { "rig".to_owned() } else { format!("{word}/{id}") };
                prop_assert_eq!(Subject::parse(&text).at.to_string(), was);
            }
        }
    }
}
