//! Codes of a laboratory's own over columns, written out by what explains them in the same document.

mod dictionary;
mod legend;
mod letters;
mod lines;
mod marked;
mod methods;
mod samples;
mod table;

use super::layout::Layout;
pub use samples::explained;

/// The pages with every code over a column in the words of the table or the legend that explains it.
pub fn written_out(pages: Vec<Layout>) -> Vec<Layout> {
    samples::written_out(marked::spelled(letters::spelled(methods::spelled(legend::spelled(
        table::written_out(dictionary::written_out(lines::written_out(pages))),
    )))))
}
