//! What programs write into table files: `Ca_NH4OAc_cmol_kg` over a column, `-9999` for what was not measured, lines of
//! remarks behind a number sign.

use super::super::label::label;
use super::super::layout::{Layout, Phrase};
use super::super::vocabulary::Context;
use crate::soil::Analyte;
use regex::Regex;
use std::borrow::Cow;
use std::sync::LazyLock;

/// `EC_1_5_mS_m` is `EC 1:5 mS/m`: a name without spaces, whose strokes and colons were written as the sign between its
/// words. Any other text stays as it is.
pub fn spelled(text: &str) -> Cow<'_, str> {
    let mut parts: Vec<String> = text.trim().split('_').map(str::to_owned).collect();
    if parts.len() < 3 || text.trim().contains(' ') || parts.iter().any(String::is_empty) {
        return Cow::Borrowed(text);
    }
    let unit = |text: &str| {
        let said = label(text, Context { symbols: false, capitals: false });
        said.unit.is_some() && said.unknown.is_empty() && said.analyte.is_none()
    };
    let pair = |parts: &[String], at: usize, sign: char| -> Option<String> {
        Some(format!("{}{sign}{}", parts.get(at)?, parts.get(at + 1)?))
    };
    // `uS_per_cm` spells the stroke out.
    let spelled_out = (1..parts.len().saturating_sub(1)).rev().find(|at| {
        parts.get(*at).is_some_and(|word| word.eq_ignore_ascii_case("per"))
            && over(&parts, at - 1, at + 1).is_some_and(|text| unit(&text))
    });
    if let Some(at) = spelled_out
        && let Some(text) = over(&parts, at - 1, at + 1)
    {
        parts.splice(at - 1..at + 2, [text]);
    }
    let per = (1..parts.len())
        .rev()
        .filter(|_| spelled_out.is_none())
        .find(|at| pair(&parts, *at, '/').is_some_and(|text| unit(&text)));
    if let Some(at) = per
        && let Some(text) = pair(&parts, at, '/')
    {
        parts.splice(at..at + 2, [text]);
    }
    // `1_2_5` may be 1:2.5, or two numbers.
    let figure = |part: &String| part.parse::<f32>().is_ok();
    let solution = |parts: &[String], at: usize| {
        let before = parts.get(..at).unwrap_or_default().join(" ");
        let said = label(&before, Context { symbols: true, capitals: false });
        matches!(said.analyte, Some(Analyte::Ph | Analyte::SolubleSalts))
    };
    let ratio = |at: &usize| {
        let one = solution(&parts, *at) && parts.get(*at).is_some_and(|p| p == "1");
        one && parts.get(*at + 1).is_some_and(figure) && !parts.get(*at + 2).is_some_and(figure)
    };
    if let Some(at) = (1..parts.len()).find(ratio)
        && let Some(text) = pair(&parts, at, ':')
    {
        parts.splice(at..at + 2, [text]);
    }
    // `1to1` behind pH or the conductivity are parts of soil and water.
    let slurry = (1..parts.len()).filter(|at| solution(&parts, *at)).find_map(|at| {
        let (soil, water) = parts.get(at)?.split_once("to")?;
        (soil == "1" && water.parse::<f32>().is_ok()).then(|| (at, format!("{soil}:{water}")))
    });
    if let Some((at, text)) = slurry {
        parts.splice(at..=at, [text]);
    }
    // `North_1_2` is a name.
    if per.is_none() && spelled_out.is_none() && !parts.iter().any(|p| p.contains(':')) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(parts.join(" "))
}

/// Two parts of a name with a stroke between them.
fn over(parts: &[String], above: usize, below: usize) -> Option<String> {
    Some(format!("{}/{}", parts.get(above)?, parts.get(below)?))
}

static MISSING: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)(?:^|\W)(-9{2,}(?:\.9+)?) *(?:=|:|is|means|stands for) *(?:(?:not|un)[ -]?(?:determined|measured|analy[sz]ed|tested|available|known)|no (?:data|value|result)|missing|null)").ok()
});

/// The sheets without the sign that they themselves say stands for no value, their remarks without a number sign.
pub(super) fn plain(mut pages: Vec<Layout>) -> Vec<Layout> {
    for page in pages.iter_mut().filter(|p| p.cells) {
        remarks(page);
        let text: Vec<&str> = page.lines.iter().flat_map(|l| &l.phrases).map(Phrase::text).collect();
        let sign = |text: &&str| Some(MISSING.as_ref()?.captures(text)?.get(1)?.as_str().to_owned());
        let signs: Vec<String> = text.iter().filter_map(sign).collect();
        if signs.is_empty() {
            continue;
        }
        for line in &mut page.lines {
            line.phrases.retain(|p| !signs.iter().any(|sign| sign == p.text()));
        }
        page.lines.retain(|l| !l.phrases.is_empty());
    }
    pages
}

/// Fewer words are a heading: `# Sample`.
const WORDS: usize = 4;

/// `# Extract for Moss Trust, Hobside; issued ...` at the top of a table file is one text, whatever commas stand in it.
fn remarks(page: &mut Layout) {
    for line in &mut page.lines {
        let text = line.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(", ");
        let Some(remark) = text.strip_prefix("# ").filter(|t| t.split(' ').count() >= WORDS) else { return };
        let Some(mut phrase) = line.phrases.first().cloned() else { return };
        phrase.tokens.truncate(1);
        if let Some(token) = phrase.tokens.first_mut() {
            token.text = remark.into();
        }
        line.phrases = vec![phrase];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_of_a_unit_and_parts_of_water_may_be_spelled_out() {
        assert_eq!(spelled("EC_1to1_uS_per_cm"), "EC 1:1 uS/cm");
        assert_eq!(spelled("CEC_cmol_per_kg"), "CEC cmol/kg");
        for other in ["Plants_per_row", "North_1to1_field", "K_pounds_per_person"] {
            assert_eq!(spelled(other), other);
        }
    }
}
