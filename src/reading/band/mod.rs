//! Finds the heading bands of tables and makes one leaf a column out of stacked, spanned or turned words.

mod apart;
mod beneath;
mod days;
mod doubts;
mod grow;
mod leaves;
mod opened;
mod reach;
mod repeats;
mod spread;
mod titled;
mod told;

use super::fold::pieces;
use super::former::earlier;
use super::header::is_name_beside_number;
use super::label::{Label, label};
use super::layout::{Layout, Line, Phrase};
use super::number::Decimal;
use super::vocabulary::{Context, Meaning, Role, hits_where};
use super::words::List;
use crate::place::Rect;
use crate::soil::{Analyte, Method, Unit};
pub use apart::word_space;
use apart::{Part, goes_on, parts, shouted};
pub use doubts::SECOND;
use grow::{NEAR, TIGHT, figures, grow, is_seed, numbers, one_heading};
use leaves::leaves;
pub use titled::behind_number;
use titled::is_title_of_a_table;

/// One column of a heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaf {
    /// The box around its words.
    pub area: Rect,
    /// Its own words, top to bottom.
    pub text: String,
    /// What they say, group headings included.
    pub label: Label,
    /// Footnote marks beside them or their group.
    pub marks: Vec<String>,
}

/// A heading band over a table whose rows are samples (or results, for a long table).
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// First line of the band.
    pub first: usize,
    /// One past its last line.
    pub end: usize,
    /// Columns from left to right.
    pub leaves: Vec<Leaf>,
    /// A method that a caption right above names for the table.
    pub caption: Option<Method>,
}

impl Band {
    /// Columns that name a measurement.
    pub fn results(&self) -> usize {
        self.leaves.iter().filter(|l| l.label.is_result()).count()
    }

    /// True where every column of results is a share of the exchange complex.
    fn of_shares(&self) -> bool {
        let mut results = self.leaves.iter().filter(|l| l.label.is_result()).peekable();
        results.peek().is_some() && results.all(|l| l.label.analyte.is_some_and(Analyte::is_share))
    }

    /// True where a line of several phrases right above its first line stands over its columns and is no part of it.
    pub fn unread_above(&self, page: &Layout, decimal: Decimal) -> bool {
        let Some(at) = self.first.checked_sub(1).filter(|_| !page.cells) else { return false };
        let (Some(line), Some(own)) = (page.lines.get(at), page.lines.get(self.first)) else { return false };
        let gap = own.area.y0 - line.area.y1;
        let tight = gap < TIGHT * page.em;
        let field = line.phrases.iter().any(|p| p.text().contains(':'))
            || days::tells_days(line)
            || names_its_sample(page, line);
        let over = |p: &Phrase| self.leaves.iter().any(|l| !l.label.decoy && l.area.overlap_x(&p.area) > 0.0);
        // A lone phrase counts where it is a group of shares or units; else it is a title.
        let group = |p: &Phrase| {
            let said = p.label(Context { symbols: false, capitals: false });
            // A title of shares over columns that are shares by their own names tells nothing more.
            let told = said.saturation && said.unit.is_none() && said.methods.is_empty() && self.of_shares();
            !told && (said.saturation || said.unit.is_some() && said.unknown.is_empty())
        };
        if let [title] = line.phrases.as_slice()
            && told::told(title.text(), &self.leaves).is_some()
        {
            return false;
        }
        let heading = line.phrases.len() > 1 || line.phrases.iter().any(|p| group(p) && !self.is_titled(p));
        let strange = gap < NEAR * page.em && line.phrases.iter().all(|p| self.is_strange_group(page, p));
        !field
            && (tight && heading || strange)
            && line.phrases.iter().any(over)
            && figures(page, &(self.first..self.end), at, decimal) * 3 <= line.phrases.len()
    }

    /// Words that say what nobody knows, or name an extract, over columns of results and no others: a title of the table
    /// stands at its left edge, or over the middle of the whole table or of the page.
    fn is_strange_group(&self, page: &Layout, phrase: &Phrase) -> bool {
        let said = phrase.label(Context { symbols: false, capitals: false });
        let over = || self.leaves.iter().filter(|l| l.area.overlap_x(&phrase.area) > 0.0);
        let whole = |leaves: &mut dyn Iterator<Item = Rect>| leaves.reduce(|a, b| a.union(&b));
        let middles =
            [whole(&mut self.leaves.iter().map(|l| l.area)), whole(&mut page.lines.iter().map(|l| l.area))];
        let centred = |area: &Rect| (area.mid_x() - phrase.area.mid_x()).abs() < page.em;
        (!said.unknown.is_empty() || !said.methods.is_empty())
            && said.field.is_none()
            && over().count() > 1
            && over().all(|l| l.label.is_result() && l.label.methods.is_empty())
            && !middles.iter().flatten().any(centred)
    }

    /// `Saturation and micronutrients` from the left edge of the names on, over columns that all say their own unit: the
    /// title of the table, and no group of its columns.
    fn is_titled(&self, phrase: &Phrase) -> bool {
        let unit = |l: &Leaf| l.label.unit.is_some() || l.label.analyte.is_none_or(|a| a.unit() == Unit::One);
        let left = self.leaves.iter().min_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
        let over_names = left.is_some_and(|l| l.label.field.is_some() && phrase.area.x0 <= l.area.x0);
        over_names && self.leaves.iter().filter(|l| l.label.is_result()).all(unit)
    }

    /// True for a table of one result a row: a column of names and a column of results.
    pub fn long(&self) -> bool {
        let has = |role| {
            let of = |l: &Leaf| l.label.role == Some(role) && l.label.analyte.is_none();
            self.leaves.iter().any(|l| of(l) && !earlier(&l.text))
        };
        has(Role::Analyte) && has(Role::Result)
    }
}

/// The bands of a page, top to bottom.
pub fn bands(page: &Layout, context: Context, decimal: Decimal) -> Vec<Band> {
    let space = if page.cells { f32::INFINITY } else { word_space(page) };
    let lines: Vec<Vec<Part>> =
        page.lines.iter().enumerate().map(|(i, l)| parts(l, &goes_on(page, i), space, context)).collect();
    let mut out: Vec<Band> = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        if is_seed(page, &lines, at, decimal) {
            let first = out.last().map_or(0, |b| b.end);
            let mut band = grow(page, &lines, at, first, context, decimal);
            if let Some(upper) = out.pop_if(|upper| one_heading(page, upper, &band)) {
                band = whole(page, &lines, upper.first, band.end, band.first, context);
            }
            at = band.end;
            out.push(band);
        } else {
            at += 1;
        }
    }
    out.iter_mut().for_each(|band| told_above(page, band));
    out.extend(turned_band(page, context, decimal, &out));
    out.sort_by_key(|b| b.first);
    out
}

/// Gives columns the units that the title right above them tells of each.
fn told_above(page: &Layout, band: &mut Band) {
    let above = band.first.checked_sub(1).and_then(|at| page.lines.get(at));
    let Some([title]) = above.map(|line| line.phrases.as_slice()) else { return };
    let gap = page.lines.get(band.first).map_or(0.0, |own| own.area.y0 - title.area.y1);
    let Some(units) = told::told(title.text(), &band.leaves).filter(|_| gap < NEAR * page.em) else {
        return;
    };
    for (leaf, unit) in band.leaves.iter_mut().zip(units) {
        if unit.is_some() {
            leaf.label.unit = unit;
        }
    }
}

/// The band of these lines.
fn whole(
    page: &Layout,
    lines: &[Vec<Part>],
    first: usize,
    end: usize,
    seed: usize,
    context: Context,
) -> Band {
    let own = |i: &usize| !grow::is_row_of_limits(page, *i);
    let phrases: Vec<Phrase> =
        (first..end).filter(own).filter_map(|i| lines.get(i)).flatten().map(|p| p.phrase.clone()).collect();
    let context = page.lines.get(seed).map_or(context, |l| shouted(l, context));
    let mut leaves = leaves(phrases, page.cells, context);
    let caption = caption(page, first, context).filter(|_| over_all(page, first, &leaves));
    if let Some(unit) = caption.as_ref().and_then(|c| c.unit.clone()) {
        let small = |w: &String| w.chars().count() <= 2 || List::Kind.has(&w.to_lowercase());
        let whole = caption.as_ref().is_some_and(|c| !c.saturation && c.unknown.iter().all(small));
        captioned(&mut leaves, &unit, &named_in_caption(page, first, context), whole);
    }
    Band { first, end, leaves, caption: caption.and_then(|c| c.method()) }
}

/// A line of one phrase that starts at the left of the table is a caption, no upper line of the heading.
fn is_caption(page: &Layout, at: usize, band: std::ops::Range<usize>) -> bool {
    let heading = page.lines.get(band.clone()).unwrap_or_default();
    let (Some(line), Some(below), Some(own)) =
        (page.lines.get(at), heading.first(), heading.iter().map(|l| l.area).reduce(|a, b| a.union(&b)))
    else {
        return false;
    };
    // `Table 2. Extractant: Mehlich 3.   pH in water` tells of the table in several columns, `Moss   Lab 318-02` of its sample.
    if is_title_of_a_table(line) || names_its_sample(page, line) {
        return true;
    }
    let gap = below.area.y0 - line.area.y1;
    // The lines of one heading follow each other at one distance.
    let even = heading.get(1).is_some_and(|next| gap < 1.15 * (next.area.y0 - below.area.y1).max(0.0))
        && gap < TIGHT * page.em;
    // `Lab` set tight over `Sample ID` is the first word of a heading.
    let word = line.phrases.iter().all(|p| {
        let text = p.text();
        !text.contains(' ') && text.chars().count() <= 10
    }) && heading.iter().flat_map(|l| &l.phrases).any(|p| p.area.overlap_x(&line.area) > 0.0)
        && (gap < 0.6 * page.em || even);
    let wide = heading.iter().any(|l| l.phrases.len() > 3);
    line.phrases.len() == 1 && wide && line.area.x0 <= own.x0 + page.em && !word
}

/// `Moss   Lab 318-02` right above a heading.
fn names_its_sample(page: &Layout, line: &Line) -> bool {
    !page.cells && is_name_beside_number(line, Context { symbols: false, capitals: false })
}

/// `Routine tests (Mehlich 3)` right above a heading.
fn caption(page: &Layout, first: usize, context: Context) -> Option<Label> {
    let line = page.lines.get(first.checked_sub(1)?)?;
    let below = page.lines.get(first)?;
    let [phrase] = line.phrases.as_slice() else { return None };
    let text = phrase.text();
    let text = behind_number(text).unwrap_or(text);
    let near = page.cells || below.area.y0 - line.area.y1 < 4.0 * page.em;
    (near && text.split(' ').count() <= 10 && !text.ends_with('.')).then(|| label(text, context))
}

/// What the line above a heading speaks of by name.
fn named_in_caption(page: &Layout, first: usize, context: Context) -> Vec<Analyte> {
    let line = first.checked_sub(1).and_then(|i| page.lines.get(i));
    let text = line.and_then(|l| l.phrases.first()).map(Phrase::text).unwrap_or_default();
    let text = behind_number(text).unwrap_or(text);
    let analyte = |m: &Meaning| matches!(m, Meaning::Analyte(..));
    let hits = hits_where(&pieces(text), context.of(text), &analyte);
    hits.iter().filter_map(|h| if let Meaning::Analyte(a, ..) = h.meaning { Some(a) } else { None }).collect()
}

/// True where the line above begins over the first results: `Fertilizer to apply, lb/acre` over the last columns is of
/// these alone.
fn over_all(page: &Layout, first: usize, leaves: &[Leaf]) -> bool {
    let line = first.checked_sub(1).and_then(|i| page.lines.get(i));
    let results = leaves.iter().filter(|l| l.label.is_result()).map(|l| l.area.x1);
    line.is_some_and(|l| l.area.x0 < results.fold(f32::INFINITY, f32::min))
}

/// `Micronutrients (DTPA), ppm`: the unit of a caption reaches the nutrients without one of their own, where no column
/// of the table is counted in another. `P, K, CA AND MG IN PPM` speaks of no others than it names.
fn captioned(leaves: &mut [Leaf], unit: &(&'static str, String), named: &[Analyte], whole: bool) {
    let by_charge = super::units::conversion(unit.0, Unit::CentimolePerKg).is_some();
    // `Exchange complex (NH4OAc, pH 7), in cmol(+)/kg` tells of the capacity and of what it holds.
    let complex = whole
        && by_charge
        && !named.is_empty()
        && named.iter().all(|a| matches!(a, Analyte::Cec | Analyte::Ph));
    let named = if complex { &[] } else { named };
    let nutrient = |l: &Leaf| {
        let counted = |a: Analyte| a.unit() == Unit::MgPerKg || complex && a == Analyte::Cec;
        l.label.is_result() && l.label.analyte.is_some_and(counted)
    };
    let counted = super::units::conversion(unit.0, Unit::MgPerKg).is_some() && unit.0 != "%";
    if !counted || leaves.iter().any(|l| nutrient(l) && l.label.unit.is_some()) {
        return;
    }
    let meant = |l: &Leaf| named.is_empty() || l.label.analyte.is_some_and(|a| named.contains(&a));
    for leaf in leaves.iter_mut().filter(|l| nutrient(l) && meant(l)) {
        leaf.label.unit = Some(unit.clone());
    }
}

/// Turned headings: at least three that end at the same height, with whatever upright words stand among them.
fn turned_band(page: &Layout, context: Context, decimal: Decimal, others: &[Band]) -> Option<Band> {
    let named = page.turned.iter().filter(|p| p.label(context).analyte.is_some()).count();
    if named < 3 {
        return None;
    }
    let area = page.turned.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
    let inside = |l: &Line| l.area.mid_y() > area.y0 - page.em && l.area.mid_y() < area.y1 + 0.6 * page.em;
    let first = page
        .lines
        .iter()
        .position(inside)
        .or_else(|| page.lines.iter().position(|l| l.area.y0 >= area.y1))?;
    let mut end = page.lines.iter().rposition(inside).map_or(first, |i| i + 1);
    // Their units may stand upright on the line below, beside the names of the first columns.
    let units = |l: &Line| {
        let near = l.area.y0 >= area.y1 - page.em && l.area.y0 - area.y1 < 1.6 * page.em;
        let said = parts(l, &[], word_space(page), context);
        near && numbers(l, decimal) == 0
            && said.iter().all(|p| p.label.known() && p.label.analyte.is_none())
            && said.iter().filter(|p| p.label.unit.is_some()).count() >= 2
    };
    if page.lines.get(end).is_some_and(units) {
        end += 1;
    }
    if others.iter().any(|b| b.first < end.max(first + 1) && first < b.end) {
        return None;
    }
    let upright = page.lines.get(first..end).unwrap_or_default();
    if upright.iter().any(|l| numbers(l, decimal) > 0) {
        return None;
    }
    // Groups are set upright above the turned words, sometimes well above.
    let group = |l: &Line| {
        let near = l.area.y1 <= area.y0 + page.em && area.y0 - l.area.y1 < 5.0 * page.em;
        near && l.phrases.iter().all(|p| {
            let said = p.label(context);
            p.area.x0 >= area.x0 - page.em
                && p.area.x1 <= area.x1 + 4.0 * page.em
                && said.field.is_none()
                && (said.unit.is_some() || said.saturation || !said.methods.is_empty())
        })
    };
    let first =
        (0..first).rev().take_while(|i| page.lines.get(*i).is_some_and(group)).last().unwrap_or(first);
    let upright = page.lines.get(first..end).unwrap_or_default();
    let phrases = page.turned.iter().cloned().chain(upright.iter().flat_map(|l| l.phrases.clone())).collect();
    Some(Band {
        first,
        end,
        leaves: leaves(phrases, page.cells, context),
        caption: caption(page, first, context).and_then(|c| c.method()),
    })
}

#[cfg(test)]
mod tests {
    use super::super::layout::{Token, layout, tests::typed};
    use super::apart::units_apart;
    use super::doubts::{beside_shares, lone_methods, methods_of_others};
    use super::leaves::spread_shares;
    use super::*;

    const CONTEXT: Context = Context { symbols: true, capitals: false };

    #[test]
    fn a_word_of_the_past_is_of_the_name_behind_it_however_close_they_stand() {
        let page = layout(&typed(&[
            "Area   Depth pHw Lime T/A Previous pH %OM STP  K    Ca",
            "",
            "A1     0-6 in  6.5      0         6.7  7.1  59 479 7377",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        let former = |l: &&Leaf| l.text.contains("Previous");
        let leaves: Vec<String> = found.iter().flat_map(|b| &b.leaves).map(|l| l.text.clone()).collect();
        let past = found.iter().flat_map(|b| &b.leaves).find(former);
        assert!(past.is_none_or(|l| l.text.starts_with("Previous pH")), "{leaves:?}");
        assert!(!leaves.iter().any(|text| text == "pH"), "{leaves:?}");
    }

    #[test]
    fn units_set_close_together_are_those_of_their_columns() {
        let texts = |text: &str| {
            let page = layout(&typed(&[text]));
            let apart = page.lines.iter().flat_map(|l| &l.phrases).flat_map(units_apart);
            apart.map(|p| p.text().to_owned()).collect::<Vec<_>>()
        };
        assert_eq!(texts("ppm meq/100 g"), ["ppm", "meq/100 g"]);
        assert_eq!(texts("ppm (mg/kg)"), ["ppm (mg/kg)"]);
        assert_eq!(texts("K ppm"), ["K ppm"]);
        let methods = "two parts of water to one part of soil Walkley-Black Bray P2";
        assert_eq!(
            texts(methods),
            ["two parts of water to one part of soil", "Walkley-Black", "Bray P2"],
            "a method of many words is one all the same"
        );
    }

    #[test]
    fn stacked_words_become_one_column_each() {
        let page = layout(&typed(&[
            "Report number 12",
            "",
            "Sample     Lab    Soil  Buffer  O.M.   P1    K    C.E.C.      %K",
            "ID         No.    pH    pH      %      ppm   ppm  meq/100g    sat.",
            "North 40   614    6.5   6.92    3.0    11    215  10.8        5.3",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        assert_eq!(found.len(), 1);
        let names: Vec<_> = found[0].leaves.iter().filter_map(|l| l.label.analyte).collect();
        assert_eq!(
            names,
            [
                Analyte::Ph,
                Analyte::BufferPh,
                Analyte::OrganicMatter,
                Analyte::Phosphorus,
                Analyte::Potassium,
                Analyte::Cec,
                Analyte::SatK
            ]
        );
        assert_eq!(found[0].leaves[5].label.unit.as_ref().unwrap().0, "mg/kg");
    }

    #[test]
    fn figures_of_names_broken_over_lines_belong_to_the_heading() {
        let page = layout(&typed(&[
            "Report number 12",
            "",
            "Sample    pH         Mehlich    Zn       CEC",
            "ID        (calc.     3 Ca       (M3)     (milliequivalents",
            "          water)     ppm        ppm      per 100 grams)",
            "Tee 1     6.4        1200       3.1      12",
            "Tee 2     6.6        1300       3.3      13",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].first, found[0].end), (1, 4), "{:?}", found[0]);
        assert_eq!(found[0].leaves[2].label.method(), Some(Method::Mehlich3));
    }

    #[test]
    fn the_name_and_number_of_a_sample_right_over_a_heading_are_no_part_of_it() {
        let first = |title: &str| {
            let heading = "pH        OM        P         K         S";
            let row = "6.5       3.4 %     53 ppm    143 ppm   22 ppm";
            let page = layout(&typed(&["Report of soils", "", title, heading, row]));
            let found = bands(&page, CONTEXT, Decimal::Point);
            let texts = found[0].leaves.iter().map(|l| l.text.clone()).collect::<Vec<_>>();
            (texts.join("|"), found[0].unread_above(&page, Decimal::Point))
        };
        let own = ("pH|OM|P|K|S".to_owned(), false);
        assert_eq!(first("Lacrosse                                Lab 318-02"), own);
        assert_eq!(first("Lacrosse                                Lab no. 318-02"), own);
        // What may say how a column was counted stays above it.
        for title in
            ["Soil                                    Sulfate", "Lacrosse                  Lab Hobside"]
        {
            assert_ne!(first(title), own, "{title}");
        }
    }

    #[test]
    fn a_name_under_a_stroke_that_stands_alone_is_another_name() {
        let page = layout(&typed(&[
            "Lab       pH         Klei       CEC        Som",
            "nr.       (KCl)      /          cmol(+) /  /",
            "                     Clay       kg         T-value",
            "                     %                     cmol(+)/kg",
            "S401      6.4        12         11.2       12.4",
            "S402      6.6        13         12.5       13.3",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        let leaves: Vec<&Leaf> = found[0].leaves.iter().filter(|l| l.label.is_result()).collect();
        let said: Vec<_> = leaves.iter().map(|l| (l.label.analyte, l.label.unknown.is_empty())).collect();
        assert_eq!(
            said,
            [Analyte::Ph, Analyte::Clay, Analyte::Cec, Analyte::Cec].map(|a| (Some(a), true)),
            "{leaves:?}"
        );
        assert!(leaves[1..].iter().all(|l| l.label.unit.is_some()), "{leaves:?}");
    }

    #[test]
    fn a_unit_broken_behind_its_stroke_belongs_to_the_heading() {
        let page = layout(&typed(&[
            "Report number 12",
            "",
            "Sample    pH         K          CEC        Zn",
            "ID                              meq/",
            "          1:1        ppm        100 g      ppm",
            "Tee 1     6.4        120        12         3.1",
            "Tee 2     6.6        130        13         3.3",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        assert_eq!(found.iter().map(|b| (b.first, b.end)).collect::<Vec<_>>(), [(1, 4)]);
        let cec = found[0].leaves.iter().find(|l| l.label.analyte == Some(Analyte::Cec)).unwrap();
        assert_eq!(cec.label.unit.as_ref().map(|u| u.0), Some("cmol/kg"), "{cec:?}");
    }

    #[test]
    fn the_number_of_a_table_is_no_nutrient_and_what_stands_behind_it_is_no_heading() {
        let band = |caption: &str| {
            let page = layout(&typed(&[
                "Report number 12",
                "",
                caption,
                "",
                "Sample               pH          Na           S          Zn",
                "Tee 1               6.4           7          13         6.4",
            ]));
            bands(&page, CONTEXT, Decimal::Point).remove(0)
        };
        let of = |band: &Band| band.leaves.iter().filter_map(|l| l.label.unit.as_ref().map(|u| u.0)).count();
        let told = band("Table B. Modified Morgan, all in ppm");
        assert_eq!((of(&told), told.caption), (3, Some(Method::ModifiedMorgan)), "{told:?}");
        let several = band("Table A. Extractant: Modified Morgan.  pH 1:1 water, OM by loss on ignition");
        assert_eq!(several.first, 2, "{several:?}");
    }

    #[test]
    fn a_group_of_a_strange_name_among_groups_of_extracts_is_perhaps_one() {
        let sulfur = |groups: &str| {
            let page = layout(&typed(&[
                groups,
                "Sample ID     pH     Bray-1   Olsen     SO4-S            Zn",
                "NE qtr        6.4      57       22        30             2.5",
            ]));
            let band = bands(&page, CONTEXT, Decimal::Point).remove(0);
            let leaf =
                band.leaves.iter().find(|l| l.label.analyte == Some(Analyte::Sulfur)).cloned().unwrap();
            (leaf.label.method(), leaf.label.unknown.is_empty())
        };
        let over = |group: &str| format!("                     Phosphorus, ppm    {group}   DTPA, ppm");
        assert_eq!(sulfur(&over("Quibblate, ppm")), (None, false));
        assert_eq!(sulfur(&over("Nutrients, ppm")), (None, true));
        assert_eq!(sulfur(&over("CaPO4, ppm    ")), (Some(Method::CalciumPhosphate), true));
    }

    #[test]
    fn the_number_a_sample_had_before_is_none_of_its_own() {
        let field = |heading: &str| {
            let page = layout(&typed(&[
                &format!("Sample     {heading}     pH     K, ppm    Zn, ppm"),
                "Moss       8812                6.4    120       2.1",
            ]));
            bands(&page, CONTEXT, Decimal::Point).remove(0).leaves[1].label.field
        };
        assert_eq!(field("Previous lab no"), None);
        assert!(field("Lab no         ").is_some());
    }

    #[test]
    fn a_line_of_the_heading_that_was_left_out_is_seen() {
        let page = layout(&typed(&[
            "Soil results",
            "",
            "          Frobnicated thing   Quibbled stuff here",
            "Sample    pH         K        Zn",
            "Tee 1     6.4        120      3.1",
        ]));
        let band = bands(&page, CONTEXT, Decimal::Point).remove(0);
        let cut = Band { first: 2, ..band };
        assert!(cut.unread_above(&page, Decimal::Point), "{cut:?}");
    }

    #[test]
    fn in_a_table_file_shares_reach_over_cations_side_by_side_and_no_further() {
        let phrase = |column: f32, y: f32, text: &str| {
            let page = layout(&typed(&[text]));
            let token = Token {
                text: text.into(),
                area: Rect::new(column * 100.0 + 2.0, y, column * 100.0 + 98.0, y + 12.0),
                ..page.lines[0].phrases[0].tokens[0].clone()
            };
            Phrase { area: token.area, tokens: vec![token].into(), marks: Vec::new() }
        };
        let phrases = vec![
            phrase(1.0, 0.0, "Base Saturation, %"),
            phrase(1.0, 20.0, "K"),
            phrase(2.0, 20.0, "Ca"),
            phrase(3.0, 20.0, "H"),
            phrase(4.0, 20.0, "pH"),
            phrase(5.0, 20.0, "K"),
        ];
        assert_eq!(spread_shares(phrases, CONTEXT)[0].area.x1, 398.0);
    }

    #[test]
    fn a_word_of_a_group_that_stands_over_no_column_is_perhaps_a_heading() {
        let phrase = |y: f32, words: &[(&str, f32, f32)]| {
            let page = layout(&typed(&["any"]));
            let token = |(text, x0, x1): &(&str, f32, f32)| Token {
                text: (*text).into(),
                area: Rect::new(*x0, y, *x1, y + 8.0),
                ..page.lines[0].phrases[0].tokens[0].clone()
            };
            let tokens: Vec<Token> = words.iter().map(token).collect();
            let area = tokens.iter().fold(tokens[0].area, |all, t| all.union(&t.area));
            Phrase { tokens: tokens.into(), area, marks: Vec::new() }
        };
        let phrases = vec![
            phrase(0.0, &[("MMP,", 260.0, 300.0)]),
            phrase(0.0, &[("K,", 310.0, 340.0)]),
            phrase(10.0, &[("Salt", 180.0, 203.0)]),
            phrase(10.0, &[("OM,", 234.0, 250.0)]),
            phrase(10.0, &[("per", 263.0, 279.0)]),
            phrase(10.0, &[("kg", 312.0, 320.0), ("per", 324.0, 340.0)]),
            phrase(20.0, &[("pH", 181.0, 192.0)]),
            phrase(20.0, &[("SMP", 210.0, 226.0), ("cent", 230.0, 248.0), ("hectare", 270.0, 345.0)]),
        ];
        let found = leaves(phrases, false, CONTEXT);
        let own = found.iter().find(|l| l.area.x0 == 210.0).map(|l| (l.text.as_str(), l.label.unknown.len()));
        assert_eq!(own, Some(("SMP", 1)), "{found:?}");
    }

    #[test]
    fn a_word_between_a_capacity_and_the_next_column_may_say_how_it_was_found() {
        let unsure_under = |over: &str, heading: &str| {
            let page = layout(&typed(&[over, heading, "Tee 1     6.4   9.6         310"]));
            let band = bands(&page, CONTEXT, Decimal::Point).remove(0);
            let cec = band.leaves.iter().find(|l| l.label.analyte == Some(Analyte::Cec)).unwrap();
            !cec.label.unknown.is_empty()
        };
        let unsure = |heading: &str| unsure_under("", heading);
        assert!(unsure_under("                Estimated exchangeable", "Sample    pH    CEC         K, ppm"));
        assert!(unsure("Sample    pH    CEC  calc   K, ppm"));
        assert!(unsure("Sample    pH    CEC         Estimated K, ppm"));
        assert!(!unsure("Sample    pH    CEC         Estimated N release"));
        assert!(!unsure("Sample    pH    CEC         K, ppm"));
    }

    #[test]
    fn what_is_wished_for_and_what_may_be_a_share_are_no_sure_results() {
        let of = |lines: &[&str]| bands(&layout(&typed(lines)), CONTEXT, Decimal::Point).remove(0).leaves;
        let leaves = of(&["Bed    pH   pH Optimum    Zinc    Copper Optimum", "Moss   6.5  > 6.2    2    3"]);
        let at = |analyte| leaves.iter().filter(move |l| l.label.analyte == Some(analyte));
        assert_eq!(at(Analyte::Ph).map(|l| l.label.is_result()).collect::<Vec<_>>(), [true, false]);
        assert!(at(Analyte::Copper).all(|l| !l.label.unknown.is_empty() || !l.label.is_result()));

        let mut leaves = of(&["Bed    pH    K    Zinc", "Moss   6.5   4.4  2"]);
        let share = Leaf { text: "Ca".to_owned(), ..leaves[1].clone() };
        leaves.insert(
            3,
            Leaf {
                label: super::super::label::Understood {
                    analyte: Some(Analyte::SatCa),
                    ..Default::default()
                }
                .into(),
                ..share
            },
        );
        beside_shares(&mut leaves);
        assert!(!leaves[2].label.unknown.is_empty(), "{leaves:?}");
    }

    #[test]
    fn words_over_two_columns_that_mean_nothing_together_end_what_each_says() {
        let leaves = |lines: &[&str]| bands(&layout(&typed(lines)), CONTEXT, Decimal::Point).remove(0).leaves;
        let unit = |l: &Leaf| l.label.unit.as_ref().map(|u| u.0);
        let found = leaves(&[
            "                      STK,",
            "Sample   Phosphorus   parts per   CEC         pH     OM",
            "ID            mg/dm3 million      meq/100 g   water  %",
            "Moss         13       683         12          6.2    3",
        ]);
        let of = |analyte| found.iter().find(|l| l.label.analyte == Some(analyte)).unwrap();
        assert_eq!(unit(of(Analyte::Phosphorus)), Some("mg/dm3"), "{found:?}");
        assert_eq!(unit(of(Analyte::Potassium)), Some("mg/kg"), "{found:?}");

        let found = leaves(&[
            "          EC                   pH      OM",
            "Sample    1:1, Estimated       water   %",
            "ID        dS/m    CEC, meq     1:1     LOI",
            "Moss      1.2     30.5         6.2     3",
        ]);
        let of = |analyte| found.iter().find(|l| l.label.analyte == Some(analyte)).unwrap();
        assert_eq!(of(Analyte::SolubleSalts).label.method(), Some(Method::Ec1to1), "{found:?}");
        assert_eq!(of(Analyte::Cec).label.method(), Some(Method::Summation), "{found:?}");
    }

    #[test]
    fn methods_of_close_columns_come_apart() {
        let page = layout(&typed(&["1:1 water Meh. 3 Mehlich 3 (ICP)"]));
        let apart = units_apart(&page.lines[0].phrases[0]);
        assert_eq!(
            apart.iter().map(Phrase::text).collect::<Vec<_>>(),
            ["1:1 water", "Meh. 3", "Mehlich 3 (ICP)"]
        );
        let page = layout(&typed(&["Lab Number Depth"]));
        assert_eq!(units_apart(&page.lines[0].phrases[0]).len(), 2);
        let page = layout(&typed(&["Result Method"]));
        assert_eq!(units_apart(&page.lines[0].phrases[0]).len(), 2);
        let page = layout(&typed(&["Test result"]));
        assert_eq!(units_apart(&page.lines[0].phrases[0]).len(), 1);
        let page = layout(&typed(&["Mehlich 3"]));
        assert_eq!(units_apart(&page.lines[0].phrases[0]).len(), 1);
    }

    #[test]
    fn a_row_of_ranges_is_no_heading() {
        let page = layout(&typed(&[
            "Potassium, ppm    10-14    Nitrate, ppm    10-19",
            "Calcium, ppm      52       Salts, dS/m     0.4",
        ]));
        assert!(bands(&page, CONTEXT, Decimal::Point).is_empty());
    }

    #[test]
    fn a_group_that_may_be_words_of_each_column_is_sure_for_none() {
        let found = bands(
            &layout(&typed(&[
                "                     Mn",
                "Sample   Fe          parts per   Boron     pH    OM",
                "ID          mg/dm3 million mg/dm3 qq/dm3   1:1   %",
                "Moss     13          683         12        6.2   3",
            ])),
            CONTEXT,
            Decimal::Point,
        )
        .remove(0)
        .leaves;
        let manganese = found.iter().find(|l| l.label.analyte == Some(Analyte::Manganese)).unwrap();
        let unit = manganese.label.unit.as_ref().map(|u| u.0);
        assert!(unit != Some("mg/dm3") || !manganese.label.unknown.is_empty(), "{manganese:?}");
    }

    #[test]
    fn a_method_without_a_name_is_a_neighbours_whatever_unit_it_was_given() {
        let page = layout(&typed(&["Bed    pH    OM    K, ppm    Zinc", "Moss   6.5   3     120       2"]));
        let mut leaves = bands(&page, CONTEXT, Decimal::Point).remove(0).leaves;
        let said = label("Mehlich 3 ppm", CONTEXT);
        leaves.insert(3, Leaf { text: "Mehlich 3".to_owned(), label: said, ..leaves[2].clone() });
        lone_methods(&mut leaves);
        assert!(!leaves[4].label.unknown.is_empty(), "{leaves:?}");
    }

    #[test]
    fn a_method_of_something_else_leaves_its_column_and_the_next_unsure() {
        let page = layout(&typed(&["Bed    pH    OM    P, ppm    Zinc", "Moss   6.5   3     120       2"]));
        let mut leaves = bands(&page, CONTEXT, Decimal::Point).remove(0).leaves;
        methods_of_others(&mut leaves);
        assert!(leaves.iter().skip(1).all(|l| l.label.unknown.is_empty()), "{leaves:?}");
        leaves[2].label.methods.clone_from(&label("Bray P-2", CONTEXT).methods);
        methods_of_others(&mut leaves);
        let unsure: Vec<bool> = leaves.iter().map(|l| !l.label.unknown.is_empty()).collect();
        assert_eq!(unsure, [true, false, true, true, false], "nothing is known of the first: {leaves:?}");
    }

    #[test]
    fn a_method_over_no_column_may_have_pushed_that_of_the_next_one_on() {
        let page = layout(&typed(&["Bed    pH    OM    K, ppm    Zinc", "Moss   6.5   3     120       2"]));
        let mut leaves = bands(&page, CONTEXT, Decimal::Point).remove(0).leaves;
        let said = label("Mehlich 3 ppm", CONTEXT);
        leaves[3].label.methods.clone_from(&said.methods);
        leaves.insert(3, Leaf { text: "Mehlich 3".to_owned(), label: said, ..leaves[2].clone() });
        lone_methods(&mut leaves);
        assert!(!leaves[5].label.unknown.is_empty(), "{leaves:?}");
    }

    #[test]
    fn a_figure_that_ends_the_name_above_it_is_no_value_of_a_heading() {
        let page = layout(&typed(&[
            "          Mehlich",
            "Sample    3 Ca,     M3-Fe     OM",
            "ID        ppm       ppm       %",
            "Tee 1     1200      55        3.1",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].leaves[1].label.method(), Some(Method::Mehlich3));
    }

    #[test]
    fn words_that_touch_one_column_alone_are_that_columns() {
        let page = layout(&typed(&[
            "Sample   pH         Sodium   OM",
            "ID           ammonium        %",
            "              acetate",
            "Tee 1    6.4        12       3.1",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point).remove(0).leaves;
        let sodium = found.iter().find(|l| l.label.analyte == Some(Analyte::Sodium)).unwrap();
        assert_eq!(sodium.label.method(), Some(Method::AmmoniumAcetate), "{found:?}");
    }

    #[test]
    fn words_over_two_columns_go_to_these_though_one_of_them_rates() {
        let found = bands(
            &layout(&typed(&[
                "Sample            pH          Zn     Cu",
                "ID     Level M3P salt LOI",
                "             ppm      %       ppm    ppm",
                "Tee 1  High  57   8.0 6.8     1.2    0.9",
            ])),
            CONTEXT,
            Decimal::Point,
        )
        .remove(0)
        .leaves;
        let ph = found.iter().find(|l| l.label.analyte == Some(Analyte::Ph)).unwrap();
        assert!(ph.label.method() == Some(Method::Cacl2) || !ph.label.unknown.is_empty(), "{found:?}");
    }

    #[test]
    fn a_share_that_says_so_leaves_its_bare_neighbours_unsure() {
        let found = bands(
            &layout(&typed(&[
                "                   Base saturation, %",
                "Bed    pH    OM    %H     Na     K     Zn",
                "Moss   6.5   3     36     56     93    2",
            ])),
            CONTEXT,
            Decimal::Point,
        )
        .remove(0)
        .leaves;
        let sodium = found.iter().find(|l| l.text == "Na").unwrap();
        assert!(!sodium.label.unknown.is_empty(), "{found:?}");
    }

    #[test]
    fn units_of_close_columns_come_apart() {
        let page = layout(&typed(&["mg/100g mmolc/kg mg/100g"]));
        assert_eq!(units_apart(&page.lines[0].phrases[0]).len(), 3);
    }
}
