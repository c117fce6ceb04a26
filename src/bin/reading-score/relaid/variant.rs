//! One variant: a soil, a way of speaking, an arrangement, a format; bytes and truth.

use super::arrange::{self, Content};
use super::cell::{Print, cell};
use super::column::{Column, Speech, column};
use super::notes::{self, Stated};
use super::paper::{Block, Paper};
use super::pdf::{Look, pdf};
use super::rng::Rng;
use super::soil::{Soil, draw, table};
use super::truth::{self, Identity, Row};
use super::words::{method_text, unit_texts};
use super::{book, flat};
use loamline::soil::{Analyte, Method};

/// A file and its truth.
#[derive(Debug, Clone)]
pub struct Variant {
    /// File name.
    pub name: String,
    /// Arrangement and format.
    pub form: String,
    /// Bytes.
    pub bytes: Vec<u8>,
    /// Truth as CSV.
    pub truth: String,
}

/// The variant of this number.
pub fn variant(seed: u64, index: u64) -> Variant {
    let mut rng = Rng::new(seed, index);
    let rng = &mut rng;
    let arrangement = rng.word(&["rows", "rows", "rows", "columns", "columns", "form", "form", "long"]);
    let format = rng.word(&[
        "pdf",
        "pdf",
        "pdf",
        "pdf",
        "pdf",
        "pdf",
        "csv",
        "csv",
        "csv;",
        "tsv",
        "xlsx",
        "xlsx",
        "html",
        "text",
        "text",
        "mail html",
        "mail text",
        "mail pdf",
    ]);
    let soils = soils(rng, arrangement);
    let stated = match rng.below(10) {
        0..=2 => Stated::Names,
        3 | 4 => Stated::Column,
        5 | 6 => Stated::Lists,
        7 | 8 => Stated::Extractant,
        _ => Stated::Nowhere,
    };
    let mut print = Print::draw(rng);
    if format == "csv;" {
        print.comma = print.comma || rng.chance(0.5);
        print.thousands &= !print.comma;
    }
    let depth = rng
        .pick(&[
            None,
            None,
            Some(("0-6 in", 6.0)),
            Some(("0-6 inches", 6.0)),
            Some(("0-8 in", 8.0)),
            Some(("6 inches", 6.0)),
            Some(("0-15 cm", 5.906)),
            Some(("0-4 in", 4.0)),
            Some(("0-20 cm", 7.874)),
        ])
        .flatten();
    let mut speech = speech(rng, stated, &soils);
    speech.inches = depth.map(|d| d.1);
    let mut columns = columns(rng, &speech, &soils);
    let extractant = speech.methods.iter().find(|(a, _)| *a == Analyte::Potassium).map(|(_, m)| *m);
    let stated = match (stated, extractant) {
        // Ammonium acetate also displaces for the CEC: not a word for all.
        (Stated::Extractant, Some(Method::AmmoniumAcetate) | None) => Stated::Lists,
        (s, _) => s,
    };
    if stated == Stated::Names {
        for c in &mut columns {
            if let (false, Some(m), true) = (c.named, c.measured, rng.chance(0.6)) {
                c.name = format!("{} {}", c.name, method_text(rng, m));
                c.named = true;
            }
        }
    }
    let noted = notes::one_unit(&columns).filter(|_| rng.chance(0.2));
    let way = rng.below(4);
    let days = sampled(rng, soils.len(), way);
    let dates = [date(rng, 4, way), date(rng, 5, way)];
    let samples = identities(rng, soils.len(), depth, &days, &dates);
    let cells: Vec<_> = soils
        .iter()
        .map(|s| {
            columns.iter().map(|c| s.get(c.analyte).and_then(|v| cell(rng, print, c, v))).collect::<Vec<_>>()
        })
        .collect();
    let truths = truths(&samples, &columns, &cells, stated, extractant);
    let mut content = Content {
        samples,
        columns,
        cells,
        blank: print.blank,
        unit_apart: noted.is_none() && rng.chance(0.5),
        unit_noted: noted.is_some(),
        method_apart: stated == Stated::Column,
        depth: depth.map(|d| d.0.to_owned()),
        depth_apart: arrangement != "columns" && rng.chance(0.4),
        days: days.iter().map(|d| d.1.clone()).collect(),
        year: 2024,
    };
    let mut paper = Paper { rows_a_page: usize::MAX, ..Paper::default() };
    paper.blocks = head(rng, &content, &dates);
    let mut talk = notes::talk(rng);
    let mut foot = Vec::new();
    if let Some(unit) = &noted {
        foot.push(notes::unit(rng, unit));
    }
    if let Some(h) = speech.hectare {
        foot.push(format!("kg/ha = ppm x {h}."));
    }
    match (stated, extractant) {
        (Stated::Lists, _) => foot.push(notes::methods(rng, &content.columns)),
        (Stated::Extractant, Some(m)) => foot.push(notes::extractant(rng, m)),
        _ => {}
    }
    if rng.chance(0.3) {
        paper.blocks.push(Block::Lines(std::mem::take(&mut foot)));
    }
    let pages = format == "pdf" || format == "mail pdf";
    let break_each = pages && rng.chance(0.6);
    paper.blocks.extend(match arrangement {
        "rows" => arrange::across(rng, &mut content),
        "columns" => arrange::down(rng, &content),
        "form" => arrange::form(rng, &content, break_each),
        _ => arrange::long(rng, &content),
    });
    if pages && matches!(arrangement, "rows" | "long") && soils.len() > 6 && rng.chance(0.6) {
        paper.rows_a_page = 3 + rng.below(soils.len());
        paper.repeat_head = rng.chance(0.5);
    }
    foot.append(&mut talk);
    paper.blocks.push(Block::Lines(foot));
    let (extension, bytes) = render(rng, &paper, format);
    Variant {
        name: format!("variant-{index}.{extension}"),
        form: format!("{arrangement} {format}"),
        bytes,
        truth: truth::csv(&truths),
    }
}

fn render(rng: &mut Rng, paper: &Paper, format: &str) -> (&'static str, Vec<u8>) {
    match format {
        "csv" => ("csv", flat::delimited(paper, b',')),
        "csv;" => ("csv", flat::delimited(paper, b';')),
        "tsv" => ("tsv", flat::delimited(paper, b'\t')),
        "xlsx" => ("xlsx", book::workbook(paper)),
        "html" => ("html", flat::html(paper, rng.chance(0.5)).into_bytes()),
        "text" => ("txt", flat::typewriter(paper, 2 + rng.below(4), rng.chance(0.6)).into_bytes()),
        "mail html" => ("eml", flat::mail(&flat::html(paper, rng.chance(0.5)), "html")),
        "mail text" => {
            ("eml", flat::mail(&flat::typewriter(paper, 2 + rng.below(4), rng.chance(0.6)), "plain"))
        }
        "mail pdf" => ("eml", flat::mail_with(&pdf(paper, Look::draw(rng)), "results.pdf")),
        _ => ("pdf", pdf(paper, Look::draw(rng))),
    }
}

fn soils(rng: &mut Rng, arrangement: &str) -> Vec<Soil> {
    let most = match arrangement {
        "rows" => [3, 12, 40].get(rng.below(3)).copied().unwrap_or(3),
        "columns" => 6,
        "form" => 3,
        _ => 5,
    };
    let n = 1 + rng.below(most);
    if rng.chance(0.5) {
        let all = table();
        let from = rng.below(all.len());
        let kept = all.iter().skip(from).take(n);
        let buffer = all.get(from).and_then(|s| s.buffer);
        // One report reads one buffer.
        return kept
            .filter(|s| s.buffer.is_none() || s.buffer == buffer || buffer.is_none())
            .cloned()
            .collect();
    }
    let buffer = rng.below(3);
    (0..n).map(|_| draw(rng, buffer)).collect()
}

fn speech(rng: &mut Rng, stated: Stated, soils: &[Soil]) -> Speech {
    use Analyte::*;
    let mut methods: Vec<(Analyte, Method)> = Vec::new();
    let nutrients = [
        Phosphorus, Potassium, Calcium, Magnesium, Sodium, Sulfur, Zinc, Iron, Manganese, Copper, Boron,
        Aluminum,
    ];
    let one = rng.pick(&[
        Method::Mehlich3,
        Method::Mehlich3,
        Method::Mehlich1,
        Method::ModifiedMorgan,
        Method::AmmoniumAcetate,
    ]);
    let one = one.unwrap_or(Method::Mehlich3);
    for a in nutrients {
        let m = if one == Method::AmmoniumAcetate || rng.chance(0.03) && stated != Stated::Extractant {
            match a {
                Phosphorus => rng.pick(&[Method::BrayP1, Method::Olsen, Method::BrayP2]),
                Potassium | Calcium | Magnesium | Sodium => Some(Method::AmmoniumAcetate),
                Boron => Some(Method::HotWater),
                Sulfur => Some(Method::CalciumPhosphate),
                Aluminum => None,
                _ => Some(Method::Dtpa),
            }
        } else {
            Some(one)
        };
        methods.extend(m.map(|m| (a, m)));
    }
    methods.extend(rng.pick(&[Method::Water1to1, Method::Water1to2, Method::Cacl2]).map(|m| (Ph, m)));
    methods.extend(rng.pick(&[Method::LossOnIgnition, Method::WalkleyBlack]).map(|m| (OrganicMatter, m)));
    methods.extend(
        rng.pick(&[Method::Ec1to1, Method::Ec1to2, Method::SaturatedPaste]).map(|m| (SolubleSalts, m)),
    );
    methods.push((Cec, Method::Summation));
    methods.extend(soils.iter().find_map(|s| s.buffer).map(|m| (BufferPh, m)));
    let draw = |rng: &mut Rng| {
        rng.word(&["mg/kg", "mg/kg", "mg/kg", "mg/kg", "lb/acre", "mg/dm3", "mg/100g", "kg/ha", ""])
    };
    let unit = draw(rng);
    let minor = if unit.is_empty() || rng.chance(0.75) { unit } else { draw(rng) };
    let minor = if minor.is_empty() { unit } else { minor };
    let texts = [
        "mg/kg", "lb/acre", "mg/dm3", "mg/L", "mg/100g", "kg/ha", "cmol/kg", "mmol/kg", "%", "g/kg", "dS/m",
        "uS/cm", "mS/m", "g/cm3",
    ]
    .map(|id| (id, rng.word(&unit_texts(id))))
    .to_vec();
    Speech {
        methods,
        name_methods: stated == Stated::Names,
        units: [unit, minor],
        unstated: if rng.chance(0.5) { 1.0 } else { 0.5 },
        texts,
        inches: None,
        hectare: rng.chance(0.3).then(|| rng.pick(&[2.24, 1.95, 3.0]).unwrap_or(2.24)),
        symbols: rng.chance(0.6),
        doubtful: rng.chance(0.15),
        oxides: rng.chance(0.15),
    }
}

fn columns(rng: &mut Rng, speech: &Speech, soils: &[Soil]) -> Vec<Column> {
    use Analyte::*;
    let micros = rng.chance(0.5);
    let shares = rng.chance(0.5);
    let rare = rng.chance(0.15);
    let mut out = Vec::new();
    for analyte in Analyte::ALL.iter().copied() {
        let share = match analyte {
            Ph | Phosphorus | Potassium => 0.96,
            Calcium | Magnesium => 0.9,
            Cec => 0.75,
            OrganicMatter => 0.8,
            Sodium | Acidity | SolubleSalts | NitrateN => 0.35,
            BufferPh => 0.6,
            SatK | SatCa | SatMg | SatNa | SatH => f64::from(u8::from(shares)) * 0.95,
            Sulfur | Zinc | Iron | Manganese | Copper | Boron => f64::from(u8::from(micros)) * 0.85,
            Sand | Silt | Clay => f64::from(u8::from(rare)),
            _ => f64::from(u8::from(rare)) * 0.5,
        };
        if rng.chance(share) && soils.iter().any(|s| s.get(analyte).is_some()) {
            out.extend(column(rng, analyte, speech));
        }
    }
    out
}

fn truths(
    samples: &[Identity],
    columns: &[Column],
    cells: &[Vec<Option<super::cell::Cell>>],
    stated: Stated,
    extractant: Option<Method>,
) -> Vec<(Identity, Vec<Row>)> {
    let method = |c: &Column| {
        let all = extractant.filter(|m| m.measures(c.analyte) && *m != Method::Summation);
        let m = match stated {
            _ if c.named => c.measured,
            Stated::Column | Stated::Lists => c.measured,
            Stated::Extractant if !c.foreign => all,
            _ => None,
        };
        m.unwrap_or(Method::Unstated).id()
    };
    let of = |row: &Vec<Option<super::cell::Cell>>| {
        row.iter()
            .zip(columns)
            .filter_map(|(cell, c)| {
                let cell = cell.as_ref()?;
                Some(Row {
                    analyte: c.analyte,
                    method: method(c),
                    value: cell.value,
                    raw: cell.text.clone(),
                    qualifier: cell.qualifier,
                    volume: c.volume,
                    verdict: cell.verdict,
                })
            })
            .collect()
    };
    samples.iter().cloned().zip(cells.iter().map(of)).collect()
}

/// A day: ISO and as printed.
fn date(rng: &mut Rng, month: usize, way: usize) -> (String, String) {
    if rng.chance(0.25) {
        return (String::new(), String::new());
    }
    const MONTHS: [&str; 6] = ["January", "February", "March", "April", "May", "June"];
    let day = 13 + rng.below(15);
    let name = MONTHS.get(month - 1).copied().unwrap_or("May");
    let printed = match way {
        0 => format!("2024-{month:02}-{day}"),
        1 => format!("{day} {name} 2024"),
        2 => format!("{month:02}/{day}/2024"),
        _ => format!("{name} {day}, 2024"),
    };
    (format!("2024-{month:02}-{day}"), printed)
}

fn sampled(rng: &mut Rng, n: usize, way: usize) -> Vec<(String, String)> {
    let dated = rng.chance(0.3);
    (0..n).map(|_| if dated { date(rng, 3, way) } else { (String::new(), String::new()) }).collect()
}

fn identities(
    rng: &mut Rng,
    n: usize,
    depth: Option<(&str, f64)>,
    days: &[(String, String)],
    dates: &[(String, String); 2],
) -> Vec<Identity> {
    const NAMES: [&str; 12] = [
        "North 40",
        "Front lawn",
        "Green",
        "Tee",
        "Back bed",
        "East paddock",
        "Plot",
        "Pitch",
        "House field",
        "Block K",
        "Zone B",
        "Orchard",
    ];
    let style = rng.below(4);
    let numbered = rng.chance(0.5);
    let base = 1000 + rng.below(80_000);
    let stem = rng.word(&NAMES);
    (0..n)
        .map(|i| Identity {
            label: match style {
                0 => format!("{stem} {}", i + 1),
                1 => {
                    format!("{}{}", rng.word(&["A", "B", "P", "K", "F"]), i + 1)
                        + if i > 8 { "x" } else { "" }
                }
                2 => format!("{}", i + 1),
                _ => format!("{} {}", NAMES.get(i % 12).copied().unwrap_or("Plot"), 3 + i / 12),
            },
            lab: if numbered { format!("{}", base + i) } else { String::new() },
            sampled: days.get(i).map(|d| d.0.clone()).unwrap_or_default(),
            received: dates.first().map(|d| d.0.clone()).unwrap_or_default(),
            reported: dates.get(1).map(|d| d.0.clone()).unwrap_or_default(),
            depth_cm: depth.map(|d| d.1 * 2.54),
        })
        .collect()
}

fn head(rng: &mut Rng, content: &Content, dates: &[(String, String); 2]) -> Vec<Block> {
    let lab = rng.word(&[
        "Harrowgale Soil Laboratory",
        "Pinchbeck Ground Testing",
        "Oldmere Soil Bench",
        "Thistleford Analytical",
    ]);
    let title = rng.word(&["Soil Test Report", "Soil Analysis", "Report of soil tests", "Soil results"]);
    let mut fields = Vec::new();
    if rng.chance(0.8) {
        fields.push((
            "Client".to_owned(),
            rng.word(&["Wendle Turf", "J. Arkwright", "Brockhampton Estate"]).to_owned(),
        ));
    }
    if rng.chance(0.7) {
        fields.push(("Report No.".to_owned(), format!("R{}", 100 + rng.below(9000))));
    }
    for (name, (_, day)) in ["Date Received", "Date Reported"].iter().zip(dates) {
        if !day.is_empty() {
            fields.push(((*name).to_owned(), day.clone()));
        }
    }
    if let Some(depth) = content.depth.clone().filter(|_| !content.depth_apart) {
        fields.push(("Sampling Depth".to_owned(), depth));
    }
    vec![Block::Lines(vec![lab.to_owned(), title.to_owned()]), Block::Fields(fields)]
}
