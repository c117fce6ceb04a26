//! Words over a table that say what its columns hold, and those stacked over each other.

use super::super::super::atom::{Atom, Kind};
use super::super::super::date::DayOrder;
use super::super::super::fold::pieces;
use super::super::super::header::day;
use super::super::super::header::is_place;
use super::super::super::label::{label, year_of};
use super::super::super::layout::Layout;
use super::super::super::vocabulary::{Context, Field, Meaning, Role, hits_where};
use super::super::super::words::List;
use super::super::column::holds_shares;
use super::parts::Heading;

/// `Your   Critical   Reporting` set tight over `result   Level   limit`: the upper line of one heading, and no names. Where
/// several columns are called a result, what stands over them may name the samples.
pub(super) fn tops_headings(here: &[&Atom], headings: &[Heading], gap: f32, page: &Layout) -> bool {
    let results = headings.iter().filter(|h| h.1.role == Some(Role::Result)).count();
    let tops = |a: &&Atom| {
        let under: Vec<&Heading> = headings.iter().filter(|h| h.0.overlap_x(&a.area) > 0.0).collect();
        matches!(under.as_slice(), [one] if one.1.analyte.is_none() && one.1.field.is_none())
            && a.number().is_none()
            && !a.text.contains(' ')
    };
    !page.cells && !here.is_empty() && results <= 1 && gap < 0.9 * page.em && here.iter().all(tops)
}

/// True for a word that says what a column holds (`Optimum` over `Range`), and is no part of a name (`Green` over `3`).
pub(super) fn names_column(atom: &Atom, context: Context) -> bool {
    let l = atom.label(context);
    // `North lawn Green Tee Optimum` is names and a heading set as one.
    let words = pieces(&atom.text);
    let says = |m: &Meaning| matches!(m, Meaning::Role(_) | Meaning::Decoy | Meaning::Rating);
    let said: usize = hits_where(&words, context, &says).iter().map(|h| h.end - h.start).sum();
    let most = said * 2 >= words.len() || l.year.is_some();
    (l.role.is_some() || l.decoy || l.only_rates() || l.year.is_some()) && most && !is_of_a_range(&atom.text)
}

/// `Range tee`: ground of a golf course, where `Range` stands before a word that is not known; over limits it stands behind.
pub fn is_of_a_range(text: &str) -> bool {
    let words: Vec<String> = text.split(' ').map(str::to_lowercase).collect();
    let [range, ground] = words.as_slice() else { return false };
    let said = label(ground, Context { symbols: false, capitals: false });
    let strange = !said.known() && said.unit.is_none() && !said.unknown.is_empty();
    range == "range" && strange && ground.chars().all(char::is_alphabetic) && !List::Crop.has(ground)
}

/// `Paddock` or `Orchard` over a column is the name of a sample, though elsewhere such words ask for one.
pub(super) fn place_word(field: Field, text: &str) -> bool {
    field == Field::SampleLabel && !text.contains(' ') && !List::AsksLabel.has(&text.to_lowercase())
}

/// So many ratings side by side are a scale.
pub(super) const SCALE: usize = 3;

/// `11 Oct 2024` or `02/20/2024`.
pub(super) fn is_day(atom: &Atom) -> bool {
    atom.text.contains(|c: char| c.is_ascii_digit()) && day(&atom.text, DayOrder::default()).1.is_some()
}

/// `2022` over a column is a season.
pub(super) fn is_year(atom: &Atom) -> bool {
    year_of(&atom.text).is_some()
}

pub(super) fn is_title(here: &[&Atom], left: f32, em: f32) -> bool {
    here.first().is_some_and(|a| {
        matches!(a.kind, Kind::Text)
            && (a.area.x0 - left).abs() < 3.0 * em
            && a.text.split(' ').count() <= 6
            && !a.text.contains(':')
    })
}

pub(super) fn heading_word(atom: &Atom, context: Context) -> bool {
    let l = atom.label(context);
    // A sentence that ends in "this is what we found" is no heading.
    let short = atom.text.split(' ').count() <= 6 && !(atom.text.ends_with('.') && atom.text.contains(' '));
    atom.number().is_none()
        && short
        && !is_place(&atom.text)
        && !is_of_a_range(&atom.text)
        && (l.role.is_some()
            || l.decoy
            || l.only_rates()
            || l.field == Some(Field::SampleLabel)
                && l.unknown.is_empty()
                && !place_word(Field::SampleLabel, &atom.text)
            || l.year.is_some() && l.unknown.is_empty())
}

/// `meq/100g   % Sat.`: words that say how columns are counted and nothing else, which name no sample and no measurement.
pub(super) fn counts(atom: &Atom, context: Context) -> bool {
    let said = atom.label(context);
    let unit = said.unit.is_some() && said.analyte.is_none() && said.field.is_none() && !said.decoy;
    matches!(atom.kind, Kind::Text) && said.unknown.is_empty() && (unit || holds_shares(&said))
}

/// Headings over each other are one heading.
pub(super) fn stack(headings: &mut Vec<Heading>) {
    headings.sort_by(|a, b| a.0.y0.total_cmp(&b.0.y0));
    let mut out: Vec<Heading> = Vec::new();
    for (area, l, text) in headings.drain(..) {
        match out.iter_mut().find(|(other, ..)| {
            other.overlap_x(&area) > 0.3 * other.width().min(area.width()) && other.y1 <= area.y0 + 1.0
        }) {
            Some((other, other_label, other_text)) => {
                *other = other.union(&area);
                *other_text = format!("{other_text} {text}");
                *other_label = label(other_text, Context { symbols: false, capitals: false });
            }
            None => out.push((area, l, text)),
        }
    }
    out.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    *headings = out;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_ground_before_a_word_that_is_not_known() {
        assert!(is_of_a_range("Range tee") && is_of_a_range("Range left"));
        for heading in ["Optimum range", "Range ppm", "Range low", "Range", "Range turf", "Range 1"] {
            assert!(!is_of_a_range(heading), "{heading}");
        }
    }
}
