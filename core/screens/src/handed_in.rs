//! A file that another app handed in: what it is, is told by how it begins, never by its name.

use std::fs::File;
use std::io::Read;

use super::common::{Document, Outcome, Place};
use super::cx::fault;
use super::desk::Desk;
use super::{crew, hold};
use slackwater_domain::book::BookFault;

/// How much of a file tells what it is, bytes: a procedure may open with a long comment.
const HEAD: u64 = 64 << 10;
/// How a zip file begins (ISO/IEC 21320-1, a local file header).
const ZIP: &[u8] = b"PK\x03\x04";
/// What stands at the top of a procedure, in any order (`core/procedures/FORMAT.md`).
const PROCEDURE_KEYS: [&str; 4] = ["format", "id", "title", "kind"];

#[derive(Debug, PartialEq, Eq)]
enum Kind {
    Empty,
    Everything,
    Procedure,
    HoldLog,
    Unknown,
}

fn kind_of(head: &[u8]) -> Kind {
    if head.is_empty() {
        return Kind::Empty;
    }
    if head.starts_with(ZIP) {
        return Kind::Everything;
    }
    // The head may end inside a letter.
    let text = match std::str::from_utf8(head) {
        Ok(text) => text,
        Err(e) if e.error_len().is_none() => {
            std::str::from_utf8(&head[..e.valid_up_to()]).unwrap_or_default()
        }
        Err(_) => return Kind::Unknown,
    };
    let text = text.trim_start_matches('\u{feff}');
    if text.trim_start().starts_with("# hold-log:") {
        return Kind::HoldLog;
    }
    let first = text
        .lines()
        .map(str::trim)
        .find(|l| !l.is_empty() && !l.starts_with('#'));
    let is_procedure = first.is_some_and(|line| {
        line == "[[step]]"
            || line
                .split_once('=')
                .is_some_and(|(key, _)| PROCEDURE_KEYS.contains(&key.trim()))
    });
    if is_procedure {
        Kind::Procedure
    } else {
        Kind::Unknown
    }
}

fn head_of(paper: &Document) -> std::io::Result<Vec<u8>> {
    let Some(path) = &paper.file else {
        let end = paper.bytes.len().min(HEAD as usize);
        return Ok(paper.bytes[..end].to_vec());
    };
    let mut head = Vec::new();
    File::open(path)?.take(HEAD).read_to_end(&mut head)?;
    Ok(head)
}

/// Brings in what is known; says of anything else that it isn't. A logged hold belongs to an
/// enclosure, so it is taken only where a hold is set up.
pub(super) fn receive(
    desk: &mut Desk,
    place: &Place,
    paper: &Document,
) -> Result<Outcome, BookFault> {
    let about = |key: &str| fault("", desk.texts.say(key, &[("name", (&paper.name).into())]));
    let head = match head_of(paper) {
        Ok(head) => head,
        Err(e) => {
            let why = e.to_string();
            let args = [("name", (&paper.name).into()), ("why", (&why).into())];
            return Ok(fault("", desk.texts.say("error_handed_in_unread", &args)));
        }
    };
    Ok(match (kind_of(&head), place) {
        (Kind::Empty, _) => about("error_handed_in_empty"),
        (Kind::Unknown, _) => about("error_handed_in_unknown"),
        (Kind::Everything, _) => {
            let outcome = crew::bring(desk, paper)?;
            if outcome.faults.is_empty() {
                let go = outcome.go.clone().or(Some(Place::Crew { form: None }));
                // Whoever joins a crew founds none.
                let leave = matches!(place, Place::Start { .. });
                Outcome {
                    go,
                    leave,
                    ..outcome
                }
            } else {
                outcome
            }
        }
        // A shell leaves in its file what is too large for a procedure.
        (Kind::Procedure, _) if paper.file.is_some() => about("error_handed_in_large"),
        (Kind::Procedure, _) => desk.add_procedure(&paper.bytes)?,
        (Kind::HoldLog, Place::HoldSetup { rig, enclosure }) => {
            hold::bring(desk, rig, enclosure, paper)?
        }
        (Kind::HoldLog, _) => about("error_handed_in_hold"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_known_by_how_it_begins() {
        for (text, kind) in [
            ("", Kind::Empty),
            ("PK\u{3}\u{4}rest", Kind::Everything),
            ("# hold-log: 1\n", Kind::HoldLog),
            ("\u{feff}# hold-log: 2\r\n", Kind::HoldLog),
            ("format = 1\n", Kind::Procedure),
            ("# Mine.\n\n  title = \"x\"\n", Kind::Procedure),
            ("[[step]]\nid = \"a\"\n", Kind::Procedure),
            ("formation = 1\n", Kind::Unknown),
            ("[package]\nid = 1\n", Kind::Unknown),
            ("time_s,gauge\n0,200\n", Kind::Unknown),
            ("# only a comment\n", Kind::Unknown),
        ] {
            assert_eq!(kind_of(text.as_bytes()), kind, "{text:?}");
        }
        assert_eq!(kind_of(b"\xff\xd8\xff\xe0"), Kind::Unknown);
        assert_eq!(
            kind_of(b"format = 1 # \xc3"),
            Kind::Procedure,
            "cut in a letter"
        );
    }
}
