//! Facts of gears: trains as people write them, ratio, sense of rotation, axes, efficiency.

mod forces;
mod load_kind;
mod teeth;
mod train;
mod worm;

pub use forces::{
    Helix, MeshForce, Push, Sense, bevel_force, bevel_mean_radius, driver_push, helical_force,
    pitch_angle_deg,
};
pub use load_kind::{
    LoadKind, LoadKindFound, is_fan_like, is_jam_prone, kind_of_load, level_unknown,
};
pub use teeth::{ToothPair, planetary_ratio, reverses, teeth_ratio, tooth_pairs};
pub use train::{Stage, Train};
pub use worm::{
    RunsBack, WormPair, resists_running_back_up_to_deg, runs_back, worm_efficiency,
    worm_efficiency_back, worm_friction,
};
