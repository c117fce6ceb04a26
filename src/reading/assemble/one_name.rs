//! One printed name that several forms of a document would take: boxes whose own titles were not read as names.

use super::super::across::doubt_all;
use super::super::found::{Found, FoundSample};
use super::super::gather::Gathered;
use super::super::header::depth;
use super::super::vocabulary::Field;
use super::forms::{Forms, is_form};
use super::value::value;
use crate::soil::{Depth, Doubt};
use std::collections::HashMap;

/// How far, in points, the left edges of forms one below the other differ at most.
const SAME_EDGE: f32 = 12.0;

/// Forms of one name that a form is compared with; a long document must not take the square of its length.
const FORMS_OF_A_NAME: usize = 64;

/// Forms that take one name of the page and measure the same with unlike results are of several samples, whatever numbers
/// and laboratories stand beside them. Only the form right below the name may be the one that it names.
pub(super) fn doubt_forms(gathered: &Gathered, forms: &Forms, found: &mut [FoundSample]) {
    // The very words of the page, and not their like elsewhere.
    let mut by_words: HashMap<*const u8, Vec<usize>> = HashMap::new();
    for (i, sample) in found.iter().enumerate() {
        let own = sample.field(Field::SampleLabel).is_some() || !is_form(sample) || sample.lone;
        let name = value(gathered, forms, sample, Field::SampleLabel).filter(|name| !own && !name.is_empty());
        by_words.entry(name.map_or(std::ptr::null(), str::as_ptr)).or_default().push(i);
    }
    by_words.remove(&std::ptr::null());
    let mut doubted: Vec<usize> = Vec::new();
    for (words, places) in by_words.into_iter().filter(|(_, places)| places.len() > 1) {
        let mut group: Vec<(usize, &FoundSample)> =
            places.iter().filter_map(|i| Some((*i, found.get(*i)?))).collect();
        group.sort_by(|(_, a), (_, b)| a.page.cmp(&b.page).then(a.y.total_cmp(&b.y)));
        let over = gathered.fields.iter().find(|f| f.text.as_ptr() == words);
        for (at, (place, own)) in group.iter().enumerate() {
            let below =
                |s: &FoundSample| s.page > own.page || (s.x - own.x).abs() < SAME_EDGE && s.y > own.y + 1.0;
            let named = at == 0
                && over.is_some_and(|name| name.page == own.page && name.area.y0 <= own.y + 1.0)
                && group.iter().skip(1).all(|(_, s)| below(s));
            let other = |(_, s): &(usize, &FoundSample)| {
                !std::ptr::eq(*own, *s) && contradict(own, s) && !told_apart(gathered, forms, own, s)
            };
            let from = at.saturating_sub(FORMS_OF_A_NAME / 2);
            if !named && group.iter().skip(from).take(FORMS_OF_A_NAME).any(other) {
                doubted.push(*place);
            }
        }
    }
    for place in doubted {
        let Some(sample) = found.get_mut(place) else { continue };
        let name = value(gathered, forms, sample, Field::SampleLabel).unwrap_or_default();
        let doubt = Doubt::new(
            "sample-unnamed",
            format!(
                "`{name}` stands over several tables that measure the same; this one may be of another sample."
            ),
        );
        doubt_all(std::slice::from_mut(sample), Some(&doubt));
    }
}

/// True where two forms have unlike numbers for one measurement.
fn contradict(a: &FoundSample, b: &FoundSample) -> bool {
    let same =
        |r: &Found, o: &Found| r.label.analyte == o.label.analyte && r.label.methods == o.label.methods;
    let unlike = |r: &Found, o: &Found| r.printed != o.printed;
    a.readings.iter().any(|r| b.readings.iter().any(|o| same(r, o) && unlike(r, o)))
}

/// True where the forms themselves say that they are of unlike days, or of layers of which none reaches into the other.
fn told_apart(gathered: &Gathered, forms: &Forms, a: &FoundSample, b: &FoundSample) -> bool {
    let get = |s: &FoundSample, field| value(gathered, forms, s, field).map(str::to_owned);
    let day = |s: &FoundSample| get(s, Field::SampledOn);
    if day(a).zip(day(b)).is_some_and(|(a, b)| a != b) {
        return true;
    }
    // Rows and columns of one table each have their own.
    let own = |s: &FoundSample| {
        [Field::DepthTop, Field::DepthBottom].map(|f| s.field(f).unwrap_or_default().to_owned())
    };
    let told = |s: &FoundSample| own(s).iter().any(|edge| !edge.is_empty());
    if told(a) && told(b) && own(a) != own(b) {
        return true;
    }
    let layer = |s: &FoundSample| -> Option<Depth> {
        let bottom = get(s, Field::DepthBottom);
        depth(&get(s, Field::DepthTop)?, bottom.as_deref(), gathered.inches_spoken)
    };
    match layer(a).zip(layer(b)) {
        Some((a, b)) => a.top_cm >= b.bottom_cm || b.top_cm >= a.bottom_cm,
        // A layer that is not understood waits for other reasons.
        None => [Field::DepthTop, Field::DepthBottom].into_iter().any(|f| get(a, f) != get(b, f)),
    }
}
