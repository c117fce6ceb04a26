//! Text recognition: turns the pictures of a document into words, each number read several times.
//!
//! The error that hurts is the decimal point lost without any doubt of the program (`6.4` read as `64`).
//! Readings of differently prepared pixels seldom lose the same point, and the ink between the figures shows
//! it, so a number counts only where enough of them agree.

mod engine;

mod frame;

mod sheet;

mod slope;

mod paper;

mod ink;

mod table;

mod strip;

mod figures;

mod agree;

use crate::document::{Content, Document, Limits, Picture, Refusal, Turn, Word};
use crate::place::{Place, Rect};
use crate::reading::vocabulary::is_word;
use crate::soil::Report;
use agree::Seeing;
use engine::{Failure, Manner, installed, run};
use figures::{Alike, Figure, Figures};
use frame::Frame;
use sheet::Sheet;
use std::path::Path;
use std::time::{Duration, Instant};
use strip::Strip;
use table::Seen;

/// Dots an inch at which text is recognised best.
const FINE: f32 = 400.0;

/// Most a sheet is enlarged: coarser pictures gain nothing more.
const MOST_SCALE: f32 = 4.0;

/// The pages that were turned or straightened to be read, and the way back to each page as it came.
#[derive(Debug, Default)]
pub struct Straightened(Vec<(u32, Back)>);

/// From the upright, level page to the page as it came.
#[derive(Debug, Clone, Copy)]
struct Back {
    frame: Frame,
    /// Where the picture lies on the page, in points.
    area: Rect,
    /// Pixels to the point, across and down.
    fineness: (f32, f32),
    /// Where the upright picture begins.
    origin: (f32, f32),
}

impl Straightened {
    /// Puts the places of readings back on their pages as they came.
    pub fn put_back(&self, reports: &mut [Report]) {
        let readings = reports.iter_mut().flat_map(|r| &mut r.samples).flat_map(|s| &mut s.readings);
        for reading in readings {
            if let Place::Page { page, area } = &mut reading.place
                && let Some((_, back)) = self.0.iter().find(|(number, _)| number == page)
            {
                *area = back.on_page(area);
            }
        }
    }
}

impl Back {
    fn on_page(&self, area: &Rect) -> Rect {
        let (across, down) = self.fineness;
        let upright = Rect::new(
            (area.x0 - self.origin.0) * across,
            (area.y0 - self.origin.1) * down,
            (area.x1 - self.origin.0) * across,
            (area.y1 - self.origin.1) * down,
        );
        let there = self.frame.on_picture(&upright);
        // Quarter turns swap what is across and what is down.
        let (across, down) = if self.frame.on_its_side() { (down, across) } else { (across, down) };
        Rect::new(
            self.area.x0 + there.x0 / across,
            self.area.y0 + there.y0 / down,
            self.area.x0 + there.x1 / across,
            self.area.y0 + there.y1 / down,
        )
    }
}

/// Words of the pictures of a document in place of the pictures. A picture that cannot be recognised
/// stays, and a note says why: the program is missing, failed, or took too long.
///
/// The boxes are those of the upright, level page, so that what stands in one row keeps to one height; what is
/// handed back leads to the page as it came.
///
/// # Errors
/// None today: whatever fails leaves the picture with a note.
pub fn recognise(document: &mut Document, limits: &Limits) -> Result<Straightened, Refusal> {
    Ok(recognise_with(installed().as_deref(), document, limits))
}

fn recognise_with(program: Option<&Path>, document: &mut Document, limits: &Limits) -> Straightened {
    let end = Instant::now() + Duration::from_secs(limits.ocr_seconds);
    let mut notes = Vec::new();
    let mut straightened = Straightened::default();
    let scanned = |content: &Content| matches!(content, Content::Picture(_));
    for page in document.pages.iter_mut().filter(|page| scanned(&page.content)) {
        let Content::Picture(picture) = &page.content else { continue };
        let Some(program) = program else {
            notes.push(
                "The document is a scan, and the program that recognises text is not installed. \
                 Install \"tesseract-ocr\", then the document is read."
                    .to_owned(),
            );
            break;
        };
        if Instant::now() >= end {
            notes.push(format!(
                "Text recognition stopped at page {} after {} seconds. Send the pages with the results alone.",
                page.number, limits.ocr_seconds
            ));
            break;
        }
        let deadline = end.min(Instant::now() + Duration::from_secs(limits.ocr_page_seconds));
        match (Desk { program, limits, deadline }).read(picture) {
            Ok((words, back)) => {
                if back.frame.on_its_side() {
                    (page.width, page.height) = (page.height, page.width);
                }
                page.content = Content::Words(words);
                straightened.0.push((page.number, back));
            }
            Err(failure) => notes.push(format!("Text recognition of page {} {failure}.", page.number)),
        }
    }
    document.notes.append(&mut notes);
    straightened
}

/// What the reading of one picture needs.
struct Desk<'d> {
    program: &'d Path,
    limits: &'d Limits,
    deadline: Instant,
}

/// Heights in pixels to which numbers are brought to be read by themselves.
const ALONE: [usize; 2] = [44, 32];

/// A sheet made ready, the way it was turned, and what the loose reading saw on it.
struct Turned {
    quarters: u8,
    frame: Frame,
    fine: Sheet,
    edge: u8,
    loose: Vec<Seen>,
}

impl Desk<'_> {
    /// The words of a picture, and the way back to it.
    fn read(&self, picture: &Picture) -> Result<(Vec<Word>, Back), Failure> {
        let fineness = fineness(picture);
        let paper = Sheet::of(picture).on_white(fineness);
        // Pixels are far fewer than an f32 can tell apart to a useful share.
        #[allow(clippy::cast_precision_loss)]
        let room = (self.limits.pixels as f32 / paper.grey.len().max(1) as f32).sqrt();
        let scale = (FINE / fineness).min(MOST_SCALE).min(room);
        let turned = self.upright(&paper, fineness, scale)?;
        if legible(&turned.loose) < TEXT {
            // A photograph: its grain is no text, and is not looked at any closer.
            return Ok((Vec::new(), back(picture, &turned)));
        }
        let dots = fineness * scale;
        let block = unscaled(self.run(&turned.fine, "6", dots, None)?, scale);
        let prints = agree::prints(block, unscaled(turned.loose.clone(), scale * LOOSE));
        let words = table::oxides(self.settled(&turned, prints, scale, dots)?);
        let back = back(picture, &turned);
        Ok((words.into_iter().map(|seen| placed(seen, &back)).collect(), back))
    }

    /// The sheet turned until it can be read: as the lines run, first the way most sheets lie.
    fn upright(&self, paper: &Sheet, fineness: f32, scale: f32) -> Result<Turned, Failure> {
        let order = if paper.lines(fineness).upright { [1, 3, 0, 2] } else { [0, 2, 1, 3] };
        let mut best: Option<(f32, Turned)> = None;
        for quarters in order {
            let turned = match self.turned(paper, quarters, fineness, scale) {
                // Grain takes long to read; where the ways tried before showed no text, there is none.
                Err(Failure::Slow(_) | Failure::Broken)
                    if best.as_ref().is_some_and(|(legible, _)| *legible < TEXT) =>
                {
                    break;
                }
                turned => turned?,
            };
            let legible = legible(&turned.loose);
            if best.as_ref().is_none_or(|(before, _)| legible > *before) {
                best = Some((legible, turned));
            }
            if best.as_ref().is_some_and(|(legible, _)| *legible >= LEGIBLE) {
                break;
            }
        }
        best.map(|(_, turned)| turned).ok_or(Failure::Broken)
    }

    fn turned(&self, paper: &Sheet, quarters: u8, fineness: f32, scale: f32) -> Result<Turned, Failure> {
        let sheet = paper.turned(quarters);
        let slope = sheet.lines(fineness).slope;
        let frame = Frame::new(sheet.width, sheet.height, slope, 1.0).after_quarters(quarters);
        let fine = sheet.straightened(slope, scale);
        let edge = fine.edge();
        let fine = fine.without_rules(fineness * scale, edge);
        let rough = fine.straightened(0.0, LOOSE).black_and_white();
        let loose = self.run(&rough, "11", fineness * scale * LOOSE, None)?;
        Ok(Turned { quarters, frame, fine, edge, loose })
    }

    /// What all readings together make of the prints.
    fn settled(
        &self,
        turned: &Turned,
        prints: Vec<agree::Print>,
        scale: f32,
        dots: f32,
    ) -> Result<Vec<Seen>, Failure> {
        let scaled =
            |area: &Rect| Rect::new(area.x0 * scale, area.y0 * scale, area.x1 * scale, area.y1 * scale);
        let (contested, agreed): (Vec<_>, Vec<_>) = prints.into_iter().partition(agree::Print::is_contested);
        let (numbers, words): (Vec<_>, Vec<_>) = contested.into_iter().partition(agree::Print::is_number);
        let boxes =
            |prints: &[agree::Print]| prints.iter().map(|print| scaled(&print.area)).collect::<Vec<Rect>>();
        let (number_boxes, word_boxes) = (boxes(&numbers), boxes(&words));
        let all_boxes: Vec<Rect> = number_boxes.iter().chain(&word_boxes).copied().collect();
        let digits = format!("0123456789{}", agree::SIGNS);
        let [high, low] = ALONE;
        // Digits alone make digits of letters too, so that words are not read that way.
        let as_digits = self.alone(&turned.fine, &number_boxes, high, Some(&digits), dots)?;
        let as_text = self.alone(&turned.fine.black_and_white(), &all_boxes, low, None, dots)?;
        let as_digits = as_digits.into_iter().chain(std::iter::repeat(None));
        let alone: Vec<[Option<String>; 2]> =
            as_digits.zip(as_text).map(|(digits, text)| [digits, text]).collect();
        let cut = |area: &Rect, text: &str| {
            let boxes = ink::figures(&turned.fine, area, turned.edge, text)?;
            Some(boxes.iter().map(|area| Figure::of(&turned.fine, area)).collect::<Vec<_>>())
        };
        let prints = || numbers.iter().chain(&words).zip(&all_boxes).zip(&alone).zip(0_usize..);
        let mut figures = Figures::default();
        for (((print, area), alone), number) in prints() {
            if let Some(text) = agree::undisputed(print, alone)
                && let Some(cut) = cut(area, text)
            {
                figures.learn(number, text, cut);
            }
        }
        let mut settled = Vec::new();
        for (((print, area), alone), number) in prints() {
            let ink = |text: &str| ink::says(&turned.fine, area, turned.edge, text);
            let alike =
                |text: &str| cut(area, text).map_or(Alike::Unclear, |cut| figures.says(number, text, &cut));
            settled.extend(agree::word(print, alone, &Seeing { ink: &ink, alike: &alike }, &is_word));
        }
        let blind = Seeing { ink: &|_| ink::Ink::Unclear, alike: &|_| Alike::Unclear };
        settled.extend(agreed.iter().filter_map(|print| agree::word(print, &[], &blind, &is_word)));
        Ok(settled)
    }

    /// What the boxes of a sheet hold, each read by itself at this height.
    fn alone(
        &self,
        sheet: &Sheet,
        boxes: &[Rect],
        high: usize,
        signs: Option<&str>,
        dots: f32,
    ) -> Result<Vec<Option<String>>, Failure> {
        let mut texts = Vec::with_capacity(boxes.len());
        for some in boxes.chunks(Strip::most(high)) {
            let strip = Strip::of(sheet, some, high);
            texts.extend(strip.texts(self.run(&strip.sheet, "6", dots, signs)?));
        }
        Ok(texts)
    }

    /// The words of a sheet, their boxes in its pixels.
    fn run(&self, sheet: &Sheet, layout: &str, dots: f32, signs: Option<&str>) -> Result<Vec<Seen>, Failure> {
        // A resolution of a few hundred fits.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let dots_an_inch = dots.round() as u32;
        let table = run(self.program, sheet, &Manner { layout, dots_an_inch, signs }, self.deadline)?;
        Ok(table::words(&table).into_iter().filter_map(|seen| table::mended(seen, &is_word)).collect())
    }
}

/// Size of the sheet for the loose reading: of the best size.
const LOOSE: f32 = 0.75;

/// Share of letters read for sure from which a sheet lies upright.
const LEGIBLE: f32 = 0.6;

/// Share of letters read for sure below which a picture holds no text: the grain of a photograph gives about three in
/// a hundred (measured on a picture of a meadow), print that a person can read many times that.
const TEXT: f32 = 0.1;

/// Confidence from which the program is sure of a word, percent.
const SURE: f32 = 75.0;

/// Share of the letters and digits that belong to words the program is sure of.
#[allow(clippy::cast_precision_loss)]
fn legible(words: &[Seen]) -> f32 {
    let letters = |word: &Seen| word.text.chars().filter(|letter| letter.is_alphanumeric()).count();
    let all: usize = words.iter().map(letters).sum();
    let sure: usize = words.iter().filter(|word| word.confidence >= SURE).map(letters).sum();
    // A handful of letters says nothing about a sheet.
    sure as f32 / all.max(40) as f32
}

fn unscaled(words: Vec<Seen>, scale: f32) -> Vec<Seen> {
    let back = |area: Rect| Rect::new(area.x0 / scale, area.y0 / scale, area.x1 / scale, area.y1 / scale);
    words.into_iter().map(|seen| Seen { area: back(seen.area), ..seen }).collect()
}

/// The way from the upright sheet back to its page.
// Sizes of pictures are exact in an f32.
#[allow(clippy::cast_precision_loss)]
fn back(picture: &Picture, turned: &Turned) -> Back {
    let across = picture.width.max(1) as f32 / picture.area.width().max(1.0);
    let down = picture.height.max(1) as f32 / picture.area.height().max(1.0);
    let (fineness, origin) = if turned.quarters.is_multiple_of(2) {
        ((across, down), (picture.area.x0, picture.area.y0))
    } else {
        ((down, across), (picture.area.y0, picture.area.x0))
    };
    Back { frame: turned.frame, area: picture.area, fineness, origin }
}

/// Dots an inch of a picture.
// Sizes of pictures are exact in an f32.
#[allow(clippy::cast_precision_loss)]
fn fineness(picture: &Picture) -> f32 {
    let dots = picture.width as f32 * 72.0 / picture.area.width().max(1.0);
    dots.clamp(50.0, 1_200.0)
}

/// A word at its place on the upright page.
fn placed(seen: Seen, back: &Back) -> Word {
    let ((across, down), (left, top)) = (back.fineness, back.origin);
    let area = Rect::new(
        left + seen.area.x0 / across,
        top + seen.area.y0 / down,
        left + seen.area.x1 / across,
        top + seen.area.y1 / down,
    );
    let size = area.height() / height_in_em(&seen.text);
    Word { text: seen.text, area, size, turn: Turn::None, confidence: Some(seen.confidence) }
}

/// Height of the inked box of a text in em, by the letters in it; usual proportions of text faces.
fn height_in_em(text: &str) -> f32 {
    let descends = text.chars().any(|letter| "gjpqy,;()[]|Q".contains(letter));
    let ascends = text.chars().any(|letter| !"acemnorsuvwxzgpqy.,;:-_~+=".contains(letter));
    match (ascends, descends) {
        (true, true) => 0.93,
        (true, false) => 0.72,
        (false, true) => 0.73,
        (false, false) => 0.52,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Format, Page};

    fn scan() -> Document {
        let picture =
            Picture { width: 60, height: 30, grey: vec![255; 1_800], area: Rect::new(0.0, 0.0, 60.0, 30.0) };
        let page = |number| Page {
            number,
            width: 60.0,
            height: 30.0,
            name: None,
            content: Content::Picture(picture.clone()),
        };
        Document {
            format: Format::Scan,
            pages: vec![page(1), page(2)],
            members: Vec::new(),
            notes: Vec::new(),
        }
    }

    #[test]
    fn without_the_program_the_pictures_stay_and_one_note_says_what_to_install() {
        let mut document = scan();
        recognise_with(None, &mut document, &Limits::default());
        assert!(document.pages.iter().all(|page| matches!(page.content, Content::Picture(_))));
        assert_eq!(document.notes.len(), 1);
        assert!(document.notes[0].contains("\"tesseract-ocr\""));
    }

    #[test]
    fn a_program_that_fails_leaves_the_picture_and_a_note_for_each_page() {
        let mut document = scan();
        recognise_with(Some(Path::new("/nowhere/tesseract")), &mut document, &Limits::default());
        assert_eq!(document.notes.len(), 2);
        assert!(document.pages.iter().all(|page| matches!(page.content, Content::Picture(_))));
    }

    #[test]
    fn no_time_is_said() {
        let mut document = scan();
        let limits = Limits { ocr_seconds: 0, ..Limits::default() };
        recognise_with(Some(Path::new("/nowhere/tesseract")), &mut document, &limits);
        assert_eq!(document.notes.len(), 1);
        assert!(document.notes[0].contains("stopped at page 1"));
    }

    #[test]
    fn boxes_are_in_points_of_the_page_and_come_back_to_where_they_were() {
        // 200 by 100 pixels on 100 by 50 points, lying on its left side: upright it is 100 by 200 pixels.
        let area = Rect::new(10.0, 5.0, 110.0, 55.0);
        let picture = Picture { width: 200, height: 100, grey: Vec::new(), area };
        let turned = |quarters: u8| {
            let (width, height) = if quarters.is_multiple_of(2) { (200, 100) } else { (100, 200) };
            let frame = Frame::new(width, height, 0.0, 1.0).after_quarters(quarters);
            let fine = Sheet { width: 0, height: 0, grey: Vec::new() };
            back(&picture, &Turned { quarters, frame, fine, edge: 128, loose: Vec::new() })
        };
        let seen = Seen { text: "6.4".into(), area: Rect::new(20.0, 10.0, 40.0, 20.0), confidence: 90.0 };
        let level = placed(seen.clone(), &turned(0));
        assert_eq!(level.area, Rect::new(20.0, 10.0, 30.0, 15.0));
        assert_eq!((level.size * 100.0).round(), 694.0);
        assert_eq!(turned(0).on_page(&level.area), level.area);
        let over = placed(seen.clone(), &turned(2));
        assert_eq!(turned(2).on_page(&over.area), Rect::new(90.0, 45.0, 100.0, 50.0));
        let side = placed(seen, &turned(1));
        assert_eq!(side.area, Rect::new(15.0, 15.0, 25.0, 20.0));
        assert_eq!(turned(1).on_page(&side.area), Rect::new(15.0, 35.0, 20.0, 45.0));
    }
}
