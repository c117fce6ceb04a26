//! What a variant prints, before it is a file: fields, tables, notes and page ends.

/// A heading cell.
#[derive(Debug, Clone, Default)]
pub struct Head {
    /// Its words.
    pub text: String,
    /// Columns it stands over.
    pub span: usize,
}

impl Head {
    /// A heading over one column.
    pub fn one(text: impl Into<String>) -> Self {
        Self { text: text.into(), span: 1 }
    }
}

/// A table.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// Heading rows from the top.
    pub head: Vec<Vec<Head>>,
    /// Cells.
    pub rows: Vec<Vec<String>>,
    /// Columns of numbers: a page sets these to the right or in the middle.
    pub numeric: Vec<bool>,
}

impl Table {
    /// Number of columns.
    pub fn columns(&self) -> usize {
        self.rows.iter().map(Vec::len).max().unwrap_or(0).max(self.numeric.len())
    }
}

/// A part of a paper.
#[derive(Debug, Clone)]
pub enum Block {
    /// Text lines.
    Lines(Vec<String>),
    /// `Name: value`, one a line.
    Fields(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// Two tables side by side.
    Beside(Table, Table),
    /// End of a page.
    Break,
}

/// A report before it is a file.
#[derive(Debug, Clone, Default)]
pub struct Paper {
    /// Its parts from the top.
    pub blocks: Vec<Block>,
    /// Rows of a table on one page, where pages have an end.
    pub rows_a_page: usize,
    /// Whether the heading stands again on the next page.
    pub repeat_head: bool,
}
