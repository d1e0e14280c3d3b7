//! Reads the check values of `tests/vectors`.

use std::path::Path;

/// One check value.
#[derive(Clone, Debug)]
pub(crate) struct Vector {
    pub(crate) id: String,
    quantity: String,
    pub(crate) inputs: String,
    pub(crate) value: String,
    pub(crate) tolerance: String,
}

/// A file's check values.
pub(crate) fn read(name: &str) -> Vec<Vector> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors").join(name);
    std::fs::read_to_string(path)
        .unwrap()
        .lines()
        .skip(1)
        .map(|line| {
            let part: Vec<&str> = line.split('|').collect();
            assert_eq!(part.len(), 6, "{line}");
            assert!(!part[5].is_empty(), "{} names no source", part[0]);
            Vector {
                id: part[0].into(),
                quantity: part[1].into(),
                inputs: part[2].into(),
                value: part[3].into(),
                tolerance: part[4].into(),
            }
        })
        .collect()
}

impl Vector {
    /// The expected number.
    pub(crate) fn number(&self) -> f64 {
        self.value.parse().unwrap_or_else(|_| panic!("{}: {} is no number", self.id, self.value))
    }

    /// The number that ends the quantity's name, as in `at cost 91000`.
    pub(crate) fn quantity_number(&self) -> f64 {
        self.quantity.rsplit(' ').next().and_then(|n| n.parse().ok()).unwrap()
    }

    /// An input by name, as `m=6.48`.
    pub(crate) fn input(&self, name: &str) -> f64 {
        self.inputs
            .split([';', ','])
            .find_map(|part| {
                part.trim().split_once('=').filter(|(key, _)| key.trim().ends_with(name))
            })
            .and_then(|(_, value)| value.trim().parse().ok())
            .unwrap_or_else(|| panic!("{}: no input {name} in {}", self.id, self.inputs))
    }

    /// Compares a number with the expected one within the stated tolerance.
    pub(crate) fn check(&self, got: f64) {
        let want = self.number();
        let relative = self.tolerance.contains("rel");
        let size: f64 = match self.tolerance.split(' ').next().unwrap() {
            "exact" => 1e-12,
            size => size.parse().unwrap(),
        };
        // A printed value holds no more than its digits.
        let decimals = want_decimals(&self.value);
        let printed =
            if decimals > 0 && self.value.len() < 9 { 0.5 * 10f64.powi(-decimals) } else { 0.0 };
        let limit = size * if relative { want.abs() } else { 1.0 } + printed;
        assert!(
            (got - want).abs() <= limit,
            "{}: got {got}, want {want} within {limit:e}",
            self.id
        );
    }
}

fn want_decimals(text: &str) -> i32 {
    text.split_once('.').map_or(0, |(_, tail)| i32::try_from(tail.len()).unwrap())
}
