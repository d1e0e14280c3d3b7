//! Writes the monthly workbook, one file per sheet; with `template` the only room that knows the
//! writing library.

mod book;
mod data_to_fix;
mod do_next;
mod families;
mod hold_release_buy;
mod measure_next;
mod method;
mod month;
mod no_cover;
mod overworked;
mod shared_parts;
mod styles;
mod swap_sheet;
mod table;
mod who_fits_where;

use std::path::{Path, PathBuf};

use crate::figures::{Figure, FiguresError, GroupRow, Month, write_whole};
use crate::findings::Finding;
use crate::history::{Moved, Snapshot, newest_before};
use crate::policy::Policy;
use crate::rating::Rated;
use crate::records::Plant;
use crate::spares::Plan;
use crate::units::System;

pub use book::{ReportTable, Written, write};
pub use swap_sheet::swap_sheet;
pub use who_fits_where::Told;

/// Everything a report is made from.
#[derive(Debug)]
pub struct Material<'a> {
    /// The month reported.
    pub month: Month,
    /// The plant.
    pub plant: &'a Plant,
    /// The policy.
    pub policy: &'a Policy,
    /// Ratings of every position.
    pub rated: &'a [Rated],
    /// The plan.
    pub plan: &'a Plan,
    /// Best candidates of every position, in their order.
    pub best: Vec<Vec<Told>>,
    /// All findings, sorted.
    pub findings: &'a [Finding],
    /// Figures of the month.
    pub figures: Vec<Figure>,
    /// Cover by area.
    pub by_area: Vec<GroupRow>,
    /// Cover by consequence class.
    pub by_consequence: Vec<GroupRow>,
    /// Earlier months, oldest first.
    pub history: Vec<Snapshot>,
    /// Why the figures moved since the newest earlier month, where that month kept what its figures rest on.
    pub why: Option<Vec<Moved>>,
    /// The units shown.
    pub system: System,
    /// Folder of the workbook, for relative links.
    pub folder: PathBuf,
}

impl Material<'_> {
    /// The newest earlier month that is kept.
    pub(super) fn before(&self) -> Option<&Snapshot> {
        newest_before(&self.history, self.month)
    }
}

/// A workbook that could not be written.
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// The writing library refused.
    #[error("cannot make the workbook: {0}")]
    Book(#[from] rust_xlsxwriter::XlsxError),
    /// The file system refused.
    #[error("cannot write `{}`: {reason}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// Why, and what to do.
        reason: String,
    },
    /// Figures or csv failed.
    #[error(transparent)]
    Figures(#[from] FiguresError),
}

/// Writes bytes under a temporary name in the same folder, syncs, and renames: at any moment the
/// file is the old one or the new one.
///
/// # Errors
/// When the folder is missing, or the file is open or read-only.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), ReportError> {
    write_whole(path, bytes).map_err(|e| {
        let reason = match e.kind() {
            std::io::ErrorKind::NotFound => "its folder does not exist; make it first".to_owned(),
            std::io::ErrorKind::PermissionDenied => {
                "permission denied; is it open in another program, or read-only?".to_owned()
            }
            std::io::ErrorKind::StorageFull => {
                "the disk is full; make room, or name a file elsewhere. What was there is as it was"
                    .to_owned()
            }
            _ => e.to_string(),
        };
        ReportError::File { path: path.to_owned(), reason }
    })
}
