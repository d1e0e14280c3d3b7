//! Every verdict on pairs worked out by hand: one unit that fits, and what one change makes of it.

use std::path::Path;

use proptest::prelude::*;
use sparemesh::fit::{Candidate, Case, Gate, Verdict, appraise, assess, covers, rank};
use sparemesh::intake::read_typed;
use sparemesh::policy::Policy;
use sparemesh::records::{Field, How, Plant, Position, Record, Shelf};
use sparemesh::spares::Coverage;

/// The position: 12 kW of a 15 kW motor at 73 r/min, load class U, all day; everything known.
const POSITION: &str = "tag=P driven_machine=Mixer load_class=U motor_power_kw=15 motor_speed_rpm=1460 \
    absorbed_power_kw=12 hours_per_day=24 maker=Alm model=A_100 ratio=20 gear_train=helical_2-stage \
    axes=parallel mounting=foot shaft_height_mm=160 foot_holes_mm=300x200 output_form=solid \
    output_shaft_mm=60 output_shaft_length_mm=105 input_shaft_mm=32 output_connection=coupling \
    input_connection=coupling start_kind=soft ambient_c=20 air=indoor altitude_m=0 zone=none \
    washdown=no oil=CLP_220 orientation=B3 hand=right room_mm=1000x1000x1000 lifting_limit_kg=500 \
    back_stop=none shaft_offset_mm=200 shaft_end_to_foot_mm=50 rated_torque_nm=2500 \
    rated_input_speed_rpm=1460 efficiency=96 thermal_power_kw=40";

/// The spare: another maker's unit that fits in every way.
const SPARE: &str = "item=S maker=Bor model=B_100 quantity=1 condition=ready ratio=20 \
    gear_train=helical_2-stage axes=parallel mounting=foot shaft_height_mm=160 \
    foot_holes_mm=300x200 output_form=solid output_shaft_mm=60 output_shaft_length_mm=105 \
    input_shaft_mm=32 hand=right rated_torque_nm=2500 rated_input_speed_rpm=1460 efficiency=96 \
    thermal_power_kw=40 overhung_output_n=12000 max_input_speed_rpm=3000 mass_kg=100 \
    dimensions_mm=500x400x400 orientation=B3 back_stop=none shaft_offset_mm=200 \
    shaft_end_to_foot_mm=50 washdown=no oil=dry";

/// Sets `field=value`, or clears `-field`; an underscore in a value is a blank.
fn put(record: &mut Record, setting: &str) {
    if let Some(name) = setting.strip_prefix('-') {
        record.clear(Field::find(name).unwrap_or_else(|| panic!("{setting}")));
        return;
    }
    let (name, text) = setting.split_once('=').unwrap_or_else(|| panic!("{setting}"));
    let field = Field::find(name).unwrap_or_else(|| panic!("{setting}"));
    let value = read_typed(field, &text.replace('_', " "), &Policy::default())
        .unwrap_or_else(|why| panic!("{setting}: {why}"));
    record.set(field, value, How::Read, 0);
}

fn plant(changes: &str) -> Plant {
    let mut plant = Plant::default();
    let (mut position, mut spare) = (Position::default(), Shelf::default());
    POSITION.split_whitespace().for_each(|s| put(&mut position.record, s));
    SPARE.split_whitespace().for_each(|s| put(&mut spare.record, s));
    for change in changes.split_whitespace() {
        match change.split_once(':').unwrap_or_else(|| panic!("{change}")) {
            ("P", setting) => put(&mut position.record, setting),
            ("S", setting) => put(&mut spare.record, setting),
            ("I", _) => ["maker=Alm", "model=A_100"].iter().for_each(|s| put(&mut spare.record, s)),
            ("W", ruling) => {
                let mut swap = Record::default();
                for setting in ["tag=P", "candidate=S", &format!("ruling={ruling}")] {
                    put(&mut swap, setting);
                }
                plant.swaps.push(swap);
            }
            other => panic!("{other:?}"),
        }
    }
    plant.positions.push(position);
    plant.shelf.push(spare);
    plant
}

#[test]
fn every_pair_has_the_verdict_worked_out_by_hand() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/fit.csv");
    let text = std::fs::read_to_string(path).unwrap();
    let policy = Policy::default();
    let (mut wrong, mut count) = (Vec::new(), 0);
    for line in text.lines().skip(1) {
        let [id, changes, verdict, gate, result, why] = line.split('|').collect::<Vec<_>>()[..]
        else {
            panic!("{line}")
        };
        assert!(!why.is_empty(), "{id} says no arithmetic");
        let plant = plant(changes);
        let case = Case::new(&plant, &policy, 0);
        let assessed = assess(&case, &Candidate::of_shelf(&plant, 0).unwrap());
        let said = assessed.gates.iter().find(|g| g.gate.word() == gate).unwrap();
        count += 1;
        if assessed.verdict.word() != verdict || said.outcome.word() != result {
            let open: Vec<String> = assessed
                .gates
                .iter()
                .filter(|g| g.outcome.word() != "pass")
                .map(|g| format!("{} {}: {}", g.gate.word(), g.outcome.word(), g.note))
                .collect();
            wrong.push(format!(
                "{id} {changes}: want {verdict}, {gate} {result} ({why}); got {}, {gate} {} ({})\n    {}",
                assessed.verdict.word(),
                said.outcome.word(),
                said.note,
                open.join("\n    ")
            ));
        }
    }
    assert!(count >= 120, "{count} cases");
    assert!(wrong.is_empty(), "{} of {count}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_gate_and_every_verdict_is_met() {
    let text = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/fit.csv"),
    )
    .unwrap();
    for gate in Gate::ALL.iter().filter(|g| **g != Gate::Sense) {
        assert!(text.contains(&format!("|{}|", gate.word())), "{}", gate.word());
    }
    for verdict in ["drop-in", "adapt", "stop-gap", "refer", "measure", "no"] {
        assert!(text.contains(&format!("|{verdict}|")), "{verdict}");
    }
}

proptest! {
    #![proptest_config(crate::spares::cases())]

    /// Taking a value away never makes a verdict better than measuring it could.
    #[test]
    fn what_is_not_known_never_makes_a_pair_better(
        gone in proptest::collection::vec(0_usize..24, 1..6),
    ) {
        let fields = [
            Field::ratio, Field::axes, Field::gear_train, Field::mounting, Field::shaft_height_mm,
            Field::foot_holes_mm, Field::output_form, Field::output_shaft_mm, Field::input_shaft_mm,
            Field::hand, Field::rated_torque_nm, Field::efficiency, Field::thermal_power_kw,
            Field::overhung_output_n, Field::max_input_speed_rpm, Field::mass_kg,
            Field::dimensions_mm, Field::orientation, Field::back_stop, Field::shaft_offset_mm,
            Field::shaft_end_to_foot_mm, Field::washdown, Field::oil, Field::condition,
        ];
        let policy = Policy::default();
        let mut less = plant("");
        for at in gone {
            less.shelf[0].record.clear(fields[at]);
        }
        let case = Case::new(&less, &policy, 0);
        if let Some(candidate) = Candidate::of_shelf(&less, 0) {
            let assessed = assess(&case, &candidate);
            // The whole unit is a drop-in, so nothing fails for want of a value.
            prop_assert!(assessed.verdict != sparemesh::fit::Verdict::No, "{:?}", assessed.gates);
            prop_assert!(assessed.best <= assessed.verdict);
        }
    }
}

/// A plant whose values are drawn from a seed: some fit, some nearly, a fifth is not known.
fn drawn(seed: u64, positions: usize, lines: usize) -> Plant {
    let mut state = seed;
    let mut draw = |count: u64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % count
    };
    let mut plant = Plant::default();
    let choices: [(&str, &[&str]); 12] = [
        ("ratio", &["16", "20", "20.6", "25", "31.5", "40", "13.3"]),
        ("axes", &["parallel", "parallel", "right-angle", "in-line"]),
        ("mounting", &["foot", "foot", "flange", "shaft", "foot-flange"]),
        ("shaft_height_mm", &["140", "160", "160", "180"]),
        ("foot_holes_mm", &["300x200", "300x200", "342x243"]),
        ("output_form", &["solid", "solid", "hollow"]),
        ("output_shaft_mm", &["50", "60", "60", "70"]),
        ("input_shaft_mm", &["28", "32", "32", "38"]),
        ("rated_torque_nm", &["1100", "1900", "2500", "4000"]),
        ("hand", &["left", "right", "right", "both"]),
        ("orientation", &["B3", "B3", "V5"]),
        ("oil", &["CLP_220", "CLP_220", "CLP_320", "dry"]),
    ];
    for index in 0..positions + lines {
        let on_shelf = index >= positions;
        let mut record = Record::default();
        for setting in if on_shelf { SPARE } else { POSITION }.split_whitespace() {
            put(&mut record, setting);
        }
        let name = if on_shelf { format!("item=S-{index}") } else { format!("tag=P-{index}") };
        put(&mut record, &name);
        put(&mut record, &format!("model=M_{}", draw(9)));
        put(&mut record, &format!("maker={}", ["Alm", "Bor"][draw(2) as usize]));
        for (field, values) in choices {
            let value = values[draw(values.len() as u64) as usize];
            let setting =
                if draw(5) == 0 { format!("-{field}") } else { format!("{field}={value}") };
            put(&mut record, &setting);
        }
        if on_shelf {
            put(
                &mut record,
                &format!("condition={}", ["ready", "unproven", "as-removed"][draw(3) as usize]),
            );
            plant.shelf.push(Shelf { record, ..Shelf::default() });
        } else {
            if draw(4) == 0 {
                put(&mut record, "input_connection=v-belt");
                put(&mut record, "output_speed_rpm=73");
            }
            if draw(4) == 0 {
                put(&mut record, "slowest_speed_rpm=20");
            }
            if draw(5) == 0 {
                put(&mut record, "position_state=idle");
            }
            plant.positions.push(Position { record, ..Position::default() });
        }
    }
    plant
}

/// The plain way: every candidate, every gate, then sorted.
fn plainly<'a>(case: &Case<'a>, plant: &'a Plant, count: usize) -> Vec<String> {
    use sparemesh::fit::{Verdict, appraise, position_candidates, shelf_candidates};
    let all = shelf_candidates(plant).into_iter().chain(position_candidates(plant, case.index));
    let mut ranked: Vec<_> = all.map(|candidate| appraise(case, candidate)).collect();
    ranked.retain(|r| r.assessed.verdict != Verdict::No);
    ranked.sort_by(|a, b| {
        let key = |r: &sparemesh::fit::Ranked<'_>| (r.assessed.verdict, r.not_available.is_some());
        key(a)
            .cmp(&key(b))
            .then(a.hours.total_cmp(&b.hours))
            .then_with(|| a.candidate.id.cmp(&b.candidate.id))
    });
    ranked
        .iter()
        .take(count)
        .map(|r| format!("{} {}", r.candidate.id, r.assessed.verdict.word()))
        .collect()
}

#[test]
fn the_fast_ranking_equals_the_plain_one_on_drawn_plants() {
    use sparemesh::fit::{Candidates, best};
    let rounds =
        std::env::var("SPAREMESH_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(6_u64);
    let policy = Policy::default();
    let mut found = 0;
    for seed in 1..=rounds.min(2_000) {
        let plant = drawn(seed, 6, 30);
        let candidates = Candidates::of(&plant);
        for index in 0..plant.positions.len() {
            let case = Case::new(&plant, &policy, index);
            let fast: Vec<String> = best(&case, &candidates, 10)
                .iter()
                .map(|r| format!("{} {}", r.candidate.id, r.assessed.verdict.word()))
                .collect();
            let plain = plainly(&case, &plant, 10);
            found += plain.len();
            assert_eq!(fast, plain, "seed {seed}, position {index}");
            for few in [0, 1, 3] {
                let ids: Vec<String> =
                    best(&case, &candidates, few).into_iter().map(|r| r.candidate.id).collect();
                let head = plain.iter().take(few).map(|line| line.split_once(' ').unwrap().0);
                assert!(ids.iter().eq(head), "seed {seed}, position {index}, {few}: {ids:?}");
            }
        }
    }
    assert!(found > 20, "the plants are not so drawn that anything fits: {found}");
}

#[test]
fn a_survey_counts_what_all_pairs_taken_one_by_one_count() {
    use sparemesh::fit::{Candidates, Verdict, position_candidates, shelf_candidates, survey};
    let rounds =
        std::env::var("SPAREMESH_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(3_u64);
    let policy = Policy::default();
    for seed in 1..=rounds.min(2_000) {
        let plant = drawn(seed ^ 0x5EED, 8, 40);
        let surveyed = survey(&plant, &policy, &Candidates::of(&plant), 10);
        assert_eq!(surveyed.len(), plant.positions.len());
        for (index, found) in surveyed.iter().enumerate() {
            let case = Case::new(&plant, &policy, index);
            let all =
                shelf_candidates(&plant).into_iter().chain(position_candidates(&plant, index));
            let mut counts = [0; Verdict::ALL.len()];
            for candidate in all {
                counts[assess(&case, &candidate).verdict as usize] += 1;
            }
            assert_eq!(found.counts, counts, "seed {seed}, position {index}");
            let fitting: usize = counts[..Verdict::No as usize].iter().sum();
            assert_eq!(found.best.len(), fitting.min(10));
        }
    }
}

#[test]
fn a_drive_that_runs_slowly_asks_for_oil_and_lift_off() {
    let plant = plant("P:slowest_speed_rpm=6 P:rotation=cw S:shaft_pump=yes S:back_stop=cw");
    let policy = Policy::default();
    let case = Case::new(&plant, &policy, 0);
    let assessed = assess(&case, &Candidate::of_shelf(&plant, 0).unwrap());
    let asked = |text: &str| assessed.confirm.iter().any(|c| c.contains(text));
    assert!(
        asked("still gives oil at 6 r/min") && asked("lifts off at 6 r/min"),
        "{:?}",
        assessed.confirm
    );
}

/// Cover is what can go in with what is there: inside the band of this position, or by its own inverter; what needs another
/// motor or belt may serve and covers nothing, however near it is.
#[test]
fn cover_asks_for_no_other_motor_or_belt() {
    let policy = Policy::default();
    let told = |changes: &str| {
        let plant = plant(changes);
        let case = Case::new(&plant, &policy, 0);
        let spare = Candidate::of_shelf(&plant, 0).unwrap();
        let (low, high) = case.span_of_cover().unwrap_or_else(|| panic!("{changes}"));
        let looked_at = (low..=high).contains(&plant.shelf[0].ratio().unwrap().ln());
        let covered = covers(&case, &spare).is_some();
        assert!(looked_at || !covered, "{changes}: covered, but never looked at");
        let covering = Coverage::of(&plant, &policy).of_position[0].len();
        assert_eq!(covering, usize::from(covered), "{changes}");
        (assess(&case, &spare).verdict.word(), covered)
    };
    // 1460 / 20.6 is 2.9 % slower than 1460 / 20, 1460 / 22 is 9.1 % slower: 55 Hz for 50.
    assert_eq!(told("S:ratio=20.6"), ("drop-in", true));
    assert_eq!(told("S:ratio=20.6 P:speed_tolerance_pct=1"), ("no", false));
    let belt = "P:input_connection=v-belt P:output_speed_rpm=73 P:overhung_input_n=9000 S:overhung_input_n=9000";
    let (verdict, covered) = told(&format!("{belt} S:ratio=20.6 P:speed_tolerance_pct=1"));
    assert!(verdict != "no" && !covered, "{verdict}");
    let inverter = "P:start_kind=inverter S:ratio=22";
    assert_eq!(told(&format!("{inverter} P:inverter_range_hz=20-60")), ("adapt", true));
    assert_eq!(told(&format!("{inverter} P:inverter_range_hz=20-52")), ("no", false));
}

/// Two ratios of one model, the second too weak at the speed it would give: 12 kW at 1460 r/min and 96 % are 753 N·m behind
/// a ratio of 10 and 1 884 N·m behind 25.
const TWO_RATIOS: &str = "Maker,Model,Ratio,Rated torque [Nm],n1 [rpm],Gear train,Axes,Mounting,Shaft height [mm],Foot holes [mm],Output form,Output shaft [mm],Input shaft [mm],Hand,Efficiency [%]\n\
    Alm,A100,10,2500,1460,helical 2-stage,parallel,foot,160,300x200,solid,60,32,right,96\n\
    Alm,A100,25,1000,1460,helical 2-stage,parallel,foot,160,300x200,solid,60,32,right,96\n";

/// What hangs on one unknown ratio comes out well together or not at all: the unit for the ratio that fits is named, with
/// that ratio, and what stands in the cell.
#[test]
fn a_ratio_that_cannot_be_read_is_one_ratio_for_every_gate() {
    let plant = crate::spares_plan::plant(&[
        ("list.csv", TWO_RATIOS),
        (
            "fleet.csv",
            "Tag,Machine,Maker,Model,Ratio,Motor kW,Motor rpm,Absorbed kW,Hours/day\n\
             M,Mixer,Alm,A100,10:l,15,1460,12,24\n",
        ),
        (
            "stock.csv",
            "Item,Maker,Model,Ratio,Quantity,Condition,Last inspected,Stock date\n\
             S-1,Alm,A100,25,1,ready,2026-05-01,2026-06-01\nS-2,Alm,A100,10,1,ready,2026-05-01,2026-06-01\n",
        ),
    ]);
    let policy = Policy::default();
    assert_eq!(plant.positions[0].may_be.len(), 2);
    let ranking = rank(&Case::new(&plant, &policy, 0));
    assert_eq!(ranking.soonest.len(), 0, "nothing is sure before the ratio is");
    let told: Vec<_> = ranking
        .open
        .iter()
        .map(|r| (r.candidate.id.as_str(), r.assessed.best, r.assessed.best_at_ratio))
        .collect();
    let [(first, best, ratio), (second, at_best, _)] = told[..] else { panic!("{told:?}") };
    assert_eq!((first, best, ratio), ("shelf:S-2", Verdict::DropIn, Some(10.0)));
    assert_eq!((second, at_best), ("shelf:S-1", Verdict::StopGap));
    let asked = ranking.open[0].assessed.to_measure().join("; ");
    assert!(asked.ends_with("(the sheet says `10:l` at E2)"), "{asked}");
}

/// Who is left with nothing if a unit is taken, and who with units alone that nobody has looked at.
#[test]
fn the_last_ready_unit_is_told_apart_from_the_last_unit() {
    let stock = |second: &str| {
        format!(
            "Item,Maker,Model,Ratio,Quantity,Condition,Last inspected,Stock date\n\
             S-1,Alm,A100,10,1,ready,2026-05-01,2026-06-01\n{second}"
        )
    };
    let told = |second: &str| {
        let plant = crate::spares_plan::plant(&[
            ("list.csv", TWO_RATIOS),
            (
                "fleet.csv",
                "Tag,Machine,Maker,Model,Ratio,Motor kW,Motor rpm,Absorbed kW,Hours/day\n\
                 M1,Mixer,Alm,A100,10,15,1460,12,24\nM2,Mixer,Alm,A100,10,15,1460,12,24\n",
            ),
            ("stock.csv", &stock(second)),
        ]);
        let policy = Policy::default();
        let case = Case::new(&plant, &policy, 0);
        let first = appraise(&case, Candidate::of_shelf(&plant, 0).unwrap());
        (first.bares.join(" "), first.last_ready_of.join(" "))
    };
    let says = |bare: &str, last_ready: &str| (bare.to_owned(), last_ready.to_owned());
    assert_eq!(told(""), says("M2", ""));
    assert_eq!(told("S-2,Alm,A100,10,1,,,2026-06-01\n"), says("", "M2"));
    assert_eq!(told("S-2,Alm,A100,10,1,ready,2026-05-01,2026-06-01\n"), says("", ""));
    assert_eq!(told("S-2,Alm,A100,10,1,as removed,,2026-06-01\n"), says("M2", ""));
}
