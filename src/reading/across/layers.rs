//! Layers of one core: its name stands once, beside the topmost, and each layer begins where the one above ends.

use super::super::found::FoundSample;
use super::super::header::{depth, depth_unit};
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
    fn a_sum_is_no_layer() {
        assert!(is_sum(&row("", "0-48 total")) && !is_sum(&row("", "0-48 in")));
    }
}
