//! The arrangements: samples as rows, samples as columns, a form for each sample, one result a row.

use super::cell::Cell;
use super::column::Column;
use super::decoy::Decoy;
use super::paper::{Block, Head, Table};
use super::rng::Rng;
use super::truth::Identity;
use super::words::method_text;
use loamline::soil::{Analyte, Unit};

/// What is to be arranged.
#[derive(Debug)]
pub struct Content {
    /// The samples.
    pub samples: Vec<Identity>,
    /// The measurements.
    pub columns: Vec<Column>,
    /// Cells by sample and measurement.
    pub cells: Vec<Vec<Option<Cell>>>,
    /// What a blank is.
    pub blank: &'static str,
    /// Units stand in a row or column of their own.
    pub unit_apart: bool,
    /// Units of nutrients stand in a note.
    pub unit_noted: bool,
    /// Methods stand in a row or column of their own.
    pub method_apart: bool,
    /// The layer as printed.
    pub depth: Option<String>,
    /// The layer stands with each sample.
    pub depth_apart: bool,
    /// Sampling days as printed, by sample.
    pub days: Vec<String>,
    /// The present season.
    pub year: i16,
}

const SAMPLE: [&str; 10] = [
    "Sample ID",
    "Sample",
    "Sample Name",
    "Field ID",
    "Your sample",
    "Sample Description",
    "Location",
    "Client Sample ID",
    "Area Sampled",
    "Sample No.",
];
const LAB: [&str; 6] = ["Lab No.", "Lab Number", "Lab ID", "Laboratory Number", "Lab #", "Lab Sample ID"];

impl Content {
    fn text(&self, sample: usize, column: usize) -> String {
        let cell = self.cells.get(sample).and_then(|r| r.get(column)).and_then(Option::as_ref);
        cell.map_or_else(|| self.blank.to_owned(), |c| c.text.clone())
    }

    fn number(&self, sample: usize, column: usize) -> String {
        let cell = self.cells.get(sample).and_then(|r| r.get(column)).and_then(Option::as_ref);
        cell.map(|c| c.number.clone()).unwrap_or_default()
    }

    fn shown(&self, c: &Column) -> bool {
        !(self.unit_apart || c.unit.is_empty() || self.unit_noted && c.analyte.unit() == Unit::MgPerKg)
    }

    /// A name with its unit where that stands with it.
    fn name(&self, c: &Column, style: usize) -> String {
        match (self.shown(c), style % 3) {
            (false, _) => c.name.clone(),
            (_, _) if c.unit.contains('(') => format!("{}, {}", c.name, c.unit),
            (_, 0) => format!("{} ({})", c.name, c.unit),
            (_, 1) => format!("{}, {}", c.name, c.unit),
            _ => format!("{} {}", c.name, c.unit),
        }
    }
}

enum Slot {
    Lab,
    Sample,
    Day,
    Depth,
    Result(usize),
    Decoy(Decoy, Option<usize>),
}

struct Put {
    slot: Slot,
    group: String,
}

const SATURATIONS: [Analyte; 5] =
    [Analyte::SatK, Analyte::SatMg, Analyte::SatCa, Analyte::SatH, Analyte::SatNa];
const CATIONS: [Analyte; 4] = [Analyte::Potassium, Analyte::Magnesium, Analyte::Calcium, Analyte::Sodium];

/// Samples are rows.
pub fn across(rng: &mut Rng, content: &mut Content) -> Vec<Block> {
    let mut puts: Vec<Put> = Vec::new();
    let plain = |slot| Put { slot, group: String::new() };
    puts.push(plain(Slot::Sample));
    let numbered = content.samples.iter().any(|s| !s.lab.is_empty());
    if numbered {
        let at = rng.below(2);
        puts.insert(at, plain(Slot::Lab));
    }
    if content.days.iter().any(|d| !d.is_empty()) {
        puts.push(plain(Slot::Day));
    }
    if content.depth_apart && content.depth.is_some() {
        puts.push(plain(Slot::Depth));
    }
    let mut order: Vec<usize> = (0..content.columns.len()).collect();
    if rng.chance(0.4) {
        rng.shuffle(&mut order);
    }
    let is = |content: &Content, i: usize, list: &[Analyte]| {
        content.columns.get(i).is_some_and(|c| list.contains(&c.analyte))
    };
    let saturations: Vec<usize> = order.iter().copied().filter(|i| is(content, *i, &SATURATIONS)).collect();
    if saturations.len() > 2 && rng.chance(0.6) {
        order.retain(|i| !saturations.contains(i));
        let at = rng.below(order.len() + 1);
        order.splice(at..at, saturations.iter().copied());
        for c in content.columns.iter_mut().filter(|c| SATURATIONS.contains(&c.analyte)) {
            c.name = c.analyte.symbol().trim_end_matches(" sat.").to_owned();
            c.unit = String::new();
        }
    }
    let grouped_shares = saturations
        .iter()
        .any(|i| content.columns.get(*i).is_some_and(|c| c.unit.is_empty() && c.name.len() <= 2));
    let share_head = rng.word(&[
        "% Base Saturation",
        "Base Saturation, %",
        "Percent Base Saturation",
        "Cation Saturation %",
        "% Saturation",
    ]);
    let cations: Vec<usize> = order.iter().copied().filter(|i| is(content, *i, &CATIONS)).collect();
    let mut cation_head = String::new();
    let unit =
        cations.first().and_then(|i| content.columns.get(*i)).map(|c| c.unit.clone()).unwrap_or_default();
    let alike = cations.iter().all(|i| content.columns.get(*i).is_some_and(|c| c.unit == unit));
    if cations.len() > 2 && alike && rng.chance(0.25) {
        order.retain(|i| !cations.contains(i));
        let at = rng.below(order.len() + 1);
        // A group must not be put into the middle of the shares.
        let at = if order.get(at).is_some_and(|i| saturations.contains(i)) { 0 } else { at };
        order.splice(at..at, cations.iter().copied());
        cation_head = rng.word(&["Exchangeable cations", "Cations", "Extractable cations"]).to_owned();
        if !content.unit_apart && !unit.is_empty() && !content.unit_noted {
            cation_head = format!("{cation_head}, {unit}");
            for i in &cations {
                if let Some(c) = content.columns.get_mut(*i) {
                    c.unit = String::new();
                }
            }
        }
    }
    for i in order {
        let group = if grouped_shares && saturations.contains(&i) {
            share_head.to_owned()
        } else if !cation_head.is_empty() && cations.contains(&i) {
            cation_head.clone()
        } else {
            String::new()
        };
        puts.push(Put { slot: Slot::Result(i), group });
        let symbol = content.columns.get(i).map(|c| (c.analyte, c.analyte.symbol()));
        if let Some((analyte, symbol)) = symbol
            && rng.chance(0.05)
            && !SATURATIONS.contains(&analyte)
            && puts.last().is_some_and(|p| p.group.is_empty())
        {
            puts.push(plain(Slot::Decoy(Decoy::of(rng, symbol, content.year), Some(i))));
        }
    }
    for _ in 0..rng.below(3) {
        let ids = puts.iter().filter(|p| !matches!(p.slot, Slot::Result(_) | Slot::Decoy(..))).count();
        let at = ids + rng.below(puts.len() - ids + 1);
        let inside = at > 0
            && puts
                .get(at)
                .zip(puts.get(at - 1))
                .is_some_and(|(a, b)| !a.group.is_empty() && a.group == b.group);
        if !inside {
            let decoy = Decoy::among(rng);
            puts.insert(at, plain(Slot::Decoy(decoy, None)));
        }
    }
    if rng.chance(0.12) {
        let head = rng.word(&[
            "Recommendations, lb/acre",
            "Recommendations, lb/1000 sq ft",
            "Fertilizer to apply, lb/acre",
            "Nutrient Requirements, lb/acre",
        ]);
        for name in ["N", "P2O5", "K2O"] {
            puts.push(Put { slot: Slot::Decoy(Decoy::rate(name), None), group: head.to_owned() });
        }
    }
    blocks_of(rng, content, &puts)
}

fn blocks_of(rng: &mut Rng, content: &Content, puts: &[Put]) -> Vec<Block> {
    let ids: Vec<&Put> =
        puts.iter().filter(|p| !matches!(p.slot, Slot::Result(_) | Slot::Decoy(..))).collect();
    let rest: Vec<&Put> =
        puts.iter().filter(|p| matches!(p.slot, Slot::Result(_) | Slot::Decoy(..))).collect();
    let style = rng.below(3);
    let (sample, lab) = (rng.word(&SAMPLE), rng.word(&LAB));
    let table = |rng: &mut Rng, puts: &[&Put]| {
        let mut head: Vec<Vec<Head>> = Vec::new();
        if puts.iter().any(|p| !p.group.is_empty()) {
            let mut row: Vec<Head> = Vec::new();
            let mut last = String::new();
            for p in puts {
                match row.last_mut() {
                    Some(h) if !p.group.is_empty() && p.group == last => h.span += 1,
                    _ => row.push(Head::one(p.group.clone())),
                }
                last.clone_from(&p.group);
            }
            head.push(row);
        }
        let name = |p: &Put| match &p.slot {
            Slot::Lab => lab.to_owned(),
            Slot::Sample => sample.to_owned(),
            Slot::Day => "Date Sampled".to_owned(),
            Slot::Depth => "Depth".to_owned(),
            Slot::Decoy(d, _) => d.head.clone(),
            Slot::Result(i) => content.columns.get(*i).map(|c| content.name(c, style)).unwrap_or_default(),
        };
        head.push(puts.iter().map(|p| Head::one(name(p))).collect());
        let column = |p: &Put| match &p.slot {
            Slot::Result(i) => content.columns.get(*i),
            _ => None,
        };
        if content.method_apart {
            let row = puts.iter().map(|p| {
                let measured = column(p).filter(|c| !c.named).and_then(|c| c.measured);
                Head::one(measured.map(|m| method_text(rng, m)).unwrap_or_default())
            });
            head.push(row.collect());
        }
        if content.unit_apart {
            head.push(
                puts.iter()
                    .map(|p| Head::one(column(p).map(|c| c.unit.clone()).unwrap_or_default()))
                    .collect(),
            );
        }
        let mut rows = Vec::new();
        for (s, id) in content.samples.iter().enumerate() {
            let row = puts
                .iter()
                .map(|p| match &p.slot {
                    Slot::Lab => id.lab.clone(),
                    Slot::Sample => id.label.clone(),
                    Slot::Day => content.days.get(s).cloned().unwrap_or_default(),
                    Slot::Depth => content.depth.clone().unwrap_or_default(),
                    Slot::Result(i) => content.text(s, *i),
                    Slot::Decoy(d, of) => {
                        let number = of.map(|i| content.number(s, i)).unwrap_or_default();
                        d.cell(rng, &number)
                    }
                })
                .collect();
            rows.push(row);
        }
        let numeric = puts.iter().map(|p| matches!(p.slot, Slot::Result(_) | Slot::Decoy(..))).collect();
        Block::Table(Table { head, rows, numeric })
    };
    if rest.len() > 9 && rng.chance(0.2) {
        // Two tables one below the other, each with its names; never cut inside a group.
        let mut cut = rest.len() / 2;
        while cut < rest.len()
            && rest
                .get(cut)
                .zip(rest.get(cut - 1))
                .is_some_and(|(a, b)| !a.group.is_empty() && a.group == b.group)
        {
            cut += 1;
        }
        let part = |from: usize, to: usize| -> Vec<&Put> {
            ids.iter().chain(rest.iter().skip(from).take(to - from)).copied().collect()
        };
        let (one, two) = (part(0, cut), part(cut, rest.len()));
        let first = table(rng, &one);
        return if cut < rest.len() { vec![first, table(rng, &two)] } else { vec![first] };
    }
    vec![table(rng, &puts.iter().collect::<Vec<_>>())]
}

/// Samples are columns.
pub fn down(rng: &mut Rng, content: &Content) -> Vec<Block> {
    let style = rng.below(3);
    let mut head =
        vec![Head::one(rng.word(&["Test", "Analysis", "Determination", "", "Parameter", "Sample"]))];
    let mut labs = vec![Head::one("Lab No.")];
    let mut numeric = vec![false];
    let mut extra = 0;
    for (apart, words) in
        [(content.unit_apart, ["Unit", "Units"]), (content.method_apart, ["Method", "Procedure"])]
    {
        if apart {
            head.push(Head::one(rng.word(&words)));
            labs.push(Head::one(""));
            numeric.push(false);
            extra += 1;
        }
    }
    for id in &content.samples {
        head.push(Head::one(id.label.clone()));
        labs.push(Head::one(id.lab.clone()));
        numeric.push(true);
    }
    let decoy = rng.chance(0.25).then(|| {
        let ranges = ["Optimum Range", "Desired Range", "Normal Range"];
        Decoy::range(rng.word(&ranges))
    });
    if let Some(d) = &decoy {
        head.push(Head::one(d.head.clone()));
        labs.push(Head::one(""));
        numeric.push(false);
    }
    let mut rows = Vec::new();
    for (i, c) in content.columns.iter().enumerate() {
        let mut row = vec![content.name(c, style)];
        if content.unit_apart {
            row.push(c.unit.clone());
        }
        if content.method_apart {
            row.push(c.measured.map(|m| method_text(rng, m)).unwrap_or_default().to_owned());
        }
        row.extend((0..content.samples.len()).map(|s| content.text(s, i)));
        if let Some(d) = &decoy {
            let number = content.number(0, i);
            row.push(d.cell(rng, &number));
        }
        rows.push(row);
    }
    let numbered = content.samples.iter().any(|s| !s.lab.is_empty());
    let mut heads = vec![head];
    if numbered {
        heads.push(labs);
    }
    debug_assert!(extra <= 2, "unit and method are the only columns before the samples");
    vec![Block::Table(Table { head: heads, rows, numeric })]
}

/// A form for each sample.
pub fn form(rng: &mut Rng, content: &Content, break_each: bool) -> Vec<Block> {
    let style = rng.below(3);
    let names = ["Test", "Analysis", "Determination", "Nutrient", "Parameter"];
    let results = ["Result", "Results", "Your result", "Found", "Soil test result", "Value", "Test result"];
    let (test, result) = (rng.word(&names), rng.word(&results));
    let decoys: Vec<Decoy> = (0..rng.below(3)).map(|_| Decoy::beside(rng, content.year)).collect();
    let current = decoys.iter().any(|d| d.head.parse::<i16>().is_ok());
    let result = if current { content.year.to_string() } else { result.to_owned() };
    let first = rng.chance(0.2);
    let beside = rng.chance(0.2) && content.columns.len() > 6;
    let (sample, lab) = (rng.word(&SAMPLE), rng.word(&LAB));
    let mut out = Vec::new();
    for (s, id) in content.samples.iter().enumerate() {
        if s > 0 && break_each {
            out.push(Block::Break);
        }
        let mut fields = vec![(sample.to_owned(), id.label.clone())];
        if !id.lab.is_empty() {
            fields.push((lab.to_owned(), id.lab.clone()));
        }
        if let Some(day) = content.days.get(s).filter(|d| !d.is_empty()) {
            fields.push(("Date Sampled".to_owned(), day.clone()));
        }
        if let Some(depth) = content.depth.clone().filter(|_| content.depth_apart) {
            fields.push(("Depth".to_owned(), depth));
        }
        out.push(Block::Fields(fields));
        let make = |rng: &mut Rng, from: usize, to: usize| {
            let mut head = vec![Head::one(test)];
            let mut numeric = vec![false];
            let mut put = |text: &str, number: bool| {
                head.push(Head::one(text));
                numeric.push(number);
            };
            if first {
                decoys.iter().for_each(|d| put(&d.head, true));
            }
            put(&result, true);
            if content.unit_apart {
                put("Unit", false);
            }
            if content.method_apart {
                put("Method", false);
            }
            if !first {
                decoys.iter().for_each(|d| put(&d.head, true));
            }
            let mut rows = Vec::new();
            for (i, c) in content.columns.iter().enumerate().skip(from).take(to - from) {
                let number = content.number(s, i);
                let others: Vec<String> = decoys.iter().map(|d| d.cell(rng, &number)).collect();
                let mut row = vec![content.name(c, style)];
                if first {
                    row.extend(others.iter().cloned());
                }
                row.push(content.text(s, i));
                if content.unit_apart {
                    row.push(c.unit.clone());
                }
                if content.method_apart {
                    row.push(c.measured.map(|m| method_text(rng, m)).unwrap_or_default().to_owned());
                }
                if !first {
                    row.extend(others);
                }
                rows.push(row);
            }
            Table { head: vec![head], rows, numeric }
        };
        let n = content.columns.len();
        if beside {
            let (a, b) = (make(rng, 0, n / 2), make(rng, n / 2, n));
            out.push(Block::Beside(a, b));
        } else {
            out.push(Block::Table(make(rng, 0, n)));
        }
    }
    out
}

/// One result a row.
pub fn long(rng: &mut Rng, content: &Content) -> Vec<Block> {
    let style = rng.below(3);
    let numbered = content.samples.iter().any(|s| !s.lab.is_empty());
    let dated = content.days.iter().any(|d| !d.is_empty());
    let deep = content.depth_apart && content.depth.is_some();
    let rated =
        rng.chance(0.25).then(|| Decoy::beside(rng, content.year)).filter(|d| d.head.parse::<i16>().is_err());
    let names = ["Test", "Analysis", "Analyte", "Parameter", "Nutrient"];
    let mut head = vec![Head::one(rng.word(&SAMPLE))];
    let mut numeric = vec![false];
    let mut put = |text: &str, number: bool| {
        head.push(Head::one(text));
        numeric.push(number);
    };
    if numbered {
        put(rng.word(&LAB), false);
    }
    if dated {
        put("Date Sampled", false);
    }
    if deep {
        put("Depth", false);
    }
    put(rng.word(&names), false);
    put(rng.word(&["Result", "Value", "Test result"]), true);
    if content.unit_apart {
        put("Unit", false);
    }
    if content.method_apart {
        put("Method", false);
    }
    if let Some(d) = &rated {
        put(&d.head, false);
    }
    let mut rows = Vec::new();
    for (s, id) in content.samples.iter().enumerate() {
        for (i, c) in content.columns.iter().enumerate() {
            if content.cells.get(s).and_then(|r| r.get(i)).is_some_and(Option::is_none) {
                continue;
            }
            let mut row = vec![id.label.clone()];
            if numbered {
                row.push(id.lab.clone());
            }
            if dated {
                row.push(content.days.get(s).cloned().unwrap_or_default());
            }
            if deep {
                row.push(content.depth.clone().unwrap_or_default());
            }
            row.push(content.name(c, style));
            row.push(content.text(s, i));
            if content.unit_apart {
                row.push(c.unit.clone());
            }
            if content.method_apart {
                row.push(c.measured.map(|m| method_text(rng, m)).unwrap_or_default().to_owned());
            }
            if let Some(d) = &rated {
                let number = content.number(s, i);
                row.push(d.cell(rng, &number));
            }
            rows.push(row);
        }
    }
    vec![Block::Table(Table { head: vec![head], rows, numeric })]
}
