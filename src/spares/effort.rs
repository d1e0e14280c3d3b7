//! How much is looked at in one component: everything up to a size, less beyond it, so that the work of a plant grows
//! little faster than the plant. All limits are counts, never a clock.

/// Pairs of type and class, and packs of the types, of a component in which everything is looked at.
const SIZE: f64 = 3_500.0;

/// Limits of the search and the bound of one component.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Effort {
    /// Steps of the prices at the root.
    pub(super) steps: usize,
    /// Steps from one real choice made of the packings to the next.
    pub(super) build_every: usize,
    /// Rounds of taking pools apart and putting them together.
    pub(super) rounds: usize,
    /// Times that counts of units are looked for.
    pub(super) counts: usize,
    /// Nodes of the bound's branching.
    pub(super) nodes: usize,
    /// Drawn exchanges between pools packed tight.
    pub(super) exchanges: usize,
}

impl Effort {
    /// The effort of a component of so many pairs and packs. The exponents were chosen on drawn plants of 2,000 to 5,000
    /// positions, where the gap of the whole stays within a tenth of a percent of that of full effort.
    pub(super) fn of(size: usize) -> Self {
        let over = (size as f64 / SIZE).max(1.0);
        let less = |most: f64, power: f64| (most / over.powf(power)) as usize;
        Self {
            steps: less(2_000.0, 0.5),
            build_every: (8.0 * over) as usize,
            rounds: less(1_500.0, 1.5),
            counts: usize::from(over < 2.0),
            nodes: less(30.0, 3.0),
            exchanges: less(40_000.0, 1.5),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn effort_falls_only_beyond_the_size() {
        assert_eq!(Effort::of(10), Effort::of(3_500));
        let (full, large) = (Effort::of(3_500), Effort::of(14_000));
        // Four times the size: half the steps, an eighth of the rounds, no branching.
        assert_eq!((full.steps, large.steps), (2_000, 1_000));
        assert_eq!((full.rounds, large.rounds), (1_500, 187));
        assert_eq!((full.build_every, large.build_every), (8, 32));
        assert_eq!((full.nodes, large.nodes, large.counts), (30, 0, 0));
    }
}
