//! Words cut into comparable pieces, each of which remembers the word it was cut from.

use super::fold::pieces;
use super::layout::Token;
use compact_str::CompactString;

/// The pieces of a run of words.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cut {
    /// As [`pieces`] cuts them, in order.
    pub pieces: Vec<CompactString>,
    owners: Vec<usize>,
}

impl Cut {
    /// The index of the word that a piece was cut from.
    pub fn owner(&self, piece: usize) -> Option<usize> {
        self.owners.get(piece).copied()
    }
}

/// Cuts words into pieces.
pub fn cut(tokens: &[Token]) -> Cut {
    let mut out = Cut::default();
    for (i, token) in tokens.iter().enumerate() {
        for piece in pieces(&token.text) {
            out.pieces.push(piece);
            out.owners.push(i);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    #[test]
    fn each_piece_knows_its_word() {
        let page = layout(&typed(&["Lawn: K(%) 12"]));
        let tokens: Vec<Token> = page.lines[0].phrases.iter().flat_map(|p| p.tokens.clone()).collect();
        let cut = cut(&tokens);
        assert_eq!(cut.pieces, ["Lawn", ":", "K", "(", "%", ")", "12"]);
        let owners: Vec<_> = (0..8).map(|i| cut.owner(i)).collect();
        assert_eq!(owners, [Some(0), Some(0), Some(1), Some(1), Some(1), Some(1), Some(2), None]);
    }
}
