//! Facts of gears: trains as people write them, ratio, sense of rotation, axes, efficiency.

mod load_kind;
mod teeth;
mod train;

pub use load_kind::{LoadKind, LoadKindFound, is_jam_prone, kind_of_load, level_unknown};
pub use teeth::{ToothPair, planetary_ratio, reverses, teeth_ratio, tooth_pairs};
pub use train::{Stage, Train};
