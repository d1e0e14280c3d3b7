//! Makes the sample plant: an invented board mill on a tidal river, messy on purpose.
//!
//! ```console
//! cargo run --release --example sample-plant            # writes into sample-data
//! cargo run --release --example sample-plant -- FOLDER
//! ```
//!
//! Every maker, model, plant and person is invented. The same seed gives the same bytes.

// The story is a list, told in one place; its drives are rows of a table.
#![allow(clippy::too_many_arguments, clippy::too_many_lines, clippy::struct_field_names)]
#![allow(clippy::explicit_auto_deref)] // the suggestion does not compile

#[path = "make/catalogue.rs"]
mod catalogue;
#[path = "make/events.rs"]
mod events;
#[path = "make/fleet.rs"]
mod fleet;
#[path = "make/seed.rs"]
mod seed;
#[path = "make/shelf.rs"]
mod shelf;
#[path = "make/write.rs"]
mod write;

use std::path::Path;

use seed::Seed;

/// The month whose end the files show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Month {
    /// A month younger.
    September,
    /// The newest.
    October,
}

/// Writes both months below `folder`.
pub(crate) fn make(folder: &Path) -> Result<(), Box<dyn std::error::Error>> {
    one(folder, Month::October)?;
    one(&folder.join("2026-09"), Month::September)
}

fn one(folder: &Path, month: Month) -> Result<(), Box<dyn std::error::Error>> {
    std::fs::create_dir_all(folder)?;
    let models = catalogue::models();
    let drives = fleet::drives(&models, &mut Seed::new(7));
    write::catalogue(&folder.join("catalogue.xlsx"), &models, month)?;
    write::fleet_north(&folder.join("drives-north.xlsx"), &drives)?;
    write::fleet_machine_hall(&folder.join("drives-machine-hall.xlsx"), &drives)?;
    write::fleet_river_side(&folder.join("drives-river-side.csv"), &drives)?;
    let lines = shelf::lines(&models, &drives, month, &mut Seed::new(11));
    write::storeroom(&folder.join("storeroom.xlsx"), &lines, &shelf::parts(&models), month)?;
    let log = events::log(&drives, month, &mut Seed::new(13));
    write::events(&folder.join("events.xlsx"), &log)?;
    std::fs::write(folder.join("policy.toml"), POLICY)?;
    Ok(())
}

const POLICY: &str = r#"# Choices of the sample plant; `sparemesh tables policy` prints every key.
currency = "EUR"
log_complete = false
inspection_months = 24
packer_max_mm = 50
adapters = ["FF300-FF265"]

[service_levels]
people = 0.99
line = 0.95
slow = 0.90
minor = 0.0
"#;

#[allow(dead_code)] // the tests take this file in as a module
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "sample-data".into());
    make(Path::new(&folder))
}
