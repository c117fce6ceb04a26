//! Footnotes under plain letters: `a 1:1 soil to water. b Sikora buffer.`, in one line or one a line. A letter in
//! brackets, `(b)` or `b)`, opens its note whatever ends before it.

use super::super::fold::fold;
use super::sentences::NoteLine;
use std::collections::HashMap;

/// Letters that are left out of such a row because they look like figures or other letters.
const LEFT_OUT: &[char] = &['i', 'j', 'l', 'o'];

/// The notes by their letter. They begin with `a` at the start of a line and follow the alphabet; one letter alone is an
/// article, and a letter with two unlike notes has none.
pub fn lettered(lines: &[NoteLine]) -> HashMap<String, String> {
    let mut out: HashMap<String, Option<String>> = HashMap::new();
    let mut row: Vec<(char, String)> = Vec::new();
    for line in lines {
        let text = fold(&line.text);
        let words: Vec<&str> = text.split(' ').collect();
        let mut ended = true;
        let mut open = row.last().is_some_and(|(_, text)| !text.ends_with('.')) && !line.apart;
        for (i, word) in words.iter().enumerate() {
            let mut letters = word.trim_matches(['(', ')', '.', ':']).chars();
            let enclosed = word.ends_with(')');
            let lone = letters
                .next()
                .filter(|c| c.is_ascii_lowercase() && letters.next().is_none() && (ended || enclosed));
            let opens = lone.filter(|c| match row.last() {
                Some((last, _)) => follows(*last, *c),
                // `Methods. a: water. b: Olsen`: behind a word that ends, with a colon of its own.
                None => *c == 'a' && (i == 0 || word.ends_with(':')),
            });
            let anew = lone.filter(|c| i == 0 && *c == 'a' && !row.is_empty());
            if let Some(letter) = opens.or(anew) {
                if anew.is_some() {
                    close(&mut row, &mut out);
                }
                row.push((letter, String::new()));
                open = true;
                ended = false;
                continue;
            }
            if let Some((_, note)) = row.last_mut().filter(|_| open) {
                if !note.is_empty() {
                    note.push(' ');
                }
                note.push_str(word);
            }
            ended = word.ends_with(['.', ';', ',', ')']);
        }
    }
    close(&mut row, &mut out);
    out.into_iter().filter_map(|(letter, note)| Some((letter, note?))).collect()
}

/// Takes a row of notes in, if it is one.
fn close(row: &mut Vec<(char, String)>, out: &mut HashMap<String, Option<String>>) {
    let row = std::mem::take(row);
    if row.len() < 2 {
        return;
    }
    for (letter, note) in row {
        out.entry(letter.to_string())
            .and_modify(|kept| *kept = kept.take().filter(|other| *other == note))
            .or_insert(Some(note));
    }
}

/// True for the next letter of a row.
fn follows(last: char, next: char) -> bool {
    let between =
        |c: char| (last as u32 + 1..c as u32).filter_map(char::from_u32).all(|c| LEFT_OUT.contains(&c));
    next > last && between(next)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(lines: &[&str]) -> HashMap<String, String> {
        let line = |text: &&str| NoteLine { text: (*text).to_owned(), ..NoteLine::default() };
        lettered(&lines.iter().map(line).collect::<Vec<_>>())
    }

    #[test]
    fn notes_follow_the_alphabet_over_lines() {
        let notes = of(&[
            "a 1:1 soil to water. b 1 M ammonium acetate, pH 7. c LOI.",
            "d 2 M KCl extract. e Hot water.",
        ]);
        assert_eq!(notes.get("b").map(String::as_str), Some("1 M ammonium acetate, pH 7."));
        assert_eq!(notes.get("e").map(String::as_str), Some("Hot water."));
        assert_eq!(of(&["h KCl.", "i DTPA."]), HashMap::new());
        let inline = of(&["(a) in 1 M KCl (b) Bray no. 2 (c) 1 M ammonium acetate, pH 7 (d) DTPA"]);
        assert_eq!(inline.get("a").map(String::as_str), Some("in 1 M KCl"));
        assert_eq!(inline.get("c").map(String::as_str), Some("1 M ammonium acetate, pH 7"));
        let half = of(&["a) Walkley-Black b) Bray y Kurtz c) DTPA"]);
        assert_eq!(half.get("b").map(String::as_str), Some("Bray y Kurtz"));
        let opened = of(&["Methods. a: water, 1:2.5. b: Olsen, bicarbonate pH 8.5. c: hot water soluble."]);
        assert_eq!(opened.get("b").map(String::as_str), Some("Olsen, bicarbonate pH 8.5."));
        assert_eq!(opened.len(), 3);
        assert_eq!(of(&["Methods a: water. b: Olsen."]), HashMap::new());
        let single = of(&["a 1:1 water", "b Sikora buffer"]);
        assert_eq!(single.get("a").map(String::as_str), Some("1:1 water"));
    }

    #[test]
    fn an_article_opens_no_note_and_two_unlike_notes_are_none() {
        assert_eq!(of(&["a sample was taken in a field. The rest is known."]), HashMap::new());
        let twice = of(&["a Olsen. b DTPA.", "a Olsen. b Morgan."]);
        assert_eq!((twice.get("a").map(String::as_str), twice.get("b")), (Some("Olsen."), None));
    }
}
