//! Units of one type at hand: some are ready, others nobody has looked at, and each of these is good only with a chance.

/// Units at hand.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AtHand {
    /// Ready units, less what stop-gaps are owed; below zero while more is owed than is ready.
    pub ready: f64,
    /// Units that nobody has looked at.
    pub unproven: f64,
    /// Chance that one of them is good.
    pub chance: f64,
}

impl AtHand {
    /// Units that count on average.
    #[must_use]
    pub fn count(&self) -> f64 {
        (self.ready + self.chance * self.unproven).max(0.0)
    }

    /// With `more` ready units.
    #[must_use]
    pub fn with(self, more: f64) -> Self {
        Self { ready: self.ready + more, ..self }
    }

    /// With `looked_at` of the unproven ones known, and made good where they were not.
    #[must_use]
    pub fn proven(self, looked_at: f64) -> Self {
        let unproven = (self.unproven - looked_at).max(0.0);
        Self { ready: self.ready + looked_at, unproven, ..self }
    }

    /// What is to be expected of `f`, a function of the units that are good: Σ C(n, k) pᵏ (1 − p)ⁿ⁻ᵏ · f(ready + k), with
    /// n unproven units, each good with the chance p, one as likely as the other and independently.
    #[must_use]
    pub fn expect(&self, f: &dyn Fn(u32) -> f64) -> f64 {
        /// What is less likely counts for nothing.
        const UNLIKELY: f64 = 1e-12;
        let good = |k: f64| f((self.ready + k).clamp(0.0, 1e9).floor() as u32);
        let (n, p) = (self.unproven.max(0.0).floor(), self.chance.clamp(0.0, 1.0));
        if n < 1.0 || p <= 0.0 {
            return good(0.0);
        }
        if p >= 1.0 {
            return good(n);
        }
        let mut sum = 0.0;
        let mut ways_ln = n * (-p).ln_1p();
        for k in 0..=(n as u32) {
            let k = f64::from(k);
            let likely = ways_ln.exp();
            if likely > UNLIKELY {
                sum += likely * good(k);
            }
            ways_ln += ((n - k) / (k + 1.0)).ln() + (p / (1.0 - p)).ln();
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, two units good with 2/3 each: none with 1/9, one with 4/9, both with 4/9. A first unit saves 90 of 100,
    /// a second 9 more: 100/9 + 10·4/9 + 1·4/9 = 16; one ready unit leaves 10.
    #[test]
    fn the_chance_that_none_is_good_is_weighed() {
        let waits = |units: u32| [100.0, 10.0, 1.0][units.min(2) as usize];
        let two = AtHand { ready: 0.0, unproven: 2.0, chance: 2.0 / 3.0 };
        assert!((two.expect(&waits) - 16.0).abs() < 1e-12);
        assert!((two.count() - 4.0 / 3.0).abs() < 1e-12);
        let one = AtHand { ready: 1.0, ..AtHand::default() };
        assert!((one.expect(&waits) - 10.0).abs() < 1e-12);
        assert!((two.proven(1.0).expect(&waits) - (10.0 / 3.0 + 2.0 / 3.0)).abs() < 1e-12);
        assert!(
            (two.with(-1.0).expect(&waits) - (100.0 * 5.0 / 9.0 + 10.0 * 4.0 / 9.0)).abs() < 1e-12
        );
        for (chance, left) in [(0.0, 100.0), (1.0, 1.0)] {
            assert!((AtHand { chance, ..two }.expect(&waits) - left).abs() < 1e-12);
        }
    }

    /// Of a straight line the expectation is its value at the mean, however many there are.
    #[test]
    fn many_unproven_units_keep_their_mean() {
        for n in [1.0, 7.0, 150.0, 3_000.0] {
            let hand = AtHand { ready: 3.0, unproven: n, chance: 0.67 };
            let mean = hand.expect(&f64::from);
            assert!((mean - (3.0 + 0.67 * n)).abs() < 1e-8 * n, "{n}: {mean}");
        }
    }
}
