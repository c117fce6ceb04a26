//! What was found over a table: headings of columns, and rows of names and fields.

use super::super::super::atom::Atom;
use super::super::super::label::Label;
use super::super::super::vocabulary::Field;
use crate::place::Rect;

/// Box, meaning and words of a heading.
pub type Heading = (Rect, Label, String);

/// A field and its texts, one for each column.
pub type FieldRow = (Field, Vec<Atom>);

/// What stands over a table.
#[derive(Debug, Clone, Default)]
pub struct Above {
    /// Headings of its columns.
    pub headings: Vec<Heading>,
    /// Names and fields of its samples.
    pub fields: Vec<FieldRow>,
    /// The lines taken.
    pub lines: Vec<usize>,
    /// Names stand there and were not read whole: no other name on the page is theirs.
    pub half_named: bool,
    /// The names are words over columns; nothing says that names of samples stand there.
    pub headed: bool,
}
