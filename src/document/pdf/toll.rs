//! Adds up the length of the drawing with every form counted as often as it is called.
//!
//! Forms that call forms make a short file draw for ever; the sum is known without drawing.

use super::load::{DEEPEST, damaged, too_deep};
use super::whole::is_whole;
use crate::document::{Cause, Format, Limits, Refusal};
use hayro_interpret::hayro_syntax::content::TypedIter;
use hayro_interpret::hayro_syntax::content::ops::TypedInstruction;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use std::collections::HashMap;

/// Bytes of drawing a page may come to.
const MOST_A_PAGE: u64 = 32 << 20;

/// Forms looked into before the file is given up as a maze.
const MOST_FORMS: usize = 20_000;

/// The walk over the drawings of a file.
pub(super) struct Toll<'d> {
    document: &'d Document,
    limits: &'d Limits,
    /// Forms with resources of their own cost the same wherever they are called.
    known: HashMap<ObjectId, u64>,
    looked_into: usize,
}

impl<'d> Toll<'d> {
    /// A walk over this document.
    pub(super) fn new(document: &'d Document, limits: &'d Limits) -> Self {
        Self { document, limits, known: HashMap::new(), looked_into: 0 }
    }

    /// Walks over all pages.
    ///
    /// # Errors
    /// A [`Refusal`] where a drawing is missing, too long or nested too deep.
    pub(super) fn check(mut self) -> Result<(), Refusal> {
        let document = self.document;
        let forms = document.objects.values().any(|object| object.as_stream().is_ok_and(is_form));
        let mut sum = 0_u64;
        for (number, page) in (1_u32..).zip(document.page_iter()) {
            let Ok(dict) = document.get_dictionary(page) else { continue };
            let mut toll = 0_u64;
            let contents = contents(document, dict)
                .ok_or_else(|| damaged(&format!("The text of page {number} is missing or cut off.")))?;
            let resources = inherited(document, dict, b"Resources").and_then(|object| object.as_dict().ok());
            for stream in contents {
                toll = toll.saturating_add(self.drawing(stream, resources, forms, &mut Vec::new())?);
            }
            for form in if forms { appearances(document, dict) } else { Vec::new() } {
                toll = toll.saturating_add(self.form(form, resources, &mut Vec::new())?);
            }
            sum = sum.saturating_add(toll);
            if toll > MOST_A_PAGE || sum > self.limits.unpacked_bytes {
                return Err(too_long(number));
            }
        }
        Ok(())
    }

    /// Length of a drawing and of the forms it calls.
    fn drawing(
        &mut self,
        stream: &Stream,
        resources: Option<&Dictionary>,
        forms: bool,
        above: &mut Vec<ObjectId>,
    ) -> Result<u64, Refusal> {
        let most = usize::try_from(self.limits.stream_bytes).unwrap_or(usize::MAX);
        let plain = stream.get_plain_content_with_limit(most).unwrap_or_default();
        if !is_whole(stream, &plain, most) {
            return Err(damaged("A part of its text does not unpack to what was packed."));
        }
        let mut sum = u64::try_from(plain.len()).unwrap_or(u64::MAX);
        let shelf = resources
            .and_then(|resources| resources.get_deref(b"XObject", self.document).ok())
            .and_then(|object| object.as_dict().ok());
        let (Some(shelf), true) = (shelf, forms) else { return Ok(sum) };
        let mut calls: HashMap<Vec<u8>, u64> = HashMap::new();
        let mut instructions = TypedIter::new(&plain);
        while let Some(instruction) = instructions.next() {
            if let TypedInstruction::XObject(call) = instruction {
                *calls.entry(call.0.to_vec()).or_default() += 1;
            }
        }
        for (name, times) in calls {
            if let Ok(id) = shelf.get(&name).and_then(Object::as_reference) {
                let once = self.form(id, resources, above)?;
                sum = sum.saturating_add(once.saturating_mul(times));
            }
        }
        Ok(sum)
    }

    fn form(
        &mut self,
        id: ObjectId,
        resources: Option<&Dictionary>,
        above: &mut Vec<ObjectId>,
    ) -> Result<u64, Refusal> {
        if let Some(known) = self.known.get(&id) {
            return Ok(*known);
        }
        let document = self.document;
        let Some(stream) =
            document.get_object(id).ok().and_then(|object| object.as_stream().ok()).filter(|it| is_form(it))
        else {
            return Ok(0);
        };
        self.looked_into += 1;
        if above.contains(&id) || above.len() >= DEEPEST || self.looked_into > MOST_FORMS {
            return Err(too_deep());
        }
        let own = stream.dict.get_deref(b"Resources", document).ok().and_then(|object| object.as_dict().ok());
        above.push(id);
        let sum = self.drawing(stream, own.or(resources), true, above)?;
        above.pop();
        if own.is_some() {
            self.known.insert(id, sum);
        }
        Ok(sum)
    }
}

fn too_long(page: u32) -> Refusal {
    Refusal::new(
        Cause::Limit,
        Format::Pdf,
        format!("The drawing of page {page} is longer than {} MB, which no report needs.", MOST_A_PAGE >> 20),
        "Print it to a new PDF and drop that.",
    )
}

fn is_form(stream: &Stream) -> bool {
    stream.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|name| name == b"Form")
}

/// The drawings of a page in order; none where one that is named is not there.
fn contents<'d>(document: &'d Document, page: &'d Dictionary) -> Option<Vec<&'d Stream>> {
    let Ok(named) = page.get(b"Contents") else { return Some(Vec::new()) };
    let stream = |object: &'d Object| document.dereference(object).ok()?.1.as_stream().ok();
    match document.dereference(named).ok()?.1 {
        Object::Stream(only) => Some(vec![only]),
        Object::Array(parts) => parts.iter().map(stream).collect(),
        Object::Null => Some(Vec::new()),
        _ => None,
    }
}

/// An entry of the page or of the nodes above it.
fn inherited<'d>(document: &'d Document, page: &'d Dictionary, key: &[u8]) -> Option<&'d Object> {
    let mut node = page;
    for _ in 0..DEEPEST {
        if let Ok(found) = node.get_deref(key, document) {
            return Some(found);
        }
        node = node.get_deref(b"Parent", document).ok()?.as_dict().ok()?;
    }
    None
}

/// Forms that draw the notes and fields of a page.
fn appearances(document: &Document, page: &Dictionary) -> Vec<ObjectId> {
    let Ok(notes) = page.get_deref(b"Annots", document).and_then(Object::as_array) else { return Vec::new() };
    let mut found = Vec::new();
    for note in notes.iter().filter_map(|note| document.dereference(note).ok()?.1.as_dict().ok()) {
        let Ok(shown) =
            note.get_deref(b"AP", document).and_then(Object::as_dict).and_then(|looks| looks.get(b"N"))
        else {
            continue;
        };
        found.extend(shown.as_reference());
        if let Ok((_, Object::Dictionary(states))) = document.dereference(shown) {
            found.extend(states.iter().filter_map(|(_, state)| state.as_reference().ok()));
        }
    }
    found
}
