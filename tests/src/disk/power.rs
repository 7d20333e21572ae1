//! What is on a disk when the power goes: what was synced, and of the rest as much as the file system happened
//! to have written.
//!
//! Kept: the bytes of a file that were written before its last sync, and the names in a folder that were
//! made or taken away before the folder's last sync. Of what came later any part may be there: each
//! sector of 512 bytes for itself, a file's length with or without its bytes, and of the names the first
//! so many. That is less than ext4 and f2fs promise (there a file's sync also keeps its name, and names
//! are kept in their order), and all that POSIX does. The number of a name's change is kept with it, so a
//! rename is never half done.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

use super::trace::{Kind, Op};

const SECTOR: usize = 512;
/// `O_CREAT` and `O_TRUNC` of Linux.
const CREATE: u32 = 0o100;
const TRUNCATE: u32 = 0o1000;
const REMOVE_FOLDER: u32 = 0x200;

#[derive(Debug, Clone)]
enum Change {
    Write { at: usize, bytes: Vec<u8> },
    Length(usize),
}

impl Change {
    fn apply(&self, to: &mut Vec<u8>) {
        match self {
            Change::Length(n) => to.resize(*n, 0),
            Change::Write { at, bytes } => {
                if to.len() < at + bytes.len() {
                    to.resize(at + bytes.len(), 0);
                }
                to[*at..at + bytes.len()].copy_from_slice(bytes);
            }
        }
    }
}

/// A file or a folder, whatever its name.
#[derive(Debug, Clone)]
enum Node {
    File {
        kept: Vec<u8>,
        pending: Vec<Change>,
    },
    Folder {
        kept: BTreeMap<String, usize>,
        now: BTreeMap<String, usize>,
    },
}

/// One change of names: in a folder a name leads to this node, or to none, from now on.
#[derive(Debug, Clone)]
struct Naming(Vec<(usize, String, Option<usize>)>);

/// How much of what was not synced is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum After {
    /// Nothing.
    Nothing,
    /// All of it: the process was killed.
    Everything,
    /// All names, none of the bytes.
    Names,
    /// All bytes, none of the names.
    Bytes,
    /// The first so many names, each sector as it happened.
    Sectors,
    /// Names and sectors each as it happened, names in no order.
    Scattered,
}

impl After {
    /// All of them.
    pub const ALL: [After; 6] = [
        After::Nothing,
        After::Everything,
        After::Names,
        After::Bytes,
        After::Sectors,
        After::Scattered,
    ];
}

/// What a sync does that failed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FailedSync {
    /// Nothing: what was written may still be written later.
    Waits,
    /// What was written is lost unless it is written again: Linux marks such pages clean.
    Drops,
}

/// A disk under one folder.
#[derive(Debug, Clone)]
pub struct Disk {
    nodes: Vec<Node>,
    pending: Vec<Naming>,
    open: BTreeMap<i32, usize>,
    failed: FailedSync,
}

fn split(path: &str) -> (&str, &str) {
    path.rsplit_once('/').unwrap_or(("", path))
}

impl Disk {
    /// An empty one.
    pub fn new(failed: FailedSync) -> Disk {
        Disk {
            nodes: vec![Node::Folder {
                kept: BTreeMap::new(),
                now: BTreeMap::new(),
            }],
            pending: Vec::new(),
            open: BTreeMap::new(),
            failed,
        }
    }

    fn find(&self, path: &str) -> Option<usize> {
        let mut at = 0;
        for name in path.split('/').filter(|n| !n.is_empty()) {
            let Node::Folder { now, .. } = &self.nodes[at] else {
                return None;
            };
            at = *now.get(name)?;
        }
        Some(at)
    }

    fn name(&mut self, edits: Vec<(usize, String, Option<usize>)>) {
        for (folder, name, to) in &edits {
            if let Node::Folder { now, .. } = &mut self.nodes[*folder] {
                match to {
                    Some(node) => drop(now.insert(name.clone(), *node)),
                    None => drop(now.remove(name)),
                }
            }
        }
        self.pending.push(Naming(edits));
    }

    fn make(&mut self, path: &str, node: Node) -> Option<usize> {
        let (folder, name) = split(path);
        let folder = self.find(folder)?;
        self.nodes.push(node);
        let new = self.nodes.len() - 1;
        self.name(vec![(folder, name.to_owned(), Some(new))]);
        Some(new)
    }

    fn change(&mut self, node: usize, change: Change) {
        if let Node::File { pending, .. } = &mut self.nodes[node] {
            pending.push(change);
        }
    }

    /// Does what was done.
    ///
    /// # Panics
    /// Where the trace can't be: something was written to what was never opened.
    pub fn apply(&mut self, op: &Op) {
        let refused = op.result < 0;
        if op.kind == Kind::Sync && refused && self.failed == FailedSync::Drops {
            let node = self.open[&op.fd];
            if let Node::File { pending, .. } = &mut self.nodes[node] {
                pending.clear();
            }
        }
        if refused {
            return;
        }
        match op.kind {
            Kind::Open => {
                let node = match self.find(&op.path) {
                    Some(node) => Some(node),
                    None if op.flags & CREATE != 0 => self.make(
                        &op.path,
                        Node::File {
                            kept: Vec::new(),
                            pending: Vec::new(),
                        },
                    ),
                    None => None,
                };
                let Some(node) = node else {
                    panic!("{} was opened and is not there", op.path)
                };
                if op.flags & TRUNCATE != 0 {
                    self.change(node, Change::Length(0));
                }
                self.open.insert(op.fd, node);
            }
            Kind::Close => drop(self.open.remove(&op.fd)),
            Kind::Write => {
                let node = self.open[&op.fd];
                let bytes = op.bytes.clone();
                let at = op.offset as usize;
                self.change(node, Change::Write { at, bytes });
            }
            Kind::Length => {
                let node = self.open[&op.fd];
                self.change(node, Change::Length(op.offset as usize));
            }
            Kind::Sync => self.sync(self.open[&op.fd]),
            Kind::Folder => drop(self.make(
                &op.path,
                Node::Folder {
                    kept: BTreeMap::new(),
                    now: BTreeMap::new(),
                },
            )),
            Kind::Rename => {
                let node = self.find(&op.path);
                let ((a, from), (b, to)) = (split(&op.path), split(&op.to));
                if let (Some(a), Some(b), Some(node)) = (self.find(a), self.find(b), node) {
                    self.name(vec![
                        (a, from.to_owned(), None),
                        (b, to.to_owned(), Some(node)),
                    ]);
                }
            }
            Kind::Remove => {
                let (folder, name) = split(&op.path);
                debug_assert!(op.flags & !REMOVE_FOLDER == 0);
                if let Some(folder) = self.find(folder) {
                    self.name(vec![(folder, name.to_owned(), None)]);
                }
            }
            Kind::Read | Kind::Say => {}
        }
    }

    fn sync(&mut self, node: usize) {
        match &mut self.nodes[node] {
            Node::File { kept, pending } => {
                for change in pending.drain(..) {
                    change.apply(kept);
                }
            }
            Node::Folder { .. } => {
                // What was done to a name before comes before what is done to it now.
                let here = |n: &Naming| n.0.iter().any(|(folder, ..)| *folder == node);
                let wanted = self.needed(self.pending.iter().map(here).collect());
                let pending = std::mem::take(&mut self.pending);
                for (naming, wanted) in pending.into_iter().zip(wanted) {
                    if wanted {
                        self.keep(&naming);
                    } else {
                        self.pending.push(naming);
                    }
                }
            }
        }
    }

    /// Which of the names' changes are meant, with all that they follow from.
    fn needed(&self, meant: Vec<bool>) -> Vec<bool> {
        let mut wanted = meant;
        for later in (0..wanted.len()).rev() {
            if wanted[later] {
                let of = &self.pending[later].0;
                for (naming, wanted) in self.pending[..later].iter().zip(&mut wanted) {
                    let shares = (naming.0.iter())
                        .any(|(f, n, _)| of.iter().any(|(g, m, _)| f == g && n == m));
                    *wanted |= shares;
                }
            }
        }
        wanted
    }

    fn keep(&mut self, naming: &Naming) {
        for (folder, name, to) in &naming.0 {
            if let Node::Folder { kept, .. } = &mut self.nodes[*folder] {
                match to {
                    Some(node) => drop(kept.insert(name.clone(), *node)),
                    None => drop(kept.remove(name)),
                }
            }
        }
    }

    /// The files of a disk whose power went now: by path, their bytes; folders end with `/`. `dice` gives a
    /// number below the one it is given.
    pub fn after(
        &self,
        how: After,
        dice: &mut impl FnMut(u64) -> u64,
    ) -> BTreeMap<String, Vec<u8>> {
        let mut disk = self.clone();
        let all = disk.pending.len();
        let first = match how {
            After::Nothing | After::Bytes => 0,
            After::Everything | After::Names => all,
            After::Sectors => dice(all as u64 + 1) as usize,
            After::Scattered => 0,
        };
        let wanted = if how == After::Scattered {
            disk.needed((0..all).map(|_| dice(2) == 0).collect())
        } else {
            (0..all).map(|n| n < first).collect()
        };
        for (naming, wanted) in disk.pending.clone().iter().zip(wanted) {
            if wanted {
                disk.keep(naming);
            }
        }
        for node in &mut disk.nodes {
            if let Node::File { kept, pending } = node {
                for change in pending.drain(..) {
                    match how {
                        After::Nothing | After::Names => {}
                        After::Everything | After::Bytes => change.apply(kept),
                        After::Sectors | After::Scattered => partly(&change, kept, dice),
                    }
                }
            }
        }
        let mut files = BTreeMap::new();
        disk.list(0, "", &mut files);
        files
    }

    fn list(&self, node: usize, path: &str, into: &mut BTreeMap<String, Vec<u8>>) {
        match &self.nodes[node] {
            Node::File { kept, .. } => drop(into.insert(path.to_owned(), kept.clone())),
            Node::Folder { kept, .. } => {
                into.insert(format!("{path}/"), Vec::new());
                for (name, node) in kept {
                    self.list(*node, &format!("{path}/{name}"), into);
                }
            }
        }
    }
}

/// Some of the sectors that were written, and then the file is as long as the last of them asks.
fn partly(change: &Change, to: &mut Vec<u8>, dice: &mut impl FnMut(u64) -> u64) {
    let Change::Write { at, bytes } = change else {
        if dice(2) == 0 {
            change.apply(to);
        }
        return;
    };
    let mut from = 0;
    while from < bytes.len() {
        let end = ((at + from) / SECTOR + 1) * SECTOR - at;
        let piece = &bytes[from..end.min(bytes.len())];
        if dice(2) == 0 {
            Change::Write {
                at: at + from,
                bytes: piece.to_vec(),
            }
            .apply(to);
        }
        from += piece.len();
    }
}

/// Lays files out in a folder.
///
/// # Errors
/// What the system says.
pub fn lay_out(files: &BTreeMap<String, Vec<u8>>, folder: &Path) -> io::Result<()> {
    for (path, bytes) in files {
        let at = folder.join(path.trim_matches('/'));
        if path.ends_with('/') {
            fs::create_dir_all(at)?;
        } else if !path.ends_with("-shm") {
            fs::write(at, bytes)?;
        }
    }
    Ok(())
}
