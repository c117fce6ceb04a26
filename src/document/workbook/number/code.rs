//! Written number formats taken apart: sections, conditions, words and places.

use super::{Comparison, Digits, Pattern, Section};

/// The sections of a written format, at most four.
pub(super) fn sections(code: &str) -> Vec<Section> {
    let mut sections = vec![Lexer::default()];
    let mut letters = code.chars().take(1_000).peekable();
    while let Some(letter) = letters.next() {
        let Some(now) = sections.last_mut() else { break };
        match letter {
            ';' => {
                sections.push(Lexer::default());
            }
            '"' => letters.by_ref().take_while(|c| *c != '"').for_each(|c| now.literal(c)),
            '\\' => letters.next().into_iter().for_each(|c| now.literal(c)),
            '_' => {
                letters.next();
                now.literal(' ');
            }
            '*' => {
                letters.next();
            }
            '[' => now.bracket(&letters.by_ref().take_while(|c| *c != ']').collect::<String>()),
            'G' | 'g' if general(&mut letters) => now.general = true,
            'E' | 'e' if matches!(letters.peek(), Some('+' | '-')) => {
                letters.next();
                now.exponent = true;
            }
            _ => now.letter(letter),
        }
    }
    sections.into_iter().take(4).map(Lexer::section).collect()
}

fn general(letters: &mut std::iter::Peekable<impl Iterator<Item = char> + Clone>) -> bool {
    let word: String = letters.clone().take(6).collect();
    let found = word.eq_ignore_ascii_case("eneral");
    if found {
        letters.by_ref().take(6).for_each(drop);
    }
    found
}

/// A section on the way.
#[derive(Default)]
struct Lexer {
    condition: Option<(Comparison, f64)>,
    before: String,
    after: String,
    general: bool,
    text: bool,
    odd: bool,
    digits: bool,
    point: bool,
    percent: bool,
    exponent: bool,
    elapsed: bool,
    places: usize,
    least: usize,
    most: usize,
    date: bool,
    day: bool,
    months: bool,
    time: bool,
}

impl Lexer {
    fn literal(&mut self, letter: char) {
        let numbered = self.digits || self.general || self.date || self.time || self.months;
        let place = if numbered { &mut self.after } else { &mut self.before };
        place.push(letter);
    }

    fn bracket(&mut self, inner: &str) {
        if let Some(currency) = inner.strip_prefix('$') {
            currency.split('-').next().unwrap_or_default().chars().for_each(|c| self.literal(c));
            return;
        }
        if !inner.is_empty() && inner.chars().all(|c| matches!(c.to_ascii_lowercase(), 'h' | 'm' | 's')) {
            self.elapsed = true;
            return;
        }
        let (comparison, rest) = match inner.as_bytes() {
            [b'<', b'>', ..] => (Comparison::Unequal, inner.get(2..)),
            [b'<', b'=', ..] => (Comparison::LessOrEqual, inner.get(2..)),
            [b'>', b'=', ..] => (Comparison::GreaterOrEqual, inner.get(2..)),
            [b'<', ..] => (Comparison::Less, inner.get(1..)),
            [b'>', ..] => (Comparison::Greater, inner.get(1..)),
            [b'=', ..] => (Comparison::Equal, inner.get(1..)),
            // A colour.
            _ => return,
        };
        self.condition = rest.and_then(|r| r.trim().parse().ok()).map(|bound| (comparison, bound));
    }

    fn letter(&mut self, letter: char) {
        match letter {
            '0' | '#' | '?' => {
                // Words between the digits: a pattern for telephone numbers and the like.
                self.odd |= self.digits && !self.after.is_empty();
                self.digits = true;
                match (self.exponent, self.point, letter) {
                    (true, ..) => {}
                    (_, true, '0') => (self.most, self.least) = (self.most + 1, self.most + 1),
                    (_, true, _) => self.most += 1,
                    (_, false, '0') => self.places += 1,
                    (_, false, _) => {}
                }
            }
            '.' => self.point = true,
            ',' => {}
            '%' => {
                self.percent = true;
                self.literal('%');
            }
            '@' => self.text = true,
            '/' if self.digits => self.odd = true,
            'y' | 'Y' | 'e' => self.date = true,
            'd' | 'D' => (self.date, self.day) = (true, true),
            'm' | 'M' => self.months = true,
            'h' | 'H' | 's' | 'S' => self.time = true,
            'A' | 'a' | 'P' | 'p' if self.time || self.months => {}
            _ => self.literal(letter),
        }
    }

    fn section(self) -> Section {
        let dated = self.date || self.time || self.months;
        let pattern = if self.text || self.general || self.odd || self.elapsed {
            Pattern::General
        } else if dated && !self.exponent {
            // Months and minutes share a letter: it means minutes where hours or seconds stand and no day or year.
            let date = self.date || (self.months && !self.time);
            let day = self.day || (date && self.time);
            return Section {
                condition: self.condition,
                pattern: Pattern::Date { date, day, time: self.time },
                ..Section::default()
            };
        } else if self.digits {
            Pattern::Digits(Digits {
                places: self.places,
                least: self.least,
                most: self.most,
                percent: self.percent,
                exponent: self.exponent,
            })
        } else {
            Pattern::Words
        };
        let words = !matches!(pattern, Pattern::General) || self.general;
        let (before, after) = if words { (self.before, self.after) } else { Default::default() };
        Section { condition: self.condition, before, after, pattern }
    }
}
