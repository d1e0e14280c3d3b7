//! What the keys of a policy may hold.

use super::Policy;

/// Values outside what a key can mean, with the key and what it may hold.
pub(super) fn out_of_range(policy: &Policy) -> Option<String> {
    let p = policy;
    let between = |key: &str, value: f64, low: f64, high: f64| {
        let fits = value.is_finite() && (low..=high).contains(&value);
        (!fits).then(|| format!("`{key}` is {value}; it must lie between {low} and {high}"))
    };
    let levels = p.service_levels;
    let numbers = [
        ("hours_blank", p.hours_blank, 0.1, 24.0),
        ("ambient_blank_c", p.ambient_blank_c, -60.0, 100.0),
        ("sun_factor", p.sun_factor, 0.1, 1.0),
        ("speed_tolerance_pct", p.speed_tolerance_pct, 0.0, 50.0),
        ("matched_tolerance_pct", p.matched_tolerance_pct, 0.0, 50.0),
        ("efficiency_per_stage", p.efficiency_per_stage, 0.5, 1.0),
        ("column_score_min", p.column_score_min, 0.0, 100.0),
        ("inverter_max_hz", p.inverter_max_hz, 1.0, 400.0),
        ("inverter_min_hz", p.inverter_min_hz, 1.0, 400.0),
        ("start_factor_direct", p.start_factor_direct, 0.5, 5.0),
        ("start_factor_soft", p.start_factor_soft, 0.5, 5.0),
        ("start_factor_inverter", p.start_factor_inverter, 0.5, 5.0),
        ("start_factor_blank", p.start_factor_blank, 0.5, 5.0),
        ("jam_factor", p.jam_factor, 1.0, 5.0),
        ("what_if_rates", p.what_if_rates, 0.01, 100.0),
        ("what_if_lead_times", p.what_if_lead_times, 0.01, 100.0),
        ("energy_price", p.energy_price, 0.0, 1e4),
        ("packer_max_mm", p.packer_max_mm, 0.0, 1000.0),
        ("sleeve_min_wall_mm", p.sleeve_min_wall_mm, 0.0, 100.0),
        ("sleeve_max_ratio", p.sleeve_max_ratio, 1.0, 3.0),
        ("least_load_share", p.least_load_share, 0.1, 1.0),
        ("back_stop_over_lift", p.back_stop_over_lift, 1.0, 10.0),
        ("back_stop_over_motor", p.back_stop_over_motor, 1.0, 10.0),
        ("key_pressure_mpa", p.key_pressure_mpa, 10.0, 500.0),
        ("inspection_months", p.inspection_months, 0.0, 600.0),
        ("running_again_hours", p.running_again_hours, 0.0, 8760.0),
        ("worth_repair_share", p.worth_repair_share, 0.0, 2.0),
        ("cost_per_hour_of_work", p.cost_per_hour_of_work, 0.0, 1e6),
        ("rate_per_year", p.rate_per_year, 1e-6, 100.0),
        ("part_rate_per_year", p.part_rate_per_year, 1e-6, 100.0),
        ("part_service_level", p.part_service_level, 0.0, 0.9999),
        ("wear_shape", p.wear_shape, 0.0, 10.0),
        ("outlook_years", p.outlook_years, 0.1, 50.0),
        ("conversion_cost", p.conversion_cost, 0.0, 1e7),
        ("simulate_above", p.simulate_above, 0.0, 1.0),
        ("holding_capital", p.holding_capital, 0.0, 1.0),
        ("holding_storage", p.holding_storage, 0.0, 1.0),
        ("holding_obsolescence", p.holding_obsolescence, 0.0, 1.0),
        ("rate_clean", p.rate_clean, 1e-6, 100.0),
        ("rate_harsh", p.rate_harsh, 1e-6, 100.0),
        ("load_driven_share", p.load_driven_share, 0.0, 1.0),
        ("load_life_exponent", p.load_life_exponent, 1.0, 12.0),
        ("holding_rate", p.holding_rate, 0.0, 2.0),
        ("unproven_weight", p.unproven_weight, 0.0, 1.0),
        ("salvage", p.salvage, 0.0, 1.0),
        ("write_off_years", p.write_off_years, 0.1, 100.0),
        ("service_levels.people", levels.people, 0.0, 0.999_999),
        ("service_levels.line", levels.line, 0.0, 0.999_999),
        ("service_levels.slow", levels.slow, 0.0, 0.999_999),
        ("service_levels.minor", levels.minor, 0.0, 0.999_999),
        ("lead_days_to_100_kg", p.lead_days_to_100_kg, 0.0, 3650.0),
        ("lead_days_to_500_kg", p.lead_days_to_500_kg, 0.0, 3650.0),
        ("lead_days_above", p.lead_days_above, 0.0, 3650.0),
        ("repair_days", p.repair_days, 0.0, 3650.0),
        ("workaround_hours", p.workaround_hours, 0.0, 87_600.0),
        ("swap_hours", p.swap_hours, 0.0, 8760.0),
        ("common_cause_floor", p.common_cause_floor, 0.0, 1.0),
    ];
    let number =
        numbers.into_iter().find_map(|(key, value, low, high)| between(key, value, low, high));
    number
        .or_else(|| inverter(policy))
        .or_else(|| hours_out_of_range(policy))
        .or_else(|| currency(&policy.currency))
        .or_else(|| pairs(policy))
        .or_else(|| unknown_word(policy))
}

/// A range of frequencies that is none.
fn inverter(policy: &Policy) -> Option<String> {
    let (low, high) = (policy.inverter_min_hz, policy.inverter_max_hz);
    (low > high)
        .then(|| format!("`inverter_min_hz` is {low} and `inverter_max_hz` {high}; the lowest frequency cannot be above the highest"))
}

/// Hours of work that are none.
fn hours_out_of_range(policy: &Policy) -> Option<String> {
    const MOST: f64 = 1000.0;
    let serde_json::Value::Object(hours) = serde_json::to_value(&policy.hours).ok()? else {
        return None;
    };
    let hour = hours.iter().find_map(|(key, value)| {
        let value = value.as_f64().unwrap_or(f64::NAN);
        (!(0.0..=MOST).contains(&value))
            .then(|| format!("`hours.{key}` is {value}; it must lie between 0 and {MOST}"))
    });
    hour.or_else(|| {
        policy.work_cost.iter().find_map(|(key, cost)| {
            if !hours.contains_key(key) {
                let all: Vec<&str> = hours.keys().map(String::as_str).collect();
                return Some(format!("`work_cost.{key}` is no work; it may be {}", all.join(", ")));
            }
            (!(0.0..=1e7).contains(cost))
                .then(|| format!("`work_cost.{key}` is {cost}; it must lie between 0 and 10000000"))
        })
    })
}

/// An adapter leads from one flange to another; the plant's own currency is worth itself.
fn pairs(policy: &Policy) -> Option<String> {
    let is_pair = |text: &str| {
        text.split_once('-').is_some_and(|(a, b)| {
            let (a, b) = (a.trim(), b.trim());
            !a.is_empty() && !b.is_empty() && a != b
        })
    };
    let odd = policy.adapters.iter().find(|text| !is_pair(text));
    let own =
        policy.currency_rates.get(&policy.currency).filter(|rate| (**rate - 1.0).abs() > 1e-9);
    odd.map(|text| format!("`adapters` holds `{text}`; name two flanges, such as FF215-FF265"))
        .or_else(|| {
            own.map(|rate| {
                format!(
                    "`currency_rates.{}` is {rate}, but that is the plant's own currency",
                    policy.currency
                )
            })
        })
}

/// A currency is a word or a sign.
fn currency(text: &str) -> Option<String> {
    let is_odd = |c: char| c.is_whitespace() || c.is_control() || c.is_ascii_digit();
    let fits = (1..=8).contains(&text.chars().count()) && !text.contains(is_odd);
    (!fits).then(|| {
        format!(
            "`currency` is `{text}`; name it by its code or sign, such as EUR, in 1 to 8 characters"
        )
    })
}

/// Words of lists that are none of the program's.
fn unknown_word(policy: &Policy) -> Option<String> {
    const VERDICTS: [&str; 3] = ["drop-in", "adapt", "stop-gap"];
    const GATES: [&str; 20] = [
        "axes",
        "seat",
        "output-fit",
        "input-fit",
        "speed",
        "sense",
        "strength",
        "peak",
        "heat",
        "overhang",
        "top-speed",
        "orientation",
        "back-stop",
        "holding",
        "condition",
        "line-up",
        "room",
        "zone",
        "surroundings",
        "oil",
    ];
    let first = |key: &str, list: &[String], words: &[&str]| {
        let stranger = list.iter().find(|w| !words.contains(&w.as_str()))?;
        Some(format!("`{key}` holds `{stranger}`; it may hold {}", words.join(", ")))
    };
    let unit =
        policy.default_units.iter().find(|(_, unit)| crate::units::find_unit(unit).is_none());
    let rate = policy.currency_rates.iter().find(|(_, rate)| !(rate.is_finite() && **rate > 0.0));
    first("cover", &policy.cover, &VERDICTS)
        .or_else(|| first("always_deciding", &policy.always_deciding, &GATES))
        .or_else(|| {
            policy.always_deciding.is_empty().then(|| {
                "`always_deciding` is empty; without gates that decide nothing can be said of a pair, so leave the line out or name some".into()
            })
        })
        .or_else(|| {
            policy.cover.is_empty().then(|| "`cover` is empty; then nothing covers anything".into())
        })
        .or_else(|| {
            unit.map(|(key, unit)| format!("`default_units.{key}` is `{unit}`, which is no unit"))
        })
        .or_else(|| {
            rate.map(|(key, rate)| format!("`currency_rates.{key}` is {rate}; it must be above 0"))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every number of the policy refuses what is beyond sense on both sides.
    #[test]
    fn every_number_has_limits() {
        let plain = serde_json::to_value(Policy::default()).expect("JSON");
        let mut keys: Vec<Vec<String>> = Vec::new();
        for (key, value) in plain.as_object().expect("an object") {
            match value {
                serde_json::Value::Number(n) if n.is_f64() => keys.push(vec![key.clone()]),
                serde_json::Value::Object(inner) => {
                    let numbers = inner.iter().filter(|(_, v)| v.is_f64());
                    keys.extend(numbers.map(|(k, _)| vec![key.clone(), k.clone()]));
                }
                _ => {}
            }
        }
        assert!(keys.len() > 60, "{}", keys.len());
        let mut loose = Vec::new();
        for key in keys {
            for value in [-1e300, 1e300] {
                let mut odd = plain.clone();
                let mut at = &mut odd;
                for part in &key {
                    at = &mut at[part.as_str()];
                }
                *at = serde_json::json!(value);
                let policy: Policy = serde_json::from_value(odd).expect("a policy");
                let said = out_of_range(&policy);
                let name = key.join(".");
                if !said.is_some_and(|s| s.contains(&name)) {
                    loose.push(format!("{name} may be {value:e}"));
                }
            }
        }
        assert!(loose.is_empty(), "{loose:#?}");
        for text in ["", "a long word for money", "E R", "12"] {
            let policy = Policy { currency: text.into(), ..Policy::default() };
            assert!(out_of_range(&policy).is_some_and(|s| s.contains("currency")), "{text}");
        }
    }

    #[test]
    fn the_defaults_are_in_range_and_nonsense_is_not() {
        assert_eq!(out_of_range(&Policy::default()), None);
        let policy = Policy { hours_blank: -5.0, ..Policy::default() };
        let said = out_of_range(&policy).expect("refused");
        assert_eq!(said, "`hours_blank` is -5; it must lie between 0.1 and 24");
        let policy = Policy { cover: vec!["dropin".into()], ..Policy::default() };
        assert!(
            out_of_range(&policy).is_some_and(|s| s.contains("may hold drop-in, adapt, stop-gap"))
        );
    }
}
