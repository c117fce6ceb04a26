//! Raised digits and letters at the end of words: marks of footnotes, and no part of the name or the number before them.

/// The words without their raised marks, and the marks as plain letters. `g/cm³` and `10³` are none.
pub fn apart(text: &str) -> (String, Vec<String>) {
    let mut marks = Vec::new();
    let words: Vec<&str> = text
        .split(' ')
        .map(|word| match of_word(word) {
            Some((own, raised)) => {
                marks.extend(raised);
                own
            }
            None => word,
        })
        .collect();
    (words.join(" "), marks)
}

/// The plain letters of a word that is raised marks and nothing else.
pub fn alone(word: &str) -> Option<String> {
    let letters: Option<String> = word.chars().map(plain).collect();
    letters.filter(|letters| !letters.is_empty() && letters.len() <= 2)
}

/// True for a text that opens with a raised mark: a footnote.
pub fn opens(text: &str) -> bool {
    text.trim_start().chars().next().is_some_and(|c| plain(c).is_some())
}

/// A word, and the marks behind it.
fn of_word(word: &str) -> Option<(&str, Vec<String>)> {
    if word.is_ascii() {
        return None;
    }
    let tail = |c: char| plain(c).is_some() || c == ',';
    let own = word.trim_end_matches(tail);
    let raised = word.get(own.len()..)?;
    // A comma of its own belongs to the word.
    let first = raised.find(|c| c != ',')?;
    let own = word.get(..own.len() + first)?;
    let marks: Vec<String> = raised
        .get(first..)?
        .split(',')
        .filter(|m| !m.is_empty())
        .map(|m| m.chars().filter_map(plain).collect())
        .collect();
    let lettered =
        |m: &String| m.chars().all(|c| c.is_ascii_digit()) && m.len() <= 2 || m.chars().count() == 1;
    let last = own.chars().next_back()?;
    let stands = last.is_alphanumeric() || matches!(last, '.' | '%' | ')' | ']' | ',');
    (stands && !power(own, &marks) && marks.iter().all(lettered)).then_some((own, marks))
}

/// `cm³`, `10⁶`, `nᵒ`.
fn power(own: &str, marks: &[String]) -> bool {
    const LENGTHS: &[&str] = &["m", "cm", "dm", "mm", "km", "hm", "ft", "in", "yd", "s"];
    let unit = own.rsplit(|c: char| !c.is_alphabetic()).next().unwrap_or_default().to_lowercase();
    let figure = marks.iter().all(|m| m.chars().all(|c| c.is_ascii_digit()));
    let number = own.rsplit(|c: char| !c.is_ascii_digit()).next().unwrap_or_default();
    figure && (LENGTHS.contains(&unit.as_str()) || number == "10" && own.ends_with("10"))
        || matches!(own, "n" | "N") && marks.iter().any(|m| m == "o")
}

/// The letter that a raised one stands for.
fn plain(c: char) -> Option<char> {
    const RAISED: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹ᵃᵇᶜᵈᵉᶠᵍʰⁱʲᵏˡᵐⁿᵒᵖʳˢᵗᵘᵛʷˣʸᶻ";
    const PLAIN: &str = "0123456789abcdefghijklmnoprstuvwxyz";
    RAISED.chars().zip(PLAIN.chars()).find(|(raised, _)| *raised == c).map(|(_, plain)| plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> (String, String) {
        let (words, marks) = apart(text);
        (words, marks.join(" "))
    }

    #[test]
    fn marks_are_no_part_of_names_and_numbers() {
        assert_eq!(of("pH¹"), ("pH".to_owned(), "1".to_owned()));
        assert_eq!(of("31²"), ("31".to_owned(), "2".to_owned()));
        assert_eq!(of("O.M.²"), ("O.M.".to_owned(), "2".to_owned()));
        assert_eq!(of("Zn¹,³"), ("Zn".to_owned(), "1 3".to_owned()));
        assert_eq!(of("Kᵃ mg/kg"), ("K mg/kg".to_owned(), "a".to_owned()));
    }

    #[test]
    fn powers_and_charges_are_no_marks() {
        for text in ["g/cm³", "10³", "m²", "cmol kg⁻¹", "Ca²⁺", "1ˢᵗ", "nᵒ", "²", "plain words"]
        {
            assert_eq!(of(text), (text.to_owned(), String::new()));
        }
        assert!(opens("¹ Olsen") && !opens("1 Olsen"));
        assert_eq!(alone("¹²").as_deref(), Some("12"));
        assert_eq!((alone("31²"), alone("1"), alone("")), (None, None, None));
    }
}
