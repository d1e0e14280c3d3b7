//! Drawn plants for the benches: models in groups, a fifth of the dimensions missing.

use std::fmt::Write as _;

/// Models that can be compared with one another come in groups of about this many, whatever the size.
const GROUP: u64 = 30;
/// One dimension in this many is missing.
const MISSING: u64 = 5;

/// A small generator, the same everywhere (splitmix64).
pub(crate) struct Draw(pub(crate) u64);

impl Draw {
    pub(crate) fn below(&mut self, count: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % count
    }

    fn of<'a>(&mut self, words: &[&'a str]) -> &'a str {
        words[self.below(words.len() as u64) as usize]
    }

    /// Blank one time in five.
    fn known(&mut self, text: &str) -> String {
        if self.below(MISSING) == 0 { String::new() } else { text.to_owned() }
    }
}

/// The dimensions that a group shares.
struct Group {
    axes: &'static str,
    height: &'static str,
    holes: String,
    shaft: &'static str,
    input: &'static str,
    ratio: f64,
    torque: f64,
}

impl Group {
    /// Groups lie evenly between ratio 5 and 500, and the band of speed is narrower than their distance, so
    /// that a position has as many models to compare whatever the size.
    fn of(index: u64, groups: u64) -> Self {
        let mut draw = Draw(0xA11 ^ index.wrapping_mul(0x1234_5677));
        let heights = ["90", "112", "132", "160", "180", "200", "225", "250"];
        let ratio = 5.0 * (4.6 * index as f64 / groups as f64).exp();
        // Motors stay below the power from which heat decides.
        let most = 50.0 * 9549.3 * ratio / 1460.0;
        Self {
            axes: draw.of(&["parallel", "in-line", "right-angle"]),
            height: draw.of(&heights),
            holes: format!("{}x{}", 150 + 5 * draw.below(60), 100 + 5 * draw.below(60)),
            shaft: draw.of(&["35", "40", "50", "60", "70", "80", "90"]),
            input: draw.of(&["24", "28", "32", "38", "42", "48"]),
            ratio,
            torque: (200.0 * (draw.below(3500) as f64 / 1000.0).exp()).min(most),
        }
    }

    fn dimensions(&self, draw: &mut Draw, step: f64) -> String {
        let ratio = self.ratio * (1.0 + step * (draw.below(5) as f64 - 2.0));
        format!(
            "{ratio:.5},{},{},{},{},{},{},{}",
            draw.known(self.axes),
            draw.known("foot"),
            draw.known(self.height),
            draw.known(&self.holes),
            draw.known("solid"),
            draw.known(self.shaft),
            draw.known(self.input),
        )
    }
}

const DIMENSIONS: &str = "Ratio,Axes,Mounting,Shaft height [mm],Foot holes [mm],Output form,Output shaft [mm],Input shaft [mm]";

/// The fleet and the catalogue of a plant of `size`, as csv; ratios of a group lie `step` apart, and the band of speed is
/// three steps wide.
pub(crate) fn texts(size: u64, step: f64) -> (String, String) {
    let groups = (size / GROUP).max(1);
    let (mut fleet, mut models) = (String::new(), String::new());
    writeln!(
        fleet,
        "Tag,Driven machine,Load class,Motor power [kW],Motor speed [rpm],Absorbed power [kW],Hours per day,Speed tolerance [%],{DIMENSIONS}"
    )
    .expect("memory");
    writeln!(models, "Maker,Model,Rated torque [Nm],n1 [rpm],Efficiency [%],{DIMENSIONS}")
        .expect("memory");
    for index in 0..size {
        let mut draw = Draw(7 * size + index);
        let group = Group::of(draw.below(groups), groups);
        let dimensions = group.dimensions(&mut draw, step);
        // The load asks 0.3 to 1.0 of the middle torque of its group.
        let torque = group.torque * (0.3 + 0.07 * draw.below(11) as f64);
        let kw = (torque * 1460.0 / group.ratio / 9549.3 * 100.0).round() / 100.0;
        writeln!(
            fleet,
            "P-{index:06},Pump centrifugal,U,{:.2},1460,{kw:.2},24,{},{dimensions}",
            (kw * 1.2).max(kw + 0.1),
            300.0 * step
        )
        .expect("memory");
        let group = Group::of(index % groups, groups);
        let torque = (group.torque * (0.5 + 0.1 * draw.below(16) as f64)).round();
        let dimensions = group.dimensions(&mut draw, step);
        writeln!(models, "Maker {},M{index:06},{torque},1450,96,{dimensions}", index % 7)
            .expect("memory");
    }
    (fleet, models)
}

/// So narrow that a group meets no other, at the speeds of other pole counts neither, up to 100,000 positions.
const NARROW: f64 = 1e-5;

/// A whole plant of `size` positions and as many models, a shelf line for every fifth and an exchange for every fourth
/// position, as csv by file.
pub(crate) fn whole(size: u64) -> [(&'static str, String); 4] {
    let groups = (size / GROUP).max(1);
    let (fleet, models) = texts(size, NARROW);
    let mut drives = String::new();
    for (at, line) in (0..).zip(fleet.lines()) {
        let Some(index) = u64::checked_sub(at, 1) else {
            writeln!(drives, "{line},Area,Make,Type,Consequence,Downtime cost,Holds load")
                .expect("memory");
            continue;
        };
        // The first draw is the group, as above.
        let group = Draw(7 * size + index).below(groups);
        let mut draw = Draw(0xF1EE7 ^ index);
        let model = group + groups * draw.below(size / groups);
        let (class, cost) =
            (["line", "slow", "minor"][draw.below(3) as usize], 500 * (1 + draw.below(6)));
        writeln!(
            drives,
            "{line},Area {},Maker {},M{model:06},{class},{cost},none",
            index % 40,
            model % 7
        )
        .expect("memory");
    }
    let mut list = String::new();
    for (at, line) in (0_u64..).zip(models.lines()) {
        let mut draw = Draw(0xCA7 ^ at);
        match at {
            0 => writeln!(list, "{line},Gear type,Price [EUR],Lead time [days],Weight [kg]"),
            _ => writeln!(
                list,
                "{line},helical,{},{},{}",
                800 + 10 * draw.below(600),
                14 + 7 * draw.below(20),
                40 + draw.below(400)
            ),
        }
        .expect("memory");
    }
    let mut shelf =
        String::from("Item,Maker,Model,Quantity,Unit value [EUR],Condition,Last inspected,Bin\n");
    for index in 0..size / 5 {
        let mut draw = Draw(0x5E1F ^ index);
        let model = draw.below(size);
        let (quantity, value) = (1 + draw.below(2), 800 + 10 * draw.below(600));
        writeln!(
            shelf,
            "S-{index:06},Maker {},M{model:06},{quantity},{value},ready,2026-03-15,B{}",
            model % 7,
            index % 90
        )
        .expect("memory");
    }
    let mut events = String::from("Date,Tag,Work done,Cause,Downtime [h]\n");
    for index in 0..size / 4 {
        let mut draw = Draw(0xE7E ^ index);
        writeln!(
            events,
            "202{}-{:02}-{:02},P-{:06},unit replaced,wear,{}",
            2 + draw.below(4),
            1 + draw.below(12),
            1 + draw.below(28),
            draw.below(size),
            4 + draw.below(9)
        )
        .expect("memory");
    }
    [("fleet.csv", drives), ("models.csv", list), ("shelf.csv", shelf), ("events.csv", events)]
}
