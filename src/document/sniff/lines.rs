//! What the first lines of a text give away: mail, markup, JSON.

/// Header fields that a mail begins with (RFC 5322 and common additions, from memory).
const MAIL_FIELDS: &[&str] = &[
    "from",
    "to",
    "cc",
    "subject",
    "date",
    "mime-version",
    "message-id",
    "received",
    "return-path",
    "delivered-to",
    "reply-to",
    "sender",
    "content-type",
    "content-transfer-encoding",
    "references",
    "in-reply-to",
    "importance",
    "thread-topic",
    "thread-index",
    "dkim-signature",
    "envelope-to",
    "authentication-results",
    "arc-seal",
    "user-agent",
];

/// Fields of which a mail has at least one.
const MAIL_SIGNS: &[&str] = &["from", "subject", "mime-version", "message-id", "received", "return-path"];

/// Longest stretch looked at for headers.
const HEAD_LINES: usize = 200;

/// True where the text starts with the header of a mail, or with the line that separates mails in a mbox.
pub(super) fn is_mail(text: &str) -> bool {
    let mut lines = text.lines();
    let mut first = lines.next().unwrap_or_default();
    let (mut known, mut signs, mut any) = (0usize, 0usize, false);
    if first.starts_with("From ") && first.contains(':') {
        (known, signs) = (1, 1);
        first = lines.next().unwrap_or_default();
    }
    for line in std::iter::once(first).chain(lines).take(HEAD_LINES) {
        if line.trim().is_empty() {
            break;
        }
        if any && line.starts_with([' ', '\t']) {
            continue;
        }
        let Some(field) = field(line) else { return false };
        any = true;
        known += usize::from(MAIL_FIELDS.contains(&field.as_str()));
        signs += usize::from(MAIL_SIGNS.contains(&field.as_str()));
    }
    known >= 2 && signs >= 1
}

fn field(line: &str) -> Option<String> {
    let (name, _) = line.split_once(':')?;
    let plain = !name.is_empty() && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_');
    plain.then(|| name.to_ascii_lowercase())
}

/// The local name of the first element, comments, declarations and document types passed over.
pub(super) fn root(text: &str) -> Option<String> {
    let mut rest = text.trim_start();
    for _ in 0..64 {
        let end = if rest.starts_with("<?") {
            rest.find("?>")? + 2
        } else if rest.starts_with("<!--") {
            rest.find("-->")? + 3
        } else if rest.starts_with("<!") {
            document_type_end(rest)?
        } else {
            let name: String = rest
                .strip_prefix('<')?
                .chars()
                .take_while(|c| c.is_alphanumeric() || matches!(c, ':' | '-' | '_' | '.'))
                .take(100)
                .collect();
            let local = name.rsplit(':').next().unwrap_or_default();
            return (!local.is_empty()).then(|| match local.eq_ignore_ascii_case("html") {
                true => "html".to_owned(),
                false => local.to_owned(),
            });
        };
        rest = rest.get(end..)?.trim_start();
    }
    None
}

/// End of a document type, whose inner part stands in brackets.
fn document_type_end(text: &str) -> Option<usize> {
    let close = text.find('>')?;
    match text.find('[') {
        Some(open) if open < close => text.find("]>").map(|at| at + 2),
        _ => Some(close + 1),
    }
}

/// True where the text shows tags of a web page: a page frame, or a table with its rows and cells.
pub(super) fn has_html(text: &str) -> bool {
    let head: String = text.chars().take(64 << 10).collect::<String>().to_ascii_lowercase();
    let has = |tag: &str| {
        head.match_indices(tag).any(|(at, _)| {
            head.as_bytes()
                .get(at + tag.len())
                .is_none_or(|b| matches!(b, b' ' | b'>' | b'\n' | b'\t' | b'/'))
        })
    };
    has("<!doctype html")
        || has("<html")
        || has("<body")
        || (has("<table") && has("<tr"))
        || (head.starts_with('<') && (has("<p") || has("<div")))
}

/// True for an object, or an array of objects or arrays.
pub(super) fn is_json(text: &str) -> bool {
    let mut letters = text.chars().filter(|c| !c.is_whitespace());
    matches!((letters.next(), letters.next()), (Some('{'), Some('"' | '}')) | (Some('['), Some('{' | '[')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_that_begins_with_labelled_lines_is_no_mail() {
        assert!(!is_mail("CLIENT: MARRAM POINT\nREPORT: 15-7840\nDATE: 02/06/15\n\nSAMPLE PH\n"));
        assert!(!is_mail("Date: 2021-04-01\nLab No: 7\n\n"));
        assert!(is_mail("Received: from a\n\tby b\nX-Own: 1\nDate: x\n\nbody"));
    }

    #[test]
    fn the_root_is_found_behind_comments_and_a_document_type() {
        assert_eq!(
            root("<?xml version='1.0'?><!-- a > b --><!DOCTYPE x [<!ENTITY a 'b'>]><n:Root a='1'>").unwrap(),
            "Root"
        );
        assert_eq!(root("<HTML>").unwrap(), "html");
        assert_eq!(root("no markup"), None);
        assert_eq!(root("<!-- never closed"), None);
    }

    #[test]
    fn a_smaller_sign_in_a_text_report_is_no_web_page() {
        assert!(!has_html("P <1 ppm, K < 20"));
        assert!(!has_html("<1 means below the limit"));
        assert!(has_html("Hello<TABLE border=1><TR><TD>pH"));
    }
}
