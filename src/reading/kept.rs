//! Answers kept by each thread: a report asks for the same few words again and again, and so does the next one.

use super::vocabulary::Context;
use foldhash::fast::RandomState;
use std::cell::RefCell;
use std::collections::HashMap;
use std::thread::LocalKey;

/// Answers kept at most.
const MOST: usize = 4096;

/// Texts longer than this are sentences, and hardly ever come twice. Bytes.
const SHORT: usize = 64;

/// Answers by text and context. The hashing is quick and seeded anew for each store: a document may crowd one place of it
/// by chance alone, and [`MOST`] bounds what that costs.
pub struct Kept<T> {
    answers: [HashMap<Box<str>, T, RandomState>; CONTEXTS],
    count: usize,
}

/// How many contexts there are.
const CONTEXTS: usize = 4;

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Self { answers: std::array::from_fn(|_| HashMap::default()), count: 0 }
    }
}

fn place(context: Context) -> usize {
    usize::from(context.symbols) + 2 * usize::from(context.capitals)
}

/// The answer to a text, made only where it is not known yet.
pub fn kept<T: Clone>(
    store: &'static LocalKey<RefCell<Kept<T>>>,
    text: &str,
    context: Context,
    make: impl FnOnce() -> T,
) -> T {
    if text.len() > SHORT {
        return make();
    }
    let known = store.with_borrow(|kept| kept.answers.get(place(context))?.get(text).cloned());
    if let Some(known) = known {
        return known;
    }
    let made = make();
    store.with_borrow_mut(|kept| {
        if kept.count >= MOST {
            *kept = Kept::default();
        }
        kept.count += 1;
        if let Some(answers) = kept.answers.get_mut(place(context)) {
            answers.insert(text.into(), made.clone());
        }
    });
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
        let sentence = "x".repeat(SHORT + 1);
        ask(&sentence, true);
        ask(&sentence, true);
        assert_eq!(made.get(), 4);
        for number in 0..2 * MOST {
            ask(&number.to_string(), true);
        }
        assert!(LENGTHS.with_borrow(|kept| kept.count) <= MOST);
    }
}
