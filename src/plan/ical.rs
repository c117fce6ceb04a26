//! The plan as a calendar: RFC 5545 text with applications and the next samples.
//!
//! Lines end in CRLF and are folded at 75 octets; identifiers stay the same when the plan is made again.

use super::outcome::{Plan, Planned};
use jiff::ToSpan;
use jiff::civil::Date;

/// A calendar of these plans.
pub fn calendar(plans: &[Plan]) -> String {
    let mut lines = vec![
        "BEGIN:VCALENDAR".to_owned(),
        "VERSION:2.0".to_owned(),
        "PRODID:-//loamline//plan//EN".to_owned(),
        "CALSCALE:GREGORIAN".to_owned(),
    ];
    for plan in plans {
        // The n-th of a nutrient in a zone and month keeps its identifier when its day moves or an earlier one is done.
        let mut seen: Vec<(&str, &str, i8)> = Vec::new();
        for one in &plan.applications {
            let key = (one.zone.as_str(), one.nutrient.id(), one.on.month());
            let number = seen.iter().filter(|other| **other == key).count() + 1;
            seen.push(key);
            let id =
                format!("{}-{}-{}-{}-{number}", plan.site, one.zone, one.on.strftime("%Y-%m"), one.nutrient);
            lines.extend(event(plan, &id, one.on, &title(plan, one), &describe(one)));
        }
        for retest in &plan.retests {
            let id = format!("{}-{}-sample-{}", plan.site, retest.zone, retest.on.year());
            let said = format!("At least {} cores, {}. {}", retest.cores, retest.depth, retest.reason);
            lines.extend(event(
                plan,
                &id,
                retest.on,
                &format!("Sample {} ({})", plan.name, retest.zone),
                &said,
            ));
        }
    }
    lines.push("END:VCALENDAR".to_owned());
    lines.iter().map(|line| folded(line)).collect()
}

fn title(plan: &Plan, one: &Planned) -> String {
    match &one.total {
        Some(total) => format!("{} ({}): {} of {}", plan.name, one.zone, total.said(), one.what()),
        None => {
            format!(
                "{} ({}): {} of {} for 1000 ft2",
                plan.name,
                one.zone,
                one.per_1000_ft2.said(),
                one.what()
            )
        }
    }
}

fn describe(one: &Planned) -> String {
    format!(
        "{} for 1000 ft2 in {} passes of {}.\n{}\nSource: {}. Follow the label and local rules; check the weather.",
        one.per_1000_ft2.said(),
        one.passes,
        one.per_pass.said(),
        one.reason,
        one.source
    )
}

fn event(plan: &Plan, id: &str, on: Date, title: &str, said: &str) -> Vec<String> {
    let day = |day: Date| day.strftime("%Y%m%d").to_string();
    let next = on.checked_add(1.day()).unwrap_or(on);
    vec![
        "BEGIN:VEVENT".to_owned(),
        format!("UID:{}@loamline.invalid", plain(id)),
        format!("DTSTAMP:{}T000000Z", day(plan.made_on)),
        format!("DTSTART;VALUE=DATE:{}", day(on)),
        format!("DTEND;VALUE=DATE:{}", day(next)),
        format!("SUMMARY:{}", escaped(title)),
        format!("DESCRIPTION:{}", escaped(said)),
        "TRANSP:TRANSPARENT".to_owned(),
        "END:VEVENT".to_owned(),
    ]
}

/// An identifier of letters that any program takes; every other one by its number, so that no two become the same.
fn plain(id: &str) -> String {
    let mut plain = String::new();
    for c in id.chars() {
        match c {
            c if c.is_ascii_alphanumeric() || c == '-' => plain.push(c),
            c => plain.push_str(&format!("_{:x}", u32::from(c))),
        }
    }
    plain
}

/// TEXT of RFC 5545, 3.3.11; control characters are dropped.
fn escaped(text: &str) -> String {
    let mut safe = String::new();
    for c in text.chars() {
        match c {
            '\\' => safe.push_str("\\\\"),
            ';' => safe.push_str("\\;"),
            ',' => safe.push_str("\\,"),
            '\n' => safe.push_str("\\n"),
            c if c.is_control() => {}
            c => safe.push(c),
        }
    }
    safe
}

/// A content line folded at 75 octets (RFC 5545, 3.1), never inside a character, with its CRLF.
fn folded(line: &str) -> String {
    const OCTETS: usize = 75;
    let (mut folded, mut width) = (String::new(), 0);
    for c in line.chars() {
        if width + c.len_utf8() > OCTETS {
            folded.push_str("\r\n ");
            width = 1;
        }
        folded.push(c);
        width += c.len_utf8();
    }
    folded.push_str("\r\n");
    folded
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_folded_line_fits_and_unfolds_to_itself(text in "[ -~äß水]{0,300}") {
            let folded = folded(&text);
            prop_assert!(folded.ends_with("\r\n"));
            prop_assert!(folded.split("\r\n").all(|line| line.len() <= 75));
            let unfolded = folded.replace("\r\n ", "");
            prop_assert_eq!(unfolded.trim_end_matches("\r\n"), text);
        }
    }

    #[test]
    fn text_is_escaped_and_ids_never_fall_together() {
        assert_eq!(escaped("a, b; c\\d\ne\u{1b}[0m"), "a\\, b\\; c\\\\d\\ne[0m");
        assert_ne!(plain("a b"), plain("a_b"));
        assert_eq!(plain("north-1"), "north-1");
    }
}
