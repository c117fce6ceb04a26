//! Words or cells laid out as lines of phrases, so that one geometry reads print, text and tables alike.
//!
//! A cell gets the box it would have on squared paper, a hundred points wide and twenty high: overlap, order and
//! distance then mean the same for a spreadsheet as for a printed page.

mod cells;
mod mark;
mod print;
mod ruled;
mod subscript;
mod tokens;
mod under_names;

use super::label::Label;
use super::vocabulary::Context;
use crate::document::{Content, Page};
use crate::place::{Place, Rect};
use cells::cells_layout;
use compact_str::CompactString;
use print::words_layout;
pub use tokens::Tokens;

/// A word, or the whole text of a cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Token {
    /// As printed, folded.
    pub text: CompactString,
    /// Its box.
    pub area: Rect,
    /// Where it stands on the original.
    pub place: Place,
    /// Type size in points.
    pub size: f32,
    /// Confidence of text recognition, 0 to 100.
    pub confidence: Option<f32>,
}

/// Words that belong together, or one cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Phrase {
    /// Never empty.
    pub tokens: Tokens,
    /// The box around all.
    pub area: Rect,
    /// Small raised marks set beside its words: footnote numbers and signs, no part of a name or a value.
    pub marks: Vec<String>,
}

/// A printed line, or a row of cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// From left to right.
    pub phrases: Vec<Phrase>,
    /// The box around all.
    pub area: Rect,
    /// Opens with a small raised sign: a footnote, whose numbers are no values.
    pub footnote: bool,
}

/// A page laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Page or sheet, from 1.
    pub number: u32,
    /// From top to bottom.
    pub lines: Vec<Line>,
    /// Phrases that read upwards or downwards (turned headings).
    pub turned: Vec<Phrase>,
    /// The usual type size of the page, points.
    pub em: f32,
    /// True for a table file.
    pub cells: bool,
}

impl Phrase {
    fn new(tokens: Vec<Token>) -> Option<Self> {
        let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b))?;
        Some(Self { tokens: tokens.into(), area, marks: Vec::new() })
    }

    /// Its words with single spaces.
    pub fn text(&self) -> &str {
        self.tokens.text()
    }

    /// What it says as a heading or a name.
    pub fn label(&self, context: Context) -> Label {
        self.tokens.label(context)
    }

    /// Where it stands: the place of its words together.
    pub fn place(&self) -> Option<Place> {
        place_of(&self.tokens)
    }

    /// The words from `from` up to `to` as a phrase of their own.
    pub fn part(&self, from: usize, to: usize) -> Option<Self> {
        Self::new(self.tokens.get(from..to)?.to_vec())
    }

    /// The phrase parted before these tokens; its marks stand beside the first part, which is the name.
    pub fn parted(self, cuts: &[usize]) -> Vec<Self> {
        if cuts.is_empty() {
            return vec![self];
        }
        let mut out = Vec::new();
        let mut from = 0;
        for to in cuts.iter().copied().chain([self.tokens.len()]) {
            out.extend(self.part(from, to));
            from = to;
        }
        if let Some(first) = out.first_mut() {
            first.marks = self.marks;
        }
        out
    }
}

/// Words with single spaces.
pub fn joined(tokens: &[Token]) -> String {
    let mut text = String::with_capacity(tokens.iter().map(|token| token.text.len() + 1).sum());
    for (at, token) in tokens.iter().enumerate() {
        if at > 0 {
            text.push(' ');
        }
        text.push_str(&token.text);
    }
    text
}

/// The place that covers all tokens; for cells that of the first.
pub fn place_of(tokens: &[Token]) -> Option<Place> {
    let mut places = tokens.iter().map(|t| t.place);
    let first = places.next()?;
    Some(places.fold(first, |a, b| match (a, b) {
        (Place::Page { page, area }, Place::Page { area: other, .. }) => {
            Place::Page { page, area: area.union(&other) }
        }
        (a, _) => a,
    }))
}

/// Lays a page out.
pub fn layout(page: &Page) -> Layout {
    match &page.content {
        Content::Words(words) => words_layout(page.number, words),
        Content::Cells(cells) => cells_layout(page.number, cells),
        Content::Picture(_) => {
            Layout { number: page.number, lines: Vec::new(), turned: Vec::new(), em: 10.0, cells: false }
        }
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::document::{Turn, Word};

    /// A page set as on a typewriter: six points a letter, twelve a line.
    pub(crate) fn typed(lines: &[&str]) -> Page {
        let mut words = Vec::new();
        for (row, line) in lines.iter().enumerate() {
            let mut column = 0;
            for part in line.split(' ') {
                let length = part.chars().count();
                if length > 0 {
                    let (x, y) = (column as f32 * 6.0, row as f32 * 12.0);
                    words.push(Word {
                        text: part.to_owned(),
                        area: Rect::new(x, y, x + length as f32 * 6.0, y + 10.0),
                        size: 10.0,
                        turn: Turn::None,
                        confidence: None,
                    });
                }
                column += length + 1;
            }
        }
        Page { number: 1, width: 612.0, height: 792.0, name: None, content: Content::Words(words) }
    }

    #[test]
    fn a_raised_digit_is_no_digit_of_the_number_before_it() {
        let page = layout(&typed(&["Creek  31²  g/cm³"]));
        let found: Vec<(String, Vec<String>)> =
            page.lines[0].phrases.iter().map(|p| (p.text().to_owned(), p.marks.clone())).collect();
        let of =
            |text: &str, marks: &[&str]| (text.to_owned(), marks.iter().map(|m| (*m).to_owned()).collect());
        assert_eq!(found, [of("Creek", &[]), of("31", &["2"]), of("g/cm3", &[])]);
    }

    /// Words of a size at a place: text, left edge, top, width.
    fn set(words: &[(&str, f32, f32, f32)], size: f32) -> Vec<Word> {
        let Content::Words(one) = typed(&["x"]).content else { return Vec::new() };
        let word = |(text, x, y, width): &(&str, f32, f32, f32)| Word {
            text: (*text).to_owned(),
            area: Rect::new(*x, *y, x + width, y + size),
            size,
            ..one[0].clone()
        };
        words.iter().map(word).collect()
    }

    #[test]
    fn a_hanging_digit_belongs_to_its_formula_and_not_to_the_line_below() {
        let mut words =
            set(&[("N-NO", 50.0, 100.0, 19.0), ("P", 100.0, 100.0, 5.0), ("O", 109.0, 100.0, 5.0)], 7.5);
        words
            .extend(set(&[("3", 69.0, 103.8, 4.0), ("2", 105.0, 103.8, 4.0), ("5", 114.0, 103.8, 4.0)], 7.2));
        words.extend(set(&[("Olsen", 150.0, 105.0, 20.0)], 7.5));
        let texts = |words: &[Word]| -> Vec<String> {
            words_layout(1, words)
                .lines
                .iter()
                .flat_map(|l| &l.phrases)
                .map(|p| p.text().to_owned())
                .collect()
        };
        assert_eq!(texts(&words), ["N-NO3", "P2O5", "Olsen"]);
        // A digit of its own in the next line, and one that stands level, are none.
        let mut apart = set(&[("N-NO", 50.0, 100.0, 19.0)], 7.5);
        apart.extend(set(&[("3", 69.0, 110.0, 4.0)], 7.5));
        assert_eq!(texts(&apart), ["N-NO", "3"]);
        let level = set(&[("Bed", 50.0, 100.0, 19.0), ("3", 69.0, 100.0, 4.0)], 7.5);
        assert_eq!(texts(&level), ["Bed 3"]);
    }

    #[test]
    fn a_small_unit_is_of_the_line_it_stands_in_and_not_of_a_list_beside() {
        let mut page =
            typed(&["Magnesium  487  ppm  H", "                            Zinc (DTPA)  5.1  meq/100 g"]);
        if let Content::Words(words) = &mut page.content {
            for word in words {
                let right = word.area.x0 > 160.0;
                let small = matches!(word.text.as_str(), "ppm" | "meq/100" | "g");
                let top = if right { 5.3 } else { 0.0 };
                word.size = if small { 8.0 } else { 10.0 };
                word.area.y0 = top;
                word.area.y1 = top + if small { 8.4 } else { 10.0 };
            }
        }
        let found: Vec<String> = layout(&page)
            .lines
            .iter()
            .map(|l| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" | "))
            .collect();
        assert_eq!(found, ["Magnesium | 487 | ppm | H", "Zinc (DTPA) | 5.1 | meq/100 g"]);
    }

    #[test]
    fn a_tall_name_beside_two_lines_does_not_make_them_one() {
        let mut words = set(&[("Quill", 20.0, 14.0, 60.0), ("Assay", 85.0, 14.0, 60.0)], 18.0);
        words.extend(set(
            &[("Client:", 318.0, 11.0, 26.0), ("Hob", 347.0, 11.0, 24.0), ("Orchards", 374.0, 11.0, 36.0)],
            10.0,
        ));
        words.extend(set(
            &[("Job:", 345.0, 24.0, 15.0), ("QA", 363.0, 24.0, 16.0), ("14-871", 382.0, 24.0, 28.0)],
            10.0,
        ));
        let page = Page { content: Content::Words(words), ..typed(&[]) };
        let texts: Vec<String> =
            layout(&page).lines.iter().flat_map(|l| &l.phrases).map(|p| p.text().to_owned()).collect();
        assert!(texts.iter().any(|t| t == "Client: Hob Orchards"), "{texts:?}");
        assert!(texts.iter().any(|t| t == "Job: QA 14-871"), "{texts:?}");
    }

    #[test]
    fn a_line_of_footnotes_keeps_its_numbers_and_a_mark_parts_no_unit_from_its_name() {
        // Words behind a raised number of five sixths their size.
        let set = |line: &str, raised: &[&str]| {
            let mut page = typed(&[line]);
            if let Content::Words(words) = &mut page.content {
                for word in words.iter_mut().filter(|w| raised.contains(&w.text.as_str())) {
                    word.size = 8.3;
                    word.area = Rect::new(word.area.x0 - 6.0, -2.0, word.area.x1 - 1.0, 6.3);
                }
            }
            layout(&page).lines[0].phrases.iter().map(|p| p.text().to_owned()).collect::<Vec<_>>()
        };
        let notes = set("1 in water 2 Sikora buffer 3   Olsen 4 DTPA", &["1", "2", "3", "4"]);
        assert_eq!(notes.join(" "), "1 in water 2 Sikora buffer 3 Olsen 4 DTPA");
        assert_eq!(set("Sample    P 4 ppm", &["4"]), ["Sample", "P ppm"]);
    }

    #[test]
    fn a_digit_beyond_every_page_is_laid_out() {
        for x in [-1e12, 1e12] {
            let page = Page { content: Content::Words(set(&[("12", x, 0.0, 10.0)], 10.0)), ..typed(&[]) };
            assert_eq!(layout(&page).lines.len(), 1, "{x}");
        }
    }

    #[test]
    fn one_space_joins_and_two_part() {
        let page = layout(&typed(&["Creek Field  615   5.7"]));
        let texts: Vec<&str> = page.lines[0].phrases.iter().map(Phrase::text).collect();
        assert_eq!(texts, ["Creek Field", "615", "5.7"]);
    }
}
