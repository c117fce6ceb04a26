//! Exceptions behind the names of what is left out, `Mehlich 3, Mn excepted (DTPA)`, said as those before them are.

use super::super::vocabulary::{Context, Meaning, hits_where};
use super::super::words::List;
use compact_str::CompactString;

/// The word behind which an exception is looked for.
const EXCEPT: &str = "except";

/// The words of a clause with what it leaves out behind a word for an exception: none where it leaves out what is not known,
/// so that nothing of it is sure.
pub(super) fn exception_behind(words: Vec<CompactString>, context: Context) -> Option<Vec<CompactString>> {
    let says = |list: List, w: &CompactString| list.has(w.to_lowercase().trim_end_matches('.'));
    if leaves_out_before_its_method(&words) {
        return None;
    }
    let Some(at) = words.iter().position(|w| says(List::Excepted, w)) else { return Some(words) };
    let symbols = Context { symbols: true, ..context };
    let measured = |m: &Meaning| matches!(m, Meaning::Analyte(_, None, _));
    let is_name = |w: &CompactString| !hits_where(std::slice::from_ref(w), symbols, &measured).is_empty();
    let joins = |w: &CompactString| w == "," || says(List::And, w);
    let before = words.get(..at)?;
    let from = before.iter().rposition(|w| !is_name(w) && !joins(w)).map_or(0, |i| i + 1);
    let (told, list) = (before.get(..from)?, before.get(from..)?);
    let names = list.get(list.iter().position(|w| !joins(w)).unwrap_or(list.len())..)?;
    let rest = words.get(at + 1..)?;
    // `ausgenommen Mn` stands before the names.
    if names.is_empty() && rest.first().is_some_and(is_name) && !told.is_empty() {
        return Some(told.iter().cloned().chain([EXCEPT.into()]).chain(rest.iter().cloned()).collect());
    }
    let parted = list.first().is_some_and(|w| w == ",") || told.last().is_some_and(|w| w == "(");
    if names.is_empty() || told.is_empty() || !parted {
        return None;
    }
    let names = names.iter().cloned();
    Some(told.iter().cloned().chain([EXCEPT.into()]).chain(names).chain(rest.iter().cloned()).collect())
}

/// `Everything but Mn by Mehlich 3`: what is left out stands before the method, which is not its own.
fn leaves_out_before_its_method(words: &[CompactString]) -> bool {
    words.windows(2).any(|w| {
        let [all, but] = w else { return false };
        List::Nutrients.has(&all.to_lowercase())
            && matches!(but.to_lowercase().as_str(), "but" | "save" | "bar")
    })
}
