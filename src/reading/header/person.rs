//! A form that asks for a name and, by other words, for the sample: `Name   Ada Fernshaw`, and below `Sample ID   Rose bed`.

use super::super::fold::pieces;
use super::super::layout::{Layout, Phrase};
use super::super::numbered::parted;
use super::super::vocabulary::Field;
use super::super::words::List;
use super::FieldValue;

/// Of two names that a page gives for its sample, the one that the plain word `Name` asks for above the other is whose
/// soil it is: where it stands beside the report's number and is two plain words, no ground's, the other is words and no number, and no
/// client is named.
pub fn name_of_a_person(page: &Layout, fields: &mut [FieldValue]) {
    let owner = |f: &FieldValue| f.field.names_an_owner();
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
    let of_person = sure && plain && sample && above && is_person(&a.text);
    // `Name   Ada Fernshaw` right over `Sample   Rose bed`, each alone on its line.
    let alone = |f: &FieldValue| line(f).len() == 1;
    let right_over = (-1.0..page.em).contains(&(b.area.y0 - a.area.y1)) && alone(a) && alone(b);
    let of_person = of_person || sure && plain && sample && right_over && is_person(&a.text);
    let name = beside_a_numbered_name(page, (*first, a), (*second, b)).or(of_person.then_some(*first));
    if let Some(name) = name
        && !fields.iter().any(owner)
        && let Some(f) = fields.get_mut(name)
    {
        f.field = Field::Client;
    }
}

/// `Sample 66120-1: Rose bed` and, above it or below, `Name: Ada Fernshaw`: where the word for a sample is followed by its
/// number and its name, the plain `Name` asks for a person. Which of the two fields that is.
fn beside_a_numbered_name(
    page: &Layout,
    (first, a): (usize, &FieldValue),
    (second, b): (usize, &FieldValue),
) -> Option<usize> {
    let plain = |f: &FieldValue| asked(page, f).is_some_and(|words| words == ["name"]);
    let (name, person, sample) = match (plain(a), plain(b)) {
        (true, false) => (first, a, b),
        (false, true) => (second, b, a),
        _ => return None,
    };
    let asks = asked(page, sample)?.first().is_some_and(|w| List::AsksSample.has(w));
    let numbered = parted(&sample.text).is_some_and(|p| p.first);
    (asks && numbered && person.firm && is_person(&person.text) && !of_another(page, person)).then_some(name)
}

/// `Name: J. & L. Quern` or `Name: Quern Brothers` above `Sample: South forty` or `Field: Hill 30`: words that are people's or
/// a firm's, over a sample that is named in words of its own, are whose soil it is.
pub fn name_of_people(page: &Layout, fields: &mut [FieldValue]) {
    let owner = |f: &FieldValue| f.field.names_an_owner();
    let of_sample: Vec<usize> =
        fields.iter().enumerate().filter(|(_, f)| f.field == Field::SampleLabel).map(|(i, _)| i).collect();
    let plain = |i: &usize| {
        fields.get(*i).is_some_and(|f| f.firm && asked(page, f).is_some_and(|words| words == ["name"]))
    };
    let (names, others): (Vec<usize>, Vec<usize>) = of_sample.into_iter().partition(plain);
    let ([name], false) = (names.as_slice(), others.is_empty()) else { return };
    let Some(own) = fields.get(*name) else { return };
    let asks = |word: &String| List::AsksSample.has(word) || List::AsksPlace.has(word);
    let below = |i: &usize| {
        fields.get(*i).is_some_and(|f| {
            let asked = asked(page, f).is_some_and(|words| words.first().is_some_and(asks));
            let worded = f.text.split(|c: char| !c.is_alphabetic()).any(|w| w.chars().count() > 2);
            asked && worded && f.firm && own.area.y0 <= f.area.y0 + 1.0
        })
    };
    if is_people(&own.text)
        && !of_another(page, own)
        && others.iter().all(below)
        && !fields.iter().any(owner)
        && let Some(f) = fields.get_mut(*name)
    {
        f.field = Field::Party;
    }
}

/// `Name: Quern Farms   Report: 44` over a table that names its samples itself: the plain word `Name` beside what is of
/// the whole report asks whose soil it is, where people or a firm stand behind it and no other field names an owner.
/// `pages` are those of the fields.
pub fn name_over_a_table(pages: &[Layout], fields: &mut [FieldValue]) {
    let owner = |f: &FieldValue| f.field.names_an_owner();
    let page = |f: &FieldValue| pages.iter().find(|p| p.number == f.page);
    let of_report = |f: &FieldValue| {
        let level = |o: &&FieldValue| o.page == f.page && o.area.overlap_y(&f.area) > 0.0;
        let report =
            |o: &FieldValue| matches!(o.field, Field::Report | Field::ReceivedOn | Field::ReportedOn);
        fields.iter().filter(level).any(report)
    };
    let plain = |f: &FieldValue| {
        let Some(page) = page(f) else { return false };
        let within = |area: &crate::place::Rect| {
            area.overlap_y(&f.area) > 0.5 * area.height()
                && area.x0 > f.area.x0 - 0.5
                && area.x1 < f.area.x1 + 0.5
        };
        let words =
            page.lines.iter().flat_map(|l| &l.phrases).flat_map(|p| &p.tokens).filter(|t| within(&t.area));
        let text = words.map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ").to_lowercase();
        text.split_once(':').is_some_and(|(name, _)| name.trim() == "name") && !of_another(page, f)
    };
    let named = |f: &&FieldValue| f.field == Field::SampleLabel;
    let mut all = fields.iter().filter(named);
    let Some(first) = all.next() else { return };
    let sure = all.all(|f| f.text == first.text)
        && !fields.iter().any(owner)
        && fields.iter().filter(named).all(|f| f.firm && is_people(&f.text) && of_report(f) && plain(f));
    if sure {
        for f in fields.iter_mut().filter(|f| f.field == Field::SampleLabel) {
            f.field = Field::Client;
        }
    }
}

/// True where a word beside the name, or right above it, says that it is a consultant's, a sampler's, the laboratory's.
fn of_another(page: &Layout, own: &FieldValue) -> bool {
    let near = |p: &&Phrase| {
        let above = own.area.y0 - p.area.y1;
        let beside = p.area.overlap_y(&own.area) > 0.0 && p.area.x1 <= own.area.x0;
        beside || above > -1.0 && above < ABOVE * page.em && p.area.overlap_x(&own.area) > 0.0
    };
    // `Prepared by: A. Weir` has a name of its own.
    let says = |p: &Phrase| {
        let text = p.text().to_lowercase();
        text.split_once(':').is_none_or(|(_, value)| value.is_empty())
            && text.split(|c: char| !c.is_alphabetic()).any(|word| List::Agent.has(word))
    };
    page.lines.iter().flat_map(|l| &l.phrases).filter(near).any(says)
}

/// How close above a name, in ems, the title of its part of a form stands.
const ABOVE: f32 = 1.5;

/// `J. & L. Quern`, `Mrs A Quern`, `Quern Brothers`, `Quern Farms Ltd.`: words that name people or a firm, and no ground.
pub(super) fn is_people(text: &str) -> bool {
    let words: Vec<&str> = text.split(' ').collect();
    let Some((last, before)) = words.split_last() else { return false };
    let bare = |w: &str| w.trim_matches(['.', ',']).to_lowercase();
    let ground = |w: &&str| [List::Ground, List::Place, List::Plot].iter().any(|list| list.has(&bare(w)));
    let capital = |w: &str| w.starts_with(char::is_uppercase);
    if words.iter().any(ground) || before.is_empty() || text.contains(|c: char| c.is_ascii_digit()) {
        return false;
    }
    if List::Firm.has(&last.to_lowercase()) {
        let named = |w: &&str| {
            let word = bare(w);
            capital(w) && word.chars().count() > 2 && word != "the" && !List::Firm.has(&word)
        };
        return before.iter().any(named);
    }
    let surname = capital(last) && last.chars().count() > 2;
    let initial = |w: &str| {
        let mut letters = w.chars();
        letters.next().is_some_and(char::is_uppercase) && letters.eq(['.'])
    };
    // `N. Forty` may be a piece of ground to the north.
    let points = |w: &str| matches!(w, "N." | "S." | "E." | "W.");
    let initials = || {
        before.iter().all(|w| initial(w) || matches!(*w, "&" | "and"))
            && before.iter().any(|w| initial(w) && !points(w))
    };
    let titled = || before.first().is_some_and(|w| capital(w) && List::Courtesy.has(&bare(w)));
    surname && (initials() || titled())
}

/// The words that ask for a field where its value stands beside them, in lower case.
fn asked(page: &Layout, f: &FieldValue) -> Option<Vec<String>> {
    let phrases = page.lines.iter().flat_map(|l| &l.phrases);
    let own = phrases.into_iter().find(|p| p.area == f.area)?;
    let text = own.text().to_lowercase();
    let name = text.strip_suffix(&f.text.to_lowercase()).unwrap_or(&text);
    Some(pieces(name).into_iter().filter(|w| w != ":").map(String::from).collect())
}

/// `Ada Fernshaw`: two words of letters, each with a capital first, and none for a piece of ground.
pub(super) fn is_person(text: &str) -> bool {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn people_and_firms_are_told_from_ground() {
        for text in [
            "J. & L. Quern",
            "Quern Brothers",
            "Mrs A Quern",
            "Quern Farms Ltd.",
            "Hob Mill Society",
            "A. B. Quern",
        ] {
            assert!(is_people(text), "{text}");
        }
        for text in [
            "South Forty",
            "N. Forty",
            "Brothers",
            "A. Field",
            "The Trust",
            "Hob Mill Lawn Co",
            "Quern 3 Farms",
        ] {
            assert!(!is_people(text), "{text}");
        }
    }
}
