//! `Front lawn / bermuda`: a name, and behind a stroke what grows there.

use super::super::super::words::List;
use super::Found;

/// The name, the stroke behind it and the rest.
fn parts(label: &str) -> Option<(&str, &'static str, &str)> {
    let text = label.trim_end_matches([')', ']']);
    [" - ", " / ", " | ", " · ", ", ", "; ", " (", " ["]
        .into_iter()
        .filter_map(|stroke| text.rsplit_once(stroke).map(|(name, rest)| (name, stroke, rest)))
        .max_by_key(|(name, ..)| name.len())
}

/// The name without what grows there.
fn without(label: &str) -> Option<String> {
    let (name, _, crop) = parts(label)?;
    let name = name.trim();
    (List::Crop.has(&crop.trim().to_lowercase()) && name.contains(char::is_alphabetic))
        .then(|| name.to_owned())
}

/// What grows there comes off the names; next year it may be another. What stands behind the same stroke of another name
/// may be something that grows too.
pub(super) fn crops(labels: &[&str]) -> Vec<Option<Found>> {
    let stroke = |label: &&str| parts(label).map(|(_, stroke, _)| stroke);
    let planted: Vec<&str> = labels.iter().filter(|l| without(l).is_some()).filter_map(&stroke).collect();
    let judge = |label: &&str| match without(label) {
        Some(name) => Some(Found::Planted(name)),
        None => stroke(label).filter(|s| planted.contains(s)).map(|_| {
            Found::Unsure(format!("`{label}` may hold what grows there, as other names of this report do."))
        }),
    };
    labels.iter().map(judge).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_grows_there_comes_off_a_name() {
        for label in ["Moss / bermuda", "Moss - Tall fescue", "Moss, winter wheat", "Moss (turf)"] {
            assert_eq!(crops(&[label]), [Some(Found::Planted("Moss".to_owned()))], "{label}");
        }
        let both = crops(&["Moss - oats", "Hob - stock", "Mill (east)"]);
        assert!(matches!(both.as_slice(), [Some(Found::Planted(_)), Some(Found::Unsure(_)), None]));
        for label in ["Bermuda lawn", "Moss - north", "Turf", "3 - turf", "Moss bermuda"] {
            assert_eq!(crops(&[label]), [None], "{label}");
        }
    }
}
