//! Whose a recommendation is: the sample its row names, or the only one it can be.

use super::FoundNitrogen;
use crate::soil::{Doubt, Recommendation};

/// A sample of the document, as far as a recommendation may find it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Owner {
    /// Page it is read from.
    pub page: u32,
    /// Height on the page, points.
    pub y: f32,
    /// Its name.
    pub label: String,
    /// The laboratory's number for it.
    pub lab_number: Option<String>,
}

/// The recommendations of each owner, in the order of the owners. What two could mean is given to the nearer with a
/// doubt; several for one sample are all in doubt.
pub fn attach(found: &[FoundNitrogen], owners: &[Owner]) -> Vec<Vec<Recommendation>> {
    let mut out: Vec<Vec<Recommendation>> = owners.iter().map(|_| Vec::new()).collect();
    for one in found {
        let Some((at, sure)) = owner(one, owners) else { continue };
        let mut nitrogen = one.nitrogen.clone();
        if !sure {
            nitrogen
                .doubts
                .push(Doubt::new("sample-unsure", "It is not clear which sample this nitrogen is for."));
        }
        if let Some(own) = out.get_mut(at) {
            own.push(nitrogen);
        }
    }
    for own in out.iter_mut().filter(|own| own.len() > 1) {
        let alternatives: Vec<String> = own.iter().map(Recommendation::said).collect();
        for nitrogen in own.iter_mut() {
            let mut doubt = Doubt::new("several", "Several amounts of nitrogen are printed for this sample.");
            doubt.alternatives.clone_from(&alternatives);
            nitrogen.doubts.push(doubt);
        }
    }
    out
}

fn key(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The owner and whether it is sure.
fn owner(found: &FoundNitrogen, owners: &[Owner]) -> Option<(usize, bool)> {
    let called = |name: &str| -> Vec<usize> {
        let name = key(name);
        let is = |o: &Owner| key(&o.label) == name || o.lab_number.as_deref().is_some_and(|n| key(n) == name);
        owners.iter().enumerate().filter(|(_, o)| !name.is_empty() && is(o)).map(|(at, _)| at).collect()
    };
    let mut named: Vec<usize> = Vec::new();
    for name in &found.names {
        let these = called(name);
        // Name and number of a row mean one sample together.
        named = if named.is_empty() { these } else { narrowed(named, &these) };
    }
    if found.names.is_empty() {
        named = called(&found.nitrogen.crop);
    }
    match named.as_slice() {
        [one] => return Some((*one, true)),
        [first, ..] => return Some((*first, false)),
        [] => {}
    }
    let unnamed = found.names.is_empty();
    if owners.len() == 1 {
        return Some((0, unnamed));
    }
    let here: Vec<usize> =
        owners.iter().enumerate().filter(|(_, o)| o.page == found.page).map(|(at, _)| at).collect();
    if let [only] = here.as_slice() {
        return Some((*only, unnamed));
    }
    let above = |o: &Owner| o.page < found.page || o.page == found.page && o.y <= found.y;
    let nearest = owners.iter().rposition(above).or_else(|| (!owners.is_empty()).then_some(0));
    nearest.map(|at| (at, false))
}

fn narrowed(before: Vec<usize>, these: &[usize]) -> Vec<usize> {
    let both: Vec<usize> = before.iter().copied().filter(|at| these.contains(at)).collect();
    if both.is_empty() && these.is_empty() { before } else { both }
}
