//! The drawing of a closure's screws: who follows what is shown tightens them crossing.

use slackwater_checks::drive::Day;
use slackwater_core::domain::rig::{FastenerPattern, PatternShape, RigDef};
use slackwater_core::physics::fasteners::is_crossing;
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::prep::FastenerDrawing;

/// The places in the order of the numbers drawn, each known by nothing but where it lies: counted
/// clockwise round the middle.
fn followed(drawing: &FastenerDrawing) -> Vec<u32> {
    let mut round: Vec<(f64, u32)> = drawing
        .dots
        .iter()
        .map(|d| {
            let (x, y) = (f64::from(d.x) - 0.5, f64::from(d.y) - 0.5);
            (x.atan2(-y).rem_euclid(std::f64::consts::TAU), d.turn)
        })
        .collect();
    round.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut turns: Vec<(u32, u32)> = round
        .iter()
        .zip(1..)
        .map(|(r, place)| (r.1, place))
        .collect();
    turns.sort_unstable();
    turns.into_iter().map(|(_, place)| place).collect()
}

fn numbers(text: &str) -> Vec<u32> {
    text.split(|c: char| !c.is_ascii_digit())
        .filter_map(|n| n.parse().ok())
        .collect()
}

/// Seen: the drawing numbered the turns, the words beneath it the places ('1, 7, 4, 10, …'). Who read
/// the words and looked for their numbers on the drawing tightened 1, 7, 4, 10 of the turns, which
/// doesn't cross.
#[test]
fn following_the_words_on_the_drawing_crosses() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let prep = day.book.start_prep(&day.rig, "general-build").unwrap();
    let rig = day.rig.clone();
    let place = Place::Prep {
        prep,
        step: Some("other-screws@frame".into()),
        form: None,
    };
    let mut desk = Desk::new(day.book, 0);
    for shape in [PatternShape::Circle, PatternShape::Frame] {
        for count in 2..=24 {
            let mut def: RigDef = desk.book().rig(&rig).unwrap().def.clone();
            def.enclosures[1].closures[0].fasteners = Some(FastenerPattern {
                count,
                shape,
                torque_nm: None,
            });
            desk.book_mut().edit_rig(&rig, def).unwrap();
            let Screen::Prep { screen } = desk.show(&place).unwrap() else {
                panic!("no prep");
            };
            let drawing = screen.drawing.expect("a drawing");
            let order = followed(&drawing);
            assert_eq!(order.len(), count as usize);
            assert_eq!(
                is_crossing(&order),
                Ok(true),
                "{shape:?} {count}: {order:?}"
            );
            // The words name no screw but the first and the last turn: there is one numbering.
            assert_eq!(numbers(&drawing.spoken), [1, count], "{}", drawing.spoken);
        }
    }
}
