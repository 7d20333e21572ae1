use super::*;

#[test]
fn every_built_in_file_parses() {
    for (name, source) in BUILT_IN_FILES {
        let faults = parse(source).err().unwrap_or_default();
        let list: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert!(list.is_empty(), "{name}:\n{}", list.join("\n"));
    }
    assert_eq!(built_in().len(), BUILT_IN_FILES.len());
}

fn pair(id: &str, name: &str) -> (String, String) {
    (id.into(), name.into())
}

/// A main housing with a screwed back and a port, a monitor housing with a latch.
fn outline() -> RigOutline {
    RigOutline {
        enclosures: vec![
            OutlineEnclosure {
                id: "main".into(),
                name: "Main housing".into(),
                has_valve: true,
                closures: vec![
                    OutlineClosure {
                        id: "back".into(),
                        name: "Back".into(),
                        port: false,
                        screws: Some(8),
                        seals: vec![pair("back-ring", "Back ring")],
                    },
                    OutlineClosure {
                        id: "port".into(),
                        name: "Port".into(),
                        port: true,
                        screws: None,
                        seals: vec![
                            pair("port-ring", "Port ring"),
                            pair("ext", "Extension ring seal"),
                        ],
                    },
                ],
                other_seals: vec![pair("gland", "Gland")],
            },
            OutlineEnclosure {
                id: "monitor".into(),
                name: "Monitor housing".into(),
                has_valve: true,
                closures: vec![OutlineClosure {
                    id: "lid".into(),
                    name: "Lid".into(),
                    port: false,
                    screws: None,
                    seals: vec![pair("lid-ring", "Lid ring")],
                }],
                other_seals: vec![],
            },
        ],
        has_lens: true,
        has_controls: true,
    }
}

#[test]
#[ignore = "prints the build for reading"]
fn print_built_in() {
    for procedure in built_in() {
        println!("=== {}", procedure.title);
        for (index, i) in expand(procedure, &outline()).iter().enumerate() {
            println!(
                "{index:3} {:30} {}   <- {}",
                i.key,
                i.step.title,
                i.after.join(", ")
            );
        }
    }
}
