//! Codes of a laboratory's own over columns, `PO` and `KA`, and the legend that explains them: `PO = Olsen P, ppm;
//! KA = K, ppm, ammonium acetate`.

use super::super::label::{label, year_of};
use super::super::layout::{Layout, Line};
use super::super::vocabulary::Context;
use rustc_hash::FxHashMap;

/// Fewer columns are no table.
const COLUMNS: usize = 3;

/// More letters are a word.
const LETTERS: usize = 8;

/// More letters with small ones among them are a word.
const SPOKEN_LETTERS: usize = 4;
/// So many codes with small letters are a legend.
const SPOKEN: usize = 2;

const PLAIN: Context = Context { symbols: false, capitals: false };

/// The pages with every code over a column in the words of the legend.
pub(super) fn spelled(mut pages: Vec<Layout>) -> Vec<Layout> {
    let codes = explained(&pages);
    if codes.is_empty() {
        return pages;
    }
    for line in pages.iter_mut().flat_map(|p| &mut p.lines).filter(|line| is_heading(line, &codes)) {
        for phrase in &mut line.phrases {
            let text = phrase.text().to_owned();
            let Some((meaning, year)) = meaning(&text, &codes) else { continue };
            let area = phrase.area;
            phrase.tokens.truncate(1);
            if let Some(token) = phrase.tokens.first_mut() {
                token.text = year.map_or_else(|| meaning.into(), |year| format!("{meaning} {year}").into());
                token.area = area;
            }
        }
    }
    pages
}

/// What a code means, and the year behind it.
fn meaning<'a, 'b>(
    text: &'b str,
    codes: &'a FxHashMap<String, String>,
) -> Option<(&'a str, Option<&'b str>)> {
    let (code, year) = match text.split_once(' ') {
        Some((code, year)) if year_of(year).is_some() => (code, Some(year)),
        Some(_) => return None,
        None => (text, None),
    };
    Some((codes.get(code)?.as_str(), year))
}

/// Several columns, most of them named for what a code or the vocabulary knows.
fn is_heading(line: &Line, codes: &FxHashMap<String, String>) -> bool {
    let known = |text: &str| {
        let said = label(text, Context { symbols: true, capitals: false });
        meaning(text, codes).is_some() || said.names_column() && said.unknown.is_empty()
    };
    let all = line.phrases.len();
    let figures = line.phrases.iter().any(|p| p.text().parse::<f64>().is_ok());
    all >= COLUMNS && !figures && line.phrases.iter().filter(|p| known(p.text())).count() * 2 >= all
}

/// Codes that name nothing by themselves, each with the measurement that a legend gives it; none that it gives two.
fn explained(pages: &[Layout]) -> FxHashMap<String, String> {
    let mut out: FxHashMap<String, Option<String>> = FxHashMap::default();
    let texts = pages.iter().flat_map(|p| &p.lines).flat_map(|l| &l.phrases).map(|p| p.text());
    for text in texts.filter(|text| text.contains(['=', ':'])) {
        for (code, meaning) in sentences(text).into_iter().filter_map(explains) {
            out.entry(code)
                .and_modify(|kept| {
                    if kept.as_ref() != Some(&meaning) {
                        *kept = None;
                    }
                })
                .or_insert(Some(meaning));
        }
    }
    let mut out: FxHashMap<String, String> =
        out.into_iter().filter_map(|(code, meaning)| Some((code, meaning?))).collect();
    // One word with a capital, explained, is a field of a form.
    let spoken = |code: &String| code.contains(char::is_lowercase);
    if out.keys().filter(|code| spoken(code)).count() < SPOKEN {
        out.retain(|code, _| !spoken(code));
    }
    out
}

/// What stands between semicolons, and between full stops behind which the next code is explained: `T = CEC. V = bases`.
fn sentences(text: &str) -> Vec<&str> {
    text.split(';')
        .flat_map(|part| STOPS.iter().find_map(|stop| cut(part, stop)).unwrap_or_else(|| vec![part]))
        .collect()
}

/// One space is what print has, two what typewriters have.
const STOPS: [&str; 2] = [".  ", ". "];

fn cut<'a>(text: &'a str, stop: &str) -> Option<Vec<&'a str>> {
    let parts: Vec<&str> = text.split(stop).collect();
    (parts.len() > 1 && parts.iter().all(|part| part.contains('='))).then_some(parts)
}

/// `KA = K ppm, ammonium acetate (NH4OAc)`: the code, and what it means as far as that is understood.
fn explains(text: &str) -> Option<(String, String)> {
    let (code, meaning) = text.split_once(['=', ':'])?;
    let stated = text.get(code.len()..).is_some_and(|rest| rest.starts_with('='));
    let code = code.trim();
    let count = code.chars().count();
    let opens = code.starts_with(|c: char| c.is_ascii_uppercase());
    let short = (if stated { 1 } else { 2 }..=LETTERS).contains(&count);
    let shouted = opens && code.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
    // `Pt: phosphorus, mg P/100 g`.
    let spoken = opens
        && !shouted
        && (2..=SPOKEN_LETTERS).contains(&count)
        && code.chars().all(|c| c.is_ascii_alphabetic());
    let own = label(code, PLAIN);
    let known = own.known()
        || own.unknown.is_empty()
        || label(code, Context { symbols: true, capitals: true }).known();
    if !short || !(shouted || spoken) || known {
        return None;
    }
    let named = |text: &&str| {
        let said = label(text, Context { symbols: true, capitals: false });
        // `AB: P` may be anybody's letters.
        let told = text.len() > 1 || stated;
        // `Soil: Sand` is a field of a form: what a unit is told of is measured.
        let measured = !spoken || said.unit.is_some();
        told && measured && said.is_result() && said.unknown.is_empty() && said.methods.len() < 2
    };
    // What stands in brackets may go on about it: `nitrate-N, lb/ac (ppm x 2)`.
    let whole = meaning.trim().trim_end_matches('.');
    let before = whole.split('(').next().map(str::trim);
    let meaning = std::iter::once(whole).chain(before).find(named)?;
    Some((code.to_owned(), meaning.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_legend_explains_what_it_names_in_full() {
        let of = |text: &str| explains(text).map(|(code, meaning)| format!("{code}|{meaning}"));
        assert_eq!(of("QP = Olsen P (mg/kg)").as_deref(), Some("QP|Olsen P (mg/kg)"));
        assert_eq!(of(" QK: potassium, ppm.").as_deref(), Some("QK|potassium, ppm"));
        assert_eq!(
            of("Qt: phosphorus, mg P/100 g, Olsen").as_deref(),
            Some("Qt|phosphorus, mg P/100 g, Olsen")
        );
        assert_eq!(of("T = potassium, ppm").as_deref(), Some("T|potassium, ppm"));
        assert_eq!(of("QK = K ppm (acetate, see overleaf)").as_deref(), Some("QK|K ppm"));
        for text in [
            "QB: P. Abel ppm",
            "T: potassium, ppm",
            "Qt: Sand",
            "Quern: potassium, ppm",
            "QB: P",
            "QP = P wanted, ppm",
            "QP = recommended P, lb/ac",
            "qp = Olsen P, ppm",
            "EC = 1:1",
        ] {
            assert_eq!(of(text), None, "{text}");
        }
    }

    #[test]
    fn codes_with_small_letters_are_explained_where_several_are() {
        use super::super::super::layout::tests::typed;
        let of = |lines: &[&str]| explained(&[super::super::super::layout::layout(&typed(lines))]).len();
        assert_eq!(of(&["Qt: phosphorus, mg P/100 g", "Xt: potassium, mg K/100 g"]), 2);
        assert_eq!(of(&["Bed: potassium, mg K/100 g"]), 0);
    }

    #[test]
    fn sentences_that_explain_a_code_each_are_parted() {
        assert_eq!(sentences("Q = CEC.  X = potassium, ppm."), ["Q = CEC", "X = potassium, ppm."]);
        assert_eq!(sentences("QP = Olsen P. See overleaf"), ["QP = Olsen P. See overleaf"]);
    }
}
