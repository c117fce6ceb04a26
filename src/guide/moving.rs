//! Scales whose edges move with another figure of the same soil: manganese with the pH, potassium with the CEC.
//!
//! `moving.csv` prints the classes of an index, `constant + per_value x value + per_figure x figure`, with the value in
//! the printed unit. For a known figure the edges come back as amounts, and the scale is one like any other.

use super::Context;
use super::scale::{Scale, ScaleRow, add};
use super::source::known;
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::borrow::Cow;

contract_ids! {
    /// The figure that the edges move with.
    Figure { WaterPh = "ph", Cec = "cec" }
}

impl Figure {
    /// What is not known where it is missing.
    pub const fn name(self) -> &'static str {
        match self {
            Self::WaterPh => "the water pH",
            Self::Cec => "the CEC",
        }
    }

    fn of(self, context: &Context) -> Option<f64> {
        match self {
            Self::WaterPh => context.water_ph,
            Self::Cec => context.cec,
        }
    }
}

/// How the edges of a scale move.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct Moving {
    /// What the index is where value and figure are 0.
    pub constant: f64,
    /// What a unit of the value, as printed, adds; above 0.
    pub per_value: f64,
    /// The other figure.
    pub figure: Figure,
    /// What a unit of it adds.
    pub per_figure: f64,
}

impl Moving {
    /// The value, in the printed unit, at which the index has this figure.
    fn value_at(&self, index: f64, figure: f64) -> f64 {
        (index - self.constant - self.per_figure * figure) / self.per_value
    }

    /// The index in words, as its source prints it.
    pub fn words(&self, value: &str) -> String {
        let sign = |factor: f64| if factor < 0.0 { "-" } else { "+" };
        let of_value =
            if self.per_value == 1.0 { value.to_owned() } else { format!("{} x {value}", self.per_value) };
        let start = if self.constant == 0.0 { of_value } else { format!("{} + {of_value}", self.constant) };
        let figure = match self.figure {
            Figure::WaterPh => "pH",
            Figure::Cec => "CEC",
        };
        format!("{start} {} {} x {figure}", sign(self.per_figure), self.per_figure.abs())
    }
}

#[derive(Debug, Deserialize)]
struct Row {
    guide: String,
    crop: String,
    analyte: crate::soil::Analyte,
    method: crate::soil::Method,
    unit: super::scale::PrintedUnit,
    class: String,
    from: Option<f64>,
    to: Option<f64>,
    meaning: String,
    source_key: String,
    checked: String,
    constant: f64,
    per_value: f64,
    figure: Figure,
    per_figure: f64,
}

/// The moving scales of all guides, by guide.
///
/// # Errors
/// A row that does not fit, as for the other scales; or an index that does not rise with the value.
pub(super) fn load(text: &str) -> Result<Vec<(String, Vec<Scale>)>, TableError> {
    const TABLE: &str = "moving.csv";
    let mut guides: Vec<(String, Vec<Scale>)> = Vec::new();
    for (number, row) in (1..).zip(rows::<Row>(TABLE, text)?) {
        known(TABLE, number, &row.source_key)?;
        if !(row.per_value > 0.0 && row.constant.is_finite() && row.per_figure.is_finite()) {
            return Err(TableError::new(TABLE, number, "the index must rise with the value"));
        }
        let moving = Moving {
            constant: row.constant,
            per_value: row.per_value,
            figure: row.figure,
            per_figure: row.per_figure,
        };
        let place = guides.iter().position(|(guide, _)| *guide == row.guide).unwrap_or_else(|| {
            guides.push((row.guide.clone(), Vec::new()));
            guides.len() - 1
        });
        let scales = guides.get_mut(place).map(|(_, scales)| scales);
        let row = ScaleRow {
            guide_id: row.guide,
            crop: row.crop,
            analyte: row.analyte,
            method: row.method,
            unit: row.unit,
            class: row.class,
            from: row.from,
            to: row.to,
            meaning: row.meaning,
            source_key: row.source_key,
            checked: row.checked,
        };
        if let Some(scales) = scales {
            add(scales, TABLE, number, row, Some(moving))?;
        }
    }
    Ok(guides)
}

/// The scale with the edges it has in this soil, or the name of the figure that is missing.
pub(super) fn settled<'a>(scale: &'a Scale, context: &Context) -> Result<Cow<'a, Scale>, &'static str> {
    let Some(moving) = scale.moving else { return Ok(Cow::Borrowed(scale)) };
    let figure = moving.figure.of(context).ok_or(moving.figure.name())?;
    let mut settled = scale.clone();
    for class in &mut settled.classes {
        for edge in [&mut class.from, &mut class.to].into_iter().flatten() {
            *edge = steady(scale.unit.to_canonical(moving.value_at(*edge, figure)));
        }
        class.as_printed =
            format!("{} by the index {}", class.as_printed, moving.words(scale.analyte.symbol()));
    }
    Ok(Cow::Owned(settled))
}

/// To the hundredth: the figures behind the index are no surer.
fn steady(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::super::catalog::guide;
    use super::*;
    use crate::soil::{Analyte, Method};

    fn moving(id: &str, analyte: Analyte) -> Scale {
        let guide = guide(id).unwrap().unwrap();
        guide.scales_for(analyte).find(|scale| scale.moving.is_some()).unwrap().clone()
    }

    #[test]
    fn the_manganese_a_lawn_needs_rises_with_its_ph() {
        // Rutgers NJAES, Relative levels of nutrients: index = 101.7 + 3.75 Mn - 15.2 pH, critical 25, high 100.
        let scale = moving("lawn-rutgers-m3", Analyte::Manganese);
        let edges = |ph| {
            let context = Context { water_ph: Some(ph), ..Context::default() };
            let settled = settled(&scale, &context).unwrap();
            (settled.sufficient_from().unwrap().value, settled.sufficient_to().unwrap().value)
        };
        assert_eq!(edges(6.0), (3.87, 23.87));
        assert_eq!(edges(7.0), (7.92, 27.92));
        // Put back into the printed formula, the edge is the critical index.
        assert!((101.7 + 3.75 * edges(6.5).0 - 15.2 * 6.5 - 25.0).abs() < 0.02);
        assert_eq!(settled(&scale, &Context::default()).unwrap_err(), "the water pH");
        assert_eq!(scale.moving.unwrap().words("Mn"), "101.7 + 3.75 x Mn - 15.2 x pH");
    }

    #[test]
    fn the_potassium_a_field_needs_rises_with_its_cec() {
        // Missouri: 160 or 220 + 5 x CEC lb/acre, twice mg/kg; Tri-State 1995, from memory: 75 + 2.5 x CEC mg/kg.
        let context = Context { cec: Some(12.0), ..Context::default() };
        let missouri = moving("crops-missouri-desired-k", Analyte::Potassium);
        let settled_edges: Vec<_> =
            settled(&missouri, &context).unwrap().classes.iter().map(|class| class.from).collect();
        assert_eq!(settled_edges, [None, Some(110.0), Some(140.0)]);
        let tristate = moving("crops-tristate-1995-bray-aa", Analyte::Potassium);
        assert_eq!(settled(&tristate, &context).unwrap().sufficient_from().unwrap().value, 105.0);
        assert_eq!((tristate.method, tristate.condition), (Method::AmmoniumAcetate, None));
    }

    #[test]
    fn an_index_that_falls_with_the_value_and_an_unknown_source_are_noticed() {
        let head = "guide,crop,analyte,method,unit,class,from,to,meaning,source_key,checked,constant,per_value,figure,per_figure\n";
        let row = |source: &str, per_value: &str| {
            load(&format!(
                "{head}lawn-rutgers-m3,lawn,manganese,mehlich-3,ppm,adequate,1,,x,{source},READ,0,{per_value},ph,1\n"
            ))
        };
        assert!(row("rutgers-levels", "1").is_ok());
        assert!(row("rutgers-levels", "-1").is_err());
        assert!(row("hearsay", "1").is_err());
    }
}
