//! What a column of numbers of a table of analytes holds: results, a sample's results, or nothing to read.

use super::super::align::inside;
use super::super::atom::{Atom, Kind};
use super::super::below::{Limit, limit_of};
use super::super::former::earlier;
use super::super::label::Label;
use super::super::units::{Rule, conversion};
use super::super::vocabulary::{Field, Role};
use super::super::words::List;
use super::row::Row;
use crate::place::Rect;
use crate::reading::across::{asks, is_summary};
use crate::reading::date::{DayOrder, year_of_month};
use crate::reading::header::day;
pub use crate::reading::present::is_current;
use crate::soil::Unit;
use regex::Regex;
use std::sync::LazyLock;

/// What a column of such a table holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Holds {
    /// Results.
    Result,
    /// Results of a sample with fields of its own.
    Sample(Vec<(Field, String)>),
    /// Units.
    Unit,
    /// Methods.
    Method,
    /// Limits of reporting or detection.
    Limit(Limit),
    /// Nothing to read.
    Nothing,
    /// A season's column.
    Season(i16),
    /// A number column that nothing names.
    Nameless,
}

/// What the heading, the sample rows and the cells say that a column holds.
pub fn column_holds(
    heading: Option<(&Label, &String)>,
    fields: Vec<(Field, String)>,
    table: &[Row],
    area: &Rect,
) -> Holds {
    let cells: Vec<&Atom> = table
        .iter()
        .filter_map(|r| r.cells.iter().find(|a| !matches!(a.kind, Kind::Text) && inside(area, &a.area)))
        .collect();
    let ranges = cells.iter().filter(|a| matches!(a.kind, Kind::Range)).count();
    if ranges * 2 > cells.len() || asks(cells.iter().copied()) {
        return Holds::Nothing;
    }
    if let Some((_, name)) = fields.iter().find(|(f, _)| *f == Field::SampleLabel)
        && let Some(aside) = no_name(name)
    {
        // Under what asks for names `Low` and `High` are pieces of ground, or limits: a person has to say which.
        let degree = name.to_lowercase().split(' ').all(|w| List::Degree.has(w));
        return if degree { Holds::Nameless } else { aside };
    }
    // `pasture` under `Guideline`, beside the laboratory's numbers, is no number of a sample.
    let wished = heading
        .is_some_and(|(l, _)| l.decoy && l.unknown.is_empty() && l.analyte.is_none() && l.field.is_none());
    // `Range`, a piece of ground: under the laboratory's number, and nothing in it goes from so much to so much.
    let ground = heading.is_some_and(|(_, text)| List::Interval.has(&text.to_lowercase()))
        && ranges == 0
        && fields.iter().any(|(f, text)| *f == Field::LabSample && is_number(text));
    // `Twelve Acres` over a number of the laboratory's: ground that is named for its size, and no size.
    let numbered = fields.iter().any(|(f, _)| *f == Field::LabSample);
    let sized = heading.is_some_and(|(l, _)| {
        l.decoy && !l.unknown.is_empty() && l.field.is_none_or(|f| f == Field::Ignored) && l.role.is_none()
    }) && numbered
        && heading.is_some_and(|(l, _)| l.analyte.is_none() && l.unit.is_none());
    if wished && !ground && !fields.is_empty() && fields.iter().all(|(f, _)| *f != Field::SampleLabel) {
        return Holds::Nothing;
    }
    if !fields.is_empty() {
        // A row of numbers alone names the laboratory's sample; the client's name stands in the heading then.
        let mut fields = fields;
        if let Some((heading, text)) = heading
            && fields.iter().all(|(f, _)| *f != Field::SampleLabel)
            && (!heading.known() || ground || sized)
            && heading.year.is_none()
        {
            fields.push((Field::SampleLabel, text.clone()));
        }
        return Holds::Sample(fields);
    }
    let Some((heading, text)) = heading else { return Holds::Nameless };
    if is_current(text) {
        return Holds::Result;
    }
    let index = heading
        .unit
        .as_ref()
        .and_then(|u| conversion(u.0, Unit::MgPerKg))
        .is_some_and(|c| c.rule == Rule::Never);
    if let Some(limit) = limit_of(text) {
        return Holds::Limit(limit);
    }
    // `Earlier results, same field` over the columns of three former seasons.
    if earlier(text) {
        return Holds::Nothing;
    }
    if heading.decoy || heading.only_rates() || index {
        return Holds::Nothing;
    }
    if holds_shares(heading) {
        return Holds::Result;
    }
    // `% of 2023`: how the result compares with that of another year.
    if heading.year.is_some() && heading.unit.as_ref().is_some_and(|u| u.0 == "%") {
        return Holds::Nothing;
    }
    match heading.role {
        Some(Role::Result) => return Holds::Result,
        Some(Role::Unit) => return Holds::Unit,
        Some(Role::Method) => return Holds::Method,
        Some(Role::Analyte | Role::Qualifier) => return Holds::Nothing,
        None => {}
    }
    if heading.unit.is_some() && heading.unknown.is_empty() && heading.analyte.is_none() {
        return Holds::Result;
    }
    if let Some(year) = heading.year {
        return Holds::Season(year);
    }
    if heading.analyte.is_some() && heading.unknown.is_empty()
        || heading.field.is_some_and(|f| f != Field::SampleLabel)
    {
        return Holds::Nameless;
    }
    no_name(text).unwrap_or_else(|| Holds::Sample(vec![(Field::SampleLabel, text.clone())]))
}

/// A laboratory's number: `6122`, `A-24/771`.
fn is_number(text: &str) -> bool {
    text.chars().filter(char::is_ascii_digit).count() >= LEAST_DIGITS && !text.contains(' ')
}

/// Fewer digits may count columns.
const LEAST_DIGITS: usize = 3;

/// `Saturation`, `Base saturation` and nothing else over a column: shares of the exchange capacity.
pub fn holds_shares(heading: &Label) -> bool {
    heading.saturation
        && heading.unknown.is_empty()
        && heading.analyte.is_none()
        && heading.field.is_none()
        && !heading.decoy
        && heading.unit.as_ref().is_none_or(|u| u.0 == "%")
}

/// The year of a day or of a month over a column.
fn season_of(text: &str) -> Option<i16> {
    day(text, DayOrder::default()).1.or_else(|| year_of_month(text))
}

/// `Result by sampling date Apr 6, 2021` beside `Mar 29, 2023`: a heading of results that was set over the days of several
/// samplings went to one of these, and is a season as the others are.
pub fn seasons_beside(holds: &mut [Holds], texts: &[Option<&String>]) {
    if !holds.iter().any(|h| matches!(h, Holds::Season(_))) {
        return;
    }
    for (h, text) in holds.iter_mut().zip(texts) {
        let Some(text) = text.filter(|text| matches!(h, Holds::Result) && !is_current(text)) else {
            continue;
        };
        let ends = text.match_indices(' ').filter_map(|(at, _)| text.get(at + 1..));
        if let Some(year) = ends.filter_map(season_of).next() {
            *h = Holds::Season(year);
        }
    }
}

/// True for a heading that is a day or a month of a year.
pub fn tells_a_season(text: &str) -> bool {
    season_of(text).is_some()
}

/// What a column holds whose name is none: a day or a month of a year is the season it was sampled in, a mean or a control is no result, and
/// of replicates any may be.
fn no_name(text: &str) -> Option<Holds> {
    if let Some(year) = season_of(text) {
        return Some(Holds::Season(year));
    }
    if let Some(limit) = limit_of(text) {
        return Some(Holds::Limit(limit));
    }
    if is_summary(text) {
        return Some(Holds::Nothing);
    }
    REPLICATE.as_ref().is_some_and(|r| r.is_match(text)).then_some(Holds::Nameless)
}

/// `Rep 1`: one of several numbers for the same sample.
static REPLICATE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)^(rep|repl|replicate|run|wdh|wiederholung|répétition|repetición)[. ]*([0-9]+|[a-d]|[iv]+)$",
    )
    .ok()
});

/// `2024 (this report)`, `Current`: the season that the report is about.
/// With a column named as the result, other number columns count only as samples named by a sample row. One
/// nameless column of numbers alone is the result; the first of all if the rest are no numbers.
pub fn settle(mut holds: Vec<Holds>, own: Option<i16>) -> Vec<Holds> {
    let latest = holds.iter().filter_map(|h| if let Holds::Season(y) = h { Some(*y) } else { None }).max();
    // Of columns headed by years alone the last is the present one, where the report's own dates are of that season
    // and no column without a name stands beside it.
    let alone = holds.iter().all(|h| !matches!(h, Holds::Result | Holds::Sample(_) | Holds::Nameless));
    let present = latest.filter(|y| alone && own.is_none_or(|own| (0..=1).contains(&(own - y))));
    // Two samplings of one year: which is the report's nobody knows.
    let present = present.filter(|y| holds.iter().filter(|h| **h == Holds::Season(*y)).count() == 1);
    let named = holds.iter().any(|h| matches!(h, Holds::Result | Holds::Sample(_)));
    let unsure = !named && present.is_none();
    for h in &mut holds {
        if let Holds::Season(year) = h {
            *h = match present {
                Some(present) if present == *year => Holds::Result,
                // A season long before the report's is a former one, also where it is printed alone.
                _ if own.is_some_and(|own| own - *year > 1) => Holds::Nothing,
                _ if unsure => Holds::Nameless,
                _ => Holds::Nothing,
            };
        }
    }
    let results = holds.iter().filter(|h| matches!(h, Holds::Result)).count();
    let samples = holds.iter().filter(|h| matches!(h, Holds::Sample(_))).count();
    if results > 0 {
        for h in &mut holds {
            if matches!(h, Holds::Nameless | Holds::Sample(_)) {
                *h = Holds::Nothing;
            }
        }
    } else if samples > 0 {
        for h in &mut holds {
            if matches!(h, Holds::Nameless) {
                *h = Holds::Nothing;
            }
        }
    }
    holds
}
