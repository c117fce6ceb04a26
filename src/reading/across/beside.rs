//! Columns that no heading explains and whose cells name methods: `exception` with `Bray P1` in one row of a long table.

use super::super::atom::{Atom, Kind, is_blank};
use super::super::band::{Band, Leaf};
use super::super::found::{Found, FoundSample};
use super::super::label::{Label, label};
use super::super::notes::{adapt, has_methods, method_in, method_told, names_a_method, strange_words};
use super::super::vocabulary::{Context, Role};
use super::super::words::List;
use super::row::{Row, text_of};
use crate::soil::Doubt;

/// Shorter names of methods (`P1`, `M3`) may be codes of something else, of a block or a repetition.
const LETTERS: usize = 4;

const PLAIN: Context = Context { symbols: false, capitals: false };

/// True for a heading that names neither what its column holds nor what was measured.
pub(super) fn says_nothing(heading: &Label) -> bool {
    heading.role.is_none() && heading.field.is_none() && heading.analyte.is_none() && heading.unit.is_none()
}

/// The long table, where each column without a heading that is understood, and with nothing but methods in its cells, is a
/// column of methods, if there is no other.
pub(super) fn with_methods(band: &Band, rows: &[(usize, Row<'_>)]) -> Band {
    let mut band = band.clone();
    let methods = |l: &Leaf| l.label.role == Some(Role::Method);
    if !band.long() || band.leaves.iter().any(methods) {
        return band;
    }
    let pure: Vec<usize> = (0..band.leaves.len())
        .filter(|at| band.leaves.get(*at).is_some_and(|l| says_nothing(&l.label)))
        .filter(|at| {
            let cells = rows.iter().flat_map(|(_, row)| &row.cells).filter(|(h, ..)| h == at);
            let texts: Vec<String> =
                cells.map(|(_, atoms, _)| text_of(atoms)).filter(|text| !is_blank(text)).collect();
            texts.iter().all(|text| is_method(text)) && texts.iter().any(|text| is_in_full(text))
        })
        .collect();
    if let [at] = pure.as_slice()
        && let Some(leaf) = band.leaves.get_mut(*at)
    {
        leaf.label = Label::default();
        leaf.label.role = Some(Role::Method);
    }
    band
}

/// True for the name of a method and nothing else.
fn is_method(text: &str) -> bool {
    let said = label(text, PLAIN);
    // `Bray P1` tells what it takes out; `P by Olsen` names a measurement before it.
    let names = |text: &str| label(text, Context { symbols: true, capitals: false }).analyte.is_some();
    let measured = text.split_once(' ').is_some_and(|(first, _)| names(first));
    matches!(said.methods.as_slice(), [Some(_)])
        && said.unknown.is_empty()
        && said.field.is_none()
        && !(said.analyte.is_some() && measured)
}

fn is_in_full(text: &str) -> bool {
    text.chars().filter(|c| c.is_alphabetic()).count() >= LETTERS
}

/// Lets results wait whose row names a method in a place that nobody explains.
pub(super) fn doubt(sample: &mut FoundSample, row: &Row<'_>, band: &Band) {
    let aside = |h: usize| band.leaves.get(h).is_some_and(|l| !explained(&l.label, band.long()));
    let cells = row.cells.iter().filter(|(h, ..)| aside(*h)).map(|(_, atoms, _)| text_of(atoms));
    let words = row.loose.iter().filter(|a| matches!(a.kind, Kind::Text)).map(|a: &&Atom| a.text.to_string());
    for text in cells.chain(words).filter(|text| names_more_than_water(text)) {
        for reading in &mut sample.readings {
            tell(reading, &text);
        }
    }
}

/// True for a heading whose cells are read for what they hold.
fn explained(heading: &Label, long: bool) -> bool {
    let held = matches!(heading.role, Some(Role::Analyte | Role::Result | Role::Unit | Role::Method));
    heading.field.is_some() || heading.is_result() || long && held
}

fn names_more_than_water(text: &str) -> bool {
    let words = text.split(' ').filter(|w| !List::Water.has(&w.to_lowercase()));
    names_a_method(&words.collect::<Vec<_>>().join(" "))
}

fn tell(reading: &mut Found, text: &str) {
    let Some(analyte) = reading.label.analyte else { return };
    let own: Vec<_> = reading.label.methods.iter().flatten().filter_map(|m| adapt(*m, analyte)).collect();
    let told = method_in(text, analyte, PLAIN);
    if told.iter().flatten().any(|m| !own.contains(m)) {
        let sentence =
            format!("Beside this result stands `{text}`, and nothing says of what that is the method.");
        reading.doubts.push(Doubt::new("method-unclear", sentence));
    }
}

/// Lets a result of a long table wait where a column names methods, and its own cell words that nothing explains.
pub(super) fn strange(reading: &mut Found, row: &Row<'_>, band: &Band, rows: &[(usize, Row<'_>)]) {
    let Some(analyte) = reading.label.analyte.filter(|a| has_methods(*a)) else { return };
    let cells =
        row.cells.iter().filter(|(h, ..)| band.leaves.get(*h).is_some_and(|l| says_nothing(&l.label)));
    for (heading, atoms, _) in cells {
        let text = text_of(atoms);
        let mut column = rows.iter().flat_map(|(_, row)| &row.cells).filter(|(h, ..)| h == heading);
        let of_methods =
            column.any(|(_, atoms, _)| Some(text_of(atoms)).is_some_and(|t| is_method(&t) && is_in_full(&t)));
        if of_methods && method_told(&text, analyte, PLAIN).is_empty() {
            reading.label.unknown.extend(strange_words(&text, PLAIN));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_method_alone_is_known_from_a_code() {
        for text in ["1:1", "hot water", "Bray P1", "Mehlich 3", "DTPA", "1 M KCl"] {
            assert!(is_method(text), "{text}: {:?}", label(text, PLAIN));
        }
        for text in ["soil", "P by Olsen", "rerun", "Olsen, rerun"] {
            assert!(!is_method(text), "{text}");
        }
    }
}
