//! What holds of every document laid out and of every report read, whatever the bytes were.

use jiff::civil::Date;
use loamline::document::{Cell, Content, Document, Limits, Page, Refusal};
use loamline::soil::{Analyte, Reading, Report, Sample, Unit};

/// Bounds small enough that passing one shows.
pub fn limits() -> Limits {
    Limits {
        file_bytes: 1 << 20,
        stream_bytes: 1 << 20,
        unpacked_bytes: 4 << 20,
        members: 20,
        mail_parts: 20,
        pages: 8,
        scanned_pages: 2,
        pixels: 500_000,
        rows: 5_000,
        columns: 256,
        cells: 20_000,
        cell_bytes: 4 << 10,
        ..Limits::default()
    }
}

/// A refusal is two sentences.
pub fn refusal(refusal: &Refusal) {
    for sentence in [&refusal.what, &refusal.remedy] {
        assert!(!sentence.is_empty() && sentence.ends_with(['.', '?', ')']), "{refusal:?}");
        assert!(sentence.len() <= 4_000, "{refusal:?}");
    }
}

/// A document keeps the bounds it was opened with.
pub fn document(document: &Document, limits: &Limits) {
    assert!(document.pages.len() <= limits.pages.max(256), "{} pages", document.pages.len());
    assert!(document.members.len() <= limits.members.max(limits.mail_parts));
    let inside: u64 = document.members.iter().map(|m| m.bytes.len() as u64).sum();
    assert!(inside <= limits.unpacked_bytes, "{inside} bytes inside");
    let mut cells = 0;
    for page in &document.pages {
        cells += self::page(page, limits);
    }
    assert!(cells <= limits.cells, "{cells} cells");
}

fn page(page: &Page, limits: &Limits) -> usize {
    assert!(page.number >= 1 && page.width.is_finite() && page.height.is_finite(), "page {}", page.number);
    match &page.content {
        Content::Cells(cells) => {
            cells.iter().for_each(|c| cell(c, limits));
            return cells.len();
        }
        Content::Words(words) => {
            for word in words {
                let a = word.area;
                assert!([a.x0, a.y0, a.x1, a.y1, word.size].into_iter().all(f32::is_finite), "{word:?}");
                assert!(!word.text.trim().is_empty(), "{word:?}");
                assert!(word.text.len() <= limits.cell_bytes.max(1 << 16), "{} bytes", word.text.len());
            }
        }
        Content::Picture(picture) => {
            let pixels = u64::from(picture.width) * u64::from(picture.height);
            assert_eq!(pixels, picture.grey.len() as u64);
            assert!(pixels <= limits.pixels, "{pixels} pixels");
        }
    }
    0
}

fn cell(cell: &Cell, limits: &Limits) {
    assert!((1..=limits.rows).contains(&cell.row), "{cell:?}");
    assert!((1..=limits.columns).contains(&cell.column), "{cell:?}");
    assert!(cell.columns >= 1 && cell.rows >= 1 && !cell.text.is_empty(), "{cell:?}");
    // One byte of an older code page becomes up to three of UTF-8.
    assert!(cell.text.len() <= 3 * limits.cell_bytes, "{} bytes", cell.text.len());
}

/// A report is made of real days, finite numbers, and accepts nothing that cannot be.
pub fn report(report: &Report) {
    for day in [report.received_on, report.reported_on].into_iter().flatten() {
        sound(day);
    }
    for sample in &report.samples {
        sample.sampled_on.iter().for_each(|day| sound(*day));
        assert!(sample.year.is_none_or(|y| (1950..2100).contains(&y)), "{:?}", sample.year);
        if let Some(depth) = sample.depth {
            assert!(depth.top_cm.is_finite() && depth.bottom_cm.is_finite(), "{depth:?}");
            assert!(depth.top_cm >= 0.0 && depth.bottom_cm >= depth.top_cm, "{depth:?}");
        }
        for reading in &sample.readings {
            measured(report, sample, reading);
        }
    }
}

fn sound(day: Date) {
    assert!((1950..2100).contains(&day.year()), "{day}");
}

fn measured(report: &Report, sample: &Sample, reading: &Reading) {
    let quantity = reading.quantity;
    assert!(quantity.value.is_finite(), "{reading:?}");
    assert_eq!(quantity.unit, reading.analyte.unit(), "{reading:?}");
    assert!(!reading.printed.value.is_empty(), "a number that nobody printed: {reading:?}");
    if report.doubts.is_empty() && sample.doubts.is_empty() && reading.doubts.is_empty() {
        assert!((0.0..=most(reading.analyte)).contains(&quantity.value), "accepted: {reading:?}");
    }
}

/// What cannot be passed: a part is no more than its whole, and pH has a scale. By definition of the units; the ends of
/// pH, salts, charge and density are common practice, no source.
fn most(analyte: Analyte) -> f64 {
    match (analyte, analyte.unit()) {
        (Analyte::Ph | Analyte::BufferPh, _) => 14.0,
        (_, Unit::Percent) => 105.0,
        (_, Unit::MgPerKg) => 1_000_000.0,
        (_, Unit::DeciSiemensPerMetre | Unit::CentimolePerKg) => 1_000.0,
        (_, Unit::GramPerCm3) => 22.6,
        (_, Unit::One) => 1_000.0,
    }
}
