//! The journal by day: what was done to this, and by whom?

use slackwater_checks::drive::{Day, png};
use slackwater_core::domain::facts::Finding;
use slackwater_core::screens::Action;
use slackwater_core::screens::common::{FieldValue, Place, Row};
use slackwater_core::screens::days::DaysFilter;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::navigation::Stack;
use slackwater_core::screens::page::{Block, Page};

fn place(rig: &str, filter: DaysFilter, form: Option<&str>) -> Place {
    Place::Days {
        rig: Some(rig.to_owned()),
        before: None,
        filter,
        form: form.map(str::to_owned),
    }
}

fn days(page: &Page) -> Vec<(String, Vec<Row>)> {
    (page.blocks.iter())
        .filter_map(|b| match b {
            Block::Rows { title, rows, .. } => Some((title.clone(), rows.clone())),
            _ => None,
        })
        .collect()
}

fn lines(page: &Page) -> Vec<Row> {
    days(page).into_iter().flat_map(|(_, rows)| rows).collect()
}

/// A day of building, a night, a dive; water found.
fn lived() -> (tempfile::TempDir, Desk, String) {
    let folder = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(folder.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    day.minutes(24 * 60);
    let main = day.hold("main", 0.0).unwrap();
    let subject = format!("{rig}/hold/{main}");
    day.book.add_photo(&subject, "the gauge", &png()).unwrap();
    day.book.log_dive(&rig, 18.0, 40.0, "wreck").unwrap();
    day.book
        .open_defect(&rig, "enclosure/main", true, true, "a spoonful of water")
        .unwrap();
    day.book.open_closure(&rig, "monitor", None).unwrap();
    day.book
        .service_seal(&rig, "monitor-frame", Finding::Clean, "")
        .unwrap();
    (folder, Desk::new(day.book, 0), rig)
}

#[test]
fn a_hold_is_one_line_with_its_photo_and_days_stand_apart() {
    let (_folder, desk, rig) = lived();
    let page = desk
        .page(&place(&rig, DaysFilter::default(), None))
        .unwrap();
    let days = days(&page);
    assert_eq!(days.len(), 2, "{days:#?}");
    assert!(days[0].0.starts_with("Today"), "{}", days[0].0);
    assert!(days[1].0.starts_with("Yesterday"), "{}", days[1].0);
    let holds = |rows: &[Row]| -> Vec<Row> {
        let of = |r: &&Row| {
            matches!(
                &r.tap.as_ref().unwrap().action,
                Action::Go {
                    place: Place::Hold { .. }
                }
            )
        };
        rows.iter().filter(of).cloned().collect()
    };
    let today = holds(&days[0].1);
    assert_eq!(today.len(), 1, "{today:#?}");
    assert!(today[0].detail.contains("readings"), "{:?}", today[0]);
    assert!(today[0].photo.is_some());
    assert!(today[0].footnote.as_ref().unwrap().contains(" to "));
    assert_eq!(holds(&days[1].1).len(), 2, "both housings");
    // A prep of dozens of steps is one line, too.
    let preps: Vec<&Row> = (days[1].1.iter())
        .filter(|r| r.detail.contains("steps done"))
        .collect();
    assert_eq!(preps.len(), 1, "{:#?}", days[1].1);
    assert!(days[1].1.len() < 30, "{}", days[1].1.len());
    // Everything that can be tapped leads somewhere.
    for row in lines(&page) {
        let Action::Go { place } = &row.tap.as_ref().unwrap().action else {
            panic!("{row:?}");
        };
        let page = desk
            .page(place)
            .unwrap_or_else(|e| panic!("{place:?}: {e}"));
        assert!(!page.title.is_empty());
    }
}

#[test]
fn what_is_asked_for_is_shown_and_nothing_else() {
    let (_folder, mut desk, rig) = lived();
    let with = |desk: &Desk, key: &str, value: &str| {
        let mut filter = DaysFilter::default();
        match key {
            "kind" => filter.kind = value.into(),
            "housing" => filter.housing = value.into(),
            "member" => filter.member = value.into(),
            _ => filter.words = value.into(),
        }
        lines(&desk.page(&place(&rig, filter, None)).unwrap())
    };
    let faults = with(&desk, "kind", "faults");
    assert_eq!(faults.len(), 1, "{faults:#?}");
    assert!(faults[0].detail.contains("spoonful"));
    let monitor = with(&desk, "housing", "monitor");
    assert!(!monitor.is_empty() && monitor.len() < with(&desk, "", "").len());
    assert!(!format!("{monitor:?}").contains("spoonful"));
    // What was done to it in a prep stands under it, and only that.
    let steps = |rows: &[Row]| -> Vec<String> {
        let said = rows.iter().map(|r| format!("{} {}", r.title, r.detail));
        said.filter(|s| s.contains("step")).collect()
    };
    let (all, on_monitor) = (steps(&with(&desk, "", "")), steps(&monitor));
    assert!(!on_monitor.is_empty(), "{monitor:#?}");
    assert_ne!(all, on_monitor);
    let on_main = steps(&with(&desk, "housing", "main"));
    assert!(!on_main.is_empty() && on_main != on_monitor, "{on_main:?}");
    assert_eq!(with(&desk, "housing", "mon").len(), 0);
    assert_eq!(with(&desk, "words", "SPOONFUL water").len(), 1);
    assert_eq!(with(&desk, "words", "no such words").len(), 0);
    let noor = desk.book().members().unwrap()[0].id.clone();
    assert!(!with(&desk, "member", &noor).is_empty());
    // As it is asked for on the page.
    let mut stack = Stack::of(vec![place(&rig, DaysFilter::default(), Some("filter"))]);
    let at = desk.top(&stack).unwrap().at;
    let value = |key: &str, value: &str| FieldValue {
        key: key.into(),
        value: value.into(),
    };
    let values = vec![value("kind", "water"), value("words", "wreck")];
    let reply = desk.submit_from(&mut stack, &at, "filter", values).unwrap();
    assert_eq!(reply.faults, []);
    let page = desk.top(&stack).unwrap();
    let shown = lines(&page);
    assert_eq!(shown.len(), 1, "{shown:#?}");
    assert!(shown[0].detail.contains("wreck"));
    let said = format!("{:?}", page.blocks);
    assert!(
        said.contains("dives and trim"),
        "what is left out is said: {said}"
    );
}

/// Lines go on where the last page ended: none is shown twice, none is left out.
#[test]
fn older_pages_go_on_where_the_last_one_ended() {
    let folder = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(folder.path()).unwrap();
    let rig = day.rig.clone();
    for n in 0..130 {
        day.minutes(7);
        day.book
            .log_dive(&rig, 10.0, 30.0, &format!("dive {n}."))
            .unwrap();
    }
    let desk = Desk::new(day.book, 0);
    let mut at = place(
        &rig,
        DaysFilter {
            kind: "water".into(),
            ..DaysFilter::default()
        },
        None,
    );
    let mut seen: Vec<String> = Vec::new();
    loop {
        let page = desk.page(&at).unwrap();
        seen.extend(lines(&page).into_iter().map(|r| r.detail));
        match page.main.map(|b| b.action) {
            Some(Action::Go { place }) => at = place,
            _ => break,
        }
    }
    assert_eq!(seen.len(), 130);
    let all: Vec<bool> = (0..130)
        .map(|n| seen[129 - n].contains(&format!("dive {n}.")))
        .collect();
    assert!(all.iter().all(|b| *b));
}
