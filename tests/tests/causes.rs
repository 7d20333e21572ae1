//! Cause, not clock: evidence answers news only if whoever wrote it had heard of that news. Each test
//! says what was seen before.

use std::sync::Arc;

use slackwater_checks::drive::{Day, MORNING_MS, env, hold_on, reading};
use slackwater_core::domain::book::Book;
use slackwater_core::domain::facts::Finding;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::domain::rig::Enclosure;
use slackwater_core::domain::rules::RecheckMissing;
use slackwater_core::journal::store::LEAD_MS;
use slackwater_core::journal::{DeviceId, Event, FixedClock};

const MINUTE: i64 = 60_000;
const YEAR: i64 = 365 * 86_400_000;

/// Two phones of one crew, both of which know a rig that is ready.
struct Two {
    _dirs: [tempfile::TempDir; 2],
    day: Day,
    other: Book,
    other_clock: Arc<FixedClock>,
}

impl Two {
    /// The other phone's clock is ahead by so many ms.
    fn ready(ahead_ms: i64) -> Two {
        let dirs = [tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap()];
        let mut day = Day::dry_parts(dirs[0].path()).unwrap();
        let other_clock = Arc::new(FixedClock::at(MORNING_MS));
        let mut other = Book::open(dirs[1].path(), env(&other_clock, 5)).unwrap();
        day.ready().unwrap();
        tell(&day.book, &mut other);
        other.hold_phone(&day.dp.clone()).unwrap();
        let two = Two {
            _dirs: dirs,
            day,
            other,
            other_clock,
        };
        two.same_time();
        two.other_clock.jump(ahead_ms);
        assert_eq!(two.missing(), []);
        two
    }

    /// The other phone's time passes as the first one's did.
    fn same_time(&self) {
        use slackwater_core::journal::Clock;
        self.other_clock.set(self.day.clock.now_ms());
    }

    fn rig(&self) -> String {
        self.day.rig.clone()
    }

    fn meet(&mut self) {
        tell(&self.day.book, &mut self.other);
        tell(&self.other, &mut self.day.book);
        let rig = self.rig();
        let (a, b) = (self.day.book.rig(&rig), self.other.rig(&rig));
        assert_eq!(*a.unwrap(), *b.unwrap(), "both know the same");
    }

    /// Services the main housing's rings and closes it, on the first phone.
    fn close_main(&mut self) {
        let (rig, book) = (self.rig(), &mut self.day.book);
        let facts = book.rig(&rig).unwrap();
        for seal in facts.def.seals.iter().filter(|s| s.enclosure == "main") {
            book.service_seal(&rig, &seal.id, Finding::Clean, "")
                .unwrap();
        }
        book.close_enclosure(&rig, "main").unwrap();
    }

    fn missing(&self) -> Vec<Obstacle> {
        let readiness = self.day.book.readiness(&self.day.rig).unwrap();
        readiness.obstacles
    }
}

/// Hands over what is not there yet, device by device.
fn tell(from: &Book, to: &mut Book) {
    let mut events: Vec<Event> = Vec::new();
    let page = from.journal().page(None, None, u32::MAX).unwrap();
    events.extend(page.into_iter().map(|e| e.event));
    events.sort_by_key(|e| (e.device, e.seq));
    for event in &events {
        to.ingest(event).unwrap();
    }
}

fn opened(missing: &[Obstacle], enclosure: &str) -> bool {
    let not_closed = Obstacle::NotClosed {
        enclosure: enclosure.to_owned(),
    };
    missing.contains(&not_closed)
}

/// Seen: with a clock 60 min ahead, a proof stood against an opening that came after it; and an opening
/// that nobody had heard of was outvoted by a later stamp.
#[test]
fn a_proof_stands_only_against_openings_that_its_writer_had_heard_of() {
    for ahead in [-60 * MINUTE, 0, 60 * MINUTE] {
        let mut two = Two::ready(ahead);
        let rig = two.rig();
        two.other.open_closure(&rig, "main", None).unwrap();
        // The first phone has not heard of it, and goes on proving.
        two.day.minutes(90);
        two.day.recheck().unwrap();
        assert_eq!(two.missing(), []);
        two.meet();
        assert!(
            opened(&two.missing(), "main"),
            "{ahead}: {:?}",
            two.missing()
        );
        assert!(!opened(&two.missing(), "monitor"));
        // Whoever heard of it can answer it, whatever the clocks say.
        two.day.minutes(1);
        two.close_main();
        assert!(
            !opened(&two.missing(), "main"),
            "{ahead}: {:?}",
            two.missing()
        );
        two.meet();
        assert!(!opened(&two.missing(), "main"));
    }
}

/// Seen: of a plug that one phone had taken out, another that had not heard of it said that it was in.
#[test]
fn a_plug_out_unheard_of_stands_against_a_later_plug_in() {
    let mut two = Two::ready(-30 * MINUTE);
    let rig = two.rig();
    two.other.plug_off(&rig, "main").unwrap();
    two.day.minutes(5);
    two.day.book.plug_on(&rig, "main").unwrap();
    two.day.recheck().unwrap();
    two.meet();
    let out = |missing: &[Obstacle]| {
        missing
            .iter()
            .any(|o| matches!(o, Obstacle::PlugOff { enclosure } if enclosure == "main"))
    };
    assert!(out(&two.missing()), "{:?}", two.missing());
    two.day.book.plug_on(&rig, "main").unwrap();
    assert!(!out(&two.missing()), "{:?}", two.missing());
}

/// Two holds of one enclosure on two phones that had not heard of each other: what either found stands.
#[test]
fn a_leak_found_apart_stands_whichever_came_later() {
    for leaky_first in [true, false] {
        let mut two = Two::ready(0);
        let rig = two.rig();
        let clock = two.other_clock.clone();
        let [on_first, on_other] = if leaky_first {
            [40.0, 0.0]
        } else {
            [0.0, 40.0]
        };
        two.day.hold("main", on_first).unwrap();
        two.same_time();
        hold_on(&mut two.other, &clock, &rig, "main", on_other).unwrap();
        two.other.plug_on(&rig, "main").ok();
        two.meet();
        let leaks = two
            .missing()
            .iter()
            .any(|o| matches!(o, Obstacle::NoHold { enclosure, .. } if enclosure == "main"));
        assert!(leaks, "{leaky_first}: {:?}", two.missing());
    }
}

/// Seen: a phone a year ahead aged every ring by a year, its choices could never be changed again, and
/// nothing written after it was told counted.
#[test]
fn a_clock_a_year_ahead_poisons_nothing() {
    let mut two = Two::ready(YEAR);
    let rig = two.rig();
    two.other.choose(&[("recheck_limit_min", "30")]).unwrap();
    two.other.open_closure(&rig, "main", None).unwrap();
    two.meet();
    let ahead = two.day.book.now().newest.ms() - two.day.book.now().wall_ms;
    assert!(
        ahead <= LEAD_MS,
        "the first phone's clock was moved by {ahead} ms"
    );
    let past = |missing: &[Obstacle]| {
        missing
            .iter()
            .any(|o| matches!(o, Obstacle::SealPastLimit { .. }))
    };
    assert!(!past(&two.missing()), "{:?}", two.missing());
    assert!(opened(&two.missing(), "main"));
    // What the first phone says, having heard that, stands.
    two.day.book.choose(&[("recheck_limit_min", "45")]).unwrap();
    two.close_main();
    two.meet();
    assert!(!opened(&two.missing(), "main"), "{:?}", two.missing());
    assert_eq!(
        two.day.book.rig(&rig).unwrap().recheck_limit_ms,
        45 * MINUTE
    );
    // Also after opening the file anew.
    let rig_before = two.day.book.rig(&rig).unwrap();
    let device: DeviceId = two.day.book.journal().device();
    let clock = two.day.clock.clone();
    let Two { _dirs, day, .. } = two;
    drop(day);
    let again = Book::open(_dirs[0].path(), env(&clock, 9)).unwrap();
    assert_eq!(again.journal().device(), device);
    assert_eq!(*again.rig(&rig).unwrap(), *rig_before);
}

/// Seen: an edit that had not heard of it dropped an enclosure that another phone had added.
#[test]
fn an_edit_unheard_of_drops_nothing() {
    let mut two = Two::ready(0);
    let rig = two.rig();
    let mut def = two.other.rig(&rig).unwrap().def.clone();
    let pod = Enclosure {
        id: "pod".into(),
        name: "Battery pod".into(),
        depth_rating_m: 20.0,
        ..def.enclosures[0].clone()
    };
    def.enclosures.push(pod);
    two.other.edit_rig(&rig, def).unwrap();
    two.day.minutes(1);
    let mut def = two.day.book.rig(&rig).unwrap().def.clone();
    def.note = "Spare fibre in the lid".into();
    two.day.book.edit_rig(&rig, def).unwrap();
    two.meet();
    let known = two.day.book.rig(&rig).unwrap();
    assert!(known.def.enclosure("pod").is_some());
    assert_eq!(known.def.note, "Spare fibre in the lid");
    assert_eq!(known.edited_apart.len(), 2);
    assert!(two.missing().contains(&Obstacle::EditedApart));
    two.day.book.edit_rig(&rig, known.def.clone()).unwrap();
    two.meet();
    assert!(!two.missing().contains(&Obstacle::EditedApart));
    assert!(opened(&two.missing(), "pod"));
}

/// Seen: a plug put in again on a phone that had not heard of the new hold, and looked at there, covered
/// the plug that was put in after that hold, by clock the earlier.
#[test]
fn a_second_look_at_another_plug_covers_none() {
    let mut two = Two::ready(0);
    let rig = two.rig();
    let noor = two.day.assistant.clone();
    two.day.hold("main", 0.0).unwrap();
    two.day.book.plug_on(&rig, "main").unwrap();
    two.day
        .book
        .record_recheck(&rig, "main", reading(200.0))
        .unwrap();
    two.day.book.plug_on(&rig, "main").unwrap();
    let unseen = Obstacle::PlugUnseen {
        enclosure: "main".into(),
    };
    assert!(two.missing().contains(&unseen), "{:?}", two.missing());
    two.same_time();
    two.other_clock.advance(5 * MINUTE);
    two.other.plug_on(&rig, "main").unwrap();
    two.other.sign_plugs(&rig, &noor).unwrap();
    two.meet();
    assert!(two.missing().contains(&unseen), "{:?}", two.missing());
    let dp = two.day.dp.clone();
    two.day.minutes(6);
    two.day.book.sign_plugs(&rig, &dp).unwrap();
    assert!(!two.missing().contains(&unseen), "{:?}", two.missing());
}

/// Seen: beside a hold of a phone three days ahead a change was cleared by typing the number foretold.
#[test]
fn a_change_stands_beside_a_hold_of_a_phone_days_ahead() {
    let changed = |missing: &[Obstacle]| {
        missing.iter().any(|o| {
            matches!(o, Obstacle::NoRecheck { enclosure, why: RecheckMissing::Changed } if enclosure == "main")
        })
    };
    let mut two = Two::ready(3 * 86_400_000);
    let rig = two.rig();
    let clock = two.other_clock.clone();
    hold_on(&mut two.other, &clock, &rig, "main", 0.0).unwrap();
    two.meet();
    two.day.hold("main", 0.0).unwrap();
    two.day.book.plug_on(&rig, "main").unwrap();
    for mbar in [100.0, 200.0] {
        two.day
            .book
            .record_recheck(&rig, "main", reading(mbar))
            .unwrap();
        assert!(changed(&two.missing()), "{mbar}: {:?}", two.missing());
    }
}

/// Seen: a rig taken out of use on one phone came back by another's word that had not heard of it.
#[test]
fn what_is_out_of_use_comes_back_only_by_who_had_heard_of_it() {
    let mut two = Two::ready(0);
    let rig = two.rig();
    two.day.book.retire_rig(&rig, true).unwrap();
    two.same_time();
    two.other_clock.advance(5 * MINUTE);
    two.other.retire_rig(&rig, false).unwrap();
    two.meet();
    assert!(two.missing().contains(&Obstacle::Retired));
    two.day.book.retire_rig(&rig, false).unwrap();
    assert!(!two.missing().contains(&Obstacle::Retired));
}
