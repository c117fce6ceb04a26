//! The agreement of several readings of one print.
//!
//! Two readings look at the whole sheet, two more at each number by itself, all on differently prepared pixels;
//! the ink says how many figures and where a point. A number counts only where enough of them say the same.

use super::figures::Alike;
use super::ink::Ink;
use super::table::Seen;
use crate::place::Rect;

/// Confidence of what the readings do not agree on: below the half, so that it is held.
const DOUBTED: f32 = 40.0;

/// Confidence of what enough of them agree on while the ink is unclear.
const AGREED: f32 = 75.0;

/// Confidence of what two agree on and the ink has room for, while others read otherwise: another witness may
/// settle it.
const DIVIDED: f32 = 55.0;

/// Confidence at least of what the ink agrees with too.
const SEEN_IN_THE_INK: f32 = 90.0;

/// Share of a box that must lie in the other to be the same print.
const SHARED: f32 = 0.5;

/// Confidence from which a word counts that only the second reading sees.
const SEEN_ONCE: f32 = 50.0;

/// A print and what each reading of the whole sheet takes it for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Print {
    /// Its box in pixels of the sheet.
    pub(super) area: Rect,
    first: Option<(String, f32)>,
    second: Option<(String, f32)>,
}

impl Print {
    /// True where a reading sees a digit: a number, a date, a code.
    pub(super) fn has_digit(&self) -> bool {
        self.texts().any(digits)
    }

    /// True where a reading sees nothing but the signs of a number.
    pub(super) fn is_number(&self) -> bool {
        let sign = |sign: char| sign.is_ascii_digit() || SIGNS.contains(sign);
        self.texts().any(|text| digits(text) && text.chars().all(sign))
    }

    /// True where the sheet's readings take it for different things, and a third may settle it.
    pub(super) fn is_contested(&self) -> bool {
        self.has_digit()
            || matches!((&self.first, &self.second), (Some(one), Some(other)) if bare(&one.0) != bare(&other.0))
    }

    /// The texts of the sheet's readings.
    pub(super) fn texts(&self) -> impl Iterator<Item = &str> {
        self.first.iter().chain(&self.second).map(|(text, _)| bare(text))
    }
}

/// The signs of numbers beside the digits.
pub(super) const SIGNS: &str = ".,<>-+%";

/// The prints that two readings of a sheet see. Where one sees a print whole and the other slivers of it, the
/// whole counts; where one runs neighbours together, the neighbours do.
pub(super) fn prints(first: Vec<Seen>, second: Vec<Seen>) -> Vec<Print> {
    let mut used = vec![false; second.len()];
    let mut prints: Vec<Print> = Vec::with_capacity(first.len());
    // Which print each word of the second reading went to.
    let mut whole: Vec<Option<usize>> = vec![None; second.len()];
    for word in first {
        let at = prints.len();
        let mut there: Vec<&Seen> = Vec::new();
        let mut joined = None;
        for ((other, used), whole) in second.iter().zip(used.iter_mut()).zip(whole.iter_mut()) {
            if same_print(&word, other) {
                *used = true;
                if let Some(before) = whole.filter(|before| sliver(prints.get(*before), &word, other)) {
                    joined = Some(before);
                }
                whole.get_or_insert(at);
                there.push(other);
            }
        }
        if let Some(print) = joined.and_then(|before| prints.get_mut(before)) {
            print.area = print.area.union(&word.area);
            if let Some((text, sure)) = &mut print.first {
                text.push_str(&word.text);
                *sure = sure.min(word.confidence);
            }
            continue;
        }
        there.sort_by(|one, other| one.area.x0.total_cmp(&other.area.x0));
        if parted(&word, &there) {
            prints.extend(there.iter().map(|part| Print {
                area: part.area,
                first: Some((part.text.clone(), word.confidence)),
                second: Some((part.text.clone(), part.confidence)),
            }));
            continue;
        }
        let text: String = there.iter().map(|other| other.text.as_str()).collect();
        let sure = there.iter().map(|other| other.confidence).fold(f32::INFINITY, f32::min);
        let area = match there.as_slice() {
            [one] if digits(&one.text) && one.area.width() > word.area.width() && !digits(&word.text) => {
                one.area
            }
            // A reading that makes nothing of a print is not sure of its edges either.
            [one]
                if one.confidence > word.confidence + MUCH_SURER
                    && one.area.width() < 1.5 * word.area.width() =>
            {
                one.area
            }
            _ => word.area,
        };
        prints.push(Print {
            area,
            first: Some((word.text, word.confidence)),
            second: (!text.is_empty()).then_some((text, sure)),
        });
    }
    let missed = second.into_iter().zip(used).filter(|(_, used)| !used);
    prints.extend(missed.map(|(word, _)| Print {
        area: word.area,
        first: None,
        second: Some((word.text, word.confidence)),
    }));
    prints
}

/// True where the other reading sees the same letters as several words with room between them: a lost space makes
/// another name of `Meadow B`.
fn parted(word: &Seen, there: &[&Seen]) -> bool {
    let room = |pair: &[&Seen]| match pair {
        [one, next] => next.area.x0 - one.area.x1 > SPACE * word.area.height(),
        _ => false,
    };
    let letters = |part: &&Seen| part.text.chars().any(char::is_alphabetic);
    there.len() > 1
        && there.iter().any(letters)
        && there.windows(2).all(room)
        && there.iter().map(|part| bare(&part.text)).collect::<String>() == bare(&word.text)
}

/// Words stand apart by this share of their height at least.
const SPACE: f32 = 0.12;

/// True where a word is the next sliver of what the other reading sees whole, a number.
fn sliver(before: Option<&Print>, word: &Seen, whole: &Seen) -> bool {
    let high = whole.area.height();
    digits(&whole.text)
        && before
            .is_some_and(|print| word.area.x0 - print.area.x1 < CLOSE * high && print.area.x0 < word.area.x0)
}

/// Slivers of one print stand closer than this share of its height.
const CLOSE: f32 = 0.5;

fn digits(text: &str) -> bool {
    text.chars().any(|sign| sign.is_ascii_digit())
}

/// What the print itself shows of a text read there.
pub(super) struct Seeing<'s> {
    /// Its figures and points.
    pub(super) ink: &'s dyn Fn(&str) -> Ink,
    /// Its figures beside the others of the sheet.
    pub(super) alike: &'s dyn Fn(&str) -> Alike,
}

/// What a number is taken for by all that read it, three at least.
pub(super) fn undisputed<'p>(print: &'p Print, alone: &'p [Option<String>]) -> Option<&'p str> {
    let mut votes = print.texts().chain(alone.iter().flatten().map(|text| bare(text))).map(unended);
    let first = votes.next().filter(|text| digits(text))?;
    let mut others = 0;
    votes
        .all(|vote| {
            others += 1;
            vote == first
        })
        .then_some(first)
        .filter(|_| others >= 2)
}

/// The word of a print; none where it is nothing to go by. `alone` holds what the readings of the number by
/// itself say, `seeing` judges a text, `known` says whether a word is one of the trade's.
pub(super) fn word(
    print: &Print,
    alone: &[Option<String>],
    seeing: &Seeing<'_>,
    known: &dyn Fn(&str) -> bool,
) -> Option<Seen> {
    let area = print.area;
    if !print.has_digit() {
        let third = alone.iter().flatten().map(|text| bare(text)).next_back();
        return plain(print, third, known).map(|(text, confidence)| Seen { text, area, confidence });
    }
    let alone = alone.iter().flatten().map(|text| bare(text));
    let votes: Vec<&str> = print.texts().chain(alone).map(unended).filter(|text| !text.is_empty()).collect();
    let sure = [&print.first, &print.second].into_iter().flatten().map(|(_, sure)| *sure).fold(0.0, f32::max);
    if !print.is_number()
        && let Some(text) = votes.iter().find(|text| known(text))
    {
        return Some(Seen { text: (*text).to_owned(), area, confidence: sure });
    }
    let numbers: Vec<&str> = votes.iter().copied().filter(|text| digits(text)).collect();
    let (best, verdict) =
        numbers.iter().map(|text| (*text, Votes::of(text, &numbers, seeing))).rev().max_by_key(
            |(text, votes)| (votes.weight(), numbers.iter().filter(|vote| *vote == text).count()),
        )?;
    let confidence = verdict.confidence().map_or(sure.min(DOUBTED), |least| match verdict.ink {
        Ink::Agrees if least > AGREED => sure.max(least),
        _ => least,
    });
    // A point that ends a sentence stays where the ink has it: a lone figure without it looks like a mark.
    let ended = |text: &&str| *text != best && unended(text) == best && (seeing.ink)(text) == Ink::Agrees;
    let text = print.texts().find(ended).unwrap_or(best).to_owned();
    Some(Seen { text, area, confidence })
}

/// How the readings of a number stand to one of them.
struct Votes {
    /// Read the same; a comma for a point is the same.
    agreeing: usize,
    /// Read otherwise, no more than a missed point left aside.
    others: usize,
    /// Read the same but for a missed point.
    missed: usize,
    /// Read the same figures with a point that this one has not.
    pointed: usize,
    /// All that was read otherwise is far off, so that a sum can tell.
    far: bool,
    ink: Ink,
    alike: Alike,
}

impl Votes {
    fn of(text: &str, numbers: &[&str], seeing: &Seeing<'_>) -> Self {
        let same = |vote: &&&str| vote.replace(',', ".") == text.replace(',', ".");
        let figures = |text: &str| text.replace(['.', ','], "");
        let others: Vec<&&str> = numbers.iter().filter(|vote| !same(vote)).collect();
        let missed = others.iter().filter(|vote| ***vote == figures(text)).count();
        let pointed = others.iter().filter(|vote| figures(vote) == text).count();
        let value = |text: &str| text.replace(',', ".").parse::<f32>().ok();
        let far = |vote: &&&str| match (value(vote), value(text)) {
            (Some(other), Some(one)) => (other - one).abs() > FAR * one.abs().max(other.abs()),
            _ => true,
        };
        Self {
            agreeing: numbers.iter().filter(same).count(),
            others: others.len() - missed,
            missed,
            pointed,
            far: others.iter().all(far),
            ink: match (seeing.ink)(text) {
                // A point after the last figure ends a sentence, or is a speck.
                Ink::Contradicts if (seeing.ink)(&format!("{text}.")) == Ink::Agrees => Ink::Agrees,
                ink => ink,
            },
            alike: (seeing.alike)(text),
        }
    }

    /// Where votes are even, the one that the print itself agrees with.
    fn weight(&self) -> usize {
        let alike = match self.alike {
            Alike::Agrees => 2,
            Alike::Unclear => 1,
            Alike::Contradicts => 0,
        };
        4 * self.agreeing + usize::from(self.ink == Ink::Agrees) + alike
    }

    /// The confidence that enough votes give; none where they are too few. Points get lost and are hardly ever
    /// invented, so readings that miss one weigh little against a point that is in the ink, and one that sees a
    /// point makes a number without it doubtful. A figure taken for another is no such slip: one reading that
    /// sees another figure outweighs three, unless the figures beside those of the sheet speak.
    fn confidence(&self) -> Option<f32> {
        if self.pointed > 0 || self.alike == Alike::Contradicts {
            return None;
        }
        let (agreeing, others) = (self.agreeing, self.others);
        match (self.ink, self.alike) {
            (Ink::Agrees, Alike::Agrees) if agreeing >= 2 && others <= agreeing => Some(SEEN_IN_THE_INK),
            (Ink::Agrees, Alike::Agrees) if agreeing >= 2 || others == 0 => Some(DIVIDED),
            (Ink::Agrees, _) if agreeing >= 3 && others == 0 => Some(SEEN_IN_THE_INK),
            (Ink::Agrees, _) if agreeing >= 2 && agreeing + self.missed >= 3 && others == 0 => Some(AGREED),
            (Ink::Agrees, _) if agreeing >= 2 && self.far => Some(DIVIDED),
            (Ink::Unclear, Alike::Agrees) if agreeing >= 3 && others <= 1 => Some(AGREED),
            (Ink::Unclear, _) if agreeing >= 3 && others == 0 => Some(AGREED),
            _ => None,
        }
    }
}

/// Two numbers further apart than this share of the larger are told apart by a sum.
const FAR: f32 = 0.1;

/// A word without digits: what two readings agree on; else the one that is a word of the trade or the surer one,
/// and doubted.
fn plain(print: &Print, third: Option<&str>, known: &dyn Fn(&str) -> bool) -> Option<(String, f32)> {
    match (&print.first, &print.second) {
        (Some(first), Some(second)) if bare(&first.0) == bare(&second.0) => {
            Some((first.0.clone(), first.1.max(second.1)))
        }
        (Some(first), Some(second)) => {
            let borne_out = [first, second].into_iter().find(|read| third == Some(bare(&read.0)));
            let chosen = match (known(&first.0), known(&second.0)) {
                (true, false) => first,
                (false, true) => second,
                _ => borne_out.unwrap_or(if second.1 > first.1 { second } else { first }),
            };
            let agreed = borne_out.is_some_and(|read| read == chosen);
            Some((chosen.0.clone(), if agreed { chosen.1.max(AGREED) } else { chosen.1.min(DOUBTED) }))
        }
        // Specks that one reading alone takes for signs stand between the words of a line and join them.
        (Some(first), None) => {
            let sign = |c: char| c.is_alphanumeric() || SIGNS.contains(c);
            (first.1 >= SEEN_ONCE || first.0.chars().any(sign)).then(|| first.clone())
        }
        (None, Some(second)) => {
            let word = second.0.chars().any(char::is_alphanumeric) || second.0 == "%";
            (second.1 >= SEEN_ONCE && word).then(|| second.clone())
        }
        (None, None) => None,
    }
}

/// A number without the point or comma of the sentence it ends, which specks beside it are taken for too.
fn unended(text: &str) -> &str {
    let number = text.trim_end_matches(['.', ',']);
    if number.chars().all(|sign| sign.is_ascii_digit() || SIGNS.contains(sign)) { number } else { text }
}

/// The text without the strokes of ruled lines, which come and go with the preparation.
fn bare(text: &str) -> &str {
    text.trim_matches(['|', '_', '[', ']', '{', '}', '‘', '’', '“', '”', '"', '\'', '`', '~', '—'])
}

/// True where two readings see something at one place; half that much will do where one of them makes nothing of it.
fn same_print(one: &Seen, other: &Seen) -> bool {
    let shared = if (one.confidence - other.confidence).abs() > MUCH_SURER { SHARED / 2.0 } else { SHARED };
    let (one, other) = (&one.area, &other.area);
    let narrower = one.width().min(other.width()).max(1.0);
    let lower = one.height().min(other.height()).max(1.0);
    one.overlap_x(other) >= shared * narrower && one.overlap_y(other) >= SHARED * lower
}

/// So much surer a reading is than one that makes nothing of a print.
const MUCH_SURER: f32 = 50.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(text: &str, x: f32, confidence: f32) -> Seen {
        Seen { text: text.to_owned(), area: Rect::new(x, 100.0, x + 30.0, 120.0), confidence }
    }

    /// The word of one print read so, and whether it is sure; the ink is seen to be `printed`, or is unclear.
    fn settled(first: &str, second: &str, alone: &[&str], printed: Option<&str>) -> (String, bool) {
        beside(first, second, alone, printed, &|_| Alike::Unclear)
    }

    /// The same, where the figures of the sheet speak too.
    fn beside(
        first: &str,
        second: &str,
        alone: &[&str],
        printed: Option<&str>,
        alike: &dyn Fn(&str) -> Alike,
    ) -> (String, bool) {
        let one = |text: &str| if text.is_empty() { vec![] } else { vec![seen(text, 10.0, 95.0)] };
        let prints = prints(one(first), one(second));
        assert_eq!(prints.len(), 1);
        let alone: Vec<Option<String>> = alone.iter().map(|text| Some((*text).to_owned())).collect();
        // The ink tells figures from points, and no figure from another.
        let shape = |text: &str| text.replace(|c: char| c.is_ascii_digit(), "0");
        let ink = |text: &str| match printed {
            None => Ink::Unclear,
            Some(printed) if shape(printed) == shape(text) => Ink::Agrees,
            Some(_) => Ink::Contradicts,
        };
        let seeing = Seeing { ink: &ink, alike };
        let word = word(&prints[0], &alone, &seeing, &|text| text == "Zinc").unwrap();
        (word.text, word.confidence > 60.0)
    }

    #[test]
    fn a_lost_decimal_point_is_doubted_however_sure_the_readings_were() {
        assert_eq!(settled("64", "6.4", &["6.4", "64"], Some("6.4")), ("6.4".to_owned(), true));
        assert!(!settled("64", "6.4", &["6.4", "64"], None).1);
        assert!(!settled("64", "64", &["64", "64"], Some("6.4")).1);
        assert!(!settled("64", "64", &["64", "6.4"], None).1);
        assert!(!settled("64", "64", &["64", "6.4"], Some("64")).1);
        assert!(!settled("64", "", &[], Some("64")).1);
    }

    #[test]
    fn enough_agreeing_readings_are_sure() {
        assert_eq!(settled("6.4", "|6.4", &["6.4", "6.4"], Some("6.4")), ("6.4".to_owned(), true));
        assert_eq!(settled("64", "6.4", &["6.4", "6.4"], Some("6.4")), ("6.4".to_owned(), true));
        assert_eq!(settled("6.4", "6.4", &["6.4"], None), ("6.4".to_owned(), true));
    }

    #[test]
    fn two_against_two_are_doubted_where_figures_differ() {
        assert!(!settled("13.2", "15.2", &["13.2", "15.2"], Some("15.2")).1);
        assert!(!settled("1.7", "1.8", &["1.7", "1.8"], None).1);
    }

    #[test]
    fn one_reading_of_another_figure_outweighs_three_where_no_sum_can_tell() {
        let (text, sure) = settled("5.97", "5.97", &["5.07", "5.97"], Some("5.57"));
        assert_eq!((text.as_str(), sure), ("5.97", false));
        assert!(settled("5.97", "5.97", &["5.97", "5.97"], Some("5.97")).1);
    }

    #[test]
    fn the_other_figures_of_the_sheet_decide_where_readings_differ_and_where_they_agree() {
        let like = |printed: &'static str| {
            move |text: &str| if text == printed { Alike::Agrees } else { Alike::Contradicts }
        };
        let told = |first, second, alone: &[&str], printed: &'static str| {
            beside(first, second, alone, Some(printed), &like(printed))
        };
        assert!(!told("5.97", "5.97", &["5.97", "5.97"], "5.57").1);
        assert_eq!(told("5.57", "5.97", &["5.57", "5.97"], "5.57"), ("5.57".to_owned(), true));
        assert_eq!(told("4", "4", &["14", "14"], "4"), ("4".to_owned(), true));
    }

    #[test]
    fn two_readings_alone_wait_for_a_sum() {
        assert!(!settled("5.57", "", &["5.57"], Some("5.57")).1);
    }

    #[test]
    fn the_comma_after_a_day_is_no_other_reading() {
        assert_eq!(settled("19,", "19,", &["19", "19."], Some("19.")), ("19".to_owned(), true));
        assert_eq!(settled("1.", "1.", &["1.", "1"], Some("1.")), ("1.".to_owned(), true));
    }

    #[test]
    fn a_lost_space_is_found_by_the_reading_that_keeps_it() {
        let at = |text: &str, x0: f32, x1: f32| Seen {
            text: text.to_owned(),
            area: Rect::new(x0, 100.0, x1, 120.0),
            confidence: 90.0,
        };
        let two = vec![at("Meadow", 10.0, 60.0), at("S", 66.0, 74.0)];
        let prints = prints(vec![at("MeadowS", 10.0, 74.0)], two);
        let texts: Vec<Vec<&str>> = prints.iter().map(|print| print.texts().collect()).collect();
        assert_eq!(texts, [["Meadow", "Meadow"], ["S", "S"]]);
    }

    #[test]
    fn what_one_reading_makes_nothing_of_is_the_others_word() {
        let vague = Seen { text: "N/".to_owned(), area: Rect::new(22.0, 98.0, 52.0, 121.0), confidence: 0.0 };
        let found = prints(vec![vague], vec![seen("N", 2.0, 93.0)]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].area, seen("N", 2.0, 93.0).area);
    }

    #[test]
    fn specks_that_one_reading_takes_for_signs_are_no_words() {
        let blind = Seeing { ink: &|_| Ink::Unclear, alike: &|_| Alike::Unclear };
        let only = |text: &str| {
            word(&prints(vec![seen(text, 10.0, 30.0)], vec![])[0], &[], &blind, &|_| false).map(|w| w.text)
        };
        assert_eq!(only("="), None);
        assert_eq!(only("-").as_deref(), Some("-"));
    }

    #[test]
    fn a_letter_taken_for_a_digit_is_doubted() {
        assert!(!settled("O.S", "0.5", &["0.5"], None).1);
    }

    #[test]
    fn of_two_words_the_one_of_the_trade_is_taken_and_doubted() {
        assert_eq!(settled("Zine", "Zinc", &[], None), ("Zinc".to_owned(), false));
        assert_eq!(settled("Zinc", "Zinc", &[], None), ("Zinc".to_owned(), true));
        assert_eq!(settled("Pond", "Fond", &["Pond"], None), ("Pond".to_owned(), true));
    }

    #[test]
    fn slivers_of_a_number_that_the_other_reading_sees_whole_are_one_print() {
        let sliver = |text: &str, x: f32| Seen {
            text: text.to_owned(),
            area: Rect::new(x, 100.0, x + 6.0, 120.0),
            confidence: 30.0,
        };
        let whole = prints(vec![sliver(":", 12.0), sliver("BY", 22.0)], vec![seen("1.7", 10.0, 90.0)]);
        assert_eq!(whole.len(), 1);
        let two = prints(vec![sliver("1", 10.0), sliver("7", 34.0)], vec![seen("1.7", 10.0, 90.0)]);
        assert_eq!(two.len(), 2);
    }

    #[test]
    fn what_only_the_second_reading_sees_is_added() {
        assert_eq!(prints(vec![], vec![seen("9", 200.0, 95.0)]).len(), 1);
    }
}
