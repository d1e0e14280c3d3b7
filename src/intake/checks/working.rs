//! Power, torque, speed and shaft of a row held against each other.
//!
//! ```text
//! T = 9549.3 · P / n        T N·m, P kW, n r/min
//! τ = 16 · T / (π · d³)     τ N/mm², T N·mm, d mm
//! ```

use super::cell;
use crate::findings::{Finding, name};
use crate::gearing::Train;
use crate::records::{Field, Record};
use crate::standards::Family;
use crate::units::{NM_PER_KW_RPM, find_unit};

/// Units in which torques are written by mistake.
const TORQUES: [&str; 5] = ["kN·m", "lbf·in", "lbf·ft", "kgf·m", "daN·m"];

/// The torque against the list's own power, else against the motor's.
pub(super) fn torque(record: &Record) -> Option<Finding> {
    rating(record).or_else(|| slip(record)).or_else(|| against_motor(record))
}

/// One cell that, mended, brings both the rated torque and the shaft in line: a motor power in watts
/// or with a digit too many, a ratio without its decimal sign.
pub(super) fn slip(record: &Record) -> Option<Finding> {
    let (torque, shaft) = (record.rated_torque_nm()?, record.output_shaft_mm()?);
    let (power, n1, ratio) = (record.motor_power_kw()?, record.motor_speed_rpm()?, record.ratio()?);
    let share = |power: f64, ratio: f64| torque * n1 / (NM_PER_KW_RPM * power * ratio);
    let stress = |power: f64, ratio: f64| {
        16.0 * 1e3 * NM_PER_KW_RPM * power * ratio / n1 / (std::f64::consts::PI * shaft.powi(3))
    };
    let off = !(0.3..=12.0).contains(&share(power, ratio));
    if !off || (0.3..=250.0).contains(&stress(power, ratio)) {
        return None;
    }
    let fits = |p: f64, i: f64| {
        (0.8..=4.0).contains(&share(p, i)) && (1.0..=120.0).contains(&stress(p, i))
    };
    let of_power = [1e-3, 0.1, 10.0].map(|f| (Field::motor_power_kw, power * f, power * f, ratio));
    let of_ratio = [0.01, 0.1, 10.0].map(|f| (Field::ratio, ratio * f, power, ratio * f));
    let found = of_power.into_iter().chain(of_ratio).find(|(_, _, p, i)| fits(*p, *i))?;
    let (field, mended, ..) = found;
    let (value, unit) = if field == Field::ratio { (ratio, "") } else { (power, " kW") };
    let message = format!(
        "{} {value}{unit} in {} goes neither with the rated torque {torque} N·m in {} nor with the output shaft {shaft} mm in {}",
        field.heading().to_lowercase(),
        cell(record, field),
        cell(record, Field::rated_torque_nm),
        cell(record, Field::output_shaft_mm)
    );
    let finding = Finding::new(&name::UNUSUAL, record.place(field), message);
    Some(finding.hint(format!(
        "likeliest culprit: {}; {}{unit} would mend both",
        field.heading().to_lowercase(),
        (mended * 1e4).round() / 1e4
    )))
}

/// Whether the row's rated power, speed and ratio speak for its torque.
fn is_borne_out(record: &Record) -> bool {
    let all = record.rated_power_kw().is_some() && record.rated_input_speed_rpm().is_some();
    all && record.ratio().is_some() && rating(record).is_none()
}

/// Shares of the torque of a power that are left at the output, which no row passes.
const ANY_UNIT: std::ops::RangeInclusive<f64> = 0.40..=1.10;

/// The same for gears that lose little: spur, helical, bevel, planetary; common practice, no source.
const WITHOUT_WORM: std::ops::RangeInclusive<f64> = 0.80..=1.06;

/// A list's power, torque, speed and ratio belong together but for the efficiency.
fn rating(record: &Record) -> Option<Finding> {
    let (power, torque) = (record.rated_power_kw()?, record.rated_torque_nm()?);
    let (n1, ratio) = (record.rated_input_speed_rpm()?, record.ratio()?);
    let expected = NM_PER_KW_RPM * power * ratio / n1;
    // A worm may lose half; nothing gains.
    let share = torque / expected;
    if WITHOUT_WORM.contains(&share) {
        return None;
    }
    let without_worm = || {
        let train = record.gear_train().and_then(Train::read);
        train.is_some_and(|train| train.family() == Family::Helical)
    };
    let never = !ANY_UNIT.contains(&share);
    (never || without_worm()).then(|| {
        let message = format!(
            "rated power {power} kW in {}, rated torque {torque} N·m in {}, {n1} r/min in {} and ratio {ratio} in {} do not belong together: the power makes {expected:.0} N·m",
            cell(record, Field::rated_power_kw),
            cell(record, Field::rated_torque_nm),
            cell(record, Field::rated_input_speed_rpm),
            cell(record, Field::ratio)
        );
        let hint = power_is_off(record, torque)
            .or_else(|| mended(torque, expected, &ANY_UNIT))
            .unwrap_or_else(|| format!("likeliest culprit: the torque; {expected:.0} N·m less the losses would mend it"));
        let code = if never { &name::RATING_DISAGREES } else { &name::UNUSUAL };
        Finding::new(code, record.place(Field::rated_torque_nm), message).hint(hint)
    })
}

/// A service factor on the plate against rating over motor power.
pub(super) fn listed_factor(record: &Record) -> Option<Finding> {
    /// Plates round, and may count the efficiency or not.
    const WITHIN: f64 = 0.25;
    /// A rating this near to the motor's power is the motor's own.
    const MOTORS: f64 = 0.15;
    let (listed, power) = (record.listed_service_factor()?, record.motor_power_kw()?);
    let rated = record.rated_power_kw()?;
    let implied = rated / power;
    if (implied - 1.0).abs() < MOTORS || record.rating_basis().is_some_and(|b| b != "gear") {
        return None;
    }
    ((listed / implied).ln().abs() > WITHIN).then(|| {
        let message = format!(
            "service factor {listed} in {} is not {implied:.2}, which is rated power {rated} kW in {} over motor power {power} kW in {}",
            cell(record, Field::listed_service_factor),
            cell(record, Field::rated_power_kw),
            cell(record, Field::motor_power_kw)
        );
        Finding::new(&name::UNUSUAL, record.place(Field::listed_service_factor), message)
            .hint(format!("a service factor of {implied:.2} or a rated power of {:.1} kW would mend it", listed * power))
    })
}

/// Where the motor bears out the torque, the rated power is the odd one.
fn power_is_off(record: &Record, torque: f64) -> Option<String> {
    let motor = NM_PER_KW_RPM * record.motor_power_kw()? / output_speed(record)?;
    let (n1, ratio) = (record.rated_input_speed_rpm()?, record.ratio()?);
    (0.8..=4.0).contains(&(torque / motor)).then(|| {
        let power = torque * n1 / (NM_PER_KW_RPM * ratio);
        format!(
            "likeliest culprit: the rated power, as the motor bears out the torque; {power:.1} kW and the losses would mend it"
        )
    })
}

/// What a torque would be in another unit or with another digit, where that brings it near to
/// `expected`: the nearest two, the likelier first.
fn mended(torque: f64, expected: f64, fits: &std::ops::RangeInclusive<f64>) -> Option<String> {
    let in_unit = |symbol: &'static str| {
        let value = find_unit(symbol)?.to_record(torque);
        let said = format!("the unit; {torque} {symbol} is {value:.0} N·m, which would mend it");
        Some((value, said))
    };
    let with_digit = |factor: f64, what: &str| {
        let value = torque * factor;
        (value, format!("a digit of the torque that may be {what}; {value} N·m would mend it"))
    };
    let digits = [with_digit(10.0, "missing"), with_digit(0.1, "too many")];
    let off = |value: f64| (value / expected).ln().abs();
    let mut mends: Vec<(f64, String)> = TORQUES
        .into_iter()
        .filter_map(in_unit)
        .chain(digits)
        .filter(|(value, _)| fits.contains(&(value / expected)))
        .collect();
    mends.sort_by(|a, b| off(a.0).total_cmp(&off(b.0)));
    let said: Vec<String> = mends.into_iter().take(2).map(|(_, said)| said).collect();
    (!said.is_empty()).then(|| format!("likeliest culprit: {}", said.join(", or ")))
}

/// The rated torque against what the motor gives at the output.
fn against_motor(record: &Record) -> Option<Finding> {
    /// No standard motor turns faster; its torque is the least that a unit passes on.
    const FASTEST: f64 = 3_600.0;
    let (torque, power) = (record.rated_torque_nm()?, record.motor_power_kw()?);
    let Some(n2) = output_speed(record) else {
        return below_any_motor(record, torque, NM_PER_KW_RPM * power / FASTEST);
    };
    let motor = NM_PER_KW_RPM * power / n2;
    let share = torque / motor;
    (!(0.3..=12.0).contains(&share)).then(|| {
        let message = format!(
            "rated torque {torque} N·m in {} is {share:.2} of the {motor:.0} N·m that the motor of {power} kW in {} gives at {n2:.1} r/min",
            cell(record, Field::rated_torque_nm),
            cell(record, Field::motor_power_kw)
        );
        if is_borne_out(record) {
            let finding = Finding::new(&name::UNUSUAL, record.place(Field::motor_power_kw), message);
            let mends = [0.1, 10.0].into_iter().find(|f| (0.8..=4.0).contains(&(share / f)));
            let with = mends.map_or_else(String::new, |f| format!("; {} kW would mend it", power * f));
            return finding.hint(format!(
                "likeliest culprit: the motor power, as the row's rated power, speed and ratio bear out the torque{with}"
            ));
        }
        // Units are rated for about half as much again as their motor.
        let hint = mended(torque, 1.5 * motor, &(0.53..=2.0));
        let finding = Finding::new(&name::UNUSUAL, record.place(Field::rated_torque_nm), message);
        match hint {
            Some(hint) => finding.hint(hint),
            None => finding,
        }
    })
}

/// A torque that is less than what the motor itself gives, whatever its speed.
fn below_any_motor(record: &Record, torque: f64, least: f64) -> Option<Finding> {
    (torque < 0.3 * least).then(|| {
        let message = format!(
            "rated torque {torque} N·m in {} is less than the {least:.0} N·m that a motor of the power in {} gives at any speed",
            cell(record, Field::rated_torque_nm),
            cell(record, Field::motor_power_kw)
        );
        let finding = Finding::new(&name::RATING_DISAGREES, record.place(Field::rated_torque_nm), message);
        finding.hint(format!(
            "likeliest culprit: the sign between thousands; {:.0} N·m would mend it",
            torque * 1e3
        ))
    })
}

fn output_speed(record: &Record) -> Option<f64> {
    record.output_speed_rpm().or_else(|| Some(record.motor_speed_rpm()? / record.ratio()?))
}

/// A motor's speed against its poles: an induction motor runs up to a tenth below 120·f/p.
pub(super) fn motor_speed(record: &Record) -> Option<Finding> {
    let (speed, poles) = (record.motor_speed_rpm()?, record.poles()?);
    let mains = record.supply_hz().map_or_else(|| vec![50.0, 60.0], |f| vec![f]);
    let fits = |f: &f64| (0.88..=1.001).contains(&(speed * poles / (120.0 * f)));
    (!mains.iter().any(fits)).then(|| {
        let message = format!(
            "motor speed {speed} r/min in {} does not go with {poles} poles in {} at {} Hz",
            cell(record, Field::motor_speed_rpm),
            cell(record, Field::poles),
            mains.iter().map(f64::to_string).collect::<Vec<_>>().join(" or ")
        );
        let near = [2.0, 4.0, 6.0, 8.0, 10.0, 12.0]
            .into_iter()
            .find(|p| mains.iter().any(|f| (0.92..=1.001).contains(&(speed * p / (120.0 * f)))));
        let finding = Finding::new(&name::UNUSUAL, record.place(Field::motor_speed_rpm), message);
        match near {
            Some(near) => finding.hint(format!("{near} poles would mend it")),
            None => finding,
        }
    })
}

/// An output shaft that the motor's torque would twist off is in another unit.
pub(super) fn shaft(record: &Record) -> Option<Finding> {
    /// No reducer's shaft is stressed beyond this in torsion (N/mm²); common practice, no source.
    const HIGHEST: f64 = 250.0;
    /// What most are stressed to; common practice, no source.
    const USUAL: f64 = 30.0;
    let (diameter, power) = (record.output_shaft_mm()?, record.motor_power_kw()?);
    let n2 = output_speed(record)?;
    if slip(record).is_some() {
        return None;
    }
    let stress =
        |d: f64| 16.0 * 1e3 * NM_PER_KW_RPM * power / n2 / (std::f64::consts::PI * d.powi(3));
    (stress(diameter) > HIGHEST).then(|| {
        let message = format!(
            "output shaft {diameter} mm in {} is too thin for {power} kW in {} at {n2:.1} r/min: {:.0} N/mm² in torsion",
            cell(record, Field::output_shaft_mm),
            cell(record, Field::motor_power_kw),
            stress(diameter)
        );
        let finding = Finding::new(&name::UNUSUAL, record.place(Field::output_shaft_mm), message);
        let inches = diameter * 25.4;
        let mends = [
            (inches, format!("the unit; {diameter} in is {inches:.1} mm, which would mend it")),
            (diameter * 10.0, format!("a digit that is missing; {} mm would mend it", diameter * 10.0)),
        ];
        let off = |d: f64| (stress(d) / USUAL).ln().abs();
        let mut mends: Vec<_> =
            mends.into_iter().filter(|(d, _)| (2.0..HIGHEST).contains(&stress(*d))).collect();
        mends.sort_by(|a, b| off(a.0).total_cmp(&off(b.0)));
        let said: Vec<String> = mends.into_iter().map(|m| m.1).collect();
        if said.is_empty() {
            finding
        } else {
            finding.hint(format!("likeliest culprit: {}", said.join(", or ")))
        }
    })
}
