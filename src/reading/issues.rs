//! What a heading says of the issue that its numbers stood in: `Valor anterior (anulado)` beside `Valor corregido`.

use super::fold::pieces;
use super::label::label;
use super::layout::Layout;
use super::vocabulary::{Context, Role};
use super::words::List;

/// Which issue of a report numbers are of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Issue {
    /// One that no longer counts.
    Before,
    /// The one that counts.
    Now,
    /// It speaks of both.
    Either,
}

const PLAIN: Context = Context { symbols: false, capitals: false };

/// What the words of a heading of results say, whatever else it says.
pub fn issue_of(heading: &str) -> Option<Issue> {
    let said = Said::of(heading);
    said.issue()
}

/// What a heading says that is of nothing but an issue and results: `Annulled value`, `Withdrawn`. `Old` and `New` alone may
/// be names.
pub fn of_an_issue_alone(heading: &str) -> Option<Issue> {
    let said = Said::of(heading);
    // `Result (old unit)` speaks of more than a result.
    let result = |word: &str| label(word, PLAIN).role == Some(Role::Result);
    let results = !said.rest.is_empty() && said.rest.split(' ').all(result);
    let alone = said.rest.is_empty() && said.surely;
    said.issue().filter(|_| results || alone)
}

#[derive(Default)]
struct Said {
    before: bool,
    now: bool,
    /// By a word that is nothing else.
    surely: bool,
    /// The other words.
    rest: String,
}

impl Said {
    fn of(heading: &str) -> Self {
        let lower = heading.to_lowercase();
        if List::IssueBefore.has(&lower) {
            return Self { before: true, surely: true, ..Self::default() };
        }
        if List::IssueNow.has(&lower) {
            return Self { now: true, surely: true, ..Self::default() };
        }
        let mut said = Self::default();
        let mut rest = Vec::new();
        for word in pieces(&lower) {
            let word = word.as_str();
            match () {
                () if List::NoLonger.has(word) => (said.before, said.surely) = (true, true),
                () if List::Formerly.has(word) => said.before = true,
                () if List::Corrected.has(word) => (said.now, said.surely) = (true, true),
                () if List::AtPresent.has(word) => said.now = true,
                () if word.chars().any(char::is_alphanumeric) => rest.push(word.to_owned()),
                () => {}
            }
        }
        said.rest = rest.join(" ");
        said
    }

    fn issue(&self) -> Option<Issue> {
        match (self.before, self.now) {
            (true, true) => Some(Issue::Either),
            (true, false) => Some(Issue::Before),
            (false, true) => Some(Issue::Now),
            (false, false) => None,
        }
    }
}

/// So many words stand at most between a sign and what it says of a value.
const FAR: usize = 8;

/// True where a page says that this sign stands for a value that did not change: `= : unchanged`.
pub fn says_unchanged(page: &Layout, sign: &str) -> bool {
    page.lines.iter().any(|line| {
        let texts = line.phrases.iter().map(|p| p.text().to_lowercase());
        explains(&texts.collect::<Vec<_>>().join(" "), sign)
    })
}

fn explains(text: &str, sign: &str) -> bool {
    let bare = |w: &str| {
        w.trim_matches(|c: char| {
            matches!(c, '"' | '\'' | '`' | '«' | '»' | '„' | '“' | '”' | '‘' | '’' | '(' | ')' | ':')
        })
        .to_owned()
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    words.iter().enumerate().filter(|(_, w)| bare(w) == sign).any(|(at, _)| {
        let behind = words.iter().skip(at + 1).take(FAR);
        let mut said = String::from(" ");
        for word in behind {
            said.push_str(word.trim_matches(|c: char| !c.is_alphanumeric()));
            said.push(' ');
            if word.ends_with([',', ';', '.']) {
                break;
            }
        }
        List::Unchanged.among(&said)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heading_says_which_issue_its_numbers_are_of() {
        for heading in [
            "Valor anterior (anulado)",
            "Annulled value",
            "Result (withdrawn)",
            "Old result",
            "Wrong value",
            "Résultat annulé",
            "Alter Wert",
            "Superseded",
        ] {
            assert_eq!(of_an_issue_alone(heading), Some(Issue::Before), "{heading}");
        }
        for heading in ["Valor corregido", "Corrected result", "New value", "Neuer Wert", "Amended"] {
            assert_eq!(of_an_issue_alone(heading), Some(Issue::Now), "{heading}");
        }
        assert_eq!(of_an_issue_alone("Corrected (was withdrawn)"), None);
        assert_eq!(issue_of("Value, corrected (was wrong)"), Some(Issue::Either));
        for heading in ["Result", "Old mill", "New", "Old", "Corrected for moisture", "Withdrawn plot"] {
            assert_eq!(of_an_issue_alone(heading), None, "{heading}");
        }
    }

    #[test]
    fn a_sign_for_what_did_not_change_is_explained() {
        assert!(explains("el signo = indica que el valor no cambia.", "="));
        assert!(explains("\"=\": unchanged", "="));
        assert!(!explains("= : not determined, all others unchanged", "="));
        assert!(!explains("all values are unchanged", "="));
        assert!(!explains("= is above the limit", "="));
    }
}
