//! Result files of the open exchange standard (AgGateway Modus 1, XML) as one long table: a row a result.

mod codes;

mod event;

use super::markup::{Markup, Node};
use super::{Cause, Cell, Content, Document, Format, Limits, Page, Refusal, decode, wording};
use codes::Codes;
use event::{Event, Row};
use std::collections::BTreeMap;

/// Lays the document out: a page for each unit of depth (nearly always one), with a heading row and a row a result.
/// Units are those printed beside the value; a code gives a method and never a unit.
///
/// # Errors
/// A [`Refusal`] where the XML is broken, holds events of plants or nematodes alone, or passes a limit.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let text = decode::text(bytes).ok_or_else(|| wording::not_text(Format::ExchangeXml))?;
    let (events, mut notes) = events(&text, limits)?;
    let codes = Codes::new();
    let mut tables = BTreeMap::<String, Vec<Row>>::new();
    let mut indices = 0usize;
    for event in events {
        for row in event.rows(&codes, &mut indices) {
            tables.entry(row.depth_unit.clone()).or_default().push(row);
        }
    }
    if indices > 0 {
        let plural = if indices == 1 { " was" } else { "s were" };
        notes.push(format!("{indices} index value{plural} passed over."));
    }
    if tables.is_empty() {
        return Err(Refusal::new(
            Cause::NotAReport,
            Format::ExchangeXml,
            "No soil test was found in this file: no sample with a measured value.",
            "Ask for the file with the results.",
        ));
    }
    let mut pages = Vec::new();
    let mut used = 0usize;
    for (unit, rows) in tables {
        let cells = cells(&unit, rows, limits)?;
        used += cells.len();
        if used > limits.cells {
            return Err(wording::too_many_cells(Format::ExchangeXml, limits));
        }
        let number = u32::try_from(pages.len() + 1).unwrap_or(u32::MAX);
        pages.push(Page { number, width: 0.0, height: 0.0, name: None, content: Content::Cells(cells) });
    }
    Ok(Document { format: Format::ExchangeXml, pages, members: Vec::new(), notes })
}

/// The soil events, and what was passed over.
fn events(text: &str, limits: &Limits) -> Result<(Vec<Event>, Vec<String>), Refusal> {
    let mut markup = Markup::new(text, Format::ExchangeXml);
    let (mut events, mut other) = (Vec::new(), 0usize);
    let (mut now, mut results) = (None::<Event>, 0usize);
    while let Some(node) = markup.next()? {
        if let Node::Open(tag) = &node {
            match tag.name() {
                "Event" if now.is_none() => now = Some(Event::default()),
                "NutrientResult" | "TextureResults" | "SoilSample" | "DepthRef" => results += 1,
                _ => {}
            }
        }
        if results > limits.rows as usize {
            return Err(wording::too_many_rows(Format::ExchangeXml, limits));
        }
        let Some(event) = &mut now else { continue };
        event.take(&node, limits)?;
        if event.is_over() {
            match now.take() {
                Some(event) if event.is_soil() => events.push(event),
                _ => other += 1,
            }
        }
    }
    if events.is_empty() && other > 0 {
        return Err(Refusal::new(
            Cause::WrongMatter,
            Format::ExchangeXml,
            "The file holds results of plants or nematodes, not of soil.",
            "Drop soil results only.",
        ));
    }
    let plural = if other == 1 { " that is" } else { "s that are" };
    let notes = (other > 0).then(|| format!("{other} event{plural} not of soil passed over."));
    Ok((events, notes.into_iter().collect()))
}

fn cells(unit: &str, rows: Vec<Row>, limits: &Limits) -> Result<Vec<Cell>, Refusal> {
    let depth = |edge: &str| match unit {
        "" => format!("Depth {edge}"),
        unit => format!("Depth {edge} ({unit})"),
    };
    let heading = [
        "Laboratory".to_owned(),
        "Report No.".to_owned(),
        "Client".to_owned(),
        "Site".to_owned(),
        "Lab No.".to_owned(),
        "Sample ID".to_owned(),
        depth("from"),
        depth("to"),
        "Date Sampled".to_owned(),
        "Date Received".to_owned(),
        "Analyte".to_owned(),
        "Method".to_owned(),
        "Result".to_owned(),
        "Unit".to_owned(),
    ];
    let mut cells = Vec::new();
    let lines = std::iter::once((heading, false)).chain(rows.into_iter().map(|row| (row.texts, true)));
    for (row, (texts, measured)) in (1u32..).zip(lines) {
        if row > limits.rows {
            return Err(wording::too_many_rows(Format::ExchangeXml, limits));
        }
        for (column, text) in (1u32..).zip(texts) {
            if text.is_empty() {
                continue;
            }
            if cells.len() >= limits.cells {
                return Err(wording::too_many_cells(Format::ExchangeXml, limits));
            }
            let numeric = measured && matches!(column, 7 | 8 | 13) && text.parse::<f64>().is_ok();
            cells.push(Cell { row, column, columns: 1, rows: 1, text, numeric });
        }
    }
    Ok(cells)
}

#[cfg(test)]
mod tests;
