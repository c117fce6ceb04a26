//! Words set over the middle of several columns, given to each of them before the words of a heading are stacked: a
//! name over the ways it was measured, and a line of extracts over the names of what they took out.

use super::super::fold::pieces;
use super::super::label::{Label, label};
use super::super::layout::{Phrase, Token};
use super::super::notes::adapt;
use super::super::units::conversion;
use super::super::vocabulary::{Context, Role};
use super::super::words::List;
use super::leaves::stacked_text;
use super::repeats::repeats_over;
use crate::place::Rect;
use crate::soil::{Analyte, Unit};
use std::ops::Range;

/// How near, in heights of its letters, the middle of a heading lies to that of its columns.
const MIDDLE: f32 = 0.6;

/// How near, in points, the edge of a name lies to that of its columns.
const EDGE: f32 = 1.0;

/// How near, in heights of its letters, the middles of two lines of one cell lie to each other.
const CELL: f32 = 0.35;

/// The phrases of a heading, those that stand over several columns once for each.
pub fn spread(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let phrases = without_titles(phrases);
    let phrases = fields_over(names_over(one_cell(phrases, context), context), context);
    let phrases = extracts_over(phrases, context);
    let phrases = match repeats_over(&phrases, context) {
        Some(phrases) => phrases,
        None => units_over(phrases, context),
    };
    let phrases = units_under(phrases, context);
    let phrases = units_at_edges(phrases, context);
    ratings_beside(phrases, context)
}

/// `Other tests` over `OM` and `NO3-N`: words that only say that results follow are no part of the name below them.
fn without_titles(phrases: Vec<Phrase>) -> Vec<Phrase> {
    let says_nothing = |p: &Phrase| {
        let text = p.text().to_lowercase();
        let words: Vec<&str> = text.split(' ').collect();
        let (further, rest): (Vec<&str>, Vec<&str>) = words.iter().partition(|w| List::Further.has(w));
        let (last, ranks) = words.split_last().unwrap_or((&"", &[]));
        let nutrients =
            matches!(*last, "nutrients" | "elements" | "minerals" | "macronutrients" | "micronutrients");
        nutrients && ranks.iter().all(|w| List::Rank.has(w) || List::Further.has(w))
            || !further.is_empty()
                && !rest.is_empty()
                && rest.iter().all(|w| {
                    matches!(*w, "tests" | "results" | "analyses" | "determinations" | "measurements")
                })
    };
    let over =
        |p: &Phrase| phrases.iter().any(|b| b.area.y0 >= p.area.mid_y() && b.area.overlap_x(&p.area) > 0.0);
    phrases.iter().filter(|p| !(says_nothing(p) && over(p))).cloned().collect()
}

/// `Available by CAL` and under it `mg per 100 g`, both over the middle of `P2O5  Class  K2O  Class`: two lines of one cell,
/// whose lower one reaches as far as the upper. Words that fill no line stand under it by themselves.
fn one_cell(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let mut out = phrases.clone();
    for upper in &phrases {
        let within = |p: &&Phrase| p.area.y0 >= upper.area.mid_y() && p.area.overlap_x(&upper.area) > 0.0;
        let mut under: Vec<&Phrase> = phrases.iter().filter(within).collect();
        under.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
        let Some((lower, columns)) = under.split_first() else { continue };
        let middle = |a: f32, b: f32| (a - b).abs() < CELL * upper.area.height();
        let one = lower.area.x0 >= upper.area.x0 - 0.5
            && lower.area.x1 <= upper.area.x1 + 0.5
            && middle(lower.area.mid_x(), upper.area.mid_x())
            && lower.area.y0 - upper.area.y1 < 0.5 * upper.area.height();
        let apart =
            columns.len() > 1 && columns.iter().all(|c| columns.iter().all(|d| c == d || same_line(c, d)));
        let all = columns.iter().map(|c| c.area).reduce(|a, b| a.union(&b));
        let over = all.is_some_and(|a| (a.mid_x() - upper.area.mid_x()).abs() < MIDDLE * upper.area.height());
        let said = label(&format!("{} {}", upper.text(), lower.text()), context);
        if !(one && apart && over) || said.several || said.field.is_some() || !said.unknown.is_empty() {
            continue;
        }
        let tokens = upper.tokens.iter().chain(&lower.tokens).cloned().collect();
        let marks = upper.marks.iter().chain(&lower.marks).cloned().collect();
        let cell = Phrase { area: upper.area, tokens, marks };
        out.retain(|p| p != *lower);
        if let Some(p) = out.iter_mut().find(|p| *p == upper) {
            *p = cell;
        }
    }
    out
}

/// `Field details` over `No.` and `Name`: words that count and measure nothing, over two or more phrases of one line, are
/// no part of either. They go along where one is understood with them and not without.
fn fields_over(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let silent = |l: &Label| {
        let counts = l.unit.is_some() || !l.methods.is_empty() || l.saturation || l.decoy || l.rating;
        l.analyte.is_none() && !l.other && !counts && l.year.is_none() && l.role.is_none()
    };
    let mut out = Vec::new();
    for group in &phrases {
        let below = |p: &&Phrase| p.area.y0 >= group.area.mid_y() && p.area.overlap_x(&group.area) > 0.0;
        let under: Vec<&Phrase> = phrases.iter().filter(below).collect();
        let several =
            under.len() > 1 && under.iter().all(|a| under.iter().all(|b| a == b || same_line(a, b)));
        let asks = under.iter().any(|p| {
            let own = p.label(context);
            own.field.is_some() && own.analyte.is_none()
        });
        if !several || !asks || !silent(&group.label(context)) {
            out.push(group.clone());
            continue;
        }
        let completed = |p: &&&Phrase| {
            let (own, whole) = (p.text(), format!("{} {}", group.text(), p.text()));
            let understood = |text: &str| {
                let l = label(text, context);
                l.known() && l.unknown.is_empty()
            };
            !understood(own) && understood(&whole)
        };
        out.extend(over_each(group, under.iter().filter(completed).map(|p| &p.area)));
    }
    out
}

/// `Index` and `mg/l` over `P K Mg   P K Mg`, also beside the names of other columns: a unit, or a word for numbers that
/// are no results, over the middle of neighbouring nutrients that have no unit, each of them once.
fn units_over(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let group = |p: &Phrase| {
        let l = p.label(context);
        let named = l.analyte.is_some() || l.other || l.field.is_some() || l.role.is_some() || l.saturation;
        !named && l.unknown.is_empty() && l.methods.is_empty() && l.unit.as_ref().is_some_and(|u| u.0 != "%")
    };
    let mut out = Vec::new();
    for over in &phrases {
        let peers: Vec<&Phrase> = phrases.iter().filter(|p| same_line(p, over)).collect();
        // A unit above names is a group; one beside other units is its column's own.
        if !group(over) || peers.iter().filter(|p| group(p)).count() < 2 {
            out.push(over.clone());
            continue;
        }
        let below = columns(&phrases, over.area.mid_y());
        let nutrient = |c: &Column| {
            let l = label(&c.text, context);
            let bare = l.unit.is_none() && l.unknown.is_empty() && !l.decoy && !l.rating && !l.several;
            l.analyte.filter(|a| bare && a.unit() == Unit::MgPerKg)
        };
        let runs: Vec<Range<usize>> = (0..below.len())
            .flat_map(|a| (a + 2..=below.len()).map(move |b| a..b))
            .filter(|r| {
                let own = below.get(r.clone()).unwrap_or_default();
                let mut named: Vec<Analyte> = own.iter().filter_map(nutrient).collect();
                named.sort_unstable();
                named.dedup();
                named.len() == own.len() && centred(own, over)
            })
            .collect();
        let most = runs.iter().map(Range::len).max();
        let mut best = runs.into_iter().filter(|r| Some(r.len()) == most);
        match (best.next(), best.next()) {
            (Some(run), None) => {
                out.extend(over_each(over, below.get(run).unwrap_or_default().iter().map(|c| &c.area)));
            }
            _ => out.push(over.clone()),
        }
    }
    out
}

/// `in   lb/acre   meq/100 g   %` below the names: a unit that stands below the middle of neighbouring nutrients, where
/// these are all that have no unit, is that of each.
fn units_under(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    // `mg/dm3 million` set as one is the ends of two names.
    let unit = |p: &Phrase| {
        let l = p.label(context);
        let whole = l.unit.as_ref().is_some_and(|u| u.1 == pieces(p.text()).join(" "));
        whole && !l.names_column() && !l.saturation && l.unknown.is_empty() && l.methods.is_empty()
    };
    let foot = phrases.iter().map(|p| p.area.y0).fold(0.0, f32::max);
    let line: Vec<Phrase> = phrases.iter().filter(|p| p.area.y1 > foot && unit(p)).cloned().collect();
    let rest: Vec<Phrase> =
        phrases.iter().filter(|p| !line.iter().any(|u| same_line(p, u))).cloned().collect();
    let all = columns(&rest, f32::NEG_INFINITY);
    let bare = |c: &Column| {
        let l = label(&c.text, context);
        let counted = l.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg);
        counted && l.is_result() && l.unit.is_none() && l.unknown.is_empty()
    };
    // The unit of one column stands under it alone.
    let own = |c: &Column| {
        line.iter().any(|u| {
            u.area.overlap_x(&c.area) > 0.0
                && all.iter().filter(|o| u.area.overlap_x(&o.area) > 0.0).count() == 1
        })
    };
    // `Class` in the line of units stands over no number that a unit counts.
    let rated = |c: &Column| {
        let beside = phrases.iter().filter(|p| !line.contains(p) && line.iter().any(|u| same_line(p, u)));
        beside.filter(|p| label(p.text(), context).decoy).any(|p| p.area.overlap_x(&c.area) > 0.0)
    };
    let open: Vec<usize> =
        (0..all.len()).filter(|i| all.get(*i).is_some_and(|c| bare(c) && !own(c) && !rated(c))).collect();
    let (Some(first), Some(last)) = (open.first(), open.last()) else { return phrases };
    let run = all.get(*first..=*last).unwrap_or_default();
    let Some(area) = run.iter().map(|c| c.area).reduce(|a, b| a.union(&b)) else { return phrases };
    let within: Vec<&Phrase> = line.iter().filter(|u| u.area.overlap_x(&area) > 0.0).collect();
    let [over] = within.as_slice() else { return phrases };
    let pitch = area.width() / run.len() as f32;
    let middle = (area.mid_x() - over.area.mid_x()).abs() < pitch / 4.0;
    let several = run.iter().filter(|c| c.area.overlap_x(&over.area) > 0.0).count() > 1;
    if line.len() < 2 || open.len() != run.len() || !middle || !several {
        return phrases;
    }
    let mut out: Vec<Phrase> = phrases.iter().filter(|p| p != over).cloned().collect();
    out.extend(over_each(over, run.iter().map(|c| &c.area)));
    out
}

/// `Exchange properties, cmol(+)/kg` and `Particle size, %` in a line whose words all begin where a column below begins:
/// headings set at the left of the columns they span. The unit of each is that of the columns from its own edge up to that
/// of the next, where all of these are counted in it, have none of their own, and what stands behind them has one.
fn units_at_edges(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let top = phrases.iter().map(|p| p.area.y0).fold(f32::INFINITY, f32::min);
    let Some(first) = phrases.iter().find(|p| p.area.y0 <= top + 1.0) else { return phrases };
    let mut line: Vec<&Phrase> = phrases.iter().filter(|p| same_line(p, first)).collect();
    line.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let below = columns(&phrases, first.area.mid_y());
    let at = |p: &Phrase| below.iter().position(|c| (c.area.x0 - p.area.x0).abs() < EDGE);
    let Some(starts) = line.iter().map(|p| at(p)).collect::<Option<Vec<usize>>>() else { return phrases };
    if line.len() < 3 {
        return phrases;
    }
    let ends = starts.iter().skip(1).copied().chain([below.len()]);
    let mut out = phrases.clone();
    let mut spans = 0;
    let mut given: Vec<(&Phrase, Vec<Phrase>)> = Vec::new();
    for ((group, from), to) in line.iter().zip(&starts).zip(ends) {
        let own = below.get(*from..to).unwrap_or_default();
        let said = label(group.text(), context);
        let Some(unit) = said.unit.as_ref().map(|u| u.0) else {
            spans += usize::from(own.len() > 1 && group.area.x1 > own.first().map_or(0.0, |c| c.area.x1));
            continue;
        };
        let bare = |c: &&Column| {
            let l = label(&c.text, context);
            let counted = |a: Analyte| {
                unit == "%" && a.unit() == Unit::Percent
                    || unit != "%" && conversion(unit, a.unit()).is_some()
            };
            l.is_result() && l.unit.is_none() && l.unknown.is_empty() && l.analyte.is_some_and(counted)
        };
        let run = own.iter().take_while(bare).count();
        let has_unit = |c: &Column| label(&c.text, context).unit.is_some();
        let plain = !said.decoy && !said.rating && !said.saturation && said.field.is_none() && !said.several;
        if run < 2 || !plain || !own.iter().skip(run).all(has_unit) {
            return phrases;
        }
        spans += 1;
        let tokens: Vec<Token> =
            group.tokens.iter().skip_while(|t| !t.text.ends_with(',')).skip(1).cloned().collect();
        let whole = said.analyte.is_none() && said.unknown.is_empty() && !said.other;
        let only = label(&super::super::layout::joined(&tokens), context);
        let silent = only.unit.as_ref().is_some_and(|u| u.0 == unit)
            && only.unknown.is_empty()
            && says_what_it_is(group);
        let Some(words) = (if whole { Some((*group).clone()) } else { None })
            .or_else(|| silent.then(|| Phrase { tokens: tokens.into(), ..(*group).clone() }))
        else {
            return phrases;
        };
        given.push((group, over_each(&words, own.iter().take(run).map(|c| &c.area))));
    }
    if spans < 2 {
        return phrases;
    }
    for (group, each) in given {
        out.retain(|p| p != group);
        out.extend(each);
    }
    out
}

/// `Exchange properties, cmol(+)/kg`, `Particle size, %`: what words before the unit only say of which kind the columns are.
fn says_what_it_is(group: &Phrase) -> bool {
    let text = group.text().to_lowercase();
    let before = text.split(',').next().unwrap_or_default();
    before.split(' ').all(|w| List::Kind.has(w))
}

/// A column below a heading: the box around its words, and what they say together with words over them.
pub(super) struct Column {
    pub(super) area: Rect,
    pub(super) text: String,
}

/// The columns of the phrases below a line, from left to right.
pub(super) fn columns(phrases: &[Phrase], below: f32) -> Vec<Column> {
    let mut under: Vec<&Phrase> = phrases.iter().filter(|p| p.area.y0 >= below).collect();
    under.sort_by(|a, b| a.area.width().total_cmp(&b.area.width()));
    let mut stacks: Vec<(Rect, Vec<Phrase>)> = Vec::new();
    for phrase in under {
        match stacks.iter_mut().find(|(area, _)| area.overlap_x(&phrase.area) > 0.0) {
            Some((area, stack)) => {
                *area = area.union(&phrase.area);
                stack.push(phrase.clone());
            }
            None => stacks.push((phrase.area, vec![phrase.clone()])),
        }
    }
    stacks.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    stacks
        .into_iter()
        .map(|(area, mut stack)| {
            stack.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
            Column { area, text: stacked_text(&stack) }
        })
        .collect()
}

pub(super) fn same_line(a: &Phrase, b: &Phrase) -> bool {
    a.area.overlap_y(&b.area) > 0.6 * a.area.height().min(b.area.height())
}

/// The phrase as it would stand over these columns alone, once over each.
pub(super) fn over_each<'a>(phrase: &Phrase, areas: impl Iterator<Item = &'a Rect>) -> Vec<Phrase> {
    areas
        .map(|column| {
            let area = Rect::new(column.x0, phrase.area.y0, column.x1, phrase.area.y1);
            let tokens = phrase.tokens.iter().map(|t| Token { area, ..t.clone() }).collect();
            Phrase { area, tokens, marks: phrase.marks.clone() }
        })
        .collect()
}

fn centred(columns: &[Column], phrase: &Phrase) -> bool {
    let area = columns.iter().map(|c| c.area).reduce(|a, b| a.union(&b));
    area.is_some_and(|a| (a.mid_x() - phrase.area.mid_x()).abs() < MIDDLE * phrase.area.height())
}

/// `pH` over `soil 1:1` and `buffer SMP`, `Phosphorus` over `mg/l` and `Index` or over `2024` and `2021`: a name over the middle of columns that
/// name nothing by themselves, between the names beside it, is that of each, where it makes each another measurement.
fn names_over(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let mut out: Vec<Phrase> = Vec::new();
    for name in &phrases {
        let said = name.label(context);
        match said.is_result() && said.unknown.is_empty() && said.field.is_none() {
            true => match children(name, &said, &phrases, context) {
                Some(columns) => out.extend(over_each(name, columns.iter())),
                None => out.push(name.clone()),
            },
            false => out.push(name.clone()),
        }
    }
    out
}

fn children(name: &Phrase, said: &Label, phrases: &[Phrase], context: Context) -> Option<Vec<Rect>> {
    let peers = || phrases.iter().filter(|p| *p != name && same_line(p, name));
    let left = peers().map(|p| p.area.x1).filter(|x| *x <= name.area.x0).fold(f32::NEG_INFINITY, f32::max);
    let right = peers().map(|p| p.area.x0).filter(|x| *x >= name.area.x1).fold(f32::INFINITY, f32::min);
    let all = columns(phrases, name.area.mid_y());
    let whole = |c: &Column| label(&format!("{} {}", name.text(), c.text), context);
    let fits = |c: &Column| {
        let (own, whole) = (label(&c.text, context), whole(c));
        // `Value` and `Class` under a name: the first is its result.
        let role = own.role.is_some_and(|role| role != Role::Result);
        let named = own.field.is_some() || role || own.other;
        // `P Index` and `K Index` are names of indices, and name no element.
        let index = own.decoy && own.analyte.is_none() && whole.decoy && whole.analyte.is_none();
        let same = index
            || whole.analyte == said.analyte
            || said.analyte == Some(Analyte::Ph) && whole.analyte == Some(Analyte::BufferPh);
        // What stands between two names is of the nearer one.
        let far = |p: &Phrase| (p.area.mid_x() - c.area.mid_x()).abs();
        let nearest = peers().all(|p| far(name) <= far(p));
        nearest
            && c.area.x0 >= left
            && c.area.x1 <= right
            && !named
            && same
            && whole.unknown.is_empty()
            && !whole.several
    };
    // Neighbours alone: beyond another column's name stands nothing of this one.
    let over = |run: &[Column]| {
        let area = run.iter().map(|c| c.area).reduce(|a, b| a.union(&b));
        area.is_some_and(|a| a.overlap_x(&name.area) > 0.0)
    };
    let mut runs = all.chunk_by(|a, b| fits(a) == fits(b));
    let under = runs.find(|run| run.first().is_some_and(fits) && over(run))?;
    let nameless = under.iter().any(|c| label(&c.text, context).analyte.is_none());
    // Where each names all by itself, the name above says nothing new, and heads no column of its own.
    let bare = said.methods.is_empty() && said.unit.is_none() && name.marks.is_empty();
    let itself = |c: &Column| {
        let own = label(&c.text, context);
        let same = own.analyte == said.analyte
            || said.analyte == Some(Analyte::Ph) && own.analyte == Some(Analyte::BufferPh);
        own.is_result() && own.unknown.is_empty() && same
    };
    if bare && under.len() == 2 && under.iter().all(itself) && centred(under, name) {
        return Some(Vec::new());
    }
    let kinds: Vec<_> = under
        .iter()
        .map(|c| {
            let l = whole(c);
            (l.analyte, l.methods.clone(), l.unit.as_ref().map(|u| u.0), l.decoy || l.rating, l.year)
        })
        .collect();
    let unlike = kinds.iter().enumerate().all(|(i, a)| kinds.iter().skip(i + 1).all(|b| a != b));
    // Over seasons alone a name may be set at the edge of the first or the last.
    let seasons = under.iter().all(|c| {
        let own = label(&c.text, context);
        own.year.is_some() && own.unknown.is_empty() && !own.names_column()
    });
    let near = |a: Option<f32>, b: f32| a.is_some_and(|a| (a - b).abs() < EDGE);
    let edge = near(under.first().map(|c| c.area.x0), name.area.x0)
        || near(under.last().map(|c| c.area.x1), name.area.x1);
    (under.len() > 1 && nameless && unlike && (centred(under, name) || seasons && edge))
        .then(|| under.iter().map(|c| c.area).collect())
}

/// `1:1 water   Mehlich 3   DTPA` over the names of what they took out: each stands over the middle of its own columns.
/// They are given to these where all of them lie so in one way alone.
fn extracts_over(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let method = |p: &Phrase| {
        let l = p.label(context);
        let named = l.field.is_some() || l.role.is_some() || l.decoy || l.other || l.saturation || l.rating;
        !l.methods.is_empty() && l.unknown.is_empty() && !named && l.unit.is_none() && !l.several
            || l.is_result() && l.unknown.is_empty() && !l.methods.is_empty()
    };
    let top = phrases.iter().map(|p| p.area.y0).fold(f32::INFINITY, f32::min);
    let Some(first) = phrases.iter().find(|p| p.area.y0 <= top + 1.0) else { return phrases };
    let mut line: Vec<Phrase> = phrases.iter().filter(|p| same_line(p, first)).cloned().collect();
    line.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let pure = line.iter().filter(|p| p.label(context).analyte.is_none()).count();
    if pure < 2 || !line.iter().all(method) {
        return phrases;
    }
    let below = columns(&phrases, first.area.mid_y());
    let takes = |p: &Phrase, c: &Column| {
        let (group, own) = (p.label(context), label(&c.text, context));
        let whole = label(&format!("{} {}", p.text(), c.text), context);
        let measures = group.method().is_none_or(|m| own.analyte.is_some_and(|a| adapt(m, a).is_some()))
            || group.analyte.is_some();
        own.is_result()
            && own.methods.is_empty()
            && measures
            && whole.analyte == own.analyte
            && whole.unknown.is_empty()
            && !whole.several
    };
    let runs: Vec<Vec<Range<usize>>> = line
        .iter()
        .map(|p| {
            let from = |a: usize| (a + 1..=below.len()).map(move |b| a..b);
            (0..below.len())
                .flat_map(from)
                .filter(|r| {
                    let own = below.get(r.clone()).unwrap_or_default();
                    own.iter().all(|c| takes(p, c)) && centred(own, p)
                })
                .collect()
        })
        .collect();
    let Some(chosen) = one_way(&runs) else { return phrases };
    // A column beside a run that could be of it as well leaves open how far the extract reaches.
    let open = chosen.iter().zip(&line).any(|(run, p)| {
        let beside = [run.start.checked_sub(1), Some(run.end)].into_iter().flatten();
        run.len() > 1
            && beside
                .filter(|i| chosen.iter().all(|r| !r.contains(i)))
                .filter_map(|i| below.get(i))
                .any(|c| takes(p, c))
    });
    if open {
        return phrases;
    }
    let mut out: Vec<Phrase> = phrases.iter().filter(|p| !same_line(p, first)).cloned().collect();
    for (run, p) in chosen.iter().zip(&line) {
        out.extend(over_each(p, below.get(run.clone()).unwrap_or_default().iter().map(|c| &c.area)));
    }
    out
}

/// More ways to lay a line of extracts out than these are not looked through.
const MOST_WAYS: usize = 20_000;

/// One run for each phrase, from left to right without overlap, that together take the most columns; nothing where two
/// ways take as many.
fn one_way(runs: &[Vec<Range<usize>>]) -> Option<Vec<Range<usize>>> {
    let mut ways: Vec<(usize, Vec<Range<usize>>)> = vec![(0, Vec::new())];
    for own in runs {
        let mut next = Vec::new();
        for (taken, way) in &ways {
            let from = way.last().map_or(0, |r| r.end);
            for run in own.iter().filter(|r| r.start >= from) {
                next.push((taken + run.len(), [way.as_slice(), std::slice::from_ref(run)].concat()));
            }
        }
        if next.len() > MOST_WAYS {
            return None;
        }
        ways = next;
    }
    let most = ways.iter().map(|w| w.0).max()?;
    let mut best = ways.into_iter().filter(|w| w.0 == most);
    let (_, way) = best.next()?;
    best.next().is_none().then_some(way)
}

/// `pH (CaCl2)` over a blank and `Class`: where the one word below a name rates and stands under its right half, the
/// values stand on its left, and the two are columns of their own.
fn ratings_beside(phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let all = phrases.clone();
    let rates = |p: &Phrase| {
        let l = p.label(context);
        let other = l.analyte.is_some() || l.field.is_some() || l.role.is_some() || !l.methods.is_empty();
        (l.decoy || l.rating) && !other && l.unknown.is_empty()
    };
    // The name, what stands between, and the word that rates.
    let column = |name: &Phrase| {
        let mut under: Vec<&Phrase> = all
            .iter()
            .filter(|p| p.area.y0 >= name.area.mid_y() && p.area.overlap_x(&name.area) > 0.0)
            .collect();
        under.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
        let (child, between) = under.split_last()?;
        let whole = std::iter::once(name).chain(between.iter().copied()).map(|p| p.text().to_owned());
        let said = label(&whole.collect::<Vec<_>>().join(" "), context);
        let named = label(name.text(), context).is_result();
        let inner =
            between.iter().all(|p| p.area.x0 >= name.area.x0 - EDGE && p.area.x1 <= name.area.x1 + EDGE);
        let beside = rates(child) && child.area.x0 > name.area.mid_x();
        (named && inner && said.is_result() && said.unknown.is_empty() && beside).then(|| {
            let cell: Vec<Rect> =
                std::iter::once(name).chain(between.iter().copied()).map(|p| p.area).collect();
            (cell, child.area.x0 - 1.0)
        })
    };
    let cuts: Vec<(Vec<Rect>, f32)> = all.iter().filter_map(column).collect();
    phrases
        .into_iter()
        .map(|name| {
            let Some((_, end)) = cuts.iter().find(|(cell, _)| cell.contains(&name.area)) else { return name };
            let area = Rect::new(name.area.x0, name.area.y0, *end, name.area.y1);
            let cut = |t: &Token| Token {
                area: Rect::new(t.area.x0.min(area.x1), t.area.y0, t.area.x1.min(area.x1), t.area.y1),
                ..t.clone()
            };
            Phrase { area, tokens: name.tokens.iter().map(cut).collect(), marks: name.marks }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::super::vocabulary::Field;
    use super::super::{Leaf, bands};
    use super::*;
    use crate::soil::Method;

    fn leaves(lines: &[&str]) -> Vec<Leaf> {
        let context = Context { symbols: true, capitals: false };
        bands(&layout(&typed(lines)), context, Decimal::Point).remove(0).leaves
    }

    fn said(leaves: &[Leaf]) -> Vec<(Option<Analyte>, Option<Method>, bool)> {
        leaves
            .iter()
            .filter(|l| l.label.field.is_none())
            .map(|l| (l.label.analyte, l.label.method(), l.label.is_result() && l.label.unknown.is_empty()))
            .collect()
    }

    #[test]
    fn an_element_over_its_amount_and_its_index_is_of_the_amount() {
        let found = leaves(&[
            "Lab ref  Field name   pH       P            K            Mg       Lime req.",
            "                           mg/l Index   mg/l Index   mg/l Index    t/ha",
            "90350    Bank field   6.1  17.0 2       231  2       286  5        1",
            "90351    Cow pasture  5.5  20.0 2       134  2       134  3        5",
        ]);
        let amounts: Vec<_> =
            found.iter().filter(|l| l.label.is_result()).filter_map(|l| l.label.analyte).collect();
        assert_eq!(
            amounts,
            [Analyte::Ph, Analyte::Phosphorus, Analyte::Potassium, Analyte::Magnesium],
            "{found:?}"
        );
        let indices = found.iter().filter(|l| l.label.decoy && l.text.ends_with("Index"));
        assert_eq!(indices.count(), 3, "{found:?}");
    }

    #[test]
    fn a_name_over_the_middle_of_two_procedures_is_of_both() {
        let found = leaves(&[
            "                      pH        CEC        Zinc",
            "Sample  OM      soil    buffer  sum of     DTPA",
            "                1:1     SMP     cations",
            "        %                       meq/100g   ppm",
            "Moss    3.3     5.9     6.5     15.0       3.1",
        ]);
        let found = said(&found);
        assert!(found.contains(&(Some(Analyte::Ph), Some(Method::Water1to1), true)), "{found:?}");
        assert!(found.contains(&(Some(Analyte::BufferPh), Some(Method::Smp), true)), "{found:?}");
    }

    #[test]
    fn a_name_over_two_that_name_themselves_heads_no_column() {
        let found = leaves(&[
            "                      pH            Zinc",
            "Sample  OM      Soil     Buffer     DTPA",
            "        %        pH      Index      ppm",
            "Moss    3.3     5.9      6.5        3.1",
        ]);
        let named = found.iter().filter_map(|l| l.label.analyte).collect::<Vec<_>>();
        assert_eq!(
            named,
            [Analyte::OrganicMatter, Analyte::Ph, Analyte::BufferPh, Analyte::Zinc],
            "{found:?}"
        );
        assert!(found.iter().all(|l| l.label.unknown.is_empty()), "{found:?}");
    }

    #[test]
    fn a_name_over_a_unit_and_an_index_is_that_of_the_unit() {
        let found = leaves(&[
            "                Phosphorus (P)      Potassium (K)     Magnesium",
            "Lab no.  pH     mg/l     Index     mg/l     Index       mg/l",
            "S881     6.1    7.0      3         162      4           131",
        ]);
        let of = |analyte| found.iter().filter(move |l| l.label.analyte == Some(analyte));
        for analyte in [Analyte::Phosphorus, Analyte::Potassium] {
            let results: Vec<_> = of(analyte).map(|l| l.label.is_result()).collect();
            assert_eq!(results, [true, false], "{found:?}");
        }
    }

    #[test]
    fn a_line_of_extracts_is_of_the_columns_under_the_middle_of_each() {
        let found = said(&leaves(&[
            "             1:1 water   CaCl2   Mehlich 3   Olsen         Mehlich 3                 DTPA             2 M KCl",
            "   Sample       pH        pH         P         P       K      Ca      Mg      Zn      Fe      Mn       NO3-N",
            "                                    ppm       ppm     ppm     ppm     ppm     ppm     ppm     ppm       ppm",
            "    Moss        6.4       5.9       74        31      150    2377     235     5.2    42.5    10.0      15.2",
        ]));
        for sure in [
            (Some(Analyte::Ph), Some(Method::Water1to1), true),
            (Some(Analyte::Ph), Some(Method::Cacl2), true),
            (Some(Analyte::Phosphorus), Some(Method::Mehlich3), true),
            (Some(Analyte::Phosphorus), Some(Method::Olsen), true),
            (Some(Analyte::Potassium), Some(Method::Mehlich3), true),
            (Some(Analyte::Magnesium), Some(Method::Mehlich3), true),
            (Some(Analyte::Zinc), Some(Method::Dtpa), true),
            (Some(Analyte::Manganese), Some(Method::Dtpa), true),
            (Some(Analyte::NitrateN), None, true),
        ] {
            assert!(found.contains(&sure), "{sure:?} {found:?}");
        }
    }

    #[test]
    fn a_unit_and_an_index_over_nutrients_are_of_all_of_these_and_a_group_of_fields_of_none() {
        let found = leaves(&[
            "Laboratory  Field details           Soil          Index               mg/l         Organic",
            "reference   No.   Name or reference  pH      P     K     Mg      P     K     Mg     matter",
            "61240       1     Long Acre          6.4     3     2     3       30.2  163   102    4.1",
        ]);
        let of = |analyte| {
            let own = found.iter().filter(move |l| l.label.analyte == Some(analyte));
            own.map(|l| (l.label.unit.as_ref().map(|u| u.0), l.label.is_result())).collect::<Vec<_>>()
        };
        for analyte in [Analyte::Phosphorus, Analyte::Potassium, Analyte::Magnesium] {
            assert_eq!(of(analyte), [(Some("index"), false), (Some("mg/L"), true)], "{found:?}");
        }
        let name = found.iter().find(|l| l.text.starts_with("Name"));
        assert_eq!(name.and_then(|l| l.label.field), Some(Field::SampleLabel), "{found:?}");
    }

    #[test]
    fn a_unit_below_the_middle_of_all_nutrients_without_one_is_of_each() {
        let units = |line: &str| {
            let found = leaves(&[
                "Sample   Depth   pH     P      K      Mg     Ca      Zn     CEC        OM",
                line,
                "Moss     0-6     5.3    74     72     98     584     3.4    3.0        0.7",
            ]);
            let of = |l: &&Leaf| l.label.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg);
            found.iter().filter(of).map(|l| l.label.unit.as_ref().map(|u| u.0)).collect::<Vec<_>>()
        };
        let all = units("         in                     pounds per acre              meq/100 g  %");
        assert_eq!(all, [Some("lb/acre"); 5]);
        let half = units("         in             pounds per acre                      meq/100 g  %");
        assert!(half.contains(&None), "{half:?}");
    }

    #[test]
    fn lines_that_run_into_the_heading_are_of_it() {
        let page = layout(&super::super::super::rewrap::tests::set(&[
            (0.0, "                 Organic"),
            (6.0, "                              Phosphorus   Zinc      CEC"),
            (12.0, "                 matter"),
            (24.0, "Sample   Lab no. LOI          P1           DTPA      sum"),
            (36.0, "                 %            ppm          ppm       meq/100g"),
            (60.0, "Moss     50611   3.3          16           3.1       15.0"),
        ]));
        let context = Context { symbols: true, capitals: false };
        let found = bands(&page, context, Decimal::Point).remove(0).leaves;
        let matter = found.iter().find(|l| l.label.analyte == Some(Analyte::OrganicMatter)).unwrap();
        assert!(matter.label.unknown.is_empty() && matter.text.starts_with("Organic matter"), "{found:?}");
    }

    #[test]
    fn two_lines_over_the_middle_of_the_same_columns_are_one_cell() {
        let found = leaves(&[
            "                         pH-Wert  Available, by Mehlich 3 extraction",
            "Nr.   Schlag   Lab no.   (CaCl2)           mg je 100 g soil               Humus",
            "                        Wert  Kl.   P2O5     Kl.      K2O      Kl.         %",
            "1     Moosquell 448101    6,4  C     17,2     C        21,5     D          2,3",
        ]);
        let of = |analyte| {
            let own = found.iter().filter(move |l| l.label.analyte == Some(analyte) && l.label.is_result());
            own.map(|l| (l.label.method(), l.label.unit.as_ref().map(|u| u.0), l.label.unknown.len()))
                .collect::<Vec<_>>()
        };
        assert_eq!(of(Analyte::Ph), [(Some(Method::Cacl2), None, 0)], "{found:?}");
        let mehlich = [(Some(Method::Mehlich3), Some("mg/100g"), 0)];
        assert_eq!(of(Analyte::Phosphorus), mehlich, "{found:?}");
        assert_eq!(of(Analyte::Potassium), mehlich, "{found:?}");
    }

    #[test]
    fn an_extract_that_touches_the_outer_columns_and_lies_over_their_middle_is_of_all() {
        let of = |extract: &str| {
            let found = leaves(&[
                "                                                            CEC",
                extract,
                "Lab no.   Field     pH     K2O      Ca       Mg      Na2O   sum",
                "                          mg/kg    mg/kg    mg/kg    mg/kg  cmol/kg",
                "S7740     Moosquell  6.4    310      3560     414     90     22.4",
            ]);
            [Analyte::Potassium, Analyte::Calcium, Analyte::Sodium].map(|analyte| {
                let own = found.iter().find(|l| l.label.analyte == Some(analyte));
                own.and_then(|l| l.label.method())
            })
        };
        let all = [Some(Method::AmmoniumAcetate); 3];
        assert_eq!(of("                             exchangeable, NH4OAc, pH 7"), all);
        assert_ne!(of("                           exchangeable, NH4OAc, pH 7"), all);
    }

    #[test]
    fn a_class_under_the_right_half_of_a_name_is_a_column_beside_it() {
        let found = leaves(&[
            "Probe      pH (CaCl2)     P (Olsen)      K (NH4OAc)      Humus",
            "                  Kl.    mg/kg    Kl.   mg/kg     Kl.    %",
            "Moosacker  6,3    C      5,7      C     10,5      D      2,0",
        ]);
        let potassium = found.iter().filter(|l| l.label.analyte == Some(Analyte::Potassium));
        assert_eq!(potassium.map(|l| l.label.is_result()).collect::<Vec<_>>(), [true, false], "{found:?}");
        let ph = found.iter().find(|l| l.label.analyte == Some(Analyte::Ph)).unwrap();
        assert!(ph.label.is_result() && ph.area.x1 < 18.0 * 6.0, "{found:?}");
    }

    #[test]
    fn words_that_only_say_that_results_follow_are_no_part_of_a_name() {
        let of = |title: &str| {
            let found = leaves(&[
                &format!("                         {title}"),
                "Field      pH    P       OM                  NO3-N",
                "                 ppm     %                   ppm",
                "Moosquell  6.4   31      4.2                 12",
            ]);
            let own = found.iter().find(|l| l.label.analyte == Some(Analyte::OrganicMatter));
            own.map(|l| l.label.unknown.clone())
        };
        assert_eq!(of("Other tests"), Some(Vec::new()));
        assert_eq!(of("Additional results"), Some(Vec::new()));
    }
}
