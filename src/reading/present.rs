//! Words for the season that a report is about: `This report`, `2024 (this report)`.

use regex::Regex;
use std::sync::LazyLock;

static CURRENT: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:this (?:report|year|test|season|sample)|current(?: (?:results?|test|year|season|value))?|present|new results?|now)\b").ok()
});

/// True for a heading of the season that the report is about.
pub fn is_current(heading: &str) -> bool {
    CURRENT.as_ref().is_some_and(|r| r.is_match(heading))
}

/// `2024 (this report)`: a year that is said to be the report's own, and no number.
pub fn is_this_season(text: &str) -> bool {
    let Some((year, rest)) = text.split_once(' ') else { return false };
    let said = rest.strip_prefix('(').and_then(|r| r.strip_suffix(')'));
    year.len() == 4 && year.bytes().all(|b| b.is_ascii_digit()) && said.is_some_and(is_current)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_year_in_words_for_this_season_is_no_number() {
        assert!(is_this_season("2024 (this report)") && is_this_season("2024 (current)"));
        assert!(
            !is_this_season("2024 (mg/kg)") && !is_this_season("2024") && !is_this_season("88 (this report)")
        );
    }
}
