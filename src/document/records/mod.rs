//! XML of no agreed standard whose elements name what they hold: its records as one table, a row a record, and over each
//! column the name of its element. What the names mean is left to the reading.
//!
//! `record_names.csv` holds the words of the elements that lead to records and stand beside the way (`frame`), the names that
//! a value of a record may bear (`value`), which of these is the number (`measured`), and the ends of a layer (`edge`). A
//! record of `Previous` or of `Target` is none, and what `Operator` beside a number means is not known.
//!
//! Refused, and never read in part: text between elements, records of two kinds, a value with anything beside it but a
//! unit, two values of one name in a record. A sign of `below` or of another time that stands there would be lost.

use super::markup::{Markup, Node};
use super::{Cause, Cell, Content, Document, Format, Limits, Page, Refusal, wording};
use std::collections::{BTreeMap, BTreeSet};

const NAMES: &str = include_str!("../record_names.csv");

/// The names of the table, each with its kind.
struct Names(BTreeSet<(String, String)>);

impl Names {
    fn new() -> Self {
        let mut reader = csv::Reader::from_reader(NAMES.as_bytes());
        let field = |record: &csv::StringRecord, at: usize| record.get(at).unwrap_or_default().to_owned();
        Self(reader.records().flatten().map(|r| (field(&r, 0), field(&r, 1))).collect())
    }

    fn has(&self, kind: &str, name: &str) -> bool {
        self.0.contains(&(kind.to_owned(), name.to_lowercase()))
    }

    /// True for the name of an element each word of which leads to results, or names who and what they are of.
    fn frames(&self, element: &str) -> bool {
        words(element).split(' ').all(|word| self.has("frame", word))
    }
}

/// An element with what it holds.
#[derive(Debug, Default)]
struct Element {
    name: String,
    attributes: Vec<(String, String)>,
    text: String,
    children: Vec<Element>,
}

impl Element {
    fn is_leaf(&self) -> bool {
        self.children.is_empty()
    }

    /// Elements that hold others or attributes, by name, of which there are several.
    fn repeated(&self) -> BTreeSet<&str> {
        let mut times = BTreeMap::<&str, usize>::new();
        for child in self.children.iter().filter(|c| !c.is_leaf() || c.text.is_empty()) {
            *times.entry(&child.name).or_default() += 1;
        }
        times.into_iter().filter(|(_, n)| *n > 1).map(|(name, _)| name).collect()
    }
}

/// A column: its heading and the unit that attributes of its values state.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Value {
    name: String,
    text: String,
    unit: Option<String>,
    /// In the record itself, and not around it.
    own: bool,
}

/// True for XML whose records are told without a doubt.
pub(super) fn holds_records(text: &str) -> bool {
    tree(text, &Limits::default()).ok().flatten().is_some_and(|root| rows(&root).is_some())
}

/// Lays the records out: a sheet with a heading row and a row a record.
///
/// # Errors
/// A [`Refusal`] where the XML is broken, its records are not told without a doubt, or a limit is passed.
pub(super) fn open(text: &str, limits: &Limits) -> Result<Document, Refusal> {
    let root = tree(text, limits)?.ok_or_else(untold)?;
    let rows = rows(&root).ok_or_else(untold)?;
    if rows.len() >= limits.rows as usize {
        return Err(wording::too_many_rows(Format::ExchangeXml, limits));
    }
    let cells = cells(&rows, limits)?.ok_or_else(untold)?;
    let page = Page { number: 1, width: 0.0, height: 0.0, name: None, content: Content::Cells(cells) };
    Ok(Document { format: Format::ExchangeXml, pages: vec![page], members: Vec::new(), notes: Vec::new() })
}

fn untold() -> Refusal {
    Refusal::new(
        Cause::NotAReport,
        Format::ExchangeXml,
        "This is XML, and it does not say plainly which of its values are one record.",
        "Export the results as CSV, or print them to a PDF, and drop that.",
    )
}

/// The whole document; none where text stands between elements.
fn tree(text: &str, limits: &Limits) -> Result<Option<Element>, Refusal> {
    let mut markup = Markup::new(text, Format::ExchangeXml);
    let (mut open, mut root, mut count) = (Vec::<Element>::new(), None::<Element>, 0usize);
    while let Some(node) = markup.next()? {
        match node {
            Node::Open(tag) => {
                let attributes = tag.attributes();
                count += 1 + attributes.len();
                if count > limits.cells {
                    return Err(wording::too_many_cells(Format::ExchangeXml, limits));
                }
                open.push(Element { name: tag.name().to_owned(), attributes, ..Element::default() });
            }
            Node::Text(text) => {
                if let Some(element) = open.last_mut() {
                    element.text.push_str(&text);
                }
            }
            Node::Close(_) => {
                let Some(mut element) = open.pop() else { continue };
                element.text = element.text.split_whitespace().collect::<Vec<_>>().join(" ");
                if !element.is_leaf() && !element.text.is_empty() {
                    return Ok(None);
                }
                match open.last_mut() {
                    Some(parent) => parent.children.push(element),
                    None => root = Some(element),
                }
            }
        }
    }
    Ok(root)
}

/// The values of each record, those around it first; none where it is not plain what a record is.
fn rows(root: &Element) -> Option<Vec<Vec<Value>>> {
    let mut repeated = BTreeSet::new();
    find_repeated(root, &mut vec![root.name.as_str()], &mut repeated);
    let path = repeated.iter().max_by_key(|path| path.len())?.clone();
    // Records of another kind beside them: a former year's, or what is recommended.
    if !repeated.iter().all(|other| path.starts_with(other)) {
        return None;
    }
    let names = Names::new();
    if !path.iter().all(|name| names.frames(name)) {
        return None;
    }
    let mut out = Vec::new();
    collect(root, &path, &names, 0, &mut Vec::new(), &mut out)?;
    let own = |row: &Vec<Value>| {
        let mut own = row.iter().filter(|v| v.own);
        own.all(|v| names.has("value", &v.name))
            && row.iter().filter(|v| v.own && names.has("measured", &v.name)).count() <= 1
    };
    let measured = |row: &Vec<Value>| row.iter().any(|v| v.own && names.has("measured", &v.name));
    (out.len() > 1 && out.iter().all(own) && out.iter().any(measured)).then_some(out)
}

fn find_repeated<'a>(element: &'a Element, path: &mut Vec<&'a str>, out: &mut BTreeSet<Vec<&'a str>>) {
    for name in element.repeated() {
        out.insert([path.as_slice(), &[name]].concat());
    }
    for child in &element.children {
        path.push(&child.name);
        find_repeated(child, path, out);
        path.pop();
    }
}

/// Goes down the path to the records, and gathers what stands beside it on the way.
fn collect(
    element: &Element,
    path: &[&str],
    names: &Names,
    depth: usize,
    around: &mut Vec<Value>,
    out: &mut Vec<Vec<Value>>,
) -> Option<()> {
    let own = depth + 1 == path.len();
    let before = around.len();
    let next = path.get(depth + 1);
    for (name, text) in &element.attributes {
        add(around, value(element, name, text, None, own))?;
    }
    for child in element.children.iter().filter(|c| Some(&c.name.as_str()) != next) {
        let of_a_layer =
            || names.frames(&child.name) && child.attributes.iter().any(|(n, _)| names.has("edge", n));
        if child.is_leaf() && child.text.is_empty() && !own && of_a_layer() {
            by_attributes(child, names, around)?;
        } else if child.is_leaf() {
            add(around, value(element, &child.name, &child.text, Some(child), own))?;
        } else if own || !names.frames(&child.name) {
            return None;
        } else {
            beside(child, around)?;
        }
    }
    if own {
        out.push(around.clone());
    } else {
        for child in element.children.iter().filter(|c| Some(&c.name.as_str()) == next) {
            collect(child, path, names, depth + 1, around, out)?;
        }
    }
    around.truncate(before);
    Some(())
}

/// `<Depth top="0" bottom="30" unit="cm"/>`: the edges of a layer, each under its name, in the unit that stands beside them;
/// none without a unit, or where an attribute says anything else.
fn by_attributes(element: &Element, names: &Names, around: &mut Vec<Value>) -> Option<()> {
    let is_unit = |name: &str| ["unit", "units", "uom"].contains(&name.to_lowercase().as_str());
    let unit = element.attributes.iter().find(|(name, _)| is_unit(name)).map(|(_, unit)| unit.trim())?;
    for (name, text) in element.attributes.iter().filter(|(name, _)| !is_unit(name)) {
        if !names.has("edge", name) {
            return None;
        }
        let (name, text) = (within(&element.name, name), text.trim().to_owned());
        add(around, Value { name, text, unit: Some(unit.to_owned()), own: false })?;
    }
    Some(())
}

/// What an element beside the way holds, each under its name. Of `Client` and in it `Name`, `Address` and `Telephone` the name
/// alone: the others tell of whoever is named, and not of the record.
fn beside(element: &Element, around: &mut Vec<Value>) -> Option<()> {
    if let Some(name) = element.children.iter().find(|c| c.is_leaf() && c.name.eq_ignore_ascii_case("name")) {
        return add(around, value(element, &name.name, &name.text, Some(name), false));
    }
    for (name, text) in &element.attributes {
        add(around, Value { name: within(&element.name, name), text: text.clone(), unit: None, own: false })?;
    }
    for child in &element.children {
        if !child.is_leaf() {
            return None;
        }
        let name = within(&element.name, &child.name);
        let found = value(element, &child.name, &child.text, Some(child), false);
        add(around, found.map(|v| Value { name, ..v })?)?;
    }
    Some(())
}

/// Adds a value; none where one of that name is there already with another text.
fn add(values: &mut Vec<Value>, value: impl Into<Option<Value>>) -> Option<()> {
    let value = value.into()?;
    if value.text.is_empty() {
        return Some(());
    }
    match values.iter().find(|v| v.name == value.name) {
        Some(there) => (*there == value).then_some(()),
        None => {
            values.push(value);
            Some(())
        }
    }
}

/// A value of an element; none where anything but a unit stands beside it.
fn value(element: &Element, name: &str, text: &str, leaf: Option<&Element>, own: bool) -> Option<Value> {
    let mut unit = None;
    for (name, text) in leaf.map(|l| l.attributes.as_slice()).unwrap_or_default() {
        match name.to_lowercase().as_str() {
            "unit" | "units" | "uom" | "unitcode" if unit.is_none() => unit = Some(text.trim().to_owned()),
            "id" | "lang" => {}
            _ => return None,
        }
    }
    let unit = unit.filter(|u| !u.is_empty());
    // `Name` in `Sample`, `id` of it.
    let bare = ["name", "number", "no", "id", "code", "date"].contains(&name.to_lowercase().as_str());
    let name = if bare { within(&element.name, name) } else { words(name) };
    Some(Value { name, text: text.trim().to_owned(), unit, own })
}

/// The name of a value in an element that is named too: `Client` for `Name` in `Client`, `Client Account`.
fn within(element: &str, name: &str) -> String {
    let (outer, inner) = (words(element), words(name));
    let has = |word: &str| inner.split(' ').any(|w| w.eq_ignore_ascii_case(word));
    if outer.split(' ').all(has) { inner } else { format!("{outer} {inner}") }
}

/// `DateReceived`, `date_received` and `date-received` as words.
fn words(name: &str) -> String {
    let letters: Vec<char> = name.chars().collect();
    let lower = |at: usize| letters.get(at).is_some_and(|c| c.is_lowercase());
    let upper = |at: usize| letters.get(at).is_some_and(|c| c.is_uppercase());
    let mut out = String::new();
    for (at, letter) in letters.iter().enumerate() {
        // Two small letters before a capital end a word: `pH` is one.
        let ended = at > 1 && upper(at) && lower(at - 1) && lower(at - 2);
        let begins = at > 1 && upper(at) && upper(at - 1) && lower(at + 1) && lower(at + 2);
        if matches!(letter, '_' | '-' | '.') {
            out.push(' ');
        } else {
            if ended || begins {
                out.push(' ');
            }
            out.push(*letter);
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The table; none where the units of its values do not fit over or beside its columns.
fn cells(rows: &[Vec<Value>], limits: &Limits) -> Result<Option<Vec<Cell>>, Refusal> {
    let mut columns: Vec<(&str, bool)> = Vec::new();
    for value in rows.iter().flatten() {
        if columns.iter().all(|(name, _)| *name != value.name) {
            columns.push((&value.name, value.own));
        }
        if columns.len() > limits.columns as usize {
            return Err(wording::too_many_cells(Format::ExchangeXml, limits));
        }
    }
    columns.sort_by_key(|(_, own)| *own);
    let units = |name: &str| -> BTreeSet<Option<&str>> {
        rows.iter().flatten().filter(|v| v.name == name).map(|v| v.unit.as_deref()).collect()
    };
    let mut mixed = columns.iter().filter(|(name, _)| units(name).len() > 1);
    let beside = mixed.next();
    let told = columns.iter().any(|(name, _)| name.to_lowercase().starts_with("unit"));
    if mixed.next().is_some() || beside.is_some_and(|(_, own)| !own || told) {
        return Ok(None);
    }
    let heading = |name: &str| match units(name).into_iter().next().flatten() {
        Some(unit) if units(name).len() == 1 => format!("{name} ({unit})"),
        _ => name.to_owned(),
    };
    let mut lines: Vec<Vec<String>> = vec![columns.iter().map(|(name, _)| heading(name)).collect()];
    for row in rows {
        let of = |name: &str| row.iter().find(|v| v.name == name);
        lines.push(columns.iter().map(|(n, _)| of(n).map(|v| v.text.clone()).unwrap_or_default()).collect());
    }
    if let Some((name, _)) = beside {
        let units = rows.iter().map(|row| row.iter().find(|v| v.name == *name).and_then(|v| v.unit.clone()));
        let column = std::iter::once("Unit".to_owned()).chain(units.map(Option::unwrap_or_default));
        lines.iter_mut().zip(column).for_each(|(line, unit)| line.push(unit));
    }
    let mut out = Vec::new();
    for (row, line) in (1u32..).zip(lines) {
        for (column, text) in (1u32..).zip(line).filter(|(_, text)| !text.is_empty()) {
            if out.len() >= limits.cells {
                return Err(wording::too_many_cells(Format::ExchangeXml, limits));
            }
            out.push(Cell { row, column, columns: 1, rows: 1, text, numeric: false });
        }
    }
    Ok(Some(out))
}

#[cfg(test)]
mod tests;
