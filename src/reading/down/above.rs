//! What stands over a table of analytes: headings of its columns, names and fields of its samples.

use super::super::across::asks_for_a_name;
use super::super::align::columns;
use super::super::atom::{Atom, Kind, is_blank};
use super::super::cut::cut;
use super::super::date::DayOrder;
use super::super::fold::pieces;
use super::super::header::{day, is_form_line, is_place, leading_field};
use super::super::label::{Label, label, year_of};
use super::super::layout::{Layout, Phrase, Token};
use super::super::vocabulary::{Context, Field, Meaning, Role, hits_where};
use super::super::words::List;
use super::row::Row;
use crate::place::Rect;

/// Box, meaning and words of a heading.
pub type Heading = (Rect, Label, String);
/// A field and its texts, one for each column.
pub type FieldRow = (Field, Vec<Atom>);

/// What stands over a table.
#[derive(Debug, Clone, Default)]
pub struct Above {
    /// Headings of its columns.
    pub headings: Vec<Heading>,
    /// Names and fields of its samples.
    pub fields: Vec<FieldRow>,
    /// The lines taken.
    pub lines: Vec<usize>,
    /// Names stand there and were not read whole: no other name on the page is theirs.
    pub half_named: bool,
    /// The names are words over columns; nothing says that names of samples stand there.
    pub headed: bool,
}

/// Headings and sample rows above (or among the first rows of) a table.
pub fn above(
    page: &Layout,
    atoms: &[Vec<Atom>],
    table: &[Row],
    left: f32,
    right: f32,
    rows_of_others: &[usize],
    context: Context,
) -> Above {
    let Some(first) = table.first() else { return Above::default() };
    let name_right = table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max);
    let numbers: Vec<Vec<Atom>> = table.iter().map(|r| r.cells.clone()).collect();
    let columns_of_values: Vec<Rect> = columns(&numbers, &[], page.em, &|a| !matches!(a.kind, Kind::Text))
        .into_iter()
        .map(|c| c.area)
        .collect();
    let mut headings: Vec<Heading> = Vec::new();
    let mut fields: Vec<FieldRow> = Vec::new();
    let mut lines = Vec::new();
    let mut titles = 0;
    let (mut half, mut headed) = (false, false);
    let mut below = first.name.area.y0;
    for (i, line) in atoms.iter().enumerate().take(first.line).rev() {
        let Some(area) = page.lines.get(i).map(|l| l.area) else { break };
        if below - area.y1 > 3.2 * page.em && !page.cells || page.cells && below - area.y0 > 65.0 {
            break;
        }
        let within: Vec<Atom> = line
            .iter()
            .filter(|a| a.area.x1 > left - 2.0 * page.em && a.area.x0 < right + 8.0 * page.em)
            .cloned()
            .collect();
        let whole =
            if page.cells { within } else { headings_apart(glued(within), &columns_of_values, context) };
        let here: Vec<&Atom> = whole.iter().collect();
        if here.iter().any(|a| a.text.contains(": ") && a.tokens.len() > 2) {
            break;
        }
        // A row with a value is no heading of the next table.
        if rows_of_others.contains(&i) && line.iter().any(|a| a.number().is_some()) {
            break;
        }
        // Rules drawn with dashes part a heading from its rows.
        if !here.is_empty() && here.iter().all(|a| matches!(a.kind, Kind::Blank)) {
            below = area.y0;
            continue;
        }
        let first_label = here.first().map(|a| label(&over_it(page, atoms, i, a), context));
        let cells: Vec<Atom> =
            here.iter().filter(|a| a.area.x0 > name_right - page.em).map(|a| (*a).clone()).collect();
        // A row of samples has a value for each column; `Client: somebody   Report no.: 12` are pairs of a form.
        let named_columns = cells.iter().any(|a| heading_word(a, context));
        // `Sample name | Unit | House | Creek | Desirable`: some columns are named for what they hold.
        let (words, values): (Vec<Atom>, Vec<Atom>) =
            cells.iter().cloned().partition(|a| heading_word(a, context));
        let pairs = cells.iter().any(|a| {
            a.text.ends_with(':')
                || leading_field(&a.text, context).is_some_and(|(field, rest, colon)| {
                    colon || rest.is_empty() && !place_word(field, &a.text)
                })
        }) || is_form_line(here.iter().map(|a| a.text.as_str()), context)
            || goes_on_a_form(line, &here, left, page, context);
        // A long name is broken: its first words stand tight over the rest.
        if let Some((Field::SampleLabel, names)) = fields.last_mut()
            && !pairs
            && !named_columns
            && cells.len() == here.len()
            && !cells.is_empty()
            && !page.cells
            && below - area.y1 < 1.0 * page.em
            && !numbered_codes(names, &cells)
            && cells
                .iter()
                .flat_map(|c| &c.tokens)
                .all(|t| names.iter().filter(|n| n.area.overlap_x(&t.area) > 0.0).count() == 1)
        {
            for token in cells.iter().flat_map(|c| c.tokens.iter().rev()) {
                if let Some(name) = names.iter_mut().find(|n| n.area.overlap_x(&token.area) > 0.0) {
                    name.text = format!("{} {}", token.text, name.text);
                    name.area = name.area.union(&token.area);
                    name.tokens.insert(0, token.clone());
                }
            }
            lines.push(i);
            below = area.y0;
            continue;
        }
        // `Low   Medium   High` over bars beside the numbers: a scale, and no heading of theirs.
        let degree = |a: &Atom| a.text.to_lowercase().split(' ').all(|w| List::Degree.has(w));
        let rates = line.len() >= SCALE && line.iter().all(degree);
        if rates
            && !page.cells
            && line.iter().all(|a| columns_of_values.iter().all(|v| v.overlap_x(&a.area) <= 0.0))
        {
            lines.push(i);
            below = area.y0;
            continue;
        }
        // `9 Oct 2021   11 Oct 2024` over columns: when each was sampled.
        if here.len() > 1 && cells.len() == here.len() && here.iter().all(|a| is_day(a)) {
            headings.extend(here.iter().map(|a| (a.area, label(&a.text, context), a.text.clone())));
            lines.push(i);
            below = area.y0;
            continue;
        }
        if let Some((heads, names)) = mixed(&here, &cells, table, name_right, context)
            .filter(|_| !pairs && headings.iter().all(|h| h.1.role != Some(Role::Result)))
        {
            // `Block` tight over `K 1`, which was taken for a heading, is half of a name.
            let goes_on = |n: &Atom| {
                headings.iter().any(|(area, l, _)| {
                    let silent =
                        l.role.is_none() && l.unit.is_none() && !l.decoy && l.year.is_none() && !l.rating;
                    silent && area.overlap_x(&n.area) > 0.0 && area.y0 - n.area.y1 < 0.9 * page.em
                })
            };
            half |= !page.cells && names.iter().any(goes_on);
            for atom in heads {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            name_row(&mut fields, names);
            headed = true;
            lines.push(i);
        } else if let Some(field) = first_label
            .as_ref()
            // `Front lawn 3 2244 Mg` set close together is a row of values.
            .filter(|l| l.analyte.is_none())
            .and_then(|l| l.field)
            .filter(|_| here.first().is_some_and(|a| a.area.x0 < name_right))
            && (cells.len() >= 2 || one_name(field, &cells, table))
            && !pairs
            && (!named_columns || values.len() >= 2 || degrees(field, &cells, table))
        {
            let (words, values) =
                if degrees(field, &cells, table) { (Vec::new(), cells) } else { (words, values) };
            for atom in words {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            fields.push((field, values));
            lines.push(i);
        } else if pairs {
            break;
        } else if let Some(row) = prefixed(&here, name_right, page.em) {
            fields.push(row);
            lines.push(i);
        } else if here.len() == 1
            && titles < 2
            && is_title(&here, left, page.em)
            && !here.iter().any(|a| says_several(&a.text, context))
        {
            // The title of a part stands between a heading and its rows.
            titles += 1;
        } else if tops_headings(&here, &headings, below - area.y1, page) {
            for atom in &here {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            lines.push(i);
        } else if asks_unknown(&here, &cells, name_right, context) {
            half = true;
            for atom in words {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            lines.push(i);
        } else if column_names(&cells, &here, table) && !here.iter().any(|a| heading_word(a, context)) {
            // Of two lines of names the one of numbers is the laboratory's.
            let numbered = cells.iter().all(|a| is_laboratory_number(&a.text));
            let field = if numbered
                && fields.iter().all(|(f, _)| *f != Field::LabSample)
                && next_names(atoms, i, cells.len(), name_right, page.em)
            {
                Field::LabSample
            } else {
                Field::SampleLabel
            };
            if field == Field::SampleLabel {
                name_row(&mut fields, cells);
                headed = true;
            } else {
                fields.push((field, cells));
            }
            lines.push(i);
        } else if !here.iter().any(|a| matches!(a.kind, Kind::Number(_) | Kind::Range) && !is_year(a))
            // `Sample No.:   North 40 1` is a pair of a form.
            && !here.iter().any(|a| a.text.ends_with(':'))
            && here.iter().any(|a| heading_word(a, context))
        {
            for atom in &here {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            lines.push(i);
        } else {
            break;
        }
        below = area.y0;
    }
    stack(&mut headings);
    half |= broken_names(page, atoms, &fields, name_right, context);
    if half {
        fields.retain(|(field, _)| *field != Field::SampleLabel);
    }
    Above { headings, fields, lines, half_named: half, headed }
}

/// `Your   Critical   Reporting` set tight over `result   Level   limit`: the upper line of one heading, and no names. Where
/// several columns are called a result, what stands over them may name the samples.
fn tops_headings(here: &[&Atom], headings: &[Heading], gap: f32, page: &Layout) -> bool {
    let results = headings.iter().filter(|h| h.1.role == Some(Role::Result)).count();
    let tops = |a: &&Atom| {
        let under: Vec<&Heading> = headings.iter().filter(|h| h.0.overlap_x(&a.area) > 0.0).collect();
        matches!(under.as_slice(), [one] if one.1.analyte.is_none() && one.1.field.is_none())
            && a.number().is_none()
            && !a.text.contains(' ')
    };
    !page.cells && !here.is_empty() && results <= 1 && gap < 0.9 * page.em && here.iter().all(tops)
}

/// `Analysis  Test result  Unit` set close together: a phrase that says what several columns hold is cut where one of
/// these words stands further apart than others, or where it says one thing for each column of numbers under it.
fn headings_apart(atoms: Vec<Atom>, values: &[Rect], context: Context) -> Vec<Atom> {
    atoms
        .into_iter()
        .flat_map(|atom| {
            let starts = if matches!(atom.kind, Kind::Text) {
                said_of_columns(&atom.tokens, context)
            } else {
                Vec::new()
            };
            let gap = |i: usize| {
                let pair = i.checked_sub(1).and_then(|k| atom.tokens.get(k)).zip(atom.tokens.get(i));
                pair.map_or(0.0, |(a, b)| b.area.x0 - a.area.x1)
            };
            let least = (1..atom.tokens.len()).map(gap).fold(f32::INFINITY, f32::min);
            let under = values.iter().filter(|v| v.overlap_x(&atom.area) > 0.0).count();
            // Each column of numbers under it begins or ends with a word of its own.
            let edge = |v: &Rect| {
                let at = |t: &Token| (t.area.x0 - v.x0).abs() < EDGE || (t.area.x1 - v.x1).abs() < EDGE;
                starts.iter().any(|i| atom.tokens.get(*i).is_some_and(&at))
            };
            let below = |v: &&Rect| v.overlap_x(&atom.area) > 0.0;
            let aligned = under > 1 && values.iter().filter(below).all(edge);
            let each = starts.first() == Some(&0) && (starts.len() == under || aligned);
            let cuts: Vec<usize> =
                starts.iter().copied().filter(|i| *i > 0 && (each || gap(*i) > FURTHER * least)).collect();
            if starts.len() < 2 || cuts.is_empty() {
                return vec![atom];
            }
            let phrase = Phrase { tokens: atom.tokens.clone(), area: atom.area, marks: atom.marks.clone() };
            let part = |p: Phrase| Some(Atom { marks: p.marks, ..Atom::new(Kind::Text, p.tokens)? });
            phrase.parted(&cuts).into_iter().filter_map(part).collect()
        })
        .collect()
}

/// How much further apart than the closest words of a phrase two columns stand.
const FURTHER: f32 = 1.25;

/// How near, in points, the edge of a heading lies to that of its column.
const EDGE: f32 = 1.0;

/// Where a phrase says what a column holds: the first word of each such name.
fn said_of_columns(tokens: &[Token], context: Context) -> Vec<usize> {
    let cut = cut(tokens);
    let says = |m: &Meaning| matches!(m, Meaning::Role(_) | Meaning::Decoy);
    let hits = hits_where(&cut.pieces, Context { symbols: false, ..context }, &says);
    let mut starts: Vec<usize> = hits.iter().filter_map(|h| cut.owner(h.start)).collect();
    starts.dedup();
    starts
}

/// True for a heading that says what several columns hold and was not cut.
pub fn says_several(text: &str, context: Context) -> bool {
    let words = pieces(text);
    let says =
        |m: &Meaning| matches!(m, Meaning::Role(Role::Analyte | Role::Result | Role::Unit) | Meaning::Decoy);
    hits_where(&words, Context { symbols: false, ..context }, &says).len() > 1
}

/// `Report   SR88        Depth   7 in` over two tables side by side: the right half of a form's line names no column.
fn goes_on_a_form(line: &[Atom], here: &[&Atom], left: f32, page: &Layout, context: Context) -> bool {
    let asks = |a: &Atom| leading_field(&a.text, context).is_some_and(|(_, rest, _)| rest.is_empty());
    let aside = line.iter().filter(|a| a.area.x1 <= left - 2.0 * page.em);
    // `7 in` is a number and its unit.
    let one = here.len() < 4 && here.iter().filter(|a| asks(a)).count() == 1;
    !page.cells && one && here.first().is_some_and(|a| asks(a)) && aside.filter(|a| asks(a)).count() > 0
}

/// `Kennung   S-20   S-21`: a line over the columns that asks for something that is not known. Its words may be names,
/// numbers or anything else.
fn asks_unknown(here: &[&Atom], cells: &[Atom], name_right: f32, context: Context) -> bool {
    let Some(first) = here.first().filter(|a| a.area.x0 < name_right && matches!(a.kind, Kind::Text)) else {
        return false;
    };
    let said = label(&first.text, context);
    let short = here.iter().all(|a| a.text.split(' ').count() <= 5);
    let others: Vec<&Atom> = cells.iter().filter(|a| !heading_word(a, context)).collect();
    let name = |a: &&Atom| {
        let said = label(&a.text, context);
        let spoken = a.text.contains(char::is_alphanumeric) && !a.text.contains(['.', ',']);
        spoken && said.unit.is_none() && said.analyte.is_none() && !is_year(a)
    };
    // A column called the result has no name beside it.
    let result = cells.iter().any(|a| label(&a.text, context).role == Some(Role::Result));
    short
        && !result
        && others.len() > 1
        && cells.len() < here.len()
        && others.iter().all(name)
        && said.role.is_none()
        && said.field.is_none()
        && said.analyte.is_none()
        && !said.other
        && !asks_for_a_name(&first.text)
        && (said.decoy || !said.unknown.is_empty())
}

/// One word with figures; `40 3` is the end of a name.
fn is_laboratory_number(text: &str) -> bool {
    !text.contains(' ') && text.chars().any(|c| c.is_ascii_digit())
}

/// `SB7001   SB7002   SB7003` under as many unlike names are the laboratory's numbers, and no ends of the names.
fn numbered_codes(below: &[Atom], above: &[Atom]) -> bool {
    let code = |a: &Atom| !a.text.contains(' ') && a.text.chars().filter(char::is_ascii_digit).count() >= 3;
    let unlike = |(i, a): (usize, &Atom)| above.iter().skip(i + 1).all(|other| other.text != a.text);
    below.len() > 1
        && below.len() == above.len()
        && below.iter().all(code)
        && above.iter().enumerate().all(unlike)
        && !above.iter().all(code)
}

/// Names over a row of numbers: that row was the laboratory's.
fn name_row(fields: &mut Vec<FieldRow>, names: Vec<Atom>) {
    let numbered = |cells: &[Atom]| cells.iter().all(|a| is_laboratory_number(&a.text));
    if fields.iter().all(|(f, _)| *f != Field::LabSample)
        && let Some((field, _)) = fields.iter_mut().find(|(f, cells)| {
            *f == Field::SampleLabel
                && numbered(cells)
                && (!numbered(&names) || numbered_codes(cells, &names))
        })
    {
        *field = Field::LabSample;
    }
    fields.push((Field::SampleLabel, names));
}

/// `Sample    40 3` over the one column of numbers that a table has.
fn one_name(field: Field, cells: &[Atom], table: &[Row]) -> bool {
    let values: Vec<&Atom> = table.iter().flat_map(|r| &r.cells).filter(|c| c.number().is_some()).collect();
    let one = table.iter().all(|r| r.cells.iter().filter(|c| c.number().is_some()).count() <= 1);
    let [cell] = cells else { return false };
    field == Field::SampleLabel
        && !is_day(cell)
        && table.len() > 2
        && one
        && values.iter().filter(|v| v.area.overlap_x(&cell.area) > 0.0).count() * 2 > values.len()
}

/// `40 3` over a column is the end of a name and no two numbers: what one phrase holds is put together again.
fn glued(atoms: Vec<Atom>) -> Vec<Atom> {
    let mut out: Vec<Atom> = Vec::new();
    for atom in atoms {
        let size = atom.tokens.first().map_or(10.0, |t| t.size);
        match out.last_mut() {
            Some(last)
                if last.number().is_some()
                    && atom.number().is_some()
                    && !(is_year(last) && is_year(&atom))
                    && atom.area.x0 - last.area.x1 < 0.6 * size
                    && last.tokens.first().map(|t| t.place) != atom.tokens.first().map(|t| t.place) =>
            {
                last.kind = Kind::Text;
                last.text = format!("{} {}", last.text, atom.text);
                last.area = last.area.union(&atom.area);
                last.tokens.extend(atom.tokens);
            }
            _ => out.push(atom),
        }
    }
    out
}

/// Words tight over the names that could not be told to one of them: these are the ends of longer names, and no name
/// is better than half of one.
fn broken_names(
    page: &Layout,
    atoms: &[Vec<Atom>],
    fields: &[FieldRow],
    name_right: f32,
    context: Context,
) -> bool {
    if page.cells {
        return false;
    }
    // `Depth   0-10 cm   Reported   1 March` is a line of a form, and no half of a name.
    let form = |a: &Atom| {
        leading_field(&a.text, Context { symbols: false, capitals: false })
            .is_some_and(|(field, _, colon)| colon || !matches!(field, Field::SampleLabel | Field::Ignored))
    };
    // The last row of the table above is no part of a name.
    let row = |line: &[Atom]| {
        line.iter().any(|a| a.number().is_some())
            && line.iter().any(|a| !names_column(a, context) && label(&a.text, context).analyte.is_some())
    };
    fields.iter().any(|(field, names)| {
        // The last line of each name: what was found above it already belongs to it.
        let foot = |n: &Atom| n.tokens.iter().map(|t| t.area.y0).fold(n.area.y0, f32::max);
        let top = names.iter().map(foot).fold(f32::INFINITY, f32::min);
        let own = |a: &Atom| {
            names.iter().flat_map(|n| &n.tokens).any(|t| a.tokens.iter().any(|b| b.area == t.area))
        };
        let tight = atoms.iter().filter(|line| !line.iter().any(form) && !row(line)).flatten().any(|a| {
            matches!(a.kind, Kind::Text)
                && a.area.x0 > name_right - page.em
                && a.area.y1 <= top + 0.3 * page.em
                && top - a.area.y1 < 1.6 * page.em
                && !names_column(a, context)
                && !own(a)
                && names.iter().any(|n| foot(n) > a.area.y0 + 1.0 && n.area.overlap_x(&a.area) > 0.0)
        });
        *field == Field::SampleLabel && tight
    })
}

/// True for a word that says what a column holds (`Optimum` over `Range`), and is no part of a name (`Green` over `3`).
fn names_column(atom: &Atom, context: Context) -> bool {
    let l = label(&atom.text, context);
    // `North lawn Green Tee Optimum` is names and a heading set as one.
    let words = pieces(&atom.text);
    let says = |m: &Meaning| matches!(m, Meaning::Role(_) | Meaning::Decoy | Meaning::Rating);
    let said: usize = hits_where(&words, context, &says).iter().map(|h| h.end - h.start).sum();
    let most = said * 2 >= words.len() || l.year.is_some();
    (l.role.is_some() || l.decoy || l.only_rates() || l.year.is_some()) && most
}

/// `Test   Unit   North 40   Pitch   Optimum range`: names of samples among the headings of a table. Each name stands
/// over a column of values, and no column is called the result.
fn mixed(
    here: &[&Atom],
    cells: &[Atom],
    table: &[Row],
    name_right: f32,
    context: Context,
) -> Option<(Vec<Atom>, Vec<Atom>)> {
    let of = |a: &Atom| label(&a.text, context);
    let first = here.first().filter(|a| a.area.x0 < name_right).map(|a| of(a));
    let opens = first.as_ref().is_none_or(|l| {
        l.analyte.is_none() && (l.role == Some(Role::Analyte) || l.field == Some(Field::SampleLabel))
    });
    let (heads, names): (Vec<Atom>, Vec<Atom>) = cells.iter().cloned().partition(|a| {
        heading_word(a, context)
            || a.number().is_none() && of(a).field.is_some_and(|f| f != Field::SampleLabel)
    });
    let result = heads.iter().any(|a| matches!(of(a).role, Some(Role::Result | Role::Analyte)));
    let values: Vec<&Atom> = table
        .iter()
        .flat_map(|r| &r.cells)
        .filter(|c| matches!(c.kind, Kind::Number(_) | Kind::Blank))
        .collect();
    let named = names.iter().all(|n| {
        let decimal = n.number().is_some() && n.text.contains(['.', ',']);
        let year = is_year(n);
        // A unit over a column is no sample.
        let unit = of(n).unit.is_some() && of(n).unknown.is_empty();
        !decimal
            && !unit
            && !year
            && !matches!(n.kind, Kind::Range | Kind::Blank)
            && of(n).analyte.is_none()
            && n.text.split(' ').count() <= 5
            && values.iter().any(|v| v.area.overlap_x(&n.area) > 0.0)
    });
    // A heading broken over lines stands over one row of samples; names stand over several rows of results.
    if table.len() < 3 {
        return None;
    }
    let said = !heads.is_empty() || first.is_some_and(|l| l.role == Some(Role::Analyte));
    (opens && said && !result && named && !names.is_empty()).then_some((heads, names))
}

/// `Paddock` or `Orchard` over a column is the name of a sample, though elsewhere such words ask for one.
fn place_word(field: Field, text: &str) -> bool {
    const ASKING: &[&str] =
        &["sample", "id", "identification", "identity", "name", "description", "label", "location"];
    field == Field::SampleLabel && !text.contains(' ') && !ASKING.contains(&text.to_lowercase().as_str())
}

/// `lab no. 184916/1   lab no. 184916/2`: each column repeats the field's name before its value.
fn prefixed(here: &[&Atom], name_right: f32, em: f32) -> Option<FieldRow> {
    let cells: Vec<&&Atom> = here.iter().filter(|a| a.area.x0 > name_right - em).collect();
    if cells.len() < 2 || cells.len() != here.len() {
        return None;
    }
    let parts: Vec<(Field, Atom)> = cells
        .iter()
        .filter_map(|a| {
            let (field, rest, _) = leading_field(&a.text, Context { symbols: false, capitals: false })?;
            let text = if is_place(&a.text) { a.text.clone() } else { rest.clone() };
            (!rest.is_empty()).then(|| (field, Atom { text, ..(**a).clone() }))
        })
        .collect();
    let field = parts.first()?.0;
    (parts.len() == cells.len() && parts.iter().all(|(f, _)| *f == field))
        .then(|| (field, parts.into_iter().map(|(_, a)| a).collect()))
}

/// So many ratings side by side are a scale.
const SCALE: usize = 3;

/// `11 Oct 2024` or `02/20/2024`.
fn is_day(atom: &Atom) -> bool {
    atom.text.contains(|c: char| c.is_ascii_digit()) && day(&atom.text, DayOrder::default()).1.is_some()
}

/// `2022` over a column is a season.
fn is_year(atom: &Atom) -> bool {
    year_of(&atom.text).is_some()
}

/// The words of a row's name with a short word tight over them: `Lab` over `No.` is one name.
fn over_it(page: &Layout, atoms: &[Vec<Atom>], line: usize, name: &Atom) -> String {
    let above = line.checked_sub(1).and_then(|i| atoms.get(i)).map(Vec::as_slice).unwrap_or_default();
    match above {
        [one]
            if !page.cells
                && matches!(one.kind, Kind::Text)
                && name.number().is_none()
                && one.text.chars().count() <= 12
                && !one.text.contains(':')
                && (one.area.x0 - name.area.x0).abs() < 0.5 * page.em
                && name.area.y0 - one.area.y1 < 1.0 * page.em =>
        {
            let both = format!("{} {}", one.text, name.text);
            let field = |text: &str| label(text, Context { symbols: false, capitals: false }).field;
            if field(&both).is_some() && field(&name.text) != field(&both) { both } else { name.text.clone() }
        }
        _ => name.text.clone(),
    }
}

fn is_title(here: &[&Atom], left: f32, em: f32) -> bool {
    here.first().is_some_and(|a| {
        matches!(a.kind, Kind::Text)
            && (a.area.x0 - left).abs() < 3.0 * em
            && a.text.split(' ').count() <= 6
            && !a.text.contains(':')
    })
}

/// True where the line above holds as many names again.
fn next_names(atoms: &[Vec<Atom>], at: usize, count: usize, name_right: f32, em: f32) -> bool {
    at.checked_sub(1).and_then(|i| atoms.get(i)).is_some_and(|line| {
        line.iter().filter(|a| a.area.x0 > name_right - em && matches!(a.kind, Kind::Text)).count() == count
    })
}

fn heading_word(atom: &Atom, context: Context) -> bool {
    let l = label(&atom.text, context);
    // A sentence that ends in "this is what we found" is no heading.
    let short = atom.text.split(' ').count() <= 6 && !atom.text.ends_with('.');
    atom.number().is_none()
        && short
        && !is_place(&atom.text)
        && (l.role.is_some()
            || l.decoy
            || l.only_rates()
            || l.field == Some(Field::SampleLabel)
                && l.unknown.is_empty()
                && !place_word(Field::SampleLabel, &atom.text)
            || l.year.is_some() && l.unknown.is_empty())
}

/// `Field   Low   High`: what asks for names, and an unlike degree over each column of numbers. These name pieces of
/// ground, or are limits after all; neither is to be lost.
fn degrees(field: Field, cells: &[Atom], table: &[Row]) -> bool {
    let degree = |a: &Atom| a.text.to_lowercase().split(' ').all(|w| List::Degree.has(w));
    let unlike = |(i, a): (usize, &Atom)| cells.iter().skip(i + 1).all(|other| other.text != a.text);
    let numbers = table.iter().map(|r| r.cells.iter().filter(|c| c.number().is_some()).count()).max();
    field == Field::SampleLabel
        && table.len() > 2
        && cells.len() > 1
        && numbers == Some(cells.len())
        && cells.iter().all(degree)
        && cells.iter().enumerate().all(unlike)
}

/// Names of samples over the columns of numbers: as many texts as the first row has numbers.
fn column_names(cells: &[Atom], here: &[&Atom], table: &[Row]) -> bool {
    let numbers = table
        .iter()
        .map(|r| r.cells.iter().filter(|c| !matches!(c.kind, Kind::Text)).count())
        .max()
        .unwrap_or(0);
    // A row that names a measurement is a row of values, and `6.9` is no name.
    let measured = here
        .first()
        .is_some_and(|a| label(&a.text, Context { symbols: true, capitals: false }).analyte.is_some());
    let decimals = cells
        .iter()
        .any(|a| a.number().is_some() && a.text.contains(['.', ',']) || matches!(a.kind, Kind::Range));
    numbers > 1
        && cells.len() == numbers
        && !measured
        && !decimals
        && here.iter().all(|a| a.text.split(' ').count() <= 5)
}

/// Headings over each other are one heading.
fn stack(headings: &mut Vec<Heading>) {
    headings.sort_by(|a, b| a.0.y0.total_cmp(&b.0.y0));
    let mut out: Vec<Heading> = Vec::new();
    for (area, l, text) in headings.drain(..) {
        match out.iter_mut().find(|(other, ..)| {
            other.overlap_x(&area) > 0.3 * other.width().min(area.width()) && other.y1 <= area.y0 + 1.0
        }) {
            Some((other, other_label, other_text)) => {
                *other = other.union(&area);
                *other_text = format!("{other_text} {text}");
                *other_label = label(other_text, Context { symbols: false, capitals: false });
            }
            None => out.push((area, l, text)),
        }
    }
    out.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    *headings = out;
}

/// True where a recognised text reaches over most of two columns of numbers.
fn runs_together(cell: &Atom, columns: &[Rect]) -> bool {
    cell.confidence().is_some()
        && columns.iter().filter(|column| cell.area.overlap_x(column) > 0.5 * column.width()).count() > 1
}

/// A phrase cut where its words stand over another column than those before.
fn by_columns(cell: &Atom, columns: &[Rect]) -> Vec<Atom> {
    let over = |area: &Rect| columns.iter().position(|c| c.overlap_x(area) > 0.0);
    let mut out: Vec<(Option<usize>, Vec<Token>)> = Vec::new();
    for token in &cell.tokens {
        let column = over(&token.area);
        match out.last_mut() {
            Some((last, tokens)) if column.is_none() || last.is_none() || *last == column => {
                *last = last.or(column);
                tokens.push(token.clone());
            }
            _ => out.push((column, vec![token.clone()])),
        }
    }
    if out.len() < 2 {
        return vec![cell.clone()];
    }
    out.into_iter().filter_map(|(_, tokens)| Atom::new(Kind::Text, tokens)).collect()
}

/// What the sample rows say of a column.
pub fn fields_of(rows: &[FieldRow], column: &Rect, all: &[Rect]) -> Vec<(Field, String)> {
    rows.iter()
        .filter_map(|(field, cells)| {
            // What a picture shows over two columns is two names without the room between them, and no name is
            // better than both.
            if cells.len() < all.len() && cells.iter().any(|cell| runs_together(cell, all)) {
                return None;
            }
            // `Tee 3 bed 3` set over two columns is two names: each word goes to the column it stands over.
            let parted: Vec<Atom> = if *field == Field::SampleLabel && cells.len() > 1 {
                cells.iter().flat_map(|cell| by_columns(cell, all)).collect()
            } else {
                cells.clone()
            };
            let cells = &parted;
            let distance = |c: &Rect, a: &Rect| {
                (c.x0 - a.x0).abs().min((c.x1 - a.x1).abs()).min((c.mid_x() - a.mid_x()).abs())
            };
            // One value in the row speaks for every column (a depth printed once); else the nearest.
            let text = if let [one] = cells.as_slice() {
                (all.len() == 1 || matches!(field, Field::DepthTop | Field::DepthBottom | Field::SampledOn))
                    .then(|| one.text.clone())
            } else {
                cells
                    .iter()
                    .filter(|a| {
                        all.iter().all(|other| distance(column, &a.area) <= distance(other, &a.area) + 0.01)
                    })
                    .map(|a| a.text.clone())
                    .reduce(|a, b| format!("{a} {b}"))
            }?;
            Some((*field, text))
        })
        .filter(|(_, text)| !is_blank(text))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::Token;
    use super::*;
    use crate::place::Place;

    fn name(text: &str, x0: f32, x1: f32, confidence: Option<f32>) -> Atom {
        let area = Rect::new(x0, 0.0, x1, 10.0);
        let place = Place::Page { page: 1, area };
        let token = Token { text: text.to_owned(), area, place, size: 10.0, confidence };
        Atom { text: text.to_owned(), area, kind: Kind::Text, tokens: vec![token], marks: Vec::new() }
    }

    #[test]
    fn two_seasons_are_no_name() {
        let year = |text: &str, x0: f32| {
            let number =
                super::super::super::number::number(text, super::super::super::number::Decimal::Point);
            Atom { kind: Kind::Number(number.unwrap()), ..name(text, x0, x0 + 20.0, None) }
        };
        assert_eq!(glued(vec![year("2024", 0.0), year("2023", 24.0)]).len(), 2);
        assert_eq!(glued(vec![year("40", 0.0), year("3", 24.0)]).len(), 1);
    }

    #[test]
    fn a_line_that_asks_for_something_unknown_names_no_column() {
        let context = Context { symbols: true, capitals: false };
        let asks = |texts: &[&str]| {
            let all: Vec<Atom> = (0u8..)
                .zip(texts)
                .map(|(i, t)| name(t, 60.0 * f32::from(i), 60.0 * f32::from(i) + 30.0, None))
                .collect();
            asks_unknown(&all.iter().collect::<Vec<_>>(), all.get(1..).unwrap(), 50.0, context)
        };
        assert!(asks(&["Kennung", "S-20", "S-21"]));
        assert!(!asks(&["Sample", "S-20", "S-21"]) && !asks(&["Parameter", "North", "Front"]));
        assert!(!asks(&["Soil quibble", "Value", "Unit", "Graph", "Bar"]));
    }

    #[test]
    fn two_names_that_a_picture_shows_as_one_name_no_column() {
        let columns = [0.0, 60.0, 120.0].map(|x| Rect::new(x + 20.0, 20.0, x + 40.0, 30.0));
        let named = |confidence| {
            let names =
                vec![name("Fern N Fern S", 0.0, 100.0, confidence), name("Moss", 130.0, 160.0, confidence)];
            columns.map(|column| fields_of(&[(Field::SampleLabel, names.clone())], &column, &columns).len())
        };
        assert_eq!(named(Some(95.0)), [0, 0, 0]);
        assert_eq!(named(None)[2], 1);
    }
}
