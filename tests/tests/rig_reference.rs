//! Water, trim and o-rings against the reference values, kind by kind.

use std::path::PathBuf;

use slackwater_checks::refcheck_rig::RIG_KINDS;

/// `../shared/reference` beside the repository, or `SLACKWATER_REFERENCE`.
fn reference() -> PathBuf {
    std::env::var_os("SLACKWATER_REFERENCE").map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared/reference"),
        PathBuf::from,
    )
}

#[test]
fn every_kind_is_within_its_tolerance() {
    let dir = reference();
    let mut wrong = Vec::new();
    for (kind, check) in RIG_KINDS {
        let file = ["csv", "json"]
            .map(|ending| dir.join(format!("{kind}.{ending}")))
            .into_iter()
            .find(|f| f.exists())
            .unwrap_or_else(|| panic!("no file for {kind} in {}", dir.display()));
        let columns = check(&[file]).unwrap();
        assert!(!columns.is_empty(), "{kind} compares nothing");
        for column in columns {
            println!("{column}");
            if !column.holds() {
                wrong.push(column.to_string());
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
