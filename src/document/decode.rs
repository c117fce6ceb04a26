//! Bytes to text: UTF-8, UTF-16 by mark or by its zeros, else Windows-1252 (which holds Latin-1), or a code page of central
//! Europe where the words show it.

use encoding_rs::{Encoding, ISO_8859_2, UTF_16BE, UTF_16LE, WINDOWS_1250, WINDOWS_1252};
use std::borrow::Cow;

/// Share of letters past ASCII above which bytes that are no UTF-8 are not taken for a western code page.
const HIGH_SHARE: usize = 3;

/// Text of the bytes with line ends turned into `\n`, or none where they are no text.
///
/// A file that is neither UTF-8 nor UTF-16 is read as Windows-1252: its printable letters include Latin-1's.
pub(super) fn text(bytes: &[u8]) -> Option<String> {
    let decoded = decoded(bytes)?;
    let decoded = decoded.strip_prefix('\u{feff}').unwrap_or(&decoded);
    // The end-of-file mark of old systems stands after the last line.
    let decoded = decoded.trim_end_matches(['\u{1a}', '\0']);
    if !is_text(decoded) {
        return None;
    }
    Some(if decoded.contains('\r') {
        decoded.replace("\r\n", "\n").replace('\r', "\n")
    } else {
        decoded.to_owned()
    })
}

fn decoded(bytes: &[u8]) -> Option<Cow<'_, str>> {
    match utf16(bytes) {
        Some(encoding) => {
            let (text, _, broken) = encoding.decode(bytes);
            (!broken).then_some(text)
        }
        None => match std::str::from_utf8(bytes) {
            Ok(text) => Some(Cow::Borrowed(text)),
            Err(error) if error.error_len().is_none() && error.valid_up_to() + 4 > bytes.len() => {
                // Cut off inside the last letter: the rest is sound.
                bytes.get(..error.valid_up_to()).and_then(|b| std::str::from_utf8(b).ok()).map(Cow::Borrowed)
            }
            Err(_) => western(bytes),
        },
    }
}

fn western(bytes: &[u8]) -> Option<Cow<'_, str>> {
    let high = bytes.iter().filter(|b| **b >= 0x80).count();
    (high * HIGH_SHARE <= bytes.len()).then(|| code_page(bytes).decode_without_bom_handling(bytes).0)
}

/// So many words show a code page.
const SHOWN: usize = 2;

/// Windows-1250 or ISO 8859-2 where signs of Windows-1252 that are letters there stand inside several words; Windows-1252 otherwise, and where both show.
///
/// The bytes are those of `Ś ś Ź ź ą ł Ł ż Ż ľ` in one page and no letters in the other (WHATWG Encoding, indexes).
fn code_page(bytes: &[u8]) -> &'static Encoding {
    // `mean±sd` is nobody's `mean`, `ą`, `sd`: that letter shows nothing.
    let own_1250 = |b: u8| matches!(b, 0x8c | 0x8f | 0x9f | 0xb9 | 0xa5);
    let own_8859 = |b: u8| matches!(b, 0xb6 | 0xa6 | 0xac | 0xbc | 0xa1);
    let shared = |b: u8| matches!(b, 0xa3 | 0xb3 | 0xbf | 0xaf);
    let (mut in_1250, mut in_8859, mut in_both) = (0usize, 0usize, 0usize);
    for window in bytes.windows(3) {
        let [before, sign, after] = window else { continue };
        if before.is_ascii_alphabetic() && (after.is_ascii_lowercase() || *after >= 0xc0) {
            in_1250 += usize::from(own_1250(*sign));
            in_8859 += usize::from(own_8859(*sign));
            in_both += usize::from(shared(*sign));
        }
    }
    match (in_1250 > 0, in_8859 > 0) {
        (true, false) if in_1250 + in_both >= SHOWN => WINDOWS_1250,
        (false, true) if in_8859 + in_both >= SHOWN => ISO_8859_2,
        // What both pages share tells them from the western one, and its letters are the same in each.
        (false, false) if in_both >= SHOWN => WINDOWS_1250,
        _ => WINDOWS_1252,
    }
}

/// UTF-16 by its byte order mark, or by zeros on one side of most pairs of the first 4 KiB.
fn utf16(bytes: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    match bytes {
        [0xff, 0xfe, ..] => return Some(UTF_16LE),
        [0xfe, 0xff, ..] => return Some(UTF_16BE),
        _ => {}
    }
    let head = bytes.get(..4096).unwrap_or(bytes);
    let pairs = head.chunks_exact(2);
    let (mut first, mut second, mut all) = (0usize, 0usize, 0usize);
    for pair in pairs {
        if let [a, b] = pair {
            all += 1;
            first += usize::from(*a == 0 && *b != 0);
            second += usize::from(*b == 0 && *a != 0);
        }
    }
    if all >= 4 && second * 10 >= all * 8 && first == 0 {
        Some(UTF_16LE)
    } else if all >= 4 && first * 10 >= all * 8 && second == 0 {
        Some(UTF_16BE)
    } else {
        None
    }
}

/// Few control characters: at most one in 500 beside those that lay out a page, and never a zero.
fn is_text(text: &str) -> bool {
    let (mut controls, mut all) = (0usize, 0usize);
    for letter in text.chars() {
        all += 1;
        match letter {
            '\0' => return false,
            '\t' | '\n' | '\r' | '\u{c}' => {}
            other => controls += usize::from(other.is_control()),
        }
    }
    controls * 500 <= all || (controls <= 2 && all >= 40)
}

/// One line: runs of white space become a space, control characters go, the ends are trimmed.
pub(super) fn squeezed(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for word in text.split(|c: char| c.is_whitespace() || c.is_control()).filter(|w| !w.is_empty()) {
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf16le(text: &str) -> Vec<u8> {
        text.encode_utf16().flat_map(u16::to_le_bytes).collect()
    }

    #[test]
    fn utf8_with_a_mark_and_any_line_end_becomes_plain_lines() {
        assert_eq!(text(b"\xef\xbb\xbfa\r\nb\rc\n").unwrap(), "a\nb\nc\n");
    }

    #[test]
    fn utf16_is_known_by_its_mark_or_by_its_zeros() {
        let mut marked = vec![0xff, 0xfe];
        marked.extend(utf16le("pH,°"));
        assert_eq!(text(&marked).unwrap(), "pH,°");
        assert_eq!(text(&utf16le("Sample,pH\nA,6.4\n")).unwrap(), "Sample,pH\nA,6.4\n");
        let big: Vec<u8> = "Sample,pH".encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(text(&big).unwrap(), "Sample,pH");
    }

    #[test]
    fn bytes_that_are_no_utf8_are_read_as_windows_1252_which_holds_latin_1() {
        assert_eq!(text(b"Pr\xfcfbericht \x80 0\x9615 cm").unwrap(), "Prüfbericht € 0–15 cm");
    }

    #[test]
    fn signs_inside_words_are_letters_of_central_europe() {
        let spell = |encoding: &'static Encoding| {
            text(&encoding.encode("Głębokość: działka nad stawem, gałąź").0).unwrap()
        };
        assert_eq!(spell(WINDOWS_1250), "Głębokość: działka nad stawem, gałąź");
        assert_eq!(spell(ISO_8859_2), "Głębokość: działka nad stawem, gałąź");
        // Powers, money and footnotes stand at the edge of a word.
        let western = "cmol/dm³, £40 für Grün¹, ¿dónde? mean±sd, mean±sd, 3–5 µg";
        assert_eq!(text(&WINDOWS_1252.encode(western).0).unwrap(), western);
    }

    #[test]
    fn a_last_letter_cut_in_half_does_not_spoil_the_rest() {
        assert_eq!(text("Pré".as_bytes().get(..3).unwrap()).unwrap(), "Pr");
    }

    #[test]
    fn binary_is_no_text() {
        assert!(text(b"\x00\x01\x02\x03\x04rubbish\x00").is_none());
        let noise: Vec<u8> = (0..4096u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
        assert!(text(&noise).is_none());
    }

    #[test]
    fn squeezing_leaves_one_line_without_control_characters() {
        assert_eq!(squeezed("  Organic\n Matter\u{7}\u{a0}% "), "Organic Matter %");
    }
}
