//! One leaf a column: words that stand over each other are read together, words over several columns are their group.

use super::super::fold::pieces;
use super::super::label::{Label, label};
use super::super::layout::{Phrase, Token};
use super::super::notes::by_colour;
use super::super::span;
use super::super::vocabulary::{Context, Hit, Meaning, hits_where};
use super::super::words::List;
use super::Leaf;
use super::beneath::named_above;
use super::doubts::{
    beside_shares, former_names, former_seasons, half_shares, is_reckoned, lone_methods, methods_of_others,
    named_twice, rates_of_a_crop, ratings, reckoned_beside,
};
use super::opened::{self, opened};
use super::reach::{lone_methods_above, reach};
use super::spread::spread;
use crate::place::Rect;
use crate::soil::{Analyte, Method, Unit};

/// Stacks words that stand over each other into columns; words over two or more columns are groups of these.
pub fn leaves(phrases: Vec<Phrase>, cells: bool, context: Context) -> Vec<Leaf> {
    let phrases = if cells { spread_shares(phrases, context) } else { phrases };
    let (phrases, unsure) = if cells { opened(phrases, context) } else { (phrases, Vec::new()) };
    let phrases = named_above(phrases, cells, context);
    let phrases = if cells { phrases } else { spread(phrases, context) };
    let (mut phrases, spans) = span::set_apart(phrases, cells, context);
    phrases.sort_by(|a, b| a.area.width().total_cmp(&b.area.width()));
    let mut columns: Vec<(Rect, Vec<Phrase>)> = Vec::new();
    let mut groups: Vec<Phrase> = Vec::new();
    for phrase in phrases {
        let under: Vec<usize> = columns
            .iter()
            .enumerate()
            .filter(|(_, (area, _))| {
                area.overlap_x(&phrase.area) > 0.25 * area.width().min(phrase.area.width())
            })
            .map(|(i, _)| i)
            .collect();
        match under.as_slice() {
            [] => columns.push((phrase.area, vec![phrase])),
            [one] if !beside(columns.get(*one), &phrase) => {
                if let Some((area, stack)) = columns.get_mut(*one) {
                    *area = area.union(&phrase.area);
                    stack.push(phrase);
                }
            }
            _ => groups.push(phrase),
        }
    }
    // Groups of which it is not clear whether they are one.
    let mut unclear: Vec<Rect> = Vec::new();
    // Words of groups nobody understands that stand over no column: perhaps one of their own, whose values are not those
    // of the next.
    let mut alone: Vec<Phrase> = Vec::new();
    if !cells {
        touching(&mut columns, &mut groups, context);
        groups.retain(|group| match fall_apart(group, &mut columns, context) {
            Group::One => true,
            Group::Several => false,
            Group::Unclear => {
                unclear.push(group.area);
                true
            }
        });
        alone = groups.iter().flat_map(|group| over_none(group, &columns, context)).collect();
        columns.extend(alone.iter().map(|words| (words.area, vec![words.clone()])));
    }
    columns.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    for (_, stack) in &mut columns {
        stack.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
    }
    let lone = lone_methods_above(&columns, context);
    let stacks: Vec<Vec<String>> =
        columns.iter().map(|(_, stack)| stack.iter().map(|p| p.text().to_owned()).collect()).collect();
    let stands_alone = |area: &Rect| alone.iter().any(|words| words.area == *area);
    // Words that touch the outer columns and lie over the middle of all that they touch are of all of these.
    let areas: Vec<Rect> = columns.iter().map(|(area, _)| *area).collect();
    let centred = |group: &Phrase| {
        let touched = areas.iter().filter(|a| a.overlap_x(&group.area) > 0.0);
        let all = touched.copied().reduce(|a, b| a.union(&b));
        !cells && all.is_some_and(|a| (a.mid_x() - group.area.mid_x()).abs() < 0.5 * group.area.height())
    };
    let over_it = |group: &Phrase, area: &Rect| {
        let overlap = group.area.overlap_x(area);
        overlap > 0.5 * area.width() || overlap > 0.0 && centred(group)
    };
    let mut leaves: Vec<Leaf> = columns
        .into_iter()
        .map(|(area, stack)| {
            let text = stacked_text(&stack);
            let over: Vec<&Phrase> = groups.iter().filter(|g| over_it(g, &area)).collect();
            let mut own = label(&text, context);
            if !own.known()
                || (own.analyte.is_none()
                    && own.field.is_none()
                    && (cells || own.role.is_none())
                    && !own.other)
            {
                let joined =
                    over.iter().map(|g| g.text()).chain([text.as_str()]).collect::<Vec<_>>().join(" ");
                let with_group = label(&joined, context);
                // `pH` over `Soil` and `Buffer`: the leaf alone names nothing, under its group a measurement.
                let completed = own.unit.is_none()
                    && with_group.unknown.is_empty()
                    && !with_group.several
                    && matches!(with_group.analyte, Some(Analyte::Ph | Analyte::BufferPh));
                // In a table file a name merged over `mg/100 g` and `Class` is that of both cells.
                let merged = cells
                    && over.len() == 1
                    && (own.known() || own.year.is_some())
                    && own.unknown.is_empty()
                    && !own.saturation
                    && with_group.analyte.is_some()
                    && with_group.unknown.is_empty()
                    && !with_group.several;
                if with_group.field.is_some() && with_group.analyte.is_none() || completed || merged {
                    own = with_group;
                }
            }
            let mut marks: Vec<String> = stack.iter().flat_map(|p| p.marks.clone()).collect();
            for group in over {
                let said = group.label(context);
                // Of `mg/dm3 million` over two columns nobody knows how far the unit reaches.
                let unsure = unclear.contains(&group.area) || !said.unknown.is_empty() || units_of(group) > 1;
                if said.unit.is_some() && own.unit.is_none() && unsure {
                    own.unknown.push("which unit".to_owned());
                }
                // `Percent Sand, Target` over `%` and `sand`: which of them is wished for nobody knows.
                let wished = said.decoy
                    && own.is_result()
                    && (said.analyte.is_some() || unclear.contains(&group.area));
                // `Estimated` over a capacity and its neighbour may say how the capacity was found.
                let reckoned = own.analyte == Some(Analyte::Cec)
                    && own.methods.is_empty()
                    && group.tokens.iter().any(|t| is_reckoned(&t.text.to_lowercase()));
                if words_unclear(&own, &said) || wished || reckoned {
                    own.unknown.push("words over it".to_owned());
                }
                own = own.under(&said);
                marks.extend(group.marks.iter().cloned());
            }
            if stands_alone(&area) {
                own.unknown.push("words over it".to_owned());
            }
            Leaf { area, text, label: own, marks }
        })
        .collect();
    spread_groups(&mut leaves, &stacks, &groups, cells, context);
    if !cells {
        reach(&mut leaves, &groups, &lone, context);
    }
    span::apply(&mut leaves, &spans, cells, context);
    former_seasons(&mut leaves);
    former_names(&mut leaves);
    ratings(&mut leaves);
    half_shares(&mut leaves, context);
    beside_shares(&mut leaves);
    lone_methods(&mut leaves);
    methods_of_others(&mut leaves);
    reckoned_beside(&mut leaves);
    rates_of_a_crop(&mut leaves);
    by_colours(&mut leaves);
    named_twice(&mut leaves);
    opened::doubt(&mut leaves, &unsure);
    leaves
}

/// `P ICP   P color` under `Mehlich 3`: how phosphorus was counted is said below the extract.
fn by_colours(leaves: &mut [Leaf]) {
    for leaf in leaves.iter_mut().filter(|l| l.label.analyte == Some(Analyte::Phosphorus)) {
        if leaf.label.methods == [Some(Method::Mehlich3)] {
            leaf.label.methods = by_colour(vec![Some(Method::Mehlich3)], &leaf.text);
        }
    }
}

/// `acetate` that runs up to `K`: words that name no column and touch one alone are that column's, and so is what stands
/// over both.
fn touching(columns: &mut Vec<(Rect, Vec<Phrase>)>, groups: &mut Vec<Phrase>, context: Context) {
    let before = columns.len();
    let mut at = 0;
    while let Some((area, stack)) = columns.get(at) {
        let touched: Vec<usize> = (0..columns.len())
            .filter(|i| *i != at && columns.get(*i).is_some_and(|c| c.0.overlap_x(area) > 0.0))
            .collect();
        let one = match touched.as_slice() {
            [one]
                if !label(&read_down(stack), context).names_column()
                    && stack.iter().all(|p| !beside(columns.get(*one), p)) =>
            {
                *one
            }
            _ => {
                at += 1;
                continue;
            }
        };
        let (area, stack) = columns.remove(at);
        if let Some(column) = columns.get_mut(if one > at { one - 1 } else { one }) {
            column.0 = column.0.union(&area);
            column.1.extend(stack);
        }
        at = 0;
    }
    if columns.len() == before {
        return;
    }
    groups.retain(|group| {
        let mut over = columns
            .iter_mut()
            .filter(|(area, _)| area.overlap_x(&group.area) > 0.25 * area.width().min(group.area.width()));
        let (Some(column), None) = (over.next(), over.next()) else { return true };
        let own = !beside(Some(column), group);
        if own {
            column.0 = column.0.union(&group.area);
            column.1.push(group.clone());
        }
        !own
    });
}

/// The words of a stack, read from top to bottom.
fn read_down(stack: &[Phrase]) -> String {
    let mut stack = stack.to_vec();
    stack.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
    stacked_text(&stack)
}

/// True where words over a column may be its own: they name a season among other things, they name another measurement and its method, or hold figures that
/// nothing explains while the column does not say how it was measured or counted.
fn words_unclear(own: &Label, group: &Label) -> bool {
    let Some(analyte) = own.analyte.filter(|_| own.is_result() && !group.saturation) else { return false };
    let bare = own.methods.is_empty() || own.unit.is_none() && analyte.unit() != Unit::One;
    if group.year.is_some() && group.known() && own.year.is_none() {
        return true;
    }
    let figures = group.unknown.iter().any(|w| w.contains(|c: char| c.is_ascii_digit()));
    group.analyte.is_some_and(|a| a != analyte) && !group.methods.is_empty() || bare && figures
}

/// `SMP` of `SMP cent hectare hectare` over `LOI per` and `K, kg per`: the first and last words of a group that means
/// nothing as a whole, where no column stands under them.
fn over_none(group: &Phrase, columns: &[(Rect, Vec<Phrase>)], context: Context) -> Vec<Phrase> {
    let whole = group.label(context);
    if whole.unknown.is_empty() && !whole.several {
        return Vec::new();
    }
    let none = |token: &Token| columns.iter().all(|(area, _)| area.overlap_x(&token.area) <= 0.0);
    let count = group.tokens.len();
    let first = group.tokens.iter().take_while(|token| none(token)).count();
    let last = group.tokens.iter().rev().take_while(|token| none(token)).count();
    if first == count {
        return Vec::new();
    }
    [group.part(0, first), group.part(count - last, count)].into_iter().flatten().collect()
}

/// What a phrase over several columns is.
enum Group {
    /// What it says holds for all of them.
    One,
    /// Words of each column.
    Several,
    /// One or the other.
    Unclear,
}

/// `mg/dm3 million` over `P` and `K, parts per`: words that say nothing together, and each of which ends what its own
/// column says, go to these columns.
fn fall_apart(group: &Phrase, columns: &mut Vec<(Rect, Vec<Phrase>)>, context: Context) -> Group {
    // `Fertilizer to apply, lb/acre` means something.
    let whole = group.label(context);
    if whole.decoy && whole.analyte.is_none() || whole.saturation {
        return Group::One;
    }
    // The column that a word stands over: none, one, or several (then it is a group's after all).
    let column_of = |area: &Rect| {
        let mut over = columns.iter().enumerate().filter(|(_, (c, _))| c.overlap_x(area) > 0.0);
        let first = over.next().map(|(i, _)| i);
        over.next().is_none().then_some(first)
    };
    let Some(at) = group.tokens.iter().map(|t| column_of(&t.area)).collect::<Option<Vec<_>>>() else {
        return Group::One;
    };
    let mut parts: Vec<(Option<usize>, Phrase)> = Vec::new();
    let mut from = 0;
    for end in (1..=at.len()).filter(|end| at.get(*end) != at.get(end - 1)) {
        if let (Some(column), Some(part)) = (at.get(from), group.part(from, end)) {
            parts.push((*column, part));
        }
        from = end;
    }
    let said = |column: usize, part: Option<&Phrase>| {
        let stack = columns.get(column).map(|(_, stack)| stack.as_slice()).unwrap_or_default();
        let whole: Vec<Phrase> = stack.iter().chain(part).cloned().collect();
        label(&read_down(&whole), context)
    };
    let fits = |(column, part): &(Option<usize>, Phrase)| {
        column.is_none_or(|column| {
            let (whole, before) = (said(column, Some(part)), said(column, None));
            whole.known() && whole.unknown.len() <= before.unknown.len() && !whole.several
        })
    };
    // `parts per` and `million` are a unit together, and neither is one alone.
    let completes = |(column, part): &(Option<usize>, Phrase)| {
        column.is_some_and(|column| {
            said(column, Some(part)).unit.is_some()
                && said(column, None).unit.is_none()
                && part.label(context).unit.is_none()
        })
    };
    // Two columns that each learn their own method or unit explain more than one group does.
    let gains = |(column, part): &&(Option<usize>, Phrase)| {
        column.is_some_and(|column| {
            let (whole, before) = (said(column, Some(part)), said(column, None));
            whole.methods.len() > before.methods.len() || whole.unit.is_some() && before.unit.is_none()
        })
    };
    // `2023 (P)` over `OM` and `Phosphorus` is a season of the one and the symbol of the other.
    let season = whole.year.is_some() && (whole.known() || !whole.unknown.is_empty());
    // `Sand, Target Silt, Clay` over several columns names each of them.
    // `Ammonacetat / NH4OAc` is one extract, however many columns its names stand over.
    let twice = whole.methods.len() > 1 && whole.methods.windows(2).all(|w| w.first() == w.last());
    let nonsense = !whole.unknown.is_empty()
        || whole.several
        || season
        || units_of(group) > 1
        || parts.iter().any(completes)
        || !twice && parts.iter().filter(gains).count() > 1;
    if !nonsense {
        return Group::One;
    }
    if parts.iter().filter(|(column, _)| column.is_some()).count() < 2 || !parts.iter().all(fits) {
        return Group::Unclear;
    }
    for (column, part) in parts {
        match column.and_then(|c| columns.get_mut(c)) {
            Some((area, stack)) => {
                *area = area.union(&part.area);
                stack.push(part);
            }
            None => columns.push((part.area, vec![part])),
        }
    }
    Group::Several
}

/// How many unlike units a phrase names.
fn units_of(phrase: &Phrase) -> usize {
    let context = Context { symbols: false, capitals: false };
    let hits = hits_where(&pieces(phrase.text()), context, &|m| matches!(m, Meaning::Unit(_)));
    let unlike = |(i, h): &(usize, &Hit)| hits.iter().skip(i + 1).all(|other| other.meaning != h.meaning);
    hits.iter().enumerate().filter(unlike).count()
}

/// In a table file `% Base Saturation` (or `Recommendations`) stands in the first of its columns and the cells beside it are empty: it reaches
/// to the next words of its row.
pub fn spread_shares(mut phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let right = phrases.iter().map(|p| p.area.x1).fold(0.0, f32::max);
    let all = phrases.clone();
    let places: Vec<Rect> = phrases.iter().map(|p| p.area).collect();
    for phrase in &mut phrases {
        let l = phrase.label(context);
        let row = |r: &&Rect| (r.y0 - phrase.area.y0).abs() < 1.0 && r.x0 > phrase.area.x0 + 1.0;
        let next = places.iter().filter(row).map(|r| r.x0).fold(f32::INFINITY, f32::min);
        // In the row of the names themselves the next name stands right beside it.
        if (l.saturation || l.decoy)
            && l.analyte.is_none()
            && phrase.area.width() < 100.0
            && next > phrase.area.x1 + 50.0
        {
            let shares = if l.saturation { shares_from(&all, phrase, next, context) } else { None };
            phrase.area.x1 = shares.unwrap_or((next - 4.0).min(right));
        }
    }
    phrases
}

/// The right edge of the columns under a heading of shares: cations side by side, each once, without an extract or a
/// unit of an amount.
pub fn shares_from(phrases: &[Phrase], group: &Phrase, next: f32, context: Context) -> Option<f32> {
    let mut columns: Vec<(Rect, String)> = Vec::new();
    let mut under: Vec<&Phrase> = phrases
        .iter()
        .filter(|p| p.area.y0 > group.area.y0 + 1.0 && p.area.x0 > group.area.x0 - 1.0 && p.area.x0 < next)
        .collect();
    under.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0).then(a.area.y0.total_cmp(&b.area.y0)));
    for p in under {
        match columns.last_mut() {
            Some((area, text)) if (area.x0 - p.area.x0).abs() < 1.0 => *text = format!("{text} {}", p.text()),
            _ => columns.push((p.area, p.text().to_owned())),
        }
    }
    let mut seen: Vec<Analyte> = Vec::new();
    let mut edge = None;
    let mut at = group.area.x0;
    for (area, text) in columns {
        let said = label(&text, context);
        let Some(analyte) = said.analyte.filter(|_| (area.x0 - at).abs() < 1.0) else { break };
        let share =
            analyte == Analyte::Acidity || analyte.saturation().is_some() || analyte.id().starts_with("sat_");
        let amount = said.unit.as_ref().is_some_and(|u| u.0 != "%") || !said.methods.is_empty();
        if !share || amount || seen.contains(&analyte) {
            break;
        }
        seen.push(analyte);
        at = area.x0 + 100.0;
        edge = Some(area.x1);
    }
    edge
}

/// Words over each other with single spaces; `Phos-` over `phorus` is one word.
pub fn stacked_text(stack: &[Phrase]) -> String {
    let mut out = String::new();
    for phrase in stack {
        let text = phrase.text();
        let broken = out.ends_with('-')
            && out.chars().rev().nth(1).is_some_and(char::is_alphabetic)
            && text.starts_with(char::is_lowercase);
        // `mg/` over `dm3`, `P-` over `I`: the line was broken inside a word. `Klei /` over `Clay` are two names.
        let first = text.split(' ').next().unwrap_or_default();
        let two = out.ends_with(" /")
            && first.chars().count() > MOST_OF_A_UNIT
            && first.starts_with(char::is_uppercase);
        let inside = out.ends_with('/') && !two
            || out.ends_with('-') && text.chars().count() <= 2 && text.chars().all(char::is_uppercase);
        if broken || halves_of_a_name(&out, text) {
            out.pop();
        } else if !out.is_empty() && !inside {
            out.push(' ');
        }
        out.push_str(text);
    }
    out
}

/// Letters of the longest unit that opens with a capital.
const MOST_OF_A_UNIT: usize = 3;

/// `PHOS-` over `PHORUS P`: in capitals nothing but the name that both make tells a broken word from two.
fn halves_of_a_name(above: &str, below: &str) -> bool {
    let last = above.rsplit(' ').next().unwrap_or_default();
    let first = below.split(' ').next().unwrap_or_default();
    let capitals = |w: &str| w.chars().count() > 1 && w.chars().all(char::is_uppercase);
    let Some(half) = last.strip_suffix('-').filter(|half| capitals(half) && capitals(first)) else {
        return false;
    };
    let context = Context { symbols: false, capitals: false };
    let names = |text: &str| {
        let said = label(text, context);
        said.analyte.is_some() && said.unknown.is_empty()
    };
    names(&format!("{half}{first}")) && !names(first)
}

/// `Extractable elements` set over the middle of its columns stacks on one of them alone; what it says holds for the
/// neighbours of the same kind that have no heading of their own above them.
pub fn spread_groups(
    leaves: &mut [Leaf],
    stacks: &[Vec<String>],
    groups: &[Phrase],
    cells: bool,
    context: Context,
) {
    let names_a_group = |text: &str| {
        let lower = text.to_lowercase();
        lower.split(' ').any(|w| List::Group.has(w))
    };
    let nutrient = |l: &Leaf| l.label.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg);
    let bare = |l: &Leaf| nutrient(l) && !l.text.contains(' ') && l.marks.is_empty();
    let mut spread: Vec<(Vec<usize>, Vec<String>, String)> = Vec::new();
    // Where other columns print an extract of their own, each speaks for its column; so does a cell of a table file.
    let each = cells
        || leaves.iter().zip(stacks).any(|(leaf, lines)| {
            nutrient(leaf)
                && lines.iter().any(|line| !names_a_group(line) && !label(line, context).methods.is_empty())
        });
    let own = leaves.iter().zip(stacks).enumerate().filter(|(_, (l, _))| nutrient(l) && !each);
    for (i, (leaf, lines)) in own {
        // What stands under the group's own words is said of this column alone.
        let names_none = |line: &str| label(line, context).analyte.is_none();
        if let Some(group) =
            lines.iter().find(|line| line.contains(' ') && names_a_group(line) && names_none(line))
        {
            spread.push((vec![i], leaf.marks.clone(), group.clone()));
        }
    }
    for group in groups.iter().filter(|g| names_a_group(g.text())) {
        let under: Vec<usize> = leaves
            .iter()
            .enumerate()
            .filter(|(_, l)| nutrient(l) && group.area.overlap_x(&l.area) > 0.0)
            .map(|(i, _)| i)
            .collect();
        spread.push((under, group.marks.clone(), group.text().to_owned()));
    }
    for (under, marks, text) in spread {
        let (Some(first), Some(last)) = (under.first().copied(), under.last().copied()) else { continue };
        let methods = label(&text, context).methods.clone();
        let said = Label::from(super::super::label::Understood { methods, ..Default::default() });
        let mut run: Vec<usize> = (0..first).rev().take_while(|i| leaves.get(*i).is_some_and(bare)).collect();
        run.extend((last + 1..leaves.len()).take_while(|i| leaves.get(*i).is_some_and(bare)));
        run.extend(under);
        for i in run {
            if let Some(l) = leaves.get_mut(i) {
                if l.marks.is_empty() {
                    l.marks.clone_from(&marks);
                }
                l.label = l.label.clone().under(&said);
            }
        }
    }
}

/// Two phrases of the same line are never a stack.
pub fn beside(column: Option<&(Rect, Vec<Phrase>)>, phrase: &Phrase) -> bool {
    column.is_some_and(|(_, stack)| {
        stack.iter().any(|p| p.area.overlap_y(&phrase.area) > 0.5 * p.area.height().min(phrase.area.height()))
    })
}
