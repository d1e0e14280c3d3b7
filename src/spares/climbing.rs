//! Prices moved towards the best bound: steps along what the packings miss on average (the volume algorithm of
//! Barahona and Anbil, 2000; from memory). All limits are counts, never a clock.

use super::bound::{CENT, Held, Priced, Relaxed};

impl Relaxed {
    /// The best bound from `prices` on, up to `target`, and the prices that give it. `target` looks at
    /// the packings on the way and may come down.
    pub(super) fn climb(
        &self,
        start: &Start,
        held: &Held,
        pace: Pace,
        target: &mut dyn FnMut(usize, &Priced, &[f64]) -> f64,
    ) -> Climbed {
        let mut prices = start.prices.clone();
        let mut best = self.price(&prices, held);
        let mut best_prices = prices.clone();
        let mut average = Average::of(self, &best);
        let (mut step, mut stale, mut most, mut checked) = (pace.step, 0, 0.1, best.value);
        let mut here: Option<Priced> = None;
        for round in 0..pace.steps {
            let goal = target(round, here.as_ref().unwrap_or(&best), &prices);
            if best.value >= goal - CENT || step < 1e-4 {
                break;
            }
            let length: f64 = average
                .missing
                .iter()
                .zip(&best_prices)
                .map(|(d, u)| if *d < 0.0 && *u <= 0.0 { 0.0 } else { d * d })
                .sum();
            if length < 1e-9 {
                break;
            }
            let stride = step * (1.002 * goal - best.value).max(CENT) / length;
            for ((u, from), d) in prices.iter_mut().zip(&best_prices).zip(&average.missing) {
                *u = (from + stride * d).max(0.0);
            }
            let next = self.price(&prices, held);
            let along: f64 =
                average.missing.iter().zip(&next.covered).map(|(d, c)| d * (1.0 - c)).sum();
            average.add(self, &next, most);
            if next.value > best.value {
                stale = 0;
                if along >= 0.0 {
                    step = (step * 1.1_f64).min(2.0);
                }
                best_prices.clone_from(&prices);
                best = next;
                here = None;
            } else {
                stale += 1;
                here = Some(next);
                if stale >= pace.patience {
                    stale = 0;
                    step *= 0.66;
                }
            }
            if round % 100 == 99 {
                if best.value < checked + 0.01 * checked.abs() {
                    most = (most * 0.5_f64).max(0.005);
                }
                checked = best.value;
            }
        }
        let (share, units) = (average.share, average.units);
        Climbed { best, at: Start { prices: best_prices, share, units } }
    }
}

/// What was packed on the way, on average, the latest counting most.
struct Average {
    share: Vec<f64>,
    units: Vec<f64>,
    /// One less how often each class is served and each count met.
    missing: Vec<f64>,
}

impl Average {
    fn of(relaxed: &Relaxed, priced: &Priced) -> Self {
        let n = relaxed.types.len();
        let mut new = Self {
            share: vec![0.0; n],
            units: vec![0.0; n],
            missing: vec![0.0; priced.covered.len()],
        };
        new.mix(relaxed, priced, 1.0);
        new
    }

    fn add(&mut self, relaxed: &Relaxed, priced: &Priced, most: f64) {
        // The share of the new that misses least.
        let (mut up, mut down) = (0.0, 0.0);
        for (old, covered) in self.missing.iter().zip(&priced.covered) {
            let new = 1.0 - covered;
            up += old * (old - new);
            down += (old - new) * (old - new);
        }
        let best = if down > 1e-12 { up / down } else { most };
        self.mix(relaxed, priced, if best < 0.0 { most / 10.0 } else { best.min(most) });
    }

    fn mix(&mut self, relaxed: &Relaxed, priced: &Priced, new: f64) {
        for (at, chosen) in priced.chosen.iter().enumerate() {
            let pack = chosen.as_ref().map(|(pack, _)| &relaxed.types[at].1[*pack]);
            let (one, units) = pack.map_or((0.0, 0.0), |p| (1.0, f64::from(p.units)));
            self.share[at] += new * (one - self.share[at]);
            self.units[at] += new * (units - self.units[at]);
        }
        for (missing, covered) in self.missing.iter_mut().zip(&priced.covered) {
            *missing += new * (1.0 - covered - *missing);
        }
    }
}

/// Where a climb starts and ends.
#[derive(Clone, Debug)]
pub(super) struct Start {
    /// Prices of the classes, then of the counts.
    pub(super) prices: Vec<f64>,
    /// How often each type was worth opening on the way, the latest counting most.
    pub(super) share: Vec<f64>,
    /// Units held of each type on the way, the latest counting most.
    pub(super) units: Vec<f64>,
}

/// How the prices step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pace {
    /// Steps.
    pub(super) steps: usize,
    /// The first one's length.
    pub(super) step: f64,
    /// Steps without a gain after which they are shortened.
    pub(super) patience: usize,
}

/// A bound, and where it was found.
pub(super) struct Climbed {
    pub(super) best: Priced,
    pub(super) at: Start,
}
