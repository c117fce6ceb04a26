//! Names of samples over columns of numbers, whole, broken over lines, or beside the laboratory's numbers.

use super::super::super::across::asks_for_a_name;
use super::super::super::atom::{Atom, Kind};
use super::super::super::fold::pieces;
use super::super::super::header::leading_field;
use super::super::super::layout::Layout;
use super::super::super::vocabulary::{Context, Field, Meaning, Role, hits_where};
use super::super::super::words::List;
use super::super::row::Row;
use super::heading::{heading_word, is_day, is_year, names_column};
use super::parts::FieldRow;
use crate::place::Rect;

/// `Kennung   S-20   S-21`: a line over the columns that asks for something that is not known. Its words may be names,
/// numbers or anything else.
pub(super) fn asks_unknown(here: &[&Atom], cells: &[Atom], name_right: f32, context: Context) -> bool {
    let Some(first) = here.first().filter(|a| a.area.x0 < name_right && matches!(a.kind, Kind::Text)) else {
        return false;
    };
    let said = first.label(context);
    let short = here.iter().all(|a| a.text.split(' ').count() <= 5);
    let others: Vec<&Atom> = cells.iter().filter(|a| !heading_word(a, context)).collect();
    let name = |a: &&Atom| {
        let said = a.label(context);
        let spoken = a.text.contains(char::is_alphanumeric) && !a.text.contains(['.', ',']);
        spoken && said.unit.is_none() && said.analyte.is_none() && !is_year(a)
    };
    // A column called the result has no name beside it.
    let result = cells.iter().any(|a| a.label(context).role == Some(Role::Result));
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

/// `Property` asks for whose ground it is, or for what was measured: beside words for what columns hold it is the heading
/// of a table, and the names behind it are of its samples.
pub(super) fn asks_either(text: &str, context: Context) -> bool {
    let words = pieces(text);
    let whole = |meant: &dyn Fn(&Meaning) -> bool| {
        hits_where(&words, context, &|m| meant(m)).iter().any(|h| h.start == 0 && h.end == words.len())
    };
    whole(&|m| *m == Meaning::Role(Role::Analyte)) && whole(&|m| matches!(m, Meaning::Field(_)))
}

/// One word with figures; `40 3` is the end of a name.
pub(super) fn is_laboratory_number(text: &str) -> bool {
    !text.contains(' ') && text.chars().any(|c| c.is_ascii_digit())
}

/// `904417-1`: a long number and a short one behind it, which is no range from more to less.
fn is_code_of_figures(text: &str) -> bool {
    const LONG: usize = 4;
    let figures = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    text.split_once('-').is_some_and(|(long, short)| {
        figures(long) && figures(short) && long.len() >= LONG && short.len() < long.len()
    })
}

/// `SB7001   SB7002   SB7003` under as many unlike names are the laboratory's numbers, and no ends of the names.
pub(super) fn numbered_codes(below: &[Atom], above: &[Atom]) -> bool {
    let code = |a: &Atom| !a.text.contains(' ') && a.text.chars().filter(char::is_ascii_digit).count() >= 3;
    let unlike = |(i, a): (usize, &Atom)| above.iter().skip(i + 1).all(|other| other.text != a.text);
    below.len() > 1
        && below.len() == above.len()
        && below.iter().all(code)
        && above.iter().enumerate().all(unlike)
        && !above.iter().all(code)
}

/// `95201   95202   95203` over as many unlike names are the laboratory's numbers, and no first halves of the names.
pub(super) fn numbers_over(above: &[Atom], names: &[Atom]) -> bool {
    numbered_codes(above, names) && long_numbers(above)
}

/// Each too long for a plot's, and none a year. Over names that do not tell the samples apart without them nobody knows
/// what they are.
pub(super) fn long_numbers(cells: &[Atom]) -> bool {
    const LONG: usize = 4;
    let figures = |a: &Atom| a.text.chars().filter(char::is_ascii_digit).count();
    cells.iter().all(|a| !a.text.contains(' ') && figures(a) >= LONG && !is_year(a))
}

/// Names over a row of numbers: that row was the laboratory's.
pub(super) fn name_row(fields: &mut Vec<FieldRow>, names: Vec<Atom>) {
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
pub(super) fn one_name(field: Field, cells: &[Atom], table: &[Row]) -> bool {
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
pub(super) fn glued(atoms: Vec<Atom>) -> Vec<Atom> {
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
pub(super) fn broken_names(
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
            && line.iter().any(|a| !names_column(a, context) && a.label(context).analyte.is_some())
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

/// `Test   Unit   North 40   Pitch   Optimum range`: names of samples among the headings of a table. Each name stands
/// over a column of values, and no column is called the result.
pub(super) fn mixed(
    here: &[&Atom],
    cells: &[Atom],
    table: &[Row],
    name_right: f32,
    context: Context,
) -> Option<(Vec<Atom>, Vec<Atom>)> {
    let of = |a: &Atom| a.label(context);
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

/// True where the line above holds as many names again.
pub(super) fn next_names(atoms: &[Vec<Atom>], at: usize, count: usize, name_right: f32, em: f32) -> bool {
    at.checked_sub(1).and_then(|i| atoms.get(i)).is_some_and(|line| {
        line.iter().filter(|a| a.area.x0 > name_right - em && matches!(a.kind, Kind::Text)).count() == count
    })
}

/// `Field   Low   High`: what asks for names, and an unlike degree over each column of numbers. These name pieces of
/// ground, or are limits after all; neither is to be lost.
pub(super) fn degrees(field: Field, cells: &[Atom], table: &[Row]) -> bool {
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

/// As many texts as a row has numbers, each over a column of these and of no ranges that are wished for; what stands
/// under the words of other columns is not counted.
pub(super) fn over_numbers(cells: &[Atom], others: &[Atom], table: &[Row]) -> bool {
    let aside = |c: &Atom| others.iter().any(|o| o.area.overlap_x(&c.area) > 0.0);
    let number = |c: &&Atom| matches!(c.kind, Kind::Number(_)) && !aside(c);
    let numbers = table.iter().map(|r| r.cells.iter().filter(number).count()).max();
    let over = |a: &Atom| {
        let under: Vec<&Atom> =
            table.iter().flat_map(|r| &r.cells).filter(|c| c.area.overlap_x(&a.area) > 0.0).collect();
        under.iter().any(number) && under.iter().all(|c| !matches!(c.kind, Kind::Range))
    };
    numbers == Some(cells.len()) && cells.iter().all(over)
}

/// Names of samples over the columns of numbers: as many texts as the first row has numbers.
/// Of `wished` more it is told elsewhere that they are no samples'.
pub(super) fn column_names(cells: &[Atom], here: &[&Atom], table: &[Row], wished: usize) -> bool {
    let most = |counts: &dyn Fn(&Atom) -> bool| {
        table.iter().map(|r| r.cells.iter().filter(|c| counts(c)).count()).max().unwrap_or(0)
    };
    let mut numbers = most(&|c| !matches!(c.kind, Kind::Text));
    if cells.iter().all(|a| is_code_of_figures(&a.text)) && over_numbers(cells, &[], table) {
        numbers = cells.len();
    }
    // A row that names a measurement is a row of values, and `6.9` is no name.
    let measured =
        here.first().is_some_and(|a| a.label(Context { symbols: true, capitals: false }).analyte.is_some());
    let decimals = cells.iter().any(|a| {
        let range = matches!(a.kind, Kind::Range) && !is_code_of_figures(&a.text);
        a.number().is_some() && a.text.contains(['.', ',']) || range
    });
    numbers > 1
        && cells.len() + wished == numbers
        && (wished == 0 || cells.len() > 1)
        && !measured
        && !decimals
        && here.iter().all(|a| a.text.split(' ').count() <= 5)
}

/// How many columns of numbers in a table file stand under none of the names of a row, and under a heading above that names
/// what is wished for: `Wanted level`, merged down beside the row of names. None where another column has no name.
pub(super) fn wished_beside(atoms: &[Vec<Atom>], at: usize, cells: &[Atom], columns: &[Rect]) -> usize {
    let context = Context { symbols: true, capitals: false };
    let over = |a: &Atom, column: &Rect| a.area.overlap_x(column) > 0.0;
    let bare: Vec<&Rect> = columns.iter().filter(|c| cells.iter().all(|a| !over(a, c))).collect();
    let above = atoms.get(at.saturating_sub(HEADING)..at).unwrap_or_default();
    let wished = |column: &&Rect| {
        let mut heads = above.iter().flatten().filter(|a| over(a, column)).peekable();
        let one = |a: &Atom| columns.iter().filter(|c| over(a, c)).count() == 1;
        heads.peek().is_some() && heads.all(|a| a.label(context).decoy && one(a))
    };
    if bare.iter().all(wished) { bare.len() } else { 0 }
}

/// Lines of a heading over the row of names.
const HEADING: usize = 1;

#[cfg(test)]
mod tests {
    use super::super::examples::name;
    use super::*;

    #[test]
    fn a_word_for_ground_and_for_what_was_measured_asks_for_either() {
        let context = Context { symbols: true, capitals: false };
        assert!(asks_either("Property", context));
        assert!(!asks_either("Farm", context) && !asks_either("Parameter", context));
    }

    #[test]
    fn a_long_number_before_a_short_one_is_no_range() {
        assert!(is_code_of_figures("904417-1"));
        assert!(
            !is_code_of_figures("27-47") && !is_code_of_figures("1000-2000") && !is_code_of_figures("9-12")
        );
    }

    #[test]
    fn two_seasons_are_no_name() {
        let year = |text: &str, x0: f32| {
            let number = super::super::super::super::number::number(
                text,
                super::super::super::super::number::Decimal::Point,
            );
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
}
