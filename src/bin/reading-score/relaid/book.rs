//! Papers as a workbook of one sheet, written by hand.

use super::flat::grid;
use super::paper::{Block, Paper};
use std::io::{Cursor, Write};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>"#;
const RELS: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const BOOK: &str = r#"<?xml version="1.0" encoding="UTF-8"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Results" sheetId="1" r:id="rId1"/></sheets></workbook>"#;
const BOOK_RELS: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;

fn column(mut i: usize) -> String {
    let mut out = String::new();
    loop {
        out.insert(0, char::from(b'A' + u8::try_from(i % 26).unwrap_or(0)));
        if i < 26 {
            return out;
        }
        i = i / 26 - 1;
    }
}

/// The workbook's bytes. Numbers are numbers; heading cells that span are merged.
pub fn workbook(paper: &Paper) -> Vec<u8> {
    let mut sheet = String::new();
    let mut merges = String::new();
    for (r, row) in grid(paper).iter().enumerate() {
        sheet.push_str(&format!("<row r=\"{}\">", r + 1));
        for (c, text) in row.iter().enumerate().filter(|(_, t)| !t.is_empty()) {
            let at = format!("{}{}", column(c), r + 1);
            let number = text.parse::<f64>().is_ok()
                && !text.starts_with(['+', '0']) | text.starts_with("0.") | (text == "0");
            if number && c > 0 {
                sheet.push_str(&format!("<c r=\"{at}\"><v>{text}</v></c>"));
            } else {
                let text = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
                sheet.push_str(&format!(
                    "<c r=\"{at}\" t=\"inlineStr\"><is><t xml:space=\"preserve\">{text}</t></is></c>"
                ));
            }
        }
        sheet.push_str("</row>");
    }
    let mut at = 0;
    let mut count = 0;
    for block in &paper.blocks {
        if let Block::Table(table) = block {
            for (i, row) in table.head.iter().enumerate() {
                let mut c = 0;
                for head in row {
                    if head.span > 1 && !head.text.is_empty() {
                        merges.push_str(&format!(
                            "<mergeCell ref=\"{}{}:{}{}\"/>",
                            column(c),
                            at + i + 1,
                            column(c + head.span - 1),
                            at + i + 1
                        ));
                        count += 1;
                    }
                    c += head.span;
                }
            }
        }
        at += match block {
            Block::Lines(l) => l.len(),
            Block::Fields(f) => f.len(),
            Block::Table(t) => t.head.len() + t.rows.len(),
            Block::Beside(a, b) => (a.head.len() + a.rows.len()).max(b.head.len() + b.rows.len()),
            Block::Break => 0,
        } + 1;
    }
    let merges = if count > 0 {
        format!("<mergeCells count=\"{count}\">{merges}</mergeCells>")
    } else {
        String::new()
    };
    let sheet = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><worksheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><sheetData>{sheet}</sheetData>{merges}</worksheet>"
    );
    packed(&[
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", RELS),
        ("xl/workbook.xml", BOOK),
        ("xl/_rels/workbook.xml.rels", BOOK_RELS),
        ("xl/worksheets/sheet1.xml", &sheet),
    ])
    .unwrap_or_default()
}

fn packed(parts: &[(&str, &str)]) -> zip::result::ZipResult<Vec<u8>> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(*name, SimpleFileOptions::default())?;
        zip.write_all(text.as_bytes())?;
    }
    Ok(zip.finish()?.into_inner())
}
