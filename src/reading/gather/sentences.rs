//! The sentences of a page as results.

use super::super::aside::beside_tables;
use super::super::found::FoundSample;
use super::super::layout::{Layout, Token};
use super::super::number::Decimal;
use super::super::prose;
use super::super::vocabulary::Context;
use crate::soil::Analyte;

/// The sentences of a letter are its results. Beside a table they explain: one that does not tell of this sample is no
/// reading, one that repeats the table adds nothing, and any other waits for a person.
pub(super) fn sentences(
    page: &Layout,
    context: Context,
    decimal: Decimal,
    taken: &[bool],
    measured: &[(Analyte, String)],
    samples: &mut Vec<FoundSample>,
) {
    let mut paragraph: Vec<Token> = Vec::new();
    let mut blocks: Vec<(f32, Vec<Token>)> = Vec::new();
    let mut top = 0.0;
    let mut bottom = 0.0;
    for (line, taken) in page.lines.iter().zip(taken) {
        let far = line.area.y0 - bottom > 1.2 * page.em;
        if *taken || far {
            if !paragraph.is_empty() {
                blocks.push((top, std::mem::take(&mut paragraph)));
            }
            if *taken {
                continue;
            }
        }
        if paragraph.is_empty() {
            top = line.area.y0;
        }
        bottom = line.area.y1;
        for token in line.phrases.iter().flat_map(|p| p.tokens.iter()) {
            paragraph.extend(token.text.split(' ').map(|w| Token { text: w.into(), ..token.clone() }));
        }
    }
    if !paragraph.is_empty() {
        blocks.push((top, paragraph));
    }
    for (y, tokens) in blocks {
        let said = prose::read(&tokens, context, decimal).into_iter();
        let readings: Vec<_> = said.filter_map(|said| beside_tables(said, measured)).collect();
        if !readings.is_empty() {
            samples.push(FoundSample { page: page.number, y, readings, ..FoundSample::default() });
        }
    }
}
