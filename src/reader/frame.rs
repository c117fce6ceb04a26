//! What goes over the pipe between the program and its reader: a length, then postcard.

use super::ReadDocument;
use super::look::{Look, Seen};
use crate::document::Limits;
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use std::io::{self, Read, Write};

/// One document to read.
#[derive(Debug, Serialize, Deserialize)]
pub struct Request {
    /// Name, for the record only.
    pub name: String,
    /// How many bytes of the document follow, raw.
    pub bytes: u64,
    /// Bounds.
    pub limits: Limits,
    /// Members to leave unread because they stopped a reader before, counted as [`Answer::Member`] counts.
    pub skip: Vec<u32>,
    /// A page is to be shown instead of the document read.
    pub look: Option<Look>,
}

/// What the reader says.
#[derive(Debug, Serialize, Deserialize)]
pub enum Answer {
    /// The next document inside is begun; counted from 1 through the whole tree.
    Member(u32),
    /// Text recognition of so many pages is begun.
    Recognising(u32),
    /// The end.
    Done(Box<ReadDocument>),
    /// The page.
    Seen(Box<Seen>),
}

/// Longest message taken, bytes: a document of the largest size and its readings fit well.
pub const LONGEST: usize = 512 << 20;

/// Writes one message.
///
/// # Errors
/// What the pipe says.
pub fn write<T: Serialize>(to: &mut impl Write, message: &T) -> io::Result<()> {
    let body = postcard::to_stdvec(message).map_err(io::Error::other)?;
    let length = u32::try_from(body.len()).map_err(io::Error::other)?;
    to.write_all(&length.to_le_bytes())?;
    to.write_all(&body)?;
    to.flush()
}

/// Reads one message; none at the end of the pipe.
///
/// # Errors
/// A broken pipe, a message too long, or bytes that are none.
pub fn read<T: DeserializeOwned>(from: &mut impl Read) -> io::Result<Option<T>> {
    let mut head = [0_u8; 4];
    match from.read_exact(&mut head) {
        Ok(()) => {}
        Err(e) if e.kind() == io::ErrorKind::UnexpectedEof => return Ok(None),
        Err(e) => return Err(e),
    }
    let length = usize::try_from(u32::from_le_bytes(head)).map_err(io::Error::other)?;
    if length > LONGEST {
        return Err(io::Error::other("message too long"));
    }
    let mut body = Vec::new();
    from.take(length as u64).read_to_end(&mut body)?;
    if body.len() != length {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    postcard::from_bytes(&body).map(Some).map_err(io::Error::other)
}

/// Writes a request and the document after it.
///
/// # Errors
/// What the pipe says.
pub fn write_request(to: &mut impl Write, request: &Request, document: &[u8]) -> io::Result<()> {
    write(to, request)?;
    to.write_all(document)?;
    to.flush()
}

/// Reads a request and its document; none at the end of the pipe.
///
/// # Errors
/// As [`read`].
pub fn read_request(from: &mut impl Read) -> io::Result<Option<(Request, Vec<u8>)>> {
    let Some(request) = read::<Request>(from)? else { return Ok(None) };
    let mut document = Vec::new();
    from.take(request.bytes).read_to_end(&mut document)?;
    if document.len() as u64 != request.bytes {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    Ok(Some((request, document)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_comes_back_as_it_went() {
        let mut pipe = Vec::new();
        let request =
            Request { name: "a".into(), bytes: 3, limits: Limits::default(), skip: vec![7], look: None };
        write_request(&mut pipe, &request, &[1, 2, 3]).unwrap();
        let (back, bytes) = read_request(&mut pipe.as_slice()).unwrap().unwrap();
        assert_eq!((back.name.as_str(), bytes, back.skip), ("a", vec![1, 2, 3], vec![7]));
        assert!(read::<Request>(&mut [].as_slice()).unwrap().is_none());
    }

    #[test]
    fn a_cut_or_endless_message_is_an_error() {
        assert!(read::<Request>(&mut [9, 0, 0, 0, 1].as_slice()).is_err());
        assert!(read::<Request>(&mut [255, 255, 255, 255].as_slice()).is_err());
    }
}
