//! Untrusted bytes are read in a child process with limits; only plain data comes back.

pub mod recognise;

pub mod frame;

pub mod work;

pub mod look;

pub mod child;

pub mod parent;

pub mod batch;

use crate::document::{Format, Refusal};
use crate::soil::Report;
use serde::{Deserialize, Serialize};

/// What a child read out of a document, and out of the documents inside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadDocument {
    /// The file's name, or its name inside the mail or archive.
    pub name: String,
    /// SHA-256 of its bytes, 64 lower-case hexadecimal digits.
    pub sha256: String,
    /// How many bytes.
    pub bytes_len: u64,
    /// What the bytes are.
    pub format: Format,
    /// The reports in it, or why there are none.
    pub result: Result<Vec<Report>, Refusal>,
    /// What a person should know of the opening.
    pub notes: Vec<String>,
    /// A page is a picture that text recognition could not turn into words.
    pub needs_recognition: bool,
    /// Attachments and files inside, in order.
    pub members: Vec<ReadDocument>,
}

impl ReadDocument {
    /// True where these bytes are its own or lie inside it.
    pub fn holds(&self, sha256: &str) -> bool {
        self.sha256 == sha256 || self.members.iter().any(|member| member.holds(sha256))
    }
}

/// The hidden argument that makes the program a reader.
pub const CHILD_ARGUMENT: &str = "read-untrusted";
