//! The names of samples in rows: where they end, what goes on, which column is the laboratory's number.

use super::super::align::{Column, inside};
use super::super::atom::{Atom, Kind, is_blank};
use super::super::band::{Band, Leaf};
use super::super::fold::{is_punctuation, pieces};
use super::super::found::FoundSample;
use super::super::label::label;
use super::super::layout::Layout;
use super::super::number::{Decimal, number};
use super::super::vocabulary::{Context, Field, Meaning, Role, hits_where};
use super::super::words::List;
use super::row::{Row, text_heading, text_of};
use crate::place::Rect;
use compact_str::CompactString;

/// True where the laboratory's number is asked for in a text.
pub fn names_a_number(text: &str) -> bool {
    let context = Context { symbols: false, capitals: false };
    let words = pieces(text);
    !hits_where(&words, context, &|m| matches!(m, Meaning::Field(Field::LabSample))).is_empty()
}

/// True for a heading that asks for a sample's name and for its number, layer or day besides.
pub fn asks_for_several(text: &str) -> bool {
    let context = Context { symbols: false, capitals: false };
    let words = pieces(text);
    let mut asked: Vec<Field> = hits_where(&words, context, &|m| matches!(m, Meaning::Field(_)))
        .iter()
        .filter_map(|h| if let Meaning::Field(field) = h.meaning { Some(field) } else { None })
        .filter(|f| matches!(f, Field::SampleLabel | Field::LabSample | Field::SampledOn | Field::DepthTop))
        .collect();
    asked.dedup();
    asked.len() > 1 && asked.contains(&Field::SampleLabel)
}

/// True for `Field ID Number` or `Area Sampled`, which ask for names and numbers and say nothing else, and for
/// `(mg/100`, the first half of a unit.
pub fn is_of_a_heading(text: &str) -> bool {
    let context = Context { symbols: false, capitals: false };
    let words = pieces(text);
    let hits = hits_where(&words, context, &|m| matches!(m, Meaning::Field(_)));
    let asks = |(i, word): (usize, &CompactString)| {
        hits.iter().any(|h| (h.start..h.end).contains(&i)) || asks_for_a_name(word) || is_punctuation(word)
    };
    text.matches('(').count() > text.matches(')').count()
        || text.contains(' ') && !hits.is_empty() && words.iter().enumerate().all(asks)
}

/// A name without the blank marks of the next column behind it: `Back bed 2 n/a`.
pub fn without_blanks(text: &str) -> &str {
    let mut name = text.trim();
    while let Some((rest, _)) = name.rsplit_once(' ').filter(|(_, last)| is_blank(last)) {
        name = rest.trim_end();
    }
    name
}

/// `Sample ID`, `No.`: words of headings that ask for a name.
pub fn asks_for_a_name(text: &str) -> bool {
    !text.is_empty()
        && text.split(' ').all(|w| List::AsksName.has(&w.trim_end_matches(['.', ':']).to_lowercase()))
}

/// A long name that reaches up to the next column swallows that column's number (`Softball Outfield 641`): the last
/// word is a value of its own where it stands in a column of numbers that other rows form.
pub fn part_names(row: Vec<Atom>, columns: &[Column], em: f32, decimal: Decimal) -> Vec<Atom> {
    row.into_iter()
        .flat_map(|atom| {
            let last = atom.tokens.last().cloned();
            let (Kind::Text, Some(last)) = (&atom.kind, last) else { return vec![atom] };
            let stands_in = columns.iter().any(|c| {
                inside(&c.area, &last.area)
                    && last.area.x0 >= c.area.x0 - 0.5 * em
                    && last.area.x1 <= c.area.x1 + 0.5 * em
            });
            match number(&last.text, decimal) {
                Some(n) if stands_in && atom.tokens.len() > 1 => {
                    let names = atom.tokens.split_last().map(|(_, names)| names.to_vec()).unwrap_or_default();
                    Atom::new(Kind::Text, names)
                        .into_iter()
                        .chain(Atom::new(Kind::Number(n), vec![last]))
                        .collect()
                }
                _ => vec![atom],
            }
        })
        .collect()
}

/// `East paddock 1 34306` under `Sample ID` and `Lab ID`, `0-15 cm CaO ppm` under `Depth` and `Nutrient`: a name set close
/// to the next column goes no further than the heading of that column, where nothing else in the row stands under it.
pub fn part_fields(row: Vec<Atom>, band: &Band, page: &Layout, decimal: Decimal) -> Vec<Atom> {
    if page.cells {
        return row;
    }
    let fields: Vec<&Leaf> =
        band.leaves.iter().filter(|l| l.label.field.is_some() && l.label.analyte.is_none()).collect();
    let measured =
        |l: &&Leaf| band.long() && l.label.role == Some(Role::Analyte) && l.label.analyte.is_none();
    let next: Vec<&Leaf> = fields.iter().copied().chain(band.leaves.iter().filter(measured)).collect();
    let covers = |leaf: &Leaf, area: &Rect| {
        leaf.area.overlap_x(area) > 0.5 * leaf.area.width().min(area.width()).max(1.0)
    };
    let areas: Vec<Rect> = row.iter().map(|a| a.area).collect();
    row.into_iter()
        .enumerate()
        .flat_map(|(own, atom)| {
            let cut = (1..atom.tokens.len()).find(|i| {
                let (Some(before), Some(token)) = (atom.tokens.get(..*i), atom.tokens.get(*i)) else {
                    return false;
                };
                next.iter().any(|leaf| {
                    covers(leaf, &token.area)
                        && before.iter().all(|t| t.area.x1 <= token.area.x0 && !covers(leaf, &t.area))
                        && fields.iter().any(|other| {
                            other.area.x1 <= leaf.area.x0 && before.iter().any(|t| covers(other, &t.area))
                        })
                        && areas.iter().enumerate().all(|(k, a)| k == own || leaf.area.overlap_x(a) <= 0.0)
                })
            });
            // `0-15 cm CaO ppm` looks like a range with its unit.
            let words = matches!(atom.kind, Kind::Text | Kind::Range);
            let Some(cut) = cut.filter(|_| words) else { return vec![atom] };
            let (name, rest) = atom.tokens.split_at(cut);
            let text = rest.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
            let kind = number(&text, decimal).map_or(Kind::Text, Kind::Number);
            Atom::new(atom.kind, name.to_vec()).into_iter().chain(Atom::new(kind, rest.to_vec())).collect()
        })
        .collect()
}

/// `Sample No. 52201   Field Upper Ried`: of two columns of names the long number under a heading that asks for a number
/// is the laboratory's, and the words are the name.
pub fn number_apart(sample: &mut FoundSample, row: &Row<'_>, band: &Band) {
    let asks = |leaf: &Leaf| {
        leaf.text.split(' ').any(|w| {
            matches!(
                w.to_lowercase().trim_matches(['.', ':']),
                "no" | "nr" | "number" | "#" | "nummer" | "n°"
            )
        })
    };
    let names: Vec<(bool, String)> = row
        .cells
        .iter()
        .filter_map(|(h, atoms, _)| {
            let leaf = band.leaves.get(*h)?;
            let name = leaf.label.field == Some(Field::SampleLabel) && leaf.label.analyte.is_none();
            name.then(|| (asks(leaf), text_of(atoms)))
        })
        .collect();
    let long = |text: &str| text.len() >= 4 && text.chars().all(|c| c.is_ascii_digit());
    let (number, name) = match names.as_slice() {
        [(true, number), (false, name)] | [(false, name), (true, number)] => (number, name),
        _ => return,
    };
    if sample.field(Field::LabSample).is_none() && long(number) && name.chars().any(char::is_alphabetic) {
        sample.fields.retain(|(f, _)| *f != Field::SampleLabel);
        sample.fields.push((Field::SampleLabel, name.clone()));
        sample.fields.push((Field::LabSample, number.clone()));
    }
}

/// `90911 Ranch` under `Lab`, `1 N` under `Sample`: one phrase that was parted in the middle of the name, for no laboratory's
/// number goes on in a word.
pub fn parted_in_a_name(sample: &FoundSample) -> bool {
    let number = sample.field(Field::LabSample).unwrap_or_default();
    let word = |w: &str| w.chars().count() >= WORD && w.chars().all(char::is_alphabetic);
    let mut words = number.split(' ');
    let figures = words.next().is_some_and(|first| {
        first.len() >= WORD
            && first.chars().any(|c| c.is_ascii_digit())
            && !first.contains(char::is_lowercase)
    });
    figures && words.any(word)
}

/// Letters of a word, and of a number that the laboratory gave.
const WORD: usize = 3;

/// `North 40 3` set tight behind a number came apart: a figure that no column takes, one space behind the words of a
/// name, is its end. Of two columns of unlike names, one of long numbers, nobody knows which is the client's.
pub fn name_goes_on(sample: &mut FoundSample, row: &Row<'_>, band: &Band, page: &Layout) {
    let names: Vec<&Vec<&Atom>> = row
        .cells
        .iter()
        .filter(|(h, ..)| {
            let leaf = band.leaves.get(*h);
            leaf.is_some_and(|l| l.label.field == Some(Field::SampleLabel) && l.label.analyte.is_none())
        })
        .map(|(_, atoms, _)| atoms)
        .collect();
    let long = |atoms: &&&Vec<&Atom>| {
        let text = text_of(atoms);
        text.len() >= 4 && text.chars().all(|c| c.is_ascii_digit())
    };
    let unlike = names.len() > 1 && names.iter().filter(long).count() == 1;
    if unlike && sample.field(Field::LabSample).is_none() {
        sample.fields.retain(|(f, _)| *f != Field::SampleLabel);
        return;
    }
    let Some(last) = names.first().and_then(|atoms| atoms.last()).filter(|_| !page.cells) else { return };
    let space = word_gap(last, page.em);
    let mut end = last.area.x1;
    let mut rest = String::new();
    for figure in row.loose.iter().filter(|a| a.number().is_some_and(|n| n.decimals == 0)) {
        if (0.0..space).contains(&(figure.area.x0 - end)) {
            rest = format!("{rest} {}", figure.text);
            end = figure.area.x1;
        }
    }
    if let Some((_, name)) = sample.fields.iter_mut().find(|(f, _)| *f == Field::SampleLabel) {
        name.push_str(&rest);
    }
    // A figure one space behind the name that a column took may be its end all the same.
    let own = names.first().copied().cloned().unwrap_or_default();
    let beside = row.cells.iter().flat_map(|(_, atoms, _)| atoms).filter(|a| !own.contains(a));
    if beside
        .filter(|a| a.number().is_some_and(|n| n.decimals == 0))
        .any(|a| (0.0..space).contains(&(a.area.x0 - end)))
    {
        sample.fields.retain(|(f, _)| *f != Field::SampleLabel);
    }
}

/// True where a figure of a name stands under the heading of another column, or any word of it under one that holds no
/// results and has nothing else in this row: it is that column's, or the end of the name.
pub fn takes_values(row: &Row<'_>, band: &Band, decimal: Decimal) -> bool {
    let names = |i: usize| {
        let asks = band.leaves.get(i).filter(|l| l.label.analyte.is_none()).and_then(|l| l.label.field);
        matches!(asks, Some(Field::SampleLabel | Field::LabSample))
    };
    let blank = |i: usize| row.cells.iter().all(|(h, ..)| *h != i);
    let takes = |(i, leaf): (usize, &Leaf), area: &Rect, figure: bool| {
        let words = !leaf.label.is_result() && blank(i);
        !names(i) && leaf.area.overlap_x(area) > 0.0 && (figure || words)
    };
    let own = row.cells.iter().filter(|(h, ..)| names(*h)).flat_map(|(_, atoms, _)| atoms);
    own.flat_map(|a| &a.tokens).any(|t| {
        let figure = number(&t.text, decimal).is_some();
        band.leaves.iter().enumerate().any(|leaf| takes(leaf, &t.area, figure))
    })
}

/// The widest gap between the words of an atom, with a little room.
pub fn word_gap(atom: &Atom, em: f32) -> f32 {
    let gaps = atom
        .tokens
        .windows(2)
        .filter_map(|w| if let [a, b] = w { Some(b.area.x0 - a.area.x1) } else { None });
    1.1 * gaps.fold(0.56 * em, f32::max)
}

/// The words of a name, without a number of the next column that fell to it.
pub fn own_cell<'a>(page: &Layout, field: Field, atoms: &[&'a Atom]) -> Vec<&'a Atom> {
    if !matches!(field, Field::SampleLabel | Field::LabSample) {
        return atoms.to_vec();
    }
    // A figure is no part of a name where it stands wider apart than the words of it.
    let gap = |a: &Atom, b: &Atom| {
        let near = if b.number().is_some() { word_gap(a, page.em) } else { page.em };
        // `12 Hob Lane` in one cell of a table file is one name.
        let cell = || a.place() != b.place();
        let apart = if page.cells { cell() } else { b.area.x0 - a.area.x1 > near };
        apart || b.number().is_some_and(|n| n.decimals > 0)
    };
    let end = atoms.windows(2).position(|w| matches!(w, [a, b] if gap(a, b))).map_or(atoms.len(), |i| i + 1);
    atoms.iter().take(end).copied().collect()
}

/// Rows without which a column of words is not known to be one of names.
const FEW_ROWS: usize = 3;

/// A table that asks for no name of a sample, and has one column of words under a heading that is not known, left of its
/// results: unlike in every row, these are the names. Kinds of soil are none.
pub fn named_by_place(band: &Band, rows: &[Vec<Atom>]) -> Band {
    let named = |l: &Leaf| l.label.field == Some(Field::SampleLabel) && l.label.analyte.is_none();
    let results = band.leaves.iter().position(|l| l.label.is_result());
    let (false, Some(results), false) = (band.leaves.iter().any(named), results, band.long()) else {
        return band.clone();
    };
    let rows: Vec<&Vec<Atom>> = rows.iter().filter(|r| r.iter().any(|a| a.number().is_some())).collect();
    if let Some(out) = named_by_word(band, results, &rows) {
        return out;
    }
    let words = |i: usize| -> Vec<&str> {
        rows.iter()
            .filter_map(|row| {
                let mut own =
                    row.iter().filter(|a| matches!(a.kind, Kind::Text) && text_heading(a, band) == Some(i));
                own.next().filter(|_| own.next().is_none()).map(|a| a.text.as_str())
            })
            .collect()
    };
    // The layers of one place bear one name.
    let layers: Vec<String> = rows
        .iter()
        .map(|row| {
            let edge = |l: &&Leaf| matches!(l.label.field, Some(Field::DepthTop | Field::DepthBottom));
            let under = |a: &&Atom| band.leaves.iter().filter(edge).any(|l| l.area.overlap_x(&a.area) > 0.0);
            row.iter().filter(under).map(|a| a.text.as_str()).collect::<Vec<_>>().join(" ")
        })
        .collect();
    let silent = |l: &Leaf| {
        let said = &l.label;
        !said.names_column() && said.unit.is_none() && said.methods.is_empty() && !said.saturation
    };
    let candidates: Vec<usize> = (0..results)
        .filter(|i| band.leaves.get(*i).is_some_and(silent))
        .filter(|i| !words(*i).is_empty())
        .collect();
    // `Property | Street`: whose soil each row is names it already where no two are alike, and what stands beside it may be
    // where they live.
    let owned = band.leaves.iter().enumerate().any(|(i, l)| {
        let owners = matches!(l.label.field, Some(Field::Client | Field::Farm)) && l.label.analyte.is_none();
        let mut own = if owners { words(i) } else { Vec::new() };
        own.sort_unstable();
        let all = own.len();
        own.dedup();
        all >= FEW_ROWS && all == rows.len() && own.len() == all
    });
    let mut out = band.clone();
    if owned {
        return out;
    }
    if let [one] = candidates.as_slice() {
        let names = words(*one);
        let mut unlike: Vec<(&str, &String)> = names.iter().copied().zip(&layers).collect();
        unlike.sort_unstable();
        unlike.dedup();
        if rows.len() >= FEW_ROWS
            && names.len() == rows.len()
            && unlike.len() == names.len()
            && names.iter().all(|n| may_name(n))
            && let Some(leaf) = out.leaves.get_mut(*one)
        {
            leaf.label.field = Some(Field::SampleLabel);
        }
    }
    out
}

/// `Mark` over `1-0`, `Prov` over `3:1`: words that only a table beside its results asks for names with, where no two rows
/// answer alike. Nothing where two columns ask so.
fn named_by_word(band: &Band, results: usize, rows: &[&Vec<Atom>]) -> Option<Band> {
    let asks = |l: &Leaf| {
        let said = &l.label;
        let word = l.text.trim().trim_end_matches(['.', ':']).to_lowercase();
        List::NamesRows.has(&word) && !said.names_column() && said.unit.is_none()
    };
    let mut own = (0..results).filter(|i| band.leaves.get(*i).is_some_and(asks));
    let (one, None) = (own.next()?, own.next()) else { return None };
    let mut names: Vec<String> = rows
        .iter()
        .filter_map(|row| {
            let under: Vec<&Atom> = row.iter().filter(|a| text_heading(a, band) == Some(one)).collect();
            (!under.is_empty()).then(|| text_of(&under))
        })
        .collect();
    let all = names.len();
    names.sort_unstable();
    names.dedup();
    if all != rows.len() || names.len() != all {
        return None;
    }
    let mut out = band.clone();
    out.leaves.get_mut(one)?.label.field = Some(Field::SampleLabel);
    Some(out)
}

/// A few words with letters among them that neither rate nor tell of what kind a soil is.
pub fn may_name(text: &str) -> bool {
    let said = label(text, Context { symbols: false, capitals: false });
    let lower = text.to_lowercase();
    let kind = said.rating || said.unit.is_some() || List::Soil.within(&lower);
    text.contains(char::is_alphabetic) && text.split(' ').count() <= 5 && !kind
}
