//! The limits of a stop-gap in words: each once, and only those that bind.

use super::gate::{GateResult, Limit};
use super::verdict::Assessed;

impl Assessed {
    /// What the unit must stay below, gate by gate. Several limits of one gate are alternatives; a gate that is kept by
    /// the only limit of another, of the same kind and no higher, is left out.
    #[must_use]
    pub fn limits_in_words(&self) -> Vec<String> {
        in_words(&self.gates)
    }
}

fn in_words(gates: &[GateResult]) -> Vec<String> {
    let limited: Vec<&GateResult> = gates.iter().filter(|g| !g.limits.is_empty()).collect();
    let mut out: Vec<String> = Vec::new();
    for (at, gate) in limited.iter().enumerate() {
        let kept_by = |(other, g): (usize, &&GateResult)| {
            let [only] = g.limits.as_slice() else { return false };
            // Of two that bind alike the first is told.
            let before = other < at || gate.limits.len() > 1;
            other != at && gate.limits.iter().any(|l| is_within(only, l, before))
        };
        if limited.iter().enumerate().any(kept_by) {
            continue;
        }
        let texts: Vec<&str> = gate.limits.iter().map(|l| l.text.as_str()).collect();
        let text = texts.join(", or ");
        if !out.contains(&text) {
            out.push(text);
        }
    }
    out
}

/// Whether who keeps `only` keeps `limit` as well.
fn is_within(only: &Limit, limit: &Limit, alike: bool) -> bool {
    only.kind == limit.kind && (only.value < limit.value || (alike && only.value <= limit.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::gate::{Gate, GateOutcome, LimitKind};

    fn gate(gate: Gate, limits: &[(LimitKind, f64)]) -> GateResult {
        let mut result = GateResult::new(gate, GateOutcome::Limit, "");
        let limit = |(kind, value): &(LimitKind, f64)| Limit {
            kind: *kind,
            value: *value,
            text: format!("{kind:?} {value}"),
        };
        result.limits = limits.iter().map(limit).collect();
        result
    }

    #[test]
    fn alternatives_are_joined_and_the_lowest_of_a_kind_binds() {
        use LimitKind::{Hours, Power};
        let strength = gate(Gate::Strength, &[(Hours, 10.0), (Power, 5.9)]);
        assert_eq!(in_words(std::slice::from_ref(&strength)), ["Hours 10, or Power 5.9"]);
        // 5 kW all day keep 5.9 kW too.
        let heat = gate(Gate::Heat, &[(Power, 5.0)]);
        assert_eq!(in_words(&[strength.clone(), heat]), ["Power 5"]);
        // 7 kW do not: both are told.
        let heat = gate(Gate::Heat, &[(Power, 7.0)]);
        assert_eq!(in_words(&[strength, heat]), ["Hours 10, or Power 5.9", "Power 7"]);
        let (one, other) =
            (gate(Gate::Strength, &[(Power, 4.0)]), gate(Gate::Peak, &[(Power, 4.0)]));
        assert_eq!(in_words(&[one, other]), ["Power 4"]);
    }
}
