//! A roster as a table file: header names in any order and case, cells with a place, errors that name line and column.

use crate::guide;
use crate::soil::Depth;
use crate::soil::convert::CM_PER_INCH;
use crate::soil::site::slug;

/// One row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RosterRow {
    /// Line of the file, from 1.
    pub line: u64,
    /// Site id, made comparable.
    pub id: Option<String>,
    /// Whose site.
    pub client: Option<String>,
    /// Its name.
    pub name: Option<String>,
    /// Part of the site.
    pub zone: Option<String>,
    /// Area of the row's zone, square feet.
    pub area_ft2: Option<f64>,
    /// What grows there, in the guides' words.
    pub use_: Option<String>,
    /// Names that reports print for it.
    pub samples: Vec<String>,
    /// The roster's own codes.
    pub codes: Vec<String>,
    /// How deep it is sampled.
    pub depth: Option<Depth>,
    /// Region in the guides' words.
    pub region: Option<String>,
    /// Texture in the guides' words.
    pub texture: Option<String>,
    /// Grass species or crop.
    pub species: Option<String>,
    /// A note.
    pub note: Option<String>,
}

/// A whole roster.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Roster {
    /// Rows in order.
    pub rows: Vec<RosterRow>,
    /// Headers that were passed over.
    pub ignored: Vec<String>,
    /// The file has a column of sample names: names it no longer lists are taken out.
    pub names_samples: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Column {
    Id,
    Client,
    Name,
    Zone,
    Area(f64),
    Use,
    Samples,
    Codes,
    Depth(Option<f64>),
    Region,
    Texture,
    Species,
    Note,
}

/// Square feet in an acre and in a square metre, by definition (the foot is 0.3048 m).
const FT2_PER_ACRE: f64 = 43_560.0;
const FT2_PER_M2: f64 = 1.0 / (0.3048 * 0.3048);

fn column(header: &str) -> Option<Column> {
    Some(match slug(header).replace('-', "").as_str() {
        "id" | "site" | "siteid" => Column::Id,
        "client" | "customer" | "owner" => Column::Client,
        "name" | "sitename" => Column::Name,
        "zone" | "part" => Column::Zone,
        "area" | "areaft2" | "areasqft" => Column::Area(1.0),
        "aream2" | "areasqm" => Column::Area(FT2_PER_M2),
        "areaacres" | "areaacre" => Column::Area(FT2_PER_ACRE),
        "areaha" => Column::Area(FT2_PER_M2 * 10_000.0),
        "use" => Column::Use,
        "samplenames" | "samplename" | "samples" | "sample" => Column::Samples,
        "codes" | "code" | "samplecode" | "samplecodes" => Column::Codes,
        "depth" => Column::Depth(None),
        "depthin" => Column::Depth(Some(CM_PER_INCH)),
        "depthcm" => Column::Depth(Some(1.0)),
        "region" => Column::Region,
        "texture" => Column::Texture,
        "species" => Column::Species,
        "note" => Column::Note,
        _ => return None,
    })
}

/// Reads a roster; on any error all of them, each with line and column.
///
/// # Errors
/// Sentences, one a fault.
pub fn roster(bytes: &[u8]) -> Result<Roster, Vec<String>> {
    let text = text_of(bytes);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter(&text))
        .trim(csv::Trim::All)
        .flexible(true)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let mut out = Roster::default();
    let mut faults = Vec::new();
    let mut columns: Option<Vec<(Option<Column>, String)>> = None;
    for record in reader.records() {
        let record = record.map_err(|e| vec![e.to_string()])?;
        let line = record.position().map_or(0, csv::Position::line);
        if record.iter().all(str::is_empty) {
            continue;
        }
        let Some(columns) = &columns else {
            let found: Vec<(Option<Column>, String)> =
                record.iter().map(|header| (column(header), header.to_owned())).collect();
            faults.extend(header_faults(line, &found));
            out.ignored =
                found.iter().filter(|c| c.0.is_none() && !c.1.is_empty()).map(|c| c.1.clone()).collect();
            out.names_samples = found.iter().any(|c| c.0 == Some(Column::Samples));
            columns = Some(found);
            continue;
        };
        let mut row = RosterRow { line, ..RosterRow::default() };
        for (at, cell) in record.iter().enumerate() {
            let Some((Some(column), header)) = columns.get(at) else { continue };
            if cell.is_empty() {
                continue;
            }
            if let Err(why) = fill(&mut row, *column, cell) {
                faults.push(format!("line {line}, column {} ({header}): {why}", at + 1));
            }
        }
        if row.id.is_none()
            && crate::soil::site::made_id(row.client.as_deref(), row.name.as_deref().unwrap_or_default())
                .is_none()
        {
            faults.push(format!("line {line}: the row has neither an id nor both client and name"));
        }
        out.rows.push(row);
    }
    if columns.is_none() || out.rows.is_empty() && faults.is_empty() {
        faults.push("the file holds no row: it needs a header line and a line a site or zone".to_owned());
    }
    if faults.is_empty() { Ok(out) } else { Err(faults) }
}

fn header_faults(line: u64, columns: &[(Option<Column>, String)]) -> Vec<String> {
    let mut faults = Vec::new();
    for (at, (column, header)) in columns.iter().enumerate() {
        let same =
            |c: &Column| column.is_some_and(|own| std::mem::discriminant(&own) == std::mem::discriminant(c));
        if columns.iter().take(at).any(|(other, _)| other.as_ref().is_some_and(same)) {
            faults.push(format!("line {line}, column {} ({header}): this column stands there twice", at + 1));
        }
    }
    let has = |wanted: Column| columns.iter().any(|(column, _)| *column == Some(wanted));
    let named = has(Column::Id) || (has(Column::Client) && has(Column::Name));
    if !named {
        faults.push(format!("line {line}: the header names no column `id`, nor both `client` and `name`"));
    }
    faults
}

fn fill(row: &mut RosterRow, column: Column, cell: &str) -> Result<(), String> {
    let text = Some(cell.to_owned());
    match column {
        Column::Id => {
            row.id = Some(slug(cell)).filter(|id| !id.is_empty());
            row.id.as_ref().ok_or_else(|| format!("`{cell}` is no id: use letters and digits"))?;
        }
        Column::Client => row.client = text,
        Column::Name => row.name = text,
        Column::Zone => {
            row.zone = Some(slug(cell)).filter(|zone| !zone.is_empty());
        }
        Column::Area(factor) => row.area_ft2 = Some(area(cell, factor)?),
        Column::Use => row.use_ = Some(known_use(cell)?),
        Column::Samples => row.samples = list(cell),
        Column::Codes => row.codes = list(cell),
        Column::Depth(unit) => row.depth = Some(depth(cell, unit)?),
        Column::Region => row.region = Some(cell.to_lowercase()),
        Column::Texture => row.texture = Some(cell.to_lowercase()),
        Column::Species => row.species = text,
        Column::Note => row.note = text,
    }
    Ok(())
}

fn list(cell: &str) -> Vec<String> {
    cell.split([';', '|']).map(str::trim).filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

/// The use in the guides' words.
pub fn known_use(cell: &str) -> Result<String, String> {
    let asked = slug(cell);
    let uses = guide::uses().map_err(|e| e.to_string())?;
    match uses.iter().find(|one| slug(&one.id) == asked) {
        Some(one) => Ok(one.id.clone()),
        None => {
            let all: Vec<&str> = uses.iter().map(|one| one.id.as_str()).collect();
            Err(format!("`{cell}` is no use that the guides know; they know {}", all.join(", ")))
        }
    }
}

/// An area in square feet: `8000`, `8,000 sq ft`, `0.5 acre`, `740 m2`, `1.2 ha`.
pub fn area(cell: &str, factor: f64) -> Result<f64, String> {
    let cut =
        cell.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | ' '))).unwrap_or(cell.len());
    let (number, unit) = cell.split_at(cut);
    let number = number.trim();
    // A comma before three figures groups thousands; any other would be a decimal mark, and which is not sure.
    let grouped =
        number.split([',', ' ']).skip(1).all(|part| part.split('.').next().is_some_and(|p| p.len() == 3));
    let value: Option<f64> = if grouped { number.replace([',', ' '], "").parse().ok() } else { None };
    let factor = match slug(unit).replace('-', "").as_str() {
        "" => Some(factor),
        "ft2" | "sqft" | "squarefeet" | "ft" => Some(1.0),
        "acre" | "acres" | "ac" => Some(FT2_PER_ACRE),
        "m2" | "sqm" | "squaremetres" | "squaremeters" => Some(FT2_PER_M2),
        "ha" | "hectare" | "hectares" => Some(FT2_PER_M2 * 10_000.0),
        _ => None,
    };
    let area = value.zip(factor).map(|(value, factor)| value * factor).filter(|a| a.is_finite() && *a > 0.0);
    area.ok_or_else(|| format!("`{cell}` is no area: write for example 8000, 8000 sq ft, 0.5 acre or 740 m2"))
}

/// A depth: `4 in`, `0-10 cm`; a single number is from the surface down. `unit` is centimetres in the header's unit.
pub fn depth(cell: &str, unit: Option<f64>) -> Result<Depth, String> {
    let wrong = || format!("`{cell}` is no depth: write for example 4 in, 0-4 in or 0-10 cm");
    let lower = cell.to_lowercase().replace(" to ", "-").replace('"', "in");
    let word: String = lower.chars().filter(char::is_ascii_alphabetic).collect();
    let factor = match word.as_str() {
        "" => unit.ok_or_else(wrong)?,
        "in" | "inch" | "inches" | "inin" => CM_PER_INCH,
        "cm" | "cmcm" => 1.0,
        _ => return Err(wrong()),
    };
    let number = |part: &str| {
        let number = part.trim().trim_end_matches(|c: char| c.is_ascii_alphabetic()).trim_end();
        let digits = number.chars().all(|c| c.is_ascii_digit() || c == '.');
        digits.then(|| number.parse::<f64>().ok()).flatten().filter(|n| n.is_finite())
    };
    let numbers: Vec<f64> =
        lower.split(['-', '\u{2013}']).map(number).collect::<Option<_>>().ok_or_else(wrong)?;
    let (top, bottom) = match numbers.as_slice() {
        [bottom] => (0.0, *bottom),
        [top, bottom] => (*top, *bottom),
        _ => return Err(wrong()),
    };
    if top.partial_cmp(&bottom) != Some(std::cmp::Ordering::Less) {
        return Err(wrong());
    }
    Ok(Depth { top_cm: top * factor, bottom_cm: bottom * factor })
}

/// UTF-8 with or without its mark, else the usual encoding of spreadsheets.
fn text_of(bytes: &[u8]) -> String {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => encoding_rs::WINDOWS_1252.decode(bytes).0.into_owned(),
    }
}

/// The sign that parts most cells of the first line.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
    let count = |sign: char| first.matches(sign).count();
    match [(count(','), b','), (count(';'), b';'), (count('\t'), b'\t')]
        .into_iter()
        .max_by_key(|(n, sign)| (*n, *sign == b','))
    {
        Some((_, sign)) => sign,
        None => b',',
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_stand_in_any_order_and_case_and_others_are_passed_over() {
        let roster =
            roster(b"Sample Names;USE;Phone;ID;area m2;Depth\nFront; turf;x;GRN 014;100;0-10 cm\n").unwrap();
        let row = &roster.rows[0];
        assert_eq!((row.id.as_deref(), row.use_.as_deref()), (Some("grn-014"), Some("turf")));
        assert!((row.area_ft2.unwrap() - 1076.39).abs() < 0.01);
        assert_eq!(row.depth, Some(Depth { top_cm: 0.0, bottom_cm: 10.0 }));
        assert_eq!(roster.ignored, ["Phone"]);
    }

    #[test]
    fn every_fault_names_its_line_and_column() {
        let faults =
            roster(b"id,client,name,area,depth,use\na,,,big,4 in,turf\n,,x,,,\nb,,,12,deep,moonscape\n")
                .unwrap_err();
        assert_eq!(faults.len(), 4, "{faults:?}");
        assert!(faults[0].starts_with("line 2, column 4 (area)"), "{faults:?}");
        assert!(faults[1].starts_with("line 3"), "{faults:?}");
        assert!(faults[2].starts_with("line 4, column 5 (depth)"), "{faults:?}");
        assert!(faults[3].contains("moonscape"), "{faults:?}");
        assert!(roster(b"name,area\nx,1\n").unwrap_err()[0].contains("header"));
        assert!(roster(b"").is_err());
    }

    #[test]
    fn areas_and_depths_carry_their_units() {
        assert_eq!(area("8,000 sq ft", 1.0), Ok(8000.0));
        assert_eq!(area("0.5 acre", 1.0), Ok(21_780.0));
        assert!(area("0,5 acre", 1.0).is_err(), "a comma may be either mark");
        assert!(area("-3", 1.0).is_err());
        assert_eq!(depth("4 in", None), Ok(Depth { top_cm: 0.0, bottom_cm: 4.0 * CM_PER_INCH }));
        assert!(depth("4", None).is_err(), "no unit");
        assert!(depth("6-4 in", None).is_err());
        assert!(depth("4 5 in", None).is_err(), "two numbers are not one");
        assert!(depth(&format!("{} in", "9".repeat(400)), None).is_err(), "nothing without an end");
        assert!(area("8000 5", 1.0).is_err());
    }
}
