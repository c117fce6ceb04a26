//! The one password of the pages, kept as an argon2id hash in the home.

use crate::home::Home;
use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use std::fs;
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt;

/// Letters a password needs: it is the only wall of pages that a network reaches.
pub const SHORTEST: usize = 12;

/// More letters than this are no password but a burden for the one who checks it.
const LONGEST: usize = 1024;

/// Why a password is not taken.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// Too short or too long.
    #[error("A password has 12 to 1024 letters: take a few words.")]
    Length,
    /// The file.
    #[error("The password cannot be kept ({0}): check that the home folder may be written.")]
    File(#[from] io::Error),
    /// The hash.
    #[error("The password could not be hashed ({0}); please report this.")]
    Hash(String),
}

/// Sets the password of a home.
///
/// # Errors
/// [`Error`].
pub fn set(home: &Home, password: &str) -> Result<(), Error> {
    if !(SHORTEST..=LONGEST).contains(&password.chars().count()) {
        return Err(Error::Length);
    }
    let mut salt = [0; 16];
    getrandom::fill(&mut salt).map_err(|e| io::Error::other(e.to_string()))?;
    let hashed = |e: argon2::password_hash::Error| Error::Hash(e.to_string());
    let salt = SaltString::encode_b64(&salt).map_err(hashed)?;
    let hash = Argon2::default().hash_password(password.as_bytes(), &salt).map_err(hashed)?;
    let part = home.temp().join(format!("{}-password", std::process::id()));
    let mut file = fs::OpenOptions::new().create(true).truncate(true).write(true).mode(0o600).open(&part)?;
    writeln!(file, "{hash}")?;
    file.sync_all()?;
    fs::rename(&part, home.password())?;
    Ok(())
}

/// The hash of the home's password; none where none is set.
///
/// # Errors
/// The file is there and cannot be read, or holds no hash: then nobody is let in.
pub fn hash_of(home: &Home) -> io::Result<Option<String>> {
    match fs::read_to_string(home.password()) {
        Ok(text) => {
            let text = text.trim().to_owned();
            PasswordHash::new(&text).map_err(|e| io::Error::other(e.to_string()))?;
            Ok(Some(text))
        }
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(e),
    }
}

/// True where the password has this hash. Slow on purpose: call it where waiting is allowed.
pub fn fits(hash: &str, password: &str) -> bool {
    password.len() <= 4 * LONGEST
        && PasswordHash::new(hash)
            .is_ok_and(|hash| Argon2::default().verify_password(password.as_bytes(), &hash).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_holds_a_hash_that_fits_one_password_and_is_nobody_elses() {
        use std::os::unix::fs::PermissionsExt;
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(dir.path()).unwrap();
        assert_eq!(hash_of(&home).unwrap(), None);
        assert!(matches!(set(&home, "short"), Err(Error::Length)));
        set(&home, "four plain garden words").unwrap();
        let hash = hash_of(&home).unwrap().unwrap();
        assert!(hash.starts_with("$argon2id$") && !hash.contains("garden"));
        assert!(fits(&hash, "four plain garden words") && !fits(&hash, "four plain garden word"));
        let mode = std::fs::metadata(home.password()).unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0);
    }

    #[test]
    fn a_damaged_file_is_an_error_and_not_an_open_door() {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(dir.path()).unwrap();
        std::fs::write(home.password(), "").unwrap();
        assert!(hash_of(&home).is_err());
    }
}
