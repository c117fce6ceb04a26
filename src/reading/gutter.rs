//! Columns set so close that a name or a unit runs up to the number of the next: the edges that the rows around share
//! tell where one ends and the other begins.

use super::cut::cut;
use super::label::label;
use super::layout::{Line, Phrase, Token};
use super::number::{Decimal, number};
use super::vocabulary::{Context, Meaning, Sought, hits, leading_hit, may_open};

/// How far up and down rows share their edges, in ems.
const NEAR: f32 = 16.0;
/// How well edges agree, in ems.
const SAME_EDGE: f32 = 0.12;
/// Other rows that must share an edge.
const WITNESSES: usize = 2;
/// A longer phrase is a sentence.
const MOST_WORDS: usize = 10;

/// An edge of a number or unit that stands by itself.
struct Edge {
    line: usize,
    y: f32,
    x: f32,
    number: bool,
}

/// Parts phrases before a number or a unit that stands at an edge which other rows share.
pub fn part(lines: &mut [Line], em: f32) {
    let mut left: Vec<Edge> = Vec::new();
    let mut right: Vec<Edge> = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        for phrase in line.phrases.iter().skip(1).filter(|p| is_value(&p.tokens)) {
            let number = phrase.tokens.first().is_some_and(is_number);
            left.push(Edge { line: i, y: line.area.y0, x: phrase.area.x0, number });
            if let Some(first) = phrase.tokens.first().filter(|t| is_number(t)) {
                right.push(Edge { line: i, y: line.area.y0, x: first.area.x1, number });
            }
        }
    }
    for (i, line) in lines.iter_mut().enumerate() {
        let y = line.area.y0;
        let shared = |edges: &[Edge], x: f32, number: bool| {
            let mut rows: Vec<usize> = edges
                .iter()
                .filter(|e| {
                    e.line != i
                        && e.number == number
                        && (e.y - y).abs() < NEAR * em
                        && (e.x - x).abs() < SAME_EDGE * em
                })
                .map(|e| e.line)
                .collect();
            rows.dedup();
            rows.len() >= WITNESSES
        };
        line.phrases = std::mem::take(&mut line.phrases)
            .into_iter()
            .flat_map(|phrase| {
                let sentence = phrase.tokens.len() > MOST_WORDS
                    || phrase.tokens.last().is_some_and(|t| t.text.ends_with('.') && phrase.tokens.len() > 3);
                let cuts: Vec<usize> = (1..phrase.tokens.len())
                    .filter(|at| !sentence && cuts_before(&phrase, *at, &left, &right, &shared))
                    .collect();
                phrase.parted(&cuts)
            })
            .collect();
    }
}

fn cuts_before(
    phrase: &Phrase,
    at: usize,
    left: &[Edge],
    right: &[Edge],
    shared: &dyn Fn(&[Edge], f32, bool) -> bool,
) -> bool {
    let (Some(token), Some(tail)) = (phrase.tokens.get(at), phrase.tokens.get(at..)) else { return false };
    // A number after a number is its second half (`1 234`), or a table without names.
    let after_words = phrase.tokens.get(..at).is_some_and(|head| !head.iter().all(is_number));
    // The words are looked at last, for that is the dearest.
    after_words
        && !token.text.ends_with(',')
        && is_value(tail)
        && (shared(left, token.area.x0, is_number(token))
            || is_number(token) && shared(right, token.area.x1, true))
        && phrase.tokens.get(..at).is_some_and(measures)
        && !named_across(&phrase.tokens, at)
}

/// True where words name a measurement or a unit, and no field of the report: only these run up to a value. `Plot 1`
/// over a column and `Sample ID: Strip 3` end in a number of their own.
fn measures(head: &[Token]) -> bool {
    let said = head.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
    let said = label(&said, Context { symbols: true, capitals: false });
    said.field.is_none() && (said.analyte.is_some() || said.other || said.unit.is_some())
}

/// True where one name runs over the edge: the `3` of `Mehlich 3` is no value.
fn named_across(tokens: &[Token], at: usize) -> bool {
    let cut = cut(tokens);
    hits(&cut.pieces, Context { symbols: true, capitals: false }).iter().any(|h| {
        cut.owner(h.start).is_some_and(|o| o < at)
            && h.end.checked_sub(1).and_then(|e| cut.owner(e)).is_some_and(|o| o >= at)
    })
}

fn is_number(token: &Token) -> bool {
    number(&token.text, Decimal::Point).or_else(|| number(&token.text, Decimal::Comma)).is_some()
}

/// A number, perhaps with its unit; or a unit, perhaps with a number behind it.
fn is_value(tokens: &[Token]) -> bool {
    let Some(first) = tokens.first() else { return false };
    if is_number(first) {
        return true;
    }
    if !may_open(&first.text, Sought::Unit, Context { symbols: false, capitals: false }) {
        return false;
    }
    let count = tokens.iter().take_while(|t| !is_number(t)).count();
    let cut = cut(tokens.get(..count).unwrap_or_default());
    let context = Context { symbols: false, capitals: false };
    leading_hit(&cut.pieces, context, &|m| matches!(m, Meaning::Unit(_)))
        .is_some_and(|unit| unit.end == cut.pieces.len())
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};

    fn phrases(lines: &[&str]) -> Vec<Vec<String>> {
        layout(&typed(lines))
            .lines
            .iter()
            .map(|l| l.phrases.iter().map(|p| p.text().to_owned()).collect())
            .collect()
    }

    #[test]
    fn a_name_or_unit_that_reaches_the_next_column_is_parted_from_its_number() {
        let found = phrases(&[
            "Calcium             mg/kg      1480",
            "Magnesium           mg/kg       183",
            "Exch. base of wood  mg/kg        12",
            "Exchangeable sodium cmol(+)/kg 0.12",
            "Zinc, whole soil    mg/kg       3.1",
        ]);
        assert_eq!(found[3], ["Exchangeable sodium", "cmol(+)/kg", "0.12"]);
    }

    #[test]
    fn a_number_that_belongs_to_a_method_is_no_value() {
        let found = phrases(&[
            "Bed 1     6.1   Mehlich 3, ppm",
            "Bed 2     6.5           3",
            "Bed 3     6.2           4",
        ]);
        assert_eq!(found[0].last().unwrap(), "Mehlich 3, ppm");
    }

    #[test]
    fn a_number_at_the_end_of_a_name_stays_with_it() {
        let found = phrases(&[
            "Sample ID:           Strip 3",
            "",
            "Test                       Plot 1",
            "Calcium, lb per acre        859",
            "Sodium, lb per acre           3",
            "Zinc, lb per acre             1",
        ]);
        assert_eq!(found[0].last().unwrap(), "Strip 3");
        assert_eq!(found[1].last().unwrap(), "Plot 1");
    }

    #[test]
    fn numbers_in_names_stay_where_no_column_stands() {
        let found = phrases(&["Tee 4      6.1    94", "Tee 12     6.5    88", "Tee 13     6.2    71"]);
        assert_eq!(found[1], ["Tee 12", "6.5", "88"]);
    }
}
