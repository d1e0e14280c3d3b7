//! Gear trains as people write them.

use super::worm::RunsBack;
use crate::standards::{Family, find_sheet};

/// One kind of stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Spur or helical pair.
    Helical,
    /// Bevel pair; turns the axis, axes meet.
    Bevel,
    /// Hypoid pair; turns the axis, axes cross.
    Hypoid,
    /// Worm; turns the axis, axes cross.
    Worm,
    /// Helical gears on crossed axes; can turn the axis by 90°.
    CrossedHelical,
    /// Planetary or cycloidal; input and output in line.
    Planetary,
}

/// A gear train: its stages from input to output.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Train {
    /// The kinds of stage, in order.
    pub stages: Vec<Stage>,
    /// How many stages, where stated.
    pub count: Option<u32>,
    /// Whether its last word on helical gears is double-helical, spur, or neither.
    teeth: Teeth,
}

/// How the teeth of parallel stages lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Teeth {
    Spur,
    Helical,
    DoubleHelical,
    NotSaid,
}

/// Words of trains in several languages.
const WORDS: &[(&str, Stage)] = &[
    ("crossed helical", Stage::CrossedHelical),
    ("crossed-helical", Stage::CrossedHelical),
    ("screw gear", Stage::CrossedHelical),
    ("schraubrad", Stage::CrossedHelical),
    ("helical", Stage::Helical),
    ("spur", Stage::Helical),
    ("herringbone", Stage::Helical),
    ("stirnrad", Stage::Helical),
    ("engrenages cylindriques", Stage::Helical),
    ("hélicoïdal", Stage::Helical),
    ("helicoidal", Stage::Helical),
    ("elicoidal", Stage::Helical),
    ("cilindric", Stage::Helical),
    ("double-helical", Stage::Helical),
    ("parallel", Stage::Helical),
    ("hypoid", Stage::Hypoid),
    ("spiral bevel", Stage::Bevel),
    ("bevel", Stage::Bevel),
    ("kegelrad", Stage::Bevel),
    ("kegel", Stage::Bevel),
    ("conique", Stage::Bevel),
    ("cónic", Stage::Bevel),
    ("conic", Stage::Bevel),
    ("worm", Stage::Worm),
    ("schnecke", Stage::Worm),
    ("vis sans fin", Stage::Worm),
    ("sinfín", Stage::Worm),
    ("sinfin", Stage::Worm),
    ("sin fin", Stage::Worm),
    ("vite senza fine", Stage::Worm),
    ("planetary", Stage::Planetary),
    ("epicyclic", Stage::Planetary),
    ("planeten", Stage::Planetary),
    ("planétaire", Stage::Planetary),
    ("épicycl", Stage::Planetary),
    ("epicicloidal", Stage::Planetary),
    ("planetari", Stage::Planetary),
    ("cycloidal", Stage::Planetary),
    ("cyclo", Stage::Planetary),
];

impl Train {
    /// Reads `helical 2-stage`, `bevel-helical`, `helical-worm`.
    ///
    /// ```
    /// use sparemesh::gearing::{Stage, Train};
    /// let train = Train::read("Helical-worm").unwrap();
    /// assert_eq!(train.stages, [Stage::Helical, Stage::Worm]);
    /// assert!(train.turns_axis());
    /// ```
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let low = text.to_lowercase();
        let mut found: Vec<(usize, usize, Stage)> = Vec::new();
        for (word, stage) in WORDS {
            for (at, _) in low.match_indices(word) {
                let inside =
                    found.iter().any(|(start, end, _)| at < *end && at + word.len() > *start);
                if !inside {
                    found.push((at, at + word.len(), *stage));
                }
            }
        }
        found.sort_by_key(|f| f.0);
        if found.is_empty() {
            return None;
        }
        let digit = low.find("stage").or_else(|| low.find("stufig")).and_then(|at| {
            low[..at].chars().rev().find(char::is_ascii_digit).and_then(|c| c.to_digit(10))
        });
        let word = [("single", 1), ("double", 2), ("triple", 3)]
            .iter()
            .find(|(w, _)| {
                low.contains(w)
                    && !low.contains("double-helical")
                    && !low.contains("double helical")
            })
            .map(|(_, n)| *n);
        let stages = found.into_iter().map(|f| f.2).collect();
        Some(Self { stages, count: digit.or(word), teeth: teeth(&low) })
    }

    /// Whether the output axis is turned against the input axis.
    #[must_use]
    pub fn turns_axis(&self) -> bool {
        self.has(Stage::Worm)
            || self.has(Stage::Bevel)
            || self.has(Stage::Hypoid)
            || self.has(Stage::CrossedHelical)
    }

    /// Whether a kind of stage is in the train.
    #[must_use]
    pub fn has(&self, stage: Stage) -> bool {
        self.stages.contains(&stage)
    }

    /// Whether the gears push along their shaft: helical ones do, double-helical ones cancel it,
    /// spur gears do not; `None` for other stages or where nothing is said.
    #[must_use]
    pub fn pushes(&self) -> Option<bool> {
        if self.stages.iter().any(|s| *s != Stage::Helical) {
            return None;
        }
        match self.teeth {
            Teeth::Helical => Some(true),
            Teeth::Spur | Teeth::DoubleHelical => Some(false),
            Teeth::NotSaid => None,
        }
    }

    /// The family whose service-factor table counts.
    #[must_use]
    pub fn family(&self) -> Family {
        if self.has(Stage::Worm) { Family::Worm } else { Family::Helical }
    }

    /// The axes the train makes, in the words of the field `axes`; `None` where both parallel
    /// and in-line housings exist.
    #[must_use]
    pub fn axes(&self) -> Option<&'static str> {
        if self.has(Stage::Worm) || self.has(Stage::Hypoid) || self.has(Stage::CrossedHelical) {
            Some("crossed")
        } else if self.has(Stage::Bevel) {
            Some("right-angle")
        } else if self.stages == [Stage::Planetary] {
            Some("in-line")
        } else {
            None
        }
    }

    /// Number of stages: as stated, else from the ratio by one stage for every six.
    #[must_use]
    pub fn stage_count(&self, ratio: f64) -> u32 {
        let by_ratio = (ratio.max(1.0).ln() / 6.3_f64.ln()).ceil().max(1.0) as u32;
        self.count.unwrap_or_else(|| by_ratio.clamp(self.stages.len() as u32, 4))
    }

    /// Efficiency (share) where nothing better is known.
    ///
    /// Helical and bevel stages: `per_stage` each. A worm: by ratio, a straight line through the
    /// middle of the usual band (ratio 5: 0.93, 60: 0.66).
    ///
    /// # Source
    /// Common practice, no source.
    #[must_use]
    pub fn efficiency(&self, ratio: f64, per_stage: f64) -> f64 {
        if !self.has(Stage::Worm) {
            return per_stage.powi(self.stage_count(ratio) as i32);
        }
        let before = self.stages.iter().filter(|s| **s != Stage::Worm).count();
        let worm_ratio = if before > 0 { ratio / 3.0 } else { ratio };
        let span = 60f64.ln() - 5f64.ln();
        let along = ((worm_ratio.max(1.0).ln() - 5f64.ln()) / span).clamp(0.0, 1.2);
        (0.93 - 0.27 * along) * per_stage.powi(before as i32)
    }

    /// Whether the output can drive the input, as far as type and ratio tell. Where the lead angle of
    /// a worm is known, [`super::runs_back`] says more. Resisting is never a brake.
    ///
    /// # Source
    /// Common practice, no source: worms of one thread, ratio 40 and more, have leads below 5°; those
    /// of many threads, ratio 10 and less, have leads above 10°.
    ///
    /// ```
    /// use sparemesh::gearing::{RunsBack, Train};
    /// let back = |text, ratio| Train::read(text).unwrap().runs_back(ratio);
    /// assert_eq!(back("worm", 60.0), RunsBack::Resists);
    /// assert_eq!(back("worm", 20.0), RunsBack::Uncertain);
    /// assert_eq!(back("bevel-helical", 60.0), RunsBack::Yes);
    /// ```
    #[must_use]
    pub fn runs_back(&self, ratio: f64) -> RunsBack {
        if !self.has(Stage::Worm) {
            return RunsBack::Yes;
        }
        let before = self.stages.iter().any(|s| *s != Stage::Worm);
        let worm = if before { ratio / 3.0 } else { ratio };
        match worm {
            w if w >= 40.0 => RunsBack::Resists,
            w if w <= 10.0 => RunsBack::Yes,
            _ => RunsBack::Uncertain,
        }
    }

    /// Ratios this train usually has: one stage's limits multiplied.
    #[must_use]
    pub fn plausible_ratios(&self) -> Option<(f64, f64)> {
        let sheet = find_sheet("gear-types")?;
        let limits = |kind: &str| {
            let row = sheet.rows.iter().find(|row| row[0] == kind)?;
            Some((row[1].parse::<f64>().ok()?, row[2].parse::<f64>().ok()?))
        };
        let mut low = 1.0;
        let mut high = 1.0;
        for stage in &self.stages {
            let (a, b) = limits(match stage {
                Stage::Helical | Stage::CrossedHelical => "helical",
                Stage::Bevel => "bevel",
                Stage::Hypoid => "hypoid",
                Stage::Worm => "worm",
                Stage::Planetary => "cycloidal",
            })?;
            low *= a;
            high *= b;
        }
        let extra = match self.count {
            Some(count) => count.saturating_sub(self.stages.len() as u32),
            None if self.has(Stage::Worm) => 0,
            None => 2,
        };
        // A bevel-helical name may hide two or three helical stages.
        Some((low, high * 10f64.powi(extra as i32)))
    }
}

fn teeth(low: &str) -> Teeth {
    let says = |words: &[&str]| words.iter().any(|w| low.contains(w));
    if says(&["double-helical", "double helical", "herringbone"]) {
        Teeth::DoubleHelical
    } else if says(&["spur"]) {
        Teeth::Spur
    } else if says(&["helical"]) {
        Teeth::Helical
    } else {
        Teeth::NotSaid
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        #[test]
        fn no_text_makes_it_panic(text in ".{0,40}") {
            if let Some(train) = Train::read(&text) {
                prop_assert!(!train.stages.is_empty());
                let share = train.efficiency(20.0, 0.98);
                prop_assert!((0.0..=1.0).contains(&share) && train.stage_count(20.0) >= 1);
            }
        }

        /// Stages written one after another are read in that order, whatever parts them and in which letters.
        #[test]
        fn stages_are_read_in_their_order(
            drawn in proptest::collection::vec(0..4_usize, 1..4),
            between in 0..3_usize,
            capital in any::<bool>(),
        ) {
            let words = [("helical", Stage::Helical), ("bevel", Stage::Bevel), ("worm", Stage::Worm), ("planetary", Stage::Planetary)];
            let text: Vec<&str> = drawn.iter().map(|w| words[*w].0).collect();
            let text = text.join(["-", " / ", " + "][between]);
            let text = if capital { text.to_uppercase() } else { text };
            let stages: Vec<Stage> = drawn.iter().map(|w| words[*w].1).collect();
            prop_assert_eq!(Train::read(&text).map(|t| t.stages), Some(stages), "{}", text);
        }
    }

    #[test]
    fn trains_are_read_as_people_write_them() {
        let stages = |t: &str| Train::read(t).map(|t| t.stages);
        assert_eq!(stages("bevel-helical"), Some(vec![Stage::Bevel, Stage::Helical]));
        assert_eq!(stages("WORM"), Some(vec![Stage::Worm]));
        assert_eq!(stages("Kegelstirnradgetriebe"), Some(vec![Stage::Bevel, Stage::Helical]));
        assert_eq!(stages("gearbox"), None);
        assert_eq!(Train::read("helical 2-stage").and_then(|t| t.count), Some(2));
    }

    #[test]
    fn efficiency_falls_with_stages_and_with_a_worms_ratio() {
        let helical = Train::read("helical").expect("known");
        assert!(helical.efficiency(5.0, 0.97) > helical.efficiency(25.0, 0.97));
        let worm = Train::read("worm").expect("known");
        // The usual bands at about 1750 r/min: 20 → 0.82 to 0.88 less a margin, 60 → 0.60 to 0.72.
        assert!((0.74..0.88).contains(&worm.efficiency(20.0, 0.97)));
        assert!((0.60..0.72).contains(&worm.efficiency(60.0, 0.97)));
    }
}
