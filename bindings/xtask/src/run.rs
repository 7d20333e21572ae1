//! Where things are, running other programs, moving files, and work that is done once.

use anyhow::{Context, Result};
use fs_err as fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use walkdir::{DirEntry, WalkDir};
use xshell::{Cmd, Shell};

/// The folder of the whole project.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here).to_path_buf()
}

/// What runs programs, from the root of the project. It is never freed: a run has a few dozen.
pub fn shell() -> &'static Shell {
    let sh = Shell::new().unwrap_or_else(|e| {
        eprintln!("xtask: {e}");
        std::process::exit(1)
    });
    sh.change_dir(root());
    Box::leak(Box::new(sh))
}

/// A program with its words, as one would type them: `cmd!("unzip {archive} -d {folder}")`.
macro_rules! cmd {
    ($words:literal) => {
        xshell::cmd!(crate::run::shell(), $words).quiet()
    };
}
/// Runs it, its output going where ours goes.
macro_rules! run {
    ($words:literal) => {
        xshell::cmd!(crate::run::shell(), $words).quiet().run()
    };
}
pub(crate) use {cmd, run};

/// Where the program of a name is, on `PATH`.
pub fn which(name: impl AsRef<std::ffi::OsStr>) -> Option<PathBuf> {
    which::which(name).ok()
}

/// Cargo's folder for everything that is built.
pub fn target() -> Result<PathBuf> {
    let said = cmd!("cargo metadata --no-deps --offline --format-version 1").read()?;
    let said: serde_json::Value = serde_json::from_str(&said)?;
    let dir = said["target_directory"].as_str();
    Ok(dir.context("Cargo named no target folder")?.into())
}

/// What a program did whose output was shown and kept.
pub struct Heard {
    /// Whether it ended with success.
    pub ok: bool,
    /// Both its streams, as they came.
    pub text: String,
}

/// Runs a program, shows each line as it comes and keeps it; failing is no error.
pub fn hear(cmd: Cmd<'_>) -> Result<Heard> {
    let what = cmd.to_string();
    let (reader, writer) = std::io::pipe()?;
    let mut command = Command::from(cmd);
    command.stdout(writer.try_clone()?).stderr(writer);
    let child = command.stdin(Stdio::null()).spawn();
    let mut child = child.with_context(|| format!("cannot start `{what}`"))?;
    // It holds our ends of the pipe: while they are open there is no end to read.
    drop(command);
    let (mut reader, mut line) = (BufReader::new(reader), Vec::new());
    let mut text = String::new();
    while reader.read_until(b'\n', &mut line)? > 0 {
        // Debian's Maven ends each phase with a colour reset, on a pipe and whatever it is told.
        let said = String::from_utf8_lossy(&line).replace("\x1b[0m", "");
        // A closed pipe on our side must not stop the run.
        let _ = std::io::stdout().write_all(said.as_bytes());
        text.push_str(&said);
        line.clear();
    }
    let ok = child.wait()?.success();
    Ok(Heard { ok, text })
}

/// All files under a folder, or the file itself, sorted; none where nothing is there. What lies in a
/// folder `target` below it was built, not written, and is left out.
pub fn files_under(path: &Path) -> Vec<PathBuf> {
    let built = |e: &DirEntry| e.depth() > 0 && e.file_name() == "target";
    let entries = WalkDir::new(path).follow_links(true).sort_by_file_name();
    let entries = entries.into_iter().filter_entry(|e| !built(e)).flatten();
    let files = entries.filter(|e| e.file_type().is_file());
    files.map(DirEntry::into_path).collect()
}

/// Those of them whose names end with `.ENDING`.
pub fn files_with(path: &Path, ending: &str) -> Vec<PathBuf> {
    let mut files = files_under(path);
    files.retain(|f| f.extension().is_some_and(|e| e == ending));
    files
}

/// Makes a folder anew, and empty.
pub fn clear(dir: &Path) -> Result<()> {
    if dir.exists() {
        fs::remove_dir_all(dir)?;
    }
    Ok(fs::create_dir_all(dir)?)
}

/// Makes `to` hold exactly the files of `from`: writes what differs, removes what is no longer
/// there, leaves the rest untouched so that no build tool sees a change where none is.
/// Returns how many files were written or removed.
pub fn mirror(from: &Path, to: &Path) -> Result<usize> {
    let mut changed = 0;
    for source in files_under(from) {
        let copy = to.join(source.strip_prefix(from)?);
        changed += usize::from(put(&copy, &fs::read(&source)?)?);
    }
    for old in files_under(to) {
        if !from.join(old.strip_prefix(to)?).is_file() {
            fs::remove_file(&old)?;
            changed += 1;
        }
    }
    Ok(changed)
}

/// Writes a file unless it already reads so; true if it was written. The new content is moved
/// into place whole, so a library that a running program holds open is not changed under it.
pub fn put(path: &Path, content: &[u8]) -> Result<bool> {
    if fs::read(path).is_ok_and(|old| old == content) {
        return Ok(false);
    }
    fs::create_dir_all(path.parent().unwrap_or(path))?;
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    fs::write(&part, content)?;
    fs::rename(&part, path)?;
    Ok(true)
}

/// Raise it when a stage does something else with the same files.
const STAGES: u32 = 3;

/// Does `work` unless its stamp, `NAME.stamp` in `dir`, says that it was done for the same inputs
/// (files, and all in folders) after the same earlier stage, and what it made is `there` still.
/// Returns a number for the stages that come after it. Work that fails is done anew the next time.
pub fn stage(
    dir: &Path,
    name: &str,
    after: u64,
    inputs: &[PathBuf],
    there: bool,
    work: impl FnOnce() -> Result<()>,
) -> Result<u64> {
    let mut hash = DefaultHasher::new();
    (STAGES, after).hash(&mut hash);
    for file in inputs.iter().flat_map(|path| files_under(path)) {
        (fs::read(&file)?, file).hash(&mut hash);
    }
    let (number, stamp_path) = (hash.finish(), dir.join(format!("{name}.stamp")));
    let stamp = format!("{number:016x}\n");
    let is_done = fs::read_to_string(&stamp_path).is_ok_and(|old| old == stamp);
    if !there || !is_done {
        println!("building: {name}");
        // A stage that stops half way is done anew.
        let _ = fs::remove_file(&stamp_path);
        work()?;
        put(&stamp_path, stamp.as_bytes())?;
    }
    Ok(number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use anyhow::bail;

    #[test]
    fn mirror_writes_changes_and_removes_strays_and_leaves_the_rest() {
        let dir = tempfile::tempdir().unwrap();
        let (from, to) = (dir.path().join("from"), dir.path().join("to"));
        fs::create_dir_all(from.join("a")).unwrap();
        fs::create_dir_all(&to).unwrap();
        fs::write(from.join("a/one"), "1").unwrap();
        fs::write(from.join("two"), "2").unwrap();
        fs::write(to.join("two"), "old").unwrap();
        fs::write(to.join("stray"), "x").unwrap();
        assert_eq!(mirror(&from, &to).unwrap(), 3);
        assert_eq!(mirror(&from, &to).unwrap(), 0);
        assert_eq!(files_under(&to), [to.join("a/one"), to.join("two")]);
    }

    #[test]
    fn what_was_built_is_left_out_also_where_all_lies_in_a_folder_of_that_name() {
        let dir = tempfile::tempdir().unwrap();
        let here = dir.path().join("target");
        for file in ["a/pom.xml", "a/target/pom.xml", "b.txt"] {
            put(&here.join(file), b"x").unwrap();
        }
        let [pom, text] = ["a/pom.xml", "b.txt"].map(|file| here.join(file));
        assert_eq!(files_under(&here), [&*pom, &*text]);
        assert_eq!(files_with(&here, "xml"), [pom]);
        assert_eq!(files_under(&text), [&*text]);
        assert!(files_under(&here.join("gone")).is_empty());
    }

    #[cfg(unix)]
    #[test]
    fn heard_output_is_kept_and_failure_told() {
        let heard = hear(cmd!("sh -c 'echo one; echo two >&2; exit 3'")).unwrap();
        assert!(!heard.ok);
        assert_eq!(heard.text, "one\ntwo\n");
        assert!(hear(cmd!("no-such-program-here")).is_err());
    }

    #[test]
    fn a_stage_is_done_once_for_the_same_inputs_and_again_if_its_output_is_gone() {
        let dir = tempfile::tempdir().unwrap();
        let inputs = [dir.path().join("in")];
        let done = std::cell::Cell::new(0);
        let run = |after, content: &[u8], there| {
            put(&inputs[0].join("file"), content).unwrap();
            let count = || {
                done.set(done.get() + 1);
                Ok(())
            };
            stage(dir.path(), "x", after, &inputs, there, count).unwrap()
        };
        let first = run(1, &[1, 2, 3], true);
        assert_eq!(run(1, &[1, 2, 3], true), first);
        assert_eq!(done.get(), 1);
        assert_ne!(run(1, &[1, 2, 4], true), first, "one byte");
        assert_ne!(run(2, &[1, 2, 4], true), first, "another stage before");
        run(2, &[1, 2, 4], false);
        assert_eq!(done.get(), 4, "what it made is gone");
        let failing = stage(dir.path(), "x", 3, &[], true, || bail!("no"));
        assert!(failing.is_err());
        run(2, &[1, 2, 4], true);
        assert_eq!(done.get(), 5, "what failed has left no stamp");
    }
}
