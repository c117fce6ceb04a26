//! The line at the head of a report that tells its number and its day one behind the other, `Quill Soils, report HX-51, 7 March
//! 2023`, and perhaps whose it is.

use super::super::date::{DayOrder, date};
use super::super::former::is_word_for_the_past;
use super::super::words::List;
use super::told::day_told;
use super::whose::is_party;
use regex::Regex;
use std::sync::LazyLock;

/// The number of the report, whose it is, its day, and whose it is behind the day.
static LINE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"^(?P<lab>[^.;:]{0,60}?)\b[Rr]eport (?:[Nn]o\.? |[Nn]umber )?(?:[A-Z]{1,5}[-/ ])?[A-Z]{0,5}[0-9][\w/-]*(?: for (?P<before>\p{Lu}[^,.;:0-9]{2,60}?))?(?: of|, dated|,) (?P<day>[0-9A-Z][^.;:]{5,20}?)(?: for (?P<behind>\p{Lu}[^,.;:0-9]{2,60}))?(?:\.(?: |$)|$)",
    )
    .ok()
});

/// What such a line tells.
#[derive(Debug, PartialEq)]
pub(super) struct HeadLine {
    /// The day of the report.
    pub day: String,
    /// Whose it is.
    pub client: Option<String>,
    /// Where in the text that stands, in bytes.
    pub at: std::ops::Range<usize>,
}

/// The day, and whose it is, of a text that opens with the report's number or with the laboratory's name and the number.
/// `This replaces report 118 of 3 May 2019` opens with neither.
pub(super) fn head_line(text: &str) -> Option<HeadLine> {
    let found = LINE.as_ref()?.captures(text)?;
    let lab = found.name("lab")?.as_str().trim();
    let day = found.name("day")?;
    if !lab.is_empty() && !is_laboratory(lab) {
        return None;
    }
    let own = day_told(day.as_str()).is_some_and(|d| d == day.as_str());
    if !own || date(day.as_str(), DayOrder::Unknown).is_none() {
        return None;
    }
    let client = found.name("behind").or(found.name("before")).map(|m| m.as_str().trim().to_owned());
    let client = client.filter(|name| is_party(name));
    let at = found.get(0)?.start()..found.get(0)?.end();
    Some(HeadLine { day: day.as_str().to_owned(), client, at })
}

/// Two words or more with capitals, ended by a comma or with a word for a laboratory among them, and none for the past.
fn is_laboratory(text: &str) -> bool {
    let words: Vec<&str> = text.trim_end_matches([',', ' ']).split(' ').collect();
    let lower = |w: &str| w.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
    let joins = |w: &str| matches!(w, "&" | "and" | "of" | "the" | "-");
    words.len() > 1
        && words.iter().all(|w| joins(w) || w.starts_with(char::is_uppercase))
        && !words.iter().any(|w| is_word_for_the_past(w))
        && (text.ends_with(',') || words.iter().any(|w| List::Laboratory.has(&lower(w))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_day_behind_the_number_is_that_of_the_report() {
        for (line, day, client) in [
            ("Quill Soils, report HX-51, 7 March 2023", "7 March 2023", None),
            ("Report GW-118 for Ada Quern, 28 February 2020", "28 February 2020", Some("Ada Quern")),
            ("Report SI 23/77 of 8 November 2023. Client: Hob Farm.", "8 November 2023", None),
            (
                "Quill Soil Analysts report OC-3306 of 18 June 2021 for Hob Growers",
                "18 June 2021",
                Some("Hob Growers"),
            ),
        ] {
            let found = head_line(line).unwrap();
            assert_eq!((found.day.as_str(), found.client.as_deref()), (day, client), "{line}");
        }
        for other in [
            "This replaces report 118 of 3 May 2019.",
            "Former Results, report 118 of 3 May 2019",
            "Replaces report 118 of 3 May 2019",
            "Report 118 of 3 May 2019 is withdrawn",
            "The figures of Hob are from our earlier report SI 19/40 of 3 May 2019.",
            "Report 118, received 3 May 2019",
            "Report 118 for Hob Farm, sampled 3 May 2019",
        ] {
            assert_eq!(head_line(other), None, "{other}");
        }
    }
}
