//! Reads a plant's own spreadsheets about its gear reducers, works out what each drive needs,
//! finds which units can stand in for which, decides which spares are worth keeping, and writes
//! a workbook that a manager can act on.
//!
//! The rooms, along the way that data takes: [`workbook`] → [`intake`] → [`records`];
//! [`gearing`] and [`rating`]; [`fit`]; [`spares`]; [`figures`]; [`history`]; [`report`];
//! [`template`]; [`cli`]. Foundations: [`units`], [`findings`], [`standards`], [`policy`].
#![warn(missing_docs)]

pub mod cli;
pub mod figures;
pub mod findings;
pub mod fit;
pub mod gearing;
pub mod history;
pub mod intake;
pub mod policy;
pub mod rating;
pub mod records;
pub mod report;
pub mod spares;
pub mod standards;
pub mod template;
pub mod units;
pub mod workbook;
