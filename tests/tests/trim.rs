//! The trim as a crew walks it: the water, the list, what the water taught, and what can't be.

use std::path::Path;
use std::sync::Arc;

use slackwater_checks::drive::{Day, MORNING_MS, env};
use slackwater_checks::shell::{filled, forms, main_target, reads_badly, submit, targets};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::demo;
use slackwater_core::domain::rig::{BoxWeight, RigDef};
use slackwater_core::journal::FixedClock;
use slackwater_core::screens::common::{Mark, Outcome, Place, Severity};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::rig::RigScreen;
use slackwater_core::screens::trim::{TrimAction, TrimScreen, TrimShapeKind};
use slackwater_core::screens::{Action, Screen};

fn at(rig: &str, form: Option<&str>) -> Place {
    Place::Trim {
        rig: rig.to_owned(),
        form: form.map(str::to_owned),
    }
}

fn trim(desk: &Desk, rig: &str, form: Option<&str>) -> TrimScreen {
    let screen = desk.show(&at(rig, form)).unwrap();
    assert_eq!(reads_badly(&screen), Vec::<String>::new());
    match screen {
        Screen::Trim { screen } => screen,
        other => panic!("{other:?}"),
    }
}

fn rig_screen(desk: &Desk, rig: &str) -> RigScreen {
    let place = Place::Rig {
        rig: rig.to_owned(),
        form: None,
    };
    match desk.show(&place).unwrap() {
        Screen::Rig { screen } => screen,
        other => panic!("{other:?}"),
    }
}

fn send(desk: &mut Desk, place: &Place, typed: &[(&str, &str)]) -> Outcome {
    let form = forms(&desk.show(place).unwrap()).remove(0);
    for (key, _) in typed {
        assert!(form.fields.iter().any(|f| f.key == *key), "no field {key}");
    }
    let action = submit(place, &form.key, filled(&form, typed)).unwrap();
    desk.act(place, action).unwrap()
}

fn tap(desk: &mut Desk, rig: &str, action: impl Into<Action>) -> Outcome {
    desk.act(&at(rig, None), action).unwrap()
}

fn fault_at<'a>(outcome: &'a Outcome, field: &str) -> &'a str {
    match outcome.faults.iter().find(|f| f.field == field) {
        Some(f) => &f.text,
        None => panic!("no fault at {field}: {outcome:?}"),
    }
}

fn demo_desk(folder: &Path) -> (Desk, String) {
    let clock = Arc::new(FixedClock::at(MORNING_MS));
    let env = env(&clock, 3);
    demo::fill_if_empty(folder, &env).unwrap();
    let book = Book::open(folder, env).unwrap();
    let reef = book.rigs().unwrap();
    let reef = reef
        .iter()
        .find(|r| r.name == "Reef rig")
        .unwrap()
        .id
        .clone();
    (Desk::new(book, 0), reef)
}

/// A rig of the template with a box of lead.
fn boxed(folder: &Path) -> (Desk, String) {
    let mut day = Day::dry_parts(folder).unwrap();
    let mut def = day.book.rig(&day.rig).unwrap().def.clone();
    def.weight_box = [(50.0, 6), (100.0, 6), (250.0, 4)]
        .map(|(mass_g, count)| BoxWeight {
            mass_g,
            count,
            volume_cm3: None,
        })
        .to_vec();
    day.book.edit_rig(&day.rig, def).unwrap();
    (Desk::new(day.book, 0), day.rig)
}

#[test]
fn from_the_pool_to_the_sea_by_the_list() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, reef) = demo_desk(dir.path());
    let remark = |desk: &Desk| {
        rig_screen(desk, &reef).notices.iter().any(|n| {
            n.text.starts_with("Trimmed for thinner water") && n.severity == Severity::Notice
        })
    };
    assert!(remark(&desk));
    let first = trim(&desk, &reef, None);
    assert!(first.answer.ends_with("to change"), "{}", first.answer);
    let open: Vec<Action> = first
        .list
        .iter()
        .filter(|r| r.mark == Some(Mark::Hollow))
        .map(|r| r.tap.clone().unwrap().action)
        .collect();
    assert!(open.len() > 1);
    for action in open {
        let outcome = tap(&mut desk, &reef, action);
        assert!(outcome.undo.is_some() && outcome.faults.is_empty());
    }
    let hung = trim(&desk, &reef, None);
    assert_eq!(hung.answer, "All hangs as listed");
    // What hung already and stays was ticked all along.
    assert!(hung.list.iter().all(|r| r.mark == Some(Mark::Full)));
    assert!(remark(&desk));
    let kept = tap(&mut desk, &reef, hung.main.unwrap().action);
    assert_eq!(trim(&desk, &reef, None).answer, "Trimmed");
    assert!(!remark(&desk));
    desk.undo(&kept.undo.unwrap().token).unwrap();
    assert!(remark(&desk));
}

#[test]
fn what_still_hangs_well_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, rig) = boxed(dir.path());
    let water = |desk: &mut Desk, temperature: &str| {
        let typed = [
            ("water", "sea"),
            ("temperature", temperature),
            ("depth", "5"),
        ];
        send(desk, &at(&rig, Some("water")), &typed)
    };
    water(&mut desk, "18");
    tap(&mut desk, &rig, TrimAction::HangAll);
    tap(&mut desk, &rig, TrimAction::Confirm);
    // 0.7 kg/m³ less: some 13 gf, which another placement would take up.
    water(&mut desk, "20.5");
    let screen = trim(&desk, &rig, None);
    assert_eq!(
        (screen.answer.as_str(), screen.mark),
        ("Trimmed", Mark::Full)
    );
    water(&mut desk, "30");
    let screen = trim(&desk, &rig, None);
    assert!(screen.answer != "Trimmed", "{}", screen.answer);
}

#[test]
fn the_drawings_are_all_there_in_words_too() {
    let dir = tempfile::tempdir().unwrap();
    let (desk, reef) = demo_desk(dir.path());
    let screen = trim(&desk, &reef, None);
    let def = desk.book().rig(&reef).unwrap().def.clone();
    assert_eq!(screen.drawings.len(), 2);
    for drawing in &screen.drawings {
        for name in def.mounting_points.iter().map(|p| &p.name) {
            assert!(
                drawing.spoken.contains(name.as_str()),
                "{name}: {}",
                drawing.spoken
            );
        }
        for (part, on) in def.parts.iter().zip(def.parts_now()) {
            assert_eq!(
                drawing.spoken.contains(&format!("{}:", part.name)),
                on,
                "{}",
                part.name
            );
        }
        let of = |kind| drawing.shapes.iter().filter(|s| s.kind == kind).count();
        assert_eq!(
            of(TrimShapeKind::MassCentre) + of(TrimShapeKind::LiftCentre),
            2
        );
        assert_eq!(of(TrimShapeKind::Level), 1);
        // The housing, the dome, the monitor: the battery inside has no outline.
        assert_eq!(of(TrimShapeKind::Part), 3);
        let marks =
            of(TrimShapeKind::Hangs) + of(TrimShapeKind::ToChange) + of(TrimShapeKind::Free);
        assert_eq!(marks, def.mounting_points.len());
    }
    assert_eq!(screen.legend.len(), 6);
}

#[test]
fn what_if_says_the_difference_and_what_to_do_about_it() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, reef) = demo_desk(dir.path());
    send(
        &mut desk,
        &at(&reef, Some("water")),
        &[("water", "pool"), ("depth", "3")],
    );
    let tables = trim(&desk, &reef, Some("what-if")).what_ifs;
    let table = |start: &str| {
        tables
            .iter()
            .find(|t| t.title.starts_with(start))
            .unwrap_or_else(|| panic!("{start}: {tables:#?}"))
    };
    let sea = table("Open sea instead of Pool");
    // 18.1 L, 27.5 kg/m³ more.
    let [lift] = &sea.figures[..] else {
        panic!("{sea:?}")
    };
    assert_eq!(lift.label, "Lift");
    let grams = lift.value.strip_prefix('+').expect("with its sign");
    let grams: f64 = grams.split('\u{a0}').next().unwrap().parse().unwrap();
    assert!((450.0..560.0).contains(&grams), "{lift:?}");
    assert!(
        sea.todo.starts_with("Then: add ") && sea.todo.contains(" at "),
        "{}",
        sea.todo
    );
    assert!(
        !table("100 mm macro instead of 24 mm prime")
            .figures
            .is_empty()
    );
    let battery = table("Large battery instead of Battery");
    let of = |label: &str| {
        let found = battery.figures.iter().find(|f| f.label == label);
        let found = found.unwrap_or_else(|| panic!("{label}: {battery:?}"));
        found.value.replace('\u{a0}', " ")
    };
    assert!(of("Lift").starts_with("\u{2212}310"), "{battery:?}");
    // Two causes: the one that went and the one that came.
    assert!(of("without Battery").starts_with("+520"), "{battery:?}");
    assert!(of("Large battery").starts_with('\u{2212}'), "{battery:?}");
    send(
        &mut desk,
        &Place::Crew {
            form: Some("units".into()),
        },
        &[("unit_weight", "oz")],
    );
    let tables = trim(&desk, &reef, Some("what-if")).what_ifs;
    assert!(tables[0].figures[0].value.contains("\u{a0}oz"));
}

#[test]
fn what_was_seen_teaches_and_is_taken_back() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, rig) = boxed(dir.path());
    tap(&mut desk, &rig, TrimAction::HangAll);
    let before = trim(&desk, &rig, None);
    let place = at(&rig, Some("seen"));
    let nothing = send(&mut desk, &place, &[]);
    assert!(fault_at(&nothing, "net").contains("what was seen"));
    let amount_only = send(&mut desk, &place, &[("net_amount", "50")]);
    assert!(fault_at(&amount_only, "net").contains("which way"));
    let both = send(&mut desk, &place, &[("net", "level"), ("net_amount", "50")]);
    assert!(!fault_at(&both, "net_amount").is_empty());
    let seen = [("net", "up"), ("net_amount", "200"), ("pitch", "up")];
    // Nobody has said that its housings are closed: it is asked, and nothing recorded.
    let open = send(&mut desk, &place, &seen);
    assert!(fault_at(&open, "net").contains("open"), "{open:?}");
    assert!(trim(&desk, &rig, None).lessons.is_empty());
    for enclosure in ["main", "monitor"] {
        desk.book_mut().close_enclosure(&rig, enclosure).unwrap();
    }
    let learnt = send(&mut desk, &place, &seen);
    assert!(learnt.leave && learnt.undo.is_some(), "{learnt:?}");
    let after = trim(&desk, &rig, None);
    let lesson = &after.lessons[0];
    assert_eq!(lesson.title, "Floated up by 200\u{a0}g; Nose up");
    assert!(
        lesson.detail.contains("Main housing with camera") && lesson.detail.contains('→'),
        "{lesson:?}"
    );
    assert!(after.answer.ends_with("to change"), "{}", after.answer);
    let back = lesson.tap.clone().unwrap();
    assert!(back.confirm.is_some());
    tap(&mut desk, &rig, back.action);
    let again = trim(&desk, &rig, None);
    assert_eq!(again.figures, before.figures);
    assert!(again.lessons.is_empty());
}

#[test]
fn a_part_is_weighed_in_air_and_in_water() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, rig) = boxed(dir.path());
    let place = Place::RigEdit {
        rig: rig.clone(),
        part: Some("part-weigh/monitor".into()),
    };
    let typed = |air, water| {
        [
            ("in_air_g", air),
            ("in_water_g", water),
            ("water", "known"),
            ("water_kg_m3", "998.2"),
        ]
    };
    let swapped = send(&mut desk, &place, &typed("174", "2380"));
    assert!(fault_at(&swapped, "in_water_g").contains("must be less"));
    assert!(!fault_at(&send(&mut desk, &place, &typed("-5", "-10")), "in_air_g").is_empty());
    assert!(!fault_at(&send(&mut desk, &place, &typed("2380", "")), "in_water_g").is_empty());
    let heavy = send(
        &mut desk,
        &place,
        &[
            ("in_air_g", "2380"),
            ("in_water_g", "174"),
            ("water", "known"),
            ("water_kg_m3", "13600"),
        ],
    );
    assert!(!fault_at(&heavy, "water_kg_m3").is_empty());
    let good = send(&mut desk, &place, &typed("2380", "174"));
    assert!(good.leave, "{good:?}");
    let def = desk.book().rig(&rig).unwrap().def.clone();
    let part = def.part("monitor").unwrap();
    // (2380 − 174) g of water at 998.2 kg/m³, air taken out: 2212 cm³.
    assert!((part.volume_cm3 - 2_212.3).abs() < 0.5, "{part:?}");
    assert!(part.volume_sd_cm3.unwrap() < 10.0 && part.weighed.is_some());
    // Sent again untouched the form keeps the weighing; typed over it is the sheet's.
    let sheet = Place::RigEdit {
        rig: rig.clone(),
        part: Some("part/monitor".into()),
    };
    send(&mut desk, &sheet, &[]);
    let kept = desk.book().rig(&rig).unwrap().def.clone();
    assert_eq!(kept.part("monitor"), Some(part));
    send(&mut desk, &sheet, &[("volume_cm3", "2200")]);
    let typed_over = desk.book().rig(&rig).unwrap().def.clone();
    assert_eq!(typed_over.part("monitor").unwrap().weighed, None);
}

#[test]
fn what_can_not_be_is_said_where_it_stands() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, rig) = boxed(dir.path());
    let part = Place::RigEdit {
        rig: rig.clone(),
        part: Some("part/monitor".into()),
    };
    for (field, value) in [
        ("mass_g", "-1"),
        ("volume_cm3", "0"),
        ("volume_cm3", "-3"),
        ("mass_sd_g", "-1"),
        ("centre_sd_mm", "-1"),
        ("mass_x", "60000"),
    ] {
        let outcome = send(&mut desk, &part, &[(field, value)]);
        assert!(!fault_at(&outcome, field).is_empty(), "{field} {value}");
    }
    let point = Place::RigEdit {
        rig: rig.clone(),
        part: Some("mounting_point/front-left".into()),
    };
    for (field, value) in [("capacity", "0"), ("capacity", "61"), ("max_mass_g", "-1")] {
        let outcome = send(&mut desk, &point, &[(field, value)]);
        assert!(!fault_at(&outcome, field).is_empty(), "{field} {value}");
    }
    for (field, value) in [
        ("salinity", "50"),
        ("temperature", "60"),
        ("temperature", "-9"),
        ("depth", "-1"),
        ("depth", "5000"),
    ] {
        let outcome = send(
            &mut desk,
            &at(&rig, Some("water")),
            &[("water", "sea"), (field, value)],
        );
        assert!(!fault_at(&outcome, field).is_empty(), "{field} {value}");
    }
    let hang = |desk: &mut Desk, count: &str| {
        let typed = [("point", "front-left"), ("weight", "50"), ("count", count)];
        send(desk, &at(&rig, Some("hang")), &typed)
    };
    for count in ["4", "7", "1.5", "-1", "61"] {
        assert!(
            !fault_at(&hang(&mut desk, count), "count").is_empty(),
            "{count}"
        );
    }
    assert!(hang(&mut desk, "2").leave);

    // Without a box, without points, without parts: each says so, and leads to the editor.
    type Take = fn(&mut RigDef);
    let lacking: [(&str, Take); 3] = [
        ("The weight box is empty", |d| d.weight_box.clear()),
        ("There is no mounting point", |d| d.mounting_points.clear()),
        ("no part with mass and volume", |d| d.parts.clear()),
    ];
    let whole = desk.book().rig(&rig).unwrap().def.clone();
    for (says, take) in lacking {
        let mut def = whole.clone();
        take(&mut def);
        desk.book_mut().edit_rig(&rig, def).unwrap();
        let screen = trim(&desk, &rig, None);
        assert!(screen.answer.contains(says), "{}", screen.answer);
        let main = main_target(&Screen::Trim { screen }).unwrap();
        assert!(matches!(
            main.action,
            Action::Trim {
                action: TrimAction::Edit { .. }
            }
        ));
    }

    // Too little lead: how near it comes, and why no nearer.
    let mut def = whole;
    def.weight_box.retain(|w| w.mass_g == 50.0);
    def.weight_box[0].count = 2;
    desk.book_mut().edit_rig(&rig, def).unwrap();
    send(
        &mut desk,
        &at(&rig, Some("water")),
        &[("water", "sea"), ("depth", "5")],
    );
    let screen = trim(&desk, &rig, None);
    assert!(
        screen
            .notices
            .iter()
            .any(|n| n.text.contains("At best still floats")
                && n.text.contains("the box is used up")),
        "{:?}",
        screen.notices
    );
}

#[test]
fn every_tap_of_the_trim_answers() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, rig) = boxed(dir.path());
    let screen = Screen::Trim {
        screen: trim(&desk, &rig, None),
    };
    let all = targets(&screen);
    assert!(all.len() >= 10, "{}", all.len());
    for target in all {
        let outcome = desk.act(&at(&rig, None), target.action.clone()).unwrap();
        assert!(outcome.faults.is_empty(), "{target:?}: {outcome:?}");
        assert!(outcome != Outcome::default(), "{target:?}");
    }
}

/// Seen: 'Leans to its right 0°, give or take 100°'.
#[test]
fn an_angle_that_is_not_known_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (mut desk, rig) = boxed(folder.path());
    let typed = [("water", "sea"), ("temperature", "20"), ("depth", "5")];
    send(&mut desk, &at(&rig, Some("water")), &typed);
    let (mut told, mut unknown) = (0, 0);
    for centre_sd_mm in [0.5, 3.0, 6.0, 10.0, 30.0, 300.0] {
        let mut def: RigDef = desk.book().rig(&rig).unwrap().def.clone();
        def.parts.truncate(1);
        def.parts[0].mass_at_mm = [0.0, 0.0, -20.0];
        def.parts[0].volume_at_mm = [0.0, 0.0, 0.0];
        def.parts[0].centre_sd_mm = Some(centre_sd_mm);
        desk.book_mut().edit_rig(&rig, def).unwrap();
        let screen = trim(&desk, &rig, None);
        for f in &screen.figures {
            if f.unit == "°" {
                told += 1;
                let give = f.uncertainty.clone().unwrap_or_default();
                let sd: f64 = give
                    .chars()
                    .filter(|c| c.is_ascii_digit() || *c == '.')
                    .collect::<String>()
                    .parse()
                    .unwrap();
                assert!(sd <= 45.0, "{} {give}", f.label);
            }
            if f.value == "not known" {
                unknown += 1;
                assert!(
                    !f.label.ends_with("left") && !f.label.ends_with("right"),
                    "no side is named: {}",
                    f.label
                );
            }
        }
    }
    assert!(told > 0 && unknown > 0, "{told} told, {unknown} not known");
}

#[test]
fn weights_go_on_and_off_at_the_point_that_was_tapped() {
    let dir = tempfile::tempdir().unwrap();
    let (mut desk, rig) = demo_desk(dir.path());
    let start = trim(&desk, &rig, None);
    // A point leads to its own page, and what lies on another in a drawing to the page of both; each has its row.
    let def = desk.book().rig(&rig).unwrap().def.clone();
    assert_eq!(start.points.len(), def.mounting_points.len());
    let shapes = start.drawings.iter().flat_map(|d| &d.shapes);
    let taps: Vec<_> = shapes.filter_map(|s| s.tap.clone()).collect();
    assert!(!taps.is_empty());
    let row_taps: Vec<_> = start.points.iter().filter_map(|p| p.tap.clone()).collect();
    assert_eq!(row_taps.len(), start.points.len());
    for tap in &taps {
        let out = desk.act(&at(&rig, None), tap.action.clone()).unwrap();
        let Screen::Trim { screen } = desk.show(&out.go.unwrap()).unwrap() else {
            panic!("a trim");
        };
        let shown: Vec<&str> = screen.at_points.iter().map(|p| p.title.as_str()).collect();
        assert_eq!(shown.join(", "), tap.label);
    }
    let mut went = row_taps.iter().map(|tap| {
        let out = desk.act(&at(&rig, None), tap.action.clone()).unwrap();
        out.go.unwrap()
    });
    let first = went.next().unwrap();
    let second = went.next().unwrap();
    assert!(went.all(|p| p != first && p != second));

    let page = |desk: &Desk, place: &Place| match desk.show(place).unwrap() {
        Screen::Trim { screen } => screen,
        other => panic!("{other:?}"),
    };
    let row = |desk: &Desk, place: &Place| page(desk, place).at_points[0].weights[0].clone();
    let numbers = |text: &str| -> Vec<u32> {
        text.split(|c: char| !c.is_ascii_digit())
            .filter_map(|n| n.parse().ok())
            .collect()
    };
    // Everything off, then one more until the box is empty or the point is full.
    let less = |desk: &Desk, place: &Place| {
        let rows = page(desk, place).at_points.remove(0).weights;
        rows.into_iter().find_map(|r| r.other.filter(|b| b.enabled))
    };
    for place in [&first, &second] {
        while let Some(less) = less(&desk, place) {
            desk.act(place, less.action).unwrap();
        }
    }
    let before = page(&desk, &first);
    let all = numbers(&row(&desk, &first).detail)[1];
    let most = all.min(def.mounting_points[0].capacity);
    for n in 1..=most {
        let more = row(&desk, &first).tap.unwrap();
        assert!(more.enabled);
        let out = desk.act(&first, more.action).unwrap();
        assert_eq!(out.faults, [], "{n} of {all}");
        assert_eq!(numbers(&row(&desk, &first).detail), [n, all - n]);
        assert_eq!(numbers(&row(&desk, &second).detail), [0, all - n]);
    }
    assert_ne!(page(&desk, &first).now, before.now, "it hangs otherwise");
    let more = row(&desk, &first).tap.unwrap();
    assert!(!more.enabled && more.why_not.is_some());
    assert_eq!(row(&desk, &second).tap.unwrap().enabled, most < all);
    // What hangs there is told in the row of the point, and one less takes it off again.
    let told = &trim(&desk, &rig, None).points[0];
    assert_ne!(told.detail, "Nothing hangs here");
    for n in (0..most).rev() {
        let less = row(&desk, &first).other.unwrap();
        desk.act(&first, less.action).unwrap();
        assert_eq!(numbers(&row(&desk, &first).detail), [n, all - n]);
    }
    let less = row(&desk, &first).other.unwrap();
    assert!(!less.enabled && less.why_not.is_some());
    let nowhere = at(&rig, Some("point/nowhere"));
    assert!(desk.show(&nowhere).is_err());
}
