//! Headings that span several columns without a rule to say which: a unit printed once under a group, a group's name
//! over its middle. Each such line is cut into runs of neighbouring columns whose middles lie under its phrases.

use super::band::Leaf;
use super::label::Label;
use super::layout::Phrase;
use super::units::{Rule, conversion};
use super::vocabulary::{Context, Role};
use super::words::List;
use crate::place::Rect;
use crate::soil::{Analyte, Unit};

/// One printed line of spanning phrases.
pub type SpanLine = Vec<Phrase>;

/// Takes lines of few units or groups out of a heading; what remains is stacked word over word.
pub fn set_apart(phrases: Vec<Phrase>, cells: bool, context: Context) -> (Vec<Phrase>, Vec<SpanLine>) {
    let mut lines: Vec<Vec<Phrase>> = Vec::new();
    for phrase in phrases {
        let same = lines.iter_mut().find(|l| {
            l.first().is_some_and(|p| {
                p.area.overlap_y(&phrase.area) > 0.6 * p.area.height().min(phrase.area.height())
            })
        });
        match same {
            Some(line) => line.push(phrase),
            None => lines.push(vec![phrase]),
        }
    }
    let most = lines.iter().map(Vec::len).max().unwrap_or(0);
    // `saturation` over `extract` is a paste, and no share.
    let ends: Vec<Rect> = lines
        .iter()
        .flatten()
        .filter(|p| {
            let first = p.text().to_lowercase();
            ["extract", "paste", "percentage"].iter().any(|w| first.starts_with(w))
        })
        .map(|p| p.area)
        .collect();
    let paste = |p: &Phrase| {
        p.text().to_lowercase().trim_end_matches('.').starts_with("saturat")
            && ends.iter().any(|e| e.y0 > p.area.y0 + 1.0 && e.overlap_x(&p.area) > 0.0)
    };
    let mut keep = Vec::new();
    let mut spans = Vec::new();
    for line in lines {
        let few = line.len() * 3 <= most * 2 && line.len() < most;
        // A unit in a cell of its own is its column's; only paper sets one under the middle of several.
        let own = cells && line.iter().any(|p| is_bare_unit(&p.label(context), p.text()));
        let all = line.iter().map(|p| p.label(context)).all(|l| is_group(&l) || is_silent(&l));
        let line_of_groups = all && line.len() > 1;
        // Among other words (a name set in the middle of two lines) only what names a group by more than a unit.
        let spanning = |p: &Phrase| {
            let l = p.label(context);
            !paste(p)
                && (is_group(&l) || is_silent(&l) && line_of_groups)
                && (all || l.saturation || l.unit.is_some() && !l.methods.is_empty())
        };
        if few && most > 4 && !own {
            let (mut over, rest): (Vec<Phrase>, Vec<Phrase>) = line.into_iter().partition(|p| spanning(p));
            over.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
            keep.extend(rest);
            if !over.is_empty() {
                spans.push(over);
            }
        } else {
            keep.extend(line);
        }
    }
    (keep, spans)
}

/// A phrase of units or methods alone, that names no column by itself.
fn is_group(l: &Label) -> bool {
    l.analyte.is_none()
        && l.field.is_none()
        && matches!(l.role, None | Some(Role::Method))
        && !l.decoy
        && !l.other
        && (l.unit.is_some() || l.saturation)
}

/// `Index`, `Lime requirement t/ha` over several columns: none of these holds a result.
fn is_silent(l: &Label) -> bool {
    let never = l
        .unit
        .as_ref()
        .is_some_and(|u| conversion(u.0, Unit::MgPerKg).is_some_and(|c| c.rule == Rule::Never));
    l.analyte.is_none() && l.field.is_none() && l.role.is_none() && !l.rating && (l.decoy || never)
}

fn is_bare_unit(l: &Label, text: &str) -> bool {
    let letters = |t: &str| t.chars().filter(|c| c.is_alphanumeric()).count();
    l.unit.as_ref().is_some_and(|(_, unit)| letters(unit) >= letters(text)) && !l.saturation
}

/// Words that no heading of a group is known to hold.
fn is_strange(word: &str) -> bool {
    let bare = word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
    bare.chars().count() >= LEAST_LETTERS
        && ![List::Group, List::Rank, List::Title, List::Filler, List::Procedure, List::Kind]
            .iter()
            .any(|list| list.has(&bare))
}

/// Shorter words are signs.
const LEAST_LETTERS: usize = 4;

/// A nutrient whose own heading does not tell how it was taken out.
fn is_of_an_extract(own: &Label) -> bool {
    own.is_result() && own.methods.is_empty() && own.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg)
}

/// Gives each column the phrase that spans it. In a table file a phrase stands over its columns and no others.
pub fn apply(leaves: &mut [Leaf], spans: &[SpanLine], cells: bool, context: Context) {
    for line in spans {
        let labels: Vec<Label> = line.iter().map(|p| p.label(context)).collect();
        let mut assigned = assign(leaves, line, &labels);
        assigned.retain(|(column, phrase)| {
            let over = leaves.get(*column).zip(line.get(*phrase));
            !cells || over.is_some_and(|(leaf, p)| leaf.area.overlap_x(&p.area) > 0.0)
        });
        // A unit right under a column that is no nutrient (`g/kg` under organic matter) is that column's alone.
        for (j, phrase) in line.iter().enumerate() {
            let under: Vec<usize> = leaves
                .iter()
                .enumerate()
                .filter(|(_, l)| l.area.overlap_x(&phrase.area) > 0.0)
                .map(|(i, _)| i)
                .collect();
            let unit = labels.get(j).is_some_and(|l| l.unit.is_some() && !l.saturation);
            if let [one] = under.as_slice()
                && unit
                && leaves.get(*one).is_some_and(|l| {
                    l.label.is_result()
                        && l.label.analyte.is_some_and(|a| a.unit() != Unit::MgPerKg && !a.is_share())
                })
            {
                assigned.retain(|(i, p)| *p != j || i == one);
            }
        }
        let doubtful = out_of_place(leaves, line, &labels, &assigned);
        // `Quibblate, ppm` beside `DTPA, ppm` is perhaps an extract too.
        let extracts = labels.iter().any(|l| !l.methods.is_empty());
        for (column, phrase) in assigned {
            if let (Some(leaf), Some(l), Some(p)) =
                (leaves.get_mut(column), labels.get(phrase), line.get(phrase))
            {
                leaf.marks.extend(p.marks.iter().cloned());
                if is_silent(l) {
                    leaf.label.decoy = true;
                    continue;
                }
                // `mg/dm3 mmol/kg kg-1` is the units of several columns, and nobody knows which is whose.
                if l.unit.is_some() && l.unknown.iter().any(|w| w.contains(['/', '-'])) {
                    leaf.label.unknown.push("which unit".to_owned());
                }
                if extracts
                    && l.methods.is_empty()
                    && l.unknown.iter().any(|w| is_strange(w))
                    && is_of_an_extract(&leaf.label)
                {
                    leaf.label.unknown.push("words over it".to_owned());
                }
                leaf.label = leaf.label.clone().under(l);
                if leaf.label.unit.is_none() {
                    leaf.label.unit.clone_from(&l.unit);
                }
            }
        }
        for i in doubtful {
            if let Some(leaf) = leaves.get_mut(i) {
                leaf.label.unknown.push("which unit".to_owned());
            }
        }
    }
}

/// Columns whose unit is not sure: a unit stands over this column alone and went to others, or a run of columns does
/// not lie under the middle of the unit that it took.
fn out_of_place(
    leaves: &[Leaf],
    line: &[Phrase],
    labels: &[Label],
    assigned: &[(usize, usize)],
) -> Vec<usize> {
    let mut out = Vec::new();
    for (j, (phrase, l)) in line.iter().zip(labels).enumerate() {
        if l.unit.is_none() && !l.saturation {
            continue;
        }
        let under = |leaf: &&Leaf| leaf.area.overlap_x(&phrase.area) > 0.0;
        let over: Vec<usize> =
            leaves.iter().enumerate().filter(|(_, leaf)| under(leaf)).map(|(i, _)| i).collect();
        if let [one] = over.as_slice()
            && !assigned.contains(&(*one, j))
            && leaves.get(*one).is_some_and(|leaf| {
                leaf.label.is_result()
                    && leaf.label.analyte.is_some_and(|a| a != Analyte::Ph && a != Analyte::BufferPh)
            })
        {
            out.push(*one);
        }
        let run: Vec<usize> = assigned.iter().filter(|(_, p)| *p == j).map(|(i, _)| *i).collect();
        let area = run.iter().filter_map(|i| leaves.get(*i)).map(|l| l.area).reduce(|a, b| a.union(&b));
        if area.is_some_and(|a| (a.mid_x() - phrase.area.mid_x()).abs() > 0.5 * phrase.area.width()) {
            out.extend(run.iter().filter(|i| !over.contains(i)));
        }
        // Under one column alone, and set at its edge, it is likely that column's; charges reach no further unseen.
        let one = over.first().copied();
        if let (true, Some((unit, _))) = (over.len() <= 1, &l.unit)
            && one.is_none_or(|one| assigned.contains(&(one, j)))
            && run.len() > 1
        {
            let edge = |own: Rect| {
                (own.x0 - phrase.area.x0).abs() < BETTER || (own.x1 - phrase.area.x1).abs() < BETTER
            };
            let at_edge = one.and_then(|one| leaves.get(one)).is_some_and(|leaf| edge(leaf.area))
                && area.is_some_and(|a| (a.mid_x() - phrase.area.mid_x()).abs() > BETTER);
            let charge = |i: &usize| {
                let analyte = leaves.get(*i).and_then(|leaf| leaf.label.analyte);
                analyte.and_then(|a| conversion(unit, a.unit())).is_some_and(|c| c.rule == Rule::Charge)
            };
            out.extend(run.iter().filter(|i| Some(**i) != one && (at_edge || charge(i))));
        }
        out.extend(too_many(leaves, phrase, run, &over));
    }
    out.sort_unstable();
    out.dedup();
    out
}

/// Columns at the end of a run without which it would lie better under its phrase, and over which no word of it stands.
fn too_many(leaves: &[Leaf], phrase: &Phrase, mut run: Vec<usize>, over: &[usize]) -> Vec<usize> {
    let mut out = Vec::new();
    let off = |run: &[usize]| {
        let area = run.iter().filter_map(|i| leaves.get(*i)).map(|l| l.area).reduce(|a, b| a.union(&b));
        area.map_or(f32::INFINITY, |a| (a.mid_x() - phrase.area.mid_x()).abs())
    };
    while let (Some((first, after)), Some((last, before))) = (run.split_first(), run.split_last()) {
        let without = [(*first, after), (*last, before)]
            .into_iter()
            .filter(|(end, rest)| !over.contains(end) && off(rest) + BETTER < off(&run))
            .min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
        let Some((end, rest)) = without.map(|(end, rest)| (end, rest.to_vec())) else { break };
        out.push(end);
        run = rest;
    }
    out
}

/// How much better, in points, a run must lie to be the likelier one.
const BETTER: f32 = 2.0;

/// A column can take a phrase's unit only where the unit can measure it.
fn takes(leaf: &Leaf, l: &Label) -> bool {
    if is_silent(l) {
        return leaf.label.field.is_none() && leaf.label.unit.is_none();
    }
    let unit = match &l.unit {
        Some((unit, _)) => *unit,
        None if l.saturation => "%",
        None => return false,
    };
    // A column that nothing names may be the one the unit belongs to.
    let Some(analyte) = leaf.label.analyte else { return leaf.label.field.is_none() && !leaf.label.rating };
    // Shares are of cations, and an amount is none.
    let share_of = analyte == Analyte::Acidity || analyte.saturation().is_some() || analyte.is_share();
    let extract = leaf.label.methods.iter().any(Option::is_some);
    if l.saturation && (!share_of || extract || leaf.label.unit.as_ref().is_some_and(|u| u.0 != "%")) {
        return false;
    }
    let share = leaf.label.clone().under(l).analyte.unwrap_or(analyte);
    conversion(unit, share.unit())
        .is_some_and(|c| !matches!(c.rule, Rule::Never | Rule::Unusual | Rule::Hold))
        || (unit == "%" && analyte.saturation().is_some())
}

/// Cost, in points, of a column that takes no phrase though it could.
const LEFT_OUT: f32 = 40.0;

/// Runs of neighbouring columns for the phrases from left to right, so that the middle of each run lies under the
/// middle of its phrase.
fn assign(leaves: &[Leaf], line: &[Phrase], labels: &[Label]) -> Vec<(usize, usize)> {
    let n = leaves.len();
    let mut best: Vec<Vec<Option<(f32, Vec<(usize, usize)>)>>> = vec![vec![None; line.len() + 1]; n + 1];
    let first = |table: &mut Vec<Vec<Option<(f32, Vec<(usize, usize)>)>>>,
                 i: usize,
                 j: usize,
                 cost: f32,
                 path: Vec<(usize, usize)>| {
        if let Some(slot) = table.get_mut(i).and_then(|row| row.get_mut(j))
            && slot.as_ref().is_none_or(|(c, _)| cost < *c)
        {
            *slot = Some((cost, path));
        }
    };
    first(&mut best, 0, 0, 0.0, Vec::new());
    for i in 0..=n {
        for j in 0..=line.len() {
            let Some((cost, path)) = best.get(i).and_then(|r| r.get(j)).cloned().flatten() else { continue };
            if let Some(leaf) = leaves.get(i) {
                let could =
                    labels.iter().any(|l| !is_silent(l) && takes(leaf, l)) && leaf.label.unit.is_none();
                first(&mut best, i + 1, j, cost + if could { LEFT_OUT } else { 0.0 }, path.clone());
            }
            let (Some(phrase), Some(l)) = (line.get(j), labels.get(j)) else { continue };
            let mut area: Option<Rect> = None;
            let mut run = path.clone();
            let share = |leaf: &Leaf| leaf.label.clone().under(l).analyte;
            for k in i..n {
                let Some(leaf) = leaves.get(k).filter(|leaf| takes(leaf, l)) else { break };
                // No cation has two shares: the second is an amount beside them.
                if l.saturation
                    && leaves.get(i..k).unwrap_or_default().iter().any(|a| share(a) == share(leaf))
                {
                    break;
                }
                area = Some(area.map_or(leaf.area, |a| a.union(&leaf.area)));
                run.push((k, j));
                let off = area.map_or(f32::INFINITY, |a| (a.mid_x() - phrase.area.mid_x()).abs());
                first(&mut best, k + 1, j + 1, cost + off, run.clone());
            }
        }
    }
    best.get(n)
        .and_then(|row| row.get(line.len()))
        .cloned()
        .flatten()
        .map(|(_, path)| path)
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::super::band::bands;
    use super::super::layout::{layout, tests::typed};
    use super::super::number::Decimal;
    use super::*;

    #[test]
    fn a_heading_of_shares_takes_no_cation_twice_and_is_unsure_of_one_beside_its_middle() {
        let page = layout(&typed(&[
            "                                % Saturation",
            "Sample   pH     OM     Na   K     H    Mg   Ca    Ca       K",
            "Moss     8.0    3.0    31                         4702     170",
            "Fern     6.5    3.1         4.3   8    15   72    1646     193",
        ]));
        let context = Context { symbols: true, capitals: false };
        let found = bands(&page, context, Decimal::Point);
        let leaves = &found.first().unwrap().leaves;
        let of = |analyte| leaves.iter().filter(|l| l.label.analyte == Some(analyte)).collect::<Vec<_>>();
        assert_eq!((of(Analyte::Calcium).len(), of(Analyte::SatCa).len()), (1, 1), "{leaves:?}");
        assert_eq!((of(Analyte::Potassium).len(), of(Analyte::SatK).len()), (1, 1), "{leaves:?}");
        assert!(of(Analyte::SatNa).iter().all(|l| !l.label.unknown.is_empty()), "{leaves:?}");
    }

    #[test]
    fn a_unit_of_charges_over_no_column_is_sure_for_none() {
        let page = layout(&typed(&[
            "Sample   Number   pH     OM      K        Na        H",
            "                                              meq/100 g",
            "Moss     614      6.2    3.1     120      73        0.7",
        ]));
        let found = bands(&page, Context { symbols: true, capitals: false }, Decimal::Point);
        let sodium = found[0].leaves.iter().find(|l| l.label.analyte == Some(Analyte::Sodium)).unwrap();
        assert!(sodium.label.unit.is_none() || !sodium.label.unknown.is_empty(), "{sodium:?}");
    }

    #[test]
    fn a_unit_at_the_edge_of_one_column_is_not_its_neighbours() {
        let page = layout(&typed(&[
            "Sample   Number   Depth   Ca       Mg       M3-Na     Nitrate",
            "ID                        (AA)     (M3)               Nitrogen",
            "                                            mmol/kg",
            "Moss     614      0-6     3656     193      2.7       18.5",
        ]));
        let found = bands(&page, Context { symbols: true, capitals: false }, Decimal::Point);
        let of = |analyte| found[0].leaves.iter().find(|l| l.label.analyte == Some(analyte)).unwrap();
        let magnesium = of(Analyte::Magnesium);
        assert!(magnesium.label.unit.is_none() || !magnesium.label.unknown.is_empty(), "{magnesium:?}");
        assert_eq!(of(Analyte::Sodium).label.unit.as_ref().map(|u| u.0), Some("mmol/kg"));
    }

    #[test]
    fn the_units_of_several_columns_set_as_one_are_sure_for_none() {
        let page = layout(&typed(&[
            "Sample   pH     OM      K         Ca        Mg       Na",
            "                mg/dm3 mmol/kg kg-1         mg/dm3",
            "Moss     6.2    3.1     7.9       1902      260      34",
        ]));
        let found = bands(&page, Context { symbols: true, capitals: false }, Decimal::Point);
        let potassium = found[0].leaves.iter().find(|l| l.label.analyte == Some(Analyte::Potassium)).unwrap();
        assert!(potassium.label.unit.is_none() || !potassium.label.unknown.is_empty(), "{potassium:?}");
    }

    #[test]
    fn an_index_over_columns_silences_these_and_no_others() {
        let page = layout(&typed(&[
            "                      Index       mg/l (available)     Lime t/ha",
            "Field      Soil pH   P   K   Mg    P     K     Mg      Arable  Grass",
            "Middle     6.4       2   3   3     18.2  141   126     7.0     4.0",
        ]));
        let found = bands(&page, Context { symbols: true, capitals: false }, Decimal::Point);
        let read: Vec<(bool, Option<&str>)> = found[0].leaves[1..8]
            .iter()
            .map(|l| (l.label.is_result(), l.label.unit.as_ref().map(|u| u.0)))
            .collect();
        assert_eq!(read[0], (true, None));
        assert!(read[1..4].iter().all(|(result, _)| !result), "{read:?}");
        assert!(read[4..].iter().all(|r| *r == (true, Some("mg/L"))), "{read:?}");
    }

    #[test]
    fn a_unit_printed_once_reaches_its_whole_group_and_no_further() {
        let page = layout(&typed(&[
            "Area    Soil pH   O.M.     P     K     Ca     Mg    Capacity   K     Ca    Mg    Salts",
            "                    %                ppm            meq/100 g       %           mmho/cm",
            "Plot 1  6.5       3.0      11    215   1474   183   10.8       5.3   70.5  14.5  0.2",
        ]));
        let found = bands(&page, Context { symbols: true, capitals: false }, Decimal::Point);
        let units: Vec<(String, Option<&str>)> = found[0]
            .leaves
            .iter()
            .filter(|l| l.label.analyte.is_some())
            .map(|l| (l.label.analyte.unwrap().id().to_owned(), l.label.unit.as_ref().map(|u| u.0)))
            .collect();
        for (name, unit) in [
            ("phosphorus", "mg/kg"),
            ("potassium", "mg/kg"),
            ("magnesium", "mg/kg"),
            ("sat_k", "%"),
            ("sat_mg", "%"),
            ("soluble_salts", "dS/m"),
        ] {
            assert!(units.contains(&(name.to_owned(), Some(unit))), "{name}: {units:?}");
        }
        assert!(units.contains(&("ph".to_owned(), None)));
    }

    #[test]
    fn a_unit_over_one_column_that_went_to_others_leaves_both_unsure() {
        let page =
            layout(&typed(&["pH     K      Ca     Mg     CEC", "                             mmolc/kg"]));
        let context = Context { symbols: true, capitals: false };
        let leaves: Vec<Leaf> = page.lines[0]
            .phrases
            .iter()
            .map(|p| Leaf {
                area: p.area,
                text: p.text().to_owned(),
                label: p.label(context),
                marks: Vec::new(),
            })
            .collect();
        let line = page.lines[1].phrases.clone();
        let labels: Vec<Label> = line.iter().map(|p| p.label(context)).collect();
        assert!(out_of_place(&leaves, &line, &labels, &[(4, 0)]).is_empty());
        assert_eq!(out_of_place(&leaves, &line, &labels, &[]), [4]);
        assert_eq!(out_of_place(&leaves, &line, &labels, &[(1, 0), (2, 0), (3, 0), (4, 0)]), [1, 2, 3]);
    }
}
