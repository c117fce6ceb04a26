//! Tokens with which programs ask: made, listed and revoked by the keeper; of each only a hash is kept.

use super::secret::{kept_of, random_word};
use crate::home::Home;
use serde::{Deserialize, Serialize};
use std::fs;
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt;

/// What a token may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Rights {
    /// Read.
    Read,
    /// Read, and put files into the inbox.
    Full,
}

/// A token as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Token {
    /// What the keeper calls it.
    pub name: String,
    /// What it may do.
    pub rights: Rights,
    /// Hash of its word.
    kept: String,
    /// The day it was made.
    pub made_on: jiff::civil::Date,
}

/// Why a token was not made or revoked.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The name.
    #[error("a token needs a name of 1 to 60 letters, digits, spaces, hyphens or points")]
    Name,
    /// Taken.
    #[error("there is a token `{0}` already: revoke it, or take another name")]
    Taken(String),
    /// Not there.
    #[error("there is no token `{0}`: `loamline token list` shows them")]
    Unknown(String),
    /// The file.
    #[error("the tokens cannot be read or written ({0}); check `loamline.tokens` in the home folder")]
    File(#[from] io::Error),
}

/// The tokens of a home, by name.
///
/// # Errors
/// The file is there and cannot be read: then no token is good.
pub fn list(home: &Home) -> io::Result<Vec<Token>> {
    match fs::read_to_string(home.tokens()) {
        Ok(text) => serde_json::from_str(&text).map_err(io::Error::other),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(e) => Err(e),
    }
}

/// Makes a token and gives its word, which is not kept.
///
/// # Errors
/// [`Error`].
pub fn add(home: &Home, name: &str, rights: Rights, made_on: jiff::civil::Date) -> Result<String, Error> {
    let name = name.trim();
    let plain = |c: char| c.is_alphanumeric() || " -_.".contains(c);
    if name.is_empty() || name.chars().count() > 60 || !name.chars().all(plain) {
        return Err(Error::Name);
    }
    let mut tokens = list(home)?;
    if tokens.iter().any(|t| t.name == name) {
        return Err(Error::Taken(name.to_owned()));
    }
    let word = format!("loamline-{}", random_word()?);
    tokens.push(Token { name: name.to_owned(), rights, kept: kept_of(&word), made_on });
    tokens.sort_by(|a, b| a.name.cmp(&b.name));
    write(home, &tokens)?;
    Ok(word)
}

/// Takes a token back; from then on it opens nothing.
///
/// # Errors
/// [`Error`].
pub fn revoke(home: &Home, name: &str) -> Result<(), Error> {
    let mut tokens = list(home)?;
    let before = tokens.len();
    tokens.retain(|t| t.name != name.trim());
    if tokens.len() == before {
        return Err(Error::Unknown(name.to_owned()));
    }
    Ok(write(home, &tokens)?)
}

/// What this word may do; none for a word that is no token.
pub fn rights_of(home: &Home, word: &str) -> Option<Rights> {
    let kept = kept_of(word);
    // Hashes of random words: how far two agree tells nothing.
    list(home).ok()?.into_iter().find(|t| t.kept == kept).map(|t| t.rights)
}

fn write(home: &Home, tokens: &[Token]) -> io::Result<()> {
    let part = home.temp().join(format!("{}-tokens", std::process::id()));
    let mut file = fs::OpenOptions::new().create(true).truncate(true).write(true).mode(0o600).open(&part)?;
    file.write_all(&serde_json::to_vec_pretty(tokens).map_err(io::Error::other)?)?;
    file.sync_all()?;
    fs::rename(&part, home.tokens())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_opens_until_it_is_revoked_and_its_word_is_not_kept() {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(dir.path()).unwrap();
        let day = jiff::civil::date(2024, 5, 6);
        let word = add(&home, "report viewer", Rights::Read, day).unwrap();
        add(&home, "gate", Rights::Full, day).unwrap();
        assert!(matches!(add(&home, "gate", Rights::Read, day), Err(Error::Taken(_))));
        assert!(matches!(add(&home, "<b>", Rights::Read, day), Err(Error::Name)));
        assert_eq!(rights_of(&home, &word), Some(Rights::Read));
        assert_eq!((rights_of(&home, "loamline-x"), rights_of(&home, "")), (None, None));
        assert!(!fs::read_to_string(home.tokens()).unwrap().contains(&word));
        revoke(&home, "report viewer").unwrap();
        assert_eq!(rights_of(&home, &word), None);
        assert!(matches!(revoke(&home, "report viewer"), Err(Error::Unknown(_))));
        assert_eq!(list(&home).unwrap().len(), 1);
    }
}
