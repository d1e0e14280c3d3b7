//! Spares: demand, stock, choice and risk.

mod bayes;
mod chain;
mod choice;
mod demand;
mod lines;
mod matching;
mod negative_binomial;
mod no_cover;
mod plan;
mod poisson;
mod pools;
mod set_cover;
mod waiting;

pub use bayes::{Gamma, empirical_bayes, garwood_lower, garwood_upper, noninformative};
pub use chain::{chain_servable, cheapest_chain_stock};
pub use choice::{Chosen, choose};
pub use demand::{Demand, Exposure, GroupRate, RateFrom};
pub use lines::{Action, Line};
pub use matching::{Coverage, SpareType, Undecided};
pub use negative_binomial::{nb_cdf, nb_expected_backorders};
pub use no_cover::NoCover;
pub use plan::{Plan, Pool, plan};
pub use poisson::{cdf, expected_backorders, fill_rate, least_separate_stocks, least_stock};
pub use pools::{PoolInput, PoolPlan, plan_pool};
pub use set_cover::{Cover, cheapest_cover, count_covers, greedy_cover};
