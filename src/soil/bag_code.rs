//! Short sample codes for bags: letters and figures that are not taken for each other, and a check character.
//!
//! The check character is that of ISO/IEC 7064, hybrid system MOD 37,36, over the figures and letters of the code. It
//! finds every single wrong character and nearly every exchange of two neighbours. The code itself is ours: three
//! letters of the site, four drawn characters, the check character; codes whose check character could be misread are
//! not issued.

use super::site::slug;

/// Characters that codes are made of: without I, L, O, 0 and 1.
const ALPHABET: &str = "23456789ABCDEFGHJKMNPQRSTUVWXYZ";
/// All values of the standard, in its order.
const VALUES: &str = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
/// Characters of a code, its check character among them.
const LENGTH: usize = 8;
/// Letters of the site at its head.
const HEAD: usize = 3;

/// The check character of ISO/IEC 7064 MOD 37,36 for figures and capital letters; none for other characters.
pub fn check_character(body: &str) -> Option<char> {
    let modulus = VALUES.len();
    let mut product = modulus;
    for c in body.chars() {
        let value = VALUES.chars().position(|v| v == c)?;
        let sum = (product + value) % modulus;
        product = if sum == 0 { modulus } else { sum } * 2 % (modulus + 1);
    }
    VALUES.chars().nth((modulus + 1 - product) % modulus)
}

/// A code for a site, drawn from a number; none where its check character could be misread (draw the next then).
pub fn made(site: &str, drawn: u64) -> Option<String> {
    let letters = ALPHABET.chars().filter(char::is_ascii_alphabetic).collect::<String>();
    let mut head: String = slug(site)
        .to_uppercase()
        .chars()
        .filter(|c| letters.contains(*c) && !"AEU".contains(*c))
        .take(HEAD)
        .collect();
    while head.len() < HEAD {
        head.push('X');
    }
    let base = ALPHABET.len() as u64;
    let mut rest = drawn;
    for _ in HEAD..LENGTH - 1 {
        head.push(ALPHABET.chars().nth(usize::try_from(rest % base).ok()?)?);
        rest /= base;
    }
    let check = check_character(&head)?;
    ALPHABET.contains(check).then(|| format!("{head}{check}"))
}

/// As it is written on a bag: `GRN-7K3Q-X`.
pub fn written(code: &str) -> String {
    let part = |from: usize, to: usize| code.chars().skip(from).take(to - from).collect::<String>();
    format!("{}-{}-{}", part(0, HEAD), part(HEAD, LENGTH - 1), part(LENGTH - 1, LENGTH))
}

/// What may be a code in a label, upper case without signs between: runs of neighbouring words that have its length
/// together. Whether the check character fits is not asked.
pub fn candidates(label: &str) -> Vec<String> {
    let words: Vec<String> = label
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_uppercase)
        .collect();
    let mut found = Vec::new();
    for from in 0..words.len() {
        let mut run = String::new();
        for word in words.iter().skip(from) {
            run.push_str(word);
            let length = run.chars().count();
            if length == LENGTH && run.is_ascii() {
                found.push(run.clone());
            }
            if length >= LENGTH {
                break;
            }
        }
    }
    found
}

/// True where the check character of a candidate is right.
pub fn is_sound(candidate: &str) -> bool {
    candidate.split_at_checked(LENGTH - 1).is_some_and(|(body, check)| {
        check_character(body).is_some_and(|c| check.len() == 1 && check.starts_with(c))
    })
}

/// True where a candidate is an issued code with at most two characters misread or two neighbours exchanged.
pub fn nearly_code(candidate: &str, issued: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (candidate.chars().collect(), issued.chars().collect());
    a.len() == b.len() && a != b && a.iter().zip(&b).filter(|(x, y)| x != y).count() <= 2
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_character_is_that_of_the_standard() {
        // The example number of the global release identifier, which uses MOD 37,36; from memory.
        assert_eq!(check_character("A12425GABC1234002"), Some('M'));
    }

    #[test]
    fn every_single_wrong_character_is_found() {
        let code =
            made("green-front-lawn", 7_654_321).or_else(|| made("green-front-lawn", 7_654_322)).unwrap();
        assert!(is_sound(&code), "{code}");
        for at in 0..code.len() {
            for c in VALUES.chars() {
                let mut other: Vec<char> = code.chars().collect();
                if other[at] != c {
                    other[at] = c;
                    assert!(!is_sound(&other.iter().collect::<String>()), "{code} {at} {c}");
                }
            }
        }
    }

    #[test]
    fn codes_use_no_character_that_is_taken_for_another() {
        let codes: Vec<String> = (0..2000).filter_map(|n| made("oil-1-lot-0", n * 7919)).collect();
        assert!(codes.len() > 1500, "{}", codes.len());
        assert!(codes.iter().all(|c| !c.contains(['I', 'L', 'O', '0', '1']) && c.len() == LENGTH));
        assert!(codes.iter().all(|c| is_sound(c)));
    }

    #[test]
    fn a_code_is_found_in_a_label_however_it_is_spaced() {
        let code = (0..).find_map(|n| made("green", n)).unwrap();
        let shown = written(&code);
        for label in [
            shown.clone(),
            format!("{} lawn", shown.to_lowercase()),
            format!("Front lawn {}", shown.replace('-', " ")),
            format!("({code})"),
        ] {
            assert!(candidates(&label).contains(&code), "{label}");
        }
        assert!(candidates("Front lawn").is_empty() || candidates("Front lawn").iter().all(|c| !is_sound(c)));
    }
}
