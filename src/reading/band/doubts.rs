//! What the columns of a heading say of each other: which hold no results, and of which it is not sure.

use super::super::former;
use super::super::label::{Label, label};
use super::super::notes::adapt;
use super::super::units::{Rule, conversion};
use super::super::vocabulary::{Context, Field, Form};
use super::Leaf;
use crate::soil::{Analyte, Method, Unit};

/// How many columns on a method that stands over none may have pushed the others.
const PUSHED: usize = 2;

/// A method that stands over no column of its own, whatever unit was given to it, is of the one on its left or its right.
/// Where these have one already, it may have pushed theirs on by a column.
pub fn lone_methods(leaves: &mut [Leaf]) {
    let lone: Vec<usize> = leaves
        .iter()
        .enumerate()
        .filter(|(_, l)| {
            let said = &l.label;
            let method = !said.methods.is_empty() && said.unknown.is_empty();
            method && said.analyte.is_none() && said.field.is_none() && said.role.is_none() && !said.decoy
        })
        .map(|(i, _)| i)
        .collect();
    for i in lone {
        let left: Vec<usize> = (0..i).rev().take(PUSHED).collect();
        let right: Vec<usize> = (i + 1..leaves.len()).take(PUSHED).collect();
        for way in [left, right] {
            let bare = |at: &usize| leaves.get(*at).is_some_and(|l| l.label.methods.is_empty());
            let first = way.into_iter().find(bare);
            if let Some(leaf) = first.and_then(|at| leaves.get_mut(at)).filter(|l| l.label.is_result()) {
                leaf.label.unknown.push("a method beside it".to_owned());
            }
        }
    }
}

/// True for a word that says that a figure was worked out from others.
pub fn is_reckoned(word: &str) -> bool {
    matches!(word, "calc" | "calculated" | "estimated" | "computed")
}

/// `calc` between a capacity and the next column may say how the capacity was found, and so may `Estimated` in the name of
/// a nutrient beside it, which nobody estimates.
pub fn reckoned_beside(leaves: &mut [Leaf]) {
    let says: Vec<bool> = leaves
        .iter()
        .map(|l| {
            let text = l.text.to_lowercase();
            let nutrient = l.label.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg);
            // With a point it is calcium.
            is_reckoned(&text) || nutrient && text.split(' ').any(is_reckoned)
        })
        .collect();
    let at = |i: Option<usize>| i.and_then(|i| says.get(i)) == Some(&true);
    for (i, leaf) in leaves.iter_mut().enumerate() {
        if (at(i.checked_add(1)) || at(i.checked_sub(1)))
            && leaf.label.analyte == Some(Analyte::Cec)
            && leaf.label.methods.is_empty()
        {
            leaf.label.unknown.push("a method beside it".to_owned());
        }
    }
}

/// What is printed twice, in milligrams and in charge or by area, or as the element and as its oxide, each column with a unit that is surely its own: the two numbers of
/// a row must agree later on, or both wait.
fn in_two_units(leaves: &[Leaf]) -> Vec<Analyte> {
    let rule = |l: &Leaf| {
        // An extract of its own tells two measurements.
        let plain = l.label.unknown.is_empty() && l.label.methods.is_empty();
        let unit = l.label.unit.as_ref().filter(|_| plain)?;
        conversion(unit.0, Unit::MgPerKg).map(|c| c.rule)
    };
    let results = || leaves.iter().filter(|l| l.label.is_result());
    let both = |a: &Analyte| {
        let own = || results().filter(|l| l.label.analyte == Some(*a));
        let of: Vec<Option<Rule>> = own().map(rule).collect();
        // `K2O mg/kg` beside `K mg/kg`.
        let oxides: Vec<bool> = own().map(|l| l.label.form == Some(Form::Oxide)).collect();
        let again = of.iter().all(|r| *r == Some(Rule::Plain))
            && matches!(oxides.as_slice(), [true, false] | [false, true]);
        again
            || matches!(
                of.as_slice(),
                [Some(Rule::Plain), Some(Rule::Charge | Rule::Area | Rule::AreaMetric)]
                    | [Some(Rule::Charge | Rule::Area | Rule::AreaMetric), Some(Rule::Plain)]
            )
    };
    results().filter_map(|l| l.label.analyte).filter(both).collect()
}

/// Of two columns of one measurement the one without an extract of its own is not sure to be a second result: it may
/// be a share, a rate or a rating whose group heading was not seen.
pub fn named_twice(leaves: &mut [Leaf]) {
    let results: Vec<Analyte> =
        leaves.iter().filter(|l| l.label.is_result()).filter_map(|l| l.label.analyte).collect();
    let twice = in_two_units(leaves);
    // `Colwell K`: an extract that is listed for another measurement alone tells nothing of this one.
    let told = |l: &Leaf| {
        l.label
            .methods
            .iter()
            .any(|m| m.is_none_or(|m| l.label.analyte.is_some_and(|a| adapt(m, a).is_some())))
    };
    for leaf in leaves.iter_mut().filter(|l| l.label.is_result() && !told(l)) {
        let cation = leaf.label.analyte.is_some_and(|a| a.mg_per_cmol().is_some());
        if cation
            && leaf.marks.is_empty()
            && !leaf.label.analyte.is_some_and(|a| twice.contains(&a))
            && leaf.label.analyte.is_some_and(|a| results.iter().filter(|r| **r == a).count() > 1)
        {
            leaf.label.unknown.push(SECOND.to_owned());
        }
    }
    // A plain pH beside another pH may be another liquid's, or a buffer's.
    let plain = |l: &Leaf| {
        let said = &l.label;
        said.is_result()
            && said.analyte == Some(Analyte::Ph)
            && said.methods.is_empty()
            && said.liquid.is_none()
    };
    if results.iter().filter(|a| **a == Analyte::Ph).count() > 1 {
        for leaf in leaves.iter_mut().filter(|l| plain(l)) {
            leaf.label.unknown.push(SECOND.to_owned());
        }
    }
    // A share is printed once.
    let shares: Vec<Analyte> = results.iter().copied().filter(|a| a.is_share()).collect();
    for leaf in leaves.iter_mut().filter(|l| l.label.is_result()) {
        if leaf.label.analyte.is_some_and(|a| shares.iter().filter(|s| **s == a).count() > 1) {
            leaf.label.unknown.push(SECOND.to_owned());
        }
    }
    // What stands in a row with these may be of their kind.
    let bare = |l: &Leaf| {
        l.text.trim().chars().count() <= 2
            && l.label.unit.is_none()
            && l.label.methods.is_empty()
            && l.label.analyte.is_some_and(|a| a == Analyte::Acidity || a.mg_per_cmol().is_some())
    };
    for order in [(0..leaves.len()).collect::<Vec<_>>(), (0..leaves.len()).rev().collect()] {
        let mut run = false;
        for i in order {
            let Some(leaf) = leaves.get_mut(i) else { continue };
            let second = leaf.label.unknown.iter().any(|u| u == SECOND);
            if bare(leaf) && run && !second {
                leaf.label.unknown.push(SECOND.to_owned());
            }
            run = bare(leaf) && (second || run);
        }
    }
}

/// `Crop   Yield goal   N lb/A   P2O5 lb/A   K2O lb/A` behind the results: what a crop is to be given. The oxides of what
/// was measured before them are rates where nitrogen stands beside them.
pub fn rates_of_a_crop(leaves: &mut [Leaf]) {
    let asks = |l: &Leaf| {
        let text = l.text.to_lowercase();
        l.label.field.is_some() && (text == "crop" || text.contains("yield goal"))
    };
    let Some(crop) = leaves.iter().position(asks) else { return };
    let (before, behind) = leaves.split_at_mut(crop);
    let nitrogen = behind.iter().any(|l| l.text.split(' ').next() == Some("N"));
    let area = |l: &Label| {
        let way = l.unit.as_ref().and_then(|u| conversion(u.0, Unit::MgPerKg));
        way.is_some_and(|c| matches!(c.rule, Rule::Area | Rule::AreaMetric))
    };
    for label in behind.iter_mut().map(|l| &mut l.label) {
        let measured = before.iter().any(|b| b.label.is_result() && b.label.analyte == label.analyte);
        if nitrogen && measured && label.form == Some(Form::Oxide) && area(label) {
            label.decoy = true;
        }
    }
}

pub const SECOND: &str = "a second column of that name";

/// `pH Optimum` beside `pH` holds what is wished for; alone it waits for a person.
pub fn ratings(leaves: &mut [Leaf]) {
    let plain: Vec<Analyte> =
        leaves.iter().filter(|l| !l.label.rating).filter_map(|l| l.label.analyte).collect();
    for label in leaves.iter_mut().map(|l| &mut l.label).filter(|l| l.rating && l.is_result()) {
        if label.analyte.is_some_and(|a| plain.contains(&a)) {
            label.decoy = true;
        } else {
            label.unknown.push("a rating".to_owned());
        }
    }
}

/// A bare symbol of a cation right beside shares of the exchange complex may be one of them: the group's heading need
/// not reach over all its columns.
pub fn beside_shares(leaves: &mut [Leaf]) {
    let share: Vec<bool> = leaves.iter().map(|l| l.label.analyte.is_some_and(Analyte::is_share)).collect();
    // Only a bare symbol's share comes of a heading over it.
    let bare = |l: &Leaf| l.text.trim().chars().count() <= 2;
    let grouped: Vec<bool> = leaves.iter().zip(&share).map(|(l, s)| *s && bare(l)).collect();
    for (i, leaf) in leaves.iter_mut().enumerate() {
        let next = [i.checked_sub(1), i.checked_add(1)].into_iter().flatten();
        let beside = next.filter_map(|n| grouped.get(n)).any(|s| *s);
        let cation = leaf.label.analyte.is_some_and(|a| a.mg_per_cmol().is_some());
        if beside && cation && bare(leaf) && leaf.label.unit.is_none() && leaf.label.methods.is_empty() {
            leaf.label.unknown.push("a share or an amount".to_owned());
        }
    }
}

/// Under one heading of shares `%H` says that it is one and `Na` beside it does not: the heading may reach no further.
pub fn half_shares(leaves: &mut [Leaf], context: Context) {
    let share = |l: &Leaf| l.label.analyte.is_some_and(Analyte::is_share);
    for run in leaves.chunk_by_mut(|a, b| share(a) && share(b)) {
        let own: Vec<bool> =
            run.iter().map(|l| label(&l.text, context).analyte.is_some_and(Analyte::is_share)).collect();
        let mixed = own.contains(&true) && run.len() > 1;
        for (leaf, _) in run.iter_mut().zip(&own).filter(|(_, own)| mixed && !**own) {
            leaf.label.unknown.push("a share or an amount".to_owned());
        }
    }
}

/// `LOI CaCl2` beside `pH in 1:5`, `pH Index Bray P-2`: a column of pH, salts or organic matter with a method that measures
/// none of these has words of the column beside it, and neither of the two is sure of its own.
pub fn methods_of_others(leaves: &mut [Leaf]) {
    let own = |a: Analyte| {
        matches!(
            a,
            Analyte::Ph
                | Analyte::BufferPh
                | Analyte::LimeIndex
                | Analyte::OrganicMatter
                | Analyte::SolubleSalts
        )
    };
    let other = |l: &Leaf| -> Option<Method> {
        let analyte = l.label.analyte.filter(|a| own(*a))?;
        l.label.methods.iter().flatten().copied().find(|m| adapt(*m, analyte).is_none())
    };
    let found: Vec<(usize, Method)> =
        leaves.iter().enumerate().filter_map(|(i, l)| Some((i, other(l)?))).collect();
    for (i, method) in found {
        if let Some(leaf) = leaves.get_mut(i) {
            leaf.label.unknown.push("a method of something else".to_owned());
        }
        for beside in [i.checked_sub(1), i.checked_add(1)].into_iter().flatten() {
            let leaf = leaves.get_mut(beside).filter(|l| l.label.analyte.is_some_and(|a| method.measures(a)));
            if let Some(leaf) = leaf {
                leaf.label.unknown.push("a method beside it".to_owned());
            }
        }
    }
}

/// `Previous lab no`: what a sample was called the last time is no name and no number of this one.
pub fn former_names(leaves: &mut [Leaf]) {
    for leaf in leaves.iter_mut().filter(|l| l.label.analyte.is_none()) {
        let named = matches!(leaf.label.field, Some(Field::SampleLabel | Field::LabSample | Field::Report));
        if named && leaf.text.split(' ').any(former::is_word_for_the_past) {
            leaf.label.field = None;
            leaf.label.decoy = true;
        }
    }
}

/// `P` beside `P 2023`: the column with an older year is a former season's, also where the present cell is blank. A
/// year on one column alone is a doubt.
pub fn former_seasons(leaves: &mut [Leaf]) {
    // `Target` beside `2021` and `2024` is no later season.
    let named: Vec<(Analyte, Option<i16>)> = leaves
        .iter()
        .filter(|l| !l.label.decoy)
        .filter_map(|l| Some((l.label.analyte?, l.label.year)))
        .collect();
    if named.iter().all(|(_, y)| y.is_none())
        || named.windows(2).all(|w| w.iter().all(|(_, y)| *y == named.first().and_then(|n| n.1)))
    {
        return;
    }
    for leaf in leaves.iter_mut() {
        let (Some(analyte), Some(year)) = (leaf.label.analyte, leaf.label.year) else { continue };
        if leaf.label.decoy {
            continue;
        }
        let later = named.iter().any(|(a, y)| *a == analyte && y.is_none_or(|y| y > year));
        if later {
            leaf.label.decoy = true;
        } else if named.iter().filter(|(a, _)| *a == analyte).count() == 1 {
            leaf.label.unknown.push(year.to_string());
        }
    }
}
