//! The one door for time: the time of day, and the time since the device was switched on.

use std::fmt;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::entropy::{Entropy, SystemEntropy};

/// Where the time comes from.
pub trait Clock: Send + Sync {
    /// Milliseconds since 1970-01-01 00:00 UTC, as this device believes. A person or a network may
    /// set it at any moment, forward or back.
    fn now_ms(&self) -> i64;

    /// How long the device has been on, by a clock that nobody can set and that runs on while it
    /// sleeps; `None` where there is none. It may lag the truth, never lead it.
    fn boot(&self) -> Option<BootTime> {
        None
    }
}

/// One stretch of a device's life between being switched on and off. Two are the same only if the
/// device ran all the time between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct BootId(pub u64);

impl Serialize for BootId {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(&format_args!("{:016x}", self.0))
    }
}

impl<'de> Deserialize<'de> for BootId {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<BootId, D::Error> {
        let text = String::deserialize(from)?;
        u64::from_str_radix(&text, 16)
            .map(BootId)
            .map_err(serde::de::Error::custom)
    }
}

/// A moment by the boot clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct BootTime {
    /// Of which stretch.
    pub id: BootId,
    /// Milliseconds in it.
    pub ms: i64,
}

impl BootTime {
    /// Milliseconds from `earlier` to this, if both are of one stretch and in that order.
    pub fn since(self, earlier: BootTime) -> Option<i64> {
        (self.id == earlier.id && self.ms >= earlier.ms).then(|| self.ms.saturating_sub(earlier.ms))
    }
}

impl fmt::Display for BootTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x} {}", self.id.0, self.ms)
    }
}

impl BootTime {
    /// From two words as [`BootTime`] writes them; `None` where they are none.
    pub fn from_words<'a>(mut words: impl Iterator<Item = &'a str>) -> Option<BootTime> {
        let id = u64::from_str_radix(words.next()?, 16).ok()?;
        let ms = words.next()?.parse().ok()?;
        Some(BootTime { id: BootId(id), ms })
    }
}

/// The device's own clocks.
///
/// The boot clock is Linux' `CLOCK_BOOTTIME`, which counts sleep, with the kernel's random boot id
/// (`/proc/sys/kernel/random/boot_id`). On Android it is what `SystemClock.elapsedRealtime` reads,
/// so that no shell has to hand it over. Where there is neither, it is the time that this process
/// has run without sleep: too short, which errs towards *leaking* and *not yet*.
#[derive(Debug, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now_ms(&self) -> i64 {
        match SystemTime::now().duration_since(UNIX_EPOCH) {
            Ok(d) => whole_ms(d),
            Err(e) => -whole_ms(e.duration()),
        }
    }

    fn boot(&self) -> Option<BootTime> {
        Some(system_boot())
    }
}

/// How long this thread has worked: time in which it computed, not in which it waited for its turn or
/// for the disk. Two of them tell how much work lies between, never when something was. Where the
/// system doesn't count it, the time that the process has run.
pub fn worked() -> std::time::Duration {
    #[cfg(any(target_os = "linux", target_os = "android"))]
    {
        let t = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
        std::time::Duration::try_from(t).unwrap_or_default()
    }
    #[cfg(not(any(target_os = "linux", target_os = "android")))]
    {
        static START: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
        START.get_or_init(std::time::Instant::now).elapsed()
    }
}

fn whole_ms(time: std::time::Duration) -> i64 {
    i64::try_from(time.as_millis()).unwrap_or(i64::MAX)
}

fn system_boot() -> BootTime {
    #[cfg(any(target_os = "linux", target_os = "android"))]
    if let Some(id) = kernel_boot_id() {
        let t = rustix::time::clock_gettime(rustix::time::ClockId::Boottime);
        let on = std::time::Duration::try_from(t).unwrap_or_default();
        return BootTime {
            id,
            ms: whole_ms(on),
        };
    }
    process_time()
}

/// The kernel's id of this boot, read once.
#[cfg(any(target_os = "linux", target_os = "android"))]
fn kernel_boot_id() -> Option<BootId> {
    static ID: std::sync::OnceLock<Option<BootId>> = std::sync::OnceLock::new();
    *ID.get_or_init(|| {
        let text = std::fs::read_to_string("/proc/sys/kernel/random/boot_id").ok()?;
        let hex: String = text.chars().filter(char::is_ascii_hexdigit).collect();
        u64::from_str_radix(hex.get(..16)?, 16).ok().map(BootId)
    })
}

/// The time that this process has run, as a stretch of its own.
fn process_time() -> BootTime {
    static START: std::sync::OnceLock<(std::time::Instant, BootId)> = std::sync::OnceLock::new();
    let (start, id) = START.get_or_init(|| {
        let mut bytes = [0; 8];
        SystemEntropy.fill(&mut bytes);
        let id = BootId(u64::from_le_bytes(bytes));
        (std::time::Instant::now(), id)
    });
    BootTime {
        id: *id,
        ms: whole_ms(start.elapsed()),
    }
}

/// A clock that stands still until it is moved. For tests, for pictures, for the demo.
///
/// Its device has been on since 1970 unless it is restarted, so that one clock goes on where
/// another stopped.
#[derive(Debug)]
pub struct FixedClock {
    now_ms: AtomicI64,
    boot_id: AtomicU64,
    boot_ms: AtomicI64,
}

impl FixedClock {
    /// A clock that stands at `now_ms`.
    pub fn at(now_ms: i64) -> FixedClock {
        FixedClock {
            now_ms: AtomicI64::new(now_ms),
            boot_id: AtomicU64::new(0),
            boot_ms: AtomicI64::new(now_ms),
        }
    }

    /// A clock that stands `ago_ms` before `other`, on the same device, which has been on since.
    pub fn before(other: &dyn Clock, ago_ms: i64) -> FixedClock {
        let clock = FixedClock::at(other.now_ms() - ago_ms);
        if let Some(boot) = other.boot() {
            clock.boot_id.store(boot.id.0, Ordering::SeqCst);
            clock.boot_ms.store(boot.ms - ago_ms, Ordering::SeqCst);
        }
        clock
    }

    /// Moves it by so many milliseconds: forward, time passes; back, the time of day is set back.
    pub fn advance(&self, by_ms: i64) {
        self.now_ms.fetch_add(by_ms, Ordering::SeqCst);
        self.boot_ms.fetch_add(by_ms.max(0), Ordering::SeqCst);
    }

    /// Moves it to a time, as [`FixedClock::advance`] does.
    pub fn set(&self, now_ms: i64) {
        self.advance(now_ms - self.now_ms());
    }

    /// Someone, or a network, sets the time of day by so many milliseconds; none passes.
    pub fn jump(&self, by_ms: i64) {
        self.now_ms.fetch_add(by_ms, Ordering::SeqCst);
    }

    /// The device is switched off, stays off for `off_ms`, and has been on for `up_ms` since.
    pub fn restart(&self, off_ms: i64, up_ms: i64) {
        self.now_ms.fetch_add(off_ms + up_ms, Ordering::SeqCst);
        self.boot_id.fetch_add(1, Ordering::SeqCst);
        self.boot_ms.store(up_ms, Ordering::SeqCst);
    }
}

impl Clock for FixedClock {
    fn now_ms(&self) -> i64 {
        self.now_ms.load(Ordering::SeqCst)
    }

    fn boot(&self) -> Option<BootTime> {
        Some(BootTime {
            id: BootId(self.boot_id.load(Ordering::SeqCst)),
            ms: self.boot_ms.load(Ordering::SeqCst),
        })
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
    /// count as those limits. At the very end of time it stands still.
    #[must_use]
    pub fn next(self, now_ms: i64) -> Hlc {
        let wall = Hlc::at(now_ms).0;
        // A full counter carries into the milliseconds, which keeps the order.
        Hlc(wall.max(self.0.saturating_add(1)).min(Self::LAST.0))
    }

    /// The last reading there is: what the file keeps in 63 bits.
    pub const LAST: Hlc = Hlc(i64::MAX as u64);

    /// Its milliseconds since 1970.
    pub fn ms(self) -> i64 {
        (self.0 >> 16) as i64
    }

    /// Its form in the file.
    pub fn to_i64(self) -> i64 {
        self.0 as i64
    }

    /// From its form in the file. One beyond [`Hlc::LAST`], which a version wrote that let a clock run
    /// over, is kept as it was signed.
    pub fn from_i64(stored: i64) -> Hlc {
        Hlc(stored as u64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_systems_boot_clock_goes_on_and_cannot_be_set() {
        let a = SystemClock.boot().unwrap();
        let b = SystemClock.boot().unwrap();
        assert!(b.since(a).is_some());
        assert!(process_time().since(process_time()).is_some());
        // The kernel's own count of the seconds since boot, sleep included (proc(5), uptime).
        #[cfg(target_os = "linux")]
        {
            let uptime = std::fs::read_to_string("/proc/uptime").unwrap();
            let s: f64 = uptime.split(' ').next().unwrap().parse().unwrap();
            let after = SystemClock.boot().unwrap();
            assert!((after.ms as f64 / 1_000.0 - s).abs() < 5.0, "{after:?} {s}");
        }
    }

    #[test]
    fn a_fixed_clock_tells_passing_from_setting_and_restarting() {
        let c = FixedClock::at(1_000_000);
        let start = c.boot().unwrap();
        c.advance(5_000);
        c.jump(8 * 3_600_000);
        c.advance(-10_000);
        assert_eq!(c.boot().unwrap().since(start), Some(5_000));
        assert_eq!(c.now_ms(), 1_000_000 + 8 * 3_600_000 - 5_000);
        let earlier = FixedClock::before(&c, 60_000);
        assert_eq!(
            c.boot().unwrap().since(earlier.boot().unwrap()),
            Some(60_000)
        );
        c.restart(100_000, 20_000);
        assert_eq!(c.boot().unwrap().since(start), None);
        assert_eq!(c.boot().unwrap().ms, 20_000);
    }

    #[test]
    fn a_boot_moment_is_written_so_that_anyone_can_read_it() {
        let t = BootTime {
            id: BootId(0xfedc_ba98_7654_3210),
            ms: 5,
        };
        let text = r#"{"id":"fedcba9876543210","ms":5}"#;
        assert_eq!(serde_json::to_string(&t).unwrap(), text);
        assert_eq!(serde_json::from_str::<BootTime>(text).unwrap(), t);
    }

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
