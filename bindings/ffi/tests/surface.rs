//! What the surface promises of itself, tried from Rust. The languages try it again from their side
//! (`bindings/SMOKE.md`).

#![allow(
    clippy::unwrap_used,
    reason = "a failed assumption in a test is a failed test"
)]

use slackwater::{ChangeListener, OpenOptions, Screens, Slackwater, SlackwaterError};
use slackwater_core::screens::common::Place;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

fn open(folder: &std::path::Path) -> Arc<Slackwater> {
    Slackwater::open(OpenOptions {
        folder: folder.display().to_string(),
        utc_offset_minutes: 0,
        demo: false,
        fixed_time_ms: Some(1_780_293_600_000),
        device_seed: None,
        language: None,
        device_seed_lost: None,
    })
    .unwrap()
}

/// Notes what it hears; `then` is called from inside, once.
#[derive(Default)]
struct Ear {
    heard: Mutex<Vec<u64>>,
    inside: AtomicUsize,
    overlaps: AtomicUsize,
    then: OnceLock<Box<dyn Fn() + Send + Sync>>,
    thens: AtomicU64,
}

impl ChangeListener for Ear {
    fn changed(&self, revision: u64) {
        if self.inside.fetch_add(1, Ordering::SeqCst) > 0 {
            self.overlaps.fetch_add(1, Ordering::SeqCst);
        }
        std::thread::yield_now();
        self.heard.lock().unwrap().push(revision);
        self.inside.fetch_sub(1, Ordering::SeqCst);
        if let Some(then) = self.then.get()
            && self.thens.fetch_add(1, Ordering::SeqCst) == 0
        {
            then();
        }
    }
}

#[test]
fn revisions_grow_and_calls_never_overlap_whatever_the_threads() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let ear = Arc::new(Ear::default());
    let _subscription = slackwater.subscribe(ear.clone());
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                for n in 0..50 {
                    slackwater.set_utc_offset(n).unwrap();
                }
            });
        }
    });
    let heard = ear.heard.lock().unwrap().clone();
    assert_eq!(heard.first(), Some(&0), "the present revision comes first");
    assert!(heard.windows(2).all(|w| w[0] < w[1]), "{heard:?}");
    assert_eq!(heard.last(), Some(&200), "the newest is always told");
    assert_eq!(ear.overlaps.load(Ordering::SeqCst), 0);
}

#[test]
fn a_subscription_that_was_closed_or_dropped_hears_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let (closed, dropped) = (Arc::new(Ear::default()), Arc::new(Ear::default()));
    let subscription = slackwater.subscribe(closed.clone());
    subscription.close();
    drop(slackwater.subscribe(dropped.clone()));
    slackwater.set_utc_offset(60).unwrap();
    for ear in [closed, dropped] {
        assert_eq!(*ear.heard.lock().unwrap(), [0]);
    }
}

#[test]
fn a_listener_that_changes_something_does_not_lock_up_and_hears_of_it() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let (ear, other) = (Arc::new(Ear::default()), Arc::new(Ear::default()));
    let _a = slackwater.subscribe(other.clone());
    let _b = slackwater.subscribe(ear.clone());
    let again = slackwater.clone();
    let _ = ear
        .then
        .set(Box::new(move || again.set_utc_offset(5).unwrap()));
    slackwater.set_utc_offset(60).unwrap();
    assert_eq!(*ear.heard.lock().unwrap(), [0, 1, 2]);
    assert_eq!(*other.heard.lock().unwrap(), [0, 1, 2]);
}

/// Seen: the listener's own lock was held while it ran, so the other thread's action waited for the
/// listener and the listener for the action, and every later action behind them.
#[test]
fn a_listener_that_waits_for_another_threads_action_blocks_nobody() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let ear = Arc::new(Ear::default());
    let _subscription = slackwater.subscribe(ear.clone());
    let other = slackwater.clone();
    let (done, waits) = std::sync::mpsc::channel();
    let _ = ear.then.set(Box::new(move || {
        let (other, done) = (other.clone(), done.clone());
        let (acted, wait) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            other.set_utc_offset(5).unwrap();
            acted.send(()).unwrap();
        });
        let _ = done.send(wait.recv_timeout(std::time::Duration::from_secs(10)));
    }));
    slackwater.set_utc_offset(60).unwrap();
    assert_eq!(waits.recv().unwrap(), Ok(()), "the other thread's action");
    assert_eq!(*ear.heard.lock().unwrap(), [0, 1, 2]);
    assert_eq!(ear.overlaps.load(Ordering::SeqCst), 0);
}

#[test]
fn a_listener_that_panics_takes_no_call_with_it() {
    struct Broken;
    impl ChangeListener for Broken {
        fn changed(&self, _: u64) {
            panic!("the listener broke");
        }
    }
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let ear = Arc::new(Ear::default());
    let _broken = slackwater.subscribe(Arc::new(Broken));
    let _sound = slackwater.subscribe(ear.clone());
    slackwater.set_utc_offset(60).unwrap();
    assert_eq!(*ear.heard.lock().unwrap(), [0, 1]);
}

#[test]
fn every_object_says_closed_after_close_and_a_new_store_opens() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let (screens, photos): (Arc<Screens>, _) = (slackwater.screens(), slackwater.photos());
    slackwater.close();
    slackwater.close();
    let is_closed = |e: SlackwaterError| matches!(e, SlackwaterError::Closed { .. });
    let place = Place::Rigs { form: None };
    assert!(screens.show(place.clone()).is_err_and(is_closed));
    assert!(screens.undo("x".into()).is_err_and(is_closed));
    assert!(screens.add_procedure(vec![]).is_err_and(is_closed));
    assert!(
        photos
            .add("x".into(), String::new(), vec![])
            .is_err_and(is_closed)
    );
    assert!(photos.thumbnail("x".into()).is_err_and(is_closed));
    assert!(photos.export("x".into(), false).is_err_and(is_closed));
    assert!(slackwater.words().is_err_and(is_closed));
    assert!(slackwater.set_utc_offset(0).is_err_and(is_closed));
    assert!(slackwater.advance_clock(1).is_err_and(is_closed));
    open(dir.path()).screens().show(place).unwrap();
}

#[test]
fn a_panic_is_an_error_and_the_store_goes_on() {
    let dir = tempfile::tempdir().unwrap();
    let slackwater = open(dir.path());
    let why = slackwater::fail_on_purpose().unwrap_err();
    assert!(matches!(why, SlackwaterError::Internal { ref reason } if reason == "on purpose"));
    slackwater
        .screens()
        .show(Place::Rigs { form: None })
        .unwrap();
}
