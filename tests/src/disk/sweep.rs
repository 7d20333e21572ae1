//! Goes through the points at which a disk can fail, and counts what came of each.

use std::collections::{BTreeMap, HashSet};
use std::ffi::OsString;
use std::fmt;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use super::check::{self, Acknowledged, Found, acknowledge};
use super::day;
use super::power::{After, Disk, FailedSync, lay_out};
use super::trace::{self, Kind, Op};

const SHIM: &str = include_str!("shim.c");

/// How an operation fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum How {
    /// 'Input/output error'.
    Eio,
    /// 'No space left on device'.
    Full,
    /// Half of the bytes are written, then the error.
    Torn,
    /// Half of the bytes are written, and the call says so.
    Short,
    /// As [`How::Full`], and so is whatever comes after it: until the program is started anew.
    FullFromHere,
}

impl How {
    const ALL: [How; 5] = [
        How::Eio,
        How::Full,
        How::Torn,
        How::Short,
        How::FullFromHere,
    ];

    fn word(self) -> &'static str {
        match self {
            How::Eio => "eio",
            How::Full | How::FullFromHere => "enospc",
            How::Torn => "torn",
            How::Short => "short",
        }
    }

    /// Whether an operation can fail so.
    fn suits(self, kind: Kind) -> bool {
        match self {
            How::Eio => !matches!(kind, Kind::Close | Kind::Say),
            How::Full => kind.changes(),
            How::Torn | How::Short | How::FullFromHere => kind == Kind::Write,
        }
    }
}

/// What came of all points.
#[derive(Debug, Default)]
pub struct Sum {
    /// Days lived with a fault, by how it failed.
    pub faults: BTreeMap<How, u64>,
    /// Disks after a power-off that were looked at.
    pub disks: u64,
    /// Points at which the power went.
    pub points: u64,
    /// How the stores were found, after a fault and after a power-off.
    pub found: [BTreeMap<Found, u64>; 2],
    /// What was wrong.
    pub wrong: Vec<String>,
    /// Operations of the day, by kind.
    pub ops: BTreeMap<Kind, u64>,
    /// Events acknowledged in a day without faults.
    pub acknowledged: u64,
    tell: bool,
}

impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let list = |m: &BTreeMap<Found, u64>| {
            let all: Vec<String> = m.iter().map(|(k, n)| format!("{k:?} {n}")).collect();
            all.join(", ")
        };
        writeln!(f, "a day of {:?}, {} events", self.ops, self.acknowledged)?;
        writeln!(f, "faults {:?}: {}", self.faults, list(&self.found[0]))?;
        writeln!(
            f,
            "power off at {} points, {} disks: {}",
            self.points,
            self.disks,
            list(&self.found[1])
        )?;
        write!(f, "{} wrong", self.wrong.len())
    }
}

/// What is gone through.
#[derive(Debug, Clone)]
pub struct Plan {
    /// So many days with a fault; all where none.
    pub faults: Option<u64>,
    /// So many points of a power-off; all where none.
    pub points: Option<u64>,
    /// So many of the days with a fault also lose their power, at a point after it.
    pub both: u64,
    /// Which are chosen, and what is on the disk by chance.
    pub seed: u64,
    /// Only operations of which this is true, by what the crew was doing.
    pub only: fn(&str, &Op) -> bool,
    /// Whether each is told as it goes.
    pub tell: bool,
}

/// Any generator does: Marsaglia, 'Xorshift RNGs', J. Stat. Softw. 8 (14), 2003.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n.max(1)
    }
}

fn memory() -> std::io::Result<tempfile::TempDir> {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir())
}

/// The program that lives the day, the shim, and what it brings in.
struct Bench {
    program: PathBuf,
    kept: tempfile::TempDir,
    shim: PathBuf,
    brought: PathBuf,
}

/// One day: what was done to the disk, and the folder.
struct Lived {
    ops: Vec<Op>,
    folder: tempfile::TempDir,
    ended: bool,
}

impl Lived {
    fn store(&self) -> PathBuf {
        self.folder.path().join("disk/store")
    }
}

type Fault = Box<dyn std::error::Error>;

impl Bench {
    /// `program day FOLDER FILE` lives the day.
    fn new(program: &Path) -> Result<Bench, Fault> {
        let kept = memory()?;
        let (source, shim) = (kept.path().join("shim.c"), kept.path().join("shim.so"));
        fs::write(&source, SHIM)?;
        let cc = std::env::var_os("CC").unwrap_or_else(|| OsString::from("cc"));
        let built = Command::new(cc)
            .args(["-O1", "-fPIC", "-shared", "-o"])
            .args([&shim, &source])
            .output()?;
        if !built.status.success() {
            return Err(String::from_utf8_lossy(&built.stderr).into_owned().into());
        }
        let brought = day::prepare(kept.path())?;
        Ok(Bench {
            program: program.to_owned(),
            kept,
            shim,
            brought,
        })
    }

    fn live(&self, failing: Option<(u64, u64, How)>) -> Result<Lived, Fault> {
        let folder = tempfile::tempdir_in(self.kept.path())?;
        let root = folder.path().join("disk");
        fs::create_dir(&root)?;
        let trace = folder.path().join("trace");
        let (from, to, how) = failing.unwrap_or((0, 0, How::Eio));
        let status = Command::new(&self.program)
            .arg("day")
            .arg(root.join("store"))
            .arg(&self.brought)
            .env("LD_PRELOAD", &self.shim)
            .env("DISK_ROOT", &root)
            .env("DISK_TRACE", &trace)
            .env("DISK_FROM", from.to_string())
            .env("DISK_TO", to.to_string())
            .env("DISK_HOW", how.word())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()?;
        Ok(Lived {
            ops: trace::read(&trace)?,
            folder,
            ended: status.success(),
        })
    }
}

/// What was acknowledged in a day.
fn acknowledged(ops: &[Op]) -> Result<Acknowledged, String> {
    let mut all = Acknowledged::new();
    for line in trace::said(ops) {
        acknowledge(&line, &mut all)?;
    }
    Ok(all)
}

/// After a day with a fault.
fn after_fault(lived: &Lived) -> Result<Found, String> {
    let said = trace::said(&lived.ops);
    if !lived.ended || said.last().is_none_or(|l| l != "ended") {
        return Err(format!("it ended in the middle: {:?}", said.last()));
    }
    if let Some(line) = said.iter().find(|l| l.starts_with("differs")) {
        return Err(format!("opened again, a page shows another thing: {line}"));
    }
    let odd = |l: &&String| l.starts_with("opened ") && l.as_str() != "opened other-key";
    let acknowledged = acknowledged(&lived.ops)?;
    if let Some(line) = said.iter().find(odd) {
        return Err(format!("nothing was damaged, and it said: {line}"));
    }
    check::look(&lived.store(), &acknowledged)
}

/// What a power-off at one point leaves, and how that is found.
struct Off<'a> {
    bench: &'a Bench,
    seen: HashSet<u64>,
    dice: Dice,
}

impl Off<'_> {
    fn look(
        &mut self,
        disk: &Disk,
        acknowledged: &Acknowledged,
        how: After,
    ) -> Option<Result<Found, String>> {
        let files = disk.after(how, &mut |n| self.dice.below(n));
        let mut hasher = DefaultHasher::new();
        (&files, acknowledged.len()).hash(&mut hasher);
        if !self.seen.insert(hasher.finish()) {
            return None;
        }
        let folder = match tempfile::tempdir_in(self.bench.kept.path()) {
            Ok(folder) => folder,
            Err(e) => return Some(Err(e.to_string())),
        };
        if let Err(e) = lay_out(&files, folder.path()) {
            return Some(Err(e.to_string()));
        }
        Some(check::look(&folder.path().join("store"), acknowledged))
    }
}

/// Of each operation what the crew was doing: the last act that was tried.
fn acts(ops: &[Op]) -> Vec<String> {
    let mut act = String::new();
    ops.iter()
        .map(|op| {
            if op.kind == Kind::Say {
                let said = String::from_utf8_lossy(&op.bytes).into_owned();
                let mut tried = said.lines().filter_map(|l| l.strip_prefix("tries "));
                act = tried.next_back().map_or_else(|| act.clone(), str::to_owned);
            }
            act.clone()
        })
        .collect()
}

/// The points at which the power goes: behind each operation that changes something, and in the middle of
/// each write. Gives how many operations are done, and how many bytes of the next one.
fn points(ops: &[Op], from: usize) -> Vec<(usize, Option<usize>)> {
    let mut all = Vec::new();
    for (n, op) in ops.iter().enumerate().skip(from) {
        if op.result < 0 || !op.kind.changes() {
            continue;
        }
        if op.kind == Kind::Write && op.bytes.len() > 1 {
            all.push((n, Some(op.bytes.len() / 2)));
        }
        all.push((n + 1, None));
    }
    all
}

/// Goes through the plan with a program that lives the day (`program day FOLDER FILE`).
///
/// # Errors
/// What keeps it from being tried at all.
pub fn sweep(program: &Path, plan: &Plan) -> Result<Sum, Fault> {
    let bench = Bench::new(program)?;
    let mut sum = Sum {
        tell: plan.tell,
        ..Sum::default()
    };
    let plain = bench.live(None)?;
    for op in &plain.ops {
        *sum.ops.entry(op.kind).or_default() += 1;
    }
    let all = acknowledged(&plain.ops)?;
    sum.acknowledged = all.len() as u64;
    nothing_unseen(&plain)?;
    after_fault(&plain).map_err(|e| format!("without a fault: {e}"))?;
    if let Some(line) = trace::said(&plain.ops)
        .iter()
        .find(|l| l.starts_with("refused"))
    {
        return Err(format!("without a fault: {line}").into());
    }
    power_offs(&bench, &plain, plan, &mut sum);
    faults(&bench, &plain, plan, &mut sum)?;
    Ok(sum)
}

/// What the trace tells is what lies in the folder: nothing went past the shim.
fn nothing_unseen(plain: &Lived) -> Result<(), Fault> {
    let mut disk = Disk::new(FailedSync::Waits);
    plain.ops.iter().for_each(|op| disk.apply(op));
    let told = disk.after(After::Everything, &mut |_| 0);
    let there = check::files(&plain.folder.path().join("disk"))?;
    let same = |(path, bytes): (&String, &Vec<u8>)| {
        path.ends_with("-shm") || told.get(path) == Some(bytes)
    };
    match there.iter().find(|one| !same(*one)) {
        Some((path, _)) => Err(format!("{path} is not what was told of it").into()),
        None if told.len() != there.len() => Err("there is less than was told".into()),
        None => Ok(()),
    }
}

/// Some of them, in their order.
fn some<T: Clone>(all: &[T], most: Option<u64>, dice: &mut Dice) -> Vec<T> {
    let Some(most) = most else {
        return all.to_vec();
    };
    let step = (all.len() as u64 / most.max(1)).max(1);
    let mut at = dice.below(step);
    let mut chosen = Vec::new();
    while (at as usize) < all.len() {
        chosen.push(all[at as usize].clone());
        at += 1 + dice.below(2 * step - 1);
    }
    chosen
}

fn power_offs(bench: &Bench, plain: &Lived, plan: &Plan, sum: &mut Sum) {
    let mut dice = Dice(plan.seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let acts = acts(&plain.ops);
    let mut all = points(&plain.ops, 0);
    all.retain(|(n, half)| {
        let n = n - usize::from(half.is_none());
        (plan.only)(&acts[n], &plain.ops[n])
    });
    let chosen = some(&all, plan.points, &mut dice);
    let mut off = Off {
        bench,
        seen: HashSet::new(),
        dice,
    };
    let mut disk = Disk::new(FailedSync::Waits);
    let mut known = Acknowledged::new();
    let mut done = 0;
    let count = chosen.len();
    for (nth, (to, half)) in chosen.into_iter().enumerate() {
        for op in &plain.ops[done..to] {
            disk.apply(op);
            said_so_far(op, &mut known);
        }
        done = to;
        let mut torn = disk.clone();
        if let Some(bytes) = half {
            let mut op = plain.ops[to].clone();
            op.bytes.truncate(bytes);
            torn.apply(&op);
        }
        sum.points += 1;
        for how in After::ALL {
            if let Some(found) = off.look(&torn, &known, how) {
                sum.disks += 1;
                note(sum, 1, found, || {
                    let last = &plain.ops[to.saturating_sub(1)];
                    let at = format!("{:?} {}{}", last.kind, last.path, last.to);
                    format!("power off after {to} (half {half:?}; {at}), {how:?}")
                });
            }
        }
        if plan.tell && nth % 100 == 0 {
            println!(
                "power off {nth} of {count}: {} disks, {} wrong",
                sum.disks,
                sum.wrong.len()
            );
        }
    }
}

/// Fails each sync of the log while something is recorded, and takes the power away as soon as the crew was
/// told that it is not: it isn't. Gives how many were refused.
///
/// # Errors
/// What keeps it from being tried; what was refused and is there all the same.
pub fn refused_stays_refused(program: &Path) -> Result<usize, Fault> {
    let bench = Bench::new(program)?;
    let plain = bench.live(None)?;
    let syncs = plain.ops.iter().zip(acts(&plain.ops)).filter(|(op, act)| {
        // What the phone says of its own keys comes before the rest, and stands alone.
        let apart = act.is_empty() || act.starts_with("restart") || act == "after it";
        op.kind == Kind::Sync && !apart
    });
    let mut refused = 0;
    for (number, act) in syncs.filter_map(|(op, act)| Some((op.number?, act))) {
        let lived = bench.live(Some((number, number, How::Eio)))?;
        let at = lived.ops.iter().position(|op| {
            op.kind == Kind::Say && String::from_utf8_lossy(&op.bytes).contains("refused ")
        });
        let Some(at) = at else { continue };
        let mut disk = Disk::new(FailedSync::Waits);
        let mut known = Acknowledged::new();
        for op in &lived.ops[..=at] {
            disk.apply(op);
            said_so_far(op, &mut known);
        }
        let mut off = Off {
            bench: &bench,
            seen: HashSet::new(),
            dice: Dice(1),
        };
        match off.look(&disk, &known, After::Everything) {
            Some(Ok(Found::Whole)) => refused += 1,
            other => return Err(format!("{act}, sync {number}: {other:?}").into()),
        }
    }
    Ok(refused)
}

fn said_so_far(op: &Op, known: &mut Acknowledged) {
    if op.kind == Kind::Say {
        for line in String::from_utf8_lossy(&op.bytes).lines() {
            let _ = acknowledge(line, known);
        }
    }
}

fn note(sum: &mut Sum, after: usize, found: Result<Found, String>, at: impl Fn() -> String) {
    let found = match found {
        // No disk here loses what was synced: then nothing acknowledged may be missing.
        Ok(Found::LostAndSaid) => Err("what was acknowledged is missing, and said".to_owned()),
        Ok(Found::SetAside) => Err("the record was set aside".to_owned()),
        found => found,
    };
    match found {
        Ok(found) => *sum.found[after].entry(found).or_default() += 1,
        Err(why) => {
            let mut wrong = format!("{}: {why}", at());
            if let Some((cut, _)) = wrong.char_indices().nth(600) {
                wrong.truncate(cut);
            }
            if sum.tell {
                println!("WRONG {wrong}");
            }
            sum.wrong.push(wrong);
        }
    }
}

fn faults(bench: &Bench, plain: &Lived, plan: &Plan, sum: &mut Sum) -> Result<(), Fault> {
    let mut dice = Dice(plan.seed.wrapping_mul(0xD1B5_4A32_D192_ED03) | 1);
    let mut all = Vec::new();
    for (op, act) in plain.ops.iter().zip(acts(&plain.ops)) {
        for how in How::ALL {
            if let Some(number) = op.number
                && how.suits(op.kind)
                && (plan.only)(&act, op)
            {
                all.push((number, how, op.kind));
            }
        }
    }
    let chosen = some(&all, plan.faults, &mut dice);
    let count = chosen.len();
    let both = (count as u64 / plan.both.max(1)).max(1);
    for (nth, (number, how, kind)) in chosen.into_iter().enumerate() {
        let to = if how == How::FullFromHere {
            u64::MAX >> 1
        } else {
            number
        };
        let lived = bench.live(Some((number, to, how)))?;
        *sum.faults.entry(how).or_default() += 1;
        let found = after_fault(&lived);
        note(sum, 0, found, || format!("{how:?} at {number} ({kind:?})"));
        if plan.both > 0 && (nth as u64).is_multiple_of(both) {
            power_off_after_fault(bench, &lived, (number, how, kind), sum, &mut dice);
        }
        if plan.tell && nth % 100 == 0 {
            println!("fault {nth} of {count}, {} wrong", sum.wrong.len());
        }
    }
    Ok(())
}

/// The power goes some time after the fault.
fn power_off_after_fault(
    bench: &Bench,
    lived: &Lived,
    (number, how, kind): (u64, How, Kind),
    sum: &mut Sum,
    dice: &mut Dice,
) {
    let at = lived.ops.iter().position(|op| op.number == Some(number));
    let all = points(&lived.ops, at.unwrap_or(0));
    for failed in [FailedSync::Waits, FailedSync::Drops] {
        for part in [8, 1] {
            if all.is_empty() {
                continue;
            }
            // Soon after it, and anywhere after it.
            let most = (all.len() as u64 / part).max(1);
            let (to, _) = all[dice.below(most) as usize];
            let mut disk = Disk::new(failed);
            let mut known = Acknowledged::new();
            for op in &lived.ops[..to] {
                disk.apply(op);
                said_so_far(op, &mut known);
            }
            let mut off = Off {
                bench,
                seen: HashSet::new(),
                dice: Dice(dice.below(u64::MAX) | 1),
            };
            sum.points += 1;
            for after in After::ALL {
                if let Some(found) = off.look(&disk, &known, after) {
                    sum.disks += 1;
                    note(sum, 1, found, || {
                        format!(
                            "{how:?} at {number} ({kind:?}), {failed:?}, power off after {to}, {after:?}"
                        )
                    });
                }
            }
        }
    }
}
