//! The digest as plain text: every line safe for a terminal or a log.

use super::{Closer, Counts, Digest, NewFlag, OriginalNews, PerhapsOne, SiteName};
use crate::soil::site::WHOLE;

/// Entries of one list that are written out; the rest is counted.
pub(super) const SHOWN: usize = 40;

/// One line on all of it.
pub(super) fn subject(digest: &Digest) -> String {
    let mut parts = parts(&digest.counts());
    if !digest.trouble.is_empty() {
        parts.insert(0, "needs attention itself".to_owned());
    }
    let said = if parts.is_empty() { "nothing new".to_owned() } else { parts.join(", ") };
    format!("Soil reports of {}: {said}", digest.day)
}

/// What there is, in words.
fn parts(counts: &Counts) -> Vec<String> {
    let many =
        |n: usize, one: &str, more: &str| (n > 0).then(|| format!("{n} {}", if n == 1 { one } else { more }));
    [
        many(counts.act, "new flag to act on", "new flags to act on"),
        many(counts.watch, "new flag to watch", "new flags to watch"),
        many(counts.closer, "crossing closer", "crossings closer"),
        many(counts.held, "original held", "originals held"),
        many(counts.alike, "pair of sites perhaps one", "pairs of sites perhaps one"),
        many(counts.refused, "original refused", "originals refused"),
        many(counts.reports, "new report", "new reports"),
        many(counts.retests, "sampling due", "samplings due"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A list of the digest under its heading.
pub(super) struct Section {
    /// What it lists.
    pub heading: &'static str,
    /// What it lists, in sentences.
    pub lines: Vec<String>,
    /// How many more there are, and where they are seen; empty where all are written out.
    pub more: String,
}

/// Every list that has something, the most urgent first.
pub(super) fn sections(digest: &Digest) -> Vec<Section> {
    let mut all = Vec::new();
    let mut add = |heading, lines: Vec<String>, total: usize, command: &str| {
        let rest = total.saturating_sub(SHOWN);
        let more = if rest > 0 { format!("and {rest} more: {command}") } else { String::new() };
        if total > 0 {
            all.push(Section { heading, lines, more });
        }
    };
    let trouble: Vec<String> = digest.trouble.iter().take(SHOWN).map(|line| clean(line)).collect();
    add("The service itself", trouble, digest.trouble.len(), "see its log");
    let flags = digest.flags.iter().take(SHOWN).map(flag).collect();
    add("New flags", flags, digest.flags.len(), "loamline flags");
    let closer = digest.closer.iter().take(SHOWN).map(closer).collect();
    add("Sufficiency ends sooner than told before", closer, digest.closer.len(), "loamline trend SITE");
    let held = digest.held.iter().take(SHOWN).map(waits).collect();
    add("Held for you", held, digest.held.len(), "loamline held");
    let alike = digest.alike.iter().take(SHOWN).map(perhaps_one).collect();
    add("Perhaps one site", alike, digest.alike.len(), "loamline held");
    let refused = digest.refused.iter().take(SHOWN).map(waits).collect();
    add("Refused", refused, digest.refused.len(), "loamline export documents");
    let reports = digest.reports.iter().take(SHOWN).map(report).collect();
    add("New reports", reports, digest.reports.len(), "loamline export documents");
    let retests = digest.retests.iter().take(SHOWN).map(flag).collect();
    add("Due for sampling", retests, digest.retests.len(), "loamline flags");
    all
}

/// For people.
pub(super) fn text(digest: &Digest) -> String {
    let mut text = format!("{}\n", clean(&subject(digest)));
    for section in sections(digest) {
        text.push_str(&format!("\n{}\n", section.heading));
        for line in section.lines.iter().chain((!section.more.is_empty()).then_some(&section.more)) {
            text.push_str(&format!("  {line}\n"));
        }
    }
    text
}

fn named(site: &SiteName, zone: &str) -> String {
    let zone = if zone == WHOLE { String::new() } else { format!(", {zone}") };
    match &site.client {
        Some(client) => format!("{}, {client}{zone} ({})", site.name, site.id),
        None => format!("{}{zone} ({})", site.name, site.id),
    }
}

fn flag(new: &NewFlag) -> String {
    let flag = &new.flag;
    let was = new.was.map_or_else(String::new, |was| format!(", so far {was}"));
    clean(&format!("{}: {} {}{was}: {}", named(&new.site, &flag.zone), flag.severity, flag.flag, flag.reason))
}

fn closer(closer: &Closer) -> String {
    clean(&format!(
        "{}: {} ({}) meets the lower edge of sufficiency in {}; {} was told before.",
        named(&closer.site, &closer.zone),
        closer.analyte.name(),
        closer.method,
        closer.now,
        closer.was
    ))
}

fn perhaps_one(pair: &PerhapsOne) -> String {
    let (site, other) = (&pair.site, &pair.other);
    clean(&format!(
        "{} and {}: loamline sites join {} {}, or loamline sites apart {} {}",
        named(site, WHOLE),
        named(other, WHOLE),
        site.id,
        other.id,
        site.id,
        other.id
    ))
}

fn report(original: &OriginalNews) -> String {
    let printed: Vec<String> = [
        original.lab.clone(),
        original.client.clone(),
        original.report.as_ref().map(|number| format!("report {number}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    let readings = if original.readings == 1 { "reading" } else { "readings" };
    let printed = if printed.is_empty() { String::new() } else { format!("{}, ", printed.join(", ")) };
    clean(&format!("{}: {printed}{} {readings}", original.file, original.readings))
}

fn waits(original: &OriginalNews) -> String {
    clean(&format!("{}: {}", original.file, original.why.as_deref().unwrap_or("something in it is in doubt")))
}

/// On one line, without control characters and without marks that turn the direction of writing.
pub(super) fn clean(text: &str) -> String {
    let harmful = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().map(|c| if harmful(c) { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn original(file: &str) -> OriginalNews {
        OriginalNews {
            file: file.to_owned(),
            sha256: "0".repeat(64),
            lab: Some("Harrowby Soil House".to_owned()),
            client: None,
            report: Some("H-1".to_owned()),
            readings: 12,
            why: Some("A line\nwith a break".to_owned()),
        }
    }

    #[test]
    fn a_quiet_day_is_quiet_and_says_so() {
        let digest = Digest::of_day(date(2024, 5, 6));
        assert!(digest.is_quiet());
        assert_eq!(digest.subject(), "Soil reports of 2024-05-06: nothing new");
    }

    #[test]
    fn what_a_document_says_cannot_break_out_of_its_line_or_page() {
        let mut digest = Digest::of_day(date(2024, 5, 6));
        digest.held = vec![original("<b>\u{1b}[31m\u{202e}.pdf")];
        assert!(!digest.is_quiet());
        let text = digest.text();
        assert!(text.contains("  <b> [31m .pdf: A line with a break\n"), "{text}");
        let html = digest.html().unwrap();
        assert!(!html.contains("<b>") && html.contains("[31m"), "{html}");
        assert!(digest.json("k").unwrap().contains("\"kind\":\"digest\""));
    }

    #[test]
    fn a_long_list_is_cut_and_counted() {
        let mut digest = Digest::of_day(date(2024, 5, 6));
        digest.reports = (0..300).map(|n| original(&format!("{n}.pdf"))).collect();
        assert!(digest.text().contains("and 260 more: loamline export documents"));
        let json: serde_json::Value = serde_json::from_str(&digest.json("k").unwrap()).unwrap();
        assert_eq!(json["counts"]["reports"], 300);
        assert_eq!(json["digest"]["reports"].as_array().unwrap().len(), 200);
    }
}
