//! Rows called for what was measured: they are of a table of analytes and name no samples.

use super::super::found::FoundSample;
use super::super::label::label;
use super::super::vocabulary::{Context, Field};
use crate::soil::Analyte;

/// What a name of a sample measures, where it is that of a measurement.
fn measured(name: &str, context: Context) -> Option<Analyte> {
    let said = label(name, Context { symbols: true, ..context });
    said.analyte.filter(|_| said.is_result() && said.unknown.is_empty() && said.field.is_none())
}

/// How many rows of samples stand above rows that are all called for what was measured; none where these begin.
pub(super) fn rows_before_analytes(samples: &[FoundSample], context: Context) -> Option<usize> {
    // A bed may be called P1; none is called for an element by its word.
    let word = |name: &&str| name.chars().filter(|c| c.is_alphabetic()).count() > 3;
    let named = |s: &FoundSample| {
        s.field(Field::SampleLabel).filter(word).and_then(|n| measured(n, context)).is_some()
    };
    let first = samples.iter().position(named)?;
    let called = |s: &FoundSample| s.field(Field::SampleLabel).and_then(|n| measured(n, context)).is_some();
    let above = samples.get(..first).unwrap_or_default();
    (!above.is_empty() && !above.iter().any(called) && samples.iter().skip(first).all(named)).then_some(first)
}

/// True where most rows are called for what was measured: their table is one of analytes.
pub(super) fn named_for_analytes(samples: &[FoundSample], context: Context) -> bool {
    let names: Vec<&str> = samples.iter().filter_map(|s| s.field(Field::SampleLabel)).collect();
    let named: Vec<Analyte> = names.iter().filter_map(|name| measured(name, context)).collect();
    // Beds called P1 and P2 are beds.
    let mut unlike = named.clone();
    unlike.sort_unstable();
    unlike.dedup();
    unlike.len() > 2 && named.len() * 2 > names.len()
}
