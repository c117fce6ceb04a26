//! Names and addresses: what a person, a file or a program calls something.

use axum::extract::Query;
use axum::http::Uri;
use loamline::inbox::{listing, plain, put_away};
use loamline::page::api::tables::Asked;
use loamline::page::look::{decoded, encoded};
use loamline::reader::work::sha256_hex;
use loamline::soil::alike::nearly;
use loamline::soil::bag_code;
use loamline::soil::site::{made_id, slug};

/// A stored name is never a path, hidden, an option or too long; an id is final; what looks like a code stays a code.
pub fn names(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    let harmless = plain::plain(&text);
    assert!(!harmless.chars().any(char::is_control), "{harmless:?}");
    let sha256 = sha256_hex(data);
    let stored = put_away::stored_name(&sha256, &text);
    assert!(put_away::is_stored_name(&stored, &sha256, &text), "{stored:?}");
    assert!(stored.len() <= 255 && !stored.contains(['/', '\\', '\0', '\n']), "{stored:?}");
    assert!(!stored.starts_with(['.', '-', ' ']) && !stored.ends_with([' ', '.']), "{stored:?}");
    let _ = listing::passed_over(std::ffi::OsStr::new(text.as_ref()));
    let id = slug(&text);
    assert!(!id.starts_with('-') && !id.ends_with('-') && !id.contains("--"), "{id:?}");
    assert!(id.chars().all(|c| c.is_alphanumeric() || c == '-'), "{id:?}");
    assert_eq!(slug(&id), id, "an id made comparable twice is another");
    let (client, label) = text.split_once('\n').unwrap_or((text.as_ref(), text.as_ref()));
    if let Some(made) = made_id(Some(client), label) {
        assert!(!made.is_empty() && made.chars().count() <= 80, "{made:?}");
    }
    assert_eq!(nearly(client, label), nearly(label, client), "near one way only");
    for code in bag_code::candidates(&text) {
        let shown = bag_code::written(&code);
        assert!(bag_code::candidates(&shown).contains(&code), "{code} is written {shown}");
        assert!(!bag_code::nearly_code(&code, &code));
        let _ = bag_code::is_sound(&code);
    }
    let drawn = data.first_chunk::<8>().map_or(0, |b| u64::from_le_bytes(*b));
    if let Some(code) = bag_code::made(&id, drawn) {
        assert!(bag_code::is_sound(&code), "{code} is made unsound");
    }
}

/// A query is understood or refused; a word goes through an address unchanged.
pub fn queries(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    let through = encoded(&text);
    assert!(through.is_ascii(), "{through}");
    assert_eq!(decoded(through.as_bytes()), text);
    assert!(decoded(data).len() <= data.len() * 3);
    let asked = |query: &str| {
        let uri = format!("/api/v1/readings?{query}").parse::<Uri>().ok()?;
        Some(Query::<Asked>::try_from_uri(&uri).is_ok())
    };
    let _ = asked(&text);
    if through.len() < 10_000 {
        assert_eq!(asked(&format!("site={through}&limit=7")), Some(true), "{through}");
    }
}
