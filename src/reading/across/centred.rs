//! Names of several lines that the values of their rows tell: cells whose values stand halfway up, and names each over a
//! number of the laboratory's.

use super::super::numbered::{MANY_FIGURES, figures, is_number};
use super::super::stems::codes;
use super::wrapped::{EVEN, Item, LEADING, Wrap};
use std::collections::{HashMap, HashSet};

/// Names each over one number of its own, codes of one stem: the numbers are the laboratory's. None where any row has
/// another line, or where a number may be the end of its name.
pub(super) fn numbers_under(items: &[Item]) -> Option<HashMap<usize, Wrap>> {
    let mut out = HashMap::new();
    let (mut names, mut numbers) = (Vec::new(), Vec::new());
    for pair in items.chunks(2) {
        let [name, number] = pair else { return None };
        let row = name.row.filter(|_| number.row.is_none() && number.y - name.y < LEADING * name.height)?;
        if !name.text.contains(char::is_alphabetic) || !is_number(&number.text) {
            return None;
        }
        names.push(name.text.as_str());
        numbers.push(number.text.as_str());
        let wrap = Wrap { name: Some(name.text.clone()), number: Some(number.text.clone()) };
        out.insert(row, wrap);
    }
    let unlike = |texts: &[&str]| texts.iter().collect::<HashSet<_>>().len() == texts.len();
    let coded = codes(&numbers).is_some() && numbers.iter().all(|n| figures(n) >= MANY_FIGURES);
    (names.len() > 1 && coded && unlike(&names) && unlike(&numbers)).then_some(out)
}

/// Names in cells whose values stand halfway up: where one way of parting the lines, the wider distances from the closer
/// ones, gives each row its own and every one is centred on its values, no line is the heading of a group.
pub(super) fn centred(items: &[Item], values: &[f32]) -> Option<HashMap<usize, Wrap>> {
    let gaps: Vec<f32> =
        items.windows(2).map(|w| if let [a, b] = w { b.y - a.y } else { f32::INFINITY }).collect();
    let mut sorted = gaps.clone();
    sorted.sort_by(f32::total_cmp);
    let height = items.iter().map(|i| i.height).fold(0.0, f32::max);
    let at = |y: f32, value: f32| (y - value).abs() < 0.25 * height;
    let parted = |limit: f32| -> Option<HashMap<usize, Wrap>> {
        let mut out = HashMap::new();
        let mut from = 0;
        let mut rows = HashSet::new();
        for end in 1..=items.len() {
            if gaps.get(end - 1).is_some_and(|gap| *gap <= limit) {
                continue;
            }
            let lines = items.get(from..end)?;
            from = end;
            let middle = f32::midpoint(lines.first()?.y, lines.last()?.y);
            let mut own = values.iter().enumerate().filter(|(_, value)| at(middle, **value));
            let (Some((row, _)), None) = (own.next(), own.next()) else { return None };
            if !rows.insert(row) || lines.iter().filter_map(|i| i.row).any(|r| r != row) {
                return None;
            }
            if lines.len() > 1 {
                let name = lines.iter().map(|i| i.text.as_str()).collect::<Vec<_>>().join(" ");
                out.insert(row, Wrap { name: Some(name), number: None });
            }
        }
        (rows.len() == values.len() && out.len() > 1).then_some(out)
    };
    let limits = sorted.windows(2).filter_map(|w| match w {
        [a, b] if *b > EVEN * *a && *a <= LEADING * height => Some(*a),
        _ => None,
    });
    let mut found = limits.filter_map(parted);
    found.next().filter(|_| found.next().is_none())
}

#[cfg(test)]
mod tests {
    use super::super::wrapped::tests::item;
    use super::*;

    #[test]
    fn numbers_of_one_stem_under_the_names_are_the_laboratorys() {
        let sheet = |numbers: [&str; 2], second: &str| {
            let items = [
                item(10.0, "Hob", Some(0)),
                item(19.0, numbers[0], None),
                item(28.0, second, Some(1)),
                item(37.0, numbers[1], None),
            ];
            numbers_under(&items).map(|w| w.get(&1).cloned().unwrap_or_default())
        };
        let both = Wrap { name: Some("Ridge".to_owned()), number: Some("77120-2".to_owned()) };
        assert_eq!(sheet(["77120-1", "77120-2"], "Ridge"), Some(both));
        assert_eq!(sheet(["77120-1", "77120-2"], "Hob"), None);
        assert_eq!(sheet(["77120-1", "by the pond"], "Ridge"), None);
        assert_eq!(sheet(["1", "2"], "Ridge"), None);
    }

    #[test]
    fn names_centred_on_their_values_are_whole_though_rows_stand_close() {
        let items = [
            item(10.0, "Old mill", Some(0)),
            item(19.0, "by the pond", None),
            item(31.0, "Hill", None),
            item(39.5, "above the", Some(1)),
            item(49.0, "tank", None),
            item(61.0, "Ridge", Some(2)),
        ];
        let of = |values: &[f32]| {
            let mut out: Vec<_> =
                centred(&items, values)?.into_iter().filter_map(|(i, w)| Some((i, w.name?))).collect();
            out.sort();
            Some(out)
        };
        let whole = vec![(0, "Old mill by the pond".to_owned()), (1, "Hill above the tank".to_owned())];
        assert_eq!(of(&[14.5, 40.0, 61.0]), Some(whole));
        assert_eq!(of(&[10.0, 39.5, 61.0]), None, "level with the first line");
    }
}
