//! Where things are, and running other programs.

use anyhow::{Context, Result, bail};
use std::collections::VecDeque;
use std::ffi::OsString;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The folder of the whole project.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here).to_path_buf()
}

/// The Cargo that runs us, or the one on the path.
pub fn cargo() -> Command {
    let mut c = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| OsString::from("cargo")));
    c.current_dir(root());
    c
}

/// Cargo's folder for everything that is built.
///
/// # Errors
/// Cargo can't be asked.
pub fn target() -> Result<PathBuf> {
    let mut c = cargo();
    c.args([
        "metadata",
        "--no-deps",
        "--offline",
        "--format-version",
        "1",
    ]);
    let said: serde_json::Value = serde_json::from_str(&output(&mut c)?)?;
    let dir = said["target_directory"].as_str();
    Ok(dir.context("Cargo named no target folder")?.into())
}

/// Finds a program on `PATH` (with `PATHEXT` on Windows).
pub fn which(name: &str) -> Option<PathBuf> {
    let suffixes: &[&str] = if cfg!(windows) {
        &[".exe", ".cmd", ".bat", ""]
    } else {
        &[""]
    };
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path)
        .flat_map(|dir| suffixes.iter().map(move |s| dir.join(format!("{name}{s}"))))
        .find(|p| is_program(p))
}

#[cfg(unix)]
fn is_program(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    path.metadata()
        .is_ok_and(|m| m.is_file() && m.permissions().mode() & 0o111 != 0)
}
#[cfg(not(unix))]
fn is_program(path: &Path) -> bool {
    path.is_file()
}

/// The command as a person would type it, for messages.
pub fn shown(command: &Command) -> String {
    let mut words = vec![
        Path::new(command.get_program())
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned(),
    ];
    words.extend(command.get_args().map(|a| a.to_string_lossy().into_owned()));
    words.join(" ")
}

/// Runs a program, its output going where ours goes.
///
/// # Errors
/// It cannot be started, or does not end with success.
pub fn run(command: &mut Command) -> Result<()> {
    let what = shown(command);
    let status = command
        .stdin(Stdio::null())
        .status()
        .with_context(|| format!("cannot start `{what}`"))?;
    if !status.success() {
        bail!("`{what}` failed: {status}");
    }
    Ok(())
}

/// Runs a program and returns what it printed; its errors go where ours go.
///
/// # Errors
/// It cannot be started, or does not end with success.
pub fn output(command: &mut Command) -> Result<String> {
    let what = shown(command);
    let out = command
        .stdin(Stdio::null())
        .stderr(Stdio::inherit())
        .output()
        .with_context(|| format!("cannot start `{what}`"))?;
    if !out.status.success() {
        bail!("`{what}` failed: {}", out.status);
    }
    Ok(String::from_utf8_lossy(&out.stdout).into_owned())
}

/// What a program did whose output was shown and kept.
pub struct Heard {
    /// Whether it ended with success.
    pub ok: bool,
    /// Both its streams, in the order in which lines came.
    pub text: String,
}

/// Runs a program, shows each line as it comes and keeps it.
///
/// # Errors
/// It cannot be started or waited for.
pub fn hear(command: &mut Command) -> Result<Heard> {
    let what = shown(command);
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .with_context(|| format!("cannot start `{what}`"))?;
    let (send, lines) = std::sync::mpsc::channel::<(bool, Vec<u8>)>();
    let mut readers = Vec::new();
    let streams: [(bool, Option<Box<dyn std::io::Read + Send>>); 2] = [
        (false, child.stdout.take().map(|s| Box::new(s) as _)),
        (true, child.stderr.take().map(|s| Box::new(s) as _)),
    ];
    for (is_err, stream) in streams {
        let Some(stream) = stream else { continue };
        let send = send.clone();
        readers.push(std::thread::spawn(move || {
            let mut reader = BufReader::new(stream);
            let mut line = Vec::new();
            while reader.read_until(b'\n', &mut line).is_ok_and(|n| n > 0) {
                if send.send((is_err, std::mem::take(&mut line))).is_err() {
                    break;
                }
            }
        }));
    }
    drop(send);
    let mut kept = Vec::new();
    for (is_err, line) in lines {
        let line = without_resets(line);
        // A closed pipe on our side must not stop the run.
        let _ = if is_err {
            std::io::stderr().write_all(&line)
        } else {
            std::io::stdout().write_all(&line)
        };
        kept.extend_from_slice(&line);
    }
    for r in readers {
        let _ = r.join();
    }
    let status = child
        .wait()
        .with_context(|| format!("cannot wait for `{what}`"))?;
    Ok(Heard {
        ok: status.success(),
        text: String::from_utf8_lossy(&kept).into_owned(),
    })
}

/// Debian's Maven ends each phase with a colour reset, on a pipe and whatever it is told.
fn without_resets(line: Vec<u8>) -> Vec<u8> {
    const RESET: &[u8] = b"\x1b[0m";
    if !line.windows(RESET.len()).any(|w| w == RESET) {
        return line;
    }
    String::from_utf8_lossy(&line)
        .replace("\x1b[0m", "")
        .into_bytes()
}

/// Whether a file was built, not written: it lies in a `target` of this checkout. The checkout itself
/// may lie in a folder of that name.
pub fn is_built(file: &Path) -> bool {
    let root = root();
    file.strip_prefix(&root)
        .unwrap_or(file)
        .components()
        .any(|c| c.as_os_str() == "target")
}

/// All files under a folder, sorted; none where the folder is missing.
pub fn files_under(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut dirs = VecDeque::from([dir.to_path_buf()]);
    while let Some(dir) = dirs.pop_front() {
        for entry in std::fs::read_dir(&dir).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                dirs.push_back(path);
            } else {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// Makes `to` hold exactly the files of `from`: writes what differs, removes what is no longer
/// there, leaves the rest untouched so that no build tool sees a change where none is.
/// Returns how many files were written or removed.
///
/// # Errors
/// A file or folder cannot be read, written or removed.
pub fn mirror(from: &Path, to: &Path) -> Result<usize> {
    let mut changed = 0;
    let mut wanted = Vec::new();
    for source in files_under(from) {
        let relative = source.strip_prefix(from)?.to_path_buf();
        changed += usize::from(put(&to.join(&relative), &std::fs::read(&source)?)?);
        wanted.push(relative);
    }
    for old in files_under(to) {
        if !wanted
            .iter()
            .any(|w| *w == *old.strip_prefix(to).unwrap_or(&old))
        {
            std::fs::remove_file(&old).with_context(|| format!("removing {}", old.display()))?;
            changed += 1;
        }
    }
    Ok(changed)
}

/// Writes a file unless it already reads so; true if it was written. The new content is moved
/// into place whole, so a library that a running program holds open is not changed under it.
///
/// # Errors
/// The folder or the file cannot be written.
pub fn put(path: &Path, content: &[u8]) -> Result<bool> {
    if std::fs::read(path).is_ok_and(|old| old == content) {
        return Ok(false);
    }
    let dir = path.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(dir).with_context(|| format!("making {}", dir.display()))?;
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    let part = PathBuf::from(part);
    std::fs::write(&part, content).with_context(|| format!("writing {}", part.display()))?;
    std::fs::rename(&part, path).with_context(|| format!("writing {}", path.display()))?;
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mirror_writes_changes_and_removes_strays_and_leaves_the_rest() {
        let dir = tempfile::tempdir().unwrap();
        let (from, to) = (dir.path().join("from"), dir.path().join("to"));
        std::fs::create_dir_all(from.join("a")).unwrap();
        std::fs::create_dir_all(&to).unwrap();
        std::fs::write(from.join("a/one"), "1").unwrap();
        std::fs::write(from.join("two"), "2").unwrap();
        std::fs::write(to.join("two"), "old").unwrap();
        std::fs::write(to.join("stray"), "x").unwrap();
        assert_eq!(mirror(&from, &to).unwrap(), 3);
        assert_eq!(mirror(&from, &to).unwrap(), 0);
        assert_eq!(files_under(&to), [to.join("a/one"), to.join("two")]);
    }

    #[test]
    fn built_is_what_lies_in_a_target_of_this_checkout() {
        assert!(is_built(
            &root().join("android-shell/desktop/target/pom.xml")
        ));
        assert!(!is_built(&root().join("android-shell/desktop/pom.xml")));
        assert!(!is_built(Path::new("/else/where/pom.xml")));
    }

    #[cfg(unix)]
    #[test]
    fn heard_output_is_kept_and_failure_told() {
        let heard =
            hear(Command::new("sh").args(["-c", "echo one; echo two >&2; exit 3"])).unwrap();
        assert!(!heard.ok);
        assert!(heard.text.contains("one\n") && heard.text.contains("two\n"));
        assert!(hear(&mut Command::new("no-such-program-here")).is_err());
    }
}
