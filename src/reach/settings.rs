//! Settings of messages and pick-up: `[digest]`, `[webhook]`, `[smtp]`, `[[pick_up]]`.

use super::network::Network;
use super::secret::SecretFrom;
use serde::Deserialize;
use std::time::Duration;

/// `[digest]`: when it is made by a service that runs on, and how long its messages are tried.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct DigestSettings {
    /// The time of day, UTC, at which `watch` and `serve` make it; `nightly` makes it whenever it runs.
    pub at: jiff::civil::Time,
    /// A message that could not be sent is given up after so many days.
    pub give_up_days: u32,
    /// Pause before the second try of a pass, seconds; the third waits twice as long.
    pub pause_seconds: f64,
    /// Pause after the first pass that failed, seconds; it doubles from pass to pass, up to half a day.
    pub retry_seconds: f64,
}

impl Default for DigestSettings {
    fn default() -> Self {
        Self { at: jiff::civil::time(4, 0, 0, 0), give_up_days: 7, pause_seconds: 2.0, retry_seconds: 300.0 }
    }
}

/// `[webhook]`: a program that hears of each digest.
#[derive(Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WebhookSettings {
    /// Where; `https`, or `http` within `allowed`.
    pub url: String,
    /// Key of the signature.
    pub secret: SecretFrom,
    /// Networks that need not be public, and where `http` will do.
    #[serde(default)]
    pub allowed: Vec<Network>,
    /// How long one try may take, seconds.
    #[serde(default = "ten")]
    pub seconds: f64,
}

/// `[smtp]`: people who get each digest by mail.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SmtpSettings {
    /// The mail server.
    pub host: String,
    /// Its port; none: 465, with `starttls` 587, with `none` 25.
    pub port: Option<u16>,
    /// How it is encrypted.
    #[serde(default)]
    pub tls: SmtpTls,
    /// Name at the server, where it asks for one.
    pub user: Option<String>,
    /// Password at the server.
    pub password: Option<SecretFrom>,
    /// Who sends.
    pub from: String,
    /// Who gets it.
    pub to: Vec<String>,
    /// Networks that need not be public, and where `tls = "none"` will do.
    #[serde(default)]
    pub allowed: Vec<Network>,
    /// How long one try may take, seconds.
    #[serde(default = "ten")]
    pub seconds: f64,
}

/// How a mail server is spoken to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SmtpTls {
    /// Encrypted from the first byte.
    #[default]
    Tls,
    /// Encrypted after a plain greeting, or not at all spoken to.
    Starttls,
    /// Plain: only within `allowed`.
    None,
}

/// `[[pick_up]]`: an address that gives a report.
#[derive(Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PickUpSettings {
    /// What it is called in logs and file names.
    pub name: String,
    /// Where; `https`, or `http` within `allowed`.
    pub url: String,
    /// What the server asks for in `Authorization: Bearer`.
    pub bearer: Option<SecretFrom>,
    /// Networks that need not be public, and where `http` will do.
    #[serde(default)]
    pub allowed: Vec<Network>,
    /// How long one fetch may take, seconds.
    #[serde(default = "sixty")]
    pub seconds: f64,
    /// `watch` and `serve` ask so often, minutes.
    #[serde(default = "hour")]
    pub every_minutes: u64,
}

fn ten() -> f64 {
    10.0
}

fn sixty() -> f64 {
    60.0
}

fn hour() -> u64 {
    60
}

/// Seconds of a setting as a duration.
pub fn seconds(seconds: f64) -> Duration {
    Duration::try_from_secs_f64(seconds).unwrap_or(Duration::from_secs(10))
}

// An address may carry a key in its path, so none is shown whole.
impl std::fmt::Debug for WebhookSettings {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("WebhookSettings").field("host", &host_of(&self.url)).finish_non_exhaustive()
    }
}

impl std::fmt::Debug for PickUpSettings {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PickUpSettings").field("name", &self.name).finish_non_exhaustive()
    }
}

fn host_of(url: &str) -> String {
    reqwest::Url::parse(url).ok().and_then(|url| url.host_str().map(str::to_owned)).unwrap_or_default()
}

/// What is wrong with an address, as the end of a sentence that begins with its name.
fn wrong_url(url: &str) -> Option<String> {
    let Ok(parsed) = reqwest::Url::parse(url) else {
        return Some("must be a whole address like `https://example.org/reports`".to_owned());
    };
    if !matches!(parsed.scheme(), "https" | "http") || parsed.host_str().is_none_or(str::is_empty) {
        return Some("must begin with `https://` and name a host".to_owned());
    }
    if !parsed.username().is_empty() || parsed.password().is_some() {
        return Some("must not hold a name or password; give the secret in its own line".to_owned());
    }
    None
}

fn wrong_seconds(seconds: f64) -> Option<(&'static str, String)> {
    (!(0.1..=3600.0).contains(&seconds)).then(|| ("seconds", "must be between 0.1 and 3600".to_owned()))
}

impl DigestSettings {
    /// What is wrong: the name of the setting and the end of a sentence.
    pub fn wrong(&self) -> Option<(&'static str, String)> {
        if !(0.0..=300.0).contains(&self.pause_seconds) {
            return Some(("pause_seconds", "must be between 0 and 300".to_owned()));
        }
        if !(0.0..=43_200.0).contains(&self.retry_seconds) {
            return Some(("retry_seconds", "must be between 0 and 43200".to_owned()));
        }
        (self.give_up_days == 0 || self.give_up_days > 365)
            .then(|| ("give_up_days", "must be between 1 and 365".to_owned()))
    }
}

impl WebhookSettings {
    /// What is wrong: the name of the setting and the end of a sentence.
    pub fn wrong(&self) -> Option<(&'static str, String)> {
        wrong_url(&self.url).map(|what| ("url", what)).or_else(|| wrong_seconds(self.seconds))
    }
}

impl SmtpSettings {
    /// What is wrong: the name of the setting and the end of a sentence.
    pub fn wrong(&self) -> Option<(&'static str, String)> {
        let mailbox = |text: &str| text.parse::<lettre::message::Mailbox>().is_ok();
        if self.host.trim().is_empty() {
            return Some(("host", "must name the mail server".to_owned()));
        }
        if !mailbox(&self.from) {
            return Some(("from", "must be a mail address".to_owned()));
        }
        if self.to.is_empty() || !self.to.iter().all(|to| mailbox(to)) {
            return Some(("to", "must be a list of mail addresses".to_owned()));
        }
        if self.user.is_some() != self.password.is_some() {
            return Some(("user", "and `password` go together: give both or neither".to_owned()));
        }
        wrong_seconds(self.seconds)
    }

    /// The port that is meant.
    pub fn port(&self) -> u16 {
        self.port.unwrap_or(match self.tls {
            SmtpTls::Tls => 465,
            SmtpTls::Starttls => 587,
            SmtpTls::None => 25,
        })
    }
}

impl PickUpSettings {
    /// What is wrong: the name of the setting and the end of a sentence.
    pub fn wrong(&self) -> Option<(&'static str, String)> {
        if self.name.trim().is_empty() {
            return Some(("name", "must say what the address is called".to_owned()));
        }
        if self.every_minutes == 0 {
            return Some(("every_minutes", "must be 1 or more".to_owned()));
        }
        wrong_url(&self.url).map(|what| ("url", what)).or_else(|| wrong_seconds(self.seconds))
    }
}
