//! Fit: which unit can stand in at which position, gate by gate.

mod candidate;
mod case;
mod cautions;
mod deciding;
mod fill;
mod gate;
mod gates;
mod limits;
mod misplaced;
mod outline;
mod ranking;
mod reach;
mod survey;
mod verdict;
mod work;

pub use candidate::{
    Candidate, Candidates, From, NoCandidate, catalogue_candidates, find_candidate,
    position_candidates, shelf_candidates,
};
pub use case::Case;
pub use cautions::{CLAMP, cautions, cautions_for, first_line, load_line};
pub use deciding::decides;
pub use fill::oil_to_fill;
pub use gate::{Gate, GateOutcome, GateResult, Limit, LimitKind, Measure, Side};
pub use gates::condition::{Standing, months_too_old, standing};
pub use misplaced::misplaced;
pub use ranking::{
    Ranked, Ranking, appraise, as_asked_for, best, by_promise, rank, soonest_at_hand, soonest_ready,
};
pub use survey::{Brief, Surveyed, survey};
pub use verdict::{Assessed, Covers, Verdict, assess, covers, only_failure, verdict};
pub use work::{Work, WorkKind};
