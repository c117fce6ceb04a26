//! Lists of words in data files, a line each: what the word is for, the word in lower case, its source; `[cp]` is common
//! practice without one.

use super::vocabulary::VocabularyError;
use crate::document::{Cause, Format, Refusal};
use std::sync::OnceLock;

/// The first line of a data file that could not be read, if any was met.
static BAD_LINE: OnceLock<String> = OnceLock::new();

/// Notes a list that was read in part alone, for what stands behind a bad line is missing: see [`all_whole`].
pub fn note_bad_line(read: Result<usize, VocabularyError>) {
    if let Err(error) = read {
        // The first one is told.
        let _ = BAD_LINE.set(error.to_string());
    }
}

/// Nothing that was read with half a word list may count: without the words of a guard, wrong numbers pass. Asked when a
/// document is read, once the lists it needs are loaded.
///
/// # Errors
/// A [`Refusal`] that names the line.
pub fn all_whole(format: Format) -> Result<(), Refusal> {
    BAD_LINE.get().map_or(Ok(()), |line| Err(half_read(line, format)))
}

fn half_read(line: &str, format: Format) -> Refusal {
    Refusal::new(
        Cause::Stopped,
        format,
        format!("A word list of this program is damaged ({line}), so it reads nothing."),
        "Install the program anew, then drop the file again; it is kept here unchanged.",
    )
}

/// Hands over each word with what it is for and gives their number. `add` says whether the word was new.
///
/// # Errors
/// The first line that says nothing known, whose word is not in lower case or stands twice, or that has no source.
pub fn each_word<K>(
    (file, text): (&'static str, &'static str),
    kind: impl Fn(&str) -> Option<K>,
    mut add: impl FnMut(&'static str, K) -> bool,
) -> Result<usize, VocabularyError> {
    let mut count = 0;
    for (line, row) in (1..).zip(text.lines()).skip(1) {
        let bad = |problem: String| VocabularyError { file, line, problem };
        let mut cells = row.splitn(3, ',');
        let (id, word) = (cells.next().unwrap_or_default(), cells.next().unwrap_or_default());
        let kind = kind(id).ok_or_else(|| bad(format!("unknown `{id}`")))?;
        if word.is_empty() || word.to_lowercase() != word || !add(word, kind) {
            return Err(bad(format!("`{word}` is no word in lower case, or stands twice")));
        }
        if cells.next().is_none_or(|source| source.trim_matches(['"', ' ']).is_empty()) {
            return Err(bad(format!("`{word}` has no source")));
        }
        count += 1;
    }
    Ok(count)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn with_half_a_list_nothing_is_read_and_the_line_is_named() {
        let bad = each_word(("x.csv", "kind,word,source\n<<<,one,[cp]"), |_| None::<()>, |_, ()| true);
        let refusal = half_read(&bad.unwrap_err().to_string(), Format::Pdf);
        assert_eq!(refusal.cause, Cause::Stopped);
        assert!(refusal.what.contains("x.csv, line 2: unknown `<<<`"), "{refusal}");
        // The lists of this program are whole, so what is read counts.
        note_bad_line(Ok(1));
        assert!(all_whole(Format::Pdf).is_ok());
    }

    #[test]
    fn a_bad_line_is_named() {
        let read = |text: &'static str| {
            let mut seen = std::collections::BTreeSet::new();
            let known = |id: &str| (id == "a").then_some(());
            each_word(("x.csv", text), known, |word, ()| seen.insert(word)).map_err(|e| (e.line, e.problem))
        };
        assert_eq!(read("kind,word,source\na,one,\"from memory, and so on\"\na,two,[cp]"), Ok(2));
        for (text, says) in [
            ("kind,word,source\na,one,[cp]\nb,two,[cp]", "unknown `b`"),
            ("kind,word,source\na,one,[cp]\na", "`` is no word"),
            ("kind,word,source\na,one,[cp]\na,Two,[cp]", "`Two` is no word in lower case"),
            ("kind,word,source\na,one,[cp]\na,one,[cp]", "stands twice"),
            ("kind,word,source\na,one,[cp]\na,two", "`two` has no source"),
            ("kind,word,source\na,one,[cp]\na,two,\"\"", "`two` has no source"),
        ] {
            let (line, problem) = read(text).unwrap_err();
            assert!(line == 3 && problem.contains(says), "{text}: {line} {problem}");
        }
    }
}
