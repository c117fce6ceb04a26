//! One event of a result file: its elements come in any order, so all are gathered before rows are made.

use super::super::markup::{Node, Tag};
use super::super::{Format, Limits, Refusal, decode, wording};
use super::codes::Codes;
use std::collections::BTreeMap;

/// A row of the long table.
pub(super) struct Row {
    /// Unit of the depths as the file prints it, empty where it prints none.
    pub(super) depth_unit: String,
    /// Laboratory, report, client, site, lab number, sample, depths, dates, analyte, method, result, unit.
    pub(super) texts: [String; 14],
}

#[derive(Default, Clone)]
struct Depth {
    from: String,
    to: String,
    unit: String,
}

#[derive(Default)]
struct Measured {
    depth: String,
    element: String,
    value: String,
    unit: String,
    code: String,
    kind: String,
}

#[derive(Default)]
struct Sample {
    number: String,
    /// What the software of the client's farm calls it.
    own: String,
    container: String,
    report: String,
    results: Vec<Measured>,
}

impl Sample {
    /// The laboratory's number and the name of the sample; no name where the file leaves it open.
    ///
    /// The number is the one "given during sample collection" (AgGateway Modus 1), and so the name, unless the client calls
    /// the sample otherwise: a number that goes on from the laboratory's own `numbers` was given by the laboratory.
    fn called(&self, numbers: &[&str]) -> (String, String) {
        let other = !self.own.is_empty() && self.own != self.number && !is_key(&self.own);
        if !other {
            return (self.container.clone(), self.number.clone());
        }
        let of_the_laboratory =
            self.number.is_empty() || numbers.iter().any(|told| goes_on_from(&self.number, told));
        let name = if of_the_laboratory { self.own.clone() } else { String::new() };
        (self.number.clone(), name)
    }
}

/// So many figures are no coincidence.
const FIGURES: usize = 4;

/// `558120001` of the report `CF-558120`: the figures of the report's number, and more behind them.
fn goes_on_from(number: &str, told: &str) -> bool {
    let figures = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
    let (number, told) = (figures(number), figures(told));
    told.len() >= FIGURES && number.len() > told.len() && number.starts_with(&told)
}

/// A key that software gives and nobody writes on a bag: `6f1c2b9a-...`, 32 hexadecimal figures.
fn is_key(text: &str) -> bool {
    let plain: String = text.chars().filter(|c| !matches!(c, '-' | '{' | '}')).collect();
    plain.len() == 32 && plain.chars().all(|c| c.is_ascii_hexdigit())
}

/// An event on the way.
#[derive(Default)]
pub(super) struct Event {
    path: Vec<String>,
    text: String,
    started: bool,
    soil: bool,
    other: bool,
    lab: String,
    lab_event: String,
    client: [String; 3],
    field: String,
    zone: String,
    sampled: String,
    received: String,
    reports: BTreeMap<String, String>,
    depths: BTreeMap<String, Depth>,
    report_id: String,
    depth_id: String,
    depth: Depth,
    sample: Sample,
    result: Measured,
    samples: Vec<Sample>,
}

impl Event {
    /// Takes the next node, from the opening of the event to its end.
    pub(super) fn take(&mut self, node: &Node<'_>, limits: &Limits) -> Result<(), Refusal> {
        match node {
            Node::Open(tag) => {
                self.started = true;
                self.text.clear();
                self.open(tag);
                self.path.push(tag.name().to_owned());
            }
            Node::Text(text) => {
                self.text.push_str(text);
                if self.text.len() > limits.cell_bytes && !self.inside("FileData") {
                    return Err(wording::cell_too_long(Format::ExchangeXml, limits));
                }
            }
            Node::Close(name) => {
                self.path.pop();
                let text = decode::squeezed(&std::mem::take(&mut self.text));
                self.close(name, text);
            }
        }
        Ok(())
    }

    /// True once the event has closed.
    pub(super) fn is_over(&self) -> bool {
        self.started && self.path.is_empty()
    }

    /// True where the event is of soil.
    pub(super) fn is_soil(&self) -> bool {
        self.soil && !self.other
    }

    fn inside(&self, name: &str) -> bool {
        self.path.iter().any(|p| p == name)
    }

    fn parent(&self) -> &str {
        self.path.last().map(String::as_str).unwrap_or_default()
    }

    fn open(&mut self, tag: &Tag<'_>) {
        let id = |name: &str| tag.attribute(name).map(|v| decode::squeezed(&v)).unwrap_or_default();
        match (self.parent(), tag.name()) {
            (_, "Report") => self.report_id = id("ReportID"),
            (_, "DepthRef") => (self.depth_id, self.depth) = (id("DepthID"), Depth::default()),
            (_, "SoilSample") => self.sample = Sample::default(),
            ("Depths", "Depth") => self.depth_id = id("DepthID"),
            (_, "NutrientResult") => self.result = Measured::default(),
            ("EventSamples", "Soil") => self.soil = true,
            ("EventSamples", _) => self.other = true,
            _ => {}
        }
    }

    fn close(&mut self, name: &str, text: String) {
        // Recommendations name elements and values too, and are no results.
        if self.inside("RecommendationRefs")
            || self.inside("NutrientRecommendations")
            || self.inside("ModusSubmit")
        {
            return;
        }
        match (self.parent(), name) {
            ("EventMetaData", "EventType") => self.set_kind(&text),
            ("EventType", kind) if !matches!(text.as_str(), "false" | "0") => self.set_kind(kind),
            ("EventMetaData", "EventDate") => self.sampled = day(&text),
            ("LabMetaData", "LabName") => self.lab = text,
            ("LabMetaData", "ReceivedDate") => self.received = day(&text),
            ("LabMetaData", "LabEventID") => self.lab_event = text,
            ("Report", "LabReportID") => drop(self.reports.insert(self.report_id.clone(), text)),
            ("FMISProfile", "Grower") => self.client[0] = text,
            ("FMISProfile", "Field") => self.field = text,
            ("FMISProfile", "Sub-Field") => self.zone = text,
            ("ClientAccount", "Name") => self.client[1] = text,
            ("ClientAccount", "Company") => self.client[2] = text,
            ("DepthRef", "StartingDepth") => self.depth.from = text,
            ("DepthRef", "EndingDepth") => self.depth.to = text,
            ("DepthRef", "DepthUnit") => self.depth.unit = text,
            (_, "DepthRef") => {
                let depth = std::mem::take(&mut self.depth);
                self.depths.insert(self.depth_id.clone(), depth);
            }
            ("SampleMetaData", "SampleNumber") => self.sample.number = text,
            ("SampleMetaData", "FMISSampleID") => self.sample.own = text,
            ("SampleMetaData", "SampleContainerID") => self.sample.container = text,
            ("SampleMetaData", "ReportID") => self.sample.report = text,
            ("NutrientResult", "Element") => self.result.element = text,
            ("NutrientResult", "Value") => self.result.value = text,
            ("NutrientResult", "ValueUnit") => self.result.unit = text,
            ("NutrientResult", "ModusTestID") => self.result.code = text,
            ("NutrientResult", "ValueType") => self.result.kind = text,
            (_, "NutrientResult") => {
                let result = std::mem::take(&mut self.result);
                self.sample.results.push(Measured { depth: self.depth_id.clone(), ..result });
            }
            ("TextureResults", "PercentSand" | "PercentSilt" | "PercentClay") => {
                let element = name.trim_start_matches("Percent").to_owned();
                let (depth, unit) = (self.depth_id.clone(), "%".to_owned());
                self.sample.results.push(Measured {
                    depth,
                    element,
                    value: text,
                    unit,
                    ..Measured::default()
                });
            }
            (_, "SoilSample") => self.samples.push(std::mem::take(&mut self.sample)),
            _ => {}
        }
    }

    fn set_kind(&mut self, kind: &str) {
        match kind.to_ascii_lowercase().as_str() {
            "soil" => self.soil = true,
            "plant" | "nematode" => self.other = true,
            _ => {}
        }
    }

    /// The rows; values of kind index are left out and counted.
    pub(super) fn rows(self, codes: &Codes, indices: &mut usize) -> Vec<Row> {
        let client = self.client.iter().find(|c| !c.is_empty()).cloned().unwrap_or_default();
        let site = match (self.field.is_empty(), self.zone.is_empty()) {
            (false, false) => format!("{} / {}", self.field, self.zone),
            (false, true) => self.field.clone(),
            _ => String::new(),
        };
        let only = match (self.reports.len(), self.reports.values().next()) {
            (1, Some(report)) => report.clone(),
            _ => String::new(),
        };
        let mut rows = Vec::new();
        for sample in &self.samples {
            let report = self.reports.get(&sample.report).unwrap_or(&only);
            let (number, name) = sample.called(&[report, &self.lab_event]);
            for result in &sample.results {
                if result.kind.eq_ignore_ascii_case("index") {
                    *indices += 1;
                    continue;
                }
                if result.value.is_empty() || result.element.is_empty() {
                    continue;
                }
                let depth = self.depths.get(&result.depth).cloned().unwrap_or_default();
                rows.push(Row {
                    depth_unit: depth.unit.to_lowercase(),
                    texts: [
                        self.lab.clone(),
                        report.clone(),
                        client.clone(),
                        site.clone(),
                        number.clone(),
                        name.clone(),
                        depth.from,
                        depth.to,
                        self.sampled.clone(),
                        self.received.clone(),
                        result.element.clone(),
                        codes.method(&result.code, &result.element).unwrap_or_default().to_owned(),
                        result.value.clone(),
                        result.unit.clone(),
                    ],
                });
            }
        }
        rows
    }
}

/// The calendar day of a date or a date with a time, as written.
fn day(text: &str) -> String {
    text.split(['T', ' ']).next().unwrap_or_default().to_owned()
}
