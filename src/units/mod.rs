//! Quantities: numbers that know their unit, and the units people write.
//!
//! Each quantity is stored in one unit, named in its documentation. The exact factors are
//! products of three definitions: 1 lb = 0.453 592 37 kg, gₙ = 9.806 65 m/s², 1 in = 0.0254 m.

#[cfg(test)]
pub(crate) mod depth;
mod display;
mod written;

pub use display::{Shown, System, beside, restated, show};
pub use written::{Dimension, Unit, find_unit};

/// Standard acceleration of free fall (m/s²), exact by definition (BIPM, The SI Brochure).
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// One pound (kg), exact by definition (NIST SP 811, 2008, appendix B).
pub const POUND: f64 = 0.453_592_37;
/// One inch (m), exact by definition (NIST SP 811, 2008, appendix B).
pub const INCH: f64 = 0.0254;
/// One pound-force (N): pound × standard gravity.
pub const POUND_FORCE: f64 = POUND * STANDARD_GRAVITY;
/// Mechanical horsepower (W): 550 ft·lbf/s.
pub const HORSEPOWER: f64 = 550.0 * 12.0 * POUND_FORCE * INCH;
/// Metric horsepower, PS or CV (W): 75 kgf·m/s.
pub const METRIC_HORSEPOWER: f64 = 75.0 * STANDARD_GRAVITY;

/// Torque (N·m) of one kilowatt at one revolution a minute: 60 000 / 2π.
pub const NM_PER_KW_RPM: f64 = 30_000.0 / std::f64::consts::PI;

/// Declares a quantity: its type, the unit it is stored in, and its other units.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident in $symbol:literal, $base:ident
     $(, $unit:ident = $factor:expr)* $(,)?) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// The symbol of the stored unit, as printed in reports.
            pub const SYMBOL: &'static str = $symbol;

            #[doc = concat!("From a value in ", stringify!($base), ".")]
            #[must_use]
            pub const fn $base(value: f64) -> Self {
                Self(value)
            }
            $(
                #[doc = concat!("From a value in ", stringify!($unit), ".")]
                #[must_use]
                pub const fn $unit(value: f64) -> Self {
                    Self(value * $factor)
                }
            )*
            #[doc = concat!("The value in ", $symbol, ".")]
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }
            /// The value in another unit of `factor` stored units.
            #[must_use]
            pub const fn over(self, factor: f64) -> f64 {
                self.0 / factor
            }
        }
    };
}

quantity! {
    /// Torque, stored in newton metres (N·m).
    Torque in "N·m", newton_metres,
    kilonewton_metres = 1e3,
    pound_inches = POUND_FORCE * INCH,
    pound_feet = POUND_FORCE * INCH * 12.0,
    kilogram_force_metres = STANDARD_GRAVITY,
}

quantity! {
    /// Power, stored in watts (W).
    Power in "W", watts,
    kilowatts = 1e3,
    horsepower = HORSEPOWER,
    metric_horsepower = METRIC_HORSEPOWER,
}

quantity! {
    /// Force, stored in newtons (N).
    Force in "N", newtons,
    kilonewtons = 1e3,
    pounds_force = POUND_FORCE,
}

quantity! {
    /// Length, stored in millimetres (mm).
    Length in "mm", millimetres,
    metres = 1e3,
    inches = 25.4,
}

/// Shaft speed, stored in revolutions per minute (r/min); always finite and above zero.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ShaftSpeed(f64);

impl ShaftSpeed {
    /// A speed in revolutions per minute, or `None` if it is not finite and above zero.
    #[must_use]
    pub fn rpm(value: f64) -> Option<Self> {
        (value.is_finite() && value > 0.0).then_some(Self(value))
    }
    /// The speed in revolutions per minute (r/min).
    #[must_use]
    pub const fn as_rpm(self) -> f64 {
        self.0
    }
    /// The angular velocity (rad/s).
    #[must_use]
    pub const fn as_radians_per_second(self) -> f64 {
        self.0 * std::f64::consts::TAU / 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn imperial_factors_equal_their_exact_definitions() {
        // 4.448 221 615 260 5 N × 0.0254 m, written out by hand.
        assert!((Torque::pound_inches(1.0).value() - 0.112_984_829_027_616_7).abs() < 1e-16);
        assert!((Power::horsepower(1.0).value() - 745.699_871_582_270_2).abs() < 1e-9);
        assert!((Power::metric_horsepower(1.0).value() - 735.498_75).abs() < 1e-9);
    }
}
