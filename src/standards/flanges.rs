//! IEC motor frames and flanges.

use super::sheet::sheet;

/// A motor frame's mating end (mm).
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// Frame designation.
    pub name: String,
    /// Shaft diameter.
    pub shaft_mm: f64,
    /// Shaft length.
    pub shaft_length_mm: f64,
    /// The flange that belongs to it.
    pub flange: String,
}

fn frame(row: usize) -> Frame {
    let sheet = sheet("iec-frames");
    Frame {
        name: sheet.rows[row][0].clone(),
        shaft_mm: sheet.number(row, 6),
        shaft_length_mm: sheet.number(row, 7),
        flange: sheet.rows[row][9].clone(),
    }
}

/// Finds a frame by its designation, as `132M`.
#[must_use]
pub fn find_frame(name: &str) -> Option<Frame> {
    let wanted = name.trim().trim_start_matches("IEC").trim().to_uppercase();
    let sheet = sheet("iec-frames");
    (0..sheet.rows.len()).find(|row| sheet.rows[*row][0] == wanted).map(frame)
}

/// The frame that a 4-pole, 50 Hz motor of `power_kw` has by EN 50347.
#[must_use]
pub fn frame_for_power(power_kw: f64) -> Option<Frame> {
    let sheet = sheet("iec-frames");
    (0..sheet.rows.len()).find(|row| sheet.number(*row, 8) >= power_kw - 1e-9).map(frame)
}

/// Bolt circle (mm) of the FF flange with this outside diameter (mm), as plates print `A250`.
#[must_use]
pub fn flange_of_outside(outside: f64) -> Option<f64> {
    let sheet = sheet("flanges");
    (0..sheet.rows.len())
        .find(|row| {
            sheet.rows[*row][0].starts_with("FF") && (sheet.number(*row, 3) - outside).abs() < 0.5
        })
        .map(|row| sheet.number(row, 1))
}

/// Bolt circle, spigot and outside diameter of a flange (mm).
#[must_use]
pub fn find_flange(name: &str) -> Option<(f64, f64, f64)> {
    let sheet = sheet("flanges");
    (0..sheet.rows.len())
        .find(|row| sheet.rows[*row][0] == name)
        .map(|row| (sheet.number(row, 1), sheet.number(row, 2), sheet.number(row, 3)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flange_is_named_after_its_bolt_circle() {
        let sheet = sheet("flanges");
        for row in 0..sheet.rows.len() {
            let named: f64 = sheet.rows[row][0][2..].parse().expect("a number");
            let (circle, spigot, outside) = find_flange(&sheet.rows[row][0]).expect("listed");
            assert!((named - circle).abs() < 1e-9 && spigot < circle && circle < outside);
        }
    }

    #[test]
    fn frames_rise_and_their_shafts_are_standard_ends() {
        // Cylindrical shaft ends of ISO 775, long series, as far as frames use them.
        let length = |d: f64| match d as u32 {
            9 => 20.0,
            11 => 23.0,
            14 => 30.0,
            19 => 40.0,
            24 => 50.0,
            28 => 60.0,
            38 => 80.0,
            42 | 48 | 55 => 110.0,
            60 | 65 | 75 => 140.0,
            _ => 170.0,
        };
        let sheet = sheet("iec-frames");
        for row in 0..sheet.rows.len() {
            let frame = frame(row);
            assert!(
                (frame.shaft_length_mm - length(frame.shaft_mm)).abs() < 1e-9,
                "{}",
                frame.name
            );
            assert!(find_flange(&frame.flange).is_some());
            assert!(row == 0 || sheet.number(row, 8) > sheet.number(row - 1, 8));
        }
    }
}
