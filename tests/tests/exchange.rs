//! Phones of a crew join by a code and hand each other parcels: what one records the other knows, whatever is
//! cut, spoiled, swapped, sent twice or sent by who isn't of the crew.

use std::path::Path;
use std::sync::Arc;

use slackwater_checks::drive::{Day, env, folded};
use slackwater_core::domain::book::{
    Aside, Book, BookFault, ExchangeFault, Refusal, Standing, Took,
};
use slackwater_core::exchange::join::Code;
use slackwater_core::exchange::parcel::{Packing, Unpacking};
use slackwater_core::exchange::secret::Kind;
use slackwater_core::exchange::{Fault, Hello};
use slackwater_core::journal::{DeviceId, FixedClock};

struct Crew {
    day: Day,
    others: Vec<Book>,
    dirs: Vec<tempfile::TempDir>,
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

impl Crew {
    /// A crew's phone with a rig in parts, and so many that nobody knows yet.
    fn new(others: u64) -> Crew {
        let dirs: Vec<_> = (0..=others).map(|_| folder()).collect();
        let day = Day::dry_parts(dirs[0].path()).unwrap();
        let others = (1..=others)
            .map(|n| Book::open(dirs[n as usize].path(), env(&day.clock, n + 1)).unwrap())
            .collect();
        Crew { day, others, dirs }
    }

    /// One that all have joined, and heard.
    fn joined(others: u64) -> Crew {
        let mut crew = Crew::new(others);
        for other in &mut crew.others {
            joins(&mut crew.day.book, other);
        }
        for _ in 0..2 {
            for other in &mut crew.others {
                meet(&mut crew.day.book, other);
            }
        }
        crew
    }

    fn clock(&self) -> Arc<FixedClock> {
        self.day.clock.clone()
    }

    fn device(&self, n: usize) -> DeviceId {
        self.others[n].journal().device()
    }
}

/// What one phone lacks goes to it, as it would on a card.
fn parcel(from: &mut Book, theirs: Option<&Hello>) -> Vec<u8> {
    from.pack(theirs, Vec::new()).unwrap().0
}

fn takes(to: &mut Book, parcel: &[u8]) -> Took {
    to.unpack(parcel).unwrap()
}

/// Both ways, each with what the other lacks.
fn meet(a: &mut Book, b: &mut Book) {
    for (from, to) in [(0, 1), (1, 0)] {
        let [from, to] = if from < to {
            [&mut *a, &mut *b]
        } else {
            [&mut *b, &mut *a]
        };
        let hello = to.hello().unwrap();
        let took = takes(to, &parcel(from, Some(&hello)));
        assert!(took.whole && took.aside.is_empty(), "{:?}", took.aside);
    }
}

/// As [`meet`], where one may not read the other.
fn try_to_meet(a: &mut Book, b: &mut Book) {
    let hello = b.hello().unwrap();
    takes(b, &parcel(a, Some(&hello)));
    let hello = a.hello().unwrap();
    takes(a, &parcel(b, Some(&hello)));
}

fn joins(old: &mut Book, new: &mut Book) {
    let code = old.invite().unwrap().to_text();
    new.join(&Code::from_text(&code).unwrap()).unwrap();
    meet(old, new);
}

fn ready(book: &Book, rig: &str) -> bool {
    book.readiness(rig).unwrap().is_ready()
}

fn standing(book: &Book, device: &DeviceId) -> Standing {
    book.phone(device).unwrap().unwrap().standing
}

fn same(a: &Book, b: &Book) {
    assert_eq!(folded(a.journal().read()), folded(b.journal().read()));
}

/// The parts of a parcel, and the parcel of them again.
fn parts(parcel: &[u8]) -> Vec<Vec<u8>> {
    Unpacking::begin(parcel)
        .unwrap()
        .map(Result::unwrap)
        .collect()
}

fn packed(parts: &[Vec<u8>]) -> Vec<u8> {
    let mut packing = Packing::begin(Vec::new()).unwrap();
    parts.iter().for_each(|p| packing.part(p).unwrap());
    packing.end().unwrap().0
}

#[test]
fn three_phones_become_one_record() {
    let mut crew = Crew::joined(2);
    let rig = crew.day.rig.clone();
    crew.day.ready().unwrap();
    assert!(ready(&crew.day.book, &rig));
    let Crew { day, others, .. } = &mut crew;
    let [b, c] = &mut others[..] else { panic!() };
    meet(&mut day.book, b);
    assert!(ready(b, &rig));
    // By way of the second, which was not in it.
    meet(b, c);
    assert!(ready(c, &rig));
    same(&day.book, c);
    // News of the third comes back the same way.
    c.hold_phone(&day.dp).unwrap();
    c.open_closure(&rig, "main", Some("port")).unwrap();
    assert!(ready(&day.book, &rig));
    meet(b, c);
    meet(&mut day.book, b);
    assert!(!ready(&day.book, &rig));
    same(&day.book, b);
    same(b, c);
    assert!(day.book.met().unwrap().iter().any(|m| m.lacks == 0));
}

#[test]
fn what_is_lacked_is_all_that_goes() {
    let mut crew = Crew::joined(1);
    crew.day.ready().unwrap();
    let Crew { day, others, .. } = &mut crew;
    let b = &mut others[0];
    let hello = b.hello().unwrap();
    let (_, first) = day.book.pack(Some(&hello), Vec::new()).unwrap();
    let all = day.book.pack(None, Vec::new()).unwrap().1;
    assert!(
        first.events > 50 && all.events > first.events,
        "{first:?} {all:?}"
    );
    meet(&mut day.book, b);
    let met = day.book.met().unwrap();
    assert_eq!(met.len(), 1);
    let hello = b.hello().unwrap();
    let (_, then) = day.book.pack(Some(&hello), Vec::new()).unwrap();
    assert_eq!(then.events, 0);
    // What it was last heard to have is kept, for the parcel that goes without asking.
    day.book.log_dive(&day.rig.clone(), 12.0, 40.0, "").unwrap();
    let known = day.book.heard_from(&b.journal().device()).unwrap().unwrap();
    let (sent, one) = day.book.pack(Some(&known), Vec::new()).unwrap();
    assert!((1..8).contains(&one.events), "{one:?}");
    assert_eq!(takes(b, &sent).new_events, one.events);
    assert_eq!(takes(b, &sent).new_events, 0, "sent twice");
}

#[test]
fn who_has_not_joined_reads_nothing_and_brings_nothing() {
    let mut crew = Crew::joined(1);
    crew.day.ready().unwrap();
    let all = parcel(&mut crew.day.book, None);
    let dir = folder();
    let mut stranger = Book::open(dir.path(), env(&crew.clock(), 77)).unwrap();
    let took = takes(&mut stranger, &all);
    assert_eq!(took.new_events, 0);
    assert!(
        took.aside
            .iter()
            .all(|(_, why)| matches!(why, Aside::Part(Fault::NoKey(_))))
    );
    // Nothing in it stands to be read: no name, no subject, no device.
    let rig = crew.day.rig.clone();
    let hex: Vec<&[u8]> = vec![b"Noor", b"Reef rig", rig.as_bytes(), b"enclosure", b"fact"];
    for words in hex {
        assert!(!all.windows(words.len()).any(|w| w == words), "{words:?}");
    }
    for extent in crew.day.book.journal().extents().unwrap() {
        assert!(!all.windows(32).any(|w| w == extent.device.0));
    }
    // What it sends is sealed with a key of its own.
    stranger
        .add_member("Mallory", slackwater_core::domain::facts::Role::Dp)
        .unwrap();
    let theirs = parcel(&mut stranger, None);
    let before = folded(crew.day.book.journal().read());
    let took = takes(&mut crew.day.book, &theirs);
    assert_eq!(took.new_events, 0);
    assert!(!took.aside.is_empty());
    assert_eq!(folded(crew.day.book.journal().read()), before);
}

#[test]
fn a_parcel_cut_anywhere_gives_what_came_through_and_the_next_one_the_rest() {
    let mut crew = Crew::joined(1);
    crew.day.ready().unwrap();
    let Crew { day, others, dirs } = &mut crew;
    let b = &mut others[0];
    let hello = b.hello().unwrap();
    // Several segments, as of several phones.
    let whole = parcel(&mut day.book, None);
    let mut taken = 0;
    for to in (4..whole.len()).step_by(whole.len() / 40) {
        let took = takes(b, &whole[..to]);
        assert!(!took.whole || !took.aside.is_empty());
        taken += took.new_events;
    }
    let took = takes(b, &whole);
    assert!(took.whole && took.aside.is_empty());
    taken += took.new_events;
    assert_eq!(
        taken,
        day.book.pack(Some(&hello), Vec::new()).unwrap().1.events
    );
    same(&day.book, b);
    let _ = dirs;
}

#[test]
fn a_spoiled_part_is_set_aside_and_the_rest_goes_on() {
    let mut crew = Crew::joined(2);
    let rig = crew.day.rig.clone();
    let Crew { day, others, .. } = &mut crew;
    let [b, c] = &mut others[..] else { panic!() };
    c.hold_phone(&day.dp).unwrap();
    c.log_dive(&rig, 10.0, 30.0, "").unwrap();
    day.book.log_dive(&rig, 12.0, 40.0, "").unwrap();
    meet(&mut day.book, c);
    let hello = b.hello().unwrap();
    let good = parts(&parcel(&mut day.book, Some(&hello)));
    let segments: Vec<usize> = (0..good.len())
        .filter(|n| Kind::of(&good[*n]).unwrap() == Kind::Segment)
        .collect();
    assert_eq!(segments.len(), 2);
    let mut bad = good.clone();
    let end = bad[segments[0]].len() - 1;
    bad[segments[0]][end] ^= 1;
    let took = takes(b, &packed(&bad));
    assert!(took.whole && took.new_events > 0);
    assert!(
        matches!(took.aside[..], [(_, Aside::Part(Fault::Changed))]),
        "{:?}",
        took.aside
    );
    // In any order, a part of a newer program, something else between.
    let mut turned = good.clone();
    turned.reverse();
    turned.insert(1, [b"SWS7".to_vec(), vec![0; 80]].concat());
    turned.insert(2, vec![0; 90]);
    let took = takes(b, &packed(&turned));
    let why: Vec<String> = took.aside.iter().map(|(_, why)| why.to_string()).collect();
    assert_eq!(why.len(), 2, "{why:?}");
    same(&day.book, b);
}

#[test]
fn a_code_is_for_one_phone_for_a_while_and_can_be_taken_back() {
    let mut crew = Crew::new(3);
    let clock = crew.clock();
    let Crew { day, others, .. } = &mut crew;
    let [b, c, d] = &mut others[..] else { panic!() };
    let code = day.book.invite().unwrap();
    assert_eq!(day.book.invitations().unwrap().len(), 1);
    let refused = |r: Result<_, BookFault>| match r {
        Err(BookFault::Refused(why)) => Some(why),
        _ => None,
    };
    assert_eq!(refused(day.book.join(&code)), Some(Refusal::OwnCode));
    clock.advance(20 * 60_000);
    assert_eq!(refused(b.join(&code)), Some(Refusal::CodeOver));
    clock.advance(-20 * 60_000);
    // Two phones read it: it can't be told which was meant, so neither is let in.
    b.join(&code).unwrap();
    c.join(&code).unwrap();
    meet(&mut day.book, b);
    assert_eq!(standing(&day.book, &b.journal().device()), Standing::Crew);
    try_to_meet(&mut day.book, c);
    for phone in [&*b, &*c] {
        assert_ne!(
            standing(&day.book, &phone.journal().device()),
            Standing::Crew
        );
    }
    // A member says which.
    day.book.admit(&[b.journal().device()]).unwrap();
    assert_eq!(standing(&day.book, &b.journal().device()), Standing::Crew);
    assert_ne!(standing(&day.book, &c.journal().device()), Standing::Crew);
    // One that was taken back lets nobody in, also who had read it and was not heard of.
    let code = day.book.invite().unwrap();
    d.join(&code).unwrap();
    day.book.uninvite().unwrap();
    assert_eq!(day.book.invitations().unwrap(), []);
    try_to_meet(&mut day.book, d);
    assert_ne!(standing(&day.book, &d.journal().device()), Standing::Crew);
    // Nor is what is sealed from then on for who read it.
    day.book
        .add_member("Kim", slackwater_core::domain::facts::Role::Other)
        .unwrap();
    let hello = d.hello().unwrap();
    let took = takes(d, &parcel(&mut day.book, Some(&hello)));
    assert_eq!(took.new_events, 0);
}

#[test]
fn a_retired_phone_is_read_no_more_and_reads_no_more() {
    let mut crew = Crew::joined(2);
    let rig = crew.day.rig.clone();
    crew.day.ready().unwrap();
    let lost = crew.device(1);
    let Crew { day, others, .. } = &mut crew;
    let [b, c] = &mut others[..] else { panic!() };
    meet(&mut day.book, c);
    meet(&mut day.book, b);
    c.hold_phone(&day.dp).unwrap();
    day.book.dismiss(&[lost]).unwrap();
    // It writes on, and so does who has not heard of it.
    c.open_closure(&rig, "main", None).unwrap();
    let late = parcel(c, None);
    // What is sealed since is not for it.
    day.book.log_dive(&rig, 11.0, 20.0, "").unwrap();
    let hello = c.hello().unwrap();
    let since = parcel(&mut day.book, Some(&hello));
    assert_eq!(takes(c, &since).new_events, 0);
    assert_eq!(takes(b, &since).aside.len(), 0);
    assert_eq!(standing(b, &lost), Standing::Dismissed);
    // What it wrote since is kept, told, and counts for nothing.
    let before = folded(day.book.journal().read());
    let took = takes(&mut day.book, &late);
    assert!(took.new_events > 0);
    assert_eq!(folded(day.book.journal().read()), before);
    assert!(day.book.phone(&lost).unwrap().unwrap().apart > 0);
    meet(&mut day.book, b);
    same(&day.book, b);
}

#[test]
fn two_dismissals_that_cross_end_in_a_key_that_neither_reads() {
    let mut crew = Crew::joined(3);
    let (c_id, d_id) = (crew.device(1), crew.device(2));
    let Crew { day, others, .. } = &mut crew;
    let [b, c, d] = &mut others[..] else { panic!() };
    // Apart: each makes a new key, for all that it knows.
    b.hold_phone(&day.dp).unwrap();
    day.book.dismiss(&[c_id]).unwrap();
    b.dismiss(&[d_id]).unwrap();
    let to_d = {
        let hello = d.hello().unwrap();
        parcel(&mut day.book, Some(&hello))
    };
    let to_c = {
        let hello = c.hello().unwrap();
        parcel(b, Some(&hello))
    };
    assert!(
        takes(d, &to_d).new_events > 0,
        "nobody has told the first phone"
    );
    assert!(takes(c, &to_c).new_events > 0, "nor the second");
    meet(&mut day.book, b);
    meet(&mut day.book, b);
    day.book
        .add_member("Kim", slackwater_core::domain::facts::Role::Other)
        .unwrap();
    for from in [&mut day.book, b] {
        let all = parcel(from, None);
        for gone in [&mut *c, &mut *d] {
            assert_eq!(takes(gone, &all).new_events, 0);
        }
    }
    meet(&mut day.book, b);
    same(&day.book, b);
}

#[test]
fn a_restored_copy_goes_on_under_another_key_and_both_histories_travel() {
    let mut crew = Crew::joined(2);
    let rig = crew.day.rig.clone();
    crew.day.ready().unwrap();
    let clock = crew.clock();
    let Crew { day, others, dirs } = &mut crew;
    let [b, c] = &mut others[..] else { panic!() };
    meet(&mut day.book, b);
    meet(&mut day.book, c);
    // The first phone's database, on another one, with its key.
    let copy = folder();
    copy_folder(dirs[0].path(), copy.path());
    let mut twin = Book::open(copy.path(), env(&clock, 90)).unwrap();
    twin.log_dive(&rig, 10.0, 30.0, "").unwrap();
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    try_to_meet(b, &mut twin);
    try_to_meet(c, &mut day.book);
    for _ in 0..3 {
        try_to_meet(b, c);
        try_to_meet(&mut day.book, b);
        try_to_meet(&mut twin, c);
        // A member says of both that they are the crew's, on each phone that doesn't know it.
        let twins = [twin.journal().device(), day.book.journal().device()];
        for phone in [&mut *b, &mut *c] {
            phone.hold_phone(&day.dp).unwrap();
            phone.admit(&twins).unwrap();
        }
    }
    for book in [&*b, &*c, &day.book, &twin] {
        assert!(
            !ready(book, &rig),
            "neither what was opened nor what was dived is forgotten"
        );
    }
    assert_ne!(twin.journal().device(), day.book.journal().device());
    same(b, c);
    same(b, &day.book);
    same(b, &twin);
    let digests: Vec<_> = [&*b, &*c, &day.book, &twin]
        .map(|book| {
            let extents = book.journal().extents().unwrap();
            extents.iter().find_map(|e| e.forked)
        })
        .to_vec();
    assert!(
        digests[0].is_some() && digests.iter().all(|d| *d == digests[0]),
        "{digests:?}"
    );
}

fn copy_folder(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        if entry.file_type().unwrap().is_file() && entry.file_name() != "slackwater.lock" {
            std::fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
        }
    }
}

/// Seen: once a file had been given up, no parcel could be packed or taken any more.
#[test]
fn what_was_given_up_before_stands_in_no_way() {
    let mut crew = Crew::joined(1);
    let Crew { day, others, .. } = &mut crew;
    for book in [&mut day.book, &mut others[0]] {
        book.watch().give_up();
    }
    let whole = parcel(&mut day.book, None);
    assert!(takes(&mut others[0], &whole).whole);
}

#[test]
fn what_is_no_parcel_says_so() {
    let mut crew = Crew::new(0);
    let book = &mut crew.day.book;
    let no = |book: &mut Book, bytes: &[u8]| match book.unpack(bytes) {
        Err(ExchangeFault::Part(fault)) => fault.to_string(),
        other => panic!("{other:?}"),
    };
    assert_eq!(no(book, b""), "it is no part of an exchange");
    assert_eq!(
        no(book, b"PK\x03\x04 a picture"),
        "it is no part of an exchange"
    );
    assert_eq!(no(book, b"SWP2"), "a newer version wrote it: part SWP2");
}
