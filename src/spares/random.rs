//! Numbers that look drawn and are the same on every run and machine.

/// SplitMix64.
///
/// # Source
/// Steele, Lea and Flood, *Fast splittable pseudorandom number generators*, 2014; constants from memory,
/// first value from seed 0 is 0xE220A8397B1DCDAF.
#[derive(Clone, Debug)]
pub struct SplitMix(u64);

impl SplitMix {
    /// A sequence by its seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        (self.unit() * count as f64) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sequence_is_the_published_one() {
        assert_eq!(SplitMix::new(0).bits(), 0xE220_A839_7B1D_CDAF);
    }
}
