//! Every decoder, and the whole way from bytes to checked reports.

use super::holds;
use loamline::check::check;
use loamline::document::{self, Content, Document, Limits, Refusal};
use loamline::reading;
use std::io::{Cursor, Read, Write};
use std::sync::LazyLock;

type Open = fn(&[u8], &Limits) -> Result<Document, Refusal>;

/// Opens, holds the document to its bounds, reads and checks it; every eighth twice, for the same outcome.
fn through(data: &[u8], open: Open) {
    let limits = holds::limits();
    let opened = open(data, &limits);
    match &opened {
        Ok(document) => {
            holds::document(document, &limits);
            read(document);
        }
        Err(refusal) => holds::refusal(refusal),
    }
    if data.len().is_multiple_of(8) {
        assert!(opened == open(data, &limits), "opened twice, two outcomes");
    }
}

fn read(document: &Document) {
    // Pictures need the recognition program, which is outside.
    if document.pages.iter().any(|p| matches!(p.content, Content::Picture(_))) {
        return;
    }
    match reading::read(document) {
        Ok(mut reports) => {
            for report in &mut reports {
                check(report);
                holds::report(report);
            }
        }
        Err(refusal) => holds::refusal(&refusal),
    }
}

/// Comma, semicolon and tab separated tables.
pub fn delimited(data: &[u8]) {
    through(data, document::delimited::open);
}

/// Plain text in columns.
pub fn monospaced(data: &[u8]) {
    through(data, document::monospaced::open);
}

/// Web pages.
pub fn html(data: &[u8]) {
    through(data, document::html::open);
}

/// Exchange XML.
pub fn exchange(data: &[u8]) {
    through(data, document::exchange::open);
}

/// Mails and mail boxes.
pub fn mail(data: &[u8]) {
    through(data, document::mail::open);
}

/// Archives.
pub fn archive(data: &[u8]) {
    through(data, document::archive::open);
}

/// Workbooks as they come: XLSX, XLS, ODS.
pub fn workbook(data: &[u8]) {
    through(data, document::workbook::open);
}

/// Pictures.
pub fn image(data: &[u8]) {
    through(data, document::image::open);
}

/// PDF as it comes.
pub fn pdf(data: &[u8]) {
    through(data, document::pdf::open);
}

/// Whatever it is.
pub fn document(data: &[u8]) {
    through(data, document::open);
}

/// A part of a workbook, without the packing that hides it from mutation: the first byte says which.
pub const PARTS: &[(&[u8], &str)] = &[
    (XLSX, "xl/worksheets/sheet1.xml"),
    (XLSX, "xl/styles.xml"),
    (XLSX, "xl/workbook.xml"),
    (XLSX, "xl/_rels/workbook.xml.rels"),
    (ODS, "content.xml"),
];
const XLSX: &[u8] = include_bytes!("../../fixtures/layouts/duskwater.xlsx");
const ODS: &[u8] = include_bytes!("../../fixtures/layouts/elmstave.ods");

/// The files inside each of [`PARTS`]' workbooks.
static INSIDE: LazyLock<Vec<Vec<(String, Vec<u8>)>>> =
    LazyLock::new(|| PARTS.iter().map(|(bytes, _)| inside(bytes)).collect());

fn inside(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("the fixture is an archive");
    let mut files = Vec::new();
    for at in 0..archive.len() {
        let mut file = archive.by_index(at).expect("the fixture is whole");
        let mut content = Vec::new();
        file.read_to_end(&mut content).expect("the fixture is whole");
        files.push((file.name().to_owned(), content));
    }
    files
}

/// A seed for [`parts`]: a part of a fixture as it is.
pub fn part(which: usize) -> Vec<u8> {
    let mut seed = vec![u8::try_from(which).expect("few parts")];
    let found = INSIDE[which].iter().find(|(name, _)| name == PARTS[which].1);
    seed.extend(&found.expect("the fixture has the part").1);
    seed
}

/// A workbook with one part exchanged.
pub fn parts(data: &[u8]) {
    let Some((which, content)) = data.split_first() else { return };
    let which = usize::from(*which) % PARTS.len();
    let stored = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    let mut packed = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, own) in &INSIDE[which] {
        if name.ends_with(".png") || name.contains("theme") {
            continue;
        }
        packed.start_file(name.as_str(), stored).expect("a name");
        packed.write_all(if name == PARTS[which].1 { content } else { own.as_slice() }).expect("memory");
    }
    workbook(packed.finish().expect("memory").get_ref());
}

/// The glyphs of a page, without the packing that hides them from mutation.
pub fn glyphs(data: &[u8]) {
    let mut file = b"%PDF-1.4\n".to_vec();
    let mut offsets = Vec::new();
    let stream = [format!("<</Length {}>>stream\n", data.len()).as_bytes(), data, b"\nendstream"].concat();
    let objects: [&[u8]; 5] = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 612 792]/Contents 4 0 R/Resources<</Font<</F1 5 0 R>>>>>>",
        &stream,
        b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica/Encoding/WinAnsiEncoding>>",
    ];
    for (number, object) in (1..).zip(objects) {
        offsets.push(file.len());
        file.extend(format!("{number} 0 obj").bytes());
        file.extend(object);
        file.extend(b"\nendobj\n");
    }
    let table = file.len();
    file.extend(b"xref\n0 6\n0000000000 65535 f \n");
    for offset in offsets {
        file.extend(format!("{offset:010} 00000 n \n").bytes());
    }
    file.extend(format!("trailer<</Size 6/Root 1 0 R>>\nstartxref\n{table}\n%%EOF\n").bytes());
    pdf(&file);
}
