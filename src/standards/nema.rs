//! NEMA motor frames and C-faces, in inches.

use super::sheet::sheet;

/// A foot-mounted frame (in).
#[derive(Clone, Debug, PartialEq)]
pub struct NemaFrame {
    /// Frame designation.
    pub name: String,
    /// Shaft height D.
    pub height_in: f64,
    /// Half the distance of the foot holes across, E.
    pub half_across_in: f64,
    /// Distance of the foot holes along, 2F.
    pub along_in: f64,
    /// Shaft diameter U.
    pub shaft_in: f64,
    /// Shaft length N-W.
    pub shaft_length_in: f64,
    /// Key width; `None` where the shaft has a flat.
    pub key_in: Option<f64>,
}

/// A C-face (in).
#[derive(Clone, Debug, PartialEq)]
pub struct CFace {
    /// Frame designation.
    pub name: String,
    /// Bolt circle AJ.
    pub bolt_circle_in: f64,
    /// Spigot AK.
    pub spigot_in: f64,
    /// Shaft length from the face, AH.
    pub shaft_length_in: f64,
    /// Shaft diameter U.
    pub shaft_in: f64,
    /// Bolts, as printed.
    pub bolts: String,
}

/// Finds a foot frame, as `213T`.
///
/// ```
/// let frame = sparemesh::standards::find_nema_frame("213T").unwrap();
/// assert_eq!((frame.height_in, frame.shaft_in), (5.25, 1.375));
/// ```
#[must_use]
pub fn find_nema_frame(name: &str) -> Option<NemaFrame> {
    let sheet = sheet("nema-frames");
    let row = sheet.row_named(name)?;
    Some(NemaFrame {
        name: sheet.rows[row][0].clone(),
        height_in: sheet.number(row, 1),
        half_across_in: sheet.number(row, 2),
        along_in: sheet.number(row, 3),
        shaft_in: sheet.number(row, 5),
        shaft_length_in: sheet.number(row, 6),
        key_in: sheet.rows[row][7].parse().ok(),
    })
}

/// Finds a C-face, as `256TC`.
#[must_use]
pub fn find_c_face(name: &str) -> Option<CFace> {
    let sheet = sheet("nema-c-faces");
    let row = sheet.row_named(name)?;
    Some(CFace {
        name: sheet.rows[row][0].clone(),
        bolt_circle_in: sheet.number(row, 1),
        spigot_in: sheet.number(row, 2),
        shaft_length_in: sheet.number(row, 3),
        shaft_in: sheet.number(row, 4),
        bolts: sheet.rows[row][5].clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::square_key_in;

    #[test]
    fn three_digits_hold_the_height_and_the_shaft_its_key() {
        let sheet = sheet("nema-frames");
        for row in &sheet.rows {
            let frame = find_nema_frame(&row[0]).expect("listed");
            let digits: String = row[0].chars().take_while(char::is_ascii_digit).collect();
            let number: f64 = digits.parse().expect("a number");
            let height =
                if digits.len() == 3 { (number / 10.0).floor() / 4.0 } else { number / 16.0 };
            assert!((frame.height_in - height).abs() < 0.01, "{}", row[0]);
            if let Some(key) = frame.key_in {
                let want = square_key_in(frame.shaft_in).expect("in range");
                assert!((key - want).abs() < 1e-3, "{}: {key} and {want}", row[0]);
            }
        }
    }

    #[test]
    fn a_face_has_the_shaft_of_its_foot_frame() {
        for row in &sheet("nema-c-faces").rows {
            let face = find_c_face(&row[0]).expect("listed");
            let foot = row[0]
                .replace("TCH", "T")
                .replace("TSC", "TS")
                .replace("TC", "T")
                .replace("56C", "56");
            let foot = foot.replace("42C", "42").replace("48C", "48");
            let frame = find_nema_frame(&foot).expect("a foot frame");
            assert!((face.shaft_in - frame.shaft_in).abs() < 1e-9, "{}", row[0]);
            assert!(face.spigot_in > face.shaft_in && face.bolt_circle_in > face.shaft_in);
        }
    }
}
