//! Remarks over an export that explain the names of its columns: `# PHW pH in water`, `# EXCA EXMG exchangeable Ca, Mg,
//! cmol/kg`, and below `SITE | PHW | EXCA | EXMG`. The mark before the words of other remarks goes.

use super::super::label::label;
use super::super::layout::{Layout, Line};
use super::super::vocabulary::Context;
use super::table::in_words;
use std::collections::HashMap;

/// So many columns are explained.
const CODES: usize = 3;
/// So many of them measure something.
const MEASURED: usize = 2;
/// So many lines open with a mark.
const MARKED: usize = 2;

const CONTEXT: Context = Context { symbols: true, capitals: false };

/// The pages with every column that a remark explains in its words, and without the remarks that do.
pub(super) fn written_out(mut pages: Vec<Layout>) -> Vec<Layout> {
    for page in pages.iter_mut().filter(|p| p.cells) {
        let remarks = page.lines.iter().filter(|l| remark(l).is_some()).count();
        if remarks < MARKED {
            continue;
        }
        // Remarks that explain nothing stay as they are: other rules know sentences behind such a mark.
        if spell(page) {
            without_marks(page);
        }
    }
    pages
}

/// The words of a line that opens with a mark and a space, its cells parted by commas as they were.
fn remark(line: &Line) -> Option<String> {
    let first = line.phrases.first()?.text().strip_prefix("# ")?;
    let rest = line.phrases.iter().skip(1).map(|p| p.text());
    first
        .starts_with(char::is_alphanumeric)
        .then(|| std::iter::once(first).chain(rest).collect::<Vec<_>>().join(", "))
}

/// True where columns were spelled out.
fn spell(page: &mut Layout) -> bool {
    let figure = |t: &str| t.starts_with(|c: char| c.is_ascii_digit() || c == '-');
    let heads = |l: &Line| {
        remark(l).is_none() && l.phrases.len() > CODES && !l.phrases.iter().any(|p| figure(p.text()))
    };
    let Some(at) = page.lines.iter().position(heads) else { return false };
    let Some(heading) = page.lines.get(at) else { return false };
    let columns: Vec<&str> = heading.phrases.iter().map(|p| p.text()).collect();
    let mut meanings: HashMap<String, Option<String>> = HashMap::new();
    let mut explains = Vec::new();
    for line in page.lines.iter().take(at) {
        let found = remark(line).map(|text| explained(&text, &columns)).unwrap_or_default();
        explains.push(!found.is_empty());
        for (code, said) in found {
            meanings
                .entry(code)
                .and_modify(|kept| *kept = kept.take().filter(|kept| Some(kept) == said.as_ref()))
                .or_insert(said);
        }
    }
    let measured = meanings.values().flatten().filter(|meaning| label(meaning, CONTEXT).is_result()).count();
    if meanings.len() < CODES || measured < MEASURED {
        return false;
    }
    if let Some(heading) = page.lines.get_mut(at) {
        for phrase in &mut heading.phrases {
            let Some(Some(said)) = meanings.get(phrase.text()) else { continue };
            phrase.tokens.truncate(1);
            if let Some(token) = phrase.tokens.first_mut() {
                token.text = said.into();
            }
        }
    }
    let mut explains = explains.into_iter();
    page.lines.retain(|_| !explains.next().unwrap_or(false));
    true
}

/// The columns that a remark opens with, each with its meaning; none where it is not clear which word is whose.
fn explained(text: &str, columns: &[&str]) -> Vec<(String, Option<String>)> {
    let is_code = |w: &&str| w.len() > 1 && columns.iter().filter(|c| *c == w).count() == 1;
    let codes: Vec<&str> = text.split(' ').take_while(is_code).collect();
    let meaning = text.split(' ').skip(codes.len()).collect::<Vec<_>>().join(" ");
    if codes.is_empty() || meaning.is_empty() {
        return Vec::new();
    }
    let each = in_turn(&meaning, codes.len());
    let said = |(i, code): (usize, &&str)| match &each {
        Some(each) => each.get(i).cloned(),
        None => in_words(code, &meaning, codes.len() == 1),
    };
    codes.iter().enumerate().map(|pair| (pair.1.to_string(), said(pair))).collect()
}

/// `exchangeable Ca, Mg, K, ammonium acetate` of three columns: each has its own word, with those before and behind all.
fn in_turn(meaning: &str, count: usize) -> Option<Vec<String>> {
    let parts: Vec<&str> = meaning.split(", ").collect();
    let (own, behind) = parts.split_at_checked(count).filter(|_| count > 1)?;
    let (first, others) = own.split_first()?;
    let (before, first) = first.rsplit_once(' ').unwrap_or(("", first));
    let words: Vec<&str> = std::iter::once(first).chain(others.iter().copied()).collect();
    let measures = |w: &&str| {
        let said = label(w, CONTEXT);
        said.is_result() && said.unknown.is_empty() && !w.contains(' ')
    };
    let mut unlike = words.clone();
    unlike.sort_unstable();
    unlike.dedup();
    (words.iter().all(measures) && unlike.len() == count).then(|| {
        let whole = |w: &&str| {
            let named = [before, w].join(" ");
            std::iter::once(named.trim()).chain(behind.iter().copied()).collect::<Vec<_>>().join(", ")
        };
        words.iter().map(whole).collect()
    })
}

/// `# Client: Moss Trust` is a line of a form.
fn without_marks(page: &mut Layout) {
    for line in &mut page.lines {
        if remark(line).is_none() {
            continue;
        }
        if let Some(phrase) = line.phrases.first_mut() {
            match phrase.tokens.first().map(|t| t.text == "#" && phrase.tokens.len() > 1) {
                Some(true) => drop(phrase.tokens.remove(0)),
                _ => {
                    if let Some(token) = phrase.tokens.first_mut() {
                        token.text = token.text.trim_start_matches("# ").into();
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_remark_explains_the_columns_that_it_opens_with() {
        let columns = ["SITE", "PHW", "XCA", "XMG", "SAND", "CLAY"];
        let of = |text: &str| explained(text, &columns);
        let pair = |code: &str, said: &str| (code.to_owned(), Some(said.to_owned()));
        assert_eq!(of("PHW pH in water 1:2.5"), [pair("PHW", "pH in water 1:2.5")]);
        assert_eq!(
            of("XCA XMG exchangeable Ca, Mg, ammonium acetate, cmol/kg"),
            [
                pair("XCA", "exchangeable Ca, ammonium acetate, cmol/kg"),
                pair("XMG", "exchangeable Mg, ammonium acetate, cmol/kg")
            ]
        );
        assert_eq!(
            of("SAND CLAY pipette, %"),
            [pair("SAND", "SAND, pipette, %"), pair("CLAY", "CLAY, pipette, %")]
        );
        // Three words for two columns, or one for both.
        assert_eq!(of("XCA XMG exchangeable Ca, ppm"), [("XCA".to_owned(), None), ("XMG".to_owned(), None)]);
        assert_eq!(of("Client: Moss Trust"), []);
    }
}
