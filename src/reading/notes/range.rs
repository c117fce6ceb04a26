//! `Phosphorus through boron by Mehlich 3`: the first and the last of the results that an extract is said of. Those between
//! are known by the order in which they are printed.

use super::super::vocabulary::{Hit, Meaning};
use super::method::adapt;
use super::said::Notes;
use crate::soil::{Analyte, Method};
use compact_str::CompactString;

/// First and last of a range, and its method.
pub type Range = (Analyte, Analyte, Method);

/// Words between the two ends. `to` stands between the halves of a ratio as well.
const THROUGH: &[&str] = &["through", "thru", "to", "till", "bis", "tot", "jusqu'à", "hasta", "fino", "até"];

/// The range of a clause that names two measurements with such a word alone between them, and one method.
pub(super) fn range(
    lower: &[CompactString],
    hits: &[Hit],
    methods: &[(usize, Option<Method>)],
) -> Option<Range> {
    let [(_, Some(method))] = methods else { return None };
    if lower.iter().any(|w| w.starts_with("ratio")) {
        return None;
    }
    let mut found = hits.windows(2).filter_map(|w| {
        let [first, last] = w else { return None };
        let (Meaning::Analyte(a, ..), Meaning::Analyte(b, ..)) = (first.meaning, last.meaning) else {
            return None;
        };
        let [word] = lower.get(first.end..last.start)? else { return None };
        THROUGH.contains(&word.as_str()).then_some((a, b, *method))
    });
    found.next().filter(|_| found.next().is_none())
}

/// Gives what is printed between the ends of a range its method, where all samples that have both are printed in one order
/// and no other note tells of it. What is left without a method waits where nothing is printed so.
pub fn settle_ranges(notes: &mut Notes, orders: &[Vec<Analyte>]) {
    for (first, last, method) in std::mem::take(&mut notes.ranges) {
        let between = |order: &Vec<Analyte>| {
            let place = |a: Analyte| order.iter().position(|o| *o == a);
            let (from, to) = (place(first)?, place(last)?);
            Some(order.get(from..=to).unwrap_or_default().to_vec())
        };
        let mut all: Vec<Vec<Analyte>> = orders.iter().filter_map(between).collect();
        all.sort_unstable_by_key(Vec::len);
        all.dedup();
        match all.as_slice() {
            [one] if one.len() > 1 => {
                for analyte in one {
                    if let Some(own) = adapt(method, *analyte) {
                        notes.methods.entry(*analyte).or_insert(Some(own));
                    }
                }
            }
            _ => notes.half_told.push(method),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::vocabulary::Context;
    use super::super::{NoteLine, notes};
    use super::*;

    fn of(text: &str, orders: &[Vec<Analyte>]) -> Notes {
        let line = NoteLine { text: text.to_owned(), footnote: false, apart: false };
        let mut out = notes(&[line], &[], Context { symbols: true, capitals: false });
        settle_ranges(&mut out, orders);
        out
    }

    #[test]
    fn what_is_printed_between_two_ends_has_the_method_of_both() {
        use Analyte::*;
        let order = vec![Ph, Phosphorus, Potassium, Zinc, Boron, Cec];
        for text in ["Phosphorus through boron by Mehlich 3 extraction.", "Phosphorus to boron: Mehlich 3."] {
            let found = of(text, std::slice::from_ref(&order));
            for analyte in [Phosphorus, Potassium, Zinc, Boron] {
                assert_eq!(found.methods.get(&analyte), Some(&Some(Method::Mehlich3)), "{text} {analyte:?}");
            }
            assert_eq!((found.methods.get(&Ph), found.methods.get(&Cec)), (None, None));
        }
        let other = vec![Boron, Potassium, Phosphorus];
        let found = of("Phosphorus through boron by Mehlich 3.", &[order.clone(), other]);
        assert_eq!((found.methods.get(&Zinc), found.half_told.as_slice()), (None, &[Method::Mehlich3][..]));
        let found = of("Phosphorus and boron by Mehlich 3.", &[order]);
        assert_eq!(found.methods.get(&Zinc), None);
    }
}
