//! `Sample No.   1   2   3` over or under `Field   Moss   Hob   Elm`: running numbers name no column where words do.

use super::super::super::across::is_running;
use super::super::super::stems::codes;
use super::super::super::vocabulary::Field;
use super::parts::FieldRow;

/// Takes away the row of running numbers where another row of names has a word of its own for each column. True where
/// both may name the columns, and nobody knows which does.
pub(super) fn without_running(fields: &mut Vec<FieldRow>) -> bool {
    let names = |row: &&FieldRow| row.0 == Field::SampleLabel && row.1.len() > 1;
    let texts = |row: &FieldRow| row.1.iter().map(|a| a.text.clone()).collect::<Vec<_>>();
    let counts = |row: &FieldRow| {
        let texts = texts(row);
        texts.iter().all(|t| t.len() < 4 && t.chars().all(|c| c.is_ascii_digit()))
    };
    // Codes of one stem beside words: nobody knows which of them the client wrote.
    let coded = |row: &&FieldRow| {
        let texts = texts(row);
        names(row) && codes(&texts.iter().map(String::as_str).collect::<Vec<_>>()).is_some()
    };
    if let Some(row) = fields.iter().find(coded) {
        let words = |other: &&FieldRow| names(other) && !coded(other) && other.1.len() == row.1.len();
        let unlike = |other: &FieldRow| {
            let mut texts = texts(other);
            texts.sort_unstable();
            texts.dedup();
            texts.len() > 1 && texts.iter().all(|t| t.contains(char::is_alphabetic))
        };
        if fields.iter().filter(words).any(unlike) {
            return true;
        }
    }
    let worded = |row: &FieldRow| texts(row).iter().all(|t| t.contains(char::is_alphabetic));
    let Some(numbers) = fields.iter().position(|row| names(&row) && counts(row)) else { return false };
    let words: Vec<&FieldRow> = fields.iter().filter(names).filter(|row| worded(row)).collect();
    let Some(row) = fields.get(numbers) else { return false };
    let [word] = words.as_slice() else { return !words.is_empty() };
    let layered = fields.iter().any(|(f, _)| matches!(f, Field::DepthTop | Field::DepthBottom));
    let mut unlike = texts(word);
    unlike.sort_unstable();
    unlike.dedup();
    // One piece of ground over every column is where all the samples were taken.
    if unlike.len() == 1 && !layered {
        return false;
    }
    let own = word.1.len() == row.1.len() && (unlike.len() == word.1.len() || layered);
    if own && is_running(&texts(row)) {
        fields.remove(numbers);
        return false;
    }
    true
}
