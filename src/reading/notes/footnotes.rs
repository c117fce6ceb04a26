//! Footnotes by their mark: running numbers, signs, letters of the alphabet.

/// `1 one part soil, one part water 2 Sikora buffer 3 ...`: numbered footnotes, one or many a line. Numbers count
/// up, so that a figure inside a note opens no other. Before the first sign a sentence may stand: `All by Mehlich 3 except
/// where marked: † DTPA ‡ hot water`.
pub(super) fn marked(line: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let all: Vec<&str> = line.split(' ').collect();
    let begins =
        |pair: &[&str]| matches!(pair, [before, sign] if before.ends_with([':', '.']) && is_sign(sign));
    let first = all.windows(2).position(begins).map_or(0, |before| before + 1);
    let words = if all.first().is_some_and(|w| is_sign(w)) {
        all.as_slice()
    } else {
        all.get(first..).unwrap_or_default()
    };
    let mut expected: Option<u32> = None;
    for (i, word) in words.iter().enumerate() {
        let bare = word.trim_matches(|c| matches!(c, '(' | ')' | '[' | ']' | '.' | ':'));
        let number = bare.parse::<u32>().ok().filter(|n| *n < 30 && bare.len() <= 2 && !word.ends_with(','));
        let starred = !word.is_empty() && word.chars().all(|c| matches!(c, '*' | '†' | '‡' | '§' | '¶'));
        let sign = starred && (i == 0 || word.len() <= 3);
        let opens = match number {
            Some(n) => (i == 0 && n >= 1) || expected == Some(n),
            None => sign,
        };
        if opens && i + 1 < words.len() {
            expected = number.map(|n| n + 1).or(expected);
            out.push((bare.to_owned(), String::new()));
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
