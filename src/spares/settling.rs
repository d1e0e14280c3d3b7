//! What the distance between bound and best choice settles without branching: types that must stay closed or open,
//! classes that a type cannot serve.
//!
//! A decision whose own bound reaches the best choice known cannot be part of a cheaper one:
//!
//! ```text
//! L − value(j) + least value of j with class i ≥ best   ⇒   j does not serve i
//! ```

use super::bound::{Gain, Held, Opened, Pack, Relaxed, Span, by_worth, fractional};
use super::climbing::Climbed;

/// What is decided at a node, with what follows from its bound and `upper`.
pub(super) fn settled(relaxed: &Relaxed, climbed: &Climbed, mut held: Held, upper: f64) -> Held {
    fix(climbed, &mut held.spans, upper);
    let discounts = relaxed.discounts(&climbed.at.prices, &held);
    let (mut scratch, mut floors) = (Vec::new(), Vec::new());
    for (at, (_, packs)) in relaxed.types.iter().enumerate() {
        let span = held.spans[at];
        if span.is_closed() {
            continue;
        }
        let worth = climbed.best.worth[at];
        let own = if span.is_open() { worth } else { worth.min(0.0) };
        let room = upper - climbed.best.value + own;
        let prices = &climbed.at.prices;
        relaxed.floors(at, prices, discounts[at], &held, &mut scratch, &mut floors);
        let barred = &mut held.barred[at];
        // Packs whose floor has no room bar nothing that others allow.
        let near = packs.iter().zip(&floors).filter(|(_, floor)| **floor < room).map(|(p, _)| p);
        let classes = relaxed.classes_of(at);
        bar(near, classes, prices, discounts[at], room, barred);
    }
    held
}

/// Types that would lift the bound over the best choice if they were open are closed, and the reverse.
fn fix(climbed: &Climbed, spans: &mut [Span], upper: f64) {
    for (span, worth) in spans.iter_mut().zip(&climbed.best.worth) {
        if span.is_closed() || span.is_open() {
            continue;
        }
        if climbed.best.value + worth.max(0.0) >= upper {
            span.opened = Opened::No;
        } else if climbed.best.value - worth.min(0.0) >= upper {
            span.opened = Opened::Yes;
        }
    }
}

/// Bars the classes with which no pack of a type comes to less than `room`.
fn bar<'a>(
    packs: impl Iterator<Item = &'a Pack>,
    classes: impl Iterator<Item = usize>,
    prices: &[f64],
    discount: f64,
    room: f64,
    barred: &mut Vec<usize>,
) {
    let mut least: Vec<(usize, f64)> = classes.map(|c| (c, f64::INFINITY)).collect();
    for pack in packs {
        let fixed = pack.fixed - discount * f64::from(pack.units);
        let can = |class: usize, load: f64| load <= pack.cap && !barred.contains(&class);
        let mut gains: Vec<Gain> = pack
            .items
            .iter()
            .map(|i| Gain { class: i.class, load: i.load, worth: prices[i.class] - i.extra })
            .filter(|g| g.worth > 0.0 && can(g.class, g.load))
            .collect();
        gains.sort_by(by_worth);
        for item in &pack.items {
            let value = if can(item.class, item.load) {
                let left = pack.cap - item.load;
                let others = fractional(gains.iter().filter(|g| g.class != item.class), left);
                fixed - (prices[item.class] - item.extra) - others
            } else {
                f64::INFINITY
            };
            if let Some(known) = least.iter_mut().find(|l| l.0 == item.class) {
                known.1 = known.1.min(value);
            }
        }
    }
    let out = least.into_iter().filter(|(class, value)| *value >= room && !barred.contains(class));
    let out: Vec<usize> = out.map(|(class, _)| class).collect();
    barred.extend(out);
    barred.sort_unstable();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spares::Item;

    /// One unit for 10 that holds one of two classes, worth 4 and 12: with the first it comes to 6, with the
    /// second to −2.
    #[test]
    fn a_class_that_costs_more_than_there_is_room_for_is_barred() {
        let item = |class| Item { class, load: 3.0, extra: 0.0 };
        let pack = Pack { fixed: 10.0, units: 1, cap: 3.0, items: vec![item(0), item(1)] };
        let mut barred = Vec::new();
        bar([&pack].into_iter(), 0..2, &[4.0, 12.0], 0.0, 6.5, &mut barred);
        assert!(barred.is_empty());
        bar([&pack].into_iter(), 0..2, &[4.0, 12.0], 0.0, 5.5, &mut barred);
        assert_eq!(barred, [0]);
        // Room for both of them: the second brings its 12 with the first as well.
        let both = Pack { cap: 6.0, ..pack };
        let mut none = Vec::new();
        bar([&both].into_iter(), 0..2, &[4.0, 12.0], 0.0, -5.5, &mut none);
        assert!(none.is_empty());
    }
}
