//! Everything that is tested from outside the library: the house, the numbers, the program.
#![allow(clippy::unwrap_used, clippy::float_cmp)]

mod cli;
mod engineering;
mod field;
mod house;
mod intake;
mod report;
mod sample;
mod spares;
mod vectors;
