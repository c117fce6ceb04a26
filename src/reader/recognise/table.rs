//! The program's table of words.

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

/// A word without the strokes of ruled lines at its ends, and with `|`, `!`, `l` and `I` put right where that makes
/// it a word of the trade; none where nothing but strokes is left.
pub(super) fn mended(seen: Seen, known: &dyn Fn(&str) -> bool) -> Option<Seen> {
    let put_right = || {
        const ALIKE: [(&str, &str); 9] = [
            ("I", "l"),
            ("|", "l"),
            ("!", "l"),
            ("|", "I"),
            ("l", "I"),
            ("l", "1"),
            ("I", "1"),
            ("|", "1"),
            ("0", "O"),
        ];
        // Of a short word too little is left to tell by: `K20` may be a name.
        let long = seen.text.chars().count() > 3;
        ALIKE
            .iter()
            .filter(|(from, _)| *from != "0" || long)
            .map(|(from, to)| seen.text.replacen(from, to, 1))
            .find(|text| *text != seen.text && known(text))
    };
    // One sign alone is a stroke or a sign: there is nothing to put right by.
    let text = if seen.text.chars().count() > 1 && known(&seen.text) {
        seen.text.clone()
    } else {
        put_right()
            .filter(|text| text.chars().count() > 1)
            .unwrap_or_else(|| seen.text.trim_matches(['|', '_', '{', '}', '~', '`']).to_owned())
    };
    let strokes = |sign: char| matches!(sign, '[' | ']' | '‘' | '’' | '\'' | '"');
    (!text.chars().all(strokes)).then_some(Seen { text, ..seen })
}

/// `K20` on one line with `P2O5` is the oxide too, and no name.
pub(super) fn oxides(mut words: Vec<Seen>) -> Vec<Seen> {
    let lines: Vec<Rect> =
        words.iter().filter(|word| word.text.contains("P2O5")).map(|word| word.area).collect();
    for word in words.iter_mut().filter(|word| word.text == "K20") {
        if lines.iter().any(|line| line.overlap_y(&word.area) > 0.0) {
            "K2O".clone_into(&mut word.text);
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

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
    fn strokes_are_no_words_and_a_unit_is_put_right() {
        let mend = |text: &str| {
            let seen = Seen { text: text.into(), area: Rect::default(), confidence: 90.0 };
            mended(seen, &|word| ["lb/acre", "P1", "NH4OAc", "Iron", "K2O"].contains(&word))
                .map(|seen| seen.text)
        };
        assert_eq!(mend("|b/acre").as_deref(), Some("lb/acre"));
        assert_eq!(mend("Pl").as_deref(), Some("P1"));
        assert_eq!(mend("NH40Ac").as_deref(), Some("NH4OAc"));
        assert_eq!(mend("lron").as_deref(), Some("Iron"));
        assert_eq!(mend("K20").as_deref(), Some("K20"), "perhaps a name");
        assert_eq!(mend("|Hay").as_deref(), Some("Hay"));
        assert_eq!(mend("|"), None);
        assert_eq!(mend("-").as_deref(), Some("-"));
    }

    #[test]
    fn an_oxide_is_known_by_the_one_beside_it() {
        let at = |text: &str, x: f32, y: f32| Seen {
            text: text.into(),
            area: Rect::new(x, y, x + 20.0, y + 10.0),
            confidence: 90.0,
        };
        let words = oxides(vec![at("P2O5", 0.0, 0.0), at("K20", 50.0, 1.0), at("K20", 0.0, 40.0)]);
        let texts: Vec<&str> = words.iter().map(|word| word.text.as_str()).collect();
        assert_eq!(texts, ["P2O5", "K2O", "K20"]);
    }
}
