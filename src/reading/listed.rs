//! Lists of words in data files, a line each: what the word is for, the word in lower case, its source; `[cp]` is common
//! practice without one.

use super::vocabulary::VocabularyError;

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
