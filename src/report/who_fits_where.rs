//! Who fits where: every position and its best candidates.

use super::Material;
use super::styles;
use super::table::{Cell, HEADING_ROW, Sheet, Show, column, tag_width};
use crate::fit::{Ranked, Verdict};

const NAME: &str = "Who fits where";

/// What the sheet tells of a candidate; all its gates would fill the memory of a large plant.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// `shelf:…`, `tag:…` or `model:…`.
    pub candidate: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Days until it comes, where it must be ordered.
    pub days: Option<f64>,
    /// Hours to fetch, change and adapt it.
    pub hours: f64,
    /// Rated over required torque, where known.
    pub margin: Option<f64>,
    /// Work, limits, or what must be measured.
    pub takes: String,
}

impl From<&Ranked<'_>> for Told {
    fn from(ranked: &Ranked<'_>) -> Self {
        Self {
            candidate: ranked.candidate.id.clone(),
            verdict: ranked.assessed.verdict,
            days: ranked.lead_days,
            hours: ranked.hours - 24.0 * ranked.lead_days.unwrap_or(0.0),
            margin: ranked.assessed.margin,
            takes: takes(ranked),
        }
    }
}

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let mut rows = Vec::new();
    for (position, best) in m.plant.positions.iter().zip(&m.best) {
        let head = |rank: usize| {
            vec![
                Cell::text(position.tag().unwrap_or("?")),
                Cell::text(position.driven_machine().unwrap_or("")),
                Cell::Number(rank as f64),
            ]
        };
        if best.is_empty() {
            let mut row = head(1);
            row.push(Cell::text("nothing known fits"));
            row.push(Cell::text(styles::verdict("no")));
            row.extend([Cell::Blank, Cell::Blank, Cell::Blank, Cell::Blank]);
            rows.push(row);
        }
        for (rank, entry) in (1..).zip(best) {
            let mut row = head(rank);
            let beyond = rank > m.policy.shown_candidates;
            let here = if beyond { "soonest of what is here; " } else { "" };
            row.extend([
                Cell::text(&entry.candidate),
                Cell::text(styles::verdict(entry.verdict.word())),
                Cell::number(entry.days),
                Cell::number(Some(entry.hours)),
                Cell::number(entry.margin),
                Cell::text(format!("{here}{}", entry.takes)),
            ]);
            rows.push(row);
        }
    }
    Sheet {
        name: NAME,
        says: "The best candidates of every position by verdict, then what is here, then the soonest; what is here and turns soonest stands last where it is not among them".into(),
        columns: vec![
            column("Tag", tag_width(m), Show::Text),
            column("Driven machine", 34.0, Show::Text),
            column("Rank", 7.0, Show::Whole),
            column("Candidate", 34.0, Show::Text),
            column("Verdict", 13.0, Show::Text),
            column("Days until it comes", 10.0, Show::Whole),
            column("Hours to fetch, change and adapt", 13.0, Show::Whole),
            column("Rated over required", 10.0, Show::Two).keyed("margin"),
            column("What it takes, or what must be measured", 70.0, Show::Text),
        ],
        rows,
        below: None,
    }
}

/// Links from other sheets to the first row of each position here.
pub(super) struct Links(Vec<u32>);

impl Links {
    pub(super) fn of(m: &Material<'_>) -> Self {
        let mut row = HEADING_ROW + 2;
        let rows = m.best.iter().map(|best| {
            let own = row;
            row += best.len().max(1) as u32;
            own
        });
        Self(rows.collect())
    }

    /// A position's tag, leading to its candidates.
    pub(super) fn tag(&self, m: &Material<'_>, position: usize) -> Cell {
        Cell::Link {
            target: format!("internal:'{NAME}'!A{}", self.0[position]),
            text: m.plant.positions[position].tag().unwrap_or("?").to_owned(),
        }
    }
}

fn takes(entry: &Ranked<'_>) -> String {
    let gates = || entry.assessed.gates.iter();
    let mut parts: Vec<String> =
        entry.not_available.iter().map(|w| format!("not available: {w}")).collect();
    match entry.assessed.verdict {
        Verdict::Measure => {
            let mut texts = entry.assessed.to_measure();
            texts.truncate(3);
            if texts.is_empty() {
                let open = gates().filter(|g| entry.assessed.open.contains(&g.gate));
                texts.extend(open.map(|g| format!("{}: {}", g.gate.word(), g.note)));
            }
            parts.extend(texts);
        }
        Verdict::StopGap => {
            parts.extend(entry.assessed.limits_in_words());
        }
        Verdict::Refer => parts.push("for the responsible engineer".into()),
        _ => parts.extend(gates().flat_map(|g| g.work.iter().map(|w| w.text.clone()))),
    }
    parts.join("; ")
}
