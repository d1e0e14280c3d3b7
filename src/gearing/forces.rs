//! Forces of a mesh: tangential, separating and along the shaft.

use crate::units::{Force, Length, Torque};

/// The three parts of a mesh force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshForce {
    /// Along the pitch circle; the part that transmits power.
    pub tangential: Force,
    /// Away from the mating gear.
    pub radial: Force,
    /// Along the shaft.
    pub axial: Force,
}

impl MeshForce {
    /// The whole force.
    #[must_use]
    pub fn total(&self) -> Force {
        let square = |f: Force| f.value() * f.value();
        let sum = square(self.tangential) + square(self.radial) + square(self.axial);
        Force::newtons(sum.sqrt())
    }
}

/// Force on a spur or helical gear.
///
/// ```text
/// Ft = 2·T / d      Fr = Ft·tan αn / cos β      Fa = Ft·tan β
/// ```
///
/// | symbol | meaning                                   | unit |
/// |--------|-------------------------------------------|------|
/// | T      | torque of this gear                       | N·m  |
/// | d      | its pitch diameter                        | m    |
/// | αn     | normal pressure angle                     | °    |
/// | β      | helix angle; 0 for spur gears             | °    |
///
/// # Source
/// Shigley, chapter 13, examples 13-7 and 13-9.
#[must_use]
pub fn helical_force(
    torque: Torque,
    pitch: Length,
    pressure_deg: f64,
    helix_deg: f64,
) -> MeshForce {
    let tangential = 2.0 * torque.value() / (pitch.value() / 1e3);
    let (pressure, helix) = (pressure_deg.to_radians(), helix_deg.to_radians());
    MeshForce {
        tangential: Force::newtons(tangential),
        radial: Force::newtons(tangential * pressure.tan() / helix.cos()),
        axial: Force::newtons(tangential * helix.tan()),
    }
}

/// Force on a straight bevel gear of pitch angle `cone_deg`, shafts at 90°.
///
/// ```text
/// Ft = T / r_av      Fr = Ft·tan α·cos δ      Fa = Ft·tan α·sin δ
/// ```
///
/// The radial part of one gear is the axial part of the other.
///
/// # Source
/// Shigley, chapter 13, example 13-8.
#[must_use]
pub fn bevel_force(
    torque: Torque,
    mean_radius: Length,
    pressure_deg: f64,
    cone_deg: f64,
) -> MeshForce {
    let tangential = torque.value() / (mean_radius.value() / 1e3);
    let (pressure, cone) = (pressure_deg.to_radians(), cone_deg.to_radians());
    MeshForce {
        tangential: Force::newtons(tangential),
        radial: Force::newtons(tangential * pressure.tan() * cone.cos()),
        axial: Force::newtons(tangential * pressure.tan() * cone.sin()),
    }
}

/// The hand of a helix.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Helix {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// Which way a shaft turns, looking at its end from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// With the clock.
    Clockwise,
    /// Against the clock.
    CounterClockwise,
}

/// Where the push along the shaft goes, looking at the same end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Push {
    /// Towards the one who looks.
    Towards,
    /// Away from the one who looks.
    Away,
}

/// The push on the driving gear of a helical pair; that on the driven gear is opposite, and both
/// turn over with the sense of rotation.
///
/// The hand of the helix held round the shaft, fingers in the sense of rotation: the thumb points
/// along the push on the driver.
///
/// # Source
/// Common practice, no source.
///
/// ```
/// use sparemesh::gearing::{Helix, Push, Sense, driver_push};
/// // Right hand, fingers with the clock: the thumb points away from the one who looks.
/// assert_eq!(driver_push(Helix::Right, Sense::Clockwise), Push::Away);
/// ```
#[must_use]
pub const fn driver_push(helix: Helix, sense: Sense) -> Push {
    match (helix, sense) {
        (Helix::Right, Sense::Clockwise) | (Helix::Left, Sense::CounterClockwise) => Push::Away,
        (Helix::Right, Sense::CounterClockwise) | (Helix::Left, Sense::Clockwise) => Push::Towards,
    }
}

/// Mean radius of a bevel gear: r_av = d/2 − (b/2)·sin δ.
#[must_use]
pub fn bevel_mean_radius(pitch: Length, face_width: Length, cone_deg: f64) -> Length {
    let half = pitch.value() / 2.0 - face_width.value() / 2.0 * cone_deg.to_radians().sin();
    Length::millimetres(half)
}

/// Pitch angle (°) of a bevel gear with `own` teeth against `mate` teeth, shafts at 90°.
#[must_use]
pub fn pitch_angle_deg(own: f64, mate: f64) -> f64 {
    (own / mate).atan().to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn push_turns_over_with_hand_and_with_sense() {
        for helix in [Helix::Left, Helix::Right] {
            let cw = driver_push(helix, Sense::Clockwise);
            assert_ne!(cw, driver_push(helix, Sense::CounterClockwise));
        }
        let one = driver_push(Helix::Left, Sense::Clockwise);
        assert_ne!(one, driver_push(Helix::Right, Sense::Clockwise));
    }

    #[test]
    fn spur_gears_do_not_push_along_the_shaft() {
        let force =
            helical_force(Torque::newton_metres(100.0), Length::millimetres(80.0), 20.0, 0.0);
        assert!(force.axial.value().abs() < 1e-9);
        // 2 × 100 / 0.08 = 2500 N; × tan 20° = 909.9 N, by hand.
        assert!((force.tangential.value() - 2500.0).abs() < 1e-9);
        assert!((force.radial.value() - 909.93).abs() < 0.01);
    }
}
