//! Whom a letter greets, as the client: where it greets somebody by both names and tells of their own soil.

use super::super::layout::{Layout, Phrase};
use super::super::vocabulary::Field;
use super::super::words::List;
use super::FieldValue;
use super::letter::is_ground;
use regex::Regex;
use std::sync::LazyLock;

/// `Hello Ada Fernshaw,`.
static SALUTATION: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^(?:Hello|Hi|Dear|Good (?:morning|day|afternoon)),? (\p{Lu}[\p{L}'’.-]*(?: (?:&|and|\p{Lu}[\p{L}'’.-]*)){1,5})[,:!]").ok()
});

/// `your soil`, `here are the results`: the letter is about the soil of whom it greets.
static YOURS: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"\byour (?:soil |test |lawn |garden )*(?:results?|soil|samples?|report|lawn|garden|fields?)\b|\b(?:here|below|these) (?:are|is) the (?:soil |test )*(?:results?|report)\b|\bfind (?:here|below|enclosed|attached) the (?:soil |test )*(?:results?|report)\b").ok()
});

/// `Your soil test, Hob Mill Lab`: the subject of a mail over the letter.
static SUBJECT: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^your soil (?:test|analysis|report|results?|samples?)\b").ok());

/// `the report for Hob Mill`, `soil from Quern Farms`: of what or whom.
static WHOSE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"\b(?:[Rr]esults?|[Rr]eports?|[Ss]amples?|[Ss]oils?|[Tt]ests?|[Aa]nalys[ie]s) (?:taken )?(?:of|for|from|at|on) (?:the )?(\p{Lu}[^(,.;:]{1,40}?)(?: \(|,|\.|;|:| is | are | was | were | show|$)").ok()
});

/// `Hello Ada Fernshaw, here are the results of Back lawn.`: who is greeted by both names, and told of their own soil.
pub fn greeted(page: &Layout, lab: Option<&str>) -> Option<FieldValue> {
    let at = page
        .lines
        .iter()
        .take(GREETING)
        .position(|l| l.phrases.first().is_some_and(|p| matches(&SALUTATION, p.text())))?;
    let phrase = page.lines.get(at)?.phrases.first()?;
    let text = phrase.text();
    let name = SALUTATION.as_ref()?.captures(text)?.get(1)?.as_str();
    let words: Vec<String> = name
        .split(' ')
        .map(|w| w.trim_end_matches('.').to_lowercase())
        .filter(|w| w != "&" && w != "and")
        .collect();
    let untitled = words.iter().filter(|w| !List::Courtesy.has(w)).count();
    let nobody = |w: &String| {
        List::Greeted.has(w) || List::Laboratory.has(w) || List::Ground.has(w) || List::Place.has(w)
    };
    // `Mr and Mrs Quern` are not known by their first names, and there may be others.
    let whole = untitled > 1 && untitled <= 4 && !words.iter().any(nobody);
    let own = lab.is_some_and(|lab| lab.to_lowercase().contains(&name.to_lowercase()));
    // What follows the name on its line, and the lines of the letter below.
    let rest = text.get(text.find(name)? + name.len()..)?;
    let below = page.lines.iter().skip(at + 1).take(LETTER).flat_map(|l| &l.phrases).map(Phrase::text);
    let letter = std::iter::once(rest).chain(below).collect::<Vec<_>>().join(" ");
    // `the report for Hob Mill Golf Club`, `soil from Quern Farms` is another's.
    let others = WHOSE.as_ref()?.captures_iter(&letter).filter_map(|c| c.get(1));
    let others = others.into_iter().any(|m| !is_ground(m.as_str().trim()));
    let letter = letter.to_lowercase();
    let subject = page.lines.first().filter(|_| at > 0).and_then(|l| l.phrases.first());
    let subject = subject.is_some_and(|p| matches(&SUBJECT, &p.text().to_lowercase()));
    let yours = subject || matches(&YOURS, &letter);
    let another = others
        || ["client", "customer", "on behalf", "grower", "farmer", "member"]
            .iter()
            .any(|w| letter.contains(w));
    (whole && !own && yours && !another).then(|| FieldValue {
        field: Field::Party,
        text: name.to_owned(),
        page: page.number,
        area: phrase.area,
        firm: false,
    })
}

/// Lines at the head of a page among which a salutation stands, and lines of the letter behind it that tell whose soil it is.
const GREETING: usize = 16;
const LETTER: usize = 6;

fn matches(pattern: &LazyLock<Option<Regex>>, text: &str) -> bool {
    pattern.as_ref().is_some_and(|r| r.is_match(text))
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::layout;
    use super::super::super::layout::tests::typed;
    use super::*;

    #[test]
    fn who_is_greeted_by_both_names_and_told_of_their_soil_is_the_client() {
        let client = |lines: &[&str]| greeted(&layout(&typed(lines)), Some("Hob Mill Lab")).map(|f| f.text);
        let own = "Hello Ada Fernshaw, here are the results of Back lawn.";
        assert_eq!(client(&["Hob Mill Lab", own]).as_deref(), Some("Ada Fernshaw"));
        let letter = ["Dear Mr. Adan Fernshaw,", "", "Thank you for sending us your soil."];
        assert_eq!(client(&letter).as_deref(), Some("Mr. Adan Fernshaw"));
        let found = ["Dear Ada Fernshaw,", "", "Please find below the results for the samples we received."];
        assert_eq!(client(&found).as_deref(), Some("Ada Fernshaw"));
        // The subject of a mail tells as much as its letter; what is forwarded, or the laboratory's own words, does not.
        let under = |subject: &str, letter: &str| client(&[subject, "", "Dear Ada Fernshaw,", "", letter]);
        let plain = "Report 4471 of 3 May 2023.";
        assert_eq!(under("Your soil test - Hob Mill 4471", plain).as_deref(), Some("Ada Fernshaw"));
        for subject in ["Fwd: Your soil test - Hob Mill 4471", "Hob Mill, for your soil", "Soil test 4471"] {
            assert_eq!(under(subject, plain), None, "{subject}");
        }
        assert_eq!(under("Your soil test - Hob Mill 4471", "The results for Quern Farms are below."), None);
        for other in [
            "Hello Ada, here are your results.",
            "Dear Mr Fernshaw, here are your results.",
            "Dear Valued Customer, here are your results.",
            "Dear Lawn Owner, here are your results.",
            "Dear Ada Fernshaw, here are the results for your client.",
            "Dear Ada Fernshaw, we have moved to Hobden.",
            "Hello Hob Mill, here are your results.",
            "Dear Ada Fernshaw, the report for Quern Golf Club is with this letter, and your results.",
            "Dear Ada Fernshaw, thank you for the soil from Quern Farms. Here are the results.",
            "Dear Ada Fernshaw, the report is with this letter.",
        ] {
            assert_eq!(client(&["Hob Mill Lab", other]), None, "{other}");
        }
    }
}
