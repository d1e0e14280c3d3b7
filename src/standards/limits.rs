//! Small tables of limits: momentary peak, life by reliability, deviation of ratios.

use super::Family;
use super::sheet::sheet;

/// How far a momentary torque may exceed the rating at service factor 1.
///
/// # Source
/// AGMA 420.04 / 6013 (2.0); AGMA 440.04 / 6034 (worm, 3.0); from memory.
#[must_use]
pub fn momentary_factor(family: Family) -> f64 {
    let name = if family == Family::Worm { "worm" } else { "helical" };
    let sheet = sheet("momentary-factors");
    sheet.row_named(name).map_or(2.0, |row| sheet.number(row, 1))
}

/// Life factor a1 at a reliability in per cent; `older` takes the edition before 2007.
#[must_use]
pub fn reliability_factor(percent: f64, older: bool) -> Option<f64> {
    let sheet = sheet("reliability-factors");
    let row = (0..sheet.rows.len()).find(|row| (sheet.number(*row, 0) - percent).abs() < 1e-9)?;
    Some(sheet.number(row, if older { 2 } else { 1 }))
}

/// Permitted deviation (per cent) of an actual from its nominal ratio.
#[must_use]
pub fn ratio_deviation(stages: u32, second_list: bool) -> f64 {
    let sheet = sheet("ratio-deviations");
    let row = (stages.max(1) as usize).min(sheet.rows.len()) - 1;
    sheet.number(row, if second_list { 2 } else { 1 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn older_life_factors_are_those_of_a_weibull_shape_of_one_and_a_half() {
        // a1 = (ln R / ln 0.9)^(1/1.5), rounded to two places in print.
        for percent in [90.0, 95.0, 96.0, 97.0, 98.0, 99.0_f64] {
            let by_rule = ((percent / 100.0).ln() / 0.9_f64.ln()).powf(1.0 / 1.5);
            let listed = reliability_factor(percent, true).expect("listed");
            assert!((listed - by_rule).abs() < 0.006, "{percent}: {listed} and {by_rule}");
            assert!(reliability_factor(percent, false).expect("listed") >= listed);
        }
        assert_eq!(reliability_factor(93.0, false), None);
    }

    #[test]
    fn peaks_stay_above_the_rating_and_deviations_do_not_fall() {
        assert!(momentary_factor(Family::Helical) >= 1.0);
        assert!(momentary_factor(Family::Worm) > momentary_factor(Family::Helical));
        for stages in 2..=5 {
            for list in [false, true] {
                assert!(ratio_deviation(stages, list) >= ratio_deviation(stages - 1, list));
            }
        }
    }
}
