//! Worm gearing: lead angle, sliding speed, friction, efficiency, and whether it can run back.

use crate::units::{Force, Length, ShaftSpeed, Torque};

/// Feet a minute in one metre a second.
const FT_MIN_PER_M_S: f64 = 60.0 / 0.3048;

/// Coefficient of friction of a steel worm on a bronze wheel, well lubricated.
///
/// ```text
/// f = 0.15                                         at rest
/// f = 0.124·exp(−0.074·v^0.645)                    0 < v ≤ 10 ft/min
/// f = 0.103·exp(−0.110·v^0.450) + 0.012            above
/// ```
///
/// v is the sliding speed; the fit is in ft/min, `sliding` in m/s.
///
/// # Source
/// ANSI/AGMA 6034-B92, as Shigley's equation 15-62; example 15-3 gives 0.018 at 1419 ft/min.
///
/// ```
/// // 1418.6 ft/min are 7.2065 m/s.
/// let f = sparemesh::gearing::worm_friction(1418.6 * 0.3048 / 60.0);
/// assert!((f - 0.01777).abs() < 2e-5);
/// ```
#[must_use]
pub fn worm_friction(sliding: f64) -> f64 {
    let v = sliding.abs() * FT_MIN_PER_M_S;
    if v == 0.0 {
        0.15
    } else if v <= 10.0 {
        0.124 * (-0.074 * v.powf(0.645)).exp()
    } else {
        0.103 * (-0.110 * v.powf(0.450)).exp() + 0.012
    }
}

/// A worm and its wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WormPair {
    /// Threads of the worm.
    pub threads: f64,
    /// Teeth of the wheel.
    pub teeth: f64,
    /// Pitch diameter of the worm.
    pub worm_pitch: Length,
    /// Axial module, which is the wheel's transverse module.
    pub module: Length,
    /// Normal pressure angle (°).
    pub pressure_deg: f64,
}

impl WormPair {
    /// Ratio: i = z_wheel / z_worm.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.teeth / self.threads
    }

    /// Lead angle (°): tan λ = z·m / d.
    #[must_use]
    pub fn lead_deg(&self) -> f64 {
        (self.threads * self.module.value() / self.worm_pitch.value()).atan().to_degrees()
    }

    /// Centre distance: half the sum of both pitch diameters.
    #[must_use]
    pub fn centres(&self) -> Length {
        let wheel = self.teeth * self.module.value();
        Length::millimetres(f64::midpoint(self.worm_pitch.value(), wheel))
    }

    /// Sliding speed (m/s): v = π·d·n / (60·cos λ).
    #[must_use]
    pub fn sliding(&self, worm: ShaftSpeed) -> f64 {
        let rim = worm.as_radians_per_second() * self.worm_pitch.value() / 2e3;
        rim / self.lead_deg().to_radians().cos()
    }

    /// Efficiency, worm driving, at a coefficient of friction.
    #[must_use]
    pub fn efficiency(&self, friction: f64) -> f64 {
        worm_efficiency(self.lead_deg(), friction, self.pressure_deg)
    }

    /// Efficiency, worm driving, at a speed of the worm.
    #[must_use]
    pub fn efficiency_at(&self, worm: ShaftSpeed) -> f64 {
        self.efficiency(worm_friction(self.sliding(worm)))
    }

    /// Force that drives the worm, whole force, and force that drives the wheel.
    ///
    /// ```text
    /// W = Wt / (cos αn·sin λ + f·cos λ)      Wg = W·(cos αn·cos λ − f·sin λ)
    /// ```
    ///
    /// # Source
    /// Shigley, example 13-10.
    #[must_use]
    pub fn forces(&self, worm_torque: Torque, friction: f64) -> (Force, Force, Force) {
        let (lead, pressure) = (self.lead_deg().to_radians(), self.pressure_deg.to_radians());
        let drive = 2.0 * worm_torque.value() / (self.worm_pitch.value() / 1e3);
        let whole = drive / (pressure.cos() * lead.sin() + friction * lead.cos());
        let wheel = whole * (pressure.cos() * lead.cos() - friction * lead.sin());
        (Force::newtons(drive), Force::newtons(whole), Force::newtons(wheel))
    }
}

/// Efficiency with the worm driving.
///
/// ```text
/// e = (cos αn − f·tan λ) / (cos αn + f·cot λ)
/// ```
///
/// | symbol | meaning                  | unit |
/// |--------|--------------------------|------|
/// | αn     | normal pressure angle    | °    |
/// | λ      | lead angle               | °    |
/// | f      | coefficient of friction  | -    |
///
/// # Source
/// Shigley, equation 13-46 and table 13-6: 76.8 % at 10° and 0.05.
#[must_use]
pub fn worm_efficiency(lead_deg: f64, friction: f64, pressure_deg: f64) -> f64 {
    let (lead, pressure) = (lead_deg.to_radians(), pressure_deg.to_radians());
    (pressure.cos() - friction * lead.tan()) / (pressure.cos() + friction / lead.tan())
}

/// Efficiency with the wheel driving; zero or less where the worm holds still.
#[must_use]
pub fn worm_efficiency_back(lead_deg: f64, friction: f64, pressure_deg: f64) -> f64 {
    let (lead, pressure) = (lead_deg.to_radians(), pressure_deg.to_radians());
    (pressure.cos() - friction / lead.tan()) / (pressure.cos() + friction * lead.tan())
}

/// The largest lead angle (°) at which a worm resists running back at `friction`.
///
/// ```text
/// f ≥ cos αn·tan λ
/// ```
///
/// Vibration, shock, heat and wear defeat it: it is never a brake.
#[must_use]
pub fn resists_running_back_up_to_deg(friction: f64, pressure_deg: f64) -> f64 {
    (friction / pressure_deg.to_radians().cos()).atan().to_degrees()
}

/// Whether a worm can be driven back, from its lead angle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunsBack {
    /// Above 10°: it runs back.
    Yes,
    /// Between 5° and 10°: nobody can rely on either.
    Uncertain,
    /// Below 5°: it resists at rest, until something shakes it. Never a brake.
    Resists,
}

/// By the lead angle (common practice, no source).
#[must_use]
pub fn runs_back(lead_deg: f64) -> RunsBack {
    if lead_deg > 10.0 {
        RunsBack::Yes
    } else if lead_deg < 5.0 {
        RunsBack::Resists
    } else {
        RunsBack::Uncertain
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn square_threads_are_the_same_formula_at_no_pressure_angle() {
        // e = tan λ / tan(λ + ρ), ρ = atan f: another way to the same number.
        for lead in [2.0_f64, 5.0, 12.0, 30.0] {
            for friction in [0.02_f64, 0.05, 0.12] {
                let angle = lead.to_radians();
                let simple = angle.tan() / (angle + friction.atan()).tan();
                assert!((worm_efficiency(lead, friction, 0.0) - simple).abs() < 1e-12);
                let back = (angle - friction.atan()).tan() / angle.tan();
                assert!((worm_efficiency_back(lead, friction, 0.0) - back).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn what_resists_gives_nothing_back() {
        let lead = resists_running_back_up_to_deg(0.1, 20.0);
        assert!(worm_efficiency_back(lead, 0.1, 20.0).abs() < 1e-12);
        // 6.07° at 0.10 and 20°, worked by hand: atan(0.1 / cos 20°).
        assert!((lead - 6.07).abs() < 0.01);
    }

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        #[test]
        fn what_does_not_run_back_has_at_most_half(lead in 0.5_f64..40.0, friction in 0.005_f64..0.3) {
            let (ahead, back) =
                (worm_efficiency(lead, friction, 0.0), worm_efficiency_back(lead, friction, 0.0));
            prop_assert!(ahead.is_finite() && (0.0..1.0).contains(&ahead));
            if back <= 0.0 {
                prop_assert!(ahead <= 0.5 + 1e-9);
            }
        }

        #[test]
        fn friction_falls_as_the_worm_slides_faster(slow in 0.0_f64..20.0, more in 0.01_f64..10.0) {
            // One step upwards where the branches meet at 10 ft/min is in the fit itself.
            let meet = 10.0 * 0.3048 / 60.0;
            prop_assume!(slow > meet || slow + more <= meet);
            prop_assert!(worm_friction(slow + more) <= worm_friction(slow));
        }
    }
}
