//! Everything a document's pages give before it is put together: samples, fields, notes, the whole text.

mod advice;
mod client_names;
mod roster;
mod sentences;
mod sheet_notes;
mod some;
mod spoken;
mod tables;
mod unread;

use super::aside::{half_methods, lines_by_themselves, measured_in_tables, named_by_unknown_words};
use super::codes;
use super::date::{DayOrder, decide_order};
use super::dated::days_behind_names;
use super::ditto;
use super::former;
use super::found::{Found, FoundSample};
use super::header::{
    FieldValue, addressee, boxes, days_abreast, depth_unit_said, fields, greeted, letter_head, letterhead,
    margin, name_horizons, name_over_a_table, names_sample, numbered_titles, over_report, over_tables,
    profiles, settle, speaks_inches, titles_over_numbers, told_in_a_strip,
};
use super::hyphen::rejoined;
use super::layout::{Layout, Line, Phrase, layout};
use super::levels;
use super::lost;
use super::marks;
use super::matter;
use super::normalise::SURE_RECOGNITION;
use super::notes::{NoteLine, Notes, Titled, legend, notes, settle_ranges};
use super::quoted::{one_mark_less, quotes, without_quotes};
use super::recommendation::FoundNitrogen;
use super::rewrap::rewrap;
use super::sheet;
use super::spaced::sentences_joined;
use super::threefold::threefold;
use super::vocabulary::{Context, Field};
use crate::document::{Content, Document, Word};
use crate::soil::Analyte;
use sentences::sentences;
use spoken::{decimal, is_example, latest_year, shouting, shouts_symbols};
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};
use std::sync::OnceLock;
use tables::{Open, page_samples};
use unread::{blank_rows, is_row, is_row_between};

/// What a document gives.
#[derive(Debug, Default)]
pub struct Gathered {
    /// Samples in printed order.
    pub samples: Vec<FoundSample>,
    /// Nitrogen recommended, in printed order.
    pub nitrogen: Vec<FoundNitrogen>,
    /// Fields of all pages in printed order.
    pub fields: Vec<FieldValue>,
    /// Captions and footnotes of the whole document.
    pub notes: Notes,
    /// Those of sheets that tell methods of their own, by page.
    pub sheet_notes: HashMap<u32, Notes>,
    /// The laboratory's name from the letterhead.
    pub letterhead: Option<String>,
    /// All text, a line a line.
    pub text: String,
    /// What stands above the first result.
    pub head: String,
    /// Titles of tables beside the results that are of another matter than soil, as they stand in the text.
    pub other_matter: Vec<String>,
    /// Order of day and month.
    pub order: DayOrder,
    /// The latest year in its dates.
    pub year: Option<i16>,
    /// The report speaks in inches, acres or pounds.
    pub inches_spoken: bool,
    /// The unit that a sentence gives to its depths.
    pub depth_unit: Option<&'static str>,
    /// Features of the form it is printed on.
    pub features: Vec<String>,
    /// Numbers that samples are called by, each with words beside it that may be the name instead.
    pub beside_numbers: Vec<(String, String)>,
    /// Words that recognition of a picture was not sure of.
    pub doubted: HashSet<String>,
    /// Whether a table gives a sample its day: asked for every sample, looked up once.
    pub dated_by_table: OnceLock<bool>,
    /// Whether the text says that it replaces an earlier report; the same for every sample.
    pub revised: OnceLock<bool>,
}

impl Gathered {
    /// True where recognition was not sure of a word of this text.
    pub fn unsure_of(&self, text: &str) -> bool {
        !self.doubted.is_empty() && text.split_whitespace().any(|word| self.doubted.contains(word))
    }

    /// The text that says what was analysed: all of it but the titles over results of another matter beside those of
    /// soil.
    pub fn of_its_matter(&self) -> Cow<'_, str> {
        if self.other_matter.is_empty() {
            return Cow::Borrowed(&self.text);
        }
        let own = |line: &&str| !self.other_matter.iter().any(|title| title == line);
        Cow::Owned(self.text.lines().filter(own).collect::<Vec<_>>().join("\n"))
    }

    /// How many measurements were found.
    pub fn readings(&self) -> usize {
        self.samples.iter().map(|s| s.readings.len()).sum()
    }
}

/// Words that recognition was not sure of. One of letters alone that it read surely elsewhere is known to be a word.
fn doubted(document: &Document) -> HashSet<String> {
    let words = || {
        document.pages.iter().flat_map(|page| match &page.content {
            Content::Words(words) => words.as_slice(),
            _ => &[],
        })
    };
    let unsure = |word: &&Word| word.confidence.is_some_and(|sure| sure < SURE_RECOGNITION);
    let letters = |word: &&Word| word.text.chars().all(char::is_alphabetic);
    let known: HashSet<&str> =
        words().filter(|word| !unsure(word) && letters(word)).map(|word| word.text.as_str()).collect();
    words()
        .filter(unsure)
        .map(|word| word.text.clone())
        .filter(|text| !known.contains(text.as_str()))
        .collect()
}

/// Reads every page.
pub fn gather(document: &Document) -> Gathered {
    let laid = document.pages.iter().map(layout).map(sentences_joined);
    let pages = marks::plain(laid.map(rejoined).map(rewrap).map(threefold).collect());
    let pages = ditto::written_out(pages);
    let pages = sheet::plain(codes::written_out(levels::told(pages)));
    gather_mail(document, pages, QUOTATIONS)
}

/// Mails quoted inside each other that are read one by one.
const QUOTATIONS: usize = 4;

/// What an answer quotes is an older mail; where nothing else holds results, the quotation itself is read, and what that
/// one quotes in turn is older still.
fn gather_mail(document: &Document, pages: Vec<Layout>, deep: usize) -> Gathered {
    if deep == 0 || !pages.iter().any(quotes) {
        return gather_pages(document, pages);
    }
    let own = gather_pages(document, pages.iter().map(without_quotes).collect());
    if own.readings() > 0 {
        return own;
    }
    let less: Vec<Layout> = pages.iter().map(one_mark_less).collect();
    if less == pages { gather_pages(document, pages) } else { gather_mail(document, less, deep - 1) }
}

/// The phrases of a line, two spaces apart.
fn line_text(line: &Line) -> String {
    line.phrases.iter().map(|p| p.text()).collect::<Vec<_>>().join("  ")
}

/// The words of a note. Where the sign that parts the cells of a table file parts the clauses of a note too, each cell is
/// a clause: `P and K in Mehlich-1; Ca in KCl`.
fn note_text(line: &Line, cells: bool) -> String {
    let clause = |p: &Phrase| p.text().split(' ').count() > LONGEST_KEY && !p.text().ends_with([':', '=']);
    let apart = cells && line.phrases.first().is_some_and(clause);
    if let ([name, told], true) = (line.phrases.as_slice(), cells)
        && is_key(name)
    {
        return format!("{}: {}", name.text(), told.text());
    }
    line.phrases.iter().map(|p| p.text()).collect::<Vec<_>>().join(if apart { "; " } else { "  " })
}

/// `K, Mg, Ca`: measurements alone, in a cell before what is told of them.
fn is_key(name: &Phrase) -> bool {
    let said = name.label(Context { symbols: true, capitals: false });
    (said.analyte.is_some() || said.several) && said.unknown.is_empty() && !name.text().ends_with([':', '='])
}

/// Words of the longest key before its value in a cell of its own: `Extraction of nutrients`, with room.
const LONGEST_KEY: usize = 4;

fn gather_pages(document: &Document, pages: Vec<Layout>) -> Gathered {
    let mut out = Gathered { doubted: doubted(document), ..Gathered::default() };
    let lines: Vec<String> = pages.iter().flat_map(|p| p.lines.iter()).map(line_text).collect();
    out.text = lines.join("\n");
    let capitals = shouting(&out.text) || shouts_symbols(&pages);
    let context = Context { symbols: true, capitals };
    let decimal = decimal(&pages);
    out.order = decide_order(lines.iter().map(String::as_str));
    out.inches_spoken = speaks_inches(&out.text);
    out.depth_unit = depth_unit_said(&out.text);
    out.features = super::taught::features(&pages, context);
    out.year = lines.iter().filter_map(|l| latest_year(l, out.order)).max();
    out.letterhead = pages.first().and_then(letterhead);
    let mut titles = over_tables(&pages, context);
    if titles.is_empty() {
        titles = numbered_titles(&pages, context);
    }
    let owner = |f: &FieldValue| f.field.names_an_owner();
    let mut carried = Open::default();
    let mut left_over: Vec<NoteLine> = Vec::new();
    let mut left_on: Vec<u32> = Vec::new();
    let mut untold: Vec<(&Layout, Vec<bool>)> = Vec::new();
    let mut titled = Titled::default();
    for page in &pages {
        if is_example(page) {
            continue;
        }
        let none_above = out.samples.is_empty();
        let taken = page_samples(page, context, decimal, &mut carried, &mut out);
        if none_above {
            let above = page.lines.iter().zip(&taken).take_while(|(_, taken)| !**taken);
            out.head.extend(above.flat_map(|(line, _)| [line_text(line), "\n".to_owned()]));
        }
        let head = letter_head(page);
        if head.iter().all(|f| f.field != Field::Client) {
            let lab = out.letterhead.as_deref();
            let client = addressee(page, lab).or_else(|| greeted(page, lab));
            out.fields.extend(client);
        }
        out.fields.extend(head);
        let mut own = super::whole::whole_fields(page, fields(page, &taken, context));
        let beside = margin(page);
        if !beside.is_empty() {
            own.retain(|f| !beside.iter().any(|b| b.field == f.field));
            own.extend(beside);
            own.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
        }
        for (line, days) in days_abreast(page) {
            let day = |f: &FieldValue| {
                matches!(f.field, Field::SampledOn | Field::ReceivedOn | Field::ReportedOn | Field::Day)
            };
            own.retain(|f| !day(f) || f.area.overlap_y(&line) <= 0.0);
            own.extend(days);
            own.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
        }
        let boxed = boxes(page, &taken);
        if !boxed.is_empty() {
            let within = |f: &FieldValue| boxed.iter().any(|b| b.area.overlap_y(&f.area) > 0.0);
            own.retain(|f| !boxed.iter().any(|b| b.field == f.field) && !within(f));
            own.extend(boxed);
            own.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
        }
        let over = titles.iter().filter(|f| f.page == page.number).cloned().collect::<Vec<_>>();
        if !over.is_empty() {
            // `Ref. 4400` beside the name over a table numbers what stands in it, and no report.
            let numbers = |f: &FieldValue| {
                let same = |o: &&FieldValue| o.field == Field::LabSample && o.text == f.text;
                matches!(f.field, Field::Report | Field::Lab)
                    && over.iter().find(same).is_some_and(|o| o.area.overlap_y(&f.area) > 0.0)
            };
            own.retain(|f| !numbers(f));
            own.extend(over);
            own.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
        }
        if !own.iter().chain(&out.fields).any(owner) {
            out.fields.extend(over_report(page, out.letterhead.as_deref()));
        }
        out.fields.extend(own);
        titled.add(page, head_end(page, &taken, &out.fields));
        let blank = blank_rows(page, &taken, decimal, context);
        let free = page.lines.iter().zip(taken.iter().zip(&blank)).enumerate();
        let free =
            free.filter(|(_, (l, (taken, blank)))| !**taken && !**blank && !is_row(l, decimal, context));
        let beside = |i: usize| [i.checked_sub(1).and_then(|i| taken.get(i)), taken.get(i + 1)];
        let free = free.filter(|(i, (l, _))| page.cells || !is_row_between(l, beside(*i), decimal));
        left_over.extend(free.map(|(i, (l, _))| NoteLine {
            text: note_text(l, page.cells),
            footnote: l.footnote,
            apart: i.checked_sub(1).is_none_or(|above| taken.get(above) == Some(&true)),
        }));
        left_on.resize(left_over.len(), page.number);
        untold.push((page, taken));
    }
    let by_tables = |s: &FoundSample| s.named_by_table && s.field(Field::SampleLabel).is_some();
    if !out.samples.is_empty() && out.samples.iter().all(by_tables) {
        name_over_a_table(&pages, &mut out.fields);
    }
    let sampled = out.fields.iter().any(|f| f.field == Field::SampleLabel && !f.text.is_empty());
    // A name that nothing asks for may be the sample's, where no sample has one of its own.
    let labelled = |s: &FoundSample| s.field(Field::SampleLabel).is_some();
    if sampled || out.samples.iter().any(labelled) {
        let named = out.fields.iter().any(owner);
        let dated = out.fields.iter().any(|f| f.firm && f.field == Field::ReportedOn);
        let needed = |f: &FieldValue| if f.field == Field::Client { !named } else { !dated };
        if !(named && dated) {
            let told = told_in_a_strip(&pages, out.letterhead.as_deref());
            out.fields.extend(told.into_iter().filter(needed));
        }
    }
    settle(&mut out.fields);
    client_names::name_samples(&mut out.samples, &out.fields);
    out.beside_numbers = titles_over_numbers(&pages, context, out.letterhead.as_deref(), &mut out.fields);
    for sample in &mut out.samples {
        for (field, _) in &mut sample.fields {
            match field {
                // A farm in a column of its own tells the rows of one client apart.
                Field::Farm => *field = Field::Client,
                // A day in a column called `Date` is of the sample or of its test: it tells the year.
                Field::Day => *field = Field::Handled,
                _ => {}
            }
        }
        for found in std::mem::take(&mut sample.undetected) {
            let limit = super::below::told(&out.text, &found, decimal);
            sample.readings.extend(limit.map(|number| Found { number, ..found }));
        }
    }
    roster::name_samples(&mut out.samples, &pages);
    name_horizons(&mut out.samples, &profiles(&pages), &pages);
    days_behind_names(&mut out.samples);
    let named = document.pages.iter().filter_map(|p| Some((p.number, p.name.clone()?)));
    former::sheets(&mut out, &named.collect::<Vec<_>>());
    let year = out.year;
    former::rows(&mut out.samples, year);
    let measured = measured_in_tables(&out.samples);
    lines_by_themselves(&mut out.samples, &measured);
    half_methods(&mut out.samples);
    matter::doubt_percents(&mut out.samples);
    named_by_unknown_words(&mut out.samples, &out.fields);
    for (page, taken) in untold {
        sentences(page, context, decimal, &taken, &measured, &mut out.samples);
    }
    out.samples.sort_by(|a, b| a.page.cmp(&b.page).then(a.y.total_cmp(&b.y)));
    let mut pages_left = left_on.into_iter();
    let mut kept_on: Vec<u32> = Vec::new();
    left_over.retain(|l| {
        let page = pages_left.next();
        let kept = !names_sample(&l.text, context);
        kept_on.extend(page.filter(|_| kept));
        kept
    });
    some::doubt_some(&mut out.samples, &left_over);
    let borne: Vec<String> = out.samples.iter().flat_map(|s| &s.readings).flat_map(Found::signs).collect();
    out.notes = notes(&left_over, &borne, context);
    let orders = printed_orders(&out.samples);
    settle_ranges(&mut out.notes, &orders);
    out.notes.titled = titled;
    out.notes.letters = legend(&out.text);
    out.notes.lost = lost::extracts(&lines, &pages, &out.samples, &out.notes);
    out.sheet_notes = sheet_notes::of_each(&pages, &kept_on, &left_over, &borne, &out, context);
    out
}

/// What is printed in which order: of each sample, and of each page whose tables are parts of one.
fn printed_orders(samples: &[FoundSample]) -> Vec<Vec<Analyte>> {
    let analytes = |s: &FoundSample| s.readings.iter().filter_map(|r| r.label.analyte).collect::<Vec<_>>();
    let parts = |page: u32| {
        let own = samples.iter().filter(move |s| s.page == page && s.field(Field::SampleLabel).is_none());
        own.flat_map(analytes).collect::<Vec<_>>()
    };
    let mut pages: Vec<u32> = samples.iter().map(|s| s.page).collect();
    pages.dedup();
    let unlike = |order: &Vec<Analyte>| order.iter().collect::<HashSet<_>>().len() == order.len();
    let whole = pages.into_iter().map(parts).filter(unlike);
    samples.iter().map(analytes).chain(whole).collect()
}

/// One past the last line above the first field and the first table of a page; none on a page without a table.
fn head_end(page: &Layout, taken: &[bool], fields: &[FieldValue]) -> usize {
    let Some(table) = taken.iter().position(|t| *t) else { return 0 };
    let own = fields.iter().filter(|f| f.page == page.number && f.field != Field::Lab);
    let top = own.map(|f| f.area.y0).fold(f32::INFINITY, f32::min);
    let field = page.lines.iter().position(|l| l.area.y1 > top).unwrap_or(table);
    table.min(field)
}

#[cfg(test)]
mod tests {
    use super::super::layout::tests::typed;
    use super::*;

    #[test]
    fn headings_side_by_side_make_no_page_an_example() {
        let example = |line: &str| is_example(&layout(&typed(&[line])));
        assert!(example("Sample report") && example("How to read this report"));
        assert!(!example("Lab sample      Report") && !example("Soil sample report"));
    }
}
