//! The catalogue: seven invented makers, nine series, one row per size, ratio and input speed.

/// A catalogue model at one ratio.
#[derive(Clone, Debug)]
pub(crate) struct Model {
    pub(crate) maker: &'static str,
    pub(crate) name: String,
    pub(crate) train: &'static str,
    pub(crate) axes: &'static str,
    pub(crate) mounting: &'static str,
    pub(crate) ratio: f64,
    pub(crate) torque_nm: f64,
    pub(crate) efficiency: f64,
    pub(crate) height: f64,
    pub(crate) foot: String,
    pub(crate) form: &'static str,
    pub(crate) shaft: f64,
    pub(crate) input_shaft: Option<f64>,
    pub(crate) input_flange: Option<&'static str>,
    pub(crate) input_shaft_length: f64,
    pub(crate) mass: f64,
    pub(crate) overhung_n: f64,
    /// Thermal power (kW at the input); two makers print none.
    pub(crate) thermal_kw: Option<f64>,
    pub(crate) price: f64,
    pub(crate) lead_days: f64,
    pub(crate) status: &'static str,
    pub(crate) size: f64,
}

struct Series {
    maker: &'static str,
    series: &'static str,
    train: &'static str,
    axes: &'static str,
    mounting: &'static str,
    form: &'static str,
    flanged: bool,
    sizes: &'static [f64],
    ratios: &'static [f64],
    strength: f64,
    price: f64,
    status: &'static str,
}

const FINE: &[f64] = &[8.0, 10.0, 12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0];
const SHORT: &[f64] = &[10.0, 16.0, 20.0, 25.0, 31.5, 40.0];
const WORM: &[f64] = &[10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0];

#[rustfmt::skip]
const SERIES: &[Series] = &[
    Series { maker: "Tarnbeck", series: "Heron", train: "helical", axes: "parallel", mounting: "foot", form: "solid",
        flanged: false, sizes: &[112.0, 140.0, 160.0, 180.0, 225.0, 280.0], ratios: FINE, strength: 1.00, price: 1.00, status: "current" },
    Series { maker: "Kvistholm", series: "Ferrow", train: "helical", axes: "parallel", mounting: "foot", form: "solid",
        flanged: false, sizes: &[112.0, 140.0, 160.0, 180.0, 225.0], ratios: FINE, strength: 1.06, price: 0.92, status: "current" },
    Series { maker: "Orlesund", series: "Tern", train: "bevel-helical", axes: "right-angle", mounting: "foot", form: "solid",
        flanged: false, sizes: &[112.0, 140.0, 160.0, 180.0, 225.0], ratios: FINE, strength: 0.95, price: 1.35, status: "current" },
    Series { maker: "Pelvane", series: "Corrie", train: "bevel-helical", axes: "right-angle", mounting: "shaft", form: "hollow",
        flanged: true, sizes: &[100.0, 125.0, 160.0, 200.0], ratios: FINE, strength: 0.92, price: 1.25, status: "current" },
    Series { maker: "Maregard", series: "Linnet", train: "worm", axes: "crossed", mounting: "foot", form: "solid",
        flanged: true, sizes: &[50.0, 63.0, 80.0, 100.0], ratios: WORM, strength: 0.80, price: 0.55, status: "current" },
    Series { maker: "Askerdal", series: "Bramble", train: "helical", axes: "parallel", mounting: "shaft", form: "hollow",
        flanged: true, sizes: &[100.0, 125.0, 160.0, 200.0], ratios: SHORT, strength: 0.90, price: 0.85, status: "current" },
    Series { maker: "Voss Arl", series: "Sorrel", train: "helical", axes: "in-line", mounting: "foot", form: "solid",
        flanged: true, sizes: &[90.0, 112.0, 140.0, 160.0], ratios: FINE, strength: 0.88, price: 0.70, status: "current" },
    Series { maker: "Tarnbeck", series: "Egret", train: "helical", axes: "parallel", mounting: "foot", form: "solid",
        flanged: false, sizes: &[140.0, 180.0, 225.0], ratios: SHORT, strength: 0.82, price: 1.10, status: "discontinued" },
    Series { maker: "Orlesund", series: "Dunlin", train: "bevel-helical", axes: "right-angle", mounting: "foot", form: "solid",
        flanged: false, sizes: &[140.0, 180.0], ratios: SHORT, strength: 0.85, price: 1.30, status: "discontinued" },
];

/// Shaft sizes of the preferred series.
const SHAFTS: [f64; 17] = [
    24.0, 28.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 120.0,
    140.0, 160.0,
];

fn shaft_near(wanted: f64) -> f64 {
    SHAFTS
        .into_iter()
        .min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))
        .unwrap_or(60.0)
}

/// Motor flange and length of the motor shaft that go with a size.
fn motor_side(size: f64) -> (&'static str, f64) {
    match size as u32 {
        0..=63 => ("FF165", 50.0),
        64..=100 => ("FF215", 60.0),
        101..=140 => ("FF265", 80.0),
        _ => ("FF300", 110.0),
    }
}

/// Every model, one entry per size and ratio.
pub(crate) fn models() -> Vec<Model> {
    SERIES
        .iter()
        .flat_map(|series| series.sizes.iter().flat_map(move |size| of_size(series, *size)))
        .collect()
}

fn of_size(series: &'static Series, size: f64) -> impl Iterator<Item = Model> {
    series.ratios.iter().enumerate().map(move |(step, ratio)| {
        let worm = series.train == "worm";
        let base = 1100.0 * (size / 100.0).powi(3) * series.strength;
        // Long ratios carry a little less; a little scatter keeps ratings from being round.
        let torque_nm = (base * (1.0 - 0.012 * step as f64) / 10.0).round() * 10.0;
        let (flange, motor_length) = motor_side(size);
        let efficiency = match series.train {
            "worm" => [0.88, 0.85, 0.82, 0.79, 0.76, 0.72, 0.68, 0.65][step.min(7)],
            "helical" if *ratio > 12.0 => 0.94,
            "helical" => 0.96,
            _ => 0.94,
        };
        Model {
            maker: series.maker,
            name: format!("{} {size:.0}", series.series),
            train: series.train,
            axes: series.axes,
            mounting: series.mounting,
            ratio: *ratio,
            torque_nm,
            efficiency,
            height: if series.mounting == "foot" { size } else { 0.0 },
            foot: format!("{:.0}x{:.0}", (size * 1.9).round(), (size * 1.35).round()),
            form: series.form,
            shaft: shaft_near(if worm { size * 0.5 } else { size * 0.45 }),
            input_shaft: (!series.flanged).then(|| shaft_near(size * 0.23)),
            input_flange: series.flanged.then_some(flange),
            input_shaft_length: if series.flanged { motor_length } else { (size * 0.45).round() },
            mass: ((size / 100.0).powi(3) * 58.0 + 12.0).round(),
            thermal_kw: (!matches!(series.maker, "Askerdal" | "Voss Arl")).then(|| {
                // The housing sheds so many kilowatts of losses.
                let sheds = 0.8 * (size / 100.0).powi(2);
                (10.0 * sheds / (1.0 - efficiency)).round() / 10.0
            }),
            overhung_n: (torque_nm * 4.2 / 100.0).round() * 100.0,
            price: ((780.0 + 950.0 * (size / 100.0).powf(2.6)) * series.price / 10.0).round()
                * 10.0,
            lead_days: if size > 200.0 {
                120.0
            } else if size > 130.0 {
                70.0
            } else {
                28.0
            },
            status: series.status,
            size,
        }
    })
}
