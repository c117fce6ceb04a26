//! A form that asks for a name and, by other words, for the sample: `Name   Ada Fernshaw`, and below `Sample ID   Rose bed`.

use super::super::fold::pieces;
use super::super::layout::Layout;
use super::super::vocabulary::Field;
use super::super::words::List;
use super::FieldValue;

/// Of two names that a page gives for its sample, the one that the plain word `Name` asks for above the other is whose
/// soil it is: where it stands beside the report's number and is two plain words, no ground's, the other is words and no number, and no
/// client is named.
pub fn name_of_a_person(page: &Layout, fields: &mut [FieldValue]) {
    let owner = |f: &FieldValue| {
        matches!(f.field, Field::Client | Field::Farm | Field::Account | Field::Party | Field::Submitter)
    };
    let of_sample: Vec<usize> =
        fields.iter().enumerate().filter(|(_, f)| f.field == Field::SampleLabel).map(|(i, _)| i).collect();
    let [first, second] = of_sample.as_slice() else { return };
    let (Some(a), Some(b)) = (fields.get(*first), fields.get(*second)) else { return };
    let sure = a.firm && b.firm && !b.text.is_empty() && !b.text.contains(|c: char| c.is_ascii_digit());
    let plain = asked(page, a).is_some_and(|words| words == ["name"]);
    let sample = asked(page, b).is_some_and(|words| words.first().is_some_and(|w| List::AsksSample.has(w)));
    // `Name   Ada Fernshaw   Report no.   552` is of the whole report, where the sample stands on a line of its own.
    let line = |f: &FieldValue| {
        fields.iter().filter(|o| o.area.overlap_y(&f.area) > 0.0).map(|o| o.field).collect::<Vec<_>>()
    };
    let of_report = line(a).contains(&Field::Report) && !line(b).contains(&Field::Report);
    let above = a.area.y1 <= b.area.y0 + 1.0 && of_report;
    if sure
        && plain
        && sample
        && above
        && is_person(&a.text)
        && !fields.iter().any(owner)
        && let Some(f) = fields.get_mut(*first)
    {
        f.field = Field::Client;
    }
}

/// The words that ask for a field where its value stands beside them, in lower case.
fn asked(page: &Layout, f: &FieldValue) -> Option<Vec<String>> {
    let phrases = page.lines.iter().flat_map(|l| &l.phrases);
    let own = phrases.into_iter().find(|p| p.area == f.area)?;
    let text = own.text().to_lowercase();
    let name = text.strip_suffix(&f.text.to_lowercase()).unwrap_or(&text);
    Some(pieces(name).into_iter().filter(|w| w != ":").collect())
}

/// `Ada Fernshaw`: two words of letters, each with a capital first, and none for a piece of ground.
fn is_person(text: &str) -> bool {
    let word = |w: &str| {
        let mut letters = w.chars();
        letters.next().is_some_and(char::is_uppercase)
            && letters.clone().count() > 0
            && letters.all(|c| c.is_lowercase() || matches!(c, '\'' | '-'))
            && !List::Ground.has(&w.to_lowercase())
            && !List::Place.has(&w.to_lowercase())
            && !List::Plot.has(&w.to_lowercase())
    };
    text.split(' ').count() == 2 && text.split(' ').all(word)
}
