//! Soil profiles: `Profile UT-03: Haplic Luvisol` over a table of its horizons names all of its rows.

use super::super::found::FoundSample;
use super::super::layout::Layout;
use super::super::vocabulary::Field;
use super::FieldValue;
use super::cards::unlike;
use regex::Regex;
use std::sync::LazyLock;

/// A word for a pit that was dug and described, its code, and what soil it is.
static PROFILE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"^(?i:(?:soil )?profile|(?:soil )?pit|bodenprofil|profil|perfil|profilo|profiel|calicata|pedon)(?: (?i:no\.?|nr\.?))? ([A-Z]{0,4}[-/ ]?[0-9]{1,4}[a-z]?)(?:(?::| -|,) ?(\p{L}[^0-9:]*))?$",
    )
    .ok()
});

/// More words do not name a soil.
const MOST_WORDS: usize = 6;

/// Gives the rows of horizons, which have a number of the laboratory's and a layer and no name, the name of the profile over
/// them. A line of words below the first of its horizons ends a profile: what stands under that is of something else.
pub fn name_horizons(samples: &mut [FoundSample], profiles: &[FieldValue], pages: &[Layout]) {
    let rows: Vec<(u32, f32)> = samples.iter().map(|s| (s.page, s.y)).collect();
    let ended = |profile: &FieldValue, y: f32| {
        let own = rows.iter().filter(|(page, row)| *page == profile.page && *row > profile.area.y0);
        let first = own.map(|(_, row)| *row).fold(f32::INFINITY, f32::min);
        let lines = pages.iter().filter(|p| p.number == profile.page).flat_map(|p| &p.lines);
        let mut between = lines.filter(|l| l.area.mid_y() > first && l.area.mid_y() < y);
        between.any(|l| matches!(l.phrases.as_slice(), [one] if one.text().contains(char::is_alphabetic)))
    };
    for sample in samples {
        let horizon = [Field::LabSample, Field::DepthTop].iter().all(|f| sample.field(*f).is_some());
        if !horizon || sample.field(Field::SampleLabel).is_some() {
            continue;
        }
        let over = profiles.iter().filter(|p| p.page == sample.page && p.area.y0 < sample.y);
        let nearest = over.max_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
        if let Some(profile) = nearest.filter(|profile| !ended(profile, sample.y)) {
            sample.fields.push((Field::SampleLabel, profile.text.clone()));
        }
    }
}

/// The codes of the profiles of a document, two at least and no two alike, as names of samples.
pub fn profiles(pages: &[Layout]) -> Vec<FieldValue> {
    let code = |text: &str| {
        let found = PROFILE.as_ref()?.captures(text)?;
        let soil = found.get(2).map_or("", |m| m.as_str());
        (soil.split(' ').count() <= MOST_WORDS).then(|| found.get(1).map(|m| m.as_str().to_owned()))?
    };
    let found: Vec<FieldValue> = pages
        .iter()
        .flat_map(|page| page.lines.iter().map(move |line| (page, line)))
        .filter_map(|(page, line)| {
            let [title] = line.phrases.as_slice() else { return None };
            let text = code(title.text().trim_end_matches('.'))?;
            Some(FieldValue {
                field: Field::SampleLabel,
                text,
                page: page.number,
                area: title.area,
                firm: true,
            })
        })
        .collect();
    if unlike(&found) { found } else { Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    #[test]
    fn the_codes_of_profiles_name_them() {
        let of = |first: &str, second: &str| {
            let pages = [layout(&typed(&[first])), layout(&typed(&[second]))];
            profiles(&pages).into_iter().map(|f| f.text).collect::<Vec<_>>()
        };
        assert_eq!(of("Profile UT-03: Haplic Luvisol", "Profile UT-07: Eutric Cambisol"), ["UT-03", "UT-07"]);
        assert_eq!(of("Soil pit 3", "Soil pit 4"), ["3", "4"]);
        for second in ["Profile UT-03: Eutric Cambisol", "Profile of the laboratory", "Profile 7: see page 2"]
        {
            assert_eq!(of("Profile UT-03: Haplic Luvisol", second), [""; 0], "{second}");
        }
    }
}
