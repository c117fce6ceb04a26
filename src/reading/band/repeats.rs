//! Groups side by side whose columns repeat themselves: `K  Ca  Mg  Na  K  Ca  Mg  Na` under `mg/kg` and `cmol/kg`.

use super::super::label::{Label, label};
use super::super::layout::Phrase;
use super::super::vocabulary::Context;
use super::spread::{Column, columns, over_each, same_line};
use crate::soil::Analyte;

/// Fewer columns are no group that repeats itself.
const FEWEST: usize = 2;

/// The phrases of a heading, units and shares over groups that repeat themselves once for each of their columns; nothing
/// where no groups do.
pub(super) fn repeats_over(phrases: &[Phrase], context: Context) -> Option<Vec<Phrase>> {
    let lines: Vec<Vec<Phrase>> = phrases
        .iter()
        .filter(|p| group(p, context).is_some())
        .map(|over| {
            let peers = phrases.iter().filter(|p| same_line(p, over) && group(p, context).is_some());
            let mut line: Vec<Phrase> = peers.cloned().collect();
            line.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
            line
        })
        .collect();
    lines.iter().filter(|line| line.len() > 1).find_map(|line| {
        let below = columns(phrases, line.first()?.area.mid_y());
        let groups = repeated(&below, line, context)?;
        let mut out: Vec<Phrase> = phrases.iter().filter(|p| !line.contains(p)).cloned().collect();
        for (over, own) in line.iter().zip(groups) {
            out.extend(over_each(over, own.iter().map(|c| &c.area)));
        }
        Some(out)
    })
}

/// How columns are counted, said by words that name none of them.
fn group(phrase: &Phrase, context: Context) -> Option<Label> {
    let said = phrase.label(context);
    let named =
        said.analyte.is_some() || said.other || said.field.is_some() || said.role.is_some() || said.decoy;
    (!named && said.year.is_none() && said.unknown.is_empty() && (said.unit.is_some() || said.saturation))
        .then_some(said)
}

/// The columns of each phrase, where as many groups as there are phrases hold the same measurements in the same order,
/// each group under its own phrase and no other: the repetition tells where one ends and the next begins, wherever over
/// its group a phrase is set. Nothing where any of that is otherwise, or where two ways would do.
fn repeated<'a>(below: &'a [Column], line: &[Phrase], context: Context) -> Option<Vec<&'a [Column]>> {
    let counted = |p: &Phrase| group(p, context).map(|l| (l.unit.as_ref().map(|u| u.0), l.saturation));
    let unlike = |(i, p): (usize, &Phrase)| line.iter().skip(i + 1).all(|o| counted(o) != counted(p));
    let named: Vec<Option<Analyte>> = below.iter().map(|c| measured(c, context)).collect();
    if !line.iter().enumerate().all(unlike) {
        return None;
    }
    let mut ways = (FEWEST..=below.len() / line.len()).rev().filter_map(|count| {
        let whole = count * line.len();
        let fits = |start: &usize| {
            let names = named.get(*start..start + whole).unwrap_or_default();
            let groups: Vec<&[Column]> =
                below.get(*start..start + whole).unwrap_or_default().chunks(count).collect();
            alike(names, count) && under(&groups, line)
        };
        let mut starts = (0..=below.len().checked_sub(whole)?).filter(fits);
        let first = starts.next()?;
        Some(starts.next().is_none().then_some((first, count)))
    });
    let (start, count) = ways.next()??;
    Some(below.get(start..start + count * line.len())?.chunks(count).collect())
}

/// What a bare name over a column measures: no unit, method or share of its own.
fn measured(column: &Column, context: Context) -> Option<Analyte> {
    let said = label(&column.text, context);
    let bare = said.is_result() && said.unit.is_none() && said.methods.is_empty() && said.unknown.is_empty();
    said.analyte.filter(|a| bare && a.saturation().is_some())
}

/// True for groups of the same cations, none of them twice in a group.
fn alike(names: &[Option<Analyte>], count: usize) -> bool {
    let Some(first) = names.get(..count) else { return false };
    let once =
        first.iter().enumerate().all(|(i, a)| a.is_some() && !first.iter().skip(i + 1).any(|b| a == b));
    once && names.chunks(count).all(|group| group == first)
}

/// True where the middle of each phrase lies over its own group, and the phrase over no other's columns.
fn under(groups: &[&[Column]], line: &[Phrase]) -> bool {
    let own = |(i, phrase): (usize, &Phrase)| {
        let area = groups.get(i).and_then(|g| g.iter().map(|c| c.area).reduce(|a, b| a.union(&b)));
        let other =
            |(k, g): (usize, &&[Column])| k != i && g.iter().any(|c| c.area.overlap_x(&phrase.area) > 0.0);
        area.is_some_and(|a| (a.x0..=a.x1).contains(&phrase.area.mid_x()))
            && !groups.iter().enumerate().any(other)
    };
    groups.len() == line.len() && line.iter().enumerate().all(own)
}
