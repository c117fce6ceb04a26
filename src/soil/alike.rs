//! When two names are nearly one: the same lawn spelled twice. Good for asking a person, never for deciding.

use super::site::slug;

/// True where two names differ only as spellings of one name do: order of words, an abbreviation, a slip of a letter.
/// Equal names are not nearly alike, and numbers and single letters must be the same: `Bed 1` is not `Bed 2`.
pub fn nearly(a: &str, b: &str) -> bool {
    Spelling::of(a).nearly(&Spelling::of(b))
}

/// A name made ready to be compared with many others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spelling {
    run: String,
    /// The words that say something, in a run.
    said: String,
    /// Of these, those with figures, sorted.
    numbers: Vec<String>,
    /// And those without, in their order.
    plain: Vec<String>,
}

impl Spelling {
    /// Of a name as printed.
    pub fn of(name: &str) -> Self {
        let slug = slug(name);
        let words = slug.split('-').filter(|w| !w.is_empty() && !EMPTY_WORDS.contains(w));
        let (mut numbers, plain): (Vec<String>, Vec<String>) =
            words.clone().map(str::to_owned).partition(|word| has_digit(word));
        numbers.sort();
        Self { run: slug.replace('-', ""), said: words.collect(), numbers, plain }
    }

    /// Its letters and figures alone, in lower case: equal where two names are the same.
    pub fn run(&self) -> &str {
        &self.run
    }

    /// As [`nearly`].
    pub fn nearly(&self, other: &Self) -> bool {
        if self.said == other.said || self.said.is_empty() || other.said.is_empty() {
            return false;
        }
        if self.numbers != other.numbers {
            return false;
        }
        let (a, b) = (&self.plain, &other.plain);
        if a.is_empty() || b.is_empty() {
            return a.is_empty() && b.is_empty();
        }
        if a.len() != b.len() {
            // A space too much or too little, with a slip: long enough that a lone letter is no slip.
            let (a, b) = (a.concat(), b.concat());
            return a.chars().count().min(b.chars().count()) >= LONG_ENOUGH && one_slip(&a, &b);
        }
        let mut open: Vec<&String> = b.iter().collect();
        // Equal words first, so that an abbreviation does not take another word's place.
        let mut left = Vec::new();
        for word in a {
            match open.iter().position(|o| *o == word) {
                Some(at) => {
                    open.remove(at);
                }
                None => left.push(word),
            }
        }
        left.iter().all(|word| match open.iter().position(|o| words_alike(word, o)) {
            Some(at) => {
                open.remove(at);
                true
            }
            None => false,
        })
    }
}

/// Letters from which a name written in other words may be another's slip.
const LONG_ENOUGH: usize = 6;

/// Words that say nothing of which.
const EMPTY_WORDS: [&str; 7] = ["the", "of", "at", "no", "nr", "number", "and"];

fn has_digit(word: &str) -> bool {
    word.chars().any(char::is_numeric)
}

fn words_alike(a: &str, b: &str) -> bool {
    let (short, long) = if a.chars().count() <= b.chars().count() { (a, b) } else { (b, a) };
    let (few, many) = (short.chars().count(), long.chars().count());
    let abbreviated = long.starts_with(short) && (few <= 3 || many - few <= 2);
    abbreviated || left_out(short, long) || one_slip(a, b)
}

/// `lwn` for `lawn`, `frnt` for `front`: letters left out, the first and the last kept.
fn left_out(short: &str, long: &str) -> bool {
    let ends = short.chars().next() == long.chars().next() && short.chars().last() == long.chars().last();
    let mut rest = long.chars();
    short.chars().count() >= 2 && ends && short.chars().all(|c| rest.any(|l| l == c))
}

/// One letter more, less, other or changed places; two in long words.
fn one_slip(a: &str, b: &str) -> bool {
    let longest = a.chars().count().max(b.chars().count());
    let most = match longest {
        0..=3 => return false,
        4..=7 => 1,
        _ => 2,
    };
    // No fewer slips than letters more: most pairs of words end here.
    a.chars().count().abs_diff(b.chars().count()) <= most && distance(a, b) <= most
}

/// Optimal string alignment distance.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let at = |row: &[usize], j: usize| row.get(j).copied().unwrap_or(usize::MAX - 1);
            let mut least =
                (at(&last, j) + usize::from(x != y)).min(at(&last, j + 1) + 1).min(at(&row, j) + 1);
            let swapped = i > 0 && j > 0 && a.get(i - 1) == Some(y) && b.get(j - 1) == Some(x);
            if swapped {
                least = least.min(at(&before, j - 1) + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_of_one_name_are_nearly_alike() {
        for other in ["Frnt lawn", "Lawn, front", "Front lawns", "Fr. lawn", "Fornt lawn", "The front lwn"] {
            assert!(nearly("Front lawn", other), "{other}");
        }
        assert!(nearly("N 40 meadow", "North 40 meadow"));
        assert!(nearly("R. Tamsett", "Robin Tamsett"));
        assert!(nearly("Quarryside Meadows", "Quaryside Meadow"));
    }

    #[test]
    fn names_of_two_places_are_not() {
        for (a, b) in [
            ("Front lawn", "Back lawn"),
            ("North bed", "South bed"),
            ("East green", "West green"),
            ("Bed 1", "Bed 2"),
            ("Bed A", "Bed B"),
            ("Plot 12", "Plot 21"),
            ("Lawn", "Lawn 2"),
            ("Front lawn", "Front lawn east"),
            ("North 40", "North 400"),
            ("Upper field", "Lower field"),
            ("A. Vane", "B. Vane"),
        ] {
            assert!(!nearly(a, b), "{a} / {b}");
        }
    }

    #[test]
    fn equal_names_are_one_and_not_nearly_one() {
        assert!(!nearly("Front-Lawn", "front lawn"));
        assert!(!nearly("", "x"));
    }
}
