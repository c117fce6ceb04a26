//! Rows that print a result among what is wished for and what lacks: `Calcium: Desired value`, `Value found`, `Deficit`,
//! each with a figure for every sample. What was found is the row of the name; the others are no results.

use super::label::{Label, label};
use super::layout::{Layout, Line, Phrase, Token};
use super::vocabulary::{Context, Role};
use crate::place::Rect;

/// What a line of such a row prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Prints {
    Found,
    Wished,
}

/// The name over a row of several lines, and what stands behind it in its own.
struct Opening {
    name: Phrase,
    prints: Option<Prints>,
    rest: Vec<Phrase>,
}

/// More lines are no row of one name.
const MOST_LINES: usize = 6;

/// The page with what was found in the row of its name, and without the lines of what was wished for.
pub fn threefold(page: Layout) -> Layout {
    let mut lines: Vec<Line> = Vec::with_capacity(page.lines.len());
    let mut at = 0;
    while let Some(line) = page.lines.get(at) {
        match row(&page.lines, at) {
            Some((found, count)) => {
                lines.push(found);
                at += count;
            }
            None => {
                lines.push(line.clone());
                at += 1;
            }
        }
    }
    Layout { lines, ..page }
}

/// The one line of results of the row that begins here, and how many lines it has.
fn row(lines: &[Line], at: usize) -> Option<(Line, usize)> {
    let first = lines.get(at)?;
    let Opening { name, prints, rest } = opening(first)?;
    let mut found: Vec<Line> = Vec::new();
    let mut wished = 0;
    let mut count = 1;
    match prints {
        Some(Prints::Found) => found.push(of_name(first, &name, &rest)?),
        Some(Prints::Wished) => wished += 1,
        None => {}
    }
    while let Some(line) = lines.get(at + count).filter(|_| count < MOST_LINES) {
        let [kind, rest @ ..] = line.phrases.as_slice() else { break };
        match prints_of(kind.text()) {
            Some(Prints::Found) if figures_alone(rest) => found.push(of_name(line, &name, rest)?),
            Some(Prints::Wished) if figures_alone(rest) || rest.is_empty() => wished += 1,
            _ => break,
        }
        count += 1;
    }
    let [one] = found.as_slice() else { return None };
    (wished > 0).then(|| (one.clone(), count))
}

/// What a line says that its figures are, and nothing else.
fn prints_of(text: &str) -> Option<Prints> {
    let said = label(text, PLAIN);
    let alone = said.unknown.is_empty()
        && said.analyte.is_none()
        && !said.other
        && said.field.is_none()
        && said.unit.is_none()
        && said.year.is_none();
    match said.role {
        _ if !alone || text.contains(|c: char| c.is_ascii_digit()) => None,
        Some(Role::Result) if !said.decoy => Some(Prints::Found),
        None if said.decoy => Some(Prints::Wished),
        _ => None,
    }
}

const PLAIN: Context = Context { symbols: false, capitals: false };

fn opening(line: &Line) -> Option<Opening> {
    let [first, rest @ ..] = line.phrases.as_slice() else { return None };
    let measures = |said: &Label| said.analyte.is_some() && !said.decoy && said.unknown.is_empty();
    let text = first.text();
    if let Some((name, kind)) = text.split_once(':').filter(|(_, kind)| !kind.trim().is_empty()) {
        let prints = prints_of(kind.trim())?;
        let said = label(name, Context { symbols: true, ..PLAIN });
        let opens = measures(&said) && figures_alone(rest);
        return opens.then(|| Opening {
            name: part(first, name.trim()),
            prints: Some(prints),
            rest: rest.to_vec(),
        });
    }
    let name = text.trim_end_matches(':');
    if !measures(&label(name, Context { symbols: true, ..PLAIN })) {
        return None;
    }
    match rest {
        [] => Some(Opening { name: part(first, name), prints: None, rest: Vec::new() }),
        [kind, rest @ ..] => {
            let prints = prints_of(kind.text())?;
            figures_alone(rest).then(|| Opening {
                name: part(first, name),
                prints: Some(prints),
                rest: rest.to_vec(),
            })
        }
    }
}

/// A figure at least, and beside figures nothing but units and ratings.
fn figures_alone(cells: &[Phrase]) -> bool {
    let figure = |p: &Phrase| {
        let text = p.text();
        text.contains(|c: char| c.is_ascii_digit())
            && text.chars().filter(|c| c.is_alphabetic()).count() <= MOST_LETTERS
    };
    let beside = |p: &Phrase| {
        let said = p.label(PLAIN);
        said.unknown.is_empty() && said.analyte.is_none() && (said.unit.is_some() || said.rating)
    };
    let blank = |p: &Phrase| !p.text().contains(char::is_alphanumeric);
    cells.iter().any(figure) && cells.iter().all(|p| figure(p) || beside(p) || blank(p))
}

/// Letters of a rating behind a figure.
const MOST_LETTERS: usize = 2;

/// The words of a name out of a phrase.
fn part(phrase: &Phrase, name: &str) -> Phrase {
    let count = name.split(' ').count();
    let words: Vec<Token> = phrase.tokens.iter().take(count).cloned().collect();
    let spelt = words.iter().map(|t| t.text.trim_end_matches(':')).collect::<Vec<_>>().join(" ");
    let tokens = match (spelt == name, phrase.tokens.first()) {
        (true, _) => {
            words.into_iter().map(|t| Token { text: t.text.trim_end_matches(':').into(), ..t }).collect()
        }
        (false, Some(first)) => vec![Token { text: name.into(), ..first.clone() }],
        (false, None) => Vec::new(),
    };
    let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b)).unwrap_or(phrase.area);
    Phrase { tokens: tokens.into(), area, marks: phrase.marks.clone() }
}

/// A line of figures under a name that stands in it or above.
fn of_name(line: &Line, name: &Phrase, figures: &[Phrase]) -> Option<Line> {
    let level = |area: &Rect| Rect::new(area.x0, line.area.y0, area.x1, line.area.y1);
    let tokens: Vec<Token> =
        name.tokens.iter().map(|t| Token { area: level(&t.area), ..t.clone() }).collect();
    let named = Phrase { tokens: tokens.into(), area: level(&name.area), marks: name.marks.clone() };
    let phrases: Vec<Phrase> = [named].into_iter().chain(figures.iter().cloned()).collect();
    let area = phrases.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
    Some(Line { phrases, area, footnote: line.footnote })
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str]) -> Vec<Vec<String>> {
        let page = threefold(layout(&typed(lines)));
        page.lines.iter().map(|l| l.phrases.iter().map(|p| p.text().to_owned()).collect()).collect()
    }

    #[test]
    fn what_was_found_is_the_row_of_the_name() {
        let found = vec![vec!["Calcium", "4276", "4249"], vec!["Sodium", "71", "113"]];
        for sheet in [
            [
                "Calcium:  Desired value   4427    5119",
                "          Value found     4276    4249",
                "          Deficit         -151",
                "Sodium                    71      113",
            ],
            [
                "Calcium   Found           4276    4249",
                "          Target          4427    5119",
                "          Surplus                 870",
                "Sodium                    71      113",
            ],
        ] {
            let sheet: Vec<String> = sheet.iter().map(|l| l.replace(":  D", ": D")).collect();
            let sheet: Vec<&str> = sheet.iter().map(String::as_str).collect();
            assert_eq!(of(&sheet), found);
        }
    }

    #[test]
    fn lines_of_other_words_or_several_results_are_left_as_they_are() {
        for sheet in [
            ["Calcium: Desired value   4427    5119", "    Quibbled     4276    4249", "pH    7     6"],
            ["Calcium: Value found   4427    5119", "    Result     4276    4249", "    Deficit    1   2"],
            ["Calcium: Value found   4427    5119", "Magnesium: Deficit     4276    4249", "pH    7     6"],
            ["Calcium     Low     4427", "Result     Unit   Range", "pH    7     6"],
        ] {
            assert_eq!(of(&sheet).len(), 3, "{sheet:?}");
        }
    }
}
