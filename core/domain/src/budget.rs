//! What a file that comes in may cost: time, memory, disk. All limits stand here or are named here.
//!
//! A file comes from another phone, a logger, a stranger. Whatever is in it, the phone must answer
//! again within seconds and must not run out of memory or room: on deck a phone that hangs is a phone
//! that doesn't say whether the rig is ready. Beyond its budget a file is refused with a sentence, and
//! nothing of it stays.
//!
//! | file | what is limited | why that much |
//! |---|---|---|
//! | hold log | [`log::limits`]: 8 MB, 200,000 rows, 4 KiB a line, 200 keys, 64 columns, 100 rechecks | a night read every second is 4 MB and 43,000 rows |
//! | hold log | of its readings [`READINGS`] are kept, and a hold is judged by as many | the judge takes means of more than 60 all the same; what looks for slips grows with their square |
//! | procedure | [`procedure::limits`](super::procedure::limits): 256 KiB, 200 steps, 100 faults told | the longest built in is 16 KiB |
//! | everything | [`events_bytes`], [`LINE_BYTES`] an event | an event is 0.7 to 1 KB of text and packs to 0.2 KB, since hashes and signatures don't pack: five to one. Sixteen to one is a bomb |
//! | everything | [`photos_bytes`] of photos, each at most [`MAX_PHOTO_BYTES`](super::photos::MAX_PHOTO_BYTES), and only those that an event names | photos are packed already: they unpack to what they are |
//! | everything | [`PARTS`] parts | a season has some thousand photos; each part costs memory before one is read |
//! | everything | [`Stopwatch`] | whatever is left that is slow by design |
//! | what counts from now on ([`admission`](super::admission)), and what would | [`Stopwatch`], anew | it was not folded when it came in |
//! | everything, folded anew where a file takes out what had counted | [`Stopwatch`], anew, for every event there is | a phone that is not of the crew any more leaves with what it wrote unheard; a member's own word on a phone has no limit, since a lost phone must be dismissed however long the record is |
//!
//! Time is what the phone works at it, not what it waits for: beside other work, or put away, it may
//! take long over an honest file. And it is measured in signatures, not in seconds alone: a slow phone gets as much more as it is slow.
//! An honest event costs two checks of a signature (its own, and the folding and writing of it); five
//! are granted, and [`GRACE`] on top: on a machine that checks a signature in 60 µs a file takes at
//! most 2 s and 0.3 ms an event.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Duration;

pub use super::hold_log as log;
use slackwater_journal::{Event, clock};

/// Most readings of a hold from a file that are kept, and that any hold is judged by.
pub const READINGS: usize = 1_000;

/// Longest line of a file's events, bytes. The longest body there is holds a night's log as older
/// programs kept it, of a reading every second: 4 MB, and quotes count twice.
pub const LINE_BYTES: u64 = 8 << 20;

/// Most parts of a file of everything.
pub const PARTS: u64 = 50_000;

/// Time that any file has, whatever is in it.
pub const GRACE: Duration = Duration::from_secs(2);

/// Checks of a signature that an event may take as long as.
const CHECKS: u32 = 5;

/// After so many events a check is measured again.
const MEASURED_EVERY: u64 = 128;

/// How much text of events a file of so many bytes may hold.
pub fn events_bytes(file: u64) -> u64 {
    (16 << 20) + file.saturating_mul(16)
}

/// How many bytes of photos a file of so many bytes may hold.
pub fn photos_bytes(file: u64) -> u64 {
    (16 << 20) + file.saturating_mul(2)
}

/// Which of `n` readings in time order stand for all of them: all where they are at most `most`, else
/// `most`, closer together at the beginning, where the gas settles. The first and the last are among
/// them. Readings are chosen, not averaged: what the gauge showed stays what it showed.
pub fn thinned(n: usize, most: usize) -> Vec<usize> {
    if n <= most || most < 2 {
        return (0..n).collect();
    }
    let (left_out, last) = ((n - most) as f64, (most - 1) as f64);
    (0..most)
        .map(|k| {
            let part = k as f64 / last;
            k + (left_out * part * part).round() as usize
        })
        .collect()
}

/// How far a file has come in, and the word to give it up. Shared between the thread that brings it
/// in and whoever shows it.
#[derive(Debug, Default)]
pub struct Watch {
    done: AtomicU64,
    of: AtomicU64,
    given_up: AtomicBool,
}

impl Watch {
    /// A file begins to come in, of so many events and photos.
    pub fn begin(&self, of: u64) {
        self.given_up.store(false, Ordering::SeqCst);
        self.done.store(0, Ordering::SeqCst);
        self.of.store(of, Ordering::SeqCst);
    }

    /// So many more are to be done than were known of.
    pub fn more(&self, n: u64) {
        self.of.fetch_add(n, Ordering::SeqCst);
    }

    /// One more event or photo is done.
    pub fn step(&self) {
        self.done.fetch_add(1, Ordering::SeqCst);
    }

    /// Nothing comes in any more.
    pub fn end(&self) {
        self.of.store(0, Ordering::SeqCst);
    }

    /// Done and how many there are; none while nothing comes in.
    pub fn how_far(&self) -> Option<(u64, u64)> {
        let of = self.of.load(Ordering::SeqCst);
        (of > 0).then(|| (self.done.load(Ordering::SeqCst).min(of), of))
    }

    /// Gives up what is coming in; nothing of it stays.
    pub fn give_up(&self) {
        self.given_up.store(true, Ordering::SeqCst);
    }

    /// Whether it was given up.
    pub fn is_given_up(&self) -> bool {
        self.given_up.load(Ordering::SeqCst)
    }
}

/// The time that a file has: [`GRACE`], and for each event as long as five checks of a signature take
/// on this phone just then.
#[derive(Debug)]
pub struct Stopwatch {
    began: Duration,
    check: Duration,
    granted: Duration,
    events: u64,
}

impl Default for Stopwatch {
    /// Begins now.
    fn default() -> Stopwatch {
        Stopwatch {
            began: clock::worked(),
            check: Duration::ZERO,
            granted: GRACE,
            events: 0,
        }
    }
}

impl Stopwatch {
    /// One more event: whether its time has run out.
    pub fn is_over(&mut self, event: &Event) -> bool {
        // Anew now and then: a phone that grows warm grows slow.
        if self.events.is_multiple_of(MEASURED_EVERY) {
            self.check = time_of_check(event);
        }
        self.events += 1;
        self.granted = self.granted.saturating_add(self.check * CHECKS);
        self.ran_out(clock::worked().saturating_sub(self.began))
    }

    fn ran_out(&self, worked: Duration) -> bool {
        worked > self.granted
    }
}

/// How long a check of a signature takes, by the quickest of a few.
fn time_of_check(event: &Event) -> Duration {
    let checks = (0..4).map(|_| {
        let at = clock::worked();
        let _ = event.verify();
        clock::worked().saturating_sub(at)
    });
    // A body of megabytes, or no signature at all, is not the measure.
    checks
        .min()
        .unwrap_or_default()
        .clamp(Duration::from_micros(30), Duration::from_millis(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinned_readings_keep_both_ends_and_the_beginning_close_together() {
        assert_eq!(thinned(5, 1_000), [0, 1, 2, 3, 4]);
        for n in [1_000, 1_001, 1_500, 43_200, 200_000] {
            let kept = thinned(n, 1_000);
            assert_eq!(kept.len(), 1_000);
            assert_eq!((kept[0], kept[999]), (0, n - 1));
            assert!(kept.windows(2).all(|w| w[0] < w[1]), "{n}");
            assert!(kept[1] - kept[0] <= kept[999] - kept[998]);
        }
        // Of a night read every second 100 readings are of the first nine minutes.
        let night = thinned(43_200, 1_000);
        assert!(night.iter().filter(|&&i| i < 540).count() >= 100);
    }

    #[test]
    fn time_runs_out_by_itself_and_each_event_brings_some() {
        let mut watch = Stopwatch::default();
        let key = ed25519_dalek::SigningKey::from_bytes(&[1; 32]);
        let event = Event {
            device: slackwater_journal::DeviceId(key.verifying_key().to_bytes()),
            seq: 1,
            hlc: slackwater_journal::Hlc(1),
            wall_ms: 0,
            author: String::new(),
            subject: String::new(),
            kind: String::new(),
            body: Vec::new(),
            heard: None,
            prev: [0; 32],
            hash: [0; 32],
            signature: [0; 64],
        };
        for _ in 0..300 {
            assert!(!watch.is_over(&event));
        }
        let granted = watch.granted - GRACE;
        assert!(
            granted >= Duration::from_micros(30 * 5 * 300),
            "{granted:?}"
        );
        assert!(!watch.ran_out(watch.granted));
        assert!(watch.ran_out(watch.granted + Duration::from_millis(1)));
    }

    #[test]
    fn a_watch_says_how_far_and_is_fresh_for_the_next_file() {
        let watch = Watch::default();
        assert_eq!(watch.how_far(), None);
        watch.begin(3);
        watch.step();
        assert_eq!(watch.how_far(), Some((1, 3)));
        watch.give_up();
        assert!(watch.is_given_up());
        watch.end();
        assert_eq!(watch.how_far(), None);
        watch.begin(2);
        assert!(!watch.is_given_up());
    }
}
