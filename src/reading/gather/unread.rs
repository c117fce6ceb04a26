//! Rows of a table that were not read, or whose value is blank: no notes.

use super::super::atom::{Kind, phrase_atoms};
use super::super::fold::pieces;
use super::super::layout::{Layout, Line, Phrase, Token};
use super::super::number::{Decimal, number};
use super::super::vocabulary::{Context, Meaning, hits_where};

/// A row of a table that was not read, `Na   36   pound per acre   Morgan extract`: what it says is its own, and no note.
pub(super) fn is_row(line: &Line, decimal: Decimal, context: Context) -> bool {
    let named = line.phrases.first().is_some_and(|p| p.label(context).analyte.is_some());
    let value = |p: &Phrase| {
        let atoms = phrase_atoms(p, decimal);
        let words = p.text().contains(|c: char| c.is_alphabetic() && !c.is_uppercase());
        atoms.first().is_some_and(|a| match a.kind {
            Kind::Range | Kind::Blank => true,
            Kind::Number(_) => !words,
            Kind::Text => false,
        })
    };
    // `CEC meq/100 g 17.0 18.5 15.2` set close together is a row all the same.
    let figure = |t: &&Token| number(&t.text, decimal).is_some_and(|n| n.qualifier.is_none());
    let tokens: Vec<&Token> = line.phrases.iter().flat_map(|p| &p.tokens).collect();
    let figures = tokens.iter().rev().take_while(|t| figure(t)).count();
    // `P5   44783   0-15 cm Ac mmol/kg   40.3`: the name stands behind the sample's.
    let behind = || {
        let (Some(last), true) = (line.phrases.last(), line.phrases.len() > 2) else { return false };
        let names = |p: &Phrase| {
            let words = pieces(p.text());
            words.len() <= MOST_WORDS_OF_A_NAME
                && !hits_where(&words, context, &|m| matches!(m, Meaning::Analyte(..))).is_empty()
        };
        value(last) && line.phrases.iter().any(names)
    };
    !line.footnote && (named && (line.phrases.iter().skip(1).any(value) || figures > 2) || behind())
}

/// More pieces are a sentence.
const MOST_WORDS_OF_A_NAME: usize = 12;

/// `M Mehlich-1 extract   mg/kg   3.1` right between two rows that were read, with a figure at the end of one of its pieces: a
/// row that nobody understands, and no note on the others.
pub(super) fn is_row_between(line: &Line, beside: [Option<&bool>; 2], decimal: Decimal) -> bool {
    let figure = |p: &Phrase| p.tokens.last().is_some_and(|t| number(&t.text, decimal).is_some());
    line.phrases.len() > 1 && line.phrases.iter().any(figure) && beside == [Some(&true), Some(&true)]
}

/// `Mn Mehlich 1 extract      mg/dm3` right below (or above) a row of results: a row whose value is blank, and no note.
pub(super) fn blank_rows(page: &Layout, taken: &[bool], decimal: Decimal, context: Context) -> Vec<bool> {
    let result = |l: &Line| l.phrases.iter().skip(1).any(|p| number(p.text(), decimal).is_some());
    let blank = |l: &Line| {
        let beside = |p: &Phrase| {
            let said = p.label(Context { symbols: false, ..context });
            let cell = said.unit.is_some() || said.rating || said.decoy || !said.methods.is_empty();
            cell && said.unknown.is_empty() && said.analyte.is_none()
                || phrase_atoms(p, decimal).iter().all(|a| !matches!(a.kind, Kind::Text))
        };
        let name = |p: &Phrase| {
            let said = p.label(context);
            said.analyte.is_some() && said.unknown.is_empty() && !p.text().ends_with('.')
        };
        !l.footnote && l.phrases.first().is_some_and(name) && l.phrases.iter().skip(1).all(beside)
    };
    let mut out: Vec<bool> = page.lines.iter().zip(taken).map(|(l, taken)| *taken && result(l)).collect();
    let close = |a: &Line, b: &Line| {
        (a.area.x0 - b.area.x0).abs() < page.em && b.area.y0 - a.area.y1 < page.em && a.area.y1 < b.area.y1
    };
    let below = (1..page.lines.len()).map(|i| (i, i - 1));
    let above = (1..page.lines.len()).rev().map(|i| (i - 1, i));
    for (at, from) in below.chain(above) {
        let (Some(line), Some(beside)) = (page.lines.get(at), page.lines.get(from)) else { continue };
        let near = if at > from { close(beside, line) } else { close(line, beside) };
        if near
            && out.get(from) == Some(&true)
            && taken.get(at) == Some(&false)
            && blank(line)
            && let Some(row) = out.get_mut(at)
        {
            *row = true;
        }
    }
    out
}
