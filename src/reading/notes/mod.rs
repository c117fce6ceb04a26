//! Captions and footnotes: which method, and which unit, they give to which analytes.

mod clause;
mod excepted;
mod factor;
mod footnotes;
mod legend;
mod lettered;
mod method;
mod pair;
mod range;
mod said;
mod saved;
mod sentences;
mod strange;
mod titled;

use super::fold::fold;
use super::vocabulary::Context;
use clause::{read_clause, sums};
pub use factor::opens_with_a_factor;
use footnotes::{before_a_sign, marked};
pub use legend::legend;
use legend::zero_is_blank;
pub use method::{adapt, by_colour, half_understood, has_methods, method_in, method_told, strange_words};
pub use range::settle_ranges;
pub use said::Notes;
pub use saved::{names_a_method, saves_for_marked};
pub use sentences::NoteLine;
use sentences::{clauses, paragraphs};
pub use titled::Titled;

/// The texts that lines of notes make together.
pub fn whole_texts(lines: &[NoteLine]) -> Vec<String> {
    paragraphs(lines)
}

/// Reads the notes in the lines of text that no table has taken. What stands behind one of the signs that results bear,
/// `borne`, is said of these results alone.
pub fn notes(lines: &[NoteLine], borne: &[String], context: Context) -> Notes {
    let mut out = Notes::default();
    let text = paragraphs(lines);
    for line in &text {
        out.zero_is_blank |= zero_is_blank(line);
        out.marked.extend(marked(line));
    }
    for line in lines.iter().filter(|l| l.footnote) {
        out.marked.extend(footnotes::lettered(&fold(&line.text)));
    }
    for (letter, note) in lettered::lettered(lines) {
        out.marked.entry(letter).or_insert(note);
    }
    // A formula ends with its line, however the one above it ends.
    for line in lines {
        sums(&line.text, context, &mut out);
    }
    for clause in text.iter().flat_map(|t| clauses(t)) {
        read_clause(before_a_sign(&clause, borne), context, &mut out);
        for (sign, note) in footnotes::within(&clause) {
            out.marked.entry(sign).or_insert(note);
        }
    }
    out.but_marked = text.iter().any(|t| saves_for_marked(t));
    out.names_before_groups();
    out.alone_for_micronutrients();
    out
}

#[cfg(test)]
mod tests;
