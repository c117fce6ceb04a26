//! `Probe   Schlag`: of two columns of names the one of running numbers is the laboratory's, where the other asks for a
//! place, or what the sample is called.

use super::super::atom::Atom;
use super::super::band::{Band, Leaf};
use super::super::header::leading_field;
use super::super::label::year_of;
use super::super::layout::Layout;
use super::super::numbered::is_number;
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::names::may_name;
use super::row::{Row, text_of};
use std::collections::{HashMap, HashSet};

/// The heading with the running numbers of a column told to be the laboratory's.
pub fn numbered(page: &Layout, band: &Band, rows: &[(usize, Row<'_>)]) -> Band {
    let mut out = band.clone();
    let names = |leaf: &Leaf| leaf.label.field == Some(Field::SampleLabel) && leaf.label.analyte.is_none();
    let asks = |leaf: &Leaf, list: List| {
        let text = leaf.text.to_lowercase();
        let mut own = text.split(' ');
        names(leaf) && own.next().is_some_and(|w| list.has(w))
    };
    let one = |list: List| {
        let mut all = band.leaves.iter().enumerate().filter(|(_, l)| asks(l, list)).map(|(i, _)| i);
        all.next().filter(|_| all.next().is_none())
    };
    let of_report = || of_the_report(band, rows).or_else(|| of_the_report_above(page, band, rows));
    if let Some(number) = beside_the_clients(band, rows).or_else(of_report) {
        if let Some(leaf) = out.leaves.get_mut(number) {
            leaf.label.field = Some(Field::LabSample);
        }
        return out;
    }
    let place = one(List::AsksPlace).or_else(|| one(List::AsksIdentity));
    let (Some(sample), Some(place)) = (one(List::AsksSample), place) else { return out };
    if band.leaves.iter().any(|l| l.label.field == Some(Field::LabSample))
        || band.leaves.iter().filter(|l| names(l)).count() != 2
    {
        return out;
    }
    let texts = |column: usize| texts(rows, column);
    let numbers: Vec<u64> =
        texts(sample).iter().filter(|t| t.len() >= 4).filter_map(|t| t.parse().ok()).collect();
    let running = numbers.len() > 1
        && numbers.len() == texts(sample).len()
        && numbers.windows(2).all(|w| matches!(w, [a, b] if a < b));
    let places = texts(place);
    if running
        && places.len() == numbers.len()
        && places.iter().all(|t| t.contains(char::is_alphabetic))
        && let Some(leaf) = out.leaves.get_mut(sample)
    {
        leaf.label.field = Some(Field::LabSample);
    }
    out
}

fn texts(rows: &[(usize, Row<'_>)], column: usize) -> Vec<String> {
    let cell = |row: &Row<'_>| {
        let own = row.cells.iter().find(|(h, ..)| *h == column);
        own.map(|(_, atoms, _): &(_, Vec<&Atom>, _)| text_of(atoms))
    };
    rows.iter().filter_map(|(_, row)| cell(row)).collect()
}

/// `Sample   Your mark`: beside what the client calls each sample, the column of numbers, one word each and no two alike.
fn beside_the_clients(band: &Band, rows: &[(usize, Row<'_>)]) -> Option<usize> {
    let all: Vec<(usize, bool)> = band
        .leaves
        .iter()
        .enumerate()
        .filter(|(_, l)| l.label.field == Some(Field::SampleLabel) && l.label.analyte.is_none())
        .map(|(i, l)| (i, asks_client(&l.text)))
        .collect();
    let (number, own) = match all.as_slice() {
        [(a, false), (b, true)] | [(b, true), (a, false)] => (*a, *b),
        _ => return None,
    };
    let (numbers, names) = (texts(rows, number), texts(rows, own));
    let unlike = |texts: &[String]| texts.iter().collect::<HashSet<_>>().len() == texts.len();
    let lab = band.leaves.iter().any(|l| l.label.field == Some(Field::LabSample));
    let certain = numbers.len() > 1
        && numbers.len() == names.len()
        && numbers.iter().all(|n| is_number(n))
        && names.iter().all(|n| may_name(n))
        && unlike(&numbers)
        && unlike(&names);
    (certain && !lab).then_some(number)
}

/// `PA23/0911 | 0911/1 | Top warren`: of two columns of names the one whose numbers go on from that of the report beside
/// them, in every row, where the other has words.
fn of_the_report(band: &Band, rows: &[(usize, Row<'_>)]) -> Option<usize> {
    let all = |field: Field| -> Vec<usize> {
        let own = |l: &Leaf| l.label.field == Some(field) && l.label.analyte.is_none();
        band.leaves.iter().enumerate().filter(|(_, l)| own(l)).map(|(i, _)| i).collect()
    };
    let (labels, reports) = (all(Field::SampleLabel), all(Field::Report));
    let ([a, b], [report], []) = (labels.as_slice(), reports.as_slice(), all(Field::LabSample).as_slice())
    else {
        return None;
    };
    let reports = texts(rows, *report);
    let certain = |(number, name): (&usize, &usize)| {
        let (numbers, names) = (texts(rows, *number), texts(rows, *name));
        !numbers.is_empty()
            && numbers.len() == reports.len()
            && numbers.len() == names.len()
            && numbers.iter().zip(&reports).all(|(number, report)| goes_on(number, report))
            && names.iter().all(|n| may_name(n))
            && numbers.iter().collect::<HashSet<_>>().len() == numbers.len()
    };
    [(a, b), (b, a)].into_iter().find(|pair| certain(*pair)).map(|(number, _)| *number)
}

/// `0911/1` of report `PA23/0911`.
fn goes_on(number: &str, report: &str) -> bool {
    number.rsplit_once(['/', '-', '.']).map(|(stem, last)| (stem.trim(), last)).is_some_and(|(stem, last)| {
        stem.chars().filter(char::is_ascii_digit).count() >= FIGURES
            && report.ends_with(stem)
            && !last.is_empty()
            && last.chars().all(|c| c.is_ascii_digit())
    })
}

/// `Report no. SKS-1907` over `1907-1 | Plot 112`: the same where a form tells the report's number above the table. A year
/// goes on in numbers of anybody's; no number has two names.
fn of_the_report_above(page: &Layout, band: &Band, rows: &[(usize, Row<'_>)]) -> Option<usize> {
    let own = |l: &Leaf, field| l.label.field == Some(field) && l.label.analyte.is_none();
    let all = |field| -> Vec<usize> {
        band.leaves.iter().enumerate().filter(|(_, l)| own(l, field)).map(|(i, _)| i).collect()
    };
    let labels = all(Field::SampleLabel);
    let [a, b] = *labels.as_slice() else { return None };
    if !all(Field::LabSample).is_empty() || !all(Field::Report).is_empty() {
        return None;
    }
    let report = report_above(page, band)?;
    let certain = |(number, name): (usize, usize)| {
        let (numbers, names) = (texts(rows, number), texts(rows, name));
        let year =
            |n: &String| n.rsplit_once(['/', '-', '.']).is_some_and(|(stem, _)| year_of(stem).is_some());
        let mut called: HashMap<&str, &str> = HashMap::new();
        numbers.len() > 1
            && numbers.len() == names.len()
            && numbers.len() == rows.len()
            && numbers.iter().all(|n| goes_on(n, &report) && !year(n))
            && numbers.iter().zip(&names).all(|(n, name)| *called.entry(n).or_insert(name) == name)
            && called.len() > 1
            && names.iter().all(|n| may_name(n) && n.contains(char::is_alphabetic))
    };
    [(a, b), (b, a)].into_iter().find(|pair| certain(*pair)).map(|(number, _)| number)
}

/// The one number of a report that fields above a table tell.
fn report_above(page: &Layout, band: &Band) -> Option<String> {
    let context = Context { symbols: false, capitals: false };
    let mut found: Vec<String> = Vec::new();
    for line in page.lines.get(..band.first).unwrap_or_default() {
        for (i, phrase) in line.phrases.iter().enumerate() {
            let Some((Field::Report, rest, _)) = leading_field(phrase.text(), context) else { continue };
            let next = || line.phrases.get(i + 1).map(|p| p.text().to_owned());
            found.extend(if rest.is_empty() { next() } else { Some(rest) });
        }
    }
    found.retain(|n| n.contains(|c: char| c.is_ascii_digit()));
    found.dedup();
    found.pop().filter(|_| found.is_empty())
}

/// So many figures of the report's number are no coincidence.
const FIGURES: usize = 3;

/// `Your mark`, `Client ID`.
fn asks_client(text: &str) -> bool {
    let first = text.split(' ').next().unwrap_or_default().to_lowercase();
    matches!(
        first.as_str(),
        "your" | "client" | "client's" | "customer" | "customer's" | "grower" | "grower's"
    )
}

#[cfg(test)]
mod tests {
    use super::super::super::across::read;
    use super::super::super::atom::atoms;
    use super::super::super::band::bands;
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::super::vocabulary::{Context, Field};

    fn of(lines: &[&str]) -> Vec<(Option<String>, Option<String>)> {
        let page = layout(&typed(lines));
        let context = Context { symbols: true, capitals: false };
        let band = bands(&page, context, Decimal::Point).remove(0);
        let rows: Vec<_> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
        let (samples, _) = read(&page, &rows, &band, band.end..page.lines.len(), context, Decimal::Point);
        let field = |s: &super::super::super::found::FoundSample, f| s.field(f).map(str::to_owned);
        samples.iter().map(|s| (field(s, Field::LabSample), field(s, Field::SampleLabel))).collect()
    }

    #[test]
    fn running_numbers_beside_places_are_the_laboratorys() {
        let rows = |first: &str, second: &str| {
            of(&[
                "Sample     Field        pH     K      Zn",
                "                               ppm    ppm",
                &format!("{first}       Moss         6.2    120    2.1"),
                &format!("{second}       Hob mill     6.4    130    2.2"),
            ])
        };
        let some = |text: &str| Some(text.to_owned());
        assert_eq!(rows("4411", "4412"), [(some("4411"), some("Moss")), (some("4412"), some("Hob mill"))]);
        assert!(rows("4412", "4411").iter().all(|(number, _)| number.is_none()));
        let called = of(&[
            "Amostra    Identificação    pH     K",
            "                                   ppm",
            "4411       Talhão 1         6.2    120",
            "4412       Sede             6.4    130",
        ]);
        assert_eq!(called, [(some("4411"), some("Talhão 1")), (some("4412"), some("Sede"))]);
    }

    #[test]
    fn numbers_that_go_on_from_the_reports_are_the_laboratorys() {
        let rows = |numbers: [&str; 2]| {
            of(&[
                "Report no     Sample no   Field        pH     K      Zn",
                "                                              ppm    ppm",
                &format!("PA23/0911     {}      Top warren   6.2    120    2.1", numbers[0]),
                &format!("PA23/0911     {}      Kiln end     6.4    130    2.2", numbers[1]),
            ])
        };
        let some = |text: &str| Some(text.to_owned());
        assert_eq!(
            rows(["0911/1", "0911/2"]),
            [(some("0911/1"), some("Top warren")), (some("0911/2"), some("Kiln end"))]
        );
        assert!(rows(["0911/1", "0912/2"]).iter().all(|(number, _)| number.is_none()));
    }

    #[test]
    fn numbers_that_go_on_from_the_report_above_are_the_laboratorys() {
        let rows = |report: &str, numbers: [&str; 2], names: [&str; 2]| {
            let page = [
                &format!("Report no.: {report}"),
                "",
                "",
                "",
                "Sample no   Plot         pH     K      Zn",
                "                                ppm    ppm",
                &format!("{}      {}   6.2    120    2.1", numbers[0], names[0]),
                &format!("{}      {}   6.4    130    2.2", numbers[1], names[1]),
            ];
            of(&page)
        };
        let names = ["Plot 12/A ", "Top warren"];
        let some = |text: &str| Some(text.trim().to_owned());
        assert_eq!(
            rows("SKS-1907", ["1907-1", "1907-2"], names),
            [(some("1907-1"), some(names[0])), (some("1907-2"), some(names[1]))]
        );
        for (report, numbers, names) in [
            ("SKS-1907", ["1907-1", "1908-2"], names),
            ("SKS-2023", ["2023-1", "2023-2"], names),
            ("SKS-1907", ["1907-1", "1907-1"], names),
            ("SKS-1907", ["1907-1", "1907-2"], ["12/1      ", "12/2      "]),
        ] {
            assert!(rows(report, numbers, names).iter().all(|(number, _)| number.is_none()), "{numbers:?}");
        }
    }

    #[test]
    fn numbers_beside_what_the_client_calls_the_samples_are_the_laboratorys() {
        let rows = |numbers: [&str; 2]| {
            of(&[
                "Sample     Your mark    pH     K      Zn",
                "                               ppm    ppm",
                &format!("{}       Green 5      6.2    120    2.1", numbers[0]),
                &format!("{}       Nursery      6.4    130    2.2", numbers[1]),
            ])
        };
        let some = |text: &str| Some(text.to_owned());
        assert_eq!(
            rows(["771a", "771b"]),
            [(some("771a"), some("Green 5")), (some("771b"), some("Nursery"))]
        );
        assert!(rows(["771a", "771a"]).iter().all(|(number, _)| number.is_none()));
    }
}
