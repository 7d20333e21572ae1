//! The day on which each seal will be due, at this crew's pace.

use slackwater_checks::drive::Day;
use slackwater_core::domain::facts::Shoot;
use slackwater_core::journal::Clock;
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::{Mark, Place, Row};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::times::LocalTime;

const DAY_MIN: i64 = 24 * 60;

fn seals(desk: &Desk, rig: &str) -> (String, Vec<Row>) {
    let place = Place::Seals { rig: rig.into() };
    match desk.show(&place).expect("shown") {
        Screen::Seals { screen } => (screen.answer, screen.seals),
        other => panic!("{other:?}"),
    }
}

/// Two seals with the same limits: one opened twice a day, one never. Thirty days on, the first has 60 of its
/// 180 openings behind it, so that the rest lasts 60 days; the second has its 270 days of 300.
#[test]
fn a_seal_is_due_on_the_day_that_its_crew_comes_to() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut day = Day::dry_parts(folder.path()).expect("a day");
    let rig = day.rig.clone();
    for seal in ["main-back", "main-port"] {
        day.book.fit_seal(&rig, seal, "", "", None).expect("fitted");
    }
    for _ in 0..30 {
        for _ in 0..2 {
            day.minutes(DAY_MIN / 2);
            day.book
                .open_closure(&rig, "main", Some("back"))
                .expect("opened");
        }
    }
    for seal in ["main-back", "main-port"] {
        let refit = slackwater_core::domain::book::Refit::Same {
            finding: slackwater_core::domain::facts::Finding::Clean,
            note: String::new(),
        };
        day.book
            .refit_seal(&rig, seal, refit, None)
            .expect("serviced");
    }
    let local = LocalTime {
        utc_offset_min: 0,
        say_zone: false,
    };
    let now = day.clock.now_ms();
    let on = |days: i64| local.day(now + days * 86_400_000);
    let mut desk = Desk::new(day.book, 0);
    let of = |desk: &Desk, name: &str| {
        let (_, rows) = seals(desk, &rig);
        let at = rows.iter().position(|r| r.title == name).expect(name);
        (at, rows[at].clone())
    };
    let (back_at, back) = of(&desk, "Back o-ring");
    let (port_at, port) = of(&desk, "Port o-ring");
    assert!(
        back.detail.contains(&on(60)),
        "{} not {}",
        back.detail,
        on(60)
    );
    assert!(
        port.detail.contains(&on(270)),
        "{} not {}",
        port.detail,
        on(270)
    );
    assert!(back_at < port_at, "the nearest first");
    assert_eq!(back.mark, Some(Mark::Full));
    // A shoot that lasts beyond that day wants a new ring before it; one that is over before does not.
    let plan = |desk: &mut Desk, days: u32| {
        let shoot = Shoot {
            first_day: on(50),
            days,
            dives_per_day: 2,
            openings_per_day: 2,
            salt: true,
        };
        desk.book_mut().plan_shoot(&rig, shoot).expect("planned");
    };
    plan(&mut desk, 5);
    assert_eq!(of(&desk, "Back o-ring").1.mark, Some(Mark::Full));
    plan(&mut desk, 20);
    let back = of(&desk, "Back o-ring").1;
    assert_eq!(back.mark, Some(Mark::Hatched));
    assert!(back.detail.contains("before the shoot"), "{}", back.detail);
}
