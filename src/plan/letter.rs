//! The client's letter: one page of HTML in plain words, which prints to one sheet.

use super::outcome::{Plan, short};
use super::zone::KEEPER;
use crate::assess::Assessment;
use crate::flag::SeriesFacts;
use crate::guide::Standing;
use crate::soil::{Analyte, Unit};
use std::fmt::Write;

/// Rows of a list that still fit on the sheet.
const ROWS: usize = 7;

/// The letter of a site. `chart_svg` is put in as it is: it must be a drawing of this program.
pub fn letter(assessment: &Assessment, plan: &Plan, from: &str, chart_svg: Option<&str>) -> String {
    let mut page = String::new();
    // Writing to a String cannot fail.
    let _ = write!(
        page,
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>{name}: soil report {season}</title>\n\
         <style>{STYLE}</style></head><body>\n<header><p>{from}</p><p>{on}</p></header>\n<h1>{name}</h1>\n{client}",
        name = text(&plan.name),
        season = plan.season,
        from = text(from),
        on = plan.made_on.strftime("%-d %B %Y"),
        client =
            plan.client.as_deref().map(|client| format!("<p>For {}</p>\n", text(client))).unwrap_or_default(),
    );
    section(&mut page, "What we measured", &measured(assessment));
    section(&mut page, "What changed", &changed(assessment));
    if let Some(svg) = chart_svg {
        let _ = writeln!(page, "<figure>{}</figure>", svg_alone(svg));
    }
    let to_do: Vec<String> = plan
        .applications
        .iter()
        .map(|one| {
            let total =
                one.total.as_ref().map(|total| format!(", {} in all", total.said())).unwrap_or_default();
            format!(
                "{}: {}{}, {} for every 1000 square feet{total}.",
                one.on.strftime("%-d %B %Y"),
                of_zone(&one.zone),
                one.what(),
                one.per_1000_ft2.said()
            )
        })
        .collect();
    section(&mut page, "What we will do", &or(to_do, "Nothing this season: your soil has what it needs."));
    let settle: Vec<String> = plan
        .questions
        .iter()
        // What the keeper must set is no matter for the client.
        .filter(|one| one.ask != KEEPER)
        .map(|one| match &one.plain {
            Some(plain) => format!("{}{plain} (We ask {}.)", of_zone(&one.zone), one.ask),
            None => format!("{}{}", of_zone(&one.zone), plain_question(&one.question, &one.ask)),
        })
        .collect();
    if !settle.is_empty() {
        section(&mut page, "What we settle first", &settle);
    }
    let left: Vec<String> = plan
        .leave_alone
        .iter()
        .map(|one| {
            format!("{}{}", of_zone(&one.zone), one.plain.clone().unwrap_or_else(|| without_ids(&one.reason)))
        })
        .collect();
    section(&mut page, "What we will leave alone", &or(left, "Nothing in particular."));
    let next: Vec<String> = plan
        .retests
        .iter()
        .map(|one| {
            format!(
                "About {}: at least {} cores, {}.",
                one.on.strftime("%B %Y"),
                one.cores,
                without_ids(&one.depth)
            )
        })
        .collect();
    section(&mut page, "Next test", &or(next, "To be agreed."));
    page.push_str(
        "<footer>We follow the product labels and the rules of the state, the county and the town. Please keep \
         children and pets off until the grass is dry, or as long as the label says.</footer>\n</body></html>\n",
    );
    page
}

const STYLE: &str = "@page{size:auto;margin:14mm}body{font:10.5pt/1.35 Georgia,serif;max-width:180mm;margin:0 auto;\
color:#222}header{display:flex;justify-content:space-between}h1{font-size:16pt;margin:.2em 0}h2{font-size:11.5pt;\
margin:.7em 0 .2em}ul{margin:0;padding-left:1.2em}p{margin:.2em 0}figure{margin:.4em 0;text-align:center}\
figure svg{width:100%;max-height:70mm}footer{margin-top:.8em;font-size:9pt;border-top:1px solid #999;padding-top:.3em}";

fn section(page: &mut String, title: &str, lines: &[String]) {
    let _ = writeln!(page, "<h2>{}</h2>\n<ul>", text(title));
    for line in lines.iter().take(ROWS) {
        let _ = writeln!(page, "<li>{}</li>", text(line));
    }
    if lines.len() > ROWS {
        let _ = writeln!(page, "<li>and {} more in the full plan</li>", lines.len() - ROWS);
    }
    page.push_str("</ul>\n");
}

fn or(lines: Vec<String>, none: &str) -> Vec<String> {
    if lines.is_empty() { vec![none.to_owned()] } else { lines }
}

/// The analytes a client is told of, the soil's main ones.
const TOLD: [Analyte; 7] = [
    Analyte::Ph,
    Analyte::OrganicMatter,
    Analyte::Phosphorus,
    Analyte::Potassium,
    Analyte::Magnesium,
    Analyte::SolubleSalts,
    Analyte::SatNa,
];

fn told(assessment: &Assessment) -> impl Iterator<Item = &SeriesFacts> {
    TOLD.iter().flat_map(move |analyte| {
        assessment.series.iter().filter(move |facts| facts.current && facts.analyte() == *analyte)
    })
}

fn measured(assessment: &Assessment) -> Vec<String> {
    let lines = told(assessment).filter_map(|facts| {
        let last = facts.last()?;
        let unit = match facts.analyte().unit() {
            Unit::One => String::new(),
            Unit::MgPerKg => " parts per million".to_owned(),
            Unit::Percent => " percent".to_owned(),
            unit => format!(" {}", unit.suffix()),
        };
        let sign = last.qualifier.map_or("", |q| if q.id() == "<" { "less than " } else { "more than " });
        let standing = match facts.level().map(|level| level.standing) {
            Some(Standing::Below) => ": lower than wanted",
            Some(Standing::Within) => ": as it should be",
            Some(Standing::Above) => ": more than needed",
            _ => "",
        };
        Some(format!(
            "{}{} in {}: {sign}{}{unit}{standing}.",
            upper(facts.analyte().name()),
            zone(facts),
            last.season,
            short_value(last.value)
        ))
    });
    or(lines.collect(), "No results that count yet.")
}

fn changed(assessment: &Assessment) -> Vec<String> {
    let lines = told(assessment).filter_map(|facts| {
        let first = facts.series.values.first()?;
        let last = facts.last()?;
        let bounds = facts.trend.slope_bounds?;
        let way = if bounds.0 > 0.0 {
            "has risen"
        } else if bounds.1 < 0.0 {
            "has fallen"
        } else {
            return None;
        };
        Some(format!(
            "{}{} {way} from {} to {} since {}.",
            upper(facts.analyte().name()),
            zone(facts),
            short_value(first.value),
            short_value(last.value),
            first.season
        ))
    });
    or(lines.collect(), "Nothing beyond the usual scatter between two tests.")
}

/// A zone before a sentence; nothing where the site has only one.
fn of_zone(zone: &str) -> String {
    if zone == crate::soil::site::WHOLE { String::new() } else { format!("{zone}: ") }
}

fn zone(facts: &SeriesFacts) -> String {
    match facts.series.key.zone.as_str() {
        crate::soil::site::WHOLE => String::new(),
        zone => format!(" ({zone})"),
    }
}

fn short_value(value: f64) -> String {
    let said = short(value);
    match said.contains('.') {
        true => said.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => said,
    }
}

fn upper(name: &str) -> String {
    let mut letters = name.chars();
    match letters.next() {
        Some(first) if !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_uppercase().chain(letters).collect()
        }
        _ => name.to_owned(),
    }
}

/// What a client need not read: names of settings end a question.
fn plain_question(question: &str, ask: &str) -> String {
    let cut = [" Once settled, set ", ": set ", " Settle it "];
    let end = cut.iter().filter_map(|mark| question.find(mark)).min().unwrap_or(question.len());
    let said = question.get(..end).unwrap_or(question).trim_end_matches(['.', ':']);
    let stop = if said.ends_with('?') { "" } else { "." };
    format!("{}{stop} (We ask {ask}.)", without_ids(said))
}

/// Ids of methods and sources in brackets are left out, and the canonical unit is said in words.
fn without_ids(said: &str) -> String {
    let mut plain = String::new();
    let mut rest = said;
    while let Some(open) = rest.find('(') {
        let Some(close) = rest.get(open..).and_then(|tail| tail.find(')')).map(|at| open + at) else { break };
        let inside = rest.get(open + 1..close).unwrap_or_default();
        let before = rest.get(..open).unwrap_or_default();
        let is_id = inside.contains('-')
            && !inside.contains(' ')
            && inside.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "-:.".contains(c))
            || crate::soil::Method::from_id(inside).is_some();
        if is_id {
            plain.push_str(before.trim_end());
        } else {
            plain.push_str(before);
            plain.push('(');
            plain.push_str(inside);
            plain.push(')');
        }
        rest = rest.get(close + 1..).unwrap_or_default();
    }
    plain.push_str(rest);
    plain.replace("mg/kg", "parts per million")
}

/// Text for HTML; control characters are dropped.
fn text(raw: &str) -> String {
    let mut safe = String::new();
    for c in raw.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c if c.is_control() => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}

/// The drawing without what stands before it in a file of its own.
fn svg_alone(svg: &str) -> &str {
    svg.find("<svg").and_then(|at| svg.get(at..)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_client_reads_no_ids() {
        assert_eq!(
            without_ids("Phosphorus (P) 60 mg/kg (mehlich-3) in 2023 (class high): fine (va-dcr-lawn)."),
            "Phosphorus (P) 60 parts per million in 2023 (class high): fine."
        );
        assert_eq!(
            plain_question("Which grass grows here? It differs: set species.", "you"),
            "Which grass grows here? It differs. (We ask you.)"
        );
        assert_eq!(text("<b>&\u{1b}"), "&lt;b&gt;&amp; ");
        assert_eq!(svg_alone("<?xml?>\n<svg/>"), "<svg/>");
    }
}
