//! The outward edge: digests go out, reports are picked up. Nothing here touches readings; a failure waits or is said.

mod connect;

mod pick_up;

mod webhook;

mod mail;

mod compose;

mod outbox;

pub use compose::{ComposeError, Composed, compose, digest};
pub use outbox::{Passed, send_waiting};
pub use pick_up::{Picked, pick_up};

use std::time::Duration;

/// Why something could not be sent or fetched; one sentence without secrets.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct Failed {
    /// What happened, and what to do where a person can do something.
    pub what: String,
    /// True where the next try may succeed without anybody's doing.
    pub may_pass: bool,
    /// How long the other side asks to be left alone.
    pub not_before: Option<Duration>,
}

impl Failed {
    /// A failure that may be over at the next try.
    fn passing(what: impl Into<String>) -> Self {
        Self { what: what.into(), may_pass: true, not_before: None }
    }

    /// A failure that somebody must mend.
    fn lasting(what: impl Into<String>) -> Self {
        Self { what: what.into(), may_pass: false, not_before: None }
    }
}

/// Runs network work to its end from a place that waits.
///
/// # Errors
/// What the system says.
fn wait_for<T>(work: impl Future<Output = T>) -> std::io::Result<T> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let done = runtime.block_on(work);
    // A name server that does not answer must not hold the process.
    runtime.shutdown_background();
    Ok(done)
}
