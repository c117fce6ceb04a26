//! Who asks: the keeper on an own machine, somebody signed in, or a stranger.

use super::super::{Shared, Trouble};
use super::PROGRAMS;
use super::secret::{kept_of, random_word};
use super::tokens::{self, Rights};
use axum::extract::Request;
use axum::http::header::{AUTHORIZATION, COOKIE, LOCATION};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::response::{IntoResponse, Response};
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Somebody signed in stays so for this long.
const SESSION: Duration = Duration::from_secs(7 * 24 * 3600);

/// Sessions at the same time; the oldest makes room.
const SESSIONS: usize = 256;

/// Password tries within [`TRIES_IN`], all callers together: behind a front server they share one address.
const TRIES: usize = 10;

/// The time they are counted in.
const TRIES_IN: Duration = Duration::from_secs(60);

/// Addresses that a stranger may see.
const OPEN: [&str; 4] = ["/login", "/look.css", "/comfort.js", "/mark.svg"];

/// The one who asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Visitor {
    /// No password is set: whoever uses this machine.
    Keeper,
    /// Signed in; the key of the session.
    SignedIn(String),
    /// A program with a token.
    Program(Rights),
    /// A password is set, and this one has not shown it.
    Stranger,
}

impl Visitor {
    /// What tokens in this visitor's forms are made from.
    pub fn key(&self) -> &str {
        match self {
            Self::Keeper => "keeper",
            Self::SignedIn(key) => key,
            Self::Program(_) => "program",
            Self::Stranger => "stranger",
        }
    }
}

/// Who is signed in, in memory: a start of the service signs everybody out.
#[derive(Debug, Default)]
pub struct Sessions {
    inner: Mutex<Inner>,
}

#[derive(Debug, Default)]
struct Inner {
    /// Until when, by what is kept of the cookie.
    open: BTreeMap<String, Instant>,
    tries: VecDeque<Instant>,
    /// The hash the sessions were opened with; another one ends them all.
    hash: Option<String>,
}

impl Sessions {
    /// With the hash of the password; none: no password is asked for.
    pub fn new(hash: Option<String>) -> Self {
        Self { inner: Mutex::new(Inner { hash, ..Inner::default() }) }
    }

    /// The hash of the password; none where none is asked for.
    pub fn hash(&self) -> Option<String> {
        self.lock().hash.clone()
    }

    /// Takes the password's hash as it is now; a new one signs everybody out.
    pub fn renew(&self, hash: String) {
        let mut inner = self.lock();
        if inner.hash.as_ref() != Some(&hash) {
            inner.open.clear();
            inner.hash = Some(hash);
        }
    }

    /// Counts a try; false where there were too many.
    pub fn may_try(&self) -> bool {
        self.may_try_at(Instant::now())
    }

    fn may_try_at(&self, now: Instant) -> bool {
        let mut inner = self.lock();
        while inner.tries.front().is_some_and(|t| now.duration_since(*t) >= TRIES_IN) {
            inner.tries.pop_front();
        }
        if inner.tries.len() >= TRIES {
            return false;
        }
        inner.tries.push_back(now);
        true
    }

    /// Opens a session and gives the word for its cookie.
    ///
    /// # Errors
    /// The system gives no random numbers.
    pub fn open(&self) -> std::io::Result<String> {
        let word = random_word()?;
        let now = Instant::now();
        let mut inner = self.lock();
        inner.open.retain(|_, until| *until > now);
        if inner.open.len() >= SESSIONS {
            let oldest = inner.open.iter().min_by_key(|(_, until)| **until).map(|(key, _)| key.clone());
            oldest.and_then(|key| inner.open.remove(&key));
        }
        inner.open.insert(kept_of(&word), now + SESSION);
        Ok(word)
    }

    /// Ends a session.
    pub fn close(&self, key: &str) {
        self.lock().open.remove(key);
    }

    fn find(&self, word: &str) -> Option<String> {
        let key = kept_of(word);
        self.lock().open.get(&key).is_some_and(|until| *until > Instant::now()).then_some(key)
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The name of the session's cookie; over https one that browsers take from nowhere else.
fn cookie_name(https: bool) -> &'static str {
    if https { "__Host-loamline" } else { "loamline" }
}

/// The cookie that opens a session, or that ends it where the word is empty.
pub fn cookie(word: &str, https: bool) -> String {
    let age = if word.is_empty() { 0 } else { SESSION.as_secs() };
    let secure = if https { "; Secure" } else { "" };
    format!("{}={word}; Path=/; Max-Age={age}; HttpOnly; SameSite=Strict{secure}", cookie_name(https))
}

/// Who asks. A token counts below the programs' path alone, and one that is shown must be good.
///
/// # Errors
/// A token that is none.
pub fn visitor(web: &Shared, request: &Request) -> Result<Visitor, Trouble> {
    let shown = request.headers().get(AUTHORIZATION).and_then(|a| a.to_str().ok());
    // Other kinds are between the browser and a front server.
    if let Some(word) = shown.and_then(|a| a.strip_prefix("Bearer "))
        && request.uri().path().starts_with(PROGRAMS)
    {
        return tokens::rights_of(&web.home, word.trim()).map(Visitor::Program).ok_or_else(|| {
            Trouble::new(
                StatusCode::UNAUTHORIZED,
                "This token is not good.",
                "Make one with `loamline token add` and send it as `Authorization: Bearer TOKEN`.",
            )
        });
    }
    if web.sessions.hash().is_none() {
        return Ok(Visitor::Keeper);
    }
    let words = cookies(request.headers(), cookie_name(web.settings().serve.https));
    let key = words.iter().find_map(|word| web.sessions.find(word));
    Ok(key.map_or(Visitor::Stranger, Visitor::SignedIn))
}

fn cookies(headers: &HeaderMap, name: &str) -> Vec<String> {
    let all = headers.get_all(COOKIE).iter().filter_map(|c| c.to_str().ok());
    all.flat_map(|c| c.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .filter(|(n, _)| *n == name)
        .map(|(_, word)| word.to_owned())
        .collect()
}

/// Lets a stranger to the door alone.
pub fn may_pass(visitor: &Visitor, request: &Request) -> Result<(), Box<Response>> {
    let path = request.uri().path();
    if *visitor == Visitor::Program(Rights::Read) && request.method() == Method::POST {
        let refusal = Trouble::new(
            StatusCode::FORBIDDEN,
            "This token may only read.",
            "Make one with `loamline token add --full`.",
        );
        return Err(Box::new(refusal.into_response()));
    }
    if *visitor != Visitor::Stranger || OPEN.contains(&path) {
        return Ok(());
    }
    let refusal = Trouble::new(StatusCode::UNAUTHORIZED, "A password is needed.", "Sign in, then try again.");
    let to_door = request.method() == Method::GET && !path.starts_with(PROGRAMS) && path != "/events";
    let mut response = refusal.into_response();
    if to_door {
        let back = super::super::look::encoded(path);
        if let Ok(door) = HeaderValue::from_str(&format!("/login?to={back}")) {
            response = StatusCode::SEE_OTHER.into_response();
            response.headers_mut().insert(LOCATION, door);
        }
    }
    Err(Box::new(response))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_session_lasts_until_it_is_closed_or_the_password_changes() {
        let sessions = Sessions::new(Some("a".into()));
        let (one, two) = (sessions.open().unwrap(), sessions.open().unwrap());
        let key = sessions.find(&one).unwrap();
        assert!(!key.contains(&one) && sessions.find("guess").is_none());
        sessions.close(&key);
        assert!(sessions.find(&one).is_none() && sessions.find(&two).is_some());
        sessions.renew("b".into());
        assert!(sessions.find(&two).is_none());
    }

    #[test]
    fn ten_tries_a_minute_and_no_more() {
        let sessions = Sessions::new(Some("a".into()));
        let now = Instant::now();
        assert_eq!((0..15).filter(|_| sessions.may_try_at(now)).count(), 10);
        assert!(!sessions.may_try_at(now + Duration::from_secs(59)));
        assert!(sessions.may_try_at(now + Duration::from_secs(60)));
    }

    #[test]
    fn the_cookie_is_out_of_reach_of_scripts_and_other_sites() {
        assert!(cookie("w", false).ends_with("; HttpOnly; SameSite=Strict"));
        assert!(
            cookie("w", true).starts_with("__Host-loamline=w; Path=/;")
                && cookie("w", true).ends_with("; Secure")
        );
        assert!(cookie("", false).contains("Max-Age=0"));
    }
}
