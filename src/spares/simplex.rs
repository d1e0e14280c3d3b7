//! Linear programs whose columns and rows come one by one: the revised primal simplex with a dense inverse.
//!
//! ```text
//! least c·x   with   A·x = b,  x ≥ 0        y = c_B B⁻¹,   column j may enter where c_j − y·a_j < 0
//! ```
//!
//! Only prices (`y`) are taken from it, and every bound is worked out again from the prices by itself: rounding
//! here can make a bound weaker, never wrong. All limits are counts, never a clock. Dantzig, Linear Programming and
//! Extensions, 1963 (from memory).

/// Entries of a column by row.
pub(super) type Entries = Vec<(usize, f64)>;

/// A column that may enter.
#[derive(Clone, Debug)]
pub(super) struct Column<V> {
    /// What it stands for.
    pub(super) what: V,
    /// What it costs.
    pub(super) cost: f64,
    /// Its entries.
    pub(super) entries: Entries,
}

/// A basis with its inverse.
#[derive(Clone, Debug)]
pub(super) struct Basis<V> {
    /// The column of each place.
    holds: Vec<Column<V>>,
    /// `B⁻¹`, row by row.
    inverse: Vec<f64>,
    /// Right-hand sides.
    right: Vec<f64>,
    /// How much of each column is taken.
    taken: Vec<f64>,
}

/// Reduced costs above this do not enter.
const ENTERS: f64 = -1e-7;
/// Entries below this are none.
const NONE: f64 = 1e-7;
/// What may enter as another leaves stands in its row with more than this.
const PIVOT: f64 = 1e-5;
/// Less than nothing by this is nothing.
const BELOW: f64 = 1e-9;
/// Entries below this are left out of an exchange.
const TINY: f64 = 1e-13;
/// Pivots after which rounding is looked after.
const LOOKED_AFTER: usize = 20;
/// Columns looked at together between two looks at all of them.
const TOGETHER: usize = 24;
/// Pivots of one solution, for each row.
const PIVOTS: usize = 8;
/// Rows that are missed by more ask for a new inverse.
const DRIFT: f64 = 1e-7;

impl<V> Column<V> {
    /// What the column costs beyond what the prices of its rows pay.
    fn reduced(&self, prices: &[f64]) -> f64 {
        self.cost - self.entries.iter().map(|(row, a)| prices[*row] * a).sum::<f64>()
    }
}

impl<V: Clone + PartialEq> Basis<V> {
    /// A basis of columns that stand alone in their rows with the entry 1.
    pub(super) fn of(holds: Vec<Column<V>>, right: Vec<f64>) -> Self {
        let size = holds.len();
        let mut inverse = vec![0.0; size * size];
        for at in 0..size {
            inverse[at * size + at] = 1.0;
        }
        let taken = right.clone();
        Self { holds, inverse, right, taken }
    }

    /// What is taken of each column of the basis.
    pub(super) fn solution(&self) -> impl Iterator<Item = (&V, f64)> {
        self.holds.iter().map(|c| &c.what).zip(self.taken.iter().copied())
    }

    /// What the columns of the basis cost together.
    pub(super) fn value(&self) -> f64 {
        self.holds.iter().zip(&self.taken).map(|(c, x)| c.cost * x).sum()
    }

    /// The costs of the columns in the basis set anew.
    pub(super) fn set_costs(&mut self, cost: impl Fn(&V) -> f64) {
        for column in &mut self.holds {
            column.cost = cost(&column.what);
        }
    }

    /// Adds a row: `entry` is what each column in the basis has in it, `own` the column whose only entry, 1 or −1, stands
    /// in it. Where the row is missed, `own` is taken less than nothing until [`Basis::restore`].
    pub(super) fn extend(&mut self, entry: impl Fn(&V) -> f64, right: f64, own: Column<V>) {
        let size = self.holds.len();
        let sign = own.entries[0].1;
        let row: Vec<f64> = self.holds.iter().map(|c| entry(&c.what)).collect();
        let met: f64 = row.iter().zip(&self.taken).map(|(a, x)| a * x).sum();
        let mut last = vec![0.0; size + 1];
        for (at, a) in row.iter().enumerate().filter(|(_, a)| **a != 0.0) {
            let row = &self.inverse[at * size..(at + 1) * size];
            for (last, inverse) in last.iter_mut().zip(row) {
                *last -= sign * a * inverse;
            }
        }
        last[size] = sign;
        let mut inverse = Vec::with_capacity((size + 1) * (size + 1));
        for at in 0..size {
            inverse.extend_from_slice(&self.inverse[at * size..(at + 1) * size]);
            inverse.push(0.0);
        }
        inverse.extend(last);
        self.inverse = inverse;
        for (column, a) in self.holds.iter_mut().zip(&row).filter(|(_, a)| **a != 0.0) {
            column.entries.push((size, *a));
        }
        self.holds.push(own);
        self.right.push(right);
        self.taken.push(sign * (right - met));
    }

    /// Takes out what is `barred` or taken less than nothing, at the least rise in cost (the dual simplex). Columns
    /// that lower the cost are left to [`Basis::optimise`].
    pub(super) fn restore(
        &mut self,
        columns: &[Column<V>],
        pivots: usize,
        barred: impl Fn(&V) -> bool,
    ) {
        let prices = self.prices();
        let mut reduced: Vec<f64> = columns.iter().map(|c| c.reduced(&prices)).collect();
        for round in 0..pivots.min(PIVOTS * self.holds.len()) {
            if round % LOOKED_AFTER == LOOKED_AFTER - 1 && !self.is_sound() {
                return;
            }
            let Some((place, sign)) = self.worst(&barred) else { return };
            let size = self.holds.len();
            let row = &self.inverse[place * size..(place + 1) * size];
            let along: Vec<f64> = columns
                .iter()
                .map(|c| c.entries.iter().map(|(at, a)| row[*at] * a).sum::<f64>())
                .collect();
            // Of those that come first but for rounding, the one that stands largest in the row.
            let size_of = |at: &usize| sign * along[*at];
            let able = || (0..columns.len()).filter(|at| size_of(at) > PIVOT);
            let first = able()
                .map(|at| (reduced[at].max(0.0) - ENTERS) / size_of(&at))
                .fold(f64::INFINITY, f64::min);
            let entering = able()
                .filter(|at| reduced[*at].max(0.0) / size_of(at) <= first)
                .max_by(|a, b| size_of(a).total_cmp(&size_of(b)).then(b.cmp(a)));
            let Some(entering) = entering else { return };
            let step = reduced[entering] / along[entering];
            for (reduced, along) in reduced.iter_mut().zip(&along) {
                *reduced -= step * along;
            }
            let column = columns[entering].clone();
            let whole = self.along(&column.entries);
            self.pivot(place, &whole, column);
        }
    }

    /// The place to be emptied first, and the sign of what may enter there: of what is barred or taken less than
    /// nothing, what is furthest off for the length of its row (steepest edge).
    fn worst(&self, barred: &impl Fn(&V) -> bool) -> Option<(usize, f64)> {
        let off = |at: usize| {
            let (taken, out) = (self.taken[at], barred(&self.holds[at].what));
            let off = if out { taken.abs() + BELOW } else { -taken };
            let size = self.holds.len();
            let row = &self.inverse[at * size..(at + 1) * size];
            (off > 0.5 * BELOW).then(|| {
                let sign = if out && taken >= 0.0 { 1.0 } else { -1.0 };
                (off * off / row.iter().map(|a| a * a).sum::<f64>(), at, sign)
            })
        };
        let all = (0..self.holds.len()).filter_map(off);
        all.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))).map(|w| (w.1, w.2))
    }

    /// The prices of the rows for the columns in the basis.
    fn prices(&self) -> Vec<f64> {
        let size = self.holds.len();
        let mut prices = vec![0.0; size];
        for (column, row) in self.holds.iter().zip(self.inverse.chunks_exact(size)) {
            if column.cost != 0.0 {
                for (price, a) in prices.iter_mut().zip(row) {
                    *price += column.cost * a;
                }
            }
        }
        prices
    }

    /// Exchanges columns while that lowers the cost; the prices of the rows then.
    pub(super) fn optimise(&mut self, columns: &[Column<V>]) -> Vec<f64> {
        let mut prices = self.prices();
        let mut left = PIVOTS * self.holds.len();
        while left > 0 {
            let mut best: Vec<(f64, &Column<V>)> = columns
                .iter()
                .map(|c| (c.reduced(&prices), c))
                .filter(|(reduced, _)| *reduced < ENTERS)
                .collect();
            if best.is_empty() {
                break;
            }
            best.sort_by(|a, b| a.0.total_cmp(&b.0));
            best.truncate(TOGETHER);
            // The best of them are looked at again and again before all are.
            while let Some((reduced, column)) = self.steepest(&mut best, &prices) {
                left = left.saturating_sub(1);
                if left.is_multiple_of(LOOKED_AFTER) && !self.is_sound() {
                    return prices;
                }
                if left == 0 || !self.enter(column, reduced, &mut prices) {
                    return prices;
                }
            }
        }
        prices
    }

    /// Of some columns the one that lowers the cost most for the length of its edge; those that lower it no more
    /// are left out.
    fn steepest<'a>(
        &self,
        columns: &mut Vec<(f64, &'a Column<V>)>,
        prices: &[f64],
    ) -> Option<(f64, &'a Column<V>)> {
        for (reduced, column) in columns.iter_mut() {
            *reduced = column.reduced(prices);
        }
        columns.retain(|(reduced, _)| *reduced < ENTERS);
        let steep = |(reduced, column): &(f64, &'a Column<V>)| {
            let length = self.along(&column.entries).iter().map(|d| d * d).sum::<f64>();
            reduced * reduced / (1.0 + length)
        };
        let all = columns.iter().map(|c| (steep(c), c));
        all.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, c)| *c)
    }

    /// Takes a column into the basis; `false` where nothing bounds it.
    fn enter(&mut self, column: &Column<V>, reduced: f64, prices: &mut [f64]) -> bool {
        let along = self.along(&column.entries);
        let Some(leaving) = self.leaving(&along) else { return false };
        self.pivot(leaving, &along, column.clone());
        let size = self.holds.len();
        let row = &self.inverse[leaving * size..(leaving + 1) * size];
        for (price, a) in prices.iter_mut().zip(row) {
            *price += reduced * a;
        }
        true
    }

    /// `B⁻¹·a`.
    fn along(&self, entries: &Entries) -> Vec<f64> {
        let size = self.holds.len();
        let rows = self.inverse.chunks_exact(size);
        rows.map(|row| entries.iter().map(|(at, a)| row[*at] * a).sum()).collect()
    }

    /// The place that is emptied first as a column enters: of those that are first but for rounding, the one with the
    /// largest entry.
    fn leaving(&self, along: &[f64]) -> Option<usize> {
        let places = || (0..along.len()).filter(|at| along[*at] > NONE);
        let first = places()
            .map(|at| (self.taken[at].max(0.0) + BELOW) / along[at])
            .fold(f64::INFINITY, f64::min);
        places()
            .filter(|at| self.taken[*at].max(0.0) / along[*at] <= first)
            .max_by(|a, b| along[*a].total_cmp(&along[*b]).then(b.cmp(a)))
    }

    fn pivot(&mut self, place: usize, along: &[f64], column: Column<V>) {
        let size = self.holds.len();
        let step = self.taken[place] / along[place];
        let mut row: Vec<f64> = self.inverse[place * size..(place + 1) * size].to_vec();
        for a in &mut row {
            *a /= along[place];
        }
        // Most entries of the row are none.
        let filled: Vec<(usize, f64)> =
            row.iter().copied().enumerate().filter(|(_, a)| a.abs() > TINY).collect();
        let is_sparse = filled.len() * 4 < size;
        for (at, d) in along.iter().enumerate().filter(|(at, d)| *at != place && d.abs() > TINY) {
            self.taken[at] -= d * step;
            let other = &mut self.inverse[at * size..(at + 1) * size];
            if is_sparse {
                for (col, pivot) in &filled {
                    other[*col] -= d * pivot;
                }
            } else {
                for (a, pivot) in other.iter_mut().zip(&row) {
                    *a -= d * pivot;
                }
            }
        }
        self.inverse[place * size..(place + 1) * size].copy_from_slice(&row);
        self.taken[place] = step;
        self.holds[place] = column;
    }

    /// Whether every row is met; the inverse is worked out anew where rounding has spoilt it.
    pub(super) fn is_sound(&mut self) -> bool {
        let met = |basis: &Self| basis.drift() <= DRIFT;
        met(self) || (self.invert() && met(self))
    }

    /// How far a row is missed at most.
    fn drift(&self) -> f64 {
        let mut missed = self.right.clone();
        for (column, taken) in self.holds.iter().zip(&self.taken) {
            for (row, a) in &column.entries {
                missed[*row] -= a * taken;
            }
        }
        // A miss that is no number is no small one.
        missed.into_iter().map(f64::abs).fold(0.0, |a, b| if b <= a { a } else { b })
    }

    /// The inverse worked out anew, by Gauss and Jordan with row exchanges; `false` where the columns depend on
    /// one another.
    fn invert(&mut self) -> bool {
        let size = self.holds.len();
        let mut matrix = vec![0.0; size * size];
        for (col, column) in self.holds.iter().enumerate() {
            for (row, a) in &column.entries {
                matrix[row * size + col] = *a;
            }
        }
        let mut inverse = vec![0.0; size * size];
        for at in 0..size {
            inverse[at * size + at] = 1.0;
        }
        for col in 0..size {
            let largest = (col..size)
                .max_by(|a, b| {
                    matrix[a * size + col].abs().total_cmp(&matrix[b * size + col].abs())
                })
                .unwrap_or(col);
            let pivot = matrix[largest * size + col];
            if pivot.abs() < NONE || pivot.is_nan() {
                return false;
            }
            for at in 0..size {
                matrix.swap(col * size + at, largest * size + at);
                inverse.swap(col * size + at, largest * size + at);
            }
            for at in 0..size {
                matrix[col * size + at] /= pivot;
                inverse[col * size + at] /= pivot;
            }
            for row in (0..size).filter(|r| *r != col) {
                let factor = matrix[row * size + col];
                if factor == 0.0 {
                    continue;
                }
                for at in 0..size {
                    let (m, i) = (matrix[col * size + at], inverse[col * size + at]);
                    matrix[row * size + at] -= factor * m;
                    inverse[row * size + at] -= factor * i;
                }
            }
        }
        self.taken = (0..size)
            .map(|at| {
                let row = &inverse[at * size..(at + 1) * size];
                row.iter().zip(&self.right).map(|(a, b)| a * b).sum()
            })
            .collect();
        self.inverse = inverse;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Columns of x, y and what is over: x + 2y − s = 4, 3x + y − t = 6, each for a cost of 1.
    fn columns() -> Vec<Column<char>> {
        let column = |what, cost, entries| Column { what, cost, entries };
        vec![
            column('x', 1.0, vec![(0, 1.0), (1, 3.0)]),
            column('y', 1.0, vec![(0, 2.0), (1, 1.0)]),
            column('s', 0.0, vec![(0, -1.0)]),
            column('t', 0.0, vec![(1, -1.0)]),
        ]
    }

    fn solved() -> Basis<char> {
        let missing = |row| Column { what: 'm', cost: 100.0, entries: vec![(row, 1.0)] };
        let mut basis = Basis::of(vec![missing(0), missing(1)], vec![4.0, 6.0]);
        let prices = basis.optimise(&columns());
        // By hand: both rows bind, x = 1.6 and y = 1.2; p + 3q = 1 and 2p + q = 1 give 0.4 and 0.2.
        assert!((basis.value() - 2.8).abs() < 1e-9);
        assert!((prices[0] - 0.4).abs() < 1e-9 && (prices[1] - 0.2).abs() < 1e-9);
        basis
    }

    fn taken(basis: &Basis<char>, what: char) -> f64 {
        basis.solution().filter(|(w, _)| **w == what).map(|(_, x)| x).sum()
    }

    #[test]
    fn both_rows_bind_at_the_least_cost() {
        let basis = solved();
        assert!((taken(&basis, 'x') - 1.6).abs() < 1e-9);
        assert!((taken(&basis, 'y') - 1.2).abs() < 1e-9);
    }

    /// At most one of x: then y = 3 for 3x + y = 6, and the first row is over by 3.
    #[test]
    fn a_row_that_is_missed_is_met_at_the_least_rise() {
        let mut basis = solved();
        let own = Column { what: 'u', cost: 0.0, entries: vec![(2, 1.0)] };
        basis.extend(|what| if *what == 'x' { 1.0 } else { 0.0 }, 1.0, own.clone());
        let mut all = columns();
        all[0].entries.push((2, 1.0));
        all.push(own);
        basis.restore(&all, 100, |_| false);
        assert!((basis.value() - 4.0).abs() < 1e-9);
        assert!((taken(&basis, 's') - 3.0).abs() < 1e-9);
        assert!(basis.is_sound());
    }

    /// Without y only x = 4 meets the first row.
    #[test]
    fn what_is_barred_leaves() {
        let mut basis = solved();
        let all: Vec<_> = columns().into_iter().filter(|c| c.what != 'y').collect();
        basis.restore(&all, 100, |what| *what == 'y');
        assert!((basis.value() - 4.0).abs() < 1e-9);
        assert!(taken(&basis, 'y').abs() < 1e-12);
    }

    #[test]
    fn a_spoilt_inverse_is_worked_out_anew() {
        let mut basis = solved();
        basis.taken[0] += 1e-3;
        basis.inverse[1] += 1e-3;
        assert!(basis.is_sound());
        assert!((basis.value() - 2.8).abs() < 1e-9);
        let twice = Column { what: 'x', cost: 1.0, entries: vec![(0, 1.0), (1, 1.0)] };
        let mut dependent = Basis::of(vec![twice.clone(), twice], vec![1.0, 1.0]);
        assert!(!dependent.is_sound());
    }
}
