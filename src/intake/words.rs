//! Words of columns that hold few different ones, each understood once.

use super::cell::CellRead;
use crate::records::{Field, Kind, Value};
use crate::workbook::Raw;

/// Columns with more different words are not kept.
const MOST: usize = 16;

/// By column, the words that were read without anything to say about them.
pub(super) struct Words<'a> {
    by_column: Vec<Vec<(&'a str, Value)>>,
}

impl<'a> Words<'a> {
    pub(super) fn new(columns: usize) -> Self {
        Self { by_column: vec![Vec::new(); columns] }
    }

    /// The value of a word that the column held before.
    pub(super) fn get(&self, column: usize, raw: &Raw) -> Option<Value> {
        let Raw::Text(text) = raw else { return None };
        let known = self.by_column[column].iter().find(|(word, _)| *word == text.as_str())?;
        Some(known.1.clone())
    }

    /// Keeps a word of a column of words.
    pub(super) fn keep(&mut self, column: usize, field: Field, raw: &'a Raw, read: &CellRead) {
        let few = matches!(field.kind(), Kind::Word(_) | Kind::Flag);
        let known = &mut self.by_column[column];
        if let (Raw::Text(text), Some(value), None) = (raw, &read.value, &read.finding)
            && few
            && known.len() < MOST
        {
            known.push((text, value.clone()));
        }
    }
}
