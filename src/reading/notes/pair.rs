//! Which method of a clause is whose: lists of measurements and methods by turns, `P and K by Mehlich-1, Ca and Mg by KCl`
//! or `Mehlich-1: P, K. KCl: Ca, Mg`.

use super::super::vocabulary::{Hit, Meaning};
use super::super::words::List;
use super::method::adapt;
use crate::soil::{Analyte, Method, Unit};
use compact_str::CompactString;

/// What a clause says of the methods of what it names.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Paired {
    /// A method of the contract for each.
    pub known: Vec<(Analyte, Method)>,
    /// By a method that is known, and is none of the contract's for it: `Ca in KCl`.
    pub outside: Vec<Analyte>,
    /// By words that are not known.
    pub strange: Vec<Analyte>,
}

/// What a place of a clause names.
#[derive(Debug, Clone, PartialEq)]
enum Said {
    Of(Analyte),
    By(Option<Method>),
    /// Words that tell how, and are not known.
    Somehow,
}

/// Each measurement with the methods of its own list: behind it where the clause opens with measurements, before it where
/// it opens with a method. What stands in a list without a method has none, whatever the other lists have.
pub(super) fn pair(
    lower: &[CompactString],
    hits: &[Hit],
    analytes: &[(usize, Analyte)],
    methods: &[(usize, Option<Method>)],
    is_name: &dyn Fn(usize, Analyte) -> bool,
) -> Paired {
    let mut out = Paired::default();
    let (hits, methods) = (&parted(hits, is_name), &behind_their_names(hits, methods, is_name));
    let mut said = events(lower, hits, analytes, methods);
    // `Olsen P` tells its own method, whatever stands beside it. Of what is named before, `P by Olsen`, it is the method alone.
    let names_itself = |at: usize| hits.iter().any(|h| h.start == at && is_own(h));
    let again = |at: usize, a: Analyte| analytes.iter().any(|(i, other)| *i != at && *other == a);
    said.retain(|(at, _, what)| !matches!(what, Said::Of(a) if names_itself(*at) && again(*at, *a)));
    for hit in hits.iter() {
        if let Meaning::Analyte(a, Some(m), _) = hit.meaning
            && let Some(m) = adapt(m, a).filter(|_| !again(hit.start, a))
        {
            out.known.push((a, m));
            // Others may have its method too, and it has no other.
            said.retain(|(at, _, what)| !(*at == hit.start && *what == Said::Of(a)));
        }
    }
    for (analyte, method) in set_apart(lower, hits, &mut said) {
        out.known.push((analyte, method));
    }
    let is_of = |what: &Said| matches!(what, Said::Of(_));
    let Some((_, _, first)) = said.first() else { return out };
    let behind = is_of(first);
    let runs: Vec<&[Event]> = said.chunk_by(|a, b| is_of(&a.2) == is_of(&b.2)).collect();
    for (i, run) in runs.iter().enumerate().filter(|(_, run)| run.first().is_some_and(|(.., w)| is_of(w))) {
        let front = i.checked_sub(1).and_then(|i| runs.get(i)).copied();
        let next = runs.get(i + 1).copied();
        let told = next.is_some_and(|next| tells_of(lower, run, next));
        // `Ammonium acetate extractable cations`, where no list before it is told so.
        let beside = |front| (told || !behind) && is_beside(lower, front, run);
        let led = front.is_some_and(|front| leads_to(lower, front, run) || beside(front));
        let own = match (led, told) {
            (true, true) => Own::Both,
            (false, true) => Own::Next,
            (true, false) => Own::Front,
            (false, false) if behind && next.is_some() => Own::Next,
            (false, false) if behind => Own::Neither,
            (false, false) => Own::Front,
        };
        of_a_list(run, front.unwrap_or_default(), next.unwrap_or_default(), own, &mut out);
    }
    out
}

/// `pH of saturated paste, Olsen P, ammonium acetate cations`: the last part of a list that names a method and right behind it
/// what that is of, where the part before it tells a method of its own, and so waits for none. What it names is taken out.
fn set_apart(lower: &[CompactString], hits: &[Hit], said: &mut Vec<Event>) -> Vec<(Analyte, Method)> {
    let ends = |w: &CompactString| w == "," || List::And.has(w);
    let Some(cut) = lower.iter().rposition(ends) else { return Vec::new() };
    let before = lower.iter().take(cut).rposition(ends).map_or(0, |i| i + 1);
    let told = |h: &Hit| is_own(h) || matches!(h.meaning, Meaning::Method(_));
    if !hits.iter().any(|h| (before..cut).contains(&h.start) && told(h)) {
        return Vec::new();
    }
    let first = |(at, ..): &Event| *at > cut;
    let Some(from) = said.iter().position(first) else { return Vec::new() };
    let Some([(at, end, Said::By(Some(method))), of @ ..]) = said.get(from..) else { return Vec::new() };
    // Nothing stands before the method, nothing between, and nothing behind.
    let alone = of.first().is_some_and(|(start, ..)| start == end) && *at == cut + 1;
    let last = of.iter().all(|(_, upto, _)| *upto == lower.len());
    let pair = |(.., what): &Event| match what {
        Said::Of(analyte) => Some((*analyte, adapt(*method, *analyte)?)),
        _ => None,
    };
    let Some(found) = of.iter().map(pair).collect::<Option<Vec<_>>>().filter(|_| alone && last) else {
        return Vec::new();
    };
    said.truncate(from);
    found
}

/// Which methods are those of a list.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Own {
    Front,
    Next,
    /// `Mehlich-3 for P and K, pH in water`: those before are of the first, those behind of the last of them.
    Both,
    Neither,
}

/// Start, end, and what stands there.
type Event = (usize, usize, Said);

/// Gives what a list names its methods.
fn of_a_list(run: &[Event], front: &[Event], next: &[Event], own: Own, out: &mut Paired) {
    for (.., what) in run {
        let Said::Of(analyte) = what else { continue };
        let fits = |ways: &[Event], last: bool| {
            let mut fits = ways.iter().filter_map(|(.., way)| match way {
                Said::By(Some(m)) => adapt(*m, *analyte),
                _ => None,
            });
            if last { fits.next_back() } else { fits.next() }
        };
        let (before, after) = (fits(front, true), fits(next, false));
        let (method, ways): (Option<Method>, &[Event]) = match own {
            Own::Front => (before, front),
            Own::Next => (after, next),
            Own::Neither => (None, &[]),
            Own::Both => match (before, after) {
                // Where one list ends and the other begins nobody can tell.
                (Some(a), Some(b)) if a != b => {
                    out.strange.push(*analyte);
                    continue;
                }
                (a, b) => (a.or(b), if b.is_some() { next } else { front }),
            },
        };
        if let Some(method) = method {
            out.known.push((*analyte, method));
        } else if ways.iter().any(|(.., way)| *way == Said::Somehow) {
            out.strange.push(*analyte);
        } else if analyte.unit() == Unit::MgPerKg && ways.iter().any(|(.., way)| takes_out(way)) {
            out.outside.push(*analyte);
        }
    }
}

/// `by`, `in`, `:` between a list and the methods behind it.
fn tells_of(lower: &[CompactString], run: &[Event], next: &[Event]) -> bool {
    let (Some((_, end, _)), Some((start, _, way))) = (run.last(), next.first()) else { return false };
    // `in 1:1 water` is one sign of a method, with its first word.
    let mut words = lower.get(*end..=*start).unwrap_or_default().iter();
    *way == Said::Somehow || end == start || words.any(|w| List::TellsHow.has(w) || List::TellsIn.has(w))
}

/// `Zn, Mn, Cu: DTPA`: the last name of a list and the method behind it, known together, are a name and a method.
fn parted(hits: &[Hit], is_name: &dyn Fn(usize, Analyte) -> bool) -> Vec<Hit> {
    let part = |h: &Hit| match h.meaning {
        Meaning::Analyte(a, Some(m), form) if is_name(h.start, a) => vec![
            Hit { meaning: Meaning::Analyte(a, None, form), end: h.start + 1, ..*h },
            Hit { meaning: Meaning::Method(Some(m)), start: h.start + 1, ..*h },
        ],
        _ => vec![*h],
    };
    hits.iter().flat_map(part).collect()
}

/// The methods, those of names that tell them behind these.
fn behind_their_names(
    hits: &[Hit],
    methods: &[(usize, Option<Method>)],
    is_name: &dyn Fn(usize, Analyte) -> bool,
) -> Vec<(usize, Option<Method>)> {
    let named = |at: usize| {
        let own = |h: &&Hit| h.start == at && is_own(h);
        hits.iter().find(own).is_some_and(|h| matches!(h.meaning, Meaning::Analyte(a, ..) if is_name(at, a)))
    };
    methods.iter().map(|(at, m)| (if named(*at) { at + 1 } else { *at }, *m)).collect()
}

fn is_own(hit: &Hit) -> bool {
    matches!(hit.meaning, Meaning::Analyte(_, Some(_), _))
}

/// `Mehlich-3 for P and K`, `Mehlich-3 (P, K)`: a list that follows its method.
fn leads_to(lower: &[CompactString], front: &[Event], run: &[Event]) -> bool {
    let (Some((_, end, _)), Some((start, ..))) = (front.last(), run.first()) else { return false };
    let between = lower.get(*end..*start).unwrap_or_default();
    between.iter().any(|w| List::LeadsTo.has(w)) && !between.iter().any(|w| w == ",")
}

/// Nothing but words that say nothing between a method and a list.
fn is_beside(lower: &[CompactString], front: &[Event], run: &[Event]) -> bool {
    let (Some((_, end, _)), Some((start, ..))) = (front.last(), run.first()) else { return false };
    lower.get(*end..*start).unwrap_or_default().iter().all(|w| List::Filler.has(w) && !List::And.has(w))
}

/// True for what takes nutrients out of the soil, known by its name.
fn takes_out(way: &Said) -> bool {
    match way {
        Said::By(None | Some(Method::Kcl | Method::Cacl2)) => true,
        Said::By(Some(m)) => [Analyte::Phosphorus, Analyte::Potassium, Analyte::Zinc, Analyte::Boron]
            .iter()
            .any(|a| m.measures(*a)),
        _ => false,
    }
}

/// All that the clause names, from the left, with start and end.
fn events(
    lower: &[CompactString],
    hits: &[Hit],
    analytes: &[(usize, Analyte)],
    methods: &[(usize, Option<Method>)],
) -> Vec<Event> {
    let end = |at: usize| hits.iter().find(|h| h.start == at).map_or(at + 1, |h| h.end);
    let mut said: Vec<Event> = methods.iter().map(|(at, m)| (*at, end(*at), Said::By(*m))).collect();
    said.extend(analytes.iter().map(|(at, a)| (*at, end(*at), Said::Of(*a))));
    said.sort_by_key(|(at, ..)| *at);
    // `CEC by quibbling` and nothing else tells how, in words that are not known.
    let by = |end: usize| lower.get(end).is_some_and(|w| w == "by") && lower.len() <= end + MOST_BETWEEN + 1;
    let told = said.last().is_some_and(|(_, end, _)| by(*end));
    if !told && said.iter().all(|(.., what)| matches!(what, Said::Of(_))) {
        return said;
    }
    // Behind a measurement and before the next one, or the end, words may tell how it was found that are not known.
    let mut somehow = Vec::new();
    for (i, (_, end, what)) in said.iter().enumerate() {
        let next = said.get(i + 1);
        if matches!(what, Said::Of(_)) && !matches!(next, Some((_, _, Said::By(_)))) {
            let upto = next.map_or(lower.len(), |(at, ..)| *at);
            somehow.extend(tells_how(lower, *end, upto).map(|at| (at, at + 1, Said::Somehow)));
        }
    }
    said.extend(somehow);
    said.sort_by_key(|(at, ..)| *at);
    said
}

/// Where words between two places tell how something was done: `by quibbling`, `: quibblate`.
fn tells_how(lower: &[CompactString], from: usize, upto: usize) -> Option<usize> {
    let between = lower.get(from..upto)?;
    let how = between.iter().take(AT_MOST_BEFORE).position(|w| List::TellsHow.has(w))?;
    let content = |w: &CompactString| {
        let bare = w.trim_matches(|c: char| !c.is_alphanumeric());
        bare.chars().count() >= LEAST_LETTERS
            && bare.chars().all(char::is_alphabetic)
            && !List::Filler.has(bare)
            && !List::Title.has(bare)
            && !List::Procedure.has(bare)
    };
    between.get(how + 1..)?.iter().take(MOST_BETWEEN).any(content).then_some(from + how)
}

/// Shorter words are signs.
const LEAST_LETTERS: usize = 4;

/// Words between a name and the word that tells of a way: `were extracted by`.
const AT_MOST_BEFORE: usize = 3;

/// So near behind the word that tells of a way stands what names it.
const MOST_BETWEEN: usize = 4;

#[cfg(test)]
mod tests {
    use super::super::tests::of;
    use crate::soil::{Analyte, Method};

    fn method(text: &str, analyte: Analyte) -> Option<Option<Method>> {
        of(text).methods.get(&analyte).copied()
    }

    #[test]
    fn a_list_has_the_methods_behind_it_and_none_of_another_list() {
        for text in [
            "P, K, Zn in Mehlich-1, Ca and Mg in KCl 1 mol/L",
            "P and K by Mehlich-1 and Ca, Mg and Na by BaCl2",
            "Mehlich-1: P, K, Zn. KCl: Ca, Mg",
            "Mehlich-1 (P, K, Zn), KCl (Ca, Mg)",
        ] {
            assert_eq!(method(text, Analyte::Potassium), Some(Some(Method::Mehlich1)), "{text}");
            assert_eq!(method(text, Analyte::Calcium), None, "{text}");
            assert!(of(text).outside.contains(&Analyte::Calcium), "{text}");
            assert!(!of(text).outside.contains(&Analyte::Potassium), "{text}");
        }
    }

    #[test]
    fn what_is_told_in_words_that_are_not_known_is_strange() {
        for text in [
            "P and K by Mehlich-3, Zn and Cu by quibbling",
            "Zn and Cu by quibbling, P and K by Mehlich-3",
            "Zn, Cu: quibblate, P and K: Mehlich-3",
        ] {
            assert_eq!(method(text, Analyte::Potassium), Some(Some(Method::Mehlich3)), "{text}");
            assert_eq!(method(text, Analyte::Copper), None, "{text}");
            assert!(of(text).strange.contains(&Analyte::Copper), "{text}: {:?}", of(text));
        }
    }

    #[test]
    fn the_last_part_of_a_list_may_name_its_method_before_what_it_is_of() {
        let list = "Table A. pH of saturated paste, organic matter (Walkley-Black), Olsen P, ammonium acetate cations";
        for text in [list, "P by Olsen and ammonium acetate cations", "Zn and Cu by DTPA, ammonium acetate K"]
        {
            assert_eq!(method(text, Analyte::Potassium), Some(Some(Method::AmmoniumAcetate)), "{text}");
        }
        assert_eq!(method(list, Analyte::Phosphorus), Some(Some(Method::Olsen)));
        // What stands before may wait for the method, and what stands behind may have it too.
        for text in ["P, K, Mehlich-3 cations", "Zn by DTPA, Mehlich-3 extract from the cations"] {
            assert_eq!(method(text, Analyte::Calcium), None, "{text}");
        }
        assert_eq!(method("Bray P1, K Mehlich-3", Analyte::Potassium), Some(Some(Method::Mehlich3)));
    }

    #[test]
    fn a_clause_of_one_strange_way_alone_is_strange() {
        assert_eq!(of("CEC by quibbled hobs").strange, [Analyte::Cec]);
        assert_eq!(of("CEC by summation").strange, []);
    }

    #[test]
    fn several_methods_in_a_row_are_of_one_list() {
        let text = "Organic matter and P by loss on ignition and Olsen";
        assert_eq!(method(text, Analyte::Phosphorus), Some(Some(Method::Olsen)));
        assert_eq!(method(text, Analyte::OrganicMatter), Some(Some(Method::LossOnIgnition)));
        let text = "P by Olsen, K and Mg by ammonium acetate, Zn, Cu by DTPA";
        assert_eq!(method(text, Analyte::Magnesium), Some(Some(Method::AmmoniumAcetate)));
        assert_eq!(method(text, Analyte::Zinc), Some(Some(Method::Dtpa)));
        for text in ["Zn, Mn, Fe, Cu: DTPA", "P by Olsen, Zn, Mn, Fe, Cu: DTPA", "Zn, Mn and Cu by DTPA"] {
            for analyte in [Analyte::Zinc, Analyte::Manganese, Analyte::Copper] {
                assert_eq!(method(text, analyte), Some(Some(Method::Dtpa)), "{text}");
            }
        }
        for text in [
            "Mehlich 3 for P, K, Ca, Zn. pH in 1:1 water. Salts on saturated paste extract.",
            "Mehlich-3 for P, K, Ca and Zn, pH in 1:1 water",
            "Weak Bray P. K and Ca by Mehlich 3. pH in water 1:1",
        ] {
            assert_eq!(method(text, Analyte::Calcium), Some(Some(Method::Mehlich3)), "{text}");
            assert_eq!(method(text, Analyte::Ph), Some(Some(Method::Water1to1)), "{text}");
        }
        let text = "Ammonium acetate extractable cations (P: Bray 1)";
        assert_eq!(method(text, Analyte::Phosphorus), Some(Some(Method::BrayP1)));
        assert_eq!(method(text, Analyte::Calcium), Some(Some(Method::AmmoniumAcetate)));
        let text = "General and available nutrients  Exchangeable cations (ammonium acetate)";
        assert_eq!(method(text, Analyte::Calcium), Some(Some(Method::AmmoniumAcetate)), "{:?}", of(text));
        assert_eq!(
            method("Ac from the Mehlich buffer", Analyte::BufferPh),
            Some(Some(Method::MehlichBuffer))
        );
        let text = "Nutrients: Mehlich 3 (P, K, Ca, Mg, Zn), hot water (B), KCl (S)";
        for analyte in [Analyte::Phosphorus, Analyte::Potassium, Analyte::Zinc] {
            assert_eq!(method(text, analyte), Some(Some(Method::Mehlich3)), "{analyte}");
        }
        assert_eq!(method(text, Analyte::Boron), Some(Some(Method::HotWater)));
        let text = "Olsen P, K and Mg by ammonium acetate";
        assert_eq!(method(text, Analyte::Phosphorus), Some(Some(Method::Olsen)));
        assert_eq!(method(text, Analyte::Magnesium), Some(Some(Method::AmmoniumAcetate)));
        let text = "Bray P1, K Mehlich-3";
        assert_eq!(method(text, Analyte::Phosphorus), Some(Some(Method::BrayP1)));
        assert_eq!(method(text, Analyte::Potassium), Some(Some(Method::Mehlich3)));
        let text = "Exchangeable cations (ammonium acetate)  Share of CEC";
        assert_eq!(method(text, Analyte::Calcium), Some(Some(Method::AmmoniumAcetate)));
        assert_eq!(method(text, Analyte::Cec), None, "what stands behind the bracket is another title");
        let text = "Cations: 1 M ammonium acetate, CEC is the sum of cations and acidity.";
        assert_eq!(method(text, Analyte::Cec), Some(Some(Method::Summation)));
        assert_eq!(method(text, Analyte::Sodium), Some(Some(Method::AmmoniumAcetate)));
        let text = "All nutrients by Mehlich 3, CEC by summation.";
        assert_eq!(method(text, Analyte::Cec), Some(Some(Method::Summation)));
        assert_eq!(of(text).extractant, Some(Method::Mehlich3));
        let text = "Mehlich-3 for P, K, Ca and Mg by ammonium acetate";
        assert_eq!(method(text, Analyte::Potassium), None, "nobody knows where the first list ends");
        let text = "pH in water; Mehlich-3 for P, K, Ca";
        assert_eq!(method(text, Analyte::Calcium), Some(Some(Method::Mehlich3)));
        let text = "Mehlich-3 P, K, Ca and Mg";
        assert_eq!(method(text, Analyte::Magnesium), Some(Some(Method::Mehlich3)));
    }
}
