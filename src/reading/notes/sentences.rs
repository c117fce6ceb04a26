//! Lines of notes joined to paragraphs, and these cut into clauses.

use super::super::fold::fold;

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
                        || current.ends_with(|c: char| c.is_ascii_digit() || c == ')'))
                    && after.is_none_or(|a| {
                        a.is_uppercase() || a.is_ascii_digit() || a == 'p' && chars.get(i + 3) == Some(&'H')
                    })
            }
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
