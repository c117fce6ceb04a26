//! Number formats by style of an XLSX workbook.

use super::super::markup::{Markup, Node};
use super::super::{Format, Refusal};
use super::number::NumberFormat;
use std::collections::BTreeMap;

/// Styles that a workbook may declare; spreadsheet programs stop at about 65 000.
const STYLES: usize = 100_000;

/// The number format of each style, in the order that cells name them.
pub(super) fn table(xml: &str) -> Result<Vec<NumberFormat>, Refusal> {
    let mut markup = Markup::new(xml, Format::Xlsx);
    let mut written = BTreeMap::<u32, String>::new();
    let mut ids = Vec::new();
    let mut inside = false;
    while let Some(node) = markup.next()? {
        match node {
            Node::Open(tag) => match tag.name() {
                "numFmt" if written.len() < STYLES => {
                    if let (Some(id), Some(code)) = (tag.number("numFmtId"), tag.attribute("formatCode")) {
                        written.insert(id, code);
                    }
                }
                "cellXfs" => inside = true,
                "xf" if inside && ids.len() < STYLES => ids.push(tag.number::<u32>("numFmtId").unwrap_or(0)),
                _ => {}
            },
            Node::Close(name) if name == "cellXfs" => inside = false,
            _ => {}
        }
    }
    let format = |id: &u32| match written.get(id) {
        Some(code) => NumberFormat::parse(code),
        None => NumberFormat::built_in(*id),
    };
    Ok(ids.iter().map(format).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cell_styles_and_not_named_styles_give_the_format() {
        let xml = "<styleSheet><numFmts><numFmt numFmtId='164' formatCode='0.000'/></numFmts>\
                   <cellStyleXfs><xf numFmtId='14'/></cellStyleXfs>\
                   <cellXfs><xf numFmtId='0'/><xf numFmtId='164'/><xf numFmtId='2'/></cellXfs></styleSheet>";
        let formats = table(xml).unwrap();
        let shown: Vec<String> = formats.iter().map(|f| f.show(6.8, false).unwrap().text).collect();
        assert_eq!(shown, ["6.8", "6.800", "6.80"]);
    }
}
