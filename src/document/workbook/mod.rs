//! Spreadsheets: every visible sheet as cells with the text a person sees. XLSX and ODS are read as bounded
//! streams of XML, because the digits shown, hidden rows and merged headings stand only there; XLS by calamine.

mod decimal;

mod grid;

mod number;

mod ods;

mod sheet;

mod strings;

mod styles;

mod xls;

mod xlsx;

pub(super) use strings::raised;

use super::packed::{self, Packed};
use super::{Document, Format, Limits, Refusal, wording};

/// Lays the document out: a page a visible sheet. Hidden sheets, rows and columns are left out and noted;
/// formulas give the value stored with them and are never run.
///
/// # Errors
/// A [`Refusal`] where the file is locked, damaged, no spreadsheet, or passes a limit.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    if !bytes.starts_with(b"PK") {
        return xls::open(bytes, limits);
    }
    let mut packed = Packed::open(bytes, Format::Xlsx, limits)?;
    if packed.holds("content.xml") { ods::open(&mut packed, limits) } else { xlsx::open(&mut packed, limits) }
}

/// The text of an XML part.
fn part(packed: &mut Packed<'_>, name: &str) -> Result<Option<String>, Refusal> {
    let Some(bytes) = packed.part(name)? else { return Ok(None) };
    super::decode::text(&bytes)
        .map(Some)
        .ok_or_else(|| wording::damaged(Format::Xlsx, "A part of the spreadsheet is no readable text."))
}

fn damaged() -> Refusal {
    wording::damaged(Format::Xlsx, "The spreadsheet is damaged or incomplete.")
}

fn locked() -> Refusal {
    packed::locked(Format::Xlsx)
}
