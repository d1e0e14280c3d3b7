//! The keys of `policy.toml`, each with the reason for its default.

/// A key and why its default is what it is.
#[derive(Debug)]
pub struct Key {
    /// The key; a table's keys are joined by a dot.
    pub key: &'static str,
    /// What it means.
    pub meaning: &'static str,
    /// Why the default.
    pub reason: &'static str,
}

macro_rules! keys {
    ($($key:literal $meaning:literal $reason:literal;)*) => {
        /// Every key, in the order of the file.
        pub const KEYS: &[Key] =
            &[$(Key { key: $key, meaning: $meaning, reason: $reason }),*];
    };
}

keys! {
    "currency" "currency of all amounts" "one currency a run";
    "currency_rates" "other currencies: units of ours for one of theirs" "none is guessed";
    "default_units" "unit of a field whose column shows none, as `mass_kg = \"lb\"`" "none is assumed";
    "first_file" "files that win when two rows name one unit or one model, first wins" "else the fuller row wins";
    "consequence_order" "the plant's own class names, worst first" "numbers could run either way";
    "max_unpacked_mb" "largest size a zipped workbook may unpack to (MB)" "guards against archive bombs";
    "max_cells" "most cells that one sheet may hold" "twenty columns of a million rows";
    "column_score_min" "how sure a column's meaning must be to be used" "below it the values contradict the heading";
    "tables" "tables of the plant's own, as `machines = \"machines.csv\"`, beside this file" "the built-in ones are partly from memory";
    "service_factor_method" "`load-class` or `iso6336`" "catalogue ratings are on the load-class basis (common practice, no source)";
    "connection_factors" "`common` or `stricter` table for belt and chain pull" "two published lists disagree; see `tables connections`";
    "hours_blank" "hours a day where blank" "the safe side";
    "ambient_blank_c" "ambient where blank (°C)" "common practice, no source";
    "sun_factor" "thermal factor outdoors in the sun" "common practice, no source";
    "speed_tolerance_pct" "output speed band (±%)" "usual deviation of actual from nominal ratio; from memory";
    "matched_tolerance_pct" "band for drives that run matched (±%)" "common practice, no source";
    "ratio_deviations" "`agma` or `second` list of how far an actual ratio may be off its nominal" "two lists disagree; see `tables ratio-deviations`";
    "efficiency_per_stage" "efficiency of a helical or bevel stage" "common practice, no source";
    "inverter_min_hz" "lowest inverter frequency" "below it a motor's own fan cools too little (common practice, no source)";
    "inverter_max_hz" "highest inverter frequency" "motor and gears are rated near line frequency (common practice, no source)";
    "new_inverters" "whether an inverter may be fitted where there is none, to reach a speed" "only where the plant says so";
    "start_factor_direct" "torque of a direct start over motor torque" "2.0 to 2.8 in use (common practice, no source)";
    "start_factor_soft" "torque of a soft start over motor torque" "common practice, no source";
    "start_factor_inverter" "torque limit of an inverter over motor torque" "usual overload of an inverter (common practice, no source)";
    "start_factor_blank" "start torque where the kind of start is not given" "common practice, no source";
    "jam_factor" "torque of a jam over motor torque" "breakdown torque of a standard motor (common practice, no source)";
    "energy_price" "price of a kilowatt hour" "none is known; replace it";
    "cover" "verdicts that count as cover" "a stop-gap is a debt, not cover";
    "always_deciding" "gates that decide everywhere" "without them nothing can be said";
    "packer_max_mm" "packers above this need the base checked (mm)" "common practice, no source";
    "sleeve_min_wall_mm" "thinnest sleeve (mm)" "common practice, no source";
    "sleeve_max_ratio" "largest bore over shaft for a sleeve" "common practice, no source";
    "least_load_share" "least share of the load down to which a stop-gap may run" "below it the machine does little of its work (common practice, no source)";
    "back_stop_over_lift" "back-stop torque needed over lift torque, no credit for friction" "common practice, no source";
    "back_stop_over_motor" "back-stop torque needed over motor torque, where the lift is not known" "common practice, no source";
    "key_pressure_mpa" "pressure that a steel key's side carries (N/mm²)" "common practice, no source";
    "adapters" "input adapters that the plant can get, as `FF215-FF265`" "none is assumed";
    "back_stop_kit" "whether a back-stop can be fitted to any unit" "not without the maker";
    "outboard_bearing" "whether outboard bearings are allowed" "only where the plant says so";
    "inspection_months" "a spare inspected longer ago is unproven (months)" "common practice, no source";
    "running_again_hours" "limit of the list `running again soonest` (h)" "two days";
    "worth_repair_share" "a repair above this share of a new unit is not worth it" "common practice, no source";
    "shown_candidates" "candidates per position in the report" "best three";
    "hours.change_unit" "work: change a unit (h)" "common practice, no source";
    "hours.fetch" "work: fetch from the store (h)" "common practice, no source";
    "hours.rebore" "work: rebore a coupling (h)" "common practice, no source";
    "hours.sleeve" "work: make a sleeve and stepped key (h)" "common practice, no source";
    "hours.new_hub" "work: new coupling hub (h)" "common practice, no source";
    "hours.adapter" "work: fit an adapter (h)" "common practice, no source";
    "hours.packer" "work: packer under the feet (h)" "common practice, no source";
    "hours.re_drill" "work: drill the base or a packer plate (h)" "common practice, no source";
    "hours.change_motor" "work: change the motor (h)" "common practice, no source";
    "hours.belt" "work: change a pulley and belt (h)" "common practice, no source";
    "hours.inverter" "work: fit or set an inverter (h)" "common practice, no source";
    "hours.swap_leads" "work: swap two motor leads and bump (h)" "common practice, no source";
    "hours.back_stop" "work: fit a back-stop (h)" "common practice, no source";
    "hours.brake" "work: fit a brake (h)" "common practice, no source";
    "hours.inspection" "work: inspect a stored unit (h)" "common practice, no source";
    "hours.move_plugs" "work: move plugs and breather, change the fill (h)" "common practice, no source";
    "hours.torque_arm" "work: new torque-arm point (h)" "common practice, no source";
    "hours.fan" "work: fit a fan or cooler (h)" "common practice, no source";
    "hours.limiter" "work: set or fit a limiter (h)" "common practice, no source";
    "hours.move_motor" "work: move or shim the motor base (h)" "common practice, no source";
    "hours.seals" "work: seals, paint and breather for the surroundings (h)" "common practice, no source";
    "hours.oil" "work: drain, flush and fill with another oil (h)" "common practice, no source";
    "cost_per_hour_of_work" "cost of an hour of work" "common practice, no source";
    "work_cost" "material of each kind of work, by its name" "none is assumed";
    "rate_per_year" "exchanges of a unit per position and year" "no traceable field figure exists; always shown at a third and three times";
    "rates_per_running_year" "whether rates and watched years count running time only, by hours a day" "dirt, damp and old seals work while a unit stands, so years of the calendar";
    "part_rate_per_year" "repairs that take a part of one kind, per position and year" "common practice, no source; the plant's own repairs move it";
    "part_service_level" "chance that a repair finds its parts on the shelf" "a repair can wait where a unit stands in";
    "wear_shape" "Weibull shape of wear-out, for the outlook and pools of one age; 0 or 1 = a constant rate" "no shape is known for a whole unit; 1.5 to 3 are in use (common practice, no source)";
    "outlook_years" "years that the outlook looks ahead (years)" "a usual budget";
    "conversion_cost" "rework of a base, a shaft end or a motor end, once, to share a spare" "common practice, no source";
    "simulate_above" "safe value and upper bound of service this far apart are simulated" "a fiftieth changes no decision";
    "holding_capital" "holding by its parts: capital (a year); with any part above 0 they replace `holding_rate`" "5 to 15 % in use (common practice, no source)";
    "holding_storage" "holding by its parts: storage, insurance, preservation (a year)" "common practice, no source";
    "holding_obsolescence" "holding by its parts: chance that a unit is of no use any more (a year)" "common practice, no source";
    "rate_clean" "the same in clean surroundings" "common practice, no source";
    "rate_harsh" "the same in wet, dusty or shock duty" "common practice, no source";
    "rate_by_load_margin" "whether the default rate follows the service factor" "a modelling step; most failures in the field are of oil, dirt and alignment";
    "load_driven_share" "share of failures that load drives" "common practice, no source; only with `rate_by_load_margin`";
    "load_life_exponent" "exponent of life on torque" "10/3 of roller bearings (ISO 281); only with `rate_by_load_margin`";
    "log_complete" "whether the events table holds every exchange" "a log with gaps lowers a rate to a third of the default at most";
    "holding_rate" "yearly cost of holding, share of value" "usual planning value; textbook range 0.20 to 0.40";
    "unproven_weight" "what an unproven spare counts" "a published survey found up to a third of stored reducers unfit (Efficient Plant, March 2017)";
    "salvage" "what a released unit earns, share of value" "common practice, no source";
    "write_off_years" "years over which the price of a bought spare is spread (years)" "common practice, no source";
    "service_levels.people" "no-wait probability, class people" "common practice, no source";
    "service_levels.line" "no-wait probability, class line" "common practice, no source";
    "service_levels.slow" "no-wait probability, class slow" "common practice, no source";
    "service_levels.minor" "no-wait probability, class minor; 0 = by cost" "the cost rule decides";
    "lead_days_to_100_kg" "lead time up to 100 kg (days)" "common practice, no source";
    "lead_days_to_500_kg" "lead time up to 500 kg (days)" "common practice, no source";
    "lead_days_above" "lead time above 500 kg (days)" "common practice, no source";
    "repair_days" "repair time (days)" "common practice, no source";
    "what_if_rates" "every rate times this, to ask what if; `plan --rates`" "1 is as it is";
    "what_if_lead_times" "every lead time times this, to ask what if; `plan --lead-times`" "1 is as it is";
    "workaround_hours" "time the plant can do without, where blank (h)" "the safe side";
    "swap_hours" "time to swap a unit (h)" "common practice, no source";
    "common_cause_floor" "least factor of redundancy" "units of one group fail together; usual share 5 to 10 %";
    "enumeration_limit" "combinations up to which the choice of spares is enumerated" "exact, and still under a second";
    "history_months_shown" "months in the report's trends" "a year and the same month before";
    "paper" "paper that the report is laid out for: `a4` or `letter`" "ISO 216; ANSI/ASME Y14.1";
}

/// The value of a dotted key in a policy given as TOML, as text.
#[must_use]
pub fn shown_value(policy: &toml::Table, key: &str) -> Option<String> {
    let mut parts = key.split('.');
    let mut value = policy.get(parts.next()?)?;
    for part in parts {
        value = value.get(part)?;
    }
    Some(value.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::policy::Policy;

    #[test]
    fn every_key_of_the_policy_is_described_and_no_other() {
        let policy = toml::Table::try_from(Policy::default()).expect("a policy is a table");
        let mut real = Vec::new();
        for (key, value) in &policy {
            match value.as_table() {
                Some(table) if key == "hours" || key == "service_levels" => {
                    real.extend(table.keys().map(|inner| format!("{key}.{inner}")));
                }
                _ => real.push(key.clone()),
            }
        }
        let mut described: Vec<String> = KEYS.iter().map(|k| k.key.to_owned()).collect();
        described.sort();
        real.sort();
        assert_eq!(described, real);
    }
}
