//! What stands beside the results of a document and is none, or waits for a person: lines by themselves, columns under
//! words that name no sample, sentences.

use super::across;
use super::found::{Found, FoundSample};
use super::header::FieldValue;
use super::prose;
use super::vocabulary::Field;
use crate::soil::{Analyte, Doubt, Method};

/// What the tables of a document say of each measurement, as printed; nothing where they are no more than an aside.
pub fn measured_in_tables(samples: &[FoundSample]) -> Vec<(Analyte, String)> {
    let readings = samples.iter().filter(|s| !s.lone).flat_map(|s| &s.readings);
    let all: Vec<_> = readings.filter_map(|r| Some((r.label.analyte?, r.printed.clone()))).collect();
    if all.len() < ENOUGH_OF_A_TABLE { Vec::new() } else { all }
}

/// From so many numbers on a document's results stand in its tables.
const ENOUGH_OF_A_TABLE: usize = 2;

/// Lines in no columns beside tables of results are remarks, or results that a person has to see.
pub fn lines_by_themselves(samples: &mut Vec<FoundSample>, measured: &[(Analyte, String)]) {
    if measured.is_empty() {
        return;
    }
    if parts_of_lists(samples) {
        return;
    }
    for sample in samples.iter_mut().filter(|s| s.lone) {
        sample.readings.retain(|r| !repeats(r, measured));
        for reading in &mut sample.readings {
            reading.doubts.push(Doubt::new(
                "alone-beside-a-table",
                format!(
                    "`{}` stands in a line by itself; the results of this report stand in a table.",
                    reading.printed
                ),
            ));
        }
    }
    samples.retain(|s| !s.lone || !s.readings.is_empty() || !s.others.is_empty());
}

/// `pH: 5.4` over the lines of each sample's list: one such line, or as many of the same, stands right above each list, of
/// what no list holds, and not everywhere with the same number, as what is wanted would.
fn parts_of_lists(samples: &[FoundSample]) -> bool {
    let mut order: Vec<&FoundSample> = samples.iter().collect();
    order.sort_by(|a, b| a.page.cmp(&b.page).then(a.y.total_cmp(&b.y)));
    let analytes = |s: &FoundSample| s.readings.iter().map(|r| r.label.analyte).collect::<Vec<_>>();
    let pairs: Vec<(&FoundSample, &FoundSample)> =
        order.chunks_exact(2).filter_map(|pair| Some((*pair.first()?, *pair.get(1)?))).collect();
    let Some((first, _)) = pairs.first() else { return false };
    let own = analytes(first);
    let certain = |(lone, list): &(&FoundSample, &FoundSample)| {
        let name = lone.field(Field::SampleLabel);
        lone.lone
            && !list.lone
            && lone.page == list.page
            && name == list.field(Field::SampleLabel)
            && analytes(lone) == own
            && own.iter().all(|a| a.is_some() && !analytes(list).contains(a))
    };
    let printed = |s: &FoundSample| s.readings.iter().map(|r| r.printed.clone()).collect::<Vec<_>>();
    pairs.len() > 1
        && order.len() == 2 * pairs.len()
        && pairs.iter().all(certain)
        && pairs.iter().any(|(lone, _)| printed(lone) != printed(first))
}

/// `Morgan` in a heading of a report that speaks of the modified Morgan extract elsewhere has perhaps lost a word.
pub fn half_methods(samples: &mut [FoundSample]) {
    let readings = || samples.iter().flat_map(|s| &s.readings);
    let says = |r: &Found, method| r.label.methods.contains(&Some(method)) || r.caption == Some(method);
    if !(readings().any(|r| says(r, Method::Morgan)) && readings().any(|r| says(r, Method::ModifiedMorgan))) {
        return;
    }
    for reading in samples.iter_mut().flat_map(|s| &mut s.readings).filter(|r| says(r, Method::Morgan)) {
        reading.doubts.push(Doubt::new(
            "method-half",
            "The report speaks of the Morgan and of the modified Morgan extract; which is meant here is not sure.",
        ));
    }
}

/// `Sample: Home field` over a table whose columns are headed `Standing` and `Fallow`: the report names its sample, and
/// what the words over its columns mean nobody knows.
pub fn named_by_unknown_words(samples: &mut [FoundSample], fields: &[FieldValue]) {
    let names: Vec<&FieldValue> = fields.iter().filter(|f| f.field == Field::SampleLabel && f.firm).collect();
    // `Corn` and `Soybean` over rates, below a table whose rows are named.
    let rows: Vec<(u32, f32, String)> = samples
        .iter()
        .filter(|s| !s.headed && s.named_by_table)
        .filter_map(|s| Some((s.page, s.y, s.field(Field::SampleLabel)?.to_lowercase())))
        .collect();
    for sample in samples.iter_mut().filter(|s| s.headed) {
        let Some(own) = sample.field(Field::SampleLabel).map(str::to_lowercase) else { continue };
        let above = rows.iter().any(|(page, y, _)| (*page, *y) <= (sample.page, sample.y));
        if above && rows.iter().all(|(_, _, name)| *name != own) {
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
            let doubt = Doubt::new(
                "column-unknown",
                format!(
                    "No sample of the tables above is called `{own}`; what stands under it is not known."
                ),
            );
            across::doubt_all(std::slice::from_mut(sample), Some(&doubt));
        }
    }
    for sample in samples.iter_mut().filter(|s| s.headed) {
        let above = names.iter().rev().find(|f| (f.page, f.area.y0) <= (sample.page, sample.y + 1.0));
        let own = sample.field(Field::SampleLabel).map(str::to_lowercase);
        let Some(name) = above.filter(|f| Some(f.text.to_lowercase()) != own) else { continue };
        sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
        let doubt = Doubt::new(
            "column-unknown",
            format!(
                "The report names the sample `{}`; what `{}` over this column means is not known.",
                name.text,
                own.unwrap_or_default()
            ),
        );
        across::doubt_all(std::slice::from_mut(sample), Some(&doubt));
    }
}

pub fn repeats(found: &Found, measured: &[(Analyte, String)]) -> bool {
    measured.iter().any(|(a, text)| Some(*a) == found.label.analyte && *text == found.printed)
}

pub fn beside_tables(said: prose::Said, measured: &[(Analyte, String)]) -> Option<Found> {
    let prose::Said { mut found, of_this } = said;
    if measured.is_empty() {
        return Some(found);
    }
    if !of_this || repeats(&found, measured) {
        return None;
    }
    found.doubts.push(Doubt::new(
        "said-beside-a-table",
        format!("A sentence says `{}`; the results of this report stand in a table.", found.printed),
    ));
    Some(found)
}
