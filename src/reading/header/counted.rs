//! A form that names its sample and numbers it besides: `Paddock: House paddock   Sample no: 55018-01`.

use super::super::fold::pieces;
use super::super::layout::{Layout, Phrase};
use super::super::numbered;
use super::super::vocabulary::{Context, Field, Meaning, leading_hit};
use super::FieldValue;
use super::leading::leading_field;
use super::person::is_people;
use super::plausible::plausible;

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

/// How far, in ems, a name stands behind the number that is set before it.
const NEAR: f32 = 2.0;

/// `Sample 26-00418-002   TP02 topsoil`, a line of two phrases close together: behind the word for a sample its number, and
/// behind that its name. Both are kept as one text; what of it is the number is settled where the report's own is known.
pub fn number_before_a_name(page: &Layout, line: &[Phrase], context: Context) -> Option<FieldValue> {
    let [first, name] = line else { return None };
    let (field, number, firm) = leading_field(first.text(), context)?;
    let text = name.text();
    let near = !page.cells && name.area.x0 - first.area.x1 < NEAR * page.em;
    let told = number.contains(['-', '/', '.']) || numbered::figures(&number) >= numbered::MANY_FIGURES;
    let named = plausible(Field::SampleLabel, text, true)
        && text.contains(char::is_alphabetic)
        && !text.contains(':')
        && leading_field(text, context).is_none_or(|(_, rest, _)| !rest.is_empty());
    let own = field == Field::SampleLabel && numbered::is_number(&number) && told;
    (own && near && named).then(|| FieldValue {
        field,
        text: format!("{number} {text}"),
        page: page.number,
        area: first.area,
        firm,
    })
}

/// `Account | 40077 | Moss Grain Co.`: the number of an account, and behind it whose it is, where people or a firm stand
/// there and nothing else.
pub fn name_behind_an_account(page: &Layout, line: &[Phrase], context: Context) -> Option<FieldValue> {
    let [first, number, name] = line else { return None };
    let (field, rest, _) = leading_field(first.text(), context)?;
    let text = name.text();
    let own = matches!(field, Field::Account) && rest.is_empty();
    (own && is_number(number.text()) && is_people(text) && leading_field(text, context).is_none())
        .then(|| FieldValue { field, text: text.to_owned(), page: page.number, area: first.area, firm: true })
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

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::fields;
    use super::*;

    #[test]
    fn whose_account_it_is_stands_behind_its_number() {
        let of = |line: &str| -> Vec<String> {
            let page = layout(&typed(&[line]));
            let found = fields(&page, &[], Context { symbols: false, capitals: false });
            found.into_iter().filter(|f| f.field == Field::Account).map(|f| f.text).collect()
        };
        assert_eq!(of("Account     40077     Moss Grain Co."), ["Moss Grain Co."]);
        for other in ["Paid in full", "North Field", "Soil fertility", "Report BL-318"] {
            assert!(of(&format!("Account     40077     {other}")).is_empty(), "{other}");
        }
    }

    #[test]
    fn a_name_behind_the_number_of_its_sample_is_not_lost() {
        let of = |line: &str| -> Vec<String> {
            let page = layout(&typed(&[line]));
            let found = fields(&page, &[], Context { symbols: false, capitals: false });
            found.into_iter().filter(|f| f.field == Field::SampleLabel).map(|f| f.text).collect()
        };
        assert_eq!(of("Sample 26-00418-002  TP02 topsoil"), ["26-00418-002 TP02 topsoil"]);
        assert_eq!(of("Sample: 88231  Moss end"), ["88231 Moss end"]);
        assert_eq!(of("Sample 26-00418-002                              TP02 topsoil"), ["26-00418-002"]);
        assert_eq!(of("Sample Moss end  Received 3 May 2021"), ["Moss end"]);
        assert_eq!(of("Sample: 88231-2  Depth: 0-6 in"), ["88231-2"]);
    }
}
