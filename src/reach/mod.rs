//! What may be reached from here: the addresses in the settings, their secrets, and which networks they may lie in.

pub mod network;

pub mod secret;

pub mod settings;

pub mod trust;

pub use network::Network;
pub use secret::{Secret, SecretError, SecretFrom};
pub use settings::{DigestSettings, PickUpSettings, SmtpSettings, SmtpTls, WebhookSettings};
pub use trust::TrustSettings;
