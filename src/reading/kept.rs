//! Answers kept by each thread: a report asks for the same few words again and again, and so does the next one.

use super::vocabulary::{CONTEXTS, Context};
use foldhash::fast::RandomState;
use std::cell::RefCell;
use std::collections::HashMap;
use std::thread::LocalKey;

/// Answers that are kept besides those asked for before: a store never holds more than twice as many.
const MOST: usize = 4096;

/// Longer texts are not kept. Bytes: the notes at the foot of a form are sentences, and come with each of its reports.
const LONGEST: usize = 400;

/// How many answers a text may have: one for each context, for each order of days.
const KINDS: usize = CONTEXTS;

type Answers<T> = [HashMap<Box<str>, T, RandomState>; KINDS];

/// Answers by text and kind. What was not asked for since as many others were is forgotten, and what every report asks
/// for stays. The hashing is quick and seeded anew for each store: a document may crowd one place of it by chance alone,
/// and [`MOST`] bounds what that costs.
pub struct Kept<T> {
    recent: Answers<T>,
    before: Answers<T>,
    count: usize,
}

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Self { recent: Default::default(), before: Default::default(), count: 0 }
    }
}

impl<T: Clone> Kept<T> {
    fn get(&mut self, text: &str, kind: usize) -> Option<T> {
        if let Some(known) = self.recent.get(kind)?.get(text) {
            return Some(known.clone());
        }
        let (text, known) = self.before.get_mut(kind)?.remove_entry(text)?;
        self.add(text, kind, known.clone());
        Some(known)
    }

    fn add(&mut self, text: Box<str>, kind: usize, answer: T) {
        if self.count >= MOST {
            self.before = std::mem::take(&mut self.recent);
            self.count = 0;
        }
        if let Some(answers) = self.recent.get_mut(kind) {
            answers.insert(text, answer);
            self.count += 1;
        }
    }
}

/// The answer to a text, made only where it is not known yet.
pub fn kept<T: Clone>(
    store: &'static LocalKey<RefCell<Kept<T>>>,
    text: &str,
    context: Context,
    make: impl FnOnce() -> T,
) -> T {
    kept_of_kind(store, text, context.place(), make)
}

/// As [`kept`], where something else than the context tells answers apart: a kind below [`CONTEXTS`].
pub fn kept_of_kind<T: Clone>(
    store: &'static LocalKey<RefCell<Kept<T>>>,
    text: &str,
    kind: usize,
    make: impl FnOnce() -> T,
) -> T {
    if text.len() > LONGEST {
        return make();
    }
    if let Some(known) = store.with_borrow_mut(|kept| kept.get(text, kind)) {
        return known;
    }
    let made = make();
    store.with_borrow_mut(|kept| kept.add(text.into(), kind, made.clone()));
    made
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    thread_local! {
        static LENGTHS: RefCell<Kept<usize>> = RefCell::default();
    }

    #[test]
    fn an_answer_is_made_once_for_a_text_and_a_context_and_the_store_stays_small() {
        let made = Cell::new(0);
        let ask = |text: &str, symbols: bool| {
            kept(&LENGTHS, text, Context { symbols, capitals: false }, || {
                made.set(made.get() + 1);
                text.len()
            })
        };
        assert_eq!((ask("pH", true), ask("pH", true), made.get()), (2, 2, 1));
        assert_eq!((ask("pH", false), made.get()), (2, 2));
        let sentence = "x".repeat(LONGEST + 1);
        ask(&sentence, true);
        ask(&sentence, true);
        assert_eq!(made.get(), 4);
        for number in 0..3 * MOST {
            ask(&number.to_string(), true);
            if number % 1000 == 0 {
                ask("pH", true);
            }
        }
        let count = |answers: &Answers<usize>| answers.iter().map(HashMap::len).sum::<usize>();
        assert!(LENGTHS.with_borrow(|kept| count(&kept.recent).max(count(&kept.before))) <= MOST);
        assert_eq!(made.get(), 4 + 3 * MOST, "what is asked for again and again stays");
        ask("0", true);
        assert_eq!(made.get(), 5 + 3 * MOST, "what nobody asks for is forgotten");
    }
}
