//! Lines of notes joined to paragraphs, and these cut into clauses.

use super::super::fold::fold;
use super::super::label::label;
use super::super::vocabulary::Context;
use super::super::words::List;
use crate::soil::{Analyte, Method};

/// A line of text outside the tables.
#[derive(Debug, Clone, Default)]
pub struct NoteLine {
    /// Its words.
    pub text: String,
    /// Opens with a small raised sign.
    pub footnote: bool,
    /// A table stands between it and the line before.
    pub apart: bool,
}

/// A few words in each of three columns or more: a line of a table.
fn is_of_a_table(text: &str) -> bool {
    let mut columns = text.split("  ").filter(|c| !c.is_empty()).map(|c| c.split(' ').count());
    text.contains("  ") && columns.clone().count() > 2 && columns.all(|words| words <= 3)
}

/// `PO = Olsen P; KA = K, ammonium acetate`: a legend, which a line that opens with a capital does not go on with.
fn is_legend(text: &str) -> bool {
    text.matches('=').count() > 1 && text.contains(';')
}

/// `P, K and Ca: Mehlich 3`: names of measurements alone before a colon.
fn is_pair(text: &str) -> bool {
    let Some((names, told)) = text.split_once(": ") else { return false };
    let said = label(names, Context { symbols: true, capitals: false });
    (said.analyte.is_some() || said.several) && said.unknown.is_empty() && !told.trim().is_empty()
}

/// More letters are looked at for no clause of the CEC.
const CLAUSE: usize = 80;

/// Words of no more letters (`and`, `from`) go on, where they say nothing by themselves.
const CONJUNCTION: usize = 4;

/// A line of a list that is not broken off: it ends in a word of its own, and closes the brackets it opens.
fn is_whole(text: &str) -> bool {
    let last = text.rsplit(' ').next().unwrap_or_default();
    last.ends_with(|c: char| c.is_alphanumeric() || c == ')')
        && !(last.chars().count() <= CONJUNCTION && List::Filler.has(&last.to_lowercase()))
        && text.matches('(').count() == text.matches(')').count()
}

/// True where a line is the next pair of a list, and no rest of the one before.
fn begins_a_pair(last: &str, line: &str) -> bool {
    is_pair(last) && (is_pair(line) || opens_a_pair(line)) && is_whole(last)
}

/// `Texture: laser`: a word or two with a capital before a colon open a line of a list too, whatever they name.
fn opens_a_pair(line: &str) -> bool {
    let Some((names, told)) = line.split_once(": ") else { return false };
    names.starts_with(char::is_uppercase)
        && names.split(' ').count() <= MOST_NAMES
        && names.split(' ').all(|w| w.chars().all(char::is_alphabetic))
        && !told.trim().is_empty()
}

/// More words before a colon are a sentence.
const MOST_NAMES: usize = 2;

/// `Gehalte in mg/100 g Boden.`: what opens so is a sentence of its own, whatever stands over it.
fn tells_contents(line: &str) -> bool {
    let mut words = line.split(' ');
    let contents = words
        .next()
        .is_some_and(|w| w.starts_with(char::is_uppercase) && List::Contents.has(&w.to_lowercase()));
    contents && words.next().is_some_and(|w| matches!(w, "in" | "en"))
}

/// Footnotes wrap: a line that ends without a full stop goes on in the next.
pub(super) fn paragraphs(lines: &[NoteLine]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut open = false;
    for line in lines {
        let (footnote, table) = (line.footnote || line.apart, is_of_a_table(&line.text));
        let line = fold(&line.text);
        match out.last_mut() {
            Some(last)
                if open
                    && !footnote
                    && !table
                    && !begins_a_pair(last, &line)
                    && !tells_contents(&line)
                    && (!is_legend(last) || !line.starts_with(char::is_uppercase)) =>
            {
                last.push(' ');
                last.push_str(&line);
            }
            _ => out.push(line.clone()),
        }
        open = !table && line.split(' ').count() > 6 && !line.ends_with(['.', '!', '?']);
    }
    out
}

/// `... and the CEC is the sum of cations.`: what is said of the CEC alone, and that it is summed.
fn sums_the_cec(behind: &str) -> bool {
    let Some(rest) = behind.strip_prefix(" and ") else { return false };
    let end = rest.find(['.', ';', ',']).unwrap_or(rest.len());
    let clause = rest.get(..end).unwrap_or(rest);
    let first = clause.trim_start_matches("the ").split(' ').next().unwrap_or_default();
    let said = label(clause, Context { symbols: false, capitals: false });
    first == "CEC"
        && said.analyte == Some(Analyte::Cec)
        && !said.several
        && said.method() == Some(Method::Summation)
}

/// `... and K2O`: the last word is a formula, and no short form of a word.
fn ends_in_a_formula(text: &str) -> bool {
    let last = text.rsplit([' ', '(']).next().unwrap_or_default();
    last.starts_with(char::is_uppercase)
        && last.ends_with(char::is_uppercase)
        && last.contains(|c: char| c.is_ascii_digit())
}

/// Clauses end at semicolons and at full stops that end a sentence.
pub(super) fn clauses(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut current = String::new();
    let chars: Vec<char> = text.chars().collect();
    // `Extraction by ICP. pH in water`: letters for a procedure end a sentence where they are not shouted as all the rest.
    let spoken = text.split(' ').any(|w| w.chars().filter(|c| c.is_lowercase()).count() > 3);
    let acronym = |word: &str| spoken && word.chars().count() > 2 && word.chars().all(char::is_uppercase);
    for (i, c) in chars.iter().enumerate() {
        let next = chars.get(i + 1).copied();
        let after = chars.get(i + 2).copied();
        let before_word: String = current.chars().rev().take_while(|c| c.is_alphabetic()).collect();
        let ends = match c {
            ';' => true,
            // `Cations: ammonium acetate, CEC is the sum of cations`.
            ',' => chars.get(i + 1..i + 9).is_some_and(|behind| {
                let behind: String = behind.iter().collect();
                behind.starts_with(" CEC is ") || behind.starts_with(" CEC was")
            }),
            // `O.M.` and `Sat. paste` are no ends: a sentence ends after a longer word, before a capital.
            '.' => {
                next.is_none_or(|n| n == ' ')
                    && (before_word.chars().count() > 3
                        || acronym(&before_word)
                        || ends_in_a_formula(&current)
                        || current.ends_with(|c: char| c.is_ascii_digit() || c == ')'))
                    && after.is_none_or(|a| {
                        a.is_uppercase() || a.is_ascii_digit() || a == 'p' && chars.get(i + 3) == Some(&'H')
                    })
            }
            ' ' => sums_the_cec(&chars.get(i..).unwrap_or_default().iter().take(CLAUSE).collect::<String>()),
            _ => false,
        };
        if ends {
            out.push(std::mem::take(&mut current));
        } else {
            current.push(*c);
        }
    }
    out.push(current);
    out.retain(|c| !c.trim().is_empty());
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn joined(lines: &[&str]) -> usize {
        let line = |text: &&str| NoteLine { text: (*text).to_owned(), ..NoteLine::default() };
        paragraphs(&lines.iter().map(line).collect::<Vec<_>>()).len()
    }

    #[test]
    fn names_before_a_colon_open_a_line_of_a_list_and_go_on_with_none() {
        assert_eq!(joined(&["P, K, Ca, Mg, Na and S: Mehlich 3", "Fe, Mn and Zn: DTPA"]), 2);
        for broken in [
            "P, K, Ca, Mg, Na and S: Mehlich 3, and",
            "P, K, Ca, Mg, Na and S: Mehlich 3,",
            "P, K, Ca, Mg, Na and S: Mehlich 3 (with",
            "All of the nutrients below were extracted by DTPA",
        ] {
            assert_eq!(joined(&[broken, "Fe, Mn and Zn: DTPA"]), 1, "{broken}");
        }
        let acetate = "Potassium, calcium, magnesium, sodium: 1 M ammonium acetate, pH 7";
        assert_eq!(joined(&[acetate, "Texture: laser, fine earth"]), 2);
        assert_eq!(joined(&[acetate, "fine earth: laser"]), 1);
        assert_eq!(joined(&["P, K, Ca, Mg, Na and S: Mehlich 3", "see the other side: page 2"]), 1);
    }

    #[test]
    fn what_is_said_of_the_sum_is_a_clause_of_its_own() {
        let sum = "The cations were extracted with ammonium acetate and the CEC is the sum of cations.";
        assert_eq!(clauses(sum).len(), 2);
        for one in [
            "Calcium, potassium and CEC was done with ammonium acetate.",
            "Calcium and the sum of cations by ammonium acetate.",
        ] {
            assert_eq!(clauses(one).len(), 1, "{one}");
        }
    }
}
