//! One candidate for one tag: its name and its JSON.

use serde_json::{Value as Json, json};

use crate::fit::{Ranked, Side};

/// The candidate's name.
pub(super) fn title(ranked: &Ranked<'_>) -> String {
    ranked.candidate.unit.name()
}

fn side(side: &Side) -> Json {
    match side {
        Side::Unknown => Json::Null,
        Side::Number(n) => json!(n),
        Side::Text(text) => json!(text),
    }
}

/// A candidate under the documented names.
pub(super) fn candidate_json(ranked: &Ranked<'_>) -> Json {
    let gates: Vec<Json> = ranked
        .assessed
        .gates
        .iter()
        .map(|g| {
            json!({
                "gate": g.gate.word(),
                "result": g.outcome.word(),
                "have": side(&g.have),
                "need": side(&g.need),
                "unit": if g.unit.is_empty() { Json::Null } else { json!(g.unit) },
                "note": g.note,
                "cells": g.cells.iter().map(ToString::to_string).collect::<Vec<_>>(),
            })
        })
        .collect();
    let all = || ranked.assessed.gates.iter();
    let work: Vec<Json> = all()
        .flat_map(|g| &g.work)
        .map(
            |w| json!({ "what": w.text, "hours": w.hours, "cost": w.cost, "at_night": w.at_night }),
        )
        .collect();
    let limits: Vec<Json> = all()
        .flat_map(|g| {
            g.limits
                .iter()
                .map(|l| json!({ "gate": g.gate.word(), "value": l.value, "text": l.text }))
        })
        .collect();
    let measure: Vec<Json> = all()
        .flat_map(|g| &g.measure)
        .map(|m| json!({ "field": m.field.name(), "cell": m.place.to_string(), "what": m.text }))
        .collect();
    json!({
        "candidate": ranked.candidate.id,
        "name": ranked.candidate.unit.name(),
        "from": ranked.candidate.from.word(),
        "verdict": ranked.assessed.verdict.word(),
        "best_possible": ranked.assessed.best.word(),
        "worst_possible": ranked.assessed.worst.word(),
        "hours": ranked.hours,
        "cost": ranked.cost,
        "margin": ranked.assessed.margin,
        "not_available": ranked.not_available,
        "leaves_without_cover": ranked.bares,
        "leaves_without_ready": ranked.last_ready_of,
        "gates": gates,
        "work": work,
        "limits": limits,
        "measure": measure,
        "confirm": ranked.assessed.confirm,
        "swap": ranked.assessed.swap,
    })
}
