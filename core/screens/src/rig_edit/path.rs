//! Where in a rig's editor one stands: the path of a part, read and written here and nowhere else.

use super::kind::Kind;
use super::volume::How;
use slackwater_domain::book::BookFault;
use std::fmt;
use std::str::FromStr;

/// What of a rig is open in its editor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum EditAt {
    /// Its name and note: 'rig/name'.
    Rig,
    /// A new part of a kind: 'add/seal'.
    Add(Kind),
    /// A part: 'seal/main-port', 'closure/main/back'.
    Item(Kind, Id),
    /// Measuring the free volume of an enclosure: 'volume-syringe/main'.
    Volume(How, String),
    /// The gland of a seal: 'gland/main-port'.
    Gland(String),
    /// Weighing a part: 'part-weigh/housing'.
    Weigh(String),
}

/// What tells a part from others of its kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Id {
    /// Its id, or a weight's key.
    Own(String),
    /// Of a kind whose ids are unique in their enclosure only.
    In {
        /// The enclosure's id.
        enclosure: String,
        /// Its own.
        id: String,
    },
}

/// What is no path, and why.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{path}': {why}")]
pub(crate) struct NoPath {
    /// All of it.
    path: String,
    why: Why,
}

#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
enum Why {
    #[error("a kind of part and its id are wanted, with '/' between")]
    NoSlash,
    #[error("there is nothing of the kind '{0}'")]
    Kind(String),
    #[error("no id stands behind '{0}'")]
    NoId(String),
    #[error("behind '{0}' an enclosure's id and its own are wanted, with '/' between")]
    NoEnclosure(String),
    #[error("of a rig only 'name' can be opened, not '{0}'")]
    OfRig(String),
}

impl From<NoPath> for BookFault {
    fn from(no: NoPath) -> BookFault {
        no_part(&no.path)
    }
}

/// Nothing stands at this path.
pub(super) fn no_part(path: &str) -> BookFault {
    BookFault::NotFound {
        what: "part",
        id: path.to_owned(),
    }
}

const RIG: &str = "rig";
const NAME: &str = "name";
const ADD: &str = "add";
const VOLUME: &str = "volume-";
const GLAND: &str = "gland";
const WEIGH: &str = "part-weigh";

impl fmt::Display for EditAt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EditAt::Rig => write!(f, "{RIG}/{NAME}"),
            EditAt::Add(kind) => write!(f, "{ADD}/{}", kind.word()),
            EditAt::Item(kind, Id::Own(id)) => write!(f, "{}/{id}", kind.word()),
            EditAt::Item(kind, Id::In { enclosure, id }) => {
                write!(f, "{}/{enclosure}/{id}", kind.word())
            }
            EditAt::Volume(how, enclosure) => write!(f, "{VOLUME}{}/{enclosure}", how.word()),
            EditAt::Gland(seal) => write!(f, "{GLAND}/{seal}"),
            EditAt::Weigh(part) => write!(f, "{WEIGH}/{part}"),
        }
    }
}

impl FromStr for EditAt {
    type Err = NoPath;

    fn from_str(path: &str) -> Result<EditAt, NoPath> {
        read(path).map_err(|why| NoPath {
            path: path.to_owned(),
            why,
        })
    }
}

fn read(path: &str) -> Result<EditAt, Why> {
    let (word, id) = path.split_once('/').ok_or(Why::NoSlash)?;
    let no_kind = |word: &str| Why::Kind(word.to_owned());
    let own = || id.to_owned();
    // A part that another program left without an id is opened, so that it can be taken off.
    if id.is_empty() && Kind::of(word).is_none() {
        return Err(Why::NoId(word.to_owned()));
    }
    match word {
        RIG if id == NAME => Ok(EditAt::Rig),
        RIG => Err(Why::OfRig(own())),
        ADD => Kind::of(id).map(EditAt::Add).ok_or_else(|| no_kind(id)),
        GLAND => Ok(EditAt::Gland(own())),
        WEIGH => Ok(EditAt::Weigh(own())),
        _ => {
            if let Some(how) = word.strip_prefix(VOLUME) {
                let how = How::of(how).ok_or_else(|| no_kind(word))?;
                return Ok(EditAt::Volume(how, own()));
            }
            let kind = Kind::of(word).ok_or_else(|| no_kind(word))?;
            if !kind.inside() {
                return Ok(EditAt::Item(kind, Id::Own(own())));
            }
            let both = id.split_once('/');
            let (enclosure, id) = both.ok_or_else(|| Why::NoEnclosure(word.to_owned()))?;
            let (enclosure, id) = (enclosure.to_owned(), id.to_owned());
            Ok(EditAt::Item(kind, Id::In { enclosure, id }))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_path_is_read_as_it_was_written() {
        let own = |kind| EditAt::Item(kind, Id::Own("a-1.5".into()));
        let inside = |kind| {
            let (enclosure, id) = ("main".into(), "back".into());
            EditAt::Item(kind, Id::In { enclosure, id })
        };
        let mut all = vec![
            EditAt::Rig,
            EditAt::Gland("g".into()),
            EditAt::Weigh("p".into()),
        ];
        for kind in Kind::ALL {
            all.push(EditAt::Add(kind));
            all.push(if kind.inside() {
                inside(kind)
            } else {
                own(kind)
            });
        }
        all.extend(How::ALL.map(|how| EditAt::Volume(how, "main".into())));
        for at in &all {
            assert_eq!(at.to_string().parse().as_ref(), Ok(at), "{at}");
        }
        let mut paths: Vec<String> = all.iter().map(EditAt::to_string).collect();
        paths.sort();
        paths.dedup();
        assert_eq!(paths.len(), all.len(), "one path, one place");
    }

    /// Places that an ended process kept name these: none may ever read otherwise.
    #[test]
    fn paths_are_written_as_ever() {
        let own = |kind, id: &str| EditAt::Item(kind, Id::Own(id.to_owned()));
        let inside = |kind, enclosure: &str, id: &str| {
            let (enclosure, id) = (enclosure.to_owned(), id.to_owned());
            EditAt::Item(kind, Id::In { enclosure, id })
        };
        for (path, at) in [
            ("rig/name", EditAt::Rig),
            ("add/strip_item", EditAt::Add(Kind::StripItem)),
            ("enclosure/main", own(Kind::Enclosure, "main")),
            ("closure/main/back", inside(Kind::Closure, "main", "back")),
            ("penetrator/main/p", inside(Kind::Penetrator, "main", "p")),
            ("seal/main-port", own(Kind::Seal, "main-port")),
            ("control/rec", own(Kind::Control, "rec")),
            ("lens/24-mm", own(Kind::Lens, "24-mm")),
            ("strip_item/cap", own(Kind::StripItem, "cap")),
            ("cable/c", own(Kind::Cable, "c")),
            ("part/housing", own(Kind::Part, "housing")),
            ("mounting_point/nose", own(Kind::MountingPoint, "nose")),
            ("weight/28.35-200", own(Kind::Weight, "28.35-200")),
            (
                "volume-syringe/main",
                EditAt::Volume(How::Syringe, "main".into()),
            ),
            (
                "volume-known/main",
                EditAt::Volume(How::Known, "main".into()),
            ),
            (
                "volume-strokes/main",
                EditAt::Volume(How::Strokes, "main".into()),
            ),
            (
                "volume-estimate/main",
                EditAt::Volume(How::Estimate, "main".into()),
            ),
            ("gland/main-port", EditAt::Gland("main-port".into())),
            ("part-weigh/housing", EditAt::Weigh("housing".into())),
        ] {
            assert_eq!(at.to_string(), path);
            assert_eq!(path.parse(), Ok(at));
        }
    }

    /// Another program may leave a part without an id; it has to be opened to be taken off.
    #[test]
    fn a_part_without_an_id_has_a_path() {
        for path in [
            "seal/",
            "weight/",
            "closure/main/",
            "closure//back",
            "penetrator//",
        ] {
            let at: EditAt = path.parse().unwrap();
            assert!(matches!(at, EditAt::Item(..)), "{path}");
            assert_eq!(at.to_string(), path);
        }
    }

    #[test]
    fn what_is_no_path_is_refused_with_what_and_where() {
        for (path, why) in [
            ("", "a kind of part and its id"),
            ("seal", "a kind of part and its id"),
            ("gland/", "no id stands behind 'gland'"),
            ("add/", "no id stands behind 'add'"),
            ("tide/main", "nothing of the kind 'tide'"),
            ("Seal/main", "nothing of the kind 'Seal'"),
            ("add/tide", "nothing of the kind 'tide'"),
            ("add/gland", "nothing of the kind 'gland'"),
            ("add/rig", "nothing of the kind 'rig'"),
            ("volume-/main", "nothing of the kind 'volume-'"),
            ("volume-tide/main", "nothing of the kind 'volume-tide'"),
            ("closure/main", "behind 'closure' an enclosure's id"),
            ("penetrator/", "behind 'penetrator' an enclosure's id"),
            ("rig/note", "not 'note'"),
        ] {
            let fault = path.parse::<EditAt>().unwrap_err();
            let words = fault.to_string();
            assert!(words.starts_with(&format!("'{path}': ")), "{words}");
            assert!(words.contains(why), "{words}");
            let gone = BookFault::from(fault);
            assert!(matches!(&gone, BookFault::NotFound { id, .. } if id == path));
        }
    }
}
