//! The fields of a report: laboratory, client, numbers, dates, depth; from `name: value` pairs, stacked pairs and prose.

mod addressee;
mod asked;
mod boxes;
mod cards;
mod counted;
mod depth;
mod greeting;
mod head_line;
mod leading;
mod letter;
mod letterhead;
mod margin;
mod numbered_titles;
mod over_numbers;
mod over_report;
mod over_tables;
mod owner;
mod pair;
mod person;
mod plausible;
mod profile;
mod stacked;
mod strip;
mod titled;
mod told;
mod whose;

use super::date::{DayOrder, PrintedDate, asked};
use super::layout::Layout;
use super::vocabulary::{Context, Field};
use super::words::List;
use crate::place::Rect;
pub use addressee::addressee;
pub use boxes::{boxes, days_abreast};
use cards::{cards, spelled};
use counted::{name_behind_an_account, number_before_a_name, number_beside_a_name};
pub use depth::{depth, depth_unit, depth_unit_said, speaks_inches};
pub use greeting::greeted;
pub use leading::leading_field;
pub use letter::letter_head;
use letter::{goes_on, prose};
pub use letterhead::letterhead;
pub use margin::margin;
pub use numbered_titles::{is_name_beside_number, is_numbered_title, numbered_titles};
pub use over_numbers::titles_over_numbers;
pub use over_report::over_report;
pub use over_tables::{names_tables, over_tables};
pub use owner::settle;
use pair::{asks_side_by_side, ends_with_ground, heads_units, is_card, pairs_apart, phrase_field, under};
pub use person::name_over_a_table;
use person::{name_of_a_person, name_of_people};
use plausible::plausible;
pub use plausible::{
    asks_size, ends_with_a_heading, is_depth, is_place, names_a_part, names_sample, reads_like_a_heading,
};
pub use profile::{name_horizons, profiles};
use stacked::asked_in_two_lines;
pub use strip::told_in_a_strip;
use titled::named_in_quotes;
pub use titled::names_in_quotes;
use told::{days_in_a_row, told_behind_a_name};

/// A field with its value, where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldValue {
    /// Which.
    pub field: Field,
    /// Its text.
    pub text: String,
    /// Page.
    pub page: u32,
    /// Box of the name.
    pub area: Rect,
    /// True where a colon or an own column ties the value to the name.
    pub firm: bool,
}

/// The fields of a page, top to bottom.
pub fn fields(page: &Layout, taken: &[bool], context: Context) -> Vec<FieldValue> {
    let mut out = cards(page, context);
    for (row, line) in page.lines.iter().enumerate() {
        // The rows and headings of tables are no pairs of a form.
        let heading =
            asks_side_by_side(line, context) && !is_card(page, row) && !ends_with_ground(page, row, context);
        if taken.get(row) == Some(&true) || heading || heads_units(line, context) {
            continue;
        }
        let quoted = named_in_quotes(page, line);
        if !quoted.is_empty() {
            out.extend(quoted);
            continue;
        }
        let mut at = 0;
        while let Some(phrase) = line.phrases.get(at) {
            let next = line.phrases.get(at + 1);
            let below = under(page, row, phrase);
            let mut told = told_behind_a_name(page, phrase, context);
            if told.is_empty() {
                told = days_in_a_row(page, phrase);
            }
            if !told.is_empty() {
                out.extend(told);
                at += 1;
                continue;
            }
            let parts = pairs_apart(&spelled(phrase), context);
            if parts.len() > 1 {
                let found =
                    parts.iter().filter_map(|p| phrase_field(page, p, None, &[], (false, false), context).0);
                out.extend(found.map(|f| if parts.len() > 2 { without_what_asks(f) } else { f }));
                at += 1;
                continue;
            }
            let counted = || {
                number_before_a_name(page, &line.phrases, context)
                    .or_else(|| name_behind_an_account(page, &line.phrases, context))
            };
            if at == 0
                && let Some(named) = counted()
            {
                out.push(named);
                break;
            }
            let alone = line.phrases.len() == 2;
            let ends = at + 2 == line.phrases.len();
            let (found, used_next) = phrase_field(page, phrase, next, &below, (alone, ends), context);
            out.extend(found);
            at += if used_next { 2 } else { 1 };
        }
        out.extend(prose(page.number, &line.phrases));
        out.extend(line.phrases.iter().flat_map(|p| whose::told(page.number, p, context)));
    }
    number_beside_a_name(page, taken, context, &mut out);
    name_of_a_person(page, &mut out);
    name_of_people(page, &mut out);
    asked_in_two_lines(page, taken, &mut out);
    out.extend(goes_on(page, taken));
    out
}

/// `Site Memorial Oval` in `Client Moss Council Site Memorial Oval Lab no 2031-1`: among names of fields the word for ground
/// asks for the name, where this is words and no number.
fn without_what_asks(found: FieldValue) -> FieldValue {
    let words = found.text.split_once(' ').filter(|(first, name)| {
        let worded = |w: &str| w.chars().count() > 1 && w.chars().all(|c| c.is_alphabetic() || c == '\'');
        List::Place.has(&first.to_lowercase())
            && name.contains(' ')
            && name.starts_with(char::is_uppercase)
            && name.split(' ').all(worded)
    });
    match words.filter(|_| found.field == Field::SampleLabel && !found.firm) {
        Some((_, name)) => FieldValue { text: name.to_owned(), ..found },
        None => found,
    }
}

/// `Report no. HT-24   Sampled 2024-10-03   Reported 2024-10-14`: two or more unlike fields, each with a value that it
/// can have, are a line of a form, also without colons.
pub fn is_form_line<'a>(phrases: impl Iterator<Item = &'a str>, context: Context) -> bool {
    let mut fields: Vec<Field> = phrases
        .filter_map(|text| leading_field(text, context))
        .filter(|(field, rest, _)| {
            !matches!(field, Field::Ignored | Field::SampleLabel)
                && !rest.is_empty()
                && plausible(*field, rest, false)
        })
        .map(|(field, ..)| field)
        .collect();
    fields.dedup();
    fields.len() >= 2
}

/// A date field's day; the year alone where day and month could be either.
pub fn day(text: &str, order: DayOrder) -> (Option<jiff::civil::Date>, Option<i16>) {
    match asked(text, order) {
        Some(PrintedDate::Day(day)) => (Some(day), Some(day.year())),
        Some(PrintedDate::Either(a, b)) => (None, (a.year() == b.year()).then(|| a.year())),
        None => (None, None),
    }
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;
    use crate::soil::Depth;

    const C: Context = Context { symbols: false, capitals: false };

    fn of(lines: &[&str]) -> Vec<(Field, String)> {
        fields(&layout(&typed(lines)), &[], C).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn a_line_of_unlike_fields_is_a_forms_line_and_a_row_of_one_field_is_none() {
        let context = Context { symbols: false, capitals: false };
        let form = |phrases: &[&str]| is_form_line(phrases.iter().copied(), context);
        assert!(form(&["Report no. HT-24", "Sampled 2024-10-03", "Reported 2024-10-14"]));
        assert!(!form(&["Lab no. 184916/1", "Lab no. 184916/2"]));
        assert!(!form(&["Sample", "Bay 1", "Bay 2"]));
    }

    #[test]
    fn pairs_with_and_without_colons() {
        let found = of(&[
            "Client:   Tollgate Bowls Club     Report no.:   HV-3061",
            "Sampled:  04/17/2017         Depth:  0 - 6 in",
        ]);
        assert!(found.contains(&(Field::Client, "Tollgate Bowls Club".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::Report, "HV-3061".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::SampledOn, "04/17/2017".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::DepthTop, "0 - 6 in".to_owned())), "{found:?}");
        let found = of(&["Client Tollgate Bowls Club Sample Green 7 Lab no. 55120 Depth 0-4 in"]);
        assert!(found.contains(&(Field::Client, "Tollgate Bowls Club".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::SampleLabel, "Green 7".to_owned())), "{found:?}");
        let found = of(&["Client Moss Shire Council Site Memorial Oval Lab no 2031-1"]);
        assert!(found.contains(&(Field::SampleLabel, "Memorial Oval".to_owned())), "{found:?}");
        let found = of(&["Client Moss Shire Council Site Oval 3 Lab no 2031-1"]);
        assert!(found.contains(&(Field::SampleLabel, "Site Oval 3".to_owned())), "{found:?}");
        assert_eq!(of(&["Depth of sample: 0 - 7 inches"]), [(Field::DepthTop, "0 - 7 inches".to_owned())]);
        assert_eq!(of(&["Sample mark: Rink 7"]), [(Field::SampleLabel, "Rink 7".to_owned())]);
        assert_eq!(of(&["Sample Mark 3"]), [(Field::SampleLabel, "Mark 3".to_owned())]);
        assert_eq!(of(&["Sample Mark: Rink 7"]), [(Field::SampleLabel, "Rink 7".to_owned())]);
        assert_eq!(of(&["Farm name: Moss End"]), [(Field::Farm, "Moss End".to_owned())]);
        assert_eq!(of(&["Laboratorio Quillmar"]), [(Field::Lab, "Laboratorio Quillmar".to_owned())]);
        assert_eq!(of(&["Laboratory: Quillmar Soils"]), [(Field::Lab, "Quillmar Soils".to_owned())]);
        let kind = of(&["Sample name:   Rink 7", "Sample type:   Soil mixed", "Depth:         0-75 mm"]);
        assert_eq!(kind.iter().filter(|f| f.0 == Field::SampleLabel).count(), 1, "{kind:?}");
        let sized = of(&["Sample ID: Rink 7", "Depth: 0-6 in   Area sampled: about 2,400 sq ft"]);
        assert_eq!(sized.iter().filter(|f| f.0 == Field::SampleLabel).count(), 1, "{sized:?}");
        assert!(of(&["Area (sq ft): 5200"]).iter().all(|(f, t)| *f != Field::SampleLabel || t != "5200"));
        assert_eq!(of(&["Identificación: Tabla 7"]), [(Field::SampleLabel, "Tabla 7".to_owned())]);
        assert!(of(&["Identificación: 1720445-9"]).iter().all(|(f, _)| *f != Field::SampleLabel));
        assert_eq!(of(&["Sample Green 1"]), [(Field::SampleLabel, "Green 1".to_owned())]);
    }

    #[test]
    fn the_figures_of_broken_units_beside_a_name_are_no_value() {
        let found = of(&[
            "Field    1000    1000   mg pro 1000   CEC",
            "ID       g       g      g             mmol/kg",
        ]);
        assert!(found.iter().all(|(f, _)| *f != Field::SampleLabel), "{found:?}");
        let form = of(&["Field    12      Report    1000    Client    Hob Trust"]);
        assert!(form.contains(&(Field::SampleLabel, "12".to_owned())), "{form:?}");
    }

    #[test]
    fn a_club_is_whose_ground_it_is_and_a_word_for_ground_a_name_among_values() {
        let found = of(&[
            "Club      Hob Mill Bowls Club      Sample      Green",
            "Contact   D. Quern                 Lab no.     7731/2",
            "Report    HM 7731                  Depth       0-100 mm",
        ]);
        assert!(found.contains(&(Field::Farm, "Hob Mill Bowls Club".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::SampleLabel, "Green".to_owned())), "{found:?}");
        assert!(of(&["Club lawn      6.2"]).iter().all(|(f, _)| *f != Field::Farm));
        let heading = of(&["Sample    Green", "12        7731/2"]);
        assert!(!heading.contains(&(Field::SampleLabel, "Green".to_owned())), "{heading:?}");
    }

    #[test]
    fn a_plain_name_above_the_samples_is_whose_soil_it_is() {
        let client = |name: &str, number: &str, sample: &str| {
            let form = [format!("Name        {name}   {number}   552"), format!("Sample ID   {sample}")];
            let found = of(&form.each_ref().map(String::as_str));
            found.iter().any(|f| *f == (Field::Client, name.to_owned()))
        };
        assert!(client("Ada Fernshaw", "Report number", "Rose bed"));
        assert!(!client("Ada Fernshaw", "Report number", "55-2"));
        assert!(!client("Ada Fernshaw", "Lab number", "Rose bed"));
        assert!(!client("North Field", "Report number", "Rose bed"));
        let named = of(&[
            "Client      Moss Trust",
            "Name        Ada Fernshaw   Report number   552",
            "Sample ID   Rose bed",
        ]);
        assert!(!named.contains(&(Field::Client, "Ada Fernshaw".to_owned())), "{named:?}");
    }

    #[test]
    fn a_person_named_alone_right_over_the_sample_is_whose_soil_it_is() {
        let client = |lines: &[&str]| of(lines).into_iter().find(|f| f.0 == Field::Client).map(|f| f.1);
        let form = [
            "Name                  Ada Fernshaw",
            "Sample                Rose bed",
            "Lab number            1187",
        ];
        assert_eq!(client(&form).as_deref(), Some("Ada Fernshaw"));
        assert_eq!(client(&[form[0], form[2], form[1]]), None);
        assert_eq!(client(&["Name                  North Field", form[1], form[2]]), None);
        assert_eq!(client(&[form[0], "Sample                55-2", form[2]]), None);
    }

    #[test]
    fn the_subject_of_a_letter_names_its_sample() {
        let label = |line: &str| of(&[line]).into_iter().find(|f| f.0 == Field::SampleLabel).map(|f| f.1);
        let quoted = "Re: soil test no. 24-0611, sample \"Back yard\", taken 0 to 6 inches deep";
        assert_eq!(label(quoted).as_deref(), Some("Back yard"));
        assert_eq!(label("Soil report QV/0552: Allotment plot 14").as_deref(), Some("Allotment plot 14"));
        assert_eq!(label("Soil report QV/0552: results and some advice"), None);
        assert_eq!(label("Soil report QV/0552: phosphorus in plenty everywhere"), None);
    }

    #[test]
    fn a_day_is_no_number_of_a_report() {
        let number = |line: &str| of(&[line]).into_iter().find(|f| f.0 == Field::Report).map(|f| f.1);
        assert_eq!(number("Report issued 26 April 2023"), None);
        assert_eq!(number("Report HT 26 B").as_deref(), Some("HT 26 B"));
    }

    #[test]
    fn people_named_over_a_sample_are_whose_soil_it_is() {
        let party = |name: &str, sample: &str| {
            let form =
                [format!("Name: {name}        Lab No. 552"), format!("{sample}       Received: 4/16/18")];
            let found = of(&form.each_ref().map(String::as_str));
            found.iter().any(|f| *f == (Field::Party, name.to_owned()))
        };
        assert!(party("J. & L. Quern", "Sample: South Forty") && party("Quern Brothers", "Field: Hill 30"));
        assert!(!party("South Forty", "Sample: North end"));
        let form = ["Consultant", "Name: J. & L. Weir", "", "Sample: South Forty"];
        assert!(of(&form).iter().all(|(f, _)| *f != Field::Party));
        let form = ["Lab contact    Name: J. & L. Weir", "", "Sample: South Forty"];
        assert!(of(&form).iter().all(|(f, _)| *f != Field::Party));
        assert!(!party("Quern Brothers", "Sample: 55-2") && !party("Quern Brothers", "Grower: A. Moss"));
    }

    #[test]
    fn a_stroke_parts_a_client_from_a_number_and_a_day_from_another() {
        let found = of(&[
            "For: Hob Mill Society - Batch HM-0216",
            "Arrived Mon 19 Feb 2024 - sent out Mon 26 Feb 2024",
        ]);
        let pair = |field, text: &str| found.contains(&(field, text.to_owned()));
        assert!(pair(Field::Client, "Hob Mill Society") && pair(Field::Report, "HM-0216"), "{found:?}");
        assert!(pair(Field::ReceivedOn, "Mon 19 Feb 2024"), "{found:?}");
        assert!(pair(Field::ReportedOn, "Mon 26 Feb 2024"), "{found:?}");
        let found = of(&["Customer: Fern Trust | Order 4471-22 | In: 3 May 2021 | Out: 9 May 2021"]);
        for pair in [
            (Field::Client, "Fern Trust"),
            (Field::Report, "4471-22"),
            (Field::ReceivedOn, "3 May 2021"),
            (Field::ReportedOn, "9 May 2021"),
        ] {
            assert!(found.contains(&(pair.0, pair.1.to_owned())), "{found:?}");
        }
        let whole = of(&["Sample: Compost - Batch 3"]);
        assert_eq!(whole, [(Field::SampleLabel, "Compost - Batch 3".to_owned())]);
        let whole = of(&["Client: Moss - Order of Fern"]);
        assert_eq!(whole, [(Field::Client, "Moss - Order of Fern".to_owned())]);
    }

    #[test]
    fn a_line_of_names_over_one_line_of_values_is_a_card() {
        let names = "Grower            Field      Lab sample   Report     Next crop";
        let found = of(&[names, "Hob Mill Farms    Block 14   24611-3      HM-24      Oats"]);
        for pair in
            [(Field::Client, "Hob Mill Farms"), (Field::SampleLabel, "Block 14"), (Field::Report, "HM-24")]
        {
            assert!(found.contains(&(pair.0, pair.1.to_owned())), "{found:?}");
        }
        let rows = of(&[
            names,
            "Hob Mill Farms    Block 14   24611-3      HM-24      Oats",
            "Weir Farms        Block 15   24611-4      HM-25      Oats",
        ]);
        assert!(rows.iter().all(|(f, _)| *f != Field::Client), "{rows:?}");
    }

    #[test]
    fn a_word_in_the_middle_of_a_broken_name_asks_for_none() {
        let found = of(&["          House", "          field", "Unit      1"]);
        assert!(found.iter().all(|(field, _)| *field != Field::SampleLabel), "{found:?}");
        assert_eq!(of(&["Field", "Rink 7"]), [(Field::SampleLabel, "Rink 7".to_owned())]);
        let golf = of(&["Sample     Lab No.    Depth", "Green 8    5507       0-4 in"]);
        assert!(golf.contains(&(Field::SampleLabel, "Green 8".to_owned())), "{golf:?}");
        let found = of(&["Client", "Moss Trust", "Depth", "0 - 25 cm"]);
        assert!(found.contains(&(Field::DepthTop, "0 - 25 cm".to_owned())), "{found:?}");
    }

    #[test]
    fn a_depth_and_a_day_behind_a_name_are_no_part_of_it() {
        for text in [
            "Sample: North lawn, 0 to 6 inches, taken 3 May 2023",
            "Sample: North lawn, taken May 3, 2023; depth 0 to 6 inches",
        ] {
            let found = of(&[text]);
            let first = |field| found.iter().find(|(f, _)| *f == field).map(|(_, t)| t.clone());
            assert_eq!(first(Field::SampleLabel).as_deref(), Some("North lawn"), "{found:?}");
            let when = first(Field::SampledOn).unwrap();
            assert_eq!(day(&when, DayOrder::default()).1, Some(2023), "{found:?}");
            let layer = depth(&first(Field::DepthTop).unwrap(), None, true);
            assert_eq!(layer, Some(Depth::inches(0.0, 6.0)), "{found:?}");
        }
        assert_eq!(
            of(&["Sample: Moss, Fern and Hay"]),
            [(Field::SampleLabel, "Moss, Fern and Hay".to_owned())]
        );
    }

    #[test]
    fn prose_tells_sample_number_day_and_depth() {
        let found = of(&[
            "Thank you for the soil sample from Lower paddock (our number QX407), taken on October 15, 2018",
        ]);
        assert!(found.contains(&(Field::SampleLabel, "Lower paddock".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::LabSample, "QX407".to_owned())), "{found:?}");
        let found = of(&["Re: your sample \"Rose beds, side yard\", laboratory no. 16-1, report HT-16,"]);
        assert!(found.contains(&(Field::SampleLabel, "Rose beds, side yard".to_owned())), "{found:?}");
    }

    #[test]
    fn depths_in_inches_and_centimetres() {
        assert_eq!(depth("0 - 6 in", None, false), Some(Depth::inches(0.0, 6.0)));
        assert_eq!(depth("4 inches", None, false), Some(Depth::inches(0.0, 4.0)));
        assert_eq!(depth("0 to 7 inches", None, false), Some(Depth::inches(0.0, 7.0)));
        assert_eq!(depth("0-15 cm", None, false), Some(Depth { top_cm: 0.0, bottom_cm: 15.0 }));
        assert_eq!(depth("6-24\"", None, false), Some(Depth::inches(6.0, 24.0)));
        assert_eq!(depth("0-6", None, false), None);
        assert_eq!(depth("inches 5", None, true), None);
        assert_eq!(depth("0 in", Some("6 in"), false), Some(Depth::inches(0.0, 6.0)));
    }

    #[test]
    fn a_name_in_two_languages_asks_once() {
        assert_eq!(of(&["Kliënt / Client: Moss Trust"]), [(Field::Client, "Moss Trust".to_owned())]);
        let apart = of(&[
            "Kliënt / Client:   Moss Trust (Edms) Bpk   Verslag nr / Report no:   KV/9   Gerapporteer / Reported:   2023-08-15",
        ]);
        assert_eq!(apart.len(), 3, "{apart:?}");
        assert_eq!(of(&["Ontvang / Received: 2023-08-08"]), [(Field::ReceivedOn, "2023-08-08".to_owned())]);
        let unlike = leading_field("Client / Report: Moss Trust", C);
        assert!(unlike.is_some_and(|(field, ..)| field == Field::Ignored));
    }

    #[test]
    fn a_word_for_a_piece_of_ground_belongs_to_the_name_under_a_heading() {
        let found = of(&["Klant              Monster", "Hof Terbrug        Perceel 8 Achter"]);
        assert!(found.contains(&(Field::SampleLabel, "Perceel 8 Achter".to_owned())), "{found:?}");
        assert!(found.iter().all(|(_, text)| text != "8 Achter"), "{found:?}");
    }

    #[test]
    fn a_code_is_a_name_though_an_extract_is_called_so() {
        for code in ["B1", "P1", "P2", "K10x"] {
            assert_eq!(of(&[&format!("Location:   {code}")]), [(Field::SampleLabel, code.to_owned())]);
            assert_eq!(of(&[&format!("Location: {code}")]), [(Field::SampleLabel, code.to_owned())]);
        }
        assert!(reads_like_a_heading("Unit Procedure 1 2 3") && !reads_like_a_heading("Unit 7 north"));
        assert!(!reads_like_a_heading("P2 field") && !reads_like_a_heading("Block B1"));
        assert!(reads_like_a_heading("Description Parameter") && !reads_like_a_heading("Parameter hill 3"));
        assert!(!reads_like_a_heading("Bore Field") && reads_like_a_heading("Bore"));
        assert!(reads_like_a_heading("Sample Block") && reads_like_a_heading("Method field"));
        assert!(ends_with_a_heading("Pitch 1 Optimum Range") && !ends_with_a_heading("Driving range"));
        assert!(reads_like_a_heading("Bray P1") && reads_like_a_heading("P2 ppm"));
        assert!(reads_like_a_heading("(cmol c (g/100") && !reads_like_a_heading("Moss (north)"));
        assert!(reads_like_a_heading("4.3 Walkley and Black") && !reads_like_a_heading("Walkley field 3"));
        assert!(names_sample("Area Sampled  B1", C));
        assert!(!names_sample("Phosphorus by Bray P1", C));
    }

    #[test]
    fn another_columns_line_may_stand_between_a_name_and_its_value() {
        use super::super::rewrap::tests::set;
        let page = layout(&set(&[
            (100.0, "Client"),
            (106.0, "                                Order no: 44"),
            (112.0, "Ada Fernshaw"),
            (118.0, "                                Depth: 0-15 cm"),
        ]));
        let found = fields(&page, &[], Context { symbols: false, capitals: false });
        let client = found.iter().find(|f| f.field == Field::Client).map(|f| f.text.as_str());
        assert_eq!(client, Some("Ada Fernshaw"), "{found:?}");
    }
}
