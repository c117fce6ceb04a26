//! Bytes in, positioned words or cells out. Knows nothing of soil, laboratories or names of files.

mod wording;

mod decode;

mod packed;

mod markup;

pub mod sniff;

pub mod pdf;

pub mod image;

pub mod delimited;

pub mod workbook;

pub mod monospaced;

pub mod html;

pub mod docx;

pub mod odt;

pub mod exchange;

pub mod records;

pub mod mail;

pub mod archive;

use crate::place::{Place, Rect};
use crate::soil::ids::contract_ids;
use serde::{Deserialize, Serialize};

contract_ids! {
    /// What kind of file it is, judged by its bytes.
    Format {
        Pdf = "pdf", Scan = "scan", Csv = "csv", Xlsx = "xlsx", Text = "text", Mail = "mail",
        Archive = "archive", Html = "html", ExchangeXml = "exchange-xml", Image = "image",
        Unknown = "unknown",
    }
}

/// A document laid out, ready to be read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Document {
    /// What it is.
    pub format: Format,
    /// Pages, or sheets of a table file, in order.
    pub pages: Vec<Page>,
    /// Attachments of a mail, files of an archive: documents of their own, in order.
    pub members: Vec<Member>,
    /// What a person should know of the opening: hidden rows passed over, pages without text.
    pub notes: Vec<String>,
}

/// A document inside a mail or an archive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Member {
    /// Its name inside.
    pub name: String,
    /// Whether that is the name of a file. A mail has none: it is called by its subject, and found in what holds it.
    pub is_file: bool,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// A page of words or a sheet of cells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Page {
    /// From 1.
    pub number: u32,
    /// Width in points (for cells: 0).
    pub width: f32,
    /// Height in points (for cells: 0).
    pub height: f32,
    /// Name of the sheet, where it has one.
    pub name: Option<String>,
    /// What stands on it.
    pub content: Content,
}

/// What stands on a page.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Content {
    /// Words with boxes, in no promised order.
    Words(Vec<Word>),
    /// Cells with their place in the grid, row by row; empty cells are left out.
    Cells(Vec<Cell>),
    /// A picture of a page without a text layer: text recognition turns it into words before it can be read.
    Picture(Picture),
}

/// A page as grey pixels, row by row, 0 black to 255 white.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// One byte a pixel.
    pub grey: Vec<u8>,
    /// Where the picture lies on the page, in points.
    pub area: Rect,
}

/// A printed word: letters without a space between them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Word {
    /// Its letters.
    pub text: String,
    /// Its box in points on the upright page, top left origin.
    pub area: Rect,
    /// Size of the type in points (the em).
    pub size: f32,
    /// Which way it reads.
    pub turn: Turn,
    /// How sure the recognition is, 0 to 100; none for a text layer.
    pub confidence: Option<f32>,
}

/// Which way a word reads on the upright page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Turn {
    /// Left to right.
    #[default]
    None,
    /// Bottom to top.
    Up,
    /// Top to bottom.
    Down,
    /// Upside down.
    Over,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cell {
    /// Row from 1.
    pub row: u32,
    /// Column from 1.
    pub column: u32,
    /// Columns covered (merged cells), at least 1.
    pub columns: u32,
    /// Rows covered, at least 1.
    pub rows: u32,
    /// Text as a person sees it (numbers with their shown decimals, dates as ISO).
    pub text: String,
    /// True where the file itself says number (not text that looks like one).
    pub numeric: bool,
}

impl Word {
    /// Where it stands.
    pub fn place(&self, page: u32) -> Place {
        Place::Page { page, area: self.area }
    }
}

/// Bounds that no document may pass; see `reliability` in DEVELOPERS.md for the defaults.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Bytes of a file.
    pub file_bytes: u64,
    /// Bytes one packed stream may unpack to.
    pub stream_bytes: u64,
    /// Bytes a document may unpack to in all.
    pub unpacked_bytes: u64,
    /// Members of an archive.
    pub members: usize,
    /// Parts of a mail.
    pub mail_parts: usize,
    /// Archives and mails inside each other.
    pub nesting: usize,
    /// Pages read.
    pub pages: usize,
    /// Pages recognised by OCR.
    pub scanned_pages: usize,
    /// Pixels of a picture.
    pub pixels: u64,
    /// Rows of a table.
    pub rows: u32,
    /// Columns of a table.
    pub columns: u32,
    /// Cells of a table.
    pub cells: usize,
    /// Bytes of a cell.
    pub cell_bytes: usize,
    /// Seconds for one page of text recognition.
    pub ocr_page_seconds: u64,
    /// Seconds for text recognition of one document.
    pub ocr_seconds: u64,
    /// Seconds for one document.
    pub seconds: u64,
    /// Address space of the reading process, MiB.
    pub memory_mib: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            file_bytes: 64 << 20,
            stream_bytes: 64 << 20,
            unpacked_bytes: 256 << 20,
            members: 2_000,
            mail_parts: 100,
            nesting: 2,
            pages: 500,
            scanned_pages: 60,
            pixels: 50_000_000,
            rows: 200_000,
            columns: 1_024,
            cells: 2_000_000,
            cell_bytes: 64 << 10,
            ocr_page_seconds: 120,
            ocr_seconds: 600,
            seconds: 20,
            memory_mib: 1_024,
        }
    }
}

contract_ids! {
    /// The kinds of refusal; the fixed name goes to logs and tests, the sentence to people.
    Cause {
        Empty = "empty", UnknownFormat = "unknown-format", Damaged = "damaged", Locked = "locked",
        TooLarge = "too-large", TooDeep = "too-deep", Limit = "limit", NoText = "no-text",
        NotAReport = "not-a-report", WrongMatter = "wrong-matter", Stopped = "stopped",
        NeedsRecognition = "needs-recognition",
    }
}

/// Why a document cannot be read, in words for the person who dropped it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[error("{what} {remedy}")]
pub struct Refusal {
    /// Fixed name.
    pub cause: Cause,
    /// One plain sentence on what is wrong.
    pub what: String,
    /// One plain sentence on what to do.
    pub remedy: String,
    /// What the bytes were taken for.
    pub format: Format,
}

impl Refusal {
    /// A refusal; the sentences end with a full stop.
    pub fn new(cause: Cause, format: Format, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { cause, what: what.into(), remedy: remedy.into(), format }
    }
}

/// The formats that are read, as every refusal of an unknown format lists them.
pub const FORMATS_READ: &str = "PDF, CSV, TSV, XLSX, XLS, ODS, DOCX, plain text, e-mail (.eml, mbox), ZIP, HTML, exchange XML, and scans as PDF, PNG, JPEG or TIFF";

/// Lays a document out. Pure: the bytes alone decide, nothing named inside is opened.
///
/// # Errors
/// A [`Refusal`] with what is wrong and what to do, for anything that is no readable document or passes a limit.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    match sniff::sniff(bytes, limits)? {
        Format::Pdf | Format::Scan => pdf::open(bytes, limits),
        Format::Image => image::open(bytes, limits),
        Format::Csv => delimited::open(bytes, limits),
        Format::Xlsx => workbook::open(bytes, limits),
        Format::Text => monospaced::open(bytes, limits),
        // A letter of a word processor is laid out as a page of the web is.
        Format::Html if odt::is_letter(bytes, limits) => odt::open(bytes, limits),
        Format::Html if docx::is_packed(bytes) => docx::open(bytes, limits),
        Format::Html => html::open(bytes, limits),
        Format::ExchangeXml => {
            let text = decode::text(bytes).ok_or_else(|| wording::not_text(Format::ExchangeXml))?;
            match sniff::root(&text).as_deref() {
                Some("ModusResult") => exchange::open(bytes, limits),
                _ => records::open(&text, limits),
            }
        }
        Format::Mail => mail::open(bytes, limits),
        Format::Archive => archive::open(bytes, limits),
        Format::Unknown => Err(Refusal::new(
            Cause::UnknownFormat,
            Format::Unknown,
            "This is none of the kinds of file that hold a report.",
            format!("These are read: {FORMATS_READ}."),
        )),
    }
}
