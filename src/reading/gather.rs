//! Everything a document's pages give before it is put together: samples, fields, notes, the whole text.

use super::across;
use super::align::{self, inside};
use super::another::{self, Aside};
use super::aside::{
    beside_tables, half_methods, lines_by_themselves, measured_in_tables, named_by_unknown_words,
};
use super::atom::{Atom, Kind, atoms};
use super::band::{Band, Leaf, bands};
use super::date::{DayOrder, decide_order};
use super::dated::days_behind_names;
use super::down;
use super::fold::pieces;
use super::former;
use super::found::{Found, FoundSample};
use super::header::{FieldValue, addressee, day, fields, letter_head, letterhead, names_sample, settle};
use super::label::label;
use super::layout::{Layout, Line, Token, layout};
use super::lost;
use super::marks;
use super::matter;
use super::normalise::SURE_RECOGNITION;
use super::notes::{NoteLine, Notes, Titled, legend, notes};
use super::number::{Decimal, decide_decimal, number};
use super::prose;
use super::quoted::{quotes, without_quotes};
use super::recommendation::{self, FoundNitrogen};
use super::rewrap::rewrap;
use super::units::{Rule, conversion};
use super::vocabulary::{Context, Field, Form, Meaning, hits_where, symbol_in_capitals};
use super::words::List;
use crate::document::{Content, Document, Word};
use crate::place::Rect;
use crate::soil::{Analyte, Doubt};
use std::borrow::Cow;
use std::collections::HashSet;
use std::sync::OnceLock;

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
    /// Features of the form it is printed on.
    pub features: Vec<String>,
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
    let pages = marks::plain(document.pages.iter().map(layout).map(rewrap).collect());
    if !pages.iter().any(quotes) {
        return gather_pages(document, pages);
    }
    // What an answer quotes is an older mail; where nothing else holds results, the quotation itself is read.
    let own = gather_pages(document, pages.iter().map(without_quotes).collect());
    if own.readings() > 0 { own } else { gather_pages(document, pages) }
}

/// The phrases of a line, two spaces apart.
fn line_text(line: &Line) -> String {
    line.phrases.iter().map(|p| p.text()).collect::<Vec<_>>().join("  ")
}

fn gather_pages(document: &Document, pages: Vec<Layout>) -> Gathered {
    let mut out = Gathered { doubted: doubted(document), ..Gathered::default() };
    let lines: Vec<String> = pages.iter().flat_map(|p| p.lines.iter()).map(line_text).collect();
    out.text = lines.join("\n");
    let capitals = shouting(&out.text) || shouts_symbols(&pages);
    let context = Context { symbols: true, capitals };
    let decimal = decimal(&pages);
    out.order = decide_order(lines.iter().map(String::as_str));
    let lower = out.text.to_lowercase();
    out.inches_spoken = [" inch", "inches", " in\n", "acre", "lb/a", "lbs/a", "(in)", "depth in"]
        .iter()
        .any(|w| lower.contains(w));
    out.features = super::taught::features(&pages, context);
    out.year = lines.iter().filter_map(|l| latest_year(l, out.order)).max();
    out.letterhead = pages.first().and_then(letterhead);
    let mut carried = Open::default();
    let mut left_over: Vec<NoteLine> = Vec::new();
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
            out.fields.extend(addressee(page, out.letterhead.as_deref()));
        }
        out.fields.extend(head);
        out.fields.extend(super::whole::whole_fields(page, fields(page, &taken, context)));
        titled.add(page, head_end(page, &taken, &out.fields));
        let blank = blank_rows(page, &taken, decimal, context);
        let free = page.lines.iter().zip(taken.iter().zip(&blank)).enumerate();
        let free =
            free.filter(|(_, (l, (taken, blank)))| !**taken && !**blank && !is_row(l, decimal, context));
        left_over.extend(free.map(|(i, (l, _))| NoteLine {
            text: l.phrases.iter().map(|p| p.text()).collect::<Vec<_>>().join("  "),
            footnote: l.footnote,
            apart: i.checked_sub(1).is_none_or(|above| taken.get(above) == Some(&true)),
        }));
        untold.push((page, taken));
    }
    settle(&mut out.fields);
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
    left_over.retain(|l| !names_sample(&l.text, context));
    out.notes = notes(&left_over, context);
    out.notes.titled = titled;
    out.notes.letters = legend(&out.text);
    out.notes.lost = lost::extracts(&lines, &out.samples, &out.notes);
    out
}

/// One past the last line above the first field and the first table of a page; none on a page without a table.
fn head_end(page: &Layout, taken: &[bool], fields: &[FieldValue]) -> usize {
    let Some(table) = taken.iter().position(|t| *t) else { return 0 };
    let own = fields.iter().filter(|f| f.page == page.number && f.field != Field::Lab);
    let top = own.map(|f| f.area.y0).fold(f32::INFINITY, f32::min);
    let field = page.lines.iter().position(|l| l.area.y1 > top).unwrap_or(table);
    table.min(field)
}

/// A row of a table that was not read, `Na   36   pound per acre   Morgan extract`: what it says is its own, and no note.
fn is_row(line: &Line, decimal: Decimal, context: Context) -> bool {
    let named = line.phrases.first().is_some_and(|p| label(&p.text(), context).analyte.is_some());
    let value = |p: &super::layout::Phrase| {
        let atoms = super::atom::phrase_atoms(p, decimal);
        let words = p.text().contains(|c: char| c.is_alphabetic() && !c.is_uppercase());
        atoms.first().is_some_and(|a| match a.kind {
            Kind::Range | Kind::Blank => true,
            Kind::Number(_) => !words,
            Kind::Text => false,
        })
    };
    // `CEC meq/100 g 17.0 18.5 15.2` set close together is a row all the same.
    let figure = |t: &&Token| number(&t.text, decimal).is_some_and(|n| n.qualifier.is_none());
    let tokens: Vec<&Token> = line.phrases.iter().flat_map(|p| &p.tokens).collect();
    let figures = tokens.iter().rev().take_while(|t| figure(t)).count();
    // `P5   44783   0-15 cm Ac mmol/kg   40.3`: the name stands behind the sample's.
    let behind = || {
        let (Some(last), true) = (line.phrases.last(), line.phrases.len() > 2) else { return false };
        let names = |p: &super::layout::Phrase| {
            let words = pieces(&p.text());
            words.len() <= MOST_WORDS_OF_A_NAME
                && !hits_where(&words, context, &|m| matches!(m, Meaning::Analyte(..))).is_empty()
        };
        value(last) && line.phrases.iter().any(names)
    };
    !line.footnote && (named && (line.phrases.iter().skip(1).any(value) || figures > 2) || behind())
}

/// More pieces are a sentence.
const MOST_WORDS_OF_A_NAME: usize = 12;

/// `Mn Mehlich 1 extract      mg/dm3` right below (or above) a row of results: a row whose value is blank, and no note.
fn blank_rows(page: &Layout, taken: &[bool], decimal: Decimal, context: Context) -> Vec<bool> {
    let result = |l: &Line| l.phrases.iter().skip(1).any(|p| number(&p.text(), decimal).is_some());
    let blank = |l: &Line| {
        let beside = |p: &super::layout::Phrase| {
            let said = label(&p.text(), Context { symbols: false, ..context });
            let cell = said.unit.is_some() || said.rating || said.decoy || !said.methods.is_empty();
            cell && said.unknown.is_empty() && said.analyte.is_none()
                || super::atom::phrase_atoms(p, decimal).iter().all(|a| !matches!(a.kind, Kind::Text))
        };
        let name = |p: &super::layout::Phrase| {
            let said = label(&p.text(), context);
            said.analyte.is_some() && said.unknown.is_empty() && !p.text().ends_with('.')
        };
        !l.footnote && l.phrases.first().is_some_and(name) && l.phrases.iter().skip(1).all(beside)
    };
    let mut out: Vec<bool> = page.lines.iter().zip(taken).map(|(l, taken)| *taken && result(l)).collect();
    let close = |a: &Line, b: &Line| {
        (a.area.x0 - b.area.x0).abs() < page.em && b.area.y0 - a.area.y1 < page.em && a.area.y1 < b.area.y1
    };
    let below = (1..page.lines.len()).map(|i| (i, i - 1));
    let above = (1..page.lines.len()).rev().map(|i| (i - 1, i));
    for (at, from) in below.chain(above) {
        let (Some(line), Some(beside)) = (page.lines.get(at), page.lines.get(from)) else { continue };
        let near = if at > from { close(beside, line) } else { close(line, beside) };
        if near
            && out.get(from) == Some(&true)
            && taken.get(at) == Some(&false)
            && blank(line)
            && let Some(row) = out.get_mut(at)
        {
            *row = true;
        }
    }
    out
}

/// More words are a sentence.
const MOST_WORDS_OF_A_CELL: usize = 4;

/// How the document writes decimals.
fn decimal(pages: &[Layout]) -> Decimal {
    let texts: Vec<String> = pages
        .iter()
        .flat_map(|p| &p.lines)
        .flat_map(|l| &l.phrases)
        .map(super::layout::Phrase::text)
        .collect();
    let (alone, talk): (Vec<&str>, Vec<&str>) =
        texts.iter().map(String::as_str).partition(|t| t.split(' ').count() <= MOST_WORDS_OF_A_CELL);
    decide_decimal(alone.iter().flat_map(|t| t.split(' ')), talk.iter().flat_map(|t| t.split(' ')))
}

/// The latest year among the dates of a line.
fn latest_year(line: &str, order: DayOrder) -> Option<i16> {
    line.split("  ").filter_map(|part| day(part, order).1).max()
}

/// A page that explains the form with made-up numbers. `Lab sample   Report` are two headings, and a `Soil sample report`
/// is one on samples of soil.
fn is_example(page: &Layout) -> bool {
    let says = |text: &str| {
        let phrases = [
            "how to read",
            "example report",
            "sample report",
            "specimen report",
            "example of a report",
            "understanding your",
        ];
        phrases.iter().any(|w| text.contains(w)) && !text.contains("soil sample report")
    };
    page.lines.iter().take(6).any(|l| {
        l.phrases.iter().any(|p| says(&p.text().to_lowercase()))
            || l.phrases.first().is_some_and(|p| p.text().to_lowercase().starts_with("example"))
    })
}

/// A document whose words are nearly all in capitals prints `CA` for calcium.
fn shouting(text: &str) -> bool {
    let (mut upper, mut lower) = (0usize, 0usize);
    for c in text.chars() {
        upper += usize::from(c.is_uppercase());
        lower += usize::from(c.is_lowercase());
    }
    upper > 4 * lower
}

/// So many symbols in capitals are no state and no blank mark.
const SYMBOLS_IN_CAPITALS: usize = 3;

/// True where cells of a table name elements as `CA`, `MG` and `ZN`, and none as `Ca`.
fn shouts_symbols(pages: &[Layout]) -> bool {
    let phrases =
        pages.iter().flat_map(|p| &p.lines).filter(|l| l.phrases.len() > 1).flat_map(|l| &l.phrases);
    let mut shouted: Vec<String> = Vec::new();
    for phrase in phrases {
        let Some(first) = phrase.tokens.first() else { continue };
        let symbol = first.text.split([' ', ',', '(']).next().unwrap_or_default();
        match symbol_in_capitals(symbol) {
            Some(true) if !shouted.iter().any(|s| s == symbol) => shouted.push(symbol.to_owned()),
            Some(false) => return false,
            _ => {}
        }
    }
    shouted.len() >= SYMBOLS_IN_CAPITALS
}

/// Tables that may go on at the top of the next page.
#[derive(Default)]
struct Open {
    across: Option<Carried>,
    down: Option<down::Carried>,
}

/// A table that may go on at the top of the next page without its heading.
struct Carried {
    band: Band,
    columns: Vec<(Rect, usize)>,
    /// What of its heading was not understood.
    doubt: Option<Doubt>,
}

fn page_samples(
    page: &Layout,
    context: Context,
    decimal: Decimal,
    carried: &mut Open,
    out: &mut Gathered,
) -> Vec<bool> {
    let rows: Vec<Vec<Atom>> = page.lines.iter().map(|l| atoms(l, decimal)).collect();
    let mut taken = vec![false; page.lines.len()];
    let take = |taken: &mut Vec<bool>, lines: &[usize]| {
        for i in lines {
            if let Some(t) = taken.get_mut(*i) {
                *t = true;
            }
        }
    };
    let found = bands(page, context, decimal);
    if let Some(before) = carried.across.take() {
        let end = found.first().map_or(page.lines.len(), |b| b.first);
        if continues(&before, rows.get(..end).unwrap_or_default()) {
            let (mut samples, lines) = across::read(page, &rows, &before.band, 0..end, context, decimal);
            across::doubt_all(&mut samples, before.doubt.as_ref());
            take(&mut taken, &lines);
            out.samples.extend(samples);
            if found.is_empty() {
                carried.across = Some(before);
            }
        }
    }
    for (i, band) in found.iter().enumerate() {
        let end = found.get(i + 1).map_or(page.lines.len(), |b| b.first);
        // A heading of names and results alone, without a sample of its own, is read row by row below.
        if band.long() && !names_samples(band) {
            continue;
        }
        let mut band = band.clone();
        quiet_rates(&mut band);
        let band = &band;
        if is_advice(band, titled_advice(page, band)) {
            take(
                &mut taken,
                &(band.first..end)
                    .filter(|l| {
                        *l < band.end
                            || rows.get(*l).is_some_and(|r| {
                                r.iter().any(|a| a.number().is_some())
                                    && !is_row_beside(r, band, page.em, context)
                            })
                    })
                    .collect::<Vec<_>>(),
            );
            continue;
        }
        let (mut samples, lines) = across::read(page, &rows, band, band.end..end, context, decimal);
        let strange = another::begins(page, &rows, band.end..end).filter(|_| !band.long());
        if let Some(at) = strange {
            take(&mut taken, &another::rows_of_no_results(page, &rows, at, end));
        }
        let aside = another::aside(page, band, &out.samples)
            .filter(|aside| *aside == Aside::Matter || !another::share_names(page, &lines, &out.samples));
        let former = former::titled(page, band.first, out.year);
        if aside == Some(Aside::Matter)
            && let Some(title) = band.first.checked_sub(1).and_then(|i| page.lines.get(i))
        {
            out.other_matter.push(line_text(title));
        }
        if aside.is_some() || former.as_ref().is_some_and(|(before, _)| *before) && !out.samples.is_empty() {
            take(&mut taken, &(band.first..band.end).collect::<Vec<_>>());
            take(&mut taken, &lines);
            continue;
        }
        across::doubt_all(&mut samples, former.map(|(_, doubt)| doubt).as_ref());
        if band.unread_above(page, decimal) {
            across::doubt_all(&mut samples, Some(&across::heading_unread()));
        }
        if samples.is_empty() && lines.is_empty() {
            continue;
        }
        // What stands between a heading and its first row, in several columns, is no note.
        let first = lines.first().copied().unwrap_or(band.end).max(band.end);
        let columns = |i: &usize| page.lines.get(*i).is_some_and(|l| l.phrases.len() > 1);
        take(&mut taken, &(band.first..band.end).collect::<Vec<_>>());
        take(&mut taken, &(band.end..first).filter(columns).collect::<Vec<_>>());
        take(&mut taken, &lines);
        if !samples.is_empty() && !page.cells {
            let doubts = samples.iter().flat_map(|s| &s.readings).flat_map(|r| &r.doubts);
            let doubt = doubts.into_iter().find(|d| **d == across::heading_unread()).cloned();
            carried.across = carry(band, &lines, &rows, page.em, doubt);
        }
        out.samples.extend(samples);
    }
    let free: Vec<bool> = taken.iter().map(|t| !t).collect();
    let around = down::Around { context, decimal, text: &out.text, year: out.year };
    let (samples, lines) = down::read(page, &rows, &free, around, &mut carried.down);
    take(&mut taken, &lines);
    out.samples.extend(samples);
    let here = out.samples.iter().position(|s| s.page == page.number).unwrap_or(out.samples.len());
    super::whole::drop_halves(page, out.samples.get_mut(here..).unwrap_or_default());
    out.nitrogen.extend(recommendation::find(page, &rows, context, decimal));
    out.samples.sort_by(|a, b| a.page.cmp(&b.page).then(a.y.total_cmp(&b.y)));
    taken
}

/// True for a line that begins with a name and a value left of a table: a row of the one beside.
fn is_row_beside(row: &[Atom], band: &Band, em: f32, context: Context) -> bool {
    let left = band.leaves.iter().map(|l| l.area.x0).fold(f32::INFINITY, f32::min);
    let own: Vec<&Atom> = row.iter().filter(|a| a.area.x1 < left - em).collect();
    own.first().is_some_and(|a| label(&a.text, context).is_result())
        && own.iter().any(|a| a.number().is_some())
}

fn names_samples(band: &Band) -> bool {
    band.leaves.iter().any(|l| matches!(l.label.field, Some(Field::SampleLabel | Field::LabSample)))
}

/// A table of advice: rates by crop, nitrogen beside the oxides, or the unit of a rate.
fn is_advice(band: &Band, titled: bool) -> bool {
    let texts: Vec<String> = band.leaves.iter().map(|l| l.text.to_lowercase()).collect();
    let crops = ["crop", "kultur", "fruchtart", "culture", "cultivo"];
    let crop = texts.iter().any(|t| crops.iter().any(|c| t.starts_with(c)) || t.contains("crop to be grown"));
    let nitrogen = texts.iter().any(|t| t == "n" || t.starts_with("nitrogen") || t.starts_with("n "));
    let oxides = band
        .leaves
        .iter()
        .filter(|l| matches!(l.label.form, Some(Form::Oxide | Form::OxideOrElement)))
        .count();
    let rate = band
        .leaves
        .iter()
        .any(|l| l.label.unit.as_ref().is_some_and(|u| matches!(u.0, "lb/1000ft2" | "ton/acre")));
    ((oxides > 0 && (crop || nitrogen || limed(band))) || rate || titled && nitrogen) && !measured(band)
}

/// `Lime lb/ac   P2O5 lb/ac   K2O lb/ac`: what to spread on an area is a rate, and so is what is counted like it beside.
fn limed(band: &Band) -> bool {
    let per_area = |l: &Leaf| {
        let unit = l.label.unit.as_ref().and_then(|u| conversion(u.0, crate::soil::Unit::MgPerKg));
        unit.is_some_and(|c| matches!(c.rule, Rule::Area | Rule::AreaMetric))
    };
    let lime = |l: &Leaf| {
        let first = l.text.split(' ').next().unwrap_or_default().to_lowercase();
        per_area(l) && l.label.analyte.is_none() && List::Lime.has(&first)
    };
    band.leaves.iter().any(lime) && band.leaves.iter().filter(|l| l.label.is_result()).all(per_area)
}

/// True where the line right above a heading is the title of what to put down: `Nutrient advice (kg/ha)`.
fn titled_advice(page: &Layout, band: &Band) -> bool {
    let above = band.first.checked_sub(1).and_then(|i| page.lines.get(i));
    let own = page.lines.get(band.first);
    above.zip(own).is_some_and(|(a, b)| {
        let near =
            if page.cells { b.area.y0 - a.area.y0 < 45.0 } else { b.area.y0 - a.area.y1 < 4.0 * page.em };
        near && down::is_title(a)
    })
}

/// True where a table holds what only a soil test measures: no table of advice, whatever rates stand beside.
fn measured(band: &Band) -> bool {
    use crate::soil::Unit;
    band.leaves.iter().filter(|l| l.label.is_result()).filter_map(|l| l.label.analyte).any(|a| {
        matches!(a, Analyte::OrganicMatter | Analyte::SolubleSalts)
            || matches!(a.unit(), Unit::One | Unit::CentimolePerKg)
            || a.saturation().is_none() && a.id().starts_with("sat_")
    })
}

/// Rates of advice beside results: a unit that only a rate has, and oxides right behind nitrogen, are none.
fn quiet_rates(band: &mut Band) {
    if !measured(band) {
        return;
    }
    let nitrogen = |l: &Leaf| {
        let text = l.text.to_lowercase();
        l.label.analyte.is_none() && (text == "n" || text.starts_with("nitrogen") || text.starts_with("n "))
    };
    let mut behind = false;
    for leaf in &mut band.leaves {
        let oxide = matches!(leaf.label.form, Some(Form::Oxide | Form::OxideOrElement));
        let rate = leaf.label.unit.as_ref().is_some_and(|u| matches!(u.0, "lb/1000ft2" | "ton/acre"));
        behind = nitrogen(leaf) || behind && oxide;
        if rate {
            leaf.label.decoy = true;
        } else if behind && oxide && leaf.label.is_result() {
            leaf.label.unknown.push("a result or a rate".to_owned());
        }
    }
}

fn carry(band: &Band, lines: &[usize], rows: &[Vec<Atom>], em: f32, doubt: Option<Doubt>) -> Option<Carried> {
    let data: Vec<Vec<Atom>> = lines.iter().filter_map(|i| rows.get(*i).cloned()).collect();
    let headings: Vec<Rect> = band.leaves.iter().map(|l| l.area).collect();
    let columns = align::columns(&data, &headings, em, &|a| !matches!(a.kind, Kind::Text))
        .into_iter()
        .filter_map(|c| Some((c.area, c.heading?)))
        .collect();
    Some(Carried { band: band.clone(), columns, doubt })
}

/// The first rows of a page go on with a table when their numbers stand in its columns.
fn continues(before: &Carried, rows: &[Vec<Atom>]) -> bool {
    let mut seen = 0;
    for row in rows {
        let numbers: Vec<&Atom> = row.iter().filter(|a| a.number().is_some()).collect();
        if numbers.len() < 3 {
            continue;
        }
        let fit = numbers
            .iter()
            .filter(|a| before.columns.iter().any(|(c, _)| inside(c, &a.area) || c.overlap_x(&a.area) > 0.0))
            .count();
        if fit * 10 < numbers.len() * 9 {
            return false;
        }
        seen += 1;
    }
    seen > 0
}

/// The sentences of a letter are its results. Beside a table they explain: one that does not tell of this sample is no
/// reading, one that repeats the table adds nothing, and any other waits for a person.
fn sentences(
    page: &Layout,
    context: Context,
    decimal: Decimal,
    taken: &[bool],
    measured: &[(Analyte, String)],
    samples: &mut Vec<FoundSample>,
) {
    let mut paragraph: Vec<Token> = Vec::new();
    let mut blocks: Vec<(f32, Vec<Token>)> = Vec::new();
    let mut top = 0.0;
    let mut bottom = 0.0;
    for (line, taken) in page.lines.iter().zip(taken) {
        let far = line.area.y0 - bottom > 1.2 * page.em;
        if *taken || far {
            if !paragraph.is_empty() {
                blocks.push((top, std::mem::take(&mut paragraph)));
            }
            if *taken {
                continue;
            }
        }
        if paragraph.is_empty() {
            top = line.area.y0;
        }
        bottom = line.area.y1;
        for token in line.phrases.iter().flat_map(|p| p.tokens.iter()) {
            paragraph.extend(token.text.split(' ').map(|w| Token { text: w.to_owned(), ..token.clone() }));
        }
    }
    if !paragraph.is_empty() {
        blocks.push((top, paragraph));
    }
    for (y, tokens) in blocks {
        let said = prose::read(&tokens, context, decimal).into_iter();
        let readings: Vec<_> = said.filter_map(|said| beside_tables(said, measured)).collect();
        if !readings.is_empty() {
            samples.push(FoundSample { page: page.number, y, readings, ..FoundSample::default() });
        }
    }
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
