//! What a form asks for before a colon in words that name nothing elsewhere, or in more words than are known.

use super::super::fold::is_punctuation;
use super::super::vocabulary::Field;
use super::super::words::List;
use super::person::is_people;
use super::told::day_told;
use compact_str::CompactString;
use std::borrow::Cow;

/// More words than the name of a field has.
const MOST_WORDS: usize = 4;

/// `School: Quill Primary`, `Bed: North rose border`, `Tested: 3 May 2023`: what stands before the colon is no name of a
/// field without it, for `School Lane 4` and `Bed 3` are values. `Club` alone asks for one as well; `Club lawn` is ground.
pub fn asked(text: &str) -> Option<(Field, String, bool)> {
    let Some((name, value)) = text.split_once(':') else {
        if let Some(told) = day_behind(text).or_else(|| report_for(text)) {
            return Some(told);
        }
        return List::Club.has(&text.trim().to_lowercase()).then(|| (Field::Farm, String::new(), false));
    };
    if name.split_whitespace().count() > MOST_WORDS {
        return None;
    }
    let name = name.trim().to_lowercase();
    let name = name.trim_end_matches(['.', '#', ' ']);
    let named = |list: List| {
        let longer = name.rsplit_once(' ').filter(|(_, last)| List::FieldName.has(last));
        list.has(name) || longer.is_some_and(|(name, _)| list.has(name))
    };
    let field = match () {
        () if named(List::AskedParty) || named(List::Club) => Field::Party,
        () if named(List::AskedPlace) => Field::Place,
        () if named(List::AskedDay) => Field::Handled,
        () if List::AskedReceived.has(name) => Field::ReceivedOn,
        () if List::AskedReported.has(name) => Field::ReportedOn,
        () => return None,
    };
    Some((field, value.trim().to_owned(), true))
}

/// `Report for K & L Quern`: without a colon only where people or a firm stand behind it.
fn report_for(text: &str) -> Option<(Field, String, bool)> {
    const OPENS: [&str; 5] = [
        "report for ",
        "soil report for ",
        "soil test report for ",
        "results for ",
        "soil test results for ",
    ];
    let lower = text.to_lowercase();
    let opens = OPENS.iter().find(|words| lower.starts_with(**words))?;
    let name = text.get(opens.len()..)?.trim();
    // `K & L Quern`: of two people one letter each is enough.
    let dotted = |w: &str| match w.chars().next() {
        Some(c) if c.is_uppercase() && w.chars().count() == 1 => format!("{w}."),
        _ => w.to_owned(),
    };
    let two = name.contains(" & ").then(|| name.split(' ').map(dotted).collect::<Vec<_>>().join(" "));
    (is_people(name) || two.is_some_and(|two| is_people(&two)))
        .then(|| (Field::Client, name.to_owned(), false))
}

/// More words than a day has: `10 de noviembre de 2014`.
const MOST_WORDS_OF_A_DAY: usize = 5;

/// `Rec 08/14/24`, `Out 08/20/24`, `Came in 3rd November 2022`: short words for a day, and nothing but a day behind them.
fn day_behind(text: &str) -> Option<(Field, String, bool)> {
    // `Came in ..... 3rd November 2022`.
    let words: Vec<&str> = text.split(' ').filter(|w| !w.chars().all(|c| c == '.')).collect();
    (1..words.len().min(3)).find_map(|at| {
        let (name, day) = words.split_at(at);
        let name = name.join(" ").to_lowercase();
        let name = name.trim_end_matches('.');
        let field = match () {
            () if List::AskedReceived.has(name) => Field::ReceivedOn,
            () if List::AskedReported.has(name) => Field::ReportedOn,
            () => return None,
        };
        // `in 21 Feb 2022, limed 2 Mar 2022` tells two.
        let one = day.len() <= MOST_WORDS_OF_A_DAY;
        day_told(&day.join(" ")).filter(|_| one).map(|day| (field, day, false))
    })
}

/// `Client/Grower: Quill`, as `Client / Grower: Quill`: two words for one field.
pub fn halves_apart(text: &str) -> Cow<'_, str> {
    let word = |w: &str| w.chars().count() > 2 && w.chars().all(char::is_alphabetic);
    let first = text.split([' ', ':']).next().unwrap_or_default();
    match first.split_once('/') {
        Some((a, b)) if word(a) && word(b) => Cow::Owned(text.replacen('/', " / ", 1)),
        _ => Cow::Borrowed(text),
    }
}

/// Where the colon stands that a field's name reaches after words that are none of it: `Sample condition: dry` asks for
/// no sample's name. The words from `from` on are those after the field's name.
pub fn unlike_what_it_asks(words: &[CompactString], from: usize) -> Option<usize> {
    let colon =
        (from..words.len().min(from + MOST_WORDS)).find(|at| words.get(*at).is_some_and(|w| w == ":"))?;
    let between = words.get(from..colon)?;
    let name = |w: &CompactString| {
        is_punctuation(w) || w.chars().all(|c| c.is_alphabetic() || matches!(c, '.' | '\''))
    };
    (!between.is_empty() && between.iter().all(name)).then_some(colon)
}

#[cfg(test)]
mod tests {
    use super::super::super::vocabulary::{Context, Field};
    use super::super::leading_field;

    fn of(text: &str) -> Option<(Field, String, bool)> {
        leading_field(text, Context { symbols: false, capitals: false })
    }

    #[test]
    fn a_colon_makes_a_field_of_words_that_are_none_without_it() {
        assert_eq!(of("School: Quill Primary"), Some((Field::Party, "Quill Primary".into(), true)));
        assert_eq!(of("Bed name: Long border"), Some((Field::Place, "Long border".into(), true)));
        assert_eq!(of("Date tested: 3 May 2023"), Some((Field::Handled, "3 May 2023".into(), true)));
        assert_eq!(of("In: Sep 9, 2024"), Some((Field::ReceivedOn, "Sep 9, 2024".into(), true)));
        assert_eq!(of("Out: 13/09/2024"), Some((Field::ReportedOn, "13/09/2024".into(), true)));
        assert_eq!(of("Out field"), None);
        assert_eq!(of("REC 08/14/24"), Some((Field::ReceivedOn, "08/14/24".into(), false)));
        assert_eq!(of("OUT 08/20/24"), Some((Field::ReportedOn, "08/20/24".into(), false)));
        assert_eq!(
            of("Came in ..... 3rd November 2022"),
            Some((Field::ReceivedOn, "3rd November 2022".into(), false))
        );
        assert_eq!(of("Rec 12 field"), None);
        assert_eq!(
            of("Soil analysis report for: Moss Trust"),
            Some((Field::Party, "Moss Trust".into(), true))
        );
        assert_eq!(of("Soil analysis report for turf"), None);
        assert_eq!(of("Report for K & L Quern"), Some((Field::Client, "K & L Quern".into(), false)));
        assert_ne!(of("Report for North green").map(|f| f.0), Some(Field::Client));
        assert_eq!(of("Golf club"), Some((Field::Farm, String::new(), false)));
        assert_eq!(of("Club lawn"), None);
        assert_eq!(of("School Lane 4"), None);
        assert_eq!(of("Bed 3"), None);
    }

    #[test]
    fn words_between_a_field_and_its_colon_belong_to_its_name_or_change_what_it_asks() {
        assert_eq!(of("Client information: A. Moss"), Some((Field::Client, "A. Moss".into(), true)));
        assert_eq!(of("Client/Grower: A. Moss"), Some((Field::Client, "A. Moss".into(), true)));
        assert_eq!(of("Field/Area: Long border"), Some((Field::SampleLabel, "Long border".into(), true)));
        assert_eq!(of("Farm name: Moss End"), Some((Field::Farm, "Moss End".into(), true)));
        assert_eq!(of("Sample condition: dry").map(|f| f.0), Some(Field::Ignored));
        assert_eq!(of("Sample Long border"), Some((Field::SampleLabel, "Long border".into(), false)));
    }
}
