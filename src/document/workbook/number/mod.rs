//! Number formats of spreadsheets (ECMA-376 part 1, 18.8.30 and 18.8.31, from memory): what a value looks like.

mod code;

use super::decimal::Decimal;

/// Formats with a fixed number; the rest are written out in the file.
const BUILT_IN: &[(u32, &str)] = &[
    (1, "0"),
    (2, "0.00"),
    (3, "#,##0"),
    (4, "#,##0.00"),
    (9, "0%"),
    (10, "0.00%"),
    (11, "0.00E+00"),
    (14, "yyyy-mm-dd"),
    (15, "d-mmm-yy"),
    (16, "d-mmm"),
    (17, "mmm-yy"),
    (18, "h:mm AM/PM"),
    (19, "h:mm:ss AM/PM"),
    (20, "h:mm"),
    (21, "h:mm:ss"),
    (22, "m/d/yy h:mm"),
    (37, "#,##0"),
    (38, "#,##0"),
    (39, "#,##0.00"),
    (40, "#,##0.00"),
    (41, "#,##0"),
    (42, "#,##0"),
    (43, "#,##0.00"),
    (44, "#,##0.00"),
    (45, "mm:ss"),
    (46, "[h]:mm:ss"),
    (47, "mm:ss.0"),
    (48, "##0.0E+0"),
    (49, "@"),
];

/// What a number of a cell looks like.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shown {
    /// The text.
    pub(super) text: String,
    /// False for a date or time.
    pub(super) numeric: bool,
    /// True where rounding to the shown digits changes the value by more than one part in a hundred.
    pub(super) coarse: bool,
}

/// A format, read once a style.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct NumberFormat {
    sections: Vec<Section>,
}

#[derive(Debug, Clone, PartialEq, Default)]
struct Section {
    condition: Option<(Comparison, f64)>,
    before: String,
    after: String,
    pattern: Pattern,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Comparison {
    Less,
    LessOrEqual,
    Greater,
    GreaterOrEqual,
    Equal,
    Unequal,
}

#[derive(Debug, Clone, PartialEq, Default)]
enum Pattern {
    #[default]
    General,
    /// Only words: the number itself is not shown.
    Words,
    Date {
        date: bool,
        day: bool,
        time: bool,
    },
    Digits(Digits),
}

#[derive(Debug, Clone, PartialEq, Default)]
struct Digits {
    places: usize,
    least: usize,
    most: usize,
    percent: bool,
    exponent: bool,
}

impl NumberFormat {
    /// The format with a fixed number, general where there is none.
    pub(super) fn built_in(id: u32) -> Self {
        match id {
            // Dates whose look depends on the country of the program.
            27..=36 | 50..=58 => Self::parse("yyyy-mm-dd"),
            _ => BUILT_IN.iter().find(|(n, _)| *n == id).map(|(_, c)| Self::parse(c)).unwrap_or_default(),
        }
    }

    /// A written format.
    pub(super) fn parse(code: &str) -> Self {
        Self { sections: code::sections(code) }
    }

    /// What the value looks like; none where the format hides it or it is no finite number.
    pub(super) fn show(&self, value: f64, epoch_1904: bool) -> Option<Shown> {
        let decimal = Decimal::new(value)?;
        let general = Section::default();
        let (section, unsigned) = self.choose(value).unwrap_or((&general, false));
        let (middle, numeric, rounded) = match &section.pattern {
            Pattern::General => (signed(decimal, unsigned).general(), true, None),
            Pattern::Words => (String::new(), false, None),
            Pattern::Date { date, day, time } => (when(value, epoch_1904, *date, *day, *time), false, None),
            Pattern::Digits(digits) => {
                let text = digits.text(signed(decimal, unsigned));
                let rounded =
                    (!digits.percent && !digits.exponent).then(|| text.parse::<f64>().ok()).flatten();
                (text, true, rounded)
            }
        };
        let text = format!("{}{middle}{}", section.before, section.after).trim().to_owned();
        let coarse = rounded.is_some_and(|r| (r.abs() - value.abs()).abs() > value.abs() * 0.01);
        (!text.is_empty()).then_some(Shown { text, numeric, coarse })
    }

    /// The section for a value, and whether that section stands for the sign itself.
    fn choose(&self, value: f64) -> Option<(&Section, bool)> {
        let sections = self.sections.get(..self.sections.len().min(3)).unwrap_or_default();
        if sections.iter().any(|s| s.condition.is_some()) {
            let fits = |s: &&Section| s.condition.is_none_or(|(c, bound)| c.holds(value, bound));
            return sections.iter().find(fits).map(|s| (s, false));
        }
        match sections {
            [only] => Some((only, false)),
            [_, below] if value < 0.0 => Some((below, true)),
            [_, below, _] if value < 0.0 => Some((below, true)),
            [_, _, zero] if value == 0.0 => Some((zero, false)),
            [above, ..] => Some((above, false)),
            [] => None,
        }
    }
}

fn signed(decimal: Decimal, unsigned: bool) -> Decimal {
    if unsigned { decimal.magnitude() } else { decimal }
}

impl Comparison {
    fn holds(self, value: f64, bound: f64) -> bool {
        match self {
            Self::Less => value < bound,
            Self::LessOrEqual => value <= bound,
            Self::Greater => value > bound,
            Self::GreaterOrEqual => value >= bound,
            Self::Equal => value == bound,
            Self::Unequal => value != bound,
        }
    }
}

impl Digits {
    /// Thousands separators of a format are left out: they would have to be told from decimal commas again.
    fn text(&self, decimal: Decimal) -> String {
        if self.exponent {
            let exponent = decimal.exponent();
            let mantissa = decimal.shifted(-exponent).rounded(self.most).text(1, self.least);
            return format!("{mantissa}E{exponent:+03}");
        }
        let decimal = if self.percent { decimal.shifted(2) } else { decimal };
        let text = decimal.rounded(self.most).text(self.places, self.least);
        if self.places == 0 && text.is_empty() { "0".to_owned() } else { text }
    }
}

/// A day, month or time of day, in ISO order.
fn when(serial: f64, epoch_1904: bool, date: bool, day: bool, time: bool) -> String {
    let general = || Decimal::new(serial).map(|d| d.general()).unwrap_or_default();
    let minutes = ((serial - serial.floor()) * 1440.0).round();
    let clock = format!("{:02}:{:02}", (minutes / 60.0) as u32 % 24, minutes as u32 % 60);
    if !date {
        return clock;
    }
    let Some(at) = calendar(serial, epoch_1904) else { return general() };
    if !day {
        return format!("{:04}-{:02}", at.year(), at.month());
    }
    if time && minutes > 0.0 && minutes < 1440.0 { format!("{at} {clock}") } else { at.to_string() }
}

/// The calendar day of a serial number; before March 1900 the count is off by one, as the trade's first program
/// took 1900 for a leap year.
fn calendar(serial: f64, epoch_1904: bool) -> Option<jiff::civil::Date> {
    if !(0.0..2_958_466.0).contains(&serial) {
        return None;
    }
    let days = serial.floor() as i64;
    let (year, month, day, days) = match (epoch_1904, days) {
        (true, days) => (1904, 1, 1, days),
        (false, 60) => return None,
        (false, days) if days < 60 => (1899, 12, 31, days),
        (false, days) => (1899, 12, 30, days),
    };
    let start = jiff::civil::Date::new(year, month, day).ok()?;
    start.checked_add(jiff::Span::new().try_days(days).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn show(code: &str, value: f64) -> String {
        NumberFormat::parse(code).show(value, false).map(|s| s.text).unwrap_or_default()
    }

    #[test]
    fn decimals_are_those_of_the_format() {
        assert_eq!(show("0.00", 6.8), "6.80");
        assert_eq!(show("0.0", 73.1), "73.1");
        assert_eq!(show("General", 73.1), "73.1");
        assert_eq!(show("0.0##", 6.25), "6.25");
        assert_eq!(show("#,##0", 2041.4), "2041");
        assert_eq!(show("0000", 12.0), "0012");
        assert_eq!(show("0.00E+00", 12345.0), "1.23E+04");
        assert_eq!(show("#,##0.0_);[Red](#,##0.0)", -12.34), "(12.3)");
        assert_eq!(show("#.0", 0.4), ".4");
    }

    #[test]
    fn words_of_a_format_are_part_of_what_a_person_sees() {
        assert_eq!(show("0.0\" mg/kg\"", 5.2), "5.2 mg/kg");
        assert_eq!(show("0%", 0.05), "5%");
        assert_eq!(show("[<0.1]\"<0.1\";0.00", 0.05), "<0.1");
        assert_eq!(show("[<0.1]\"<0.1\";0.00", 0.5), "0.50");
        assert_eq!(show("0;-0;\"ND\"", 0.0), "ND");
        assert_eq!(show(";;;", 6.4), "");
    }

    #[test]
    fn dates_are_given_in_iso_order_and_never_more_exact_than_shown() {
        assert_eq!(show("yyyy-mm-dd", 43732.0), "2019-09-24");
        assert_eq!(show("d/m/yy", 43732.0), "2019-09-24");
        assert_eq!(show("m/d/yy h:mm", 43732.5), "2019-09-24 12:00");
        assert_eq!(show("mmm-yy", 43732.0), "2019-09");
        assert_eq!(show("h:mm", 0.75), "18:00");
        assert_eq!(show("yyyy-mm-dd", 59.0), "1900-02-28");
        let macintosh = NumberFormat::built_in(14).show(42270.0, true).unwrap();
        assert_eq!((macintosh.text.as_str(), macintosh.numeric), ("2019-09-24", false));
    }

    #[test]
    fn a_pattern_that_is_not_known_shows_the_plain_number() {
        assert_eq!(show("# ?/?", 6.5), "6.5");
        assert_eq!(show("[h]:mm", 1.5), "1.5");
        assert_eq!(show("000-000", 123456.0), "123456");
        assert_eq!(show("@", 12.0), "12");
    }

    #[test]
    fn coarse_rounding_is_told() {
        let format = NumberFormat::parse("0");
        assert!(format.show(6.4, false).unwrap().coarse);
        assert!(!format.show(2041.4, false).unwrap().coarse);
    }
}
