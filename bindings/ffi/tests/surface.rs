//! What the surface promises of itself, tried from Rust. The languages try it again from their side
//! (`bindings/SMOKE.md`).

#![allow(
    clippy::unwrap_used,
    reason = "a failed assumption in a test is a failed test"
)]

use slackwater::{OpenOptions, Screens, Slackwater, SlackwaterError};
use slackwater_core::screens::Action;
use slackwater_core::screens::common::FieldValue;
use slackwater_core::screens::rig::RigAction;
use slackwater_core::screens::rigs::RigsAction;
use std::sync::Arc;

fn open(folder: &std::path::Path) -> Arc<Slackwater> {
    Slackwater::open(OpenOptions {
        folder: folder.display().to_string(),
        utc_offset_minutes: 0,
        demo: false,
        fixed_time_ms: Some(1_780_293_600_000),
        device_seed: None,
        language: None,
        device_seed_lost: None,
        phone_language: None,
    })
    .unwrap()
}

const RIGS: &str = r#"[{"Rigs":{"form":null}}]"#;

#[test]
fn threads_change_one_after_the_other_and_lose_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    std::thread::scope(|scope| {
        for thread in 0..4 {
            let screens = slackwater.screens();
            scope.spawn(move || {
                for n in 0..5 {
                    let name = format!("Rig {thread} {n}");
                    // The page is everybody's: what is sent from one that is gone does nothing.
                    loop {
                        // Restored from nothing, a record without a rig opens on its first start.
                        screens.restore(RIGS.into()).unwrap();
                        let at = screens.page().unwrap().at;
                        let reply = screens.submit(at, "new".into(), new_rig(&name)).unwrap();
                        if reply.faults.is_empty() {
                            break;
                        }
                    }
                }
            });
        }
    });
    slackwater.screens().restore(RIGS.into()).unwrap();
    let all = format!("{:?}", slackwater.screens().page().unwrap());
    for thread in 0..4 {
        for n in 0..5 {
            assert!(
                all.contains(&format!("\"Rig {thread} {n}\"")),
                "{thread} {n}"
            );
        }
    }
}

fn new_rig(name: &str) -> Vec<FieldValue> {
    [("name", name), ("template", "housing-and-monitor")]
        .map(|(key, value)| FieldValue {
            key: key.into(),
            value: value.into(),
        })
        .to_vec()
}

fn text(action: impl Into<Action>) -> String {
    serde_json::to_string(&action.into()).unwrap()
}

/// What comes back as an action is looked at as if it came from anybody.
#[test]
fn an_action_of_another_page_does_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let screens = slackwater.screens();
    let before = screens.page().unwrap();
    let of_a_rig = RigAction::CloseEnclosure {
        enclosure: "main".into(),
    };
    let reply = screens.act(before.at.clone(), text(of_a_rig)).unwrap();
    assert_eq!(reply.faults.len(), 1, "{reply:?}");
    assert!(reply.bar_stays);
    // Nor does one that was tapped on a page which is gone.
    let elsewhere = screens
        .act("tide".into(), text(RigsAction::NewRig))
        .unwrap();
    assert_eq!(elsewhere.faults.len(), 1, "{elsewhere:?}");
    assert_eq!(screens.page().unwrap(), before);
}

#[test]
fn every_object_says_closed_after_close_and_a_new_store_opens() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let (screens, photos): (Arc<Screens>, _) = (slackwater.screens(), slackwater.photos());
    slackwater.close();
    slackwater.close();
    let is_closed = |e: SlackwaterError| matches!(e, SlackwaterError::Closed { .. });
    assert!(screens.page().is_err_and(is_closed));
    assert!(screens.back().is_err_and(is_closed));
    assert!(
        screens
            .submit("x".into(), "new".into(), vec![])
            .is_err_and(is_closed)
    );
    assert!(screens.undo("x".into()).is_err_and(is_closed));
    assert!(
        photos
            .add("x".into(), String::new(), vec![])
            .is_err_and(is_closed)
    );
    assert!(photos.thumbnail("x".into()).is_err_and(is_closed));
    assert!(slackwater.words().is_err_and(is_closed));
    assert!(slackwater.set_utc_offset(0).is_err_and(is_closed));
    assert!(slackwater.advance_clock(1).is_err_and(is_closed));
    open(dir.path()).screens().page().unwrap();
}

#[test]
fn a_panic_is_an_error_and_the_store_goes_on() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let why = slackwater::fail_on_purpose().unwrap_err();
    assert!(matches!(why, SlackwaterError::Internal { ref reason } if reason == "on purpose"));
    slackwater.screens().page().unwrap();
}
