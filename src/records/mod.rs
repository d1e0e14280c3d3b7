//! Typed records in which every value knows its file, sheet and cell.

mod fields;
mod plant;
mod record;
mod table;

pub use fields::{Field, Kind};
pub use plant::{
    Catalogued, ColumnRead, FileRead, ModelMatch, Plant, Position, SheetRead, Shelf, alike, folded,
    k_of_n, swap_named, swap_names,
};
pub use record::{Entry, How, Record, Unread, Value};
pub use table::Table;
