//! Rows that are ways of counting one sample, `me/100g`, `Base saturation %`, `MAF units`, under a heading of cations.

use super::super::atom::Kind;
use super::super::band::{Band, Leaf};
use super::super::found::FoundSample;
use super::super::label::{Label, label};
use super::super::vocabulary::{Context, Field};
use super::row::Row;

/// How a row counts what its heading names.
pub(super) enum Counted {
    /// In a unit, or as shares of the exchange capacity.
    So(Label),
    /// On a scale of the laboratory's own.
    Index,
}

/// How a row counts, where it is the name of no sample: by its own words, or without any by the word over the names.
pub(super) fn counted(row: &Row<'_>, band: &Band) -> Option<Counted> {
    let asks = |l: &Leaf| l.label.field.is_some() && l.label.analyte.is_none();
    let told = |l: &Leaf| l.label.unit.is_some() || !l.label.methods.is_empty();
    let results = || band.leaves.iter().filter(|l| l.label.is_result());
    let left = results().map(|l| l.area.x0).fold(f32::INFINITY, f32::min);
    if band.leaves.iter().any(asks) || results().count() < 2 || results().any(told) {
        return None;
    }
    let own = row.cells.iter().flat_map(|(_, atoms, _)| atoms).chain(&row.loose);
    let own: Vec<&str> =
        own.filter(|a| matches!(a.kind, Kind::Text) && a.area.x1 < left).map(|a| a.text.as_str()).collect();
    let over = || band.leaves.iter().find(|l| l.area.x1 < left).map(|l| l.label.clone());
    let plain = Context { symbols: false, capitals: false };
    let said = if own.is_empty() { over()? } else { label(&own.join(" "), plain) };
    // What was found in another year is no way of counting this one.
    let counts =
        said.unknown.is_empty() && said.analyte.is_none() && said.field.is_none() && said.year.is_none();
    if !counts {
        return None;
    }
    if said.decoy {
        return Some(Counted::Index);
    }
    (said.unit.is_some() || said.saturation).then_some(Counted::So(said))
}

/// Counts the results of a row so; it is a part of the form it stands in.
pub(super) fn count(sample: &mut FoundSample, so: &Label) {
    sample.named_by_table = false;
    sample.fields.retain(|(field, _)| !matches!(field, Field::SampleLabel | Field::LabSample));
    for reading in &mut sample.readings {
        reading.label = reading.label.clone().under(so);
        reading.unit = if so.saturation {
            Some(("%", "%".to_owned()))
        } else {
            so.unit.clone().or_else(|| reading.unit.take())
        };
    }
}
