//! Lime rates from a buffer's own table, from `lime_tables.csv`, `lime_rates.csv` and `lime_lines.csv`.
//!
//! A table holds for its buffer and its region. Between printed rows the rate is read off the straight line between
//! them; outside the rows there is none.

use super::lime;
use super::sources::{known, was_read};
use crate::soil::convert::{
    LB_PER_SHORT_TON, lb_per_acre_to_lb_per_1000_ft2, short_ton_per_acre_to_lb_per_1000_ft2,
};
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use crate::soil::{Analyte, Method};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// How a table gives its rate.
    Rule { Rates = "rates", Lines = "lines", Mehlich = "mehlich", AdamsEvans = "adams-evans" }
}

contract_ids! {
    /// The unit a table gives its rate in.
    RateUnit { TonPerAcre = "ton/acre", LbPerAcre = "lb/acre", LbPer1000Ft2 = "lb/1000ft2" }
}

#[derive(Debug, Deserialize)]
struct Row {
    table: String,
    title: String,
    buffers: String,
    reading: Analyte,
    rule: Rule,
    turf_only: bool,
    regions: String,
    unit: RateUnit,
    depth_in: Option<f64>,
    cce_percent: f64,
    largest_gap: Option<f64>,
    source: String,
    checked: String,
}

#[derive(Debug, Deserialize)]
struct Rate {
    table: String,
    reading: f64,
    target_ph: f64,
    rate: f64,
}

#[derive(Debug, Deserialize)]
struct Line {
    table: String,
    target_ph: f64,
    intercept: f64,
    per_lime_index: f64,
}

/// One table of lime rates.
#[derive(Debug, Clone, PartialEq)]
pub struct LimeTable {
    /// Its id.
    pub id: String,
    /// Its name for a person.
    pub title: String,
    /// The buffers it was made for.
    pub buffers: Vec<Method>,
    /// What it is read by: buffer pH or acidity.
    pub reading: Analyte,
    /// It speaks of turf only.
    pub turf_only: bool,
    /// Regions it was made for; empty where the source binds it to none.
    pub regions: Vec<String>,
    /// Depth its rates are for, inches; none where the source gives a rate for the surface of turf.
    pub depth_in: Option<f64>,
    /// Neutralising value its rates are for, percent of calcium carbonate.
    pub cce_percent: f64,
    /// Source key.
    pub source: String,
    /// Read in a copy of the source; what is from memory is never put in a plan as a rate.
    pub read: bool,
    rule: Rule,
    unit: RateUnit,
    largest_gap: f64,
    /// Reading, target, rate.
    rates: Vec<(f64, f64, f64)>,
    /// Target, intercept, slope.
    lines: Vec<(f64, f64, f64)>,
}

static TABLES: LazyLock<Result<Vec<LimeTable>, TableError>> = LazyLock::new(|| {
    load(include_str!("lime_tables.csv"), include_str!("lime_rates.csv"), include_str!("lime_lines.csv"))
});

fn load(tables: &str, rates: &str, lines: &str) -> Result<Vec<LimeTable>, TableError> {
    const TABLE: &str = "lime_tables.csv";
    let rates: Vec<Rate> = rows("lime_rates.csv", rates)?;
    let lines: Vec<Line> = rows("lime_lines.csv", lines)?;
    let items = |cell: &str| -> Vec<String> {
        cell.split(';').map(str::trim).filter(|item| !item.is_empty()).map(str::to_owned).collect()
    };
    let mut all = Vec::new();
    for (number, row) in (1..).zip(rows::<Row>(TABLE, tables)?) {
        known(TABLE, number, &row.source)?;
        let wrong = |why: &str| TableError::new(TABLE, number, why);
        let buffers = items(&row.buffers)
            .iter()
            .map(|id| Method::from_id(id).filter(|method| method.measures(Analyte::BufferPh)))
            .collect::<Option<Vec<_>>>()
            .ok_or_else(|| wrong("this is not a buffer"))?;
        let mut own: Vec<(f64, f64, f64)> = rates
            .iter()
            .filter(|rate| rate.table == row.table)
            .map(|rate| (rate.reading, rate.target_ph, rate.rate))
            .collect();
        own.sort_by(|a, b| a.0.total_cmp(&b.0));
        let drawn: Vec<(f64, f64, f64)> = lines
            .iter()
            .filter(|line| line.table == row.table)
            .map(|line| (line.target_ph, line.intercept, line.per_lime_index))
            .collect();
        let whole = match row.rule {
            Rule::Rates => !own.is_empty() && row.largest_gap.is_some(),
            Rule::Lines => !drawn.is_empty(),
            Rule::Mehlich | Rule::AdamsEvans => true,
        };
        if !whole || buffers.is_empty() || row.cce_percent <= 0.0 || own.iter().any(|rate| rate.2 < 0.0) {
            return Err(wrong("needs a buffer, a neutralising value and rates that are not negative"));
        }
        all.push(LimeTable {
            id: row.table,
            title: row.title,
            buffers,
            reading: row.reading,
            turf_only: row.turf_only,
            regions: items(&row.regions),
            depth_in: row.depth_in,
            cce_percent: row.cce_percent,
            read: was_read(TABLE, number, &row.checked)?,
            source: row.source,
            rule: row.rule,
            unit: row.unit,
            largest_gap: row.largest_gap.unwrap_or(0.0),
            rates: own,
            lines: drawn,
        });
    }
    Ok(all)
}

/// All tables.
///
/// # Errors
/// A built-in table is damaged.
pub fn tables() -> Result<&'static [LimeTable], TableError> {
    TABLES.as_deref().map_err(Clone::clone)
}

/// The table with this id.
///
/// # Errors
/// A built-in table is damaged.
pub fn table(id: &str) -> Result<Option<&'static LimeTable>, TableError> {
    Ok(tables()?.iter().find(|table| table.id == id))
}

impl LimeTable {
    /// Targets the table prints, ascending; empty where a formula takes any.
    pub fn targets(&self) -> Vec<f64> {
        let mut all: Vec<f64> =
            self.rates.iter().map(|rate| rate.1).chain(self.lines.iter().map(|line| line.0)).collect();
        all.sort_by(f64::total_cmp);
        all.dedup();
        all
    }

    /// The lowest printed target that reaches the one wanted; the wanted one itself for a formula. None where the
    /// table goes no further.
    pub fn target_for(&self, wanted_ph: f64) -> Option<f64> {
        match self.rule {
            Rule::Mehlich | Rule::AdamsEvans => Some(wanted_ph),
            _ => self.targets().into_iter().find(|target| *target >= wanted_ph - 1e-9),
        }
    }

    /// The rate in the table's own unit for its reading (buffer pH or acidity), the pH of the soil and one of its
    /// targets; 0 where the soil is at the target. None outside the table.
    ///
    /// # Errors
    /// The built-in table of buffers is damaged.
    pub fn rate(&self, reading: f64, ph: f64, target_ph: f64) -> Result<Option<f64>, TableError> {
        if ph >= target_ph {
            return Ok(Some(0.0));
        }
        Ok(match self.rule {
            Rule::Rates => self.between_rows(reading, target_ph),
            Rule::Lines => self
                .lines
                .iter()
                .find(|line| line.0 == target_ph)
                .map(|(_, intercept, slope)| (intercept + slope * reading * 10.0).max(0.0)),
            Rule::Mehlich => {
                let zero = crate::soil::chemistry::acidity_from_buffer(Method::MehlichBuffer, reading)?;
                let Some(acidity) = zero else { return Ok(None) };
                lime::mehlich_factor(ph, target_ph)?.map(|factor| acidity.meq_per_100 * factor)
            }
            Rule::AdamsEvans => {
                lime::adams_evans(ph, reading, target_ph)?.map(|found| found.lb_caco3_per_acre)
            }
        })
    }

    fn between_rows(&self, reading: f64, target_ph: f64) -> Option<f64> {
        let column = || self.rates.iter().filter(|rate| rate.1 == target_ph);
        let below = column().rfind(|rate| rate.0 <= reading + 1e-9)?;
        let above = column().find(|rate| rate.0 >= reading - 1e-9)?;
        let gap = above.0 - below.0;
        if gap <= 1e-9 {
            return Some(below.2);
        }
        // A hole in what was read of the table is no straight line.
        (gap <= self.largest_gap + 1e-9).then(|| below.2 + (above.2 - below.2) * (reading - below.0) / gap)
    }

    /// A rate of the table as lb/1000 ft2.
    pub fn lb_per_1000_ft2(&self, rate: f64) -> f64 {
        match self.unit {
            RateUnit::TonPerAcre => short_ton_per_acre_to_lb_per_1000_ft2(rate),
            RateUnit::LbPerAcre => lb_per_acre_to_lb_per_1000_ft2(rate),
            RateUnit::LbPer1000Ft2 => rate,
        }
    }

    /// A rate of the table as ton/acre.
    pub fn ton_per_acre(&self, rate: f64) -> f64 {
        crate::soil::convert::lb_per_1000_ft2_to_lb_per_acre(self.lb_per_1000_ft2(rate)) / LB_PER_SHORT_TON
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_rows_the_line_speaks_and_outside_or_in_a_hole_nobody_does() {
        let oregon = table("sikora-oregon-2025").unwrap().unwrap();
        assert!(oregon.rate(6.25, 5.2, 6.0).unwrap().is_some_and(|rate| (rate - 1.85).abs() < 1e-9));
        assert_eq!(oregon.rate(7.0, 5.2, 6.0).unwrap(), None);
        assert_eq!(oregon.rate(4.9, 5.2, 6.0).unwrap(), None);
        assert_eq!(oregon.rate(6.0, 6.1, 6.0).unwrap(), Some(0.0));
        assert_eq!(oregon.target_for(6.1), Some(6.4));
        assert_eq!(oregon.target_for(7.3), None);
        let penn = table("penn-state-turf").unwrap().unwrap();
        assert_eq!(penn.rate(20.0, 5.0, 6.5).unwrap(), None);
        assert!(penn.rate(5.5, 5.0, 6.5).unwrap().is_some());
    }

    #[test]
    fn a_damaged_table_is_refused() {
        let (tables, rates, lines) =
            (include_str!("lime_tables.csv"), include_str!("lime_rates.csv"), include_str!("lime_lines.csv"));
        assert!(load(tables, rates, lines).is_ok());
        assert!(load(&tables.replace("sikora,buffer_ph", "olsen,buffer_ph"), rates, lines).is_err());
        assert!(load(tables, &rates.replace("sikora-oregon-2025", "x"), lines).is_err());
        assert!(load(&tables.replace("osu-em9585", "nobody"), rates, lines).is_err());
    }

    #[test]
    fn a_rate_of_a_read_table_never_falls_as_the_acidity_or_the_target_rises() {
        for table in tables().unwrap().iter().filter(|table| !table.rates.is_empty()) {
            let sign = if table.reading == Analyte::BufferPh { -1.0 } else { 1.0 };
            for a in &table.rates {
                for b in &table.rates {
                    let more_acid = (b.0 - a.0) * sign >= 0.0 && b.1 >= a.1;
                    assert!(!more_acid || b.2 >= a.2, "{} {a:?} {b:?}", table.id);
                }
            }
        }
    }
}
