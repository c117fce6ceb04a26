//! Printed letters made comparable: one form of every dash, digit and space, and words cut the same way everywhere.

use compact_str::CompactString;
use std::borrow::Cow;
use unicode_normalization::UnicodeNormalization;

/// As [`fold`], without a copy where the text is in its one form already, as most are.
pub fn folded(text: &str) -> Cow<'_, str> {
    let bytes = text.as_bytes();
    let plain = |byte: &u8| matches!(byte, b'!'..=b'~') && *byte != b'_';
    let single = bytes.windows(2).all(|pair| match pair {
        [a, b] => plain(b) || *b == b' ' && *a != b' ',
        _ => true,
    });
    if single && bytes.first().is_none_or(plain) && bytes.last().is_none_or(plain) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(fold(text))
}

/// One form for what print spells in many ways: NFKC (sub- and superscript digits become digits, ligatures
/// letters), every dash `-`, micro `u`, every space one space. Case is kept: `Mg` is no `mg`.
pub fn fold(text: &str) -> String {
    // Most print is plain: letters that have no other form.
    if text.is_ascii() {
        return spaced(text.chars());
    }
    // The micro sign first: as a `u` it may join the mark that follows it, and folding twice would not be folding once.
    spaced(text.chars().map(|c| if matches!(c, 'µ' | 'μ') { 'u' } else { c }).nfkc())
}

/// Every letter in its one form, with single spaces and none around.
fn spaced(letters: impl Iterator<Item = char>) -> String {
    let mut out = String::with_capacity(letters.size_hint().1.unwrap_or_default());
    for c in letters {
        let c = match c {
            '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{fe58}' | '\u{ff0d}' => '-',
            'μ' => 'u',
            '\u{2018}' | '\u{2019}' => '\'',
            '\u{201c}' | '\u{201d}' | '\u{2033}' => '"',
            '\u{2032}' => '\'',
            '\u{00b7}' | '\u{2219}' | '\u{22c5}' => ' ',
            '\u{2044}' => '/',
            '_' => ' ',
            c if c.is_control() || c.is_whitespace() => ' ',
            c => c,
        };
        if c == ' ' && (out.is_empty() || out.ends_with(' ')) {
            continue;
        }
        out.push(c);
    }
    while out.ends_with(' ') {
        out.pop();
    }
    out
}

/// True for figures and points alone, as most values of a report are: they name nothing, and are cut no further.
pub fn is_figure(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.iter().all(|b| b.is_ascii_digit() || *b == b'.') && bytes.iter().any(u8::is_ascii_digit)
}

/// Folds and cuts into comparable pieces: at spaces, and around brackets, percent signs, commas, colons,
/// semicolons and equal signs unless these stand inside a number or a ratio (`1,234`, `1:1`, `Ca:Mg`).
pub fn pieces(text: &str) -> Vec<CompactString> {
    let folded = folded(text);
    let mut out: Vec<CompactString> = Vec::new();
    let mut current = CompactString::default();
    let mut before: Option<char> = None;
    let mut letters = folded.chars().peekable();
    while let Some(c) = letters.next() {
        let after = letters.peek().copied();
        let inside_number =
            || before.is_some_and(|b| b.is_ascii_digit()) && after.is_some_and(|a| a.is_ascii_digit());
        // `mg P2O5 /100 g`: what lowers a figure of a formula leaves a space behind it.
        let in_hundred =
            || before.is_some_and(char::is_alphanumeric) && letters.clone().take(4).eq("/100".chars());
        match c {
            ' ' if in_hundred() => continue,
            ' ' => flush(&mut current, &mut out),
            ',' if inside_number() => current.push(c),
            ':' if inside_number()
                || (before.is_some_and(char::is_alphabetic) && after.is_some_and(char::is_alphabetic)) =>
            {
                current.push(c);
            }
            '(' | ')' | '[' | ']' | '{' | '}' | '%' | ',' | ':' | ';' | '=' | '|' | '"' => {
                flush(&mut current, &mut out);
                out.push(one(c));
            }
            '*' | '†' | '‡' if after.is_none_or(|a| a == ' ') => {
                flush(&mut current, &mut out);
                out.push(one(c));
            }
            _ => current.push(c),
        }
        before = Some(c);
    }
    flush(&mut current, &mut out);
    out
}

fn one(letter: char) -> CompactString {
    let mut out = CompactString::default();
    out.push(letter);
    out
}

/// Ends a piece.
fn flush(current: &mut CompactString, out: &mut Vec<CompactString>) {
    if current.is_empty() {
        return;
    }
    let piece = std::mem::take(current);
    // `1:2,5` is the ratio `1:2.5` of countries that write a decimal comma.
    if piece.contains(':') && piece.starts_with(|c: char| c.is_ascii_digit()) {
        out.push(piece.replace(',', ".").into());
    } else if may_run_together(&piece) {
        out.extend(run_together(&piece));
    } else {
        out.push(piece);
    }
}

/// Whether a piece can be of several words, which most cannot: only a capital behind its first letter begins another
/// word, and only a digit stands before the `to` of a ratio.
fn may_run_together(piece: &str) -> bool {
    let counted = piece.starts_with(|c: char| c.is_ascii_digit()) && piece.contains("to");
    counted || piece.chars().skip(1).any(char::is_uppercase)
}

/// `SampleName`, `BufferpH`, `1to1`: headings of exports run words together; a capital after a small letter begins the
/// next, where both are words and no symbols (`CaCl2`).
fn run_together(piece: &str) -> Vec<CompactString> {
    if let Some((left, right)) = piece.split_once("to")
        && !left.is_empty()
        && left.chars().all(|c| c.is_ascii_digit())
        && right.parse::<f32>().is_ok()
    {
        return vec![format!("{left}:{right}").into()];
    }
    let chars: Vec<char> = piece.chars().collect();
    if !chars.iter().all(|c| c.is_alphabetic()) {
        return vec![piece.into()];
    }
    let mut starts = vec![0];
    for i in 1..chars.len() {
        let small = |i: usize| chars.get(i).is_some_and(|c| c.is_lowercase());
        let capital = chars.get(i).is_some_and(|c| c.is_uppercase());
        let ph = chars.get(i..) == Some(&['p', 'H']);
        let id = chars.get(i..) == Some(&['I', 'D']);
        if capital && small(i - 1) && small(i + 1) || (ph || id && small(i - 1)) && i > 2 {
            starts.push(i);
        }
    }
    // The `No` of `LabNo` is short; a first word of two letters is a symbol's.
    if starts.len() < 2 || starts.get(1).is_some_and(|s| *s < 3) {
        return vec![piece.into()];
    }
    let ends = starts.iter().skip(1).copied().chain([chars.len()]);
    starts.iter().zip(ends).filter_map(|(from, to)| Some(chars.get(*from..to)?.iter().collect())).collect()
}

/// True for a piece that only separates.
pub fn is_punctuation(piece: &str) -> bool {
    piece.chars().all(|c| !c.is_alphanumeric() && c != '%' && c != '#' && c != '<' && c != '>')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn print_variants_fold_to_one_form() {
        assert_eq!(fold("P₂O₅\u{a0} 1\u{2009}000"), "P2O5 1 000");
        assert_eq!(fold("6.0\u{2013}7.0"), "6.0-7.0");
        assert_eq!(fold("µS/cm"), "uS/cm");
        assert_eq!(fold(&fold("\u{3bc}\u{308}g")), fold("\u{3bc}\u{308}g"), "folding twice is folding once");
    }

    #[test]
    fn what_is_folded_already_is_not_copied() {
        for text in ["", "pH", "1:1 water", "Mg (ppm)", "~"] {
            assert!(matches!(folded(text), Cow::Borrowed(same) if same == text), "{text}");
        }
        for text in [" a", "a ", "a  b", "a_b", "a\tb", "µS", "\u{7f}"] {
            assert!(matches!(folded(text), Cow::Owned(_)), "{text}");
            assert_eq!(folded(text), fold(text), "{text}");
        }
    }

    #[test]
    fn a_space_before_a_hundred_behind_a_formula_is_none() {
        assert_eq!(pieces("mg P2O5 /100 g"), pieces("mg P2O5/100 g"));
        assert_eq!(pieces("Klei /Clay").len(), 2);
        assert_eq!(pieces("(a) /100 g").len(), 5);
    }

    #[test]
    fn pieces_keep_ratios_and_thousands_whole() {
        assert_eq!(
            pieces("pH (1:1 water): 6,300 %K"),
            ["pH", "(", "1:1", "water", ")", ":", "6,300", "%", "K"]
        );
        assert_eq!(pieces("OM%"), ["OM", "%"]);
        assert_eq!(pieces("pH (1:2,5)"), ["pH", "(", "1:2.5", ")"]);
        assert_eq!(pieces("Ca:Mg"), ["Ca:Mg"]);
    }

    #[test]
    fn words_run_together_in_exports_come_apart_and_symbols_do_not() {
        assert_eq!(pieces("ClientSampleRef"), ["Client", "Sample", "Ref"]);
        assert_eq!(pieces("LabNo SampleID"), ["Lab", "No", "Sample", "ID"]);
        assert_eq!(pieces("BufferpH_SMP"), ["Buffer", "pH", "SMP"]);
        assert_eq!(pieces("pH_1to1"), ["pH", "1:1"]);
        assert_eq!(
            pieces("CaCl2 pH MgO CaO pHKCl SoilTest"),
            ["CaCl2", "pH", "MgO", "CaO", "pHKCl", "Soil", "Test"]
        );
    }
}
