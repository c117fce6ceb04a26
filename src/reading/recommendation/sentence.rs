//! Recommendations in sentences: `Apply 3 lb N per 1000 sq ft a year`, `Nitrogen recommendation: 130 lb/acre`.

use super::caption::at_a_time;
use super::{Amount, FoundNitrogen};
use crate::reading::layout::{Layout, Line, Token, place_of};
use crate::reading::number::{Decimal, number};
use crate::soil::{Doubt, RateUnit};
use regex::Regex;
use std::sync::LazyLock;

/// Between two phrases of a line: columns, so that a number of one is not that of the other.
const COLUMN: &str = "|";

static AMOUNT: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)(?:^|[\s(:=])(?P<v>[<>]?\d[\d.,]*(?:\s*(?:-|to|or|and)\s*\d[\d.,]*)?)\s*$").ok()
});
static NITROGEN: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)(?:^|[\s(|])(?:nitrogen|n)(?:$|[\s):.,;|/])").ok());
/// Nitrogen right behind the unit: `130 lb/acre of nitrogen`.
static BEHIND: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)^\s*(?:of\s+)?(?:actual\s+|available\s+)?(?:nitrogen|n)(?:$|[\s.,;)])").ok()
});
/// Something else right behind the unit.
static ELSE: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)^\s*(?:of\s|p2\s?o5|k2\s?o|[pks]\b|phosph|potas|lime|sul[fp])").ok());
/// Another nutrient or material: an amount behind it is its own.
static OTHER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:phosph\w*|potas\w*|p2\s?o5|k2\s?o|lime\w*|sul[fp]\w*|gypsum|magnes\w*|calcium|iron|zinc|boron|compost|manure|urea|fertili[sz]ers?|products?|\d+-\d+-\d+)\b").ok()
});
/// What soils and humus hold or give: nothing to put down.
static MEASURED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)nitrate|ammoni|release|residual|organic n|mineral\w* n|total n|no3|nh4").ok()
});
static ADVICE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:recommend\w*|suggest\w*|apply|give|spread|use|needs?|needed|requires?|required|requirement)\b|(?:nitrogen|\bn)\s*(?:\(n\)\s*)?:").ok()
});
/// The amount is named as the recommendation itself.
static NAMED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)(?:nitrogen|\bn)\s*(?:\(n\)\s*)?(?:recommendation|recommended|requirement|required|needed)\b|\b(?:recommended|required|recommendation for|requirement for)\s+(?:annual\s+)?(?:nitrogen|n)\b").ok()
});
/// Words by which the amount is that of the whole season.
static SEASON: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:(?:per|a|each|every|the) (?:year|season)|annual\w*|yearly|per annum|in all|in total|total of|half\b.*\bhalf|split|in (?:several|two|three|four|five|six|[2-9]) (?:equal )?(?:parts|splits|applications|doses|portions))\b").ok()
});
/// Words that make an amount a condition, a limit, a part or the past.
static UNSURE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:again|repeat\w*|times?|twice|no more|more|not|never|at most|at least|exceed\w*|if|unless|when|where|or|instead|manure|credits?|suppl\w+|contains?|fix\w*|were|was|last|previous\w*|first|second|then|additional|plus|less|reduce\w*|increase\w*)\b").ok()
});
/// A part of the year, or of the work.
static WHEN: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:spring|summer|autumn|fall|winter|january|february|march|april|may|june|july|august|september|october|november|december|month\w*|weeks?|planting|preplant|starter|side-?dress\w*|top-?dress\w*|seeding|establishment)\b").ok()
});
static AGAIN: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\b(?:repeat\w*|again|the same|likewise|second)\b").ok());

fn is(regex: &LazyLock<Option<Regex>>, text: &str) -> bool {
    regex.as_ref().is_some_and(|r| r.is_match(text))
}

/// Every sentence of a page that recommends nitrogen.
pub fn read(page: &Layout, decimal: Decimal) -> Vec<FoundNitrogen> {
    let mut out = Vec::new();
    for lines in paragraphs(page) {
        // Most text speaks of no nitrogen: it needs no closer look.
        if !lines.iter().flat_map(|l| &l.phrases).any(|p| is(&NITROGEN, p.text())) {
            continue;
        }
        let tokens: Vec<Token> = lines.into_iter().flat_map(words).collect();
        let all = sentences(&tokens);
        for (at, one) in all.iter().enumerate() {
            out.extend(sentence(page, one, all.get(at + 1).copied().unwrap_or_default(), decimal));
        }
    }
    out
}

/// Lines of one phrase run on; a line of several is read alone, its columns kept apart.
fn paragraphs(page: &Layout) -> Vec<Vec<&Line>> {
    let mut out: Vec<Vec<&Line>> = Vec::new();
    let mut bottom = f32::NEG_INFINITY;
    let mut open = false;
    for line in &page.lines {
        let single = line.phrases.len() == 1 && !page.cells;
        let goes_on = open && single && line.area.y0 - bottom < 1.2 * page.em;
        match out.last_mut() {
            Some(last) if goes_on => last.push(line),
            _ => out.push(vec![line]),
        }
        open = single;
        bottom = line.area.y1;
    }
    out
}

fn words(line: &Line) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::new();
    for phrase in &line.phrases {
        if let Some(last) = out.last() {
            out.push(Token { text: COLUMN.into(), ..last.clone() });
        }
        for token in &phrase.tokens {
            out.extend(token.text.split(' ').map(|w| Token { text: w.into(), ..token.clone() }));
        }
    }
    out
}

/// Cut at full stops before a capital letter; `sq. ft.` is no end.
fn sentences(tokens: &[Token]) -> Vec<&[Token]> {
    let short = |w: &str| {
        matches!(
            w.to_lowercase().as_str(),
            "sq." | "ft." | "lb." | "lbs." | "ac." | "no." | "approx." | "ca." | "dr." | "mr." | "ms."
        )
    };
    let mut out = Vec::new();
    let mut start = 0;
    for (at, token) in tokens.iter().enumerate() {
        let capital = tokens.get(at + 1).is_none_or(|t| t.text.starts_with(|c: char| c.is_uppercase()));
        let stop = token.text.ends_with(['.', ';', '!', '?'])
            && !short(&token.text)
            && (capital || token.text.ends_with(';'));
        if stop {
            out.extend(tokens.get(start..=at));
            start = at + 1;
        }
    }
    out.extend(tokens.get(start..).filter(|rest| !rest.is_empty()));
    out
}

fn joined(tokens: &[Token]) -> String {
    tokens.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ")
}

fn sentence(page: &Layout, tokens: &[Token], next: &[Token], decimal: Decimal) -> Vec<FoundNitrogen> {
    let text = joined(tokens);
    if is(&MEASURED, &text) {
        return Vec::new();
    }
    let units = RateUnit::all_in(&text);
    let mut out = Vec::new();
    for (unit, range) in &units {
        let (Some(before), Some(printed_unit), Some(after)) =
            (text.get(..range.start), text.get(range.clone()), text.get(range.end..))
        else {
            continue;
        };
        let Some(amount) = AMOUNT.as_ref().and_then(|r| r.captures(before)).and_then(|c| c.name("v")) else {
            continue;
        };
        let lead = before.get(..amount.start()).unwrap_or_default();
        // What was said last before the amount: nitrogen, and nothing else since.
        let since = lead
            .rfind([',', ';'])
            .filter(|_| is(&NITROGEN, printed_unit) || is(&BEHIND, after))
            .map_or(0, |at| at + 1);
        let lead_own = lead.get(since..).unwrap_or_default();
        // `3 lb/1000 sq ft of potash`: what follows is what is put down.
        if is(&ELSE, after) && !is(&BEHIND, after) {
            continue;
        }
        let of_nitrogen = is(&NITROGEN, &format!("{printed_unit} "))
            || is(&BEHIND, after)
            || NITROGEN.as_ref().and_then(|r| r.find_iter(lead_own).last()).is_some_and(|n| {
                lead_own.get(n.end()..).is_some_and(|rest| {
                    rest.len() < 60 && !is(&OTHER, rest) && RateUnit::all_in(rest).is_empty()
                })
            });
        if !of_nitrogen || !is(&ADVICE, &text) {
            continue;
        }
        let rest = format!("{} {after}", lead);
        let doubts = doubts(&rest, &joined(next), *unit);
        let named = is(&NAMED, lead);
        // `Nitrogen: 12 lb/acre` in a list of results recommends nothing unless it says for how long.
        if !named && !is(&SEASON, &rest) && !is(&VERB, &text) {
            continue;
        }
        let Some(at) = token_at(tokens, amount.start()) else { continue };
        let Some(token) = tokens.get(at) else { continue };
        let last = token_at(tokens, amount.end().saturating_sub(1)).unwrap_or(at);
        let Some(place) = tokens.get(at..=last).and_then(place_of) else { continue };
        let found = Amount {
            printed: amount.as_str().trim_end_matches(['.', ',']),
            number: number(amount.as_str(), decimal)
                .filter(|n| n.qualifier.is_none() && n.odd.is_none() && n.rating.is_none())
                .map(|n| n.value),
            unit: Some((*unit, printed_unit.to_owned())),
            crop: "",
            place,
            confidence: token.confidence,
            doubts,
        };
        out.push(FoundNitrogen {
            page: page.number,
            y: token.area.y0,
            names: Vec::new(),
            nitrogen: found.recommendation(),
        });
    }
    out
}

static VERB: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:recommend\w*|suggest\w*|apply|give|spread|use|needs?|needed|requires?|required|requirement)\b").ok()
});

/// What keeps an amount from being the season's, for certain.
fn doubts(around: &str, next: &str, unit: RateUnit) -> Vec<Doubt> {
    let named = is(&NAMED, around);
    let season = is(&SEASON, around);
    // Farmers are told the season's pounds an acre; on turf one feeding is told as often as the year.
    let of_the_season =
        season || named || (unit == RateUnit::LbPerAcre || unit == RateUnit::KgPerHa) && !is(&WHEN, around);
    let mut doubts = Vec::new();
    if at_a_time(around) || !of_the_season || is(&AGAIN, next) {
        doubts
            .push(Doubt::new("time-unsure", "It is not said whether this nitrogen is for the whole season."));
    }
    if is(&UNSURE, around) {
        doubts.push(Doubt::new(
            "context-unsure",
            "The sentence around this nitrogen sets a condition or speaks of several amounts.",
        ));
    }
    doubts
}

/// The word at a byte of the joined text.
fn token_at(tokens: &[Token], byte: usize) -> Option<usize> {
    let mut begin = 0;
    for (at, token) in tokens.iter().enumerate() {
        let end = begin + token.text.len();
        if byte <= end && byte >= begin {
            // A byte on the space before a word belongs to the word behind it.
            return if byte == end && byte > begin {
                Some(at + 1).filter(|n| *n < tokens.len())
            } else {
                Some(at)
            };
        }
        begin = end + 1;
    }
    None
}
