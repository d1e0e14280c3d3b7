//! Ratio and sense from tooth counts.

/// Gears that mesh in a row between two shafts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToothPair {
    /// Teeth of the driven gear.
    pub driven: f64,
    /// Teeth of the driver.
    pub driver: f64,
    /// Meshes of outside teeth between them: one for a pair, two with an idler, none for an
    /// internal gear.
    pub external_meshes: u32,
}

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
    let product: f64 = tooth_pairs(text)?.iter().map(|p| p.driven / p.driver).product();
    Some(if product < 1.0 { 1.0 / product } else { product })
}

/// Reads tooth counts: pairs `73/17` joined by `×`; an idler stands between, as `60/35/20`; an
/// internal gear carries an `i`, as `72i/18`.
///
/// ```
/// use sparemesh::gearing::tooth_pairs;
/// let meshes = |text| tooth_pairs(text).unwrap()[0].external_meshes;
/// assert_eq!((meshes("60/20"), meshes("60/35/20"), meshes("72i/18")), (1, 2, 0));
/// ```
#[must_use]
pub fn tooth_pairs(text: &str) -> Option<Vec<ToothPair>> {
    text.split(['×', 'x', 'X', '*', '·', ';']).map(pair).collect()
}

fn pair(text: &str) -> Option<ToothPair> {
    let gears: Vec<(f64, bool)> = text.split(['/', ':']).map(gear).collect::<Option<_>>()?;
    let (driven, driver) = (gears.first()?, gears.last()?);
    let internal = gears.iter().filter(|g| g.1).count() as u32;
    let meshes = gears.len() as u32 - 1;
    (meshes >= 1).then(|| ToothPair {
        driven: driven.0,
        driver: driver.0,
        external_meshes: meshes.saturating_sub(internal),
    })
}

/// Teeth of a gear, and whether they are inside.
fn gear(text: &str) -> Option<(f64, bool)> {
    let text = text.trim();
    let digits = text.trim_end_matches(['i', 'I']);
    let teeth: f64 = digits.trim().parse().ok()?;
    (1.0..2000.0).contains(&teeth).then_some((teeth, digits.len() < text.len()))
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
