//! Why the figures moved from one month to another, cause by cause, so that the causes add up to the change.
//!
//! The risk of a position that stands in both months is rate × price of a year × years waited a failure. Its
//! change is taken apart one factor after the other, which leaves no rest:
//!
//! ```text
//! r₁p₁w₁ − r₀p₀w₀ = r₀(p₁ − p₀)w₀ + (r₁ − r₀)p₁w₀ + r₁p₁(w₁ − w₀)
//! ```
//!
//! What the policy did is this month's sheets under the earlier policy against this month's under its own.

use std::collections::BTreeMap;

use crate::figures::{Drive, Drivers, Stocked};

/// A cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// Positions that were not there or did not run.
    Added,
    /// Positions that are gone or stand still.
    Gone,
    /// Stock in, out or in another condition.
    Stock,
    /// Positions with exchanges that the earlier log did not have.
    Failures,
    /// Rates of the groups.
    Rates,
    /// Prices of an hour and of units.
    Prices,
    /// Lead times.
    Lead,
    /// Who shares the spares.
    Sharing,
    /// What the sheets say of drives and units.
    Sheets,
    /// The policy.
    Policy,
}

impl Cause {
    /// All causes, in the order shown.
    pub const ALL: [Self; 10] = [
        Self::Added,
        Self::Gone,
        Self::Stock,
        Self::Failures,
        Self::Rates,
        Self::Prices,
        Self::Lead,
        Self::Sharing,
        Self::Sheets,
        Self::Policy,
    ];

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Added => "Positions added or running again",
            Self::Gone => "Positions gone or standing still",
            Self::Stock => "Stock in, out or in another condition",
            Self::Failures => "Exchanges since, on these positions",
            Self::Rates => "Rates of whole groups",
            Self::Prices => "Prices of an hour or of units",
            Self::Lead => "Lead times",
            Self::Sharing => "Others that draw on the same spares",
            Self::Sheets => "Sheets corrected: drives, units, rulings",
            Self::Policy => "Policy",
        }
    }
}

/// What one cause did to the figures.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// The cause.
    pub cause: Cause,
    /// Positions that run.
    pub positions: f64,
    /// Positions with a ready spare.
    pub covered: f64,
    /// Risk a year.
    pub risk: f64,
    /// Value of the shelf.
    pub shelf: f64,
    /// Tags and items that moved most, the most first.
    pub mostly: Vec<String>,
    /// How many more moved.
    pub others: usize,
}

/// Names shown of a cause.
const MOSTLY: usize = 3;
/// Differences below this are none.
const NONE: f64 = 1e-9;

/// What has moved since `before`; `under_earlier` are this month's sheets under the earlier policy, where the policies
/// differ. Causes that did nothing are left out.
#[must_use]
pub fn why(before: &Drivers, now: &Drivers, under_earlier: Option<&Drivers>) -> Vec<Moved> {
    let mut sums = Sums::default();
    let then = under_earlier.unwrap_or(now);
    sums.positions(before, then);
    sums.lines(before, then);
    if under_earlier.is_some() {
        sums.policy(then, now);
    }
    sums.moved()
}

#[derive(Default)]
struct Sums {
    each: Vec<(Cause, String, [f64; 4])>,
}

const POSITIONS: usize = 0;
const COVERED: usize = 1;
const RISK: usize = 2;
const SHELF: usize = 3;

impl Sums {
    fn add(&mut self, cause: Cause, name: &str, figure: usize, by: f64) {
        if by.abs() > NONE {
            let mut all = [0.0; 4];
            all[figure] = by;
            self.each.push((cause, name.to_owned(), all));
        }
    }

    /// A position that comes (`sign` 1) or goes (−1).
    fn whole(&mut self, cause: Cause, name: &str, drive: &Drive, sign: f64) {
        self.add(cause, name, POSITIONS, sign);
        self.add(cause, name, COVERED, if drive.covered { sign } else { 0.0 });
        self.add(cause, name, RISK, sign * drive.risk.unwrap_or(0.0));
    }

    fn positions(&mut self, before: &Drivers, now: &Drivers) {
        let stock_moved = before.lines.len() != now.lines.len()
            || before.lines.iter().any(|(item, old)| {
                now.lines.get(item).is_none_or(|new| differ(old.counted, new.counted))
            });
        let rates = rates_of_groups(before, now);
        for (name, old) in &before.positions {
            match now.positions.get(name) {
                Some(new) => {
                    let group = new.group.as_ref().and_then(|group| rates.get(group.as_str()));
                    let rated = group.map_or(name.as_str(), String::as_str);
                    self.stayed((name, rated), old, new, stock_moved);
                }
                None => self.whole(Cause::Gone, name, old, -1.0),
            }
        }
        for (name, new) in &now.positions {
            if !before.positions.contains_key(name) {
                self.whole(Cause::Added, name, new, 1.0);
            }
        }
    }

    /// A position in both months, by its name and by what its group's rate did.
    fn stayed(&mut self, (name, rated): (&str, &str), old: &Drive, new: &Drive, stock_moved: bool) {
        let lead = match (old.lead_days, new.lead_days) {
            (Some(a), Some(b)) => differ(a, b),
            (a, b) => a.is_some() != b.is_some(),
        };
        let supply = if differ(old.units, new.units) {
            if stock_moved { Cause::Stock } else { Cause::Sheets }
        } else if lead {
            Cause::Lead
        } else {
            Cause::Sharing
        };
        let cover = f64::from(i8::from(new.covered) - i8::from(old.covered));
        let of_cover = if supply == Cause::Stock { Cause::Stock } else { Cause::Sheets };
        self.add(of_cover, name, COVERED, cover);
        let (from, to) = (old.risk.unwrap_or(0.0), new.risk.unwrap_or(0.0));
        let (Some(p0), Some(p1)) = (old.price, new.price) else {
            return self.add(Cause::Prices, name, RISK, to - from);
        };
        let (Some(w0), Some(w1)) = (ratio(from, old.rate * p0), ratio(to, new.rate * p1)) else {
            // Nothing failed, or nothing cost: no factors to take apart.
            let cause = if differ(p0, p1) { Cause::Prices } else { Cause::Rates };
            return self.add(cause, name, RISK, to - from);
        };
        let failed = new.exchanges != old.exchanges;
        let (of_rate, whose) = if failed { (Cause::Failures, name) } else { (Cause::Rates, rated) };
        self.add(Cause::Prices, name, RISK, old.rate * (p1 - p0) * w0);
        self.add(of_rate, whose, RISK, (new.rate - old.rate) * p1 * w0);
        self.add(supply, name, RISK, new.rate * p1 * (w1 - w0));
    }

    fn lines(&mut self, before: &Drivers, now: &Drivers) {
        let none = Stocked::default();
        let gone = before.lines.keys().filter(|item| !now.lines.contains_key(*item));
        for item in now.lines.keys().chain(gone) {
            let old = before.lines.get(item).unwrap_or(&none);
            let new = now.lines.get(item).unwrap_or(&none);
            let each = |s: &Stocked| ratio(s.value, s.quantity);
            if let (Some(was), Some(is)) = (each(old), each(new)) {
                self.add(Cause::Stock, item, SHELF, (new.quantity - old.quantity) * was);
                self.add(Cause::Prices, item, SHELF, new.quantity * (is - was));
            } else {
                self.add(Cause::Stock, item, SHELF, new.value - old.value);
            }
        }
    }

    /// The same sheets under two policies.
    fn policy(&mut self, earlier: &Drivers, own: &Drivers) {
        for (name, new) in &own.positions {
            let Some(old) = earlier.positions.get(name) else { continue };
            let cover = f64::from(i8::from(new.covered) - i8::from(old.covered));
            self.add(Cause::Policy, name, COVERED, cover);
            let by = new.risk.unwrap_or(0.0) - old.risk.unwrap_or(0.0);
            self.add(Cause::Policy, name, RISK, by);
        }
    }

    fn moved(mut self) -> Vec<Moved> {
        // What moved most comes first; of equals, by name.
        let weight =
            |all: &[f64; 4]| all[RISK].abs() + all[SHELF].abs() + 1e-3 * all[COVERED].abs();
        self.each.sort_by(|a, b| weight(&b.2).total_cmp(&weight(&a.2)).then(a.1.cmp(&b.1)));
        let of = |cause: Cause| {
            let own = || self.each.iter().filter(move |e| e.0 == cause);
            let sum = |figure: usize| own().map(|e| e.2[figure]).sum();
            // Shelf lines that moved are the cause of what the positions that draw on them did: they are named.
            let lines = own().any(|e| e.2[SHELF] != 0.0);
            let mut mostly: Vec<String> = Vec::new();
            for (_, name, _) in own().filter(|e| !lines || e.2[SHELF] != 0.0) {
                if !mostly.contains(name) {
                    mostly.push(name.clone());
                }
            }
            let others = mostly.len().saturating_sub(MOSTLY);
            mostly.truncate(MOSTLY);
            Moved {
                cause,
                positions: sum(POSITIONS),
                covered: sum(COVERED),
                risk: sum(RISK),
                shelf: sum(SHELF),
                mostly,
                others,
            }
        };
        Cause::ALL.into_iter().map(of).filter(|m| !m.mostly.is_empty()).collect()
    }
}

/// What the rate of every group did, in words: the mean of its positions that stand in both months.
fn rates_of_groups(before: &Drivers, now: &Drivers) -> BTreeMap<String, String> {
    let mut sums: BTreeMap<&str, (f64, f64, f64)> = BTreeMap::new();
    for (name, new) in &now.positions {
        let (Some(old), Some(group)) = (before.positions.get(name), &new.group) else { continue };
        let sum = sums.entry(group).or_default();
        *sum = (sum.0 + old.rate, sum.1 + new.rate, sum.2 + 1.0);
    }
    let told = |(group, (old, new, n)): (&str, (f64, f64, f64))| {
        (group.to_owned(), format!("{group} ({:.4} to {:.4} a year)", old / n, new / n))
    };
    sums.into_iter().map(told).collect()
}

fn differ(a: f64, b: f64) -> bool {
    (a - b).abs() > NONE * (1.0 + a.abs().max(b.abs()))
}

fn ratio(a: f64, b: f64) -> Option<f64> {
    (b > 0.0).then(|| a / b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drive(rate: f64, price: f64, risk: f64, units: f64) -> Drive {
        Drive {
            rate,
            price: Some(price),
            risk: Some(risk),
            covered: units > 0.0,
            units,
            lead_days: Some(60.0),
            exchanges: 0,
            group: Some("helical, M".into()),
        }
    }

    fn month(drives: &[(&str, Drive)], lines: &[(&str, f64, f64)]) -> Drivers {
        Drivers {
            positions: drives.iter().map(|(n, d)| ((*n).to_owned(), d.clone())).collect(),
            lines: lines
                .iter()
                .map(|(n, q, v)| {
                    ((*n).to_owned(), Stocked { quantity: *q, counted: *q, value: q * v })
                })
                .collect(),
        }
    }

    /// By hand: A's price doubles from 1000 to 2000 (0.1 × 1000 more × 0.5 years = 50), its rate goes from 0.1 to 0.2
    /// after an exchange (0.1 × 2000 × 0.5 = 100), its only spare goes (0.2 × 2000 × 0.5 more = 200): 50 → 400. B goes with
    /// its 30, C comes with 7. One unit of 500 leaves; what stays of the other is dearer by 2 × 10.
    #[test]
    fn causes_add_up_to_the_change() {
        let before = month(
            &[("A", drive(0.1, 1000.0, 50.0, 1.0)), ("B", drive(0.1, 300.0, 30.0, 0.0))],
            &[("S1", 1.0, 500.0), ("S2", 2.0, 100.0)],
        );
        let a = Drive { exchanges: 1, ..drive(0.2, 2000.0, 400.0, 0.0) };
        let now = month(&[("A", a), ("C", drive(0.1, 70.0, 7.0, 0.0))], &[("S2", 2.0, 110.0)]);
        let found = why(&before, &now, None);
        let got: Vec<_> =
            found.iter().map(|m| (m.cause, m.positions, m.covered, m.risk, m.shelf)).collect();
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        let want = [
            (Cause::Added, 1.0, 0.0, 7.0, 0.0),
            (Cause::Gone, -1.0, 0.0, -30.0, 0.0),
            (Cause::Stock, 0.0, -1.0, 200.0, -500.0),
            (Cause::Failures, 0.0, 0.0, 100.0, 0.0),
            (Cause::Prices, 0.0, 0.0, 50.0, 20.0),
        ];
        assert_eq!(got.len(), want.len(), "{got:?}");
        for (g, w) in got.iter().zip(&want) {
            let same = g.0 == w.0 && near(g.1, w.1) && near(g.2, w.2);
            assert!(same && near(g.3, w.3) && near(g.4, w.4), "{g:?} and {w:?}");
        }
        // 50 + 30 → 400 + 7, 700 → 220.
        let sum = |f: &dyn Fn(&Moved) -> f64| found.iter().map(f).sum::<f64>();
        assert!(near(sum(&|m| m.risk), 327.0) && near(sum(&|m| m.shelf), -480.0));
    }

    /// Two drives of one group fail half as often again: the group is named, with its rate then and now.
    #[test]
    fn a_group_whose_rate_moved_is_named_with_its_rates() {
        let all = |rate: f64| {
            let one = || drive(rate, 1000.0, 1000.0 * rate, 0.0);
            month(&[("A", one()), ("B", one())], &[])
        };
        let found = why(&all(0.02), &all(0.03), None);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].cause, found[0].others), (Cause::Rates, 0));
        assert_eq!(found[0].mostly, ["helical, M (0.0200 to 0.0300 a year)"]);
        assert!((found[0].risk - 20.0).abs() < 1e-9);
        // A month of an earlier version knows no groups of this one's drives either way.
        let mut silent = all(0.03);
        silent.positions.values_mut().for_each(|d| d.group = None);
        assert_eq!(why(&all(0.02), &silent, None)[0].mostly, ["A", "B"]);
    }

    /// The policy's part is what is left between the two plans of this month's sheets.
    #[test]
    fn the_policy_is_told_from_the_sheets() {
        let before = month(&[("A", drive(0.1, 1000.0, 50.0, 1.0))], &[]);
        let earlier = month(&[("A", drive(0.1, 1000.0, 60.0, 1.0))], &[]);
        let own = month(&[("A", drive(0.3, 1000.0, 180.0, 1.0))], &[]);
        let found = why(&before, &own, Some(&earlier));
        let got: Vec<_> = found.iter().map(|m| (m.cause, m.risk.round())).collect();
        assert_eq!(got, [(Cause::Sharing, 10.0), (Cause::Policy, 120.0)]);
    }
}
