//! A page of a document made visible for a person: drawn, or its cells and words. Runs in the reading process, under its
//! limits; a page that ends the process is one page not shown.

use super::work::sha256_hex;
use crate::document::{self, Cell, Content, Format, Limits, Picture, Word, pdf, sniff};
use serde::{Deserialize, Serialize};
use std::io::Cursor;

/// Rows shown above and below the cell asked for.
const ROWS_AROUND: u32 = 8;

/// Rows shown from the top of the sheet: the headings.
const ROWS_ON_TOP: u32 = 3;

/// Cells and words sent at most.
const MOST: usize = 20_000;

/// Longer side of a scan that is shown, pixels.
const SIDE: u32 = 2_200;

/// What is to be seen.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Look {
    /// SHA-256 of the document; it may lie inside the bytes given.
    pub sha256: String,
    /// Page or sheet, from 1.
    pub page: u32,
    /// Row and column of the cell whose surroundings are wanted, from 1.
    pub cell: Option<(u32, u32)>,
}

/// What there is to see.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Seen {
    /// A drawn page.
    Picture {
        /// PNG.
        png: Vec<u8>,
        /// Width of the page in points.
        width: f32,
        /// Height of the page in points.
        height: f32,
    },
    /// Part of a sheet.
    Cells {
        /// Name of the sheet.
        name: Option<String>,
        /// Cells, row by row.
        cells: Vec<Cell>,
    },
    /// Words with their boxes.
    Words {
        /// In no promised order.
        words: Vec<Word>,
        /// Width of the page in points.
        width: f32,
        /// Height of the page in points.
        height: f32,
    },
    /// Nothing can be shown.
    Nothing,
}

/// Makes it visible.
pub fn look(bytes: &[u8], limits: &Limits, look: &Look) -> Seen {
    find(bytes, limits, &look.sha256, 0).and_then(|found| show(&found, limits, look)).unwrap_or(Seen::Nothing)
}

/// The document with this hash: these bytes, or what lies inside them.
fn find(bytes: &[u8], limits: &Limits, sha256: &str, depth: usize) -> Option<Vec<u8>> {
    if sha256_hex(bytes) == sha256 {
        return Some(bytes.to_vec());
    }
    let holds_others = matches!(sniff::sniff(bytes, limits), Ok(Format::Mail | Format::Archive));
    if depth > limits.nesting || !holds_others {
        return None;
    }
    let members = document::open(bytes, limits).ok()?.members;
    members.iter().find_map(|member| find(&member.bytes, limits, sha256, depth + 1))
}

fn show(bytes: &[u8], limits: &Limits, look: &Look) -> Option<Seen> {
    if matches!(sniff::sniff(bytes, limits).ok()?, Format::Pdf | Format::Scan) {
        let drawn = pdf::picture::picture(bytes, limits, look.page).ok()?;
        return Some(Seen::Picture { png: drawn.png, width: drawn.width, height: drawn.height });
    }
    let pages = document::open(bytes, limits).ok()?.pages;
    let page = pages.into_iter().find(|page| page.number == look.page)?;
    Some(match page.content {
        Content::Picture(picture) => {
            Seen::Picture { png: png(picture)?, width: page.width, height: page.height }
        }
        Content::Cells(mut cells) => {
            if let Some((row, _)) = look.cell {
                let near = row.saturating_sub(ROWS_AROUND)..=row.saturating_add(ROWS_AROUND);
                cells.retain(|c| c.row <= ROWS_ON_TOP || near.contains(&c.row));
            }
            cells.truncate(MOST);
            Seen::Cells { name: page.name, cells }
        }
        Content::Words(mut words) => {
            words.truncate(MOST);
            Seen::Words { words, width: page.width, height: page.height }
        }
    })
}

fn png(picture: Picture) -> Option<Vec<u8>> {
    let grey = image::GrayImage::from_raw(picture.width, picture.height, picture.grey)?;
    let mut shown = image::DynamicImage::ImageLuma8(grey);
    if picture.width.max(picture.height) > SIDE {
        shown = shown.thumbnail(SIDE, SIDE);
    }
    let mut bytes = Cursor::new(Vec::new());
    shown.write_to(&mut bytes, image::ImageFormat::Png).ok()?;
    Some(bytes.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cells_around_the_one_asked_for_come_with_the_headings() {
        let table: String = (0..100).map(|row| format!("{row},6.{}\n", row % 10)).collect();
        let sha256 = sha256_hex(table.as_bytes());
        let at = |sha256: String| Look { sha256, page: 1, cell: Some((50, 2)) };
        let Seen::Cells { cells, .. } = look(table.as_bytes(), &Limits::default(), &at(sha256)) else {
            panic!("no cells")
        };
        assert!(cells.iter().any(|c| c.row == 1) && cells.iter().any(|c| c.row == 50));
        assert!(!cells.iter().any(|c| c.row == 80));
        assert_eq!(look(table.as_bytes(), &Limits::default(), &at("0".repeat(64))), Seen::Nothing);
    }
}
