//! Whose soil it is, what names the sample and what tells the day, where a form says it by another name: an account, a farm,
//! a club or who sent it in place of the client, a bed in place of the sample, a day by itself.

use super::super::vocabulary::Field;
use super::super::words::List;
use super::FieldValue;

/// Settles who is the client: a client named as such before the holder of an account, and either before a farm, which
/// is then the place alone. Read over the whole report: its first page may name the client of all.
pub fn settle(fields: &mut [FieldValue]) {
    numbers_beside_names(fields);
    let named = |fields: &[FieldValue], field| {
        fields.iter().any(|f| f.field == field && f.firm && !f.text.is_empty())
    };
    let accounts = if named(fields, Field::Client) { Field::Ignored } else { Field::Client };
    for account in fields.iter_mut().filter(|f| f.field == Field::Account) {
        account.field = accounts;
    }
    let beside: Vec<u32> =
        fields.iter().filter(|f| f.field == Field::Client && f.firm).map(|f| f.page).collect();
    let both = fields.iter().any(|f| f.field == Field::Farm && beside.contains(&f.page));
    for farm in fields.iter_mut().filter(|f| f.field == Field::Farm && !both) {
        farm.field = Field::Client;
    }
    for weaker in [Field::Party, Field::Submitter] {
        let own = if named(fields, Field::Client) { Field::Ignored } else { Field::Client };
        put(fields, weaker, own);
    }
    let samples: Vec<u32> =
        fields.iter().filter(|f| f.field == Field::SampleLabel && f.firm).map(|f| f.page).collect();
    for place in fields.iter_mut().filter(|f| f.field == Field::Place) {
        place.field = if samples.contains(&place.page) { Field::Ignored } else { Field::SampleLabel };
    }
    let dated =
        [Field::SampledOn, Field::ReceivedOn, Field::ReportedOn].iter().any(|day| named(fields, *day));
    put(fields, Field::Day, if dated { Field::Ignored } else { Field::ReportedOn });
    for client in fields.iter_mut().filter(|f| f.field == Field::Client) {
        client.text.truncate(before_the_street(&client.text));
        client.text.truncate(before_the_next(&client.text));
    }
    for report in fields.iter_mut().filter(|f| f.field == Field::Report) {
        report.text.truncate(behind_the_number(&report.text));
    }
}

/// `Moss Trust, 12 Mill Lane, Hobton`: where the name ends. A number and a word in capitals behind a comma are a street.
fn before_the_street(text: &str) -> usize {
    let street = |rest: &str| {
        let mut words = rest.split_whitespace();
        let (Some(number), Some(word)) = (words.next(), words.next()) else { return false };
        let digits = number.trim_end_matches(|c: char| c.is_ascii_lowercase() || c == '-');
        let numbered = number.len() <= digits.len() + 1
            && (1..=5).contains(&digits.len())
            && digits.chars().all(|c| c.is_ascii_digit())
            && word.starts_with(char::is_uppercase);
        let plain = number.replace('.', "").to_lowercase();
        numbered || (plain == "po" && word.to_lowercase().starts_with("box"))
    };
    let name = |at: &usize| text.get(..*at).is_some_and(|name| name.contains(char::is_alphabetic));
    let mut commas = text.match_indices(',').map(|(at, _)| at);
    commas.find(|at| name(at) && text.get(at + 1..).is_some_and(street)).unwrap_or(text.len())
}

/// `7741 Hob Land Company`, `7741 for Moss Dairy`, `7741 - Grassland`: where the number of a report ends, and words without a
/// figure begin behind it.
fn behind_the_number(text: &str) -> usize {
    let mut words = text.split(' ');
    let first = words.next().unwrap_or_default();
    let figures = |w: &str| w.contains(|c: char| c.is_ascii_digit());
    let name =
        |w: &str| w.starts_with(char::is_uppercase) && w.chars().filter(|c| c.is_alphabetic()).count() > 2;
    let rest: Vec<&str> = words.collect();
    let leads = rest.first().is_some_and(|w| matches!(*w, "for" | "to" | "-" | "|"));
    let worded = rest.len() > 1 && rest.iter().skip(usize::from(leads)).all(|w| name(w) && !figures(w));
    if figures(first) && worded { first.len() } else { text.len() }
}

/// `Moss Trust. Taken at 0-15 cm`, `Moss Trust | Relatório: 44`: where the name ends, as a stroke or a sentence with figures
/// begins behind it. `J. Moss 3rd` goes on.
fn before_the_next(text: &str) -> usize {
    let stroke = text.find(" | ").unwrap_or(text.len());
    // `Moss Vineyards depth 0 to 30 cm`.
    let layer = text
        .match_indices(" depth ")
        .map(|(at, _)| at)
        .find(|at| text.get(at + 7..).is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit())));
    let stroke = stroke.min(layer.unwrap_or(text.len()));
    let ends = |at: &usize| {
        let (name, rest) = text.split_at(*at);
        let last = name.rsplit(' ').next().unwrap_or_default();
        let opens = rest.get(2..).is_some_and(|r| r.starts_with(char::is_uppercase));
        last.chars().count() > 3
            && !List::Firm.has(&format!("{}.", last.to_lowercase()))
            && opens
            && rest.contains(|c: char| c.is_ascii_digit())
    };
    let sentence = text.match_indices(". ").map(|(at, _)| at).find(ends).unwrap_or(text.len());
    stroke.min(sentence)
}

/// `Customer ID: 4471` beside or tight over `Customer: Moss Trust` numbers the client, and names none.
fn numbers_beside_names(fields: &mut [FieldValue]) {
    let worded = |f: &FieldValue| f.text.contains(char::is_alphabetic);
    let client = |f: &FieldValue| f.field == Field::Client && f.firm && !f.text.is_empty();
    let names: Vec<(u32, f32)> =
        fields.iter().filter(|f| client(f) && worded(f)).map(|f| (f.page, f.area.y0)).collect();
    for number in fields.iter_mut().filter(|f| client(f) && !worded(f)) {
        let height = number.area.height();
        let beside =
            |(page, y): &(u32, f32)| *page == number.page && (y - number.area.y0).abs() < 2.5 * height;
        if names.iter().any(beside) {
            number.field = Field::Ignored;
        }
    }
}

fn put(fields: &mut [FieldValue], one: Field, other: Field) {
    for field in fields.iter_mut().filter(|f| f.field == one) {
        field.field = other;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Rect;

    #[test]
    fn a_street_behind_a_name_is_no_part_of_it() {
        let name = |text: &str| text.get(..before_the_street(text)).unwrap_or_default().to_owned();
        for text in
            ["Moss Trust, 12 Mill Lane, Hobton", "Moss Trust, 12b Mill Lane", "Moss Trust, P.O. Box 44"]
        {
            assert_eq!(name(text), "Moss Trust");
        }
        for text in
            ["Moss, Fern & Hob", "Moss Trust, Hobton", "Moss Trust, 3rd Generation", "Moss Trust, 2 of 4"]
        {
            assert_eq!(name(text), text);
        }
    }

    #[test]
    fn a_sentence_behind_a_name_is_no_part_of_it() {
        let name = |text: &str| text.get(..before_the_next(text)).unwrap_or_default().to_owned();
        for text in [
            "Moss Trust. Taken at 0-15 cm",
            "Moss Trust | Recibo: 44",
            "Moss Trust | Fern",
            "Moss Trust depth 0 to 30 cm",
        ] {
            assert_eq!(name(text), "Moss Trust");
        }
        for text in ["A. Moss 3rd", "Mrs. Moss", "Moss Trust. North end", "Moss Bros. Unit 4"] {
            assert_eq!(name(text), text);
        }
    }

    #[test]
    fn words_behind_the_number_of_a_report_are_no_part_of_it() {
        let number = |text: &str| text.get(..behind_the_number(text)).unwrap_or_default().to_owned();
        for text in ["7741 Hob Land Company", "7741 for Moss Dairy", "7741 - Grünland"] {
            assert_eq!(number(text), "7741");
        }
        for text in ["HM 24", "7741 A", "7741 Rev 2", "2201-7 MIX B"] {
            assert_eq!(number(text), text);
        }
    }

    #[test]
    fn a_clients_number_is_no_name_where_one_is_printed() {
        let clients = |texts: &[(&str, u32)]| {
            let client = |(text, page): &(&str, u32)| FieldValue {
                field: Field::Client,
                text: (*text).to_owned(),
                page: *page,
                area: Rect::new(0.0, 0.0, 50.0, 10.0),
                firm: true,
            };
            let mut fields: Vec<FieldValue> = texts.iter().map(client).collect();
            settle(&mut fields);
            let own = fields.into_iter().filter(|f| f.field == Field::Client);
            own.map(|f| f.text).collect::<Vec<_>>().join(", ")
        };
        assert_eq!(clients(&[("4471", 1), ("Moss Trust", 1)]), "Moss Trust");
        assert_eq!(clients(&[("4471", 1)]), "4471");
        assert_eq!(clients(&[("4471", 2), ("Moss Trust", 1)]), "4471, Moss Trust");
    }
}
