//! The line over a form that names its sample in quotation marks: `Sample 12/88   "Rose border"   (for roses)   0-15 cm`.

use super::super::layout::{Layout, Line, joined};
use super::super::vocabulary::{Context, Field};
use super::FieldValue;
use super::leading::leading_field;
use super::plausible::is_depth;
use super::told::{day_told, layer_told, parts_told};
use regex::Regex;
use std::sync::LazyLock;

/// Behind the word for a sample: its number, and its name in quotation marks.
static QUOTED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r#"(?i)^(?:([\w/.-]*[0-9][\w/.-]*)[ :,]+)?(?:(?:(?:soil|boden|terreno|suolo|terra|suelo|tierra|sol|terre|grond) )?(?:named|called|genannt|denominat[oa]|dett[oa]|denominad[oa]|llamad[oa]|dénommée?|nommée?|dite?|genaamd) )?["“«] ?([^"“”«»]{2,60}?) ?["”»](.*)$"#,
    )
    .ok()
});

static LAYER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)\b([0-9]+(?:[.,][0-9]+)?\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:cm|mm|inches|inch|in))(?:\W|$)",
    )
    .ok()
});

/// Shorter ones count the samples of a report, and are no number of the laboratory's.
const NUMBER: usize = 4;

/// Whether a line names its sample so.
pub fn names_in_quotes(line: &Line) -> bool {
    parts(line).is_some()
}

/// Number, name and what stands behind it.
fn parts(line: &Line) -> Option<(Option<String>, String, String)> {
    let tokens: Vec<_> = line.phrases.iter().flat_map(|p| p.tokens.iter().cloned()).collect();
    let text = joined(&tokens);
    if !text.contains(['"', '“', '«']) {
        return None;
    }
    let (field, rest, _) = leading_field(&text, Context { symbols: false, capitals: false })?;
    if !matches!(field, Field::SampleLabel | Field::LabSample) {
        return None;
    }
    let found = QUOTED.as_ref()?.captures(&rest)?;
    let part = |n: usize| found.get(n).map(|m| m.as_str().trim().to_owned());
    Some((part(1), part(2)?, part(3).unwrap_or_default()))
}

/// The name, the laboratory's number and the layer that such a line gives; empty for any other.
pub(super) fn named_in_quotes(page: &Layout, line: &Line) -> Vec<FieldValue> {
    let Some((number, name, tail)) = parts(line) else { return Vec::new() };
    let layer = LAYER.as_ref().and_then(|r| Some(r.captures(&tail)?.get(1)?.as_str().to_owned()));
    let make = |field, text| FieldValue { field, text, page: page.number, area: line.area, firm: true };
    let number = number.filter(|n| n.len() >= NUMBER).map(|n| make(Field::LabSample, n));
    let layer = layer.filter(|text| is_depth(text));
    // `taken 14 April 2023, top 6 inches`: a day of sampling says so, and so does a layer of one figure.
    let told = parts_told(tail.trim().trim_start_matches([',', ';', ':']));
    let layer = layer.or_else(|| told.iter().find_map(|part| layer_told(part).filter(|l| l != part)));
    let days: Vec<String> = told.iter().filter_map(|part| day_told(part).filter(|d| d != part)).collect();
    let day = if let [day] = days.as_slice() { Some(make(Field::SampledOn, day.clone())) } else { None };
    let layer = layer.map(|text| make(Field::DepthTop, text));
    std::iter::once(make(Field::SampleLabel, name)).chain(number).chain(day).chain(layer).collect()
}
