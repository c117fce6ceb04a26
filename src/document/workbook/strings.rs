//! Text of XLSX cells: the shared table, and rich text with its raised digits.

use super::super::markup::{Markup, Node};
use super::super::{Format, Limits, Refusal, decode, wording};

/// Collects the text of one rich text from its nodes.
#[derive(Default)]
pub(super) struct RichText {
    text: String,
    letters: bool,
    phonetic: bool,
    raised: bool,
}

impl RichText {
    /// Takes a node inside the rich text.
    pub(super) fn take(&mut self, node: &Node<'_>) {
        match node {
            Node::Open(tag) => match tag.name() {
                "t" => self.letters = !self.phonetic,
                "rPh" => self.phonetic = true,
                "r" => self.raised = false,
                "vertAlign" => self.raised = tag.attribute("val").as_deref() == Some("superscript"),
                _ => {}
            },
            Node::Close(name) => match name.as_str() {
                "t" => self.letters = false,
                "rPh" => self.phonetic = false,
                "r" => self.raised = false,
                _ => {}
            },
            Node::Text(text) if self.letters => {
                if self.raised {
                    self.text.extend(text.chars().map(raised));
                } else {
                    self.text.push_str(text);
                }
            }
            Node::Text(_) => {}
        }
    }

    /// The text on one line.
    pub(super) fn finish(self) -> String {
        one_line(&self.text)
    }
}

/// Text on one line, with the escaped line ends of the format resolved.
pub(super) fn one_line(text: &str) -> String {
    if text.contains("_x00") {
        let text = text.replace("_x000D_", " ").replace("_x000A_", " ").replace("_x0009_", " ");
        return decode::squeezed(&text);
    }
    decode::squeezed(text)
}

/// The raised letters; none for q.
const LETTERS: &str = "ᵃᵇᶜᵈᵉᶠᵍʰⁱʲᵏˡᵐⁿᵒᵖ ʳˢᵗᵘᵛʷˣʸᶻ";

/// A raised digit or letter keeps its height, so that a footnote mark is not taken for a digit of the number before it.
pub(in crate::document) fn raised(letter: char) -> char {
    match letter {
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '0' | '4'..='9' => char::from_u32(0x2070 + u32::from(letter) - u32::from('0')).unwrap_or(letter),
        '+' => '⁺',
        '-' => '⁻',
        'a'..='z' => {
            LETTERS.chars().nth(letter as usize - 'a' as usize).filter(|c| *c != ' ').unwrap_or(letter)
        }
        other => other,
    }
}

/// The shared table.
pub(super) fn table(xml: &str, limits: &Limits) -> Result<Vec<String>, Refusal> {
    let mut markup = Markup::new(xml, Format::Xlsx);
    let (mut table, mut now) = (Vec::new(), None::<RichText>);
    while let Some(node) = markup.next()? {
        match &node {
            Node::Open(tag) if tag.name() == "si" => now = Some(RichText::default()),
            Node::Close(name) if name == "si" => {
                if table.len() >= limits.cells {
                    return Err(wording::too_many_cells(Format::Xlsx, limits));
                }
                table.push(now.take().unwrap_or_default().finish());
            }
            node => {
                if let Some(rich) = &mut now {
                    rich.take(node);
                }
            }
        }
    }
    Ok(table)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_are_joined_phonetics_left_out_and_raised_digits_stay_raised() {
        let xml = "<sst><si><t xml:space='preserve'>Organic\nMatter </t></si><si><r><t>P</t></r>\
                   <r><rPr><vertAlign val='superscript'/></rPr><t>2</t></r><rPh><t>x</t></rPh></si><si/></sst>";
        assert_eq!(table(xml, &Limits::default()).unwrap(), ["Organic Matter", "P²", ""]);
    }

    #[test]
    fn the_table_is_bounded() {
        let small = Limits { cells: 1, ..Limits::default() };
        assert!(table("<sst><si><t>a</t></si><si><t>b</t></si></sst>", &small).is_err());
    }
}
