//! Tables of analytes with their name twice, `Parameter | Analysis | Unit`, `Magnesium | Mg (CaCl2) | mg/kg`, and units with
//! what they count behind them, `mg/kg Mg`.

use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Form, Role};
use regex::Regex;
use std::sync::LazyLock;

const CONTEXT: Context = Context { symbols: true, capitals: false };

/// The sheets and tables with one column of names, and units as they are written elsewhere.
pub(super) fn joined(mut pages: Vec<Layout>) -> Vec<Layout> {
    for page in pages.iter_mut().filter(|p| p.cells) {
        let headings: Vec<usize> =
            page.lines.iter().enumerate().filter(|(_, l)| heads_two(l)).map(|(at, _)| at).collect();
        for at in headings.into_iter().rev() {
            join(&mut page.lines, at);
        }
        for phrase in page.lines.iter_mut().flat_map(|l| &mut l.phrases) {
            if let Some(unit) = in_order(phrase.text()) {
                set(phrase, &unit);
            }
        }
    }
    pages
}

static BEHIND: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^(mg|ug|µg|g)/(kg|100 ?g) (P|K|Ca|Mg|Na|S|Fe|Mn|Zn|Cu|B|Al|N|P2O5|K2O|CaO|MgO)$").ok()
});

/// `mg/kg Mg` of a cell of its own is `mg Mg/kg`.
fn in_order(text: &str) -> Option<String> {
    let found = BEHIND.as_ref()?.captures(text)?;
    let part = |i: usize| found.get(i).map(|m| m.as_str());
    Some(format!("{} {}/{}", part(1)?, part(3)?, part(2)?))
}

/// Two headings side by side at the left edge that ask for what was measured, and others behind them.
fn heads_two(line: &Line) -> bool {
    let asks = |p: &Phrase| {
        let said = label(p.text(), CONTEXT);
        said.role == Some(Role::Analyte) && said.analyte.is_none() && said.unknown.is_empty()
    };
    let unit = |p: &Phrase| label(p.text(), CONTEXT).role == Some(Role::Unit);
    matches!(line.phrases.as_slice(), [a, b, rest @ ..] if asks(a) && asks(b) && !rest.iter().any(asks) && rest.iter().any(unit))
}

/// Puts both names of each row below a heading into one, where every row that has a second name can be read so.
fn join(lines: &mut [Line], at: usize) {
    let Some(places) = lines.get(at).and_then(|heading| {
        let place = |i: usize| heading.phrases.get(i).map(|p| p.area.x0);
        Some((place(0)?, place(1)?))
    }) else {
        return;
    };
    let stands = |p: &Phrase, x: f32| (p.area.x0 - x).abs() < 1.0;
    // The rows, past what stands over the columns of values alone.
    let rows: Vec<usize> = (at + 1..lines.len())
        .skip_while(|i| {
            lines.get(*i).is_some_and(|l| l.phrases.first().is_some_and(|p| p.area.x0 > places.1 + 1.0))
        })
        .take_while(|i| {
            lines.get(*i).is_some_and(|l| {
                l.phrases.first().is_some_and(|p| stands(p, places.0)) && l.phrases.len() > 1
            })
        })
        .collect();
    let name = |i: &usize| -> Option<Option<String>> {
        let line = lines.get(*i)?;
        match line.phrases.as_slice() {
            [first, second, ..] if stands(second, places.1) => Some(Some(both(first.text(), second.text())?)),
            _ => Some(None),
        }
    };
    let names: Option<Vec<Option<String>>> = rows.iter().map(name).collect();
    let Some(names) = names.filter(|names| names.iter().any(Option::is_some)) else { return };
    if let Some(heading) = lines.get_mut(at) {
        heading.phrases.remove(1);
    }
    for (row, name) in rows.into_iter().zip(names) {
        if let (Some(line), Some(name)) = (lines.get_mut(row), name) {
            line.phrases.remove(1);
            if let Some(first) = line.phrases.first_mut() {
                set(first, &name);
            }
        }
    }
}

/// One name of two that mean the same measurement; none where they do not. The second is the shorter sign, and tells how
/// it was measured; a first name that tells so itself, or the form of the result, stays before it.
fn both(first: &str, second: &str) -> Option<String> {
    let (a, b) = (label(first, CONTEXT), label(second, CONTEXT));
    let same = a.analyte.is_some() && a.analyte == b.analyte && b.unknown.is_empty();
    let plain = a.methods.is_empty() && a.unknown.is_empty() && matches!(a.form, None | Some(Form::Plain));
    match () {
        () if !same => None,
        () if plain => Some(second.to_owned()),
        () => {
            let whole = format!("{first} {second}");
            let said = label(&whole, CONTEXT);
            (said.analyte == a.analyte && said.unknown.is_empty()).then_some(whole)
        }
    }
}

fn set(phrase: &mut Phrase, text: &str) {
    phrase.tokens.truncate(1);
    if let Some(token) = phrase.tokens.first_mut() {
        token.text = text.into();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_names_of_one_measurement_are_one() {
        assert_eq!(both("Magnesium", "Mg (CaCl2)").as_deref(), Some("Mg (CaCl2)"));
        assert_eq!(both("Koper", "Cu").as_deref(), Some("Cu"));
        assert_eq!(both("Fosfaat", "P-AL").as_deref(), Some("Fosfaat P-AL"));
        assert_eq!(both("Magnesium", "K"), None);
        assert_eq!(both("Magnesium", "Quibble"), None);
    }

    #[test]
    fn a_unit_names_what_it_counts_before_the_stroke() {
        assert_eq!(in_order("mg/kg Mg").as_deref(), Some("mg Mg/kg"));
        assert_eq!(in_order("mg/100 g P2O5").as_deref(), Some("mg P2O5/100 g"));
        assert_eq!(in_order("mg/kg"), None);
        assert_eq!(in_order("mg/kg K Ca"), None);
    }
}
