//! A name is whole or none: where words of its own line stand right beside it and belong to nothing that was read, it
//! is perhaps half of a longer name.

use super::atom::is_blank;
use super::found::FoundSample;
use super::header::FieldValue;
use super::label::label;
use super::layout::{Layout, Token};
use super::vocabulary::{Context, Field};
use crate::place::{Place, Rect};
use std::collections::HashMap;

/// Words closer than this, in their own size, are read together.
const TOGETHER: f32 = 0.7;
/// Words as far apart as this are those of two columns.
const APART: f32 = 2.0;

/// The words of a page, and what of them was read.
struct Words<'a> {
    lines: Vec<Vec<&'a Token>>,
    /// Where each word stands: a long list of names costs no more than its words.
    places: HashMap<&'a str, Vec<(usize, usize)>>,
    read: Vec<Rect>,
    fields: Vec<String>,
}

impl<'a> Words<'a> {
    fn of(page: &'a Layout) -> Self {
        let lines: Vec<Vec<&Token>> =
            page.lines.iter().map(|l| l.phrases.iter().flat_map(|p| &p.tokens).collect()).collect();
        let mut places: HashMap<&str, Vec<(usize, usize)>> = HashMap::new();
        for (i, line) in lines.iter().enumerate() {
            for (at, token) in line.iter().enumerate() {
                places.entry(token.text.as_str()).or_default().push((i, at));
            }
        }
        Self { lines, places, read: Vec::new(), fields: Vec::new() }
    }

    /// True where a word is a value, a field or a word of the form.
    fn explained(&self, token: &Token) -> bool {
        let whole = format!(" {} ", token.text);
        let said = label(&token.text, Context { symbols: false, capitals: false });
        // `Guideline` beside the last name heads a column of its own; `Low` may end a name.
        const OF_NAMES: &[&str] = &["low", "medium", "high", "total", "average", "mean", "min", "max"];
        let wished = said.decoy && !said.rating && !OF_NAMES.contains(&token.text.to_lowercase().as_str());
        let form = wished
            || said.field.is_some()
            || said.role.is_some()
            || said.unit.is_some()
            || said.analyte.is_some();
        self.read.iter().any(|area| area.overlap_x(&token.area) > 0.0 && area.overlap_y(&token.area) > 0.0)
            || self.fields.iter().any(|f| f.contains(&whole))
            || token.text.ends_with(':')
            || !token.text.contains(char::is_alphanumeric)
            || is_blank(&token.text)
            || form && said.unknown.is_empty()
    }

    /// Each printing of a name in one line.
    fn printed<'s>(&'s self, name: &'s str) -> impl Iterator<Item = Printed<'a>> + 's {
        let words: Vec<&str> = name.split(' ').collect();
        let places = words.first().and_then(|first| self.places.get(first)).into_iter().flatten();
        places.filter_map(move |(line, at)| printed(self.lines.get(*line)?, *at, &words))
    }

    /// True where a name is printed in one line, and everywhere with words beside it that nothing explains, or in two
    /// columns.
    fn halves(&self, name: &str) -> bool {
        let mut printed = self.printed(name).peekable();
        let whole = |p: Printed<'_>| p.together && p.beside.into_iter().all(|t| self.explained(t));
        printed.peek().is_some() && !printed.any(whole)
    }
}

/// Takes the name from every sample of a page whose name goes on in words that nothing else explains.
pub fn drop_halves(page: &Layout, samples: &mut [FoundSample]) {
    if page.cells {
        return;
    }
    let mut words = Words::of(page);
    words.read = samples
        .iter()
        .flat_map(|s| s.readings.iter().map(|r| &r.place).chain(s.others.iter().map(|o| &o.place)))
        .filter_map(|place| if let Place::Page { area, .. } = place { Some(*area) } else { None })
        .collect();
    words.fields = samples.iter().flat_map(|s| &s.fields).map(|(_, text)| format!(" {text} ")).collect();
    for sample in samples.iter_mut().filter(|s| s.named_by_table) {
        if sample.field(Field::SampleLabel).is_some_and(|name| words.halves(name)) {
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
        }
    }
}

/// The fields of a page without names of samples that go on: `Block` over `K 1` set apart names no `K`.
pub fn whole_fields(page: &Layout, fields: Vec<FieldValue>) -> Vec<FieldValue> {
    if page.cells || fields.iter().all(|f| f.field != Field::SampleLabel) {
        return fields;
    }
    let mut words = Words::of(page);
    words.fields = fields.iter().map(|f| format!(" {} ", f.text)).collect();
    // Beside its own name a value ends where the form or the sentence says.
    let same_line = |f: &FieldValue| words.printed(&f.text).any(|p| p.area.overlap_y(&f.area) > 0.0);
    let whole = |f: &FieldValue| f.field != Field::SampleLabel || same_line(f) || !words.halves(&f.text);
    fields.into_iter().filter(whole).collect()
}

/// A name as printed in one line.
struct Printed<'a> {
    /// Its first word.
    area: Rect,
    /// The words right beside it.
    beside: Vec<&'a Token>,
    /// False where its own words stand as far apart as columns.
    together: bool,
}

/// A name printed at this place of a line; none where it is not.
fn printed<'a>(line: &[&'a Token], at: usize, name: &[&str]) -> Option<Printed<'a>> {
    let own = line.get(at..at + name.len())?;
    if !own.iter().map(|t| t.text.as_str()).eq(name.iter().copied()) {
        return None;
    }
    let near = |a: &Token, b: &Token, most: f32| b.area.x0 - a.area.x1 < most * a.size.max(b.size);
    let before = at.checked_sub(1).and_then(|i| line.get(i)).zip(own.first());
    let after = own.last().zip(line.get(at + name.len()));
    let left = before.filter(|(a, b)| near(a, b, TOGETHER)).map(|(a, _)| *a);
    let right = after.filter(|(a, b)| near(a, b, TOGETHER)).map(|(_, b)| *b);
    let together = own.windows(2).all(|w| !matches!(w, [a, b] if !near(a, b, APART)));
    Some(Printed { area: own.first()?.area, beside: left.into_iter().chain(right).collect(), together })
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn named(lines: &[&str], name: &str, fields: &[(Field, &str)]) -> bool {
        let page = layout(&typed(lines));
        let mut fields: Vec<(Field, String)> = fields.iter().map(|(f, t)| (*f, (*t).to_owned())).collect();
        fields.push((Field::SampleLabel, name.to_owned()));
        let mut samples = [FoundSample { page: 1, fields, named_by_table: true, ..FoundSample::default() }];
        drop_halves(&page, &mut samples);
        samples[0].field(Field::SampleLabel).is_some()
    }

    #[test]
    fn half_of_a_name_is_none() {
        let row = ["Lab # Sample ID    pH     K", "60948 North 40 3   6.4    120"];
        let number = [(Field::LabSample, "60948")];
        assert!(!named(&row, "North", &number));
        assert!(!named(&row, "North 40 3", &[]));
        assert!(named(&row, "North 40 3", &number));
        assert!(!named(&["P1     12322    6.4    120"], "P1 12322", &[]));
    }

    #[test]
    fn words_of_the_form_and_of_the_next_column_are_no_part_of_a_name() {
        assert!(named(&["Sample: Rink 7 Depth: 0-4 in"], "Rink 7", &[]));
        assert!(named(&["Sample    Rink 7    Rink 8"], "Rink 7", &[]));
    }
}
