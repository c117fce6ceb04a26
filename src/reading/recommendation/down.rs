//! Recommendations row by row: nitrogen, phosphate and potash below each other.

use super::caption::{above, bare_units, judged, one_unit, text_of};
use super::heading::{Head, head};
use super::{Amount, FoundNitrogen, is_amount, plain};
use crate::reading::atom::{Atom, Kind};
use crate::reading::layout::Layout;
use crate::soil::{Doubt, RateUnit};

/// Lines above and below in which phosphate or potash must stand.
const AROUND: usize = 3;

/// Every such row of a page.
pub fn read(page: &Layout, rows: &[Vec<Atom>]) -> Vec<FoundNitrogen> {
    let mut out = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        for (place, atom) in row.iter().enumerate() {
            if !matches!(atom.kind, Kind::Text) {
                continue;
            }
            if let Head::Nitrogen { unit, explicit } = head(&atom.text) {
                out.extend(one(page, rows, (at, place), atom, unit, explicit));
            }
        }
    }
    out
}

fn one(
    page: &Layout,
    rows: &[Vec<Atom>],
    (at, place): (usize, usize),
    name: &Atom,
    unit: Option<(RateUnit, String)>,
    explicit: bool,
) -> Option<FoundNitrogen> {
    let row = rows.get(at)?;
    let edge = |a: &Atom| (a.area.x0 - name.area.x0).abs() < 1.5 * page.em;
    let neighbours: Vec<usize> = (at.saturating_sub(AROUND)..=at + AROUND)
        .filter(|line| *line != at)
        .filter(|line| {
            rows.get(*line).is_some_and(|r| r.iter().any(|a| edge(a) && head(&a.text) == Head::Oxide))
        })
        .collect();
    if neighbours.is_empty() && !explicit {
        return None;
    }
    // The amounts right behind the name; what follows them may be their unit.
    let behind = row.get(place + 1..).unwrap_or_default();
    let amounts: Vec<&Atom> = behind.iter().take_while(|a| is_amount(a)).collect();
    let atom = *amounts.first()?;
    let after: Vec<&str> = behind.iter().skip(amounts.len()).map(|a| a.text.as_str()).collect();
    let after = after.join(" ");
    let mut beside = units_of(&atom.text);
    beside.extend(units_of(&after).into_iter().take(1).filter(|(_, text)| after.starts_with(text.as_str())));
    // A mass without a known area is another unit than that of the caption.
    let odd = beside.is_empty() && names_mass(&after);
    let top = neighbours.iter().copied().chain(std::iter::once(at)).min()?;
    let values = |line: usize| rows.get(line).is_some_and(|r| r.iter().any(is_amount));
    let captions: Vec<String> = above(page, top, &values).into_iter().map(text_of).collect();
    let caption: Vec<(RateUnit, String)> = captions.iter().flat_map(|t| bare_units(t)).collect();
    let unit = if !beside.is_empty() {
        one_unit(&beside)
    } else {
        unit.or_else(|| one_unit(&caption)).filter(|_| !odd)
    };
    let said = format!("{} | {}", captions.join(" | "), name.text);
    let mut doubts = judged(&said, explicit, unit.is_some())?;
    if amounts.len() > 1 {
        doubts.push(Doubt::new("column-unsure", "Several amounts of nitrogen stand side by side."));
    }
    let cut = RateUnit::all_in(&atom.text).first().map_or(atom.text.len(), |(_, range)| range.start);
    let amount = Amount {
        printed: atom.text.get(..cut).unwrap_or(&atom.text).trim(),
        number: plain(atom),
        unit,
        crop: "",
        place: atom.place()?,
        confidence: atom.confidence(),
        doubts,
    };
    Some(FoundNitrogen {
        page: page.number,
        y: atom.area.y0,
        names: Vec::new(),
        nitrogen: amount.recommendation(),
    })
}

fn units_of(text: &str) -> Vec<(RateUnit, String)> {
    let named = |r: std::ops::Range<usize>| text.get(r).unwrap_or_default().to_owned();
    RateUnit::all_in(text).into_iter().map(|(unit, range)| (unit, named(range))).collect()
}

fn names_mass(text: &str) -> bool {
    let first: String = text.chars().take_while(|c| c.is_alphabetic()).collect();
    matches!(
        first.to_lowercase().as_str(),
        "lb" | "lbs" | "pound" | "pounds" | "kg" | "g" | "grams" | "oz" | "ounces" | "ppm" | "mg"
    ) || text.starts_with('%')
}
