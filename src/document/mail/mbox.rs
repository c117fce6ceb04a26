//! Mailboxes: several mails in one file, each behind a line that starts with `From ` (RFC 4155, from memory).

/// The mails of the file, a single mail as itself.
pub(super) fn split(bytes: &[u8]) -> Vec<&[u8]> {
    if !bytes.starts_with(b"From ") {
        return vec![bytes];
    }
    let (mut letters, mut start) = (Vec::new(), None);
    let (mut at, mut blank) = (0usize, true);
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        let next = at + line.len();
        if blank && line.starts_with(b"From ") && field_follows(bytes.get(next..).unwrap_or_default()) {
            letters.extend(start.and_then(|from| bytes.get(from..at)));
            start = Some(next);
        }
        blank = line.iter().all(u8::is_ascii_whitespace);
        at = next;
    }
    letters.extend(start.and_then(|from| bytes.get(from..)));
    if letters.is_empty() { vec![bytes] } else { letters }
}

/// True where a header field begins: a sentence in a letter may start with "From" too.
fn field_follows(rest: &[u8]) -> bool {
    let name = rest.iter().take_while(|b| b.is_ascii_alphanumeric() || **b == b'-').count();
    name > 1 && rest.get(name) == Some(&b':')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mailbox_is_split_at_its_lines_and_not_inside_a_letter() {
        let bytes = b"From a@b Mon Jan 5\nSubject: one\n\ntext\n\nFrom the lab we got: this\n\nFrom c@d Tue\nSubject: two\n\nx\n";
        let letters = split(bytes);
        assert_eq!(letters.len(), 2);
        assert!(letters[0].starts_with(b"Subject: one") && letters[0].ends_with(b"this\n\n"));
        assert!(letters[1].starts_with(b"Subject: two"));
        assert_eq!(split(b"Subject: x\n\nFrom a\nSubject: y\n").len(), 1);
    }
}
