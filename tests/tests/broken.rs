//! What was once broken in the record of several phones: each test failed when it was written.

use std::path::Path;

use slackwater_checks::drive::{Day, answer, env, one_crew};
use slackwater_checks::stranger::{Stranger, everything};
use slackwater_core::domain::backup;
use slackwater_core::domain::book::{Book, Standing};
use slackwater_core::domain::facts::{Gauge, Role};
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::journal::store::IngestFault;
use slackwater_core::journal::{DeviceId, Event, EventRef, Hlc, JournalFault};
use slackwater_core::screens::Screen;
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;
use tempfile::{TempDir, tempdir};

fn all(book: &Book) -> Vec<Event> {
    let mut out = Vec::new();
    let each = |e| {
        out.push(e);
        Ok::<_, JournalFault>(())
    };
    book.journal().each_event(each).unwrap();
    out
}

fn take(book: &mut Book, events: Vec<Event>) {
    let events = events.into_iter().map(Ok::<_, IngestFault>);
    book.ingest_all(events).unwrap();
}

/// All that one phone has, brought into another.
fn give(from: &Book, to: &mut Book) {
    take(to, all(from));
}

fn ready(book: &Book, rig: &str) -> bool {
    book.readiness(rig).unwrap().is_ready()
}

fn standing(book: &Book, of: DeviceId) -> Option<Standing> {
    let phones = book.phones().unwrap();
    phones.iter().find(|p| p.device == of).map(|p| p.standing)
}

/// What a device of any make signs, saying what it heard.
fn says(
    s: &mut Stranger,
    subject: &str,
    body: serde_json::Value,
    ms: i64,
    heard: Vec<EventRef>,
) -> Event {
    let like = Event {
        device: s.device(),
        seq: 0,
        hlc: Hlc::at(ms),
        wall_ms: ms,
        author: String::new(),
        subject: subject.to_owned(),
        kind: body["fact"].as_str().unwrap().to_owned(),
        body: body.to_string().into_bytes(),
        heard: Some(heard.into_iter().map(Into::into).collect()),
        prev: [0; 32],
        hash: [0; 32],
        signature: [0; 64],
    };
    s.says(&like, Hlc(Hlc::at(ms).0 + 1), ms)
}

fn admitted(d: &DeviceId) -> serde_json::Value {
    serde_json::json!({"fact": "device_admitted", "device": d.to_string()})
}

fn dismissed(d: &DeviceId, up_to: u64) -> serde_json::Value {
    serde_json::json!({"fact": "device_dismissed", "device": d.to_string(), "up_to": up_to})
}

fn chose(choice: &str, value: &str) -> serde_json::Value {
    serde_json::json!({"fact": "crew_chose", "choice": choice, "value": value})
}

fn form_of(d: &DeviceId) -> Place {
    Place::Crew {
        form: Some(format!("device/{d}")),
    }
}

/// Phones of one crew: the day's, and others that hold its record, each with its folder.
fn phones<const N: usize>(day: &mut Day) -> [(TempDir, Book); N] {
    std::array::from_fn(|n| {
        let dir = tempdir().unwrap();
        let mut book = Book::open(dir.path(), env(&day.clock, 2 + n as u64)).unwrap();
        one_crew(&mut day.book, &mut book).unwrap();
        give(&day.book, &mut book);
        book.hold_phone(&day.dp).unwrap();
        (dir, book)
    })
}

// 1a
#[test]
fn an_open_housing_is_not_taken_off_the_rig_by_a_phone_that_did_not_know_it_was_in_use() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let [(_b, mut b)] = phones(&mut day);
    day.ready().unwrap();
    day.book.open_closure(&rig, "monitor", None).unwrap();
    assert!(!ready(&day.book, &rig));
    let mut def = b.rig(&rig).unwrap().def.clone();
    def.enclosures.retain(|e| e.id != "monitor");
    def.seals.retain(|s| s.enclosure != "monitor");
    def.controls.retain(|c| c.enclosure != "monitor");
    b.edit_rig(&rig, def).unwrap();
    give(&b, &mut day.book);
    assert!(
        !ready(&day.book, &rig),
        "ready, and nobody signed for what was taken off"
    );
    // Somebody looks, and keeps it: what it took away still wants a second member's name. Nothing but that.
    let kept = day.book.rig(&rig).unwrap().def.clone();
    day.book.edit_rig(&rig, kept).unwrap();
    let unsigned = |day: &Day| {
        let says = day.book.readiness(&rig).unwrap();
        let mut losses = says.obstacles.iter().filter_map(|o| match o {
            Obstacle::LossUnsigned { event } => Some(event.clone()),
            _ => None,
        });
        let one = losses.next();
        assert_eq!(losses.next(), None);
        one
    };
    let by = day.assistant.clone();
    let edit = unsigned(&day).expect("nobody signed for what was taken off");
    day.book.sign_loss(&rig, &edit, by.as_str()).unwrap();
    assert_eq!(unsigned(&day), None);
    assert!(ready(&day.book, &rig));
}

/// What a rig is made from takes nothing away while nobody uses it, on however many phones.
#[test]
fn what_is_edited_while_a_rig_is_set_up_is_signed_by_nobody() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let [(_b, mut b)] = phones(&mut day);
    let mut def = b.rig(&rig).unwrap().def.clone();
    def.enclosures[0].depth_rating_m += 20.0;
    def.seals.retain(|s| s.enclosure != "monitor");
    b.edit_rig(&rig, def).unwrap();
    give(&b, &mut day.book);
    assert!(day.book.rig(&rig).unwrap().losses.is_empty());
    give(&day.book, &mut b);
    assert!(b.rig(&rig).unwrap().losses.is_empty());
}

// 1b
#[test]
fn a_rating_is_not_raised_by_a_phone_that_did_not_know_it_was_in_use() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    def.plan.depth_m = 70.0;
    for e in &mut def.enclosures {
        e.depth_rating_m = 60.0;
    }
    day.book.edit_rig(&rig, def).unwrap();
    let [(_b, mut b)] = phones(&mut day);
    day.ready().unwrap();
    assert!(!ready(&day.book, &rig));
    let mut def = b.rig(&rig).unwrap().def.clone();
    for e in &mut def.enclosures {
        e.depth_rating_m = 100.0;
    }
    b.edit_rig(&rig, def).unwrap();
    give(&b, &mut day.book);
    assert!(
        !ready(&day.book, &rig),
        "70 m on 60 m housings, and nobody signed"
    );
}

// 1c
#[test]
fn another_lens_is_an_opening_also_on_a_phone_that_did_not_know_the_housing_shut() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    let [(_b, mut b)] = phones(&mut day);
    day.ready().unwrap();
    b.choose_lens(&rig, "macro").unwrap();
    give(&b, &mut day.book);
    assert!(
        !ready(&day.book, &rig),
        "the dome was taken off for the flat port"
    );
}

// 1d
#[test]
fn a_limit_of_rechecks_is_not_lengthened_unsigned_by_a_phone_without_preps() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let other = tempdir().unwrap();
    let mut b = Book::open(other.path(), env(&day.clock, 3)).unwrap();
    one_crew(&mut day.book, &mut b).unwrap();
    b.choose(&[("recheck_limit_min", "600")]).unwrap();
    day.minutes(180);
    assert!(!ready(&day.book, &rig));
    give(&b, &mut day.book);
    assert!(
        !ready(&day.book, &rig),
        "a recheck of 3 h ago counts, and nobody signed"
    );
}

// 2a
#[test]
fn a_no_on_one_phone_takes_back_no_opening_that_another_knew() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let [(_a, mut a)] = phones(&mut day);
    // B is new; the day's phone knows it, A has not heard of that.
    let other = tempdir().unwrap();
    let mut b = Book::open(other.path(), env(&day.clock, 9)).unwrap();
    one_crew(&mut day.book, &mut b).unwrap();
    give(&day.book, &mut b);
    b.hold_phone(&day.dp).unwrap();
    b.open_closure(&rig, "main", None).unwrap();
    give(&b, &mut day.book);
    assert!(!ready(&day.book, &rig));
    let of_b = all(&b)
        .into_iter()
        .filter(|e| e.device == b.journal().device())
        .collect();
    take(&mut a, of_b);
    let mut desk = Desk::new(a, 0);
    answer(&mut desk, &form_of(&b.journal().device()), "no");
    give(desk.book(), &mut day.book);
    assert!(
        !ready(&day.book, &rig),
        "ready over an opening that this phone had counted"
    );
}

// 2b
#[test]
fn saying_that_one_phone_is_ours_takes_nothing_from_another() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let [(_a, mut a), (_b, mut b)] = phones(&mut day);
    give(&a, &mut b);
    give(&b, &mut a);
    b.dismiss(&[a.journal().device()]).unwrap();
    a.open_closure(&rig, "main", None).unwrap();
    a.dismiss(&[b.journal().device()]).unwrap();
    give(&a, &mut day.book);
    give(&b, &mut day.book);
    assert!(!ready(&day.book, &rig));
    let mut desk = Desk::new(day.book, 0);
    answer(&mut desk, &form_of(&b.journal().device()), "yes");
    assert!(
        !ready(desk.book(), &rig),
        "A's opening went with a word about B"
    );
}

// 2c
#[test]
fn a_lost_phone_takes_nothing_from_others() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let [(_a, mut a), (_b, mut b)] = phones(&mut day);
    give(&a, &mut b);
    a.open_closure(&rig, "main", None).unwrap();
    give(&a, &mut day.book);
    b.dismiss(&[a.journal().device()]).unwrap();
    give(&b, &mut day.book);
    assert!(
        !ready(&day.book, &rig),
        "the lost phone's word hid A's opening"
    );
    day.book.dismiss(&[b.journal().device()]).unwrap();
    assert!(
        !ready(&day.book, &rig),
        "also once the lost phone is dismissed"
    );
}

// 2d
#[test]
fn what_is_told_before_a_phone_is_admitted_says_which_phones_it_dismisses() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let rig = day.rig.clone();
    let [(_b, mut b)] = phones(&mut day);
    b.open_closure(&rig, "main", None).unwrap();
    give(&b, &mut day.book);
    let ms = day.book.journal().now_ms();
    let mut s = Stranger::new(9);
    let word = says(
        &mut s,
        "crew",
        dismissed(&b.journal().device(), 0),
        ms,
        vec![],
    );
    take(&mut day.book, vec![word]);
    day.book.admit(&[s.device()]).unwrap();
    assert!(
        !ready(&day.book, &rig),
        "B's opening went by the word of a stranger"
    );
}

// 3
#[test]
fn what_is_told_before_a_phone_is_admitted_is_what_comes() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.book.choose(&[("recheck_limit_min", "120")]).unwrap();
    let own = day.book.journal().device();
    let heard = vec![EventRef {
        device: own,
        seq: all(&day.book).len() as u64,
    }];
    let ms = day.book.journal().now_ms();
    let (mut s, mut t) = (Stranger::new(9), Stranger::new(8));
    let file = vec![
        says(&mut s, "crew", admitted(&t.device()), ms, heard),
        says(
            &mut s,
            "crew",
            chose("recheck_limit_min", "100000"),
            ms,
            vec![],
        ),
        says(
            &mut s,
            "crew",
            chose("recheck_limit_min", "120"),
            ms,
            vec![],
        ),
        // T, which only S brings, cuts S off behind its second entry.
        says(&mut t, "crew", dismissed(&s.device(), 2), ms, vec![]),
    ];
    take(&mut day.book, file);
    let told = day.book.if_admitted(&[s.device()]).unwrap();
    let choice = |now: &str, then: &str| ("recheck_limit_min".into(), now.into(), then.into());
    assert_eq!(told.choices, [choice("120", "100000")]);
    day.book.admit(&[s.device()]).unwrap();
    // What S wrote behind it came with T's word, which only S brought, and counts for nothing.
    assert_eq!(day.book.choices().unwrap()["recheck_limit_min"], "100000");
}

// 4
#[test]
fn a_lost_phone_does_not_undo_its_dismissal() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let [(_a, mut a), (_b, mut b)] = phones(&mut day);
    give(&b, &mut a);
    a.dismiss(&[b.journal().device()]).unwrap();
    give(&a, &mut day.book);
    let lost = b.journal().device();
    assert_eq!(standing(&day.book, lost), Some(Standing::Dismissed));
    b.dismiss(&[a.journal().device()]).unwrap();
    b.choose(&[("recheck_limit_min", "100000")]).unwrap();
    give(&b, &mut day.book);
    let limit = day.book.rig(&day.rig).unwrap().recheck_limit_ms / 60_000;
    let desk = Desk::new(day.book, 0);
    let notices = match desk.show(&Place::Rigs { form: None }).unwrap() {
        Screen::Rigs { screen } => screen.notices.len(),
        other => panic!("{other:?}"),
    };
    assert!(
        limit == 120 || notices > 0,
        "{limit} min, {:?}, and no word of it",
        standing(desk.book(), lost)
    );
}

// 5
/// A file of half a megabyte with one entry whose writer says to have heard 80,000 devices.
fn junk(path: &Path, seed: u8, ms: i64) {
    let mut s = Stranger::new(seed);
    let heard = (0..80_000u32).map(|k| {
        let mut key = [1u8; 32];
        key[..4].copy_from_slice(&k.wrapping_mul(2_654_435_761).to_be_bytes());
        key[4] = seed;
        EventRef {
            device: DeviceId(key),
            seq: 1,
        }
    });
    let e = says(
        &mut s,
        "x",
        serde_json::json!({"fact": "walked_round"}),
        ms,
        heard.collect(),
    );
    let hex = |bytes: &[u8]| bytes.iter().map(|b| format!("{b:02x}")).collect::<String>();
    let heard: Vec<String> = e.heard.iter().flatten().map(ToString::to_string).collect();
    let line = serde_json::json!({
        "device": hex(&e.device.0), "seq": e.seq, "hlc": format!("{:016x}", e.hlc.0),
        "wall_ms": e.wall_ms, "author": e.author, "subject": e.subject, "kind": e.kind,
        "body": String::from_utf8_lossy(&e.body), "heard": heard, "prev": hex(&e.prev),
        "hash": hex(&e.hash), "signature": hex(&e.signature),
    });
    everything(path, [format!("{line}\n")], &[]).unwrap();
}

#[test]
fn after_strangers_files_the_crews_own_phone_still_comes_in() {
    let (dir, other, files) = (tempdir().unwrap(), tempdir().unwrap(), tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let mut b = Book::open(other.path(), env(&day.clock, 3)).unwrap();
    b.admit(&[day.book.journal().device()]).unwrap();
    give(&day.book, &mut b);
    b.hold_phone(&day.dp).unwrap();
    for n in 0..400 {
        let value = if n % 2 == 0 { "100" } else { "110" };
        b.choose(&[("recheck_limit_min", value)]).unwrap();
    }
    day.book.choose(&[("recheck_limit_min", "105")]).unwrap();
    for n in 0..4 {
        let path = files.path().join("junk.zip");
        junk(&path, 9 + n, day.book.journal().now_ms());
        // An event names no more devices than any crew has.
        assert!(backup::read(&mut day.book, &path).is_err());
    }
    give(&b, &mut day.book);
    day.book.admit(&[b.journal().device()]).unwrap();
    assert_eq!(
        standing(&day.book, b.journal().device()),
        Some(Standing::Crew)
    );
}

// 6
#[test]
fn the_question_about_a_small_file_comes() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let ms = day.book.journal().now_ms();
    // With 2 it is 16 s, with 4 minutes, with 10 hours.
    let mut all: Vec<Stranger> = (0..3).map(|n| Stranger::new(100 + n)).collect();
    let devices: Vec<DeviceId> = all.iter().map(Stranger::device).collect();
    let mut file = Vec::new();
    for (i, s) in all.iter_mut().enumerate() {
        if let Some(next) = devices.get(i + 1) {
            file.push(says(s, "crew", admitted(next), ms, vec![]));
        }
        for k in 0..499u32 {
            let mut key = [i as u8; 32];
            key[..4].copy_from_slice(&k.to_be_bytes());
            file.push(says(s, "crew", admitted(&DeviceId(key)), ms, vec![]));
            file.push(says(s, "crew", dismissed(&DeviceId(key), 0), ms, vec![]));
        }
    }
    take(&mut day.book, file);
    // With three signers this took minutes, ten times as many with each that came.
    let told = day.book.if_admitted(&devices[..1]).unwrap();
    assert_eq!(told.choices, []);
}

// 7
#[test]
fn a_phone_of_the_crew_is_asked_about_however_many_strangers_there_are() {
    let (dir, other) = (tempdir().unwrap(), tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let ms = day.book.journal().now_ms();
    let mut file = Vec::new();
    for n in 0..100u8 {
        let mut s = Stranger::new(50 + n);
        for _ in 0..60 {
            file.push(says(
                &mut s,
                "x",
                serde_json::json!({"fact": "walked_round"}),
                ms,
                vec![],
            ));
        }
    }
    take(&mut day.book, file);
    let mut b = Book::open(other.path(), env(&day.clock, 3)).unwrap();
    b.admit(&[day.book.journal().device()]).unwrap();
    give(&day.book, &mut b);
    b.hold_phone(&day.dp).unwrap();
    b.open_closure(&day.rig, "main", None).unwrap();
    give(&b, &mut day.book);
    let mut desk = Desk::new(day.book, 0);
    // The others are none of ours: that makes no room either.
    let known: Vec<DeviceId> = desk
        .book()
        .phones()
        .unwrap()
        .iter()
        .map(|p| p.device)
        .collect();
    let others: Vec<DeviceId> = desk
        .book()
        .strangers()
        .unwrap()
        .iter()
        .map(|p| p.device)
        .collect();
    for d in others.iter().filter(|d| known.contains(d)) {
        answer(&mut desk, &form_of(d), "no");
    }
    let asked = match desk.show(&form_of(&b.journal().device())).unwrap() {
        Screen::Crew { screen } => screen.form.is_some(),
        _ => false,
    };
    assert!(
        asked,
        "B can't be admitted from any page, and its opening is told nowhere"
    );
}

// 8
#[test]
fn a_panic_in_looking_ahead_leaves_the_record_writable_and_there_is_none() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let ms = day.book.journal().now_ms();
    let mut s = Stranger::new(9);
    let fake = |n: u8| DeviceId([n; 32]);
    let heard = (1..4)
        .map(|n| EventRef {
            device: fake(n),
            seq: i64::MAX as u64,
        })
        .collect();
    let file = vec![
        says(&mut s, "crew", admitted(&fake(1)), ms, vec![]),
        says(&mut s, "crew", admitted(&fake(2)), ms, vec![]),
        says(&mut s, "crew", admitted(&fake(3)), ms, vec![]),
        says(&mut s, "crew", admitted(&fake(3)), ms, heard),
    ];
    take(&mut day.book, file);
    let ahead = std::panic::AssertUnwindSafe(|| day.book.if_admitted(&[s.device()]).map(drop));
    let ahead = std::panic::catch_unwind(ahead).map_err(drop);
    let after = day.book.add_member("Ada", Role::Assistant);
    assert!(
        after.is_ok(),
        "{after:?}; {:?}",
        standing(&day.book, s.device())
    );
    assert!(ahead.is_ok());
}

// 9
#[test]
fn whom_a_phone_brings_is_told_also_where_it_has_not_written_yet() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let ms = day.book.journal().now_ms();
    let (mut s, t) = (Stranger::new(9), Stranger::new(8));
    let word = says(&mut s, "crew", admitted(&t.device()), ms, vec![]);
    take(&mut day.book, vec![word]);
    let told = day.book.if_admitted(&[s.device()]).unwrap();
    assert_eq!(told.phones, 1, "what it writes later counts unasked");
}

// 10
#[test]
fn a_gauge_that_would_be_another_is_told() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let gauge = Gauge {
        name: "Deck gauge".into(),
        absolute: false,
        unit: "mbar".into(),
        resolution_pa: 100.0,
        accuracy_pa: Some(500.0),
        checked: String::new(),
        retired: false,
    };
    let id = day.book.define_gauge(None, gauge.clone()).unwrap();
    let heard = vec![EventRef {
        device: day.book.journal().device(),
        seq: all(&day.book).len() as u64,
    }];
    let ms = day.book.journal().now_ms() + 5;
    let mut s = Stranger::new(9);
    let other = Gauge {
        absolute: true,
        resolution_pa: 1.0,
        accuracy_pa: Some(1.0),
        ..gauge
    };
    let body = serde_json::json!({"fact": "gauge_defined", "gauge": other});
    let word = says(&mut s, &format!("crew/gauge/{id}"), body, ms, heard);
    take(&mut day.book, vec![word]);
    let told = day.book.if_admitted(&[s.device()]).unwrap();
    assert_ne!(
        *told,
        Default::default(),
        "'Nothing that this phone tells you now would change'"
    );
}

// 11
#[test]
fn a_key_that_a_stranger_names_changes_nothing_and_no_order_does() {
    let mut seen = Vec::new();
    for poisoned in [false, true] {
        let (dir, other) = (tempdir().unwrap(), tempdir().unwrap());
        let mut day = Day::dry_parts(dir.path()).unwrap();
        let mut b = Book::open(other.path(), env(&day.clock, 3)).unwrap();
        if poisoned {
            // Eight bytes as B's key, before B is heard of.
            let mut fake = b.journal().device();
            fake.0[31] ^= 1;
            let ms = day.book.journal().now_ms();
            let word = says(&mut Stranger::new(9), "crew", admitted(&fake), ms, vec![]);
            take(&mut day.book, vec![word]);
        }
        one_crew(&mut day.book, &mut b).unwrap();
        give(&day.book, &mut b);
        b.hold_phone(&day.dp).unwrap();
        // A's clock is a year ahead; B, whose clock is right, hears A and says otherwise.
        let year = 365 * 24 * 3_600_000;
        day.clock.advance(year);
        day.book.choose(&[("sd_air_k", "3")]).unwrap();
        day.clock.advance(-year);
        give(&day.book, &mut b);
        b.choose(&[("sd_air_k", "1")]).unwrap();
        give(&b, &mut day.book);
        seen.push(day.book.choices().unwrap()["sd_air_k"].clone());
    }
    assert_eq!(seen, ["1", "1"]);
}

// 12
#[test]
fn the_thousand_and_first_word_counts() {
    let (dir, other) = (tempdir().unwrap(), tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let mut b = Book::open(other.path(), env(&day.clock, 3)).unwrap();
    b.admit(&[day.book.journal().device()]).unwrap();
    let others: Vec<DeviceId> = (0..1000u32)
        .map(|k| {
            let mut key = [7u8; 32];
            key[..4].copy_from_slice(&k.to_be_bytes());
            DeviceId(key)
        })
        .collect();
    for part in others.chunks(100) {
        day.book.dismiss(part).unwrap();
    }
    give(&b, &mut day.book);
    day.book.admit(&[b.journal().device()]).unwrap();
    assert_eq!(
        standing(&day.book, b.journal().device()),
        Some(Standing::Crew)
    );
}

// 13
#[test]
fn a_hold_under_an_id_given_twice_is_given_up_or_not_whatever_the_order() {
    let dir = tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let start = all(&day.book)
        .into_iter()
        .find(|e| e.kind == "hold_started")
        .unwrap();
    let (ms, subject) = (start.wall_ms, start.subject.as_str());
    let body: serde_json::Value = serde_json::from_slice(&start.body).unwrap();
    let (mut s, mut t) = (Stranger::new(9), Stranger::new(8));
    let up = serde_json::json!({"fact": "hold_abandoned", "reason": "x"});
    let real = says(&mut s, subject, body.clone(), ms + 10, vec![]);
    let up = says(&mut s, subject, up, ms + 20, vec![]);
    let twin = says(
        &mut t,
        &subject.replace(&day.rig, "other"),
        body,
        ms,
        vec![],
    );
    let mut seen = Vec::new();
    for order in [[&real, &up, &twin], [&twin, &real, &up]] {
        let d = tempdir().unwrap();
        let mut book = Book::open(d.path(), env(&day.clock, 77)).unwrap();
        book.admit(&[s.device(), t.device()]).unwrap();
        take(&mut book, order.into_iter().cloned().collect());
        let reason: Option<String> = book
            .journal()
            .read()
            .query_row("SELECT reason FROM hold", [], |r| r.get(0))
            .unwrap();
        seen.push(reason);
    }
    assert_eq!(seen[0], seen[1]);
}

// 14
#[test]
fn what_a_copy_of_this_phone_said_of_the_crew_stands_in_the_way_or_counts() {
    let (dir, copy, file) = (tempdir().unwrap(), tempdir().unwrap(), tempdir().unwrap());
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    let (rig, clock, member) = (day.rig.clone(), day.clock.clone(), day.dp.clone());
    drop(day.book);
    fn copy_all(from: &Path, to: &Path) {
        std::fs::create_dir_all(to).unwrap();
        for f in std::fs::read_dir(from).unwrap() {
            let (f, to) = (
                f.as_ref().unwrap().path(),
                to.join(f.as_ref().unwrap().file_name()),
            );
            if f.is_dir() {
                copy_all(&f, &to)
            } else {
                std::fs::copy(f, to).map(drop).unwrap()
            }
        }
    }
    copy_all(dir.path(), copy.path());
    let mut a = Book::open(dir.path(), env(&clock, 51)).unwrap();
    let mut x = Book::open(copy.path(), env(&clock, 52)).unwrap();
    a.hold_phone(&member).unwrap();
    x.hold_phone(&member).unwrap();
    clock.advance(2 * 60_000);
    a.add_member("Ada", Role::Assistant).unwrap();
    x.choose(&[("recheck_limit_min", "1")]).unwrap();
    let path = file.path().join("x.zip");
    backup::write(&x, &path).unwrap();
    backup::read(&mut a, &path).unwrap();
    assert!(!ready(&x, &rig));
    assert!(
        !ready(&a, &rig),
        "the copy's shorter limit is a remark only"
    );
}
