//! Positions without a ready spare on the shelf, and why.

use rayon::prelude::*;

use super::plan::{Desk, Pool};
use crate::fit::{Candidates, Case, Verdict, best};

/// A position without a ready spare on the shelf.
#[derive(Clone, Debug)]
pub struct NoCover {
    /// The position.
    pub position: usize,
    /// Expected cost of waiting a year; `None` if not weighed.
    pub risk: Option<f64>,
    /// Why, and what would mend it.
    pub reason: String,
    /// Types that would cover it.
    pub options: Vec<usize>,
}

impl Desk<'_> {
    pub(super) fn no_cover(&self, pools: &[Pool], risks: &[Option<f64>]) -> Vec<NoCover> {
        let served = self.pool_of(pools);
        let candidates = Candidates::of(self.plant);
        let mut out: Vec<NoCover> = (0..self.plant.positions.len())
            .into_par_iter()
            .filter(|p| self.plant.positions[*p].runs())
            .filter(|p| {
                !self.coverage.of_position[*p].iter().any(|t| self.coverage.types[*t].ready >= 1.0)
            })
            .map(|position| {
                let options = self.coverage.of_position[position].clone();
                let pool = served[position].map(|at| &pools[at]);
                let reason = self.why_bare(position, &options, pool, &candidates);
                NoCover { position, risk: risks[position], reason, options }
            })
            .collect();
        out.sort_by(|a, b| {
            let risk = |n: &NoCover| n.risk.unwrap_or(f64::MAX);
            risk(b).total_cmp(&risk(a)).then(a.position.cmp(&b.position))
        });
        out
    }

    /// Why neither shelf nor catalogue covers a position: what its best candidate lacks.
    fn why_nothing_fits(&self, position: usize, candidates: &Candidates<'_>) -> String {
        let case = Case::new(self.plant, self.policy, position);
        let Some(best) = best(&case, candidates, 1).into_iter().next() else {
            return "nothing on the shelf or in the catalogue fits".into();
        };
        let id = &best.candidate.id;
        match best.assessed.verdict {
            Verdict::Measure => {
                let open: Vec<&str> = best.assessed.open.iter().map(|g| g.word()).collect();
                format!("measure {}; then {id} may cover", open.join(", "))
            }
            Verdict::Refer => format!("{id} is for the responsible engineer to decide"),
            Verdict::StopGap => format!("{id} would do as a stop-gap only"),
            _ => format!("{id} fits, but is not on the shelf and cannot be ordered"),
        }
    }

    fn why_bare(
        &self,
        position: usize,
        options: &[usize],
        pool: Option<&Pool>,
        candidates: &Candidates<'_>,
    ) -> String {
        let unproven = options.iter().find(|t| self.coverage.types[**t].unproven >= 1.0);
        if let Some(spare) = unproven {
            return format!(
                "only an unproven unit on the shelf: inspect {}",
                self.coverage.types[*spare].name
            );
        }
        if options.is_empty() {
            return self.why_nothing_fits(position, candidates);
        }
        match pool {
            Some(pool) if pool.buy > 0 => format!("buy {} of {}", pool.buy, pool.name),
            Some(pool) if pool.planned.stock == 0 => {
                "the cost rule says that no spare is worth holding".into()
            }
            Some(pool) if self.coverage.types[pool.spare].coming > 0.0 => {
                format!("{} is on order or at repair", pool.name)
            }
            Some(pool) if self.coverage.types[pool.spare].rebuildable > 0.0 => {
                format!("rebuild {}, which lies on the shelf as removed", pool.name)
            }
            Some(pool) => format!("{} is reserved or not proven", pool.name),
            None => "the cost rule says that no spare is worth holding".into(),
        }
    }
}
