//! The client's letter: one page of HTML in plain words, which prints to one sheet.

mod found;

mod to_do;

mod words;

use super::outcome::Plan;
use crate::assess::Assessment;
use std::fmt::Write;
use words::{cut, svg_alone, text};

/// Rows of each part that still fit on the sheet.
const MEASURED: usize = 7;
const CHANGED: usize = 3;
const TO_DO: usize = 6;
const SETTLE: usize = 2;
const LEFT: usize = 6;
const TESTS: usize = 2;
/// Letters on a line, and lines in all beyond which type and charts are smaller.
const LETTERS: usize = 105;
const ROOMY: usize = 30;
/// Letters of a line, a name and a cell that still fit.
const CHANGED_LINE: usize = 150;
const SETTLE_LINE: usize = 260;
const LEFT_LINE: usize = 130;
const NAME: usize = 80;
const CELL: usize = 44;

/// The letter of a site. `charts` are put in as they are, two side by side: they must be drawings of this program.
pub fn letter(assessment: &Assessment, plan: &Plan, from: &str, charts: &[String]) -> String {
    let (changed, to_do, settle, left, next) = (
        found::changed(assessment),
        to_do::to_do(plan),
        to_do::settle(plan),
        or(to_do::left_alone(plan), "Nothing in particular."),
        or(to_do::next_test(plan), "To be agreed."),
    );
    let measured = found::measured(assessment);
    let cautions: Vec<String> = plan.cautions.iter().map(|one| one.sentence.clone()).collect();
    // Lines on the sheet: a long sentence takes several, a row of what to do mostly two.
    let lines = |part: &[String], most: usize| -> usize {
        part.iter().take(most).map(|line| 1 + line.chars().count() / LETTERS).sum()
    };
    let rows = measured.len().min(MEASURED)
        + lines(&changed, CHANGED)
        + 2 * to_do.len().min(TO_DO)
        + lines(&settle, SETTLE)
        + lines(&left, LEFT)
        + lines(&next, TESTS)
        + lines(&cautions, cautions.len());
    let mut page = String::new();
    let name = text(&cut(if plan.name.is_empty() { &plan.site } else { &plan.name }, NAME));
    let client = plan.client.as_deref().map(|client| format!(" for {}", text(&cut(client, NAME))));
    // Writing to a String cannot fail.
    let _ = write!(
        page,
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>{name}: soil report {season}</title>\n\
         <style>{STYLE}</style></head><body{tight}>\n<header><p>{from}</p><p>{on}</p></header>\n<h1>{name}</h1>\n\
         <p>Soil report and plan for {season}{client}</p>\n",
        tight = if rows > ROOMY { " class=\"tight\"" } else { "" },
        season = plan.season,
        from = text(&cut(from, NAME)),
        on = plan.made_on.strftime("%-d %B %Y"),
        client = client.unwrap_or_default(),
    );
    let title = match found::latest(assessment) {
        Some(year) => format!("What we measured in {year}"),
        None => "What we measured".to_owned(),
    };
    let measured: Vec<[String; 3]> =
        measured.into_iter().map(|row| [row.name, row.value, row.standing.to_owned()]).collect();
    match measured.is_empty() {
        true => list(&mut page, &title, &["No results that count yet.".to_owned()], (1, LEFT_LINE)),
        false => table(&mut page, &title, None, &measured, MEASURED),
    }
    list(&mut page, "What changed", &changed, (CHANGED, CHANGED_LINE));
    if !charts.is_empty() {
        page.push_str("<figure>");
        charts.iter().for_each(|svg| page.push_str(svg_alone(svg)));
        page.push_str(
            "<figcaption>Each point is one test. The upright bar shows how far two tests of the same soil may differ by \
             chance. Under each title stands how the laboratory tested: only tests of one kind are joined by a line. \
             The green ground is the range the grass does well in.</figcaption></figure>\n",
        );
    }
    let to_do: Vec<[String; 5]> =
        to_do.into_iter().map(|row| [row.on, row.what, row.purpose, row.rate, row.total]).collect();
    let head = ["When", "What", "What for", "On 1000 square feet", "On the whole area"];
    match to_do.is_empty() {
        true => list(&mut page, "What we will do", &[nothing(plan).to_owned()], (1, LEFT_LINE)),
        false => table(&mut page, "What we will do", Some(&head), &to_do, TO_DO),
    }
    if !settle.is_empty() {
        list(&mut page, "What we settle first", &settle, (SETTLE, SETTLE_LINE));
    }
    list(&mut page, "What we will leave alone", &left, (LEFT, LEFT_LINE));
    list(&mut page, "Next test", &next, (TESTS, LEFT_LINE));
    let closing = match cautions.is_empty() {
        true => {
            "We follow the product labels and the rules of the state, the county and the town.".to_owned()
        }
        false => format!("<b>Please bear in mind.</b> {}", text(&cautions.join(" "))),
    };
    let _ = writeln!(page, "<footer>{closing}</footer>\n</body></html>");
    page
}

const STYLE: &str = "@page{size:auto;margin:11mm 14mm}body{font:9.5pt/1.28 Georgia,'Times New Roman',serif;\
max-width:184mm;margin:0 auto;color:#222}header{display:flex;justify-content:space-between;color:#555}\
h1{font-size:16pt;margin:.1em 0}h2{font-size:10.5pt;margin:.6em 0 .15em;border-bottom:1px solid #ccc}\
ul{margin:0;padding-left:1.2em}p{margin:.1em 0}table{border-collapse:collapse;width:100%}\
td,th{text-align:left;vertical-align:top;padding:0 .8em .05em 0;overflow-wrap:break-word}\
th{font-weight:normal;color:#555}figure{margin:.5em 0 0;display:grid;grid-template-columns:1fr 1fr;gap:2mm 6mm}\
figure svg{width:100%;height:auto;max-height:70mm}figcaption{grid-column:1/-1;font-size:8pt;color:#555}\
footer{margin-top:.7em;font-size:8pt;line-height:1.2;border-top:1px solid #999;padding-top:.3em}\
li,h1,header p{overflow-wrap:anywhere}.tight{font-size:8pt;line-height:1.18}.tight h1{font-size:13pt}\
.tight h2{font-size:9pt;margin-top:.45em}.tight figure svg{max-height:44mm}.tight footer,.tight figcaption{font-size:7pt}";

/// Nothing is done: since the soil needs nothing, or since something must be settled first.
fn nothing(plan: &Plan) -> &'static str {
    match plan.questions.is_empty() {
        true => "Nothing this season: your soil has what it needs.",
        false => "Nothing yet: something must be settled first.",
    }
}

fn table<const N: usize>(
    page: &mut String,
    title: &str,
    head: Option<&[&str; N]>,
    rows: &[[String; N]],
    most: usize,
) {
    let _ = writeln!(page, "<h2>{}</h2>\n<table>", text(title));
    if let Some(head) = head {
        let cells: String = head.iter().map(|cell| format!("<th scope=\"col\">{cell}</th>")).collect();
        let _ = writeln!(page, "<tr>{cells}</tr>");
    }
    for row in rows.iter().take(most) {
        let cells: String = row.iter().map(|cell| format!("<td>{}</td>", text(&cut(cell, CELL)))).collect();
        let _ = writeln!(page, "<tr>{cells}</tr>");
    }
    page.push_str("</table>\n");
    if rows.len() > most {
        let _ = writeln!(page, "<p>and {} more in the full plan</p>", rows.len() - most);
    }
}

/// A list of so many lines of so many letters.
fn list(page: &mut String, title: &str, lines: &[String], (most, letters): (usize, usize)) {
    let _ = writeln!(page, "<h2>{}</h2>\n<ul>", text(title));
    for line in lines.iter().take(most) {
        let _ = writeln!(page, "<li>{}</li>", text(&cut(line, letters)));
    }
    if lines.len() > most {
        let _ = writeln!(page, "<li>and {} more in the full plan</li>", lines.len() - most);
    }
    page.push_str("</ul>\n");
}

fn or(lines: Vec<String>, none: &str) -> Vec<String> {
    if lines.is_empty() { vec![none.to_owned()] } else { lines }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_shows_no_more_rows_and_letters_than_the_sheet_has_room_for() {
        let mut page = String::new();
        list(&mut page, "What", &vec!["word ".repeat(99); 9], (2, 30));
        assert_eq!(page.matches("<li>").count(), 3);
        assert!(page.contains("and 7 more in the full plan"), "{page}");
        assert!(page.lines().all(|line| line.len() < 60), "{page}");
        let mut page = String::new();
        table(&mut page, "What", Some(&["a", "b"]), &vec![["x".repeat(200), "<b>".to_owned()]; 9], 4);
        assert_eq!((page.matches("<tr>").count(), page.matches("&lt;b&gt;").count()), (5, 4));
        assert!(page.contains("and 5 more") && page.lines().all(|line| line.len() < 100), "{page}");
    }
}
