//! Columns of a sheet in pairs of seasons: under each measurement the former day and the latest, `pH |   ` over `14/09/21 |
//! 13/09/24`. The columns of the latest stay; two days of one season make both wait.

use super::super::date::DayOrder;
use super::super::header::day;
use super::super::label::year_of;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::Context;

/// So many measurements in a row have both seasons.
const MEASURED: usize = 2;

const CONTEXT: Context = Context { symbols: true, capitals: false };

/// The sheets, each measurement over the column of its latest season alone.
pub(super) fn latest(mut pages: Vec<Layout>) -> Vec<Layout> {
    for page in pages.iter_mut().filter(|p| p.cells) {
        let mut at = 0;
        while at + 1 < page.lines.len() {
            at += 1;
            if let Some(groups) = groups(page, at) {
                match groups.iter().all(|g| g.latest.is_some()) {
                    true => keep_latest(page, at, &groups),
                    false => name_each(page, at, &groups),
                }
            }
        }
    }
    pages
}

/// The columns of one measurement: their left edges, and that of the latest season; none where two are of one season.
struct Group {
    columns: Vec<f32>,
    latest: Option<f32>,
}

/// The year that a cell holds and nothing else: alone, or as that of a day.
fn year(phrase: &Phrase) -> Option<i16> {
    let text = phrase.text();
    let plain = text.chars().all(|c| c.is_ascii_digit() || matches!(c, '/' | '.' | '-'));
    plain.then(|| year_of(text).or_else(|| day(text, DayOrder::Unknown).1)).flatten()
}

/// The groups of a line that holds the same years of unlike seasons over and over, where the line over it has one measurement
/// for each. Two days of one year are both of this season.
fn groups(page: &Layout, at: usize) -> Option<Vec<Group>> {
    let (over, line) = (page.lines.get(at - 1)?, page.lines.get(at)?);
    let years: Vec<i16> = line.phrases.iter().map(year).collect::<Option<_>>()?;
    let first = line.phrases.first()?.text();
    let size = line.phrases.iter().skip(1).position(|p| p.text() == first)? + 1;
    let cycle = years.get(..size)?;
    let unlike = cycle.iter().enumerate().all(|(i, y)| !cycle.iter().skip(i + 1).any(|other| other == y));
    let same = |part: &[Phrase]| {
        let first = line.phrases.get(..size).unwrap_or_default();
        part.len() == size && part.iter().zip(first).all(|(a, b)| a.text() == b.text())
    };
    let parts: Vec<&[Phrase]> = line.phrases.chunks(size).collect();
    if size < 2 || parts.len() < MEASURED || !parts.iter().all(|p| same(p)) {
        return None;
    }
    let latest = *cycle.iter().max()?;
    let place = cycle.iter().position(|y| *y == latest)?;
    let mut out = Vec::new();
    for part in &parts {
        let columns: Vec<f32> = part.iter().map(|p| p.area.x0).collect();
        let (from, to) = (*columns.first()?, *columns.last()?);
        let mut own = over.phrases.iter().filter(|p| p.area.x0 >= from - 1.0 && p.area.x0 <= to + 1.0);
        let (Some(name), None) = (own.next(), own.next()) else { return None };
        let said = name.label(CONTEXT);
        if !said.is_result() || said.year.is_some() {
            return None;
        }
        out.push(Group { latest: columns.get(place).copied().filter(|_| unlike), columns });
    }
    Some(out)
}

/// Moves each name over the latest of its columns, which keeps its year, and empties the others.
fn keep_latest(page: &mut Layout, at: usize, groups: &[Group]) {
    let is = |a: f32, b: f32| (a - b).abs() < 1.0;
    if let Some(over) = page.lines.get_mut(at - 1) {
        for phrase in &mut over.phrases {
            let own = groups.iter().find(|g| g.columns.iter().any(|x| is(*x, phrase.area.x0)));
            if let Some(latest) = own.and_then(|group| group.latest) {
                moved(phrase, latest);
            }
        }
    }
    let former = |x: f32| {
        groups
            .iter()
            .any(|g| !g.latest.is_some_and(|latest| is(latest, x)) && g.columns.iter().any(|c| is(*c, x)))
    };
    let table = |line: &Line| {
        line.phrases.iter().any(|p| groups.iter().any(|g| g.columns.iter().any(|c| is(*c, p.area.x0))))
    };
    let mut at = at;
    while let Some(line) = page.lines.get_mut(at).filter(|line| table(line)) {
        line.phrases.retain(|p| !former(p.area.x0));
        at += 1;
    }
}

/// Gives each column its name: two values of one name wait, for nobody knows which of the days is meant.
fn name_each(page: &mut Layout, at: usize, groups: &[Group]) {
    let Some(days) = page.lines.get_mut(at).map(|line| std::mem::take(&mut line.phrases)) else { return };
    let Some(over) = page.lines.get_mut(at - 1) else { return };
    let is = |a: f32, b: f32| (a - b).abs() < 1.0;
    let grouped = |p: &Phrase| groups.iter().position(|g| g.columns.iter().any(|x| is(*x, p.area.x0)));
    let (names, mut own): (Vec<Phrase>, Vec<Phrase>) =
        std::mem::take(&mut over.phrases).into_iter().partition(|p| grouped(p).is_some());
    for mut day in days {
        let name = names.iter().find(|name| grouped(name) == grouped(&day));
        let said = name.map(|name| name.text().to_owned());
        day.tokens.truncate(1);
        if let (Some(said), Some(token)) = (said, day.tokens.first_mut()) {
            token.text = said.into();
        }
        day.area.y0 = over.area.y0;
        day.area.y1 = over.area.y1;
        own.push(day);
    }
    own.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    over.phrases = own;
    page.lines.retain(|line| !line.phrases.is_empty());
}

/// Sets a phrase at another column, as wide as one.
fn moved(phrase: &mut Phrase, x: f32) {
    let by = x - phrase.area.x0;
    let width = super::shift::COLUMN - 4.0;
    phrase.area.x0 += by;
    phrase.area.x1 = (phrase.area.x1 + by).min(x + width);
    for token in &mut phrase.tokens {
        token.area.x0 += by;
        token.area.x1 = (token.area.x1 + by).min(x + width);
    }
}
