//! `Hoyo 3 n.º 0775-1`: a name, and behind or before it a number that a word asks for.

use super::super::super::numbered::{FIGURES, figures};
use super::super::super::words::List;
use super::super::parted::holds;
use super::Found;

/// A name and the number beside it.
struct Asked {
    name: String,
    number: String,
}

fn bare(word: &str) -> String {
    word.trim_matches(['.', ':', ',', ';', '(', ')', '[', ']']).to_lowercase()
}

/// True for `no.`, `Nr.`, `n.º`, `lab`.
fn asks(word: &str) -> bool {
    List::AsksNumber.has(&bare(word))
}

/// A number of a laboratory's: one word with as many figures as no count of greens or fields has.
fn number(word: &str) -> Option<String> {
    let word = word.trim_matches(['.', ':', ',', ';', '(', ')', '[', ']']).trim_start_matches('#');
    let plain = word.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '/' | '-' | '.' | '_'));
    (plain && figures(word) >= FIGURES).then(|| word.to_owned())
}

/// Words without the strokes and brackets at their ends.
fn name(words: &[&str]) -> Option<String> {
    let name = words.join(" ");
    let name = name.trim_matches([' ', '-', '|', ',', ';', ':', '·', '(', '[']).to_owned();
    name.contains(char::is_alphabetic).then_some(name)
}

fn asked(label: &str) -> Option<Asked> {
    let words: Vec<&str> = label.split(' ').filter(|w| !w.is_empty()).collect();
    // `#4471` asks by itself.
    let own = |w: &str| w.trim_start_matches(['(', '[']).starts_with('#');
    let (last, before) = words.split_last()?;
    let behind = || {
        let number = number(last)?;
        let end = before.iter().rposition(|w| !asks(w)).map_or(0, |i| i + 1);
        let told = own(last) || end < before.len();
        Some(Asked { name: name(before.get(..end)?)?, number }).filter(|_| told)
    };
    let first = || {
        let end = words.iter().position(|w| !asks(w))?;
        let number = number(words.get(end)?)?;
        let told = end > 0 || words.first().is_some_and(|w| own(w));
        Some(Asked { name: name(words.get(end + 1..)?)?, number }).filter(|_| told)
    };
    behind().or_else(first)
}

/// The count at the end of a number, and what stands before it.
fn counted(number: &str) -> Option<(&str, u64)> {
    let at = number.rfind(|c: char| !c.is_ascii_digit()).map_or(0, |i| i + 1);
    let (stem, count) = number.split_at(at);
    Some((stem, count.parse().ok()?))
}

/// True where numbers run on from one another, none twice.
fn run_on(numbers: &[&str]) -> bool {
    let Some(counts) = numbers.iter().map(|n| counted(n)).collect::<Option<Vec<_>>>() else { return false };
    let next = |w: &[(&str, u64)]| matches!(w, [a, b] if a.0 == b.0 && a.1.checked_add(1) == Some(b.1));
    counts.len() > 1 && counts.windows(2).all(next)
}

fn unlike(texts: &[&str]) -> bool {
    let mut texts: Vec<String> = texts.iter().map(|t| t.to_lowercase()).collect();
    let all = texts.len();
    texts.sort_unstable();
    texts.dedup();
    texts.len() == all
}

/// True for `Plot`, whose number is the rest of its name.
fn ground(name: &str) -> bool {
    let word = name.to_lowercase();
    [List::Place, List::Ground, List::AskedPlace, List::AsksPlace].iter().any(|list| list.has(&word))
}

/// `Green 2 Lab no`: words that ask for a number which stands elsewhere. `Cottage lab` may be a place.
fn asks_at_its_end(label: &str) -> bool {
    let words: Vec<&str> = label.split(' ').filter(|w| !w.is_empty()).collect();
    let asking = words.iter().rev().take_while(|w| asks(w)).count();
    let place = asking == 1 && words.last().is_some_and(|w| List::Laboratory.has(&bare(w)));
    asking > 0 && asking < words.len() && !place
}

/// Names that end in words which ask for a number wait.
pub(super) fn asking(labels: &[&str]) -> Vec<Option<Found>> {
    let why =
        |label: &str| format!("`{label}` ends in words that ask for a number, which are no part of a name.");
    labels.iter().map(|label| asks_at_its_end(label).then(|| Found::Unsure(why(label)))).collect()
}

/// The laboratory's number comes off the names of a report that has one behind each, where names and numbers are all
/// unlike and the numbers run on, or hold the report's. `Plot no. 101` is a name; any other waits.
pub(super) fn numbers(labels: &[&str], report: Option<&str>) -> Vec<Option<Found>> {
    let found: Vec<Option<Asked>> = labels.iter().map(|l| asked(l)).collect();
    let names: Vec<&str> = found.iter().flatten().map(|a| a.name.as_str()).collect();
    let numbers: Vec<&str> = found.iter().flatten().map(|a| a.number.as_str()).collect();
    let of_report = |a: &Asked| report.is_some_and(|report| holds(&a.number, report));
    let all = names.len() == labels.len() && unlike(&names) && unlike(&numbers);
    let certain = all && (run_on(&numbers) || found.iter().flatten().all(of_report));
    // One name before unlike numbers is a word for the ground, which its number tells from the next, however short: `Sy. No.
    // 14/2` beside `Sy. No. 15`.
    let one = labels.len() > 1 && unlike(labels) && names.first().is_some_and(|name| all_of(name, labels));
    let judge = |(label, asked): (&&str, Option<Asked>)| {
        let asked = asked?;
        if certain {
            return Some(Found::Numbered(asked.name, asked.number));
        }
        let whole = ground(&asked.name) || one;
        (!whole).then(|| {
            Found::Unsure(format!(
                "`{label}` may hold a number of the laboratory's that is no part of the name."
            ))
        })
    };
    labels.iter().zip(found).map(judge).collect()
}

/// True where every label is this name, a word that asks for a number, and one number behind it.
fn all_of(name: &str, labels: &[&str]) -> bool {
    labels.iter().all(|label| {
        let words: Vec<&str> = label.split(' ').filter(|w| !w.is_empty()).collect();
        let Some((last, before)) = words.split_last() else { return false };
        let end = before.iter().rposition(|w| !asks(w)).map_or(0, |i| i + 1);
        let asked = end < before.len() || last.starts_with('#');
        let own = before.get(..end).and_then(self::name);
        asked && last.contains(|c: char| c.is_ascii_digit()) && own.as_deref() == Some(name)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(report: Option<&str>, labels: &[&str]) -> Vec<Option<Found>> {
        numbers(labels, report)
    }

    #[test]
    fn a_name_that_ends_in_words_that_ask_for_a_number_waits() {
        for label in ["Green 2 Lab no", "Hoyo 3 n.º", "Practice green Lab. Nr."] {
            assert!(matches!(asking(&[label])[..], [Some(Found::Unsure(_))]), "{label}");
        }
        assert_eq!(asking(&["Cottage lab", "Green 2", "No"]), [None, None, None]);
    }

    #[test]
    fn a_number_that_a_word_asks_for_comes_off_the_names() {
        for labels in [
            ["Hoyo 3 n.o 0775-1", "Vivero n.o 0775-2"],
            ["Hoyo 3 No. 0775-1", "Vivero No. 0775-2"],
            ["Hoyo 3 - Nr. 0775/1", "Vivero - Nr. 0775/2"],
            ["Hoyo 3 (Lab no. 0775.1)", "Vivero (Lab no. 0775.2)"],
            ["Hoyo 3 #771", "Vivero #772"],
            ["No. 771 Hoyo 3", "No. 772 Vivero"],
        ] {
            let found = of(None, &labels);
            let name = |f: &Option<Found>| match f {
                Some(Found::Numbered(name, number)) => format!("{name}|{}", figures(number)),
                other => format!("{other:?}"),
            };
            let names: Vec<String> = found.iter().map(name).collect();
            assert!(names[0].starts_with("Hoyo 3|") && names[1].starts_with("Vivero|"), "{names:?}");
        }
        let one = of(Some("TZ-0775/25"), &["Hoyo 3 n.o 0775-1"]);
        assert_eq!(one, [Some(Found::Numbered("Hoyo 3".to_owned(), "0775-1".to_owned()))]);
    }

    #[test]
    fn what_may_be_the_clients_waits_and_a_number_of_the_ground_is_its_own() {
        for labels in [
            ["Hoyo 3 n.o 0775-1", "Vivero n.o 0918-4"],
            ["Hoyo 3 n.o 0775-1", "Vivero n.o 0775-1"],
            ["Hoyo 3 n.o 0775-1", "Vivero"],
            ["Qwert no. 1402", "Qwert no. 1402"],
            ["Qwert no. 1402", "Qwert 15"],
        ] {
            assert!(matches!(of(None, &labels)[0], Some(Found::Unsure(_))), "{labels:?}");
        }
        for labels in [
            ["Plot no. 101", "Plot no. 102"],
            ["Green No. 7", "Green No. 8"],
            ["Lote n.o 1204", "Vivero"],
            ["Moss no. 101", "Moss no. 102"],
            ["Lab 4471", "Lab 4472"],
            ["Sy. No. 14/2", "Sy. No. 15"],
            ["Qwert no. 1402", "Qwert no. 22/A"],
        ] {
            assert!(of(None, &labels).iter().all(Option::is_none), "{labels:?}");
        }
    }
}
