//! Chance that can be had again.

/// splitmix64 (Steele, Lea, Flood 2014; public domain): small, and one stream for each purpose, so
/// that leaving one thing out of a story leaves the others as they were.
#[derive(Debug, Clone)]
pub struct Dice {
    state: u64,
    spare: Option<f64>,
}

impl Dice {
    /// The stream of a seed for one purpose.
    #[must_use]
    pub fn of(seed: u64, purpose: &[u64]) -> Dice {
        let mut dice = Dice {
            state: seed,
            spare: None,
        };
        for part in purpose {
            dice.state = dice.bits() ^ part.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        }
        dice
    }

    /// 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.state;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^ (x >> 31)
    }

    /// 0 to 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 * (1.0 / (1_u64 << 53) as f64)
    }

    /// Even between two bounds.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Even in the logarithm between two bounds.
    pub fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// Below a count; 0 where that is 0.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// True with that chance.
    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// Standard normal, by the polar method.
    pub fn normal(&mut self) -> f64 {
        if let Some(x) = self.spare.take() {
            return x;
        }
        loop {
            let (a, b) = (self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            let r = a * a + b * b;
            if r > 0.0 && r < 1.0 {
                let f = (-2.0 * r.ln() / r).sqrt();
                self.spare = Some(b * f);
                return a * f;
            }
        }
    }

    /// One of several.
    pub fn of_these<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())]
    }
}
