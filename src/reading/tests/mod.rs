//! Whole pages, set as on a typewriter: what becomes of them. Names and numbers are invented.

mod about_results;
mod abroad;
mod abroad_sheets;

mod asides;
mod asked;
mod bags;
mod beside;
mod blank_rows;
mod boxes;
mod capitals;
mod cards;
mod close;
mod codes;
mod columns;
mod ditto;
mod edges;
mod exports;
mod forms;
mod found_rows;
mod goes_on;
mod groups;
mod headings;
mod heads;
mod layers;
mod left_out;
mod letters;
mod marked;
mod method_lines;
mod methods;
mod names;
mod none_of_these;
mod north;
mod opened;
mod other_rows;
mod over_columns;
mod over_numbers;
mod pages;
mod procedures;
mod rates;
mod reissued;
mod seasons;
mod second_unit;
mod set_as_one;
mod sheets;
mod side_by_side;
mod stated;
mod titled;
mod told_apart;
mod told_heads;
mod values;
mod words_abroad;
mod workbooks;

use super::layout::tests::typed;
use super::read;
use crate::document::{Cell, Content, Document, Format, Page};
use crate::soil::{Reading, Report, Sample};

fn document(pages: &[&[&str]]) -> Document {
    let pages: Vec<Page> =
        pages.iter().zip(1..).map(|(lines, number)| Page { number, ..typed(lines) }).collect();
    Document { format: Format::Pdf, pages, members: Vec::new(), notes: Vec::new() }
}

/// Sheets of cells, split at `|`.
fn sheets(all: &[(&str, &[&str])]) -> Document {
    let cells = |lines: &[&str]| {
        let row = |(row, line): (u32, &&str)| {
            let cell = move |(column, text): (u32, &str)| Cell {
                row,
                column,
                columns: 1,
                rows: 1,
                numeric: false,
                text: text.trim().to_owned(),
            };
            (1..).zip(line.split('|')).map(cell).filter(|c| !c.text.is_empty()).collect::<Vec<_>>()
        };
        Content::Cells((1..).zip(lines).flat_map(row).collect())
    };
    let page = |(number, (name, lines)): (u32, &(&str, &[&str]))| Page {
        number,
        width: 0.0,
        height: 0.0,
        name: (!name.is_empty()).then(|| (*name).to_owned()),
        content: cells(lines),
    };
    let pages = (1..).zip(all).map(page).collect();
    Document { format: Format::Xlsx, pages, members: Vec::new(), notes: Vec::new() }
}

fn reports(pages: &[&[&str]]) -> Vec<Report> {
    read(&document(pages)).unwrap()
}

fn sample<'a>(reports: &'a [Report], label: &str) -> &'a Sample {
    let all = || reports.iter().flat_map(|r| &r.samples);
    all()
        .find(|s| s.label == label)
        .unwrap_or_else(|| panic!("{:?}", all().map(|s| &s.label).collect::<Vec<_>>()))
}

fn reading<'a>(sample: &'a Sample, id: &str) -> &'a Reading {
    sample.readings.iter().find(|r| r.analyte.id() == id).unwrap()
}

/// Value, and whether nothing speaks against it.
fn value(sample: &Sample, id: &str) -> (f64, bool) {
    let r = reading(sample, id);
    (r.quantity.value, r.doubts.is_empty())
}
