//! One message to one mailbox: text and page side by side, under a Message-ID that is the same at every try.

use super::Failed;
use super::connect::{addresses, by_system, certificate};
use crate::history;
use crate::reach::TrustSettings;
use crate::reach::settings::{SmtpSettings, SmtpTls, seconds};
use lettre::message::header::{HeaderName, HeaderValue};
use lettre::message::{Mailbox, MultiPart};
use lettre::transport::smtp::authentication::Credentials;
use lettre::transport::smtp::client::{Certificate, Tls, TlsParameters};
use lettre::transport::smtp::extension::ClientId;
use lettre::{AsyncSmtpTransport, AsyncTransport, Message, Tokio1Executor};
use std::path::Path;
use std::time::{Duration, SystemTime};

/// Sends it; `attempt` counts from 1.
///
/// # Errors
/// [`Failed`].
pub(super) async fn send(
    settings: &SmtpSettings,
    trust: &TrustSettings,
    home: &Path,
    message: &history::Message,
    attempt: u32,
) -> Result<(), Failed> {
    let password = settings.password.as_ref().map(|from| from.read(home)).transpose();
    let password = password.map_err(|error| Failed::lasting(error.to_string()))?;
    let letter = letter(settings, message, attempt)?;
    let (host, port, limit) = (settings.host.as_str(), settings.port(), seconds(settings.seconds));
    let plain = settings.tls == SmtpTls::None;
    let late = || Failed::passing(format!("{host} did not answer in time"));
    let look_up = async |name| by_system(name, port).await;
    let found = tokio::time::timeout(limit, addresses((host, port), plain, &settings.allowed, look_up))
        .await
        .map_err(|_| late())??;
    let mut last = Failed::passing(format!("{host} has no address"));
    for address in found {
        // The checked address is connected to; the certificate must be the host's.
        let encryption = || encryption(host, trust).map_err(|e| Failed::lasting(e.to_string()));
        let tls = match settings.tls {
            SmtpTls::Tls => Tls::Wrapper(encryption()?),
            SmtpTls::Starttls => Tls::Required(encryption()?),
            SmtpTls::None => Tls::None,
        };
        let mut server = AsyncSmtpTransport::<Tokio1Executor>::builder_dangerous(address.ip().to_string())
            .port(port)
            .tls(tls)
            .hello_name(ClientId::Domain(domain(settings)))
            .timeout(Some(limit));
        if let (Some(user), Some(password)) = (&settings.user, &password) {
            server = server.credentials(Credentials::new(user.clone(), password.reveal().to_owned()));
        }
        let sent = tokio::time::timeout(limit, server.build::<Tokio1Executor>().send(letter.clone())).await;
        last = match sent {
            Ok(Ok(_)) => return Ok(()),
            Ok(Err(error)) if error.is_permanent() => {
                return Err(Failed::lasting(format!("{host} refuses the mail ({})", cause(&error))));
            }
            Ok(Err(error)) if error.is_timeout() => late(),
            Ok(Err(error)) => Failed::passing(format!("{host} did not take the mail ({})", cause(&error))),
            Err(_) => late(),
        };
    }
    Err(last)
}

/// For this host, with the authorities of the settings beside the system's.
fn encryption(host: &str, trust: &TrustSettings) -> Result<TlsParameters, lettre::transport::smtp::Error> {
    let mut parameters = TlsParameters::builder(host.to_owned());
    for der in &trust.certificates {
        parameters = parameters.add_root_certificate(Certificate::from_der(der.clone())?);
    }
    parameters.build()
}

/// The whole mail.
fn letter(settings: &SmtpSettings, message: &history::Message, attempt: u32) -> Result<Message, Failed> {
    let wrong = |what: &str| Failed::lasting(format!("{what} is no mail address"));
    let from: Mailbox = settings.from.parse().map_err(|_| wrong("`from`"))?;
    let to: Mailbox = message.target.parse().map_err(|_| wrong("one under `to`"))?;
    let made = message.made_at.parse().unwrap_or_else(|_| jiff::Timestamp::now()).as_second();
    let made = SystemTime::UNIX_EPOCH + Duration::from_secs(u64::try_from(made).unwrap_or(0));
    let mut letter = Message::builder()
        .from(from)
        .to(to)
        .subject(&message.subject)
        .message_id(Some(format!("<{}@{}>", message.key, domain(settings))))
        .date(made)
        .multipart(MultiPart::alternative_plain_html(message.text.clone(), message.html.clone()))
        .map_err(|error| Failed::lasting(format!("the mail cannot be written ({error})")))?;
    // RFC 3834: no answering machine need answer.
    for (name, value) in
        [("Auto-Submitted", "auto-generated".to_owned()), ("Loamline-Attempt", attempt.to_string())]
    {
        if let Ok(name) = HeaderName::new_from_ascii(name.to_owned()) {
            letter.headers_mut().insert_raw(HeaderValue::new(name, value));
        }
    }
    Ok(letter)
}

/// The domain of the sender, for names that must be unique in the world.
fn domain(settings: &SmtpSettings) -> String {
    let from = settings.from.parse::<Mailbox>().ok();
    from.map_or_else(|| "localhost".to_owned(), |mailbox| mailbox.email.domain().to_owned())
}

/// The innermost cause, on one line.
fn cause(error: &lettre::transport::smtp::Error) -> String {
    let mut text = error.to_string();
    let mut source = std::error::Error::source(error);
    while let Some(inner) = source {
        text = inner.to_string();
        source = inner.source();
    }
    crate::inbox::plain::plain(certificate(&text)).chars().take(200).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mail_has_both_forms_and_the_same_name_at_every_try() {
        let settings: SmtpSettings = toml::from_str(
            "host = \"mail.example.org\"\nfrom = \"Soil <soil@example.org>\"\nto = [\"robin@example.org\"]",
        )
        .unwrap();
        let message = history::Message {
            id: 1,
            key: "abc".into(),
            channel: "smtp".into(),
            target: "robin@example.org".into(),
            subject: "Soil\r\nBcc: else@example.org".into(),
            text: "plain".into(),
            html: "<p>page</p>".into(),
            body: String::new(),
            made_at: "2024-05-06T07:08:09Z".into(),
            tries: 0,
            passes: 0,
            next_try_s: 0,
        };
        let of =
            |attempt| String::from_utf8(letter(&settings, &message, attempt).unwrap().formatted()).unwrap();
        for (mail, attempt) in [(of(1), 1), (of(2), 2)] {
            assert!(mail.contains("Message-ID: <abc@example.org>"), "{mail}");
            assert!(mail.contains("Date: Mon, 06 May 2024 07:08:09 +0000"), "{mail}");
            assert!(mail.contains("text/plain") && mail.contains("text/html"));
            assert!(mail.contains(&format!("Loamline-Attempt: {attempt}")));
            assert!(!mail.contains("\nBcc:"), "{mail}");
        }
    }
}
