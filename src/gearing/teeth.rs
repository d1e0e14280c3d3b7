//! Ratio and sense from tooth counts.

/// The ratio of a train of pairs written as `73/17 × 67/16`: driven over driver, multiplied.
///
/// ```text
/// i = Π z_driven / z_driver
/// ```
///
/// # Source
/// Shigley, example 13-3: two stages of 88/16 give 30.25.
///
/// ```
/// assert_eq!(sparemesh::gearing::teeth_ratio("88/16 x 88/16"), Some(30.25));
/// ```
#[must_use]
pub fn teeth_ratio(text: &str) -> Option<f64> {
    let pairs = pairs(text)?;
    let product: f64 = pairs.iter().map(|(driven, driver)| driven / driver).product();
    Some(if product < 1.0 { 1.0 / product } else { product })
}

fn pairs(text: &str) -> Option<Vec<(f64, f64)>> {
    text.split(['×', 'x', 'X', '*', '·', ';'])
        .map(|pair| {
            let (a, b) = pair.split_once(['/', ':'])?;
            let teeth = |t: &str| t.trim().parse::<f64>().ok().filter(|z| *z >= 1.0 && *z < 2000.0);
            Some((teeth(a)?, teeth(b)?))
        })
        .collect()
}

/// Whether a train of external pairs turns the output against the input: an odd number does.
#[must_use]
pub const fn reverses(external_meshes: u32) -> bool {
    external_meshes % 2 == 1
}

/// Ratio of a planetary stage with the ring held, sun driving, carrier driven: 1 + z_r / z_s.
///
/// # Source
/// Shigley, example 13-6: ring 80, sun 20 give 5.
#[must_use]
pub fn planetary_ratio(ring_teeth: f64, sun_teeth: f64) -> f64 {
    1.0 + ring_teeth / sun_teeth
}
