//! One message to the program that hears of digests: JSON, signed, under a key that is the same at every try.

use super::Failed;
use super::connect::{client, refused, said};
use crate::history::Message;
use crate::reach::TrustSettings;
use crate::reach::settings::{WebhookSettings, seconds};
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;
use std::path::Path;

/// Sends it; `attempt` counts from 1.
///
/// # Errors
/// [`Failed`].
pub(super) async fn send(
    settings: &WebhookSettings,
    trust: &TrustSettings,
    home: &Path,
    message: &Message,
    attempt: u32,
) -> Result<(), Failed> {
    let secret = settings.secret.read(home).map_err(|error| Failed::lasting(error.to_string()))?;
    let (client, url) = client(&settings.url, &settings.allowed, trust, seconds(settings.seconds)).await?;
    let host = url.host_str().unwrap_or_default().to_owned();
    let moment = jiff::Timestamp::now().as_second();
    let signature = signature(secret.reveal(), moment, &message.body)
        .ok_or_else(|| Failed::lasting("the secret of the webhook cannot be used as a key"))?;
    let response = client
        .post(url)
        .header("Content-Type", "application/json")
        // As a text in quotes: draft-ietf-httpapi-idempotency-key-header.
        .header("Idempotency-Key", format!("\"{}\"", message.key))
        .header("Loamline-Attempt", attempt)
        .header("Loamline-Timestamp", moment)
        .header("Loamline-Signature", format!("v1={signature}"))
        .body(message.body.clone())
        .send()
        .await
        .map_err(|error| Failed::passing(said(&host, error)))?;
    if response.status().is_success() { Ok(()) } else { Err(refused(&host, &response)) }
}

/// HMAC-SHA256 (RFC 2104) of the moment, a full stop and the body, in hexadecimal digits.
fn signature(secret: &str, moment: i64, body: &str) -> Option<String> {
    let mut mac = Hmac::<Sha256>::new_from_slice(secret.as_bytes()).ok()?;
    mac.update(format!("{moment}.").as_bytes());
    mac.update(body.as_bytes());
    Some(mac.finalize().into_bytes().iter().map(|byte| format!("{byte:02x}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_signature_is_the_keyed_hash_of_moment_and_body() {
        // RFC 4231, test case 2, key "Jefe", whose data happens to need no moment: so the form is checked by its parts.
        let mut mac = Hmac::<Sha256>::new_from_slice(b"Jefe").unwrap();
        mac.update(b"what do ya want for nothing?");
        let known: String = mac.finalize().into_bytes().iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(known, "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843");
        let mut mac = Hmac::<Sha256>::new_from_slice(b"Jefe").unwrap();
        mac.update(b"17.{}");
        let ours: String = mac.finalize().into_bytes().iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(signature("Jefe", 17, "{}").unwrap(), ours);
        assert_ne!(signature("Jefe", 18, "{}"), signature("Jefe", 17, "{}"));
    }
}
