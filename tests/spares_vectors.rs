//! Every check value of the spares' mathematics, one test each.

use sparemesh::rating::rate_by_margin;
use sparemesh::spares::{
    Chosen, Cover, Gamma, MarginalPool, Relaxed, Stocked, aged_renewals, annuity, best_within,
    break_even_holding, cdf, chain_servable, cheapest_chain_stock, cheapest_cover, choose,
    count_covers, critical_ratio, erlang_b, exactly_out, expected_backorders, fill_rate,
    finite_source, first_spare_pays_above, function_lost, garwood_lower, garwood_upper,
    greedy_cover, least_separate_stocks, least_stock, likeliest_prior, max_mean, mean_over_l10,
    mean_wait, nb_cdf, nb_expected_backorders, noninformative, one_way_losses, prior_from_times,
    renewals, servable, unavailability, variance_between, waits_longer, walk, weibull_fails_within,
    weibull_renewals,
};

use crate::vectors::{Vector, read};

fn vector(number: usize) -> Vector {
    let id = format!("V{number:03}");
    read("spares.csv").into_iter().find(|v| v.id == id).unwrap_or_else(|| panic!("no {id}"))
}

/// The numbers of a list such as `s=(1, 1, 0, 1)` behind a name.
fn list(text: &str, name: &str) -> Vec<f64> {
    let tail = text.split_once(&format!("{name}=")).unwrap_or_else(|| panic!("{name} in {text}")).1;
    let tail = tail.trim_start_matches(['(', '[']);
    let end = tail.find([')', ']', ';']).unwrap_or(tail.len());
    tail[..end].split(',').map(|n| n.trim().parse().unwrap()).collect()
}

fn counts(text: &str, name: &str) -> Vec<u32> {
    list(text, name).into_iter().map(|n| n as u32).collect()
}

/// The least stock at which a demand of uncertain rate is met with a probability.
fn least_nb(shape: f64, rate: f64, exposure: f64, level: f64) -> f64 {
    f64::from((0..99).find(|s| nb_cdf(shape, rate, exposure, *s) >= level).unwrap())
}

/// Counts and unit-years of eight groups.
fn eight_groups() -> Vec<(f64, f64)> {
    let events = [0.0, 1.0, 0.0, 3.0, 2.0, 0.0, 6.0, 1.0];
    let years = [40.0, 25.0, 60.0, 50.0, 120.0, 15.0, 90.0, 70.0];
    events.into_iter().zip(years).collect()
}

/// Four pools of gear units: mean, price; downtime an hour 400, 50, 20, 1500.
fn gear_pools() -> Vec<MarginalPool> {
    let of = |mean, price| MarginalPool { mean, price, weight: 1.0, have: 0 };
    vec![of(0.12, 12e3), of(0.075, 30e3), of(0.09, 4e3), of(0.08, 45e3)]
}

fn waits(pools: &[MarginalPool], stock: &[u32]) -> f64 {
    pools.iter().zip(stock).map(|(p, s)| p.waits(*s)).sum()
}

fn two_items() -> Vec<MarginalPool> {
    let of = |mean, price| MarginalPool { mean, price, weight: 1.0, have: 0 };
    vec![of(1.0, 5.0), of(4.0, 1.0)]
}

/// Instance J1: classes P1–P4 by rate; types T1–T5 by price, resupply time and the classes they cover.
const CLASSES: [f64; 4] = [0.20, 0.24, 0.18, 0.50];
const TYPES: [(f64, f64, &[usize]); 5] = [
    (30.0, 0.75, &[0, 1, 2, 3]),
    (18.0, 0.5, &[1, 3]),
    (15.0, 0.5, &[2, 3]),
    (8.0, 0.5, &[3]),
    (22.0, 0.75, &[0]),
];

fn mean_of(spare: usize, classes: &[usize]) -> f64 {
    classes.iter().map(|c| CLASSES[*c]).sum::<f64>() * TYPES[spare].1
}

fn j1(price: impl Fn(usize, f64) -> f64) -> Chosen {
    let options: Vec<Vec<Option<usize>>> = (0..CLASSES.len())
        .map(|c| (0..TYPES.len()).filter(|t| TYPES[*t].2.contains(&c)).map(Some).collect())
        .collect();
    choose(&options, 1_000, Relaxed::default, |spare, classes| {
        spare.map_or(f64::INFINITY, |t| price(t, mean_of(t, classes)))
    })
}

/// J1 at a service level: every pool has at least `least` spares.
fn j1_at(level: f64, least: u32) -> (f64, f64, Chosen) {
    let stock = |mean| least_stock(mean, level).unwrap().max(least);
    // Waiting breaks ties, far below a unit of cost.
    let chosen = j1(|t, mean| {
        TYPES[t].0 * f64::from(stock(mean)) + 1e-6 * expected_backorders(mean, stock(mean))
    });
    let waiting: f64 = (0..TYPES.len())
        .map(|t| {
            let own: Vec<usize> = (0..4).filter(|c| chosen.types[*c] == Some(t)).collect();
            let mean = mean_of(t, &own);
            if own.is_empty() { 0.0 } else { expected_backorders(mean, stock(mean)) }
        })
        .sum();
    (chosen.cost.round(), waiting, chosen)
}

/// J1 by cost: 0.25 a year of holding, `waiting` a year of one position waiting.
fn j1_by_cost(waiting: f64) -> f64 {
    let of_pool = |t: usize, mean: f64| {
        let at = |s: u32| 0.25 * TYPES[t].0 * f64::from(s) + waiting * expected_backorders(mean, s);
        (0..12).map(at).fold(f64::INFINITY, f64::min)
    };
    j1(of_pool).cost
}

/// A root of a falling or rising function between two bounds.
fn root(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let rises = f(high) > f(low);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if (f(middle) > 0.0) == rises { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

fn bits(classes: &[u32]) -> u64 {
    classes.iter().fold(0, |sum, c| sum | 1 << (c - 1))
}

#[allow(clippy::too_many_lines)] // one line a value
fn check(number: usize) {
    let v = vector(number);
    let i = |name: &str| v.input(name);
    let s = || v.input("s") as u32;
    let stock = |text: &str| counts(text, "s");
    match number {
        1..=11 => v.check(cdf(i("m"), s())),
        12..=14 | 17 | 18 => v.check(f64::from(least_stock(i("m"), i("alpha")).unwrap())),
        15 => {
            let found = least_separate_stocks(&list(&v.inputs, "m"), 0.90, 9).unwrap();
            assert_eq!(found, stock(&v.value));
        }
        16 => {
            let means = [2.6, 3.0, 2.4];
            v.check(means.iter().zip([6, 6, 5]).map(|(m, s)| cdf(*m, s)).product());
        }
        19..=31 => v.check(expected_backorders(i("m"), s())),
        32 => v.check(mean_wait(1.0, 0.5, 1)),
        33 => v.check(waits_longer(i("rate"), i("L"), s(), i("t"))),
        34 => v.check(exactly_out(10, 2, 168.0 / 12168.0)),
        35 => v.check((2..=10).map(|k| exactly_out(10, k, 168.0 / 12168.0)).sum()),
        36..=47 => {
            let pool = finite_source(i("n") as u32, s(), i("lamL"));
            v.check([pool.no_wait, pool.backorders, pool.fill][number % 3]);
        }
        48..=53 => v.check(erlang_b(i("n") as u32, i("A"))),
        54..=61 => {
            // Mean m and variance over mean v: shape m/(v − 1), and b = 1/(v − 1) over one year.
            let (m, over) = (i("m"), i("v") - 1.0);
            let of = if number.is_multiple_of(2) { nb_cdf } else { nb_expected_backorders };
            v.check(of(m / over, 1.0 / over, 1.0, s()));
        }
        62 | 64 | 66 | 68 | 70 => v.check(garwood_upper(i("x") as u32, 0.95)),
        63 | 65 | 67 | 69 => v.check(garwood_lower(i("x") as u32, 0.95)),
        // A one-sided limit is the upper end of a two-sided one with twice the tail.
        71 => v.check(garwood_upper(0, 0.80)),
        72 => v.check(garwood_upper(0, 0.20)),
        73 => v.check(garwood_upper(2, 0.80)),
        74 => v.check(Gamma { shape: 0.5, rate: 0.0 }.after(0.0, 30.0).quantile(0.95)),
        75 => v.check(Gamma { shape: 0.5, rate: 0.0 }.after(1.0, 100.0).quantile(0.05)),
        76 => v.check(Gamma { shape: 0.5, rate: 0.0 }.after(1.0, 100.0).quantile(0.95)),
        77 => v.check(Gamma { shape: 2.0, rate: 50.0 }.after(0.0, 30.0).quantile(0.95)),
        78 => v.check(noninformative(0.03).after(1.0, 40.0).quantile(0.95)),
        79 => v.check(noninformative(0.03).after(0.0, 40.0).mean()),
        80 => v.check(noninformative(0.03).after(3.0, 40.0).mean()),
        81 => v.check(prior_from_times(600.0, 250.0).unwrap().shape),
        82 => v.check(prior_from_times(600.0, 250.0).unwrap().rate),
        83 => v.check(nb_cdf(0.5, 32_441.0, 90_247.0, 0)),
        84 => v.check(least_nb(0.5, 32_441.0, 90_247.0, 0.95)),
        85 => v.check(nb_cdf(1.5, 251_775.0, 270_742.0, 5)),
        86 => v.check(least_nb(1.5, 251_775.0, 270_742.0, 0.95)),
        87 => v.check(nb_cdf(7.0, 201_600.0, 1_000.0, 0)),
        88 => v.check(likeliest_prior(&eight_groups()).unwrap().shape),
        89 => v.check(likeliest_prior(&eight_groups()).unwrap().rate),
        90 => v.check(likeliest_prior(&eight_groups()).unwrap().after(6.0, 90.0).mean()),
        91 => v.check(variance_between(&eight_groups())),
        92..=98 => v.check(weibull_renewals(i("beta"), 1.0, i("t/eta"))),
        99 => v.check(renewals(&|t| 1.0 - (1.0 + t) * (-t).exp(), i("t"))),
        100 => v.check(aged_renewals(2.5, 15.0, 8.0, 5.0)),
        101 => v.check(weibull_fails_within(2.5, 15.0, 8.0, 5.0)),
        102..=113 => v.check(max_mean(i("alpha"), s())),
        114 => v.check(cdf(0.5, 2)),
        115 => v.check(cdf(0.25, 1) * cdf(0.25, 1)),
        116 => v.check((max_mean(0.95, 1) / (0.03 * 0.5)).floor()),
        117 => v.check(waits(&two_items(), &[0, 6])),
        118 => v.check(waits(&two_items(), &[2, 7])),
        119 => {
            let steps = walk(&two_items(), |_, _| false);
            let bought: Vec<String> =
                steps.iter().take(10).map(|p| (p.pool + 1).to_string()).collect();
            assert_eq!(bought.join(","), v.value);
        }
        120 | 121 => {
            let pools = gear_pools();
            let cost: f64 = v.quantity_number();
            let steps = walk(&pools, |next, _| next.spent > cost);
            let last = steps.last().unwrap();
            assert!((last.spent - cost).abs() < 1e-9, "{}: spent {}", v.id, last.spent);
            v.check(last.waiting);
            v.check(waits(&pools, &stock(&v.inputs)));
        }
        122 => {
            let pools = gear_pools();
            let (found, spent, waiting) = best_within(&pools, 60e3, 4);
            assert_eq!((found, spent), (vec![2, 1, 1, 0], 58e3));
            assert!((waiting - 0.086_945_997_4).abs() < 1e-9);
            let steps = walk(&pools, |next, _| next.spent > 60e3);
            assert!((steps.last().unwrap().waiting - 0.093_595_108_3).abs() < 1e-9);
        }
        123 => {
            let types = [
                Cover { cost: 9.0, classes: bits(&[1, 2, 3, 4]) },
                Cover { cost: 5.0, classes: bits(&[1, 2]) },
                Cover { cost: 4.0, classes: bits(&[3, 5]) },
                Cover { cost: 7.0, classes: bits(&[4, 5, 6]) },
                Cover { cost: 6.0, classes: bits(&[6, 7, 8]) },
                Cover { cost: 8.0, classes: bits(&[5, 6, 7, 8]) },
            ];
            let all = bits(&[1, 2, 3, 4, 5, 6, 7, 8]);
            assert_eq!(v.value, "cost 17 {A,F}; greedy 22 {C,E,B,D}; 25 feasible covers");
            assert_eq!(cheapest_cover(&types, all), Some((17.0, vec![0, 5])));
            assert_eq!(greedy_cover(&types, all), Some((22.0, vec![2, 4, 1, 3])));
            assert_eq!(count_covers(&types, all), 25);
        }
        124 => {
            let single = |cost, class| Cover { cost, classes: bits(&[class]) };
            let mut types: Vec<Cover> = (1..=4).map(|n| single(1.0 / f64::from(n), n)).collect();
            types.push(Cover { cost: 1.01, classes: bits(&[1, 2, 3, 4]) });
            assert_eq!(v.value, "optimum 1.01; greedy 2.083333");
            assert_eq!(cheapest_cover(&types, bits(&[1, 2, 3, 4])), Some((1.01, vec![4])));
            let (cost, _) = greedy_cover(&types, bits(&[1, 2, 3, 4])).unwrap();
            assert!((cost - 25.0 / 12.0).abs() < 1e-12);
        }
        125 => {
            assert!(v.value.starts_with("cost 45, T1={P1,P2} s=1, T3={P3,P4} s=1"));
            let (cost, waiting, chosen) = j1_at(0.95, 1);
            assert_eq!((cost, chosen.types), (45.0, vec![Some(0), Some(0), Some(2), Some(2)]));
            assert!((waiting - 0.100_694_06).abs() < 1e-8);
        }
        126 => {
            assert!(v.value.starts_with("cost 90, T1 s=2, T3 s=2"));
            let (cost, _, chosen) = j1_at(0.99, 1);
            assert_eq!((cost, chosen.types), (90.0, vec![Some(0), Some(0), Some(2), Some(2)]));
        }
        127 => {
            assert!(v.value.starts_with("cost 38 (tie broken by EBO 0.12193589)"));
            let (cost, waiting, _) = j1_at(0.90, 0);
            assert!((cost, (waiting - 0.121_935_89).abs() < 1e-8) == (38.0, true), "{waiting}");
        }
        128 => v.check(j1_by_cost(50.0)),
        129 => v.check(j1_by_cost(1000.0)),
        130..=134 => {
            let inputs = v.inputs.replace("(.1,.3,.2,.5)", "(0.1,0.3,0.2,0.5)");
            v.check(chain_servable(&list(&inputs, "m"), &stock(&v.inputs)));
        }
        135 | 136 => {
            let (means, costs) = ([0.1, 0.3, 0.2, 0.5], [30.0, 18.0, 15.0, 8.0]);
            let level = if number == 135 { 0.95 } else { 0.99 };
            let found = cheapest_chain_stock(&means, &costs, level, 5).unwrap();
            let cost: f64 = costs.iter().zip(&found).map(|(c, s)| c * f64::from(*s)).sum();
            assert!(v.value.starts_with(&format!("cost {cost}")), "{cost}");
            assert_eq!(found, stock(&v.value));
        }
        137..=139 => v.check(servable(&[0.2, 0.4, 0.3], &[0b011, 0b110], &stock(&v.inputs))),
        140..=142 => v.check(chain_servable(&[0.2, 0.6], &stock(&v.inputs))),
        143 => v.check(one_way_losses((0.2, 0.6), (1, 1)).0),
        144 => v.check(one_way_losses((0.2, 0.6), (1, 1)).1),
        145 => {
            let (a, b) = one_way_losses((0.2, 0.6), (2, 1));
            assert_eq!(format!("{a:.10}, {b:.10}"), v.value);
        }
        146 => v.check(first_spare_pays_above(0.25 * 20e3, 500.0 * 8760.0)),
        // Fifteen times the price for each demand that finds nothing, holding 0.2, half a year.
        147 => v.check(root(|rate| 15.0 * rate * fill_more(rate, 0) - 0.2, 0.0, 0.1)),
        148 => v.check(root(|rate| 15.0 * rate * fill_more(rate, 1) - 0.2, 0.0, 1.0)),
        149 => v.check(0.2 + 15.0 * 0.1 * (1.0 - fill_rate(0.1 * 0.5, 1))),
        150 => v.check(0.2 + 15.0 * 0.1 * erlang_b(1, 0.05)),
        151 => v.check(critical_ratio(0.25 * 20e3, 4_380_000.0)),
        152 => v.check(annuity(i("r"), i("N"))),
        153 => v.check(break_even_holding(i("lam"), i("delta"), i("c"))),
        154 => v.check(unavailability(0.05)),
        155 => v.check(function_lost(1, 2, unavailability(0.05))),
        156 => v.check(function_lost(2, 3, unavailability(0.05))),
        157 => v.check(erlang_b(2, 0.05)),
        158..=161 => {
            let exponent =
                [10.0 / 3.0, 3.0, 500_f64.ln() / 1.6_f64.ln() / 2.0, 3000_f64.ln() / 2.5_f64.ln()];
            v.check(rate_by_margin(1.25, 1.0, 1.0, exponent[number - 158]).unwrap());
        }
        162..=164 => v.check(mean_over_l10(i("beta"))),
        165..=168 => {
            let (pools, stock) = (gear_pools(), [1, 1, 1, 0]);
            let hour = [400.0, 50.0, 20.0, 1500.0];
            let demand = [6.0 * 0.04, 2.0 * 0.05, 12.0 * 0.03, 0.08];
            let all = || pools.iter().zip(stock);
            v.check(match number {
                165 => all().map(|(p, s)| p.price * f64::from(s)).sum(),
                166 => {
                    let met: f64 =
                        all().zip(demand).map(|((p, s), d)| d * fill_rate(p.mean, s)).sum();
                    met / demand.iter().sum::<f64>()
                }
                167 => all().zip(hour).map(|((p, s), h)| 8760.0 * h * p.waits(s)).sum(),
                _ => waits(&pools, &stock),
            });
        }
        169 => v.check(Gamma { shape: 3.0, rate: 0.36 }.quantile(0.05)),
        _ => panic!("V{number:03} is not checked"),
    }
}

/// What one more spare than `stock` adds to the fill rate over half a year.
fn fill_more(rate: f64, stock: u32) -> f64 {
    fill_rate(rate * 0.5, stock + 1) - fill_rate(rate * 0.5, stock)
}

macro_rules! vectors {
    ($($name:ident $number:literal;)*) => {
        $(#[test]
        fn $name() {
            check($number);
        })*

        #[test]
        fn every_check_value_has_its_test() {
            let listed: Vec<String> = read("spares.csv").into_iter().map(|v| v.id).collect();
            let tested: Vec<String> = [$($number),*].map(|n: usize| format!("V{n:03}")).into();
            assert_eq!(listed, tested);
        }
    };
}

vectors! {
    v001 1; v002 2; v003 3; v004 4; v005 5; v006 6; v007 7; v008 8;
    v009 9; v010 10; v011 11; v012 12; v013 13; v014 14; v015 15; v016 16;
    v017 17; v018 18; v019 19; v020 20; v021 21; v022 22; v023 23; v024 24;
    v025 25; v026 26; v027 27; v028 28; v029 29; v030 30; v031 31; v032 32;
    v033 33; v034 34; v035 35; v036 36; v037 37; v038 38; v039 39; v040 40;
    v041 41; v042 42; v043 43; v044 44; v045 45; v046 46; v047 47; v048 48;
    v049 49; v050 50; v051 51; v052 52; v053 53; v054 54; v055 55; v056 56;
    v057 57; v058 58; v059 59; v060 60; v061 61; v062 62; v063 63; v064 64;
    v065 65; v066 66; v067 67; v068 68; v069 69; v070 70; v071 71; v072 72;
    v073 73; v074 74; v075 75; v076 76; v077 77; v078 78; v079 79; v080 80;
    v081 81; v082 82; v083 83; v084 84; v085 85; v086 86; v087 87; v088 88;
    v089 89; v090 90; v091 91; v092 92; v093 93; v094 94; v095 95; v096 96;
    v097 97; v098 98; v099 99; v100 100; v101 101; v102 102; v103 103; v104 104;
    v105 105; v106 106; v107 107; v108 108; v109 109; v110 110; v111 111; v112 112;
    v113 113; v114 114; v115 115; v116 116; v117 117; v118 118; v119 119; v120 120;
    v121 121; v122 122; v123 123; v124 124; v125 125; v126 126; v127 127; v128 128;
    v129 129; v130 130; v131 131; v132 132; v133 133; v134 134; v135 135; v136 136;
    v137 137; v138 138; v139 139; v140 140; v141 141; v142 142; v143 143; v144 144;
    v145 145; v146 146; v147 147; v148 148; v149 149; v150 150; v151 151; v152 152;
    v153 153; v154 154; v155 155; v156 156; v157 157; v158 158; v159 159; v160 160;
    v161 161; v162 162; v163 163; v164 164; v165 165; v166 166; v167 167; v168 168;
    v169 169;
}
