//! Load connection factor of overhung load.

use super::sheet::sheet;

/// Factor K by kind of connection; `stricter` takes the second published list.
#[must_use]
pub fn connection_factor(connection: &str, stricter: bool) -> Option<f64> {
    let sheet = sheet("connections");
    let col = if stricter { 2 } else { 1 };
    (0..sheet.rows.len()).find(|r| sheet.rows[*r][0] == connection).map(|r| sheet.number(r, col))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pull_is_never_below_the_tangential_force() {
        let sheet = sheet("connections");
        for row in 0..sheet.rows.len() {
            let is_coaxial = matches!(sheet.rows[row][0].as_str(), "coupling" | "flange");
            for col in [1, 2] {
                let factor = sheet.number(row, col);
                assert!(if is_coaxial { factor == 0.0 } else { factor >= 1.0 });
            }
        }
    }
}
