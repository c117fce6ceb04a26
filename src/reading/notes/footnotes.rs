//! Footnotes by their mark: running numbers, signs, letters of the alphabet.

use super::super::signs;
use super::names_a_method;

/// `1 one part soil, one part water 2 Sikora buffer 3 ...`: numbered footnotes, one or many a line. Numbers count
/// up, so that a figure inside a note opens no other. Before the first sign a sentence may stand: `All by Mehlich 3 except
/// where marked: † DTPA ‡ hot water`.
pub(super) fn marked(line: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let mut words: Vec<&str> = line.split(' ').collect();
    // `*Ammonium acetate`: the sign stands close to its note.
    if let Some((sign, own)) = words.first().and_then(|first| signs::before(first)) {
        words.splice(..1, [sign, own]);
    }
    let begins =
        |pair: &[&str]| matches!(pair, [before, sign] if before.ends_with([':', '.']) && is_sign(sign));
    let opens =
        |w: &&str| signs::alone(w).is_some() || w.starts_with(|c: char| c.is_ascii_digit() || c == '(');
    if !words.first().is_some_and(opens)
        && let Some(before) = words.windows(2).position(begins)
    {
        words.drain(..=before);
    }
    let mut expected: Option<u32> = None;
    for (i, word) in words.iter().enumerate() {
        let bare = word.trim_matches(|c| matches!(c, '(' | ')' | '[' | ']' | '.' | ':'));
        let number = bare.parse::<u32>().ok().filter(|n| *n < 30 && bare.len() <= 2 && !word.ends_with(','));
        let sign = signs::alone(word);
        let opens = match number {
            Some(n) => (i == 0 && n >= 1) || expected == Some(n),
            None => sign.is_some(),
        };
        if opens && i + 1 < words.len() {
            expected = number.map(|n| n + 1).or(expected);
            out.push((sign.unwrap_or(bare).to_owned(), String::new()));
        } else if let Some((_, text)) = out.last_mut() {
            if !text.is_empty() {
                text.push(' ');
            }
            text.push_str(word);
        } else {
            return out;
        }
    }
    out
}

/// A sign that is no word and no figure of a sentence.
fn is_sign(word: &str) -> bool {
    let mut letters = word.chars();
    letters.next().is_some_and(|c| matches!(c, '†' | '‡' | '§' | '¶')) && letters.next().is_none()
}

/// `P and K by Mehlich-3; * by DTPA`: notes that open with a sign inside a sentence, where they name a method.
pub(super) fn within(clause: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, Vec<&str>)> = Vec::new();
    for word in clause.split(' ') {
        match (signs::alone(word), out.last_mut()) {
            (Some(sign), _) => out.push((sign.to_owned(), Vec::new())),
            (None, Some((_, note))) => note.push(word),
            (None, None) => {}
        }
    }
    let noted = out.into_iter().map(|(sign, note)| (sign, note.join(" ").trim_end_matches('.').to_owned()));
    noted.filter(|(_, note)| names_a_method(note)).collect()
}

/// What a clause says before the first of these signs: `Elements by Mehlich 3.` of `Elements by Mehlich 3. * Olsen`.
pub(super) fn before_a_sign<'a>(clause: &'a str, borne: &[String]) -> &'a str {
    let is = |word: &str| signs::alone(word).is_some_and(|sign| borne.iter().any(|own| own == sign));
    let starts = std::iter::once(0).chain(clause.match_indices(' ').map(|(at, _)| at + 1));
    let word = |at: &usize| clause.get(*at..).and_then(|rest| rest.split(' ').next());
    let at = starts.into_iter().find(|at| word(at).is_some_and(is));
    at.and_then(|at| clause.get(..at)).unwrap_or(clause).trim_end()
}

/// `a 1:1 soil:water. b Walkley-Black. c ...`: footnotes under raised letters that follow the alphabet.
pub(super) fn lettered(line: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let mut expected: Option<char> = None;
    for word in line.split(' ') {
        let mut chars = word.chars();
        let lone = chars.next().filter(|c| c.is_ascii_lowercase() && chars.next().is_none());
        match (lone, expected) {
            (Some(c), None) if out.is_empty() => {
                expected = char::from_u32(u32::from(c) + 1);
                out.push((c.to_string(), String::new()));
            }
            (Some(c), Some(next)) if c == next => {
                expected = char::from_u32(u32::from(c) + 1);
                out.push((c.to_string(), String::new()));
            }
            _ => match out.last_mut() {
                Some((_, text)) => {
                    text.push(' ');
                    text.push_str(word);
                }
                None => return out,
            },
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::marked;

    fn of(line: &str) -> Vec<(String, String)> {
        marked(line)
    }

    #[test]
    fn a_sign_that_opens_a_note_is_kept_before_another_behind_a_sentence() {
        let found = marked("* ammonium acetate. † DTPA");
        let notes: Vec<_> = found.iter().map(|(sign, text)| (sign.as_str(), text.as_str())).collect();
        assert_eq!(notes, [("*", "ammonium acetate."), ("†", "DTPA")]);
        let signs = |line: &str| marked(line).into_iter().map(|(sign, _)| sign).collect::<Vec<_>>();
        assert_eq!(signs("1 water 2 Olsen. † DTPA").first().map(String::as_str), Some("1"));
        assert_eq!(signs("All by Mehlich 3 except where marked: † DTPA ‡ hot water"), ["†", "‡"]);
    }

    #[test]
    fn signs_open_notes_behind_a_sentence_that_ends() {
        let found =
            of("All by Mehlich 3 except where marked: † DTPA extract ‡ hot water § phosphate extract");
        let said = |a: &str, b: &str| (a.to_owned(), b.to_owned());
        assert_eq!(
            found,
            [said("†", "DTPA extract"), said("‡", "hot water"), said("§", "phosphate extract")]
        );
        assert_eq!(of("Results with † are of a repeat."), []);
        assert_eq!(of("Copper † and iron by DTPA"), []);
    }
}
