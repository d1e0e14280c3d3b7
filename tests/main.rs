//! Everything that is tested from outside the library: the house, the numbers, the program.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::format_collect, clippy::print_stdout)]

mod binary;
mod bombs;
mod cli;
mod engineering;
mod faults;
mod field;
mod fit;
mod habits;
mod house;
mod intake;
mod json_schema;
mod month;
mod mutants;
mod pages;
mod rating;
mod report;
mod sample;
mod sheets;
mod spares;
mod spares_lines;
mod spares_plan;
mod spares_today;
mod spares_vectors;
mod steady;
mod supply;
mod vectors;
