//! A form that names its sample and numbers it besides: `Paddock: House paddock   Sample no: 55018-01`.

use super::super::fold::pieces;
use super::super::layout::Layout;
use super::super::vocabulary::{Context, Field, Meaning, leading_hit};
use super::FieldValue;

/// Of the two values that one form on a page gives for its sample's name, one under the word for a number and one under
/// the word for a name, the first is the sample's number. Where a form gives more, or numbers it elsewhere too, or both
/// look alike, nothing is changed. `taken` are the lines of tables: a form ends at its table.
pub fn number_beside_a_name(page: &Layout, taken: &[bool], context: Context, fields: &mut [FieldValue]) {
    let row = |f: &FieldValue| page.lines.iter().position(|l| l.area.overlap_y(&f.area) > 0.0);
    let mut forms: Vec<(usize, Vec<usize>)> = Vec::new();
    for (i, f) in fields.iter().enumerate() {
        if !matches!(f.field, Field::SampleLabel | Field::LabSample) {
            continue;
        }
        let Some(row) = row(f) else { return };
        let parted = |above: usize| taken.get(above..row).is_some_and(|lines| lines.contains(&true));
        match forms.last_mut().filter(|(above, _)| !parted(*above)) {
            Some((_, form)) => form.push(i),
            None => forms.push((row, vec![i])),
        }
    }
    for (_, form) in forms {
        let [a, b] = form.as_slice() else { continue };
        let numbered = |i: &usize| {
            fields
                .get(*i)
                .is_some_and(|f| of_sample(f) && is_number(&f.text) && asks_number(page, f, context))
        };
        let named = |i: &usize| {
            fields
                .get(*i)
                .is_some_and(|f| of_sample(f) && !is_number(&f.text) && !asks_number(page, f, context))
        };
        let number = match () {
            () if numbered(a) && named(b) => *a,
            () if named(a) && numbered(b) => *b,
            () => continue,
        };
        if let Some(f) = fields.get_mut(number) {
            f.field = Field::LabSample;
        }
    }
}

fn of_sample(f: &FieldValue) -> bool {
    f.field == Field::SampleLabel && f.firm && !f.text.is_empty()
}

/// `55018-01`, `H/204`: one word with figures.
fn is_number(text: &str) -> bool {
    !text.contains(' ') && text.contains(|c: char| c.is_ascii_digit())
}

/// True where the words before a value ask for a number.
fn asks_number(page: &Layout, f: &FieldValue, context: Context) -> bool {
    const NUMBER: &[&str] = &["no", "no.", "number", "#", "nr", "nr.", "num", "num."];
    let line = page.lines.iter().filter(|l| l.area.overlap_y(&f.area) > 0.0);
    let words: Vec<&str> = line
        .flat_map(|l| &l.phrases)
        .flat_map(|p| &p.tokens)
        .filter(|t| t.area.x0 > f.area.x0 - 0.5)
        .map(|t| t.text.as_str())
        .collect();
    let words = pieces(&words.join(" "));
    let hit = leading_hit(&words, Context { symbols: false, ..context }, &|m| matches!(m, Meaning::Field(_)));
    let end = hit.map_or(0, |h| h.end) + 1;
    words.iter().take(end).any(|w| NUMBER.contains(&w.to_lowercase().as_str()))
}
