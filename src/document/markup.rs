//! XML as a bounded stream of tags and text: no document type, no named entities but the five, counted depth.

use super::wording;
use super::{Cause, Format, Refusal};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// Elements inside each other.
const DEPTH: usize = 128;

/// A step of the document.
pub(super) enum Node<'a> {
    /// An element opens; one that is empty is followed by its [`Node::Close`].
    Open(Tag<'a>),
    /// The element of this local name closes.
    Close(String),
    /// Text between tags, entities resolved.
    Text(String),
}

/// An opening tag.
pub(super) struct Tag<'a>(BytesStart<'a>);

impl Tag<'_> {
    /// Name without prefix.
    pub(super) fn name(&self) -> &str {
        self.0.local_name().into_inner()
    }

    /// Value of the first attribute of that local name.
    pub(super) fn attribute(&self, name: &str) -> Option<String> {
        // Checks would compare every attribute with every other.
        let mut attributes = self.0.attributes();
        attributes.with_checks(false);
        let found = attributes.flatten().find(|a| a.key.local_name().into_inner() == name)?;
        Some(match quick_xml::escape::unescape(&found.value) {
            Ok(value) => value.into_owned(),
            Err(_) => found.value.into_owned(),
        })
    }

    /// Names without prefix and values of all attributes but those of the markup itself, in order.
    pub(super) fn attributes(&self) -> Vec<(String, String)> {
        let mut attributes = self.0.attributes();
        attributes.with_checks(false);
        let prefix = |key: &str| key.split_once(':').map_or(key, |(prefix, _)| prefix).to_owned();
        let of_markup = |key: &str| matches!(prefix(key).as_str(), "xmlns" | "xsi" | "xml");
        attributes
            .flatten()
            .filter(|a| !of_markup(a.key.into_inner()))
            .map(|a| {
                let value = quick_xml::escape::unescape(&a.value).unwrap_or_else(|_| a.value.clone());
                (a.key.local_name().into_inner().to_owned(), value.into_owned())
            })
            .collect()
    }

    /// Value of an attribute as a number.
    pub(super) fn number<T: std::str::FromStr>(&self, name: &str) -> Option<T> {
        self.attribute(name)?.trim().parse().ok()
    }

    /// True where the attribute says `1`, `true` or `on`.
    pub(super) fn flag(&self, name: &str) -> bool {
        self.attribute(name).is_some_and(|v| matches!(v.trim(), "1" | "true" | "on"))
    }
}

/// The stream.
pub(super) struct Markup<'a> {
    reader: Reader<&'a [u8]>,
    format: Format,
    depth: usize,
    /// The name of an empty element that has still to close.
    pending: Option<String>,
}

impl<'a> Markup<'a> {
    /// A stream over text.
    pub(super) fn new(text: &'a str, format: Format) -> Self {
        let mut reader = Reader::from_str(text);
        reader.config_mut().check_comments = false;
        Self { reader, format, depth: 0, pending: None }
    }

    /// The next step, none at the end.
    ///
    /// # Errors
    /// Broken XML, a document type, an unknown entity, or too much depth.
    pub(super) fn next(&mut self) -> Result<Option<Node<'a>>, Refusal> {
        if let Some(name) = self.pending.take() {
            return Ok(Some(Node::Close(name)));
        }
        loop {
            let event = self.reader.read_event().map_err(|_| self.broken())?;
            return Ok(Some(match event {
                Event::Start(tag) => {
                    self.depth += 1;
                    if self.depth > DEPTH {
                        return Err(wording::too_deep(self.format, DEPTH));
                    }
                    Node::Open(Tag(tag))
                }
                Event::Empty(tag) => {
                    self.pending = Some(tag.local_name().into_inner().to_owned());
                    Node::Open(Tag(tag))
                }
                Event::End(tag) => {
                    self.depth = self.depth.saturating_sub(1);
                    Node::Close(tag.local_name().into_inner().to_owned())
                }
                Event::Text(text) => Node::Text(text.xml10_content().into_owned()),
                Event::CData(text) => Node::Text(text.xml10_content().into_owned()),
                Event::GeneralRef(entity) => Node::Text(self.entity(&entity)?),
                Event::DocType(_) => {
                    return Err(Refusal::new(
                        Cause::Damaged,
                        self.format,
                        "The file declares a document type of its own, which no report needs.",
                        "Ask for it without one.",
                    ));
                }
                Event::Eof if self.depth > 0 => return Err(self.broken()),
                Event::Eof => return Ok(None),
                Event::Comment(_) | Event::Decl(_) | Event::PI(_) => continue,
            }));
        }
    }

    fn entity(&self, entity: &quick_xml::events::BytesRef<'_>) -> Result<String, Refusal> {
        if let Ok(Some(letter)) = entity.resolve_char_ref() {
            return Ok(letter.to_string());
        }
        let name: &str = entity;
        Ok(match name {
            "amp" => "&",
            "lt" => "<",
            "gt" => ">",
            "quot" => "\"",
            "apos" => "'",
            _ => return Err(self.broken()),
        }
        .to_owned())
    }

    fn broken(&self) -> Refusal {
        wording::damaged(self.format, "The XML inside the file is broken or was cut off.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drain(text: &str) -> Result<String, Refusal> {
        let mut markup = Markup::new(text, Format::ExchangeXml);
        let mut out = String::new();
        while let Some(node) = markup.next()? {
            match node {
                Node::Open(tag) => out.push_str(&format!("<{}>", tag.name())),
                Node::Close(name) => out.push_str(&format!("</{name}>")),
                Node::Text(text) => out.push_str(&text),
            }
        }
        Ok(out)
    }

    #[test]
    fn tags_text_and_the_five_entities_come_out() {
        assert_eq!(drain("<a:b x='1'>P &lt; 1 &#181;g<c/></a:b>").unwrap(), "<b>P < 1 µg<c></c></b>");
    }

    #[test]
    fn a_document_type_is_refused_and_no_entity_is_expanded() {
        let laughs = "<!DOCTYPE a [<!ENTITY b \"bb\">]><a>&b;</a>";
        assert_eq!(drain(laughs).unwrap_err().cause, Cause::Damaged);
        assert_eq!(drain("<a>&b;</a>").unwrap_err().cause, Cause::Damaged);
    }

    #[test]
    fn depth_is_bounded() {
        assert_eq!(drain(&"<a>".repeat(129)).unwrap_err().cause, Cause::TooDeep);
    }

    #[test]
    fn a_cut_document_is_damaged() {
        assert_eq!(drain("<a><b>text").unwrap_err().cause, Cause::Damaged);
    }
}
