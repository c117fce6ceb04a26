//! Names and headings over the columns of a table of analytes, broken over lines: every word of the block stands over
//! one column, and the words over a column are read together from top to bottom.

use super::super::align::columns;
use super::super::atom::{Atom, Kind};
use super::super::band::word_space;
use super::super::date::{DayOrder, asked};
use super::super::fold::is_figure;
use super::super::header::{asks_size, depth, leading_field};
use super::super::label::{Label, label};
use super::super::layout::{Layout, Line as PageLine, Phrase, Token};
use super::super::vocabulary::{Context, Field, Role};
use super::above::{FieldRow, Heading, between_two, is_of_a_range, with_depth_unit};
use super::column::is_current;
use super::crop::{Planted, planted};
use super::row::Row;
use crate::place::Rect;

/// What stands over the columns of a table.
#[derive(Debug, Clone, Default)]
pub struct Stacked {
    /// Headings that say what a column holds, each as wide as its column.
    pub headings: Vec<Heading>,
    /// Names and numbers of samples, each as wide as its column.
    pub fields: Vec<FieldRow>,
    /// The lines taken.
    pub lines: Vec<usize>,
    /// The names are words over columns; nothing says that names of samples stand there.
    pub headed: bool,
    /// A line of the block asks for something that is not known: how far the names reach is not known either.
    pub half_named: bool,
}

impl Stacked {
    /// What the block says of a column.
    pub fn of(&self, column: &Rect) -> Vec<(Field, String)> {
        self.fields
            .iter()
            .filter_map(|(field, cells)| {
                let cell = cells.iter().find(|c| c.area.x0 == column.x0 && c.area.x1 == column.x1)?;
                Some((*field, cell.text.clone()))
            })
            .filter(|(_, text)| !super::super::atom::is_blank(text))
            .collect()
    }
}

/// One line of the block: words over the names, and words over each column.
#[derive(Clone)]
struct Line {
    at: usize,
    name: String,
    cells: Vec<(usize, Token)>,
}

/// How close, in ems, the lines of one block follow each other.
const TIGHT: f32 = 1.1;
/// How much further than the lines of one block, in the widest room between these, another stands.
const APART: f32 = 1.5;
/// How far beside a column, in ems, a word still belongs to it.
const BESIDE: f32 = 1.0;
/// How near, in ems, words of one column begin.
const SAME_EDGE: f32 = 0.25;
/// More lines are no heading.
const MOST_LINES: usize = 8;

/// Reads the block right above a table; none where a word of it belongs to no column, or where what it says is no name.
pub fn stacked(
    page: &Layout,
    table: &[Row],
    left: f32,
    rows_of_others: &[usize],
    context: Context,
) -> Option<Stacked> {
    let first = table.first().filter(|_| !page.cells && table.len() >= 3)?;
    let cells: Vec<Vec<Atom>> = table.iter().map(|r| r.cells.clone()).collect();
    let areas = |text: bool| -> Vec<Rect> {
        columns(&cells, &[], page.em, &|a| matches!(a.kind, Kind::Text) == text)
            .into_iter()
            .map(|c| c.area)
            .collect()
    };
    let values = areas(false);
    let words: Vec<Rect> =
        areas(true).into_iter().filter(|w| values.iter().all(|v| v.overlap_x(w) <= 0.0)).collect();
    let name_right = table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max);
    let slots: Vec<Rect> = values.iter().chain(&words).copied().collect();
    let lines = block(page, first, left, name_right, rows_of_others, &slots, &values)?;
    read(&lines, &slots, values.len(), context)
}

/// The lines of the block from top to bottom, their words given to columns.
fn block(
    page: &Layout,
    first: &Row,
    left: f32,
    name_right: f32,
    rows_of_others: &[usize],
    slots: &[Rect],
    values: &[Rect],
) -> Option<Vec<Line>> {
    let right = slots.iter().map(|s| s.x1).fold(name_right, f32::max);
    let mut out: Vec<Line> = Vec::new();
    // Words over no column, with their lines.
    let mut apart: Vec<(usize, Token)> = Vec::new();
    let mut below = first.name.area.y0;
    let space = word_space(page);
    let mut widest = 0.0_f32;
    for at in (0..first.line).rev() {
        let line = page.lines.get(at)?;
        if below - line.area.y1 > TIGHT * page.em {
            break;
        }
        if rows_of_others.contains(&at) || out.len() >= MOST_LINES {
            return None;
        }
        // `PASTE AND WHAT COMES OF IT` from the edge of the names into the next column is the title of the rows below.
        let titles = |p: &Phrase| {
            (p.area.x0 - left).abs() < page.em
                && slots.iter().any(|s| s.x0 > left + page.em && s.overlap_x(&p.area) > 0.0)
                && !p.text().contains(|c: char| c.is_ascii_digit() || c == ':')
        };
        let unread = || is_row(&line.phrases, values, left, page.em);
        if out.is_empty() && (matches!(line.phrases.as_slice(), [one] if titles(one)) || unread()) {
            below = line.area.y0;
            continue;
        }
        // `Saturated paste` between the names and the first rows is the title of these.
        let above = at.checked_sub(1).and_then(|above| page.lines.get(above));
        if out.is_empty()
            && let Some(above) = above.filter(|above| is_part_title(line, above, below, left, slots, page.em))
        {
            below = above.area.y1;
            continue;
        }
        // A form that ends clearly further above than the lines of the block stand apart is none of it.
        let gap = below - line.area.y1;
        if widest > 0.0 && gap > APART * widest && line.phrases.iter().any(|p| p.text().contains(':')) {
            break;
        }
        widest = widest.max(gap);
        let mut own = Line { at, name: String::new(), cells: Vec::new() };
        for phrase in &line.phrases {
            let text = phrase.text();
            // `This report   2022` over names are their seasons, and no words of theirs.
            let season = is_current(text) && text.split(' ').count() < 4;
            if season || text.contains(':') || text.ends_with('.') && text.split(' ').count() > 4 {
                return None;
            }
            // `Lab No.` over short names goes on beyond them.
            let mut in_name = false;
            for token in &segments(phrase, page.em, space) {
                if token.area.x1 < left - page.em || token.area.x0 > right + page.em {
                    return None;
                }
                let over_name =
                    token.area.x0 < name_right && slots.iter().all(|s| s.overlap_x(&token.area) <= 0.0);
                let over_none = slots.iter().all(|s| s.overlap_x(&token.area) <= 0.0);
                match slot(token, slots, page.em).filter(|_| !over_name) {
                    Some(_) if over_none => apart.push((out.len(), token.clone())),
                    Some(i) => own.cells.push((i, token.clone())),
                    None if in_name || token.area.x0 < name_right + 0.5 * page.em => {
                        in_name = true;
                        own.name = format!("{} {}", own.name, token.text).trim().to_owned();
                    }
                    // `Unit` over a column that is blank in every row.
                    None if says_only(&token.text) && over_none => {}
                    None if over_none => {
                        apart.push((out.len(), token.clone()));
                    }
                    None => return None,
                }
            }
        }
        below = line.area.y0;
        out.push(own);
    }
    let of_line = |at: usize| {
        let own = out.get(at).into_iter().flat_map(|l| &l.cells).map(|c| c.1.area);
        own.chain(apart.iter().filter(move |(i, _)| *i == at).map(|(_, t)| t.area))
    };
    let unclear = apart.iter().any(|(at, token)| {
        under_a_name(token, &out, page.em).is_none() && between_two(&token.area, of_line(*at), slots)
    });
    if unclear {
        return None;
    }
    let placed: Option<Vec<(usize, usize, Token)>> = apart
        .into_iter()
        .map(|(at, token)| {
            let slot = under_a_name(&token, &out, page.em).or_else(|| slot(&token, slots, page.em))?;
            Some((at, slot, token))
        })
        .collect();
    for (at, slot, token) in placed? {
        let cells = &mut out.get_mut(at)?.cells;
        cells.push((slot, token));
        cells.sort_by(|a, b| a.1.area.x0.total_cmp(&b.1.area.x0));
    }
    out.reverse();
    (!out.is_empty()).then_some(out)
}

/// Words alone at the edge of the names, nearer to the rows below them than to the line of several words above.
fn is_part_title(line: &PageLine, above: &PageLine, below: f32, left: f32, slots: &[Rect], em: f32) -> bool {
    let [title] = line.phrases.as_slice() else { return false };
    let (over, under) = (line.area.y0 - above.area.y1, below - line.area.y1);
    (title.area.x0 - left).abs() < em
        && slots.iter().all(|s| s.overlap_x(&title.area) <= 0.0)
        && !title.text().contains(|c: char| c.is_ascii_digit() || c == ':')
        && above.phrases.len() > slots.len().min(2)
        && over > under + FURTHER * em
        && over < MOST_ROOM * em
}

/// How much further, in ems, a title stands from the names above it than from its rows.
const FURTHER: f32 = 0.3;
/// More room, in ems, over a title parts it from the names.
const MOST_ROOM: f32 = 3.0;

/// The column of the words at whose left edge this word begins, in another line: columns of words that begin at one edge
/// over figures that end at one reach these with their longest line alone.
fn under_a_name(token: &Token, lines: &[Line], em: f32) -> Option<usize> {
    let edge = |c: &&(usize, Token)| (c.1.area.x0 - token.area.x0).abs() < SAME_EDGE * em;
    let mut over = lines.iter().flat_map(|l| &l.cells).filter(edge).map(|c| c.0);
    let first = over.next()?;
    over.all(|s| s == first).then_some(first)
}

/// `Something odd   %   43   44` at the edge of the names, a unit alone and a figure in every column: a row of what is not
/// known, and no names.
fn is_row(phrases: &[Phrase], values: &[Rect], left: f32, em: f32) -> bool {
    let [name, cells @ ..] = phrases else { return false };
    let unit = |p: &Phrase| {
        let said = p.label(Context { symbols: false, capitals: false });
        said.unit.as_ref().is_some_and(|u| u.1 == p.text())
            && values.iter().all(|v| v.overlap_x(&p.area) <= 0.0)
    };
    let figure = |p: &Phrase| {
        let text = p.text();
        text.contains(|c: char| c.is_ascii_digit()) && !text.contains(char::is_alphabetic)
    };
    (name.area.x0 - left).abs() < em
        && name.text().contains(char::is_alphabetic)
        && cells.iter().any(unit)
        && values.len() > 1
        && values.iter().all(|v| cells.iter().any(|p| figure(p) && v.overlap_x(&p.area) > 0.0))
}

/// The words of a phrase that stand closer to each other than to the rest: names of columns set close together. Of two
/// words the usual space of the page tells.
fn segments(phrase: &Phrase, em: f32, space: f32) -> Vec<Token> {
    let gaps: Vec<f32> = phrase
        .tokens
        .windows(2)
        .filter_map(|w| if let [a, b] = w { Some(b.area.x0 - a.area.x1) } else { None })
        .collect();
    let least = gaps.iter().copied().fold(f32::INFINITY, f32::min);
    // Where even the narrowest room is wider than between words, every word stands by itself: `Unit   Method   North`.
    let widest = if gaps.len() > 1 && least < 1.5 * space { 1.5 * least } else { (1.1 * space).min(em) };
    let mut out: Vec<Token> = Vec::new();
    for (i, token) in phrase.tokens.iter().enumerate() {
        let near =
            i.checked_sub(1).and_then(|k| gaps.get(k)).is_some_and(|gap| *gap <= widest.max(0.45 * em));
        match out.last_mut() {
            Some(last) if near => {
                last.text = format!("{} {}", last.text, token.text).into();
                last.area = last.area.union(&token.area);
                last.place =
                    super::super::layout::place_of(&[last.clone(), token.clone()]).unwrap_or(last.place);
            }
            _ => out.push(token.clone()),
        }
    }
    out
}

/// The column a word stands over, or close beside.
fn slot(token: &Token, slots: &[Rect], em: f32) -> Option<usize> {
    let gap = |s: &Rect| (s.x0 - token.area.x1).max(token.area.x0 - s.x1);
    // Words over two columns are no one's.
    if slots.iter().filter(|s| s.overlap_x(&token.area) > 0.0).count() > 1 {
        return None;
    }
    slots
        .iter()
        .enumerate()
        .filter(|(_, s)| gap(s) < BESIDE * em)
        .min_by(|a, b| {
            let shared = |s: &Rect| s.overlap_x(&token.area).max(0.0);
            shared(b.1).total_cmp(&shared(a.1)).then(gap(a.1).total_cmp(&gap(b.1)))
        })
        .map(|(i, _)| i)
}

/// The field that the words over the names ask for on this line, also where they are broken over two.
fn field_of(lines: &[Line], i: usize) -> Option<Field> {
    let alone = |k: Option<usize>| k.and_then(|k| lines.get(k)).filter(|l| l.cells.is_empty());
    let own = &lines.get(i)?.name;
    let mut texts = vec![own.clone()];
    texts.extend(alone(i.checked_sub(1)).map(|l| format!("{} {own}", l.name)));
    // `Lab` on the line below is the upper half of `Lab No.`, unless this line begins what it ends.
    texts.extend(alone(i.checked_add(1)).filter(|_| !own.is_empty()).map(|l| format!("{own} {}", l.name)));
    let other = |f: &Field| !matches!(f, Field::SampleLabel | Field::Ignored);
    texts.iter().filter(|t| !t.is_empty()).find_map(|t| asks_for(t).filter(other))
}

/// `Date   22-Feb-   22-Feb-` over `sampled   2021   2021`: days broken behind a hyphen over every column are whole days.
fn hyphened(lines: &[Line]) -> Vec<Line> {
    let mut out: Vec<Line> = Vec::new();
    for line in lines {
        let broken = |above: &Line| {
            !above.cells.is_empty()
                && above.cells.len() == line.cells.len()
                && above.cells.iter().zip(&line.cells).all(|(a, b)| {
                    let whole = format!("{}{}", a.1.text, b.1.text);
                    a.0 == b.0 && a.1.text.ends_with('-') && asked(&whole, DayOrder::Unknown).is_some()
                })
        };
        match out.last_mut().filter(|above| broken(above)) {
            Some(above) => {
                above.name = format!("{} {}", above.name, line.name).trim().to_owned();
                for ((_, a), (_, b)) in above.cells.iter_mut().zip(&line.cells) {
                    a.text.push_str(&b.text);
                    a.area = a.area.union(&b.area);
                }
            }
            None => out.push(line.clone()),
        }
    }
    out
}

/// The field whose name these words are, whole.
fn asks_for(text: &str) -> Option<Field> {
    let (field, rest, _) = leading_field(text, Context { symbols: false, capitals: false })?;
    rest.is_empty().then_some(field)
}

/// Of several lines of names, each with words over every column, the one of long numbers is the laboratory's where the
/// others tell the samples apart without it.
fn numbers_line(lines: &[Line], values: usize) -> Option<usize> {
    let number =
        |t: &Token| !t.text.contains(' ') && t.text.chars().filter(char::is_ascii_digit).count() >= 3;
    // `Desirable` over its own column is over no sample.
    let says = |s: &usize| lines.iter().flat_map(|l| &l.cells).any(|c| c.0 == *s && says_only(&c.1.text));
    let samples: Vec<usize> = (0..values).filter(|s| !says(s)).collect();
    let values = samples.len();
    let full = |l: &Line| samples.iter().all(|s| l.cells.iter().filter(|c| c.0 == *s).count() == 1);
    // `Test` over the names of what was tested asks for no name of a sample.
    let asks_nothing = |l: &Line| {
        let context = Context { symbols: false, capitals: false };
        l.name.is_empty() || label(&l.name, context).role == Some(Role::Analyte)
    };
    if values < 2 {
        return None;
    }
    let at = lines.iter().position(|l| asks_nothing(l) && full(l) && l.cells.iter().all(|c| number(&c.1)))?;
    let mut names: Vec<String> = samples
        .iter()
        .map(|s| {
            let others = lines.iter().enumerate().filter(|(i, _)| *i != at).flat_map(|(_, l)| &l.cells);
            others.filter(|c| c.0 == *s).map(|c| c.1.text.as_str()).collect::<Vec<_>>().join(" ")
        })
        .collect();
    names.sort_unstable();
    names.dedup();
    (names.len() == values && names.iter().all(|n| !n.is_empty())).then_some(at)
}

fn read(lines: &[Line], slots: &[Rect], values: usize, context: Context) -> Option<Stacked> {
    let mut out = Stacked { lines: lines.iter().map(|l| l.at).collect(), ..Stacked::default() };
    let mut over: Vec<Vec<Token>> = vec![Vec::new(); slots.len()];
    let mut named = String::new();
    let mut perhaps_grows = false;
    let joined = hyphened(lines);
    let lines = joined.as_slice();
    let numbers = numbers_line(lines, values);
    for (i, line) in lines.iter().enumerate() {
        let field = field_of(lines, i).or((numbers == Some(i)).then_some(Field::LabSample));
        if let Some(field) = field.filter(|_| !line.cells.is_empty()) {
            let cells = (0..values)
                .filter_map(|s| cell(line.cells.iter().filter(|c| c.0 == s).map(|c| &c.1), slots.get(s)?));
            // `Depth   cm   0-10   10-20`: the unit stands in a column of its own.
            let others = line.cells.iter().filter(|c| c.0 >= values).map(|c| c.1.text.as_str());
            let asked = std::iter::once(line.name.as_str()).chain(others).collect::<Vec<_>>().join(" ");
            let cells: Vec<Atom> = with_depth_unit(field, &asked, cells.collect());
            // A reference of each sample is no number of the report.
            let unlike = cells.windows(2).any(|w| matches!(w, [a, b] if a.text != b.text));
            if field != Field::Report || !unlike {
                out.fields.push((field, cells));
            }
            continue;
        }
        // `Crop   maize   oats` names no sample, nor does `Area (ha)   3   4`.
        let size = asks_size(&line.name) && line.cells.iter().all(|c| is_figure(&c.1.text));
        if !line.cells.is_empty() && (asks_for(&line.name) == Some(Field::Ignored) || size) {
            continue;
        }
        // `Oats   Clover   Rye` under as many names: what grows there, and no ends of the names.
        let texts: Vec<&str> = line.cells.iter().map(|c| c.1.text.as_str()).collect();
        let named_elsewhere = || {
            let others =
                || lines.iter().enumerate().filter(|(other, _)| *other != i).flat_map(|(_, l)| &l.cells);
            line.cells.iter().all(|c| others().any(|o| o.0 == c.0))
        };
        match planted(&texts) {
            Planted::All if line.name.is_empty() && named_elsewhere() => continue,
            Planted::Some if line.name.is_empty() && named_elsewhere() => perhaps_grows = true,
            _ => {}
        }
        // `Test   Unit   Code   0-10 cm   10-20 cm`: the layers of the samples, beside words over other columns.
        let layers: Vec<Atom> = (0..values)
            .filter_map(|s| {
                let own = || line.cells.iter().filter(|c| c.0 == s).map(|c| &c.1);
                cell(own(), slots.get(s)?).filter(|a| is_layer(&a.text))
            })
            .collect();
        let others = line.cells.iter().filter(|(s, t)| *s < values && !is_layer(&t.text));
        if layers.len() > 1 && others.clone().all(|(_, t)| says_only(&t.text)) {
            let rest = line.cells.iter().filter(|(s, t)| *s >= values || !is_layer(&t.text));
            for (s, token) in rest.filter(|(s, t)| *s < values || says_only(&t.text)) {
                over.get_mut(*s)?.push(token.clone());
            }
            out.fields.push((Field::DepthTop, layers));
            continue;
        }
        if !line.cells.is_empty() {
            named = format!("{named} {}", line.name).trim().to_owned();
        }
        for (s, token) in &line.cells {
            over.get_mut(*s)?.push(token.clone());
        }
    }
    let asks = label(&named, context);
    let opens = named.is_empty()
        || asks.analyte.is_none()
            && (asks.role == Some(Role::Analyte) || asks.field == Some(Field::SampleLabel));
    let mut names: Vec<Atom> = Vec::new();
    for (s, area) in slots.iter().enumerate() {
        let Some(atom) = cell(over.get(s)?.iter(), area) else { continue };
        let said = atom.label(context);
        if says_column(&said) && !is_of_a_range(&atom.text) {
            out.headings.push((atom.area, said, atom.text));
        } else if s >= values || !is_name(&atom, &said) {
            return None;
        } else {
            names.push(atom);
        }
    }
    // A column called the result belongs to a form; a season's heading is read elsewhere.
    let other = out.headings.iter().any(|(_, l, _)| l.role == Some(Role::Result) || l.year.is_some());
    let sure = names.len() > 1 || !named.is_empty() || !out.fields.is_empty() || !out.headings.is_empty();
    if !opens || other || names.is_empty() || !sure {
        return None;
    }
    // `Parameter` over `Kennung`: what the second asks for is no end of the names.
    out.headed = asks.field != Some(Field::SampleLabel);
    out.half_named = perhaps_grows || asks.decoy || !asks.unknown.is_empty();
    if !out.half_named {
        out.fields.push((Field::SampleLabel, names));
    }
    Some(out)
}

/// `0-10 cm`, and no `40 3` that ends a name.
fn is_layer(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit()) && depth(text, None, false).is_some()
}

/// Words read together, as wide as their column.
fn cell<'a>(tokens: impl Iterator<Item = &'a Token>, slot: &Rect) -> Option<Atom> {
    let atom = Atom::new(Kind::Text, tokens.cloned().collect::<Vec<_>>())?;
    let area = Rect::new(slot.x0, atom.area.y0, slot.x1, atom.area.y1);
    Some(Atom { area, ..atom })
}

/// True for words that say what a column holds, and nothing else.
fn says_only(text: &str) -> bool {
    let said = label(text, Context { symbols: false, capitals: false });
    says_column(&said) && said.unknown.is_empty() && said.analyte.is_none()
}

/// True where words say what a column holds.
pub fn says_column(l: &Label) -> bool {
    l.role.is_some() || l.decoy || l.only_rates() || l.year.is_some() && l.unknown.is_empty()
}

/// A name of a sample: no unit, no measurement, no number with decimals.
fn is_name(atom: &Atom, l: &Label) -> bool {
    let decimal =
        atom.text.split(' ').any(|w| w.contains(['.', ',']) && w.contains(|c: char| c.is_ascii_digit()));
    // `Block K 1` asks for no potassium.
    let measured = (l.analyte.is_some() || l.unit.is_some()) && l.unknown.is_empty() && l.field.is_none();
    let year = atom.text.parse::<u16>().is_ok_and(|y| (1950..2100).contains(&y));
    !decimal && !measured && !year && atom.text.split(' ').count() <= 6
}

#[cfg(test)]
mod tests {
    use super::super::super::atom::atoms;
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::row::line_rows;
    use super::*;

    fn of(lines: &[&str]) -> Option<Vec<(Field, Vec<String>)>> {
        let page = layout(&typed(lines));
        let context = Context { symbols: true, capitals: false };
        let mut rows = Vec::new();
        for (i, line) in page.lines.iter().enumerate() {
            rows.extend(line_rows(i, &atoms(line, Decimal::Point), context, Decimal::Point, &|_| false));
        }
        let left = rows.first()?.name.area.x0;
        let found = stacked(&page, &rows, left, &[], context)?;
        Some(found.fields.into_iter().map(|(f, c)| (f, c.into_iter().map(|a| a.text).collect())).collect())
    }

    #[test]
    fn names_broken_over_lines_are_whole_and_the_laboratorys_number_is_none() {
        let found = of(&[
            "Harrow report",
            "",
            "                         North    Front    Optimum",
            "                                  lawn     Range",
            "Sample    Units          40 3     3",
            "Lab",
            "No.                      63867    63868",
            "pH                       7.6      7.5      6.0-7.0",
            "P         mg/kg          14       13       10-20",
            "Mg        mg/kg          166      260      100-200",
        ]);
        let text = |t: &[&str]| t.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>();
        assert_eq!(
            found,
            Some(vec![
                (Field::LabSample, text(&["63867", "63868"])),
                (Field::SampleLabel, text(&["North 40 3", "Front lawn 3"])),
            ])
        );
    }

    #[test]
    fn the_end_of_a_broken_name_is_no_result_of_a_row_of_headings() {
        let table = ["Lab", "No.                                 63451"].into_iter().chain([
            "pH                 an equal amount   7.9",
            "P         ppm      Mehlich 3         22",
            "K         ppm      Mehlich 3         246",
        ]);
        let head = ["                                    Zone", "          Units    Method           B 1"];
        let found = of(&head.into_iter().chain(table).collect::<Vec<_>>()).unwrap();
        let names = found.iter().find(|f| f.0 == Field::SampleLabel).map(|f| f.1.join("|"));
        assert_eq!(names.as_deref(), Some("Zone B 1"), "{found:?}");
    }

    #[test]
    fn layers_and_broken_days_over_columns_are_whole() {
        let found = of(&[
            "Test          Unit     Home      Mill",
            "Depth (cm)             0-10      10-30",
            "Date                   22-Feb-   23-Feb-",
            "sampled                2021      2021",
            "pH                     7.6       7.5",
            "P             mg/kg    14        13",
            "Mg            mg/kg    166       260",
        ])
        .unwrap();
        let of = |field| found.iter().find(|(f, _)| *f == field).map(|(_, t)| t.join("|"));
        assert_eq!(of(Field::DepthTop).as_deref(), Some("0-10 cm|10-30 cm"));
        assert_eq!(of(Field::SampledOn).as_deref(), Some("22-Feb-2021|23-Feb-2021"), "{found:?}");
        assert_eq!(of(Field::SampleLabel).as_deref(), Some("Home|Mill"));
    }

    #[test]
    fn words_that_all_stand_further_apart_than_words_do_stand_each_alone() {
        let token = |text: &str, x0: f32| {
            let area = Rect::new(x0, 0.0, x0 + 20.0, 8.0);
            let place = crate::place::Place::Page { page: 1, area };
            Token { text: text.into(), area, place, size: 8.0, confidence: None }
        };
        let texts = |gap: f32| {
            let tokens: Vec<Token> = (0u8..)
                .zip(["Unit", "Method", "North"])
                .map(|(i, t)| token(t, f32::from(i) * (20.0 + gap)))
                .collect();
            let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b)).unwrap();
            segments(&Phrase { tokens: tokens.into(), area, marks: Vec::new() }, 10.0, 2.5).len()
        };
        assert_eq!((texts(8.0), texts(2.5)), (3, 1));
    }

    #[test]
    fn a_heading_over_a_blank_column_names_no_sample() {
        let found = of(&[
            "                    House",
            "                    field",
            "Sample    Unit      1",
            "Lab No.             69998",
            "pH                  7.6",
            "P                   14",
            "Mg                  166",
        ]);
        let text = |t: &str| vec![t.to_owned()];
        assert_eq!(
            found,
            Some(vec![(Field::LabSample, text("69998")), (Field::SampleLabel, text("House field 1"))])
        );
    }

    #[test]
    fn a_result_column_or_a_word_over_no_column_is_left_to_others() {
        let table = ["pH     7.6", "P      14", "Mg     166"];
        let with = |head: &[&str]| of(&[head, &table].concat());
        assert_eq!(with(&["Test   Result"]), None);
        assert_eq!(with(&["Test   2023"]), None);
        assert!(with(&["Sample   Tee"]).is_some());
    }

    #[test]
    fn a_line_that_asks_for_something_else_is_no_end_of_the_names() {
        let table = ["pH          7.6      7.5", "P           14       13", "Mg          166      260"];
        let with = |line: &str| of(&[&["Parameter   North    Front", line], &table[..]].concat()).unwrap();
        let named = |line: &str| {
            let found = with(line).into_iter().find(|(f, _)| *f == Field::SampleLabel);
            found.map(|(_, names)| names)
        };
        let whole = Some(vec!["North".to_owned(), "Front".to_owned()]);
        assert_eq!(named("Lab ref     S-20     S-21"), whole);
        assert_eq!(named("Crop        Oats     Rye"), whole);
        assert_eq!(named("Kennung     S-20     S-21"), None);
        assert_eq!(named("Reference   S-20     S-21"), whole);
        assert!(with("Reference   S-20     S-21").iter().all(|(f, _)| *f != Field::Report));
    }
}
