//! Cells of several lines: in a row set to its middle, the words of a wrapped name stand half a line above and below its
//! values, or a whole line. Such a cell is put together again before anything is read, so that no half of a name is one.

use super::down::is_rating_letter;
use super::label::{label, year_of};
use super::layout::{Layout, Line, Phrase};
use super::one_line::one_line;
use super::vocabulary::Context;

/// The page with the lines of each wrapped row made one.
pub fn rewrap(page: Layout) -> Layout {
    if page.cells {
        return page;
    }
    let mut lines: Vec<Line> = Vec::with_capacity(page.lines.len());
    let mut at = 0;
    while let Some(line) = page.lines.get(at) {
        if let Some([values, names, ratings]) = page.lines.get(at..at + 3).filter(|_| rated(&page.lines, at))
        {
            lines.push(one_line(&[values.clone(), names.clone()]));
            lines.push(ratings.clone());
            at += 3;
            continue;
        }
        let three = || {
            let wrapped =
                staggered(&page.lines, at) || tall(&page.lines, at) || ends_by_its_value(&page.lines, at);
            page.lines.get(at..at + 3).filter(|_| wrapped)
        };
        let (joined, count) = match three() {
            Some(part) => (one_line(part), 3),
            None => match page.lines.get(at..at + 2).filter(|_| broken_off(&page.lines, at)) {
                Some(part) => (one_line(part), 2),
                None => (line.clone(), 1),
            },
        };
        lines.push(joined);
        at += count;
    }
    Layout { lines, ..page }
}

/// How far, in heights of a line, the two halves of a cell lie apart.
const HALVES: f32 = 0.6;

/// Two lines that run into the one between them from above and below, each phrase of the one over a phrase of the other
/// and none over a word of the middle: cells of two lines beside cells of one. Lines that go on running into each other
/// are two columns of text.
fn staggered(lines: &[Line], at: usize) -> bool {
    let Some([up, middle, down]) = lines.get(at..at + 3) else { return false };
    let height = middle.area.height().min(up.area.height()).min(down.area.height());
    let runs = |a: &Line, b: &Line| a.area.overlap_y(&b.area) > 0.05 * height;
    let alone = at.checked_sub(1).and_then(|i| lines.get(i)).is_none_or(|l| !runs(l, up))
        && lines.get(at + 3).is_none_or(|l| !runs(down, l));
    let gap = down.area.y0 - up.area.y1;
    let off = (middle.area.mid_y() - up.area.mid_y()) - (down.area.mid_y() - middle.area.mid_y());
    alone
        && runs(up, middle)
        && runs(middle, down)
        && (-0.15 * height..HALVES * height).contains(&gap)
        && off.abs() < 0.2 * height
        && one_to_one(&up.phrases, &down.phrases)
        && (middle.phrases.iter().any(value) || names_only(up, middle, down))
        && up.phrases.iter().zip(&down.phrases).all(|(p, q)| words(p) && words(q) || in_bracket(p, q))
        && up
            .phrases
            .iter()
            .chain(&down.phrases)
            .all(|p| middle.phrases.iter().all(|m| m.area.overlap_x(&p.area) <= 0.0))
}

/// `Matière organique (perte au` over `feu)   2,3   %`, and between the two a row of another table beside them: the value of a
/// cell of two lines stands by the last, where its bracket closes.
fn ends_by_its_value(lines: &[Line], at: usize) -> bool {
    let Some([up, middle, down]) = lines.get(at..at + 3) else { return false };
    let ([name], [rest, cells @ ..]) = (up.phrases.as_slice(), down.phrases.as_slice()) else { return false };
    let height = name.area.height();
    let runs = |a: &Line, b: &Line| a.area.overlap_y(&b.area) > 0.05 * height;
    let gap = down.area.y0 - up.area.y1;
    let own = [name, rest].into_iter().chain(cells);
    let free = |p: &Phrase| middle.phrases.iter().all(|m| m.area.overlap_x(&p.area) <= 0.0);
    runs(up, middle)
        && runs(middle, down)
        && (-0.15 * height..HALVES * height).contains(&gap)
        && (name.area.x0 - rest.area.x0).abs() < 0.3 * height
        && in_bracket(name, rest)
        && cells.first().is_some_and(value)
        && cells.iter().all(|p| p.area.x0 > name.area.x1)
        && own.into_iter().all(free)
}

/// `Matière organique (C x` over `1,72)`: a figure in the bracket of a name is no value.
fn in_bracket(up: &Phrase, down: &Phrase) -> bool {
    let (first, last) = (up.text(), down.text());
    let whole = format!("{first} {last}");
    let context = Context { symbols: true, capitals: false };
    let named = |text: &str| label(text, context).analyte;
    words(up)
        && first.matches('(').count() == first.matches(')').count() + 1
        && last.ends_with(')')
        && last.matches(')').count() == last.matches('(').count() + 1
        && last.split(' ').count() <= 5
        && named(&whole).is_some()
        && named(&whole) == named(first.split('(').next().unwrap_or_default().trim())
}

/// Values that run into the names of their row from above, and ratings that run into them from below, each under one
/// value: cells of a value over its rating, beside cells of one line in their middle.
fn rated(lines: &[Line], at: usize) -> bool {
    let Some([up, middle, down]) = lines.get(at..at + 3) else { return false };
    let height = middle.area.height().min(up.area.height());
    let runs = |a: &Line, b: &Line| a.area.overlap_y(&b.area) > 0.0;
    let off = up.area.union(&down.area).mid_y() - middle.area.mid_y();
    let figure = |p: &Phrase| p.tokens.len() == 1 && value(p);
    let context = Context { symbols: false, capitals: false };
    let rates = |p: &Phrase| p.label(context).only_rates() || is_rating_letter(p.text());
    let under = |p: &Phrase| up.phrases.iter().filter(|v| v.area.overlap_x(&p.area) > 0.0).count() == 1;
    let beside = |p: &Phrase| middle.phrases.iter().all(|m| m.area.overlap_x(&p.area) <= 0.0);
    let left = |line: &Line| line.phrases.first().map_or(f32::INFINITY, |p| p.area.x0);
    let named = middle.phrases.first().is_some_and(|p| !value(p)) && left(middle) < left(up);
    runs(up, middle)
        && runs(middle, down)
        && off.abs() < 0.2 * height
        && named
        && up.phrases.iter().all(|p| figure(p) && beside(p))
        && down.phrases.iter().all(|p| rates(p) && under(p) && beside(p))
}

/// A line without values is the heading of a table. Where it names measurements its stacks are read as one heading, and
/// numbers of the laboratory under names are no ends of these; what is left are names of samples.
fn names_only(up: &Line, middle: &Line, down: &Line) -> bool {
    let context = Context { symbols: true, capitals: false };
    let measured = |text: &str| {
        let said = label(text, context);
        said.analyte.is_some() || said.other || said.unit.is_some() || !said.methods.is_empty()
    };
    let code = |p: &Phrase| p.text().chars().filter(char::is_ascii_digit).count() >= 3;
    // `95201` over a name is the laboratory's, and no first half of it; `2023` may be a season's.
    let numbered = |p: &Phrase| p.text().chars().filter(char::is_ascii_digit).count() >= 4 && is_one_word(p);
    let whole = |p: &Phrase, q: &Phrase| format!("{} {}", p.text(), q.text());
    let broken = |p: &Phrase| p.text().ends_with(['-', '/']);
    !up.phrases.iter().zip(&down.phrases).any(|(p, q)| measured(&whole(p, q)))
        && !middle.phrases.iter().any(|p| p.label(context).analyte.is_some())
        && !up.phrases.iter().any(broken)
        && !down.phrases.iter().all(code)
        && !up.phrases.iter().all(numbered)
}

/// One word that is no year.
fn is_one_word(phrase: &Phrase) -> bool {
    phrase.tokens.len() == 1 && year_of(phrase.text()).is_none()
}

/// True for a phrase that opens with a number.
fn value(phrase: &Phrase) -> bool {
    let figure = |text: &str| {
        text.contains(|c: char| c.is_ascii_digit())
            && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '<' | '>'))
    };
    phrase.tokens.first().is_some_and(|t| figure(&t.text))
}

/// True for words that may be half of a cell: no field of a form and no value.
fn words(phrase: &Phrase) -> bool {
    let text = phrase.text();
    let decimal = |w: &str| {
        w.contains(['.', ','])
            && w.starts_with(|c: char| c.is_ascii_digit())
            && !w.contains(char::is_alphabetic)
    };
    !text.ends_with(':')
        && !text.contains(": ")
        && !text.split(' ').any(decimal)
        && text.split(' ').count() <= 5
}

/// True where each phrase of the one line stands over one of the other, and no other.
fn one_to_one(up: &[Phrase], down: &[Phrase]) -> bool {
    let single = |a: &[Phrase], b: &[Phrase]| {
        a.iter().all(|p| b.iter().filter(|q| q.area.overlap_x(&p.area) > 0.0).count() == 1)
    };
    !up.is_empty() && up.len() == down.len() && single(up, down) && single(down, up)
}

/// How much further apart than the lines of one cell its neighbours stand.
const FURTHER: f32 = 1.12;

/// The pitch of the lines of one cell, in their height.
const PITCH: f32 = 1.3;

/// A line of values whose name has a line above and one below, all of one edge and one pitch, while the rows before and
/// after stand further away: a name of three lines, whether it is known or not.
fn tall(lines: &[Line], at: usize) -> bool {
    let Some([up, middle, down]) = lines.get(at..at + 3) else { return false };
    let ([above], [own, rest @ ..], [below]) =
        (up.phrases.as_slice(), middle.phrases.as_slice(), down.phrases.as_slice())
    else {
        return false;
    };
    let pitch = |a: &Line, b: &Line| b.area.y0 - a.area.y0;
    let (first, second) = (pitch(up, middle), pitch(middle, down));
    let height = own.area.height();
    let far = |other: Option<f32>| other.is_none_or(|p| p > FURTHER * first.max(second));
    let apart = far(at.checked_sub(1).and_then(|i| lines.get(i)).map(|l| pitch(l, up)))
        && far(lines.get(at + 3).map(|l| pitch(down, l)));
    let edge = |p: &Phrase| {
        let near = |a: f32, b: f32| (a - b).abs() < 0.3 * height;
        near(p.area.x0, own.area.x0) || near(p.area.mid_x(), own.area.mid_x())
    };
    apart
        && (first - second).abs() < 0.1 * height
        && first < PITCH * height
        && first > 0.9 * height
        && [above, own, below].iter().all(|p| words(p) && edge(p))
        && rest.iter().any(value)
}

/// `CEC (by   7.9 meq/100` over `summation)   g`: a row of values whose words break off, and right below it a line of
/// words alone, each under the one that it ends.
fn broken_off(lines: &[Line], at: usize) -> bool {
    let Some([row, rest]) = lines.get(at..at + 2) else { return false };
    let height = row.area.height();
    let gap = rest.area.y0 - row.area.y1;
    let far =
        lines.get(at + 2).is_none_or(|l| l.area.y0 - rest.area.y0 > FURTHER * (rest.area.y0 - row.area.y0));
    let over = |p: &Phrase| {
        let mut over = row.phrases.iter().filter(|r| r.area.overlap_x(&p.area) > 0.0);
        over.next().filter(|_| over.next().is_none())
    };
    let opens = |text: &str| text.matches('(').count() > text.matches(')').count();
    let closes = |text: &str| text.matches('(').count() < text.matches(')').count();
    let context = Context { symbols: false, capitals: false };
    let unit = |text: &str| label(text, context).unit.clone();
    let ends = |p: &Phrase| {
        over(p).is_some_and(|r| {
            let (first, last) = (r.text(), p.text());
            let whole = format!("{first} {last}");
            let aligned =
                (r.area.x0 - p.area.x0).abs() < 0.3 * height || (r.area.x1 - p.area.x1).abs() < 0.3 * height;
            let bracket = opens(first) && closes(last) && !opens(&whole);
            aligned && (bracket || unit(first).is_none() && unit(last).is_none() && unit(&whole).is_some())
        })
    };
    (-0.1 * height..0.5 * height).contains(&gap)
        && far
        && row.phrases.len() > 1
        && row.phrases.iter().skip(1).any(value)
        && !rest.phrases.iter().any(value)
        && !rest.phrases.is_empty()
        && rest.phrases.iter().all(|p| words(p) && ends(p))
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;
    use crate::document::{Content, Page};

    /// Lines of a typewriter at these heights.
    pub fn set(lines: &[(f32, &str)]) -> Page {
        let texts: Vec<&str> = lines.iter().map(|l| l.1).collect();
        let mut page = typed(&texts);
        if let Content::Words(words) = &mut page.content {
            for word in words {
                let row = (word.area.y0 / 12.0).round() as usize;
                let top = lines[row].0;
                (word.area.y0, word.area.y1) = (top, top + 10.0);
            }
        }
        page
    }

    fn of(lines: &[(f32, &str)]) -> Vec<String> {
        let page = rewrap(layout(&set(lines)));
        page.lines
            .iter()
            .map(|l| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" | "))
            .collect()
    }

    #[test]
    fn numbers_of_the_laboratory_over_names_are_a_line_of_their_own() {
        let lines = |above: &str| {
            of(&[
                (0.0, &format!("                          {above}    {above}")),
                (5.0, "Method   Test    Unit"),
                (10.0, "                          Mill     Weir"),
                (30.0, "Olsen    P       mg/kg    12       18"),
            ])
            .len()
        };
        assert_eq!((lines("95201"), lines("Upper")), (4, 2));
    }

    #[test]
    fn a_value_beside_the_end_of_a_wrapped_name_is_that_names() {
        let of = |up: &str, down: &str| {
            of(&[
                (0.0, &format!("                          {up}")),
                (5.0, "pH (KCl)      6,9"),
                (10.0, &format!("                          {down}")),
                (30.0, "Sodium        14          Calcium               1137"),
            ])
        };
        let joined = of("Organic matter (loss on", "ignition)                   2,3");
        assert_eq!(joined[0], "pH (KCl) | 6,9 | Organic matter (loss on ignition) | 2,3");
        // A name with a value of its own, and one that closes no bracket, are rows.
        assert_eq!(of("Organic matter (loss on 4,1", "ignition)                   2,3").len(), 4);
        assert_eq!(of("Organic matter (ash)", "Clay (fine)                 2,3").len(), 4);
    }

    #[test]
    fn ratings_under_values_leave_these_in_the_row_of_their_name() {
        let lines = of(&[
            (0.0, "                1.6       17         190"),
            (5.0, "Gorse   4411                               6.4"),
            (10.0, "                L         H          VH"),
            (30.0, "                2.6       11         155"),
            (35.0, "Thrift  4412                               6.1"),
            (40.0, "                M         12         H"),
        ]);
        assert_eq!(lines[0], "Gorse | 4411 | 1.6 | 17 | 190 | 6.4");
        assert_eq!(lines[2..].len(), 3, "a figure below is no rating");
    }

    #[test]
    fn a_name_half_a_line_above_and_below_its_values_is_one_name() {
        let lines = of(&[
            (0.0, "               Gorse                Thrift"),
            (6.0, "Sample name              Ridge 9"),
            (12.0, "               paddock              block"),
            (40.0, "Organic"),
            (46.0, "               1.6       1.7        1.9"),
            (52.0, "carbon"),
            (70.0, "Zinc           5.1       3.6        5.8"),
        ]);
        let numbered = of(&[
            (0.0, "               Gorse     Thrift"),
            (6.0, "Sample"),
            (12.0, "               QX7001    QX7002"),
        ]);
        assert_eq!(numbered.len(), 3, "{numbered:?}");
        let heading = of(&[
            (0.0, "               Organic   Bray"),
            (6.0, "Sample"),
            (12.0, "               matter    P1"),
        ]);
        assert_eq!(heading.len(), 3, "{heading:?}");
        assert_eq!(lines[0], "Sample name | Gorse paddock | Ridge 9 | Thrift block");
        assert_eq!(lines[1], "Organic carbon | 1.6 | 1.7 | 1.9");
        assert_eq!(lines.len(), 3);
    }

    #[test]
    fn a_name_of_three_lines_is_one_and_lines_of_even_distance_are_three() {
        let tall = of(&[
            (0.0, "Zinc           5.1       3.6"),
            (20.0, "Exchangeable"),
            (32.0, "sodium         1.1       0.8"),
            (44.0, "percentage"),
            (64.0, "Copper         1.1       2.5"),
        ]);
        assert_eq!(tall[1], "Exchangeable sodium percentage | 1.1 | 0.8");
        let even = of(&[
            (0.0, "Zinc           5.1       3.6"),
            (12.0, "Exchangeable"),
            (24.0, "sodium         1.1       0.8"),
            (36.0, "percentage"),
            (48.0, "Copper         1.1       2.5"),
        ]);
        assert_eq!(even.len(), 5, "{even:?}");
    }

    #[test]
    fn a_bracket_and_a_unit_that_break_off_are_ended_by_the_line_below() {
        let lines = of(&[
            (0.0, "Zinc (DTPA)    3.4 ppm"),
            (20.0, "CEC (by     7.9 meq/100"),
            (32.0, "summation)            g"),
            (52.0, "pH             5.1"),
        ]);
        assert_eq!(lines[1], "CEC (by summation) | 7.9 meq/100 g");
    }

    #[test]
    fn two_columns_of_text_stay_apart() {
        let lines = of(&[
            (0.0, "                  Report no. 12"),
            (6.0, "Prepared for Ada"),
            (12.0, "                  Lab no. 13"),
            (18.0, "Larkspur Loop"),
            (24.0, "                  Sample Moss"),
        ]);
        assert_eq!(lines.len(), 5, "{lines:?}");
    }

    #[test]
    fn a_figure_in_the_bracket_of_a_name_is_an_end_of_it() {
        let found = of(&[
            (0.0, "Clay                      26     %"),
            (20.0, "Matière organique (C x"),
            (26.0, "                          29,2   g/kg"),
            (33.0, "1,72)"),
            (53.0, "Sand                      37     %"),
        ]);
        assert_eq!(found.get(1).map(String::as_str), Some("Matière organique (C x 1,72) | 29,2 | g/kg"));
        let other = of(&[
            (0.0, "Clay                      26     %"),
            (20.0, "Quibbled matter (C x"),
            (26.0, "                          29,2   g/kg"),
            (33.0, "1,72)"),
        ]);
        assert_eq!(other.len(), 4, "{other:?}");
    }
}
