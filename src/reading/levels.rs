//! `Test   Level   Unit   Low - High`: a column of levels between what was measured and its unit, with what is wanted in a
//! column of its own, holds the results.

use super::layout::Layout;
use super::vocabulary::{Context, Role};

/// What a column of results may be called that elsewhere is one of wishes.
const LEVEL: &str = "level";

/// The pages with such headings said in full: `Level found`. Without a column for what is wanted beside it `Level` may be
/// just that, and with another for results it is.
pub fn told(mut pages: Vec<Layout>) -> Vec<Layout> {
    let context = Context { symbols: false, capitals: false };
    for line in pages.iter_mut().filter(|p| !p.cells).flat_map(|p| &mut p.lines) {
        let levels: Vec<usize> = (0..line.phrases.len())
            .filter(|i| line.phrases.get(*i).is_some_and(|p| p.text().eq_ignore_ascii_case(LEVEL)))
            .collect();
        if levels.is_empty() {
            continue;
        }
        let role = |i: Option<usize>| i.and_then(|i| line.phrases.get(i)).and_then(|p| p.label(context).role);
        let between = |i: &usize| {
            role(i.checked_sub(1)) == Some(Role::Analyte) && role(i.checked_add(1)) == Some(Role::Unit)
        };
        let wanted = |i: &usize| {
            let phrase = line.phrases.get(i + 2);
            phrase.is_some_and(|p| {
                let said = p.label(context);
                (said.decoy || said.rating || said.role.is_some()) && !said.is_result()
            })
        };
        let results = line.phrases.iter().any(|p| p.label(context).role == Some(Role::Result));
        if results || !levels.iter().all(|i| between(i) && wanted(i)) {
            continue;
        }
        for i in levels {
            if let Some(token) = line.phrases.get_mut(i).and_then(|p| p.tokens.first_mut()) {
                token.text = "Level found".into();
            }
        }
    }
    pages
}

#[cfg(test)]
mod tests {
    use super::super::layout::{Phrase, layout, tests::typed};
    use super::*;

    #[test]
    fn a_level_before_its_unit_and_beside_what_is_wanted_is_found() {
        let of = |line: &str| {
            let pages = told(vec![layout(&typed(&[line]))]);
            pages[0].lines[0].phrases.iter().map(Phrase::text).collect::<Vec<_>>().join("|")
        };
        let told = of("Test    Level    Unit    Low - High    Test    Level    Unit    Low - High");
        assert_eq!(told.matches("Level found").count(), 2, "{told}");
        for silent in [
            "Test    Level    Unit",
            "Test    Result   Unit    Level",
            "Test    Level    Unit    Result",
            "Level   Test     Unit    Low - High",
        ] {
            assert!(!of(silent).contains("found"), "{silent}");
        }
    }
}
