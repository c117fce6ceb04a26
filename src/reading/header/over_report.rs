//! Whose soil it is, where no field asks for it: beside a title or over the report's number.

use super::super::fold::fold;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::FieldValue;
use super::leading::leading_field;
use super::person::is_people;

/// Lines at the head of a page among which such a name stands.
const LINES: usize = 14;

/// How close, in ems, the number of the report stands below.
const NEAR: f32 = 1.2;

/// The same in a letter laid out as cells, where a blank row stands between paragraphs.
const NEXT_PARAGRAPH: f32 = 3.0;

/// The one name at the head of a page that a title, the report's number or its own first word shows to be whose soil it is.
/// `lab` is the laboratory's, which is never meant.
pub fn over_report(page: &Layout, lab: Option<&str>) -> Option<FieldValue> {
    let lines: Vec<&Line> = page.lines.iter().take(LINES).collect();
    let near = if page.cells { NEXT_PARAGRAPH } else { NEAR };
    let mut found: Vec<FieldValue> = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let alone = at > 0 && line.phrases.len() == 1;
        let over = lines.get(at + 1).filter(|_| alone && !page.cells);
        let below = at.checked_sub(1).and_then(|i| lines.get(i)).filter(|_| alone);
        for phrase in &line.phrases {
            let named = beside_a_title(phrase)
                .or_else(|| farm_by_law(phrase))
                .or_else(|| farm_beside_a_number(line, phrase).filter(|_| at > 0))
                .filter(|_| !page.cells)
                .or_else(|| farm_over_a_number(phrase, over?, page.em))
                .or_else(|| farm_under_a_number(phrase, below?, near * page.em));
            found.extend(named.map(|(field, text)| FieldValue {
                field,
                text,
                page: page.number,
                area: phrase.area,
                firm: false,
            }));
        }
    }
    let own = |name: &str| {
        let name = name.to_lowercase();
        lab.is_some_and(|lab| lab.to_lowercase().contains(&name) || name.contains(&lab.to_lowercase()))
    };
    match found.as_slice() {
        [one] if !own(&one.text) => found.pop(),
        _ => None,
    }
}

/// `Greens analysis - Hob Mill Golf Club`, `Hob Mill Society - Report 220`.
fn beside_a_title(phrase: &Phrase) -> Option<(Field, String)> {
    let text = fold(phrase.text());
    let (a, b) = text.split_once(" - ")?;
    let numbered = |part: &str| {
        let context = Context { symbols: false, capitals: false };
        matches!(leading_field(part, context), Some((Field::Report, number, _)) if number.contains(|c: char| c.is_ascii_digit()))
    };
    let name = match () {
        () if is_title(a) || numbered(a) => b,
        () if is_title(b) || numbered(b) => a,
        () => return None,
    };
    is_party(name).then(|| (Field::Party, name.to_owned()))
}

/// `Soil analysis`, `Greens report`: two words or more of titles and of ground, one of them a title's.
fn is_title(text: &str) -> bool {
    let words: Vec<String> = text.split(' ').map(str::to_lowercase).collect();
    let ground =
        |w: &str| List::Ground.has(w.trim_end_matches('s')) || List::Place.has(w.trim_end_matches('s'));
    words.len() > 1
        && words.iter().all(|w| List::Title.has(w) || ground(w))
        && words.iter().any(|w| matches!(w.as_str(), "analysis" | "report" | "results" | "tests" | "test"))
}

/// A firm's, a club's or people's name, and no laboratory's.
fn is_party(name: &str) -> bool {
    is_people(name) && !name.to_lowercase().split([' ', '-', ',']).any(|w| List::Laboratory.has(w))
}

/// `EARL des Aubiers`: what opens with a form of society that the law keeps for farms.
fn farm_by_law(phrase: &Phrase) -> Option<(Field, String)> {
    let text = phrase.text();
    let (first, name) = text.split_once(' ')?;
    let name = name.trim();
    let worded =
        name.chars().any(char::is_uppercase) && !name.contains(|c: char| c.is_ascii_digit() || c == ':');
    let lab = name.to_lowercase().split(' ').any(|w| List::Laboratory.has(w));
    (List::FarmForm.has(&first.to_lowercase()) && first.starts_with(char::is_uppercase) && worded && !lab)
        .then(|| (Field::Party, text.to_owned()))
}

/// `Hob Hall Farm` alone on its line, and the report's number alone on the next.
fn farm_over_a_number(phrase: &Phrase, next: &Line, em: f32) -> Option<(Field, String)> {
    let [below] = next.phrases.as_slice() else { return None };
    let context = Context { symbols: false, capitals: false };
    let near = below.area.y0 - phrase.area.y1 < NEAR * em && (below.area.x0 - phrase.area.x0).abs() < em;
    let number = match leading_field(below.text(), context) {
        Some((Field::Report, number, _)) => number,
        _ => return None,
    };
    let numbered = number.contains(|c: char| c.is_ascii_digit()) && number.split(' ').count() <= 2;
    (near && numbered && is_farm(phrase.text())).then(|| (Field::Farm, phrase.text().to_owned()))
}

/// `Hob Hall Farm` alone on its line, right under the line that opens with the report's number and holds at most a day besides.
fn farm_under_a_number(phrase: &Phrase, above: &Line, space: f32) -> Option<(Field, String)> {
    let context = Context { symbols: false, capitals: false };
    let first = above.phrases.first()?;
    let gap = (phrase.area.y0 - above.area.y1, (first.area.x0 - phrase.area.x0).abs());
    let near = gap.0 < space && gap.1 < space;
    let told = above.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" ");
    let Some((Field::Report, number, _)) = leading_field(&told, context) else { return None };
    let (number, rest) = number.split_once(' ').unwrap_or((&number, ""));
    let dated = matches!(leading_field(rest, context), Some((Field::Day | Field::ReportedOn, _, true)));
    let numbered = number.contains(|c: char| c.is_ascii_digit()) && (rest.is_empty() || dated);
    (near && numbered && is_farm(phrase.text())).then(|| (Field::Farm, phrase.text().to_owned()))
}

/// `Report QA-607     Hob Hall Farm`: the report's number and a farm, alone side by side.
fn farm_beside_a_number(line: &Line, phrase: &Phrase) -> Option<(Field, String)> {
    let [report, farm] = line.phrases.as_slice() else { return None };
    let context = Context { symbols: false, capitals: false };
    let number = match leading_field(report.text(), context) {
        Some((Field::Report, number, _)) => number,
        _ => return None,
    };
    let numbered = number.contains(|c: char| c.is_ascii_digit()) && number.split(' ').count() <= 2;
    let own = std::ptr::eq(farm, phrase);
    (own && numbered && is_farm(farm.text())).then(|| (Field::Farm, farm.text().to_owned()))
}

/// Capitals that end in a word for a farm, or the name of people together; no laboratory, and nothing that a form asks for.
fn is_farm(text: &str) -> bool {
    let Some((before, last)) = text.rsplit_once(' ') else { return false };
    let farm = List::FarmWord.has(&last.to_lowercase()) || is_people(text);
    let words = before
        .split(' ')
        .all(|w| w.starts_with(char::is_uppercase) || matches!(w, "of" | "the" | "&" | "and"));
    let lab = text.to_lowercase().split(' ').any(|w| List::Laboratory.has(w));
    let plain = !text.contains(|c: char| c.is_ascii_digit() || matches!(c, ':' | ','));
    let asks = leading_field(text, Context { symbols: false, capitals: false }).is_some();
    farm && words && plain && !lab && !asks
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str]) -> Option<String> {
        over_report(&layout(&typed(lines)), Some("Quill Analytical")).map(|f| f.text)
    }

    #[test]
    fn a_club_beside_a_title_is_whose_soil_it_is() {
        let title = |line: &str| of(&["Quill Analytical", "Unit 6, Melbridge", line]);
        for line in ["Greens analysis - Hob Mill Golf Club", "Hob Mill Golf Club - Report 2201"] {
            assert_eq!(title(line).as_deref(), Some("Hob Mill Golf Club"), "{line}");
        }
        for line in [
            "Green 3 - Hob Mill Golf Club",
            "Greens analysis - North green",
            "Greens analysis - Quill Soil Trust",
            "Greens analysis - Front lawns",
            "Rose beds - Report 2201",
            "Soil analysis - Quill Analytical Ltd",
            "Greens - Hob Mill Golf Club",
        ] {
            assert_eq!(title(line), None, "{line}");
        }
        let two = ["Soil report - Hob Mill Golf Club", "Soil report - Weir Bowls Club"];
        assert_eq!(of(&["Quill Analytical", two[0], two[1]]), None);
    }

    #[test]
    fn a_farm_over_the_number_of_the_report_is_whose_soil_it_is() {
        let head = |name: &str, below: &str| of(&["Quill Analytical", "", name, below]);
        assert_eq!(head("Hob Hall Farm", "Report QA 607").as_deref(), Some("Hob Hall Farm"));
        for (name, below) in [
            ("Hob Hall Farm", "Samples received 20 May 2023"),
            ("Hob Farm Laboratory", "Report QA 607"),
            ("Field by the farm", "Report QA 607"),
            ("Soil of Hob 3 Farm", "Report QA 607"),
            ("North Field", "Report QA 607"),
        ] {
            assert_eq!(head(name, below), None, "{name}");
        }
        assert_eq!(of(&["Hob Hall Farm", "Report QA 607"]), None);
    }

    #[test]
    fn a_farm_beside_the_number_of_the_report_is_whose_soil_it_is() {
        let head = |line: &str| of(&["Quill Analytical", "Unit 6, Melbridge", line]);
        assert_eq!(head("Report QA-607      Hob Hall Ranch").as_deref(), Some("Hob Hall Ranch"));
        for line in [
            "Report QA-607      Hob Farm Laboratory",
            "Report QA-607      North field",
            "Report QA-607      Page 1 of Farm",
            "Report QA-607      Hob Hall Ranch      Weir Ranch",
            "Sample QA-607      Hob Hall Ranch",
        ] {
            assert_eq!(head(line), None, "{line}");
        }
    }

    #[test]
    fn a_society_that_the_law_keeps_for_farms_is_whose_soil_it_is() {
        let head = |name: &str| of(&["Quill Analytical", "", name, "Le Bourg"]);
        assert_eq!(head("EARL des Aubiers").as_deref(), Some("EARL des Aubiers"));
        for other in
            ["Earl", "EARL laboratoire Hob", "earl grey tea", "SARL des Aubiers", "EARL: des Aubiers"]
        {
            assert_eq!(head(other), None, "{other}");
        }
    }

    #[test]
    fn a_farm_right_under_the_number_is_whose_soil_it_is() {
        let under = |number: &str, name: &str| {
            of(&["Quill Analytical", number, name, "Samples received: 20 May 2024"])
        };
        let named = Some("Quillvlei Boerdery".to_owned());
        assert_eq!(under("Report DV-1190     Date: 29 May 2024", "Quillvlei Boerdery"), named);
        assert_eq!(under("Report DV-1190", "Quillvlei Boerdery"), named);
        for (number, name) in [
            ("Report DV-1190", "Fertiliser Depot"),
            ("Report DV-1190", "Quillvlei"),
            ("Report DV-1190", "Crop advisor: Quillvlei Boerdery"),
            ("Report DV-1190", "Quill Analytical Farm"),
            ("Report on soils", "Quillvlei Boerdery"),
            ("Report DV-1190 of the trial at", "Quillvlei Boerdery"),
        ] {
            assert_eq!(under(number, name), None, "{number} {name}");
        }
        assert_eq!(
            of(&["Quill Analytical", "Report DV-1190", "Hob Farm", "Quern Farm"]),
            Some("Hob Farm".to_owned())
        );
    }
}
