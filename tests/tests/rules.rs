//! The rules, met as a crew meets them: what voids what, what counts, what blocks. Each case was
//! once told otherwise in two places, or let a rig be called ready that was not.

use slackwater_checks::drive::Day;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::procedure::{StepInstance, StepKind, Target};
use slackwater_core::domain::readiness::{Obstacle, Readiness, Unsigned};
use slackwater_core::domain::state::StepState;

fn day() -> (tempfile::TempDir, Day) {
    let dir = tempfile::Builder::new()
        .prefix("slackwater-rules")
        .tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap();
    let day = Day::dry_parts(dir.path()).unwrap();
    (dir, day)
}

fn says(day: &Day) -> Readiness {
    day.book.readiness(&day.rig).unwrap()
}

fn step(book: &Book, prep: &str, of: impl Fn(&StepInstance) -> bool) -> StepInstance {
    let facts = book.prep(prep).unwrap();
    facts.steps.iter().find(|s| of(s)).unwrap().clone()
}

/// A crew's own build: two members look at the back together, then it is closed, held and plugged.
const OWN_BUILD: &str = r#"
format = 1
id = "own-build"
title = "Our build"
kind = "build"

[[step]]
id = "open"
section = "Build"
title = "Open {target} of {enclosure}"
text = "Facing down."
kind = "open"
each = "closure"

[[step]]
id = "seals"
section = "Build"
title = "Service {target} of {enclosure}"
text = "All round."
kind = "seal"
each = "seal"
only = ["in_closure"]
after = ["open"]
points = ["Looked at", "Put back"]

[[step]]
id = "close"
section = "Build"
title = "Close {target} of {enclosure}"
text = "Evenly."
kind = "close"
each = "closure"
after = ["seals"]

[[step]]
id = "look"
section = "Build"
title = "Look at {target} together"
text = "Same gap all round."
kind = "check"
each = "enclosure"
two_person = true
after = ["close"]

[[step]]
id = "hold"
section = "Build"
title = "Hold {target}"
text = "Let it settle."
kind = "hold"
each = "enclosure"
after = ["look"]

[[step]]
id = "plug"
section = "Build"
title = "Plug {target}"
text = "Tight by hand."
kind = "plug"
each = "enclosure"
after = ["hold"]
"#;

#[test]
fn a_check_by_two_that_an_opening_voids_is_open_again_in_the_prep() {
    // Seen: readiness asked for the check again while the prep called it done and would not let it
    // be done: two tables of what an opening voids.
    let (_dir, mut day) = day();
    day.book.add_procedure(OWN_BUILD.as_bytes()).unwrap();
    let prep = day.book.start_prep(&day.rig, "own-build").unwrap();
    day.work(&prep, None).unwrap();
    let look = step(&day.book, &prep, |s| s.key.starts_with("look@main"));
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&look.key),
        StepState::Done
    );

    day.minutes(5);
    let rig = day.rig.clone();
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    let void = |o: &Obstacle| matches!(o, Obstacle::Unsigned { step, why: Unsigned::NotDone, .. } if *step == look.key);
    assert!(says(&day).obstacles.iter().any(void));
    let facts = day.book.prep(&prep).unwrap();
    assert_eq!(facts.state(&look.key), StepState::Open);
    assert_eq!(day.book.rig(&rig).unwrap().prep.as_ref(), Some(&facts));
    // The other housing's check stands, and so does the closing that nobody touched.
    let other = step(&day.book, &prep, |s| s.key.starts_with("look@monitor"));
    assert_eq!(facts.state(&other.key), StepState::Done);

    // Worked through, it stands again.
    day.work(&prep, None).unwrap();
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&look.key),
        StepState::Done
    );
    assert!(
        !says(&day)
            .obstacles
            .iter()
            .any(|o| matches!(o, Obstacle::Unsigned { .. }))
    );
}

#[test]
fn an_opening_that_another_phone_recorded_opens_the_same_steps_again() {
    // Seen: the steps that an opening undoes were written down by the phone that opened, so a phone
    // that had not heard of the prep undid nothing in it.
    let (_dir, mut day) = day();
    let rig = day.rig.clone();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Hold)).unwrap();
    let shut = step(&day.book, &prep, |s| {
        s.step.kind == StepKind::Close
            && matches!(&s.target, Target::Closure { closure, .. } if closure == "port")
    });
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&shut.key),
        StepState::Done
    );
    let opened = slackwater_core::domain::facts::Fact::Opened {
        closure: Some("port".into()),
    };
    day.book
        .record(vec![(format!("{rig}/enclosure/main"), opened)])
        .unwrap();
    assert_eq!(
        day.book.prep(&prep).unwrap().state(&shut.key),
        StepState::Open
    );
}
