//! What an XLS workbook becomes, and what a hostile one cannot do. The workbooks are made here, record by record.

use super::*;
use crate::document::Content;

fn record(kind: u16, data: &[u8]) -> Vec<u8> {
    let mut out = kind.to_le_bytes().to_vec();
    out.extend(u16::try_from(data.len()).unwrap().to_le_bytes());
    out.extend(data);
    out
}

fn words(all: &[u16]) -> Vec<u8> {
    all.iter().flat_map(|w| w.to_le_bytes()).collect()
}

fn bof(kind: u16) -> Vec<u8> {
    record(0x0809, &words(&[0x0600, kind, 0, 0, 0, 0, 0, 0]))
}

fn number(row: u16, column: u16, style: u16, value: f64) -> Vec<u8> {
    let mut data = words(&[row, column, style]);
    data.extend(value.to_le_bytes());
    record(0x0203, &data)
}

fn label(row: u16, column: u16, text: &str) -> Vec<u8> {
    let mut data = words(&[row, column, 0, u16::try_from(text.len()).unwrap()]);
    data.push(0);
    data.extend(text.as_bytes());
    record(0x0204, &data)
}

fn row(row: u16, hidden: bool) -> Vec<u8> {
    let mut data = words(&[row, 0, 4, 255, 0, 0]);
    data.extend((if hidden { 0x120u32 } else { 0x100 }).to_le_bytes());
    record(0x0208, &data)
}

fn dimensions(rows: u32, columns: u16) -> Vec<u8> {
    let mut data = 0u32.to_le_bytes().to_vec();
    data.extend(rows.to_le_bytes());
    data.extend(words(&[0, columns, 0]));
    record(0x0200, &data)
}

/// The stream of a workbook with one sheet of these records; styles 0 to 2 are general, 0.00, a date.
fn stream(records: &[Vec<u8>]) -> Vec<u8> {
    let mut globals = bof(5);
    for format in [0u16, 2, 14] {
        let mut data = words(&[0, format]);
        data.resize(20, 0);
        globals.extend(record(0x00e0, &data));
    }
    let mut bound = u32::try_from(globals.len() + 4 + 8 + 7 + 4).unwrap().to_le_bytes().to_vec();
    bound.extend([0, 0, 7, 0]);
    bound.extend(b"Results");
    globals.extend(record(0x0085, &bound));
    globals.extend(record(0x000a, &[]));
    globals.extend(bof(0x10));
    records.iter().for_each(|r| globals.extend(r));
    globals.extend(record(0x000a, &[]));
    globals.resize(globals.len().max(4096).next_multiple_of(512), 0);
    globals
}

/// A compound file with that stream: a table of chains, a directory, then the stream.
fn compound(stream: &[u8]) -> Vec<u8> {
    let mut head = vec![0u8; 512];
    head[..8].copy_from_slice(&[0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1]);
    head[24..34].copy_from_slice(&words(&[0x3e, 3, 0xfffe, 9, 6]));
    head[44..48].copy_from_slice(&1u32.to_le_bytes());
    head[48..52].copy_from_slice(&1u32.to_le_bytes());
    head[56..60].copy_from_slice(&4096u32.to_le_bytes());
    head[60..64].copy_from_slice(&0xffff_fffeu32.to_le_bytes());
    head[68..72].copy_from_slice(&0xffff_fffeu32.to_le_bytes());
    head[76..512].fill(0xff);
    head[76..80].copy_from_slice(&0u32.to_le_bytes());
    let sectors = u32::try_from(stream.len() / 512).unwrap();
    let mut table = vec![0xffff_fffdu32, 0xffff_fffe];
    table.extend((0..sectors).map(|n| if n + 1 == sectors { 0xffff_fffe } else { n + 3 }));
    table.resize(128, 0xffff_ffff);
    head.extend(table.iter().flat_map(|w| w.to_le_bytes()));
    for (name, kind, start, length) in
        [("Root Entry", 5u8, 0xffff_fffeu32, 0u32), ("Workbook", 2, 2, u32::try_from(stream.len()).unwrap())]
    {
        let mut entry = name.encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>();
        let length_of_name = u16::try_from(entry.len() + 2).unwrap();
        entry.resize(128, 0);
        entry[64..66].copy_from_slice(&length_of_name.to_le_bytes());
        entry[66] = kind;
        entry[68..80].fill(0xff);
        entry[116..120].copy_from_slice(&start.to_le_bytes());
        entry[120..124].copy_from_slice(&length.to_le_bytes());
        head.extend(entry);
    }
    head.resize(512 * 3, 0);
    head.extend(stream);
    head
}

fn read(records: &[Vec<u8>]) -> Result<Document, Refusal> {
    open(&compound(&stream(records)), &Limits::default())
}

#[test]
fn digits_dates_words_and_small_numbers_are_read_as_seen() {
    // 640 as a small number stands for 6.40 when its last bits say integer and hundredth.
    let mut several = words(&[1, 0]);
    for value in [640u32, 22] {
        several.extend(words(&[0]));
        several.extend((value << 2 | if value == 640 { 3 } else { 2 }).to_le_bytes());
    }
    several.extend(words(&[1]));
    let document = read(&[
        dimensions(2, 4),
        label(0, 0, "Plot A"),
        number(0, 1, 1, 6.8),
        number(0, 2, 0, 73.1),
        number(0, 3, 2, 43732.0),
        record(0x00bd, &several),
    ])
    .unwrap();
    let Content::Cells(cells) = &document.pages[0].content else { panic!() };
    let found: Vec<(&str, bool)> = cells.iter().map(|c| (c.text.as_str(), c.numeric)).collect();
    let expected = [
        ("Plot A", false),
        ("6.80", true),
        ("73.1", true),
        ("2019-09-24", false),
        ("6.4", true),
        ("22", true),
    ];
    assert_eq!(found, expected);
    assert_eq!(document.pages[0].name.as_deref(), Some("Results"));
}

#[test]
fn hidden_rows_and_columns_are_left_out_and_told() {
    let document = read(&[
        record(0x007d, &words(&[1, 1, 2000, 0, 1, 0])),
        row(0, false),
        row(1, true),
        number(0, 0, 0, 1.0),
        number(0, 1, 0, 2.0),
        number(1, 0, 0, 3.0),
    ])
    .unwrap();
    let Content::Cells(cells) = &document.pages[0].content else { panic!() };
    assert_eq!(cells.len(), 1);
    assert_eq!(document.notes.len(), 2);
}

#[test]
fn a_claimed_or_real_reach_beyond_the_limit_is_refused_before_the_table_is_built() {
    assert_eq!(read(&[dimensions(u32::MAX, 256)]).unwrap_err().cause, Cause::Damaged);
    assert_eq!(read(&[dimensions(65_536, 256)]).unwrap_err().cause, Cause::Limit);
    let far = read(&[number(0, 0, 0, 1.0), number(65_535, 255, 0, 1.0)]).unwrap_err();
    assert!(far.what.contains("2 000 000 cells"), "{}", far.what);
}

#[test]
fn a_locked_workbook_is_told() {
    let mut locked = bof(5);
    locked.extend(record(0x002f, &words(&[1, 0])));
    locked.resize(4096, 0);
    assert_eq!(open(&compound(&locked), &Limits::default()).unwrap_err().cause, Cause::Locked);
}

#[test]
fn a_cut_file_is_damaged() {
    let bytes = compound(&stream(&[number(0, 0, 0, 1.0)]));
    assert_eq!(open(&bytes[..2_000], &Limits::default()).unwrap_err().cause, Cause::Damaged);
}

#[test]
fn records_that_contradict_themselves_are_damage_and_never_a_crash() {
    let mut several = words(&[0, 5, 0]);
    several.extend(0u32.to_le_bytes());
    several.extend(words(&[1]));
    assert_eq!(read(&[record(0x00bd, &several)]).unwrap_err().cause, Cause::Damaged);
}
