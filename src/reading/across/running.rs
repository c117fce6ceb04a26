//! `Nr.   Schlag`: a running number tells the rows of a table apart and names no piece of ground where words beside it do.

use super::super::atom::{Atom, Kind};
use super::super::band::{Band, Leaf};
use super::super::found::FoundSample;
use super::super::stems::{Codes, codes};
use super::super::vocabulary::Field;
use super::super::words::List;
use super::names::may_name;
use super::row::{Row, text_of};
use rustc_hash::FxHashSet;

/// What stands beside a column of running numbers that asks for a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Nothing that may name a sample.
    Nothing,
    /// Words that do.
    Names,
    /// Words that do, and the numbers are surely the laboratory's: `77120-1`, `77120-2`.
    NamesOfAJob,
    /// Words that may, and of which nobody knows.
    Unsure,
}

/// The columns whose cells are numbers or codes of one stem, each another, and what stands beside the first of them.
pub fn running(band: &Band, rows: &[(usize, Row<'_>)]) -> Option<(usize, Beside)> {
    let table = Table::of(band, rows);
    let names: Vec<usize> = table.columns(&|l| l.label.field == Some(Field::SampleLabel));
    let number = names.iter().copied().find(|c| table.counts(*c) || table.codes(*c).is_some());
    let Some(number) = number else {
        // Long numbers that nobody's words stand beside, but for those under a heading that is not known.
        let long = names.iter().copied().find(|c| table.long_numbers(*c))?;
        let alone = names.len() == 1 && table.silent_names();
        return alone.then_some((long, Beside::Unsure));
    };
    let of_a_job = table.codes(number).is_some_and(|codes| codes.of_a_job);
    let worded: Vec<usize> =
        names.iter().copied().filter(|c| *c != number && table.worded(*c).is_some()).collect();
    let unlike: Vec<usize> = worded.iter().copied().filter(|c| table.unlike(*c)).collect();
    // `Plot 1   Moss`: the number of a place is its own. What is called a name all the same is one.
    let place = table.band.leaves.get(number).is_some_and(|l| asks(l, List::AsksPlace));
    if place {
        let named = |c: &usize| table.band.leaves.get(*c).is_some_and(|l| asks(l, List::AsksLabel));
        let beside = match unlike.as_slice() {
            [] => Beside::Nothing,
            [one] if named(one) => Beside::Nothing,
            _ => Beside::Unsure,
        };
        return Some((number, beside));
    }
    let beside = match (unlike.as_slice(), worded.as_slice()) {
        // A number that is no count may be the client's own: `Sample 12   Field Moss`.
        ([_, ..], _) if table.runs(number) => Beside::Names,
        ([_, ..], _) if of_a_job => Beside::NamesOfAJob,
        ([], []) if table.silent_names() => Beside::Unsure,
        // One piece of ground in every row is where all the samples were taken.
        ([], worded) if worded.iter().all(|c| table.one_word(*c)) => Beside::Nothing,
        _ => Beside::Unsure,
    };
    Some((number, beside))
}

fn asks(leaf: &Leaf, list: List) -> bool {
    leaf.text.to_lowercase().split([' ', '/', '.']).any(|w| list.has(w))
}

/// True for numbers that follow each other without a gap, in whatever order.
pub fn is_running(texts: &[String]) -> bool {
    let mut numbers: Vec<u64> = texts.iter().filter_map(|t| t.parse().ok()).collect();
    numbers.sort_unstable();
    numbers.len() > 1
        && numbers.len() == texts.len()
        && numbers.windows(2).all(|w| matches!(w, [a, b] if b - a == 1))
}

/// The heading without what asks for a name over the running numbers, where other words name the samples.
pub fn without_running(band: &Band, found: Option<(usize, Beside)>) -> Band {
    let mut out = band.clone();
    let told = match found {
        Some((number, Beside::Names)) => Some((number, None)),
        Some((number, Beside::NamesOfAJob)) => Some((number, Some(Field::LabSample))),
        _ => None,
    };
    if let Some((number, field)) = told
        && let Some(leaf) = out.leaves.get_mut(number)
    {
        leaf.label.field = field;
    }
    out
}

/// Takes the names away where nobody knows which of two columns holds them.
pub fn unname(samples: &mut [FoundSample], found: Option<(usize, Beside)>) {
    if found.is_some_and(|(_, beside)| beside == Beside::Unsure) {
        for sample in samples {
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
        }
    }
}

/// The cells of a table as text, a row of a long table's results once a sample.
struct Table<'a> {
    band: &'a Band,
    rows: Vec<Vec<Option<String>>>,
}

impl<'a> Table<'a> {
    fn of(band: &'a Band, rows: &[(usize, Row<'_>)]) -> Self {
        let cell = |row: &Row<'_>, column: usize| {
            let own = row.cells.iter().find(|(h, ..)| *h == column);
            own.map(|(_, atoms, _): &(_, Vec<&Atom>, _)| text_of(atoms))
        };
        let asked = |l: &Leaf| l.label.field.is_some() && l.label.analyte.is_none();
        let silent = |l: &Leaf| !l.label.known();
        let kept = |row: &Row<'_>| -> Vec<Option<String>> {
            let cells = band.leaves.iter().enumerate();
            cells.map(|(i, l)| if asked(l) || silent(l) { cell(row, i) } else { None }).collect()
        };
        // A row without results is none of a sample.
        let counted = |row: &Row<'_>| {
            row.cells.iter().any(|(h, atoms, _)| {
                let result =
                    band.leaves.get(*h).is_some_and(|l| l.label.is_result() || l.label.role.is_some());
                result && atoms.iter().any(|a| !matches!(a.kind, Kind::Text))
            })
        };
        let mut all: Vec<Vec<Option<String>>> =
            rows.iter().filter(|(_, row)| counted(row)).map(|(_, row)| kept(row)).collect();
        if band.long() {
            // What differs from result to result tells nothing of the sample.
            let own = |row: &Vec<Option<String>>| -> Vec<Option<String>> {
                row.iter().zip(&band.leaves).map(|(c, l)| c.clone().filter(|_| asked(l))).collect()
            };
            all.dedup_by(|next, first| {
                let same = own(next) == own(first);
                if same {
                    let unlike = first.iter_mut().zip(next.iter()).filter(|(a, b)| **a != **b);
                    unlike.for_each(|(a, _)| *a = None);
                }
                same
            });
        }
        all.dedup();
        Self { band, rows: all }
    }

    fn columns(&self, asks: &dyn Fn(&Leaf) -> bool) -> Vec<usize> {
        let own = self.band.leaves.iter().enumerate().filter(|(_, l)| l.label.analyte.is_none() && asks(l));
        own.map(|(i, _)| i).collect()
    }

    /// The cells of a column, where every row has one.
    fn texts(&self, column: usize) -> Option<Vec<&str>> {
        self.rows.iter().map(|r| r.get(column).and_then(Option::as_deref)).collect()
    }

    /// The numbers of a column that holds no others and no words, least first, where each row has its own.
    fn numbers(&self, column: usize) -> Option<Vec<u64>> {
        let count = |t: &&str| (1..=3).contains(&t.len()) && t.chars().all(|c| c.is_ascii_digit());
        let texts: Vec<&str> = self.rows.iter().filter_map(|r| r.get(column)?.as_deref()).collect();
        let mut numbers: Vec<u64> =
            texts.iter().filter(|t| count(t)).filter_map(|t| t.parse().ok()).collect();
        let all = numbers.len();
        numbers.sort_unstable();
        numbers.dedup();
        (all > 1 && all == texts.len() && numbers.len() == all).then_some(numbers)
    }

    /// What the codes of a column tell, where it holds nothing else.
    fn codes(&self, column: usize) -> Option<Codes> {
        codes(&self.texts(column)?)
    }

    fn counts(&self, column: usize) -> bool {
        self.numbers(column).is_some()
    }

    /// True for numbers that follow each other without a gap.
    fn runs(&self, column: usize) -> bool {
        let texts = self.texts(column).unwrap_or_default();
        is_running(&texts.iter().map(|t| (*t).to_owned()).collect::<Vec<_>>())
    }

    /// The cells of a column of words.
    fn worded(&self, column: usize) -> Option<Vec<&str>> {
        self.texts(column).filter(|t| t.iter().all(|t| t.contains(char::is_alphabetic)))
    }

    fn one_word(&self, column: usize) -> bool {
        self.worded(column).is_some_and(|t| t.windows(2).all(|w| w.first() == w.last()))
    }

    /// True where no two rows have the same words, or these at one depth.
    fn unlike(&self, column: usize) -> bool {
        let depths = self.columns(&|l| matches!(l.label.field, Some(Field::DepthTop | Field::DepthBottom)));
        let Some(texts) = self.worded(column) else { return false };
        let keys: Vec<(&str, Vec<Option<&str>>)> = texts
            .iter()
            .zip(&self.rows)
            .map(|(t, row)| (*t, depths.iter().map(|d| row.get(*d).and_then(Option::as_deref)).collect()))
            .collect();
        keys.iter().enumerate().all(|(i, key)| keys.iter().skip(i + 1).all(|other| other != key))
    }

    /// True for numbers of more figures than a count has, each row its own.
    fn long_numbers(&self, column: usize) -> bool {
        let Some(texts) = self.texts(column) else { return false };
        let long = |t: &&str| t.len() > 3 && t.chars().all(|c| c.is_ascii_digit());
        let unlike: FxHashSet<&str> = texts.iter().copied().collect();
        texts.iter().all(long) && texts.len() > 1 && unlike.len() == texts.len()
    }

    /// True where a column under a heading that nobody understands holds other words in every row.
    fn silent_names(&self) -> bool {
        (0..self.band.leaves.len()).any(|c| {
            let silent = self.band.leaves.get(c).is_some_and(|l| !l.label.known());
            silent && self.worded(c).is_some_and(|t| t.iter().all(|t| may_name(t))) && self.unlike(c)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::across::read;
    use super::super::super::atom::atoms;
    use super::super::super::band::bands;
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::super::vocabulary::{Context, Field};

    fn names(lines: &[&str]) -> Vec<String> {
        let page = layout(&typed(lines));
        let context = Context { symbols: true, capitals: false };
        let band = bands(&page, context, Decimal::Point).remove(0);
        let rows: Vec<_> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
        let (samples, _) = read(&page, &rows, &band, band.end..page.lines.len(), context, Decimal::Point);
        let name = |s: &super::FoundSample| s.field(Field::SampleLabel).unwrap_or("-").to_owned();
        samples.iter().map(name).collect()
    }

    #[test]
    fn words_beside_a_running_number_are_the_names() {
        for heading in [
            "Probe Nr.    Schlag         pH     K, ppm",
            "Sample No.   Field          pH     K, ppm",
            "Sample       Paddock        pH     K, ppm",
        ] {
            let rows = ["1            Moss           6.2    120", "2            Hob mill       6.4    130"];
            assert_eq!(names(&[heading, rows[0], rows[1]]), ["Moss", "Hob mill"], "{heading}");
        }
        let behind = [
            "Field        Sample #    pH     K, ppm",
            "Moss         2           6.2    120",
            "Hob mill     1           6.4    130",
        ];
        assert_eq!(names(&behind), ["Moss", "Hob mill"]);
    }

    #[test]
    fn one_name_at_two_depths_is_two_names_and_at_one_nobody_knows() {
        let sheet = |second: &str| {
            names(&[
                "Sample No.   Field        Depth (cm)    pH     K, ppm",
                "1            Moss         0-10          6.2    120",
                &format!("2            Moss         {second}         6.4    130"),
                "3            Hob mill     0-10          6.1    90",
            ])
        };
        assert_eq!(sheet("10-30"), ["Moss", "Moss", "Hob mill"]);
        assert_eq!(sheet("0-10 "), ["-", "-", "-"]);
    }

    #[test]
    fn numbers_that_do_not_run_may_be_the_clients_own() {
        let sheet = |first: &str, second: &str, heading: &str| {
            names(&[
                &format!("Sample No.   {heading}        pH     K, ppm"),
                &format!("{first}           {second}         6.2    120"),
                "47           Hob          6.4    130",
            ])
        };
        assert_eq!(sheet("12", "Moss", "Field"), ["-", "-"]);
        assert_eq!(sheet("46", "Hob ", "Field"), ["46", "47"], "one field, many samples");
        assert_eq!(sheet("46", "Moss", "Qwert"), ["-", "-"], "a heading nobody knows");
    }

    #[test]
    fn of_two_columns_of_words_the_one_that_is_called_a_name_is_it() {
        let sheet = [
            "Sample No.   Sample Name   Field    pH     K, ppm",
            "1            Front         Home     6.2    120",
            "2            Back          Hill     6.4    130",
        ];
        assert_eq!(names(&sheet), ["Front", "Back"]);
    }

    #[test]
    fn codes_of_one_stem_beside_words_may_name_nothing() {
        let sheet = |heads: &str, codes: [&str; 2], words: [&str; 2]| {
            names(&[
                &format!("{heads}         pH     K, ppm"),
                &format!("{}      {}         6.2    120", codes[0], words[0]),
                &format!("{}      {}         6.4    130", codes[1], words[1]),
            ])
        };
        let of_a_job = ["77120-1", "77120-2"];
        assert_eq!(sheet("Sample       Client ID", of_a_job, ["Moss    ", "Hob mill"]), ["Moss", "Hob mill"]);
        let own = ["T/102-1", "T/102-2"];
        assert_eq!(sheet("Sample ID    Field    ", own, ["Moss    ", "Hob mill"]), ["-", "-"]);
        assert_eq!(sheet("Sample ID    Qwert    ", own, ["Moss    ", "Hob mill"]), ["-", "-"]);
        assert_eq!(
            sheet("Sample ID    Field    ", own, ["Moss    ", "Moss    "]),
            own,
            "one field, many samples"
        );
        assert_eq!(
            sheet("Sample ID    Qwert    ", own, ["        ", "        "]),
            own,
            "nothing beside them"
        );
    }

    #[test]
    fn words_under_an_unknown_heading_may_name_what_a_number_stands_for_wherever_they_stand() {
        let behind = |codes: [&str; 2], words: [&str; 2]| {
            names(&[
                "Sample ID     pH     K, ppm    Qwert",
                &format!("{}         6.2    120       {}", codes[0], words[0]),
                &format!("{}         6.4    130       {}", codes[1], words[1]),
            ])
        };
        assert_eq!(behind(["S-1  ", "S-2  "], ["Moss", "Hob mill"]), ["-", "-"]);
        assert_eq!(behind(["14526", "14527"], ["Moss", "Hob mill"]), ["-", "-"]);
        assert_eq!(behind(["14526", "14527"], ["Moss", "Moss"]), ["14526", "14527"]);
        assert_eq!(behind(["North", "South"], ["Moss", "Hob mill"]), ["North", "South"]);
    }

    #[test]
    fn codes_in_a_long_table_are_told_from_names_too() {
        let long = names(&[
            "Sample       Client ID    Analysis      Result    Units    Qwert",
            "77120-1      Moss         Potassium     120       mg/kg    a-1",
            "77120-1      Moss         Magnesium     20        mg/kg    a-2",
            "77120-2      Hob mill     Potassium     130       mg/kg    a-1",
            "77120-2      Hob mill     Magnesium     30        mg/kg    a-2",
        ]);
        assert_eq!(long, ["Moss", "Hob mill"]);
    }

    #[test]
    fn the_number_of_a_place_is_its_own() {
        let sheet = |place: &str, words: &str| {
            names(&[
                &format!("{place}   {words}         pH     K, ppm"),
                "1             Moss         6.2    120",
                "2             Hob          6.4    130",
            ])
        };
        assert_eq!(sheet("Plot no.  ", "Field"), ["-", "-"]);
        assert_eq!(sheet("Sample no. ", "Field"), ["Moss", "Hob"]);
    }
}
