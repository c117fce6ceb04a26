//! What the columns of a table held, for its rest at the top of the next page.

use super::super::label::Label;
use super::column::Holds;
use crate::place::Rect;

/// What the columns of a table held, so that it may go on at the top of the next page without its heading.
#[derive(Debug, Clone)]
pub struct Carried {
    pub(super) left: f32,
    pub(super) columns: Vec<Column>,
    pub(super) method_column: bool,
}

/// A column of numbers with what it holds and the unit its heading names.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub(super) area: Rect,
    pub(super) sure: bool,
    pub(super) holds: Holds,
    /// The words over it are all that names its sample.
    pub(super) headed: bool,
    pub(super) unit: Option<(&'static str, String)>,
    /// Its numbers are shares of the exchange complex: `% of CEC`.
    pub(super) share: Option<Label>,
}

/// A table without a heading whose every column of numbers stands in a column of the page before holds the same.
pub(super) fn go_on(all: &mut [Column], before: &Carried) -> bool {
    let same: Vec<Option<&Column>> = all
        .iter()
        .map(|c| {
            let mut over = before.columns.iter().filter(|b| b.area.overlap_x(&c.area) > 0.0);
            over.next().filter(|_| over.next().is_none())
        })
        .collect();
    if !same.iter().all(Option::is_some) {
        return false;
    }
    for (column, same) in all.iter_mut().zip(same.into_iter().flatten()) {
        column.holds = same.holds.clone();
        column.unit.clone_from(&same.unit);
        column.share.clone_from(&same.share);
        column.headed = same.headed;
        column.sure = same.sure;
    }
    before.method_column
}
