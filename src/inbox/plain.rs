//! Text of untrusted origin, made harmless for a terminal, a log line or a file beside an original.

/// The text on one line, without control characters and without marks that turn the direction of writing.
pub fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() || turns(c) { ' ' } else { c }).collect()
}

/// The marks that turn the direction of writing, which can make a text read as another, and line separators.
fn turns(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn escapes_and_new_lines_become_spaces() {
        assert_eq!(plain("a\u{1b}[31mb\nERROR c\u{202e}d\u{9b}e"), "a [31mb ERROR c d e");
    }
}
