//! Random words that nobody guesses, and words derived from them.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use hmac::{Hmac, KeyInit, Mac};
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

/// A key made at the start of the service; it is neither kept nor shown.
pub struct Secret([u8; 32]);

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secret")
    }
}

impl Secret {
    /// A new one.
    ///
    /// # Errors
    /// The system gives no random numbers.
    pub fn new() -> std::io::Result<Self> {
        Ok(Self(random()?))
    }

    /// The word that belongs to a text.
    pub fn word_for(&self, text: &str) -> String {
        // A key of any length serves.
        let Ok(mut mac) = Hmac::<Sha256>::new_from_slice(&self.0) else { return String::new() };
        mac.update(text.as_bytes());
        URL_SAFE_NO_PAD.encode(mac.finalize().into_bytes())
    }

    /// True where this is the word that belongs to the text; takes the same time wherever they differ.
    pub fn is_word_for(&self, text: &str, word: &str) -> bool {
        let expected = self.word_for(text);
        !expected.is_empty() && bool::from(expected.as_bytes().ct_eq(word.as_bytes()))
    }
}

fn random() -> std::io::Result<[u8; 32]> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).map_err(|e| std::io::Error::other(e.to_string()))?;
    Ok(bytes)
}

/// A word of 256 random bits, fit for a cookie or a header.
///
/// # Errors
/// The system gives no random numbers.
pub fn random_word() -> std::io::Result<String> {
    Ok(URL_SAFE_NO_PAD.encode(random()?))
}

/// What is kept of a random word: it cannot be turned back.
pub fn kept_of(word: &str) -> String {
    URL_SAFE_NO_PAD.encode(Sha256::digest(word.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_fits_its_text_and_its_service_alone() {
        let (one, other) = (Secret::new().unwrap(), Secret::new().unwrap());
        let word = one.word_for("a");
        assert!(one.is_word_for("a", &word));
        assert!(!one.is_word_for("b", &word) && !other.is_word_for("a", &word) && !one.is_word_for("a", ""));
    }

    #[test]
    fn random_words_differ_and_are_long() {
        let word = random_word().unwrap();
        assert!(word.len() == 43 && word != random_word().unwrap());
    }
}
