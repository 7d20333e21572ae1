//! The one door for time.

use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{SystemTime, UNIX_EPOCH};

/// Where the time of day comes from.
pub trait Clock: Send + Sync {
    /// Milliseconds since 1970-01-01 00:00 UTC, as this device believes.
    fn now_ms(&self) -> i64;
}

/// The device's own clock.
#[derive(Debug, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now_ms(&self) -> i64 {
        match SystemTime::now().duration_since(UNIX_EPOCH) {
            Ok(d) => i64::try_from(d.as_millis()).unwrap_or(i64::MAX),
            Err(e) => -i64::try_from(e.duration().as_millis()).unwrap_or(i64::MAX),
        }
    }
}

/// A clock that stands still until it is moved. For tests, for pictures, for the demo.
#[derive(Debug)]
pub struct FixedClock(AtomicI64);

impl FixedClock {
    /// A clock that stands at `now_ms`.
    pub fn at(now_ms: i64) -> FixedClock {
        FixedClock(AtomicI64::new(now_ms))
    }

    /// Moves it, forward or back, by so many milliseconds.
    pub fn advance(&self, by_ms: i64) {
        self.0.fetch_add(by_ms, Ordering::SeqCst);
    }

    /// Sets it.
    pub fn set(&self, now_ms: i64) {
        self.0.store(now_ms, Ordering::SeqCst);
    }
}

impl Clock for FixedClock {
    fn now_ms(&self) -> i64 {
        self.0.load(Ordering::SeqCst)
    }
}

/// A hybrid logical clock reading: 48 bits of milliseconds, 16 bits of counter. It never goes back
/// on a device, whatever the wall clock does, and never lags an event that the device has seen.
///
/// Source: Kulkarni, Demirbas, Madappa, Avva, Leone, 'Logical Physical Clocks', OPODIS 2014,
/// in the packed form of its section 5.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Hlc(pub u64);

impl Hlc {
    /// Largest wall time that fits, ms.
    const MAX_MS: i64 = (1 << 47) - 1;

    /// The first reading of a wall time, ms; clamped as in [`Hlc::next`].
    pub fn at(ms: i64) -> Hlc {
        Hlc((ms.clamp(0, Self::MAX_MS) as u64) << 16)
    }

    /// The next reading, at wall time `now_ms`. Wall times before 1970 or after the year 6429
    /// count as those limits.
    #[must_use]
    pub fn next(self, now_ms: i64) -> Hlc {
        let wall = Hlc::at(now_ms).0;
        // A full counter carries into the milliseconds, which keeps the order.
        Hlc(wall.max(self.0 + 1))
    }

    /// Its milliseconds since 1970.
    pub fn ms(self) -> i64 {
        (self.0 >> 16) as i64
    }

    /// Its form in the file.
    pub fn to_i64(self) -> i64 {
        self.0 as i64
    }

    /// From its form in the file.
    pub fn from_i64(stored: i64) -> Hlc {
        Hlc(stored.max(0) as u64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hlc_never_goes_back() {
        let a = Hlc::default().next(1_000);
        assert_eq!(a.ms(), 1_000);
        let b = a.next(1_000);
        let c = b.next(-86_400_000);
        let d = c.next(2_000);
        assert!(a < b && b < c && c < d);
        assert_eq!(c.ms(), 1_000);
        assert_eq!(d.ms(), 2_000);
    }

    #[test]
    fn hlc_counter_carries() {
        let mut h = Hlc::default().next(5);
        for _ in 0..70_000 {
            let n = h.next(5);
            assert!(n > h);
            h = n;
        }
        assert_eq!(h.ms(), 6);
    }

    #[test]
    fn hlc_fits_sqlite_integers() {
        let h = Hlc::default().next(i64::MAX);
        assert_eq!(Hlc::from_i64(h.to_i64()), h);
        assert!(h.to_i64() > 0);
    }
}
