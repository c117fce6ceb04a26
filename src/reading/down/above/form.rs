//! Lines of a form right above a table: pairs side by side, the names of the fields below each other.

use super::super::super::header::{is_depth, leading_field};
use super::super::super::layout::{Layout, Line, Phrase};
use super::super::super::vocabulary::{Context, Field};
use super::heading::place_word;

/// True for a line that asks for several unlike things, each with its value beside it, and for one whose words stand under
/// those of such a line: `Use   Lawn   Texture   Loam` right below `Received   3 May   Reported   9 May`.
pub(super) fn is_line_of_a_form(page: &Layout, at: usize, context: Context) -> bool {
    let Some(line) = page.lines.get(at) else { return false };
    if !asked(line, context).is_empty() {
        return true;
    }
    if page.cells && goes_on(page, at, context) {
        return true;
    }
    let Some(above) = at.checked_sub(1).and_then(|i| page.lines.get(i)) else { return false };
    // An empty row of a sheet ends a form.
    if page.cells && line.area.y0 - above.area.y0 > 21.0 {
        return false;
    }
    let edges = asked(above, context);
    let under =
        |name: &&Phrase| line.phrases.iter().any(|p| (p.area.x0 - name.area.x0).abs() < 0.5 * page.em);
    line.phrases.len() == above.phrases.len() && !edges.is_empty() && edges.iter().all(under)
}

/// True for a row of a sheet in the same columns as the rows above it, up to one that asks for several unlike things:
/// `Depth of cores | 6 in | Last limed | 2019` two rows below `Name of area | Front yard | Our no. | 88-1`. What heads
/// columns is none.
fn goes_on(page: &Layout, at: usize, context: Context) -> bool {
    let heads = |line: &Line| line.phrases.iter().any(|p| p.label(context).role.is_some());
    let mut below = at;
    loop {
        let Some(line) = page.lines.get(below).filter(|l| !heads(l)) else { return false };
        let Some(above) = below.checked_sub(1).and_then(|i| page.lines.get(i)) else { return false };
        let same = |p: &Phrase| above.phrases.iter().any(|a| (a.area.x0 - p.area.x0).abs() < 1.0);
        let aligned = line.phrases.len() > 1 && line.phrases.iter().all(same);
        if !aligned || line.area.y0 - above.area.y0 > 21.0 {
            return false;
        }
        if !asked(above, context).is_empty() {
            return true;
        }
        below -= 1;
    }
}

/// The names of fields in a line of two or more unlike ones, each with a value that is none; empty for any other line.
fn asked(line: &Line, context: Context) -> Vec<&Phrase> {
    let asks = |p: &Phrase| {
        let text = p.text();
        leading_field(text, context)
            .filter(|(field, rest, _)| rest.is_empty() && !is_depth(text) && !place_word(*field, text))
            .map(|(field, ..)| field)
    };
    let names: Vec<(usize, Field)> =
        line.phrases.iter().enumerate().filter_map(|(i, p)| Some((i, asks(p)?))).collect();
    let valued = names.iter().all(|(i, _)| line.phrases.get(i + 1).is_some_and(|p| asks(p).is_none()));
    let named = |field: Field| names.iter().filter(|n| n.1 == field).count();
    let unlike = names.len() > 1 && names.iter().all(|(_, field)| named(*field) == 1);
    // The first words of a form's line ask for something.
    if names.first().is_some_and(|n| n.0 == 0) && valued && unlike {
        names.iter().filter_map(|(i, _)| line.phrases.get(*i)).collect()
    } else {
        Vec::new()
    }
}
