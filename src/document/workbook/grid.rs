//! A sheet on the way: cells within the limits, merged spans, and what was hidden.

use super::super::{Cell, Content, Format, Limits, Page, Refusal, wording};
use std::collections::BTreeSet;

/// Merged spans that a sheet may declare.
const MERGES: usize = 20_000;

/// Cells looked at to apply the merged spans of a sheet.
const VISITS: usize = 50_000_000;

/// What all sheets of a workbook may still take.
pub(super) struct Budget<'a> {
    pub(super) limits: &'a Limits,
    cells: usize,
    text: u64,
}

impl<'a> Budget<'a> {
    pub(super) fn new(limits: &'a Limits) -> Self {
        Self { limits, cells: 0, text: 0 }
    }

    /// Counts a cell.
    fn take(&mut self, text: &str) -> Result<(), Refusal> {
        if text.len() > self.limits.cell_bytes {
            return Err(wording::cell_too_long(Format::Xlsx, self.limits));
        }
        self.cells += 1;
        if self.cells > self.limits.cells {
            return Err(wording::too_many_cells(Format::Xlsx, self.limits));
        }
        // One long shared text may stand in many cells.
        self.text += text.len() as u64;
        if self.text > self.limits.stream_bytes {
            return Err(wording::unpacks_too_far(Format::Xlsx, self.limits.stream_bytes));
        }
        Ok(())
    }
}

/// A rectangle of cells, edges included, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    pub(super) top: u32,
    pub(super) left: u32,
    pub(super) bottom: u32,
    pub(super) right: u32,
}

/// A sheet on the way.
#[derive(Default)]
pub(super) struct Grid {
    cells: Vec<Cell>,
    merges: Vec<Span>,
    hidden_rows: BTreeSet<u32>,
    hidden_columns: BTreeSet<u32>,
    coarse: usize,
}

impl Grid {
    /// Sets a visible cell.
    pub(super) fn set(&mut self, budget: &mut Budget<'_>, cell: Cell) -> Result<(), Refusal> {
        if cell.row > budget.limits.rows {
            return Err(wording::too_many_rows(Format::Xlsx, budget.limits));
        }
        if cell.column > budget.limits.columns {
            return Err(wording::too_many_columns(Format::Xlsx, budget.limits));
        }
        budget.take(&cell.text)?;
        self.cells.push(cell);
        Ok(())
    }

    /// Notes that a filled cell stands in a hidden row or column.
    pub(super) fn pass_over(&mut self, row: Option<u32>, column: Option<u32>) {
        self.hidden_rows.extend(row);
        self.hidden_columns.extend(column);
    }

    /// Notes that a cell shows far fewer digits than it holds.
    pub(super) fn count_coarse(&mut self) {
        self.coarse += 1;
    }

    /// Declares a merged span.
    pub(super) fn merge(&mut self, span: Span) -> Result<(), Refusal> {
        if self.merges.len() >= MERGES {
            return Err(too_many_merges());
        }
        if span.bottom >= span.top && span.right >= span.left {
            self.merges.push(span);
        }
        Ok(())
    }

    /// The page and its notes.
    pub(super) fn finish(
        mut self,
        number: u32,
        name: &str,
        limits: &Limits,
    ) -> Result<(Page, Vec<String>), Refusal> {
        self.cells.sort_by_key(|c| (c.row, c.column));
        self.apply_merges(limits)?;
        let shown = wording::quoted(name);
        let mut notes = Vec::new();
        for (count, what) in [(self.hidden_rows.len(), "row"), (self.hidden_columns.len(), "column")] {
            if count > 0 {
                let plural = if count == 1 { " was" } else { "s were" };
                notes.push(format!("{count} hidden {what}{plural} passed over on sheet {shown}."));
            }
        }
        if self.coarse > 0 {
            let plural = if self.coarse == 1 { "cell shows" } else { "cells show" };
            notes.push(format!(
                "{} {plural} a rounded number on sheet {shown}; the digits shown were read.",
                self.coarse
            ));
        }
        let name = Some(super::super::decode::squeezed(name));
        let content = Content::Cells(self.cells);
        Ok((Page { number, width: 0.0, height: 0.0, name, content }, notes))
    }

    /// Gives the first cell of each span its size and drops what the span covers.
    fn apply_merges(&mut self, limits: &Limits) -> Result<(), Refusal> {
        let (mut covered, mut visits) = (BTreeSet::new(), 0usize);
        for span in &self.merges {
            let bottom = span.bottom.min(limits.rows);
            let right = span.right.min(limits.columns);
            let from = self.cells.partition_point(|c| c.row < span.top);
            for (index, cell) in self.cells.iter_mut().enumerate().skip(from) {
                visits += 1;
                if visits > VISITS {
                    return Err(too_many_merges());
                }
                if cell.row > bottom {
                    break;
                }
                if cell.column < span.left || cell.column > right {
                    continue;
                }
                if (cell.row, cell.column) == (span.top, span.left) {
                    cell.columns = right.saturating_sub(span.left) + 1;
                    cell.rows = bottom.saturating_sub(span.top) + 1;
                } else {
                    covered.insert(index);
                }
            }
        }
        let mut index = 0;
        self.cells.retain(|_| {
            index += 1;
            !covered.contains(&(index - 1))
        });
        Ok(())
    }
}

fn too_many_merges() -> Refusal {
    wording::damaged(Format::Xlsx, "The sheet has more merged cells than any report needs.")
}
