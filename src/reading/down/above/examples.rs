//! Atoms as the tests of what stands over a table need them.

use super::super::super::atom::{Atom, Kind};
use super::super::super::layout::Token;
use crate::place::{Place, Rect};

/// A name on the first line of a page.
pub(super) fn name(text: &str, x0: f32, x1: f32, confidence: Option<f32>) -> Atom {
    let area = Rect::new(x0, 0.0, x1, 10.0);
    let place = Place::Page { page: 1, area };
    let token = Token { text: text.into(), area, place, size: 10.0, confidence };
    Atom { text: text.to_owned(), area, kind: Kind::Text, tokens: vec![token].into(), marks: Vec::new() }
}
