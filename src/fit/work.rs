//! Work that mends a gate, with hours and cost from the policy.

use crate::findings::is_brief;
use crate::policy::Policy;

macro_rules! kinds {
    ($($name:ident $key:ident $night:literal;)*) => {
        /// A kind of work.
        #[allow(missing_docs)] // the policy's keys say it
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum WorkKind { $($name),* }

        impl WorkKind {
            /// The policy's key.
            #[must_use]
            pub const fn key(self) -> &'static str {
                match self { $(Self::$name => stringify!($key)),* }
            }
            /// The kind in words.
            #[must_use]
            pub fn words(self) -> String {
                self.key().replace('_', "-")
            }
            /// Hours by the policy.
            #[must_use]
            pub const fn hours(self, policy: &Policy) -> f64 {
                match self { $(Self::$name => policy.hours.$key),* }
            }
            /// Whether a night crew can do it without an open workshop.
            #[must_use]
            pub const fn at_night(self) -> bool {
                match self { $(Self::$name => $night),* }
            }
        }
    };
}

kinds! {
    Rebore rebore false; Sleeve sleeve false; NewHub new_hub false; Adapter adapter true;
    Packer packer true; ReDrill re_drill true; ChangeMotor change_motor true; Belt belt true;
    Inverter inverter false; SwapLeads swap_leads true; BackStop back_stop false; Brake brake false;
    Inspection inspection true; MovePlugs move_plugs true; TorqueArm torque_arm true; Fan fan false;
    Limiter limiter true; MoveMotor move_motor true; Seals seals false; Oil oil true;
}

/// A piece of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Its kind.
    pub kind: WorkKind,
    /// What to do.
    pub text: String,
    /// Hours.
    pub hours: f64,
    /// Labour and material.
    pub cost: f64,
    /// Whether a night crew can do it.
    pub at_night: bool,
}

impl Work {
    /// Work of `kind`, with the policy's hours and cost.
    #[must_use]
    pub fn new(kind: WorkKind, policy: &Policy, text: impl Into<String>) -> Self {
        let hours = kind.hours(policy);
        let material = policy.work_cost.get(kind.key()).copied().unwrap_or(0.0);
        Self {
            kind,
            text: if is_brief() { String::new() } else { text.into() },
            hours,
            cost: hours * policy.cost_per_hour_of_work + material,
            at_night: kind.at_night(),
        }
    }
}
