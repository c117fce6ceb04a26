//! The tables are the contract's, and every format gives back what went in.

use super::*;
use crate::flag::{Flag, FlagKind, Severity};
use crate::place::Rect;
use crate::soil::{Analyte, Method, ReadingRow, Status};
use jiff::civil::date;
use proptest::prelude::*;

pub(super) fn row(value: f64, label: &str, place: Place) -> ReadingRow {
    ReadingRow {
        id: 1,
        site: "lawn".into(),
        zone: "whole".into(),
        client: None,
        sample_label: label.into(),
        lab_sample: None,
        report: Some("H-1".into()),
        lab: None,
        sampled_on: Some(date(2021, 4, 7)),
        received_on: None,
        reported_on: None,
        season: Some(2021),
        depth_top_cm: Some(0.0),
        depth_bottom_cm: Some(15.24),
        analyte: Analyte::Phosphorus,
        method: Method::Mehlich3,
        value,
        basis: None,
        qualifier: None,
        raw_value: "31".into(),
        raw_unit: "ppm".into(),
        status: Status::Accepted,
        doubt: None,
        source_file: "a.pdf".into(),
        source_sha256: "0".repeat(64),
        place: Some(place),
    }
}

pub(super) const PAGE: Place = Place::Page { page: 2, area: Rect { x0: 10.1, y0: 20.0, x1: 30.0, y1: 32.5 } };
const CELL: Place = Place::Cell { sheet: 1, row: 7, column: 2 };

fn text(table: &Table, format: Format, exact: bool) -> String {
    String::from_utf8(table.write(format, exact).unwrap()).unwrap()
}

/// The lists of the contract, written out once more so that a change here is noticed.
#[test]
fn columns_are_the_contracts() {
    let names = |table: Table| table.columns.iter().map(|column| column.name).collect::<Vec<_>>().join(" ");
    assert_eq!(
        names(readings(&[])),
        "site zone client sample_label lab_sample report lab sampled_on received_on reported_on season depth_top_cm \
         depth_bottom_cm analyte method value unit basis qualifier raw_value raw_unit status doubt source_file \
         source_sha256 source_page source_box"
    );
    assert_eq!(
        names(documents(&[])),
        "source_file source_sha256 bytes format outcome why lab client report samples readings held_readings inside_of \
         duplicate_of supersedes superseded_by kept_at"
    );
    assert_eq!(
        names(trends(&[])),
        "site zone analyte method unit n first_season last_season last_value slope_per_year slope_low slope_high \
         confidence mk_s mk_p guide level sufficient_from crosses_in crosses_low crosses_high"
    );
    assert_eq!(names(flags(&[])), "site zone season analyte flag severity value edge unit guide reason");
}

#[test]
fn an_empty_table_still_has_its_columns() {
    assert!(text(&readings(&[]), Format::Csv, false).starts_with("site,zone,client,"));
    assert_eq!(text(&readings(&[]), Format::Json, false), "[]\n");
    assert_eq!(text(&readings(&[]), Format::Jsonl, false), "");
    let frame = read_parquet(&readings(&[]));
    assert_eq!(frame.shape(), (0, 27));
}

#[test]
fn a_csv_row_reads_as_the_contract_says() {
    let csv = text(&readings(&[row(31.25, "=1+1", PAGE), row(2e-7, "A, \"b\"", CELL)]), Format::Csv, false);
    let mut lines = csv.lines().skip(1);
    let sha = "0".repeat(64);
    assert_eq!(
        lines.next().unwrap(),
        format!(
            "lawn,whole,,'=1+1,,H-1,,2021-04-07,,,2021,0,15.24,phosphorus,mehlich-3,31.25,mg/kg,,,31,ppm,accepted,,a.pdf,{sha},2,10.1 20 30 32.5"
        )
    );
    let second = lines.next().unwrap();
    assert!(
        second.contains("\"A, \"\"b\"\"\"") && second.contains(",0.0000002,") && second.ends_with(",1,B7"),
        "{second}"
    );
}

#[test]
fn exact_text_and_json_are_left_as_they_are() {
    let table = readings(&[row(1.0, "=1+1", PAGE)]);
    assert!(text(&table, Format::Csv, true).contains(",=1+1,"));
    let json: serde_json::Value = serde_json::from_str(&text(&table, Format::Json, false)).unwrap();
    let first = json.get(0).unwrap();
    assert_eq!(first.get("sample_label").unwrap(), "=1+1");
    assert!(first.get("client").unwrap().is_null());
    assert_eq!(first.get("source_box").unwrap(), &serde_json::json!([10.1, 20.0, 30.0, 32.5]));
    let cell = text(&readings(&[row(1.0, "x", CELL)]), Format::Jsonl, false);
    let cell: serde_json::Value = serde_json::from_str(cell.trim_end()).unwrap();
    assert_eq!(cell.get("source_box").unwrap(), "B7");
}

fn read_parquet(table: &Table) -> polars::prelude::DataFrame {
    use polars_io::SerReader;
    let bytes = table.write(Format::Parquet, false).unwrap();
    polars_io::prelude::ParquetReader::new(std::io::Cursor::new(bytes)).finish().unwrap()
}

#[test]
fn parquet_keeps_types_dates_and_nothing() {
    use polars::prelude::DataType;
    let frame = read_parquet(&readings(&[row(31.25, "=1+1", PAGE)]));
    let kind = |name: &str| frame.column(name).unwrap().dtype().clone();
    assert_eq!(kind("value"), DataType::Float64);
    assert_eq!(kind("season"), DataType::Int64);
    assert_eq!(kind("sampled_on"), DataType::Date);
    assert_eq!(kind("sample_label"), DataType::String);
    let shown = |name: &str| frame.column(name).unwrap().get(0).unwrap().to_string();
    assert_eq!(shown("sampled_on"), "2021-04-07");
    assert_eq!(shown("sample_label"), "\"=1+1\"");
    assert_eq!(shown("received_on"), "null");
}

#[test]
fn the_same_rows_give_the_same_bytes() {
    let table = readings(&[row(31.25, "a", PAGE), row(1.0, "b", CELL)]);
    for format in Format::ALL {
        assert_eq!(table.write(*format, false).unwrap(), table.write(*format, false).unwrap(), "{format}");
    }
}

/// Rows with all that makes a lot's edge matter: text to quote and to neutralise, nothing, and line ends inside.
fn many() -> Vec<ReadingRow> {
    let labels = ["a", "=1+1", "A, \"b\"", "", "two\nlines", "-5", "\tx"];
    let mut rows: Vec<ReadingRow> = (0..50)
        .zip(labels.into_iter().cycle())
        .map(|(n, label)| row(f64::from(n) / 8.0, label, if n % 3 == 0 { CELL } else { PAGE }))
        .collect();
    for row in rows.iter_mut().step_by(4) {
        row.place = None;
        row.sampled_on = None;
    }
    rows
}

/// The bytes of a table handed in some rows at a time and written in lots of so many.
fn grown(rows: &[ReadingRow], some: usize, format: Format, exact: bool, lot: usize) -> Vec<u8> {
    let mut growing = Growing::begin(readings(&[]).columns, format, exact, lot).unwrap();
    let mut bytes = Vec::new();
    for some in rows.chunks(some) {
        let before = bytes.len();
        bytes.extend(growing.add(readings(some)).unwrap());
        assert!(some.len() < lot || bytes.len() > before, "a full lot is not kept");
    }
    bytes.extend(growing.end().unwrap());
    bytes
}

#[test]
fn lots_have_the_bytes_of_the_whole() {
    let all = many();
    for rows in [all.as_slice(), all.get(..1).unwrap(), &[]] {
        for (format, exact) in
            [(Format::Csv, false), (Format::Csv, true), (Format::Json, false), (Format::Jsonl, false)]
        {
            let whole = text(&readings(rows), format, exact);
            for (lot, some) in [(1, 1), (2, 5), (7, 1), (7, 3), (25, 10), (50, 7), (51, 50), (1000, 1)] {
                let lots = String::from_utf8(grown(rows, some, format, exact, lot)).unwrap();
                assert_eq!(lots, whole, "{format}, {} rows, lots of {lot}, {some} at a time", rows.len());
            }
        }
    }
    let json: Vec<serde_json::Value> =
        serde_json::from_slice(&grown(&all, 3, Format::Json, false, 7)).unwrap();
    assert_eq!(json.len(), all.len());
}

#[test]
fn lots_of_a_parquet_file_are_row_groups_and_all_rows_come_back() {
    use polars_io::SerReader;
    let rows = many();
    let bytes = grown(&rows, 3, Format::Parquet, false, 7);
    let mut reader = polars_io::prelude::ParquetReader::new(std::io::Cursor::new(bytes));
    assert_eq!(reader.get_metadata().unwrap().row_groups.len(), rows.len().div_ceil(7));
    assert!(reader.finish().unwrap().equals_missing(&read_parquet(&readings(&rows))));
}

#[test]
fn a_number_that_is_none_is_null_in_every_table() {
    let flag = Flag {
        site: "lawn".into(),
        zone: "whole".into(),
        season: 2024,
        analyte: None,
        flag: FlagKind::RetestDue,
        severity: Severity::Watch,
        value: Some(f64::NAN),
        edge: None,
        unit: None,
        guide: None,
        reason: "The last sample is of 2019.".into(),
    };
    let line = text(&flags(&[flag]), Format::Jsonl, false);
    assert!(line.contains("\"value\":null,\"edge\":null"), "{line}");
}

#[test]
fn a_file_is_written_whole_and_what_stood_there_survives_a_failure() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("out.csv");
    write_whole(&path, b"one").unwrap();
    write_whole(&path, b"two").unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), b"two");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "no temporary file is left");
    let mut broken = Whole::begin(&path).unwrap();
    broken.write(b"three").unwrap();
    drop(broken);
    assert_eq!(std::fs::read(&path).unwrap(), b"two");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "no temporary file is left");
    assert!(matches!(write_whole(&folder.path().join("none/out.csv"), b"x"), Err(Error::File { .. })));
    std::fs::create_dir(folder.path().join("taken")).unwrap();
    assert!(write_whole(&folder.path().join("taken"), b"x").is_err());
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn numbers_and_text_come_back_equal(value in prop::num::f64::NORMAL | prop::num::f64::ZERO, label in "\\PC{0,12}") {
        let table = readings(&[row(value, &label, PAGE)]);
        let csv = table.write(Format::Csv, true).unwrap();
        let mut reader = ::csv::Reader::from_reader(csv.as_slice());
        let record = reader.records().next().unwrap().unwrap();
        prop_assert_eq!(record.get(15).unwrap().parse::<f64>().unwrap().to_bits(), value.to_bits());
        prop_assert_eq!(record.get(3).unwrap(), label.as_str());
        let json: serde_json::Value = serde_json::from_slice(&table.write(Format::Jsonl, false).unwrap()).unwrap();
        prop_assert_eq!(json.get("value").unwrap().as_f64().unwrap(), value);
        prop_assert_eq!(json.get("sample_label").unwrap().as_str().unwrap(), label.as_str());
    }
}
