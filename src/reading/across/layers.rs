//! Layers of one core: its name stands once, beside the topmost, and each layer begins where the one above ends.

use super::super::found::FoundSample;
use super::super::header::{depth, depth_unit};
use super::super::layout::{Line, Phrase};
use super::super::vocabulary::Field;
use crate::soil::Depth;

/// Ends of layers nearer than this, in cm, are one.
const SAME: f64 = 0.3;

/// Gives rows with a blank in the column of names the name of the row above, where their layer goes on with its layer.
/// `blank` tells of each sample whether its name is blank.
pub fn name_deeper(samples: &mut [FoundSample], blank: &[bool]) {
    for i in 1..samples.len() {
        let (Some(above), Some(own)) = (samples.get(i - 1), samples.get(i)) else { continue };
        if blank.get(i) != Some(&true) || own.field(Field::SampleLabel).is_some() {
            continue;
        }
        let goes_on = layer(above).zip(layer(own)).is_some_and(|(above, own)| {
            (own.top_cm - above.bottom_cm).abs() < SAME && own.bottom_cm > own.top_cm
        });
        let Some(name) = above.field(Field::SampleLabel).filter(|_| goes_on).map(str::to_owned) else {
            continue;
        };
        if let Some(own) = samples.get_mut(i) {
            own.fields.push((Field::SampleLabel, name));
        }
    }
}

/// Edges of a layer with the unit that a column of its own gives them; without one that is known nobody knows how deep they
/// lie.
pub fn with_their_unit(sample: &mut FoundSample) {
    let Some(said) = sample.field(Field::DepthUnit).map(str::to_owned) else { return };
    let edge = |field: Field| matches!(field, Field::DepthTop | Field::DepthBottom);
    sample.fields.retain(|(field, _)| *field != Field::DepthUnit);
    let Some(unit) = depth_unit(&said) else {
        sample.fields.retain(|(field, text)| !edge(*field) || text.contains(char::is_alphabetic));
        return;
    };
    for (field, text) in &mut sample.fields {
        if edge(*field) && !text.contains(char::is_alphabetic) {
            *text = format!("{} {unit}", text.trim_end());
        }
    }
}

/// Rows of one core each, by index: the layers from the top down, and perhaps a last row that spans them all. None where
/// a row has no layer or goes on with none.
fn cores(samples: &[FoundSample]) -> Option<Vec<std::ops::Range<usize>>> {
    let layers: Vec<Depth> = samples.iter().map(layer).collect::<Option<_>>()?;
    let mut out: Vec<std::ops::Range<usize>> = Vec::new();
    for (i, own) in layers.iter().enumerate() {
        let core = out.last_mut().filter(|core| {
            let above = i.checked_sub(1).and_then(|i| layers.get(i));
            above.is_some_and(|above| (own.top_cm - above.bottom_cm).abs() < SAME)
                || spans(layers.get(core.start..i).unwrap_or_default(), own)
        });
        match core {
            Some(core) => core.end = i + 1,
            None => out.push(i..i + 1),
        }
    }
    Some(out)
}

/// True for a layer that reaches from the top to the bottom of at least two others.
fn spans(others: &[Depth], own: &Depth) -> bool {
    let [first, .., last] = others else { return false };
    (own.top_cm - first.top_cm).abs() < SAME && (own.bottom_cm - last.bottom_cm).abs() < SAME
}

/// One cell beside all the layers of a core bears its name, set level with its middle: where every core has the same
/// layers, and one row in each has a name, always the same row and each name its own, it is the name of all rows of the
/// core. A row that spans the layers above it and has no laboratory's number where these have theirs is a sum, and
/// goes. `blank` tells of each sample whether its name is blank.
pub fn name_cores(samples: &mut Vec<FoundSample>, blank: &mut Vec<bool>) {
    let Some(cores) = cores(samples) else { return };
    let named = |i: &usize| samples.get(*i).and_then(|s| s.field(Field::SampleLabel)).map(str::to_owned);
    let rows = cores.first().map_or(0, |core| core.len());
    let at: Vec<Vec<usize>> = cores
        .iter()
        .map(|core| core.clone().filter(|i| named(i).is_some()).map(|i| i - core.start).collect())
        .collect();
    let one = at.first().is_some_and(|first| first.len() == 1 && at.iter().all(|own| own == first));
    let mut names: Vec<String> = cores
        .iter()
        .filter_map(|core| core.clone().find_map(|i| named(&i)))
        .map(|n| n.to_lowercase())
        .collect();
    let cells = names.len();
    names.sort_unstable();
    names.dedup();
    let layer_of = |i: usize| samples.get(i).and_then(layer);
    let alike = cores.iter().all(|core| {
        core.len() == rows
            && core
                .clone()
                .zip(cores.first().cloned().unwrap_or_default())
                .all(|(a, b)| layer_of(a) == layer_of(b))
    });
    let unnamed = (0..samples.len()).all(|i| named(&i).is_some() || blank.get(i) == Some(&true));
    if cores.len() < 2 || rows < 2 || !one || names.len() != cells || !alike || !unnamed {
        return;
    }
    let numbered = |i: usize| samples.get(i).is_some_and(|s| s.field(Field::LabSample).is_some());
    // The last row of a core, where it is the sum of those above it.
    let sum = |core: &std::ops::Range<usize>| {
        let last = core.end.checked_sub(1)?;
        let above: Vec<Depth> = (core.start..last).filter_map(layer_of).collect();
        let sums = spans(&above, &layer_of(last)?) && !numbered(last) && (core.start..last).all(numbered);
        sums.then_some(last)
    };
    let sums: Vec<usize> = cores.iter().filter_map(sum).collect();
    let bears: Vec<(usize, String)> = cores
        .iter()
        .filter_map(|core| Some((core.clone(), core.clone().find_map(|i| named(&i))?)))
        .flat_map(|(core, name)| {
            // What spans the layers and is no plain sum may be a sample of its own: nobody knows whose.
            let layers: Vec<Depth> = core.clone().filter_map(layer_of).collect();
            let whole = layers.split_last().is_some_and(|(last, above)| spans(above, last));
            let end = if whole { core.end - 1 } else { core.end };
            (core.start..end).map(move |i| (i, name.clone()))
        })
        .collect();
    for (i, name) in bears {
        if let Some(sample) = samples.get_mut(i).filter(|s| s.field(Field::SampleLabel).is_none()) {
            sample.fields.push((Field::SampleLabel, name));
        }
    }
    for sum in sums.into_iter().rev() {
        samples.remove(sum);
        blank.remove(sum);
    }
}

/// A cell beside an even number of layers has its name between two of their rows, on a line of its own. Where no row has a
/// name, and between the first and the last row of each core stands one line in the column of names (`column`, from left to
/// right) and no other, it names the first. Gives the lines back, by place in `lines`.
pub fn names_between(
    samples: &mut [FoundSample],
    blank: &mut [bool],
    lines: &[(usize, &Line)],
    (left, right): (f32, f32),
    em: f32,
) -> Vec<usize> {
    let unnamed = samples.iter().all(|s| s.field(Field::SampleLabel).is_none()) && !blank.contains(&false);
    let Some(cores) = cores(samples).filter(|cores| unnamed && cores.len() > 1) else { return Vec::new() };
    fn alone(line: &Line) -> Option<&Phrase> {
        match line.phrases.as_slice() {
            [one] => Some(one),
            _ => None,
        }
    }
    let within_edges = |one: &&Phrase| one.area.x0 < right && one.area.x1 > left;
    let named: Vec<(usize, f32, &str)> = lines
        .iter()
        .filter_map(|(at, line)| Some((*at, line.area.mid_y(), alone(line).filter(within_edges)?.text())))
        .filter(|(_, _, text)| text.contains(char::is_alphabetic) && !text.contains(':'))
        .collect();
    let within = |core: &std::ops::Range<usize>, y: f32| {
        let edge = |i: usize| samples.get(i).map(|s| s.y);
        edge(core.start).is_some_and(|top| y > top)
            && edge(core.end - 1).is_some_and(|last| y < last + 0.5 * em)
    };
    let found: Vec<Vec<&(usize, f32, &str)>> = cores
        .iter()
        .map(|core| named.iter().filter(|(_, y, _)| core.len() > 1 && within(core, *y)).collect())
        .collect();
    let count: usize = found.iter().map(Vec::len).sum();
    if found.iter().any(|own| own.len() != 1) || count != named.len() {
        return Vec::new();
    }
    let mut taken = Vec::new();
    for (core, (at, _, name)) in cores.iter().zip(found.into_iter().flatten()) {
        if let (Some(sample), Some(blank)) = (samples.get_mut(core.start), blank.get_mut(core.start)) {
            sample.fields.push((Field::SampleLabel, (*name).to_owned()));
            *blank = false;
            taken.push(*at);
        }
    }
    taken
}

/// `0-48 total`: a sum over the layers, and no layer.
pub fn is_sum(sample: &FoundSample) -> bool {
    let text = sample.field(Field::DepthTop).unwrap_or_default().to_lowercase();
    text.split(' ').any(|w| {
        matches!(
            w.trim_matches(['(', ')', '.', ',']),
            "total" | "sum" | "profile" | "summe" | "somme" | "suma"
        )
    })
}

fn layer(sample: &FoundSample) -> Option<Depth> {
    // Both of one table are counted alike, so that it does not matter in what.
    depth(sample.field(Field::DepthTop)?, sample.field(Field::DepthBottom), true)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(name: &str, layer: &str) -> FoundSample {
        let name = (!name.is_empty()).then(|| (Field::SampleLabel, name.to_owned()));
        let fields = name.into_iter().chain([(Field::DepthTop, layer.to_owned())]).collect();
        FoundSample { fields, ..FoundSample::default() }
    }

    fn names(mut rows: Vec<FoundSample>, blank: &[bool]) -> Vec<Option<String>> {
        name_deeper(&mut rows, blank);
        rows.iter().map(|r| r.field(Field::SampleLabel).map(str::to_owned)).collect()
    }

    #[test]
    fn a_layer_that_goes_on_has_the_name_of_the_one_above() {
        let rows = vec![row("Hob", "0-6 in"), row("", "6-24 in"), row("", "24-48 in"), row("", "0-6 in")];
        let hob = Some("Hob".to_owned());
        assert_eq!(names(rows, &[false, true, true, true]), [hob.clone(), hob.clone(), hob.clone(), None]);
        let unread = vec![row("Hob", "0-6 in"), row("", "6-24 in")];
        assert_eq!(names(unread, &[false, false]), [hob, None]);
    }

    #[test]
    fn a_cell_beside_the_layers_of_a_core_names_them_all() {
        let cores = |rows: &[(&str, &str, &str)]| {
            let mut samples: Vec<FoundSample> = rows
                .iter()
                .map(|(name, number, layer)| {
                    let mut sample = row(name, layer);
                    if !number.is_empty() {
                        sample.fields.push((Field::LabSample, (*number).to_owned()));
                    }
                    sample
                })
                .collect();
            let mut blank: Vec<bool> = rows.iter().map(|(name, ..)| name.is_empty()).collect();
            name_cores(&mut samples, &mut blank);
            let name = |s: &FoundSample| s.field(Field::SampleLabel).unwrap_or("?").to_owned();
            samples.iter().map(name).collect::<Vec<_>>().join(" ")
        };
        let middle = [
            ("", "1", "0-6"),
            ("Hob", "2", "6-24"),
            ("", "", "0-24"),
            ("", "3", "0-6"),
            ("Fern", "4", "6-24"),
            ("", "", "0-24"),
        ];
        assert_eq!(cores(&middle), "Hob Hob Fern Fern");
        let numbered = middle.map(|(name, _, layer)| (name, "9", layer));
        assert_eq!(cores(&numbered), "Hob Hob ? Fern Fern ?");
        let unnumbered = middle.map(|(name, _, layer)| (name, "", layer));
        assert_eq!(cores(&unnumbered), "Hob Hob ? Fern Fern ?");
        // A name in another row of one core, or one name twice, leaves all as they are.
        let [a, b, c, d, e, f] = middle;
        assert_eq!(cores(&[a, b, c, ("Fern", "3", "0-6"), ("", "4", "6-24"), f]), "? Hob ? Fern ? ?");
        assert_eq!(cores(&[a, b, c, d, ("Hob", "4", "6-24"), f]), "? Hob ? ? Hob ?");
        assert_eq!(cores(&[a, b, c]), "? Hob ?");
        assert_eq!(cores(&[a, b, c, d, e]), "? Hob ? ? Fern");
    }

    #[test]
    fn a_sum_is_no_layer() {
        assert!(is_sum(&row("", "0-48 total")) && !is_sum(&row("", "0-48 in")));
    }
}
