//! Spares: demand, stock, choice and risk.

mod at_hand;
mod bayes;
mod bound;
mod branching;
mod budget;
mod chain;
mod choice;
mod climbing;
mod counts;
mod demand;
mod economics;
mod effort;
mod exposure;
mod finite;
mod frontier;
mod letting_go;
mod lines;
mod marginal;
mod master;
mod matching;
mod mending;
mod negative_binomial;
mod no_cover;
mod noticed;
mod outlook;
mod packs;
mod parts;
mod plan;
mod poisson;
mod pool;
mod pools;
mod pricing;
mod random;
mod redundancy;
mod relaxed;
mod renewal;
mod risk;
mod search;
mod service;
mod set_cover;
mod settling;
mod sharing;
mod simplex;
mod splits;
mod standardise;
mod substitution;
mod tight;
mod today;
mod waiting;

pub use bayes::{
    Gamma, empirical_bayes, garwood_lower, garwood_upper, likeliest_prior, noninformative,
    prior_from_times, variance_between,
};
pub use bound::{Item, Pack, Relaxed};
pub use budget::{Bought, spend};
pub use chain::{chain_servable, cheapest_chain_stock};
pub use choice::{Chosen, choose};
pub use demand::{Demand, Exposure, GroupRate, RateFrom};
pub use economics::{annuity, break_even_holding, critical_ratio, first_spare_pays_above};
pub use finite::{FiniteSource, erlang_b, finite_source};
pub use frontier::FrontierPoint;
pub use lines::{Action, Line};
pub use marginal::{MarginalPool, Purchase, Stocked, best_within, walk};
pub use matching::{Coverage, SpareType, Undecided};
pub use negative_binomial::{nb_cdf, nb_expected_backorders};
pub use no_cover::{Measuring, NoCover};
pub use noticed::noticed;
pub use outlook::Outlook;
pub use parts::SharedPart;
pub use plan::{Costs, Plan, plan, plan_at};
pub use poisson::{
    cdf, expected_backorders, fill_rate, least_separate_stocks, least_stock, max_mean, mean_wait,
    waits_longer,
};
pub use pool::Pool;
pub use pools::{PoolInput, PoolPlan, plan_pool};
pub use random::SplitMix;
pub use redundancy::{exactly_out, function_lost, others_at_limit, unavailability};
pub use renewal::{
    aged_renewals, mean_over_l10, renewals, weibull_fails_within, weibull_mean, weibull_renewals,
};
pub use service::{FamilyService, Shared, simulate};
pub use set_cover::{Cover, cheapest_cover, count_covers, greedy_cover};
pub use sharing::Sharing;
pub use standardise::Conversion;
pub use substitution::{one_way_losses, servable};
