//! Work that is done once for the same inputs.

use crate::run::put;
use anyhow::{Context, Result};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::Path;

/// Does `work` unless its stamp, `NAME.stamp` in `dir`, says that it was done for the same inputs
/// and what it made is still there. Returns the inputs, for the stages that build on it.
///
/// # Errors
/// Those of the work; it is then done anew the next time.
pub fn stage(
    dir: &Path,
    name: &str,
    inputs: u64,
    made: &Path,
    work: impl FnOnce() -> Result<()>,
) -> Result<u64> {
    let stamp_path = dir.join(format!("{name}.stamp"));
    let stamp = format!("{inputs:016x}\n");
    if made.exists() && std::fs::read_to_string(&stamp_path).is_ok_and(|old| old == stamp) {
        return Ok(inputs);
    }
    println!("building: {name}");
    // A stage that stops half way is done anew.
    let _ = std::fs::remove_file(&stamp_path);
    work()?;
    put(&stamp_path, stamp.as_bytes())?;
    Ok(inputs)
}

/// Raise it when a stage does something else with the same files.
const STAGES: u32 = 2;

/// A hash over files, by name and content.
///
/// # Errors
/// One can't be read.
pub fn hash(files: &[impl AsRef<Path>]) -> Result<u64> {
    let mut hash = DefaultHasher::new();
    STAGES.hash(&mut hash);
    for file in files {
        let file = file.as_ref();
        file.hash(&mut hash);
        std::fs::read(file)
            .with_context(|| format!("reading {}", file.display()))?
            .hash(&mut hash);
    }
    Ok(hash.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use anyhow::bail;

    #[test]
    fn a_stage_is_done_once_for_the_same_inputs_and_again_if_its_output_is_gone() {
        let dir = tempfile::tempdir().unwrap();
        let made = dir.path().join("made");
        let done = std::cell::Cell::new(0);
        let run = |inputs| {
            stage(dir.path(), "x", inputs, &made, || {
                done.set(done.get() + 1);
                std::fs::write(&made, "x")?;
                Ok(())
            })
        };
        run(1).unwrap();
        run(1).unwrap();
        assert_eq!(done.get(), 1);
        run(2).unwrap();
        std::fs::remove_file(&made).unwrap();
        run(2).unwrap();
        assert_eq!(done.get(), 3);
        let failing = stage(dir.path(), "x", 2, &dir.path().join("gone"), || bail!("no"));
        assert!(failing.is_err());
        run(2).unwrap();
        assert_eq!(done.get(), 4, "what failed has left no stamp");
    }
}
