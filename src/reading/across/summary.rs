//! Rows that by their name hold a mean, a limit or a control, and are no sample.

use super::super::atom::{Atom, Kind};
use super::super::found::FoundSample;
use super::super::vocabulary::Field;
use super::super::words::List;
use super::{control, statistic};
use crate::soil::Doubt;
use regex::Regex;
use std::sync::LazyLock;

/// Rows that summarise or control: never a sample.
static SUMMARY: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)^((?:(?:grand|overall|weighted|state|county|district|regional|national) )?(?:average|avg\.?|mean|median)(?: (?:of|over|for)\b.*| values?)?|minimum|min\.?|maximum|max\.?|std\.? ?dev\.?|standard deviation|sd|expected(?: values?)?|certified(?: values?)?|reference values?|true values?|lsd\b.*|cv(?:[^\w-].*|-[^0-9].*)?|c\.v\.?|recovery\b.*|n|re-?run|range|totals?(?: (?:of|for|over)\b.*)?|sums?(?: (?:of|for|over)\b.*)?|qc\b.*|check (?:sample|soil).*|control(?: (?:sample|soil|standard|chart).*)?|reference (?:soil|sample).*|(?:(?:lab|method|reagent|field|digest(?:ion)?) )?blank|(?:lab )?duplicate(?:s|(?: of)?\b.* \d.*)?|.*\bduplicate\)?$|.*\(dup\.?\)$|.*\bdup\.?$|spike\b.*|standard|(?:your )?(?:county|district)(?: (?:average|mean|median|summary|figures?|values?))?|(?:optimum|desired|target|goal|critical|sufficien(?:t|cy)|rating|ideal|spec(?:ification|\.)?|guideline|guide|recommended|requirement|tolerance|acceptable|permitted|allowed)s?(?: (?:ph|range|level|value|limit|index|concentration)s?)*|detection limit|reporting limit|unit|units|method|methods|mittelwert|moyenne|promedio|low|medium|high)$").ok()
});

/// True for the name of a row that is no sample.
pub fn is_summary(name: &str) -> bool {
    SUMMARY.as_ref().is_some_and(|r| r.is_match(name.trim()))
        || statistic::is_statistic(name)
        || control::is_control(name)
}

/// `Low`, `Control` with a number of the laboratory's own beside it: a plot may be called so, and was in a bag then.
pub(super) fn numbered_plot(sample: &FoundSample) -> bool {
    let named = |f| sample.field(f).unwrap_or_default();
    List::Plot.has(&named(Field::SampleLabel).to_lowercase())
        && named(Field::LabSample).contains(|c: char| c.is_ascii_digit())
}

/// `>= 85`, `35 - 55`: what is asked of a soil, and no laboratory writes for what it found.
fn is_asked(atom: &Atom) -> bool {
    let signed = |sign: &&str| atom.text.trim_start().starts_with(*sign);
    matches!(atom.kind, Kind::Range)
        || atom.number().is_some() && ["<=", ">=", "≤", "≥", "=<", "=>"].iter().any(signed)
}

/// True where most of the figures beside one name are ends of ranges: two at least.
pub fn asks<'a>(cells: impl Iterator<Item = &'a Atom>) -> bool {
    let (mut asked, mut all) = (0, 0);
    for atom in cells.filter(|a| a.number().is_some() || matches!(a.kind, Kind::Range)) {
        all += 1;
        asked += usize::from(is_asked(atom));
    }
    asked > 1 && asked * 2 > all
}

pub(super) fn plot_perhaps() -> Doubt {
    Doubt::new(
        "row-of-a-statistic",
        "This row may be a sample, or a limit or a control of the laboratory's own.",
    )
}
