//! The laboratory's name at the head of a report.

use super::super::layout::Layout;
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::leading_field;

/// Words that mark a line as a title, not a name.
pub const TITLE_WORDS: &[&str] = &[
    "report",
    "results",
    "result",
    "summary",
    "page",
    "certificate",
    "invoice",
    "analysis of",
    "interpretation",
    "fertility",
    "recommendations",
    "date",
    "client",
    "sample",
    "samples",
];

/// The laboratory's name from the letterhead: among the first lines, the one in the largest type whose words are
/// a name and no title.
pub fn letterhead(page: &Layout) -> Option<String> {
    let mut best: Option<(f32, String)> = None;
    for (i, line) in page.lines.iter().take(6).enumerate() {
        // The first row of a table file is the heading of its columns.
        if page.cells && line.phrases.len() > 4 {
            continue;
        }
        for phrase in &line.phrases {
            let text = phrase.text();
            let lower = text.to_lowercase();
            let words: Vec<&str> = lower.split([' ', ',']).filter(|w| !w.is_empty()).collect();
            if words.is_empty()
                || words.len() > 8
                || text.contains(':')
                || lower.chars().filter(char::is_ascii_digit).count() > 2
            {
                continue;
            }
            // `Lab #` over a column asks for a number.
            let asks = leading_field(text, Context { symbols: false, capitals: false });
            if asks.is_some_and(|(field, rest, _)| field != Field::Lab && rest.is_empty()) {
                continue;
            }
            let named = words.iter().filter(|w| List::Laboratory.has(w)).count();
            let titled = TITLE_WORDS.iter().any(|t| lower.contains(t));
            if titled
                || lower.starts_with("soil test")
                || lower.starts_with("soil analysis")
                || lower == "soil analysis"
            {
                continue;
            }
            // `Quill Labs  soil plant water`: what goes on in smaller type is no part of the name.
            let first = phrase.tokens.first().map_or(0.0, |t| t.size);
            let large = phrase.tokens.iter().take_while(|t| t.size > 0.8 * first).count();
            let text = phrase.part(0, large).map_or_else(|| text.to_owned(), |p| p.text().to_owned());
            let size = phrase.tokens.iter().map(|t| t.size).fold(0.0, f32::max);
            #[allow(clippy::cast_precision_loss)]
            let score = size + if named > 0 { 6.0 } else { 0.0 } - i as f32 * 1.5;
            if (named > 0 || i == 0) && best.as_ref().is_none_or(|(s, _)| score > *s) {
                best = Some((score, text));
            }
        }
    }
    best.map(|(_, text)| text)
}
