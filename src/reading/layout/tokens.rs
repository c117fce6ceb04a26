//! Words in order that many places share and ask for their text: copied only where one of them changes.

use super::super::label::{Label, label};
use super::super::vocabulary::{CONTEXTS, Context};
use super::{Token, joined};
use std::cell::OnceCell;
use std::ops::{Deref, DerefMut};
use std::rc::Rc;

/// The words of a phrase.
#[derive(Clone)]
pub struct Tokens(Rc<Shared>);

#[derive(Default)]
struct Shared {
    own: Vec<Token>,
    /// All of them with single spaces, once somebody asked.
    text: OnceCell<Box<str>>,
    /// What they say as a heading or a name, in each context that somebody asked for.
    labels: [OnceCell<Label>; CONTEXTS],
}

impl Tokens {
    /// Its words with single spaces.
    pub fn text(&self) -> &str {
        match self.0.own.as_slice() {
            [only] => &only.text,
            several => self.0.text.get_or_init(|| joined(several).into()),
        }
    }

    /// What they say as a heading or a name: as [`label`] understands their text.
    pub fn label(&self, context: Context) -> Label {
        match self.0.labels.get(context.place()) {
            Some(kept) => kept.get_or_init(|| label(self.text(), context)).clone(),
            None => label(self.text(), context),
        }
    }
}

impl From<Vec<Token>> for Tokens {
    fn from(own: Vec<Token>) -> Self {
        Self(Rc::new(Shared { own, ..Shared::default() }))
    }
}

impl FromIterator<Token> for Tokens {
    fn from_iter<I: IntoIterator<Item = Token>>(tokens: I) -> Self {
        tokens.into_iter().collect::<Vec<_>>().into()
    }
}

impl From<Tokens> for Vec<Token> {
    fn from(tokens: Tokens) -> Self {
        Rc::try_unwrap(tokens.0).map_or_else(|shared| shared.own.clone(), |alone| alone.own)
    }
}

impl Clone for Shared {
    fn clone(&self) -> Self {
        Self { own: self.own.clone(), ..Self::default() }
    }
}

impl Deref for Tokens {
    type Target = Vec<Token>;

    fn deref(&self) -> &Vec<Token> {
        &self.0.own
    }
}

impl DerefMut for Tokens {
    /// The words to change: a copy of its own where others share them, and what they said forgotten.
    fn deref_mut(&mut self) -> &mut Vec<Token> {
        let shared = Rc::make_mut(&mut self.0);
        shared.text = OnceCell::new();
        shared.labels = Default::default();
        &mut shared.own
    }
}

impl PartialEq for Tokens {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.0, &other.0) || self.0.own == other.0.own
    }
}

impl std::fmt::Debug for Tokens {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.own.fmt(f)
    }
}

impl IntoIterator for Tokens {
    type Item = Token;
    type IntoIter = std::vec::IntoIter<Token>;

    fn into_iter(self) -> Self::IntoIter {
        Vec::from(self).into_iter()
    }
}

impl<'a> IntoIterator for &'a Tokens {
    type Item = &'a Token;
    type IntoIter = std::slice::Iter<'a, Token>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.own.iter()
    }
}

impl<'a> IntoIterator for &'a mut Tokens {
    type Item = &'a mut Token;
    type IntoIter = std::slice::IterMut<'a, Token>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}

#[cfg(test)]
mod tests {
    use super::super::Phrase;
    use super::super::layout;
    use super::super::tests::typed;
    use super::*;
    use crate::soil::Analyte;

    #[test]
    fn a_changed_phrase_says_what_it_holds_now_and_its_copy_what_it_held() {
        let page = layout(&typed(&["Organic matter"]));
        let mut phrase: Phrase = page.lines[0].phrases[0].clone();
        assert_eq!(phrase.text(), "Organic matter");
        let copy = phrase.clone();
        phrase.tokens[0].text = "Loss".into();
        assert_eq!((phrase.text(), copy.text()), ("Loss matter", "Organic matter"));
        phrase.tokens.truncate(1);
        assert_eq!((phrase.text(), copy == phrase), ("Loss", false));
        let context = Context { symbols: false, capitals: false };
        assert_eq!(
            (phrase.label(context).analyte, copy.label(context).analyte),
            (None, Some(Analyte::OrganicMatter))
        );
    }
}
