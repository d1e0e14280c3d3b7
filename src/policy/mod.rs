//! Every choice that is not physics, with its default and the reason for it.

mod file;
mod keys;
mod limits;

use std::collections::BTreeMap;

pub use file::{Columns, Mapping, PolicyError, load, load_columns};
pub use keys::{KEYS, Key, shown_value};

use serde::{Deserialize, Serialize};

/// Which service-factor method rates a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Load class × hours × driver, the larger of matrix and machine list.
    LoadClass,
    /// Application factor K_A of ISO 6336; only for ratings on that basis.
    Iso6336,
}

/// Which table of load connection factors is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ConnectionTable {
    /// 1.0 chain, 1.25 pinion and toothed belt, 1.5 V-belt, 2.5 flat belt.
    Common,
    /// 1.0 chain and pinion, 1.5 toothed belt, 2.5 V-belt, 3.5 flat belt.
    Stricter,
}

/// Which list of permitted deviations of nominal ratios counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DeviationList {
    /// AGMA practice: 3, 4, 4, 4 % for one to four stages.
    Agma,
    /// A second list: 3, 4, 5, 5 %.
    Second,
}

/// The paper that reports are laid out for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    A4,
    /// 8.5 × 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// The number of the size in spreadsheet files (ECMA-376, `ST_PaperSize`; from memory).
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::A4 => 9,
            Self::Letter => 1,
        }
    }
}

/// The policy in force. Every field is a key of `policy.toml` under the same name.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
#[allow(missing_docs, clippy::struct_excessive_bools)] // each key is described once, in `KEYS`
pub struct Policy {
    pub currency: String,
    pub currency_rates: BTreeMap<String, f64>,
    pub default_units: BTreeMap<String, String>,
    pub first_file: Vec<String>,
    pub consequence_order: Vec<String>,
    pub max_unpacked_mb: u64,
    pub max_cells: u64,
    pub column_score_min: f64,

    pub tables: BTreeMap<String, String>,
    pub service_factor_method: Method,
    pub connection_factors: ConnectionTable,
    pub hours_blank: f64,
    pub ambient_blank_c: f64,
    pub sun_factor: f64,
    pub speed_tolerance_pct: f64,
    pub matched_tolerance_pct: f64,
    pub ratio_deviations: DeviationList,
    pub efficiency_per_stage: f64,
    pub inverter_min_hz: f64,
    pub inverter_max_hz: f64,
    pub new_inverters: bool,
    pub start_factor_direct: f64,
    pub start_factor_soft: f64,
    pub start_factor_inverter: f64,
    pub start_factor_blank: f64,
    pub jam_factor: f64,
    pub energy_price: f64,

    pub cover: Vec<String>,
    pub always_deciding: Vec<String>,
    pub packer_max_mm: f64,
    pub sleeve_min_wall_mm: f64,
    pub sleeve_max_ratio: f64,
    pub least_load_share: f64,
    pub back_stop_over_lift: f64,
    pub back_stop_over_motor: f64,
    pub key_pressure_mpa: f64,
    pub adapters: Vec<String>,
    pub back_stop_kit: bool,
    pub outboard_bearing: bool,
    pub inspection_months: f64,
    pub running_again_hours: f64,
    pub worth_repair_share: f64,
    pub shown_candidates: usize,
    pub hours: WorkHours,
    pub cost_per_hour_of_work: f64,
    pub work_cost: BTreeMap<String, f64>,

    pub rate_per_year: f64,
    pub rates_per_running_year: bool,
    pub part_rate_per_year: f64,
    pub part_service_level: f64,
    pub wear_shape: f64,
    pub outlook_years: f64,
    pub conversion_cost: f64,
    pub simulate_above: f64,
    pub holding_capital: f64,
    pub holding_storage: f64,
    pub holding_obsolescence: f64,
    pub rate_clean: f64,
    pub rate_harsh: f64,
    pub rate_by_load_margin: bool,
    pub load_driven_share: f64,
    pub load_life_exponent: f64,
    pub log_complete: bool,
    pub holding_rate: f64,
    pub unproven_weight: f64,
    pub salvage: f64,
    pub write_off_years: f64,
    pub service_levels: ServiceLevels,
    pub lead_days_to_100_kg: f64,
    pub lead_days_to_500_kg: f64,
    pub lead_days_above: f64,
    pub repair_days: f64,
    pub what_if_rates: f64,
    pub what_if_lead_times: f64,
    pub workaround_hours: f64,
    pub swap_hours: f64,
    pub common_cause_floor: f64,
    pub enumeration_limit: usize,

    pub history_months_shown: usize,
    pub paper: Paper,
}

/// Hours of each kind of work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
#[allow(missing_docs)]
pub struct WorkHours {
    pub change_unit: f64,
    pub fetch: f64,
    pub rebore: f64,
    pub sleeve: f64,
    pub new_hub: f64,
    pub adapter: f64,
    pub packer: f64,
    pub re_drill: f64,
    pub change_motor: f64,
    pub belt: f64,
    pub inverter: f64,
    pub swap_leads: f64,
    pub back_stop: f64,
    pub brake: f64,
    pub inspection: f64,
    pub move_plugs: f64,
    pub torque_arm: f64,
    pub fan: f64,
    pub limiter: f64,
    pub move_motor: f64,
    pub seals: f64,
    pub oil: f64,
}

/// No-wait probability asked for per consequence class.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
#[allow(missing_docs)]
pub struct ServiceLevels {
    pub people: f64,
    pub line: f64,
    pub slow: f64,
    /// Zero: decided by the cost rule alone.
    pub minor: f64,
}

impl Default for ServiceLevels {
    fn default() -> Self {
        Self { people: 0.99, line: 0.95, slow: 0.90, minor: 0.0 }
    }
}

impl ServiceLevels {
    /// The level of a class by its word.
    #[must_use]
    pub fn of(&self, class: &str) -> f64 {
        match class {
            "people" => self.people,
            "slow" => self.slow,
            "minor" => self.minor,
            _ => self.line,
        }
    }
}

impl Policy {
    /// The yearly cost of holding as a share of value: put together from its parts where any is given.
    #[must_use]
    pub fn holding(&self) -> f64 {
        let parts = self.holding_capital + self.holding_storage + self.holding_obsolescence;
        if parts > 0.0 {
            self.holding_capital
                + self.holding_storage
                + self.holding_obsolescence * (1.0 - self.salvage)
        } else {
            self.holding_rate
        }
    }

    /// Whether units fail otherwise as they age; a shape of one is a constant rate.
    #[must_use]
    pub fn wears(&self) -> bool {
        self.wear_shape > 0.0 && (self.wear_shape - 1.0).abs() > 1e-9
    }
}

impl Default for WorkHours {
    fn default() -> Self {
        Self {
            change_unit: 6.0,
            fetch: 1.0,
            rebore: 4.0,
            sleeve: 3.0,
            new_hub: 6.0,
            adapter: 3.0,
            packer: 2.0,
            re_drill: 4.0,
            change_motor: 3.0,
            belt: 3.0,
            inverter: 8.0,
            swap_leads: 0.5,
            back_stop: 3.0,
            brake: 8.0,
            inspection: 2.0,
            move_plugs: 1.0,
            torque_arm: 3.0,
            fan: 4.0,
            limiter: 2.0,
            move_motor: 4.0,
            seals: 3.0,
            oil: 2.0,
        }
    }
}

impl Default for Policy {
    fn default() -> Self {
        let words = |list: &[&str]| list.iter().map(|w| (*w).to_owned()).collect();
        Self {
            currency: "EUR".into(),
            currency_rates: BTreeMap::new(),
            default_units: BTreeMap::new(),
            first_file: Vec::new(),
            consequence_order: Vec::new(),
            max_unpacked_mb: 512,
            max_cells: 20_000_000,
            column_score_min: 0.6,
            tables: BTreeMap::new(),
            service_factor_method: Method::LoadClass,
            connection_factors: ConnectionTable::Common,
            hours_blank: 24.0,
            ambient_blank_c: 40.0,
            sun_factor: 0.85,
            speed_tolerance_pct: 4.0,
            matched_tolerance_pct: 0.5,
            ratio_deviations: DeviationList::Agma,
            efficiency_per_stage: 0.97,
            inverter_min_hz: 25.0,
            inverter_max_hz: 60.0,
            new_inverters: false,
            start_factor_direct: 2.0,
            start_factor_soft: 1.5,
            start_factor_inverter: 1.5,
            start_factor_blank: 1.5,
            jam_factor: 2.5,
            energy_price: 0.15,
            cover: words(&["drop-in", "adapt"]),
            always_deciding: words(&[
                "axes",
                "seat",
                "output-fit",
                "input-fit",
                "speed",
                "strength",
                "condition",
            ]),
            packer_max_mm: 50.0,
            sleeve_min_wall_mm: 5.0,
            sleeve_max_ratio: 1.25,
            least_load_share: 0.60,
            back_stop_over_lift: 1.5,
            back_stop_over_motor: 2.0,
            key_pressure_mpa: 100.0,
            adapters: Vec::new(),
            back_stop_kit: false,
            outboard_bearing: false,
            inspection_months: 24.0,
            running_again_hours: 48.0,
            worth_repair_share: 0.6,
            shown_candidates: 3,
            hours: WorkHours::default(),
            cost_per_hour_of_work: 75.0,
            work_cost: BTreeMap::new(),
            rate_per_year: 0.03,
            rates_per_running_year: false,
            part_rate_per_year: 0.10,
            part_service_level: 0.90,
            wear_shape: 0.0,
            outlook_years: 5.0,
            conversion_cost: 2_500.0,
            simulate_above: 0.02,
            holding_capital: 0.0,
            holding_storage: 0.0,
            holding_obsolescence: 0.0,
            rate_clean: 0.02,
            rate_harsh: 0.10,
            rate_by_load_margin: false,
            load_driven_share: 0.6,
            load_life_exponent: 10.0 / 3.0,
            log_complete: false,
            holding_rate: 0.25,
            unproven_weight: 0.67,
            salvage: 0.1,
            write_off_years: 10.0,
            service_levels: ServiceLevels::default(),
            lead_days_to_100_kg: 28.0,
            lead_days_to_500_kg: 84.0,
            lead_days_above: 182.0,
            repair_days: 42.0,
            what_if_rates: 1.0,
            what_if_lead_times: 1.0,
            workaround_hours: 0.0,
            swap_hours: 12.0,
            common_cause_floor: 0.10,
            enumeration_limit: 50_000,
            history_months_shown: 13,
            paper: Paper::A4,
        }
    }
}

impl Policy {
    /// Lead time (days) by mass where nothing else says.
    #[must_use]
    pub fn lead_days_by_mass(&self, mass_kg: Option<f64>) -> f64 {
        match mass_kg {
            Some(kg) if kg <= 100.0 => self.lead_days_to_100_kg,
            Some(kg) if kg <= 500.0 => self.lead_days_to_500_kg,
            Some(_) => self.lead_days_above,
            None => self.lead_days_to_500_kg,
        }
    }

    /// The rank of a file by its path: first what `first_file` names, in its order.
    #[must_use]
    pub fn rank_of_file(&self, path: &str) -> usize {
        let file = path.rsplit('/').next().unwrap_or_default();
        self.first_file.iter().position(|f| f == file).unwrap_or(usize::MAX)
    }

    /// Whether a verdict's word counts as cover.
    #[must_use]
    pub fn covers(&self, verdict: &str) -> bool {
        self.cover.iter().any(|word| word == verdict)
    }
}
