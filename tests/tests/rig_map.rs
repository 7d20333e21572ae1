//! The map of a rig: what it shows of where things are, for any rig.

use slackwater_checks::drive::Day;
use slackwater_core::domain::rig::templates;
use slackwater_core::screens::common::{Mark, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::page::Block;
use slackwater_core::screens::rig_map::{MapPart, MapShape, RigMap};

fn map(desk: &Desk, rig: &str) -> RigMap {
    let place = Place::Rig {
        rig: rig.to_owned(),
        form: None,
    };
    let page = desk.page(&place).expect("a page");
    let mut maps = page.blocks.into_iter().filter_map(|b| match b {
        Block::Map { map } => Some(map),
        _ => None,
    });
    maps.next_back().expect("a map")
}

fn of(map: &RigMap, shape: MapShape) -> Vec<&MapPart> {
    map.parts.iter().filter(|p| p.shape == shape).collect()
}

#[test]
fn what_is_proved_is_solid_and_what_is_open_lies_off_its_seat() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(folder.path()).expect("a day");
    let rig = day.rig.clone();
    day.ready().expect("ready");
    let mut desk = Desk::new(day.book, 0);
    let ready = map(&desk, &rig);
    let bodies = of(&ready, MapShape::Body);
    assert_eq!(bodies.len(), 2);
    assert!(bodies.iter().all(|b| b.solid && b.name.is_some()));
    assert!(ready.parts.iter().all(|p| !p.off), "{ready:#?}");
    assert_eq!(of(&ready, MapShape::Seal).len(), 5, "every ring is drawn");
    let plugs = of(&ready, MapShape::Plug);
    assert_eq!(plugs.len(), 2);

    let book = desk.book_mut();
    book.open_closure(&rig, "main", Some("back")).expect("open");
    let open = map(&desk, &rig);
    let solid = |m: &RigMap| of(m, MapShape::Body).iter().filter(|b| b.solid).count();
    assert_eq!(solid(&open), 1, "the other counts still");
    let off: Vec<&MapPart> = open.parts.iter().filter(|p| p.off).collect();
    let shapes: Vec<MapShape> = off.iter().map(|p| p.shape).collect();
    assert!(shapes.contains(&MapShape::Cover) && shapes.contains(&MapShape::Seal));
    assert!(
        !shapes.contains(&MapShape::Port),
        "it was the back: {shapes:?}"
    );
    // Few things: each has its letter, and its words beneath.
    assert_eq!(
        open.legend.len(),
        off.iter().filter(|p| !p.letter.is_empty()).count()
    );
    assert!(open.legend.iter().all(|l| l.mark == Some(Mark::Hollow)));
    for line in &open.legend {
        assert!(
            open.spoken
                .contains(line.text.trim_start_matches(char::is_uppercase).trim())
        );
    }
}

#[test]
fn a_plug_that_is_out_hangs_above_its_valve_and_goes_in_by_a_tap() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(folder.path()).expect("a day");
    let rig = day.rig.clone();
    day.ready().expect("ready");
    day.book.plug_off(&rig, "monitor").expect("out");
    let mut desk = Desk::new(day.book, 0);
    let out = map(&desk, &rig);
    let plug = of(&out, MapShape::Plug)
        .into_iter()
        .find(|p| p.off)
        .expect("it is out")
        .clone();
    let tap = plug.tap.expect("it can be put in");
    let place = Place::Rig {
        rig: rig.clone(),
        form: None,
    };
    desk.act(&place, tap.action).expect("in");
    assert!(of(&map(&desk, &rig), MapShape::Plug).iter().all(|p| !p.off));
}

/// Any rig that can be defined is drawn within its drawing: without a lens, with more rings than seals, with
/// pods, with a housing that opens nowhere.
#[test]
fn whatever_a_rig_is_it_is_drawn_within_its_drawing() {
    let folder = tempfile::tempdir().expect("a folder");
    let day = Day::dry_parts(folder.path()).expect("a day");
    let mut desk = Desk::new(day.book, 0);
    for (n, template) in templates().iter().enumerate() {
        for kind in 0..6 {
            let mut def = template.rig.clone();
            def.name = format!("Rig {n} {kind}");
            def.parts.clear();
            match kind {
                1 => {
                    def.lenses.clear();
                    def.lens = None;
                }
                2 => def
                    .lenses
                    .iter_mut()
                    .for_each(|l| l.rings = vec!["40 mm".into(); 6]),
                3 => {
                    for pod in 0..5 {
                        let mut e = def.enclosures[0].clone();
                        e.id = format!("pod-{pod}");
                        e.name = format!("Battery pod with a long name {pod}");
                        e.closures.truncate(1);
                        e.penetrators.clear();
                        def.enclosures.push(e);
                    }
                }
                4 => {
                    for seal in &mut def.seals {
                        seal.closure = None;
                    }
                }
                5 => {
                    let gone = def.enclosures[0].id.clone();
                    def.lenses.retain(|l| l.enclosure != gone);
                    def.lens = def.lenses.first().map(|l| l.id.clone());
                    def.seals.retain(|s| s.enclosure != gone);
                    def.enclosures[0].closures.clear();
                }
                _ => {}
            }
            let rig = desk.book_mut().create_rig(def, "").expect("a rig");
            let map = map(&desk, &rig);
            for p in &map.parts {
                let inside = p.x >= -0.001
                    && p.y >= 0.0
                    && p.x + p.width <= 1.001
                    && p.y + p.height <= map.height
                    && p.width > 0.0
                    && p.height > 0.0;
                assert!(inside, "template {n}, {kind}: {p:#?} of {}", map.height);
            }
            let bodies = of(&map, MapShape::Body);
            assert!(bodies.iter().all(|b| b.width >= 0.05), "{bodies:#?}");
        }
    }
}
