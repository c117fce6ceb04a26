//! A list of the samples without results, `Lab No.   Sample   Depth   Date sampled`, on a cover sheet, and rows of results
//! elsewhere that bear the laboratory's numbers alone.

use super::super::across::may_name;
use super::super::found::FoundSample;
use super::super::label::Label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::numbered::is_number;
use super::super::vocabulary::{Context, Field};
use std::collections::HashMap;

/// Fewer rows are no list.
const ROWS: usize = 2;

/// How far, in ems, a cell may begin from the left edge of its heading.
const EDGE: f32 = 0.5;

const CONTEXT: Context = Context { symbols: true, capitals: false };

/// What a list says of a sample.
type Said = Vec<(Field, String)>;

/// Gives rows that bear a laboratory's number and no name what a list of the same document says under that number: where
/// every such row of the document is in the list, and no number stands there twice.
pub(super) fn name_samples(samples: &mut [FoundSample], pages: &[Layout]) {
    let asks = |s: &FoundSample| {
        s.named_by_table && s.field(Field::SampleLabel).is_none() && s.field(Field::LabSample).is_some()
    };
    if !samples.iter().any(asks) {
        return;
    }
    let Some(listed) = listed(pages) else { return };
    let said = |s: &FoundSample| listed.get(s.field(Field::LabSample)?.trim());
    if !samples.iter().filter(|s| asks(s)).all(|s| said(s).is_some()) {
        return;
    }
    for sample in samples.iter_mut().filter(|s| asks(s)) {
        let more: Said = said(sample).into_iter().flatten().cloned().collect();
        let new: Said = more.into_iter().filter(|(field, _)| sample.field(*field).is_none()).collect();
        sample.fields.extend(new);
    }
}

/// What the lists of a document say under each number; nothing where a number stands twice.
fn listed(pages: &[Layout]) -> Option<HashMap<String, Said>> {
    let mut out = HashMap::new();
    for (number, said) in pages.iter().flat_map(rows) {
        if out.insert(number, said).is_some() {
            return None;
        }
    }
    (out.len() >= ROWS).then_some(out)
}

/// A column of a list: what it asks for, and where it begins.
struct Column {
    field: Option<Field>,
    x: f32,
}

/// The columns of a heading that asks for a laboratory's number and a name, and for nothing that is measured.
fn columns(line: &Line) -> Option<Vec<Column>> {
    let said: Vec<(Label, f32)> = line.phrases.iter().map(|p| (p.label(CONTEXT), p.area.x0)).collect();
    let count = |field| said.iter().filter(|(l, _)| l.field == Some(field) && l.analyte.is_none()).count();
    let measures = said.iter().any(|(l, _)| l.is_result() || l.unit.is_some());
    (!measures && count(Field::LabSample) == 1 && count(Field::SampleLabel) == 1)
        .then(|| said.into_iter().map(|(l, x)| Column { field: l.field, x }).collect())
}

/// The rows of the lists of a page, each with its number and what it says.
fn rows(page: &Layout) -> Vec<(String, Said)> {
    let mut out = Vec::new();
    for (at, line) in page.lines.iter().enumerate() {
        let Some(columns) = columns(line) else { continue };
        let below = page.lines.get(at + 1..).unwrap_or_default();
        let own: Vec<_> = below.iter().map_while(|l| row(l, &columns, page.em)).collect();
        if own.len() >= ROWS {
            out.extend(own);
        }
    }
    out
}

/// A row with a cell at most under each heading, a number of the laboratory's and a name among them.
fn row(line: &Line, columns: &[Column], em: f32) -> Option<(String, Said)> {
    let column = |p: &Phrase| columns.iter().position(|c| (c.x - p.area.x0).abs() < EDGE * em);
    let cells: Vec<(usize, String)> =
        line.phrases.iter().map(|p| Some((column(p)?, p.text().to_owned()))).collect::<Option<_>>()?;
    if cells.windows(2).any(|w| matches!(w, [a, b] if a.0 == b.0)) {
        return None;
    }
    let of = |field| {
        let cell = cells.iter().find(|(i, _)| columns.get(*i).is_some_and(|c| c.field == Some(field)));
        cell.map(|(_, text)| text.clone())
    };
    let number = of(Field::LabSample).filter(|n| is_number(n))?;
    let name = of(Field::SampleLabel).filter(|n| may_name(n))?;
    let more = [Field::DepthTop, Field::SampledOn];
    let more = more.into_iter().filter_map(|field| Some((field, of(field)?)));
    Some((number, std::iter::once((Field::SampleLabel, name)).chain(more).collect()))
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn named(lines: &[&str], numbers: &[&str]) -> Vec<String> {
        let sample = |number: &&str| FoundSample {
            fields: vec![(Field::LabSample, (*number).to_owned())],
            named_by_table: true,
            ..FoundSample::default()
        };
        let mut samples: Vec<FoundSample> = numbers.iter().map(sample).collect();
        name_samples(&mut samples, &[layout(&typed(lines))]);
        let said = |s: &FoundSample| {
            s.fields.iter().skip(1).map(|(_, text)| text.as_str()).collect::<Vec<_>>().join("|")
        };
        samples.iter().map(said).collect()
    }

    #[test]
    fn a_list_names_the_rows_that_bear_its_numbers() {
        let list = [
            "Lab No.    Sample description    Depth     Date sampled",
            "77120      Front lawn            0-6 in    05/02/2024",
            "77121      Back lawn             0-4 in    05/03/2024",
        ];
        let own = ["Front lawn|0-6 in|05/02/2024", "Back lawn|0-4 in|05/03/2024"];
        assert_eq!(named(&list, &["77120", "77121"]), own);
        assert_eq!(named(&list, &["77120", "77129"]), ["", ""], "a row that no list knows");
        let twice = [list[0], list[1], "77120      Back lawn             0-4 in    05/03/2024"];
        assert_eq!(named(&twice, &["77120"]), [""]);
        let results = ["Lab No.    Sample description    pH", list[1], list[2]];
        assert_eq!(named(&results, &["77120", "77121"]), ["", ""]);
    }
}
