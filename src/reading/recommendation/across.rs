//! Tables with nitrogen, phosphate and potash side by side: a row for each sample or crop.

use super::caption::{above, at_a_time, bare_units, judged, one_unit, text_of};
use super::heading::{Head, Item, items, may_name_nitrogen};
use super::{Amount, FoundNitrogen, is_amount, plain};
use crate::place::Rect;
use crate::reading::across::is_summary;
use crate::reading::atom::{Atom, Kind};
use crate::reading::label::label;
use crate::reading::layout::Layout;
use crate::reading::vocabulary::{Context, Field};
use crate::soil::{Doubt, RateUnit};

/// Lines of units between the heading and the first row.
const UNIT_LINES: usize = 3;

/// Every table of a page.
pub fn read(page: &Layout, rows: &[Vec<Atom>], context: Context) -> Vec<FoundNitrogen> {
    let mut out = Vec::new();
    for (at, line) in page.lines.iter().enumerate() {
        if !may_name_nitrogen(line) {
            continue;
        }
        let heads = items(line);
        let nitrogen: Vec<usize> = positions(&heads, |h| matches!(h, Head::Nitrogen { .. }));
        let oxides = positions(&heads, |h| *h == Head::Oxide);
        let explicit = heads.iter().any(|i| matches!(i.head, Head::Nitrogen { explicit: true, .. }));
        if nitrogen.is_empty() || oxides.is_empty() && !explicit || is_amounts(rows.get(at)) {
            continue;
        }
        for n in &nitrogen {
            let table = Table { page, rows, context, at, heads: &heads, n: *n, oxides: &oxides };
            let mut found = table.read(explicit);
            if nitrogen.len() > 1 {
                let doubt = Doubt::new("column-unsure", "Several columns of this table hold nitrogen.");
                found.iter_mut().for_each(|f| f.nitrogen.doubts.push(doubt.clone()));
            }
            out.extend(found);
        }
    }
    out
}

fn positions(heads: &[Item], wanted: impl Fn(&Head) -> bool) -> Vec<usize> {
    heads.iter().enumerate().filter(|(_, i)| wanted(&i.head)).map(|(at, _)| at).collect()
}

/// A line with numbers of its own is no heading.
fn is_amounts(row: Option<&Vec<Atom>>) -> bool {
    row.is_some_and(|r| r.iter().filter(|a| is_amount(a)).count() > 1)
}

struct Table<'a> {
    page: &'a Layout,
    rows: &'a [Vec<Atom>],
    context: Context,
    /// Line of the heading.
    at: usize,
    heads: &'a [Item],
    /// The heading of nitrogen.
    n: usize,
    oxides: &'a [usize],
}

impl Table<'_> {
    fn read(&self, explicit: bool) -> Vec<FoundNitrogen> {
        let Some(item) = self.heads.get(self.n) else { return Vec::new() };
        let lines = self.data_lines();
        let (Some(first), Some(last)) = (lines.first(), lines.last()) else { return Vec::new() };
        let values = |at: usize| is_amounts(self.rows.get(at));
        let captions = above(self.page, self.at, &values);
        let heading: String = self.heads.iter().map(|i| i.text.as_str()).collect::<Vec<_>>().join(" | ");
        // Between heading and rows stands the unit; a note right below may name it too.
        let between: Vec<usize> = (self.at + 1..*first).collect();
        let near: Vec<usize> =
            (self.at.saturating_sub(2)..self.at).filter(|a| !values(*a)).chain(between).collect();
        let unit = self.unit(item, &near, &captions.iter().map(|l| text_of(l)).collect::<Vec<_>>(), *last);
        let mut said = heading;
        for line in
            captions.iter().copied().chain((self.at + 1..*first).filter_map(|a| self.page.lines.get(a)))
        {
            said.push_str(" | ");
            said.push_str(&text_of(line));
        }
        let Some(doubts) = judged(&said, explicit, unit.is_some()) else { return Vec::new() };
        lines.iter().filter_map(|line| self.row(*line, unit.clone(), &doubts)).collect()
    }

    /// The unit: in the heading itself, over or under it, in the caption, or in a note right below; the nearest that
    /// names any.
    fn unit(
        &self,
        item: &Item,
        near: &[usize],
        captions: &[String],
        last: usize,
    ) -> Option<(RateUnit, String)> {
        if let Head::Nitrogen { unit: Some(unit), .. } = &item.head {
            return Some(unit.clone());
        }
        let span =
            self.oxides.iter().filter_map(|o| self.heads.get(*o)).fold(item.area, |a, o| a.union(&o.area));
        let over: Vec<(RateUnit, String)> = near
            .iter()
            .filter_map(|at| self.page.lines.get(*at))
            .flat_map(|line| &line.phrases)
            .filter(|p| p.area.overlap_x(&span) > 0.0)
            .flat_map(|p| bare_units(p.text()))
            .collect();
        if !over.is_empty() {
            return one_unit(&over);
        }
        let caption: Vec<(RateUnit, String)> = captions.iter().flat_map(|text| bare_units(text)).collect();
        if !caption.is_empty() {
            return one_unit(&caption);
        }
        let notes = (last + 1..last + 3).filter_map(|at| self.page.lines.get(at)).map(text_of);
        let below: Vec<(RateUnit, String)> = notes
            .filter(|t| super::caption::recommends(t) && !at_a_time(t))
            .flat_map(|t| bare_units(&t))
            .collect();
        one_unit(&below)
    }

    /// The lines that hold an amount under the nitrogen.
    fn data_lines(&self) -> Vec<usize> {
        let mut out: Vec<usize> = Vec::new();
        let mut below = self.page.lines.get(self.at).map_or(0.0, |l| l.area.y1);
        for (at, line) in self.page.lines.iter().enumerate().skip(self.at + 1) {
            let far = line.area.y0 - below > 4.0 * self.page.em;
            let holds = self.placed(at).iter().any(|(head, a)| *head == self.n && is_amount(a));
            // A cell of a table file may be empty; in print the first line without an amount ends the table.
            let ended = !self.page.cells && (!out.is_empty() || at > self.at + UNIT_LINES);
            let next = self.page.cells && items(line).iter().any(|i| matches!(i.head, Head::Nitrogen { .. }));
            if far || next || !holds && ended {
                break;
            }
            if holds {
                out.push(at);
            }
            below = line.area.y1;
        }
        out
    }

    /// The pieces of a line, each with the heading it stands under.
    fn placed(&self, line: usize) -> Vec<(usize, &Atom)> {
        let row = self.rows.get(line).map(Vec::as_slice).unwrap_or_default();
        row.iter().filter_map(|a| Some((nearest(self.heads, &a.area)?, a))).collect()
    }

    fn row(&self, line: usize, unit: Option<(RateUnit, String)>, doubts: &[Doubt]) -> Option<FoundNitrogen> {
        let item = self.heads.get(self.n)?;
        let placed = self.placed(line);
        let here: Vec<&Atom> = placed.iter().filter(|(head, _)| *head == self.n).map(|(_, a)| *a).collect();
        let amounts: Vec<&Atom> = here.iter().copied().filter(|a| is_amount(a)).collect();
        let atom = *amounts.first()?;
        let mut doubts = doubts.to_vec();
        // Each nutrient has its own one piece, and nitrogen's stands under its heading.
        let figures =
            |o: &usize| placed.iter().filter(|(head, a)| head == o && !matches!(a.kind, Kind::Text)).count();
        let beside = atom.area.overlap_x(&item.area) <= 0.0
            && (atom.area.mid_x() - item.area.mid_x()).abs() > 1.5 * self.page.em;
        if amounts.len() > 1 || self.oxides.iter().any(|o| figures(o) > 1) || beside {
            doubts.push(Doubt::new(
                "column-unsure",
                format!("It is not clear that `{}` stands in the column of nitrogen.", atom.text),
            ));
        }
        // A unit in the row itself goes before that of heading and caption.
        let own: Vec<(RateUnit, String)> = here
            .iter()
            .filter(|a| matches!(a.kind, Kind::Text | Kind::Range))
            .flat_map(|a| bare_units(&a.text))
            .collect();
        let unit = if own.is_empty() { unit } else { one_unit(&own) };
        let (names, crop) = self.names(&placed, atom);
        if names.iter().chain(std::iter::once(&crop)).any(|text| is_summary(text)) {
            return None;
        }
        let amount = Amount {
            printed: &atom.text,
            number: plain(atom),
            unit,
            crop: &crop,
            place: atom.place()?,
            confidence: atom.confidence(),
            doubts,
        };
        Some(FoundNitrogen {
            page: self.page.number,
            y: atom.area.y0,
            names,
            nitrogen: amount.recommendation(),
        })
    }

    /// Names of the sample in a row, and what the nitrogen is for.
    fn names(&self, placed: &[(usize, &Atom)], amount: &Atom) -> (Vec<String>, String) {
        let (mut names, mut crop, mut left) = (Vec::new(), String::new(), String::new());
        for (at, head) in self.heads.iter().enumerate() {
            let atoms: Vec<&Atom> = placed.iter().filter(|(h, _)| *h == at).map(|(_, a)| *a).collect();
            let text = atoms.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(" ");
            if text.is_empty() {
                continue;
            }
            let field = label(&head.text, self.context).field;
            if matches!(field, Some(Field::SampleLabel | Field::LabSample)) {
                names.push(text);
            } else if is_crop(&head.text) {
                crop = text;
            } else if head.area.x1 <= amount.area.x0 && atoms.iter().all(|a| matches!(a.kind, Kind::Text)) {
                left = text;
            }
        }
        // Without a heading that says so, the words before the amounts say what they are for.
        if crop.is_empty() && names.is_empty() { (names, left) } else { (names, crop) }
    }
}

fn is_crop(text: &str) -> bool {
    let lower = text.to_lowercase();
    ["crop", "apply for", "for", "plant", "use", "grown", "option", "turf", "grass"]
        .iter()
        .any(|w| lower == *w || lower.starts_with(&format!("{w} ")) || lower.starts_with(&format!("{w},")))
}

/// The heading a piece stands under: the one it overlaps most, else the nearest.
fn nearest(heads: &[Item], area: &Rect) -> Option<usize> {
    let over = heads
        .iter()
        .enumerate()
        .map(|(at, h)| (at, h.area.overlap_x(area)))
        .filter(|(_, shared)| *shared > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    over.map(|(at, _)| at).or_else(|| {
        let apart = |h: &Item| (h.area.mid_x() - area.mid_x()).abs();
        heads.iter().enumerate().min_by(|a, b| apart(a.1).total_cmp(&apart(b.1))).map(|(at, _)| at)
    })
}
