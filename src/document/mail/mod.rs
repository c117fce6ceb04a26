//! Mails: the body as a page; attachments, forwarded mails and the mails of a mbox as documents of their own.

mod mbox;

mod parts;

use super::{
    Cause, Document, Format, Limits, Member, Page, Refusal, archive, decode, html, monospaced, wording,
};
use mail_parser::{Message, MessageParser};

/// Parts inside each other.
const DEPTH: usize = 10;

/// Lays the document out. The page is the HTML body where it holds a table, else the text body; the subject is its
/// first line. Small inline pictures are passed over and noted.
///
/// # Errors
/// A [`Refusal`] where the bytes are no mail, the mail is encrypted, or a limit is passed.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let letters = mbox::split(bytes);
    if letters.len() > 1 {
        return mailbox(&letters, limits);
    }
    let letter = letters.first().copied().unwrap_or(bytes);
    guard(letter, limits)?;
    let message = MessageParser::default()
        .parse(letter)
        .filter(|m| !m.parts.is_empty())
        .ok_or_else(|| wording::damaged(Format::Mail, "The mail cannot be read."))?;
    if message.parts.len() > limits.mail_parts {
        return Err(too_many_parts(limits));
    }
    if parts::depth(&message) > DEPTH {
        return Err(wording::too_deep(Format::Mail, DEPTH));
    }
    let found = parts::sort(&message, limits)?;
    let pages = body(&message, &found, limits)?;
    Ok(Document { format: Format::Mail, pages, members: found.members, notes: found.notes })
}

/// Refuses, before anything is built, a mail whose structure would be too large: every part of a mail inside it
/// names its boundary or its kind.
fn guard(bytes: &[u8], limits: &Limits) -> Result<(), Refusal> {
    let (mut boundaries, mut letters) = (0usize, 0usize);
    for line in bytes.split(|b| *b == b'\n') {
        let lower = |needle: &[u8]| line.windows(needle.len()).any(|w| w.eq_ignore_ascii_case(needle));
        if line.len() > 20_000 || !line.contains(&b'=') && !line.contains(&b':') {
            continue;
        }
        boundaries += usize::from(lower(b"boundary="));
        letters += usize::from(lower(b"message/rfc822"));
    }
    if boundaries > limits.mail_parts || letters > limits.mail_parts {
        return Err(too_many_parts(limits));
    }
    Ok(())
}

fn too_many_parts(limits: &Limits) -> Refusal {
    let what = format!("The mail has more than {} parts.", wording::grouped(limits.mail_parts as u64));
    Refusal::new(Cause::Limit, Format::Mail, what, "Save the attachment with the report, and drop that.")
}

fn mailbox(letters: &[&[u8]], limits: &Limits) -> Result<Document, Refusal> {
    if letters.len() > limits.members {
        let what = format!("The mailbox holds more than {} mails.", wording::grouped(limits.members as u64));
        return Err(Refusal::new(
            Cause::Limit,
            Format::Mail,
            what,
            "Save the mails with reports, and drop those.",
        ));
    }
    let members = letters.iter().enumerate().map(|(index, letter)| {
        let subject =
            MessageParser::default().parse_headers(*letter).and_then(|m| m.subject().map(str::to_owned));
        let name = subject.map(|s| archive::file_name(&s.replace(['/', '\\'], "-")));
        let name = name.unwrap_or_else(|| format!("mail {}", index + 1));
        Member { name, is_file: false, bytes: letter.to_vec() }
    });
    let members = members.collect();
    Ok(Document { format: Format::Mail, pages: Vec::new(), members, notes: Vec::new() })
}

/// The pages of the body; none where it is blank.
fn body(message: &Message<'_>, found: &parts::Parts, limits: &Limits) -> Result<Vec<Page>, Refusal> {
    let subject = decode::squeezed(message.subject().unwrap_or_default());
    let first = (!subject.is_empty()).then_some(subject.as_str());
    let text = found.text.join("\n");
    let page = found.html.join("\n");
    let lower = page.to_ascii_lowercase();
    if lower.contains("<table") && lower.contains("<td") || text.trim().is_empty() && !page.trim().is_empty()
    {
        return html::page(&page, first, Format::Mail, limits).map(|page| vec![page]);
    }
    if text.trim().is_empty() && first.is_none() {
        return Ok(Vec::new());
    }
    let lines = match first {
        Some(subject) => format!("{subject}\n\n{text}"),
        None => text,
    };
    let lines = lines.replace("\r\n", "\n").replace('\r', "\n");
    monospaced::pages(&lines, Format::Mail, limits)
}

#[cfg(test)]
mod tests;
