//! Goes everywhere a tap leads, on copies of a store where a tap records.

use std::collections::{BTreeMap, HashSet, VecDeque};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use slackwater_core::domain::book::Book;
use slackwater_core::journal::FixedClock;
use slackwater_core::journal::store::DB_FILE;
use slackwater_core::screens::common::{Form, Outcome, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::help::Topic;
use slackwater_core::screens::{Action, Screen};

use crate::drive::env;
use crate::shell::{filled, forms, page_lacks, preset, reads_badly, submit, targets};

/// A store that can be spoiled and had anew.
pub struct Copies {
    from: PathBuf,
    to: tempfile::TempDir,
    now_ms: i64,
    desk: Option<Desk>,
    events: u64,
}

impl Copies {
    /// Of the store in `folder`, which nobody has open.
    pub fn of(folder: &Path, now_ms: i64) -> Copies {
        // In memory where the system has such a folder: thousands of copies would wait for a disk.
        let memory = Path::new("/dev/shm");
        let to = tempfile::tempdir_in(memory)
            .or_else(|_| tempfile::tempdir())
            .expect("a folder for copies");
        copy_folder(folder, to.path());
        let mut made = Copies {
            from: folder.to_owned(),
            to,
            now_ms,
            desk: None,
            events: 0,
        };
        made.open();
        made
    }

    fn open(&mut self) {
        let clock = Arc::new(FixedClock::at(self.now_ms));
        let book = Book::open(self.to.path(), env(&clock, 77)).expect("the copy opens");
        // A copy is nobody's evidence, and a disk is slow.
        book.journal()
            .read()
            .execute_batch("PRAGMA synchronous = OFF")
            .expect("a pragma");
        self.events = book.journal().count(None).expect("a count");
        self.desk = Some(Desk::new(book, 120));
    }

    /// The screens of the copy.
    pub fn desk(&mut self) -> &mut Desk {
        self.desk.as_mut().expect("it is open")
    }

    /// Whether anything was recorded in the copy.
    pub fn recorded(&mut self) -> bool {
        let now = self.desk().book().journal().count(None).expect("a count");
        now != self.events
    }

    /// The store as it was.
    pub fn again(&mut self) {
        self.desk = None;
        for end in ["", "-wal", "-shm"] {
            let _ = fs::remove_file(self.to.path().join(format!("{DB_FILE}{end}")));
        }
        fs::copy(self.from.join(DB_FILE), self.to.path().join(DB_FILE)).expect("a copy");
        self.open();
    }
}

/// Copies a folder with what is in it.
pub fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder to copy") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().unwrap_or_default());
        if path.is_dir() {
            copy_folder(&path, &target);
        } else {
            fs::copy(&path, &target).expect("a copy");
        }
    }
}

/// What a walk came to.
#[derive(Default)]
pub struct Walk {
    /// The places shown, in the order reached.
    pub places: Vec<Place>,
    /// The forms met, with their place; one of a kind and key.
    pub forms: Vec<(Place, Form)>,
    /// What was wrong, with the place.
    pub problems: Vec<String>,
    /// What a person might stumble over: an enabled target that only refuses.
    pub refusals: Vec<String>,
    /// Taps and forms sent.
    pub acts: usize,
    /// Those that recorded something.
    pub recorded: usize,
}

/// The kind of a place, for counting.
pub fn kind(place: &Place) -> &'static str {
    match place {
        Place::Start { .. } => "start",
        Place::Help { .. } => "help",
        Place::About { .. } => "about",
        Place::Rigs { .. } => "rigs",
        Place::Rig { .. } => "rig",
        Place::RigEdit { .. } => "rig-edit",
        Place::Prep { .. } => "prep",
        Place::HoldSetup { .. } => "hold-setup",
        Place::Hold { .. } => "hold",
        Place::Recheck { .. } => "recheck",
        Place::Seals { .. } => "seals",
        Place::Seal { .. } => "seal",
        Place::Service { .. } => "service",
        Place::RingBox { .. } => "ring-box",
        Place::Spares { .. } => "spares",
        Place::Trim { .. } => "trim",
        Place::Journal { .. } => "journal",
        Place::Days { .. } => "days",
        Place::Entry { .. } => "entry",
        Place::Photo { .. } => "photo",
        Place::Sketch { .. } => "sketch",
        Place::Crew { .. } => "crew",
    }
}

/// Most places of one kind that are gone to: the journal of a season has thousands of entries, and
/// the steps of a prep are many of few kinds.
fn most_of(kind: &str) -> usize {
    match kind {
        "entry" => 30,
        "journal" | "about" => 6,
        "prep" => 110,
        _ => 120,
    }
}

/// Breadth first from the list of rigs, at most `most` places.
pub fn walk(folder: &Path, now_ms: i64, most: usize) -> Walk {
    let mut copies = Copies::of(folder, now_ms);
    let mut walk = Walk::default();
    let mut seen: HashSet<Place> = HashSet::new();
    let mut of_kind: BTreeMap<&'static str, usize> = BTreeMap::new();
    let mut forms_seen: HashSet<(&'static str, String)> = HashSet::new();
    let mut queue = VecDeque::from([Place::Rigs { form: None }]);
    while let Some(place) = queue.pop_front() {
        if walk.places.len() >= most || !seen.insert(place.clone()) {
            continue;
        }
        let count = of_kind.entry(kind(&place)).or_default();
        if *count >= most_of(kind(&place)) {
            continue;
        }
        *count += 1;
        walk.places.push(place.clone());
        let screen = match copies.desk().show(&place) {
            Ok(screen) => screen,
            Err(e) => {
                walk.problems
                    .push(format!("{place:?}: can't be shown: {e}"));
                continue;
            }
        };
        look(&mut walk.problems, &place, &screen, "");
        match copies.desk().page(&place) {
            Ok(page) => {
                let lacks = page_lacks(&place, &screen, &page).into_iter();
                (walk.problems).extend(lacks.map(|w| format!("{place:?}: {w}")));
                queue.extend(Topic::of(&place).map(|of| Place::Help { of }));
            }
            Err(e) => walk.problems.push(format!("{place:?}: has no page: {e}")),
        }
        if let Screen::Journal { screen } = &screen
            && let Some(before) = &screen.older
            && let Place::Journal { rig, .. } = &place
        {
            queue.push_back(Place::Journal {
                rig: rig.clone(),
                before: Some(before.clone()),
            });
        }
        for target in targets(&screen) {
            let name = format!(
                "{:?} [{}] {} {}",
                place, target.at, target.row, target.label
            );
            if target.label.trim().is_empty() && target.row.trim().is_empty() {
                walk.problems
                    .push(format!("{name}: a target without a word"));
            }
            if !target.enabled {
                if target.why_not.as_deref().unwrap_or_default().is_empty() {
                    walk.problems
                        .push(format!("{name}: can't be used, and not why"));
                }
                continue;
            }
            if let Some(go) = send(&mut walk, &mut copies, &place, target.action, &name) {
                queue.push_back(go);
            }
        }
        for form in forms(&screen) {
            let short = form.key.split('/').next().unwrap_or_default().to_owned();
            if forms_seen.insert((kind(&place), short)) {
                walk.forms.push((place.clone(), form.clone()));
            }
            let name = format!("{place:?} form {}", form.key);
            if form.submit.trim().is_empty() {
                walk.problems
                    .push(format!("{name}: no word on what sends it"));
            }
            let blank: Vec<(&str, &str)> =
                form.fields.iter().map(|f| (f.key.as_str(), "")).collect();
            for values in [preset(&form), filled(&form, &blank), Vec::new()] {
                let Some(action) = submit(&place, &form.key, values) else {
                    walk.problems.push(format!("{name}: no action sends it"));
                    continue;
                };
                if let Some(go) = send(&mut walk, &mut copies, &place, action, &name) {
                    queue.push_back(go);
                }
            }
        }
    }
    walk
}

fn look(problems: &mut Vec<String>, place: &Place, screen: &Screen, after: &str) {
    for wrong in reads_badly(screen) {
        problems.push(format!("{place:?}{after}: {wrong}"));
    }
}

/// Sends an action and looks at what comes of it. Gives where it leads in the store as it was.
fn send(
    walk: &mut Walk,
    copies: &mut Copies,
    place: &Place,
    action: Action,
    name: &str,
) -> Option<Place> {
    walk.acts += 1;
    let outcome = match copies.desk().act(place, action) {
        Ok(outcome) => outcome,
        Err(e) => {
            walk.problems.push(format!("{name}: {e}"));
            if copies.recorded() {
                copies.again();
            }
            return None;
        }
    };
    said_well(walk, &outcome, name);
    if !copies.recorded() {
        let nothing = outcome == Outcome::default();
        let refused = !outcome.leave && outcome.go.is_none() && outcome.undo.is_none();
        if refused && !nothing {
            let why: Vec<&str> = outcome
                .faults
                .iter()
                .map(|f| f.text.as_str())
                .chain(outcome.said.as_deref())
                .collect();
            walk.refusals.push(format!("{name}: {}", why.join("; ")));
        }
        return outcome.go;
    }
    walk.recorded += 1;
    if !outcome.faults.is_empty() {
        walk.problems
            .push(format!("{name}: recorded in spite of {:?}", outcome.faults));
    }
    let after = format!(" after {name}");
    let mut around = vec![Place::Rigs { form: None }];
    around.extend(outcome.go.clone());
    if !outcome.leave {
        around.push(place.clone());
    }
    let show_all = |walk: &mut Walk, copies: &mut Copies, after: &str| {
        for p in &around {
            match copies.desk().show(p) {
                Ok(screen) => look(&mut walk.problems, p, &screen, after),
                Err(e) => walk.problems.push(format!("{p:?}{after}: {e}")),
            }
        }
    };
    show_all(walk, copies, &after);
    if let Some(undo) = &outcome.undo {
        match copies.desk().undo(&undo.token) {
            Ok(o) if o.faults.is_empty() => {
                // What it led to may be gone with it.
                around.retain(|p| Some(p) != outcome.go.as_ref());
                let show_all = |walk: &mut Walk, copies: &mut Copies| {
                    for p in &around {
                        match copies.desk().show(p) {
                            Ok(screen) => look(&mut walk.problems, p, &screen, " after undo"),
                            Err(e) => walk.problems.push(format!("{p:?} after undo: {e}")),
                        }
                    }
                };
                show_all(walk, copies);
            }
            other => walk.problems.push(format!("{name}: undo: {other:?}")),
        }
    }
    copies.again();
    None
}

fn said_well(walk: &mut Walk, outcome: &Outcome, name: &str) {
    let mut texts: Vec<&str> = outcome.said.iter().map(String::as_str).collect();
    texts.extend(outcome.faults.iter().map(|f| f.text.as_str()));
    texts.extend(outcome.undo.iter().map(|u| u.label.as_str()));
    for text in texts {
        let raw = ["screen_", "error_", "common_", "action_"]
            .iter()
            .any(|k| text.contains(k));
        if text.trim().is_empty() || raw || text.contains("{$") || text.contains("NaN") {
            walk.problems.push(format!("{name}: says {text:?}"));
        }
    }
}
