//! One scale of a guide: the classes of one crop, analyte and method, in order, converted to the canonical unit.

use super::Standing;
use super::condition::condition;
use super::moving::Moving;
use super::source::{known, was_read};
use super::standing::{Alert, Meaning, meaning};
use crate::soil::convert::lb_per_acre_to_mg_per_kg_by_convention;
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use crate::soil::{Analyte, Basis, Method, Unit};
use serde::Deserialize;

contract_ids! {
    /// The unit a guide prints. `lb/acre` is twice mg/kg by the 6 to 7 inch slice convention; an index is no amount.
    PrintedUnit {
        Ppm = "ppm", LbPerAcre = "lb/acre", MgPerLitre = "mg/L", Index = "index", Percent = "%",
        DeciSiemensPerMetre = "dS/m", One = "1", MeqPer100g = "meq/100g",
    }
}

impl PrintedUnit {
    /// The canonical unit it leads to; none for an index.
    pub const fn canonical(self) -> Option<Unit> {
        match self {
            // Per litre of soil keeps its number, as volume readings do.
            Self::Ppm | Self::LbPerAcre | Self::MgPerLitre => Some(Unit::MgPerKg),
            Self::Percent => Some(Unit::Percent),
            Self::DeciSiemensPerMetre => Some(Unit::DeciSiemensPerMetre),
            Self::One => Some(Unit::One),
            Self::MeqPer100g => Some(Unit::CentimolePerKg),
            Self::Index => None,
        }
    }

    pub(super) fn to_canonical(self, printed: f64) -> f64 {
        match self {
            Self::LbPerAcre => lb_per_acre_to_mg_per_kg_by_convention(printed),
            _ => printed,
        }
    }
}

/// One class. `from` belongs to it, `to` does not; none is an open end.
#[derive(Debug, Clone, PartialEq)]
pub struct Class {
    /// The guide's own word.
    pub name: String,
    /// Lower edge, canonical unit.
    pub from: Option<f64>,
    /// Upper edge, canonical unit.
    pub to: Option<f64>,
    /// The edges as the guide prints them, with the guide's unit.
    pub as_printed: String,
    /// Our own short gloss.
    pub gloss: String,
    /// Source key.
    pub source: String,
    /// Every edge of it was read in a copy of the source.
    pub read: bool,
    /// What it means for sufficiency.
    pub meaning: Meaning,
}

/// The classes of one crop, analyte and method.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// Crop in the guide's word, without its condition.
    pub crop: String,
    /// Condition the guide puts on it.
    pub condition: Option<String>,
    /// What.
    pub analyte: Analyte,
    /// How; `unstated` where the guide names no method.
    pub method: Method,
    /// Unit as printed.
    pub unit: PrintedUnit,
    /// Classes from the lowest.
    pub classes: Vec<Class>,
    /// How its edges move with another figure; they are those of the index until [`super::moving::settled`].
    pub moving: Option<Moving>,
}

/// An edge of sufficiency, canonical unit, and whether it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// The figure.
    pub value: f64,
    /// It was read in a copy of the source on at least one side.
    pub read: bool,
}

impl Scale {
    /// Mass or volume of soil the guide's figures refer to; none where the question does not arise.
    pub fn basis(&self) -> Option<Basis> {
        match self.unit {
            PrintedUnit::MgPerLitre => Some(Basis::Volume),
            PrintedUnit::Ppm | PrintedUnit::LbPerAcre | PrintedUnit::MeqPer100g => Some(Basis::Mass),
            _ => None,
        }
    }

    /// The class a number lies in; none outside what the guide prints.
    pub fn class_of(&self, value: f64) -> Option<&Class> {
        self.classes
            .iter()
            .find(|class| class.from.is_none_or(|from| value >= from) && class.to.is_none_or(|to| value < to))
    }

    /// Lower edge of sufficiency: where the classes below it end.
    pub fn sufficient_from(&self) -> Option<Edge> {
        self.edge_before(|standing| standing == Standing::Within || standing == Standing::Above)
    }

    /// Where the classes begin that the guide calls more than wanted.
    pub fn sufficient_to(&self) -> Option<Edge> {
        self.edge_before(|standing| standing == Standing::Above)
    }

    /// How loud the class right below the edge of sufficiency is.
    pub fn alert_below(&self) -> Option<Alert> {
        let below = self.classes.iter().rfind(|class| class.meaning.standing == Standing::Below)?;
        below.meaning.alert
    }

    fn edge_before(&self, wanted: impl Fn(Standing) -> bool) -> Option<Edge> {
        let place = self.classes.iter().position(|class| wanted(class.meaning.standing))?;
        let class = self.classes.get(place)?;
        let before = place.checked_sub(1).and_then(|before| self.classes.get(before));
        let read = class.read || before.is_some_and(|before| before.read);
        class.from.map(|value| Edge { value, read })
    }
}

/// A row of a table: one class.
#[derive(Debug, Deserialize)]
pub(super) struct ScaleRow {
    pub(super) guide_id: String,
    pub(super) crop: String,
    pub(super) analyte: Analyte,
    pub(super) method: Method,
    pub(super) unit: PrintedUnit,
    pub(super) class: String,
    pub(super) from: Option<f64>,
    pub(super) to: Option<f64>,
    pub(super) meaning: String,
    pub(super) source_key: String,
    pub(super) checked: String,
}

/// The scales of one table, validated.
///
/// # Errors
/// A row that does not fit: its guide, unit, method, source, condition or class is unknown, or the classes of a scale
/// leave a gap, overlap or run out of order.
pub(super) fn load(table: &'static str, guide: &str, text: &str) -> Result<Vec<Scale>, TableError> {
    let mut scales: Vec<Scale> = Vec::new();
    for (number, row) in (1..).zip(rows::<ScaleRow>(table, text)?) {
        known(table, number, &row.source_key)?;
        if row.guide_id != guide {
            return Err(TableError::new(table, number, "the guide is not the one of the file"));
        }
        add(&mut scales, table, number, row, None)?;
    }
    Ok(scales)
}

/// Adds a class to the scale it belongs to, or begins one with it.
pub(super) fn add(
    scales: &mut Vec<Scale>,
    table: &'static str,
    number: usize,
    row: ScaleRow,
    moving: Option<Moving>,
) -> Result<(), TableError> {
    let wrong = |why: &str| TableError::new(table, number, why);
    if !row.method.measures(row.analyte) {
        return Err(wrong("the method does not measure this"));
    }
    if row.unit.canonical().is_some_and(|unit| unit != row.analyte.unit()) {
        return Err(wrong("the unit does not lead to the canonical one"));
    }
    let (crop, asked) = match row.crop.split_once('@') {
        Some((crop, asked)) => (crop.to_owned(), Some(asked.to_owned())),
        None => (row.crop.clone(), None),
    };
    if let Some(asked) = &asked
        && condition(asked)?.is_none()
    {
        return Err(wrong("the condition is unknown"));
    }
    // The edges of an index are no amounts.
    let canonical = |edge: f64| if moving.is_some() { edge } else { row.unit.to_canonical(edge) };
    let class = Class {
        as_printed: as_printed(row.from, row.to, if moving.is_some() { PrintedUnit::One } else { row.unit }),
        from: row.from.map(canonical),
        to: row.to.map(canonical),
        gloss: row.meaning.clone(),
        source: row.source_key.clone(),
        read: was_read(table, number, &row.checked)?,
        meaning: meaning(&row.guide_id, row.analyte, row.method, &row.class)?,
        name: row.class.clone(),
    };
    if let (Some(from), Some(to)) = (class.from, class.to)
        && from >= to
    {
        return Err(wrong("the class ends before it begins"));
    }
    let same = |scale: &&mut Scale| {
        (&scale.crop, &scale.condition, scale.analyte, scale.method, scale.moving)
            == (&crop, &asked, row.analyte, row.method, moving)
    };
    match scales.iter_mut().find(same) {
        None => scales.push(Scale {
            crop,
            condition: asked,
            analyte: row.analyte,
            method: row.method,
            unit: row.unit,
            classes: vec![class],
            moving,
        }),
        Some(scale) => {
            let last = scale.classes.last();
            if scale.unit != row.unit {
                return Err(wrong("the unit changes within a scale"));
            }
            if class.from.is_none() || last.and_then(|last| last.to) != class.from {
                return Err(wrong("it does not begin where the class before it ends"));
            }
            if !last.is_some_and(|last| in_order(last.meaning.standing, class.meaning.standing)) {
                return Err(wrong("its standing is below that of the class before it"));
            }
            scale.classes.push(class);
        }
    }
    Ok(())
}

fn in_order(before: Standing, after: Standing) -> bool {
    match (before, after) {
        (Standing::Information, other) | (other, Standing::Information) => other == Standing::Information,
        (before, after) => before <= after,
    }
}

fn as_printed(from: Option<f64>, to: Option<f64>, unit: PrintedUnit) -> String {
    let unit = if unit == PrintedUnit::One { String::new() } else { format!(" {unit}") };
    match (from, to) {
        (Some(from), Some(to)) => format!("{from} to below {to}{unit}"),
        (None, Some(to)) => format!("below {to}{unit}"),
        (Some(from), None) => format!("{from}{unit} and more"),
        (None, None) => "any".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::load;

    const HEADER: &str = "guide_id,crop,analyte,method,unit,class,from,to,meaning,source_key,checked\n";

    fn table(rows: &[&str]) -> Result<usize, String> {
        let rows: String = rows.iter().map(|row| format!("turf-slan-2004,{row}\n")).collect();
        load("t.csv", "turf-slan-2004", &format!("{HEADER}{rows}"))
            .map(|scales| scales.len())
            .map_err(|error| error.why)
    }

    #[test]
    fn a_sound_table_is_taken() {
        let rows = [
            "turf,phosphorus,olsen,ppm,low,,12,,carrow2004,READ",
            "turf,phosphorus,olsen,ppm,medium,12,29,,carrow2004,READ",
        ];
        assert_eq!(table(&rows), Ok(1));
    }

    #[test]
    fn gaps_overlaps_and_wrong_orders_are_noticed() {
        let low = "turf,phosphorus,olsen,ppm,low,,12,,carrow2004,READ";
        for second in [
            "turf,phosphorus,olsen,ppm,medium,13,29,,carrow2004,READ",
            "turf,phosphorus,olsen,ppm,medium,11,29,,carrow2004,READ",
            "turf,phosphorus,olsen,ppm,medium,12,12,,carrow2004,READ",
            "turf,phosphorus,olsen,lb/acre,medium,12,29,,carrow2004,READ",
        ] {
            assert!(table(&[low, second]).is_err(), "{second}");
        }
        let falling = [
            "turf,phosphorus,olsen,ppm,medium,,12,,carrow2004,READ",
            "turf,phosphorus,olsen,ppm,low,12,29,,carrow2004,READ",
        ];
        assert!(table(&falling).is_err());
    }

    #[test]
    fn unknown_words_are_noticed() {
        for row in [
            "turf,phosphorus,olsen,ppm,low,,12,,hearsay,READ",
            "turf,phosphorus,olsen,ppm,lowish,,12,,carrow2004,READ",
            "turf,phosphorus,olsen,ppm,low,,12,,carrow2004,SEEN",
            "turf,phosphorus,dtpa,ppm,low,,12,,carrow2004,READ",
            "turf,phosphorus,olsen,%,low,,12,,carrow2004,READ",
            "turf,phosphorus,olsen,bushel,low,,12,,carrow2004,READ",
            "turf@moonlight,phosphorus,olsen,ppm,low,,12,,carrow2004,READ",
        ] {
            assert!(table(&[row]).is_err(), "{row}");
        }
    }
}
