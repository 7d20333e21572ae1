use std::collections::{BTreeSet, HashSet};

use proptest::prelude::*;
use serde_json::{Value, json};

use super::*;

// ---- Outlines ------------------------------------------------------------------------------

fn pair(id: &str, name: &str) -> (String, String) {
    (id.into(), name.into())
}

fn closure(id: &str, screws: Option<u32>, port: bool, seals: &[&str]) -> OutlineClosure {
    OutlineClosure {
        id: id.into(),
        name: format!("the {id}"),
        port,
        screws,
        seals: seals.iter().map(|seal| pair(seal, seal)).collect(),
    }
}

/// A main housing with a screwed back and a port, a monitor housing with a latch.
fn full_rig() -> RigOutline {
    RigOutline {
        enclosures: vec![
            OutlineEnclosure {
                id: "main".into(),
                name: "Main housing".into(),
                has_valve: true,
                closures: vec![
                    closure("back", Some(8), false, &["back-ring"]),
                    closure("port", None, true, &["port-ring", "extension-ring"]),
                ],
                other_seals: vec![pair("gland", "gland")],
            },
            OutlineEnclosure {
                id: "monitor".into(),
                name: "Monitor housing".into(),
                has_valve: true,
                closures: vec![closure("lid", None, false, &["lid-ring"])],
                other_seals: vec![],
            },
        ],
        has_lens: true,
        has_controls: true,
    }
}

/// Rigs of every sort that the built-in procedures have to fit.
fn outlines() -> Vec<(&'static str, RigOutline)> {
    let full = full_rig();
    let change = |edit: &dyn Fn(&mut RigOutline)| {
        let mut rig = full_rig();
        edit(&mut rig);
        rig
    };
    vec![
        ("nothing", RigOutline::default()),
        ("main only", change(&|rig| rig.enclosures.truncate(1))),
        ("no lens", change(&|rig| rig.has_lens = false)),
        ("no controls", change(&|rig| rig.has_controls = false)),
        (
            "no valves",
            change(&|rig| rig.enclosures.iter_mut().for_each(|e| e.has_valve = false)),
        ),
        (
            "no seals",
            change(&|rig| {
                for enclosure in &mut rig.enclosures {
                    enclosure.other_seals.clear();
                    enclosure.closures.iter_mut().for_each(|c| c.seals.clear());
                }
            }),
        ),
        (
            "no closures",
            change(&|rig| rig.enclosures.iter_mut().for_each(|e| e.closures.clear())),
        ),
        (
            "twelve enclosures with the same ids inside",
            change(&|rig| {
                let monitor = rig.enclosures[1].clone();
                for number in 0..10 {
                    let mut copy = monitor.clone();
                    copy.id = format!("light-{number}");
                    rig.enclosures.push(copy);
                }
            }),
        ),
        (
            "no port that comes off",
            change(&|rig| {
                rig.enclosures[0].closures.truncate(1);
            }),
        ),
        (
            "opens at the port alone",
            change(&|rig| {
                rig.enclosures[0].closures.remove(0);
            }),
        ),
        ("full", full),
    ]
}

/// Does everything in the order in which it is offered; the keys in that order.
fn walk(instances: &[StepInstance]) -> Vec<&str> {
    let mut done: HashSet<&str> = HashSet::new();
    let mut order = Vec::new();
    while let Some(index) = next(instances, &done) {
        let key = instances[index].key.as_str();
        assert!(done.insert(key), "{key} is offered twice");
        order.push(key);
    }
    order
}

/// Keys of everything that comes before an instance, directly or not.
fn ancestors<'i>(instances: &'i [StepInstance], key: &str) -> BTreeSet<&'i str> {
    let mut found = BTreeSet::new();
    let mut ahead = vec![key];
    while let Some(key) = ahead.pop() {
        let instance = instances.iter().find(|i| i.key == key).unwrap();
        for earlier in &instance.after {
            if found.insert(earlier.as_str()) {
                ahead.push(earlier);
            }
        }
    }
    found
}

fn built_in_by_id(id: &str) -> &'static Procedure {
    built_in().iter().find(|p| p.id == id).unwrap()
}

// ---- The built-in files --------------------------------------------------------------------

#[test]
fn every_built_in_file_parses() {
    for (name, source) in BUILT_IN_FILES {
        let faults = parse(source).err().unwrap_or_default();
        let list: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert!(list.is_empty(), "{name}:\n{}", list.join("\n"));
    }
    assert_eq!(built_in().len(), BUILT_IN_FILES.len());
    let kinds: BTreeSet<ProcedureKind> = built_in().iter().map(|p| p.kind).collect();
    assert_eq!(kinds.len(), ProcedureKind::ALL.len());
    let ids: BTreeSet<&str> = built_in().iter().map(|p| p.id.as_str()).collect();
    assert_eq!(ids.len(), built_in().len());
}

#[test]
fn every_file_of_the_folder_is_built_in() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../procedures");
    let mut files: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".toml"))
        .collect();
    files.sort();
    let mut named: Vec<&str> = BUILT_IN_FILES.iter().map(|(name, _)| *name).collect();
    named.sort_unstable();
    assert_eq!(files, named);
}

#[test]
fn every_built_in_step_becomes_available_on_every_rig() {
    for procedure in built_in() {
        for (name, rig) in outlines() {
            let instances = expand(procedure, &rig);
            let keys: HashSet<&str> = instances.iter().map(|i| i.key.as_str()).collect();
            assert_eq!(keys.len(), instances.len(), "{}, {name}", procedure.id);
            assert_eq!(
                walk(&instances).len(),
                instances.len(),
                "{}, {name}",
                procedure.id
            );
            for instance in &instances {
                for earlier in &instance.after {
                    assert!(keys.contains(earlier.as_str()), "{earlier} is nowhere");
                }
                for text in [&instance.step.title, &instance.step.text] {
                    assert!(!text.contains(['{', '}']), "{text} is not filled in");
                }
            }
        }
    }
}

#[test]
fn every_built_in_step_is_done_on_some_rig() {
    for procedure in built_in() {
        let mut used: BTreeSet<String> = BTreeSet::new();
        for (_, mut rig) in outlines() {
            used.extend(expand(procedure, &rig).into_iter().map(|i| i.step.id));
            // Screws on the port and on the lid as well.
            for enclosure in &mut rig.enclosures {
                for closure in &mut enclosure.closures {
                    closure.screws = Some(6);
                }
                enclosure.other_seals.push(pair("shaft", "shaft"));
            }
            used.extend(expand(procedure, &rig).into_iter().map(|i| i.step.id));
        }
        for step in &procedure.steps {
            assert!(used.contains(&step.id), "{}: {}", procedure.id, step.id);
        }
    }
}

/// The last signature of each procedure rests on everything else in it, so nothing can be left
/// lying when it is given.
#[test]
fn the_last_signature_rests_on_every_other_step() {
    for procedure in built_in() {
        for (name, rig) in outlines() {
            let instances = expand(procedure, &rig);
            let last = instances.last().unwrap();
            assert_eq!(last.step.kind, StepKind::Sign);
            let before = ancestors(&instances, &last.key);
            let loose: Vec<&str> = instances
                .iter()
                .map(|i| i.key.as_str())
                .filter(|key| *key != last.key && !before.contains(key))
                .collect();
            assert!(loose.is_empty(), "{}, {name}: {loose:?}", procedure.id);
        }
    }
}

/// Rules 1 to 3: a hold comes after every opening, service and closing of its enclosure, the
/// plug after the hold, the controls after every closing and plug.
#[test]
fn proof_comes_in_the_order_that_the_rules_ask_for() {
    for id in ["general-build", "turnaround"] {
        for (name, rig) in outlines() {
            let instances = expand(built_in_by_id(id), &rig);
            for late in &instances {
                let before = ancestors(&instances, &late.key);
                for early in &instances {
                    let same = rig
                        .enclosures
                        .iter()
                        .any(|e| lies_in(&e.id, &early.target) && lies_in(&e.id, &late.target));
                    use StepKind::{Close, Controls, Fasteners, Hold, Open, Plug, Seal, Sign};
                    let must = match (early.step.kind, late.step.kind) {
                        (Open, Seal | Close) | (Close, Fasteners) => same,
                        (Open | Seal | Close | Fasteners, Hold) | (Hold, Plug) => same,
                        (Open | Close | Fasteners | Hold | Plug, Controls) => true,
                        (Controls | Plug | Hold, Sign) => true,
                        _ => false,
                    };
                    // A closure's own seals; another closure may already be shut.
                    let must = must && !other_closure(&rig, &early.target, &late.target);
                    assert!(
                        !must || before.contains(early.key.as_str()),
                        "{id}, {name}: {} must come before {}",
                        early.key,
                        late.key
                    );
                }
            }
            for instance in &instances {
                let needs_two =
                    instance.step.kind == StepKind::Plug || instance.step.kind == StepKind::Sign;
                assert!(!needs_two || instance.step.two_person, "{}", instance.key);
            }
        }
    }
}

/// Seen: the turnaround had the monitor's gauge read with its plug out, and neither recorded that nor
/// had the plug refitted; vents took plugs out and left no trace, so that a rig without vacuum and
/// without plugs stayed ready until it was opened.
#[test]
fn what_a_step_takes_away_it_records_and_a_later_one_asks_for_again() {
    use StepKind::{Close, Hold, Open, Plug, PlugOut, Recheck, Seal};
    for procedure in built_in() {
        for step in &procedure.steps {
            let words = format!("{} {}", step.title, step.text).to_lowercase();
            let out = words.contains("plug out") || words.contains("plug of {target} out");
            assert!(
                !out || matches!(step.kind, PlugOut | Recheck | Hold),
                "{}: {} has the plug taken out and doesn't record it",
                procedure.id,
                step.id
            );
        }
        for (name, rig) in outlines() {
            let instances = expand(procedure, &rig);
            let of = |kind: StepKind, late: &StepInstance| {
                let before = ancestors(&instances, &late.key);
                instances
                    .iter()
                    .filter(|i| i.step.kind == kind && before.contains(i.key.as_str()))
                    .map(|i| i.target.clone())
                    .collect::<Vec<_>>()
            };
            // Air goes in only where the plug is recorded as out.
            for vent in instances.iter().filter(|i| i.step.id == "vent") {
                assert!(
                    vent.step.kind == PlugOut || of(PlugOut, vent).contains(&vent.target),
                    "{}, {name}: {}",
                    procedure.id,
                    vent.key
                );
            }
            // Care and flood leave the rig open; the next build asks for everything.
            if !matches!(
                procedure.kind,
                ProcedureKind::Build | ProcedureKind::Turnaround
            ) {
                continue;
            }
            for early in &instances {
                let again = |kinds: &[StepKind], same: &dyn Fn(&Target) -> bool| {
                    instances.iter().any(|late| {
                        kinds.contains(&late.step.kind)
                            && same(&late.target)
                            && ancestors(&instances, &late.key).contains(early.key.as_str())
                    })
                };
                let wrong = || format!("{}, {name}: after {}", procedure.id, early.key);
                if matches!(early.step.kind, PlugOut | Recheck | Hold) {
                    let same = |t: &Target| *t == early.target;
                    assert!(again(&[Plug], &same), "{}: the plug", wrong());
                }
                if early.step.kind == Open {
                    let same = |t: &Target| *t == early.target;
                    assert!(again(&[Close], &same), "{}: the closing", wrong());
                    let Target::Closure { enclosure, closure } = &early.target else {
                        panic!("{}", early.key);
                    };
                    let of = rig.enclosures.iter().find(|e| e.id == *enclosure).unwrap();
                    let held = |t: &Target| matches!(t, Target::Enclosure { enclosure: e } if e == enclosure);
                    assert!(
                        !of.has_valve || again(&[Hold], &held),
                        "{}: the hold",
                        wrong()
                    );
                    let shut = of.closures.iter().find(|c| c.id == *closure).unwrap();
                    for (seal, _) in &shut.seals {
                        let it = |t: &Target| matches!(t, Target::Seal { enclosure: e, seal: s } if e == enclosure && s == seal);
                        assert!(again(&[Seal], &it), "{}: {seal}", wrong());
                    }
                }
            }
        }
    }
}

/// What warms the gas comes long before the hold or after it; packs go in early and the rig stands
/// shut before it is judged.
#[test]
fn a_hold_begins_cold_and_dry() {
    for id in ["general-build", "turnaround"] {
        for (name, rig) in outlines() {
            let instances = expand(built_in_by_id(id), &rig);
            for hold in instances.iter().filter(|i| i.step.kind == StepKind::Hold) {
                let before = ancestors(&instances, &hold.key);
                let of_step = |step: &str| {
                    let found = instances.iter().filter(|i| i.step.id == step);
                    found.map(|i| i.key.as_str()).collect::<Vec<_>>()
                };
                let named: &[&str] = if id == "turnaround" {
                    &["settings", "battery", "desiccant", "cold"]
                } else {
                    &[
                        "camera-settings",
                        "sensor",
                        "electronics",
                        "desiccant",
                        "cold",
                        "stand",
                    ]
                };
                for step in named {
                    for key in of_step(step) {
                        assert!(before.contains(key), "{id}, {name}: {key}, {}", hold.key);
                    }
                }
                for key in of_step("controls") {
                    let after = ancestors(&instances, key);
                    assert!(after.contains(hold.key.as_str()), "{id}, {name}: {key}");
                }
            }
            // The camera is off before the main housing is shut.
            for shut in instances.iter().filter(|i| {
                i.step.kind == StepKind::Close
                    && rig
                        .enclosures
                        .first()
                        .is_some_and(|e| lies_in(&e.id, &i.target))
            }) {
                assert!(
                    ancestors(&instances, &shut.key).contains("cold"),
                    "{id}, {name}: {}",
                    shut.key
                );
            }
        }
    }
}

fn lies_in(id: &str, target: &Target) -> bool {
    match target {
        Target::Rig => false,
        Target::Enclosure { enclosure }
        | Target::Closure { enclosure, .. }
        | Target::Seal { enclosure, .. } => enclosure == id,
    }
}

fn other_closure(rig: &RigOutline, a: &Target, b: &Target) -> bool {
    let closure_of = |target: &Target| match target {
        Target::Closure { closure, .. } => Some(closure.clone()),
        Target::Seal { enclosure, seal } => rig
            .enclosures
            .iter()
            .filter(|e| &e.id == enclosure)
            .flat_map(|e| &e.closures)
            .find(|c| c.seals.iter().any(|(id, _)| id == seal))
            .map(|c| c.id.clone()),
        _ => None,
    };
    matches!((closure_of(a), closure_of(b)), (Some(a), Some(b)) if a != b)
}

#[test]
fn the_build_offers_its_steps_in_the_trade_s_order() {
    let instances = expand(built_in_by_id("general-build"), &full_rig());
    let order = walk(&instances);
    let file_order: Vec<&str> = instances.iter().map(|i| i.key.as_str()).collect();
    assert_eq!(order, file_order, "the file is written in a workable order");
    let sections: Vec<&str> = instances.iter().map(|i| i.step.section.as_str()).collect();
    let mut runs = sections.clone();
    runs.dedup();
    let distinct: BTreeSet<&str> = sections.iter().copied().collect();
    assert_eq!(runs.len(), distinct.len(), "no section is split: {runs:?}");
    assert_eq!(order.first(), Some(&"camera-settings"));
    let mut at = order.iter();
    for key in [
        "strip",
        "plate",
        "vent@main",
        "open@back",
        "other-load@monitor",
        "electronics",
        "other-seals@lid-ring",
        "other-close@lid",
        "cables@monitor",
        "camera-in",
        "control-contact",
        "desiccant",
        "cold",
        "main-seals@back-ring",
        "main-close@back",
        "main-screws@back",
        "lens",
        "gear-drive",
        "port-base",
        "port-close@port",
        "trim",
        "stand",
        "hold@main",
        "plug@main",
        "controls",
        "photo",
        "walk-round",
    ] {
        assert!(at.any(|k| *k == key), "{key} is missing or out of order");
    }
}

#[test]
fn other_built_in_files_are_written_in_a_workable_order() {
    for procedure in built_in() {
        for (name, rig) in outlines() {
            let instances = expand(procedure, &rig);
            let file_order: Vec<&str> = instances.iter().map(|i| i.key.as_str()).collect();
            assert_eq!(walk(&instances), file_order, "{}, {name}", procedure.id);
        }
    }
}

#[test]
#[ignore = "prints every built-in procedure as laid out, for reading"]
fn print_built_in() {
    for procedure in built_in() {
        println!("=== {}", procedure.title);
        let instances = expand(procedure, &full_rig());
        for (index, instance) in instances.iter().enumerate() {
            let place = place(&instances, index).unwrap();
            println!(
                "{}, {} of {}: {}\n    {}\n    [{}] after {}",
                place.section,
                place.position,
                place.of,
                instance.step.title,
                instance.step.text,
                instance.key,
                instance.after.join(", ")
            );
        }
    }
}

// ---- Laying out ----------------------------------------------------------------------------

/// A procedure from `id kind each [only] <- after` lines.
fn procedure(lines: &[&str]) -> Procedure {
    let mut source = String::from("format = 1\nid = \"p\"\ntitle = \"P\"\nkind = \"build\"\n");
    for line in lines {
        let (head, after) = line.split_once("<-").unwrap_or((line, ""));
        let mut words = head.split_whitespace();
        let (id, kind, each) = (
            words.next().unwrap(),
            words.next().unwrap(),
            words.next().unwrap(),
        );
        let list = |words: Vec<&str>| {
            let quoted: Vec<String> = words.iter().map(|w| format!("\"{w}\"")).collect();
            format!("[{}]", quoted.join(", "))
        };
        let points = if kind == "seal" {
            "points = [\"p\"]\n"
        } else {
            ""
        };
        source.push_str(&format!(
            "[[step]]\nid = \"{id}\"\nsection = \"S\"\ntitle = \"T\"\nkind = \"{kind}\"\neach = \"{each}\"\nonly = {}\nafter = {}\n{points}",
            list(words.collect()),
            list(after.split_whitespace().collect()),
        ));
    }
    parse(&source).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn after<'i>(instances: &'i [StepInstance], key: &str) -> Vec<&'i str> {
    let instance = instances.iter().find(|i| i.key == key).unwrap();
    instance.after.iter().map(String::as_str).collect()
}

#[test]
fn an_instance_waits_for_what_concerns_its_own_target() {
    let instances = expand(
        &procedure(&[
            "start do rig",
            "service seal seal <- start",
            "close close closure <- service",
            "hold hold enclosure <- close",
            "end sign rig <- hold",
        ]),
        &full_rig(),
    );
    assert_eq!(after(&instances, "service@gland"), ["start"]);
    assert_eq!(
        after(&instances, "close@back"),
        ["service@back-ring", "service@gland"]
    );
    assert_eq!(
        after(&instances, "close@port"),
        [
            "service@port-ring",
            "service@extension-ring",
            "service@gland"
        ]
    );
    assert_eq!(after(&instances, "hold@main"), ["close@back", "close@port"]);
    assert_eq!(after(&instances, "hold@monitor"), ["close@lid"]);
    assert_eq!(after(&instances, "end"), ["hold@main", "hold@monitor"]);
}

#[test]
fn a_step_that_does_not_apply_hands_down_what_it_waits_for() {
    let p = procedure(&[
        "close close closure",
        "screws fasteners closure <- close",
        "lens do rig lens <- screws",
        "hold hold enclosure <- lens",
        "end sign rig <- hold",
    ]);
    let mut rig = full_rig();
    rig.has_lens = false;
    rig.enclosures[1].has_valve = false;
    let instances = expand(&p, &rig);
    assert!(!instances.iter().any(|i| i.key.starts_with("lens")));
    assert_eq!(
        after(&instances, "hold@main"),
        ["close@port", "screws@back"]
    );
    // The monitor housing has neither screws nor valve: the end waits for its closing.
    assert_eq!(after(&instances, "end"), ["close@lid", "hold@main"]);
    // A seal outside the closures doesn't keep a hold from waiting for it.
    let p = procedure(&[
        "service seal seal",
        "close close closure <- service",
        "hold hold enclosure <- close",
    ]);
    rig.enclosures[0].closures.clear();
    assert_eq!(after(&expand(&p, &rig), "hold@main"), ["service@gland"]);
}

#[test]
fn roles_wait_for_each_other_and_neutral_steps_for_their_own() {
    let p = procedure(&[
        "other-close close closure other",
        "gate do rig <- other-close",
        "main-close close closure main <- gate",
        "main-first do enclosure main <- other-close",
        "hold hold enclosure <- other-close main-close",
    ]);
    let instances = expand(&p, &full_rig());
    assert_eq!(after(&instances, "main-close@back"), ["gate"]);
    assert_eq!(after(&instances, "main-first@main"), ["other-close@lid"]);
    assert_eq!(
        after(&instances, "hold@main"),
        ["main-close@back", "main-close@port"]
    );
    assert_eq!(after(&instances, "hold@monitor"), ["other-close@lid"]);
}

#[test]
fn an_enclosure_that_opens_at_its_port_alone_is_loaded_through_it() {
    let mut rig = full_rig();
    rig.enclosures[0].closures.remove(0);
    let keys = |id: &str| -> Vec<String> {
        let instances = expand(built_in_by_id(id), &rig);
        instances.into_iter().map(|i| i.key).collect()
    };
    let build = keys("general-build");
    let at = |key: &str| build.iter().position(|k| k == key);
    assert!(at("lens-first").unwrap() < at("camera-in").unwrap());
    assert!(at("main-close@port").is_some() && at("lens").is_none());
    assert!(keys("turnaround").contains(&"open@port".to_string()));
}

#[test]
fn keys_stay_unique_where_ids_repeat() {
    let mut rig = full_rig();
    rig.enclosures[1].closures[0].id = "back".into();
    let mut twin = rig.enclosures[1].clone();
    twin.closures.push(twin.closures[0].clone());
    rig.enclosures[1] = twin;
    let keys: Vec<String> = expand(&procedure(&["close close closure"]), &rig)
        .into_iter()
        .map(|i| i.key)
        .collect();
    assert_eq!(
        keys,
        [
            "close@back",
            "close@port",
            "close@monitor/back",
            "close@monitor/back#2"
        ]
    );
}

#[test]
fn names_fill_the_placeholders_once() {
    let mut p = procedure(&["screws fasteners closure"]);
    p.steps[0].title = "{screws} screws of {target}, {enclosure}".into();
    let mut rig = full_rig();
    rig.enclosures[0].name = "{target} 🐟 {".into();
    rig.enclosures[0].closures[0].name = "غطاء {screws}".into();
    let instances = expand(&p, &rig);
    assert_eq!(
        instances[0].step.title,
        "8 screws of غطاء {screws}, {target} 🐟 {"
    );
    assert_eq!(instances[0].target_name, "غطاء {screws}");
}

#[test]
fn what_rests_on_lost_evidence_is_not_offered() {
    let instances = expand(
        &procedure(&["a do rig", "b do rig <- a", "c do rig <- b"]),
        &RigOutline::default(),
    );
    let offered = |done: &[&str]| available(&instances, &done.iter().copied().collect());
    assert_eq!(offered(&[]), [0]);
    assert_eq!(offered(&["a"]), [1]);
    assert_eq!(offered(&["a", "b"]), [2]);
    assert_eq!(offered(&["b"]), [0], "c waits for a although b is done");
    assert_eq!(offered(&["a", "b", "c"]), [0_usize; 0]);
    assert_eq!(next(&instances, &HashSet::from(["a", "b", "c"])), None);
    assert_eq!(next(&instances, &HashSet::from(["unknown"])), Some(0));
}

#[test]
fn instances_that_wait_in_a_circle_or_for_nothing_known_do_not_hang() {
    let mut instances = expand(
        &procedure(&["a do rig", "b do rig <- a", "c do rig"]),
        &RigOutline::default(),
    );
    instances[0].after = vec!["b".into()];
    instances[2].after = vec!["elsewhere".into()];
    assert_eq!(available(&instances, &HashSet::new()), [0_usize; 0]);
    assert_eq!(available(&instances, &HashSet::from(["elsewhere"])), [2]);
}

#[test]
fn places_count_within_the_section() {
    let mut p = procedure(&["a do rig", "b close closure", "c do rig"]);
    p.steps[2].section = "Other".into();
    let instances = expand(&p, &full_rig());
    let place = |index| place(&instances, index).map(|p| (p.section, p.position, p.of));
    assert_eq!(place(0), Some(("S".into(), 1, 4)));
    assert_eq!(place(3), Some(("S".into(), 4, 4)));
    assert_eq!(place(4), Some(("Other".into(), 1, 1)));
    assert_eq!(place(5), None);
}

#[test]
fn records_survive_json() {
    for procedure in built_in() {
        let text = serde_json::to_string(procedure).unwrap();
        assert_eq!(
            &serde_json::from_str::<Procedure>(&text).unwrap(),
            procedure
        );
        let instances = expand(procedure, &full_rig());
        let text = serde_json::to_string(&instances).unwrap();
        assert_eq!(
            serde_json::from_str::<Vec<StepInstance>>(&text).unwrap(),
            instances
        );
    }
    assert_eq!(serde_json::to_string(&Target::Rig).unwrap(), "\"rig\"");
}

#[test]
fn a_measure_accepts_its_limits_and_no_more() {
    let measure = Measure {
        quantity: Quantity::Voltage,
        unit: "V".into(),
        min: Some(14.0),
        max: Some(16.8),
    };
    for (value, right) in [
        (14.0, true),
        (16.8, true),
        (13.99, false),
        (16.81, false),
        (f64::NAN, false),
        (f64::INFINITY, false),
    ] {
        assert_eq!(measure.accepts(value), right, "{value}");
    }
    let free = Measure {
        min: None,
        max: None,
        ..measure
    };
    assert!(free.accepts(-1e9) && !free.accepts(f64::NEG_INFINITY));
}

// ---- Wrong files ---------------------------------------------------------------------------

/// A file that is right, with one line of it replaced.
fn changed(line: &str, by: &str) -> String {
    let good = GOOD;
    assert!(good.contains(line), "{line}");
    good.replacen(line, by, 1)
}

const GOOD: &str = r#"format = 1
id = "good"
title = "Good"
kind = "build"

[[step]]
id = "volts"
section = "Camera"
title = "Measure the battery"
kind = "measure"

[step.measure]
quantity = "voltage"
unit = "V"
min = 14.0
max = 17

[[step]]
id = "ring"
section = "Closing"
title = "Service {target}"
kind = "seal"
each = "seal"
only = ["in_closure"]
after = ["volts"]
points = ["Out", "Back"]

[[step]]
id = "screws"
section = "Closing"
title = "Tighten {screws}"
kind = "fasteners"
each = "closure"
after = ["ring"]
"#;

/// Wrong files: name, source, line and a part of the message, and whether a schema can see it.
fn wrong_samples() -> Vec<(&'static str, String, u32, &'static str, bool)> {
    let long = "x".repeat(81);
    vec![
        ("no format", changed("format = 1\n", ""), 1, "missing", true),
        (
            "newer format",
            changed("format = 1", "format = 2"),
            1,
            "newer than this program",
            true,
        ),
        (
            "format zero",
            changed("format = 1", "format = 0"),
            1,
            "1 or more",
            true,
        ),
        (
            "format as text",
            changed("format = 1", "format = \"1\""),
            1,
            "whole number",
            true,
        ),
        (
            "unknown key",
            changed("kind = \"build\"", "kind = \"build\"\nauthor = \"me\""),
            5,
            "unknown",
            true,
        ),
        (
            "unknown kind of procedure",
            changed("\"build\"", "\"party\""),
            4,
            "\"party\" is unknown",
            true,
        ),
        (
            "id with capitals",
            changed("\"good\"", "\"Good One\""),
            2,
            "small letters",
            true,
        ),
        (
            "id ends in hyphen",
            changed("\"good\"", "\"good-\""),
            2,
            "small letters",
            true,
        ),
        (
            "empty title",
            changed("title = \"Good\"", "title = \"  \""),
            3,
            "empty",
            true,
        ),
        (
            "long title",
            changed("title = \"Good\"", &format!("title = \"{long}\"")),
            3,
            "81 characters",
            true,
        ),
        (
            "control character",
            changed("title = \"Good\"", "title = \"a\\u0007b\""),
            3,
            "control character",
            true,
        ),
        (
            "title as list",
            changed("title = \"Good\"", "title = [\"Good\"]"),
            3,
            "list in square brackets",
            true,
        ),
        (
            "no steps",
            GOOD.split("[[step]]").next().unwrap().to_string(),
            1,
            "no steps",
            true,
        ),
        (
            "empty steps",
            GOOD.split("[[step]]").next().unwrap().to_string() + "step = []\n",
            6,
            "no steps",
            true,
        ),
        (
            "steps as text",
            GOOD.split("[[step]]").next().unwrap().to_string() + "step = \"all\"\n",
            6,
            "begun by [[step]]",
            true,
        ),
        (
            "step as text",
            GOOD.split("[[step]]").next().unwrap().to_string() + "step = [\"all\"]\n",
            6,
            "begun by [[step]]",
            true,
        ),
        (
            "step without section",
            changed("section = \"Camera\"\n", ""),
            6,
            "missing",
            true,
        ),
        (
            "unknown key of step",
            changed(
                "kind = \"measure\"",
                "kind = \"measure\"\ntwo_persons = true",
            ),
            11,
            "unknown",
            true,
        ),
        (
            "unknown kind of step",
            changed("\"measure\"", "\"weigh\""),
            10,
            "\"weigh\" is unknown",
            true,
        ),
        (
            "unknown each",
            changed("each = \"seal\"", "each = \"valve\""),
            23,
            "\"valve\" is unknown",
            true,
        ),
        (
            "kind and each don't fit",
            changed("each = \"closure\"", "each = \"seal\""),
            33,
            "for each closure, not",
            true,
        ),
        (
            "each left out",
            changed("each = \"closure\"\n", ""),
            28,
            "not for each \"rig\"",
            true,
        ),
        (
            "unknown condition",
            changed("\"in_closure\"", "\"old\""),
            24,
            "\"old\" is unknown",
            true,
        ),
        (
            "conditions exclude",
            changed("\"in_closure\"", "\"valve\", \"no_valve\""),
            24,
            "never both hold",
            true,
        ),
        (
            "condition twice",
            changed("\"in_closure\"", "\"main\", \"main\""),
            24,
            "stands twice",
            true,
        ),
        (
            "condition of seals",
            changed("after = [\"ring\"]", "only = [\"in_closure\"]"),
            34,
            "needs each = \"seal\"",
            true,
        ),
        (
            "condition against kind",
            changed("after = [\"ring\"]", "only = [\"no_screws\"]"),
            34,
            "never applies",
            true,
        ),
        (
            "seal without points",
            changed("points = [\"Out\", \"Back\"]\n", ""),
            18,
            "needs points",
            true,
        ),
        (
            "point as number",
            changed("\"Out\"", "1"),
            26,
            "list of texts",
            true,
        ),
        ("empty point", changed("\"Out\"", "\"\""), 26, "empty", true),
        (
            "flag as text",
            changed(
                "after = [\"volts\"]",
                "after = [\"volts\"]\ntwo_person = \"yes\"",
            ),
            26,
            "true or false",
            true,
        ),
        (
            "no measure",
            GOOD.replace(
                "[step.measure]\nquantity = \"voltage\"\nunit = \"V\"\nmin = 14.0\nmax = 17\n",
                "",
            ),
            6,
            "needs [step.measure]",
            true,
        ),
        (
            "measure elsewhere",
            changed("kind = \"measure\"", "kind = \"check\""),
            12,
            "only a step of kind \"measure\"",
            true,
        ),
        (
            "measure as text",
            GOOD.replace(
                "[step.measure]\nquantity = \"voltage\"\nunit = \"V\"\nmin = 14.0\nmax = 17\n",
                "measure = \"volts\"\n",
            ),
            12,
            "a table [step.measure]",
            true,
        ),
        (
            "unknown quantity",
            changed("\"voltage\"", "\"luck\""),
            13,
            "\"luck\" is unknown",
            true,
        ),
        (
            "unit of another quantity",
            changed("unit = \"V\"", "unit = \"kg\""),
            14,
            "not a unit for voltage",
            true,
        ),
        (
            "unit missing",
            changed("unit = \"V\"\n", ""),
            12,
            "missing",
            true,
        ),
        (
            "unknown key of measure",
            changed("max = 17", "most = 17"),
            16,
            "unknown",
            true,
        ),
        (
            "limit as text",
            changed("min = 14.0", "min = \"14\""),
            15,
            "must be a number",
            true,
        ),
        (
            "min above max",
            changed("min = 14.0", "min = 18"),
            15,
            "min 18 is greater than max 17",
            false,
        ),
        (
            "limit not a number",
            changed("min = 14.0", "min = nan"),
            15,
            "finite",
            false,
        ),
        (
            "limit infinite",
            changed("max = 17", "max = -inf"),
            16,
            "finite",
            false,
        ),
        (
            "limit too large",
            changed("max = 17", "max = 1e999"),
            16,
            "finite",
            false,
        ),
        (
            "unknown step",
            changed("after = [\"volts\"]", "after = [\"amps\"]"),
            25,
            "no step \"amps\"",
            false,
        ),
        (
            "prerequisite twice",
            changed("after = [\"volts\"]", "after = [\"volts\", \"volts\"]"),
            25,
            "stands twice",
            true,
        ),
        (
            "same id twice",
            changed("id = \"screws\"", "id = \"volts\""),
            29,
            "step on line 7 has the same id",
            false,
        ),
        (
            "waits for itself",
            changed("after = [\"ring\"]", "after = [\"screws\"]"),
            34,
            "waits for itself",
            false,
        ),
        (
            "circle",
            changed("after = [\"volts\"]", "after = [\"screws\"]"),
            25,
            "\"ring\" waits for \"screws\", \"screws\" waits for \"ring\"",
            false,
        ),
        (
            "unknown placeholder",
            changed("{target}", "{ring}"),
            21,
            "{ring} is unknown",
            false,
        ),
        (
            "lonely brace",
            changed("{target}", "{target"),
            21,
            "brace stands alone",
            false,
        ),
        (
            "placeholder without target",
            changed("Measure the battery", "Measure {target}"),
            9,
            "{target} needs each",
            false,
        ),
        (
            "key twice",
            changed("id = \"good\"", "id = \"good\"\nid = \"better\""),
            3,
            "duplicate key",
            false,
        ),
        (
            "broken syntax",
            changed("kind = \"build\"", "kind = \"build"),
            4,
            "",
            false,
        ),
    ]
}

#[test]
fn the_good_sample_is_good() {
    let procedure = parse(GOOD).unwrap();
    assert_eq!(procedure.steps.len(), 3);
    let measure = procedure.steps[0].measure.clone().unwrap();
    assert_eq!((measure.min, measure.max), (Some(14.0), Some(17.0)));
}

#[test]
fn every_wrong_file_gets_line_and_reason() {
    for (name, source, line, part, _) in wrong_samples() {
        let faults = parse(&source).expect_err(name);
        assert!(
            faults
                .iter()
                .any(|f| f.line == line && f.why.to_string().contains(part)),
            "{name}: expected line {line} with '{part}', got {faults:#?}"
        );
        // One mistake does not make a heap of messages.
        assert!(faults.len() <= 3, "{name}: {faults:#?}");
    }
}

#[test]
fn many_faults_are_found_in_one_go_in_the_order_of_the_lines() {
    let source = GOOD
        .replace("\"build\"", "\"party\"")
        .replace("unit = \"V\"", "unit = \"kg\"")
        .replace("min = 14.0", "min = nan")
        .replace("after = [\"volts\"]", "after = [\"amps\"]")
        .replace("each = \"closure\"", "each = \"rig\"\ncolour = \"blue\"");
    let faults = parse(&source).unwrap_err();
    let lines: Vec<u32> = faults.iter().map(|f| f.line).collect();
    assert_eq!(lines, [4, 14, 15, 25, 33, 34], "{faults:#?}");
    assert_eq!(faults[3].what, "step \"ring\": after");
    assert_eq!(
        faults[3].to_string(),
        "line 25, step \"ring\": after: there is no step \"amps\""
    );
}

#[test]
fn syntax_faults_are_all_named_and_raise_no_echoes() {
    let source = GOOD
        .replace("title = \"Good\"", "title = Good")
        .replace("max = 17", "max = = 17")
        .replace(
            "each = \"closure\"",
            "each = \"closure\"\ncolour = \"blue\"",
        );
    let faults = parse(&source).unwrap_err();
    let lines: BTreeSet<u32> = faults.iter().map(|f| f.line).collect();
    assert_eq!(lines, BTreeSet::from([3, 16, 34]), "{faults:#?}");
}

#[test]
fn two_circles_are_both_named() {
    let step = |id: &str, after: &str| {
        format!(
            "[[step]]\nid = \"{id}\"\nsection = \"S\"\ntitle = \"T\"\nkind = \"do\"\nafter = [{after}]\n"
        )
    };
    let source = "format = 1\nid = \"p\"\ntitle = \"P\"\nkind = \"flood\"\n".to_string()
        + &step("a", "\"c\"")
        + &step("b", "\"a\"")
        + &step("c", "\"b\"")
        + &step("d", "\"e\", \"a\"")
        + &step("e", "\"d\"")
        + &step("f", "\"e\"");
    let faults = parse(&source).unwrap_err();
    let why: Vec<String> = faults.iter().map(|f| f.why.to_string()).collect();
    assert_eq!(
        why,
        [
            "the steps wait for each other in a circle: \"a\" waits for \"c\", \"c\" waits for \"b\", \"b\" waits for \"a\"",
            "the steps wait for each other in a circle: \"d\" waits for \"e\", \"e\" waits for \"d\"",
        ]
    );
}

#[test]
fn byte_order_mark_and_windows_line_ends_change_nothing() {
    let good = parse(GOOD).unwrap();
    assert_eq!(parse(&format!("\u{feff}{GOOD}")).unwrap(), good);
    let windows = GOOD.replace('\n', "\r\n");
    assert_eq!(parse_bytes(windows.as_bytes()).unwrap(), good);
    let mut marked = vec![0xef, 0xbb, 0xbf];
    marked.extend(windows.as_bytes());
    assert_eq!(parse_bytes(&marked).unwrap(), good);
    let long = changed(
        "section = \"Camera\"",
        "section = \"Camera\"\ntext = \"\"\"\nOne.\nTwo.\n\"\"\"",
    );
    let text = |source: &str| parse(source).unwrap().steps[0].text.clone();
    assert_eq!(text(&long), "One.\nTwo.");
    assert_eq!(text(&long.replace('\n', "\r\n")), "One.\nTwo.");
    let faults = parse(&windows.replace("\"volts\"]", "\"amps\"]")).unwrap_err();
    assert_eq!(faults[0].line, 25);
}

#[test]
fn bytes_that_are_not_utf8_are_refused_with_their_line() {
    let mut bytes = GOOD.as_bytes().to_vec();
    let at = GOOD.find("Measure").unwrap();
    bytes[at] = 0xe9;
    let faults = parse_bytes(&bytes).unwrap_err();
    assert_eq!((faults.len(), faults[0].line), (1, 9));
    assert!(faults[0].why.to_string().contains("0xe9"), "{faults:?}");
    let utf16: Vec<u8> = std::iter::once(0xfeff_u16)
        .chain(GOOD.encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    assert!(
        parse_bytes(&utf16).unwrap_err()[0]
            .why
            .to_string()
            .contains("UTF-16")
    );
    assert!(!parse_bytes(b"").unwrap_err().is_empty());
    assert!(!parse_bytes(b"\0\0\0\0").unwrap_err().is_empty());
}

#[test]
fn oversized_files_are_refused_before_they_are_read() {
    let source = format!("{GOOD}# {}", "x".repeat(limits::FILE_BYTES));
    assert!(
        parse(&source).unwrap_err()[0]
            .why
            .to_string()
            .contains("at most 256 KiB")
    );
    let head = GOOD.split("[[step]]").next().unwrap();
    let steps: String = (0..=limits::STEPS)
        .map(|n| {
            format!("[[step]]\nid = \"s{n}\"\nsection = \"S\"\ntitle = \"T\"\nkind = \"do\"\n")
        })
        .collect();
    let faults = parse(&format!("{head}{steps}")).unwrap_err();
    assert!(
        faults[0].why.to_string().contains("201 steps"),
        "{faults:?}"
    );
    let deep = format!("{GOOD}x = {}{}", "[".repeat(50_000), "]".repeat(50_000));
    assert!(parse(&deep).is_err());
}

// ---- Schema --------------------------------------------------------------------------------

const SCHEMA: &str = include_str!("../../../procedures/procedure.schema.json");

fn schema() -> Value {
    serde_json::from_str(SCHEMA).unwrap()
}

/// A TOML file as the JSON that the schema describes; none where JSON has no such thing.
fn as_json(source: &str) -> Option<Value> {
    fn convert(value: toml::Value) -> Option<Value> {
        Some(match value {
            toml::Value::String(text) => json!(text),
            toml::Value::Integer(number) => json!(number),
            toml::Value::Float(number) => Value::Number(serde_json::Number::from_f64(number)?),
            toml::Value::Boolean(flag) => json!(flag),
            toml::Value::Datetime(_) => return None,
            toml::Value::Array(items) => {
                Value::Array(items.into_iter().map(convert).collect::<Option<_>>()?)
            }
            toml::Value::Table(table) => Value::Object(
                table
                    .into_iter()
                    .map(|(key, value)| Some((key, convert(value)?)))
                    .collect::<Option<_>>()?,
            ),
        })
    }
    convert(toml::from_str(source).ok()?)
}

/// The part of JSON Schema 2020-12 that the schema uses; anything else is a failure, so that no
/// keyword is passed over in silence.
fn valid(root: &Value, schema: &Value, value: &Value) -> bool {
    let schema = match schema {
        Value::Bool(verdict) => return *verdict,
        other => other.as_object().unwrap(),
    };
    let count = |limit: &Value| usize::try_from(limit.as_u64().unwrap()).unwrap();
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    schema.iter().all(|(keyword, rule)| match keyword.as_str() {
        "$schema" | "$defs" | "title" | "description" | "default" | "then" | "else" => true,
        "$ref" => {
            let pointer = rule.as_str().unwrap().strip_prefix('#').unwrap();
            valid(root, root.pointer(pointer).unwrap(), value)
        }
        "type" => match rule.as_str().unwrap() {
            "object" => value.is_object(),
            "array" => value.is_array(),
            "string" => value.is_string(),
            "boolean" => value.is_boolean(),
            "integer" => value.is_i64(),
            "number" => value.is_number(),
            other => panic!("type {other}"),
        },
        "enum" => list(rule).contains(value),
        "const" => rule == value,
        "minimum" => value.as_f64().is_none_or(|v| v >= rule.as_f64().unwrap()),
        "maximum" => value.as_f64().is_none_or(|v| v <= rule.as_f64().unwrap()),
        "maxLength" => value
            .as_str()
            .is_none_or(|v| v.chars().count() <= count(rule)),
        "pattern" => value
            .as_str()
            .is_none_or(|v| matches_pattern(rule.as_str().unwrap(), v)),
        "minItems" => value.as_array().is_none_or(|v| v.len() >= count(rule)),
        "maxItems" => value.as_array().is_none_or(|v| v.len() <= count(rule)),
        "uniqueItems" => value
            .as_array()
            .is_none_or(|v| v.iter().enumerate().all(|(i, item)| !v[..i].contains(item))),
        "items" => list(value).iter().all(|item| valid(root, rule, item)),
        "contains" => value
            .as_array()
            .is_none_or(|v| v.iter().any(|item| valid(root, rule, item))),
        "required" => value.as_object().is_none_or(|v| {
            list(rule)
                .iter()
                .all(|key| v.contains_key(key.as_str().unwrap()))
        }),
        "properties" => value.as_object().is_none_or(|v| {
            rule.as_object()
                .unwrap()
                .iter()
                .all(|(key, rule)| v.get(key).is_none_or(|item| valid(root, rule, item)))
        }),
        "additionalProperties" => {
            assert_eq!(rule, &json!(false));
            let known = schema["properties"].as_object().unwrap();
            value
                .as_object()
                .is_none_or(|v| v.keys().all(|key| known.contains_key(key)))
        }
        "allOf" => list(rule).iter().all(|rule| valid(root, rule, value)),
        "anyOf" => list(rule).iter().any(|rule| valid(root, rule, value)),
        "not" => !valid(root, rule, value),
        "if" => {
            let branch = if valid(root, rule, value) {
                "then"
            } else {
                "else"
            };
            schema
                .get(branch)
                .is_none_or(|rule| valid(root, rule, value))
        }
        other => panic!("keyword {other} is not known to this check"),
    })
}

fn matches_pattern(pattern: &str, text: &str) -> bool {
    const CONTROLS: &str = r"\u0000-\u0009\u000b-\u001f\u007f-\u009f";
    let clean = !text.chars().any(|c| c.is_control() && c != '\n');
    if pattern == format!("^[^{CONTROLS}]*$") {
        clean
    } else if pattern == format!("^[^{CONTROLS}]*[^{CONTROLS}\\s][^{CONTROLS}]*$") {
        clean && !text.trim().is_empty()
    } else if pattern == "^[a-z][a-z0-9]*(-[a-z0-9]+)*$" {
        text.starts_with(|c: char| c.is_ascii_lowercase())
            && text.split('-').all(|part| {
                !part.is_empty()
                    && part
                        .chars()
                        .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
            })
    } else {
        panic!("pattern {pattern} is not known to this check")
    }
}

#[test]
fn schema_and_parser_agree_on_every_sample() {
    let schema = schema();
    for (name, source) in BUILT_IN_FILES {
        assert!(valid(&schema, &schema, &as_json(source).unwrap()), "{name}");
    }
    assert!(valid(&schema, &schema, &as_json(GOOD).unwrap()));
    for (name, source, _, _, schema_sees) in wrong_samples() {
        // What is no TOML, or no number of JSON, never comes before a schema.
        let refused = as_json(&source).is_some_and(|json| !valid(&schema, &schema, &json));
        assert_eq!(refused, schema_sees, "{name}");
    }
}

#[test]
fn schema_and_parser_know_the_same_words_and_limits() {
    let schema = schema();
    let at = |pointer: &str| {
        let found = schema.pointer(pointer);
        found.unwrap_or_else(|| panic!("{pointer}")).clone()
    };
    let step = |key: &str| at(&format!("/$defs/step/properties/{key}"));
    let words = |all: &[&str]| json!(all);
    let spell = |w: Vec<&'static str>| w;
    assert_eq!(
        at("/properties/kind/enum"),
        words(&spell(
            ProcedureKind::ALL.iter().map(|w| w.word()).collect()
        ))
    );
    assert_eq!(
        step("kind")["enum"],
        words(&spell(StepKind::ALL.iter().map(|w| w.word()).collect()))
    );
    assert_eq!(
        step("each")["enum"],
        words(&spell(Each::ALL.iter().map(|w| w.word()).collect()))
    );
    assert_eq!(
        step("only")["items"]["enum"],
        words(&spell(Only::ALL.iter().map(|w| w.word()).collect()))
    );
    assert_eq!(
        at("/$defs/measure/properties/quantity/enum"),
        words(&spell(Quantity::ALL.iter().map(|w| w.word()).collect()))
    );
    for (is, limit) in [
        (at("/properties/format/maximum"), FORMAT as usize),
        (at("/properties/step/maxItems"), limits::STEPS),
        (at("/properties/title/maxLength"), limits::TITLE),
        (at("/$defs/slug/maxLength"), limits::ID),
        (step("title")["maxLength"].clone(), limits::TITLE),
        (step("section")["maxLength"].clone(), limits::SECTION),
        (step("text")["maxLength"].clone(), limits::TEXT),
        (step("caution")["maxLength"].clone(), limits::CAUTION),
        (step("points")["maxItems"].clone(), limits::POINTS),
        (step("points")["items"]["maxLength"].clone(), limits::POINT),
        (at("/$defs/measure/properties/unit/maxLength"), limits::UNIT),
    ] {
        assert_eq!(is, json!(limit));
    }
    let keys = |pointer: &str| -> BTreeSet<String> {
        at(pointer).as_object().unwrap().keys().cloned().collect()
    };
    let known = |keys: &[&str]| keys.iter().map(ToString::to_string).collect();
    assert_eq!(keys("/properties"), known(parse::PROCEDURE_KEYS));
    assert_eq!(keys("/$defs/step/properties"), known(parse::STEP_KEYS));
    assert_eq!(
        keys("/$defs/measure/properties"),
        known(parse::MEASURE_KEYS)
    );
}

/// Every kind with every target, every pair of conditions, every quantity with every unit: the
/// schema says what the parser says.
#[test]
fn schema_and_parser_agree_on_every_combination() {
    let schema = schema();
    let agree = |step: String| {
        let source = format!(
            "format = 1\nid = \"p\"\ntitle = \"P\"\nkind = \"build\"\n[[step]]\nid = \"s\"\nsection = \"S\"\ntitle = \"T\"\n{step}"
        );
        let json = as_json(&source).unwrap();
        let parsed = parse(&source);
        assert_eq!(
            parsed.is_ok(),
            valid(&schema, &schema, &json),
            "{step}: {parsed:?}"
        );
    };
    for kind in StepKind::ALL.iter().map(|k| k.word()) {
        let measure = "\n[step.measure]\nquantity = \"other\"\nunit = \"x\"\n";
        for measure in ["", measure] {
            for points in ["", "points = []\n", "points = [\"a\"]\n"] {
                agree(format!("kind = \"{kind}\"\n{points}{measure}"));
                for each in Each::ALL.iter().map(|e| e.word()) {
                    agree(format!(
                        "kind = \"{kind}\"\neach = \"{each}\"\n{points}{measure}"
                    ));
                }
            }
        }
        for each in Each::ALL.iter().map(|e| e.word()) {
            for a in Only::ALL.iter().map(|o| o.word()) {
                for b in Only::ALL.iter().map(|o| o.word()) {
                    agree(format!(
                        "kind = \"{kind}\"\neach = \"{each}\"\nonly = [\"{a}\", \"{b}\"]\npoints = [\"p\"]\n"
                    ));
                }
            }
        }
    }
    for quantity in Quantity::ALL {
        for unit in Quantity::ALL
            .iter()
            .flat_map(|q| q.units())
            .chain(&["", "x"])
        {
            agree(format!(
                "kind = \"measure\"\n[step.measure]\nquantity = \"{}\"\nunit = \"{unit}\"\n",
                quantity.word()
            ));
        }
    }
}

/// Writes the wrong samples as JSON lines, to put them before a full validator from outside.
#[test]
#[ignore = "prints the samples for a check from outside"]
fn print_samples() {
    for (name, source, _, _, schema_sees) in wrong_samples() {
        println!(
            "SAMPLE {}",
            json!({ "name": name, "source": source, "schema_sees": schema_sees })
        );
    }
}

// ---- Random procedures and rigs ------------------------------------------------------------

fn any_rig() -> impl Strategy<Value = RigOutline> {
    let closure = (0_usize..3, prop::option::of(0_u32..13), any::<bool>());
    let enclosure = (
        prop::collection::vec(closure, 0..3),
        0_usize..3,
        any::<bool>(),
    );
    let enclosures = prop::collection::vec(enclosure, 0..4);
    (enclosures, any::<bool>(), any::<bool>()).prop_map(|(enclosures, has_lens, has_controls)| {
        let seals = |count: usize| (0..count).map(|n| pair(&format!("s{n}"), "seal")).collect();
        RigOutline {
            enclosures: enclosures
                .into_iter()
                .enumerate()
                .map(|(n, (closures, other, has_valve))| OutlineEnclosure {
                    // Ids repeat now and then, as hand-made rigs may have it.
                    id: format!("e{}", n % 3),
                    name: "enclosure".into(),
                    has_valve,
                    closures: closures
                        .into_iter()
                        .enumerate()
                        .map(|(n, (count, screws, port))| OutlineClosure {
                            id: format!("c{}", n % 2),
                            name: "closure".into(),
                            port,
                            screws,
                            seals: seals(count),
                        })
                        .collect(),
                    other_seals: seals(other),
                })
                .collect(),
            has_lens,
            has_controls,
        }
    })
}

/// Steps of any kind with any conditions; `edges` are pairs of step numbers.
fn any_procedure(acyclic: bool) -> impl Strategy<Value = Procedure> {
    let step = (
        prop::sample::select(StepKind::ALL),
        prop::sample::select(Each::ALL),
        prop::collection::vec(prop::sample::select(Only::ALL), 0..3),
    );
    (
        prop::collection::vec(step, 1..12),
        prop::collection::vec((0_usize..12, 0_usize..12), 0..24),
    )
        .prop_flat_map(|(steps, edges)| {
            let order: Vec<usize> = (0..steps.len()).collect();
            (Just(steps), Just(edges), Just(order).prop_shuffle())
        })
        .prop_map(move |(steps, edges, rank)| {
            let count = steps.len();
            let mut steps: Vec<Step> = steps
                .into_iter()
                .enumerate()
                .map(|(n, (kind, each, only))| Step {
                    id: format!("s{n}"),
                    section: "S".into(),
                    title: "T".into(),
                    text: String::new(),
                    kind,
                    each,
                    only,
                    after: vec![],
                    two_person: false,
                    shut: false,
                    caution: None,
                    points: vec![],
                    note: false,
                    measure: None,
                })
                .collect();
            for (a, b) in edges {
                let (a, b) = (a % count, b % count);
                // The rank is a hidden order that differs from the order of the file.
                if !acyclic || rank[b] < rank[a] {
                    steps[a].after.push(format!("s{b}"));
                }
            }
            Procedure {
                format: 1,
                id: "p".into(),
                title: "P".into(),
                kind: ProcedureKind::Build,
                steps,
            }
        })
}

proptest! {
    #[test]
    fn laid_out_it_has_no_circle_and_everything_becomes_available(
        procedure in any_procedure(true),
        rig in any_rig(),
    ) {
        let instances = expand(&procedure, &rig);
        let keys: HashSet<&str> = instances.iter().map(|i| i.key.as_str()).collect();
        prop_assert_eq!(keys.len(), instances.len(), "keys are unique");
        prop_assert!(instances.iter().all(|i| i.after.iter().all(|k| keys.contains(k.as_str()))));
        let order = walk(&instances);
        prop_assert_eq!(order.len(), instances.len());
        // Never loosened: whatever a step names for the same target comes before it.
        for late in &instances {
            let before = ancestors(&instances, &late.key);
            for early in &instances {
                let named = late.step.after.contains(&early.step.id);
                let same = early.target == late.target && early.step.each == late.step.each;
                let whole = early.target == Target::Rig;
                prop_assert!(
                    !(named && (whole || same && one_of_its_name(&rig, &late.target)))
                        || before.contains(early.key.as_str()),
                    "{} before {}", &early.key, &late.key
                );
            }
        }
    }

    #[test]
    fn a_circle_in_the_file_never_hangs_and_blocks_only_what_waits_for_it(
        procedure in any_procedure(false),
        rig in any_rig(),
    ) {
        let instances = expand(&procedure, &rig);
        let order = walk(&instances);
        prop_assert!(order.len() <= instances.len());
    }

    #[test]
    fn doing_more_takes_nothing_away(
        procedure in any_procedure(true),
        rig in any_rig(),
        mask in any::<u64>(),
        extra in any::<prop::sample::Index>(),
    ) {
        let instances = expand(&procedure, &rig);
        prop_assume!(!instances.is_empty());
        let mut done: HashSet<&str> = instances
            .iter()
            .enumerate()
            .filter(|(n, _)| mask >> (n % 64) & 1 == 1)
            .map(|(_, i)| i.key.as_str())
            .collect();
        let before = available(&instances, &done);
        let more = extra.index(instances.len());
        done.insert(instances[more].key.as_str());
        let after = available(&instances, &done);
        for index in before {
            prop_assert!(index == more || after.contains(&index));
        }
    }

    #[test]
    fn no_bytes_make_the_parser_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = parse_bytes(&bytes);
    }

    #[test]
    fn a_damaged_file_is_read_or_refused_with_lines_that_exist(
        at in any::<prop::sample::Index>(),
        cut in 0_usize..60,
        junk in "[\\[\\]{}=\"'\\n a-z0-9.#\u{e9}]{0,8}",
    ) {
        let source = BUILT_IN_FILES[1].1;
        let mut start = at.index(source.len());
        while !source.is_char_boundary(start) { start -= 1; }
        let mut end = (start + cut).min(source.len());
        while !source.is_char_boundary(end) { end += 1; }
        let damaged = format!("{}{junk}{}", &source[..start], &source[end..]);
        let lines = u32::try_from(damaged.matches('\n').count()).unwrap() + 1;
        if let Err(faults) = parse(&damaged) {
            prop_assert!(!faults.is_empty());
            prop_assert!(faults.iter().all(|f| f.line >= 1 && f.line <= lines && !f.why.to_string().is_empty()));
            prop_assert!(faults.windows(2).all(|pair| pair[0].line <= pair[1].line));
        }
    }
}

/// Whether a target's ids name one thing only, in a rig whose ids may repeat.
fn one_of_its_name(rig: &RigOutline, target: &Target) -> bool {
    let ids = |id: &str| rig.enclosures.iter().filter(|e| e.id == id).count() == 1;
    match target {
        Target::Rig => true,
        Target::Enclosure { enclosure } | Target::Seal { enclosure, .. } => ids(enclosure),
        Target::Closure { enclosure, closure } => {
            ids(enclosure)
                && rig
                    .enclosures
                    .iter()
                    .flat_map(|e| {
                        let own = e.id == *enclosure;
                        e.closures.iter().filter(move |c| own && c.id == *closure)
                    })
                    .count()
                    == 1
        }
    }
}

// ---- Description ---------------------------------------------------------------------------

#[test]
fn the_description_names_every_word_and_its_example_parses() {
    const FORMAT_PAGE: &str = include_str!("../../../procedures/FORMAT.md");
    let words = ProcedureKind::ALL.iter().map(|w| w.word());
    let words = words
        .chain(StepKind::ALL.iter().map(|w| w.word()))
        .chain(Each::ALL.iter().map(|w| w.word()))
        .chain(Only::ALL.iter().map(|w| w.word()))
        .chain(Quantity::ALL.iter().map(|w| w.word()))
        .chain(parse::STEP_KEYS.iter().copied())
        .chain(parse::MEASURE_KEYS.iter().copied());
    for word in words {
        assert!(FORMAT_PAGE.contains(&format!("`{word}`")), "{word}");
    }
    for unit in Quantity::ALL.iter().flat_map(|quantity| quantity.units()) {
        assert!(FORMAT_PAGE.contains(unit), "{unit}");
    }
    let example = FORMAT_PAGE.split("```toml").nth(1).unwrap();
    let example = example.split("```").next().unwrap();
    let procedure = parse(example).unwrap();
    let instances = expand(&procedure, &full_rig());
    assert_eq!(after(&instances, "hold@monitor"), ["close@lid"]);
}
