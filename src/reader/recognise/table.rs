//! The program's table of words, and the agreement of two readings of one sheet.

use crate::place::Rect;
use unicode_normalization::UnicodeNormalization as _;

/// A word as one reading sees it, its box in pixels of the sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seen {
    /// Its letters.
    pub(super) text: String,
    /// Its box.
    pub(super) area: Rect,
    /// 0 to 100.
    pub(super) confidence: f32,
}

/// Confidence of a number that the two readings do not agree on: below the half, so that it is held.
const DOUBTED: f32 = 40.0;

/// Share of a box that must lie in the other to be the same print.
const SHARED: f32 = 0.5;

/// The words of a table with the columns level, page, block, paragraph, line, word, left, top, width,
/// height, confidence, text. Rows that are no words are left out.
pub(super) fn words(table: &str) -> Vec<Seen> {
    table.lines().filter_map(word).collect()
}

fn word(row: &str) -> Option<Seen> {
    let mut cells = row.splitn(12, '\t');
    let level = cells.next()?;
    let mut numbers = [0.0_f32; 5];
    for (slot, cell) in numbers.iter_mut().zip(cells.by_ref().skip(5)) {
        *slot = cell.parse().ok()?;
    }
    let [left, top, width, height, confidence] = numbers;
    let text: String = cells.next()?.trim().nfc().filter(|letter| !letter.is_control()).collect();
    if level != "5" || text.is_empty() || !confidence.is_finite() {
        return None;
    }
    let area = Rect::new(left, top, left + width, top + height);
    Some(Seen { text, area, confidence: confidence.clamp(0.0, 100.0) })
}

/// The words of the first reading, their confidence settled by the second: the higher of both where they
/// agree, doubted where they differ and either holds a digit. Numbers that only the second sees are
/// added, doubted.
pub(super) fn settle(first: Vec<Seen>, second: &[Seen]) -> Vec<Seen> {
    let mut used = vec![false; second.len()];
    let mut settled = Vec::with_capacity(first.len());
    for mut word in first {
        let mut there: Vec<&Seen> = Vec::new();
        for (other, used) in second.iter().zip(used.iter_mut()) {
            if same_place(&word.area, &other.area) {
                *used = true;
                there.push(other);
            }
        }
        there.sort_by(|one, other| one.area.x0.total_cmp(&other.area.x0));
        let other: String = there.iter().map(|other| other.text.as_str()).collect();
        if bare(&other) == bare(&word.text) {
            let sure = there.iter().map(|other| other.confidence).fold(f32::INFINITY, f32::min);
            word.confidence = word.confidence.max(if sure.is_finite() { sure } else { 0.0 });
        } else if has_digit(&word.text) || has_digit(&other) {
            word.confidence = word.confidence.min(DOUBTED);
            // Points get lost; whoever settles the doubt is shown the reading that kept it.
            if bare(&other).replace('.', "") == bare(&word.text) {
                word.text = other;
            }
        }
        settled.push(word);
    }
    let missed = second.iter().zip(used).filter(|(word, used)| !used && has_digit(&word.text));
    settled.extend(missed.map(|(word, _)| Seen { confidence: word.confidence.min(DOUBTED), ..word.clone() }));
    settled
}

fn has_digit(text: &str) -> bool {
    text.chars().any(|letter| letter.is_ascii_digit())
}

/// The text without the strokes of ruled lines, which come and go with the preparation.
fn bare(text: &str) -> &str {
    text.trim_matches(['|', '_', '[', ']', '{', '}', '‘', '’', '\'', '`', '~', '—'])
}

fn same_place(one: &Rect, other: &Rect) -> bool {
    let narrower = one.width().min(other.width()).max(1.0);
    let lower = one.height().min(other.height()).max(1.0);
    one.overlap_x(other) >= SHARED * narrower && one.overlap_y(other) >= SHARED * lower
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(text: &str, x: f32, confidence: f32) -> Seen {
        Seen { text: text.to_owned(), area: Rect::new(x, 100.0, x + 30.0, 120.0), confidence }
    }

    #[test]
    fn rows_of_words_are_read_and_others_are_not() {
        let table = "level\tpage_num\tblock_num\tpar_num\tline_num\tword_num\tleft\ttop\twidth\theight\tconf\ttext\n\
            4\t1\t1\t1\t1\t0\t10\t20\t300\t12\t-1\t\n\
            5\t1\t1\t1\t1\t1\t10\t20\t30\t12\t96.5\t6.4\n\
            5\t1\t1\t1\t1\t2\t50\t20\t30\t12\t91\t \n";
        assert_eq!(
            words(table),
            [Seen { text: "6.4".into(), area: Rect::new(10.0, 20.0, 40.0, 32.0), confidence: 96.5 }]
        );
    }

    #[test]
    fn a_lost_decimal_point_is_doubted_however_sure_the_reading_was() {
        let settled = settle(vec![seen("64", 10.0, 96.0)], &[seen("6.4", 11.0, 95.0)]);
        assert_eq!(settled, [seen("6.4", 10.0, DOUBTED)]);
        let lone = settle(vec![seen("64", 10.0, 96.0)], &[]);
        assert_eq!(lone, [seen("64", 10.0, DOUBTED)]);
    }

    #[test]
    fn agreement_takes_the_surer_reading() {
        let settled = settle(vec![seen("6.4", 10.0, 60.0)], &[seen("|6.4", 11.0, 95.0)]);
        assert_eq!(settled, [seen("6.4", 10.0, 95.0)]);
    }

    #[test]
    fn words_without_digits_keep_their_confidence() {
        assert_eq!(
            settle(vec![seen("lime", 10.0, 60.0)], &[seen("time", 10.0, 95.0)]),
            [seen("lime", 10.0, 60.0)]
        );
    }

    #[test]
    fn a_letter_taken_for_a_digit_is_doubted_and_a_missed_number_is_added() {
        assert_eq!(
            settle(vec![seen("O.S", 10.0, 90.0)], &[seen("0.5", 10.0, 95.0)]),
            [seen("O.S", 10.0, DOUBTED)]
        );
        assert_eq!(settle(vec![], &[seen("9", 200.0, 95.0)]), [seen("9", 200.0, DOUBTED)]);
    }
}
