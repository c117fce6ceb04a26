//! Fields of samples over columns: lines of a form told apart, and what each says of a column.

use super::super::super::atom::{Atom, Kind, is_blank};
use super::super::super::header::{depth_unit, is_place, leading_field};
use super::super::super::label::label;
use super::super::super::layout::{Layout, Token};
use super::super::super::vocabulary::{Context, Field, Role};
use super::parts::FieldRow;
use crate::place::Rect;

/// `Report   SR88        Depth   7 in` over two tables side by side: the right half of a form's line names no column.
pub(super) fn goes_on_a_form(
    line: &[Atom],
    here: &[&Atom],
    left: f32,
    page: &Layout,
    context: Context,
) -> bool {
    let asks = |a: &Atom| leading_field(&a.text, context).is_some_and(|(_, rest, _)| rest.is_empty());
    let aside = line.iter().filter(|a| a.area.x1 <= left - 2.0 * page.em);
    // `7 in` is a number and its unit.
    let one = here.len() < 4 && here.iter().filter(|a| asks(a)).count() == 1;
    !page.cells && one && here.first().is_some_and(|a| asks(a)) && aside.filter(|a| asks(a)).count() > 0
}

/// `lab no. 184916/1   lab no. 184916/2`: each column repeats the field's name before its value.
pub(super) fn prefixed(here: &[&Atom], name_right: f32, em: f32) -> Option<FieldRow> {
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

/// `Depth (cm)   0-20   20-40`, `Depth   cm   0-20   20-40`: figures of layers with the unit that their row is named in.
pub fn with_depth_unit(field: Field, name: &str, mut values: Vec<Atom>) -> Vec<Atom> {
    let figures = |a: &Atom| !a.text.contains(char::is_alphabetic);
    let beside = || values.iter().filter(|a| !figures(a)).find_map(|a| depth_unit(&a.text));
    if matches!(field, Field::DepthTop | Field::DepthBottom)
        && let Some(unit) = depth_unit(name).or_else(beside)
    {
        for value in values.iter_mut().filter(|a| figures(a) && a.text.contains(|c: char| c.is_ascii_digit()))
        {
            value.text = format!("{} {unit}", value.text);
        }
    }
    values
}

/// The words of a row's name with a short word tight over them: `Lab` over `No.` is one name.
pub(super) fn over_it(page: &Layout, atoms: &[Vec<Atom>], line: usize, name: &Atom) -> String {
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

/// True for a word over units or methods.
fn heads_units(cell: &Atom) -> bool {
    let said = cell.label(Context { symbols: false, capitals: false });
    matches!(said.role, Some(Role::Unit | Role::Method)) && said.unknown.is_empty() && said.analyte.is_none()
}

/// As many cells as columns: each is that of its column in order, where none stands over another's. A name at the left of its
/// cell may lie nearer to the number at the right of the one before.
fn in_order<'a>(cells: &'a [Atom], column: &Rect, all: &[Rect]) -> Option<&'a Atom> {
    let sorted = || {
        let mut columns: Vec<&Rect> = all.iter().collect();
        columns.sort_by(|a, b| a.x0.total_cmp(&b.x0));
        columns
    };
    let mut own: Vec<&Atom> = cells.iter().collect();
    own.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let columns = sorted();
    let over = |cell: &Atom, column: &Rect| cell.area.overlap_x(column) > 0.0;
    let fit = own.len() == columns.len()
        && own
            .iter()
            .enumerate()
            .all(|(i, cell)| columns.iter().enumerate().all(|(j, column)| i == j || !over(cell, column)));
    let at = columns.iter().position(|c| *c == column).filter(|_| fit)?;
    own.get(at).copied()
}

/// True for a cell that stands over no column and before one, where the nearest is another: it may head either.
fn may_be_of_another(cell: &Atom, cells: &[Atom], all: &[Rect]) -> bool {
    between_two(&cell.area, cells.iter().map(|c| c.area), all)
}

/// True for words over no column, right behind one and before another that ends before the next words of their line begin:
/// at the left of its cell a name lies nearer to the number at the right of the one before than to its own.
pub fn between_two(own: &Rect, line: impl Iterator<Item = Rect>, columns: &[Rect]) -> bool {
    if columns.iter().any(|c| c.overlap_x(own) > 0.0) {
        return false;
    }
    let next = line.map(|area| area.x0).filter(|x| *x > own.x0).fold(f32::INFINITY, f32::min);
    let behind = columns.iter().any(|c| c.x0 >= own.x1 && c.x1 <= next);
    let before = columns.iter().any(|c| c.x1 <= own.x0 && own.x0 - c.x1 < own.height() * NEAR);
    behind && before
}

/// So near, in heights of its letters, a cell behind a number may seem to be over it.
const NEAR: f32 = 3.0;

/// What the sample rows say of a column, in a `sheet` of cells or on a page.
pub fn fields_of(rows: &[FieldRow], column: &Rect, all: &[Rect], sheet: bool) -> Vec<(Field, String)> {
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
            // The cell of a sheet stands over its own column, `Quibbles` over a column of words as well.
            let over = |cell: &Atom| !sheet || all.iter().any(|c| c.overlap_x(&cell.area) > 0.0);
            let parted: Vec<Atom> = if parted.iter().filter(|c| over(c)).count() > 1 {
                parted.into_iter().filter(over).collect()
            } else {
                parted
            };
            // `Lab ref.   Unit   S-11   S-12`: what heads the column of units is the value of no field.
            let cells = &parted.into_iter().filter(|cell| !heads_units(cell)).collect::<Vec<_>>();
            let distance = |c: &Rect, a: &Rect| {
                (c.x0 - a.x0).abs().min((c.x1 - a.x1).abs()).min((c.mid_x() - a.mid_x()).abs())
            };
            // One value in the row speaks for every column (a depth printed once); else the nearest.
            let text = if let [one] = cells.as_slice() {
                (all.len() == 1 || matches!(field, Field::DepthTop | Field::DepthBottom | Field::SampledOn))
                    .then(|| one.text.clone())
            } else if let Some(own) = in_order(cells, column, all).filter(|_| !sheet) {
                Some(own.text.clone())
            } else if !sheet && cells.iter().any(|cell| may_be_of_another(cell, cells, all)) {
                None
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
    use super::super::examples::name;
    use super::*;

    #[test]
    fn two_names_that_a_picture_shows_as_one_name_no_column() {
        let columns = [0.0, 60.0, 120.0].map(|x| Rect::new(x + 20.0, 20.0, x + 40.0, 30.0));
        let named = |confidence| {
            let names =
                vec![name("Fern N Fern S", 0.0, 100.0, confidence), name("Moss", 130.0, 160.0, confidence)];
            columns.map(|column| {
                fields_of(&[(Field::SampleLabel, names.clone())], &column, &columns, false).len()
            })
        };
        assert_eq!(named(Some(95.0)), [0, 0, 0]);
        assert_eq!(named(None)[2], 1);
    }
}
