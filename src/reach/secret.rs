//! Secrets: from the settings, a file or the environment; never shown, logged or compared with anything.

use serde::Deserialize;
use std::fmt;
use std::path::{Path, PathBuf};

/// A secret text. Debugging shows that there is one, not which.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

impl Secret {
    /// The text itself, for the one place that needs it.
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("(a secret)")
    }
}

/// Where a secret comes from: the text itself, `{ file = "PATH" }` or `{ env = "NAME" }`.
#[derive(Clone, PartialEq, Eq, Deserialize)]
#[serde(untagged, expecting = "a secret is a text, `{ file = \"PATH\" }` or `{ env = \"NAME\" }`")]
pub enum SecretFrom {
    /// In the settings themselves.
    Here(String),
    /// The first line of a file; a path that is not absolute starts at the home folder.
    File {
        /// Which.
        file: PathBuf,
    },
    /// A variable of the environment.
    Env {
        /// Which.
        env: String,
    },
}

impl fmt::Debug for SecretFrom {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Here(_) => f.write_str("(a secret)"),
            Self::File { file } => write!(f, "(a secret in {})", file.display()),
            Self::Env { env } => write!(f, "(a secret in ${env})"),
        }
    }
}

/// Why a secret cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum SecretError {
    /// Its file.
    #[error("the secret in {path} cannot be read ({cause}): check the file and who may read it")]
    File {
        /// Which.
        path: String,
        /// What the system says.
        cause: std::io::Error,
    },
    /// Its variable.
    #[error("the variable {0} of the environment, which holds a secret, is not set")]
    Env(String),
    /// Nothing in it.
    #[error("a secret is empty: write one in its place")]
    Empty,
}

impl SecretFrom {
    /// The secret.
    ///
    /// # Errors
    /// [`SecretError`].
    pub fn read(&self, home: &Path) -> Result<Secret, SecretError> {
        let text = match self {
            Self::Here(text) => text.clone(),
            Self::File { file } => {
                let path = home.join(file);
                let text = std::fs::read_to_string(&path)
                    .map_err(|cause| SecretError::File { path: path.display().to_string(), cause })?;
                text.lines().next().unwrap_or_default().to_owned()
            }
            Self::Env { env } => std::env::var(env).map_err(|_| SecretError::Env(env.clone()))?,
        };
        if text.trim().is_empty() { Err(SecretError::Empty) } else { Ok(Secret(text)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_is_read_from_its_place_and_never_shown() {
        let home = tempfile::tempdir().unwrap();
        std::fs::write(home.path().join("s"), "hush\n").unwrap();
        let of = |toml: &str| {
            #[derive(Deserialize)]
            struct One {
                secret: SecretFrom,
            }
            toml::from_str::<One>(toml).map(|one| one.secret)
        };
        for text in ["secret = \"hush\"", "secret = { file = \"s\" }"] {
            let from = of(text).unwrap();
            let secret = from.read(home.path()).unwrap();
            assert_eq!(secret.reveal(), "hush");
            assert!(!format!("{from:?} {secret:?}").contains("hush"));
        }
        assert!(matches!(
            of("secret = { file = \"none\" }").unwrap().read(home.path()),
            Err(SecretError::File { .. })
        ));
        assert!(matches!(
            of("secret = { env = \"LOAMLINE_NOT_SET\" }").unwrap().read(home.path()),
            Err(SecretError::Env(_))
        ));
        assert!(of("secret = 3").unwrap_err().to_string().contains("a secret is a text"));
    }
}
