//! `P (ppm)` over the middle of `Bray P1` and `Mehlich 3`: one measurement by several methods, each in a column that names
//! its method alone.

use super::super::label::{Label, label};
use super::super::layout::Phrase;
use super::super::notes::adapt;
use super::super::vocabulary::Context;
use crate::place::Rect;
use crate::soil::Analyte;

/// How near, in heights of its letters, the middle of a name lies to that of the methods under it.
const MIDDLE: f32 = 0.5;

/// Gives each method that stands alone below the name of a measurement this name, where the methods of a line and the
/// names over them leave no other way to read them; else everything stays as it stands.
pub fn named_above(phrases: Vec<Phrase>, cells: bool, context: Context) -> Vec<Phrase> {
    let said: Vec<Label> = phrases.iter().map(|p| p.label(context)).collect();
    let names: Vec<usize> = (0..phrases.len()).filter(|i| said.get(*i).is_some_and(is_name)).collect();
    let mut taken: Vec<(usize, Vec<usize>)> = Vec::new();
    for name in names {
        let (Some(own), Some(analyte)) = (phrases.get(name), said.get(name).and_then(|l| l.analyte)) else {
            continue;
        };
        let below: Vec<usize> = (0..phrases.len())
            .filter(|i| said.get(*i).is_some_and(|l| is_method(l, analyte)))
            .filter(|i| phrases.get(*i).is_some_and(|p| is_next_line(&own.area, &p.area)))
            .collect();
        let runs = if cells {
            in_cells(own, &below, &phrases)
        } else {
            touched(own, &below, &phrases).or_else(|| centred(own, &below, &phrases))
        };
        if let Some(run) = runs.filter(|run| unlike(run, &said, analyte) && free(run, name, &phrases, &said))
        {
            taken.push((name, run));
        }
    }
    let once = |i: &usize| taken.iter().filter(|(_, run)| run.contains(i)).count() == 1;
    // A method of the same line that no name took may belong to any of them.
    let beside = |i: &usize| {
        let line = phrases.get(*i).map(|p| p.area);
        (0..phrases.len()).filter(|m| said.get(*m).is_some_and(is_bare_method)).all(|m| {
            let same = line.zip(phrases.get(m)).is_some_and(|(a, p)| a.overlap_y(&p.area) > 0.0);
            !same || taken.iter().any(|(_, run)| run.contains(&m)) || has_name(m, None, &phrases, &said)
        })
    };
    if taken.is_empty() || !taken.iter().flat_map(|(_, run)| run).all(|i| once(i) && beside(i)) {
        return phrases;
    }
    let mut out = phrases.clone();
    for (name, run) in &taken {
        for i in run {
            if let (Some(own), Some(leaf)) = (phrases.get(*name), out.get_mut(*i)) {
                *leaf = joined(own, leaf);
            }
        }
    }
    let dropped = |i: &usize| taken.iter().any(|(name, _)| name == i);
    (0..).zip(out).filter(|(i, _)| !dropped(i)).map(|(_, p)| p).collect()
}

/// A procedure and nothing else.
fn is_bare_method(l: &Label) -> bool {
    matches!(l.methods.as_slice(), [_]) && l.unknown.is_empty() && l.unit.is_none() && !l.names_column()
}

/// A procedure; `Bray P1` names what it measures as well.
fn is_method(l: &Label, analyte: Analyte) -> bool {
    let mut own = l.clone();
    own.analyte = l.analyte.filter(|a| *a != analyte);
    is_bare_method(&own)
}

/// A measurement, perhaps with its unit, by no method.
fn is_name(l: &Label) -> bool {
    l.is_result() && l.methods.is_empty() && l.unknown.is_empty() && l.year.is_none() && !l.rating
}

/// The name and its method as one heading over the column of the method: `P Bray (ppm)`.
fn joined(name: &Phrase, method: &Phrase) -> Phrase {
    let context = Context { symbols: false, capitals: false };
    let unit = (1..name.tokens.len()).find(|i| {
        let rest = name.tokens.get(*i..).unwrap_or_default();
        let said = label(&super::super::layout::joined(rest), context);
        said.unit.is_some() && said.unknown.is_empty() && said.analyte.is_none()
    });
    let (words, unit) = name.tokens.split_at(unit.unwrap_or(name.tokens.len()));
    let tokens = words.iter().chain(&method.tokens).chain(unit).cloned().collect();
    let marks = name.marks.iter().chain(&method.marks).cloned().collect();
    Phrase { tokens, area: method.area, marks }
}

/// True for a box tight below another line.
fn is_next_line(name: &Rect, below: &Rect) -> bool {
    below.y0 > name.mid_y() && below.y0 - name.y1 < 1.6 * name.height()
}

/// Two methods or more that a name stands over, each in part.
fn touched(name: &Phrase, below: &[usize], phrases: &[Phrase]) -> Option<Vec<usize>> {
    let over = |i: &usize| phrases.get(*i).is_some_and(|p| p.area.overlap_x(&name.area) > 0.0);
    let run: Vec<usize> = below.iter().copied().filter(over).collect();
    (run.len() > 1).then_some(run)
}

/// Methods side by side of which all together stand under the middle of a name, two or more.
fn centred(name: &Phrase, below: &[usize], phrases: &[Phrase]) -> Option<Vec<usize>> {
    let mut line: Vec<(usize, Rect)> =
        below.iter().filter_map(|i| Some((*i, phrases.get(*i)?.area))).collect();
    line.sort_by(|a, b| a.1.x0.total_cmp(&b.1.x0));
    let mut fitting = Vec::new();
    for first in 0..line.len() {
        for end in first + 2..=line.len() {
            let run = line.get(first..end)?;
            let all = run.iter().map(|(_, area)| *area).reduce(|a, b| a.union(&b))?;
            let row = run.iter().all(|(_, area)| area.overlap_y(&all) > 0.5 * all.height());
            let middle = (all.mid_x() - name.area.mid_x()).abs() < MIDDLE * name.area.height();
            if row && middle {
                fitting.push(run.iter().map(|(i, _)| *i).collect::<Vec<_>>());
            }
        }
    }
    // Two of four and all four may lie under one middle.
    if let [one] = fitting.as_slice() { Some(one.clone()) } else { None }
}

/// In a table file the name stands over the first of its methods, and over the others stands nothing.
fn in_cells(name: &Phrase, below: &[usize], phrases: &[Phrase]) -> Option<Vec<usize>> {
    let row = |p: &&Phrase| (p.area.y0 - name.area.y0).abs() < 1.0 && p.area.x0 > name.area.x0 + 1.0;
    let next = phrases.iter().filter(row).map(|p| p.area.x0).fold(f32::INFINITY, f32::min);
    let under =
        |i: &usize| phrases.get(*i).is_some_and(|p| p.area.x0 > name.area.x0 - 1.0 && p.area.x0 < next - 1.0);
    let run: Vec<usize> = below.iter().copied().filter(under).collect();
    // Every column under the name is one of a method.
    let others = phrases.iter().filter(|p| {
        p.area.y0 > name.area.y0 + 1.0 && p.area.x0 > name.area.x0 - 1.0 && p.area.x0 < next - 1.0
    });
    (run.len() > 1 && others.count() == run.len()).then_some(run)
}

/// True where each of these measures it in another way.
fn unlike(run: &[usize], said: &[Label], analyte: Analyte) -> bool {
    let of = |i: &usize| said.get(*i).and_then(|l| l.methods.first().copied());
    run.iter().enumerate().all(|(k, i)| {
        of(i).is_some_and(|m| m.is_none_or(|m| adapt(m, analyte).is_some()))
            && run.iter().skip(k + 1).all(|other| of(other) != of(i))
    })
}

/// True where over and under these methods no other name stands.
fn free(run: &[usize], name: usize, phrases: &[Phrase], said: &[Label]) -> bool {
    run.iter().all(|i| !has_name(*i, Some(name), phrases, said))
}

/// True for a method over or under which a phrase (but this one) names its column.
fn has_name(method: usize, but: Option<usize>, phrases: &[Phrase], said: &[Label]) -> bool {
    let Some(own) = phrases.get(method).map(|p| p.area) else { return false };
    phrases
        .iter()
        .zip(said)
        .enumerate()
        .any(|(i, (p, l))| Some(i) != but && i != method && l.names_column() && p.area.overlap_x(&own) > 0.0)
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::bands;
    use super::*;
    use crate::soil::Method;

    fn methods(lines: &[&str], analyte: Analyte) -> Vec<(Option<Method>, Option<&'static str>, bool)> {
        let context = Context { symbols: true, capitals: false };
        let band = bands(&layout(&typed(lines)), context, Decimal::Point).remove(0);
        let own = band.leaves.iter().filter(|l| l.label.analyte == Some(analyte));
        own.map(|l| (l.label.method(), l.label.unit.as_ref().map(|u| u.0), l.label.unknown.is_empty()))
            .collect()
    }

    #[test]
    fn methods_under_one_name_are_each_a_reading_of_it() {
        let lines = [
            "Sample   pH      P (ppm)            K      Ca",
            "ID             Bray      M3         ppm    ppm",
            "Moss     6.2   31        42         120    1500",
            "Fern     6.4   25        36         140    1600",
        ];
        let ppm = Some("mg/kg");
        assert_eq!(
            methods(&lines, Analyte::Phosphorus),
            [(Some(Method::BrayP1), ppm, true), (Some(Method::Mehlich3), ppm, true)]
        );
        assert_eq!(methods(&lines, Analyte::Potassium), [(None, ppm, true)]);
    }

    #[test]
    fn a_method_may_name_what_it_measures_again() {
        let lines = [
            "Sample   pH        P (ppm)            K      Ca",
            "ID             Bray P1   Mehlich 3    ppm    ppm",
            "Moss     6.2   31        42           120    1500",
            "Fern     6.4   25        36           140    1600",
        ];
        let found: Vec<_> =
            methods(&lines, Analyte::Phosphorus).into_iter().map(|(m, _, sure)| (m, sure)).collect();
        assert_eq!(found, [(Some(Method::BrayP1), true), (Some(Method::Mehlich3), true)]);
    }

    #[test]
    fn a_name_that_stands_over_one_method_says_nothing_of_the_next() {
        let lines = [
            "Sample   pH    P (ppm)              K      Ca",
            "ID             Bray      M3         ppm    ppm",
            "Moss     6.2   31        42         120    1500",
            "Fern     6.4   25        36         140    1600",
        ];
        assert!(methods(&lines, Analyte::Phosphorus).iter().all(|(m, ..)| *m != Some(Method::Mehlich3)));
    }
}
