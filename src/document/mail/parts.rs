//! The parts of a mail sorted: body, documents of their own, and what no report stands in.

use super::super::{Cause, Format, Limits, Member, Refusal, archive, decode, wording};
use mail_parser::decoders::base64::base64_decode;
use mail_parser::decoders::quoted_printable::quoted_printable_decode;
use mail_parser::{Encoding, Message, MessagePart, MimeHeaders, PartType};
use std::collections::BTreeSet;

/// Pictures inside the text below this size are logos and signatures.
const SMALL_PICTURE: usize = 20_000;

/// Kinds of attachments in which no report stands.
const PASSED_OVER: &[&str] = &[
    "pkcs7-signature",
    "x-pkcs7-signature",
    "pgp-signature",
    "pgp-keys",
    "calendar",
    "ics",
    "vcard",
    "x-vcard",
    "delivery-status",
    "rfc822-headers",
    "disposition-notification",
];

/// What a mail is made of.
#[derive(Default)]
pub(super) struct Parts {
    pub(super) text: Vec<String>,
    pub(super) html: Vec<String>,
    pub(super) members: Vec<Member>,
    pub(super) notes: Vec<String>,
}

/// Sorts the parts.
///
/// # Errors
/// A refusal where the mail is encrypted or its parts are too large together.
pub(super) fn sort(message: &Message<'_>, limits: &Limits) -> Result<Parts, Refusal> {
    let bodies: BTreeSet<u32> = message.text_body.iter().chain(&message.html_body).copied().collect();
    let (mut found, mut pictures, mut left) = (Parts::default(), 0usize, limits.unpacked_bytes);
    for (index, part) in message.parts.iter().enumerate() {
        let in_body = u32::try_from(index).is_ok_and(|i| bodies.contains(&i));
        let named =
            part.attachment_name().is_some() || part.content_disposition().is_some_and(|d| d.is_attachment());
        let kind = part.content_type().and_then(|c| c.subtype()).unwrap_or_default().to_ascii_lowercase();
        if matches!(kind.as_str(), "pkcs7-mime" | "x-pkcs7-mime" | "pgp-encrypted") {
            return Err(Refusal::new(
                Cause::Locked,
                Format::Mail,
                "The mail is encrypted.",
                "Save the report from your mail program, and drop that.",
            ));
        }
        if PASSED_OVER.contains(&kind.as_str()) {
            continue;
        }
        let bytes: Vec<u8> = match &part.body {
            PartType::Multipart(_) => continue,
            PartType::Text(text) if in_body && !named => {
                found.text.push(letters(message, part, text));
                continue;
            }
            PartType::Html(text) if in_body && !named => {
                found.html.push(letters(message, part, text));
                continue;
            }
            PartType::Text(text) | PartType::Html(text) => {
                unread(message, part, text).unwrap_or_else(|| text.as_bytes().to_vec())
            }
            PartType::Binary(bytes) | PartType::InlineBinary(bytes) => {
                if is_winmail(&kind, part) {
                    found.notes.push(
                        "The mail holds a winmail.dat, which only one mail program opens; ask for ordinary attachments."
                            .to_owned(),
                    );
                    continue;
                }
                if is_small_picture(part, bytes.len()) {
                    pictures += 1;
                    continue;
                }
                bytes.to_vec()
            }
            PartType::Message(inner) => forwarded(message, part, inner),
        };
        left = left
            .checked_sub(bytes.len() as u64)
            .ok_or_else(|| wording::unpacks_too_far(Format::Mail, limits.unpacked_bytes))?;
        if bytes.is_empty() {
            continue;
        }
        let is_file = part.attachment_name().is_some() || !matches!(part.body, PartType::Message(_));
        found.members.push(Member { name: name(part, found.members.len() + 1), is_file, bytes });
    }
    if pictures > 0 {
        let plural = if pictures == 1 { " was" } else { "s were" };
        found.notes.push(format!("{pictures} small picture{plural} passed over in the mail."));
    }
    Ok(found)
}

/// The bytes of a text whose letters were lost in its reading, because the mail states none or another alphabet than they
/// are in; the bytes tell more.
fn unread(message: &Message<'_>, part: &MessagePart<'_>, text: &str) -> Option<Vec<u8>> {
    if !text.contains(char::REPLACEMENT_CHARACTER) {
        return None;
    }
    let stretch = message.raw_message.get(part.offset_body as usize..part.offset_end as usize)?;
    match part.encoding {
        Encoding::None => Some(stretch.to_vec()),
        Encoding::Base64 => base64_decode(stretch),
        Encoding::QuotedPrintable => quoted_printable_decode(stretch),
    }
}

/// The letters of a body, in the alphabet its bytes show where the stated one does not fit.
fn letters(message: &Message<'_>, part: &MessagePart<'_>, text: &str) -> String {
    let shown = unread(message, part, text).and_then(|bytes| decode::text(&bytes));
    shown.unwrap_or_else(|| text.to_owned())
}

fn is_winmail(kind: &str, part: &MessagePart<'_>) -> bool {
    matches!(kind, "ms-tnef" | "vnd.ms-tnef")
        || part.attachment_name().is_some_and(|n| n.eq_ignore_ascii_case("winmail.dat"))
}

fn is_small_picture(part: &MessagePart<'_>, size: usize) -> bool {
    let picture = part.content_type().is_some_and(|c| c.ctype().eq_ignore_ascii_case("image"));
    picture && size < SMALL_PICTURE
}

/// The bytes of a mail inside the mail: its own where it was encoded, else a stretch of ours.
fn forwarded(message: &Message<'_>, part: &MessagePart<'_>, inner: &Message<'_>) -> Vec<u8> {
    let stretch = match part.encoding {
        Encoding::None => message.raw_message.get(part.offset_body as usize..part.offset_end as usize),
        _ => Some(inner.raw_message.as_ref()),
    };
    stretch.unwrap_or_default().to_vec()
}

fn name(part: &MessagePart<'_>, number: usize) -> String {
    if let Some(name) = part.attachment_name() {
        return archive::file_name(name);
    }
    match &part.body {
        PartType::Message(inner) => match inner.subject() {
            Some(subject) => archive::file_name(&subject.replace(['/', '\\'], "-")),
            None => "forwarded mail".to_owned(),
        },
        _ => format!("attachment {number}"),
    }
}

/// Parts inside each other, mails inside not counted: they are documents of their own.
pub(super) fn depth(message: &Message<'_>) -> usize {
    let (mut deepest, mut seen) = (0usize, BTreeSet::new());
    let mut waiting = vec![(0u32, 1usize)];
    while let Some((index, depth)) = waiting.pop() {
        if !seen.insert(index) {
            continue;
        }
        deepest = deepest.max(depth);
        if let Some(inner) = message.part(index).and_then(|p| p.sub_parts()) {
            waiting.extend(inner.iter().map(|i| (*i, depth + 1)));
        }
    }
    deepest
}
