//! Figures: what a month comes to, by area and by class, and against the month before.
//!
//! The only room that knows data frames: typed records go in, rows come out.

mod cover;
mod csv_out;
mod data;
mod drivers;
mod figure;
mod groups;
mod month;
mod stock;
mod waits;
mod whole;

pub use csv_out::write_csv;
pub use drivers::{Drive, Drivers, Stocked};
pub use figure::{Better, Figure, Form, Given, Part, figures};
pub use groups::{GroupRow, by_area, by_consequence};
pub use month::Month;
pub use waits::{Logged, last_year};
pub use whole::write_whole;

/// A table or group that could not be computed.
#[derive(Debug, thiserror::Error)]
pub enum FiguresError {
    /// The data frames refused.
    #[error("cannot compute figures: {0}")]
    Frame(String),
    /// The file system refused.
    #[error("{0}")]
    File(String),
}
