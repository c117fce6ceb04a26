//! Long tables of an amended report: a column of results that no longer count beside those that do.

use super::super::atom::{Atom, is_blank};
use super::super::band::{Band, Leaf};
use super::super::issues::{Issue, issue_of, of_an_issue_alone, says_unchanged};
use super::super::layout::Layout;
use super::super::vocabulary::Role;
use super::row::{Row, text_of};
use crate::soil::Doubt;

/// What the headings of a long table say of two issues of its report.
#[derive(Debug, Default)]
pub(super) struct Reissued {
    /// The columns of what no longer counts.
    before: Vec<usize>,
    /// The column of what counts.
    now: Option<usize>,
    /// Said of every result where nobody knows which column counts.
    pub(super) unsure: Option<Doubt>,
}

fn of_results(leaf: &Leaf) -> bool {
    leaf.label.role == Some(Role::Result) && leaf.label.analyte.is_none()
}

/// The band, with the columns of results alone that count.
pub(super) fn reissued(band: &Band) -> (Band, Reissued) {
    let mut band = band.clone();
    let mut found = Reissued::default();
    if !band.long() {
        return (band, found);
    }
    let columns: Vec<(usize, Option<Issue>)> = band
        .leaves
        .iter()
        .enumerate()
        .filter(|(_, l)| of_results(l))
        .map(|(at, l)| (at, issue_of(&l.text)))
        .collect();
    let of =
        |issue: Option<Issue>| columns.iter().filter(move |c| c.1 == issue).map(|c| c.0).collect::<Vec<_>>();
    let (before, now, plain) = (of(Some(Issue::Before)), of(Some(Issue::Now)), of(None));
    let told = !before.is_empty() || columns.len() > 1 && plain.len() < columns.len();
    if !told {
        return (band, found);
    }
    // `Corrected` beside a plain `Result` may be corrected for something else, and so may a second one.
    let counts = match (now.as_slice(), plain.as_slice()) {
        ([now], []) => Some(*now),
        ([], [plain]) => Some(*plain),
        _ => None,
    };
    // `Result (old unit)` and `Result (new unit)`, or a unit behind each, are results printed in two ways.
    let texts = columns.iter().filter_map(|c| band.leaves.get(c.0)).map(|l| l.text.as_str());
    let whole = texts.clone().all(|text| issue_of(text).is_none() || of_an_issue_alone(text).is_some());
    let units = band.leaves.iter().filter(|l| l.label.role == Some(Role::Unit)).count();
    let certain = before.len() + 1 == columns.len() && whole && units < 2;
    let Some(counts) = counts.filter(|_| certain) else {
        let over: Vec<&str> = texts.collect();
        found.unsure = Some(Doubt::new(
            "column-unsure",
            format!(
                "Over these results stands `{}`, and it is not clear which of them count.",
                over.join("` beside `")
            ),
        ));
        return (band, found);
    };
    for at in &before {
        if let Some(leaf) = band.leaves.get_mut(*at) {
            leaf.label.role = None;
            leaf.label.decoy = true;
        }
    }
    found.before = before;
    found.now = Some(counts);
    (band, found)
}

impl Reissued {
    /// The value of an earlier issue that a sign or a blank leaves as it was, and what speaks against it.
    pub(super) fn unchanged<'a, 'r>(
        &self,
        page: &Layout,
        row: &'r Row<'a>,
    ) -> Option<(&'r Vec<&'a Atom>, Option<Doubt>)> {
        let cell = |at: usize| row.cells.iter().find(|(h, ..)| *h == at).map(|(_, atoms, _)| atoms);
        let own = self.now.and_then(cell);
        let [before] = self.before.as_slice() else { return None };
        let said = own.map(|atoms| text_of(atoms)).unwrap_or_default();
        if own.is_some_and(|atoms| atoms.iter().any(|a| a.number().is_some())) {
            return None;
        }
        let former = cell(*before).filter(|atoms| atoms.iter().any(|a| a.number().is_some()))?;
        let sign = said.trim().to_lowercase();
        let explained = !sign.is_empty() && !is_blank(&sign) && says_unchanged(page, &sign);
        let doubt = Doubt::new(
            "column-unsure",
            "This value was printed before; that it still counts is not said.".to_owned(),
        );
        Some((former, (!explained).then_some(doubt)))
    }
}
