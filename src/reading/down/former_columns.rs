//! Columns of samples that are of a former season: under a year long past, told so in a row of the heading, or named for a
//! sample beside them and a year.

use super::super::align::inside;
use super::super::former;
use super::super::label::year_of;
use super::super::vocabulary::Field;
use super::above::Heading;
use super::carried::Column;
use super::column::{Holds, is_current};
use super::row::Row;
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
pub(super) fn leave_out(columns: &mut [Column], headings: &[Heading], table: &[Row], own: Option<i16>) {
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
    if let Some(own) = own {
        seasons_of_one_name(columns, table, own);
    }
}

/// `Moss 2024   Moss 2021   Hob 2024   Hob 2021` in a report of 2024: each name twice or more, once under the report's own year
/// and else under earlier ones, and the earlier columns hold less than its own. Blocks that bear the year they were planted
/// in hold alike much each, and are left to wait.
fn seasons_of_one_name(columns: &mut [Column], table: &[Row], own: i16) {
    let name = |c: &Column| match &c.holds {
        Holds::Sample(fields) => Some(fields.iter().find(|(f, _)| *f == Field::SampleLabel)?.1.clone()),
        _ => None,
    };
    let of = |c: &Column| {
        let name = name(c)?;
        let stem = former::without_year(&name)?.to_owned();
        let year = year_of(name.get(stem.len()..)?.trim_matches(|c: char| !c.is_ascii_digit()))?;
        Some((stem, year))
    };
    let rows = |c: &Column| -> Vec<bool> {
        let number = |r: &Row| r.cells.iter().any(|a| a.number().is_some() && inside(&c.area, &a.area));
        table.iter().map(number).collect()
    };
    let samples: Vec<&Column> = columns.iter().filter(|c| matches!(c.holds, Holds::Sample(_))).collect();
    let Some(named) = samples.iter().map(|c| of(c)).collect::<Option<Vec<_>>>() else { return };
    let sure = samples.iter().zip(&named).all(|(column, (stem, year))| {
        let same = |(_, (other, _)): &(&&Column, &(String, i16))| other.eq_ignore_ascii_case(stem);
        let all: Vec<_> = samples.iter().zip(&named).filter(same).collect();
        let present: Vec<_> = all.iter().filter(|(_, (_, y))| *y == own).collect();
        let [(present, _)] = present.as_slice() else { return false };
        let (own_rows, here) = (rows(present), rows(column));
        let within = here.iter().zip(&own_rows).all(|(here, own)| !here || *own);
        let less = here.iter().filter(|h| **h).count() < own_rows.iter().filter(|h| **h).count();
        all.len() > 1 && *year <= own && (*year == own || within && less)
    });
    if !sure || named.is_empty() {
        return;
    }
    let mut named = named.into_iter();
    for column in columns.iter_mut() {
        let Holds::Sample(fields) = &mut column.holds else { continue };
        let Some((stem, year)) = named.next() else { return };
        if year == own {
            fields
                .iter_mut()
                .filter(|(f, _)| *f == Field::SampleLabel)
                .for_each(|(_, text)| text.clone_from(&stem));
        } else {
            column.holds = Holds::Nothing;
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
