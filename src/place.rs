//! Where on the original a value stands: page and box, or sheet and cell.

use serde::{Deserialize, Serialize};

/// A box in points (1/72 inch), origin at the top left of the page as a person sees it.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Rect {
    /// Left edge.
    pub x0: f32,
    /// Top edge.
    pub y0: f32,
    /// Right edge.
    pub x1: f32,
    /// Bottom edge.
    pub y1: f32,
}

impl Rect {
    /// A box from its edges, left, top, right, bottom.
    pub fn new(x0: f32, y0: f32, x1: f32, y1: f32) -> Self {
        Self { x0, y0, x1, y1 }
    }

    /// Width in points.
    pub fn width(&self) -> f32 {
        self.x1 - self.x0
    }

    /// Height in points.
    pub fn height(&self) -> f32 {
        self.y1 - self.y0
    }

    /// Horizontal middle.
    pub fn mid_x(&self) -> f32 {
        (self.x0 + self.x1) / 2.0
    }

    /// Vertical middle.
    pub fn mid_y(&self) -> f32 {
        (self.y0 + self.y1) / 2.0
    }

    /// The smallest box that holds both.
    pub fn union(&self, other: &Self) -> Self {
        Self {
            x0: self.x0.min(other.x0),
            y0: self.y0.min(other.y0),
            x1: self.x1.max(other.x1),
            y1: self.y1.max(other.y1),
        }
    }

    /// Length of the shared horizontal stretch, 0 when the boxes lie beside each other.
    pub fn overlap_x(&self, other: &Self) -> f32 {
        (self.x1.min(other.x1) - self.x0.max(other.x0)).max(0.0)
    }

    /// Length of the shared vertical stretch, 0 when the boxes lie above each other.
    pub fn overlap_y(&self, other: &Self) -> f32 {
        (self.y1.min(other.y1) - self.y0.max(other.y0)).max(0.0)
    }
}

/// Where a printed text stands on its original.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Place {
    /// On a page (counted from 1), in a box.
    Page {
        /// Page number from 1.
        page: u32,
        /// Box in points.
        area: Rect,
    },
    /// In a cell of a table file; sheet, row and column count from 1.
    Cell {
        /// Sheet number from 1.
        sheet: u32,
        /// Row from 1.
        row: u32,
        /// Column from 1.
        column: u32,
    },
}

impl Place {
    /// The page or sheet, from 1.
    pub fn page(&self) -> u32 {
        match self {
            Self::Page { page, .. } => *page,
            Self::Cell { sheet, .. } => *sheet,
        }
    }

    /// How the place is named to a person: `page 2` or `sheet 1, cell B7`.
    pub fn spoken(&self) -> String {
        match self {
            Self::Page { page, .. } => format!("page {page}"),
            Self::Cell { sheet, .. } => {
                format!("sheet {sheet}, cell {}", self.cell_address().unwrap_or_default())
            }
        }
    }

    /// The address of a cell as spreadsheets write it, `B7`; none for a page.
    pub fn cell_address(&self) -> Option<String> {
        let Self::Cell { row, column, .. } = self else { return None };
        let mut letters = Vec::new();
        let mut rest = *column;
        while rest > 0 {
            let digit = u8::try_from((rest - 1) % 26).unwrap_or(0);
            letters.push(char::from(b'A' + digit));
            rest = (rest - 1) / 26;
        }
        letters.reverse();
        Some(format!("{}{row}", letters.into_iter().collect::<String>()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cell_addresses_follow_the_spreadsheet_alphabet() {
        let at = |column| Place::Cell { sheet: 1, row: 7, column }.cell_address().unwrap();
        assert_eq!(at(2), "B7");
        assert_eq!(at(26), "Z7");
        assert_eq!(at(27), "AA7");
        assert_eq!(at(703), "AAA7");
    }
}
