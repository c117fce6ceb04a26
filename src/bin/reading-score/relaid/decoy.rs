//! Columns that hold no result of this sample: ratings, ranges, former seasons, limits, rates, indices, other things.

use super::rng::Rng;

/// A column that a careful reader passes over.
#[derive(Debug, Clone)]
pub struct Decoy {
    /// Its heading.
    pub head: String,
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Words,
    Ranks,
    Range,
    Single,
    Former,
    Limit,
    Rate,
    Text,
}

impl Decoy {
    fn new(head: &str, kind: Kind) -> Self {
        Self { head: head.to_owned(), kind }
    }

    /// Beside the results of one sample: analytes are the rows.
    pub fn beside(rng: &mut Rng, year: i16) -> Self {
        match rng.below(8) {
            0 | 1 => Self::new(
                rng.word(&["Rating", "Level", "Interpretation", "Status", "Class", "Sufficiency"]),
                if rng.chance(0.2) { Kind::Ranks } else { Kind::Words },
            ),
            2 | 3 => Self::new(
                rng.word(&[
                    "Optimum Range",
                    "Optimum",
                    "Desired Range",
                    "Normal Range",
                    "Target range",
                    "Good range",
                    "Sufficiency range",
                ]),
                if rng.chance(0.2) { Kind::Single } else { Kind::Range },
            ),
            4 => Self::new(
                rng.word(&["Previous", "Last Year", "Previous Test", "Prior Results", "Last test"]),
                Kind::Former,
            ),
            5 => Self::new(&(year - 1 - i16::try_from(rng.below(2)).unwrap_or(0)).to_string(), Kind::Former),
            6 => {
                Self::new(rng.word(&["RL", "MDL", "Reporting limit", "Detection limit", "LOQ"]), Kind::Limit)
            }
            _ => Self::new(rng.word(&["Critical Level", "Target", "Goal", "Desired Level"]), Kind::Single),
        }
    }

    /// A column of a table whose rows are samples.
    pub fn among(rng: &mut Rng) -> Self {
        match rng.below(7) {
            0 => Self::new(rng.word(&["Crop", "Grass", "Use"]), Kind::Text),
            1 => Self::new(rng.word(&["Acres", "Area (sq ft)"]), Kind::Single),
            2 => Self::new(rng.word(&["P-I", "K-I", "P Index", "Fertility Index"]), Kind::Ranks),
            3 => Self::new(rng.word(&["Lime T/A", "Lime Requirement", "Lime Rec", "Gypsum Rec"]), Kind::Rate),
            4 => Self::new(rng.word(&["ENR", "Ca:Mg", "C:N", "Mo", "W/V", "HM%", "Total N"]), Kind::Limit),
            5 => Self::new(rng.word(&["Rating", "Level"]), Kind::Words),
            _ => Self::new(rng.word(&["Yield Goal", "Fee", "Target pH"]), Kind::Single),
        }
    }

    /// A rate of a recommendation.
    pub fn rate(head: &str) -> Self {
        Self::new(head, Kind::Rate)
    }

    /// A column of ranges.
    pub fn range(head: &str) -> Self {
        Self::new(head, Kind::Range)
    }

    /// A column that speaks of one measurement: its rating, its range, its former value.
    pub fn of(rng: &mut Rng, symbol: &str, year: i16) -> Self {
        let (head, kind) = match rng.below(7) {
            0 => (format!("{symbol} Rating"), Kind::Words),
            1 => (format!("{symbol} Optimum"), Kind::Range),
            2 => (format!("Previous {symbol}"), Kind::Former),
            3 => (format!("{symbol} {}", year - 1), Kind::Former),
            4 => (format!("{symbol} Index"), Kind::Ranks),
            5 => (format!("Target {symbol}"), Kind::Single),
            _ => (format!("{symbol} last year"), Kind::Former),
        };
        Self { head, kind }
    }

    /// A cell beside a result; `number` is that result as printed.
    pub fn cell(&self, rng: &mut Rng, number: &str) -> String {
        let value = number.parse::<f64>().unwrap_or(12.0);
        let decimals = number.split_once('.').map_or(0, |(_, f)| f.len());
        match self.kind {
            Kind::Words => rng
                .word(&["Low", "Medium", "High", "VL", "L", "M", "H", "VH", "Optimum", "Very High"])
                .to_owned(),
            Kind::Ranks => format!("{}", 1 + rng.below(5)),
            Kind::Range => {
                let (low, high) = (value * rng.between(0.5, 0.9), value * rng.between(1.1, 1.6));
                let dash = rng.word(&["-", " - ", "\u{2013}", " to "]);
                if rng.chance(0.1) {
                    format!("> {low:.decimals$}")
                } else {
                    format!("{low:.decimals$}{dash}{high:.decimals$}")
                }
            }
            Kind::Single | Kind::Former => {
                let other = value * rng.between(0.75, 1.3);
                format!("{other:.decimals$}")
            }
            Kind::Limit => rng.word(&["0.1", "0.5", "1", "5", "0.01"]).to_owned(),
            Kind::Rate => rng.word(&["0", "0.5", "1.5", "2", "25", "50"]).to_owned(),
            Kind::Text => rng.word(&["Fescue", "Corn", "Bluegrass", "Rye"]).to_owned(),
        }
    }
}
