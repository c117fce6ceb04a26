//! Reports as laboratories print them: one client's samples of one season on one paper, in several arrangements.

use super::pdf::Page;
use super::soil::{self, Value};
use loamline::soil::Analyte;

/// How a report is arranged and in which kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arrangement {
    /// A table file, a sample a row.
    Csv,
    /// Text in columns, an analyte a row.
    Text,
    /// A PDF, an analyte a row.
    PdfDown,
    /// A PDF on its side, a sample a row.
    PdfAcross,
}

impl Arrangement {
    pub const ALL: [Self; 4] = [Self::Csv, Self::Text, Self::PdfDown, Self::PdfAcross];

    fn end(self) -> &'static str {
        match self {
            Self::Csv => "csv",
            Self::Text => "txt",
            Self::PdfDown | Self::PdfAcross => "pdf",
        }
    }
}

/// A report: its file name, its bytes, and how many readings are printed on it.
pub struct Paper {
    pub name: String,
    pub bytes: Vec<u8>,
    pub readings: usize,
}

/// Files of a season: report after report, the arrangements in turn. Tables a row a sample hold up to `rows` sites.
pub fn papers(sites: std::ops::Range<usize>, season: usize, rows: usize) -> Vec<Paper> {
    let mut papers = Vec::new();
    let mut next = sites.start;
    while next < sites.end {
        let arrangement = Arrangement::ALL[papers.len() % Arrangement::ALL.len()];
        let several = matches!(arrangement, Arrangement::Csv | Arrangement::PdfAcross);
        // A paper is one client's.
        let most = if several { rows.min(20 - next % 20) } else { 1 };
        let end = sites.end.min(next + most);
        papers.push(paper(arrangement, next..end, season));
        next = end;
    }
    papers
}

/// One report.
pub fn paper(arrangement: Arrangement, sites: std::ops::Range<usize>, season: usize) -> Paper {
    // Down a page stands one sample.
    let one = matches!(arrangement, Arrangement::Text | Arrangement::PdfDown);
    let sites = if one { sites.start..sites.start + 1 } else { sites };
    let number = format!("R{:02}-{:06}", season, sites.start);
    let samples: Vec<(String, Vec<Value>)> =
        sites.clone().map(|site| (soil::label(site), soil::values(site, season))).collect();
    let readings = samples.iter().map(|(_, values)| values.len()).sum();
    let head = Head { client: soil::client(sites.start), number, year: soil::year(season) };
    let bytes = match arrangement {
        Arrangement::Csv => csv(&head, &samples),
        Arrangement::Text => text(&head, &samples[0]),
        Arrangement::PdfDown => down(&head, &samples[0]),
        Arrangement::PdfAcross => across(&head, &samples),
    };
    Paper { name: format!("{}-{:?}.{}", head.number, arrangement, arrangement.end()), bytes, readings }
}

struct Head {
    client: String,
    number: String,
    year: i16,
}

impl Head {
    fn fields(&self) -> [(&'static str, String); 5] {
        [
            ("Laboratory", "Invented Soil Room".to_owned()),
            ("Client", self.client.clone()),
            ("Report no.", self.number.clone()),
            ("Date sampled", format!("{}-04-12", self.year)),
            ("Date reported", format!("{}-04-28", self.year)),
        ]
    }
}

/// Name with method, and unit, as printed.
fn printed(analyte: Analyte) -> (&'static str, &'static str) {
    match analyte {
        Analyte::Ph => ("pH (1:1 water)", ""),
        Analyte::BufferPh => ("Buffer pH (Sikora)", ""),
        Analyte::OrganicMatter => ("Organic matter (LOI)", "%"),
        Analyte::Phosphorus => ("Phosphorus (Mehlich-3)", "ppm"),
        Analyte::Potassium => ("Potassium (Mehlich-3)", "ppm"),
        Analyte::Calcium => ("Calcium (Mehlich-3)", "ppm"),
        Analyte::Magnesium => ("Magnesium (Mehlich-3)", "ppm"),
        Analyte::Sulfur => ("Sulfur (Mehlich-3)", "ppm"),
        Analyte::Zinc => ("Zinc (Mehlich-3)", "ppm"),
        Analyte::Cec => ("CEC (summation)", "meq/100 g"),
        Analyte::SatCa => ("Ca saturation", "%"),
        Analyte::SatMg => ("Mg saturation", "%"),
        Analyte::SatK => ("K saturation", "%"),
        Analyte::SatH => ("H saturation", "%"),
        other => (other.name(), ""),
    }
}

fn csv(head: &Head, samples: &[(String, Vec<Value>)]) -> Vec<u8> {
    let mut out = String::new();
    for (name, value) in head.fields() {
        out += &format!("{name},{value}\n");
    }
    out += "\nSample ID";
    for (analyte, ..) in &samples[0].1 {
        let (name, unit) = printed(*analyte);
        out += format!(",{name} {unit}").trim_end();
    }
    out.push('\n');
    for (label, values) in samples {
        out += label;
        values.iter().for_each(|(.., value)| out += &format!(",{value}"));
        out.push('\n');
    }
    out.into_bytes()
}

fn text(head: &Head, (label, values): &(String, Vec<Value>)) -> Vec<u8> {
    let mut out = String::new();
    for (name, value) in head.fields() {
        out += &format!("{:<20}{value}\n", format!("{name}:"));
    }
    out += &format!("Sample: {label}\n\n{:<28}{:>10}   Unit\n", "Analyte", "Result");
    for (analyte, _, value) in values {
        let (name, unit) = printed(*analyte);
        out += &format!("{name:<28}{value:>10}   {unit}\n");
    }
    out.into_bytes()
}

fn down(head: &Head, (label, values): &(String, Vec<Value>)) -> Vec<u8> {
    let mut page = Page::new(612.0, 792.0, 10.0);
    let mut y = 60.0;
    for (name, value) in head.fields().into_iter().chain([("Sample", label.clone())]) {
        page.left(54.0, y, &format!("{name}: {value}"));
        y += 16.0;
    }
    y += 14.0;
    page.left(54.0, y, "Analyte");
    page.right(330.0, y, "Result");
    page.left(350.0, y, "Unit");
    for (analyte, _, value) in values {
        y += 17.0;
        let (name, unit) = printed(*analyte);
        page.left(54.0, y, name);
        page.right(330.0, y, value);
        page.left(350.0, y, unit);
    }
    super::pdf::file(&[page])
}

fn across(head: &Head, samples: &[(String, Vec<Value>)]) -> Vec<u8> {
    let mut page = Page::new(1_100.0, 612.0, 8.0);
    let mut y = 40.0;
    for (name, value) in head.fields() {
        page.left(36.0, y, &format!("{name}: {value}"));
        y += 13.0;
    }
    y += 12.0;
    let edge = |column: usize| 190.0 + 66.0 * column as f64;
    page.left(36.0, y, "Sample ID");
    for (column, (analyte, ..)) in samples[0].1.iter().enumerate() {
        let (name, unit) = printed(*analyte);
        let (name, method) = name.split_once(" (").unwrap_or((name, ""));
        let (name, unit) = name.strip_suffix(" saturation").map_or((name, unit), |of| (of, "% sat"));
        page.right(edge(column), y, name);
        page.right(edge(column), y + 10.0, method.trim_end_matches(')'));
        page.right(edge(column), y + 20.0, unit);
    }
    y += 38.0;
    for (label, values) in samples {
        page.left(36.0, y, label);
        for (column, (.., value)) in values.iter().enumerate() {
            page.right(edge(column), y, value);
        }
        y += 16.0;
    }
    super::pdf::file(&[page])
}
