//! Headings broken behind hyphens in narrow columns: `Magne-` over `sium` is one word, and no line of such a heading names
//! a measurement before its words are whole.

use super::label::label;
use super::layout::{Layout, Line, Phrase, Token};
use super::vocabulary::Context;
use crate::place::{Place, Rect};

/// From so many words of a line that break so, the lines are those of a heading and no running text beside another.
const ENOUGH: usize = 2;

/// Lines of one heading follow each other this close, in their height.
const TIGHT: f32 = 0.6;

/// Lines over which one word may break.
const MOST: usize = 4;

/// The page with the broken words of its headings made whole in the line where each begins.
pub fn rejoined(page: Layout) -> Layout {
    if page.cells {
        return page;
    }
    let mut lines = page.lines;
    let mut open = false;
    for at in 0..lines.len() {
        let words = broken(&lines, at);
        let named = |word: &Broken| names(&word.text);
        open = open && goes_on_below(&lines, at) || words.len() >= ENOUGH && words.iter().any(named);
        if open {
            // From the right, so that what is cut off leaves the places before it as they are.
            words.iter().rev().for_each(|word| make_whole(&mut lines, at, word));
            lines.iter_mut().for_each(|line| line.phrases.retain(|p| !p.tokens.is_empty()));
        }
    }
    lines.retain(|line| !line.phrases.is_empty());
    Layout { lines, ..page }
}

/// True for a line without figures close below another.
fn goes_on_below(lines: &[Line], at: usize) -> bool {
    let above = at.checked_sub(1).and_then(|at| lines.get(at));
    above.zip(lines.get(at)).is_some_and(|(above, own)| {
        own.area.y0 - above.area.y1 < TIGHT * above.area.height() && !own.phrases.iter().any(figure)
    })
}

/// A word that breaks behind a hyphen: where it begins, the phrases below that begin with its other parts, and all of it.
struct Broken {
    phrase: usize,
    token: usize,
    rest: Vec<(usize, usize)>,
    text: String,
}

/// The broken words of a line without figures.
fn broken(lines: &[Line], at: usize) -> Vec<Broken> {
    let Some(line) = lines.get(at).filter(|line| !line.phrases.iter().any(figure)) else { return Vec::new() };
    let mut out: Vec<Broken> = Vec::new();
    for (phrase, p) in line.phrases.iter().enumerate() {
        // What stands behind a broken word is of the next cell; the next line of a cell begins at its left edge.
        let mut cell: Option<Rect> = None;
        for (token, t) in p.tokens.iter().enumerate() {
            let own = cell.map_or(t.area, |c| c.union(&t.area));
            cell = (!t.text.ends_with('-')).then_some(own);
            if let Some((rest, text)) = whole(lines, at, t, &own)
                && out.iter().all(|other| other.rest.first() != rest.first())
            {
                out.push(Broken { phrase, token, rest, text });
            }
        }
    }
    out
}

/// The parts of a broken word in the lines below, and the whole word.
fn whole(lines: &[Line], at: usize, first: &Token, cell: &Rect) -> Option<(Vec<(usize, usize)>, String)> {
    let mut text = half(&first.text)?.to_owned();
    let mut rest = Vec::new();
    for line in at + 1..=at + MOST {
        let (above, below) = (lines.get(line.checked_sub(1)?)?, lines.get(line)?);
        let gap = below.area.y0 - above.area.y1;
        if gap > TIGHT * above.area.height() || below.phrases.iter().any(figure) {
            return None;
        }
        if below.phrases.is_empty() {
            continue;
        }
        let under = |p: &&Phrase| p.area.overlap_x(cell) > 0.0;
        let next = below.phrases.iter().find(under)?;
        let phrase = below.phrases.iter().position(|p| p.area == next.area)?;
        let part = next.tokens.first()?;
        rest.push((line, phrase));
        match half(&part.text).filter(|_| next.tokens.len() == 1 && goes_on(&text, &part.text)) {
            Some(middle) => text.push_str(middle),
            None => {
                let letters = part.text.chars().all(|c| c.is_alphabetic() || matches!(c, '.' | ',' | ')'));
                let fits = letters && goes_on(&text, &part.text);
                text.push_str(&part.text);
                return fits.then_some((rest, text));
            }
        }
    }
    None
}

/// `Magne` of `Magne-`.
fn half(word: &str) -> Option<&str> {
    let letters = word.strip_suffix('-')?;
    let opened = letters.trim_start_matches('(');
    (opened.chars().count() > 1 && opened.chars().all(char::is_alphabetic)).then_some(letters)
}

/// Small letters go on; capitals behind capitals where both name something together that the second half does not.
fn goes_on(above: &str, below: &str) -> bool {
    let capitals = |w: &str| w.chars().count() > 1 && w.chars().all(char::is_uppercase);
    below.starts_with(char::is_lowercase)
        || capitals(above) && capitals(below) && names(&format!("{above}{below}")) && !names(below)
}

/// True for a word that names a measurement or an extract.
fn names(word: &str) -> bool {
    let said = label(word, Context { symbols: false, capitals: false });
    (said.analyte.is_some() || !said.methods.is_empty()) && said.unknown.is_empty()
}

/// True for a phrase that opens with a figure.
fn figure(phrase: &Phrase) -> bool {
    phrase.text().trim_start_matches(['<', '>', ' ']).starts_with(|c: char| c.is_ascii_digit())
}

/// Sets the whole word where it begins and takes its parts away below; it ends its line, so that what stands behind it is
/// of another column.
fn make_whole(lines: &mut [Line], at: usize, word: &Broken) {
    let mut parts: Vec<Token> = Vec::new();
    for (line, phrase) in &word.rest {
        let Some(line) = lines.get_mut(*line) else { return };
        let Some(own) = line.phrases.get_mut(*phrase) else { return };
        let mut tokens = own.tokens.to_vec();
        if tokens.is_empty() {
            return;
        }
        parts.push(tokens.remove(0));
        // An empty phrase keeps the places of its neighbours until the line is done.
        let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b)).unwrap_or(own.area);
        *own = Phrase { tokens: tokens.into(), area, marks: own.marks.clone() };
    }
    let Some(line) = lines.get_mut(at) else { return };
    let Some(own) = line.phrases.get(word.phrase).cloned() else { return };
    let mut tokens = own.tokens.to_vec();
    if let Some(token) = tokens.get_mut(word.token) {
        token.text = word.text.as_str().into();
        for part in parts {
            token.area.x0 = token.area.x0.min(part.area.x0);
            token.area.x1 = token.area.x1.max(part.area.x1);
            if let (Place::Page { area, .. }, Place::Page { area: other, .. }) =
                (&mut token.place, part.place)
            {
                *area = area.union(&other);
            }
        }
    }
    let (first, second) = tokens.split_at((word.token + 1).min(tokens.len()));
    let of = |tokens: &[Token], marks: Vec<String>| {
        let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b))?;
        Some(Phrase { tokens: tokens.to_vec().into(), area, marks })
    };
    let cut = of(first, own.marks).into_iter().chain(of(second, Vec::new()));
    line.phrases.splice(word.phrase..=word.phrase, cut);
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn texts(lines: &[&str]) -> Vec<String> {
        let join = |l: &Line| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" | ");
        rejoined(layout(&typed(lines))).lines.iter().map(join).collect()
    }

    #[test]
    fn words_of_a_heading_that_break_over_several_lines_are_made_whole() {
        let found = texts(&[
            "Parcel   Or-     Phos-   Mag-     Zinc",
            "         ganic   phorus  ne-      DT-",
            "         mat-    Olsen   sium     PA",
            "         ter             am. ace-",
            "                         tate",
            "A1       4.6     10      348      4",
        ]);
        let want = [
            "Parcel | Organic | Phosphorus | Magnesium | Zinc",
            "DTPA",
            "matter | Olsen",
            "am. acetate",
            "A1 | 4.6 | 10 | 348 | 4",
        ];
        assert_eq!(found, want);
    }

    #[test]
    fn names_of_samples_and_single_words_keep_their_hyphens() {
        for lines in [
            ["Test     South-   North-", "         west     east", "pH       5.6      6.1"],
            ["Remark   Phos-    Field", "         phorus   name", "A        5.6      6.1"],
            ["Phos-    4.6-     Mag-", "8        5        sium", "A        5.6      6.1"],
        ] {
            assert_eq!(texts(&lines), lines.map(|l| l.split_whitespace().collect::<Vec<_>>().join(" | ")));
        }
    }
}
