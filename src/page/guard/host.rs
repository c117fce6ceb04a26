//! Only our own names are answered: a foreign page that gave its name our address gets nothing.

use super::super::Trouble;
use axum::extract::Request;
use axum::http::StatusCode;
use axum::http::header::{HOST, ORIGIN};
use std::collections::BTreeSet;
use std::net::SocketAddr;

/// The names under which the pages answer, with their port as browsers write it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Names(BTreeSet<String>);

impl Names {
    /// This machine's own names, the address listened on, and the names of the settings.
    pub fn of(listen: SocketAddr, further: &[String]) -> Self {
        let port = listen.port();
        let own = ["127.0.0.1".to_owned(), "localhost".to_owned(), "[::1]".to_owned(), address(listen)];
        let mut names = BTreeSet::new();
        for name in own {
            names.insert(format!("{name}:{port}"));
            if port == 80 {
                names.insert(name);
            }
        }
        for name in further {
            let name = name.trim().to_ascii_lowercase();
            // A name without a port is what a front server on the usual port passes on.
            if !name.rsplit(']').next().unwrap_or(&name).contains(':') {
                names.insert(format!("{name}:{port}"));
            }
            names.insert(name);
        }
        Self(names)
    }

    /// One `Host`, one of ours; and no other name in the request line.
    ///
    /// # Errors
    /// Otherwise.
    pub fn check(&self, request: &Request) -> Result<(), Trouble> {
        let mut hosts = request.headers().get_all(HOST).iter();
        let only = hosts.next().filter(|_| hosts.next().is_none()).and_then(|h| h.to_str().ok());
        let ours = |name: &str| self.0.contains(&name.to_ascii_lowercase());
        let line = request.uri().authority().is_none_or(|a| ours(a.as_str()));
        if line && only.is_some_and(ours) {
            return Ok(());
        }
        tracing::warn!(host = %said(only), "refused: not one of our names");
        Err(Trouble::new(
            StatusCode::MISDIRECTED_REQUEST,
            "These pages do not answer under this name.",
            "Use the address that the service printed at its start, or add the name to `hosts` under [serve] in loamline.toml.",
        ))
    }

    /// True for an `Origin` that is the very place the request went to.
    pub fn same_origin(request: &Request) -> Option<bool> {
        let origin = request.headers().get(ORIGIN)?.to_str().unwrap_or("");
        let host = request.headers().get(HOST).and_then(|h| h.to_str().ok()).unwrap_or("");
        let rest = origin.strip_prefix("http://").or_else(|| origin.strip_prefix("https://"));
        Some(!host.is_empty() && rest.is_some_and(|rest| rest.eq_ignore_ascii_case(host)))
    }
}

fn address(listen: SocketAddr) -> String {
    match listen {
        SocketAddr::V4(a) => a.ip().to_string(),
        SocketAddr::V6(a) => format!("[{}]", a.ip()),
    }
}

fn said(host: Option<&str>) -> String {
    let shown: String = host.unwrap_or("none, or several").chars().take(80).collect();
    crate::inbox::plain::plain(&shown)
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::body::Body;

    fn asked(line: &str, hosts: &[&str]) -> bool {
        let names = Names::of("127.0.0.1:8460".parse().unwrap(), &["Soil.example".to_owned()]);
        let mut request = Request::builder().uri(line);
        for host in hosts {
            request = request.header(HOST, *host);
        }
        names.check(&request.body(Body::empty()).unwrap()).is_ok()
    }

    #[test]
    fn our_own_names_are_answered_and_no_others() {
        for host in ["127.0.0.1:8460", "localhost:8460", "LOCALHOST:8460", "[::1]:8460", "soil.example"] {
            assert!(asked("/", &[host]), "{host}");
        }
        for host in ["evil.example", "127.0.0.1", "localhost:1", "127.0.0.1:8460@evil.example", "", " "] {
            assert!(!asked("/", &[host]), "{host}");
        }
    }

    #[test]
    fn there_is_exactly_one_name_and_the_request_line_has_no_other() {
        assert!(!asked("/", &[]) && !asked("/", &["localhost:8460", "localhost:8460"]));
        assert!(!asked("http://evil.example/", &["localhost:8460"]));
        assert!(asked("http://localhost:8460/", &["localhost:8460"]));
    }
}
