//! Whom to connect to: the name is resolved once, every address checked, and the connection pinned to what was checked.

use super::Failed;
use crate::reach::network::{is_allowed, is_public};
use crate::reach::{Network, TrustSettings};
use reqwest::{Certificate, Client, Url, redirect};
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::time::Duration;

/// The addresses of a host that may be reached.
///
/// `plain`: nothing encrypts the connection, so that each address must be allowed by name.
///
/// # Errors
/// A name without an address; an address that may not be reached.
pub(super) async fn addresses(
    (host, port): (&str, u16),
    plain: bool,
    allowed: &[Network],
    look_up: impl AsyncFnOnce(String) -> io::Result<Vec<SocketAddr>>,
) -> Result<Vec<SocketAddr>, Failed> {
    let bare = host.trim_start_matches('[').trim_end_matches(']');
    let found = match bare.parse::<IpAddr>() {
        Ok(address) => vec![SocketAddr::new(address, port)],
        Err(_) => look_up(host.to_owned())
            .await
            .map_err(|cause| Failed::passing(format!("{host} cannot be found ({cause})")))?,
    };
    if found.is_empty() {
        return Err(Failed::passing(format!("{host} has no address")));
    }
    // One address out of place speaks against the name: which of them is used is not ours to choose.
    for address in found.iter().map(SocketAddr::ip) {
        if is_allowed(address, allowed) {
            continue;
        }
        if !is_public(address) {
            return Err(Failed::lasting(format!(
                "{host} is {address}, which is not on the public internet: put its network into `allowed` if that is meant"
            )));
        }
        if plain {
            return Err(Failed::lasting(format!(
                "{host} would be spoken to without encryption: use https, or put its network into `allowed`"
            )));
        }
    }
    Ok(found)
}

/// The addresses of a name, by the system.
pub(super) async fn by_system(host: String, port: u16) -> io::Result<Vec<SocketAddr>> {
    Ok(tokio::net::lookup_host((host.as_str(), port)).await?.collect())
}

/// A client for this one address: pinned, no redirects, no proxy, so long and no longer.
///
/// # Errors
/// As [`addresses`]; a settings' address that is none.
pub(super) async fn client(
    url: &str,
    allowed: &[Network],
    trust: &TrustSettings,
    timeout: Duration,
) -> Result<(Client, Url), Failed> {
    let url = Url::parse(url).map_err(|_| Failed::lasting("the address in the settings is none"))?;
    let (Some(host), Some(port)) = (url.host_str(), url.port_or_known_default()) else {
        return Err(Failed::lasting("the address in the settings names no host"));
    };
    let plain = url.scheme() != "https";
    let look_up = async |name| by_system(name, port).await;
    let checked = tokio::time::timeout(timeout, addresses((host, port), plain, allowed, look_up))
        .await
        .map_err(|_| Failed::passing(format!("{host} was not found in time")))??;
    let roots = trust.certificates.iter().map(|der| Certificate::from_der(der));
    let roots = roots.collect::<Result<Vec<_>, _>>().map_err(|error| Failed::lasting(said(host, error)))?;
    let client = Client::builder()
        .tls_certs_merge(roots)
        .redirect(redirect::Policy::none())
        .no_proxy()
        .resolve_to_addrs(host, &checked)
        .connect_timeout(timeout)
        .timeout(timeout)
        .user_agent(concat!("loamline/", env!("CARGO_PKG_VERSION")))
        .build()
        .map_err(|error| Failed::lasting(said(host, error)))?;
    Ok((client, url))
}

/// An error of a connection in words, without the address, which may hold a key.
pub(super) fn said(host: &str, error: reqwest::Error) -> String {
    let what = if error.is_timeout() {
        "did not answer in time"
    } else if error.is_connect() {
        "cannot be connected to"
    } else if error.is_body() || error.is_decode() {
        "broke off in the middle of its answer"
    } else {
        "cannot be spoken with"
    };
    let error = error.without_url();
    let mut cause = std::error::Error::source(&error);
    let mut deepest = None;
    while let Some(inner) = cause {
        deepest = Some(inner.to_string());
        cause = inner.source();
    }
    match deepest {
        Some(cause) if !error.is_timeout() => format!("{host} {what} ({})", certificate(&cause)),
        _ => format!("{host} {what}"),
    }
}

/// What speaks against a certificate, in words for the one who may mend it; any other cause as it is.
pub(super) fn certificate(cause: &str) -> &str {
    let words = [
        (
            "UnknownIssuer",
            "nobody known here vouches for its certificate: where that is an authority of your own, name the file of its root certificate in `roots` under [trust]",
        ),
        ("not valid for name", "its certificate is for another host: use the name that it is for"),
        ("NotValidForName", "its certificate is for another host: use the name that it is for"),
        ("expired", "its certificate is over: whoever runs it must renew it"),
        ("Expired", "its certificate is over: whoever runs it must renew it"),
    ];
    let speaks = cause.contains("certificate");
    words.iter().find(|(sign, _)| speaks && cause.contains(sign)).map_or(cause, |(_, words)| words)
}

/// What a status that is no success means.
pub(super) fn refused(host: &str, response: &reqwest::Response) -> Failed {
    let status = response.status();
    if status.is_redirection() {
        return Failed::lasting(format!(
            "{host} answered {} and points elsewhere, which is not followed: put the final address into the settings",
            status.as_u16()
        ));
    }
    let mut failed = Failed::lasting(format!("{host} answered {status}"));
    failed.may_pass = status.is_server_error() || matches!(status.as_u16(), 408 | 425 | 429);
    let after = response.headers().get(reqwest::header::RETRY_AFTER);
    let after = after.and_then(|text| text.to_str().ok()).and_then(|text| text.trim().parse::<u64>().ok());
    failed.not_before = after.filter(|_| failed.may_pass).map(|s| Duration::from_secs(s.min(86_400)));
    failed
}

#[cfg(test)]
mod tests {
    use super::*;

    fn checked(host: &str, plain: bool, allowed: &[&str], found: &[&str]) -> Result<Vec<SocketAddr>, Failed> {
        let allowed: Vec<Network> =
            allowed.iter().map(|text| Network::try_from((*text).to_owned()).unwrap()).collect();
        let found: Vec<SocketAddr> =
            found.iter().map(|ip| SocketAddr::new(ip.parse().unwrap(), 443)).collect();
        super::super::wait_for(addresses((host, 443), plain, &allowed, async |_| Ok(found))).unwrap()
    }

    #[test]
    fn a_name_with_one_private_address_among_public_ones_is_refused() {
        assert_eq!(checked("a.example", false, &[], &["9.9.9.9"]).unwrap().len(), 1);
        for inside in ["127.0.0.1", "10.0.0.8", "169.254.169.254", "::1", "::ffff:192.168.0.1"] {
            let refused = checked("a.example", false, &[], &["9.9.9.9", inside]).unwrap_err();
            assert!(refused.what.contains("not on the public internet") && !refused.may_pass, "{refused}");
        }
        assert!(checked("a.example", false, &["10.0.0.0/24"], &["10.0.0.8"]).is_ok());
        assert!(checked("a.example", false, &["10.0.0.0/24"], &["10.0.1.8"]).is_err());
    }

    #[test]
    fn an_address_in_figures_is_checked_without_asking_a_name_server() {
        for host in ["127.0.0.1", "[::1]", "192.168.7.7"] {
            assert!(checked(host, false, &[], &["9.9.9.9"]).is_err(), "{host}");
        }
        assert!(checked("[::1]", true, &["::1"], &[]).is_ok());
    }

    #[test]
    fn without_encryption_an_address_must_be_allowed_even_if_it_is_public() {
        assert!(
            checked("a.example", true, &[], &["9.9.9.9"]).unwrap_err().what.contains("without encryption")
        );
        assert!(checked("a.example", true, &["9.9.9.0/24"], &["9.9.9.9"]).is_ok());
    }

    #[test]
    fn a_name_that_answers_otherwise_the_second_time_is_asked_only_once() {
        let asked = std::cell::Cell::new(0);
        let look_up = async |_| {
            asked.set(asked.get() + 1);
            let ip = if asked.get() == 1 { "9.9.9.9" } else { "127.0.0.1" };
            Ok(vec![SocketAddr::new(ip.parse().unwrap(), 443)])
        };
        let pinned =
            super::super::wait_for(addresses(("a.example", 443), false, &[], look_up)).unwrap().unwrap();
        assert_eq!((pinned, asked.get()), (vec!["9.9.9.9:443".parse().unwrap()], 1));
    }

    #[test]
    fn a_client_connects_to_the_checked_address_whatever_the_name_means_by_then() {
        let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        let to = listener.local_addr().unwrap();
        let heard = std::thread::spawn(move || {
            use std::io::{Read, Write};
            let (mut stream, _) = listener.accept().unwrap();
            let mut head = [0; 512];
            let n = stream.read(&mut head).unwrap();
            stream.write_all(b"HTTP/1.1 204 No Content\r\nConnection: close\r\n\r\n").unwrap();
            String::from_utf8_lossy(&head[..n]).into_owned()
        });
        // No name server knows this name (RFC 6761): only the pin can lead to the listener.
        let client = Client::builder().no_proxy().resolve_to_addrs("hooks.invalid", &[to]).build().unwrap();
        let url = format!("http://hooks.invalid:{}/", to.port());
        let status =
            super::super::wait_for(async { client.get(url).send().await.unwrap().status() }).unwrap();
        assert_eq!(status.as_u16(), 204);
        assert!(heard.join().unwrap().to_lowercase().contains("host: hooks.invalid"));
    }
}
