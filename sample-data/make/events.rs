//! Four years of events, with gaps, and the swaps people remember.

use super::Month;
use super::fleet::Drive;
use super::seed::Seed;

/// Something that happened.
#[derive(Clone, Debug)]
pub(crate) struct Event {
    pub(crate) year: u16,
    pub(crate) month: u8,
    pub(crate) day: u8,
    pub(crate) tag: String,
    pub(crate) what: &'static str,
    pub(crate) cause: &'static str,
    pub(crate) hours: Option<f64>,
}

/// The log up to the end of the month.
pub(crate) fn log(drives: &[Drive], month: Month, seed: &mut Seed) -> Vec<Event> {
    let mut out = Vec::new();
    for year in 2022..=2026_u16 {
        for m in 1..=12_u8 {
            if (year, m) < (2022, 11) || (year, m) > (2026, 10) {
                continue;
            }
            for _ in 0..=seed.below(4) {
                let drive = &drives[seed.below(drives.len())];
                let harsh = matches!(drive.area, "Wood yard" | "Effluent");
                let what = if seed.below(100) < if harsh { 22 } else { 12 } {
                    *seed.pick(&["unit exchanged", "gearbox replaced"])
                } else {
                    *seed.pick(&[
                        "seal change",
                        "bearing replaced",
                        "oil change",
                        "alignment",
                        "breather",
                    ])
                };
                let major = what.contains("exchanged") || what.contains("replaced");
                out.push(Event {
                    year,
                    month: m,
                    day: 1 + seed.below(28) as u8,
                    tag: drive.tag.clone(),
                    what,
                    cause: *seed.pick(&[
                        "bearing",
                        "leak",
                        "shock",
                        "water in oil",
                        "worn teeth",
                        "",
                    ]),
                    hours: major.then(|| 4.0 + seed.below(60) as f64),
                });
            }
        }
    }
    out.sort_by(|a, b| (a.year, a.month, a.day, &a.tag).cmp(&(b.year, b.month, b.day, &b.tag)));
    if month == Month::September {
        out.retain(|e| (e.year, e.month) <= (2026, 9));
    }
    out
}
