//! Whether lines of text agree on a separator, judged over the whole file with quotes respected.

/// How a separated table is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::document) struct Layout {
    /// The separator.
    pub(in crate::document) separator: u8,
    /// Whether quotes hold cells together; not so where a quote is never closed.
    pub(in crate::document) quoted: bool,
    /// Bytes at the start that only name the separator (`sep=;` and its line end).
    pub(in crate::document) preamble: usize,
}

/// In the order of preference where two fit equally.
const CANDIDATES: [u8; 4] = [b'\t', b';', b'|', b','];

/// Separators between the cells of one record, and whether each is followed by a space.
#[derive(Clone, Copy, Default)]
struct Counts {
    separators: [u32; 4],
    spaced: [u32; 4],
    blank: bool,
}

/// The layout the lines agree on, none where they do not: then it is plain text.
pub(in crate::document) fn decide(text: &str) -> Option<Layout> {
    if let Some((separator, preamble)) = named(text) {
        let quoted = count(text.get(preamble..).unwrap_or_default(), true).is_some();
        return Some(Layout { separator, quoted, preamble });
    }
    let (records, quoted) = match count(text, true) {
        Some(records) => (records, true),
        None => (count(text, false).unwrap_or_default(), false),
    };
    let lines = records.iter().filter(|r| !r.blank).count();
    let mut best: Option<(u8, Fit)> = None;
    for (index, separator) in CANDIDATES.into_iter().enumerate() {
        let Some(fit) = fit(&records, index, lines) else { continue };
        // Where another separator makes a table too, commas between figures write decimals.
        let decimals = separator == b',' && best.is_some() && commas_are_decimals(text);
        let set = separator == b',' && is_set_with_blanks(text);
        if best.is_none_or(|(_, b)| fit.agreeing > b.agreeing) && !decimals && !set {
            best = Some((separator, fit));
        }
    }
    best.map(|(separator, _)| Layout { separator, quoted, preamble: 0 })
}

/// True where four of five commas stand between two figures.
fn commas_are_decimals(text: &str) -> bool {
    let commas = text.bytes().filter(|b| *b == b',').count();
    let between = text
        .as_bytes()
        .windows(3)
        .filter(|w| matches!(w, [a, b',', b] if a.is_ascii_digit() && b.is_ascii_digit()))
        .count();
    between * 5 >= commas * 4
}

/// True where most lines with a comma hold columns set apart by blanks: these commas write decimals, or belong to names.
fn is_set_with_blanks(text: &str) -> bool {
    let apart = |cell: &str| cell.trim().split("  ").filter(|part| !part.trim().is_empty()).count() > 1;
    let set = |line: &str| line.split(',').any(apart);
    let commas = text.lines().filter(|line| line.contains(','));
    let (with, of) =
        commas.fold((0usize, 0usize), |(with, of), line| (with + usize::from(set(line)), of + 1));
    with * 2 > of
}

/// The first line `sep=;` of a spreadsheet's export.
fn named(text: &str) -> Option<(u8, usize)> {
    let rest = text.strip_prefix("sep=").or_else(|| text.strip_prefix("SEP="))?;
    let separator = *rest.as_bytes().first()?;
    let end = rest.find('\n').map_or(text.len(), |at| at + 5);
    let plain = separator.is_ascii() && !separator.is_ascii_alphanumeric() && separator != b'"';
    (plain && end <= 8).then_some((separator, end))
}

#[derive(Clone, Copy)]
struct Fit {
    /// Records with the commonest number of this separator.
    agreeing: usize,
}

fn fit(records: &[Counts], index: usize, lines: usize) -> Option<Fit> {
    let of = |r: &Counts| r.separators.get(index).copied().unwrap_or(0);
    let mut frequency = std::collections::BTreeMap::<u32, usize>::new();
    for record in records.iter().filter(|r| of(r) > 0) {
        *frequency.entry(of(record)).or_default() += 1;
    }
    // A wide row says more than a title line of `name,value`: separators in all decide, not lines.
    let weight = |count: u32, times: usize| times * usize::try_from(count).unwrap_or(usize::MAX / 1_000_000);
    let (&mode, &agreeing) =
        frequency.iter().max_by_key(|(count, times)| (weight(**count, **times), **count))?;
    let spaced: u32 = records.iter().map(|r| r.spaced.get(index).copied().unwrap_or(0)).sum();
    let all: u32 = records.iter().map(of).sum();
    let like_prose = spaced * 10 > all * 8;
    let run = longest_run(records, index, mode);
    let table = match mode {
        // Two cells a line: a letter with one comma a line looks alike, so nearly all lines must agree.
        1 => agreeing >= 3 && agreeing * 5 >= lines * 4 && !like_prose,
        _ => {
            // Nobody writes four letters' lines one after the other with as many tabs or semicolons in each.
            let separator = CANDIDATES.get(index).copied().unwrap_or_default();
            let plain = separator != b',' && run >= 4 && !like_prose;
            // Nor two lines with three tabs or more in each: only a table has them, however much text stands around it.
            plain
                || separator == b'\t' && run >= 2 && mode >= 3
                || (agreeing >= 2 && agreeing * 2 >= lines && !(like_prose && mode < 4))
                || (run >= 2 && mode >= 3 && run * 6 >= lines && !like_prose)
        }
    };
    table.then_some(Fit { agreeing })
}

/// Longest run of lines one after the other with that number of separators.
fn longest_run(records: &[Counts], index: usize, mode: u32) -> usize {
    let (mut run, mut longest) = (0, 0);
    for record in records.iter().filter(|r| !r.blank) {
        run = if record.separators.get(index) == Some(&mode) { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    longest
}

/// Separators of every record; none where a quote is never closed.
fn count(text: &str, quoted: bool) -> Option<Vec<Counts>> {
    let mut records = Vec::new();
    let mut now = Counts { blank: true, ..Counts::default() };
    let (mut inside, mut at_start) = (false, true);
    let mut bytes = text.bytes().peekable();
    while let Some(byte) = bytes.next() {
        if inside {
            if byte == b'"' && bytes.next_if_eq(&b'"').is_none() {
                inside = false;
            }
            continue;
        }
        match byte {
            b'"' if quoted && at_start => {
                inside = true;
                now.blank = false;
                at_start = false;
            }
            b'\n' => {
                records.push(now);
                now = Counts { blank: true, ..Counts::default() };
                at_start = true;
            }
            _ => match CANDIDATES.iter().position(|c| *c == byte) {
                Some(index) => {
                    if let Some(count) = now.separators.get_mut(index) {
                        *count += 1;
                    }
                    if let (Some(b' '), Some(count)) = (bytes.peek(), now.spaced.get_mut(index)) {
                        *count += 1;
                    }
                    at_start = true;
                    now.blank = false;
                }
                None => {
                    at_start = false;
                    now.blank &= byte.is_ascii_whitespace();
                }
            },
        }
    }
    if !now.blank {
        records.push(now);
    }
    (!inside).then_some(records)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn separator(text: &str) -> Option<char> {
        decide(text).map(|l| char::from(l.separator))
    }

    #[test]
    fn a_decimal_comma_does_not_hide_the_semicolon() {
        assert_eq!(separator("Probe;pH;Humus\nA;6,4;3,1\nB;6,1;2,9\nC;5,9;4,0\n"), Some(';'));
    }

    #[test]
    fn decimal_commas_do_not_outnumber_the_semicolons_of_two_tables() {
        let rows = |row: &str, head: &str| format!("{head}\n{}", format!("{row}\n").repeat(6));
        let text = rows("A;6,4;3,1;0,2;1,1", "Bed;pH;OM;P;K")
            + &rows("A;7,5;2,2;4,1;1,0;9;9", "Bed;Ca;Mg;Na;S;B;Cu");
        assert_eq!(separator(&text), Some(';'));
    }

    #[test]
    fn title_lines_above_and_footnotes_below_do_not_defeat_the_table() {
        let text = "Foxgrove Laboratory\nReport 77, page 1\nClient: Marram, Ltd, Dunes\n\nSample,pH,P,K,Ca\n\
                    A,6.4,22,140,1200\nB,6.1,31,150,1300\n\nP, K by Mehlich 3.\nEnd of report.\n";
        assert_eq!(separator(text), Some(','));
    }

    #[test]
    fn a_heading_and_one_row_with_tabs_are_a_table_among_any_text() {
        let notes = "All results are in kg/ha unless noted.\n".repeat(20);
        assert_eq!(separator(&format!("Bed\tpH\tP\tK\nBack 1\t7.8\t23\t396\n{notes}")), Some('\t'));
        assert_eq!(separator(&format!("\tDear Ms Hay,\n\tyour soil\tis fine.\n{notes}")), None);
    }

    #[test]
    fn decimal_commas_between_columns_of_blanks_are_no_separators() {
        let set = "Bed      pH    OM    Zn\nMoss     6,4   3,1   0,62\nFern     6,1   2,9   0,44\nRush     5,9   4,0   1,20\n";
        assert_eq!(separator(set), None);
        assert_eq!(
            separator(
                "Test     Result\npH          7,5\nOM, %       3,1\nP, ppm     22,4\nK, ppm      139\n"
            ),
            None
        );
        assert_eq!(separator("Bed  ,pH ,OM  \nMoss ,6.4,3.1 \nFern ,6.1,2.9 \nRush ,5.9,4.0 \n"), Some(','));
    }

    #[test]
    fn separators_inside_quotes_do_not_count() {
        assert_eq!(separator("\"a, b, c\"\t6.4\t22\n\"d, e\"\t6.1\t30\n"), Some('\t'));
    }

    #[test]
    fn a_quote_that_never_closes_is_a_letter() {
        let layout = decide("Depth,pH,P\n\"6 in,6.4,22\n6 in,6.1,30\n").unwrap();
        assert_eq!((layout.separator, layout.quoted), (b',', false));
    }

    #[test]
    fn the_named_separator_is_honoured() {
        let layout = decide("sep=;\na;b\n1;2\n").unwrap();
        assert_eq!((layout.separator, layout.preamble), (b';', 6));
    }

    #[test]
    fn columns_of_spaces_and_letters_are_no_separated_table() {
        assert_eq!(separator("SAMPLE   PH   P\nNORTH    6.4  22\nP, K, CA, MG: MEHLICH-1 EXTRACT.\n"), None);
        assert_eq!(separator("Dear Ms Hay,\n\nyour soil, a loam, has a pH of 6.4,\nwhich is fine.\n"), None);
    }
}
