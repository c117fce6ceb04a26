//! Columns of samples that are of a former season: under a year long past, told so in a row of the heading, or named for a
//! sample beside them and a year.

use super::super::former;
use super::super::vocabulary::Field;
use super::above::Heading;
use super::carried::Column;
use super::column::{Holds, is_current};
use crate::place::Rect;

/// What speaks for a former season in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Former {
    /// It is one.
    Sure,
    /// It may be one.
    Perhaps,
}

/// Leaves out the columns of former seasons beside those of this one; where it is not sure which these are, what stands in
/// the column waits.
pub(super) fn leave_out(columns: &mut [Column], headings: &[Heading], own: Option<i16>) {
    let found: Vec<Option<Former>> = columns.iter().map(|c| of(c, columns, headings, own)).collect();
    let sample = |c: &Column| matches!(c.holds, Holds::Sample(_));
    let stays = columns.iter().zip(&found).any(|(c, f)| sample(c) && f.is_none());
    for (column, found) in columns.iter_mut().zip(found) {
        match found {
            Some(Former::Sure) if stays => column.holds = Holds::Nothing,
            Some(_) => column.sure = false,
            None => {}
        }
    }
}

fn of(column: &Column, all: &[Column], headings: &[Heading], own: Option<i16>) -> Option<Former> {
    let Holds::Sample(fields) = &column.holds else { return None };
    if fields.iter().any(|(field, text)| *field != Field::SampleLabel && former::tells(text)) {
        return Some(Former::Sure);
    }
    let over = |area: &Rect| headings.iter().filter(|h| h.0.overlap_x(area) > 0.0).collect::<Vec<_>>();
    let here = over(&column.area);
    if here.iter().any(|h| is_current(&h.2)) {
        return None;
    }
    let year = here.iter().find_map(|h| h.1.year.filter(|_| h.1.unknown.is_empty()));
    if let Some(year) = year.filter(|year| own != Some(*year)) {
        let present = all.iter().any(|c| over(&c.area).iter().any(|h| is_current(&h.2)));
        let past = own.is_some_and(|own| own - year > 1 || present && own > year);
        return Some(if past { Former::Sure } else { Former::Perhaps });
    }
    // `Long acre 2021` beside `Long acre`.
    let name = |fields: &[(Field, String)]| {
        fields.iter().find(|(field, _)| *field == Field::SampleLabel).map(|(_, text)| text.to_lowercase())
    };
    let stem = former::without_year(&name(fields)?)?.to_owned();
    let named = |c: &Column| matches!(&c.holds, Holds::Sample(f) if name(f).as_deref() == Some(&stem));
    all.iter().any(named).then_some(Former::Perhaps)
}
