//! A table of a web page on the way, and the rows that all blocks become in the end.

use super::super::{Cell, Format, Limits, Refusal, wording};
use super::cell;

/// A piece of a page.
#[derive(Debug)]
pub(super) enum Block {
    /// A line of text.
    Text(String),
    /// A table.
    Table(Vec<Cell>),
    /// The end of a block: an empty row follows.
    Gap,
}

/// A cell on the way: its place, and the lines and tables inside it.
struct Open {
    row: u32,
    column: u32,
    columns: u32,
    rows: u32,
    inner: Vec<Block>,
}

/// A table on the way.
#[derive(Default)]
pub(super) struct Table {
    cells: Vec<Open>,
    open: bool,
    row: u32,
    column: usize,
    /// Rows that a cell above still covers, by column.
    covered: Vec<u32>,
    /// What stands inside the table but in no cell: its caption, misplaced text.
    stray: Vec<Block>,
    /// A list of names and what is said of each.
    names: bool,
}

impl Table {
    /// A list of names, each with what is said of it in one row.
    pub(super) fn of_names() -> Self {
        Self { names: true, ..Self::default() }
    }

    /// Whether it is such a list.
    pub(super) fn is_of_names(&self) -> bool {
        self.names
    }

    /// Begins a row.
    pub(super) fn next_row(&mut self) {
        self.open = false;
        if self.row > 0 {
            self.covered.iter_mut().for_each(|c| *c = c.saturating_sub(1));
        }
        self.row = self.row.saturating_add(1);
        self.column = 0;
    }

    /// Begins a cell in the next free columns; false where the table is too wide.
    pub(super) fn open_cell(&mut self, columns: u32, rows: u32, most: u32) -> bool {
        if self.row == 0 {
            self.next_row();
        }
        while self.covered.get(self.column).is_some_and(|c| *c > 0) {
            self.column += 1;
        }
        let (from, width) = (self.column, columns as usize);
        if from + width > most as usize {
            return false;
        }
        if self.covered.len() < from + width {
            self.covered.resize(from + width, 0);
        }
        self.covered.iter_mut().skip(from).take(width).for_each(|c| *c = rows);
        self.column = from + width;
        let column = u32::try_from(from + 1).unwrap_or(u32::MAX);
        self.cells.push(Open { row: self.row, column, columns, rows, inner: Vec::new() });
        self.open = true;
        true
    }

    /// Ends a cell.
    pub(super) fn close_cell(&mut self) {
        self.open = false;
    }

    fn place(&mut self) -> &mut Vec<Block> {
        match self.cells.last_mut() {
            Some(cell) if self.open => &mut cell.inner,
            _ => &mut self.stray,
        }
    }

    /// A line of text inside the table.
    pub(super) fn text(&mut self, text: String) {
        self.place().push(Block::Text(text));
    }

    /// The blocks of a table inside the table.
    pub(super) fn blocks(&mut self, blocks: Vec<Block>) {
        let place = self.place();
        place.push(Block::Gap);
        place.extend(blocks);
        place.push(Block::Gap);
    }

    /// The blocks of the table. A row that holds tables lays out the page and is no table itself: what its cells
    /// hold follows one after the other.
    pub(super) fn finish(self) -> Vec<Block> {
        let mut out = self.stray;
        if !out.is_empty() {
            out.push(Block::Gap);
        }
        let mut plain: Vec<Cell> = Vec::new();
        let mut row: Vec<Open> = Vec::new();
        for open in self.cells {
            if row.last().is_some_and(|last| last.row != open.row) {
                take_row(std::mem::take(&mut row), &mut plain, &mut out);
            }
            row.push(open);
        }
        if plain.is_empty() && row.iter().any(holds_pairs) {
            for open in row {
                out.extend(open.inner);
                out.push(Block::Gap);
            }
            return out;
        }
        take_row(row, &mut plain, &mut out);
        end_table(plain, &mut out);
        out
    }
}

/// `Report no. 12<br>Client: Moss Farms<br>...` in a cell: lines of a form.
fn holds_pairs(cell: &Open) -> bool {
    let text = |b: &Block| matches!(b, Block::Text(text) if text.contains(": ") || text.contains(" :"));
    let lines = cell.inner.iter().filter(|b| matches!(b, Block::Text(_))).count();
    lines > 1 && cell.inner.iter().any(text)
}

fn take_row(row: Vec<Open>, plain: &mut Vec<Cell>, out: &mut Vec<Block>) {
    let lays_out = row.iter().any(|open| open.inner.iter().any(|b| matches!(b, Block::Table(_))));
    if lays_out {
        end_table(std::mem::take(plain), out);
        for open in row {
            out.extend(open.inner);
            out.push(Block::Gap);
        }
        return;
    }
    for open in row {
        let lines = open.inner.into_iter().filter_map(|b| match b {
            Block::Text(text) => Some(text),
            _ => None,
        });
        let text = lines.collect::<Vec<_>>().join("\n");
        if !text.is_empty() {
            let Open { row, column, columns, rows, .. } = open;
            plain.push(Cell { columns, rows, ..cell(row, column, text) });
        }
    }
}

/// Texts that stand side by side: a row of cells, right below the one before where that is of such texts too.
pub(super) fn side_by_side(texts: Vec<String>, out: &mut Vec<Block>) {
    let mut row: Vec<Cell> = Vec::new();
    for (text, column) in texts.into_iter().zip(1..) {
        if !text.is_empty() {
            row.push(Cell { columns: 1, rows: 1, ..cell(1, column, text) });
        }
    }
    if let [.., Block::Table(above), Block::Gap] = out.as_mut_slice() {
        let last = above.last().map_or(0, |c| c.row);
        if above.iter().all(|c| c.columns == 1 && c.rows == 1) && beside(above) == beside(&row) {
            above.extend(row.into_iter().map(|c| Cell { row: last.saturating_add(1), ..c }));
            out.pop();
            return;
        }
    }
    out.push(Block::Table(row));
}

/// In how many columns cells stand.
fn beside(cells: &[Cell]) -> u32 {
    cells.iter().map(|c| c.column).max().unwrap_or(0)
}

fn end_table(cells: Vec<Cell>, out: &mut Vec<Block>) {
    if !cells.is_empty() {
        out.push(Block::Table(cells));
        out.push(Block::Gap);
    }
}

/// Rows of cells from blocks, an empty row where a block ends.
pub(super) fn rows(blocks: Vec<Block>, format: Format, limits: &Limits) -> Result<Vec<Cell>, Refusal> {
    let mut cells: Vec<Cell> = Vec::new();
    // The last row in use, and whether a gap is due before the next.
    let (mut row, mut gap) = (0u32, false);
    for block in blocks {
        let first = row.saturating_add(1 + u32::from(gap && row > 0));
        match block {
            Block::Gap => {
                gap = true;
                continue;
            }
            Block::Text(text) => {
                row = first;
                cells.push(cell(row, 1, text));
                gap = false;
            }
            Block::Table(table) => {
                let top = table.first().map_or(1, |c| c.row);
                for mut cell in table {
                    cell.row = cell.row.saturating_sub(top).saturating_add(first);
                    row = row.max(cell.row);
                    cell.rows = cell.rows.min(limits.rows);
                    cells.push(cell);
                }
                gap = true;
            }
        }
        if row > limits.rows {
            return Err(wording::too_many_rows(format, limits));
        }
        if cells.len() > limits.cells {
            return Err(wording::too_many_cells(format, limits));
        }
    }
    Ok(cells)
}
