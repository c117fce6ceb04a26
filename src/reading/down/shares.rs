//! Shares of the exchange complex in one running line: `Base saturation: Ca 61 %, Mg 13 %, K 3.6 %`.

use super::super::atom::{Atom, Kind};
use super::super::label::label;
use super::super::layout::Token;
use super::super::number::{Decimal, PrintedNumber, number};
use super::super::vocabulary::Context;

/// So many shares in a line are a list of them.
const SHARES: usize = 3;

/// A pair of the line: the name, the figure, and the percent sign behind it.
struct Pair {
    name: Vec<Token>,
    figure: Token,
    number: PrintedNumber,
    sign: Option<Token>,
}

/// The line with its shares taken apart, the heading first; none where it holds anything else. The heading stands in the
/// line, or is all of the line over it. Without one a list may as well be one of what is wished for.
pub fn apart(atoms: &[Atom], over: &[Atom], decimal: Decimal, context: Context) -> Option<Vec<Atom>> {
    let words: Vec<Token> = atoms.iter().flat_map(|a| &a.tokens).flat_map(words_of).collect();
    if words.len() < 2 * SHARES {
        return None;
    }
    let (head, list) = match heading(&words, context) {
        Some(head) => words.split_at_checked(head).map(|(head, list)| (head.to_vec(), list))?,
        None => {
            let above: Vec<Token> = over.iter().flat_map(|a| &a.tokens).flat_map(words_of).collect();
            heading(&above, context).filter(|count| *count == above.len())?;
            (above, words.as_slice())
        }
    };
    let pairs = pairs(list, decimal, context)?;
    if pairs.len() < SHARES {
        return None;
    }
    let mut out: Vec<Atom> = Vec::new();
    out.extend(Atom::new(Kind::Text, head));
    for Pair { name, figure, number, sign } in pairs {
        out.extend(Atom::new(Kind::Text, name));
        out.extend(Atom::new(Kind::Number(number), vec![figure]));
        out.extend(sign.and_then(|sign| Atom::new(Kind::Text, vec![sign])));
    }
    Some(out)
}

/// The words of a token; a percent sign behind a figure and marks between pairs are words of their own.
fn words_of(token: &Token) -> Vec<Token> {
    let part = |text: &str| Token { text: text.into(), ..token.clone() };
    let mut out = Vec::new();
    for word in token.text.split(' ').filter(|w| !w.is_empty()) {
        let bare = word.trim_end_matches([',', ';']);
        match bare.strip_suffix('%').filter(|figure| figure.ends_with(|c: char| c.is_ascii_digit())) {
            // `Ca=61%` and `Ca:61%` hold the name too.
            Some(figure) => match figure.split_once(['=', ':']) {
                Some((name, figure)) => out.extend([part(name), part(figure), part("%")]),
                None => out.extend([part(figure), part("%")]),
            },
            None if bare.is_empty() || matches!(bare, "|" | "/" | "=" | "-" | "·" | "•") => {}
            None => out.push(part(bare)),
        }
    }
    out
}

/// How many words are the heading: those that say `base saturation` and no more.
fn heading(words: &[Token], context: Context) -> Option<usize> {
    const MOST: usize = 6;
    let said = |count: usize| {
        let text: Vec<&str> = words.iter().take(count).map(|t| t.text.as_str()).collect();
        let said = label(&text.join(" "), Context { symbols: false, ..context });
        said.saturation && said.analyte.is_none() && said.unknown.is_empty() && !said.decoy
    };
    (1..=MOST.min(words.len())).rev().find(|count| said(*count))
}

/// The line as pairs of a cation and its figure, or none where anything else stands in it.
fn pairs(words: &[Token], decimal: Decimal, context: Context) -> Option<Vec<Pair>> {
    let mut out: Vec<Pair> = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let figure_at = (at + 1..(at + 4).min(words.len()))
            .find(|i| words.get(*i).is_some_and(|w| is_figure(w, decimal)))?;
        let name = words.get(at..figure_at)?;
        let figure = words.get(figure_at)?;
        let said = label(&super::super::layout::joined(name), Context { symbols: true, ..context });
        let cation = said.analyte.is_some_and(|a| a.saturation().is_some() || a.is_share());
        let plain = said.unknown.is_empty() && !said.several && !said.decoy;
        if !cation || !plain || said.unit.as_ref().is_some_and(|u| u.0 != "%") {
            return None;
        }
        let sign = words.get(figure_at + 1).filter(|w| w.text == "%");
        at = figure_at + 1 + usize::from(sign.is_some());
        out.push(Pair {
            name: name.to_vec(),
            figure: figure.clone(),
            number: number(&figure.text, decimal)?,
            sign: sign.cloned(),
        });
    }
    Some(out)
}

fn is_figure(word: &Token, decimal: Decimal) -> bool {
    number(&word.text, decimal)
        .is_some_and(|n| n.qualifier.is_none() && n.rating.is_none() && n.odd.is_none())
}

#[cfg(test)]
mod tests {
    use super::super::super::atom::atoms;
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn cut(line: &str) -> Option<Vec<String>> {
        under("Soils", line)
    }

    fn under(over: &str, line: &str) -> Option<Vec<String>> {
        let page = layout(&typed(&[over, line]));
        let [over, atoms] = [0, 1].map(|i| atoms(&page.lines[i], Decimal::Point));
        let context = Context { symbols: true, capitals: false };
        Some(apart(&atoms, &over, Decimal::Point, context)?.into_iter().map(|a| a.text).collect())
    }

    #[test]
    fn the_heading_of_a_list_may_stand_over_it_and_says_nothing_else() {
        let list = "  K 1.9     Ca 73.4     Mg 13.0     Na 0.7";
        let found = under("Base saturation %", list).unwrap_or_default();
        assert_eq!(found.get(1..).unwrap_or_default(), ["K", "1.9", "Ca", "73.4", "Mg", "13.0", "Na", "0.7"]);
        for over in ["Desired base saturation %", "Exchangeable cations", "CEC 12   Base saturation %"] {
            assert_eq!(under(over, list), None, "{over}");
        }
        assert_eq!(under("Base saturation %", "K 1.9   Ca 73.4   Bulk density 1.1"), None);
    }

    #[test]
    fn a_running_line_of_shares_comes_apart() {
        let parts = ["Ca", "61", "%", "Mg", "13", "%", "K", "3.6", "%"];
        for line in [
            "Base saturation: Ca 61% Mg 13% K 3.6%",
            "Base saturation:   Ca 61%,   Mg 13%,   K 3.6%",
            "Base saturation (%): Ca 61 %; Mg 13 %; K 3.6 %",
            "Base saturation: Ca=61%, Mg=13%, K=3.6%",
        ] {
            let found = cut(line).unwrap_or_default();
            assert_eq!(found.get(1..).unwrap_or_default(), parts, "{line}");
        }
        let bare = cut("% base saturation   K 3.6   Mg 13   Ca 61   H 22.4").unwrap_or_default();
        assert_eq!(bare.get(1..).unwrap_or_default(), ["K", "3.6", "Mg", "13", "Ca", "61", "H", "22.4"]);
    }

    #[test]
    fn what_is_wished_for_and_what_holds_other_words_stays_whole() {
        for line in [
            "Desired base saturation: Ca 68% Mg 12% K 4%",
            "Base saturation: Ca 65-75% Mg 10-15% K 2-5%",
            "Base saturation: Ca 68% Mg 12%",
            "Base saturation should be Ca 68% Mg 12% K 4%",
            "Ca 61% Mg 13% K 3.6% H 22.4%",
            "Base saturation: Ca 61% Mg 13% K 3.6% lime 2 ton",
        ] {
            assert_eq!(cut(line), None, "{line}");
        }
    }
}
