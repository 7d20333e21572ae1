//! Every entry of 'not ready' is worked off from where it stands: no dead ends.

use slackwater_checks::drive::Day;
use slackwater_checks::shell::{Shell, Target, filled, forms, submit, targets};
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::domain::rig::{RigDef, Seal, SealLimits};
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;

fn rig_place(rig: &str) -> Place {
    Place::Rig {
        rig: rig.to_owned(),
        form: None,
    }
}

fn shell_of(day: Day) -> Shell {
    let rig = day.rig.clone();
    let mut shell = Shell::new(Desk::new(day.book, 0));
    shell.stack.push(rig_place(&rig));
    shell
}

fn target(shell: &Shell, label: &str) -> Target {
    let all = targets(&shell.screen().unwrap());
    let labels: Vec<&String> = all.iter().map(|t| &t.label).collect();
    all.iter()
        .find(|t| t.label == label)
        .cloned()
        .unwrap_or_else(|| panic!("no '{label}' in {labels:?}"))
}

/// Sends the form of the screen shown, some values typed over.
fn send(shell: &mut Shell, typed: &[(&str, &str)]) {
    let form = forms(&shell.screen().unwrap()).pop().expect("a form");
    let action = submit(&shell.place(), &form.key, filled(&form, typed)).unwrap();
    let outcome = shell.act(action).unwrap();
    assert_eq!(outcome.faults, [], "{}", form.key);
}

fn gland() -> Seal {
    Seal {
        id: "gland".into(),
        name: "Cable gland o-ring".into(),
        enclosure: "main".into(),
        closure: None,
        size: String::new(),
        material: "NBR".into(),
        hardness_shore_a: 70,
        limits: SealLimits::default(),
        grease: None,
        gland: None,
    }
}

fn to_service(shell: &Shell, rig: &str) -> Vec<String> {
    let r = shell.desk.book().readiness(rig).unwrap();
    r.obstacles
        .iter()
        .filter_map(|o| match o {
            Obstacle::SealToService { seal, .. } => Some(seal.clone()),
            _ => None,
        })
        .collect()
}

/// Seen: one tap on 'Open Main housing' disturbed every seal of it, the port's and the gland's too.
#[test]
fn opening_from_the_rigs_page_names_one_closure_and_disturbs_its_seals_alone() {
    for (closure, disturbed) in [
        ("back", vec!["main-back"]),
        ("port", vec!["main-port", "main-ring"]),
        (
            "?",
            vec![
                "main-back",
                "main-port",
                "main-ring",
                "main-port-base",
                "gland",
            ],
        ),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let mut day = Day::dry_parts(dir.path()).unwrap();
        let mut def: RigDef = day.book.rig(&day.rig).unwrap().def.clone();
        def.seals.push(gland());
        day.book.edit_rig(&day.rig, def).unwrap();
        day.book
            .service_seal(
                &day.rig,
                "gland",
                slackwater_core::domain::facts::Finding::Clean,
                "",
            )
            .unwrap();
        day.ready().unwrap();
        let rig = day.rig.clone();
        let mut shell = shell_of(day);
        let open = target(&shell, "Open Main housing");
        shell.act(open.action).unwrap();
        assert_eq!(
            to_service(&shell, &rig),
            Vec::<String>::new(),
            "asked first"
        );
        // Nothing is preset: a thumb that only sends has not said which.
        let form = forms(&shell.screen().unwrap()).pop().unwrap();
        let blank = submit(&shell.place(), &form.key, filled(&form, &[])).unwrap();
        assert_eq!(shell.act(blank).unwrap().faults.len(), 1);
        send(&mut shell, &[("closure", closure)]);
        assert_eq!(shell.place(), rig_place(&rig));
        assert_eq!(to_service(&shell, &rig), disturbed, "{closure}");
    }
}

#[test]
fn an_enclosure_with_one_closure_is_opened_at_it_after_one_question() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let mut shell = shell_of(day);
    let open = target(&shell, "Open Monitor housing");
    assert!(open.confirm.is_some());
    shell.act(open.action).unwrap();
    assert_eq!(to_service(&shell, &rig), ["monitor-frame"]);
}
