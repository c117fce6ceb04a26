//! Sheets and exports as programs of laboratories write them: a result a row, methods and layers in columns of their own.

use super::super::read;
use super::{reading, sample, sheets, value};
use crate::soil::{Depth, Method, Report};

fn sheet(lines: &[&str]) -> Vec<Report> {
    read(&sheets(&[("", lines)])).unwrap()
}

/// A long table of one sample; each row is `name | method | unit | result`.
fn long(method: &str, rows: &[&str]) -> Vec<Report> {
    let head = format!("Client|Sample|Lab No|Date sampled|Analysis|{method}|Units|Result");
    let rows: Vec<String> =
        rows.iter().map(|row| format!("Hob Mill Trust|Long acre|S-31|2024-03-14|{row}")).collect();
    let lines: Vec<&str> = std::iter::once(head.as_str()).chain(rows.iter().map(String::as_str)).collect();
    sheet(&lines)
}

#[test]
fn days_of_an_export_are_eight_figures() {
    let found = sheet(&[
        "CLIENT|RECD_DT|RPT_DT|LAB_NO|SMPL_ID|PH_W|OM_PCT|P_M3|K_PPM",
        "Hob Mill Trust|20240318|20240321|20240901|T1|5.5|1.5|44|182",
        "Hob Mill Trust|20240318|20240321|20240902|T2|6.8|1.6|32|121",
    ]);
    let t1 = sample(&found, "T1");
    assert_eq!((t1.year, t1.lab_number.as_deref()), (Some(2024), Some("20240901")));
}

