//! A seeded generator: splitmix64.

/// Numbers that look random and are the same on every machine.
#[derive(Debug)]
pub(crate) struct Seed(u64);

impl Seed {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A whole number below `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }

    /// One of a list.
    pub(crate) fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        let at = self.below(list.len());
        &list[at]
    }

    /// True in `share` of a hundred cases.
    pub(crate) fn chance(&mut self, share: usize) -> bool {
        self.below(100) < share
    }
}
