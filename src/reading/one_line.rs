//! Several printed lines of one row made one.

use super::layout::{Line, Phrase, Token};

/// Two names of people that a hyphen joins, broken behind it.
fn hyphened(first: &str, next: &str) -> bool {
    first.strip_suffix('-').is_some_and(|w| w.ends_with(char::is_lowercase))
        && next.starts_with(char::is_uppercase)
}

/// Lines made one: phrases that stand over each other are one phrase, read from top to bottom.
pub fn one_line(lines: &[Line]) -> Line {
    let mut columns: Vec<(Phrase, Vec<Token>)> = Vec::new();
    for phrase in lines.iter().flat_map(|l| &l.phrases) {
        match columns.iter_mut().find(|(p, _)| p.area.overlap_x(&phrase.area) > 0.0) {
            Some((first, tokens)) => {
                first.area = first.area.union(&phrase.area);
                first.marks.extend(phrase.marks.iter().cloned());
                let mut rest = phrase.tokens.as_slice();
                // `Walkley-` over `Black)` is one word with its hyphen.
                if let (Some(last), [next, more @ ..]) = (tokens.last_mut(), rest)
                    && hyphened(&last.text, &next.text)
                {
                    last.text.push_str(&next.text);
                    rest = more;
                }
                tokens.extend(rest.iter().cloned());
            }
            None => columns.push((phrase.clone(), phrase.tokens.to_vec())),
        }
    }
    let mut phrases: Vec<Phrase> =
        columns.into_iter().map(|(phrase, tokens)| Phrase { tokens: tokens.into(), ..phrase }).collect();
    phrases.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let area = phrases.iter().map(|p| p.area).reduce(|a, b| a.union(&b)).unwrap_or_default();
    Line { phrases, area, footnote: lines.iter().any(|l| l.footnote) }
}

#[cfg(test)]
mod tests {
    use super::super::layout::Phrase;
    use super::super::layout::layout;
    use super::super::rewrap::{rewrap, tests::set};

    #[test]
    fn a_hyphen_between_two_names_stays_where_the_line_breaks_behind_it() {
        let of = |first: &str, last: &str| {
            let page = rewrap(layout(&set(&[
                (0.0, "Clay                      26     %"),
                (20.0, first),
                (26.0, "                          2,9    %"),
                (33.0, last),
                (53.0, "Sand                      37     %"),
            ])));
            page.lines[1].phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" | ")
        };
        assert_eq!(of("Materia orgánica (Walkley-", "Black)"), "Materia orgánica (Walkley-Black) | 2,9 | %");
        assert_eq!(of("Materia orgánica (ox-", "idable)"), "Materia orgánica (ox- idable) | 2,9 | %");
    }
}
