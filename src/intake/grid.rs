//! A sheet's used cells by row, without copying them.

use std::ops::Range;

use crate::workbook::{Cell, Raw, Sheet};

/// The rows of a sheet that hold cells, in order.
#[derive(Clone, Debug)]
pub(super) struct Grid<'a> {
    rows: Vec<(u32, &'a [Cell])>,
}

impl<'a> Grid<'a> {
    /// Cells of a sheet stand in row order.
    pub(super) fn of(sheet: &'a Sheet) -> Self {
        let rows = sheet.cells.chunk_by(|a, b| a.row == b.row).map(|row| (row[0].row, row));
        Self { rows: rows.collect() }
    }

    /// How many rows hold cells.
    pub(super) fn len(&self) -> usize {
        self.rows.len()
    }

    /// The cells of a row, by column.
    pub(super) fn get(&self, row: u32) -> Option<&'a [Cell]> {
        self.rows.binary_search_by_key(&row, |r| r.0).ok().map(|at| self.rows[at].1)
    }

    /// The rows above one, the nearest first.
    pub(super) fn above(&self, row: u32) -> impl Iterator<Item = (u32, &'a [Cell])> + '_ {
        self.rows[..self.rows.partition_point(|r| r.0 < row)].iter().rev().copied()
    }

    /// The rows within a range.
    pub(super) fn range(&self, range: Range<u32>) -> impl Iterator<Item = (u32, &'a [Cell])> + '_ {
        let first = self.rows.partition_point(|r| r.0 < range.start);
        self.rows[first..].iter().copied().take_while(move |r| r.0 < range.end)
    }
}

/// The content of a row's cell at `col`.
pub(super) fn at(cells: &[Cell], col: u32) -> Option<&Raw> {
    cells.binary_search_by_key(&col, |c| c.col).ok().map(|at| &cells[at].raw)
}
