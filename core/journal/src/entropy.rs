//! The one door for randomness.

use std::sync::atomic::{AtomicU64, Ordering};

/// Where random bytes come from.
pub trait Entropy: Send + Sync {
    /// Fills `bytes`.
    fn fill(&self, bytes: &mut [u8]);
}

/// The operating system's generator.
#[derive(Debug, Default)]
pub struct SystemEntropy;

impl Entropy for SystemEntropy {
    fn fill(&self, bytes: &mut [u8]) {
        // The system generator fails only before the kernel has seeded it, which no phone app
        // lives to see; weak keys would be worse than stopping here.
        #[allow(clippy::expect_used)]
        getrandom::fill(bytes).expect("the system's random generator answers");
    }
}

/// Repeatable bytes, for tests and for the demo. Not secret.
#[derive(Debug)]
pub struct SeededEntropy {
    seed: u64,
    drawn: AtomicU64,
}

impl SeededEntropy {
    /// The stream of this seed.
    pub fn new(seed: u64) -> SeededEntropy {
        SeededEntropy {
            seed,
            drawn: AtomicU64::new(0),
        }
    }
}

impl Entropy for SeededEntropy {
    fn fill(&self, bytes: &mut [u8]) {
        let n = self.drawn.fetch_add(1, Ordering::SeqCst);
        let mut hasher = blake3::Hasher::new();
        hasher
            .update(&self.seed.to_le_bytes())
            .update(&n.to_le_bytes());
        hasher.finalize_xof().fill(bytes);
    }
}
