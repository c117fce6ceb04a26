//! XLSX: the list of sheets, what they share, and the visible ones in order.

use super::super::markup::{Markup, Node};
use super::super::packed::Packed;
use super::super::{Document, Format, Limits, Refusal, wording};
use super::grid::Budget;
use super::sheet::{self, Shared};
use super::{damaged, part, strings, styles};
use std::collections::BTreeMap;

/// Sheets that a workbook may list.
const SHEETS: usize = 1_000;

struct Listed {
    name: String,
    relation: String,
    hidden: bool,
}

/// Reads a workbook.
pub(super) fn open(packed: &mut Packed<'_>, limits: &Limits) -> Result<Document, Refusal> {
    let book = packed
        .names()
        .filter(|n| n.rsplit('/').next() == Some("workbook.xml"))
        .min_by_key(|n| n.len())
        .map(str::to_owned)
        .ok_or_else(damaged)?;
    let folder = book.strip_suffix("workbook.xml").unwrap_or_default().to_owned();
    let (sheets, epoch_1904) = sheets(&part(packed, &book)?.ok_or_else(damaged)?)?;
    let relations =
        relations(&part(packed, &format!("{folder}_rels/workbook.xml.rels"))?.ok_or_else(damaged)?, &folder)?;
    let mut shared = Shared { epoch_1904, ..Shared::default() };
    for (kind, target) in relations.values() {
        match kind.as_str() {
            "sharedStrings" => {
                if let Some(xml) = part(packed, target)? {
                    shared.strings = strings::table(&xml, limits)?;
                }
            }
            "styles" => {
                if let Some(xml) = part(packed, target)? {
                    shared.formats = styles::table(&xml)?;
                }
            }
            _ => {}
        }
    }
    let mut budget = Budget::new(limits);
    let (mut pages, mut notes, mut hidden) = (Vec::new(), Vec::new(), Vec::new());
    for (index, listed) in sheets.iter().enumerate() {
        let Some((_, target)) = relations.get(&listed.relation).filter(|(kind, _)| kind == "worksheet")
        else {
            continue;
        };
        if listed.hidden {
            hidden.push(wording::quoted(&listed.name));
            continue;
        }
        let xml = part(packed, target)?.ok_or_else(damaged)?;
        let number = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let (page, more) = sheet::read(&xml, &shared, &mut budget)?.finish(number, &listed.name, limits)?;
        pages.push(page);
        notes.extend(more);
    }
    notes.extend(hidden_note(&hidden));
    Ok(Document { format: Format::Xlsx, pages, members: Vec::new(), notes })
}

/// The sentence on hidden sheets.
pub(super) fn hidden_note(names: &[String]) -> Option<String> {
    let plural = if names.len() == 1 { " was" } else { "s were" };
    let listed = names.iter().take(10).cloned().collect::<Vec<_>>().join(", ");
    (!names.is_empty()).then(|| format!("{} hidden sheet{plural} passed over: {listed}.", names.len()))
}

fn sheets(xml: &str) -> Result<(Vec<Listed>, bool), Refusal> {
    let mut markup = Markup::new(xml, Format::Xlsx);
    let (mut sheets, mut epoch_1904) = (Vec::new(), false);
    while let Some(node) = markup.next()? {
        let Node::Open(tag) = node else { continue };
        match tag.name() {
            "workbookPr" => epoch_1904 = tag.flag("date1904"),
            "sheet" => {
                if sheets.len() >= SHEETS {
                    return Err(wording::damaged(
                        Format::Xlsx,
                        format!("The workbook has more than {} sheets.", wording::grouped(SHEETS as u64)),
                    ));
                }
                sheets.push(Listed {
                    name: tag.attribute("name").unwrap_or_default(),
                    relation: tag.attribute("id").unwrap_or_default(),
                    hidden: tag.attribute("state").is_some_and(|s| s != "visible"),
                });
            }
            _ => {}
        }
    }
    Ok((sheets, epoch_1904))
}

/// Kind and path of each part by its id.
fn relations(xml: &str, folder: &str) -> Result<BTreeMap<String, (String, String)>, Refusal> {
    let mut markup = Markup::new(xml, Format::Xlsx);
    let mut relations = BTreeMap::new();
    while let Some(node) = markup.next()? {
        let Node::Open(tag) = node else { continue };
        if tag.name() != "Relationship" || tag.attribute("TargetMode").as_deref() == Some("External") {
            continue;
        }
        let kind = tag.attribute("Type").unwrap_or_default();
        let kind = kind.rsplit('/').next().unwrap_or_default().to_owned();
        let target = tag.attribute("Target").unwrap_or_default();
        let path = match (target.strip_prefix('/'), target.strip_prefix("../")) {
            (Some(absolute), _) => absolute.to_owned(),
            (None, Some(up)) => up.to_owned(),
            (None, None) => format!("{folder}{}", target.trim_start_matches("./")),
        };
        if relations.len() < 10 * SHEETS {
            relations.insert(tag.attribute("Id").unwrap_or_default(), (kind, path));
        }
    }
    Ok(relations)
}

#[cfg(test)]
mod tests {
    use crate::document::packed::build;
    use crate::document::workbook::open;
    use crate::document::{Cause, Cell, Content, Document, Limits, Refusal};

    fn book(sheet: &str) -> Vec<u8> {
        let workbook = "<workbook><sheets><sheet name='Old' sheetId='1' state='hidden' r:id='r2'/>\
                        <sheet name='Results' sheetId='2' r:id='r1'/></sheets></workbook>";
        let relations = "<Relationships><Relationship Id='r1' Type='x/worksheet' Target='worksheets/sheet1.xml'/>\
                         <Relationship Id='r2' Type='x/worksheet' Target='/xl/worksheets/old.xml'/>\
                         <Relationship Id='r3' Type='x/styles' Target='styles.xml'/>\
                         <Relationship Id='r4' Type='x/sharedStrings' Target='sharedStrings.xml'/></Relationships>";
        let styles = "<styleSheet><cellXfs><xf numFmtId='0'/><xf numFmtId='2'/><xf numFmtId='14'/></cellXfs></styleSheet>";
        build::zip(&[
            ("[Content_Types].xml", b"<Types/>"),
            ("xl/workbook.xml", workbook.as_bytes()),
            ("xl/_rels/workbook.xml.rels", relations.as_bytes()),
            ("xl/styles.xml", styles.as_bytes()),
            ("xl/sharedStrings.xml", b"<sst><si><t>Plot A</t></si></sst>"),
            ("xl/worksheets/sheet1.xml", sheet.as_bytes()),
        ])
    }

    fn read(sheet: &str) -> Result<Document, Refusal> {
        open(&book(sheet), &Limits::default())
    }

    fn cells(document: &Document) -> Vec<&Cell> {
        match &document.pages[0].content {
            Content::Cells(cells) => cells.iter().collect(),
            _ => panic!("cells expected"),
        }
    }

    #[test]
    fn cells_show_what_a_person_sees() {
        let document = read(
            "<worksheet><sheetData><row r='1'><c r='A1' t='s'><v>0</v></c><c r='B1' s='1'><v>6.8</v></c>\
             <c r='C1'><v>73.09999999999999</v></c><c r='D1' s='2'><v>43732</v></c><c r='E1' t='b'><v>1</v></c>\
             <c r='F1' t='e'><v>#N/A</v></c><c r='G1' t='str'><f>A1&amp;1</f><v>&lt;1</v></c>\
             <c r='H1' t='inlineStr'><is><t>007</t></is></c></row></sheetData></worksheet>",
        )
        .unwrap();
        let found: Vec<(&str, bool)> =
            cells(&document).iter().map(|c| (c.text.as_str(), c.numeric)).collect();
        let expected = [
            ("Plot A", false),
            ("6.80", true),
            ("73.1", true),
            ("2019-09-24", false),
            ("TRUE", false),
            ("#N/A", false),
            ("<1", false),
            ("007", false),
        ];
        assert_eq!(found, expected);
        assert_eq!(document.pages[0].name.as_deref(), Some("Results"));
        assert_eq!(document.pages[0].number, 2);
        assert_eq!(document.notes, ["1 hidden sheet was passed over: 'Old'."]);
    }

    #[test]
    fn merged_headings_span_and_what_they_cover_is_not_seen() {
        let document = read(
            "<worksheet><sheetData><row r='8'><c r='A8' t='s'><v>0</v></c><c r='B8'><v>99</v></c></row>\
             <row r='9'><c r='A9'><v>1</v></c></row></sheetData>\
             <mergeCells><mergeCell ref='A8:C8'/></mergeCells></worksheet>",
        )
        .unwrap();
        let found = cells(&document);
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].columns, found[0].rows, found[0].row), (3, 1, 8));
    }

    #[test]
    fn hidden_rows_and_columns_are_left_out_and_told() {
        let document = read(
            "<worksheet><cols><col min='2' max='2' hidden='1'/></cols><sheetData>\
             <row r='1'><c r='A1'><v>1</v></c><c r='B1'><v>2</v></c></row>\
             <row r='2' hidden='1'><c r='A2'><v>3</v></c></row><row r='3' hidden='1'><c r='A3'><v>4</v></c></row>\
             <row r='4' hidden='1'/></sheetData></worksheet>",
        )
        .unwrap();
        assert_eq!(cells(&document).len(), 1);
        assert!(document.notes.contains(&"2 hidden rows were passed over on sheet 'Results'.".to_owned()));
        assert!(document.notes.contains(&"1 hidden column was passed over on sheet 'Results'.".to_owned()));
    }

    #[test]
    fn a_small_sheet_that_claims_or_uses_far_cells_takes_no_memory() {
        let empty = read(
            "<worksheet><dimension ref='A1:XFD1048576'/><sheetData><row r='1'><c r='A1'><v>1</v></c></row>\
             <row r='1048576'><c r='XFD1048576' s='1'/></row></sheetData></worksheet>",
        )
        .unwrap();
        assert_eq!(cells(&empty).len(), 1);
        let far = "<worksheet><sheetData><row><c r='XFD1048576'><v>1</v></c></row></sheetData></worksheet>";
        let refusal = read(far).unwrap_err();
        assert_eq!(
            (refusal.cause, refusal.what.as_str()),
            (Cause::Limit, "The table has more than 200 000 rows.")
        );
    }

    #[test]
    fn a_cell_outside_every_row_and_a_row_before_the_first_stand_in_the_first() {
        for sheet in ["<c><v>5</v></c>", "<row r='0'><c><v>5</v></c></row>"] {
            let document = read(&format!("<worksheet><sheetData>{sheet}</sheetData></worksheet>")).unwrap();
            let found = cells(&document);
            assert_eq!((found[0].row, found[0].column), (1, 1), "{sheet}");
        }
    }

    #[test]
    fn one_long_text_in_many_cells_is_counted_each_time() {
        let row: String =
            (1..=20).map(|r| format!("<row r='{r}'><c r='A{r}' t='s'><v>0</v></c></row>")).collect();
        let bytes = book(&format!("<worksheet><sheetData>{row}</sheetData></worksheet>"));
        let limits = Limits { stream_bytes: 2_000, cells: 1_000, ..Limits::default() };
        assert!(open(&bytes, &limits).is_ok());
        let cells = Limits { cells: 10, ..Limits::default() };
        assert!(open(&bytes, &cells).unwrap_err().what.contains("10 cells"));
    }

    #[test]
    fn a_document_type_or_deep_xml_in_a_sheet_is_refused() {
        assert_eq!(read("<!DOCTYPE a [<!ENTITY b 'c'>]><worksheet/>").unwrap_err().cause, Cause::Damaged);
        assert_eq!(read(&"<a>".repeat(5_000)).unwrap_err().cause, Cause::TooDeep);
    }

    #[test]
    fn a_shared_text_that_is_not_there_is_damage_and_never_another_text() {
        let sheet = "<worksheet><sheetData><row><c t='s'><v>7</v></c></row></sheetData></worksheet>";
        assert_eq!(read(sheet).unwrap_err().cause, Cause::Damaged);
    }
}
