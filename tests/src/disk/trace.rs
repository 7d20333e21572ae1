//! What a program did to its disk, in order: the file that the shim writes.

use std::fs;
use std::io;
use std::path::Path;

/// What was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A file or folder was opened, or made.
    Open,
    /// It was closed.
    Close,
    /// Bytes were written.
    Write,
    /// Bytes were read.
    Read,
    /// What was written to it is to be on the disk.
    Sync,
    /// Its length was set.
    Length,
    /// It got another name.
    Rename,
    /// A name was taken away.
    Remove,
    /// A folder was made.
    Folder,
    /// The program said something.
    Say,
}

impl Kind {
    /// Whether it changes what is on the disk.
    pub fn changes(self) -> bool {
        !matches!(self, Kind::Read | Kind::Close | Kind::Say)
    }
}

/// One operation.
#[derive(Debug, Clone)]
pub struct Op {
    /// What was done.
    pub kind: Kind,
    /// Its number among those that can fail; none of what can't.
    pub number: Option<u64>,
    /// What the system answered: below 0, it failed. Of a write, how many bytes were written.
    pub result: i64,
    /// The open file.
    pub fd: i32,
    /// Where it was written, or the length set.
    pub offset: u64,
    /// As they were given.
    pub flags: u32,
    /// The path under the root, beginning with `/`; empty is the root itself.
    pub path: String,
    /// The new name.
    pub to: String,
    /// What was written, or said.
    pub bytes: Vec<u8>,
}

const HEAD: usize = 1 + 8 + 8 + 4 + 8 + 4 + 2 + 2 + 4;

/// Reads a trace. What a killed program left half is passed over.
///
/// # Errors
/// What the system says; a record that makes no sense.
pub fn read(path: &Path) -> io::Result<Vec<Op>> {
    let bytes = fs::read(path)?;
    let mut at = &bytes[..];
    let mut ops = Vec::new();
    while at.len() >= HEAD {
        let (head, rest) = at.split_at(HEAD);
        let number = |from: usize, len: usize| {
            head[from..from + len]
                .iter()
                .rev()
                .fold(0u64, |sum, b| (sum << 8) | u64::from(*b))
        };
        let lengths = [number(33, 2), number(35, 2), number(37, 4)].map(|n| n as usize);
        if rest.len() < lengths.iter().sum() {
            break;
        }
        let (path, rest) = rest.split_at(lengths[0]);
        let (to, rest) = rest.split_at(lengths[1]);
        let (written, rest) = rest.split_at(lengths[2]);
        let kind = match head[0] {
            b'o' => Kind::Open,
            b'c' => Kind::Close,
            b'w' => Kind::Write,
            b'r' => Kind::Read,
            b'f' => Kind::Sync,
            b't' => Kind::Length,
            b'm' => Kind::Rename,
            b'u' => Kind::Remove,
            b'd' => Kind::Folder,
            b's' => Kind::Say,
            other => return Err(io::Error::other(format!("no such record: {other}"))),
        };
        ops.push(Op {
            kind,
            number: u64::try_from(number(1, 8) as i64).ok(),
            result: number(9, 8) as i64,
            fd: number(17, 4) as i32,
            offset: number(21, 8),
            flags: number(29, 4) as u32,
            path: String::from_utf8_lossy(path).into_owned(),
            to: String::from_utf8_lossy(to).into_owned(),
            bytes: written.to_vec(),
        });
        at = rest;
    }
    Ok(ops)
}

/// What the program said, line by line.
pub fn said(ops: &[Op]) -> Vec<String> {
    let said = ops.iter().filter(|op| op.kind == Kind::Say);
    let bytes: Vec<u8> = said.flat_map(|op| op.bytes.clone()).collect();
    String::from_utf8_lossy(&bytes)
        .lines()
        .map(str::to_owned)
        .collect()
}
