//! From words or cells to Report > Sample > Reading, by vocabulary and geometry; never by a laboratory's name or form.
//!
//! ```text
//! pages -> lines of phrases -> heading bands, tables across and down, sentences -> samples with raw readings
//!       -> fields and notes -> contract analyte, method, unit -> reports
//! ```

pub mod fold;

pub mod number;

pub mod date;

pub mod units;

pub mod vocabulary;

mod listed;

mod words;

mod kept;

pub mod label;

pub mod layout;

mod cut;

mod marks;

mod signs;

mod ditto;

mod codes;

mod sheet;

mod quoted;

mod stems;

mod numbered;

mod gutter;

mod lane;

mod raised;

mod counted_as;

mod one_line;

mod hyphen;

mod rewrap;

mod spaced;

mod threefold;

mod found;

mod atom;

mod below;

mod flush;

mod align;

mod band;

mod span;

mod notes;

mod header;

mod across;

mod down;

mod present;
mod prose;

mod normalise;

mod matter;

mod recommendation;

mod whole;

mod aside;

mod another;

mod former;
mod former_rows;
mod issues;

mod levels;
mod lost;

mod dated;

mod gather;

mod assemble;

pub mod taught;

use crate::document::{Document, Refusal};
use crate::soil::Report;

/// Reads a laid-out document. Doubts travel with the values; only a document that is no soil report is an error.
///
/// # Errors
/// A [`Refusal`] with cause `not-a-report` or `wrong-matter` (water, tissue, invoice ...); `stopped` where the program's own
/// word lists are damaged.
pub fn read(document: &Document) -> Result<Vec<Report>, Refusal> {
    let read = read_by_words(document);
    listed::all_whole(document.format)?;
    read
}

fn read_by_words(document: &Document) -> Result<Vec<Report>, Refusal> {
    let gathered = gather::gather(document);
    let of_soil = matter::only_soil_has(&gathered.samples);
    matter::judge(&gathered.of_its_matter(), &gathered.head, gathered.readings(), of_soil, document.format)?;
    if matter::in_percent(&gathered.samples) {
        return Err(matter::other("an analysis of leaves, feed, manure or fertilizer", document.format));
    }
    let reports = assemble::assemble(&gathered);
    // An invoice lists tests with prices: numbers beside names of measurements, but no unit and no sample.
    let stated = reports
        .iter()
        .flat_map(|r| &r.samples)
        // What the laboratory has numbered is a sample, whatever it is called.
        .filter(|s| s.doubts.is_empty() || s.lab_number.is_some())
        .flat_map(|s| &s.readings)
        .any(|r| r.doubts.is_empty() || !r.printed.unit.is_empty());
    if !stated && (matter::business(&gathered.text) || reports.is_empty() || of_nothing(&reports)) {
        matter::judge(&gathered.text, "", 0, of_soil, document.format)?;
    }
    Ok(reports)
}

/// Beside so few numbers a report names a sample or a day.
const FEW: usize = 3;

/// A few numbers beside names of measurements, of no sample, client or day: instructions, not results.
fn of_nothing(reports: &[Report]) -> bool {
    let samples = || reports.iter().flat_map(|r| &r.samples);
    let named = samples().any(|s| s.lab_number.is_some() || s.sampled_on.is_some() || !unnamed(s));
    let headed = reports
        .iter()
        .any(|r| r.client.is_some() || r.number.is_some() || r.received_on.or(r.reported_on).is_some());
    !named && !headed && samples().map(|s| s.readings.len()).sum::<usize>() <= FEW
}

fn unnamed(sample: &crate::soil::Sample) -> bool {
    sample.label.is_empty() || sample.doubts.iter().any(|d| d.reason == "sample-unnamed")
}

#[cfg(test)]
mod tests;
