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

/// The smallest usual frame of a motor of `power_kw` with `poles` at 50 Hz.
///
/// ```
/// use sparemesh::standards::frame_for;
/// assert_eq!(frame_for(15.0, 4).unwrap().name, "160L");
/// assert_eq!(frame_for(15.0, 8).unwrap().name, "200L");
/// ```
#[must_use]
pub fn frame_for(power_kw: f64, poles: u32) -> Option<Frame> {
    let sheet = sheet("iec-frame-powers");
    let col = sheet.headings.iter().position(|h| *h == poles.to_string())?;
    let row = (0..sheet.rows.len()).find(|row| sheet.number(*row, col) >= power_kw - 1e-9)?;
    find_frame(&sheet.rows[row][0])
}

/// Shaft diameter (mm) of the motor whose frame a flange's name holds: `IEC 132 B5`, `160M`.
///
/// ```
/// use sparemesh::standards::shaft_of_named;
/// assert_eq!((shaft_of_named("IEC 160 B5"), shaft_of_named("FF265")), (Some(42.0), None));
/// ```
#[must_use]
pub fn shaft_of_named(text: &str) -> Option<f64> {
    let low = text.to_uppercase();
    if !(low.contains("IEC")
        || low.contains("B5")
        || low.contains("B 5")
        || find_frame(text).is_some())
    {
        return None;
    }
    let sheet = sheet("iec-frames");
    let size = |name: &str| name.trim_end_matches(|c: char| c.is_ascii_alphabetic()).to_owned();
    let wanted = low.split(|c: char| !c.is_ascii_digit()).find(|d| d.len() >= 2)?;
    let row = (0..sheet.rows.len()).find(|row| size(&sheet.rows[*row][0]) == wanted)?;
    Some(sheet.number(row, 6))
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

/// What a flange bolts to, however it is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mating {
    /// Flange with through holes, by its bolt circle (mm).
    Through(f64),
    /// Flange with tapped holes, by its bolt circle (mm).
    Tapped(f64),
    /// C-face, by bolt circle, spigot and shaft (in).
    CFace(f64, f64, f64),
}

/// Reads a flange: `FF 215`, `F215`, `FT100`, `A250`, `B5 250`, `IEC 132 B5`, `IEC 90`, `256TC`.
/// `None` where the words name none, or may name two.
///
/// # Validity
/// A number beside `IEC` or `B5` is a frame, an outside diameter, or both (160, 200 and 250 are); where
/// both are possible and differ, it is not read. A face with tapped holes (`B14`) has several sizes a
/// frame and is only read as `FT`.
///
/// # Source
/// IEC 60072-1, EN 50347; NEMA MG 1 for C-faces.
///
/// ```
/// use sparemesh::standards::{Mating, read_mating};
/// for text in ["FF265", "f 265", "IEC 132 B5", "132M B5", "A300", "B5 300"] {
///     assert_eq!(read_mating(text), Some(Mating::Through(265.0)), "{text}");
/// }
/// assert_eq!(read_mating("IEC 200"), None);
/// assert_eq!(read_mating("IEC 90 B14"), None);
/// ```
#[must_use]
pub fn read_mating(text: &str) -> Option<Mating> {
    let first = text.split(['/', ',', ';', '(']).next()?.trim().to_uppercase();
    if let Some(face) = super::find_c_face(&first) {
        return Some(Mating::CFace(face.bolt_circle_in, face.spigot_in, face.shaft_in));
    }
    let mut words: Vec<&str> = Vec::new();
    let mut rest = first.as_str();
    let is_word = |c: char| c.is_ascii_alphabetic();
    while let Some(c) = rest.chars().next() {
        let len = if is_word(c) {
            rest.find(|c: char| !is_word(c)).unwrap_or(rest.len())
        } else if c.is_ascii_digit() {
            rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len())
        } else {
            rest = &rest[c.len_utf8()..];
            continue;
        };
        words.push(&rest[..len]);
        rest = &rest[len..];
    }
    by_words(&words)
}

fn by_words(words: &[&str]) -> Option<Mating> {
    let number = |word: &str| word.parse::<f64>().ok();
    match words {
        ["FF" | "F", n] => Some(Mating::Through(number(n)?)),
        ["FT", n] => number(n).map(Mating::Tapped),
        ["A", n] | ["B", "5", n] | ["B", "5", "A", n] => {
            let (outside, frame) = (flange_of_outside(number(n)?), through_of_frame(n));
            match (outside, frame) {
                (Some(a), Some(b)) if words.len() == 3 && (a - b).abs() > 0.5 => None,
                (Some(circle), _) => Some(Mating::Through(circle)),
                (None, frame) => frame.map(Mating::Through),
            }
        }
        [.., "B", "5"] | ["IEC", _] | ["IEC", _, "S" | "M" | "L"] => {
            let frame = words.iter().find(|w| number(w).is_some())?;
            let by_frame = through_of_frame(frame);
            let by_outside = flange_of_outside(number(frame)?);
            match (by_frame, by_outside) {
                // `B5` behind a frame settles it; a bare number may be either.
                (Some(circle), Some(other))
                    if (circle - other).abs() > 0.5 && words.last() != Some(&"5") =>
                {
                    None
                }
                (Some(circle), _) | (None, Some(circle)) => Some(Mating::Through(circle)),
                (None, None) => None,
            }
        }
        _ => None,
    }
}

/// Bolt circle of the FF flange that belongs to a frame size, as `132`.
fn through_of_frame(size: &str) -> Option<f64> {
    let sheet = sheet("iec-frames");
    let digits = |name: &str| name.trim_end_matches(|c: char| c.is_ascii_alphabetic()) == size;
    let row = (0..sheet.rows.len()).find(|row| digits(&sheet.rows[*row][0]))?;
    sheet.rows[row][9].strip_prefix("FF")?.parse().ok()
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
    fn a_number_that_may_be_a_frame_or_an_outside_diameter_is_not_guessed() {
        // 250 is the outside of FF215 and a frame whose flange is FF500.
        assert_eq!(read_mating("IEC 250"), None);
        assert_eq!(read_mating("B5 250"), None);
        assert_eq!(read_mating("A250"), Some(Mating::Through(215.0)));
        assert_eq!(read_mating("250 B5"), Some(Mating::Through(500.0)));
        assert_eq!(read_mating("IEC 132M"), Some(Mating::Through(265.0)));
        assert_eq!(read_mating("FT85"), Some(Mating::Tapped(85.0)));
        assert_eq!(read_mating("as drawing 17"), None);
        assert_eq!(read_mating("182TC"), read_mating("184TC"));
    }

    #[test]
    fn powers_rise_with_the_frame_and_fall_with_the_poles() {
        let sheet = sheet("iec-frame-powers");
        for col in 1..5 {
            let listed: Vec<f64> = (0..sheet.rows.len())
                .map(|row| sheet.number(row, col))
                .filter(|kw| *kw > 0.0)
                .collect();
            assert!(listed.windows(2).all(|w| w[0] < w[1]), "column {col}: {listed:?}");
        }
        for row in 0..sheet.rows.len() {
            let kw: Vec<f64> = (2..5).map(|c| sheet.number(row, c)).filter(|k| *k > 0.0).collect();
            assert!(kw.windows(2).all(|w| w[0] > w[1]), "{}: {kw:?}", sheet.rows[row][0]);
            assert!(find_frame(&sheet.rows[row][0]).is_some());
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
